"""What of an answer stands on the first screen, chosen from data: a typed value, not yet drawn.

The calculator says which figures decide (`first_screen.Screen`); here they are filled in, the
cautions are put in order, and what is left to the full answer is counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from prepkit import always
from prepkit.first_screen import Figure, amount, degrees, figure
from prepkit.model import Answer, Caution, Table, Way
from prepkit.patterns import later
from prepkit.render.prose import answer_in, in_units
from prepkit.render.text import table_cells, value_words

MOST_FIGURES = 6
MOST_CHECKS = 3
_TEMPERATURE = later(r"(?<=\d) ([CF])\b")
_SAYS_LITTLE_AT_ZERO = frozenset(("% w/w", "% vol", "g/l", "g", "Bx"))


class Shown(NamedTuple):
    """A figure in words: its label, its value with unit and ±, and the same in its parts."""

    label: str
    value: str
    number: str = ""
    off: str = ""  # "± 2.19", or the range that it can be in
    unit: str = ""


class Weighed(NamedTuple):
    """A line to weigh: what, how much, and what that pours, or ""."""

    what: str
    amount: str
    poured: str = ""

    @property
    def line(self) -> str:
        """As one line: "660.1 g (700.0 ml) spirit 43 %"."""
        poured = f"({self.poured})" if self.amount and self.poured else self.poured
        return " ".join(filter(None, (self.amount, poured, self.what)))


@dataclass(frozen=True)
class Brief:
    """The first screen of an answer in one system of units, most important first."""

    name: str
    verdict: str
    deciding: str
    ways: tuple[Way, ...]
    weigh: tuple[Weighed, ...]
    do_this: tuple[str, ...]
    figures: tuple[Shown, ...]
    check: tuple[Shown, ...]
    stops: tuple[Caution, ...]
    cares: tuple[Caution, ...]
    notes: tuple[Caution, ...]  # allergens first, then one of each kind
    always: always.Always
    decides_by_stop: bool  # the first stop's text is the deciding sentence
    full_figures: int
    full_notes: int
    full_tables: int


def brief(answer: Answer, system: str = "metric") -> Brief:
    """The first screen of an answer, in metric or US units."""
    answer = marked(answer_in(answer, system))
    found = [one for one in answer.cautions if not one.standing]
    stops = tuple(one for one in found if one.severity == "stop")
    cares = tuple(one for one in found if one.severity == "care")
    deciding = answer.result.deciding or as_printed(answer.headline(system))
    by_stop = not deciding and bool(stops)
    screen = answer.result.screen
    figures = _figures(answer, screen.primary, system, MOST_FIGURES)
    shown = {one.label for one in figures}
    check = [one for one in _figures(answer, screen.check, system, MOST_CHECKS + MOST_FIGURES)
             if one.label not in shown][:MOST_CHECKS]  # fmt: skip
    stopped = answer.verdict == "stop"
    lines = always.lines(answer.calculator)
    return Brief(
        name=answer.calculator,
        verdict=answer.verdict,
        deciding=stops[0].text if by_stop else deciding,
        ways=answer.result.ways_out,
        weigh=() if stopped else _weighed(answer.tables, screen.weigh, system),
        do_this=()
        if stopped
        else tuple(as_printed(in_units(one, system)) for one in answer.do_this(system)),
        figures=figures,
        check=() if stopped else tuple(check),
        stops=stops,
        cares=cares,
        notes=_notes(found),
        always=always.Always(*(as_printed(in_units(line, system)) for line in lines)),
        decides_by_stop=by_stop,
        full_figures=len(answer.values),
        full_notes=len(answer.cautions),
        full_tables=len(answer.tables),
    )


def as_printed(words: str) -> str:
    """Words with their temperatures as printed.

    >>> as_printed("Keep it at 5 C or colder.")
    'Keep it at 5 °C or colder.'
    """
    return _TEMPERATURE.sub(r" °\1", words)


def marked(answer: Answer) -> Answer:
    """An answer with the temperatures of its sentences as printed."""
    told = tuple(
        replace(one, text=as_printed(one.text), action=as_printed(one.action))
        for one in answer.cautions
    )
    ways = tuple(
        one._replace(label=as_printed(one.label), figure=as_printed(one.figure))
        for one in answer.result.ways_out
    )
    result = replace(answer.result, deciding=as_printed(answer.result.deciding), ways_out=ways)
    return replace(answer, result=result, cautions=told)


def _figures(
    answer: Answer, named: tuple[str | Figure, ...], system: str, most: int
) -> tuple[Shown, ...]:
    out: list[Shown] = []
    for one in named:
        if isinstance(one, Figure) and one.high:
            out += _between(answer, one, system)
            continue
        label, name = (
            (in_units(one.label, system), one.low) if isinstance(one, Figure) else ("", one)
        )
        value = answer.values.get(name)
        if value is None or (value.value == 0.0 and value.unit in _SAYS_LITTLE_AT_ZERO):
            continue
        words, unit = value_words(value, system)
        number, unit = figure(value, system)[0], degrees(unit)
        off = words.removeprefix(number).strip()
        out.append(Shown(label or value.label, f"{words} {unit}".rstrip(), number, off, unit))
    return tuple(out[:most])


def _between(answer: Answer, figure: Figure, system: str) -> list[Shown]:
    """A range, or one figure where both ends are shown alike."""
    if figure.low not in answer.values or figure.high not in answer.values:
        return []
    label = in_units(figure.label, system)
    ends = sorted((answer.values[figure.low], answer.values[figure.high]), key=lambda v: v.value)
    low, high = (amount(one, system) for one in ends)
    if low == high:
        number, _, unit = low.partition(" ")
        return [Shown(label, low, number, "", unit)]
    least, (most, _, unit) = low.partition(" ")[0], high.partition(" ")
    return [Shown(label, f"{least} to {high}", f"{least} to {most}", "", unit)]


def to_weigh(table: Table) -> Table:
    """A table of what to weigh without what nothing is weighed of."""
    mass = next((place for place, one in enumerate(table.columns) if one.unit == "g"), None)
    if mass is None:
        return table
    return table._replace(rows=tuple(row for row in table.rows if row[mass] != 0.0))


def _weighed(tables: Sequence[Table], name: str, system: str) -> tuple[Weighed, ...]:
    """The weigh-outs: what is in the first column of words, and how much of it."""
    out: list[Weighed] = []
    for table in tables:
        if table.name != name or not name:
            continue
        _, _, rows = table_cells(to_weigh(table), system)
        of_unit = {column.unit: place for place, column in enumerate(table.columns) if column.unit}
        mass, volume = of_unit.get("g"), of_unit.get("ml")
        what = next(
            place for place, column in enumerate(table.columns)
            if not column.unit and column.label != "order"
        )  # fmt: skip
        units = table_units(system)
        for row in rows:
            told = [
                f"{row[place]} {unit}"
                for place, unit in zip((mass, volume), units, strict=True)
                if place is not None and row[place] not in ("", "-")
            ]
            out.append(Weighed(row[what], *told) if told else Weighed(row[what], ""))
    return tuple(out)


def table_units(system: str) -> tuple[str, str]:
    """The units of mass and volume of a table that is in g and ml."""
    return ("g", "ml") if system == "metric" else ("oz", "US fl oz")


def _notes(found: list[Caution]) -> tuple[Caution, ...]:
    """Allergens first, then the first note of each kind that has no graver caution."""
    notes = [one for one in found if one.severity == "note"]
    taken = {one.kind for one in found if one.severity != "note"} - {"allergen"}
    out = [one for one in notes if one.kind == "allergen"]
    taken.add("allergen")
    for one in notes:
        if one.kind not in taken:
            out.append(one)
            taken.add(one.kind)
    return tuple(out)
