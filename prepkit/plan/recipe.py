"""A recipe file: TOML to a checked Recipe. Every error is one sentence with file, item and field.

Checked here is what needs no calculator: the shape of the file, the names that it uses, its limits.
The words of each item are read by its calculator when the plan is made.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from prepkit.errors import BadInput, BadRecipe, FileProblem
from prepkit.index import CALCULATORS
from prepkit.units import Measured, find_unit, parse_number, parse_quantity

MOST_BYTES = 1 << 20
MOST_ITEMS = 1000
MOST_SERVES = 10_000
MOST_SERVE_KINDS = 50
MOST_WORDS = 1000  # characters of one text
NEAR = "the nearest is"
MOST_LOSS = 90.0  # per cent
_ID = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:[-_][A-Za-z0-9]+)*")
_CONTROL = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u200e\u200f\u2028-\u202e\u2066-\u2069]")
_TWICE = re.compile(r"Cannot declare \('(\w+)', '([^']+)'\) twice \(at line (\d+)")

TOP = ("title", "serves", "note", "house", "vessels", "items", "serve")
ITEM_OWN = ("calculator", "vessel", "loss", "least", "check", "note")
VESSEL_OWN = ("count", "note")
SERVE_OWN = ("name", "part", "garnish", "note")
# facts of the house: unit, and the inputs that are given them where a calculator has such
HOUSE: dict[str, tuple[str, tuple[str, ...]]] = {
    "room_volume": ("m3", ("room_volume",)),
    "air_changes": ("/h", ("air_changes",)),
    "room_temperature": ("C", ("room", "room_temperature")),
    "fridge_temperature": ("C", ("fridge", "fridge_temperature")),
    "altitude": ("m", ("altitude",)),
    "jurisdiction": ("", ("jurisdiction",)),
}


@dataclass(frozen=True)
class Item:
    """One preparation: its calculator and that calculator's inputs, as words."""

    id: str
    calculator: str
    inputs: Mapping[str, Any]
    vessel: str | None = None
    loss: float = 0.0  # share of what is made that is lost on the way
    least: Measured | None = None  # g or ml, below which it is not worth making
    check: bool = False  # looked at and judged, not made
    note: str = ""


@dataclass(frozen=True)
class Vessel:
    """What is known of a vessel: the siphon's inputs by name, and how many the house has."""

    id: str
    facts: Mapping[str, Any]
    count: int | None = None
    note: str = ""


@dataclass(frozen=True)
class Serve:
    """One kind of portion: what goes into a single one."""

    name: str
    part: tuple[str, ...]
    garnish: tuple[str, ...] = ()  # bought and declared, but not counted as part of the liquid
    note: str = ""


@dataclass(frozen=True)
class Recipe:
    """A recipe file, read and checked."""

    file: str
    title: str
    serves: int
    items: Mapping[str, Item]
    serve: tuple[Serve, ...]
    vessels: Mapping[str, Vessel]
    house: Mapping[str, Any]
    note: str = ""

    def wrong(self, where: str, sentence: str) -> BadRecipe:
        """An error of this recipe, with the file and the place in it."""
        return wrong(self.file, where, sentence)


def wrong(file: str, where: str, sentence: str) -> BadRecipe:
    """One sentence: file, place, what is wrong."""
    place = f"{where}: " if where else ""
    return BadRecipe(f"{file}: {place}{sentence}", where or None)


def load_recipe(path: str | Path) -> Recipe:
    """The recipe of a file; FileProblem where it cannot be read, BadRecipe where it is wrong."""
    shown = str(path)
    try:
        with open(path, "rb") as file:
            raw = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise FileProblem(f"{shown} cannot be read: {error.strerror or error}.") from error
    except ValueError as error:  # a path with a null in it
        raise FileProblem(f"{shown!r} cannot be read: {error}.") from error
    if len(raw) > MOST_BYTES:
        raise wrong(shown, "", f"a recipe file has at most {MOST_BYTES} bytes, and this has more.")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise wrong(
            shown, "", f"byte {error.start} is no UTF-8 text; save the file as UTF-8."
        ) from error
    return read_recipe(text, shown)


