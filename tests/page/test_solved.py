"""An input found on the page: all solutions, none with the nearest, and STOP never an answer."""

from __future__ import annotations

from typing import Any

import pytest
from page import asking
from page.recipe_pages import reads_well

from prepkit import registry
from prepkit.index import CALCULATORS
from prepkit.page import forms

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
