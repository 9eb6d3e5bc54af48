"""siphon: gas through a regulator, kegs, and a vessel that is not empty."""

from __future__ import annotations

import re
from typing import Any

import pytest

from prepkit import run
from prepkit.errors import BadInput
from prepkit.science import charged_vessel

SIPHON = {
    "contents": "500 ml water", "vessel_volume": "0.78 l", "max_fill": "0.5 l", "rated": "8 bar",
    "gas": "co2", "temperature": "5 C",
}  # fmt: skip
KEG = {
    "mode": "keg", "contents": "18 l water", "rated": "9 bar", "line_rated": "6 bar",
    "regulator_rated": "4 bar", "gas": "co2", "temperature": "5 C", "target_volumes": 2.5,
}  # fmt: skip


def stops(said: dict[str, Any], **changed: Any) -> set[str]:
    words = {name: one for name, one in {**said, **changed}.items() if one is not None}
    found = run("siphon", words)
    return {one.id for one in found.cautions if one.severity == "stop"}


def test_a_bulb_of_nothing_is_a_regulator_and_its_set_pressure_is_asked_for() -> None:
    for changed in ({"chargers": 1}, {"chargers": 1, "charger_gas_mass": "8 g"}, {}):
        found = stops(SIPHON, charger_volume="0 ml", rated="40 bar", **changed)
        assert found == {"siphon-regulator-missing"}
    assert run("siphon", {**SIPHON, "regulator": "1 bar"}).verdict == "care"


def test_the_set_pressure_is_judged_with_its_plus_minus_and_carried_to_the_warmest() -> None:
    """What dissolved cold comes out warm: the shut vessel passes what the regulator never does."""
    assert "siphon-regulator-over-rating" in stops(SIPHON, regulator="8.1 bar")
    assert "siphon-regulator-over-rating" in stops(SIPHON, regulator="7.9 bar ± 0.2 bar")
    assert stops(SIPHON, regulator="6 bar") == {"siphon-peak-over-rating"}
    assert not stops(SIPHON, regulator="6 bar", warmest="5 C")
    bounds = [
        run("siphon", {**SIPHON, "regulator": "2 bar", "warmest": f"{at} C"}).values["bound"].value
        for at in (5, 15, 25, 35, 45)
    ]
    assert bounds == sorted(bounds)
    assert bounds[0] >= 2.0


def test_the_relief_valve_is_always_named() -> None:
    for said in (
        {**SIPHON, "regulator": "1 bar"},
        {**SIPHON, "charger_volume": "0 ml"},
        KEG,
        {**KEG, "rated": "0.7 bar"},
    ):
        assert "siphon-relief-valve" in {one.id for one in run("siphon", said).cautions}


def test_a_regulator_and_chargers_are_not_both() -> None:
    with pytest.raises(BadInput, match="leave out"):
        run("siphon", {**SIPHON, "regulator": "1 bar", "chargers": 1})


# kegs


def test_keg_pressure_by_the_reference() -> None:
    """2.5 volumes in water: 0.8 bar at 5 C, shut and full 1.9 to 2.0 bar at 20 C (processes C1)."""
    found = run("siphon", KEG)
    assert found.verdict == "care"
    assert found.values["set_pressure"].value == pytest.approx(0.8, abs=0.06)
    assert 1.9 <= found.values["bound"].value <= 2.2
    warm = run("siphon", {**KEG, "warmest": "30 C"}).values["bound"].value
    assert 2.8 <= warm <= 3.2


@pytest.mark.parametrize("name", ["rated", "line_rated", "regulator_rated"])
def test_a_part_of_the_keg_without_a_rating_is_a_stop(name: str) -> None:
    assert "siphon-keg-part-missing" in stops(KEG, **{name: None})
    found = run("siphon", {key: one for key, one in KEG.items() if key != name})
    assert "set_pressure" not in found.values


def test_the_weakest_part_of_the_keg_decides() -> None:
    assert stops(KEG, regulator_rated="0.75 bar") == {"siphon-regulator-over-rating"}
    assert stops(KEG, line_rated="1.5 bar") == {"siphon-peak-over-rating"}
    assert stops(KEG, rated="1.5 bar") == {"siphon-peak-over-rating"}
    assert "set_pressure" not in run("siphon", {**KEG, "line_rated": "1.5 bar"}).values
    assert "siphon-already-gassy" in stops(KEG, contents="18 l beer")


