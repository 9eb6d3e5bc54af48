"""A blind tasting on phones: planned, answered, judged; kept on disk; the key at the host's."""

from __future__ import annotations

import shutil
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from page.asking import by_id, tree
from page.recipe_pages import DEMO, reads_well
from page.test_drills_classes import join
from page.test_guard_entry import ELSEWHERE, give, hidden
from page.test_requests import MARKUP, own_alone

from prepkit.page import create_app
from prepkit.page.guard import Settings
from prepkit.page.tastings import Panel, Tastings
from prepkit.tasting import load, sheets

PHRASE = ELSEWHERE.pass_phrase or ""
PAIR = {
    "taste": "sour", "glass": ["low 0.55", "high 0.62"], "expected": "high 0.62",
    "tasters": "8", "glass_volume": "15 ml", "abv": "12 %", "allergens": "milk, egg",
}  # fmt: skip
RANKING = {**PAIR, "glass": ["one", "two", "three"], "expected": "", "in_order": "yes"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copytree(DEMO, tmp_path / "recipes")
    return tmp_path / "recipes"


def page(folder: Path, write: bool = True) -> Flask:
    return create_app(Settings(folder, None, write, "192.0.2.10", pass_phrase=PHRASE))


@pytest.fixture
def app(folder: Path) -> Flask:
    return page(folder)


@pytest.fixture
def host(app: Flask) -> FlaskClient:
    browser = app.test_client()
    assert give(browser, PHRASE).status_code == 303
    return browser


def opened(host: FlaskClient, **said: Any) -> str:
    """The code of a new tasting."""
    data = {**hidden(host.get("/class/")), **PAIR, **said}
    answer = host.post("/tasting/", data=data)
    assert answer.status_code == 303, reads_well(answer).text
    return str(answer.headers["Location"]).split("/")[2]


def panel(app: Flask, code: str) -> Panel:
    found = app.extensions["prepkit-tastings"].find(code)
    assert found is not None
    return found


def send(phone: FlaskClient, **said: str) -> Any:
    return phone.post("/join/paper", data={**hidden(phone.get("/join/paper")), **said})


def sit(app: Flask, code: str, names: list[str]) -> list[FlaskClient]:
    phones = [app.test_client() for _ in names]
    for phone, name in zip(phones, names, strict=True):
        assert join(phone, code, name).status_code == 303
    return phones


def test_eight_phones_answer_and_the_result_stands_at_the_host(
    app: Flask, host: FlaskClient
) -> None:
    code = opened(host)
    phones = [app.test_client() for _ in range(8)]

    def sits(number: int) -> None:
        assert join(phones[number], code, f"Cook {number}").status_code == 303

    with ThreadPoolExecutor(8) as at_once:
        list(at_once.map(sits, range(8)))
    found = panel(app, code)
    assert sorted(seat.number for seat in found.seats) == list(range(1, 9))
    assert found.tasting.test == "three"
    table = reads_well(host.get(f"/tasting/{code}/")).text
    assert "8 joined, 0 of 8 answered" in table
    assert "p =" not in table
    for number, phone in enumerate(phones):
        seat = next(one for one in found.seats if one.name == f"Cook {number}")
        sheet = sheets(found.tasting)[seat.number - 1]
        asked = reads_well(phone.get("/join/paper")).text
        assert all(one in asked for one in sheet.codes)
        assert not any(glass in asked for glass in PAIR["glass"])
        assert "milk, egg" in asked
        wrong = next(one for one in sheet.codes if one != sheet.right)
        assert send(phone, pick=str(sheet.right) if number else wrong).status_code == 303
        after = reads_well(phone.get("/join/paper")).text
        assert "your host has your answer" in after
        assert not any(one in after for one in (*sheet.codes, "right", "wrong", *PAIR["glass"]))
    table = reads_well(host.get(f"/tasting/{code}/")).text
    assert "7 of 8 picked the expected glass, p = 0.003: they differ" in table
    part = host.get(f"/tasting/{code}/?part=1").get_data(as_text=True)
    assert "<html" not in part
    assert "7 of 8" in part


def test_the_key_and_the_names_of_the_drinks_reach_no_phone(app: Flask, host: FlaskClient) -> None:
    code = opened(host)
    (phone,) = sit(app, code, ["Ann"])
    key = reads_well(host.get(f"/tasting/{code}/")).text
    assert "low 0.55" in key
    stranger = app.test_client()
    for path in (f"/tasting/{code}/", f"/tasting/{code}/screen", f"/tasting/{code}/sheets",
                 "/tasting/", f"/tasting/{code}/?part=1"):  # fmt: skip
        assert phone.get(path).status_code == 403
        assert stranger.get(path).status_code == 302
        for name in PAIR["glass"]:
            assert name not in phone.get(path).get_data(as_text=True)
    for path in (f"/tasting/{code}/close", f"/tasting/{code}/answer", f"/tasting/{code}/again"):
        assert phone.post(path, data={"number": "1"}).status_code == 403
        assert host.post(path, data={"number": "1"}).status_code == 403  # no token
    for path in ("screen", "sheets", "screen?part=1"):
        shown = tree(host.get(f"/tasting/{code}/{path}")).text
        assert not any(name in shown for name in PAIR["glass"])
        assert str(panel(app, code).tasting.seed) not in shown


def test_before_the_first_glass_stand_allergens_and_alcohol(app: Flask, host: FlaskClient) -> None:
    code = opened(host)
    for text in (
        reads_well(app.test_client().get(f"/join/{code}")).text,
        reads_well(host.get(f"/tasting/{code}/screen")).text,
        reads_well(host.get(f"/tasting/{code}/")).text,
    ):
        assert text.index("Allergens: milk, egg.") < text.index("Alcohol: at most 4.3 g")
        assert "nobody who is pregnant" in text


def test_gaps_and_ties_are_asked_again_and_nothing_is_lost(app: Flask, host: FlaskClient) -> None:
    code = opened(host, **RANKING)
    (phone,) = sit(app, code, ["Ann"])
    a, b, c = panel(app, code).sheet(1).codes
    answer = send(phone, **{f"p{a}": "2", f"p{b}": "1"})
    assert answer.status_code == 422
    shown = reads_well(answer)
    assert f"{c} has no place" in shown.text
    chosen = [one for one in by_id(shown, f"p{a}").all("option") if "selected" in one.attributes]
    assert [one.attributes["value"] for one in chosen] == ["2"]
    tied = {f"p{a}": "2", f"p{b}": "1", f"p{c}": "2"}
    answer = send(phone, **tied)
    assert answer.status_code == 422
    assert f"{a} and {c} stand at one place" in reads_well(answer).text
    assert panel(app, code).answers == {}
    assert send(phone, **tied, sure="1").status_code == 303
    assert panel(app, code).answers == {1: f"{b} {a}={c}"}
    send(phone, **{f"p{a}": "1", f"p{b}": "2", f"p{c}": "3"})
    assert panel(app, code).answers == {1: f"{b} {a}={c}"}  # sent once
    other = opened(host)
    (phone,) = sit(app, other, ["Bea"])
    for pick in ("", "000", "99999999999"):
        assert send(phone, pick=pick).status_code == 422
    assert panel(app, other).answers == {}


def test_markup_of_a_host_and_of_tasters_stays_text(app: Flask, host: FlaskClient) -> None:
    name = MARKUP[:40]
    code = opened(
        host, title=MARKUP, taste=MARKUP, glass=[MARKUP, f"{MARKUP}2", "c"], expected="",
        allergens=MARKUP,
    )  # fmt: skip
    (phone,) = sit(app, code, [name])
    pages = [phone.get("/join/paper"), app.test_client().get(f"/join/{code}")]
    pages += [host.get(f"/tasting/{code}/{path}") for path in ("", "screen", "?part=1")]
    pages += [send(phone), host.get("/tasting/"), host.get(f"/tasting/{code}/sheets")]
    data = {**hidden(host.get(f"/tasting/{code}/")), "number": "1"}
    pages.append(host.post(f"/tasting/{code}/again", data=data))
    pages.append(host.post(f"/tasting/{code}/answer", data={**data, "answer": MARKUP}))
    for answer in pages:
        own_alone(tree(answer))
        assert "<script>alert" not in answer.text
    again = Tastings(panel(app, code).path.parent.parent, True).find(code)
    assert again is not None
    assert again.tasting == panel(app, code).tasting
    assert again.name(1) == " ".join(name.split())


def test_two_tastings_at_once_and_a_class_keep_apart(app: Flask, host: FlaskClient) -> None:
    one, two = opened(host, title="One"), opened(host, title="Two")
    (ann,), (bea,) = sit(app, one, ["Ann"]), sit(app, two, ["Ann"])
    send(ann, pick=panel(app, one).sheet(1).codes[0])
    assert len(panel(app, one).answers) == 1
    assert panel(app, two).answers == {}
    assert "Two" in reads_well(bea.get("/join/paper")).text
    listed = reads_well(host.get("/tasting/")).text
    assert "One" in listed
    assert "Two" in listed


def test_a_reload_and_a_stop_of_the_page_lose_nothing(
    app: Flask, host: FlaskClient, folder: Path
) -> None:
    code = opened(host)
    ann, _ = sit(app, code, ["Ann", "Ben"])
    said = panel(app, code).sheet(1).codes[1]
    send(ann, pick=said)
    tasting, answers = load(folder / "tastings" / f"{code}.toml")
    assert answers == {1: said}
    again = page(folder)
    found = panel(again, code)
    assert found.tasting == tasting
    assert [(one.number, one.name, one.sent is None) for one in found.seats] == [
        (1, "Ann", False), (2, "Ben", True),
    ]  # fmt: skip
    new_host = again.test_client()
    give(new_host, PHRASE)
    data = {**hidden(new_host.get(f"/tasting/{code}/")), "number": "2"}
    told = reads_well(new_host.post(f"/tasting/{code}/again", data=data)).text
    word = told.partition("Code for Ben: ")[2][:7]
    phone = again.test_client()
    taken = phone.post(f"/join/again/{word}", data=hidden(phone.get(f"/join/again/{word}")))
    assert taken.status_code == 303
    kept = again.test_client()  # a phone that is still there has its own glasses without a code
    cookie = ann.get_cookie("prepkit-seat", path="/join")
    assert cookie is not None
    kept.set_cookie("prepkit-seat", cookie.value, path="/join")
    assert "Ann, your host has your answer" in reads_well(kept.get("/join/paper")).text
    assert kept.get(f"/tasting/{code}/").status_code == 403
    assert found.path.with_suffix(".json").stat().st_mode & 0o77 == 0
    codes = found.sheet(2).codes
    assert all(one in reads_well(phone.get("/join/paper")).text for one in codes)
    assert send(phone, pick=codes[0]).status_code == 303
    assert load(found.path)[1] == {1: said, 2: codes[0]}


def test_a_closed_tasting_takes_nobody_and_nothing(app: Flask, host: FlaskClient) -> None:
    code = opened(host)
    (ann,) = sit(app, code, ["Ann"])
    page_ = hidden(ann.get("/join/paper"))
    host.post(f"/tasting/{code}/close", data=hidden(host.get(f"/tasting/{code}/")))
    assert ann.post("/join/paper", data={**page_, "pick": panel(app, code).sheet(1).codes[0]}
                    ).status_code == 409  # fmt: skip
    assert panel(app, code).answers == {}
    assert "closed" in reads_well(app.test_client().get(f"/join/{code}")).text
    assert "Nobody has answered" in reads_well(host.get(f"/tasting/{code}/")).text


def test_a_file_for_fewer_tasters_than_have_joined_is_told(app: Flask, host: FlaskClient) -> None:
    code = opened(host)
    phones = sit(app, code, ["Ann", "Ben", "Cy"])
    found = panel(app, code)
    text = found.path.read_text("utf-8")
    found.path.write_text(text.replace("tasters = 8", "tasters = 2"), "utf-8")
    assert "more have joined" in reads_well(host.get(f"/tasting/{code}/")).text
    for place, phone in enumerate(phones, 1):
        assert phone.get("/join/paper").status_code == 200
        assert send(phone, pick=found.sheet(place).codes[0]).status_code == 409
    found.path.write_text(text, "utf-8")
    assert send(phones[2], pick=found.sheet(3).codes[0]).status_code == 303


def test_what_the_disk_does_not_take_leaves_a_tasting_as_it_was(
    app: Flask, host: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = opened(host)
    (ann,) = sit(app, code, ["Ann"])
    data = hidden(host.get(f"/tasting/{code}/"))
    told = reads_well(host.post(f"/tasting/{code}/again", data={**data, "number": "1"})).text
    word = told.partition("Code for Ann: ")[2][:7]

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("prepkit.files.write", full)
        assert host.post(f"/tasting/{code}/close", data=data).status_code == 404
        phone = app.test_client()
        page_ = hidden(phone.get(f"/join/again/{word}"))
        assert phone.post(f"/join/again/{word}", data=page_).status_code == 404
    assert panel(app, code).closed is None
    assert reads_well(ann.get("/join/paper")).text.count("Ann")
    assert phone.post(f"/join/again/{word}", data=page_).status_code == 303
    assert ann.get("/join/paper").status_code == 403


def test_answers_from_paper_and_a_panel_that_is_full(app: Flask, host: FlaskClient) -> None:
    code = opened(host, tasters="2")
    token = hidden(host.get("/class/"))
    right = panel(app, code).sheet(1).right or ""

    def put(**said: str) -> Any:
        return host.post(f"/tasting/{code}/answer", data={**token, **said})

    assert put(number="3", answer=right).status_code == 422
    assert put(number="1", answer="12").status_code == 422
    assert put(number="1", answer=right).status_code == 303
    other = next(one for one in panel(app, code).sheet(1).codes if one != right)
    assert "answered" in reads_well(put(number="1", answer=other)).text
    assert panel(app, code).answers == {1: right}
    assert put(number="1", answer=other, sure="yes").status_code == 303
    (ann,) = sit(app, code, ["Ann"])
    assert panel(app, code).name(2) == "Ann"
    assert "full" in reads_well(join(app.test_client(), code, "Ben")).text
    send(ann, pick=panel(app, code).sheet(2).codes[0])
    assert "p = " in reads_well(host.get(f"/tasting/{code}/")).text


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"glass": ["one"]}, "compare"), ({"glass": ["a", "a"]}, "one name"),
        ({"expected": "c"}, "none of the glasses"), ({"allergens": ""}, "needed"),
        ({"abv": ""}, "needed"), ({"tasters": "0"}, "between 1 and"), ({"abv": "140 %"}, "100"),
        ({"taste": "", "test": "pair"}, "asks for a taste"),
        ({"glass": [f"g{n}" for n in range(8)], "abv": "40 %", "expected": ""}, "6"),
    ],
)  # fmt: skip
def test_what_is_no_tasting_is_told(app: Flask, host: FlaskClient, said: Any, told: str) -> None:
    words = {**PAIR, **said}
    answer = host.get("/tasting/", query_string={**words, ".go": "1"})
    assert answer.status_code == 422
    text = reads_well(answer).text
    assert told in text
    assert "--" not in text
    assert host.post("/tasting/", data={**words, **hidden(host.get("/class/"))}).status_code == 422
    assert app.extensions["prepkit-tastings"].all() == []


