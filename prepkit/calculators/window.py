"""window: from pour to last sip, the minutes in which a drink is as it is wanted."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import ClassVar, NamedTuple

from prepkit import derived
from prepkit.errors import BadInput, named
from prepkit.facts import checked
from prepkit.ingredient import Part
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import flag, parts, quantity, words
from prepkit.mixture import Mixture
from prepkit.model import Column, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import heat
from prepkit.science.heat import Band
from prepkit.shared.drink import specific_heat_j_kg_k
from prepkit.units import Measured, parse_quantity

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = (
    'prepkit window --part "60 ml spirit 43 %" --part "90 ml water" --temperature "0 C" '
    '--ice "120 g" --room "22 C" --want "temperature=at most 6 C" --want "dilution=at most 20 %"'
)
LONGEST_MIN = 240.0
STEPS_MIN = (0.0, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 18.0, 25.0, 35.0, 50.0, 70.0)
DAMP = (0.3, 0.7)  # relative humidity of a bar where it was not told
HOT_C = 30.0  # from here on it cools, and the cup's own rates hold
#: What can be wanted: its unit, what it is called, whether it falls with time.
WANTED: Mapping[str, tuple[str, str]] = {
    "temperature": ("C", "temperature"),
    "dilution": ("%", "dilution"),
    "gas": ("g/l", "gas in the drink"),
    "foam": ("%", "foam left"),
    "cream": ("", "cream afloat"),
    "aroma": ("", "aroma still there"),
}
_SIDE = re.compile(r"^at (?P<side>least|most)\s+(?P<value>.+)$", re.IGNORECASE)
_RANGE = re.compile(r"^(?P<low>.+?)\s+to\s+(?P<high>.+)$")
Course = Callable[[float], float]
SURE, LIKELY, NEVER = "=", "-", "."
SIGNS = 40  # of the time line
SIGN_MIN = (0.05, 0.1, 0.25, 0.5, 1.0, 2.0, 3.0, 6.0)


class Want(str):
    """The words of one thing that is wanted, and its ends."""

    kind: str
    low: float
    high: float

    @classmethod
    def read(cls, said: str) -> Want:
        """Read "temperature=2 C to 8 C", "dilution=at most 20 %" or "cream=yes"."""
        name, equals, value = (text.strip() for text in said.partition("="))
        kind = name.lower()
        self = cls(said)
        if not equals or kind not in WANTED or not value:
            raise BadInput(
                f"{named('want', said)}: write one of {', '.join(WANTED)}, such as "
                f"{named('want', 'temperature=2 °C to 8 °C')}.",
                "want",
            )
        self.kind, self.low, self.high = kind, -math.inf, math.inf
        unit = WANTED[kind][0]
        if not unit:
            if value.lower() != "yes":
                raise BadInput(f"{named('want', said)}: write {kind}=yes.", "want")
            self.low = 0.5
            return self
        side, both = _SIDE.match(value), _RANGE.match(value)
        if side is not None:
            end = float(parse_quantity(side["value"], (unit,), named("want"), True))
            self.low, self.high = (end, math.inf) if side["side"].lower() == "least" else (
                -math.inf, end
            )  # fmt: skip
        elif both is not None:
            self.low, self.high = (
                float(parse_quantity(both[key], (unit,), named("want"), True))
                for key in ("low", "high")
            )
        if not self.low < self.high or (math.isinf(self.low) and math.isinf(self.high)):
            raise BadInput(
                f"{named('want', said)}: write a range, the lower end first, or at least or at "
                "most.",
                "want",
            )
        return self


class Inputs(BaseInputs):
    """The drink as it is poured, where it stands, and what is wanted of it."""

    groups = (
        ("Most needed", "part temperature ice room want"),
        ("Your own timings", "foam_half cream_floats aroma_lasts gas"),
        ("Conditions", "first_sip humidity lidded"),
    )
    takes = (("want", "target"),)

    part: tuple[Part, ...] = parts(
        "the drink", "In the glass, without the ice. One for each.",
        "60 ml spirit 43 %", extensive=False,
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature as poured", "Of the drink in the glass.", "0 C",
        low=-20, high=95, because="what is served in a glass or cup",
    )  # fmt: skip
    ice: Measured | None = quantity(
        "g", "ice in the glass", "Weighed; none if left out.", "120 g",
        default=None, low=0, high=2000, because="one glass",
    )  # fmt: skip
    room: Measured = quantity(
        "C", "temperature of the air", "Where it is drunk.", "22 C",
        low=0, high=45, because="the air of a bar or a terrace",
    )  # fmt: skip
    humidity: Measured | None = quantity(
        "%", "humidity of the air", "Dew warms a glass more than the air; 30 to 70 % if left out.",
        "50 %", default=None, low=0, high=100, because="relative humidity",
    )  # fmt: skip
    first_sip: Measured | None = quantity(
        "min", "first sip after the pour", "A hot drink is judged as hot as it is then. If left "
        "out, at the start of its window.", "1 min",
        default=None, low=0, high=240, because="one drink",
    )  # fmt: skip
    lidded: bool = flag("lidded", "A lid keeps a hot cup hot.")
    want: tuple[Want, ...] = words(
        "what is wanted",
        "One entry for each: temperature, dilution, gas, foam, cream, aroma. A range, at least or "
        "at most; yes for cream and aroma.",
        "temperature=2 °C to 8 °C",
        many=True,
    )
    gas: Measured | None = quantity(
        "g/l", "carbon dioxide as poured", "From the siphon or keg; nothing if left out.", "5 g/l",
        default=None, above=0, high=15, because="what a drink can hold",
    )  # fmt: skip
    foam_half: Measured | None = quantity(
        "min", "half-life of the foam", "Your own timing, with its ±.", "4 min ± 1 min",
        default=None, above=0, high=240, because="one drink",
    )  # fmt: skip
    cream_floats: Measured | None = quantity(
        "min", "time the cream floats", "Your own timing, with its ±.", "8 min ± 2 min",
        default=None, above=0, high=240, because="one drink",
    )  # fmt: skip
    aroma_lasts: Measured | None = quantity(
        "min", "time the aroma lasts", "Your own timing, with its ±.", "3 min ± 1 min",
        default=None, above=0, high=240, because="one drink",
    )  # fmt: skip

    judged_at_end: ClassVar[Mapping[str, int]] = {
        "foam_half": -1, "cream_floats": -1, "aroma_lasts": -1, "first_sip": -1,
    }  # fmt: skip

    @classmethod
    def read_field(
        cls, name: str, value: object, pantry: Pantry, so_far: Mapping[str, object]
    ) -> object:
        """Hook of the base: what is wanted, by its words."""
        if name != "want" or not isinstance(value, tuple):
            return value
        found = tuple(Want.read(one) for one in value)
        kinds = [want.kind for want in found]
        twice = next((kind for kind in kinds if kinds.count(kind) > 1), None)
        if twice is not None:
            raise BadInput(f"{named('want')} has {twice} twice; say it once, as a range.", "want")
        return found


class Result(BaseResult):
    """When it is as it is wanted; nothing where no minute is sure."""

    screen = Screen(
        headline=(
            "As wanted from {sure_from} to {sure_to} for sure; the {window_ends} ends it.",
            "As wanted from {sure_from} to {sure_to} for sure.",
            "Likely as wanted from {likely_from} to {likely_to}; the {window_ends} ends it. No "
            "minute is sure.",
            "Likely as wanted from {likely_from} to {likely_to}; no minute is sure.",
            "At no time is all of it as wanted.",
        ),
        primary=("sure_from", "sure_to", "likely_from", "likely_to", "end_temperature", "dilution"),
        do_this=("Time one glass with a thermometer, and enter what you find.",),
    )

    sure_from: float | None = output("for sure from", "min", 1, limit="least")
    sure_to: float | None = output("for sure to", "min", 1, limit="most")
    likely_from: float | None = output("likely from", "min", 1)
    likely_to: float | None = output("likely to", "min", 1)
    end_temperature: float | None = output("temperature at likely end", "C", 1)
    dilution: float | None = output("dilution at likely end", "%", 0)


class _Glass(NamedTuple):
    """What goes on in the glass at one end of the band: a value at each minute, by what it is."""

    courses: dict[str, Course]
    ice: bool


class Span(NamedTuple):
    """From when to when a band is held; from after to where never."""

    start: float
    end: float


def compute(inputs: Inputs) -> Result:
    """The spans of each wanted band at the slow, likely and fast ends, and where they meet."""
    drink = Mixture.total(part.mixture for part in inputs.part)
    if not drink.mass_kg:
        raise BadInput(f"{named('part')} amounts to 0; give an amount above 0.", "part")
    _told(inputs)
    hot = float(inputs.temperature) > HOT_C
    rates = _rates(inputs, drink, hot)
    ends = {name: _glass(inputs, drink, rates, name, hot) for name in Band._fields}
    spans = {want: {name: _span(want, end) for name, end in ends.items()} for want in inputs.want}
    slow_fast = [span for each in spans.values() for span in (each["slow"], each["fast"])]
    sure = _common(slow_fast)
    likely = _common([each["likely"] for each in spans.values()])
    last = likely.end if likely is not None else None
    after = ends["likely"].courses
    first = sure or likely
    # as hot as it can be at the first sip; as poured where no minute is as wanted
    sip = first.start if first else 0.0
    if inputs.first_sip is not None:
        sip = max(0.0, float(inputs.first_sip) - (inputs.first_sip.plus_minus or 0.0))
    served_c = max(glass.courses["temperature"](sip) for glass in ends.values())
    return Result(
        product=drink,
        sure_from=sure and sure.start,
        sure_to=sure and sure.end,
        likely_from=likely and likely.start,
        likely_to=last,
        end_temperature=None if last is None else after["temperature"](last),
        dilution=None if last is None or not inputs.ice else after["dilution"](last),
        facts={
            **derived.facts(drink),
            "ph": derived.facts(drink).get("ph"),
            **checked(heat.facts(served_c)),
            "lidded": inputs.lidded,
            **({"window_none": 1, "window_unmet": _unmet(spans)} if likely is None else {}),
            **({"window_ends": ends_it} if (ends_it := _ends(spans, sure is not None)) else {}),
        },
        tables=(_line(spans), _bands(spans), *_courses(ends)),
        working=tuple(_working(rates, inputs, hot) + _ends_it(spans)),
    )


def _told(inputs: Inputs) -> None:
    """What is wanted needs what it follows from. Raises BadInput."""
    if not inputs.want:
        raise BadInput(f"say what is wanted: {named('want', 'temperature=2 °C to 8 °C')}.", "want")
    needs = {"foam": "foam_half", "cream": "cream_floats", "aroma": "aroma_lasts", "gas": "gas"}
    samples = {"foam": "4 min ± 1 min", "cream": "8 min ± 2 min", "aroma": "3 min ± 1 min",
               "gas": "5 g/l"}  # fmt: skip
    for want in inputs.want:
        field = needs.get(want.kind)
        if field is not None and getattr(inputs, field) is None:
            raise BadInput(
                f"nobody has published how long the {want.kind} lasts; time your own and give "
                f"{named(field, samples[want.kind])}.",
                field,
            )
    if inputs.ice and float(inputs.temperature) > 5.0:
        raise BadInput(
            f"{named('temperature')} is {float(inputs.temperature):g} °C with ice in the glass; "
            "work out the chill first, and enter its result, at most 5 °C.",
            "temperature",
        )


def _rates(inputs: Inputs, drink: Mixture, hot: bool) -> Band:
    """Warming without ice or cooling, per minute; of a drink with ice the heat it takes, in W."""
    poured, room = float(inputs.temperature), float(inputs.room)
    volume_ml = 1e6 * drink.volume_20_m3
    glass_ml = volume_ml + float(inputs.ice or 0.0)
    if not 20.0 <= glass_ml <= 1000.0:
        raise BadInput(
            f"{named('part')} with its ice fills {glass_ml:.0f} ml; one glass has 20 to 1000 ml.",
            "part",
        )
    if hot and poured <= room:
        raise BadInput(
            f"{named('room')} is {room:g} °C and the drink {poured:g} °C; a hot drink stands in "
            "air that is colder.",
            "room",
        )
    if hot:
        slow, fast = heat.cooling_rates_per_min(volume_ml, inputs.lidded)
        return Band(slow, math.sqrt(slow * fast), fast)
    if poured >= room:
        raise BadInput(
            f"{named('room')} is {room:g} °C and the drink {poured:g} °C; a cold drink stands in "
            "air that is warmer.",
            "room",
        )
    damp = DAMP if inputs.humidity is None else (float(inputs.humidity) / 100,) * 2
    area = heat.outside_m2(glass_ml)
    return heat.heat_gain_w(max(poured, -10.0), room, damp, area)


def _glass(inputs: Inputs, drink: Mixture, rates: Band, end: str, hot: bool) -> _Glass:
    """The courses at one end of the band."""
    poured, room = float(inputs.temperature), float(inputs.room)
    courses: dict[str, Course] = {}
    gone = 0.0
    place = Band._fields.index(end)
    if hot:
        rate = rates[place]
        courses["temperature"] = lambda minute: room + (poured - room) * math.exp(-rate * minute)
        courses["dilution"] = lambda minute: 0.0
    else:
        ice_g = float(inputs.ice or 0.0)
        melt = heat.melt_g_min(rates)[place]
        gone = ice_g / melt if ice_g else 0.0
        capacity = drink.mass_kg * specific_heat_j_kg_k(drink, poured, room) + 4.19 * ice_g
        warming = heat.warming_per_min(rates, room - poured, capacity)[place]
        grams = 1000 * drink.mass_kg
        courses["temperature"] = lambda minute: (
            room - (room - poured) * math.exp(-warming * max(0.0, minute - gone))
        )
        courses["dilution"] = lambda minute: 100 * min(ice_g, melt * minute) / grams
    if inputs.gas is not None:
        start = float(inputs.gas)
        slow, fast = heat.GAS_PER_MIN
        loss = Band(slow, math.sqrt(slow * fast), fast)[place]
        courses["gas"] = lambda minute: start * math.exp(-loss * minute)
    if inputs.foam_half is not None:
        half = _timed(inputs.foam_half, end)
        courses["foam"] = lambda minute: 100 * 0.5 ** (minute / half)
    for kind, told in (("cream", inputs.cream_floats), ("aroma", inputs.aroma_lasts)):
        if told is not None:
            courses[kind] = _there_for(_timed(told, end))
    return _Glass(courses, bool(inputs.ice))


def _there_for(minutes: float) -> Course:
    return lambda minute: 1.0 if minute <= minutes else 0.0


def _timed(told: Measured, end: str) -> float:
    """A timing of one's own at an end of its ±: the slow end lasts longest."""
    spread = told.plus_minus or 0.0
    return max(1e-3, float(told) + {"slow": spread, "likely": 0.0, "fast": -spread}[end])


