"""What is saved of a batch: ticks in place, other covers, two cooks, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from flask.testing import FlaskClient
from page.recipe_pages import client, copied, reads_well, send, token_of
from render.page_reader import Node

from prepkit.page.guard import MOST_BYTES

ON = "/recipes/cold-semaphore/batch?on=2026-11-28&service=18:00"
BATCH = f"{ON}&serves=60"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return copied(tmp_path)


def lines(root: Node, item: str) -> list[Node]:
    section = next(one for one in root.all("section") if one.has("id", f"item-{item}"))
    return list(section.all("button", class_="line"))


def value(root: Node, item: str, place: int = 0) -> str:
    return lines(root, item)[place].attributes["value"]


def in_place(browser: FlaskClient, **fields: str) -> Any:
    """A tick as the page's script sends it."""
    data = {"token": token_of(browser, BATCH), "item": "flower-cordial", **fields}
    return browser.post(BATCH, data=data, headers={"Accept": "application/json"})


def change(browser: FlaskClient, serves: str, service: str = "18:00", seen: str = "") -> Any:
    """Other covers, or another time, from the form of the sheet."""
    root = reads_well(browser.get(ON))
    now = root.first("form", class_="covers").first("input", name="seen").attributes["value"]
    return send(browser, ON, change="1", serves=serves, service=service, seen=seen or now)


# in place


def test_a_tick_in_place_answers_with_its_line_and_the_counts(folder: Path) -> None:
    browser = client(folder, write=True)
    root = reads_well(browser.get(BATCH))
    told = in_place(browser, tick=value(root, "flower-cordial")).get_json()
    assert told["item"] == f"1 of {len(lines(root, 'flower-cordial'))}"
    assert told["all"].startswith("1 of ")
    assert told["saved"][2] == ":"
    assert 'aria-pressed="true"' in told["line"]
    after = lines(reads_well(browser.get(ON)), "flower-cordial")[0]
    assert after.has("aria-pressed", "true")
    assert after.attributes["value"] in told["line"]


def test_two_cooks_on_one_sheet_keep_both_their_lines(folder: Path) -> None:
    one, two = client(folder, write=True), client(folder, write=True)
    root = reads_well(one.get(BATCH))
    assert in_place(one, tick=value(root, "flower-cordial", 0)).status_code == 200
    assert in_place(two, tick=value(root, "flower-cordial", 1)).status_code == 200  # an old sheet
    assert in_place(two, tick=value(root, "flower-cordial", 0)).status_code == 200  # the same
    done = [one.has("aria-pressed", "true") for one in lines(reads_well(one.get(ON)),
                                                             "flower-cordial")]  # fmt: skip
    assert done[:3] == [True, True, False]


def test_a_real_conflict_shows_both(folder: Path) -> None:
    one, two = client(folder, write=True), client(folder, write=True)
    old = value(reads_well(two.get(BATCH)), "flower-cordial", 3)
    assert change(one, "62").status_code == 303
    new = value(reads_well(one.get(ON)), "flower-cordial", 3)
    assert in_place(one, tick=new, shown="62").status_code == 200
    refused = in_place(two, tick=old, shown="60")
    assert refused.status_code == 409
    problem = refused.get_json()["problem"]
    for g in (old.split("~")[1], new.split("~")[1]):
        assert f"{g} g" in problem
    by_form = send(two, BATCH, item="flower-cordial", tick=old, shown="60")
    assert by_form.status_code == 409
    assert problem in reads_well(by_form).first("p", class_="problem").text


# other covers


