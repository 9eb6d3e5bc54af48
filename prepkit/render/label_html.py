"""Labels as one HTML document, several on a sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from prepkit.label import Label, NoLabel
from prepkit.render.html import Look, Paper, fingerprint, page, stamp, verdict
from prepkit.render.label_text import allergens, contents, head, tail

MOST_PER_SHEET = 24
_MARGIN_MM, _GAP_MM = 8.0, 4.0
# by the room of one label, mm2: the longest of the demo recipes fits its share
_LETTERS = ((25000, "12pt"), (11000, "8.5pt"), (6500, "8pt"), (0, "7pt"))
_SIZES_MM = {"a4": (210.0, 297.0), "letter": (215.9, 279.4), "a5": (148.0, 210.0)}


@dataclass(frozen=True)
class Grid:
    """How a sheet is divided; a label that needs more room than its share takes more."""

    columns: int
    least_mm: float
    letters: str


def grid(paper: str, per_sheet: int) -> Grid:
    """The division of a paper into so many labels.

    >>> grid("a4", 8)
    Grid(columns=2, least_mm=66.7, letters='8pt')
    """
    if paper not in _SIZES_MM:  # a roll: one below the other
        return Grid(1, 30.0, "8.5pt")
    wide, high = _SIZES_MM[paper]
    columns = 1 if per_sheet < 3 else 2 if per_sheet <= 8 else 3
    rows = math.ceil(per_sheet / columns)
    least = (high - 2 * _MARGIN_MM - (rows - 1) * _GAP_MM) / rows - 0.5
    area = wide / columns * high / rows
    letters = next(size for over, size in _LETTERS if area > over)
    return Grid(columns, math.floor(10 * least) / 10, letters)


def label_sheet(labels: Sequence[Label | NoLabel], look: Look, per_sheet: int) -> str:
    """All labels on as many sheets as they need."""
    division = grid(look.paper.name, per_sheet)
    margin = f"{_MARGIN_MM:g}mm" if look.paper.name in _SIZES_MM else "3mm"
    paper: Paper = replace(look.paper, margin=margin, letters=division.letters)
    given = [label.inputs for label in labels]
    return page(
        "label.html",
        replace(look, paper=paper),
        stamp(look, {"labels": given}),
        title=look.title or "Labels",
        verdict=verdict("stop" if any(isinstance(one, NoLabel) for one in labels) else "clear"),
        grid=division,
        gap=f"{_GAP_MM:g}mm",
        labels=[_shown(label, look) for label in labels],
    )


def _shown(label: Label | NoLabel, look: Look) -> dict[str, object]:
    traced = fingerprint(label.inputs)
    if isinstance(label, NoLabel):
        return {"name": label.name, "refused": label.reasons, "traced": traced}
    return {
        "name": label.name,
        "refused": (),
        "traced": traced,
        "head": head(label, look.system),
        "contents": contents(label),
        "allergens": allergens(label),
        "tail": tail(label, look.system),
        "hazards": label.hazards,
    }
