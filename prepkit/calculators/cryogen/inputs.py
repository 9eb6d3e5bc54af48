"""What cryogen is told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from prepkit.model import Inputs as BaseInputs
from prepkit.model import (
    choice,
    number,
    parts,
    quantity,
    words,
)
from prepkit.pantry import Part
from prepkit.science import cryogen
from prepkit.shared import places
from prepkit.units import Measured

SERVICE = ("gone", "fog beside", "fog", "punch bowl", "left in")


class Inputs(BaseInputs):
    """What is chilled, what is stored, and the room it is done in."""

    only_read = ("room_volume", "air_changes", "dewar_loss", "room_temperature")
    groups = (
        ("Most needed", "cryogen part target room_volume air_changes stored hours"),
        ("Store", "dewar_loss place"),
        ("Conditions", "temperature cold_used service jurisdiction room_temperature"),
    )
    takes = (("jurisdiction", "place"),)

    judged_at_end: ClassVar[Mapping[str, int]] = {"room_volume": -1, "air_changes": -1}

    cryogen: str = choice(
        tuple(cryogen.CRYOGENS), "cryogen", "Of food grade where it touches food at all."
    )
    part: tuple[Part, ...] = parts(
        "what is chilled", "An amount of one ingredient. One entry for each.",
        "2 l syrup 20 Bx", default=None, at=True,
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature at the start", "Of the parts without their own.", "20 C",
        default=20.0, low=-20, high=95, because="a liquid batch",
    )  # fmt: skip
    target: float | None = quantity(
        "C", "temperature wanted", "Of the batch, at rest, when all the cryogen has gone.", "2 C",
        default=None, low=-40, high=40, because="colder is not for eating",
    )  # fmt: skip
    stored: Measured | None = quantity(
        ("kg", "l"), "cryogen kept in that room",
        "In a cooler or dewar, on top of what is used. Litres for liquid nitrogen only.", "5 kg",
        default=None, low=0, high=1e6, because="more is a plant", extensive=True,
    )  # fmt: skip
    hours: float = quantity(
        "h", "time it is kept", "For what is left of it.", "8 h",
        default=8.0, low=0, high=200, because="no box keeps it longer",
    )  # fmt: skip
    dewar_loss: float | None = quantity(
        "l/d", "loss of the dewars", "As the maker states it, all together; doubled for age.",
        "0.3 l/d", default=None, low=0, high=1000, because="more is a plant", extensive=True,
    )  # fmt: skip
    room_volume: float | None = quantity(
        "m3", "net volume of the room", "Needed for any figure. Never assumed.", "60 m3",
        default=None, low=0.02, high=1e6, because="a fridge to a hall",
    )  # fmt: skip
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air",
        "As measured: air changes an hour, or a flow such as 50 l/s. At most 20 /h are "
        "counted. Never assumed.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    place: str = choice(places.PLACES, "kind of room", "Where it is used or kept.", default="room")
    cold_used: float | None = number(
        "share of the cold used",
        "0 where the gas leaves as cold as it boils off, 1 where it leaves as warm as the batch "
        "ends; measured, for one figure inside the range.",
        "0.5",
        default=None,
        low=0,
        high=1,
        because="a share",
    )
    service: str | None = choice(
        SERVICE, "cryogen at serving",
        "Gone means none is left. Fog beside comes from a separate vessel that nobody drinks "
        "from. Fog comes from the glass. Punch bowl and left in mean it touches the drink.",
        default=None,
    )  # fmt: skip
    jurisdiction: str | None = words(
        "jurisdiction",
        "The place whose rules count, such as New York, US or UK. Without it, the strictest.",
        "New York", default=None,
    )  # fmt: skip
    room_temperature: float = quantity(
        "C", "temperature of the room", "Its gas takes up more room when warm.", "20 C",
        default=20.0, low=-10, high=45, because="a room with people",
    )  # fmt: skip

    @classmethod
    def tidy_field(cls, name: str, said: object) -> object:
        """Hook of the base: a walk-in is a cold room."""
        if name == "service" and isinstance(said, str):
            return said.replace("-", " ")
        return places.tidy(said) if name == "place" and isinstance(said, str) else said
