"""What coffee is told, and what of it does not go together."""

from __future__ import annotations

from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, number, quantity
from prepkit.units import Measured

MOST_SERVED_C = 100.0


class Inputs(BaseInputs):
    """What was brewed with what, what was weighed and read, and how it is served."""

    groups = (
        ("Most needed", "brew dose water beverage tds refractometer bean leaf serve"),
        ("Of your own", "extraction held caffeine crema"),
        ("Conditions", "time hours temperature served_at"),
    )

    brew: str = choice(
        ("espresso", "filter", "steeped", "cold brew", "tea"), "how it is brewed",
        "Steeped: all the water stays with the grounds, hot. Cold brew: the same, cold.",
    )  # fmt: skip
    dose: Measured = quantity(
        "g", "dry coffee or leaf", "As it is weighed in.", "18 g", above=0, high=1e6,
        because="a batch of at most a tonne", extensive=True,
    )  # fmt: skip
    water: Measured | None = quantity(
        ("g", "ml"), "water poured", "On to the grounds or the leaf.", "300 g", default=None,
        above=0, high=1e7, because="a batch of at most ten tonnes", extensive=True,
    )  # fmt: skip
    beverage: Measured | None = quantity(
        "g", "what ran out, weighed", "In the cup or jug. An espresso needs it.", "36 g",
        default=None, above=0, high=1e7, because="a batch of at most ten tonnes", extensive=True,
    )  # fmt: skip
    tds: Measured | None = quantity(
        "% w/w", "dissolved solids, measured", "From a coffee refractometer, filtered.", "9 %",
        default=None, above=0, high=30, because="no coffee or tea has more",
    )  # fmt: skip
    refractometer: Measured | None = quantity(
        "Bx", "refractometer, on the sugar scale", "Black filtered coffee, at 20 °C.", "10.5 Bx",
        default=None, above=0, high=20, because="black coffee", bare=True,
    )  # fmt: skip
    bean: str | None = choice(
        ("arabica", "robusta", "blend"), "which coffee", "It decides the caffeine.", default=None
    )
    leaf: str = choice(
        ("black", "green"), "which tea", "Oolong: green. Plants that are no tea: infuse.",
        default="black",
    )  # fmt: skip
    serve: Measured | None = quantity(
        ("g", "ml"), "in one serve", "The share of one guest.", "36 g", default=None, above=0,
        high=5000, because="one guest",
    )  # fmt: skip
    extraction: Measured | None = quantity(
        "%", "share that dissolves", "Of the dry weight, by your own readings.", "20 %",
        default=None, low=1, high=35, because="coffee gives about 30 % at most",
    )  # fmt: skip
    held: float | None = number(
        "water held back", "g for each g of dry coffee or leaf, by your own weighings.", "2.0",
        default=None, low=0, high=6,
    )  # fmt: skip
    caffeine: Measured | None = quantity(
        "%", "caffeine of the dry weight", "From the roaster or a laboratory; decaf too.",
        "1.2 %", default=None, low=0, high=5, because="no coffee or tea holds more",
    )  # fmt: skip
    crema: Measured | None = quantity(
        "%", "foam, share of volume", "Read in a narrow glass.", "20 %", default=None,
        low=0, high=80, because="a share of the cup",
    )  # fmt: skip
    time: Measured | None = quantity(
        "s", "time of an espresso", "From the pump's start to the end.", "25 s", default=None,
        above=0, high=600, because="an espresso",
    )  # fmt: skip
    hours: Measured | None = quantity(
        "h", "hours of cold brew", "Until it is strained.", "16 h", default=None, above=0,
        high=72, because="three days at most",
    )  # fmt: skip
    temperature: Measured | None = quantity(
        "C", "temperature of the water", "While it brews.", "93 C", default=None, low=0, high=100,
        because="water",
    )  # fmt: skip
    served_at: Measured | None = quantity(
        "C", "temperature as it is used", "As it goes into the drink.", "67 C", default=None,
        low=0, high=MOST_SERVED_C, because="water",
    )  # fmt: skip


def check(inputs: Inputs, immersion: bool) -> None:
    """BadInput for what contradicts itself or belongs to another way of brewing."""
    told = [name for name in ("tds", "refractometer", "extraction")
            if getattr(inputs, name) is not None]  # fmt: skip
    if len(told) > 1:
        raise BadInput(
            f"{named(told[0])} and {named(told[1])} each give the strength; give one of them.",
            told[1],
        )
    tea = inputs.brew == "tea"
    if tea and inputs.refractometer is not None:
        raise BadInput(
            f"{named('refractometer')} is known for coffee only; dry a weighed sample of the tea "
            f"and give {named('tds')}.",
            "refractometer",
        )
    for name, wrong in (("bean", tea), ("leaf", not tea and inputs.leaf != "black")):
        if wrong and getattr(inputs, name) is not None:
            raise BadInput(f"{named(name)} does not go with {inputs.brew}.", name)
    for name, brew in (("time", "espresso"), ("hours", "cold brew"), ("crema", "espresso")):
        if getattr(inputs, name) is not None and inputs.brew != brew:
            raise BadInput(f"{named(name)} is for {brew}, not for {inputs.brew}.", name)
    if inputs.held is not None and inputs.water is not None and inputs.beverage is not None:
        raise BadInput(
            f"{named('held')} follows from {named('water')} and {named('beverage')}; give two of "
            "the three.",
            "held",
        )
    if inputs.brew == "espresso" and inputs.beverage is None:
        raise BadInput(
            f"an espresso needs {named('beverage')}, its weight in the cup, such as 36 g.",
            "beverage",
        )
    if inputs.water is None and (immersion or inputs.beverage is None):
        raise BadInput(
            f"{inputs.brew} needs {named('water')}, all that is poured, such as 300 g.", "water"
        )