def read_recipe(text: str, file: str = "recipe") -> Recipe:
    """The recipe that a text is; `file` is the name that errors speak of."""
    try:
        said = tomllib.loads(text)
    except RecursionError as error:
        raise wrong(file, "", "it is nested too deeply to be a recipe.") from error
    except ValueError as error:
        raise wrong(file, "", _toml_words(error)) from error
    _only(file, "", said, TOP)
    title = _text(file, "title", said.get("title"), "Tonight")
    if "serves" not in said:
        raise wrong(file, "serves", "it is missing; write how many serves, such as serves = 8.")
    items = {
        id_: _item(file, id_, table)
        for id_, table in _tables(file, "items", said.get("items"), required=True).items()
    }
    if len(items) > MOST_ITEMS:
        raise wrong(file, "items", f"there are {len(items)}; at most {MOST_ITEMS} are taken.")
    vessels = {
        id_: _vessel(file, id_, table)
        for id_, table in _tables(file, "vessels", said.get("vessels", {})).items()
    }
    for item in items.values():
        if item.vessel not in (None, *vessels) and "vessel_register" not in item.inputs:
            hint = nearest(str(item.vessel), vessels) or "the recipe has no [vessels]"
            raise wrong(file, f"items.{item.id}.vessel", f'no vessel "{item.vessel}"; {hint}.')
    return Recipe(
        file,
        title,
        whole_serves(said["serves"], f"{file}: serves"),
        items,
        _serves(file, said.get("serve")),
        vessels,
        _house(file, said.get("house", {})),
        _text(file, "note", said.get("note", ""), "", needed=False),
    )


def whole_serves(value: Any, field: str) -> int:
    """A number of serves: whole, from 1 to MOST_SERVES; BadInput naming `field` otherwise.

    >>> whole_serves("40", "--serves")
    40
    """
    right = f"it must be a whole number from 1 to {MOST_SERVES}"
    shown = f'"{value}"' if isinstance(value, str) else f"{value!r}"[:40]
    number = value
    if isinstance(value, str):
        number, rest = parse_number(value, field)
        if rest:
            raise BadInput(f"{field} is {shown}; {right}.", "serves")
    if isinstance(number, bool) or not isinstance(number, int | float):
        raise BadInput(f"{field} is {shown}; {right}.", "serves")
    if not 1 <= number <= MOST_SERVES or number != int(number):
        raise BadInput(f"{field} is {shown}; {right}.", "serves")
    return int(number)


def is_unit(word: str) -> bool:
    """Whether a word is read as a unit.

    >>> is_unit("drops"), is_unit("my-drops")
    (True, False)
    """
    try:
        find_unit(word)
    except BadInput as error:
        return "ambiguous" in error.message
    return True


def nearest(name: str, known: Iterable[str]) -> str:
    """A hint at the names that are near, or at all of a few; empty where there are none."""
    names = list(known)
    near = get_close_matches(name, names, n=3, cutoff=0.55)
    if near:
        return f"{NEAR} {' or '.join(near)}"
    return (
        f"there is {', '.join(names[:8])}{' and more' if len(names) > 8 else ''}" if names else ""
    )


# the parts of the file


def _toml_words(error: ValueError) -> str:
    said = str(error)
    twice = _TWICE.search(said)
    if twice:
        return (
            f"line {twice[3]}: [{twice[1]}.{twice[2]}] is written twice; give each of the "
            f"{twice[1]} an id of its own."
        )
    return f"it is no valid TOML: {said.rstrip('.')}."


def _only(file: str, where: str, table: Mapping[str, Any], known: Iterable[str]) -> None:
    for key in table:
        if key not in known:
            hint = nearest(key, known)
            raise wrong(file, where, f'the key "{key[:60]}" is not known here; {hint}.')


