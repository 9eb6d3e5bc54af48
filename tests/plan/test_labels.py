"""Labels: contents by weight, allergens by law, the last day by the keeping rules, hazards."""

from __future__ import annotations

import re
import shlex
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from render.page_reader import assert_reads_well, assert_stands_alone, read

from prepkit import blocks, cautions, model
from prepkit.cli import main
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.label import Label, NoLabel
from prepkit.pantry import Pantry
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.labels import declared, of_answer, of_items
from prepkit.plan.plan import read_recipe
from prepkit.registry import answer, validate
from prepkit.render.html import PAPERS, Look
from prepkit.render.label import label_sheet, label_text
from prepkit.shared.keeping import rules, use_by

ROOT = Path(__file__).parent.parent.parent
MADE = date(2026, 11, 25)
NASTY = '<img src=x onerror="alert(1)"> & <b>'
SIPHON: dict[str, Any] = {
    "contents": "500 ml cream 35 %",
    "vessel_volume": "0.78 l",
    "max_fill": "0.5 l",
    "rated": "17 bar",
    "gas": "n2o",
    "chargers": 1,
    "temperature": "5 C",
}


def labelled(
    name: str, law: str = "eu", oldest: date | None = None, title: str = "", **said: Any
) -> Label:
    inputs = validate(name, said)
    found = of_answer(title or name, inputs, answer(name, inputs), MADE, oldest, law)
    assert isinstance(found, Label)
    return found


def blend(*parts: str, law: str = "eu", oldest: date | None = None) -> Label:
    return labelled("blend", law, oldest, part=list(parts))


def mixed(*parts: str) -> Any:
    return answer("blend", validate("blend", {"part": list(parts)})).product


