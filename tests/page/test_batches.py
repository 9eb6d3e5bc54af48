"""The batch sheet: ticks and readings, kept with --write or held in the address without it."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from flask.testing import FlaskClient
from page.recipe_pages import DEMO, NAMES, client, copied, printed, reads_well, send, token_of
from render.page_reader import Node

from prepkit.page.batches import bare, shown_unit, table_of, tick_id
from prepkit.page.guard import MOST_BYTES
from prepkit.plan import load_recipe, make_plan, measured
from prepkit.plan.plan import plan_of
from prepkit.workflows import plan_command

BATCH = "/recipes/cold-semaphore/batch?serves=40&on=2026-11-26"
LOW = {"read.flower-cordial.refractometer": "48.2", "read.flower-cordial.temperature": "24"}
COLD = {"what": "refractometer", "value": "48.2", "temperature": "24"}
SAVED = {f"{key}.flower-cordial": said for key, said in COLD.items()}
SAVED |= {"item": "flower-cordial", "save": "1", "seen": ""}


def planned(name: str = "cold-semaphore", serves: int = 40) -> dict[str, Any]:
    return make_plan(load_recipe(DEMO / f"{name}.toml"), serves).to_dict()


def works(root: Node) -> dict[str, Node]:
    return {one.attributes["id"][5:]: one for one in root.all("section", class_="work")}


def ticks_of(root: Node) -> list[str]:
    return [one.attributes["id"] for one in root.all("button", name="tick")]


def field(root: Node, item: str) -> Node:
    """The one field of an item for what was read."""
    return root.first("input", name=f"value.{item}")


def kept(root: Node, item: str, what: str) -> str:
    """What is kept of one reading."""
    chooser = root.first("select", name=f"what.{item}")
    return chooser.first("option", value=what).attributes["data-kept"]


def typed(item: str, what: str, value: str, **more: str) -> dict[str, str]:
    """What the form for a reading sends."""
    own = {f"{key}.{item}": said for key, said in {"what": what, "value": value, **more}.items()}
    return {"item": item, "save": "1", "seen": "", **own}


def value_of(root: Node, item: str, place: int = 0) -> str:
    """What the button of a line sends."""
    buttons = list(works(root)[item].all("button", class_="line"))
    return buttons[place].attributes["value"]


def sent(root: Node, **changed: str) -> str:
    """The address that the form of a page without --write leads to."""
    form = next(one for one in root.all("form") if one.has("method", "get"))
    pairs = []
    for one in form.all("select"):
        name = one.attributes["name"]
        chosen = next(each for each in one.all("option") if "selected" in each.attributes)
        pairs.append((name, changed.get(name, chosen.attributes["value"])))
    for one in form.all("input"):
        name, value = one.attributes["name"], one.attributes.get("value", "")
        if one.attributes.get("type") == "checkbox":
            if (
                "checked" not in one.attributes
                and changed.get(one.attributes.get("id", "")) != "on"
            ):
                continue
        else:
            value = changed.get(name, value)
        pairs.append((name, value))
    return f"{form.attributes['action']}?{urlencode(pairs)}"


# what the sheet holds


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("write", [False, True])
def test_each_weighing_step_and_vessel_can_be_ticked_and_each_reading_typed(
    name: str, write: bool, tmp_path: Path
) -> None:
    browser = client(copied(tmp_path), write=write)
    root = reads_well(browser.get(f"/recipes/{name}/batch?serves=40"))
    said = planned(name)
    for item in said["items"]:
        if not item["makes"]:
            assert item["id"] not in works(root)
            continue
        work = works(root)[item["id"]]
        steps = [
            s for s in (said["timetable"] or {"steps": ()})["steps"] if s["item"] == item["id"]
        ]
        fills = item["filling"]["fills"] if item["filling"] else 0
        lines = list(work.all("button" if write else "label", class_="line"))
        assert len(lines) == len(item["weigh"]) + len(steps) + fills
        keys = {"mass", *(r["name"] for r in item["readings"])} - {"dissolved_solids"}
        choices = {
            one.attributes["value"]: one.text
            for one in work.first("select", name=f"what.{item['id']}").all("option")
        }
        keys |= {"pressure"} if item["filling"] else set()
        assert set(choices) - {"refractometer-atc"} == keys
        assert field(work, item["id"]).attributes["inputmode"] == "decimal"
        for one in item["readings"]:
            if one["name"] in keys and abs(one["value"]) < 1000:
                assert f"{one['value']:.{one['digits']}f}" in choices[one["name"]]


def test_the_verdict_comes_before_every_amount() -> None:
    text = client().get(BATCH).get_data(as_text=True)
    assert text.index('class="verdict') < text.index('class="line"')


def test_nothing_that_must_not_be_made_can_be_ticked(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    path = folder / "free-otter.toml"
    path.write_text(path.read_text("utf-8").replace("16 bar", "6 bar"), "utf-8")
    root = reads_well(client(folder, write=True).get("/recipes/free-otter/batch?serves=40"))
    otter = works(root)["otter-soda"]
    assert "NOT TO BE MADE" in otter.text
    assert not list(otter.all("button"))
    assert not list(otter.all("input"))
    assert "STOP" in root.first("section", class_="verdict").text


def test_one_item_alone_shows_its_own_cautions_and_all_of_them_others_too() -> None:
    browser = client()
    alone = reads_well(browser.get(f"{BATCH}&item=acid-drops"))
    assert list(works(alone)) == ["acid-drops"]
    every = reads_well(browser.get(BATCH))
    shown, whole = (
        {one.attributes["id"] for one in root.all("article") if "id" in one.attributes}
        for root in (alone, every)
    )
    item = next(one for one in planned()["items"] if one["id"] == "acid-drops")
    assert shown == {f"caution-{n}" for n in item["cautions"]}
    assert shown < whole


# without --write: the address holds everything


def test_without_write_the_address_keeps_ticks_and_readings() -> None:
    browser = client()
    root = reads_well(browser.get(BATCH))
    assert "Nothing is saved" in root.text
    assert not list(root.all("input", name="token"))
    ticks = [one.attributes["id"] for one in root.all("input", name="done")]
    low = {f"{key}.flower-cordial": said for key, said in COLD.items()}
    address = sent(root, **{ticks[0]: "on", ticks[5]: "on"}, **low)
    put = browser.get(address)
    assert put.status_code == 303
    after = reads_well(browser.get(put.headers["Location"]))
    done = {
        one.attributes["id"] for one in after.all("input", name="done")
        if "checked" in one.attributes
    }  # fmt: skip
    assert done == {ticks[0], ticks[5]}
    assert kept(after, "flower-cordial", "refractometer") == "48.2"
    assert field(after, "flower-cordial").attributes["value"] == "48.2"
    assert "2 of" in after.first("p", class_="lead").text
    # sending it once more changes nothing
    again = reads_well(browser.get(browser.get(sent(after)).headers["Location"]))
    assert sent(again) == sent(after)
    # and one item alone carries the others along
    address = put.headers["Location"].partition("#")[0]
    alone = reads_well(browser.get(f"{address}&item=coffee-rum"))
    carried = dict(parse_qsl(urlsplit(sent(alone)).query))
    assert carried["read.flower-cordial.refractometer"] == "48.2"
    assert carried["done"].partition("~")[0] in (ticks[0], ticks[5])
    # and so does every link to the same sheet
    for link in alone.first("nav", class_="items").all("a"):
        led = dict(parse_qsl(urlsplit(link.attributes["href"]).query))
        assert led["read.flower-cordial.refractometer"] == "48.2"


def test_what_drifted_is_what_the_command_line_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    readings = tmp_path / "readings.toml"
    readings.write_text(
        '[flower-cordial]\nrefractometer = "48.2 Bx"\ntemperature = "24 C"\n', "utf-8"
    )
    words = f"plan {DEMO}/cold-semaphore.toml --serves 40 --measured {readings}"
    said = json.loads(printed(f"{words} --json", capsys))
    browser = client()
    other = json.loads(
        browser.get(f"{BATCH.replace('batch?', 'batch.json?')}&{urlencode(LOW)}").data
    )
    for one in (said, other):
        one["measured"]["file"] = ""
    assert other == said
    text = printed(words, capsys)
    root = reads_well(browser.get(f"{BATCH}&{urlencode(LOW)}"))
    drift = works(root)["flower-cordial"].first("details", class_="drift").text
    told = re.search(r"To correct flower-cordial: .*?first\s+planned\.", text, re.DOTALL)
    assert told is not None
    assert " ".join(told[0].split()) in drift
    assert "BEYOND" in drift
    assert "flower-cordial" in root.first("section", class_="account").text


def test_amounts_are_those_first_planned_until_one_asks_for_the_others() -> None:
    browser = client()
    low = urlencode({"read.coffee-rum.abv": "38"})
    first = works(reads_well(browser.get(BATCH)))["coffee-base"].first("ul").text
    same = reads_well(browser.get(f"{BATCH}&{low}"))
    again = reads_well(browser.get(f"{BATCH}&{low}&again=1"))
    # only its name says that what goes into it has drifted
    drifted = works(same)["coffee-base"].first("ul").text
    assert drifted.replace("coffee-rum DRIFTED", "coffee-rum") == first != drifted
    for place in ("nav", "section"):  # and so it is named in the list, and at its own head
        assert "coffee-rum drifted" in next(
            one.text for one in same.all(place)
            if one.has("aria-label", "Items") or one.has("id", "item-coffee-rum")
        )  # fmt: skip
    assert works(again)["coffee-base"].first("ul").text != first
    change = json.loads(browser.get(f"{BATCH.replace('batch?', 'batch.json?')}&{low}").data)
    base = next(one for one in change["items"] if one["id"] == "coffee-base")
    assert f"{base['weigh'][0]['g']:.0f} g" in works(again)["coffee-base"].first("ul").text


def test_a_gauge_over_the_rating_stops_and_the_reading_can_be_put_right() -> None:
    root = reads_well(client().get(f"{BATCH}&read.tonight-nitro.pressure=17.5"))
    assert "STOP" in root.first("section", class_="verdict").text
    assert "17.5 bar" in root.first("section", class_="verdict").text
    assert "go on without" not in root.text
    assert "Show those that follow" not in root.text
    nitro = works(root)["tonight-nitro"]
    assert not list(nitro.all("input", name="done"))
    for word in ("ead again", "____"):  # nothing sends anybody to that vessel
        assert word not in nitro.text
    assert kept(nitro, "tonight-nitro", "pressure") == "17.5"


@pytest.fixture(scope="module")
def writing(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, FlaskClient]:
    """A folder that may be written and its page, for tests of which none writes."""
    folder = copied(tmp_path_factory.mktemp("refused"))
    return folder, client(folder, write=True)


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("read.coffee-rum.mass", "lots", "does not start with a number"),
        ("read.coffee-rum.mass", "1.5 km", "km"),
        ("read.coffee-rum.mass", "nan", "number"),
        ("read.coffee-rum.mass", "1" * 80, "80 characters"),
        ("read.flower-cordial.refractometer", "99", "95"),
        ("read.flower-cordial.ph", "2.9 Bx", "bare number"),
        ("read.flower-cordial.temperature", "24", "nothing to compare"),
        ("read.coffee-rum.mass", '"><script>', "does not start with a number"),
        ("read.flower-cordial.density", "900", "read it again"),
    ],
)
def test_a_reading_that_cannot_be_used_is_told_at_its_field(
    name: str, value: str, said: str, writing: tuple[Path, FlaskClient]
) -> None:
    _, item, what = name.split(".")
    answer = client().get(f"{BATCH}&{urlencode({name: value})}")
    assert answer.status_code == 422
    root = reads_well(answer)
    box = field(root, item)
    if what != "temperature":
        assert box.attributes["value"] == value
        assert chosen(root, item) == what
    assert box.has("aria-invalid", "true")
    assert said in next(one for one in root.all("p") if one.has("id", f"problem-{item}")).text
    # with --write it is not saved, and what was typed stays
    folder, browser = writing
    if what == "temperature":
        return
    answer = send(browser, BATCH, **typed(item, what, value))
    assert answer.status_code == 422
    root = reads_well(answer)
    assert field(root, item).attributes["value"] == value
    assert "open" in works(root)[item].attributes["class"].split()
    assert not list(folder.rglob("*.readings.toml"))
    inside = browser.post(
        BATCH, headers={"Accept": "application/json"},
        data={**typed(item, what, value), "token": token_of(browser, BATCH)},
    )  # fmt: skip
    assert inside.status_code == 422
    assert said in inside.get_json()["problem"]


def chosen(root: Node, item: str) -> str:
    """The instrument that the field of an item is set to."""
    options = root.first("select", name=f"what.{item}").all("option")
    return next(one for one in options if "selected" in one.attributes).attributes["value"]


def test_what_was_put_right_after_a_refusal_is_saved(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    refused = send(browser, BATCH, **typed("flower-cordial", "ph", "x2.5"))
    assert refused.status_code == 422
    seen = works(reads_well(refused))["flower-cordial"].first("input", name="seen")
    again = {**typed("flower-cordial", "ph", "2.5"), "seen": seen.attributes["value"]}
    assert send(browser, BATCH, **again).status_code == 303
    kept_in = next(folder.rglob("*.readings.toml"))
    assert tomllib.loads(kept_in.read_text())["flower-cordial"]["ph"] == 2.5


def test_two_instruments_of_one_batch_are_read_at_one_temperature(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    assert send(browser, BATCH, **SAVED).status_code == 303
    other = typed("flower-cordial", "density", "1200", temperature="20")
    refused = send(browser, BATCH, **other)
    assert refused.status_code == 422
    assert "read at 24 C" in reads_well(refused).text
    assert send(browser, BATCH, **{**other, "temperature.flower-cordial": "24"}).status_code == 303
    table = tomllib.loads(next(folder.rglob("*.readings.toml")).read_text())["flower-cordial"]
    assert table == {"refractometer": "48.2 Bx", "temperature": "24 C", "density": "1200 kg/m3"}
    # with ATC it is another reading of the same instrument, and an empty one takes it away
    seen = works(reads_well(browser.get(BATCH)))["flower-cordial"].first("input", name="seen")
    atc = typed("flower-cordial", "refractometer-atc", "48.0", temperature="24")
    atc["seen"] = seen.attributes["value"]
    assert send(browser, BATCH, **atc).status_code == 303
    assert kept(reads_well(browser.get(BATCH)), "flower-cordial", "refractometer-atc") == "48.0"


def test_one_bad_reading_does_not_hide_what_the_others_say() -> None:
    more = urlencode({**LOW, "read.coffee-rum.mass": "lots"})
    root = reads_well(client().get(f"{BATCH}&{more}"))
    assert list(works(root)["flower-cordial"].all("details", class_="drift"))


@pytest.mark.parametrize(
    ("typed", "most"),
    [
        ({**LOW, "read.coffee-rum.mass": "lots"}, 2),
        ({"read.coffee-rum.mass": "lots"}, 1),
        ({f"read.{item}.density": "1040" for item in ("flower-cordial", "acid-drops")}, 2),
    ],
)
def test_bad_readings_plan_the_evening_once_before_and_once_after(
    typed: dict[str, str], most: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A reading that cannot be used is left out before anything is planned again."""
    plannings = []

    def counted(*given: Any) -> Any:
        plannings.append(given[1])
        return plan_of(*given)

    monkeypatch.setattr(plan_command, "plan_of", counted)
    monkeypatch.setattr(measured, "plan_of", counted)
    assert client().get(f"{BATCH}&{urlencode(typed)}").status_code in (200, 422)
    assert len(plannings) <= most  # the one before may be kept from another look


