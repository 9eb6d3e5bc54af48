"""Every range of the relations that verdicts rest on: both ends hold, and just past each is refused
in its exact sentence."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any, NamedTuple

import pytest
from science import beside

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import charged_vessel, keeping, room_air
from prepkit.science.room_air import Release


class Range(NamedTuple):
    """An argument of a relation and what it may be; `high` None where there is no upper end."""

    call: Callable[..., object]
    given: dict[str, Any]
    argument: str
    low: float | None
    high: float | None
    unit: str = ""
    source: str = ""

    def refusal(self, value: float) -> tuple[str, list[float]]:
        """The exact sentence with # for its numbers, and those numbers."""
        unit = f" {self.unit}" if self.unit else ""
        ends = [end for end in (self.low, self.high) if end is not None]
        right = f"between # and #{unit}" if len(ends) == 2 else f"at least #{unit}"
        source = f" ({self.source})" if self.source else ""
        return f"{self.argument} is #{unit}; it must be {right}{source}.", [value, *ends]


NUMBER = re.compile(r"(?<= )(?:nan|inf|-?[0-9.]+(?:e[+-]?[0-9]+)?)(?= |;|\.$)")


def read(sentence: str) -> tuple[str, list[float]]:
    """A sentence with # for its numbers, and the numbers, however they are written."""
    return NUMBER.sub("#", sentence), [float(one) for one in NUMBER.findall(sentence)]


VESSEL = {"gas": "n2", "temperature_c": 20.0, "gas_kg": 0.0, "headspace_m3": 1e-3}
SETTLED = {**VESSEL, "liquid_m3": 1e-3, "henry_mol_m3_pa": 1e-5}
SEQUENCE = {
    "gas": "n2", "temperature_c": 20.0, "charges_kg": [0.001], "shaken": [True],
    "headspace_m3": 1e-3, "liquid_m3": 1e-3, "lowest_henry_mol_m3_pa": 1e-6,
}  # fmt: skip
DISPENSE = {**SETTLED, "portion_m3": 1e-4, "shaken": True, "least_absolute_pa": 0.0}
ENERGY = {"gas": "n2", "absolute_pa": 5e5, "headspace_m3": 1e-3}
ROOM = {"room_m3": 50.0, "releases": [Release(1.0)]}
AIR = {"room_m3": 50.0, "gas_m3": 1.0}
STEADY = {"room_m3": 50.0, "leak_m3_h": 1.0, "air_changes_h": 1.0}
REMOVAL = {"efficiency": 0.9, "air_changes_h": 6.0}
PH = {"ph": 4.0, "water_activity": 0.9}

