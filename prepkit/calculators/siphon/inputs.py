"""Inputs of siphon, and the customs of the trade."""

import re
from collections.abc import Callable, Mapping
from datetime import date
from math import ceil
from typing import Any, ClassVar

from prepkit.errors import BadInput, PrepkitError, later, named
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, count, flag, number, part, quantity, read, words
from prepkit.pantry import Pantry
from prepkit.record import Record
from prepkit.science import charged_vessel, gases
from prepkit.shared import drink
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
    found = tuple(word for one in said for word in re.split(r"[\s,]+", one.lower()) if word)
    for word in found:
        if word not in gases.GASES:
            raise BadInput(
                f'{named("allowed_gas")} is "{word}"; it must be one of {", ".join(gases.GASES)}.',
                "allowed_gas",
            )
    return found
