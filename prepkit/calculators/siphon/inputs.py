"""Inputs of siphon, the customs of the trade, checks of what was asked and of what is in it."""

import math
import re
from collections.abc import Callable, Mapping
from datetime import date
from math import ceil, floor
from typing import Any, ClassVar, TypeVar

from prepkit import derived
from prepkit.errors import BadInput, OutOfRange, PrepkitError, later, named
from prepkit.facts import Facts
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, count, flag, number, part, quantity, read, words
from prepkit.mixture import (
    CARBONATE,
    FERMENTING,
    GASSY,
    SETS_COLD,
    SETS_HOT,
    SOLID_FAT,
    SUGARS,
    Mixture,
)
from prepkit.model import Step
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import charged_vessel, dissolved_gas, ethanol, food, gases
from prepkit.science.charged_vessel import MOST_PORTIONS
from prepkit.shared import drink
from prepkit.shared.drink import ROUNDING, too_many
from prepkit.units import Measured

# ---- customs of the trade ----

# [CHARGER-PAGES], customs: grams in one charger. Nitrogen bulbs hold 2.0 to 2.4 g: the heavier.
CHARGER_G = {"n2o": 8.0, "co2": 8.0, "n2": 2.4}
BULB_ML = 10.0


class Style(Record):
    """A use of the siphon: its gases, chargers per litre by custom, least pressure to pour at."""

    gases: tuple[str, ...]
    chargers_per_l: float
    least_bar: float


# [SIPHON-PRACTICE] for the chargers; the least pressures are this tool's own judgement.
STYLES = {
    "whipped-cream": Style(("n2o",), 2.0, 1.0),
    "cold-foam": Style(("n2o",), 2.0, 1.0),
    "nitro": Style(("n2",), 2.0, 1.0),
    "soda": Style(("co2",), 1.0, 0.5),
    "infusion": Style(("n2o", "co2"), 2.0, 0.0),
}


def practice_count(style: str, fill_m3: float) -> int:
    """Chargers that custom puts into one vessel.

    >>> practice_count("whipped-cream", 0.5e-3), practice_count("soda", 1.0e-3)
    (1, 1)
    """
    return max(1, ceil(STYLES[style].chargers_per_l * fill_m3 * 1e3 - 1e-6))


# ---- what the siphon calculator asks for ----

_PLATE = "It is on the vessel's plate or in its manual"
DAYS = ("inspection_due", "date")


def _with_plate(
    said: dict[str, object],
    check: Callable[[str, Any], None],  # Any: words as they were said
) -> dict[str, object]:
    """What was said with the plate of the register; models are loaded only where one is named."""
    if said.get("vessel") is None and said.get("vessel_register") is None:
        return said
    from prepkit.calculators.siphon import register

    return register.merged(said, check)


def _day(said: object) -> object:
    """A day as it is written; TOML has days of its own."""
    if not isinstance(said, str | date):
        return said
    try:
        day = date.fromisoformat(said.strip()) if isinstance(said, str) else said
    except ValueError:
        raise BadInput(
            f'"{said}" is not a date; write year, month and day such as 2027-03-01.'
        ) from None
    return day.isoformat()[:10]


