"""Every caution row: closed lists, sources, standing lines, and its limit tried on both sides.

Caution rows are read strictly: what cannot be used is refused, and then there is no verdict.
"""

from __future__ import annotations

import math
import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from each import each

from prepkit import blocks, cautions, facts, model, registry
from prepkit.cautions import Condition, Row
from prepkit.cli import calculator_command
from prepkit.errors import BadInput, FileProblem
from prepkit.index import CALCULATORS
from prepkit.page import forms
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
    assert model.source_of(row.source) is not None, row.source
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


MAKE = "run: python -m prepkit.blocks"
STANDS = 'standing = ["siphon"]'
CONDITION = 'when = [{ fact = "bound_bar", rule = "above", limit = 17 }]'
ROW = f"""[[caution]]
id = "a-row"
kind = "pressure"
severity = "stop"
calculators = ["siphon"]
{CONDITION}
text = "It reaches {{bound_bar:.1f}} bar."
action = "Do not charge it."
source = "PRACTICE"
"""


def parsed(text: str) -> tuple[cautions.Row, ...]:
    return cautions.parsed({"cautions/a.toml": text})


def forget() -> None:
    """Rows and data are read again, as of a new run."""
    blocks.forget()
    cautions.forget()
    for one in (cautions.candidates, cautions._watched, cautions._stops):
        one.cache_clear()


