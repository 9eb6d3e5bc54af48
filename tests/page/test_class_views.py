"""What a phone in a class can reach: its own paper and nothing else."""

from __future__ import annotations

from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from flask import Flask
from flask.testing import FlaskClient
from page.asking import browser
from page.recipe_pages import copied, reads_well
from page.test_drills_classes import join, opened, seats, send
from page.test_guard_entry import ELSEWHERE, give, hidden

from prepkit.lesson import LessonFacts
from prepkit.lesson.lesson import one_file
from prepkit.page import create_app, guard
from prepkit.page.guard import Settings

PHRASE = ELSEWHERE.pass_phrase or ""


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Flask:
    folder = copied(tmp_path_factory.mktemp("class"))
    return create_app(Settings(folder, None, True, "192.0.2.10", pass_phrase=PHRASE))


@pytest.fixture(scope="module")
def code(app: Flask) -> str:
    trainer = app.test_client()
    give(trainer, PHRASE)
    return opened(trainer)


@pytest.fixture
def phone(app: Flask, code: str) -> FlaskClient:
    found = app.test_client()
    name = f"Cook {len(seats(app, code)) + 1}"
    assert join(found, code, name).status_code == 303
    return found


def paths(app: Flask, code: str) -> list[str]:
    """Every address of the page that a class does not open, filled in with what is there."""
    paper = seats(app, code)[0].paper
    words = {"name": "free-otter", "code": code, "number": "1", "word": "x", "item": "x"}
    found = []
    for rule in app.url_map.iter_rules():
        if rule.endpoint in guard.FILES or rule.endpoint in guard.OPEN:
            continue
        if rule.endpoint.startswith(f"{guard.OPEN_TO_CLASSES}."):
            continue
        with app.test_request_context():
            values = {key: words.get(key, "x") for key in rule.arguments}
            if "form" in rule.arguments:
                values["form"] = "json"
            try:
                path = rule.build(values)
            except ValueError:
                path = None
        found.append(path[1] if path else rule.rule.replace("<", "").replace(">", ""))
    query = urlencode({"topic": paper.topic, "count": paper.count, "seed": paper.seed})
    return [*found, f"/drills/key?{query}", f"/drills/paper.json?{query}&key=1",
            f"/drills/marked?{query}", "/", "/nowhere", "/recipes/free-otter/text"]  # fmt: skip


def test_a_phone_in_a_class_reaches_its_paper_and_nothing_else(
    app: Flask, code: str, phone: FlaskClient
) -> None:
    every = paths(app, code)
    assert len(every) > 30
    key = seats(app, code)[0].paper.questions[0].sources[0]
    for path in every:
        for method in ("get", "post", "put", "head", "options"):
            answer = getattr(phone, method)(path)
            assert answer.status_code in (403, 405), (method, path)
            assert key not in answer.get_data(as_text=True)
    page = phone.get("/join/paper")
    assert page.status_code == 200
    assert [one.attributes["href"] for one in reads_well(page).all("a")] == ["#main"]


def test_a_phone_sees_no_other_paper_and_no_mark(app: Flask, code: str, phone: FlaskClient) -> None:
    own = seats(app, code)[-1]
    text = phone.get("/join/paper").get_data(as_text=True)
    assert own.name in text
    assert not [one.name for one in seats(app, code)[:-1] if f"{one.name}:" in text]
    send(phone, {1: "A"}, sure="1")
    after = phone.get("/join/paper").get_data(as_text=True)
    assert own.marked is not None
    for word in (f"{own.marked.right} of", own.paper.questions[0].accepted, "Who decides"):
        assert word not in after


def test_a_browser_that_was_in_gives_that_up_when_it_joins(app: Flask, code: str) -> None:
    browser = app.test_client()
    give(browser, PHRASE)
    assert "sees its paper only" in reads_well(browser.get(f"/join/{code}")).text
    join(browser, code, "Trainer in disguise")
    assert browser.get("/").status_code == 403
    assert browser.get(f"/class/{code}/").status_code == 403
    give(browser, PHRASE)  # the words let it in again, without its seat
    assert browser.get("/").status_code == 200
    assert browser.get("/join/paper").status_code == 403


def test_who_only_knows_the_code_reaches_no_table(app: Flask, code: str) -> None:
    stranger = app.test_client()
    for path in (f"/class/{code}/", f"/class/{code}/1", f"/class/{code}/results.csv"):
        assert stranger.get(path).headers["Location"].startswith("/pass")


def test_wrong_codes_are_told_and_limited(app: Flask, code: str) -> None:
    guesser = app.test_client()
    from_there = {"environ_overrides": {"REMOTE_ADDR": "192.0.2.99"}}
    statuses = [
        guesser.get(f"/join/?code=bbbb{number:02}", **from_there).status_code
        for number in range(21)
    ]
    assert statuses == [404] * 20 + [429]
    assert guesser.get(f"/join/{code}", **from_there).status_code == 429
    assert guesser.get(f"/join/{code}").status_code == 200  # from elsewhere


