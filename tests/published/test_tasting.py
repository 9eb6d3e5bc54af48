"""Blind tastings against the published tables of the standards and worked examples."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import permutations, product

import pytest
from science import beside

from prepkit.science import tasting
from prepkit.science.tasting import PAIR, TRIANGLE
from published.rows import Row, load

ROWS = load("tasting")
CHANCE = {"triangle": TRIANGLE, "three": TRIANGLE, "duo-trio": PAIR, "pair": PAIR}
# FRM-26: ten tasters' scores of three samples
SCORES = ["343", "224", "335", "132", "232", "245", "124", "344", "245", "134"]
RANKINGS = [tasting.mid_ranks([float(digit) for digit in score]) for score in SCORES]


def _size(share: float, chance: float) -> tasting.PanelSize:
    found = tasting.panel_size(0.8, chance + share * (1.0 - chance), chance, 0.05)
    assert found is not None
    return found


def _similarity_power() -> float:
    limit = tasting.most_correct_for_similarity(100, TRIANGLE, 0.2, 0.05)
    assert limit is not None
    return tasting.similarity_p_value(limit, 100, TRIANGLE, 0.1)


# rankings of eight tasters, five samples, that add up to the rank sums of FRM-24
EIGHT = ("14532", "14532", "15342", "34512", "25341", "23541", "24513", "52134")


def _page_without_ties() -> float:
    """FRM-26 takes its chance as if nobody had tied: L rounded down, ten rankings that reach it."""
    plain = [(1.0, 2.0, 3.0)] * 7 + [(2.0, 3.0, 1.0)] * 2 + [(1.0, 3.0, 2.0)]
    found = tasting.page(plain)
    assert found.statistic == math.floor(tasting.page(RANKINGS).statistic)
    return found.p_value


CHECKS: dict[str, Callable[[], float | None]] = {
    "FRM-01": lambda: tasting.chance_p_value(7, 12, TRIANGLE),
    "FRM-02a": lambda: tasting.chance_p_value(10, 18, TRIANGLE),
    "FRM-02b": lambda: tasting.chance_p_value(11, 18, TRIANGLE),
    "FRM-03": lambda: tasting.power(18, 0.375, TRIANGLE, 0.05),
    "FRM-04a": lambda: _size(0.375, TRIANGLE).first,
    "FRM-04b": lambda: _size(0.375, TRIANGLE).stable,
    "FRM-05a": lambda: tasting.discriminators(7, 12, TRIANGLE).share,
    "FRM-05b": lambda: tasting.discriminators(7, 12, TRIANGLE).high,
    "FRM-06a": lambda: tasting.discriminators(20, 36, TRIANGLE).share,
    "FRM-06b": lambda: tasting.discriminators(20, 36, TRIANGLE).low,
    "FRM-06c": lambda: tasting.discriminators(20, 36, TRIANGLE).high,
    "FRM-07a": lambda: tasting.chance_p_value(10, 15, TRIANGLE),
    "FRM-07b": lambda: tasting.d_prime("triangle", 10 / 15),
    "FRM-08a": lambda: tasting.chance_p_value(15, 30, TRIANGLE),
    "FRM-08b": lambda: tasting.d_prime("triangle", 15 / 30),
    "FRM-09a": lambda: tasting.chance_p_value(14, 20, PAIR),
    "FRM-09b": lambda: tasting.d_prime("duo-trio", 14 / 20),
    "FRM-10a": lambda: tasting.chance_p_value(20, 30, PAIR),
    "FRM-10b": lambda: tasting.d_prime("pair", 20 / 30),
    "FRM-15": lambda: tasting.similarity_p_value(20, 75, TRIANGLE, 0.2),
    "FRM-19a": lambda: _size(0.5, PAIR).first,
    "FRM-19b": lambda: _size(0.5, PAIR).stable,
    "FRM-20": _similarity_power,
    "FRM-24a": lambda: tasting.friedman([17, 31, 32, 23, 17], 8),
    "FRM-24b": lambda: beside.least_significant_difference(8, 5),
    "FRM-25": lambda: tasting.ranked([tuple(map(float, order)) for order in EIGHT]).p_value,
    "FRM-26a": lambda: tasting.ranked(RANKINGS).statistic,
    "FRM-26b": lambda: tasting.page(RANKINGS).statistic,
    "FRM-26c": _page_without_ties,
}


def by_conditions(row: Row) -> float | None:
    """The rows that stand in tables: what their conditions say, computed."""
    words = row.conditions.split()
    if row.id.startswith("critical-"):
        return tasting.least_correct(int(words[2]), CHANCE[words[0]], float(words[4]) / 100)
    if row.quantity == "right share":
        return tasting.right_share(words[0], float(words[3]))
    if row.quantity == "d prime":
        return tasting.d_prime(words[0], float(words[3]))
    if row.quantity == "first n 80 % 5 %":
        chance = CHANCE[words[0]]
        share = tasting.right_share(words[0], float(words[3]))
        found = tasting.panel_size(0.8, share, chance, 0.05)
        return found and found.first
    if row.quantity.startswith("most right answers"):
        return tasting.most_correct_for_similarity(
            int(words[2]), CHANCE[words[0]], float(words[7]), float(words[4]) / 100
        )
    if row.quantity.startswith("all pairs"):
        return tasting.all_pairs_difference(int(words[0]), int(words[2]))
    assert row.quantity.startswith("critical Friedman statistic")
    return _critical(int(words[0]), int(words[2]), float(row.quantity.split()[3]) / 100)


def _critical(samples: int, tasters: int, alpha: float) -> float:
    """Least statistic whose exact chance is at most alpha, over all sums that can come up."""
    ranks = tuple(float(one) for one in range(1, samples + 1))
    orders = list(permutations(ranks))
    found = math.inf
    seen: set[tuple[float, ...]] = set()
    level: dict[tuple[float, ...], list[tuple[float, ...]]] = {ranks: [ranks]}
    for _ in range(tasters - 1):
        after: dict[tuple[float, ...], list[tuple[float, ...]]] = {}
        for sums, chosen in level.items():
            for order in orders:
                key = tuple(sorted(a + b for a, b in zip(sums, order, strict=True)))
                after.setdefault(key, [*chosen, order])
        level = after
    for sums in level:
        statistic = tasting.friedman(sums, tasters)
        if statistic < found and sums not in seen:
            seen.add(sums)
            if _exact(samples, tasters, statistic) <= alpha:
                found = statistic
    return found


CHANCES: dict[tuple[int, int], list[tuple[float, float]]] = {}


def _exact(samples: int, tasters: int, statistic: float) -> float:
    """Chance of the statistic or more, by adding up plain rank sums: no code of the project."""
    if (samples, tasters) not in CHANCES:
        counts: dict[tuple[int, ...], int] = {(0,) * samples: 1}
        for _ in range(tasters):
            after: dict[tuple[int, ...], int] = {}
            for (sums, count), order in product(
                counts.items(), permutations(range(1, samples + 1))
            ):
                key = tuple(sorted(a + b for a, b in zip(sums, order, strict=True)))
                after[key] = after.get(key, 0) + count
            counts = after
        whole = math.factorial(samples) ** tasters
        CHANCES[samples, tasters] = [
            (tasting.friedman(sums, tasters), count / whole) for sums, count in counts.items()
        ]
    return math.fsum(p for at, p in CHANCES[samples, tasters] if at >= statistic - 1e-9)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published_value(row: Row) -> None:
    found = CHECKS[row.id]() if row.id in CHECKS else by_conditions(row)
    assert found == pytest.approx(row.value, rel=0, abs=row.tolerance + 1e-9)


def test_every_check_has_its_row() -> None:
    assert set(CHECKS) <= {row.id for row in ROWS}


def test_williams_squares_are_the_published_ones() -> None:
    # FRM-30, FRM-31: rows as quoted
    assert ["".join(map(str, row)) for row in tasting.williams_square(4)] == (
        ["1243", "2314", "3421", "4132"]
    )
    odd = ["12534", "23145", "34251", "45312", "51423"]
    assert ["".join(map(str, row)) for row in tasting.williams_square(5)] == (
        odd + [row[::-1] for row in odd]
    )
