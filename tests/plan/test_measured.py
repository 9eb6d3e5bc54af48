"""Readings given back to a plan: drift, corrections, and what follows for the rest."""

from __future__ import annotations

import json
import shlex
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.cli import main
from prepkit.errors import BadRecipe
from prepkit.mixture import Mixture
from prepkit.plan import make_plan
from prepkit.plan.measured import Drift, MeasuredPlan, corrected, exchanged, measured
from prepkit.plan.plan import read_recipe
from prepkit.plan.recipe_file import read_readings
from prepkit.registry import run
from prepkit.render.batch import measured_text

RECIPE = """
title = "A trial"
serves = 20
[house]
jurisdiction = "eu"
[house.bench]
scale = "1 g"
fine_scale = "0.01 g"
fine_scale_most = "500 g"
refractometer = "0.2 Bx"
titration = "0.05 % w/w"
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
[items.my-syrup]
calculator = "blend"
part = ["500 g white sugar", "490 g water", "10 g citric acid"]
[items.my-mix]
calculator = "blend"
part = ["300 g spirit 40 %", "200 g my-syrup", "100 g water"]
[items.my-sour]
calculator = "acid-adjust"
part = ["200 g my-syrup", "300 g water"]
acid = "1 part citric acid"
target = "1 % w/w"
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml my-mix"
gas = "n2"
chargers = 1
charger_gas_mass = "2.4 g"
temperature = "4 C"
[[serve]]
name = "Trial"
part = ["60 g my-nitro", "30 g my-sour"]
"""


def back(text: str, recipe: str = RECIPE, serves: int = 20) -> MeasuredPlan:
    plan = make_plan(read_recipe(recipe), serves)
    return measured(plan, read_readings(text, plan.recipe.items, "readings.toml"), "readings.toml")


def row(found: MeasuredPlan, item: str, what: str) -> dict[str, Any]:
    rows = found.account["readings"]
    one: dict[str, Any] = next(r for r in rows if (r["item"], r["what"]) == (item, what))
    return one


def planned(name: str, item: str = "my-syrup", recipe: str = RECIPE) -> float:
    said = make_plan(read_recipe(recipe), 20).to_dict()
    of = next(one for one in said["items"] if one["id"] == item)
    return float(next(one["value"] for one in of["readings"] if one["name"] == name))


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


# drift


def test_what_is_as_planned_changes_nothing() -> None:
    brix = planned("refractometer")
    found = back(f"[my-syrup]\nrefractometer = {brix}\nacidity = '{planned('acidity')} % w/w'\n")
    assert found.account["beyond"] == []
    assert found.account["corrections"] == []
    assert found.account["downstream"] == []
    assert found.plan.to_dict() == make_plan(read_recipe(RECIPE), 20).to_dict()


def test_the_tolerance_is_the_limit() -> None:
    brix = planned("refractometer")
    most = row(back(f"[my-syrup]\nrefractometer = {brix}\n"), "my-syrup", "refractometer")
    inside, past = brix + 0.99 * most["tolerance"], brix + 1.01 * most["tolerance"]
    assert back(f"[my-syrup]\nrefractometer = {inside}\n").account["beyond"] == []
    assert back(f"[my-syrup]\nrefractometer = {past}\n").account["beyond"] == ["my-syrup"]


def test_a_warm_sample_is_compared_as_at_20_c() -> None:
    found = back('[my-syrup]\nrefractometer = 48.0\ntemperature = "30 C"\n')
    one = row(found, "my-syrup", "refractometer")
    # what the reading calculator makes of the same sample
    want = run("reading", {"refractometer": "48", "temperature": "30 C"})
    assert one["measured"] == pytest.approx(want.values["refractometer_20"].value)
    atc = back('[my-syrup]\nrefractometer = 48.0\ntemperature = "30 C"\natc = true\n')
    assert row(atc, "my-syrup", "refractometer")["measured"] == pytest.approx(48.0)


