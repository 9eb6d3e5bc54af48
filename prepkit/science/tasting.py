"""What people's answers say: blind tastings, panels, rankings; the questions of a class's test.

Exact chances and power of tastings. Of a test: share right, discrimination, reliability.

Rows of a class are people, columns questions, True where it was right. With few people all of it is
noise: a figure is always shown with the number of people beside it.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import permutations
from statistics import NormalDist
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science.solvers import bracketed

# ---- rankings of several glasses ----

MOST_TASTERS = 1000
MOST_SAMPLES = 9
# Exact ranking: steps of the enumeration that are still quick; beyond it chi-square is used.
MOST_STEPS = 1_500_000
_RANKING_NORMAL = NormalDist()


def mid_ranks(scores: Sequence[float]) -> tuple[float, ...]:
    """Ranks from 1 of one taster's scores, the lowest first; equal scores share their mean rank.

    >>> mid_ranks([3.0, 1.0, 3.0])
    (2.5, 1.0, 2.5)
    """
    ordered = sorted(scores)
    return tuple(ordered.index(score) + 0.5 * (ordered.count(score) + 1) for score in scores)


def friedman(rank_sums: Sequence[float], tasters: int) -> float:
    """Friedman's statistic of the rank sums of a ranking without ties.

    >>> round(friedman([17, 31, 32, 23, 17], 8), 2)
    10.6

    Raises: BadInput where the sums cannot come from `tasters` rankings; OutOfRange for fewer than
    2 or more than 9 samples.
    Source: [ISO-8587] (read, secondary).
    """
    samples = len(rank_sums)
    require("samples", float(samples), 2.0, float(MOST_SAMPLES), "", "friedman")
    require("tasters", float(tasters), 1.0, float(MOST_TASTERS), "", "friedman")
    whole = tasters * samples * (samples + 1) / 2.0
    if abs(math.fsum(rank_sums) - whole) > 1e-6:
        raise BadInput(
            f"the rank sums of {tasters} tasters and {samples} glasses add up to {whole:g}, "
            f"not to {math.fsum(rank_sums):g}.",
            "rank_sums",
        )
    squares = math.fsum(value * value for value in rank_sums)
    return 12.0 / (tasters * samples * (samples + 1)) * squares - 3.0 * tasters * (samples + 1)


class Ranking(NamedTuple):
    """A ranking of all tasters: the statistic, its chance, and whether that chance is exact."""

    statistic: float
    p_value: float
    exact: bool


def ranked(rankings: Sequence[Sequence[float]]) -> Ranking:
    """Friedman's test of the tasters' ranks (mid-ranks where they tied), with its chance.

    Exact by enumeration where that is quick, else by chi-square.

    >>> ranked([(1, 2, 3), (1, 2, 3), (1, 2, 3)])
    Ranking(statistic=6.0, p_value=0.027777777777777776, exact=True)

    Raises: BadInput for rankings of unequal length or that are none, OutOfRange as `friedman`.
    Source: [ISO-8587]; exact by permuting each taster's own ranks.
    """
    _rankings_held(rankings)
    tasters, samples = len(rankings), len(rankings[0])
    sums = [math.fsum(ranking[place] for ranking in rankings) for place in range(samples)]
    tied = math.fsum(
        count**3 - count for ranking in rankings for count in Counter(ranking).values() if count > 1
    )
    shrunk = 1.0 - tied / (tasters * samples * (samples**2 - 1))
    if shrunk <= 1e-12:
        return Ranking(0.0, 1.0, True)
    statistic = friedman(sums, tasters) / shrunk
    exact = _exact_friedman([tuple(round(2 * rank) for rank in ranks) for ranks in rankings])
    if exact is not None:
        return Ranking(statistic, exact, True)
    return Ranking(statistic, _chi_square_tail(statistic, samples - 1), False)


def all_pairs_difference(tasters: int, samples: int, confidence: float = 0.95) -> int:
    """Least difference of two rank sums with every pair compared at once.

    >>> [all_pairs_difference(8, samples) for samples in (3, 4, 5, 6)]
    [10, 14, 18, 22]

    Raises: OutOfRange as `friedman`, or for a confidence outside 0.5 to 0.999.
    Source: [RANK-DIFFERENCES-1987] table 1; from the range of normal values, rounded up (read).
    """
    require("samples", float(samples), 2.0, float(MOST_SAMPLES), "", "ranking")
    require("tasters", float(tasters), 1.0, float(MOST_TASTERS), "", "ranking")
    require("confidence", confidence, 0.5, 0.999, "", "ranking")

    def within(width: float) -> float:
        return samples * simpson(
            lambda z: (
                _RANKING_NORMAL.pdf(z)
                * (_RANKING_NORMAL.cdf(z) - _RANKING_NORMAL.cdf(z - width)) ** (samples - 1)
            ),
            -8.0,
            8.0 + width,
        )

    widest = bracketed(lambda width: within(width) - confidence, 0.1, 12.0, 1e-6)
    return math.ceil(widest * math.sqrt(tasters * samples * (samples + 1) / 12.0) - 1e-9)


class PageTest(NamedTuple):
    """Page's test of an order that was known before: L, its exact chance."""

    statistic: float
    p_value: float


