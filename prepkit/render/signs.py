"""Small drawings of our own: safety signs, marks, codes of addresses, a vessel's plate.

A warning is a yellow triangle, a prohibition a red ring with a bar over the symbol, what must be
done a blue disc, a safe condition a green square, fire equipment a red square [SIGN-SHAPES], a
hazard of a substance a square on its point with a red frame [CLP-LABEL]. The symbol is told
again by the words beside it.

Each is told by the words beside it and hidden from what reads a page aloud.

The lines of the plate are text, and the title says them once more, so that nothing is in the
picture alone; it has no outside part.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from html import escape

from prepkit.errors import FileProblem

# ---- safety signs, drawn by us in the open standard shapes and colours ----

# ISO 3864-4 colours as tabled: RAL 1003, 2010, 3001, 5005; green and black of the same contrast
YELLOW, ORANGE, RED, BLUE = "#f9a800", "#d05d29", "#9b2423", "#005387"
GREEN, BLACK = "#00664f", "#15191b"
TRIANGLE_HEIGHT = 0.866  # of its base, which has three equal sides

# each in a square of 64, drawn with a pen of 5; small parts are filled with the pen's colour
SYMBOLS = {
    "acid": '<path d="M6 17l20-9 4 9-20 9z"/><path d="M41 17c5 7 7 10 7 14a7 7 0 0 1-14 0c0-4 2-7'
    ' 7-14z" fill="currentColor"/><path d="M6 58h13l4-9 5 5 5-8 5 8 5-5 5 9h10"/>',
    "aid": '<path d="M24 8h16v16h16v16H40v16H24V40H8V24h16z" fill="currentColor"/>',
    "air": '<path d="M14 28c-8 0-9-11 0-12 1-9 14-11 18-4 7-4 15 0 14 6 9 0 9 10 1 10z"/>'
    '<path d="M20 34v5M32 34v5M44 34v5" stroke-width="4"/><circle cx="11" cy="52" r="5"'
    ' fill="currentColor"/><path d="M22 51h18l8 6h9M28 51l4 7" stroke-width="6"/>',
    "balloon": '<path d="M32 6c13 0 19 10 19 19 0 12-10 20-19 20s-19-8-19-20C13 16 19 6 32 6z"/>'
    '<path d="M27 52l5-7 5 7z" fill="currentColor"/><path d="M32 52c-4 3 4 4 0 8"'
    ' stroke-width="4"/>',
    "burst": '<path d="M22 58V36c0-4 3-7 7-8h6c4 1 7 4 7 8v22z"/><path d="M24 18l14-6 2 5-14 6z"'
    ' fill="currentColor"/><path d="M14 26l-8-5M50 26l8-5M15 40l-8 2M49 40l8 2M48 12l5-7M16'
    ' 12l-5-7"/>',
    "cold": '<path d="M32 6v52M9.5 19l45 26M54.5 19l-45 26"/><path d="M25 10l7 7 7-7M25 54l7-7 7'
    ' 7M10 28l9-3-2-9M54 36l-9 3 2 9M54 28l-9-3 2-9M10 36l9 3-2 9" stroke-width="4"/>',
    "corrosive": '<path d="M4 18l18-8 3 7-18 8zM60 18l-18-8-3 7 18 8z"/><path d="M21 24v3M20 32v3M'
    '43 24v3M44 32v3"/><path d="M4 46h11l4-6 5 5 4 1h2M4 56h26V46"/><path d="M36'
    ' 56c0-6 2-9 6-10l6-4 5 4h7v10z" fill="currentColor"/>',
    "exit": '<path d="M38 8h18v48H38"/><circle cx="25" cy="14" r="5.5" fill="currentColor"/><path'
    ' d="M24 24l-5 15 11 7v12M19 39L8 46M12 28l12-4 10 8" stroke-width="5.5"/>',
    "flame": '<path d="M34 5c3 11 15 17 15 34a17 17 0 0 1-34 0c0-9 6-13 8-20 3 3 4 6 5 9 5-7 7-14'
    ' 6-23z"/><path d="M32 56c-5 0-7-4-7-7 0-5 4-7 6-11 4 4 8 7 8 12 0 4-3 6-7 6z"'
    ' stroke-width="4"/>',
    "gauge": '<circle cx="32" cy="32" r="25"/><path d="M32 35L45 21"/><circle cx="32" cy="35"'
    ' r="3.5" fill="currentColor"/><path d="M14 35h4M19 20l3 3M32 13v4"/><path d="M50 35h-4"'
    ' stroke-width="8"/>',
    "general": '<path d="M32 8v30" stroke-width="11"/><circle cx="32" cy="55" r="4"'
    ' fill="currentColor"/>',
    "goggles": '<path d="M11 22h42c4 0 5 4 5 8v3c0 7-4 11-11 11-6 0-8-3-10-7-2-3-8-3-10 0-2 4-4'
    ' 7-10 7-7 0-11-4-11-11v-3c0-4 1-8 5-8z"/><path d="M6 30H2M62 30h-4"/><path d="M14 30l6-4M42'
    ' 30l6-4" stroke-width="3.5"/>',
    "irritant": '<path d="M32 8v30" stroke-width="11"/><circle cx="32" cy="55" r="4"'
    ' fill="currentColor"/>',
    "lid": '<path d="M10 38h44v14c0 4-2 6-6 6H16c-4 0-6-2-6-6z"/><path d="M54 42h8"/><path d="M10'
    ' 32c2-8 10-11 22-11s20 3 22 11z" fill="currentColor"/><path d="M32 21v-5"/><path d="M32'
    ' 3v4M20 6l2 4M44 6l-2 4" stroke-width="4"/>',
    "person": '<circle cx="32" cy="11" r="6" fill="currentColor"/><path d="M32 22v19M32 41l-8 17M3'
    '2 41l8 17" stroke-width="6"/><path d="M14 33l8-10h20l8 10"/>',
    "sealed": '<path d="M22 58h20V32c0-5-5-6-5-11h-10c0 5-5 6-5 11z"/><path d="M24 8h16v13H24z"'
    ' fill="currentColor"/><path d="M28 42l4 4 4-4M32 46V36" stroke-width="4"/>',
    "shared": '<path d="M6 20h28l-4 36H10z"/><path d="M38 32h20l-3 24H41z"/><path d="M24'
    ' 12c8-8 20-6 24 6M41 15l8 5 6-8" stroke-width="4"/>',
    "tell": '<path d="M6 10h52v32H32L20 56V42H6z"/><path d="M32 18v9" stroke-width="6"/><circle'
    ' cx="32" cy="35" r="1.5" fill="currentColor"/>',
    "vent": '<path d="M23 58V42h18v16z"/><path d="M28 42v-8h8v8"/><path d="M32 28V6M25 13l7-7 7'
    ' 7"/><path d="M20 26c-5-3-2-8-7-11M44 26c5-3 2-8 7-11"/>',
    "water": '<path d="M8 14h26c8 0 12 5 12 12v4"/><path d="M20 14V6M14 6h12"/><path d="M46 38v6M4'
    '0 40v8M52 40v8" stroke-width="4"/><path d="M12 58c8-8 18-6 24-4h16" stroke-width="6"/>',
}  # fmt: skip


def _symbol(name: str, pen: str, left: float, top: float, scale: float) -> str:
    return (
        f'<g transform="translate({left:g} {top:g}) scale({scale:g})" fill="none" stroke="{pen}"'
        f' color="{pen}" stroke-width="5" stroke-linecap="round" stroke-linejoin="round">'
        f"{SYMBOLS[name]}</g>"
    )


def _middle(name: str, pen: str, scale: float) -> str:
    """A symbol in the middle of a square of 100."""
    at = 50 - 32 * scale
    return _symbol(name, pen, at, at, scale)


def _warning(name: str) -> str:
    """Equal sides; black border 0.06 of the base, the yellow more than half of it."""
    return (
        f'<path d="M50 3.5L96 83.1H4z" fill="{YELLOW}" stroke="{BLACK}" stroke-width="6"'
        f' stroke-linejoin="round"/>{_symbol(name, BLACK, 32.1, 37.5, 0.56)}'
    )


def _prohibition(name: str) -> str:
    """Ring 0.1 and bar 0.08 of the diameter, the bar unbroken over the symbol."""
    return (
        f'<circle cx="50" cy="50" r="45" fill="#fff"/>{_middle(name, BLACK, 0.9)}'
        f'<circle cx="50" cy="50" r="45" fill="none" stroke="{RED}" stroke-width="10"/>'
        f'<path d="M18.2 18.2L81.8 81.8" stroke="{RED}" stroke-width="8"/>'
    )


def _mandatory(name: str) -> str:
    return f'<circle cx="50" cy="50" r="50" fill="{BLUE}"/>{_middle(name, "#fff", 1.1)}'


def _safe(name: str) -> str:
    return f'<path d="M0 0h100v100H0z" fill="{GREEN}"/>{_middle(name, "#fff", 1.2)}'


def _fire(name: str) -> str:
    return f'<path d="M0 0h100v100H0z" fill="{RED}"/>{_middle(name, "#fff", 1.2)}'


def _hazard(name: str) -> str:
    """White ground, a red frame, a black symbol, on its point."""
    return (
        f'<path d="M50 4L96 50 50 96 4 50z" fill="#fff" stroke="{RED}" stroke-width="5"'
        f' stroke-linejoin="miter"/>{_middle(name, BLACK, 0.76)}'
    )


_SHAPES = {
    "warning": _warning,
    "prohibition": _prohibition,
    "mandatory": _mandatory,
    "safe": _safe,
    "fire": _fire,
    "hazard": _hazard,
}


def drawn(words: str) -> str:
    """A sign as SVG without a size of its own, by its shape and symbol, such as "warning cold".

    Hidden from what reads a page aloud: the words beside it say the same. Raises FileProblem
    where there is no such shape or symbol.
    """
    shape, _, name = words.partition(" ")
    if shape not in _SHAPES or name not in SYMBOLS:
        raise FileProblem(
            f'there is no sign "{words}". Shapes: {", ".join(_SHAPES)}. Symbols: '
            f"{', '.join(SYMBOLS)}."
        )
    high = 100 * TRIANGLE_HEIGHT if shape == "warning" else 100
    return (
        f'<svg class="sign {shape}" viewBox="0 0 100 {high:g}" aria-hidden="true"'
        f' focusable="false">{_SHAPES[shape](name)}</svg>'
    )


def alert(signal: str) -> str:
    """The mark beside a signal word, in the colours of its panel."""
    ground, mark = ("#fff", RED) if signal == "danger" else (BLACK, ORANGE)
    return (
        f'<svg viewBox="0 0 100 86.6" aria-hidden="true" focusable="false"><path d="M50 0L100'
        f' 86.6H0z" fill="{ground}"/><path d="M50 33v25" stroke="{mark}" stroke-width="10"'
        f' stroke-linecap="round"/><circle cx="50" cy="73" r="6" fill="{mark}"/></svg>'
    )


# ---- the shapes beside the words of a card that no safety sign has ----

_OPEN = '<svg viewBox="0 0 64 64" aria-hidden="true" focusable="false" fill="none"'
_PEN = 'stroke="currentColor" stroke-width="5" stroke-linecap="round" stroke-linejoin="round"'
VERDICTS = {
    "care": '<path d="M32 6L60 56H4z"/><path d="M32 24v15" stroke-width="6"/>'
    '<circle cx="32" cy="47.5" r="1.5" fill="currentColor"/>',
    "stop": '<path d="M21 5h22l16 16v22L43 59H21L5 43V21z"/><path d="M18 32h28" stroke-width="8"/>',
}


def of_verdict(name: str) -> str:
    """The shape of a verdict; a clear one has none, since it does not mean safe."""
    shape = VERDICTS.get(name)
    return f"{_OPEN} {_PEN}>{shape}</svg>" if shape else ""


def prohibition() -> str:
    """What must not be done: ring 0.1 and bar 0.08 of the diameter, from upper left."""
    return (
        f'{_OPEN}><circle cx="32" cy="32" r="27.9" fill="#fff" stroke="{RED}" stroke-width="6.2"/>'
        f'<path d="M12.3 12.3l39.4 39.4" stroke="{RED}" stroke-width="5"/></svg>'
    )


# ---- the address of a calculation as a code that a telephone reads ----

_QUIET = 4  # modules of white edge, as the standard of the code asks
MOST_LETTERS = 600  # a longer address makes modules too fine for a card


@lru_cache(maxsize=64)  # a link that opens once is not kept for ever
def rows(address: str) -> tuple[str, ...]:
    """The rows of the code, "1" for black, its white edge included.

    Empty where there is no address, where it is too long for a card, or where the library of the
    page's extra is not installed.
    """
    if not address or len(address) > MOST_LETTERS:
        return ()
    try:
        import segno
    except ModuleNotFoundError:
        return ()
    code = segno.make(address, error="l", micro=False, boost_error=False)
    return tuple(
        "".join("1" if module else "0" for module in row) for row in code.matrix_iter(border=_QUIET)
    )


def path(found: tuple[str, ...]) -> str:
    """The black modules of a code as the path of an SVG, one unit for each module."""
    drawn = []
    for y, row in enumerate(found):
        x = 0
        while x < len(row):
            if row[x] == "1":
                end = len(row) if "0" not in row[x:] else row.index("0", x)
                drawn.append(f"M{x} {y}h{end - x}v1h-{end - x}z")
                x = end
            else:
                x += 1
    return "".join(drawn)


# ---- a vessel's plate as a picture, like a photograph of stamped metal ----

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