def _span(wanted: Want, glass: _Glass) -> Span | None:
    """From when to when it holds; every course rises or falls all the way."""
    course = glass.courses[wanted.kind]
    grid = [LONGEST_MIN * (at / 960) ** 2 for at in range(961)]
    held = [minute for minute in grid if wanted.low <= course(minute) <= wanted.high]
    if not held:
        return None
    first, last = grid.index(held[0]), grid.index(held[-1])
    start = held[0] if first == 0 else _edge(wanted, course, grid[first - 1], held[0])
    end = held[-1] if last == 960 else _edge(wanted, course, grid[last + 1], held[-1])
    return Span(start, end)


def _edge(wanted: Want, course: Course, outside: float, inside: float) -> float:
    for _ in range(30):
        middle = 0.5 * (outside + inside)
        if wanted.low <= course(middle) <= wanted.high:
            inside = middle
        else:
            outside = middle
    return inside


def _common(spans: list[Span | None]) -> Span | None:
    """What all spans have in common; None where that is nothing."""
    known = [span for span in spans if span is not None]
    if len(known) < len(spans):
        return None
    start, end = max(span.start for span in known), min(one.end for one in known)
    return Span(start, end) if start < end else None


Spans = dict[Want, dict[str, Span | None]]


def _unmet(spans: Spans) -> str:
    """Which two exclude each other, or which one is never met."""
    never = [want for want, each in spans.items() if each["likely"] is None]
    if never:
        return f"the {never[0].kind} is never in its band"
    known = [(want, span) for want, each in spans.items() if (span := each["likely"]) is not None]
    late = max(known, key=lambda pair: pair[1].start)[0]
    soon = min(known, key=lambda pair: pair[1].end)[0]
    return f"the {soon.kind} ends before the {late.kind} begins"


