"""The register of traps: a mistake's name, what was done, what is right, what it gives."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from inspect import signature

Gives = Callable[..., float | str]


@dataclass(frozen=True)
class Trap:
    """A mistake: its name, what was done, what is right, and what it gives."""

    name: str
    done: str
    right: str
    gives: Gives

    @property
    def arguments(self) -> tuple[str, ...]:
        """The names of the numbers that it takes."""
        return tuple(signature(self.gives).parameters)


TRAPS: dict[str, Trap] = {}


def trap(done: str, right: str) -> Callable[[Gives], Gives]:
    """Register a function as the trap of its own name, with hyphens."""

    def register(gives: Gives) -> Gives:
        name = gives.__name__.replace("_", "-")
        if name in TRAPS:
            raise AssertionError(f"two traps are called {name}")
        TRAPS[name] = Trap(name, done, right, gives)
        return gives

    return register


def verdict(stops: bool) -> str:
    """The verdict that a mistaken rule comes to."""
    return "stop" if stops else "clear"
