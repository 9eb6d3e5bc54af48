"""Salt, citrate and bicarbonate against the handbook's table [CRC102], alone and as components."""

from __future__ import annotations

from itertools import pairwise
from math import exp

import pytest
from science import beside

from prepkit.errors import OutOfRange
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.science import keeping

# % by mass, density g/ml, freezing depression K (None where the table ends)
SALT = [
    (1, 1.0053, 0.59), (5, 1.0340, 3.05), (10, 1.0707, 6.56), (15, 1.1085, 10.89),
    (18, 1.1319, 14.04), (20, 1.1478, 16.46), (23, 1.1721, 20.67), (26, 1.1972, None),
]  # fmt: skip
BICARBONATE = [
    (1, 1.0046, 0.34), (5, 1.0310, 1.60), (10, 1.0650, 3.16), (14, 1.0929, 4.41),
    (20, 1.1372, None), (24, 1.1685, None),
]  # fmt: skip
CITRATE = [
    (1, 1.0049, 0.20), (5, 1.0331, 0.97), (10, 1.0708, 1.96), (16, 1.1173, 3.27),
    (20, 1.1492, 4.39), (28, 1.2151, None), (36, 1.2843, None),
]  # fmt: skip


def molality(percent: float, molar_g: float) -> float:
    return 10 * percent / molar_g / (1 - percent / 100)


@pytest.mark.parametrize(("percent", "density", "depression"), SALT)
def test_salt(percent: float, density: float, depression: float | None) -> None:
    assert beside.salt_density_kg_m3(percent / 100) == pytest.approx(1000 * density, abs=0.12)
    mixture = Mixture({"salt": percent, "water": 100 - percent})
    assert mixture.density_kg_m3() == pytest.approx(1000 * density, abs=0.12)
    if depression is None:
        with pytest.raises(OutOfRange):
            _ = mixture.freezing_point_c
        return
    alone = keeping.salt_freezing_depression_k(molality(percent, keeping.SALT_G_MOL))
    assert alone == pytest.approx(depression, abs=0.04)
    assert -mixture.freezing_point_c == pytest.approx(depression, abs=0.04)


@pytest.mark.parametrize(("percent", "density", "depression"), BICARBONATE)
def test_bicarbonate(percent: float, density: float, depression: float | None) -> None:
    assert beside.bicarbonate_density_kg_m3(percent / 100) == pytest.approx(1000 * density, abs=0.4)
    mixture = Mixture(
        {"potassium": 0.39054 * percent, "ash": 0.60946 * percent, "water": 100 - percent}
    )
    assert mixture.density_kg_m3() == pytest.approx(1000 * density, abs=0.8)
    if depression is None:
        with pytest.raises(OutOfRange):
            _ = mixture.freezing_point_c
        return
    assert -mixture.freezing_point_c == pytest.approx(depression, rel=0.16)


@pytest.mark.parametrize(("percent", "density", "depression"), CITRATE)
def test_citrate(percent: float, density: float, depression: float | None) -> None:
    assert beside.citrate_density_kg_m3(percent / 100) == pytest.approx(1000 * density, abs=0.8)
    salt = percent / 258.07
    mixture = Mixture(
        {
            "sodium": 3 * 22.990 * salt,
            "citric": 192.124 * salt,
            "water": 100 - salt * (3 * 22.990 + 192.124),
        }
    )
    assert mixture.density_kg_m3() == pytest.approx(1000 * density, abs=0.9)
    if depression is None:
        with pytest.raises(OutOfRange):
            _ = mixture.freezing_point_c
        return
    assert -mixture.freezing_point_c == pytest.approx(depression, rel=0.12)


@pytest.mark.parametrize(
    ("percent", "activity"),
    [(1, 0.994), (3, 0.983), (5, 0.970), (10, 0.935), (15, 0.892), (20, 0.839), (25, 0.774)],
)
def test_water_activity_of_brine(percent: float, activity: float) -> None:
    alone = exp(keeping.salt_ln_water_activity(molality(percent, keeping.SALT_G_MOL)))
    assert alone == pytest.approx(activity, abs=keeping.ERROR_SALT)
    made = Mixture({"salt": percent, "water": 100 - percent}).water_activity
    assert made.value == pytest.approx(activity, abs=keeping.ERROR_SALT)
    assert made.plus_minus == keeping.ERROR_SALT


def test_six_molal_brine_as_read() -> None:
    assert exp(keeping.salt_ln_water_activity(6.0)) == pytest.approx(0.760, abs=keeping.ERROR_SALT)


@pytest.mark.parametrize("grams", [28, 40, 100])
def test_more_salt_than_water_holds_has_no_density(grams: float) -> None:
    with pytest.raises(OutOfRange, match="salt in salt and water"):
        Mixture({"salt": grams, "water": 100 - 0.9 * grams}).density_kg_m3()


def test_more_salt_is_heavier_colder_and_drier() -> None:
    made = [Mixture({"salt": grams, "sucrose": 10, "water": 90}) for grams in (0, 1, 5, 10, 20)]
    for less, more in pairwise(made):
        assert more.density_kg_m3() > less.density_kg_m3()
        assert more.freezing_point_c < less.freezing_point_c
        assert more.water_activity.value < less.water_activity.value


def test_saline_of_the_pantry_is_brine() -> None:
    saline = Pantry().ingredient("saline").mixture
    assert saline.density_kg_m3() == pytest.approx(1147.8, abs=0.3)
    assert saline.freezing_point_c == pytest.approx(-16.46, abs=0.05)
    assert saline.water_activity.value == pytest.approx(0.839, abs=0.002)


@pytest.mark.parametrize("name", ["erythritol", "xylitol", "sorbitol", "isomalt", "allulose"])
def test_sugar_alcohols_state_a_wider_error(name: str) -> None:
    from prepkit.science import solution

    mixture = Mixture({name: 10, "water": 90})
    plain = Mixture({"sucrose": 10, "water": 90})
    assert 1015 < mixture.density_kg_m3() < plain.density_kg_m3() + 2
    assert solution.density_error_kg_m3(mixture.solution_fractions) > 1.0
    assert mixture.sugar == 0
    assert -3 < mixture.freezing_point_c < -0.5
