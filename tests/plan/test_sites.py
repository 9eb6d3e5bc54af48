"""A production kitchen: demand of its sites summed, their stock off, nothing under gas sent."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.trial import RECIPE

from prepkit.cli import main
from prepkit.errors import BadInput, BadRecipe
from prepkit.plan.check import check
from prepkit.plan.plan import load_menu, load_recipe, plan_of
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.sites import Ready, for_sites
from prepkit.stock import Ledger, actions, open_ledger
from prepkit.stock.actions import Where
from prepkit.stock.events import Event
from prepkit.workflows.plan_command import PlanOptions, worked

TODAY = date.today()
KITCHEN = """
title = "All bars"
[[site]]
name = "north"
menu = "trial.toml"
serves = 20
[[site]]
name = "south"
menu = "trial.toml"
serves = 30
"""
SOUR = """
title = "Sour"
serves = 8
[items.my-sour]
calculator = "acid-solution"
acid = ["2 parts citric acid", "1 part malic acid"]
strength = "6 % w/w"
make = "100 ml"
[[serve]]
name = "Sour"
part = ["30 g my-sour", "60 ml spirit 40 %"]
"""


def write(folder: Path, kitchen: str = KITCHEN, recipe: str = RECIPE, **more: str) -> str:
    files = {"trial": recipe, "sour": SOUR, "kitchen": kitchen, **more}
    for name, text in files.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
    return str(folder / "kitchen.toml")


def sheet(file: str, **asked: Any) -> dict[str, Any]:
    return dict(worked(PlanOptions(file, **asked), file).said)


def put(ledger: Ledger, site: str, item: str, g: float, **more: Any) -> None:
    said = {"made_on": TODAY - timedelta(days=3), "use_by": TODAY, "batch": f"{item} {g}", **more}
    event = Event(kind="made", item=item, change_mg=round(1000 * g), site=site, **said)
    actions.add(ledger, event)


def sends(said: dict[str, Any]) -> dict[tuple[str, str], dict[str, Any]]:
    return {(site["site"], one["item"]): one for site in said["sites"] for one in site["sends"]}


def made(said: dict[str, Any]) -> dict[str, float]:
    return {item["id"]: item["made_g"] for item in said["items"] if item.get("made_g")}


def test_the_demand_of_the_sites_is_summed_and_made_once(tmp_path: Path) -> None:
    said = sheet(write(tmp_path))
    one_site = sheet(write(tmp_path, KITCHEN.partition("[[site]]\nname = \"south")[0].replace(
        "20", "50")))  # fmt: skip
    assert made(said) == pytest.approx(made(one_site))
    assert {one["name"]: one["serves"] for one in said["serve"]} == {"Trial": 50}
    north, south = (sends(said)[site, "my-mix"]["send_g"] for site in ("north", "south"))
    assert north / 20 == pytest.approx(south / 30)
    # one shopping list, that of the same evening in one house
    whole = sheet(str(tmp_path / "trial.toml"), serves="50")
    assert {row["name"]: row["g"] for row in said["shopping"]} == pytest.approx(
        {row["name"]: row["g"] for row in whole["shopping"]}, rel=0.05
    )
    assert {row["name"] for row in said["shopping"] if "north" in row["for"]} == {
        "cream 35 %", "coffee beans",
    }  # fmt: skip
    assert said["chargers"] == {
        gas: sum(
            sheet(str(tmp_path / "trial.toml"), serves=n)["chargers"][gas] for n in ("20", "30")
        )
        for gas in ("n2",)
    }


def test_what_is_under_gas_is_made_at_the_site_and_never_sent(tmp_path: Path) -> None:
    said = sheet(write(tmp_path))
    assert {item for _, item in sends(said)} == {"my-mix", "my-sour"}
    assert [site["makes"] for site in said["sites"]] == [["my-nitro"], ["my-nitro"]]
    assert "my-nitro" not in made(said)
    assert "my-nitro" not in said["not_made"]
    whole = sheet(str(tmp_path / "trial.toml"), serves="20")
    assert said["always"] == whole["always"]  # those of the siphon


def test_a_site_whose_own_house_says_stop_stops_the_plan_and_gets_nothing(tmp_path: Path) -> None:
    for name, rated in (("a", "17 bar"), ("b", "3 bar")):
        (tmp_path / name).mkdir()
        text = f'[vessels.north]\nvessel_volume = "1.3 l"\nmax_fill = "1 l"\nrated = "{rated}"\n'
        (tmp_path / name / "house.toml").write_text(f"{text}count = 2\n", encoding="utf-8")
    recipe = RECIPE.replace(RECIPE[RECIPE.index("[vessels") : RECIPE.index("[items.my-base")], "")
    kitchen = (
        KITCHEN.replace("serves = 20", 'serves = 20\nhouse = "a"')
        .replace("serves = 30", 'serves = 30\nhouse = "b"')
        .replace("[[site]]", '[house]\nroom_temperature = "20 C"\n[[site]]', 1)
    )
    file = write(tmp_path, kitchen, recipe)
    said = sheet(file)
    assert said["verdict"] == "stop"
    assert [site["verdict"] == "stop" for site in said["sites"]] == [False, True]
    assert {site for site, _ in sends(said)} == {"north"}
    assert {one["of"] for one in said["stops"]} == {"south: my-nitro"}
    assert {one["name"]: one["serves"] for one in said["serve"]} == {"Trial": 20}
    for words in (["plan", file], ["card", "plan", file], ["plan", file, "--full"]):
        with pytest.raises(SystemExit) as end:
            main(words)
        assert end.value.code == 3
    with open_ledger(str(tmp_path / "house.db"), create=True):
        pass
    with pytest.raises(BadInput, match="says stop, so nothing is taken"):
        sheet(file, stock=str(tmp_path / "house.db"), take_stock=True)


def test_what_the_kitchen_must_not_make_is_not_sent(tmp_path: Path) -> None:
    recipe = RECIPE.replace('"6 % w/w"', '"80 % w/w"')  # which no acid dissolves to
    said = sheet(write(tmp_path, recipe=recipe))
    assert said["verdict"] == "stop"
    assert "my-sour" not in {item for _, item in sends(said)}
    assert all(site["verdict"] == "stop" or "my-sour" in site["held"] for site in said["sites"])
    for words, code in ((["card", "plan"], 3), (["plan"], 3), (["label"], 2)):
        with pytest.raises(SystemExit) as end:
            main([*words, str(tmp_path / "kitchen.toml")])
        assert end.value.code == code


def test_what_stands_at_a_site_or_is_on_the_way_is_not_sent(
    tmp_path: Path, a_ledger: Callable[[], str]
) -> None:
    file, place = write(tmp_path), a_ledger()
    plain = sends(sheet(file))["north", "my-mix"]["need_g"]
    with open_ledger(place, create=True) as ledger:
        put(ledger, "north", "my-mix", 300.0)
        put(ledger, "north", "my-mix", 5000.0, use_by=TODAY - timedelta(days=1))
        put(ledger, "elsewhere", "my-mix", 9000.0)
        put(ledger, "south", "my-nitro", 9000.0)
        put(ledger, "house", "my-mix", 700.0)
        actions.send(ledger, "my-mix", 200_000, Where("house"), "north")
        event = Event(kind="made", item="my-mix", batch="keg", change_mg=10**7, site="north",
                      use_by=TODAY)  # fmt: skip
        actions.add(ledger, event, [("keg", 10**7)], charged=True)
    said = sheet(file, stock=place)
    row = sends(said)["north", "my-mix"]
    assert (row["stands_g"], row["on_the_way_g"]) == (300.0, 200.0)
    assert row["send_g"] == pytest.approx(plain - 500.0)
    why = {(one["batch"], one["why"].split()[0]) for one in said["sites"][0]["not_used"]}
    assert {name for name, _ in why} == {"my-mix 5000.0", "keg"}
    assert "made fresh" in said["sites"][1]["not_used"][0]["why"]
    # what stands in the kitchen goes first, and is sent as soon as it is told
    (used,) = (one for one in said["stock"]["rows"] if one["name"] == "my-mix")
    assert used["used_g"] == 500.0
    assert sheet(file, stock=place, take_stock=True)["stock"]["taken"]
    with open_ledger(place) as ledger:
        sent = [one for one in ledger.events(kind="sent") if one.note]
        assert {(one.to_site, one.change_mg) for one in sent} == {("north", -500_000)}
    again = sends(sheet(file, stock=place))["north", "my-mix"]
    assert again["on_the_way_g"] == 700.0
    assert again["send_g"] == pytest.approx(plain - 1000.0)


@settings(max_examples=12, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 60), st.integers(0, 60)), min_size=1, max_size=4),
    st.dictionaries(st.sampled_from(["s0", "s1", "house"]), st.integers(1, 4000), max_size=3),
)
def test_whatever_stands_where_all_that_is_needed_is_there_or_sent(
    counts: list[tuple[int, int]], stands: dict[str, int]
) -> None:
    prepared, ready, held_g = _ready(counts, stands)
    for one in ready.sites:
        for row in one.sends:
            there = row["stands_g"] + row["on_the_way_g"]
            assert row["send_g"] == pytest.approx(max(0.0, row["need_g"] - there), abs=1e-6)
            assert row["stands_g"] == held_g.get(one.site.name, 0.0) * (row["item"] == "my-mix")
    plan = plan_of(ready.prepared, prepared.recipe.counts())
    by_item = {one.item.id: one.demand for one in plan.made}
    for id_ in ("my-mix", "my-sour"):
        sent = sum(row["send_g"] for one in ready.sites for row in one.sends if row["item"] == id_)
        wanted = 1000 * by_item[id_].needed_kg if id_ in by_item else 0.0
        inside = 1000 * sum(
            kg for by, kg in by_item[id_].by.items() if by in by_item
        ) if id_ in by_item else 0.0  # fmt: skip
        assert wanted - inside == pytest.approx(sent, abs=1e-6)


TRIAL: dict[str, Prepared] = {}


def _ready(
    counts: list[tuple[int, int]], stands: dict[str, int]
) -> tuple[Prepared, Ready, dict[str, float]]:
    import tempfile

    text = 'title = "All"\n' + "".join(
        f'[[site]]\nname = "s{n}"\nmenu = "m{n}.toml"\n' for n in range(len(counts))
    )
    with tempfile.TemporaryDirectory() as folder:
        menus = {
            f"m{n}": f'title = "m"\n[[recipe]]\nfile = "trial.toml"\nserves = {trial or 1}\n'
            f'[[recipe]]\nfile = "sour.toml"\nserves = {sour or 1}\n'
            for n, (trial, sour) in enumerate(counts)
        }
        prepared = prepare(load_recipe(write(Path(folder), text, **menus)))
        with open_ledger(":memory:", create=True) as ledger:
            for site, g in stands.items():
                put(ledger, site, "my-mix", g)
            held = ledger.stock_at()
    grams = {site: float(g) for site, g in stands.items()}
    return prepared, for_sites(prepared, held, TODAY), grams


def test_an_allergen_of_the_kitchen_reaches_each_site_and_one_of_a_site_stays(
    tmp_path: Path,
) -> None:
    nut = """
