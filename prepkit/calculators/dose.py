"""dose: drops, dashes or spoons of a stock into a serve or batch."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Ingredient, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import count, number, parts, quantity
from prepkit.inputs import words as words_of
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import foam
from prepkit.science.solvers import bracketed
from prepkit.shared import acidity
from prepkit.shared.acidity import PH_AIM_HIGH, acidity_as_citric, known_ph, require_ph
from prepkit.shared.drink import serve_facts
from prepkit.units import Measured, parse_number, parse_quantity

# ---- what dose is told ----


class NamedStock(str):
    """The words of a stock, with the ingredient and its parts."""

    ingredient: Ingredient
    parts: float

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> NamedStock:
        """Read "lactic acid 80 %" or "2 parts citric acid"."""
        self = cls(said)
        self.parts, name = acidity.read_parts(said, named("stock"))
        self.ingredient = pantry.ingredient(name, named("stock"))
        return self


class Inputs(BaseInputs):
    """The stock, what it goes into, and how much or how sour."""

    groups = (
        ("Most needed", "stock strength into amount target target_ph serves"),
        ("Dropper", "weighed_drops weighed tip"),
        ("Scale", "scale within"),
        ("Conditions", "storage"),
    )
    takes = (
        ("stock", "acid"),
        ("amount", "amount"),
    )

    stock: tuple[NamedStock, ...] = words_of(
        "stock",
        "A liquid by name, such as lactic acid 80 %. Or its acids in parts, with "
        f"{named('strength')}. One entry for each.",
        "2 parts citric acid",
        many=True,
        several=True,
    )
    strength: Measured | None = quantity(
        ("% w/w", "% w/v"),
        "strength of the stock",
        "Pure acid in 100 g (% w/w) or 100 ml (% w/v), if you name its acids.",
        "20 % w/w",
        default=None,
        above=0,
        high=100,
    )
    into: tuple[Part, ...] = parts(
        "drink",
        "One serve. One entry for each part.",
        "120 ml water",
        extensive=False,
    )
    amount: str | None = words_of(
        "dose",
        "Drops, dashes, barspoons, ml or g for one serve, or % w/w of what it goes into.",
        "10 drops",
        default=None,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted",
        "Written as citric acid (a bare % is by weight); the amount is found.",
        "0.8 % w/w",
        default=None,
        above=0,
    )
    target_ph: float | None = number(
        "pH wanted", "The amount is found.", "3.0",
        default=None, low=1.0, high=PH_AIM_HIGH,
        because="above it minerals and proteins decide: follow a meter",
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
        "mm",
        "outer width of dropper tip",
        "Where no drops were weighed. Without it, 3 mm: a drop may then be half or twice as heavy.",
        "3 mm",
        default=None,
        low=0.6,
        high=10,
        because="the law of drops was tried from 0.3 to 5 mm of radius",
    )
    storage: Measured = quantity(
        "C", "storage temperature of the stock", "Solubility is checked there.",
        "4 C", default=4.0, low=0, high=50, because="no solubility is known outside",
    )  # fmt: skip
    scale: Measured = quantity(
        "g", "step of the scale", "Its last digit.", "0.1 g",
        default=0.1, low=0.0001, high=100,
    )  # fmt: skip
    within: Measured = quantity(
        "%", "error allowed in the dose", "As a share of the dose, either way.", "5 %",
        default=5.0, low=0.1, high=50,
    )  # fmt: skip
    serves: int = count(
        "serves to dose", "The dose for this many serves is weighed at once.", "1",
        default=1, low=1, high=100_000, extensive=True,
    )  # fmt: skip

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: the stocks by their words."""
        if name != "stock":
            return value
        if not value:
            raise BadInput(
                f'{named("stock")} is empty; write for example "lactic acid 80 %".', "stock"
            )
        return tuple(NamedStock.read(one, pantry) for one in value)


# ---- what a drop weighs ----

