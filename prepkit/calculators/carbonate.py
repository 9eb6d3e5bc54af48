"""carbonate: carbon dioxide into a keg or bottle: the regulator, what it can come to, the glass."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from math import inf, isfinite
from typing import Any, ClassVar, NamedTuple, Self

from prepkit import cautions, derived
from prepkit.calculators.siphon.inputs import clogs, of_plugging, unfit
from prepkit.calculators.siphon.load import hot_volume_m3, solubility, vapour_bound_pa, volume_m3
from prepkit.derived import ph_at_most
from prepkit.errors import BadInput, PrepkitError, named
from prepkit.facts import Facts
from prepkit.ingredient import FREE_FAT, Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, number, part, quantity
from prepkit.inputs import words as free_words
from prepkit.mixture import GASSY, Mixture
from prepkit.model import Column, Figure, Judge, Screen, Step, Table, Way, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import acids, charged_vessel, dissolved_gas, gases, heat, keeping
from prepkit.science.dissolved_gas import GasSolubility
from prepkit.shared import room_check
from prepkit.units import Measured, parse_quantity, rounded_down, rounded_up

# ---- what carbonate asks for ----

LEAST_CO2 = 0.05
BOTTLES = ("glass-bottle", "plastic-bottle", "other-bottle")
RATINGS = {
    "rated": "the rating of keg or bottle",
    "line_rated": "the rating of the lines",
    "regulator_rated": "the rating of the regulator",
}
_CO2, _N2 = ("co2", "carbon dioxide"), ("n2", "nitrogen")
_TWO = re.compile(r"^\d+(?:[.,]\d+)?\s*%?\s*[/:-]\s*\d+(?:[.,]\d+)?\s*%?(?!\s*%?\s*[a-z])")


class GasMix(str):
    """The words of the gas, and the share of carbon dioxide in it."""

    share: float

    @classmethod
    def read(cls, said: str) -> GasMix:
        """Read "co2", "70 % co2" or "70 % co2, 30 % n2"; BadInput where it does not say which."""
        self = cls(said)
        text = " ".join(said.lower().replace("₂", "2").split())
        if _TWO.match(text):
            first = re.split(r"[%/:-]", text)[0].strip()
            raise BadInput(
                f"{named('gas', said)}: which of the two is carbon dioxide? Some makers name it "
                f"first, some last. Write {first} % co2 or {first} % n2, by the cylinder's label.",
                "gas",
            )
        shares = dict(_share(word, said) for word in re.split(r"\s*(?:,|/|\band\b|\+)\s*", text))
        if shares.keys() == {"co2"}:
            self.share = shares["co2"]
        elif shares.keys() == {"n2"}:
            self.share = 1.0 - shares["n2"]
        elif abs(math.fsum(shares.values()) - 1.0) < 1e-6:
            self.share = shares["co2"]
        else:
            raise BadInput(
                f"{named('gas', said)} does not add up to 100 %; write for example "
                f"{named('gas', '70 % co2')}.",
                "gas",
            )
        if self.share < LEAST_CO2:
            raise BadInput(
                f"{named('gas', said)} holds {100 * self.share:g} % carbon dioxide; it takes "
                f"{100 * LEAST_CO2:g} % or more to carbonate.",
                "gas",
            )
        return self


def _share(words: str, said: str) -> tuple[str, float]:
    """One gas of a mixture with its share; without a figure it is all of it."""
    for key, names in (("co2", _CO2), ("n2", _N2)):
        for name in names:
            if words == name:
                return key, 1.0
            found = words.removesuffix(name).strip(), words.removeprefix(name).strip()
            figure = next((text for text in found if text != words and "%" in text), None)
            if figure is not None:
                share = float(parse_quantity(figure, ("%",), named("gas"))) / 100
                if 0.0 < share <= 1.0:
                    return key, share
    raise BadInput(
        f'{named("gas")} "{said}" is not known here; write co2, or a mixture by its label, such as '
        f"{named('gas', '70 % co2')}.",
        "gas",
    )


class Inputs(BaseInputs):
    """The drink, what it goes into with its plates, and either the gas wanted or the pressure."""

    groups = (
        (
            "Most needed",
            "contents into temperature volumes pressure rated line_rated regulator_rated warmest "
            "headspace",
        ),
        ("Gas", "gas how first_pressure own_time read_pressure"),
        ("Room", "cylinder room_volume air_changes jurisdiction altitude"),
        ("Line", "bore lift pour_rate"),
    )
    takes = (("gas", "gas"), ("jurisdiction", "place"))
    only_read: ClassVar[tuple[str, ...]] = (
        "rated", "line_rated", "regulator_rated", "room_volume", "air_changes", "altitude",
        "read_pressure", "own_time", "cylinder",
    )  # fmt: skip

    contents: Part = part(
        "the still drink", "All of it, or several liquids.", "18 l water", several=True,
    )  # fmt: skip
    into: str = choice(
        ("keg", *BOTTLES), "goes into",
        "A glass or plastic bottle made for fizzy drinks. Any other bottle is refused.",
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the drink", "While it takes up the gas.", "4 C",
        low=0, high=40, because="the solubility of the gas is known there",
    )  # fmt: skip
    volumes: float | None = number(
        "gas wanted, volumes",
        "Litres of gas at 0 °C and 1 atm in a litre. Enter this or the pressure.", "3.5",
        default=None, above=0, high=6, because="drinks hold up to about 5",
    )  # fmt: skip
    pressure: Measured | None = quantity(
        "bar", "regulator set pressure (gauge)", "In place of the volumes.", "2 bar",
        default=None, above=0, high=20, because="the pressure of drinks",
    )  # fmt: skip
    gas: GasMix = free_words(
        "gas", "Pure co2 if left out. A mixture by its label: 70 % co2.", "co2",
        default=GasMix.read("co2"),
    )  # fmt: skip
    rated: Measured | None = quantity(
        "bar", "rated pressure (gauge)",
        "Of keg or bottle, from its plate or maker: the working pressure, never the test pressure.",
        "9 bar", default=None, above=0.5, high=50, because="a keg or a bottle",
    )  # fmt: skip
    line_rated: Measured | None = quantity(
        "bar", "rated pressure of lines (gauge)", "The weakest of hoses, couplers and tap.",
        "8 bar", default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    regulator_rated: Measured | None = quantity(
        "bar", "highest regulator outlet pressure (gauge)", "On the regulator.", "6 bar",
        default=None, above=0, high=50, because="the gas equation ends at 50 bar",
    )  # fmt: skip
    warmest: Measured | None = quantity(
        "C", "warmest it will stand", "Full and shut, in a van or by a stove.", "25 C",
        default=None, low=0, high=60, because="the solubility of the gas is known there",
    )  # fmt: skip
    headspace: Measured | None = quantity(
        "%", "headspace, share", "Of keg or bottle, above the drink.", "5 %",
        default=None, low=0, high=95, because="a share of the inside volume",
    )  # fmt: skip
    how: str = choice(
        ("stand", "high-then-low", "shake", "priming", "dry-ice", "powder"), "how",
        "Left to stand, high pressure first, or shaken. The others are refused.",
        default="stand",
    )  # fmt: skip
    first_pressure: Measured | None = quantity(
        "bar", "pressure at first (gauge)", "Where it is set higher at first.", "2.5 bar",
        default=None, above=0, high=20, because="the pressure of drinks",
    )  # fmt: skip
    own_time: Measured | None = quantity(
        ("d", "h", "min"), "your own time", "How long your own keg took at this setting.", "9 d",
        default=None, above=0, high=100, because="a keg",
    )  # fmt: skip
    read_pressure: Measured | None = quantity(
        "bar", "pressure read at rest (gauge)", "Gas shut, shaken, no longer falling.", "1.2 bar",
        default=None, low=0, high=20, because="the pressure of drinks",
    )  # fmt: skip
    cylinder: Measured | None = quantity(
        "kg", "carbon dioxide in the cylinder", "All that is connected.", "6.35 kg",
        default=None, above=0, high=1000, because="cylinders of a bar",
    )  # fmt: skip
    room_volume: Measured | None = quantity(
        "m3", "net volume of the room", "Where cylinder and keg stand.", "30 m3",
        default=None, above=0, high=1e5, because="a room, not a hall of a stadium",
    )  # fmt: skip
    air_changes: Measured | None = quantity(
        ("/h", "m3/h"), "fresh air of the room", "Measured: air changes an hour, or a flow.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    jurisdiction: str | None = free_words(
        "whose limits of gases", "A country or province; the strictest of all if left out.",
        "UK", default=None,
    )  # fmt: skip
    altitude: Measured = quantity(
        "m", "altitude", "Below the sea write 0 m.", "0 m",
        default=0.0, low=0, high=5000, because="the standard atmosphere of kitchens",
    )  # fmt: skip
    bore: Measured | None = quantity(
        "mm", "bore of the line", "For the length that balances it.", "4.8 mm",
        default=None, low=3, high=16, because="lines of a bar",
    )  # fmt: skip
    lift: Measured = quantity(
        "m", "rise to the tap", "From the middle of the keg to the tap.", "1 m",
        default=0.0, low=-10, high=30, because="a building",
    )  # fmt: skip
    pour_rate: Measured | None = quantity(
        "l/min", "pour rate", "About 3.5 l/min, the trade's pour, if left out.", "3.5 l/min",
        default=None, low=0.1, high=20, because="a tap",
    )  # fmt: skip

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: which gas, and how much of it is carbon dioxide."""
        return GasMix.read(str(value)) if name == "gas" else value