[[ingredient]]
name = "my-nut"
group = "syrup"
form = "liquid"
per_100_g = { water = 45, sucrose = 55 }
allergens = [ALLERGENS]
hazards = []
keeps = "syrup"
note = "as its label says"
"""
    for folder, allergens in (("k", '"nuts:almond"'), ("n", ""), ("s", '"milk"')):
        (tmp_path / folder).mkdir()
        text = nut.replace("ALLERGENS", allergens)
        (tmp_path / folder / "pantry.toml").write_text(text, encoding="utf-8")
        (tmp_path / folder / "house.toml").write_text('pantry = "pantry.toml"\n', encoding="utf-8")
    kitchen = (
        KITCHEN.replace("[[site]]", 'house = "k/house.toml"\n[[site]]', 1)
        .replace("serves = 20", 'serves = 20\nhouse = "n"')
        .replace("serves = 30", 'serves = 30\nhouse = "s"')
        .replace("trial.toml", "sour.toml")
    )
    sour = SOUR.replace(
        "[[serve]]",
        """[items.my-nuts]
calculator = "blend"
part = ["50 ml my-nut", "50 ml water"]
[[serve]]""",
    ).replace('"60 ml spirit 40 %"', '"60 ml spirit 40 %", "20 ml my-nuts"')
    said = sheet(write(tmp_path, kitchen, sour=sour))
    found = {site["site"]: site["drinks"][0]["allergens"] for site in said["sites"]}
    assert found == {"north": ["nuts: almond"], "south": ["milk", "nuts: almond"]}


def test_a_site_makes_what_its_row_says(tmp_path: Path) -> None:
    said = sheet(write(tmp_path, KITCHEN.replace("serves = 20", 'serves = 20\nmakes = ["my-mix"]')))
    assert said["sites"][0]["makes"] == ["my-mix", "my-nitro"]
    assert {item for site, item in sends(said) if site == "north"} == {"my-base", "my-sour"}
    assert {item for site, item in sends(said) if site == "south"} == {"my-mix", "my-sour"}


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"south"', '"North"', '"North" is another site already'),
        ('"south"', '"house"', '"house" is the kitchen itself'),
        ('"south"', '"my-mix"', '"my-mix" is an item of the menus too'),
        ('name = "south"\nmenu = "trial.toml"', 'name = "south"\nmenu = "gone.toml"', "gone.toml"),
        ("serves = 30", 'makes = ["my-mxi"]', 'no item "my-mxi"; the nearest is my-mix'),
        ('name = "south"\nmenu = "trial.toml"', 'name = "south"\nmenu = "../x.toml"', "outside"),
        ('name = "south"\nmenu = "trial.toml"', 'name = "south"\nmenu = "kitchen.toml"',
         "has sites of its own"),
        ("serves = 30", "serves = 30\n[[recipe]]\nfile = \"trial.toml\"", "name recipes there"),
        ("serves = 30", 'serves = 30\n[[serve]]\nname = "Trial"\nserves = 4', "its own number"),
        ("serves = 30", "serves = 0", "serves"),
        ('menu = "trial.toml"\nserves = 30', "serves = 30", "menu"),
    ],
)  # fmt: skip
def test_a_wrong_file_is_one_sentence(tmp_path: Path, old: str, new: str, said: str) -> None:
    file = write(tmp_path, KITCHEN.replace(old, new))
    with pytest.raises(BadRecipe, match=said):
        load_recipe(file)
    assert any(said.split(";", maxsplit=1)[0] in one.words() for one in check(file).problems)


def test_an_item_that_two_sites_define_otherwise_shows_the_difference(tmp_path: Path) -> None:
    kitchen = KITCHEN.replace('"south"\nmenu = "trial.toml"', '"south"\nmenu = "sour.toml"')
    assert sheet(write(tmp_path, kitchen))["sites"][1]["sends"][0]["item"] == "my-sour"
    file = write(tmp_path, kitchen, sour=SOUR.replace("6 % w/w", "7 % w/w"))
    with pytest.raises(BadRecipe, match=r'strength: it is "7 % w/w", and "6 % w/w" in'):
        load_recipe(file)
    with pytest.raises(BadRecipe, match="planned alone"):
        load_menu([write(tmp_path), str(tmp_path / "sour.toml")])


@pytest.mark.parametrize(
    "more",
    [{"serves": "3"}, {"have": ("1 l my-mix",)}, {"fill": ("1 l my-mix",)}, {"compare": "2,3"}],
)
def test_no_word_is_ignored(tmp_path: Path, more: dict[str, Any]) -> None:
    with pytest.raises(BadInput, match=r"write serves at each \[\[site\]\]"):
        sheet(write(tmp_path), **more)


def test_readings_change_what_is_made_and_not_what_is_sent(tmp_path: Path) -> None:
    file = write(tmp_path)
    (tmp_path / "read.toml").write_text('[my-base]\nmass = "800 g"\n', encoding="utf-8")
    before, said = sheet(file), sheet(file, measured=str(tmp_path / "read.toml"))
    assert said["sites"] == before["sites"]
    assert "my-nitro" not in made(said)
    assert said["measured"]["beyond"] == ["my-base"] or said["measured"]["rows"]


def test_it_is_printed_with_labels_for_each_site(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = write(tmp_path)

    def said(*words: str) -> str:
        with pytest.raises(SystemExit) as end:
            main([*words])
        out = capsys.readouterr()
        assert end.value.code == 0, out.err
        return " ".join(out.out.split())

    brief = said("plan", file)
    assert "north: CARE in its own house; send" in brief
    assert "it makes my-nitro itself" in brief
    full = said("plan", file, "--full")
    assert "Sent to the sites" in full
    assert "north Trial contains" in full
    assert "site,north,send my-mix," in said("plan", file, "--csv")
    card = re.sub(r"<[^>]*>", "", said("card", "plan", file, "--details"))
    assert "it makes my-nitro itself" in " ".join(card.split())
    labels = json.loads(said("label", file, "--item", "my-mix", "--json"))["labels"]
    assert [one["name"].rpartition(", ")[2] for one in labels] == ["north", "south"]
    want = sends(sheet(file))
    assert [one["g"] for one in labels] == pytest.approx(
        [want[site, "my-mix"]["send_g"] for site in ("north", "south")]
    )


@pytest.fixture
def a_ledger(tmp_path: Path) -> Callable[[], str]:
    return lambda: str(tmp_path / "house.db")