def test_other_covers_keep_the_ticks_and_show_the_difference_on_each_line(folder: Path) -> None:
    browser = client(folder, write=True)
    root = reads_well(browser.get(BATCH))
    for place in range(len(lines(root, "flower-cordial"))):
        in_place(browser, tick=value(root, "flower-cordial", place), shown="60")
    answer = change(browser, "62")
    assert answer.status_code == 303
    after = lines(reads_well(browser.get(answer.headers["Location"])), "flower-cordial")
    for line, was in zip(after, lines(root, "flower-cordial"), strict=True):
        weighed = was.attributes["value"].split("~")[1]
        if not weighed:  # a step that is done stays done
            assert line.has("aria-pressed", "true")
            continue
        now = line.attributes["value"].split("~")[1]
        percent = 100 * (float(now) - float(weighed)) / float(weighed)
        assert f"Weighed {weighed} g for 60: add" in line.text
        assert f"({percent:.1f} %)" in line.text
        assert abs(percent - 100 * 2 / 60) < 3  # within the steps of the scale
    # what was added is ticked, and the line is done for 62
    more = in_place(browser, tick=after[0].attributes["value"], shown="62").get_json()["line"]
    assert 'aria-pressed="true"' in more
    assert "Weighed" not in more
    # and back at 60 there is too much of it, which no tick takes out
    change(browser, "60")
    line = lines(reads_well(browser.get(ON)), "flower-cordial")[0]
    assert "too much" in line.text
    assert line.has("aria-pressed", "true")


def test_another_service_takes_its_batch_along(folder: Path) -> None:
    browser = client(folder, write=True)
    in_place(browser, tick=value(reads_well(browser.get(BATCH)), "flower-cordial"))
    assert change(browser, "60", "19:30").status_code == 303
    for address in (ON, ON.replace("18:00", "19:30")):
        root = reads_well(browser.get(address))
        assert "service 19:30" in root.first("p", class_="lead").text
        assert lines(root, "flower-cordial")[0].has("aria-pressed", "true")
    first = reads_well(browser.get(ON.replace("18:00", "12:00")))
    assert not any(one.has("aria-pressed", "true") for one in first.all("button"))


def test_a_plan_for_other_covers_asks_before_it_changes_the_batch(folder: Path) -> None:
    browser = client(folder, write=True)
    in_place(browser, tick=value(reads_well(browser.get(BATCH)), "flower-cordial"))
    root = reads_well(browser.get(BATCH.replace("60", "62")))
    assert "kept for 60 serves, and you asked for 62" in root.text
    assert root.first("input", id="in-serves").attributes["value"] == "60"


def test_covers_that_cannot_be_are_refused_and_nothing_changes(folder: Path) -> None:
    browser = client(folder, write=True)
    in_place(browser, tick=value(reads_well(browser.get(BATCH)), "flower-cordial"))
    before = {p: p.read_bytes() for p in folder.rglob("*.toml")}
    for serves, service, said in (
        ("0", "18:00", "whole number"), ("many", "18:00", "number"), ("62", "25:99", "18:00"),
        ("999999", "18:00", "10000"), ("Semaphore=0", "18:00", "no drink"),
    ):  # fmt: skip
        answer = change(browser, serves, service)
        assert answer.status_code == 422, serves
        assert said in reads_well(answer).first("p", class_="problem").text
    assert {p: p.read_bytes() for p in folder.rglob("*.toml")} == before


def test_a_menu_has_its_serves_by_drink(folder: Path) -> None:
    browser = client(folder, write=True)
    menu = "/recipes/menu/batch?on=2026-11-28"
    root = reads_well(browser.get(menu))
    told = root.first("input", id="in-serves").attributes["value"]
    assert "=" in told
    item = next(one for one in root.all("section", class_="work")).attributes["id"][5:]
    assert send(browser, menu, item=item, tick=value(root, item)).status_code == 303
    again = reads_well(browser.get(menu))
    assert again.first("input", id="in-serves").attributes["value"] == told
    assert lines(again, item)[0].has("aria-pressed", "true")


