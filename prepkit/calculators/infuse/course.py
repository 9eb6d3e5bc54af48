"""Infusion over time: own readings or a band, heat, gas, the plants' water, what likes what."""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from prepkit.calculators.infuse import steeping
from prepkit.calculators.infuse.steeping import Inputs
from prepkit.errors import BadInput, later, named
from prepkit.facts import Facts
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Step, Table
from prepkit.numbers import close_names, written
from prepkit.record import Record
from prepkit.science import ethanol, infusion
from prepkit.science.heat import ETHANOL_KG_MOL, WATER_KG_MOL
from prepkit.science.infusion import Curve
from prepkit.units import parse_quantity

Shown = dict[str, Any]  # Any: a figure or None; the Result takes many kinds of keywords
TIMES_H = (0.5, 1.0, 2.0, 4.0, 8.0, 24.0, 48.0, 96.0, 168.0, 336.0)
_SHOULD = 'write for example "6 h: 4" (a score), "6 h: 318 g" (the drained plants) or "6 h: 9.5 Bx"'
_SCORE = later(r"^\d{1,4}(?:[.,]\d{1,4})?$")
_UNITS = (("g", "weight"), ("Bx", "Bx"), ("% vol", "strength"))


class Noted(NamedTuple):
    """One reading: hours, what it reads, and its kind."""

    hours: float
    reads: float
    kind: str


class Course(Record):
    """How far it is at the time: shares 0 to 1, least, likely, most; None where unknown."""

    curve: Curve | None
    kind: str
    low: float | None
    likely: float | None
    high: float | None
    exchange: bool  # whether the share is that of water and sugar, not of taste
    last_h: float


def read_noted(words: str) -> Noted:
    """Read "6 h: 4", "6 h: 318 g", "6 h: 9.5 Bx" or "6 h: 40.1 % vol"."""
    time_words, colon, rest = (one.strip() for one in words.partition(":"))
    if not colon or not rest:
        raise BadInput(f"{named('noted', words)} cannot be read; {_SHOULD}.", "noted")
    hours = float(parse_quantity(time_words, ("h",), named("noted")))
    for unit, kind in _UNITS:
        if rest.endswith(unit):
            return _checked(
                Noted(hours, float(parse_quantity(rest, (unit,), named("noted"))), kind), words
            )
    if _SCORE.match(rest) is None:
        raise BadInput(f"{named('noted', words)} cannot be read; {_SHOULD}.", "noted")
    return _checked(Noted(hours, float(rest.replace(",", ".")), "taste"), words)


def _checked(one: Noted, words: str) -> Noted:
    if not (one.hours > 0.0 and math.isfinite(one.reads) and 0.0 < one.reads <= 1e7):
        raise BadInput(
            f"{named('noted', words)}: time and reading must both be more than 0; {_SHOULD}.",
            "noted",
        )
    return one


ROOM_MOST_C = 35.0  # a hot kitchen; warmer is heating and is judged as such [JUDGEMENT]


