"""One item at the amounts of its recipe: demands worked back, vessels, weigh-outs."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.trial import RECIPE, plan, weighed

from prepkit.index import CALCULATORS
from prepkit.plan.items import demands, fills, weigh_outs
from prepkit.registry import answer as answer_of
from prepkit.registry import load, validate


@settings(deadline=None, max_examples=25)
@given(st.integers(1, 2000), st.integers(1, 5))
def test_weigh_outs_are_linear_in_the_serves(serves: int, times: int) -> None:
    one, many = weighed(plan(serves=serves)), weighed(plan(serves=serves * times))
    assert many == {key: pytest.approx(times * g, rel=1e-9) for key, g in one.items()}


def test_demands_worked_back() -> None:
    found = demands(
        ["a", "b"], {"s": {"b": 2.0}, "t": {"a": 1.0}}, {"a": {}, "b": {"a": 0.5}},
        {"a": 1.0, "b": 4.0}, {"a": 0.5, "b": 0.0}, {},
    )  # fmt: skip
    assert found["b"].scale == pytest.approx(0.5)
    assert found["a"].needed_kg == pytest.approx(1.0 + 0.5 * 0.5)
    assert found["a"].made_kg == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("volume", "most", "count"),
    [(1, 500, 1), (499.9, 500, 1), (500, 500, 1), (500.001, 500, 2), (1500, 500, 3),
     (3 * 0.1 * 1000, 100, 3)],
)  # fmt: skip
def test_vessels_are_counted_whole(volume: float, most: float, count: int) -> None:
    assert fills(volume, most) == count


@settings(deadline=None, max_examples=40)
@given(st.integers(1, 3000))
def test_no_vessel_is_filled_above_its_most(serves: int) -> None:
    one = plan(serves=serves)["vessels"][0]
    assert one["each_ml"] <= one["most_ml"]
    # in one vessel less it would not fit
    assert one["fills"] == 1 or one["each_ml"] * one["fills"] / (one["fills"] - 1) > one["most_ml"]
    nitro = 100 * serves
    assert one["each_g"] * one["fills"] == pytest.approx(nitro, rel=1e-9)
    assert one["chargers"] == one["fills"] * one["chargers_each"]


def test_an_exactly_full_vessel_is_not_called_overfull() -> None:
    text = RECIPE.replace("100 g my-nitro", "100 ml my-nitro")
    said = plan(text, 30)
    assert said["vessels"][0]["fills"] == 3
    assert said["vessels"][0]["each_ml"] == pytest.approx(1000, rel=1e-9)
    assert said["verdict"] != "stop"


@pytest.mark.parametrize("name", CALCULATORS)
def test_what_is_weighed_is_at_least_what_is_made(name: str) -> None:
    import shlex

    said: dict[str, Any] = {}
    words = shlex.split(load(name).example)[2:]
    for place, word in enumerate(words):
        if word.startswith("--"):
            value = words[place + 1] if place + 1 < len(words) else "yes"
            said.setdefault(word[2:], []).append("yes" if value.startswith("--") else value)
    inputs = validate(name, {k: v if len(v) > 1 else v[0] for k, v in said.items()})
    answer = answer_of(name, inputs)
    if answer.product is None or answer.verdict == "stop":
        pytest.skip("it makes nothing")
    if name in ("dose", "layer", "chill"):
        pytest.skip("what it takes beyond its parts has a test of its own, or is a check")
    total = sum(line.mass_g for line in weigh_outs(inputs, answer))
    assert total >= 1000 * answer.product.mass_kg * (1 - 1e-6)
