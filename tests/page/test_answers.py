"""The ways out of a stop as links: each leads to the answer that it promises."""

from __future__ import annotations

import re
from typing import Any

import pytest
from page import asking
from page.recipe_pages import reads_well

from prepkit import registry
from prepkit.index import CALCULATORS
from prepkit.model import Way
from prepkit.page import answers, forms

LOADS = {
    "two chargers": ("siphon", {"chargers": "2"}),
    "three with a sequence": (
        "siphon",
        {"chargers": "3", "sequence": "charge charge charge shake"},
    ),
    "too warm": ("siphon", {"chargers": "1", "warmest": "60 C", "max_fill": "0.6 l"}),
    "a room": ("room", {}),
    "a room in the cold": ("cryogen", {"room_volume": "6 m3", "air_changes": "0 /h"}),
}


@pytest.mark.parametrize("load", LOADS)
def test_each_way_out_leads_to_the_answer_it_promises(load: str) -> None:
    name, changed = LOADS[load]
    words = {**forms.example(name), **changed}
    answer = registry.run(name, words)
    assert answer.verdict == "stop"
    assert answer.result.ways_out
    for way in answer.result.ways_out:
        assert way.inputs
        query = answers.applied(way, words)
        args = asking.browser().get(f"/make/{name}.json?{query}").json
        assert (args["verdict"], args["deciding"]) == (way.verdict, way.figure), way


@pytest.mark.parametrize("load", LOADS)
def test_a_way_that_is_a_stop_itself_is_no_link(load: str) -> None:
    name, changed = LOADS[load]
    words = {**forms.example(name), **changed}
    page = asking.tree(asking.browser().get(asking.address(name, words), follow_redirects=True))
    links = list(page.first(class_="ways").all("a"))
    assert links
    rows = [one.first(class_="sig").text for one in page.first(class_="ways").all("li")]
    assert rows == sorted(rows, key=lambda word: word == "stop")  # what can be done comes first
    for link in links:
        assert link.first(class_="sig").text in ("care", "clear")
        there = asking.tree(asking.browser().get(link.attributes["href"], follow_redirects=True))
        assert not there.first(class_="verdict").has("class_", "stop")


def test_a_stop_is_told_before_its_ways_out_are_worked_out() -> None:
    words = {**forms.example("siphon"), "chargers": 2}
    first = asking.browser().get(asking.address("siphon", {**words, ".first": 1}, "/answer.json"))
    whole = asking.browser().get(asking.address("siphon", words, "/answer.json"))
    assert (first.json["more"], whole.json["more"]) == (True, False)
    assert 'class="verdict stop"' in first.json["top"]
    assert "Ways out" not in first.json["top"]
    assert "Ways out" in whole.json["top"]
    clear = asking.address("blend", {**forms.example("blend"), ".first": 1}, "/answer.json")
    assert asking.browser().get(clear).json["more"] is False


def test_beside_a_stop_no_figure_stands_large() -> None:
    page = asking.browser().get(
        asking.address("siphon", {**forms.example("siphon"), "chargers": 2})
    )
    assert "over by" in page.text
    assert 'class="three"' not in page.text


def test_a_way_without_inputs_is_no_link() -> None:
    assert answers.applied(Way("1 charger", "care", ""), {"chargers": "2"}) == ""


def test_a_way_may_take_an_input_away() -> None:
    way = Way("", "care", "", {"sequence": None, "shake_between": False, "strained": True})
    assert answers.applied(way, {"sequence": "charge", "gas": "n2o"}) == "gas=n2o&strained=yes"


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_strip_shows_the_bound_that_the_verdict_shows(system: str) -> None:
    for millilitres in range(300, 501, 20):
        said = {**forms.example("siphon"), "contents": f"{millilitres} ml cream 35 %"}
        top = answers.top_of_answer(registry.run("siphon", said), said, (), system, "")
        shown = re.search(r"<b>([\d.,]+)", top.say)
        assert shown is not None
        assert f"<b>{shown[1]}</b>" in top.strip


