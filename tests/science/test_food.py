"""Food from composition: independent library, water, tables, properties."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import food, water

ATM = 101325.0
PSEUDO_FLUIDS = {
    "protein": "FoodProtein", "fat": "FoodFat", "carbohydrate": "FoodCarbohydrate",
    "fibre": "FoodFiber", "ash": "FoodAsh", "water": "FoodWater",
}  # fmt: skip
TEMPERATURES = (5.0, 20.0, 40.0, 80.0)


@pytest.mark.parametrize("name", PSEUDO_FLUIDS)
@pytest.mark.parametrize("temperature_c", TEMPERATURES)
def test_coolprop_food_fluids(name: str, temperature_c: float) -> None:
    # CoolProp carries the same 1986 relation, but a later water constant of 4.1289 for cp
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    fluid = f"INCOMP::{PSEUDO_FLUIDS[name]}"
    kelvin = temperature_c + 273.15
    assert food.component_density_kg_m3(name, temperature_c) == pytest.approx(
        props("D", "T", kelvin, "P", ATM, fluid), abs=1e-6
    )
    later = (4.1762 - 4.1289) * 1000 if name == "water" else 0.0
    assert food.component_specific_heat_j_kg_k(name, temperature_c) - later == pytest.approx(
        props("C", "T", kelvin, "P", ATM, fluid), abs=1e-6
    )


@pytest.mark.parametrize(
    ("temperature_c", "density", "heat"),
    # how far the relation's water lies from IAPWS-95, published beside it: kg/m3, J/(kg K)
    [(5.0, -2.87, -29.0), (20.0, -2.47, -7.5), (40.0, -0.92, 1.9), (60.0, 0.65, 5.5)],
)
def test_water_differs_from_iapws_as_published(
    temperature_c: float, density: float, heat: float
) -> None:
    props = pytest.importorskip("CoolProp.CoolProp").PropsSI
    kelvin = temperature_c + 273.15
    off = food.component_density_kg_m3("water", temperature_c) - props(
        "D", "T", kelvin, "P", ATM, "Water"
    )
    assert off == pytest.approx(density, abs=0.03)
    off = food.component_specific_heat_j_kg_k("water", temperature_c) - props(
        "C", "T", kelvin, "P", ATM, "Water"
    )
    assert off == pytest.approx(heat, abs=0.6)


@given(
    st.lists(st.floats(0.01, 1.0), min_size=6, max_size=6),
    st.floats(0.0, 100.0),
)
def test_a_mixture_lies_between_its_components(shares: list[float], temperature_c: float) -> None:
    total = sum(shares)
    mixture = {name: x / total for name, x in zip(food.DENSITY, shares, strict=True)}
    for call, component in (
        (food.density_kg_m3, food.component_density_kg_m3),
        (food.specific_heat_j_kg_k, food.component_specific_heat_j_kg_k),
    ):
        of_parts = [component(name, temperature_c) for name in mixture]
        assert min(of_parts) <= call(mixture, temperature_c) <= max(of_parts)


def test_a_pure_component_is_itself() -> None:
    for name in food.DENSITY:
        assert food.density_kg_m3({name: 1.0}, 20.0) == pytest.approx(
            food.component_density_kg_m3(name, 20.0), rel=1e-12
        )


@pytest.mark.parametrize("edge", [food.MILK_LOW_C, food.MILK_HIGH_C])
@pytest.mark.parametrize(
    "volume",
    [
        food.milk_fat_volume_m3_kg,
        food.milk_solids_volume_m3_kg,
        food.milk_protein_volume_m3_kg,
    ],
)
def test_milk_volumes_join_at_the_ends_of_the_table(volume: object, edge: float) -> None:
    assert callable(volume)
    assert volume(edge - 1e-7) == pytest.approx(volume(edge + 1e-7), rel=1e-8)


def test_milk_fat_expands() -> None:
    values = [food.milk_fat_volume_m3_kg(t) for t in range(0, 81, 5)]
    assert values == sorted(values)


def test_protein_left_by_the_milk_table_gives_the_solids_back() -> None:
    # lactose 0.620 and salts 0.617 cm3/g as dissolved; USDA-SR28 01151 shares
    for t in (5.0, 20.0, 38.0):
        whole = 4.96 * 0.620 + 0.75 * 0.617 + 3.37e3 * food.milk_protein_volume_m3_kg(t)
        assert whole / (4.96 + 3.37 + 0.75) == pytest.approx(
            1e3 * food.milk_solids_volume_m3_kg(t), rel=1e-12
        )


def test_errors_name_what_was_wrong() -> None:
    with pytest.raises(OutOfRange, match=r"temperature_c is -5 C; .* 0 and 150 C"):
        food.component_density_kg_m3("water", -5.0)
    with pytest.raises(OutOfRange, match=r"151 C"):
        food.component_specific_heat_j_kg_k("fat", 151.0)
    with pytest.raises(OutOfRange, match="nan"):
        food.milk_fat_volume_m3_kg(float("nan"))
    with pytest.raises(BadInput, match="protein"):
        food.component_density_kg_m3("sand", 20.0)
    with pytest.raises(OutOfRange, match=r"sum of the fractions is 0\.9"):
        food.density_kg_m3({"water": 0.9}, 20.0)
    with pytest.raises(OutOfRange, match="fraction of fat"):
        food.specific_heat_j_kg_k({"water": 0.9, "fat": -0.1}, 20.0)


def test_water_of_the_relation_is_not_used_for_drinks() -> None:
    # a float check with a margin of 2 % cannot stand 0.3 % of error: `water` is the one to use
    assert water.density_kg_m3(5.0) - food.component_density_kg_m3("water", 5.0) > 2.5
