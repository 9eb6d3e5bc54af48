"""One drink: heat and ice of its parts, units of alcohol, what one guest gets, price, measures,
vessels.

The same facts and limits for every calculator that knows what one serve is; the words stand in
data/cautions/serve.toml. A serve at a limit shows nothing that reads like a go-ahead.

Asked for every calculator whose answer is drunk as it is, and for the serves of a recipe.
"""

import math
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypedDict, cast

from prepkit import blocks, derived
from prepkit.errors import BadInput, OutOfRange, later, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs, Spec
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import heat
from prepkit.science.heat import MELTING_J_KG
from prepkit.units import parse_number, parse_quantity, plain, without_amount

# ---- cold mixtures ----

CP_LOW_C, CP_HIGH_C = -10.0, 40.0  # where the specific heat of spirit and water is known


def specific_heat_j_kg_k(mixture: Mixture, from_c: float, to_c: float) -> float:
    """Specific heat at the middle of the way, taken at -10 or 40 C where that lies outside."""
    middle = min(max(0.5 * (from_c + to_c), CP_LOW_C), CP_HIGH_C)
    return mixture.specific_heat_j_kg_k(middle)


def apart_specific_heat_j_kg_k(parts: Iterable[Mixture], from_c: float, to_c: float) -> float:
    """Specific heat of parts that are chilled apart, J/(kg K); with the heat of mixing at the end.

    Chilled apart and mixed cold takes as much heat as mixed warm and chilled. The specific heat of
    the whole with the heat of mixing in the cold would count what mixing adds to it twice.
    """
    every = [part for part in parts if part.mass_kg > 0.0]
    return math.fsum(
        mixture.mass_kg * specific_heat_j_kg_k(mixture, from_c, to_c) for mixture in every
    ) / math.fsum(mixture.mass_kg for mixture in every)


def mixing_heat_j(parts: Iterable[Mixture], temperature_c: float, melt_kg: float = 0.0) -> float:
    """Heat that parts (and melted ice) set free on becoming one, taken within -30 to 40 C."""
    pairs = [(part.of("ethanol"), part.of("water")) for part in parts]
    pairs.append((0.0, melt_kg))
    at_c = min(max(temperature_c, heat.MIXING_COLD_C), CP_HIGH_C)
    return heat.mixing_heat_j(pairs, at_c)


def freezing_point_c(mixture: Mixture) -> float | None:
    """Freezing point; None where it is not known (strong or thick) or there is no water.

    Such a mixture freezes colder than what is known of weaker ones.
    """
    try:
        return mixture.freezing_point_c if mixture.of("water") > 0 else None
    except OutOfRange:
        return None


def ice_kg(mixture: Mixture, temperature_c: float) -> float:
    """Ice that has frozen out of a mixture at rest at a temperature, kg: its whole water at most.

    By the freezing line of what stays liquid; where that ends the ice is what it has come to.
    """

    def frozen(kg: float) -> bool:
        """Whether more ice than that stands at the temperature."""
        point = freezing_point_c(mixture.without({"water": kg}))
        return point is not None and point > temperature_c

    if not frozen(0.0):
        return 0.0
    low, high = 0.0, mixture.of("water") * 0.999999
    for _ in range(48):
        middle = 0.5 * (low + high)
        if frozen(middle):
            low = middle
        else:
            high = middle
    return low


def heat_to_remove_j(mixture: Mixture, start_c: float, end_c: float) -> tuple[float, float]:
    """Heat to take out down to a temperature, J, and the ice that forms on the way, kg."""
    ice = ice_kg(mixture, end_c)
    sensible = mixture.mass_kg * specific_heat_j_kg_k(mixture, start_c, end_c) * (start_c - end_c)
    return sensible + MELTING_J_KG * ice, ice


# ---- parts that say their own temperature ----

_SAME_K = 0.05


def own(parts: Iterable[Part]) -> list[float | None]:
    """The temperature that each part says, None where it says none."""
    return [part.temperature_c for part in parts]


def each_c(parts: Iterable[Part], default_c: float, field: str, spec: Spec) -> list[float]:
    """The temperature of each part: its own, or the one for all. OutOfRange by the field's limits.

    `spec` is the field that gives the temperature for all, since its limits hold for each.
    """
    found = []
    for part in parts:
        at_c = default_c if part.temperature_c is None else part.temperature_c
        low, high = spec.low, spec.high
        if part.temperature_c is not None and (
            (low is not None and at_c < low) or (high is not None and at_c > high)
        ):
            raise OutOfRange(
                f'temperature of {named(field)} "{part.words}"', at_c, low, high, "C", spec.because
            )
        found.append(at_c)
    return found


