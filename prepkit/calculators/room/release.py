"""Gases and cylinders by their words, and what is set free: how much, how fast.

10 kg co2 cylinder; 2 co2 cylinders of 10 kg; 50 l cylinder of nitrogen at 200 bar;
50 l co2 cylinder                 liquid inside: the most that its size may hold
20 l cylinder of 70 % nitrogen and 30 % co2 at 200 bar

<amount> <what> [from <time>] [over <time>]

8 kg co2; 2 kg dry ice            by mass, whatever state it was in
10 l liquid nitrogen              as it is poured, at its boiling point
1.8 l n2o gas; 5 m3 helium        gas, at the temperature and pressure of the room
3 n2o chargers                    by custom 8 g n2o or co2, 2.4 g n2; 3 n2o chargers of 16 g
10 kg co2 cylinder                all that it holds; by size and pressure see `cylinders`
2 m3 of 70 % nitrogen and 30 % co2
40 x 8 g n2o over 5 h             evenly
0.5 m3/h n2 from 30 min; 0.2 kg/h co2 for 3 h; 0.3 l/d liquid nitrogen (a dewar's loss)
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from prepkit import numbers
from prepkit.errors import BadInput, BadQuantity, UnknownIngredient, named
from prepkit.science import gases, heat, room_air
from prepkit.shared import room_check
from prepkit.units import convert, find_unit, in_figures, parse_number

# ---- gases by the words that people use, alone or as a mixture with the share of each ----

GAS_KEYS = {
    "n2o": "n2o", "nitrous oxide": "n2o", "nitrous": "n2o", "laughing gas": "n2o",
    "co2": "co2", "carbon dioxide": "co2", "carbonic acid gas": "co2",
    "n2": "n2", "nitrogen": "n2", "he": "he", "helium": "he", "ar": "ar", "argon": "ar",
    "o2": "o2", "oxygen": "o2",
    "dry ice": "dry ice", "solid co2": "dry ice", "co2 snow": "dry ice",
    "liquid nitrogen": "liquid nitrogen", "ln2": "liquid nitrogen",
}  # fmt: skip
GASES = ("n2o", "co2", "n2", "he", "ar", "o2")
_NO_GASES = frozenset(("air", "hot", "flame", "candle", "steam"))
_MIXED = re.compile(r"\b(?:mix(?:ture|ed)?|blend|beer gas)\b|[0-9]\s*[/:]\s*[0-9]|%")
_SHARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?")
_NAME = re.compile(
    r"\b(" + "|".join(sorted((n for n, g in GAS_KEYS.items() if g in GASES), key=len, reverse=True))
    + r")\b"
)  # fmt: skip
_BETWEEN = re.compile(
    r"[\s%/:,+-]|\b(?:and|of|with|in|by|vol|volume|mix|mixture|mixed|blend|beer|gas)\b"
)
_WHOLE, _ROUNDING = 100.0, 0.5


def is_mixture(words: str) -> bool:
    """Whether words name a mixture of gases, with its shares or without.

    >>> is_mixture("70/30 nitrogen and co2"), is_mixture("beer gas"), is_mixture("nitrous oxide")
    (True, True, False)
    """
    return bool(_MIXED.search(words)) or len(_names(words)) > 1


def shares(words: str, said: str, field: str) -> dict[str, float]:
    """Share of each gas by volume, in the order of the words; BadInput where it is not told.

    >>> shares("70/30 nitrogen and carbon dioxide", "", "")
    {'n2': 0.7, 'co2': 0.3}
    >>> shares("60 % co2 and 40 % nitrogen", "", "")
    {'co2': 0.6, 'n2': 0.4}
    """
    names = _names(words)
    plain = re.sub(r"\b[a-z]+2o?\b", "", words) if names else words  # co2 and n2o hold a figure
    numbers = [float(one.replace(",", ".")) for one in _SHARE.findall(plain)]
    left = _BETWEEN.sub("", _SHARE.sub("", _NAME.sub("", words))).strip()
    if left:
        raise UnknownIngredient(
            f'{field} is "{said}": "{left}" is not a gas known here; write a mixture such as '
            f"70 % nitrogen and 30 % co2.",
            "release",
        )
    if len(names) < 2 or len(set(names)) < len(names) or len(numbers) != len(names):
        asked = "write each gas with its share, such as 60 % co2 and 40 % nitrogen"
        if len(numbers) == 2:
            one, two = (f"{number:g}" for number in numbers)
            asked = (
                f"suppliers differ in which gas they name first. Write "
                f"{one} % co2 and {two} % nitrogen, or {two} % co2 and {one} % nitrogen"
            )
        raise BadInput(f'{field} is "{said}": which gas is which share? {asked}.', "release")
    if abs(math.fsum(numbers) - _WHOLE) > _ROUNDING or min(numbers) <= 0:
        raise BadInput(
            f'{field} is "{said}"; its shares make {math.fsum(numbers):g} % and must make 100 %.',
            "release",
        )
    return {name: number / math.fsum(numbers) for name, number in zip(names, numbers, strict=True)}


def _names(words: str) -> list[str]:
    return [GAS_KEYS[one] for one in _NAME.findall(words)]


def refused_gas(name: str) -> tuple[str, str]:
    """Name of a gas with which nothing is worked out, and why; no reason for any other.

    >>> refused_gas("propane gas")[0], refused_gas("helium")[1]
    ('propane', '')
    """
    for words in (name, name.removesuffix(" gas"), name.removeprefix("liquid ")):
        if words in GAS_KEYS or not _NO_GASES.isdisjoint(words.split()):
            continue
        try:
            found = room_check.gas_named(words)
        except UnknownIngredient:
            continue
        if found.why:
            return found.name, found.why
    return name, ""


# ---- cylinders in words ----

# [ADR-P200] (memory): kg per litre at the highest test pressure of the list
FILL_KG_L = {"co2": 0.76, "n2o": 0.75}
# least compressibility factor at 15 C to 300 bar [CYLINDER-FILL]: what a cylinder holds at most
LEAST_Z = {"n2": 0.99, "he": 1.0, "ar": 0.93, "o2": 0.92}
_MOST_LIQUEFIED, _Z_LOST = 0.75, 0.75  # a share of co2 up to that takes as much of the factor
FILLED_C, MOST_BAR = 15.0, 350.0
_NOUN = re.compile(r"\b(?:cylinders?|tanks?|bottles?|flasks?)\b")
_AT = re.compile(
    r"(?:\s+(?:at|filled\s+to|with)|\s*,)\s*([0-9.,]+)\s*(bar|barg|psi|psig|kpa|mpa)\b(?:\s+gauge)?"
)
_SIZE = re.compile(
    r"(?<![0-9.,/:])([0-9.,]+)\s*(kilos?|kilograms?|kg|grams?|g|lbs?|pounds?|oz|litres?|liters?|ltr|l)\b"
)
_AROUND = ("full", "of", "with", "a", "an", "each", ",")
_MASS = {"k": "kg", "g": "g", "p": "lb", "o": "oz"}
_CYLINDERS_COUNT = re.compile(r"^(?:([0-9]+)\s*(?:[x×]\s*)?|(?:an?|one)\s+)(?![0-9]*\s*[%/:])")


class CylinderContent(NamedTuple):
    """What one kind of cylinder holds: how many, kg of each gas in one, and what was assumed."""

    times: int
    kg: dict[str, float]
    refused: str
    assumed: str


def is_cylinder(words: str) -> bool:
    """Whether words speak of a cylinder.

    >>> is_cylinder("10 kg CO2 cylinder"), is_cylinder("10 kg co2")
    (True, False)
    """
    return bool(_NOUN.search(words.lower()))


def read(words: str, said: str, field: str) -> CylinderContent:
    """A cylinder's content from its words; BadInput where something that decides is missing.

    >>> round(read("50 l nitrogen cylinder at 200 bar", "", "").kg["n2"], 1)
    11.9
    """
    text = re.sub(r"([0-9])-(?=[a-z])", r"\1 ", " ".join(words.lower().split()))
    bar, text = _pressure(text, said, field)
    sizes = _SIZE.findall(text)
    rest = " ".join(_NOUN.sub(" ", _SIZE.sub(" ", text)).split())
    times = 1
    if count := _CYLINDERS_COUNT.match(rest):
        times, rest = int(count[1] or 1), rest[count.end() :]
    words_left = rest.split()
    while words_left and words_left[0] in _AROUND:
        words_left.pop(0)
    while words_left and words_left[-1] in _AROUND:
        words_left.pop()
    name = " ".join(words_left)
    refused_name, why = refused_gas(name)
    if why:
        return CylinderContent(max(times, 1), {refused_name: 1.0}, why, "")
    mix = _gases(name, said, field)
    if len(sizes) != 1:
        raise BadInput(
            f'{field} is "{said}"; write what one holds, by the weight on its label, such as '
            f"1 co2 cylinder of 10 kg, or by its size and fill pressure.",
            "release",
        )
    number, unit = parse_number(" ".join(sizes[0]), field)
    if number <= 0 or times < 1:
        raise BadInput(
            f'{field} is "{said}"; amounts and times must be more than nothing.', "release"
        )
    if unit.startswith(("l", "L")) and not unit.startswith("lb"):
        held, assumed = _by_size(number, mix, bar, said, field)
        return CylinderContent(times, held, "", assumed)
    if bar is not None:
        raise BadInput(
            f'{field} is "{said}"; give the weight of the gas, or the size with the fill '
            f"pressure, and not both.",
            "release",
        )
    kg = convert(number, "lb" if unit.startswith("lb") else _MASS[unit[0]], "kg")
    return CylinderContent(times, by_mass(kg, mix), "", "")


def by_mass(kg: float, mix: dict[str, float]) -> dict[str, float]:
    """A mass of a mixture as the mass of each of its gases.

    >>> by_mass(1.0, {"n2": 1.0})
    {'n2': 1.0}
    """
    weights = {gas: x * gases.molar_mass_kg_mol(gas) for gas, x in mix.items()}
    return {gas: kg * weight / math.fsum(weights.values()) for gas, weight in weights.items()}


def _gases(name: str, said: str, field: str) -> dict[str, float]:
    if is_mixture(name):
        return shares(name, said, field)
    gas = GAS_KEYS.get(name.removesuffix(" gas"))
    if gas in heat.CRYOGENS:
        raise BadInput(
            f'{field} is "{said}"; leave the vessel out and write how much {gas} is in it, such as '
            f"5 {'kg' if gas == 'dry ice' else 'l'} {gas}.",
            "release",
        )
    if gas is None:
        shown = f'no gas "{name}"' if name else "which gas is in it"
        raise UnknownIngredient(
            f'{field} is "{said}": {shown}; those known are {", ".join(GASES)}.',
            "release",
        )
    return {gas: 1.0}


def _pressure(text: str, said: str, field: str) -> tuple[float | None, str]:
    found = _AT.search(text)
    if not found:
        return None, text
    value, _ = parse_number(found[1], field)
    unit = {"barg": "bar", "psig": "psi", "kpa": "kPa", "mpa": "MPa"}.get(found[2], found[2])
    bar = convert(value, unit, "bar")
    if not 0 < bar <= MOST_BAR:
        raise BadInput(
            f'{field} is "{said}"; a fill pressure is between 0 and {MOST_BAR:g} bar.', "release"
        )
    return bar, f"{text[: found.start()]} {text[found.end() :]}"


def _by_size(
    litres: float, mix: dict[str, float], bar: float | None, said: str, field: str
) -> tuple[dict[str, float], str]:
    """Kg of each gas at most, and what was assumed."""
    (first, share), *others = mix.items()
    if not others and first in FILL_KG_L:
        if bar is not None:
            raise BadInput(
                f'{field} is "{said}"; its pressure does not tell how much is in it, because most '
                f"is liquid. Give the weight on its label, or leave the pressure out.",
                "release",
            )
        kg = FILL_KG_L[first] * litres * share
        return {first: kg}, f'"{said}" is counted as {kg:.3g} kg in each, the most for its size'
    if bar is None:
        raise BadInput(
            f'{field} is "{said}": filled to which pressure? Its label or stamp says so. Not '
            f'known: write "at 300 bar", the highest in common use.',
            "release",
        )
    liquefied = math.fsum(x for gas, x in mix.items() if gas in FILL_KG_L)
    if liquefied > _MOST_LIQUEFIED:
        raise BadInput(
            f'{field} is "{said}"; with so much carbon dioxide or nitrous oxide its pressure does '
            f"not tell how much is in it. Give the weight on its label.",
            "release",
        )
    least = math.fsum(x * LEAST_Z[gas] for gas, x in mix.items() if gas in LEAST_Z)
    factor = least + liquefied * (1.0 - _Z_LOST)
    pa = bar * 1e5 + gases.STANDARD_PA
    mol = pa * litres * 1e-3 / (gases.GAS_CONSTANT_J_MOL_K * (FILLED_C + gases.KELVIN) * factor)
    kg_each = {gas: x * mol * gases.molar_mass_kg_mol(gas) for gas, x in mix.items()}
    kg = math.fsum(kg_each.values())
    held = " and ".join(f"{100 * x:.3g} % {gas}" for gas, x in mix.items()) if others else first
    return kg_each, f'"{said}" is counted as at most {kg:.3g} kg in each, {held}'


# ---- words of a release ----

_LAST = {"mass": "kg", "volume": "m3", "mass rate": "kg/h", "flow": "m3/h"}
_SMALLER = {"kg": "g", "kg/h": "g/h"}  # bare litres could be those of a cylinder
_LITRES_BELOW_M3 = 0.1
_COUNT = re.compile(r"^([0-9]+)\s*[x×]\s*", re.IGNORECASE)
_TAIL = re.compile(r"\s+(over|for|from|at)\s+([0-9.,]+\s*[a-z]+)$", re.IGNORECASE)
_PRESSURE = re.compile(r"(?:bar|barg|psi|psig|kpa|mpa)$", re.IGNORECASE)
_BOX = re.compile(
    r"^([0-9]+)\s+(?:(.+?)\s+)?(chargers?|bulbs?)(?:\s+(?:of|with)\s+(.+))?$",
    re.IGNORECASE,
)
NAMES = GAS_KEYS
_BULBS = {"cream": "n2o", "soda": "co2", "nitro": "n2"}
# [CHARGER-PAGES], customs: grams in one; nitrogen bulbs hold 2.0 to 2.4 g, the heavier is taken
_CHARGER_G = {"n2o": 8.0, "co2": 8.0, "n2": 2.4}
EXAMPLE = "8 kg co2"


class Released(str):
    """The words of a release, read: what, how much, when. Amounts are in kg or m3, or per hour."""

    substance: str
    kind: str  # mass, volume, mass rate, flow
    amount: float  # kg, m3, kg/h, m3/h
    refused: str  # why nothing is worked out with it; empty otherwise
    assumed: str  # what was taken for a cylinder's content; empty otherwise
    components: tuple[Released, ...]  # the gases of a mixture, each by itself
    start_s: float
    duration_s: float | None  # None: at once, or as long as asked for a rate

    @classmethod
    def read(cls, said: str, field: str = named("release")) -> Released:
        """One release, or one sentence on what is wrong with its words."""
        if isinstance(said, Released):
            return said
        if tail_is_for(said):
            raise BadInput(f'{field} is "{said}"; write how long, such as over 5 h.', "release")
        words, start_s, duration_s = in_figures(said.strip()), 0.0, None
        while (tail := _TAIL.search(words)) and not _PRESSURE.search(tail[2]):
            seconds = _seconds(tail[2], said, field)
            if tail[1].lower() in ("over", "for"):
                duration_s = seconds
            else:
                start_s = seconds
            words = words[: tail.start()]
        if is_cylinder(words):
            return cls._of_cylinder(said, words, start_s, duration_s, field)
        times = 1
        if box := _BOX.match(words):
            times, words = int(box[1]), _in_one(box, said, field)
        elif count := _COUNT.match(words):
            times, words = int(count[1]), words[count.end() :]
        value, rest = parse_number(words, field)
        kind, amount, name = _amount(value, rest, said, field)
        if value <= 0 or times < 1 or (duration_s is not None and duration_s <= 0):
            raise BadInput(
                f'{field} is "{said}"; amounts and times must be more than nothing.', "release"
            )
        if name == "dry ice" and kind in ("volume", "flow"):
            raise BadInput(
                f'{field} is "{said}"; dry ice has no fixed volume, so give it by weight.',
                "release",
            )
        if is_mixture(name):
            mix = shares(name, said, field)
            each = (
                by_mass(times * amount, mix)
                if kind in ("mass", "mass rate")
                else {gas: times * amount * x for gas, x in mix.items()}
            )
            return cls._made(said, name, kind, times * amount, start_s, duration_s, each)
        found = cls._made(said, name, kind, times * amount, start_s, duration_s)
        found.refused = "" if name in NAMES.values() else refused_gas(name)[1]
        return found

    @classmethod
    def _made(
        cls,
        said: str,
        substance: str,
        kind: str,
        amount: float,
        start_s: float,
        duration_s: float | None,
        each: dict[str, float] | None = None,
    ) -> Released:
        """A release by its parts; `each` holds the amounts of a mixture's gases."""
        if not math.isfinite(amount):
            raise BadInput(
                f'{named("release")} is "{said}", which is too large to be a number.', "release"
            )
        found = cls(said)
        found.substance, found.kind, found.amount = substance, kind, amount
        found.refused, found.assumed = "", ""
        found.start_s, found.duration_s = start_s, duration_s
        found.components = (found,)
        if each and len(each) > 1:
            found.components = tuple(
                cls._made(f"{said}: the {gas}", gas, kind, value, start_s, duration_s)
                for gas, value in each.items()
            )
        return found

    @classmethod
    def _of_cylinder(
        cls, said: str, words: str, start_s: float, duration_s: float | None, field: str
    ) -> Released:
        """All that a cylinder holds."""
        content = read(words, said, field)
        if duration_s is not None and duration_s <= 0:
            raise BadInput(f'{field} is "{said}"; the time must be more than nothing.', "release")
        each = {gas: content.times * kg for gas, kg in content.kg.items()}
        name = next(iter(each)) if len(each) == 1 else "mixture"
        found = cls._made(said, name, "mass", math.fsum(each.values()), start_s, duration_s, each)
        found.refused, found.assumed = content.refused, content.assumed
        return found

    def scaled(self, factor: float) -> Released:
        """`factor` times as much of the same, in the same time; its words are the amounts."""
        amount = _three(self.amount * factor)
        unit = _LAST[self.kind]
        each = {component.gas: _three(component.amount * factor) for component in self.components}
        words = " and ".join(_written(value, unit, gas) for gas, value in each.items())
        if len(each) == 1:
            words = _written(amount, unit, self.substance)
        return self._made(
            words, self.substance, self.kind, amount, self.start_s, self.duration_s, each
        )

    @property
    def gas(self) -> str:
        """The gas that it is or becomes."""
        if self.substance in heat.CRYOGENS:
            return heat.CRYOGENS[self.substance].gas
        return self.substance

    @property
    def steady(self) -> bool:
        """Whether it was given as a rate."""
        return self.kind in ("mass rate", "flow")

    def gas_m3(self, temperature_c: float, ambient_pa: float, lasting_s: float) -> float:
        """Gas in all at the room's temperature and pressure, m3; a rate over its time."""
        hours = (self.duration_s or lasting_s) / 3600.0
        amount = self.amount * (hours if self.steady else 1.0)
        if self.substance == "liquid nitrogen" and self.kind in ("volume", "flow"):
            amount *= 1000.0 * heat.LIQUID_NITROGEN_KG_L
            if self.steady:  # a dewar's loss as the maker states it
                amount *= room_air.DEWAR_FACTOR
        elif self.kind in ("volume", "flow"):
            return amount
        return amount * self.gas_m3_kg(temperature_c, ambient_pa)

    def gas_m3_kg(self, temperature_c: float, ambient_pa: float) -> float:
        """Gas from one kg, m3; of a cryogen the larger of the two published figures."""
        per_kg = gases.gas_volume_m3_kg(self.gas, temperature_c, ambient_pa)
        if self.substance in heat.CRYOGENS:
            at_1_atm = heat.gas_m3(self.substance, 1.0, temperature_c)
            per_kg = max(per_kg, at_1_atm * gases.STANDARD_PA / ambient_pa)
        return per_kg

    def span_s(self, lasting_s: float) -> float:
        """How long it goes on; 0 at once."""
        if self.steady:
            return self.duration_s or lasting_s
        return self.duration_s or 0.0


