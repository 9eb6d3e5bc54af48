"""The corners of the relations that no other test reaches: ends of ranges, nothing, refusals."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from itertools import pairwise

import pytest
from science import beside

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import (
    ethanol,
    foam,
    gases,
    infusion,
    keeping,
    room_air,
    solution,
    solvers,
    sucrose,
)
from prepkit.science.heat import end_point, heat_taken_by_melt_j_kg, melt_to_kg
from prepkit.science.room_air import Release
from prepkit.science.solvers import bracketed

# a root that is an end, and one beside which everything is next to nothing


def test_a_root_at_either_end_is_that_end() -> None:
    assert bracketed(lambda x: x, 0.0, 2.0) == 0.0
    assert bracketed(lambda x: x - 2.0, 0.0, 2.0) == 2.0
    with pytest.raises(ValueError, match="no sign change between 1 and 2"):
        bracketed(lambda x: x, 1.0, 2.0)


def test_a_function_of_almost_nothing_does_not_end_in_a_division_by_zero() -> None:
    assert 0.0 < bracketed(lambda x: 1e-305 * (x**3 - 0.2), 0.0, 1.0) < 1.0
    # the same curve in sensible units
    assert bracketed(lambda x: x**3 - 0.2, 0.0, 1.0) == pytest.approx(0.2 ** (1 / 3), abs=1e-9)


# acids


def test_daily_intake_of_phosphoric_acid_is_that_of_its_phosphorus() -> None:
    # EFSA-2019-PHOSPHATES (read): 40 mg phosphorus per kg of body, 98.0 g acid per 30.97 g of it
    grams = 1000.0 * beside.acceptable_daily_intake_kg("phosphoric", 70.0)
    assert grams == pytest.approx(0.040 * 70.0 * 98.0 / 30.97, rel=1e-3)


# gases


@pytest.mark.parametrize("pascal", [50.1e5, -1.0])
def test_a_gas_beyond_its_equation_is_refused_in_one_sentence(pascal: float) -> None:
    with pytest.raises(OutOfRange) as wrong:
        gases.molar_density_mol_m3("n2", 20.0, pascal)
    assert re.fullmatch(
        r"absolute_pa is [-0-9.e+]+ Pa; it must be between 0 and 5(e\+06|000000) Pa "
        r"\(PREPKIT-GAS\)\.",
        str(wrong.value),
    )


# spirit


def test_tables_of_ethanol_go_one_way_all_along() -> None:
    """What joins them by monotone pieces relies on it."""
    for table, sign in ((ethanol.FREEZING_TABLE, 1.0), (ethanol.FLASH_TABLE, -1.0)):
        for (x0, y0), (x1, y1) in pairwise(table):
            assert x1 > x0
            assert sign * (y1 - y0) > 0.0


def test_flash_point_falls_and_meets_its_table() -> None:
    for abv, at_c in ethanol.FLASH_TABLE:
        assert ethanol.flash_point_c(abv) == pytest.approx(at_c, abs=1e-9)
    curve = [ethanol.flash_point_c(0.05 + 0.95 * i / 500) for i in range(501)]
    assert all(a > b for a, b in pairwise(curve))


# solutions


def test_water_may_be_named_and_changes_nothing() -> None:
    named = {"water": 0.6, "sucrose": 0.4}
    assert solution.density_kg_m3(named) == solution.density_kg_m3({"sucrose": 0.4})


def test_fractions_that_pass_the_whole_by_rounding_are_the_whole() -> None:
    over = {"ethanol": 0.5 + 1e-12, "glycerol": 0.5}
    assert solution.density_kg_m3(over) == pytest.approx(
        solution.density_kg_m3({"ethanol": 0.5, "glycerol": 0.5}), rel=1e-9
    )
    with pytest.raises(
        OutOfRange, match=r"sum of mass_fractions is 1\.1; it must be between 0 and 1"
    ):
        solution.density_kg_m3({"ethanol": 0.6, "glycerol": 0.5})


def test_readings_know_their_acids() -> None:
    with pytest.raises(BadInput) as wrong:
        solution.sucrose_and_ethanol_from_readings(20.0, 1050.0, 0.01, acid="formic")
    assert str(wrong.value).startswith('"formic" is not an acid of a solution; they are acetic, ')


def test_brix_of_an_index_that_no_syrup_has() -> None:
    for index in (1.319, 1.511):
        with pytest.raises(OutOfRange) as wrong:
            sucrose.brix_from_index_20(index)
        assert str(wrong.value) == (
            f"index is {index}; it must be between 1.32 and 1.51 (PREPKIT-BRIX)."
        )


def test_surface_tension_meets_every_point_and_the_end() -> None:
    for fraction, tension in foam.ETHANOL_WATER_N_M.items():
        assert foam.ethanol_water_surface_tension_n_m(fraction) == pytest.approx(tension)


def test_diffusion_series_meets_the_early_law_and_the_end() -> None:
    """The two forms are the same function: they agree where one takes over (Crank, memory)."""

    def share(fourier: float) -> float:
        return infusion.diffusion_share(fourier * 1e-6 / 1e-10 / 3600.0, 2e-3, 1e-10)

    assert share(0.02) == pytest.approx(2.0 * math.sqrt(0.02 / math.pi), rel=1e-6)
    assert share(0.02) == pytest.approx(share(0.0199999), rel=1e-4)
    assert share(40.0) == 1.0
    # one term is enough late: 1 - 8/pi2 exp(-pi2 F/4)
    late = 1.0 - 8.0 / math.pi**2 * math.exp(-(math.pi**2) / 4.0)
    assert share(1.0) == pytest.approx(late, abs=1e-9)


# least squares


@pytest.mark.parametrize(
    ("rows", "wanted"),
    [([[1.0, 1.0], [1.0]], [1.0, 2.0]), ([[1.0]], [1.0, 2.0])],
)
def test_uneven_rows_are_refused(rows: list[list[float]], wanted: list[float]) -> None:
    with pytest.raises(BadInput, match="every row must have as many numbers as there are unknowns"):
        solvers.non_negative(rows, wanted)


# ice


def test_a_vessel_colder_than_wanted_melts_no_ice() -> None:
    heat: list[Callable[[float], float] | None] = [None, lambda melt: 0.0]
    for mixing in heat:
        melt = melt_to_kg(0.1, 4000.0, 0.0, 0.0, 0.0, mixing, vessel_j_k=500.0, vessel_c=-20.0)
        assert melt == 0.0


def test_little_ice_in_strong_spirit_may_end_warmer_than_it_began() -> None:
    """20 C, 1 g of ice, 500 J of mixing: the balance by hand, m cp dT + melt (L + cp_w T) = Q."""
    found = end_point(0.1, 2500.0, 20.0, 0.001, lambda melt: -30.0, 0.0, lambda melt, at_c: 1000.0)
    assert found.all_melted
    assert found.temperature_c > 20.0
    given = 1000.0 - 0.1 * 2500.0 * (found.temperature_c - 20.0)
    assert given == pytest.approx(0.001 * heat_taken_by_melt_j_kg(found.temperature_c, 0.0))


def test_all_the_ice_gone_just_on_the_freezing_line() -> None:
    """As much ice as the drink can melt to the gram: nothing is left, and it ends on the line."""
    most = end_point(0.2, 4180.0, 20.0, 0.5, lambda melt: 0.0).melt_kg
    found = end_point(0.2, 4180.0, 20.0, most, lambda melt: 0.0)
    assert found.melt_kg == most
    assert found.temperature_c == pytest.approx(0.0, abs=1e-6)


def test_freezing_known_only_from_where_it_is_too_late_is_refused() -> None:
    """Known from 0.45 kg of melt on, where all the heat has long been taken up."""

    def freezes(melt: float) -> float:
        if melt < 0.45:
            raise OutOfRange("mass_fraction", 1.0, 0.0, 0.6, "of ethanol")
        return 0.0

    with pytest.raises(OutOfRange) as wrong:
        end_point(0.2, 4180.0, 20.0, 0.5, freezes)
    assert str(wrong.value) == "mass_fraction is 1 of ethanol; it must be between 0 and 0.6 of " \
        "ethanol."  # fmt: skip


# the air of a room


def test_a_later_release_of_nothing_changes_no_time() -> None:
    # ln(4000/1000)/6 h = 832 s, MMWR-1994 (read), as without the second
    clear = room_air.clear_time_s(0.005, 50.0, [Release(1.0), Release(0.0, 18000.0)], 6.0)
    assert clear == pytest.approx(3600.0 * math.log(4.0) / 6.0, rel=1e-9)


def test_no_leak_is_no_gas_and_no_air_is_displacement() -> None:
    assert room_air.steady_concentration(50.0, 0.0, 0.0) == 0.0
    assert beside.leak_concentration_supply(1800.0, 50.0, 2.0, 0.0) == pytest.approx(0.02)
    assert beside.leak_concentration_supply(1e6, 50.0, 2.0, 0.0) == 1.0


def test_a_search_that_runs_out_of_steps_gives_its_last_guess() -> None:
    # one step of false position on x2 - 2 between 0 and 2 is 1
    assert bracketed(lambda x: x * x - 2.0, 0.0, 2.0, most_steps=1) == 1.0


def test_unknowns_that_do_nothing_or_the_same_as_another_are_left_out() -> None:
    assert solvers.non_negative([[0.0, 2.0]], [4.0]) == [0.0, 2.0]
    # twice the same column: fewer unknowns win, and nothing is divided by nothing
    assert solvers.non_negative([[1.0, 1.0], [2.0, 2.0]], [3.0, 6.0]) == pytest.approx([3.0, 0.0])
    # a column that only makes it worse
    assert solvers.non_negative([[-1.0]], [3.0]) == [0.0]


def test_freezing_known_nowhere_is_the_refusal_of_what_is_asked() -> None:
    def freezes(melt: float) -> float:
        raise OutOfRange("mass_fraction", 0.7, 0.0, 0.6, "", "CRC102")

    with pytest.raises(OutOfRange, match=r"mass_fraction is 0\.7; it must be between 0 and 0\.6"):
        end_point(0.2, 4180.0, 20.0, 0.5, freezes)


@pytest.mark.parametrize(
    ("masses", "error"),
    [
        # as its docstring says: 0.002 sucrose, 0.01 other solids, 0.02 above 70 % solids
        ({"water": 0.30, "sucrose": 0.70}, 0.002),
        ({"water": 0.29, "sucrose": 0.71}, 0.02),
        ({"water": 0.6, "sucrose": 0.2, "glucose": 0.2}, 0.01),
        ({"water": 0.27, "sucrose": 0.5, "glucose": 0.23}, 0.02),
        ({"water": 0.6, "ethanol": 0.4}, 0.01),
        ({"water": 0.5, "ethanol": 0.2, "sucrose": 0.3}, 0.015),
    ],
)
def test_stated_error_of_water_activity(masses: dict[str, float], error: float) -> None:
    assert keeping.of_mixture(masses)[1] == error


def test_readings_of_no_drink_are_refused_however_far_off() -> None:
    """A syrup's refraction with the density of spirit: the search runs up against the whole."""
    for brix, density in ((80.0, 960.0), (60.0, 850.0), (84.0, 1000.0)):
        with pytest.raises(OutOfRange, match=r"ethanol in the sample|dissolved solids"):
            solution.sucrose_and_ethanol_from_readings(brix, density)


def test_what_never_comes_near_the_limit_is_clear_from_the_first() -> None:
    assert room_air.clear_time_s(0.005, 50.0, [Release(0.1), Release(0.1, 600.0)], 6.0) == 0.0
