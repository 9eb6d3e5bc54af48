"""Inputs of oleo, and peel with sugar."""

import math
import re
from collections.abc import Callable, Mapping

from prepkit import ingredient, jurisdictions
from prepkit.errors import BadInput, UnknownIngredient, later, named
from prepkit.ingredient import Ingredient, Part, together
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, part, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import infusion
from prepkit.shared import botanicals
from prepkit.units import Measured, parse_number, parse_quantity, split_amount, without_amount

# ---- the inputs of oleo ----

PEELED = ("as given", "whole peel", "strips", "zest")
DROPPERS = ("bottle insert", "3 mm tip")
SUCROSE_AT_LEAST = 0.85


class Drops(str):
    """Words such as "12 lemon oil": a number of drops of one essential oil."""

    number: float
    ingredient: Ingredient

    @classmethod
    def read(cls, words: str, pantry: Pantry) -> "Drops":
        """Read the number and the oil; BadInput where it is not an essential oil."""
        field = named("drops")
        count, rest = parse_number(words, field)
        name = rest.removeprefix("drops ").removeprefix("drop ").removeprefix("of ").strip()
        if not name or count <= 0:
            raise BadInput(f'{field} "{words}": write for example "12 lemon oil".', "drops")
        self = cls(words)
        try:
            self.number, self.ingredient = count, pantry.ingredient(name, field)
        except UnknownIngredient:
            nothing = botanicals.refused_part(words, field)
            if nothing is None:
                raise
            self.ingredient = nothing.ingredient
            return self
        check_oil(self.ingredient, words, "drops")
        return self


def check_oil(found: Ingredient, words: str, field: str) -> None:
    """BadInput unless an ingredient is an essential oil; `field`: drops or oil."""
    if found.mixture.fraction("essential_oil") < 0.5:
        raise BadInput(
            f'{named(field)} "{words}": {found.name} is not an essential oil. Write for example '
            "lemon oil.",
            field,
        )


