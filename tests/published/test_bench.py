"""Run charts and what a bench learns, against published and worked examples."""

from __future__ import annotations

import math
from collections.abc import Callable
from statistics import NormalDist

import pytest

from prepkit.science import control_chart
from prepkit.science.control_chart import Belief
from published.rows import Row, load

ROWS = load("bench")
FLOW = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
CONCENTRATION = (
    102.0, 94.8, 98.3, 98.4, 102.0, 98.5, 99.0, 97.7, 100.0, 98.1,
    101.3, 98.7, 101.1, 98.4, 97.0, 96.7, 100.3, 101.4, 97.2, 101.0,
)  # fmt: skip
KEPT = (0.28, 0.33, 0.36, 0.25, 0.31, 0.38, 0.26)
ARSENIC = Belief(35.0, 25.0, math.sqrt(156.25), 24.0)


def _sample(count: int, mean: float, sd: float) -> list[float]:
    """Values above 0 with exactly this mean and this sample standard deviation."""
    raw = [NormalDist().inv_cdf((i + 0.5) / count) for i in range(count)]
    scale = sd / math.sqrt(math.fsum(x * x for x in raw) / (count - 1))
    return [mean + scale * x for x in raw]


HITS = (18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7)  # of 45 trials
ERROR = (0.265 * (1 - 0.265) / 45) ** 0.5
BATTING = control_chart.together([one / 45 for one in HITS], [ERROR] * len(HITS)) or (
    control_chart.Together(0.0, 0.0)
)
READ = control_chart.learnt(ARSENIC, _sample(28, 55.5239, 23.254))
SEVEN = control_chart.learnt(control_chart.share_prior(0.20, 0.60), KEPT)
BALANCE = control_chart.instrument_bias([10.5] * 5, 0.2, 2.0, prior_mean=10.0)


def _charts(id_: str, values: tuple[float, ...]) -> dict[str, Callable[[], float]]:
    return {
        f"{id_}a": lambda: control_chart.individuals_limits(values).centre,
        f"{id_}b": lambda: control_chart.individuals_limits(values).lower,
        f"{id_}c": lambda: control_chart.individuals_limits(values).upper,
        f"{id_}d": lambda: float(len(control_chart.rule_breaks(values))),
    }


CHECKS: dict[str, Callable[[], float]] = {
    **_charts("FRM-33", FLOW),
    **_charts("chart-20", CONCENTRATION),
    "FRM-39a": lambda: READ.mean,
    "FRM-39b": lambda: READ.weight,
    "FRM-39c": lambda: READ.scatter**2,
    "FRM-39d": lambda: READ.degrees,
    "FRM-40a": lambda: control_chart.mean_interval(READ).low,
    "FRM-40b": lambda: control_chart.mean_interval(READ).high,
    "FRM-41a": lambda: control_chart.next_interval(ARSENIC).low,
    "FRM-41b": lambda: control_chart.next_interval(ARSENIC).high,
    "FRM-42a": lambda: BALANCE.mean,
    "FRM-42b": lambda: BALANCE.sd,
    "FRM-43a": lambda: 100 * control_chart.next_interval(SEVEN).middle,
    "FRM-43b": lambda: SEVEN.weight,
    "FRM-43c": lambda: 100 * SEVEN.scatter,
    "FRM-43d": lambda: 100 * control_chart.next_interval(SEVEN).low,
    "FRM-43e": lambda: 100 * control_chart.next_interval(SEVEN).high,
    "FRM-43f": lambda: 100 * control_chart.mean_interval(SEVEN).low,
    "FRM-43g": lambda: 100 * control_chart.mean_interval(SEVEN).high,
    "FRM-46a": lambda: BATTING.kept(ERROR),
    "FRM-46b": lambda: BATTING.mean + BATTING.kept(ERROR) * (max(HITS) / 45 - BATTING.mean),
    "FRM-44a": lambda: 100 * control_chart.next_upper(SEVEN),
    "FRM-44b": lambda: 1695.0 / (1.0 - control_chart.next_upper(SEVEN)),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_row(row: Row) -> None:
    assert CHECKS[row.id]() == pytest.approx(row.value, abs=row.tolerance + 1e-9)


def test_every_row_is_checked() -> None:
    assert {row.id for row in ROWS} == set(CHECKS)
