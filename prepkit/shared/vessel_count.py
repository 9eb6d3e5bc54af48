"""How many vessels a load may be shared out over."""

from __future__ import annotations

ROUNDING = 1e-9
MOST_FILLS = 1000  # of one load: more is a wrong unit, and no list of boxes to tick


def too_many(wanted: float, most_each: float, each: str) -> str | None:
    """Why so much is not shared out over vessels; None where it is at most 1000 of them."""
    if wanted <= MOST_FILLS * most_each * (1.0 + ROUNDING):
        return None
    return (
        f"{each} would need more than {MOST_FILLS} vessels of one load; check the number and the "
        f"unit of the largest fill."
    )
