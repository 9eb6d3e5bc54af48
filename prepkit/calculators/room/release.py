"""Words of a release: so much of what, at once or over a time, from a time on.

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

from prepkit import spelling
from prepkit.calculators.room import cylinders, gas_words
from prepkit.errors import BadInput, BadQuantity, UnknownIngredient, named
from prepkit.science import cryogen, gases, room_sizes
from prepkit.units import convert, find_unit, in_figures, parse_number

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
NAMES = gas_words.NAMES
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
        if cylinders.is_cylinder(words):
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
        if gas_words.is_mixture(name):
            mix = gas_words.shares(name, said, field)
            each = (
                cylinders.by_mass(times * amount, mix)
                if kind in ("mass", "mass rate")
                else {gas: times * amount * x for gas, x in mix.items()}
            )
            return cls._made(said, name, kind, times * amount, start_s, duration_s, each)
        found = cls._made(said, name, kind, times * amount, start_s, duration_s)
        found.refused = "" if name in NAMES.values() else gas_words.refused(name)[1]
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
                cls._made(f"{said}: the {gas}", gas, kind, one, start_s, duration_s)
                for gas, one in each.items()
            )
        return found

    @classmethod
    def _of_cylinder(
        cls, said: str, words: str, start_s: float, duration_s: float | None, field: str
    ) -> Released:
        """All that a cylinder holds."""
        content = cylinders.read(words, said, field)
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
        each = {one.gas: _three(one.amount * factor) for one in self.components}
        words = " and ".join(_written(one, unit, gas) for gas, one in each.items())
        if len(each) == 1:
            words = _written(amount, unit, self.substance)
        return self._made(
            words, self.substance, self.kind, amount, self.start_s, self.duration_s, each
        )

    @property
    def gas(self) -> str:
        """The gas that it is or becomes."""
        if self.substance in cryogen.CRYOGENS:
            return cryogen.CRYOGENS[self.substance].gas
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
            amount *= 1000.0 * cryogen.LIQUID_NITROGEN_KG_L
            if self.steady:  # a dewar's loss as the maker states it
                amount *= room_sizes.DEWAR_FACTOR
        elif self.kind in ("volume", "flow"):
            return amount
        return amount * self.gas_m3_kg(temperature_c, ambient_pa)

    def gas_m3_kg(self, temperature_c: float, ambient_pa: float) -> float:
        """Gas from one kg, m3; of a cryogen the larger of the two published figures."""
        per_kg = gases.gas_volume_m3_kg(self.gas, temperature_c, ambient_pa)
        if self.substance in cryogen.CRYOGENS:
            at_1_atm = cryogen.gas_m3(self.substance, 1.0, temperature_c)
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
    if gas_words.refused(name)[1]:
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
    if gas is None and gas_words.is_mixture(name):
        return name
    if gas is None:
        refused, why = gas_words.refused(name)
        if why:
            return refused
        meant = spelling.close(name, NAMES, 1)
        hint = f"did you mean {meant[0]}? " if meant else ""
        known = ", ".join(dict.fromkeys(NAMES.values()))
        raise UnknownIngredient(
            f'{field} is "{said}": no gas "{name}"; {hint}those known are {known}.', "release"
        )
    # litres of gas, of a cylinder's size or of a liquid: a room full of gas lies between
    litres = (kind == "volume" and unit not in ("m3", "ft3")) or unit == "l/d"
    if litres and gas in gas_words.GASES and plain == name:
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
