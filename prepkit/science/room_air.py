"""Air of a room into which gas is set free, how large a room must be; clouds that are breathed.

Fractions are by volume, volumes at the room's own temperature and pressure. Verdicts belong to the
displacement figure: gas pushes out its own volume of room air. Everything about a room is monotone:
a smaller room, more gas or less ventilation never gives a milder answer.

Clouds are smoke, spirit in air, and a breath without oxygen.
"""

from collections.abc import Iterable, Sequence
from math import exp, expm1, inf, log
from typing import NamedTuple

from prepkit.errors import BadInput, OutOfRange, require
from prepkit.science.solvers import bracketed

# ---- air of a room into which gas is set free ----

OXYGEN = 0.2095  # of fresh air
AIR_CHANGES_HIGH = 1000.0
ROOM_LOW_M3, ROOM_HIGH_M3 = 0.01, 1e7
MIXING_FACTOR_HIGH = 10.0  # [MMWR-1994] (read)
_HOUR_S = 3600.0


class Release(NamedTuple):
    """Gas set free: so much, from a time on, at once (duration 0) or evenly."""

    gas_m3: float
    start_s: float = 0.0
    duration_s: float = 0.0


def gas_fraction_after_release(room_m3: float, gas_m3: float) -> float:
    """Fraction of the released gas in the room, by displacement.

    room_m3: 0.01 to 1e7, net. gas_m3: 0 to room_m3. Error: the well-mixed assumption.

    >>> round(gas_fraction_after_release(50.0, 5.0), 3)
    0.1

    Raises: OutOfRange, also where there is more gas than room.
    Source: [UK-SHE-DEWAR-2014], [CO2-RULE-PAGE] (read).
    """
    require_room(room_m3)
    require("gas_m3", gas_m3, 0.0, room_m3, "m3", "no more gas than room")
    return gas_m3 / room_m3


def oxygen_fraction_after_release(room_m3: float, gas_m3: float, before: float = OXYGEN) -> float:
    """Fraction of oxygen in the room after gas without oxygen was set free, by displacement.

    room_m3: 0.01 to 1e7, net. gas_m3: 0 to room_m3. before: of the air before, 0 to 0.25; guides
    print 0.2095, 0.209 and 0.21. Error: the well-mixed assumption; near the leak it is less.

    >>> round(oxygen_fraction_after_release(180.0, 69.6, 0.21), 3)
    0.129

    Raises: OutOfRange, also where there is more gas than room.
    Source: [UK-SHE-DEWAR-2014] Appendix 3 (read).
    """
    require("before", before, 0.0, 0.25)
    return before * (1.0 - gas_fraction_after_release(room_m3, gas_m3))


def oxygen_fraction_mixing(room_m3: float, gas_m3: float, before: float = OXYGEN) -> float:
    """The same where air goes on mixing out during the release: milder, a second figure only.

    gas_m3: from 0.

    >>> round(oxygen_fraction_mixing(50.0, 17.3), 3)
    0.148

    Raises: OutOfRange. Source: [BGN-ASI-6-80] Annex 1 (read). Not for verdicts.
    """
    require_room(room_m3)
    require("gas_m3", gas_m3, 0.0, None, "m3")
    require("before", before, 0.0, 0.25)
    return before * exp(-gas_m3 / room_m3)


