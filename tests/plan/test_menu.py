"""Several recipes as one: what they share is made once, and where they differ it is said."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput, BadRecipe
from prepkit.plan.plan import Plan, load_menu, load_recipe, plan_of
from prepkit.plan.prepare import prepare
from prepkit.plan.recipe_types import counts_said
from prepkit.render.plan_first import first_text
from prepkit.render.plan_text import plan_text

DEMO = Path(__file__).parents[2] / "recipes"
BASE = """
[items.{id}]
calculator = "blend"
part = ["500 g water", "500 g white sugar"]
{more}
"""
SERVE = '[[serve]]\nname = "{name}"\npart = ["{part}"]\n'


def write(folder: Path, name: str, *, text: str, serves: int = 10, title: str = "") -> str:
    path = folder / f"{name}.toml"
    path.write_text(f'title = "{title or name}"\nserves = {serves}\n{text}', encoding="utf-8")
    return str(path)


def drink(name: str, *, base: str = "base", more: str = "", ml: int = 20) -> str:
    return BASE.format(id=base, more=more) + SERVE.format(name=name, part=f"{ml} ml {base}")


def planned(*files: str, serves: str | None = None) -> Plan:
    recipe = load_menu(files) if len(files) > 1 else load_recipe(files[0])
    return plan_of(prepare(recipe), counts_said(serves, recipe))


def refused(*files: str) -> str:
    with pytest.raises(BadRecipe) as error:
        planned(*files)
    assert error.value.message.count(". ") <= 1, "one sentence of cause and one of remedy"
    return error.value.message


def test_what_drinks_share_is_made_once(tmp_path: Path) -> None:
    a = write(tmp_path, "a", text=drink("Ledger"))
    b = write(tmp_path, "b", text=drink("Soda", base="base", ml=30))
    c = write(tmp_path, "c", text=drink("Weir", base="plain-base", ml=10))
    plan = planned(a, b, c, serves="Ledger=60, Soda=35, Weir=0")
    assert [one.item.id for one in plan.made] == ["base"]
    made = plan.made[0].demand
    assert set(made.by) == {"Ledger", "Soda", "Weir"}
    alone = [planned(a, serves="60"), planned(b, serves="35")]
    assert made.made_kg == pytest.approx(sum(one.made[0].demand.made_kg for one in alone))
    assert [one.serve.name for one in plan.portions] == ["Ledger", "Soda"]


@settings(max_examples=15, deadline=None)
@given(st.integers(1, 300), st.integers(1, 300))
def test_a_menu_makes_what_its_recipes_make(first: int, second: int) -> None:
    """Mass by item is that of the recipes alone, and the shared item's is their sum."""
    files = [str(DEMO / "free-otter.toml")]
    recipe = load_recipe(files[0])
    prepared = prepare(recipe)
    both = plan_of(prepared, {"Otter": first, "Weir": second})
    alone = [
        plan_of(prepared, {"Otter": first, "Weir": 0}),
        plan_of(prepared, {"Otter": 0, "Weir": second}),
    ]
    mass = [
        {one.item.id: one.demand.made_kg for one in plan.made if one.product is not None}
        for plan in (both, *alone)
    ]
    for id_, kg in mass[0].items():
        assert kg == pytest.approx(sum(one.get(id_, 0.0) for one in mass[1:]))


def test_an_item_of_two_definitions_is_refused_with_the_difference(tmp_path: Path) -> None:
    a = write(tmp_path, "a", text=drink("Ledger"))
    b = write(tmp_path, "b", text=drink("Soda").replace("500 g white", "600 g white"))
    said = refused(a, b)
    assert "items.base.part" in said
    assert '"600 g white sugar"' in said
    assert '"500 g white sugar"' in said
    assert "a.toml" in said
    assert "b.toml" in said
    for more, key in (
        ('loss = "3 %"', "loss"),
        ('least = "1 kg"', "least"),
        ('note = "x"', "note"),
    ):
        c = write(tmp_path, "c", text=drink("Weir", more=more))
        assert f"items.base.{key}" in refused(a, c)
    step = '[[items.base.step]]\ntext = "Stir"\n'
    assert "items.base.step" in refused(a, write(tmp_path, "d", text=drink("E", more=step)))


def test_an_item_of_its_own_and_what_is_made_of_it_get_ids_of_their_own(tmp_path: Path) -> None:
    mix = '[items.mix]\ncalculator = "blend"\npart = ["100 g base", "100 g water"]\n'
    a = drink("Ledger").replace("20 ml base", "20 ml mix") + mix
    write(tmp_path, "a", text=a)
    write(tmp_path, "b", text=a.replace("Ledger", "Soda").replace("500 g white", "600 g white"))
    menu = tmp_path / "menu.toml"
    rows = '[[recipe]]\nfile = "a.toml"\n[[recipe]]\nfile = "b.toml"\nown = ["base"]\n'
    menu.write_text(rows, encoding="utf-8")
    plan = planned(str(menu))
    assert {one.item.id for one in plan.made} == {"base", "mix", "base-b", "mix-b"}
    by_id = {one.item.id: one for one in plan.made}
    assert set(by_id["base-b"].demand.by) == {"mix-b"}
    assert set(by_id["mix-b"].demand.by) == {"Soda"}


