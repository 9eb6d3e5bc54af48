"""A liquid made more or less acid, or stretched: how much to add, found by composing it again."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from prepkit.calculators.acid_adjust.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture, something
from prepkit.pantry import Ingredient, Pantry
from prepkit.science import acids
from prepkit.science.roots import bracketed
from prepkit.shared import acidity
from prepkit.shared.acidity import PH_AIM_HIGH, Shelf, acidity_as_citric, known_ph, require_ph
from prepkit.units import Measured

_MOST_WATER = 50.0  # kg per kg of liquid
_MOST_BASE = 0.05


class Change(NamedTuple):
    """What is added to the liquid, in kg, and the result."""

    after: Mixture
    acids: tuple[tuple[str, float], ...] = ()
    sugar: float = 0.0
    water: float = 0.0
    base: float = 0.0
    co2: float = 0.0

    def weighable(self) -> Change:
        """The same without what is less than 1e-6 of the whole: that is rounding."""
        whole = self.after.mass_kg
        return self._replace(
            acids=tuple((name, kg) for name, kg in self.acids if something(kg, whole)),
            sugar=something(self.sugar, whole),
            water=something(self.water, whole),
            base=something(self.base, whole),
        )


def as_measured(liquid: Mixture, measured: Measured) -> Mixture:
    """The liquid with its acids scaled (citric where it has none) to the titration."""
    own = {a: liquid.of(a) for a in acids.FOOD_ACIDS if liquid.of(a) > 0.0} or {"citric": 1e-3}
    rest = liquid.without({a: liquid.of(a) for a in own})
    start = math.fsum(own.values())

    def at(times: float) -> Mixture:
        added = Mixture({a: times * kg for a, kg in own.items()})
        water = min((times - 1.0) * start, rest.of("water")) if liquid.of(*own) else times * start
        return rest.without({"water": max(water, 0.0)}) + added

    most = 0.3 * liquid.mass_kg / start
    wanted, unit = float(measured), measured.unit
    if not acidity_as_citric(at(1e-9), unit) < wanted < acidity_as_citric(at(most), unit):
        raise BadInput(
            f"{named('measured')} {wanted:g} {unit} cannot be the acidity of this liquid; check "
            "the unit "
            f"and that it is written as citric acid.",
            "measured",
        )
    return at(bracketed(lambda k: acidity_as_citric(at(k), unit) - wanted, 1e-9, most, 1e-12))


# to an aim


def adjusted(liquid: Mixture, inputs: Inputs) -> Change:
    present, wanted, of = _aim(liquid, inputs)
    more_acid = wanted > present if inputs.target_ph is None else wanted < present
    if abs(wanted - present) < 1e-9:
        return Change(liquid)
    if not more_acid:
        return _lowered(liquid, present, wanted, of, inputs)
    adding = _adding(liquid, inputs)
    high = liquid.mass_kg
    if (of(adding(high).after) - wanted) * (present - wanted) > 0.0:
        raise BadInput(
            f"These acids cannot bring this liquid to {wanted:g}. One part of acid to one of "
            f"liquid makes {of(adding(high).after):.2f}; ask for less.",
            "target",
        )
    kg = bracketed(lambda kg: of(adding(kg).after) - wanted, 0.0, high, 1e-12)
    if inputs.target_ph is not None:
        require_ph(wanted, adding(kg).after, adding(max(kg - 1e-6 * high, 0.0)).after)
    return adding(kg)


def _aim(liquid: Mixture, inputs: Inputs) -> tuple[float, float, Callable[[Mixture], float]]:
    """The present value, the wanted one, and how it is read off a mixture."""
    if inputs.target_ph is not None:
        if inputs.target_ph > PH_AIM_HIGH:
            raise BadInput(
                f"{named('target_ph')} {inputs.target_ph:g}: above pH {PH_AIM_HIGH:g} the minerals "
                "and "
                f"proteins of a liquid decide and cannot be known well enough here; add a little "
                f"at a time and follow a calibrated meter.",
                "target_ph",
            )

        def of(mixture: Mixture) -> float:
            return known_ph(mixture)
    else:
        unit = "% w/w" if inputs.target is None else inputs.target.unit

        def of(mixture: Mixture) -> float:
            return acidity_as_citric(mixture, unit)

    if inputs.target_ph is not None:
        wanted = float(inputs.target_ph)
        liquid.ph  # noqa: B018 - refuses a liquid that the model does not hold for
    elif inputs.target is not None:
        wanted = float(inputs.target)
    elif inputs.like is not None:
        wanted = acidity_as_citric(inputs.like.mixture, "% w/w")
        if wanted < 0.01:
            raise BadInput(f"{named('like')} {inputs.like.name} has no acids to copy.", "like")
    else:  # no aim: as it is
        wanted = of(liquid)
    return of(liquid), wanted, of


def _adding(liquid: Mixture, inputs: Inputs) -> Callable[[float], Change]:
    """A function from kg of pure acid to the liquid with it."""
    shelf: tuple[Shelf, ...] = inputs.acid
    if inputs.like is not None:
        return _adding_like(liquid, inputs.like, shelf)
    if not shelf:
        raise BadInput(
            f"acid-adjust needs {named('acid')} to raise the acidity: for example "
            f"{named('acid', '2 parts citric acid')} {named('acid', '1 part malic acid')}.",
            "acid",
        )
    shares = acidity.by_mass(shelf, "mass")

    def adding(kg: float) -> Change:
        added = [
            (one.ingredient, kg * share / one.purity)
            for one, share in zip(shelf, shares, strict=True)
        ]
        return _with(liquid, added)

    return adding


def _with(liquid: Mixture, added: list[tuple[Ingredient, float]]) -> Change:
    after = Mixture.total([liquid, *(one.mixture.scaled(kg) for one, kg in added)])
    return Change(after, tuple((one.name, kg) for one, kg in added))


def _adding_like(
    liquid: Mixture, like: Ingredient, shelf: tuple[Shelf, ...]
) -> Callable[[float], Change]:
    """Acids filled up towards the make-up of another juice; those above it are left as they are."""
    grades = {one.acid: (one.ingredient, one.purity) for one in shelf}
    pantry = Pantry()
    wanted = {
        a: like.mixture.fraction(a)
        for a in ("citric", "malic", "tartaric", "lactic", "acetic", "succinic")
        if like.mixture.fraction(a) > 0.02 * like.mixture.fraction(*acids.FOOD_ACIDS)
    }
    for a in wanted:
        if a not in grades:
            grade = " 80 %" if a in ("lactic", "acetic") else ""
            found = pantry.ingredient(f"{a} acid{grade}", named("like"))
            grades[a] = (found, found.mixture.fraction(a))

    def adding(scale: float) -> Change:
        mass = liquid.mass_kg
        added: list[tuple[Ingredient, float]] = []
        for _ in range(60):  # the mass after adding depends on what is added
            added = [
                (grades[a][0], max(scale * w * mass - liquid.of(a), 0.0) / grades[a][1])
                for a, w in wanted.items()
            ]
            fresh = liquid.mass_kg + math.fsum(kg for _, kg in added)
            if abs(fresh - mass) < 1e-12 * mass:
                break
            mass = fresh
        return _with(liquid, [(one, kg) for one, kg in added if kg > 0.0])

    # scale 1 copies the juice; the search goes on until the titration is that of the juice
    return lambda kg: adding(3.0 * kg / liquid.mass_kg)


def _lowered(
    liquid: Mixture,
    present: float,
    wanted: float,
    of: Callable[[Mixture], float],
    inputs: Inputs,
) -> Change:
    """Down to the aim with water or a bicarbonate, or a refusal that offers both."""

    def watered(kg: float) -> Change:
        return Change(liquid + Mixture({"water": kg}), water=kg)

    def neutralised(kg: float) -> Change:
        left, freed = acidity.bicarbonate(inputs.lower, kg)
        return Change(liquid + Mixture(left), base=kg, co2=freed)

    high = _MOST_WATER * liquid.mass_kg
    reachable = (of(watered(high).after) - wanted) * (present - wanted) < 0.0
    if inputs.lower == "refuse" or (inputs.lower == "water" and not reachable):
        offer = "no amount of water reaches it"
        if reachable:
            kg = bracketed(lambda w: of(watered(w).after) - wanted, 0.0, high, 1e-9)
            offer = f"{named('lower', 'water')} adds {1000.0 * kg:.0f} g"
        what = "pH" if inputs.target_ph is not None else "% w/w or g/l"
        raise BadInput(
            f"The target of {wanted:g} ({what}) is less acid than the present {present:.2f}. "
            f"With water: {offer}. {named('lower', 'potassium bicarbonate')} takes acid away, "
            "with a taste of salt.",
            "target",
        )
    if inputs.lower == "water":
        found = watered(bracketed(lambda w: of(watered(w).after) - wanted, 0.0, high, 1e-12))
        return _known(inputs, wanted, found)
    most = _MOST_BASE * liquid.mass_kg
    if (of(neutralised(most).after) - wanted) * (present - wanted) > 0.0:
        raise BadInput(
            f"The target of {wanted:g} takes more than 5 % of {inputs.lower}. Dilute instead.",
            "lower",
        )
    found = neutralised(bracketed(lambda b: of(neutralised(b).after) - wanted, 0.0, most, 1e-13))
    return _known(inputs, wanted, found)


def _known(inputs: Inputs, wanted: float, change: Change) -> Change:
    if inputs.target_ph is not None:
        require_ph(wanted, change.after)
    return change


# stretching


def stretched(liquid: Mixture, inputs: Inputs, to: Measured) -> Change:
    """To a yield with sugar, water and acid, at the sugar and acidity of before (or the aim)."""
    _, wanted, of = _aim(liquid, inputs)
    by_volume, size = to.unit == "ml", float(to)
    sugar_share = liquid.sugar
    density = liquid.density_kg_m3(20.0)
    change = Change(liquid)
    for _ in range(40):  # the mass of a volume depends on what is in it
        mass = 1e-6 * size * density if by_volume else 1e-3 * size
        change = _stretched_to(liquid, mass, sugar_share, wanted, of, inputs)
        fresh = change.after.density_kg_m3(20.0)
        if not by_volume or abs(fresh - density) < 1e-9 * density:
            break
        density = fresh
    return change


def _stretched_to(
    liquid: Mixture,
    mass: float,
    sugar_share: float,
    wanted: float,
    of: Callable[[Mixture], float],
    inputs: Inputs,
) -> Change:
    room = mass - liquid.mass_kg
    sugar = sugar_share * mass - liquid.mass_kg * sugar_share
    if room < 0.0:
        raise BadInput(
            f"{named('stretch_to')} is less than the {1000.0 * liquid.mass_kg:.0f} g of liquid "
            "that there "
            f"is; ask for more, or give less liquid.",
            "stretch_to",
        )
    sweet = liquid + Mixture({"sucrose": sugar})
    adding = _adding(sweet, inputs)

    def filled(kg: float) -> Change:
        with_acid = adding(kg)
        water = mass - with_acid.after.mass_kg
        after = with_acid.after + Mixture({"water": max(water, 0.0)})
        return Change(after, with_acid.acids, sugar, water)

    high = room - sugar
    if high <= 0.0 or (of(filled(high).after) - wanted) * (of(filled(0.0).after) - wanted) > 0.0:
        raise BadInput(
            "the acidity cannot be held at that yield with these acids; ask for another yield.",
            "stretch_to",
        )
    found = filled(bracketed(lambda kg: of(filled(kg).after) - wanted, 0.0, high, 1e-12))
    if found.water < 0.0:
        raise BadInput(
            "there is no room for the water that comes with these acids. Take a stronger grade or "
            "ask for more.",
            "stretch_to",
        )
    return _known(inputs, wanted, found)
