"""Hints at the names that are near to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

NEAR = "the nearest is"


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint at the names that are near, or at all of a few; empty where there are none."""
    names = list(known)
    near = get_close_matches(name, names, n=3, cutoff=0.55)
    if near:
        return f"{NEAR} {' or '.join(near)}"
    return (
        f"there is {', '.join(names[:8])}{' and more' if len(names) > 8 else ''}" if names else ""
    )
