"""salt: saline and umami stocks by weight or volume, drops of them, sodium in a serve."""

from __future__ import annotations

import math

from prepkit import derived
from prepkit.calculators import dose
from prepkit.calculators.dose import Drop
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import count, ingredient, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import keeping
from prepkit.science.solvers import bracketed
from prepkit.shared import acidity, drink
from prepkit.units import Measured

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = (
    'prepkit salt --dissolve salt --strength "20 % w/w" --make "100 ml" --into "90 ml gin 20 %" '
    '--amount "4 drops" --weighed-drops 20 --weighed "1.1 g"'
)
SODIUM_DAY_MG = 2000.0  # less than that in a day [WHO-SALT]
#: Glutamic acid in 1 g of msg: 147.13 of 187.13, with its crystal water [IUPAC-WEIGHTS]
GLUTAMIC_IN_MSG = 147.13 / 187.13
_COMPARED = ("salt", "msg", "trisodium citrate", "baking soda", "soy sauce", "miso", "olive brine")
COUNTED = 60.0  # drops: nobody counts more
#: What is left of a salt without its crystal water, by molar masses [IUPAC-WEIGHTS]
WITHOUT_WATER = {
    "trisodium citrate": 258.07 / 294.10,
    "tripotassium citrate": 306.39 / 324.41,
    "msg": 169.11 / 187.13,
}
_CITRATE = "trisodium citrate"


class Inputs(BaseInputs):
    """The stock, and what of it goes into a serve."""

    groups = (
        ("Most needed", "dissolve strength make part into amount salinity serves"),
        ("Dropper", "weighed_drops weighed tip"),
        ("Conditions", "scale"),
    )
    takes = (("amount", "amount"),)

    dissolve: Ingredient | None = ingredient(
        "what is dissolved", "Salt, msg, a citrate. Several by their parts. A saline by name too.",
        "salt", default=None, several=True,
    )  # fmt: skip
    strength: Measured | None = quantity(
        ("% w/w", "% w/v"), "strength of the stock",
        "Grams in 100 g (% w/w) or in 100 ml of the stock (% w/v), as weighed.", "20 % w/w",
        default=None, above=0, high=60,
    )  # fmt: skip
    make: Measured | None = quantity(
        ("g", "ml"), "how much stock to make", "By weight, or by volume at 20 °C.", "100 ml",
        default=None, above=0, high=1e6, extensive=True, because="a batch of at most a tonne",
    )  # fmt: skip
    part: tuple[Part, ...] = parts(
        "stock as weighed", "Salt and water, instead of a strength. Once for each.",
        "20 g salt", default=None,
    )  # fmt: skip
    into: tuple[Part, ...] = parts(
        "drink", "One serve, without the stock. Once for each part.", "90 ml gin 20 %",
        default=None, extensive=False,
    )  # fmt: skip
    amount: str | None = words(
        "dose", "Drops, dashes, barspoons, ml or g of the stock for one serve.", "4 drops",
        default=None,
    )  # fmt: skip
    salinity: Measured | None = quantity(
        ("% w/w", "g/l"), "salt wanted in the drink",
        "All sodium counted as salt; the dose is found. A bare % is by weight.", "0.1 % w/w",
        default=None, above=0, high=50, because="a drink, not a brine",
    )  # fmt: skip
    serves: int = count(
        "serves to dose", "The dose for so many serves is weighed at once.", "1",
        default=1, low=1, high=100_000, extensive=True,
    )  # fmt: skip
    weighed_drops: int | None = count(
        "drops counted onto the scale", "Your own calibration: how many drops were weighed.", "20",
        default=None, low=1, high=1000,
    )  # fmt: skip
    weighed: Measured | None = quantity(
        "g", "weight of those drops", "Of this stock, from this dropper.", "1.1 g",
        default=None, above=0, high=1000,
    )  # fmt: skip
    tip: Measured | None = quantity(
        "mm", "outer width of dropper tip",
        "Where no drops were weighed. Without it, 3 mm: a drop may then be half or twice as heavy.",
        "3 mm", default=None, low=0.6, high=10,
        because="the law of drops was tried from 0.3 to 5 mm of radius",
    )  # fmt: skip
    scale: Measured = quantity(
        "g", "step of the scale", "Its last digit.", "0.1 g", default=0.1, low=0.0001, high=100,
    )  # fmt: skip


