"""Inputs that name what goes into no drink: found before anything else is read, and answered.

The calculator is not run: `registry.answer` finds the empty part and stops with its reason,
whatever else is missing or wrong in the inputs.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from prepkit import grammar, hazard_names, jurisdictions
from prepkit.errors import BadInput, NamedHazard, PrepkitError, UnknownIngredient, named
from prepkit.model import Inputs
from prepkit.pantry import Pantry
from prepkit.spec import Spec, read

if TYPE_CHECKING:
    from prepkit.refused_plants import Refused

_NAMES = frozenset(("part", "parts", "ingredient", "ingredients", "words", "many words"))
# words that name no part: gases where gases are asked for, files, dates, places
_NO_PARTS = frozenset(
    (
        "gas", "release", "rate", "allowed_gas", "vessel", "vessel_register", "sequence", "made",
        "inspection_due", "date", "today", "use_by", "jurisdiction", "amount", "cryogen", "place",
        "target", "want", "noted", "aroma",
    )
)  # fmt: skip
_BOILS = frozenset(("reduce",))  # calculators that boil what they are given


def _rules(said: Mapping[str, object]) -> str:
    where = said.get("jurisdiction")
    try:
        return jurisdictions.key_of(where) or "" if isinstance(where, str) else ""
    except BadInput:  # said of its field where that is read
        return ""


def _texts(value: object) -> list[str]:
    many = value if isinstance(value, list | tuple) else (value,)
    return [part for one in many if isinstance(one, str) for part in grammar.split(one)]


def first(
    inputs: type[Inputs], name: str, said: Mapping[str, object], pantry: Pantry
) -> Inputs | None:
    """Inputs with an empty part for each hazard that is named, spelt right; None without one."""
    found: dict[str, list[tuple[str, Refused]]] = {}
    for field, spec in inputs.specs().items():
        if field not in said or spec.kind not in _NAMES or field in _NO_PARTS:
            continue
        for words in _texts(said[field]):
            if pantry.made_here(words):
                continue
            hazard = hazard_names.find(words, _rules(said), name in _BOILS)
            if hazard is not None and not hazard.flag:
                found.setdefault(field, []).append((words, hazard))
    return _made(inputs, said, found, pantry) if found else None


def after(
    inputs: type[Inputs],
    said: Mapping[str, object],
    problems: Mapping[str, PrepkitError],
    pantry: Pantry,
) -> Inputs | None:
    """The same from what was found wrong when it was read: misspelt, or told by the pantry."""
    from prepkit.refused_plants import Refused

    found: dict[str, list[tuple[str, Refused]]] = {}
    for field, problem in problems.items():
        if not isinstance(problem, NamedHazard) or _lawful(problem.words, said):
            continue
        at = (field or problem.field or "").lstrip("-").replace("-", "_")
        at = at if at in inputs.specs() else next(iter(inputs.specs()))
        words = next((one for one in _texts(said.get(at)) if problem.words in one), problem.words)
        assert isinstance(problem.hazard, Refused)
        found.setdefault(at, []).append((words, problem.hazard))
    return _made(inputs, said, found, pantry) if found else None


def lawful(
    said: Mapping[str, object], problems: Mapping[str, PrepkitError]
) -> dict[str, PrepkitError]:
    """The same problems; what is refused only under other rules is only not held here."""
    return {
        field: UnknownIngredient(
            f'{named(field)} is "{problem.words}"; there is no ingredient of that name here. '
            "Add it from its label to the house's pantry."
        )
        if isinstance(problem, NamedHazard) and _lawful(problem.words, said)
        else problem
        for field, problem in problems.items()
    }


def _lawful(words: str, said: Mapping[str, object]) -> bool:
    """Whether the name is refused only under other rules than those asked for."""
    return hazard_names.find(words) is not None and hazard_names.find(words, _rules(said)) is None


def facts(error: NamedHazard, place: str | None = None) -> dict[str, object]:
    """The facts of a hazard that was named in words which the calculator reads itself.

    place: a key of `jurisdictions`, whose law is cited; None where none was told.
    """
    from prepkit.refused_plants import Refused
    from prepkit.shared import botanicals

    places = jurisdictions.chain(place) if place is not None else ()
    hazards = [one.under(places) for one in (error.hazard,) if isinstance(one, Refused)]
    return botanicals.facts_of(hazards)


def _made(
    inputs: type[Inputs],
    said: Mapping[str, object],
    found: Mapping[str, list[tuple[str, Refused]]],
    pantry: Pantry,
) -> Inputs:
    from prepkit.shared import botanicals

    values: dict[str, object] = {}
    for field, spec in inputs.specs().items():
        if field in found:
            many = tuple(
                botanicals.part_of(words, hazard, named(field)) for words, hazard in found[field]
            )
            values[field] = many if spec.kind in ("parts", "many words") else many[0]
        elif field in said:
            values[field] = _or_none(spec, inputs.tidy_field(field, said[field]), field, pantry)
    return inputs.stopped(values)


def _or_none(spec: Spec, value: object, field: str, pantry: Pantry) -> object:
    """One input as it is read, or None where something is wrong with it too."""
    try:
        return read(spec, value, field, pantry)
    except PrepkitError:
        return None
