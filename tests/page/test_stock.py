"""The bench on a screen: run charts with figures on touch and as a table, losses, instruments."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from learn_bar import RECIPE, plan, readings
from page.asking import browser

from prepkit import learn
from prepkit.learn import using
from prepkit.page.guard import Settings
from prepkit.stock import open_ledger

READ = '[peel-oleo]\nmass = "{g} g"\nrefractometer = "{bx} Bx"\n'


@pytest.fixture
def house(tmp_path: Path) -> Path:
    (tmp_path / "house.toml").write_text('[stock]\nledger = "house.db"\n')
    (tmp_path / "bar.toml").write_text(f'house = "house.toml"\n{RECIPE}')
    return tmp_path


def _filled(house: Path) -> Settings:
    made = plan(house)
    with open_ledger(str(house / "house.db"), create=True) as ledger:
        for number, brix in enumerate((62.0, 62.2, 61.9, 62.1, 66.0)):
            words = READ.format(g=350 + number, bx=brix)
            learn.record(ledger, made, readings(words), batch=f"2026-03-0{1 + number}", who="AB")
        for _ in range(5):
            using.record(ledger, "refractometer", 20.0, 20.4)
    return Settings(recipes=house, house=house)


def test_what_was_learnt_stands_on_the_page(house: Path) -> None:
    page = browser(_filled(house)).get("/bench").text
    assert "liquid kept by lemon peel: " in page
    assert "published 20 to 60 %" in page
    assert "Refractometer: take 0.40 Bx off each reading" in page
    assert "refractometer reading: 1 of 5 batches out" in page
    assert 'href="/bench/peel-oleo"' in page
    assert "check of the refractometer" not in page  # it is no item to chart


def test_a_chart_has_its_figures_on_touch_and_as_a_table(house: Path) -> None:
    page = browser(_filled(house)).get("/bench/peel-oleo").text
    assert "Batch 2026-03-05 was out: 66.0 Bx, above" in page
    assert page.count('class="point" tabindex="0"') == 10  # five batches of two readings
    assert "2026-03-05: 66.0 Bx, beyond the limits" in page
    assert '<th role="rowheader" scope="row">2026-03-05</th>' in page
    assert "Yield, of what was planned by batch" in page
    assert "style=" not in page  # the page takes no style beside its sheet


def test_the_plan_on_the_page_follows_the_ledger(house: Path) -> None:
    settings = Settings(recipes=house, house=house)
    client = browser(settings)
    assert "liquid kept by" not in client.get("/recipes/bar/?serves=20").text
    _filled(house)
    assert "liquid kept by lemon peel" in client.get("/recipes/bar/?serves=20").text


def test_the_batch_sheet_goes_into_the_ledger_by_one_button(house: Path) -> None:
    client = browser(Settings(recipes=house, house=house, write=True))
    today = date.today().isoformat()
    address = f"/recipes/bar/batch?serves=20&on={today}"
    sheet = client.get(address).text
    token = re.search(r'name="token" value="([^"]+)"', sheet)
    assert token
    assert "Record it in the ledger" not in sheet  # nothing was read yet
    asked = f"/bench/record/bar?on={today}"
    assert client.post(asked, data={"token": token[1]}).status_code == 409
    reading = {"item": "peel-oleo", "save": "1", "seen": "", "token": token[1]}
    for what, value in (("mass", "355 g"), ("refractometer", "62 Bx")):
        own = {"what.peel-oleo": what, "value.peel-oleo": value}
        assert client.post(address, data=reading | own).status_code == 303
    assert "Record it in the ledger" in client.get(address).text
    for _ in range(2):  # once or twice is the same
        answer = client.post(asked, data={"token": token[1]})
        assert (answer.status_code, answer.headers["Location"]) == (303, "/bench")
    with open_ledger(str(house / "house.db")) as ledger:
        kinds = [one.kind for one in ledger.events()]
        (one,) = learn.read_batches(ledger)
    assert kinds == ["made", "measured"]
    assert (one.batch, one.figure("brix"), one.figure("yield_g")) == (today, 62.0, 355.0)
    assert "liquid kept by lemon peel" in client.get("/bench").text
    read_only = browser(Settings(recipes=house, house=house))
    assert read_only.post(asked, data={"token": token[1]}).status_code in (400, 403)


def test_without_a_ledger_it_says_what_to_write(tmp_path: Path, house: Path) -> None:
    assert "/bench" not in browser().get("/").text
    missing = browser().get("/bench")
    assert missing.status_code == 404
    assert "[stock] and ledger" in missing.text
    empty = browser(Settings(house=house)).get("/bench")
    assert empty.status_code == 404
    assert "Nothing was recorded yet" in empty.text
    known = browser(_filled(house))
    assert known.get("/bench/none%3Cb%3E").status_code == 404
    assert 'href="/bench"' in known.get("/").text


def test_a_damaged_ledger_is_one_sentence(house: Path) -> None:
    (house / "house.db").write_text("no ledger")
    answer = browser(Settings(house=house)).get("/bench")
    assert answer.status_code >= 400
    assert "is no ledger of prepkit" in answer.text
