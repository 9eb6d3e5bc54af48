"""A grammar of the files that people write: recipes, house, pantry, vessels, readings.

Files that are right are changed as text, or as tables that are written again; and recipes are made
up from items whose words come from the grammar of each calculator.
"""

from __future__ import annotations

import copy
import json
import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time
from functools import cache
from pathlib import Path
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from fuzz.words import HOSTILE, MARKUP, altered, case, example_of, hostile_number
from prepkit.index import CALCULATORS
from prepkit.registry import load

RECIPES = Path(__file__).parents[2] / "recipes"
NAMES = ("free-otter", "cold-semaphore", "warm-brasswick")
IDS = (
    "my-base", "a", "x1", "g", "ml", "water", "my base", "my.base", "", "1st", "-a", "a--b",
    "My-Base", "constructor", "__class__", "é", "a" * 61, "a" * 60, MARKUP, "title", "serve",
    "\u202ebase", "white-sugar", "house", "lemon juice", "items", "my-base-2", "check",
)  # fmt: skip
VALUES = (
    0, 1, -1, 2, 7, 10**20, -(10**400), 0.0, -0.0, 1.5, 1e308, float("nan"), float("inf"),
    float("-inf"), True, False, date(2026, 11, 25), datetime(2026, 11, 25, 18), time(18), [], {},
    [[]], [{}], ["5 g water"], ["5 g water", 5], [1, 2], {"a": {"b": {"c": 1}}}, "", " ", "yes",
    "5 g water", "1 kg my-base", "500 ml cold-mix", "blend", "siphon", "co2", "18:00", MARKUP,
    "a" * 1001, "a" * 999, "line\nline", "tab\there", "bell\x07", "\u202eturned", "../../x.toml",
    "house/house.toml", "house.toml", "/etc/passwd", "eu", "EUR", "3 %", "90 %", "91 %", "-1 %",
    "1 h", "0 min", "61 d", "-5 min", "vessel", "16 pieces", "0 g",
)  # fmt: skip
KEYS = (
    "title", "serves", "note", "house", "vessels", "items", "serve", "price", "variant", "part",
    "calculator", "vessel", "loss", "least", "check", "step", "text", "takes", "hands_on",
    "hands-on", "before", "within", "each", "name", "garnish", "ingredient", "pack", "cost",
    "brix", "acidity", "temperature", "chargers", "contents", "gas", "rated", "max_fill", "count",
    "file", "bench", "scale", "currency", "units", "hands", "pantry", "per_100_g", "per_litre",
    "also", "allergens", "hazards", "keeps", "strength", "strength_range", "strength_default",
    "piece_g", "mass", "refractometer", "ph", "atc", "pressure", "density", "abv", "absent", "",
    MARKUP,
)  # fmt: skip


@cache
def text_of(name: str) -> str:
    """A demo recipe as it is written."""
    return (RECIPES / f"{name}.toml").read_text(encoding="utf-8")


@cache
def house_text(name: str) -> str:
    """A file of the demo house as it is written."""
    return (RECIPES / "house" / name).read_text(encoding="utf-8")


PANTRY = """
[[ingredient]]
name = "cellar rum"
group = "spirit"
form = "liquid"
strength = "abv"
strength_range = [35, 75]
strength_default = 40
per_litre = { sucrose = 10 }
keeps = "spirit"
[[ingredient]]
name = "cellar cream"
group = "dairy"
form = "liquid"
strength = "fat"
strength_range = [20, 45]
per_100_g = { water = 60, milk_fat = 34, protein = 3, lactose = 3 }
allergens = ["milk"]
hazards = ["dairy"]
keeps = "dairy"
[[ingredient]]
name = "cellar egg"
group = "egg"
form = "solid"
per_100_g = { water = 76, protein = 13, fat = 10, ash = 1 }
allergens = ["eggs"]
hazards = ["raw-egg"]
piece_g = 55
"""
USES_PANTRY = """
house = "house.toml"
title = "A trial"
serves = 8
[items.my-base]
calculator = "blend"
part = ["500 ml cellar rum 50 %", "200 g lamp syrup", "100 g cellar cream 30 %", "2 cellar egg"]
[[serve]]
name = "Trial"
part = ["60 ml my-base"]
"""
READINGS = {
    "free-otter": """
[ruby-cordial]
mass = "1500 g"
refractometer = "44.0 Bx"
temperature = "22 C"
acidity = "1.5 % w/w"
ph = 2.9
[soda-base]
density = "1050 kg/m3"
abv = "0 % vol"
[otter-soda]
pressure = "6.5 bar"
temperature = "5 C"
""",
    "cold-semaphore": """
[flower-cordial]
mass = "640 g"
refractometer = "48.2 Bx"
temperature = "24 C"
atc = true
acidity = "0.8 % w/w"
[cold-mix]
abv = "11 % vol"
mass = "3 kg"
[tonight-nitro]
pressure = "7 bar"
""",
    "warm-brasswick": """
[spice-syrup]
refractometer = 55
mass = "300 g"
[ember-base]
abv = "20 % vol"
mass = "200 g"
""",
}


