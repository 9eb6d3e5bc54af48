"""Rows of a name with its least and its most: together, apart, and as they were typed."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page import asking
from page.recipe_pages import client, copied, reads_well, token_of
from werkzeug.datastructures import MultiDict

from prepkit.page import forms

FIELDS = {
    "shelf.0.what": "spirit 43 %", "shelf.0.high": "60 ml", "shelf.1.what": "lemon juice",
    "shelf.2.what": "syrup 65 Bx", "shelf.3.what": "water", "shelf.3.low": "0 ml",
    "target.0.what": "strength", "target.0.low": "20 %", "target.0.high": "20 %",
    "target.1.what": "acidity", "target.1.low": "0.8", "target.1.high": "0.8",
    "target.2.what": "sugar", "target.2.low": "8 %", "target.2.high": "10 %",
    "volume": "120", "volume.unit": "ml",
}  # fmt: skip


def test_the_fields_are_the_words_of_the_command_line() -> None:
    said = forms.said("compose", MultiDict(FIELDS))
    assert said["shelf"] == [
        "spirit 43 %=at most 60 ml", "lemon juice", "syrup 65 Bx", "water=at least 0 ml",
    ]  # fmt: skip
    assert said["target"] == ["strength=20 %", "acidity=0.8", "sugar=8 % to 10 %"]
    answer = asking.browser().get(asking.address("compose", FIELDS))
    assert answer.status_code == 302
    page = asking.tree(asking.browser().get(answer.headers["Location"]))
    assert page.first(class_="word").text == "CLEAR"
    shown = {one.attributes["name"]: one.attributes.get("value") for one in page.all("input")
             if "name" in one.attributes}  # fmt: skip
    rows = [key for key in FIELDS if key.startswith(("shelf", "target")) and key in shown]
    assert len(rows) > 9
    assert [shown[key] for key in rows] == [FIELDS[key] for key in rows]
    assert "shelf.4.what" in shown  # one row more to type in


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=30))
def test_what_is_typed_is_never_lost(words: str) -> None:
    for names in ({}, {"strength": "", "ph": ""}):
        row = forms.apart(0, words, names)
        assert (row.raw or forms.joined(row.what, row.low, row.high, bool(names))) == words


def test_the_course_of_a_glass_and_a_routine_stand_on_the_page() -> None:
    page = asking.tree(
        asking.browser().get(
            asking.address("window", forms.example("window")), follow_redirects=True
        )
    )
    block = next(one for one in page.all("section") if one.first("h2").text.startswith("From pour"))
    assert list(block.first("figure").all("svg"))
    plan = reads_well(client().get("/recipes/warm-brasswick/"))
    pane = asking.by_id(plan, "routine")
    assert "Two at the bar" in pane.text
    assert "Critical path" in pane.text
    assert list(pane.all("svg"))
    assert [one for one in plan.all("a") if one.attributes["href"] == "#routine"]
    other = reads_well(client().get("/recipes/free-otter/"))
    assert not [one for one in other.all("a") if one.attributes["href"] == "#routine"]


def test_a_row_is_added_without_a_script_and_keeps_the_others() -> None:
    answer = asking.browser().get(asking.address("compose", {**FIELDS, ".more": "shelf"}))
    assert answer.status_code == 200
    names = [one.attributes.get("name") for one in asking.tree(answer).all("input")]
    assert "shelf.5.what" in names


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"target.0.low": "50 %", "target.0.high": "60 %"}, "nearest"),
        ({"target.0.low": "", "target.0.high": ""}, "strength="),
        ({"target.1.what": "strength"}, "twice"), ({"shelf.0.high": "60 bananas"}, "unit"),
        ({"shelf.0.low": "90 ml"}, "lower amount first"),
        ({"shelf.0.what": "unobtainium"}, "under Ingredients"),
        ({"shelf.1.what": "", "shelf.1.low": "5 ml"}, "It has no ingredient"),
    ],
)  # fmt: skip
def test_what_cannot_be_composed_is_told_and_kept(more: dict[str, str], told: str) -> None:
    said: dict[str, Any] = {**FIELDS, **more}
    answer = asking.browser().get(asking.address("compose", said))
    assert answer.status_code == 422
    page = reads_well(answer)
    text = page.first(class_="problems").text
    assert told in text
    assert "--" not in text
    kept = [one.attributes["value"] for one in page.all("input", type="text")]
    kept += [one.attributes["value"] for one in page.all("option") if "selected" in one.attributes]
    for value in said.values():
        assert value in kept or any(value in one for one in kept), value


def test_a_composed_drink_is_saved_into_a_recipe(tmp_path: Any) -> None:
    browser = client(copied(tmp_path), write=True)
    answer = browser.get(asking.address("compose", FIELDS), follow_redirects=True)
    link = next(one for one in asking.tree(answer).all("a") if one.text == "Save into a recipe")
    into = reads_well(browser.get(link.attributes["href"]))
    new = next(one for one in into.all("a") if "/recipes/new" in one.attributes["href"])
    form = reads_well(browser.get(new.attributes["href"]))
    data: list[tuple[str, str]] = [("do", "save"), ("title", "Composed"), ("serves", "4")]
    for one in form.all("input"):
        name = one.attributes.get("name", "")
        if name.startswith("i900.") and one.attributes.get("type") != "checkbox":
            data.append((name, one.attributes.get("value", "")))
        if name in ("token", "seen"):
            data.append((name, one.attributes["value"]))
    for select in form.all("select"):
        for option in select.all("option"):
            if "selected" in option.attributes:
                data.append((select.attributes["name"], option.attributes["value"]))
    data = [one for one in data if one[0] not in ("i900.id",)] + [("i900.id", "sour-base")]
    data += [("s0.name", "Composed"), ("s0.part", "100 ml sour-base")]
    saved = browser.post("/recipes/new", data=MultiDict(data))
    assert saved.status_code == 303, asking.tree(saved).first(class_="problems").text
    text = (tmp_path / "recipes" / "composed.toml").read_text()
    assert 'calculator = "compose"' in text
    assert '"strength=20 %"' in text
    assert token_of(browser, "/recipes/")
