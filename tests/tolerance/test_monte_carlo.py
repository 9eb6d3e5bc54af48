"""The +/- of every value of every calculator against Monte Carlo of the same inputs.

Like with like: the model's stated error is added to the sampled spread as it is to the stated one.
Within 15 % of the sampled spread, or marked as not linear; what is marked is never more than 15 %
less. The deep profile draws sixteen times as many, and bell-shaped errors too:

    PREPKIT_DEEP=16 python -m pytest -n 2 tests/tolerance
"""

from __future__ import annotations

import math
import os

import pytest
from tolerance import cases
from tolerance.cases import Case
from tolerance.sampling import sample

from prepkit import registry
from prepkit.index import CALCULATORS
from prepkit.model import Result
from prepkit.registry import PlusMinus

DEEP = float(os.environ.get("PREPKIT_DEEP", "1")) > 1
DRAWS = 2 ** round(math.log2(64 * float(os.environ.get("PREPKIT_DEEP", "1"))))  # a power of two
SHAPES = ("even", "bell") if DEEP else ("even",)
ALLOWED = 0.15
CASES = [
    *cases.examples(cases.SHARES if DEEP else cases.SHARES[1:]),
    *cases.of_recipes(),
    *cases.edges(),
]


def stated(case: Case) -> tuple[Result, dict[str, PlusMinus]]:
    compute = registry.load(case.calculator).compute
    result = compute(case.inputs)
    ends = registry.error_ends(compute, case.inputs, result)
    corners = registry.error_corners(compute, case.inputs, result, ends)
    return result, registry.spreads(result, ends, corners)


def wrong(spread: PlusMinus, sampled: float) -> bool:
    """Whether a stated +/- is off the sampled one by more than is allowed."""
    if spread.plus_minus < (1.0 - ALLOWED) * sampled:
        return True
    return spread.linear and spread.plus_minus > (1.0 + ALLOWED) * sampled


def mismatches(case: Case, shape: str) -> dict[str, tuple[PlusMinus, float]]:
    """The values whose stated +/- is not what sampling gives, with both."""
    result, spreads = stated(case)
    sampled = sample(registry.load(case.calculator).compute, case.inputs, DRAWS, shape)
    found = {}
    for name, value in result.numbers().items():
        spread = spreads.get(name, PlusMinus(0.0, True))
        both = math.hypot(result.model_error.get(name, 0.0), sampled[name].spread)
        rounding = max(1e-9 * abs(value), 1e-6 * 10.0 ** -result.outputs()[name].digits)
        if max(both, spread.plus_minus) > rounding and wrong(spread, both):
            found[name] = (spread, both)
    return found


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name.replace(" ", "-"))
def test_stated_is_sampled(case: Case, shape: str) -> None:
    assert mismatches(case, shape) == {}


def test_every_calculator_is_sampled_with_several_sets() -> None:
    for name in CALCULATORS:
        sets = len(cases.EDGES.get(name, ()))
        assert sets >= 2, (
            f"{name} has {sets} sets in tests/tolerance/cases.py; add what is at edges"
        )


@pytest.mark.parametrize("case", list(cases.examples((0.0005,))), ids=lambda case: case.calculator)
def test_a_small_tolerance_is_a_straight_line(case: Case) -> None:
    """Any smooth relation is straight over a small part of itself: nothing may be marked there.

    The example of `correct` needs no water: it is at the very edge where it would. What a room
    stands is rounded to what can be weighed, in steps that are coarser than so small a +/-.
    """
    _, spreads = stated(case)
    marked = {name for name, spread in spreads.items() if not spread.linear}
    assert marked <= {"correct": {"water_to_add"}, "cryogen": {"room_stands"}}.get(
        case.calculator, set()
    )


MARKED = [
    ("oleo", 0, "dissolved_solids"),  # peel and sugar together leave some undissolved, or do not
    ("cordial", 0, "viscosity_fridge"),  # steeply bent
    ("acid-solution", 0, "acid_w_w"),  # no more dissolves
    ("acid-adjust", 0, "acid_added"),  # on one side there is nothing to add
    ("siphon", 3, "vessels"),  # a whole number
    ("siphon", 2, "served"),
    ("correct", 1, "water_to_add"),  # water or sugar, according to the side
    ("correct", 1, "sweetener_to_add"),
    ("cryogen", 1, "most"),  # freezes or does not
]


@pytest.mark.parametrize(("calculator", "place", "value"), MARKED)
def test_what_bends_or_jumps_is_marked(calculator: str, place: int, value: str) -> None:
    case = [one for one in cases.edges() if one.calculator == calculator][place]
    assert not stated(case)[1][value].linear


@pytest.mark.parametrize(
    ("spread", "expected"),
    [
        (PlusMinus(1.0, True), False), (PlusMinus(1.14, True), False),
        (PlusMinus(0.86, True), False),
        (PlusMinus(1.2, True), True), (PlusMinus(0.8, True), True), (PlusMinus(0.0, True), True),
        (PlusMinus(3.0, False), False), (PlusMinus(0.8, False), True),
    ],
)  # fmt: skip
def test_the_comparison_itself_can_fail(spread: PlusMinus, expected: bool) -> None:
    assert wrong(spread, 1.0) is expected