def call(words: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as ended:
        main(shlex.split(words))
    out, err = capsys.readouterr()
    return int(ended.value.code or 0), out, err


# contents


def test_contents_are_by_weight() -> None:
    found = blend("100 g lemon juice", "300 g water", "200 g white sugar", "50 g lemon juice")
    assert [(one.name, round(one.g, 6)) for one in found.contents] == [
        ("water", 300), ("white sugar", 200), ("lemon juice", 150),
    ]  # fmt: skip


def test_contents_go_through_the_items_of_a_recipe() -> None:
    # by hand: 100 g of base is half sugar, half water; the mix takes 100 g of it and 300 g juice
    plan = make_plan(
        read_recipe(
            """
title = "Through"
serves = 2
[items.base]
calculator = "blend"
part = ["400 g white sugar", "400 g water"]
[items.mix]
calculator = "blend"
part = ["100 g base", "300 g lemon juice", "10 g water"]
[[serve]]
name = "One"
part = ["205 g mix"]
"""
        )
    )
    (found,) = of_items(plan, ["mix"], MADE, None, "eu")
    assert isinstance(found, Label)
    assert {one.name: pytest.approx(one.g) for one in found.contents} == {
        "lemon juice": 300, "water": 60, "white sugar": 50,
    }  # fmt: skip
    assert found.g == pytest.approx(410)


def test_what_is_strained_off_says_so() -> None:
    found = labelled("infuse", liquid=["700 ml spirit 43 %"], botanical=["300 g strawberries"])
    strained = {one.name: one.strained for one in found.contents}
    assert strained == {"spirit 43 %": False, "strawberries": True}
    assert "strawberries (strained off)" in label_text(found, "x")


@pytest.mark.parametrize("name", CALCULATORS)
def test_contents_weigh_at_least_what_is_made(name: str) -> None:
    from render.test_html import example

    said = example(name)
    inputs = validate(name, dict(said.inputs))
    if said.product is None or said.verdict == "stop":
        try:
            found = of_answer(name, inputs, said, MADE, None, "eu")
        except BadInput:
            return  # it makes nothing
        assert isinstance(found, NoLabel)
        return
    label = of_answer(name, inputs, said, MADE, None, "eu")
    assert isinstance(label, Label)
    assert sum(one.g for one in label.contents) >= 1000 * said.product.mass_kg * (1 - 1e-6)
    assert [one.g for one in label.contents] == sorted((o.g for o in label.contents), reverse=True)
    text = label_text(label, "x")
    assert "safe" not in text.lower()


# allergens: Regulation (EU) 1169/2011 Annex II and FD&C Act 201(qq)

EU = {
    "gluten:barley": "barley", "gluten:wheat": "wheat", "gluten:oats": "oats",
    "crustaceans": "crustaceans", "eggs": "eggs", "fish": "fish", "peanuts": "peanuts",
    "soybeans": "soybeans", "milk": "milk", "nuts:almond": "almond", "celery": "celery",
    "mustard": "mustard", "sesame": "sesame seeds", "sulphites": "sulphur dioxide and sulphites",
    "lupin": "lupin", "molluscs": "molluscs",
}  # fmt: skip
US = {
    "gluten:wheat": "wheat", "crustaceans": "crustacean shellfish", "eggs": "eggs", "fish": "fish",
    "peanuts": "peanuts", "soybeans": "soybeans", "milk": "milk",
    "nuts:almond": "tree nuts (almond)", "sesame": "sesame",
}  # fmt: skip


@pytest.mark.parametrize("allergen", EU)
def test_the_two_lists(allergen: str) -> None:
    assert declared(allergen, "eu") == EU[allergen]
    assert declared(allergen, "us") == US.get(allergen)


def test_the_lists_are_complete() -> None:
    rows = list(blocks.blocks("allergens.toml", "allergen"))
    assert len(rows) == 14
    assert sum("us_name" in row for row in rows) == 9
    assert {one.partition(":")[0] for one in EU} == {row["id"] for row in rows}


def _allergenic() -> list[tuple[str, tuple[str, ...]]]:
    return [
        (row["name"], tuple(row["allergens"]))
        for path in blocks.names("pantry")
        for row in blocks.blocks(path, "ingredient")
        if row.get("allergens")
    ]


@pytest.mark.parametrize(("name", "allergens"), _allergenic(), ids=str)
@pytest.mark.parametrize("law", ["eu", "us"])
def test_no_allergen_is_lost(name: str, allergens: tuple[str, ...], law: str) -> None:
    pantry = Pantry()
    entry = pantry.entry(name)
    words = name
    if entry.get("strength") and entry.get("strength_default") is None:
        low, high = entry["strength_range"]
        words = f"{name} {(low + high) / 2:g} {'Bx' if entry['strength'] == 'brix' else '%'}"
    found = blend(f"10 g {words}", "500 g water", law=law)
    text = " ".join(label_text(found, "x").split())
    sheet = read(label_sheet([found], Look(MADE), 1))
    shown = sheet.first("article").text
    strong = " ".join(one.text for one in sheet.all("b", class_="allergen"))
    for allergen in allergens:
        word = declared(allergen, law)
        if word is None:
            also = declared(allergen, "eu")
            assert also is not None
            assert re.search(rf"also [^!]*{re.escape(also)}[^!]*on another country's list", text)
            assert re.search(rf"also .*{re.escape(also)}.*\(another country's list\)", shown)
        elif law == "eu":
            assert word.upper() in text
            assert strong.count(word.upper()) >= 2  # where it is declared, and in the contents
        else:
            assert re.search(rf"Contains [^!]*{re.escape(word)}", text)
            assert strong.count(word.upper()) >= 1


def test_soy_lecithin_counts_and_sunflower_does_not() -> None:
    # an additive is no exemption: soy lecithin is declared as soy in the EU and the US
    for law in ("eu", "us"):
        soy = labelled("foam", law, liquid=["400 g water"], foamer="soy lecithin", dose="0.5 % w/w")
        assert soy.contains == ("soybeans",)
    sunflower = labelled(
        "foam", liquid=["400 g water"], foamer="sunflower lecithin", dose="0.5 % w/w"
    )
    assert sunflower.contains == ()
    assert "none in what the pantry knows of it" in label_text(sunflower, "x")


# the last day: Food Code, day of preparation is day 1, seven days, the oldest sets the date


@pytest.mark.parametrize(
    ("parts", "oldest", "last", "rule"),
    [
        (("100 g cream 35 %",), None, date(2026, 12, 1), "milk-or-egg"),
        (("100 g cream 35 %",), date(2026, 11, 22), date(2026, 11, 28), "milk-or-egg"),
        (("100 g cream 35 %", "200 g spirit 60 %"), None, date(2026, 12, 1), "milk-or-egg"),
        (("100 g lemon juice",), None, date(2026, 12, 1), "juice-fruit-plant"),
        (("100 g lemon juice", "60 g spirit 40 %"), None, date(2026, 12, 1), "juice-fruit-plant"),
        (("100 g lemon juice", "120 g spirit 40 %"), None, None, "plants-in-spirit"),
        (("100 g egg white", "100 g water"), None, MADE, "raw-shell-egg"),
        (("100 g white sugar", "100 g water"), None, date(2026, 12, 1), "thin-syrup"),
        (("200 g white sugar", "100 g water"), None, None, "not-known"),
        (("100 g spirit 40 %",), None, None, "spirit"),
        (("6 g citric acid", "94 g water"), None, None, "not-known"),
    ],
)
def test_the_last_day(
    parts: tuple[str, ...], oldest: date | None, last: date | None, rule: str
) -> None:
    found = blend(*parts, oldest=oldest)
    assert found.use_by.rule == rule
    assert found.use_by.last == last
    text = label_text(found, "x")
    if last is None:
        assert f"use by     {'none asked for' if found.use_by.exempt else 'ASK'}" in text
        assert "2026-12" not in text
    else:
        assert f"use by     {last} or earlier" in text
    if oldest is not None:
        assert f"day 1 being {oldest}, the day of the oldest part" in " ".join(text.split())


def test_a_label_never_allows_more_than_the_plan() -> None:
    """What the recipe wants used within the hour has no day of the rules on its bottle."""
    planned = make_plan(load_recipe(ROOT / "recipes" / "cold-semaphore.toml"), 12)
    on = date(2026, 11, 25)
    labels = {one.item: one for one in of_items(planned, (), on, None, "eu")}
    for made in planned.made:
        within = made.item.steps[-1].within if made.item.steps else None
        label = labels.get(made.item.id)
        if within is not None and isinstance(label, Label):
            assert label.use_by.last is not None
            assert (label.use_by.last - on).days <= within / 1440
    nitro = labels["tonight-nitro"]
    assert isinstance(nitro, Label)
    assert nitro.use_by.last == on
    assert "within 1 h of making" in " ".join(label_text(nitro, "x").split())


def test_garlic_in_oil_gets_the_strictest_days() -> None:
    assert use_by(mixed("100 g sunflower oil", "10 g garlic"), MADE).last == date(2026, 11, 26)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 400), st.sampled_from(["cream 35 %", "lemon juice", "egg white powder"]))
