"""Cream as it drips and as it is poured: what its thickness says, and what it does not."""

from __future__ import annotations

import inspect

import pytest

from prepkit.errors import PrepkitError
from prepkit.model import Answer
from prepkit.registry import run
from prepkit.science import foam, food

SIPHON = {
    "vessel_volume": "0.78 l", "max_fill": "0.5 l", "rated": "17 bar", "gas": "n2o",
    "chargers": "1", "warmest": "5 C", "temperature": "5 C",
}  # fmt: skip


def siphon(contents: str) -> dict[str, tuple[float | None, str]]:
    """The steps of the working by label: value and source."""
    steps = run("siphon", {**SIPHON, "contents": contents}).working
    return {step.label: (step.value, step.source) for step in steps}


def dose(stock: str, **said: str) -> Answer:
    return run("dose", {"stock": stock, "into": ["120 ml water"], **said})


def test_the_weight_of_a_drop_does_not_ask_how_thick_the_liquid_is() -> None:
    # HARKINS-BROWN: radius, surface tension and density alone, as Tate's law has it
    asked = set(inspect.signature(foam.drop_mass_kg).parameters)
    assert asked == {"tip_radius_m", "surface_tension_n_m", "density_kg_m3"}
    # BAKSHI-SMITH-1984: whole milk is 1.3 times as thick as skimmed milk, 1.8 times as thick at 5 C
    assert food.viscosity_pa_s(0.0325, 20.0) > 1.3 * food.viscosity_pa_s(0.001, 20.0)
    # MILK-TENSION-1983: whole and skimmed milk have one surface tension, so one drop
    whole, skimmed = (
        dose(f"{name} milk", amount="1 drop").values["drop_mass"].value
        for name in ("whole", "skimmed")
    )
    assert whole == pytest.approx(skimmed, rel=0.01)


def test_a_drop_of_milk_is_lighter_than_one_of_water() -> None:
    # MILK-TENSION-1983: 55.6 - 0.163 x 20 + 1.8e-4 x 400 = 52.4 mN/m, water 72.8: 0.72 of it
    assert foam.milk_surface_tension_n_m(20.0) == pytest.approx(0.0524, abs=1e-4)
    milk = dose("whole milk", amount="1 drop").values["drop_mass"].value
    water = dose("water", amount="1 drop").values["drop_mass"].value
    assert (
        0.66 < milk / water < 0.72
    )  # the curve of Harkins and Brown falls a little as drops shrink


@pytest.mark.parametrize("stock", ["cream 20 %", "cream 35 %", "cream liqueur"])
def test_a_drop_of_cream_is_weighed_not_worked_out(stock: str) -> None:
    with pytest.raises(PrepkitError, match=r"no surface tension of cream.*weigh 20 drops"):
        dose(stock, amount="10 drops")
    answer = dose(stock, amount="10 drops", weighed_drops="20", weighed="0.8 g")
    assert answer.values["drop_mass"].value == pytest.approx(40.0)


def test_a_siphon_shows_how_thick_its_cream_is() -> None:
    # BAKSHI-SMITH-1984 (EV3-60), worked out beside the paper: 20 % fat at 5 C 18 mPa s, 30 % 49
    value, source = siphon("500 ml cream 20 %")["viscosity before foaming"]
    assert value == pytest.approx(18, abs=0.5)
    assert source == "BAKSHI-SMITH-1984"


def test_above_30_percent_fat_it_is_a_lower_bound() -> None:
    value, _ = siphon("500 ml cream 35 %")["viscosity before foaming, lower bound"]
    assert value == pytest.approx(49, abs=0.5)


@pytest.mark.parametrize("contents", ["500 ml water", "500 ml cream liqueur", "500 ml lime juice"])
def test_nothing_is_shown_where_nothing_is_published(contents: str) -> None:
    assert not [label for label in siphon(contents) if label.startswith("viscosity")]


def test_how_thick_the_cream_is_changes_no_pressure_and_no_portion() -> None:
    plain = {**SIPHON, "contents": "500 ml cream 30 %", "portion_size": "50 ml"}
    said = run("siphon", plain)
    table = next(one for one in said.tables if one.name == "service")
    assert table.rows
    assert not any("viscosity" in column.label for column in table.columns)
