"""A room and a gas in it: kinds of room, fresh air, gases by name, exposure limits, a release.

Also the figure that decides about a room, and the ways out of a stop, each of them judged.
"""

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from math import ceil, floor, log10
from typing import Any, NotRequired, Protocol, Self, TypedDict, TypeVar, cast

from prepkit import blocks, hazard_names, numbers
from prepkit import jurisdictions as places_of_rules
from prepkit.errors import UnknownIngredient, named
from prepkit.facts import Facts
from prepkit.model import Compared, Deciding, Judge, Way
from prepkit.record import Record
from prepkit.science import gases, room_air
from prepkit.science.room_air import Release
from prepkit.units import Measured, rounded_down, rounded_up

# ---- kinds of room by the words that people use, and those in which no fresh air is counted ----

PLACES = ("room", "bar", "kitchen", "cellar", "cold room", "lift", "car", "van")
CLOSED = ("cold room", "lift", "car", "van")  # no fresh air is counted in them, whatever was said
BOXES = ("lift", "car", "van")  # no gas is set free in them at all
NO_CRYOGEN = ("cellar", *CLOSED)  # never with dry ice or liquid nitrogen
_ALSO = {
    "kitchen": ("prep kitchen", "prep room", "galley"),
    "bar": ("bar room", "barroom", "pub", "taproom", "behind the bar"),
    "cellar": (
        "basement", "beer cellar", "keg cellar", "wine cellar", "cave", "pit", "crawl space",
    ),
    "cold room": (
        "walk in", "walkin", "walk in fridge", "walk in cooler", "walk in freezer", "coldroom",
        "fridge", "refrigerator", "cooler", "freezer", "keg room", "keg cooler", "chiller",
        "cold store", "reach in",
    ),
    "lift": ("elevator", "dumb waiter", "dumbwaiter", "goods lift", "service lift"),
    "car": ("taxi", "cab", "vehicle", "boot", "boot of a car", "trunk"),
    "van": ("truck", "lorry", "delivery van", "camper", "trailer", "minibus", "food truck"),
}  # fmt: skip
_BY_WORD = {word: place for place, words in _ALSO.items() for word in words}


def forbids(place: str, cold: bool) -> bool:
    """Whether the place itself is the reason for a stop, so that no amount helps there.

    cold: dry ice or liquid nitrogen is there.

    >>> forbids("lift", False), forbids("cellar", False), forbids("cellar", True)
    (True, False, True)
    """
    return place in BOXES or (cold and place in NO_CRYOGEN)


def less(place: str, cold: bool) -> Facts:
    """The facts that tell how to come below a limit; in a place that forbids it, no amount.

    >>> less("bar", False)["less_gas"], less("lift", False)["less_gas"]
    ('Take less gas or a larger room', 'Set none free in a lift')
    """
    if forbids(place, cold):
        none = f"Set none free in a {place}"
        return {"less_gas": none, "less_gas_or_air": none}
    return {
        "less_gas": "Take less gas or a larger room",
        "less_gas_or_air": "Take less gas, a larger room or more measured fresh air",
    }


def tidy(said: str) -> str:
    """The kind of room that a word means; a word that is not known stays as it is.

    >>> tidy("Walk-in"), tidy("the elevator"), tidy("attic")
    ('cold room', 'lift', 'attic')
    """
    words = " ".join(said.lower().replace("-", " ").split())
    for article in ("in ", "a ", "an ", "the "):
        words = words.removeprefix(article)
    return _BY_WORD.get(words, words)


# ---- fresh air of a room ----

USUAL_AIR_H = 4.0  # air changes an hour that a way out asks for where none are told
MOST_AIR_H = 20.0  # air changes an hour that are counted; more is asked to be measured: JUDGEMENT

# air changes an hour beside dry ice or liquid nitrogen
LEAST_COLD_AIR_H = places_of_rules.air_limit("cold_air_least")


def changes_h(value: float | None, room_m3: float | None) -> float | None:
    """Air changes an hour, at the fewest that their ± leaves; a flow is divided by the room.

    None where it was not entered, or is a flow into a room of unknown size.
    """
    if value is None:
        return None
    least = max(float(value) - plus_minus(value), 0.0)
    if getattr(value, "unit", "/h") == "/h":
        return least
    return None if room_m3 is None else least / room_m3


