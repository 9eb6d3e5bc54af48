"""reading: published readings, round trips through the mixture, refusals, cautions."""

from __future__ import annotations

import shlex
from typing import Any

import pytest
from calculators.helpers_drink import assert_finite, assert_same, assert_scales, ids, value
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from published.rows import load as load_rows

from prepkit.errors import BadInput, OutOfRange, PrepkitError
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.registry import load, run
from prepkit.science import ethanol, solution
from prepkit.shared import instruments

PUBLISHED = {row.id: row for name in ("sugar", "ethanol", "heat") for row in load_rows(name)}


def reading(**said: Any) -> Answer:
    return run("reading", said)


def near(found: float, row_id: str, per: float = 1.0) -> None:
    row = PUBLISHED[row_id]
    assert abs(found - row.value * per) <= row.tolerance * per, row_id


# published


def test_port_by_two_readings() -> None:
    # SUG-39: R = 20.0 Bx, Be = 4.0, 0.5 % acid gives 20.3 % vol by a formula made on 35 port wines
    answer = reading(refractometer=20.0, baume=4.0, acid="0.5 %")
    near(value(answer, "abv"), "SUG-39")
    assert answer.values["abv"].plus_minus == pytest.approx(2.0)
    assert answer.values["sugar"].plus_minus == pytest.approx(1.0)


@pytest.mark.parametrize(("r", "be"), [(20.0, 4.0), (16.0, 2.0), (24.0, 6.5), (18.0, 3.0)])
def test_port_formula_over_its_wines(r: float, be: float) -> None:
    # ROGERSON-SYMINGTON-2006 (read): ABV = 1.646 R - 2.703 Be - 1.794
    answer = reading(refractometer=r, baume=be, acid="0.5 %")
    assert abs(value(answer, "abv") - (1.646 * r - 2.703 * be - 1.794)) <= 0.8


def test_mean_of_two_readings_is_the_sugar() -> None:
    # SUG-37: the mean of both readings of 20 % sugar and 10 % ethanol is 20 within 0.4
    answer = reading(refractometer=24.0, hydrometer="15.8 Bx", acid="0 %")
    assert value(answer, "sugar") == pytest.approx(20.0, abs=0.4)


def test_temperature_corrections() -> None:
    # SUG-22, -23, -24, -25 (wine table), -26, -27, -083 (laboratory table), -080, -081 (glucose)
    rows = [
        ("SUG-22", 20, 10), ("SUG-23", 60, 10), ("SUG-24", 10, 15), ("SUG-25", 50, 15),
        ("SUG-26", 0, 10), ("SUG-27", 30, 21), ("SUG-080", 20.1, 30), ("SUG-081", 51.3, 30),
        ("SUG-082", 0, 30),
    ]  # fmt: skip
    for row_id, shown, temperature in rows:
        at_20 = instruments.refractometer_at_20(float(shown), float(temperature), False)
        near(at_20 - shown, row_id)
    answer = reading(refractometer=20, temperature="30 C", abv=0)
    assert value(answer, "refractometer_20") == pytest.approx(20.8, abs=0.05)  # warm reads low
    assert value(reading(refractometer=20, temperature="30 C", atc=True, abv=0), "sugar") == (
        pytest.approx(20.0, abs=0.01)
    )


def test_cordial_reading_is_not_its_sugar() -> None:
    # SUG-42: 600 g sugar, 400 g water, 40 g citric acid reads 61.07; sugar 57.69 %, acid 3.85 %
    answer = reading(refractometer=61.07, acid="3.846 %", abv=0)
    assert value(answer, "sugar") == pytest.approx(57.69, abs=0.2)
    assert value(answer, "dissolved_solids") == pytest.approx(61.54, abs=0.2)


def test_juice_scale_adds_for_acid() -> None:
    # SUG-40: 5.00 % citric acid, +0.97
    answer = reading(refractometer=30, acid="5 %", abv=0)
    near(value(answer, "juice_brix") - 30.0, "SUG-40")
    assert value(answer, "sugar") < 30.0 - 4.0


def test_honey() -> None:
    # SUG-65: honey with 20 % water reads 78.4; true solids 80
    near(value(reading(liquid="honey", refractometer=78.4), "sugar"), "SUG-65b")
    assert value(reading(refractometer=78.4, invert="80 %"), "sugar") == pytest.approx(80.0)