def test_bare_numbers_are_in_the_unit_beside_the_field() -> None:
    assert table_of({"mass": "22.5", "pressure": "130 psi", "ph": "3,1"}, "us") == (
        {"mass": "22.5 oz", "pressure": "130 psi", "ph": 3.1}, {},
    )  # fmt: skip
    assert shown_unit("pressure", "us") == "psi"
    assert bare("22.5 oz", "oz") == "22.5"
    root = reads_well(client().get(f"{BATCH}&units=us&read.acid-drops.mass=3.61"))
    drift = works(root)["acid-drops"].first("details", class_="drift").text
    assert "as planned" in drift


# with --write: kept beside the recipe


def test_readings_are_saved_and_read_by_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    answer = send(browser, BATCH, **SAVED)
    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("#read-flower-cordial")
    (file,) = folder.rglob("*.readings.toml")
    assert file.relative_to(folder) == Path(
        "batches/cold-semaphore.2026-11-26.service.readings.toml"
    )  # fmt: skip
    assert tomllib.loads(file.read_text("utf-8")) == {
        "flower-cordial": {"refractometer": "48.2 Bx", "temperature": "24 C"}
    }
    said = printed(
        f"plan {folder}/cold-semaphore.toml --serves 40 --measured {file} --json", capsys
    )
    other = browser.get(BATCH.replace("batch?", "batch.json?"))
    assert other.get_data(as_text=True) == said
    # another browser sees it, whatever serves it asks for; another day has its own
    elsewhere = client(folder, write=True)
    for address, value in ((BATCH, "48.2"), (BATCH.replace("40", "41"), "48.2"),
                           (BATCH.replace("26", "27"), "")):  # fmt: skip
        root = reads_well(elsewhere.get(address))
        assert kept(root, "flower-cordial", "refractometer") == value
    assert "2026-11-26" in reads_well(elsewhere.get("/recipes/cold-semaphore/")).text