def _bands(spans: Spans) -> Table:
    """When each band is held."""
    rows = []
    for want, each in spans.items():
        sure = _common([each["slow"], each["fast"]])
        likely = each["likely"]
        rows.append((WANTED[want.kind][1], str(want).partition("=")[2],
                     likely and likely.start, likely and likely.end,
                     sure and sure.start, sure and sure.end))  # fmt: skip
    columns = (
        Column("what"), Column("wanted"), Column("likely from", "min", 1),
        Column("to", "min", 1), Column("sure from", "min", 1), Column("to", "min", 1),
    )  # fmt: skip
    return Table("bands", f"minutes after pouring, up to {LONGEST_MIN:g}", columns, tuple(rows))


def _courses(ends: dict[str, _Glass]) -> tuple[Table, ...]:
    """What goes on in the glass as minutes go by, at the two ends."""
    slow, fast = ends["slow"].courses, ends["fast"].courses
    found = []
    for name, kinds, title in (
        ("course", ("temperature", "dilution"), "in the glass"),
        ("left", ("gas", "foam", "cream", "aroma"), "left in the glass"),
    ):
        shown = [
            text for text in kinds if text in slow and (text != "dilution" or ends["fast"].ice)
        ]
        columns = [Column("after")]
        for kind in shown:
            unit, label = WANTED[kind]
            labels = ("coldest", "warmest") if kind == "temperature" else (f"least {label}", "most")
            digits = 1 if kind in ("temperature", "gas") else 0
            columns += [Column(text, unit or "%", digits) for text in labels]
        rows = []
        for minute in STEPS_MIN:
            row: list[str | float | None] = [f"{minute:g} min"]
            for kind in shown:
                times = 1.0 if WANTED[kind][0] else 100.0
                row += sorted((times * slow[kind](minute), times * fast[kind](minute)))
            rows.append(tuple(row))
        if shown:
            found.append(Table(name, title, tuple(columns), tuple(rows)))
    return tuple(found)


