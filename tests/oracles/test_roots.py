"""Everything that is solved for, against scipy's root finders on the same functions."""

from __future__ import annotations

import math
from random import Random

import pytest
from deep import count, seeded
from science import beside

from prepkit.science import acids, ethanol, foam, gases, heat, solution, sucrose
from prepkit.science.solvers import bracketed

optimize = pytest.importorskip("scipy.optimize")


def test_bracketed_against_brentq() -> None:
    rng = seeded(1)
    for _ in range(count(300)):
        _one_curve(rng)


def _one_curve(rng: Random) -> None:
    root, steep, power = rng.uniform(-3, 3), rng.uniform(0.01, 30), rng.choice([1, 3, 5])
    bend, sign = rng.uniform(0, 3), rng.choice([-1, 1])

    def curve(x: float) -> float:
        d = x - root
        return sign * (steep * d**power + bend * math.expm1(d / 4))

    low, high = root - rng.uniform(0.1, 9), root + rng.uniform(0.1, 9)
    here = bracketed(curve, low, high)
    if bend < 1e-3 and power > 1:  # flat at the root: judged by the function
        assert abs(curve(here)) <= 1e-12
    else:
        there = optimize.brentq(curve, low, high, xtol=1e-13)
        assert here == pytest.approx(there, abs=1e-9)


def test_densities_are_read_back_as_brentq_does() -> None:
    rng = seeded(2)
    for _ in range(count(60)):
        _one_density_each(rng)


def _one_density_each(rng: Random) -> None:
    w, t = rng.uniform(0.0, 0.84), rng.uniform(1.0, 79.0)
    rho = sucrose.density_kg_m3(w, t)
    there = optimize.brentq(lambda x: sucrose.density_kg_m3(x, t) - rho, 0, 0.85)
    assert sucrose.mass_fraction_from_density(rho, t) == pytest.approx(there, abs=1e-9)
    p, warm = rng.uniform(0.05, 1.0), rng.uniform(5.0, 40.0)
    light = ethanol.density_kg_m3(p, warm)
    there = optimize.brentq(lambda x: ethanol.density_kg_m3(x, warm) - light, 0, 1)
    assert ethanol.mass_fraction_from_density(light, warm) == pytest.approx(there, abs=1e-8)
    abv = rng.uniform(0.0, 1.0)
    there = optimize.brentq(
        lambda x: x * ethanol.density_kg_m3(x, 20.0) / ethanol.PURE_KG_M3 - abv, 0, 1
    )
    assert ethanol.mass_fraction_from_abv(abv) == pytest.approx(there, abs=1e-9)
    most = sucrose.solubility_mass_fraction(rng.uniform(-4.0, 99.0))
    there = optimize.brentq(lambda x: sucrose.solubility_mass_fraction(x) - most, -13, 100)
    assert beside.saturation_temperature_c(most) == pytest.approx(there, abs=1e-6)


def test_two_readings_against_a_general_solver() -> None:
    rng = seeded(3)
    for _ in range(count(40)):
        _one_mixture(rng)


def _one_mixture(rng: Random) -> None:
    s, e, acid = rng.uniform(0.02, 0.45), rng.uniform(0.01, 0.25), rng.uniform(0.0, 0.03)
    mix = {"sucrose": s, "ethanol": e, "citric": acid}
    reading, rho = solution.refractometer_brix(mix), solution.density_kg_m3(mix)

    def miss(x: list[float]) -> list[float]:
        now = {"sucrose": x[0], "ethanol": x[1], "citric": acid}
        return [solution.refractometer_brix(now) - reading, solution.density_kg_m3(now) - rho]

    there = optimize.least_squares(
        miss, [0.2, 0.1], bounds=([0, 0], [0.55, 0.3]), xtol=1e-14, ftol=1e-14, gtol=1e-14,
        x_scale=[0.1, 0.1],
    )  # fmt: skip
    assert max(map(abs, there.fun)) < 1e-5
    here = solution.sucrose_and_ethanol_from_readings(reading, rho, acid)
    assert here == pytest.approx(tuple(there.x), abs=2e-6)


def test_drops_against_brentq() -> None:
    rng = seeded(4)
    for _ in range(count(40)):
        _one_drop(rng)


def _one_drop(rng: Random) -> None:
    radius, tension = rng.uniform(1.2e-3, 2.2e-3), rng.uniform(0.025, 0.075)
    rho = rng.uniform(780.0, 1100.0)

    def law(mass: float) -> float:
        f = foam.harkins_brown_factor(radius / (mass / rho) ** (1 / 3))
        return mass * foam.GRAVITY_M_S2 - 2 * math.pi * radius * tension * f

    least, most = (rho * (radius / x) ** 3 for x in (1.1999, 0.3001))
    there = optimize.brentq(law, least, most, xtol=1e-16)
    assert foam.drop_mass_kg(radius, tension, rho) == pytest.approx(there, rel=1e-7)


