"""What runs in time, against scipy's integration of the differential equation itself."""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random
from typing import Any

import pytest
from deep import count, seeded
from science import beside

from prepkit.science import heat, infusion, room_air, sucrose
from prepkit.science.room_air import Release

integrate = pytest.importorskip("scipy.integrate")
optimize = pytest.importorskip("scipy.optimize")
HOUR = 3600.0


def _curve(
    room: float, changes: float, rate: float, until: float, supply: float
) -> Callable[[float], float]:
    """V dC/dt = leak - N V (C - supply), from the supply's own level, the leak until a time."""

    def solved(leak: float, span: tuple[float, float], start: float) -> Any:
        return integrate.solve_ivp(
            lambda _, c: [leak / room - changes / HOUR * (c[0] - supply)], span, [start],
            rtol=1e-10, atol=1e-13, dense_output=True,
        )  # fmt: skip

    first = solved(rate, (0.0, until), supply)
    after = solved(0.0, (until, until + 40 * HOUR), float(first.y[0][-1]))
    return lambda t: float((first if t <= until else after).sol(t)[0])


def test_a_leak_its_mean_and_the_times_of_a_limit() -> None:
    rng = seeded(11)
    for _ in range(count(25)):
        _one_leak(rng)


def _one_leak(rng: Random) -> None:
    room, changes = rng.uniform(10, 300), rng.uniform(0.2, 8.0)
    gas, until = rng.uniform(0.05, 3.0), rng.uniform(0.1, 3.0) * HOUR
    supply = rng.choice([0.0, 0.0004])
    asked = (room, [Release(gas, 0.0, until)], changes, supply, supply)
    curve = _curve(room, changes, gas / until, until, supply)
    for t in (0.3 * until, until, until + 0.5 * HOUR, until + 4 * HOUR):
        assert room_air.concentration(t, *asked) == pytest.approx(curve(t), rel=1e-6, abs=1e-10)
    end = until + HOUR
    mean = integrate.quad(curve, 0.0, end, points=[until], limit=200, epsabs=1e-12)[0] / end
    assert room_air.average_concentration(0.0, end, *asked) == pytest.approx(mean, rel=1e-6)
    limit = supply + rng.uniform(0.2, 0.9) * (curve(until) - supply)
    over = optimize.brentq(lambda t: curve(t) - limit, 0.0, until)
    assert room_air.hazard_time_s(limit, *asked) == pytest.approx(over, rel=1e-5)
    clear = optimize.brentq(lambda t: curve(t) - limit, until, until + 39 * HOUR)
    assert room_air.clear_time_s(limit, *asked) == pytest.approx(clear, rel=1e-5)


def test_diffusion_into_a_strip_against_finite_volumes() -> None:
    """Fick's law on 200 cells of half a strip, syrup at the face from the start."""
    rng = seeded(12)
    cells = 200
    for _ in range(count(3)):
        thickness, diffusivity = rng.uniform(1e-3, 6e-3), rng.uniform(2e-11, 1e-9)
        depth = thickness / 2
        dx = depth / cells

        def slope(_t: float, c: list[float], d: float = diffusivity, dx: float = dx) -> list[float]:
            flow = [0.0] + [d * (c[i] - c[i - 1]) / dx for i in range(1, cells)]
            flow.append(d * (1.0 - c[-1]) / (dx / 2))
            return [(flow[i + 1] - flow[i]) / dx for i in range(cells)]

        times = [0.05, 0.2, 0.6]  # of depth^2 / D
        scale = depth**2 / diffusivity
        solved = integrate.solve_ivp(
            slope, (0.0, 0.6 * scale), [0.0] * cells, method="LSODA", rtol=1e-7, atol=1e-9,
            t_eval=[one * scale for one in times], lband=1, uband=1,
        )  # fmt: skip
        for place, one in enumerate(times):
            there = sum(solved.y[:, place]) / cells
            here = infusion.diffusion_share(one * scale / HOUR, thickness, diffusivity)
            assert here == pytest.approx(there, abs=5e-4)


def test_inversion_on_a_warming_day() -> None:
    """First order in sucrose: steps of a constant temperature are multiplied together."""
    rng = seeded(13)
    for _ in range(count(20)):
        ph, steps = (
            rng.uniform(2.1, 4.5),
            [(rng.uniform(0, 60), rng.uniform(0.1, 5)) for _ in "abc"],
        )
        left, here = [1.0], 1.0
        for t, days in steps:
            k = sucrose.rate_per_day(ph, t)
            solved = integrate.solve_ivp(
                lambda _, y, k=k: [-k * y[0]], (0, days), left, rtol=1e-10, atol=1e-12
            )
            left = [float(solved.y[0][-1])]
            here *= 1.0 - sucrose.inverted_share(ph, t, days)
        assert here == pytest.approx(left[0], rel=1e-6, abs=1e-10)


def test_a_cup_that_cools() -> None:
    rng = seeded(14)
    for _ in range(count(20)):
        start, room = rng.uniform(60, 95), rng.uniform(5, 30)
        rate, minutes = rng.uniform(0.01, 0.04), rng.uniform(1, 60)
        solved = integrate.solve_ivp(
            lambda _, y, k=rate, r=room: [-k * (y[0] - r)], (0, minutes), [start],
            rtol=1e-10, atol=1e-10,
        )  # fmt: skip
        end = float(solved.y[0][-1])
        assert heat.temperature_after_c(start, room, minutes, rate) == pytest.approx(end, abs=1e-5)
        assert heat.minutes_until(start, end, room, rate) == pytest.approx(minutes, rel=1e-5)


def test_time_to_clear_a_share_of_the_air() -> None:
    for changes in (1.0, 6.0, 20.0):
        for share in (0.9, 0.99, 0.999):
            solved = integrate.solve_ivp(
                lambda _, y, n=changes: [-n / HOUR * y[0]], (0, 40 * HOUR), [1.0],
                rtol=1e-10, atol=1e-14, events=lambda _, y, s=share: y[0] - (1 - s),
            )  # fmt: skip
            there = float(solved.t_events[0][0])
            assert beside.removal_time_s(share, changes) == pytest.approx(there, rel=1e-5)
            assert math.isfinite(there)
