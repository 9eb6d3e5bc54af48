"""How a browser gets in: pass words, links that open once, and tries that are counted."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page import asking

from prepkit.page import app, create_app, guard
from prepkit.page.guard import Settings
from prepkit.render import signs

PHRASE = "acorn bell cedar drum eagle fern"
ELSEWHERE = Settings(host="192.0.2.10", pass_phrase=PHRASE, link="the-first-link")


def test_without_the_words_nothing_is_shown() -> None:
    browser = asking.browser(ELSEWHERE)
    for path in ("/", "/make/blend?part=1+kg+water", "/make/blend.json?part=1+kg+water", "/words",
                 "/in", "/recipes/", "/drills/key?topic=acid&seed=1"):  # fmt: skip
        answer = browser.get(path)
        assert answer.status_code == 302
        assert answer.headers["Location"].startswith("/pass?to=")
    with browser.get("/static/style.css") as answer:
        assert answer.status_code == 200
    assert browser.post("/make/blend").status_code == 403


def hidden(page: Any) -> dict[str, str]:
    """The hidden fields of the form of a page."""
    return {
        one.attributes["name"]: one.attributes["value"]
        for one in asking.tree(page).all("input", type="hidden")
    }


def give(browser: Any, words: str, to: str = "/", **more: Any) -> Any:
    """Send the form of the pass words."""
    page = browser.get("/pass", query_string={"to": to}, **more)
    return browser.post("/pass", data={**hidden(page), "words": words}, **more)


def test_the_right_words_open_the_page_to_this_browser_alone() -> None:
    app = create_app(ELSEWHERE)
    browser = app.test_client()
    assert give(browser, "acorn bell").status_code == 403
    answer = give(browser, f"  {PHRASE.upper()} ", "/make/blend?part=1+kg+water")
    assert answer.status_code == 303
    assert answer.headers["Location"] == "/make/blend?part=1+kg+water"
    assert browser.get("/").status_code == 200
    assert app.test_client().get("/").status_code == 302


def test_the_words_are_seen_while_they_are_typed() -> None:
    field = asking.by_id(asking.tree(asking.browser(ELSEWHERE).get("/pass")), "words")
    assert field.attributes["type"] == "text"


def test_a_cookie_of_our_own_making_opens_nothing() -> None:
    browser = asking.browser(ELSEWHERE)
    browser.set_cookie("prepkit-8642", "eyJpbiI6dHJ1ZX0.aaaaaa.bbbbbbbbbbbbbbbbbbbbbbbbbbb")
    assert browser.get("/").status_code == 302


@pytest.mark.parametrize("to", ["//evil.example", "https://evil.example", "/\\evil", "x", ""])
def test_after_the_words_nobody_is_sent_elsewhere(to: str) -> None:
    assert give(asking.browser(ELSEWHERE), PHRASE, to).headers["Location"] == "/"


def test_on_this_machine_no_words_are_asked_for() -> None:
    browser = asking.browser()
    for path in ("/pass", "/in/the-first-link"):
        assert browser.get(path).status_code == 404
    assert b"--host" in browser.get("/in").data
    assert b"<svg" not in browser.get("/in").data


# tries


def test_five_wrong_tries_close_an_address_for_a_while() -> None:
    app = create_app(ELSEWHERE)
    now = [0.0]
    app.extensions["prepkit-tries"].clock = lambda: now[0]
    browser = app.test_client()
    for _ in range(guard.TRIES_EACH):
        assert give(browser, "wrong").status_code == 403
        now[0] += 10
    answer = give(browser, PHRASE)
    assert answer.status_code == 429
    assert answer.headers["Retry-After"] == "550"
    assert "10 minutes" in asking.tree(answer).text
    assert browser.get("/").status_code == 302
    now[0] += 550  # the window slides: the first of the five is forgotten
    assert give(browser, PHRASE).status_code == 303


def test_the_right_words_get_in_after_a_hundred_wrong_ones_from_everywhere() -> None:
    app = create_app(ELSEWHERE)
    tries = app.extensions["prepkit-tries"]
    for number in range(3 * guard.TRIES_ALL):
        address = f"198.51.{number // 200}.{number % 200}"
        if not tries.wait_s(address):
            tries.wrong(address)
    honest = {"REMOTE_ADDR": "192.0.2.77"}
    assert give(app.test_client(), PHRASE, environ_overrides=honest).status_code == 303
    assert give(app.test_client(), "wrong", environ_overrides=honest).status_code == 403
    assert give(app.test_client(), PHRASE, environ_overrides=honest).status_code == 429


@given(
    st.lists(
        st.tuples(
            st.integers(0, 400), st.sampled_from(["192.0.2.1", "192.0.2.2", "2001:db8::1", "x"])
        ),
        max_size=60,
    )
)
@settings(max_examples=40, deadline=None)
def test_whoever_waits_is_heard_and_nobody_is_locked_out_for_good(
    others: list[tuple[float, str]],
) -> None:
    now = [0.0]
    tries = guard.Tries(2, 5, lambda: now[0])
    for pause, address in others:
        now[0] += pause
        if tries.wait_s(address) == 0:
            tries.wrong(address)
        assert tries.wait_s("192.0.2.9") == 0  # never failed, so always heard
        for one in ("192.0.2.1", "x"):
            assert tries.wait_s(one) <= guard.TRIES_S
    now[0] += guard.TRIES_S
    for one in ("192.0.2.1", "192.0.2.2", "2001:db8::1", "x"):
        assert tries.wait_s(one) == 0


def test_a_network_of_long_addresses_counts_as_one() -> None:
    tries = guard.Tries()
    for number in range(guard.TRIES_EACH):
        tries.wrong(f"2001:db8::{number + 1}")
    assert tries.wait_s("2001:db8::ffff") > 0
    assert tries.wait_s("2001:db8:0:1::1") == 0


# links


def test_a_link_lets_one_browser_in_once_and_looking_does_not_use_it_up() -> None:
    app = create_app(ELSEWHERE)
    first, second = app.test_client(), app.test_client()
    pages = [client.get("/in/the-first-link") for client in (first, second, first)]
    assert [page.status_code for page in pages] == [200, 200, 200]
    assert first.get("/").status_code == 302
    assert first.post("/in/the-first-link", data=hidden(pages[2])).status_code == 303
    assert first.get("/").status_code == 200
    answer = second.post("/in/the-first-link", data=hidden(pages[1]))
    assert answer.status_code == 410
    assert second.get("/").status_code == 302
    assert second.get("/in/the-first-link").status_code == 410
    assert second.get("/in/another").status_code == 410


def test_a_link_needs_the_token_of_the_browser() -> None:
    browser = create_app(ELSEWHERE).test_client()
    assert browser.post("/in/the-first-link").status_code == 403
    assert browser.get("/in/the-first-link").status_code == 200


def test_a_browser_that_is_in_shows_a_code_for_the_next() -> None:
    app = create_app(ELSEWHERE)
    browser, phone = app.test_client(), app.test_client()
    here = {"base_url": "http://127.0.0.1:8642"}
    give(browser, PHRASE, **here)
    page = asking.tree(browser.get("/in", **here))
    assert PHRASE in page.text
    (address,) = [
        one.attributes["href"] for one in page.all("a") if "/in/" in one.attributes.get("href", "")
    ]
    assert address.startswith("http://192.0.2.10:8642/in/")  # as a phone reaches it
    assert page.first("svg").first("path").attributes["d"] == signs.path(signs.rows(address))
    path = address.partition(":8642")[2]
    assert phone.post(path, data=hidden(phone.get(path))).status_code == 303
    assert phone.get("/").status_code == 200


def test_links_of_the_page_end_and_the_first_waits() -> None:
    now = [0.0]
    links = guard.Links("first", lambda: now[0])
    words = [links.new() for _ in range(guard.MOST_LINKS + 3)]
    assert [links.waits(one) for one in words] == [False] * 3 + [True] * guard.MOST_LINKS
    now[0] += guard.LINK_S
    assert not any(map(links.waits, words))
    assert not links.take(words[-1])
    assert links.take("first")
    assert not links.take("first")


def test_the_code_in_the_terminal_is_the_code_of_the_address() -> None:
    address = "http://192.0.2.10:8642/in/abcdefghijklmnopqrstuv"
    rows = signs.rows(address)
    halves = {" ": "00", "▄": "01", "▀": "10", "█": "11"}
    read: list[str] = []
    for line in guard.blocks(address).splitlines():
        drawn = line.removeprefix("\x1b[30;107m").removesuffix("\x1b[0m")
        read += ["".join(halves[one][half] for one in drawn) for half in (0, 1)]
    assert read[: len(rows)] == list(rows)
    assert set("".join(read[len(rows) :])) <= {"0"}


def test_the_address_of_this_machine_is_one_that_a_phone_reaches() -> None:
    assert guard.own_address(Settings(host="192.0.2.10")) == "192.0.2.10"
    assert guard.own_address(Settings(host="0.0.0.0")) not in ("0.0.0.0", "")
    assert guard.reached(Settings(host="2001:db8::7")) == "http://[2001:db8::7]:8642"


def test_the_pass_words_are_many_and_plain() -> None:
    words = app.WORDS.read_text(encoding="utf-8").split()
    assert len(words) == len(set(words)) == 256
    assert all(re.fullmatch(r"[a-z]{2,9}", word) for word in words)
    phrases = {app.pass_phrase() for _ in range(20)}
    assert len(phrases) == 20
    assert all(len(phrase.split()) == app.PHRASE for phrase in phrases)