def page(rankings: Sequence[Sequence[float]]) -> PageTest:
    """Page's test: do the tasters' ranks rise in the order in which the glasses stand?

    `rankings`: each taster's ranks, glasses in the expected order, mid-ranks where they tied.

    >>> page([(1, 2, 3), (1, 2, 3), (1, 2, 3)]).statistic
    42.0

    Raises: BadInput and OutOfRange as `ranked`.
    Source: [PAGE-1963]; exact by adding up each taster's own permuted ranks.
    """
    _rankings_held(rankings)
    statistic = math.fsum(
        (place + 1) * rank for ranks in rankings for place, rank in enumerate(ranks)
    )
    chances: dict[int, float] = {0: 1.0}
    for ranks in rankings:
        own = _weighted_sums(tuple(sorted(round(2 * rank) for rank in ranks)))
        after: dict[int, float] = {}
        for total, chance in chances.items():
            for add, share in own.items():
                after[total + add] = after.get(total + add, 0.0) + chance * share
        chances = after
    reached = round(2 * statistic)
    return PageTest(
        statistic, min(1.0, math.fsum(chance for at, chance in chances.items() if at >= reached))
    )


def williams_square(samples: int) -> list[tuple[int, ...]]:
    """Serving orders in which each glass stands in every place and follows each other alike.

    As many rows as samples where their number is even, twice as many where it is odd.

    >>> williams_square(4)
    [(1, 2, 4, 3), (2, 3, 1, 4), (3, 4, 2, 1), (4, 1, 3, 2)]

    Raises: OutOfRange for fewer than 2 or more than 9 samples.
    Source: Williams square, as in [WILLIAMS-1949] (read, secondary).
    """
    require("samples", float(samples), 2.0, float(MOST_SAMPLES), "", "williams_square")
    first = [0]
    for step in range(1, samples):
        first.append((step + 1) // 2 if step % 2 else samples - step // 2)
    rows = [tuple((place + turn) % samples + 1 for place in first) for turn in range(samples)]
    return rows if samples % 2 == 0 else rows + [row[::-1] for row in rows]


def simpson(function: Callable[[float], float], low: float, high: float) -> float:
    """Integral by Simpson's rule on 400 steps: to 1e-10 for the smooth bells of a tasting."""
    steps = 400
    width = (high - low) / steps
    return (
        width
        / 3.0
        * math.fsum(
            (1 if at in (0, steps) else 4 if at % 2 else 2) * function(low + at * width)
            for at in range(steps + 1)
        )
    )


def _rankings_held(rankings: Sequence[Sequence[float]]) -> None:
    if not rankings:
        raise BadInput("there is no ranking yet; enter one for each taster.", "rankings")
    samples = len(rankings[0])
    require("samples", float(samples), 2.0, float(MOST_SAMPLES), "", "ranking")
    require("tasters", float(len(rankings)), 1.0, float(MOST_TASTERS), "", "ranking")
    for at, ranks in enumerate(rankings, 1):
        if len(ranks) != samples or mid_ranks(ranks) != tuple(float(rank) for rank in ranks):
            raise BadInput(
                f"taster {at} has no ranking of {samples} glasses. Enter the ranks 1 to {samples}; "
                "equal glasses get their mean rank.",
                "rankings",
            )


def _exact_friedman(doubled: list[tuple[int, ...]]) -> float | None:
    """Chance of rank sums at least as uneven, each taster's ranks permuted; None where too long."""
    samples = len(doubled[0])
    middle = len(doubled) * (samples + 1)
    wanted = math.fsum(
        (math.fsum(entry[place] for entry in doubled) - middle) ** 2 for place in range(samples)
    )
    if math.factorial(samples) > MOST_STEPS // 100:
        return None
    whole = math.factorial(samples)
    chances: dict[tuple[int, ...], float] = {(0,) * samples: 1.0}
    steps = 0
    for ranks in doubled[:-1]:
        ways = Counter(permutations(ranks))
        steps += len(ways) * len(chances)
        if steps > MOST_STEPS:
            return None
        after: dict[tuple[int, ...], float] = {}
        for sums, chance in chances.items():
            for way, count in ways.items():
                # only which sums there are matters, not whose: every order is as likely
                key = tuple(sorted(map(int.__add__, sums, way)))
                after[key] = after.get(key, 0.0) + chance * count / whole
        chances = after
    last = Counter(permutations(doubled[-1]))
    if steps + len(last) * len(chances) > MOST_STEPS:
        return None
    return min(
        1.0,
        math.fsum(
            chance * count / whole
            for sums, chance in chances.items()
            for way, count in last.items()
            if math.fsum(
                (number + add - middle) ** 2 for number, add in zip(sums, way, strict=True)
            )
            >= wanted
        ),
    )


def _uneven(sums: Iterable[float], middle: float) -> float:
    """Sum of the squares by which rank sums differ from their middle."""
    return math.fsum((value - middle) ** 2 for value in sums)


@cache
def _weighted_sums(doubled: tuple[int, ...]) -> dict[int, float]:
    """Chances of sum(place x rank) over all orders of one taster's ranks."""
    samples = len(doubled)
    ways: dict[int, dict[int, int]] = {0: {0: 1}}
    for place in range(1, samples + 1):
        after: dict[int, dict[int, int]] = {}
        for used, sums in ways.items():
            for at, rank in enumerate(doubled):
                if used >> at & 1:
                    continue
                into = after.setdefault(used | 1 << at, {})
                for total, count in sums.items():
                    into[total + place * rank] = into.get(total + place * rank, 0) + count
        ways = after
    whole = math.factorial(samples)
    return {total: count / whole for total, count in ways[(1 << samples) - 1].items()}


def _chi_square_tail(value: float, freedom: int) -> float:
    """Upper tail of chi-square for a whole number of degrees of freedom, by its finite sum."""
    if value <= 0.0:
        return 1.0
    half = 0.5 * value
    if freedom % 2 == 0:
        return math.exp(-half) * math.fsum(
            half**index / math.factorial(index) for index in range(freedom // 2)
        )
    return math.erfc(math.sqrt(half)) + math.exp(-half) * math.fsum(
        half ** (index + 0.5) / math.gamma(index + 1.5) for index in range((freedom - 1) // 2)
    )


# ---- blind tastings by right answers ----

#: Chance of a right answer by guessing.
TRIANGLE = 1.0 / 3.0
PAIR = 0.5
D_PRIME_HIGH = 10.0
_NORMAL = NormalDist()


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
    for below, value in enumerate(_chances(0, tasters, chance)):
        total += value
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


# ---- what a class's answers say of the questions ----

Rows = Sequence[Sequence[bool]]


def _checked(rows: Rows) -> tuple[int, int]:
    people = len(rows)
    if people < 2:
        raise BadInput(f"{people} papers cannot be compared; it takes two.", "rows")
    items = len(rows[0])
    if not items or any(len(row) != items for row in rows):
        raise BadInput("every paper must have the same questions, and one at least.", "rows")
    return people, items


def totals(rows: Rows) -> tuple[int, ...]:
    """How many each person has right.

    >>> totals([[True, False], [True, True]])
    (1, 2)

    Raises: BadInput for fewer than two papers, or papers of unlike length. Source: [DEFINITION].
    """
    _checked(rows)
    return tuple(list(row).count(True) for row in rows)


def share_right(rows: Rows) -> tuple[float, ...]:
    """Share (0-1) of the people who have each question right: its difficulty.

    >>> share_right([[True, False], [True, True]])
    (1.0, 0.5)

    Raises: BadInput as `totals`. Source: [DEFINITION].
    """
    people, items = _checked(rows)
    return tuple(sum(row[item] is True for row in rows) / people for item in range(items))


def discrimination(rows: Rows, without_itself: bool = True) -> tuple[float | None, ...]:
    """Correlation (-1 to 1) of each question with the total: whether the able have it right.

    without_itself: with the total of the other questions. None where all have it right or wrong,
    or where the totals do not differ.

    >>> [round(r, 3) for r in discrimination([[True, True], [True, True], [False, False]])]
    [1.0, 1.0]

    Raises: BadInput as `totals`. Source: [DEFINITION], point-biserial correlation.
    """
    people, items = _checked(rows)
    if len(set(totals(rows))) == 1:  # nobody is abler: without the question they would seem to be
        return (None,) * items
    found: list[float | None] = []
    for item in range(items):
        scores = [list(row).count(True) - (row[item] if without_itself else 0) for row in rows]
        right = [score for score, row in zip(scores, rows, strict=True) if row[item]]
        wrong = [score for score, row in zip(scores, rows, strict=True) if not row[item]]
        mean = math.fsum(scores) / people
        spread = math.sqrt(math.fsum((score - mean) ** 2 for score in scores) / people)
        if not right or not wrong or spread == 0.0:
            found.append(None)
            continue
        apart = math.fsum(right) / len(right) - math.fsum(wrong) / len(wrong)
        share = len(right) / people
        found.append(apart / spread * math.sqrt(share * (1.0 - share)))
    return tuple(found)


def _moments(rows: Rows) -> tuple[float, float]:
    scores = totals(rows)
    mean = math.fsum(scores) / len(scores)
    return mean, math.fsum((score - mean) ** 2 for score in scores) / len(scores)


def kuder_richardson_20(rows: Rows) -> float | None:
    """Reliability of the total (1 at best), from each question's difficulty.

    None for one question, or where the totals do not differ. With the variance of the population.

    >>> round(kuder_richardson_20([[True, True], [False, False]]), 3)
    1.0

    Raises: BadInput as `totals`. Source: [DEFINITION], formula 20 of Kuder and Richardson.
    """
    _, items = _checked(rows)
    _, variance = _moments(rows)
    if items < 2 or variance == 0.0:
        return None
    within = math.fsum(share * (1.0 - share) for share in share_right(rows))
    return items / (items - 1) * (1.0 - within / variance)


def standard_error(rows: Rows) -> float | None:
    """Standard error of one person's total, in questions; None where there is no reliability.

    >>> standard_error([[True, True], [False, False]])
    0.0

    Raises: BadInput as `totals`. Source: [DEFINITION].
    """
    reliability = kuder_richardson_20(rows)
    if reliability is None:
        return None
    return math.sqrt(_moments(rows)[1] * max(0.0, 1.0 - reliability))
