"""A stack of layers as a picture: the glass to scale by volume, and each density on one scale."""

from __future__ import annotations

import math
from dataclasses import dataclass
from html import escape
from itertools import pairwise

from prepkit.model import Answer

WIDTH = 420
TOP, PITCH, FOOT = 44, 46, 40
GLASS_LEFT, GLASS_WIDE = 8, 78
WORDS_LEFT = 122
SCALE_LEFT, SCALE_RIGHT = 130, WIDTH - 14
FONT = 13
_MOST_NAME = 42


@dataclass(frozen=True)
class Drawn:
    """One layer, the top one first in a stack."""

    name: str
    temperature_c: float
    density: float
    error: float
    volume_ml: float

    @property
    def words(self) -> str:
        """The layer in words."""
        return f"{self.name} at {self.temperature_c:g} °C, {self.density:.1f} kg/m3"


def stack(answer: Answer) -> tuple[Drawn, ...]:
    """The layers of an answer from the top down; empty where it has none."""
    for table in answer.tables:
        if table.name == "stack":
            return tuple(
                Drawn(str(row[0]), *(float(row[at] or 0.0) for at in (1, 3, 4, 5)))
                for row in table.rows
            )
    return ()


def layer_title(answer: Answer) -> str:
    """What the picture shows."""
    words = "The stack, top first: volumes to scale in the glass, densities on one scale."
    turning = [one.name for one in _turning(stack(answer))]
    return f"{words} Heavier than what lies below it: {', '.join(turning)}." if turning else words


def layer_words(answer: Answer) -> str:
    """The picture in words."""
    return (
        "; ".join(f"{one.words} ± {one.error:.1f}, {one.volume_ml:.0f} ml" for one in stack(answer))
        + "."
    )


def _turning(drawn: tuple[Drawn, ...]) -> list[Drawn]:
    """Layers that are heavier than the one below them."""
    return [one for one, below in pairwise(drawn) if one.density > below.density]


def layer_svg(answer: Answer, key: str = "layers") -> str | None:
    """The stack as a self-contained SVG; None where the answer has no stack."""
    drawn = stack(answer)
    if not drawn or not math.fsum(one.volume_ml for one in drawn) > 0:
        return None
    height = TOP + PITCH * len(drawn) + FOOT
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'aria-labelledby="{key}-title {key}-desc" font-family="sans-serif" font-size="{FONT}">'
        f'<title id="{key}-title">{escape(layer_title(answer))}</title>'
        f'<desc id="{key}-desc">{escape(layer_words(answer))}</desc>'
        f'<rect width="{WIDTH}" height="{height}" fill="white"/>',
        f'<text x="{GLASS_LEFT}" y="20" font-weight="bold">glass</text>',
        f'<text x="{SCALE_LEFT}" y="20" font-weight="bold">density, kg/m3: heavier to the right'
        "</text>",
    ]
    low, high = _ends(drawn)
    parts += _scale(low, high, TOP + PITCH * len(drawn))
    y = float(TOP)
    whole = math.fsum(one.volume_ml for one in drawn)
    turning = _turning(drawn)
    for place, one in enumerate(drawn):
        tall = PITCH * len(drawn) * one.volume_ml / whole
        parts += _slice(one, y, tall, place, (low, high))
        parts += _row(one, place, (low, high), one in turning)
        y += tall
    return "".join([*parts, "</svg>"])


def _ends(drawn: tuple[Drawn, ...]) -> tuple[float, float]:
    low = min(one.density - one.error for one in drawn)
    high = max(one.density + one.error for one in drawn)
    room = max(high - low, 1.0)
    return low - 0.08 * room, high + 0.08 * room


def _x(density: float, ends: tuple[float, float]) -> float:
    low, high = ends
    return SCALE_LEFT + (density - low) / (high - low) * (SCALE_RIGHT - SCALE_LEFT)


def _scale(low: float, high: float, bottom: int) -> list[str]:
    step = next(one for one in (1, 2, 5, 10, 20, 50, 100, 200, 500) if (high - low) / one <= 5)
    parts = []
    for tick in range(int(low // step + 1) * step, int(high) + 1, step):
        x = _x(tick, (low, high))
        parts.append(
            f'<line x1="{x:.1f}" x2="{x:.1f}" y1="{TOP - 12}" y2="{bottom + 4}" stroke="#bbb" '
            f'stroke-width="0.6"/>'
            f'<text x="{x:.1f}" y="{bottom + 20}" text-anchor="middle">{tick}</text>'
        )
    return parts


def _slice(one: Drawn, y: float, tall: float, place: int, ends: tuple[float, float]) -> list[str]:
    """The layer in the glass, the darker the denser, and a line to its row."""
    low, high = ends
    grey = round(250 - 130 * (one.density - low) / (high - low))
    middle, row = y + tall / 2, TOP + PITCH * (place + 0.5)
    right = GLASS_LEFT + GLASS_WIDE
    return [
        f'<rect x="{GLASS_LEFT}" y="{y:.1f}" width="{GLASS_WIDE}" height="{tall:.1f}" '
        f'fill="rgb({grey},{grey},{grey})" stroke="black"/>',
        f'<polyline points="{right},{middle:.1f} {right + 10},{middle:.1f} '
        f'{WORDS_LEFT - 8},{row:.1f}" fill="none" stroke="black" stroke-width="0.8"/>',
    ]


def _row(one: Drawn, place: int, ends: tuple[float, float], turns: bool) -> list[str]:
    """Name, and density with its ±."""
    top = TOP + PITCH * place
    y = top + 32
    left, at, right = (_x(one.density + sign * one.error, ends) for sign in (-1, 0, 1))
    name = one.name if len(one.name) <= _MOST_NAME else f"{one.name[: _MOST_NAME - 3]}..."
    words = f"{name}, {one.temperature_c:g} °C"
    if turns:
        words = f"{name}: HEAVIER THAN BELOW"
    after = at < 0.5 * (SCALE_LEFT + SCALE_RIGHT)
    number_x, anchor = (right + 8, "start") if after else (left - 8, "end")
    return [
        f'<text x="{SCALE_LEFT}" y="{top + 14}" stroke="white" stroke-width="3" '
        f'paint-order="stroke">{escape(words)}</text>',
        f'<line x1="{left:.1f}" x2="{right:.1f}" y1="{y}" y2="{y}" stroke="black" '
        f'stroke-width="2"/>',
        f'<circle cx="{at:.1f}" cy="{y}" r="4.5"/>',
        f'<text x="{number_x:.1f}" y="{y + 4}" text-anchor="{anchor}" stroke="white" '
        f'stroke-width="3" paint-order="stroke">{one.density:.1f}</text>',
    ]
