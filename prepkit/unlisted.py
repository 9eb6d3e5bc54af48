"""What is said to a name that the pantry does not have: a hazard, a question, a spelling, or no.

Never a look-alike: a neighbour is offered only where one or two letters are wrong, where no word
of the name is a food of its own, and where it is of one class of allergen and hazard.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from typing import Any

from prepkit import blocks, hazard_names, spelling
from prepkit.errors import NamedHazard, UnknownIngredient
from prepkit.refused_plants import Refused

_FOOD_WORDS = f"{hazard_names.FOLDER}/food_words.txt"
# tags of an entry that say how it harms; the others say how it is kept or handled
_CLASSES = frozenset(
    (
        "nutmeg", "quinine", "coumarin", "thujone", "cyanogenic", "charcoal", "corrosive-acid",
        "caffeine", "raw-egg",
    )
)  # fmt: skip
MOST_NAMED = 5  # names in a question which one
_LEAST_WHOLE = 3  # letters of each word of it
_LEAST_CLASSED = 6  # letters of a name with an allergen or a hazard, for a neighbour to be offered


@cache
def _food() -> frozenset[str]:
    return frozenset(hazard_names.tokens(blocks.read(_FOOD_WORDS)))


@cache
def _words_of(names: tuple[str, ...]) -> frozenset[str]:
    return _food() | {word for name in names for word in hazard_names.tokens(name)}


def dangerous(name: str, names: Iterable[str] | Callable[[], Iterable[str]] = ()) -> Refused | None:
    """What goes into no drink and is named, spelt right or nearly so; None for anything else.

    `names` are those of food, or what reads them, called only where they decide.

    >>> dangerous("foxgluve").name, dangerous("marigold") is None
    ('foxglove', True)
    """
    found = hazard_names.find(name)
    if found is not None:
        return found
    # with fewer words of food more is near: where nothing is, the names need not be read
    if hazard_names.misspelt(name, _food()) is None:
        return None
    known = tuple(names() if callable(names) else names)
    read = hazard_names.misspelt(name, _words_of(known))
    if read is None or any(
        spelling.apart(spelling.joined(name), spelling.joined(one), 1) < read[1] for one in known
    ):
        return None
    return read[0]


def error(
    name: str, field: str, names: Iterable[str], entry: Callable[[str], Mapping[str, Any]]
) -> UnknownIngredient:
    """The error of a name that was not found among `names`; `entry` looks one of them up."""
    known = tuple(names)
    hazard = dangerous(name, known)
    if hazard is not None:
        return named(name, field, hazard)
    question = hazard_names.asked(name)
    if question is not None:
        return UnknownIngredient(f'{field} "{name}": {question.why}.', field)
    meant = [] if _near_hazard(name, known) else _meant(name, known, entry)
    if meant:
        return UnknownIngredient(
            f'{field}: no ingredient "{name}"; if it is misspelt, write {" or ".join(meant)}.',
            field,
        )
    listed = [] if _near_hazard(name, known) else containing(name, known, entry)
    if listed:
        return UnknownIngredient(f'{field} "{name}"{_which(listed)}.', field)
    return UnknownIngredient(
        f'{field}: no ingredient "{name}" is listed here. Not listed is not the same as safe. The '
        f"names are in prepkit pantry.",
        field,
    )


def containing(
    name: str, known: tuple[str, ...], entry: Callable[[str], Mapping[str, Any]]
) -> list[str]:
    """The listed names that hold every word of this one whole: what is asked back of "yuzu".

    One name of each entry, and none that is a hazard itself.
    """
    asked = set(hazard_names.tokens(name))
    if not asked or min(map(len, asked)) < _LEAST_WHOLE:
        return []
    found: dict[str, str] = {}
    for one in known:
        if asked <= set(hazard_names.tokens(one)) and hazard_names.find(one) is None:
            found.setdefault(str(entry(one).get("name", one)), one)
    return list(found.values())


def _which(names: list[str]) -> str:
    """The question which of several is meant; of one alone, that no other is listed."""
    if len(names) == 1:
        return f" is not listed by itself; listed is {names[0]}"
    shown = names[:MOST_NAMED]
    more = "; others are in prepkit pantry" if len(names) > MOST_NAMED else ""
    return f": which one? {', '.join(shown[:-1])} or {shown[-1]}{more}"


def _near_hazard(name: str, known: tuple[str, ...]) -> bool:
    """Whether the name is near a hazard, and no food is as near: then no neighbour is offered."""
    read = hazard_names.misspelt(name)
    own = spelling.joined(name)
    return read is not None and not any(
        spelling.apart(own, spelling.joined(one), 1) < read[1] for one in known
    )


def named(name: str, field: str, hazard: Refused) -> NamedHazard:
    """The error of a name that goes into no drink."""
    return NamedHazard(
        f'{field} "{name}": {hazard.name} is refused here: {hazard.reason}.', field, hazard, name
    )


def _meant(
    name: str, known: tuple[str, ...], entry: Callable[[str], Mapping[str, Any]]
) -> list[str]:
    """The names that this one may be misspelt for; none where that could be another food."""
    words, food = set(hazard_names.tokens(name)), _words_of(known)
    right = words & food
    if words <= food:  # each word is one that is known: another food, not a misspelling
        return []
    letters = spelling.joined(name)
    apart = {
        one: spelling.apart(letters, spelling.joined(one), 2)
        for one in spelling.close(name, known, 9)
        if right <= set(hazard_names.tokens(one))
    }
    found = [one for one, far in apart.items() if far < 2 or len(name.split()) == len(one.split())][
        :3
    ]
    classes = {one: _class(entry(one)) for one in found}
    if len(set(classes.values())) > 1:
        return []
    short = len(letters) < _LEAST_CLASSED
    return [] if any(classes[one] and (apart[one] > 1 or short) for one in found) else found


def _class(row: Mapping[str, Any]) -> frozenset[str]:
    allergens = (str(one).partition(":")[0] for one in row.get("allergens", ()))
    return frozenset((*allergens, *(_CLASSES & set(row.get("hazards", ())))))
