"""Hints at the names that are near to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable

from prepkit import spelling

NEAR = "the nearest is"


def close(name: str, known: Iterable[str], n: int = 3) -> list[str]:
    """At most `n` of the known names that this one may be misspelt for, nearest first.

    >>> close("so2", ["o2", "co2"]), close("jucie", ["juice", "ice"])
    ([], ['juice'])
    """
    return spelling.close(name, known, n)


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint at the names that are near, or at all of a few; empty where there are none."""
    names = list(known)
    near = close(name, names)
    if near:
        return f"{NEAR} {' or '.join(near)}"
    return (
        f"there is {', '.join(names[:8])}{' and more' if len(names) > 8 else ''}" if names else ""
    )