def _line(spans: Spans) -> Table:
    """The bands and the window on one time line, sign by sign."""
    found = {WANTED[want.kind][1]: (_common([each["slow"], each["fast"]]), each["likely"])
             for want, each in spans.items()}  # fmt: skip
    sure, likely = (_common([each[place] for each in found.values()]) for place in (0, 1))
    found["window"] = (sure, likely)
    ends = [span.end for each in found.values() for span in each if span is not None]
    last = min(LONGEST_MIN, 1.25 * (likely.end if likely else min(ends, default=20.0)))
    each = next(value for value in SIGN_MIN if value * SIGNS >= last or value == SIGN_MIN[-1])
    rows = tuple(
        (label, "".join(
            SURE if _holds(pair[0], (at + 0.5) * each)
            else LIKELY if _holds(pair[1], (at + 0.5) * each) else NEVER
            for at in range(SIGNS)
        ))
        for label, pair in found.items()
    )  # fmt: skip
    label = f"one sign is {each:g} min: {SURE} sure, {LIKELY} likely, {NEVER} not as wanted"
    columns = (Column("what"), Column(f"0 to {each * SIGNS:g} min"))
    return Table("line", label, columns, rows)


def _holds(span: Span | None, minute: float) -> bool:
    return span is not None and span.start <= minute <= span.end


