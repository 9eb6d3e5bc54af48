"""An answer compared with the present one: only the lines that differ.

The answer held stands in the address as the words of its calculation. It is worked out again, so
that it outlives a reload and needs no script.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl, urlencode

from werkzeug.datastructures import MultiDict

from prepkit.model import Answer
from prepkit.page import forms
from prepkit.render.brief import brief
from prepkit.render.html import given

_ABSENT = "-"


@dataclass(frozen=True)
class Held:
    """The lines that differ: label, what was held, what is now; `back` is what is held."""

    rows: tuple[tuple[str, str, str], ...]
    back: str
    none: str = "Nothing differs."


def args_of(text: str) -> MultiDict[str, str]:
    """What is held, as an address holds it, without anything held of its own."""
    pairs = parse_qsl(text)  # no field of an address is longer than guard.MOST_LETTERS
    return MultiDict([(key, value) for key, value in pairs if key != forms.HELD])


def text_of(query: list[tuple[str, str]]) -> str:
    """The words of a calculation, as an address holds them for comparison."""
    return urlencode([pair for pair in query if pair[0] != forms.HELD])


def differing(name: str, was: Answer | None, now: Answer, text: str, system: str) -> Held:
    """The lines of two answers that differ: verdict, inputs, then the figures that decide."""
    if was is None:
        return Held((), text, "The answer to compare with cannot be worked out any more.")
    rows = [("Verdict", was.verdict.upper(), now.verdict.upper())]
    specs = forms.inputs(name)
    for key in dict.fromkeys([*now.inputs, *was.inputs]):
        if key in specs:
            rows.append((specs[key].label, _words(was.inputs, key), _words(now.inputs, key)))
    before, after = ({one.label: one.value for one in brief(answer, system).figures}
                     for answer in (was, now))  # fmt: skip
    for label in dict.fromkeys([*after, *before]):
        rows.append((label, before.get(label, _ABSENT), after.get(label, _ABSENT)))
    return Held(
        tuple((label[:1].upper() + label[1:], old, new) for label, old, new in rows if old != new),
        text,
    )


def _words(inputs: Mapping[str, Any], key: str) -> str:  # Any: words, numbers, lists of words
    return ", ".join(given(inputs[key])) if key in inputs else _ABSENT
