"""A mixture carried from one calculation to the next, exactly and within the address.

What is carried is not a list of its parts, because a product is more than they are (strained,
boiled, gassed): it is the earlier calculation itself, in words. It is worked out again, and what it
makes is an ingredient of the next one under a name that holds the first letters of the hash which
its card shows, so that a card on a wall can be traced through all steps.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl, urlencode

from prepkit import registry, under_gas
from prepkit.errors import BadInput, PrepkitError
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.page import forms
from prepkit.pantry import Pantry
from prepkit.plan.items import FOAMS
from prepkit.render import html
from prepkit.units import split_amount

MOST = 6
# where a mixture can go on to, and the field that takes it
NEXT = {
    "blend": "part",
    "cordial": "part",
    "dilute": "part",
    "acid-adjust": "part",
    "reduce": "liquid",
    "infuse": "liquid",
    "fat-wash": "spirit",
    "clarify": "part",
    "foam": "liquid",
    "siphon": "contents",
    "carbonate": "contents",
    "cloud": "liquid",
    "chill": "part",
    "freeze": "part",
    "warm": "part",
    "layer": "layer",
    "dose": "into",
    "salt": "into",
    "serve": "part",
    "window": "part",
    "keep": "part",
    "cryogen": "part",
}


@dataclass(frozen=True)
class Carried:
    """A mixture made by an earlier calculation, under its name in the next one."""

    name: str
    calculator: str
    words: dict[str, object]
    mixture: Mixture
    line: str  # as it stands in an address
    before: tuple[str, ...]  # the lines that it rests on itself

    @property
    def amount(self) -> str:
        """All of it, in words that the next calculation reads."""
        return f"{1000 * self.mixture.mass_kg:.10g} g {self.name}"

    @property
    def shown(self) -> str:
        """The same to be read by a person."""
        return f"{1000 * self.mixture.mass_kg:.4g} g"

    @property
    def told(self) -> list[tuple[str, str]]:
        """What it was made from: the labels and words of its inputs."""
        specs = forms.inputs(self.calculator)
        return [
            (specs[key].label, " and ".join(value) if isinstance(value, list) else str(value))
            for key, value in self.words.items()
        ]

    @property
    def query(self) -> str:
        """The address of the calculation that makes it."""
        return urlencode(forms.query(self.words, self.before))


def read(said: Sequence[str], pantry: Pantry) -> tuple[tuple[Carried, ...], Pantry]:
    """Work out what is carried, one after the other; BadInput where a line makes nothing."""
    if len(said) > MOST:
        raise BadInput(f"{len(said)} mixtures are carried over; at most {MOST} can be.")
    found: list[Carried] = []
    for line in said:
        name, _, text = line.partition("?")
        if name not in CALCULATORS:
            raise BadInput(f'"{name[:40]}" is no calculation that a mixture could come from.')
        words: dict[str, Any] = {}  # Any: words, or a list of them
        for key, value in parse_qsl(text):
            words.setdefault(key, []).append(value)
        specs = forms.inputs(name)
        words = {
            key: value if key in specs and specs[key].kind in forms.MANY else value[-1]
            for key, value in words.items()
        }
        strange = next((key for key in words if key not in specs), None)
        if strange is not None:
            raise BadInput(f'{name} takes no "{strange[:40]}", so nothing can be carried from it.')
        for problem in (
            *forms.problems(name, words).values(),
            *problems(name, found, words).values(),
        ):
            raise problem
        answer = registry.run(name, words, pantry=pantry)
        made = of(answer, words, found)
        if made is None:
            raise BadInput(f"{name} makes nothing here that could be carried on.")
        found.append(made)
        pantry = pantry.with_items({one.name: one.mixture for one in found})
    return tuple(found), pantry


def of(
    answer: Answer, words: Mapping[str, object], carried: Sequence[Carried] = ()
) -> Carried | None:
    """What an answer hands on: nothing where the verdict is stop or where it makes nothing."""
    product = answer.product
    if answer.verdict == "stop" or product is None or not product.mass_kg > 0:
        return None
    hashed = html.fingerprint({"calculator": answer.calculator, "inputs": answer.inputs})
    name = f"{answer.calculator}-{hashed.partition('-')[0]}"
    line = f"{answer.calculator}?{urlencode(forms.query(words))}"
    before = lines(needed(carried, words))
    return Carried(name, answer.calculator, dict(words), product, line, before)


def needed(carried: Sequence[Carried], words: Mapping[str, object]) -> tuple[Carried, ...]:
    """Those of the carried mixtures that the words name, and what these rest on."""
    text = _text(words)
    found: list[Carried] = []
    for one in reversed(carried):
        if one.name in text:
            found.insert(0, one)
            text += _text(one.words)
    return tuple(found)


def lines(carried: Sequence[Carried]) -> tuple[str, ...]:
    """Their lines of an address, each after those that it rests on."""
    return tuple(dict.fromkeys(line for one in carried for line in (*one.before, one.line)))


def _text(words: Mapping[str, object]) -> str:
    return "\n".join(value for _, value in forms.query(words)) + "\n"


def problems(
    name: str, carried: Sequence[Carried], words: Mapping[str, object]
) -> dict[str, PrepkitError]:
    """What cannot be worked out of a carried mixture, by input.

    A volume of a foam is mostly gas; what was charged, or met a cryogen, holds more than its
    mixture says and goes on to the last works alone.
    """
    foams = [one.name for one in carried if one.calculator in FOAMS]
    found: dict[str, PrepkitError] = {}
    for one in needed(carried, words):
        if name not in _after(one):
            found[""] = BadInput(
                f"{one.name} has met gas or a cryogen, which is not carried with it, so {name} "
                f"cannot be worked out from it; take it before that."
            )
    for key, value in words.items():
        for text in map(str, value if isinstance(value, list) else [value]):
            for foam in foams:
                if foam in text and _by_volume(text):
                    found[key] = BadInput(
                        f"“{text}” is a foam, and its volume is mostly gas; give it in grams.", key
                    )
    return found


def _after(one: Carried) -> tuple[str, ...]:
    """The works that a mixture can go on to."""
    last = one.mixture.tags & under_gas.MARKS
    return tuple(name for name in NEXT if not last or name in under_gas.LAST)


def _by_volume(text: str) -> bool:
    try:
        return split_amount(text)[0].unit == "ml"
    except BadInput:  # no amount of an ingredient; whoever reads it says so
        return False


@dataclass(frozen=True)
class Onward:
    """A calculation that a mixture can go on to, with the address that fills it in."""

    calculator: str
    field: str
    query: str


def onward(made: Carried) -> list[Onward]:
    """Where a mixture can go on to, all of it."""
    found = []
    for name in _after(made):
        field = NEXT[name]
        spec = forms.inputs(name)[field]
        words = {field: [made.amount] if spec.kind in forms.MANY else made.amount}
        pairs = forms.query(words, (*made.before, made.line), "")
        found.append(Onward(name, spec.label, urlencode([*pairs, (forms.EDIT, "1")])))
    return found
