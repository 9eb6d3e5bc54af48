"""siphon: what a charged vessel will do, from the first hiss to the last portion."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from typing import Any, ClassVar

from prepkit import cautions
from prepkit.errors import BadInput, PrepkitError, named
from prepkit.mixture import Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import Table, choice, count, flag, number, output, part, quantity, words
from prepkit.pantry import Pantry, Part
from prepkit.science import charged_vessel, gases
from prepkit.shared import (
    part_heat,
    siphon_asked,
    siphon_contents,
    siphon_facts,
    siphon_filled,
    siphon_load,
    siphon_show,
    vessels,
)
from prepkit.shared.siphon_facts import BULB_ML, CHARGER_G, STYLES
from prepkit.shared.siphon_load import Bounds
from prepkit.spec import read
from prepkit.units import Measured

EXAMPLE = (
    'prepkit siphon --contents "500 ml cream 35 %" --vessel-volume "0.78 l" --max-fill "0.5 l" '
    '--rated "17 bar" --gas n2o --chargers 1 --temperature "5 C"'
)
_PLATE = "It is on the vessel's plate or in its manual"
DAYS = ("inspection_due", "date")
MOST_TRIED = 8


def _day(said: Any) -> Any:
    """A day as it is written; TOML has days of its own."""
    if not isinstance(said, str | date):
        return said
    try:
        day = date.fromisoformat(said.strip()) if isinstance(said, str) else said
    except ValueError:
        raise BadInput(
            f'"{said}" is no date; write year, month and day such as 2027-03-01.'
        ) from None
    return day.isoformat()[:10]


class Inputs(BaseInputs):
    """The vessel, the liquid, the gas, and what is wanted."""

    judged_at_end: ClassVar[Mapping[str, int]] = {
        "contents": 1, "temperature": 1, "warmest": 1, "vessel_volume": -1, "max_fill": -1,
        "rated": -1, "charger_gas_mass": 1, "charger_tolerance": 1, "charger_temperature": 1,
        "altitude": 1, "allowed_charger": -1, "hottest": -1, "portion_size": 1,
    }  # fmt: skip

    contents: Part = part(
        "what goes in",
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
        "By the stove, in the sun; the verdict takes it, and holds for no warmer place.", "20 C",
        default=None, low=-5, high=70, because="the gas equation is known there",
    )  # fmt: skip
    chargers: int | None = count(
        "chargers per vessel", "Whole chargers into one vessel.", "1", default=None, low=1, high=12
    )
    vessel_volume: float | None = quantity(
        "l", "total inside volume of the vessel",
        "To the closed head, not the nominal size: fill it with water and weigh it.", "0.78 l",
        default=None, above=0, high=10, because="a hand-held vessel, of 10 l at most",
    )  # fmt: skip
    max_fill: float | None = quantity(
        "l", "maximum fill", f"{_PLATE}, as a mark or a number.", "0.5 l",
        default=None, above=0, high=10, because="a hand-held vessel, of 10 l at most",
    )  # fmt: skip
    rated: float | None = quantity(
        "bar", "rated pressure of the vessel, gauge",
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
        ("check", "dispense", "plan", "targets"), "what is asked",
        "check a load; dispense it in portions; plan vessels and chargers; targets for the gas.",
        default="check",
    )  # fmt: skip
    sequence: str | None = words(
        "order of charging and shaking",
        "Without it nothing is shaken until the last charger is in, the hardest on the vessel.",
        "charge shake charge shake", default=None,
    )  # fmt: skip
    portions: int | None = count(
        "portions wanted", "For a plan.", "12", default=None, low=1, high=10000
    )
    portion_size: float | None = quantity(
        "ml", "liquid in a portion", "As it stands in the vessel, before it foams.", "40 ml",
        default=None, low=0.1, high=5000, because="a portion, from a drop to a jug",
    )  # fmt: skip
    style: str | None = choice(tuple(STYLES), "style", "What it is to become.", default=None)
    least_pressure: float | None = quantity(
        "bar", "least pressure to dispense at, gauge",
        "Below it the last portions come out weak; by style where it is not given.", "2 bar",
        default=None, low=0, high=20, because="the rated pressure is not far above",
    )  # fmt: skip
    shake_between: bool = flag("shaken between portions", "The vessel is shaken before each one.")
    target_dissolved: float | None = quantity(
        "g/l", "gas wanted in the liquid", "For mode targets.", "8 g/l",
        default=None, above=0, high=50, because="more cannot be held in a siphon",
    )  # fmt: skip
    target_volumes: float | None = number(
        "gas wanted, volumes", "Volumes of gas at 0 C and 1 atm per volume of liquid.", "3.5",
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
        ("metal", "plastic"), "material of the head", "What the closing head is made of.",
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
    def before_reading(cls, said: dict[str, Any], pantry: Pantry) -> dict[str, Any]:
        """Hook of the base: the plate by the register, today, and the contents' own temperature."""
        all_said = _temperature_of(vessels.merged(said, cls._checked), pantry, cls)
        if all_said.get("inspection_due") and not all_said.get("date"):
            all_said["date"] = date.today().isoformat()
        return all_said

    @classmethod
    def _checked(cls, name: str, said: Any) -> None:
        """BadInput where an entry of the register could not be given as an option either."""
        value = read(cls.spec(name), cls.tidy_field(name, said), name, Pantry())
        cls.read_field(name, value, Pantry(), {})

    @classmethod
    def tidy_field(cls, name: str, said: Any) -> Any:
        """Hook of the base: days of a register, and a pressure said to be gauge."""
        if name in DAYS:
            return _day(said)
        return _gauge(said) if name == "rated" else said

    @classmethod
    def read_field(cls, name: str, value: Any, pantry: Pantry, so_far: Mapping[str, Any]) -> Any:
        """Hook of the base: gases by their names."""
        return _known_gases(value) if name == "allowed_gas" else value


