"""A vessel's plate as a picture, like a photograph of stamped metal: own plain drawing.

The lines of the plate are text, and the title says them once more, so that nothing is in the
picture alone; it has no outside part.
"""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

WIDTH = 420
_LINE, _TOP, _BOTTOM, _EDGE = 26, 44, 30, 20
_VALUE_AT = 210
WORN = "worn away"


def plate_svg(lines: Sequence[tuple[str, str]], place: int = 1) -> str:
    """The plate with its lines; a line whose value is worn away is drawn as scratches.

    `place` tells apart several plates of one document.
    """
    height = _TOP + _LINE * len(lines) + _BOTTOM
    metal = f"metal-{place}"
    title = "Plate of the vessel. " + "; ".join(f"{label}: {value}" for label, value in lines) + "."
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'font-family="Liberation Mono, DejaVu Sans Mono, monospace" font-size="13">'
        f"<title>{escape(title)}</title>",
        f'<defs><linearGradient id="{metal}" x1="0" y1="0" x2="1" y2="1">'
        '<stop offset="0" stop-color="#f4f4f4"/><stop offset="0.45" stop-color="#d9d9d9"/>'
        '<stop offset="0.55" stop-color="#efefef"/><stop offset="1" stop-color="#cfcfcf"/>'
        "</linearGradient></defs>",
        f'<rect width="{WIDTH}" height="{height}" fill="#8a8a8a"/>',
        f'<g transform="rotate(-0.6 {WIDTH / 2:g} {height / 2:g})">',
        f'<rect x="10" y="10" width="{WIDTH - 20}" height="{height - 20}" rx="10" '
        f'fill="url(#{metal})" stroke="#222" stroke-width="2"/>',
        *_rivets(height),
        f'<text x="{WIDTH / 2:g}" y="32" text-anchor="middle" font-weight="bold" '
        'letter-spacing="4">SIPHON</text>',
    ]
    for row, (label, value) in enumerate(lines):
        parts += _line(_TOP + _LINE * row + 16, label, value)
    parts += [_scratch(60, height - 34, 130, height - 52), _scratch(300, 26, 352, 18), "</g></svg>"]
    return "".join(parts)


def _rivets(height: int) -> list[str]:
    at = ((_EDGE + 4, _EDGE + 4), (WIDTH - _EDGE - 4, _EDGE + 4),
          (_EDGE + 4, height - _EDGE - 4), (WIDTH - _EDGE - 4, height - _EDGE - 4))  # fmt: skip
    return [
        f'<circle cx="{x}" cy="{y}" r="5" fill="#bbb" stroke="#333"/>'
        f'<line x1="{x - 3}" y1="{y - 2}" x2="{x + 3}" y2="{y + 2}" stroke="#333"/>'
        for x, y in at
    ]


def _line(y: int, label: str, value: str) -> list[str]:
    stamped = f'<text x="40" y="{y}" fill="#222">{escape(label.upper())}</text>'
    if not value.startswith(WORN):
        return [
            stamped,
            f'<text x="{_VALUE_AT}" y="{y}" font-weight="bold">{escape(value)}</text>',
        ]
    smear = "".join(
        _scratch(_VALUE_AT + 12 * step, y + 3 - 9 * (step % 2), _VALUE_AT + 12 * step + 26, y - 7)
        for step in range(10)
    )
    return [
        stamped,
        f'<rect x="{_VALUE_AT}" y="{y - 13}" width="150" height="17" fill="#c4c4c4"/>',
        smear,
    ]


def _scratch(x1: int, y1: int, x2: int, y2: int) -> str:
    return f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="#999" stroke-width="1"/>'
