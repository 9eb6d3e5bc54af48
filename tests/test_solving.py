"""Solving backwards: the calculator itself is the judge of every solution."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit import registry, solving
from prepkit.cli import main
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.numbers import parse_number
from prepkit.pantry import Pantry
from prepkit.solving import MOST_EVALUATIONS, solve

SPIRIT = {"part": ["700 ml spirit 43 %", "300 ml water"]}
SIPHON = {
    "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
    "rated": "17 bar", "gas": "n2o", "chargers": "1", "temperature": "5 C",
}  # fmt: skip
KEG = {
    "contents": "4 l water", "vessel_volume": "6 l", "max_fill": "5 l", "rated": "9 bar",
    "gas": "co2", "temperature": "4 C", "mode": "keg", "target_volumes": "3",
    "regulator_rated": "6 bar", "line_rated": "6 bar",
}  # fmt: skip
JUICE = ["60 ml spirit 40 %", "22 ml lemon juice", "22 ml simple syrup 50 Bx"]
DROPS = {"stock": ["citric acid"], "strength": "20 % w/w", "into": ["150 ml water"],
         "target": "0.05 % w/w"}  # fmt: skip


@given(st.floats(5.0, 40.0), st.sampled_from(["water", "spirit 43 %"]))
@settings(max_examples=15, deadline=None)
def test_the_solution_gives_what_was_asked(abv: float, what: str) -> None:
    found = solve("blend", f"{what}: strength = {abv:.2f} % vol", SPIRIT)
    for one in found.solutions:
        assert one.answer.values["abv"].value == pytest.approx(float(f"{abv:.2f}"), abs=0.006)


def test_it_agrees_with_the_calculator_made_for_it() -> None:
    wanted = registry.run("dilute", {"part": "700 ml spirit 43 %", "to_strength": "20 %"})
    added = solve("blend", "water: strength = 20 % vol", SPIRIT).solutions[0].value
    assert added == pytest.approx(wanted.values["diluent_volume"].value, rel=0.001)


def test_largest_fill_and_warmest_load() -> None:
    fill = solve("siphon", "contents: upper bound of peak = 15 bar", SIPHON)
    assert fill.solutions[0].answer.verdict == "care"
    assert fill.solutions[0].answer.values["bound"].value == pytest.approx(15.0, abs=0.01)
    warm = solve("siphon", "temperature: margin = 1 bar", SIPHON)
    again = registry.run("siphon", {**SIPHON, "temperature": f"{warm.solutions[0].value} C"})
    assert again.values["margin"].value == pytest.approx(1.0, abs=0.01)


def test_a_solution_that_is_a_stop_is_never_an_answer(capsys: pytest.CaptureFixture[str]) -> None:
    found = solve("siphon", "chargers: gas into one vessel = 16 g", SIPHON)
    assert [one.answer.verdict for one in found.solutions] == ["stop"]
    assert found.sentences() == [
        "chargers per vessel: 2 would give gas into one vessel 16.0 g, and that is a STOP."
    ]
    words = [f"--{key.replace('_', '-')}={value}" for key, value in SIPHON.items()]
    with pytest.raises(SystemExit) as ended:
        main(["siphon", *words, "--solve", "chargers: gas into one vessel = 16 g"])
    assert ended.value.code == 3
    assert "STOP" in capsys.readouterr().out


def test_a_count_jumps_and_both_sides_are_told() -> None:
    with pytest.raises(BadInput, match=r"nearest: 2 gives \d+\.\d and 3 gives 332\.5\."):
        solve("blend", "serves: one serve = 334 ml", {**SPIRIT, "serves": "2"})


@pytest.mark.parametrize("field", registry.load("siphon").inputs.only_read)
def test_what_stands_on_the_plate_is_never_worked_out(field: str) -> None:
    label = registry.load("siphon").inputs.specs()[field].label
    for name in (field, label):
        with pytest.raises(BadInput, match="never worked out"):
            solve("siphon", f"{name}: margin = 2 bar", SIPHON)


# what only a plate, a manual, the room or a meter tells, by the names that calculators give it
TOLD_BY_THE_PLACE = frozenset(
    ("rated", "max_fill", "vessel_volume", "hottest", "regulator_rated", "line_rated", "rotor",
     "room_volume", "air_changes", "dewar_loss", "equipment", "worst_corner", "measured_ph",
     "water_activity", "altitude", "out_of_cold")
)  # fmt: skip


@pytest.mark.parametrize("name", CALCULATORS)
def test_what_the_place_tells_is_solved_for_in_no_calculator(name: str) -> None:
    inputs = registry.load(name).inputs
    assert set(inputs.only_read) <= set(inputs.specs())
    kinds = ("quantity", "count", "number")
    numbers = {key for key, one in inputs.specs().items() if one.kind in kinds}
    assert TOLD_BY_THE_PLACE & numbers <= set(inputs.only_read)
    for field in inputs.only_read:
        with pytest.raises(BadInput, match="never worked out"):
            solving._unknown(inputs, field, {}, Pantry())


def test_a_range_of_whole_numbers_has_an_end() -> None:
    with pytest.raises(BadInput, match="at most 200 whole numbers"):
        solve("blend", "serves 1 to 1e9: one serve = 20 ml", SPIRIT)


def test_drops_stock_keg_and_freezer() -> None:
    stock = solve("dose", "strength of the stock 2 % to 40 %: dose_drops = 5", DROPS)
    again = registry.run("dose", {**DROPS, "strength": f"{stock.solutions[0].value} % w/w"})
    assert again.values["dose_drops"].value == pytest.approx(5.0, abs=0.1)
    keg = solve("siphon", "gas wanted, volumes 1 to 5: set pressure = 1.5 bar", KEG)
    assert keg.solutions[0].answer.values["set_pressure"].value == pytest.approx(1.5, abs=0.001)
    freezer = {"part": JUICE, "way": "bottle", "place": "freezer", "place_temperature": "-18 C"}
    cold = solve("chill", "spirit 40 %: share frozen at that place = 20 %", freezer)
    assert cold.solutions[0].answer.values["slush"].value == pytest.approx(20.0, abs=0.6)


def test_how_much_water_still_pours_from_the_freezer_and_the_latest_start() -> None:
    bottle = {"part": ["700 ml spirit 43 %", "200 ml water"], "way": "bottle", "place": "freezer",
              "place_temperature": "-18 C"}  # fmt: skip
    mix = {"part": ["700 ml spirit 43 %", "100 ml water"], "container": "1.2 l"}
    pours = solve("freeze", "water: coldest that pours = -18 C", mix).solutions[0]
    mixed = {**mix, "part": ["700 ml spirit 43 %", f"{pours.value} ml water"]}
    assert registry.run("freeze", mixed).values["pours_to"].value == pytest.approx(-18.0, abs=0.06)
    water = solve("chill", "water: share frozen at that place = 5 %", bottle).solutions[0]
    again = {**bottle, "part": ["700 ml spirit 43 %", f"{water.value} ml water"]}
    assert registry.run("chill", again).values["slush"].value == pytest.approx(5.0, abs=0.6)
    # four hours before service at the latest: the warmest that it may go in
    warmest = solve("chill", "temperature at the start -8 C to 30 C: time, latest = 240 min",
                    {**bottle, "target": "-8 C"}).solutions[0]  # fmt: skip
    late = registry.run("chill", {**bottle, "target": "-8 C", "temperature": f"{warmest.value} C"})
    assert late.values["minutes_late"].value == pytest.approx(240.0, abs=0.5)


def test_the_regulator_of_a_keg_of_water() -> None:
    keg = {"contents": "18 l water", "into": "keg", "temperature": "5 C", "pressure": "2 bar",
           "rated": "9 bar", "line_rated": "8 bar", "regulator_rated": "6 bar",
           "warmest": "25 C"}  # fmt: skip
    set_to = solve("carbonate", "regulator set pressure 0.5 bar to 5 bar: volumes = 3", keg)
    wanted = registry.run("carbonate", {**keg, "pressure": None, "volumes": "3"})
    assert set_to.solutions[0].value == pytest.approx(wanted.values["set_pressure"].value, abs=0.01)


def test_spread_is_carried_and_two_branches_are_told_apart() -> None:
    said = {"part": ["700 ml ± 7 ml spirit 43 %", "300 ml water"]}
    one = solve("blend", "water: strength = 20 % vol", said).solutions[0]
    # one hundredth more spirit takes one hundredth more water, less what contracts
    assert one.plus_minus == pytest.approx(8.2, abs=0.6)

    class Bow(solving._Search):
        def _evaluated(self, value: float) -> float | None:
            return (value - 3.0) ** 2 - 4.0

    unknown = solving._Unknown("x", "", False, 0.0, 10.0, lambda value: {})
    found = Bow("blend", unknown, "abv", 0.0, 0.001, solving.Pantry()).run()
    assert [round(value, 3) for value, _ in found] == [1.0, 5.0]


@pytest.mark.parametrize(
    ("name", "words", "said"),
    [
        ("blend", "water: strength = 20 % vol", SPIRIT),
        ("siphon", "temperature: margin = 1 bar", SIPHON),
        ("siphon", "contents: upper bound of peak = 15 bar", SIPHON),
        ("chill", "simple syrup: sugars = 8 %", {"part": JUICE, "way": "shake"}),
    ],
)
def test_it_takes_at_most_thirty_runs(
    name: str, words: str, said: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    runs, evaluated = [], solving._Search._evaluated

    def counted(self: solving._Search, value: float) -> float | None:
        runs.append(value)
        return evaluated(self, value)

    monkeypatch.setattr(solving._Search, "_evaluated", counted)
    assert solve(name, words, said).solutions
    assert len(runs) <= MOST_EVALUATIONS


@pytest.mark.parametrize(
    ("words", "about"),
    [
        ("water", "is not read"),
        ("water: 20", "is not read"),
        (": strength = 20", "is not read"),
        ("water: = 20", "is not read"),
        ("water: strength =", "no value"),
        ("wine: strength = 20", 'no input "wine"'),
        ("water: colour = 20", 'no output "colour"'),
        ("water: strength = 20 g", "strength|solve"),
        ("water: strength = 60 % vol", "nearest"),
        ("water 9 ml to 2 ml: strength = 20", "lower first"),
        ("water: cost = 3", "gives any cost"),
        ("hold up: poured = 3", "no output"),
        ("serves: serve = 3", "where to look|say which"),
    ],
)
def test_what_cannot_be_solved_is_one_sentence(words: str, about: str) -> None:
    with pytest.raises(BadInput, match=about) as refused:
        solve("blend", words, SPIRIT)
    assert "\n" not in refused.value.message


def test_json_and_words_of_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["blend", "--part", SPIRIT["part"][0], "--part", SPIRIT["part"][1]]
    solve_for = ["--solve", "water: strength = 20 % vol"]
    with pytest.raises(SystemExit):
        main([*words, *solve_for, "--json"])
    said = json.loads(capsys.readouterr().out)
    assert said["solved"][0]["verdict"] == "clear"
    assert said["values"]["abv"]["value"] == pytest.approx(20.0, abs=0.001)
    with pytest.raises(SystemExit):
        main([*words, *solve_for, "--units", "us"])
    assert "fl oz gives strength" in capsys.readouterr().out


def test_several_liquids_are_solved_for_together_or_one_by_one() -> None:
    two = {**SIPHON, "contents": ["300 ml cream 35 %", "100 ml syrup 50 Bx"]}
    joined = {**SIPHON, "contents": "300 ml cream 35 % and 100 ml syrup 50 Bx"}
    target = "upper bound of peak = 13 bar"
    for said in (two, joined):
        whole = solve("siphon", f"contents: {target}", said)
        again = registry.run("siphon", {**SIPHON, "contents": [
            f"{0.75 * whole.solutions[0].value:.9f} ml cream 35 %",
            f"{0.25 * whole.solutions[0].value:.9f} ml syrup 50 Bx",
        ]})  # fmt: skip
        assert again.values["bound"].value == pytest.approx(13.0, abs=0.01)
        one = solve("siphon", f"syrup 50 Bx: {target}", said)
        assert one.answer.values["bound"].value == pytest.approx(13.0, abs=0.01)
    with pytest.raises(BadInput, match="several units"):
        solve("siphon", f"contents: {target}",
              {**SIPHON, "contents": "300 ml cream 35 % and 100 g syrup 50 Bx"})  # fmt: skip


@pytest.mark.parametrize("value", [55.555, 1.234, 999.001, 0.125, 12.5, 1000.0, 3e-7])
def test_what_is_tried_is_read_one_way_only(value: float) -> None:
    assert parse_number(solving._written(value), "dose")[0] == pytest.approx(value)
