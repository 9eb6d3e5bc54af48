"""serve: what is in one serve: ethanol in a country's unit, caffeine, sugar, allergens, cost."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from prepkit import blocks, derived
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, count, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import ethanol, sweetness
from prepkit.shared import acidity, drink
from prepkit.units import parse_number

EXAMPLE = (
    'prepkit serve --part "60 ml spirit 40 %" --part "25 ml lemon juice" '
    '--part "20 ml syrup 50 Bx" --country uk'
)
KJ_PER_KCAL = 4.184
CAFFEINE_DOSE_MG, CAFFEINE_DAY_MG = 200.0, 400.0  # [EFSA-2015-CAFFEINE] (read)
COUNTRIES = ("who", "us", "uk", "australia", "new zealand", "ireland", "france", "canada")


class IngredientPrice(str):
    """ "18.50 per 700 ml spirit 40 %": words that know the ingredient and its price per kg."""

    name: str
    per_kg: float

    @classmethod
    def read(cls, said: str, pantry: Pantry) -> IngredientPrice:
        """The words of a price, or one sentence on what is wrong with them."""
        if isinstance(said, IngredientPrice):
            return said
        before, per, after = said.partition(" per ")
        if not per or not after.strip():
            raise BadInput(
                f'{named("price")} is "{said}"; write it as 18.50 per 700 ml spirit 40 %.', "price"
            )
        amount, rest = parse_number(before, named("price"))
        if rest or amount < 0:
            raise BadInput(
                f'{named("price")} is "{said}"; it must begin with a bare number, zero or more, '
                f"such as 18.50 per 700 ml spirit 40 %.",
                "price",
            )
        bought = pantry.part(after.strip(), named("price"))
        if bought.mass_kg <= 0:
            raise BadInput(
                f'{named("price")} is "{said}"; a price is of more than nothing.', "price"
            )
        price = cls(said)
        price.name, price.per_kg = bought.name, amount / bought.mass_kg
        return price


class Inputs(BaseInputs):
    """The serve, or the batch and how many serves it gives."""

    groups = (("Most needed", "part serves country price loss served_at"),)
    takes = (("price", "price"),)

    part: tuple[Part, ...] = parts(
        "parts", f"Of one serve, or of the batch with {named('serves')}. One entry for "
                          "each.",
        "60 ml spirit 40 %",
    )  # fmt: skip
    serves: int = count("serves", "How many the parts give.", "12", default=1, low=1, high=100000)
    loss: float = quantity(
        "%", "loss", "Left in vessels, tasted or spilt.", "3 %",
        default=0.0, low=0, high=90, because="something is served",
    )  # fmt: skip
    country: str = choice(
        COUNTRIES, "unit of alcohol of", "10 g for who, 14 g for us, 10 ml for "
        "uk, 13.45 g for canada, 10 g for the others. who in Germany and where the law names none.",
        default="who",
    )  # fmt: skip
    served_at: float = quantity(
        "C", "temperature when drunk", "For the sweetness alone: fructose is sweeter cold.", "5 C",
        default=5.0, low=sweetness.SWEET_LOW_C, high=sweetness.SWEET_HIGH_C,
        because="sweetness is published from 5 to 60 °C",
    )  # fmt: skip
    price: tuple[IngredientPrice, ...] = words(
        "prices", "Price paid per amount, in your own money; once for each part.",
        "18.50 per 700 ml spirit 40 %", default=(), many=True,
    )  # fmt: skip

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: prices by their words."""
        if name != "price":
            return value
        assert isinstance(value, tuple)
        return tuple(IngredientPrice.read(one, pantry) for one in value)


class Result(BaseResult):
    """Of one serve."""

    screen = Screen(
        headline=(
            "{ethanol} of ethanol in one serve of {volume} at {abv}.",
            "One serve of {volume}, {energy}.",
            "One serve of {mass}.",
        ),
        primary=(
            Figure("volume", "volume"),
            Figure("strength", "abv"),
            "ethanol",
            "drinks",
            "sugar_g",
            "energy",
            "caffeine",
            "cost",
        ),
        check=("mass",),
    )

    mass: float | None = output("one serve", "g", 1, extensive=True)
    volume: float | None = output("volume without gas (20 °C)", "ml", 0, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)
    drinks: float | None = output("alcohol, in chosen unit", "", 2, extensive=True)
    sugar_g: float | None = output("sugars", "g", 1, extensive=True)
    sugar: float | None = output("sugars, of the whole", "% w/w", 1)
    sweetness: float | None = output("sweetness (when drunk, as sucrose)", "% w/w", 1)
    sourness: float | None = output("sourness (to pH 4.4, as citric)", "% w/w", 2)
    energy: float | None = output("energy", "kcal", 0, extensive=True)
    energy_kj: float | None = output("energy", "kJ", 0, extensive=True)
    caffeine: float | None = output("caffeine", "mg", 0, extensive=True)
    caffeine_of_dose: float | None = output("share of 200 mg caffeine", "%", 0, extensive=True)
    cost: float | None = output("cost (currency of the prices)", "", 2, extensive=True)


