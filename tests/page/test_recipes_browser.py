"""Recipes and drills in a real browser, where it matters what a browser sends: forms that save."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from page import browsing
from page.browsing import DESK, PHONE, opened

WHY = browsing.missing()
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
DEMO = Path(__file__).parents[2] / "recipes"
ROOM = "window.innerWidth - document.documentElement.scrollWidth"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    inside = tmp_path_factory.mktemp("kitchen") / "recipes"
    shutil.copytree(DEMO, inside)
    return inside


@pytest.fixture(scope="module")
def at(folder: Path) -> Iterator[str]:
    """A page that may save."""
    with browsing.served("--recipes", str(folder), "--write") as address:
        yield address


@pytest.mark.parametrize("script", [False, True])
@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_batch_is_made_from_the_list_to_the_correction(
    at: str, folder: Path, browser: Any, script: bool, size: dict[str, int]
) -> None:
    shutil.rmtree(folder / "batches", ignore_errors=True)
    with opened(browser, viewport=size, java_script_enabled=script) as page:
        page.goto(f"{at}/recipes/")
        page.get_by_role("link", name="cold service").click()
        page.get_by_label("Serves of each drink").fill("40")
        page.get_by_label("Service at").fill("18:00")
        with page.expect_navigation():
            page.get_by_role("button", name="Plan it").click()
        page.get_by_role("link", name="Make it").click()
        if size is PHONE:
            page.get_by_role("navigation", name="Items", exact=True).get_by_role(
                "link", name="peel-oleo"
            ).click()
        page.locator("button.line:visible").first.click()
        page.wait_for_selector("[aria-pressed=true]:not(.unsaved):visible")
        page.goto(f"{page.url.partition('#')[0]}#item-flower-cordial")
        item = page.locator("#item-flower-cordial")
        item.locator("select").select_option("refractometer")
        item.locator("input[name^=value]").fill("48.2")
        item.locator("input[name^=temperature]").fill("24")
        item.get_by_role("button", name="Save what was read").click()
        page.wait_for_url("**#read-flower-cordial")
        item.get_by_text("Add, mix, read again").wait_for()
        assert page.locator("[aria-pressed=true]").count() == 1
        if script:
            assert page.evaluate(ROOM) >= 0
    (readings,) = folder.glob("batches/*.readings.toml")
    assert tomllib.loads(readings.read_text("utf-8"))["flower-cordial"]["temperature"] == "24 C"
    assert len(list(folder.glob("batches/*.batch.toml"))) == 1


def test_a_recipe_is_changed_and_comes_back_as_it_was_typed(
    at: str, folder: Path, browser: Any
) -> None:
    path = folder / "warm-brasswick.toml"
    before = path.read_text("utf-8")
    with opened(browser, viewport=PHONE, java_script_enabled=False) as page:
        page.goto(f"{at}/recipes/warm-brasswick/")
        page.get_by_role("link", name="Change the recipe").click()
        assert page.get_by_label("The recipe", exact=True).input_value() == before
        bad = before.replace("serves = 6", "serves = 0")
        page.get_by_label("The recipe", exact=True).fill(bad)
        with page.expect_navigation():
            page.get_by_role("button", name="Save").click()
        assert page.get_by_text("Fix this").is_visible()
        assert page.get_by_label("The recipe", exact=True).input_value() == bad
        assert path.read_text("utf-8") == before
        page.get_by_label("The recipe", exact=True).fill(before.replace("serves = 6", "serves = 9"))
        page.get_by_role("button", name="Save").click()
        page.wait_for_url("**saved=1")
        assert "9 serves" in page.locator("p.lead").inner_text()
    assert path.read_text("utf-8") == before.replace("serves = 6", "serves = 9")


def test_a_paper_is_answered_by_keyboard_alone_and_marked(at: str, browser: Any) -> None:
    with opened(browser, viewport=PHONE, java_script_enabled=False) as page:
        page.goto(f"{at}/drills/paper?topic=strength&count=2&seed=3")
        page.locator("input[type=radio]").first.focus()
        page.keyboard.press("Space")
        page.keyboard.press("Tab")
        page.keyboard.type("12.5")
        page.keyboard.press("Enter")
        page.wait_for_url("**/marked?**")
        assert "of 2 right" in page.locator(".score").inner_text()
        assert "a1=12.5" in page.url
        with page.expect_navigation():
            page.get_by_role("link", name="Change the answers").click()
        assert page.locator("#a1").input_value() == "12.5"
