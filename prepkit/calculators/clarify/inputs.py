"""The inputs of clarify, the ways without milk, and what each way may be given."""

from __future__ import annotations

from typing import NamedTuple

from prepkit import model
from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, flag, number, parts, quantity
from prepkit.pantry import Part
from prepkit.units import Measured


class Agent(NamedTuple):
    """A way without milk: dose from trade to trade, yield from to, what it takes out."""

    dose: tuple[float, float] | None  # g per kg of what is cleared
    yields: tuple[float, float]  # shares, practice
    takes: str
    allergen: str
    vegan: bool
    source: str = "FINING-DOSES"


# doses [FINING-DOSES] and [GEL-CLARIFYING] (read), mg/l of wine taken as mg/kg; yields practice:
# fining lees 2 to 5 % lost
AGENTS = {
    "freeze-thaw": Agent((5.0, 5.0), (0.60, 0.85), "fat and haze", "", False, "GEL-CLARIFYING"),
    "agar": Agent((2.0, 2.0), (0.75, 0.90), "haze", "", True, "GEL-CLARIFYING"),
    "centrifuge": Agent(None, (0.80, 0.95), "haze and pulp", "", True, "GEL-CLARIFYING"),
    "enzyme": Agent((0.5, 4.0), (0.95, 1.0), "pectin, not tannin", "", True, "PRACTICE"),
    "bentonite": Agent((0.25, 0.5), (0.95, 0.98), "protein", "", True),
    "gelatine": Agent((0.015, 0.3), (0.95, 0.98), "tannin", "", False),
    "isinglass": Agent((0.01, 0.1), (0.95, 0.98), "tannin", "fish", False),
    "egg white": Agent((0.06, 0.1), (0.95, 0.98), "tannin", "eggs", False),
    "casein": Agent((0.05, 0.5), (0.95, 0.98), "tannin", "milk", False),
    "pvpp": Agent((0.2, 0.6), (0.95, 0.98), "tannin", "", True),
    "silica": Agent((0.03, 0.3), (0.95, 0.98), "haze, with gelatine", "", False),
    "carbon": Agent((0.1, 1.0), (0.95, 0.98), "colour and smell", "", True),
}
WITH_GELATINE = ("freeze-thaw", "gelatine", "silica")  # silica does not clear by itself
FREEZER_C = -18.0  # if left out: a freezer for food [JUDGEMENT]
MILKS = ("whole milk", "skimmed milk")


class Inputs(BaseInputs):
    """What is to be cleared, how, and what you weighed after."""

    only_read = ("measured_ph", "rotor", "radius")
    groups = (
        ("Most needed", "part way milk temperature curd clear measured_ph"),
        ("Other ways", "dose freezer"),
        ("Centrifuge", "radius speed rotor still_time vapour_allowed"),
    )

    part: tuple[Part, ...] = parts(
        "to be cleared", "All but the milk. One for each.", "700 ml spirit 43 %"
    )
    way: str = choice(
        ("milk", *AGENTS), "way", "How it is cleared. Milk if left out.", default="milk"
    )
    milk: Part | None = model.part(
        "milk", "The milk that is curdled.", "400 ml whole milk", default=None
    )
    temperature: Measured = quantity(
        "C", "temperature of the mix", "As it is cleared; of punch and milk once together.", "20 C",
        default=20.0, low=0, high=80, because="what milk is curdled at",
    )  # fmt: skip
    curd: str | None = choice(
        ("drained", "pressed"), "curd", "Left to drip through a cloth, or pressed. Drained if "
        "left out.", default=None,
    )  # fmt: skip
    clear: Measured | None = quantity(
        "g", "clear liquid, weighed", "All that ran clear; replaces the band of the yield.",
        "1500 g", default=None, above=0, extensive=True,
    )  # fmt: skip
    measured_ph: float | None = number(
        "measured pH", "pH of punch and milk once together, with a calibrated meter.", "4.4",
        default=None, low=0.5, high=10,
    )  # fmt: skip
    dose: Measured | None = quantity(
        "g", "agent, weighed", "Of the agent; an enzyme by the dose on its label. Without it the "
        "least of the trade's range.", "2 g", default=None, above=0, extensive=True,
    )  # fmt: skip
    freezer: Measured | None = quantity(
        "C", "temperature of the freezer", "For freezing and thawing. -18 °C if left out.",
        "-18 C", default=None, low=-40, high=0, because="a freezer",
    )  # fmt: skip
    radius: Measured | None = quantity(
        "mm", "radius of the spin", "From the middle of the rotor to the liquid.", "100 mm",
        default=None, above=0, high=500, because="a rotor for a bar",
    )  # fmt: skip
    speed: float | None = number(
        "speed of the spin", "Turns in a minute.", "4000", default=None, above=0, high=30000,
        because="a rotor for a bar",
    )  # fmt: skip
    rotor: float | None = number(
        "highest speed of the rotor", "Turns in a minute, from its plate or manual.", "4500",
        default=None, above=0, high=100000,
    )  # fmt: skip
    still_time: Measured | None = quantity(
        "h", "time to clear by standing", "Your own trial on a shelf, as deep as the tube.",
        "48 h", default=None, above=0, high=2000, because="weeks on a shelf",
    )  # fmt: skip
    vapour_allowed: bool = flag(
        "spirit allowed", "The centrifuge's manual allows liquids whose vapour burns."
    )


_OF_WAY = {
    "milk": ("milk", "measured_ph", "curd"),
    "freeze-thaw": ("freezer",),
    "centrifuge": ("radius", "speed", "rotor", "still_time", "vapour_allowed"),
}


def only_of_its_way(inputs: Inputs) -> None:
    """Raises BadInput where a way lacks its words or is given those of another."""
    for way, fields in _OF_WAY.items():
        for field in fields:
            if inputs.way != way and getattr(inputs, field) not in (None, False):
                raise BadInput(
                    f"{named(field)} is for {named('way', way)}; with {named('way', inputs.way)} "
                    "leave it out.",
                    field,
                )
    if inputs.dose is not None and inputs.way in ("milk", "centrifuge"):
        raise BadInput(
            f"{named('dose')} is of an agent; with {named('way', inputs.way)} leave it out.", "dose"
        )
    if inputs.way == "milk" and (inputs.milk is None or not inputs.milk.mass_kg):
        raise BadInput(
            f"enter how much milk, such as {named('milk', '250 ml whole milk')}, or choose "
            f"another way, such as {named('way', 'agar')}.",
            "milk",
        )
    for one, other in (("radius", "speed"), ("speed", "radius")):
        if getattr(inputs, one) is not None and getattr(inputs, other) is None:
            raise BadInput(f"{named(one)} needs {named(other)} beside it.", other)
    if inputs.still_time is not None and inputs.speed is None:
        raise BadInput(f"{named('still_time')} needs {named('speed')} beside it.", "speed")