def test_inverted_syrup() -> None:
    # SUG-092: 50 Bx fully inverted holds 52.63 % and reads 51.7
    answer = reading(refractometer=51.7, invert="52.6 %")
    assert value(answer, "sugar") == pytest.approx(52.63, abs=0.2)


def test_alcoholometer_at_25_c() -> None:
    # SPH-036: reads 40.0 at 25 C, true 38.0
    near(value(reading(alcoholometer=40, temperature="25 C"), "abv"), "SPH-036")


def test_coffee() -> None:
    # SPH-058, -059: 18 g to 36 g at 9 % is 18 %; 320 g at 1.35 % from 20 g is 21.6 %
    shot = {"liquid": "coffee", "brew": "percolation"}
    near(value(reading(**shot, tds="9 %", dose="18 g", beverage="36 g"), "extraction"), "SPH-058")
    near(
        value(reading(**shot, tds="1.35 %", dose="20 g", beverage="320 g"), "extraction"),
        "SPH-059",
    )
    # SPH-060: 0.85 % solids for each Bx
    near(value(reading(liquid="coffee", refractometer=1.0), "tds"), "SPH-060")
    # by hand: 0.0135 / 0.9865 x 300 / 20
    steeped = reading(liquid="coffee", tds="1.35 %", brew="immersion", dose="20 g", water="300 g")
    assert value(steeped, "extraction") == pytest.approx(20.53, abs=0.01)
    # by hand: 320 - 2.05 x 20 = 279 g run out
    filtered = reading(liquid="coffee", tds="1.35 %", brew="percolation", dose="20 g",
                       water="320 g")  # fmt: skip
    assert value(filtered, "beverage_mass") == pytest.approx(279.0)


# obscuration: 0.4 proof for each 100 mg in 100 ml, added from 400 to 600 (27 CFR 30.32)


@pytest.mark.parametrize(("solids", "added"), [(0.0, 0.0), (4.0, 0.0), (4.1, 0.82), (6.0, 1.2)])
def test_obscuration(solids: float, added: float) -> None:
    answer = reading(alcoholometer=43, solids=f"{solids} g/l")
    assert value(answer, "abv") == pytest.approx(43.0 + added)
    assert value(answer, "obscuration") == pytest.approx(0.2 * solids)


def test_obscuration_meets_the_mixture_model() -> None:
    # 5 g/l of sugar in 45 % vol hides 2 proof by rule; the mixture model says 2.1
    mix = instruments.composition(5.0 / 943.0, 0.45, instruments.SampleAcid())
    p = ethanol.mass_fraction_from_density(solution.density_kg_m3(mix), 20.0)
    shown = 100 * ethanol.abv_from_mass_fraction(p)
    answer = reading(alcoholometer=shown, solids="5 g/l")
    assert value(answer, "abv") == pytest.approx(45.0, abs=0.1)


# round trips: mixture -> readings -> mixture


@settings(max_examples=80, deadline=None)
@given(
    sugar=st.floats(0.0, 0.45),
    abv=st.floats(0.0, 0.22),
    acid=st.floats(0.0, 0.05),
    kind=st.sampled_from(["citric", "malic", "lactic"]),
    temperature=st.floats(15.0, 25.0),
)
def test_round_trip_by_two_readings(
    sugar: float, abv: float, acid: float, kind: str, temperature: float
) -> None:
    mix = instruments.composition(sugar, abv, instruments.SampleAcid(kind, acid))
    assume(mix["ethanol"] < 0.295)
    shown = solution.refractometer_brix(mix)
    density = solution.density_kg_m3(mix, temperature)
    mark = density / (1.0 - ethanol.GLASS_PER_K * (temperature - 20.0))
    answer = reading(
        refractometer=shown, hydrometer=f"{mark!r} kg/m3", atc=True,
        temperature=f"{temperature!r} C", acid=f"{100 * acid!r} % w/w", acid_kind=kind,
    )  # fmt: skip
    # one part in ten thousand: nothing is lost on the way, far inside the stated 1 Bx and 2 % vol
    assert value(answer, "sugar") == pytest.approx(100 * sugar, abs=0.02)
    assert value(answer, "abv") == pytest.approx(100 * abv, abs=0.02)
    assert answer.values["sugar"].plus_minus >= 1.0
    assert answer.values["abv"].plus_minus >= 2.0
    assert_finite(answer)