def check(inputs: Inputs) -> None:
    """BadInput for what contradicts itself or lacks what it needs."""
    needs = {
        "heated_in": "belongs to method heated", "gas_time": "belongs to method pressure",
        "tastes_as": "belongs to method pressure",
    }  # fmt: skip
    method = "pressure" if inputs.gas is not None else inputs.method
    for name, said in needs.items():
        if getattr(inputs, name) is not None and method != said.split()[-1]:
            raise BadInput(f"{named(name)} {said}; leave it out or change the method.", name)
    if method == "heated" and (inputs.temperature is None or inputs.heated_in is None):
        missing = "temperature" if inputs.temperature is None else "heated_in"
        raise BadInput(
            f"{named('method')} heated needs {named(missing)}: for example "
            f"{named(missing, '55 C' if missing == 'temperature' else 'bag')}.",
            missing,
        )
    heat_c = 0.0 if inputs.temperature is None else float(inputs.temperature)
    if method != "heated" and heat_c > ROOM_MOST_C:
        raise BadInput(
            f"{named('temperature')} is {heat_c:g} C; above {ROOM_MOST_C:g} C it is heated, which "
            f"is never done under gas: write {named('method', 'heated')} and what it is heated in, "
            f"such as {named('heated_in', 'bag')}.",
            "temperature",
        )
    if (inputs.gas_time is None) != (inputs.tastes_as is None):
        missing = "gas_time" if inputs.gas_time is None else "tastes_as"
        raise BadInput(
            f"{named(missing)} is missing: the factor is your time without gas over your time "
            f"under gas, for the same taste.",
            missing,
        )
    if inputs.noted_at is not None and (not inputs.noted or inputs.temperature is None):
        raise BadInput(
            f"{named('noted_at')} needs {named('noted')}, and {named('temperature')} to go to.",
            "noted_at",
        )
    if inputs.time is not None and not inputs.noted and inputs.thickness is None:
        raise BadInput(
            f"{named('time')} alone says nothing: no published time fits spirit. Add "
            f"{named('thickness', '3 mm')} of the pieces for a band, or two of "
            f"{named('noted', '6 h: 4')}.",
            "time",
        )
    for one in inputs.aroma:
        if one.strip().lower() not in infusion.LOG_P:
            near = close_names(one.strip().lower(), infusion.LOG_P, n=1)
            hint = f"did you mean {near[0]}" if near else f"known are {', '.join(infusion.LOG_P)}"
            raise BadInput(f"{named('aroma', one)} is not known here; {hint}.", "aroma")


def of(inputs: Inputs, poured: Mixture, put_in: Mixture, full: Mixture) -> Course:
    """The course by own readings, or by the thickness of the pieces."""
    time_h = None if inputs.time is None else float(inputs.time)
    noted = sorted(read_noted(one) for one in inputs.noted)
    if not noted:
        if time_h is None or inputs.thickness is None:
            return Course(None, "", None, None, None, exchange=True, last_h=0.0)
        low, likely, high = (
            infusion.diffusion_share(time_h, float(inputs.thickness) / 1e3, d)
            for d in infusion.DIFFUSIVITY_M2_S
        )
        return Course(None, "band", low, likely, high, exchange=True, last_h=math.inf)
    kinds = {one.kind for one in noted}
    if len(kinds) > 1 or len(noted) < 2:
        raise BadInput(
            f"{named('noted')} is needed twice or more, all of one kind; here it is "
            f"{len(noted)} of {' and '.join(sorted(kinds))}.",
            "noted",
        )
    kind = noted[0].kind
    changes = [(one.hours, _change(one, poured, put_in)) for one in noted]
    try:
        curve = infusion.peleg(changes)
    except BadInput as error:
        said = ", ".join(f"{one.reads:g} at {one.hours:g} h" for one in noted)
        raise BadInput(
            f"{named('noted')}: {said} lie on no curve that rises fast and then levels off; the "
            "later must change by more, but by less than in proportion to time. Note it again.",
            "noted",
        ) from error
    shares: tuple[float | None, float | None, float | None] = (None, None, None)
    if time_h is not None:
        shares = _at(inputs, curve, time_h)
    exchange = kind in ("Bx", "strength")
    if exchange:
        whole = _whole(kind, poured, full)
        if whole > 0.0:  # of all that can be exchanged, not of where the curve ends
            scale = curve.final / whole
            shares = _three(tuple(None if one is None else min(1.0, one * scale) for one in shares))
    return Course(curve, kind, *shares, exchange=exchange, last_h=noted[-1].hours)


def _three(
    found: tuple[float | None, ...],
) -> tuple[float | None, float | None, float | None]:
    low, likely, high = found
    return low, likely, high


