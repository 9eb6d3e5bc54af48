"""Recipes on the page: listed, planned, printed, as on the command line; what is broken; limits."""

from __future__ import annotations

import json
import os
import re
import time
from pathlib import Path
from urllib.parse import quote

import pytest
from deep import TIMES
from page.asking import tree
from page.recipe_pages import DEMO, NAMES, client, copied, printed, reads_well

from prepkit.page import create_app
from prepkit.page.guard import Settings
from prepkit.page.requests import MOST_KEPT
from prepkit.plan.recipe_file import MOST_ITEMS
from prepkit.render.plan_lists import weighing

HOSTILE = '<script>alert(1)</script> & "quoted" <b>'
TRICKS = (
    "..", "../secret", "..%2fsecret", "%2e%2e%2fsecret", "..%5csecret", "%2fetc%2fpasswd",
    "/etc/passwd", "secret%00", "cold-semaphore%00", "link", "house:house", "cold-semaphore.toml",
    "%252e%252e%252fsecret", "..:secret", "previous:x", "....//secret", "%c0%ae%c0%ae/secret",
)  # fmt: skip
VIEWS = ("", "whole", "plan.json", "plan.csv", "card", "labels", "text", "batch", "batch.json")


# the list


def test_the_list_names_every_recipe() -> None:
    root = reads_well(client().get("/recipes/"))
    links = [one.attributes["href"] for one in root.first("ul", class_="recipes").all("a")]
    assert links == [f"/recipes/{name}/" for name in sorted((*NAMES, "menu"))]


def test_without_a_folder_the_page_says_how_to_name_one() -> None:
    browser = create_app(Settings()).test_client()
    assert "--recipes" in reads_well(browser.get("/recipes/")).text
    assert browser.get("/recipes/cold-semaphore/").status_code == 404


