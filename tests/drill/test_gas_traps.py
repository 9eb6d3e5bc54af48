"""Each mistake with gas gives what it gives: worked by hand beside it."""

from __future__ import annotations

import pytest
from drill.worked import assert_as_by_hand, gives, traps_of

from prepkit.drill import gas_traps

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
}  # fmt: skip
OTHER_SIDE: dict[str, dict[str, float]] = {
    "custom-decides": {"chargers": 2, "fill_ml": 500},
    "test-pressure-for-rated": {"bound_bar": 24.1, "rated_bar": 16},
    "no-margin": {"bound_bar": 16.1, "rated_bar": 16},
    "oxygen-alone-decides": {"oxygen_percent": 19.4},
    "air-alone-decides": {"co2_percent": 3.1},
}


def test_every_trap_is_worked_by_hand() -> None:
    assert set(BY_HAND) == traps_of(gas_traps)


@pytest.mark.parametrize("name", BY_HAND)
def test_trap_gives_what_the_mistake_gives(name: str) -> None:
    assert_as_by_hand(name, *BY_HAND[name])


@pytest.mark.parametrize("name", OTHER_SIDE)
def test_mistaken_rule_says_stop_past_its_limit(name: str) -> None:
    assert gives(name, OTHER_SIDE[name]) == "stop"