def tail_is_for(said: str) -> bool:
    """Whether the words end with an open "over" or "for"."""
    return bool(re.search(r"\s(over|for)\s*$", said, re.IGNORECASE))


def _in_one(box: re.Match[str], said: str, field: str) -> str:
    """What one charger or cylinder holds, as the words of a release."""
    name, each = (box[2] or "").lower(), box[4] or ""
    if re.match(r"^[0-9.,]+\s*k?g\b", name):  # "3 16 g n2o chargers"
        return name
    name = _BULBS.get(name, name)
    if each and not re.match(r"^[0-9.,]+\s*(?:k?g|lbs?|oz)\b", each, re.IGNORECASE):
        each = ""  # "1 cylinder of 50 l" is its size
    if each:
        return each if not name else f"{each} {name}"
    gas = NAMES.get(name)
    if refused_gas(name)[1]:
        return f"1 kg {name}"  # nothing is worked out with it, whatever one holds
    if gas and gas not in _CHARGER_G:
        raise BadInput(
            f'{field} is "{said}"; write what one holds, such as 3 n2o chargers of 8 g: its '
            f"label says so.",
            "release",
        )
    if gas is None:
        raise UnknownIngredient(
            f'{field} is "{said}"; write the gas of the chargers, such as 3 n2o chargers.',
            "release",
        )
    return f"{_CHARGER_G[gas]:g} g {gas}"