@settings(max_examples=60, deadline=None)
@given(sugar=st.floats(0.0, 0.7), acid=st.floats(0.0, 0.06), temperature=st.floats(5.5, 39.5))
def test_round_trip_by_one_float(sugar: float, acid: float, temperature: float) -> None:
    mix = instruments.composition(sugar, 0.0, instruments.SampleAcid("citric", acid))
    assume(sugar + acid < 0.8)
    density = solution.density_kg_m3(mix, temperature)
    mark = density / (1.0 - ethanol.GLASS_PER_K * (temperature - 20.0))
    answer = reading(hydrometer=f"{mark!r} kg/m3", temperature=f"{temperature!r} C", abv=0,
                     acid=f"{100 * acid!r} % w/w")  # fmt: skip
    assert value(answer, "sugar") == pytest.approx(100 * sugar, abs=0.01)


@settings(max_examples=60, deadline=None)
@given(
    sugar=st.floats(0.0, 0.6), abv=st.floats(0.0, 0.2), acid=st.floats(0.0, 0.06),
    water=st.floats(0.0, 3.0),
)  # fmt: skip
def test_round_trip_by_refractometer_thinned(
    sugar: float, abv: float, acid: float, water: float
) -> None:
    mix = instruments.composition(sugar, abv, instruments.SampleAcid("citric", acid))
    shown = solution.refractometer_brix(instruments.thinned(mix, water))
    answer = reading(refractometer=shown, abv=100 * abv, acid=f"{100 * acid!r} % w/w",
                     thinned=water)  # fmt: skip
    assert value(answer, "sugar") == pytest.approx(100 * sugar, abs=0.01)


def test_thinned_sample_by_two_readings() -> None:
    mix = instruments.composition(0.45, 0.25, instruments.SampleAcid("citric", 0.02))
    half = instruments.thinned(mix, 1.0)
    answer = reading(
        refractometer=solution.refractometer_brix(half), thinned=1.0, acid="2 %",
        hydrometer=f"{solution.density_kg_m3(half)!r} kg/m3",
    )  # fmt: skip
    assert value(answer, "sugar") == pytest.approx(45.0, abs=0.02)
    assert value(answer, "abv") == pytest.approx(25.0, abs=0.02)
    assert answer.values["sugar"].plus_minus >= 2.0  # the error doubles with the thinning


def test_round_trip_through_a_pantry_mixture() -> None:
    # what the tool says a cordial will read is what the reading turns back into
    made = run("cordial", part=["1 kg white sugar", "900 g water", "20 g citric acid",
                                "300 g spirit 40 %"])  # fmt: skip
    product = made.product
    assert isinstance(product, Mixture)
    answer = reading(refractometer=product.refractometer_brix,
                     hydrometer=f"{product.density_kg_m3()!r} kg/m3",
                     acid=f"{100 * product.fraction('citric')!r} % w/w")  # fmt: skip
    assert value(answer, "sugar") == pytest.approx(100 * product.sugar, abs=0.1)
    assert value(answer, "abv") == pytest.approx(100 * product.abv, abs=0.1)


def test_acid_in_g_l_is_the_same_acid() -> None:
    by_mass = reading(refractometer=40, acid="2 % w/w", abv=0)
    density = value(by_mass, "density")
    by_volume = reading(refractometer=40, acid=f"{0.02 * density!r} g/l", abv=0)
    assert_same(by_mass, by_volume, 1e-7)


def test_no_alcohol_within_what_the_readings_can_tell() -> None:
    # a plain syrup of 40 Bx whose float was read half a degree high, or low
    for hydrometer in ("40.5 Bx", "40 Bx", "39.5 Bx"):
        answer = reading(refractometer=40, hydrometer=hydrometer, acid="0 %")
        assert value(answer, "sugar") == pytest.approx(40.0, abs=1.0)
        assert value(answer, "abv") <= 2.0


def test_plain_spirit_by_two_readings() -> None:
    mix = instruments.composition(0.0, 0.12, instruments.SampleAcid())
    density = solution.density_kg_m3(mix)
    answer = reading(refractometer=solution.refractometer_brix(mix) - 0.3, acid="0 %",
                     hydrometer=f"{density!r} kg/m3")  # fmt: skip
    assert value(answer, "sugar") == pytest.approx(0.0, abs=1.0)
    assert value(answer, "abv") == pytest.approx(12.0, abs=2.0)