USUAL_TIP_MM = 3.0
ROOM_C = 20.0
# A dropper that nobody knows: half to twice the drop of the usual tip [ESSENTIAL-OIL-DROPS].
UNKNOWN_DROPPER = 2.0
KNOWN_TIP_ERROR = 0.15  # what a pharmacopoeia allows a dropper [USP-DROPPER]
LEAST_KG, MOST_KG = 5e-6, 100e-6
_MOSTLY_OIL = 0.5
_HOLDS_FAT = 0.2


class Drop(NamedTuple):
    """Mass of a drop, the range it lies in, and how it was found."""

    kg: float
    least_kg: float
    most_kg: float
    weighed: bool
    step: Step

    @property
    def spread_kg(self) -> float:
        """The larger side of the range."""
        return max(self.most_kg - self.kg, self.kg - self.least_kg)


def dropper_weighed(count: int, mass: Measured, scale: Measured) -> Drop:
    """A drop of a calibration; BadInput where no dropper gives such drops."""
    each = 1e-3 * float(mass) / count
    if not LEAST_KG <= each <= MOST_KG:
        raise BadInput(
            f"{named('weighed')} {mass.words()} for {count} drops makes {1e6 * each:.4g} mg a "
            "drop, and "
            f"drops weigh {1e6 * LEAST_KG:g} to {1e6 * MOST_KG:g} mg; count and weigh them again.",
            "weighed",
        )
    spread = 1e-3 * max(float(scale), mass.plus_minus) / count
    return Drop(
        each,
        max(each - spread, 0.0),
        each + spread,
        True,
        Step("drop", f"{float(mass):g} g / {count} drops", 1e6 * each, "mg", "DEFINITION"),
    )


def from_tip(stock: Mixture, tip: Measured | None) -> Drop:
    """A drop by the surface tension and density of its own liquid; BadInput where not known."""
    tension, of = _surface_tension(stock)
    density = acidity.density_kg_m3(stock)
    tip_mm = USUAL_TIP_MM if tip is None else float(tip)
    each = foam.drop_mass_kg(5e-4 * tip_mm, tension, density)
    factor = UNKNOWN_DROPPER
    least, most = each / factor, each * factor
    if tip is not None:
        least, most = each * (1.0 - KNOWN_TIP_ERROR), each * (1.0 + KNOWN_TIP_ERROR)
    elif stock.fraction("essential_oil") >= _MOSTLY_OIL:
        most = max(most, foam.BOTTLE_INSERT_KG + foam.BOTTLE_INSERT_SPREAD_KG)
    tip_words = f"{tip_mm:g} mm tip" + (
        "" if tip is not None else " assumed, as its width is unknown"
    )
    return Drop(
        each,
        least,
        most,
        False,
        Step(
            "drop",
            f"falls from a {tip_words}, surface tension {1000.0 * tension:.1f} mN/m {of}, "
            f"{density:.0f} kg/m3; it may be {1e6 * least:.0f} to {1e6 * most:.0f} mg",
            1e6 * each,
            "mg",
            "HARKINS-BROWN",
        ),
    )


def _surface_tension(stock: Mixture) -> tuple[float, str]:
    """N/m of a liquid, and whose it is."""
    if stock.fraction("essential_oil") >= _MOSTLY_OIL:
        return foam.LIMONENE_N_M, "as limonene"
    if stock.fraction("fat") >= _HOLDS_FAT:
        raise BadInput("no surface tension of a fat is known here.")
    if milk_fat := stock.fraction("milk_fat"):
        if milk_fat > foam.MILK_HIGH_FAT or stock.ethanol_kg:
            raise BadInput(
                "no surface tension of cream, or of milk with spirit, is known here; its "
                "viscosity tells no weight."
            )
        return foam.milk_surface_tension_n_m(ROOM_C), "as milk"
    of = "as spirit of its strength" if stock.ethanol_kg else "as water"
    return foam.ethanol_water_surface_tension_n_m(stock.solvent_ethanol), of