VESSEL_RANGES = [
    *(
        Range(call, given, name, low, high, unit)
        for call, given in ((charged_vessel.unshaken, VESSEL), (charged_vessel.settled, SETTLED))
        for name, low, high, unit in (
            ("gas_kg", 0.0, 100.0, "kg"), ("headspace_m3", 1e-9, 10.0, "m3"),
            ("bulb_m3", 0.0, 1.0, "m3"), ("air_pa", 0.0, 50e5, "Pa"),
        )
    ),
    Range(charged_vessel.settled, SETTLED, "liquid_m3", 0.0, 10.0, "m3"),
    Range(charged_vessel.settled, SETTLED, "henry_mol_m3_pa", 0.0, 1.0, "mol/(m3 Pa)"),
    Range(charged_vessel.warmed_air_pa, {"air_pa": 1e5, "from_c": 5.0, "to_c": 5.0}, "from_c",
          -10.0, 70.0, "C"),
    Range(charged_vessel.warmed_air_pa, {"air_pa": 1e5, "from_c": 5.0, "to_c": 5.0}, "to_c",
          -10.0, 70.0, "C"),
    Range(charged_vessel.peak_bound_pa, VESSEL, "fill_tolerance", 0.0, 1.0),
    Range(charged_vessel.peak_bound_pa, VESSEL, "temperature_c", -10.0, 70.0, "C"),
    Range(charged_vessel.sequence_bounds_pa, SEQUENCE, "fill_tolerance", 0.0, 1.0),
    Range(charged_vessel.sequence_bounds_pa, SEQUENCE, "temperature_c", -10.0, 70.0, "C"),
    Range(charged_vessel.stored_energy, ENERGY, "ambient_pa", 1e4, 1.2e5, "Pa"),
    Range(charged_vessel.stored_energy, ENERGY, "absolute_pa", 101325.0, 500e5, "Pa"),
    Range(charged_vessel.stored_energy, ENERGY, "headspace_m3", 0.0, 10.0, "m3"),
    Range(charged_vessel.dispense, DISPENSE, "portion_m3", 1e-7, 10.0, "m3"),
    Range(charged_vessel.dispense, {**DISPENSE, "liquid_m3": 0.0}, "portion_m3", 1e-9, 10.0, "m3"),
    Range(charged_vessel.dispense, DISPENSE, "least_absolute_pa", 0.0, 50e5, "Pa"),
    Range(charged_vessel.dispense, DISPENSE, "ambient_pa", 1e4, 1.2e5, "Pa"),
]  # fmt: skip
BALANCES: tuple[tuple[Callable[..., object], dict[str, Any]], ...] = (
    (room_air.concentration, {**ROOM, "time_s": 60.0}),
    (room_air.average_concentration, {**ROOM, "from_s": 0.0, "to_s": 60.0}),
    (room_air.highest_average, {**ROOM, "window_s": 60.0}),
    (room_air.highest, ROOM),
    (room_air.hazard_time_s, {**ROOM, "limit": 0.5}),
    (room_air.clear_time_s, {**ROOM, "limit": 0.5}),
)
AIR_RANGES = [
    *(
        Range(call, given, name, low, high, unit)
        for call, given in BALANCES
        for name, low, high, unit in (
            ("air_changes_h", 0.0, 1000.0, "per h"), ("start", 0.0, 1.0, ""),
            ("supply", 0.0, 1.0, ""),
        )
    ),
    *(Range(call, {**given, "releases": []}, "room_m3", 0.01, 1e7, "m3")
      for call, given in BALANCES),
    Range(room_air.gas_fraction_after_release, AIR, "gas_m3", 0.0, 50.0, "m3",
          "no more gas than room"),
    Range(room_air.oxygen_fraction_after_release, AIR, "before", 0.0, 0.25),
    Range(room_air.oxygen_fraction_after_release, AIR, "gas_m3", 0.0, 50.0, "m3",
          "no more gas than room"),
    Range(room_air.oxygen_fraction_mixing, AIR, "gas_m3", 0.0, None, "m3"),
    Range(room_air.oxygen_fraction_mixing, AIR, "before", 0.0, 0.25),
    Range(room_air.oxygen_fraction_mixing, AIR, "room_m3", 0.01, 1e7, "m3"),
    Range(room_air.oxygen_fraction, {"gas_fraction": 0.1}, "gas_fraction", 0.0, 1.0),
    Range(room_air.concentration, {**ROOM, "time_s": 60.0}, "time_s", 0.0, None, "s"),
    Range(room_air.average_concentration, {**ROOM, "from_s": 0.0, "to_s": 1e9}, "from_s", 0.0,
          None, "s"),
    Range(room_air.average_concentration, {**ROOM, "from_s": 60.0, "to_s": 1e9}, "to_s",
          60.0 + 1e-6, None, "s"),
    Range(room_air.highest_average, {**ROOM, "window_s": 60.0}, "window_s", 1.0, None, "s"),
    Range(room_air.hazard_time_s, {**ROOM, "limit": 0.5}, "limit", 1e-9, 1.0),
    Range(room_air.clear_time_s, {**ROOM, "limit": 0.5}, "limit", 1e-9, 1.0),
    Range(room_air.clear_time_s, {**ROOM, "limit": 0.5}, "mixing_factor", 1.0, 10.0, "",
          "MMWR-1994"),
    Range(room_air.steady_concentration, STEADY, "room_m3", 0.01, 1e7, "m3"),
    Range(room_air.steady_concentration, STEADY, "leak_m3_h", 0.0, None, "m3/h"),
    Range(room_air.steady_concentration, STEADY, "air_changes_h", 0.0, 1000.0, "per h"),
    Range(beside.leak_concentration_supply, {**STEADY, "time_s": 60.0}, "time_s", 0.0, None,
          "s"),
    Range(beside.removal_time_s, REMOVAL, "efficiency", 0.0, 1.0 - 1e-12, "", "MMWR-1994"),
    Range(beside.removal_time_s, REMOVAL, "air_changes_h", 1e-6, 1000.0, "per h", "MMWR-1994"),
    Range(beside.removal_time_s, REMOVAL, "mixing_factor", 1.0, 10.0, "", "MMWR-1994"),
]  # fmt: skip
TABLE_RANGES = [
    Range(call, {**PH, **more}, name, 0.0, high)
    for call, more in (
        (keeping.time_temperature_control, {"heat_treated_and_packaged": True}),
        (keeping.time_temperature_control, {"heat_treated_and_packaged": False}),
        (keeping.acidified_food_class, {"acid_was_added_to_low_acid_food": True}),
    )
    for name, high in (("ph", 14.0), ("water_activity", 1.0))
]


