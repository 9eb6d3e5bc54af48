"""What chill is told."""

from __future__ import annotations

from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, flag, parts, quantity, words
from prepkit.pantry import Part
from prepkit.science import cryogen

WAYS = ("stir", "shake", "no ice", "bottle", *cryogen.CRYOGENS)
PLACE_C = {"fridge": 4.0, "freezer": -18.0, "ice water": 0.0, "stirred ice water": 0.0}


class Inputs(BaseInputs):
    """The drink, and how it is made cold."""

    only_read = ("room_volume", "air_changes")
    groups = (
        ("Most needed", "part way target ice temperature bottle place"),
        ("Ice", "ice_temperature wet tin dilute_like"),
        ("Conditions", "part_temperature premixed place_temperature room_volume air_changes"),
    )
    takes = (("part_temperature", "temperature"),)

    part: tuple[Part, ...] = parts(
        "drink",
        "An amount of one ingredient, before any ice, with its own temperature if known. One "
        "entry for each.",
        "60 ml spirit 40 %",
        at=True,
    )
    way: str = choice(
        WAYS, "way of chilling",
        "Stir goes to a temperature, shake to the freezing point. No ice means water in its "
        "place. Bottle means a cold place. Cryogens are the last resort.",
        default="stir",
    )  # fmt: skip
    target: float | None = quantity(
        "C", "temperature wanted", "For stir, no ice, bottle and the cryogens.", "-2 C",
        default=None, low=-40, high=40, because="colder is not drinkable",
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature at the start", "Of all parts, unless each is given its own.", "20 C",
        default=20.0, low=-25, high=95, because="a liquid drink",
    )  # fmt: skip
    part_temperature: tuple[str, ...] = words(
        "temperature of each part", "Once for each part, in the same order.", "-18 C",
        default=(), many=True,
    )  # fmt: skip
    premixed: bool = flag(
        "mixed before", "The parts were mixed earlier and their heat of mixing has gone."
    )
    ice: float | None = quantity(
        "g", "ice", "In the tin or glass. Without it, as much as the drink weighs.",
        "120 g", default=None, low=0, extensive=True,
    )  # fmt: skip
    ice_temperature: float = quantity(
        "C", "temperature of the ice", "Well ice is wet and at 0 °C, freezer ice at -18 °C.", "0 C",
        default=0.0, low=-40, high=0, because="ice is at or below 0 °C",
    )  # fmt: skip
    wet: float = quantity(
        "%", "water on the ice", "Of the ice's weight; it comes in as dilution.", "3 %",
        default=0.0, low=0, high=50, because="more is water",
    )  # fmt: skip
    tin: float = quantity(
        "g", "steel chilled with it", "Weight of a tin that was not cold before.", "250 g",
        default=0.0, low=0, extensive=True,
    )  # fmt: skip
    dilute_like: float | None = quantity(
        "C", "dilution as if stirred to", "For no ice. Without it, the target.", "-2 C",
        default=None, low=-15, high=40, because="ice brings no drink lower",
    )  # fmt: skip
    place: str = choice(tuple(PLACE_C), "cold place", "Where the bottle is kept.", default="fridge")
    place_temperature: float | None = quantity(
        "C", "temperature of that place",
        "4 °C in a fridge, -18 °C in a freezer, 0 °C in ice water where it is not given.", "4 C",
        default=None, low=-40, high=20, because="a cold place",
    )  # fmt: skip
    bottle: float = quantity(
        "ml", "size of one bottle", "Of glass.", "700 ml",
        default=700.0, low=50, high=5000, because="a bottle",
    )  # fmt: skip
    room_volume: float | None = quantity(
        "m3", "net volume of the room", "Needed for a cryogen; never assumed.", "40 m3",
        default=None, low=0.02, high=1e6, because="a fridge to a hall",
    )  # fmt: skip
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air of the room",
        "Needed for a cryogen: measured air changes an hour, or a flow such as 50 l/s.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
