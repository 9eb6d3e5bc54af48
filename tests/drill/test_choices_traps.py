"""Each trap gives what its mistake gives: worked by hand beside it."""

from __future__ import annotations

import re
from math import log10
from typing import Any

import pytest

from prepkit.drill.choices import TRAPS
from prepkit.drill.templates import TOPICS, templates

# name -> (arguments, what comes out by hand)
BY_HAND: dict[str, tuple[dict[str, float], float | str]] = {
    # 1.01325 bar of air outside
    "gauge-for-absolute": ({"gauge_bar": 13.1}, 14.11325),
    # air in 290 ml spread over 300 ml: 1.01325 x 290 / 300 = 0.979475
    "air-forgotten": ({"gauge_bar": 13.1, "headspace_ml": 290}, 12.120525),
    # 8/44.013 mol x 8.314462618 x 278.15 K / 290e-6 m3 = 14.4953 bar; air 0.978310 - 1.01325
    "ideal-gas": (
        {"gas_g": 8, "headspace_ml": 280, "celsius": 5, "molar_g": 44.013}, 14.460,
    ),
    # 290 ml against 400 - 0 + 10: 10 bar x 290 / 290
    "nominal-fill": (
        {"gauge_bar": 10, "headspace_ml": 570, "vessel_l": 0.78, "max_fill_l": 0.5}, 20.0,
    ),
    "settled-for-peak": ({"settled_bar": 6.4}, 6.4),
    "peak-for-bound": ({"peak_bar": 13.1}, 13.1),
    "nothing-dissolves": ({"peak_bar": 13.1}, 13.1),
    "to-the-mark": ({"max_fill_l": 0.5, "fill_ml": 400}, 100.0),
    "whole-vessel": ({"vessel_l": 0.78}, 780.0),
    "litres-for-grams": ({"gas_g": 8}, 8.0),
    "light-as-air": ({"gas_g": 12.04}, 10.0),  # air 1.204 g/l at 20 C
    "molar-volume-at-0-c": ({"gas_g": 44.01, "molar_g": 44.01}, 22.414),
    "overrun-of-foam-volume": ({"overrun_percent": 300}, 75.0),  # 300 % overrun is 75 % gas
    "expansion-for-overrun": ({"overrun_percent": 300}, 400.0),
    "whole-charge-whips": ({"vented_l": 4.0, "fill_ml": 500}, 800.0),
    "all-dissolves": ({"gas_g": 8, "fill_ml": 800}, 10.0),
    "volumes-for-grams": ({"volumes": 4.0}, 4.0),
    # 120 ml a portion: 4 in half a litre, 40 portions in 10 vessels
    "foam-for-liquid": ({"portions": 40, "portion_ml": 40, "times": 3, "max_fill_l": 0.5}, 10),
    "rounded-down": ({"portions": 40, "portion_ml": 40, "max_fill_l": 0.5}, 3),
    "filled-to-the-head": ({"portions": 40, "portion_ml": 40, "vessel_l": 0.78}, 3),
    "custom-decides": ({"chargers": 1, "fill_ml": 500}, "clear"),
    "test-pressure-for-rated": ({"bound_bar": 20, "rated_bar": 16}, "clear"),
    "no-margin": ({"bound_bar": 15.9, "rated_bar": 16}, "clear"),
    "co2-volumes-for-nitrogen": ({"chart_volumes": 2.4}, 240.0),
    # 44.0098 / 22.414 = 1.96350 g a litre, x 273.15 / 293.15
    "volumes-at-20-c": ({"volumes": 2.0}, 3.65908),
    "mixture-as-pure": ({"pure_bar": 0.8}, 0.8),
    "gauge-shared-out": ({"pure_bar": 0.7, "share": 70}, 1.0),
    "smooth-flow-in-a-beer-line": ({"drop_low": 0.375}, 0.075),
    "all-pressure-to-the-rise": ({"set_bar": 1.098}, 1.0),
    "set-pressure-for-bound": ({"set_bar": 2, "rated_bar": 5}, "clear"),
    "taste-in-proportion-to-time": ({"later_h": 24}, 12.0),
    "half-of-the-last-reading": ({"first": 4, "first_h": 6, "later": 7}, 5.25),
    "nothing-seen": ({}, "nothing"),
    "fault-not-there": ({}, "another"),
    "thousand-for-one": ({"liquid_l": 35}, 35000.0),  # the manual that makes 35 m3 of 35 l
    "wrong-nitrogen-density": ({"gas_l": 806}, 860.0),
    "litre-for-litre": ({"liquid_l": 5}, 5.0),
    "whole-share-off-oxygen": ({"gas_l": 3000, "room_m3": 30}, 10.95),
    "harmless-gas": ({}, 20.95),
    "oxygen-drop-for-gas": ({"oxygen_percent": 19.95}, 1.0),
    "kilogram-for-cubic-metre": ({"mass_kg": 10, "room_m3": 20}, 50.0),
    "cold-gas-counted": ({"least_g": 228}, 228.0),
    # 2 kg x 4186 J x 18 K / 573 kJ/kg
    "batch-as-water": ({"litres": 2, "from_c": 20, "to_c": 2, "latent_kj_kg": 573}, 262.995),
    "nitrogen-as-water": ({"liquid_l": 0.9}, 900.0),
    "slow-loss": ({"stored_kg": 5, "hours": 10}, 4.5),
    "nothing-lost": ({"stored_kg": 5}, 5.0),
    "oxygen-alone-decides": ({"oxygen_percent": 20.1}, "clear"),
    "air-alone-decides": ({"co2_percent": 2.0}, "clear"),
    "little-is-nothing": ({}, "clear"),
    # 6.921 % of 60 m3 over 0.5 m3 for a kilogram
    "oxygen-sizes-the-mass": ({"gas_l": 500, "mass_kg": 1, "room_m3": 60}, 8305.5),
    "cubic-metre-sizes-the-mass": ({"room_m3": 60}, 600.0),  # 1 % of 60 m3 is 0.6 m3
    "oxygen-sizes-the-room": ({"gas_l": 4350}, 62.85),  # 4.35 / (1 - 19.5 / 20.95)
    "leave-level-for-alarm": ({"gas_l": 4350}, 30.892),  # 4.35 / (1 - 18 / 20.95)
    "all-at-once": ({"gas_l": 174, "room_m3": 30}, 5800.0),
    "litres-for-grams-in-air": ({"ppm": 145, "gas_g": 8, "gas_l": 4.35}, 266.67),
    "changes-forgotten": ({"leak_m3_h": 0.6, "room_m3": 30}, 2.0),
    "shift-all-stays": ({"leak_m3_h": 6, "hours": 8, "room_m3": 30}, 160.0),  # above one
    "volumes-added": ({"first_ml": 1000, "second_ml": 1000}, 2000.0),  # 1983 in truth
    "grams-as-millilitres": ({"mass_g": 950}, 950.0),
    "strength-by-volumes-added": ({"first_ml": 100, "percent": 60, "second_ml": 100}, 30.0),
    "strengths-averaged": ({"percent": 60}, 30.0),
    "dilution-by-volumes": ({"spirit_ml": 700, "percent": 60, "to_percent": 40}, 350.0),
    "dilution-of-the-start": ({"spirit_ml": 600, "percent": 60, "to_percent": 40}, 200.0),
    "volume-percent-as-grams": ({"volume_ml": 50, "percent": 40}, 20.0),
    "volume-percent-of-mass": ({"mass_g": 47.5, "percent": 40}, 19.0),
    "volume-percent-as-mass-percent": ({"percent": 40}, 40.0),
    "alcohol-density-alone": ({"percent": 40}, 31.5696),
    "proof-is-percent": ({"percent": 40}, 40.0),
    "british-proof": ({"percent": 40}, 70.0),
    # 27.2 of 20 K above zero: 11600 J x 20 / 29 = 8000 J over 333.6 J/g
    "stops-at-zero": ({"heat_j": 11600, "from_c": 20, "end_c": -9}, 23.981),
    "no-heat-of-mixing": ({"heat_j": 12000, "per_gram_j": 300}, 40.0),
    "no-melt": ({"spirit_ml": 60, "percent": 40, "sour_ml": 20, "sweet_ml": 20}, 24.0),
    # a third of the end taken as a third of the start: 24 / 1.2
    "final-share-on-the-start": (
        {"spirit_ml": 60, "percent": 40, "sour_ml": 20, "sweet_ml": 20,
         "final_share_percent": 20}, 20.0,
    ),
    "of-the-start-volume": ({"percent": 47}, 47.0),
    "of-the-start-mass": ({"percent": 46}, 46.0),
    "label-strength-kept": ({"percent": 43}, 43.0),
    "fruit-only-drinks": ({"percent": 40, "poured_ml": 1000, "kept_ml": 200}, 32.0),
    "heap-of-sugar-added": ({"sugar_g": 850, "water_g": 500}, 1500.0),
    "sugar-adds-no-volume": ({"water_g": 500}, 500.0),
    "per-water": ({"solids_g": 1000, "water_g": 500}, 200.0),
    "ratio-by-volume": ({"sugar_g": 1000, "water_g": 1000}, 45.946),  # 85 to 100
    "difference-on-the-start": ({"mass_g": 1000, "own_percent": 10, "to_percent": 45}, 350.0),
    "own-content-forgotten": ({"mass_g": 1000, "to_percent": 50}, 1000.0),
    "mass-percent-times-ten": ({"percent": 50}, 500.0),
    "per-litre-of-water": ({"sugar_g": 500, "water_g": 500}, 1000.0),
    "all-of-it-sugar": ({"sweet_g": 500, "water_g": 500}, 50.0),
    "reading-is-sugar": ({"reading": 24}, 24.0),
    "correction-added": ({"reading": 24, "right": 22.7}, 25.3),
    "wrong-way-in-temperature": ({"reading": 24, "right": 24.8}, 23.2),
    "temperature-left-out": ({"reading": 24}, 24.0),
    "strength-taken-off": ({"reading": 36, "percent": 15}, 21.0),
    "one-to-one-dissolves": ({"sugar_g": 100, "gained_g": 8, "water_g": 40}, 52.0),
    "peel-takes-nothing": ({"undissolved_g": 11.8, "gained_g": 8}, 19.8),
    "what-is-left": ({"mass_g": 900, "own_percent": 15, "to_percent": 45}, 300.0),
    "water-of-crystals-forgotten": ({"mass_g": 500, "percent": 6}, 30.0),
    "purity-upside-down": ({"mass_g": 500, "percent": 6, "purity_percent": 80}, 24.0),
    "bottle-strength-forgotten": ({"mass_g": 500, "percent": 6}, 30.0),
    "millilitres-as-grams": ({"volume_ml": 500, "percent": 20}, 100.0),
    "percent-of-the-water": ({"water_g": 400, "percent": 20}, 80.0),
    "bound-acid-counted": ({"settled_percent": 7.1}, 7.1),
    "percent-is-percent": ({"acid_percent": 10}, 10.0),
    "equivalents-upside-down": ({"acid_percent": 6.4041, "equivalent_g": 67.04}, 6.704),
    "own-acid-forgotten": ({"mass_g": 1000, "to_percent": 6}, 60.0),
    # 192.12 g in 9999.99... g of water per cent: 1 % is 10/99 mol-scale of 192.12
    "all-protons-free": (
        {"percent": 1, "molar_g": 192.12, "protons": 3}, -log10(3 * 10.101010 / 192.12),
    ),
    "first-proton-free": ({"percent": 1, "molar_g": 192.12}, -log10(10.101010 / 192.12)),
    "drop-of-a-twentieth": ({"drops": 20, "density_g_ml": 1.08}, 1.08),
    "drop-of-an-insert": ({"drops": 10}, 0.33),
    "volume-as-weight": ({"percent": 20}, 20.0),
    "grams-on-the-water": ({"grams": 25}, 20.0),
    # ten drops of 0.05 g, a fifth of it salt
    "salt-is-sodium": ({"percent": 20, "twenty_g": 1.0, "drops": 10}, 100.0),
    "stock-is-salt": ({"twenty_g": 1.0, "drops": 10}, 196.5),
    "all-water-is-ice": ({"mass_g": 800, "ethanol_g": 200}, 75.0),
    "share-of-the-water": ({"share_percent": 49}, 49.0),
    "to-the-brim": ({"inside_ml": 700}, 700.0),
    "ice-shrinks": ({"inside_ml": 1000}, 1090.7),
    "butter-as-water": ({"spirit_ml": 700, "percent": 40, "fat_g": 100}, 35.0),
    "solids-for-extraction": ({"tds": 9}, 9.0),
    "dose-over-cup": ({"tds": 9, "dose_g": 18, "cup_g": 36}, 4.5),
    "nothing-held-back": ({"water_g": 1000}, 1000.0),
    "dose-taken-off": ({"water_g": 1000, "dose_g": 60}, 940.0),
    "gram-for-gram": ({"cup_g": 36}, 36.0),
    "stops-at-the-room": ({"melt": 28.0, "hot_c": 70}, 20.0),
    # 0.05 g is 1.78508 mmol and 0.0429489 l, in 50,000 l
    "room-for-dome": ({"fuel_g": 0.5, "room_m3": 50}, 0.858979),
    "all-of-the-wood": ({"co_face": 42900}, 429000.0),
    "fresh-air-in-lungs": ({"empty_l": 1.2, "lung_l": 6}, 4.19),
    "breath-halves-it": ({}, 10.475),
    "strength-as-share": ({"volume_ml": 120, "to_percent": 20}, 24.0),
    "rest-of-the-glass": ({"volume_ml": 120, "to_percent": 20, "percent": 40}, 60.0),
    "likely-for-sure": ({"likely_min": 15.9}, 15.9),
}  # fmt: skip

