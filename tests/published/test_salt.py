"""Saline and citrate stocks against the handbook."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from science import beside

from prepkit.registry import run
from prepkit.science import keeping
from published.rows import Row, load

ROWS = load("salt")
CITRATE_G_MOL = 258.07  # without crystal water


def _molality(share: float, g_mol: float = keeping.SALT_G_MOL) -> float:
    return 1000 * share / (1 - share) / g_mol


def _stock(name: str, **more: Any) -> float:
    return float(run("salt", more).values[name].value)


def _saline(name: str, percent: float) -> float:
    return _stock(name, dissolve="saline " + f"{percent:g} %")


CHECKS: dict[str, Callable[[], float]] = {
    "SAL-01a": lambda: beside.salt_density_kg_m3(0.10) / 1000,
    "SAL-01b": lambda: keeping.salt_freezing_depression_k(_molality(0.10)),
    "SAL-01c": lambda: math.exp(keeping.salt_ln_water_activity(_molality(0.10))),
    "SAL-02": lambda: _saline("sodium_ml", 20),
    "SAL-03a": lambda: beside.bicarbonate_density_kg_m3(0.10) / 1000,
    "SAL-04a": lambda: beside.citrate_density_kg_m3(0.10) / 1000,
    "SAL-04c": lambda: _molality(0.10, CITRATE_G_MOL),
    "SAL-05a": lambda: _saline("density", 18) / 1000,
    "SAL-05b": lambda: -_saline("freezing_point", 18),
    "SAL-06": lambda: 0.05 * _saline("sodium_ml", 10),
    "SAL-07": lambda: _stock("strength_mass", dissolve="salt", strength="20 % w/v"),
    "SAL-08": lambda: _stock("strength_mass", part=["20 g salt", "100 g water"]),
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    assert abs(CHECKS[row.id]() - row.value) <= row.tolerance


def test_a_handbook_counts_citrate_without_its_crystal_water() -> None:
    shown = _stock("anhydrous", dissolve="sodium citrate", strength="10 % w/w")
    assert shown == pytest.approx(10 * CITRATE_G_MOL / 294.10, abs=1e-6)
