"""Every caution row: closed lists, sources, standing lines, and its limit tried on both sides."""

from __future__ import annotations

import math
import re
import shlex
from typing import Any

import pytest
from each import each

from prepkit import cautions, sources
from prepkit.caution_rows import Condition, Row
from prepkit.cli import calculator_command
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.registry import load, validate

ROWS = cautions.rows()
TRIGGERED = [row for row in ROWS if not row.standing]
KNOWN_RULES = {*cautions.RULES, "missing"}


def test_ids_are_unique_and_descriptive() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    for one in ids:
        assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", one), one


@each(ROWS, lambda row: str(row.id))
def test_row_uses_closed_lists_and_a_known_source(row: Row) -> None:
    assert row.kind in cautions.KINDS
    assert row.severity in cautions.SEVERITIES
    assert row.text.strip().endswith((".", "?"))
    assert row.action.strip().endswith(".")
    assert sources.find(row.source) is not None, row.source
    if row.standing:
        assert row.severity == "note"
        assert not row.when
        assert set(row.calculators) <= set(CALCULATORS)
    else:
        assert row.when
        assert set(row.calculators) <= {*CALCULATORS, cautions.ANY}
        for condition in row.when:
            assert condition.rule in KNOWN_RULES


@pytest.mark.parametrize("name", CALCULATORS)
def test_three_standing_lines_that_are_the_calculators_own(name: str) -> None:
    standing = [row for row in ROWS if row.standing and name in row.calculators]
    assert sorted(row.kind for row in standing) == sorted(cautions.MUST_STAND)
    for row in standing:
        assert row.calculators == (name,), "a standing line speaks to one calculator's own work"
    texts = [row.text for row in ROWS if row.standing]
    assert len(texts) == len(set(texts))


def past_and_inside(condition: Condition) -> tuple[Any, Any]:
    """A fact just past the limit and one just inside it."""
    rule = condition.rule
    if rule == "missing":
        return None, 1.0
    limit = condition.limit
    if rule == "is":
        return (limit[0] if isinstance(limit, tuple) else limit), "something else"
    if rule == "has":
        return {limit[0] if isinstance(limit, tuple) else limit}, set()
    step = max(abs(limit), 1.0) * 1e-9
    return {
        "above": (limit + step, limit),
        "at_least": (limit, limit - step),
        "below": (limit - step, limit),
        "at_most": (limit, limit + step),
    }[rule]


@each(TRIGGERED, lambda row: str(row.id))
def test_rule_triggers_past_its_limit_and_not_inside(row: Row) -> None:
    facts: dict[str, Any] = {}
    for condition in row.when:
        facts.setdefault(condition.fact, past_and_inside(condition)[0])
    both_ends = len({c.fact for c in row.when}) < len(row.when)
    if both_ends:  # a window on one fact: the middle is past both limits
        for condition in row.when:
            limits = [c.limit for c in row.when if c.fact == condition.fact]
            if len(limits) == 2 and all(isinstance(limit, int | float) for limit in limits):
                facts[condition.fact] = sum(limits) / 2
    assert all(cautions.holds(condition, facts) for condition in row.when)
    for condition in row.when:
        inside = {**facts, condition.fact: past_and_inside(condition)[1]}
        assert not all(cautions.holds(one, inside) for one in row.when)


def test_verdict_is_the_worst_triggered() -> None:
    def caution(severity: str, standing: bool = False) -> cautions.Caution:
        return cautions.Caution("a-b", "pressure", severity, "t", "a", "s", standing)

    assert cautions.verdict([]) == "clear"
    assert cautions.verdict([caution("note")]) == "clear"
    assert cautions.verdict([caution("note"), caution("care")]) == "care"
    assert cautions.verdict([caution("care"), caution("stop")]) == "stop"
    assert cautions.verdict([caution("stop", standing=True)]) == "clear"


@pytest.mark.parametrize("name", CALCULATORS)
def test_calculator_is_whole(name: str) -> None:
    calculator = load(name)
    assert calculator.example.startswith(f"prepkit {name} ")
    for spec in calculator.inputs.specs().values():
        assert spec.label
        assert spec.help.endswith("."), spec
        assert spec.example or spec.kind == "flag"
    outputs = calculator.result.outputs()
    assert outputs
    for output in outputs.values():
        assert output.label
        assert output.digits >= 0


@pytest.mark.parametrize("calculator", [*CALCULATORS])
def test_candidates_are_the_rows_that_name_the_calculator_or_any(calculator: str) -> None:
    named = {calculator, cautions.ANY}
    assert list(cautions.candidates(calculator)) == [
        row for row in ROWS if named & set(row.calculators)
    ]


@each(CALCULATORS)
def test_the_verdict_without_words_is_that_of_the_cautions(name: str) -> None:
    words = shlex.split(load(name).example)[2:]
    said = calculator_command(name).make_context(name, words).params
    given = {
        k: v for k, v in said.items() if k in load(name).inputs.specs() and v not in (None, ())
    }
    result = load(name).compute(validate(name, given))
    known = {**cautions.about(result.product), **result.facts}
    assert cautions.worst(name, known) == cautions.verdict(cautions.judge(name, known))


def test_a_fact_that_no_row_could_be_about_is_no_fact() -> None:
    with pytest.raises(AssertionError, match="peak_baar"):
        cautions.judge("siphon", {"peak_baar": 30.0})


def test_the_last_bit_does_not_say_on_which_side_of_a_limit_a_fact_is() -> None:
    """50 Bx reached by adding up is 50 Bx; less by what a refractometer shows is less."""
    (row,) = (one for one in ROWS if one.id == "cordial-hot-syrup-scalds")
    (condition,) = (one for one in row.when if one.fact == "solids_percent")
    limit = float(condition.limit)
    facts = {one.fact: past_and_inside(one)[0] for one in row.when}

    def told(solids: float) -> bool:
        found = cautions.judge("cordial", {**facts, "solids_percent": solids})
        return row.id in {one.id for one in found}

    for solids in (limit, math.nextafter(limit, 0), math.nextafter(limit, 100), limit - 1e-12):
        assert told(solids)
    assert not told(limit - 1e-6)


def test_no_caution_names_an_option() -> None:
    """Whoever reads it may stand before a page or a recipe: no word of the command line."""
    found = [
        row.id
        for row in cautions.rows()
        if any("--" in said for said in (row.text, row.action, row.more))
    ]
    assert found == []


@pytest.mark.parametrize("fact", ["abv_percent", "bound_bar"])
def test_a_figure_that_is_no_number_clears_nothing(fact: str) -> None:
    with pytest.raises(BadInput, match="nothing is cleared"):
        cautions.judge("serve", {fact: float("nan")})


def test_what_stands_on_the_label_of_a_charged_vessel_fits_it() -> None:
    """What is read before a vessel that will not vent: two short lines, and the rest in more."""
    row = next(one for one in cautions.rows() if one.id == "siphon-opening")
    assert len(row.text.split()) <= 20
    assert len(row.action.split()) <= 20
    assert row.more


def test_what_is_unknown_or_empty_holds_no_condition_but_missing() -> None:
    """So that a row whose facts are not there need not be looked at."""
    for row in cautions.rows():
        for one in row.when:
            if one.rule == "missing":
                continue
            assert not one.holds({})
            assert not one.holds({one.fact: None})
            assert one.rule not in ("is", "has") or not one.holds({one.fact: frozenset()})
