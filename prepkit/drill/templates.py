"""Question templates, and the register of traps.

A [[question]] asks for one value of a calculator, or for its verdict; a [[fault]] is a siphon load
with one planted fault on the plate or on the job. Numbers are drawn from `draw`, put into the words
and into the calculator's inputs; the wrong answers are traps by name.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from inspect import signature

from prepkit import blocks
from prepkit.inputs import Json

# ---- question templates ----

TOPICS = ("siphon", "room", "cryogen", "acid", "syrup", "strength", "keg", "process")
LEVELS = (1, 2, 3)
#: What a plate can show, in the order it is drawn: the siphon's inputs by name.
PLATE = (
    "vessel_volume", "max_fill", "rated", "allowed_gas", "allowed_charger", "most_chargers",
    "hottest", "head", "inspection_due",
)  # fmt: skip


@dataclass(frozen=True)
class Binding:
    """A trap by name, and which number goes to which of its arguments, with a factor of units."""

    trap: str
    arguments: Mapping[str, tuple[str, float]]


@dataclass(frozen=True)
class Template:
    """One kind of question; `answer` is a value's name, a table's cell, "verdict" or "fault"."""

    id: str
    level: int
    calculator: str
    text: str
    draw: Mapping[str, object]
    inputs: Mapping[str, object]
    answer: str | Mapping[str, str]
    tolerance: Mapping[str, float]
    traps: tuple[Binding, ...]
    caution: str
    sources: tuple[str, ...]
    decides: str
    digits: int | None = None  # shown digits, where they are not the calculator's own
    fault: str = ""  # what is wrong, in words, where a fault is to be found
    unreadable: tuple[str, ...] = field(default=())  # inputs that the plate does not show


def _binding(row: Json) -> Binding:
    arguments: dict[str, tuple[str, float]] = {}
    for name, of in row.get("with", {}).items():
        arguments[name] = (of, 1.0) if isinstance(of, str) else (of[0], float(of[1]))
    return Binding(row["name"], arguments)


def _question(row: Json, decides: str) -> Template:
    return Template(
        row["id"],
        row["level"],
        row["calculator"],
        " ".join(row["text"].split()),
        row.get("draw", {}),
        row["inputs"],
        row["answer"],
        row.get("tolerance", {}),
        tuple(_binding(one) for one in row["trap"]),
        row["caution"],
        tuple(row["sources"]),
        row.get("decides", decides),
        row.get("digits"),
    )


def _fault(row: Json, load: Json, text: str, decides: str) -> Template:
    hidden = tuple(row.get("unreadable", ()))
    inputs = {**load["inputs"], **row.get("change", {})}
    return Template(
        row["id"],
        row["level"],
        "siphon",
        " ".join(text.split()),
        {**load.get("draw", {}), **row.get("draw", {})},
        {name: value for name, value in inputs.items() if name not in hidden},
        "fault",
        {},
        (Binding("nothing-seen", {}), Binding("fault-not-there", {})),
        row["caution"],
        tuple(row["sources"]),
        row.get("decides", decides),
        fault=row["fault"],
        unreadable=hidden,
    )


@cache
def templates(topic: str) -> tuple[Template, ...]:
    """Every template of a topic, in file order."""
    data = tomllib.loads(blocks.read(f"drills/{topic}.toml"))
    decides = data["decides"]
    found = [_question(row, decides) for row in data.get("question", ())]
    for row in data.get("fault", ()):
        found.append(_fault(row, data["load"][row["load"]], data["look"], decides))
    return tuple(found)


# ---- the register of traps ----

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