# what it then is


@settings(deadline=None, max_examples=30)
@given(st.floats(-8, 8), st.floats(-0.5, 2.0))
def test_the_corrected_item_reads_as_it_was_measured(brix: float, acid: float) -> None:
    start = Mixture({"water": 0.5, "sucrose": 0.48, "citric": 0.02})
    aims = [
        Drift("a", "refractometer", "", "Bx", 1, start.refractometer_brix, 0.01,
              start.refractometer_brix + brix, ""),
        Drift("a", "acidity", "", "% w/w", 2, 100 * start.acidity_as_citric, 1e-4,
              100 * start.acidity_as_citric + acid, ""),
    ]  # fmt: skip
    now = corrected("f", start, aims) or start
    for aim in aims:
        if aim.beyond:
            value = {"refractometer": now.refractometer_brix,
                     "acidity": 100 * now.acidity_as_citric}[aim.what]  # fmt: skip
            assert value == pytest.approx(aim.measured, abs=1e-5)
    assert now.mass_kg == pytest.approx(start.mass_kg)


def test_strength_and_density_are_taken_at_their_word() -> None:
    start = Mixture({"water": 0.6, "sucrose": 0.2, "ethanol": 0.2})
    abv = 100 * start.abv - 2
    now = corrected("f", start, [Drift("a", "abv", "", "% vol", 1, 100 * start.abv, 0.1, abv, "")])
    assert now is not None
    assert 100 * now.abv == pytest.approx(abv)
    assert now.of("sucrose") == pytest.approx(0.2)
    # two readings of a sample that is known: the one that it was made to be
    other = Mixture({"water": 0.65, "sucrose": 0.22, "ethanol": 0.13})
    both = [
        Drift("a", "refractometer", "", "Bx", 1, start.refractometer_brix, 0.1,
              other.refractometer_brix, ""),
        Drift("a", "density", "", "kg/m3", 1, start.density_kg_m3(), 0.1,
              other.density_kg_m3(), ""),
    ]  # fmt: skip
    now = corrected("f", start, both)
    assert now is not None
    assert now.of("sucrose") == pytest.approx(0.22, abs=1e-6)
    assert now.of("ethanol") == pytest.approx(0.13, abs=1e-6)


def test_exchanging_keeps_the_mass_and_the_shares() -> None:
    start = Mixture({"water": 0.5, "glucose": 0.2, "fructose": 0.1, "citric": 0.01}, frozenset("a"))
    less = exchanged(start, "sugar", -0.15)
    assert less.of("glucose") == pytest.approx(0.1)
    assert less.of("fructose") == pytest.approx(0.05)
    assert less.mass_kg == pytest.approx(start.mass_kg)
    assert less.allergens == start.allergens
    assert exchanged(start, "sugar", 0.1).of("sucrose") == pytest.approx(0.1)


# what follows


def test_downstream_is_worked_out_from_what_was_measured() -> None:
    found = back("[my-syrup]\nacidity = '0.7 % w/w'\nrefractometer = 50.5\n")
    changed = {one["item"]: one for one in found.account["downstream"]}
    # the adjusted item gets the acid that the syrup lacks, so its acidity stays
    sour = next(one for one in found.plan.made if one.item.id == "my-sour")
    assert sour.product is not None
    assert 100 * sour.product.acidity_as_citric == pytest.approx(1.0, abs=1e-3)
    lines = {line["name"]: line for line in changed["my-sour"]["lines"]}
    assert lines["citric acid"]["after_g"] > lines["citric acid"]["before_g"]
    # the mix has fixed parts: it is less sour and as heavy
    assert {read["label"] for read in changed["my-mix"]["readings"]} >= {
        "titratable acidity, as citric"
    }
    assert "my-syrup" not in changed


