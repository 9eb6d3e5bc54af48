"""The figures of a sentence in the units asked for.

A rule writes its sentence in metric units. Where US units are asked for, each figure that stands
before such a unit is converted. A figure that is a value or a fact of the answer is converted from
that, and not from what it was rounded to, so that it stands as it does among the key figures; any
other is converted as it is shown.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace

from prepkit.cautions import BOUNDS, RATINGS
from prepkit.first_screen import Limit, number, strictly
from prepkit.model import Answer, Caution, Table
from prepkit.patterns import later
from prepkit.units import US_SHOWN, rounded_down, shown_digits, shown_in

_NUMBER = r"-?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?"
# a unit ends the figure: "3 g/kg", "2 C6" and "5 m3/h" are other units and stay; so does one that
# is converted beside it already ("psi")
_FIGURES = later(
    rf"(?<![\w.,/])(?P<first>{_NUMBER})(?P<between> ?(?:to|and|or|-|–|±|\+/-) ?)?"
    rf"(?(between)(?P<second>{_NUMBER})) ?(?P<degree>°(?=C))?"
    rf"(?P<unit>{'|'.join(sorted(US_SHOWN, key=len)[::-1])})"
    r"(?![\w/%°])(?! (?:per|to the|more|warmer|colder)\b)"
)
_SPREADS = ("±", "+/-")
# what a maker allows, wherever it is said: never shown as more than it is
_RATED = ("rated ", "within ", "half of the ")
_WARMTH = later(rf"{_NUMBER} °C")  # a cell of a table that names a temperature
# chargers are bought and marked by their grams, in the US as well; more is a cylinder
_CHARGER = later(r"\bchargers?\b", re.IGNORECASE)
_CYLINDER_G = 100.0
_UNIT_OF_FACT = {"c": "C"} | {unit: unit for unit in US_SHOWN if unit != "C"}


Exact = Callable[[str, str], float]  # a figure as written and its unit, to the value it stands for
# a whole number of these can be a limit of a rule beside a value that rounds to it ("50 °C", "50
# bar"), and is converted as it is written
_LIMITS_OF_RULES = ("C", "bar")


def in_units(words: str, system: str, exact: Exact | None = None) -> str:
    """A sentence with its pressures, temperatures, masses and volumes in the units asked for.

    exact: what a figure stands for (`exact_of`); without it a figure is converted as it is written.

    >>> in_units("Peak up to 25.0 bar at 20 C, vessel rated 17 bar; 3 g/l, 0.5 to 1 l.", "us")
    'Peak up to 362.6 psi at 68 F, vessel rated 246.5 psi; 3 g/l, 0.53 to 1.06 US quart.'
    >>> in_units("Hold it at 5 °C or colder.", "us")
    'Hold it at 41 °F or colder.'
    >>> in_units("Peak up to 25.0 bar.", "metric")
    'Peak up to 25.0 bar.'
    >>> in_units("A charger of 16 g is larger than the 8.4 g that this vessel takes.", "us")
    'A charger of 16 g is larger than the 8.4 g that this vessel takes.'
    >>> in_units("Peak up to 27.6 bar.", "us", lambda figure, unit: 27.65)
    'Peak up to 401.0 psi.'
    """
    if system == "metric":
        return words
    by_size = _CHARGER.search(words) is not None
    meant = exact or _as_written
    return _FIGURES.sub(lambda found: _converted(found, system, by_size, meant), words)


def _as_written(figure: str, unit: str) -> float:
    return float(figure.replace(",", ""))


def _converted(found: re.Match[str], system: str, by_size: bool, exact: Exact) -> str:
    if by_size and found["unit"] == "g" and _as_written(found["first"], "g") < _CYLINDER_G:
        return found[0]
    unit, between = found["unit"], found["between"] or ""
    rated = unit == "bar" and found.string[: found.start()].endswith(_RATED)
    first, shown_unit = _shown(found["first"], unit, system, exact, "most" if rated else "")
    shown_unit = (found["degree"] or "") + shown_unit
    if not between:
        return f"{first} {shown_unit}"
    if between.strip() in _SPREADS:  # how far off, not how warm
        zero, _ = shown_in(0.0, unit, system)
        off = shown_in(_as_written(found["second"], unit), unit, system)[0] - zero
        return f"{first}{between}{_digits(off, found['second'], unit, system)} {shown_unit}"
    return f"{first}{between}{_shown(found['second'], unit, system, exact)[0]} {shown_unit}"


def _shown(figure: str, unit: str, system: str, exact: Exact, limit: Limit = "") -> tuple[str, str]:
    meant = exact(figure, unit)
    value, shown_unit = shown_in(meant, unit, system)
    limit = limit or (meant.limit if isinstance(meant, _Strict) else "")
    value = strictly(value, shown_digits(_decimals(figure), unit, system), limit)
    return _digits(value, figure, unit, system), shown_unit


def _decimals(figure: str) -> int:
    return len(figure.partition(".")[2])


def _digits(value: float, figure: str, unit: str, system: str) -> str:
    """As many digits as the figure had, and as many more as a larger unit asks for."""
    digits = shown_digits(_decimals(figure), unit, system)
    return f"{value:,.{digits}f}" if "," in figure else number(value, digits)


def exact_of(answer: Answer) -> Exact:
    """What the figures of an answer's sentences stand for: its values, and the facts judged on.

    A figure that neither rounds to is a limit or a rule of thumb, and is exact as it is written.
    """
    known: dict[str, list[float]] = {}
    for unit, value, limit in (*_values_of(answer), *_facts_of(answer)):
        known.setdefault(unit, []).append(_Strict(value, limit) if limit else value)

    def exact(figure: str, unit: str) -> float:
        written, decimals = _as_written(figure, unit), _decimals(figure)
        same = [
            one
            for one in known.get(unit, ())
            if f"{_as_shown(one, decimals):.{decimals}f}" == f"{written:.{decimals}f}"
        ]
        for one in same:  # a rating is written with the decimals that it has
            rating = isinstance(one, _Strict) and one.limit == "most"
            if rating and f"{rounded_down(one):g}" == figure:
                return one
        if not same or (decimals == 0 and unit in _LIMITS_OF_RULES):
            return written
        return same[0]

    return exact


class _Strict(float):
    """A figure that is a limit, shown on its strict side."""

    limit: Limit

    def __new__(cls, value: float, limit: Limit) -> _Strict:
        self = super().__new__(cls, value)
        self.limit = limit
        return self


def _as_shown(value: float, digits: int) -> float:
    return strictly(value, digits, value.limit) if isinstance(value, _Strict) else value


def _values_of(answer: Answer) -> Iterator[tuple[str, float, Limit]]:
    yield from ((one.unit, one.value, one.limit) for one in answer.values.values())


def _facts_of(answer: Answer) -> Iterator[tuple[str, float, Limit]]:
    """Facts that are quantities: the unit is the end of the name, as in `bound_bar`."""
    for name, fact in answer.result.facts.items():
        unit = _UNIT_OF_FACT.get(name.rpartition("_")[2])
        if unit and isinstance(fact, float):
            yield unit, fact, "least" if name in BOUNDS else "most" if name in RATINGS else ""


def caution_in(caution: Caution, system: str, exact: Exact | None = None) -> Caution:
    """A caution in the units asked for."""
    return replace(
        caution,
        text=in_units(caution.text, system, exact),
        action=in_units(caution.action, system, exact),
        more=in_units(caution.more, system, exact),
    )


def answer_in(answer: Answer, system: str) -> Answer:
    """An answer whose words are in the units asked for; its values are converted when shown."""
    if system == "metric":
        return answer
    exact = exact_of(answer)
    ways = tuple(
        one._replace(
            label=in_units(one.label, system, exact), figure=in_units(one.figure, system, exact)
        )
        for one in answer.result.ways_out
    )
    result = replace(
        answer.result, deciding=in_units(answer.result.deciding, system, exact), ways_out=ways
    )
    told = tuple(caution_in(one, system, exact) for one in answer.cautions)
    values = {
        key: replace(value, label=in_units(value.label, system))
        for key, value in answer.values.items()
    }
    tables = tuple(_table_in(one, system) for one in answer.tables)
    return replace(answer, result=result, cautions=told, values=values, tables=tables)


def _table_in(table: Table, system: str) -> Table:
    """A table whose words are in the units asked for; its figures are converted when shown."""
    columns = tuple(
        column._replace(label=in_units(column.label, system)) for column in table.columns
    )
    rows = tuple(
        tuple(
            in_units(cell, system) if isinstance(cell, str) and _WARMTH.fullmatch(cell) else cell
            for cell in row
        )
        for row in table.rows
    )
    return table._replace(title=in_units(table.title, system), columns=columns, rows=rows)