class Inputs(BaseInputs):
    """What goes in, and what is known of how far it went."""

    groups = (
        ("Most needed", "peel sugar liquid weighing own time water_loss solids_gain kept oil"),
        ("Peel", "peeled thickness one_face temperature vacuum"),
        ("Oil in a drink", "drink drops dropper emulsifier droplet per_drink drink_strength"),
        ("Conditions", "jurisdiction"),
    )
    takes = (
        ("weighing", "weighings"),
        ("own", "weighings"),
        ("drops", "drops"),
    )

    peel: Part | None = part(
        "the peel",
        f"Fresh peel by weight, or whole fruit with {named('peeled')}. One entry for each fruit.",
        "300 g lemon peel",
        default=None,
        several=True,
    )
    peeled: str = choice(
        PEELED,
        "how whole fruit is peeled",
        "Only for whole fruit: all of its peel, strips with little white, or grated zest.",
        default="as given",
    )
    sugar: Part | None = part(
        "the sugar",
        "Dry sugar. White sugar if no other is named. Honey and syrups count as liquid.",
        "300 g",
        default=None,
        several=True,
    )
    liquid: tuple[Part, ...] = parts(
        "liquid that is added",
        "Juice, water or syrup that rinses the peel or carries the oil; once for each.",
        "200 ml lemon juice",
        default=None,
    )
    water_loss: float | None = number(
        "water loss", "Water that left the peel, kg per kg of fresh peel, by your own weighing.",
        "0.40", default=None, low=0, high=1, because="a share of the peel's mass",
    )  # fmt: skip
    solids_gain: float | None = number(
        "solids gain", "Sugar that went into the peel, kg per kg of fresh peel.",
        "0.08", default=None, low=0, high=1, because="a share of the peel's mass",
    )  # fmt: skip
    weighing: tuple[str, ...] = words(
        "a weighing",
        "The peel wiped clean, with the sugar left or the Bx of the syrup. Two weighings, at "
        "about 1 and 4 h, give the curve.",
        "2 h: peel 84 g, undissolved 20 g",
        default=(),
        many=True,
    )
    own: tuple[str, ...] = words(
        "own numbers of a peel",
        "Of your weighings of that peel alone: what 1 kg of it gives, takes and keeps. Once for "
        "each peel of the jar.",
        "lemon peel: water 0.40, sugar 0.08, kept 30 %",
        default=(),
        many=True,
    )
    time: Measured | None = quantity(
        "h", "time on the sugar", "For the curve through two weighings, or the diffusion band.",
        "6 h", default=None, above=0, high=1000, because="six weeks",
    )  # fmt: skip
    thickness: Measured | None = quantity(
        "mm", "thickness of the strips", "Zest and white together, as cut.",
        "2 mm", default=None, low=0.2, high=20, because="a strip of peel",
    )  # fmt: skip
    one_face: bool = flag("one face", "The sugar reaches the strips from one face only.")
    temperature: Measured = quantity(
        "C", "temperature", "Where it stands; what dissolves is taken there.", "20 C",
        default=20.0, low=0, high=60, because="a kitchen, not a boiling syrup",
    )  # fmt: skip
    vacuum: bool = flag("vacuum", "Sealed under vacuum: the peel then binds more liquid.")
    kept: Measured | None = quantity(
        "%", "syrup lost in the peel",
        "Share of the drained peel's weight, by weighing; else the trade's 20 to 60 %.",
        "30 %", default=None, low=0, high=150, because="peel holds no more",
    )  # fmt: skip
    oil: tuple[Part, ...] = parts(
        "essential oil", "By weight or volume; once for each oil.", "0.5 g lemon oil",
        default=None,
    )  # fmt: skip
    drops: tuple[Drops, ...] = words(
        "essential oil by the drop", "A number of drops and the oil; once for each oil.",
        "12 lemon oil", default=(), many=True,
    )  # fmt: skip
    dropper: str = choice(
        DROPPERS, "the dropper", "The tip that the drops fall from.", default="bottle insert"
    )
    emulsifier: Part | None = part(
        "emulsifier", "It keeps the oil from rising, if any.", "5 g gum arabic", default=None
    )
    droplet: Measured | None = quantity(
        "um", "size of the oil droplets", "If your homogeniser's is known.", "5 um",
        default=None, above=0.01, high=100, because="an emulsion",
    )  # fmt: skip
    per_drink: Measured | None = quantity(
        ("ml", "g"), "syrup in one drink", "To show oil and limits in the drink.", "20 ml",
        default=None, above=0, high=1000, because="one serve",
    )  # fmt: skip
    drink: Measured | None = quantity(
        ("ml", "g"), "the finished drink", "With all that it is diluted by.", "150 ml",
        default=None, above=0, high=5000, because="one serve",
    )  # fmt: skip
    drink_strength: Measured | None = quantity(
        "% vol", "strength of the finished drink", "Some limits differ for alcoholic drinks.",
        "12 % vol", default=None, low=0, high=100, because="a strength", bare=True,
    )  # fmt: skip
    jurisdiction: str = choice(
        jurisdictions.CHOICES, "jurisdiction", "The place whose rules count for limits and "
                                              "refused plants. Without it, the strictest.",
        default="strictest",
    )  # fmt: skip

    tidy_field = staticmethod(jurisdictions.tidied)  # a place by any of its names

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: refused plants, plain sugar, no drops as an amount."""
        found = _dry_apart(botanicals.spotted(said, ("peel",)), pantry)
        oil = found.get("oil")
        given = (oil,) if isinstance(oil, str) else oil if isinstance(oil, list | tuple) else ()
        by_drop = [one for one in given if isinstance(one, str) and " drop" in one.lower()]
        if by_drop:
            raise BadInput(
                f"{named('oil', by_drop[0])}: a drop is no measure, it weighs 17 to 33 mg by the "
                f"dropper; weigh the oil, or write {named('drops', '12 lemon oil')} with "
                f"{named('dropper')}.",
                "oil",
            )
        return found

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: drops by their words."""
        if name != "drops" or not isinstance(value, tuple):
            return value
        return tuple(Drops.read(one, pantry) for one in value)