def test_the_corrected_sheet_shows_the_item_as_measured() -> None:
    found = back("[my-syrup]\nrefractometer = 47.0\n")
    said = found.plan.to_dict()
    syrup = next(one for one in said["items"] if one["id"] == "my-syrup")
    shown = next(one for one in syrup["readings"] if one["name"] == "refractometer")
    assert shown["value"] == pytest.approx(47.0, abs=1e-4)
    assert syrup["as_measured"]


def test_the_correction_is_that_of_the_calculator() -> None:
    found = back("[my-syrup]\nmass = '780 g'\nrefractometer = 47.0\nacidity = '0.9 % w/w'\n")
    (one,) = found.account["corrections"]
    want = run("correct", one["inputs"])
    table = next(table for table in want.tables if table.name == "add")
    assert one["add"] == [
        {"name": line[0], "g": pytest.approx(line[1]), "ml": line[2]} for line in table.rows
    ]
    assert one["mass_g"] == pytest.approx(780)
    # with it the batch is what was planned
    assert want.product is not None
    assert 100 * want.product.acidity_as_citric == pytest.approx(planned("acidity"), rel=1e-3)
    assert 100 * want.product.dissolved_solids == pytest.approx(
        planned("dissolved_solids"), abs=0.02
    )


def test_too_little_says_for_how_many_it_is_enough() -> None:
    whole = make_plan(read_recipe(RECIPE), 20)
    made = next(one for one in whole.made if one.item.id == "my-syrup")
    assert made.product is not None
    found = back(f"[my-syrup]\nmass = '{1000 * made.product.mass_kg * 0.75} g'\n")
    (short,) = found.account["short"]
    assert short["serves"] == 15
    assert back(f"[my-syrup]\nmass = '{1000 * made.product.mass_kg} g'\n").account["short"] == []
    # what is needed decides, however much the yield may be off
    assert short["more_g"] == pytest.approx(short["needed_g"] - short["have_g"])
    (little,) = back(f"[my-syrup]\nmass = '{0.995 * short['needed_g']} g'\n").account["short"]
    assert little["serves"] == 19
    assert [one["planned"] for one in little["drinks"]] == [20]
    # more than planned is told, and is no shortage
    more = back(f"[my-syrup]\nmass = '{2000 * made.product.mass_kg} g'\n")
    assert more.account["beyond"] == ["my-syrup"]
    assert more.account["short"] == []


# pH


KEEPS = """
[items.how-long]
calculator = "keep"
check = true
part = "100 g my-syrup"
[items.both]
calculator = "keep"
check = true
part = ["100 g my-syrup", "100 g my-sour"]
[[serve]]
"""


def test_a_ph_alone_adds_nothing_and_says_what_to_do() -> None:
    ph = planned("ph")
    found = back(f"[my-syrup]\nph = {ph + 1}\n")
    assert found.account["beyond"] == ["my-syrup"]
    assert found.account["corrections"] == []
    assert found.account["downstream"] == []
    (told,) = found.account["ph"]
    assert (told["titrate"], told["given_to"]) == (True, [])
    text = " ".join(measured_text(found.account).split())
    assert "No correction of my-syrup is worked out from its pH" in text
    assert "Titrate it and write acidity beside ph in readings.toml" in text
    # as planned there is nothing to do
    near = back(f"[my-syrup]\nph = {ph}\n")
    assert [one["titrate"] for one in near.account["ph"]] == [False]
    assert "Titrate" not in measured_text(near.account)


def test_with_a_titration_the_acid_is_corrected_and_no_other_is_asked_for() -> None:
    ph, acid = planned("ph"), planned("acidity")
    found = back(f"[my-syrup]\nph = {ph + 1}\nacidity = '{0.7 * acid} % w/w'\n")
    assert [one["titrate"] for one in found.account["ph"]] == [False]
    (correction,) = found.account["corrections"]
    assert "citric acid" in {one["name"] for one in correction["add"]}


