"""A limit within the +/- of what was given is told, and never a milder verdict for a +/-."""

from __future__ import annotations

import json
from typing import Any

import pytest
from tolerance import cases
from tolerance.cases import Case

from prepkit import registry, run
from prepkit.cautions import VERDICTS
from prepkit.errors import PrepkitError
from prepkit.ingredient import Part
from prepkit.inputs import Inputs
from prepkit.model import Result
from prepkit.units import Measured

CASES = [*cases.examples(), *cases.of_recipes(), *cases.edges()]


def certain(inputs: Inputs) -> Inputs:
    """The same without any +/-."""

    def one(value: Any) -> Any:
        if isinstance(value, Part):
            return value.replaced(amount=Measured(float(value.amount), value.amount.unit))
        return Measured(float(value), value.unit) if isinstance(value, Measured) else value

    held = {name: getattr(inputs, name) for name in inputs.specs()}
    return inputs.replaced(
        **{
            name: tuple(map(one, value)) if isinstance(value, tuple) else one(value)
            for name, value in held.items()
        }
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name.replace(" ", "-"))
def test_never_milder_for_a_tolerance(case: Case) -> None:
    plain = registry.answer(case.calculator, certain(case.inputs))
    loose = registry.answer(case.calculator, case.inputs)
    assert VERDICTS.index(loose.verdict) >= VERDICTS.index(plain.verdict)
    worst = {one.severity for one in loose.cautions if not one.standing}
    assert loose.verdict == next((one for one in ("stop", "care") if one in worst), "clear")


_VESSEL = {"vessel_volume": "0.78 l", "max_fill": "0.6 l", "gas": "n2o", "chargers": 1,
           "temperature": "5 C", "charger_gas_mass": "8 g", "warmest": "5 C"}  # fmt: skip
# calculator, what is given, the one that is uncertain: on the good side, with too small a +/-,
# and with a +/- that reaches the limit; the caution of the limit and its severity
STRADDLES: tuple[tuple[str, dict[str, Any], str, str, str, str, str], ...] = (
    ("keep", {"water_activity": "0.93"}, "ph",
     "4.15 ± 0.02", "4.15 ± 0.1", "keep-needs-a-product-assessment", "care"),
    ("keep", {"water_activity": "0.91"}, "ph",
     "4.55 ± 0.02", "4.55 ± 0.1", "keep-needs-a-product-assessment", "care"),
    ("keep", {"ph": "4.4"}, "water_activity",
     "0.915 ± 0.002", "0.915 ± 0.01", "keep-needs-a-product-assessment", "care"),
    ("keep", {"ph": "4.4", "part": ["1 l milk"]}, "fridge",
     "4.5 C ± 0.3 C", "4.5 C ± 1 C", "keep-not-cold-enough", "stop"),
    ("keep", {"ph": "4.4", "part": ["1 l milk"]}, "out_of_cold",
     "3.5 h ± 0.3 h", "3.5 h ± 1 h", "keep-too-long-out-of-the-cold", "stop"),
    ("siphon", {**_VESSEL, "contents": "500 ml cream 35 %"}, "rated",
     "15 bar ± 0.1 bar", "15 bar ± 2 bar", "siphon-peak-over-rating", "stop"),
    ("siphon", {**_VESSEL, "rated": "30 bar"}, "contents",
     "590 ml ± 5 ml cream 35 %", "590 ml ± 15 ml cream 35 %", "siphon-overfilled", "stop"),
    ("room", {"release": "1.6 kg co2", "air_changes": "0 /h"}, "volume",
     "30 m3 ± 0.3 m3", "30 m3 ± 2 m3", "room-co2-too-high", "stop"),
    ("room", {"release": "1.6 kg co2", "air_changes": "0 /h", "volume": "33 m3"}, "equipment",
     "9 % ± 0.5 %", "9 % ± 6 %", "room-co2-too-high", "stop"),
    ("acid-solution", {"acid": "citric acid", "make": "500 ml", "storage": "20 C"}, "strength",
     "58 % w/w ± 0.5 %", "58 % w/w ± 3 %", "acid-beyond-saturation", "stop"),
    ("warm", {"hot": "100 g water", "part": ["60 ml spirit 40 %"], "temperature": "22 C"},
     "hot_temperature", "78 C ± 0.5 C", "78 C ± 5 C", "warm-scalds", "care"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("calculator", "said", "name", "small", "large", "caution", "severity"),
    STRADDLES,
    ids=[f"{one[0]}-{one[4]}" for one in STRADDLES],
)
def test_a_limit_within_the_tolerance_is_told(
    calculator: str,
    said: dict[str, Any],
    name: str,
    small: str,
    large: str,
    caution: str,
    severity: str,
) -> None:
    sure = run(calculator, {**said, name: small})
    assert caution not in {one.id for one in sure.cautions}
    near = run(calculator, {**said, name: large})
    (found,) = [one for one in near.cautions if one.id == caution]
    assert found.severity == severity
    assert VERDICTS.index(near.verdict) >= VERDICTS.index(severity)
    # where the calculator does not take the worse end itself, the end is named
    own = registry.load(calculator).inputs.judged_at_end
    assert found.text.startswith("Within your ±: ") == (name not in own)
    assert ("Reached within the ± you entered, at " in found.more) == (name not in own)


def test_inputs_that_only_together_reach_a_limit() -> None:
    def of(hot: str, spirit: str) -> set[str]:
        said = {"hot": "100 g water", "hot_temperature": f"78 C{hot}",
                "part": [f"60 ml{spirit} spirit 40 %"], "temperature": "22 C"}  # fmt: skip
        return {one.id for one in run("warm", said).cautions}

    assert "warm-scalds" not in of(" ± 2 C", "")
    assert "warm-scalds" not in of("", " ± 5 ml")
    assert "warm-scalds" in of(" ± 2 C", " ± 5 ml")


def test_a_stop_at_an_end_leaves_no_number_to_go_ahead_with() -> None:
    said = {"acid": "citric acid", "make": "500 ml", "storage": "20 C"}
    clear = run("acid-solution", {**said, "strength": "58 % w/w"})
    stopped = run("acid-solution", {**said, "strength": "61 % w/w"})
    near = run("acid-solution", {**said, "strength": "58 % w/w ± 3 %"})
    assert (clear.verdict, stopped.verdict, near.verdict) == ("care", "stop", "stop")
    assert set(near.values) == set(stopped.values) < set(clear.values)
    assert near.tables == stopped.tables
    for name, value in near.values.items():
        assert value.value == pytest.approx(stopped.values[name].value)
        assert value.plus_minus is None
    assert near.inputs["strength"] == "58.0 % w/w ± 3.0 % w/w"


# how many times a calculator is run


def _counted(calculator: str, inputs: Inputs) -> int:
    compute, runs = registry.load(calculator).compute, 0

    def counting(one: Inputs) -> Result:
        nonlocal runs
        runs += 1
        return compute(one)

    result = compute(inputs)
    ends = registry.error_ends(counting, inputs, result)
    registry.error_corners(counting, inputs, result, ends)
    return runs


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name.replace(" ", "-"))
def test_the_runs_are_few(case: Case) -> None:
    assert _counted(case.calculator, certain(case.inputs)) == 0
    many = len(registry.error_ends(lambda one: Result(), case.inputs, Result())) // 2
    assert _counted(case.calculator, case.inputs) <= 3 * many + registry.MOST_CORNERS