# ---- how much of a stock goes into a drink ----

_BY_COUNT = ("dash", "dashes", "barspoon", "barspoons")
# What a dasher or spoon gives, ml, from memory of the trade; a drop comes from the dropper.
_MEASURE_ML = {"dash": 0.9, "barspoon": 5.0}
_MOST_SHARE = 0.5  # of the drink
_MOST_DROPS = 1000
_UNIT_DROPS = ("drop", "drops")


def drop_of(
    stock: Mixture,
    weighed_drops: int | None,
    weighed: Measured | None,
    tip: Measured | None,
    scale: Measured,
) -> Drop | None:
    """A drop of the stock; None where it was not weighed and cannot be worked out."""
    if (weighed is None) != (weighed_drops is None):
        raise BadInput(
            f"a calibration needs both {named('weighed_drops')} and {named('weighed')}, such as 20 "
            "drops and 1.1 g.",
            "weighed",
        )
    if weighed is not None and weighed_drops is not None:
        return dropper_weighed(weighed_drops, weighed, scale)
    try:
        return from_tip(stock, tip)
    except BadInput:
        return None


def no_drop(stock: Mixture, tip: Measured | None) -> str:
    """Why a drop cannot be worked out."""
    try:
        from_tip(stock, tip)
    except BadInput as error:
        return error.wording.rstrip(".")
    return ""


def dose_mass_kg(
    stock: Mixture, drink: Mixture, drop: Drop | None, density: float | None, inputs: Inputs
) -> float:
    """Kg of stock for one serve."""
    aims = [name for name in ("amount", "target", "target_ph") if getattr(inputs, name) is not None]
    if len(aims) != 1:
        raise BadInput(
            f"dose needs one of {named('amount')}, {named('target')} or {named('target_ph')}; it "
            "was given "
            f"{' and '.join(aims) if aims else 'none'}.",
            "amount",
        )
    if inputs.amount is not None:
        return said_kg(inputs.amount, stock, drop, density, inputs.tip, drink.mass_kg)

    def miss(kg: float) -> float:
        after = drink + stock.scaled(kg)
        if inputs.target is not None:
            return acidity_as_citric(after, inputs.target.unit) - float(inputs.target)
        return (inputs.target_ph or 0.0) - known_ph(after)

    start = miss(1e-9 * drink.mass_kg)
    high = _MOST_SHARE * drink.mass_kg
    if start >= 0.0:
        raise BadInput(
            "the drink is as sour as that already without the dose; leave it out, or dilute the "
            "drink.",
            aims[0],
        )
    if miss(high) <= 0.0:
        raise BadInput(
            "the drink would need more than half its own weight of this stock. Take a stronger "
            "stock or ask for less.",
            aims[0],
        )
    kg = bracketed(miss, 1e-9 * drink.mass_kg, high, 1e-15)
    if inputs.target_ph is not None:
        less = max(kg - 1e-6 * drink.mass_kg, 0.0)
        require_ph(inputs.target_ph, drink + stock.scaled(kg), drink + stock.scaled(less))
    return kg


def said_kg(
    said: str,
    stock: Mixture,
    drop: Drop | None,
    density: float | None,
    tip: Measured | None,
    drink_kg: float,
) -> float:
    """Kg of stock by words such as "4 drops", "2 dashes", "0.3 ml" or "1 g"; BadInput otherwise."""
    value, unit = parse_number(said, named("amount"))
    if not value > 0.0:
        raise BadInput(f'{named("amount")} is "{said}"; it must be more than 0.', "amount")
    if unit.lower() in _UNIT_DROPS:
        if value > _MOST_DROPS:
            raise BadInput(
                f"{named('amount', f'{said}')}: nobody counts more than {_MOST_DROPS} drops; give "
                "it in g or "
                f"ml.",
                "amount",
            )
        if drop is None:
            raise BadInput(
                f"{named('amount', f'{said}')}: a drop of this stock cannot be worked out "
                f"({no_drop(stock, tip)}); weigh 20 drops and give {named('weighed_drops')} and "
                f"{named('weighed')}, or dose it in g.",
                "amount",
            )
        return value * drop.kg
    if unit.lower() in _BY_COUNT:
        ml = value * _MEASURE_ML["dash" if unit.lower().startswith("dash") else "barspoon"]
    else:
        amount = parse_quantity(said, ("g", "ml", "% w/w"), named("amount"))
        if amount.unit == "g":
            return 1e-3 * float(amount)
        if amount.unit == "% w/w":
            return 1e-2 * float(amount) * drink_kg
        ml = float(amount)
    if density is None:
        raise BadInput(
            f"{named('amount', f'{said}')}: no density is known for this stock; give the amount in "
            "g.",
            "amount",
        )
    return 1e-6 * ml * density