def test_a_measured_ph_goes_to_the_check_of_that_item_alone() -> None:
    recipe = RECIPE.replace("[[serve]]\n", KEEPS)
    found = back("[my-syrup]\nph = 2.5\n", recipe)
    (told,) = found.account["ph"]
    assert told["given_to"] == ["how-long"]
    answers = {one.item.id: one.answer for one in found.plan.made}
    want = run("keep", {"part": "100 g white sugar", "ph": 2.5})
    assert answers["how-long"].inputs["ph"] == want.inputs["ph"] == 2.5
    assert answers["both"].inputs.get("ph") is None
    (care,) = found.account["cautions"]
    assert (care["item"], care["id"]) == ("how-long", "keep-by-a-ph-as-read")
    assert "2.50" in care["text"]
    assert found.verdict != "clear"
    # what the recipe itself says of the pH stays
    said = recipe.replace('part = "100 g my-syrup"', 'part = "100 g my-syrup"\nph = 4.4')
    kept = back("[my-syrup]\nph = 2.5\n", said)
    assert kept.account["ph"][0]["given_to"] == []


def test_a_cordial_is_judged_by_its_own_measured_ph() -> None:
    recipe = RECIPE.replace(
        'calculator = "blend"\npart = ["500 g white sugar", "490 g water", "10 g citric acid"]',
        'calculator = "cordial"\npart = ["500 g water", "500 g lemon juice"]\n'
        'sweeten = "white sugar"\nbrix = 50',
    )
    found = back("[my-syrup]\nph = 2.5\n", recipe)
    assert found.account["ph"][0]["given_to"] == ["my-syrup"]
    syrup = next(one for one in found.plan.to_dict()["items"] if one["id"] == "my-syrup")
    shown = next(one for one in syrup["readings"] if one["name"] == "ph")
    assert shown["value"] == 2.5


# what the house does not say of its instruments


def test_an_instrument_without_its_spread_is_named() -> None:
    found = back(f"[my-mix]\nabv = '{planned('abv', 'my-mix') + 0.05} % vol'\n")
    assert found.account["unstated"] == ["alcoholometer"]
    assert "no ± of its alcoholometer" in measured_text(found.account)
    assert (
        back(f"[my-syrup]\nrefractometer = {planned('refractometer')}\n").account["unstated"] == []
    )


def test_nothing_is_held_to_more_than_its_digits_show() -> None:
    exact = Drift("my-mix", "abv", "strength", "% vol", 1, 20.0, 0.002, 20.09, "20.09 % vol")
    assert exact.most == pytest.approx(0.1)
    assert not exact.beyond
    assert replace(exact, measured=20.11).beyond
    wide = replace(exact, tolerance=0.5)
    assert wide.most == pytest.approx(0.5)
    assert not replace(wide, measured=20.49).beyond
    assert replace(wide, measured=20.51).beyond


# the gauge


@pytest.mark.parametrize(
    ("bar", "caution", "verdict"),
    [
        (None, None, "clear"),
        (0.5, "siphon-read-below-expected", "clear"),
        (2.7, "siphon-read-above-expected", "care"),
        (14.0, "siphon-read-above-every-bound", "stop"),
        (17.0, "siphon-read-above-every-bound", "stop"),
        (17.1, "siphon-read-over-rating", "stop"),
    ],
)
def test_what_a_gauge_shows(bar: float | None, caution: str | None, verdict: str) -> None:
    plan = make_plan(read_recipe(RECIPE), 20).to_dict()
    nitro = next(one for one in plan["items"] if one["id"] == "my-nitro")
    settled = next(one["value"] for one in nitro["values"] if one["name"] == "settled")
    found = back(f"[my-nitro]\npressure = '{settled if bar is None else bar} bar'\n")
    assert [one["id"] for one in found.account["cautions"]] == ([caution] if caution else [])
    assert found.account["verdict"] == verdict