def test_two_phones_do_not_overwrite_each_other(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    one, two = client(folder, write=True), client(folder, write=True)
    assert send(one, BATCH, **typed("acid-drops", "mass", "101")).status_code == 303
    second = send(two, BATCH, **typed("acid-drops", "mass", "99"))
    assert second.status_code == 409
    root = reads_well(second)
    assert root.first("p", class_="problem").text.count(".") == 1
    work = works(root)["acid-drops"]
    assert field(work, "acid-drops").attributes["value"] == "99"
    assert "The other saved" in work.text
    assert "101 g" in work.text
    (file,) = folder.rglob("*.readings.toml")
    assert "101 g" in file.read_text("utf-8")
    # another reading of the same item merges
    assert send(two, BATCH, **typed("acid-drops", "density", "1030")).status_code == 303
    # having seen it, the second may save, and the first version is kept
    seen = work.first("input", name="seen").attributes["value"]
    again = {**typed("acid-drops", "mass", "99"), "seen": seen}
    assert send(two, BATCH, **again).status_code == 303
    assert "99 g" in file.read_text("utf-8")
    assert "1030" in file.read_text("utf-8")
    before = sorted((folder / "batches" / "previous").glob("*.readings.*"))
    assert "101 g" in before[-1].read_text("utf-8")


def test_ticks_are_saved_with_their_time_and_taken_back(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    root = reads_well(browser.get(BATCH))
    ids = ticks_of(root)
    mine = [one.attributes["id"] for one in works(root)["coffee-rum"].all("button", name="tick")]
    for place, one in enumerate(mine[:2]):
        answer = send(browser, BATCH, item="coffee-rum", tick=value_of(root, "coffee-rum", place))
        assert answer.status_code == 303
        assert answer.headers["Location"].endswith(f"#{one}")
    root = reads_well(client(folder, write=True).get(BATCH))
    pressed = [one for one in root.all("button") if one.has("aria-pressed", "true")]
    assert [one.attributes["id"] for one in pressed] == mine[:2]
    assert re.search(r"\d\d:\d\d", pressed[0].text)
    assert f"2 of {len(ids)} done" in root.text
    undo = send(browser, BATCH, item="coffee-rum", untick=pressed[0].attributes["value"])
    assert undo.status_code == 303
    (file,) = folder.rglob("*.batch.toml")
    (done,) = tomllib.loads(file.read_text("utf-8"))["ticks"]["coffee-rum"].keys()
    assert tick_id("coffee-rum", done) == mine[1]


def test_a_tick_tells_what_its_amount_was_when_the_recipe_changes(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    value = value_of(reads_well(browser.get(BATCH)), "coffee-rum")
    send(browser, BATCH, item="coffee-rum", tick=value)
    path = folder / "cold-semaphore.toml"
    text = path.read_text("utf-8")
    path.write_text(text.replace('"60 g ground coffee"', '"90 g ground coffee"'), "utf-8")
    after = works(reads_well(browser.get(BATCH)))["coffee-rum"].first("button", class_="line")
    assert after.has("aria-pressed", "false")
    weighed = value.split("~")[1]
    assert f"Weighed {weighed} g: add" in after.text
    # a tick of the sheet as it was is refused, not put elsewhere
    old = send(browser, BATCH, item="coffee-rum", tick=value)
    assert old.status_code == 409
    path.write_text(text.replace("rum 43 %", "rum 40 %"), "utf-8")
    told = f"coffee-rum: weigh rum 43 % ({weighed} g)"
    assert told in reads_well(browser.get(BATCH)).text


def test_a_tick_is_the_same_in_either_unit(tmp_path: Path) -> None:
    browser = client(copied(tmp_path), write=True)
    ids = [
        ticks_of(reads_well(browser.get(address)))
        for address in (BATCH, f"{BATCH}&units=us", f"{BATCH}&service=18:00")
    ]
    assert ids[0] == ids[1] == ids[2]


# what is refused


def test_reading_only_refuses_to_save_in_one_sentence_and_keeps_what_was_typed(
    tmp_path: Path,
) -> None:
    folder = copied(tmp_path)
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    browser = client(folder)
    for fields in (
        typed("acid-drops", "mass", "99"),
        {"item": "acid-drops", "tick": "t-1~~new"},
        {"change": "1", "serves": "62"},
    ):
        answer = send(browser, BATCH, **fields)
        assert answer.status_code == 403
        root = reads_well(answer)
        assert "--write" in root.first("p", class_="problem").text
    answer = send(browser, BATCH, **typed("acid-drops", "mass", "99"))
    assert field(reads_well(answer), "acid-drops").attributes["value"] == "99"
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_a_form_without_its_token_changes_nothing(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    browser.get(BATCH)
    fields = typed("acid-drops", "mass", "99")
    assert browser.post(BATCH, data=fields).status_code == 403
    assert browser.post(BATCH, data={**fields, "token": "x"}).status_code == 403
    other = client(folder, write=True)
    assert send(other, BATCH, **fields).status_code == 303
    assert len(list(folder.rglob("*.readings.toml"))) == 1


def test_an_item_that_is_not_there_is_refused(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    for item in ("tar", "../x", "does-the-cordial-keep", ""):
        answer = send(browser, BATCH, item=item, tick="t-1~~new")
        assert answer.status_code == 422
        assert send(browser, BATCH, **typed(item, "mass", "9")).status_code == 422
    assert not (folder / "batches").exists()


def test_large_bodies_and_endless_fields_are_refused(tmp_path: Path) -> None:
    browser = client(copied(tmp_path), write=True)
    token = reads_well(browser.get(BATCH)).first("input", name="token").attributes["value"]
    for data in (
        {"token": token, "item": "acid-drops", "x": "x" * (MOST_BYTES + 1)},
        {"token": token, "item": "acid-drops", "x": "x" * 5000},
        {"token": token, **{f"read.acid-drops.{n}": "1" for n in range(1200)}},
    ):
        assert browser.post(BATCH, data=data).status_code == 413
    assert browser.get(f"{BATCH}&x={'x' * 20000}").status_code == 414


def test_a_hand_written_file_that_is_wrong_is_told_and_left_alone(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    (folder / "batches").mkdir()
    file = folder / "batches" / "cold-semaphore.2026-11-26.service.readings.toml"
    file.write_text("[acid-drops\n", "utf-8")
    browser = client(folder, write=True)
    root = reads_well(browser.get(BATCH))
    assert "valid TOML" in root.first("p", class_="problem").text
    answer = send(browser, BATCH, **typed("acid-drops", "mass", "9"))
    assert answer.status_code == 422
    assert file.read_text("utf-8") == "[acid-drops\n"
    # readings of an item that is not made any more are told, and the rest is shown
    file.write_text('[gone]\nmass = "3 g"\n[acid-drops]\nmass = "100 g"\n', "utf-8")
    root = reads_well(browser.get(BATCH))
    assert "gone" in root.first("p", class_="problem").text
    assert list(works(root)["acid-drops"].all("details", class_="drift"))


# what cannot be read is never milder than what can

OTTER = "/recipes/free-otter/batch?serves=40&on=2026-11-26"
JUNK = ("3O bar", "300 bar", "12000 bar", "-3 bar", "6 psi psi", "12 l", "?", "1e99 bar", "x" * 99)


def stopped(root: Node, item: str = "otter-soda") -> None:
    """The sheet says STOP in its verdict and its list, and the item has nothing to do."""
    assert root.first("section", class_="verdict").text.split()[0] == "STOP"
    assert not list(works(root)[item].all(class_="line"))
    assert works(root)[item].first("span", class_="tag").text == "stop"
    (listed,) = (
        one for one in root.first("nav", class_="items").all("li") if item in one.text.split()
    )
    assert "stop" in listed.text.split()


def test_a_gauge_that_cannot_be_read_stops_its_item_wherever_it_stands(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    writes = client(folder, write=True)
    fine = {"read.soda-base.refractometer": "4x", "read.ruby-cordial.mass": "1O g"}
    for junk in JUNK:
        typed_there = {"read.otter-soda.pressure": junk}
        for more in ({}, fine, {"item": "otter-soda"}):
            answer = client().get(f"{OTTER}&{urlencode(typed_there | more)}")
            assert answer.status_code == 422
            stopped(reads_well(answer))
        answer = send(writes, OTTER, **typed("otter-soda", "pressure", junk))
        assert answer.status_code == 422
        root = reads_well(answer)
        stopped(root)
        assert field(root, "otter-soda").attributes["value"] == junk
        # kept as it was typed: another telephone has the stop too, and what else is read is saved
        shown = client(folder, write=True).get(OTTER)
        assert "Prepkit-Keep" in shown.headers  # or a milder copy is what a phone keeps
        other = reads_well(shown)
        stopped(other)
        assert field(other, "otter-soda").attributes["value"] == junk
        (file,) = folder.rglob("*.readings.toml")
        assert tomllib.loads(file.read_text("utf-8"))["otter-soda"]["pressure"] in (
            junk,
            f"{junk} bar",
        )
        seen = works(other)["otter-soda"].first("input", name="seen").attributes["value"]
        mass = typed("ruby-cordial", "mass", "5")
        assert send(writes, OTTER, **mass).status_code == 303
        again = {**typed("otter-soda", "pressure", "2.5"), "seen": seen}
        assert send(writes, OTTER, **again).status_code == 303
        file.unlink()
    # a gauge that was read stays a stop, whatever else cannot be
    high = {"read.otter-soda.pressure": "30 bar", "read.otter-soda.refractometer": "4x"}
    stopped(reads_well(client().get(f"{OTTER}&{urlencode(high | fine)}")))
    many = {f"read.{item}.{key}": "4x" for item in ("soda-base", "ruby-cordial", "otter-soda")
            for key in ("mass", "refractometer", "density", "acidity", "abv", "ph")}  # fmt: skip
    stopped(reads_well(client().get(f"{OTTER}&{urlencode(many | high)}")))


@pytest.mark.parametrize(
    "text",
    [
        "[otter-soda]\npressure = '300 bar'\n", "[otter-soda]\npressure = 'x'\n[a]\nmass = '1 g'\n",
        "[no-item]\nmass = '1 g'\n[otter-soda]\npressure = '30 bar'\n", "[otter-soda\n", "x = 1\n",
        "[otter-soda]\npressure = '30 bar'\nrefractometer = '90 Bx'\n",
    ],
)  # fmt: skip
def test_a_file_of_readings_that_cannot_be_used_is_no_milder(tmp_path: Path, text: str) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    assert send(browser, OTTER, **typed("otter-soda", "pressure", "2.5")).status_code == 303
    assert root_word(browser) == "CARE"
    (file,) = folder.rglob("*.readings.toml")
    file.write_text(text, "utf-8")
    stopped(reads_well(browser.get(OTTER)))


def root_word(browser: FlaskClient) -> str:
    root = reads_well(browser.get(OTTER))
    return root.first("section", class_="verdict").text.split()[0]


def test_any_other_reading_that_cannot_be_used_asks_to_be_read_again() -> None:
    plain = reads_well(client().get(BATCH))
    for typed_there in ({"read.acid-drops.mass": "1O g"},
                        {"read.acid-drops.refractometer": "30", "read.acid-drops.temperature": "x"},
                        {"read.acid-drops.ph": "2,,4"}):  # fmt: skip
        root = reads_well(client().get(f"{BATCH}&{urlencode(typed_there)}"))
        assert root.first("section", class_="verdict").text.split()[0] in ("CARE", "STOP")
        assert "read again" in root.first("nav", class_="items").text
        assert "read again" in works(root)["acid-drops"].first("h2").text
        assert "cannot be used" in root.first("section", class_="account").text
        assert "go on as planned" not in root.text
        assert "as planned" not in works(root)["acid-drops"].text
    assert "read again" not in plain.text


def test_a_gauge_that_is_not_saved_is_a_stop_whatever_the_reason(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    one, two = client(folder, write=True), client(folder, write=True)
    assert send(one, OTTER, **typed("otter-soda", "pressure", "2.5")).status_code == 303
    for value in ("2.6", "30"):
        late = send(two, OTTER, **typed("otter-soda", "pressure", value))
        assert late.status_code == 409
        stopped(reads_well(late))
        read_only = send(client(folder), OTTER, **typed("otter-soda", "pressure", value))
        assert read_only.status_code == 403
        stopped(reads_well(read_only))
    # having seen it, it may be put right at once
    seen = works(reads_well(late))["otter-soda"].first("input", name="seen").attributes["value"]
    again = {**typed("otter-soda", "pressure", "2.6"), "seen": seen}
    assert send(two, OTTER, **again).status_code == 303
    assert root_word(two) == "CARE"
