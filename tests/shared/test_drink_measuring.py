"""Steps of the bar's measures."""

from __future__ import annotations

import pytest

from prepkit.errors import BadInput
from prepkit.shared.drink import round_steps


@pytest.mark.parametrize(
    "said", [["0 ml"], ["-5 ml"], ["nan g"], ["2e6 g"], ["5 ml", "10 ml"], ["5 min"], ["5"]]
)
def test_what_is_no_step_is_refused(said: list[str]) -> None:
    with pytest.raises(BadInput):
        round_steps(said)


def test_steps_by_unit() -> None:
    assert round_steps([]) == {}
    assert round_steps(["2,5 ml", "1 g"]) == {"ml": 2.5, "g": 1.0}