def test_float_scales_agree() -> None:
    # 50 Bx is 1229.65 kg/m3, relative density 1.2319 (SUG-62), so 145 - 145/1.2319 Baume
    wanted = value(reading(hydrometer="50 Bx", abv=0), "sugar")
    assert wanted == pytest.approx(50.0, abs=0.02)
    density = solution.density_kg_m3({"sucrose": 0.5})
    assert value(reading(hydrometer=f"{density!r} kg/m3", abv=0), "sugar") == (
        pytest.approx(50.0, abs=0.02)
    )
    assert value(reading(specific_gravity=1.2319, abv=0), "sugar") == pytest.approx(50, abs=0.02)
    assert value(reading(baume=145 - 145 / 1.2319, abv=0), "sugar") == pytest.approx(50, abs=0.02)


def test_cold_syrup_on_a_20_c_float_reads_high() -> None:
    # about 1.2 Bx high for a 50 Bx syrup at 4 C; here at 6 C
    answer = reading(hydrometer="51 Bx", temperature="6 C", abv=0)
    assert 49.5 < value(answer, "sugar") < 50.3


def test_density_and_known_strength_meet_the_wine_rule() -> None:
    # OIV: 1030 kg/m3 and 12 % vol hold 124.0 g/l; good to 3 g/l
    answer = reading(hydrometer="1030 kg/m3", abv=12)
    assert value(answer, "sugar_g_l") == pytest.approx(124.0, abs=3.0)
    strong = reading(hydrometer="1060 kg/m3", abv=25)
    share = strong.values["sugar_g_l"].plus_minus / value(strong, "sugar_g_l")
    assert share >= 0.0299  # at least 3 % of the sugar above 20 % vol


# monotone, scaling, units


@settings(max_examples=30, deadline=None)
@given(st.floats(12.0, 30.0), st.floats(0.1, 2.0))
def test_more_acid_is_less_sugar(shown: float, acid: float) -> None:
    less = value(reading(refractometer=shown, acid=f"{acid!r} %", abv=0), "sugar")
    none = value(reading(refractometer=shown, acid="0 %", abv=0), "sugar")
    # 0.88 Bx for each % of citric acid in water and syrup
    assert none - less == pytest.approx(0.88 * acid, rel=0.02)


def test_extraction_scales() -> None:
    brew = {"liquid": "coffee", "tds": "1.3 %", "brew": "percolation"}
    one = reading(**brew, dose="20 g", water="320 g")
    two = reading(**brew, dose="40 g", water="640 g")
    assert_scales(one, two, 2.0)
    ounces = reading(**brew, dose=f"{20 / 28.349523125!r} oz", water="320 g")
    assert_same(one, ounces, 1e-9)
    assert_same(reading(refractometer=20, temperature="30 C"),
                reading(refractometer=20, temperature="86 F"))  # fmt: skip


def test_plus_minus_of_the_readings_goes_through() -> None:
    # sensitivity near 25 % sugar, 10-15 % ethanol: 0.2 Bx moves sugar by 0.09 and ethanol by 0.25
    plain = reading(refractometer=29.0, hydrometer="21.0 Bx", acid="0 %")
    wide = reading(refractometer="29.0 Bx ± 2 Bx", hydrometer="21.0 Bx", acid="0 %")
    assert wide.values["abv"].plus_minus > 1.5 * plain.values["abv"].plus_minus


@pytest.mark.parametrize("what", [{"refractometer": 24}, {"hydrometer": "24 Bx"}])
def test_what_was_not_told_is_a_condition_and_no_small_error(what: dict[str, Any]) -> None:
    bare = reading(**what)
    assert bare.verdict == "care"
    shown = bare.values["sugar_if_neither"]
    assert "if no alcohol or acid" in shown.label
    assert shown.plus_minus >= instruments.TRAINED_SUGAR
    assert not {"sugar", "sugar_g_l", "dissolved_solids"} & set(bare.values)
    assert bare.values["sugar_g_l_if"].plus_minus >= 10.0
    sour = reading(**what, acid="0 %")
    assert sour.verdict == "care"
    assert "if no alcohol" in sour.values["sugar_if_no_alcohol"].label
    told = reading(**what, acid="0 %", abv=0)
    assert told.verdict == "clear"
    assert told.values["sugar"].plus_minus < 0.5
    no_acid_told = reading(**what, abv=0)
    assert no_acid_told.verdict == "care"
    assert no_acid_told.values["sugar"].plus_minus >= instruments.TRAINED_SUGAR


def test_a_float_that_was_not_read_is_a_prediction() -> None:
    told = reading(refractometer=24, acid="0 %", abv=0)
    assert "hydrometer_20" not in told.values
    assert "expected" in told.values["hydrometer_would_show"].label
    read = reading(hydrometer="24 Bx", acid="0 %", abv=0)
    assert value(read, "hydrometer_20") == pytest.approx(24.0, abs=0.05)
    assert "hydrometer_would_show" not in read.values


