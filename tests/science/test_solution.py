"""The mixture model: limits where it must meet a simpler law, tables, inversion, refusals."""

from __future__ import annotations

from itertools import pairwise
from math import nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadInput, OutOfRange
from prepkit.science import ethanol, solution, sucrose

CoolProp = pytest.importorskip("CoolProp.CoolProp")


@given(st.floats(0.0, 0.5), st.floats(0.0, 40.0))
def test_no_step_at_no_ethanol(s: float, t: float) -> None:
    trace = solution.density_kg_m3({"sucrose": s, "ethanol": 1e-9}, t)
    assert solution.density_kg_m3({"sucrose": s}, t) == pytest.approx(trace, abs=1e-5)


@given(st.floats(0.0, 0.85), st.floats(0.0, 80.0))
def test_sucrose_alone_is_the_sugar_table(w: float, t: float) -> None:
    assert solution.density_kg_m3({"sucrose": w}, t) == pytest.approx(
        sucrose.density_kg_m3(w, t), abs=0.05
    )


@given(st.floats(0.0, 0.85))
def test_sucrose_alone_reads_its_brix(w: float) -> None:
    assert solution.refractometer_brix({"sucrose": w}) == pytest.approx(100 * w, abs=0.02)
    assert solution.hydrometer_brix({"sucrose": w}) == pytest.approx(100 * w, abs=0.02)


@given(st.floats(1e-9, 1.0), st.floats(-20.0, 40.0))
def test_ethanol_alone_is_the_spirit_formula(p: float, t: float) -> None:
    assert solution.density_kg_m3({"ethanol": p}, t) == pytest.approx(
        ethanol.density_kg_m3(p, t), rel=1e-12
    )


@given(st.floats(0.0, 0.6), st.floats(0.0, 0.25), st.floats(0.0, 0.05), st.floats(0.0, 39.0))
def test_nothing_jumps_with_temperature(s: float, e: float, a: float, t: float) -> None:
    mix = {"sucrose": s, "ethanol": e, "citric": a}
    step = solution.density_kg_m3(mix, t + 0.5) - solution.density_kg_m3(mix, t)
    assert -1.0 < step < 0.1


def test_below_freezing_the_solids_go_on_by_their_slope() -> None:
    mix = {"sucrose": 0.15, "ethanol": 0.15}
    values = [solution.density_kg_m3(mix, t) for t in (1.0, 0.0, -1.0, -2.0)]
    steps = [b - a for a, b in pairwise(values)]
    assert max(steps) - min(steps) < 0.05
    assert min(steps) > 0.0


@pytest.mark.parametrize("percent", [20, 40, 60])
@pytest.mark.parametrize("temperature_c", [0, 20, 40])
def test_glycerol_by_temperature_within_what_is_said(percent: float, temperature_c: float) -> None:
    # CoolProp, Melinder 2010: glycerol expands otherwise than sugar, up to 4 kg/m3 at 0 C, 60 %
    there = CoolProp.PropsSI(
        "D", "T", temperature_c + 273.15, "P", 101325, f"INCOMP::MGL[{percent / 100}]"
    )
    assert solution.density_kg_m3({"glycerol": percent / 100}, temperature_c) == pytest.approx(
        there, abs=4.0 if temperature_c != 20 else 1.0
    )


@pytest.mark.parametrize(
    ("percent", "g_ml", "heavier"),
    [(5, 1.019, 1.0), (10, 1.039, 1.5), (20, 1.080, 6.0), (30, 1.123, 12.0)],
)
def test_citric_stands_in_for_malic_as_far_as_said(
    percent: float, g_ml: float, heavier: float
) -> None:
    # Lange and Sinks 1930 in a supplier's sheet (read), three decimals
    off = solution.density_kg_m3({"malic": percent / 100}) - 1000 * g_ml
    assert -1.0 <= off <= heavier
    if percent <= 20:
        assert off <= solution.density_error_kg_m3({"malic": percent / 100})


def test_no_error_is_stated_for_strong_borrowed_acid() -> None:
    with pytest.raises(OutOfRange, match="acids without constants"):
        solution.density_error_kg_m3({"malic": 0.3})


