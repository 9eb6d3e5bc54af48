"""siphon: no load that is harder on the vessel may look milder, over the whole input space."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from prepkit import cautions, run
from prepkit.calculators.siphon import compute
from prepkit.errors import PrepkitError
from prepkit.registry import validate

ORDER = ("clear", "care", "stop")
REFUSED = 3
MOST_G = {"n2o": 8.0, "co2": 8.0, "n2": 2.4}
LIQUIDS = ("cream 35 %", "water", "spirit 30 %", "syrup 50 Bx", "white wine 12 %")
# a plate that says nothing against it, so that clear, care and stop all come up
PLATE = {
    "allowed_charger": "9 g",
    "most_chargers": 12,
    "hottest": "70 C",
    "head": "metal",
    "inspection_due": "2027-03-01",
    "date": "2026-11-25",
    "strained": True,
}


def verdict(load: dict[str, Any]) -> int:
    """0 clear, 1 care, 2 stop, 3 refused as bad input."""
    try:
        result = compute(validate("siphon", load))
    except PrepkitError:
        return REFUSED
    assert all(math.isfinite(one) for one in result.numbers().values())
    # what `run` judges, without the +/- of every value
    facts = {**cautions.about(result.product), **result.facts}
    return ORDER.index(cautions.verdict(cautions.judge("siphon", facts)))


LOADS = st.fixed_dictionaries(
    {
        "liquid": st.sampled_from(LIQUIDS),
        "gas": st.sampled_from(["n2o", "co2", "n2"]),
        "total": st.floats(0.3, 1.6),
        "share": st.floats(0.2, 0.95),
        "mark": st.floats(0.2, 0.98),
        "fill_spread": st.floats(0.0, 0.1),
        "mark_spread": st.floats(0.0, 0.1),
        "total_spread": st.floats(0.0, 0.05),
        "rated": st.floats(5.0, 50.0),
        "rated_spread": st.floats(0.0, 2.0),
        "shakes": st.lists(st.booleans(), min_size=1, max_size=4),
        "t": st.floats(1.0, 50.0),
        "t_spread": st.floats(0.0, 3.0),
        "warmer": st.none() | st.floats(0.0, 15.0),
        "altitude": st.floats(0.0, 3000.0),
        "mass": st.floats(0.8, 1.0),
        "mass_spread": st.floats(0.0, 0.1),
        "over": st.floats(0.0, 20.0),
        "bulb": st.just(0.0) | st.floats(10.0, 12.0),
        "charger_c": st.none() | st.floats(0.0, 49.0),
        "purged": st.booleans(),
        "step": st.floats(1.0001, 1.3),
    }
)


def words(load: dict[str, Any]) -> dict[str, Any]:
    """One load as it would be typed."""
    total, gas = load["total"], load["gas"]
    fill_ml = 1e3 * load["share"] * total
    mark_l = load["mark"] * total
    mass_g = load["mass"] * MOST_G[gas]
    said = {
        **PLATE,
        "allowed_gas": gas,
        "contents": f"{fill_ml:.6f} ml ± {fill_ml * load['fill_spread']:.6f} ml {load['liquid']}",
        "vessel_volume": f"{load.get('inside', total):.9f} l ± {load['total_spread']:.9f} l",
        "max_fill": f"{mark_l:.9f} l ± {mark_l * load['mark_spread']:.9f} l",
        "rated": f"{load['rated']:.9f} bar ± {load['rated_spread']:.9f} bar",
        "gas": gas,
        "sequence": " ".join("charge shake" if one else "charge" for one in load["shakes"]),
        "temperature": f"{load['t']:.9f} C ± {load['t_spread']:.9f} C",
        "altitude": load["altitude"],
        "charger_gas_mass": f"{mass_g:.9f} g ± {load['mass_spread'] * mass_g:.9f} g",
        "charger_volume": load["bulb"],
        "charger_tolerance": load["over"],
        "purged": load["purged"],
    }
    if load["warmer"] is not None:
        said["warmest"] = load["t"] + load["warmer"]
    if load["charger_c"] is not None:
        said["charger_temperature"] = load["charger_c"]
    return said


def worse(load: dict[str, Any]) -> list[dict[str, Any]]:
    """The same load with one thing at a time harder on the vessel."""
    step, shakes = load["step"], load["shakes"]
    found: list[dict[str, Any]] = [
        {"share": load["share"] * step},
        {"fill_spread": load["fill_spread"] + step - 1.0},
        {"mark": load["mark"] / step},
        {"mark_spread": load["mark_spread"] + step - 1.0},
        {"inside": max(load["mark"] * load["total"] * 1.0001, load["total"] / step)},
        {"total_spread": load["total_spread"] + 0.1 * (step - 1.0)},
        {"rated": max(0.6 + load["rated_spread"], load["rated"] / step)},
        {"rated_spread": min(load["rated"] - 0.6, load["rated_spread"] * step + step - 1.0)},
        {"shakes": [*shakes, True]},
        {"shakes": [*shakes, False]},
        {"t": load["t"] * step},
        {"t_spread": load["t_spread"] + 5.0 * (step - 1.0)},
        {"altitude": load["altitude"] + 1500.0 * (step - 1.0)},
        {"mass": min(1.0, load["mass"] * step)},
        {"mass_spread": load["mass_spread"] + step - 1.0},
        {"over": load["over"] + 10.0 * (step - 1.0)},
    ]
    found += [
        {"shakes": [*shakes[:place], False, *shakes[place + 1 :]]}
        for place, one in enumerate(shakes)
        if one
    ]
    if load["warmer"] is not None:
        found.append({"warmer": load["warmer"] + 20.0 * (step - 1.0)})
    if load["bulb"]:
        found.append({"bulb": load["bulb"] / step})
        if load["charger_c"] is None:  # without a bulb there is none to be too warm
            found.append({"bulb": 0.0})
    if load["charger_c"] is not None:
        found.append({"charger_c": load["charger_c"] + 10.0 * (step - 1.0)})
    return found


# PREPKIT_DEEP makes more of them (tests/conftest.py)
@settings(
    max_examples=150,
    suppress_health_check=[HealthCheck.too_slow],
    deadline=None,
)
@given(LOADS)
def test_verdict_is_monotone(load: dict[str, Any]) -> None:
    base = verdict(words(load))
    if base == REFUSED:
        return
    for change in worse(load):
        assert verdict(words({**load, **change})) >= base, change
    assert verdict(words({**load, "purged": not load["purged"]})) == base
    # not told how warm it will stand: never milder than told that it stays as it was filled
    if load["warmer"] is None:
        assert base >= verdict(words({**load, "warmer": 0.0}))


def test_all_verdicts_come_up() -> None:
    """The space above is no use if one of them never does."""
    load = {
        "liquid": "water", "gas": "n2o", "total": 0.78, "share": 0.6, "mark": 0.65,
        "fill_spread": 0.0, "mark_spread": 0.0, "total_spread": 0.0, "rated": 25.0,
        "rated_spread": 0.0, "shakes": [True], "t": 5.0, "t_spread": 0.0, "warmer": 10.0,
        "altitude": 0.0, "mass": 1.0, "mass_spread": 0.0, "over": 5.0, "bulb": 10.0,
        "charger_c": None, "purged": False, "step": 1.1,
    }  # fmt: skip
    assert verdict(words(load)) == 0
    assert verdict(words({**load, "warmer": None})) == 0
    assert verdict(words(load)) == ORDER.index(run("siphon", words(load)).verdict)
    assert verdict(words({**load, "rated": 12.0})) == 2
    # a rating between what is to be reckoned with as filled and at 35 C
    assert verdict(words({**load, "rated": 14.2, "warmer": None})) == 1
    assert verdict(words({**load, "bulb": 5.0})) == REFUSED
    for change in worse(load):
        assert verdict(words({**load, **change})) >= 0
