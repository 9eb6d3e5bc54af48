"""Labels as one HTML document to print: cells of a fixed size, a roll that ends with the label."""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import Markup

from prepkit.label import Label, NoLabel
from prepkit.label_sheets import LabelSheet, on
from prepkit.render import label_fit, signs
from prepkit.render.html import Look, fingerprint, page, stamp
from prepkit.render.label_fit import Fitted, Row


def label_sheet(
    labels: Sequence[Label | NoLabel], look: Look, sheet: LabelSheet | int | None = None,
    without: Sequence[str] = (),
) -> str:  # fmt: skip
    """All labels on as many sheets as they need.

    `sheet` is a LabelSheet, the number of labels on the paper of the look, or None for the usual
    sheet of that paper; `without` holds "contents" where those are left out. Raises BadInput where
    a label does not fit its cell, with what to shorten.
    """
    cells = sheet if isinstance(sheet, LabelSheet) else on(look.paper.name, sheet)
    fits: dict[int, Fitted] = {}  # copies are one and the same label
    shown: list[dict[str, object]] = []
    for label in labels:
        if id(label) not in fits:
            fits[id(label)] = label_fit.fitted(
                label, cells.cell, look.system, fingerprint(label.inputs), without
            )
        shown.append(_shown(label.name, fits[id(label)]))
    sizes = {row.type_mm for fit in fits.values() for row in (*fit.rows, *fit.foot)}
    lengths = {fit.high_mm for fit in fits.values()} if cells.endless else set()
    return page(
        "label.html",
        look,
        stamp(look, {"labels": [label.inputs for label in labels]}),
        title=look.title or "Labels",
        cells=cells,
        pad=label_fit.PAD_MM,
        write=label_fit.WRITE_MM,
        space=label_fit.SPACE_MM,
        pages=[shown[at : at + cells.count] for at in range(0, len(shown), cells.count)],
        sizes={_key(size): round(size, 3) for size in sizes},
        lengths={_key(length): round(length, 3) for length in lengths},
        sign_sizes={_key(fit.sign_mm): fit.sign_mm for fit in fits.values() if fit.sign},
    )


def _key(mm: float) -> str:
    """A length as a part of a name, hundredths of a millimetre."""
    return f"{100 * mm:.0f}"


def _shown(name: str, fit: Fitted) -> dict[str, object]:
    return {
        "name": name,
        "refused": fit.refused,
        "sign": Markup(signs.drawn(fit.sign)) if fit.sign else "",
        "sign_size": _key(fit.sign_mm),
        "rows": [_row(row) for row in fit.rows],
        "foot": [_row(row) for row in fit.foot],
        "length": _key(fit.high_mm),
    }


def _row(row: Row) -> dict[str, object]:
    return {
        "part": row.part,
        "size": _key(row.type_mm),
        "lines": row.lines,
        "beside": row.beside,
        "blanks": row.blanks,
    }