# ---- gas taken up at the setting, what the shut vessel can come to, what gas does to the pH ----

BAR = 1e5
#: Where nothing is entered it is judged as here, and the answer asks: a bar or a car in summer.
WARMEST_C = 40.0
# what brings milk, egg, oil or butter along; other fat is of the fruit, bean or nut itself
_FATTY = frozenset(("dairy", "egg", "raw-egg", FREE_FAT))
ROOM_C = 20.0  # of the air that the gas ends in, at least


class HeldGas(NamedTuple):
    """The gas in the drink at its setting. Pa; volumes low, likely, high."""

    set_pa: float
    set_low_pa: float
    set_high_pa: float
    dissolved: float  # mol/m3, likely
    least: float
    most: float
    there: GasSolubility


def warmest_c(inputs: Inputs) -> float:
    told = WARMEST_C if inputs.warmest is None else float(inputs.warmest)
    return max(told, float(inputs.temperature))


def of_contents(inputs: Inputs) -> Facts:
    mixture, at_c = inputs.contents.mixture, float(inputs.temperature)
    fat = 100 * mixture.fraction("milk_fat", "fat")
    added = mixture.of("milk_fat") > 0 or not _FATTY.isdisjoint(mixture.tags | mixture.keeps)
    return {
        "co2_with_fat_percent": fat if added else 0.0,
        "co2_with_plant_fat_percent": 0.0 if added else fat,
        "sugar_percent": 100 * mixture.sugar,
        "clogs": clogs(inputs.contents, mixture),
        "curdles": derived.curdles(mixture, charged=True),
        **of_plugging(inputs.contents, at_c, warmest_c(inputs)),
    }


