"""The +/- of any result from the +/- of its inputs, for any calculator.

What it means: the +/- of an input is how far the true figure may be from the given one, either
way, any figure between as likely as the next. The +/- of a value is the same of the value. Each
uncertain input is moved to both ends of its +/- and the calculator is run again; half the
difference of the two is that input's share, inputs are independent, and shares add in quadrature,
with the model's own stated error where the result gives one. (So the +/- of a value is 1.73 times
its standard deviation. Where every input's +/- is a standard deviation instead, so is the value's.)

A value that does not follow its inputs in a straight line goes further one way than the other: it
bends, jumps, stops at a limit, or has no value at one end. Several inputs together may do what none
does alone, so that they are moved together too, in each direction that pulls some value or fact one
way. Where the larger sides come to more than `UNEVEN` over the even ones, the larger are shown and
the +/- is marked as not linear.
"""

import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from prepkit.errors import PrepkitError
from prepkit.ingredient import Part
from prepkit.inputs import Inputs, Spec
from prepkit.model import Output, OwnInputs, Result
from prepkit.record import FieldValue
from prepkit.units import Measured

Compute = Callable[[OwnInputs], Result]
UNEVEN = 0.15
MOST_CORNERS = 8
_DUST = 1e-9  # of a value, below which a change is rounding
_DUST_SHOWN = 1e-6  # of the last digit shown


class Spread(NamedTuple):
    """The +/- of a value in its own unit, and whether it holds evenly both ways."""

    plus_minus: float
    linear: bool


class Place(NamedTuple):
    """One uncertain input: its name and label, its place where it takes many, its value."""

    name: str
    label: str
    at: int | None
    value: FieldValue


class Move(NamedTuple):
    """An input moved to the upper (1) or lower (-1) end of its +/-; None: it cannot be there."""

    place: Place
    sign: int
    value: FieldValue

    @property
    def said(self) -> str:
        """The end in words: temperature of the contents 6 °C."""
        return f"{self.place.label} {_words(self.value)}"


class End(NamedTuple):
    """One input, or several together, at an end, and the result; None: refused there."""

    moves: tuple[Move, ...]
    result: Result | None
    numbers: Mapping[str, float]

    @property
    def said(self) -> str:
        """Where it is, in words."""
        return " and ".join(move.said for move in self.moves)


def _moved(value: FieldValue, sign: int, spec: Spec) -> FieldValue:
    """An input at one end of its +/-, no further than it can go; None where that is nowhere."""
    if isinstance(value, Part):
        return value.scaled(max(1.0 + sign * value.amount.plus_minus / float(value.amount), 0.0))
    at = float(value) + sign * value.plus_minus
    if spec.above is not None and at <= spec.above:
        return None
    at = at if spec.low is None else max(at, spec.low)
    at = at if spec.high is None else min(at, spec.high)
    return Measured(at, value.unit, value.plus_minus)


def _words(value: FieldValue) -> str:
    if isinstance(value, Part):
        if value.members:
            return ", ".join(_words(one) for one in value.members)
        amount = value.amount
        return f"{float(amount):.6g} {amount.unit} {value.words_without_amount}"
    degree = "°" if value.unit == "C" else ""
    return f"{float(value):.6g} {degree}{value.unit}".rstrip()


def _uncertain(value: FieldValue) -> bool:
    if isinstance(value, Part):
        return value.amount.plus_minus > 0 and float(value.amount) > 0
    return isinstance(value, Measured) and value.plus_minus > 0


def _places(inputs: Inputs) -> Iterator[Place]:
    for name, spec in inputs.specs().items():
        value = getattr(inputs, name)
        if isinstance(value, tuple):
            yield from (
                Place(name, spec.label, at, one) for at, one in enumerate(value) if _uncertain(one)
            )
        elif _uncertain(value):
            yield Place(name, spec.label, None, value)


def _run(compute: Compute, inputs: Inputs, moves: tuple[Move, ...]) -> End:
    moved: dict[str, FieldValue] = {}
    for place, _, value in moves:
        if value is None:
            return End(moves, None, {})
        if place.at is None:
            moved[place.name] = value
        else:
            many = list(moved.get(place.name, getattr(inputs, place.name)))
            many[place.at] = value
            moved[place.name] = tuple(many)
    try:
        result = compute(inputs.replaced(**moved))
    except PrepkitError:
        return End(moves, None, {})
    return End(moves, result, result.numbers())


def ends(compute: Compute, inputs: Inputs, result: Result) -> tuple[End, ...]:
    """Each uncertain input at its upper and at its lower end; nothing where all are certain."""
    base = result.numbers()
    return tuple(
        _end(compute, inputs, base, place, sign) for place in _places(inputs) for sign in (1, -1)
    )


def _end(
    compute: Compute, inputs: Inputs, base: Mapping[str, float], place: Place, sign: int
) -> End:
    move = Move(place, sign, _moved(place.value, sign, inputs.spec(place.name)))
    end = _run(compute, inputs, (move,))
    if inputs.judged_at_end.get(place.name) == sign and not base.keys() <= end.numbers.keys():
        # judged at its own end from there, it would be moved twice: what is lacking for that
        # alone is taken from the end as it is
        plain = _run(compute, inputs, (move._replace(value=_certain(move.value)),))
        return end._replace(numbers={**plain.numbers, **end.numbers})
    return end


def _certain(value: FieldValue) -> FieldValue:
    """An input without its +/-."""
    if isinstance(value, Part):
        return value.replaced(amount=Measured(float(value.amount), value.amount.unit))
    return None if value is None else Measured(float(value), value.unit)


