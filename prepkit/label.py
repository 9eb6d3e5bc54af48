"""What a label says, and the sheets of cells that labels are printed on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from prepkit import blocks, jurisdictions
from prepkit.errors import BadInput, FileProblem, named
from prepkit.shared.keeping import UseBy

if TYPE_CHECKING:
    from prepkit.sheet import ValueSheet

# ---- what a label says, as it is handed from the plan to those who print it ----

LISTS = jurisdictions.LISTS
JURISDICTIONS = tuple(LISTS)
MOST_OPENED_DAYS = 365


class Content(NamedTuple):
    """One ingredient as it went in; `allergens` are the words to emphasise at it."""

    name: str
    g: float
    allergens: tuple[str, ...] = ()
    strained: bool = False


@dataclass(frozen=True)
class Label:
    """All that a label says; readings are those of the answer, each with label, unit, digits."""

    name: str
    calculator: str
    made: date
    use_by: UseBy
    g: float
    ml: float | None
    contents: tuple[Content, ...]
    contains: tuple[str, ...]  # the allergens to declare, by the list of the jurisdiction
    apart: tuple[str, ...]  # of these, what no ingredient in the list stands for
    also: tuple[str, ...]  # allergens of the other list
    jurisdiction: str
    readings: tuple[ValueSheet, ...]
    charged: str
    strength: str  # of a stock, in its own words
    hazards: tuple[tuple[str, str], ...]  # kind, words
    verdict: str
    inputs: Mapping[str, object]
    item: str = ""  # its id in the recipe
    shorts: tuple[str, ...] = ()  # the hazards in the words of a printed label
    sign: str = ""  # the sign of the gravest of them
    opened_days: int | None = None  # once opened; the user's own rule
    bottle: str = ""  # which of how many, where the batch is divided


class NoLabel(NamedTuple):
    """What must not be made has no label, but the reasons."""

    name: str
    calculator: str
    made: date
    reasons: tuple[str, ...]
    inputs: Mapping[str, object]
    verdict: str = "stop"
    item: str = ""


# ---- how a sheet of labels is divided ----

FILE = "label_sheets.toml"
ROLL = "roll"
PAPERS_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a5": (148.0, 210.0)}
ROLL_WIDE_MM = 80.0  # a receipt roll; its label ends where what it says ends
LEAST_MM, MOST_MM = 15.0, 300.0  # sides of one cell that are taken
MOST_CELLS = 100
EXAMPLE = "3 x 8 of 64.6 x 33.8 mm"
_NUMBER = r"(\d{1,4}(?:[.,]\d{1,3})?)"
_PAIR = rf"{_NUMBER}\s*[x×]\s*{_NUMBER}\s*(mm|cm|in)"
_CELLS = re.compile(
    rf"(?P<columns>\d{{1,3}})\s*[x×]\s*(?P<rows>\d{{1,3}})\s+of\s+(?P<cell>{_PAIR})"
    rf"(?:,\s*margin\s+(?P<margin>{_PAIR}))?(?:,\s*gap\s+(?P<gap>{_PAIR}))?",
    re.IGNORECASE,
)
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}
Pair = tuple[float, float]


@dataclass(frozen=True)
class LabelSheet:
    """Cells on a paper, mm: across and down; a roll has one cell, of its own length (0)."""

    name: str
    paper: Pair
    columns: int
    rows: int
    cell: Pair
    margin: Pair
    gap: Pair

    @property
    def count(self) -> int:
        """How many labels a sheet takes."""
        return self.columns * self.rows

    @property
    def endless(self) -> bool:
        """Whether the paper ends where the label ends."""
        return not self.paper[1]


@cache
def listed() -> tuple[tuple[LabelSheet, str, bool], ...]:
    """The sheets of the file, each with its paper and whether it is the usual one.

    Raises FileProblem on one that cannot be used.
    """
    found = []
    for row in blocks.blocks(FILE, "sheet"):
        name = row.get("name", "without a name")
        try:
            cell, margin, gap = (_pair(row[key]) for key in ("cell", "margin", "gap"))
            sheet = LabelSheet(
                str(row["name"]), PAPERS_MM[row["paper"]], int(row["columns"]), int(row["rows"]),
                cell, margin, gap,
            )  # fmt: skip
        except (KeyError, TypeError, ValueError) as error:
            raise FileProblem(f"the sheet {name} in {FILE} cannot be used: {error}.") from error
        if _over(sheet):
            raise FileProblem(f"the sheet {name} in {FILE} is larger than its paper.")
        found.append((sheet, str(row["paper"]), bool(row.get("usual"))))
    return tuple(found)


def _pair(value: list[float]) -> Pair:
    across, down = value
    return float(across), float(down)


def on(paper: str, count: int | None = None) -> LabelSheet:
    """The sheet of a paper with so many labels, the usual one where no count is said.

    `paper` is a4, letter, a5 or roll; a roll takes one at a time. Raises BadInput where no sheet
    of that count is listed.

    >>> on("a4", 24).cell
    (64.6, 33.8)
    >>> on("roll").endless
    True
    """
    if paper == ROLL:
        return LabelSheet(ROLL, (ROLL_WIDE_MM, 0.0), 1, 1, (ROLL_WIDE_MM, 0.0), (0, 0), (0, 0))
    of_paper = [(sheet, usual) for sheet, name, usual in listed() if name == paper]
    for sheet, usual in of_paper:
        if sheet.count == count or (count is None and usual):
            return sheet
    counts = ", ".join(str(sheet.count) for sheet, _ in of_paper)
    raise BadInput(
        f"{named('per_sheet')} is {count}, and no sheet of {count} labels on {paper} is listed. "
        f"Take {counts}, or give your own cells in mm.",
        "per_sheet",
    )


def own(words: str, paper: str) -> LabelSheet:
    """A sheet in a user's words: columns x rows of width x height, with margin and gap if given.

    Without a margin the cells stand in the middle of the paper. On a roll it is one cell, and the
    paper has its size. Raises BadInput where it cannot be read or is larger than the paper.

    >>> own("3 x 8 of 64.6 x 33.8 mm, gap 2.5 x 0 mm", "a4").margin
    (5.6, 13.3)
    >>> own("1 x 1 of 60 x 40 mm", "roll").paper
    (60.0, 40.0)
    """
    tidy = " ".join(words.split())
    match = _CELLS.fullmatch(tidy)
    if match is None:
        raise BadInput(
            f"{named('cells', tidy[:60])} cannot be read. Write columns x rows of width x height, "
            f'such as "{EXAMPLE}, margin 5.6 x 13.2 mm, gap 2.5 x 0 mm".',
            "cells",
        )
    columns, rows = int(match["columns"]), int(match["rows"])
    cell = _mm(match["cell"])
    gap = _mm(match["gap"]) if match["gap"] else (0.0, 0.0)
    if not 1 <= columns * rows <= MOST_CELLS:
        raise BadInput(
            f'{named("cells", tidy)}: a sheet takes 1 to {MOST_CELLS} labels.', "cells"
        )  # fmt: skip
    for side in cell:
        if not LEAST_MM <= side <= MOST_MM:
            raise BadInput(
                f"{named('cells', tidy)}: a label is {LEAST_MM:g} to {MOST_MM:g} mm on each side, "
                f"not {side:g} mm.",
                "cells",
            )
    if paper == ROLL:
        if columns * rows != 1 or match["margin"] or match["gap"]:
            raise BadInput(
                f'{named("cells", tidy)}: a roll takes one label at a time; write "1 x 1 of '
                f'{cell[0]:g} x {cell[1]:g} mm".',
                "cells",
            )
        return LabelSheet("own", cell, 1, 1, cell, (0.0, 0.0), (0.0, 0.0))
    whole = PAPERS_MM[paper]
    many = (columns, rows)
    spans = [many[at] * cell[at] + (many[at] - 1) * gap[at] for at in (0, 1)]
    if match["margin"]:
        margin = _mm(match["margin"])
    else:
        margin = (round((whole[0] - spans[0]) / 2, 3), round((whole[1] - spans[1]) / 2, 3))
    sheet = LabelSheet("own", whole, columns, rows, cell, margin, gap)
    if _over(sheet):
        raise BadInput(
            f"{named('cells', tidy)}: together they take {margin[0] + spans[0]:g} x "
            f"{margin[1] + spans[1]:g} mm, and the paper ({paper}) is {whole[0]:g} x "
            f"{whole[1]:g} mm.",
            "cells",
        )
    return sheet


def _mm(words: str) -> Pair:
    match = re.fullmatch(_PAIR, words, re.IGNORECASE)
    assert match is not None, words  # it is a part of what was matched
    per = _MM[match[3].lower()]
    return float(match[1].replace(",", ".")) * per, float(match[2].replace(",", ".")) * per


def _over(sheet: LabelSheet) -> bool:
    """Whether the cells are larger than the paper, or begin outside it."""
    many = (sheet.columns, sheet.rows)
    return any(
        sheet.margin[at] < 0
        or sheet.margin[at] + many[at] * sheet.cell[at] + (many[at] - 1) * sheet.gap[at]
        > sheet.paper[at] + 1e-6
        for at in (0, 1)
    )
