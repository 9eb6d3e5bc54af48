"""A house's own ingredients: the [[ingredient]] tables of its pantry file, checked.

Whatever could make a later calculation fail or lose a caution is refused here: a name that cannot
be asked for, an allergen or hazard that nothing knows, a composition that cannot be at a strength.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from prepkit import blocks, pieces, unlisted
from prepkit.errors import UNSEEN, BadInput, BadRecipe
from prepkit.mixture import COMPONENTS
from prepkit.near import close
from prepkit.pantry import STRENGTH_KINDS, Pantry

FORMS = ("liquid", "solid", "powder")
MOST_INGREDIENTS = 1000
_MOST_LETTERS = 100  # of a name
_MOST_WORDS = 1000  # letters of a note
_TEXTS = ("name", "group", "form", "keeps", "strength", "note", "source", "obtained", "piece_note")
_LISTS = ("also", "allergens", "hazards")
_NUMBERS = ("strength_default", "piece_g")
_KEYS = (*_TEXTS, *_LISTS, *_NUMBERS, "per_100_g", "per_litre", "strength_range", "pieces")
_PIECE_KEYS = ("g", "low", "high", "source", "note")
_OBTAINED = ("read", "memory", "practice", "computed")
_MOST_PER_LITRE = 700.0  # g of solids in a litre of spirit


def house_entries(said: Mapping[str, Any]) -> tuple[Mapping[str, Any], ...]:
    """The ingredients of a pantry file as `Pantry` takes them.

    BadRecipe in one sentence otherwise; its `field` is the place in the file.
    """
    for key in said:
        if key != "ingredient":
            raise BadRecipe(f'the key "{key}" is not known here; write [[ingredient]].', key)
    rows = said.get("ingredient", [])
    if not isinstance(rows, list) or not all(isinstance(one, dict) for one in rows):
        raise BadRecipe("it must be written as [[ingredient]].", "ingredient")
    if len(rows) > MOST_INGREDIENTS:
        raise BadRecipe(
            f"there are {len(rows)}; at most {MOST_INGREDIENTS} are taken.", "ingredient"
        )
    found: list[Mapping[str, Any]] = []
    taken: set[str] = set()
    for number, row in enumerate(rows, 1):
        entry = _entry(f"ingredient {number}", row)
        for name in (entry["name"], *entry["also"]):
            if name in taken:
                raise BadRecipe(
                    f'"{name}" is taken by another; give each its own.', f"ingredient {number}"
                )
            taken.add(name)
        found.append(entry)
    return tuple(found)


def _entry(where: str, row: Mapping[str, Any]) -> Mapping[str, Any]:
    for key in row:
        if key not in _KEYS:
            raise BadRecipe(f'the key "{key}" is not known here; {_near(key, _KEYS)}.', where)
    entry: dict[str, Any] = {"source": "house", "obtained": "practice", "keeps": "", **row}
    for key in ("name", "group", "form"):
        if not isinstance(entry.get(key), str) or not entry[key].strip():
            raise BadRecipe(f'"{key}" is missing; it must be text.', where)
    where = f"{where} ({' '.join(entry['name'].split())[:_MOST_LETTERS]})"
    for key in (key for key in _TEXTS if key in entry):
        entry[key] = _text(f"{where}.{key}", entry[key], key)
    entry["name"] = entry["name"].lower()
    for key in _LISTS:
        entry[key] = _words(f"{where}.{key}", entry.get(key, []))
    entry["also"] = [one.lower() for one in entry["also"]]
    for name in (entry["name"], *entry["also"]):
        hazard = unlisted.dangerous(name, _package_names)
        if hazard is not None and not hazard.flag:
            unless = f" It changes only if {hazard.unless}." if hazard.unless else ""
            raise BadRecipe(
                f'"{name}" names {hazard.name}, and no pantry takes it: {hazard.reason}.{unless}',
                where,
            )
    _known(f"{where}.form", entry["form"], FORMS)
    _known(f"{where}.obtained", entry["obtained"], _OBTAINED)
    if entry["keeps"]:
        _known(f"{where}.keeps", entry["keeps"], _in_pantry("keeps"))
    for hazard in entry["hazards"]:
        _known(f"{where}.hazards", hazard, _in_pantry("hazards"))
    for allergen in entry["allergens"]:
        _allergen(f"{where}.allergens", allergen)
    for key in _NUMBERS:
        if key in entry:
            _number(f"{where}.{key}", entry[key], 1e6)
    if entry.get("piece_g") == 0:
        raise BadRecipe("it is 0; it must be what one piece weighs, in g.", f"{where}.piece_g")
    _pieces(f"{where}.pieces", entry.get("pieces", {}))
    _composition(where, entry)
    _at_strengths(where, entry)
    return entry


def _pieces(where: str, rows: Any) -> None:
    """Weights of pieces: { leaf = { g = 0.5, low = 0.3, high = 0.8 } }."""
    if not isinstance(rows, dict):
        raise BadRecipe(f"it is {rows!r}; write pieces.leaf = {{ g = 0.5 }}.", where)
    for word, row in rows.items():
        _known(where, word, pieces.WORDS)
        at = f"{where}.{word}"
        if not isinstance(row, dict) or "g" not in row:
            raise BadRecipe("its weight is missing; write g = what one weighs, in g.", at)
        for key in row:
            _known(at, key, _PIECE_KEYS)
        for key in ("source", "note"):
            if key in row:
                _text(f"{at}.{key}", row[key], key)
        g = _number(f"{at}.g", row["g"], 1e6)
        low = _number(f"{at}.low", row.get("low", g), 1e6)
        high = _number(f"{at}.high", row.get("high", g), 1e6)
        if not 0 < low <= g <= high:
            raise BadRecipe(
                f"it is {g:g} g, from {low:g} to {high:g} g. They must be more than 0, and the "
                f"weight must be between its ends.",
                at,
            )


def _text(where: str, value: Any, key: str) -> str:
    if not isinstance(value, str):
        raise BadRecipe(f"it is {value!r}; it must be text.", where)
    tidy = " ".join(value.split())
    most = _MOST_WORDS if key == "note" else _MOST_LETTERS
    if len(tidy) > most:
        raise BadRecipe(f"it has {len(tidy)} characters; at most {most} are taken.", where)
    if UNSEEN.search(tidy):
        raise BadRecipe("it has a control character in it; write plain text.", where)
    return tidy


def _words(where: str, value: Any) -> list[str]:
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise BadRecipe(f"it is {value!r}; it must be a list of words.", where)
    found = [_text(where, one, "") for one in value]
    if not all(found):
        raise BadRecipe("a word of it is empty; write it or leave it out.", where)
    return found


def _known(where: str, word: str, known: Iterable[str]) -> None:
    if word not in known:
        raise BadRecipe(f'it is "{word}"; {_near(word, known)}.', where)


def _near(word: str, known: Iterable[str]) -> str:
    near = close(word, known, n=1)
    return f"did you mean {near[0]}" if near else f"it must be one of {', '.join(known)}"


@cache
def _package_names() -> tuple[str, ...]:
    return tuple(Pantry().names())


@cache
def _in_pantry(key: str) -> tuple[str, ...]:
    """Every word that the package's own ingredients have under a key."""
    found: set[str] = set()
    for path in blocks.names("pantry"):
        for line in re.findall(rf"^{key} = (.*)$", blocks.read(path), re.MULTILINE):
            found |= set(re.findall(r'"([^"]+)"', line))
    return tuple(sorted(found))