BLEND = {"part": ["700 ml spirit 43 %", "300 ml water"]}
SIPHON = {
    "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
    "rated": "17 bar", "gas": "n2o", "chargers": "1", "temperature": "5 C",
}  # fmt: skip


def solve(name: str, given: dict[str, Any], find: str, output: str, value: str, **more: str) -> Any:
    said = {**given, ".find": find, ".output": output, ".value": value, ".solve": "1", **more}
    return asking.browser().get(asking.address(name, said, "/solve"))


def test_a_solution_leads_to_the_answer_that_has_it() -> None:
    shown = reads_well(solve("blend", BLEND, "water", "abv", "20 % vol"))
    assert "Water: 806.5 ml" in shown.text
    link = next(one for one in shown.all("a") if "/make/blend?part" in one.attributes["href"])
    href = link.attributes["href"].replace("/make/blend", "/make/blend.json")
    answer = asking.browser().get(href)
    assert answer.get_json()["values"]["abv"]["value"] == pytest.approx(20.0, abs=1e-3)


def test_a_value_without_its_unit_is_in_that_of_the_output() -> None:
    assert "806.5 ml" in reads_well(solve("blend", BLEND, "water", "abv", "20")).text


def test_none_is_told_with_the_nearest() -> None:
    answer = solve("blend", BLEND, "water", "abv", "60 % vol")
    assert answer.status_code == 422
    text = reads_well(answer).text
    assert "No water between" in text
    assert "The nearest" in text


def test_a_stop_is_shown_and_leads_nowhere() -> None:
    given = {**SIPHON, "chargers": "1"}
    shown = reads_well(solve("siphon", given, "chargers", "gas_mass", "16 g"))
    assert "that is a STOP" in shown.text
    found = next(one for one in shown.all("section") if "aria-labelledby" in one.attributes)
    assert list(found.all(class_="stop"))
    assert not list(found.all("a"))


def test_what_is_read_on_a_plate_is_never_solved_for() -> None:
    page = reads_well(asking.browser().get(asking.address("siphon", SIPHON, "/solve")))
    offered = {one.attributes["value"] for one in asking.by_id(page, "find").all("option")}
    assert offered
    assert not offered & set(registry.load("siphon").inputs.only_read)
    answer = solve("siphon", SIPHON, "rated", "bound", "15 bar")
    assert answer.status_code == 422
    assert "read on the plate" in reads_well(answer).text


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({".value": ""}, "Write the value"), ({".value": "warm"}, "does not start with a number"),
        ({".from": "1 ml"}, "both ends"), ({".from": "9 ml", ".to": "1 ml"}, "lower first"),
        ({".find": "nothing"}, "no input"), ({".output": "nothing"}, "no output"),
        ({".value": "5 bananas"}, "unit"), ({".find": ""}, ""), ({".output": ""}, ""),
        ({"part": ["700 ml unobtainium"]}, ""),
    ],
)  # fmt: skip
def test_bad_words_are_told_in_a_sentence(more: dict[str, Any], told: str) -> None:
    given = {**BLEND, ".find": "water", ".output": "abv", ".value": "20 %", ".solve": "1", **more}
    answer = asking.browser().get(asking.address("blend", given, "/solve"))
    assert answer.status_code == 422
    page = reads_well(answer)
    assert told in page.first(class_="problems").text
    assert "--" not in page.first(class_="problems").text


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_calculator_has_it_beside_its_form(name: str) -> None:
    form = asking.tree(asking.browser().get(f"/make/{name}"))
    leads = {one.attributes.get("formaction") for one in form.all("button")}
    assert f"/make/{name}/solve" in leads
    page = reads_well(asking.browser().get(asking.address(name, forms.example(name), "/solve")))
    assert list(asking.by_id(page, "output").all("option"))
