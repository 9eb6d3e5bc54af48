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
from page.recipe_pages import DEMO, NAMES, client, copied, printed, reads_well, send
from render.page_reader import Node

from prepkit.page.batches import bare, shown_unit, table_of, tick_id
from prepkit.page.guard import MOST_BYTES
from prepkit.plan import load_recipe, make_plan, measured
from prepkit.plan.plan import plan_of
from prepkit.workflows import plan_work

BATCH = "/recipes/cold-semaphore/batch?serves=40&on=2026-11-26"
LOW = {"read.flower-cordial.refractometer": "48.2", "read.flower-cordial.temperature": "24"}


def planned(name: str = "cold-semaphore", serves: int = 40) -> dict[str, Any]:
    return make_plan(load_recipe(DEMO / f"{name}.toml"), serves).to_dict()


def works(root: Node) -> dict[str, Node]:
    return {one.attributes["id"][5:]: one for one in root.all("section", class_="work")}


def ticks_of(root: Node) -> list[str]:
    return [one.attributes["id"] for one in root.all("button", name="tick")]


def field(root: Node, name: str) -> Node:
    return root.first("input", name=name, type="text")


def sent(root: Node, **changed: str) -> str:
    """The address that the form of a page without --write leads to."""
    form = next(one for one in root.all("form") if one.has("method", "get"))
    pairs = []
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
        typed = {
            one.attributes["name"].rpartition(".")[2]
            for one in work.all("input", type="text")
        } - {"temperature"}  # fmt: skip
        assert typed == keys | ({"pressure"} if item["filling"] else set())
        for one in item["readings"]:
            if one["name"] in keys and abs(one["value"]) < 1000:
                box = field(work, f"read.{item['id']}.{one['name']}")
                beside = next(
                    each.text for each in work.all("span", class_="expected")
                    if each.attributes["id"] == f"{box.attributes['id']}-ex"
                )  # fmt: skip
                assert f"{one['value']:.{one['digits']}f}" in beside


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
    address = sent(root, **{ticks[0]: "on", ticks[5]: "on"}, **LOW)
    after = reads_well(browser.get(address))
    done = {
        one.attributes["id"] for one in after.all("input", name="done")
        if "checked" in one.attributes
    }  # fmt: skip
    assert done == {ticks[0], ticks[5]}
    assert field(after, "read.flower-cordial.refractometer").attributes["value"] == "48.2"
    assert "2 of" in after.first("p", class_="lead").text
    # sending it once more changes nothing
    again = reads_well(browser.get(sent(after)))
    assert sent(again) == sent(after)
    # and one item alone carries the others along
    alone = reads_well(browser.get(f"{address}&item=coffee-rum"))
    carried = dict(parse_qsl(urlsplit(sent(alone)).query))
    assert carried["read.flower-cordial.refractometer"] == "48.2"
    assert carried["done"] in (ticks[0], ticks[5])
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
    drift = works(root)["flower-cordial"].first("div", class_="drift").text
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
    assert works(same)["coffee-base"].first("ul").text == first
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
    assert field(nitro, "read.tonight-nitro.pressure").attributes["value"] == "17.5"


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
    answer = client().get(f"{BATCH}&{urlencode({name: value})}")
    assert answer.status_code == 422
    root = reads_well(answer)
    box = field(root, name)
    assert box.attributes["value"] == value
    assert box.has("aria-invalid", "true")
    problem = next(one for one in root.all("p") if one.has("id", f"in-{name}-problem")).text
    assert said in problem
    # with --write it is not saved, and what was typed stays
    folder, browser = writing
    kept = send(browser, BATCH, item=name.split(".")[1], save="1", seen="new", **{name: value})
    assert kept.status_code == 422
    assert field(reads_well(kept), name).attributes["value"] == value
    assert not list(folder.rglob("*.readings.toml"))