def test_a_reading_that_rests_on_another_acid_says_so() -> None:
    # no index of these was read: the error is judged, and phosphoric acid has none beyond 1 %
    plain = solution.refractometer_error_bx({"citric": 0.05})
    for acid in ("malic", "tartaric", "succinic", "fumaric", "ascorbic"):
        adds = solution.refractometer_brix({acid: 0.05})
        error = solution.refractometer_error_bx({acid: 0.05})
        assert error == pytest.approx(plain + 0.1 * adds, abs=0.1)
    adds = solution.refractometer_brix({"phosphoric": 0.01})
    assert solution.refractometer_error_bx({"phosphoric": 0.01}) >= 0.5 * adds
    for reading in (solution.refractometer_brix, solution.refractometer_error_bx):
        with pytest.raises(OutOfRange, match="no refractive index of it was read"):
            reading({"phosphoric": 0.0101})
    assert solution.density_kg_m3({"phosphoric": 0.10}) == pytest.approx(1053.1, abs=1.0)


@pytest.mark.parametrize(
    ("solute", "refractometer", "hydrometer"),
    [("citric", (0.85, 0.90), (1.0, 1.1)), ("glycerol", (0.75, 0.83), (0.54, 0.64)),
     ("fructose", (0.96, 1.02), (0.95, 1.03)), ("acetic", (0.40, 0.53), (0.28, 0.40))],
)  # fmt: skip
def test_what_one_percent_adds_to_the_readings(
    solute: str, refractometer: tuple[float, float], hydrometer: tuple[float, float]
) -> None:
    # reference ranges for 0 to 40 Bx syrup (computed apart from this code)
    for sugar in (0.0, 0.20, 0.40):
        before, after = {"sucrose": sugar}, {"sucrose": sugar * 0.99, solute: 0.01}
        # compare at the same sugar per kg, so put the sugar back
        after["sucrose"] = sugar
        rise = solution.refractometer_brix(after) - solution.refractometer_brix(before)
        assert refractometer[0] <= rise <= refractometer[1]
        rise = solution.hydrometer_brix(after) - solution.hydrometer_brix(before)
        assert hydrometer[0] <= rise <= hydrometer[1]


def test_alcohol_pulls_the_two_readings_apart() -> None:
    mix = {"sucrose": 0.25, "ethanol": 0.12}
    assert solution.hydrometer_brix(mix) < 25.0 < solution.refractometer_brix(mix)


@pytest.mark.parametrize("grams_per_litre", [200.0, 300.0])
def test_liqueur_density_near_the_wine_rule_where_both_hold(grams_per_litre: float) -> None:
    # Tabarie: per-litre increments add; agrees within 0.3 kg/m3 to 25 % sugar and 15 % ethanol
    density = 1075.0
    for _ in range(60):
        mix = {"sucrose": grams_per_litre / density, "ethanol": 0.12 * 789.24 / density}
        density = solution.density_kg_m3(mix)
    alcohol = ethanol.density_kg_m3(ethanol.mass_fraction_from_abv(0.12), 20.0)
    w, sugar = 0.2, 0.0
    for _ in range(60):
        sugar = sucrose.density_kg_m3(w, 20.0)
        w = grams_per_litre / sugar
    assert density == pytest.approx(alcohol + sugar - 998.2, abs=0.5)


@given(st.floats(0.0, 0.55), st.floats(0.0, 0.29), st.sampled_from([0.0, 0.01, 0.05]))
def test_two_readings_give_the_mixture_back(s: float, e: float, acid: float) -> None:
    mix = {"sucrose": s, "ethanol": e, "citric": acid}
    found = solution.sucrose_and_ethanol_from_readings(
        solution.refractometer_brix(mix), solution.density_kg_m3(mix), acid
    )
    assert found == pytest.approx((s, e), abs=1e-6)


def test_two_readings_in_practice_move_as_stated() -> None:
    # reference: +0.2 Bx moves sugar by 0.09, ethanol by 0.25 %; 1 % citric ignored 0.97, -0.21
    mix = {"sucrose": 0.25, "ethanol": 0.12}
    r, d = solution.refractometer_brix(mix), solution.density_kg_m3(mix)
    s, e = solution.sucrose_and_ethanol_from_readings(r + 0.2, d)
    assert (100 * s - 25, 100 * e - 12) == pytest.approx((0.09, 0.25), abs=0.03)
    sour = {"sucrose": 0.25, "ethanol": 0.12, "citric": 0.01}
    r, d = solution.refractometer_brix(sour), solution.density_kg_m3(sour)
    s, e = solution.sucrose_and_ethanol_from_readings(r, d)
    assert (100 * s - 25, 100 * e - 12) == pytest.approx((0.97, -0.21), abs=0.06)


