"""How warm a charged vessel may come to stand, against bounds that are made by hand."""

from __future__ import annotations

import math
from typing import Any

from prepkit.calculators.siphon import load as siphon_facts
from prepkit.calculators.siphon.load import Bounds


def test_the_degree_to_which_it_is_within_the_rating_by_hand() -> None:
    def at(place_c: float) -> Bounds:  # 10 bar at 0 C, 0.2 bar more for each degree
        return Bounds((1e6 + 2e4 * place_c,), (1e6 + 2e4 * place_c,))

    def within(told_c: float, rated_bar: float) -> dict[str, Any]:
        return siphon_facts.of_passing(at, at(told_c), told_c, rated_bar)

    assert within(5.0, 16.0) == {"within_to_c": 30.0}  # at 30 C just the rating
    assert within(5.0, 15.99) == {"within_to_c": 29.0}
    assert within(5.5, 11.15) == {"within_to_c": 5.0}
    assert within(5.0, 20.0) == {}  # at 50 C just the rating
    assert within(5.0, 19.99) == {"within_to_c": 49.0}
    assert within(40.0, 17.9) == {}  # passed already
    assert within(50.0, 30.0) == {}

    def lost(place_c: float) -> Bounds:
        return Bounds((1e6,), (math.inf if place_c > 33 else 1e6,))

    assert siphon_facts.of_passing(lost, lost(5.0), 5.0, 16.0) == {"within_to_c": 33.0}