def test_density_of_a_gas_against_brentq_on_its_equation() -> None:
    rng = seeded(5)
    for _ in range(count(120)):
        _one_gas(rng)


def _one_gas(rng: Random) -> None:
    gas, t = rng.choice(gases.GASES), rng.uniform(-9.0, 69.0)
    line = gases.isotherm(gas, t)
    pa = rng.uniform(0.001, 0.98) * min(line.most_pa, 50e5)
    there = optimize.brentq(lambda x: line.pressure(x) - pa, 0.0, line.most_mol_m3)
    assert gases.molar_density_mol_m3(gas, t, pa) == pytest.approx(there, rel=1e-8)


def test_end_of_shaking_against_brentq() -> None:
    """Heat of the drink, of the ice that stays and of the melt, on the freezing line of spirit."""
    rng = seeded(6)
    for _ in range(count(40)):
        _one_shaken(rng)


def _one_shaken(rng: Random) -> None:
    drink, p, t = rng.uniform(0.05, 0.2), rng.uniform(0.05, 0.4), rng.uniform(5.0, 25.0)
    stock, cold, cp = rng.uniform(0.8, 3.0) * drink, rng.uniform(-18.0, 0.0), 4200.0

    def freezes(melt: float) -> float:
        return ethanol.freezing_point_c(p * drink / (drink + melt))

    def surplus(x: float) -> float:
        end = freezes(x)
        melting = heat.MELTING_J_KG + (heat.WATER_J_KG_K - heat.ICE_J_KG_K) * end
        taken = x * (melting + heat.ICE_J_KG_K * (end - cold))
        return drink * cp * (t - end) + (stock - x) * heat.ICE_J_KG_K * (cold - end) - taken

    found = heat.end_point(drink, cp, t, stock, freezes, ice_c=cold)
    if surplus(stock) > 0.0:
        assert found.all_melted
        return
    if surplus(0.0) <= 0.0:  # so much cold ice that none of it melts
        assert found.melt_kg == 0.0
        return
    melt = optimize.brentq(surplus, 0.0, stock, xtol=1e-14)
    assert found.melt_kg == pytest.approx(melt, rel=1e-7)
    assert found.temperature_c == pytest.approx(freezes(melt), abs=1e-6)


# pK at 25 C, typed again from the reference tables
CONSTANTS = {
    "citric": (3.128, 4.761, 6.396), "malic": (3.4598, 5.0956), "lactic": (3.86,),
    "acetic": (4.756,),
}  # fmt: skip


def test_ph_by_a_charge_balance_written_again() -> None:
    """Extended Debye-Hueckel, solved by scipy for pH and for ionic strength."""
    rng = seeded(7)
    for _ in range(count(60)):
        names = rng.sample(sorted(CONSTANTS), rng.randint(1, 3))
        mix = {name: rng.uniform(0.005, 0.2) for name in names}
        most = sum(mix[name] * len(CONSTANTS[name]) for name in names)
        cation = rng.uniform(0.0, min(0.6 * most, 0.35))
        assert acids.ph(mix, cation) == pytest.approx(_ph(mix, cation), abs=2e-4)


def _ph(mix: dict[str, float], cation: float) -> float:
    def charges(ph: float, strength: float) -> tuple[float, float]:
        """Charge left over, and the ionic strength that the species make."""
        root = math.sqrt(strength)
        log_gamma = -(0.4913 + 6.08e-4 * 25 + 4.9e-6 * 625) * root / (1 + 1.5 * root)
        hydrogen = 10 ** (-ph - log_gamma)
        net, twice = hydrogen + cation, hydrogen + cation
        for name, molality in mix.items():
            terms, total = [1.0], 0.0
            for j, pk in enumerate(CONSTANTS[name], 1):
                total += pk
                terms.append(10 ** (j * ph - total - j * j * log_gamma))
            for j, term in enumerate(terms):
                share = molality * term / sum(terms)
                net -= j * share
                twice += j * j * share
        return net, twice / 2

    def net(ph: float) -> float:
        strength = optimize.brentq(lambda i: charges(ph, i)[1] - i, 1e-9, 3.0)
        return charges(ph, strength)[0]

    return float(optimize.brentq(net, 0.5, 8.0, xtol=1e-10))


def test_supersaturation_is_one_where_brentq_says() -> None:
    rng = seeded(8)
    for _ in range(count(20)):
        _one_saturated(rng)


def _one_saturated(rng: Random) -> None:
    t, spirit = rng.uniform(0.0, 60.0), rng.uniform(0.0, 0.5)
    water = 1.0 - spirit
    sugar = optimize.brentq(
        lambda s: sucrose.supersaturation(s, water, t, ethanol_kg=spirit) - 1.0, 1e-6, 20.0
    )
    here = sucrose.saturated_kg_per_kg_water(t, ethanol_share=spirit) * water
    assert here == pytest.approx(sugar, rel=1e-9)
