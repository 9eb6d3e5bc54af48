"""What is shown of the air of a room: limits, effects, the course over time, ways out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from prepkit.calculators.room import facts as room_facts
from prepkit.calculators.room.inputs import Inputs
from prepkit.model import Column, Step, Table
from prepkit.science import room_air, room_sizes
from prepkit.shared import room_check, room_limits
from prepkit.shared.room_limits import Course

_ALARMS = {
    ("co2", "alarm"): "find out why, from outside",
    ("co2", "alarm-main"): "everybody leaves",
    ("o2", "alarm"): "everybody leaves",
    ("o2", "alarm-main"): "nobody goes in without their own air supply",
    ("o2", "high"): "everybody leaves: fire",
}
COURSE_MIN = (0, 5, 15, 30, 60, 120, 240, 480)


def tables(
    inputs: Inputs,
    courses: list[Course],
    total: Course | None,
    found: dict[str, list[room_limits.Against]],
    facts: Mapping[str, Any],  # Any: words and numbers, compared with limits
) -> list[Table]:
    shown = []
    by_gas = {course.gas: course for course in courses}
    rows: list[tuple[str | float | None, ...]] = [
        (
            room_check.GAS_NAMES[gas],
            f"{room_check.whose(one.row)}: {room_limits.KINDS[one.row['kind']]}",
            1e6 * room_check.ppm(one.row),
            1e6 * one.found,
            None if one.reached_s is None else one.reached_s / 60,
            _below_again(one, by_gas[gas]),
            f"{one.row['source']} ({one.row['obtained']})",
        )
        for gas, against in found.items()
        for one in against
    ]
    if rows:
        shown.append(
            Table(
                "limits",
                "limits at work, well mixed but for the factor",
                (Column("gas"), Column("limit"), Column("limit", "ppm", 0),
                 Column("found", "ppm", 0), Column("first reached after", "min", 1),
                 Column("below again after"), Column("source")),
                tuple(rows),
            )
        )  # fmt: skip
    effects: list[tuple[str | float | None, ...]] = [
        _effect("oxygen", "o2", facts["oxygen_percent"])
    ]
    if "co2" in found:
        effects.append(_effect("carbon dioxide", "co2", facts["co2_percent"]))
    if "o2" in found:
        effects.append(_effect("oxygen at its highest", "o2", facts["oxygen_high_percent"]))
    shown.append(
        Table(
            "effects",
            "what such air does to people who are well",
            (Column("gas"), Column("in the air", "%", 2), Column("effect"), Column("source")),
            tuple(effects),
        )
    )
    last = max((t.start_s + t.duration_s for c in courses for t in c.releases), default=0.0)
    end = max(last, room_facts.lasting_s(inputs))
    times = [60.0 * m for m in COURSE_MIN if 60.0 * m <= end]
    columns = [Column("after", "min", 0), Column("oxygen", "%", 2)]
    columns += [Column(room_check.GAS_NAMES[c.gas], "ppm", 0) for c in courses]
    course = tuple(
        (t / 60, 100 * room_air.oxygen_fraction(total.at(t) if total else 0.0),
         *(1e6 * c.at(t) for c in courses))
        for t in times
    )  # fmt: skip
    changing = _changing(course)
    title = "the air over time"
    if len(changing) < len(course):
        title += f"; from {changing[-2][0]:g} to {changing[-1][0]:g} min it does not change"
    shown.append(Table("course", title, tuple(columns), changing))
    shown += [_where(list(by_gas)), _alarms(list(by_gas))]
    if any(c.gas == "co2" for c in courses) and facts["co2_percent"] > room_check.CO2_STOP:
        shown.append(_ways_out(inputs))
    return shown


def _changing(course: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    """The course without the rows between two that no shown figure changes between, at its end.

    >>> _changing(((0.0, 20.9), (5.0, 18.1), (15.0, 18.1), (30.0, 18.1001)))
    ((0.0, 20.9), (5.0, 18.1), (30.0, 18.1001))
    """
    shown = [(round(one[1], 2), *(round(gas) for gas in one[2:])) for one in course]
    end = len(course)
    while end > 1 and shown[end - 2] == shown[-1]:
        end -= 1
    return course if end > len(course) - 2 else (*course[:end], course[-1])


def _below_again(one: room_limits.Against, course: Course) -> str:
    if one.reached_s is None:
        return "-"
    clear_s = course.clear_s(room_check.ppm(one.row))
    return "not by itself" if clear_s is None else f"{clear_s / 60:.1f} min"


def _effect(name: str, gas: str, percent: float) -> tuple[str | float | None, ...]:
    row = room_check.effect(gas, percent)
    return name, percent, row["text"], f"{row['source']} ({row['obtained']})"


def _where(gases: list[str]) -> Table:
    rows = tuple(
        (room_check.GAS_NAMES[gas], room_check.COLLECTS[gas], room_check.SENSORS[gas])
        for gas in gases
    )
    columns = (Column("gas"), Column("where"), Column("sensor of an alarm"))
    return Table("where", "where it collects", columns, rows)


def _alarms(gases: list[str]) -> Table:
    """The alarm levels that are published for what is set free."""
    rows = [
        (
            room_check.GAS_NAMES[gas],
            _ALARMS[gas, row["kind"]],
            100 * room_check.ppm(row),
            room_check.whose(row),
            f"{row['source']} ({row['obtained']})",
        )
        for gas in (["co2", "o2"] if "co2" in gases else ["o2"])
        for row in room_check.limits(gas)
        if (gas, row["kind"]) in _ALARMS and (row["kind"] != "high" or "o2" in gases)
    ]
    columns = (
        Column("alarm for"), Column("what it asks"), Column("at", "%", 1), Column("whose"),
        Column("source"),
    )  # fmt: skip
    return Table("alarms", "alarm levels", columns, tuple(rows))


def _ways_out(inputs: Inputs) -> Table:
    rows = [
        f"at least {room_sizes.VENTILATION_H:g} air changes an hour, always running",
        f"{room_sizes.VENTILATION_ON_ALARM_H:g} air changes an hour that start at 1.5 %",
        "a fixed alarm, 1.5 and 3.0 %, sensor about 30 cm above the floor, readable before entry",
    ]
    if inputs.length is not None and inputs.width is not None:
        floor = float(inputs.length) * float(inputs.width)
        rows.append(f"openings of {room_sizes.vent_opening_m2(floor):.3f} m2 to the open air")
    return Table(
        "ways-out",
        "where the room is too small, the German rule asks for one of these. A competent person "
        "plans it",
        (Column("measure"),),
        tuple((row,) for row in rows),
    )


def steps(
    inputs: Inputs,
    courses: list[Course],
    total: Course | None,
    found: dict[str, list[room_limits.Against]],
) -> tuple[Step, ...]:
    """As on a board: the room, the gas, displacement, over time, each limit."""
    room_m3, changes = courses[0].room_m3, courses[0].air_changes_h
    shown = [Step("net room", _room_words(inputs), room_m3, "m3", "UK-SHE-DEWAR-2014")]
    for c in courses:
        said = [str(one) for one in room_facts.released(inputs) if one.gas == c.gas]
        gas_m3 = math.fsum(one.gas_m3 for one in c.releases)
        place = f"{float(inputs.temperature):g} °C, {float(inputs.altitude):g} m up"
        shown.append(
            Step(f"gas, {room_check.GAS_NAMES[c.gas]}", f"{' and '.join(said)}, at {place}",
                 gas_m3, "m3", "GAS-EOS")
        )  # fmt: skip
    if total:
        gas_m3 = total.factor * math.fsum(one.gas_m3 for one in total.releases)
        shown += [
            Step("oxygen if all came at once", f"20.95 % x ({room_m3:.4g} - {gas_m3:.4g}) / "
                 f"{room_m3:.4g}, gas times {total.factor:g} for the worst corner",
                 20.95 * (1.0 - min(gas_m3 / room_m3, 1.0)), "%",
                 "UK-SHE-DEWAR-2014"),
            Step("the same if air mixes out meanwhile, not for the verdict",
                 f"20.95 % x exp(-{gas_m3:.4g} / {room_m3:.4g})",
                 100 * room_air.oxygen_fraction_mixing(room_m3, gas_m3), "%", "BGN-ASI-6-80"),
            Step("oxygen at its lowest", f"20.95 % x (1 - {total.peak():.5f}), with {changes:g} "
                 f"air changes an hour, gas times {total.factor:g} for the worst corner",
                 100 * room_air.oxygen_fraction(total.peak()), "%", "PREPKIT-ROOM"),
        ]  # fmt: skip
    for c in courses:
        shown.append(
            Step(f"{room_check.GAS_NAMES[c.gas]} at its highest",
                 f"V dC/dt = L - N V (C - C outside). V {room_m3:.4g} m3, N {changes:g} an hour, "
                 f"gas x {c.factor:g}", 1e6 * c.peak(), "ppm", "PREPKIT-ROOM")
        )  # fmt: skip
        shown += [
            Step(f"{room_check.GAS_NAMES[c.gas]}, {room_limits.KINDS[one.row['kind']]}",
                 f"limit {1e6 * room_check.ppm(one.row):g} ppm, {one.row['body']}",
                 1e6 * one.found, "ppm", one.row["source"])
            for one in found[c.gas]
        ]  # fmt: skip
    return tuple(shown)


def _room_words(inputs: Inputs) -> str:
    less = f", less {float(inputs.equipment):g} % for equipment" if inputs.equipment else ""
    if inputs.volume is not None:
        return f"{inputs.volume.words()}{less}, lower bound"
    cap = f", {room_sizes.HEIGHT_CAP_M:g} m of height at most" if inputs.cap_height else ""
    sides_m = (one for one in (inputs.length, inputs.width, inputs.height) if one is not None)
    sides = " x ".join(f"{side:g}" for side in sides_m)
    return f"{sides} m{cap}{less}, lower bound"