class Result(BaseResult):
    """The stock in the ways that kitchens say it, and what a dose of it brings."""

    screen = Screen(
        headline=(
            "{sodium_dose} of sodium in a serve, from {dose_drops} of {strength_mass} stock.",
            "{sodium_dose} of sodium in a serve, from {dose} of {strength_mass} stock.",
            "{strength_mass} by weight, {strength_volume} by volume, {sodium_ml} of sodium.",
            "{strength_mass} by weight.",
        ),
        primary=(
            Figure("dose for one serve", "dose"),
            Figure("sodium from the dose", "sodium_dose_least", "sodium_dose_most"),
            Figure("sodium in the serve", "sodium_serve"),
            Figure("salt in the serve", "salt_serve"),
            Figure("strength by weight", "strength_mass"),
            Figure("strength by volume", "strength_volume"),
            Figure("on 100 ml of water", "per_water"),
        ),
        check=(Figure("density", "density"), "drop_mass", "freezing_point"),
        do_this=(
            "Dissolve {dry} in {water} of water for {mass} of stock.",
            "Give {dose} ({dose_ml}) to one serve.",
            "Weigh {dose_batch} for all serves.",
        ),
        weigh="weigh",
    )

    strength_mass: float | None = output("strength by weight", "% w/w", 2)
    strength_volume: float | None = output("strength by volume", "% w/v", 2)
    per_water: float | None = output("on 100 ml of water", "g", 1)
    anhydrous: float | None = output("strength without crystal water", "% w/w", 2)
    density: float | None = output("density at 20 °C", "kg/m3", 1)
    freezing_point: float | None = output("freezing point", "C", 1)
    water_activity: float | None = output("water activity at 25 °C", "", 3)
    sodium_ml: float | None = output("sodium of the stock", "mg/ml", 1)
    dry: float | None = output("dry salt to weigh", "g", 2, extensive=True, figures=3)
    water: float | None = output("water to weigh", "g", 2, extensive=True, figures=3)
    mass: float | None = output("stock", "g", 1, extensive=True, figures=3)
    volume: float | None = output("stock volume at 20 °C", "ml", 1, extensive=True, figures=3)
    drop_mass: float | None = output("weight of a drop", "mg", 1)
    sodium_drop: float | None = output("sodium in a drop", "mg", 1)
    dose: float | None = output("dose for one serve", "g", 3, figures=3)
    dose_ml: float | None = output("dose for one serve", "ml", 2, figures=3)
    dose_drops: float | None = output("dose for one serve", "drops", 1)
    dose_batch: float | None = output("dose for all serves", "g", 2, extensive=True, figures=3)
    sodium_dose: float | None = output("sodium from the dose", "mg", 1)
    sodium_dose_least: float | None = output("dose sodium, lower bound", "mg", 0, limit="most")
    sodium_dose_most: float | None = output("dose sodium, upper bound", "mg", 0, limit="least")
    sodium_serve: float | None = output("sodium in the serve", "mg", 0)
    sodium_day: float | None = output("of a day's most sodium", "%", 1, limit="least")
    salt_serve: float | None = output("salt in the serve", "% w/w", 3)
    potassium_serve: float | None = output("potassium in the serve", "mg", 0)
    glutamic: float | None = output("glutamic acid in the serve", "mg", 0)


