"""From what refractometer, hydrometer and alcoholometer show to what is in the sample.

A sample is sugar (as sucrose), one acid, ethanol and water. Acid is always given, from a recipe or
a titration: no reading tells it from sugar. All fractions are by mass, 0 to 1.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from math import hypot
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, named
from prepkit.science import ethanol, solution, sucrose
from prepkit.science.solvers import bracketed

LOW_C, HIGH_C = 5.0, 40.0  # where both kinds of correction are known
GAUGED_C = 20.0
PLAIN_ALCOHOL = 0.01  # ethanol by mass from which a sugar-only temperature correction misleads
ALCOHOL_SPREAD_K = 5.0  # and how far from 20 C it is still taken
TRAINED_SUGAR, TRAINED_ABV = 1.0, 2.0  # % w/w and % vol, two readings in practice
FLOAT_HIGH_KG_M3 = 1450.0  # no syrup is denser
READING_BX, READING_KG_M3 = 0.2, 1.0
USUAL_ENDS_BX = (32.0, 62.0, 82.0, 90.0)  # where the scales of hand refractometers end
_AGREE_BX, KG_M3_PER_BX = 1.0, 4.0  # what trained people reach; the slope of the sugar scale
_MOST_PASSES = 60

Fractions = Mapping[str, float]


class SampleAcid(NamedTuple):
    """The acid of the sample as it was given: kg per kg, or kg per m3 at 20 C."""

    kind: str = "citric"
    level: float = 0.0
    by_volume: bool = False

    def fraction(self, density_kg_m3: float) -> float:
        """Mass fraction in a liquid of that density."""
        return self.level / density_kg_m3 if self.by_volume else self.level


class Graduations(NamedTuple):
    """The marks that an instrument has; None where it was not entered."""

    option: str
    unit: str
    highest: float | None = None
    lowest: float | None = None

    def check(self, reading: float) -> None:
        """Raise BadInput for a reading at an end of the scale: it may be anything beyond."""
        if self.highest is not None and reading >= self.highest - 1e-9:
            raise BadInput(
                f"{self.option} is {reading:g} {self.unit} and the scale ends at {self.highest:g}: "
                f"that is over range and no reading; take an instrument that goes higher, or thin "
                f"a weighed sample with water and give {named('thinned')}.",
                self.option,
            )
        if self.lowest is not None and self.lowest > 0.0 and reading <= self.lowest + 1e-9:
            raise BadInput(
                f"{self.option} is {reading:g} {self.unit} and the scale begins at "
                f"{self.lowest:g}: that is under range and no reading; take an instrument that "
                f"begins lower.",
                self.option,
            )


def usual_end(reading_bx: float) -> float | None:
    """The end of a common hand scale that a reading sits on, if it does."""
    return next((end for end in USUAL_ENDS_BX if abs(reading_bx - end) < 0.05), None)


def refractometer_at_20(reading_bx: float, temperature_c: float, compensated: bool) -> float:
    """Reading as it would be at 20 C; an instrument that compensates has done it itself."""
    if compensated or temperature_c == GAUGED_C:
        return reading_bx
    if reading_bx > sucrose.READING_HIGH_BX:
        raise BadInput(
            f"{named('refractometer')} is {reading_bx:g} Bx at {temperature_c:g} °C, and above "
            f"{sucrose.READING_HIGH_BX:g} Bx no correction for temperature is known; read it at "
            f"20 °C.",
            "refractometer",
        )
    return sucrose.brix_at_20_c(reading_bx, temperature_c)


def seen_density(at_mark_kg_m3: float, temperature_c: float) -> float:
    """Density of the liquid at its temperature, from the mark of a glass float made for 20 C."""
    return at_mark_kg_m3 * (1.0 - ethanol.GLASS_PER_K * (temperature_c - GAUGED_C))


def composition(sugar: float, abv: float, acid: SampleAcid) -> dict[str, float]:
    """Mass fractions of a liquid of known sugar, strength and acid (water implied)."""
    density, mix = 1000.0, {}
    for _ in range(_MOST_PASSES):
        mix = {
            "sucrose": sugar,
            "ethanol": abv * ethanol.PURE_KG_M3 / density,
            acid.kind: acid.fraction(density),
        }
        fresh = solution.density_kg_m3(mix)
        if abs(fresh - density) < 1e-10 * density:
            break
        density = fresh
    return mix


def abv_of(mix: Fractions) -> float:
    """Strength by volume at 20 C, fraction."""
    return mix.get("ethanol", 0.0) * solution.density_kg_m3(mix) / ethanol.PURE_KG_M3


def thinned(mix: Fractions, water: float) -> dict[str, float]:
    """The mass fractions after adding `water` kg to 1 kg."""
    return {name: value / (1.0 + water) for name, value in mix.items()}


def refractometer_of(mix: Fractions) -> float:
    """Expected refractometer reading at 20 C, Bx."""
    return solution.refractometer_brix(mix)


def from_one(
    shows: Callable[[Fractions], float],
    reading: float,
    words: tuple[str, str, str],
    abv: float,
    acid: SampleAcid,
    water: float = 0.0,
) -> dict[str, float]:
    """The mix with which one instrument, reading a sample thinned with `water`, shows `reading`.

    words: what was read, its unit, and the input that it came from. Strength and acid are known.
    Raises BadInput where no sugar gives the reading.
    """
    said, unit, field = words

    def shown(sugar: float) -> float:
        return shows(thinned(composition(sugar, abv, acid), water))

    most = _most_sugar(abv, acid)
    least, highest = shown(0.0), shown(most)
    if reading < least - 0.05 * (highest - least) / 80.0:
        raise BadInput(
            f"{said} is {reading:.6g} {unit}, and without any sugar the acid and alcohol given "
            f"would already make it {least:.6g}; check the acid, the strength and the reading.",
            field,
        )
    if reading > highest:
        raise BadInput(
            f"{said} is {reading:.6g} {unit}, and the richest syrup that can be computed shows "
            f"{highest:.6g}; thin a weighed sample with water and give {named('thinned')}.",
            field,
        )
    if reading <= least:
        return composition(0.0, abv, acid)
    return composition(bracketed(lambda s: shown(s) - reading, 0.0, most, 1e-11), abv, acid)


def _most_sugar(abv: float, acid: SampleAcid) -> float:
    """The most sugar for which the mixture model holds: 85 % of solids and water."""
    low, high = 0.0, solution.SOLIDS_HIGH
    for _ in range(50):
        middle = 0.5 * (low + high)
        try:
            composition(middle, abv, acid)
        except BadInput:
            high = middle
        else:
            low = middle
    return low


def from_two(
    reading_bx: float,
    density_kg_m3: float,
    temperature_c: float,
    acid: SampleAcid,
    water: float = 0.0,
) -> dict[str, float]:
    """The mix that a refractometer (at 20 C) and a float (density at a temperature) agree on.

    Both read a sample thinned with `water` kg per kg. Raises OutOfRange above 30 % ethanol by mass
    in the sample read, and BadInput where no mix gives both readings.
    """
    at_20 = _roughly_at_20(density_kg_m3, temperature_c)
    part, mix = acid.fraction(density_kg_m3), dict[str, float]()
    for _ in range(_MOST_PASSES):
        sugar, spirit = _sugar_and_spirit(reading_bx, at_20, part / (1.0 + water), acid.kind)
        sample = {"sucrose": sugar, "ethanol": spirit, acid.kind: part / (1.0 + water)}
        mix = {name: value * (1.0 + water) for name, value in sample.items()}
        whole = _density_before_thinning(mix)
        warmed = solution.density_kg_m3(sample) - solution.density_kg_m3(sample, temperature_c)
        fresh, fresh_part = density_kg_m3 + warmed, acid.fraction(whole)
        if abs(fresh - at_20) < 1e-9 and abs(fresh_part - part) < 1e-12:
            break
        at_20, part = fresh, fresh_part
    return mix


def _roughly_at_20(density_kg_m3: float, temperature_c: float) -> float:
    """Density at 20 C as of plain syrup, or of plain spirit where it is lighter: only a start."""
    try:
        sugar = sucrose.mass_fraction_from_density(density_kg_m3, temperature_c)
        return sucrose.density_kg_m3(sugar, GAUGED_C)
    except BadInput:
        return density_kg_m3


def _density_before_thinning(mix: Fractions) -> float:
    try:
        return solution.density_kg_m3(mix)
    except BadInput as error:
        raise BadInput(
            f"{named('thinned')} is more water than the sample can have had: with it, what was "
            "read would "
            "hold more than it weighs; check the weights.",
            "thinned",
        ) from error


def _sugar_and_spirit(
    reading_bx: float, density_kg_m3: float, acid: float, kind: str
) -> tuple[float, float]:
    try:
        return solution.sucrose_and_ethanol_from_readings(reading_bx, density_kg_m3, acid, kind)
    except BadInput as error:
        what, found = "", 0.0
        if isinstance(error, OutOfRange):
            what, found = error.argument.partition(" ")[0], error.value
        if what == "ethanol" and found > solution.READINGS_ETHANOL_HIGH:
            raise BadInput(
                f"the two readings give {100.0 * found:.0f} % ethanol by weight, and above "
                f"{100.0 * solution.READINGS_ETHANOL_HIGH:.0f} % they cannot be told apart. Have "
                f"it distilled, or work from the recipe.",
                "refractometer",
            ) from error
        if what in ("ethanol", "sugar"):
            alone = _one_of_them(reading_bx, density_kg_m3, SampleAcid(kind, acid))
            if alone is not None:
                return alone
        raise BadInput(
            f"no mix of sugar, alcohol and {100.0 * acid:.2g} % acid reads {reading_bx:.4g} Bx and "
            f"weighs {density_kg_m3:.1f} kg/m3. Take the gas out, zero the refractometer, read "
            f"both at one temperature, and check {named('acid')}.",
            "hydrometer",
        ) from error


def _one_of_them(
    reading_bx: float, density_kg_m3: float, acid: SampleAcid
) -> tuple[float, float] | None:
    """Sugar without alcohol, or alcohol without sugar, where both readings agree within 1 Bx."""
    try:
        words = (named("refractometer"), "Bx", "refractometer")
        sweet = from_one(refractometer_of, reading_bx, words, 0.0, acid)
    except BadInput:
        sweet = {acid.kind: acid.level}
    if abs(solution.density_kg_m3(sweet) - density_kg_m3) <= _AGREE_BX * KG_M3_PER_BX:
        return sweet.get("sucrose", 0.0), 0.0
    spirit = _plain_spirit(density_kg_m3, acid)
    if abs(refractometer_of({"ethanol": spirit, acid.kind: acid.level}) - reading_bx) <= _AGREE_BX:
        return 0.0, spirit
    return None


def _plain_spirit(density_kg_m3: float, acid: SampleAcid) -> float:
    """Ethanol by mass in a liquid of that density without sugar."""
    high = solution.READINGS_ETHANOL_HIGH

    def over(spirit: float) -> float:
        return solution.density_kg_m3({"ethanol": spirit, acid.kind: acid.level}) - density_kg_m3

    if over(0.0) <= 0.0:
        return 0.0
    return high if over(high) > 0.0 else bracketed(over, 0.0, high, 1e-11)


def error_of_two(
    reading_bx: float, density_kg_m3: float, temperature_c: float, acid: SampleAcid, mix: Fractions
) -> tuple[float, float]:
    """Stated error of sugar (% w/w) and strength (% vol): the trained method's, or the model's.

    The larger of what trained people reach and of what the model's own error makes of it.
    """
    base = mix["sucrose"], abv_of(mix)
    moved = (
        (reading_bx + solution.refractometer_error_bx(mix), density_kg_m3),
        (reading_bx, density_kg_m3 + solution.density_error_kg_m3(mix)),
    )
    sugar = strength = 0.0
    for reading, density in moved:
        try:
            other = from_two(reading, density, temperature_c, acid)
        except BadInput:  # moved past an edge: the other side then
            try:
                other = from_two(
                    2.0 * reading_bx - reading, 2.0 * density_kg_m3 - density, temperature_c, acid
                )
            except BadInput:
                continue
        sugar = hypot(sugar, 100.0 * (other["sucrose"] - base[0]))
        strength = hypot(strength, 100.0 * (abv_of(other) - base[1]))
    return max(sugar, TRAINED_SUGAR), max(strength, TRAINED_ABV)


def require_near_20(temperature_c: float, spirit: float) -> None:
    """Refuse a sugar-only temperature correction where there is alcohol and it is far from 20 C."""
    if spirit > PLAIN_ALCOHOL and abs(temperature_c - GAUGED_C) > ALCOHOL_SPREAD_K + 1e-9:
        raise OutOfRange(
            f"{named('temperature')} of a sample with alcohol",
            temperature_c,
            GAUGED_C - ALCOHOL_SPREAD_K,
            GAUGED_C + ALCOHOL_SPREAD_K,
            "C",
            "the refractometer's correction is that of sugar: bring the sample to 20 °C",
        )


def beyond_plain_spirit_bx(reading_bx: float, abv: float) -> float:
    """The reading less that of plain spirit of the same strength, Bx."""
    spirit = ethanol.mass_fraction_from_abv(abv)
    return reading_bx - solution.refractometer_brix({"ethanol": spirit})