def of_headspace(inputs: Inputs, mixture: Mixture) -> Facts:
    """How far the drink, warmed, fills the headspace; None where that was not entered."""
    if inputs.headspace is None:
        return {"headspace_left": None}
    empty = float(inputs.headspace) / 100
    at_c = float(inputs.temperature)
    growth = hot_volume_m3(mixture, warmest_c(inputs)) / volume_m3(mixture, at_c)
    return {
        "headspace_left": 100 * (1.0 - (1.0 - empty) * max(1.0, growth)),
        "headspace_percent": 100 * empty,
    }


def of_room(inputs: Inputs) -> Facts:
    """The whole cylinder at once in its room; None for what was not entered."""
    facts: Facts = {"cylinder_kg": None, "room_told": None}
    if inputs.cylinder is not None:
        facts["cylinder_kg"] = float(inputs.cylinder)
    if inputs.room_volume is None:
        return facts
    room_m3 = float(inputs.room_volume)
    facts |= {"room_told": room_m3, "room_m3": room_m3}
    if inputs.cylinder is None:
        return facts
    at_c = max(ROOM_C, float(inputs.temperature))
    gas_m3 = float(inputs.cylinder) * gases.gas_volume_m3_kg("co2", at_c)
    changes_h = room_check.counted(room_check.changes_h(inputs.air_changes, room_m3), "room") or 0.0
    law = room_check.jurisdiction(inputs.jurisdiction)
    least_m3 = room_check.room_limits_least_room_m3("co2", gas_m3, room_m3, changes_h, law)
    return facts | {
        "room_gas_g": 1e3 * float(inputs.cylinder),
        "room_gas_percent": 100 * min(1.0, gas_m3 / room_m3),
        "least_room_m3": least_m3,
        "room_over_least": least_m3 / room_m3,
    }


def _known(mixture: Mixture, temperature_c: float) -> GasSolubility:
    """The solubility of carbon dioxide in the drink; BadInput where none is known."""
    found = solubility("co2", temperature_c, mixture)
    if found is None:
        raise BadInput(
            f"{named('contents')}: no solubility of carbon dioxide is known for it; it is known "
            "up to 60 % vol and 600 g/l of sugar.",
            "contents",
        )
    return found


def _over_pa(temperature_c: float, dissolved: float, henry: float) -> float:
    return charged_vessel.pressure_over_pa("co2", temperature_c, dissolved, henry)


def taken_up(temperature_c: float, co2_pa: float, henry: float, total_pa: float) -> float:
    return dissolved_gas.dissolved_mol_m3("co2", temperature_c, co2_pa, henry, total_pa)


def gas_held(inputs: Inputs, mixture: Mixture) -> HeldGas:
    at_c, share = float(inputs.temperature), inputs.gas.share
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    there = _known(mixture, at_c)
    if inputs.volumes is not None:
        wanted = float(inputs.volumes) / dissolved_gas.volumes("co2", 1.0)
        middle, low, high = (
            dissolved_gas.mixture_gauge_pa(share, one, ambient_pa)
            if isfinite(one := _over_pa(at_c, wanted, henry)) else inf
            for henry in (there.middle, there.high, there.low)
        )  # fmt: skip
        if not isfinite(high) or high > 20 * BAR:
            raise BadInput(
                f"{named('volumes')} is {float(inputs.volumes):g}; that takes more than 20 bar at "
                f"{at_c:g} C: take a colder drink, less gas or purer carbon dioxide.",
                "volumes",
            )
        return HeldGas(middle, low, high, wanted, wanted, wanted, there)
    assert inputs.pressure is not None
    set_pa = BAR * float(inputs.pressure)
    total_pa = set_pa + ambient_pa
    found = [taken_up(at_c, share * total_pa, henry, total_pa) for henry in there]
    return HeldGas(set_pa, set_pa, set_pa, found[1], found[0], found[2], there)


def open_gas_volumes(inputs: Inputs, mixture: Mixture) -> float:
    """Volumes that the drink holds under open gas of the cylinder, with no pressure set."""
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    at_c = float(inputs.temperature)
    henry = _known(mixture, at_c).high
    held = taken_up(at_c, inputs.gas.share * ambient_pa, henry, ambient_pa)
    return held * dissolved_gas.volumes("co2", 1.0)


def first_pa(inputs: Inputs) -> float:
    return 0.0 if inputs.first_pressure is None else BAR * float(inputs.first_pressure)


