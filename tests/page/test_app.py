"""Forms and answers: every calculator by its own example, and the same JSON as the command line."""

from __future__ import annotations

import itertools
import os
import re
import shlex
from datetime import date
from pathlib import Path

import pytest
from each import each
from page import asking

from prepkit import cautions, registry, render
from prepkit.cli import main
from prepkit.errors import BadInput
from prepkit.index import CALCULATORS
from prepkit.model import degrees
from prepkit.page import forms, guard, requests
from prepkit.page.app import create_app
from prepkit.page.guard import Settings
from prepkit.plan import load_recipe
from prepkit.plan.items import words_of
from prepkit.plan.prepare import prepare
from prepkit.render import wall
from prepkit.render.html import PAPERS, Look, answer_card, shown

ROOT = Path(__file__).parents[2]
RECIPES = sorted((ROOT / "recipes").glob("*.toml"))
MISSPELT = "spirt"  # how the README shows an error
README = [
    line.partition("  #")[0]
    for line in (ROOT / "README.md").read_text(encoding="utf-8").splitlines()
    if line.startswith("prepkit ") and line.split()[1] in CALCULATORS and MISSPELT not in line
]
EXAMPLES = [registry.load(name).example for name in CALCULATORS]
# what the command line alone can be asked to search for is no input, and no form has it
COMMANDS = [one for one in dict.fromkeys([*EXAMPLES, *README]) if "--solve" not in one]
SPECS = [(name, key) for name in CALCULATORS for key in forms.inputs(name)]


def printed(command: str, capsys: pytest.CaptureFixture[str]) -> str:
    """What the command line prints."""
    with pytest.raises(SystemExit) as stopped:
        main(shlex.split(command)[1:])
    assert stopped.value.code in (0, 3)
    return capsys.readouterr().out


def without_flags_of_the_terminal(command: str) -> str:
    for flag in ("--working", "--json", "--quiet"):
        command = command.replace(f" {flag}", "")
    return command


# forms


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_form_shows_every_input(name: str) -> None:
    answer = asking.browser().get(f"/make/{name}")
    assert answer.status_code == 200
    page = asking.tree(answer)
    for key, spec in forms.inputs(name).items():
        field = asking.by_id(page, f"field-{key}")
        assert spec.label.lower() in field.text.lower()
        names = {key, f"{key}.0.what"}  # one field, or the first of a row of several
        controls = [one for one in field.all() if one.attributes.get("name") in names]
        assert controls
        for choice in spec.choices:
            assert forms.GASES.get(choice, choice) in field.text
        if len(spec.units) > 1:
            options = list(field.first("select").all("option"))
            assert [one.attributes["value"] for one in options] == list(spec.units)
            assert [one.text for one in options] == [degrees(one) for one in spec.units]
        elif spec.units:
            assert field.first(class_="unit").text == degrees(spec.units[0])


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_control_has_a_name_that_can_be_read(name: str) -> None:
    browser = asking.browser()
    example = asking.address(name, forms.example(name))
    for path in (f"/make/{name}", example, f"/make/{name}?.go=1"):
        page = asking.tree(browser.get(path, follow_redirects=True))
        ids = [one.attributes["id"] for one in page.all() if "id" in one.attributes]
        assert len(ids) == len(set(ids))
        labelled = {one.attributes["for"] for one in page.all("label") if "for" in one.attributes}
        assert labelled <= set(ids)
        inside = {id(one) for label in page.all("label") for one in label.all()}
        for control in [*page.all("input"), *page.all("select")]:
            if control.attributes.get("type") in ("hidden", "submit"):
                continue
            named = control.attributes.get("aria-label") or id(control) in inside
            assert named or control.attributes.get("id") in labelled, control
        for one in page.all():
            for key in ("aria-describedby", "aria-labelledby"):
                assert set(one.attributes.get(key, "").split()) <= set(ids), one
            if one.tag == "a" and one.attributes["href"].startswith("#"):
                assert one.attributes["href"][1:] in ids
        levels = [int(one.tag[1]) for one in page.all() if re.fullmatch("h[1-4]", one.tag)]
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(b - a <= 1 for a, b in itertools.pairwise(levels)), levels
        for landmark in ("header", "nav", "main", "footer"):
            assert len(list(page.all(landmark))) == 1