# as text


@st.composite
def altered_text(draw: DrawFn, text: str) -> str:
    """The same file with a few lines or letters changed as by a slip of the hand, or by malice."""
    for _ in range(draw(st.sampled_from((1, 1, 2, 3, 8)))):
        lines = text.split("\n")
        at = draw(st.integers(0, len(lines) - 1))
        way = draw(st.integers(0, 10))
        if way == 0:
            del lines[at]
        elif way == 1:
            lines.insert(at, lines[draw(st.integers(0, len(lines) - 1))])
        elif way == 2:
            lines = lines[: at + 1]
        elif way == 3:
            other = draw(st.integers(0, len(lines) - 1))
            lines[at], lines[other] = lines[other], lines[at]
        elif way == 4:
            lines.insert(at, draw(st.sampled_from(_LINES)))
        elif way in (5, 6) and '"' in lines[at]:
            head, _, rest = lines[at].partition('"')
            inside, _, tail = rest.partition('"')
            said = draw(st.sampled_from(HOSTILE) | altered(inside))
            lines[at] = f"{head}{json.dumps(said)}{tail}"
        else:
            lines[at] = draw(altered(lines[at]))
        text = "\n".join(lines)
    return text


_LINES = (
    "[", "]", "[[", "[items]", "[items.my-base]", "[[serve]]", "[variant.a]", "[house]", "= 1",
    'a = "', 'a = """', "a = 1e999", "a = nan", "serves = 0", "serves = 10001", "serves = 1.5",
    "a.b.c = 1", "serves.a = 1", "\x00", "\ufeff", "#" * 2000, "[" * 3000, "x = " + "[" * 3000,
    "x = " + "9" * 5000, "x = 0x" + "f" * 400, "é = 1", '"" = 1', "[variant.a.items.b]",
    'part = "5 g water"', 'loss = "100 %"', "check = true", 'calculator = "siphon"',
    'vessel = "north"', "[[price]]", "[[items.my-base.step]]", "x = 2026-02-30", "x = 99:99:99",
    ".".join("a" * 3000) + " = 1",
)  # fmt: skip


# as tables


def written(tables: Mapping[str, Any]) -> str:
    """Tables as TOML: each key of the top on a line of its own, all else in place."""
    return "".join(f"{json.dumps(key)} = {_value(value)}\n" for key, value in tables.items())


def _value(value: Any) -> str:
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{json.dumps(k)} = {_value(v)}' for k, v in value.items())} }}"
    if isinstance(value, list):
        return f"[{', '.join(map(_value, value))}]"
    if isinstance(value, str):
        return json.dumps(value).replace("\x7f", "\\u007f")
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, date | time):
        return value.isoformat()
    return repr(value)


@st.composite
def altered_tables(draw: DrawFn, text: str) -> str:
    """The same file with values, keys and tables changed, and written again."""
    tables = copy.deepcopy(_parsed(text))
    for _ in range(draw(st.sampled_from((1, 1, 1, 2, 4)))):
        place: Any = tables
        while True:
            inner = [one for one in _inside(place) if isinstance(one, dict | list) and one]
            if not inner or draw(st.integers(0, 3)) == 0:
                break
            place = draw(st.sampled_from(inner))
        _edit(draw, place)
    return written(tables)


