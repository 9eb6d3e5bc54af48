"""What a mistake gives: arithmetic as a topic file writes it, and the register of traps.

A trap is a small pure function of numbers of the question or of the answer, with its name and its
words. Traps written in Python are registered here; those of a topic file are sums in its words.
"""

from __future__ import annotations

import ast
import math
import operator
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from inspect import signature

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
        node.args = [self.visit(one) for one in node.args]
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
            for one in args:
                _check(one, text, names)
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
            given = [_worked(one, known) for one in args]
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

    free = tuple(one for one in line.names if one not in constants)
    return Trap(name, done, right, gives, free)


def verdict(stops: bool) -> str:
    """The verdict that a mistaken rule comes to."""
    return "stop" if stops else "clear"
