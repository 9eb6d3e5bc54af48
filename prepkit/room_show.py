"""What is shown of the air of a room: limits, effects, the course over time, ways out."""

from __future__ import annotations

from typing import Any

from prepkit import room_check, room_limits
from prepkit.model import Column, Step, Table
from prepkit.room_limits import Course
from prepkit.science import room_air, room_sizes

COURSE_MIN = (0, 5, 15, 30, 60, 120, 240, 480)


def tables(
    inputs: Any,
    courses: list[Course],
    total: Course | None,
    found: dict[str, list[room_limits.Against]],
    facts: dict[str, Any],
) -> list[Table]:
    shown = []
    rows: list[tuple[str | float | None, ...]] = [
        (
            room_check.GAS_NAMES[gas],
            f"{one.row['body']} ({one.row['jurisdiction']}): {room_limits.KINDS[one.row['kind']]}",
            1e6 * room_check.ppm(one.row),
            1e6 * one.found,
            None if one.reached_s is None else one.reached_s / 60,
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
                 Column("found", "ppm", 0), Column("first reached after", "min", 1)),
                tuple(rows),
            )
        )  # fmt: skip
    effects: list[tuple[str | float | None, ...]] = [
        ("oxygen", facts["oxygen_percent"], facts["oxygen_effect"])
    ]
    if "co2" in found:
        effects.append(("carbon dioxide", facts["co2_percent"], facts["co2_effect"]))
    shown.append(
        Table(
            "effects",
            "what such air does to people who are well",
            (Column("gas"), Column("in the air", "%", 2), Column("effect")),
            tuple(effects),
        )
    )
    last = max((t.start_s + t.duration_s for c in courses for t in c.releases), default=0.0)
    end = max(last, 3600.0 * float(inputs.duration))
    times = [60.0 * m for m in COURSE_MIN if 60.0 * m <= end]
    columns = [Column("after", "min", 0), Column("oxygen", "%", 2)]
    columns += [Column(room_check.GAS_NAMES[c.gas], "ppm", 0) for c in courses]
    course = tuple(
        (t / 60, 100 * room_air.oxygen_fraction(total.at(t) if total else 0.0),
         *(1e6 * c.at(t) for c in courses))
        for t in times
    )  # fmt: skip
    shown.append(Table("course", "the air over time", tuple(columns), course))
    if any(c.gas == "co2" for c in courses) and facts["co2_percent"] > room_check.CO2_STOP:
        shown.append(_ways_out(inputs))
    return shown


def _ways_out(inputs: Any) -> Table:
    rows = [
        f"at least {room_sizes.VENTILATION_H:g} air changes an hour, always running",
        f"{room_sizes.VENTILATION_ON_ALARM_H:g} air changes an hour that start at 1.5 %",
        "a fixed alarm, 1.5 and 3.0 %, sensor about 30 cm above the floor, readable before entry",
    ]
    if inputs.length is not None:
        floor = float(inputs.length) * float(inputs.width)
        rows.append(f"openings of {room_sizes.vent_opening_m2(floor):.3f} m2 to the open air")
    return Table(
        "ways-out",
        "where the room is too small, the German rule asks for one of these; a competent person "
        "lays it out",
        (Column("measure"),),
        tuple((row,) for row in rows),
    )


def steps(
    courses: list[Course], total: Course | None, room_m3: float, oxygen: float
) -> tuple[Step, ...]:
    shown = []
    for c in courses:
        gas_m3 = sum(one.gas_m3 for one in c.releases)
        shown.append(
            Step(
                f"{room_check.GAS_NAMES[c.gas]} at its highest",
                f"{gas_m3:.4g} m3 into {room_m3:g} m3 with {c.air_changes_h:g} air changes an "
                f"hour, times {c.factor:g}",
                1e6 * c.peak(),
                "ppm",
                "PREPKIT-ROOM",
            )
        )
    if total:
        shown.append(
            Step(
                "oxygen at its lowest",
                f"20.95 % x (1 - {total.peak():.5f})",
                oxygen,
                "%",
                "UK-SHE-DEWAR-2014",
            )
        )
    return tuple(shown)
