"""Each mistake with a mixture gives what it gives: worked by hand beside it."""

from __future__ import annotations

from math import log10

import pytest
from drill.worked import assert_as_by_hand, traps_of

from prepkit.drill import mixture_traps

# name -> (arguments, what comes out by hand)
BY_HAND: dict[str, tuple[dict[str, float], float | str]] = {
    "taste-in-proportion-to-time": ({"later_h": 24}, 12.0),
    "half-of-the-last-reading": ({"first": 4, "first_h": 6, "later": 7}, 5.25),
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


def test_every_trap_is_worked_by_hand() -> None:
    assert set(BY_HAND) == traps_of(mixture_traps)


@pytest.mark.parametrize("name", BY_HAND)
def test_trap_gives_what_the_mistake_gives(name: str) -> None:
    assert_as_by_hand(name, *BY_HAND[name])
