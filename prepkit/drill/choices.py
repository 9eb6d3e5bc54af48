"""The choices of a question and the mistakes behind them; no pattern gives the right one away.

The numbers shown come of two mistakes, each made or not: the right one, either mistake, and both.
Each of the four stands to the others as the right one does. Every wrong choice has its explanation.

A trap is a mistake with its name and its words: a small pure function of numbers of the question or
of the answer. Those of gas_traps.py and mixture_traps.py are registered here; those of a topic file
are sums in its words. What it gives is in the unit of the answer, or a verdict.
"""

from __future__ import annotations

import ast
import math
import operator
import re
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from inspect import signature
from itertools import combinations
from random import Random
from typing import Generic, TypeVar

from prepkit.draws import one_of, shuffled
from prepkit.model import rounded
from prepkit.units import UNITS

LETTERS = "ABCDEFGH"
MOST_CHOICES = 4
FEWEST_WRONG = 2
VERDICTS = {
    "clear": "clear: no problem found in what you entered",
    "care": "care: go ahead only if you do what it says",
    "stop": "stop: do not do this",
}
#: A wrong number is shown within this factor of the right one: a larger or smaller one is absurd.
FARTHEST = 6.0
#: Where the scale of an answer begins, other than at nothing: slips are of what is away from it.
ZERO = {"oxygen": 20.95}
#: What a unit can hold, as long as the right answer is within it.
LIMITS = {"%": (0.0, 100.0), "% vol": (0.0, 96.0), "% w/w": (0.0, 100.0), "Bx": (0.0, 85.0),
          "ppm": (0.0, 1e6), "bar": (0.0, 60.0), "°C": (-210.0, 130.0)}  # fmt: skip
PH_LIMITS = (0.5, 12.0)


@dataclass(frozen=True)
class Miss:
    """A wrong answer that a trap gives: a number or a word."""

    trap: str
    value: float | str
    done: str = ""
    instead: str = ""


@dataclass(frozen=True)
class Choice:
    """One of the answers on the paper.

    A wrong one has the mistake that leads to it: its name, what was done, and what is right. All
    three are "" for the right one. Two mistakes together have a "+" in the name, and a "\\n"
    between the two in what was done and in what is right.
    """

    letter: str
    words: str
    value: float | str
    right: bool
    trap: str = ""
    done: str = ""
    instead: str = ""


@dataclass(frozen=True)
class QuestionWanted:
    """What a paper asks of the next question, the most wanted first.

    `places` are those of the right answer, from 0; `lengths` its place among the choices by length;
    `careful` the chance to be picked for sounding the most careful.
    """

    places: tuple[int, ...] = ()
    lengths: tuple[int, ...] = ()
    careful: float = 0.25
    verdict: str = ""
    sound: bool = False


# ---- slips: mistakes that can happen in any sum ----


@dataclass(frozen=True)
class Slip:
    """A mistake of anybody's: its name, what was done, what is right, and what it makes of a value.

    `gives` takes the value and where its scale begins.
    """

    name: str
    done: str
    right: str
    gives: Callable[[float, float], float]


