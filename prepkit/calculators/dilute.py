"""dilute: down to a strength, to a sugar level, to both, or by a stated share of water."""

from __future__ import annotations

from collections.abc import Callable

from prepkit import derived
from prepkit.errors import BadInput, OutOfRange, named
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, ingredient, number, parts, quantity  # fmt: skip
from prepkit.mixture import NOTHING, Mixture, something
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import ethanol, heat
from prepkit.science.solvers import bracketed
from prepkit.units import Measured

EXAMPLE = 'prepkit dilute --part "700 ml spirit 60 %" --to-strength "40 %"'
SOLIDS_G_L = ethanol.NO_OBSCURATION_MG_100_ML / 100.0  # beyond it a hydrometer misleads
WATER = Mixture({"water": 1.0})
BASES = ("start volume", "start mass", "final volume", "final mass")


class Inputs(BaseInputs):
    """The batch as it is, and its target."""

    groups = (
        ("Most needed", "part to_strength to_proof to_sugar diluent serve"),
        ("Other ways to say it", "dilution base sweetener"),
        ("Alcoholometer", "alcoholometer alcoholometer_temperature"),
    )

    part: tuple[Part, ...] = parts(
        "parts",
        "An amount of one ingredient. One entry for each.",
        "700 ml spirit 60 %",
    )
    to_strength: float | None = quantity(
        "% vol", "strength wanted", "By volume at 20 °C.", "40 % vol",
        default=None, above=0, high=96, because="stronger is not distilled",
    )  # fmt: skip
    to_proof: float | None = number(
        "US proof wanted", "Defined at 60 °F; 80 proof is 40.07 % vol at 20 °C.", "80",
        default=None, above=0, high=192, because="stronger is not distilled",
    )  # fmt: skip
    to_sugar: Measured | None = quantity(
        ("% w/w", "g/l"), "sugar wanted", "All sugars together, by mass or in the volume.",
        "120 g/l", default=None, low=0, high=850, because="no syrup holds more",
    )  # fmt: skip
    dilution: float | None = quantity(
        "%", "share of diluent wanted", f"Its base is set by {named('base')}.", "25 %",
        default=None, low=0, high=400, because="more leaves no drink",
    )  # fmt: skip
    base: str | None = choice(
        BASES,
        "base of the share",
        "Bars and books mean different things by it.",
        default=None,
    )
    diluent: Ingredient | None = ingredient(
        "diluent", "Water unless another is named.", "brewed black tea",
        default=None,
    )  # fmt: skip
    sweetener: Ingredient | None = ingredient(
        "sweetener", "White sugar unless another is named.", "syrup 65 Bx",
        default=None,
    )  # fmt: skip
    alcoholometer: float | None = quantity(
        "% vol", "reading of an alcoholometer", "Of the one part, in place of its strength.",
        "58 % vol", default=None, above=0, high=96, because="the scale ends there",
    )  # fmt: skip
    alcoholometer_temperature: float = quantity(
        "C", "temperature of that reading", "Of the spirit in the glass.", "20 C",
        default=20.0, low=4, high=40, because="weak spirit has two answers below 4 °C",
    )  # fmt: skip
    serve: float | None = quantity(
        "ml", "one serve", "How many of them it makes.", "90 ml",
        default=None, above=0, high=5000, because="a serve is not a batch",
    )  # fmt: skip