def _dry_apart(said: dict[str, object], pantry: Pantry) -> dict[str, object]:
    """The words with white sugar named, and with what is no dry sugar among it as a liquid."""
    given = said.get("sugar")
    many: list[object] = []
    for value in given if isinstance(given, list | tuple) else [given]:
        many += ingredient.split(value) if isinstance(value, str) else [value]
    dry: list[object] = []
    wet: list[object] = []
    for said_one in many:
        if not isinstance(said_one, str) or not said_one.strip():
            dry.append(said_one)
            continue
        if not without_amount(said_one, named("sugar")):
            dry.append(f"{said_one.strip()} white sugar")
            continue
        for part_of in pantry.parts(said_one, named("sugar")):
            (wet if part_of.ingredient.form == "liquid" else dry).append(part_of.words)
    if not wet or (len(wet) == 1 and not dry):
        return {**said, "sugar": dry if len(dry) > 1 else dry[0]} if dry else said
    liquid = said.get("liquid") or []
    liquid = list(liquid) if isinstance(liquid, list | tuple) else [liquid]
    found = {**said, "liquid": [*wet, *liquid]}
    found.pop("sugar")
    return {**found, "sugar": dry if len(dry) > 1 else dry[0]} if dry else found


def check(inputs: Inputs) -> None:
    """BadInput for what is missing, and for what does not go together."""
    if inputs.peel and not inputs.peel.mass_kg:
        raise BadInput(
            f'{named("peel")} amounts to 0; write for example "300 g lemon peel".', "peel"
        )
    if inputs.peel is None and not inputs.oil and not inputs.drops:
        raise BadInput(
            f"oleo needs {named('peel')}, for example {named('peel', '300 g lemon peel')}, or an "
            f"essential oil, for example {named('oil', '0.5 g lemon oil')} with {named('sugar')} "
            f"and {named('liquid')}.",
            "peel",
        )
    if inputs.sugar is not None:
        _check_sugar(inputs.sugar)
    elif inputs.peel is not None:
        raise BadInput(
            f"oleo from peel needs {named('sugar')}, for example {named('sugar', '300 g')}.",
            "sugar",
        )
    elif not inputs.liquid:
        raise BadInput(
            f'oleo from oil needs {named("liquid")}, such as "500 g syrup 65 Bx".', "liquid"
        )
    if (inputs.water_loss is None) != (inputs.solids_gain is None):
        missing = "solids_gain" if inputs.solids_gain is None else "water_loss"
        raise BadInput(
            f"{named('water_loss')} and {named('solids_gain')} belong together, and "
            f"{named(missing)} is not given; weigh both, or write a {named('weighing')} such as "
            '"2 h: peel 84 g, undissolved 20 g".',
            missing,
        )
    if inputs.own and (inputs.weighing or inputs.water_loss is not None):
        raise BadInput(
            f"{named('own')} is of each peel, and {named('weighing')} or {named('water_loss')} of "
            "the whole jar; give one of the two.",
            "own",
        )
    if len(inputs.weighing) > 2 or (inputs.weighing and inputs.water_loss is not None):
        raise BadInput(
            f"{named('weighing')} is taken once or twice, and not together with "
            f"{named('water_loss')}.",
            "weighing",
        )
    if (inputs.drink is None) != (inputs.per_drink is None):
        raise BadInput(
            f"{named('drink')} and {named('per_drink')} belong together: the finished drink, "
            "and the syrup in it.",
            "drink",
        )


def _check_sugar(part: Part) -> None:
    """BadInput unless the sugar is a dry one that dissolves as sucrose does."""
    if any(one.ingredient.form == "liquid" for one in part.each) or (
        part.mixture.mass_kg and part.mixture.fraction("sucrose") < SUCROSE_AT_LEAST
    ):
        raise BadInput(
            f"{named('sugar', part.words)}: what dissolves is known here for dry sugar of at "
            f"least {100 * SUCROSE_AT_LEAST:g} % sucrose; use white sugar, or add a syrup as "
            f"{named('liquid')}.",
            "sugar",
        )


# ---- peel on sugar ----

MOST_KEPT = 1.5
KEPT_RANGE = (0.20, 0.60)  # syrup held by drained peel over its mass, trade practice
_ENTRY = later(r"\b(peel|undissolved|sugar left)\s+([0-9][0-9.,]*\s*[a-z]+)", re.IGNORECASE)
_BRIX = later(r"([0-9][0-9.,]*\s*°?(?:bx|brix))", re.IGNORECASE)
_SHOULD = 'write for example "2 h: peel 84 g, undissolved 20 g" or "2 h: peel 84 g, syrup 62 Bx"'


