"""Every sentence of a lesson has its source, and is short."""

from __future__ import annotations

import pytest

from prepkit import lesson as model
from prepkit import model as sources
from prepkit.errors import FileProblem


def test_every_sentence_has_a_source_that_is_there() -> None:
    found = model.statements()
    assert len(found) > 60
    for one in found:
        assert one.sources, one
        assert all(sources.source_of(key) for key in one.sources), one


def test_no_sentence_is_longer_than_twelve_words() -> None:
    long = [
        sentence
        for one in model.statements()
        for sentence in model.sentences(one.text)
        if len(sentence.split()) > model.MOST_WORDS
    ]
    assert not long


def test_what_rests_on_nothing_is_refused() -> None:
    for row, why in (
        ({"do": ["Open the valve."]}, "without a source"),
        ({"do": [{"text": "Open the valve."}]}, "rests on 0"),
        ({"do": [{"text": "Open it.", "sources": ["NOT-THERE"]}]}, "not there"),
        ({"do": [{"text": "Open it.", "caution": "not-there"}]}, "not there"),
        ({"do": [{"text": "Open it.", "calculator": "not-there"}]}, "not there"),
        ({"do": [{"text": "Open it.", "caution": "a", "sources": ["JUDGEMENT"]}]}, "rests on 2"),
    ):
        with pytest.raises(FileProblem, match=why):
            list(model._found({"part": [row]}, "x.toml"))


def test_everything_that_a_lesson_can_print_is_traced() -> None:
    found = model.traced()
    files = {one.file for one in found}
    assert {"first_aid.toml", "signs.toml", "wall_sheets.toml", "drills/room.toml"} <= files
    for one in found:
        assert one.sources, one
