"""The linear programme against a library's solver, published examples, and what must hold."""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
import pytest
from scipy.optimize import linprog

from prepkit.errors import BadInput
from prepkit.science.solvers import INFINITE, Constraint, conflict, extremes, minimised

Problem = tuple[list[float], list[Constraint], list[tuple[float, float]]]


def drawn(seed: int, most: int = 12) -> Problem:
    """A random programme; about a third cannot be met."""
    rng = random.Random(seed)
    count, height = rng.randint(1, most), rng.randint(1, 8)
    bounds = []
    for _ in range(count):
        low = rng.choice([0.0, 0.0, rng.uniform(-2.0, 5.0)])
        bounds.append((low, low + rng.choice([0.0, rng.uniform(0.1, 10.0), 1000.0])))
    inside = [rng.uniform(low, high) for low, high in bounds]
    rows = []
    for _ in range(height):
        line = tuple(rng.choice([0.0, 1.0, rng.uniform(-3.0, 3.0)]) for _ in range(count))
        middle = sum(a * b for a, b in zip(line, inside, strict=True)) + rng.choice(
            [0.0, 0.0, rng.uniform(-9.0, 9.0)]
        )
        width = rng.choice([0.0, rng.uniform(0.0, 2.0)])
        low, high = rng.choice(
            [(middle - width, middle + width), (middle, INFINITE), (-INFINITE, middle)]
        )
        rows.append(Constraint(line, low, high))
    return [rng.uniform(-5.0, 5.0) for _ in range(count)], rows, bounds


def by_library(
    cost: Sequence[float], rows: Sequence[Constraint], bounds: Sequence[tuple[float, float]]
):  # type: ignore[no-untyped-def]  # the library's own type
    upper = [row.coefficients for row in rows if row.high < INFINITE]
    upper += [tuple(-one for one in row.coefficients) for row in rows if row.low > -INFINITE]
    limit = [row.high for row in rows if row.high < INFINITE]
    limit += [-row.low for row in rows if row.low > -INFINITE]
    return linprog(cost, A_ub=np.array(upper), b_ub=np.array(limit), bounds=bounds, method="highs")


def test_five_hundred_random_programmes_are_as_the_library_has_them() -> None:
    unmet = 0
    for seed in range(500):
        cost, rows, bounds = drawn(seed)
        wanted = by_library(cost, rows, bounds)
        found = minimised(cost, rows, bounds)
        assert found.feasible is (wanted.status == 0), seed
        unmet += not found.feasible
        for value, (low, high) in zip(found.unknowns, bounds, strict=True):
            assert low - 1e-9 <= value <= high + 1e-9
        if not found.feasible:
            continue
        assert found.cost == pytest.approx(wanted.fun, rel=1e-6, abs=1e-6), seed
        for row in rows:
            held = sum(a * b for a, b in zip(row.coefficients, found.unknowns, strict=True))
            assert row.low - 1e-6 <= held <= row.high + 1e-6
    assert 60 < unmet < 300


def test_what_cannot_be_met_is_met_as_nearly_as_the_library_does() -> None:
    checked = 0
    for seed in range(300):
        cost, rows, bounds = drawn(seed, 6)
        found = minimised(cost, rows, bounds)
        if found.feasible:
            continue
        # one unknown more for each side of each row takes what is missing
        count, height = len(cost), len(rows)
        elastic = [
            Constraint((*row.coefficients, *(float(k == at) - float(k == at + height)
                                      for k in range(2 * height))), row.low, row.high)
            for at, row in enumerate(rows)
        ]  # fmt: skip
        wanted = by_library(
            [0.0] * count + [1.0] * (2 * height), elastic, [*bounds, *[(0.0, 1e6)] * (2 * height)]
        )
        assert sum(found.missing) == pytest.approx(wanted.fun, rel=1e-6, abs=1e-6), seed
        checked += 1
    assert checked > 40