@pytest.mark.parametrize(
    ("r", "baume", "formula"), [(20, 4, 20.3), (16, 2, 19.1), (24, 6.5, 20.1), (18, 3, 19.7)]
)
def test_port_formula(r: float, baume: float, formula: float) -> None:
    # Rogerson and Symington 2006: ABV = 1.646 R - 2.703 Be - 1.794 (read)
    density = 145 * 998.203 / (145 - baume)
    _, e = solution.sucrose_and_ethanol_from_readings(r, density, 0.005)
    assert 100 * e * density / 789.24 == pytest.approx(formula, abs=0.8)


def test_strong_spirit_readings_are_refused() -> None:
    mix = {"sucrose": 0.10, "ethanol": 0.32}
    with pytest.raises(OutOfRange, match="ethanol in the sample"):
        solution.sucrose_and_ethanol_from_readings(
            solution.refractometer_brix(mix), solution.density_kg_m3(mix)
        )


def test_readings_of_no_mixture_are_refused() -> None:
    with pytest.raises(BadInput):
        solution.sucrose_and_ethanol_from_readings(5.0, 1200.0)


def test_inversion_raises_solids_reading_and_density() -> None:
    # full inversion of 30 and 65 Bx: reading 31.1 and 67.4, density +6.4 and +16.9 (reference)
    for brix, reading, heavier in ((30, 31.1, 6.4), (65, 67.4, 16.9)):
        left, glucose, fructose, _ = sucrose.after(brix / 100, 1.0)
        mix = {"sucrose": left, "glucose": glucose, "fructose": fructose}
        assert solution.refractometer_brix(mix) == pytest.approx(reading, abs=0.15)
        rise = solution.density_kg_m3(mix) - solution.density_kg_m3({"sucrose": brix / 100})
        assert rise == pytest.approx(heavier, abs=0.5)


@pytest.mark.parametrize(
    ("mix", "kg_m3", "brix"),
    [({"ethanol": 0.4}, 0.2, 0.1), ({"sucrose": 0.4, "ethanol": 0.1}, 0.5, 0.1),
     ({"sucrose": 0.70}, 0.5, 0.1), ({"sucrose": 0.71}, 1.5, 0.25),
     ({"sucrose": 0.40, "glucose": 0.01}, 1.5, 0.25),
     ({"sucrose": 0.2, "ethanol": 0.25}, 1.5, 0.25),
     ({"sucrose": 0.2, "ethanol": 0.26}, 10.0, 1.0), ({"citric": 0.31}, 10.0, 1.0)],
)  # fmt: skip
def test_stated_errors_grow_in_steps(mix: dict[str, float], kg_m3: float, brix: float) -> None:
    assert solution.density_error_kg_m3(mix) == kg_m3
    assert solution.refractometer_error_bx(mix) == brix


def test_no_error_is_stated_beyond_what_was_compared() -> None:
    with pytest.raises(OutOfRange, match="ethanol"):
        solution.density_error_kg_m3({"sucrose": 0.1, "ethanol": 0.41})


def test_unknown_component_is_answered_with_the_known_ones() -> None:
    with pytest.raises(BadInput, match=r"\"gold\" is not a component.*sucrose.*maltose"):
        solution.density_kg_m3({"gold": 0.1})


@pytest.mark.parametrize(
    "mix",
    [{"sucrose": -0.1}, {"sucrose": nan}, {"sucrose": 0.6, "ethanol": 0.5}, {"sucrose": 0.86},
     {"glucose": 0.5, "fructose": 0.4}],
)  # fmt: skip
def test_impossible_fractions(mix: dict[str, float]) -> None:
    with pytest.raises(OutOfRange):
        solution.density_kg_m3(mix)


def test_glycerol_may_be_nearly_all() -> None:
    assert solution.density_kg_m3({"glycerol": 0.99}) == pytest.approx(1258.5, abs=1.0)


@pytest.mark.parametrize(
    ("mix", "t"),
    [({"sucrose": 0.5}, -0.1), ({"sucrose": 0.5}, 80.1), ({"ethanol": 0.4}, 41.0),
     ({"ethanol": 0.4, "sucrose": 0.1}, -10.5), ({}, -0.1), ({}, nan)],
)  # fmt: skip
def test_temperature_ranges(mix: dict[str, float], t: float) -> None:
    with pytest.raises(OutOfRange, match="temperature_c"):
        solution.density_kg_m3(mix, t)


def test_a_hydrometer_has_no_brix_for_spirit() -> None:
    with pytest.raises(OutOfRange):
        solution.hydrometer_brix({"ethanol": 0.3})
    assert solution.hydrometer_brix({}) == 0.0
    assert solution.refractometer_brix({}) == pytest.approx(0.0, abs=1e-6)