_TWICE = Slip(
    "counted-twice", "It was counted twice.", "Each part counts once.", lambda v, z: z + 2 * (v - z)
)
_HALF = Slip(
    "half-left-out", "Half of it was left out.", "Count all of it.", lambda v, z: z + (v - z) / 2
)
_QUARTER_MORE = Slip(
    "a-quarter-too-much", "A quarter too much was counted.", "Each part counts once.",
    lambda v, z: z + 1.25 * (v - z),
)  # fmt: skip
_QUARTER_LESS = Slip(
    "a-quarter-left-out", "A quarter of it was left out.", "Count all of it.",
    lambda v, z: z + 0.75 * (v - z),
)  # fmt: skip
_ONE_MORE = Slip(
    "one-too-many", "One too many was counted.", "Count what is needed.", lambda v, z: v + 1
)
_ONE_LESS = Slip(
    "one-too-few", "One too few was counted.", "A rest needs one more.", lambda v, z: v - 1
)
_TWO_MORE = Slip(
    "two-too-many", "Two too many were counted.", "Count what is needed.", lambda v, z: v + 2
)
_TWO_LESS = Slip(
    "two-too-few", "Two too few were counted.", "A rest needs one more.", lambda v, z: v - 2
)
_TENTH_ACID = Slip(
    "a-tenth-of-the-acid", "A tenth of the acid was counted.", "One pH is a factor of ten.",
    lambda v, z: v + 1,
)  # fmt: skip
_TENFOLD_ACID = Slip(
    "ten-times-the-acid", "Ten times the acid was counted.", "One pH is a factor of ten.",
    lambda v, z: v - 1,
)  # fmt: skip
_HALF_ACID = Slip(
    "half-of-the-acid", "Half of the acid was counted.", "A factor of two is 0.3 pH.",
    lambda v, z: v + math.log10(2),
)  # fmt: skip
_TWICE_ACID = Slip(
    "twice-the-acid", "Twice the acid was counted.", "A factor of two is 0.3 pH.",
    lambda v, z: v - math.log10(2),
)  # fmt: skip
_SCALE = (_TWICE, _HALF, _QUARTER_MORE, _QUARTER_LESS)
_COUNT = (_ONE_MORE, _ONE_LESS, _TWO_MORE, _TWO_LESS, _TWICE, _HALF)
_PH = (_TENTH_ACID, _TENFOLD_ACID, _HALF_ACID, _TWICE_ACID)
SLIPS = tuple(dict.fromkeys((*_SCALE, *_COUNT, *_PH)))


# ---- numbers ----

Option = tuple[float, tuple[Miss | Slip, ...]]


@dataclass(frozen=True)
class AnswerScale:
    """How the right number is shown, what is told apart from it, and what is possible."""

    right: float
    unit: str
    digits: int
    tolerance: float
    name: str = ""  # the value that is asked for
    between: tuple[float, float] | None = None
    zero: float | None = None

    @property
    def counts(self) -> bool:
        """Whether the answer is a number of things."""
        things = not self.unit or self.unit not in UNITS  # such as drops and serves
        return things and self.digits == 0 and self.tolerance <= 0.5 and self.name != "ph"

    @property
    def begins(self) -> float:
        """Where the scale begins."""
        return ZERO.get(self.name, 0.0) if self.zero is None else self.zero

    @property
    def slips(self) -> tuple[Slip, ...]:
        """The slips that can happen to it."""
        if self.name == "ph":
            return _PH
        if self.counts:
            return _COUNT
        return _SCALE

    def said(self, value: float) -> str:
        """The number as it is shown."""
        return f"{rounded(value, self.digits, self.unit)} {self.unit}".rstrip()

    def possible(self, value: float) -> bool:
        """Whether it can be shown as wrong: no nonsense, and outside the accepted band."""
        if not math.isfinite(value):
            return False
        # as it is shown it must be wrong too
        near = self.tolerance + (0.0 if self.counts else 0.5 * 10.0**-self.digits)
        if abs(value - self.right) <= near or self.said(value) == self.said(self.right):
            return False
        if self.counts and (value != round(value) or value < 1):
            return False
        if float(f"{value:.{self.digits}f}") == 0.0:
            return False
        low, high = self.between or LIMITS.get(self.unit, (-math.inf, math.inf))
        if self.name == "ph":
            low, high = self.between or PH_LIMITS
        if low <= self.right <= high and not low <= value <= high:
            return False
        if self.name == "ph" or self.counts:
            return True
        away, right = value - self.begins, self.right - self.begins
        if away * right <= 0:  # on the other side of the scale's beginning
            return self.begins != 0.0 and value * self.right > 0
        return 1 / FARTHEST <= away / right <= FARTHEST