def compute(inputs: Inputs) -> Result:
    """The stock, then what a dose of it brings into a serve."""
    stock, solids = _stock(inputs)  # 1 kg, and what was weighed into it, kg
    density = acidity.density_or_none(stock)
    made_kg = _made_kg(inputs, density)
    shown, error = derived.of(stock, "freezing_point", "water_activity")
    error.pop("density", None)
    drop = dose.drop_of(stock, inputs.weighed_drops, inputs.weighed, inputs.tip, inputs.scale)
    dosed = _dosed(inputs, stock, drop, density)
    dose_kg = dosed[0] if dosed else None
    after = dosed[1] if dosed else None
    sodium_kg_kg = _sodium_kg(stock)
    left = WITHOUT_WATER.get(_dissolved(inputs))
    water_kg = 1.0 - solids
    facts = _facts(inputs, stock, drop, after, dose_kg)
    if drop is not None:
        error["drop_mass"] = 1e6 * drop.spread_kg
        error["sodium_drop"] = 1e6 * drop.spread_kg * sodium_kg_kg
    by_drops = drop is not None and inputs.amount is not None and "drop" in inputs.amount.lower()
    low = high = 1.0
    if by_drops and drop is not None:
        low, high = drop.least_kg / drop.kg, drop.most_kg / drop.kg
    spread = max(high - 1.0, 1.0 - low)
    if dose_kg is not None and spread:
        error |= {
            "dose": 1000 * dose_kg * spread, "sodium_dose": 1e6 * dose_kg * sodium_kg_kg * spread,
            "dose_batch": 1000 * dose_kg * spread * inputs.serves,
            "sodium_serve": 1e6 * dose_kg * sodium_kg_kg * spread,
            "sodium_day": 1e8 * dose_kg * sodium_kg_kg * spread / SODIUM_DAY_MG,
        }  # fmt: skip
        if density:
            error["dose_ml"] = 1e6 * dose_kg * spread / density
    drops = dose_kg / drop.kg if dose_kg and drop else math.inf
    product = stock.scaled(made_kg) if after is None else after.scaled(float(inputs.serves))
    sodium_serve = None if after is None else 1e6 * _sodium_kg(after)
    glutamic = 1e6 * _msg_share(inputs, solids) * GLUTAMIC_IN_MSG * (dose_kg or 0.0)
    return Result(
        product=product,
        strength_mass=100 * solids,
        strength_volume=100 * solids * density / 1000 if density else None,
        per_water=100 * solids / water_kg * 0.9982 if water_kg > 0 else None,
        anhydrous=None if left is None else 100 * solids * left,
        density=density,
        freezing_point=shown["freezing_point"],
        water_activity=shown["water_activity"],
        sodium_ml=1e3 * sodium_kg_kg * density / 1000 if density and sodium_kg_kg else None,
        dry=1000 * solids * made_kg if _dissolved_here(inputs) else None,
        water=1000 * water_kg * made_kg if _dissolved_here(inputs) else None,
        mass=1000 * made_kg,
        volume=1e6 * made_kg / density if density else None,
        drop_mass=1e6 * drop.kg if drop else None,
        sodium_drop=1e6 * drop.kg * sodium_kg_kg if drop and sodium_kg_kg else None,
        dose=None if dose_kg is None else 1000 * dose_kg,
        dose_ml=None if dose_kg is None else dose.millilitres(dose_kg, density),
        dose_drops=drops if by_drops or drops <= COUNTED else None,
        dose_batch=1000 * dose_kg * inputs.serves if dose_kg and inputs.serves > 1 else None,
        sodium_dose=None if dose_kg is None else 1e6 * dose_kg * sodium_kg_kg,
        sodium_dose_least=1e6 * dose_kg * sodium_kg_kg * low if dose_kg and spread else None,
        sodium_dose_most=1e6 * dose_kg * sodium_kg_kg * high if dose_kg and spread else None,
        sodium_serve=sodium_serve,
        sodium_day=None if sodium_serve is None else 100 * sodium_serve / SODIUM_DAY_MG,
        salt_serve=None if after is None else 100 * _as_salt(after),
        potassium_serve=1e6 * after.of("potassium") or None if after is not None else None,
        glutamic=glutamic or None,
        facts=facts | {"salt_glutamic_g_kg": _glutamic_g_kg(glutamic, after)},
        tables=(
            *_weigh(inputs, solids, made_kg, 0.0 if dose_kg is None else dose_kg * inputs.serves),
            _compared(),
        ),
        working=tuple(_steps(stock, solids, left, density, drop)),
        model_error=error,
    )


