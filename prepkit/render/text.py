"""An answer as text for a terminal: verdict first, columns, figures in the units asked for.

Drawn here because every answer prints one, and the library that draws such tables reads package
metadata when it is imported, which costs more than a whole calculation. The tests hold this
against that library.

A rule writes its sentence in metric units. Where US units are asked for, each figure that stands
before such a unit is converted. A figure that is a value or a fact of the answer is converted from
that, and not from what it was rounded to, so that it stands as it does among the key figures; any
other is converted as it is shown.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterator, Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING

from prepkit import model
from prepkit.cautions import BOUNDS, RATINGS
from prepkit.errors import later
from prepkit.model import (
    Answer,
    Caution,
    Limit,
    Step,
    Table,
    Value,
    Way,
    decimals,
    degrees,
    fewer_digits,
    figure,
    rounded,
    spread_of,
    strictly,
)
from prepkit.stdout import columns
from prepkit.units import US_SHOWN, rounded_down, shown_digits, shown_in

if TYPE_CHECKING:
    from prepkit.sheet import Reason, Stop, Told

# ---- aligned columns for a terminal ----

_BETWEEN = "  "
_HEADER_ROOM = 2  # a column is at least so much wider than its header


def grid(
    rows: Sequence[Sequence[str]], headers: Sequence[str] = (), right: str = "", indent: str = ""
) -> str:
    """Rows as aligned columns; `right` holds the letters l or r for each column (l where short).

    `indent` stands before every line. What is then wider than the terminal is stacked: each row as
    lines of its own, the header before each cell.

    Cells are words of one line; blanks at their ends are taken off, those of headers are kept.

    >>> print(grid([["water", "300"], ["gin", "1200"]], ("what", "g"), "lr"))
    what       g
    ------  ----
    water    300
    gin     1200
    """
    cells = [[cell.strip() for cell in row] for row in rows]
    names = list(headers)
    count = max((len(row) for row in (*cells, names)), default=0)
    letters = right.ljust(count, "l")
    widths = [
        max(
            len(names[place]) + _HEADER_ROOM if place < len(names) else 0,
            *(len(row[place]) for row in cells if place < len(row)),
            0,
        )
        for place in range(count)
    ]

    def line(row: Sequence[str]) -> str:
        padded = (*row, *[""] * (count - len(row)))
        return _BETWEEN.join(
            cell.rjust(width) if letter == "r" else cell.ljust(width)
            for cell, width, letter in zip(padded, widths, letters, strict=True)
        ).rstrip()

    head = [line(names), _BETWEEN.join("-" * width for width in widths)] if names else []
    drawn = [indent + text for text in (*head, *map(line, cells))]
    if all(len(text) <= columns() for text in drawn):
        return "\n".join(drawn)
    return "\n".join(_stacked(cells, names, indent))


def _stacked(cells: Sequence[Sequence[str]], names: Sequence[str], indent: str) -> list[str]:
    """Each row as lines of its own: its first cell, then the others below it."""
    out: list[str] = []
    for row in cells:
        for place, words in enumerate(_pieces(row, names)):
            before = indent if place == 0 else f"{indent}  "
            out += textwrap.wrap(
                words, columns(), initial_indent=before, subsequent_indent=f"{indent}    ",
                break_on_hyphens=False,
            )  # fmt: skip
    return out


def _pieces(row: Sequence[str], names: Sequence[str]) -> list[str]:
    """The cells of a row, each with its header; one without a header belongs to its neighbour."""
    if not names:  # a label, then its value and unit
        return [*row[:1], *filter(None, [" ".join(filter(None, row[1:]))])]
    told: list[str] = []
    box = ""
    for name, cell in zip_longest(map(str.strip, names), row, fillvalue=""):
        if name and cell:
            told.append(f"{name}: {cell}" if told else f"{box}{cell}")
        elif cell and told:  # the unit of what stands before it
            told[-1] += f" {cell}"
        elif cell:  # a box to tick
            box = f"{cell} "
    return told


# ---- the figures of a sentence in the units asked for ----

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
    return f"{value:,.{digits}f}" if "," in figure else rounded(value, digits)


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
            number
            for number in known.get(unit, ())
            if f"{_as_shown(number, decimals):.{decimals}f}" == f"{written:.{decimals}f}"
        ]
        for number in same:  # a rating is written with the decimals that it has
            rating = isinstance(number, _Strict) and number.limit == "most"
            if rating and f"{rounded_down(number):g}" == figure:
                return number
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
    yield from ((value.unit, value.value, value.limit) for value in answer.values.values())


def _facts_of(answer: Answer) -> Iterator[tuple[str, float, Limit]]:
    """Facts that are quantities: the unit is the end of the name, as in `bound_bar`."""
    for name, fact in answer.result.facts.items():
        unit = _UNIT_OF_FACT.get(name.rpartition("_")[2])
        if unit and isinstance(fact, float):
            yield unit, fact, "least" if name in BOUNDS else "most" if name in RATINGS else ""


def caution_in(caution: Caution, system: str, exact: Exact | None = None) -> Caution:
    """A caution in the units asked for."""
    return caution.replaced(
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
        way._replace(
            label=in_units(way.label, system, exact), figure=in_units(way.figure, system, exact)
        )
        for way in answer.result.ways_out
    )
    result = answer.result.replaced(
        deciding=in_units(answer.result.deciding, system, exact), ways_out=ways
    )
    told = tuple(caution_in(caution, system, exact) for caution in answer.cautions)
    values = {
        key: value.replaced(label=in_units(value.label, system))
        for key, value in answer.values.items()
    }
    tables = tuple(_table_in(table, system) for table in answer.tables)
    return answer.replaced(result=result, cautions=told, values=values, tables=tables)


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


# ---- an answer as text for a terminal ----

VERDICT_WORDS = {
    "clear": "CLEAR  no problem found in what you entered",
    "care": "CARE   go ahead only if you do the points below",
    "stop": "STOP   do not do this",
}


UNEVEN = "uneven"
UNEVEN_WORDS = (
    f"{UNEVEN}: over the ± of what was given this value goes further one way than the other, "
    "jumps, or is not there at one end; the larger side is shown"
)


def value_words(value: Value, system: str) -> tuple[str, str]:
    """A value with its +/- and unit, in metric or US units."""
    text, unit = figure(value, system)
    digits = decimals(value, system)
    if value.at_limit and value.bounds is not None:  # a yield is never negative
        low, high = (shown_in(bound, value.unit, system)[0] for bound in value.bounds)
        text += f" ({rounded(low, digits)} to {rounded(high, digits)})"
    elif value.plus_minus:
        spread = spread_of(value, system)
        text += (
            f" ± {spread:.{max(digits, 1)}g}"
            if spread < 10**-digits
            else (f" ± {rounded(spread, digits)}")
        )
    if value.non_linear:
        text += f" {UNEVEN}" if value.plus_minus else f" ± ? {UNEVEN}"
    return text, degrees(unit)


def table_cells(table: Table, system: str) -> tuple[list[str], str, list[list[str]]]:
    """Headers with their units, the letters l or r for each column, and rows as shown."""
    headers: list[str] = []
    rows: list[list[str]] = [[] for _ in table.rows]
    letters = ""
    for place, column in enumerate(table.columns):
        unit = shown_in(0.0, column.unit, system)[1] if column.unit else ""
        headers.append(f"{column.label} ({degrees(unit)})" if unit else column.label)
        letters += "l" if column.digits is None else "r"
        for row, source in zip(rows, table.rows, strict=True):
            cell = source[place]
            if column.digits is None or isinstance(cell, str):
                row.append("" if cell is None else str(cell))
            elif cell is None:
                row.append("-")
            else:
                shown, _ = shown_in(cell, column.unit, system)
                digits = shown_digits(column.digits, column.unit, system)
                digits = fewer_digits(shown, digits, column.figures)
                row.append(rounded(strictly(shown, digits, column.limit), digits))
    return headers, letters, rows


def table_text(table: Table, system: str, indent: str = "") -> str:
    """One table of an answer."""
    headers, letters, rows = table_cells(table, system)
    return f"{indent}{table.title}\n{grid(rows, headers, letters, indent)}"


def caution_text(caution: Caution, also: str = "", head: str = "") -> str:
    """A caution: severity and kind, or `head` in their place, what can happen, what to do."""
    head = head or f"{caution.severity}, {caution.kind}"
    body = textwrap.fill(
        f"[{head}] {caution.text}{also}", columns(), initial_indent="  ", subsequent_indent="    "
    )
    advice = caution.advice.removeprefix(caution.text).strip()  # a row without its figures: once
    action = textwrap.fill(
        f"-> {advice}", columns(), initial_indent="    ", subsequent_indent="       "
    )
    lines = [
        body,
        *([action] if advice else []),
        f"    ({caution.id}; {source_words(caution.source)})",
    ]
    return "\n".join(lines)


def advice(stop: Stop | Reason | Told) -> str:
    """What to do about a point of a plan, with all that is said of it."""
    return f"{stop['action']} {stop['more']}".rstrip()


def source_words(key: str) -> str:
    """A source with how it was obtained."""
    found = model.source_of(key)
    return f"{key}, {found.obtained}" if found is not None else key


def step_text(step: Step, obtained: str) -> str:
    """One line of the working."""
    outcome = f" = {step.value:.6g} {step.unit}".rstrip() if step.value is not None else ""
    source = f"  [{step.source}, {obtained}]" if step.source else ""
    return textwrap.fill(
        f"{step.label}: {step.formula}{outcome}{source}",
        columns(), initial_indent="  ", subsequent_indent="    ", break_on_hyphens=False,
    )  # fmt: skip


def verdict_line(verdict: str, deciding: str = "") -> str:
    """The verdict alone, with the figure that decides it where that is known."""
    line = f"Verdict: {verdict_words(verdict, deciding)}"
    return textwrap.fill(line, columns(), subsequent_indent="  ") if deciding else line


def verdict_words(verdict: str, deciding: str = "") -> str:
    """The verdict in words, with the figure that decides it where that is known."""
    words = VERDICT_WORDS[verdict]
    return f"{words}. {deciding}" if deciding else words


def ways_text(ways: Sequence[Way]) -> str:
    """The ways out of a stop, each with its verdict and figure."""
    return grid([(way.label, way.verdict.upper(), way.figure) for way in ways], right="lll")


def verdict_text(verdict: str, cautions: Sequence[Caution], deciding: str = "") -> str:
    """The verdict line, and for a stop each reason with what would change it."""
    stops = [caution_text(caution) for caution in cautions if caution.severity == "stop"]
    return "\n".join([verdict_line(verdict, deciding), *stops])


def answer_text(answer: Answer, working: bool = False, system: str = "metric") -> str:
    """The whole answer; each stop stands below the verdict."""
    answer = answer_in(answer, system)
    deciding = answer.result.deciding
    out = [answer.calculator, verdict_text(answer.verdict, answer.cautions, deciding), ""]
    if answer.result.ways_out:
        out += ["Ways out, each worked out and judged", ways_text(answer.result.ways_out), ""]
    rows = []
    for value in answer.values.values():
        text, unit = value_words(value, system)
        rows.append((value.label, text, unit))
    if rows:
        out += [grid(rows, right="lrl"), ""]
    if any(value.non_linear for value in answer.values.values()):
        out += [textwrap.fill(f"{UNEVEN_WORDS}.", columns()), ""]
    for table in answer.tables:
        out += [table_text(table, system), ""]
    told = [caution for caution in answer.cautions if caution.severity != "stop"]
    triggered = [caution for caution in told if not caution.standing]
    standing = [caution for caution in told if caution.standing]
    if triggered:
        out += ["Cautions", *map(caution_text, triggered), ""]
    if standing:
        out += ["Always", *map(caution_text, standing), ""]
    if working:
        out += [working_text(answer)]
    return "\n".join(out).rstrip() + "\n"


def working_text(answer: Answer) -> str:
    """The steps of an answer with their sources."""
    obtained = {source.key: source.obtained for source in answer.sources}
    out = ["Working", *(step_text(s, obtained.get(s.source, "")) for s in answer.working), ""]
    out += ["Sources"]
    for source in answer.sources:
        note = f" ({source.note})" if source.note else ""
        out.append(
            textwrap.fill(
                f"{source.key} [{source.obtained}]: {source.title}{note}",
                columns(), initial_indent="  ", subsequent_indent="    ",
                break_on_hyphens=False,
            )
        )  # fmt: skip
    return "\n".join(out)