def test_a_gauge_is_judged_at_the_upper_end_of_what_it_can_be_off_by() -> None:
    nitro = next(
        one
        for one in make_plan(read_recipe(RECIPE), 20).to_dict()["items"]
        if one["id"] == "my-nitro"
    )
    bound = next(one["value"] for one in nitro["values"] if one["name"] == "bound")
    text = RECIPE.replace('rated = "17 bar"', f'rated = "{1.01 * bound:.4f} bar"')
    for gauge, caution in (("0.001 bar", "siphon-read-above-every-bound"),
                           ("0.2 bar", "siphon-read-over-rating")):  # fmt: skip
        recipe = text.replace('scale = "1 g"', f'scale = "1 g"\ngauge = "{gauge}"')
        found = back(f"[my-nitro]\npressure = '{1.005 * bound:.4f} bar'\n", recipe)
        assert [one["id"] for one in found.account["cautions"]] == [caution]


def test_a_cold_reading_is_judged_where_it_will_be_warm() -> None:
    nitro = next(
        one
        for one in make_plan(read_recipe(RECIPE), 20).to_dict()["items"]
        if one["id"] == "my-nitro"
    )
    bound = next(one["value"] for one in nitro["values"] if one["name"] == "bound")
    text = RECIPE.replace('rated = "17 bar"', f'rated = "{1.001 * bound:.4f} bar"')
    readings = f"[my-nitro]\npressure = '{0.99 * bound:.4f} bar'\ntemperature = '2 C'\n"
    found = back(readings, text)
    assert "siphon-read-over-rating-when-warm" in [one["id"] for one in found.account["cautions"]]
    assert found.account["verdict"] == "stop"


