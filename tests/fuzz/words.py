"""A grammar of the words that a calculator may be given, from its own declarations.

A case is mostly what a person would write, from the middle and the ends of each range, so that the
arithmetic is reached; some words of it are then replaced by near or hostile ones.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from prepkit import blocks
from prepkit.inputs import Spec
from prepkit.pantry import Pantry
from prepkit.registry import load
from prepkit.units import UNITS

MARKUP = "<zq onx=1>"  # must never come out as a tag
Words = SearchStrategy[Any]

HOSTILE = (
    "", " ", "\t", "\n", "-", "+", ".", ",", "nan", "NaN g", "nan %", "inf", "-inf ml", "infinity",
    "1e999 g", "1e308 g", "1e308 kg", "-1e308", "1e-320 g", "1e-400 ml", "0", "0 g", "-0.0 g", "-1",
    "-5 g", "-300 C", "1,5 l", "1,500 ml", "1.000.000 g", "1.5.2 g", "1 2 g", "1 g g", "1 g ml",
    "5 g 5 ml", "5 oz", "5 oz water", "1 pint", "true", "True", "yes", "None", "null", "[]", "{}",
    "1_000 g", "0x10 g", "½ l", "1/0 g", "1/3 l", "1/3", "٣ g", "\uff11\uff12 g", "²", "5² g",
    "5 g ± nan g", "5 g ± 5 %", "5 g ± 900 %", "5 ± g", "± 5 g", "5 g ±", "5 g ± -1 g",
    "5 g ± 1 ml", "5 g ± 2 g water", "5 g ± 1e308 kg water", "\u202e5 g", "5\u200f g", "5\u00a0g",
    "5\u2028g", "5\x00g", "\x00", "\x1b[31m5 g", "5 g\r\nwater", "\ud800", "5 g \udcff",
    "\U0001f34b",
    "e\u0301" * 40, MARKUP, f"5 g {MARKUP}", '"><zq>', "&lt;zq&gt;", "{{ 7 * 7 }}", "%s%n%x",
    "'; --", "../../etc/passwd", "/", "/dev/zero", "/dev/null", ".", "--help", "-h", "a" * 5000,
    "9" * 5000, "9" * 400 + " g", "(" * 400, "5 g " + "a " * 2000, "1" + "0" * 310 + " ml water",
    "5 g lemon juice 40 %", "5 ml spirit", "5 ml spirit 101 %", "5 ml spirit 40 US proof",
    "5 ml spirit 40 proof", "5 g of", "of", "5 g at 20 C", "100 %", "1e-12", "1e9", "1e15 kg water",
    "5 C", "41 F", "0 K", "-460 F", "3 bar", "5 Bx", "5 % w/w", "5 % w/v", "5 g/l", "5 mm", "5 d",
)  # fmt: skip
ODD = (
    None, True, False, 0, -1, 10**400, -(10**400), 1e308, -1e308, 5e-324, float("nan"),
    float("inf"), -float("inf"), [], (), {}, [1], ["5 g water", 5], [None], [["5 g water"]],
    {"a": 1}, b"5 g water", 5j,
)  # fmt: skip
_NUMBER = re.compile(r"\d+(?:\.\d+)?")


# numbers


def size(low: float = 1e-12, high: float = 1e9) -> SearchStrategy[float]:
    """A positive number of any order of magnitude."""
    return st.one_of(
        st.sampled_from((low, 1e-6, 0.001, 0.1, 0.5, 1.0, 2.0, 3.0, 7.5, 10.0, 25.0, 100.0)),
        st.sampled_from((500.0, 1000.0, 5000.0, 1e5, high)),
        st.floats(1.0, 500.0).map(lambda x: round(x, 2)),
        st.floats(-12.0, 9.0).map(lambda x: float(f"{10**x:.3g}")),
    ).filter(lambda x: low <= x <= high)


def within(spec: Spec) -> SearchStrategy[float]:
    """A number that a field takes, or is just beyond what it takes."""
    low = spec.low if spec.low is not None else (spec.above if spec.above is not None else 0.0)
    high = spec.high if spec.high is not None else 1e4
    ends = [low, high, low + 1e-9 * max(abs(low), 1.0), high * (1 - 1e-9), (low + high) / 2]
    example = _NUMBER.search(spec.example)
    usual = float(example[0]) if example else 1.0
    tries: list[SearchStrategy[float]] = [
        st.just(usual),
        st.sampled_from((0.1, 0.5, 0.9, 1.1, 2.0, 10.0)).map(lambda k: k * usual),
        st.floats(low, high, allow_subnormal=False).map(lambda x: float(f"{x:.4g}")),
        st.sampled_from(ends),
    ]
    if low >= 0:
        tries.append(size().filter(lambda x: low <= x <= high))
    return st.one_of(*tries)


def hostile_number() -> SearchStrategy[str]:
    """A number that no field should take."""
    return st.sampled_from(
        ("0", "-1", "-0.0", "1e9", "1e-12", "1e300", "1e308", "1e999", "5e-324", "nan", "inf",
         "-inf", "1,5", "1,500", "1.2.3", "", "1/3", "1/0", "٣", "½", "1e", "--1", "9" * 330)
    )  # fmt: skip


def said(value: float) -> str:
    """A number as it is typed."""
    return f"{value:.10g}"


# quantities, ingredients, parts


def quantity(spec: Spec) -> SearchStrategy[str]:
    """A quantity in one of the field's units, in another of its kind, or with a ±."""

    @st.composite
    def drawn(draw: DrawFn) -> str:
        value = draw(within(spec))
        unit = draw(st.sampled_from(spec.units))
        kind = UNITS[unit].kind
        way = draw(st.integers(0, 11))
        if way == 0 and spec.bare:
            return said(value)
        if way == 1:
            return f"{said(value)} {draw(st.sampled_from(_of_kind(kind)))}"
        if way == 2:
            spread = draw(st.sampled_from((0.0, 0.01, 0.1, 1.0, 10.0)))
            return f"{said(value)} {unit} ± {said(abs(value) * spread)} {unit}"
        if way == 3:
            return f"{said(value)} {unit} ± {draw(st.sampled_from(('1 %', '50 %', '200 %')))}"
        if way == 4:
            return f"{said(value)} {unit}".replace(".", ",")
        return f"{said(value)} {unit}"

    return drawn()