def counted(told: float | None, place: str) -> float | None:
    """Air changes that are counted: none in a closed box, 20 an hour at most elsewhere.

    >>> counted(50.0, "bar"), counted(50.0, "lift"), counted(None, "bar")
    (20.0, 0.0, None)
    """
    if place in CLOSED:
        return 0.0
    return None if told is None else min(told, MOST_AIR_H)


def too_little_for_cold(changes: float | None) -> bool:
    """Whether dry ice or liquid nitrogen must stop: too little fresh air, or none that is known.

    >>> [too_little_for_cold(changes) for changes in (None, 0.0, 0.39, 0.4)]
    [True, True, True, False]
    """
    # to twelve digits, as the caution rows are judged: 14.4 m3/h into 36 m3 are 0.4
    return changes is None or float(f"{changes:.12g}") < LEAST_COLD_AIR_H


def plus_minus(value: float) -> float:
    """The ± of a number that carries one; 0 of a plain number."""
    return float(getattr(value, "plus_minus", 0.0))


# ---- gases by name for the float calculator (data/float_gases.toml) ----


class Gas(Record):
    """A gas that may be asked about, or one that is refused (`why` says the reason)."""

    name: str
    molar_mass_kg_mol: float = 0.0
    asphyxiant: bool = False
    oxidiser: bool = False
    why: str = ""


def _rows(header: str) -> tuple[dict[str, Any], ...]:  # Any: rows of a TOML file of ours
    return tuple(blocks.blocks("float_gases.toml", header))


def gas_named(words: str) -> Gas:
    """The gas of a name or a usual other name; UnknownIngredient with the nearest names.

    >>> gas_named("He").name, bool(gas_named("hydrogen").why)
    ('helium', True)
    """
    tidy = " ".join(words.lower().split())
    for row in _rows("gas"):
        if tidy in (row["name"], *row["also"]):
            mass = gases.molar_mass_kg_mol(row["gas"]) if "gas" in row else row["molar_mass"] / 1000
            return Gas(row["name"], mass, row["asphyxiant"], row.get("oxidiser", False))
    for row in _rows("refused"):
        if tidy in (row["name"], *row["also"]):
            return Gas(row["name"] if tidy == row["name"] else tidy, why=row["why"])
    names = [name for kind in ("gas", "refused") for row in _rows(kind) for name in
             (row["name"], *row["also"])]  # fmt: skip
    hazard = hazard_names.find(words)
    if hazard is not None and hazard.kind != "gas":
        raise hazard_names.named(words, f"{named('gas')}", hazard)
    meant = numbers.close(tidy, names)
    hint = f"if it is misspelt, write {' or '.join(meant)}" if meant else "write for example helium"
    raise UnknownIngredient(f"{named('gas', f'{words}')} is not a gas known here; {hint}.", "gas")


# ---- what a release of gas does to a room ----

GAS_NAMES = gases.GAS_NAMES
#: Where an alarm's sensor hangs: carbon dioxide within 305 mm of the floor [IFC-2018-5307] (read).
SENSORS = {
    "co2": "carbon dioxide, about 30 cm above the floor",
    "n2o": "nitrous oxide, about 30 cm above the floor",
    "ar": "oxygen, about 30 cm above the floor",
    "he": "oxygen, at breathing height and under the ceiling",
    "n2": "oxygen, at breathing height",
    "o2": "oxygen, at breathing height", "air": "oxygen, at breathing height",
}  # fmt: skip
COLLECTS = {
    "n2o": "low", "co2": "low", "ar": "low", "he": "high", "n2": "low while it is cold",
    "o2": "everywhere", "air": "everywhere",
}  # fmt: skip


class ExposureLimit(TypedDict):
    """A row of exposure_limits.toml."""

    id: str
    gas: str
    kind: str
    value: float
    unit: str
    jurisdiction: str
    body: str
    binding: bool
    source: str
    obtained: str
    year: NotRequired[int]  # of the list; not there where it is not known
    note: NotRequired[str]


class Effect(TypedDict):
    """A row of air_effects.toml."""

    gas: str
    low: float
    high: float
    text: str
    source: str
    obtained: str


@cache
def limits(gas: str) -> tuple[ExposureLimit, ...]:
    """The published limits of a gas."""
    rows = blocks.blocks("exposure_limits.toml", "limit", gas)
    return cast("tuple[ExposureLimit, ...]", tuple(row for row in rows if row["gas"] == gas))


