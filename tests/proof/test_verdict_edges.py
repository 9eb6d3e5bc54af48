"""The corners of what verdicts are judged on: nothing told, nothing known, words cut short."""

from __future__ import annotations

import math
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tolerance.cases import example_words

from prepkit import blocks, model
from prepkit.calculators.room.release import Released
from prepkit.calculators.siphon import load as siphon_load
from prepkit.calculators.siphon import register as vessels
from prepkit.calculators.siphon.load import Load
from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.registry import load, run
from prepkit.science.dissolved_gas import henry_in_liquid
from prepkit.science.room_air import Release
from prepkit.shared import botanicals, keeping, room_check

PANTRY = Pantry()


def mixture(*words: str) -> Mixture:
    return Mixture.total(PANTRY.part(one).mixture for one in words)


# words


@pytest.mark.parametrize("name", CALCULATORS)
def test_inputs_made_in_python_are_refused_as_in_words(name: str) -> None:
    inputs = load(name).inputs
    with pytest.raises(BadInput, match="there is no nonsense"):
        inputs(**{**example_words(name), "nonsense": 7})
    for field, spec in inputs.specs().items():
        if spec.kind != "quantity" or (spec.low is None and spec.above is None):
            continue
        said = {**example_words(name), field: -1e30}
        _, problems = inputs.from_words(said, Pantry())
        with pytest.raises(PrepkitError) as refused:
            inputs(**said)
        assert str(refused.value) == str(next(iter(problems.values())))


@pytest.mark.parametrize("name", CALCULATORS)
def test_inputs_are_frozen_and_read_back_as_themselves(name: str) -> None:
    made = load(name).inputs(**example_words(name))
    field = next(iter(made.specs()))
    with pytest.raises(AttributeError, match="frozen"):
        setattr(made, field, None)
    with pytest.raises(AttributeError, match="frozen"):
        delattr(made, field)
    assert load(name).inputs(**made.words()).words() == made.words()
    assert made.replaced() == made != 7
    with pytest.raises(TypeError, match="nonsense is unknown"):
        made.replaced(nonsense=7)
    assert type(made).__name__ in repr(made)


def test_a_release_that_was_read_is_not_read_again() -> None:
    once = Released.read("8 kg co2 from 10 min over 2 h")
    assert Released.read(once) is once


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("8 kg co2 over", '--release is "8 kg co2 over"; write how long, such as over 5 h.'),
        ("1 kg/h co2 for ", '--release is "1 kg/h co2 for "; write how long, such as over 5 h.'),
        ("3 h co2", '--release is "3 h co2"; write an amount with its unit and the gas, such as '
         "8 kg co2, 40 x 8 g n2o over 5 h, or 2 m3/h n2."),
    ],
)  # fmt: skip
def test_a_release_cut_short_is_one_sentence(words: str, says: str) -> None:
    with pytest.raises(BadInput) as wrong:
        Released.read(words)
    assert str(wrong.value) == says


def test_a_bottle_of_what_burns_is_refused_whatever_it_holds() -> None:
    for words in ("1 propane cylinder", "2 hydrogen cylinders", "1 butane cylinder of 50 l"):
        answer = run("room", {"release": words, "volume": "500 m3"})
        assert answer.verdict == "stop"
        assert not answer.values
        assert "room-gas-refused" in {caution.id for caution in answer.cautions}


# plants


def test_a_refused_plant_without_an_amount_is_refused_all_the_same() -> None:
    part = botanicals.refused_part("oleander", "--part")
    assert part is not None
    assert (part.mass_kg, part.words) == (0.0, "oleander")
    assert botanicals.refusal([part])["refused_plants"] == "oleander"
    assert botanicals.refused_part(7, "--part") is None
    answer = run("infuse", {"liquid": "1 l vodka 40 %", "botanical": "oleander"})
    assert answer.verdict == "stop"
    assert not answer.values


def test_whose_rules_are_asked_in_any_case_and_others_lift_nothing() -> None:
    def first(jurisdiction: Any) -> Any:
        said = {"peel": "10 g tonka beans", "jurisdiction": jurisdiction}
        return botanicals.spotted(said, ("peel",))["peel"]

    assert first(" eu ") == "10 g tonka beans"
    for other in ("us", "Narnia", None, 3):
        assert first(other).ingredient.group == botanicals.REFUSED_GROUP


# keeping


def test_nothing_known_of_it_holds_what_was_said_alone() -> None:
    assert keeping.held((), None) == frozenset()
    assert keeping.held(("Raw  EGG", "garlic in oil"), None) == {"raw-egg", "in-oil"}


def test_a_part_younger_than_what_was_made_of_it_is_refused() -> None:
    with pytest.raises(BadInput) as wrong:
        keeping.use_by(mixture("1 kg lemon juice"), date(2026, 11, 25), date(2026, 11, 26))
    assert str(wrong.value) == (
        "--oldest is 2026-11-26, after the day of making, 2026-11-25; check the dates."
    )


