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

from prepkit import blocks, cautions, facts
from prepkit.calculators.siphon.load import HELD
from prepkit.cautions import Row
from prepkit.shared import room_check

MOST = 20  # words of a text, and of an action
SENTENCE = 18  # words of any sentence
# The longest reason of a window in foamers.toml.
LONG_WHY = "saponin foam bears moderate alcohol and suffers from much, and the number is a guess"
# The longest that a fact in words expands to. "list": told whole, so counted as one word.
LONGEST: dict[str, str] = {
    "allergen_list": "list",
    "assumed": "list",
    "below": "name",
    "carbonating_gas": "carbon dioxide",
    "carried_words": "no known limit",
    "not_read_words": "“two or three words”",
    "charger_hot_words": " and reach 145 bar at 50 C",
    "close_layers": "list",
    "co2_effect": "fast breathing and pulse, dizziness, sickness, ringing ears",
    "co2_ppm_words": "145000",
    "clarify_agent": "egg white",
    "cloud_fuel": "list",
    "cloud_gas": "nitrous oxide",
    "cold_saturation_acid": "ascorbic acid",
    "contents": "name",
    "cryogen": "liquid nitrogen",
    "cryogen_part_why": "list",
    "cryogens": "dry ice and liquid nitrogen",
    "curdling_why": "its pH could not be worked out, so measure it with a meter",
    "dose_obtained": "practice",
    "dose_of": "dried egg white",
    "dose_too_little": (
        "the bubbles are few and fall back at once, and 0.3 % in plain water was weak"
    ),
    "dose_too_much": (
        "1 % is stiffer and drier, and above that it gains nothing and tastes of lecithin"
    ),
    "dose_usual": "0.3 to 0.8 % w/w",
    "dose_usual_g": "3.6 to 9.5 g",
    "dropper": "bottle insert",
    "emulsifier_amount": "list",
    "emulsifier_limit": "list",
    "enzyme_fruit": "list",
    "fat_obtained": "practice",
    "fat_why": LONG_WHY,
    "fat_window": "at least 30 %",
    "films_break": "list",
    "flagged_plants": "list",
    "flagged_unless": "list",
    "flagged_why": "list",
    "foamer": "dried egg white",
    "fog_rule": (
        "No rule there is known here. The strictest place known here, New York, forbids fog at the "
        "table"
    ),
    "gas": "name",
    "gas_breath": "Breathed in, nitrous oxide numbs and harms nerves and blood",
    "gas_name": "carbon dioxide",
    "gas_part_why": "list",
    "holding_place": "the strictest rule read",
    "inspection_due": "2026-11-29",
    "jurisdiction": "name",
    "jurisdictions": "list",
    "keg_missing": "list",
    "last_day": "2026-11-29",
    "later": "list",
    "less_gas": room_check.less("room", cold=False)["less_gas"],
    "less_gas_or_air": room_check.less("room", cold=False)["less_gas_or_air"],
    "law_memory_text": "list",
    "law_memory_where": "the Codex",
    "law_read_text": "list",
    "law_read_where": "the Codex",
    "margin_surer": max((one.surer for one in HELD.values()), key=len),
    "memory_limits": "list",
    "met_gas_names": "list",
    "met_gas_what": "dry ice or liquid nitrogen",
    "method": "siphon",
    "n2o_ppm_words": "145000",
    "not_known": "list",
    "not_told": "list",
    "oil_range": "40 to 1,200",
    "order": "list",
    # longest of air_effects.toml
    "oxygen_effect": (
        "faster and deeper breathing, poor judgement, blue lips, and fainting within "
        "minutes, even without warning"
    ),
    "peak_lower": max((one.lower for one in HELD.values()), key=len),
    "ph_because": "list",
    "ph_obtained": "practice",
    "ph_reason": "list",
    "ph_why": LONG_WHY,
    "ph_window": "2.5 to 9",
    "place": "cold room",
    "plug_words": "a heat-setting gelling agent and thick syrup or honey",
    "quinine_rule": "list",
    "thujone_rule": "list",
    "poison_part_unless": " It changes only if list.",
    "poison_part_why": "list",
    "rated_what": max((one.rated for one in HELD.values()), key=len),
    "reasons": "list",
    "refused_gas": "sulfur hexafluoride",
    "refused_gas_why": "it sinks, takes the air away and can make people unconscious",
    "refused_unless": "list",
    "refused_why": "list",
    "relief_words": "the rating of the weakest part",
    "saturation_acid": "ascorbic acid",
    "served_with_cryogen": "liquid nitrogen",
    "stabiliser_obtained": "practice",
    "stabiliser_of": "xanthan",
    "stabiliser_too_much": "0.1 % makes a lecithin air wetter, 0.5 % is too heavy to froth at all",
    "stabiliser_usual": "0.1 to 0.4 % w/w",
    "strength_obtained": "practice",
    "strength_why": LONG_WHY,
    "strength_window": "at most 15 % vol",
    "style": "name",
    "style_gases": "n2o or co2",
    "sugar_obtained": "practice",
    "sugar_why": LONG_WHY,
    "sugar_window": "at most 30 %",
    "temperature_obtained": "practice",
    "temperature_why": LONG_WHY,
    "temperature_window": "0 to 40 C",
    "top": "name",
    "turning": "list",
    "undissolved_acid": "ascorbic acid",
    "unpriced": "list",
    "usual_expansion": "20 to 100",
    "wanted_words": "after the last portion, gauge 2.5 bar",
    "warm_words": "list",
    "wash_allergens": "list",
    "wash_gas": "carbon dioxide",
    "window_ends": "temperature",
    "window_unmet": "the temperature ends before the dilution begins",
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
    for path in blocks.names(cautions.FOLDER):
        for row in cautions.parsed({path: blocks.read(path)}):
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


# an action that forbids the whole work: the words of a STOP, never of a CARE
FORBIDS = re.compile(
    r"this way\b|^(?:stop (?:this|the|it|work)|leave and|nobody (?:goes|works)|throw it away\b"
    r"|do not (?:do|use|serve|drink|eat|sell|make|go)\b|never (?:do|use|serve|drink|eat) it)",
    re.IGNORECASE,
)


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
            if one.startswith("What ") and not one.endswith("?"):
                found.append(f"a sentence starts with What: {one}")
            if len(re.findall(r"[:;](?=\s)", one)) > 1:
                found.append(f"more than one colon or semicolon: {one}")
        if re.search(r"(?:^|[\s\"'(])--?[a-z]|\boptions?\b", text):
            found.append(f"{part} names an option of the command line: {text}")
        if part == "action" and row.severity == "care" and FORBIDS.search(text):
            found.append(f"a CARE says what to do before, and forbids nothing: {text}")
        found += [f'{part} says "{bad}": {text}' for bad in UNUSABLE if bad in text.lower()]
    return found


def faults_of(path: str) -> list[str]:
    """The faults of a file; a fact whose length is not known yet is one."""
    found = []
    for of, row in rows():
        if of == path:
            try:
                found += [f"{row.id}: {one}" for one in faults(row)]
            except AssertionError as unknown:
                found.append(f"{row.id}: {unknown}")
    return found


def test_a_long_row_an_option_and_an_idiom_are_found() -> None:
    row = next(row for _, row in rows())
    assert faults(row._replace(text="Heat " * 21, action="Stop.", more=""))
    assert faults(row._replace(text="It burns.", action="Enter --warmest.", more=""))
    assert faults(row._replace(text="It comes to nothing.", action="Stop.", more=""))
    care = row._replace(severity="care", text="It burns.", more="")
    assert faults(care._replace(action="Do not do it this way: air the room."))
    assert not faults(care._replace(action="Before you start: air the room."))
    assert not faults(row._replace(text="It burns at 40 °C.", action="Keep it cold.", more=""))


@pytest.mark.parametrize("path", blocks.names(cautions.FOLDER))
def test_rows_are_two_short_lines(path: str) -> None:
    found = faults_of(path)
    assert not found, "\n".join(found)


def test_an_acid_is_rinsed_off_as_long_as_the_first_aid_says() -> None:
    cases = {one["name"]: one["do"] for one in blocks.blocks("first_aid.toml", "case")}
    first_aid = {
        minutes
        for name in ("Acid in the eye", "Acid on the skin")
        for minutes in re.findall(r"(\d+) minutes", cases[name])
    }
    assert len(first_aid) == 1
    said = {
        row.id: re.findall(r"(\d+) minutes", row.advice)
        for _, row in rows()
        if re.search(r"\b(?:rinse|eye|splash)\b.*\d+ minutes", row.advice, re.IGNORECASE)
    }
    assert len(said) > 10
    assert {minutes for found in said.values() for minutes in found} == first_aid, said