def whose(limit: ExposureLimit) -> str:
    """Whose limit it is, where, and of which year where that is known."""
    year = f", {limit['year']}" if "year" in limit else ""
    return f"{limit['body']} ({limit['jurisdiction']}{year})"


@cache
def jurisdictions() -> tuple[str, ...]:
    """Those that the limits know."""
    rows = blocks.blocks("exposure_limits.toml", "limit")
    return tuple(sorted({row["jurisdiction"] for row in rows}))


def jurisdiction(name: str | None) -> str | None:
    """The jurisdiction by the key of the limits; None where none was said or it has none here."""
    key = places_of_rules.key_of(name or "")
    held = jurisdictions()
    found = places_of_rules.chain(key) if key is not None else ()
    return next((place for place in found if place in held), None)


@cache
def _effects(gas: str) -> tuple[Effect, ...]:
    rows = blocks.blocks("air_effects.toml", "effect", gas)
    return cast("tuple[Effect, ...]", tuple(row for row in rows if row["gas"] == gas))


def effect(gas: str, percent: float) -> Effect:
    """What is published of air with so much oxygen or carbon dioxide (a lower bound included)."""
    rows = _effects(gas)
    if gas == "o2":  # at the very limit the milder line holds, as "19.5: least permitted"
        return next(row for row in reversed(rows) if percent >= row["low"])
    return next(row for row in rows if percent <= row["high"])


def ppm(row: ExposureLimit) -> float:
    """A limit's value as a fraction by volume."""
    return float(row["value"]) * (1e-6 if row["unit"] == "ppm" else 1e-2)


def cold_facts(
    room_m3: float | None, gas: str, gas_m3: float, before: float = room_air.OXYGEN
) -> Facts:
    """Facts of one release at once, without ventilation; None where the room was not entered.

    More gas than room leaves no oxygen.
    """
    if room_m3 is None:
        return {"room_m3": None}
    gas_fraction = min(gas_m3 / room_m3, 1.0)
    outside = OUTSIDE_CO2 if gas_m3 else 0.0
    return {
        "room_m3": room_m3,
        "gas_m3": gas_m3,
        "gas_name": GAS_NAMES[gas],
        "oxygen_percent": 100 * room_air.oxygen_fraction(gas_fraction, before),
        "oxygen_effect": effect("o2", 100 * room_air.oxygen_fraction(gas_fraction, before))["text"],
        "co2_percent": 100 * min(gas_fraction + outside, 1.0) if gas == "co2" else 0.0,
    }


OUTSIDE_CO2 = 400e-6  # [CO2-ROOM-HANDBOOK]
# % by volume, % by volume, % by volume, times a limit of 8 hours, ppm
OXYGEN_STOP, OXYGEN_ENRICHED, CO2_STOP, SHIFT_STOP, N2O_STOP_PPM = map(
    places_of_rules.air_limit, ("oxygen_low", "oxygen_high", "co2_stop", "shift_stop", "n2o_stop")
)
LEAST_ROOM_M3 = 0.5  # smaller is no room
_INWARD = 1e-9  # of a threshold, so that its own rounding does not pass it


def shares(caps: Mapping[str, float] | None = None) -> dict[str, float]:
    """Fraction of each gas, set free at once by itself in fresh air, at which the answer is stop.

    caps: fractions from limits at work, in a room without fresh air.

    >>> round(shares()["co2"], 4), round(shares()["n2"], 4)
    (0.0296, 0.0692)
    """
    inert = 1.0 - 0.01 * OXYGEN_STOP / room_air.OXYGEN
    found = dict.fromkeys(("n2", "he", "ar"), inert)
    found["co2"] = min(inert, 0.01 * CO2_STOP - OUTSIDE_CO2)
    found["n2o"] = min(inert, 1e-6 * N2O_STOP_PPM)
    for gas, cap in (caps or {}).items():
        found[gas] = min(found[gas], cap)
    found["o2"] = (0.01 * OXYGEN_ENRICHED - room_air.OXYGEN) / (1.0 - room_air.OXYGEN)
    return found


