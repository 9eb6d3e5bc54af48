"""What the tests of the drink and room calculators share."""

from __future__ import annotations

import json
import math

from prepkit.model import Answer
from prepkit.registry import load

RANK = {"clear": 0, "care": 1, "stop": 2}


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


def assert_finite(answer: Answer) -> None:
    """The JSON form holds finite numbers only."""
    json.loads(json.dumps(answer.to_dict(), allow_nan=False))


def assert_scales(one: Answer, more: Answer, factor: float) -> None:
    """Extensive values by the factor, intensive ones the same."""
    outputs = load(one.calculator).result.outputs()
    assert set(one.values) == set(more.values)
    for name, got in more.values.items():
        wanted = one.values[name].value * (factor if outputs[name].extensive else 1.0)
        assert math.isclose(got.value, wanted, rel_tol=1e-6, abs_tol=1e-6), name


def assert_same(one: Answer, other: Answer, rel: float = 1e-9) -> None:
    for name, got in other.values.items():
        assert math.isclose(got.value, one.values[name].value, rel_tol=rel, abs_tol=1e-9), name
