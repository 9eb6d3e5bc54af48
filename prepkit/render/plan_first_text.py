"""The first page of a plan as text: 80 columns, and 60 lines for eight items.

What does not fit is said more closely, and then left to the whole sheet, always with a word that it
is there. A reason to stop, an amount to weigh and a vessel are never left out.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

from prepkit.render.amounts import listed
from prepkit.render.plan_first import AT_20, Cell, FirstPage, Make, Warned, first_page
from prepkit.sheet import PlanSheet
from prepkit.width import screen

LINES, ITEMS, LINES_OF_ONE = 60, 8, 6  # so many lines for so many items, and for one more
_SHARE = 2  # cells in one line


def most_lines(items: int) -> int:
    """The lines of a first page for so many items.

    >>> most_lines(3), most_lines(8), most_lines(10)
    (60, 60, 72)
    """
    return LINES + LINES_OF_ONE * max(0, items - ITEMS)


def first_text(said: PlanSheet, system: str = "metric") -> str:
    """The first page, as open as its lines allow."""
    page = first_page(said, system)
    most = most_lines(len(page.make))
    sections: list[list[str]] = []
    for close in range(len(_CLOSER) + 1):
        sections = _sections(page, frozenset(_CLOSER[:close]))
        if sum(map(len, sections)) <= most:
            break
    return "\n".join(_parted(sections, most)).rstrip() + "\n"


# in the order in which room is made
_CLOSER = (
    "learnt",
    "money",
    "sure",
    "decisive",
    "serves",
    "buy",
    "weigh",
    "cares",
    "buy less",
    "cares less",
    "stops",
)
# before which section a line is left free first: what to make, to buy, always, vessels, ...
_FREE = (2, 5, 6, 3, 1, 4, 7)


def _sections(page: FirstPage, close: frozenset[str]) -> list[list[str]]:
    return [
        _head(page, close),
        _start(page),
        _make(page, close),
        _vessels(page),
        _serves(page, close),
        _buy(page, close),
        _always(page),
        _more(page),
    ]


def _parted(sections: Sequence[Sequence[str]], most: int) -> list[str]:
    """The sections with free lines between as many of them as there is room for."""
    room = max(0, most - sum(map(len, sections)))
    free = [place for place in _FREE if sections[place]][:room]
    out: list[str] = []
    for place, section in enumerate(sections):
        out += ["", *section] if place in free else section
    return out


def _fill(text: str, first: str = "", rest: str = "  ") -> list[str]:
    return textwrap.wrap(
        text, screen(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


# verdict


def _head(page: FirstPage, close: frozenset[str]) -> list[str]:
    out = _fill(f"plan: {page.verdict.upper()}  {page.verdict_words}", "", "      ")
    out += [*_fill(page.title), *_fill(page.made)]
    for line in page.have:
        out += _fill(line)
    for one in page.stops:
        out += _warned("STOP", one, action="stops" not in close)
    if "cares less" in close and page.cares:
        of = listed(dict.fromkeys(name for one in page.cares for name in one.names))
        points = "1 point" if len(page.cares) == 1 else f"{len(page.cares)} points"
        return [*out, *_fill(f"{points}, of {of}: see --full", "CARE  ", "      ")]
    for one in page.cares:
        out += _warned("CARE", one, action="cares" not in close)
    return out


def _warned(signal: str, one: Warned, action: bool) -> list[str]:
    out = _fill(f"{one.of}: {one.text}", f"{signal}  ", "      ")
    return out + (_fill(f"-> {one.action}", "      ", "         ") if action else [])


def _start(page: FirstPage) -> list[str]:
    return _fill(page.start, "Start  ", "       ") if page.start else []


# what to make


def _make(page: FirstPage, close: frozenset[str]) -> list[str]:
    out = _fill(f"Make, in this order; {page.scales}" if page.scales else "Make, in this order")
    rows = [_row(one) for one in page.make]
    headers = ["", *page.headers[1:]]
    if not any(one.start for one in page.make):
        rows, headers = [[*row[:3], *row[4:]] for row in rows], [*headers[:3], *headers[4:]]
    if not _side_by_side([headers, *rows]):
        headers = [one.removesuffix(AT_20) for one in headers]
    header, *lines = _columns([headers, *rows])
    out += header
    for line, one in zip(lines, page.make, strict=True):
        out += _with_reason(line, one)
        out += _cells(one.weigh, close="weigh" in close)
        if one.marks:
            out += _fill(" ".join(one.marks), "  !  ", "     ")
    if page.decisive and "decisive" not in close:
        out += _fill(f"Weigh most carefully: {page.decisive}.")
    if page.learnt and "learnt" in close:
        out += _fill("Learnt from your own batches: see --full.")
    for words in () if "learnt" in close else page.learnt:
        out += _fill(f"Learnt: {words}.")
    if page.money and "money" not in close:
        out += _fill(page.money)
    if page.sure and "sure" not in close:
        out += _fill(page.sure)
    for words in page.routines:
        out += _fill(words)
    if page.not_made:
        out += _fill(f"Not made, because nothing uses it: {listed(page.not_made)}")
    return out


def _with_reason(lines: list[str], one: Make) -> list[str]:
    """The row of an item, and what decided: beside it where nothing is weighed and it fits."""
    if not one.why:
        return lines
    beside = f"{lines[-1]}  {one.why}"
    if not one.weigh and len(beside) <= screen():
        return [*lines[:-1], beside]
    return [*lines, *_fill(one.why, "     ", "     ")]


def _row(one: Make) -> list[str]:
    return [f"{one.place} {one.id}", one.mass, one.volume, one.start, one.keeps, one.verdict]


def _side_by_side(rows: Sequence[Sequence[str]]) -> bool:
    """Whether every row stands in one line."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return math.fsum(wide) + 2 * (len(wide) - 1) <= screen()


