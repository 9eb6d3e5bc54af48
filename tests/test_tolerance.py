"""The +/- of an answer: linear shares in quadrature, against sampling of the same inputs."""

from __future__ import annotations

import random
import statistics

import pytest

from prepkit import run

PARTS = ["400 g ± 4 g white sugar", "600 g ± 9 g water"]


def test_no_tolerance_given_none_shown() -> None:
    answer = run("blend", {"part": ["400 g white sugar", "600 g water"]})
    assert answer.values["mass"].plus_minus is None


def test_shares_add_in_quadrature() -> None:
    mass = run("blend", {"part": PARTS}).values["mass"]
    assert mass.value == pytest.approx(1000.0)
    assert mass.plus_minus == pytest.approx((4**2 + 9**2) ** 0.5, rel=1e-6)


def test_linear_spread_meets_sampling() -> None:
    """Monte Carlo with normal errors and a fixed seed: the linear +/- is within 15 % of it."""
    random.seed(20261125)
    sampled = [
        run(
            "blend",
            {"part": [f"{random.gauss(400, 4)} g white sugar", f"{random.gauss(600, 9)} g water"]},
        )
        .values["dissolved_solids"]
        .value
        for _ in range(400)
    ]
    stated = run("blend", {"part": PARTS}).values["dissolved_solids"].plus_minus
    assert stated is not None
    assert stated == pytest.approx(statistics.stdev(sampled), rel=0.15)


def test_the_models_own_error_is_in_it() -> None:
    reading = run("blend", {"part": ["400 g white sugar", "600 g water"]}).values["refractometer"]
    assert reading.plus_minus is not None
    assert reading.plus_minus >= 0.05
