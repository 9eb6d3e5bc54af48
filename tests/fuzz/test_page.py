"""Whatever a browser sends: a page in order, or one that says what was wrong; never a fault."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlencode

import pytest

pytest.importorskip("flask", reason="the page is an extra that this environment has not")

from flask.testing import FlaskClient
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from page.asking import browser
from page.recipe_pages import client, copied, token_of

from fuzz import judge
from fuzz.tables import IDS, NAMES, text_of
from fuzz.words import HOSTILE, MARKUP, case
from prepkit.index import CALCULATORS

SLOW = list(HealthCheck)  # a page is long beside what it takes to draw its address
NOT_OURS = (200, 302, 303, 304, 308, 400, 403, 404, 405, 409, 410, 413, 414, 422, 429)
OTHER = {
    "serves": ("1", "40", "0", "-1", "1e9", "nan", "10001"),
    "service": ("18:00", "25:00", "0001-01-01 00:10", "now"),
    "variant": ("alcohol-free", "absent"),
    "units": ("us", "metric", "furlongs"),
    "item": ("flower-cordial", "ruby-cordial", "absent"),
    "on": ("2026-11-26", "0001-01-01", "9999-12-31", "tomorrow"),
    "paper": ("a4", "roll", "a0"),
    "copies": ("1", "0", "1000000"),
    "per_sheet": ("8", "0", "99"),
    "seed": ("1", "-1", "9" * 400),
    "topic": ("syrup", "gases", "absent"),
    "count": ("5", "0", "100000"),
    "working": ("yes", "maybe"),
    "again": ("x",),
    "have": ("3 kg grapefruit juice", "0 g water"),
    "compare": ("1,40", ",", "a"),
}
PATHS = (
    "/", "/cautions", "/cautions/pressure", "/cautions/{}", "/drills/", "/drills/key",
    "/drills/marked", "/drills/paper", "/drills/paper.json", "/drills/print", "/words", "/recipes/",
    "/recipes/{}/", "/recipes/{}/batch", "/recipes/{}/batch.json", "/recipes/{}/card",
    "/recipes/{}/labels", "/recipes/{}/plan.json", "/recipes/{}/plan.csv", "/recipes/{}/plan.{}",
    "/recipes/{}/text", "/recipes/new", "/recipes/into", "/recipes/{}/form", "/recipes/{}/name",
    "/recipes/{}/versions", "/in", "/in/{}", "/join/", "/join/{}", "/join/again/{}", "/join/paper",
    "/class/", "/class/{}/", "/class/{}/screen", "/class/{}/results.csv",
    "/static/{}", "/make/{}", "/make/{}.json", "/make/{}/card", "/{}", "/pass",
    "/stock", "/stock/{}",
)  # fmt: skip


def answered(got: Any) -> None:
    """An answer that is no fault of the page, in order and finite."""
    assert got.status_code in NOT_OURS, got.status
    if 300 <= got.status_code < 400:  # whose few words are the framework's
        assert "<zq" not in got.get_data(as_text=True)
        assert not got.headers["Location"].startswith("//")
    elif got.mimetype == "text/html":
        judge.page(got.get_data(as_text=True))
    elif got.mimetype == "application/json":
        judge.finite(json.loads(got.get_data(as_text=True)))
    elif got.mimetype in ("text/csv", "text/plain"):
        judge.seen(got.get_data(as_text=True).replace("\r\n", "\n"))


def encoded(pairs: list[tuple[str, Any]]) -> str:
    """Pairs as the query of an address."""
    return urlencode([(key, str(value)) for key, value in pairs], errors="surrogatepass")


@settings(max_examples=40, suppress_health_check=SLOW)
@given(st.sampled_from(list(CALCULATORS)), st.data())
def test_any_words_in_a_form(name: str, data: st.DataObject) -> None:
    pairs: list[tuple[str, Any]] = []
    for key, value in data.draw(case(name, hostile=2)).items():
        many = value if isinstance(value, list | tuple) else [value]
        pairs += [(key, "yes" if one is True else one) for one in many if one is not False]
    for key in data.draw(st.lists(st.sampled_from(list(OTHER)), max_size=2)):
        pairs.append((key, data.draw(st.sampled_from(OTHER[key]))))
    of = data.draw(st.sampled_from(("", "", ".json", "/card", "/label")))
    with judge.in_time():
        got = browser().get(f"/make/{name}{of}?{encoded(pairs)}")
    answered(got)
    if of == ".json" and got.status_code == 200:
        assert json.loads(got.get_data(as_text=True))["verdict"] in ("clear", "care", "stop")


def addresses(data: st.DataObject) -> str:
    """An address of the page, with names and words that fit or do not."""
    path = data.draw(st.sampled_from(PATHS))
    names = st.sampled_from((*NAMES, *NAMES, *CALCULATORS, *IDS, *HOSTILE, "..", "../x", ".git"))
    while "{}" in path:
        path = path.replace("{}", quote(data.draw(names), errors="surrogatepass", safe=""), 1)
    pairs = []
    for key in data.draw(st.lists(st.sampled_from(list(OTHER)), max_size=4)):
        said = st.sampled_from(OTHER[key])
        pairs.append((key, data.draw(st.one_of(said, said, st.sampled_from(HOSTILE)))))
    return f"{path}?{encoded(pairs)}"


@pytest.fixture(scope="module")
def writing() -> Iterator[FlaskClient]:
    """A browser of a page that may write into a folder of its own."""
    with tempfile.TemporaryDirectory() as name:
        yield client(copied(Path(name)), write=True)


@settings(max_examples=20, suppress_health_check=SLOW)
@given(st.data())
def test_any_address(writing: FlaskClient, data: st.DataObject) -> None:
    address = addresses(data)
    with judge.in_time():
        got = writing.get(address)
    answered(got)


FIELDS = ("item", "tick", "untick", "seen", "text", "version", "serves", "token", "to", "words",
          "read.flower-cordial.mass", "read.flower-cordial.refractometer", "x")  # fmt: skip


@settings(max_examples=10, suppress_health_check=SLOW)
@given(
    st.sampled_from(NAMES),
    st.sampled_from(("batch", "text", "card", "")),
    st.dictionaries(
        st.sampled_from(FIELDS),
        st.sampled_from((*HOSTILE, *NAMES, "flower-cordial", "640 g", "48 Bx", MARKUP)),
        max_size=5,
    ),
    st.booleans(),
)
def test_anything_sent(
    writing: FlaskClient, name: str, what: str, fields: dict[str, str], with_token: bool
) -> None:
    path = f"/recipes/{name}/{what}"
    if with_token:
        fields = {**fields, "token": token_of(writing, f"/recipes/{name}/batch")}
    body = encoded(list(fields.items()))
    with judge.in_time():
        got = writing.post(path, data=body, content_type="application/x-www-form-urlencoded")
    answered(got)
    if not with_token:
        assert got.status_code in (400, 403, 404, 405, 413)


def test_a_text_that_is_no_recipe_is_not_put_in_place_of_one(writing: FlaskClient) -> None:
    before = writing.get("/recipes/free-otter/plan.json").get_json()
    for text in ("", "\x00", "[" * 5000, text_of("free-otter") + "absent = 1", "a" * 200_000):
        fields = {"token": token_of(writing, "/recipes/free-otter/text"), "text": text}
        answered(writing.post("/recipes/free-otter/text", data=fields))
    after = writing.get("/recipes/free-otter/plan.json").get_json()
    assert after["title"] == before["title"]


@pytest.mark.parametrize(
    "path",
    ["/make/{}.json", "/recipes/{}/batch.json", "/recipes/{}/plan.json", "/{}.json",
     "/recipes/free-otter/plan.json?variant={}", "/drills/paper.json?topic={}"],
)  # fmt: skip
def test_what_was_wrong_is_never_json_that_a_browser_takes_for_a_page(path: str) -> None:
    got = client().get(path.format(quote(MARKUP)))
    assert 400 <= got.status_code < 500
    assert got.mimetype == "application/json"
    assert json.loads(got.get_data(as_text=True))["error"]