@pytest.fixture
def edited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the cautions, and of the data that they are judged with, that a test may change."""
    here, data = Path(blocks.DATA), tmp_path / "data"
    shutil.copytree(here / "cautions", data / "cautions")
    shutil.copytree(here / "hazard_names", data / "hazard_names")
    for name in ("air_limits.toml", "limits.toml", "place_rules.toml", "refused.toml"):
        shutil.copy(here / name, data)
    monkeypatch.setattr(blocks, "DATA", str(data))
    blocks.main()
    forget()
    yield data / "cautions"
    monkeypatch.undo()
    forget()


def test_the_rows_that_are_kept_are_those_of_the_files() -> None:
    rows = cautions.read_files()
    assert cautions.load() == rows, MAKE
    assert cautions.never_beside_stop() == {row.id for row in rows if row.unless_stop}
    for name in CALCULATORS:
        assert cautions.of(name) == tuple(row for row in rows if row.concerns(name))


@pytest.mark.parametrize(
    "spelt",
    [
        CONDITION.replace(" = [", "=["),
        CONDITION.replace(" = [", "  =\t["),
        CONDITION.replace("when", '"when"'),
        'when = [\n  { fact = "bound_bar", rule = "above", limit = 17 },\n]',
        'when = [{ limit = 17, rule = "above", "fact" = "bound_bar" }] # and a remark',
        "when = [{ fact = 'bound_bar', rule = 'above', limit = 17 }]",
    ],
)
def test_however_it_is_spelt_a_row_is_the_same_row(spelt: str) -> None:
    (row,) = parsed(ROW)
    assert parsed(ROW.replace(CONDITION, spelt)) == (row,)
    assert row.triggered({"bound_bar": 17.1})
    assert not row.triggered({"bound_bar": 17.0})


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        (CONDITION, "", "either standing or when"),
        (CONDITION, STANDS, "names calculators where it has when"),
        (CONDITION, f"{CONDITION}\n{STANDS}", "either standing or when"),
        (CONDITION, "when = []", "list of conditions"),
        (CONDITION, 'when = "always"', "list of conditions"),
        (CONDITION, "when = [17]", "a condition is a table"),
        ("when", "wehn", 'key "wehn"'),
        ("limit", "limits", 'key "limits"'),
        ('"bound_bar"', '"bound_baar"', 'fact "bound_baar"'),
        ("{bound_bar:.1f}", "{bound_baar:.1f}", '"bound_baar"'),
        ("{bound_bar:.1f}", "{gas:.1f}", "as a number"),
        ("above", "over", "rule 'over'"),
        ('"above"', "17", "needs rule as text"),
        ("limit = 17", 'limit = "17"', "does not fit"),
        ("limit = 17", "limit = nan", "does not fit"),
        ("limit = 17", "limit = true", "does not fit"),
        (", limit = 17", "", "takes a limit"),
        ('"above"', '"missing"', "takes no limit"),
        ('"above"', '"has"', "does not fit"),
        ("stop", "warn", "severity 'warn'"),
        ("pressure", "presure", "kind 'presure'"),
        ('["siphon"]', '["sifon"]', "calculator 'sifon'"),
        ('["siphon"]', "[]", "list of calculators"),
        ('["siphon"]', '"siphon"', "list of calculators"),
        ('"PRACTICE"', '""', "needs source as text"),
        ('id = "a-row"\n', "", "needs id as text"),
    ],
)
def test_what_is_not_known_is_refused(before: str, after: str, said: str) -> None:
    assert before in ROW
    with pytest.raises(FileProblem, match=said):
        parsed(ROW.replace(before, after))


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ROW + ROW, "stands twice"),
        (ROW.replace("[[caution]]", "[[cautions]]"), "tables"),
        (ROW.replace("[[caution]]", "[caution]"), "tables"),
        (f"version = 1\n{ROW}", "tables"),
        ("", "tables"),
        (ROW.replace("]\ntext", "\ntext"), "cannot be read"),
    ],
)
def test_a_file_of_anything_else_is_refused(text: str, said: str) -> None:
    with pytest.raises(FileProblem, match=said):
        parsed(text)


def test_an_edited_row_counts_once_the_lines_are_made_again(edited: Path) -> None:
    with (edited / "siphon.toml").open("a", encoding="utf-8") as file:
        file.write(f"\n{ROW}")
    forget()
    with pytest.raises(FileProblem, match=r"siphon\.toml is not the file"):
        cautions.judge("blend", {"abv_percent": 5.0})
    blocks.main()
    assert "a-row" in {row.id for row in cautions.rows()}
    found = cautions.judge("siphon", {"bound_bar": 18.0})
    assert cautions.verdict(found) == "stop"


def test_without_rules_there_is_no_verdict(edited: Path) -> None:
    (edited / "siphon.toml").write_text(ROW.replace("limit = 17", "limits = 17"), encoding="utf-8")
    with pytest.raises(FileProblem, match="a-row"):
        blocks.main()
    with pytest.raises(FileProblem, match="no lines of caution rows"):
        cautions.judge("siphon", {})
    shutil.rmtree(edited)
    forget()
    with pytest.raises(FileProblem, match="cautions"):
        cautions.judge("siphon", {})


@pytest.mark.parametrize("name", ["siphon.toml", "new.toml", "../air_limits.toml"])
def test_a_file_that_is_not_as_it_was_leaves_no_rows(edited: Path, name: str) -> None:
    """One that went, one that came, and one that the limits in the rows are of."""
    file = edited / name
    if file.exists():
        file.unlink()
    else:
        file.write_text(ROW, encoding="utf-8")
    forget()
    with pytest.raises(FileProblem, match=file.name):
        cautions.of("blend")


def test_a_file_that_is_no_text_is_refused(edited: Path) -> None:
    (edited / "siphon.toml").write_bytes(b"\xff\xfe")
    forget()
    with pytest.raises(FileProblem, match="is not the file"):
        cautions.load()
    with pytest.raises(FileProblem, match="cannot be read"):
        blocks.main()


def test_a_folder_without_files_is_refused(edited: Path) -> None:
    for file in edited.iterdir():
        file.unlink()
    with pytest.raises(FileProblem, match="no cautions"):
        blocks.main()


def test_more_is_kept_and_a_standing_line_is_a_note() -> None:
    (row,) = parsed(f'{ROW}more = "Ask the maker."\n')
    assert row.more == "Ask the maker."
    standing = ROW.replace(f'calculators = ["siphon"]\n{CONDITION}', STANDS)
    assert row.about == {"bound_bar"}
    with pytest.raises(FileProblem, match="is a note"):
        parsed(standing)
    (row,) = parsed(standing.replace("stop", "note"))
    assert row.standing
    assert not row.triggered({"bound_bar": 99.0})


@pytest.mark.parametrize(
    ("fact", "limit", "right"),
    [
        ("cup_known", "true", True), ("cup_known", "1", False), ("gas", '"co2"', True),
        ("gas", '["co2", "n2"]', True), ("gas", "[]", False), ("gas", "[1]", False),
        ("gas", "true", False), ("saponins_under_eu", "1.0", True),
        ("saponins_under_eu", '"1"', False), ("tags", '"raw-egg"', False),
    ],
)  # fmt: skip
def test_a_limit_is_of_the_kind_of_its_fact(fact: str, limit: str, right: bool) -> None:
    text = ROW.replace(CONDITION, f'when = [{{ fact = "{fact}", rule = "is", limit = {limit} }}]')
    if right:
        assert parsed(text)
        return
    with pytest.raises(FileProblem, match="does not fit"):
        parsed(text)


def test_a_condition_of_another_file_is_read_as_strictly() -> None:
    with pytest.raises(ValueError, match="abv_percennt"):
        cautions.condition({"fact": "abv_percennt", "rule": "above", "limit": 20})


def test_without_its_standing_lines_a_calculator_has_no_verdict(edited: Path) -> None:
    (edited / "blend.toml").unlink()
    blocks.main()
    with pytest.raises(FileProblem, match="standing line"):
        cautions.judge("blend", {})


@pytest.mark.parametrize("name", CALCULATORS)
def test_the_facts_of_a_calculator_are_of_the_kind_they_are_said_to_be(name: str) -> None:
    result = registry.run(name, forms.example(name)).result
    assert result.model_error.keys() <= result.outputs().keys()  # the ± of no value would be lost
    kinds = {"number": (int, float), "flag": (bool,), "word": (str,), "words": (frozenset, set)}
    for fact, value in {**cautions.about(result.product), **result.facts}.items():
        kind = facts.kind(fact)
        assert kind is not None, fact
        assert value is None or isinstance(value, kinds[kind]), (fact, value)


def test_a_word_that_a_row_waits_for_is_said_somewhere() -> None:
    # a misspelt one would trigger nothing, and the verdict would read clear
    package = Path(cautions.__file__).parent
    texts = [
        path.read_text(encoding="utf-8")
        for path in package.rglob("*")
        if path.suffix in (".py", ".toml") and path.parent.name != cautions.FOLDER
    ]
    said = set(re.findall(r'"([^"\n]*)"', "\n".join(texts)))
    waited = {
        word
        for row in cautions.load()
        for one in row.when
        if one.rule in ("is", "has") and isinstance(one.limit, str | tuple)
        for word in ((one.limit,) if isinstance(one.limit, str) else one.limit)
    }
    assert waited <= said, waited - said
