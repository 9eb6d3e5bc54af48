"""The catalogues of teaching text: complete, with the same numbers, units and placeholders."""

from __future__ import annotations

import re
from collections import Counter

import pytest
from each import each
from test_language import LANGUAGES, NUMBER

from prepkit import catalogues, language
from prepkit.catalogues import messages
from prepkit.language import DOMAINS, catalogue, in_figures, places

#: Domains that are being translated now. Empty in a release.
WAITING: tuple[str, ...] = ()
EVERY = [(one, domain) for one in LANGUAGES for domain in DOMAINS]
LONGEST = 14  # words in a sentence
_UNIT = re.compile(
    r"(?<=\d )(?:[kmc]?g|[mcd]?l|m?bar|kPa|m2|m3|mm|cm|min|kW|kJ|kg/l|g/l|g/mol|°C|%|% vol|ppm)"
    r"(?![\w-])"
)


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
        wanted = Counter(NUMBER.findall(in_figures(bare, one[0])))
        assert wanted == Counter(NUMBER.findall(told)), (english, other)
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
        kept = language.read(catalogues.path_of(one, domain), one)
        ids = [message.id for message in kept if message.id]
        assert len(ids) == len(set(ids))
        assert not [message.id for message in kept if message.id and message.fuzzy]
        if domain not in WAITING:
            assert set(ids) == set(messages(domain)), domain


def test_every_place_where_texts_are_looked_for_is_there() -> None:
    """A file that has moved would take its messages out of the catalogues without a word."""
    every = [pattern for patterns in catalogues.CODE.values() for pattern in patterns]
    assert not [one for one in every if not list(catalogues.PACKAGE.glob(one))]


def test_the_tool_names_a_domain_that_there_is_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert catalogues.main(["sifon"]) == 2
    assert "'sifon' is no domain" in capsys.readouterr().err