def shut_bound_pa(inputs: Inputs, mixture: Mixture, gas: HeldGas, ambient_pa: float) -> float:
    """Most pressure of the shut vessel where it is warmest, Pa gauge; infinite where not known.

    It has taken up all it can at the highest pressure it was set to, by the highest solubility;
    warm, it holds the least it can and the vessel is taken as full, so that no gas finds room.
    """
    at_c, warm_c = float(inputs.temperature), warmest_c(inputs)
    set_pa = max(gas.set_high_pa, first_pa(inputs), 0.0)
    total_pa = set_pa + ambient_pa
    share = inputs.gas.share
    held = max(gas.most, taken_up(at_c, share * total_pa, gas.there.high, total_pa))
    hot_pa = _over_pa(warm_c, held, _known(mixture, warm_c).low)
    if not isfinite(hot_pa):
        return inf
    nitrogen = (1.0 - share) * total_pa
    if nitrogen:  # as little of it dissolves warm as cold gas expands, or more
        cold_c, hot_c = max(1.0, at_c), max(1.0, warm_c)
        cold, hot = (dissolved_gas.henry_mol_m3_pa("n2", value) for value in (cold_c, hot_c))
        nitrogen *= max(cold / hot, (warm_c + gases.KELVIN) / (at_c + gases.KELVIN))
    hot_pa = hot_pa * (1.0 + charged_vessel.MODEL_MARGIN) + nitrogen
    hot_pa += vapour_bound_pa(mixture, warm_c)
    return max(set_pa, hot_pa - ambient_pa)


def ph_with(mixture: Mixture, dissolved: float) -> tuple[float | None, float | None, float]:
    """pH of the still drink, pH with its gas, and the error of that; None where not known."""
    water_kg, carbonic = mixture.of("water"), dissolved * mixture.volume_20_m3
    _, point, most = mixture.strong_cation_molality
    try:
        still, error = mixture.ph.value, mixture.ph.plus_minus
    except BadInput:
        if mixture.acid_molalities or most > 0.0 or mixture.fraction("protein") > 0.01:
            return None, None, 0.0
        if mixture.sugar > acids.SUGAR_HIGH or mixture.abv > acids.ABV_HIGH:
            return None, None, 0.0
        still, error = None, 0.1
    solvent_kg = water_kg + mixture.ethanol_kg
    shrink = water_kg / solvent_kg
    molal = {acid: m * shrink for acid, m in mixture.acid_molalities.items()}
    molal["carbonic"] = carbonic / solvent_kg
    shift = acids.food_acid_pk_shift(mixture.ethanol_kg / solvent_kg)
    return still, acids.equilibrium(molal, point * shrink, pk_shift=shift.point).ph, error


# ---- time, tap and glass ----

Shown = dict[str, Any]  # Any: a figure or None; the Result takes many kinds of keywords
CO2_KG_MOL = gases.molar_mass_kg_mol("co2")


def shown_of(inputs: Inputs, mixture: Mixture, gas: HeldGas, ambient_pa: float) -> Shown:
    """All that is shown beside the bound."""
    at_c = float(inputs.temperature)
    per_mol = dissolved_gas.volumes("co2", 1.0)
    co2 = gas.dissolved * CO2_KG_MOL  # kg/m3, which is g/L
    still, ph, _ = ph_with(mixture, gas.dissolved)
    found: Shown = {
        "set_pressure": gas.set_pa / BAR,
        "set_low": gas.set_low_pa / BAR,
        "set_high": gas.set_high_pa / BAR,
        "volumes": gas.dissolved * per_mol,
        "volumes_low": gas.least * per_mol,
        "volumes_high": gas.most * per_mol,
        "co2": co2,
        "co2_mass": 1e3 * co2 * mixture.volume_20_m3,
        "ph_still": still,
        "ph": ph,
        "titration_adds": 100 * gas.dissolved * mixture.volume_20_m3 / mixture.mass_kg
        * acids.EQUIVALENT_KG["citric"],
        **_time(inputs),
        **_read(inputs, gas, ambient_pa),
        **_poured(inputs, gas, ambient_pa),
        **_line(inputs, mixture, gas),
        "lost_opening": None,
    }  # fmt: skip
    if inputs.headspace is not None and gas.set_pa > 0.0:
        co2_pa = inputs.gas.share * (gas.set_pa + ambient_pa)
        rho = gases.molar_density_mol_m3("co2", at_c, co2_pa)
        share = min(0.99, float(inputs.headspace) / 100)
        found["lost_opening"] = dissolved_gas.headspace_kg_m3(rho, CO2_KG_MOL, share)
    return found


def _time(inputs: Inputs) -> Shown:
    """Your own time, or the band of the trade; shaking takes minutes, for which none is known."""
    if inputs.own_time is not None:
        per_day = {"d": 1.0, "h": 24.0, "min": 1440.0}[inputs.own_time.unit]
        return {"days_low": None, "days_high": None, "own_days": float(inputs.own_time) / per_day}
    bands = {"stand": dissolved_gas.STANDING_D, "high-then-low": dissolved_gas.HIGH_FIRST_D}
    low, high = bands.get(inputs.how, (None, None))
    return {"days_low": low, "days_high": high, "own_days": None}


def _read(inputs: Inputs, gas: HeldGas, ambient_pa: float) -> Shown:
    """What is in it now, by the pressure at rest."""
    if inputs.read_pressure is None:
        return {"volumes_now": None, "reached": None}
    total_pa = BAR * float(inputs.read_pressure) + ambient_pa
    at_c = float(inputs.temperature)
    now = taken_up(at_c, inputs.gas.share * total_pa, gas.there.middle, total_pa)
    return {
        "volumes_now": now * dissolved_gas.volumes("co2", 1.0),
        "reached": 100 * now / gas.dissolved,
    }


