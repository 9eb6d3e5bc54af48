"""One answer of the siphon never says two things: what still goes is not said beside a stop."""

from __future__ import annotations

import re
from random import Random
from typing import Any

import pytest
from deep import count, seeded

from prepkit import cautions
from prepkit.calculators.siphon import compute
from prepkit.errors import BadInput
from prepkit.model import Answer
from prepkit.registry import run, validate
from prepkit.science import gases

_NAMES = {gas: gases.GAS_NAMES[gas] for gas in ("n2o", "co2", "n2")}

PERMISSIVE = re.compile(r"\bonly if you\b|\bstays within\b|\bis shown\b|not over it")


def drawn(rng: Random) -> dict[str, Any]:
    """A load in words."""
    chargers = rng.choice([1, 2, 3, 4])
    said: dict[str, Any] = {
        "contents": rng.choice(
            ["500 ml cream 35 %", "400 ml water", "300 ml spirit 40 %", "450 ml lemon juice"]
        ),
        "vessel_volume": rng.choice(["0.6 l", "0.78 l", "1.3 l"]),
        "max_fill": rng.choice(["0.5 l", "0.45 l"]),
        "rated": rng.choice(["6 bar", "10 bar", "14 bar", "17 bar", "25 bar"]),
        "gas": rng.choice(["n2o", "co2", "n2"]),
        "chargers": chargers,
        "temperature": rng.choice(["4 C", "20 C", "50 C"]),
    }
    others: dict[str, Any] = {
        "warmest": rng.choice(["20 C", "35 C", "60 C"]),
        "most_chargers": rng.choice([1, 2, 3]),
        "sequence": " ".join(["charge shake"] * chargers),
        "room_volume": rng.choice(["1 m3", "10 m3", "60 m3"]),
        "allowed_gas": ["n2o"],
        "portion_size": "50 ml",
        "rated": f"{said['rated'].removesuffix(' bar')} bar ± 1 bar",
    }
    return said | {key: value for key, value in others.items() if rng.random() < 0.4}


def told(answer: Answer) -> list[str]:
    lines = [f"{one.text} {one.action}" for one in answer.cautions if not one.standing]
    return [answer.result.deciding, *lines]


def test_no_answer_says_two_things() -> None:
    rng = seeded(1711)
    never = {row.id for row in cautions.rows() if row.unless_stop}
    stops = 0
    for _ in range(count(250)):
        said = drawn(rng)
        try:
            answer = run("siphon", said)
        except BadInput:
            continue
        ids = {one.id for one in answer.cautions}
        if answer.verdict == "stop":
            stops += 1
            assert not ids & never, (said, ids & never)
            assert not [one for one in told(answer) if PERMISSIVE.search(one)], said
        # a figure of the peak that the verdict rests on is one figure
        bound = answer.values.get("bound")
        if bound is not None and bound.value is not None:
            for text in told(answer):
                for peak in re.findall(r"[Pp]eak up to ([\d.]+) bar", text):
                    # a bound is shown a tenth of a bar too high at most, and never too low
                    assert 0.0 <= float(peak) - bound.value <= 0.1 + 1e-9, (said, text)
    assert stops > 50


def test_the_verdict_without_words_is_that_of_the_cautions() -> None:
    rng, seen = seeded(1712), set()
    for _ in range(count(250)):
        try:
            result = compute(validate("siphon", drawn(rng)))
        except BadInput:
            continue
        known = {**cautions.about(result.product), **result.facts}
        found = cautions.verdict(cautions.judge("siphon", known))
        assert cautions.worst("siphon", known) == found
        seen.add(found)
    assert seen >= {"care", "stop"}


def test_a_load_that_only_shaking_keeps_within_says_so_where_it_goes() -> None:
    said = {"contents": "400 ml water", "vessel_volume": "1.3 l", "max_fill": "0.5 l",
            "rated": "10 bar", "gas": "co2", "chargers": 2, "temperature": "20 C",
            "warmest": "35 C", "most_chargers": 2,
            "sequence": "charge shake charge shake"}  # fmt: skip
    goes = run("siphon", said)
    assert "siphon-relies-on-shaking" in {one.id for one in goes.cautions}
    stopped = run("siphon", {**said, "allowed_gas": ["n2o"]})
    assert stopped.verdict == "stop"
    assert "siphon-relies-on-shaking" not in {one.id for one in stopped.cautions}


@pytest.mark.parametrize("gas", _NAMES)
def test_the_line_on_breathing_speaks_of_its_own_gas(gas: str) -> None:
    said = {"contents": "400 ml water", "vessel_volume": "1.3 l", "max_fill": "0.5 l",
            "rated": "17 bar", "gas": gas, "chargers": 1, "temperature": "5 C"}  # fmt: skip
    for more in ({}, {"contents": "400 ml sparkling wine"}, {"rated": None}):
        words = {key: value for key, value in {**said, **more}.items() if value is not None}
        answer = run("siphon", words)
        line = next(one for one in answer.cautions if one.id == "siphon-stands-inhalation")
        for other, name in _NAMES.items():
            assert (name in line.text.lower()) == (other == gas), line.text