def test_an_older_part_never_gives_a_later_day(days: int, what: str) -> None:
    mixture = mixed(f"100 g {what}", "300 g water")
    oldest = date.fromordinal(MADE.toordinal() - days)
    found, fresh = use_by(mixture, MADE, oldest), use_by(mixture, MADE)
    assert found.last is not None
    assert fresh.last is not None
    assert (fresh.last - found.last).days == days


def test_an_oldest_part_younger_than_the_whole_is_refused() -> None:
    with pytest.raises(BadInput, match="after the day of making"):
        use_by(mixed("100 g water"), MADE, date(2026, 11, 26))


def test_no_form_of_a_label_calls_anything_safe() -> None:
    for path in ("use_by.toml", "label_lines.toml", "page_lines.toml"):
        assert "safe" not in blocks.read(path).lower()
    for row in rules():
        assert row.days is None or row.days >= 1
        assert model.source_of(row.source)
        assert ("ask" in row.why) == (row.days is None and not row.exempt)


# readings, hazards, vessels under gas


def test_readings_are_those_of_the_calculation() -> None:
    said = {
        "part": ["1 kg grapefruit juice", "50 g dried hibiscus"], "sweeten": "white sugar",
        "brix": "45 Bx", "acidity": "1.2 % w/w",
    }  # fmt: skip
    of = answer("cordial", validate("cordial", said)).to_dict()["values"]
    shown = {one["name"]: one for one in labelled("cordial", **said).readings}
    assert set(shown) == {"refractometer", "acidity"}
    for name, one in shown.items():
        assert one["value"] == of[name]["value"]
        assert one["plus_minus"] == of[name]["plus_minus"]
    text = " ".join(label_text(labelled("cordial", **said), "x").split())
    assert f"{of['refractometer']['value']:.1f} ±" in text
    assert f"{of['acidity']['value']:.2f} % w/w" in text