def _allergen(where: str, word: str) -> None:
    name, _, detail = word.partition(":")
    rows = {str(row["id"]): row for row in blocks.blocks("allergens.toml", "allergen")}
    _known(where, name, tuple(rows))
    if detail:
        details = tuple(map(str, rows[name]["details"]))
        if detail not in details:
            right = f"write {name}" if not details else f"write {name}: and {' or '.join(details)}"
            raise BadRecipe(f'it is "{word}"; {right}.', where)


def _number(where: str, value: Any, most: float) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value <= most:
        raise BadRecipe(f"it is {value!r}; it must be a number from 0 to {most:g}.", where)
    return float(value)


def _composition(where: str, entry: Mapping[str, Any]) -> None:
    """Masses by component that can be an ingredient of its kind of strength."""
    by_litre = entry.get("strength") == "abv"
    right, wrong = ("per_litre", "per_100_g") if by_litre else ("per_100_g", "per_litre")
    if wrong in entry:
        raise BadRecipe(f'"{wrong}" is written; what it is made of goes into {right}.', where)
    masses = entry.get(right, {} if by_litre else None)
    if not isinstance(masses, dict) or not (masses or by_litre):
        raise BadRecipe(f'"{right}" is missing; write grams of each component.', where)
    for component, grams in masses.items():
        if component not in COMPONENTS:
            raise BadRecipe(
                f'"{component}" is not a component; they are {", ".join(COMPONENTS)}.', where
            )
        if isinstance(grams, bool) or not isinstance(grams, int | float) or not grams >= 0:
            raise BadRecipe(f"{component} is {grams!r}; it must be grams, zero or more.", where)
    total = math.fsum(masses.values())
    if by_litre and total > _MOST_PER_LITRE:
        raise BadRecipe(
            f"per_litre sums to {total:g} g; it is at most {_MOST_PER_LITRE:g} g beside the "
            f"alcohol and the water.",
            where,
        )
    if not by_litre and not 99.5 <= total <= 100.5:
        raise BadRecipe(f"per_100_g sums to {total:g} g; it must be 100 g.", where)


def _at_strengths(where: str, entry: Mapping[str, Any]) -> None:
    """That it can be had at its usual strength and at both ends of its range."""
    kind = entry.get("strength")
    if kind is None:
        for key in ("strength_range", "strength_default"):
            if key in entry:
                raise BadRecipe(f'"{key}" is written without strength; write both.', where)
        strengths: list[float | None] = [None]
    else:
        _known(f"{where}.strength", kind, tuple(STRENGTH_KINDS))
        ends = entry.get("strength_range", [0, 100])
        if not isinstance(ends, list) or len(ends) != 2:
            raise BadRecipe(
                f"it is {ends!r}; it must be a list of the least and the most.",
                f"{where}.strength_range",
            )
        low, high = (_number(f"{where}.strength_range", end, 100.0) for end in ends)
        if not low <= high:
            raise BadRecipe("its least is above its most.", f"{where}.strength_range")
        usual = entry.get("strength_default", low)
        if not low <= usual <= high:
            raise BadRecipe(
                f"it is {usual:g}; it must be from {low:g} to {high:g}, as its range.",
                f"{where}.strength_default",
            )
        strengths = [low, high, float(usual)]
    pantry = Pantry((entry,))
    for strength in strengths:
        shown = "" if strength is None else f" {strength:.6f} {STRENGTH_KINDS[str(kind)]}"
        try:
            made = pantry.ingredient(f"{entry['name']}{shown}")
            if made.form == "liquid":  # a dry one is weighed, and needs no density
                made.mixture.density_kg_m3(20.0)
        except BadInput as error:
            raise BadRecipe(
                f"it cannot be made of that{' at' + shown if shown else ''}: {error.message}", where
            ) from error
        except (KeyError, ZeroDivisionError) as error:
            raise BadRecipe(
                f"what it is made of holds nothing that its strength ({kind}) could count.", where
            ) from error
