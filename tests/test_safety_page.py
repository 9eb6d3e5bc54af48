"""SAFETY.md by topic: every topic is there, and every statement names a source that resolves."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from prepkit import blocks, model
from prepkit.render import signs

PAGE = (Path(__file__).parent.parent / "SAFETY.md").read_text(encoding="utf-8")
TOPICS = {
    "Pressure": ("vent", "Chargers", "empty"),
    "Gases": ("Nitrous oxide", "Carbon dioxide", "oxygen"),
    "Cryogens": ("lift", "liquid nitrogen", "dry ice"),
    "Inhalation by guests and staff": ("nobody follows", "guests", "staff", "carbon monoxide"),
    "Acids": ("eyes", "into water", "estimate", "20 minutes"),
    "Heat and flame": ("65 °C", "flame", "26 °C"),
    "Allergens": ("told", "label", "Lecithin"),
    "Keeping": ("5 °C", "4 hours", "7 days"),
}
BRACKETED = re.compile(r"\[([A-Z0-9][A-Z0-9-]+)\](?!\()")


def section() -> str:
    """The text between the heading and the next of its rank."""
    match = re.search(r"^## By topic$(.*?)^## ", PAGE, re.MULTILINE | re.DOTALL)
    assert match
    return match[1]


def topics() -> dict[str, str]:
    """Each topic's text by its heading."""
    parts = re.split(r"^### (.+)$", section(), flags=re.MULTILINE)
    return dict(zip(parts[1::2], parts[2::2], strict=True))


def statements(text: str) -> list[str]:
    """The points of one topic, each on one line."""
    points = re.split(r"^- ", text, flags=re.MULTILINE)[1:]
    return [" ".join(point.split()) for point in points]


def test_each_topic_is_there_and_no_other() -> None:
    assert list(topics()) == list(TOPICS)


@pytest.mark.parametrize("topic", TOPICS)
def test_topic_says_what_it_must(topic: str) -> None:
    text = " ".join(topics()[topic].split()).lower()
    assert len(statements(topics()[topic])) >= 5
    for word in TOPICS[topic]:
        assert word.lower() in text


@pytest.mark.parametrize(
    ("topic", "statement"),
    [(topic, one) for topic, text in topics().items() for one in statements(text)],
)
def test_statement_ends_with_a_source_that_resolves(topic: str, statement: str) -> None:
    assert re.search(r"\[[A-Z0-9-]+\]\.?$", statement), statement
    for key in BRACKETED.findall(statement):
        assert model.source_of(key) is not None, key
    without = BRACKETED.sub("", statement)
    assert "[" not in without, statement


def test_every_bracketed_key_of_the_page_resolves() -> None:
    for key in BRACKETED.findall(PAGE):
        assert model.source_of(key) is not None, key


def test_the_page_keeps_its_other_sections() -> None:
    for heading in ("Who decides", "Before you start", "If something goes wrong", "Review"):
        assert f"\n## {heading}\n" in PAGE
    assert PAGE.count("[[[cog") == PAGE.count("[[[end]]]") == 5


FIRST_AID = {
    "Scald": "20 minutes", "Clothes on fire": "roll", "Nitrous oxide, collapsed": "on the side",
    "Lips": "swell", "alarm sounds": "Nobody goes back", "Chlorine": "Do not go back",
    "A jet of gas or liquid went into the skin": "even for a pinhole",
    "Acid on the skin": "20 minutes", "Acid in the eye": "contact lenses out",
    "Acid swallowed": "Do not make the person vomit", "Anaphylaxis": "second injector",
    "Cold burn": "Do not pull off what sticks", "Headache": "carbon monoxide",
    "Not breathing": "100 to 120", "Choking": "5 abdominal thrusts",
}  # fmt: skip


def first_aid() -> str:
    """The section on what to do, on one line."""
    match = re.search(r"^## If something goes wrong$(.*?)^## ", PAGE, re.MULTILINE | re.DOTALL)
    assert match
    return match[1]