class Peel(Record):
    """The peel of a batch: its mass, composition and, for citrus, the fruit that it is from."""

    mass_kg: float
    ingredient: Ingredient
    fruit: botanicals.Fruit | None
    fruits: float | None = None  # how many, where fruit was counted
    low_kg: float | None = None
    high_kg: float | None = None
    several: "tuple[Peel, ...]" = ()  # the peels of several fruits in one jar

    @property
    def each(self) -> "tuple[Peel, ...]":
        """The peel of each fruit."""
        return self.several or (self,)

    @property
    def water(self) -> float:
        """Water in the fresh peel, mass fraction."""
        return self.ingredient.mixture.fraction("water")

    def ingredient_part(self) -> Part:
        """The peel as a part by its weight."""
        amount = Measured(1000 * self.mass_kg, "g")
        words = f"{amount.words()} {self.ingredient.name}"
        return Part(words, amount, self.ingredient, self.ingredient.mixture.scaled(self.mass_kg))

    @property
    def marks(self) -> Mixture:
        """Its allergens, hazards and keeping class, without any mass."""
        whole = self.ingredient.mixture
        return Mixture({}, whole.allergens, whole.tags, whole.keeps)


class Exchange(Record):
    """Water loss and solids gain, kg per kg of fresh peel, and where they come from."""

    water_loss: float
    solids_gain: float
    how: str
    source: str
    hours: float | None = None


class Syrup(Record):
    """What a batch gives before it is strained."""

    mixture: Mixture
    peel_after_kg: float
    water_kg: float
    sugar_in_peel_kg: float
    dissolved_kg: float
    undissolved_kg: float


def peel_of(part: Part, peeled: str) -> Peel:
    """The peel of a part: peel as weighed, or whole fruit with a way of peeling it.

    Peels of several fruits are one batch, with the water of each; each keeps its own oil.
    """
    if part.members:
        peels = tuple(peel_of(member, peeled) for member in part.members)
        whole = together(peel.ingredient_part() for peel in peels)
        low = high = None
        if any(peel.fruits is not None for peel in peels):
            low = math.fsum(peel.mass_kg if peel.low_kg is None else peel.low_kg for peel in peels)
            high = math.fsum(
                peel.mass_kg if peel.high_kg is None else peel.high_kg for peel in peels
            )
        return Peel(whole.mass_kg, whole.ingredient, None, None, low, high, peels)
    fruit = botanicals.fruit(part.ingredient.name)
    if part.ingredient.form == "liquid":
        raise BadInput(
            f'{named("peel", part.words)} is a liquid; write the peel, such as "300 g lemon peel".',
            "peel",
        )
    if botanicals.is_flesh(part.ingredient.name):
        raise BadInput(
            f"{named('peel', part.words)} is flesh without its peel; weigh the peel and write "
            "it as grapefruit peel.",
            "peel",
        )
    if fruit is None or fruit.peel == part.ingredient.name:
        return Peel(part.mass_kg, part.ingredient, fruit)
    count = part.mass_kg / fruit.whole_kg
    found = Pantry().ingredient(fruit.peel)
    if peeled == "whole peel":
        mass = count * fruit.peel_kg
        return Peel(mass, found, fruit, count, mass, mass)
    ranges = {"strips": fruit.strips_kg, "zest": fruit.zest_kg}
    if peeled not in ranges:
        raise BadInput(
            f"{named('peel', part.words)} is whole fruit: say how it is peeled, "
            f'{named("peeled", "whole peel")}, "strips" or "zest", or weigh the peel and write '
            f'"{fruit.peel}".',
            "peeled",
        )
    known = ranges[peeled]
    if known is None:
        raise BadInput(
            f"no usual weight of {peeled} of one {fruit.name} is known; weigh the peel and write "
            f'for example "100 g {fruit.peel}".',
            "peeled",
        )
    low, high = known
    return Peel(count * 0.5 * (low + high), found, fruit, count, count * low, count * high)


