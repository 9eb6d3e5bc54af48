"""A lesson on the page: the same document as on the command line, and a refusal in words."""

from __future__ import annotations

from urllib.parse import parse_qsl, urlsplit

from page.asking import browser
from page.recipe_pages import reads_well

from prepkit.lesson.lesson import one_file
from prepkit.lesson.model import Facts

ASKED = "/lessons/lesson?audience=kitchen&minutes=30&seed=7"


def test_the_form_leads_to_the_lesson_that_the_command_line_prints() -> None:
    client = browser()
    reads_well(client.get("/lessons/"))
    answer = client.get("/lessons/?audience=kitchen&minutes=30&seed=7&language=en")
    assert answer.status_code == 303
    led = client.get(answer.headers["Location"])
    assert led.get_data(as_text=True) == one_file(Facts("kitchen", 30, 7))


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