def named(one: Range) -> str:
    return f"{one.call.__name__}-{one.argument}"


@pytest.mark.parametrize("one", [*VESSEL_RANGES, *AIR_RANGES, *TABLE_RANGES], ids=named)
def test_a_range_is_what_it_says(one: Range) -> None:
    for end in (one.low, one.high):
        if end is not None:
            one.call(**{**one.given, one.argument: end})
    past = [math.nan]
    if one.low is not None:
        past.append(math.nextafter(one.low, -math.inf))
    past.append(math.inf if one.high is None else math.nextafter(one.high, math.inf))
    for value in past:
        with pytest.raises(OutOfRange) as wrong:
            one.call(**{**one.given, one.argument: value})
        words, numbers = one.refusal(value)
        assert read(str(wrong.value)) == (words, pytest.approx(numbers, rel=1e-5, nan_ok=True))
        assert wrong.value.argument == one.argument


@pytest.mark.parametrize(("call", "given"), BALANCES)
@pytest.mark.parametrize(
    ("release", "says"),
    [
        (Release(-1e-9), "gas_m3 is -1e-09 m3; it must be at least 0 m3."),
        (Release(1.0, -1e-9), "start_s is -1e-09 s; it must be at least 0 s."),
        (Release(1.0, 0.0, -1e-9), "duration_s is -1e-09 s; it must be at least 0 s."),
        (Release(51.0), "gas_m3 is 51 m3; it must be between 0 and 50 m3 (no more gas than room)."),
    ],
)
def test_a_release_that_cannot_be_is_refused(
    call: Callable[..., object], given: dict[str, Any], release: Release, says: str
) -> None:
    with pytest.raises(OutOfRange) as wrong:
        call(**{**given, "releases": [release]})
    assert str(wrong.value) == says
    # as much as the room holds is no contradiction, and over a time even more is not
    for fits in (Release(50.0), Release(80.0, 0.0, 60.0)):
        call(**{**given, "releases": [fits]})


@pytest.mark.parametrize(
    "call", [charged_vessel.charge_sequence, charged_vessel.sequence_bounds_pa]
)
def test_each_charge_has_its_word(call: Callable[..., object]) -> None:
    for shaken in ([], [True, False]):
        with pytest.raises(BadInput) as wrong:
            call("n2", 20.0, [0.001], shaken, 1e-3, 1e-3, 1e-6)
        assert str(wrong.value) == "each charge needs its own yes or no for shaking."
        assert wrong.value.field == "shaken"


def test_another_convention_is_refused_in_one_sentence() -> None:
    with pytest.raises(BadInput) as wrong:
        room_air.steady_concentration(50.0, 1.0, 1.0, "both")
    assert str(wrong.value) == (
        'counted_on is "both"; it must be supply, exhaust or unknown.'
    )  # fmt: skip
