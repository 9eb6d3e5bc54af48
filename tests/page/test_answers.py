"""The ways out of a stop as links: each leads to the answer that it promises."""

from __future__ import annotations

import re

import pytest
from page import asking

from prepkit import registry
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
