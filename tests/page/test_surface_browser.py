"""A class, a recipe by its form, drafts and kept copies in a real browser, with their taps."""

from __future__ import annotations

import re
import shutil
import time
import tomllib
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from page import browsing
from page.browsing import DESK, PHONE, example, opened
from page.recipe_pages import DEMO

WHY = browsing.missing()
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
ROOM = "window.innerWidth - document.documentElement.scrollWidth"
SCREENS = "document.documentElement.scrollHeight / window.innerHeight"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    inside = tmp_path_factory.mktemp("kitchen") / "recipes"
    shutil.copytree(DEMO, inside)
    return inside


@pytest.fixture(scope="module")
def served(folder: Path) -> Iterator[tuple[str, str, str]]:
    """A page that phones reach: its address here, the pass words, the path of the first link."""
    options = ("--host", "0.0.0.0", "--recipes", str(folder), "--write")
    with browsing.started(5, *options) as (at, lines):
        words = lines[2].rpartition(": ")[2].strip()
        yield at, words, "/in/" + lines[4].strip().rpartition("/in/")[2]


class Taps:
    """A phone whose taps and screens are counted."""

    def __init__(self, page: Any) -> None:
        self.page, self.taps, self.screens = page, 0, 0.0

    def tap(self, place: Any) -> None:
        """One tap; what is long is measured after it."""
        place.click()
        self.taps += 1
        self.page.wait_for_load_state()
        self.screens = max(self.screens, self.page.evaluate(SCREENS))
        assert self.page.evaluate(ROOM) >= 0


def test_a_class_on_phones_and_its_table(served: tuple[str, str, str], browser: Any) -> None:
    at, words, _ = served
    with opened(browser, viewport=DESK) as desk, opened(browser, viewport=PHONE) as page:
        desk.goto(f"{at}/class/")
        desk.get_by_label("The words").fill(words)
        desk.get_by_role("button", name="Open").click()
        desk.get_by_label("Questions").fill("2")
        desk.get_by_role("button", name="Open the class").click()
        code = desk.locator("h1").inner_text().removeprefix("Class ")
        phone = Taps(page)
        page.goto(f"{at}/join/")
        page.get_by_label("Code on the screen").fill(code)
        phone.tap(page.get_by_role("button", name="Next"))
        page.get_by_label("Your name").fill("Sam")
        phone.tap(page.get_by_role("button", name="Join"))
        phone.tap(page.locator("label.line").first)
        page.wait_for_timeout(500)
        page.reload()  # what was chosen is still there
        assert page.locator("input:checked").count() == 1
        phone.tap(page.get_by_role("button", name="Send it to the trainer"))
        assert "1 not answered" in page.locator(".problems").inner_text()
        phone.tap(page.get_by_role("button", name="Send it as it is"))
        assert "Sent at" in page.locator("h1").inner_text()
        assert page.evaluate("localStorage.length") == 0
        desk.get_by_text("of 2").wait_for(timeout=15000)  # it comes by itself
        assert "1 sent" in desk.locator(".count").inner_text()
        assert phone.taps <= 5
        print(f"class: {phone.taps} taps, longest {phone.screens:.1f} screens")