def _text(file: str, where: str, value: Any, example: str, *, needed: bool = True) -> str:
    """Text without control characters, of a bounded length; only a note has several lines."""
    sample = f', such as {where.rpartition(".")[2]} = "{example}"' if example else ""
    if value is None and needed:
        raise wrong(file, where, f"it is missing; write text{sample}.")
    if not isinstance(value, str):
        raise wrong(file, where, f"it is {_shown(value)}; write text{sample}.")
    tidy = " ".join(value.split()) if needed else value.strip()
    if needed and not tidy:
        raise wrong(file, where, f"it is empty; write text{sample}.")
    if len(tidy) > MOST_WORDS:
        raise wrong(file, where, f"it has {len(tidy)} characters; at most {MOST_WORDS} are taken.")
    if _CONTROL.search(tidy):
        raise wrong(file, where, "it has a control character in it; write plain text.")
    return tidy


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return f"{value!r}"[:60] if isinstance(value, str | int | float) else "a date or time"


def _tables(
    file: str, where: str, value: Any, *, required: bool = False
) -> Mapping[str, Mapping[str, Any]]:
    if value is None or (required and value == {}):
        raise wrong(file, where, "there are none; write one, such as [items.my-base].")
    if not isinstance(value, dict):
        raise wrong(file, where, f"it is {_shown(value)}; write a table, such as [{where}.north].")
    for id_, table in value.items():
        if not _ID.fullmatch(id_) or len(id_) > 60:
            raise wrong(
                file, where,
                f'the id "{id_[:60]}" cannot be used; write letters and digits joined by hyphens, '
                f"starting with a letter, such as cold-base.",
            )  # fmt: skip
        if is_unit(id_):
            raise wrong(file, f"{where}.{id_}", f'"{id_}" is a unit; call it something else.')
        if not isinstance(table, dict):
            raise wrong(file, f"{where}.{id_}", f"it is {_shown(table)}; it must be a table.")
    return value


def _words(file: str, where: str, table: Mapping[str, Any], own: Iterable[str]) -> dict[str, Any]:
    """The inputs of a table: words, numbers, dates, yes or no, or lists of words."""
    found: dict[str, Any] = {}
    for key, value in table.items():
        if key in own:
            continue
        name = key.replace("-", "_")
        place = f"{where}.{name}"
        if name in found:
            raise wrong(file, place, "it is written twice, with a hyphen and with an underscore.")
        if isinstance(value, list):
            if not value:
                raise wrong(file, place, "the list is empty; fill it or leave it out.")
            found[name] = [_text(file, place, one, "") for one in value]
        elif isinstance(value, str):
            found[name] = _text(file, place, value, "")
        elif isinstance(value, date) and not isinstance(value, datetime):
            found[name] = value.isoformat()
        elif isinstance(value, bool | int | float):
            if not isinstance(value, bool) and not abs(value) < 1e15:
                raise wrong(file, place, f"{_shown(value)} is no number that can be used.")
            found[name] = value
        else:
            raise wrong(
                file, place, f"it is {_shown(value)}; write words, a number or a list of words."
            )
    return found


def _item(file: str, id_: str, table: Mapping[str, Any]) -> Item:
    where = f"items.{id_}"
    calculator = _text(file, f"{where}.calculator", table.get("calculator"), "blend")
    if calculator not in CALCULATORS:
        raise wrong(
            file, f"{where}.calculator",
            f'no calculator "{calculator}"; {nearest(calculator, CALCULATORS)}.',
        )  # fmt: skip
    vessel = table.get("vessel")
    if vessel is not None:
        vessel = _text(file, f"{where}.vessel", vessel, "north")
    return Item(
        id_,
        calculator,
        _words(file, where, table, ITEM_OWN),
        vessel,
        _loss(file, f"{where}.loss", table.get("loss")),
        _least(file, f"{where}.least", table.get("least")),
        _flag(file, f"{where}.check", table.get("check", False)),
        _text(file, f"{where}.note", table.get("note", ""), "", needed=False),
    )


