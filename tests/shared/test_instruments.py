"""What instruments show and back: nothing is lost, and what no sample can show is refused."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from prepkit.errors import BadInput
from prepkit.science import ethanol, solution
from prepkit.shared import instruments
from prepkit.shared.instruments import Graduations, SampleAcid

REFRACTOMETER = ("the refractometer", "Bx", "refractometer")
ABV = st.floats(0.0, 0.22)
ACID = st.builds(SampleAcid, st.sampled_from(["citric", "malic"]), st.floats(0.0, 0.05))


@given(st.floats(0.0, 0.45), ABV, ACID, st.floats(0.0, 1.0))
def test_two_readings_come_back_as_their_sample(
    sugar: float, abv: float, acid: SampleAcid, water: float
) -> None:
    mix = instruments.composition(sugar, abv, acid)
    assume(mix["ethanol"] < 0.295)
    assert instruments.abv_of(mix) == pytest.approx(abv, abs=1e-9)
    sample = instruments.thinned(mix, water)
    shown, density = instruments.refractometer_of(sample), solution.density_kg_m3(sample)
    found = instruments.from_two(shown, density, 20.0, acid, water)
    assert found["sucrose"] == pytest.approx(sugar, abs=2e-4)
    assert instruments.abv_of(found) == pytest.approx(abv, abs=2e-4)


@given(st.floats(0.0, 0.6), ABV, ACID)
def test_one_reading_and_the_strength_give_the_sugar(
    sugar: float, abv: float, acid: SampleAcid
) -> None:
    shown = instruments.refractometer_of(instruments.composition(sugar, abv, acid))
    found = instruments.from_one(instruments.refractometer_of, shown, REFRACTOMETER, abv, acid)
    assert found["sucrose"] == pytest.approx(sugar, abs=1e-6)


def test_what_no_sample_can_show_is_refused() -> None:
    def read(shown: float) -> None:
        instruments.from_one(
            instruments.refractometer_of, shown, REFRACTOMETER, 0.4, SampleAcid("citric", 0.05)
        )

    with pytest.raises(BadInput, match="without any sugar"):
        read(2.0)
    with pytest.raises(BadInput, match="richest syrup"):
        read(120.0)
    with pytest.raises(BadInput, match="temperature"):
        instruments.require_near_20(26.0, 0.02)
    instruments.require_near_20(26.0, 0.0)  # the correction is that of sugar


def test_a_reading_at_an_end_of_the_scale_is_none() -> None:
    scale = Graduations("refractometer", "Bx", highest=32.0, lowest=5.0)
    scale.check(31.9)
    for reading, word in ((32.0, "over range"), (5.0, "under range")):
        with pytest.raises(BadInput, match=word):
            scale.check(reading)
    assert [instruments.usual_end(bx) for bx in (32.0, 31.9, 62.04)] == [32.0, None, 62.0]


def test_a_float_made_for_20_c_reads_by_its_glass() -> None:
    # glass widens by 25 millionths a kelvin: 10 K warm, the mark stands 0.025 % high
    assert instruments.seen_density(1000.0, 30.0) == pytest.approx(
        1000.0 * (1.0 - 10.0 * ethanol.GLASS_PER_K)
    )
    assert instruments.seen_density(1000.0, 20.0) == 1000.0
