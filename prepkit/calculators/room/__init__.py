"""room: gas set free in a room: oxygen, limits, how soon, how long, and what the room stands."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable

from prepkit.calculators.room import report
from prepkit.calculators.room.report import Inputs
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.model import Figure, Judge, Screen, Way, output
from prepkit.model import Result as BaseResult
from prepkit.science import gases, room_air
from prepkit.science.room_air import Release
from prepkit.shared import room_check
from prepkit.shared.room_check import Course
from prepkit.units import Measured

EXAMPLE = 'prepkit room --volume "30 m3" --release "8 kg co2" --air-changes 0'
CHARGER_KG = 0.008


class Result(BaseResult):
    """The air of the room, well mixed but for the factor."""

    screen = Screen(
        headline=("Oxygen at its lowest {oxygen}.", "{room_stands} at most at once."),
        primary=(
            Figure("lowest oxygen", "oxygen"),
            Figure("highest carbon dioxide", "co2"),
            Figure("highest nitrous oxide", "n2o"),
            Figure("first limit after", "limit_after"),
            Figure("time until below every limit", "back_after"),
            "gas",
            Figure("STOP above, at once", "room_stands"),
            Figure("STOP in rooms below", "room_needed"),
            "oxygen_high",
            "steady",
            "chargers",
            "room",
        ),
    )

    room: float | None = output("net volume of the room", "m3", 1)
    gas: float | None = output("gas set free", "l", 0)
    oxygen: float | None = output("oxygen at its lowest", "%", 2, limit="most")
    oxygen_at_once: float | None = output("oxygen after a sudden release", "%", 2)
    oxygen_mixing: float | None = output("oxygen if air mixes out", "%", 2)
    oxygen_high: float | None = output("oxygen at its highest", "%", 2, limit="least")
    co2: float | None = output("carbon dioxide at its highest", "%", 3, figures=3, limit="least")
    n2o: float | None = output("nitrous oxide at its highest", "ppm", 0, limit="least")
    low_after: float | None = output(
        f"time to {room_check.OXYGEN_STOP:g} % oxygen", "min", 0, limit="most"
    )
    limit_after: float | None = output("time to the first limit", "min", 0, limit="most")
    back_after: float | None = output("time until below every limit", "h", 1, limit="least")
    steady: float | None = output("final gas level, steady leak", "%", 3, figures=3)
    steady_supply: float | None = output("final level, fixed air supply", "%", 3, figures=3)
    room_stands: float | None = output("STOP above, at once, unventilated", "kg", 3, limit="most")
    room_needed: float | None = output("STOP in rooms below, unventilated", "m3", 1, limit="least")
    chargers: float | None = output("chargers per hour (8 g, shift)", "", 1)


#: What may stand beside a stop: the reasons, and what would change it.
REASONS = frozenset((
    "room", "gas", "oxygen", "oxygen_at_once", "oxygen_mixing", "oxygen_high", "co2", "n2o",
    "low_after", "limit_after", "steady", "steady_supply", "room_stands", "room_needed",
))  # fmt: skip

#: What is not shown where the place itself is the reason: no amount would change that.
_NOWHERE = frozenset(("room_stands", "room_needed"))


def compute(inputs: Inputs) -> Result:
    """Each gas by itself against its limits, all of them together against oxygen."""
    if not inputs.release and not inputs.rate:
        raise BadInput(
            f"room needs {named('release')} or {named('rate')}, what is set free: for example "
            f"{named('release', '8 kg co2')}.",
            "release",
        )
    if refused := report.refused(inputs):
        return Result(facts=refused, deciding=room_check.deciding(refused, {}).words)
    facts = report.facts(inputs)
    room_m3 = report.net_m3(inputs)
    facts["room_m3"] = room_m3
    if room_m3 is None:
        return Result(facts=facts, deciding=room_check.deciding(facts, {}).words)
    courses = _courses(inputs, room_m3, facts["air_changes"] or 0.0)
    inert = [c for c in courses if c.gas != "o2"]
    total = _together(inert)
    oxygen = 100 * _oxygen(total)
    law = report.jurisdiction(inputs)
    found = {c.gas: room_check.against(c, room_check.chosen(c.gas, law)) for c in courses}
    peaks = {c.gas: c.peak() for c in courses}
    rich = next((100 * (room_air.OXYGEN + (1 - room_air.OXYGEN) * c.peak())
                 for c in courses if c.gas == "o2"), None)  # fmt: skip
    facts |= {
        "oxygen_percent": oxygen,
        "oxygen_effect": room_check.effect("o2", oxygen)["text"],
        "oxygen_high_percent": rich or 100 * room_air.OXYGEN,
        "co2_percent": 100 * peaks.get("co2", 0.0),
        "co2_effect": room_check.effect("co2", 100 * peaks.get("co2", 0.0))["text"],
        "n2o_ppm": 1e6 * peaks.get("n2o", 0.0),
        "co2_ppm_words": room_check.ppm_words(peaks.get("co2", 0.0)),
        "n2o_ppm_words": room_check.ppm_words(peaks.get("n2o", 0.0)),
        "n2o_percent": 100 * peaks.get("n2o", 0.0),
        "n2o_shift_share": room_check.worst(found.get("n2o", ()), "twa"),
        "n2o_in_use_share": room_check.worst(found.get("n2o", ()), "twa-in-use"),
        "co2_shift_share": room_check.worst(found.get("co2", ()), "twa"),
        "short_share": room_check.worst(found.get("co2", ()), "stel"),
        "n2o_short_share": room_check.worst(found.get("n2o", ()), "stel"),
        **room_check.from_memory(found),
        **_at_once(inputs, courses, room_m3),
    }
    facts["nearest_share"] = room_check.nearest_share(facts, found)
    decides = room_check.deciding(facts, found)
    result = _values(inputs, courses, total, found, facts).replaced(
        room=room_m3,
        oxygen=oxygen,
        oxygen_high=rich,
        facts=facts,
        working=report.steps(inputs, courses, total, found),
        tables=tuple(report.tables(inputs, courses, total, found, facts)),
        deciding=decides.words,
        compared=decides.compared,
    )
    if not _stops(facts):
        return result
    return result.only(REASONS - _NOWHERE if _no_amount(facts) else REASONS)


def _courses(inputs: Inputs, room_m3: float, air_changes: float) -> list[Course]:
    """One course for each gas, in the order of the words."""
    lasting_s = report.lasting_s(inputs)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    by_gas: dict[str, list[Release]] = defaultdict(list)
    for one in report.released(inputs):
        m3, span = (
            one.gas_m3(float(inputs.temperature), ambient_pa, lasting_s),
            one.span_s(lasting_s),
        )
        if not span:  # what does not fit is pushed out
            m3 = min(m3, room_m3)
        by_gas[one.gas].append(Release(m3, one.start_s, span))
    factor = float(inputs.worst_corner)
    return [
        Course(gas, room_m3, tuple(releases), air_changes,
               room_check.OUTSIDE_CO2 if gas == "co2" else 0.0, factor)
        for gas, releases in by_gas.items()
    ]  # fmt: skip


def _together(courses: list[Course]) -> Course | None:
    """Everything that takes the place of oxygen, as one."""
    if not courses:
        return None
    releases = tuple(one for course in courses for one in course.releases)
    return courses[0].replaced(gas="n2", releases=releases, supply=0.0)


def _oxygen(total: Course | None) -> float:
    return room_air.oxygen_fraction(total.peak() if total else 0.0)


def _stops(facts: Facts) -> bool:
    return bool(
        room_check.stops(facts)
        or facts["oxygen_high_percent"] > room_check.OXYGEN_ENRICHED
        or facts["n2o_ppm"] > room_check.N2O_STOP_PPM
        or max(facts["short_share"], facts["n2o_short_share"]) > 1.0
        or max(facts["co2_shift_share"], facts["n2o_shift_share"]) >= room_check.SHIFT_STOP
        or (facts["cold"] and room_check.too_little_for_cold(facts["air_changes"]))
        or room_check.forbids(facts["place"], facts["cold"])
    )


def _no_amount(facts: Facts) -> bool:
    """Whether no amount at all would lift the stop."""
    return room_check.forbids(facts["place"], facts["cold"]) or bool(
        facts["cold"] and room_check.too_little_for_cold(facts["air_changes"])
    )


def _all_m3(inputs: Inputs) -> dict[str, float]:
    """All of each gas at the room's temperature and pressure, more than the room holds too."""
    lasting_s = report.lasting_s(inputs)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    found: dict[str, float] = defaultdict(float)
    for one in report.released(inputs):
        found[one.gas] += one.gas_m3(float(inputs.temperature), ambient_pa, lasting_s)
    return found


