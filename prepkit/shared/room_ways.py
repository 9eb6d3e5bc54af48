"""The figure that decides about a room, and the ways out of a stop, each of them judged."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from math import ceil, floor, log10
from typing import Any, Protocol, Self, TypeVar

from prepkit.facts import Facts
from prepkit.model import Compared, Deciding, Judge, Way
from prepkit.science import room_air
from prepkit.shared import room_check
from prepkit.units import Measured

STEPS = 9  # of a search
MOST_ROOM_M3 = 1e5
_WITH_AIR = f", with {room_check.USUAL_AIR_H:g} measured air changes an hour"
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
    """A share of the air in ppm, to three digits.

    >>> ppm_words(0.0123456)
    '12300'
    """
    return f"{_ppm(fraction):.0f}"


def _ppm(fraction: float) -> float:
    return float(f"{1e6 * fraction:.3g}")


def percent_words(percent: float) -> str:
    """Per cent of the air, to the digits that tell it from a limit beside it."""
    return f"{percent:.{_percent_digits(percent)}f}"


def _percent_digits(percent: float) -> int:
    return 2 if percent < 1 else 1


def deciding(
    facts: Facts,
    found: Mapping[str, Sequence[room_check.Against]],
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
    if place in room_check.BOXES:
        return Deciding(f"No gas is set free in a {place}, whatever the amount.")
    if cold and place in room_check.NO_CRYOGEN:
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
    if cold and room_check.too_little_for_cold(facts["air_changes"]):
        if facts["air_changes"] <= 0.0:
            return Deciding(f"No fresh air comes into the room: no {facts['cryogens']} without it.")
        return Deciding(
            f"{facts['air_changes']:.3g} air changes an hour. Least beside {facts['cryogens']}: "
            f"{room_check.LEAST_COLD_AIR_H:g}."
        )
    return max([at_once, *_all_work(found)])[1]


def nearest_share(
    facts: Facts,
    found: Mapping[str, Sequence[room_check.Against]],
) -> float:
    """The largest share of a limit that is reached, 1 at the limit itself."""
    return max(share for share, _ in [*_immediate(facts), *_all_work(found)])


def _immediate(
    facts: Facts,
) -> list[tuple[float, Deciding]]:
    """Share of each limit that stops at once, and its words."""
    where = f"in {facts['room_m3']:.3g} m3"
    oxygen = facts["oxygen_percent"]
    lost = (100 * room_air.OXYGEN - oxygen) / (100 * room_air.OXYGEN - room_check.OXYGEN_STOP)
    co2, high = facts["co2_percent"], facts.get("oxygen_high_percent", 0.0)
    n2o = facts.get("n2o_ppm", 0.0)
    rows = [
        # the limit of oxygen is the least that there must be: nothing to compare it with as a most
        (lost, Deciding(f"{oxygen:.1f} % oxygen {where}. Limit: {room_check.OXYGEN_STOP:g} %.")),
        (
            co2 / room_check.CO2_STOP,
            Deciding(
                f"{percent_words(co2)} % carbon dioxide {where}. Limit for a fault: "
                f"{room_check.CO2_STOP:g} %.",
                Compared(co2, room_check.CO2_STOP, "%", _percent_digits(co2)),
            ),
        ),
        (
            n2o / room_check.N2O_STOP_PPM,
            Deciding(
                f"{ppm_words(1e-6 * n2o)} ppm nitrous oxide {where}. Limit here: "
                f"{room_check.N2O_STOP_PPM:g} ppm.",
                Compared(_ppm(1e-6 * n2o), room_check.N2O_STOP_PPM, "ppm", 0),
            ),
        ),
    ]
    if high > 100 * room_air.OXYGEN:
        rows.append(
            ((high - 100 * room_air.OXYGEN) / (room_check.OXYGEN_ENRICHED - 100 * room_air.OXYGEN),
             Deciding(f"{high:.1f} % oxygen {where}. Limit: {room_check.OXYGEN_ENRICHED:g} %."))
        )  # fmt: skip
    return rows


def _words(gas: str, one: room_check.Against, times: float = 1.0) -> Deciding:
    row = one.row
    over = {"stel": "over 15 min", "twa": "over 8 h", "twa-in-use": "while in use"}[row["kind"]]
    memory = ", from memory" if row["obtained"] == "memory" else ""
    limit = f"{times:g} times {row['value']:g}" if times != 1.0 else f"{row['value']:g}"
    return Deciding(
        f"{ppm_words(one.found)} ppm {room_check.GAS_NAMES[gas]} {over}. "
        f"Limit: {limit} ppm ({row['body']}, {row['jurisdiction']}{memory}).",
        Compared(_ppm(one.found), times * row["value"], "ppm", 0),
    )


def _work(
    found: Mapping[str, Sequence[room_check.Against]],
) -> Iterable[tuple[float, Deciding]]:
    """Share of each limit at work that stops: the short one, and three times that of a shift."""
    for gas, rows in found.items():
        for one in rows:
            if one.row["kind"] == "stel":
                yield one.share, _words(gas, one)
            elif one.row["kind"] == "twa" and one.share >= room_check.SHIFT_STOP:
                share = 1.0 + one.share / room_check.SHIFT_STOP  # at the limit itself too
                yield share, _words(gas, one, room_check.SHIFT_STOP)


def _all_work(
    found: Mapping[str, Sequence[room_check.Against]],
) -> Iterable[tuple[float, Deciding]]:
    for gas, rows in found.items():
        for one in rows:
            if one.row["kind"] in ("stel", "twa", "twa-in-use"):
                yield one.share, _words(gas, one)


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
    if room_check.forbids(inputs.place, cold):
        return tuple(_elsewhere(inputs, judge, larger, room_m3))
    closed = inputs.place in room_check.CLOSED  # no fresh air is counted there
    told = room_check.changes_h(inputs.air_changes, room_m3)
    base, with_air = inputs, ""
    ways = [] if closed else _more_air(inputs, judge, told, cold)
    if not closed and (told is None or (cold and room_check.too_little_for_cold(told))):
        base, with_air = aired(base, room_check.USUAL_AIR_H), _WITH_AIR
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
    base = aired(inputs.replaced(place="room"), room_check.USUAL_AIR_H)
    make = larger(base)
    edge = found_edge(judge, make, MOST_ROOM_M3, min(room_m3, MOST_ROOM_M3 / 2))
    return offered(
        judge, make, edge, True,
        lambda _, m3: f"not in the {inputs.place}: a net room of {m3:g} m3 or more{_WITH_AIR}",
    )  # fmt: skip


def _more_air(inputs: _Inputs, judge: Judge, told: float | None, cold: bool) -> list[Way]:
    """More fresh air; beside a cryogen never less than is usual, however little would do."""
    most = room_check.MOST_AIR_H
    if told is not None and told >= most:
        return []
    edge = found_edge(judge, lambda n: aired(inputs, n), most, max(told or 0.0, 0.1))
    if edge is not None and (told is None or cold):
        edge = max(edge, room_check.USUAL_AIR_H)
    words = "{:g} measured air changes an hour"
    air = offered(
        judge, lambda n: aired(inputs, n), edge, True, lambda _, n: words.format(n)
    )  # fmt: skip
    if air:
        return air
    answer = judge.full(aired(inputs, most))
    said = f"{words.format(most)}: not enough"
    return [Way(said, answer.verdict, answer.result.deciding, answer.inputs)]