def _temperature_of(
    said: dict[str, Any], pantry: Pantry, inputs: type[BaseInputs]
) -> dict[str, Any]:
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
    at_c = part_heat.agreed_c(contents.each, given_c, ("contents", "temperature"), spec)
    if given is None and at_c is not None:
        return {**said, "temperature": Measured(at_c, "C")}
    return said


def _gauge(said: Any) -> Any:
    if isinstance(said, str) and re.search(r"abs|bar ?\(?a\)?$|psia", said, re.IGNORECASE):
        raise BadInput(
            f'{named("rated")} is "{said}"; give the gauge pressure (above the air outside, '
            "about 1 bar "
            f"less than absolute), which is what a plate shows.",
            "rated",
        )
    gauge = re.compile(r"\s*(gauge|\(g\))\s*$", re.IGNORECASE)
    return gauge.sub("", said) if isinstance(said, str) else said


def _known_gases(said: tuple[str, ...]) -> tuple[str, ...]:
    found = tuple(word for one in said for word in re.split(r"[\s,]+", one.lower()) if word)
    for word in found:
        if word not in gases.GASES:
            raise BadInput(
                f'{named("allowed_gas")} is "{word}"; it must be one of {", ".join(gases.GASES)}.',
                "allowed_gas",
            )
    return found


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """What the vessel will do; only the reasons where the answer is no. Pressures are gauge."""

    fill: float | None = output("liquid in one vessel, the fullest", "ml", 0)
    headspace: float | None = output("left empty in one vessel", "ml", 0)
    gas_mass: float | None = output("gas into one vessel", "g", 1)
    peak: float | None = output("peak before shaking, gauge", "bar", 1)
    bound: float | None = output("highest to reckon with, gauge", "bar", 1)
    margin: float | None = output("below the rated pressure", "bar", 1)
    settled: float | None = output("settled after shaking, gauge", "bar", 1)
    settled_low: float | None = output("settled, if most dissolves, gauge", "bar", 1)
    settled_high: float | None = output("settled, if least dissolves, gauge", "bar", 1)
    dissolved: float | None = output("gas dissolved", "g/l", 2)
    volumes: float | None = output("gas dissolved, volumes at 0 C and 1 atm", "", 2)
    overrun: float | None = output("overrun from dissolved gas, at most", "%", 0)
    energy: float | None = output("energy in the headspace, order of magnitude", "J", 0)
    vented: float | None = output("gas into the room if all is vented", "l", 1)
    vessels: float | None = output("vessels", "", 0)
    chargers_each: float | None = output("chargers per vessel", "", 0)
    chargers_all: float | None = output("chargers in all", "", 0)
    practice_each: float | None = output("chargers per vessel by custom", "", 0)
    served: float | None = output("portions of one vessel above the least pressure", "", 0)
    last_pressure: float | None = output("after the last portion, gauge", "bar", 1)
    left: float | None = output("liquid left in the vessel", "ml", 0)
    vented_after: float | None = output("gas vented when it is opened after service", "l", 1)


#: What may stand beside a stop: the reasons, nothing to go ahead with.
REASONS = frozenset(("fill", "headspace", "gas_mass", "peak", "bound", "margin"))


def _as_warm_as_all(inputs: Any) -> Any:
    """The inputs at the temperature of all contents, where some of them say their own."""
    parts, given = inputs.contents.each, inputs.temperature
    if all(one.temperature_c is None for one in parts):
        return inputs
    if all(one.temperature_c is not None for one in parts):
        return inputs  # what they say is what was given, by the reading of it
    spec = inputs.spec("temperature")
    at_c = part_heat.together_c(parts, part_heat.each_c(parts, float(given), "contents", spec))
    spread = getattr(given, "plus_minus", 0.0)
    return inputs.replaced(temperature=Measured(at_c, "C", spread))


