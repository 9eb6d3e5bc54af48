"""Blind tastings by right answers: exact chances, power, panels, the share who can tell."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache
from statistics import NormalDist
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.ranking import MOST_TASTERS, friedman, simpson, williams_square
from prepkit.science.roots import bracketed

#: Chance of a right answer by guessing.
TRIANGLE = 1.0 / 3.0
PAIR = 0.5
D_PRIME_HIGH = 10.0
_NORMAL = NormalDist()

__all__ = [
    "PAIR", "TRIANGLE", "chance_p_value", "d_prime", "discriminators", "friedman",
    "least_correct", "most_correct_for_similarity", "panel_size", "power", "right_share",
    "similarity_p_value", "two_sided_p_value", "williams_square",
]  # fmt: skip


def chance_p_value(correct: int, tasters: int, chance: float) -> float:
    """Chance that guessing alone gives `correct` right answers or more among `tasters`.

    `chance` of one right guess: 1/3 in a triangle or of three, 1/2 in a duo-trio or pair.

    >>> round(chance_p_value(7, 12, TRIANGLE), 5)
    0.06645

    Raises: OutOfRange for other numbers than 1 to 1000 tasters, 0 to `tasters` right answers,
    a chance above 0 and below 1.
    Source: [ISO-4120], [ISO-10399]: the exact binomial tail (read).
    """
    _held(tasters, chance)
    require("correct", float(correct), 0.0, float(tasters), "", "chance_p_value")
    return _tail(correct, tasters, chance)


def two_sided_p_value(first: int, tasters: int) -> float:
    """Chance that guessing splits a pair as far from even as `first` of `tasters` on one side.

    >>> round(two_sided_p_value(10, 12), 4)
    0.0386

    Raises: OutOfRange as `chance_p_value`.
    Source: [ISO-5495] two-sided paired test (read).
    """
    more = max(first, tasters - first)
    return min(1.0, 2.0 * chance_p_value(more, tasters, PAIR))


@cache
def least_correct(tasters: int, chance: float, alpha: float) -> int | None:
    """Fewest right answers that guessing reaches with a chance of at most `alpha`; None if none.

    >>> least_correct(12, TRIANGLE, 0.05), least_correct(3, PAIR, 0.05)
    (8, None)

    Raises: OutOfRange as `chance_p_value`, or for `alpha` not above 0 and below 1.
    Source: [FAO-V7180E] and [ISO-10399] tables, recomputed (read).
    """
    _held(tasters, chance)
    _share("alpha", alpha)
    found, total = None, 0.0
    for below, one in enumerate(_chances(0, tasters, chance)):
        total += one
        if total > alpha * (1.0 + 1e-12):
            break
        found = tasters - below
    return found


def power(tasters: int, share_of_discriminators: float, chance: float, alpha: float) -> float:
    """Chance that a panel finds the difference when this share of people can truly tell it.

    >>> round(power(18, 0.375, TRIANGLE, 0.05), 4)
    0.6868

    Raises: OutOfRange as `least_correct`, or for a share outside 0 to 1.
    Source: [ISO-4120] right answers = chance + share (1 - chance) (read).
    """
    require("share_of_discriminators", share_of_discriminators, 0.0, 1.0, "", "power")
    needed = least_correct(tasters, chance, alpha)
    if needed is None:
        return 0.0
    return _tail(needed, tasters, chance + share_of_discriminators * (1.0 - chance))


class PanelSize(NamedTuple):
    """The first number of tasters that reaches a power, and the one from which all do."""

    first: int
    stable: int


def panel_size(wanted: float, right_share: float, chance: float, alpha: float) -> PanelSize | None:
    """Tasters who find, with a power of `wanted`, that `right_share` of answers are right.

    None where 1000 are not enough. The power is a sawtooth in the number of tasters: plan on
    `stable`.

    >>> panel_size(0.8, TRIANGLE + 0.375 * (1 - TRIANGLE), TRIANGLE, 0.05)
    PanelSize(first=25, stable=29)

    Raises: OutOfRange for shares not above 0 and below 1, or `right_share` not above `chance`.
    Source: [SENSR] (read).
    """
    for name, value in (("wanted", wanted), ("alpha", alpha), ("chance", chance)):
        _share(name, value)
    require("right_share", right_share, math.nextafter(chance, 2.0), 1.0, "", "panel_size")
    reached = first = None
    tasters = 0
    while tasters < MOST_TASTERS:
        tasters += 1
        needed = least_correct(tasters, chance, alpha)
        found = 0.0 if needed is None else _tail(needed, tasters, right_share)
        if found < wanted:
            reached = None
        elif reached is None:
            reached = tasters
            first = first or tasters
        if first and reached and tasters >= 2 * reached + 20:
            break
    return PanelSize(first, reached) if first and reached else None


class Discriminators(NamedTuple):
    """The share of people who can tell a difference, with its exact interval."""

    share: float
    low: float
    high: float


def discriminators(
    correct: int, tasters: int, chance: float, confidence: float = 0.95
) -> Discriminators:
    """Share who can truly tell, from the right answers, with its exact interval.

    A share below zero is shown as zero.

    >>> [round(value, 4) for value in discriminators(20, 36, TRIANGLE)]
    [0.3333, 0.0715, 0.581]

    Raises: OutOfRange as `chance_p_value`, or for a confidence not above 0 and below 1.
    Source: [SENSR]: Clopper-Pearson ends, each turned into a share of people (read).
    """
    _held(tasters, chance)
    require("correct", float(correct), 0.0, float(tasters), "", "discriminators")
    _share("confidence", confidence)
    outside = 0.5 * (1.0 - confidence)
    low = 0.0
    if correct > 0:
        low = bracketed(lambda p: _tail(correct, tasters, p) - outside, 0.0, 1.0)
    high = 1.0
    if correct < tasters:
        high = bracketed(lambda p: _tail(correct + 1, tasters, p) - (1.0 - outside), 0.0, 1.0)
    return Discriminators(
        *(max(0.0, (p - chance) / (1.0 - chance)) for p in (correct / tasters, low, high))
    )


def similarity_p_value(correct: int, tasters: int, chance: float, share: float) -> float:
    """Chance of so few right answers if `share` of people could tell; small proves "alike".

    >>> round(similarity_p_value(20, 75, TRIANGLE, 0.2), 6)
    0.000306

    Raises: OutOfRange as `discriminators`, or for a share outside 0 to 1.
    Source: [SENSR] (read).
    """
    _held(tasters, chance)
    require("correct", float(correct), 0.0, float(tasters), "", "similarity_p_value")
    require("share", share, 0.0, 1.0, "", "similarity_p_value")
    return 1.0 - _tail(correct + 1, tasters, chance + share * (1.0 - chance))


def most_correct_for_similarity(
    tasters: int, chance: float, share: float, beta: float
) -> int | None:
    """Most right answers that still prove that fewer than `share` of people can tell; None if none.

    Fewer than guessing gives proves nothing, so such a number is not returned.

    >>> most_correct_for_similarity(132, PAIR, 0.3, 0.05)
    76

    Raises: OutOfRange as `similarity_p_value`, or for `beta` not above 0 and below 1.
    Source: [ISO-5495] table of similarity (read).
    """
    _share("beta", beta)
    found = None
    for right in range(tasters + 1):
        if similarity_p_value(right, tasters, chance, share) > beta:
            break
        found = right
    return found if found is not None and found >= tasters * chance else None


def right_share(method: str, d_prime: float) -> float:
    """Share of right answers where two drinks lie `d_prime` of their own scatter apart.

    `method`: triangle, duo-trio, pair, or three (the odd glass named by its taste).

    >>> round(right_share("triangle", 2.0), 5), round(right_share("duo-trio", 2.0), 5)
    (0.60481, 0.74682)

    Raises: OutOfRange for `d_prime` outside 0 to 10, BadInput for another method.
    Source: [SENSR]: equal normal scatter (read).
    """
    require("d_prime", d_prime, 0.0, D_PRIME_HIGH, "", "right_share")
    phi = _NORMAL.cdf
    if method == "pair":
        return phi(d_prime / math.sqrt(2.0))
    if method == "duo-trio":
        one, two = phi(d_prime / math.sqrt(2.0)), phi(d_prime / math.sqrt(6.0))
        return 1.0 - one - two + 2.0 * one * two
    if method == "triangle":
        shift = d_prime * math.sqrt(2.0 / 3.0)
        root = math.sqrt(3.0)
        return 2.0 * simpson(
            lambda z: (phi(shift - root * z) + phi(-shift - root * z)) * _NORMAL.pdf(z), 0.0, 8.0
        )
    if method == "three":
        return simpson(
            lambda z: _NORMAL.pdf(z - d_prime) * phi(z) ** 2, d_prime - 8.0, d_prime + 8.0
        )
    raise BadInput(f'"{method}" is no tasting; take triangle, duo-trio, pair or three.', "method")


def d_prime(method: str, share: float) -> float:
    """How far apart two drinks taste, in their own scatter, from the share of right answers.

    >>> round(d_prime("triangle", 0.7), 4)
    2.5037

    Raises: OutOfRange where the share is not between guessing and certain; BadInput as
    `right_share`.
    Source: [SENSR] (read).
    """
    low, high = right_share(method, 0.0), right_share(method, D_PRIME_HIGH)
    require("share", share, low - 1e-12, high, "", "d_prime")
    if share <= low:
        return 0.0
    return bracketed(lambda d: right_share(method, d) - share, 0.0, D_PRIME_HIGH, 1e-10)


def _held(tasters: int, chance: float) -> None:
    require("tasters", float(tasters), 1.0, float(MOST_TASTERS), "", "tasting")
    _share("chance", chance)


def _share(name: str, value: float) -> None:
    require(name, value, math.nextafter(0.0, 1.0), math.nextafter(1.0, 0.0), "", "tasting")


def _tail(least: int, tasters: int, p: float) -> float:
    """Chance of `least` or more of `tasters`, each with the chance `p`; from the shorter side."""
    if least <= 0:
        return 1.0
    if least > tasters or p <= 0.0:
        return 0.0
    if p >= 1.0:
        return 1.0
    if least > tasters * p:
        return min(1.0, math.fsum(_chances(least, tasters, p)))
    return max(0.0, 1.0 - math.fsum(_chances(tasters - least + 1, tasters, 1.0 - p)))


def _chances(least: int, tasters: int, p: float) -> Iterator[float]:
    """Chances of exactly `tasters` right answers, one fewer, and so on down to `least`."""
    log_p, log_q = math.log(p), math.log1p(-p)
    whole = math.lgamma(tasters + 1.0)
    for right in range(tasters, least - 1, -1):
        ways = whole - math.lgamma(right + 1.0) - math.lgamma(tasters - right + 1.0)
        yield math.exp(ways + right * log_p + (tasters - right) * log_q)
