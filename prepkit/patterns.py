"""Patterns of words that are compiled when they are first used: one run needs few of them."""

from __future__ import annotations

import re
from typing import Any, cast


class _Later:
    """Stands for a compiled pattern; what is asked of it once is at hand from then on."""

    def __init__(self, text: str, flags: int) -> None:
        self._told = (text, flags)

    def __getattr__(self, name: str) -> Any:  # Any: whatever a compiled pattern has
        found = getattr(re.compile(*self._told), name)
        setattr(self, name, found)
        return found


def later(text: str, flags: int = 0) -> re.Pattern[str]:
    """A pattern as of `re.compile`, compiled at its first use; wrong ones are told only then.

    >>> later(r"[0-9]+").sub("n", "4 g of 12")
    'n g of n'
    """
    return cast("re.Pattern[str]", _Later(text, flags))
