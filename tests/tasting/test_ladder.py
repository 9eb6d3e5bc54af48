"""Ladders: levels are met, weights add up and can be weighed, wrong input is refused."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tasting.test_command import Run, run

from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.tasting import load
from prepkit.tasting.ladder import STEPS_OF_SCALE, Ladder, LadderStep, counts_of, ladder, read_with

__all__ = ["run"]
WATER = ["1 l water", "150 g white sugar"]
SOUR = ["500 ml spirit 43 %", "500 ml lemon juice"]
PANTRY = Pantry()


def made(
    base: list[str], steps: list[str], counts: tuple[int, ...], ml: float = 40.0, g: float = 0.1,
    even: str = "ratio", **added: str,
) -> Ladder:  # fmt: skip
    read = [LadderStep.read(one, added) for one in steps]
    return ladder(base, read, counts, even=even, volume_ml=ml, scale_g=g, pantry=PANTRY)


def test_an_even_ratio_is_the_published_ladder() -> None:
    # FRM-47
    levels = LadderStep.read("acidity: 0.4 % to 0.8 %", {}).levels(5, "ratio")
    assert levels == pytest.approx([0.4, 0.4757, 0.5657, 0.6727, 0.8], abs=1e-4)


@given(
    st.sampled_from(["acidity: 0.4 % to 0.8 %", "sugar: 14 % to 30 %", "dilution: 10 % to 40 %"]),
    st.integers(3, 9),
    st.floats(20.0, 200.0),
    st.sampled_from([0.01, 0.1]),
    st.sampled_from(["ratio", "difference"]),
)
@settings(max_examples=20, deadline=None)
def test_levels_are_met_and_weights_are_what_the_glass_holds(
    step: str, count: int, ml: float, scale: float, even: str
) -> None:
    one = made(WATER, [step], (count,), ml, scale, even)
    kind = one.steps[0].kind
    base = Mixture.total(part.mixture for part in one.base)
    unit = PANTRY.ingredient(one.steps[0].added).mixture
    share = one.stocks[0]
    for glass, weigh in zip(one.glasses, one.weigh, strict=True):
        added = unit if share is None else unit.scaled(share) + base.of_mass(1.0 - share)
        poured = Mixture.total(
            (base.of_mass(weigh.base_g / 1000), added.scaled(weigh.added_g[0] / 1000))
        )
        assert poured.mass_kg == pytest.approx(
            ml * glass.answer.product.density_kg_m3(20.0) / 1e6, abs=2e-3 * scale
        )
        assert weigh.added_g[0] >= (STEPS_OF_SCALE - 0.51) * scale
        if kind != "dilution":
            found = 100 * (poured.acidity_as_citric if kind == "acidity" else poured.sugar)
            assert glass.answer.values[kind].value == pytest.approx(glass.levels[0], rel=1e-6)
            assert found == pytest.approx(glass.levels[0], rel=0.03)
    levels = [glass.levels[0] for glass in one.glasses]
    assert all(a < b for a, b in pairwise(levels))


def test_a_grid_of_two_and_a_strength() -> None:
    grid = made(SOUR, ["sugar: 6 % to 12 %", "dilution: 10 % to 40 %"], (3, 2), 30.0)
    assert len(grid.glasses) == 6
    assert [glass.answer.values["sugar"].value for glass in grid.glasses] == pytest.approx(
        [6.0, 6.0, 72**0.5, 72**0.5, 12.0, 12.0]
    )
    strong = made(SOUR, ["strength: 25 % vol to 35 % vol"], (3,), strength="spirit 96 %")
    assert [glass.answer.values["abv"].value for glass in strong.glasses] == pytest.approx(
        [25.0, 875**0.5, 35.0]
    )


def test_what_people_cannot_tell_is_said() -> None:
    # [PALATE-2022]: acid is told from 18 % more on
    assert made(WATER, ["acidity: 0.4 % to 0.8 %"], (5,)).too_close == []
    assert made(WATER, ["acidity: 0.4 % to 0.8 %"], (6,)).too_close == ["acidity"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"steps": ["acidity"]}, "no step"),
        ({"steps": ["colour: 1 % to 2 %"]}, "no step"),
        ({"steps": ["acidity: 0.8 % to 0.4 %"]}, "lower level first"),
        ({"steps": ["acidity: 0 % to 0.4 %"]}, "even in difference"),
        ({"steps": ["strength: 10 % vol to 20 % vol"]}, "a spirit or with water"),
        ({"steps": ["temperature: 5 C to 80 C"]}, "can be tasted"),
        ({"steps": ["acidity: 0.4 g to 0.8 g"]}, "step"),
        ({"steps": ["acidity: 0.4 % to 0.8 %"], "counts": (2,)}, "3 to 9"),
        ({"steps": ["acidity: 0.4 % to 0.8 %"], "counts": (10,)}, "3 to 9"),
        ({"steps": ["acidity: 0.4 % to 0.8 %"] * 2, "counts": (2, 2)}, "twice"),
        ({"steps": ["acidity: 0.4 % to 0.8 %"], "g": 1.0, "ml": 5.0}, "finer scale"),
        ({"steps": ["sugar: 1 % to 5 %"]}, "need water"),
        ({"base": ["1 l gin 43 %"], "steps": ["sugar: 5 % to 9 %"], "counts": (7,)}, "more than"),
        ({"base": ["1 l water", "5 g strychnine"], "steps": ["sugar: 5 % to 20 %"]}, "strychnine"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_refused(words: dict[str, object], said: str) -> None:
    said_of = {"base": WATER, "counts": (5,), **words}
    with pytest.raises(BadInput, match=said):
        made(**said_of)  # type: ignore[arg-type]  # words of a test


def test_counts_and_additions_are_read() -> None:
    assert counts_of("3x3", 2) == (3, 3)
    for words, steps in (("5", 2), ("many", 1), ("3 x 3", 1), ("-5", 1)):
        with pytest.raises(BadInput):
            counts_of(words, steps)
    assert read_with(["acidity: malic acid"]) == {"acidity": "malic acid"}
    for wrong in (["malic acid"], ["colour: red"], ["acidity:"], ["acidity: a", "acidity: b"]):
        with pytest.raises(BadInput):
            read_with(wrong)


def test_the_command_writes_the_tasting_that_judges_it(tmp_path: Path, run: Run) -> None:
    words = ["--part", WATER[0], "--part", WATER[1], "--volume", "40 ml"]
    step = ["--step", "acidity: 0.4 % to 0.8 %", "--glasses", "5"]
    path = tmp_path / "ladder.toml"
    code, said = run(*words, *step, "--out", str(path), command="ladder")
    assert code == 0
    assert "First a stock" in said
    tasting, answers = load(path)
    assert (tasting.test, tasting.in_order, tasting.taste) == ("ranking", True, "sour")
    assert tasting.glasses[0] == "acidity 0.40 %"
    assert answers == {}
    code, said = run(*words, *step, "--json", command="ladder")
    assert len(json.loads(said)["glasses"]) == 5
    for wrong, about in (
        (words, "--step"), ([*words, *step[:2]], "--glasses"), (step, "--part"),
        ([*words[:4], *step], "--volume"),
        ([*words, *step, "--with", "sugar: honey"], "leave its addition out"),
        ([*words, *step, "--volume", "1 ml"], "--volume"),
    ):  # fmt: skip
        code, said = run(*wrong, command="ladder")
        assert (code, about in said, said.count("\n")) == (2, True, 1), said
