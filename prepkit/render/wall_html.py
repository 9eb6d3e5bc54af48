"""Wall sheets to print: one page for each danger, eight lines, signs that are read at 2 m.

At the size of A4 capitals are 8 mm high, rings and discs 50 mm, the warning 100 mm of base
[SIGN-DISTANCE]; larger paper makes all of it larger. Lines and signs are data/wall_sheets.toml.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from markupsafe import Markup

from prepkit import blocks, cautions
from prepkit.errors import BadInput, FileProblem, named
from prepkit.render import fitting, signs
from prepkit.render.html import Look, page, stamp

FILE = "wall_sheets.toml"
MOST_LINES = 8
SCALES = {"a4": 1.0, "a3": 2**0.5, "letter": 0.94}  # of what is drawn for A4, by the paper
SIZES = {"a4": "210mm 297mm", "a3": "297mm 420mm", "letter": "8.5in 11in"}
CAPITAL_MM = 8.0  # of the lines on A4, read at 2 m
LETTER_MM = fitting.type_mm(CAPITAL_MM)
_WIDE_MM, _SIGN_MM, _GAP_MM = 198.0, 50.0, 5.0
# left and top of the title and of the two lines that follow the slope of the triangle
_BESIDE_MM = ((68.0, 0.0), (83.0, 27.0), (104.0, 56.0))


@dataclass(frozen=True)
class Line:
    """One line of a sheet and the key of the source that it rests on."""

    text: str
    source: str


@dataclass(frozen=True)
class Sheet:
    """A sheet for one danger; `kinds` are the kinds of caution that it stands for."""

    name: str
    kinds: tuple[str, ...]
    signal: str
    title: str
    signs: tuple[tuple[str, ...], ...]
    lines: tuple[Line, ...]
    blanks: tuple[str, ...]


@cache
def sheets() -> tuple[Sheet, ...]:
    """All sheets, in the order of the file. Raises FileProblem on one that cannot be used."""
    return tuple(map(_sheet, blocks.blocks(FILE, "sheet")))


def _sheet(row: dict[str, Any]) -> Sheet:  # Any: values of a TOML file
    name = row.get("name", "without a name")
    try:
        lines = tuple(_line(one) for one in blocks.blocks(FILE, "line") if one["sheet"] == name)
        every = (blocks.table(FILE, "blanks") or {})["every"]
        of_rows = tuple(tuple(str(one).split(" + ")) for one in row["signs"])
        if len(lines) != 2 * len(of_rows) or len(lines) > MOST_LINES:
            raise FileProblem(
                f"the sheet {name} in {FILE} has {len(lines)} lines for {len(of_rows)} rows of "
                f"signs. A row takes two, a sheet {MOST_LINES} at most."
            )
        return Sheet(
            str(row["name"]), tuple(map(str, row["kinds"])), str(row["signal"]),
            str(row["title"]), of_rows, lines, (*every, str(row["own"])),
        )  # fmt: skip
    except (KeyError, TypeError) as error:
        raise FileProblem(f"the sheet {name} in {FILE} cannot be used: {error}.") from error


def _line(row: dict[str, Any]) -> Line:  # Any: values of a TOML file
    """A line with the source of the caution or of the first aid that it rests on."""
    text = str(row["text"])
    if ("caution" in row) == ("first_aid" in row):
        raise FileProblem(f'the line "{text}" in {FILE} rests on a caution or on first aid.')
    if "caution" in row:
        found = [one.source for one in cautions.rows() if one.id == row["caution"]]
    else:
        cases = blocks.blocks("first_aid.toml", "case")
        found = [str(one["source"]) for one in cases if one["name"] == row["first_aid"]]
    if len(found) != 1:
        raise FileProblem(f'the line "{text}" in {FILE} rests on what is not there.')
    return Line(text, found[0])


def chosen(kind: str | None) -> tuple[Sheet, ...]:
    """The sheets of a kind of caution, all where none is named; BadInput for one without."""
    found = tuple(one for one in sheets() if kind is None or kind in one.kinds)
    if not found:
        there = ", ".join(one for sheet in sheets() for one in sheet.kinds)
        raise BadInput(
            f'{named("kind")} is "{kind}", and that kind has no wall sheet; these have one: '
            f"{there}.",
            "kind",
        )
    return found


def wall_sheets(found: Sequence[Sheet], on: date, paper: str = "a4") -> str:
    """The sheets as one document to print, a page each; `paper` is a key of SIZES."""
    look = Look(on)
    return page(
        "wall.html",
        look,
        stamp(look, {"wall": [one.name for one in found]}),
        title="Wall sheets" if len(found) > 1 else f"Wall sheet: {found[0].title}",
        size=SIZES[paper],
        scale=SCALES[paper],
        type={"line": round(LETTER_MM, 3), "small": round(fitting.SMALLEST_TYPE_MM, 3)},
        beside=_BESIDE_MM,
        sheets=[_shown(one) for one in found],
        decides=cautions.page_line("wall"),
    )


def _shown(sheet: Sheet) -> dict[str, object]:
    """A sheet by the parts that the page shows: four rows of signs and two lines."""
    drawn = [[Markup(signs.drawn(one)) for one in of_row] for of_row in sheet.signs]
    texts = [line.text for line in sheet.lines]
    beside = [
        _set(words, _WIDE_MM - left, bold=place == 1, tag="p" if place else "h2")
        for place, (words, (left, _)) in enumerate(
            zip([sheet.title, *texts[:2]], _BESIDE_MM, strict=True)
        )
    ]
    rows = []
    for at, of_row in enumerate(drawn[1:], 1):
        room = _WIDE_MM - len(of_row) * (_SIGN_MM + _GAP_MM)
        pair = texts[2 * at : 2 * at + 2]
        set_ = [_set(words, room, bold=not place) for place, words in enumerate(pair)]
        rows.append({"signs": of_row, "texts": set_})
    return {
        "signal": sheet.signal,
        "first": {"signs": drawn[0], "texts": beside},
        "rows": rows,
        "blanks": sheet.blanks,
        "alert": Markup(signs.alert(sheet.signal)),
    }


def _set(text: str, wide_mm: float, bold: bool, **more: object) -> dict[str, object]:
    """A line broken for its place. Raises FileProblem where it is too long for it."""
    broken = fitting.fitted([text], wide_mm, LETTER_MM, 2, bold)
    if broken is None:
        raise FileProblem(f'"{text}" in {FILE} is too long for its place; say it shorter.')
    wide = wide_mm / LETTER_MM
    while len(narrower := fitting.lines(text, wide - 0.1, bold)) == len(broken):  # of like length
        broken, wide = narrower, wide - 0.1
    return {"lines": broken, "bold": bold, **more}