def together_c(parts: Sequence[Part], temperatures: Sequence[float]) -> float:
    """The temperature of parts put together, C: a balance of heat, nothing lost.

    Raises BadInput where a specific heat is not known.
    """
    warm = [(p.mixture, t) for p, t in zip(parts, temperatures, strict=True) if p.mass_kg > 0]
    if len({t for _, t in warm}) < 2:
        return warm[0][1] if warm else temperatures[0]
    return heat.mixing_temperature_c(
        [mixture.mass_kg for mixture, _ in warm],
        [specific_heat_j_kg_k(mixture, t, t) for mixture, t in warm],
        [t for _, t in warm],
    )


def agreed_c(
    parts: Sequence[Part], given_c: float | None, fields: tuple[str, str], spec: Spec
) -> float | None:
    """The temperature of all, from the parts' own and the one given for those without.

    None where neither says it. Raises BadInput where every part has its own and the given one
    is another, since one of them would be lost.
    """
    field, for_all = fields
    said = own(parts)
    if given_c is None and None in said:
        return None
    found = together_c(parts, each_c(parts, given_c or 0.0, field, spec))
    if given_c is not None and None not in said and abs(found - given_c) > _SAME_K:
        raise BadInput(
            f"{named(field)} is at {found:.1f} °C by its own words, and {named(for_all)} says "
            f"{given_c:g} °C; leave one of the two out.",
            for_all,
        )
    return found


# ---- grams of ethanol in the units that countries and bodies count drinks in ----


class DrinkUnit(TypedDict):
    """A row of drink_units.toml."""

    id: str
    name: str
    plural: str
    ethanol_g: float
    source: str
    obtained: str


def units() -> Mapping[str, DrinkUnit]:
    """Every unit by its id: us, uk, who; each with its name, grams and source."""
    rows = cast("list[DrinkUnit]", list(blocks.blocks("drink_units.toml", "unit")))
    return {row["id"]: row for row in rows}


def us_drinks(ethanol_g: float) -> float:
    """Grams of ethanol in US standard drinks of 14 g [STANDARD-DRINKS].

    >>> us_drinks(56.0)
    4.0
    """
    return ethanol_g / float(units()["us"]["ethanol_g"])


# ---- what one person gets in one serve ----

SODIUM_IN_SALT = 0.393  # g in 1 g of salt [WHO-SALT]
NUTMEG_DOSE_G = 5.0  # the least that was taken for effect [NUTMEG-DOSES]
MEASURE_ML = 60.0  # a generous measure of an infusion, judged as one serve (JUDGEMENT)
NUTMEG = "nutmeg"  # tag of nutmeg and mace
_DRY = 0.2  # of a spice is water at most: what holds more is made with it, and is not it
POWDERS = frozenset(
    ("citric-powder", "malic-powder", "tartaric-powder", "fumaric-powder", "succinic-powder",
     "corrosive-acid")
)  # fmt: skip
#: Fact to the figure from which one serve is a stop.
STOPS: Mapping[str, float] = {
    "serve_ethanol_g": 56.0,  # four US standard drinks in about two hours [NIAAA-BINGE]
    "serve_salt_g": 5.0,  # a whole day's salt, and sodium counted as salt [WHO-SALT]
    "serve_potassium_g": 3.0,  # a day's supplement without harm in adults [EFSA-2005-POTASSIUM]
    "serve_nutmeg_g": NUTMEG_DOSE_G / 5.0,  # a fifth of the least dose (JUDGEMENT)
    "serve_stock_percent": 6.0,  # as citric, where acid was added: lemon juice (JUDGEMENT)
    "serve_acid_g": 15.0,  # as citric: a quarter of a litre of lemon juice (JUDGEMENT)
}


def nutmeg_g(parts: Iterable[Part]) -> float:
    """Nutmeg and mace among the parts, g, each at the upper end of its ±: the one count of it.

    What was made with them is not counted here: how much of it is nutmeg its mixture cannot say.
    """
    return math.fsum(
        1000.0
        * one.mass_kg
        * (1.0 + (one.amount.plus_minus / float(one.amount) if one.amount else 0.0))
        for part in parts
        for one in part.each
        if _is_nutmeg(one)
    )


