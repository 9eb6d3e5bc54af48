"""The strip of a plan's times: columns of people, folded pauses, days, rounds of vessels."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest

from prepkit.numbers import Moment
from prepkit.plan import load_recipe, make_plan
from prepkit.render.plan_html import LEAST, WIDE, panes, rounds, strip
from prepkit.sheet import PlanSheet

DEMO = Path(__file__).parents[2] / "recipes"


def said(serves: int = 60, service: str = "18:00", name: str = "cold-semaphore") -> PlanSheet:
    plan = make_plan(load_recipe(DEMO / f"{name}.toml"), serves)
    return plan.to_dict(Moment.read(service, "service") if service else None)


def test_each_job_of_a_person_has_a_bar_that_no_other_covers() -> None:
    found = strip(said())
    assert found is not None
    sheet = said()["timetable"]
    assert sheet is not None
    work = [bar for bar in found.bars if not bar.vessels]
    assert len(work) == sum(step["person"] > 0 for step in sheet["steps"])
    for x, _ in found.columns:
        column = sorted((b.top, b.top + b.high) for b in found.bars if b.x == x)
        assert all(a[1] <= b[0] + 0.1 for a, b in itertools.pairwise(column))
    for bar in found.bars:
        assert bar.high >= LEAST
        assert bar.x + bar.wide <= WIDE + 0.1
        assert bar.top + bar.high <= found.high
        assert 0 < len(bar.lines) * 14.5 <= bar.high + 3
    for bar in work:  # all work is done at service
        assert bar.top + bar.high <= found.service + 0.1


def test_days_are_named_and_pauses_are_folded_with_their_length() -> None:
    found = strip(said())
    assert found is not None
    assert [one.words for one in found.marks if one.day] == ["The day before", "Day of service"]
    assert found.pauses[0].words == "12 h 12 min no hands"
    dated = strip(said(service="2026-11-28 18:00"))
    assert dated is not None
    assert [one.words for one in dated.marks if one.day] == ["Fri 27 Nov", "Sat 28 Nov"]
    assert found.high < 900  # a screen or so of a phone


@pytest.mark.parametrize("serves", [8, 400])
@pytest.mark.parametrize("service", ["", "00:30", "09:00", "18:00"])
def test_any_service_has_its_strip_in_order(serves: int, service: str) -> None:
    found = strip(said(serves, service))
    assert found is not None
    tops = [one.top for one in found.marks if not one.day]
    assert tops == sorted(tops)
    assert found.service <= found.high


def test_a_recipe_without_steps_has_no_strip() -> None:
    assert strip(said(name="free-otter")) is None


def test_rounds_of_vessels_are_as_many_as_the_house_needs() -> None:
    sheet = said()
    turns = rounds(sheet)
    assert [one.vessels for one in turns] == [3, 3, 1]  # seven loads, three vessels
    assert turns[0].start < 0 == turns[0].end
    assert turns[1].start == 0 < turns[1].end == turns[2].start
    (vessels,) = panes(sheet, "metric").vessels
    assert [(v, c) for _, v, c in vessels.rounds] == [("3", "6"), ("3", "6"), ("1", "2")]
    assert vessels.each == "Each: 979 g (962 ml), 2 n2 chargers."


def test_panes_hold_what_is_bought_made_and_done_when() -> None:
    sheet = said()
    found = panes(sheet, "metric")
    assert [one.id for one in found.rows] == [one["id"] for one in sheet["items"]]
    names = [one.name for one in found.buy]
    assert names[: len(sheet["shopping"])] == [one["name"] for one in sheet["shopping"]]
    assert "n2 charger" in names
    steps = [one for _, day in found.days for one in day]
    assert sheet["timetable"] is not None
    assert len(steps) == len(sheet["timetable"]["steps"])
    assert [day for day, _ in found.days] == ["The day before", "Day of service"]
    assert [one.item for one in steps if one.moved] == ["peel-oleo", "coffee-rum"]
    assert any("Moved to the day before" in line for line in found.lines)
