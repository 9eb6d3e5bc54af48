"""Amounts, lines and titles of printed sheets."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable

from prepkit.first_screen import number
from prepkit.sheet import LineSheet, PlanSheet
from prepkit.units import shown_in
from prepkit.width import columns

_FEW_DRINKS = 3
_FIGURES = 6  # decimals of a step, at most
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


def step_words(step_g: float, system: str) -> str:
    """A step of a scale as it is written on it: in g, unless it is round in ounces alone.

    >>> [step_words(one, "metric") for one in (0.1, 1.0, 0.05)]
    ['0.1 g', '1 g', '0.05 g']
    >>> [step_words(one, "us") for one in (0.1, 2.8349523125)]
    ['0.1 g', '0.1 oz']
    """
    shown, _ = shown_in(step_g, "g", system)
    if system != "metric" and not _round(step_g) and _round(shown):
        return f"{shown:.3g} {UNITS[system][0]}"
    return f"{float(f'{step_g:.3g}'):g} g"


def _round(step: float) -> bool:
    """Whether two digits say a step."""
    return math.isclose(step, float(f"{step:.2g}"), rel_tol=1e-6)


def in_steps(value_g: float, step_g: float, system: str) -> str:
    """A weight with the digits of a step.

    >>> in_steps(5.0, 0.1, "metric"), in_steps(2.5, 0.25, "metric"), in_steps(1942.0, 2.0, "metric")
    ('5.0', '2.50', '1942')
    >>> in_steps(439.0, 1.0, "us")
    '15.49'
    """
    shown, _ = shown_in(value_g, "g", system)
    step, _ = shown_in(step_g, "g", system)
    digits = next((d for d in range(_FIGURES) if step >= 0.999 * 10**-d), _FIGURES)
    if _round(step) and not math.isclose(step, round(step, digits), rel_tol=1e-6):  # 0.25
        digits = min(digits + 1, _FIGURES)
    return number(shown, digits)


def weighing(line: LineSheet, system: str) -> str:
    """What is weighed, as its scale shows it.

    As it was worked out where no scale is named, and under ten steps of one: rounded to a step such
    a weighing could be far from what was judged.
    """
    hand = line["hand"]
    if hand is None or hand["too_few"]:
        return amount(line["g"], "g", system)
    return in_steps(hand["g"], hand["step_g"], system)


def serves_words(serves: int) -> str:
    """A number of serves.

    >>> serves_words(1), serves_words(40)
    ('1 serve', '40 serves')
    """
    return f"{serves} serve{'s' * (serves != 1)}"


def made_for(said: PlanSheet) -> str:
    """How many of each drink a plan is for, and the containers it fills."""
    to_fill = said.get("fill")
    if to_fill:
        also = f" and {_drinks(said)}" if said["serves"] != 0 else ""
        return f"{listed(to_fill)}{also}"
    return _drinks(said)


def _drinks(said: PlanSheet) -> str:
    if said["serves"] is None:
        each = [(one["serves"], one["name"]) for one in said["serve"]]
        if len(each) > _FEW_DRINKS:
            return f"{serves_words(sum(n for n, _ in each))} of {len(each)} drinks"
        return listed(f"{count} {name}" for count, name in each)
    return serves_words(said["serves"]) + " of each drink" * (len(said["serve"]) > 1)


def written_for(said: PlanSheet) -> str:
    """The same with what the recipe is written for, where that is one number."""
    written = said["written_for"]
    return made_for(said) + (f" (written for {written})" if written is not None else "")


def from_file(said: PlanSheet) -> str:
    """The same with the file that it is from."""
    written = said["written_for"]
    also = f" (written for {written})" if written is not None else ""
    return f"{made_for(said)}, from {said['file']}{also}"


def fill(text: str, first: str = "  ", rest: str = "    ") -> str:
    return textwrap.fill(
        text, columns(), initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )


def title_lines(text: str) -> list[str]:
    return [text, "-" * len(text)]


def listed(names: Iterable[str]) -> str:
    return ", ".join(names)
