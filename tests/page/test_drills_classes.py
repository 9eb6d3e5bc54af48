"""A class of papers: eight phones, names that meet, a lost phone, a late one, and the table."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from page.asking import tree
from page.recipe_pages import reads_well
from page.test_guard_entry import ELSEWHERE, give, hidden

from prepkit.errors import BadInput
from prepkit.page import create_app, drills
from prepkit.page.guard import Settings

PHRASE = ELSEWHERE.pass_phrase or ""
NOON = datetime(2026, 11, 29, 12, 0)


@pytest.fixture
def app() -> Flask:
    return create_app(ELSEWHERE)


@pytest.fixture(autouse=True)
def _one_seed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every class has the same questions here, so that each run tests the same."""
    monkeypatch.setattr("secrets.randbelow", lambda most: most // 3)


@pytest.fixture
def trainer(app: Flask) -> FlaskClient:
    browser = app.test_client()
    assert give(browser, PHRASE).status_code == 303
    return browser


def opened(trainer: FlaskClient, **said: str) -> str:
    """The code of a new class."""
    data = {**hidden(trainer.get("/class/")), "topic": "siphon", "count": "3", **said}
    answer = trainer.post("/class/", data=data)
    assert answer.status_code == 303
    return str(answer.headers["Location"]).split("/")[2]


def join(phone: FlaskClient, code: str, name: str) -> Any:
    data = {**hidden(phone.get(f"/join/{code}")), "name": name}
    return phone.post(f"/join/{code}", data=data)


def send(phone: FlaskClient, answers: dict[int, str], **more: str) -> Any:
    said = {f"a{number}": words for number, words in answers.items()}
    return phone.post("/join/paper", data={**hidden(phone.get("/join/paper")), **said, **more})


def seats(app: Flask, code: str) -> list[drills.Seat]:
    found = app.extensions["prepkit-classes"].find(code)
    assert found is not None
    return list(found.seats)


def test_eight_phones_join_answer_and_stand_in_the_table(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer)
    phones = [app.test_client() for _ in range(8)]

    def sits(number: int) -> None:
        assert join(phones[number], code, f"Cook {number}").status_code == 303

    with ThreadPoolExecutor(8) as at_once:
        list(at_once.map(sits, range(8)))
    sat = {seat.name: seat for seat in seats(app, code)}
    assert sorted(sat) == [f"Cook {number}" for number in range(8)]
    papers = {repr([(q.text, q.plate, q.choices) for q in s.paper.questions]) for s in sat.values()}
    assert len(papers) >= 4
    assert len({tuple(q.template.id for q in seat.paper.questions) for seat in sat.values()}) == 1
    for number, phone in enumerate(phones):
        paper = sat[f"Cook {number}"].paper
        text = reads_well(phone.get("/join/paper")).text
        assert all(" ".join(one.text.split()) in text for one in paper.questions)
        assert str(paper.seed) not in text
        right = {one.number: one.letter for one in paper.questions if one.number != 2}
        wrong = next(one.letter for one in paper.questions[1].choices if not one.right)
        assert send(phone, {**right, 2: wrong}).status_code == 303
        assert "your trainer has your paper" in reads_well(phone.get("/join/paper")).text
    table = reads_well(trainer.get(f"/class/{code}/"))
    assert "8 joined, 8 sent" in table.text
    assert table.text.count("2 of 3") == 8
    part = trainer.get(f"/class/{code}/?part=1")
    assert "2 of 3" in part.get_data(as_text=True)
    assert b"<html" not in part.data
    one = reads_well(trainer.get(f"/class/{code}/1"))
    assert "2 of 3 right" in one.text
    assert sat[one.first("h1").text.partition(":")[0]].number == 1
    rows = list(csv.DictReader(io.StringIO(trainer.get(f"/class/{code}/results.csv").text)))
    assert {row["right"] for row in rows} == {"2"}
    assert {row["name"] for row in rows} == set(sat)


def test_the_screen_shows_how_to_join_and_nothing_of_the_results(
    app: Flask, trainer: FlaskClient
) -> None:
    code = opened(trainer)
    phone = app.test_client()
    join(phone, code, "Somebody")
    screen = reads_well(trainer.get(f"/class/{code}/screen"))
    assert drills.shown_code(code) in screen.text
    assert "1 joined, 0 sent" in screen.text
    assert "Somebody" not in screen.text
    assert list(screen.all("svg"))
    typed = app.test_client().get(f"/join/?code={code[:3].upper()}+{code[3:].upper()}")
    assert typed.headers["Location"] == f"/join/{code}"


def test_two_of_one_name_are_two_people(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer)
    one, two = app.test_client(), app.test_client()
    assert join(one, code, " Sam  Otter ").status_code == 303
    answer = join(two, code, "sam otter")
    assert answer.status_code == 422
    page = reads_well(answer)
    assert "Join as sam otter 2" in page.text
    assert "Ask your trainer for a code" in page.text
    assert join(two, code, "sam otter 2").status_code == 303
    assert [seat.name for seat in seats(app, code)] == ["Sam Otter", "sam otter 2"]


def test_a_lost_phone_joins_again_with_its_own_paper(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer)
    lost, new, third = (app.test_client() for _ in range(3))
    join(lost, code, "Sam")
    before = seats(app, code)[0].paper
    page = hidden(trainer.get(f"/class/{code}/"))
    told = reads_well(trainer.post(f"/class/{code}/again", data={**page, "number": "1"}))
    word = seats(app, code)[0].again
    assert drills.shown_code(word) in told.text
    led = new.get(f"/join/?code={word}").headers["Location"]
    assert led == f"/join/again/{word}"
    assert new.post(led, data=hidden(new.get(led))).status_code == 303
    assert seats(app, code)[0].paper is before
    assert lost.get("/join/paper").status_code == 403
    data = {**hidden(third.get(f"/join/{code}"))}
    assert third.post(led, data=data).status_code == 404  # used up
    assert send(new, {1: "A", 2: "A", 3: "A"}).status_code == 303
    assert seats(app, code)[0].sent is not None


def test_gaps_are_asked_about_once_and_a_paper_is_sent_once(
    app: Flask, trainer: FlaskClient
) -> None:
    code = opened(trainer)
    phone = app.test_client()
    join(phone, code, "Sam")
    page = reads_well(send(phone, {1: "B", 3: "C"}))
    assert "1 not answered" in page.text
    assert seats(app, code)[0].sent is None
    checked = [one.attributes["value"] for one in page.all("input", checked="")]
    assert checked == ["B", "C"]
    assert send(phone, {1: "B", 3: "C"}, sure="1").status_code == 303
    first = seats(app, code)[0].marked
    answer = phone.post("/join/paper", data={**hidden(phone.get("/join/paper")), "a1": "C"})
    assert answer.status_code == 303
    assert seats(app, code)[0].marked is first


def test_what_cannot_be_read_is_asked_again_before_it_is_kept(
    app: Flask, trainer: FlaskClient
) -> None:
    code = opened(trainer)
    phone = app.test_client()
    join(phone, code, "Sam")
    (seat,) = seats(app, code)
    page = reads_well(send(phone, {1: "????", 2: "A", 3: "B"}))
    assert "1 cannot be read" in page.text
    assert "????" in page.first("div", class_="problems").text
    assert seat.sent is None
    assert seat.marked is None
    first = seat.paper.questions[0]
    told = page.first("div", class_="problems").text
    assert first.accepted not in told
    assert first.shown not in told
    assert send(phone, {1: "A", 2: "A", 3: "B"}).status_code == 303
    assert seat.marked is not None
    assert seat.marked.again == ()


def test_a_phone_has_the_data_sheet_beside_its_questions(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer)
    phone = app.test_client()
    join(phone, code, "Sam")
    sheet = reads_well(phone.get("/join/paper")).first("details", class_="beside")
    assert sheet.first("summary").text == "Data sheet"
    for one in seats(app, code)[0].paper.sheet:
        assert " ".join(one.words.split()) in sheet.text


def test_a_class_is_compared_passed_and_typed_in(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer, count="4")
    phones = [app.test_client() for _ in range(3)]
    for number, phone in enumerate(phones):
        join(phone, code, f"Cook {number}")
        paper = seats(app, code)[number].paper
        wrong = {q.number: next(c.letter for c in q.choices if not c.right)
                 for q in paper.questions}  # fmt: skip
        right = {q.number: q.letter for q in paper.questions if q.number > number + 1}
        assert send(phone, {**wrong, **right}).status_code == 303
    view = f"/class/{code}/"
    added = {**hidden(trainer.get(view)), "name": "No phone"}
    assert trainer.post(f"{view}person", data=added).status_code == 303
    assert trainer.post(f"{view}person", data=added).status_code == 422  # the name is taken
    printed = trainer.get(f"{view}print").get_data(as_text=True)
    assert "No phone" in printed
    assert "Data sheet" in printed
    assert "Cook 1" not in printed
    assert str(seats(app, code)[3].paper.seed) not in printed
    assert "answers file" not in printed
    seat = seats(app, code)[3]
    typed = {f"a{q.number}": q.shown for q in seat.paper.questions}
    token = hidden(trainer.get(f"{view}4/type"))
    again = trainer.post(f"{view}4/type", data={**token, **typed, "a1": "?"})
    assert "1 cannot be read" in reads_well(again).text
    assert seat.sent is None
    assert trainer.post(f"{view}4/type", data={**token, **typed}).status_code == 303
    for bad in ("5", "0 %", "half"):
        refused = trainer.post(f"{view}pass-mark", data={**token, "pass_mark": bad})
        assert refused.status_code == 422
        told = reads_well(refused).first("p", class_="problem").text
        assert bad in told
        assert told.startswith("Pass mark")
    assert trainer.post(f"{view}pass-mark", data={**token, "pass_mark": "50 %"}).status_code == 303
    page = reads_well(trainer.get(view))
    assert "2 of 4 passed" not in page.text
    assert "3 of 4 passed (2 of 4 right needed)" in page.text
    first = page.text.index("Teach again first")
    assert first < page.text.index("People") < page.text.index("Discrimination")
    assert "Question 1, 1 of 4 right" in page.text
    assert "4 people" in page.text
    rows = list(csv.DictReader(io.StringIO(trainer.get(f"{view}results.csv").text)))
    assert [row["passed"] for row in rows] == ["passed", "passed", "not passed", "passed"]


def test_a_late_paper_is_kept_and_marked_late(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer)
    phone, other = app.test_client(), app.test_client()
    join(phone, code, "Sam")
    closed = trainer.post(f"/class/{code}/close", data=hidden(trainer.get(f"/class/{code}/")))
    assert closed.status_code == 303
    assert "closed" in reads_well(other.get(f"/join/{code}")).text
    with other.session_transaction() as session:
        session["token"] = "x"
    assert other.post(f"/join/{code}", data={"token": "x", "name": "Late"}).status_code == 422
    assert "marked late" in reads_well(phone.get("/join/paper")).text
    send(phone, {1: "A", 2: "B", 3: "C"})
    assert seats(app, code)[0].late
    assert "late" in reads_well(trainer.get(f"/class/{code}/")).text
    assert "marked late" in reads_well(phone.get("/join/paper")).text


@pytest.mark.parametrize("name", ["", "  ", "\u200b", "...", "x" * 41])
def test_no_name_is_refused(app: Flask, trainer: FlaskClient, name: str) -> None:
    code = opened(trainer)
    answer = join(app.test_client(), code, name)
    assert answer.status_code == 422
    assert reads_well(answer).first("p", class_="problem").text.startswith(("Write", "Your name"))
    assert seats(app, code) == []


def test_a_name_is_text_and_no_formula(app: Flask, trainer: FlaskClient) -> None:
    code = opened(trainer)
    for name in ("<script>alert(1)</script>", "=1+1", "+cook"):
        assert join(app.test_client(), code, name).status_code == 303
    page = trainer.get(f"/class/{code}/").get_data(as_text=True)
    assert "<script>alert" not in page
    assert "<script>alert(1)</script>" in tree(trainer.get(f"/class/{code}/")).text
    rows = list(csv.reader(io.StringIO(trainer.get(f"/class/{code}/results.csv").text)))
    assert not any(cell[:1] in "=+-@" for row in rows for cell in row if cell)


def test_a_class_is_not_opened_where_every_phone_could_reach_the_key() -> None:
    browser = create_app(Settings()).test_client()
    page = browser.get("/class/")
    assert "--host" in reads_well(page).text
    answer = browser.post("/class/", data={**hidden(page), "topic": "acid", "count": "3"})
    assert answer.status_code == 409


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"topic": "x"}, "must be one of"), ({"count": "31"}, "to 30"), ({"count": "0"}, "from 1"),
        ({"level": "9"}, "Level"),
    ],
)  # fmt: skip
def test_a_class_that_cannot_be_is_refused(
    trainer: FlaskClient, said: dict[str, str], told: str
) -> None:
    data = {**hidden(trainer.get("/class/")), "topic": "siphon", "count": "3", **said}
    answer = trainer.post("/class/", data=data)
    assert answer.status_code == 422
    assert told in reads_well(answer).text