def drop_errors(
    stock: Mixture, drink: Mixture, dose_kg: float, drop: Drop, by_drops: bool, serves: int
) -> dict[str, float]:
    """What the range of a drop makes of the other values: the larger side of each."""
    errors = {"drop_mass": 1e6 * drop.spread_kg}
    if not by_drops:
        if drop.least_kg > 0.0:
            errors["dose_drops"] = dose_kg / drop.least_kg - dose_kg / drop.kg
        return errors
    share = drop.spread_kg / drop.kg
    density = acidity.density_or_none(stock)
    errors |= {
        "dose": 1000.0 * dose_kg * share,
        "dose_batch": 1000.0 * dose_kg * share * serves,
        "dose_ml": (millilitres(dose_kg, density) or 0.0) * share,
    }
    here = drink + stock.scaled(dose_kg)
    ends = [drink + stock.scaled(dose_kg * kg / drop.kg) for kg in (drop.least_kg, drop.most_kg)]
    errors["acidity"] = max(
        abs(acidity_as_citric(end, "% w/w") - acidity_as_citric(here, "% w/w")) for end in ends
    )
    known = [found for found in (acidity.ph_facts(m)[0] for m in (here, *ends)) if found]
    if len(known) == 3:
        errors["ph"] = max(abs(known[1] - known[0]), abs(known[2] - known[0]))
    return errors


def millilitres(mass_kg: float, density: float | None) -> float | None:
    """Volume at 20 C, None where no density is known."""
    return 1e6 * mass_kg / density if density else None


# ---- dose ----

EXAMPLE = (
    'prepkit dose --stock "2 parts citric acid" --stock "1 part malic acid" '
    '--strength "20 % w/w" --into "120 ml water" --into "30 ml syrup 65 Bx" --amount "10 drops"'
)


class Result(BaseResult):
    """The dose of one serve and of the batch, and the drink with it."""

    screen = Screen(
        headline=(
            "{dose} for one serve, {dose_drops} by count.",
            "{dose} ({dose_ml}) for one serve.",
        ),
        primary=(
            Figure("dose for one serve", "dose"),
            Figure("weight of the drops", "dose_least", "dose_most"),
            Figure("acidity, as citric", "acidity"),
            Figure("acidity without the dose", "acidity_before"),
            Figure("smallest batch to dose", "smallest_batch"),
            Figure("or dilute the stock to", "dilute"),
        ),
        check=(Figure("pH of the drink", "ph"), Figure("weight of a drop", "drop_mass")),
        do_this=("Give {dose} ({dose_ml}) to one serve.", "Weigh {dose_batch} for all serves."),
    )

    dose: float | None = output("dose for one serve", "g", 3)
    dose_ml: float | None = output("dose for one serve", "ml", 2)
    dose_drops: float | None = output("dose for one serve", "drops", 1)
    dose_batch: float | None = output("dose for all serves", "g", 2, extensive=True)
    drop_mass: float | None = output("weight of a drop", "mg", 1)
    drop_least: float | None = output("drop weight, lower bound", "mg", 1, limit="most")
    drop_most: float | None = output("drop weight, upper bound", "mg", 1, limit="least")
    dose_least: float | None = output("dose, lower bound", "g", 3, limit="most")
    dose_most: float | None = output("dose, upper bound", "g", 3, limit="least")
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 3)
    acidity_before: float | None = output("titratable acidity before, as citric", "% w/w", 3)
    ph: float | None = output("pH of the drink", "", 2)
    ph_before: float | None = output("pH without the dose", "", 2)
    smallest_batch: float | None = output(
        "smallest batch for the scale", "serves", 0, limit="least"
    )
    dilute: float | None = output("or stock diluted to", "parts in all", 1)


