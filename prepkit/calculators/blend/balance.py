"""The parts of a blend as they go in: temperatures, the free part, rounding, bottles, cost."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from prepkit import derived
from prepkit.calculators.blend.inputs import HIGHEST_C, LOWEST_C, Inputs, MeasuredAt
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.mixture import Mixture, something
from prepkit.pantry import Ingredient
from prepkit.science import heat
from prepkit.science.roots import bracketed
from prepkit.shared import targets
from prepkit.shared.targets import Target

_EXTREME = {
    "strength": ("strongest", "weakest"),
    "sugar": ("sweetest", "least sweet"),
    "acidity": ("sourest", "least sour"),
}
_TOO_DRY_KG_M3 = 1500.0


class Line(NamedTuple):
    """One part as it goes in: how much of what, and the temperature that it is measured at."""

    name: str
    mixture: Mixture
    liquid: bool
    at_c: float = 20.0
    by_volume: bool = False

    def volume_ml(self, temperature_c: float | None = None) -> float | None:
        """Volume at a temperature (its own, if None); None where there is none to be measured."""
        at_c = self.at_c if temperature_c is None else temperature_c
        return derived.volume_ml(self.mixture, at_c)


# parts at other temperatures than 20 C


def temperatures(said: Iterable[MeasuredAt], names: Sequence[str]) -> dict[str, float]:
    """The temperature that each part is measured at, 20 C where nothing is said."""
    found: dict[str, float] = {}
    for one in said:
        if one.name and one.name not in names:
            raise BadInput(
                f"{named('measured_at', one)}: there is no part {one.name}; the parts are "
                f"{', '.join(names)}.",
                "measured_at",
            )
        if one.name in found:
            raise BadInput(
                f"{named('measured_at')} is given twice for {one.name or 'all parts'}; "
                "give it once.",
                "measured_at",
            )
        found[one.name] = one.temperature_c
    rest = found.get("", 20.0)
    return {name: found.get(name, rest) for name in names}


def refuse_both(inputs: Inputs) -> None:
    """BadInput where a part says its own temperature and `measured_at` names it too."""
    for one in inputs.measured_at:
        for part in inputs.part:
            if one.name == part.name and part.temperature_c is not None:
                raise BadInput(
                    f"{named('measured_at', one)} and {named('part', part.words)} both give a "
                    f"temperature for {part.name}. Leave one out.",
                    "measured_at",
                )


def lines(inputs: Inputs, at: Mapping[str, float]) -> list[Line]:
    """The fixed parts. A volume is of the part as warm as it was measured, a mass is a mass."""
    found = []
    for part in inputs.part:
        mixture = part.mixture
        at_c = at[part.name] if part.temperature_c is None else part.temperature_c
        if part.temperature_c is not None and not LOWEST_C <= at_c <= HIGHEST_C:
            raise OutOfRange(
                f"temperature of {named('part', part.words)}", at_c, LOWEST_C, HIGHEST_C, "C",
                "no density outside",
            )  # fmt: skip
        by_volume = part.amount.unit == "ml"
        if by_volume and at_c != 20.0 and part.mass_kg:
            there = density(part.name, mixture, at_c)
            mixture = mixture.scaled(there / mixture.density_kg_m3(20.0))
        liquid = part.ingredient.form == "liquid"
        found.append(Line(part.name, mixture, liquid, at_c, by_volume))
    return found


def density(name: str, mixture: Mixture, at_c: float) -> float:
    """kg/m3 of a part at the temperature that it is measured at."""
    try:
        return mixture.density_kg_m3(at_c)
    except OutOfRange as error:
        raise BadInput(
            f"{named('measured_at')} {at_c:g} °C: the density of {name} is not known there, "
            f"{error.wording.rstrip('.')}; weigh it instead.",
            "measured_at",
        ) from error


def mixed_c(parts: Sequence[Line]) -> float | None:
    """Temperature of the liquids just put together, with their heat of mixing, nothing lost.

    None where a dry part has to dissolve first, and where a specific heat is not known.
    """
    parts = [part for part in parts if part.mixture.mass_kg > 0]
    if not all(part.liquid for part in parts):
        return None
    masses, own = [part.mixture.mass_kg for part in parts], [part.at_c for part in parts]
    pairs = [(part.mixture.of("ethanol"), part.mixture.of("water")) for part in parts]
    mixed = math.fsum(m * t for m, t in zip(masses, own, strict=True)) / math.fsum(masses)
    try:
        for _ in range(3):  # specific heats at the middle of each part's way
            heats = [part.mixture.specific_heat_j_kg_k(0.5 * (part.at_c + mixed)) for part in parts]
            released = heat.mixing_heat_j(pairs, mixed)
            mixed = heat.mixing_temperature_c(masses, heats, own, released_j=released)
    except BadInput:
        return None
    return mixed


# the free part


def target(inputs: Inputs) -> Target | None:
    """The one target that the free part is to meet; None where there is no free part."""
    asked = (
        ("abv", "strength", inputs.abv),
        ("sugar", "sugar", inputs.sugar),
        ("acidity", "acidity", inputs.acidity),
    )
    given = [(name, kind, value) for name, kind, value in asked if value is not None]
    if inputs.free is None:
        if given:
            raise BadInput(
                f"{named(given[0][0])} needs {named('free')}, the part that may vary, such as "
                f"{named('free', 'spirit 43 %')}.",
                "free",
            )
        return None
    if len(given) != 1:
        raise BadInput(
            f"{named('free')} {inputs.free.name} can meet one target, and {len(given)} were "
            f"given. Keep one of {named('abv')}, {named('sugar')} and {named('acidity')}.",
            "free",
        )
    name, kind, value = given[0]
    by_volume = value.unit in ("g/l", "% vol")
    level = float(value) if value.unit == "g/l" else 0.01 * float(value)
    words = f"{float(value):g} {value.unit}"
    return Target(kind, level, by_volume, name, words)


def free_kg(parts: Sequence[Line], free: Ingredient, wanted: Target) -> float:
    """kg of the free ingredient with which the parts meet the target."""
    base = Mixture.total(part.mixture for part in parts)
    unit = free.mixture.scaled(base.mass_kg)
    here, own = _level(wanted, base), _level(wanted, unit)
    if math.isclose(here, wanted.level, rel_tol=1e-12):
        return 0.0
    if not (here < wanted.level < own or own < wanted.level < here):
        raise _out_of_reach(parts, free, wanted, base)

    def whole(share: float) -> Mixture:
        return base.scaled(1.0 - share) + unit.scaled(share)

    def gap(share: float) -> float:
        return min(_level(wanted, whole(share)), 3.0 * wanted.level) - wanted.level

    share = something(bracketed(gap, 0.0, 1.0, 1e-16), 1.0)
    if not _meets(wanted, whole(share)):
        raise BadInput(
            f"{named(wanted.field)} {wanted.words} would be thicker than any syrup whose density "
            "is published; ask for less.",
            wanted.field,
        )
    return base.mass_kg * share / (1.0 - share)


def _level(wanted: Target, mixture: Mixture) -> float:
    """The level of a mixture, so that it can be searched from end to end.

    A dry acid counts as it does once it is dissolved. What is too dry for a published volume
    counts as 1500 kg/m3, only to tell the search on which side of the target it lies.
    """
    if wanted.kind == "acidity" and not mixture.of("water"):
        wet = mixture + targets.WATER.scaled(mixture.mass_kg)
        by_weight = 2.0 * replace(wanted, by_volume=False).found(wet)
        return _TOO_DRY_KG_M3 * by_weight if wanted.by_volume else by_weight
    try:
        return wanted.found(mixture)
    except OutOfRange:
        return _TOO_DRY_KG_M3 * replace(wanted, by_volume=False).found(mixture)


def _meets(wanted: Target, mixture: Mixture) -> bool:
    try:
        return math.isclose(wanted.found(mixture), wanted.level, rel_tol=1e-8)
    except OutOfRange:
        return False


def _out_of_reach(
    parts: Sequence[Line], free: Ingredient, wanted: Target, base: Mixture
) -> BadInput:
    """Why the target does not lie between the fixed parts and the free one."""
    up = wanted.level > _level(wanted, base)
    choices = [(part.name, part.mixture) for part in parts if part.mixture.mass_kg]
    choices.append((free.name, free.mixture))
    name, most = (max if up else min)(choices, key=lambda one: _level(wanted, one[1]))
    asked = f"{named(wanted.field)} {wanted.words}"
    level = _level(wanted, most)
    if wanted.level >= level if up else wanted.level <= level:
        extreme = _EXTREME[wanted.kind][0 if up else 1]
        return BadInput(
            f"{asked} is {'above' if up else 'below'} the {extreme} part, {name} with "
            f"{_said(wanted, most)}; blending cannot reach it.",
            wanted.field,
        )
    return BadInput(
        f"{asked}: the other parts have {_said(wanted, base)}, and {free.name} with "
        f"{_said(wanted, free.mixture)} takes them no nearer; name {name} with {named('free')}.",
        wanted.field,
    )


def _said(wanted: Target, mixture: Mixture) -> str:
    """The level of a mixture in words."""
    try:
        _ = mixture.volume_20_m3 if wanted.by_volume else 0.0
    except OutOfRange:
        return "no water of its own"
    return targets.shown(wanted, _level(wanted, mixture))


# rounding


class Taken(NamedTuple):
    """A part as it can be measured: one of g and ml (both None: as it is), and what that is."""

    line: Line
    grams: float | None = None
    ml: float | None = None


def rounded(parts: Sequence[Line], steps: Mapping[str, float]) -> list[Taken]:
    """Each part to the nearest step: liquids by volume where a step in ml is given."""
    found = []
    for part in parts:
        volume = part.volume_ml() if part.liquid else None
        unit = "ml" if volume and "ml" in steps else "g"
        exact = volume if unit == "ml" else 1000 * part.mixture.mass_kg
        if unit not in steps or not exact:
            found.append(Taken(part))
            continue
        took = steps[unit] * math.floor(exact / steps[unit] + 0.5)
        if not took:
            raise BadInput(
                f"{named('round_to')} {steps[unit]:g} {unit} leaves nothing of {part.name} "
                f"({exact:.3g} {unit}); take a finer step or a larger batch.",
                "round_to",
            )
        line = part._replace(mixture=part.mixture.scaled(took / exact))
        found.append(Taken(line, ml=took) if unit == "ml" else Taken(line, grams=took))
    return found


# bottles


class Bottled(NamedTuple):
    """A batch in bottles: how many are begun, what the last holds, what stays behind, in ml."""

    begun: int
    full: int
    last_ml: float
    left_ml: float
    poured_ml: float


def bottled(volume_ml: float, bottle_ml: float, hold_up_ml: float) -> Bottled:
    """A volume into bottles, each of which keeps the hold-up (or the little that is in it).

    >>> bottled(1500.0, 700.0, 10.0)
    Bottled(begun=3, full=2, last_ml=100.0, left_ml=30.0, poured_ml=1470.0)
    """
    if hold_up_ml >= bottle_ml:
        raise BadInput(
            f"{named('hold_up')} {hold_up_ml:g} ml is all of a {bottle_ml:g} ml bottle. Enter "
            "what stays behind in one.",
            "hold_up",
        )
    begun = max(1, math.ceil(volume_ml / bottle_ml * (1 - 1e-12)))
    last = min(volume_ml - (begun - 1) * bottle_ml, bottle_ml)
    full = begun if math.isclose(last, bottle_ml, rel_tol=1e-9) else begun - 1
    left = (begun - 1) * hold_up_ml + min(hold_up_ml, last)
    return Bottled(begun, full, last, left, volume_ml - left)