@pytest.mark.parametrize(("case", "do"), FIRST_AID.items())
def test_first_aid_has_each_case_and_its_first_act(case: str, do: str) -> None:
    text = " ".join(first_aid().split())
    assert case in text
    assert do in text[text.index(case) :]


def test_each_point_of_first_aid_names_a_source_that_resolves() -> None:
    for point in statements(first_aid()):
        keys = BRACKETED.findall(point)
        assert keys, point
        assert all(model.source_of(key) for key in keys)


MINUTE = ("gas alarm sounds", "Burn", "Cold burn", "Acid in the eye", "near gas", "Allergy",
          "headache", "Not breathing", "Choking")  # fmt: skip


def minute() -> str:
    """The first section of the page."""
    match = re.search(r"^## In the first minute$(.*?)^## ", PAGE, re.MULTILINE | re.DOTALL)
    assert match
    assert PAGE.index("## In the first minute") == PAGE.index("## ")
    return match[1]


def test_the_first_page_is_what_is_needed_in_the_first_minute() -> None:
    """Numbers to call, then one short point for each case; then who decides, before all rules."""
    points = statements(minute())
    heads = " ".join(point.split(":**")[0] for point in points)
    for case in MINUTE:
        assert case in heads, case
    for number in ("Emergency", "Poison centre", "First-aider on shift"):
        assert re.search(rf"\| {number} \| _{{10,}} \|", minute())
    for point in points:
        said = BRACKETED.sub("", point.split(":** ")[1])
        assert all(len(one.split()) <= 12 for one in re.split(r"(?<=[.?!])\s+", said)), point
        assert len(said.split()) <= 16, point
    first, _, _ = PAGE.partition("\n## The rules\n")
    assert "## Who decides" in first
    assert "Local codes" in first
    assert "maker's manual" in first
    assert len(first.split()) <= WORDS


def test_the_first_act_is_that_of_the_whole_case() -> None:
    """Every number of a first act, and nearly every word of weight, stands in its case."""
    for row in blocks.blocks("first_aid.toml", "case"):
        assert ("minute" in row) == ("when" in row) == ("sign" in row), row["name"]
        if "minute" not in row:
            continue
        assert row["sign"] in signs.pictures()
        for number in re.findall(r"\d+", row["minute"]):
            assert re.search(rf"\b{number}\b", row["do"]), row
        told = set(re.findall(r"[a-z]{5,}", f"{row['name']} {row['do']}".lower()))
        new = set(re.findall(r"[a-z]{5,}", row["minute"].lower())) - told
        assert len(new) <= 1, (row["name"], new)


WORDS = 640  # of an A4 page in letters of 10.5 points


def spoken(text: str) -> str:
    """The text without marks, comments, tables and keys of sources."""
    bare = re.sub(r"<!--.*?-->|^\|.*?$|^#+ .*?$|\*\*|\[[A-Z0-9-]+\]", "", text, flags=re.M | re.S)
    return re.sub(r"^(?:- |\d+\. )", "", bare, flags=re.MULTILINE)


def test_what_a_cook_reads_is_two_pages_at_the_front() -> None:
    front, _, _ = PAGE.partition("\n## If something goes wrong\n")
    for heading in ("In the first minute", "Who decides", "The rules", "The verdict"):
        assert f"\n## {heading}\n" in front
    assert len(front.split()) <= 2 * WORDS


def test_sentences_before_the_tables_are_short() -> None:
    """At most 18 words, a number and its unit being one."""
    text, _, _ = PAGE.partition("\n## What prepkit does and does not decide\n")
    measures = re.compile(r"(\d[\d.,]*) (?:% vol|%|bar|°C|kg|g|l|m3|ppm|s|minutes|hours|days)\b")
    for block in re.split(r"\n\n+|\n(?=- |\d+\. )", text):
        for one in re.split(r"(?<=[.?!])\s+", " ".join(spoken(block).split())):
            assert len(measures.sub(r"\1", one).split()) <= 18, one
