"""siphon: what is in it decides, whatever it was mixed with and however it came here."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import blocks, cautions, mixture, run
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.registry import answer, validate

VESSEL = {
    "vessel_volume": "0.78 l", "max_fill": "0.5 l", "rated": "30 bar", "gas": "n2o", "chargers": 1,
    "temperature": "5 C", "warmest": "20 C", "allowed_gas": "n2o", "allowed_charger": "8 g",
    "charger_gas_mass": "8 g", "most_chargers": 2, "hottest": "60 C", "head": "metal",
    "inspection_due": "2027-03-01", "date": "2026-11-25",
}  # fmt: skip
OF_GAS = {
    mixture.GASSY: "siphon-already-gassy",
    mixture.FERMENTING: "siphon-fermenting",
    mixture.CARBONATE: "siphon-carbonate",
}
ENTRIES = [
    (entry["name"], OF_GAS[hazard])
    for path in blocks.names("pantry")
    for entry in blocks.blocks(path, "ingredient")
    for hazard in entry["hazards"]
    if hazard in OF_GAS
]


def ids(found: Any) -> set[str]:
    return {one.id for one in found.cautions if one.severity == "stop"}


def charged(product: Mixture, **more: Any) -> Any:
    pantry = Pantry().with_items({"mix": product})
    return answer("siphon", validate("siphon", {**VESSEL, "contents": "400 g mix", **more}, pantry))


def test_there_is_something_to_look_at() -> None:
    assert len(ENTRIES) > 15


@pytest.mark.parametrize(("name", "stop"), ENTRIES)
def test_any_share_of_gas_stops_alone_mixed_and_carried(name: str, stop: str) -> None:
    assert stop in ids(run("siphon", {**VESSEL, "contents": f"100 g {name}"}))
    both = run("siphon", {**VESSEL, "contents": f"400 ml white wine 12 %, 0.1 g {name}"})
    assert stop in ids(both)
    assert not {"peak", "bound", "settled"} & both.values.keys()
    mixed = run("blend", {"part": ["0.1 g " + name, "400 ml water"]})
    assert mixed.product is not None
    assert stop in ids(charged(mixed.product))
    thinner = run("blend", {"part": ["500 ml water", "1 g sugar"]})
    assert thinner.product is not None
    assert stop in ids(charged(mixed.product + thinner.product))


# fire


@pytest.mark.parametrize(
    ("contents", "warmest", "gas", "found"),
    [
        ("400 ml gin 40 %", 21.9, "n2o", None),  # flash point 26 C, less 4
        ("400 ml gin 40 %", 22.01, "n2o", "stop"),
        ("400 ml gin 40 %", 22.01, "co2", "care"),
        ("400 ml gin 40 %", 21.9, "co2", None),
        ("267 ml water, 133 ml spirit 15 %", 55.9, "n2o", None),  # 62 C, less 6
        ("267 ml water, 133 ml spirit 15 %", 56.0, "n2o", "stop"),
        ("373 ml water, 27 ml spirit 15 %", 56.0, "n2o", "stop"),
        ("400 ml spirit 15 %", 39.0, "n2o", "stop"),
    ],
)
def test_nitrous_oxide_over_what_can_be_lit(
    contents: str, warmest: float, gas: str, found: str | None
) -> None:
    loaded = run(
        "siphon",
        {**VESSEL, "contents": contents, "warmest": warmest, "gas": gas, "allowed_gas": gas},
    )
    fire = {"siphon-warm-spirit-under-oxidiser": "stop", "siphon-hot-spirit": "care"}
    assert [fire[one.id] for one in loaded.cautions if one.id in fire] == ([found] if found else [])


# what plugs


@pytest.mark.parametrize(
    ("contents", "temperature", "verdict"),
    [
        ("400 g honey", 20, "stop"),
        ("400 g honey", 50, "care"),
        ("300 ml water, 3 g gelatine", 10, "care"),
        ("300 ml water, 6 g gelatine", 10, "stop"),
        ("300 ml water, 2 g agar", 10, "stop"),
        ("300 ml water, 3 g methylcellulose", 10, "care"),
        ("300 ml water, 3 g methylcellulose", 55, "stop"),
        ("300 g coconut oil", 10, "stop"),
        ("300 g coconut oil", 45, "care"),
        ("300 ml cream 35 %, 100 g dark chocolate", 10, "stop"),
    ],
)
@pytest.mark.parametrize("strained", [False, True])
def test_what_sets_plugs_the_valve_strained_or_not(
    contents: str, temperature: float, verdict: str, strained: bool
) -> None:
    found = run(
        "siphon",
        {**VESSEL, "contents": contents, "temperature": temperature, "rated": "45 bar",
         "warmest": max(20, temperature), "strained": strained},
    )  # fmt: skip
    plug = {"siphon-set-contents": "stop", "siphon-may-plug": "care"}
    assert [plug[one.id] for one in found.cautions if one.id in plug] == [verdict]


def test_every_stop_of_the_contents_gives_no_number_to_go_ahead_with() -> None:
    for row in cautions.candidates("siphon"):
        assert row.severity != "stop" or row.when or row.standing


def test_many_chargers_speak_of_the_gas_of_this_load() -> None:
    for gas, name in (("n2o", "nitrous oxide"), ("co2", "carbon dioxide"), ("n2", "nitrogen")):
        words = {
            "gas": gas,
            "allowed_gas": gas,
            "charger_gas_mass": None,
            "portions": 120,
            "portion_size": "40 ml",
            "mode": "plan",
            "style": "nitro",
            "chargers": None,
        }
        said = {**VESSEL, "contents": "1 l water", **words}
        found = run("siphon", {key: one for key, one in said.items() if one is not None})
        rows = [one for one in found.cautions if one.id == "siphon-many-chargers"]
        assert rows, gas
        others = {"nitrous oxide", "carbon dioxide", "nitrogen"} - {name}
        assert name in rows[0].text
        assert not any(other in rows[0].text for other in others)