class Own(Record):
    """One peel's own numbers, from weighings of it alone."""

    exchange: Exchange
    kept: float | None  # share of the drained peel; None where it was not weighed


_OWN = later(
    r"\s*water\s+(?P<water>[0-9][0-9.,]*)\s*[,;]\s*sugar\s+(?P<sugar>[0-9][0-9.,]*)"
    r"(?:\s*[,;]\s*kept\s+(?P<kept>[0-9][0-9.,]*)\s*%)?\s*",
    re.IGNORECASE,
)


def own_numbers(inputs: Inputs, batch: Peel) -> dict[str, Own]:
    """The own numbers by the name of the peel; BadInput for a peel that is not in the jar."""
    found: dict[str, Own] = {}
    field = named("own")
    peels = {one.ingredient.name: one for one in batch.each}
    for words_ in inputs.own:
        name, colon, rest = words_.partition(":")
        match = _OWN.fullmatch(rest)
        if not colon or match is None:
            raise BadInput(
                f'{field} "{words_}" cannot be read; write for example "lemon peel: water 0.40, '
                'sugar 0.08, kept 30 %".',
                "own",
            )
        peel = peels.get(Pantry().ingredient(name.strip(), field).name)
        if peel is None or peel.ingredient.name in found:
            why = "is given twice" if peel is not None else "is not in the jar"
            raise BadInput(
                f"{field}: {name.strip()} {why}; write it once for each of {', '.join(peels)}.",
                "own",
            )
        loss, gain = (parse_number(match[key], field)[0] for key in ("water", "sugar"))
        kept = parse_number(match["kept"], field)[0] / 100 if match["kept"] else None
        if not (0.0 < loss <= peel.water + 1e-9 and 0.0 <= gain <= 1.0):
            raise BadInput(
                f'{field} "{words_}": 1 kg of {peel.ingredient.name} holds {peel.water:.3f} kg of '
                "water and takes up 1 kg of sugar at most; weigh it again.",
                "own",
            )
        if kept is not None and kept > MOST_KEPT:
            raise BadInput(
                f'{field} "{words_}": drained peel keeps {100 * MOST_KEPT:g} % of its weight at '
                "most.",
                "own",
            )
        if kept is not None and inputs.kept is not None:
            raise BadInput(
                f"{field} and {named('kept')} both say what the peel keeps; give one.", "kept"
            )
        found[peel.ingredient.name] = Own(
            Exchange(loss, gain, f"own numbers of {peel.ingredient.name}", "DEFINITION"), kept
        )
    return found


def of_jar(batch: Peel, each: Callable[[Peel], Exchange], how: str, source: str) -> Exchange:
    """The exchange of all peels of a jar together, by what each of them gives and takes."""
    found = [(peel.mass_kg / batch.mass_kg, each(peel)) for peel in batch.each]
    return Exchange(
        math.fsum(share * exchange.water_loss for share, exchange in found),
        math.fsum(share * exchange.solids_gain for share, exchange in found),
        how,
        source,
    )


def kept_share(
    inputs: Inputs, batch: Peel | None, own: Mapping[str, Own], after: Exchange | None
) -> tuple[float, float]:
    """Least and most of its own weight that the drained peel keeps: weighed, own, or practice."""
    if inputs.kept is not None:
        return (float(inputs.kept) / 100,) * 2
    if batch is None or after is None:
        return KEPT_RANGE
    ends = [0.0, 0.0]
    total = 0.0
    for peel in batch.each:
        known = own.get(peel.ingredient.name)
        exchange = known.exchange if known else after
        drained = peel.mass_kg * max(0.0, 1 - exchange.water_loss + exchange.solids_gain)
        each = (known.kept,) * 2 if known and known.kept is not None else KEPT_RANGE
        ends = [end + drained * share for end, share in zip(ends, each, strict=True)]
        total += drained
    return (ends[0] / total, ends[1] / total) if total else KEPT_RANGE