def _working(rates: Band, inputs: Inputs, hot: bool) -> list[Step]:
    """The rates that the courses run by."""
    if hot:
        said = f"between {rates.slow:.3f} and {rates.fast:.3f} per minute"
        return [Step("cooling", said, rates.likely, "/min", "MUG-COOLING")]
    said = f"between {rates.slow:.1f} W and {rates.fast:.1f} W from air and dew"
    steps = [Step("heat taken up", said, rates.likely, "W", "GLASS-DEW-2013")]
    if inputs.ice:
        melt = heat.melt_g_min(rates)
        said = f"over 334 J/g: between {melt.slow:.1f} and {melt.fast:.1f} g/min"
        steps.append(Step("ice melted", said, melt.likely, "g/min", "DEFINITION"))
    if inputs.gas is not None:
        slow, fast = heat.GAS_PER_MIN
        said = f"between {100 * slow:.1f} % and {100 * fast:.1f} % a minute"
        steps.append(Step("gas lost", said, source="GLASS-GAS-2019"))
    return steps


def _ends(spans: Spans, sure: bool) -> str:
    """What leaves its band first; empty where nothing does."""
    ends = []
    for want, each in spans.items():
        span = _common([each["slow"], each["fast"]]) if sure else each["likely"]
        if span is None:
            return ""
        ends.append((span.end, want.kind))
    end, label = min(ends)
    return label if end < LONGEST_MIN else ""


def _ends_it(spans: Spans) -> list[Step]:
    """What ends the window first, where there is one."""
    known = [
        (span.end, want) for want, each in spans.items() if (span := each["likely"]) is not None
    ]
    if len(known) < len(spans):
        return []
    end, first = min(known, key=lambda pair: pair[0])
    said = f"the {WANTED[first.kind][1]} is the first to leave its band"
    return [Step("what ends it, likely", said, end, "min", "DEFINITION")]