def _change(one: Noted, poured: Mixture, put_in: Mixture) -> float:
    """How far a reading is from the start; BadInput where it has not moved, or cannot tell."""
    if one.kind == "taste":
        return one.reads
    if one.kind == "weight":
        found = abs(one.reads - 1000 * put_in.mass_kg)
    elif one.kind == "strength":
        found = 100 * poured.abv - one.reads
    else:
        if poured.ethanol_kg:
            raise BadInput(
                f"{named('noted')} in Bx says nothing in spirit, which a refractometer reads as "
                "sugar; note a score, the weight of the drained plants, or a measured strength.",
                "noted",
            )
        found = one.reads - poured.refractometer_brix
    if found <= 1e-9:
        raise BadInput(
            f"{named('noted')}: {one.reads:g} after {one.hours:g} h is no change from the start.",
            "noted",
        )
    return found


def _whole(kind: str, poured: Mixture, full: Mixture) -> float:
    if kind == "strength":
        return 100 * (poured.abv - full.abv)
    return full.refractometer_brix - poured.refractometer_brix


def speeds(inputs: Inputs) -> tuple[float, float]:
    """How many times faster than where it was noted: least and most."""
    if inputs.noted_at is None or inputs.temperature is None:
        return 1.0, 1.0
    at_c, to_c = float(inputs.noted_at), float(inputs.temperature)
    found = sorted(
        infusion.speed(at_c, to_c, ea) for ea in (infusion.LEAST_EA_J_MOL, infusion.MOST_EA_J_MOL)
    )
    return found[0], found[1]


def _at(inputs: Inputs, curve: Curve, time_h: float) -> tuple[float, float, float]:
    slow, fast = speeds(inputs)
    return (
        curve.share(time_h * slow),
        curve.share(time_h * math.sqrt(slow * fast)),
        curve.share(time_h * fast),
    )


# heat and gas


def bubble_c(poured: Mixture) -> float:
    """Where the liquid boils at sea level, by its water and spirit."""
    water, spirit = poured.of("water") / WATER_KG_MOL, poured.ethanol_kg / ETHANOL_KG_MOL
    return infusion.bubble_point_c(spirit / (water + spirit) if water + spirit else 0.0)


WARM_C = (5.0, 57.0)  # between them germs grow in food [FOOD-CODE-TIME]
WEAK_ABV, LONGEST_WARM_H = 0.18, 4.0


def _warm_weak_h(inputs: Inputs, full: Mixture) -> float:
    """Hours that a weak liquid is warm; without end where no time was entered."""
    heat_c = float(inputs.temperature or 0.0)
    if full.abv >= WEAK_ABV or not WARM_C[0] < heat_c < WARM_C[1]:
        return 0.0
    return 9999.0 if inputs.time is None else float(inputs.time)


def facts(inputs: Inputs, poured: Mixture, full: Mixture, course: Course) -> Facts:
    """What the caution rules judge of time, heat, gas and aroma."""
    found: Facts = {}
    if inputs.method == "heated" and inputs.temperature is not None:
        heat_c = float(inputs.temperature)
        found |= {
            "heat_c": heat_c,
            "heated_in": inputs.heated_in or "",
            "bubble_c": bubble_c(poured),
            "under_bubble_k": bubble_c(poured) - heat_c,
            "heat_over_flash_k": ethanol.over_flash_k(poured.abv, heat_c)
            if poured.ethanol_kg else -999.0,
            "heat_abv": 100 * poured.abv,
            "heat_h": None if inputs.time is None else float(inputs.time),
            "warm_weak_h": _warm_weak_h(inputs, full),
        }  # fmt: skip
    if inputs.time is not None:
        found |= {"course_kind": course.kind, "past_readings": float(inputs.time) / course.last_h}
    if (inputs.method == "pressure" or inputs.gas is not None) and inputs.gas_time is None:
        found["gas_factor_told"] = None
    slow, fast = speeds(inputs)
    found["speed_band"] = fast / slow
    liked = [infusion.likes(infusion.LOG_P[one.strip().lower()]) for one in inputs.aroma]
    fatty = poured.fraction("fat", "milk_fat") > 0.5
    found["aroma_wants_fat"] = 0 if fatty else liked.count("fat")
    found["aroma_wants_water"] = liked.count("water") if fatty else 0
    return found


