"""House files: what they give to a recipe, what wins, and that nothing outside is read."""

from __future__ import annotations

import json
import os
import shlex
from pathlib import Path

import pytest
from plan.trial import RECIPE as TRIAL

from prepkit.cli import main
from prepkit.errors import BadRecipe, FileProblem
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.files import below, write_new

RECIPE = """
house = "house.toml"
title = "A trial"
serves = 8
[items.my-base]
calculator = "blend"
part = ["500 ml spirit 40 %", "200 g cellar syrup"]
[items.my-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml my-base"
gas = "n2"
chargers = 1
temperature = "4 C"
[[serve]]
name = "Trial"
part = ["100 g my-nitro"]
"""
HOUSE = """
altitude = "1200 m"
fridge_temperature = "5 C"
jurisdiction = "eu"
currency = "EUR"
units = "us"
hands = 2
pantry = "pantry.toml"
[bench]
scale = "0,1 g"
refractometer = "± 0.2 Bx"
ph_meter = 0.05
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
count = 2
[[price]]
ingredient = "spirit 40 %"
pack = "700 ml"
cost = 21
"""
PANTRY = """
[[ingredient]]
name = "cellar syrup"
group = "syrup"
form = "liquid"
per_100_g = { water = 40, sucrose = 60 }
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "tonight.toml").write_text(RECIPE, encoding="utf-8")
    (tmp_path / "house.toml").write_text(HOUSE, encoding="utf-8")
    (tmp_path / "pantry.toml").write_text(PANTRY, encoding="utf-8")
    return tmp_path


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def test_a_house_gives_facts_vessels_prices_and_ingredients(folder: Path) -> None:
    recipe = load_recipe(folder / "tonight.toml")
    assert recipe.house.bench["scale"] == pytest.approx(0.1)
    assert recipe.house.bench["ph_meter"] == pytest.approx(0.05)
    assert recipe.house.hands == 2
    assert recipe.house.prices[0].cost == pytest.approx(21)
    made = make_plan(recipe, 20)
    nitro = next(one for one in made.made if one.item.id == "my-nitro")
    assert nitro.answer.inputs["altitude"] == "1200.0 m"
    said = made.to_dict()
    assert said["vessels"][0]["house_has"] == 2
    # 60 % sugar in the syrup: 120 g of sugar in 200 g
    base = next(one for one in made.made if one.item.id == "my-base")
    assert base.product is not None
    syrup = next(line for line in base.weigh if line.name == "cellar syrup")
    assert base.product.of("sucrose") == pytest.approx(0.6 * syrup.mass_g / 1000)
    assert said["house"]["currency"] == "EUR"
    assert said["house"]["bench"]["refractometer"] == {"value": 0.2, "unit": "Bx"}


def test_units_of_the_house_are_those_of_the_sheet_unless_asked(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = folder / "tonight.toml"
    assert "US fl oz" in call(f"plan {path}", capsys)[1]
    assert "US fl oz" not in call(f"plan {path} --units metric", capsys)[1]
    _, us, _ = call(f"plan {path} --json", capsys)
    _, metric, _ = call(f"plan {path} --json --units metric", capsys)
    assert json.loads(us) == json.loads(metric)


def test_what_a_recipe_says_itself_wins(folder: Path) -> None:
    path = folder / "tonight.toml"
    own = '[house]\nfile = "house.toml"\naltitude = "300 m"\n[house.bench]\nscale = "2 g"\n'
    path.write_text(RECIPE.replace('house = "house.toml"', "") + own, encoding="utf-8")
    house = load_recipe(path).house
    assert house.facts["altitude"] == "300 m"
    assert house.facts["fridge_temperature"] == "5 C"
    assert house.bench["scale"] == pytest.approx(2.0)
    assert house.bench["refractometer"] == pytest.approx(0.2)


def test_a_recipe_that_names_no_house_has_none_unless_a_folder_is_named(folder: Path) -> None:
    path = folder / "elsewhere.toml"
    text = RECIPE.replace('house = "house.toml"', "").replace("cellar syrup", "sugar syrup 1:1")
    path.write_text(text.replace("sugar syrup 1:1", "water"), encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"items.my-nitro.vessel"):
        load_recipe(path)
    assert load_recipe(path, house=folder).vessels["north"].count == 2


def test_a_named_folder_stands_for_the_recipe_s_own(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = folder / "other"
    other.mkdir()
    (other / "house.toml").write_text(HOUSE.replace("1200 m", "700 m"), encoding="utf-8")
    (other / "pantry.toml").write_text(PANTRY, encoding="utf-8")
    path = folder / "tonight.toml"
    assert load_recipe(path, house=other).house.facts["altitude"] == "700 m"
    code, out, _ = call(f"plan {path} --house {other} --json", capsys)
    assert code == 0
    assert json.loads(out)["house"]["facts"]["altitude"] == "700 m"
    assert call(f"plan {path} --house {folder / 'absent'}", capsys)[0] == 4


def test_a_named_folder_may_hold_the_house_file_itself(folder: Path) -> None:
    other = folder / "other"
    other.mkdir()
    (other / "house.toml").write_text(HOUSE.replace("1200 m", "700 m"), encoding="utf-8")
    (other / "pantry.toml").write_text(PANTRY, encoding="utf-8")
    path = folder / "deep.toml"
    path.write_text(RECIPE.replace('"house.toml"', '"place/house.toml"'), encoding="utf-8")
    house = load_recipe(path, house=other).house
    assert house.facts["altitude"] == "700 m"
    assert house.files == (str(other / "house.toml"), str(other / "pantry.toml"))
    # as the recipe names it comes first
    (other / "place").mkdir()
    (other / "place" / "house.toml").write_text('altitude = "300 m"\n', encoding="utf-8")
    with pytest.raises(BadRecipe):  # it has no vessel
        load_recipe(path, house=other)
    # and what lies outside is refused, not looked for elsewhere
    path.write_text(RECIPE.replace('"house.toml"', '"../house.toml"'), encoding="utf-8")
    with pytest.raises(BadRecipe, match="outside") as error:
        load_recipe(path, house=other)
    assert "--" not in error.value.wording  # a page and a library have no options
    # a folder is no house file, and is named in the words of the recipe
    path.write_text(RECIPE.replace('"house.toml"', '"absent/"'), encoding="utf-8")
    with pytest.raises(FileProblem, match="absent"):
        load_recipe(path, house=other)


@pytest.mark.parametrize(
    "name", ["../house.toml", "/etc/passwd", "sub/../../house.toml", "link.toml", "."]
)
def test_nothing_outside_the_folder_is_read(folder: Path, name: str) -> None:
    inner = folder / "inner"
    inner.mkdir()
    os.symlink(folder / "house.toml", inner / "link.toml")
    path = inner / "tonight.toml"
    path.write_text(RECIPE.replace('"house.toml"', f'"{name}"'), encoding="utf-8")
    with pytest.raises(BadRecipe, match="outside"):
        load_recipe(path)
    house = HOUSE.replace('pantry = "pantry.toml"', f'pantry = "{name}"')
    path.write_text(RECIPE, encoding="utf-8")
    (inner / "house.toml").write_text(house, encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"pantry.*outside"):
        load_recipe(path)


def test_a_vessel_register_lies_with_the_recipe(folder: Path) -> None:
    path = folder / "tonight.toml"
    text = RECIPE.replace('vessel = "north"', 'vessel = "north"\nvessel_register = "/etc/passwd"')
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"items.my-nitro.vessel_register.*outside"):
        make_plan(load_recipe(path))


WRONG_HOUSE = [
    ('altitude = "1200 m"', 'altitude = "1200 g"', ["altitude", "length"]),
    ('altitude = "1200 m"', 'mood = "good"', ["mood", "not known"]),
    ('altitude = "1200 m"', 'altitude = "9000 m"', ["house.toml:2: altitude", "9000"]),
    ('scale = "0,1 g"', 'scale = "0 g"', ["bench.scale", "more than 0"]),
    ('scale = "0,1 g"', "scale = 0.1", ["bench.scale", "unit"]),
    ('scale = "0,1 g"', 'sclae = "0.1 g"', ["bench", "sclae", "scale"]),
    ("ph_meter = 0.05", 'ph_meter = "0.05"', ["bench.ph_meter", "bare number"]),
    ('currency = "EUR"', 'currency = "1 euro"', ["currency"]),
    ('units = "us"', 'units = "furlongs"', ["units", "metric, us"]),
    ("hands = 2", "hands = 0", ["hands"]),
    ("hands = 2", "hands = true", ["hands"]),
    ('rated = "17 bar"', 'rated = "17 kg"', ["house.toml:16: vessels.north.rated"]),
    ('rated = "17 bar"', 'colour = "red"', ["house.toml:16: vessels.north.colour"]),
    ("cost = 21", "", ["price 1.cost", "missing"]),
    ("cost = 21", 'cost = "21"', ["price 1.cost", "number"]),
    ("cost = 21", "cost = -1", ["price 1.cost"]),
    ("cost = 21", "cost = nan", ["price 1.cost"]),
    ('pack = "700 ml"', "", ["price 1.pack", "missing"]),
    ("[[price]]", "[price]", ["price", "[[price]]"]),
    ('pantry = "pantry.toml"', "pantry = 3", ["pantry", "3"]),
    ('altitude = "1200 m"', "altitude = ", ["house.toml", "TOML"]),
]


@pytest.mark.parametrize(("old", "new", "says"), WRONG_HOUSE)
def test_a_wrong_house_gets_one_sentence(
    old: str, new: str, says: list[str], folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert old in HOUSE
    (folder / "house.toml").write_text(HOUSE.replace(old, new, 1), encoding="utf-8")
    code, out, err = call(f"plan {folder / 'tonight.toml'}", capsys)
    assert (code, out) == (2, "")
    assert err.strip().count("\n") == 0
    for word in says:
        assert word in err


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("sucrose = 60", "sucrose = 90", "130"),
        ("sucrose", "sugar", "component"),
        ('form = "liquid"', 'form = "wet"', "form"),
        ('form = "liquid"', 'form = "liquid"\nalso = "x"', "also"),
        ('form = "liquid"', 'form = "liquid"\nstrength = "proof"', "strength"),
        ("[[ingredient]]", "[ingredient]", "[[ingredient]]"),
        ('name = "cellar syrup"', "", "name"),
    ],
)
def test_a_wrong_pantry_gets_one_sentence(folder: Path, old: str, new: str, says: str) -> None:
    (folder / "pantry.toml").write_text(PANTRY.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"pantry.toml") as caught:
        load_recipe(folder / "tonight.toml")
    assert says in str(caught.value)


def test_a_house_file_that_is_not_there_is_a_file_problem(folder: Path) -> None:
    (folder / "house.toml").unlink()
    with pytest.raises(FileProblem, match=r"house.toml"):
        load_recipe(folder / "tonight.toml")


def test_two_currencies_are_refused(folder: Path) -> None:
    path = folder / "tonight.toml"
    own = '[house]\nfile = "house.toml"\ncurrency = "USD"\n'
    path.write_text(RECIPE.replace('house = "house.toml"', "") + own, encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"USD.*EUR"):
        load_recipe(path)


def test_a_house_item_cannot_hide_an_ingredient_of_the_house(folder: Path) -> None:
    path = folder / "tonight.toml"
    spare = '[items.north-syrup]\ncalculator = "blend"\npart = "1 kg water"\n'
    path.write_text(RECIPE + spare, encoding="utf-8")
    pantry = PANTRY + PANTRY.replace("cellar syrup", "north-syrup")
    (folder / "pantry.toml").write_text(pantry, encoding="utf-8")
    with pytest.raises(BadRecipe, match=r"items.north-syrup.*pantry"):
        make_plan(load_recipe(path))


def test_below(tmp_path: Path) -> None:
    here = Path(__file__).parent
    assert below(here, "test_house.py") == str(here / "test_house.py")
    assert below(here, "../plan/test_house.py") == str(here / "test_house.py")
    assert below(here, "..") is None
    assert below(here, "a\0b") is None
    os.symlink(tmp_path / "b", tmp_path / "a")
    os.symlink(tmp_path / "a", tmp_path / "b")
    assert below(tmp_path, "a") is None  # links in a circle
    os.symlink(here, tmp_path / "out")
    assert below(tmp_path, "out/test_house.py") is None


def test_a_file_is_written_whole_and_never_over_another(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    write_new(path, "ä = 1\n")
    assert path.read_text(encoding="utf-8") == "ä = 1\n"
    with pytest.raises(FileProblem, match="not overwritten"):
        write_new(path, "b = 2\n")
    assert path.read_text(encoding="utf-8") == "ä = 1\n"
    dangling = tmp_path / "dangling.toml"
    os.symlink(tmp_path / "nowhere", dangling)
    with pytest.raises(FileProblem):
        write_new(dangling, "c = 3\n")
    with pytest.raises(FileProblem):
        write_new(tmp_path / "absent" / "new.toml", "d = 4\n")
    with pytest.raises(FileProblem):
        write_new(tmp_path / "a\0b", "e = 5\n")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["dangling.toml", "new.toml"]


@pytest.mark.parametrize(
    ("own", "named", "said"),
    [
        ("hands = 2", "hands = 3", "it is 2, and 3 in"),
        ('earliest_start = "10:00"\nlatest_finish = "20:00"',
         'earliest_start = "09:00"\nlatest_finish = "20:00"',
         "it is 10:00 to 20:00, and 09:00 to 20:00 in"),
        ('bench = { scale = "1 g" }', 'bench = { scale = "5 g" }', "it is 1.0 g, and 5.0 g in"),
        ("sure = 90", "sure = 99", "it is 90 %, and 99 % in"),
    ],
)  # fmt: skip
def test_a_house_that_is_named_and_a_file_that_says_otherwise_are_refused(
    tmp_path: Path, own: str, named: str, said: str
) -> None:
    """No word is ignored: neither what is typed nor what stands in the menu wins silently."""
    folder = tmp_path / "other"
    folder.mkdir()
    recipe = tmp_path / "t.toml"
    recipe.write_text(TRIAL, encoding="utf-8")
    menu = tmp_path / "menu.toml"
    menu.write_text(f'title = "m"\n[house]\n{own}\n[[recipe]]\nfile = "t.toml"\n', encoding="utf-8")
    for text, refused in ((named, True), (own, False), ('currency = "EUR"', False)):
        (folder / "house.toml").write_text(text, encoding="utf-8")
        if refused:
            with pytest.raises(BadRecipe, match=f"{said} .*the house that was named"):
                load_recipe(menu, house=folder)
        else:
            load_recipe(menu, house=folder)


def test_every_demo_can_be_made_in_the_demo_house_that_is_named() -> None:
    demos = Path(__file__).parents[2] / "recipes"
    for file in demos.glob("*.toml"):
        load_recipe(file, house=demos / "house")
