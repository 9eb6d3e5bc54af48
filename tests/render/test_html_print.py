"""Cards through a browser to paper: one page, no letter under 3 mm, nothing cut off or run over.

Every calculator's example, the demo plans and their items, and stops with long titles, on every
paper.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterable, Iterator
from datetime import date
from functools import cache
from html import escape
from pathlib import Path
from typing import Any

import pytest
from deep import TIMES
from page import browsing
from render.page_reader import read
from render.paper import PDFTOTEXT, WHY, Word, printed

from prepkit import blocks, run
from prepkit.index import CALCULATORS
from prepkit.page import forms
from prepkit.plan import Plan, load_recipe, make_plan
from prepkit.plan.plan import read_recipe
from prepkit.render import fitting
from prepkit.render.front import SIZES_MM
from prepkit.render.html import PAPERS, Look, answer_card
from prepkit.render.plan_html import plan_card

# no browser or no pdftotext on this machine: nothing is printed to measure
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
ROOT = Path(__file__).parent.parent.parent
RECIPES = sorted((ROOT / "recipes").glob("*-*.toml"))
ON = date(2026, 11, 25)
ADDRESS = "http://192.0.2.10:8000/make/siphon?contents=500+ml+cream+35+%25&rated=17+bar"
LONG = (
    "Semaphore nitro of the long evening with lemon, hibiscus and twice-strained grapefruit "
    "peel-oleo, north vessel, Donaudampfschifffahrtsgesellschaftskapitänsmützen"
)
SIPHON: dict[str, Any] = {
    "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
    "rated": "17 bar", "gas": "n2o", "chargers": 1, "temperature": "5 C",
}  # fmt: skip
# capital and whole height of a letter in em, as the two faces of letters.css say themselves
FACES = {"DejaVu": 0.729 / 1.164, "Liberation": 0.688 / 1.117}


Card = Callable[[Look], str]


def _of(name: str, said: dict[str, Any]) -> Card:
    return lambda look: answer_card(run(name, said), look, ADDRESS)


@cache
def _plan(path: Path) -> Plan:
    return make_plan(load_recipe(path), 40)


def _planned(path: Path, item: str | None = None) -> Card:
    return lambda look: plan_card(_plan(path), look, item=item, address=ADDRESS)


def _stopped(look: Look) -> str:
    (otter,) = (ROOT / "recipes").glob("free-*.toml")
    text = otter.read_text("utf-8").replace("16 bar", "6 bar")
    return plan_card(make_plan(read_recipe(text), 40), look)


STOPS: dict[str, Card] = {
    "stop-siphon": _of("siphon", {**SIPHON, "chargers": 2}),
    "stop-room": _of("room", {"volume": "12 m3", "release": "10 kg n2o", "air_changes": 0}),
    "stop-missing": _of("siphon", {k: v for k, v in SIPHON.items() if k != "rated"}),
    "stop-plan": _stopped,
}
CARDS: dict[str, Card] = {
    **{name: _of(name, dict(forms.example(name))) for name in CALCULATORS},
    "siphon-care": _of("siphon", SIPHON),
    **{path.stem: _planned(path) for path in RECIPES},
    **STOPS,
}


@pytest.fixture(scope="module")
def window(browser: Any) -> Iterator[Any]:
    """One window for all cards, one after the other."""
    with browsing.opened(browser) as page:
        yield page


def _letters(words: str) -> str:
    return re.sub(r"[\W_]+", "", words)


def _capital(pdf: Path) -> float:
    """Height of a capital letter, of the height of its box."""
    assert PDFTOTEXT
    fonts = subprocess.run(
        [PDFTOTEXT.replace("pdftotext", "pdffonts"), str(pdf)],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    return min((ratio for name, ratio in FACES.items() if name in fonts), default=0.616)


def _check(card: Card, paper: str, title: str, window: Any, folder: Path) -> tuple[Word, ...]:
    text = card(Look(ON, PAPERS[paper], title=title))
    (page,) = printed(window, text, folder)
    words = page.words
    want_wide, want_high = SIZES_MM[paper]
    assert page.wide == pytest.approx(want_wide, abs=0.5)
    if want_high is not None:
        assert page.high == pytest.approx(want_high, abs=0.5)
    capital = _capital(folder / "page.pdf")
    for one in words:
        assert one.left >= 2.5, one
        assert one.right <= page.wide - 2.5, one
        assert one.top >= 2.0, one
        assert one.bottom <= page.high - 2.0, one
        assert capital * (one.bottom - one.top) >= 2.97, one
    for place, one in enumerate(words):  # no word stands on another
        for other in words[place + 1 :]:
            across = min(one.right, other.right) - max(one.left, other.left)
            down = min(one.bottom, other.bottom) - max(one.top, other.top)
            assert across < 0.5 or down < 0.3 * (one.bottom - one.top), (one, other)
    shown = _letters("".join(one.text for one in words))
    for line in read(text).first("main").all("span", class_="line"):
        assert _letters(line.text) in shown, line.text
    # what was set is what the browser lays out: nothing reaches below its page
    free = window.evaluate(
        "() => { const all = [...document.querySelector('.front').children];"
        " return all.at(-1).getBoundingClientRect().top"
        " - all.at(-2).getBoundingClientRect().bottom; }"
    )
    assert free >= -1
    return words


def _papers(cards: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Each card on two of the papers by turns, on all of them in the deep profile."""
    every = tuple(PAPERS)
    for place, card in enumerate(cards):
        turned = every[place % len(every) :] + every[: place % len(every)]
        yield from ((card, paper) for paper in (every if TIMES > 1 else turned[:2]))