def test_solids_not_told_never_make_the_strength_surer() -> None:
    bare = reading(alcoholometer=43)
    assert bare.verdict == "care"
    assert any("far too little spirit" in c.text for c in bare.cautions)
    # 27 CFR 30.32: 0.4 proof for each 100 mg in 100 ml, and 600 mg is the most it takes
    assert bare.values["abv"].plus_minus >= 0.4 * 6 / 2
    for solids in (0, 1, 3, 4, 5, 6):
        told = reading(alcoholometer=43, solids=f"{solids} g/l")
        for name in ("abv", "ethanol", "us_proof"):
            assert told.values[name].plus_minus <= bare.values[name].plus_minus
    beside = reading(alcoholometer=43, refractometer=15.6)
    assert beside.values["abv"].plus_minus >= bare.values["abv"].plus_minus


def test_example_runs_as_written() -> None:
    words = shlex.split(load("reading").example)[2:]
    said = {k.lstrip("-"): v for k, v in zip(words[::2], words[1::2], strict=True)}
    answer = run("reading", said)
    assert 12.0 < value(answer, "abv") < 15.0


# cautions

CAUTIONS = [
    ("reading-not-for-a-label", {"refractometer": 24, "hydrometer": "15.8 Bx"},
     {"hydrometer": None}),
    ("reading-strong-mix-is-an-estimate", {"refractometer": 20, "baume": 3.9, "acid": "0.5 %"},
     {"baume": 5.0}),
    ("reading-acid-not-given", {"refractometer": 24}, {"acid": "0 %"}),
    ("reading-one-instrument-is-blind-to-alcohol", {"refractometer": 24}, {"abv": 0}),
    ("reading-alcohol-away-from-20-c",
     {"refractometer": 24, "hydrometer": "15.8 Bx", "temperature": "21.5 C"},
     {"temperature": "21 C"}),
    ("reading-built-in-correction-too-cold",
     {"refractometer": 24, "atc": True, "temperature": "9 C"}, {"temperature": "10 C"}),
    ("reading-built-in-correction-too-warm",
     {"refractometer": 24, "atc": True, "temperature": "31 C"}, {"temperature": "30 C"}),
    ("reading-at-a-usual-end-of-scale", {"refractometer": 32}, {"refractometer": 31.8}),
    ("reading-at-a-usual-end-of-scale", {"refractometer": 32}, {"scale": 90}),
    ("reading-solids-of-spirit-not-known", {"alcoholometer": 43}, {"solids": "1 g/l"}),
    ("reading-solids-of-spirit-not-known", {"alcoholometer": 43}, {"refractometer": 15.6}),
    ("reading-solids-hide-strength", {"alcoholometer": 43, "solids": "5 g/l"},
     {"solids": "0 g/l"}),
    ("reading-coffee-black-and-filtered", {"refractometer": 2, "liquid": "coffee"},
     {"liquid": "drink"}),
]  # fmt: skip


@pytest.mark.parametrize(("one", "past", "inside"), CAUTIONS, ids=lambda x: str(x)[:60])
def test_caution_comes_and_goes(one: str, past: dict[str, Any], inside: dict[str, Any]) -> None:
    assert one in ids(run("reading", past))
    there = {k: v for k, v in {**past, **inside}.items() if v is not None}
    assert one not in ids(run("reading", there))


# bad input

