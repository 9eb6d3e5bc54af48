"""A recipe that is edited again and again: what must stay, stays; what is undone, is gone."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Mapping
from typing import Any

import pytest
from deep import count
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from fuzz import judge
from fuzz.tables import NAMES, RECIPES, VALUES, text_of, written
from fuzz.words import HOSTILE
from prepkit.errors import PrepkitError
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.plan.check import check_text
from prepkit.plan.files import tables_of
from prepkit.plan.measured import measured
from prepkit.plan.plan import Plan, make_plan, read_recipe
from prepkit.plan.recipe_file import read_readings
from prepkit.plan.recipe_types import Recipe
from prepkit.render.plan_first import first_text
from prepkit.render.plan_text import plan_text

GRAMS_OF_OZ = 28.349523125  # exact, by its definition
LINEAR = ("blend", "cordial", "infuse")  # twice the parts make twice as much of the same
_GRAMS = re.compile(r"^([0-9]+(?:\.[0-9]+)?) g (?!.*±)(.+)$")
_AMOUNT = re.compile(r"^([0-9]+(?:\.[0-9]+)?) (g|kg|ml|l) (?!.*±)(.+)$")
Tables = dict[str, Any]


def same(one: Any, other: Any, place: str = "") -> None:
    """The same data, its numbers to rounding."""
    if isinstance(one, Mapping):
        assert one.keys() == other.keys(), place
        for key in one:
            same(one[key], other[key], f"{place}.{key}")
    elif isinstance(one, list | tuple):
        assert len(one) == len(other), f"{place}: {one} {other}"
        for a, b in zip(one, other, strict=True):
            same(a, b, f"{place}[]")
    elif isinstance(one, float) and isinstance(other, float):
        assert one == pytest.approx(other, rel=1e-6, abs=1e-9), place
    else:
        assert one == other, place


def amounts(whole: Mapping[str, Any]) -> Any:
    """What a plan says apart from words: verdicts, weighings, yields, readings, shopping."""
    return {
        "verdict": whole["verdict"],
        "items": [
            [one["verdict"], [line["g"] for line in one.get("weigh", ())], one.get("made_g"),
             [value["value"] for value in one.get("readings", ())]]
            for one in whole["items"]
        ],
        "shopping": sorted((row["name"], row["g"]) for row in whole["shopping"]),
        "serve": [[one["verdict"], one["g"]] for one in whole["serve"]],
    }  # fmt: skip


class Edits(RuleBasedStateMachine):
    """Edits of a demo recipe; `tables` is the recipe as it stands."""

    tables: Tables
    name: str

    @initialize(name=st.sampled_from(NAMES))
    def start(self, name: str) -> None:
        self.name = name
        self.tables = tables_of(text_of(name), name)

    # reading it

    def _plan(self, tables: Tables | None = None, variant: str | None = None) -> Plan | None:
        """The plan of the recipe; None where it is refused, and the check then tells the same."""
        text = written(self.tables if tables is None else tables)
        file = str(RECIPES / f"{self.name}.toml")
        try:
            recipe = read_recipe(text, file, variant=variant)
            before = _data(copy.deepcopy(recipe))
            plan = make_plan(recipe)
            plan.to_dict()
        except PrepkitError as error:
            failed = error
        else:
            assert _data(recipe) == before, "a plan changed the recipe that it is made of"
            return plan
        judge.refusal(failed)
        told = [one.text for one in check_text(text, file).problems]
        said = getattr(failed, "sentence", failed.message)
        assert said in told or failed.message in told, (said, told)
        return None

    def _items(self) -> dict[str, Tables]:
        items: dict[str, Tables] = self.tables["items"]
        return items

    @invariant()
    def it_answers_or_says_why(self) -> None:
        plan = self._plan()
        if plan is None:
            return
        whole = plan.to_dict()
        judge.finite(whole)
        self._shopping_is_the_sum(whole)
        judge.seen(plan_text(whole))
        judge.seen(first_text(whole))

    def _shopping_is_the_sum(self, whole: Mapping[str, Any]) -> None:
        ids = set(self._items())
        bought: dict[str, float] = {}
        for item in whole["items"]:
            for line in item.get("weigh", ()):
                bought[line["name"]] = bought.get(line["name"], 0.0) + line["g"]
        for serve in whole["serve"]:
            if serve["held_by"] or serve["verdict"] == "stop":
                continue
            for part in (*serve["parts"], *serve["garnish"]):
                g = part["g"] * whole["serves"]
                bought[part["name"]] = bought.get(part["name"], 0.0) + g
        told = {row["name"]: row["g"] for row in whole["shopping"] if row["g"] is not None}
        for name, g in told.items():
            assert g == pytest.approx(bought.get(name, 0.0), rel=1e-9, abs=1e-12), name
        assert {name for name, g in bought.items() if g > 0} - ids - set(told) <= {"water"}

    # edits that change what is made

    @rule(serves=st.sampled_from((1, 2, 7, 40, 500, 10_000)))
    def serve_others(self, serves: int) -> None:
        self.tables["serves"] = serves

    @rule(data=st.data(), amount=st.sampled_from(("1 g", "35 g", "900 g", "12 kg", "0.01 g")))
    def edit_an_amount(self, data: st.DataObject, amount: str) -> None:
        item, key, at = data.draw(st.sampled_from(_parts(self._items())))
        found = _AMOUNT.match(_said(item, key, at))
        if found:
            _say(item, key, at, f"{amount} {found[3]}")

    @rule(data=st.data(), n=st.integers(1, 3))
    def add_an_item(self, data: st.DataObject, n: int) -> None:
        used = data.draw(st.sampled_from(list(self._items())))
        parts = [f"100 g {used}", "50 g water"]
        self._items()[f"extra-{n}"] = {"calculator": "blend", "part": parts}

    @rule(data=st.data())
    @precondition(lambda self: len(self.tables["items"]) > 1)
    def remove_an_item(self, data: st.DataObject) -> None:
        del self._items()[data.draw(st.sampled_from(list(self._items())))]

    # edits that must change nothing

    @rule(k=st.sampled_from((2, 3, 10)))
    def more_serves_and_back(self, k: int) -> None:
        plan = self._plan()
        if plan is None or plan.serves * k > 10_000:
            return
        before = plan.to_dict()
        make_plan(plan.recipe, plan.serves * k).to_dict()
        assert make_plan(plan.recipe, plan.serves).to_dict() == before

    @rule(data=st.data(), k=st.sampled_from((0.5, 2.0, 8.0)))
    def write_an_item_larger_and_back(self, data: st.DataObject, k: float) -> None:
        linear = [one for one in self._items().values() if one.get("calculator") in LINEAR]
        plan = self._plan()
        if plan is None or not linear:
            return
        item = data.draw(st.sampled_from(linear))
        places = _parts({"": item})
        was = copy.deepcopy(item)
        for _, key, at in places:
            found = _AMOUNT.match(_said(item, key, at))
            if not found:
                return
            _say(item, key, at, f"{float(found[1]) * k!r} {found[2]} {found[3]}")
        again = self._plan()
        item.clear()
        item.update(was)
        if again is not None:  # so little of it may be below what its calculator takes
            same(amounts(again.to_dict()), amounts(plan.to_dict()))

    @rule(data=st.data())
    def write_grams_as_ounces(self, data: st.DataObject) -> None:
        item, key, at = data.draw(st.sampled_from(_parts(self._items())))
        found = _GRAMS.match(_said(item, key, at))
        plan = self._plan()
        if plan is None or not found:
            return
        was = _said(item, key, at)
        _say(item, key, at, f"{float(found[1]) / GRAMS_OF_OZ!r} oz wt {found[2]}")
        again = self._plan()
        _say(item, key, at, was)
        assert again is not None
        same(amounts(again.to_dict()), amounts(plan.to_dict()))

    @rule(data=st.data(), n=st.integers(1, 9))
    def rename_an_item(self, data: st.DataObject, n: int) -> None:
        old = data.draw(st.sampled_from(list(self._items())))
        new = f"renamed-{n}"
        if new in self._items():
            return
        plan = self._plan()
        named = re.compile(rf"(?<![\w-]){re.escape(old)}(?![\w-])")
        self.tables = json.loads(named.sub(new, json.dumps(self.tables)))
        again = self._plan()
        assert (again is None) is (plan is None)
        if plan is not None and again is not None:
            same(amounts(again.to_dict()), amounts(plan.to_dict()))

    @rule(n=st.integers(1, 3))
    def add_a_variant(self, n: int) -> None:
        plan = self._plan()
        self.tables.setdefault("variant", {})[f"other-{n}"] = {"title": "Another", "serves": 5 * n}
        again = self._plan()
        assert (again is None) is (plan is None)
        if plan is not None and again is not None:
            same(amounts(again.to_dict()), amounts(plan.to_dict()))
            other = self._plan(variant=f"other-{n}")
            assert other is not None
            assert other.serves == 5 * n

    @rule(data=st.data(), off=st.sampled_from((1.0, 0.9, 1.3, 0.01)))
    def read_what_was_made(self, data: st.DataObject, off: float) -> None:
        plan = self._plan()
        if plan is None:
            return
        before = plan.to_dict()
        made = {one.item.id: one.product for one in plan.made if one.product and one.go}
        if not made:
            return
        id_ = data.draw(st.sampled_from(list(made)))
        product = made[id_]
        assert isinstance(product, Mixture)
        text = f'[{id_}]\nmass = "{1000 * product.mass_kg * off!r} g"\n'
        found = judge.attempt(
            lambda: measured(plan, read_readings(text, plan.recipe.items), "readings")
        )
        assert plan.to_dict() == before, "readings changed the plan that they were compared with"
        if found is not None and off == 1.0:
            assert not found.account["beyond"]
            same(amounts(found.plan.to_dict()), amounts(before))

    @rule(data=st.data(), value=st.sampled_from(VALUES) | st.sampled_from(HOSTILE))
    def break_something_and_undo(self, data: st.DataObject, value: Any) -> None:
        plan = self._plan()
        was = copy.deepcopy(self.tables)
        place: Any = self.tables
        while True:
            spot = data.draw(st.sampled_from(list(place) if isinstance(place, dict)
                                             else range(len(place))))  # fmt: skip
            inner = place[spot]
            if not isinstance(inner, dict | list) or not inner or data.draw(st.booleans()):
                break
            place = inner
        place[spot] = value
        if not isinstance(value, str) or ("\ud800" not in value and "\udcff" not in value):
            self._plan()
        self.tables = was
        again = self._plan()
        assert (again is None) is (plan is None)
        if plan is not None and again is not None:
            assert again.to_dict() == plan.to_dict()


def _data(recipe: Recipe) -> tuple[dict[str, Any], dict[str, Any]]:
    """What a recipe holds; its pantry, which is equal only to itself, by what it holds."""
    pantry = recipe.house.pantry
    house = recipe.house._replace(pantry=Pantry())
    fields = {**recipe._asdict(), "house": tuple(one for one in house if one is not house.pantry)}
    return fields, vars(pantry)


def _parts(items: Mapping[str, Tables]) -> list[tuple[Tables, str, int | None]]:
    """Where the items write amounts of ingredients: item, key, place in its list."""
    found: list[tuple[Tables, str, int | None]] = []
    for item in items.values():
        for key in ("part", "liquid", "botanical", "contents", "peel", "sugar"):
            value = item.get(key)
            if isinstance(value, str):
                found.append((item, key, None))
            elif isinstance(value, list):
                found += [(item, key, at) for at in range(len(value))]
    return found or [({"part": "1 g water"}, "part", None)]


def _said(item: Tables, key: str, at: int | None) -> str:
    return str(item[key] if at is None else item[key][at])


def _say(item: Tables, key: str, at: int | None, words: str) -> None:
    if at is None:
        item[key] = words
    else:
        item[key][at] = words


TestEdits = Edits.TestCase
TestEdits.settings = settings(
    max_examples=count(2),
    stateful_step_count=6,
    suppress_health_check=list(HealthCheck),
)
