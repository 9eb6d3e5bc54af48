"""What was measured against what was planned, and what an item must then be made of.

A reading beyond its tolerance is taken at its word: the item is what was measured, with sugar (for
a refractometer or a float), acid (for a titration) or alcohol (for a strength) more or less, and
water less or more. What goes into the glass is worked out again from that.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from prepkit.errors import BadInput, by_key
from prepkit.mixture import ACIDS, SUGARS, Mixture
from prepkit.plan.fields import Wrong
from prepkit.plan.item_sheet import INSTRUMENTS
from prepkit.science import linear
from prepkit.shared import instruments
from prepkit.sheet import DriftSheet, ItemSheet
from prepkit.units import Measured

if TYPE_CHECKING:
    from prepkit.plan.readings import Readings

_INSTRUMENTS = {**INSTRUMENTS, "mass": "scale", "pressure": "gauge"}
_PASSES = 60
_CLOSE = 1e-9  # relative, where the passes end
_STEP = 1e-6  # relative, for slopes
_LONGEST = 0.1  # of the whole that one pass may exchange


@dataclass(frozen=True)
class Drift:
    """One reading beside what was expected; both as at 20 C where the sample was not."""

    item: str
    what: str
    label: str
    unit: str
    digits: int
    expected: float
    tolerance: float | None
    measured: float
    written: str

    @property
    def off(self) -> float:
        """Measured less expected."""
        return self.measured - self.expected

    @property
    def most(self) -> float:
        """How far it may be off: its tolerance, and never less than its digits can show."""
        return max(self.tolerance or 0.0, 10.0**-self.digits)

    @property
    def beyond(self) -> bool:
        """Whether it is off by more than it may be."""
        return abs(self.off) > self.most * (1 + 1e-9)

    def to_dict(self) -> DriftSheet:
        """The JSON form."""
        return {
            "item": self.item, "what": self.what, "label": self.label, "unit": self.unit,
            "digits": self.digits, "expected": self.expected, "tolerance": self.tolerance,
            "may_be_off": self.most, "measured": self.measured, "written": self.written,
            "off": self.off, "beyond": self.beyond,
        }  # fmt: skip


def drifts(
    file: str, item: ItemSheet, product: Mixture, read: Readings, scale_g: float | None
) -> list[Drift]:
    """Each reading of an item beside its expected value; `item` is its JSON form in the plan."""
    known = {one["name"]: one for one in item["readings"]}
    temperature = float(read.values.get("temperature", 20.0))
    found = []
    for what, value in read.values.items():
        if what == "temperature":
            continue
        where = f"{item['id']}.{what}"
        written = value.words()
        if what == "mass":
            made_g = item["made_g"]
            assert made_g is not None  # a check has been refused by now
            off = math.hypot(item["made_g_plus_minus"] or 0.0, scale_g or 0.0) or None
            found.append(
                Drift(item["id"], what, "mass made", "g", 0, made_g, off, float(value),
                      written)
            )  # fmt: skip
            continue
        if what == "pressure":
            found.append(_pressure(file, item, float(value), written))
            continue
        if what not in known:
            why = item["not_shown"].get(what)
            raise Wrong(
                file, where,
                f"nothing is expected of it to compare with"
                f"{f' ({why.rstrip(chr(46))})' if why else ''}; leave it out.",
            )  # fmt: skip
        of = known[what]
        try:
            measured = _at_20(what, value, of["value"], product, temperature, read)
        except BadInput as error:
            raise Wrong(file, where, by_key(error.wording)) from error
        found.append(
            Drift(item["id"], what, of["label"], of["unit"], of["digits"], of["value"],
                  of["tolerance"], measured, written)
        )  # fmt: skip
    return found


def unstated(bench: Mapping[str, float], found: Iterable[Drift]) -> list[str]:
    """The instruments that something was read with and of which the house states no ±."""
    used = [_INSTRUMENTS[one.what] for one in found if one.what in _INSTRUMENTS]
    return [name for name in dict.fromkeys(used) if name not in bench]


def _pressure(file: str, item: ItemSheet, value: float, written: str) -> Drift:
    """The settled pressure of a charged vessel; between the two ends where it has two."""
    values = {one["name"]: one for one in item["values"]}
    if not item["filling"] or "settled" not in values:
        raise Wrong(
            file, f"{item['id']}.pressure", f"{item['id']} is charged in no vessel; leave it out."
        )
    settled = values["settled"]
    ends = [values[name]["value"] for name in ("settled_low", "settled_high") if name in values]
    spread = max((abs(end - settled["value"]) for end in ends), default=0.0)
    return Drift(
        item["id"], "pressure", "settled pressure, gauge", "bar", 1, settled["value"],
        ((settled["tolerance"] or 0.0) + spread) or None, value, written,
    )  # fmt: skip


def _at_20(
    what: str,
    value: Measured,
    expected: float,
    product: Mixture,
    temperature: float,
    read: Readings,
) -> float:
    """A reading as it would be at 20 C, in the unit of what is expected."""
    if what == "refractometer":
        if not read.compensated:
            instruments.require_near_20(temperature, product.fraction("ethanol"))
        return instruments.refractometer_at_20(float(value), temperature, read.compensated)
    if what == "density":  # what the float is off by at the sample's temperature
        seen = instruments.seen_density(float(value), temperature)
        return expected + seen - product.density_kg_m3(temperature)
    if what == "acidity" and value.unit == "g/l":
        return 100 * float(value) / product.density_kg_m3(20.0)
    return float(value)


# what it then is


def corrected(file: str, product: Mixture, found: list[Drift]) -> Mixture | None:
    """The item as it was measured; None where nothing that drifted tells what it is made of."""
    off = {one.what: one for one in found if one.beyond}
    aims: list[tuple[str, Drift]] = []
    if "abv" in off:
        aims.append(("ethanol", off["abv"]))
    if "acidity" in off:
        aims.append(("acid", off["acidity"]))
    if "refractometer" in off:
        aims.append(("sugar", off["refractometer"]))
        if "density" in off and "abv" not in off and product.ethanol_kg:
            aims.append(("ethanol", off["density"]))
    elif "density" in off:
        aims.append(("sugar", off["density"]))
    if not aims:
        return None
    try:
        return _solved(product, aims)
    except BadInput as error:
        last = aims[-1][1]
        names = " and ".join(component for component, _ in aims)
        raise Wrong(
            file, f"{last.item}.{last.what}",
            f"no more or less {names} makes {last.item} read {last.written}; read it again.",
        ) from error  # fmt: skip


def _solved(product: Mixture, aims: list[tuple[str, Drift]]) -> Mixture:
    """The mixture that reads as measured: Newton's steps, each no longer than what there is."""
    kg = [0.0] * len(aims)

    def at(moved: list[float]) -> Mixture:
        now = product
        for (component, _), one in zip(aims, moved, strict=True):
            now = exchanged(now, component, one)
        return now

    def gaps(moved: list[float]) -> list[float]:
        now = at(moved)
        return [_SHOWS[drift.what](now) - drift.measured for _, drift in aims]

    step = _STEP * product.mass_kg
    for _ in range(_PASSES):
        here = gaps(kg)
        if all(
            abs(gap) <= _CLOSE * max(1.0, abs(drift.measured))
            for gap, (_, drift) in zip(here, aims, strict=True)
        ):
            return at(kg)
        slopes = []
        for place in range(len(aims)):
            aside = [one + step * (place == number) for number, one in enumerate(kg)]
            slopes.append([(b - a) / step for a, b in zip(here, gaps(aside), strict=True)])
        change = linear.solve(list(zip(*slopes, strict=True)), [-one for one in here])
        if change is None:
            break
        longest = max(abs(one) for one in change)
        most = _LONGEST * product.mass_kg
        kg = [one + more * min(1.0, most / longest if longest else 1.0)
              for one, more in zip(kg, change, strict=True)]  # fmt: skip
        for place, (component, _) in enumerate(aims):
            kg[place] = max(kg[place], -product.of(*_GROUPS[component]))
    raise BadInput("the readings cannot be met.")