@pytest.mark.parametrize("start", ["/join/", "/join/again/"])
def test_codes_are_guessed_no_quicker_by_a_form(app: Flask, code: str, start: str) -> None:
    guesser = app.test_client()
    where = {"environ_overrides": {"REMOTE_ADDR": f"192.0.2.{100 + len(start)}"}}
    data = {**hidden(guesser.get(f"/join/{code}", **where)), "name": "Guess"}
    before = len(seats(app, code))
    statuses = [
        guesser.post(f"{start}bbbb{number:02}", data=data, **where).status_code
        for number in range(21)
    ]
    assert statuses[20] == 429
    assert 429 not in statuses[:20]
    assert guesser.post(f"/join/{code}", data=data, **where).status_code == 429
    assert len(seats(app, code)) == before


def test_a_form_without_the_token_takes_no_seat_and_sends_nothing(
    app: Flask, code: str, phone: FlaskClient
) -> None:
    before = len(seats(app, code))
    for path in (f"/join/{code}", "/join/paper", "/join/leave", "/join/again/bcdfgh"):
        assert phone.post(path, data={"name": "x", "a1": "A", "sure": "1"}).status_code == 403
    assert len(seats(app, code)) == before
    assert seats(app, code)[-1].sent is None


def test_too_much_is_refused_and_a_long_answer_is_told(phone: FlaskClient) -> None:
    assert send(phone, {1: "x" * (guard.MOST_LETTERS + 1)}).status_code == 413
    answer = send(phone, {1: "x" * 300, 2: "B"})
    assert answer.status_code == 422
    assert "300 characters" in reads_well(answer).text


def test_a_phone_can_leave_and_another_person_can_join(
    app: Flask, code: str, phone: FlaskClient
) -> None:
    send(phone, {1: "A"}, sure="1")
    phone.post("/join/leave", data=hidden(phone.get("/join/paper")))
    assert phone.get("/join/paper").status_code == 403
    assert join(phone, code, "Next one").status_code == 303


def test_a_class_speaks_its_language_and_a_phone_may_choose_its_own(app: Flask) -> None:
    trainer = app.test_client()
    give(trainer, PHRASE)
    code = opened(trainer, language="de", topic="room")
    screen = reads_well(trainer.get(f"/class/{code}/screen"))
    assert '<html lang="de"' in trainer.get(f"/class/{code}/screen").text
    assert "Der Klasse beitreten" in screen.text
    assert "3 Fragen" in screen.text
    german, english = app.test_client(), app.test_client()
    assert "Sprache des Bogens" in german.get(f"/join/{code}").text
    assert join(german, code, "Anna").status_code == 303
    data = {**hidden(english.get(f"/join/{code}")), "name": "Bea", "language": "en"}
    assert english.post(f"/join/{code}", data=data).status_code == 303
    first, second = (seat.paper for seat in seats(app, code))
    assert (first.language, second.language) == ("de", "en")
    told = german.get("/join/paper").text
    assert '<html lang="de"' in told
    assert "An die Kursleitung senden" in told
    assert "Send it to the trainer" in english.get("/join/paper").text
    answers = {number: question.letter for number, question in enumerate(first.questions, 1)}
    assert send(german, answers).status_code == 303
    assert "Gesendet um" in german.get("/join/paper").text
    seat = seats(app, code)[0]
    assert seat.marked is not None
    assert seat.marked.right == len(answers)
    marked = trainer.get(f"/class/{code}/{seat.number}").text
    assert "3 von 3 richtig" in marked
    assert '<html lang="en"' in trainer.get(f"/class/{code}/").text
    assert (
        trainer.post("/class/", data={**data, "topic": "room", "language": "xx"}).status_code != 303
    )


def test_a_drill_screen_is_marked_in_its_language(app: Flask) -> None:
    trainer = app.test_client()
    give(trainer, PHRASE)
    asked = "topic=room&count=2&seed=4&language=de"
    assert "Bogen Nummer 4, 2 Fragen" in trainer.get(f"/drills/paper?{asked}").text
    assert "von 2 richtig" in trainer.get(f"/drills/marked?{asked}&a1=A&a2=STOPP").text
    assert "auf Englisch" in trainer.get(f"/drills/key?{asked}").text
    assert trainer.get("/drills/paper?topic=room&language=xx").status_code == 422


ASKED = "/lessons/lesson?audience=kitchen&minutes=30&seed=7"


def test_the_form_leads_to_the_lesson_that_the_command_line_prints() -> None:
    client = browser()
    reads_well(client.get("/lessons/"))
    answer = client.get("/lessons/?audience=kitchen&minutes=30&seed=7&language=en")
    assert answer.status_code == 303
    led = client.get(answer.headers["Location"])
    assert led.get_data(as_text=True) == one_file(LessonFacts("kitchen", 30, 7))


def test_without_a_number_a_new_lesson_is_drawn() -> None:
    client = browser()
    seeds = set()
    for _ in range(4):
        answer = client.get("/lessons/?audience=bar&minutes=60&seed=")
        seeds.add(dict(parse_qsl(urlsplit(answer.headers["Location"]).query))["seed"])
    assert len(seeds) > 1


def test_what_cannot_be_made_is_told_at_its_field() -> None:
    client = browser()
    for query, said in (
        ("audience=guests&minutes=30", "guests"),
        ("audience=bar&minutes=45", "45"),
        ("audience=bar&minutes=30&seed=-1", "-1"),
        ("audience=bar&minutes=30&language=xx", "xx"),
    ):
        answer = client.get(f"/lessons/?{query}")
        assert answer.status_code == 422
        assert said in reads_well(answer).text
        assert client.get(f"/lessons/lesson?{query}").status_code in (400, 422)