def test_a_broken_recipe_is_listed_with_why(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    (folder / "broken.toml").write_text("serves = 2\n[items.a\n", "utf-8")
    text = reads_well(client(folder).get("/recipes/")).text
    assert "It cannot be read" in text
    assert "line 2" in text


# one recipe, as the command line has it


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("more", ["", "?serves=40", "?serves=7&units=us"])
def test_the_json_is_that_of_the_command_line(
    name: str, more: str, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = client().get(f"/recipes/{name}/plan.json{more}")
    serves = re.search(r"serves=(\d+)", more)
    words = f"plan {DEMO / name}.toml --json" + (f" --serves {serves[1]}" if serves else "")
    assert answer.get_data(as_text=True) == printed(words, capsys)
    assert answer.mimetype == "application/json"


@pytest.mark.parametrize("name", NAMES)
def test_the_csv_is_that_of_the_command_line(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    answer = client().get(f"/recipes/{name}/plan.csv?serves=40")
    assert answer.get_data(as_text=True) == printed(
        f"plan {DEMO / name}.toml --serves 40 --csv", capsys
    )


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("variant=alcohol-free&serves=20", "--variant alcohol-free --serves 20"),
        ("service=18:00&serves=20", "--service 18:00 --serves 20"),
        ("from=3+l+cold-mix", "--from '3 l cold-mix'"),
        (
            "from=3+l+cold-mix&from=200+g+orange+peel",
            "--from '3 l cold-mix' --from '200 g orange peel'",
        ),
    ],
)
def test_each_way_to_ask_gives_the_same(
    query: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    answer = client().get(f"/recipes/cold-semaphore/plan.json?{query}")
    said = printed(f"plan {DEMO}/cold-semaphore.toml --json {words}", capsys)
    assert answer.get_data(as_text=True) == said


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_shows_what_the_card_shows(name: str) -> None:
    browser = client()
    root = reads_well(browser.get(f"/recipes/{name}/whole?serves=40"))
    card = browser.get(f"/recipes/{name}/card?serves=40&details=1")
    of_card = [one.text for one in tree(card).first("main").all("table")]
    make = next(one for one in of_card if one.startswith("make, in this order"))
    of_card.remove(make)
    assert of_card == [one.text for one in root.first("div", class_="plan").all("table")]
    said = json.loads(browser.get(f"/recipes/{name}/plan.json?serves=40").data)
    rows = [one.text for one in root.first("ol", class_="makes").all("li") if any(one.all("h3"))]
    assert len(rows) == len(said["items"])
    for row, item in zip(rows, said["items"], strict=True):  # in order, as on the first page
        assert row.startswith(item["id"])
        assert (item["id"] in make) == item["makes"]
        for line in item.get("weigh", ()):
            assert f"{weighing(line, 'metric')} g {line['name']}" in row
    assert root.first("h1").text == said["title"]
    assert said["verdict"].upper() in root.first("title").text
    panes = reads_well(browser.get(f"/recipes/{name}/?serves=40"))
    assert panes.first("input", name="serves").attributes["value"] == "40"
    shown = panes.first("div", class_="panes").text
    for row in said["shopping"]:
        assert row["name"] in shown


@pytest.mark.parametrize("name", NAMES)
def test_the_verdict_of_a_sheet_comes_before_its_form_and_stands_once(name: str) -> None:
    text = client().get(f"/recipes/{name}/?serves=40").get_data(as_text=True)
    assert text.count('class="verdict ') == 1
    assert text.index('class="verdict ') < text.index("<form")
    assert text.index('class="verdict ') < text.index("Make it: batch sheet")


@pytest.mark.parametrize("paper", ["a4", "letter", "a5", "roll"])
def test_cards_are_those_of_the_command_line(
    paper: str, capsys: pytest.CaptureFixture[str]
) -> None:
    browser = client()
    for item in ("", "tonight-nitro"):
        answer = browser.get(
            f"/recipes/cold-semaphore/card?serves=40&service=18:00&paper={paper}&item={item}"
        )
        more = f" --item {item}" if item else ""
        said = printed(
            f"card plan {DEMO}/cold-semaphore.toml --serves 40 --service 18:00 --paper {paper} "
            f"--date 2026-11-26{more}",
            capsys,
        )
        assert answer.get_data(as_text=True) == said
        assert "script-src" not in answer.headers["Content-Security-Policy"]
        assert "'none'" in answer.headers["Content-Security-Policy"]


def test_labels_are_those_of_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    browser = client()
    answer = browser.get(
        "/recipes/cold-semaphore/labels?item=flower-cordial&made=2026-11-25&jurisdiction=us"
        "&per-sheet=8&paper=letter"
    )
    said = printed(
        f"label {DEMO}/cold-semaphore.toml --item flower-cordial --made 2026-11-25 "
        "--jurisdiction us --per-sheet 8 --paper letter --format html",
        capsys,
    )
    assert answer.get_data(as_text=True) == said
    every = browser.get("/recipes/cold-semaphore/labels?units=%09&copies=+&oldest=")
    assert every.get_data(as_text=True).count('<article class="label">') == 8


def test_a_house_of_the_page_is_that_of_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path)
    browser = client(folder, house=folder / "house")
    answer = browser.get("/recipes/free-otter/plan.json")
    said = printed(f"plan {folder}/free-otter.toml --house {folder}/house --json", capsys)
    assert answer.get_data(as_text=True) == said
    assert json.loads(answer.data)["house"]["currency"] == "EUR"
    assert browser.get("/recipes/cold-semaphore/").status_code == 200


def test_an_edited_file_is_seen_at_once(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder)
    before = json.loads(browser.get("/recipes/cold-semaphore/plan.json").data)
    assert json.loads(browser.get("/recipes/cold-semaphore/plan.json").data) == before
    for file, old, new in (
        ("cold-semaphore.toml", "serves = 8", "serves = 9"),
        ("house/house.toml", 'currency = "EUR"', 'currency = "GBP"'),
    ):
        path = folder / file
        stamp = path.stat().st_mtime_ns
        path.write_text(path.read_text("utf-8").replace(old, new), "utf-8")
        os.utime(path, ns=(stamp, stamp))  # even where the clock tells nothing
    after = json.loads(browser.get("/recipes/cold-semaphore/plan.json").data)
    assert (after["serves"], after["house"]["currency"]) == (9, "GBP")


def test_what_is_kept_in_memory_is_bounded() -> None:
    browser = client()
    for serves in range(1, MOST_KEPT + 5):
        browser.get(f"/recipes/free-otter/?serves={serves}")
    desk = browser.application.extensions["prepkit-desk"]
    assert len(desk._kept) == MOST_KEPT


# what cannot be planned


@pytest.mark.parametrize(
    ("query", "field", "said"),
    [
        ("serves=0", "serves", "whole number"),
        ("serves=2.5", "serves", "whole number"),
        ("serves=nan", "serves", "number"),
        ("serves=99999999", "serves", "10000"),
        ("serves=%3Cb%3E", "serves", "number"),
        ("variant=none-such", "variant", "there is no variant"),
        ("service=25:00", "service", "not a time of day"),
        ("from=3+l+tar", "from", "tar"),
        ("from=1+g+cold-mix", "from", "for one serve"),
        ("serves=4&from=3+l+cold-mix", "serves", "leave one"),
        ("units=furlongs", "units", "metric or us"),
    ],
)
def test_an_error_stands_at_its_field_and_what_was_typed_stays(
    query: str, field: str, said: str
) -> None:
    browser = client()
    answer = browser.get(f"/recipes/cold-semaphore/?{query}")
    assert answer.status_code == 422
    root = reads_well(answer)
    assert said in root.first("div", class_="problems").text
    assert "--" not in root.first("div", class_="problems").text
    if field != "units":
        one = root.first(id=f"ask-{field}")
        assert one.has("aria-invalid", "true")
        if field != "variant":
            typed = dict(
                pair.split("=", 1) for pair in query.replace("+", " ").split("&")
            )[field].replace("%3Cb%3E", "<b>")  # fmt: skip
            assert one.attributes["value"] == typed
    for view in ("whole", "plan.json", "plan.csv", "card", "labels", "batch"):
        other = browser.get(f"/recipes/cold-semaphore/{view}?{query}")
        assert other.status_code == 422, view
        assert b"Traceback" not in other.data


@pytest.mark.parametrize(
    "query",
    ["labels?per-sheet=99", "labels?copies=-1", "labels?made=tomorrow", "labels?item=tar",
     "labels?jurisdiction=mars", "labels?copies=1000", "card?paper=a0", "card?item=tar"],
)  # fmt: skip
def test_what_cannot_be_printed_is_one_sentence(query: str) -> None:
    answer = client().get(f"/recipes/cold-semaphore/{query}")
    assert answer.status_code == 422
    problem = reads_well(answer).first("p", class_="problem").text
    assert problem.endswith(".")
    assert "--" not in problem


BROKEN = {
    "an unknown item": ('"250 ml ruby-cordial"', '"250 ml ruby-cordal"', "soda-base, part"),
    "a missing unit": ('rated = "16 bar"', 'rated = "16"', "vessel weir, rated"),
    "no toml": ("serves = 10", "serves = [", "valid TOML"),
    "a house that is not there": ("[house]\n", 'house = "none/house.toml"\n[x]\n', "house"),
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_recipe_lists_its_problems_as_check_does(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    old, new, where = BROKEN[case]
    folder = copied(tmp_path)
    path = folder / "free-otter.toml"
    path.write_text(path.read_text("utf-8").replace(old, new), "utf-8")
    answer = client(folder).get("/recipes/free-otter/")
    assert answer.status_code == 422
    root = reads_well(answer)
    said = json.loads(printed(f"plan {path} --check --json", capsys))["problems"]
    shown = [one.text for one in root.first("ul", class_="listed").all("li")]
    assert len(shown) == len(said) > 0
    for words, problem in zip(shown, said, strict=True):
        text = problem["text"].replace(f"{folder}/", "")
        assert " ".join(text.split()) in words
        if problem["line"]:
            assert f"line {problem['line']}" in words
    assert any(where in words for words in shown)
    assert str(folder) not in root.text
    as_json = client(folder).get("/recipes/free-otter/plan.json")
    assert as_json.status_code == 422
    assert set(json.loads(as_json.data)) == {"error"}
    for view in ("whole", "card", "labels", "plan.csv", "batch"):
        assert client(folder).get(f"/recipes/free-otter/{view}").status_code == 422


# what must never be read or run


@pytest.mark.parametrize("trick", TRICKS)
def test_no_address_reads_outside_the_folder(trick: str, tmp_path: Path) -> None:
    folder = copied(tmp_path)
    secret = 'title = "SECRET"\nserves = 1\n[items.a]\ncalculator = "blend"\n'
    (tmp_path / "secret.toml").write_text(secret, "utf-8")
    (folder / "link.toml").symlink_to(tmp_path / "secret.toml")
    browser = client(folder, write=True)
    for view in VIEWS:
        answer = browser.get(f"/recipes/{trick}/{view}", follow_redirects=False)
        assert answer.status_code in (301, 308, 400, 404), (trick, view)
        assert b"SECRET" not in answer.data
        assert b"root:" not in answer.data


@pytest.mark.parametrize("trick", ["../../secret", "/etc/passwd", "..%2f..%2fsecret", "%00"])
def test_no_version_item_or_day_reads_outside(trick: str) -> None:
    browser = client()
    assert browser.get(f"/recipes/free-otter/text?version={trick}").status_code in (400, 404)
    assert browser.get(f"/recipes/free-otter/batch?on={trick}").status_code in (400, 422)
    assert browser.get(f"/recipes/free-otter/card?item={trick}").status_code in (400, 422)
    assert browser.get(f"/recipes/free-otter/batch?variant={trick}").status_code in (400, 422)


def test_a_hostile_recipe_shows_as_text(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    path = folder / "free-otter.toml"
    quoted = json.dumps(HOSTILE)
    text = path.read_text("utf-8")
    text = re.sub(r"^title = .*$", f"title = {quoted}", text, count=1, flags=re.MULTILINE)
    text = text.replace('name = "Otter"', f"name = {quoted}")
    text = re.sub(r"^note = .*$", f"note = {quoted}", text, flags=re.MULTILINE)
    path.write_text(text, "utf-8")
    browser = client(folder, write=True)
    for address in ("/recipes/", *(f"/recipes/free-otter/{view}" for view in VIEWS[:8])):
        answer = browser.get(address)
        assert answer.status_code == 200, address
        assert b"<script>alert" not in answer.data or answer.mimetype != "text/html"
        if answer.mimetype == "text/html" and "card" not in address and "labels" not in address:
            reads_well(answer)
    assert HOSTILE in reads_well(browser.get("/recipes/free-otter/")).first("h1").text


def test_hostile_words_in_an_address_show_as_text() -> None:
    browser = client()
    words = quote('"><script>alert(1)</script>')
    for query in (
        f"?serves={words}", f"whole?serves={words}", f"?on={words}", f"?service={words}",
        f"?variant={words}", f"?from={words}",
        f"batch?on={words}", f"batch?item={words}", f"batch?read.cold-mix.mass={words}",
        f"batch?done={words}", f"card?item={words}", f"labels?made={words}",
        f"text?version={words}",
    ):  # fmt: skip
        answer = browser.get(f"/recipes/cold-semaphore/{query}")
        assert b"<script>alert" not in answer.data
        reads_well(answer)


# bounded work


ITEMS = MOST_ITEMS if TIMES > 1 else MOST_ITEMS // 5


def largest() -> str:
    """A recipe of as many items as are taken, each with a step; a fifth in an ordinary run."""
    out = ['title = "Many"\nserves = 10\n[house]\njurisdiction = "eu"\n']
    for number in range(ITEMS):
        out.append(
            f'[items.mix-{number}]\ncalculator = "blend"\n'
            'part = ["900 g water", "100 g lemon juice"]\n'
            f'[[items.mix-{number}.step]]\ntext = "Stir"\ntakes = "5 min"\n'
        )
    for first in range(0, ITEMS, 20):
        parts = ", ".join(f'"10 g mix-{n}"' for n in range(first, first + 20))
        out.append(f'[[serve]]\nname = "Serve {first}"\npart = [{parts}]\n')
    return "".join(out)


def test_the_largest_recipe_is_answered_in_bounded_time(tmp_path: Path) -> None:
    (tmp_path / "many.toml").write_text(largest(), "utf-8")
    browser = client(tmp_path)
    for view in ("", "whole", "batch"):
        began = time.process_time()
        answer = browser.get(f"/recipes/many/{view}")
        assert answer.status_code == 200
        assert time.process_time() - began < 20 * ITEMS / MOST_ITEMS  # about 3 s for all here
    # its batch sheet is a list of items, each with its own page
    root = reads_well(answer)
    assert not list(root.all("section", class_="work"))
    one = browser.get("/recipes/many/batch?item=mix-7")
    assert len(list(reads_well(one).all("section", class_="work"))) == 1
    assert len(one.data) < 400_000
