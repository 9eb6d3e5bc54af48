"""float: published limits, refusals, never a yes for the heavy gases, gas and room."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit import blocks
from prepkit.errors import BadInput, PrepkitError
from prepkit.model import Answer
from prepkit.registry import load, run

YES = "yes, by these numbers"


def check(gas: str = "helium", **more: Any) -> Answer:
    return run("float", {"gas": gas, **more})


def value(answer: Answer, name: str) -> float:
    return answer.values[name].value


def ids(answer: Answer) -> set[str]:
    return {caution.id for caution in answer.cautions if not caution.standing}


def words(answer: Answer) -> list[str]:
    table = next(table for table in answer.tables if table.name == "answer")
    return [str(row[-1]) for row in table.rows]


def test_largest_liquid_fraction_of_helium() -> None:
    # FOM-18: air of 50 % humidity, helium saturated, 20 C: 1.022e-3 by volume
    answer = check()
    assert value(answer, "largest_liquid") == pytest.approx(0.1022, abs=0.0005)
    # COOLPROP (read): such air 1.19936, such helium 0.17976 kg/m3
    assert value(answer, "air_density") == pytest.approx(1.19936, abs=0.0012)
    assert value(answer, "gas_density") == pytest.approx(0.17976, abs=0.0003)
    # FOM-21, -22 are for dry gas: 5.77 and 2.88 mm; wet ones must be a little larger
    assert value(answer, "smallest_bubble") == pytest.approx(5.77 * 1.040 / 1.022, abs=0.05)
    assert value(answer, "smallest_foam_bubble") == pytest.approx(2.88 * 1.040 / 1.022, abs=0.05)


def test_lift_of_a_lone_bubble() -> None:
    # FOM-23: 10 mm, film 1 um, dry: 0.230 mg
    assert value(check(bubble="10 mm", humidity="0 %"), "bubble_lift") == pytest.approx(
        0.230, abs=0.01
    )


def test_drained_foam() -> None:
    # FOM-27: bubbles of 3 mm, 50 mm up, 30 mN/m: 0.055 % in the channels; films come on top
    answer = check(bubble="3 mm", height="50 mm", film="0.01 um")
    assert value(answer, "drained_liquid") == pytest.approx(0.055, abs=0.004)
    assert words(answer)[1] == YES
    # FOM-28: bubbles of 1 mm hold 0.497 %: sinks
    answer = check(bubble="1 mm", height="50 mm", film="0.01 um")
    assert value(answer, "drained_liquid") == pytest.approx(0.497, abs=0.02)
    assert words(answer)[1] == "no, too wet"


def test_honest_answer_for_a_wet_lecithin_air() -> None:
    answer = check()
    assert words(answer) == ["no, too wet"]
    assert answer.verdict == "care"
    caution = next(c for c in answer.cautions if c.id == "float-too-wet")
    assert "No" in caution.text
    assert "expand" in caution.more
    # FOM-26: expansion 201 sinks; FOM-25: expansion 1000 floats
    assert words(check(liquid_fraction="0.4975 %")) == ["no, too wet"]
    assert words(check(liquid_fraction="0.09 %")) == [YES]
    assert words(check(liquid_fraction="0.1 %")) == ["too close to call"]


@pytest.mark.parametrize("gas", ["nitrogen", "n2o", "co2", "argon", "air"])
@given(st.floats(0.004, 50), st.floats(5, 40), st.floats(0, 100), st.floats(700, 1080))
@settings(deadline=None, max_examples=20)
def test_never_a_yes_for_the_other_gases(
    gas: str, percent: float, celsius: float, humidity: float, mbar: float
) -> None:
    # FOM-19: nitrogen could lift 0.004 % when dry; FOM-20: the heavy gases nothing at all
    answer = check(
        gas,
        liquid_fraction=f"{percent!r} %",
        temperature=f"{celsius!r} C",
        humidity=f"{humidity!r} %",
        pressure=f"{mbar!r} mbar",
    )
    if gas in ("n2o", "co2", "argon"):
        assert words(answer) == ["no, never with this gas"]
        assert "float-never-with-this-gas" in ids(answer)
    else:
        # wet gas in dry warm air is lighter by its vapour: still far below any foam
        largest = answer.values.get("largest_liquid")
        assert largest is None or largest.value < 0.01
        assert words(answer) != [YES] or (largest is not None and percent < largest.value)


@given(st.floats(0.001, 5.0), st.floats(1.01, 3.0))
@settings(deadline=None, max_examples=30)
def test_wetter_is_never_a_better_answer(percent: float, factor: float) -> None:
    order = [YES, "too close to call", "no, too wet"]
    drier = words(check(liquid_fraction=f"{percent!r} %"))[0]
    wetter = words(check(liquid_fraction=f"{percent * factor!r} %"))[0]
    assert order.index(wetter) >= order.index(drier)


@pytest.mark.parametrize(
    "gas", ["hydrogen", "H2", "methane", "natural gas", "hot air", "candle", "oxygen", "propane"]
)
def test_refused_gases_stop_without_a_number(gas: str) -> None:
    answer = check(gas, foam_volume="150 ml", room_volume="60 m3")
    assert answer.verdict == "stop"
    assert "float-gas-refused" in ids(answer)
    assert not answer.values
    assert not answer.tables
    assert not answer.working


def test_every_refused_gas_has_its_reason() -> None:
    for row in blocks.blocks("float_gases.toml", "refused"):
        assert len(row["why"]) > 20


# gas, room, money


def test_gas_of_a_service() -> None:
    answer = check(foam_volume="150 ml", serves=40, liquid_fraction="2 %", price="25",
                   room_volume="60 m3")  # fmt: skip
    assert value(answer, "gas_per_serve") == pytest.approx(0.147)
    assert value(answer, "gas_in_all") == pytest.approx(5.88)
    assert value(answer, "cost") == pytest.approx(25 * 5.88e-3)
    assert value(answer, "room_share") == pytest.approx(100 * 5.88e-3 / 60)
    half_lost = check(foam_volume="150 ml", serves=40, liquid_fraction="2 %", lost="50 %")
    assert value(half_lost, "gas_in_all") == pytest.approx(11.76)


def test_twice_the_serves_takes_twice_the_gas() -> None:
    outputs = load("float").result.outputs()
    said = {"foam_volume": "150 ml", "room_volume": "60 m3", "price": 25}
    one, two = (check(serves=n, **said) for n in (20, 40))
    for name, output in outputs.items():
        if name in one.values:
            factor = 2 if output.extensive else 1
            assert value(two, name) == pytest.approx(factor * value(one, name)), name


def test_room_is_asked_for_and_judged() -> None:
    assert "float-room-not-given" in ids(check(foam_volume="150 ml"))
    assert "float-room-not-given" not in ids(check(foam_volume="150 ml", room_volume="60 m3"))
    assert "float-room-not-given" not in ids(check())  # no gas was asked about
    # 1 % of the room, just inside and past: 0.99 x 0.15 l x serves over 1 m3
    said = {"foam_volume": "150 ml", "room_volume": "1 m3", "liquid_fraction": "1 %"}
    assert "float-room-share" not in ids(check(serves=67, **said))
    assert "float-room-share" in ids(check(serves=68, **said))
    # 19.5 % oxygen: a share of 6.92 % of the room, 466 serves
    assert check(serves=465, **said).verdict == "care"
    stopped = check(serves=467, **said)
    assert stopped.verdict == "stop"
    assert "float-room-short-of-oxygen" in ids(stopped)
    assert not stopped.values


@given(st.integers(1, 3000), st.floats(1.05, 5.0))
@settings(deadline=None, max_examples=25)
def test_more_gas_or_a_smaller_room_is_never_milder(serves: int, factor: float) -> None:
    rank = ["clear", "care", "stop"]
    said = {"foam_volume": "150 ml"}
    here = check(serves=serves, room_volume="3 m3", **said).verdict
    more = check(serves=int(serves * factor) + 1, room_volume="3 m3", **said).verdict
    smaller = check(serves=serves, room_volume=f"{3 / factor!r} m3", **said).verdict
    assert rank.index(more) >= rank.index(here)
    assert rank.index(smaller) >= rank.index(here)


def test_spirit_in_the_foam() -> None:
    spirit = check(liquid=["100 ml vodka 40 %", "200 ml water"])
    assert "float-spirit-in-the-foam" in ids(spirit)
    assert "float-spirit-in-the-foam" not in ids(check(liquid="300 ml lemon juice"))


def test_heavy_gas_and_oxidiser() -> None:
    assert {"float-gas-collects-low", "float-oxidiser"} <= ids(check("n2o"))
    assert "float-oxidiser" not in ids(check("co2"))
    assert "float-gas-takes-the-air-away" not in ids(check("air"))


@pytest.mark.parametrize(
    ("said", "match"),
    [
        ({"gas": "heliumm"}, "helium"),
        ({}, "needs --gas"),
        ({"gas": "helium", "height": "50 mm"}, "needs --bubble"),
        ({"gas": "helium", "liquid_fraction": "-1 %"}, "more than 0"),
        ({"gas": "helium", "liquid_fraction": "120 %"}, "between|at most"),
        ({"gas": "helium", "humidity": "120 %"}, "0 and 100"),
        ({"gas": "helium", "temperature": "60 C"}, "5 and 40"),
        ({"gas": "helium", "pressure": "1 m"}, "pressure"),
        ({"gas": "helium", "serves": "0"}, "serves"),
        ({"gas": "helium", "bubble": "nan mm"}, "finite"),
    ],
)
def test_bad_input_is_one_sentence(said: dict[str, Any], match: str) -> None:
    with pytest.raises(PrepkitError, match=match) as caught:
        run("float", said)
    assert "\n" not in caught.value.message
    assert isinstance(caught.value, BadInput)


@pytest.mark.parametrize("gas", ["helium", "n2o", "hydrogen"])
def test_json_is_finite_and_reads_back(gas: str) -> None:
    answer = check(gas, bubble="0.5 mm", height="20 mm", foam_volume="100 ml", room_volume="50 m3")
    text = json.dumps(answer.to_dict(), allow_nan=False)
    again = run("float", json.loads(text)["inputs"])
    assert again.to_dict()["values"] == answer.to_dict()["values"]
    assert all(math.isfinite(v.value) for v in answer.values.values())


def test_what_does_not_float_says_so_first() -> None:
    words = {"liquid_fraction": "2 %", "bubble": "3 mm", "height": "50 mm"}
    for gas in ("nitrogen", "argon", "helium"):
        answer = run("float", {**words, "gas": gas})
        assert answer.result.deciding.startswith("It does not float: ")
    dry = run("float", {**words, "gas": "helium", "liquid_fraction": "0.01 %"})
    assert not dry.result.deciding
