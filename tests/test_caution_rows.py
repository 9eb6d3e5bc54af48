"""Caution rows are read strictly: what cannot be used is refused, and then there is no verdict."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from prepkit import blocks, caution_rows, caution_table, cautions, facts, registry
from prepkit.errors import FileProblem
from prepkit.index import CALCULATORS
from prepkit.page import forms

MAKE = "run: python -m prepkit.caution_rows"
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


@pytest.fixture
def edited(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A copy of the data that a test may change."""
    data = tmp_path / "data"
    shutil.copytree(blocks.DATA, data)
    caches = (
        blocks.read,
        blocks.names,
        caution_rows.load,
        cautions.candidates,
        cautions._watched,
        cautions._stops,
        cautions._never_beside_stop,
    )
    monkeypatch.setattr(blocks, "DATA", str(data))
    for one in caches:
        one.cache_clear()
    yield data / "cautions"
    monkeypatch.undo()
    for one in caches:
        one.cache_clear()


def test_the_table_is_that_of_the_files() -> None:
    path = Path(caution_rows.__file__).with_name("caution_table.py")
    assert path.read_text(encoding="utf-8") == caution_rows.table_text(), MAKE
    assert caution_rows.read_files() == caution_table.ROWS, MAKE


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


def test_an_edited_row_counts_at_once(edited: Path) -> None:
    """The table is then of other files than these, and the files are read."""
    file = edited / "siphon.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(f"{text}\n{ROW}", encoding="utf-8")
    assert "a-row" in {row.id for row in cautions.rows()}
    found = cautions.judge("siphon", {"bound_bar": 18.0})
    assert cautions.verdict(found) == "stop"


def test_without_rules_there_is_no_verdict(edited: Path) -> None:
    (edited / "siphon.toml").write_text(ROW.replace("limit = 17", "limits = 17"), encoding="utf-8")
    with pytest.raises(FileProblem, match="a-row"):
        registry.run("blend", {"part": ["1 l water"]})
    shutil.rmtree(edited)
    blocks.names.cache_clear()
    with pytest.raises(FileProblem, match="cautions"):
        registry.run("blend", {"part": ["1 l water"]})


def test_a_file_that_is_no_text_is_refused(edited: Path) -> None:
    (edited / "siphon.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(FileProblem, match="cannot be read"):
        caution_rows.load()


def test_a_folder_without_files_is_refused(edited: Path) -> None:
    for file in edited.iterdir():
        file.unlink()
    with pytest.raises(FileProblem, match="no cautions"):
        caution_rows.load()


def test_the_table_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "table.py"
    monkeypatch.setattr(caution_rows, "TABLE", str(path))
    caution_rows.main()
    assert path.read_text(encoding="utf-8") == caution_rows.table_text()


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
    with pytest.raises(FileProblem, match="standing line"):
        cautions.judge("blend", {})


def test_without_the_table_the_files_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "prepkit.caution_table", None)
    caution_rows.load.cache_clear()
    try:
        assert caution_rows.load() == caution_table.ROWS
    finally:
        caution_rows.load.cache_clear()


def test_an_answer_reads_no_toml_of_cautions() -> None:
    code = (
        "from prepkit import caution_rows, registry\n"
        "caution_rows.read_files = None\n"
        "registry.run('blend', {'part': ['1 l water']})"
    )
    subprocess.run([sys.executable, "-c", code], check=True, timeout=60)


@pytest.mark.parametrize("name", CALCULATORS)
def test_the_facts_of_a_calculator_are_of_the_kind_they_are_said_to_be(name: str) -> None:
    result = registry.run(name, forms.example(name)).result
    kinds = {"number": (int, float), "flag": (bool,), "word": (str,), "words": (frozenset, set)}
    for fact, value in {**cautions.about(result.product), **result.facts}.items():
        kind = facts.kind(fact)
        assert kind is not None, fact
        assert value is None or isinstance(value, kinds[kind]), (fact, value)
