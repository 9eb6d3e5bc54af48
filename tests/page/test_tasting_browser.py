"""Eight phones in a tasting, and a composed drink saved into a recipe, in a real browser."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from page import browsing
from page.browsing import DESK, PHONE, opened
from page.recipe_pages import DEMO
from page.test_forms import FIELDS
from page.test_surface_browser import Taps
from page.test_tastings import RANKING

from prepkit.tasting import load

WHY = browsing.missing()
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
SMALL = """[...document.querySelectorAll('button, select, input:not([type=hidden]), label.line')]
  .filter((one) => !one.closest('label.line') || one.matches('label.line'))
  .map((one) => one.getBoundingClientRect().height).filter((high) => high && high < 43.5).length"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    inside = tmp_path_factory.mktemp("bench") / "recipes"
    shutil.copytree(DEMO, inside)
    return inside


@pytest.fixture(scope="module")
def served(folder: Path) -> Iterator[tuple[str, str]]:
    """A page that phones reach: its address here, and the pass words."""
    options = ("--host", "0.0.0.0", "--recipes", str(folder), "--write")
    with browsing.started(5, *options) as (at, lines):
        yield at, lines[2].rpartition(": ")[2].strip()


def test_eight_phones_in_a_tasting(served: tuple[str, str], folder: Path, browser: Any) -> None:
    at, words = served
    with opened(browser, viewport=DESK) as desk:
        plan = urlencode({**RANKING, "tasters": "8", ".go": "1"}, doseq=True)
        desk.goto(f"{at}/tasting/?{plan}")
        desk.get_by_label("The words").fill(words)
        desk.get_by_role("button", name="Open").click()
        desk.get_by_role("button", name="Open this tasting").click()
        code = desk.url.split("/")[-2]
        path = folder / "tastings" / f"{code}.toml"
        most = 0
        for number in range(8):
            with opened(browser, viewport=PHONE) as page:
                phone = Taps(page)
                page.goto(f"{at}/join/{code}")
                assert "Allergens: milk, egg." in page.locator("main").inner_text()
                page.get_by_label("Your name").fill(f"Cook {number}")
                phone.tap(page.get_by_role("button", name="join"))
                assert page.evaluate(SMALL) == 0
                assert page.locator("nav").count() == 0
                selects = page.locator("select")
                for at_select in range(3):
                    place = "2" if not number and at_select == 2 else str(at_select + 1)
                    selects.nth(at_select).select_option(place)
                    phone.taps += 2
                if not number:
                    page.wait_for_timeout(400)
                    page.reload()  # what was chosen is still there
                    assert selects.nth(1).input_value() == "2"
                    phone.tap(page.get_by_role("button", name="Send it to the host"))
                    assert "stand at one place" in page.locator(".problems").inner_text()
                    selects.nth(2).select_option("3")
                phone.tap(page.get_by_role("button", name="Send it to the host"))
                assert "Sent at" in page.locator("h1").inner_text()
                most = max(most, phone.taps)
        desk.get_by_text("p = ").first.wait_for(timeout=15000)  # it comes by itself
        assert "8 joined, 8 of 8 answered" in desk.locator(".count").inner_text()
    assert sorted(load(path)[1]) == list(range(1, 9))
    assert most <= 9
    print(f"tasting: at most {most} taps on a phone")


def test_a_composed_drink_becomes_a_recipe_on_a_phone(
    served: tuple[str, str], folder: Path, browser: Any
) -> None:
    at, words = served
    with opened(browser, viewport=PHONE) as page:
        phone = Taps(page)
        page.goto(f"{at}/make/compose")
        page.get_by_label("The words").fill(words)
        page.get_by_role("button", name="Open").click()
        phone.tap(page.get_by_role("button", name="Add a row to Parts on the shelf"))
        for name, value in FIELDS.items():
            field = page.locator(f'[name="{name}"]')
            if name.startswith("target") and name.endswith("what"):
                field.select_option(value)
            elif not name.endswith(".unit"):
                field.fill(value)
        phone.tap(page.get_by_role("button", name="Work it out").last)
        assert "CLEAR" in page.locator(".verdict").inner_text()
        assert "52.6" in page.locator(".weigh").inner_text()
        phone.tap(page.get_by_role("link", name="Save into a recipe"))
        phone.tap(page.get_by_role("link", name="A new recipe"))
        page.get_by_label("Name of the recipe").fill("Wanted Sour")
        page.get_by_label("Serves it is written for").fill("4")
        page.get_by_label("Name of the drink").fill("Wanted Sour")
        page.get_by_label("Parts", exact=True).fill("100 ml my-compose")
        phone.tap(page.get_by_role("button", name="Save the recipe"))
        page.wait_for_url("**/wanted-sour/?saved=1")
        assert phone.taps <= 6
        print(f"compose to recipe: {phone.taps} taps, longest {phone.screens:.1f} screens")
    said = tomllib.loads((folder / "wanted-sour.toml").read_text("utf-8"))
    assert said["items"]["my-compose"]["target"] == [
        "strength=20 %", "acidity=0.8", "sugar=8 % to 10 %",
    ]  # fmt: skip