def test_every_row_of_a_conflict_is_needed_for_it() -> None:
    checked = 0
    for seed in range(300):
        cost, rows, bounds = drawn(seed, 6)
        found = conflict(rows, bounds)
        if not found:
            continue
        chosen = [rows[one] for one in found]
        assert by_library([0.0] * len(cost), chosen, bounds).status == 2
        for at in range(len(chosen)):
            left = chosen[:at] + chosen[at + 1 :]
            assert not left or by_library([0.0] * len(cost), left, bounds).status == 0
        checked += 1
    assert checked > 40


def test_published_blends() -> None:
    # FRM-D1, FRM-D2: soda and juice; prices of vitamin C, sugar, bottle
    soda = [Constraint((1.0, 3.0), 20.0, INFINITE), Constraint((0.5, 0.25), -INFINITE, 4.0),
            Constraint((1.0, 1.0), 10.0, 10.0)]  # fmt: skip
    found = minimised([2.0, 3.0], soda, [(0.0, 10.0)] * 2)
    assert found.unknowns == pytest.approx((5.0, 5.0))
    assert found.cost == pytest.approx(25.0)
    assert found.prices == pytest.approx((0.5, 0.0, 1.5))
    # FRM-D3: orange and grapefruit
    fruit = [Constraint((60.0, 120.0), 1200.0, INFINITE), Constraint((16.0, 12.0), 200.0, INFINITE)]
    found = minimised([14.0, 11.0], fruit, [(0.0, 100.0)] * 2)
    assert found.unknowns == pytest.approx((8.0, 6.0))
    assert found.cost == pytest.approx(178.0)
    assert found.prices == pytest.approx((1 / 150, 0.85))
    # FRM-D8: spirit, juice, syrup, water in 100 g; two conflict sets, sugar in neither
    whole = Constraint((1.0, 1.0, 1.0, 1.0), 100.0, 100.0)
    ethanol = Constraint((0.3331, 0.0, 0.0, 0.0), 20.0, INFINITE)
    juice = Constraint((0.0, 1.0, 0.0, 0.0), 50.0, INFINITE)
    sugar = Constraint((0.0, 0.1, 2 / 3, 0.0), 8.0, 12.0)
    acid = Constraint((0.0, 0.006, 0.0, 0.0), 0.3, INFINITE)
    bounds = [(0.0, 100.0)] * 4
    assert conflict([sugar, acid, juice, ethanol, whole], bounds) == (2, 3, 4)
    assert conflict([sugar, juice, acid, ethanol, whole], bounds) == (2, 3, 4)


def test_what_does_not_fit_together_is_refused() -> None:
    for rows, bounds in (
        ([Constraint((1.0, 2.0), 0.0, 1.0)], [(0.0, 1.0)]),
        ([Constraint((1.0,), 2.0, 1.0)], [(0.0, 1.0)]),
        ([Constraint((1.0,), 0.0, 1.0)], [(1.0, 0.0)]),
        ([Constraint((1.0,), 0.0, 1.0)], [(0.0, INFINITE)]),
        ([Constraint((1.0,), 0.0, 1.0)], [(float("nan"), 1.0)]),
    ):
        with pytest.raises(BadInput):
            minimised([1.0], rows, bounds)


def test_least_and_most_of_each_unknown_are_as_one_by_one() -> None:
    for seed in range(60):
        _, rows, bounds = drawn(seed)
        nothing = [0.0] * len(bounds)
        found = extremes(rows, bounds)
        if not minimised(nothing, rows, bounds).feasible:
            assert found == []
            continue
        for at, pair in enumerate(found):
            for way, one in zip((1.0, -1.0), pair, strict=True):
                cost = [*nothing]
                cost[at] = way
                alone = minimised(cost, rows, bounds)
                assert one.cost == pytest.approx(alone.cost, abs=1e-6), seed
                for row in rows:
                    whole = sum(a * b for a, b in zip(row.coefficients, one.unknowns, strict=True))
                    assert row.low - 1e-6 <= whole <= row.high + 1e-6