@cache
def _parsed(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def _inside(place: Any) -> list[Any]:
    return list(place.values()) if isinstance(place, dict) else list(place)


def _edit(draw: DrawFn, place: Any) -> None:
    spots = list(place) if isinstance(place, dict) else list(range(len(place)))
    if not spots:
        return
    spot = draw(st.sampled_from(spots))
    was = place[spot]
    way = draw(st.integers(0, 9))
    if way == 0:
        del place[spot]
    elif way == 1 and isinstance(place, dict):
        place[draw(st.sampled_from(IDS + KEYS))] = copy.deepcopy(was)
    elif way == 2 and isinstance(place, dict):
        place[draw(st.sampled_from(KEYS))] = copy.deepcopy(draw(st.sampled_from(VALUES)))
    elif way == 3 and isinstance(place, list):
        place.append(copy.deepcopy(was))
    elif way == 4 and isinstance(place, dict):
        place[draw(st.sampled_from(IDS))] = place.pop(spot)
    elif isinstance(was, str) and way < 8:
        place[spot] = draw(altered(was) | st.sampled_from(HOSTILE))
    elif isinstance(was, int | float) and way < 8:
        place[spot] = draw(st.integers() | st.floats() | hostile_number())
    else:
        place[spot] = copy.deepcopy(draw(st.sampled_from(VALUES)))


# made up


@st.composite
def made_up(draw: DrawFn) -> str:
    """A recipe of items whose words come from each calculator's grammar; some use each other."""
    count = draw(st.sampled_from((1, 2, 3, 5, 8)))
    ids = draw(
        st.lists(
            st.sampled_from(IDS) if draw(st.integers(0, 9)) == 0 else _good_id(),
            min_size=count, max_size=count, unique=True,
        )
    )  # fmt: skip
    items: dict[str, Any] = {}
    for at, id_ in enumerate(ids):
        calculator = draw(st.sampled_from(list(CALCULATORS)))
        usual = draw(st.integers(0, 3)) > 0
        words = example_of(calculator) if usual else draw(case(calculator, hostile=20))
        words = _plain(words)
        known = ids if draw(st.integers(0, 9)) == 0 else ids[:at]
        specs = load(calculator).inputs.specs()
        for key, spec in specs.items():
            if spec.kind in ("part", "parts") and known and draw(st.integers(0, 2)) > 0:
                amount = draw(st.sampled_from(("100 g", "5 ml", "1 kg", "0.001 g", "1e6 g")))
                used = f"{amount} {draw(st.sampled_from(known))}"
                words[key] = used if spec.kind == "part" else [used, "20 g water"]
        items[id_] = {"calculator": calculator, **words}
        for key in ("loss", "least", "check", "vessel", "note"):
            if draw(st.integers(0, 7)) == 0:
                items[id_][key] = draw(st.sampled_from(_OWN[key]))
        if draw(st.integers(0, 5)) == 0:
            items[id_]["step"] = draw(st.lists(_step(), max_size=3))
    serves = [
        {"name": f"Serve {number}", "part": [f"{amount} {draw(st.sampled_from(ids))}"]}
        for number, amount in enumerate(
            draw(st.lists(st.sampled_from(("90 ml", "60 g", "1e-6 g", "1 l")), min_size=1,
                          max_size=3))
        )
    ]  # fmt: skip
    vessel = {"vessel_volume": "1.3 l", "max_fill": "1 l", "rated": "17 bar", "count": 2}
    return written({
        "title": draw(st.sampled_from(("A trial", MARKUP, "=1+1", "é" * 200))),
        "serves": draw(st.sampled_from((1, 8, 40, 10_000))),
        "vessels": {"north": vessel},
        "items": items,
        "serve": serves,
    })  # fmt: skip


def _good_id() -> st.SearchStrategy[str]:
    return st.sampled_from([f"mix-{letter}{n}" for letter in "abcdef" for n in range(3)])


_OWN: dict[str, tuple[Any, ...]] = {
    "loss": ("3 %", "90 %", "0 %"),
    "least": ("100 ml", "1 kg", "1 g"),
    "check": (True, False),
    "vessel": ("north",),
    "note": (MARKUP, "two\nlines"),
}


def _step() -> st.SearchStrategy[dict[str, Any]]:
    spans = st.sampled_from(("0 min", "5 min", "8 h", "60 d", "1.5 h", "90 s"))
    return st.fixed_dictionaries(
        {"text": st.sampled_from(("Stir", MARKUP, "Strain, cover"))},
        optional={
            "takes": spans, "hands_on": spans, "before": spans, "within": spans,
            "each": st.just("vessel"),
        },
    )  # fmt: skip


def _plain(words: Mapping[str, Any]) -> dict[str, Any]:
    """Without what TOML cannot hold."""
    found = {}
    for key, value in words.items():
        if isinstance(value, tuple):
            found[key] = list(value)
        elif isinstance(value, list) and not all(isinstance(one, str) for one in value):
            continue
        elif isinstance(value, str | int | float | list):
            found[key] = value
    return found
