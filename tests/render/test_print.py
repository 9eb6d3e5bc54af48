"""Cards as a browser prints them: paper, pages, and nothing wider than its place.

Printed through one headless Chromium for all where the machine has it; elsewhere skipped, with the
reason.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import zlib
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from functools import cache
from html import escape, unescape
from pathlib import Path
from typing import Any

import pytest
from page import browsing

from prepkit import run
from prepkit.plan import Plan, load_recipe, make_plan
from prepkit.plan.recipe_file import read_readings
from prepkit.render.html import PAPERS, Look, answer_card
from prepkit.render.plan_html import plan_card
from prepkit.workflows.plan_command import PlanOptions, measured_again, worked

PDFTOTEXT = shutil.which("pdftotext")
WHY = browsing.missing()
pytestmark = pytest.mark.skipif(bool(WHY), reason=WHY or "there is a browser")
ROOT = Path(__file__).parent.parent.parent
RECIPES = sorted((ROOT / "recipes").glob("*-*.toml"))
ON = date(2026, 11, 25)
# points of 1/72 inch: ISO 216 and ANSI letter in their own units
SIZES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0), "a5": (419.53, 595.28),
         "roll": (226.77, 841.89)}  # fmt: skip
SIPHON: dict[str, Any] = {
    "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
    "rated": "17 bar", "gas": "n2o", "chargers": 1, "temperature": "5 C", "mode": "dispense",
    "portion_size": "40 ml",
}  # fmt: skip
ROOM = {"volume": "30 m3", "release": "3 kg co2", "air_changes": 2}
LAYER = {"layer": ["120 ml filter coffee at 65 C", "30 ml cream 36 % at 5 C whipped 20 %"]}
CORDIAL = {"part": ["1 kg grapefruit juice", "50 g dried hibiscus"], "sweeten": "white sugar",
           "brix": "45 Bx", "acidity": "1.2 % w/w"}  # fmt: skip


def _card(name: str, said: dict[str, Any]) -> Callable[[Look], str]:
    """With its details; the first page alone is tested in test_html_print."""
    return lambda look: answer_card(run(name, said), replace(look, details=True))


@cache
def _plan(path: Path) -> Plan:
    """The plan of a recipe, made once."""
    return make_plan(load_recipe(path), 40)


def _recipe(path: Path) -> Callable[[Look], str]:
    return lambda look: plan_card(_plan(path), replace(look, details=True))


def _measured(look: Look) -> str:
    """A card with readings, of which some drifted."""
    asked = PlanOptions(str(RECIPES[0]), "40")
    before = worked(asked, str(RECIPES[0]))
    text = '[flower-cordial]\nrefractometer = 47\nph = 2.9\n[tonight-nitro]\npressure = "14 bar"\n'
    read = read_readings(text, before.first.recipe.items)
    found = measured_again(asked.replaced(measured="readings"), before, read)
    return plan_card(found.plan, replace(look, details=True), said=found.said)


DOCUMENTS: dict[str, Callable[[Look], str]] = {
    "siphon": _card("siphon", SIPHON),
    "stop": _card("siphon", {**SIPHON, "chargers": 2}),
    "room": _card("room", ROOM),
    "layer": _card("layer", LAYER),
    "cordial": _card("cordial", CORDIAL),
    **{path.stem: _recipe(path) for path in RECIPES},
    "measured": _measured,
}


@pytest.fixture(scope="module")
def window(browser: Any) -> Iterator[Any]:
    """One window that all is shown in, one document after the other."""
    with browsing.opened(browser) as page:
        yield page


def letters(words: str) -> str:
    """Letters and digits alone: where a line was broken, and at which hyphen, does not count."""
    return re.sub(r"[\W_]+", "", words)


def printed(window: Any, text: str, folder: Path) -> bytes:
    """The PDF of a document; it stays in the folder as page.pdf."""
    page, pdf = folder / "page.html", folder / "page.pdf"
    page.write_text(text, encoding="utf-8")
    window.goto(page.as_uri())
    window.pdf(path=pdf, prefer_css_page_size=True, print_background=True)
    return pdf.read_bytes()


def objects(pdf: bytes) -> Iterator[bytes]:
    """The plain text of a PDF, and of its packed object streams."""
    yield pdf
    for packed in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL):
        try:
            yield zlib.decompress(packed)
        except zlib.error:
            continue


def boxes(pdf: bytes) -> list[tuple[float, float]]:
    """Width and height of every page, in points."""
    found = []
    for text in objects(pdf):
        for box in re.findall(rb"/MediaBox\s*\[([^\]]+)\]", text):
            left, bottom, right, top = (float(one) for one in box.split())
            found.append((right - left, top - bottom))
    return found


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["siphon", RECIPES[0].stem])
def test_pages_have_the_size_of_the_paper(
    name: str, paper: str, window: Any, tmp_path: Path
) -> None:
    pdf = printed(window, DOCUMENTS[name](Look(ON, PAPERS[paper])), tmp_path)
    pages = boxes(pdf)
    assert pages
    assert len(pages) <= 60
    if paper == "roll":  # the card ends where its words end
        pages = pages[1:]
    for wide, high in pages:
        assert wide == pytest.approx(SIZES[paper][0], abs=1.0)
        assert high == pytest.approx(SIZES[paper][1], abs=1.0)
    assert b"/FontFile" in b"".join(objects(pdf))  # letters go with it


@pytest.mark.parametrize("name", DOCUMENTS)
def test_nothing_is_wider_than_its_place(name: str, window: Any, tmp_path: Path) -> None:
    """A telephone of 360, a page zoomed to 320, and the strip of a roll (72 mm is 272 px)."""
    text = DOCUMENTS[name](Look(ON, working=True))
    roll = f"<style>html {{ font-size: {PAPERS['roll'].letters}; }}</style></head>"
    frames = "".join(
        f'<iframe width="{wide}" height="800" style="border:0" srcdoc="{escape(shown)}"></iframe>'
        for wide, shown in ((360, text), (320, text), (272, text.replace("</head>", roll, 1)))
    )
    measure = """() => {
      const found = [];
      for (const frame of document.querySelectorAll("iframe")) {
        const page = frame.contentDocument.documentElement;
        found.push(page.scrollWidth + "/" + page.clientWidth);
        for (const one of page.querySelectorAll("*")) {
          const box = one.getBoundingClientRect();
          const hidden = one.closest(".unseen, thead, details:not([open]), svg");
          if (!hidden && box.right > page.clientWidth + 0.5) found.push(one.tagName + box.right);
          if (one.className === "wide" && one.scrollWidth > one.clientWidth + 1)
            found.push("scrolls");
        }
      }
      return found;
    }"""
    page = tmp_path / "frames.html"
    page.write_text(f"<!doctype html><title>-</title>{frames}", "utf-8")
    window.goto(page.as_uri())  # comes back when the frames are loaded too
    assert window.evaluate(measure) == ["360/360", "320/320", "272/272"]


@pytest.mark.skipif(PDFTOTEXT is None, reason="there is no pdftotext on this machine")
@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["stop", "room", RECIPES[0].stem])
def test_no_caution_breaks_across_pages(name: str, paper: str, window: Any, tmp_path: Path) -> None:
    """Each caution ends with its id: that and its beginning are on one page."""
    assert PDFTOTEXT is not None
    text = DOCUMENTS[name](Look(ON, PAPERS[paper]))
    printed(window, text, tmp_path)
    words = subprocess.run(
        [PDFTOTEXT, str(tmp_path / "page.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = [letters(page) for page in words.split("\f")]
    found = re.findall(
        r'<article class="caution.*?<h3>(.*?)</h3>\s*<p>(.*?)</p>.*?<p class="ref">(.*?)</p>',
        text, re.DOTALL,
    )  # fmt: skip
    assert len(found) > 5
    for _, begins, ends in found:
        first, last = letters(unescape(re.sub(r"<[^>]+>", "", begins))), letters(unescape(ends))
        on_pages = [n for n, page in enumerate(pages) if first in page and last in page]
        assert on_pages, (first, last)


@pytest.mark.skipif(PDFTOTEXT is None, reason="there is no pdftotext on this machine")
def test_every_page_carries_verdict_and_trace(window: Any, tmp_path: Path) -> None:
    assert PDFTOTEXT is not None
    text = DOCUMENTS["stop"](Look(ON, PAPERS["a5"]))
    code = re.search(r"<code>([^<]+)</code>", text)
    assert code
    printed(window, text, tmp_path)
    words = subprocess.run(
        [PDFTOTEXT, str(tmp_path / "page.pdf"), "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = words.rstrip("\f").split("\f")
    assert len(pages) > 1
    for page in pages:
        assert "STOP" in page
        assert code[1] in page
