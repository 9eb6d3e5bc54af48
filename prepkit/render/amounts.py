"""Amounts, lines and titles of printed sheets."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from prepkit.render.text import number
from prepkit.units import shown_in
from prepkit.width import columns

UNITS = {"metric": ("g", "ml"), "us": ("oz", "US fl oz")}


def amount(value: float | None, unit: str, system: str = "metric") -> str:
    """An amount with the digits that can be weighed or measured.

    >>> [amount(g, "g") for g in (1234.5, 45.678, 3.4567, 0.0321, None)]
    ['1234', '45.7', '3.46', '0.032', '-']
    """
    if value is None:
        return "-"
    shown, _ = shown_in(value, unit, system)
    return number(shown, digits_of(value, unit, system))


def digits_of(value: float, unit: str, system: str) -> int:
    """The digits of an amount that can be weighed; its last bit does not say how many.

    >>> [digits_of(g, "g", "metric") for g in (100.0, 100 - 1e-13, 99.99)]
    [0, 0, 1]
    """
    shown, shown_unit = shown_in(value, unit, system)
    size = float(f"{abs(shown):.9g}")
    steps = (100.0, 10.0, 0.1) if shown_unit == unit else (1000.0, 100.0, 1.0)
    return sum(size < step for step in steps)


def fill(text: str, first: str = "  ", rest: str = "    ") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def title_lines(text: str) -> list[str]:
    return [text, "-" * len(text)]


def listed(names: Iterable[str]) -> str:
    return ", ".join(names)
