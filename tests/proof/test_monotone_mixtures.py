"""Mixtures of gases and fresh air in any unit: more gas, less room, less air is never milder."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proof.ranks import rank

from prepkit.registry import run

PAIRS = st.sampled_from([("nitrogen", "co2"), ("argon", "co2"), ("helium", "nitrogen")])


def verdict(words: str, room_m3: float, air: str) -> int:
    said = {"release": words, "volume": f"{room_m3:.6f} m3", "air_changes": air}
    return rank("room", said)


@settings(max_examples=20, deadline=None)
@given(
    pair=PAIRS, first=st.integers(1, 99), m3=st.floats(0.001, 5.0), hours=st.floats(0.1, 8.0),
    flow=st.booleans(), room=st.floats(5.0, 300.0), air=st.floats(0.1, 15.0),
    step=st.floats(1.01, 3.0),
)  # fmt: skip
def test_more_gas_less_room_less_air_is_never_milder(
    pair: tuple[str, str], first: int, m3: float, hours: float, flow: bool, room: float,
    air: float, step: float,
) -> None:  # fmt: skip
    def words(times: float) -> str:
        mix = f"{first} % {pair[0]} and {100 - first} % {pair[1]}"
        if flow:
            return f"{m3 * times / hours:.9f} m3/h of {mix} for {hours:.6f} h"
        return f"{m3 * times:.9f} m3 of {mix}"

    base = verdict(words(1.0), room, f"{air:.6f} /h")
    assert verdict(words(step), room, f"{air:.6f} /h") >= base
    assert verdict(words(1.0), room / step, f"{air:.6f} /h") >= base
    assert verdict(words(1.0), room, f"{air / step:.6f} /h") >= base
    assert verdict(words(1.0), room, "0 /h") >= base


@settings(max_examples=12, deadline=None)
@given(
    kg=st.floats(0.05, 20.0), room=st.floats(10.0, 200.0), air=st.floats(0.2, 15.0),
    hours=st.floats(0.5, 6.0),
)  # fmt: skip
def test_fresh_air_is_worth_the_same_in_any_unit(
    kg: float, room: float, air: float, hours: float
) -> None:
    words = f"{kg:.6f} kg co2 over {hours:.6f} h"
    flow = air * room
    said = {"release": words, "volume": f"{room:.9f} m3"}
    base = run("room", {**said, "air_changes": f"{air:.12f} /h"})
    for other in (f"{flow:.9f} m3/h", f"{flow / 3.6:.9f} l/s", f"{flow / 1.69901082:.9f} cfm"):
        same = run("room", {**said, "air_changes": other})
        assert same.verdict == base.verdict
        for name, value in base.values.items():
            assert same.values[name].value == pytest.approx(value.value, rel=1e-5, abs=1e-7)