def _made_of_two(scale: AnswerScale, misses: Sequence[Miss]) -> Iterator[tuple[int, list[Option]]]:
    """Sets of four of two mistakes, each made or not, each with its class.

    The classes: 0 two traps, 1 a trap and a slip, 2 two slips.
    """
    right, zero = scale.right, scale.begins
    real = [miss for miss in misses if scale.possible(float(miss.value))]
    for miss, other in combinations(real, 2):
        if right == zero:
            break
        first, second = float(miss.value), float(other.value)
        both = zero + (first - zero) * (second - zero) / (right - zero)
        if scale.name == "ph":
            both = first + second - right
        yield 0, [(right, ()), (first, (miss,)), (second, (other,)), (both, (miss, other))]
    for miss in real:
        value = float(miss.value)
        for slip in scale.slips:
            slipped = [(slip.gives(right, zero), (slip,)), (slip.gives(value, zero), (miss, slip))]
            yield 1, [(right, ()), (value, (miss,)), *slipped]
    for slip, also in combinations(scale.slips, 2):
        first = slip.gives(right, zero)
        yield 2, [(right, ()), (first, (slip,)), (also.gives(right, zero), (also,)),
                  (also.gives(first, zero), (slip, also))]  # fmt: skip


def _fair(scale: AnswerScale, options: Sequence[Option]) -> bool:
    shown = {scale.said(value) for value, of in options if not of or scale.possible(value)}
    if len(shown) != len(options):
        return False
    # small counts always stand in neat ratios to one another
    return scale.counts or len(set(_related([value for value, _ in options]))) == 1


def _related(values: Sequence[float]) -> list[int]:
    """For each number, to how many others it stands in a neat ratio."""
    return [sum(_neat(value, other) for other in values) for value in values]


def _neat(number: float, other: float) -> bool:
    low, high = sorted((abs(number), abs(other)))
    if low in (0.0, high):
        return False
    ratio = high / low
    return ratio > 1.5 and abs(ratio / round(ratio) - 1) < 0.01


def _place(scale: AnswerScale, options: Sequence[Option]) -> int:
    return sum(value < scale.right for value, of in options if of)


def numbers(
    scale: AnswerScale,
    misses: Sequence[Miss],
    places: Sequence[int],
    rng: Random,
    any_will_do: bool,
) -> tuple[Choice, ...] | None:
    """Four numbers in ascending order, the right one at the first of `places` that is possible.

    None where there is no such set. With `any_will_do` the mistakes need not go together, and
    three numbers are enough.
    """
    sets = [(of, made) for of, made in _made_of_two(scale, misses) if _fair(scale, made)]
    for place in places:
        here = [(of, made) for of, made in sets if _place(scale, made) == place]
        classes = sorted({of for of, _ in here})
        if classes:
            of = one_of(rng, [class_ for class_ in classes if class_ < 2] or classes[:1])
            return _numbered(scale, one_of(rng, [made for number, made in here if number == of]))
    return _any(scale, misses, places, rng) if any_will_do else None


def _any(
    scale: AnswerScale, misses: Sequence[Miss], places: Sequence[int], rng: Random
) -> tuple[Choice, ...] | None:
    every: list[Option] = [(float(miss.value), (miss,)) for miss in misses]
    every += [(slip.gives(scale.right, scale.begins), (slip,)) for slip in scale.slips]
    wrong: dict[str, Option] = {}
    for value, of in every:
        if scale.possible(value):
            wrong.setdefault(scale.said(value), (value, of))
    below = shuffled(rng, [entry for entry in wrong.values() if entry[0] < scale.right])
    above = shuffled(rng, [entry for entry in wrong.values() if entry[0] > scale.right])
    for many in (MOST_CHOICES - 1, FEWEST_WRONG):
        for place in places:
            low, high = below[:place], above[: max(0, many - place)]
            if len(low) + len(high) == many:
                return _numbered(scale, [(scale.right, ()), *low, *high])
    return None


def _numbered(scale: AnswerScale, options: Sequence[Option]) -> tuple[Choice, ...]:
    found = []
    for letter, (value, of) in zip(
        LETTERS, sorted(options, key=lambda option: option[0]), strict=False
    ):
        miss = together(value, of) if of else None
        found.append(chosen(letter, scale.said(value), miss, value))
    return tuple(found)


