"""What a mistake of the drills gives beside the same worked by hand; its tests share it."""

from __future__ import annotations

from collections.abc import Mapping
from types import ModuleType

import pytest

from prepkit.drill.choices import TRAPS


def traps_of(module: ModuleType) -> set[str]:
    """Names of the traps that a module holds."""
    return {name for name, one in TRAPS.items() if one.gives.__module__ == module.__name__}


def gives(name: str, arguments: Mapping[str, float]) -> float | str:
    """What a trap makes of its arguments."""
    return TRAPS[name].gives(**arguments)


def assert_as_by_hand(name: str, arguments: Mapping[str, float], expected: float | str) -> None:
    """Fail unless a trap takes these arguments and gives what was worked out by hand."""
    assert set(TRAPS[name].arguments) == set(arguments)
    got = gives(name, arguments)
    assert got == (expected if isinstance(expected, str) else pytest.approx(expected, rel=2e-4))
