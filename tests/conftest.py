"""Settings of the drawn tests: the same cases in every ordinary run, new and more in a deep one."""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import Any

import pytest
from deep import TIMES
from hypothesis import settings

collect_ignore = ["bench"]  # a program of its own, by `python tests/bench`; it has no tests

# no deadline: a machine that other work slows down is no defect
settings.register_profile("ordinary", deadline=None, derandomize=True)
settings.register_profile("deep", deadline=None, max_examples=100 * TIMES)
settings.load_profile("ordinary" if TIMES == 1 else "deep")

# what whoever starts the tests has set for their own shell, and the width that a test runner says
for one in ("COLUMNS", "PREPKIT_UNITS", "PREPKIT_HOUSE", "PREPKIT_JURISDICTION"):
    os.environ.pop(one, None)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """The system's Chromium, one for all tests of a process: each opens a window of its own."""
    from page import browsing  # here, so that tests of other things do not load the page

    if why := browsing.missing():
        pytest.skip(why)
    with browsing.chromium() as started:
        yield started


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """In a deep run the tests that name their own number of examples draw more as well."""
    if TIMES == 1:
        return
    seen = set()
    for item in items:
        test = getattr(item, "obj", None)
        # where hypothesis keeps the settings of a test; there is no public way to change them
        own = getattr(test, "_hypothesis_internal_use_settings", None)
        if own is not None and id(test) not in seen and own.max_examples != 100 * TIMES:
            seen.add(id(test))
            test._hypothesis_internal_use_settings = settings(
                own, max_examples=own.max_examples * TIMES, derandomize=False
            )
