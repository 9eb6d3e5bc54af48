"""How grave an answer is, for the properties that nothing worse may look milder."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from hypothesis import HealthCheck, settings

from prepkit import cautions, registry
from prepkit.errors import PrepkitError
from prepkit.registry import load, validate

ORDER = ("clear", "care", "stop")
STOP = 2
REFUSED = 3  # no answer at all: as grave as any

# a deep run multiplies the number (tests/conftest.py)
deeply = settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def rank(name: str, said: Mapping[str, Any]) -> int:
    """0 clear, 1 care, 2 stop, 3 refused; as `run` judges it, without the +/- of every value."""
    words = {key: value for key, value in said.items() if value is not None}
    try:
        inputs = validate(name, words)
        refused = registry._refused(inputs)  # a plant that no calculator works with
        result = load(name).result(facts=refused) if refused else load(name).compute(inputs)
    except PrepkitError:
        return REFUSED
    return ORDER.index(cautions.verdict(registry._judged(name, inputs, result)))


def never_milder(name: str, said: Mapping[str, Any], *changes: Mapping[str, Any]) -> int:
    """The rank of one case, after each change was seen to be no milder."""
    here = rank(name, said)
    if here != REFUSED:
        for change in changes:
            assert rank(name, {**said, **change}) >= here, (said, change)
    return here