def oxygen_fraction(gas_fraction: float, before: float = OXYGEN) -> float:
    """Oxygen left where a gas without oxygen takes up a fraction of the air.

    >>> round(oxygen_fraction(0.04), 4)
    0.2011

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("gas_fraction", gas_fraction, 0.0, 1.0)
    return before * (1.0 - gas_fraction)


def concentration(
    time_s: float,
    room_m3: float,
    releases: Iterable[Release | tuple[float, ...]],
    air_changes_h: float = 0.0,
    start: float = 0.0,
    supply: float = 0.0,
) -> float:
    """Fraction of a gas in a ventilated room at a time, from spills, leaks or a schedule of them.

    time_s from 0. releases: (gas_m3, start_s, duration_s). air_changes_h: 0 to 1000; counted as
    fresh air that is always replaced, which is exact for a fixed exhaust flow and an upper bound
    otherwise; without any it is plain displacement. start: fraction at first. supply: fraction in
    the fresh air. Never above 1. Error: the well-mixed assumption.

    >>> leak = [Release(5.0, 0.0, 3600.0)]
    >>> round(concentration(3600.0, 500.0, leak, 1.0, supply=0.0004), 4)
    0.0066

    Raises: OutOfRange.
    Source: [CO2-ROOM-HANDBOOK] (read), [BGN-ASI-6-80] (read).
    """
    checked = _checked(room_m3, releases, air_changes_h, start, supply)
    require("time_s", time_s, 0.0, None, "s")
    return min(_at(time_s, room_m3, checked, air_changes_h / _HOUR_S, start, supply), 1.0)


def average_concentration(
    from_s: float,
    to_s: float,
    room_m3: float,
    releases: Iterable[Release | tuple[float, ...]],
    air_changes_h: float = 0.0,
    start: float = 0.0,
    supply: float = 0.0,
) -> float:
    """Mean fraction between two times: what 15-minute and 8-hour limits are about.

    from_s from 0, to_s above it; the rest as `concentration`.

    >>> round(average_concentration(0.0, 28800.0, 50.0, [Release(0.05)], 0.0), 6)
    0.001

    Raises: OutOfRange. Source: [DEFINITION] integral of `concentration`.
    """
    checked = _checked(room_m3, releases, air_changes_h, start, supply)
    require("from_s", from_s, 0.0, None, "s")
    require("to_s", to_s, from_s + 1e-6, None, "s")
    per_s = air_changes_h / _HOUR_S
    whole = _integral(to_s, room_m3, checked, per_s, start, supply) - _integral(
        from_s, room_m3, checked, per_s, start, supply
    )
    return min(whole / (to_s - from_s), 1.0)


def highest_average(
    window_s: float,
    room_m3: float,
    releases: Sequence[Release],
    air_changes_h: float = 0.0,
    start: float = 0.0,
    supply: float = 0.0,
) -> float:
    """Highest mean fraction over a window of time, among windows that meet the releases.

    window_s: above 0, 900 for a short-term and 28800 for a shift limit. Error: windows are tried
    at 64 places and at every start and end, within 1 % of the highest.

    >>> round(highest_average(900.0, 50.0, [Release(0.05)], 6.0), 6)
    0.000518

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("window_s", window_s, 1.0, None, "s")
    checked = _checked(room_m3, releases, air_changes_h, start, supply)
    ends = [t for r in checked for t in (r.start_s, r.start_s + r.duration_s)]
    last = max(ends, default=0.0)
    places = {0.0, *ends, *(t - window_s for t in ends), *(last * i / 64 for i in range(65))}
    return max(
        average_concentration(at, at + window_s, room_m3, checked, air_changes_h, start, supply)
        for at in places
        if at >= 0.0
    )


def highest(
    room_m3: float,
    releases: Iterable[Release | tuple[float, ...]],
    air_changes_h: float = 0.0,
    start: float = 0.0,
    supply: float = 0.0,
) -> tuple[float, float]:
    """When a gas is highest in the room (s) and how high.

    >>> highest(50.0, [Release(1.0, 60.0)])
    (60.0, 0.02)

    Raises: OutOfRange. Source: as `concentration`.
    """
    checked = _checked(room_m3, releases, air_changes_h, start, supply)
    times = _turns(checked)
    per_s = air_changes_h / _HOUR_S
    values = [(min(_at(t, room_m3, checked, per_s, start, supply), 1.0), -t) for t in times]
    value, at = max(values)
    return (-at, value) if value >= supply or not air_changes_h else (inf, supply)


