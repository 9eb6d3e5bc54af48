"""Recipe files: every wrong one gets one sentence with the file, the item and the field."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.errors import BadInput, BadRecipe, FileProblem
from prepkit.index import CALCULATORS
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.files import MOST_BYTES, MOST_SERVES
from prepkit.plan.plan import read_recipe
from prepkit.plan.recipe_file import MOST_ITEMS, ItemTable
from prepkit.registry import load

GOOD = """
title = "A trial"
serves = 8
[vessels.north]
vessel_volume = "1.3 l"
max_fill = "1 l"
rated = "17 bar"
count = 2
[items.my-base]
calculator = "blend"
part = ["500 g water", "500 g white sugar"]
loss = "3 %"
[items.my-mix]
calculator = "blend"
part = ["300 g my-base", "300 ml water"]
[[serve]]
name = "Trial"
part = ["90 ml my-mix"]
"""


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Exit status, standard output and standard error of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


def test_a_good_recipe_is_read() -> None:
    recipe = read_recipe(GOOD)
    assert recipe.serves == 8
    assert list(recipe.items) == ["my-base", "my-mix"]
    assert recipe.items["my-base"].loss == pytest.approx(0.03)
    assert recipe.vessels["north"].count == 2
    assert recipe.vessels["north"].facts["rated"] == "17 bar"
    assert make_plan(recipe).serves == 8


def test_keys_may_have_hyphens_and_inputs_may_be_dates() -> None:
    text = GOOD.replace('rated = "17 bar"', 'rated = "17 bar"\ninspection-due = 2027-03-01')
    assert read_recipe(text).vessels["north"].facts["inspection_due"] == "2027-03-01"


# what is replaced, by what, and what the sentence must say
WRONG = [
    ('title = "A trial"', "", ["title", "missing"]),
    ('title = "A trial"', "title = 3", ["title", "3"]),
    ('title = "A trial"', 'title = "  "', ["title", "empty"]),
    ('title = "A trial"', 'title = "a\\u001b[31m"', ["title", "control"]),
    ('title = "A trial"', f'title = "{"a" * 1001}"', ["title", "1001"]),
    ("serves = 8", "", ["serves", "missing"]),
    ("serves = 8", "serves = 0", ["serves", "0", "from 1 to"]),
    ("serves = 8", "serves = -3", ["serves", "-3"]),
    ("serves = 8", "serves = 2.5", ["serves", "2.5", "whole"]),
    ("serves = 8", "serves = 1_000_000_000", ["serves", "1000000000"]),
    ("serves = 8", "serves = true", ["serves", "True"]),
    ("serves = 8", "serves = nan", ["serves", "nan"]),
    ("serves = 8", "serves = 8\ncolour = 3", ["colour", "not known"]),
    ("serves = 8", "serves = ", ["TOML", "line"]),
    ("serves = 8", f"serves = 8\ndeep = {'[' * 5000}{']' * 5000}", ["deep"]),
    ('calculator = "blend"\npart = ["500', 'part = ["500', ["items.my-base.calculator", "missing"]),
    ('calculator = "blend"\npart = ["500', 'calculator = "blnd"\npart = ["500',
     ["items.my-base.calculator", "blnd", "blend"]),
    ('part = ["500 g water", "500 g white sugar"]', "",
     ["items.my-base.part", "needs part", 'part = "']),
    ('part = ["500 g water", "500 g white sugar"]', "part = []", ["items.my-base.part", "empty"]),
    ('part = ["500 g water", "500 g white sugar"]', "part = 7", ["items.my-base.part", "7"]),
    ('part = ["500 g water", "500 g white sugar"]', "part = {a = 1}",
     ["items.my-base.part", "a table"]),
    ("500 g water", "500 g wtaer", ["items.my-base.part", "wtaer", "water"]),
    ("500 g water", "500 water", ["items.my-base.part", "no unit"]),
    ("500 g water", "some litres of water", ["items.my-base.part", "number"]),
    ("500 g water", "1,500 ml water", ["items.my-base.part", "1.5 or 1500"]),
    ("500 g water", "-5 g water", ["items.my-base.part", "negative"]),
    ("300 g my-base", "300 g my-bse", ["items.my-mix.part", "my-bse", "my-base"]),
    ("300 g my-base", "300 g my-base 40 %", ["items.my-mix.part", "my-base is an item"]),
    ("300 g my-base", "300 g my-mix", ["items.my-mix", "uses itself"]),
    ("500 g water", "500 g my-mix", ["circle", "my-base uses my-mix uses my-base"]),
    ('loss = "3 %"', "loss = 3", ["items.my-base.loss", "per cent"]),
    ('loss = "3 %"', 'loss = "95 %"', ["items.my-base.loss", "95"]),
    ('loss = "3 %"', 'loss = "3 g"', ["items.my-base.loss", "3 g"]),
    ('loss = "3 %"', 'least = "0 g"', ["items.my-base.least", "more than nothing"]),
    ('loss = "3 %"', 'least = "2 C"', ["items.my-base.least", "a mass or a volume"]),
    ('loss = "3 %"', 'colour = "red"', ["items.my-base.colour", "takes no colour"]),
    ('loss = "3 %"', "temperature = 4", ["items.my-base.temperature", "no unit", "20 C"]),
    ('loss = "3 %"', 'temperature = "90 C"', ["items.my-base.temperature", "90", "40"]),
    ('loss = "3 %"', 'temperature = "4 g"', ["items.my-base.temperature", "temperature"]),
    ('loss = "3 %"', "temperature = 2026-01-01T00:00:00", ["items.my-base.temperature", "date"]),
    ('loss = "3 %"', "temperature = inf", ["items.my-base.temperature", "inf"]),
    ('loss = "3 %"', 'vessel = "north"', ["items.my-base.vessel", "no vessel"]),
    ('loss = "3 %"', 'vessel = "nroth"', ["items.my-base.vessel", "nroth", "north"]),
    ('loss = "3 %"', 'check = "yes"', ["items.my-base.check", "true or false"]),
    ("[items.my-mix]", "[items.drops]", ["items.drops", "unit"]),
    ("count = 2", "count = 0", ["vessels.north.count", "0"]),
    ("[items.my-mix]", "[items.my-base]", ["items.my-base", "twice"]),
    ("[items.my-mix]", "[items.My-Base]", ["items.My-Base", '"my-base" read as one id']),
    ("[items.my-mix]", "[items.my_base]", ["items.my_base", '"my-base" read as one id']),
    ("[items.my-mix]", "[items.water]", ["items.water", "pantry"]),
    ("[items.my-mix]", '[items."my mix"]', ["my mix", "hyphens"]),
    ("[[serve]]\n", "[[serves]]\n", ["TOML"]),
    ('[[serve]]\nname = "Trial"\npart = ["90 ml my-mix"]', "", ["serve", "[[serve]]"]),
    ('name = "Trial"', "", ["serve 1.name", "missing"]),
    ('name = "Trial"', 'name = "Trial"\nsize = 3', ["serve 1", "size"]),
    ('part = ["90 ml my-mix"]', "", ["serve 1.part", "uses nothing"]),
    ('part = ["90 ml my-mix"]', "part = []", ["serve 1.part", "uses nothing"]),
    ('part = ["90 ml my-mix"]', 'part = ["0 ml my-mix"]', ['serve "Trial".part']),
    ("90 ml my-mix", "90 ml my-mxi", ['"Trial".part', "my-mxi", "my-mix"]),
    ("90 ml my-mix", "9e4 kg my-mix", ["items.my-mix", "would have to be made"]),
    ("[vessels.north]", '[house]\nfridge_temperature = "4 g"\n[vessels.north]',
     ["house.fridge_temperature", "temperature"]),
    ("[vessels.north]", '[house]\nmood = "good"\n[vessels.north]', ["house", "mood"]),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "says"), WRONG, ids=[f"{n}" for n in range(len(WRONG))])
def test_a_wrong_recipe_gets_one_sentence(
    old: str, new: str, says: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert old in GOOD
    path = tmp_path / "tonight.toml"
    path.write_text(GOOD.replace(old, new, 1), encoding="utf-8")
    code, out, err = call(f"plan {path} --serves 40", capsys)
    assert code == 2, out
    assert out == ""
    assert err.startswith(f"prepkit: {path}")
    assert err.strip().count("\n") == 0
    assert "--" not in err.replace(str(path), "")
    for word in says:
        assert word in err


@pytest.mark.parametrize(
    ("serves", "says"),
    [
        ("0", "from 1 to"), ("-5", "-5"), ("1e9", "1e9"), ("2.5", "whole"), ("many", "number"),
        ("40 g", "whole"), ("nan", "whole"), (f"{MOST_SERVES + 1}", f"{MOST_SERVES}"),
    ],
)  # fmt: skip
def test_a_wrong_number_of_serves(
    serves: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(GOOD, encoding="utf-8")
    code, out, err = call(f"plan {path} --serves='{serves}'", capsys)
    assert (code, out) == (2, "")
    assert "--serves" in err
    assert says in err
    with pytest.raises(BadInput):
        make_plan(read_recipe(GOOD), serves)


def test_files_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for path in (tmp_path / "absent.toml", tmp_path):
        code, out, err = call(f"plan {path}", capsys)
        assert (code, out) == (4, "")
        assert str(path) in err
        assert "cannot be read" in err
    with pytest.raises(FileProblem):
        load_recipe("a\0b")


def test_files_that_are_no_recipe(tmp_path: Path) -> None:
    path = tmp_path / "large.toml"
    path.write_bytes(b"#" * (MOST_BYTES + 1))
    with pytest.raises(BadRecipe, match="bytes"):
        load_recipe(path)
    path.write_bytes(b"title = \xff\xfe")
    with pytest.raises(BadRecipe, match="UTF-8"):
        load_recipe(path)
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())  # a mark at the start is forgiven
    assert load_recipe(path).title == "A trial"


def test_too_many_items() -> None:
    items = "\n".join(
        f'[items.a{n}]\ncalculator = "blend"\npart = "1 g water"' for n in range(MOST_ITEMS + 1)
    )
    text = f'title = "t"\nserves = 1\n{items}\n[[serve]]\nname = "n"\npart = "1 g a1"\n'
    with pytest.raises(BadRecipe, match=f"at most {MOST_ITEMS}"):
        read_recipe(text)


def test_a_vessel_that_nothing_goes_into_is_refused() -> None:
    text = GOOD.replace("90 ml my-mix", "90 ml my-check")
    text += """
