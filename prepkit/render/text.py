"""An answer as text for a terminal: verdict first, then values, tables, cautions, working."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from prepkit import sources
from prepkit.first_screen import decimals, degrees, figure, number, spread_of, strictly
from prepkit.model import Answer, Caution, Step, Table, Value, Way
from prepkit.render.grid import grid
from prepkit.render.prose import answer_in
from prepkit.units import shown_digits, shown_in
from prepkit.width import columns

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
        low, high = (shown_in(one, value.unit, system)[0] for one in value.bounds)
        text += f" ({number(low, digits)} to {number(high, digits)})"
    elif value.plus_minus:
        spread = spread_of(value, system)
        text += (
            f" ± {spread:.{max(digits, 1)}g}"
            if spread < 10**-digits
            else (f" ± {number(spread, digits)}")
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
                row.append(number(strictly(shown, digits, column.limit), digits))
    return headers, letters, rows


def table_text(table: Table, system: str, indent: str = "") -> str:
    """One table of an answer."""
    headers, letters, rows = table_cells(table, system)
    return f"{indent}{table.title}\n{grid(rows, headers, letters, indent)}"


def caution_text(caution: Caution, also: str = "") -> str:
    """A caution: severity and kind, what can happen, what to do."""
    head = f"[{caution.severity}, {caution.kind}] "
    body = textwrap.fill(
        f"{head}{caution.text}{also}", columns(), initial_indent="  ", subsequent_indent="    "
    )
    action = textwrap.fill(
        f"-> {caution.advice}", columns(), initial_indent="    ", subsequent_indent="       "
    )
    return f"{body}\n{action}\n    ({caution.id}; {source_words(caution.source)})"


def source_words(key: str) -> str:
    """A source with how it was obtained."""
    found = sources.find(key)
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
    stops = [caution_text(one) for one in cautions if one.severity == "stop"]
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
    told = [one for one in answer.cautions if one.severity != "stop"]
    triggered = [one for one in told if not one.standing]
    standing = [one for one in told if one.standing]
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
