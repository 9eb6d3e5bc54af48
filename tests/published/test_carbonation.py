"""Kegs, lines and glasses against published values."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from science import beside

from prepkit.registry import run
from prepkit.science import acids, dissolved_gas
from prepkit.science.dissolved_gas import PSI_FT_PA_M, PSI_PA
from published.rows import Row, load

ROWS = load("carbonation")
ATM = 14.696 * PSI_PA


def _straight(share: float, psi: float) -> float:
    return beside.straight_pa(share, psi * PSI_PA, ATM) / PSI_PA


def _shut() -> float:
    """Water with 3 volumes at 30 C, by the bound, less its 1 % and the vapour of water."""
    found = run("carbonate", {
        "contents": "1 l water", "into": "keg", "volumes": 3, "temperature": "5 C",
        "warmest": "30 C", "rated": "20 bar", "line_rated": "20 bar", "regulator_rated": "20 bar",
    })  # fmt: skip
    return float(found.values["bound"].value)


def _quarter_inch(end: int) -> float:
    return dissolved_gas.line_pa_m(0.00635, dissolved_gas.POUR_M3_S, 1010.0)[end] / PSI_FT_PA_M


def _water_ph() -> float:
    held = dissolved_gas.dissolved_mol_m3(
        "co2", 25.0, 101325.0, dissolved_gas.henry_mol_m3_pa("co2", 25.0)
    )
    return acids.ph({"carbonic": held / 997.0})


CHECKS: dict[str, Callable[[], float]] = {
    "KEG-01": lambda: dissolved_gas.beer_gauge_psi(32.0, 2.5),
    "KEG-02": lambda: beside.beer_g_l(1.0, 5.0),
    "KEG-03": lambda: dissolved_gas.turbulent_pa_m(0.0047625, 59.1e-6, 1010.0, 1.7e-3) / 1e3,
    "KEG-05": lambda: _straight(0.70, 20.0),
    "KEG-06a": _shut,
    "KEG-07a": lambda: dissolved_gas.poured_loss_kg_m3(12.0, False),
    "KEG-07b": lambda: dissolved_gas.poured_loss_kg_m3(12.0, True),
    "KEG-08": lambda: _straight(0.25, 30.0) + 14.696,
    "KEG-09": lambda: dissolved_gas.beer_gauge_psi(36.0, 2.4),
    "KEG-10": lambda: beside.beer_g_l(0.8, 2.0),
    "KEG-11": lambda: dissolved_gas.line_pa_m(0.006, 5e-6, 1010.0).smooth / 1e3,
    "KEG-12": lambda: dissolved_gas.lift_pa(3.5, 1010.0) / 1e3,
    "KEG-13": lambda: _straight(0.60, 25.0),
    "KEG-14a": lambda: _quarter_inch(0),
    "KEG-14b": lambda: _quarter_inch(2),
    "KEG-15": lambda: acids.pka("carbonic")[0],
    "KEG-16": _water_ph,
}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.id)
def test_published(row: Row) -> None:
    found = CHECKS[row.id]()
    if row.id == "KEG-06a":  # a bound: never under the closed full bottle, and not far over it
        assert row.value - row.tolerance <= found <= 1.25 * row.value
    else:
        assert abs(found - row.value) <= row.tolerance


def test_every_row_is_checked() -> None:
    ids = [row.id for row in ROWS]
    assert len(ids) == len(set(ids))
    assert set(ids) == set(CHECKS)


def test_the_two_brewers_forms_and_ours_agree_in_the_cold() -> None:
    for at_c in (0.0, 5.0, 10.0):
        for volumes in (2.0, 2.5, 3.0):
            psi = dissolved_gas.beer_gauge_psi(dissolved_gas.celsius_to_f(at_c), volumes)
            german = beside.beer_g_l(psi * PSI_PA / 1e5, at_c) / 1.977
            assert german == pytest.approx(volumes, rel=0.02)
            beer = run("carbonate", {
                "contents": "940 ml water, 60 ml spirit 80 %, 30 g maltodextrin, 4 g citric acid",
                "into": "keg", "volumes": volumes, "temperature": f"{at_c} C", "warmest": "20 C",
                "rated": "9 bar", "line_rated": "9 bar", "regulator_rated": "9 bar",
            })  # fmt: skip
            ours = beer.values["set_pressure"].value * 1e5 + 101325.0
            assert ours == pytest.approx(
                psi * PSI_PA + 101325.0, rel=0.08
            )  # the wine formula's own


def test_the_laminar_law_gives_a_fifth_of_a_beer_line() -> None:
    slow = dissolved_gas.laminar_pa_m(0.0047625, 59.1e-6, 1.7e-3)
    fast = dissolved_gas.turbulent_pa_m(0.0047625, 59.1e-6, 1010.0, 1.7e-3)
    assert 0.18 < slow / fast < 0.25