def test_seats_and_classes_are_bounded_and_no_class_is_dropped(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(drills, "MOST_PLACES", 2)
    held = drills.Classes()
    first = held.open("acid", 1, None, NOON)
    for number in range(2):
        held.join(first.code, f"n{number}", NOON)
    with pytest.raises(BadInput, match="full"):
        held.join(first.code, "more", NOON)
    for _ in range(drills.MOST_CLASSES - 1):
        held.open("acid", 1, None, NOON)
    with pytest.raises(BadInput, match="no more"):
        held.open("acid", 1, None, NOON)
    assert held.find(first.code) is first
    codes = [one.code for one in held.all()]
    assert all(re.fullmatch(f"[{drills.LETTERS}]{{{drills.LONG}}}", one) for one in codes)


# kept on the disk


def test_a_laptop_that_is_started_again_has_lost_nobody_s_paper(tmp_path: Path) -> None:
    kept = replace(ELSEWHERE, recipes=tmp_path, write=True)
    app = create_app(kept)
    trainer, phone, other = (app.test_client() for _ in range(3))
    assert give(trainer, PHRASE).status_code == 303
    code = opened(trainer)
    join(phone, code, "Sam")
    join(other, code, "Alex")
    first = {seat.name: seat.paper.seed for seat in seats(app, code)}
    right = {one.number: one.letter for one in seats(app, code)[1].paper.questions}
    assert send(other, right).status_code == 303
    (file,) = (tmp_path / "classes").iterdir()
    assert file.stat().st_mode & 0o077 == 0

    again = create_app(kept)
    assert {seat.name: seat.paper.seed for seat in seats(again, code)} == first
    back = again.test_client()
    cookie = phone.get_cookie("prepkit-seat", path="/join")
    assert cookie is not None
    back.set_cookie("prepkit-seat", cookie.value, path="/join")
    assert "Sam" in reads_well(back.get("/join/paper")).text
    for path in (f"/class/{code}/", "/recipes/", f"/class/{code}/results.csv", "/"):
        assert back.get(path).status_code in (302, 303, 403)  # a seat opens nothing else
    assert send(back, right).status_code == 303
    trainer = again.test_client()
    give(trainer, PHRASE)
    assert "2 joined, 2 sent" in reads_well(trainer.get(f"/class/{code}/")).text
    page = hidden(trainer.get(f"/class/{code}/"))
    gone = trainer.post(f"/class/{code}/remove", data={**page, "number": "1"})
    assert gone.status_code == 303
    assert back.get("/join/paper").status_code == 403
    assert [seat.name for seat in seats(create_app(kept), code)] == ["Alex"]
    join(again.test_client(), code, "Kim")
    assert [seat.number for seat in seats(again, code)] == [2, 3]


def test_a_class_that_cannot_be_read_is_named_and_left_as_it_is(tmp_path: Path) -> None:
    kept = replace(ELSEWHERE, recipes=tmp_path, write=True)
    app = create_app(kept)
    trainer = app.test_client()
    give(trainer, PHRASE)
    opened(trainer)
    (file,) = (tmp_path / "classes").iterdir()
    text = file.read_text("utf-8")[:-1]
    file.write_text(text, "utf-8")
    trainer = create_app(kept).test_client()
    give(trainer, PHRASE)
    assert file.name in reads_well(trainer.get("/class/")).text
    assert file.read_text("utf-8") == text


CHANGED: dict[str, Callable[[dict[str, Any]], object]] = {
    "another version": lambda said: said.update(version="0.0.1"),
    "a topic that is none": lambda said: said.update(topic="../groups", seats=[]),
    "another topic": lambda said: said.update(topic="acid"),
    "a level that is none": lambda said: said.update(level=4, seats=[]),
    "another seed": lambda said: said.update(seed=said["seed"] + 1),
    "a seed out of range": lambda said: said.update(seed=10**12, seats=[]),
    "more questions": lambda said: said.update(count=4),
    "too many questions": lambda said: said.update(count=99, seats=[]),
    "a time that is none": lambda said: said.update(opened="x2026-11-29"),
    "a pass mark that is none": lambda said: said.update(pass_mark="most"),
    "a time of another zone": lambda said: said.update(opened="2026-11-29T12:00:00Z"),
    "a language that is none": lambda said: said["seats"][0].update(language="xx"),
    "another name": lambda said: said["seats"][0].update(name="Bo"),
    "a name twice": lambda said: said["seats"][0].update(name="ALEX"),
    "a key twice": lambda said: said["seats"][0].update(key=said["seats"][1]["key"]),
    "a number twice": lambda said: said["seats"][0].update(number=2),
    "a seat twice": lambda said: said["seats"].append(said["seats"][0]),
    "an answer to nothing": lambda said: said["seats"][0].update(answers={"0": "A"}),
    "an endless answer": lambda said: said["seats"][0].update(answers={"1": "A" * 201}),
    "a word more": lambda said: said.update(marks=3),
    "a word less": lambda said: said.pop("pass_mark"),
}


def test_a_class_file_that_was_changed_by_hand_is_no_class(tmp_path: Path) -> None:
    held = drills.Classes(tmp_path)
    sitting = held.open("room", 3, None, NOON)
    sam, _alex = (held.join(sitting.code, name, NOON) for name in ("Sam", "Alex"))
    held.send(sam, {1: "A"}, NOON)
    (file,) = tmp_path.iterdir()
    text = file.read_text("utf-8")
    for what, change in CHANGED.items():
        said = json.loads(text)
        change(said)
        file.write_text(json.dumps(said), "utf-8")
        read = drills.Classes(tmp_path)
        assert (read.unread, read.all()) == ([file.name], []), what
    file.write_text(text, "utf-8")
    (tmp_path / f"2026-11-30-copied{drills.ENDING}").write_text(text, "utf-8")
    read = drills.Classes(tmp_path)  # the same class in two files
    assert [one.code for one in read.all()] == [sitting.code]
    assert len(read.unread) == 1
    assert [seat.name for seat in read.all()[0].seats] == ["Sam", "Alex"]


def test_a_paper_that_the_disk_does_not_take_is_not_sent(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    app = create_app(replace(ELSEWHERE, recipes=tmp_path, write=True))
    trainer, phone = app.test_client(), app.test_client()
    give(trainer, PHRASE)
    join(phone, opened(trainer, count="1"), "Sam")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("prepkit.files.write", full)
    answer = send(phone, {1: "a"})
    assert answer.status_code == 422
    assert "No space left on device" in answer.text
    assert seats(app, next(iter(app.extensions["prepkit-classes"].all())).code)[0].answers == {}
    monkeypatch.undo()
    assert send(phone, {1: "a"}).status_code == 303


def test_a_class_is_never_written_through_a_link(tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (tmp_path / "recipes").mkdir()
    (tmp_path / "recipes" / "classes").symlink_to(elsewhere)
    app = create_app(replace(ELSEWHERE, recipes=tmp_path / "recipes", write=True))
    trainer = app.test_client()
    give(trainer, PHRASE)
    data = {**hidden(trainer.get("/class/")), "topic": "siphon", "count": "1"}
    answer = trainer.post("/class/", data=data)
    assert "link to another place" in answer.text
    assert not list(elsewhere.iterdir())
