"""Caution rows are read strictly: what cannot be used is refused, and then there is no verdict."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from prepkit import blocks, caution_rows, cautions, facts, registry
from prepkit.errors import FileProblem
from prepkit.index import CALCULATORS
from prepkit.page import forms

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


def parsed(text: str) -> tuple[caution_rows.Row, ...]:
    return caution_rows.parsed({"cautions/a.toml": text})


def forget() -> None:
    """Rows and data are read again, as of a new run."""
    blocks.forget()
    caution_rows.forget()
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
    rows = caution_rows.read_files()
    assert caution_rows.load() == rows, MAKE
    assert caution_rows.never_beside_stop() == {row.id for row in rows if row.unless_stop}
    for name in CALCULATORS:
        assert caution_rows.of(name) == tuple(row for row in rows if row.concerns(name))


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
        caution_rows.of("blend")


def test_a_file_that_is_no_text_is_refused(edited: Path) -> None:
    (edited / "siphon.toml").write_bytes(b"\xff\xfe")
    forget()
    with pytest.raises(FileProblem, match="is not the file"):
        caution_rows.load()
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
        caution_rows.condition({"fact": "abv_percennt", "rule": "above", "limit": 20})


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
    package = Path(caution_rows.__file__).parent
    texts = [
        path.read_text(encoding="utf-8")
        for path in package.rglob("*")
        if path.suffix in (".py", ".toml") and path.parent.name != caution_rows.FOLDER
    ]
    said = set(re.findall(r'"([^"\n]*)"', "\n".join(texts)))
    waited = {
        word
        for row in caution_rows.load()
        for one in row.when
        if one.rule in ("is", "has") and isinstance(one.limit, str | tuple)
        for word in ((one.limit,) if isinstance(one.limit, str) else one.limit)
    }
    assert waited <= said, waited - said