_SHOWS: dict[str, Callable[[Mixture], float]] = {
    "refractometer": lambda m: m.refractometer_brix,
    "density": lambda m: m.density_kg_m3(20.0),
    "acidity": lambda m: 100 * m.acidity_as_citric,
    "abv": lambda m: 100 * m.abv,
}


_GROUPS = {"sugar": SUGARS, "acid": ACIDS, "ethanol": ("ethanol",)}
_ADDED = {"sugar": "sucrose", "acid": "citric", "ethanol": "ethanol"}


def exchanged(mixture: Mixture, component: str, kg: float) -> Mixture:
    """`kg` more of sugar, acid or ethanol and as much less water; the mass stays.

    Less is taken from all sugars, or acids, alike; more is sucrose, or citric acid.
    """
    masses = dict(mixture.masses_kg)
    if kg >= 0:
        masses[_ADDED[component]] = masses.get(_ADDED[component], 0.0) + kg
    else:
        held = mixture.of(*_GROUPS[component])
        left = max(0.0, 1.0 + kg / held) if held else 0.0
        for name in _GROUPS[component]:
            if name in masses:
                masses[name] *= left
    masses["water"] = max(0.0, masses.get("water", 0.0) - kg)
    return Mixture(masses, mixture.allergens, mixture.tags, mixture.keeps)