def test_a_label_says_what_was_measured(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    cold = ROOT / "recipes" / "cold-semaphore.toml"
    read_back = tmp_path / "read.toml"
    read_back.write_text("[flower-cordial]\nrefractometer = 46.2\n", encoding="utf-8")
    words = f"label {cold} --item flower-cordial --made 2026-11-25"
    _, planned, _ = call(words, capsys)
    code, measured, _ = call(f"{words} --measured {read_back}", capsys)
    assert code == 0
    assert "(20 °C) 46.2" not in " ".join(planned.split())
    assert "(20 °C) 46.2" in " ".join(measured.split())
    # a vessel that was found over its rating has no label
    read_back.write_text('[tonight-nitro]\npressure = "18 bar"\n', encoding="utf-8")
    code, out, _ = call(
        f"label {cold} --item tonight-nitro --made 2026-11-25 --measured {read_back}", capsys
    )
    assert code == 3
    assert "NO LABEL" in out
    assert call(f"{words} --measured {tmp_path / 'absent.toml'}", capsys)[0] == 4


def test_a_stock_carries_its_hazard_lines() -> None:
    found = labelled(
        "acid-solution", acid=["citric acid", "tartaric acid"], strength="30 % w/w", make="500 ml"
    )
    table = next(
        table
        for table in answer("acid-solution", validate("acid-solution", {
            "acid": ["citric acid", "tartaric acid"], "strength": "30 % w/w", "make": "500 ml",
        })).tables
        if table.name == "label"
    )  # fmt: skip
    text = " ".join(label_text(found, "x").split())
    for kind, words in table.rows:
        if words:
            assert " ".join(str(words).split()) in text, kind
    assert "H318" in text
    assert "ACID:" in text


def test_a_weak_drink_carries_none() -> None:
    assert blend("100 g water", "1 g citric acid").hazards == ()


def test_a_charged_vessel_says_so() -> None:
    found = labelled("siphon", **SIPHON)
    text = " ".join(label_text(found, "x").split())
    assert "charged UNDER PRESSURE: 1 charger of nitrous oxide" in text
    assert "PRESSURE: A charged siphon can throw its head or burst" in text
    settled = answer("siphon", validate("siphon", SIPHON)).values["settled"]
    assert f"{settled.label} {settled.value:.1f} " in text


def test_what_must_not_be_made_has_no_label(capsys: pytest.CaptureFixture[str]) -> None:
    words = " ".join(f"--{k.replace('_', '-')} '{v}'" for k, v in SIPHON.items())
    words = words.replace("--chargers '1'", "--chargers 2")
    code, out, _ = call(f"label siphon {words} --made 2026-11-25 --per-sheet 4", capsys)
    assert code == 3
    assert "NO LABEL: siphon must not be made." in out
    assert "Do this:" in out
    for word in ("use by", "contents", "2026-12"):
        assert word not in out
    code, out, _ = call(f"label siphon {words} --made 2026-11-25 --format html", capsys)
    assert code == 3
    assert_stands_alone(out)
    assert "NO LABEL" in read(out).first("main").text
    assert not list(read(out).all("dl"))


def test_lines_for_the_bottle_are_cautions_that_exist() -> None:
    known = {row.id for row in cautions.rows()}
    listed = [row["caution"] for row in blocks.blocks("label_lines.toml", "line")]
    assert set(listed) <= known
    assert len(set(listed)) == len(listed)
    burns = {
        row.id
        for row in cautions.rows()
        if row.severity != "stop"  # that has no label
        and (row.id.endswith("-acid-burns") or row.id.startswith("acid-stock-"))
    }
    assert burns <= set(listed)


# from a recipe


@pytest.mark.parametrize("path", sorted((ROOT / "recipes").glob("*-*.toml")), ids=lambda p: p.stem)
@pytest.mark.parametrize("law", ["eu", "us"])
def test_recipes_have_labels(path: Path, law: str) -> None:
    plan = make_plan(load_recipe(path), 40)
    found = of_items(plan, [], MADE, None, law)
    made = {one.item.id: one for one in plan.made if one.product is not None}
    assert [one.item for one in found] == list(made)
    assert [one.name for one in found] == [one.item.called for one in made.values()]
    said = {one["id"]: one for one in plan.to_dict()["items"]}
    for label in found:
        assert isinstance(label, Label)
        shown = {one["name"]: one["value"] for one in said[label.item]["readings"]}
        shown |= {one["name"]: one["value"] for one in said[label.item]["values"]}
        for one in label.readings:
            assert one["value"] == shown[one["name"]]
        product = made[label.item].product
        assert product is not None
        for allergen in product.allergens:
            assert declared(allergen, law) in (*label.contains, None)
    sheet = label_sheet(found, Look(MADE, PAPERS["letter"]), 8)
    assert_stands_alone(sheet)
    assert_reads_well(sheet)
    assert len(list(read(sheet).all("article"))) == len(found)


def test_a_house_says_whose_law(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "r.toml"
    file.write_text(
        f"""
title = '{NASTY}'
serves = 2
[house]
jurisdiction = "us"
[items.base]
calculator = "blend"
part = ["100 g cream 35 %", "20 g celery juice"]
[[serve]]
name = "One"
part = ["50 g base"]
"""
    )
    code, out, _ = call(f"label {file} --item base --made 2026-11-25", capsys)
    assert code == 0
    assert "Contains   milk" in out
    assert "also       celery (on another country's list)" in out
    code, out, _ = call(f"label {file} --jurisdiction eu --format html", capsys)
    assert code == 0
    assert_stands_alone(out)
    assert NASTY in "".join(str(one) for one in read(out).first("title").inside)
    assert {one.text for one in read(out).all("b", class_="allergen")} == {"MILK", "CELERY"}


def test_names_are_text(capsys: pytest.CaptureFixture[str]) -> None:
    words = f"label blend --part '1 kg water' --name '{NASTY}' --format html --per-sheet 6"
    code, out, _ = call(words, capsys)
    assert code == 0
    assert_stands_alone(out)
    assert_reads_well(out)
    assert [one.text for one in read(out).first("main").all("h2")] == [NASTY] * 6


@pytest.mark.parametrize(
    ("more", "count"),
    [
        ("", 24),
        ("--per-sheet 8", 8),
        ("--per-sheet 8 --copies 3", 3),
        ("--paper roll", 1),
        ("--cells '2 x 5 of 70 x 40 mm'", 10),
        ("--paper letter", 24),
        ("--paper a5", 8),
    ],
)
def test_how_many(more: str, count: int, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = call(f"label blend --part '1 kg water' --format html {more}", capsys)
    assert len(list(read(out).all("article"))) == count


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("no-such.toml --item x", "no-such.toml"),
        ("recipes/cold-semaphore.toml --item flour", "no such item"),
        ("recipes/warm-brasswick.toml --item does-it-float", "makes nothing to label"),
        ("recipes/cold-semaphore.toml --made 2026-13-01", "not a day of the calendar"),
        ("recipes/cold-semaphore.toml --made 2026-11-25 --oldest 2026-11-26", "after the day of"),
        ("recipes/cold-semaphore.toml --jurisdiction atlantis", "no list of allergens"),
        ("recipes/cold-semaphore.toml --per-sheet 0", "whole number from 1 to 100"),
        ("recipes/cold-semaphore.toml --per-sheet 7", "no sheet of 7 labels on a4"),
        ("recipes/cold-semaphore.toml --cells x", "such as"),
        (
            "recipes/cold-semaphore.toml --cells '9 x 9 of 60 x 40 mm'",
            "the paper (a4) is 210 x 297",
        ),
        ("recipes/cold-semaphore.toml --cells '1 x 1 of 5 x 40 mm'", "15 to 300 mm on each side"),
        ("recipes/cold-semaphore.toml --cells '1 x 1 of 60 x 40 mm' --per-sheet 2", "give one"),
        (
            "recipes/cold-semaphore.toml --cells '2 x 1 of 60 x 40 mm' --paper roll",
            "one label at a",
        ),
        ("recipes/cold-semaphore.toml --once-opened soon", "whole number from 0 to 365"),
        ("recipes/cold-semaphore.toml --once-opened 0000000009999", "from 0 to 365"),
        ("recipes/cold-semaphore.toml --copies x", "whole number"),
        ("reading --instrument x", ""),
        ("blend --part '1 kg water' --name ''", "--name is empty"),
    ],
)
def test_bad_words_are_one_sentence(
    words: str, told: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(ROOT)
    code, out, err = call(f"label {words}", capsys)
    assert code == (4 if "no-such" in words else 2)
    assert not out
    assert told in err
    assert len(err.splitlines()) == 1


def test_where_nothing_is_made_there_is_no_label() -> None:
    room = {"volume": "300 m3", "release": "1 kg n2", "air_changes": 2}
    inputs = validate("room", room)
    with pytest.raises(BadInput, match="makes nothing"):
        of_answer("room", inputs, answer("room", inputs), MADE, None, "eu")
