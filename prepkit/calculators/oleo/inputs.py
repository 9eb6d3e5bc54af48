"""The inputs of oleo: their words read, and what of them cannot be together."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from prepkit import grammar, jurisdictions
from prepkit.errors import BadInput, UnknownIngredient, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, flag, number, part, parts, quantity, words
from prepkit.pantry import Ingredient, Pantry, Part
from prepkit.shared import botanicals
from prepkit.units import Measured, parse_number, without_amount

PEELED = ("as given", "whole peel", "strips", "zest")
DROPPERS = ("bottle insert", "3 mm tip")
SUCROSE_AT_LEAST = 0.85


class Drops(str):
    """Words such as "12 lemon oil": a number of drops of one essential oil."""

    number: float
    ingredient: Ingredient

    @classmethod
    def read(cls, words: str, pantry: Pantry) -> Drops:
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

    @classmethod
    def tidy_field(cls, name: str, said: Any) -> Any:  # Any: words of any field
        """Hook of the base: a place by any of its names."""
        known = name == "jurisdiction" and isinstance(said, str)
        return jurisdictions.choice_of(said) if known else said

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
    for one in given if isinstance(given, list | tuple) else [given]:
        many += grammar.split(one) if isinstance(one, str) else [one]
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
