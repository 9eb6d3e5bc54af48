"""dose: drops, dashes, spoons or millilitres of a stock into a serve or a batch."""

from __future__ import annotations

import math
from dataclasses import dataclass

from prepkit.calculators.dose import making
from prepkit.calculators.dose.dropper import Drop
from prepkit.calculators.dose.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.shared import acidity, one_serve
from prepkit.shared.acidity import acidity_as_citric

EXAMPLE = (
    'prepkit dose --stock "2 parts citric acid" --stock "1 part malic acid" '
    '--strength "20 % w/w" --into "120 ml water" --into "30 ml syrup 65 Bx" --amount "10 drops"'
)


@dataclass(frozen=True, kw_only=True)
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
        do_this=("Give {dose} ({dose_ml}) to one serve; {dose_batch} to all.",),
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
    smallest_batch: float | None = output("smallest batch for the scale", "serves", 0)
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
    drop = making.drop_of(stock, inputs.weighed_drops, inputs.weighed, inputs.tip, inputs.scale)
    density = acidity.density_or_none(stock)
    dose_kg = making.dose_kg(stock, drink, drop, density, inputs)
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
        errors = making.drop_errors(stock, drink, dose_kg, drop, by_drops, inputs.serves)
    if ph is not None:
        errors["ph"] = math.hypot(errors.get("ph", 0.0), ph_error)
    if before_ph is not None:
        errors["ph_before"] = before_error
    citric = max(acidity_as_citric(stock, "% w/w"), 0.0)
    least_kg = 1e-3 * float(inputs.scale) / (float(inputs.within) / 100.0)
    facts |= dict(one_serve.facts(after))  # judged as serve judges it
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
        (words, 1000.0 * kg, making.millilitres(kg, density), _drops(kg, drop))
        for words, kg in (("one serve", dose_kg), (f"{inputs.serves} serves", batch_kg))
    )
    return Result(
        product=after.scaled(float(inputs.serves)),
        dose=1000.0 * dose_kg,
        dose_ml=making.millilitres(dose_kg, density),
        dose_drops=_drops(dose_kg, drop),
        dose_batch=1000.0 * batch_kg,
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


def _nearness(found: acidity.Facts) -> float:
    """How near to saturation the worst acid stands."""
    return float(max(found.get("saturation", 0.0), found.get("cold_saturation", 0.0)))


def _steps(
    inputs: Inputs, drop: Drop | None, stock: Mixture, citric: float, least_kg: float
) -> tuple[Step, ...]:
    why = "" if drop is not None else f"not shown: {making.no_drop(stock, inputs.tip)}"
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
        acidity.Shelf.of(one.ingredient, one.parts, str(one), named("stock")) for one in stocks
    ]
    shares = acidity.by_mass(shelf, "mass")
    return acidity.made_up(shelf, shares, acidity.acid_fraction(shelf, shares, inputs.strength))


def _bottles(stock: Mixture) -> list[tuple[str, float]]:
    names = ("citric", "malic", "tartaric", "lactic", "acetic", "phosphoric", "succinic")
    return [(a, stock.fraction(a)) for a in names if stock.of(a) > 0.0]