def together(value: float, of: Sequence[Miss | Slip]) -> Miss:
    """One or two mistakes as one."""
    named = [(one.name, one.done, one.right) if isinstance(one, Slip)
             else (one.trap, one.done, one.instead) for one in of]  # fmt: skip
    names, done, right = zip(*named, strict=True)
    return Miss("+".join(names), value, "\n".join(done), "\n".join(right))


def chosen(letter: str, words: str, miss: Miss | None, right: float | str) -> Choice:
    """A choice: the right one where nothing was missed."""
    if miss is None:
        return Choice(letter, words, right, True)
    return Choice(letter, words, miss.value, False, miss.trap, miss.done, miss.instead)


# ---- verdicts ----


def verdicts(
    right: str, misses: Sequence[Miss], why: Mapping[str, str]
) -> tuple[Choice, ...] | None:
    """The three verdicts; None where nothing is said against a wrong one."""
    if not why and all(miss.value == right for miss in misses):
        return None
    by_word = {name: Miss(f"said-{name}", name, said) for name, said in why.items()}
    by_word |= {f"{miss.value}": miss for miss in reversed(misses) if miss.value not in why}
    return tuple(
        chosen(letter, shown, None if text == right else by_word.get(text, Miss("", text)), right)
        for letter, (text, shown) in zip(LETTERS, VERDICTS.items(), strict=False)
    )


# ---- words ----

_CAREFUL = re.compile(
    r"\b(?:never|nobody|no one|none|not|don't|stop|leave|out|away|alarm|call|wait|ask|check|read|"
    r"first|help|keep|emergency|slowly|only|before|until|warn|safe|danger|everybody|close|open)\b",
    re.IGNORECASE,
)


def careful(words: str) -> int:
    """How careful an answer sounds: how many of the words of warning it has."""
    return len(_CAREFUL.findall(words))


def sounds(choices: Sequence[Choice]) -> tuple[int, float]:
    """The place of the right choice by length, and its chance to be picked as the most careful."""
    right = next(choice.words for choice in choices if choice.right)
    return _sound_of(right, [choice.words for choice in choices if not choice.right])


def _sound_of(right: str, wrong: Sequence[str]) -> tuple[int, float]:
    length = sum(len(text) < len(right) for text in wrong)
    scores, own = [careful(text) for text in wrong], careful(right)
    most = max(scores)
    share = 0.0 if own < most else 1.0 if own > most else 1 / (1 + scores.count(most))
    return length, share


def _words_of(miss: Miss) -> str:
    """A wrong answer in words, which it still knows the message of."""
    return miss.value if isinstance(miss.value, str) else str(miss.value)


def worded(
    rights: Sequence[str], wrong: Sequence[Miss], wanted: QuestionWanted, rng: Random
) -> tuple[Choice, ...]:
    """One right answer and three wrong ones, the right one at the place that is wanted.

    Of all the sets that of the wanted length and sound is taken.
    """
    found: list[tuple[float, str, tuple[Miss, ...]]] = []
    for right in rights:
        for three in combinations(wrong, MOST_CHOICES - 1):
            length, share = _sound_of(right, [_words_of(miss) for miss in three])
            cost = 2 * abs(share - wanted.careful)
            if wanted.lengths and length != wanted.lengths[0]:
                cost += 0.5 + 0.1 * abs(length - wanted.lengths[0])
            found.append((cost, right, three))
    best = min(cost for cost, _, _ in found)
    _, right, three = one_of(rng, [entry for entry in found if entry[0] <= best + 1e-9])
    return placed((right, right), shuffled(rng, [(_words_of(o), o) for o in three]), wanted, rng)


