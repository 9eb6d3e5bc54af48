"""Drill papers on the page: the same paper for a class, marked as the command line marks it."""

from __future__ import annotations

import json
import re
import time
from pathlib import Path
from urllib.parse import parse_qsl, urlencode, urlsplit

import pytest
from flask.testing import FlaskClient
from page.asking import browser, tree
from page.recipe_pages import printed, reads_well

from prepkit.drill.choices import TRAPS
from prepkit.drill.paper import LONGEST_ANSWER, MOST_QUESTIONS, REMINDER, make_paper
from prepkit.drill.templates import PAPERS, TOPICS

PAPER = {"topic": "siphon", "count": "5", "seed": "7"}


def ask(path: str, client: FlaskClient | None = None, **said: str) -> str:
    answer = (client or browser()).get(f"/drills/{path}?{urlencode(said)}")
    assert answer.status_code == 200
    reads_well(answer)
    return str(answer.get_data(as_text=True))


def test_the_form_leads_to_a_paper_whose_address_makes_it() -> None:
    client = browser()
    root = reads_well(client.get("/drills/"))
    topics = {one.attributes["value"] for one in root.all("input", name="topic")}
    assert topics == set(PAPERS)
    assert REMINDER in root.text
    seeds = set()
    for _ in range(8):
        answer = client.get("/drills/?topic=acid&count=4&seed=&level=")
        assert answer.status_code == 303
        led = dict(parse_qsl(urlsplit(answer.headers["Location"]).query))
        assert (led["topic"], led["count"]) == ("acid", "4")
        seeds.add(led["seed"])
        assert client.get(answer.headers["Location"]).status_code == 200
    assert len(seeds) > 1
    fixed = client.get("/drills/?topic=acid&count=4&seed=12&level=2")
    assert fixed.headers["Location"].endswith("topic=acid&count=4&seed=12&level=2")


@pytest.mark.parametrize("topic", TOPICS)
def test_a_paper_holds_each_question_and_not_one_word_of_the_key(topic: str) -> None:
    paper = make_paper(topic, 10, 3)
    text = ask("paper", topic=topic, count="10", seed="3")
    root = tree(browser().get(f"/drills/paper?topic={topic}&count=10&seed=3"))
    articles = list(root.all("article", class_="ask"))
    assert len(articles) == 10
    for question, article in zip(paper.questions, articles, strict=True):
        assert " ".join(question.text.split()) in article.text
        letters = [
            one.attributes["value"] for one in article.all("input", name=f"a{question.number}")
            if one.has("type", "radio")
        ]  # fmt: skip
        assert letters == [choice.letter for choice in question.choices]
        for choice in question.choices:
            assert " ".join(choice.words.split()) in article.text
        typed = list(article.all("input", type="text"))
        assert len(typed) == (question.kind == "number")
    for trap in TRAPS.values():
        assert trap.done not in text
    assert not [one for one in root.all("input") if "checked" in one.attributes]


