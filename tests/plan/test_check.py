"""plan --check and plan --schema: all problems in one go, and the same judgement in an editor.

plan --new: questions, a commented recipe that plans, and never over another file.
"""

from __future__ import annotations

import json
import os
import shlex
import tomllib
from pathlib import Path
from typing import Any

import fastjsonschema
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from prepkit.cli import cli, main
from prepkit.errors import BadRecipe
from prepkit.index import CALCULATORS
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.check import (
    SCHEMAS,
    Answers,
    check,
    check_text,
    house_schema,
    menu_schema,
    readings_schema,
    recipe_schema,
    recipe_text,
)
from prepkit.plan.house_file import HouseFile
from prepkit.plan.plan import read_recipe
from prepkit.plan.recipe_file import MOST_VARIANTS, read_readings
from prepkit.registry import load

RECIPES = sorted((Path(__file__).parents[2] / "recipes").glob("*.toml"))
BAD = '''title = "A trial"
colour = 3
serves = 2.5

[house]
fridge_temperature = "4 g"
mood = "good"

[vessels.north]
vessel-volume = "1.3 kg"
max_fill = "1 l"

[items.a-base]
calculator = "blend"
note = """
[items.not-a-header]
part = 3"""
part = [
  "500 g water", # "wtaer" in a comment
  "1 kg wtaer",
]
loss = "99 %"
temperature = "4 g"

[items.b-mix]
calculator = "blend"
part = ["100 g a-base", "1 g gin"]
tempo = 3

[items.c-nitro]
calculator = "siphon"
vessel = "north"
contents = "500 ml b-mix"
gas = "xenon"
chargers = 1.5
temperature = "4 C"
  [[items.c-nitro.step]]
  text = "Charge"
  takes = "3 kg"
  [[items.c-nitro.step]]
  text = "Shake"
  takes = "3 min"
  hands_on = "5 min"

[items.d-free]
calculator = "blnd"
part = ["1 kg water"]

[items.e-free]
calculator = "chill"
part = ["1 kg water"]
way = "no ice"
target = "-80 C"

[[serve]]
name = "Trial"
part = ["10 ml c-nitro", "5 ml nothing"]

[[serve]]
name = "Trial"
part = "1 g water"

[[price]]
ingredient = "water"
pack = "1 l"

[variant.low.items.a-base]
part = ["500 g wter"]
loss = "2 %"
'''
# line, item, field, a word of the sentence
FOUND = [
    (2, None, "colour", "not known"),
    (3, None, "serves", "2.5"),
    (6, None, "house.fridge_temperature", "temperature"),
    (7, None, "house.mood", "not known"),
    (10, "vessel north", "vessel_volume", "volume"),
    (20, "a-base", "part", "wtaer"),
    (22, "a-base", "loss", "99"),
    (23, "a-base", "temperature", "4 g"),
    (27, "b-mix", "part", "strength"),
    (28, "b-mix", "tempo", "takes no tempo"),
    (34, "c-nitro", "gas", "xenon"),
    (35, "c-nitro", "chargers", "whole"),
    (39, "c-nitro", "step 1.takes", "time"),
    (43, "c-nitro", "step 2.hands_on", "longer"),
    (46, "d-free", "calculator", "blnd"),
    (53, "e-free", "target", "-80"),
    (57, 'serve "Trial"', "part", "nothing"),
    (60, "serve 2", "name", "taken"),
    (63, "price 1", "cost", "missing"),
    (68, "a-base", "part", "wter"),
]


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out, err


@pytest.fixture
def bad(tmp_path: Path) -> Path:
    path = tmp_path / "tonight.toml"
    path.write_text(BAD, encoding="utf-8")
    return path


def test_every_problem_is_listed_with_its_line(bad: Path) -> None:
    found = check(bad).problems
    got = [(one.line, one.item, one.field) for one in found]
    assert got == [row[:3] for row in FOUND]
    for one, (*_, word) in zip(found, FOUND, strict=True):
        assert one.file == str(bad)
        assert word in one.text
        assert "--" not in one.text
        assert one.variant == ("low" if one.line == 68 else None)