def compute(inputs: Any) -> Result:
    """The vessel that is asked about, the load in it, and what follows."""
    siphon_asked.something(inputs.contents.mixture)
    inputs = _as_warm_as_all(inputs)
    unfit = siphon_contents.unfit(inputs.contents)
    if _says_stop(inputs.contents.mixture, unfit):
        return Result(product=inputs.contents.mixture, facts=unfit)
    siphon_asked.asked_well(inputs)
    charger_g = float(inputs.charger_gas_mass or CHARGER_G[inputs.gas])
    warmest_c = siphon_asked.warmest_c(inputs)
    vessel_count, mixture, product = siphon_filled.batch(inputs)
    facts: dict[str, Any] = {
        **unfit,
        **siphon_facts.missing(inputs),
        **siphon_facts.of_charger(inputs, charger_g),
        **siphon_facts.of_style(inputs),
        **siphon_contents.of_contents(inputs, mixture, warmest_c),
    }
    marks = siphon_asked.marks(inputs) or (True,)
    if None in (inputs.rated, inputs.vessel_volume, inputs.max_fill):
        facts |= siphon_facts.of_vessel(inputs, len(marks), charger_g, warmest_c)
        return Result(product=product, facts=facts)
    load = siphon_filled.load(inputs, mixture, marks, charger_g, warmest_c)
    siphon_asked.portion_fits(inputs, load.liquid_m3)
    rated_bar = siphon_asked.lower_end(inputs, "rated")
    shown: dict[str, Any] = {}
    tried: list[Table] = []
    if inputs.mode in ("plan", "targets"):
        load, choice_facts, shown, table = siphon_show.chosen(load, inputs, rated_bar, MOST_TRIED)
        facts |= choice_facts
        tried.append(table)
    count = len(load.charges_kg)
    bounds = siphon_load.bounds(load)
    max_fill_m3 = 1e-3 * siphon_asked.lower_end(inputs, "max_fill")
    places = siphon_facts.WARM_C if inputs.warmest is None else ()
    warmer = {c: siphon_load.bounds_at(load, mixture, c) for c in places if c > warmest_c}
    facts |= siphon_facts.of_vessel(inputs, count, charger_g, warmest_c)
    facts |= siphon_facts.of_pressure(load, bounds, rated_bar, max_fill_m3)
    facts |= siphon_facts.of_warmth(warmer, rated_bar)
    known = {**warmer, warmest_c: bounds}

    def at(place_c: float) -> Bounds:
        if place_c not in known:
            known[place_c] = siphon_load.bounds_at(load, mixture, place_c)
        return known[place_c]

    facts |= siphon_facts.of_passing(at, bounds, warmest_c, rated_bar)
    # what is charged in one place: a plan that fills more vessels puts its own count here
    facts["chargers_in_all"] = facts["chargers_all"] = vessel_count * count
    facts["maker_allows"] = facts.get("over_most_chargers", 1) <= 0 and facts["fill_over_max"] <= 1
    fat = mixture.of("milk_fat", "fat") > 0
    states = siphon_show.states(load, bounds, rated_bar, fat)
    facts |= siphon_facts.of_hydrate(load, states.settled_pa) | states.facts
    served, tables = siphon_show.tables(load, bounds, inputs, mixture, rated_bar, known)
    shown |= states.values | served
    if inputs.mode in ("plan", "targets"):
        shown["chargers_each"] = count
    if inputs.mode == "plan":
        shown |= {"vessels": vessel_count, "chargers_all": vessel_count * count}
    return _told(
        Result(
            product=product,
            facts=facts,
            working=siphon_show.steps(load, bounds, fat),
            tables=(*tried, *tables),
            model_error=states.errors,
            **shown,
        )
    )


def _says_stop(product: Mixture, facts: Mapping[str, Any]) -> bool:
    """Whether any caution of these facts says stop; the words of none are made."""
    known = cautions.registered({**cautions.about(product), **facts})
    found = cautions.candidates("siphon")
    return any(row.severity == "stop" and row.triggered(known) for row in found)


def _told(result: Result) -> Result:
    """The result without a number to go ahead with where a caution says stop."""
    assert result.product is not None
    if not _says_stop(result.product, result.facts):
        return result
    kept = {f.name: getattr(result, f.name) for f in fields(result) if f.name in REASONS}
    if (kept["margin"] or 0.0) > 0.0:  # pressure is not the reason, and must not look checked
        kept |= dict.fromkeys(("peak", "bound", "margin"))
        return Result(
            product=result.product, facts=result.facts, working=result.working[:1], **kept
        )
    return Result(product=result.product, facts=result.facts, working=result.working[:2], **kept)