def values(inputs: Inputs, course: Course, at: tuple[Mixture, Mixture, Mixture] | None) -> Shown:
    """What is shown of the course; `at`: the liquid at least, likely and most exchange."""
    curve, slow_fast = course.curve, speeds(inputs)
    found: Shown = {}
    percent = [
        None if one is None else 100 * one for one in (course.low, course.likely, course.high)
    ]
    found |= dict(zip(("share_low", "share", "share_high"), percent, strict=True))
    if curve is not None:
        found |= {
            "half_time": curve.time_h(0.5) / math.sqrt(slow_fast[0] * slow_fast[1]),
            "ninety_time": curve.time_h(0.9) / math.sqrt(slow_fast[0] * slow_fast[1]),
        }
    elif inputs.thickness is not None:
        thick = float(inputs.thickness) / 1e3
        slowest, _, fastest = infusion.DIFFUSIVITY_M2_S
        found |= {
            "ninety_low": infusion.diffusion_time_h(0.9, thick, fastest),
            "ninety_high": infusion.diffusion_time_h(0.9, thick, slowest),
        }
    if inputs.noted_at is not None:
        found |= {"speed_low": slow_fast[0], "speed_high": slow_fast[1]}
    if inputs.gas_time is not None and inputs.tastes_as is not None:
        found["faster"] = float(inputs.tastes_as) / float(inputs.gas_time)
    if at is not None:
        least_done, likely, most_done = at
        found |= {
            "abv_at": 100 * likely.abv or None,
            "abv_at_most": 100 * least_done.abv or None,
            "abv_at_least": 100 * most_done.abv or None,
            "sugar_at": likely.of(*SUGARS) / likely.volume_20_m3,
        }
    return found


def table(
    inputs: Inputs, course: Course, poured: Mixture, juice: Mixture, kept_kg: float, full: Mixture
) -> tuple[Table, ...]:
    """The plants' own water and sugar over time, and what likes which liquid."""
    found = []
    if course.exchange and course.likely is not None and inputs.time is not None:
        hours = sorted(
            {*(one for one in TIMES_H if one <= 4 * float(inputs.time)), float(inputs.time)}
        )
        rows: list[tuple[str | float | None, ...]] = []
        for hour in hours:
            low, likely, high = _shares(inputs, course, poured, full, hour)
            liquid = steeping.strained(poured, juice, kept_kg, likely).liquid
            rows.append((f"{written(hour)} h", 100 * low, 100 * likely, 100 * high,
                         100 * liquid.abv, liquid.of(*SUGARS) / liquid.volume_20_m3))  # fmt: skip
        columns = (
            Column("time"), Column("exchanged, least", "%", 0), Column("likely", "%", 0),
            Column("most", "%", 0), Column("strength, likely", "% vol", 1),
            Column("sugars, likely", "g/l", 0),
        )  # fmt: skip
        found.append(Table("course", "the plants' water and sugar over time", columns, tuple(rows)))
    return (*found, *evidence(inputs), *aroma_table(inputs))


def _shares(
    inputs: Inputs, course: Course, poured: Mixture, full: Mixture, hour: float
) -> tuple[float, float, float]:
    if course.curve is None:
        thick = float(inputs.thickness or 0.0) / 1e3
        low, likely, high = (
            infusion.diffusion_share(hour, thick, d) for d in infusion.DIFFUSIVITY_M2_S
        )
        return low, likely, high
    whole = _whole(course.kind, poured, full)
    scale = course.curve.final / whole if whole > 0.0 else 1.0
    low, likely, high = (min(1.0, one * scale) for one in _at(inputs, course.curve, hour))
    return low, likely, high


#: What is published of a plant in water, by its group or a word of its name: what, how fast.
PUBLISHED = (
    ("tea", "caffeine of leaf of 1.4 to 2 mm at 80 °C", "nine tenths in 2.3 min"),
    ("tea", "phenols of granules of 2 mm at 60 °C", "half in 2.7 min, nine tenths in 9 min"),
    ("hibiscus", "colour at 1:25 and at 1:5", "88 % and 63 % in the end; heat changes the speed"),
    ("coffee", "caffeine at 21 to 25 °C, 1:10, still", "flat by 6 to 7 h, whatever the grind"),
    ("vanilla", "US extract: 100 g of beans to the litre", "at least 35 % vol; 2 g/l of vanillin"),
)
_EVIDENCE_OF = {
    "tea": "TEA-1999", "hibiscus": "ROSELLE-2012", "coffee": "COLD-BREW-2017",
    "vanilla": "VANILLA-CFR",
}  # fmt: skip


