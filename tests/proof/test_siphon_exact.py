"""What a siphon load is judged on, fact by fact, written out by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from prepkit import derived
from prepkit.calculators.siphon import inputs
from prepkit.calculators.siphon import load as siphon_load
from prepkit.calculators.siphon.load import Bounds
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.numbers import written
from prepkit.pantry import Pantry
from prepkit.registry import validate
from prepkit.science import dissolved_gas, ethanol, gases

PANTRY = Pantry()
PLATE = {
    "contents": "500 ml water", "vessel_volume": "0.78 l", "max_fill": "0.5 l", "rated": "17 bar",
    "gas": "n2o", "chargers": 1, "temperature": "5 C",
}  # fmt: skip


def asked(**more: Any) -> Any:
    return validate("siphon", {**PLATE, **more})


# the plate and the manual


WITH_CHARGERS = {
    "rated_what": "the vessel",
    "peak_lower": "Take less gas, a smaller fill or a vessel with a higher rating",
    "margin_surer": "Weigh the fill, measure the inside volume with water, use one kind of "
                    "charger, keep it cold",
}  # fmt: skip


def test_nothing_told_of_the_vessel() -> None:
    facts = siphon_load.of_vessel(asked(), 2, 8.0, 12.0)
    assert facts == {
        "gas": "n2o", "gas_name": "nitrous oxide", "gas_allowed": None, "chargers": 2,
        "charger_g": 8.0, "warmest_c": 12.0, "temperature_c": 5.0, "warmest_told": False,
        "plastic_head_not_cleared": False, "plastic_head": False, "warm_without_limit_c": 12.0,
        "something_not_told": True, "before_bar": 0.0,
        "not_told": "the allowed gases, the largest charger, the most chargers, "
        "the highest temperature, the next inspection, the material of the head", **WITH_CHARGERS,
    }  # fmt: skip


def test_everything_told_of_the_vessel_at_its_worse_end() -> None:
    inputs = asked(
        gas="co2", allowed_gas="n2o, n2", allowed_charger="9 g ± 1 g", most_chargers=3,
        hottest="50 C ± 5 C", head="plastic", inspection_due="2026-12-31", date="2027-01-10",
        charger_gas_mass="8 g ± 0.4 g", warmest="30 C",
    )  # fmt: skip
    assert siphon_load.of_vessel(inputs, 4, 8.0, 30.0) == {
        "gas": "co2", "gas_name": "carbon dioxide", "gas_allowed": False, "chargers": 4,
        "charger_g": 8.4, "warmest_c": 30.0, "temperature_c": 5.0, "warmest_told": True,
        "plastic_head_not_cleared": True, "plastic_head": True, "not_told": "",
        "something_not_told": False, "before_bar": 0.0,
        "allowed_charger_g": 8.0, "charger_over_allowed": 8.4 / 8.0,
        "over_most_chargers": 1, "most_chargers": 3, "hottest_c": 45.0, "over_hottest_c": -15.0,
        "days_overdue": 10, "inspection_due": "2026-12-31", **WITH_CHARGERS,
    }  # fmt: skip
    # a plastic head is cleared by the gas being allowed, and by nothing else
    cleared = siphon_load.of_vessel(asked(head="plastic", allowed_gas="n2o"), 1, 8.0, 5.0)
    assert (cleared["plastic_head"], cleared["plastic_head_not_cleared"]) == (True, False)
    assert cleared["gas_allowed"] is True
    metal = siphon_load.of_vessel(asked(head="metal"), 1, 8.0, 5.0)
    assert (metal["plastic_head"], metal["plastic_head_not_cleared"]) == (False, False)


def test_what_only_the_plate_can_say_is_missing_where_it_was_not_told() -> None:
    assert siphon_load.missing(asked()) == {"rated_bar": 17.0, "vessel_l": 0.78, "max_fill_l": 0.5}
    nothing = asked(rated=None, vessel_volume=None, max_fill=None)
    assert siphon_load.missing(nothing) == {"rated_bar": None, "vessel_l": None,
                                             "max_fill_l": None}  # fmt: skip


def test_customs_of_the_trade() -> None:
    # two chargers for a litre of cream, one for a litre of soda; never none
    for style, litres, count in (
        ("whipped-cream", 0.5, 1), ("whipped-cream", 0.51, 2), ("whipped-cream", 1.0, 2),
        ("cold-foam", 1.0, 2), ("nitro", 1.01, 3), ("soda", 1.0, 1), ("soda", 1.2, 2),
        ("infusion", 0.01, 1),
    ):  # fmt: skip
        assert inputs.practice_count(style, 1e-3 * litres) == count, (style, litres)
    for style, wanted in (("soda", "co2"), ("nitro", "n2"), ("infusion", "n2o or co2"),
                          ("cold-foam", "n2o"), ("whipped-cream", "n2o")):  # fmt: skip
        for gas in ("n2o", "co2", "n2"):
            assert siphon_load.of_style(asked(style=style, gas=gas)) == {
                "style_wants_other_gas": gas not in wanted.split(" or "),
                "style": style, "style_gases": wanted,
            }  # fmt: skip
    assert siphon_load.of_style(asked()) == {
        "style_wants_other_gas": False, "style": "", "style_gases": "",
    }  # fmt: skip
    # CHARGER-PAGES: 8 g, nitrogen the heavier of 2.0 and 2.4 g, in a bulb of 10 ml
    assert inputs.CHARGER_G == {"n2o": 8.0, "co2": 8.0, "n2": 2.4}
    assert inputs.BULB_ML == 10.0
    assert siphon_load.WARM_C == (20.0, 35.0)
    assert {name: (one.least_bar, one.chargers_per_l) for name, one in inputs.STYLES.items()
            } == {"whipped-cream": (1.0, 2.0), "cold-foam": (1.0, 2.0), "nitro": (1.0, 2.0),
                  "soda": (0.5, 1.0), "infusion": (0.0, 2.0)}  # fmt: skip


# the charger


def test_a_charger_by_hand() -> None:
    inputs = asked(charger_temperature="45 C ± 3 C", charger_gas_mass="8 g")
    facts = siphon_load.of_charger(inputs, 8.0)
    full = gases.liquid_full_from_c("n2o", 800.0)
    hot = gases.charger_pressure_pa("n2o", 50.0, 800.0) / 1e5
    assert facts == {
        "charger_mass_assumed": False, "charger_full_c": full,
        "charger_hot_words": f" and reach {hot:.0f} bar at 50 °C", "charger_c": 48.0,
        "charger_over_storage_c": -2.0, "charger_above_full_c": 48.0 - full,
    }  # fmt: skip
    assert hot > 100.0
    # not told what it holds, nor how warm it is
    assert siphon_load.of_charger(asked(), 8.0) == {
        "charger_mass_assumed": True, "charger_full_c": full,
        "charger_hot_words": f" and reach {hot:.0f} bar at 50 °C",
    }  # fmt: skip
    # nitrogen is never a liquid in it; through a regulator there is no bulb
    warm = siphon_load.of_charger(asked(gas="n2", charger_temperature="60 C"), 2.0)
    assert warm == {"charger_mass_assumed": True, "charger_c": 60.0, "charger_over_storage_c": 10.0}
    assert siphon_load.of_charger(asked(charger_volume="0 ml"), 8.0) == {
        "charger_mass_assumed": True,
    }  # fmt: skip
    # a large one on its way out of the table at 50 C: full, and no pressure is made up for it
    heavy = siphon_load.of_charger(asked(charger_volume="10 ml"), 9.0)
    assert heavy["charger_hot_words"] == ""
    assert heavy["charger_full_c"] < full


@pytest.mark.parametrize(
    ("grams", "millilitres", "says"),
    [
        (8.0, 5.0, "8 g of n2o in a bulb of 5 ml is 1600 g/l, more than can be in one; it must be "
         "500 to 907 g/l, and 8 g need 8.82 to 16 ml"),
        (0.5, 10.0, "0.5 g of n2o in a bulb of 10 ml is 50 g/l, far less than a charger holds; it "
         "must be 500 to 907 g/l, and 0.5 g need 0.551 to 1 ml"),
        (0.0054, 10.0, "0.0054 g of n2o in a bulb of 10 ml is 0.54 g/l, far less than a charger "
         "holds; it must be 500 to 907 g/l, and 0.0054 g need 0.00595 to 0.0108 ml"),
        (8.47, 5.0, "8.47 g of n2o in a bulb of 5 ml is 1694 g/l, more than can be in one; it must "
         "be 500 to 907 g/l, and 8.47 g need 9.34 to 16.9 ml"),
        (0.05, 10.0, "0.05 g of n2o in a bulb of 10 ml is 5 g/l, far less than a charger holds; it "
         "must be 500 to 907 g/l, and 0.05 g need 0.0551 to 0.1 ml"),
    ],
)  # fmt: skip
def test_a_charger_that_cannot_be(grams: float, millilitres: float, says: str) -> None:
    with pytest.raises(BadInput) as wrong:
        siphon_load.of_charger(asked(charger_volume=f"{written(millilitres, 'ml')} ml"), grams)
    assert str(wrong.value) == (
        f"{says}: check --charger-gas-mass and --charger-volume (0 ml where gas comes through a "
        f"regulator)."
    )
    assert wrong.value.field == "charger_gas_mass"


def test_a_charger_may_be_as_full_and_as_empty_as_its_range() -> None:
    for filling in (500.0, 907.1):
        siphon_load.of_charger(asked(charger_volume="10 ml"), filling / 100.0)
    for filling in (499.99, 907.2):
        with pytest.raises(BadInput):
            siphon_load.of_charger(asked(charger_volume="10 ml"), filling / 100.0)


def test_a_charger_may_be_as_full_as_its_plus_minus_leaves_open() -> None:
    def told(grams: float, spread: float, millilitres: float) -> dict[str, Any]:
        mass = f"{written(grams, 'g')} g ± {written(spread, 'g')} g"
        inputs = asked(charger_volume=f"{written(millilitres, 'ml')} ml", charger_gas_mass=mass)
        return siphon_load.of_charger(inputs, grams)

    # 1000 g/l where 907.1 fit, 400 where 500 is the least: 92.9 and 100 g/l must be open
    told(8.0, 0.7433, 8.0)
    told(4.0, 1.0001, 10.0)
    for grams, spread, millilitres in ((8.0, 0.7431, 8.0), (4.0, 0.9999, 10.0)):
        with pytest.raises(BadInput, match="check --charger-gas-mass"):
            told(grams, spread, millilitres)
    # a very small bulb is a bulb
    small = siphon_load.of_charger(asked(charger_volume="0.8 ml"), 0.64)
    assert small["charger_full_c"] == gases.liquid_full_from_c("n2o", 800.0)


# pressure


def load_of(mixture: Mixture | None = None, **more: Any) -> siphon_load.Load:
    inputs = asked(**more)
    there = mixture or inputs.contents.mixture
    return siphon_load.load(inputs, there, (True,), 8.0, 5.0)


def test_bounds_against_the_plate_by_hand() -> None:
    load = load_of()
    facts = siphon_load.of_pressure(load, Bounds((12e5, 10e5), (12e5, 15e5)), 16.0, 0.4e-3)
    assert facts == {
        "rated_bar": 16.0, "max_fill_l": 0.4, "bound_bar": 12.0, "bound_known": True,
        "bound_over_rating": 0.75, "still_bar": 15.0, "shaking_saves": 15.0 / 16.0,
        "still_known": True, "fill_over_max": pytest.approx(1.25),
        "fill_ml": pytest.approx(500.0, rel=1e-9),
        "gas_total_g": 8.0, "solubility_unknown": False,
    }  # fmt: skip
    # filled to the mark is not over it, for its own rounding
    assert siphon_load.of_pressure(load, Bounds((1e5,), (1e5,)), 16.0, 0.5e-3)["fill_over_max"] < 1
    same = siphon_load.of_pressure(load, Bounds((12e5,), (12e5,)), 16.0, 0.4e-3)
    assert same["shaking_saves"] == 0.0
    none = siphon_load.of_pressure(load, Bounds((math.inf,), (math.inf,)), 16.0, 0.4e-3)
    assert (none["bound_bar"], none["bound_known"], none["still_known"]) == (999.0, False, False)
    assert none["bound_over_rating"] == 999.0 / 16.0
    unknown = load.replaced(solubility=None)
    assert siphon_load.of_pressure(unknown, Bounds((1e5,), (1e5,)), 16.0, 4e-4)[
        "solubility_unknown"
    ]


def test_bounds_where_it_may_come_to_stand_by_hand() -> None:
    warmer = {35.0: Bounds((18e5,), (20e5,)), 20.0: Bounds((12e5,), (12e5,))}
    assert siphon_load.of_warmth(warmer, 16.0) == {
        "warm_over_rating": 18.0 / 16.0, "warm_words": "12.0 bar at 20 °C and 18.0 bar at 35 °C",
    }  # fmt: skip
    low = siphon_load.of_warmth({35.0: Bounds((0.5e5,), (0.5e5,))}, 1.0)
    assert low["warm_over_rating"] == 0.5
    # unknown had it not been shaken is unknown
    for bounds in (Bounds((18e5,), (math.inf,)), Bounds((math.inf,), (math.inf,))):
        assert siphon_load.of_warmth({35.0: bounds}, 16.0) == {
            "warm_over_rating": 999.0 / 16.0, "warm_words": "no known limit at 35 °C",
        }  # fmt: skip
    assert siphon_load.of_warmth({}, 16.0) == {"warm_over_rating": 0.0, "warm_words": ""}


def test_hydrate_line_by_hand() -> None:
    load = load_of(gas="co2", charger_gas_mass="8 g", temperature="4 C")
    line = dissolved_gas.hydrate_pa("co2", 4.0)
    facts = siphon_load.of_hydrate(load, 1.5 * line)
    assert facts == {
        "over_hydrate_line": pytest.approx(1.5),
        "hydrate_bar": pytest.approx((line - 101325.0) / 1e5),
    }
    # colder than 0 C the line of 0 C, warmer than is known nothing
    cold = load.replaced(temperature_c=-3.0)
    at_0_c = dissolved_gas.hydrate_pa("co2", 0.0)
    assert siphon_load.of_hydrate(cold, at_0_c)["over_hydrate_line"] == pytest.approx(1.0)
    assert siphon_load.of_hydrate(load.replaced(temperature_c=15.0), 50e5) == {}
    assert siphon_load.of_hydrate(load, None) == {}
    assert siphon_load.of_hydrate(load.replaced(gas="n2"), 50e5) == {}


# what is in it


def facts_of(words: str, **more: Any) -> dict[str, Any]:
    return inputs.unfit(asked(contents=words, **more).contents)


def test_acids_of_the_contents_by_their_hazard_classes() -> None:
    """CLP-ACIDS: corrosive from 5 % lactic, 25 % phosphoric or acetic; their shares add up."""
    mixture = Mixture({"water": 0.88, "lactic": 0.02, "phosphoric": 0.05, "acetic": 0.05})
    part = replace_mixture("500 ml water", mixture)
    facts = inputs.unfit(part)
    assert facts["corrosive_share"] == pytest.approx(100 * (0.02 / 5 + 0.05 / 25 + 0.05 / 25))
    # as citric by equivalents: 192.12/3, 90.08, 97.99/2 to pH 8.2 at its two protons, 60.05
    one = derived.acid_as_citric(Mixture({"water": 0.9, "lactic": 0.1}))
    assert one == pytest.approx(0.1 * (192.124 / 3) / 90.078, rel=1e-3)
    assert derived.acid_as_citric(Mixture({"water": 0.9, "citric": 0.1})) == pytest.approx(0.1)
    assert facts["acid_citric_percent"] == pytest.approx(100 * derived.acid_as_citric(mixture))
    burns = inputs.of_contents(
        asked(), Mixture({"water": 0.9, "tartaric": 0.02, "succinic": 0.03, "lactic": 0.05}), 5.0
    )
    assert burns["eye_damage_percent"] == pytest.approx(10.0)


def replace_mixture(words: str, mixture: Mixture) -> Any:
    return replace_part(PANTRY.part(words), mixture)


def replace_part(part: Any, mixture: Mixture) -> Any:
    return part.replaced(mixture=mixture)


def test_oil_of_peel_is_told() -> None:
    oily = Mixture({"water": 0.9, "essential_oil": 0.04, "ethanol": 0.06})
    facts = inputs.unfit(replace_mixture("500 ml water", oily))
    assert facts["oil_percent"] == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("words", "stuck"),
    [
        ("500 ml water", False), ("500 ml cream 35 %", False), ("500 ml olive oil", False),
        ("500 g white sugar", True), ("200 g strawberries", False), ("10 g mint", True),
        ("500 ml syrup 65 Bx", False),
    ],
)  # fmt: skip
def test_what_flows(words: str, stuck: bool) -> None:
    assert facts_of(words)["no_liquid"] is stuck


def test_what_flows_is_judged_by_its_water_spirit_and_oil() -> None:
    def stuck(**masses: float) -> bool:
        return bool(inputs.unfit(replace_mixture("1 l water", Mixture(masses)))["no_liquid"])

    # 10 % of water and spirit together, or half of it oil
    assert not stuck(water=0.06, ethanol=0.04, sucrose=0.9)
    assert stuck(water=0.06, ethanol=0.0399, sucrose=0.9001)
    assert not stuck(fat=0.3, milk_fat=0.1, essential_oil=0.1, sucrose=0.5)
    assert stuck(fat=0.3, milk_fat=0.1, essential_oil=0.0999, sucrose=0.5001)

    def dried(water: float) -> bool:
        fruit = PANTRY.part("200 g strawberries")
        mixture = Mixture({"water": water, "fructose": 1.0 - water})
        return bool(inputs.unfit(replace_part(fruit, mixture))["no_liquid"])

    assert not dried(0.70)
    assert dried(0.6999)


def test_gas_of_the_contents_by_the_marks_of_the_mixture() -> None:
    marks = {
        "gassy": "already_gassy", "fermenting": "fermenting", "carbonate": "carbonate",
    }  # fmt: skip
    for mark in (None, *marks):
        mixture = Mixture({"water": 1.0}, tags=frozenset((mark,) if mark else ()))
        facts = inputs.unfit(replace_mixture("1 l water", mixture))
        assert {fact: facts[fact] for fact in marks.values()} == {
            fact: tag == mark for tag, fact in marks.items()
        }
    # 84.007 g of baking soda free 44.01 g of carbon dioxide
    soda = inputs.unfit(PANTRY.part("84.0070 g baking soda"))
    assert soda["carbonate_co2_g_kg"] == pytest.approx(1e3 * 44.01 / 84.007, rel=1e-3)
    both = asked(contents="1 l water, 50 g baking soda").contents
    assert inputs.unfit(both)["carbonate_co2_g_kg"] == pytest.approx(25.0, abs=0.2)


def named(part: Any, name: str) -> Any:
    kind = part.ingredient
    return part.replaced(ingredient=kind.replaced(name=name))


@pytest.mark.parametrize(
    ("tags", "keeps", "fibre", "clogs"),
    [
        ((), (), 0.0, False), (("pulp",), (), 0.0, True), (("raw-juice",), (), 0.0, True),
        ((), ("juice",), 0.0, True), ((), ("fruit",), 0.0, True), (("raw-egg",), (), 0.0, False),
        ((), ("dairy",), 0.0, False), ((), (), 0.001, True), ((), (), 0.00099, False),
    ],
)  # fmt: skip
def test_what_clogs(
    tags: tuple[str, ...], keeps: tuple[str, ...], fibre: float, clogs: bool
) -> None:
    mixture = Mixture(
        {"water": 1.0 - fibre, "fibre": fibre}, frozenset(), frozenset(tags), frozenset(keeps)
    )
    water = PANTRY.part("500 ml water")
    assert inputs.clogs(water, mixture) is clogs
    juice = PANTRY.part("500 ml lemon juice")
    assert inputs.clogs(juice, Mixture({"water": 1.0})) is True  # by its kind
    facts = inputs.of_contents(asked(), mixture, 5.0)
    assert facts["clogs"] is clogs
    assert inputs.of_contents(asked(strained=True), mixture, 5.0)["clogs"] is False


@pytest.mark.parametrize(
    ("tags", "keeps", "citric", "curdles"),
    [
        (("dairy",), (), 0.003, True), (("dairy",), (), 0.00299, False),
        ((), ("dairy",), 0.003, True), ((), (), 0.1, False), ((), ("juice",), 0.1, False),
        (("dairy", "citric-powder"), (), 0.002, True),
        (("dairy", "citric-powder"), (), 0.0019, False),
        ((), ("dairy", "juice"), 0.0, True), (("dairy",), ("juice",), 0.0, True),
    ],
)  # fmt: skip
def test_what_curdles(
    tags: tuple[str, ...], keeps: tuple[str, ...], citric: float, curdles: bool
) -> None:
    mixture = Mixture(
        {"water": 1.0 - citric, "citric": citric}, frozenset(), frozenset(tags), frozenset(keeps)
    )
    assert derived.curdles(mixture, charged=True) is curdles
    assert inputs.of_contents(asked(), mixture, 5.0)["curdles"] is curdles


def test_fat_and_spirit_by_gas() -> None:
    rich = Mixture({"water": 0.5, "milk_fat": 0.3, "fat": 0.1, "ethanol": 0.1})
    by_gas = {gas: inputs.of_contents(asked(gas=gas), rich, 20.0)
              for gas in ("n2o", "co2", "n2")}  # fmt: skip
    for gas, facts in by_gas.items():
        assert facts["co2_with_fat_percent"] == pytest.approx(40.0 if gas == "co2" else 0.0)
        assert facts["n2_with_fat_percent"] == pytest.approx(40.0 if gas == "n2" else 0.0)
        assert facts["overrun_cap_percent"] == 0.0
        assert ("oxidiser_with_abv" in facts) is (gas == "n2o")
    assert by_gas["n2o"]["oxidiser_with_abv"] == pytest.approx(100 * rich.abv)


@pytest.mark.parametrize(
    ("abv", "error_k"), [(0.05, 6.0), (0.0999, 6.0), (0.10, 4.0), (0.40, 4.0), (1.0, 4.0)]
)
def test_how_far_above_its_flash_point_less_its_error(abv: float, error_k: float) -> None:
    facts = inputs._burning(abv, 20.0)
    flash = ethanol.flash_point_c(abv)
    assert facts == {
        "flash_c": flash,
        "flash_limit_c": pytest.approx(flash - error_k),
        "over_flash_c": pytest.approx(20.0 - flash + error_k),
    }


def test_weaker_than_the_table_of_flash_points_begins() -> None:
    assert inputs._burning(0.005, 20.0) == inputs._burning(0.05, 20.0)
    assert inputs._burning(0.0049, 20.0) == {}


# the vessel as it is filled


def test_a_load_as_told_by_hand() -> None:
    inputs = asked(
        contents="400 ml ± 20 ml water", vessel_volume="0.78 l ± 0.01 l", temperature="5 C",
        charger_gas_mass="8 g ± 0.4 g", charger_tolerance=3, altitude="1000 m ± 200 m",
    )  # fmt: skip
    mixture = inputs.contents.mixture
    load = siphon_load.load(inputs, mixture, (True, False), 8.0, 30.0)
    assert (load.gas, load.temperature_c, load.warmest_c) == ("n2o", 5.0, 30.0)
    assert load.charges_kg == (0.008, 0.008)
    assert load.shaken == (True, False)
    assert load.vessel_m3 == pytest.approx(0.78e-3)
    assert load.liquid_m3 == pytest.approx(0.4e-3)
    assert load.liquid_most_m3 == pytest.approx(0.42e-3)
    hot = siphon_load.hot_volume_m3(mixture, 30.0)
    assert load.cold_m3 == siphon_load.cold_volumes_m3(mixture)
    assert load.hot_m3 == hot
    assert hot > 0.4e-3
    # fuller by 5 %, the vessel smaller by 10 ml
    assert load.liquid_hot_m3 == pytest.approx(1.05 * hot + 0.01e-3)
    assert load.bulb_m3 == pytest.approx(10e-6)
    smallest = gases.smallest_bulb_m3("n2o", 0.0076)
    assert load.smallest_bulb_m3 == pytest.approx(min(10e-6, smallest))
    assert load.tolerance == pytest.approx(0.05)  # of 3 % and 0.4 in 8 g the more
    assert load.air_pa == load.ambient_pa == pytest.approx(gases.ambient_pressure_pa(1000.0))
    assert load.thinnest_pa == pytest.approx(gases.ambient_pressure_pa(1200.0))
    assert load.solubility == siphon_load.solubility("n2o", 5.0, mixture)
    lowest = siphon_load.solubility("n2o", 30.0, mixture)
    assert lowest is not None
    assert load.lowest_hot == lowest.low


def test_a_load_by_what_is_not_told_and_what_is_at_the_other_end() -> None:
    plain = load_of()
    assert plain.tolerance == 0.05
    assert load_of(charger_gas_mass="8 g ± 0.2 g", charger_tolerance=4).tolerance == pytest.approx(
        0.04
    )
    assert load_of(purged=True).air_pa == 0.0
    assert load_of(purged=True).ambient_pa == pytest.approx(101325.0)
    assert load_of(charger_volume="0 ml").smallest_bulb_m3 == 0.0
    # colder than 1 C nothing is known to dissolve better
    inputs = asked(temperature="0 C")
    cold = siphon_load.load(inputs, inputs.contents.mixture, (True,), 8.0, 0.0)
    at_1_c = siphon_load.solubility("n2o", 1.0, inputs.contents.mixture)
    assert at_1_c is not None
    assert cold.solubility == at_1_c
    assert cold.lowest_hot == at_1_c.low
    oil = asked(contents="400 ml olive oil", gas="n2")
    nothing = siphon_load.load(oil, oil.contents.mixture, (True,), 2.4, 5.0)
    assert (nothing.solubility, nothing.lowest_hot) == (None, 0.0)
    # a volume is measured where it is filled, a mass takes the room that it has there
    by_mass = asked(contents="400 g spirit 40 %", temperature="30 C")
    filled = siphon_load.load(by_mass, by_mass.contents.mixture, (True,), 8.0, 30.0)
    assert filled.liquid_m3 == pytest.approx(by_mass.contents.mixture.volume_m3(30.0))
    assert filled.liquid_m3 > by_mass.contents.mixture.volume_20_m3
    planned = asked(contents="400 g spirit 40 %", temperature="30 C", mode="plan", chargers=None,
                    portions=5, portion_size="60 ml", style="cold-foam")  # fmt: skip
    # a plan fills by volume whatever its parts were weighed in
    portion = planned.contents.mixture
    assert siphon_load.load(planned, portion, (True,), 8.0, 30.0).liquid_m3 == (
        portion.volume_20_m3
    )
    # a millilitre is the least room for gas
    assert load_of(contents="778.98 ml water", max_fill="0.779 l").headspace_m3 > 1e-6
    for full in ("779.02 ml water", "780 ml water"):
        with pytest.raises(BadInput, match="no room is left for the gas"):
            load_of(contents=full, max_fill="0.779 l")


def test_vessels_of_a_plan_by_hand() -> None:
    inputs = asked(mode="plan", chargers=None, portions=11, portion_size="60 ml", style="cold-foam")
    count, one, all_of_it = siphon_load.batch(inputs)
    # eight portions of 60 ml go into 0.5 l: two vessels, six in the fuller
    assert count == 2
    assert one.volume_20_m3 == pytest.approx(6 * 60e-6)
    assert all_of_it.volume_20_m3 == pytest.approx(11 * 60e-6)
    for told in (asked(), asked(mode="plan", chargers=None, portions=11, portion_size="60 ml",
                                style="cold-foam", max_fill=None)):  # fmt: skip
        count, one, all_of_it = siphon_load.batch(told)
        assert count == 1
        assert one == all_of_it == told.contents.mixture
