"""Whatever is said to a calculator: an answer that holds together, or one clear sentence."""

from __future__ import annotations

import contextlib
import io
import json
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fuzz import judge
from fuzz.words import HOSTILE, MARKUP, case
from prepkit.cli import main
from prepkit.index import CALCULATORS

SLOW = list(HealthCheck)  # drawing many words takes long beside one calculation


@pytest.mark.parametrize("name", CALCULATORS)
@settings(max_examples=12, suppress_health_check=SLOW)
@given(st.data())
def test_any_words_are_answered_or_refused(name: str, data: st.DataObject) -> None:
    judge.said(name, data.draw(case(name)))


@settings(max_examples=20, suppress_health_check=SLOW)
@given(st.sampled_from(list(CALCULATORS)), st.data())
def test_any_command_line(name: str, data: st.DataObject) -> None:
    words = [name, *_arguments(data.draw(case(name, hostile=2)))]
    words += data.draw(st.sampled_from([[], ["--json"], ["--working"], ["--units", "us"], ["--x"]]))
    status, out, err = called(words)
    assert status in (0, 2, 3), (words, err)
    if status == 2:
        assert not out
        if words[-1] == "--json" and err.startswith("{"):
            told = json.loads(err)["error"]
            assert told["exit_status"] == status
            judge.sentence(told["message"])
        else:
            judge.sentence(err.removesuffix("\n"))
    elif "--json" in words:
        judge.finite(json.loads(out))
    else:
        judge.seen(out)


def _arguments(words: dict[str, Any]) -> list[str]:
    """Words as a shell hands them over."""
    found = []
    for key, value in words.items():
        for one in value if isinstance(value, list | tuple) else [value]:
            said = str(one).replace("\0", "")  # which no shell can hand over
            found += ["--" + key.replace("_", "-")] + ([] if value is True else [said])
    return found


def called(words: list[str]) -> tuple[int, str, str]:
    """Status, output and errors of a command line, in time."""
    out, err = io.StringIO(), io.StringIO()
    with (
        judge.in_time(),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        pytest.raises(SystemExit) as ended,
    ):
        main(words)
    code = ended.value.code
    return (code if isinstance(code, int) else 0), out.getvalue(), err.getvalue()


@pytest.mark.parametrize("words", HOSTILE)
def test_a_hostile_word_in_a_part_is_named(words: str) -> None:
    judge.said("blend", {"part": words})
    judge.said("blend", {"part": ["1 kg water", f"10 g {words}"]})


@pytest.mark.parametrize(
    ("name", "said", "because"),
    [
        ("float", {"gas": "helium", "film": 10**400}, "too large"),
        ("serve", {"part": "60 ml spirit 40 %", "serves": -(10**400)}, "too large"),
        ("blend", {"part": ["1 g water"] * 201}, "201 times"),
        ("blend", {"part": ["1 g water" + ", 1 g water" * 20] * 10}, "210 parts"),
        ("room", {"volume": ["30 m3", "60 m3"], "release": "8 kg co2"}, "given twice"),
        ("blend", {"part": "1 g " + "a" * 2000}, "2004 characters"),
        ("room", {"volume": "30 m3", "jurisdiction": "U\x16K"}, r"U\\x16K"),
        ("blend", {"part": "5 g \udcff"}, r"\\udcff"),
        ("blend", {"part": "1e-300 g water"}, "less than any scale shows"),
        ("blend", {"part": ["0 g water", "0 ml spirit 40 %"]}, "amounts to 0"),
        ("cordial", {"part": "1 g lemon oil", "sweeten": "white sugar", "brix": "45",
                     "acidity": "1.2 %"}, "no part holds water"),
    ],
)  # fmt: skip
def test_what_once_failed_is_refused(name: str, said: dict[str, Any], because: str) -> None:
    from prepkit import run
    from prepkit.errors import BadInput

    with pytest.raises(BadInput, match=because) as caught:
        run(name, said)
    judge.refusal(caught.value)


def test_none_is_what_was_not_said() -> None:
    from prepkit import run

    words = {"acid": ["2 parts citric acid"], "strength": "6 % w/w", "make": "500 ml"}
    plain = run("acid-solution", words)
    assert run("acid-solution", {**words, "strength_as": None}).values == plain.values
    assert MARKUP not in str(plain.to_dict())