def evidence(inputs: Inputs) -> tuple[Table, ...]:
    """What was published of these plants in water, where time or heat is asked about."""
    asked = (inputs.time, inputs.thickness, inputs.temperature, *inputs.noted)
    if not any(one is not None for one in asked):
        return ()
    words = {word for one in inputs.botanical for word in one.name.lower().split()}
    kinds = words | {one.ingredient.group for one in inputs.botanical}
    rows = tuple(row for row in PUBLISHED if row[0] in kinds)
    columns = (Column("plant"), Column("what was measured, in water"), Column("result"))
    return (Table("evidence", "published of these plants", columns, rows),) if rows else ()


def aroma_table(inputs: Inputs) -> tuple[Table, ...]:
    """Which liquid takes what: by octanol over water, an order alone."""
    if not inputs.aroma:
        return ()
    said = {
        "water": "water, weak spirit",
        "both": "spirit, fat as well",
        "fat": "fat, strong spirit",
    }
    rows = [
        (name, infusion.LOG_P[name], said[infusion.likes(infusion.LOG_P[name])])
        for name in (one.strip().lower() for one in inputs.aroma)
    ]
    columns = (Column("aroma"), Column("log P", "", 2), Column("goes into"))
    return (Table("aroma", "what goes into which liquid", columns, tuple(rows)),)


def steps(inputs: Inputs, course: Course, poured: Mixture) -> Iterator[Step]:
    """The working of the course."""
    curve = course.curve
    if curve is not None:
        yield Step("curve of your readings", f"t / ({curve.k1:.4g} + {curve.k2:.4g} t), t in h, "
                   f"through {len(inputs.noted)} of {course.kind}. The worst is "
                   f"{100 * curve.worst:.0f} % off", curve.final, "", "PELEG")  # fmt: skip
        yield Step("half of it", "k1 / k2, where it was noted", curve.time_h(0.5), "h", "PELEG")
    elif inputs.thickness is not None:
        yield Step("band of time", f"a slab of {float(inputs.thickness):g} mm wet on both faces, "
                   "diffusivity 1e-11 to 1e-9 m2/s", source="INFUSION-DIFFUSIVITY")  # fmt: skip
    if inputs.noted_at is not None:
        slow, fast = speeds(inputs)
        yield Step("faster by heat", f"{float(inputs.noted_at):g} C to "
                   f"{float(inputs.temperature or 0.0):g} C by 17 to 40 kJ/mol: {slow:.2f} to "
                   f"{fast:.2f} times", source="TEA-1999")  # fmt: skip
    if inputs.gas_time is not None and inputs.tastes_as is not None:
        yield Step("faster under gas", f"{float(inputs.tastes_as):g} h without gas / "
                   f"{float(inputs.gas_time):.3g} h under gas, by your own tasting",
                   float(inputs.tastes_as) / float(inputs.gas_time), "", "DEFINITION")  # fmt: skip
    for row in (row for one in evidence(inputs) for row in one.rows):
        yield Step(f"published of {row[0]}", f"{row[1]}: {row[2]}",
                   source=_EVIDENCE_OF[str(row[0])])  # fmt: skip
    if inputs.method == "heated":
        yield Step("boiling point at sea level", f"{100 * poured.abv:.1f} % vol", bubble_c(poured),
                   "C", "ETHANOL-BUBBLE")  # fmt: skip
    for name in inputs.aroma:
        log_p = infusion.LOG_P[name.strip().lower()]
        yield Step(f"log P of {name.strip().lower()}", "octanol over water, an order alone", log_p,
                   "", "LOGP")  # fmt: skip
