"""Wall sheets: eight lines that rest on cautions, signs by the standard, one printed page each."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from page import browsing
from render import paper
from render.page_reader import assert_stands_alone, read

from prepkit import blocks, cautions, model
from prepkit.cli import main
from prepkit.errors import FileProblem
from prepkit.language import languages
from prepkit.render import fitting, signs, wall
from prepkit.render.wall import SCALES, SIZES, WallSheet, sheets, wall_sheets

ON = date(2026, 11, 29)
# no browser or no pdftotext on this machine: nothing is printed to measure
prints = pytest.mark.skipif(bool(paper.WHY), reason=paper.WHY or "there is a browser")
NAMES = ["pressure", "cryogen", "inhalation", "acid", "fire", "allergen"]


def called(name: str) -> WallSheet:
    return next(one for one in sheets() if one.name == name)


@pytest.fixture(scope="module")
def window(browser: Any) -> Iterator[Any]:
    with browsing.opened(browser) as page:
        yield page


def test_there_is_one_for_each_danger() -> None:
    assert [one.name for one in sheets()] == NAMES
    kinds = [kind for one in sheets() for kind in one.kinds]
    assert len(kinds) == len(set(kinds))
    assert set(kinds) <= set(cautions.KINDS)
    assert set(cautions.MUST_STAND) <= set(kinds)


@pytest.mark.parametrize("name", NAMES)
def test_a_sheet_is_eight_short_lines_that_rest_on_what_is_known(name: str) -> None:
    sheet = called(name)
    assert len(sheet.lines) == 2 * len(sheet.signs) == 8
    assert sheet.signal in ("danger", "warning")
    for line in sheet.lines:
        assert len(line.text.split()) <= 9
        assert model.source_of(line.source) is not None
        assert line.text.endswith((".", "?"))
        assert not re.search(r"--|[{}…_\[\]]|\bsafe", line.text)
    assert sheet.blanks[:3] == ("Emergency number", "Nearest gas shut-off", "Competent person")
    assert len(sheet.blanks) == 4
    assert sheet.blanks[3]


def test_no_line_says_more_than_its_caution() -> None:
    """A number in a line is one of the caution or the first aid it rests on."""
    first_aid = {row["name"]: row["do"] for row in blocks.blocks("first_aid.toml", "case")}
    rows = {row.id: f"{row.text} {row.action} {row.more}" for row in cautions.rows()}
    for line in blocks.blocks(wall.FILE, "line"):
        rests = rows.get(line.get("caution", ""), "") + first_aid.get(line.get("first_aid", ""), "")
        assert rests
        for number in re.findall(r"\d+", line["text"]):
            assert re.search(rf"\b{number}\b", rests), line


def test_the_sheet_for_cryogens_says_oxygen_and_who_must_not_go_in() -> None:
    told = " ".join(line.text for line in called("cryogen").lines)
    for words in ("oxygen", "Never seal", "Do not go in", "All gone"):
        assert words in told


def test_the_sheet_for_gas_names_each_gas_and_the_low_figure_of_oxygen() -> None:
    told = " ".join(line.text for line in called("inhalation").lines).lower()
    for words in ("low oxygen", "19.5 %", "carbon dioxide", "nitrous oxide", "carbon monoxide"):
        assert words in told
    assert "Vent in moving air, never in a cellar." in {
        line.text for line in called("pressure").lines
    }


def test_danger_is_for_what_will_kill_and_acids_show_two_diamonds() -> None:
    danger = {one.name for one in sheets() if one.signal == "danger"}
    assert danger == {"cryogen", "inhalation"}
    assert called("acid").signs[-1] == ("hazard corrosive", "hazard irritant")


@pytest.mark.parametrize("words", ["warning", "warning cold bath", "ring cold", "", "cold warning"])
def test_a_sign_that_is_not_there_is_no_sign(words: str) -> None:
    with pytest.raises(FileProblem, match="no sign"):
        signs.drawn(words)


@pytest.mark.parametrize(
    "line",
    [{"text": "x"}, {"text": "x", "caution": "no-such"}, {"text": "x", "first_aid": "no such"},
     {"text": "x", "caution": "siphon-opening", "first_aid": "Acid in the eye"}],
)  # fmt: skip
def test_a_line_that_rests_on_nothing_is_refused(line: dict[str, str]) -> None:
    with pytest.raises(FileProblem, match="rests on"):
        wall._line(line)


def test_a_sheet_with_a_line_too_few_is_refused() -> None:
    row = dict(next(blocks.blocks(wall.FILE, "sheet")))
    with pytest.raises(FileProblem, match="8 lines for 3 rows"):
        wall._sheet({**row, "signs": row["signs"][:3]})
    with pytest.raises(FileProblem, match="cannot be used"):
        wall._sheet({key: one for key, one in row.items() if key != "own"})


def test_no_word_of_a_line_is_cut_to_make_its_lines_alike() -> None:
    assert wall._set("Alkoholdampf brennt.", 115, True)["lines"] == ("Alkoholdampf", "brennt.")


@pytest.mark.parametrize("language", [one for one in languages() if one != "en"])
def test_the_sheets_fit_in_another_language_too(language: str) -> None:
    """Every word of them is in the catalogue, and finds its place in letters for 2 m."""
    for sheet, english in zip(wall.parts(sheets(), language)["sheets"], sheets(), strict=True):
        texts = [*sheet["first"]["texts"], *(one for row in sheet["rows"] for one in row["texts"])]
        told = [" ".join(one["lines"]) for one in texts]
        for one, other in zip(told, [english.title, *(x.text for x in english.lines)], strict=True):
            assert one != other or one == "Allergens", one
        assert set(sheet["blanks"]).isdisjoint(english.blanks)
    text = wall_sheets(sheets(), ON, "a4", language)
    assert f'<html lang="{language}">' in text


def test_a_line_that_is_too_long_is_refused() -> None:
    with pytest.raises(FileProblem, match="too long"):
        wall._set("Never seal it in a bottle, a siphon, a shaker or a tight box.", 100, True)


def test_signs_have_the_proportions_of_the_standard() -> None:
    ring = signs.drawn("prohibition person")  # in a square of 100: ring 0.1, bar 0.08, over all
    assert f'r="45" fill="none" stroke="{signs.RED}" stroke-width="10"' in ring
    assert ring.endswith(f'stroke="{signs.RED}" stroke-width="8"/></svg>')
    red = 3.14159 * (50**2 - 40**2) + 8 * 80
    assert red / (3.14159 * 50**2) >= 0.35
    triangle = signs.drawn("warning cold")
    assert f'fill="{signs.YELLOW}" stroke="{signs.BLACK}" stroke-width="6"' in triangle
    assert signs.BLUE in signs.drawn("mandatory vent")
    assert signs.GREEN in signs.drawn("safe exit")


@pytest.mark.parametrize("name", NAMES)
def test_every_sign_of_a_sheet_is_drawn_and_hidden_from_a_reader(name: str) -> None:
    text = wall_sheets([called(name)], ON)
    assert_stands_alone(text)
    page = read(text)
    drawn = list(page.all("svg"))
    assert len(drawn) == 1 + sum(len(row) for row in called(name).signs)
    assert all(one.has("aria-hidden", "true") for one in drawn)
    told = page.first("main").text
    for line in called(name).lines:
        assert " ".join(line.text.split()) in " ".join(told.split())


def test_letters_and_signs_are_read_at_two_metres() -> None:
    """8 mm, 50 mm and 100 mm for 2 m [SIGN-DISTANCE]; a three hundredth of 2 m is less."""
    assert wall.CAPITAL_MM == 8.0
    assert 2 * fitting.READ_PER_M_MM < wall.CAPITAL_MM
    text = wall_sheets(sheets(), ON)
    assert "width: calc(100 * var(--u)); height: calc(86.6 * var(--u))" in text
    assert "width: calc(50 * var(--u)); height: calc(50 * var(--u))" in text


@prints
@pytest.mark.parametrize("name", SIZES)
def test_each_is_one_page_with_nothing_cut_off(name: str, window: Any, tmp_path: Path) -> None:
    pages = paper.printed(window, wall_sheets(sheets(), ON, name), tmp_path)
    size = {"a4": (210, 297), "a3": (297, 420), "letter": (215.9, 279.4)}[name]
    assert len(pages) == len(NAMES)
    for page, sheet in zip(pages, sheets(), strict=True):
        assert (page.wide, page.high) == pytest.approx(size, abs=0.5)
        assert page.inside(4.5)
        assert not paper.overlapping(page)
        told = page.text
        lines = [line.text for line in sheet.lines]
        said = [sheet.signal.upper(), sheet.title, *sheet.blanks, *lines]
        for words in (*said, cautions.page_line("wall")):
            assert words in told, words
    sizes = paper.type_sizes(window)
    every = [line.text for sheet in sheets() for line in sheet.lines]
    scale = SCALES[name]
    for text, size_mm in sizes.items():
        capital = fitting.CAPITAL * size_mm
        assert capital >= 3.0 * scale - 0.01, text
        if any(text in line for line in every):
            assert capital >= 8.0 * scale - 0.01, text


@prints
def test_signs_stand_apart_on_the_page(window: Any, tmp_path: Path) -> None:
    file = tmp_path / "page.html"
    file.write_text(wall_sheets(sheets(), ON), encoding="utf-8")
    window.goto(file.as_uri())
    window.emulate_media(media="print")
    boxes = window.evaluate(
        """() => [...document.querySelectorAll(".sign")].map(one => {
          const box = one.getBoundingClientRect();
          const mm = 25.4 / 96;
          return [one.classList[1], box.width * mm, box.height * mm];
        })"""
    )
    assert len(boxes) == sum(len(row) for sheet in sheets() for row in sheet.signs)
    for shape, wide, high in boxes:
        assert wide >= (99.9 if shape == "warning" else 49.9), shape
        assert high >= (86.5 if shape == "warning" else 49.9), shape


# from the command line


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err


@pytest.mark.parametrize(
    ("more", "count"),
    [("", 6), ("--kind pressure", 1), ("--kind heat --paper a3", 1), ("--kind FIRE", 1)],
)
def test_they_are_printed(more: str, count: int, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = call(f"cautions --format html {more}", capsys)
    assert code == 0
    assert len(list(read(out).all("article"))) == count


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("--kind keeping --format html", "has no wall sheet"),
        ("--kind zzz --format html", "is no kind of caution"),
        ("--calculator siphon --format html", "leave out --calculator"),
        ("--json --format html", "JSON is of all cautions"),
        ("--paper a3", "--paper is for wall sheets"),
        ("--paper b5 --format html", "a3"),
        ("--language de", "--language is for wall sheets"),
        ("--language zz --format html", "must be one of en"),
    ],
)
def test_bad_words_are_one_sentence(
    words: str, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(f"cautions {words}", capsys)
    assert code == 2
    assert told in err + out
    assert len((err + out).splitlines()) == 1


def test_a_file_is_written_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    words = f"cautions --kind acid --format html --out {tmp_path / 'acid.html'}"
    assert call(words, capsys)[0] == 0
    assert call(words, capsys)[0] == 4
    assert call(f"{words} --force", capsys)[0] == 0