def test_an_address_holds_what_was_weighed_and_shows_the_difference(folder: Path) -> None:
    browser = client(folder)
    root = reads_well(browser.get(BATCH))
    section = next(one for one in root.all("section") if one.has("id", "item-flower-cordial"))
    held = section.first("input", name="done").attributes["value"]
    after = browser.get(f"{ON}&serves=62&done={quote(held)}")
    text = reads_well(after).text
    assert f"Weighed {held.split('~')[1]} g for 60: add" in text
    # what cannot be read from the address is not done
    id_ = held.partition("~")[0]
    for bad in (id_, f"{id_}~~60", f"{id_}~nan~60", f"{id_}~-5~60", f"{id_}~1e99~60", "t-0~1~60"):
        shown = reads_well(browser.get(f"{BATCH}&done={quote(bad)}"))
        assert not any("checked" in one.attributes for one in shown.all("input", name="done"))


# what is refused


@pytest.mark.parametrize(
    "fields",
    [
        {"tick": "t-0123456789~1~new"}, {"tick": "x"}, {"tick": ""}, {"untick": "t-1~~new"}, {},
        {"tick": "../../x~1~new"}, {"tick": "<script>~<b>~new"},
    ],
)  # fmt: skip
def test_a_line_that_is_not_on_the_sheet_is_refused(folder: Path, fields: dict[str, str]) -> None:
    browser = client(folder, write=True)
    for answer in (in_place(browser, **fields), send(browser, BATCH, item="acid-drops", **fields)):
        assert answer.status_code == 409
        assert b"<script>" not in answer.data
    assert not (folder / "batches").exists()


def test_another_amount_than_that_of_the_sheet_is_refused(folder: Path) -> None:
    browser = client(folder, write=True)
    id_, g, seen = value(reads_well(browser.get(BATCH)), "flower-cordial").split("~")
    answer = in_place(browser, tick=f"{id_}~{float(g) + 1:g}~{seen}", shown="60")
    assert answer.status_code == 409
    assert in_place(browser, tick=f"{id_}~{g}~{seen}", shown="many").status_code == 422
    assert in_place(browser, tick=f"{id_}~{g}~{seen}", shown="9" * 3000).status_code == 422
    assert not (folder / "batches").exists()


def test_in_place_is_guarded_as_a_form_is(folder: Path) -> None:
    browser = client(folder, write=True)
    tick = value(reads_well(browser.get(BATCH)), "flower-cordial")
    token = token_of(browser, BATCH)
    asked = {"Accept": "application/json"}
    data = {"token": token, "item": "flower-cordial", "tick": tick}
    for bad, status in (
        ({"data": {**data, "token": "x"}, "headers": asked}, 403),
        ({"data": {k: v for k, v in data.items() if k != "token"}, "headers": asked}, 403),
        ({"data": data, "headers": {**asked, "Origin": "http://evil.example"}}, 403),
        ({"data": data, "headers": {**asked, "Host": "evil.example"}}, 400),
        ({"data": {**data, "x": "x" * (MOST_BYTES + 1)}, "headers": asked}, 413),
        ({"data": {**data, "shown": "1" * 5000}, "headers": asked}, 413),
    ):  # fmt: skip
        assert browser.post(BATCH, **bad).status_code == status
    assert browser.get("/recipes/cold-semaphore/whole", headers={"Host": "evil.example"}
                       ).status_code == 400  # fmt: skip
    assert not (folder / "batches").exists()
    assert browser.post(BATCH, data=data, headers=asked).status_code == 200
    # without --write nothing is saved, in place or not
    other = client(folder)
    reads_well(other.get(BATCH))
    refused = other.post(BATCH, data={**data, "token": token_of(other, BATCH)}, headers=asked)
    assert refused.status_code == 403
    assert "--write" in refused.get_json()["problem"]


def test_a_day_and_a_service_that_do_not_agree_are_refused(folder: Path) -> None:
    browser = client(folder, write=True)
    both = "/recipes/cold-semaphore/batch?on=2026-11-28&service=2026-11-29+18:00"
    answer = browser.get(both)
    assert answer.status_code == 422
    assert "give one day" in reads_well(answer).text