def known_exchange(inputs: Inputs, batch: Peel | None, soluble: float) -> Exchange | None:
    """What the peel gave and took, as given or as weighed; None where neither is known."""
    if batch is None:
        return None
    if inputs.water_loss is not None and inputs.solids_gain is not None:
        if inputs.water_loss > batch.water + 1e-9:
            raise BadInput(
                f"{named('water_loss')} is {inputs.water_loss:g}; {batch.ingredient.name} holds "
                f"only {batch.water:.3f} kg of water in a kg.",
                "water_loss",
            )
        return Exchange(inputs.water_loss, inputs.solids_gain, "as given", "DEFINITION")
    own = own_numbers(inputs, batch)
    if own and all(peel.ingredient.name in own for peel in batch.each):
        each = "own numbers of " + " and ".join(own)
        return of_jar(batch, lambda peel: own[peel.ingredient.name].exchange, each, "DEFINITION")
    if not inputs.weighing or inputs.sugar is None:
        return None
    hours = float(inputs.time) if inputs.time is not None else None
    found = [
        _read_weighing(text, batch.mass_kg, inputs.sugar.mass_kg, soluble, batch.water)
        for text in inputs.weighing
    ]
    return _from_weighings(found, hours, batch.mass_kg)


def _read_weighing(
    words: str, peel_kg: float, sugar_kg: float, soluble: float, water: float
) -> Exchange:
    """Water loss and solids gain from "2 h: peel 84 g, undissolved 20 g" (or the syrup's Bx)."""
    time_words, colon, rest = words.partition(":")
    entries = {key.lower(): amount for key, amount in _ENTRY.findall(rest)}
    if not colon or "peel" not in entries:
        raise BadInput(f"{named('weighing', words)} cannot be read; {_SHOULD}.", "weighing")
    hours = float(parse_quantity(time_words, ("h",), named("weighing")))
    grams = {key: _grams(amount, words) for key, amount in entries.items()}
    left_g = grams.get("undissolved", grams.get("sugar left", 0.0))
    brix = _BRIX.search(rest)
    if brix is None and left_g <= 0.0:
        raise BadInput(
            f"{named('weighing', words)} has the peel alone, which cannot tell water out from "
            f"sugar in; add the sugar left or the syrup's Bx: {_SHOULD}.",
            "weighing",
        )
    sugar = float(parse_quantity(brix[1], ("Bx",), named("weighing"))) / 100 if brix else soluble
    _check_weights(words, 1000 * peel_kg, 1000 * sugar_kg, grams["peel"], left_g, 100 * sugar)
    loss, gain = infusion.exchange_from_weighing(
        peel_kg, sugar_kg, grams["peel"] / 1000, left_g / 1000, sugar
    )
    if hours <= 0 or loss <= 0 or gain < -0.005 or loss > water:
        raise BadInput(
            f"{named('weighing', words)} cannot be: it gives {1000 * peel_kg * loss:.1f} g of "
            f"water lost and {1000 * peel_kg * gain:.1f} g of sugar taken up, and the peel holds "
            f"{1000 * peel_kg * water:.1f} g of water; wipe the peel, weigh all that is left, and "
            f"check the amounts that went in.",
            "weighing",
        )
    how = f"weighed after {hours:g} h"
    return Exchange(loss, max(gain, 0.0), how, "DEFINITION", hours)


def _check_weights(
    words: str, peel_g: float, sugar_g: float, drained_g: float, left_g: float, brix: float
) -> None:
    wrong = ""
    if left_g > sugar_g:
        wrong = f"{left_g:g} g of sugar are left undissolved, and only {sugar_g:g} g went in"
    elif not 0 < drained_g <= peel_g + sugar_g:
        wrong = f"the peel weighs {drained_g:g} g, and peel and sugar were {peel_g + sugar_g:g} g"
    elif not 5 <= brix <= 85:
        wrong = f"a syrup of {brix:g} Bx is outside 5 to 85 Bx"
    if wrong:
        raise BadInput(
            f"{named('weighing', words)}: {wrong}; wipe the peel, weigh again, and write for "
            'example "2 h: peel 84 g, undissolved 20 g".',
            "weighing",
        )


def _grams(words: str, whole: str) -> float:
    amount, rest = split_amount(words, named("weighing"))
    if amount.unit != "g" or rest:
        raise BadInput(
            f'{named("weighing", whole)}: "{words}" is not a weight; {_SHOULD}.', "weighing"
        )
    return float(amount)