def test_a_variant_stands_beside_its_recipe(tmp_path: Path) -> None:
    file = DEMO / "cold-semaphore.toml"
    (tmp_path / "house").mkdir()
    for name in ("house/house.toml", "house/pantry.toml", "cold-semaphore.toml"):
        (tmp_path / name).write_bytes((DEMO / name).read_bytes())
    menu = tmp_path / "menu.toml"
    menu.write_text(
        f'[[recipe]]\nfile = "{file.name}"\n[[recipe]]\nfile = "{file.name}"\n'
        'variant = "alcohol-free"\n',
        encoding="utf-8",
    )
    plan = planned(str(menu))
    ids = {one.item.id for one in plan.made}
    assert {"coffee-base", "coffee-base-alcohol-free", "tonight-nitro-alcohol-free"} <= ids
    assert "peel-oleo-alcohol-free" not in ids, "what both take is made once"
    rounds = plan.to_dict()["vessels"]
    assert [one["rounds"] for one in rounds] == [1, 1]
    assert rounds[0]["loads"] == 2
    many = plan_of(plan.prepared, plan.recipe.counts(30)).to_dict()["vessels"]
    assert {one["rounds"] for one in many} == {3}
    assert {one["loads"] for one in many} == {8}
    assert "3 for 8 loads" in plan_text(plan_of(plan.prepared, plan.recipe.counts(30)).to_dict())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ('[house]\nroom_temperature = "25 C"\n', "room_temperature"),
        ('[vessels.north]\nrated = "12 bar"\n', "vessels.north.rated"),
    ],
)
def test_a_menu_is_made_in_one_house(tmp_path: Path, more: str, said: str) -> None:
    first = more.replace("25 C", "20 C").replace("12 bar", "17 bar")
    a = write(tmp_path, "a", text=first + drink("Ledger"))
    b = write(tmp_path, "b", text=more + drink("Soda"))
    sentence = refused(a, b)
    assert said in sentence
    if said.startswith("vessels"):
        assert re.search(r"b\.toml:\d+: vessels", sentence)
    assert "a.toml" in sentence
    assert "b.toml" in sentence
    if "house" in more:
        menu = tmp_path / "menu.toml"
        rows = '[[recipe]]\nfile = "a.toml"\n[[recipe]]\nfile = "b.toml"\n'
        menu.write_text(f'{rows}[house]\nroom_temperature = "22 C"\n', encoding="utf-8")
        assert planned(str(menu)).recipe.house.facts["room_temperature"] == "22 C"


def test_a_recipe_or_a_drink_twice_is_refused(tmp_path: Path) -> None:
    a, b = (write(tmp_path, name, text=drink("Ledger")) for name in "ab")
    assert "is in the menu twice" in refused(a, a)
    menu = tmp_path / "menu.toml"
    menu.write_text('[[recipe]]\nfile = "a.toml"\n', encoding="utf-8")
    assert f"{a} is in the menu twice" in refused(str(menu), a)
    said = refused(a, b)
    assert re.match(rf'{re.escape(b)}:\d+: serve "Ledger"\.name', said)
    assert a in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Ledgr=60, Soda=35", 'a drink "Ledgr"'), ("Ledger=60", "Soda"),
        ("Ledger=60, Ledger=2, Soda=1", "twice"), ("Ledger=0, Soda=0", "leaves no drink"),
        ("Ledger=1.5, Soda=1", "whole number"), ("Ledger=, Soda=1", "whole number"),
        ("=4", "write a number"), ("Ledger=60 Soda=35", "write a number"),
        ("Ledger=-1, Soda=2", "whole number"), ("0", "whole number"), ("many", "number"),
    ],
)  # fmt: skip
def test_how_many_of_each_is_said_by_name(tmp_path: Path, words: str, said: str) -> None:
    files = [write(tmp_path, name, text=drink(name)) for name in ("Ledger", "Soda")]
    with pytest.raises(BadInput) as error:
        planned(*files, serves=words)
    assert said in error.value.message
    assert planned(*files, serves="ledger = 60,Soda=35").counts == {"Ledger": 60, "Soda": 35}


