"""dose: drops, dashes, spoons or millilitres of a stock into a serve or a batch."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationInfo, field_validator

from prepkit import acidity
from prepkit.acid_changes import acidity_as_citric
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table, count, number, output, parts, quantity
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import words as words_of
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.science import drops
from prepkit.science.roots import bracketed
from prepkit.units import Measured, parse_number, parse_quantity

EXAMPLE = (
    'prepkit dose --stock "2 parts citric acid" --stock "1 part malic acid" '
    '--strength "20 % w/w" --into "120 ml water" --into "30 ml syrup 65 Bx" --amount "10 drops"'
)
_BY_COUNT = ("drop", "drops", "dash", "dashes", "barspoon", "barspoons")
# What a dasher or spoon gives, litres, from memory of the trade; a drop comes from the dropper.
_MEASURE_ML = {"dash": 0.9, "barspoon": 5.0}
_MOST_SHARE = 0.5  # of the drink


class Inputs(BaseInputs):
    """The stock, what it goes into, and how much or how sour."""

    stock: tuple[str, ...] = words_of(
        "the stock",
        "A liquid by name (an item of the recipe, lactic acid 80 %), or with --strength the acids "
        "that it is made of, in parts; give the option once for each.",
        "2 parts citric acid",
        many=True,
    )
    strength: Measured | None = quantity(
        "% w/w",
        "strength of the stock",
        "Pure acid in it, where the stock is given by its acids.",
        "20 % w/w",
        default=None,
        above=0,
        high=100,
    )
    into: tuple[Part, ...] = parts(
        "what it goes into",
        "One serve; give the option once for each part of it.",
        "120 ml water",
        extensive=False,
    )
    amount: str | None = words_of(
        "how much goes in",
        "Drops, dashes, barspoons, ml or g for one serve.",
        "10 drops",
        default=None,
    )
    target: Measured | None = quantity(
        ("% w/w", "g/l"),
        "titratable acidity wanted in the drink",
        "Written as citric acid; the amount is found.",
        "0.8 % w/w",
        default=None,
        above=0,
    )
    target_ph: float | None = number(
        "pH wanted in the drink", "The amount is found.", "3.0",
        default=None, low=1.5, high=7.0, because="no drink lies outside",
    )  # fmt: skip
    weighed_drops: int | None = count(
        "drops counted onto the scale", "Your own calibration: how many drops were weighed.", "20",
        default=None, low=1, high=1000,
    )  # fmt: skip
    weighed: Measured | None = quantity(
        "g", "what those drops weighed", "Of this stock, from this dropper.", "1.1 g",
        default=None, above=0, high=1000,
    )  # fmt: skip
    tip: Measured = quantity(
        "mm",
        "outer width of the dropper's tip",
        "Used only where no drops were weighed; droppers are about 3 mm.",
        "3 mm",
        default=3.0,
        low=0.6,
        high=10,
        because="the law of drops was tried from 0.3 to 5 mm of radius",
    )
    scale: Measured = quantity(
        "g", "what the scale shows as one step", "Its last digit.", "0.1 g",
        default=0.1, low=0.0001, high=100,
    )  # fmt: skip
    within: Measured = quantity(
        "%", "how exact the dose must be", "Give or take, of the dose.", "5 %",
        default=5.0, low=0.1, high=50,
    )  # fmt: skip
    serves: int = count(
        "serves to dose", "The dose for this many serves is weighed at once.", "1",
        default=1, low=1, high=100_000, extensive=True,
    )  # fmt: skip

    @field_validator("stock", mode="after")
    @classmethod
    def _readable(cls, value: tuple[str, ...], info: ValidationInfo) -> tuple[str, ...]:
        if not value:
            raise BadInput('--stock is empty; write for example "lactic acid 80 %".', "stock")
        pantry = (info.context or {}).get("pantry") or Pantry()
        return tuple(Named.read(one, pantry) for one in value)


class Named(str):
    """The words of a stock, with the ingredient and its parts."""

    ingredient: Ingredient
    parts: float

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> Named:
        """Read "lactic acid 80 %" or "2 parts citric acid"."""
        self = cls(said)
        self.parts, name = acidity.read_parts(said, "--stock")
        self.ingredient = pantry.ingredient(name, "--stock")
        return self


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """The dose of one serve and of the batch, and the drink with it."""

    dose: float | None = output("dose for one serve", "g", 3)
    dose_ml: float | None = output("dose for one serve", "ml", 2)
    dose_drops: float | None = output("dose for one serve", "drops", 1)
    dose_batch: float | None = output("dose for all serves", "g", 2, extensive=True)
    drop_mass: float | None = output("weight of a drop", "mg", 1)
    acidity: float | None = output("titratable acidity of the drink, as citric", "% w/w", 3)
    acidity_before: float | None = output("the same without the dose", "% w/w", 3)
    ph: float | None = output("pH of the drink", "", 2)
    ph_before: float | None = output("pH without the dose", "", 2)
    smallest_batch: float | None = output("smallest batch that the scale can dose", "serves", 0)
    dilute: float | None = output("or dilute the stock with water, to", "parts in all", 1)


def compute(inputs: Any) -> Result:
    """Weight of a drop, the dose, the drink with it, and what the scale can do."""
    stock = _stock(inputs)  # 1 kg
    drink = Mixture.total(part.mixture for part in inputs.into)
    drop_kg, spread_kg, steps = _drop(stock, inputs)
    density = acidity.density_or_none(stock)
    dose_kg = _dose(stock, drink, drop_kg, density, inputs)
    after = drink + stock.scaled(dose_kg)
    ph, ph_error, facts = acidity.ph_facts(after) if after.acid_molalities else (None, 0.0, {})
    before_ph, before_error, _ = acidity.ph_facts(drink)
    least_kg = 1e-3 * float(inputs.scale) / (float(inputs.within) / 100.0)
    errors = {"drop_mass": 1e6 * spread_kg, "dose_drops": dose_kg / drop_kg * spread_kg / drop_kg}
    if ph is not None:
        errors["ph"] = ph_error
    if before_ph is not None:
        errors["ph_before"] = before_error
    citric = acidity_as_citric(stock, "% w/w")
    facts |= acidity.shelf_facts(_bottles(stock))
    facts |= acidity.tartar_facts(after) | acidity.saturation_facts(after, 20.0)
    facts |= {
        "dosed_stock_percent": citric,
        "dose_over_least": dose_kg * inputs.serves / least_kg,
        "dose_g": 1000.0 * dose_kg * inputs.serves,
        "scale_g": float(inputs.scale),
        "within_percent": float(inputs.within),
        "smallest_batch": math.ceil(least_kg / dose_kg - 1e-9),
        "drops_uncalibrated": 0.0 if inputs.weighed is not None else 1.0,
        "by_drops": 1.0 if inputs.amount is not None and "drop" in inputs.amount.lower() else 0.0,
        "drop_spread_percent": 100.0 * spread_kg / drop_kg,
    }
    if facts.get("saturation", 0.0) > 1.0:
        return Result(facts=facts, working=tuple(steps))
    rows = (
        ("one serve", 1000.0 * dose_kg, _ml(dose_kg, density), dose_kg / drop_kg),
        (
            f"{inputs.serves} serves",
            1000.0 * dose_kg * inputs.serves,
            _ml(dose_kg * inputs.serves, density),
            dose_kg * inputs.serves / drop_kg,
        ),
    )
    return Result(
        product=after.scaled(float(inputs.serves)),
        dose=1000.0 * dose_kg,
        dose_ml=_ml(dose_kg, density),
        dose_drops=dose_kg / drop_kg,
        dose_batch=1000.0 * dose_kg * inputs.serves,
        drop_mass=1e6 * drop_kg,
        acidity=acidity_as_citric(after, "% w/w"),
        acidity_before=acidity_as_citric(drink, "% w/w"),
        ph=ph,
        ph_before=before_ph,
        smallest_batch=float(facts["smallest_batch"]),
        dilute=least_kg / dose_kg if least_kg > dose_kg else None,
        facts=facts,
        working=(
            *steps,
            Step("acidity of the stock", "titrated to pH 8.2", citric, "% w/w as citric",
                 "PREPKIT-ACID"),
            Step("least that the scale can dose",
                 f"{float(inputs.scale):g} g / {float(inputs.within):g} %", 1000.0 * least_kg, "g",
                 "DEFINITION"),
        ),
        tables=(
            Table(
                "dose",
                "dose",
                (Column("for"), Column("mass", "g", 2), Column("volume at 20 C", "ml", 2),
                 Column("drops", "", 0)),
                rows[: 1 if inputs.serves == 1 else 2],
            ),
        ),
        model_error=errors,
    )  # fmt: skip


def _ml(mass_kg: float, density: float | None) -> float | None:
    return 1e6 * mass_kg / density if density else None


def _stock(inputs: Any) -> Mixture:
    """1 kg of the stock."""
    named: tuple[Named, ...] = inputs.stock
    if inputs.strength is None:
        if len(named) > 1:
            raise BadInput(
                "--stock names several acids; say with --strength how much of them is in the "
                'stock, such as --strength "20 % w/w".',
                "strength",
            )
        found = named[0].ingredient
        if found.form != "liquid":
            raise BadInput(
                f'--stock "{named[0]}" is a {found.form}, not a stock; add --strength "20 % w/w" '
                f"for a stock of it, or weigh it with acid-adjust.",
                "strength",
            )
        return found.mixture
    return _made_up(named, float(inputs.strength) / 100.0)


def _made_up(named: tuple[Named, ...], strength: float) -> Mixture:
    shelf = [acidity.Shelf.of(one.ingredient, one.parts, str(one), "--stock") for one in named]
    shares = acidity.by_mass(shelf, "mass")
    weigh = [strength * share / one.purity for one, share in zip(shelf, shares, strict=True)]
    if sum(weigh) > 1.0 + 1e-9:
        raise BadInput(
            f"--strength {100.0 * strength:g} % w/w is more than these acids have themselves "
            f"({100.0 * strength / sum(weigh):.1f} % w/w); ask for less.",
            "strength",
        )
    dry = Mixture.total(
        one.ingredient.mixture.scaled(kg) for one, kg in zip(shelf, weigh, strict=True)
    )
    return dry + Mixture({"water": max(1.0 - dry.mass_kg, 0.0)})


def _bottles(stock: Mixture) -> list[tuple[str, float]]:
    names = ("citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "succinic")
    return [(a, stock.fraction(a)) for a in names if stock.of(a) > 0.0]


def _drop(stock: Mixture, inputs: Any) -> tuple[float, float, list[Step]]:
    """Kg of a drop, its spread, and how it was found."""
    if (inputs.weighed is None) != (inputs.weighed_drops is None):
        raise BadInput(
            "a calibration needs both --weighed-drops and --weighed, such as 20 drops and 1.1 g.",
            "weighed",
        )
    if inputs.weighed is not None:
        times = inputs.weighed_drops
        each = 1e-3 * float(inputs.weighed) / times
        spread = max(1e-3 * float(inputs.scale), 1e-3 * inputs.weighed.plus_minus) / times
        return each, spread, [
            Step("drop", f"{float(inputs.weighed):g} g / {times} drops", 1e6 * each, "mg",
                 "DEFINITION")
        ]  # fmt: skip
    tension = drops.ethanol_water_surface_tension_n_m(stock.solvent_ethanol)
    density = acidity.density_or_none(stock) or 1000.0
    each = drops.drop_mass_kg(5e-4 * float(inputs.tip), tension, density)
    return each, 0.15 * each, [
        Step("drop", f"falls from a {float(inputs.tip):g} mm tip, surface tension "
             f"{1000.0 * tension:.1f} mN/m as water with the alcohol, {density:.0f} kg/m3",
             1e6 * each, "mg", "HARKINS-BROWN")
    ]  # fmt: skip


def _dose(
    stock: Mixture, drink: Mixture, drop_kg: float, density: float | None, inputs: Any
) -> float:
    """Kg of stock for one serve."""
    aims = [name for name in ("amount", "target", "target_ph") if getattr(inputs, name) is not None]
    if len(aims) != 1:
        raise BadInput(
            "dose needs one of --amount, --target or --target-ph; it was given "
            f"{' and '.join(aims) if aims else 'none'}.",
            "amount",
        )
    if inputs.amount is not None:
        return _said_kg(inputs.amount, drop_kg, density)

    def miss(kg: float) -> float:
        after = drink + stock.scaled(kg)
        if inputs.target is not None:
            return acidity_as_citric(after, inputs.target.unit) - float(inputs.target)
        return float(inputs.target_ph) - after.ph.value

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
            "the drink would need more than half its own weight of this stock; take a stronger "
            "stock or ask for less.",
            aims[0],
        )
    return bracketed(miss, 1e-9 * drink.mass_kg, high, 1e-15)


def _said_kg(said: str, drop_kg: float, density: float | None) -> float:
    value, unit = parse_number(said, "--amount")
    if not value > 0.0:
        raise BadInput(f'--amount is "{said}"; it must be more than 0.', "amount")
    if unit.lower() in ("drop", "drops"):
        return value * drop_kg
    if unit.lower() in _BY_COUNT:
        millilitres = value * _MEASURE_ML["dash" if unit.lower().startswith("dash") else "barspoon"]
    else:
        amount = parse_quantity(said, ("g", "ml"), "--amount")
        if amount.unit == "g":
            return 1e-3 * float(amount)
        millilitres = float(amount)
    if density is None:
        raise BadInput(
            f'--amount "{said}": no density is known for this stock; give the amount in g.',
            "amount",
        )
    return 1e-6 * millilitres * density