def test_a_recipe_by_its_form_is_changed_and_undone(
    served: tuple[str, str, str], folder: Path, browser: Any
) -> None:
    at, _, link = served
    path = folder / "night-tide.toml"
    with opened(browser, viewport=PHONE) as page:
        phone = Taps(page)
        page.goto(at + link)
        phone.tap(page.get_by_role("button", name="Open it here"))
        page.goto(f"{at}/recipes/")
        phone.tap(page.get_by_role("link", name="New recipe"))
        page.get_by_label("Name of the recipe").fill("Night Tide")
        page.get_by_label("Serves it is written for").fill("4")
        page.get_by_label("Add an item").select_option("cordial")
        phone.tap(page.get_by_role("button", name="Add it"))
        page.locator("#id-0").fill("tide-syrup")
        page.locator("#in-i0\\.part").fill("500 g water")
        page.locator("#in-i0\\.sweeten").fill("white sugar")
        page.locator("#in-i0\\.brix").fill("50")
        page.get_by_label("Name of the drink").fill("Night Tide")
        page.get_by_label("Parts").last.fill("40 ml tide-syrop")
        page.locator("[data-live]").get_by_text("to fix").wait_for(timeout=20000)
        assert "tide-syrop" in page.locator("[data-live]").inner_text()
        page.get_by_label("Parts").last.fill("40 ml tide-syrup")
        page.locator("[data-live]").get_by_text("No problem").wait_for(timeout=20000)
        phone.tap(page.get_by_role("button", name="Save the recipe"))
        page.wait_for_url("**/night-tide/?saved=1")
        first = path.read_text("utf-8")
        phone.tap(page.get_by_role("link", name="Change it by a form"))
        page.locator("#serves").fill("6")
        phone.tap(page.get_by_role("button", name="Save the recipe"))
        assert tomllib.loads(path.read_text("utf-8"))["serves"] == 6
        phone.tap(page.get_by_role("button", name="Undo"))
        page.wait_for_url("**/night-tide/?saved=1")
        assert path.read_text("utf-8") == first
        assert phone.taps <= 8
        print(f"recipe: {phone.taps} taps, longest {phone.screens:.1f} screens")


def test_an_unsent_text_asks_and_comes_back(served: tuple[str, str, str], browser: Any) -> None:
    at, words, _ = served
    with opened(browser, viewport=PHONE) as page:
        page.goto(f"{at}/recipes/warm-brasswick/text")
        page.get_by_label("The words").fill(words)
        with page.expect_event(
            "load"
        ):  # what is typed before its script is there counts as nothing
            page.get_by_role("button", name="Open").click()
        asked: list[str] = []
        page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
        page.locator("#text").press_sequentially("# mine\n")
        assert page.locator(".gutter").inner_text().startswith("1\n2\n")
        page.goto(f"{at}/cautions")
        assert asked == ["beforeunload"]
        page.goto(f"{at}/recipes/warm-brasswick/text")
        assert "# mine" in page.locator("#text").input_value()
        page.get_by_role("button", name="Throw it away").click()
        page.wait_for_load_state()
        assert "# mine" not in page.locator("#text").input_value()


def test_a_sheet_stays_readable_when_the_laptop_sleeps_and_says_so(browser: Any) -> None:
    context = browser.new_context(viewport=PHONE)
    page = context.new_page()
    with browsing.served("--recipes", str(DEMO)) as at:
        page.goto(f"{at}/cautions")
        page.evaluate("navigator.serviceWorker.ready")
        for path in ("/cautions/pressure", "/drills/key?topic=acid&seed=1", "/cautions/pressure"):
            page.goto(at + path)
            assert page.locator(".kept").count() == 0
        until = time.monotonic() + 10
        while not page.evaluate("caches.open('prepkit-kept').then((s) => s.keys())") and (
            time.monotonic() < until
        ):
            page.wait_for_timeout(100)
    page.goto(f"{at}/cautions/pressure")
    assert "Kept copy of" in page.locator(".kept").inner_text()
    assert "pressure" in page.locator("h1").inner_text().lower()
    with pytest.raises(Exception, match="ERR_"):
        page.goto(f"{at}/drills/key?topic=acid&seed=1")
    context.close()


def test_without_a_worker_the_tab_shows_what_it_kept_and_waits_for_a_slow_laptop(
    served: tuple[str, str, str], browser: Any
) -> None:
    at, words, _ = served
    # its console tells of what does not answer
    with closing(browser.new_context(viewport=PHONE, service_workers="block")) as context:
        page = context.new_page()
        page.add_init_script("delete Navigator.prototype.serviceWorker")  # as over plain http
        page.clock.install()
        page.goto(f"{at}/cautions/pressure")
        page.get_by_label("The words").fill(words)
        page.get_by_role("button", name="Open").click()
        page.goto(f"{at}/recipes/cold-semaphore/?serves=40")
        page.goto(f"{at}/cautions")
        page.route("**/keep.js", lambda route: None)  # it takes its time
        page.get_by_role("link", name="Pressure").click()
        assert page.locator(".kept").count() == 0
        page.clock.run_for(4100)
        assert "Waiting for the laptop." in page.locator(".kept").inner_text()
        assert page.locator("h1").inner_text().startswith("Cautions")
        page.get_by_role("button", name="Show the copy of").click()
        assert "Kept copy of" in page.locator(".kept").inner_text()
        assert "pressure" in page.locator("h1").inner_text().lower()
        page.unroute("**/keep.js")
        page.route("**/keep.js", lambda route: route.abort())  # it sleeps
        page.get_by_role("link", name=re.compile("plan|semaphore", re.IGNORECASE)).first.click()
        page.locator("main .tabs").wait_for()
        page.locator("main").get_by_role("link", name="When").click()
        assert page.locator("#when").is_visible()
        assert page.evaluate(ROOM) >= 0
        page.get_by_role("link", name="Drills").click()
        page.locator(".kept").filter(has_not_text="Kept copy").wait_for()
        page.unroute("**/keep.js")
        page.get_by_role("link", name="Drills").click()
        page.wait_for_url("**/drills/")
        assert page.locator(".kept").count() == 0