def _which(name: str, value: float, unit: str, kind: str, said: str, field: str) -> str:
    """The substance of a name; BadInput for litres of what is also poured as a liquid."""
    plain = name.removesuffix(" gas")
    gas = NAMES.get(plain)
    if gas is None and is_mixture(name):
        return name
    if gas is None:
        refused, why = refused_gas(name)
        if why:
            return refused
        meant = numbers.close(name, NAMES, 1)
        hint = f"did you mean {meant[0]}? " if meant else ""
        known = ", ".join(dict.fromkeys(NAMES.values()))
        raise UnknownIngredient(
            f'{field} is "{said}": no gas "{name}"; {hint}those known are {known}.', "release"
        )
    # litres of gas, of a cylinder's size or of a liquid: a room full of gas lies between
    litres = (kind == "volume" and unit not in ("m3", "ft3")) or unit == "l/d"
    if litres and gas in GASES and plain == name:
        written = f"{value:g} {unit}"
        others = [f"{written} {gas} gas"]
        if kind == "volume":
            others.append(f"{written} {gas} cylinder")
        if gas == "n2":
            others.append(f"{written} liquid nitrogen")
        what = "gas in the room, a cylinder or a liquid" if kind == "volume" else "gas or liquid"
        liquid = "" if gas in ("n2", "co2", "n2o") else ", and liquid by weight"
        raise BadInput(
            f'{field} is "{said}": {what}? Write {" or ".join(others)}{liquid}.', "release"
        )
    return gas