def _poured(inputs: Inputs, gas: HeldGas, ambient_pa: float) -> Shown:
    """Gas left in the glass: no more leaves at once than what open gas would not hold."""
    at_c = min(25.0, float(inputs.temperature))
    co2 = gas.dissolved * CO2_KG_MOL
    stays = min(co2, taken_up(float(inputs.temperature), ambient_pa, gas.there.middle, ambient_pa)
                * CO2_KG_MOL)  # fmt: skip
    into, wall = (
        max(stays, co2 - dissolved_gas.poured_loss_kg_m3(at_c, down)) for down in (False, True)
    )
    later = into * math.exp(-10.0 * heat.GAS_PER_MIN[1])
    return {"left": into, "left_wall": wall, "left_ten": later}


def _density(mixture: Mixture) -> float:
    return mixture.mass_kg / mixture.volume_20_m3


def _flow_m3_s(inputs: Inputs) -> float:
    if inputs.pour_rate is None:
        return dissolved_gas.POUR_M3_S
    return float(inputs.pour_rate) / 6e4


def _line(inputs: Inputs, mixture: Mixture, gas: HeldGas) -> Shown:
    """The length of line that takes what the rise leaves of the set pressure."""
    names = ("lift_pressure", "drop_low", "drop_high", "line_low", "line_high")
    if inputs.bore is None:
        return dict.fromkeys(names)
    density = _density(mixture)
    rise = dissolved_gas.lift_pa(float(inputs.lift), density)
    drop = dissolved_gas.line_pa_m(float(inputs.bore) / 1e3, _flow_m3_s(inputs), density)
    spare = gas.set_pa - rise
    lengths = (spare / drop.high, spare / drop.low) if spare > 0.0 else (None, None)
    return dict(zip(names, (rise / BAR, drop.low / BAR, drop.high / BAR, *lengths), strict=True))


def tables(inputs: Inputs, shown: Shown) -> tuple[Table, ...]:
    """The gas from vessel to glass."""
    rows = [
        ("in keg or bottle", shown["co2"]),
        ("poured down the wall, at least", shown["left_wall"]),
        ("poured into the glass, at least", shown["left"]),
        ("after 10 min in the glass, at least", shown["left_ten"]),
    ]
    return (
        Table("gas", "from keg to glass", (Column("where"), Column("carbon dioxide", "g/l", 1)),
              tuple(rows)),
    )  # fmt: skip


def steps(
    inputs: Inputs, mixture: Mixture, gas: HeldGas, shown: Shown, bound_bar: float
) -> Iterator[Step]:
    """The working, as on a board."""
    at_c, share = float(inputs.temperature), inputs.gas.share
    per_mol = dissolved_gas.volumes("co2", 1.0)
    if inputs.volumes is not None:
        yield Step("gas wanted", f"{float(inputs.volumes):g} volumes / {per_mol:.5f} volumes per "
                   "mol/m3", gas.dissolved, "mol/m3", "DEFINITION")  # fmt: skip
        yield Step("regulator, gauge", f"{gas.dissolved:.1f} mol/m3 over "
                   f"{1e4 * gas.there.middle:.3f}e-4 mol/(m3 Pa) by fugacity, / {share:g} of the "
                   "gas, less the air outside", gas.set_pa / BAR, "bar",
                   "PREPKIT-DISSOLVED")  # fmt: skip
    else:
        yield Step("gas taken up", f"{share:g} of the gas at {gas.set_pa / BAR:g} bar gauge x "
                   f"{1e4 * gas.there.middle:.3f}e-4 mol/(m3 Pa) by fugacity", gas.dissolved,
                   "mol/m3", "PREPKIT-DISSOLVED")  # fmt: skip
    volumes = gas.dissolved * per_mol
    if 2.0 <= volumes <= 3.0 and at_c <= 16.0 and mixture.abv <= 0.08 and share == 1.0:
        psi = dissolved_gas.beer_gauge_psi(dissolved_gas.celsius_to_f(at_c), volumes)
        yield Step("the same by the beer table, gauge", f"brewers' fit at {at_c:g} °C for "
                   f"{volumes:.2f} volumes", psi * dissolved_gas.PSI_PA / BAR, "bar",
                   "BEER-CO2-FIT")  # fmt: skip
    yield Step("upper bound of the shut vessel, gauge", f"all the gas of "
               f"{max(gas.set_high_pa, first_pa(inputs)) / BAR:.2f} bar, the highest setting. "
               f"Full, at {warmest_c(inputs):g} °C, with its vapour",
               bound_bar if bound_bar < 999.0 else None, "bar", "PREPKIT-GAS")  # fmt: skip
    if shown["days_low"] is not None:
        yield Step("time", f"{shown['days_low']:g} to {shown['days_high']:g} days by custom; no "
                   "published course was found. Read the pressure at rest",
                   source="KEG-TIME-INFORMAL")  # fmt: skip
    elif inputs.own_time is not None:
        yield Step("time", "your own keg, as measured", shown["own_days"], "d", "DEFINITION")
    if shown["volumes_now"] is not None:
        yield Step("gas in it now", f"{float(inputs.read_pressure or 0.0):g} bar at rest, at "
                   f"{at_c:g} C", shown["volumes_now"], "volumes", "PREPKIT-DISSOLVED")  # fmt: skip
    if shown["ph"] is not None:
        yield Step("pH with its gas", f"{gas.dissolved:.0f} mmol/l of carbonic acid, pK 6.35, "
                   "beside the acids of the drink", shown["ph"], "", "CARBONIC-PKA")  # fmt: skip
    yield Step("left after pouring", f"{shown['co2']:.2f} g/l less what sparkling wine lost, never "
               "below what open gas holds", shown["left"], "g/l",
               "CHAMPAGNE-POUR-2010")  # fmt: skip
    yield Step("after 10 min", "a glass keeps 42 to 66 %", shown["left_ten"], "g/l",
               "GLASS-GAS-2019")  # fmt: skip
    if inputs.bore is not None:
        bore_m, flow = float(inputs.bore) / 1e3, _flow_m3_s(inputs)
        re_number = dissolved_gas.reynolds(bore_m, flow, _density(mixture), dissolved_gas.BEER_PA_S)
        slow = dissolved_gas.laminar_pa_m(bore_m, flow, dissolved_gas.BEER_PA_S) / BAR
        yield Step("Reynolds number in the line", "4 rho Q / (pi d mu), viscosity as cold beer; "
                   "turbulent from 4000", re_number, "", "PIPE-FLOW")  # fmt: skip
        yield Step("line loss per metre", f"Blasius and the published band; Poiseuille alone would "
                   f"say {slow:.3f} bar", shown["drop_high"], "bar", "DRAUGHT-MANUALS")  # fmt: skip
        yield Step("balanced length", f"({gas.set_pa / BAR:.2f} bar - rise "
                   f"{shown['lift_pressure']:.2f} bar) / loss per metre", shown["line_high"], "m",
                   "DEFINITION")  # fmt: skip