def placed(
    right: tuple[str, str], wrong: Sequence[tuple[str, Miss]], wanted: QuestionWanted, rng: Random
) -> tuple[Choice, ...]:
    """The words of the right choice, with its value, among the wrong ones at the wanted place."""
    place = wanted.places[0] if wanted.places else int(rng.random() * (len(wrong) + 1))
    mixed: list[tuple[str, Miss | None]] = [*wrong]
    mixed.insert(place, (right[0], None))
    return tuple(
        chosen(letter, words, miss, right[1])
        for letter, (words, miss) in zip(LETTERS, mixed, strict=False)
    )


# ---- permuted blocks ----

Item = TypeVar("Item")


class Deal(Generic[Item]):
    """Deals items in permuted blocks; what could not be used stays the most wanted."""

    def __init__(self, rng: Random, items: Sequence[Item]) -> None:
        self._rng = rng
        self._items = list(items)
        self._open: list[Item] = []

    def wanted(self) -> tuple[Item, ...]:
        """The items, the most wanted first."""
        self._open = self._open or shuffled(self._rng, self._items)
        return tuple(dict.fromkeys((*self._open, *self._items)))

    def took(self, item: Item) -> None:
        """An item was used."""
        while item not in self._open:
            self._open += shuffled(self._rng, self._items)
        self._open.remove(item)


# ---- arithmetic, and nothing else ----

LONGEST_SUM = 300  # characters
_MOST_POWER = 50.0
_LARGEST = sys.float_info.max
FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "log10": math.log10, "log": math.log, "exp": math.exp, "sqrt": math.sqrt, "min": min,
    "max": max, "floor": math.floor, "ceil": math.ceil, "round": round, "abs": abs,
}  # fmt: skip


class BadSum(ValueError):
    """A line that is no arithmetic, or that cannot be worked out."""


def _power(base: float, power: float) -> float:
    if abs(power) > _MOST_POWER or (base < 0 and not power.is_integer()):
        raise BadSum(f"{base:g} ** {power:g} is out of range")
    return float(base**power)


_SIGNS: Mapping[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: _power,
}
_FRONT: Mapping[type[ast.unaryop], Callable[[float], float]] = {
    ast.UAdd: operator.pos,
    ast.USub: operator.neg,
}
_MORE_THAN_ONE = ("min", "max")


@dataclass(frozen=True)
class Sum:
    """A line of arithmetic: numbers, names, + - * / **, brackets and the functions above.

    >>> line = Sum.read("mass_kg * 1000 / molar_g")
    >>> line.names, line.value({"mass_kg": 2, "molar_g": 40})
    (('mass_kg', 'molar_g'), 50.0)

    Raises: BadSum, on reading, for anything else.
    """

    text: str
    names: tuple[str, ...]
    tree: ast.expr

    @classmethod
    def read(cls, text: str) -> Sum:
        """The line as arithmetic; BadSum where it is not."""
        if not isinstance(text, str) or not text.strip() or len(text) > LONGEST_SUM:
            raise BadSum(f"{text!r:.60} is no line of at most {LONGEST_SUM} characters")
        try:
            tree = ast.parse(text.strip(), mode="eval").body
        except (SyntaxError, ValueError, RecursionError, MemoryError):
            raise BadSum(f'"{text}" is no arithmetic') from None
        found: dict[str, None] = {}
        _check(tree, text, found)
        return cls(text.strip(), tuple(found), tree)

    def value(self, known: Mapping[str, float]) -> float:
        """The line worked out; BadSum where a name is not known or a step gives no number."""
        try:
            return _worked(self.tree, known)
        except KeyError as error:
            raise BadSum(f'"{self.text}": {error.args[0]} is not known') from None
        except (ArithmeticError, ValueError, TypeError) as error:
            raise BadSum(f'"{self.text}" cannot be worked out: {error}') from None

    def filled(self, known: Mapping[str, float]) -> str:
        """The line with the numbers put in, as it is written on a board.

        >>> Sum.read("litres * share / 100").filled({"litres": 2.0, "share": 40})
        '2 * 40 / 100'
        """
        numbers = {name: f"{known[name]:.6g}" for name in self.names}
        return ast.unparse(_Filled(numbers).visit(ast.parse(self.text, mode="eval")))