def test_what_was_put_right_after_a_refusal_is_saved(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    sent = {"item": "flower-cordial", "save": "1", "seen": "new", **LOW}
    ph = "read.flower-cordial.ph"
    refused = send(browser, BATCH, **sent, **{ph: "x2.5"})
    assert refused.status_code == 422
    seen = works(reads_well(refused))["flower-cordial"].first("input", name="seen")
    again = {**sent, "seen": seen.attributes["value"]}
    assert send(browser, BATCH, **again, **{ph: "2.5"}).status_code == 303
    kept = next(folder.rglob("*.readings.toml"))
    assert tomllib.loads(kept.read_text())["flower-cordial"]["ph"] == 2.5


def test_one_bad_reading_does_not_hide_what_the_others_say() -> None:
    more = urlencode({**LOW, "read.coffee-rum.mass": "lots"})
    root = reads_well(client().get(f"{BATCH}&{more}"))
    assert list(works(root)["flower-cordial"].all("div", class_="drift"))


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

    monkeypatch.setattr(plan_work, "plan_of", counted)
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
    drift = works(root)["acid-drops"].first("div", class_="drift").text
    assert "as planned" in drift


# with --write: kept beside the recipe


def test_readings_are_saved_and_read_by_the_command_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    answer = send(browser, BATCH, item="flower-cordial", save="1", seen="new", **LOW)
    assert answer.status_code == 303
    assert answer.headers["Location"].endswith("#read-flower-cordial")
    (file,) = folder.rglob("*.readings.toml")
    assert file.relative_to(folder) == Path(
        "batches/cold-semaphore.2026-11-26.40.readings.toml"
    )  # fmt: skip
    assert tomllib.loads(file.read_text("utf-8")) == {
        "flower-cordial": {"refractometer": "48.2 Bx", "temperature": "24 C"}
    }
    said = printed(
        f"plan {folder}/cold-semaphore.toml --serves 40 --measured {file} --json", capsys
    )
    other = browser.get(BATCH.replace("batch?", "batch.json?"))
    assert other.get_data(as_text=True) == said
    # another browser sees it; another day and another number of serves have their own
    elsewhere = client(folder, write=True)
    root = reads_well(elsewhere.get(BATCH))
    assert field(root, "read.flower-cordial.refractometer").attributes["value"] == "48.2"
    for address in (BATCH.replace("26", "27"), BATCH.replace("40", "41")):
        other_root = reads_well(elsewhere.get(address))
        assert field(other_root, "read.flower-cordial.refractometer").attributes["value"] == ""
    view = reads_well(elsewhere.get("/recipes/cold-semaphore/")).text
    assert "2026-11-26, 40 serves" in view


def test_two_phones_do_not_overwrite_each_other(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    one, two = client(folder, write=True), client(folder, write=True)
    one.get(BATCH), two.get(BATCH)
    name = "read.acid-drops.mass"
    fields = {"item": "acid-drops", "save": "1", "seen": "new"}
    assert send(one, BATCH, **fields, **{name: "101"}).status_code == 303
    second = send(two, BATCH, **fields, **{name: "99"})
    assert second.status_code == 409
    root = reads_well(second)
    assert root.first("p", class_="problem").text.count(".") == 1
    work = works(root)["acid-drops"]
    assert field(work, name).attributes["value"] == "99"
    assert "The other saved" in work.text
    assert "101 g" in work.text
    (file,) = folder.rglob("*.readings.toml")
    assert "101 g" in file.read_text("utf-8")
    # having seen it, the second may save, and the first version is kept
    seen = work.first("input", name="seen").attributes["value"]
    assert send(two, BATCH, **{**fields, "seen": seen}, **{name: "99"}).status_code == 303
    assert "99 g" in file.read_text("utf-8")
    (kept,) = (folder / "batches" / "previous").iterdir()
    assert "101 g" in kept.read_text("utf-8")


def test_ticks_are_saved_with_their_time_and_taken_back(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    ids = [
        one.attributes["id"] for one in reads_well(browser.get(BATCH)).all("button", name="tick")
    ]
    item = works(reads_well(browser.get(BATCH)))["coffee-rum"]
    mine = [one.attributes["id"] for one in item.all("button", name="tick")]
    for one in mine[:2]:
        answer = send(browser, BATCH, item="coffee-rum", tick=one)
        assert answer.status_code == 303
        assert answer.headers["Location"].endswith(f"#{one}")
    root = reads_well(client(folder, write=True).get(BATCH))
    pressed = [one for one in root.all("button") if one.has("aria-pressed", "true")]
    assert [one.attributes["id"] for one in pressed] == mine[:2]
    assert re.search(r"\d\d:\d\d", pressed[0].text)
    assert f"2 of {len(ids)} done" in root.text
    assert send(browser, BATCH, item="coffee-rum", untick=mine[0]).status_code == 303
    (file,) = folder.rglob("*.ticks.toml")
    (done,) = tomllib.loads(file.read_text("utf-8"))["coffee-rum"].keys()
    assert tick_id("coffee-rum", done) == mine[1]


def test_a_tick_does_not_outlive_the_amount_it_was_for(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    root = reads_well(browser.get(BATCH))
    tick = works(root)["coffee-rum"].first("button", name="tick").attributes["id"]
    send(browser, BATCH, item="coffee-rum", tick=tick)
    path = folder / "cold-semaphore.toml"
    path.write_text(path.read_text("utf-8").replace('"700 ml rum', '"800 ml rum'), "utf-8")
    after = reads_well(browser.get(BATCH))
    assert not [one for one in after.all("button") if one.has("aria-pressed", "true")]
    assert "coffee-rum: weigh 2135 g rum 43 %" in after.text
    # a tick of the sheet as it was is refused, not put elsewhere
    old = send(browser, BATCH, item="coffee-rum", tick=tick)
    assert old.status_code == 409


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
        {"item": "acid-drops", "save": "1", "seen": "new", "read.acid-drops.mass": "99"},
        {"item": "acid-drops", "tick": "t-1"},
    ):
        answer = send(browser, BATCH, **fields)
        assert answer.status_code == 403
        root = reads_well(answer)
        assert "--write" in root.first("p", class_="problem").text
    assert field(reads_well(send(browser, BATCH, **{
        "item": "acid-drops", "save": "1", "read.acid-drops.mass": "99"
    })), "read.acid-drops.mass").attributes["value"] == "99"  # fmt: skip
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_a_form_without_its_token_changes_nothing(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    browser.get(BATCH)
    fields = {"item": "acid-drops", "save": "1", "seen": "new", "read.acid-drops.mass": "99"}
    assert browser.post(BATCH, data=fields).status_code == 403
    assert browser.post(BATCH, data={**fields, "token": "x"}).status_code == 403
    other = client(folder, write=True)
    assert send(other, BATCH, **fields).status_code == 303
    assert len(list(folder.rglob("*.readings.toml"))) == 1


def test_an_item_that_is_not_there_is_refused(tmp_path: Path) -> None:
    folder = copied(tmp_path)
    browser = client(folder, write=True)
    for item in ("tar", "../x", "does-the-cordial-keep", ""):
        answer = send(browser, BATCH, item=item, tick="t-1")
        assert answer.status_code == 422
        assert send(browser, BATCH, item=item, save="1", seen="new").status_code == 422
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
    file = folder / "batches" / "cold-semaphore.2026-11-26.40.readings.toml"
    file.write_text("[acid-drops\n", "utf-8")
    browser = client(folder, write=True)
    root = reads_well(browser.get(BATCH))
    assert "valid TOML" in root.first("p", class_="problem").text
    answer = send(
        browser, BATCH, item="acid-drops", save="1", seen="new", **{"read.acid-drops.mass": "9"}
    )
    assert answer.status_code == 422
    assert file.read_text("utf-8") == "[acid-drops\n"
    # readings of an item that is not made any more are told, and the rest is shown
    file.write_text('[gone]\nmass = "3 g"\n[acid-drops]\nmass = "100 g"\n', "utf-8")
    root = reads_well(browser.get(BATCH))
    assert "gone" in root.first("p", class_="problem").text
    assert list(works(root)["acid-drops"].all("div", class_="drift"))
