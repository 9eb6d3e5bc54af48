"""What stands where on printed pages: a document through Chromium to PDF, read by pdftotext."""

from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any

from page import browsing

PDFTOTEXT = shutil.which("pdftotext")
WHY = browsing.missing() or ("" if PDFTOTEXT else "there is no pdftotext on this machine")
MM = 72 / 25.4  # points


@dataclass(frozen=True)
class Word:
    """A word and its box on the page, mm from the upper left."""

    text: str
    left: float
    top: float
    right: float
    bottom: float


@dataclass(frozen=True)
class Page:
    """A printed page, mm."""

    wide: float
    high: float
    words: tuple[Word, ...]

    @property
    def text(self) -> str:
        """Its words in the order of the document."""
        return " ".join(word.text for word in self.words)

    def inside(self, margin: float) -> bool:
        """Whether every word stands on the page, so far from its edge."""
        return all(
            word.left >= margin
            and word.top >= margin
            and word.right <= self.wide - margin
            and word.bottom <= self.high - margin
            for word in self.words
        )


def printed(window: Any, text: str, folder: Path) -> list[Page]:
    """The pages of a document as they are printed; the PDF stays in the folder as page.pdf."""
    assert PDFTOTEXT is not None
    page, pdf, boxes = (folder / f"page.{end}" for end in ("html", "pdf", "xml"))
    page.write_text(text, encoding="utf-8")
    window.goto(page.as_uri())
    window.pdf(path=pdf, prefer_css_page_size=True, print_background=True)
    subprocess.run([PDFTOTEXT, "-bbox", str(pdf), str(boxes)], check=True)
    found = []
    for wide, high, inside in re.findall(
        r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>',
        boxes.read_text(encoding="utf-8"), re.DOTALL,
    ):  # fmt: skip
        words = re.findall(
            r'<word xMin="(.*?)" yMin="(.*?)" xMax="(.*?)" yMax="(.*?)">(.*?)</word>', inside
        )
        placed = [Word(unescape(said), *(float(at) / MM for at in box)) for *box, said in words]
        found.append(Page(float(wide) / MM, float(high) / MM, tuple(placed)))
    return found


def overlapping(page: Page) -> list[tuple[str, str]]:
    """Pairs of words that stand on each other: by more than the space above and below letters."""
    found = []
    for place, one in enumerate(page.words):
        for other in page.words[place + 1 :]:
            across = min(one.right, other.right) - max(one.left, other.left)
            down = min(one.bottom, other.bottom) - max(one.top, other.top)
            least = min(one.bottom - one.top, other.bottom - other.top)
            if across > 0.1 and down > 0.4 * least:
                found.append((one.text, other.text))
    return found


def type_sizes(window: Any) -> dict[str, float]:
    """Of the open document each text with the size of its type as it is printed, mm."""
    window.emulate_media(media="print")
    found: dict[str, float] = window.evaluate(
        """() => {
          const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
          const found = {};
          while (walk.nextNode()) {
            const text = walk.currentNode.textContent.trim();
            const box = walk.currentNode.parentElement;
            if (!text || box.closest(".unseen, style")) continue;
            const size = parseFloat(getComputedStyle(box).fontSize) / 96 * 25.4;
            found[text] = Math.min(size, found[text] ?? 1e9);
          }
          return found;
        }"""
    )
    return found
