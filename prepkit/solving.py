"""Any calculator the other way round: the input with which an output comes to a value."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from prepkit import ingredient, registry
from prepkit.errors import BadInput, PrepkitError, named
from prepkit.inputs import Inputs, Json, Spec
from prepkit.model import Answer, Output
from prepkit.numbers import nearest
from prepkit.pantry import Pantry
from prepkit.units import parse_number, parse_quantity, shown_in, without_amount

GRAMMAR = '"INPUT: OUTPUT = VALUE", or "INPUT 2 bar to 9 bar: OUTPUT = VALUE"'
EDGE_STEPS = 4  # halvings towards the end of what has an answer
SAMPLES = 9  # over the range, before a branch is followed
MOST_EVALUATIONS = 30
Given = Mapping[str, Any]  # Any: words of any input
_WIDE = 50.0  # an amount is looked for from a fiftieth to fifty times what was given
_BY_RATIO = 20.0  # a range wider than this is sampled evenly in ratio
_MOST_WHOLE = 24
_WIDEST_WHOLE = 200  # every whole number of a range is tried
_RANGE = re.compile(r"^(?P<name>.+?)\s+(?:from\s+)?(?P<low>-?\d[^:]*?)\s+to\s+(?P<high>-?\d[^:]*)$")


class Solution(NamedTuple):
    """One value of the input that meets the target, with the answer that it gives."""

    value: float
    plus_minus: float | None  # from the +/- of the output there, over its slope
    answer: Answer
    said: Given  # the words of all inputs with it, to six digits


@dataclass(frozen=True)
class Solved:
    """All solutions in the range, the first that is no stop first."""

    input: str  # as a person reads it
    unit: str
    whole: bool
    output: str
    target: str
    low: float
    high: float
    solutions: tuple[Solution, ...]

    @property
    def answer(self) -> Answer:
        """The answer of the first solution."""
        return self.solutions[0].answer

    def sentences(self, system: str = "metric") -> list[str]:
        """What was found, one sentence for each solution."""
        out = []
        for solution in self.solutions:
            value, unit = shown_in(solution.value, self.unit, system)
            shown = str(round(value)) if self.whole else _told(value, unit)
            given = f"{self.input}: {shown}"
            if solution.plus_minus is not None:
                scale = abs(
                    shown_in(solution.value + solution.plus_minus, self.unit, system)[0] - value
                )
                given += f" ± {_told(scale, unit, 2)}"
            if solution.answer.verdict == "stop":
                out.append(f"{given} would give {self.output} {self.target}, and that is a STOP.")
            else:
                out.append(f"{given} gives {self.output} {self.target}.")
        return out

    def to_dict(self) -> dict[str, Any]:  # Any: JSON
        """The answer of the first solution as JSON has it, and all solutions."""
        solved = [
            {"input": self.input, "value": solution.value, "unit": self.unit,
             "plus_minus": solution.plus_minus, "output": self.output, "target": self.target,
             "verdict": solution.answer.verdict}
            for solution in self.solutions
        ]  # fmt: skip
        return {**self.answer.to_dict(), "solved": solved}


class _Unknown(NamedTuple):
    """The input that is looked for: how it is called, and the words that give it a value."""

    name: str
    unit: str
    whole: bool
    low: float
    high: float
    said: Callable[[float], Json]


def solve(name: str, words: str, given: Given, pantry: Pantry | None = None) -> Solved:
    """The values of one input with which one output has a value: "water: strength = 20 % vol".

    name: the calculator; given: its other inputs in words. The range is that of the input, or the
    one said. Raises BadInput with the nearest where there is none, or where the words are not read.

    >>> said = {"part": ["700 ml spirit 43 %", "300 ml water"]}
    >>> found = solve("blend", "water: strength = 20 % vol", said)
    >>> round(found.solutions[0].value)
    807
    """
    pantry = pantry or Pantry()
    left, colon, right = words.partition(":")
    output_words, equals, value_words = right.rpartition("=")
    if not colon or not equals or not left.strip() or not output_words.strip():
        raise BadInput(f'"{words[:80]}" is not read; write it as {GRAMMAR}.', "solve")
    calculator = registry.load(name)
    key, output = _output(calculator.result.outputs(), output_words)
    target = _target(value_words, output)
    unknown = _unknown(calculator.inputs, left, given, pantry)
    search = _Search(name, unknown, key, target, 10.0**-output.digits, pantry)
    found = search.run()
    if not found:
        raise BadInput(_none(unknown, output, target, search), "solve")
    solutions = []
    for value, slope in found:
        answer = registry.run(name, unknown.said(value), pantry=pantry)
        spread = answer.values[key].plus_minus if key in answer.values else None
        carried = abs(spread / slope) if spread and slope else None
        said = unknown.said(float(f"{value:.6g}"))
        solutions.append(Solution(value, carried, answer, said))
    solutions.sort(key=lambda solution: (solution.answer.verdict == "stop", solution.value))
    shown = f"{target:.{output.digits}f} {output.unit}".strip()
    return Solved(
        input=unknown.name, unit=unknown.unit, whole=unknown.whole, output=output.label,
        target=shown, low=unknown.low, high=unknown.high, solutions=tuple(solutions),
    )  # fmt: skip


class _Search:
    """The values of the unknown at which the output crosses its target, and what was seen."""

    def __init__(
        self, name: str, unknown: _Unknown, key: str, target: float, step: float, pantry: Pantry
    ) -> None:
        self.name, self.unknown, self.key, self.target = name, unknown, key, target
        self.close = max(0.05 * step, 1e-9 * abs(target))
        self.pantry = pantry
        self.seen: dict[float, float | None] = {}  # None: refused, or no value beside a stop
        self.refusal, self.stopped = "", False
        self.jumps: list[tuple[float, float]] = []

    def at(self, value: float) -> float | None:
        """The output less its target at a value of the unknown."""
        if value not in self.seen:
            self.seen[value] = self._evaluated(value)
        return self.seen[value]

    def _evaluated(self, value: float) -> float | None:
        try:
            inputs = registry.validate(self.name, self.unknown.said(value), self.pantry)
            found = registry.load(self.name).compute(inputs).numbers().get(self.key)
        except PrepkitError as error:
            self.refusal = self.refusal or error.wording
            return None
        self.stopped = self.stopped or found is None
        return None if found is None else found - self.target

    def run(self) -> list[tuple[float, float]]:
        """Solutions with the slope of the output there, from low to high."""
        low, high = self.unknown.low, self.unknown.high
        if self.unknown.whole:
            points = [float(index) for index in range(math.ceil(low), math.floor(high) + 1)]
        elif low > 0.0 and high > _BY_RATIO * low:
            points = [low * (high / low) ** (at / (SAMPLES - 1)) for at in range(SAMPLES)]
        else:
            points = [low + (high - low) * at / (SAMPLES - 1) for at in range(SAMPLES)]
        if not self.unknown.whole:
            points = self._with_edges(points)
        values = [self.at(point) for point in points]
        crossed = [
            (a, b, fa, fb)
            for a, b, fa, fb in zip(points, points[1:], values, values[1:], strict=False)
            if fa is not None and fb is not None and (fa > 0.0) != (fb > 0.0) and fb != 0.0
        ]
        if self.unknown.whole:
            return [(point, 0.0) for point, f in zip(points, values, strict=True) if self._met(f)]
        out = [(point, 0.0) for point, f in zip(points, values, strict=True) if f == 0.0]
        for a, b, fa, fb in crossed:
            if fa == 0.0:
                continue
            left = (MOST_EVALUATIONS - len(self.seen)) // max(1, len(crossed))
            root = self._followed(a, b, fa, fb, max(left, 6))
            if root is not None:
                out.append(root)
        return sorted(out)

    def _with_edges(self, points: list[float]) -> list[float]:
        """The points, and the last that still gives a value before one that gives none."""
        edges = []
        for a, b in itertools.pairwise(points):
            known, other = (a, b) if self.at(a) is not None else (b, a)
            if self.at(known) is None or self.at(other) is not None:
                continue
            for _ in range(EDGE_STEPS):
                middle = 0.5 * (known + other)
                if self.at(middle) is None:
                    other = middle
                else:
                    known = middle
            edges.append(known)
        return sorted({*points, *edges})

    def _met(self, f: float | None) -> bool:
        return f is not None and abs(f) <= self.close

    def _followed(
        self, a: float, b: float, fa: float, fb: float, most: int
    ) -> tuple[float, float] | None:
        """The root between two values of different sign, by false position (Illinois)."""
        side, ga, gb = 0, fa, fb
        for _ in range(most):
            middle = (a * gb - b * ga) / (gb - ga)
            if not min(a, b) < middle < max(a, b):
                middle = 0.5 * (a + b)
            f = self.at(middle)
            if f is None:
                return None
            if self._met(f):
                return middle, (fb - fa) / (b - a)
            if (f > 0.0) == (fb > 0.0):
                b, fb, gb = middle, f, f
                ga = 0.5 * ga if side == -1 else fa
                side = -1
            else:
                a, fa, ga = middle, f, f
                gb = 0.5 * gb if side == 1 else fb
                side = 1
        if abs(b - a) <= 1e-6 * max(abs(a), abs(b)):  # two sides that never meet: a jump
            self.jumps.append((a, b))
            return None
        best = min((a, b), key=lambda one: abs(self.at(one) or 0.0))
        return best, (fb - fa) / (b - a)


def _none(unknown: _Unknown, output: Output, target: float, search: _Search) -> str:
    """Why there is none, and the nearest that was seen."""
    wanted = f"{output.label} {target:.{output.digits}f} {output.unit}".rstrip()
    known = {value: f for value, f in search.seen.items() if f is not None}

    def told(value: float) -> str:
        return str(round(value)) if unknown.whole else _told(value, unknown.unit)

    between = f"between {told(unknown.low)} and {told(unknown.high)}"
    if not known:
        why = f" {search.refusal}" if search.refusal else ""
        return f"no {unknown.name} {between} gives any {output.label}.{why}"
    near = sorted(known, key=lambda one: abs(known[one]))
    near = near[:1]
    if unknown.whole:  # both sides of the jump over the target
        above = [number for number in sorted(known) if known[number] > 0.0]
        below = [number for number in sorted(known) if known[number] < 0.0]
        pairs = ((a, b) for a in above for b in below)
        near = sorted(min(pairs, key=lambda pair: abs(pair[0] - pair[1]), default=near))
    said = " and ".join(
        f"{told(one)} gives {known[one] + target:.{output.digits}f}" for one in near
    )
    jump = "It jumps past it. " if search.jumps else ""
    beyond = " Elsewhere the answer is a STOP without it." if search.stopped else ""
    return f"no {unknown.name} {between} gives {wanted}. {jump}The nearest: {said}.{beyond}"


def _written(value: float) -> str:
    """A number as words that are read one way only: three decimals could be thousands.

    >>> _written(55.555), _written(0.25), _written(1e-13)
    ('55.5550', '0.25', '1e-13')
    """
    text = f"{value:.12g}"
    return f"{text}0" if text[-4:-3] == "." else text


def _told(value: float, unit: str, figures: int = 4) -> str:
    """A value to so many figures, never in powers of ten.

    >>> _told(15042.3, "ml"), _told(0.12345, "g"), _told(806.49, "ml")
    ('15042 ml', '0.1235 g', '806.5 ml')
    """
    size = math.floor(math.log10(abs(value))) if value else 0
    return f"{value:.{max(0, figures - 1 - size)}f} {unit}".strip()


def choices(
    name: str,
    given: Given,
) -> tuple[list[tuple[str, str]], list[tuple[str, str, str]]]:
    """What can be solved for, and which outputs can have a value: each by its word and label.

    Parts stand there by their names, as they are in `given`; an output has its unit as well.
    """
    calculator = registry.load(name)
    known, _ = _known(calculator.inputs, given)
    inputs = [
        (names[0], names[-1]) for key, names in known.items()
        if key not in calculator.inputs.only_read
    ]  # fmt: skip
    return inputs, [
        (key, output.label, output.unit) for key, output in calculator.result.outputs().items()
    ]


def _plain(words: str) -> str:
    return " ".join(words.replace("_", " ").replace("-", " ").lower().split())


def _chosen(words: str, known: Mapping[str, tuple[str, ...]], what: str) -> str:
    """The key whose names are the words, or the only one whose names hold them."""
    asked = _plain(words)
    for test in (str.__eq__, str.startswith, str.__contains__):
        found = [
            key for key, names in known.items() if any(test(_plain(name), asked) for name in names)
        ]
        if len(found) == 1:
            return found[0]
        if found:
            which = ", ".join(known[key][-1] for key in found[:5])
            raise BadInput(f'"{words.strip()[:60]}" can be {which}; say which {what}.', "solve")
    labels = [names[-1] for names in known.values()]
    raise BadInput(
        f'there is no {what} "{words.strip()[:60]}"; {nearest(words.strip()[:60], labels)}.',
        "solve",
    )


def _output(outputs: Mapping[str, Output], words: str) -> tuple[str, Output]:
    known = {key: (key, output.label) for key, output in outputs.items()}
    key = _chosen(words, known, "output")
    return key, outputs[key]


def _target(words: str, output: Output) -> float:
    if not words.strip():
        raise BadInput(f"no value is given for the {output.label}; {GRAMMAR}.", "solve")
    if output.unit:
        return float(parse_quantity(words.strip(), (output.unit,), "solve", True))
    return parse_number(words.strip(), "solve")[0]


def _unknown(of: type[Inputs], words: str, given: Given, pantry: Pantry) -> _Unknown:
    """The input that the words name: a number of the calculator, or the amount of a part."""
    specs = of.specs()
    match = _RANGE.match(" ".join(words.split()))
    name = match["name"] if match else words.strip()
    known, parts = _known(of, given)
    key = _chosen(name, known, "input")
    if key in parts:
        field, which = parts[key]
        if which is None:
            return _all_of(field, specs[field].label, given, match, pantry)
        return _part(field, which, given, match, pantry)
    spec = specs[key]
    if key in of.only_read:
        raise BadInput(
            f"{named(key)}, the {spec.label}, is read on the plate or in the manual, or measured, "
            "never worked out. Solve for something that you set.",
            "solve",
        )
    unit = spec.units[0] if spec.units else ""
    told = given.get(key)
    low, high = _ends(match, unit, spec, None if told is None else _number(told, unit))

    def said(value: float) -> Json:
        words = str(round(value)) if spec.kind == "count" else f"{_written(value)} {unit}".strip()
        return {**given, key: words}

    return _Unknown(spec.label, unit, spec.kind == "count", low, high, said)


def _known(
    of: type[Inputs],
    given: Given,
) -> tuple[dict[str, tuple[str, ...]], dict[str, tuple[str, int | None]]]:
    """The inputs that are numbers and the parts that are given, by their names; where parts are."""
    known: dict[str, tuple[str, ...]] = {}
    parts: dict[str, tuple[str, int | None]] = {}  # None: all of them, in proportion
    for field, spec in of.specs().items():
        if spec.kind in ("quantity", "count", "number"):
            known[field] = (field, spec.label)
        elif spec.kind in ("part", "parts"):
            every = _each(given.get(field))
            for at, one in enumerate(every):
                if not isinstance(one, str):
                    continue
                key = f"{field}/{at}"
                alone = (field, spec.label) if len(every) == 1 else ()
                known[key] = (*alone, without_amount(one, named(field)))
                parts[key] = (field, at)
            if spec.several and len(every) > 1 and all(isinstance(one, str) for one in every):
                known[field] = (field, spec.label)
                parts[field] = (field, None)
    return known, parts


def _each(told: Any) -> list[Any]:  # Any: words of parts, or parts themselves
    """Parts one by one, those that are joined in one piece of words apart."""
    every = list(told) if isinstance(told, list | tuple) else [] if told is None else [told]
    return [
        piece
        for one in every
        for piece in (ingredient.split(one) if isinstance(one, str) else [one])
    ]


def _all_of(
    field: str, label: str, given: Given, match: re.Match[str] | None, pantry: Pantry
) -> _Unknown:
    """The amount of several parts together, each in proportion to what was given of it."""
    every = _each(given[field])
    amounts = [pantry.part(one, named(field), at=True).amount for one in every]
    rests = [without_amount(one, named(field)) for one in every]
    units = {amount.unit for amount in amounts}
    unit = units.pop()
    if units or unit not in ("g", "ml"):
        raise BadInput(
            f"{named(field)} is in several units; write all of it in g or all in ml, or name one "
            f"amount, such as {rests[0]}.",
            "solve",
        )
    whole = math.fsum(float(amount) for amount in amounts)
    spec = Spec("quantity", label, "", "", (unit,), above=0.0)
    low, high = _ends(match, unit, spec, whole)

    def said(total: float) -> Json:
        words = [
            f"{_written(total * float(amount) / whole)} {unit} {rest}"
            for amount, rest in zip(amounts, rests, strict=True)
        ]
        return {**given, field: words}

    return _Unknown(label, unit, False, low, high, said)


def _part(
    field: str, at: int, given: Given, match: re.Match[str] | None, pantry: Pantry
) -> _Unknown:
    """The amount of a part, in the unit in which it was said."""
    every = _each(given[field])
    part = pantry.part(every[at], named(field))
    unit, value = part.amount.unit, float(part.amount)
    if unit not in ("g", "ml"):
        raise BadInput(f'"{every[at]}" counts pieces; give its weight to solve for it.', "solve")
    rest = without_amount(every[at], named(field))
    spec = Spec("quantity", rest, "", "", (unit,), above=0.0)
    low, high = _ends(match, unit, spec, value)

    def said(amount: float) -> Json:
        words = list(every)
        words[at] = f"{_written(amount)} {unit} {rest}"
        return {**given, field: words if len(words) > 1 else words[0]}

    return _Unknown(rest, unit, False, low, high, said)


def _ends(
    match: re.Match[str] | None, unit: str, spec: Spec, value: float | None
) -> tuple[float, float]:
    """The range to look in: the one said, else that of the input, else around what was given."""
    if match is not None:
        low, high = (_number(match[end], unit) for end in ("low", "high"))
        if not low < high:
            raise BadInput(
                f"the range goes from {low:g} to {high:g}; write the lower first.", "solve"
            )
        if spec.kind == "count" and high - low > _WIDEST_WHOLE:
            raise BadInput(
                f"the range goes from {low:g} to {high:g}; at most {_WIDEST_WHOLE} whole numbers "
                "are tried.",
                "solve",
            )
        return low, high
    floor = spec.low if spec.low is not None else spec.above
    if (
        value is not None
        and value > 0.0
        and (spec.high is None or floor is None or spec.high - floor > 200.0)
    ):
        low, high = value / _WIDE, value * _WIDE
        if spec.kind == "count":
            low, high = 1.0, float(min(round(value) + 12, _MOST_WHOLE))
        return max(low, floor or 0.0), high if spec.high is None else min(high, spec.high)
    if floor is not None and spec.high is not None and spec.high - floor <= 1000.0:
        if spec.kind == "count":
            return floor, min(spec.high, floor + _MOST_WHOLE)
        gap = 1e-6 * (spec.high - floor) if spec.low is None else 0.0
        return floor + gap, spec.high
    raise BadInput(
        f"say where to look for the {spec.label}: "
        f'"{" ".join(f"{spec.label} 1 {unit} to 100 {unit}".split())}: ...".',
        "solve",
    )


def _number(words: Any, unit: str) -> float:  # Any: words or a number, as the caller has them
    if unit:
        return float(parse_quantity(words, (unit,), "solve", True))
    return parse_number(str(words), "solve")[0]