# the stock


def _stock(inputs: Inputs) -> tuple[Mixture, float]:
    """1 kg of the stock, and the share of what was weighed into it."""
    if bool(inputs.part) == (inputs.dissolve is not None):
        raise BadInput(
            f"salt needs the stock once: {named('dissolve')} with {named('strength')}, or what you "
            f"weighed as {named('part')}.",
            "dissolve",
        )
    if inputs.part:
        return _weighed(inputs)
    found = inputs.dissolve
    assert found is not None
    if inputs.strength is None:
        if found.form == "liquid" and found.mixture.fraction("water") > 0.0:
            return found.mixture, 1.0 - found.mixture.fraction("water")
        raise BadInput(
            f'{named("dissolve", found.name)} needs {named("strength")}, such as "20 % w/w"; or '
            f"weigh it and water as {named('part')}.",
            "strength",
        )
    if found.form == "liquid":
        raise BadInput(
            f"{named('dissolve', found.name)} is a liquid already; leave {named('strength')} out, "
            "or name the dry salt.",
            "strength",
        )
    _require_salt(found.mixture, "dissolve", found.name)
    share = _share(found.mixture, inputs.strength)
    return _of(found.mixture, share), share


def _weighed(inputs: Inputs) -> tuple[Mixture, float]:
    if inputs.strength is not None or inputs.make is not None:
        field = "strength" if inputs.strength is not None else "make"
        raise BadInput(
            f"{named('part')} says what the stock is, so leave {named(field)} out.", field
        )
    dry = Mixture.total(part.mixture for part in inputs.part if part.ingredient.form != "liquid")
    whole = Mixture.total(part.mixture for part in inputs.part)
    if not dry.mass_kg or dry.mass_kg >= whole.mass_kg:
        raise BadInput(
            f"{named('part')} needs a dry salt and a liquid, such as 20 g salt and 80 g water.",
            "part",
        )
    _require_salt(dry, "part", " and ".join(part.name for part in inputs.part))
    _require_dissolved(whole)
    return whole.of_mass(1.0), dry.mass_kg / whole.mass_kg


def _dissolved(inputs: Inputs) -> str:
    """The one dry salt of the stock; empty where it is a mixture."""
    if inputs.dissolve is not None:
        return inputs.dissolve.name
    dry = {part.ingredient.name for part in inputs.part if part.ingredient.form != "liquid"}
    return dry.pop() if len(dry) == 1 else ""


def _of(dry: Mixture, share: float) -> Mixture:
    return dry.scaled(share) + Mixture({"water": 1.0 - share})


def _share(dry: Mixture, strength: Measured) -> float:
    """What is dissolved in 1 kg of stock, by weight; found where it was said by volume."""
    said = float(strength) / 100
    if strength.unit == "% w/w":
        _require_dissolved(_of(dry, said))
        return said

    def miss(share: float) -> float:
        found = _of(dry, share)
        _require_dissolved(found)
        return share * acidity.density_kg_m3(found) / 1000 - said

    return bracketed(miss, 0.5 * said, said, 1e-9)


def _require_salt(dry: Mixture, field: str, name: str) -> None:
    """BadInput for what has neither sodium nor potassium."""
    if not dry.of("salt", "sodium", "potassium"):
        raise BadInput(
            f"{named(field, name)} holds no salt; name one, such as salt, msg or sodium citrate.",
            field,
        )


def _require_dissolved(stock: Mixture) -> None:
    """BadInput for more salt than the water holds."""
    brine = stock.of("salt", "water")
    share = stock.of("salt") / brine if brine else 0.0
    if share > keeping.SALT_FRACTION_HIGH:
        raise BadInput(
            f"salt would be {100 * share:.1f} % of salt and water. At most "
            f"{100 * keeping.SALT_FRACTION_HIGH:.1f} % dissolves at 20 °C, so ask for less.",
            "strength",
        )