def _seconds(words: str, said: str, field: str) -> float:
    value, unit = parse_number(words, field)
    found = find_unit(unit, field, ["time"])
    if found.kind != "time":
        raise BadQuantity(f'{field} is "{said}"; "{unit}" is not a time: write h or min.', field)
    return convert(value, found.name, "s")


def _amount(value: float, rest: str, said: str, field: str) -> tuple[str, float, str]:
    """Kind, amount in its base and substance of the words after the number."""
    tokens = rest.split()
    for count in (3, 2, 1):
        if count >= len(tokens):
            continue
        try:
            unit = find_unit(" ".join(tokens[:count]), field, list(_LAST))
        except BadQuantity:
            continue
        if unit.kind not in _LAST:
            break
        name = " ".join(tokens[count:]).lower().removeprefix("of ").strip()
        base = _LAST[unit.kind]
        substance = _which(name, value, unit.name, unit.kind, said, field)
        return unit.kind, convert(value, unit.name, base), substance
    raise BadQuantity(
        f'{field} is "{said}"; write an amount with its unit and the gas, such as {EXAMPLE}, '
        f"40 x 8 g n2o over 5 h, or 2 m3/h n2.",
        "release",
    )


def _three(value: float) -> float:
    """To three figures, so that what is judged is what is printed."""
    return float(f"{value:.3g}")


def _written(value: float, unit: str, gas: str) -> str:
    """An amount of a gas in the unit that a person measures it in.

    >>> _written(0.248, "kg", "co2"), _written(1.6, "kg", "co2"), _written(0.5, "m3/h", "n2")
    ('248 g co2', '1.6 kg co2', '0.5 m3/h n2')
    >>> _written(0.000385, "m3", "n2o")
    '0.385 l n2o gas'
    """
    if unit == "m3" and value < _LITRES_BELOW_M3:
        return f"{1000 * value:.3g} l {gas} gas"
    if value < 1.0 and unit in _SMALLER:
        value, unit = 1000 * value, _SMALLER[unit]
    return f"{value:.3g} {unit} {gas}"