def least_room_m3(
    amounts_m3: Mapping[str, float], caps: Mapping[str, float] | None = None
) -> float:
    """Least room that takes those gases all at once without a stop, rounded up to 0.1 m3.

    >>> least_room_m3({"n2o": 0.01304})
    1.4
    """
    limits = shares(caps)
    inert = math.fsum(m3 for gas, m3 in amounts_m3.items() if gas != "o2")
    needed = max(inert / limits["n2"], *(m3 / limits[gas] for gas, m3 in amounts_m3.items()))
    return max(ceil(10.0 * needed * (1.0 + _INWARD)) / 10.0, LEAST_ROOM_M3)


def largest_kg(
    gas: str,
    room_m3: float,
    m3_kg: float,
    digits: int = 3,
    caps: Mapping[str, float] | None = None,
) -> float:
    """Most of a gas that a room takes at once without a stop, rounded down to so many digits.

    >>> largest_kg("co2", 30.0, 0.5437)
    1.633
    """
    ten: float = 10.0**digits
    return floor(ten * shares(caps)[gas] * room_m3 / m3_kg * (1.0 - _INWARD)) / ten


def stops(facts: Facts) -> bool:
    """Whether the air alone forbids it (the caution rows say why)."""
    return bool(
        facts.get("room_m3") is None
        or facts["oxygen_percent"] < OXYGEN_STOP
        or facts["co2_percent"] > CO2_STOP
        or facts.get("short_share", 0.0) > 1.0
        or facts.get("co2_shift_share", 0.0) >= SHIFT_STOP
    )


# ---- exposure limits of gases by jurisdiction, and how the air of a room compares with them ----

SHIFT_S, SHORT_S = 8 * 3600.0, 15 * 60.0
KINDS = {
    "twa": "mean of a shift, 8 h",
    "twa-in-use": "mean while the gas is in use",
    "stel": "mean of 15 min",
    "danger": "immediate danger to life or health",
    "alarm": "alarm",
    "alarm-main": "main alarm: leave",
}
_WORK = {"twa", "stel"}


class GasCourse(Record):
    """One gas in one room over time; `factor` for the corner that is worse than the mean."""

    gas: str
    room_m3: float
    releases: tuple[Release, ...]
    air_changes_h: float
    supply: float
    factor: float

    @property
    def _air(self) -> tuple[float, float, float]:
        return self.air_changes_h, self.supply, self.supply

    def peak(self) -> float:
        """Highest fraction."""
        return self._worse(room_air.highest(self.room_m3, self.releases, *self._air)[1])

    def at(self, time_s: float) -> float:
        """Fraction at a time."""
        found = room_air.concentration(time_s, self.room_m3, self.releases, *self._air)
        return self._worse(found)

    def mean(self, window_s: float) -> float:
        """Highest mean over a window."""
        found = room_air.highest_average(window_s, self.room_m3, self.releases, *self._air)
        return self._worse(found)

    def mean_in_use(self) -> float:
        """Mean from the first gas to the last, over 15 minutes at least."""
        starts = [release.start_s for release in self.releases]
        ends = [release.start_s + release.duration_s for release in self.releases]
        from_s, to_s = min(starts), max(*ends, min(starts) + SHORT_S)
        found = room_air.average_concentration(
            from_s, to_s, self.room_m3, self.releases, *self._air
        )
        return self._worse(max(found, 0.0))

    def reached_s(self, limit: float) -> float | None:
        """First time at a fraction."""
        within = self.supply + (limit - self.supply) / self.factor
        if within <= self.supply:
            return 0.0
        return room_air.hazard_time_s(min(within, 1.0), self.room_m3, self.releases, *self._air)

    def clear_s(self, limit: float) -> float | None:
        """Time from which it stays below a fraction; None where it never does."""
        within = self.supply + (limit - self.supply) / self.factor
        if within <= self.supply:
            return None
        return room_air.clear_time_s(
            min(within, 1.0), self.room_m3, self.releases, *self._air,
            mixing_factor=min(self.factor, room_air.MIXING_FACTOR_HIGH),
        )  # fmt: skip

    def _worse(self, fraction: float) -> float:
        return min(self.supply + self.factor * (fraction - self.supply), 1.0)


class Against(Record):
    """A limit, and the fraction found to compare with it."""

    row: ExposureLimit
    found: float
    reached_s: float | None

    @property
    def share(self) -> float:
        """Found over limit."""
        return self.found / ppm(self.row)