[items.my-check]
calculator = "siphon"
vessel = "north"
contents = "0 g my-mix"
gas = "n2"
chargers = 1
temperature = "4 C"
"""
    with pytest.raises(BadRecipe) as caught:
        make_plan(read_recipe(text))
    assert "items.my-check.contents: " in str(caught.value)


def test_vessels_may_come_from_a_register_beside_the_recipe(tmp_path: Path) -> None:
    (tmp_path / "plates.toml").write_text(
        '[south]\nvessel_volume = "1.3 l"\nmax_fill = "1 l"\nrated = "17 bar"\n', encoding="utf-8"
    )
    path = tmp_path / "tonight.toml"
    nitro = """
[items.my-nitro]
calculator = "siphon"
vessel = "south"
vessel_register = "plates.toml"
contents = "1 l my-mix"
gas = "n2"
chargers = 1
temperature = "4 C"
"""
    path.write_text(GOOD.replace("90 ml my-mix", "90 ml my-nitro") + nitro, encoding="utf-8")
    said = make_plan(load_recipe(path), 40).to_dict()
    assert said["vessels"][0]["vessel"] == "south"
    assert said["vessels"][0]["fills"] == 4
    path.write_text(path.read_text(encoding="utf-8").replace('"south"', '"sotuh"'), "utf-8")
    with pytest.raises(BadRecipe, match=r"items.my-nitro.vessel.*sotuh.*south"):
        make_plan(load_recipe(path), 40)
    path.write_text(path.read_text(encoding="utf-8").replace('"plates', '"absent'), "utf-8")
    with pytest.raises(FileProblem, match=r"absent.toml"):
        make_plan(load_recipe(path), 40)


@pytest.mark.parametrize("name", CALCULATORS)
def test_no_calculator_has_an_input_with_a_word_of_the_recipe(name: str) -> None:
    # "vessel" names a vessel in both; `serve` counts serves and losses, which a plan does itself
    taken = set(load(name).inputs.specs()) & ItemTable.kinds().keys()
    assert taken <= {"vessel"} or name == "serve"


def test_an_error_says_the_line_of_its_words() -> None:
    text = GOOD.replace('["500 g water", "500 g white sugar"]', '[\n"500 g water",\n"5 g wtaer"]')
    with pytest.raises(BadRecipe, match=r"^recipe:13: items.my-base.part: .*wtaer"):
        make_plan(read_recipe(text))
    with pytest.raises(BadRecipe, match=r'^recipe:18: serve "Trial".part: .*my-mxi'):
        make_plan(read_recipe(GOOD.replace("90 ml my-mix", "90 ml my-mxi")))
    price = '[[price]]\ningredient = "water"\npack = "1 lot"\ncost = 1\n'
    with pytest.raises(BadRecipe, match=r"^recipe:(19|21): price 1"):
        make_plan(read_recipe(GOOD + price)).to_dict()
