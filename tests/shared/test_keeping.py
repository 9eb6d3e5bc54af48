"""Keeping as a decision: the last day by the calendar, rules only where one binds."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from calculators.helpers_drink import ids, value
from calculators.test_keep import table
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.model import Answer
from prepkit.registry import run
from prepkit.shared import keeping as shared_keeping

COLD, ASSESS, CONTROL = shared_keeping.RESULTS


def keep(**said: Any) -> Answer:
    return run("keep", said)


def result(answer: Answer) -> str:
    return str(table(answer, "result")["result"])


def test_a_label_claims_no_rule_where_none_binds() -> None:
    answer = keep(ph=3.0, water_activity=0.8, made="2026-11-25")
    assert result(answer) == COLD
    dates = next(one for one in answer.tables if one.name == "dates")
    assert "no rule applies" in str(dates.rows[1])
    assert "rule" not in answer.values["days_allowed"].label


def test_day_of_making_is_day_one() -> None:
    answer = keep(contains="dairy", made="2026-11-25", today="2026-11-25")
    assert table(answer, "dates") == {"day 1": "2026-11-25", "last day": "2026-12-01"}
    assert value(answer, "days_left") == 7
    last = keep(contains="dairy", made="2026-11-25", today="2026-12-01")
    assert value(last, "days_left") == 1
    assert last.verdict == "care"
    over = keep(contains="dairy", made="2026-11-25", today="2026-12-02")
    assert over.verdict == "stop"
    assert "keep-past-its-last-day" in ids(over)
    # a stop carries no go-ahead number and no date
    assert not {"days_left", "days_allowed", "hours_left"} & set(over.values)
    assert not table(over, "dates")


@settings(max_examples=40, deadline=None)
@given(st.dates(date(2000, 1, 1), date(2090, 1, 1)), st.integers(0, 12))
def test_days_left_by_the_calendar(made: date, later: int) -> None:
    today = made + timedelta(days=later)
    answer = keep(contains="egg", made=str(made), today=str(today))
    if later >= 7:
        assert answer.verdict == "stop"
    else:
        assert value(answer, "days_left") == 7 - later
