"""The solver of targets, apart from any calculator."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.shared.syrup import WATER, Addition, Target, solve

SUGAR = Addition("sugar", Mixture({"sucrose": 1.0}), "sweeten")
ACID = Addition("citric acid", Mixture({"citric": 1.0}), "sour")
SPIRIT = Addition("spirit", Mixture({"ethanol": 0.9, "water": 0.1}), "spirit")


def solids(level: float) -> Target:
    return Target("solids", level, False, "brix", f"{100 * level:g} Bx")


def acidity(level: float) -> Target:
    return Target("acidity", level, False, "acidity", f"{100 * level:g} % w/w")


def test_nothing_wanted_nothing_added() -> None:
    assert solve(WATER, [], []) == ([], 0.0)


@given(st.floats(0.01, 0.8), st.floats(0.1, 100.0))
def test_sugar_into_water_by_hand(level: float, kg: float) -> None:
    (amount,), water = solve(WATER.scaled(kg), [solids(level)], [SUGAR])
    assert amount == pytest.approx(kg * level / (1 - level), rel=1e-9)
    assert water == 0.0


@given(st.floats(0.02, 0.6), st.floats(0.05, 0.7))
def test_water_only_where_sugar_cannot_help(there: float, wanted: float) -> None:
    base = Mixture({"sucrose": there, "water": 1 - there})
    (amount,), water = solve(base, [solids(wanted)], [SUGAR])
    if wanted >= there:
        assert (amount, water) == pytest.approx(((wanted - there) / (1 - wanted), 0.0), abs=1e-9)
    else:
        assert (amount, water) == pytest.approx((0.0, there / wanted - 1.0), abs=1e-9)


@given(st.floats(0.1, 0.5), st.floats(0.002, 0.05), st.floats(0.02, 0.2))
def test_three_targets_together(sugar: float, acid: float, strength: float) -> None:
    wanted = [solids(sugar + acid), acidity(acid), Target("strength", strength, True, "abv", "")]
    base = Mixture({"water": 0.9, "sucrose": 0.05, "citric": 0.02, "potassium": 0.001})
    amounts, water = solve(base, wanted, [SUGAR, ACID, SPIRIT])
    parts = zip((SUGAR, ACID, SPIRIT), amounts, strict=True)
    made = Mixture.total([base, *(one.unit.scaled(kg) for one, kg in parts), WATER.scaled(water)])
    for target in wanted:
        assert target.found(made) == pytest.approx(target.level, rel=1e-8)
    assert min(*amounts, water) >= 0.0
    assert water == 0.0 or min(amounts) < 1e-9


def test_targets_of_one_kind_by_two_names_are_refused() -> None:
    with pytest.raises(BadInput, match="cannot both"):
        solve(WATER, [solids(0.2), acidity(0.01)], [None, None])


def test_what_cannot_be_reached_says_how_far_it_goes() -> None:
    thin = Addition("thin syrup", Mixture({"sucrose": 0.5, "water": 0.5}), "sweeten")
    with pytest.raises(BadInput, match=r"thin syrup.*50\.\d+ Bx|thin syrup.*49\.\d+ Bx"):
        solve(WATER, [solids(0.6)], [thin])


def test_contrary_targets_are_refused() -> None:
    # more acid than the solids wanted
    with pytest.raises(BadInput):
        solve(WATER, [solids(0.02), acidity(0.05)], [SUGAR, ACID])


def test_minerals_of_plants_take_up_acid_before_any_titrates() -> None:
    """Dried flowers bring potassium and no acid: the acid added covers that and the target."""
    from prepkit import run

    said = {"part": ["1 kg water", "30 g dried elderflower"], "sweeten": "white sugar",
            "brix": 50, "acidity": "1 %"}  # fmt: skip
    with_flowers = run("cordial", said)
    plain = run("cordial", {**said, "part": ["1 kg water"]})
    assert abs(with_flowers.values["acidity"].value - 1.0) < 1e-6
    assert with_flowers.values["sour_to_add"].value > plain.values["sour_to_add"].value


@pytest.mark.parametrize("base", [Mixture({}), Mixture({"essential_oil": 1.0})])
def test_what_holds_no_water_has_no_targets(base: Mixture) -> None:
    with pytest.raises(BadInput, match="no part holds water"):
        solve(base, [solids(0.45), acidity(0.012)], [SUGAR, ACID])