def test_gas_held_and_pressure_over_it_are_the_way_back_of_settled() -> None:
    for gas, at_c, henry in (("co2", 5.0, 6.263e-4), ("n2o", 20.0, 2.5e-4), ("n2", 10.0, 8e-6)):
        for grams in (1.0, 5.0, 9.0):
            there = charged_vessel.settled(gas, at_c, 1e-3 * grams, 0.4e-3, 0.6e-3, henry, 0.0, 0.0)
            held = charged_vessel.held_kg(gas, at_c, there.gas_pa, 0.4e-3, 0.6e-3, henry)
            assert held == pytest.approx(1e-3 * grams, rel=1e-6)
    over = charged_vessel.pressure_over_pa("co2", 5.0, 100.0, 6.263e-4)
    held = charged_vessel.held_kg("co2", 5.0, over, 1e-9, 1.0, 6.263e-4)
    assert held == pytest.approx(100.0 * 44.01e-3, rel=1e-4)


# a vessel that is not empty


def test_what_is_in_it_already_is_added_to_the_bound() -> None:
    load = {**SIPHON, "chargers": 1, "rated": "45 bar"}
    bounds = [
        run("siphon", {**load, "pressure_before": f"{bar} bar"}).values["bound"].value
        for bar in (0, 1, 2, 4)
    ]
    empty = run("siphon", load)
    assert bounds[0] == empty.values["bound"].value
    for bar, bound in zip((1, 2, 4), bounds[1:], strict=True):
        assert bound >= bounds[0] + bar
    assert "siphon-vessel-not-empty" in {
        one.id for one in run("siphon", {**load, "pressure_before": "1 bar"}).cautions
    }
    standing = next(one for one in empty.cautions if one.id == "siphon-stands-pressure")
    assert "only for an empty, vented vessel" in standing.text


@pytest.mark.parametrize("line", ["2 bar", "2.2 bar", "3 bar", "6 bar", "12 bar"])
def test_a_keg_is_told_the_rating_that_it_is_judged_by(line: str) -> None:
    """No stop reads as a peak below the rating: the weaker of keg and lines decides."""
    found = run("siphon", {**KEG, "line_rated": line})
    weaker = min(9.0, float(line.split(maxsplit=1)[0]))
    if "bound" not in found.values:
        assert found.verdict == "stop"
        return
    bound = found.values["bound"].value
    assert found.values["margin"].value == pytest.approx(weaker - bound)
    if bound > weaker:
        assert found.verdict == "stop"
    assert f"weaker of keg and lines rated {weaker:g} bar" in found.result.deciding
    assert not any("rated 9 bar" in one.text for one in found.cautions if weaker < 9.0)


@pytest.mark.parametrize(
    ("said", "changed", "key"),
    [
        (KEG, {"line_rated": "1.5 bar"}, "target_volumes"),
        (KEG, {"regulator_rated": "0.5 bar"}, "target_volumes"),
        (KEG, {"rated": "1 bar", "target_volumes": 9.0}, "target_volumes"),
        (SIPHON, {"regulator": "8.1 bar"}, "regulator"),
        (SIPHON, {"regulator": "7.9 bar ± 0.3 bar"}, "regulator"),
        (SIPHON, {"regulator": "20 bar"}, "regulator"),
    ],
)
def test_a_pressure_above_a_rating_has_a_lower_one_as_its_way_out(
    said: dict[str, Any], changed: dict[str, Any], key: str
) -> None:
    """The figure offered is judged as it is shown, and a keg is offered no other fill."""
    found = run("siphon", {**said, **changed})
    assert found.verdict == "stop"
    low = [one for one in found.result.ways_out if "volumes" in one.label or "set to" in one.label]
    assert low
    assert low[0].verdict != "stop"
    figure = re.findall(r"[0-9.]+", low[0].label)[0]
    spread = " ± 0.3 bar" if "±" in str(changed.get(key)) else ""
    told: Any = float(figure) if key == "target_volumes" else f"{figure} bar{spread}"
    assert run("siphon", {**said, **changed, key: told}).verdict == low[0].verdict
    if said is KEG:
        assert not any("instead of" in one.label for one in found.result.ways_out)


@pytest.mark.parametrize(
    "said",
    [{**KEG, "line_rated": "1.5 bar"}, {**SIPHON, "regulator": "6 bar"}, {**SIPHON, "chargers": 3}],
)
def test_a_stop_of_the_peak_names_what_is_rated_and_what_lowers_it(said: dict[str, Any]) -> None:
    row = next(one for one in run("siphon", said).cautions if one.id == "siphon-peak-over-rating")
    keg, chargers = said.get("mode") == "keg", "chargers" in said
    assert ("weaker of keg and lines is rated 1.5 bar" in row.text) == keg
    assert ("the vessel is rated" in row.text) == (not keg)
    assert ("smaller fill" in row.action) == chargers


def test_a_regulator_above_its_own_rating_says_so_first() -> None:
    found = run("siphon", {**KEG, "regulator_rated": "0.5 bar"})
    assert found.result.deciding.endswith("weakest part rated 0.5 bar.")