def test_numbers_of_the_menu_win_over_those_of_recipes(tmp_path: Path) -> None:
    for name in ("Ledger", "Soda"):
        write(tmp_path, name, text=drink(name).replace("name =", "serves = 7\nname ="))
    rows = "".join(f'[[recipe]]\nfile = "{name}.toml"\n' for name in ("Ledger", "Soda"))
    menu = tmp_path / "menu.toml"
    menu.write_text(rows, encoding="utf-8")
    assert planned(str(menu)).counts == {"Ledger": 7, "Soda": 7}
    menu.write_text(f'serves = 5\n{rows}[[serve]]\nname = "Soda"\nserves = 9\n', encoding="utf-8")
    assert planned(str(menu)).counts == {"Ledger": 5, "Soda": 9}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("recipe = 3", "[[recipe]]"), ("recipe = []", "[[recipe]]"),
        ('[[recipe]]\nfile = "none.toml"', "cannot be read"),
        ('[[recipe]]\nfile = "../a.toml"', "outside"), ("[[recipe]]\nserves = 3", "file"),
        ('[[recipe]]\nfile = "a.toml"\nserves = "3"', "bare number"),
        ('[[recipe]]\nfile = "a.toml"\n[[serve]]\nname = "Ledgr"', "Ledger"),
        ('[[recipe]]\nfile = "a.toml"\n[items.x]\npart = "1 g water"', "no items of its own"),
        ('[[recipe]]\nfile = "a.toml"\nown = ["bas"]', "base"),
        ('[[recipe]]\nfile = "menu.toml"', "menu itself"),
        ('[[recipe]]\nfile = "a.toml"\ncolour = "red"', "colour"),
    ],
)  # fmt: skip
def test_a_wrong_menu_is_refused_in_a_sentence(tmp_path: Path, text: str, said: str) -> None:
    write(tmp_path, "a", text=drink("Ledger"))
    menu = tmp_path / "menu.toml"
    menu.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as error:
        planned(str(menu))
    assert (said in error.value.message and "menu.toml" in error.value.message) or "none" in text


def test_a_stop_of_one_drink_is_said_first_and_the_others_go_on(tmp_path: Path) -> None:
    a = write(tmp_path, "a", text=drink("Ledger"))
    gas = (
        '[vessels.north]\nvessel_volume = "1.3 l"\nmax_fill = "1 l"\nrated = "4 bar"\n'
        'allowed_gas = "co2"\nallowed_charger = "8 g"\nmost_chargers = 1\nhottest = "40 C"\n'
        'head = "metal"\ninspection_due = "2099-01-01"\n[items.soda]\ncalculator = "siphon"\n'
        'vessel = "north"\ncontents = "1 l base"\ngas = "co2"\nchargers = 1\n'
        'charger_gas_mass = "8 g"\ntemperature = "4 C"\nwarmest = "22 C"\nstrained = true\n'
    )
    b = write(tmp_path, "b", text=BASE.format(id="base", more=gas)
              + SERVE.format(name="Soda", part="90 ml soda"))  # fmt: skip
    plan = planned(a, b)
    text = first_text(plan.to_dict())
    assert plan.verdict == "stop"
    assert text.startswith("plan: STOP  soda is stopped.")
    assert text.index("STOP  soda must not be made") < text.index("Make, in this order")
    held = {one["name"]: one["held_by"] for one in plan.to_dict()["serve"]}
    assert held == {"Ledger": [], "Soda": ["soda"]}
    assert {one.item.id for one in plan.made if one.go} == {"base"}


def test_registers_of_two_folders_are_two_registers(tmp_path: Path) -> None:
    """An item is no other's where its vessel is another: a rating would go unread."""
    files = []
    for name, rated in (("a", "20 bar"), ("b", "4 bar")):
        folder = tmp_path / name
        folder.mkdir()
        plate = f'[vessels.north]\nvessel_volume = "1.3 l"\nmax_fill = "1 l"\nrated = "{rated}"\n'
        (folder / "all.toml").write_text(plate, encoding="utf-8")
        item = (
            f'[items.{name}-soda]\ncalculator = "siphon"\nvessel = "north"\n'
            'vessel_register = "all.toml"\ncontents = "1 l water"\ngas = "co2"\nchargers = 1\n'
            'charger_gas_mass = "8 g"\ntemperature = "4 C"\nwarmest = "22 C"\n'
        )
        text = item + SERVE.format(name=f"Soda {name}", part=f"90 ml {name}-soda")
        files.append(write(folder, name, text=text))
    stopped = [one.item.id for one in planned(*files).made if one.verdict == "stop"]
    assert stopped == ["b-soda"]
    for file in files:
        path = Path(file)
        path.write_text(
            path.read_text(encoding="utf-8").replace(f"{path.stem}-soda", "soda"), encoding="utf-8"
        )
    said = refused(*files)
    assert "items.soda.vessel_register" in said
    assert all(str(Path(file).parent / "all.toml") in said for file in files)


def test_the_allergens_of_all_drinks_stand_in_one_table() -> None:
    said = planned(str(DEMO / "menu.toml")).to_dict()
    text = plan_text(said)
    table = text[text.index("\nAllergens\n") :]
    assert "milk" in table.splitlines()[3]
    for serve in said["serve"]:
        row = next(line for line in table.splitlines() if line.startswith(serve["name"]))
        assert ("contains" in row) == bool(serve["allergens"])
