"""Cream and milk: the dairy table itself, points kept out of the fit, cups, the other beside."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from science import beside

from prepkit.errors import OutOfRange
from prepkit.mixture import Mixture
from prepkit.science import food, water

# GUELPH-MILK-DENSITY (read): fat %, solids-not-fat %, kg/m3 at 4.4, 10, 20, 38.9 C
TABLE_C = (4.4, 10.0, 20.0, 38.9)
TABLE = [
    (0.02, 8.90, (1036, 1035, 1033, 1026)),
    (4.00, 8.95, (1035, 1033, 1030, 1023)),
    (0.02, 10.15, (1041, 1040, 1038, 1031)),
    (11.30, 8.90, (1031, 1030, 1024, 1014)),
    (36.60, 5.55, (1008, 1005, 994, 978)),
]
POINTS = [
    (fat, solids, t, rho) for fat, solids, row in TABLE for t, rho in zip(TABLE_C, row, strict=True)
]


@pytest.mark.parametrize(("fat", "solids", "temperature_c", "rho"), POINTS)
def test_every_point_of_the_dairy_table(
    fat: float, solids: float, temperature_c: float, rho: float
) -> None:
    got = food.cream_density_kg_m3(fat / 100, solids / 100, temperature_c)
    assert abs(got - rho) <= food.density_error_kg_m3(fat / 100)


def test_rms_of_the_fit_as_published_beside_it() -> None:
    squares = [
        (food.cream_density_kg_m3(f / 100, s / 100, t) - rho) ** 2 for f, s, t, rho in POINTS
    ]
    assert math.sqrt(sum(squares) / len(squares)) < 0.55


# USDA-SR28 (read): fat and the density of a cup of 236.588 ml, weighed to the gram (2.1 kg/m3)
CUPS = [(0.3608, 1006.0), (0.3091, 1010.2), (0.1910, 1014.4)]


@pytest.mark.parametrize(("fat", "rho"), CUPS)
def test_cup_weights(fat: float, rho: float) -> None:
    if fat >= food.COLD_LOW_FAT:  # the published residual of the regression
        assert food.cold_density_kg_m3(fat) == pytest.approx(rho, abs=2.8)
    if fat > 0.3:
        assert food.cream_density_kg_m3(fat, 0.092 * (1 - fat), 10.0) == pytest.approx(
            rho, abs=2.1 + food.density_error_kg_m3(fat)
        )


@pytest.mark.parametrize("fat", [0.20, 0.25, 0.30, 0.366])
def test_two_cold_relations_differ_as_stated(fat: float) -> None:
    # the second regression lies 2.0 to 2.2 below the table between 20 and 37 % fat
    solids = 0.0555 * (1 - fat) / (1 - 0.366)
    gap = food.cream_density_kg_m3(fat, solids, 10.0) - food.cold_density_kg_m3(fat)
    assert -1.0 < gap < 3.6


def test_rich_cream_is_supported_by_the_second_relation() -> None:
    gap = food.cream_density_kg_m3(0.50, 0.045, 10.0) - food.cold_density_kg_m3(0.50)
    assert abs(gap) < 2.3


@pytest.mark.parametrize("temperature_c", [40.0, 50.0, 60.0, 80.0])
@pytest.mark.parametrize("fat", [0.0, 0.2, 0.4])
def test_hot_relation_meets_food_composition(fat: float, temperature_c: float) -> None:
    # milk solids 9 % of what is not fat, lactose counted as carbohydrate; the stated error is 5
    rest = 1 - fat
    parts = {
        "water": 0.91 * rest, "protein": 0.034 * rest, "carbohydrate": 0.049 * rest,
        "ash": 0.007 * rest, "fat": fat,
    }  # fmt: skip
    assert beside.hot_density_kg_m3(fat, temperature_c) == pytest.approx(
        food.density_kg_m3(parts, temperature_c), abs=5.0
    )


@pytest.mark.parametrize(("fat", "solids"), [(0.0002, 0.0890), (0.04, 0.0895), (0.366, 0.0555)])
def test_hot_relation_joins_the_dairy_table(fat: float, solids: float) -> None:
    # at 38.9 C it was found within 1.1 of plain milks and 4.6 above heavy cream
    assert beside.hot_density_kg_m3(fat, 40.0) == pytest.approx(
        food.cream_density_kg_m3(fat, solids, 39.0), abs=5.0
    )


@given(st.floats(0.0, 0.40), st.floats(0.05, 0.10), st.floats(4.0, 38.0))
def test_fatter_or_warmer_is_lighter(fat: float, solids: float, temperature_c: float) -> None:
    here = food.cream_density_kg_m3(fat, solids, temperature_c)
    assert food.cream_density_kg_m3(fat + 0.02, solids, temperature_c) < here
    assert food.cream_density_kg_m3(fat, solids, temperature_c + 1.0) < here
    assert food.cream_density_kg_m3(fat, solids + 0.01, temperature_c) > here


@given(st.floats(0.20, 0.50))
def test_fat_at_density_comes_back(fat: float) -> None:
    assert beside.cold_fat_at_density(food.cold_density_kg_m3(fat)) == pytest.approx(fat, abs=1e-9)


def test_water_without_milk_is_water() -> None:
    # the relation's own limit, taken by hand because a milk without solids is out of its range
    lean = food.cream_density_kg_m3(0.0, 0.04, 20.0)
    leaner = 1 / (1 / lean - 0.04 * food.milk_solids_volume_m3_kg(20.0)) * 0.96
    assert leaner == pytest.approx(water.density_kg_m3(20.0), rel=1e-12)


def test_mixture_of_cream_follows_the_table() -> None:
    # USDA-SR28 01053 as a mixture: lactose and salts dissolved, against the fit on the whole
    masses = {
        "water": 0.5781, "milk_fat": 0.3608, "protein": 0.0284, "lactose": 0.0274, "ash": 0.0053,
    }  # fmt: skip
    mixed = Mixture(masses, tags=frozenset({"dairy"}))
    assert mixed.density_kg_m3(10.0) == pytest.approx(
        food.cream_density_kg_m3(0.3608, 0.0611, 10.0), abs=2.0
    )


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: food.cream_density_kg_m3(0.51, 0.05, 10.0), r"fat is 0\.51; .* 0 and 0\.5"),
        (lambda: food.cream_density_kg_m3(0.36, 0.01, 10.0), r"solids_not_fat is 0\.01"),
        (lambda: food.cream_density_kg_m3(0.36, 0.056, 60.0), r"60 C; .* 4 and 39 C"),
        (lambda: food.cold_density_kg_m3(0.10), r"0\.1; .* 0\.2 and 0\.5"),
        (lambda: beside.hot_density_kg_m3(0.36, 20.0), r"20 C; .* 40 and 80 C"),
        (lambda: beside.hot_density_kg_m3(math.nan, 60.0), "nan"),
        (lambda: beside.cold_fat_at_density(900.0), r"900 kg/m3"),
    ],
)
def test_out_of_range_names_all(call: object, match: str) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange, match=match):
        call()