def chosen(gas: str, jurisdiction: str | None) -> list[ExposureLimit]:
    """The upper limits that apply, the binding ones of the jurisdiction first.

    Where it has none of this gas, or none was told, the strictest row of each kind stands in.
    """
    rows = [row for row in limits(gas) if row["kind"] in KINDS]
    own = [row for row in rows if row["jurisdiction"] == jurisdiction]
    kinds = {row["kind"] for row in own}
    if kinds & _WORK:  # it has limits at work of its own, and no others bind there
        kinds |= _WORK
    others: dict[str, ExposureLimit] = {}
    for row in rows:
        kind = row["kind"]
        if kind not in kinds and (kind not in others or _order(row) < _order(others[kind])):
            others[kind] = row
    return own + [others[kind] for kind in KINDS if kind in others]


def _order(row: ExposureLimit) -> tuple[float, bool, bool]:
    """The strictest first; of two alike the one that was read, and that binds."""
    return row["value"], row["obtained"] != "read", not row["binding"]


def against(course: GasCourse, rows: Sequence[ExposureLimit]) -> list[Against]:
    """Each limit with what is found and when it is reached."""
    found = []
    for row in rows:
        limit = ppm(row)
        value = _found(course, row["kind"])
        found.append(Against(row, value, course.reached_s(limit)))
    return found


def _found(course: GasCourse, kind: str) -> float:
    """What a limit of a kind is held against."""
    if kind == "twa":
        return course.mean(SHIFT_S)
    if kind == "twa-in-use":
        return course.mean_in_use()
    return course.mean(SHORT_S) if kind == "stel" else course.peak()


def worst(found: Sequence[Against], *kinds: str) -> float:
    """Largest share of any limit of those kinds; 0 where there is none."""
    return max(
        (comparison.share for comparison in found if comparison.row["kind"] in kinds), default=0.0
    )


def from_memory(found: Mapping[str, Sequence[Against]]) -> Facts:
    """Facts of the limits that were used and not read."""
    rows = [comparison.row for of_gas in found.values() for comparison in of_gas]
    said = [f"{row['body']} ({row['jurisdiction']})" for row in rows if row["obtained"] == "memory"]
    return {"memory_count": len(said), "memory_limits": "; ".join(dict.fromkeys(said))}


def caps(jurisdiction: str | None) -> dict[str, float]:
    """Fraction of a gas, at once in a room without fresh air, at which a limit at work stops."""
    found = {}
    for gas in ("co2", "n2o"):
        outside = OUTSIDE_CO2 if gas == "co2" else 0.0
        rows = chosen(gas, jurisdiction)
        short = [ppm(row) for row in rows if row["kind"] == "stel"]
        shift = [SHIFT_STOP * ppm(row) for row in rows if row["kind"] == "twa"]
        found[gas] = min((*short, *shift), default=1.0) - outside
    return found


def room_limits_least_room_m3(
    gas: str, gas_m3: float, room_m3: float, air_changes_h: float, jurisdiction: str | None
) -> float:
    """Least room that takes all of one gas at once without a stop, m3, as far as limits bind.

    By oxygen and effects as in fresh air, and by the limits at work of the place in a room with so
    many air changes an hour; judged at `room_m3`, of which the excess over fresh air is linear.
    """
    needed = least_room_m3({gas: gas_m3})
    outside = OUTSIDE_CO2 if gas == "co2" else 0.0
    release = Release(min(gas_m3, room_m3))
    more = gas_m3 / release.gas_m3  # what a full room cannot show
    course = GasCourse(gas, room_m3, (release,), air_changes_h, outside, 1.0)
    for comparison in against(
        course, [row for row in chosen(gas, jurisdiction) if row["kind"] in _WORK]
    ):
        times = SHIFT_STOP if comparison.row["kind"] == "twa" else 1.0
        most = times * ppm(comparison.row) - outside
        needed = max(needed, room_m3 * more * (comparison.found - outside) / most)
    return needed


def at_once(
    jurisdiction: str | None, room_m3: float, co2_m3: float, air_changes_h: float
) -> tuple[dict[str, list[Against]], Facts]:
    """Limits and facts of carbon dioxide that is set free at once in a ventilated room."""
    course = GasCourse(
        "co2", room_m3, (Release(min(co2_m3, room_m3)),), air_changes_h, OUTSIDE_CO2, 1.0
    )
    found = {"co2": against(course, chosen("co2", jurisdiction))}
    return found, {
        "short_share": worst(found["co2"], "stel"),
        "co2_shift_share": worst(found["co2"], "twa"),
    }