def compute(inputs: Inputs) -> Result:
    """The batch, less what is lost, over the serves."""
    batch = Mixture.total(part.mixture for part in inputs.part)
    if batch.mass_kg <= 0:
        raise BadInput("the parts weigh nothing; give an amount above 0.", "part")
    share = (1.0 - 0.01 * float(inputs.loss)) / inputs.serves
    one = batch.scaled(share)
    shown, errors = derived.of(one, "mass", "volume", "abv", "ethanol", "sugar", "energy")
    units = drink.units()
    unit = units[inputs.country]
    caffeine = 1e6 * one.of("caffeine")
    costs = _costs(inputs)
    known = [cost for _, cost in costs if cost is not None]
    held = drink.serve_facts(one, share * drink.nutmeg_g(inputs.part))
    facts: Facts = {
        **held,
        "serve_caffeine_mg": caffeine,
        "unpriced": ", ".join(name for name, cost in costs if cost is None) or "-",
        "some_unpriced": bool(known) and len(known) < len(costs),
        **derived.facts(one),
    }
    if caffeine > CAFFEINE_DAY_MG:
        dose = 100 * caffeine / CAFFEINE_DOSE_MG
        return Result(product=one, caffeine=caffeine, caffeine_of_dose=dose, facts=facts)
    grams = 1000 * one.ethanol_kg
    poisons = drink.stops(held)
    if poisons - {"serve_ethanol_g"}:  # nothing beside the stop that reads like a serve
        return Result(product=one, facts=facts)
    if poisons:
        return Result(product=one, ethanol=grams, drinks=grams / unit["ethanol_g"], facts=facts)
    tables = [_allergens(inputs)] if batch.allergens else []
    if grams:
        tables.append(
            Table(
                "units",
                "alcohol in one serve, by each unit",
                (Column("unit"), Column("holds", "g", 2), Column("in the serve", "", 2)),
                tuple((row["name"], row["ethanol_g"], grams / row["ethanol_g"])
                      for row in units.values()),
            )
        )  # fmt: skip
    if costs and known:
        tables.append(
            Table(
                "cost",
                "cost of one serve, what is lost included",
                (Column("part"), Column("cost", "", 3)),
                tuple(costs),
            )
        )
    tastes = acidity.of(one, float(inputs.served_at))
    return Result(
        product=one,
        sweetness=tastes.sweetness,
        sourness=tastes.sourness,
        drinks=grams / unit["ethanol_g"] if grams else None,
        sugar_g=1000 * one.sugar * one.mass_kg,
        mass=shown["mass"],
        volume=shown["volume"],
        abv=shown["abv"],
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        energy=shown["energy"],
        energy_kj=one.energy_kcal * KJ_PER_KCAL,
        caffeine=caffeine or None,
        caffeine_of_dose=100 * caffeine / CAFFEINE_DOSE_MG if caffeine else None,
        cost=math.fsum(known) if costs and len(known) == len(costs) else None,
        facts=facts,
        working=(*_steps(inputs, batch, one, unit, grams), *tastes.steps),
        tables=tuple(tables),
        model_error=errors | tastes.errors,
    )


def _costs(inputs: Inputs) -> list[tuple[str, float | None]]:
    """Cost of each part in one serve; None where it has no price."""
    if not inputs.price:
        return []
    names = [part.name for part in inputs.part]
    prices: dict[str, float] = {}
    for price in inputs.price:
        if price.name not in names:
            raise BadInput(
                f"{named('price', f'{price}')} is of {price.name}, and the parts are "
                f"{', '.join(dict.fromkeys(names))}.",
                "price",
            )
        if price.name in prices:
            raise BadInput(
                f"{named('price')} is given twice for {price.name}; give it once.", "price"
            )
        prices[price.name] = price.per_kg
    return [
        (part.name, prices[part.name] * part.mass_kg / inputs.serves
         if part.name in prices else None)
        for part in inputs.part
    ]  # fmt: skip


def _allergens(inputs: Inputs) -> Table:
    """For the menu: what is in it, by both lists, and where it comes from."""
    rows = []
    for row in blocks.blocks("allergens.toml", "allergen"):
        details: dict[str, list[str]] = {}
        for part in inputs.part:
            for allergen in part.mixture.allergens:
                name, _, detail = allergen.partition(":")
                if name == row["id"]:
                    details.setdefault(detail, []).append(part.name)
        if details:
            rows.append(_row(row, details))
    return Table(
        "allergens",
        "allergens for the menu",
        (Column("European list"), Column("United States list"), Column("from")),
        tuple(rows),
    )


def _row(
    row: Mapping[str, Any],  # Any: a row of the table of allergens
    details: Mapping[str, list[str]],
) -> tuple[str, str, str]:
    named = [detail for detail in details if detail]
    suffix = f": {', '.join(sorted(named))}" if named else ""
    us_list = row.get("us_details")
    us_named = [text for text in named if us_list is None or text in us_list]
    us_name = row.get("us_name", "")
    if us_list is not None and named and not us_named:
        us_name = ""
    us_suffix = f": {', '.join(sorted(us_named))}" if us_name and us_named else ""
    sources = dict.fromkeys(name for names in details.values() for name in names)
    return (row["eu_name"] + suffix, us_name + us_suffix or "not on the list", ", ".join(sources))


def _steps(
    inputs: Inputs,
    batch: Mixture,
    mixture: Mixture,
    unit: Mapping[str, Any],  # Any: a row of the table of units
    grams: float,
) -> tuple[Step, ...]:
    steps = [
        Step(
            "one serve",
            f"{1000 * batch.mass_kg:.1f} g less {float(inputs.loss):g} % over {inputs.serves}",
            1000 * mixture.mass_kg,
            "g",
            "DEFINITION",
        )
    ]
    if grams:
        steps += [
            Step(
                "ethanol",
                f"{1e6 * mixture.volume_20_m3:.1f} ml x {100 * mixture.abv:.2f} % vol x "
                f"{ethanol.PURE_G_ML_WORDS}",
                grams,
                "g",
                "OIML-R22",
            ),
            Step(
                f"{unit['plural']}",
                f"{grams:.2f} g / {unit['ethanol_g']:g} g",
                grams / unit["ethanol_g"],
                "",
                unit["source"],
            ),
        ]
    return tuple(steps)