def corners(
    compute: Compute, inputs: Inputs, result: Result, found: tuple[End, ...]
) -> tuple[End, ...]:
    """Inputs moved together, each to the end that pulls some value or numeric fact one way.

    An input that the calculator itself judges at that end (`judged_at_end`) stays where it is.
    """
    if len(found) < 4:
        return ()
    corner = []
    for signs in _directions(result, found):
        moves = tuple(
            pair[0 if sign > 0 else 1].moves[0]
            for pair, sign in zip(_pairs(found), signs, strict=True)
            if sign
        )
        moves = tuple(
            move for move in moves if inputs.judged_at_end.get(move.place.name) != move.sign
        )
        if len(moves) > 1:
            corner.append(_run(compute, inputs, moves))
    return tuple(corner)


def _pairs(found: tuple[End, ...]) -> list[tuple[End, End]]:
    return list(zip(found[::2], found[1::2], strict=True))


def _directions(result: Result, found: tuple[End, ...]) -> list[tuple[int, ...]]:
    """For each input the end (1, -1, or 0 where it does nothing), for what moves by two or more.

    A direction that is part of another is left out; of the rest, at most `MOST_CORNERS`, those of
    the most inputs first, and then those of the most values and facts.
    """
    base = _numeric(result)
    sides = [_numeric(end.result) if end.result is not None else {} for end in found]
    wanted: Counter[tuple[int, ...]] = Counter()
    for name, value in base.items():
        least = _DUST * abs(value)
        signs = []
        for up, down in zip(sides[::2], sides[1::2], strict=True):
            change = up.get(name, value) - down.get(name, value)
            signs.append(0 if abs(change) <= least else 1 if change > 0 else -1)
        if sum(map(abs, signs)) > 1:
            wanted.update((tuple(signs), tuple(-one for one in signs)))
    chosen: list[tuple[int, ...]] = []
    for signs_of in sorted(wanted, key=lambda signs: (-sum(map(abs, signs)), -wanted[signs])):
        if not any(
            all(one in (0, other) for one, other in zip(signs_of, known, strict=True))
            for known in chosen
        ):
            chosen.append(signs_of)
    return chosen[:MOST_CORNERS]


def _numeric(result: Result) -> dict[str, float]:
    facts = {
        name: float(value)
        for name, value in result.facts.items()
        if isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    }
    return facts | {f"value {name}": value for name, value in result.numbers().items()}


class _Share(NamedTuple):
    """What one input does to one value: half the difference of its ends, and the larger side.

    A value that is not there at one end has half of the other side; at neither, it is not known.
    """

    even: float
    larger: float
    known: bool = True


def _share(base: float, sides: Iterable[float | None], output: Output) -> _Share:
    least = max(_DUST * abs(base), _DUST_SHOWN * 10.0**-output.digits)
    moves = [side - base for side in sides if side is not None]
    moves = [move if abs(move) > least else 0.0 for move in moves]
    if not moves:
        return _Share(0.0, 0.0, known=False)
    return _Share(0.5 * abs(moves[0] - (moves[1:] or [0.0])[0]), max(map(abs, moves)))


def _shares(result: Result, found: tuple[End, ...]) -> dict[str, list[_Share]]:
    """By value, one for each input."""
    outputs = result.outputs()
    return {
        name: [
            _share(base, (up.numbers.get(name), down.numbers.get(name)), outputs[name])
            for up, down in _pairs(found)
        ]
        for name, base in result.numbers().items()
    }


def _together(
    name: str, base: float, output: Output, by: list[_Share], corner: tuple[End, ...]
) -> float:
    """What inputs moved together do to a value, as the quadrature of so many equal shares."""
    many = sum(one.larger > 0 for one in by) or len(by)
    moved = [_share(base, (end.numbers.get(name),), output).larger for end in corner]
    return max(moved, default=0.0) / math.sqrt(many)


def spreads(
    result: Result,
    found: tuple[End, ...],
    corner: tuple[End, ...] = (),
    *,
    model_error: Mapping[str, float] | None = None,
    at_end: Collection[str] = (),
) -> dict[str, Spread]:
    """The +/- of each value that has one, or that is there at neither end of some input.

    `model_error` is the result's own unless told otherwise. at_end: inputs that the calculator
    itself takes at an end (`judged_at_end`); a value at its worst (`Output.worst`) has them within.
    """
    errors = result.model_error if model_error is None else model_error
    spread: dict[str, Spread] = {}
    if not found:
        for name in result.numbers():
            if errors.get(name, 0.0) > 0:
                spread[name] = Spread(errors[name], True)
        return spread
    outputs = result.outputs()
    shares = _shares(result, found)
    for name, base in result.numbers().items():
        by, error, worst = shares[name], errors.get(name, 0.0), outputs[name].worst
        if worst:
            by = [
                share
                for share, (up, _) in zip(by, _pairs(found), strict=True)
                if up.moves[0].place.name not in at_end
            ]
        even = math.hypot(error, *(one.even for one in by))
        larger = max(
            math.hypot(error, *(one.larger for one in by)),
            math.hypot(error, _together(name, base, outputs[name], by, corner))
            if corner and not worst
            else 0.0,
        )
        linear = larger <= (1.0 + UNEVEN) * even and all(one.known for one in by)
        if larger > 0 or not linear:
            spread[name] = Spread(even if linear else larger, linear)
    return spread
