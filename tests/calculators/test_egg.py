"""Egg in drinks: foams of white, yolk and whole egg, raw or pasteurised, in spirit, by place."""

from __future__ import annotations

from typing import Any

import pytest

from prepkit import cautions
from prepkit.calculators.foam import inputs
from prepkit.errors import BadInput
from prepkit.registry import run

DRINK = ["150 ml spirit 30 %", "250 ml water", "60 g white sugar"]
EGGS = ("egg white", "egg yolk", "whole egg")


def foam(foamer: str, egg: str | None = "pasteurised", **more: Any) -> Any:
    said = {"liquid": DRINK, "foamer": foamer, "dose": "20 %", "egg": egg, **more}
    return run("foam", {name: one for name, one in said.items() if one is not None})


def ids(answer: Any) -> set[str]:
    return {one.id for one in answer.cautions}


def text_of(caution: str) -> str:
    return next(row.text for row in cautions.rows() if row.id == caution)


@pytest.mark.parametrize("foamer", EGGS)
def test_raw_or_pasteurised_is_asked_for_and_carried(foamer: str) -> None:
    with pytest.raises(BadInput, match="raw or pasteurised"):
        foam(foamer, None)
    raw, safe = foam(foamer, "raw"), foam(foamer)
    assert "raw-egg" in raw.product.tags
    assert "raw-egg" not in safe.product.tags
    for found in (raw, safe):
        assert found.product.allergens == {"eggs"}
        assert "allergens-to-declare" in ids(found)
        assert "milk-and-egg-out-of-the-cold" in ids(found)
    assert {"raw-egg-unheated", "raw-egg-in-spirit"} <= ids(raw)
    assert not {"raw-egg-unheated", "raw-egg-in-spirit"} & ids(safe)
    assert raw.verdict == "care"
    assert foam(f"raw {foamer}", None).product.tags == raw.product.tags
    grams = raw.product.mass_kg - safe.product.mass_kg
    assert grams == pytest.approx(0.0, abs=1e-9)


def test_foams_lie_within_what_was_measured() -> None:
    # egg foams and batters were mixed from 1225 down to 235 kg/m3 [EGG-BATTERS]
    for foamer in EGGS:
        found = foam(foamer)
        low, high = (found.values[name].value for name in ("density_low", "density_high"))
        assert 200 < low < high < 1225
    white = inputs.table()["egg white"].way("whip")
    yolk = inputs.table()["egg yolk"].way("whip")
    assert white is not None
    assert yolk is not None
    assert white.high < yolk.high, "yolk takes in less air"


def test_yolk_is_warned_of_heat_and_siphon_only_where_raw() -> None:
    assert "foam-egg-whisked-warm" in ids(foam("egg yolk", "raw"))
    assert "foam-egg-whisked-warm" not in ids(foam("egg yolk"))
    assert "foam-egg-whisked-warm" not in ids(foam("egg white", "raw"))
    for foamer in EGGS:
        assert "foam-egg-into-a-siphon" in ids(foam(foamer, "raw", method="siphon"))
        assert "foam-egg-into-a-siphon" not in ids(foam(foamer, method="siphon"))


def test_the_evidence_is_told_as_it_was_measured() -> None:
    for caution in ("raw-egg-in-spirit", "keep-raw-egg-in-spirit"):
        said = text_of(caution)
        for figure in ("9 % vol", "thousandfold", "3 weeks", "22", "7", "4"):  # EV3-80, 81
            assert figure in said, (caution, figure)


@pytest.mark.parametrize("amount", [1, 40, 400])
def test_no_strength_clears_raw_egg(amount: int) -> None:
    found = run("blend", {"part": ["30 g egg white", f"{amount} ml spirit 60 %", "60 ml water"]})
    assert found.verdict == "care"
    assert {"raw-egg-unheated", "raw-egg-in-spirit"} <= ids(found)
    kept = run("keep", {"part": ["30 g egg white", f"{amount} ml spirit 60 %"],
                        "made": "2026-11-25", "today": "2026-11-26"})  # fmt: skip
    assert "keep-raw-egg-in-spirit" in ids(kept)


def test_strong_spirit_sets_egg() -> None:
    strong = run("blend", {"part": ["30 g pasteurised egg white", "90 ml spirit 50 %"]})
    weak = run(
        "blend", {"part": ["30 g pasteurised egg white", "60 ml spirit 40 %", "60 ml water"]}
    )
    assert "egg-meets-strong-spirit" in ids(strong)
    assert "egg-meets-strong-spirit" not in ids(weak)
    assert foam("egg yolk", liquid=["300 ml spirit 40 %"]).verdict == "care"


@pytest.mark.parametrize(
    ("place", "caution"),
    [("UK", "raw-egg-rule-uk"), ("US", "raw-egg-rule-us"), ("California", "raw-egg-rule-us"),
     ("Germany", "raw-egg-rule-de"), ("Australia", "raw-egg-rule-au")],
)  # fmt: skip
def test_a_place_says_who_is_not_served(place: str, caution: str) -> None:
    said = {"part": ["30 g egg white", "60 ml gin 40 %"], "jurisdiction": place}
    found = run("keep", said)
    assert caution in ids(found)
    assert "raw-egg-unheated" in ids(found), "the stricter line stands beside it"
    none = run("keep", {**said, "part": ["30 g pasteurised egg white", "60 ml gin 40 %"]})
    assert caution not in ids(none)