def _from_weighings(found: list[Exchange], hours: float | None, peel_kg: float) -> Exchange:
    """One weighing as it is, or the curve through two at a time; BadInput where none fits."""
    last = max(found, key=lambda one: one.hours or 0.0)
    if hours is None or any(exchange.hours == hours for exchange in found):
        return next((exchange for exchange in found if exchange.hours == hours), last)
    if len(found) < 2:
        raise BadInput(
            f"one weighing at {last.hours:g} h says nothing about {hours:g} h. Add a second "
            f"{named('weighing')} at another time, or leave {named('time')} out.",
            "weighing",
        )
    first = min(found, key=lambda one: one.hours or 0.0)
    times = first.hours or 0.0, last.hours or 0.0
    loss = _curve("water lost", times, (first.water_loss, last.water_loss), peel_kg)
    gain = _curve("sugar taken up", times, (first.solids_gain, last.solids_gain), peel_kg)
    return Exchange(
        infusion.azuara(hours, *loss),
        infusion.azuara(hours, *gain) if gain[1] else 0.0,
        f"curve of your two weighings at {hours:g} h: {loss[1]:.3f} in the end, half of it in "
        f"{1 / loss[0]:.1f} h",
        "AZUARA",
        hours,
    )


def _curve(
    name: str, hours: tuple[float, float], shares: tuple[float, float], peel_kg: float
) -> tuple[float, float]:
    """Rate (1/h) and final value of the curve through two weighings of one quantity.

    shares: of it, kg per kg of fresh peel, at the two times.
    """
    if max(shares) < 1e-4:
        return 0.0, 0.0
    (t1, t2), (y1, y2) = hours, shares
    try:
        return infusion.fit((t1, y1), (t2, y2))
    except BadInput as error:
        y1, y2 = 1000 * peel_kg * y1, 1000 * peel_kg * y2
        raise BadInput(
            f"{named('weighing')}: by the two of them the {name} is {y1:.1f} g at {t1:g} h and "
            f"{y2:.1f} g at {t2:g} h, which lie on no curve that rises and levels off: the later "
            f"must lie above {y1:.1f} and below {y1 * t2 / t1:.1f} g; weigh again.",
            "weighing",
        ) from error


def syrup(
    peel: Peel | None, sugar: Mixture, liquid: Mixture, exchange: Exchange | None, soluble: float
) -> Syrup:
    """The syrup of peel, sugar and the liquid added, with what stays undissolved.

    Only sucrose and water count for what dissolves. The peel's own sugars and acid are not counted.
    """
    peel_kg = peel.mass_kg if peel else 0.0
    loss, gain = (exchange.water_loss, exchange.solids_gain) if exchange else (0.0, 0.0)
    dry = infusion.peel_balance(peel_kg, sugar.mass_kg, loss, gain, soluble)
    water_kg = dry.water_to_syrup_kg + liquid.of("water")
    room_kg = max(0.0, water_kg / infusion.water_to_dissolve(soluble) - liquid.of("sucrose"))
    left_kg = sugar.mass_kg - dry.sugar_to_peel_kg
    dissolved_kg = min(left_kg, room_kg)
    share = dissolved_kg / sugar.mass_kg if sugar.mass_kg else 0.0
    mixture = Mixture({"water": dry.water_to_syrup_kg}) + sugar.scaled(share) + liquid
    if peel:
        mixture = mixture + peel.marks
    return Syrup(
        mixture,
        dry.peel_kg,
        dry.water_to_syrup_kg,
        dry.sugar_to_peel_kg,
        dissolved_kg,
        max(0.0, left_kg - dissolved_kg),
    )


class KeptSyrup(Record):
    """Syrup that the drained peel keeps, kg, and its +/-."""

    mass_kg: float
    error_kg: float


def kept_syrup(
    peel_after_kg: float, share: tuple[float, float], vacuum_peel_kg: float
) -> KeptSyrup:
    """By the least and the most share of the drained peel.

    A vacuum draws liquid into the peel on top of it.
    """
    low, high = share
    mean, spread = infusion.vacuum_uptake_kg(vacuum_peel_kg)
    middle = 0.5 * (low + high) * peel_after_kg
    return KeptSyrup(middle + mean, 0.5 * (high - low) * peel_after_kg + spread)