@cache
def _of_kind(kind: str) -> tuple[str, ...]:
    return tuple(word for word, unit in UNITS.items() if unit.kind == kind)


@cache
def pantry_words() -> tuple[tuple[str, str | None, float, float], ...]:
    """Every ingredient and synonym, with the unit and ends of its strength where it has one."""
    units = {"abv": "%", "brix": "Bx", "fat": "%", "assay": "%", "tds": "%"}
    found = []
    pantry = Pantry()
    for name in pantry.names():
        entry = pantry.entry(name)
        kind = entry.get("strength")
        low, high = entry.get("strength_range", (0.0, 100.0))
        found.append((name, units.get(kind) if kind else None, float(low), float(high)))
    return tuple(found)


USUAL = (
    "water", "lemon juice", "white sugar", "spirit 40 %", "spirit 96 %", "cream 35 %",
    "syrup 65 Bx", "orange juice", "citric acid", "egg white", "lemon oil", "orange peel",
    "filter coffee", "dried hibiscus", "lecithin", "glycerol", "lactic acid 80 %", "honey",
)  # fmt: skip


@cache
def refused() -> tuple[str, ...]:
    """Plants that are refused by name."""
    return tuple(block["name"] for block in blocks.blocks("refused.toml", "refused"))


@st.composite
def ingredient(draw: DrawFn) -> str:
    """An ingredient with its strength, at the ends of its range too."""
    way = draw(st.integers(0, 39))
    if way < 20:
        return draw(st.sampled_from(USUAL))
    if way == 20:
        return draw(st.sampled_from(refused()))
    name, unit, low, high = draw(st.sampled_from(pantry_words()))
    if unit is None:
        return name if way < 39 else f"{name} 40 %"
    if way == 39:
        return name
    strength = draw(st.one_of(st.sampled_from((low, high)), st.floats(low, high)))
    return f"{name} {said(round(strength, 2))} {unit}"


@st.composite
def part(draw: DrawFn) -> str:
    """An amount of an ingredient."""
    what = draw(ingredient())
    way = draw(st.integers(0, 24))
    if way == 0:
        return f"{draw(hostile_number())} g {what}"
    if way == 1:
        return f"{said(draw(size()))} {draw(st.sampled_from(_of_kind('mass')))} {what}"
    if way == 2:
        return f"{said(draw(size()))} {draw(st.sampled_from(_of_kind('volume')))} {what}"
    if way == 3:
        return f"{said(draw(size(1.0, 1e3)))} g ± {said(draw(size(0.001, 1e3)))} g {what}"
    if way == 4:
        return f"{draw(st.integers(0, 40))} {what}"
    if 5 <= way <= 8:
        return draw(joined(what))
    amount = draw(st.sampled_from((1.0, 5.0, 30.0, 60.0, 200.0, 500.0, 1000.0)) | size())
    return f"{said(amount)} {draw(st.sampled_from(('g', 'ml')))} {what}"


