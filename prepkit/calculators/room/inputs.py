"""What room is told."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from prepkit.calculators.room.release import Released
from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, flag, number, quantity, words
from prepkit.pantry import Pantry
from prepkit.shared import places
from prepkit.units import Measured


class Inputs(BaseInputs):
    """The room, its air, and what is set free in it."""

    only_read = (
        "volume", "length", "width", "height", "equipment",
        "air_changes", "worst_corner", "temperature", "altitude",
    )  # fmt: skip
    groups = (
        ("Most needed", "volume release rate air_changes place"),
        ("Size of the room", "length width height equipment cap_height"),
        ("Conditions", "counted_on worst_corner jurisdiction temperature altitude for"),
    )
    takes = (
        ("release", "amount"),
        ("rate", "rate"),
        ("jurisdiction", "place"),
    )

    judged_at_end: ClassVar[Mapping[str, int]] = {
        "volume": -1,
        "length": -1,
        "width": -1,
        "height": -1,
        "air_changes": -1,
    }

    release: tuple[Released, ...] = words(
        "gas set free",
        "One entry for each, at once or over a time. By mass or pieces: 8 kg co2, 3 n2o "
        "chargers, 2 kg dry ice, 5 l liquid nitrogen. By volume: 1.8 l n2o gas. By cylinder: "
        "10 kg co2 cylinder, 50 l nitrogen cylinder at 200 bar. "
        "Mixtures: 2 m3 of 70 % nitrogen and 30 % co2. Over a time: 40 n2o chargers over 5 h.",
        "8 kg co2",
        default=(),
        many=True,
    )
    rate: tuple[Released, ...] = words(
        "gas set free steadily",
        "A leak, dry ice in a box, a dewar, one entry for each. Such as 0.2 kg/h co2, 3 l/min "
        f"n2o, 0.3 l/d liquid nitrogen. With {named('for')}.",
        "0.2 kg/h co2",
        default=(),
        many=True,
    )
    volume: Measured | None = quantity(
        "m3", "net volume of the room", "Without what furniture fills; never assumed.", "30 m3",
        default=None, low=0.02, high=1e6, because="a fridge to a hall",
    )  # fmt: skip
    length: float | None = quantity(
        "m", "length",
        f"With {named('width')} and {named('height')}, in place of {named('volume')}.", "5 m",
        default=None, low=0.1, high=500, because="a room",
    )  # fmt: skip
    width: float | None = quantity(
        "m", "width", "Inside.", "4 m", default=None, low=0.1, high=500, because="a room"
    )
    height: float | None = quantity(
        "m", "height", "Inside.", "2.5 m", default=None, low=0.1, high=100, because="a room"
    )
    equipment: float = quantity(
        "%", "share that furniture fills", "Of the measured volume.", "10 %",
        default=0.0, low=0, high=95, because="a room with people",
    )  # fmt: skip
    cap_height: bool = flag(
        "at most 2 m height", "Cold gas lies low, and one guide counts no more."
    )
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air",
        "As measured: air changes an hour, or a flow such as 50 l/s or 100 cfm. Without it, "
        "none are counted. At most 20 /h are counted.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    counted_on: str = choice(
        ("unknown", "supply", "exhaust"), "flow that they stand for",
        "For a leak; the verdict takes the harder figure.", default="unknown",
    )  # fmt: skip
    place: str = choice(places.PLACES, "kind of room", "Where it is set free.", default="room")
    worst_corner: float = number(
        "factor for the worst corner",
        "Times the mean of the room, by the leak or at the floor: 1 is perfectly mixed air.",
        "3", default=1.0, low=1, high=10, because="the published mixing factors",
    )  # fmt: skip
    jurisdiction: str | None = words(
        "jurisdiction",
        "The place whose limits count, such as US, California, UK, DE, EU or Australia. "
        "Without it, the strictest of all.",
        "UK", default=None,
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature of the room", "Warm gas takes up more room.", "20 C",
        default=20.0, low=-10, high=45, because="a room with people",
    )  # fmt: skip
    altitude: float = quantity(
        "m", "altitude", "Thin air leaves more room to the gas.", "0 m",
        default=0.0, low=0, high=5000, because="the standard atmosphere of kitchens",
    )  # fmt: skip

    for_: float | None = quantity(
        "h", "duration of the rate",
        "Until somebody stops it. Without it, a shift of 8 h.", "3 h",
        default=None, above=0, high=5000, because="half a year",
    )  # fmt: skip

    @classmethod
    def tidy_field(cls, name: str, said: object) -> object:
        """Hook of the base: a walk-in is a cold room."""
        if not isinstance(said, str):
            return said
        place = places.tidy(said)
        if name == "volume" and place in places.PLACES:
            raise BadInput(
                f'{named("volume")} "{said.strip()}" is a kind of room. Write it as '
                f"{named('place', place)}, and measure the net volume in m3.",
                "volume",
            )
        return place if name == "place" else said

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: what is released by its words."""
        if name not in ("release", "rate"):
            return value
        found = tuple(Released.read(one, named(name)) for one in value)
        for one in found:
            if name == "rate" and not one.steady:
                raise BadInput(
                    f'{named("rate")} is "{one}", an amount; write a rate such as 0.2 kg/h co2, '
                    f"or give it as {named('release')}.",
                    "rate",
                )
        return found