def _is_nutmeg(part: Part) -> bool:
    mixture = part.ingredient.mixture
    itself = part.ingredient.group == "spice" or mixture.fraction("water") < _DRY
    return NUTMEG in mixture.tags and itself


def nutmeg_in_a_measure_g(plants: Iterable[Part], liquids: Iterable[Part]) -> float:
    """Nutmeg put in for a measure of 60 ml of the liquid, g; with no liquid all of it."""
    found = nutmeg_g(plants)
    if not found:
        return 0.0
    poured = Mixture.total(part.mixture for part in liquids)
    ml = derived.volume_ml(poured) or 1000.0 * poured.mass_kg
    return found * min(MEASURE_ML / ml, 1.0) if ml > 0.0 else found


def serve_facts(one: Mixture, nutmeg: float = 0.0) -> Facts:
    """What one serve holds, g; `nutmeg` is that of one serve, g."""
    sodium_g = 1000.0 * (one.of("sodium") + SODIUM_IN_SALT * one.of("salt"))
    citric = one.acidity_as_citric
    ethanol_g = 1000.0 * one.ethanol_kg
    return {
        "serve_ethanol_g": ethanol_g,
        "serve_us_drinks": us_drinks(ethanol_g),
        "serve_salt_g": sodium_g / SODIUM_IN_SALT,
        "serve_potassium_g": 1000.0 * one.of("potassium"),
        "serve_nutmeg_g": nutmeg,
        "serve_acid_g": 1000.0 * citric * one.mass_kg,
        "serve_stock_percent": 0.0 if POWDERS.isdisjoint(one.tags) else 100.0 * citric,
    }


def stops(found: Facts) -> frozenset[str]:
    """The facts that are at or past their figure."""
    held: Mapping[str, Any] = found  # Any: numbers, by names of a table
    return frozenset(name for name, limit in STOPS.items() if held[name] >= limit)


# ---- what one guest gets of spices and oils that a pinch makes pleasant and a spoon makes ----

# calculators whose product is drunk, and the input that says how many glasses it fills
_SERVES = {"serve": "serves", "blend": "serves", "dose": "serves"}
_ONE = frozenset(("chill", "layer", "warm"))


def _parts(inputs: Inputs) -> list[Part]:
    found: list[Part] = []
    for field in inputs.specs():
        value = getattr(inputs, field)
        for one in value if isinstance(value, tuple | list) else (value,):
            part = getattr(one, "part", one)  # a layer holds its part
            found += [part] if isinstance(part, Part) else []
    return found


def glass_facts(name: str, inputs: Inputs, product: Mixture | None) -> Facts:
    """Facts of one glass for the caution rows; empty where the answer is not drunk as it is."""
    if name in _ONE:
        serves = 1
    elif name in _SERVES and getattr(inputs, _SERVES[name]):
        serves = getattr(inputs, _SERVES[name])
    else:
        return {}
    into_each = name == "dose"  # its parts are of one serve
    nutmeg_kg = 1e-3 * nutmeg_g(_parts(inputs))
    return of_glass(nutmeg_kg / (1 if into_each else serves), product)


def of_glass(nutmeg: float, product: Mixture | None) -> Facts:
    """The facts of a glass with so many kg of nutmeg, and of this mixture."""
    found: Facts = {"nutmeg_each_g": 1000.0 * nutmeg}
    if product is not None and product.mass_kg:
        found["glass_oil_percent"] = 100.0 * product.fraction("essential_oil")
    return found


# ---- what parts cost ----

GRAMMAR = 'ingredient=money per amount, such as "rum 40 %=18 per 700 ml"'
_PER = later(r"^(?P<money>.*?)\s*\bper\b\s*(?P<amount>.+)$", re.IGNORECASE)


