"""What a browser may keep: sheets, cards and cautions of the person who is in, and nothing else."""

from __future__ import annotations

import pytest
from flask import Flask
from page.recipe_pages import DEMO
from page.test_guard_entry import ELSEWHERE, give

from prepkit.page import create_app
from prepkit.page.guard import Settings

PHRASE = ELSEWHERE.pass_phrase or ""
BLEND = "part=1+kg+water"


@pytest.fixture(scope="module")
def app() -> Flask:
    return create_app(Settings(DEMO, host="192.0.2.10", pass_phrase=PHRASE))


@pytest.mark.parametrize(
    ("path", "kept"),
    [
        ("/recipes/free-otter/", True), ("/recipes/free-otter/card", True),
        (f"/make/blend/card?{BLEND}", True), ("/cautions", True), ("/cautions/acid", True),
        ("/recipes/free-otter/batch?on=2026-11-29", True), ("/cautions/none", False),
        (f"/make/blend?{BLEND}", False), (f"/make/blend.json?{BLEND}", False),
        ("/drills/key?topic=acid&seed=1", False), ("/drills/paper?topic=acid&seed=1", False),
        ("/class/", False), ("/in", False), ("/pass", False), ("/join/", False), ("/", False),
        ("/recipes/free-otter/text", False), ("/recipes/new", False), ("/drills/", False),
    ],
)  # fmt: skip
def test_sheets_cards_and_cautions_may_be_kept_and_no_key(
    app: Flask, path: str, kept: bool
) -> None:
    browser = app.test_client()
    give(browser, PHRASE)
    answer = browser.get(path)
    assert answer.status_code in (200, 404)
    assert ("Prepkit-Keep" in answer.headers) == kept
    assert answer.headers["Cache-Control"] == "no-store"
    assert answer.headers["Prepkit-Who"] not in ("", "nobody")


def test_what_one_kept_is_not_the_next_ones(app: Flask) -> None:
    one, two, stranger = (app.test_client() for _ in range(3))
    give(one, PHRASE)
    give(two, PHRASE)
    who = [client.get("/cautions").headers["Prepkit-Who"] for client in (one, two, stranger, one)]
    assert who[0] == who[3]
    assert len({*who}) == 3
    assert who[2] == "nobody"
    other_run = create_app(Settings(DEMO)).test_client().get("/cautions").headers["Prepkit-Who"]
    assert other_run not in who
    with one.session_transaction() as session:
        session["seat"] = "a seat in a class"
    answer = one.get("/cautions")
    assert answer.status_code == 403
    assert answer.headers["Prepkit-Who"] == "nobody"


def test_the_worker_is_a_file_of_ours_that_asks_the_network_first(app: Flask) -> None:
    with app.test_client().get("/keep.js") as answer:
        assert answer.status_code == 200
        assert "javascript" in answer.headers["Content-Type"]
        assert answer.headers["Cache-Control"] == "no-cache"
        assert "connect-src 'self'" in answer.headers["Content-Security-Policy"]
        text = answer.text
    assert text.index("fetch(e.request)") < text.index("match(url)")
