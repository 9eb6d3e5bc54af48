"""The catalogues of teaching text: complete, with the same numbers, units and placeholders."""

from __future__ import annotations

import re
from collections import Counter
from datetime import date

import pytest
from each import each

from prepkit import language
from prepkit.errors import BadInput
from prepkit.language import DOMAINS, catalogue, in_figures, messages, needs_words, places, said

LANGUAGES = language.languages()[1:]
#: Domains that are being translated now. Empty in a release.
WAITING: tuple[str, ...] = DOMAINS
EVERY = [(one, domain) for one in LANGUAGES for domain in DOMAINS]
LONGEST = 14  # words in a sentence
_UNIT = re.compile(
    r"(?<=\d )(?:[kmc]?g|[mcd]?l|m?bar|kPa|m2|m3|mm|cm|min|kW|kJ|kg/l|g/l|g/mol|°C|%|% vol|ppm)"
    r"(?![\w-])"
)
_NUMBER = re.compile(r"(?<![\w.,])\d+(?:[.,\u202f]\d+)*(?![\w])")


def translated(one: tuple[str, str]) -> dict[str, str]:
    return dict(catalogue(*one))


@each(EVERY, str)
def test_every_message_is_translated(one: tuple[str, str]) -> None:
    there = translated(one)
    left = [message for message in messages(one[1]) if message not in there]
    assert one[1] in WAITING or not left, left[:3]


@each(EVERY, str)
def test_a_translation_has_the_same_placeholders_numbers_and_units(one: tuple[str, str]) -> None:
    for english, other in translated(one).items():
        assert sorted(places(english)) == sorted(places(other)), english
        bare, told = (re.sub(r"\{[^}]*\}", "1", text) for text in (english, other))
        bare = re.sub(r"(?<=\d )C\b", "°C", bare)
        wanted = Counter(_NUMBER.findall(in_figures(bare, one[0])))
        assert wanted == Counter(_NUMBER.findall(told)), (english, other)
        assert Counter(_UNIT.findall(bare)) == Counter(_UNIT.findall(told)), (english, other)


@each(EVERY, str)
def test_a_translated_sentence_is_short(one: tuple[str, str]) -> None:
    for other in translated(one).values():
        for sentence in re.split(r"(?<=[.!?:;])\s+", other):
            words = [word for word in sentence.split() if re.search(r"[^\W\d_]{2}", word)]
            assert len(words) <= LONGEST, sentence


def test_the_catalogues_are_as_the_tool_writes_them() -> None:
    """Each message once, none that nobody says, and nothing marked as a guess."""
    for one, domain in EVERY:
        kept = language.read(language.path_of(one, domain), one)
        ids = [message.id for message in kept if message.id]
        assert len(ids) == len(set(ids))
        assert not [message.id for message in kept if message.id and message.fuzzy]
        if domain not in WAITING:
            assert set(ids) == set(messages(domain)), domain


def test_what_has_no_translation_is_said_in_english_and_no_language_is_guessed() -> None:
    assert said("No such sentence stands anywhere.", "de") == "No such sentence stands anywhere."
    assert said("{n} of {many}", "de", n=3, many=10.5) == "3 of 10,5"
    with pytest.raises(BadInput, match='language is "fr"; it must be one of en, de'):
        said("Nobody goes in.", "fr")


def test_numbers_keep_their_digits_and_dates_are_in_words() -> None:
    assert in_figures("0.50 l, 1,200 ml, 3/16 in (4.76 mm)", "de") == (
        "0,50 l, 1\u202f200 ml, 3/16 in (4,76 mm)"
    )
    assert in_figures("0.50 l", "en") == "0.50 l"
    assert language.dated(date(2026, 12, 1), "de") == "1. Dezember 2026"


def test_a_text_of_numbers_and_units_needs_no_translation() -> None:
    assert not needs_words("{fill_ml} ml, 8 g N2O at 5 °C".replace(" at", ","))
    assert needs_words("a bar stool")


def test_the_tool_names_a_domain_that_there_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert language.main(["sifon"]) == 2
    assert "'sifon' is no domain" in capsys.readouterr().err
