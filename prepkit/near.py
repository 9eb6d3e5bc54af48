"""Hints at the names that are near to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable

NEAR = "the nearest is"


def close(name: str, known: Iterable[str], n: int = 3, cutoff: float = 0.6) -> list[str]:
    """At most `n` of the known names that are near, nearest first; difflib is imported for it."""
    from difflib import get_close_matches

    return get_close_matches(name, list(known), n=n, cutoff=cutoff)


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint at the names that are near, or at all of a few; empty where there are none."""
    names = list(known)
    near = close(name, names, n=3, cutoff=0.55)
    if near:
        return f"{NEAR} {' or '.join(near)}"
    return (
        f"there is {', '.join(names[:8])}{' and more' if len(names) > 8 else ''}" if names else ""
    )
