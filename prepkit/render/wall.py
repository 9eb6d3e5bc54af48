"""Cautions as wall sheets, as text and to print; tables for README and SAFETY.md.

At the size of A4 capitals are 8 mm high, rings and discs 50 mm, the warning 100 mm of base
[SIGN-DISTANCE]; larger paper makes all of it larger. Lines and signs are data/wall_sheets.toml.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import Any

from markupsafe import Markup

from prepkit import blocks, cautions, model
from prepkit.cautions import Row
from prepkit.errors import BadInput, FileProblem, named
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.language import ENGLISH, checked, said
from prepkit.render import fitting, signs
from prepkit.render.html import Look, page, stamp
from prepkit.render.short import as_printed
from prepkit.render.text import in_units
from prepkit.stdout import columns

# ---- cautions as wall sheets ----

BLANK = "…"
LEGEND = f"{BLANK} stands for the figure or the name of the case; a calculator fills it in."
_PLACE = re.compile(r"\{[a-z][a-z0-9_]*(?::[^{}]*)?\}")
_HEADS = {"stop": "STOP", "care": "CARE", "note": "note"}
ALWAYS = "always"


def plain(text: str) -> str:
    """A caution's text without a case: each {fact} becomes an ellipsis.

    >>> plain("It can reach {bound_bar:.1f} bar at {warmest_c:g} C.")
    'It can reach … bar at … C.'
    """
    return _PLACE.sub(BLANK, text)


def selected(kind: str | None = None, calculator: str | None = None) -> list[Row]:
    """The rows of a kind and of a calculator, by kind, most serious first, standing ones last."""
    rows = [
        row
        for row in cautions.rows()
        if (kind is None or row.kind == kind) and (calculator is None or row.concerns(calculator))
    ]
    return sorted(
        rows,
        key=lambda row: (
            cautions.KINDS.index(row.kind),
            row.standing,
            cautions.SEVERITIES.index(row.severity),
            row.id,
        ),
    )


def row_dict(row: Row) -> dict[str, object]:
    """One row in its JSON form."""
    return {
        "id": row.id,
        "kind": row.kind,
        "severity": row.severity,
        "standing": row.standing,
        "calculators": list(row.calculators),
        "text": plain(row.text),
        "action": plain(row.advice),
        "source": row.source,
    }


def row_text(row: Row, system: str = "metric") -> str:
    """One row: how serious, what can happen, what to do, where it belongs."""

    def shown(text: str) -> str:
        return as_printed(in_units(plain(text), system))

    head = ALWAYS if row.standing else _HEADS[row.severity]
    where = ", ".join("every calculator" if n == cautions.ANY else n for n in row.calculators)
    lines = (
        _fill(f"[{head}] {shown(row.text)}", "  ", "    "),
        _fill(f"-> {shown(row.advice)}", "    ", "       "),
        _fill(f"({where}; {row.id}; {row.source})", "    ", "    "),
    )
    return "\n".join(lines)


def _fill(text: str, first: str, rest: str) -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest,
        break_on_hyphens=False, break_long_words=False,
    )  # fmt: skip


def wall_text(rows: Iterable[Row], system: str = "metric") -> str:
    """The sheets, one for each kind."""
    chosen = list(rows)
    out: list[str] = []
    for kind in cautions.KINDS:
        of_kind = [row for row in chosen if row.kind == kind]
        if not of_kind:
            continue
        out += [kind.upper(), "=" * len(kind)]
        for row in of_kind:
            out += [row_text(row, system), ""]
        out += [_fill(cautions.page_line("wall"), "", ""), "", ""]
    if any(BLANK in plain(row.text + row.advice) for row in chosen):
        out.append(LEGEND)
    return "\n".join(out).rstrip() + "\n"


# ---- wall sheets to print ----

FILE, AID = "wall_sheets.toml", "first_aid.toml"
MOST_LINES = 8
SCALES = {"a4": 1.0, "a3": 2**0.5, "letter": 0.94}  # of what is drawn for A4, by the paper
SIZES = {"a4": "210mm 297mm", "a3": "297mm 420mm", "letter": "8.5in 11in"}
CAPITAL_MM = 8.0  # of the lines on A4, read at 2 m
LETTER_MM = fitting.type_mm(CAPITAL_MM)
_WIDE_MM, _SIGN_MM, _GAP_MM = 198.0, 50.0, 5.0
_BESIDE_LABEL_MM = 2.0  # between what is left blank and what is told there
# left and top of the title and of the two lines that follow the slope of the triangle
_BESIDE_MM = ((68.0, 0.0), (83.0, 27.0), (104.0, 56.0))


@dataclass(frozen=True)
class Line:
    """One line of a sheet and the key of the source that it rests on."""

    text: str
    source: str


@dataclass(frozen=True)
class WallSheet:
    """A sheet for one danger; `kinds` are the kinds of caution that it stands for."""

    name: str
    kinds: tuple[str, ...]
    signal: str
    title: str
    signs: tuple[tuple[str, ...], ...]
    lines: tuple[Line, ...]
    blanks: tuple[str, ...]


@cache
def sheets() -> tuple[WallSheet, ...]:
    """All sheets, in the order of the file. Raises FileProblem on one that cannot be used."""
    return tuple(map(_sheet, blocks.blocks(FILE, "sheet")))


def _sheet(row: dict[str, Any]) -> WallSheet:  # Any: values of a TOML file
    name = row.get("name", "without a name")
    try:
        lines = tuple(
            _line(block) for block in blocks.blocks(FILE, "line") if block["sheet"] == name
        )
        every = (blocks.table(FILE, "blanks") or {})["every"]
        of_rows = tuple(tuple(str(sign).split(" + ")) for sign in row["signs"])
        if len(lines) != 2 * len(of_rows) or len(lines) > MOST_LINES:
            raise FileProblem(
                f"the sheet {name} in {FILE} has {len(lines)} lines for {len(of_rows)} rows of "
                f"signs. A row takes two, a sheet {MOST_LINES} at most."
            )
        return WallSheet(
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
        cases = blocks.blocks(AID, "case")
        found = [str(entry["source"]) for entry in cases if entry["name"] == row["first_aid"]]
    if len(found) != 1:
        raise FileProblem(f'the line "{text}" in {FILE} rests on what is not there.')
    return Line(text, found[0])


def chosen(kind: str | None) -> tuple[WallSheet, ...]:
    """The sheets of a kind of caution, all where none is named; BadInput for one without."""
    found = tuple(sheet for sheet in sheets() if kind is None or kind in sheet.kinds)
    if not found:
        there = ", ".join(text for sheet in sheets() for text in sheet.kinds)
        raise BadInput(
            f'{named("kind")} is "{kind}", and that kind has no wall sheet; these have one: '
            f"{there}.",
            "kind",
        )
    return found


def wall_sheets(
    found: Sequence[WallSheet], on: date, paper: str = "a4", language: str = ENGLISH
) -> str:
    """The sheets as one document to print, a page each; `paper` is a key of SIZES.

    Raises BadInput where there is no catalogue of the language.
    """
    look = Look(on)
    return page(
        "wall.html",
        look,
        stamp(look, {"wall": [wall.name for wall in found]}),
        title=said("Wall sheets", checked(language), "signs"),
        language=language,
        size=SIZES[paper],
        scale=SCALES[paper],
        **parts(found, language),
    )


def parts(
    found: Sequence[WallSheet], language: str = ENGLISH, told: Mapping[str, str] | None = None
) -> dict[str, object]:
    """The sheets by the parts that a document with them shows, a lesson too.

    told: what stands on a line that is else left blank, by the English words of that line.
    """
    return {
        "type": {"line": round(LETTER_MM, 3), "small": round(fitting.SMALLEST_TYPE_MM, 3)},
        "beside": _BESIDE_MM,
        "sheets": [_shown(wall, language, told or {}) for wall in found],
        "decides": said(cautions.page_line("wall"), language, "paper"),
    }


def _shown(sheet: WallSheet, language: str, told: Mapping[str, str]) -> dict[str, object]:
    """A sheet by the parts that the page shows: four rows of signs and two lines."""

    def say(text: str) -> str:
        return said(text, language, "signs")

    words = {"danger": say("Danger"), "warning": say("Warning")}
    drawn = [[Markup(signs.drawn(word)) for word in of_row] for of_row in sheet.signs]
    texts = [say(line.text) for line in sheet.lines]
    beside = [
        _set(text, _WIDE_MM - left, bold=place == 1, tag="p" if place else "h2")
        for place, (text, (left, _)) in enumerate(
            zip([say(sheet.title), *texts[:2]], _BESIDE_MM, strict=True)
        )
    ]
    rows = []
    for at, of_row in enumerate(drawn[1:], 1):
        room = _WIDE_MM - len(of_row) * (_SIGN_MM + _GAP_MM)
        pair = texts[2 * at : 2 * at + 2]
        set_ = [_set(text, room, bold=not place) for place, text in enumerate(pair)]
        rows.append({"signs": of_row, "texts": set_})
    return {
        "signal": sheet.signal,
        "word": words[sheet.signal],
        "first": {"signs": drawn[0], "texts": beside},
        "rows": rows,
        "blanks": [(say(blank), _told(say(blank), told.get(blank, ""))) for blank in sheet.blanks],
        "alert": Markup(signs.alert(sheet.signal)),
    }


def _told(label: str, told: str) -> tuple[str, ...]:
    """What is told, broken for its place beside the label; nothing where it is too long for it.

    Nothing is cut and nothing runs into the next line: the place is then left to write on.
    """
    size_mm = fitting.SMALLEST_TYPE_MM
    room_mm = (_WIDE_MM - _GAP_MM) / 2 - fitting.width(label, False) * size_mm - _BESIDE_LABEL_MM
    return fitting.fitted([told], room_mm, size_mm, 2, bold=True) or ()


def _set(text: str, wide_mm: float, bold: bool, **more: object) -> dict[str, object]:
    """A line broken for its place. Raises FileProblem where it is too long for it."""
    broken = fitting.fitted([text], wide_mm, LETTER_MM, 2, bold)
    if broken is None:
        raise FileProblem(f'"{text}" in {FILE} is too long for its place; say it shorter.')
    wide = wide_mm / LETTER_MM
    while len(narrower := fitting.lines(text, wide - 0.1, bold)) == len(broken):  # of like length
        if " ".join(narrower).split() != text.split():  # a word would be cut
            break
        broken, wide = narrower, wide - 0.1
    return {"lines": broken, "bold": bold, **more}


# ---- tables for the README and SAFETY.md, made from the data so that they cannot go stale ----


def _cell(text: str) -> str:
    return " ".join(text.replace("|", "\\|").split())


def table(headers: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A markdown table; bars in cells are escaped."""
    heads = list(headers)
    lines = [f"| {' | '.join(heads)} |", f"|{'---|' * len(heads)}"]
    lines += [f"| {' | '.join(_cell(cell) for cell in row)} |" for row in rows]
    return "\n".join(lines)


