"""Probabilities and quantiles of the normal distribution and of Student's t, without a library."""

from __future__ import annotations

import math
from functools import lru_cache

from prepkit.errors import require
from prepkit.science.roots import bracketed

LEAST_PROBABILITY = 1e-12
MOST_DEGREES = 1e6
_TERMS = 500  # of the continued fraction; about 30 are needed
_SMALL = 1e-300
_CLOSE = 1e-16
_STEP = 0.5  # of log t, in the search of a quantile


def normal_probability(z: float) -> float:
    """Probability that a standard normal value is at most `z`.

    Error: rounding, relative 1e-15 also far out on the low side.

    >>> round(normal_probability(1.96), 4)
    0.975

    Raises: OutOfRange for what is no finite number. Source: [DEFINITION], by the error function.
    """
    require("z", z, None, None, "")
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


@lru_cache(maxsize=4096)
def normal_quantile(probability: float) -> float:
    """The value that a standard normal value stays at or below with this probability.

    probability: 1e-12 to 1 - 1e-12. Error: 1e-10.

    >>> round(normal_quantile(0.975), 5)
    1.95996

    Raises: OutOfRange. Source: [DEFINITION], the probability turned round.
    """
    _require_probability(probability)
    low = min(probability, 1.0 - probability)
    z = bracketed(lambda at: normal_probability(at) - low, -8.0, 0.0, 1e-13)
    return z if probability < 0.5 else -z


def t_probability(t: float, degrees: float) -> float:
    """Probability that Student's t is at most `t`.

    degrees: degrees of freedom, from 1 to 1e6, not necessarily whole. Error: relative 1e-8.

    >>> round(t_probability(2.228139, 10.0), 6)
    0.975

    Raises: OutOfRange. Source: [DEFINITION], by the incomplete beta function.
    """
    require("t", t, None, None, "")
    require("degrees", degrees, 1.0, MOST_DEGREES, "")
    if abs(t) < 1.0:  # from the middle: the tail's argument is too near 1 to tell small t apart
        middle = 0.5 * incomplete_beta(0.5, 0.5 * degrees, t * t / (degrees + t * t))
        return 0.5 - middle if t < 0.0 else 0.5 + middle
    tail = 0.5 * incomplete_beta(0.5 * degrees, 0.5, degrees / (degrees + t * t))
    return tail if t < 0.0 else 1.0 - tail


@lru_cache(maxsize=4096)
def t_quantile(probability: float, degrees: float) -> float:
    """The value that Student's t stays at or below with this probability.

    probability: 1e-12 to 1 - 1e-12. degrees: from 1 to 1e6. Error: relative 2e-8.

    >>> round(t_quantile(0.975, 10.0), 6), round(t_quantile(0.975, 1.0), 3)
    (2.228139, 12.706)

    Raises: OutOfRange. Source: [DEFINITION], the probability turned round.
    """
    _require_probability(probability)
    require("degrees", degrees, 1.0, MOST_DEGREES, "")
    low = min(probability, 1.0 - probability)
    if 0.5 - low < 1e-12:
        return 0.0

    def gap(log_t: float) -> float:
        return math.log(t_probability(-math.exp(log_t), degrees) / low)

    near = math.log(-normal_quantile(low))  # t lies beyond it
    far = near + _STEP
    while gap(far) > 0.0:
        far += _STEP
    t = math.exp(bracketed(gap, near - _STEP, far, 1e-13))
    return -t if probability < 0.5 else t


def incomplete_beta(a: float, b: float, x: float) -> float:
    """The regularised incomplete beta function I_x(a, b).

    a and b above 0; x from 0 to 1. Error: 1e-13 for a and b up to 1e6.

    >>> round(incomplete_beta(2.0, 3.0, 0.4), 6)
    0.5248

    Raises: OutOfRange. Source: [DEFINITION], its continued fraction.
    """
    require("a", a, _SMALL, None, "")
    require("b", b, _SMALL, None, "")
    require("x", x, 0.0, 1.0, "")
    if x in (0.0, 1.0):
        return x
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _fraction(a, b, x) / a
    return 1.0 - front * _fraction(b, a, 1.0 - x) / b


def _fraction(a: float, b: float, x: float) -> float:
    """The continued fraction of the incomplete beta function, from its front (Lentz)."""
    c, d = 1.0, 1.0 / _away(1.0 - (a + b) * x / (a + 1.0))
    value, step, term = d, 2.0, 0
    while abs(step - 1.0) > _CLOSE and term < _TERMS:
        term += 1
        for times in (
            term * (b - term) * x / ((a + 2 * term - 1.0) * (a + 2 * term)),
            -(a + term) * (a + b + term) * x / ((a + 2 * term) * (a + 2 * term + 1.0)),
        ):
            d = 1.0 / _away(1.0 + times * d)
            c = _away(1.0 + times / c)
            step = c * d
            value *= step
    return value


def _away(value: float) -> float:
    """A divisor that is not 0."""
    return value if abs(value) > _SMALL else _SMALL


def _require_probability(probability: float) -> None:
    require("probability", probability, LEAST_PROBABILITY, 1.0 - LEAST_PROBABILITY, "")