@each(SPECS)
def test_no_text_of_a_form_speaks_of_options(row: tuple[str, str]) -> None:
    name, key = row
    field = forms.form(name, forms.MultiDict())
    found = next(one for one in (*field.main, *field.more) if one.name == key)
    assert "--" not in found.help + found.taken
    assert "e+0" not in found.taken  # a range is written out, not as a power of ten
    units = forms.inputs(name)[key].units
    if len(units) > 1 and found.taken:  # one number bounds them all, so that none is named
        assert not found.taken.partition(" (")[0].partition(";")[0].endswith(units)
    assert "option" not in found.help


def test_what_is_needed_or_in_the_example_comes_first() -> None:
    form = forms.form("siphon", forms.MultiDict())
    assert {"contents", "gas", "temperature", "rated"} <= {one.name for one in form.main}
    assert not form.open


def test_a_row_can_be_added_without_a_script() -> None:
    browser = asking.browser()
    page = asking.tree(browser.get("/make/blend?part=1+kg+water&part=&.more=part"))
    rows = [one.attributes for one in page.all("input", name="part")]
    assert [one["value"] for one in rows] == ["1 kg water", ""]
    assert "autofocus" in rows[-1]
    assert not list(page.all(class_="problems"))
    assert not list(page.all(class_="verdict"))


def test_no_more_rows_are_shown_than_are_taken() -> None:
    rows = "&".join(["part=1+g+water"] * 24)
    page = asking.tree(asking.browser().get(f"/make/blend?{rows}&.more=part"))
    assert len(list(page.all("input", name="part"))) == forms.MOST_ROWS


def test_the_example_can_be_filled_in() -> None:
    browser = asking.browser()
    page = asking.tree(browser.get("/make/siphon"))
    link = next(one for one in page.all("a") if one.text == "Fill in an example")
    filled = asking.tree(browser.get("/make/siphon" + link.attributes["href"]))
    assert asking.by_id(filled, "in-contents").attributes["value"] == "500 ml cream 35 %"
    assert asking.by_id(filled, "in-rated").attributes["value"] == "17"
    assert not list(filled.all(class_="verdict"))


# the same answer as the command line