# ---- the figure that decides, and the ways out of a stop ----

STEPS = 9  # of a search
MOST_ROOM_M3 = 1e5
_WITH_AIR = f", with {USUAL_AIR_H:g} measured air changes an hour"
_TWO, _TRIES = 2, 6


class _RoomInputs(Protocol):
    """What the inputs of room and cryogen have in common."""

    @property
    def air_changes(self) -> float | None: ...

    @property
    def place(self) -> str: ...

    def replaced(self, **values: object) -> Self: ...


_Inputs = TypeVar("_Inputs", bound=_RoomInputs)
_Made = TypeVar("_Made")


def ppm_words(fraction: float) -> str:
    """A share of the air in ppm, to three digits and never less than it is.

    >>> ppm_words(0.0123456)
    '12400'
    """
    return f"{_ppm(fraction):.0f}"


def _ppm(fraction: float) -> float:
    ppm = 1e6 * fraction
    return rounded_up(ppm, 2 - math.floor(math.log10(ppm))) if ppm > 0 else 0.0


def percent_words(percent: float) -> str:
    """Per cent of the air, to the digits that tell it from a limit; never less than it is."""
    digits = _percent_digits(percent)
    return f"{rounded_up(percent, digits):.{digits}f}"


def _percent_digits(percent: float) -> int:
    return 2 if percent < 1 else 1


def deciding(
    facts: Facts,
    found: Mapping[str, Sequence[Against]],
) -> Deciding:
    """The figure that decides with its limit, as one sentence or two.

    >>> deciding({"room_m3": None}, {}).words
    'The size of the room is not known.'
    """
    if "refused_gas" in facts:
        return Deciding(f"Nothing is worked out for {facts['refused_gas']}.")
    if facts["room_m3"] is None:
        return Deciding("The size of the room is not known.")
    place, cold = facts["place"], facts.get("cold")
    if place in BOXES:
        return Deciding(f"No gas is set free in a {place}, whatever the amount.")
    if cold and place in NO_CRYOGEN:
        return Deciding(f"Never {facts['cryogens']} in a {place}, whatever the amount.")
    at_once = max(_immediate(facts))
    work = max(_work(found), default=(0.0, Deciding("")))
    if at_once[0] > 1.0:
        return at_once[1]
    if work[0] > 1.0:
        return work[1]
    if cold and facts["air_changes"] is None:
        return Deciding(
            f"The fresh air of the room is not known: no {facts['cryogens']} without it."
        )
    if cold and too_little_for_cold(facts["air_changes"]):
        if facts["air_changes"] <= 0.0:
            return Deciding(f"No fresh air comes into the room: no {facts['cryogens']} without it.")
        return Deciding(
            f"{facts['air_changes']:.3g} air changes an hour. Least beside {facts['cryogens']}: "
            f"{LEAST_COLD_AIR_H:g}."
        )
    return max([at_once, *_all_work(found)])[1]


def nearest_share(
    facts: Facts,
    found: Mapping[str, Sequence[Against]],
) -> float:
    """The largest share of a limit that is reached, 1 at the limit itself."""
    return max(share for share, _ in [*_immediate(facts), *_all_work(found)])


