"""The inputs of reduce, the one target among them, and what of them cannot be."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.mixture import NOTHING, Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import choice, number, parts, quantity
from prepkit.pantry import Pantry, Part
from prepkit.shared import botanicals, straining
from prepkit.units import Measured


class Inputs(BaseInputs):
    """What goes into the pan or the freezer, and what is wanted."""

    only_read = ("measured_ph",)
    groups = (
        ("Most needed", "liquid method brix volume mass time heat"),
        ("Freezing", "ice_brix freezer"),
        ("Conditions", "measured_ph fridge room"),
    )

    liquid: tuple[Part, ...] = parts(
        "the liquid", "Juice, syrup or wine, and what is dissolved in it. One entry for each.",
        "1 l orange juice",
    )  # fmt: skip
    method: str = choice(
        ("boil", "freeze"), "how", "Water boiled off in an open pan, or frozen out and the ice "
        "drained.", default="boil",
    )  # fmt: skip
    brix: Measured | None = quantity(
        "Bx", "true dissolved solids wanted", "By weight of the liquid part. The expected "
                                               "refractometer reading follows.",
        "45", default=None, above=0, high=85,
        because="no syrup is richer", bare=True,
    )  # fmt: skip
    volume: Measured | None = quantity(
        "ml", "volume wanted", "The finished volume, measured at 20 °C and not hot.", "400 ml",
        default=None, above=0, high=1e7, because="a batch of at most ten cubic metres",
        extensive=True,
    )  # fmt: skip
    mass: Measured | None = quantity(
        "g", "weight wanted", "The finished weight: weigh the pan before and after.", "450 g",
        default=None, above=0, high=1e7, because="a batch of at most ten tonnes", extensive=True,
    )  # fmt: skip
    ice_brix: Measured | None = quantity(
        "Bx", "solids of the melted ice", "A reading of the drained ice, melted; to count what "
        "clings to it.", "3", default=None, low=0, high=60, because="ice, not syrup", bare=True,
    )  # fmt: skip
    freezer: Measured = quantity(
        "C", "temperature of the freezer", "For how far ice can form.", "-18 C", default=-18.0,
        low=-60, high=0, because="a freezer",
    )  # fmt: skip
    time: Measured | None = quantity(
        "min", "time on the heat", "For the sugar that acid splits meanwhile.", "20 min",
        default=None, above=0, high=1440, because="a day",
    )  # fmt: skip
    heat: Measured = quantity(
        "C", "temperature on the heat", "For the same; the published rate ends at 100 °C.", "95 C",
        default=100.0, low=20, high=100, because="the published rate ends there",
    )  # fmt: skip
    measured_ph: float | None = number(
        "measured pH", "pH of the liquid before, by a calibrated meter. It replaces the calculated "
        "one for the sugar that acid splits.", "3.4", default=None, low=0.5, high=10,
    )  # fmt: skip
    fridge: Measured = quantity(
        "C", "temperature of the fridge", "For crystals and pouring.", "4 C",
        default=4.0, low=0, high=15, because="a fridge",
    )  # fmt: skip
    room: Measured = quantity(
        "C", "temperature of the room", "For crystals.", "20 C",
        default=20.0, low=10, high=40, because="a room",
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: refused plants."""
        return botanicals.spotted(said, ("liquid",))


class Wanted(NamedTuple):
    """The one target: the input that says it, as it was said, and in kg, m3 or as a share."""

    name: str
    said: Measured
    amount: float


def wanted(inputs: Inputs) -> Wanted:
    """The one target; BadInput where there is none, or more than one."""
    targets = (("brix", inputs.brix, 1e-2), ("volume", inputs.volume, 1e-6),
               ("mass", inputs.mass, 1e-3))  # fmt: skip
    given = [Wanted(name, said, scale * said) for name, said, scale in targets if said is not None]
    if len(given) != 1:
        names = " and ".join(named(one.name) for one in given) or "none"
        raise BadInput(
            f"reduce needs one of {named('brix')}, {named('volume')} and {named('mass')}, and "
            f"{names} is given; write for example {named('brix')} 45.",
            given[0].name if given else "brix",
        )
    return given[0]


def check(inputs: Inputs, start: Mixture) -> None:
    """BadInput for a plant among the liquids, and for what reducing does not bring about."""
    for part in inputs.liquid:
        if straining.is_strained(part):
            raise BadInput(
                f"{named('liquid', part.words)} is a plant; strain it off first and reduce the "
                "liquid.",
                "liquid",
            )
    if not start.of("water"):
        raise BadInput(
            f"{named('liquid')} holds no water that could go; write for example 1 l juice."
        )
    aim = wanted(inputs)
    if aim.name == "brix":
        has = start.dissolved_solids
        if has < NOTHING:
            raise BadInput(
                f"{named('brix')}: nothing is dissolved in it, so no Brix is ever reached; give "
                f"{named('mass')}.",
                "brix",
            )
        if aim.amount <= has * (1.0 + NOTHING):
            raise BadInput(
                f"{named('brix')} is {100 * aim.amount:g} Bx, and the liquid is at "
                f"{100 * has:.1f} Bx already; reducing only goes up: ask for more, or thin it "
                "with blend.",
                "brix",
            )
    else:
        has, unit, scale = (
            (start.mass_kg, "g", 1e3) if aim.name == "mass" else (start.volume_20_m3, "ml", 1e6)
        )
        if aim.amount >= has * (1.0 - NOTHING):
            raise BadInput(
                f"{named(aim.name)} is {scale * aim.amount:g} {unit}, and there are only "
                f"{scale * has:.1f} {unit} to begin with; what is left must be less.",
                aim.name,
            )
    if inputs.ice_brix is not None:
        if inputs.method != "freeze":
            raise BadInput(
                f"{named('ice_brix')} belongs to {named('method')} freeze; leave it out.",
                "ice_brix",
            )
        if float(inputs.ice_brix) / 100 >= start.dissolved_solids:
            raise BadInput(
                f"{named('ice_brix')} is {float(inputs.ice_brix):g} Bx, no weaker than the liquid "
                f"before ({100 * start.dissolved_solids:.1f} Bx); drain the ice and read it again.",
                "ice_brix",
            )
    if inputs.time is not None and inputs.method != "boil":
        raise BadInput(
            f"{named('time')} is the time on the heat; leave it out when freezing.", "time"
        )