@pytest.mark.parametrize("more", ["", " --key --long-key"])
def test_json_and_print_are_those_of_the_command_line(
    more: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = "drill --topic siphon --count 5 --seed 7 --format "
    key = "&key=1" if more else ""
    for path, shape in (("paper.json", "json"), ("print", "html")):
        answer = browser().get(f"/drills/{path}?{urlencode(PAPER)}{key}")
        assert answer.get_data(as_text=True) == printed(f"{words}{shape} --sheet{more}", capsys)


@pytest.mark.parametrize("topic", TOPICS)
def test_marks_are_those_of_the_command_line(
    topic: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paper = make_paper(topic, 10, 11)
    answers: dict[str, str] = {}
    for question in paper.questions:
        place = question.number % 4
        wrong = next(one for one in question.choices if not one.right)
        answers[str(question.number)] = ("", question.letter, wrong.letter, "7 furlongs")[place]
    file = tmp_path / "answers.json"
    facts = {"topic": topic, "seed": 11, "count": 10, "level": None}
    file.write_text(json.dumps({**facts, "answers": answers}), "utf-8")
    said = json.loads(printed(f"drill --check {file} --format json", capsys))
    given = {f"a{number}": text for number, text in answers.items() if text}
    answer = browser().get(
        f"/drills/marked?{urlencode({'topic': topic, 'count': '10', 'seed': '11', **given})}"
    )
    root = reads_well(answer)
    again = f", {len(said['ask_again'])} to be asked again" if said["ask_again"] else ""
    assert root.first("p", class_="score").text == f"{said['right']} of 10 right{again}"
    boxes = list(root.all("div", class_="marked"))
    for mark, box, question in zip(said["marks"], boxes, paper.questions, strict=True):
        assert box.has("class_", mark["outcome"])
        if mark["outcome"] == "unreadable":
            assert question.shown not in box.text
            continue
        if mark["outcome"] != "right":
            assert mark["right"] in box.text
            assert mark["caution"] in box.text
        for words in (mark["done"], mark["instead"], mark["note"]):
            assert " ".join(words.split()) in box.text
        article = next(
            one for one in root.all("article") if one.has("aria-labelledby", f"q{question.number}")
        )
        *_, key = article.all("details")
        assert question.template.decides in key.text
        for step in question.answer.working if question.answer else ():
            assert " ".join(step.formula.split()) in key.text
        for source in question.sources:
            assert source in key.text
    assert REMINDER in root.text


def test_what_is_written_counts_before_what_is_chosen() -> None:
    paper = make_paper("room", 5, 2)
    number = next(one for one in paper.questions if one.kind == "number")
    wrong = next(one.letter for one in number.choices if not one.right)
    name = f"a{number.number}"
    pairs = [("topic", "room"), ("count", "5"), ("seed", "2"), (name, wrong)]
    right = [*pairs, (name, f"{float(number.right):.9g} {number.unit}".strip())]
    for said, score in ((pairs, "0 of 5"), ([*pairs, (name, "")], "0 of 5"), (right, "1 of 5")):
        answer = browser().get(f"/drills/marked?{urlencode(said)}")
        assert score in tree(answer).first("p", class_="score").text


def test_answers_can_be_changed_from_the_marked_paper() -> None:
    numbers = (one for one in make_paper("siphon", 5, 7).questions if one.kind == "number")
    typed = f"a{next(numbers).number}"
    chosen = "a1" if typed != "a1" else "a2"
    said = {**PAPER, chosen: "B", typed: "11.6 bar"}
    root = reads_well(browser().get(f"/drills/marked?{urlencode(said)}"))
    link = next(one for one in root.all("a") if one.text == "Change the answers")
    back = reads_well(browser().get(link.attributes["href"]))
    checked = [one for one in back.all("input", type="radio") if "checked" in one.attributes]
    assert [(one.attributes["name"], one.attributes["value"]) for one in checked] == [(chosen, "B")]
    assert back.first("input", id=typed).attributes["value"] == "11.6 bar"


def test_the_key_is_at_its_own_address() -> None:
    paper = make_paper("siphon", 5, 7)
    root = reads_well(browser().get(f"/drills/key?{urlencode(PAPER)}"))
    for question in paper.questions:
        article = next(
            one for one in root.all("article") if one.has("aria-labelledby", f"k{question.number}")
        )
        assert " ".join(f"{question.letter}: {question.shown}".split()) in article.text
        assert question.accepted in article.text
        assert question.taught.id in article.text


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ("topic=tar", "topic"), ("topic=siphon&count=0", "count"),
        ("topic=siphon&count=1e9", "count"), ("topic=siphon&count=101", "count"),
        ("topic=siphon&seed=-1", "seed"),
        ("topic=siphon&seed=9999999999999999999999", "seed"), ("topic=siphon&level=4", "level"),
        ("topic=siphon&count=%3Cscript%3E", "count"), ("topic=siphon&seed=%D9%A3", "seed"),
        ("count=5", "topic"),
    ],
)  # fmt: skip
def test_what_cannot_be_made_is_told_at_its_field(query: str, field: str) -> None:
    answer = browser().get(f"/drills/?{query}")
    assert answer.status_code == 422
    root = reads_well(answer)
    problem = root.first("p", class_="problem")
    assert problem.attributes["id"] == f"{field}-problem"
    assert "must be" in problem.text
    for path in ("paper", "marked", "key", "print"):
        other = browser().get(f"/drills/{path}?{query}")
        assert other.status_code == 422
        assert b"<script>" not in other.data
    as_json = browser().get(f"/drills/paper.json?{query}")
    assert as_json.status_code == 422
    assert set(json.loads(as_json.data)) == {"error"}


def test_more_questions_than_there_are_is_told_by_the_field() -> None:
    answer = browser().get("/drills/paper?topic=keg&count=100&level=3")
    assert answer.status_code == 422
    assert "Questions is too high: keg at level 3 has" in reads_well(answer).text


def test_hostile_and_endless_answers_are_text_or_refused() -> None:
    hostile = '"><script>alert(1)</script>\u202e'
    for path in ("marked", "paper"):
        text = ask(path, **PAPER, a1=hostile, a3=hostile, a99="x")
        assert "<script>alert" not in text
        assert "\u202e" not in text
    answer = browser().get(
        f"/drills/marked?{urlencode({**PAPER, 'a1': 'x' * (LONGEST_ANSWER + 1)})}"
    )
    assert answer.status_code == 422
    assert re.search(r"Answer 1 has \d+ characters", answer.get_data(as_text=True))


def test_the_longest_paper_is_answered_in_bounded_time() -> None:
    said = {"topic": "siphon", "count": str(MOST_QUESTIONS), "seed": "5"}
    given = {f"a{number}": "13.1 bar" for number in range(1, MOST_QUESTIONS + 1)}
    for path, more in (("paper", {}), ("marked", given), ("key", {})):
        began = time.process_time()
        answer = browser().get(f"/drills/{path}?{urlencode({**said, **more})}")
        assert answer.status_code == 200
        assert time.process_time() - began < 10  # about 2 s here, the paper itself