def hazard_time_s(
    limit: float,
    room_m3: float,
    releases: Iterable[Release | tuple[float, ...]],
    air_changes_h: float = 0.0,
    start: float = 0.0,
    supply: float = 0.0,
) -> float | None:
    """First time at which a gas reaches a fraction, s; None where it never does.

    limit: above 0, to 1; the rest as `concentration`.

    >>> hazard_time_s(0.005, 50.0, [Release(1.0, 0.0, 3600.0)])
    900.0

    Raises: OutOfRange. Source: as `concentration`.
    """
    require("limit", limit, 1e-9, 1.0)
    checked = _checked(room_m3, releases, air_changes_h, start, supply)
    per_s = air_changes_h / _HOUR_S

    def over(t: float) -> float:
        return _at(t, room_m3, checked, per_s, start, supply) - limit

    before = 0.0
    for t in _turns(checked):
        if over(t) >= -1e-15 * limit:
            just_before = _at(t, room_m3, checked, per_s, start, supply, False) - limit
            if t == before or just_before < 0.0:
                return t  # a release at once
            return bracketed(over, before, t, 1e-9)
        before = t
    if supply <= limit or not per_s:
        return None
    return bracketed(over, before, before + 60.0 / per_s, 1e-6)


def clear_time_s(
    limit: float,
    room_m3: float,
    releases: Iterable[Release | tuple[float, ...]],
    air_changes_h: float = 0.0,
    start: float = 0.0,
    supply: float = 0.0,
    mixing_factor: float = 1.0,
) -> float | None:
    """Time from which a gas stays below a fraction, s; None where it never clears.

    mixing_factor: 1 to 10, stretches the time after the last release: rooms do not mix perfectly.

    >>> round(clear_time_s(0.005, 50.0, [Release(1.0)], 6.0))
    832

    Raises: OutOfRange. Source: [MMWR-1994] (read).
    """
    require("limit", limit, 1e-9, 1.0)
    require("mixing_factor", mixing_factor, 1.0, MIXING_FACTOR_HIGH, "", "MMWR-1994")
    checked = _checked(room_m3, releases, air_changes_h, start, supply)
    per_s = air_changes_h / _HOUR_S

    def over(t: float) -> float:
        return _at(t, room_m3, checked, per_s, start, supply) - limit

    times = _turns(checked)
    last = times[-1]
    if over(last) >= 0.0:
        if not per_s or supply >= limit:
            return None
        end = last + log(max((over(last) + limit - supply) / (limit - supply), 1.0)) / per_s
        return last + mixing_factor * (end - last)
    for early, late in zip(reversed(times[:-1]), reversed(times[1:]), strict=True):
        if over(early) >= 0.0:
            return bracketed(over, early, late, 1e-9)
    return 0.0


def steady_concentration(
    room_m3: float, leak_m3_h: float, air_changes_h: float, counted_on: str = "unknown"
) -> float:
    """Fraction that a steady leak comes to in a ventilated room, never above 1.

    counted_on: which flow the air changes stand for: "supply" gives L/(L + N V); "exhaust" and
    "unknown" give L/(N V), exact for a fixed exhaust and an upper bound otherwise. Without
    ventilation a leak ends at 1. Error: the well-mixed assumption.

    >>> round(steady_concentration(36.0, 0.04375, 0.4), 5)
    0.00304

    Raises: OutOfRange; BadInput for another word.
    Source: [OXFORD-S4-03] Appendix 1 (read), [CO2-ROOM-HANDBOOK] (read).
    """
    require_room(room_m3)
    require("leak_m3_h", leak_m3_h, 0.0, None, "m3/h")
    require("air_changes_h", air_changes_h, 0.0, AIR_CHANGES_HIGH, "per h")
    if counted_on not in ("supply", "exhaust", "unknown"):
        raise BadInput(f'counted_on is "{counted_on}"; it must be supply, exhaust or unknown.')
    fresh = air_changes_h * room_m3
    if not leak_m3_h:
        return 0.0
    if not fresh:
        return 1.0
    if counted_on == "supply":
        return leak_m3_h / (leak_m3_h + fresh)
    return min(leak_m3_h / fresh, 1.0)


