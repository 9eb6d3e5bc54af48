"""Recipes and drills in a real browser, where it matters what a browser sends: forms that save."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from contextlib import closing
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


def saved(page: Any) -> None:
    """Waits until every line is saved."""
    page.wait_for_selector(".line.unsaved", state="detached")


def test_saturday_for_60_one_bad_reading_its_correction_then_62(
    at: str, folder: Path, browser: Any
) -> None:
    shutil.rmtree(folder / "batches", ignore_errors=True)
    sheet = f"{at}/recipes/cold-semaphore/batch?on=2026-11-28&service=18:00"
    with opened(browser, viewport=PHONE) as page:
        page.goto(f"{sheet}&serves=60#item-flower-cordial")
        item = page.locator("#item-flower-cordial")
        assert page.evaluate("document.documentElement.scrollHeight") <= 1.15 * PHONE["height"]
        for line in item.locator(".ticks.weigh .line").all():
            assert line.bounding_box()["height"] >= 56
            line.click()
        saved(page)
        assert "saved" in item.locator("[data-status]").inner_text()
        # a reading that was typed elsewhere survives a tick, a save and a reload
        page.goto(f"{page.url.partition('#')[0]}#item-acid-drops")
        page.locator("[name='value.acid-drops']").fill("99")
        page.locator("#item-acid-drops .line").first.click()
        saved(page)
        page.goto(f"{page.url.partition('#')[0]}#item-flower-cordial")
        item.locator("[name^=value]").fill("47.3")
        with page.expect_event("load"):
            item.get_by_role("button", name="Save what was read").click()
        assert page.locator("[name='value.acid-drops']").input_value() == "99"
        assert "below expected" in item.inner_text()
        assert "DRIFTED" in item.locator(".title").inner_text()
        for line in item.locator(".drifted .line").all():
            line.click()
        saved(page)
        item.locator("[name^=value]").fill("49.9")
        with page.expect_event("load"):
            item.get_by_role("button", name="Save what was read").click()
        assert "as planned" in item.inner_text().lower()
        item.locator(".top a").click()
        page.get_by_label("Serves", exact=True).fill("62")
        with page.expect_event("load"):
            page.get_by_role("button", name="Change").click()
        page.goto(f"{page.url.partition('#')[0]}#item-flower-cordial")
        assert "for 60: add" in item.locator(".line").first.inner_text()
        assert page.evaluate(ROOM) >= 0
        page.evaluate("localStorage.clear()")
        page.goto("about:blank")


def test_what_is_not_saved_is_kept_and_sent_again_and_a_timer_runs_on(
    at: str, folder: Path, browser: Any
) -> None:
    shutil.rmtree(folder / "batches", ignore_errors=True)
    sheet = f"{at}/recipes/cold-semaphore/batch?on=2026-11-28&serves=60#item-flower-cordial"
    with closing(browser.new_context(viewport=PHONE)) as context:  # its console tells of the break
        page = context.new_page()
        page.goto(sheet)
        item = page.locator("#item-flower-cordial")
        item.get_by_role("button", name="Start").first.click()
        assert "Flowers into the hot water" in page.title()
        page.route("**/batch*", lambda route: route.abort())
        context.set_offline(True)
        lines = item.locator(".ticks.weigh .line")
        lines.nth(0).click()
        lines.nth(1).click()
        item.get_by_text("2 not saved").wait_for()
        lines.nth(1).click()  # taken back before it was sent
        item.get_by_text("1 not saved").wait_for()
        page.unroute("**/batch*")
        context.set_offline(False)
        saved(page)
        item.get_by_text("saved ").wait_for()
        assert lines.nth(0).get_attribute("aria-pressed") == "true"
        assert lines.nth(1).get_attribute("aria-pressed") == "false"
        page.reload()
        assert item.get_by_role("button", name="Pause").count() == 1
        item.locator(".timer output").filter(has_text="19:").first.wait_for()  # 20:00 at first
        assert lines.nth(0).get_attribute("aria-pressed") == "true"


def test_a_stop_ends_the_timers_of_its_item_and_a_gauge_that_cannot_be_read_is_one(
    at: str, folder: Path, browser: Any
) -> None:
    shutil.rmtree(folder / "batches", ignore_errors=True)
    sheet = f"{at}/recipes/free-otter/batch?on=2026-11-28&serves=40"
    with opened(browser, viewport=PHONE) as page, opened(browser, viewport=PHONE) as other:
        page.goto(f"{sheet}#item-otter-soda")
        timer = {"t-x": {"end": 8e15, "words": "Rest it", "item": "otter-soda"}}
        timer |= {"t-y": {"end": 9e15, "words": "Steep", "item": "ruby-cordial"}}
        key = "prepkit " + page.locator(".bench").get_attribute("data-batch")
        keep = "([key, timers]) => localStorage.setItem(key, JSON.stringify({ timers }))"
        page.evaluate(keep, [key, timer])
        page.reload()
        assert page.title().endswith("Rest it")
        other.goto(f"{sheet}#item-otter-soda")
        read = other.locator("#item-otter-soda")
        read.locator("select").select_option("pressure")
        read.locator("[name^=value]").fill("3O bar")
        with other.expect_event("load"):
            read.get_by_role("button", name="Save what was read").click()
        assert "NOT TO BE MADE" in read.inner_text()
        assert read.locator(".line").count() == 0
        assert read.locator("[name^=value]").input_value() == "3O bar"
        read.locator("[name^=value]").fill("30 bar")
        with other.expect_event("load"):
            read.get_by_role("button", name="Save what was read").click()
        assert "30.0 bar" in read.inner_text()
        page.goto(f"{page.url.partition('#')[0]}#item-ruby-cordial")
        with page.expect_event("load"):  # it learns of the stop with its next tick
            page.locator("#item-ruby-cordial .line").first.click()
        assert "STOP" in page.locator(".verdict").first.text_content()
        page.wait_for_function("!document.title.includes('Rest it')")
        assert list(page.evaluate("key => JSON.parse(localStorage[key]).timers", key)) == ["t-y"]
        page.evaluate("localStorage.clear()")
        page.goto("about:blank")


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
        page.goto(f"{at}/drills/paper?topic=strength&count=6&seed=3")
        page.locator("input[type=radio]").first.focus()
        page.keyboard.press("Space")
        for _ in range(40):  # to the first question with a number
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.type") == "text":
                break
        name = page.evaluate("document.activeElement.name")
        page.keyboard.type("12.5")
        page.keyboard.press("Enter")
        page.wait_for_url("**/marked?**")
        assert "of 6 right" in page.locator(".score").inner_text()
        assert f"{name}=12.5" in page.url
        with page.expect_navigation():
            page.get_by_role("link", name="Change the answers").click()
        assert page.locator(f"#{name}").input_value() == "12.5"