def _immediate(
    facts: Facts,
) -> list[tuple[float, Deciding]]:
    """Share of each limit that stops at once, and its words."""
    room_m3 = float(f"{facts['room_m3']:.3g}")
    where = f"in {room_m3:.9g} m3"
    oxygen = facts["oxygen_percent"]
    least = rounded_down(oxygen, 1)
    lost = (100 * room_air.OXYGEN - oxygen) / (100 * room_air.OXYGEN - OXYGEN_STOP)
    co2, high = facts["co2_percent"], facts.get("oxygen_high_percent", 0.0)
    n2o = facts.get("n2o_ppm", 0.0)
    rows = [
        # the limit of oxygen is the least that there must be: nothing to compare it with as a most
        (
            lost,
            Deciding(f"{least:.1f} % oxygen {where}. Limit: {OXYGEN_STOP:g} %."),
        ),
        (
            co2 / CO2_STOP,
            Deciding(
                f"{percent_words(co2)} % carbon dioxide {where}. Limit for a fault: "
                f"{CO2_STOP:g} %.",
                Compared(float(percent_words(co2)), CO2_STOP, "%", _percent_digits(co2)),
            ),
        ),
        (
            n2o / N2O_STOP_PPM,
            Deciding(
                f"{ppm_words(1e-6 * n2o)} ppm nitrous oxide {where}. Limit here: "
                f"{N2O_STOP_PPM:g} ppm.",
                Compared(_ppm(1e-6 * n2o), N2O_STOP_PPM, "ppm", 0),
            ),
        ),
    ]
    if high > 100 * room_air.OXYGEN:
        rows.append(
            ((high - 100 * room_air.OXYGEN) / (OXYGEN_ENRICHED - 100 * room_air.OXYGEN),
             Deciding(f"{rounded_up(high, 1):.1f} % oxygen {where}. Limit: {OXYGEN_ENRICHED:g} %."))
        )  # fmt: skip
    return rows


def _words(gas: str, comparison: Against, times: float = 1.0) -> Deciding:
    row = comparison.row
    over = {"stel": "over 15 min", "twa": "over 8 h", "twa-in-use": "while in use"}[row["kind"]]
    memory = ", from memory" if row["obtained"] == "memory" else ""
    limit = f"{times:g} times {row['value']:g}" if times != 1.0 else f"{row['value']:g}"
    return Deciding(
        f"{ppm_words(comparison.found)} ppm {GAS_NAMES[gas]} {over}. "
        f"Limit: {limit} ppm ({row['body']}, {row['jurisdiction']}{memory}).",
        Compared(_ppm(comparison.found), times * row["value"], "ppm", 0),
    )


def _work(
    found: Mapping[str, Sequence[Against]],
) -> Iterable[tuple[float, Deciding]]:
    """Share of each limit at work that stops: the short one, and three times that of a shift."""
    for gas, rows in found.items():
        for row in rows:
            if row.row["kind"] == "stel":
                yield row.share, _words(gas, row)
            elif row.row["kind"] == "twa" and row.share >= SHIFT_STOP:
                share = 1.0 + row.share / SHIFT_STOP  # at the limit itself too
                yield share, _words(gas, row, SHIFT_STOP)


def _all_work(
    found: Mapping[str, Sequence[Against]],
) -> Iterable[tuple[float, Deciding]]:
    for gas, rows in found.items():
        for row in rows:
            if row.row["kind"] in ("stel", "twa", "twa-in-use"):
                yield row.share, _words(gas, row)


# ways out: a search by the verdict alone, then the whole answer to what is offered. What breaks a
# limit at work is none, though it is no stop as a load.

_AT_WORK = (
    "short_share", "n2o_short_share", "co2_shift_share", "n2o_shift_share", "n2o_in_use_share",
)  # fmt: skip


def work_share(facts: Facts) -> float:
    """The largest share of a limit at work; 0 where none was compared.

    >>> work_share({"short_share": 0.5, "co2_shift_share": 2.0}), work_share({})
    (2.0, 0.0)
    """
    known: Mapping[str, Any] = facts  # Any: numbers, by names of a tuple
    return max(float(known.get(name, 0.0)) for name in _AT_WORK)


def strict(
    judge: Judge,
    facts: Callable[[Any], Facts],  # Any: inputs of one kind; words and numbers
) -> Judge:
    """A judge to whom whatever breaks a limit at work is a stop; facts: of inputs."""
    return Judge(
        lambda one: "stop" if work_share(facts(one)) > 1.0 else judge.quick(one), judge.full
    )


def rounded(value: float, up: bool) -> float:
    """To two digits, on the safe side.

    >>> rounded(1.668, False), rounded(147.2, True)
    (1.6, 150.0)
    """
    ten: float = 10.0 ** (floor(log10(value)) - _TWO + 1)
    whole = ceil(value / ten - 1e-9) if up else floor(value / ten + 1e-9)
    return float(f"{whole * ten:.{_TWO + 1}g}")


