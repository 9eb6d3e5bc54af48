"""Sentences of calculators on a page: inputs are named by their labels, lists are rows."""

from __future__ import annotations

import re
from collections.abc import Mapping

from prepkit.errors import named, say
from prepkit.spec import Spec

_ONCE = re.compile(r"(?:[Gg]ive (?:it|the option) )?\b([Oo])nce for each\b")
_LISTS = {
    "see prepkit pantry for": "see Ingredients, above, for",
    "are in prepkit pantry": "stand under Ingredients, above",
}
_ROW = {"o": "one row for each", "O": "One row for each"}


def sentence(text: str, specs: Mapping[str, Spec]) -> str:
    """A sentence with its inputs named by their labels.

    >>> spec = Spec("parts", "the liquid", "", "")
    >>> sentence(f"As {named('part')} says; give it once for each.", {"part": spec})
    'As “the liquid” says; one row for each.'
    """

    def name(field: str, example: str | None) -> str:
        spec = specs.get(field)
        shown = f"“{spec.label if spec is not None else field}”"
        return shown if example is None else f"{shown}: {example}"

    said = _ONCE.sub(lambda found: _ROW[found[1]], text)
    for words, here in _LISTS.items():
        said = said.replace(words, here)
    return say(said, name)


def at_field(message: str, name: str, specs: Mapping[str, Spec]) -> str:
    """An error's sentence beside its own field, which need not be named again.

    >>> specs = {"temperature": Spec("quantity", "temperature", "", "")}
    >>> at_field(f"{named('temperature')} is 90 C; it must be lower.", "temperature", specs)
    'It is 90 C; it must be lower.'
    >>> at_field(f'{named("temperature")} "x" does not start with a number.', "temperature", specs)
    '“x” does not start with a number.'
    """
    rest = message.removeprefix(named(name))
    if rest != message and not rest[:1].isalpha() and not rest.startswith("-"):
        rest = rest.removeprefix(":").lstrip()
        quoted = re.match(r'"([^"]*)"', rest)
        if rest.startswith("is "):
            rest = f"It {rest}"
        elif quoted:
            rest = f"“{quoted[1]}”{rest[quoted.end() :]}"
        elif rest.split(" ", 1)[0] in ("needs", "takes", "has", "comes", "names"):
            rest = f"It {rest}"
        else:
            rest = f"{rest[:1].upper()}{rest[1:]}"
        message = rest
    said = sentence(message, specs)
    return f"{said[:1].upper()}{said[1:]}"