BAD = [
    ({}, "--refractometer, --hydrometer or --alcoholometer"),
    ({"refractometer": 32, "scale": 32}, "over range"),
    ({"refractometer": 33, "scale": 32}, "over range"),
    ({"refractometer": 58, "scale": 90, "scale_from": 58}, "under range"),
    ({"hydrometer": "30 Bx", "hydrometer_scale": "30 Bx"}, "over range"),
    ({"hydrometer": "30 Bx", "hydrometer_scale": "1100 kg/m3"}, "same scale"),
    ({"refractometer": 96}, "--refractometer.*95"),
    ({"refractometer": -1}, "--refractometer"),
    ({"refractometer": "nan"}, "--refractometer"),
    ({"refractometer": 40, "temperature": "4 C"}, "--temperature.*5 and 40"),
    ({"refractometer": 40, "temperature": "41 C"}, "--temperature.*5 and 40"),
    ({"refractometer": 78, "temperature": "25 C"}, "above 75 Bx"),
    ({"refractometer": 24, "hydrometer": "15.8 Bx", "temperature": "30 C"}, "15 and 25"),
    ({"refractometer": 33, "hydrometer": "950 kg/m3"}, "ethanol by weight, and above 30 %"),
    ({"refractometer": 10, "hydrometer": "20 Bx"}, "no mix.*check --acid"),
    ({"refractometer": 5, "acid": "8 %"}, "check the acid"),
    ({"hydrometer": "990 kg/m3"}, "check the acid, the strength"),
    ({"hydrometer": "600 kg/m3"}, "780"),
    ({"hydrometer": "1500 kg/m3"}, "no syrup is denser than 1450"),
    ({"hydrometer": "1500 Bx"}, "sugar scale ends at 85"),
    ({"hydrometer": "1064 Bx"}, "sugar scale ends at 85"),
    ({"hydrometer": "15"}, "unit"),
    ({"hydrometer": "15 Bx", "baume": 8}, "same float"),
    ({"refractometer": 24, "hydrometer": "15 Bx", "abv": 12}, "--abv is not needed"),
    ({"alcoholometer": 20, "refractometer": 30}, 'sweet liquid.*--hydrometer "973.6 kg/m3"'),
    ({"alcoholometer": 30, "solids": "100 g/l"}, "100 g/l of solids.*--refractometer"),
    ({"alcoholometer": 30, "solids": "5 g/l"}, "80 to 100 proof"),
    ({"alcoholometer": 43, "refractometer": 10}, "under plain spirit"),
    ({"alcoholometer": 43, "hydrometer": "10 Bx"}, "plain spirit"),
    ({"alcoholometer": 43, "thinned": 1}, "--thinned"),
    ({"refractometer": 24, "solids": "5 g/l"}, "--solids is for --alcoholometer"),
    ({"refractometer": 24, "acid": "13 g"}, "needed"),
    ({"refractometer": 24, "acid": "500 g/l"}, "--acid"),
    ({"refractometer": 60, "invert": "70 %"}, "--invert is 70"),
    ({"invert": "20 %", "hydrometer": "20 Bx"}, "--refractometer alone"),
    ({"liquid": "coffee", "refractometer": 2, "acid": "1 %"}, "--acid does not fit black"),
    ({"liquid": "coffee", "refractometer": 2, "brew": "percolation"}, "--dose"),
    ({"liquid": "coffee", "refractometer": 2, "dose": "18 g"}, "--brew"),
    ({"liquid": "coffee", "refractometer": 2, "tds": "1 %"}, "give one"),
    ({"liquid": "coffee", "tds": "9 %", "brew": "immersion", "dose": "20 g", "water": "300 g"},
     "30 % at most"),
    ({"refractometer": 2, "tds": "1 %"}, "--liquid coffee"),
    ({"refractometer": 50, "hydrometer": "45 Bx", "thinned": 3}, "--thinned"),
    ({"refractometer": 80, "hydrometer": "75 Bx"}, "no mix"),
    ({"liquid": "soup", "refractometer": 3}, "--liquid"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "words"), BAD, ids=lambda x: str(x)[:60])
def test_bad_input_is_one_sentence(said: dict[str, Any], words: str) -> None:
    with pytest.raises(PrepkitError, match=words) as caught:
        run("reading", said)
    assert isinstance(caught.value, BadInput)
    assert caught.value.message.endswith(".")
    assert "\n" not in caught.value.message


@settings(max_examples=80, deadline=None)
@given(
    refractometer=st.floats(0, 95), density=st.floats(780, 1450), acid=st.floats(0, 10),
    temperature=st.floats(5, 40), water=st.sampled_from([0.0, 1.0]),
)  # fmt: skip
def test_any_two_readings_give_a_finite_answer_or_one_sentence(
    refractometer: float, density: float, acid: float, temperature: float, water: float
) -> None:
    try:
        answer = reading(refractometer=refractometer, hydrometer=f"{density!r} kg/m3",
                         acid=f"{acid!r} %", temperature=f"{temperature!r} C",
                         thinned=water)  # fmt: skip
    except (BadInput, OutOfRange) as error:
        # an answer is as good here, so the error is judged where it comes
        assert error.message.endswith(".")  # noqa: PT017 - see above
        return
    assert 0.0 <= value(answer, "sugar") <= 100.0
    assert 0.0 <= value(answer, "ethanol") <= 100.0 * (1 + water) * 0.3 + 1e-6
    assert_finite(answer)
