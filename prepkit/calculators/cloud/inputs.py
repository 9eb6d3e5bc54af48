"""What cloud is told, and which of it each kind of cloud reads."""

from __future__ import annotations

from prepkit.errors import BadInput, named
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, flag, parts, quantity, words
from prepkit.pantry import Part
from prepkit.shared import places
from prepkit.units import Measured

DOME, GLASS, BUBBLE, MIST = "smoke dome", "smoked glass", "aroma bubble", "mist"
FOG, BREATH, SPOON, RIM = "fog", "gas to breathe", "foam by the spoon", "spray on the rim"
WAYS = (DOME, GLASS, BUBBLE, MIST, FOG, BREATH, SPOON, RIM)
SMOKES, ROOM_INPUTS = (DOME, GLASS), ("room_volume", "air_changes", "place", "hours")
AT_IT, AWAY = "at it", "away"
# what each way reads beside `way`; anything else that is told is refused, never ignored
READS: dict[str, tuple[str, ...]] = {
    DOME: ("burnt", "fuel", "space", "face", "clouds", "alarm", *ROOM_INPUTS),
    GLASS: ("burnt", "fuel", "space", "aired", "clouds", "alarm", *ROOM_INPUTS),
    BUBBLE: ("liquid", "burnt", "fuel", "space"),
    MIST: ("liquid", "rate", "room_volume", "air_changes", "hours"),
    FOG: ("liquid", "face", "fog_from", "place"),
    BREATH: ("gas",),
    SPOON: ("liquid", "gas", "foam_volume"),
    RIM: ("liquid", "face"),
}
AIRED_S = 10.0  # [CLOUD-PRACTICE] (practice)


class Inputs(BaseInputs):
    """What the cloud is made of, how, where the faces are, and the room."""

    only_read = ("room_volume", "air_changes")
    groups = (
        ("Most needed", "way burnt fuel space liquid gas face aired fog_from"),
        ("The room", "room_volume air_changes place clouds hours rate alarm"),
        ("Foam", "foam_volume"),
    )
    takes = (("gas", "gas"), ("burnt", "name"))

    way: str = choice(
        WAYS, "kind of cloud", "How a guest meets it. Breathed clouds are refused, but for water."
    )
    burnt: str | None = words(
        "plant that smoulders", "Wood or herb, by its name. Never treated wood.", "oak",
        default=None,
    )  # fmt: skip
    fuel: Measured | None = quantity(
        "g", "burnt for one cloud", "Weigh the fuel before and after.", "0.5 g", default=None,
        above=0, high=1000, because="one dome or glass",
    )  # fmt: skip
    space: Measured | None = quantity(
        "l", "space the cloud fills", "Of the dome, the glass or the bubble.", "1 l",
        default=None, above=0.001, high=1000, because="a dome or a glass",
    )  # fmt: skip
    liquid: tuple[Part, ...] = parts(
        "liquid of the cloud", "All that is sprayed, misted or in the foam.", "50 ml water",
        default=None,
    )  # fmt: skip
    gas: str | None = words("gas of the cloud", "In the balloon or the foam.", "helium",
                            default=None)  # fmt: skip
    face: str | None = choice(
        (AT_IT, AWAY), "where the faces are", "Away: an arm's length, and it is lifted under a "
        "hood or in moving air.", default=None,
    )  # fmt: skip
    aired: Measured | None = quantity(
        "s", "aired after tipping out", "The glass, before the drink goes in.", "10 s",
        default=None, low=0, high=3600, because="one glass",
    )  # fmt: skip
    fog_from: str | None = choice(
        ("separate vessel", "the drink"), "dry ice lies in", "Never in what is drunk.",
        default=None,
    )  # fmt: skip
    rate: Measured | None = quantity(
        "l/h", "liquid misted", "By the tank, before and after an hour.", "0.3 l/h", default=None,
        above=0, high=100, because="a mister",
    )  # fmt: skip
    clouds: Measured | None = quantity(
        "/h", "clouds an hour", "All of them in this room.", "10 /h", default=None, above=0,
        high=1000, because="one room",
    )  # fmt: skip
    hours: Measured = quantity(
        "h", "hours of service", "The bartender's shift.", "8 h", default=8.0, above=0, high=24,
        because="a day",
    )  # fmt: skip
    room_volume: Measured | None = quantity(
        "m3", "volume of the room, net", "Without furniture and people.", "50 m3", default=None,
        above=0, high=1e6, because="a room",
    )  # fmt: skip
    air_changes: Measured | None = quantity(
        "/h", "fresh air", "Measured. None is counted if left out.", "4 /h", default=None, low=0,
        high=100, because="a room",
    )  # fmt: skip
    place: str = choice(places.PLACES, "kind of room", "Where it is lit or stands.",
                        default="room")  # fmt: skip
    foam_volume: Measured | None = quantity(
        "ml", "foam in one serve", "To know its gas.", "100 ml", default=None, above=0, high=2000,
        because="one serve",
    )  # fmt: skip
    alarm: bool = flag("alarm", "A carbon monoxide alarm that works hangs in the room.")


def check(inputs: Inputs) -> None:
    """BadInput for what the way does not read: nothing that is told is ignored."""
    for name, spec in inputs.specs().items():
        if name == "way" or name in READS[inputs.way]:
            continue
        if getattr(inputs, name) != inputs.default(name):
            raise BadInput(
                f"{named(name)} ({spec.label}) does not go with {inputs.way}; leave it out.",
                name,
            )