def _loss(file: str, where: str, value: Any) -> float:
    """A loss as a fraction of what is made."""
    if value is None:
        return 0.0
    if not isinstance(value, str):
        raise wrong(file, where, f'it is {_shown(value)}; write a per cent, such as loss = "3 %".')
    percent = _quantity(file, where, value, "%")
    if not 0 <= percent <= MOST_LOSS:
        raise wrong(file, where, f"it is {percent:g} %; it must be from 0 to {MOST_LOSS:g} %.")
    return percent / 100


def _flag(file: str, where: str, value: Any) -> bool:
    if not isinstance(value, bool):
        raise wrong(file, where, f"it is {_shown(value)}; write true or false.")
    return value


def _least(file: str, where: str, value: Any) -> Measured | None:
    """The smallest batch worth making."""
    if value is None:
        return None
    if not isinstance(value, str):
        raise wrong(
            file, where, f'it is {_shown(value)}; write an amount, such as least = "100 ml".'
        )
    least = _quantity(file, where, value, "g", "ml")
    if not least > 0:
        raise wrong(file, where, f"it is {least.words()}; it must be more than nothing.")
    return least


def _quantity(file: str, where: str, value: Any, *units: str) -> Measured:
    try:
        return parse_quantity(value, units, where.rpartition(".")[2])
    except BadInput as error:
        raise wrong(file, where, error.message) from error


def _vessel(file: str, id_: str, table: Mapping[str, Any]) -> Vessel:
    where = f"vessels.{id_}"
    count = table.get("count")
    if count is not None and (
        isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= 1000
    ):
        raise wrong(
            file, f"{where}.count",
            f"it is {_shown(count)}; write how many there are, from 1 to 1000.",
        )  # fmt: skip
    return Vessel(
        id_,
        _words(file, where, table, VESSEL_OWN),
        count,
        _text(file, f"{where}.note", table.get("note", ""), "", needed=False),
    )


def _serves(file: str, value: Any) -> tuple[Serve, ...]:
    if value is None or value == []:
        raise wrong(
            file, "serve",
            'there is none; write [[serve]] with its name and part = ["90 ml my-base"].',
        )  # fmt: skip
    if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
        raise wrong(file, "serve", "it must be written as [[serve]], once for each kind of drink.")
    if len(value) > MOST_SERVE_KINDS:
        raise wrong(file, "serve", f"there are {len(value)}; at most {MOST_SERVE_KINDS} are taken.")
    found: list[Serve] = []
    for number, table in enumerate(value, 1):
        where = f"serve {number}"
        _only(file, where, table, SERVE_OWN)
        name = _text(file, f"{where}.name", table.get("name"), "Night Tide")
        if name in {one.name for one in found}:
            raise wrong(file, f"{where}.name", f'"{name}" is taken; give each serve its own name.')
        part = table.get("part")
        if part is None or part == []:
            raise wrong(
                file, f"{where}.part",
                'it uses nothing; write what goes into one, such as part = ["90 ml my-base"].',
            )  # fmt: skip
        found.append(
            Serve(
                name,
                _list(file, f"{where}.part", part),
                _list(file, f"{where}.garnish", table.get("garnish", [])),
                _text(file, f"{where}.note", table.get("note", ""), "", needed=False),
            )
        )
    return tuple(found)


def _list(file: str, where: str, value: Any) -> tuple[str, ...]:
    many = value if isinstance(value, list) else [value]
    return tuple(_text(file, where, one, "") for one in many)


def _house(file: str, value: Any) -> dict[str, Any]:
    if not isinstance(value, dict):
        raise wrong(file, "house", f"it is {_shown(value)}; write a table, [house].")
    _only(file, "house", value, HOUSE)
    said = _words(file, "house", value, ())
    for key, words in said.items():
        unit = HOUSE[key][0]
        if unit:
            _quantity(file, f"house.{key}", str(words), unit)
        elif not isinstance(words, str):
            raise wrong(file, f"house.{key}", f"it is {_shown(words)}; write a word.")
    return said
