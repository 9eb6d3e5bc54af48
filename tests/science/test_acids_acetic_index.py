"""The vinegar sums: hand sums of the published formula, monotone, and only in their range."""

from __future__ import annotations

import pytest

from prepkit.errors import OutOfRange
from prepkit.registry import run
from prepkit.science import acids


def test_by_hand() -> None:
    # EV3-84, EV3-85; all acid unsplit but 1 part in 1 + 10^1.256 = 19.03
    stable = acids.stability_index(3.0, 1.0, 10.0, 20.0, 3.5)
    assert stable == pytest.approx(15.75 * 3.0 * (1 - 1 / 19.03) + 3.08 + 10 + 10, abs=0.05)
    assert acids.safety_index(3.0, 1.0, 10.0, 20.0, 3.5) == pytest.approx(stable + 20.0)


def test_more_acid_salt_or_sugar_and_lower_ph_never_lower_it() -> None:
    base = (2.0, 1.0, 10.0, 20.0, 3.5)
    least = acids.safety_index(*base)
    for at in range(4):
        more = list(base)
        more[at] += 1.0
        assert acids.safety_index(*more) > least
    assert acids.safety_index(*base[:4], 3.4) > least


@pytest.mark.parametrize("ph", [2.4, 4.1])
def test_outside_its_range_there_is_none(ph: float) -> None:
    with pytest.raises(OutOfRange):
        acids.safety_index(2.0, 0.0, 0.0, 0.0, ph)


def test_keep_shows_it_for_vinegar_alone_and_it_clears_nothing() -> None:
    shrub = ["500 g white sugar", "500 g water", "60 g acetic acid 80 %"]
    with_ph = run("keep", {"part": shrub, "ph": 3.0})
    assert any(table.name == "vinegar" for table in with_ph.tables)
    assert with_ph.verdict == "care"
    for part, ph in (
        ([*shrub, "30 g citric acid"], 3.0),
        ([*shrub, "200 ml whole milk"], 3.0),
        ([*shrub, "200 ml vodka 40 %"], 3.0),
        (shrub, 4.3),
    ):
        other = run("keep", {"part": part, "ph": ph})
        assert not any(table.name == "vinegar" for table in other.tables)