# every kind of page

KINDS = {
    "home": "/", "form": "/make/siphon", "answer": example("siphon"),
    "stop": example("siphon", chargers="2"), "errors": "/make/siphon?temperature=90&chargers=x",
    "word": "/words?q=cream+35+%25", "cautions": "/cautions", "wall": "/cautions/pressure",
    "drills": "/drills/", "paper": "/drills/paper?topic=acid&seed=1", "class": "/class/",
    "recipes": "/recipes/", "plan": "/recipes/cold-semaphore/?serves=60&service=18:00",
    "batch": "/recipes/cold-semaphore/batch?serves=60&on=2026-11-28",
    "item": "/recipes/cold-semaphore/batch?serves=60&on=2026-11-29#item-flower-cordial",
    "text": "/recipes/cold-semaphore/text", "recipe": "/recipes/cold-semaphore/form",
    "menu": "/recipes/menu/menu", "versions": "/recipes/cold-semaphore/versions",
    "name": "/recipes/cold-semaphore/name", "join": "/join/", "nothing": "/none",
    "ladder": "/ladder/", "tasting": "/tasting/",
    "solve": example("siphon").replace("?", "/solve?"),
}  # fmt: skip
LONGEST = {"answer": 2182, "stop": 2182, "item": 837, "home": 1136}  # px at 360, as the sketches
# what is touched and is smaller than 44 px; a link within a sentence may be
SMALL = """[...document.querySelectorAll(
    'a[href], button, input:not([type=hidden]), select, textarea, summary, label.tick')]
  .filter((one) => one.checkVisibility() && !one.closest('.unseen, .skip'))
  .filter((one) => {
    const box = one.matches('[type=radio], [type=checkbox]') ? one.closest('label') : one;
    const { width, height } = box.getBoundingClientRect();
    const words = one.tagName === 'A' && getComputedStyle(one).display === 'inline'
      && one.parentElement.textContent.trim() !== one.textContent.trim();
    return !words && (width < 43.5 || height < 43.5);
  }).map((one) => one.outerHTML.slice(0, 90))"""
MOVES = """[...document.querySelectorAll('*')].filter((one) => {
    const style = getComputedStyle(one);
    return parseFloat(style.transitionDuration) > 0 || style.animationName !== 'none';
  }).length"""
TWICE = "document.documentElement.style.fontSize = '200%'"


def test_every_kind_of_page_fits_a_phone_in_large_letters_and_under_a_thumb(
    folder: Path, browser: Any
) -> None:
    with browsing.served("--recipes", str(folder), "--write") as at:
        for colours in ("none", "active"):
            with closing(
                browser.new_context(viewport=PHONE, reduced_motion="reduce", forced_colors=colours)
            ) as context:
                page = context.new_page()
                for name, path in KINDS.items():
                    if colours == "active" and name not in ("stop", "item", "plan"):
                        continue
                    answer = page.goto(at + path)
                    assert answer is not None
                    assert answer.status < 500, name
                    assert page.evaluate(SMALL) == [], name
                    assert page.evaluate(MOVES) == 0, name
                    assert page.evaluate(ROOM) >= 0, name
                    height = page.evaluate("document.documentElement.scrollHeight")
                    assert height <= LONGEST.get(name, height), (name, height)
                    page.evaluate(TWICE)
                    assert page.evaluate(ROOM) >= 0, f"{name} in letters twice as large"
