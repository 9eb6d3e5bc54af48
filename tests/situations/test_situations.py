"""Situations that a competent person refuses, each through calculator, recipe and page: none pass.

The list is data, one file by who is hurt: `gas.toml` charged vessels, `air.toml` rooms and
cryogens, `food.toml` the guest. The words of a situation stand on top of those of its calculator
in [words]; "" takes one of them out. `refused`: the words are no calculation at all, and one
sentence says so. `made`: why a plan rightly makes the same load otherwise than it is written.
"""

from __future__ import annotations

import json
import re
import tomllib
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from page import asking

from prepkit import model
from prepkit.errors import PrepkitError
from prepkit.page import forms, requests
from prepkit.pantry import Pantry
from prepkit.plan import make_plan
from prepkit.plan.plan import read_recipe
from prepkit.registry import load, run

HERE = Path(__file__).parent
BEFORE = "made-before"
ENDS = ("stop", "refused")


class Situation(NamedTuple):
    """One of them, with all words that its calculator is given."""

    id: str
    said: dict[str, Any]
    calculator: str
    words: dict[str, Any]
    before: tuple[str, dict[str, Any]] | None

    @property
    def good(self) -> tuple[str, ...]:
        """The answers that do not let it pass."""
        return ENDS if self.said.get("refused") else ENDS[:1]


@cache
def situations() -> tuple[Situation, ...]:
    """All of them, in the order of the files."""
    found = []
    for file in sorted(HERE.glob("*.toml")):
        held = tomllib.loads(file.read_text(encoding="utf-8"))
        usual = held.get("words", {})
        for one in held["situation"]:
            before = one.get("before")
            found.append(
                Situation(
                    one["id"], one, one["calculator"],
                    _over(usual.get(one["calculator"], {}), one["words"]),
                    before and (before["calculator"],
                                _over(usual[before["calculator"]], before["words"])),
                )
            )  # fmt: skip
    return tuple(found)


def _over(usual: dict[str, Any], words: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in {**usual, **words}.items() if value != ""}


def _judged(one: Situation, answer: str, good: tuple[str, ...]) -> None:
    """An answer that lets it pass fails."""
    assert answer in good, one.said


def _each() -> list[Any]:
    return [pytest.param(one, id=one.id) for one in situations()]


def test_the_list_is_whole() -> None:
    every = situations()
    assert len(every) >= 80
    assert len({one.id for one in every}) == len(every)
    for one in every:
        assert {"id", "what", "who", "why", "source", "calculator", "words"} <= one.said.keys()
        assert one.said["who"] in (
            "pressure engineer", "occupational hygienist", "kitchen lead", "food-safety officer",
            "fire officer", "allergen at the pass",
        )  # fmt: skip
        assert model.cited([one.said["source"]]), one.said["source"]


def by_calculator(one: Situation) -> str:
    """What the calculator answers: its verdict, or that it refused the words."""
    try:
        pantry = Pantry()
        if one.before:
            product = run(*one.before).product
            assert product is not None
            pantry = pantry.with_items({BEFORE: product})
        return run(one.calculator, one.words, pantry=pantry).verdict
    except PrepkitError:
        return "refused"


def recipe(one: Situation, *, made: bool) -> str:
    """A recipe of it: looked at as it is written, or made for the guest."""
    items = {BEFORE: one.before} if one.before else {}
    lines = ['title = "A situation"', "serves = 1"]
    for id_, (calculator, words) in {**items, "tried": (one.calculator, one.words)}.items():
        lines += [f"[items.{id_}]", f'calculator = "{calculator}"']
        lines += [f"{key} = {json.dumps(value)}" for key, value in words.items()]
        lines += ["check = true"] if id_ == "tried" and not made else []
    part = "450 g tried" if made else "100 ml water"
    return "\n".join([*lines, "[[serve]]", 'name = "Guest"', f'part = "{part}"'])


def by_plan(one: Situation, *, made: bool) -> str:
    """What a plan says of the item and of the whole."""
    try:
        planned = make_plan(read_recipe(recipe(one, made=made)), 1)
    except PrepkitError:
        return "refused"
    (tried,) = (item for item in planned.made if item.item.id == "tried")
    return planned.verdict if tried.verdict == planned.verdict else "the whole is milder"


def by_page(one: Situation) -> str:
    """What the page answers, as a page and as JSON."""
    words, uses = one.words, []
    if one.before:
        made = requests.of(run(*one.before), one.before[1])
        assert made is not None
        uses = [made]
        words = json.loads(json.dumps(words).replace(BEFORE, made.name))
    specs = load(one.calculator).inputs.specs()
    words = {
        key: [value] if key in specs and specs[key].kind in forms.MANY and isinstance(value, str)
        else value
        for key, value in words.items()
    }  # fmt: skip
    pairs = forms.query(words, requests.carried_lines(uses))
    browser = asking.browser()
    shown = browser.get(asking.address(one.calculator, pairs))
    said = browser.get(asking.address(one.calculator, pairs, ".json"))
    if said.status_code >= 400:
        assert shown.status_code >= 400 or "STOP" not in shown.text
        return "refused"
    verdict = str(said.get_json()["verdict"])
    assert (verdict == "stop") == bool(re.search(r"\bSTOP\b", shown.text))
    return verdict


@pytest.mark.parametrize("one", _each())
def test_no_calculator_lets_it_pass(one: Situation) -> None:
    _judged(one, by_calculator(one), one.good)


@pytest.mark.parametrize("one", _each())
def test_no_plan_lets_it_pass(one: Situation) -> None:
    _judged(one, by_plan(one, made=False), one.good)
    if "made" not in one.said:
        _judged(one, by_plan(one, made=True), one.good)


@pytest.mark.parametrize("one", _each())
def test_no_page_lets_it_pass(one: Situation) -> None:
    # the page does not take up what was charged at all
    _judged(one, by_page(one), ENDS if one.before else one.good)


def test_the_words_themselves_are_no_reason_to_stop() -> None:
    """The usual words of [words] are fine: what stops is what a situation changes."""
    for file, name, more in (
        ("gas.toml", "siphon", {}),
        ("air.toml", "room", {"release": ["8 g n2o"]}),
        ("air.toml", "cryogen", {}),
        ("air.toml", "chill", {"way": "dry ice"}),
    ):
        usual = tomllib.loads((HERE / file).read_text(encoding="utf-8"))["words"][name]
        assert run(name, {**usual, **more}).verdict in ("clear", "care"), name