__all__ = ["EXAMPLE", "Inputs", "Result", "compute", "ways_out"]

EXAMPLE = (
    'prepkit carbonate --contents "18 l water" --into keg --volumes 3.5 --temperature "5 C" '
    '--rated "9 bar" --line-rated "8 bar" --regulator-rated "6 bar" --warmest "25 C"'
)
WEAK_ABV = 0.18  # as for an infusion: below it strength is not taken to keep it


class Result(BaseResult):
    """The regulator's setting, the bound of the shut vessel, the time, line and glass."""

    screen = Screen(
        headline=("Set the regulator to {set_pressure}: {volumes} volumes.",),
        primary=(
            Figure("regulator, gauge", "set_pressure"),
            Figure("upper bound, gauge", "bound"),
            Figure("margin below rated", "margin"),
            Figure("days it takes", "days_low", "days_high"),
            "own_days",
            Figure("carbon dioxide", "co2"),
            Figure("left after pouring, at least", "left"),
            Figure("balanced line", "line_low", "line_high"),
        ),
        check=("volumes_now", "ph"),
        do_this=(
            "Set {set_pressure} at {temperature}, and keep the keg or bottle that cold.",
            "Cut the line {line_high} long, then shorten it by tasting.",
        ),
    )

    set_pressure: float | None = output("regulator set pressure (gauge)", "bar", 2)
    set_low: float | None = output("set pressure, lower bound (gauge)", "bar", 2, limit="most")
    set_high: float | None = output("set pressure, upper bound (gauge)", "bar", 2, limit="least")
    volumes: float | None = output("gas dissolved, volumes (0 °C, 1 atm)", "", 2)
    volumes_low: float | None = output("volumes, lower bound", "", 2, limit="most")
    volumes_high: float | None = output("volumes, upper bound", "", 2, limit="least")
    co2: float | None = output("carbon dioxide dissolved", "g/l", 2)
    co2_mass: float | None = output("carbon dioxide in all", "g", 0, extensive=True)
    bound: float | None = output(
        "pressure, upper bound (gauge)", "bar", 1, limit="least"
    )  # fmt: skip
    margin: float | None = output("margin below rated pressure", "bar", 1, limit="most")
    days_low: float | None = output("days to equilibrium, lower bound", "d", 0, limit="most")
    days_high: float | None = output("days to equilibrium, upper bound", "d", 0, limit="least")
    own_days: float | None = output("your own time", "d", 2)
    volumes_now: float | None = output("volumes by the pressure read", "", 2)
    reached: float | None = output("share of the gas wanted", "%", 0)
    ph_still: float | None = output("pH, still", "", 2)
    ph: float | None = output("pH with its gas", "", 2)
    titration_adds: float | None = output("titration error, as citric", "% w/w", 2)
    lost_opening: float | None = output("lost at each opening", "g/l", 2)
    left: float | None = output("poured into the glass, least", "g/l", 1, limit="most")
    left_wall: float | None = output("poured down the wall, least", "g/l", 1, limit="most")
    left_ten: float | None = output("10 min later, least", "g/l", 1, limit="most")
    lift_pressure: float | None = output("pressure the rise takes", "bar", 2)
    drop_low: float | None = output("line loss per metre, least", "bar", 3, limit="most")
    drop_high: float | None = output("line loss per metre, most", "bar", 3, limit="least")
    line_low: float | None = output("balanced length, lower bound", "m", 1, limit="most")
    line_high: float | None = output("balanced length, upper bound", "m", 1, limit="least")
    mass: float | None = output("drink", "g", 0, extensive=True)
    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)

    def beside_stop(self) -> Self:
        """Hook of the base: a bound that is passed; no figure to go ahead with."""
        passed = (self.margin or 0.0) < 0.0
        kept = ("bound", "margin") if passed else ()
        steps = tuple(step for step in self.working if passed and "bound" in step.label)
        first = Step("volume judged", "all of the contents", source="DEFINITION")
        return self.only(kept).replaced(working=(*steps, first)[:1], tables=(), model_error={})


