"""Layers of a drink: what each weighs at its own temperature, and which lies on which."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, named
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry, Part, together
from prepkit.science import cream, foam, solution, water
from prepkit.science.roots import bracketed
from prepkit.units import parse_quantity

STAYS, CLOSE, TURNS = "stays", "too close to call", "turns over"
SPIRIT_MEASURED_TO_C, HOTTEST_C = 40.0, 80.0
HOT_SPIRIT_ERROR_KG_M3 = 40.0  # per unit of ethanol by mass, above 40 C: judged, not measured
COLD_CREAM_LOW_C, COLD_CREAM_HIGH_C = 4.0, 15.0  # where the second cold relation is shown
WHIPPING_FAT = 0.30
CREAM_FAT = 0.10  # the leanest that is sold as cream; below it overrun says nothing (practice)
_WHIPPED = re.compile(
    r"\s+(?:whipped(?:\s+to)?|overrun|with overrun)\s+(-?[0-9.,]+)\s*%(?=\s|$)", re.IGNORECASE
)


class Layer(str):
    """Words of one layer: an amount of an ingredient, its temperature, its overrun."""

    part: Part
    temperature_c: float
    overrun: float

    @classmethod
    def read(cls, words: str, pantry: Pantry, default_c: float) -> Layer:
        """Read "30 ml cream 36 % at 5 C whipped 20 %"; BadInput otherwise."""
        self = cls(words)
        rest = f" {words.strip()}"
        whipped = _WHIPPED.search(rest)
        self.overrun = 0.0
        if whipped:
            percent = float(parse_quantity(f"{whipped[1]} %", ("%",), named("layer")))
            if not 0 <= percent <= 1000:
                raise BadInput(
                    f"{named('layer', f'{words}')}: an overrun of {percent:g} % cannot be; it is "
                    "100 x (foam "
                    f"volume less liquid volume) over liquid volume, 0 to 1000.",
                    "layer",
                )
            self.overrun = percent / 100
            rest = rest.replace(whipped[0], " ", 1)
        self.part = together(pantry.parts(" ".join(rest.split()), named("layer")))
        said = {one.temperature_c for one in self.part.each}
        if len(said) > 1:
            raise BadInput(
                f"{named('layer', f'{words}')} has several temperatures; a layer is mixed and has "
                "one, so "
                f"write it after each of its parts alike.",
                "layer",
            )
        own_c = said.pop()
        self.temperature_c = default_c if own_c is None else own_c
        if not 0 <= self.temperature_c <= HOTTEST_C:
            raise OutOfRange(
                f"temperature of {named('layer', f'{words}')}",
                self.temperature_c, 0.0, HOTTEST_C, "C",
                "published densities",
            )  # fmt: skip
        if self.part.mixture.mass_kg <= 0:
            raise BadInput(
                f'{named("layer", f"{words}")} has no amount; write for example "30 ml ...".'
            )
        return self

    @property
    def mixture(self) -> Mixture:
        """What it is made of."""
        return self.part.mixture

    @property
    def name(self) -> str:
        """The ingredient's name."""
        return self.part.name

    def density(self, temperature_c: float | None = None) -> tuple[float, float]:
        """Density with its gas, and its error, kg/m3, at its own or another temperature."""
        t = self.temperature_c if temperature_c is None else temperature_c
        rho, error = liquid_density(self.mixture, t)
        share = foam.liquid_fraction(self.overrun)
        return rho * share, error * share


class Pair(NamedTuple):
    """Two neighbours, the lower first: how they lie now and once they are equally warm."""

    lower: Layer
    upper: Layer
    margin: float  # lower less upper, kg/m3
    error: float
    later_margin: float
    later_error: float
    common_c: float
    turns_at_c: float | None  # the upper one's temperature, the lower staying as it is

    @property
    def now(self) -> str:
        """stays, too close to call, or turns over."""
        return word(self.margin, self.error)

    @property
    def later(self) -> str:
        """The same at their common temperature."""
        return word(self.later_margin, self.later_error)


def word(margin: float, error: float) -> str:
    """What a difference of density says against the errors of the two."""
    if margin > error:
        return STAYS
    return CLOSE if margin >= -error else TURNS


def liquid_density(mixture: Mixture, temperature_c: float) -> tuple[float, float]:
    """Density without gas and its stated error, kg/m3.

    Spirit above 40 C has no published table here: it is taken from 40 C on as expanding like
    water, which is too dense, and the error grows with the spirit. Cold plain cream is no surer
    than its two published relations agree.
    """
    try:
        error = solution.density_error_kg_m3(mixture.solution_fractions)
    except OutOfRange:
        error = 10.0
    milk_fat = mixture.fraction("milk_fat")
    rho_cold = _cold_cream_kg_m3(mixture, temperature_c)
    if milk_fat or "dairy" in mixture.tags:
        error += cream.density_error_kg_m3(min(milk_fat, cream.HIGH_FAT))
    error += 10.0 * mixture.fraction("fat", "fibre")
    hot = temperature_c > SPIRIT_MEASURED_TO_C and mixture.ethanol_kg > 0
    if not hot:
        rho = mixture.density_kg_m3(temperature_c)
        if rho_cold is not None:  # two published relations: no surer than they agree
            error = max(error, abs(rho - rho_cold))
        return rho, error
    at_40 = mixture.density_kg_m3(SPIRIT_MEASURED_TO_C)
    ratio = water.density_kg_m3(temperature_c) / water.density_kg_m3(SPIRIT_MEASURED_TO_C)
    return at_40 * ratio, error + HOT_SPIRIT_ERROR_KG_M3 * mixture.fraction("ethanol")