def test_what_no_rule_knows_gets_no_last_day() -> None:
    made, older = date(2026, 11, 25), date(2026, 11, 20)
    spirit = keeping.use_by(mixture("700 ml gin 43 %"), made)
    assert (spirit.last, spirit.days, spirit.first, spirit.first_by) == (None, None, made, "")
    assert spirit.rule == "spirit"
    assert keeping.use_by(mixture("700 ml gin 43 %"), made, older).first == older
    # cream in it is a rule of days, and the strictest that holds counts, from its oldest part
    thin = keeping.use_by(mixture("500 ml cream 35 %", "100 ml gin 43 %"), made, older)
    assert (thin.last, thin.days) == (date(2026, 11, 26), 7)
    assert (thin.first, thin.first_by) == (older, "the day of the oldest part")


# the air against limits


def test_a_limit_below_what_outside_air_holds_is_met_at_once_and_for_ever() -> None:
    """CO2 in fresh air 400 ppm: a limit of 300 ppm is passed before anything is released."""
    course = room_check.GasCourse("co2", 50.0, (Release(1.0),), 6.0, 400e-6, 1.0)
    assert course.reached_s(300e-6) == 0.0
    assert course.clear_s(300e-6) is None
    assert course.reached_s(500e-6) == 0.0  # 2 % at once
    clear = course.clear_s(500e-6)
    # (0.02 - 0) e^(-6t) = 100 ppm, MMWR-1994
    assert clear == pytest.approx(600.0 * math.log(0.02 / 100e-6), rel=1e-6)


# the vessel


def vessel(**more: Any) -> Load:
    water = henry_in_liquid("n2o", 5.0, 1.0, 0.0, 0.0, 0.0)
    given = {
        "gas": "n2o", "temperature_c": 5.0, "warmest_c": 5.0, "charges_kg": (0.008,),
        "shaken": (True,), "vessel_m3": 0.78e-3, "liquid_m3": 0.5e-3, "liquid_most_m3": 0.5e-3,
        "cold_m3": (0.5e-3,), "hot_m3": 0.5e-3, "liquid_hot_m3": 0.5e-3, "bulb_m3": 10e-6,
        "smallest_bulb_m3": 10e-6, "tolerance": 0.05, "air_pa": 101325.0, "ambient_pa": 101325.0,
        "thinnest_pa": 101325.0, "vapour_pa": 0.0, "set_pa": None, "before_pa": 0.0,
        "solubility": water, "lowest_hot": water.low,
    }  # fmt: skip
    return Load(**{**given, **more})  # type: ignore[arg-type]  # one keyword of each kind


def test_where_no_solubility_is_known_nothing_is_promised() -> None:
    unknown = vessel(solubility=None)
    assert siphon_load.warmed(unknown, mixture("500 ml olive oil"), 20.0) is None
    assert siphon_load.last_portion_pa(unknown, 50e-6, False) == -math.inf


def test_a_vessel_too_weak_for_its_last_portion_is_not_enough() -> None:
    """0.4 g of gas is taken up or spent long before ten portions are out."""
    weak = vessel(charges_kg=(0.0004,))
    assert siphon_load.last_portion_pa(weak, 50e-6, False) == -math.inf
    assert siphon_load.last_portion_pa(vessel(charges_kg=(0.016,)), 50e-6, True) > 0.0


def test_no_number_of_charges_reaches_what_cannot_be_reached() -> None:
    found, tried = siphon_load.fewest(vessel(), 40e5, 2, lambda load: float(len(load.shaken)), 9.0)
    assert found is None
    assert [(one.count, one.reached, one.enough) for one in tried] == [
        (1, 1.0, False),
        (2, 2.0, False),
    ]


# the register of vessels


def test_a_register_is_a_short_file_and_its_plate_is_read_as_it_stands(tmp_path: Path) -> None:
    file = tmp_path / "vessels.toml"
    file.write_text('[north]\nrated = "17 bar"\nnote = "blue"\ninspection_due = 2027-03-01\n')
    assert vessels.facts_of("north", file) == {"rated": "17 bar", "inspection_due": "2027-03-01"}
    file.write_text("#" * (2**20 + 1))
    with pytest.raises(FileProblem) as wrong:
        vessels.facts_of("north", file)
    assert str(wrong.value) == f"{file} is larger than 1 MiB; a register is a short text file."


# data files


def test_a_table_that_is_only_spoken_of_is_no_table() -> None:
    name = next(iter(blocks.names("sources")))
    assert blocks.table(name, "NO-SUCH-SOURCE") is None
    assert model.source_of("NO-SUCH-SOURCE") is None