def compute(inputs: Inputs) -> Result:
    """Refusals first; then the setting, the bound against the plates, time, acid, line, glass."""
    mixture = inputs.contents.mixture
    if not mixture.mass_kg:
        raise BadInput(
            f"{named('contents')} amounts to 0; give the drink, such as 18 l water.", "contents"
        )
    facts: Facts = {**cautions.about(mixture), **unfit(inputs.contents), **of_contents(inputs)}
    facts |= {
        "carbonate_way": inputs.how,
        "carbonate_into": inputs.into,
        "gas_name": "carbon dioxide",
    }
    product = mixture.marked(tags=(GASSY,))
    missing = [words for name, words in RATINGS.items() if getattr(inputs, name) is None]
    facts |= {"keg_not_known": bool(missing), "keg_missing": " and ".join(missing)}
    facts |= of_room(inputs)
    refused = inputs.how in ("priming", "dry-ice", "powder") or inputs.into == "other-bottle"
    if refused or missing or _unfit(facts):
        return Result(product=product, facts=facts, deciding=_deciding(facts))
    _check(inputs)
    gas = gas_held(inputs, mixture)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    bound_pa = shut_bound_pa(inputs, mixture, gas, ambient_pa)
    ratings = {name: float(getattr(inputs, name)) for name in RATINGS}
    shut_in = min(ratings["rated"], ratings["line_rated"])
    set_bar = max(gas.set_pa, first_pa(inputs)) / BAR
    bound_bar = bound_pa / BAR if isfinite(bound_pa) else 999.0
    facts |= {
        "bound_known": isfinite(bound_pa),
        "bound_bar": bound_bar,
        "bound_over_rating": bound_bar / shut_in,
        "bound_over_regulator": bound_bar / ratings["regulator_rated"],
        "regulator_bar": ratings["regulator_rated"],
        "rated_bar": shut_in,
        "warmest_c": warmest_c(inputs),
        "warmest_told": inputs.warmest is not None,
        "set_bar": set_bar,
        "gauge_bar": gas.set_pa / BAR,
        "weakest_bar": min(ratings.values()),
        "set_over_rating": set_bar / min(ratings.values()),
        "relief_words": f"{rounded_down(min(ratings.values())):g} bar",
        "through_regulator": True,
        "flat_count": 1 if gas.set_pa <= 0.0 else 0,
        **of_headspace(inputs, mixture),
        "sealed_low_acid_count": _low_acid_warm(mixture, warmest_c(inputs)),
    }
    shown = shown_of(inputs, mixture, gas, ambient_pa)
    facts |= {
        "gas_volumes": shown["volumes"],
        "gas_left_percent": 100 * (shown["left"] or 0.0) / max(1e-9, shown["co2"] or 0.0),
        "titration_gas_percent": shown["titration_adds"],
        "reached_percent": shown["reached"],
        "line_told": None if inputs.bore is None else 1.0,
        "line_short_bar": 0.0 if inputs.bore is None
        else ((shown["lift_pressure"] or 0.0) - gas.set_pa / BAR),
        "own_time_told": None if inputs.own_time is None else 1.0,
        "gas_share_percent": 100 * inputs.gas.share,
    }  # fmt: skip
    return Result(
        product=product,
        facts=facts,
        deciding=_deciding(facts),
        bound=bound_bar if isfinite(bound_pa) else None,
        margin=shut_in - bound_bar if isfinite(bound_pa) else None,
        mass=1000 * mixture.mass_kg,
        volume=1e6 * mixture.volume_20_m3,
        model_error=_errors(mixture, gas),
        working=tuple(steps(inputs, mixture, gas, shown, bound_bar)),
        tables=tables(inputs, shown),
        **shown,
    )


def _low_acid_warm(mixture: Mixture, warm_c: float) -> int:
    """1 for food that is shut in above 5 C with a pH not surely 4.6 or less [FOOD-CODE-TCS]."""
    sour = ph_at_most(mixture) <= keeping.ACID_FOOD_PH
    return int(
        bool(mixture.keeps - {"dry"})
        and mixture.abv < WEAK_ABV
        and not sour
        and warm_c > keeping.COLD_HOLDING_C
    )


def _errors(mixture: Mixture, gas: HeldGas) -> dict[str, float]:
    """By how much the solubility and the pH may be off."""
    per_mol = dissolved_gas.volumes("co2", 1.0)
    off = max(gas.most - gas.dissolved, gas.dissolved - gas.least)
    set_off = max(gas.set_high_pa - gas.set_pa, gas.set_pa - gas.set_low_pa)
    _, ph, ph_off = ph_with(mixture, gas.dissolved)
    found = {"set_pressure": set_off / BAR, "volumes": off * per_mol, "co2": off * CO2_KG_MOL}
    found |= {"ph": ph_off} if ph is not None else {}
    return {name: value for name, value in found.items() if value > 0.0}


def _check(inputs: Inputs) -> None:
    """BadInput for what contradicts itself or cannot be decided."""
    if (inputs.volumes is None) == (inputs.pressure is None):
        raise BadInput(
            f"carbonate needs either {named('volumes')} or {named('pressure')}, one of the two: "
            f"for example {named('volumes', '3.5')}.",
            "volumes",
        )
    if inputs.how == "high-then-low" and inputs.first_pressure is None:
        raise BadInput(
            f"high-then-low needs {named('first_pressure')}, the pressure at first: for example "
            f"{named('first_pressure', '2.5 bar')}.",
            "first_pressure",
        )
    if inputs.warmest is not None and float(inputs.warmest) < float(inputs.temperature):
        raise BadInput(
            f"{named('warmest')} is {float(inputs.warmest):g} C, colder than the "
            f"{float(inputs.temperature):g} C at which it takes the gas; enter the warmest place.",
            "warmest",
        )