def test_a_page_that_only_reads_opens_and_takes_nothing(folder: Path, host: FlaskClient) -> None:
    code = opened(host)
    before = sorted((folder / "tastings").iterdir())
    reading = page(folder, write=False)
    browser = reading.test_client()
    give(browser, PHRASE)
    assert "read only" in reads_well(browser.get("/tasting/")).text
    data = {**PAIR, **hidden(browser.get("/class/"))}
    assert browser.post("/tasting/", data=data).status_code == 409
    phone = reading.test_client()
    assert "read only" in reads_well(join(phone, code, "Ann")).text
    assert sorted((folder / "tastings").iterdir()) == before


def test_on_this_machine_alone_sheets_are_printed_and_nobody_joins(folder: Path) -> None:
    browser = create_app(Settings(folder, None, True)).test_client()
    data = {**hidden(browser.get("/tasting/?.go=1")), **PAIR}
    with browser.session_transaction() as session:
        session["token"] = data["token"] = "a token of this browser"
    code = browser.post("/tasting/", data=data).headers["Location"].split("/")[2]
    assert "Print the sheets" in reads_well(browser.get(f"/tasting/{code}/")).text
    assert "cannot reach this page" in reads_well(join(browser, code, "Ann")).text
    assert browser.get("/").status_code == 200


def test_files_that_are_none_of_ours_are_left_and_told(folder: Path) -> None:
    kept = folder / "tastings"
    kept.mkdir(exist_ok=True)
    (kept / "bcdfgh.toml").write_text("[tasting]\ntitle = 3\n")
    (kept / "bcdfgj.json").write_text("{}")
    (kept / "x.toml").write_text("")
    (kept / "bcdfgk.toml").symlink_to("/etc/passwd")
    found = Tastings(folder, True)
    assert found.all() == []
    assert len(found.unread) == 1
    assert found.unread[0].startswith("bcdfgh.toml: ")
    linked = folder / "other"
    (linked).mkdir()
    (linked / "tastings").symlink_to(kept)
    assert Tastings(linked, True).all() == []