def _made_kg(inputs: Inputs, density: float | None) -> float:
    if inputs.part:
        return math.fsum(part.mass_kg for part in inputs.part)
    if inputs.make is None:
        return 0.1
    if inputs.make.unit == "g":
        return float(inputs.make) / 1000
    if density is None:
        raise BadInput(f"no density of this stock is known; give {named('make')} in g.", "make")
    return 1e-6 * float(inputs.make) * density


# the dose


def _dosed(
    inputs: Inputs, stock: Mixture, drop: Drop | None, density: float | None
) -> tuple[float, Mixture] | None:
    """Kg of stock for one serve, and the serve with it; None where only the stock was asked."""
    given = [name for name in ("amount", "salinity") if getattr(inputs, name) is not None]
    if not given:
        if inputs.into:
            raise BadInput(
                f"{named('into')} needs a dose: {named('amount')}, or {named('salinity')} for the "
                "salt wanted.",
                "amount",
            )
        return None
    if len(given) > 1:
        raise BadInput(
            f"{named('amount')} and {named('salinity')} each say the dose; give one.", "salinity"
        )
    drink = Mixture.total(part.mixture for part in inputs.into)
    if inputs.amount is not None:
        kg = dose.said_kg(inputs.amount, stock, drop, density, inputs.tip, drink.mass_kg)
        if drink.mass_kg and kg > drink.mass_kg:
            raise BadInput(
                f"the dose of {1000 * kg:.3g} g outweighs the drink of "
                f"{1000 * drink.mass_kg:.3g} g; take less.",
                "amount",
            )
        return kg, drink + stock.scaled(kg)
    if not drink.mass_kg:
        raise BadInput(f"{named('salinity')} needs {named('into')}, the drink.", "into")
    wanted = inputs.salinity
    assert wanted is not None

    def miss(kg: float) -> float:
        found = drink + stock.scaled(kg)
        if wanted.unit == "% w/w":
            return 100 * _as_salt(found) - float(wanted)
        return _as_salt(found) * found.density_kg_m3(20.0) - float(wanted)

    if miss(0.0) >= 0.0:
        raise BadInput("the drink is as salty as that already; leave the stock out.", "salinity")
    if miss(drink.mass_kg) <= 0.0:
        raise BadInput(
            "it would need more stock than drink; take a stronger stock or ask for less.",
            "salinity",
        )
    kg = bracketed(miss, 0.0, drink.mass_kg, 1e-12)
    return kg, drink + stock.scaled(kg)


def _sodium_kg(mixture: Mixture) -> float:
    return mixture.of("sodium") + drink.SODIUM_IN_SALT * mixture.of("salt")


def _as_salt(mixture: Mixture) -> float:
    """All sodium as salt, mass fraction."""
    return _sodium_kg(mixture) / drink.SODIUM_IN_SALT / mixture.mass_kg


def _msg_in(found: Ingredient) -> float:
    """Msg in 1 kg of a dry ingredient, kg; of a mixture too."""
    if found.blend:
        return math.fsum(share * _msg_in(one) for share, one in found.blend)
    return 1.0 if found.name == "msg" else 0.0


def _msg_share(inputs: Inputs, solids: float) -> float:
    """Msg in 1 kg of the stock, kg."""
    if inputs.part:
        whole = math.fsum(part.mass_kg for part in inputs.part)
        return math.fsum(part.mass_kg * _msg_in(part.ingredient) for part in inputs.part) / whole
    return solids * _msg_in(inputs.dissolve) if inputs.dissolve is not None else 0.0


def _glutamic_g_kg(glutamic_mg: float, after: Mixture | None) -> float:
    return 1e-3 * glutamic_mg / after.mass_kg if after is not None and after.mass_kg else 0.0


# what is judged and shown