def found_edge(
    judge: Judge, make: Callable[[float], object], good: float, bad: float
) -> float | None:
    """The value nearest to `bad` that is no stop, by halving on a scale of ratios; None if none.

    make: the inputs at a value. good: the end that should be no stop.
    """
    if judge.quick(make(good)) == "stop":
        return None
    for _ in range(STEPS):
        middle = (good * bad) ** 0.5
        if judge.quick(make(middle)) == "stop":
            bad = middle
        else:
            good = middle
    return good


def offered(
    judge: Judge, make: Callable[[float], _Made], edge: float | None, up: bool,
    words: Callable[[_Made, float], str],
) -> list[Way]:  # fmt: skip
    """The way at an edge, rounded to the safe side and judged as a whole; none if it is a stop."""
    if edge is None:
        return []
    value = rounded(edge, up)
    for _ in range(_TRIES):
        other = make(value)
        answer = judge.full(other)
        if answer.verdict != "stop" and work_share(answer.result.facts) <= 1.0:
            return [Way(words(other, value), answer.verdict, answer.result.deciding, answer.inputs)]
        value = rounded(value * (1.1 if up else 0.9), up)
    return []


def of(
    inputs: _Inputs, judge: Judge, less: Callable[[_Inputs], Callable[[float], _Inputs]],
    larger: Callable[[_Inputs], Callable[[float], _Inputs]],
    amount: Callable[[_Inputs, float], str],
    room_m3: float, cold: bool,
) -> tuple[Way, ...]:  # fmt: skip
    """The same for room and cryogen: they differ in the names of their inputs.

    cold: dry ice or liquid nitrogen is there. Where the place itself is the reason, only another
    place is offered, and no amount.
    """
    if forbids(inputs.place, cold):
        return tuple(_elsewhere(inputs, judge, larger, room_m3))
    closed = inputs.place in CLOSED  # no fresh air is counted there
    told = changes_h(inputs.air_changes, room_m3)
    base, with_air = inputs, ""
    ways = [] if closed else _more_air(inputs, judge, told, cold)
    if not closed and (told is None or (cold and too_little_for_cold(told))):
        base, with_air = aired(base, USUAL_AIR_H), _WITH_AIR
    if judge.quick(base) != "stop":  # the air was the reason
        return tuple(ways)
    make = less(base)
    ways += offered(
        judge, make, found_edge(judge, make, 1e-4, 1.0), False,
        lambda other, n: f"{amount(other, n)}{with_air}",
    )  # fmt: skip
    make = larger(base)
    if room_m3 < MOST_ROOM_M3:
        ways += offered(
            judge, make, found_edge(judge, make, MOST_ROOM_M3, room_m3), True,
            lambda _, m3: f"a net room of {m3:g} m3 or more{with_air}",
        )  # fmt: skip
    return tuple(ways)


def aired(inputs: _Inputs, changes: float) -> _Inputs:
    """The inputs with so many measured air changes an hour."""
    return inputs.replaced(air_changes=Measured(changes, "/h"))


def _elsewhere(
    inputs: _Inputs, judge: Judge, larger: Callable[[_Inputs], Callable[[float], _Inputs]],
    room_m3: float,
) -> list[Way]:  # fmt: skip
    """Another place, as large as it must be; what was told of the air of this one is not used."""
    base = aired(inputs.replaced(place="room"), USUAL_AIR_H)
    make = larger(base)
    edge = found_edge(judge, make, MOST_ROOM_M3, min(room_m3, MOST_ROOM_M3 / 2))
    return offered(
        judge, make, edge, True,
        lambda _, m3: f"not in the {inputs.place}: a net room of {m3:g} m3 or more{_WITH_AIR}",
    )  # fmt: skip


def _more_air(inputs: _Inputs, judge: Judge, told: float | None, cold: bool) -> list[Way]:
    """More fresh air; beside a cryogen never less than is usual, however little would do."""
    most = MOST_AIR_H
    if told is not None and told >= most:
        return []
    edge = found_edge(judge, lambda n: aired(inputs, n), most, max(told or 0.0, 0.1))
    if edge is not None and (told is None or cold):
        edge = max(edge, USUAL_AIR_H)
    words = "{:g} measured air changes an hour"
    air = offered(
        judge, lambda n: aired(inputs, n), edge, True, lambda _, n: words.format(n)
    )  # fmt: skip
    if air:
        return air
    answer = judge.full(aired(inputs, most))
    said = f"{words.format(most)}: not enough"
    return [Way(said, answer.verdict, answer.result.deciding, answer.inputs)]
