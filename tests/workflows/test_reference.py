"""The commands that look things up: wall sheets, sources, the pantry."""

from __future__ import annotations

import json
import re
import shlex

import pytest
from each import each

from prepkit import cautions, model
from prepkit.cautions import Row
from prepkit.cli import main
from prepkit.index import CALCULATORS
from prepkit.render import wall


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def squeezed(text: str) -> str:
    """Text without line breaks and indents."""
    return " ".join(text.split())


# wall sheets


@each(cautions.rows(), lambda row: str(row.id))
def test_no_placeholder_is_left_in_a_wall_text(row: Row) -> None:
    for text in (row.text, row.action):
        assert "{" not in wall.plain(text)
        assert "}" not in wall.plain(text)


def test_all_sheets_hold_every_row_once(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("cautions", capsys)
    assert code == 0
    told = squeezed(out)
    for row in cautions.rows():
        assert told.count(f" {row.id}; {row.source})") == 1, row.id


def test_a_kind_is_one_sheet_most_serious_first(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("cautions --kind pressure", capsys)
    assert code == 0
    assert "PRESSURE" in out
    assert "INHALATION" not in out
    heads = re.findall(r"^  \[(STOP|CARE|note|always)\]", out, re.MULTILINE)
    order = [("STOP", "CARE", "note", "always").index(head) for head in heads]
    assert order == sorted(order)
    assert heads[0] == "STOP"
    assert len(heads) == sum(row.kind == "pressure" for row in cautions.rows())
    assert "decide" in out


@pytest.mark.parametrize("name", CALCULATORS)
def test_a_calculators_sheet_has_its_three_standing_lines(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, _ = call(f"cautions --calculator {name} --json", capsys)
    assert code == 0
    rows = json.loads(out)["cautions"]
    assert sorted(row["kind"] for row in rows if row["standing"]) == sorted(cautions.MUST_STAND)
    assert all({name, "any"} & set(row["calculators"]) for row in rows)
    assert any(row["calculators"] == ["any"] for row in rows)


def test_an_ellipsis_is_explained(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = call("cautions --kind pressure --calculator siphon", capsys)
    assert "rated … bar" in squeezed(out)
    assert wall.LEGEND in squeezed(out)


@pytest.mark.parametrize(
    ("words", "because"),
    [
        ("cautions --kind presure", "pressure"),
        ("cautions --kind zzz", "they are"),
        ("cautions --calculator sifon", "siphon"),
        ("sources SIPHON-RECALL", "SIPHON-RECALLS"),
        ("sources --calculator sifon", "siphon"),
        ("sources --obtained zzz", "read, memory, practice, computed"),
        ("pantry lemn juic", "lemon juice"),
        ("pantry cream 90 %", "18 to 48"),
        ("pantry lemon juice 12 %", "takes no strength"),
    ],
)
def test_bad_words_get_one_sentence(
    words: str, because: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(words, capsys)
    assert code == 2
    assert out == ""
    assert err.startswith("prepkit: ")
    assert err.strip().count("\n") == 0
    assert because in err


# sources


def test_every_source_and_the_cautions_on_it(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("sources --json", capsys)
    assert code == 0
    rows = json.loads(out)["sources"]
    assert [row["key"] for row in rows] == list(dict.fromkeys(model.source_keys()))
    resting = {one: row["key"] for row in rows for one in row["cautions"]}
    assert resting == {row.id: row.source for row in cautions.rows()}
    for row in rows:
        assert row["obtained"].split(",")[0] in model.OBTAINED


def test_one_source_says_how_it_was_obtained(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("sources siphon-recalls", capsys)
    assert code == 0
    assert out.startswith("SIPHON-RECALLS [read]")
    assert "siphon-inspection-overdue" in out
    assert "read in a public copy" in out


def test_what_rests_on_a_source(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("sources PARTIAL-VOLUME", capsys)
    assert code == 0
    said = squeezed(out)
    assert "siphon: dissolved under pressure" in said
    assert "science.dissolved_gas.pressure_factor" in said
    code, out, _ = call("sources CODEX-212", capsys)
    assert "pantry: white sugar" in squeezed(out)
    code, out, _ = call("sources SPS-3", capsys)
    assert "Goes into: PREPKIT-BRIX" in squeezed(out)
    assert "SUG-17" in out


def test_sources_of_one_calculator(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call("sources --calculator room --json", capsys)
    assert code == 0
    keys = {row["key"] for row in json.loads(out)["sources"]}
    assert {"BGN-ASI-6-80", "GAS-EOS"} <= keys
    assert not {"VAVRINECZ", "PREPKIT-ACID"} & keys
    code, out, _ = call("sources --calculator siphon --obtained memory --json", capsys)
    rows = json.loads(out)["sources"]
    assert {"PARTIAL-VOLUME", "STORED-ENERGY", "PREPKIT-DISSOLVED"} <= {r["key"] for r in rows}
    assert all("memory" in row["obtained"] for row in rows)
    assert all(step.startswith("siphon: ") for row in rows for step in row["steps"])


# pantry