@pytest.mark.parametrize(("name", "paper"), list(_papers(CARDS)))
def test_a_card_is_one_page(name: str, paper: str, window: Any, tmp_path: Path) -> None:
    words = _check(CARDS[name], paper, "", window, tmp_path)
    told = " ".join(one.text for one in words)
    assert re.search(r"\b(CLEAR|CARE|STOP)\b", told)
    assert "--" not in told
    assert "{" not in told
    assert re.search(r"[0-9a-f]{4}(-[0-9a-f]{4}){2}", told)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", STOPS)
def test_a_stop_with_a_long_title(name: str, paper: str, window: Any, tmp_path: Path) -> None:
    words = _check(STOPS[name], paper, LONG, window, tmp_path)
    assert any(one.text == "STOP" for one in words)


@pytest.mark.parametrize("path", RECIPES, ids=lambda one: one.stem)
def test_each_item_has_a_card_of_one_page(path: Path, window: Any, tmp_path: Path) -> None:
    for item, paper in _papers(one["id"] for one in _plan(path).to_dict()["items"]):
        _check(_planned(path, item), paper, "", window, tmp_path)


@pytest.mark.parametrize("paper", ["a4", "letter", "a5"])
@pytest.mark.parametrize("name", ["siphon-care", "stop-siphon"])
def test_verdict_and_gauge_stand_in_the_top_third(
    name: str, paper: str, window: Any, tmp_path: Path
) -> None:
    words = _check(CARDS[name], paper, "", window, tmp_path)
    high = SIZES_MM[paper][1]
    assert high is not None
    verdict = "STOP" if "stop" in name else "CARE"
    assert min(one.bottom for one in words if one.text == verdict) <= high / 3
    rated = sorted(one.bottom for one in words if one.text == "rated")
    assert rated[1] <= high / 3  # of the sentence, then of the gauge below it
    ratio = _capital(tmp_path / "page.pdf")
    if paper == "a4":
        large = [one for one in words if ratio * (one.bottom - one.top) >= 9.9]
        assert "Peak" in [one.text for one in large]  # the sentence that decides
        assert {"STOP", "CARE"} & {one.text for one in large}


@pytest.mark.parametrize("name", ["siphon-care", "stop-room", RECIPES[0].stem])
@pytest.mark.parametrize("paper", PAPERS)
def test_details_come_only_where_they_are_asked_for(
    name: str, paper: str, window: Any, tmp_path: Path
) -> None:
    look = Look(ON, PAPERS[paper], details=True)
    text = CARDS[name](look)
    first, after, *_ = printed(window, text, tmp_path)
    assert "Details:" not in first.text
    assert "Details:" in after.text
    assert after.wide == pytest.approx(SIZES_MM[paper][0], abs=0.5)
    assert after.high == pytest.approx(SIZES_MM[paper][1] or 297, abs=0.5)


@pytest.mark.parametrize("weight", ["regular", "bold"])
def test_no_letter_is_wider_in_print_than_its_table_says(weight: str, window: Any) -> None:
    """Measured by the browser in whichever of the faces of letters.css this machine has."""
    css = (ROOT / "prepkit/render/templates/letters.css").read_text("utf-8")
    table = blocks.table("letter_widths.toml", weight) or {}
    letters = sorted({one for of_width in table.values() for one in of_width if one.isprintable()})
    window.set_content(
        f"<style>{css} i {{ font: inherit; white-space: pre; display: inline-block }}</style>"
        f'<div class="set" style="font-size:1000px;font-weight:{700 if weight == "bold" else 400}">'
        + "".join(f"<i>{escape(one)}</i>" for one in letters)
        + "</div>"
    )
    wide = window.evaluate(
        "() => [...document.querySelectorAll('i')].map(one => one.getBoundingClientRect().width)"
    )
    assert len(wide) == len(letters) > 400
    too_wide = {
        one: (measured, fitting.width(one, weight == "bold"))
        for one, measured in zip(letters, wide, strict=True)
        if measured > 1000 * fitting.width(one, weight == "bold") + 1
    }
    assert too_wide == {}
