"""The pressure in a charged vessel as a picture: charge, shake, portions, and the rated line."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from prepkit.model import Answer, Table
from prepkit.units import parse_quantity

WIDTH, HEIGHT = 640, 300
LEFT, RIGHT, TOP, BOTTOM = 56, 16, 30, 56
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


def pressure_svg(answer: Answer) -> str | None:
    """The course of the pressure as a self-contained SVG; None where nothing was computed.

    The heavy line is the rated pressure, the thin dashed one the highest to reckon with; both are
    named in words, so that nothing rests on colour.
    """
    points = course(answer)
    if not points or "rated" not in answer.inputs:
        return None
    rated = float(parse_quantity(answer.inputs["rated"], ("bar",)))
    bound = answer.values["bound"].value if "bound" in answer.values else None
    top = 1.1 * max([rated, bound or 0.0, *(value for _, value in points)])
    summary = "; ".join(f"{label} {value:.1f} bar" for label, value in points)
    title = f"Pressure in the vessel, gauge. Rated {rated:g} bar. {summary}."
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'font-family="sans-serif" font-size="12"><title>{escape(title)}</title>',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="white"/>',
        *_axis(top),
        _level(rated, top, f"rated {rated:g} bar", 'stroke="black" stroke-width="3"'),
    ]
    if bound is not None:
        dashed = 'stroke="black" stroke-dasharray="6 4"'
        parts.append(_level(bound, top, f"to reckon with {bound:.1f} bar", dashed, right=True))
    parts += _curve(points, top)
    return "".join([*parts, "</svg>"])


def _y(value: float, top: float) -> float:
    return HEIGHT - BOTTOM - max(value, 0.0) / top * (HEIGHT - TOP - BOTTOM)


def _level(value: float, top: float, words: str, stroke: str, right: bool = False) -> str:
    y = _y(value, top)
    x, anchor = (WIDTH - RIGHT, "end") if right else (LEFT + 4, "start")
    return (
        f'<line x1="{LEFT}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" {stroke}/>'
        f'<text x="{x}" y="{y - 5:.1f}" text-anchor="{anchor}">{escape(words)}</text>'
    )


def _axis(top: float) -> list[str]:
    step = next(one for one in (1, 2, 5, 10, 20) if top / one <= 8)
    parts = [f'<text x="6" y="{TOP - 12}">bar gauge</text>']
    for tick in range(0, int(top) + 1, step):
        y = _y(tick, top)
        parts.append(
            f'<line x1="{LEFT - 4}" x2="{WIDTH - RIGHT}" y1="{y:.1f}" y2="{y:.1f}" '
            f'stroke="#ddd"/><text x="{LEFT - 8}" y="{y + 4:.1f}" text-anchor="end">{tick}</text>'
        )
    return parts


def _curve(points: Sequence[tuple[str, float]], top: float) -> list[str]:
    wide = (WIDTH - LEFT - RIGHT) / len(points)
    places = [(LEFT + wide * (i + 0.5), _y(value, top)) for i, (_, value) in enumerate(points)]
    line = " ".join(f"{x:.1f},{y:.1f}" for x, y in places)
    parts = [f'<polyline points="{line}" fill="none" stroke="#555" stroke-width="2"/>']
    for (x, y), (label, value) in zip(places, points, strict=True):
        below = HEIGHT - BOTTOM + 12
        parts.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="4"/>'
            f'<text x="{x + 6:.1f}" y="{y + 14:.1f}">{value:.1f}</text>'
            f'<text transform="rotate(40 {x:.1f} {below})" x="{x:.1f}" y="{below}">'
            f"{escape(label)}</text>"
        )
    return parts