def _at_once(inputs: Inputs, courses: list[Course], room_m3: float) -> Facts:
    """The air if the ventilation failed and all of it stayed."""
    factor, amounts = courses[0].factor, _all_m3(inputs)

    def share(*left_out: str) -> float:
        m3 = math.fsum(m3 for gas, m3 in amounts.items() if gas not in left_out)
        return min(factor * m3 / room_m3, 1.0)

    co2 = min(factor * amounts.get("co2", 0.0) / room_m3 + room_check.OUTSIDE_CO2, 1.0)
    return {
        "oxygen_at_once_percent": 100 * room_air.oxygen_fraction(share("o2")),
        "co2_at_once_percent": 100 * co2 if "co2" in amounts else 0.0,
    }


def _values(
    inputs: Inputs,
    courses: list[Course],
    total: Course | None,
    found: dict[str, list[room_check.Against]],
    facts: Facts,
) -> Result:
    """What was worked out for the room, before it is judged."""
    room_m3, changes = courses[0].room_m3, courses[0].air_changes_h
    amounts = _all_m3(inputs)
    gas_m3 = math.fsum(amounts.values())
    reached = [one.reached_s for rows in found.values() for one in rows]
    clears: list[float | None] = [
        c.clear_s(room_check.ppm(row.row)) for c in courses for row in found[c.gas]
    ]
    low = at_once = mixing = None
    if total:
        floor = 1 - 0.01 * room_check.OXYGEN_STOP / room_air.OXYGEN
        low = total.reached_s(floor)
        reached.append(low)
        clears.append(total.clear_s(floor))
        at_once = facts["oxygen_at_once_percent"]
        inert_m3 = total.factor * math.fsum(m3 for gas, m3 in amounts.items() if gas != "o2")
        mixing = 100 * room_air.oxygen_fraction_mixing(room_m3, inert_m3)
    factor, caps = courses[0].factor, room_check.caps(report.jurisdiction(inputs))
    needed = room_check.least_room_m3({gas: factor * m3 for gas, m3 in amounts.items()}, caps)
    largest = inputs.spec("volume").high
    alone = report.released(inputs)[0]
    stands = room_check.largest_kg(
        alone.gas,
        room_m3 / factor,
        alone.gas_m3_kg(
            float(inputs.temperature), gases.ambient_pressure_pa(float(inputs.altitude))
        ),
        caps=caps,
    )
    first = min((one for one in reached if one is not None), default=None)
    back = steady = steady_supply = chargers = None
    if first is not None and changes and None not in clears:
        back = max(one for one in clears if one is not None) / 3600
    leak_m3_h = math.fsum(3600 * one.gas_m3 / one.duration_s
                    for c in courses for one in c.releases if one.duration_s)  # fmt: skip
    if leak_m3_h and changes:
        steady = 100 * room_air.steady_concentration(room_m3, leak_m3_h, changes)
        if inputs.counted_on == "supply":
            steady_supply = 100 * room_air.steady_concentration(
                room_m3, leak_m3_h, changes, "supply"
            )
    if "n2o" in found and changes:
        strictest = min(room_check.ppm(row.row) for row in found["n2o"])
        per_charger = CHARGER_KG * gases.gas_volume_m3_kg("n2o", float(inputs.temperature))
        chargers = strictest * changes * room_m3 / per_charger / courses[0].factor
    return Result(
        gas=1000 * gas_m3,
        oxygen_at_once=at_once,
        oxygen_mixing=mixing,
        co2=facts["co2_percent"] if "co2" in found else None,
        n2o=facts["n2o_ppm"] if "n2o" in found else None,
        low_after=None if low is None else low / 60,
        limit_after=None if first is None else first / 60,
        back_after=back,
        steady=steady,
        steady_supply=steady_supply,
        room_stands=stands,
        room_needed=needed if largest is None or needed <= largest else None,
        chargers=chargers,
    )


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """Ways out of a stop: less gas, a larger room, more fresh air, another place."""
    if report.refused(inputs) or report.net_m3(inputs) is None:
        return ()
    room_m3 = report.net_m3(inputs) or 1.0

    def less(base: Inputs) -> Callable[[float], Inputs]:
        return lambda share: base.replaced(
            **{
                name: tuple(one.scaled(share) for one in getattr(base, name))
                for name in ("release", "rate")
            }
        )

    def larger(base: Inputs) -> Callable[[float], Inputs]:
        alone = base.replaced(length=None, width=None, height=None, equipment=0.0, cap_height=False)
        return lambda m3: alone.replaced(volume=Measured(m3, "m3"))

    def amount(other: Inputs, _: float) -> str:
        return f"at most {' with '.join(report.written(other))}"

    cold = bool(report.facts(inputs)["cold"])
    judge = room_check.strict(judge, lambda one: compute(one).facts)
    return room_check.of(inputs, judge, less, larger, amount, room_m3, cold)
