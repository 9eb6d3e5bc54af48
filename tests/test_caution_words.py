"""The words of the cautions: a hazard and an action of at most 20 words, the rest in `more`.

How words are counted: what stands between two spaces is a word; a number and its unit are one word
("8 g", "17 bar", "40 % vol"); so is a list that must be told whole (allergens, what was not
entered), and so is a name that the user gave. A placeholder counts as what it expands to: a number
is one word, any other fact the longest that it can say (LONGEST).
"""

from __future__ import annotations

import re
import string
from collections.abc import Iterator

import pytest

from prepkit import blocks, caution_rows, facts
from prepkit.caution_rows import Row

MOST = 20  # words of a text, and of an action
SENTENCE = 18  # words of any sentence
# Files that are still to be rewritten. A file that is done is taken out, and none comes in.
OPEN = frozenset(
    f"{caution_rows.FOLDER}/{name}.toml"
    for name in (
        "acid", "blend", "chill", "common", "cordial", "correct", "cryogen", "dilute", "float",
        "foam", "hazards", "infuse", "keep", "layer", "measured", "oleo", "reading", "reduce",
        "room", "serve", "siphon", "sugar", "warm",
    )
)  # fmt: skip
# The longest that a fact in words expands to. "list": told whole, so counted as one word.
LONGEST: dict[str, str] = {
    "allergen_list": "list",
    "contents": "name",
    "gas_name": "carbon dioxide",
    "inspection_due": "2026-11-29",
    "jurisdiction": "name",
    "keg_missing": "list",
    "not_told": "list",
    "relief_words": "17 bar",
}
UNITS = (
    "% vol|% w/w|%|bar|°C|C|K|kg/m3|g/kg|mg/kg|mg/l|g/l|mg|kg|g|ml|l|m3|cm|mm|m|ppm|Bx|degrees|"
    "seconds|minutes|minute|hours|hour|days|day|times"
)
MEASURE = re.compile(rf"(\d[\d.,]*(?: ± [\d.,]+)?) (?:{UNITS})(?![\w%/])")
UNUSABLE = (
    # idiom that no cook says, and how things were said before
    "comes to nothing", "stands against", "what comes of it", "nobody said", "in what was given",
    "reckon", "if most dissolves", "left empty in", "all of it at once: a", "first gas alone",
    "refractometer shows", "kept by the plants", "thickness in the fridge", "ice begins",
    "to know beside", "more that can be said", "to be put right", "not told of", "was not told",
    "was not said", "was not given", "is over what", "it is over", "go on only", "whoever",
    "prepkit",
)  # fmt: skip


def rows() -> Iterator[tuple[str, Row]]:
    for path in blocks.names(caution_rows.FOLDER):
        for row in caution_rows.parsed({path: blocks.read(path)}):
            yield path, row


def expanded(text: str) -> str:
    """The text with each placeholder as long as it can become."""
    out = []
    for before, name, _, _ in string.Formatter().parse(text):
        out.append(before)
        if name and facts.kind(name) == "number":
            out.append("9.9")
        elif name:
            assert name in LONGEST, f"add to LONGEST the longest that {name} says"
            out.append(LONGEST[name])
    return "".join(out)


def words(text: str) -> int:
    """How many words, a number and its unit being one.

    >>> words("At 8 g and 40 % vol it burns."), words("13.1 ± 0.7 bar")
    (6, 1)
    """
    return len(MEASURE.sub(r"\1", text).replace(" ± ", "±").split())


def sentences(text: str) -> list[str]:
    return re.split(r"(?<=[.?!])\s+", text)


def faults(row: Row) -> list[str]:
    """What is wrong with the words of a row, in half a sentence each."""
    found = []
    for part, text in (("text", row.text), ("action", row.action), ("more", row.more)):
        long = expanded(text)
        if part != "more" and words(long) > MOST:
            found.append(f"{part} has {words(long)} words, at most {MOST}: {text}")
        for one in sentences(long):
            if words(one) > SENTENCE:
                found.append(f"a sentence of {words(one)} words, at most {SENTENCE}: {one}")
            if len(re.findall(r"[:;](?=\s)", one)) > 1:
                found.append(f"more than one colon or semicolon: {one}")
        if re.search(r"(?:^|[\s\"'(])--?[a-z]|\boptions?\b", text):
            found.append(f"{part} names an option of the command line: {text}")
        found += [f'{part} says "{bad}": {text}' for bad in UNUSABLE if bad in text.lower()]
    return found


@pytest.mark.parametrize(
    ("path", "row"), [pytest.param(path, row, id=row.id) for path, row in rows()]
)
def test_a_row_is_two_short_lines(path: str, row: Row) -> None:
    if path in OPEN:
        pytest.skip("to be rewritten")
    assert faults(row) == []


@pytest.mark.parametrize("path", sorted(OPEN))
def test_a_file_that_is_done_is_no_longer_open(path: str) -> None:
    """Else its rows could grow again unseen."""

    def bad(row: Row) -> bool:
        try:
            return bool(faults(row))
        except AssertionError:  # a fact whose length is not known yet
            return True

    assert any(bad(row) for of, row in rows() if of == path), "take it out of OPEN"


def test_a_row_as_it_was_is_found_wrong() -> None:
    row = caution_rows.row(
        {
            "id": "a-row",
            "kind": "pressure",
            "severity": "stop",
            "calculators": ["siphon"],
            "when": [{"fact": "bound_bar", "rule": "above", "limit": 17}],
            "text": f"Nobody said how warm it is: {'so ' * 12}it reaches {{bound_bar:.1f}} bar.",
            "action": "Enter --rated; ask; else: stop.",
            "source": "PRACTICE",
        }
    )
    said = " ".join(faults(row))
    for fault in (
        "text has 21 words",
        "a sentence of 21",
        "names an option",
        "colon",
        "nobody said",
    ):
        assert fault in said
