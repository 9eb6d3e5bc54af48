"""Steeping over time against published values."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from science import beside

from prepkit.science import ethanol, infusion
from published.rows import Row, load

ROWS = load("infusion")


def _bubble() -> float:
    w = ethanol.mass_fraction_from_abv(0.40)
    moles = w / 46.069, (1 - w) / 18.015
    return infusion.bubble_point_c(moles[0] / sum(moles))


CHECKS: dict[str, Callable[[], float]] = {
    "INF-01": lambda: beside.first_order_time(0.9, 0.99),
    "INF-02": lambda: 0.99 * infusion.speed(80.0, 60.0, infusion.MOST_EA_J_MOL),
    "INF-03": lambda: 13.35 * 28.349523 / 3.785412,
    "INF-04": lambda: beside.activation_j_mol(25.0, 3.9e-11, 90.0, 1.35e-10) / 1e3,
    "INF-05": lambda: beside.first_order_time(0.5, 0.257),
    "INF-06": lambda: beside.first_order_time(0.9, 0.685),
    "INF-07a": lambda: infusion.speed(20.0, 30.0, 20e3),
    "INF-07b": lambda: infusion.speed(20.0, 30.0, 30e3),
    "INF-07c": lambda: infusion.speed(20.0, 30.0, 40e3),
    "INF-08a": _bubble,
    "INF-08b": _bubble,
    "INF-09a": lambda: infusion.LOG_P["vanillin"],
    "INF-09b": lambda: infusion.LOG_P["limonene"],
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    found = CHECKS[row.id]()
    if row.id == "INF-08a":
        assert found >= row.value - row.tolerance
    elif row.id == "INF-08b":
        assert found <= row.value + row.tolerance
    else:
        assert abs(found - row.value) <= row.tolerance


def test_every_row_is_checked() -> None:
    assert {row.id for row in ROWS} == set(CHECKS)
