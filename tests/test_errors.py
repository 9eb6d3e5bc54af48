"""A pattern that is compiled later does what a compiled one does; what cannot be seen is found."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from prepkit import ingredient, numbers, pantry, units
from prepkit.calculators.siphon import inputs as siphon
from prepkit.errors import _NO_TEXT, _Later, later, unseen


def test_it_answers_as_a_compiled_pattern() -> None:
    made, other = later(r"(?P<n>\d+) G", re.IGNORECASE), re.compile(r"(?P<n>\d+) G", re.IGNORECASE)
    for words in ("4 g", "none", "12 G of 3 g"):
        assert made.findall(words) == other.findall(words)
        assert bool(made.fullmatch(words)) == bool(other.fullmatch(words))
        assert made.sub("x", words) == other.sub("x", words)
    assert (made.pattern, made.flags) == (other.pattern, other.flags)


def test_what_is_no_pattern_and_what_it_has_not() -> None:
    with pytest.raises(re.error):
        later("(").match("")
    with pytest.raises(AttributeError):
        _ = later("a").nothing  # type: ignore[attr-defined] # that is the test


def test_words_within_leave_out_only_texts_in_which_nothing_is_found() -> None:
    said = re.findall('"([^"\n]+)"', Path("README.md").read_text(encoding="utf-8"))
    said += ["1 And a Half cups", "17 BAR (a)", "17 bar (G)", "2 Parts gin", "80 PROOF", "× 5 g"]
    said += ["zest of 6 lemons", "2 Tbsp\tsugar", "equal  parts of a and b", "gin 1 : 2", "7 ± 1 g"]
    said += ["gin from 9 g of coffee", " tea at 80 °C", " gin at 5", " tea at fridge", "3 tsp salt"]
    known = [
        one
        for module in (ingredient, ingredient, numbers, pantry, units, siphon)
        for one in vars(module).values()
        if isinstance(one, _Later) and one._within
    ]
    for pattern in known:
        compiled = re.compile(*pattern._told)
        assert any(map(compiled.search, said)), compiled.pattern
        for text in said:
            for ask in ("match", "fullmatch", "search"):
                told, right = (getattr(one, ask)(text) for one in (pattern, compiled))
                assert str(told) == str(right), (compiled.pattern, text)
    assert len(known) > 10


def test_no_sign_that_cannot_be_seen_is_taken_for_text() -> None:
    pattern = re.compile(f"[{_NO_TEXT}\ue000-\ue002]")
    assert [n for n in range(0x11000) if unseen(chr(n)) != bool(pattern.search(chr(n)))] == []