class Result(BaseResult):
    """What to add, and the drink after it."""

    screen = Screen(
        headline=(
            "Add {diluent_mass}: {volume} at {abv}.",
            "{volume} at {abv}.",
        ),
        primary=(
            Figure("volume", "volume"),
            Figure("strength", "abv"),
            Figure("sugars", "sugar"),
            "contraction",
            Figure("warms on mixing by", "rise"),
            "serves",
            "ethanol",
        ),
        check=("mass",),
        weigh="weigh",
    )

    diluent_mass: float | None = output("diluent to add", "g", 1, extensive=True)
    diluent_volume: float | None = output("diluent volume (20 °C)", "ml", 1, extensive=True)
    sweetener_mass: float | None = output("sweetener to add", "g", 1, extensive=True)
    mass: float | None = output("mass after", "g", 1, extensive=True)
    volume: float | None = output("volume after, at 20 °C", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    us_proof: float | None = output("US proof (60 °F)", "", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    sugar: float | None = output("sugars", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume", "g/l", 0)
    of_start_volume: float | None = output("diluent, share of start volume", "%", 1)
    of_final_volume: float | None = output("diluent, share of final volume", "%", 1)
    contraction: float | None = output("contraction loss", "ml", 1, extensive=True)
    naive_diluent: float | None = output("water by adding volumes (wrong)", "ml", 1, extensive=True)
    naive_abv: float | None = output("strength by adding volumes (wrong)", "% vol", 2)
    us_water: float | None = output("water for 100 volumes (60 °F)", "", 2)
    rise: float | None = output("temperature rise on mixing", "K", 1)
    serves: float | None = output("serves", "", 1, extensive=True)


def compute(inputs: Inputs) -> Result:
    """Masses and ethanol are conserved, volumes are not."""
    start = _as_read(inputs)
    diluent = inputs.diluent.mixture if inputs.diluent else WATER
    sweetener = (inputs.sweetener or Pantry().ingredient("white sugar")).mixture
    diluent_kg, sugar_kg = _amounts(inputs, start, diluent, sweetener)
    added = diluent.scaled(diluent_kg)
    product = start + added + sweetener.scaled(sugar_kg)
    shown, errors = derived.of(product, "abv", "ethanol", "sugar")
    start_ml, after_ml = 1e6 * start.volume_20_m3, 1e6 * product.volume_20_m3
    added_ml = 1e6 * added.volume_20_m3
    strongest = max((100 * part.mixture.abv for part in inputs.part), default=0.0)
    if inputs.alcoholometer is not None:
        strongest = 100 * start.abv
    naive_ml, naive_abv = _naive(inputs, start, diluent)
    plain = _plain(product) and _plain(start) and product.ethanol_kg > 0
    rise = _rise(start, added) if product.ethanol_kg else None
    shrinks = bool(product.ethanol_kg) and not sugar_kg
    proofs = [100 * ethanol.us_proof_from_abv(m.abv) / 100 for m in (start, product)]
    us_water = (
        ethanol.water_to_reduce_per_100(*proofs)
        if plain and set(diluent.masses_kg) == {"water"}
        else None
    )
    rows = [(part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture))
            for part in inputs.part]  # fmt: skip
    if inputs.alcoholometer is not None:
        rows = [(f"{inputs.part[0].name}, as read", 1000 * start.mass_kg, start_ml)]
    rows.append((inputs.diluent.name if inputs.diluent else "water", 1000 * diluent_kg, added_ml))
    if sugar_kg:
        name = inputs.sweetener.name if inputs.sweetener else "white sugar"
        rows.append((name, 1000 * sugar_kg, derived.volume_ml(sweetener.scaled(sugar_kg))))
    return Result(
        product=product,
        diluent_mass=1000 * diluent_kg,
        diluent_volume=added_ml,
        sweetener_mass=1000 * sugar_kg or None,
        mass=1000 * product.mass_kg,
        volume=after_ml,
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        us_proof=ethanol.us_proof_from_abv(product.abv) if product.ethanol_kg else None,
        sugar_g_l=product.sugar * product.density_kg_m3(20.0),
        of_start_volume=100 * added_ml / start_ml,
        of_final_volume=100 * added_ml / after_ml,
        contraction=start_ml + added_ml - after_ml if shrinks else None,
        naive_diluent=naive_ml,
        naive_abv=naive_abv,
        us_water=us_water,
        rise=rise,
        serves=after_ml / inputs.serve if inputs.serve else None,
        facts={
            "strongest_percent": round(strongest, 6),
            "rise_k": rise or 0.0,
            "solids_g_l": product.dissolved_solids * product.density_kg_m3(20.0),
            **derived.facts(product),
        },
        working=tuple(_steps(start, product, diluent_kg, naive_ml, naive_abv)),
        tables=(
            Table(
                "weigh",
                "weigh",
                (Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 1)),
                tuple(rows),
            ),
        ),
        model_error=errors,
    )


def _plain(mixture: Mixture) -> bool:
    return mixture.mass_kg - mixture.of("water", "ethanol") <= 1e-9 * mixture.mass_kg


def _as_read(inputs: Inputs) -> Mixture:
    """The parts together; the one part by its alcoholometer where that was read."""
    start = Mixture.total(part.mixture for part in inputs.part)
    if inputs.alcoholometer is None:
        return start
    if len(inputs.part) != 1:
        raise BadInput(
            f"{named('alcoholometer')} is of one part, and {len(inputs.part)} were given; "
            "read each alone.",
            "alcoholometer",
        )
    solids_g_l = start.dissolved_solids * start.density_kg_m3(20.0)
    if solids_g_l > SOLIDS_G_L:
        raise BadInput(
            f"{named('alcoholometer')}: {inputs.part[0].name} holds {solids_g_l:.0f} g/l of sugar "
            f"and other solids, and above {SOLIDS_G_L:g} g/l a floating scale reads far too "
            "low; have the strength found by distillation, or take it from the label.",
            "alcoholometer",
        )
    abv = ethanol.abv_from_alcoholometer(
        0.01 * inputs.alcoholometer, float(inputs.alcoholometer_temperature)
    )
    p = ethanol.mass_fraction_from_abv(abv)
    mass_kg = start.mass_kg
    if inputs.part[0].amount.unit == "ml":
        mass_kg = 1e-6 * inputs.part[0].amount * ethanol.density_kg_m3(p, 20.0)
    return Mixture({"ethanol": p * mass_kg, "water": (1 - p) * mass_kg}, start.allergens,
                   start.tags, start.keeps)  # fmt: skip


def _abv_wanted(inputs: Inputs) -> float | None:
    """The strength asked for, by volume at 20 C, as a fraction."""
    if inputs.to_strength is not None:
        return 0.01 * inputs.to_strength
    return None if inputs.to_proof is None else ethanol.abv_from_us_proof(inputs.to_proof)


def _naive(inputs: Inputs, start: Mixture, diluent: Mixture) -> tuple[float | None, float | None]:
    """What adding volumes up would say, and the strength that it would leave."""
    wanted = _abv_wanted(inputs)
    if wanted is None or inputs.to_sugar is not None or diluent.ethanol_kg or not start.ethanol_kg:
        return None, None
    volume = start.volume_20_m3 * (start.abv / wanted - 1.0)
    if volume <= 0.0:
        return None, None
    left = start + diluent.scaled(volume * diluent.density_kg_m3(20.0))
    return 1e6 * volume, 100 * left.abv


def _rise(start: Mixture, added: Mixture) -> float:
    """Adiabatic rise of the two put together at 20 C, K."""
    pairs = [(m.of("ethanol"), m.of("water")) for m in (start, added)]
    whole = start + added
    capacity: float = whole.mass_kg * whole.specific_heat_j_kg_k(20.0)
    return heat.mixing_heat_j(pairs, 20.0) / capacity


def _steps(
    start: Mixture,
    product: Mixture,
    diluent_kg: float,
    naive_ml: float | None,
    naive_abv: float | None,
) -> list[Step]:
    steps = [
        Step("mass", f"{1000 * start.mass_kg:.1f} g + {1000 * diluent_kg:.1f} g and what sweetens",
             1000 * product.mass_kg, "g"),
    ]  # fmt: skip
    if product.ethanol_kg:
        steps += [
            Step(
                "ethanol, which stays the same",
                f"{1e6 * start.volume_20_m3:.1f} ml x {100 * start.abv:.2f} % vol x "
                f"{ethanol.PURE_G_ML_WORDS}",
                1000 * product.ethanol_kg,
                "g",
                "OIML-R22",
            ),
            Step(
                "volume after",
                f"{1000 * product.mass_kg:.1f} g / {product.density_kg_m3(20.0) / 1000:.4f} g/ml",
                1e6 * product.volume_20_m3,
                "ml",
                "OIML-R22",
            ),
            Step(
                "strength",
                f"{1000 * product.ethanol_kg:.1f} g / {ethanol.PURE_G_ML_WORDS} / "
                f"{1e6 * product.volume_20_m3:.1f} ml",
                100 * product.abv,
                "% vol",
                "OIML-R22",
            ),
        ]
    if naive_ml is not None:
        steps.append(
            Step(
                "adding volumes",
                f"adding volumes would say {naive_ml:.1f} ml of water and leave",
                naive_abv,
                "% vol",
                "27-CFR-30",
            )
        )
    return steps


# how much to add


def _amounts(
    inputs: Inputs, start: Mixture, diluent: Mixture, sweetener: Mixture
) -> tuple[float, float]:
    """kg of diluent and of sweetener that meet what is wanted."""
    given = (
        ("to_strength", inputs.to_strength),
        ("to_proof", inputs.to_proof),
        ("dilution", inputs.dilution),
    )
    aims = [name for name, value in given if value is not None]
    if len(aims) > 1 or (inputs.to_sugar is not None and "dilution" in aims):
        raise BadInput(
            f"dilute takes one of {named('to_strength')}, {named('to_proof')} and "
            f"{named('dilution')}; the first two also together with {named('to_sugar')}.",
            "to_strength",
        )
    if inputs.dilution is not None:
        return _by_share(float(inputs.dilution), inputs.base, start, diluent), 0.0
    wanted, sugar = _abv_wanted(inputs), inputs.to_sugar
    if wanted is None:
        if sugar is None:
            raise BadInput(
                f"dilute needs an aim: {named('to_strength')}, {named('to_proof')}, "
                f"{named('to_sugar')} or {named('dilution')}.",
                "to_strength",
            )
        return _to_sugar(sugar, start, diluent, sweetener)
    _strong_enough(inputs, start, wanted, aims[0])
    if sugar is None:
        return _water_to(start, diluent, lambda m: m.abv - wanted), 0.0

    def sugared(sugar_kg: float) -> tuple[Mixture, float]:
        sweet = start + sweetener.scaled(sugar_kg)
        kg = _water_to(sweet, diluent, lambda m: m.abv - wanted)
        return sweet + diluent.scaled(kg), kg

    def missing(sugar_kg: float) -> float:
        return _sugar(sugared(sugar_kg)[0], sugar.unit) - float(sugar)

    if missing(0.0) > NOTHING * float(sugar):
        raise BadInput(
            f"{named('to_sugar')} is {float(sugar):g} {sugar.unit}, and at the strength wanted the "
            f"parts already hold {_sugar(sugared(0.0)[0], sugar.unit):.3g}; ask for more sugar or "
            "for less strength.",
            "to_sugar",
        )
    sugar_kg = _root(
        missing, start.mass_kg, f"{named('to_sugar')} cannot be reached at that strength"
    )
    return sugared(sugar_kg)[1], sugar_kg


def _strong_enough(inputs: Inputs, start: Mixture, wanted: float, name: str) -> None:
    if start.abv >= wanted * (1.0 - NOTHING):
        return
    strongest = max(inputs.part, key=lambda part: float(part.mixture.abv))
    top = max(strongest.mixture.abv, start.abv)
    if top < wanted:
        raise BadInput(
            f"{named(name)} asks for {100 * wanted:.4g} % vol, and the strongest part, "
            f"{strongest.name}, has {100 * top:.4g} % vol; nothing added can raise it.",
            name,
        )
    raise BadInput(
        f"{named(name)} asks for {100 * wanted:.4g} % vol, and the parts together have "
        f"{100 * start.abv:.4g} % vol; take more of {strongest.name}.",
        name,
    )


def _sugar(mixture: Mixture, unit: str) -> float:
    if unit == "g/l":
        return mixture.sugar * mixture.density_kg_m3(20.0)
    return 100 * mixture.sugar


def _to_sugar(
    wanted: Measured, start: Mixture, diluent: Mixture, sweetener: Mixture
) -> tuple[float, float]:
    if float(wanted) <= _sugar(start, wanted.unit):
        if not wanted > 0.0 and start.sugar:
            raise BadInput(
                f"{named('to_sugar')} is 0; no amount of water takes all sugar out, so ask for a "
                "level above 0.",
                "to_sugar",
            )
        return _water_to(start, diluent, lambda m: _sugar(m, wanted.unit) - float(wanted)), 0.0

    def missing(sugar_kg: float) -> float:
        return _sugar(start + sweetener.scaled(sugar_kg), wanted.unit) - float(wanted)

    return 0.0, _root(
        missing, start.mass_kg, f"{named('to_sugar')} is more than the sweetener can bring"
    )


def _by_share(percent: float, base: str | None, start: Mixture, diluent: Mixture) -> float:
    """kg of diluent for a share of it."""
    if base is None:
        choices = " or ".join(f'"{one}"' for one in BASES)
        raise BadInput(
            f"{named('dilution')} is {percent:g} %: of what? give {named('base')} {choices}.",
            "base",
        )
    share = 0.01 * percent
    if base == "start mass":
        return share * start.mass_kg
    if base == "start volume":
        return share * start.volume_20_m3 * diluent.density_kg_m3(20.0)
    if share >= 0.99:
        raise BadInput(
            f"{named('dilution')} is {percent:g} % of the {base}; it must be less than 99 %.",
            "dilution",
        )
    if base == "final mass":
        return share / (1 - share) * start.mass_kg
    per_kg = diluent.volume_20_m3

    def missing(kg: float) -> float:
        return kg * per_kg - share * (start + diluent.scaled(kg)).volume_20_m3

    return _root(missing, start.mass_kg, f"{named('dilution')} cannot be reached") if share else 0.0


def _water_to(start: Mixture, diluent: Mixture, above: Callable[[Mixture], float]) -> float:
    """kg of diluent until `above` falls to zero."""
    return _root(
        lambda kg: -above(start + diluent.scaled(kg)),
        start.mass_kg,
        "the diluent holds too much itself to bring it there",
    )


def _root(missing: Callable[[float], float], scale_kg: float, why: str) -> float:
    """kg at which something no longer misses, growing the bracket from the batch's own mass.

    Where nothing added is outside the range of the relations (a thick or strong start), the search
    begins at the first amount that they know.
    """
    low, problem = 0.0, None
    steps = [0.0, *(scale_kg * 1e-3 * 1.4**power for power in range(48))]
    for kg in steps:
        try:
            found = missing(kg)
        except OutOfRange as error:
            problem = error
            continue
        if found < 0.0:
            low, problem = kg, None
        elif problem is None or kg == 0.0:
            found_kg = bracketed(missing, low, kg, 1e-12 * max(kg, 1.0)) if kg else 0.0
            return something(found_kg, scale_kg)
        else:
            break
    raise BadInput(f"{why}: {problem.wording}" if problem else f"{why}.")
