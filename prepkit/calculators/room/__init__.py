"""room: gas set free in a room: oxygen, limits, how soon, how long, and what the room stands."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping
from typing import Any, ClassVar

from prepkit.calculators.room.release import Released
from prepkit.errors import BadInput, named
from prepkit.facts import Facts
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import choice, flag, number, quantity, words
from prepkit.model import Column, Figure, Judge, Screen, Step, Table, Way, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import gases, heat, room_air
from prepkit.science.room_air import Release
from prepkit.shared import room_check
from prepkit.shared.room_check import GasCourse, plus_minus
from prepkit.units import Measured

# ---- what room is told ----


class Inputs(BaseInputs):
    """The room, its air, and what is set free in it."""

    only_read = (
        "volume", "length", "width", "height", "equipment",
        "air_changes", "worst_corner", "temperature", "altitude",
    )  # fmt: skip
    groups = (
        ("Most needed", "volume release rate air_changes place"),
        ("Size of the room", "length width height equipment cap_height"),
        ("Conditions", "counted_on worst_corner jurisdiction temperature altitude for"),
    )
    takes = (
        ("release", "amount"),
        ("rate", "rate"),
        ("jurisdiction", "place"),
    )

    judged_at_end: ClassVar[Mapping[str, int]] = {
        "volume": -1,
        "length": -1,
        "width": -1,
        "height": -1,
        "air_changes": -1,
    }

    release: tuple[Released, ...] = words(
        "gas set free",
        "One entry for each, at once or over a time. By mass or pieces: 8 kg co2, 3 n2o "
        "chargers, 2 kg dry ice, 5 l liquid nitrogen. By volume: 1.8 l n2o gas. By cylinder: "
        "10 kg co2 cylinder, 50 l nitrogen cylinder at 200 bar. "
        "Mixtures: 2 m3 of 70 % nitrogen and 30 % co2. Over a time: 40 n2o chargers over 5 h.",
        "8 kg co2",
        default=(),
        many=True,
    )
    rate: tuple[Released, ...] = words(
        "gas set free steadily",
        "A leak, dry ice in a box, a dewar, one entry for each. Such as 0.2 kg/h co2, 3 l/min "
        f"n2o, 0.3 l/d liquid nitrogen. With {named('for')}.",
        "0.2 kg/h co2",
        default=(),
        many=True,
    )
    volume: Measured | None = quantity(
        "m3", "net volume of the room", "Without what furniture fills; never assumed.", "30 m3",
        default=None, low=0.02, high=1e6, because="a fridge to a hall",
    )  # fmt: skip
    length: float | None = quantity(
        "m", "length",
        f"With {named('width')} and {named('height')}, in place of {named('volume')}.", "5 m",
        default=None, low=0.1, high=500, because="a room",
    )  # fmt: skip
    width: float | None = quantity(
        "m", "width", "Inside.", "4 m", default=None, low=0.1, high=500, because="a room"
    )
    height: float | None = quantity(
        "m", "height", "Inside.", "2.5 m", default=None, low=0.1, high=100, because="a room"
    )
    equipment: float = quantity(
        "%", "share that furniture fills", "Of the measured volume.", "10 %",
        default=0.0, low=0, high=95, because="a room with people",
    )  # fmt: skip
    cap_height: bool = flag(
        "at most 2 m height", "Cold gas lies low, and one guide counts no more."
    )
    air_changes: float | None = quantity(
        ("/h", "m3/h"), "fresh air",
        "As measured: air changes an hour, or a flow such as 50 l/s or 100 cfm. Without it, "
        "none are counted. At most 20 /h are counted.",
        "4 /h", default=None, low=0, bare=True,
    )  # fmt: skip
    counted_on: str = choice(
        ("unknown", "supply", "exhaust"), "flow that they stand for",
        "For a leak; the verdict takes the harder figure.", default="unknown",
    )  # fmt: skip
    place: str = choice(room_check.PLACES, "kind of room", "Where it is set free.", default="room")
    worst_corner: float = number(
        "factor for the worst corner",
        "Times the mean of the room, by the leak or at the floor: 1 is perfectly mixed air.",
        "3", default=1.0, low=1, high=10, because="the published mixing factors",
    )  # fmt: skip
    jurisdiction: str | None = words(
        "jurisdiction",
        "The place whose limits count, such as US, California, UK, DE, EU or Australia. "
        "Without it, the strictest of all.",
        "UK", default=None,
    )  # fmt: skip
    temperature: float = quantity(
        "C", "temperature of the room", "Warm gas takes up more room.", "20 C",
        default=20.0, low=-10, high=45, because="a room with people",
    )  # fmt: skip
    altitude: float = quantity(
        "m", "altitude", "Thin air leaves more room to the gas.", "0 m",
        default=0.0, low=0, high=5000, because="the standard atmosphere of kitchens",
    )  # fmt: skip

    for_: float | None = quantity(
        "h", "duration of the rate",
        "Until somebody stops it. Without it, a shift of 8 h.", "3 h",
        default=None, above=0, high=5000, because="half a year",
    )  # fmt: skip

    @classmethod
    def tidy_field(cls, name: str, said: object) -> object:
        """Hook of the base: a walk-in is a cold room."""
        if not isinstance(said, str):
            return said
        place = room_check.tidy(said)
        if name == "volume" and place in room_check.PLACES:
            raise BadInput(
                f'{named("volume")} "{said.strip()}" is a kind of room. Write it as '
                f"{named('place', place)}, and measure the net volume in m3.",
                "volume",
            )
        return place if name == "place" else said

    @classmethod
    def read_field(
        cls,
        name: str,
        value: Any,  # Any: as the base declares it, a value of any field
        pantry: Pantry,
        so_far: Mapping[str, object],
    ) -> object:
        """Hook of the base: what is released by its words."""
        if name not in ("release", "rate"):
            return value
        found = tuple(Released.read(one, named(name)) for one in value)
        for one in found:
            if name == "rate" and not one.steady:
                raise BadInput(
                    f'{named("rate")} is "{one}", an amount; write a rate such as 0.2 kg/h co2, '
                    f"or give it as {named('release')}.",
                    "rate",
                )
        return found


# ---- what was said of a room and of what is set free in it, and the facts of that alone ----

ASSUMED_H = 8.0  # of a rate whose end is not entered: a shift
LEAST_M3 = 0.01


def told_facts(inputs: Inputs) -> Facts:
    """Facts from what was said alone; air changes at the fewest that their ± leaves."""
    told = room_check.changes_h(inputs.air_changes, net_m3(inputs))
    said = released(inputs)
    cryogens = [one.substance for one in said if one.substance in heat.CRYOGENS]
    open_end = any(one.steady and one.duration_s is None for one in said)
    gases_in = {one.gas for one in said}
    law = jurisdiction(inputs)
    return {
        "place": inputs.place,
        **room_check.less(inputs.place, bool(cryogens)),
        "air_changes": room_check.counted(told, inputs.place),
        "air_changes_told": told or 0.0,
        "air_not_counted": bool(told) and inputs.place in room_check.CLOSED,
        "cryogens": " and ".join(dict.fromkeys(cryogens)),
        "cold": bool(cryogens),
        "assumed": "; ".join(dict.fromkeys(one.assumed for one in written(inputs) if one.assumed)),
        "assumed_count": len([one for one in written(inputs) if one.assumed]),
        "end_not_told": open_end and inputs.for_ is None,
        "worst_corner": float(inputs.worst_corner),
        "gases": frozenset(gases_in),
        "gas_names": " and ".join(room_check.GAS_NAMES[gas] for gas in sorted(gases_in)),
        "jurisdiction": inputs.jurisdiction or "-",
        "jurisdiction_known": inputs.jurisdiction is None or law is not None,
        "jurisdictions": ", ".join(room_check.jurisdictions()),
    }


def refusal(inputs: Inputs) -> Facts:
    """Facts where something burns, explodes or poisons; empty where nothing does."""
    found = {one.substance: one.refused for one in written(inputs) if one.refused}
    if not found:
        return {}
    why = "; ".join(dict.fromkeys(found.values()))
    return {"refused_gas": " and ".join(found), "refused_gas_why": why,
            "refused_gas_count": len(found)}  # fmt: skip


def written(inputs: Inputs) -> tuple[Released, ...]:
    """What is set free, as it was written."""
    return (*inputs.release, *inputs.rate)


def released(inputs: Inputs) -> tuple[Released, ...]:
    """What is set free, each gas of a mixture by itself."""
    return tuple(gas for one in written(inputs) for gas in one.components)


def jurisdiction(inputs: Inputs) -> str | None:
    """Whose limits hold, by the key of the limits; None where none was said or it has none."""
    return room_check.jurisdiction(inputs.jurisdiction)


def set_free_for_s(inputs: Inputs) -> float:
    """How long a rate goes on that does not say so itself."""
    told = inputs.for_
    return 3600.0 * (ASSUMED_H if told is None else float(told))


def net_m3(inputs: Inputs) -> float | None:
    """Net volume, at the low end of its ±."""
    sides = [side for side in (inputs.length, inputs.width, inputs.height) if side is not None]
    if inputs.volume is not None:
        if sides:
            raise BadInput(
                f"give {named('volume')}, or {named('length')}, {named('width')} and "
                f"{named('height')}, and not both.",
                "volume",
            )
        least = float(inputs.volume) - plus_minus(inputs.volume)
        if least < LEAST_M3:
            raise BadInput(
                f"{named('volume')} may be as little as {least:g} m3 by its ±; measure it better.",
                "volume",
            )
        return least * (1 - 0.01 * float(inputs.equipment))
    if not sides:
        return None
    if len(sides) < 3:
        raise BadInput(
            f"a room by its sides needs all of {named('length')}, {named('width')} and "
            f"{named('height')}.",
            "length",
        )
    cap = room_air.HEIGHT_CAP_M if inputs.cap_height else None
    length, width, height = (max(float(side) - plus_minus(side), 0.05) for side in sides)
    return room_air.net_room_m3(length, width, height, 0.01 * float(inputs.equipment), cap)


# ---- what is shown of the air of a room ----

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
    courses: list[GasCourse],
    total: GasCourse | None,
    found: dict[str, list[room_check.Against]],
    facts: Facts,
) -> list[Table]:
    shown = []
    by_gas = {course.gas: course for course in courses}
    rows: list[tuple[str | float | None, ...]] = [
        (
            room_check.GAS_NAMES[gas],
            f"{room_check.whose(comparison.row)}: {room_check.KINDS[comparison.row['kind']]}",
            1e6 * room_check.ppm(comparison.row),
            1e6 * comparison.found,
            None if comparison.reached_s is None else comparison.reached_s / 60,
            _below_again(comparison, by_gas[gas]),
            f"{comparison.row['source']} ({comparison.row['obtained']})",
        )
        for gas, against in found.items()
        for comparison in against
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
    end = max(last, set_free_for_s(inputs))
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
    shown = [(round(entry[1], 2), *(round(gas) for gas in entry[2:])) for entry in course]
    end = len(course)
    while end > 1 and shown[end - 2] == shown[-1]:
        end -= 1
    return course if end > len(course) - 2 else (*course[:end], course[-1])


def _below_again(comparison: room_check.Against, course: GasCourse) -> str:
    if comparison.reached_s is None:
        return "-"
    clear_s = course.clear_s(room_check.ppm(comparison.row))
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
        f"at least {room_air.VENTILATION_H:g} air changes an hour, always running",
        f"{room_air.VENTILATION_ON_ALARM_H:g} air changes an hour that start at 1.5 %",
        "a fixed alarm, 1.5 and 3.0 %, sensor about 30 cm above the floor, readable before entry",
    ]
    if inputs.length is not None and inputs.width is not None:
        floor = float(inputs.length) * float(inputs.width)
        rows.append(f"openings of {room_air.vent_opening_m2(floor):.3f} m2 to the open air")
    return Table(
        "ways-out",
        "where the room is too small, the German rule asks for one of these. A competent person "
        "plans it",
        (Column("measure"),),
        tuple((row,) for row in rows),
    )


def steps(
    inputs: Inputs,
    courses: list[GasCourse],
    total: GasCourse | None,
    found: dict[str, list[room_check.Against]],
) -> tuple[Step, ...]:
    """As on a board: the room, the gas, displacement, over time, each limit."""
    room_m3, changes = courses[0].room_m3, courses[0].air_changes_h
    shown = [Step("net room", _room_words(inputs), room_m3, "m3", "UK-SHE-DEWAR-2014")]
    for c in courses:
        said = [str(one) for one in released(inputs) if one.gas == c.gas]
        gas_m3 = math.fsum(release.gas_m3 for release in c.releases)
        place = f"{float(inputs.temperature):g} °C, {float(inputs.altitude):g} m up"
        shown.append(
            Step(f"gas, {room_check.GAS_NAMES[c.gas]}", f"{' and '.join(said)}, at {place}",
                 gas_m3, "m3", "GAS-EOS")
        )  # fmt: skip
    if total:
        gas_m3 = total.factor * math.fsum(release.gas_m3 for release in total.releases)
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
            Step(f"{room_check.GAS_NAMES[c.gas]}, {room_check.KINDS[comparison.row['kind']]}",
                 f"limit {1e6 * room_check.ppm(comparison.row):g} ppm, {comparison.row['body']}",
                 1e6 * comparison.found, "ppm", comparison.row["source"])
            for comparison in found[c.gas]
        ]  # fmt: skip
    return tuple(shown)


def _room_words(inputs: Inputs) -> str:
    less = f", less {float(inputs.equipment):g} % for equipment" if inputs.equipment else ""
    if inputs.volume is not None:
        return f"{inputs.volume.words()}{less}, lower bound"
    cap = f", {room_air.HEIGHT_CAP_M:g} m of height at most" if inputs.cap_height else ""
    sides_m = (value for value in (inputs.length, inputs.width, inputs.height) if value is not None)
    sides = " x ".join(f"{side:g}" for side in sides_m)
    return f"{sides} m{cap}{less}, lower bound"


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
    oxygen_at_once: float | None = output("oxygen after a sudden release", "%", 2, limit="most")
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
    if refused := refusal(inputs):
        return Result(facts=refused, deciding=room_check.deciding(refused, {}).words)
    facts = told_facts(inputs)
    room_m3 = net_m3(inputs)
    facts["room_m3"] = room_m3
    if room_m3 is None:
        return Result(facts=facts, deciding=room_check.deciding(facts, {}).words)
    courses = _courses(inputs, room_m3, facts["air_changes"] or 0.0)
    inert = [c for c in courses if c.gas != "o2"]
    total = _together(inert)
    oxygen = 100 * _oxygen(total)
    law = jurisdiction(inputs)
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
        working=steps(inputs, courses, total, found),
        tables=tuple(tables(inputs, courses, total, found, facts)),
        deciding=decides.words,
        compared=decides.compared,
    )
    if not _stops(facts):
        return result
    return result.only(REASONS - _NOWHERE if _no_amount(facts) else REASONS)


def _courses(inputs: Inputs, room_m3: float, air_changes: float) -> list[GasCourse]:
    """One course for each gas, in the order of the words."""
    lasting_s = set_free_for_s(inputs)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    by_gas: dict[str, list[Release]] = defaultdict(list)
    for one in released(inputs):
        m3, span = (
            one.gas_m3(float(inputs.temperature), ambient_pa, lasting_s),
            one.span_s(lasting_s),
        )
        if not span:  # what does not fit is pushed out
            m3 = min(m3, room_m3)
        by_gas[one.gas].append(Release(m3, one.start_s, span))
    factor = float(inputs.worst_corner)
    return [
        GasCourse(gas, room_m3, tuple(releases), air_changes,
               room_check.OUTSIDE_CO2 if gas == "co2" else 0.0, factor)
        for gas, releases in by_gas.items()
    ]  # fmt: skip


def _together(courses: list[GasCourse]) -> GasCourse | None:
    """Everything that takes the place of oxygen, as one."""
    if not courses:
        return None
    releases = tuple(release for course in courses for release in course.releases)
    return courses[0].replaced(gas="n2", releases=releases, supply=0.0)


def _oxygen(total: GasCourse | None) -> float:
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
    lasting_s = set_free_for_s(inputs)
    ambient_pa = gases.ambient_pressure_pa(float(inputs.altitude))
    found: dict[str, float] = defaultdict(float)
    for one in released(inputs):
        found[one.gas] += one.gas_m3(float(inputs.temperature), ambient_pa, lasting_s)
    return found


def _at_once(inputs: Inputs, courses: list[GasCourse], room_m3: float) -> Facts:
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
    courses: list[GasCourse],
    total: GasCourse | None,
    found: dict[str, list[room_check.Against]],
    facts: Facts,
) -> Result:
    """What was worked out for the room, before it is judged."""
    room_m3, changes = courses[0].room_m3, courses[0].air_changes_h
    amounts = _all_m3(inputs)
    gas_m3 = math.fsum(amounts.values())
    reached = [row.reached_s for rows in found.values() for row in rows]
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
    factor, caps = courses[0].factor, room_check.caps(jurisdiction(inputs))
    needed = room_check.least_room_m3({gas: factor * m3 for gas, m3 in amounts.items()}, caps)
    largest = inputs.spec("volume").high
    alone = released(inputs)[0]
    stands = room_check.largest_kg(
        alone.gas,
        room_m3 / factor,
        alone.gas_m3_kg(
            float(inputs.temperature), gases.ambient_pressure_pa(float(inputs.altitude))
        ),
        caps=caps,
    )
    first = min((value for value in reached if value is not None), default=None)
    back = steady = steady_supply = chargers = None
    if first is not None and changes and None not in clears:
        back = max(clear for clear in clears if clear is not None) / 3600
    leak_m3_h = math.fsum(3600 * release.gas_m3 / release.duration_s
                    for c in courses for release in c.releases if release.duration_s)  # fmt: skip
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
    if refusal(inputs) or net_m3(inputs) is None:
        return ()
    room_m3 = net_m3(inputs) or 1.0

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
        return f"at most {' with '.join(written(other))}"

    cold = bool(told_facts(inputs)["cold"])
    judge = room_check.strict(judge, lambda one: compute(one).facts)
    return room_check.of(inputs, judge, less, larger, amount, room_m3, cold)
