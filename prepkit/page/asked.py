"""What an address asks: its words read, what is carried into them, and the answer to it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from flask import abort, request
from werkzeug.datastructures import MultiDict

from prepkit import registry, spelling
from prepkit.errors import BadInput, PrepkitError
from prepkit.index import CALCULATORS
from prepkit.model import Answer
from prepkit.page import carry, forms, house
from prepkit.page.settings import settings
from prepkit.pantry import Pantry


@dataclass(frozen=True)
class Asked:
    """What an address asks: the words, what is carried into them, and what came of it."""

    name: str
    words: dict[str, object]
    carried: tuple[carry.Carried, ...] = ()
    answer: Answer | None = None
    inputs: Any = None  # Any: the inputs of its calculator
    wrong: Mapping[str, PrepkitError] | None = None

    @property
    def query(self) -> list[tuple[str, str]]:
        """The same as a short address."""
        lines = carry.lines(carry.needed(self.carried, self.words))
        return forms.query(self.words, lines, asked_in())


def asked_in() -> str:
    """The units that an address must say; "" where they are the usual ones."""
    shown_in = house.system(request.args)
    return "" if shown_in == house.usual_system() else shown_in


def asked(
    name: str, *, compute: bool = True, args: MultiDict[str, str] | None = None, ways: bool = True
) -> Asked:
    """Read an address (the present one, or `args`) and work it out.

    Not computed where it only asks for the form; without the ways out of a stop where these, which
    are the most work, are asked for later.
    """
    args = request.args if args is None else args
    words = forms.said(name, args, settings().today().isoformat())
    try:
        carried, pantry = carry.read(args.getlist(forms.MADE), house.pantry())
    except PrepkitError as error:
        return Asked(name, words, wrong={"": error})
    if not compute:
        return Asked(name, words, carried)
    wrong = {**forms.problems(name, words), **carry.problems(name, carried, words)}
    read = {key: value for key, value in words.items() if key not in wrong}
    if wrong and not _stopped(name, read, wrong, pantry):
        return Asked(name, words, carried, wrong={**_others(name, words, wrong, pantry), **wrong})
    try:
        inputs = registry.validate(name, read, pantry)
        answer = (registry.answer if ways else registry.without_ways)(name, inputs)
    except BadInput as error:
        found = registry.problems(name, read, pantry) or forms.of_answer(name, error)
        return Asked(name, words, carried, wrong=found)
    return Asked(name, words, carried, answer, inputs)


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
        near = spelling.close(name, CALCULATORS, 1)
        hint = f"The nearest is {near[0]}." if near else "The work is listed at the beginning."
        abort(404, f"No work is called “{name[:60]}”. {hint}")
    return name


def held_pair() -> list[tuple[str, str]]:
    """The answer to compare with, as the address has it."""
    return [(forms.HELD, one) for one in request.args.getlist(forms.HELD)[:1]]