OTHER_SIDE: dict[str, dict[str, float]] = {
    "custom-decides": {"chargers": 2, "fill_ml": 500},
    "test-pressure-for-rated": {"bound_bar": 24.1, "rated_bar": 16},
    "no-margin": {"bound_bar": 16.1, "rated_bar": 16},
    "oxygen-alone-decides": {"oxygen_percent": 19.4},
    "air-alone-decides": {"co2_percent": 3.1},
}


def test_every_trap_is_worked_by_hand() -> None:
    assert set(BY_HAND) == set(TRAPS)


@pytest.mark.parametrize("name", BY_HAND)
def test_trap_gives_what_the_mistake_gives(name: str) -> None:
    arguments, expected = BY_HAND[name]
    assert set(TRAPS[name].arguments) == set(arguments)
    got = TRAPS[name].gives(**arguments)
    if isinstance(expected, str):
        assert got == expected
    else:
        assert got == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize("name", OTHER_SIDE)
def test_mistaken_rule_says_stop_past_its_limit(name: str) -> None:
    assert TRAPS[name].gives(**OTHER_SIDE[name]) == "stop"


@pytest.mark.parametrize("name", TRAPS)
def test_trap_has_its_words(name: str) -> None:
    trap = TRAPS[name]
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)+", name)
    assert trap.done.endswith(".")
    assert trap.right.endswith(".")
    assert trap.done != trap.right


def test_every_trap_is_set_by_a_question_and_every_one_set_exists() -> None:
    set_by: Any = {b.trap for topic in TOPICS for t in templates(topic) for b in t.traps}
    assert set_by >= set(TRAPS)  # those of the topic files come beside
