"""The invented house of the demo: thirty batches, what they tell, and the batch that was out."""

from __future__ import annotations

from pathlib import Path

from invented_house import EVENINGS, OUT, build

from prepkit import learn
from prepkit.learn import using
from prepkit.learn.using import prepared
from prepkit.plan.plan import load_recipe, plan_of
from prepkit.stock import open_ledger


def test_thirty_batches_tell_of_the_house(tmp_path: Path) -> None:
    house = build(tmp_path / "bar")
    with open_ledger(str(house / "house.db")) as ledger:
        found = learn.read_batches(ledger)
    assert len(found) == 2 * EVENINGS == 30
    taught = prepared(load_recipe(tmp_path / "bar/cold-semaphore.toml"))
    peel = next(one for one in taught.learnt if one.kind == "peel")
    assert (peel.batches, peel.used) == (EVENINGS, True)
    assert peel.low < 31.0 < peel.high
    brix = using.chart(found, "flower-cordial", "brix")
    assert [one.breaks for one in brix.out] == [("beyond the limits",)]
    assert brix.out[0].value > 51.0
    assert OUT < EVENINGS
    for name in ("house/house.toml", "cold-semaphore.toml"):
        assert "INVENTED" in (tmp_path / "bar" / name).read_text(encoding="utf-8")


def test_a_menu_of_the_three_recipes_learns_from_the_ledger(tmp_path: Path) -> None:
    build(tmp_path / "bar")
    taught = prepared(load_recipe(tmp_path / "bar/menu.toml"))
    assert {one.item for one in taught.learnt if one.used} >= {"peel-oleo", "flower-cordial"}
    said = plan_of(taught, taught.recipe.counts()).to_dict()
    assert [one["name"] for one in said["serve"]] == [
        "Semaphore", "Otter", "Weir", "Brasswick Ember",
    ]  # fmt: skip
    assert said["money"] is not None
    assert said["money"]["sales"] is not None
    assert said["sure"]["more"]
