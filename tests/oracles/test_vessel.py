"""Chargers one after another, against scipy on CoolProp's own densities and fugacities.

The liquid's solubility is given to both: what is compared is the balance between bulb, headspace
and liquid, what a spent bulb takes away, and the equation of the gas.
"""

from __future__ import annotations

import math
from random import Random
from typing import Any

import pytest
from deep import count, seeded

from prepkit.science import charged_vessel as vessel

optimize = pytest.importorskip("scipy.optimize")
coolprop = pytest.importorskip("CoolProp.CoolProp")
FLUIDS = {"n2o": "NitrousOxide", "co2": "CO2", "n2": "Nitrogen"}
ATM, R, BULB = 101325.0, 8.314462618, 10e-6


def _settled(
    gas: str, kelvin: float, moles: float, head: float, liquid: float, henry: float
) -> tuple[float, float]:
    """Gas pressure and moles in the liquid; raises ValueError where the gas would condense."""
    state: Any = coolprop.AbstractState("HEOS", FLUIDS[gas])
    room = head + BULB
    air = ATM * head / room
    high = 45e5
    if kelvin < state.T_critical():
        high = min(high, 0.999 * coolprop.PropsSI("P", "T", kelvin, "Q", 1, FLUIDS[gas]))
        state.specify_phase(coolprop.iphase_gas)

    def dissolved(pa: float) -> float:
        fugacity = state.fugacity_coefficient(0) * pa
        return float(liquid * henry * fugacity * math.exp(-34e-6 * (pa + air - ATM) / (R * kelvin)))

    def surplus(pa: float) -> float:
        state.update(coolprop.PT_INPUTS, pa, kelvin)
        return float(state.rhomolar() * room + dissolved(pa) - moles)

    pa = float(optimize.brentq(surplus, 1e2, high, xtol=1.0))
    state.update(coolprop.PT_INPUTS, pa, kelvin)
    return pa + air, dissolved(pa)


def _one_service(rng: Random) -> bool:
    gas = rng.choice(["n2o", "co2", "n2"])
    t, total = rng.uniform(2.0, 30.0), rng.uniform(0.4e-3, 1.5e-3)
    liquid = rng.uniform(0.3, 0.8) * total
    head = total - liquid
    henry = {"n2o": 3.2e-4, "co2": 4.5e-4, "n2": 7e-6}[gas] * rng.uniform(0.8, 1.2)
    each = rng.uniform(0.0018, 0.0024) if gas == "n2" else rng.uniform(0.0075, 0.0083)
    charges = rng.randint(1, 3)
    here = vessel.charge_sequence(
        gas, t, [each] * charges, [True] * charges, head, liquid, henry, BULB
    )
    kelvin = t + 273.15
    mass = coolprop.PropsSI("M", FLUIDS[gas])
    moles = in_liquid = 0.0
    for place in range(charges):
        if place:
            moles -= (moles - in_liquid) * BULB / (head + BULB)
        moles += each / mass
        density = (moles - in_liquid) / (head + BULB)
        try:
            absolute, in_liquid = _settled(gas, kelvin, moles, head, liquid, henry)
            peak = coolprop.PropsSI("P", "T", kelvin, "Dmolar", density, FLUIDS[gas])
        except ValueError:
            return False
        state = here[place].settled
        assert state is not None
        assert state.absolute_pa == pytest.approx(absolute, rel=0.004)
        assert state.dissolved_kg == pytest.approx(in_liquid * mass, rel=0.004)
        if peak < 45e5 and here[place].peak.state == vessel.GAS:
            air = ATM * head / (head + BULB)
            assert here[place].peak.absolute_pa == pytest.approx(peak + air, rel=0.008)
    return True


def test_charges_shaken_one_after_another() -> None:
    rng = seeded(21)
    compared = sum(_one_service(rng) for _ in range(count(60)))
    assert compared >= count(60) // 2
