"""What an address asks: its words, the mixture carried into them, the house they are read with.

What is carried is not a list of its parts, because a product is more than they are (strained,
boiled, gassed): it is the earlier calculation itself, in words. It is worked out again, and what it
makes is an ingredient of the next one under a name that holds the first letters of the hash which
its card shows, so that a card on a wall can be traced through all steps.

Only the house file of the named folder, and the pantry that it names below it, are read.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode

from flask import abort, current_app, request
from werkzeug.datastructures import MultiDict

from prepkit import numbers, registry
from prepkit.errors import BadInput, PrepkitError
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.page import forms
from prepkit.page.guard import settings
from prepkit.pantry import Pantry
from prepkit.plan.files import Reader
from prepkit.plan.house import FILE, House
from prepkit.plan.house import read_house as house_read_house
from prepkit.plan.items import FOAMS
from prepkit.render import html
from prepkit.stock.engine import is_server
from prepkit.stock.ledger import Ledger, open_ledger
from prepkit.units import split_amount

# ---- a mixture carried from one calculation to the next, exactly and within the address ----

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


def read_carried(said: Sequence[str], pantry: Pantry) -> tuple[tuple[Carried, ...], Pantry]:
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
    before = carried_lines(needed(carried, words))
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


def carried_lines(carried: Sequence[Carried]) -> tuple[str, ...]:
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
    last = one.mixture.tags & registry.MARKS
    return tuple(name for name in NEXT if not last or name in registry.LAST)


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


# ---- the house that the page was started with ----

_KEPT = "prepkit-house"
NO_LEDGER = 'The house keeps no ledger. Write in its file: [stock] and ledger = "house.db".'


@dataclass
class _Kept:
    """A house as it was last read, and the state of its files then."""

    stamp: tuple[tuple[str, int], ...] = ()
    house: House = field(default_factory=House)


def read_house(folder: Path) -> House:
    """The house of a folder; FileProblem or BadRecipe in one sentence."""
    return house_read_house(Reader(FILE), None, folder, folder)


def house() -> House:
    """The house of the page, read again where one of its files has changed; empty without one."""
    folder = settings().house
    if folder is None:
        return House()
    kept: _Kept = current_app.extensions.setdefault(_KEPT, _Kept())
    stamp = tuple(sorted((one.name, one.stat().st_mtime_ns) for one in folder.glob("*.toml")))
    if kept.stamp != stamp or not stamp:
        kept.house, kept.stamp = read_house(folder), stamp
    return kept.house


def ledger() -> bool:
    """Whether the house keeps a ledger; not where its file is wrong, which other pages say."""
    try:
        return bool(house().stock.ledger)
    except PrepkitError:
        return False


@contextmanager
def opened_ledger() -> Iterator[Ledger]:
    """The ledger of the house; 404 with what to write where there is none."""
    place = house().stock.ledger
    if not place:
        abort(404, NO_LEDGER)
    if not is_server(place) and not Path(place).exists():
        abort(404, "Nothing was recorded yet: the ledger of the house is not there.")
    with open_ledger(place) as found:
        yield found


def system(args: Mapping[str, str]) -> str:
    """The units to show in: those asked for, else the house's, else metric."""
    asked = args.get(forms.UNITS, "")
    return asked if asked in forms.SYSTEMS else usual_system()


def usual_system() -> str:
    """The units of who asks for none."""
    return house().units or forms.SYSTEMS[0]


def house_pantry() -> Pantry:
    """What may be named: the package's ingredients and the house's own."""
    return house().pantry


# ---- what an address asks ----


@dataclass(frozen=True)
class Request:
    """What an address asks: the words, what is carried into them, and what came of it."""

    name: str
    words: dict[str, object]
    carried: tuple[Carried, ...] = ()
    answer: Answer | None = None
    inputs: Any = None  # Any: the inputs of its calculator
    wrong: Mapping[str, PrepkitError] | None = None

    @property
    def query(self) -> list[tuple[str, str]]:
        """The same as a short address."""
        lines = carried_lines(needed(self.carried, self.words))
        return forms.query(self.words, lines, asked_in())


def asked_in() -> str:
    """The units that an address must say; "" where they are the usual ones."""
    shown_in = system(request.args)
    return "" if shown_in == usual_system() else shown_in


def asked(
    name: str, *, compute: bool = True, args: MultiDict[str, str] | None = None, ways: bool = True
) -> Request:
    """Read an address (the present one, or `args`) and work it out.

    Not computed where it only asks for the form; without the ways out of a stop where these, which
    are the most work, are asked for later.
    """
    args = request.args if args is None else args
    words = forms.said(name, args, settings().today().isoformat())
    try:
        carried, pantry = read_carried(args.getlist(forms.MADE), house_pantry())
    except PrepkitError as error:
        return Request(name, words, wrong={"": error})
    if not compute:
        return Request(name, words, carried)
    wrong = {**forms.problems(name, words), **problems(name, carried, words)}
    read = {key: value for key, value in words.items() if key not in wrong}
    if wrong and not _stopped(name, read, wrong, pantry):
        return Request(name, words, carried, wrong={**_others(name, words, wrong, pantry), **wrong})
    try:
        inputs = registry.validate(name, read, pantry)
        answer = (registry.answer if ways else registry.without_ways)(name, inputs)
    except BadInput as error:
        found = registry.problems(name, read, pantry) or forms.of_answer(name, error)
        return Request(name, words, carried, wrong=found)
    return Request(name, words, carried, answer, inputs)


def _stopped(
    name: str, read: Mapping[str, object], wrong: Mapping[str, PrepkitError], pantry: Pantry
) -> bool:
    """Whether a hazard is named, which stops whatever is missing beside it.

    Nothing else is answered while what is needed is missing.
    """
    missing = any(spec.required and key in wrong for key, spec in forms.inputs(name).items())
    return missing and not registry.problems(name, read, pantry)


def _others(
    name: str, words: Mapping[str, object], wrong: Mapping[str, PrepkitError], pantry: Pantry
) -> dict[str, PrepkitError]:
    """What is wrong with the words that were not found wrong yet."""
    left = {key: value for key, value in words.items() if key not in wrong}
    found = registry.problems(name, left, pantry)
    return {key: error for key, error in found.items() if key in left}


def known(name: str) -> str:
    """A calculator's name, or the page that says which is nearest."""
    if name not in CALCULATORS:
        near = numbers.close(name, CALCULATORS, 1)
        hint = f"The nearest is {near[0]}." if near else "The work is listed at the beginning."
        abort(404, f"No work is called “{name[:60]}”. {hint}")
    return name


def held_pair() -> list[tuple[str, str]]:
    """The answer to compare with, as the address has it."""
    return [(forms.HELD, one) for one in request.args.getlist(forms.HELD)[:1]]