@pytest.mark.parametrize("command", COMMANDS)
def test_the_page_answers_as_the_command_line(
    command: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = without_flags_of_the_terminal(command)
    name, pairs = asking.words_of(words)
    answer = asking.browser().get(asking.address(name, pairs, ".json"))
    assert answer.status_code == 200
    assert answer.mimetype == "application/json"
    assert answer.get_data(as_text=True) == printed(f"{words} --json", capsys)


@pytest.mark.parametrize("command", COMMANDS)
def test_the_page_shows_what_the_answer_holds(command: str) -> None:
    name, pairs = asking.words_of(without_flags_of_the_terminal(command))
    answer = registry.run(name, forms.said(name, forms.MultiDict(pairs)))
    got = asking.browser().get(asking.address(name, pairs), follow_redirects=True)
    assert got.status_code == 200
    page = asking.tree(got)
    box = page.first(class_="verdict")
    assert box.has("class_", answer.verdict)
    assert box.first(class_="word").text == answer.verdict.upper()
    values = [one.text for table in page.all("table", class_="values") for one in table.all("td")]
    assert values == [shown(value, "metric") for value in answer.values.values()]
    every = [one for one in page.all("table") if not one.has("class_", "values")]
    tables = [one.first("caption").text for one in every]
    tables = [one for one in tables if not one.startswith("Ways out")]
    # what is asked for stands before all figures
    assert sorted(tables) == sorted(" ".join(table.title.split()) for table in answer.tables)
    said = page.text
    for caution in answer.cautions:
        assert caution.id in said
    rows = [one.first(class_="sig") for one in page.all("details", class_="fold")]
    order = [one.attributes["class"].split()[1] for one in rows]
    ranks = [("stop", "care", "note").index(one) for one in order]
    assert ranks == sorted(ranks)
    assert sum(len(list(one.all("svg"))) for one in page.all("figure")) == len(
        list(page.all("figure"))
    )
    for source in answer.sources:
        assert f"{source.key} ({source.obtained})" in said


def test_the_verdict_comes_before_every_number() -> None:
    text = asking.browser().get(asking.address("room", forms.example("room"))).text
    assert text.index('class="verdict stop"') < text.index('class="values"')


@pytest.mark.parametrize("file", RECIPES, ids=lambda file: file.stem)
def test_every_demo_item_is_the_same_on_the_page(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each item in the words of its recipe; what it uses is carried over from the items before."""
    recipe = load_recipe(file)
    prepared = prepare(recipe)
    browser = asking.browser(Settings(house=ROOT / "recipes" / "house"))
    carried: dict[str, requests.Carried] = {}
    for id_ in prepared.order:
        item = recipe.items[id_]
        specs = registry.load(item.calculator).inputs.specs()
        said = words_of(recipe, item, specs)
        uses = [carried[one] for one in prepared.uses[id_]]
        for one in prepared.uses[id_]:
            said = {key: renamed(value, one, carried[one].name) for key, value in said.items()}
        pairs = forms.query(said, requests.carried_lines(uses))
        got = browser.get(asking.address(item.calculator, pairs, ".json"))
        assert got.status_code == 200, got.text
        pantry = recipe.house.pantry.with_items(
            {carried[one].name: prepared.products[one] for one in prepared.uses[id_]}
        )
        answer = registry.run(item.calculator, said, pantry=pantry)
        assert got.text == render.as_json(answer)
        if not uses and not recipe.house.pantry.own_names():
            options = " ".join(
                f"--{key.replace('_', '-')} {shlex.quote(value)}" for key, value in pairs
            )
            assert got.text == printed(f"prepkit {item.calculator} {options} --json", capsys)
        made = requests.of(answer, said, uses)
        if made is not None:
            carried[id_] = made


def renamed(value: object, old: str, new: str) -> object:
    """Words with one item's id replaced by the name that it is carried under."""
    if isinstance(value, list):
        return [renamed(one, old, new) for one in value]
    return (
        re.sub(rf"(?<![\w-]){re.escape(old)}(?![\w-])", new, value)
        if isinstance(value, str)
        else value
    )


# addresses


def test_an_address_is_made_short() -> None:
    sent = (
        "/make/acid-solution?.go=1&acid=citric+acid&acid=&strength=6&strength.unit=%25+w/v"
        "&make=500&make.unit=ml&storage=&.units=metric"
    )
    answer = asking.browser().get(sent)
    assert answer.status_code == 302
    assert answer.headers["Location"] == (
        "/make/acid-solution?acid=citric+acid&strength=6+%25+w%2Fv&make=500+ml"
    )


def test_a_short_address_is_answered_at_once() -> None:
    for name in CALCULATORS:
        path = asking.address(name, forms.query(forms.example(name)))
        first = asking.browser().get(path)
        again = first.headers.get("Location", path)
        assert asking.browser().get(again).status_code == 200


def test_a_bare_number_is_in_the_unit_beside_its_field() -> None:
    def said(name: str, pairs: list[tuple[str, str]]) -> dict[str, object]:
        return forms.said(name, forms.MultiDict(pairs))

    shown = ("temperature.unit", "C")
    assert said("siphon", [("temperature", "5"), shown]) == {"temperature": "5 C"}
    assert said("siphon", [("temperature", "5,5 ± 0.5"), shown]) == {"temperature": "5,5 C ± 0.5"}
    assert said("siphon", [("temperature", "41 F")]) == {"temperature": "41 F"}
    assert said("siphon", [("rated", "1/2"), ("rated.unit", "bar")]) == {"rated": "1/2 bar"}
    assert said("cordial", [("brix", "45"), ("brix.unit", "Bx")]) == {"brix": "45"}
    assert said("cordial", [("brix", "450"), ("brix.unit", "g/l")]) == {"brix": "450 g/l"}
    assert said("cordial", [("brix", "450"), ("brix.unit", "nonsense")]) == {"brix": "450"}


def test_a_bare_number_in_an_address_is_refused_as_on_the_command_line() -> None:
    words = forms.example("siphon")
    for key in ("rated", "temperature", "vessel_volume"):
        bare = {**words, key: "7"}
        told = asking.browser().get(asking.address("siphon", bare, ".json")).get_json()["problems"]
        assert "no unit" in told[key]
        with pytest.raises(BadInput, match="no unit"):
            registry.run("siphon", bare)
    assert asking.browser().get(asking.address("siphon", words)).status_code == 200


def test_a_form_sends_the_unit_that_it_shows() -> None:
    for name in CALCULATORS:
        page = asking.tree(asking.browser().get(f"/make/{name}"))
        for key, spec in forms.inputs(name).items():
            if spec.kind == "quantity" and spec.units:
                sent = [
                    *page.all("input", name=f"{key}.unit"),
                    *page.all("select", name=f"{key}.unit"),
                ]
                assert len(sent) == 1, key


def test_a_name_spelled_as_an_option_is_the_field() -> None:
    words = dict(asking.words_of(registry.load("siphon").example)[1])
    options = {f"--{key.replace('_', '-')}": value for key, value in words.items()}
    short, spelled = (
        asking.browser().get(asking.address("siphon", pairs), follow_redirects=True)
        for pairs in (words, options)
    )
    assert spelled.request.path == short.request.path
    assert sorted(spelled.request.args.items()) == sorted(short.request.args.items())
    options["--rated"] = "17 psi bar"
    wrong = asking.browser().get(asking.address("siphon", options))
    assert wrong.status_code == 422
    assert b'name="vessel_volume" value="0.78"' in wrong.data


def test_what_was_typed_is_shown_beside_its_unit_and_read_again() -> None:
    page = asking.tree(asking.browser().get(asking.address("siphon", forms.example("siphon"))))
    assert asking.by_id(page, "in-temperature").attributes["value"] == "5"
    assert asking.by_id(page, "in-vessel_volume").attributes["value"] == "0.78"


def test_us_units_change_what_is_shown_and_not_what_was_worked_out() -> None:
    browser = asking.browser()
    pairs = forms.query(forms.example("siphon"), (), "us")
    page = asking.tree(browser.get(asking.address("siphon", pairs)))
    assert "psi" in page.first("table", class_="values").text
    plain = browser.get(asking.address("siphon", forms.example("siphon"), ".json"))
    assert browser.get(asking.address("siphon", pairs, ".json")).data == plain.data


def test_a_house_with_us_units_is_shown_in_them_unless_asked(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text('units = "us"\n')
    browser = asking.browser(Settings(house=tmp_path))
    path = asking.address("siphon", forms.example("siphon"))
    assert "psi" in asking.tree(browser.get(path)).first("table", class_="values").text
    for units, location in (("us", 302), ("metric", 200)):
        assert browser.get(f"{path}&.units={units}").status_code == location
    metric = asking.tree(browser.get(f"{path}&.units=metric"))
    assert "psi" not in metric.first("table", class_="values").text
    assert (
        metric.first("input", type="radio", name=".units", value="metric").attributes.get("checked")
        == ""
    )
    card = asking.address("siphon", forms.example("siphon"), "/card")
    assert "psi" in browser.get(card).text
    assert "psi" not in browser.get(f"{card}&.units=metric").text


def test_a_house_file_that_is_mended_is_read_again(tmp_path: Path) -> None:
    file = tmp_path / "house.toml"
    file.write_text("units = 3\n")
    browser = asking.browser(Settings(house=tmp_path))
    broken = browser.get("/make/siphon")
    assert broken.status_code == 400
    assert "house.toml" in asking.tree(broken).text
    file.write_text('units = "us"\n')
    os.utime(file, ns=(1, 1))
    assert browser.get("/make/siphon").status_code == 200


# papers


@pytest.mark.parametrize("name", CALCULATORS)
def test_every_answer_has_a_card(name: str) -> None:
    said = forms.example(name)
    day = date(2026, 11, 25)
    browser = asking.browser(Settings(today=lambda: day))
    pairs = [
        *forms.query(said),
        (".paper", "a5"),
        (".title", "For the <wall>"),
        (".working", "yes"),
    ]
    got = browser.get(asking.address(name, pairs, "/card"))
    look = Look(day, PAPERS["a5"], working=True, title="For the <wall>", details=True)
    assert got.text == answer_card(registry.run(name, said), look)


def test_a_label_is_that_of_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    words = 'acid-solution --acid "citric acid" --strength "6 % w/w" --make "500 ml"'
    command = f'prepkit label {words} --name "acid drops" --made 2026-11-25 --jurisdiction us'
    text = printed(f"{command} --per-sheet 8 --format html", capsys)
    name, pairs = asking.words_of(f"prepkit {words}")
    more = [(".title", "acid drops"), (".day", "2026-11-25"), (".law", "us"), (".sheet", "8")]
    assert asking.browser().get(asking.address(name, [*pairs, *more], "/label")).text == text


def test_a_stop_has_no_label_and_is_not_carried_on() -> None:
    browser = asking.browser()
    said = {**forms.example("siphon"), "chargers": "2"}
    page = asking.tree(browser.get(asking.address("siphon", said)))
    assert page.first(class_="verdict").has("class_", "stop")
    assert not list(page.all(class_="onward"))
    assert "label" not in page.first(class_="papers").text
    label = browser.get(asking.address("siphon", said, "/label"))
    assert "NO LABEL" in label.text


@pytest.mark.parametrize(
    "pair", [(".paper", "a0"), (".day", "tomorrow"), (".sheet", "0"), (".sheet", "9" * 9),
(".opened", "soon"), (".law", "mars"), (".title", "x" * 201), (".oldest", "2026-02-30")],
)  # fmt: skip
def test_a_paper_that_cannot_be_made_is_one_sentence(pair: tuple[str, str]) -> None:
    pairs = [*forms.query(forms.example("blend")), pair]
    answer = asking.browser().get(asking.address("blend", pairs, "/label"))
    assert answer.status_code == 400
    assert pair[1][:9] in asking.tree(answer).text or pair[0] == ".title"


def test_a_card_of_wrong_words_leads_back_to_the_form() -> None:
    answer = asking.browser().get("/make/blend/card?part=1+kg+nothing", follow_redirects=True)
    assert answer.status_code == 422
    assert asking.browser().get("/make/blend/card").status_code == 404


# home, words, sheets


def test_home_leads_to_all_work_and_every_task_answers() -> None:
    browser = asking.browser()
    page = asking.tree(browser.get("/"))
    links = {one.attributes["href"] for one in page.first("main").all("a")}
    assert {f"/make/{name}" for name in CALCULATORS} <= links
    for link in links:
        assert browser.get(link).status_code == 200


def test_every_ingredient_can_be_looked_up() -> None:
    browser = asking.browser()
    page = asking.tree(browser.get("/words"))
    links = [one.attributes["href"] for one in page.first("main").all("a")]
    assert len(links) > 150
    for link in links:
        answer = browser.get("/words" + link)
        assert answer.status_code == 200, link
        assert "allergens" in asking.tree(answer).text or "refused" in answer.text


def test_the_house_brings_its_vessels_and_its_ingredients(tmp_path: Path) -> None:
    browser = asking.browser(Settings(house=ROOT / "recipes" / "house"))
    page = asking.tree(browser.get("/make/siphon"))
    plate = next(one for one in page.first(class_="vessels").all("button") if one.text == "north")
    assert plate.attributes["name"] == forms.VESSEL
    typed = [("contents", "400 ml cream 35 %"), ("rated", "3"), ("rated.unit", "bar")]
    pairs = [*typed, (forms.VESSEL, plate.attributes["value"])]
    filled = asking.tree(browser.get(asking.address("siphon", pairs), follow_redirects=True))
    assert asking.by_id(filled, "in-contents").attributes["value"] == "400 ml cream 35 %"
    assert not list(filled.all(class_="verdict"))
    assert browser.get(asking.address("siphon", {forms.VESSEL: "none"})).status_code == 404
    assert asking.by_id(filled, "in-rated").attributes["value"] == "17"
    own = asking.tree(browser.get("/words"))
    assert "Of this house" in own.text


def test_wall_sheets_are_printed_from_the_page() -> None:
    browser = asking.browser()
    link = next(
        one
        for one in asking.tree(browser.get("/cautions/cryogen")).first("main").all("a")
        if "print" in one.text
    )
    assert "oxygen" in asking.tree(browser.get(link.attributes["href"])).text
    every = asking.tree(browser.get("/wall-sheets?paper=a3"))
    assert len(list(every.all("article"))) == 6
    assert "script-src" not in browser.get("/wall-sheets").headers["Content-Security-Policy"]
    keeping = asking.tree(browser.get("/cautions/keeping")).first("main")
    assert not [one.text for one in keeping.all("a") if "print" in one.text.lower()]
    for wrong in ("kind=keeping", "kind=%3Cb%3E", "paper=b5"):
        assert browser.get(f"/wall-sheets?{wrong}").status_code == 400


def test_every_caution_is_on_a_sheet() -> None:
    browser = asking.browser()
    page = asking.tree(browser.get("/cautions"))
    told = ""
    for one in page.first("main").all("a"):
        told += asking.tree(browser.get(one.attributes["href"])).text
    for row in cautions.load():
        assert row.id in told


def test_a_card_has_a_code_where_others_can_reach_the_page() -> None:
    pytest.importorskip("segno")  # an extra of the page: without it a card has no code
    pairs = forms.query(forms.example("siphon"))
    address = asking.address("siphon", pairs, "/card")
    local = asking.browser().get(address)
    assert local.status_code == 200
    assert 'class="qr"' not in local.text
    elsewhere = Settings(host="192.0.2.10", pass_phrase="seven words that nobody guesses at all")
    with create_app(elsewhere).test_request_context(
        "/make/siphon", headers={"Host": "192.0.2.10:8000"}
    ):
        assert guard.outside("/make/siphon?x=1") == "http://192.0.2.10:8000/make/siphon?x=1"
    with create_app(elsewhere).test_request_context("/make/siphon", headers={"Host": "[::1]:8000"}):
        assert guard.outside("/make/siphon") == ""
    with create_app(Settings()).test_request_context("/make/siphon"):
        assert guard.outside("/make/siphon") == ""


def test_a_sheet_of_cautions_opens_on_its_gravest() -> None:
    """Each level folds, the gravest stands open, and no caution is left out."""
    for kind, first in (("pressure", "STOP"), ("acid", "STOP"), ("allergen", "CARE")):
        main = asking.tree(asking.browser().get(f"/cautions/{kind}")).first("main")
        levels = list(main.all("details"))
        assert [
            one.first("summary").text.split()[0] for one in levels if "open" in one.attributes
        ] == [first]
        assert not re.search(r"[\d…] [CF]\b", main.text)
        assert len(list(main.all("article"))) == len(wall.selected(kind))
        assert sum(len(list(one.all("article"))) for one in levels) == len(wall.selected(kind))
