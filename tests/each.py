"""Thousands of small rows in one test, which runs to the end and reports every fault by its row.

For rows that cost less to test than to start a test of each. Rows of published values keep a test
each, with the row's id.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest

MOST_SHOWN = 20


def each(
    rows: Iterable[Any], name: Callable[[Any], str] = str
) -> Callable[[Callable[[Any], None]], Callable[[], None]]:
    """Makes a test of one row a test of all of them; `name` is what a fault is told by."""
    every = list(rows)

    def of_all(test: Callable[[Any], None]) -> Callable[[], None]:
        def looped() -> None:
            assert every, "there is no row"
            faults = []
            for row in every:
                try:
                    test(row)
                # a skip, a failed `raises` or an xfail would leave out the rows that follow
                except (Exception, pytest.skip.Exception, pytest.fail.Exception) as error:
                    faults.append(f"{name(row)}: {type(error).__name__}: {error}")
            if faults:
                shown = "\n".join(faults[:MOST_SHOWN])
                pytest.fail(f"{len(faults)} of {len(every)} rows:\n{shown}", pytrace=False)

        # pytest -k finds a loop by the name of a row too: it looks at the names of attributes
        setattr(looped, " ".join(map(name, every)), True)
        looped.__name__, looped.__doc__ = test.__name__, test.__doc__
        looped.__module__, looped.__qualname__ = test.__module__, test.__qualname__
        return looped

    return of_all
