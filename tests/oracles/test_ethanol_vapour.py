"""The vapour pressure of ethanol [ETHANOL-ANTOINE] against the reference equation of state."""

from __future__ import annotations

import pytest

from prepkit.science import ethanol

# an oracle of the tests alone, with no wheel for some Pythons
coolprop = pytest.importorskip("CoolProp.CoolProp")


@pytest.mark.parametrize("at_c", range(0, 101, 5))
def test_ethanol_vapour_pressure(at_c: int) -> None:
    known = coolprop.PropsSI("P", "T", at_c + 273.15, "Q", 0, "Ethanol")
    assert ethanol.vapour_pressure_pa(float(at_c)) == pytest.approx(known, rel=0.03)
    # the bound is never below the pure liquids, nor below their mixture by Raoult's law
    water = coolprop.PropsSI("P", "T", max(at_c, 0.01) + 273.15, "Q", 0, "Water")
    for share in (0.0, 0.1, 0.3, 0.6, 1.0):
        ideal = share * known + (1.0 - share) * water
        assert ethanol.most_vapour_pa(share, float(at_c)) >= 0.999 * ideal
