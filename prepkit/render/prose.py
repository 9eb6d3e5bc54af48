"""The figures of a sentence in the units asked for.

A rule writes its sentence in metric units. Where US units are asked for, each figure that stands
before such a unit is converted as it is shown; nothing is worked out again.
"""

from __future__ import annotations

import re
from dataclasses import replace

from prepkit.model import Answer, Caution, Table, Way
from prepkit.units import US_SHOWN, convert, shown_in

_NUMBER = r"-?(?:\d{1,3}(?:,\d{3})+|\d+)(?:\.\d+)?"
# a unit ends the figure: "3 g/kg", "2 C6" and "5 m3/h" are other units and stay; so does one that
# is converted beside it already ("psi")
_FIGURES = re.compile(
    rf"(?<![\w.,/])(?P<first>{_NUMBER})(?P<between> ?(?:to|and|or|-|–|±|\+/-) ?)?"
    rf"(?(between)(?P<second>{_NUMBER})) ?(?P<degree>°(?=C))?"
    rf"(?P<unit>{'|'.join(sorted(US_SHOWN, key=len)[::-1])})"
    r"(?![\w/%°])(?! (?:per|to the|more|warmer|colder)\b)"
)
_SPREADS = ("±", "+/-")
_WARMTH = re.compile(rf"{_NUMBER} °C")  # a cell of a table that names a temperature
# chargers are bought and marked by their grams, in the US as well; more is a cylinder
_CHARGER = re.compile(r"\bchargers?\b", re.IGNORECASE)
_CYLINDER_G = 100.0


def in_units(words: str, system: str) -> str:
    """A sentence with its pressures, temperatures, masses and volumes in the units asked for.

    >>> in_units("Peak up to 25.0 bar at 20 C, vessel rated 17 bar; 3 g/l, 0.5 to 1 l.", "us")
    'Peak up to 362.6 psi at 68 F, vessel rated 246.6 psi; 3 g/l, 0.53 to 1.06 US quart.'
    >>> in_units("Hold it at 5 °C or colder.", "us")
    'Hold it at 41 °F or colder.'
    >>> in_units("Peak up to 25.0 bar.", "metric")
    'Peak up to 25.0 bar.'
    >>> in_units("A charger of 16 g is larger than the 8.4 g that this vessel takes.", "us")
    'A charger of 16 g is larger than the 8.4 g that this vessel takes.'
    """
    if system == "metric":
        return words
    by_size = _CHARGER.search(words) is not None
    return _FIGURES.sub(lambda found: _converted(found, system, by_size), words)


def _converted(found: re.Match[str], system: str, by_size: bool) -> str:
    if by_size and found["unit"] == "g" and _value(found["first"]) < _CYLINDER_G:
        return found[0]
    unit, between = found["unit"], found["between"] or ""
    first, shown_unit = _shown(found["first"], unit, system)
    shown_unit = (found["degree"] or "") + shown_unit
    if not between:
        return f"{first} {shown_unit}"
    if between.strip() in _SPREADS:  # how far off, not how warm
        zero, _ = shown_in(0.0, unit, system)
        off = shown_in(_value(found["second"]), unit, system)[0] - zero
        return f"{first}{between}{_digits(off, found['second'], unit)} {shown_unit}"
    return f"{first}{between}{_shown(found['second'], unit, system)[0]} {shown_unit}"


def _shown(figure: str, unit: str, system: str) -> tuple[str, str]:
    value, shown_unit = shown_in(_value(figure), unit, system)
    return _digits(value, figure, unit), shown_unit


def _value(figure: str) -> float:
    return float(figure.replace(",", ""))


def _digits(value: float, figure: str, unit: str) -> str:
    """As many digits as the figure had, and as many more as a larger unit asks for."""
    decimals = len(figure.partition(".")[2])
    if unit == "C":
        return f"{value:.{decimals}f}" if abs(value) >= 0.5 * 10**-decimals else "0"
    step = abs(convert(1.0, unit, US_SHOWN[unit]))
    more = 2 if step < 0.1 else 1 if step > 10 else 2 if step < 5 else 0
    grouped = "," if "," in figure else ""
    return f"{value:{grouped}.{max(decimals, more)}f}"


def caution_in(caution: Caution, system: str) -> Caution:
    """A caution in the units asked for."""
    return replace(
        caution,
        text=in_units(caution.text, system),
        action=in_units(caution.action, system),
        more=in_units(caution.more, system),
    )


def answer_in(answer: Answer, system: str) -> Answer:
    """An answer whose words are in the units asked for; its values are converted when shown."""
    if system == "metric":
        return answer
    ways = tuple(
        Way(in_units(one.label, system), one.verdict, in_units(one.figure, system))
        for one in answer.result.ways_out
    )
    result = replace(
        answer.result, deciding=in_units(answer.result.deciding, system), ways_out=ways
    )
    told = tuple(caution_in(one, system) for one in answer.cautions)
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
