"""The form of a recipe: what is not changed stays letter by letter, what is typed is never lost."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from page.asking import tree
from page.recipe_pages import NAMES, client, copied
from werkzeug.datastructures import MultiDict

from prepkit import history
from prepkit.mixture import Mixture
from prepkit.page import guard, recipe_form
from prepkit.page.requests import Carried
from prepkit.plan.files import AsText

NEW = "/recipes/new"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied(tmp_path)


def fields(answer: Any) -> MultiDict[str, str]:
    """What a browser would send of the form of a page, without its buttons."""
    form = next(one for one in tree(answer).all("form") if "data-post" in one.attributes)
    found: MultiDict[str, str] = MultiDict()
    for one in form.all():
        name, kind = one.attributes.get("name"), one.attributes.get("type")
        if not name or one.tag == "button":
            continue
        if kind in ("checkbox", "radio") and "checked" not in one.attributes:
            continue
        if one.tag == "select":
            every = list(one.all("option"))
            chosen = [of for of in every if "selected" in of.attributes] or every[:1]
            value = chosen[0].attributes.get("value", chosen[0].text) if chosen else ""
        elif one.tag == "textarea":
            value = "".join(map(str, one.inside)).removeprefix("\n")
        else:
            value = one.attributes.get("value", "on")
        found.add(name, value)
    return found


def sent(browser: FlaskClient, path: str, shown: Any, **said: str | list[str]) -> Any:
    """The form of a page, with some fields changed, sent."""
    data = fields(shown)
    for name, value in said.items():
        data.setlist(name.replace("__", "."), value if isinstance(value, list) else [value])
    return browser.post(path, data=data)


@pytest.mark.parametrize("name", NAMES)
def test_a_form_that_is_not_changed_changes_no_letter(folder: Path, name: str) -> None:
    browser, path = client(folder, write=True), f"/recipes/{name}/form"
    before = (folder / f"{name}.toml").read_text("utf-8")
    answer = sent(browser, path, browser.get(path), do="save")
    assert answer.status_code == 303, tree(answer).first("div", class_="problems").text
    assert (folder / f"{name}.toml").read_text("utf-8") == before
    assert history.listed(folder / f"{name}.toml") == []


def test_what_is_changed_is_changed_alone(folder: Path) -> None:
    browser, path = client(folder, write=True), "/recipes/free-otter/form"
    before = (folder / "free-otter.toml").read_text("utf-8")
    shown = browser.get(path)
    name = next(key for key, value in fields(shown).items() if value == "45" and "brix" in key)
    answer = sent(browser, path, shown, do="save", why="less sweet", **{name: "43"})
    assert answer.status_code == 303
    after = (folder / "free-otter.toml").read_text("utf-8")
    assert after == before.replace('brix = "45 Bx"', 'brix = "43 Bx"')
    assert history.listed(folder / "free-otter.toml")[-1].note == "less sweet"


def test_a_new_recipe_from_an_empty_page_to_its_plan(folder: Path) -> None:
    browser = client(folder, write=True)
    shown = browser.get(NEW)
    shown = sent(browser, NEW, shown, title="Night Tide", serves="4", do="add", add="cordial")
    shown = sent(
        browser, NEW, shown, i0__id="tide-syrup", i0__part=["500 g water"],
        i0__sweeten="white sugar", i0__brix="50", do="add", add="blend",
    )  # fmt: skip
    assert shown.status_code == 200
    shown = sent(
        browser, NEW, shown, i1__id="tide-base", s0__name="Night Tide", do="check",
        i1__part=["300 ml rum 40 %", "120 ml tide-syrup"], s0__part="80 ml tide-bas",
    )  # fmt: skip
    told = tree(shown)
    assert "tide-bas" in told.first("fieldset", id="portion-0").first("p", class_="problem").text
    assert not (folder / "night-tide.toml").exists()
    answer = sent(browser, NEW, shown, s0__part="80 ml tide-base", do="save")
    assert answer.status_code == 303, tree(answer).text
    assert answer.headers["Location"] == "/recipes/night-tide/?saved=1"
    assert browser.get("/recipes/night-tide/").status_code == 200
    made = tomllib.loads((folder / "night-tide.toml").read_text("utf-8"))
    assert made["items"]["tide-syrup"]["brix"] == "50 Bx"
    assert made["serves"] == 4
    again = sent(browser, NEW, shown, s0__part="80 ml tide-base", do="save")
    assert again.status_code == 422
    assert "there already" in tree(again).first("div", class_="problems").text
    assert fields(again)["s0.part"] == "80 ml tide-base"


def test_a_problem_stands_at_its_field_and_the_live_check_says_the_same(folder: Path) -> None:
    browser, path = client(folder, write=True), "/recipes/free-otter/form"
    shown = browser.get(path)
    name = next(key for key in fields(shown) if key.endswith(".brix"))
    answer = sent(browser, path, shown, do="save", **{name: "450"})
    assert answer.status_code == 422
    field = next(one for one in tree(answer).all("input") if one.attributes.get("name") == name)
    assert field.attributes["aria-invalid"] == "true"
    live = sent(browser, path, shown, do="live", **{name: "450"})
    assert "1 to fix" in tree(live).text
    assert "<html" not in live.text
    assert "No problem" in sent(browser, path, shown, do="live").text


def test_what_is_missing_is_told_in_the_words_of_the_form(folder: Path) -> None:
    browser = client(folder, write=True)
    answer = sent(browser, NEW, browser.get(NEW), title="x", do="save")
    told = tree(answer).first("div", class_="problems").text
    assert "Serves it is written for: write a whole number" in told
    assert "write the name of a drink" in told
    assert "[[" not in told


def test_items_and_drinks_are_taken_out_and_added(folder: Path) -> None:
    browser, path = client(folder, write=True), "/recipes/free-otter/form"
    shown = sent(browser, path, browser.get(path), do="add", add="blend")
    number = max(int(key[1:].partition(".")[0]) for key in fields(shown) if key[:1] == "i")
    last = {f"i{number}.id": "spare", f"i{number}.part": ["1 g salt", "99 g water"]}
    answer = sent(browser, path, shown, do="save", **last)
    assert answer.status_code == 303
    kept = tomllib.loads((folder / "free-otter.toml").read_text("utf-8"))
    assert kept["items"]["spare"] == {"calculator": "blend", "part": ["1 g salt", "99 g water"]}
    shown = browser.get(path)
    prefix = next(key for key, value in fields(shown).items() if value == "spare")[:-3]
    answer = sent(browser, path, shown, do="save", **{f"{prefix}.drop": "1"})
    assert answer.status_code == 303
    assert "spare" not in (folder / "free-otter.toml").read_text("utf-8")


def test_a_change_made_meanwhile_is_shown_and_not_overwritten(folder: Path) -> None:
    browser, path = client(folder, write=True), "/recipes/free-otter/form"
    shown = browser.get(path)
    file = folder / "free-otter.toml"
    theirs = file.read_text("utf-8").replace("serves = 10", "serves = 12")
    file.write_text(theirs, "utf-8")
    answer = sent(browser, path, shown, title="Mine", do="save")
    assert answer.status_code == 409
    assert file.read_text("utf-8") == theirs
    told = tree(answer).first("div", class_="problems").text
    assert "serves: 12 → 10" in told
    assert fields(answer)["title"] == "Mine"
    assert sent(browser, path, answer, do="save").status_code == 303


@pytest.mark.parametrize("items", [("shared", "shared-2"), ("", "more")])
def test_items_that_another_changed_meanwhile_are_told_and_nothing_is_lost(
    folder: Path, items: tuple[str, str]
) -> None:
    """Another renames an item, or adds one and a drink: no item or drink is taken for another."""
    browser, path, file = client(folder, write=True), "/recipes/two/form", folder / "two.toml"
    item = '[items.{}]\ncalculator = "dilute"\npart = "1 l spirit 40 %"\nto_strength = "20 %"\n'
    drink = '[[serve]]\nname = "{}"\npart = ["40 ml {}"]\n'
    head = 'title = "Two"\nserves = 10\n'
    mine = head + item.format("shared") + drink.format("One", "shared")
    file.write_text(mine, "utf-8")
    shown = sent(browser, path, browser.get(path), do="add", add="dilute")
    shown = sent(browser, path, shown, do="serve")
    old, new = items
    theirs = mine.replace(old, new) if old else (
        head + item.format("shared") + item.format(new) + drink.format("One", "shared")
        + drink.format("Theirs", new)
    )  # fmt: skip
    file.write_text(theirs, "utf-8")
    words = {"i1__part": "1 l spirit 40 %", "i1__to_strength": "20 %", "i1__id": "own"}
    answer = sent(browser, path, shown, do="save", s1__name="Mine", s1__part="40 ml own", **words)
    assert answer.status_code == 409, answer.text
    assert file.read_text("utf-8") == theirs
    assert fields(answer)["i1.id"] == "own"
    assert sent(browser, path, answer, do="save").status_code == 303
    saved = tomllib.loads(file.read_text("utf-8"))
    assert {"shared", new, "own"} == set(saved["items"])
    names = [one["name"] for one in saved["serve"]]
    assert names == (["One", "Mine"] if old else ["One", "Theirs", "Mine"])


def test_the_pantry_is_offered_in_the_rows_of_a_form(folder: Path) -> None:
    shown = tree(client(folder, write=True).get("/recipes/free-otter/form"))
    form = next(one for one in shown.all("form") if "data-post" in one.attributes)
    assert form.attributes["data-names"] == "/ingredients.json"
    assert [one for one in form.all("input") if "data-amounts" in one.attributes]
    assert any("/names.js" in one.attributes["src"] for one in shown.all("script"))


def test_a_calculation_and_what_was_carried_into_it_become_items(folder: Path) -> None:
    browser = client(folder, write=True)
    words = {"part": ["500 g water"], "sweeten": "white sugar", "brix": "50 Bx"}
    answer = browser.get("/make/cordial", query_string=words, follow_redirects=True)
    link = next(
        one.attributes["href"] for one in tree(answer).all("a") if "/into" in one.attributes["href"]
    )
    into = tree(browser.get(link))
    targets = [one.attributes["href"] for one in into.all("a") if "i900" in one.attributes["href"]]
    assert len(targets) >= 4
    shown = browser.get(next(one for one in targets if "/free-otter/" in one))
    prefix = next(key for key, value in fields(shown).items() if value == "my-cordial")[:-3]
    assert fields(shown).getlist(f"{prefix}.part")[0] == "500 g water"
    assert sent(browser, "/recipes/free-otter/form", shown, do="save").status_code == 303
    carried = Carried("cordial-abc", "cordial", words, Mixture({"water": 1.0}), "", ())
    pairs = recipe_form.query("blend", {"part": ["1 g cordial-abc"]}, [carried])
    typed = recipe_form.of_args(MultiDict(pairs))
    assert [one.id for one in typed.bits] == ["cordial-abc", "my-blend"]
    assert b"/into" not in client(folder).get("/make/blend?part=1+kg+water").data


@pytest.mark.parametrize(
    "text",
    ["x = 1\n", "items = 3\n", '[items.a]\ncalculator = "none"\n', "[items]\na = 1\n"],
)
def test_what_a_form_cannot_show_is_left_to_the_text(text: str) -> None:
    with pytest.raises(AsText):
        recipe_form.of_file(tomllib.loads(text))


def test_nothing_is_written_without_token_or_right_or_with_a_foreign_item(folder: Path) -> None:
    browser = client(folder, write=True)
    before = {str(one): one.read_bytes() for one in folder.rglob("*.toml")}
    for path in (NEW, "/recipes/free-otter/form"):
        data = fields(browser.get(path))
        assert browser.post(path, data={**data, "token": "x", "do": "save"}).status_code == 403
        for said in ({"i7.calculator": "../x"}, {"i0.calculator": "<script>"}):
            assert browser.post(path, data={**data, **said}).status_code in (400, 404, 422)
        long = {"title": "x" * (guard.MOST_LETTERS + 1)}
        assert browser.post(path, data={**data, **long}).status_code == 413
        many = {f"i{n}.calculator": "blend" for n in range(60)}
        assert browser.post(path, data={**data, **many}).status_code in (400, 422)
        script = {"title": "</textarea><script>alert(1)</script>", "do": "check"}
        assert b"<script>alert" not in browser.post(path, data={**data, **script}).data
    reader = client(folder)
    shown = reader.get("/recipes/free-otter/form")
    assert sent(reader, "/recipes/free-otter/form", shown, do="save", title="x").status_code == 403
    assert reader.get("/recipes/..%2fsecret/form").status_code == 404
    assert {str(one): one.read_bytes() for one in folder.rglob("*.toml")} == before
