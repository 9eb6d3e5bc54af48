"""What a trainee sees: few words, those of cautions and signs; nothing dangerous is shown."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from page import browsing
from render import paper

from prepkit import blocks, cautions
from prepkit.errors import FileProblem
from prepkit.language import languages
from prepkit.lesson import lesson, sentences, table
from prepkit.render import signs, wall
from prepkit.render.html import document

FILES = ("hazards", "hand_out", "demonstrations", "questions")
# what no demonstration that is offered may name: gases, cryogens, acids, flames, charged vessels
NAMED = re.compile(
    r"gas\b|nitrous|dioxide|nitrogen|argon|helium|oxygen|dry ice|cryogen|acid|bleach|vinegar"
    r"|flame|fire\b|candle|light(?:er|ed)|match|charger|(?<!never )charged|spirit|charcoal|smoke\b",
    re.IGNORECASE,
)


def texts(value: Any) -> list[dict[str, Any]]:
    """Every sentence of a file with what it rests on."""
    if isinstance(value, dict):
        own = [value] if "text" in value else []
        return own + [one for part in value.values() for one in texts(part)]
    return [one for part in value for one in texts(part)] if isinstance(value, list) else []


def resting(row: dict[str, Any]) -> str:
    """All words of the caution or of the first-aid case that a sentence rests on."""
    if "caution" in row:
        (found,) = [one for one in cautions.rows() if one.id == row["caution"]]
        lines = [one["text"] for one in blocks.blocks(wall.FILE, "line")
                 if one.get("caution") == row["caution"]]  # fmt: skip
        return " ".join([found.text, found.action, found.more, *lines])
    cases = {one["name"]: one for one in blocks.blocks("first_aid.toml", "case")}
    return f"{row['first_aid']} {cases[row['first_aid']]['do']}"


def test_every_danger_is_on_the_sheet_with_an_act() -> None:
    pairs = table("hazards")["pair"]
    shown = [name for row in pairs for name in row["signs"]]
    listed = {name for name in signs.pictures() if name.startswith("warning ")}
    assert listed - set(shown) == {"warning general"}
    for row in pairs:
        kinds = [signs.picture(name).kind for name in row["signs"]]
        assert kinds == sorted(kinds, reverse=True), row
        assert set(kinds) == {"hazard", "action"}, row
    shapes = {row["signs"][0].split(" ")[0] for row in table("hazards")["shape"]}
    assert shapes == {name.split(" ")[0] for name in signs.pictures()}


def test_the_hand_out_says_what_its_cautions_say_in_their_words() -> None:
    read = table("hand_out")
    assert len(read["thing"]) == lesson.THINGS
    assert len(read["aid"]) == lesson.AID_LINES
    for row in texts(read["thing"]):
        for one in sentences(row["text"]):
            assert one.rstrip(".:?") in resting(row), one


def test_no_sentence_of_ours_has_a_number_that_its_caution_has_not() -> None:
    for file in FILES:
        for row in texts(dict(table(file))):
            assert all(len(one.split()) <= 12 for one in sentences(row["text"])), row
            if "sources" not in row:
                for number in re.findall(r"\d+(?:\.\d+)?", row["text"]):
                    assert number in resting(row), row


def test_a_demonstration_has_all_its_parts_and_names_nothing_dangerous() -> None:
    rows = lesson.offered()
    assert len({row["id"] for row in rows}) == len(rows) >= 8
    for row in rows:
        done = [row["title"], *(one["label"] for one in row["bring"])]
        done += [one["text"] for one in row["do"]]
        for text in done:
            assert not NAMED.search(text), text
        assert all(row[part] for part in ("bring", "do", "seen", "shows", "wrong")), row
        assert 3 <= row["minutes"] <= 10


@pytest.mark.parametrize("text", ["Dry ice", "a lighter", "a charged siphon", "CO2 gas", "Spirit"])
def test_what_is_dangerous_is_found(text: str) -> None:
    assert NAMED.search(text)
    assert not NAMED.search("An empty siphon that was never charged")


def test_each_that_is_forbidden_says_why_and_what_stands_in_its_place(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    rows = lesson.refused()
    assert len(rows) >= 10
    for row in rows:
        assert NAMED.search(row["title"]) or "siphon" in row["title"] or "cellar" in row["title"]
        assert row["why"]
        assert not NAMED.search(row["instead"]["text"]), row
    told = " ".join(row["title"].lower() for row in rows)
    for words in ("dry ice in a closed bottle", "shut room", "over hands", "without its siphon",
                  "for the voice", "from the bottle onto a flame", "overfilled"):  # fmt: skip
        assert words in told
    broken = {**table("demonstrations"), "forbidden": [{**rows[0], "see": "nothing"}]}
    monkeypatch.setattr(lesson, "table", lambda _: broken)
    with pytest.raises(FileProblem, match="names no demonstration"):
        lesson.refused.__wrapped__()


def test_there_are_twelve_questions_with_short_answers() -> None:
    rows = table("questions")["question"]
    assert len(rows) == lesson.QUESTIONS
    for row in rows:
        assert row["title"].endswith("?")
        assert len(sentences(" ".join(one["text"] for one in row["says"]))) <= 3, row["title"]


def test_a_number_of_the_house_is_printed_and_the_rest_is_a_line_to_write_on() -> None:
    blank, told = lesson.hand_out(), lesson.hand_out("en", {"gas_shut_off": "yard <left>"})
    assert blank.count("<i></i>") == told.count("<i></i>") + 1 == len(table("sheets")["safety"])
    assert "yard &lt;left&gt;" in told


SHEETS = {
    "hazards": (lesson.hazards_sheet, 1), "hand-out": (lesson.hand_out, 1),
    "demonstrations": (lesson.demonstrations, 3), "forbidden": (lesson.forbidden, 1),
    "twelve": (lesson.twelve, 1),
}  # fmt: skip


def whole(language: str) -> str:
    found = [{"name": name, "body": make(language)} for name, (make, _) in SHEETS.items()]
    sized = {key: one for key, one in wall.parts(()).items() if key in ("type", "beside")}
    return document("lesson.html", language=language, title="Sheets", foot="seed 7",
                    sheets=found, **sized)  # fmt: skip


@pytest.mark.skipif(bool(paper.WHY), reason=paper.WHY or "there is a browser")
@pytest.mark.parametrize("language", languages())
def test_each_sheet_has_its_pages_and_reads_on_a_telephone(
    language: str, browser: Any, tmp_path: Path
) -> None:
    with browsing.opened(browser, viewport=browsing.PHONE) as window:
        pages = paper.printed(window, whole(language), tmp_path)
        wide = window.evaluate("document.documentElement.scrollWidth")
        small = window.evaluate(
            "Math.min(...[...document.querySelectorAll('.pic')]"
            ".map(one => one.getBoundingClientRect().width))"
        )
    assert len(pages) == sum(count for _, count in SHEETS.values())
    for page in pages:
        assert not paper.overlapping(page)
        assert page.inside(4.5)
    assert wide <= 360
    assert small >= 30  # px, and what it means stands beside it