def _unfit(facts: Facts) -> bool:
    """Whether the contents alone forbid it (the caution rows say why)."""
    return bool(
        facts["already_gassy"] or facts["fermenting"] or facts["carbonate"] or facts["no_liquid"]
        or facts["corrosive_share"] >= 1.0 or facts["acid_citric_percent"] >= 20
        or facts["oil_percent"] >= 5 or facts["does_plug"]
    )  # fmt: skip


# what decides, and the ways out


def _deciding(facts: Facts) -> str:
    """The figure that decides with its limit, as a sentence."""
    if facts["already_gassy"]:
        return "Part of the contents is a sparkling drink, with gas that is not counted."
    if facts["fermenting"]:
        return "Part of the contents ferments and makes gas without limit."
    if facts["carbonate_way"] == "priming":
        return "Sugar and yeast in a closed vessel make gas without limit."
    if facts["carbonate_way"] in ("dry-ice", "powder"):
        return "Gas from a solid in a closed vessel has no regulator and no limit."
    if facts["carbonate_into"] == "other-bottle":
        return "This bottle is not made for a fizzy drink."
    if facts["keg_not_known"]:
        return f"Not known: {facts['keg_missing']}."
    if facts.get("bound_known") is False:
        return "No upper bound of the pressure is known."
    if facts.get("set_over_rating", 0.0) > 1.0:
        return (
            f"Regulator set to {facts['set_bar']:.2f} bar, weakest part rated "
            f"{rounded_down(facts['weakest_bar']):g} bar."
        )
    if facts.get("room_over_least", 0.0) > 1.0:
        return (
            f"{facts['room_gas_g'] / 1000:g} kg of carbon dioxide in {facts['room_m3']:g} m3; it "
            f"needs {facts['least_room_m3']:.1f} m3."
        )
    if "bound_bar" not in facts:
        return "The contents are not put under gas."
    if facts["flat_count"]:
        return "So little gas stays in by itself; no pressure can be set for it."
    left = facts["headspace_left"]
    if facts["bound_over_rating"] <= 1.0 and left is not None and left <= 0.0:
        return f"At {facts['warmest_c']:.3g} °C the drink fills all of it."
    if facts["sealed_low_acid_count"] and facts["bound_over_rating"] <= 1.0:
        return f"Low-acid food shut in at {facts['warmest_c']:.3g} °C; 5 °C is the most."
    bottle = facts["carbonate_into"] != "keg"
    if bottle and left is None and facts["bound_over_rating"] <= 0.5:
        return "The empty share of the bottle is not entered."
    half = bottle and 0.5 < facts["bound_over_rating"] <= 1.0
    taken = ", of which a bottle takes half" if half else ""
    stops = half or facts["bound_over_rating"] > 1.0
    # no setting beside a stop
    setting = "Up" if stops else f"Set {facts['gauge_bar']:.2f} bar: up"
    return (
        f"{setting} to {rounded_up(facts['bound_bar'], 1):.1f} bar at {facts['warmest_c']:.3g} °C; "
        f"keg or bottle and lines rated {rounded_down(facts['rated_bar']):g} bar{taken}."
    )


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """Less gas, or a colder place; each worked out and judged as the whole."""
    found = [*_less(inputs, judge), *_colder(inputs, judge)]
    return tuple(way for way in found if way.verdict != "stop")


def _judged(judge: Judge, other: Inputs, label: str) -> Iterator[Way]:
    try:
        answer = judge.full(other)
    except PrepkitError:  # what cannot be asked is no way out
        return
    yield Way(label, answer.verdict, answer.result.deciding, answer.inputs)


def _less(inputs: Inputs, judge: Judge) -> Iterator[Way]:
    name = "volumes" if inputs.volumes is not None else "pressure"
    told = getattr(inputs, name)
    if told is None or inputs.first_pressure is not None:
        return

    def made(share: float) -> Inputs:
        value = share * float(told)
        return inputs.replaced(**{name: value if name == "volumes" else Measured(value, "bar")})

    least = 0.05
    if name == "volumes":  # what open gas holds is no setting
        open_volumes = open_gas_volumes(inputs, inputs.contents.mixture)
        least = min(1.0, 1.05 * open_volumes / float(told))
    try:
        edge = room_check.found_edge(judge, made, least, 1.0)
    except PrepkitError:
        return
    if edge is not None:
        share = room_check.rounded(edge * float(told), up=False) / float(told)
        unit = "volumes" if name == "volumes" else "bar"
        yield from _judged(judge, made(share), f"{share * float(told):.3g} {unit}")


def _colder(inputs: Inputs, judge: Judge) -> Iterator[Way]:
    if warmest_c(inputs) <= max(keeping.COLD_HOLDING_C, float(inputs.temperature)):
        return
    cold = Measured(max(keeping.COLD_HOLDING_C, float(inputs.temperature)), "C")
    other = inputs.replaced(warmest=cold)
    yield from _judged(judge, other, f"kept at {float(cold):g} °C or colder, also on the way")