class _Filled(ast.NodeTransformer):
    """Names out, numbers in; what is called stays."""

    def __init__(self, numbers: Mapping[str, str]) -> None:
        self.numbers = numbers

    def visit_Call(self, node: ast.Call) -> ast.Call:
        node.args = [self.visit(arg) for arg in node.args]
        return node

    def visit_Name(self, node: ast.Name) -> ast.expr:
        return ast.parse(self.numbers[node.id], mode="eval").body


def _check(node: ast.expr, text: str, names: dict[str, None]) -> None:
    match node:
        case ast.Constant(value=int() | float() as value) if not isinstance(value, bool):
            if not abs(value) <= _LARGEST:
                raise BadSum(f'"{text}" holds a number that is too large')
        case ast.Name(id=name):
            if name in FUNCTIONS:
                raise BadSum(f'"{text}" uses {name} as a number')
            names.setdefault(name)
        case ast.UnaryOp(op=op, operand=inner) if type(op) in _FRONT:
            _check(inner, text, names)
        case ast.BinOp(left=left, op=op, right=right) if type(op) in _SIGNS:
            _check(left, text, names)
            _check(right, text, names)
        case ast.Call(func=ast.Name(id=name), args=args, keywords=[]) if name in FUNCTIONS:
            most = 9 if name in _MORE_THAN_ONE else 2 if name == "round" else 1
            if not (2 if name in _MORE_THAN_ONE else 1) <= len(args) <= most:
                raise BadSum(f'"{text}": {name} has {len(args)} numbers')
            for arg in args:
                _check(arg, text, names)
        case _:
            raise BadSum(f'"{text}" holds {type(node).__name__}, which is no arithmetic')


def _worked(node: ast.expr, known: Mapping[str, float]) -> float:
    """A part worked out; each one must be a number, so that none hides in a least or a most."""
    found = float(_step(node, known))
    if not math.isfinite(found):
        raise BadSum(f'"{ast.unparse(node)}" gives no number')
    return found


def _step(node: ast.expr, known: Mapping[str, float]) -> float:
    match node:
        case ast.Constant(value=int() | float() as value):
            return value
        case ast.Name(id=name):
            return known[name]
        case ast.UnaryOp(op=op, operand=inner):
            return _FRONT[type(op)](_worked(inner, known))
        case ast.BinOp(left=left, op=op, right=right):
            return _SIGNS[type(op)](_worked(left, known), _worked(right, known))
        case ast.Call(func=ast.Name(id=name), args=args):
            given = [_worked(arg, known) for arg in args]
            if name == "round" and len(given) == 2:
                return round(given[0], int(given[1]))
            return FUNCTIONS[name](*given)
    raise BadSum(f"{type(node).__name__} is no arithmetic")


# ---- the register of traps ----

Gives = Callable[..., float | str]


@dataclass(frozen=True)
class Trap:
    """A mistake: its name, what was done, what is right, what it gives and of which numbers."""

    name: str
    done: str
    right: str
    gives: Gives
    arguments: tuple[str, ...] = ()


TRAPS: dict[str, Trap] = {}


def trap(done: str, right: str) -> Callable[[Gives], Gives]:
    """Register a function as the trap of its own name, with hyphens."""

    def register(gives: Gives) -> Gives:
        name = gives.__name__.replace("_", "-")
        if name in TRAPS:
            raise AssertionError(f"two traps are called {name}")
        TRAPS[name] = Trap(name, done, right, gives, tuple(signature(gives).parameters))
        return gives

    return register


def trap_of_sum(
    name: str, done: str, right: str, line: Sum, constants: Mapping[str, float]
) -> Trap:
    """A trap whose value is a sum; the names that are no constants are its arguments."""

    def gives(**known: float) -> float:
        return line.value({**constants, **known})

    free = tuple(text for text in line.names if text not in constants)
    return Trap(name, done, right, gives, free)


def verdict(stops: bool) -> str:
    """The verdict that a mistaken rule comes to."""
    return "stop" if stops else "clear"