class Price(str):
    """The words of one price, with the ingredient's own name, its money, and the kg that it buys.

    `currency` is what stands after the number, often nothing: prices are compared, not converted.
    """

    name: str
    money: float
    kg: float
    currency: str

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str = named("price")) -> "Price":
        """Read "white sugar=1.20 per kg" or "lemon=0,35 EUR per piece"; BadInput otherwise.

        >>> price = Price.read("rum 40 %=18 EUR per 700 ml", Pantry())
        >>> price.name, price.money, price.currency, round(price.kg, 3)
        ('rum 40 %', 18.0, 'EUR', 0.664)
        """
        named, equals, rest = (text.strip() for text in words.partition("="))
        match = _PER.match(rest)
        if not named or not equals or match is None:
            raise BadInput(f'{field} "{words}": write it as {GRAMMAR}.', field)
        self = cls(words)
        self.money, self.currency = parse_number(match["money"], f"{field} {named}")
        if self.money < 0:
            raise BadInput(f'{field} "{words}": a price must not be negative.', field)
        amount = match["amount"].strip()
        if not amount[0].isdigit():
            amount = f"1 {amount}"
        if without_amount(f"{amount} {named}", field) != " ".join(plain(named).split()):
            raise BadInput(
                f'{field} "{words}": "{match["amount"]}" is not an amount. Write a mass, a volume '
                f"or a piece, as in {GRAMMAR}.",
                field,
            )
        part = pantry.part(f"{amount} {named}", field)
        if not part.mass_kg > 0:
            raise BadInput(f'{field} "{words}": the amount must be more than 0.', field)
        self.name, self.kg = part.name, part.mass_kg
        return self


class DrinkCost(Record):
    """What each part costs (None: it has no price), and what is known of the whole."""

    of_part: tuple[float | None, ...]
    unpriced: tuple[str, ...]
    currency: str

    @property
    def known(self) -> float:
        """The cost of everything that has a price."""
        return math.fsum(value for value in self.of_part if value is not None)

    @property
    def whole(self) -> float | None:
        """The whole cost; None where a price is missing."""
        return None if self.unpriced else self.known


def by_part(names: Sequence[str], prices: Iterable[Price]) -> dict[str, Price]:
    """The price of each part that has one, all in one money.

    Raises BadInput for a price that fits none of the parts, two for one part, or two currencies.
    """
    by_name: dict[str, Price] = {}
    for price in prices:
        if price.name not in names:
            raise BadInput(
                f"{named('price', price)}: there is no part {price.name}; the parts are "
                f"{', '.join(names)}.",
                "price",
            )
        if price.name in by_name:
            raise BadInput(
                f"{named('price')} is given twice for {price.name}; give it once.", "price"
            )
        by_name[price.name] = price
    currencies = list(dict.fromkeys(price.currency for price in by_name.values()))
    if len(currencies) > 1:
        said = " and ".join(f'"{currency}"' for currency in currencies)
        raise BadInput(f"{named('price')} is in {said}; write all prices in one money.", "price")
    return by_name


def cost(parts: Sequence[tuple[str, float]], prices: Iterable[Price]) -> DrinkCost:
    """The cost of parts, each a name and kg; BadInput for a price that fits none of them."""
    names = list(dict.fromkeys(name for name, _ in parts))
    by_name = by_part(names, prices)
    currencies = [price.currency for price in by_name.values()]
    each = tuple(
        kg * by_name[name].money / by_name[name].kg if name in by_name else None
        for name, kg in parts
    )
    unpriced = tuple(name for name in names if name not in by_name)
    return DrinkCost(each, unpriced, currencies[0] if currencies else "")


# ---- the steps in which a bar can measure and weigh ----


def round_steps(said: Sequence[str]) -> dict[str, float]:
    """What the bar can measure and weigh, by unit: "5 ml" for liquids, "1 g" for the rest.

    Raises BadInput for a step that is not above 0, and for two in one unit.

    >>> round_steps(["5 ml", "0.1 g"])
    {'ml': 5.0, 'g': 0.1}
    """
    steps: dict[str, float] = {}
    for words in said:
        step = parse_quantity(words, ("ml", "g"), named("round_to"))
        if not 0 < step <= 1e6:
            raise BadInput(
                f'{named("round_to", words)} is not a step above 0. Write one such as "5 ml".',
                "round_to",
            )
        if step.unit in steps:
            raise BadInput(
                f"{named('round_to')} has two steps in {step.unit}; give one in ml and one in g "
                "at most.",
                "round_to",
            )
        steps[step.unit] = float(step)
    return steps


# ---- how many vessels a load may be shared out over ----

ROUNDING = 1e-9
MOST_FILLS = 1000  # of one load: more is a wrong unit, and no list of boxes to tick


def too_many(wanted: float, most_each: float, each: str) -> str | None:
    """Why so much is not shared out over vessels; None where it is at most 1000 of them."""
    if wanted <= MOST_FILLS * most_each * (1.0 + ROUNDING):
        return None
    return (
        f"{each} would need more than {MOST_FILLS} vessels of one load; check the number and the "
        f"unit of the largest fill."
    )
