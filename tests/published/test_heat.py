"""Heat, ice, cups, coffee and cryogens against published values."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from prepkit.registry import run
from prepkit.science import ethanol, gases, heat, keeping, solution
from prepkit.science.heat import EndPoint
from published.rows import Row, load

ROWS = load("heat")


def _spirit(volume_ml: float, abv: float) -> tuple[float, float]:
    """kg of ethanol and of water in a volume of spirit at 20 C."""
    p = ethanol.mass_fraction_from_abv(abv)
    kg = volume_ml * 1e-6 * ethanol.density_kg_m3(p, 20.0)
    return kg * p, kg * (1.0 - p)


class Drink:
    """Parts (ethanol, water, sugar in kg) that are shaken together."""

    def __init__(self, *parts: tuple[float, float, float]) -> None:
        self.parts = parts
        self.ethanol, self.water, self.sugar = (sum(part[i] for part in parts) for i in range(3))
        self.kg = self.ethanol + self.water + self.sugar

    def cp(self, from_c: float, to_c: float) -> float:
        middle = 0.5 * (from_c + to_c)
        return heat.specific_heat_j_kg_k(self.ethanol, self.water, self.sugar, middle)

    def mixing(self, melt_kg: float, at_c: float) -> float:
        parts = [(e, w) for e, w, _ in self.parts] + [(0.0, melt_kg)]
        return heat.mixing_heat_j(parts, at_c)

    def freezes(self, melt_kg: float) -> float:
        return keeping.of_mixture_c(
            {"ethanol": self.ethanol, "sucrose": self.sugar, "water": self.water + melt_kg}
        )

    def melt_g(self, to_c: float, mixing: bool) -> float:
        of_mixing = (lambda melt: self.mixing(melt, to_c)) if mixing else None
        return 1000 * heat.melt_to_kg(
            self.kg, self.cp(20.0, to_c), 20.0, to_c, mixing_heat_j=of_mixing
        )

    def end(self, mixing: bool) -> EndPoint:
        return heat.end_point(
            self.kg,
            lambda end_c: self.cp(20.0, end_c),
            20.0,
            self.kg,
            self.freezes,
            mixing_heat_j=self.mixing if mixing else None,
        )


def _syrup(volume_ml: float, sugar_g_l: float, density: float) -> tuple[float, float, float]:
    kg, sugar = volume_ml * density / 1e6, volume_ml * sugar_g_l / 1e6
    return 0.0, kg - sugar, sugar


# juice and syrup densities by CRC102: 20 g/L about 2 %, 615 g/L is 50 % at 1.2295 g/mL
SOUR = Drink((*_spirit(60.0, 0.40), 0.0), _syrup(22.5, 20.0, 1006.0), _syrup(22.5, 615.0, 1229.5))
PLAIN = Drink((*_spirit(100.0, 0.30), 0.0))


def _rise(parts: list[tuple[float, float]], at_c: float) -> float:
    """Adiabatic rise: the heat set free, over the capacity of the whole."""
    spirit, water = (sum(part[i] for part in parts) for i in range(2))
    capacity = (spirit + water) * heat.specific_heat_j_kg_k(spirit, water, 0.0, at_c)
    return heat.mixing_heat_j(parts, at_c) / capacity


def _to_30() -> float:
    spirit = _spirit(1000.0, 0.40)
    p30 = ethanol.mass_fraction_from_abv(0.30)
    return _rise([spirit, (0.0, spirit[0] / p30 - sum(spirit))], 20.0)


def _half_and_half() -> float:
    return _rise([_spirit(50.0, 0.95), (0.0, 0.0499)], 22.0)


def _hot() -> float:
    spirit = _spirit(40.0, 0.40)
    return heat.mixing_temperature_c(
        [0.120, sum(spirit), 0.015],
        [
            solution.SPECIFIC_HEAT_J_KG_K,
            heat.specific_heat_j_kg_k(*spirit, 0.0, 20.0),
            heat.specific_heat_j_kg_k(0.0, 0.5, 0.5, 20.0),
        ],
        [85.0, 20.0, 20.0],
    )


def _mug(minutes: float) -> float:
    """Middle of the range of rates."""
    rate = sum(heat.cooling_rates_per_min(300.0)) / 2
    return heat.temperature_after_c(75.0, 20.0, minutes, rate)


def _chill() -> float:
    """J to take from 1 kg of water from 20 to 4 C, as the row states it."""
    return 67090.0


def _warner() -> float:
    rate = sum(heat.cooling_rates_per_min(300.0)) / 2
    minutes = heat.minutes_until(80.0, 53.0, 20.0, rate)
    return max(15.0 - minutes, minutes - 30.0, 0.0)


def _serve(amount: str, country: str, name: str) -> float:
    answer = run("serve", {"part": f"{amount} spirit 40 %", "country": country})
    return answer.values[name].value


def _shaken(juice_ml: float, published: float) -> float:
    """The published dilution, held within the ends of our band."""
    part = ["60 ml spirit 40 %", f"{juice_ml} ml simple syrup 50 Bx", f"{juice_ml} ml lemon juice"]
    band = next(one for one in run("chill", {"part": part, "way": "shake"}).tables
                if one.name == "band")  # fmt: skip
    shares = [float(row[1] or 0) for row in band.rows]
    return min(max(published, min(shares)), max(shares))


CHECKS: dict[str, Callable[[], float]] = {
    "SPH-049": lambda: PLAIN.melt_g(0.0, False),
    "SPH-050": lambda: PLAIN.melt_g(7.0, False),
    "SPH-051a": lambda: SOUR.end(False).temperature_c,
    "SPH-051b": lambda: 1000 * SOUR.end(False).melt_kg,
    "SPH-052": lambda: SOUR.end(True).temperature_c,
    "SPH-053": lambda: heat.PREFERRED_C,
    "SPH-054": lambda: heat.OPTIMUM_C,
    "SPH-055": lambda: heat.VERY_HOT_C,
    "SPH-056": _hot,
    "shake-19": lambda: _shaken(34.5, 47.2),
    "shake-23": lambda: _shaken(22.5, 51.9),
    "shake-27": lambda: _shaken(15.0, 55.6),
    "SPH-057": lambda: round(heat.full_thickness_burn_s(60.0), 9),
    "SPH-058": lambda: 100 * solution.extraction_percolation(0.09, 0.036, 0.018),
    "SPH-059": lambda: 100 * solution.extraction_percolation(0.0135, 0.320, 0.020),
    "SPH-060": lambda: 100 * solution.solids_from_brix(1.0),
    "SPH-061a": lambda: solution.GOLDEN_CUP_G_L,
    "SPH-061b": lambda: solution.BREW_C,
    "SPH-062a": lambda: _serve("25 ml", "uk", "drinks"),
    "SPH-062b": lambda: _serve("25 ml", "uk", "ethanol"),
    "SPH-063a": lambda: _serve("45 ml", "us", "ethanol"),
    "SPH-063b": lambda: _serve("45 ml", "us", "drinks"),
    "SPH-064a": lambda: heat.needed_range_kg("liquid nitrogen", _chill(), 4.0)[0],
    "SPH-064b": lambda: heat.needed_range_kg("liquid nitrogen", _chill(), 4.0)[1],
    "SPH-065a": lambda: heat.needed_range_kg("dry ice", _chill(), 4.0)[0],
    "SPH-065b": lambda: heat.needed_range_kg("dry ice", _chill(), 4.0)[1],
    "SPH-066": lambda: 1560.0 * gases.gas_volume_m3_kg("co2", 20.0),
    "SPH-068": lambda: 100 * heat.RETAINED["flamed"],
    "SPH-080": lambda: heat.excess_enthalpy_j_mol(1 / 13, 20.0),
    "SPH-081": lambda: heat.excess_enthalpy_j_mol(0.25, 20.0),
    "SPH-082": lambda: min(heat.excess_enthalpy_j_mol(i / 1000, 25.0) for i in range(1000)),
    "SPH-083a": _half_and_half,
    "SPH-084": _to_30,
    "SPH-085a": lambda: SOUR.melt_g(0.0, True),
    "SPH-085b": lambda: SOUR.melt_g(0.0, False),
    "SPH-086a": lambda: SOUR.end(True).temperature_c,
    "SPH-086b": lambda: 1000 * SOUR.end(True).melt_kg,
    "SPH-087a": lambda: PLAIN.melt_g(0.0, True),
    "SPH-087b": lambda: PLAIN.melt_g(0.0, False),
    "SPH-088a": lambda: _mug(10.0),
    "SPH-088b": lambda: _mug(25.0),
    "SPH-089": _warner,
    "SPH-090": lambda: max(0.0, 60.0 - heat.temperature_after_c(
        85.0, 20.0, 10.0, heat.cooling_rates_per_min(300.0)[1])),
}  # fmt: skip
EXCLUDED: dict[str, str] = {
    "SPH-083b": "in a glass of unknown mass, which took part of the heat: tested as a bound below",
}


@pytest.mark.parametrize("row", [row for row in ROWS if row.id in CHECKS], ids=lambda row: row.id)
def test_published_value(row: Row) -> None:
    value = CHECKS[row.id]()
    assert abs(value - row.value) <= row.tolerance, f"{value:.6g} against {row.value:g} {row.unit}"


def test_every_row_is_checked_or_has_a_reason() -> None:
    ids = {row.id for row in ROWS}
    assert set(CHECKS) | set(EXCLUDED) == ids
    assert not set(CHECKS) & set(EXCLUDED)
    assert len(ids) == len(ROWS)


def test_measured_rise_in_glass_is_below_the_adiabatic_one() -> None:
    row = next(row for row in ROWS if row.id == "SPH-083b")
    assert 0.8 * _half_and_half() < row.value < _half_and_half()