# the linear balance V dC/dt = L - N V (C - supply), whose solutions add


def require_room(room_m3: float) -> None:
    """Raise OutOfRange unless it is a room: 0.01 to 1e7 m3.

    >>> require_room(30.0)

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("room_m3", room_m3, ROOM_LOW_M3, ROOM_HIGH_M3, "m3")


def _checked(
    room_m3: float,
    releases: Iterable[Release | tuple[float, ...]],
    air_changes_h: float,
    start: float,
    supply: float,
) -> list[Release]:
    require_room(room_m3)
    require("air_changes_h", air_changes_h, 0.0, AIR_CHANGES_HIGH, "per h")
    require("start", start, 0.0, 1.0)
    require("supply", supply, 0.0, 1.0)
    checked = [Release(*release) for release in releases]
    for release in checked:
        require("gas_m3", release.gas_m3, 0.0, None, "m3")
        require("start_s", release.start_s, 0.0, None, "s")
        require("duration_s", release.duration_s, 0.0, None, "s")
        if not release.duration_s and release.gas_m3 > room_m3:
            raise OutOfRange("gas_m3", release.gas_m3, 0.0, room_m3, "m3", "no more gas than room")
    return checked


def _turns(releases: Iterable[Release]) -> list[float]:
    """Times between which the curve goes one way."""
    return sorted({0.0, *(t for r in releases for t in (r.start_s, r.start_s + r.duration_s))})


def _held(per_s: float, span_s: float) -> float:
    """Integral of exp(-N t) over a span."""
    return -expm1(-per_s * span_s) / per_s if per_s else span_s


def _at(
    time_s: float,
    room_m3: float,
    releases: Iterable[Release],
    per_s: float,
    start: float,
    supply: float,
    including: bool = True,
) -> float:
    """Fraction at a time, uncapped; without what is set free at that very moment if asked."""
    total = supply + (start - supply) * exp(-per_s * time_s)
    for gas, begin, duration in releases:
        age = time_s - begin
        if age < 0.0 or (age == 0.0 and not duration and not including):
            continue
        if not duration:
            total += gas / room_m3 * exp(-per_s * age)
        else:
            lasted = min(age, duration)
            gone = exp(-per_s * (age - lasted))
            total += gas / duration / room_m3 * _held(per_s, lasted) * gone
    return total


def _integral(
    time_s: float,
    room_m3: float,
    releases: Iterable[Release],
    per_s: float,
    start: float,
    supply: float,
) -> float:
    total = supply * time_s + (start - supply) * _held(per_s, time_s)
    for gas, begin, duration in releases:
        age = time_s - begin
        if age <= 0.0:
            continue
        if not duration:
            total += gas / room_m3 * _held(per_s, age)
            continue
        rate, lasted = gas / duration / room_m3, min(age, duration)
        rising = _rise(per_s, lasted)
        total += rate * (rising + _held(per_s, lasted) * _held(per_s, age - lasted))
    return total


def _rise(per_s: float, span_s: float) -> float:
    """Integral over a span of _held: (t - held)/N, by its series where N t is small."""
    x = per_s * span_s
    if x < 1e-3:
        return span_s * span_s * (0.5 - x * (1.0 / 6.0 - x / 24.0))
    return (span_s - _held(per_s, span_s)) / per_s


# ---- how large a room must be, and how much gas it stands ----

DEWAR_FACTOR = 2.0  # allowance for ageing insulation [OXFORD-S4-03] (read)
HEIGHT_CAP_M = 2.0  # one guide counts no height above it [UK-SHE-DEWAR-2014] (read)
VENT_OF_FLOOR = 0.01  # [BGN-ASI-6-80] (read)
# [BGN-DISPENSING] (read): with a cylinder in less room than that, ventilation per hour always,
# or from the first alarm on
VENTILATION_H, VENTILATION_ON_ALARM_H = 2.0, 10.0


def net_room_m3(
    length_m: float,
    width_m: float,
    height_m: float,
    equipment: float = 0.0,
    height_cap_m: float | None = None,
) -> float:
    """Net volume of a room, m3: less the share that equipment takes, height capped where asked.

    equipment: 0 to 0.95. height_cap_m: 2 m in one guide, since cold gas lies low.

    >>> net_room_m3(10.0, 10.0, 3.0, 0.1, 2.0)
    180.0

    Raises: OutOfRange. Source: [UK-SHE-DEWAR-2014] Appendix 3 (read).
    """
    for name, value in (("length_m", length_m), ("width_m", width_m), ("height_m", height_m)):
        require(name, value, 0.05, 1000.0, "m")
    require("equipment", equipment, 0.0, 0.95, "")
    height = height_m if height_cap_m is None else min(height_m, height_cap_m)
    return length_m * width_m * height * (1.0 - equipment)


def vent_opening_m2(floor_m2: float) -> float:
    """Area of the opening that a room with a CO2 cylinder needs for natural ventilation, m2.

    floor_m2: above 0, to 10000.

    >>> vent_opening_m2(12.5)
    0.125

    Raises: OutOfRange. Source: [BGN-ASI-6-80] Annex 4 (read): 1/100 of the floor.
    """
    require("floor_m2", floor_m2, 1e-6, 10000.0, "m2", "BGN-ASI-6-80")
    return VENT_OF_FLOOR * floor_m2


def dewar_gas_m3_h(
    litres_per_day: float, gas_ratio: float = 700.0, factor: float = DEWAR_FACTOR
) -> float:
    """Gas that evaporates from open dewars, m3/h.

    litres_per_day: of liquid, from 0, as the maker states it for all dewars together. gas_ratio:
    litres of gas per litre of liquid, 600 to 900. factor: 1 or more, for ageing insulation.

    >>> round(dewar_gas_m3_h(0.75), 4)
    0.0437

    Raises: OutOfRange. Source: [OXFORD-S4-03] Appendix 1 (read).
    """
    require("litres_per_day", litres_per_day, 0.0, None, "l/d")
    require("gas_ratio", gas_ratio, 600.0, 900.0, "")
    require("factor", factor, 1.0, 10.0, "")
    return factor * gas_ratio * litres_per_day / 24000.0


# ---- clouds that somebody breathes ----

MOLAR_L = 24.06  # litres of a mol of gas at 20 C and 1 atm, DEFINITION
CO_G_MOL, ETHANOL_G_MOL = 28.01, 46.07
# CO by weight of dry fuel: mean 0.104, smouldering peat 0.210 [FIRE-EMISSIONS] (read)
CO_USUAL_KG_KG, CO_MOST_KG_KG = 0.1, 0.21
CO_SHIFT_PPM = 25.0  # 8 hours [CO-LIMITS] (read)
CO_HEADACHE_PPM = 200.0  # for hours [CO-LIMITS] (read)
CO_DANGER_PPM = 1200.0  # at once dangerous to life [CO-IDLH-MEMORY] (memory)
LOWER_FLAMMABLE = 0.031  # of ethanol vapour in air, by volume [CLOUD-MEMORY] (memory)
MIST_LIGHTS_FROM = 0.1  # of that limit: a mist lights from about a tenth [HSE-RR980] (read)
BREATHED_M3_H, TAKEN_UP = 0.5, 0.6  # at rest; share of ethanol kept [CLOUD-MEMORY] (memory)
# lungs at rest, l: all of them, after a normal breath out, emptied; oxygen in them
LUNG_L, RESTING_L, EMPTY_L, LUNG_OXYGEN = 6.0, 2.4, 1.2, 0.14  # [CLOUD-MEMORY] (memory)
FOG_SHIFT_MG_M3, FOG_PEAK_MG_M3 = 10.0, 40.0  # glycol and glycerol [FOG-LIMITS] (read)
CHARCOAL_AIR_M3_H_KW = (41.2, 55.6)  # fresh air for each kW of glow [CHARCOAL-2011] (read)


class BandEnds(NamedTuple):
    """The least and the most of a band."""

    low: float
    high: float


def carbon_monoxide_ppm(
    fuel_g: float, space_l: float, emission_kg_kg: float = CO_USUAL_KG_KG
) -> float:
    """Carbon monoxide where dry plant matter smoulders and nothing leaves, ppm by volume, 20 C.

    fuel_g: 0 to 1e5, what burns away. space_l: of dome, glass or room, above 0. emission_kg_kg: CO
    by weight of fuel, 0 to 0.5; 0.104 with a standard deviation of 0.058 in fires outdoors. Never
    above 1e6. Error: the emission, which was not measured for this use.

    >>> round(carbon_monoxide_ppm(0.5, 1.0), -2), round(carbon_monoxide_ppm(0.5, 50_000.0), 1)
    (42900.0, 0.9)

    Raises: OutOfRange. Source: [FIRE-EMISSIONS] (read).
    """
    require("fuel_g", fuel_g, 0.0, 1e5, "g")
    require("space_l", space_l, 1e-3, None, "l")
    require("emission_kg_kg", emission_kg_kg, 0.0, 0.5, "kg/kg")
    return min(1e6, 1e6 * fuel_g * emission_kg_kg / CO_G_MOL * MOLAR_L / space_l)


def ethanol_g_m3(fraction: float) -> float:
    """Ethanol in air by weight, g/m3 at 20 C and 1 atm, from its share by volume, 0 to 1.

    >>> round(ethanol_g_m3(0.031), 1)
    59.4

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("fraction", fraction, 0.0, 1.0, "")
    return 1000.0 * fraction * ETHANOL_G_MOL / MOLAR_L


