"""The page in a real browser: each user's way, keyboard, phone, paper, no script, axe-core."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from deep import TIMES
from page import browsing
from page.browsing import DESK, PHONE, example, opened

from prepkit.index import CALCULATORS
from prepkit.page import forms

WHY = browsing.missing()
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
SCREENS = browsing.screens()
BATCH = "/recipes/cold-semaphore/batch?serves=40&read.flower-cordial.refractometer=48.2"
KNOWN = SCREENS | {
    "recipes": "/recipes/",
    "a recipe": "/recipes/warm-brasswick/?serves=40",
    "a recipe that cannot be planned": "/recipes/warm-brasswick/?serves=none",
    "a whole batch": BATCH,
    "a batch": f"{BATCH}&item=flower-cordial",
    "drills": "/drills/",
    "a drill": "/drills/paper?topic=strength&count=2&seed=3",
    "a drill, marked": "/drills/marked?topic=strength&count=2&seed=3&a1=12.5",
}
# each kind of field, verdict and picture; all others are looked at in a deep run
FORMS = ("siphon", "cordial", "layer")
VERDICTS = {"answer blend": "CLEAR", "answer siphon": "CARE", "stop": "STOP"}
REFUSED = {
    "nothing": 404, "errors": 422, "everything open": 422, "a recipe that cannot be planned": 422,
}  # fmt: skip
ONE_OF_EACH = (
    "home", "one word", "a sheet", "nothing", "errors",
    *(f"form {name}" for name in FORMS), *VERDICTS, "answer layer",
    "recipes", "a recipe", "a recipe that cannot be planned", "a batch",
    "drills", "a drill", "a drill, marked",
)  # fmt: skip
OPTIONS = ("--recipes", "recipes", "--house", "recipes/house")


@pytest.fixture(scope="module")
def at() -> Iterator[str]:
    """Where the page is served."""
    with browsing.served(*OPTIONS) as address:
        yield address


@pytest.fixture(scope="module")
def axe() -> str:
    """The accessibility check."""
    script, why = browsing.axe()
    if why:
        pytest.skip(why)
    return script


@pytest.fixture(scope="module")
def everything(at: str, browser: Any) -> dict[str, str]:
    """The screens to look at: one or more of each kind; in a deep run all of them."""
    if TIMES == 1:
        return {name: KNOWN[name] for name in ONE_OF_EACH}
    found = dict(KNOWN)
    with opened(browser) as page:
        for place in ("/recipes/", "/drills/"):
            page.goto(at + place)
            links = page.eval_on_selector_all(
                "main a[href]", "all => all.map(one => one.getAttribute('href'))"
            )
            inside = [one for one in dict.fromkeys(links) if one.startswith(place)]
            found |= {one: one for one in inside[:12]}
    return found


def kinds(names: Iterable[str]) -> set[str]:
    """The kinds of field in the forms of some calculators."""
    return {spec.kind for name in names for spec in forms.inputs(name).values()}


def test_what_is_looked_at_stands_for_the_rest(at: str, browser: Any) -> None:
    """Every kind of field is in the three forms; the three answers have the three verdicts."""
    assert kinds(FORMS) == kinds(CALCULATORS)
    with opened(browser) as page:
        for name, word in VERDICTS.items():
            page.goto(at + KNOWN[name])
            assert verdict(page) == word


def sideways(page: Any) -> int:
    """By how many pixels the page is wider than its window."""
    wide: int = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    return wide


def verdict(page: Any) -> str:
    """The word of the verdict."""
    return str(page.locator(".verdict .word").inner_text()).strip()


def work_out(page: Any, *, touch: bool = False) -> None:
    """Send the form and wait for what comes back."""
    button = page.get_by_role("button", name="Work it out")
    with page.expect_navigation():
        button.tap() if touch else button.click()


# the ways of the three users


def test_who_writes_the_prep(at: str, browser: Any) -> None:
    """A cordial by its targets, then the same cordial, carried, in a glass."""
    with opened(browser) as page:
        page.goto(at)
        page.get_by_role("link", name="Cordial or syrup to a Brix").click()
        page.get_by_label("Parts, row 1", exact=True).fill("1 kg grapefruit juice")
        page.get_by_label("Parts, row 2", exact=True).fill("50 g dried hibiscus")
        page.get_by_role("button", name="Add a row to Parts").click()
        page.get_by_label("Parts, row 3", exact=True).fill("10 g citric acid")
        page.get_by_label("Sweetener", exact=True).fill("white sugar")
        page.get_by_label("Sugar target", exact=True).fill("45")
        work_out(page)
        assert verdict(page) in ("CLEAR", "CARE")
        assert "brix=45" in page.url
        assert ".go" not in page.url
        page.get_by_text("Print, save, go on").click()
        with page.expect_navigation():
            page.get_by_role("link", name="serve", exact=True).click()
        first = page.locator("#in-part").input_value()
        assert re.fullmatch(r"[\d.]+ g cordial-[0-9a-f]{4}", first)
        page.locator("#in-part").fill(first.replace(first.split(" ")[0], "60"))
        page.get_by_label("Parts, row 2", exact=True).fill("40 ml spirit 40 %")
        work_out(page)
        page.get_by_text(re.compile(r"All figures")).click()
        assert page.locator(".values td").first.is_visible()
        assert "60 g cordial-" in page.locator(".given").text_content()


def test_who_answers_for_the_load(at: str, browser: Any) -> None:
    """The plate of the house's vessel, one charger, then two: stop, with what would change it."""
    with opened(browser, viewport=PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(at)
        page.get_by_role("link", name="Siphon, before it is charged").tap()
        page.locator(".vessels").get_by_role("button", name="north").tap()
        assert page.get_by_label("Rated pressure (gauge)", exact=True).input_value() == "17"
        page.locator("#in-contents").fill("900 ml cream 35 %")
        page.get_by_text("nitrous oxide, N₂O", exact=True).tap()
        page.locator("#in-temperature").fill("5")
        page.locator("#in-chargers").fill("1")
        work_out(page, touch=True)
        assert "bar" in page.locator(".say b").inner_text()
        seen = page.locator(".gauge").bounding_box()
        assert seen["y"] + seen["height"] <= PHONE["height"]  # the verdict with its figure
        page.get_by_role("link", name="Change", exact=True).tap()
        page.locator("#in-chargers").fill("4")
        page.wait_for_selector(".verdict.stop")
        assert page.get_by_role("heading", name="Why").is_visible()
        assert sideways(page) <= 0


def test_who_teaches(at: str, browser: Any) -> None:
    """Gas in a room, its working on the board, and the sheet for the wall."""
    with opened(browser) as page:
        page.goto(at)
        page.get_by_role("link", name="Gas in a room").first.click()
        page.get_by_label("Gas set free, row 1", exact=True).fill("8 kg co2")
        page.get_by_label("Net volume of the room", exact=True).fill("30")
        page.get_by_label("Fresh air", exact=True).fill("0")
        page.wait_for_selector(".verdict.stop")  # on a desk as soon as all is there
        work_out(page)
        assert verdict(page) == "STOP"
        assert not page.locator(".steps").first.is_visible()
        page.get_by_text("Working and sources", exact=True).click()
        assert page.locator(".steps li").first.is_visible()
        assert page.locator("figure svg").count() >= 1
        with page.expect_navigation():
            page.get_by_role("link", name="Cautions", exact=True).click()
        with page.expect_navigation():
            page.get_by_role("link", name="Inhalation").click()
        assert page.locator(".caution").count() > 5


def test_what_is_wrong_is_reached_from_the_top(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + SCREENS["errors"])
        # the browser gives the focus a moment after the page is there; never is a timeout
        page.wait_for_function("document.activeElement.className === 'problems'")
        page.get_by_role("alert").get_by_role("link", name="Temperature of the contents").click()
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") in ("in-temperature", "in-chargers")
        assert page.locator("#in-temperature").input_value() == "90"


def test_from_another_machine_the_printed_words_open_the_page(browser: Any) -> None:
    with browsing.started(3, "--host", "0.0.0.0") as (at, lines), opened(browser) as page:
        page.goto(at + "/make/blend?part=1+kg+water")
        page.get_by_label("The words").fill("wrong words")
        with page.expect_navigation():
            page.get_by_role("button", name="Open").click()
        assert "not the words" in page.locator(".problem").inner_text()
        page.get_by_label("The words").fill(lines[2].rpartition(": ")[2])
        with page.expect_navigation():
            page.get_by_role("button", name="Open").click()
        assert verdict(page) == "CLEAR"
        page.goto(at)
        assert page.locator("h1").text_content() == "What are you about to make?"


# the keyboard alone


def test_a_load_by_the_keyboard_alone(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + "/make/siphon")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.className") == "skip"
        page.keyboard.press("Enter")
        page.wait_for_function("document.activeElement.id === 'main'")
        filled = {
            "in-contents": "500 ml cream 35 %", "in-temperature": "5", "in-chargers": "1",
            "in-vessel_volume": "0.78", "in-max_fill": "0.5", "in-rated": "17",
        }  # fmt: skip
        order: list[str] = []
        for _ in range(40):
            page.keyboard.press("Tab")
            now = page.evaluate(
                "({id: document.activeElement.id, name: document.activeElement.name || '',"
                " line: getComputedStyle(document.activeElement).outlineStyle,"
                " wide: parseFloat(getComputedStyle(document.activeElement).outlineWidth)})"
            )
            assert now["line"] == "solid"
            assert now["wide"] >= 2
            order.append(now["id"] or now["name"])
            if now["id"] in filled:
                page.keyboard.type(filled.pop(now["id"]))
            elif now["name"] == "gas":
                page.keyboard.press("Space")
            if not filled:
                break
        assert filled == {}
        page.keyboard.press("Enter")
        page.wait_for_selector(".verdict")
        assert verdict(page) == "CARE"
        assert order.index("in-contents") < order.index("gas") < order.index("in-temperature")


# phone, zoom, paper


TOO_SMALL = """() => [...document.querySelectorAll(
    'button, select, summary, label.tick, nav a, .tasks a, .onward a, .families a,'
    + 'input:not([type=hidden]):not([type=radio]):not([type=checkbox])')]
  .filter(one => !one.classList.contains('unseen') && !one.closest('svg'))
  .map(one => [one.outerHTML.slice(0, 60), one.getBoundingClientRect()])
  .filter(([, box]) => box.width > 0 && (box.height < 44 || box.width < 44))
  .map(([text, box]) => `${text} ${box.width} x ${box.height}`)"""


def test_a_phone_shows_all_and_lets_all_be_touched(
    at: str, browser: Any, everything: dict[str, str]
) -> None:
    """No sideways scrolling; what is touched is 44 px high and wide, but for links in a text."""
    wide: dict[str, int] = {}
    small: dict[str, Any] = {}
    with opened(browser, viewport=PHONE, has_touch=True, is_mobile=True) as page:
        for name, path in everything.items():
            assert page.goto(at + path).status == REFUSED.get(name, 200), name
            page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
            if sideways(page) > 0:
                wide[name] = sideways(page)
            if found := page.evaluate(TOO_SMALL):
                small[name] = found[:3]
    assert wide == {}
    assert small == {}


def test_no_screen_scrolls_sideways_at_twice_the_size(
    at: str, browser: Any, everything: dict[str, str]
) -> None:
    half = {"width": DESK["width"] // 2, "height": DESK["height"] // 2}
    wide = {}
    with opened(browser, viewport=half, device_scale_factor=2) as page:
        for name, path in everything.items():
            page.goto(at + path)
            if sideways(page) > 0:
                wide[name] = sideways(page)
            page.evaluate("document.documentElement.style.fontSize = '200%'")
            if sideways(page) > 0:
                wide[f"{name}, letters twice as large again"] = sideways(page)
    assert wide == {}


NOT_FOR_PAPER = """() => [...document.querySelectorAll('button, input, select, main h2, main h3')]
  .filter(one => one.checkVisibility())
  .filter(one => !/^H/.test(one.tagName)
    || one.parentElement.innerText.trim() === one.innerText.trim())
  .map(one => one.outerHTML.slice(0, 80))"""


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext of poppler-utils")
@pytest.mark.parametrize("name", ["siphon", "siphon stop", "cordial", "room", "layer"])
def test_an_answer_prints(at: str, browser: Any, tmp_path: Path, name: str) -> None:
    with opened(browser, color_scheme="dark") as page:
        stop = {"chargers": "2"} if "stop" in name else {}
        page.goto(at + example(name.split(maxsplit=1)[0], **stop))
        word = verdict(page)
        page.emulate_media(media="print")
        assert page.evaluate(NOT_FOR_PAPER) == []
        page.pdf(path=tmp_path / "page.pdf", format="A4", prefer_css_page_size=True)
    text = subprocess.run(
        ["pdftotext", "-layout", str(tmp_path / "page.pdf"), "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert text.index(word) < text.index("Always") < text.index("Entered")
    assert "hash of the inputs" in text
    assert text.count("\f") == 1 or "siphon" not in name
    for kind in ("Pressure.", "Cryogen.", "Inhalation."):
        assert kind in text
    for screen_only in (
        "Work it out",
        "Skip to",
        "Go on with it",
        "Hold this one",
        "Card to print",
    ):
        assert screen_only not in text


# without a script


def test_everything_works_without_a_script(at: str, browser: Any) -> None:
    with opened(browser, java_script_enabled=False) as page:
        page.goto(at + "/make/blend")
        page.get_by_label("Parts, row 1", exact=True).fill("700 ml spirit 43 %")
        page.get_by_label("Parts, row 2", exact=True).fill("300 ml water")
        with page.expect_navigation():
            page.get_by_role("button", name="Add a row to Parts").click()
        assert page.get_by_label("Parts, row 1", exact=True).input_value() == "700 ml spirit 43 %"
        page.get_by_label("Parts, row 3", exact=True).fill("20 g white sugar")
        with page.expect_navigation():
            page.get_by_label("Parts, row 3", exact=True).press("Enter")
        assert verdict(page) == "CLEAR"
        assert page.url.count("part=") == 3
        page.get_by_text("Print, save, go on").click()
        with page.expect_navigation():
            page.get_by_role("button", name="Make the card").click()
        assert page.locator("h1").inner_text() == "blend"


def test_the_script_adds_what_the_form_would(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + "/make/blend")
        more = page.get_by_role("button", name="Add a row to Parts")
        for number in range(3, 25):
            more.click()
            row = page.get_by_label(f"Parts, row {number}", exact=True)
            assert row.evaluate("one => one === document.activeElement")
        with page.expect_navigation():  # past the most rows the form itself answers
            more.click()
        assert page.locator("input[name=part]").count() in (2, 24)


# axe-core


def test_no_serious_barrier(at: str, browser: Any, axe: str, everything: dict[str, str]) -> None:
    """In light and dark; dark differs by its colours alone, and an answer has its form with it."""
    found: dict[str, list[str]] = {}
    # the check is run inside the page, which our own policy would not let in
    with opened(browser, bypass_csp=True) as page:
        for name, path in everything.items():
            page.emulate_media(color_scheme="light")
            page.goto(at + path)
            page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
            page.evaluate(axe)
            bad = serious(page, "{resultTypes: ['violations']}")
            if not name.startswith("form "):
                page.emulate_media(color_scheme="dark")
                bad += [f"dark: {one}" for one in serious(page, "{runOnly: ['color-contrast']}")]
            if bad:
                found[name] = bad
    assert found == {}


def serious(page: Any, only: str) -> list[str]:
    """What axe-core, which the page holds already, finds serious or worse."""
    return [
        f"{one['id']}: {one['nodes'][0]['html'][:120]}"
        for one in page.evaluate(f"axe.run(document, {only})")["violations"]
        if one["impact"] in ("serious", "critical")
    ]