def compute(inputs: Inputs) -> Result:
    """Weight of a drop, the dose, the drink with it, and what the scale can do."""
    stock = _stock(inputs)  # 1 kg
    drink = Mixture.total(part.mixture for part in inputs.into)
    if drink.mass_kg <= 0.0:
        raise BadInput(f"{named('into')} amounts to 0; give an amount above 0.", "into")
    stored = acidity.saturation_facts(stock, float(inputs.storage))
    if stored.get("saturation", 0.0) > 1.0:
        return Result(facts={**stored, **acidity.shelf_facts(_bottles(stock))})
    drop = drop_of(stock, inputs.weighed_drops, inputs.weighed, inputs.tip, inputs.scale)
    density = acidity.density_or_none(stock)
    dose_kg = dose_mass_kg(stock, drink, drop, density, inputs)
    if dose_kg > drink.mass_kg:
        raise BadInput(
            f"the dose of {1000.0 * dose_kg:.3g} g outweighs the {1000.0 * drink.mass_kg:.3g} g "
            f"that it goes into. Take less, or mix them with blend.",
            "amount",
        )
    after = drink + stock.scaled(dose_kg)
    in_drink = acidity.saturation_facts(after, 20.0)
    ph, ph_error, facts = acidity.ph_facts(after) if after.acid_molalities else (None, 0.0, {})
    facts |= acidity.shelf_facts(_bottles(stock)) | acidity.tartar_facts(after)
    facts |= stored if _nearness(stored) >= _nearness(in_drink) else in_drink
    if facts.get("saturation", 0.0) > 1.0:
        return Result(facts=facts)
    before_ph, before_error, _ = acidity.ph_facts(drink)
    by_drops = inputs.amount is not None and "drop" in inputs.amount.lower()
    rough = drop if by_drops and drop is not None else None
    errors: dict[str, float] = {}
    if drop is not None:
        errors = drop_errors(stock, drink, dose_kg, drop, by_drops, inputs.serves)
    if ph is not None:
        errors["ph"] = math.hypot(errors.get("ph", 0.0), ph_error)
    if before_ph is not None:
        errors["ph_before"] = before_error
    citric = max(acidity_as_citric(stock, "% w/w"), 0.0)
    least_kg = 1e-3 * float(inputs.scale) / (float(inputs.within) / 100.0)
    facts |= serve_facts(after)  # judged as serve judges it
    facts |= {
        "dosed_stock_percent": citric,
        "dosed_oil_percent": 100.0 * stock.fraction("essential_oil"),
        "dose_over_least": dose_kg * inputs.serves / least_kg,
        "dose_g": 1000.0 * dose_kg * inputs.serves,
        "scale_g": float(inputs.scale),
        "within_percent": float(inputs.within),
        "smallest_batch": math.ceil(least_kg / dose_kg - 1e-9),
        "drops_uncalibrated": 0.0 if inputs.weighed is not None else 1.0,
        "by_drops": 1.0 if by_drops else 0.0,
    }
    if drop is not None:
        facts |= {"drop_least_mg": 1e6 * drop.least_kg, "drop_most_mg": 1e6 * drop.most_kg}
    unweighed = drop if drop is not None and not drop.weighed else None
    batch_kg = dose_kg * inputs.serves
    rows = tuple(
        (words, 1000.0 * kg, millilitres(kg, density), _drops(kg, drop))
        for words, kg in (("one serve", dose_kg), (f"{inputs.serves} serves", batch_kg))
    )
    return Result(
        product=after.scaled(float(inputs.serves)),
        dose=1000.0 * dose_kg,
        dose_ml=millilitres(dose_kg, density),
        dose_drops=_drops(dose_kg, drop),
        dose_batch=1000.0 * batch_kg if inputs.serves > 1 else None,
        drop_mass=1e6 * drop.kg if drop else None,
        drop_least=1e6 * unweighed.least_kg if unweighed else None,
        drop_most=1e6 * unweighed.most_kg if unweighed else None,
        dose_least=1000.0 * dose_kg * rough.least_kg / rough.kg if rough else None,
        dose_most=1000.0 * dose_kg * rough.most_kg / rough.kg if rough else None,
        acidity=_sour(after),
        acidity_before=_sour(drink),
        ph=ph,
        ph_before=before_ph,
        smallest_batch=float(facts["smallest_batch"]),
        dilute=least_kg / dose_kg if least_kg > dose_kg else None,
        facts=facts,
        working=_steps(inputs, drop, stock, citric, least_kg),
        tables=(
            Table(
                "dose",
                "dose",
                (Column("for"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 2),
                 Column("drops", "", 0)),
                rows[: 1 if inputs.serves == 1 else 2],
            ),
        ),
        model_error=errors,
    )  # fmt: skip


