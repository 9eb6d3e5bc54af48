"""What keep is told: what it is, what was measured, and its days."""

from __future__ import annotations

from typing import Any

from prepkit import jurisdictions
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, count, flag, held, number, parts, quantity
from prepkit.model import words as words_of
from prepkit.pantry import Pantry, Part
from prepkit.shared import keeping_rules
from prepkit.units import Measured


class Inputs(BaseInputs):
    """What it is, what was measured, and its days."""

    only_read = ("ph", "water_activity", "fridge", "out_of_cold", "warmest")
    groups = (
        ("Most needed", "part ph made today treatment contains"),
        ("Measured", "water_activity abv sugar"),
        ("Dates", "ingredient_date use_by frozen"),
        ("Conditions", "acidified fridge out_of_cold warmest jurisdiction"),
    )
    takes = (
        ("contains", "name"),
        ("made", "date"),
        ("ingredient_date", "date"),
        ("use_by", "date"),
        ("today", "date"),
    )

    # what the ingredients that are named with a day bring along; they are in it
    _dated: Mixture = held(Mixture({}))
    _unknown: tuple[str, ...] = held(())

    part: tuple[Part, ...] = parts(
        "what is in it", "For its alcohol, sugar, milk, egg and plants. Figures computed from it "
        "are shown and never clear it.", "1 kg lemon juice", default=None,
    )  # fmt: skip
    ph: float | None = number(
        "measured pH", "With a calibrated meter, at equilibrium: after 24 hours and blended where "
        "there are pieces.", "3.9", default=None, low=0, high=14, because="the pH scale",
    )  # fmt: skip
    water_activity: float | None = number(
        "measured water activity", "With a meter, at 25 °C.", "0.93", default=None, low=0, high=1,
        because="pure water has 1",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "strength", "Where no parts are given.", "18 % vol", default=None, low=0, high=100,
        because="a strength", bare=True,
    )  # fmt: skip
    sugar: Measured | None = quantity(
        "g/l", "sugar", "Where no parts are given.", "300 g/l", default=None, low=0, high=900,
        because="no syrup holds more",
    )  # fmt: skip
    contains: tuple[str, ...] = words_of(
        "foods under special rules", "Dairy, egg, raw egg, garlic in oil, herb in oil, low-acid "
                                    "plant, fresh juice. One entry for each.",
        "dairy", default=(), many=True,
    )  # fmt: skip
    treatment: str = choice(
        ("none", "heated", keeping_rules.PACKAGED),
        "heat treatment",
        "Heated: enough to kill vegetative germs, and handled afterwards. Heated and packaged: "
        "closed in its package after that heat.",
        default="none",
    )
    acidified: bool = flag(
        "acid added for keeping", "A regulated act, other than acid for flavour."
    )
    made: str | None = words_of(
        "day of making", "It is day 1. Year, month, day.", "2026-11-25", default=None
    )
    ingredient_date: tuple[str, ...] = words_of(
        "days of ingredients", "Name and day on which it was itself made or opened; the oldest "
        "sets day 1. Everything named here counts as being in it.", "cream 2026-11-22",
        default=(), many=True,
    )  # fmt: skip
    use_by: tuple[str, ...] = words_of(
        "makers' last days", "Name and last day on the package.", "cream 2026-11-29", default=(),
        many=True,
    )  # fmt: skip
    frozen: int = count(
        "days frozen", "Whole days at freezing, which stop the count.", "3", default=0, high=365
    )
    today: str | None = words_of("today", "To see what is left.", "2026-11-28", default=None)
    fridge: Measured | None = quantity(
        "C", "temperature it is kept at", "As measured in the food; the days hold at 5 °C or "
        "colder.", "4 C", default=None, low=-30, high=40, because="keeping cold; hot holding is "
        "at 57 °C or above and by the hour",
    )  # fmt: skip
    out_of_cold: Measured | None = quantity(
        "h", "hours out of the cold", "In all, since it was made.", "2 h", default=None, low=0,
        high=1000, because="a day is the most",
    )  # fmt: skip
    warmest: Measured | None = quantity(
        "C", "warmest it became", "In the food, while it was out.", "18 C", default=None, low=-30,
        high=100, because="a food",
    )  # fmt: skip
    jurisdiction: str = choice(
        jurisdictions.CHOICES, "jurisdiction", "The place whose rules count. Without it, the "
                                              "strictest.", default="strictest",
    )  # fmt: skip

    @classmethod
    def tidy_field(cls, name: str, said: Any) -> Any:  # Any: words of any field
        """Hook of the base: a place by any of its names."""
        known = name == "jurisdiction" and isinstance(said, str)
        return jurisdictions.choice_of(said) if known else said

    def after_reading(self, pantry: Pantry) -> None:
        """Hook of the base: what is named with a day."""
        dated, unknown = keeping_rules.dated((*self.ingredient_date, *self.use_by), pantry)
        self.hold("_dated", dated)
        self.hold("_unknown", unknown)


def checked(inputs: Inputs, mixture: Mixture | None) -> None:
    """What cannot be judged together is refused. Raises BadInput."""
    known = (inputs.ph, inputs.water_activity, inputs.made, inputs.abv, inputs.sugar)
    if mixture is None and not inputs.contains and all(one is None for one in known):
        raise BadInput(
            f"keep needs something to judge. Enter {named('ph')} and {named('water_activity')} as "
            f"measured, {named('part')} or "
            f"{named('contains')} for what is in it, or {named('made')} for days.",
            "ph",
        )
    for name in ("abv", "sugar"):
        if mixture is not None and getattr(inputs, name) is not None:
            raise BadInput(
                f"{named(name)} follows from the parts; leave it out, or leave out "
                f"{named('part')}.",
                name,
            )
    for name in ("ingredient_date", "use_by", "today"):
        if getattr(inputs, name) and inputs.made is None:
            raise BadInput(
                f"{named(name)} needs {named('made')}, the day of making, such as 2026-11-25.",
                "made",
            )
    if inputs.frozen and inputs.made is None:
        raise BadInput(f"{named('frozen')} needs {named('made')}, the day of making.", "made")
