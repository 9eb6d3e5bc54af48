"""Numbers drawn for a question: one for each name, within their bounds, nothing lost."""

from __future__ import annotations

from random import Random
from typing import Any

from prepkit.draws import below, draw, generator, one_of, shuffled


class Scripted(Random):
    """A generator that gives out what it is told and may be asked for nothing else."""

    def __init__(self, *values: float) -> None:
        self._values = list(values)
        super().__init__(0)

    def random(self) -> float:
        return self._values.pop(0)

    def getrandbits(self, _bits: int) -> int:
        raise AssertionError("only random() gives the same run of numbers everywhere")


def test_a_draw_uses_one_number_for_each_name() -> None:
    spec: dict[str, Any] = {
        "fill": {"from": 400, "to": 500, "step": 25},
        "share": {"from": 0.5, "to": 1.5, "step": 0.1},
        "gas": ["n2o", "co2"],
        "vessel": [{"a": 1, "b": 2}, {"a": 3, "b": 4}],
    }
    assert draw(Scripted(0.0, 0.999, 0.5, 0.0), spec) == {
        "fill": 400, "share": 1.5, "gas": "co2", "a": 1, "b": 2,
    }  # fmt: skip


def test_below_stays_below() -> None:
    assert below(Scripted(0.999999999999), 3) == 2
    assert below(Scripted(0.0), 3) == 0
    assert one_of(Scripted(0.7), ["a", "b"]) == "b"


def test_shuffled_keeps_every_item() -> None:
    assert sorted(shuffled(generator("x"), range(20))) == list(range(20))
