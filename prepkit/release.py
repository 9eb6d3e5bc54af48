"""Words of a release: "8 kg co2", "40 x 8 g n2o over 5 h", "0.5 m3/h n2 from 30 min"."""

from __future__ import annotations

import re
from difflib import get_close_matches

from prepkit.errors import BadInput, BadQuantity, UnknownIngredient
from prepkit.science import cryogen, gases, room_sizes
from prepkit.units import convert, find_unit, parse_number

NAMES = {
    "n2o": "n2o", "nitrous oxide": "n2o", "laughing gas": "n2o",
    "co2": "co2", "carbon dioxide": "co2", "carbonic acid gas": "co2",
    "n2": "n2", "nitrogen": "n2", "he": "he", "helium": "he", "ar": "ar", "argon": "ar",
    "o2": "o2", "oxygen": "o2",
    "dry ice": "dry ice", "solid co2": "dry ice",
    "liquid nitrogen": "liquid nitrogen", "ln2": "liquid nitrogen",
}  # fmt: skip
_LAST = {"mass": "kg", "volume": "m3", "mass rate": "kg/h", "flow": "m3/h"}
_COUNT = re.compile(r"^([0-9]+)\s*[x×]\s*", re.IGNORECASE)
_TAIL = re.compile(r"\s+(over|for|from|at)\s+([0-9.,]+\s*[a-z]+)$", re.IGNORECASE)
EXAMPLE = "8 kg co2"


class Released(str):
    """The words of a release, read: what, how much, when. Amounts are in kg or m3, or per hour."""

    substance: str
    kind: str  # mass, volume, mass rate, flow
    amount: float  # kg, m3, kg/h, m3/h
    start_s: float
    duration_s: float | None  # None: at once, or as long as asked for a rate

    @classmethod
    def read(cls, said: str, field: str = "--release") -> Released:
        """One release, or one sentence on what is wrong with its words."""
        if isinstance(said, Released):
            return said
        words, start_s, duration_s = said.strip(), 0.0, None
        while tail := _TAIL.search(words):
            seconds = _seconds(tail[2], said, field)
            if tail[1].lower() in ("over", "for"):
                duration_s = seconds
            else:
                start_s = seconds
            words = words[: tail.start()]
        times = 1
        if count := _COUNT.match(words):
            times, words = int(count[1]), words[count.end() :]
        value, rest = parse_number(words, field)
        kind, amount, name = _amount(value, rest, said, field)
        if value < 0 or times < 1 or (duration_s is not None and duration_s <= 0):
            raise BadInput(
                f'{field} is "{said}"; amounts and times must be more than nothing.', "release"
            )
        if "rate" not in kind and kind != "flow" and tail_is_for(said) and duration_s is None:
            raise BadInput(f'{field} is "{said}"; write how long, such as over 5 h.', "release")
        if name == "dry ice" and kind in ("volume", "flow"):
            raise BadInput(
                f'{field} is "{said}"; dry ice has no fixed volume, so give it by weight.',
                "release",
            )
        found = cls(said)
        found.substance, found.kind, found.amount = name, kind, times * amount
        found.start_s, found.duration_s = start_s, duration_s
        return found

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
        per_kg = gases.gas_volume_m3_kg(self.gas, temperature_c, ambient_pa)
        if self.substance in cryogen.CRYOGENS:
            at_1_atm = cryogen.gas_m3(self.substance, 1.0, temperature_c)
            per_kg = max(per_kg, at_1_atm * gases.STANDARD_PA / ambient_pa)
        return amount * per_kg

    def span_s(self, lasting_s: float) -> float:
        """How long it goes on; 0 at once."""
        if self.steady:
            return self.duration_s or lasting_s
        return self.duration_s or 0.0


def tail_is_for(said: str) -> bool:
    """Whether the words end with an open "over" or "for"."""
    return bool(re.search(r"\s(over|for)\s*$", said, re.IGNORECASE))


def _seconds(words: str, said: str, field: str) -> float:
    value, unit = parse_number(words, field)
    found = find_unit(unit, field, ["time"])
    if found.kind != "time":
        raise BadQuantity(f'{field} is "{said}"; "{unit}" is no time: write h or min.', field)
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
        if name not in NAMES:
            near = get_close_matches(name, NAMES, n=1)
            hint = f"did you mean {near[0]}? " if near else ""
            known = ", ".join(dict.fromkeys(NAMES.values()))
            raise UnknownIngredient(
                f'{field} is "{said}": no gas "{name}"; {hint}those known are {known}.', "release"
            )
        base = _LAST[unit.kind]
        return unit.kind, convert(value, unit.name, base), NAMES[name]
    raise BadQuantity(
        f'{field} is "{said}"; write an amount with its unit and the gas, such as {EXAMPLE}, '
        f"40 x 8 g n2o over 5 h, or 2 m3/h n2.",
        "release",
    )