def _plain_dairy(mixture: Mixture) -> tuple[float, float] | None:
    """Fat and other solids of plain milk or cream, as its published relations take it, or None."""
    fat = mixture.fraction("milk_fat")
    solids = mixture.dissolved_solids * mixture.solution_kg / mixture.mass_kg
    solids += mixture.fraction("protein")
    plain = mixture.sugar < 0.05 and mixture.abv < 0.001 and 0 < fat <= cream.HIGH_FAT
    return (fat, solids) if plain and cream.LOW_SOLIDS <= solids <= cream.HIGH_SOLIDS else None


def _cold_cream_kg_m3(mixture: Mixture, temperature_c: float) -> float | None:
    """Density of plain cold cream by the second relation; None where it does not apply."""
    plain = _plain_dairy(mixture)
    cold = COLD_CREAM_LOW_C <= temperature_c <= COLD_CREAM_HIGH_C
    if plain is None or not cold or not cream.COLD_LOW_FAT <= plain[0] <= cream.COLD_HIGH_FAT:
        return None
    return cream.cold_density_kg_m3(plain[0])


def is_cream(mixture: Mixture) -> bool:
    """Whether it is a cream: what whipping and its overrun are about."""
    return mixture.fraction("milk_fat") >= CREAM_FAT


def common_temperature_c(one: Layer, two: Layer) -> float:
    """Temperature that two layers reach together, by their heat contents."""
    heats = [
        layer.mixture.mass_kg * layer.mixture.specific_heat_j_kg_k(20.0) for layer in (one, two)
    ]
    warm = heats[0] * one.temperature_c + heats[1] * two.temperature_c
    return warm / (heats[0] + heats[1])


def pair(lower: Layer, upper: Layer) -> Pair:
    """Two neighbours weighed against each other."""
    (heavy, e_low), (light, e_up) = lower.density(), upper.density()
    common = common_temperature_c(lower, upper)
    (later_low, l_low), (later_up, l_up) = lower.density(common), upper.density(common)
    return Pair(
        lower, upper, heavy - light, e_low + e_up, later_low - later_up, l_low + l_up, common,
        _turning_c(upper, heavy, lower.temperature_c),
    )  # fmt: skip


def _turning_c(upper: Layer, lower_kg_m3: float, lower_c: float) -> float | None:
    """Temperature of the upper layer, on its way to the lower one's, where both weigh the same."""

    def margin(t: float) -> float:
        return lower_kg_m3 - upper.density(t)[0]

    low, high = sorted((upper.temperature_c, lower_c))
    if high - low < 0.1 or (margin(low) > 0) == (margin(high) > 0):
        return None
    return bracketed(margin, low, high, 1e-3)


def pairs(stack: tuple[Layer, ...]) -> list[Pair]:
    """Every two neighbours of a stack, given from the bottom up."""
    return [pair(lower, upper) for lower, upper in pairwise(stack)]


def by_density(stack: tuple[Layer, ...]) -> list[Layer]:
    """The stack in the order of its densities, the lightest first."""
    return sorted(stack, key=lambda layer: layer.density()[0])


class Floating(NamedTuple):
    """One relation's word on the least overrun of the top layer, as fractions."""

    relation: str
    density_kg_m3: float
    least_overrun: float
    source: str


def floating(lower: Layer, upper: Layer) -> list[Floating]:
    """Least overrun of a cream on the layer below it, by every relation that speaks of it.

    Nothing for what is no cream: it is not whipped.
    """
    if not is_cream(upper.mixture):
        return []
    drink, _ = lower.density()
    unwhipped, _ = liquid_density(upper.mixture, upper.temperature_c)
    found = [("as made of its parts", unwhipped, "GUELPH-MILK-DENSITY")]
    plain = _plain_dairy(upper.mixture)
    t = upper.temperature_c
    if plain is not None and cream.TABLE_LOW_C <= t <= cream.TABLE_HIGH_C:
        found.append((f"dairy table, {t:g} C", cream.density_kg_m3(*plain, t), found[0][2]))
    cold = _cold_cream_kg_m3(upper.mixture, t)
    if cold is not None:
        found.append(("cold creams, about 10 C", cold, "CREAM-LOW-T"))
    return [
        Floating(name, rho, foam.minimum_overrun_to_float(rho, drink), source)
        for name, rho, source in found
    ]


def sugar_to_carry_kg(lower: Layer, upper: Layer) -> float | None:
    """White sugar that the lower layer needs so that the upper one lies on it for certain, kg.

    0 where it does already; None where no sugar that dissolves is enough.
    """
    light, e_up = upper.density()

    def short(sugar_kg: float) -> float:
        sweet = lower.mixture + Mixture({"sucrose": sugar_kg})
        rho, error = liquid_density(sweet, lower.temperature_c)
        return rho * foam.liquid_fraction(lower.overrun) - light - error - e_up

    if short(0.0) >= 0:
        return 0.0
    most = 1.5 * lower.mixture.of("water")
    try:
        if short(most) < 0:
            return None
        return bracketed(short, 0.0, most, 1e-7)
    except OutOfRange:
        return None
