"""A pattern that is compiled later does what a compiled one does."""

from __future__ import annotations

import re

import pytest

from prepkit.errors import later


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