def test_check_on_the_command_line(bad: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"plan {bad} --check", capsys)
    assert (code, err) == (2, "")
    assert len(out.splitlines()) == len(FOUND)
    assert f"{bad}:20: a-base, part: " in out
    assert f"{bad}:68: variant low, a-base, part: " in out
    code, out, _ = call(f"plan {bad} --check --json", capsys)
    assert code == 2
    said = json.loads(out)
    assert said["variants"] == ["low"]
    assert [one["line"] for one in said["problems"]] == [row[0] for row in FOUND]


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_the_demo_recipes_have_no_problem(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call(f"plan {path} --check", capsys)
    assert (code, err) == (0, "")
    assert "no problem found" in out


def test_files_that_cannot_be_read_or_are_no_toml(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert call(f"plan {tmp_path / 'absent.toml'} --check", capsys)[0] == 4
    path = tmp_path / "tonight.toml"
    path.write_text('title = "x"\nserves = \n', encoding="utf-8")
    code, out, _ = call(f"plan {path} --check", capsys)
    assert code == 2
    assert out.startswith(f"{path}:2: ")
    path.write_text("[items.a]\n[items.a]\n", encoding="utf-8")
    (one,) = check(path).problems
    assert one.line == 2
    assert "twice" in one.text


def test_problems_of_the_house_name_its_file_and_line(tmp_path: Path) -> None:
    path = tmp_path / "tonight.toml"
    good = 'house = "house.toml"\ntitle = "t"\nserves = 1\n[items.a-b]\ncalculator = "blend"\n'
    good += 'part = "1 kg water"\n[[serve]]\nname = "n"\npart = "1 g a-b"\n'
    path.write_text(good, encoding="utf-8")
    assert "cannot be read" in check(path).problems[0].text
    house = tmp_path / "house.toml"
    house.write_text('hands = 0\n[bench]\nscale = "1 C"\n[[price]]\npack = "1 l"\n', "utf-8")
    found = [(one.file, one.line, one.field) for one in check(path).problems]
    assert found == [(str(house), 1, "hands"), (str(house), 3, "bench.scale"),
                     (str(house), 4, "ingredient"), (str(house), 4, "cost")]  # fmt: skip


def test_what_only_the_whole_plan_shows_is_found_too(tmp_path: Path) -> None:
    path = tmp_path / "tonight.toml"
    text = 'title = "t"\nserves = 1\n[items.a-b]\ncalculator = "blend"\npart = "1 kg c-d"\n'
    text += '[items.c-d]\ncalculator = "blend"\npart = "1 kg a-b"\n'
    serve = '[[serve]]\nname = "n"\npart = "1 g a-b"\n'
    path.write_text(text + serve, encoding="utf-8")
    (one,) = check(path).problems
    assert "circle" in one.text
    text = text.replace("1 kg a-b", "1 g water") + serve.replace("1 g", "90000 kg")
    path.write_text(text.replace("serves = 1", "serves = 900"), encoding="utf-8")
    (one,) = check(path).problems
    assert "would have to be made" in one.text


def test_a_fault_of_one_item_is_not_blamed_on_its_users(bad: Path) -> None:
    assert not any("makes nothing" in one.text for one in check(bad).problems)


def test_a_vessel_that_is_not_known_is_one_problem(tmp_path: Path) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(
        'title = "t"\nserves = 1\n[items.a-b]\ncalculator = "siphon"\nvessel = "north"\n'
        'contents = "1 l water"\ngas = "n2"\nchargers = 1\ntemperature = "4 C"\n'
        '[[serve]]\nname = "n"\npart = "1 g a-b"\n',
        encoding="utf-8",
    )
    (one,) = check(path).problems
    assert (one.line, one.item, one.field) == (5, "a-b", "vessel")


@pytest.mark.parametrize("key", ["loss", "least"])
def test_an_endless_text_is_not_repeated(key: str, tmp_path: Path) -> None:
    path = tmp_path / "tonight.toml"
    path.write_text(GOOD.replace("[[items", f'{key} = "{"x" * 5000}"\n[[items', 1), "utf-8")
    (one,) = check(path).problems
    assert len(one.text) < 200


# lines


# the schema, judged by a library that knows JSON Schema


@pytest.fixture(scope="module")
def judge() -> Any:
    return fastjsonschema.compile(recipe_schema())


def read(text: str) -> Any:
    return json.loads(json.dumps(tomllib.loads(text), default=str))


@pytest.mark.parametrize("path", RECIPES, ids=lambda path: path.stem)
def test_the_demo_recipes_fit_the_schema(path: Path, judge: Any) -> None:
    said = read(path.read_text(encoding="utf-8"))
    (fastjsonschema.compile(menu_schema()) if "recipe" in said else judge)(said)


def test_the_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = call("plan --schema", capsys)
    assert (code, err) == (0, "")
    assert json.loads(out) == recipe_schema()
    assert call("plan", capsys)[0] == 2


@pytest.mark.parametrize(("name", "makes"), SCHEMAS.items())
def test_each_schema_is_printed_by_name(
    name: str, makes: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    code, out, err = call(f"plan --schema {name}", capsys)
    assert (code, err) == (0, "")
    assert json.loads(out) == makes()
    assert call("plan --schema nonsense", capsys)[0] == 2


def test_the_demo_house_fits_its_schema() -> None:
    house = (RECIPES[0].parent / "house" / "house.toml").read_text(encoding="utf-8")
    judged = fastjsonschema.compile(house_schema())
    judged(read(house))
    assert house_schema()["properties"].keys() == HouseFile.kinds().keys()
    for old, new in (
        ("hands = 2", "hands = 0"), ("hands = 2", "feet = 2"), ('scale = "1 g"', "scale = 1"),
        ('pack = "700 ml"\n', ""), ("ph_meter = 0.1", 'ph_meter = "0.1"'),
        ("count = 3", "count = 0"), ("cost = 9.00", "cost = -9.00"),
    ):  # fmt: skip
        assert house.replace(old, new, 1) != house
        with pytest.raises(fastjsonschema.JsonSchemaException):
            judged(read(house.replace(old, new, 1)))


def test_readings_fit_their_schema_where_they_can_be_read() -> None:
    judged = fastjsonschema.compile(readings_schema())
    for text, good in (
        ('[a]\nmass = "640 g"\nrefractometer = 48.2\ntemperature = "24 C"\natc = true', True),
        ('[a]\nrefractometer = "48.2 Bx"\nph = 2.9', True),
        ("[a]\nph = 15", False), ('[a]\nph = "2.9"', False), ("[a]\nmass = 640", False),
        ("[a]\nbrix = 40", False), ("[a]\n", False), ("", False), ("a = 3", False),
        ('[a]\nmass = "640 g"\natc = "yes"', False),
    ):  # fmt: skip
        items = {"a": None}
        if good:
            judged(read(text))
            assert read_readings(text, items)
        else:
            with pytest.raises(fastjsonschema.JsonSchemaException):
                judged(read(text))
            with pytest.raises(BadRecipe):
                read_readings(text, items)


GOOD = """
title = "A trial"
serves = 8
[items.my-base]
calculator = "blend"
part = ["500 g water", "500 g white sugar"]
[[items.my-base.step]]
text = "Stir"
takes = "10 min"
[[serve]]
name = "Trial"
part = "90 ml my-base"
"""


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('title = "A trial"', ""), ("serves = 8", 'serves = "8"'), ("serves = 8", "serves = 0"),
        ("serves = 8", "serves = 8\ncolour = 3"), ('calculator = "blend"', 'calculator = "blnd"'),
        ('calculator = "blend"\n', ""), ('part = ["500 g water", "500 g white sugar"]', ""),
        ('calculator = "blend"', 'calculator = "blend"\ntempo = 3'),
        ('calculator = "blend"', 'calculator = "blend"\ncheck = "no"'),
        ("[items.my-base]", '[items."my base"]'), ('text = "Stir"', ""),
        ('takes = "10 min"', "takes = 10"), ('name = "Trial"', ""), ('part = "90 ml my-base"', ""),
        ("serves = 8", 'serves = 8\nhouse = { mood = "good" }'),
    ],
)  # fmt: skip
def test_what_the_schema_refuses_check_refuses_too(
    old: str, new: str, judge: Any, tmp_path: Path
) -> None:
    judge(read(GOOD))
    text = GOOD.replace(old, new, 1)
    assert text != GOOD
    with pytest.raises(fastjsonschema.JsonSchemaException):
        judge(read(text))
    path = tmp_path / "tonight.toml"
    path.write_text(text, encoding="utf-8")
    assert check(path).problems


@pytest.mark.parametrize("name", CALCULATORS)
def test_the_schema_knows_every_input_of_every_calculator(name: str) -> None:
    of = recipe_schema()["definitions"][f"calculator-{name}"]
    for field, spec in load(name).inputs.specs().items():
        about = of["properties"][field]
        assert spec.label.lower() in about["description"].lower()
        if spec.choices:
            assert about["enum"] == list(spec.choices)


def test_the_number_of_variants_is_limited(tmp_path: Path) -> None:
    file = tmp_path / "many.toml"
    bare = (
        'title = "T"\nserves = 1\n[items.my-base]\ncalculator = "blend"\npart = "1 kg water"\n'
        '[[serve]]\nname = "One"\npart = "1 g my-base"\n'
    )

    def many(count: int) -> str:
        return bare + "".join(f'[variant.v{n}]\ntitle = "V{n}"\n' for n in range(count))

    file.write_text(many(MOST_VARIANTS))
    assert not check(file).problems
    file.write_text(many(MOST_VARIANTS + 1))
    (problem,) = check(file).problems
    assert problem.text == "there are 21; at most 20 are taken."


def test_what_is_in_no_weigh_out_is_told_beside_other_problems() -> None:
    text = """
title = "A trial"
serves = 8
[items.my-layers]
calculator = "layer"
layer = ["120 ml filter coffee at 65 C", "30 ml cream 36 % at 5 C"]
[items.other]
calculator = "blend"
part = ["100 g wxter"]
[[serve]]
name = "Trial"
part = ["60 g my-layers"]
"""
    found = check_text(text, "tonight.toml").problems
    assert {(one.item, "in no weigh-out" in one.text) for one in found} == {
        ("my-layers", True), ("other", False),
    }  # fmt: skip


ENTER = "\n" * 10
PLATE = "1.3 l\n1 l\n17 bar\n2.4 g\n"


def new(path: Path, answers: str) -> tuple[int, str]:
    done = CliRunner().invoke(cli, ["plan", "--new", str(path)], input=answers)
    return done.exit_code, done.output


def test_enter_throughout_makes_a_recipe_that_plans(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    code, out = new(path, ENTER)
    assert code == 0, out
    assert f"{path} is written" in out
    assert check(path).problems == ()
    plan = make_plan(load_recipe(path)).to_dict()
    assert plan["serves"] == 8
    assert plan["verdict"] != "stop"
    assert plan["not_made"] == []
    assert path.read_text("utf-8").count("#") > 8
    assert sorted(one.name for one in tmp_path.iterdir()) == ["mine.toml"]


def test_a_charged_drink_without_its_plate_is_a_stop_and_says_what_is_missing(
    tmp_path: Path,
) -> None:
    path = tmp_path / "mine.toml"
    code, out = new(path, "\n" * 9 + "n2\n\n\n\n\n")
    assert code == 0, out
    text = path.read_text("utf-8")
    assert text.count("FILL IN") == 4
    assert "\ncharger_gas_mass" not in text  # nothing is guessed
    assert make_plan(load_recipe(path)).verdict == "stop"
    other = tmp_path / "other.toml"
    assert new(other, "\n" * 9 + "n2\n" + PLATE)[0] == 0
    assert make_plan(load_recipe(other)).verdict != "stop"
    assert 'rated = "17 bar"' in other.read_text("utf-8")
    assert 'charger_gas_mass = "2.4 g"  # as it is printed' in other.read_text("utf-8")
    unprinted = tmp_path / "unprinted.toml"
    assert new(unprinted, "\n" * 9 + "n2\n" + PLATE.replace("2.4 g", ""))[0] == 0
    found = {one["id"] for one in make_plan(load_recipe(unprinted)).to_dict()["cautions"]}
    assert "siphon-charger-mass-assumed" in found


def test_a_wrong_answer_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    answers = (
        "Night\n0\nmany\n12\nspirt 40 %\nwhite sugar\nrum 40 %\n40 g\n0 ml\n45 ml\nwater\n"
        "demerara sugar\n90\n60\n20 ml\n30 ml\n40 C\n5 C\nxenon\nnone\n"
    )
    code, out = new(path, answers)
    assert code == 0, out
    assert out.count("Error:") == 10
    recipe = load_recipe(path)
    assert recipe.serves == 12
    assert "rum 40 %" in str(recipe.items["tonight-mix"].inputs["part"])
    assert check(path).problems == ()


def test_no_alcohol(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert new(path, "\n\n-\n" + ENTER)[0] == 0
    said = make_plan(load_recipe(path)).to_dict()
    assert not any(one["name"] == "abv" for one in said["serve"][0]["readings"])


def test_nothing_is_overwritten_and_nothing_asked_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("precious", encoding="utf-8")
    link = tmp_path / "link.toml"
    os.symlink(tmp_path / "nowhere.toml", link)
    for taken in (path, link, tmp_path, tmp_path / "no" / "such.toml", tmp_path / "a\0b"):
        with pytest.raises(SystemExit) as ended:
            main(["plan", "--new", str(taken)])
        out, err = capsys.readouterr()
        assert ended.value.code == 4
        assert out == ""
        assert err.strip().count("\n") == 0
    assert path.read_text("utf-8") == "precious"
    assert not (tmp_path / "nowhere.toml").exists()


def test_stopping_half_way_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import io

    monkeypatch.setattr("sys.stdin", io.StringIO("Night\n8\n"))
    with pytest.raises(SystemExit) as ended:
        main(["plan", "--new", str(tmp_path / "mine.toml")])
    assert ended.value.code == 2
    assert "stopped" in capsys.readouterr().err
    assert not list(tmp_path.iterdir())


def test_new_reads_no_other_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["plan", "some.toml", "--new", str(tmp_path / "mine.toml")])
    assert ended.value.code == 2
    assert "--new" in capsys.readouterr().err


@given(st.text(min_size=1, max_size=60).filter(lambda one: one.isprintable() and one.strip()))
def test_any_title_reads_back_as_it_was_given(title: str) -> None:
    tidy = " ".join(title.split())
    said = Answers(tidy, 8, "rum 40 %", "40 ml", "white sugar", "50 Bx", "20 ml", "40 ml", "4 C",
                 "none", {})  # fmt: skip
    recipe = read_recipe(recipe_text(said))
    assert recipe.title == tidy
    assert recipe.serve[0].name == tidy
