"""acid-adjust: a juice or drink to an acidity, or stretched."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, ingredient, number, parts, quantity
from prepkit.inputs import words as words_of
from prepkit.mixture import Mixture, something
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import acids
from prepkit.science.solvers import bracketed
from prepkit.shared import acidity
from prepkit.shared.acidity import (
    PH_AIM_HIGH,
    ShelfAcid,
    acidity_as_citric,
    known_ph,
    read_shelf,
    require_ph,
)
from prepkit.units import Measured

# ---- what acid-adjust is told ----


class Inputs(BaseInputs):
    """The batch as it is and as you want it."""

    groups = (
        ("Most needed", "part acid target like target_ph measured"),
        ("Stretch or lower", "stretch_to lower"),
    )
    takes = (("acid", "acid"),)

    part: tuple[Part, ...] = parts(
        "liquid",
        "The juice or drink to adjust. One entry for each part.",
        "1 kg orange juice",
    )
    acid: tuple[ShelfAcid, ...] = words_of(
        "acids to add",
        "An acid with its parts by mass. One entry for each.",
        "2 parts citric acid",
        default=(),
        many=True,
        several=True,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted",
        "As citric acid, titrated to pH 8.2: % w/w (a bare % too) or grams in a litre.",
        "6 % w/w",
        default=None,
        above=0,
    )
    like: Ingredient | None = ingredient(
        "juice to match",
        "Its titratable acidity and its acids are the target.",
        "lemon juice",
        default=None,
    )
    target_ph: float | None = number(
        "pH wanted",
        f"Reached by acid, or upwards as {named('lower')} says; to pH 5 at most.", "3.2",
        default=None, low=1.0, high=14.0, because="no liquid lies outside",
    )  # fmt: skip
    measured: Measured | None = quantity(
        ("% w/w", "g/l"),
        "measured acidity of the liquid",
        "Your own titration, as citric acid (a bare % is by weight). Replaces the published "
        "acidity.",
        "0.95 % w/w",
        default=None,
        above=0,
    )
    stretch_to: Measured | None = quantity(
        ("ml", "g"),
        "yield to stretch to",
        "Water, sugar and acid are added up to this, holding sugar and acidity.",
        "2 l",
        default=None,
        above=0,
        extensive=True,
    )
    lower: str = choice(
        ("refuse", "water", "potassium bicarbonate", "sodium bicarbonate"),
        "acidity lowered by",
        "To add where the target is below the present acidity.",
        default="refuse",
    )

    read_field = staticmethod(read_shelf)

    def words(self) -> dict[str, object]:
        """The inputs as words that read back as the same inputs."""
        said = super().words()
        return said if self.like is None else {**said, "like": self.like.name}


# ---- a liquid made more or less acid, or stretched ----

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
    shelf: tuple[ShelfAcid, ...] = inputs.acid
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
            (acid.ingredient, kg * share / acid.purity)
            for acid, share in zip(shelf, shares, strict=True)
        ]
        return _with(liquid, added)

    return adding


def _with(liquid: Mixture, added: list[tuple[Ingredient, float]]) -> Change:
    after = Mixture.total([liquid, *(one.mixture.scaled(kg) for one, kg in added)])
    return Change(after, tuple((one.name, kg) for one, kg in added))


def _adding_like(
    liquid: Mixture, like: Ingredient, shelf: tuple[ShelfAcid, ...]
) -> Callable[[float], Change]:
    """Acids filled up towards the make-up of another juice; those above it are left as they are."""
    grades = {acid.acid: (acid.ingredient, acid.purity) for acid in shelf}
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


# ---- acid-adjust ----

EXAMPLE = (
    'prepkit acid-adjust --part "1 kg orange juice" --acid "2 parts citric acid" '
    '--acid "1 part malic acid" --target "6 % w/w"'
)

AIMS = ("target", "like", "target_ph")
BENCH_C = 20.0  # where what dissolves is judged


class Result(BaseResult):
    """What to add, and the liquid after it."""

    screen = Screen(
        headline=("{acidity} titratable acidity as citric, in {volume}.", "{volume} after."),
        primary=(
            Figure("acidity, as citric", "acidity"),
            Figure("volume", "volume"),
            "mass",
            Figure("sugars", "sugar"),
            Figure("sugar to acid", "sugar_acid_ratio"),
            "volume_change",
        ),
        check=(Figure("pH", "ph"), Figure("refractometer", "refractometer")),
        do_this=("Water to add: {water_added}.", "Base to add: {base_added}."),
        weigh="add",
    )

    acid_added: float | None = output("acid to add", "g", 2, extensive=True)
    sugar_added: float | None = output("sugar to add", "g", 1, extensive=True)
    water_added: float | None = output("water to add", "g", 1, extensive=True)
    base_added: float | None = output("base to add", "g", 2, extensive=True)
    mass: float | None = output("mass after", "g", 1, extensive=True)
    volume: float | None = output("volume after, at 20 °C", "ml", 1, extensive=True)
    volume_change: float | None = output("change of volume", "ml", 1, extensive=True)
    acidity: float | None = output("titratable acidity after, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity after, as citric", "g/l", 1)
    ph: float | None = output("pH after", "", 2)
    ph_before: float | None = output("pH before", "", 2)
    sugar: float | None = output("sugars after", "% w/w", 2)
    dissolved_solids: float | None = output("true dissolved solids after", "% w/w", 2)
    refractometer: float | None = output("expected refractometer reading after", "Bx", 1)
    sugar_acid_ratio: float | None = output("sugar to acid after", "", 1)


def compute(inputs: Inputs) -> Result:
    """Find how much to add, then compose the liquid again and look at it."""
    liquid = Mixture.total(part.mixture for part in inputs.part)
    if inputs.measured is not None:
        liquid = as_measured(liquid, inputs.measured)
    aims = [name for name in AIMS if getattr(inputs, name) is not None]
    if len(aims) > 1 or not (aims or inputs.stretch_to is not None):
        raise BadInput(
            "acid-adjust takes one target, and it was given "
            f"{' and '.join(map(named, aims)) or 'none'}. Write {named('target')}, "
            f"{named('like')} or {named('target_ph')}, or {named('stretch_to')} alone.",
            "target",
        )
    to = inputs.stretch_to
    change = adjusted(liquid, inputs) if to is None else stretched(liquid, inputs, to)
    return _answer(liquid, change.weighable(), inputs)


# what is shown


def _answer(liquid: Mixture, change: Change, inputs: Inputs) -> Result:
    after = change.after
    ph, ph_error, facts = acidity.ph_facts(after)
    before_ph, before_error, _ = acidity.ph_facts(liquid)
    shown, errors = derived.of(after, "dissolved_solids", "refractometer", "sugar_acid_ratio")
    was, _ = derived.of(liquid, "dissolved_solids", "refractometer", "sugar_acid_ratio")
    if ph is not None:
        errors["ph"] = ph_error
    if before_ph is not None:
        errors["ph_before"] = before_error
    acid_kg = math.fsum(kg for _, kg in change.acids)
    grades = {acid.acid: acid.purity for acid in inputs.acid}
    facts |= acidity.shelf_facts(
        (a, grades.get(a, 1.0))
        for a in acids.FOOD_ACIDS
        if something(after.of(a) - liquid.of(a), after.mass_kg)
    )
    facts |= acidity.tartar_facts(after)
    facts |= acidity.saturation_facts(after, BENCH_C)
    facts["acid_added_g"] = 1000.0 * acid_kg
    facts["co2_l"] = acidity.CO2_L_KG * change.co2
    if ph is not None and before_ph is not None:
        facts |= {"ph_before": before_ph, "ph_rise": ph - before_ph}
    if facts.get("saturation", 0.0) > 1.0:
        return Result(facts=facts, working=_steps(liquid, change, inputs))
    rows = (
        ("mass, g", 1000.0 * liquid.mass_kg, 1000.0 * after.mass_kg),
        ("volume at 20 °C, ml", 1e6 * liquid.volume_20_m3, 1e6 * after.volume_20_m3),
        ("titratable acidity as citric, % w/w", _sour(liquid, "% w/w"), _sour(after, "% w/w")),
        ("titratable acidity as citric, g/l", _sour(liquid, "g/l"), _sour(after, "g/l")),
        ("pH", before_ph, ph),
        ("sugars, % w/w", 100.0 * liquid.sugar, 100.0 * after.sugar),
        ("true dissolved solids, % w/w", was["dissolved_solids"], shown["dissolved_solids"]),
        ("refractometer reading, Bx", was["refractometer"], shown["refractometer"]),
        ("sugar to acid", was["sugar_acid_ratio"], shown["sugar_acid_ratio"]),
    )  # fmt: skip
    return Result(
        product=after,
        acid_added=1000.0 * acid_kg or None,
        sugar_added=1000.0 * change.sugar or None,
        water_added=1000.0 * change.water or None,
        base_added=1000.0 * change.base or None,
        mass=1000.0 * after.mass_kg,
        volume=1e6 * after.volume_20_m3,
        volume_change=1e6 * (after.volume_20_m3 - liquid.volume_20_m3),
        acidity=_sour(after, "% w/w"),
        acidity_g_l=_sour(after, "g/l"),
        ph=ph,
        ph_before=before_ph,
        sugar=100.0 * after.sugar,
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        sugar_acid_ratio=shown["sugar_acid_ratio"],
        facts=facts,
        working=_steps(liquid, change, inputs),
        tables=(
            Table(
                "add",
                "add",
                (Column("what"), Column("mass", "g", 2)),
                _additions(change, inputs),
            ),
            Table(
                "before-and-after",
                "before and after",
                (Column(""), Column("before", "", 2), Column("after", "", 2)),
                rows,
            ),
        ),
        model_error=errors,
    )


def _additions(change: Change, inputs: Inputs) -> tuple[tuple[str | float | None, ...], ...]:
    rows = [(name, 1000.0 * kg) for name, kg in change.acids]
    rows += [("white sugar", 1000.0 * change.sugar)] if change.sugar else []
    rows += [("water", 1000.0 * change.water)] if change.water else []
    rows += [(inputs.lower, 1000.0 * change.base)] if change.base else []
    return tuple(rows)


def _sour(mixture: Mixture, unit: str) -> float | None:
    """Titratable acidity as citric; None where minerals outweigh the acids."""
    found = acidity_as_citric(mixture, unit)
    return found if found > 0.0 else None


def _steps(liquid: Mixture, change: Change, inputs: Inputs) -> tuple[Step, ...]:
    before, after = liquid.titratable_acidity_eq_kg, change.after.titratable_acidity_eq_kg
    refused = derived.refusals(change.after, "refractometer")
    return (
        *acidity.aim_step(inputs.target),
        Step(
            "acidity before",
            f"protons to pH 8.2 less potassium and other cations in {liquid.mass_kg:.4f} kg",
            1000.0 * before * liquid.mass_kg,
            "meq",
            "PREPKIT-ACID",
        ),
        Step(
            "acidity after",
            f"the same in {change.after.mass_kg:.4f} kg",
            1000.0 * after * change.after.mass_kg,
            "meq",
            "PREPKIT-ACID",
        ),
        Step(
            "as citric",
            f"{1000.0 * after:.2f} meq/kg x 0.064041 g/meq / 10",
            100.0 * after * acids.EQUIVALENT_KG["citric"],
            "% w/w",
            "DEFINITION",
        ),
        *(Step(name, f"not shown: {why}") for name, why in refused.items()),
    )