def _columns(rows: Sequence[Sequence[str]]) -> list[list[str]]:
    """Each row as a line; one that is too wide as two or more."""
    wide = [max(map(len, column)) for column in zip(*rows, strict=True)]
    room = screen() - sum(2 + one for one in wide[1:])
    first = max((len(row[0]) for row in rows if len(row[0]) <= room), default=0)
    out = []
    for row in rows:
        rest = "  ".join(
            cell.rjust(width) if place < 2 else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row[1:], wide[1:], strict=True))
        )
        line = f"{row[0].ljust(first)}  {rest}".rstrip()
        told = "; ".join(cell for cell in row[1:] if cell)
        if len(line) <= screen() and len(row[0]) <= first:
            out.append([line])
        else:
            out.append(_fill(f"{row[0]}  {told}", "", "     "))
    return out


def _cells(cells: Sequence[Cell], close: bool) -> list[str]:
    """Amounts and names, two in a line where both fit; run together where room is short."""
    if close:
        run = "; ".join(f"{one.amount} {_name(one)}" for one in cells)
        return _fill(run, "     ", "     ") if cells else []
    digits = max((len(one.amount) for one in cells), default=0)
    told = [f"{one.amount.rjust(digits)} {_name(one)}" for one in cells]
    share = (screen() - 5) // _SHARE
    out: list[str] = []
    waiting = ""
    for one in told:
        if len(one) > share - 2:
            out += [waiting] if waiting else []
            out += _fill(one, "     ", " " * (digits + 6))
            waiting = ""
        elif waiting:
            out.append(f"{waiting.ljust(5 + share)}{one}")
            waiting = ""
        else:
            waiting = f"     {one}"
    return [*out, waiting] if waiting else out


def _name(cell: Cell) -> str:
    return f"{cell.name} ({cell.more})" if cell.more else cell.name


# vessels, serves, what to buy


def _vessels(page: FirstPage) -> list[str]:
    if not page.vessels:
        return []
    return ["Vessels", *(line for one in page.vessels for line in _fill(one, "  ", "     "))]


def _serves(page: FirstPage, close: frozenset[str]) -> list[str]:
    out = []
    for one in page.serves:
        parts = [] if "serves" in close else one.parts
        told = "; ".join(filter(None, (one.out, *parts, one.allergens)))
        out += _fill(f"Each {one.name}: {told}")
    return out


def _buy(page: FirstPage, close: frozenset[str]) -> list[str]:
    if not page.buy:
        return []
    title = f"Buy; {page.bought}" if page.bought else "Buy"
    if "buy less" in close:
        return _fill(f"{title}: {len(page.buy)} to buy, see --full")
    return [*_fill(title), *_cells(page.buy, close="buy" in close)]


def _always(page: FirstPage) -> list[str]:
    return [line for kind, text in page.always for line in _fill(text, f"{kind:<12}", " " * 12)]


def _more(page: FirstPage) -> list[str]:
    return _fill(f"More: --full ({listed(page.more)}), --working (sums, sources)")
