"""The address of a calculation as a code that a telephone reads; drawn by the library `segno`."""

from __future__ import annotations

from functools import lru_cache

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
