"""What stands on the first screen of an answer, as data of its calculator.

A Result class says it once, by `screen = Screen(...)`; what draws the answer chooses nothing.
"""

from __future__ import annotations

import math
import string
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, Literal, NamedTuple, Protocol

from prepkit.units import rounded_down, rounded_up, shown_digits, shown_in

Limit = Literal["", "most", "least"]

THOUSANDTHS = 3  # decimals
MOST_STEPS = 3
_DEGREES = {"C": "°C", "F": "°F"}


class Figure(NamedTuple):
    """A figure under a label of its own: one value of the Result, or a range between two."""

    label: str
    low: str
    high: str = ""


class Screen(NamedTuple):
    """The first screen of a calculator; {names} in sentences are values, then inputs, then facts.

    headline: sentences with the figure that decides; the first whose names are all known is shown.
    do_this: lines of what to do or set; those whose names are all known are shown, three at most.
    primary: the figures that decide, most important first; check: the readings to check by.
    weigh: the table of what to weigh.
    """

    headline: tuple[str, ...]
    primary: tuple[str | Figure, ...]
    check: tuple[str | Figure, ...] = ()
    do_this: tuple[str, ...] = ()
    weigh: str = ""


def value_names(figures: Iterable[str | Figure]) -> list[str]:
    """Every value that figures name, in order."""
    out: list[str] = []
    for one in figures:
        out += [one] if isinstance(one, str) else filter(None, (one.low, one.high))
    return out


class Valued(Protocol):
    """A value as an answer holds it."""

    @property
    def value(self) -> float:
        """The number."""

    @property
    def unit(self) -> str:
        """Its unit."""

    @property
    def digits(self) -> int:
        """The most decimals that are shown."""

    @property
    def plus_minus(self) -> float | None:
        """Its ±; None without one."""

    @property
    def limit(self) -> Limit:
        """Whether it is the most or the least that may be."""


def spread_of(value: Valued, system: str) -> float:
    """The ± of a value in the unit that is shown; 0 without one."""
    zero, _ = shown_in(0.0, value.unit, system)
    return abs(shown_in(value.plus_minus or 0.0, value.unit, system)[0] - zero)


def decimals(value: Valued, system: str) -> int:
    """The decimals that a value is shown with: its own, or as few as two figures of its ± have."""
    digits, spread = shown_digits(value.digits, value.unit, system), spread_of(value, system)
    if not 0.0 < spread < math.inf:
        return digits
    return min(digits, max(0, 1 - math.floor(math.log10(spread))))


def number(value: float | None, digits: int, unit: str = "") -> str:
    """A value at its shown digits; a dash where there is none.

    Before g and ml three decimals could be read as thousands, so that a fourth is written.

    >>> number(1234.5678, 1), number(None, 1), number(-0.001, 1)
    ('1234.6', '-', '0.0')
    >>> number(1.4242, 3, "g"), number(0.4242, 3, "g"), number(1.4242, 3, "kg")
    ('1.4242', '0.424', '1.424')
    """
    if value is None:
        return "-"
    shown = f"{value:.{digits}f}"
    if digits == THOUSANDTHS and unit in ("g", "ml") and shown.lstrip("-")[0] != "0":
        shown = f"{value:.{digits + 1}f}"
    return shown[1:] if shown.startswith("-") and not shown.strip("-0.") else shown


def amount(value: Valued, system: str) -> str:
    """A value with its unit, without its ±, in metric or US units."""
    text, unit = figure(value, system)
    return f"{text} {degrees(unit)}".rstrip()


def figure(value: Valued, system: str) -> tuple[str, str]:
    """A value at its shown digits, and its unit; a limit is rounded to its strict side."""
    shown, unit = shown_in(value.value, value.unit, system)
    digits = decimals(value, system)
    return number(strictly(shown, digits, value.limit), digits, unit), unit


def strictly(value: float, digits: int, limit: Limit) -> float:
    """A figure rounded to the strict side where it is a limit, else as it is.

    >>> strictly(8.338, 1, "least"), strictly(8.662, 1, "most"), strictly(8.338, 1, "")
    (8.4, 8.6, 8.338)
    """
    if not limit:
        return value
    return (rounded_down if limit == "most" else rounded_up)(value, digits)


def degrees(unit: str) -> str:
    """A unit as it is printed.

    >>> degrees("C"), degrees("bar")
    ('°C', 'bar')
    """
    return _DEGREES.get(unit, unit)


@cache
def names_in(sentence: str) -> tuple[str, ...]:
    """The {names} of a sentence."""
    return tuple(name for _, name, _, _ in string.Formatter().parse(sentence) if name)


def filled(
    sentences: Iterable[str],
    values: Mapping[str, Valued],
    said: Mapping[str, Any],  # Any: the inputs in words, facts of any kind
    system: str,
) -> list[str]:
    """The sentences whose names are all known, with what the names stand for."""
    out: list[str] = []
    for sentence in sentences:
        known: dict[str, str] = {}
        for name in names_in(sentence):
            if name in values:
                known[name] = amount(values[name], system)
            elif (words := _in_words(said.get(name))) is not None:
                known[name] = words
        if len(known) == len(names_in(sentence)):
            out.append(sentence.format_map(known))
    return out


def _in_words(said: Any) -> str | None:  # Any: an input in words or a fact
    if isinstance(said, list) and said:
        return " + ".join(str(one) for one in said)
    if isinstance(said, str | int) and not isinstance(said, bool) and str(said):
        return str(said)
    return None