# what carries a +/-, and how


def test_a_bare_number_carries_one() -> None:
    answer = run("keep", {"ph": "3.9 ± 0.1", "water_activity": "0.99 ± 1 %"})
    assert answer.values["ph"].plus_minus == pytest.approx(0.1)
    assert answer.values["water_activity"].plus_minus == pytest.approx(0.0099)
    assert answer.inputs["ph"] == "3.9 ± 0.1"
    assert run("keep", answer.inputs).to_dict() == answer.to_dict()


@pytest.mark.parametrize(
    ("calculator", "said"),
    [
        ("room", {"volume": "30 m3", "release": "8 kg ± 1 kg co2"}),
        ("dose", {"stock": "citric acid", "strength": "20 % w/w", "into": "1 l water",
                  "amount": "1 ml ± 0.1 ml"}),
        ("layer", {"layer": ["120 ml filter coffee at 65 C", "30 ml cream 36 % at 5 C ± 1 C"]}),
    ],
)  # fmt: skip
def test_a_tolerance_that_would_be_lost_is_refused(calculator: str, said: dict[str, Any]) -> None:
    with pytest.raises(PrepkitError, match=r"takes no ±; write the figure that is worse"):
        run(calculator, said)


@pytest.mark.parametrize("ph", ["3.9 ± -0.1", "3.9 ±", "3.9 ± 0.1 pH"])
def test_a_wrong_tolerance_of_a_number_is_one_sentence(ph: str) -> None:
    with pytest.raises(PrepkitError) as wrong:
        run("keep", {"ph": ph, "water_activity": "0.9"})
    assert "\n" not in str(wrong.value)


def test_an_input_goes_no_further_than_it_can() -> None:
    answer = run("serve", {"part": ["100 ml spirit 40 %"], "serves": 1, "loss": "1 % ± 5 %"})
    mass = answer.values["mass"]
    sure = run("serve", {"part": ["100 ml spirit 40 %"], "serves": 1, "loss": "0 %"})
    assert mass.plus_minus is not None
    assert mass.value + mass.plus_minus > sure.values["mass"].value
    assert mass.non_linear
    amount = run("blend", {"part": ["2 g ± 5 g white sugar", "1 kg water"]}).values["sugar"]
    assert amount.non_linear


def test_rounding_is_no_tolerance() -> None:
    said = {"peel": "100 g ± 1 g lemon peel", "sugar": "100 g ± 1 g",
            "weighing": "2 h: peel 84 g, undissolved 20 g"}  # fmt: skip
    assert run("oleo", said).values["undissolved"].plus_minus is None


@pytest.mark.parametrize("share", [1.0, 1e6])
def test_a_wild_tolerance_is_answered_or_refused(share: float) -> None:
    """More than there is of it, or than there is in the world: never a crash, nan or infinity."""
    answered = 0
    for case in cases.edges():
        try:
            answer = registry.answer(case.calculator, cases.loosened(case.inputs, share))
        except PrepkitError:
            continue
        answered += 1
        json.dumps(answer.to_dict(), allow_nan=False)
    assert answered > 40