def flammable_share(air_g_m3: float) -> float:
    """Ethanol in air over its lower flammable limit, as if all of it were vapour.

    >>> round(flammable_share(50.0), 2)
    0.84

    Raises: OutOfRange. Source: [CLOUD-MEMORY] (memory).
    """
    require("air_g_m3", air_g_m3, 0.0, None, "g/m3")
    return air_g_m3 / ethanol_g_m3(LOWER_FLAMMABLE)


def lung_oxygen(gas_l: float, before_l: float, before: float = LUNG_OXYGEN) -> float:
    """Oxygen left in the lungs after a gas without oxygen is breathed in, as a fraction.

    gas_l: 0 to 8. before_l: what the lungs still hold, 0.5 to 8 l; 1.2 emptied, 2.4 at rest.
    before: its oxygen, 0.14. The blood then gives up oxygen too, which makes it worse. Error: lungs
    differ by a third.

    >>> round(lung_oxygen(LUNG_L - EMPTY_L, EMPTY_L), 3), round(lung_oxygen(0.5, RESTING_L), 3)
    (0.028, 0.116)

    Raises: OutOfRange. Source: [CLOUD-MEMORY] (memory), [INERT-GAS-BULLETIN] (read).
    """
    require("gas_l", gas_l, 0.0, 8.0, "l")
    require("before_l", before_l, 0.5, 8.0, "l")
    require("before", before, 0.0, 0.21, "")
    return before * before_l / (before_l + gas_l)


def charcoal_air_m3_h(power_kw: float) -> BandEnds:
    """Fresh air that glowing charcoal asks for to keep its carbon monoxide down, m3/h.

    >>> [round(one) for one in charcoal_air_m3_h(3.0)]
    [124, 167]

    Raises: OutOfRange. Source: [CHARCOAL-2011] (read).
    """
    require("power_kw", power_kw, 0.0, 1000.0, "kW")
    return BandEnds(*(power_kw * each for each in CHARCOAL_AIR_M3_H_KW))