class Inputs(BaseInputs):
    """The vessel, the liquid, the gas, and what is wanted."""

    groups = (
        (
            "Most needed",
            "contents gas chargers temperature vessel_volume max_fill rated warmest "
            "room_volume mode",
        ),
        (
            "Vessel",
            "vessel vessel_register allowed_gas allowed_charger most_chargers hottest head "
            "inspection_due date",
        ),
        (
            "Gas",
            "sequence charger_gas_mass charger_volume charger_tolerance "
            "charger_temperature purged regulator regulator_rated line_rated pressure_before",
        ),
        (
            "Portions and targets",
            "portions portion_size style least_pressure shake_between target_dissolved "
            "target_volumes target_overrun",
        ),
        ("Conditions", "strained air_changes altitude jurisdiction"),
    )
    takes = (
        ("jurisdiction", "place"),
        ("vessel", "name"),
        ("vessel_register", "file"),
        ("sequence", "steps"),
        ("allowed_gas", "gas"),
        ("inspection_due", "date"),
        ("date", "date"),
    )

    only_read: ClassVar[tuple[str, ...]] = (
        "rated", "max_fill", "vessel_volume", "hottest", "allowed_charger", "most_chargers",
        "charger_gas_mass", "charger_volume", "charger_tolerance", "regulator_rated", "line_rated",
        "pressure_before", "room_volume", "air_changes", "altitude",
    )  # fmt: skip
    judged_at_end: ClassVar[Mapping[str, int]] = {
        "contents": 1, "temperature": 1, "warmest": 1, "vessel_volume": -1, "max_fill": -1,
        "rated": -1, "charger_gas_mass": 1, "charger_tolerance": 1, "charger_temperature": 1,
        "altitude": 1, "allowed_charger": -1, "hottest": -1, "portion_size": 1,
        "pressure_before": 1, "regulator": 1, "regulator_rated": -1, "line_rated": -1,
        "room_volume": -1, "air_changes": -1,
    }  # fmt: skip

    contents: Part = part(
        "contents",
        "The liquid in one vessel, or several liquids; in a plan, what it is made of.",
        "500 ml cream 35 %",
        extensive=False,
        several=True,
        at=True,
    )
    gas: str = choice(("n2o", "co2", "n2"), "gas of the chargers", "As printed on the charger.")
    temperature: float = quantity(
        "C", "temperature of the contents",
        "When it is charged; not needed where each of the contents says its own.", "5 C",
        low=-5, high=70, because="the gas equation and the liquids are known there",
    )  # fmt: skip
    warmest: float | None = quantity(
        "C", "warmest it will stand",
        "By the stove, in the sun. The verdict holds up to this temperature.", "20 C",
        default=None, low=-5, high=70, because="the gas equation is known there",
    )  # fmt: skip
    room_volume: float | None = quantity(
        "m3", "net volume of the room", "Where it is charged and vented.", "30 m3",
        default=None, above=0, high=1e5, because="a room, not a hall of a stadium",
    )  # fmt: skip
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air of the room",
        "Measured: air changes an hour, or a flow such as 180 m3/h. None are counted where it is "
        "not given, and 20 /h at most.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    jurisdiction: str | None = words(
        "whose limits of gases",
        "A country or province; the strictest of all where it is not given or not known.",
        "UK", default=None,
    )  # fmt: skip
    chargers: int | None = count(
        "chargers per vessel", "Whole chargers into one vessel.", "1", default=None, low=1, high=12
    )
    vessel_volume: float | None = quantity(
        "l", "inside volume of the vessel",
        "To the closed head, not the nominal size: fill it with water and weigh it.", "0.78 l",
        default=None, above=0, high=10, because="a hand-held vessel, of 10 l at most",
    )  # fmt: skip
    max_fill: float | None = quantity(
        "l", "maximum fill", f"{_PLATE}, as a mark or a number.", "0.5 l",
        default=None, above=0, high=10, because="a hand-held vessel, of 10 l at most",
    )  # fmt: skip
    rated: float | None = quantity(
        "bar", "rated pressure (gauge)",
        f"{_PLATE}: the working pressure above the air outside, never the test pressure.", "17 bar",
        default=None, above=0.5, high=50,
        because="rules on pressure begin at 0.5 bar, and the gas equation ends at 50 bar",
    )  # fmt: skip
    vessel: str | None = words(
        "id of the vessel",
        f"A vessel of the register, with {named('vessel_register')}.",
        "north",
        default=None,
    )
    vessel_register: str | None = words(
        "vessel register", "A TOML file with the plates of your vessels.", "vessels.toml",
        default=None,
    )  # fmt: skip
    mode: str = choice(
        ("check", "dispense", "plan", "targets", "keg"), "mode",
        "Check a load, dispense it, plan vessels and chargers, set gas targets, or set a keg "
        "regulator.",
        default="check",
    )  # fmt: skip
    sequence: str | None = words(
        "order of charging and shaking",
        "Without it, nothing is shaken until the last charger is in: the worst case.",
        "charge shake charge shake", default=None,
    )  # fmt: skip
    portions: int | None = count(
        "portions wanted", "For a plan.", "12", default=None, low=1, high=10000
    )
    portion_size: float | None = quantity(
        "ml", "liquid in a portion", "As liquid in the vessel, before it foams.", "40 ml",
        default=None, low=0.1, high=5000, because="a portion, from a drop to a jug",
    )  # fmt: skip
    style: str | None = choice(tuple(STYLES), "style", "The texture wanted.", default=None)
    least_pressure: float | None = quantity(
        "bar", "least dispensing pressure (gauge)",
        "Below it the last portions come out weak; by style where it is not given.", "2 bar",
        default=None, low=0, high=20, because="the rated pressure is not far above",
    )  # fmt: skip
    shake_between: bool = flag("shaken between portions", "The vessel is shaken before each one.")
    target_dissolved: float | None = quantity(
        "g/l", "gas wanted in the liquid", "For mode targets.", "8 g/l",
        default=None, above=0, high=50, because="more cannot be held in a siphon",
    )  # fmt: skip
    target_volumes: float | None = number(
        "gas wanted, volumes", "Volumes of gas at 0 °C and 1 atm per volume of liquid.", "3.5",
        default=None, above=0, high=20, because="more cannot be held in a siphon",
    )  # fmt: skip
    target_overrun: float | None = quantity(
        "%", "overrun wanted", "From the gas that leaves the liquid: an upper bound.", "200 %",
        default=None, above=0, high=2000, because="more cannot be held in a siphon",
    )  # fmt: skip
    charger_gas_mass: float | None = quantity(
        "g", "gas in one charger", "As printed on it. By custom 8 g n2o or co2, 2.0 to 2.4 g n2.",
        "8 g", default=None, above=0, high=1000, because="a charger, not a bottle",
    )  # fmt: skip
    charger_volume: float = quantity(
        "ml", "inside volume of a charger", "0 where gas comes through a regulator.", "10 ml",
        default=BULB_ML, low=0, high=2000, because="a charger, not a bottle",
    )  # fmt: skip
    charger_tolerance: float = quantity(
        "%", "most over-filling of a charger", "More gas than it says.", "5 %",
        default=100 * charged_vessel.FILL_TOLERANCE, low=0, high=50,
        because="a tolerance beyond it is another charger",
    )  # fmt: skip
    charger_temperature: float | None = quantity(
        "C", "temperature of the chargers", "Where they were stored.", "20 C",
        default=None, low=-30, high=120, because="a place to keep chargers",
    )  # fmt: skip
    regulator: float | None = quantity(
        "bar", "regulator set pressure (gauge)",
        "Where gas comes from a cylinder through a regulator and no charger is used.", "2 bar",
        default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    regulator_rated: float | None = quantity(
        "bar", "highest regulator outlet pressure (gauge)", "For a keg; on the regulator.",
        "4 bar", default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    line_rated: float | None = quantity(
        "bar", "rated pressure of lines (gauge)",
        "For a keg: the weakest of hoses, couplers and tap.", "6 bar",
        default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    pressure_before: float | None = quantity(
        "bar", "pressure in the vessel already (gauge)",
        "0 bar for an empty, vented vessel; read it where it was charged before.", "0 bar",
        default=None, low=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    altitude: float = quantity(
        "m", "altitude", "Below the sea write 0 m.", "0 m",
        default=0.0, low=0, high=5000, because="the standard atmosphere of kitchens",
    )  # fmt: skip
    purged: bool = flag("air purged", "A first burst has driven the air out.")
    strained: bool = flag("strained", "The contents went through a fine sieve.")
    allowed_gas: tuple[str, ...] = words(
        "gases allowed", f"{_PLATE}; once for each.", "n2o", many=True, default=()
    )
    allowed_charger: float | None = quantity(
        "g", "largest charger allowed", f"{_PLATE}.", "8 g",
        default=None, above=0, high=1000, because="a charger, not a bottle",
    )  # fmt: skip
    most_chargers: int | None = count(
        "most chargers allowed", f"{_PLATE}.", "2", default=None, low=1, high=12
    )
    hottest: float | None = quantity(
        "C", "highest temperature allowed", f"{_PLATE}.", "30 C",
        default=None, low=0, high=100, because="a vessel for food",
    )  # fmt: skip
    head: str | None = choice(
        ("metal", "plastic"), "material of the head", "Read it in the manual, or look.",
        default=None,
    )  # fmt: skip
    inspection_due: str | None = words(
        "next inspection due", "By the register or the maker.", "2027-03-01", default=None
    )
    date: str | None = words(
        "date of use", "Against the inspection; today where it is not given.", "2026-11-25",
        default=None,
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: the plate by the register, today, and the contents' own temperature."""
        all_said = _temperature_of(_with_plate(said, cls._checked), pantry, cls)
        if all_said.get("inspection_due") and not all_said.get("date"):
            all_said["date"] = date.today().isoformat()
        return all_said

    @classmethod
    def _checked(cls, name: str, said: object) -> None:
        """BadInput where an entry of the register could not be given as an option either."""
        value = read(cls.spec(name), cls.tidy_field(name, said), name, Pantry())
        cls.read_field(name, value, Pantry(), {})

    @classmethod
    def tidy_field(cls, name: str, said: object) -> object:
        """Hook of the base: days of a register, and a pressure said to be gauge."""
        if name in DAYS:
            return _day(said)
        return _gauge(said) if name == "rated" else said

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: gases by their names."""
        if name != "allowed_gas":
            return value
        assert isinstance(value, tuple)
        return _known_gases(value)


def _temperature_of(
    said: dict[str, object], pantry: Pantry, inputs: type[BaseInputs]
) -> dict[str, object]:
    """The words with the temperature that the contents say of themselves, where all do."""
    if "contents" not in said:
        return said
    spec = inputs.spec("temperature")
    try:
        contents = read(inputs.spec("contents"), said["contents"], "contents", pantry)
        said = {**said, "contents": contents}  # read once
        given = said.get("temperature")
        given_c = None if given is None else float(read(spec, given, "temperature", pantry))
    except PrepkitError:
        return said  # read again with the others, and told there
    at_c = drink.agreed_c(contents.each, given_c, ("contents", "temperature"), spec)
    if given is None and at_c is not None:
        return {**said, "temperature": Measured(at_c, "C")}
    return said


_ABSOLUTE = later(
    r"abs|bar ?\(?a\)?$|psia",
    re.IGNORECASE,
    within=("abs", "bara", "bar a", "bar(a", "bar (a", "psia"),
)
_GAUGE = later(r"\s*(gauge|\(g\))\s*$", re.IGNORECASE, within=("gauge", "(g)"))


def _gauge(said: object) -> object:
    if not isinstance(said, str):
        return said
    if _ABSOLUTE.search(said):
        raise BadInput(
            f'{named("rated")} is "{said}"; give the gauge pressure (above the air outside, '
            "about 1 bar "
            f"less than absolute), which is what a plate shows.",
            "rated",
        )
    gauge = _GAUGE.search(said)
    return said if gauge is None else said[: gauge.start()]


def _known_gases(said: tuple[str, ...]) -> tuple[str, ...]:
    found = tuple(word for text in said for word in re.split(r"[\s,]+", text.lower()) if word)
    for word in found:
        if word not in gases.GASES:
            raise BadInput(
                f'{named("allowed_gas")} is "{word}"; it must be one of {", ".join(gases.GASES)}.',
                "allowed_gas",
            )
    return found


# ---- what a siphon may be asked for ----

T = TypeVar("T")
LEAST_WARM_C = 20.0  # [JUDGEMENT]: untold, a vessel comes to stand in a room
NEEDS = {
    "check": ("chargers",),
    "dispense": ("chargers", "portion_size"),
    "plan": ("portions", "portion_size", "style"),
    "targets": (),
    "keg": ("target_volumes",),
}


def told(value: T | None) -> T:
    """A value without which `asked_well` has refused."""
    assert value is not None
    return value


# what carries a +/- is taken at the end that is worse for the vessel


def plus_minus(value: object) -> float:
    """The +/- that a value was given with; 0 where it has none."""
    return float(getattr(value, "plus_minus", 0.0))


def lower_end(inputs: Inputs, name: str) -> float:
    """A value less its +/-; BadInput where nothing is left that could be."""
    value = getattr(inputs, name)
    spread = plus_minus(value)
    if spread:
        spec = inputs.spec(name)
        least = spec.above if spec.above is not None else spec.low
        if least is not None and value - spread <= least:
            raise BadInput(
                f"{named(name)} is {value.words()}; its lower end must be more than {least:g} "
                f"{value.unit}.",
                name,
            )
    return float(value) - spread


def upper_end(inputs: Inputs, name: str) -> float:
    """A value with its +/- on top; BadInput where that is past the limit of the option."""
    value = getattr(inputs, name)
    spread = plus_minus(value)
    if spread:
        most = inputs.spec(name).high
        if most is not None and value + spread > most:
            raise BadInput(
                f"{named(name)} is {value.words()}; its upper end must be at most {most:g} "
                f"{value.unit} ({inputs.spec(name).because}).",
                name,
            )
    return float(value) + spread


def warmest_c(inputs: Inputs) -> float:
    """The warmest that the vessel will be: filled, where it stands, or untold at least 20 C."""
    filled = upper_end(inputs, "temperature")
    if inputs.warmest is not None:
        return max(filled, upper_end(inputs, "warmest"))
    return max(filled, LEAST_WARM_C)


def share_over(inputs: Inputs) -> float:
    """By how much more than told a vessel may be filled, as a share of the fill."""
    if inputs.mode == "plan":
        return 1.0 - lower_end(inputs, "portion_size") / float(told(inputs.portion_size))
    amount = inputs.contents.amount
    return plus_minus(amount) / float(amount)


def through_regulator(inputs: Inputs) -> bool:
    """Whether gas comes from a cylinder through a regulator, and not out of chargers."""
    return inputs.mode == "keg" or inputs.regulator is not None or inputs.charger_volume == 0


# what can be asked


def asked_well(inputs: Inputs) -> None:
    """BadInput where the inputs of a mode are missing or cannot be together."""
    for name in NEEDS[inputs.mode]:
        regulated = through_regulator(inputs) or inputs.sequence
        if getattr(inputs, name) is None and not (name == "chargers" and regulated):
            spec = inputs.spec(name)
            raise BadInput(
                f"siphon {inputs.mode} needs {named(name)}, {spec.label}: for example "
                f"{named(name, spec.example)}.",
                name,
            )
    if inputs.regulator is not None and (
        inputs.chargers is not None or inputs.sequence is not None or inputs.mode != "check"
    ):
        raise BadInput(
            f"{named('regulator')} is for gas out of a cylinder in one check; leave out "
            f"{named('chargers')}, {named('sequence')} and {named('mode')}.",
            "regulator",
        )
    targets = (inputs.target_dissolved, inputs.target_volumes, inputs.target_overrun)
    if inputs.mode == "targets" and targets.count(None) != len(targets) - 1:
        raise BadInput(
            f"siphon targets needs one of {named('target_dissolved')}, {named('target_volumes')}, "
            f"{named('target_overrun')}.",
            "target_dissolved",
        )
    mixture = inputs.contents.mixture
    try:
        freezing = mixture.freezing_point_c if mixture.of("water") else -5.0
    except BadInput:
        freezing = -5.0
    if float(inputs.temperature) < freezing - 0.1:
        raise BadInput(
            f"{named('temperature')} is {float(inputs.temperature):g} °C, and the contents freeze "
            f"at about {freezing:.1f} °C. Charge them liquid.",
            "temperature",
        )
    fill, inside = inputs.max_fill, inputs.vessel_volume
    if fill is not None and inside is not None and float(fill) >= float(inside):
        raise BadInput(
            f"{named('max_fill')} is {float(fill):g} l and {named('vessel_volume')} "
            f"{float(inside):g} l; the inside "
            f"volume must be larger, or no room is left for the gas.",
            "max_fill",
        )


def marks(inputs: Inputs) -> tuple[bool, ...] | None:
    """For each charger whether it is shaken after it; None where the count is asked for."""
    if inputs.mode in ("plan", "targets"):
        if inputs.sequence is not None or inputs.chargers is not None:
            name = "sequence" if inputs.sequence is not None else "chargers"
            raise BadInput(
                f"siphon {inputs.mode} works out the chargers itself; leave {named(name)} out.",
                name,
            )
        return None
    if inputs.sequence is None:
        count = 1 if inputs.chargers is None else inputs.chargers
        return tuple(place == count - 1 for place in range(count))
    found: list[bool] = []
    for word in re.split(r"[\s,;>+-]+", inputs.sequence.lower().strip()):
        if word == "charge":
            found.append(False)
        elif word == "shake" and found:
            found[-1] = True
        else:
            raise BadInput(
                f'{named("sequence")} is "{inputs.sequence}"; write the words charge and shake in '
                f"their order, beginning with charge.",
                "sequence",
            )
    most = inputs.spec("chargers").high
    if most is not None and len(found) > most:
        raise BadInput(
            f"{named('sequence')} has {len(found)} charges; it must have at most {most:g}.",
            "sequence",
        )
    if inputs.chargers is not None and inputs.chargers != len(found):
        raise BadInput(
            f"{named('chargers')} is {inputs.chargers} and {named('sequence')} has {len(found)}; "
            "they must agree.",
            "sequence",
        )
    return tuple(found)


def shared_out(inputs: Inputs) -> tuple[int, int]:
    """Vessels for the portions wanted, and the portions in the fullest of them."""
    most_l = lower_end(inputs, "max_fill")
    portion_ml = upper_end(inputs, "portion_size")
    most = floor(1e3 * most_l / portion_ml + ROUNDING)
    if most < 1:
        raise BadInput(
            f"{named('portion_size')} is {portion_ml:g} ml and a vessel takes {1e3 * most_l:g} ml; "
            "a "
            f"portion must fit into one vessel.",
            "portion_size",
        )
    portions = told(inputs.portions)
    if why := too_many(portions, most, f"{inputs.portions} portions of {portion_ml:g} ml"):
        raise BadInput(f"{named('max_fill')} is {most_l:g} l: {why}", "max_fill")
    vessel_count = ceil(portions / most)
    return vessel_count, ceil(portions / vessel_count)


def portion_fits(inputs: Inputs, liquid_m3: float) -> None:
    """BadInput for a portion larger than what is in the vessel, or too small to count out."""
    if inputs.portion_size is None or inputs.mode == "targets":
        return
    portion_ml, liquid_ml = float(inputs.portion_size), 1e6 * liquid_m3
    if portion_ml > liquid_ml * (1.0 + ROUNDING):
        raise BadInput(
            f"{named('portion_size')} is {portion_ml:g} ml and {liquid_ml:.0f} ml are in the "
            "vessel; a "
            f"portion can be no more than that.",
            "portion_size",
        )
    if portion_ml * MOST_PORTIONS < liquid_ml * (1.0 - ROUNDING):
        raise BadInput(
            f"{named('portion_size')} is {portion_ml:g} ml and {liquid_ml:.0f} ml are in the "
            "vessel; that "
            f"is more than {MOST_PORTIONS} portions, and it must be at least "
            f"{liquid_ml / MOST_PORTIONS:g} ml.",
            "portion_size",
        )


def something(mixture: Mixture) -> None:
    """BadInput where there is nothing in the vessel."""
    if mixture.mass_kg <= 0.0:
        raise BadInput(
            f"{named('contents')} amounts to 0; give the liquid, such as 500 ml cream 35 %.",
            "contents",
        )


def room_for_gas(liquid_m3: float, vessel_m3: float, least_m3: float) -> None:
    """BadInput where the liquid leaves no room for the gas."""
    if liquid_m3 > vessel_m3 - least_m3:
        raise BadInput(
            f"{named('contents')} take {1e6 * liquid_m3:.0f} ml and the vessel holds "
            f"{1e6 * vessel_m3:.0f} "
            f"ml in all; no room is left for the gas.",
            "contents",
        )


# ---- what is in the siphon ----

# Per cent from which one acid alone makes a mixture corrosive to skin and eyes [CLP-ACIDS].
CORROSIVE_FROM_PERCENT = {"lactic": 5.0, "phosphoric": 25.0, "acetic": 25.0}
EYE_DAMAGE = ("tartaric", "succinic", "lactic")  # [CLP-ACIDS]
# [JUDGEMENT]: with less water and spirit than this, and not an oil, it does not flow; a fruit with
# less water is dried.
LEAST_FLUID, LEAST_OIL, LEAST_FRUIT_WATER = 0.10, 0.50, 0.70
LEAST_FIBRE = 0.001  # [JUDGEMENT]: an unstrained juice holds 0.1 to 1.6 %
PULPY_GROUPS = frozenset(("juice", "fruit"))
SOLID_GROUPS = frozenset(("peel", "herb", "flower", "spice", "nut", "coffee", "tea"))
LEAST_BURNING_ABV = 0.005  # [JUDGEMENT]: sold as free of alcohol; below it no vapour is counted
# [JUDGEMENT], mass fractions: sugar from which a syrup hardly runs, and does not in the cold; solid
# fat from which it is a block; gelatine by custom in siphons is 0.5 to 1.5 % [SIPHON-PRACTICE].
THICK_SUGAR, STIFF_SUGAR = 0.60, 0.75
BLOCK_FAT, MOST_GELATINE = 0.10, 0.015
PLAIN_CREAM_SUGAR = 0.10  # [JUDGEMENT]: more thickens a cream past what is published
# C [JUDGEMENT]: honey runs from here; a hard fat has melted; cold gels melt; hot gels have set
RUNS_C, MELTED_C, GEL_MELTS_C, GEL_SETS_C = 40.0, 38.0, 85.0, 45.0
PASTE = 0.05  # protein and fibre in an oil with hardly any water: a paste, not an oil


def unfit(contents: Part) -> Facts:
    """What must not be put under gas at all: facts of the contents alone, without a volume."""
    mixture = contents.mixture
    return {
        "contents": contents.name,
        "corrosive_share": math.fsum(
            100 * mixture.fraction(acid) / limit for acid, limit in CORROSIVE_FROM_PERCENT.items()
        ),
        "acid_citric_percent": 100 * derived.acid_as_citric(mixture),
        "oil_percent": 100 * mixture.fraction("essential_oil"),
        "no_liquid": _no_liquid(contents),
        **own_gas(contents),
    }


def own_gas(contents: Part) -> Facts:
    """Gas that the contents hold or make, in whatever share: by the marks that travel with them."""
    found = contents.mixture.tags
    carbonates = [one.mixture for one in contents.each if CARBONATE in one.mixture.tags]
    freed_kg = math.fsum(
        dissolved_gas.carbonate_gas_kg(carbonate.of("sodium"), carbonate.of("potassium"))
        for carbonate in carbonates
    )
    return {
        "already_gassy": GASSY in found,
        "fermenting": FERMENTING in found,
        "carbonate": CARBONATE in found,
        "carbonate_co2_g_kg": 1e3 * freed_kg / max(contents.mass_kg, 1e-9),
    }


def _no_liquid(contents: Part) -> bool:
    mixture, kind = contents.mixture, contents.ingredient
    if kind.form != "liquid":
        return kind.group != "fruit" or mixture.fraction("water") < LEAST_FRUIT_WATER
    oily = mixture.fraction("milk_fat", "fat", "essential_oil") >= LEAST_OIL
    paste = mixture.fraction("protein", "fibre") >= PASTE
    return mixture.fraction("water", "ethanol") < LEAST_FLUID and (paste or not oily)


def clogs(contents: Part, mixture: Mixture) -> bool:
    """Whether it holds, or by its kind may hold, what blocks a valve."""
    return (
        bool({"pulp", "raw-juice"} & mixture.tags)
        or bool({"juice", "fruit"} & mixture.keeps)
        or any(
            one.ingredient.group in PULPY_GROUPS
            or (one.ingredient.group in SOLID_GROUPS and one.ingredient.form != "liquid")
            for one in contents.each
        )
        or mixture.fraction("fibre") >= LEAST_FIBRE
    )


def of_contents(inputs: Inputs, mixture: Mixture, warmest_c: float) -> Facts:
    """Fat under carbon dioxide, spirit under an oxidiser, pulp in the valve, acid in milk."""
    fat = 100 * mixture.fraction("milk_fat", "fat")
    gas = inputs.gas
    return {
        "co2_with_fat_percent": fat if gas == "co2" else 0.0,
        "n2_with_fat_percent": fat if gas == "n2" else 0.0,
        "eye_damage_percent": 100 * mixture.fraction(*EYE_DAMAGE),
        "clogs": clogs(inputs.contents, mixture) and not inputs.strained,
        "curdles": derived.curdles(mixture, charged=True),
        "overrun_cap_percent": 0.0,  # until the dissolved gas is known
        **of_plugging(inputs.contents, float(inputs.temperature), warmest_c),
        **({"oxidiser_with_abv": 100 * mixture.abv} if gas == "n2o" else {}),
        **_burning(mixture.abv, warmest_c),
    }


def _burning(abv: float, warmest_c: float) -> Facts:
    """How far the warmest is above the flash point less its error; a weaker drink as one of 5 %."""
    if abv < LEAST_BURNING_ABV:
        return {}
    flash_c = ethanol.flash_point_c(min(1.0, max(abv, ethanol.FLASH_TABLE[0][0])))
    error_k = ethanol.FLASH_ERROR_K if abv >= 0.10 else ethanol.FLASH_ERROR_WEAK_K
    limit_c = flash_c - error_k
    return {"flash_c": flash_c, "flash_limit_c": limit_c, "over_flash_c": warmest_c - limit_c}


def of_plugging(contents: Part, temperature_c: float, warmest_c: float) -> Facts:
    """What can plug the valve, and whether it does at the temperatures that were told."""
    may, does = plugs(contents, temperature_c, warmest_c)
    return {
        "plug_words": " and ".join(does or may),
        "may_plug": bool(may),
        "does_plug": bool(does),
    }


def plugs(contents: Part, temperature_c: float, warmest_c: float) -> tuple[list[str], list[str]]:
    """What can plug the valve, and what of it is set or solid at the temperatures that were told.

    A sieve does not help against any of it.
    """
    mixture = contents.mixture
    sugar = mixture.fraction(*SUGARS, "other_solubles")
    fat = mixture.fraction("milk_fat", "fat")
    may: list[str] = []
    does: list[str] = []
    if SETS_COLD in mixture.tags:
        may.append("a gelling agent")
        if temperature_c < GEL_MELTS_C and not _little_gelatine(contents):
            does.append("a set gel")
    if SETS_HOT in mixture.tags:
        may.append("a heat-setting gelling agent")
        if warmest_c >= GEL_SETS_C:
            does.append("a gel set by heat")
    if SOLID_FAT in mixture.tags:
        may.append("fat that sets")
        if fat >= BLOCK_FAT and temperature_c < MELTED_C:
            does.append("solid fat")
    if sugar >= THICK_SUGAR:
        may.append("thick syrup or honey")
        if sugar >= STIFF_SUGAR and temperature_c < RUNS_C:
            does.append("stiff syrup or honey")
    return may, does


def _little_gelatine(contents: Part) -> bool:
    """Whether all that sets is gelatine, as much as custom puts into a siphon, and known."""
    setting = [one for one in contents.each if SETS_COLD in one.mixture.tags]
    grams = math.fsum(one.mass_kg for one in setting)
    names = all("gelatine" in one.ingredient.name for one in setting)
    return names and grams <= MOST_GELATINE * contents.mass_kg


def cream_steps(mixture: Mixture, temperature_c: float) -> tuple[Step, ...]:
    """How thick plain milk or cream is as it is poured; none where no relation was published.

    Above 30 % fat that of 30 % is its lower bound: more fat is thicker. It slows a pour; pressure
    and portions do not ask for it. Error: 30 %.
    """
    fat = mixture.fraction("milk_fat")
    sugar = math.fsum(mixture.fraction(name) for name in ("sucrose", "glucose", "fructose"))
    if not fat or mixture.ethanol_kg or mixture.tags != {"dairy"} or sugar > PLAIN_CREAM_SUGAR:
        return ()
    try:
        most = min(fat, food.VISCOSITY_HIGH_FAT)
        thickness = 1e3 * food.viscosity_pa_s(most, temperature_c)
    except OutOfRange:
        return ()
    bound = ", lower bound" if fat > food.VISCOSITY_HIGH_FAT else ""
    return (
        Step(
            f"viscosity before foaming{bound}",
            f"{100 * most:.3g} % milk fat at {temperature_c:g} °C, ± 30 %; it slows the pour and "
            "changes no pressure and no count of portions",
            thickness,
            "mPa s",
            "BAKSHI-SMITH-1984",
        ),
    )