def calculators() -> str:
    """The calculators by family."""
    return table(
        ("command", "what it answers", "family"),
        ((f"`{name}`", text, FAMILIES[family]) for name, (_, family, text) in CALCULATORS.items()),
    )


def triggered_cautions() -> str:
    """Every caution that a result can trigger, by kind and severity."""
    rows = [row for row in cautions.rows() if not row.standing]
    rows.sort(
        key=lambda r: (
            cautions.KINDS.index(r.kind), cautions.SEVERITIES.index(r.severity), r.id,
        )
    )  # fmt: skip
    return table(
        ("kind", "severity", "what can happen", "what to do", "id", "source"),
        ((r.kind, r.severity, r.text, r.advice, f"`{r.id}`", r.source) for r in rows),
    )


def _point(head: str, text: str, key: str) -> str:
    return textwrap.fill(
        f"- **{head}:** {text} [{key}]", 100, subsequent_indent="  ",
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip


def first_minute() -> str:
    """The first act by case, each with the key of its source."""
    rows = [row for row in blocks.blocks(AID, "case") if "minute" in row]
    return "\n".join(_point(row["when"].rstrip("."), row["minute"], row["source"]) for row in rows)


def first_aid() -> str:
    """What to do by case, each with the key of its source."""
    rows = blocks.blocks(AID, "case")
    return "\n".join(_point(row["name"], row["do"], row["source"]) for row in rows)


def standing_cautions() -> str:
    """The three lines that stand on every calculator."""
    rows = [row for row in cautions.rows() if row.standing]
    order = list(CALCULATORS)
    rows.sort(key=lambda r: (order.index(r.calculators[0]), cautions.KINDS.index(r.kind)))
    return table(
        ("calculator", "kind", "what can happen", "what to do"),
        ((f"`{r.calculators[0]}`", r.kind, r.text, r.advice) for r in rows),
    )


def caution_sources() -> str:
    """The sources that the cautions rest on and how each was obtained."""
    keys = dict.fromkeys(row.source for row in cautions.rows())
    return table(
        ("source", "what it is", "obtained"),
        ((s.key, s.title, s.obtained) for s in model.cited(sorted(keys))),
    )
