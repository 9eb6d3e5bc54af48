"""Chilling with ice: energy balance, limits, what makes it colder."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import OutOfRange
from prepkit.science import ethanol, heat, keeping


class Drink:
    """Spirit and water with sugar, in kg, started at one temperature."""

    def __init__(self, spirit: float, water: float, sugar: float, start_c: float = 20.0) -> None:
        self.spirit, self.water, self.sugar, self.start_c = spirit, water, sugar, start_c
        self.kg = spirit + water + sugar

    def cp(self, end_c: float) -> float:
        middle = max(-10.0, 0.5 * (self.start_c + end_c))
        return heat.specific_heat_j_kg_k(self.spirit, self.water, self.sugar, middle)

    def freezes(self, melt: float) -> float:
        return keeping.of_mixture_c(
            {"ethanol": self.spirit, "sucrose": self.sugar, "water": self.water + melt}
        )

    def mixing(self, melt: float, at_c: float) -> float:
        at_c = min(max(at_c, -30.0), 41.0)  # the range of the heat of mixing
        return heat.mixing_heat_j([(self.spirit, self.water), (0.0, melt)], at_c)

    def end(self, ice_kg: float, ice_c: float = 0.0, mixing: bool = True) -> heat.EndPoint:
        return heat.end_point(
            self.kg, self.cp, self.start_c, ice_kg, self.freezes, ice_c,
            self.mixing if mixing else None,
        )  # fmt: skip


DRINKS = st.builds(
    Drink,
    st.floats(0.005, 0.06),
    st.floats(0.05, 0.3),
    st.floats(0.0, 0.05),
    st.floats(0.0, 30.0),
)


@settings(max_examples=60)
@given(DRINKS, st.floats(0.2, 3.0), st.floats(-20.0, 0.0), st.booleans())
def test_end_point_balances_energy_and_lies_on_the_freezing_line(
    drink: Drink, ice_per_kg: float, ice_c: float, mixing: bool
) -> None:
    ice_kg = ice_per_kg * drink.kg
    end = drink.end(ice_kg, ice_c, mixing)
    assert 0.0 <= end.melt_kg <= ice_kg
    given_up = drink.kg * drink.cp(end.temperature_c) * (drink.start_c - end.temperature_c)
    if mixing:
        given_up += drink.mixing(end.melt_kg, end.temperature_c)
    # written out by the parts of the balance, not by the module's own function
    warm_ice = ice_kg * 2100.0 * (min(end.temperature_c, 0.0) - ice_c)
    melted = end.melt_kg * (333600.0 + (4220.0 - 2100.0) * min(end.temperature_c, 0.0))
    melted += end.melt_kg * 4220.0 * max(end.temperature_c, 0.0)
    if not end.all_melted and end.melt_kg > 0.0:
        assert end.temperature_c == pytest.approx(drink.freezes(end.melt_kg), abs=1e-6)
        assert given_up == pytest.approx(warm_ice + melted, rel=1e-6, abs=0.01)
    if end.all_melted:
        assert given_up == pytest.approx(warm_ice + melted, rel=1e-6, abs=0.01)
        assert end.temperature_c >= drink.freezes(ice_kg) - 1e-6


@given(DRINKS, st.floats(0.8, 3.0), st.floats(-20.0, -1.0))
def test_colder_ice_ends_colder_and_dilutes_less(
    drink: Drink, ice_per_kg: float, ice_c: float
) -> None:
    wet, cold = (drink.end(ice_per_kg * drink.kg, at) for at in (0.0, ice_c))
    assert cold.temperature_c <= wet.temperature_c + 1e-9
    assert cold.melt_kg <= wet.melt_kg + 1e-9


@given(DRINKS)
def test_heat_of_mixing_melts_more_and_ends_warmer(drink: Drink) -> None:
    without, with_it = (drink.end(2 * drink.kg, 0.0, mixing) for mixing in (False, True))
    assert with_it.melt_kg >= without.melt_kg - 1e-9
    assert with_it.temperature_c >= without.temperature_c - 1e-9


def test_water_ends_at_zero_with_the_melt_of_the_latent_heat() -> None:
    # 200 g from 20 C: 0.2 * 4180 * 20 / 333600
    end = heat.end_point(0.2, 4180.0, 20.0, 0.5, lambda melt: 0.0)
    assert end == (0.0, pytest.approx(0.2 * 4180.0 * 20.0 / 333600.0, rel=1e-9), False)


def test_too_little_ice_is_all_melted() -> None:
    end = heat.end_point(0.2, 4180.0, 20.0, 0.02, lambda melt: 0.0)
    assert end.all_melted
    assert end.melt_kg == 0.02
    assert 0.0 < end.temperature_c < 20.0
    assert end.temperature_c == pytest.approx(
        (0.2 * 4180 * 20 - 0.02 * 333600) / (0.2 * 4180 + 0.02 * 4220), abs=1e-6
    )


def test_no_ice_changes_nothing() -> None:
    end = heat.end_point(0.2, 4180.0, 20.0, 0.0, lambda melt: -1.0)
    assert end.temperature_c == pytest.approx(20.0, abs=1e-6)


def test_freezer_ice_as_the_trade_fact_says() -> None:
    # -18 C ice: about a quarter less melt and about 1 K colder (worked out from the balance)
    drink = Drink(0.0189, 0.0675, 0.0143)
    wet, cold = drink.end(drink.kg), drink.end(drink.kg, -18.0)
    assert 0.15 < 1 - cold.melt_kg / wet.melt_kg < 0.35
    assert 0.5 < wet.temperature_c - cold.temperature_c < 2.0


@given(DRINKS, st.floats(-4.0, 15.0))
def test_melt_to_a_temperature_rises_as_it_gets_colder(drink: Drink, target: float) -> None:
    if target >= drink.start_c - 1.0:
        return
    near, far = (
        heat.melt_to_kg(drink.kg, 4200.0, drink.start_c, to, 0.0, lambda m: drink.mixing(m, 5.0))
        for to in (target + 0.5, target)
    )
    assert far >= near


def test_melt_balances() -> None:
    melt = heat.melt_to_kg(0.1, 4200.0, 20.0, 5.0, -10.0, lambda m: 200.0, 50.0, 25.0)
    taken = melt * (333600.0 + 4220.0 * 5.0 + 2100.0 * 10.0)
    assert taken == pytest.approx(0.1 * 4200 * 15 + 50 * 20 + 200.0, rel=1e-9)


def test_refusals_name_what_is_wrong() -> None:
    with pytest.raises(OutOfRange) as error:
        heat.melt_to_kg(0.1, 4200.0, 5.0, 10.0)
    assert error.value.argument == "target_c"
    with pytest.raises(OutOfRange, match="ice_c"):
        heat.melt_to_kg(0.1, 4200.0, 20.0, 10.0, 5.0)
    with pytest.raises(OutOfRange, match="start_c"):
        heat.end_point(0.1, 4200.0, -15.0, 0.1, lambda melt: -8.0)
    with pytest.raises(OutOfRange, match="ice_kg"):
        heat.end_point(0.1, 4200.0, 20.0, float("nan"), lambda melt: -8.0)
    assert ethanol.freezing_point_c(0.2) < -10  # what the lambda stands for