def _facts(
    inputs: Inputs, stock: Mixture, drop: Drop | None, after: Mixture | None, dose_kg: float | None
) -> Facts:
    names = [part.ingredient.name for part in inputs.part]
    if inputs.dissolve is not None:
        names.append(inputs.dissolve.name)
    sodium_mg = 0.0 if after is None else 1e6 * _sodium_kg(after)
    activity = derived.of(stock, "water_activity")[0]["water_activity"]
    counted = inputs.amount is not None and "drop" in inputs.amount.lower()
    found: Facts = {
        "salt_sodium_mg": sodium_mg,
        "salt_day_percent": 100 * sodium_mg / SODIUM_DAY_MG,
        "salt_stock_activity": activity,
        "salt_potassium_percent": 100 * stock.fraction("potassium"),
        "salt_msg_count": sum("msg" in name for name in names),
        "salt_citrate_count": sum(_CITRATE in name for name in names),
        "drops_uncalibrated": 0.0 if inputs.weighed is not None else 1.0,
        "by_drops": 1.0 if counted and drop is not None else 0.0,
    }
    if drop is not None:
        found |= {"drop_least_mg": 1e6 * drop.least_kg, "drop_most_mg": 1e6 * drop.most_kg}
    if after is not None:
        found |= drink.serve_facts(after)
    return found


def _dissolved_here(inputs: Inputs) -> bool:
    return not inputs.part and inputs.strength is not None


def _weigh(inputs: Inputs, solids: float, made_kg: float, dose_kg: float) -> tuple[Table, ...]:
    """The stock, and where it is dosed the drink with it."""
    columns = (Column("part"), Column("mass", "g", 2, figures=3))
    found = inputs.dissolve
    name = found.name if found is not None else " and ".join(part.name for part in inputs.part)
    rows: tuple[tuple[str | float | None, ...], ...]
    if inputs.part:
        rows = tuple((part.name, 1000 * part.mass_kg) for part in inputs.part)
    elif inputs.strength is None:
        rows = ((name, 1000 * made_kg),)
    else:
        dry_g = 1000 * solids * made_kg
        rows = ((name, dry_g), ("water", 1000 * made_kg - dry_g))
    if not dose_kg:
        return (Table("weigh", "weigh", columns, rows),)
    drink = tuple((part.name, 1000 * part.mass_kg * inputs.serves) for part in inputs.into)
    dosed = (*drink, (f"stock of {name}", 1000 * dose_kg))
    return Table("weigh", "weigh", columns, dosed), Table("stock", "the stock", columns, rows)


def _compared() -> Table:
    """What salts a drink and what makes it savoury, gram for gram, by the pantry."""
    pantry = Pantry()
    rows: list[tuple[str | float | None, ...]] = []
    for name in _COMPARED:
        found = pantry.ingredient(name)
        sodium = 1000 * _sodium_kg(found.mixture)
        allergens = ", ".join(
            sorted(allergen.partition(":")[0] for allergen in found.mixture.allergens)
        )
        rows.append((name, sodium, 100 * sodium / (1000 * drink.SODIUM_IN_SALT), allergens))
    columns = (
        Column("gram for gram"), Column("sodium", "mg/g", 0), Column("of that of salt", "%", 0),
        Column("allergens"),
    )  # fmt: skip
    return Table("compared", "sodium of what salts or is savoury", columns, tuple(rows))


def _steps(
    stock: Mixture, solids: float, left: float | None, density: float | None, drop: Drop | None
) -> list[Step]:
    """The working, as on a board."""
    found = [
        Step("strength by weight", f"{1000 * solids:.2f} g in 1000 g of stock", 100 * solids,
             "% w/w", "DEFINITION"),
    ]  # fmt: skip
    if density:
        found.append(
            Step("strength by volume", f"{100 * solids:.2f} g in 100 g x {density / 1000:.4f} g/ml",
                 100 * solids * density / 1000, "% w/v", "CRC102")
        )  # fmt: skip
    if left is not None:
        found.append(
            Step("without crystal water", f"{100 * solids:.2f} % x {left:.4f}: so a handbook "
                 "counts it", 100 * solids * left, "% w/w", "CRC102")
        )  # fmt: skip
    found += [
        Step("sodium", f"{1000 * drink.SODIUM_IN_SALT:g} mg in 1 g of salt, and the sodium of "
             "other salts", 1e6 * _sodium_kg(stock) / 1000, "mg/g", "IUPAC-WEIGHTS"),
        drop.step if drop is not None else Step("drop", "not shown: no weight of it is known"),
    ]  # fmt: skip
    return found
