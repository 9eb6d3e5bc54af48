"""Text that is known to fit its place on paper before it is printed.

Lines are broken here, from the widths of letters in `data/letter_widths.toml`, and printed as they
stand. What does not fit gives way by priority: a shorter wording, then what matters less is left
out. Type is never set smaller than `SMALLEST_MM` and nothing runs over its place. Lengths are in
millimetres on paper; a width without a unit in its name is in em, the size of the type.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from functools import cache

from prepkit import blocks

CAPITAL = 0.65
"""Height of a capital letter in em: the lower of the faces in `templates/letters.css`."""
SMALLEST_MM = 3.0
"""Height of the smallest capital letter on a card or a sheet for the wall."""
READ_PER_M_MM = 10 / 3
"""Height of a capital letter that is read at one metre, mm: distance / 300 [SIGN-DISTANCE]."""
CUT = "…"
NO_BREAK = "\u00a0"
_UNKNOWN = 1.05  # a letter that is not in the table: a full square and a little
_PICTURE = 1.4  # beyond the first plane: pictures and rare scripts
_INVISIBLE = {"Mn", "Me", "Cf"}
# a figure stays with its unit or the word that counts it, a sign with its figure
_UNIT = (
    r"%|‰|°C|°F|C|F|bar|psi|kPa|mg|g|kg|oz|lb|ml|cl|l|fl|mm|m|m3|ft|ft3|min|h|d|days?|"
    r"J|N|pH|ppm|Bx|units?|chargers?|vessels?|times|in|US|UK"
)
_GLUED = re.compile(
    rf"(?<=\d) (?=(?:{_UNIT})(?![\w]))|(?<=[±<>≤≥]) (?=\d)|(?<=\d) (?=[±])|"
    r"(?<=\bfl) (?=oz)|(?<=\b(?:US|mp)) (?=fl)"
)
_SENTENCE = re.compile(r"(?<=[.!?]) +(?=[\"“(]?[A-Z0-9])")


def type_mm(capital_mm: float) -> float:
    """The size of type whose capital letters are at least `capital_mm` high.

    >>> round(type_mm(3.0), 2)
    4.62
    """
    return capital_mm / CAPITAL


SMALLEST_TYPE_MM = type_mm(SMALLEST_MM)


def width(text: str, bold: bool = False) -> float:
    """The most that a line of text takes in em, whichever of the faces it is printed in.

    >>> round(width("Peak up to 13.9 bar"), 2)
    8.95
    >>> width("Peak", bold=True) > width("Peak")
    True
    """
    widths = _widths("bold" if bold else "regular")
    return sum(widths.get(letter, 0.0) or _other(letter, widths) for letter in text)


@cache
def _widths(weight: str) -> dict[str, float]:
    table = blocks.table("letter_widths.toml", weight) or {}
    return {letter: int(wide) / 1000 for wide, letters in table.items() for letter in letters}


def _other(letter: str, widths: dict[str, float]) -> float:
    """A letter that was not measured: the parts it is made of, at least a full square."""
    if unicodedata.category(letter) in _INVISIBLE:
        return 0.0
    parts = unicodedata.normalize("NFKC", letter)
    apart = sum(widths.get(one, _UNKNOWN) for one in parts) if parts != letter else 0.0
    return max(apart, _PICTURE if ord(letter) > 0xFFFF else _UNKNOWN)


def glued(text: str) -> str:
    """The text on one line, each figure held to its unit.

    >>> glued("up to  13.9 bar").endswith("13.9\\u00a0bar")
    True
    """
    return _GLUED.sub(NO_BREAK, " ".join(text.split(" ")).strip())


def lines(text: str, wide: float, bold: bool = False) -> tuple[str, ...]:
    """The text broken into lines of at most `wide` em: at blanks, after hyphens, else anywhere.

    >>> lines("Vent to zero, nozzle up, then unscrew.", 10)
    ('Vent to zero, nozzle', 'up, then unscrew.')
    """
    found: list[str] = []
    line = ""
    for word in re.split(r"[ \t\r\n\f\v]+", glued(" ".join(text.split()))):
        for place, piece in enumerate(_pieces(word, wide, bold)):
            joined = line + (" " if line and not place else "") + piece
            if line and width(joined, bold) > wide:
                found.append(line)
                joined = piece
            line = joined
    return tuple([*found, line] if line else found)


def _pieces(word: str, wide: float, bold: bool) -> Iterator[str]:
    """A word whole where it fits; else after its hyphens; else wherever the line ends."""
    if width(word, bold) <= wide:
        yield word
        return
    for part in re.split(rf"(?<=[-/{NO_BREAK}])", word):
        piece = ""
        for letter in part:
            if piece and width(piece + letter, bold) > wide:
                yield piece
                piece = ""
            piece += letter
        if piece:
            yield piece


def fitted(
    wordings: Sequence[str], wide_mm: float, size_mm: float, most: int, bold: bool = False
) -> tuple[str, ...] | None:
    """The lines of the first wording that fits `most` lines; None where none of them does.

    `wordings` are ordered from the fullest to the shortest. Nothing is cut: what does not fit is
    for the caller to leave out, to set elsewhere or to refuse.
    """
    for one in wordings:
        broken = lines(one, wide_mm / size_mm, bold)
        if len(broken) <= most:
            return broken
    return None


def shortened(
    text: str, wide_mm: float, size_mm: float, most: int, bold: bool = False
) -> tuple[str, ...]:
    """The lines of a name or title, cut after a whole word where it is too long, with an ellipsis.

    For names alone: a sentence on safety is fitted or left out, never cut. At least one line.
    """
    wide = wide_mm / size_mm
    broken = lines(text, wide, bold)
    if len(broken) <= most:
        return broken
    kept = broken[: max(most, 1)]
    last = kept[-1].rstrip(" ,;:-")
    while last and width(last + CUT, bold) > wide:
        last = last.rpartition(" ")[0].rstrip(" ,;:-") or last[:-1]
    return (*kept[:-1], last + CUT)


def sentences(text: str) -> tuple[str, ...]:
    """The sentences of a text.

    >>> sentences("Never force it. Cover it at 0.5 C, keep away.")
    ('Never force it.', 'Cover it at 0.5 C, keep away.')
    """
    return tuple(one for one in _SENTENCE.split(" ".join(text.split())) if one)


def shorter(text: str) -> tuple[str, ...]:
    """A text and its shorter forms: one sentence less each time, from the end.

    >>> shorter("Peak 14 bar. Rated 17 bar. Keep it cold.")[1:]
    ('Peak 14 bar. Rated 17 bar.', 'Peak 14 bar.')
    """
    told = sentences(text)
    return tuple(" ".join(told[:most]) for most in range(len(told), 0, -1))