def _nearness(found: Facts) -> float:
    """How near to saturation the worst acid stands."""
    return float(max(found.get("saturation", 0.0), found.get("cold_saturation", 0.0)))


def _steps(
    inputs: Inputs, drop: Drop | None, stock: Mixture, citric: float, least_kg: float
) -> tuple[Step, ...]:
    why = "" if drop is not None else f"not shown: {no_drop(stock, inputs.tip)}"
    return (
        *acidity.aim_step(inputs.target),
        drop.step if drop is not None else Step("drop", why),
        Step("acidity of the stock", "titrated to pH 8.2", citric, "% w/w as citric",
             "PREPKIT-ACID"),
        Step("least dose for the scale",
             f"{float(inputs.scale):g} g / {float(inputs.within):g} %", 1000.0 * least_kg, "g",
             "DEFINITION"),
    )  # fmt: skip


def _sour(mixture: Mixture) -> float | None:
    """Titratable acidity as citric, % w/w; None where minerals outweigh the acids."""
    found = acidity_as_citric(mixture, "% w/w")
    return found if found > 0.0 else None


def _drops(mass_kg: float, drop: Drop | None) -> float | None:
    return mass_kg / drop.kg if drop else None


def _stock(inputs: Inputs) -> Mixture:
    """1 kg of the stock."""
    stocks = inputs.stock
    if inputs.strength is None:
        if len(stocks) > 1:
            raise BadInput(
                f"{named('stock')} names several acids; say with {named('strength')} how much of "
                "them is in the "
                f"stock, such as {named('strength', '20 % w/w')}.",
                "strength",
            )
        found = stocks[0].ingredient
        if found.form != "liquid":
            raise BadInput(
                f"{named('stock', f'{stocks[0]}')} is a {found.form}, not a stock; add "
                f"{named('strength', '20 % w/w')} "
                f"for a stock of it, or weigh it with acid-adjust.",
                "strength",
            )
        return found.mixture
    shelf = [
        acidity.ShelfAcid.of(stock.ingredient, stock.parts, str(stock), named("stock"))
        for stock in stocks
    ]
    shares = acidity.by_mass(shelf, "mass")
    return acidity.made_up(shelf, shares, acidity.acid_fraction(shelf, shares, inputs.strength))


def _bottles(stock: Mixture) -> list[tuple[str, float]]:
    names = ("citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "succinic")
    return [(a, stock.fraction(a)) for a in names if stock.of(a) > 0.0]
