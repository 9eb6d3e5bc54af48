"""What a meter set in water buffers shows in spirit, beside the computed pH."""

from __future__ import annotations

import re

import pytest

from prepkit.registry import run


def sour(strength: str) -> dict[str, list[str]]:
    return {"part": [f"100 ml spirit {strength}", "0.5 g citric acid"]}


def test_a_strong_sour_is_told_what_the_meter_shows() -> None:
    # NBS-BENZOIC-ETHANOL (EV3-35): 44.1 % by mass, 51.8 % vol, 0.14 high; 12 % vol nothing to say
    answer = run("blend", sour("50 %"))
    said = next(one for one in answer.cautions if one.id == "acid-meter-in-spirit")
    shown, own = (float(one) for one in re.findall(r"\d\.\d\d", said.text))
    assert shown - own == pytest.approx(0.13, abs=0.02)
    assert own == pytest.approx(answer.values["ph"].value, abs=0.006)
    weak = run("blend", sour("15 %"))
    assert "acid-meter-in-spirit" not in {one.id for one in weak.cautions}


def test_what_is_too_strong_for_a_ph_has_no_reading_either() -> None:
    answer = run("blend", sour("60 %"))
    assert "ph" not in answer.values
    assert "acid-meter-in-spirit" not in {one.id for one in answer.cautions}
