"""A drink in its glass: the melt of the reference page, and what must hold of any glass."""

from __future__ import annotations

from itertools import pairwise

import pytest

from prepkit.errors import OutOfRange
from prepkit.science import heat

# ice lost, g/min, wall 1.5 C, by air and humidity: worked out from the dew figures of a journal
MELT = (
    (22.0, 0.50, 1.4, 2.5),
    (25.0, 0.60, 2.0, 3.6),
    (32.0, 0.65, 3.2, 5.8),
    (20.0, 0.0, 0.9, 1.5),
)


@pytest.mark.parametrize(("air_c", "damp", "slow", "fast"), MELT)
def test_ice_melts_as_the_dew_figures_say(
    air_c: float, damp: float, slow: float, fast: float
) -> None:
    gain = heat.heat_gain_w(1.5, air_c, (damp, damp), 0.025)
    found = heat.melt_g_min(gain)
    assert (found.slow, found.fast) == pytest.approx((slow, fast), abs=0.1)


def test_damp_and_warm_air_heat_more_and_a_band_is_ordered() -> None:
    gains = [heat.heat_gain_w(0.0, air, (0.4, 0.6), 0.025) for air in (5.0, 15.0, 25.0, 35.0)]
    for one in gains:
        assert one.slow <= one.likely <= one.fast
    assert all(a.fast < b.fast for a, b in pairwise(gains))
    dry = heat.heat_gain_w(0.0, 25.0, (0.0, 0.0), 0.025)
    assert dry.fast < gains[2].fast
    rate = heat.warming_per_min(gains[2], 25.0, 600.0)
    assert rate.slow < rate.likely < rate.fast


def test_outside_what_is_known_is_refused() -> None:
    for words in ((5.0, 4.0, (0.5, 0.5), 0.02), (0.0, 22.0, (0.5, 1.1), 0.02),
                  (0.0, 60.0, (0.5, 0.5), 0.02), (0.0, 22.0, (0.5, 0.5), 0.0)):  # fmt: skip
        with pytest.raises(OutOfRange):
            heat.heat_gain_w(*words)
    with pytest.raises(OutOfRange):
        heat.outside_m2(5.0)
