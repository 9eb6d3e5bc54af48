"""siphon: what a charged vessel will do, from the first hiss to the last portion."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from datetime import date
from math import ceil, floor, isfinite
from typing import Any

from pydantic import field_validator, model_validator

from prepkit import cautions, siphon_facts, siphon_load, siphon_show, vessels
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.model import Inputs as BaseInputs
from prepkit.model import Result as BaseResult
from prepkit.model import choice, count, flag, number, output, part, quantity, words
from prepkit.pantry import Part
from prepkit.science import charged_vessel, gases
from prepkit.siphon_facts import BULB_ML, CHARGER_G, STYLES
from prepkit.siphon_load import Load

EXAMPLE = (
    'prepkit siphon --contents "500 ml cream 35 %" --vessel-volume "0.78 l" --max-fill "0.5 l" '
    '--rated "17 bar" --gas n2o --chargers 1 --temperature "5 C"'
)
_PLATE = "It is on the vessel's plate or in its manual"
MOST_TRIED = 8
LEAST_HEADSPACE_M3 = 1e-6


class Inputs(BaseInputs):
    """The vessel, the liquid, the gas, and what is wanted."""

    contents: Part = part(
        "what goes in",
        "The liquid in one vessel; in a plan, what it is made of.",
        "500 ml cream 35 %",
        extensive=False,
    )
    gas: str = choice(("n2o", "co2", "n2"), "gas of the chargers", "As printed on the charger.")
    temperature: float = quantity(
        "C", "temperature of the contents", "When it is charged.", "5 C",
        low=-5, high=70, because="the gas equation and the liquids are known there",
    )  # fmt: skip
    warmest: float | None = quantity(
        "C", "warmest it will stand", "By the stove, in the sun; the verdict takes it.", "20 C",
        default=None, low=-5, high=70, because="the gas equation is known there",
    )  # fmt: skip
    chargers: int | None = count(
        "chargers per vessel", "Whole chargers into one vessel.", "1", default=None, low=1, high=12
    )
    vessel_volume: float | None = quantity(
        "l", "total inside volume of the vessel",
        "To the closed head, not the nominal size: fill it with water and weigh it.", "0.78 l",
        default=None, above=0, high=10, because="hand-held vessels only",
    )  # fmt: skip
    max_fill: float | None = quantity(
        "l", "maximum fill", f"{_PLATE}, as a mark or a number.", "0.5 l",
        default=None, above=0, high=10, because="hand-held vessels only",
    )  # fmt: skip
    rated: float | None = quantity(
        "bar", "rated pressure of the vessel, gauge",
        f"{_PLATE}: the working pressure above the air outside, never the test pressure.", "17 bar",
        default=None, above=0.5, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    vessel: str | None = words(
        "id of the vessel",
        "A vessel of the register, with --vessel-register.",
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
        default=None, above=0, high=5000, because="a portion is not a batch",
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

    @model_validator(mode="before")
    @classmethod
    def _from_register(cls, said: Any) -> Any:
        if not isinstance(said, Mapping):
            return said
        all_said = vessels.merged(said)
        if all_said.get("inspection_due") and not all_said.get("date"):
            all_said["date"] = date.today().isoformat()
        return all_said

    @field_validator("rated", mode="before")
    @classmethod
    def _gauge(cls, said: Any) -> Any:
        if isinstance(said, str) and re.search(r"abs|bar ?\(?a\)?$|psia", said, re.IGNORECASE):
            raise BadInput(
                f'--rated is "{said}"; give the gauge pressure (above the air outside, about 1 bar '
                f"less than absolute), which is what a plate shows.",
                "rated",
            )
        gauge = re.compile(r"\s*(gauge|\(g\))\s*$", re.IGNORECASE)
        return gauge.sub("", said) if isinstance(said, str) else said

    @field_validator("allowed_gas", mode="after")
    @classmethod
    def _known_gases(cls, said: tuple[str, ...]) -> tuple[str, ...]:
        found = tuple(word for one in said for word in re.split(r"[\s,]+", one.lower()) if word)
        for word in found:
            if word not in gases.GASES:
                raise BadInput(
                    f'--allowed-gas is "{word}"; it must be one of {", ".join(gases.GASES)}.',
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
    settled_low: float | None = output("settled, if most dissolves (fat liquid), gauge", "bar", 1)
    settled_high: float | None = output("settled, if least dissolves (fat solid), gauge", "bar", 1)
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


def compute(inputs: Any) -> Result:
    """The vessel that is asked about, the load in it, and what follows."""
    facts: dict[str, Any] = siphon_facts.missing(inputs)
    _asked_well(inputs)
    charger_g = float(inputs.charger_gas_mass or CHARGER_G[inputs.gas])
    warmest_c = max(float(inputs.temperature), float(inputs.warmest or -5.0)) + _spread(inputs)
    facts |= siphon_facts.of_charger(inputs, charger_g)
    mixture, vessel_count = inputs.contents.mixture, 1
    product = mixture
    if inputs.mode == "plan" and inputs.max_fill:
        vessel_count, in_one = _shared_out(inputs)
        one_portion = mixture.scaled(1e-6 * float(inputs.portion_size) / mixture.volume_20_m3)
        mixture, product = one_portion.scaled(in_one), one_portion.scaled(inputs.portions)
    facts |= siphon_facts.of_contents(inputs, mixture)
    if None in (inputs.rated, inputs.vessel_volume, inputs.max_fill):
        chargers = len(_marks(inputs) or (True,))
        facts |= siphon_facts.of_vessel(inputs, chargers, charger_g, warmest_c)
        return Result(product=product, facts=facts)
    load = _load(inputs, mixture, _marks(inputs) or (True,), charger_g, warmest_c)
    shown: dict[str, Any] = {"vessels": vessel_count}
    if inputs.mode in ("plan", "targets"):
        load, found = siphon_show.chosen(load, inputs, mixture, MOST_TRIED)
        shown |= found.pop("values")
        facts |= found
    facts |= siphon_facts.of_vessel(inputs, len(load.charges_kg), charger_g, warmest_c)
    bounds = siphon_load.bounds(load)
    rated_bar = float(inputs.rated) - _plus_minus(inputs.rated)
    facts |= siphon_facts.of_pressure(load, bounds, rated_bar, float(inputs.max_fill) * 1e-3)
    facts["chargers_all"] = vessel_count * len(load.charges_kg)
    facts["maker_allows"] = facts.get("over_most_chargers", 1) <= 0 and facts["fill_over_max"] <= 1
    states = siphon_show.states(load, bounds, rated_bar, mixture.of("milk_fat", "fat") > 0)
    shown |= states.values
    facts |= siphon_facts.of_hydrate(load, states.settled_pa)
    facts |= states.facts
    parts = [siphon_show.charges_table(load, bounds)]
    if load.solubility is not None and isfinite(bounds.highest):
        parts.append(siphon_show.warm_table(load, mixture))
        if inputs.portion_size is not None and inputs.mode != "targets":
            values, table = siphon_show.service(load, inputs)
            shown |= values
            parts.append(table)
    if inputs.mode == "plan":
        shown["chargers_each"] = len(load.charges_kg)
        shown["chargers_all"] = facts["chargers_all"]
    elif inputs.mode == "targets":
        shown["chargers_each"] = len(load.charges_kg)
        shown.pop("vessels")
    else:
        shown.pop("vessels")
    if "tried" in facts:
        parts.insert(0, facts.pop("tried"))
    return _told(
        Result(
            product=product,
            facts=facts,
            working=siphon_show.steps(load, bounds),
            tables=tuple(parts),
            model_error=states.errors,
            **shown,
        )
    )


def _told(result: Result) -> Result:
    """The result without a number to go ahead with where a caution says stop."""
    facts = {**cautions.about(result.product), **result.facts}
    if cautions.verdict(cautions.judge("siphon", facts)) != "stop":
        return result
    kept = {f.name: getattr(result, f.name) for f in fields(result) if f.name in REASONS}
    return Result(product=result.product, facts=result.facts, working=result.working[:2], **kept)


def _shared_out(inputs: Any) -> tuple[int, int]:
    """Vessels for the portions wanted, and the portions in the fullest of them."""
    most = floor(1e3 * float(inputs.max_fill) / float(inputs.portion_size) + 1e-9)
    if most < 1:
        raise BadInput(
            f"--portion-size is {float(inputs.portion_size):g} ml and a vessel takes "
            f"{1e3 * float(inputs.max_fill):g} ml; a portion must fit into one vessel.",
            "portion_size",
        )
    vessel_count = ceil(inputs.portions / most)
    return vessel_count, ceil(inputs.portions / vessel_count)


def _plus_minus(value: Any) -> float:
    return float(getattr(value, "plus_minus", 0.0))


def _spread(inputs: Any) -> float:
    return max(_plus_minus(inputs.temperature), _plus_minus(inputs.warmest))


def _asked_well(inputs: Any) -> None:
    """BadInput where the inputs of a mode are missing or cannot be together."""
    needs = {
        "check": ("chargers",),
        "dispense": ("chargers", "portion_size"),
        "plan": ("portions", "portion_size", "style"),
        "targets": (),
    }[inputs.mode]
    for name in needs:
        if getattr(inputs, name) is None and not (name == "chargers" and inputs.sequence):
            spec = inputs.spec(name)
            raise BadInput(
                f"siphon {inputs.mode} needs --{name.replace('_', '-')}, {spec.label}: for example "
                f'--{name.replace("_", "-")} "{spec.example}".',
                name,
            )
    targets = (inputs.target_dissolved, inputs.target_volumes, inputs.target_overrun)
    if inputs.mode == "targets" and sum(one is not None for one in targets) != 1:
        raise BadInput(
            "siphon targets needs one of --target-dissolved, --target-volumes, --target-overrun.",
            "target_dissolved",
        )
    mixture = inputs.contents.mixture
    try:
        freezing = mixture.freezing_point_c if mixture.of("water") else -5.0
    except BadInput:
        freezing = -5.0
    if float(inputs.temperature) < freezing - 0.1:
        raise BadInput(
            f"--temperature is {float(inputs.temperature):g} C and the contents freeze at about "
            f"{freezing:.1f} C; charge them liquid.",
            "temperature",
        )
    fill, inside = inputs.max_fill, inputs.vessel_volume
    if fill is not None and inside is not None and float(fill) >= float(inside):
        raise BadInput(
            f"--max-fill is {float(fill):g} l and --vessel-volume {float(inside):g} l; the inside "
            f"volume must be larger, or no room is left for the gas.",
            "max_fill",
        )


def _marks(inputs: Any) -> tuple[bool, ...] | None:
    """For each charger whether it is shaken after it; None where the count is asked for."""
    if inputs.mode in ("plan", "targets"):
        if inputs.sequence is not None or inputs.chargers is not None:
            name = "sequence" if inputs.sequence is not None else "chargers"
            raise BadInput(
                f"siphon {inputs.mode} works out the chargers itself; leave --{name} out.", name
            )
        return None
    if inputs.sequence is None:
        return tuple(place == inputs.chargers - 1 for place in range(inputs.chargers))
    marks: list[bool] = []
    for word in re.split(r"[\s,;>+-]+", inputs.sequence.lower().strip()):
        if word == "charge":
            marks.append(False)
        elif word == "shake" and marks:
            marks[-1] = True
        else:
            raise BadInput(
                f'--sequence is "{inputs.sequence}"; write the words charge and shake in their '
                f"order, beginning with charge.",
                "sequence",
            )
    if inputs.chargers is not None and inputs.chargers != len(marks):
        raise BadInput(
            f"--chargers is {inputs.chargers} and --sequence has {len(marks)}; they must agree.",
            "sequence",
        )
    return tuple(marks)


def _load(
    inputs: Any, mixture: Mixture, marks: tuple[bool, ...], charger_g: float, warmest_c: float
) -> Load:
    """The vessel in plain numbers; what carries a +/- is taken at its worse end for the bound."""
    temperature_c = float(inputs.temperature)
    amount = inputs.contents.amount
    more = _plus_minus(amount) / float(amount) if float(amount) else 0.0
    vessel_m3 = 1e-3 * float(inputs.vessel_volume)
    # a volume is taken as measured where it is filled, a mass grows with its temperature
    by_mass = amount.unit == "g" and inputs.mode != "plan"
    liquid_m3 = siphon_load.volume_m3(mixture, temperature_c) if by_mass else mixture.volume_20_m3
    if liquid_m3 > vessel_m3 - LEAST_HEADSPACE_M3:
        raise BadInput(
            f"--contents take {1e6 * liquid_m3:.0f} ml and the vessel holds {1e6 * vessel_m3:.0f} "
            f"ml in all; no room is left for the gas.",
            "contents",
        )
    hot_m3 = siphon_load.hot_volume_m3(mixture, warmest_c) * (1.0 + more)
    mass = inputs.charger_gas_mass
    over = max(0.01 * float(inputs.charger_tolerance), _plus_minus(mass) / charger_g)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    lowest = siphon_load.solubility(inputs.gas, max(1.0, warmest_c), mixture)
    return Load(
        gas=inputs.gas,
        temperature_c=temperature_c,
        warmest_c=warmest_c,
        charges_kg=(charger_g / 1e3,) * len(marks),
        shaken=marks,
        vessel_m3=vessel_m3,
        liquid_m3=liquid_m3,
        liquid_hot_m3=hot_m3 + 1e-3 * _plus_minus(inputs.vessel_volume),
        bulb_m3=1e-6 * float(inputs.charger_volume),
        tolerance=over,
        air_pa=0.0 if inputs.purged else ambient_pa,
        ambient_pa=ambient_pa,
        solubility=siphon_load.solubility(inputs.gas, max(1.0, temperature_c), mixture),
        lowest_hot=lowest.low if lowest else 0.0,
    )