@st.composite
def joined(draw: DrawFn, what: str) -> str:
    """Several parts in one, a part with its temperature, a mixture by shares, mixed units."""
    other = draw(ingredient() | lookalike())
    n, m = (said(draw(size(0.1, 100.0))) for _ in range(2))
    degrees = draw(st.sampled_from(("5 C", "-18 C", "80 C", "149 F", "300 K", "80", "999 C")))
    by = draw(st.sampled_from((" by weight", " by weight", " by volume", "", " by mass")))
    return draw(
        st.sampled_from(
            (
                f"{n} ml {what}, {m} g {other}",
                f"{n} g {what} and {m} g {other}",
                f"{n} g {what}, {m} g {what} and {n} ml {other}",
                f"{n} ml {what} at {degrees}",
                f"{n} g {what} at {degrees}, {m} ml {other} at 4 C",
                f"{n} g {what} at 4 C at {degrees}",
                f"{n} g {what} and {other} {n}:{m}{by}",
                f"{n} ml {what} and {other} 1:1{by}",
                f"{n} g {what} and {other} 1:2:3{by}",
                f"{n} g equal weights of {what} and {other}",
                f"{n} ml equal parts of {what} and {other}",
                f"{n} g 2 parts {what} and 1 part {other}{by}",
                f"{n} ml {what} syrup {n}:{m}{by}",
                f"{n} g {m} ml {what}",
                f"{n} oz {m} g {what}",
            )
        )
    )


@st.composite
def mixture(draw: DrawFn) -> Any:
    """Several ingredients by their shares, in one or said again and again."""
    one, other = draw(ingredient()), draw(ingredient())
    by = draw(st.sampled_from((" by weight", " by volume", "")))
    return draw(
        st.sampled_from(
            (
                f"{one} and {other} 2:1{by}",
                f"2 parts {one} and 1 part {other}{by}",
                [f"2 parts {one}{by}", f"1 part {other}{by}"],
                [one, other],
            )
        )
    )


@st.composite
def lookalike(draw: DrawFn) -> str:
    """A name with one letter left out, doubled or changed."""
    name, _, _, _ = draw(st.sampled_from(pantry_words()))
    at = draw(st.integers(0, len(name) - 1))
    letter = draw(st.sampled_from(("", name[at] * 2, "e", "x")))
    return name[:at] + letter + name[at + 1 :]


# the words that calculators read themselves

ACIDS = (
    "citric acid", "malic acid", "tartaric acid", "lactic acid 80 %", "phosphoric acid 85 %",
    "acetic acid", "succinic acid", "ascorbic acid", "tripotassium citrate", "sodium bicarbonate",
    "potassium bicarbonate", "lemon juice",
)  # fmt: skip
DATES = (
    "2026-11-25", "2026-11-28", "2027-03-01", "2024-02-29", "2026-02-30", "0001-01-01",
    "9999-12-31", "10000-01-01", "2026-13-01", "20261125", "25.11.2026", "2026-11-25T10:00",
    "tomorrow", "-2026-01-01", "2026-W48-3",
)  # fmt: skip
Build = Callable[[DrawFn, str], str]


def _n(draw: DrawFn) -> str:
    usual = size(0.5, 100.0).map(said)
    return draw(st.one_of(usual, usual, usual, usual, size().map(said), hostile_number()))


def _pick(draw: DrawFn, *words: str) -> str:
    return draw(st.sampled_from(words))


