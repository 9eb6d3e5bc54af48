"""The pressure in a charged vessel as a picture: charge, shake, portions, and the rated line."""

from __future__ import annotations

from prepkit.model import Answer, Table
from prepkit.render.line_svg import Course, Level, line_svg
from prepkit.units import rounded_down, rounded_up

MOST_PORTIONS = 24


def course(answer: Answer) -> list[tuple[str, float]]:
    """Steps of a siphon answer with the gauge pressure in bar, in the order they happen."""
    tables = {table.name: table for table in answer.tables}
    points: list[tuple[str, float]] = []
    for place, row in enumerate(_rows(tables.get("charges")), 1):
        peak, settled = row[1], row[3]
        if isinstance(peak, float):
            points.append((f"charge {place}", peak))
        if isinstance(settled, float):
            points.append(("shaken", settled))
    shaken = answer.inputs.get("shake_between") is True
    for row in _rows(tables.get("service"))[:MOST_PORTIONS]:
        after = row[1] if shaken else row[2]
        if isinstance(after, float):
            points.append((f"portion {row[0]}", after))
    if not points and "peak" in answer.values:
        points.append(("peak", answer.values["peak"].value))
    return points


def _rows(table: Table | None) -> tuple[tuple[str | float | None, ...], ...]:
    return table.rows if table is not None else ()


def pressure(answer: Answer) -> Course | None:
    """What is drawn of a siphon answer; None where nothing was computed."""
    points = course(answer)
    rated = answer.result.facts.get("rated_bar")  # as judged: the lower end of a ±
    if not points or rated is None:
        return None
    words = f"{rounded_down(rated):g} bar"
    levels = [Level(rated, f"rated {words}", heavy=True)]
    if "bound" in answer.values:
        bound = answer.values["bound"].value
        levels.append(Level(bound, f"upper bound {rounded_up(bound, 1):.1f} bar"))
    title = f"Pressure in the vessel, gauge. Rated {words}."
    return Course(title, "bar", points, levels, axis="bar, gauge")


def pressure_svg(answer: Answer, key: str = "pressure") -> str | None:
    """The course of the pressure as a self-contained SVG; None where nothing was computed.

    The heavy line is the rated pressure, the thin dashed one the upper bound; both are
    named in words, so that nothing rests on colour.
    """
    drawn = pressure(answer)
    return line_svg(drawn, key) if drawn is not None else None