def test_a_pressure_over_the_rating_ends_with_status_three(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipe, readings = tmp_path / "tonight.toml", tmp_path / "read.toml"
    recipe.write_text(RECIPE, encoding="utf-8")
    readings.write_text("[my-nitro]\npressure = '18 bar'\n", encoding="utf-8")
    code, out, _ = call(f"plan {recipe} --measured {readings}", capsys)
    assert code == 3
    assert out.index("STOP, my-nitro: The gauge shows 18.0 bar") < out.index("A trial")
    code, out, _ = call(f"plan {recipe} --measured {readings} --json", capsys)
    assert code == 3
    assert json.loads(out)["measured"]["verdict"] == "stop"


# the command line, and what is wrong


def test_the_account_stands_before_the_corrected_sheet(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipe, readings = tmp_path / "tonight.toml", tmp_path / "read.toml"
    recipe.write_text(RECIPE, encoding="utf-8")
    readings.write_text("[my-syrup]\nrefractometer = 47\nacidity = '0.7 %'\n", encoding="utf-8")
    code, out, err = call(f"plan {recipe} --measured {readings} --units us --full", capsys)
    assert (code, err) == (0, "")
    assert "BEYOND" in out
    assert "To correct my-syrup: add" in out
    assert "To go on without correcting, these change" in out
    assert "check, as it was measured" in out
    code, out, _ = call(f"plan {recipe} --measured {readings} --batch", capsys)
    assert code == 0
    assert "[ ]" in out


WRONG = [
    ("", "no readings"),
    ("[my-syrpu]\nmass = '1 g'", "my-syrup"),
    ("my-syrup = 3", "table"),
    ("[my-syrup]\nweight = '1 g'", "weight"),
    ("[my-syrup]", "nothing to compare"),
    ("[my-syrup]\ntemperature = '20 C'", "nothing to compare"),
    ("[my-syrup]\nmass = '1 C'", "my-syrup.mass"),
    ("[my-syrup]\nmass = 640", "unit"),
    ("[my-syrup]\nmass = '-3 g'", "from 0"),
    ("[my-syrup]\nrefractometer = '48 kg'", "my-syrup.refractometer"),
    ("[my-syrup]\nrefractometer = 200", "95"),
    ("[my-syrup]\nrefractometer = nan", "95"),
    ("[my-syrup]\nrefractometer = true", "unit"),
    ("[my-syrup]\nph = '3'", "bare number"),
    ("[my-syrup]\nph = 15", "14"),
    ("[my-syrup]\natc = 1\nph = 3", "true or false"),
    ("[my-syrup]\npressure = '3 bar'", "no vessel"),
    ("[my-syrup]\nabv = '3 % vol'", "nothing is expected"),
    ("[my-nitro]\npressure = '3 bar absolute'", "my-nitro.pressure"),
    ("[my-mix]\nrefractometer = 20\ntemperature = '35 C'", "alcohol"),
    ("[my-syrup]\nacidity = '60 % w/w'", "read it again"),
    ("[my-syrup]\nmass = ", "TOML"),
]


@pytest.mark.parametrize(("text", "says"), WRONG)
def test_wrong_readings_get_one_sentence(
    text: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipe, readings = tmp_path / "tonight.toml", tmp_path / "read.toml"
    recipe.write_text(RECIPE, encoding="utf-8")
    readings.write_text(text, encoding="utf-8")
    code, out, err = call(f"plan {recipe} --measured {readings}", capsys)
    assert (code, out) == (2, "")
    assert err.strip().count("\n") == 0
    assert says in err
    assert str(readings) in err


def test_a_stopped_item_has_nothing_to_be_measured() -> None:
    weak = RECIPE.replace("17 bar", "1 bar")
    with pytest.raises(BadRecipe, match="must not be made"):
        back("[my-nitro]\npressure = '2 bar'\n", weak)
    spare = RECIPE + '[items.my-spare]\ncalculator = "blend"\npart = "1 l water"\n'
    with pytest.raises(BadRecipe, match="not made"):
        back("[my-spare]\nmass = '2 g'\n", spare)


def test_readings_that_cannot_be_read_are_a_file_problem(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    recipe = tmp_path / "tonight.toml"
    recipe.write_text(RECIPE, encoding="utf-8")
    assert call(f"plan {recipe} --measured {tmp_path / 'absent.toml'}", capsys)[0] == 4


def correction(text: str, item: str) -> dict[str, Any]:
    found: dict[str, Any] = next(
        one for one in back(text).account["corrections"] if one["item"] == item
    )
    return found


def test_a_batch_that_is_too_strong_is_let_down_with_water() -> None:
    strong = planned("abv", "my-mix") + 4
    told = correction(f"[my-mix]\nabv = '{strong} % vol'\n", "my-mix")
    assert told["refused"] is None
    (water,) = (one for one in told["add"] if one["name"] == "water")
    assert water["g"] > 0
    assert told["becomes_abv"] == pytest.approx(planned("abv", "my-mix"), abs=1e-6)
    assert "correct-name-says-another-strength" not in {one["id"] for one in told["cautions"]}


def test_a_batch_that_is_too_weak_is_never_told_to_add_nothing() -> None:
    weak = planned("abv", "my-mix") - 4
    told = correction(f"[my-mix]\nabv = '{weak} % vol'\n", "my-mix")
    assert told["add"] == []
    assert "only a spirit" in told["refused"]


def test_a_sour_batch_without_a_brix_reading_is_let_down_with_water() -> None:
    text = RECIPE.replace(
        '["500 g white sugar", "490 g water", "10 g citric acid"]',
        '["985 g water", "15 g citric acid"]',
    )
    acid = planned("acidity", recipe=text)
    found = back(f"[my-syrup]\nacidity = '{acid * 1.25} % w/w'\n", text)
    (told,) = found.account["corrections"]
    made_g = told["mass_g"]
    assert [one["name"] for one in told["add"]] == ["water"]
    assert told["becomes_g"] == pytest.approx(1.25 * made_g, rel=1e-6)  # the acid is conserved