_OWN: dict[str, Build] = {
    "acid": lambda d, _: _pick(d, f"{_n(d)} parts ", f"{_n(d)} part ", f"{_n(d)} g ", "")
    + d(st.sampled_from(ACIDS)),
    "weighing": lambda d, _: f"{_n(d)} h: peel {_n(d)} g"
    + _pick(d, f", undissolved {_n(d)} g", "", f", brix {_n(d)}", f", syrup {_n(d)} g"),
    "drops": lambda d, _: f"{_n(d)} {_pick(d, 'lemon oil', 'orange oil', 'water', 'drops')}",
    "amount": lambda d, _: f"{_n(d)} {_pick(d, 'drops', 'g', 'ml', 'dash', '', 'kg', '%', 'C')}",
    "foamer": lambda d, _: d(st.sampled_from(_foamers())),
    "stabiliser": lambda d, _: d(st.sampled_from(_foamers())),
    "gas": lambda d, _: _pick(
        d, "helium", "hydrogen", "air", "nitrogen", "co2", "argon", "butane", "neon", "sf6",
        "60 % helium 40 % air", f"{_n(d)} % helium", "n2o"),
    "vessel": lambda d, _: _pick(d, "north", "south", "", MARKUP),
    "vessel_register": lambda d, _: _pick(
        d, "absent.toml", "/", "/dev/null", "a\x00b", "recipes/free-otter.toml", "\udcff"),
    "sequence": lambda d, _: " ".join(
        d(st.lists(st.sampled_from(
            ("charge", "shake", "vent", "purge", "wait", "fill", "open", MARKUP)), max_size=40))),
    "allowed_gas": lambda d, _: _pick(d, "n2o", "co2", "n2", "air", "N2O, co2"),
    "inspection_due": lambda d, _: d(st.sampled_from(DATES)),
    "date": lambda d, _: d(st.sampled_from(DATES)),
    "made": lambda d, _: d(st.sampled_from(DATES)),
    "today": lambda d, _: d(st.sampled_from(DATES)),
    "ingredient_date": lambda d, _: f"{d(ingredient())} {d(st.sampled_from(DATES))}",
    "use_by": lambda d, _: f"{d(ingredient())} {d(st.sampled_from(DATES))}",
    "contains": lambda d, _: _pick(
        d, "dairy", "egg", "raw egg", "garlic", "oil", "cream", "fish", "peel", MARKUP),
    "measured_at": lambda d, _: f"{d(ingredient())}={_n(d)} C",
    "price": lambda d, _: _pick(
        d, f"{d(ingredient())}={_n(d)} per {_n(d)} ml", f"{_n(d)} per {_n(d)} g {d(ingredient())}",
        f"spirit 40 %={_n(d)} per 700 ml", f"{_n(d)} per 700 ml spirit 40 %", "=5 per 1 g"),
    "round_to": lambda d, _: f"{_n(d)} {_pick(d, 'ml', 'g', 'l', 'C', '')}",
    "part_temperature": lambda d, _: _pick(
        d, f"{_n(d)} C", f"{d(ingredient())}={_n(d)} C", "-18 C", "200 C"),
    "layer": lambda d, _: d(part())
    + _pick(d, "", f" at {_n(d)} C", " at 5 C")
    + _pick(d, "", f" whipped {_n(d)} %", " whipped 100 %"),
    "release": lambda d, _: _pick(
        d, f"{_n(d)} kg {_gas(d)}", f"{_n(d)} x {_n(d)} g {_gas(d)}", f"{_n(d)} l {_gas(d)}",
        f"box of {_n(d)} x 8 g n2o", f"{_n(d)} chargers {_gas(d)}", "8 kg co2"),
    "rate": lambda d, _: f"{_n(d)} {_pick(d, 'kg/h', 'g/min', 'l/min', 'l/d', 'kg')} {_gas(d)}",
    "jurisdiction": lambda d, _: _pick(
        d, "UK", "US", "New York", "EU", "California", "Germany", "uk, us", MARKUP, "strictest"),
}  # fmt: skip
_OWN |= {"stock": _OWN["acid"]}


def _gas(draw: DrawFn) -> str:
    return _pick(draw, "co2", "n2o", "n2", "nitrogen", "helium", "argon", "dry ice",
                 "liquid nitrogen", "butane", "", "water")  # fmt: skip


@cache
def _foamers() -> tuple[str, ...]:
    found = {
        name
        for block in blocks.blocks("foamers.toml", "foamer")
        for name in (block["name"], *block.get("also", ()))
    }
    return (*sorted(found), "cream", "water", "unknown thing", MARKUP)


