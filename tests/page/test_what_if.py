"""The form while it changes, in a real browser: tasks counted in taps, nothing typed lost."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from page import browsing
from page.browsing import PHONE, example, opened

WHY = browsing.missing()
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
OPTIONS = ("--recipes", "recipes", "--house", "recipes/house")


@pytest.fixture(scope="module")
def at() -> Iterator[str]:
    """Where the page is served."""
    with browsing.served(*OPTIONS) as address:
        yield address


def settled(page: Any, verdict: str) -> None:
    """Wait until the answer is there."""
    page.wait_for_selector(f".beside-form:not(.waiting) .verdict.{verdict}")


def in_view(page: Any, query: str) -> bool:
    """Whether all of an element is on the screen as it stands."""
    box = page.locator(query).bounding_box()
    return bool(box["y"] >= 0 and box["y"] + box["height"] <= page.viewport_size["height"])


def test_a_lead_checks_one_load_in_at_most_six_taps_beside_the_numbers(
    at: str, browser: Any
) -> None:
    taps = 0
    with opened(browser, viewport=PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(at)
        for tapped in (
            page.get_by_role("link", name="Siphon, before it is charged"),
            page.get_by_role("button", name="north"),
            page.get_by_text("nitrous oxide, N₂O", exact=True),
        ):
            tapped.tap()
            taps += 1
        page.locator("#in-contents").fill("900 ml cream 35 %")
        page.locator("#in-temperature").fill("5")
        page.locator("#in-chargers").fill("2")
        with page.expect_navigation():
            page.get_by_role("button", name="Work it out").tap()
        taps += 1
        assert taps <= 6
        for query in (".plate", ".say", ".gauge"):
            assert in_view(page, query), query
        assert "rated 17" in page.locator(".say").inner_text().replace("\u00a0", " ")


def test_a_cordial_to_a_brix_becomes_a_printed_label(at: str, browser: Any) -> None:
    with opened(browser, viewport=PHONE, has_touch=True, is_mobile=True) as page:
        page.goto(at)
        page.get_by_role("link", name="Cordial or syrup to a Brix").tap()
        page.get_by_label("Parts, row 1", exact=True).fill("1 kg grapefruit juice")
        page.locator("#in-sweeten").fill("white sugar")
        page.locator("#in-brix").fill("45")
        with page.expect_navigation():
            page.get_by_role("button", name="Work it out").tap()
        page.get_by_text("Print, save, go on").tap()
        with page.expect_navigation():
            page.get_by_role("button", name="Make the labels").tap()
        assert "cordial" in page.inner_text("body").lower()


def test_a_stop_comes_at_once_and_its_way_out_is_one_touch(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + example("siphon"))
        page.get_by_role("button", name="More: Chargers per vessel").click()
        # what is milder than the answer to come is out of sight from the touch on
        assert not page.locator(".verdict.care").is_visible()
        settled(page, "stop")
        page.locator(".ways a").first.wait_for()
        page.wait_for_url("**chargers=2**")
        page.locator(".ways a").first.click()
        settled(page, "care")
        assert "chargers=1" in page.url


def test_nothing_milder_is_shown_while_no_answer_comes(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + example("siphon"))
        page.route("**/answer.json*", lambda route: None)  # it never answers
        page.locator("#in-chargers").fill("2")
        assert not page.locator(".verdict.care").is_visible()
        assert not page.locator(".three").is_visible()


def test_one_is_held_and_only_what_differs_is_shown(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + example("siphon"))
        with page.expect_navigation():
            page.get_by_role("link", name="Hold this one").click()
        page.locator("#in-vessel_volume").press("ArrowUp")
        settled(page, "care")
        rows = page.locator("table:has(#held) tbody th").all_inner_texts()
        assert "Inside volume of the vessel" in rows
        assert "Maximum fill" not in rows


def test_back_and_a_new_visit_bring_back_what_was_typed(at: str, browser: Any) -> None:
    with opened(browser, viewport=PHONE) as page:
        page.goto(at + "/make/dilute")
        field = page.locator("form[data-live] input[type=text]").first
        field.fill("1 kg spirit 47 %")
        page.goto(at)
        page.go_back()
        assert field.input_value() == "1 kg spirit 47 %"
        page.goto(at)
        page.goto(at + "/make/dilute")
        assert field.input_value() == "1 kg spirit 47 %"
        with page.expect_navigation():
            page.get_by_role("button", name="Clear it").click()
        assert field.input_value() == ""


def test_the_pantry_is_offered_in_a_row_and_recent_work_at_home(at: str, browser: Any) -> None:
    with opened(browser) as page:
        page.goto(at + "/make/blend")
        row = page.get_by_label("Parts, row 1", exact=True)
        with page.expect_response("**/ingredients.json"):
            row.fill("700 ml spiri")
        page.wait_for_selector("#names-now option", state="attached")
        offered = page.eval_on_selector_all("#names-now option", "all => all.map(one => one.value)")
        assert "700 ml spirit" in offered
        page.goto(at + example("blend"))
        page.goto(at)
        assert "Blend" in page.locator("[data-recents]").inner_text()
        page.get_by_role("button", name="Forget these").click()
        assert not page.locator("[data-recents]").is_visible()