@st.composite
def altered(draw: DrawFn, words: str) -> str:
    """The same words with one number, character or word changed."""
    way = draw(st.integers(0, 5))
    if way < 2 and _NUMBER.search(words):
        spots = list(_NUMBER.finditer(words))
        spot = spots[draw(st.integers(0, len(spots) - 1))]
        return words[: spot.start()] + draw(hostile_number()) + words[spot.end() :]
    at = draw(st.integers(0, len(words)))
    if way == 2:
        return words[:at] + words[at + 1 :]
    if way == 3:
        odd = draw(st.sampled_from("\x00\n\t ,.±%-+=:;/<>&\u202e\u200f٣½\ud800é") | st.characters())
        return words[:at] + odd + words[at:]
    if way == 4:
        return f"{words} {draw(st.sampled_from(HOSTILE))}"
    tokens = words.split()
    return " ".join(reversed(tokens))


def own_words(name: str, spec: Spec) -> SearchStrategy[str]:
    """Words of a field that its calculator reads itself."""
    build = _OWN.get(name)
    if build is None:
        return st.just(spec.example) | altered(spec.example)

    @st.composite
    def drawn(draw: DrawFn) -> str:
        assert build is not None
        words = build(draw, name)
        return draw(altered(words)) if draw(st.integers(0, 9)) == 0 else words

    return st.one_of(st.just(spec.example), drawn(), drawn(), drawn())


def value_of(name: str, spec: Spec) -> Words:
    """Something that a person could have meant to write in a field."""
    match spec.kind:
        case "quantity":
            return quantity(spec)
        case "number":
            return within(spec).map(said) | within(spec)
        case "count":
            top = int(spec.high) if spec.high is not None else 1000
            low = int(spec.low or 0)
            return st.one_of(st.integers(low, min(top, 50)), st.sampled_from((low, top))).flatmap(
                lambda n: st.sampled_from((n, str(n)))
            )
        case "choice":
            return st.sampled_from(spec.choices)
        case "flag":
            return st.sampled_from((True, False, "yes", "no", "true"))
        case "part" if spec.several:
            return part() | st.lists(part(), min_size=1, max_size=3)
        case "part":
            return part()
        case "parts":
            return st.lists(part(), min_size=1, max_size=4)
        case "ingredient":
            return ingredient() | lookalike() | mixture()
        case "many words":
            return st.lists(own_words(name, spec), min_size=1, max_size=4)
        case _:
            return own_words(name, spec)


def hostile_value(spec: Spec) -> Words:
    """Something that must be answered or refused in one sentence."""
    one = st.one_of(
        st.sampled_from(HOSTILE),
        st.sampled_from(HOSTILE),
        st.text(max_size=30),
        altered(spec.example) if spec.example else st.just("maybe"),
        hostile_number().map(lambda n: f"{n} {spec.units[0] if spec.units else ''}"),
    )
    return st.one_of(one, one, one, st.sampled_from(ODD), st.lists(one, max_size=3))


@cache
def example_of(name: str) -> Mapping[str, Any]:
    """The words of a calculator's example."""
    from prepkit.cli import calculator_command

    command = calculator_command(name)
    words = shlex.split(load(name).example.replace("\\\n", " "))[2:]
    context = command.make_context(name, words)
    given = {k: v for k, v in context.params.items() if v not in (None, (), False)}
    return {k: list(v) if isinstance(v, tuple) else v for k, v in given.items()
            if k in load(name).inputs.specs()}  # fmt: skip


@st.composite
def case(draw: DrawFn, name: str, hostile: int = 4) -> dict[str, Any]:
    """Words for a calculator; about one in `hostile` cases has a word that nobody should mean."""
    specs = load(name).inputs.specs()
    words: dict[str, Any] = dict(example_of(name))
    if draw(st.integers(0, 4)) == 0:
        words = {key: words[key] for key in words if specs[key].required}
    for _ in range(draw(st.sampled_from((0, 1, 1, 1, 2, 2, 3, 6)))):
        key = draw(st.sampled_from(list(specs)))
        words[key] = draw(value_of(key, specs[key]))
    if draw(st.integers(0, hostile - 1)) == 0:
        for _ in range(draw(st.sampled_from((1, 1, 2)))):
            key = draw(st.sampled_from(list(specs)))
            words[key] = draw(hostile_value(specs[key]))
    way = draw(st.integers(0, 29))
    if way == 0:
        words.pop(draw(st.sampled_from(list(words) or ["part"])), None)
    elif way == 2:
        key = draw(st.sampled_from(list(specs)))
        value = draw(value_of(key, specs[key]))
        words[key] = [value, draw(value_of(key, specs[key]))]  # said twice
    elif way == 1:
        words[draw(st.sampled_from(("absent", MARKUP, "", "--brix", "ph ", "Part")))] = "5 g water"
    return words
