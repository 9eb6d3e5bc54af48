"""Words to numbers: what is taken, what is refused by name, and that nothing is lost on the way.

Cups, shots and bottles: what a house means by them, and that they are asked back without it.
"""

from __future__ import annotations

import contextlib
import math
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import unit_table
from hypothesis import given
from hypothesis import strategies as st

from prepkit import registry
from prepkit.errors import BadInput, BadQuantity
from prepkit.inputs import Spec, read
from prepkit.pantry import Pantry
from prepkit.plan.files import Reader
from prepkit.plan.house import read_house
from prepkit.plan.house_file import HouseTable
from prepkit.units import (
    UNITS,
    Measured,
    Measures,
    convert,
    parse_number,
    parse_quantity,
    shown_in,
    split_amount,
)

# NIST Handbook 44, appendix C (2023 and earlier editions), exact or to the printed digits; memory
NIST = [
    (1.0, "lb", "kg", 0.45359237),
    (1.0, "oz", "g", 28.349523125),
    (1.0, "US gal", "l", 3.785411784),
    (1.0, "US fl oz", "ml", 29.5735295625),
    (1.0, "imp gal", "l", 4.54609),
    (1.0, "US cup", "ml", 236.5882365),
    (1.0, "US tbsp", "ml", 14.78676478125),
    (1.0, "US tsp", "ml", 4.92892159375),
    (1.0, "ft3", "l", 28.316846592),
    (1.0, "psi", "kPa", 6.894757293168),
    (212.0, "F", "C", 100.0),
    (-40.0, "F", "C", -40.0),
    (0.0, "K", "C", -273.15),
    (1.0, "atm", "Pa", 101325.0),
]


@pytest.mark.parametrize(("value", "unit", "to", "expected"), NIST)
def test_published_conversions(value: float, unit: str, to: str, expected: float) -> None:
    assert convert(value, unit, to) == pytest.approx(expected, rel=1e-11, abs=1e-9)


@pytest.mark.parametrize(
    ("words", "value", "rest"),
    [
        ("1,5 l", 1.5, "l"),
        ("1.500 l", 1.5, "l"),
        ("0,500 l", 0.5, "l"),
        ("1/2 cup", 0.5, "cup"),
        ("-5 C", -5.0, "C"),
        (".5 g", 0.5, "g"),
        ("2e3 g", 2000.0, "g"),
        ("16bar", 16.0, "bar"),
    ],
)
def test_numbers_that_people_write(words: str, value: float, rest: str) -> None:
    assert parse_number(words) == (value, rest)


@pytest.mark.parametrize(
    ("words", "because"),
    [
        ("", "empty"),
        ("nan g", "finite"),
        ("inf g", "finite"),
        ("-infinity g", "finite"),
        ("1e999 g", "too large"),
        ("1,500 g", "could be 1.5 or 1500"),
        ("1.000,5 g", "more than one decimal mark"),
        ("2**2 g", "number"),
        ("1_0 g", "number"),
        ("True", "number"),
        ("5 g 3 g", "not a unit known"),
        ("2 lb 3 oz", "not a unit known"),
        ("10 mg/", "not a unit known"),
        ("5 furlong", "not a unit known"),
        ("5 C", "temperature"),
        ("5", "no unit"),
        ("٣ g", "number"),
    ],
)
def test_refused_by_name(words: str, because: str) -> None:
    with pytest.raises(BadQuantity, match=because):
        parse_quantity(words, ("g",), "--mass")


@pytest.mark.parametrize("value", [True, None, [], float("nan"), float("inf")])
def test_no_python_value_slips_through(value: Any) -> None:
    with pytest.raises(BadInput):
        parse_quantity(value, ("g",), "--mass")


def test_ambiguous_ounce_and_pint_are_asked_back() -> None:
    with pytest.raises(BadQuantity, match="weight or fluid"):
        split_amount("2 oz lemon juice")
    with pytest.raises(BadQuantity, match="US pint"):
        split_amount("1 pint lemon juice")


def test_amount_of_an_ingredient_takes_no_negative_spread() -> None:
    for words in ("700 ml ± -5 ml spirit 43 %", "1 kg +/- -2 % water"):
        with pytest.raises(BadQuantity, match="must not be negative"):
            split_amount(words)
    assert split_amount("700 ml ± 5 ml spirit 43 %")[0].plus_minus == 5.0


def test_the_table_is_what_the_units_library_makes_of_the_definitions() -> None:
    assert unit_table.TABLE.read_text("utf-8") == unit_table.text()


@pytest.mark.parametrize(
    ("words", "c"), [("32 F", 0.0), ("50 F", 10.0), ("212 F", 100.0), ("14 F", -10.0),
                     ("273.15 K", 0.0), ("104 ℉", 40.0)],
)  # fmt: skip
def test_whole_degrees_convert_exactly(words: str, c: float) -> None:
    assert parse_quantity(words, ("C",)) == c


@given(st.integers(-60, 400))
def test_fahrenheit_is_the_nearest_float(f: int) -> None:
    assert parse_quantity(f"{f} F", ("C",)) == pytest.approx(float(Fraction(5 * (f - 32), 9)),
                                                             rel=1e-13, abs=0.0)  # fmt: skip


@given(st.sampled_from(sorted(UNITS)), st.integers(1, 200))
def test_a_limit_is_met_in_every_unit(unit: str, tenths: int) -> None:
    own = {"mass": "kg", "volume": "l", "temperature": "C", "pressure": "bar", "length": "m"}
    kind = UNITS[unit].kind
    if kind not in own:
        return
    limit = tenths / 10
    asked = Spec("quantity", "limit", "", "", (own[kind],), low=limit, high=limit)
    words = Measured(convert(limit, own[kind], unit), unit).words()
    assert read(asked, words, "limit", Pantry()) == limit


def test_gauge_and_absolute_pressure() -> None:
    for words, bar in (("17 barg", 17.0), ("17 bar gauge", 17.0), ("100 psig", 6.8947572931683)):
        assert parse_quantity(words, ("bar",), pressure="gauge") == pytest.approx(bar, rel=1e-12)
        with pytest.raises(BadQuantity, match="is gauge pressure; write absolute pressure"):
            parse_quantity(words, ("bar",), pressure="absolute")
    for words in ("17 bara", "100 psia", "17 bar abs"):
        with pytest.raises(BadQuantity, match="is absolute pressure; write gauge pressure"):
            parse_quantity(words, ("bar",), pressure="gauge")
        with pytest.raises(BadQuantity, match="absolute"):
            parse_quantity(words, ("bar",))


def test_a_scale_of_its_own_takes_a_bare_number() -> None:
    for unit in ("%", "Bx", "% vol", "/h"):
        assert parse_quantity("30", (unit,)).unit == unit
    for units in (("g",), ("C",), ("bar",), ("% w/w", "g/l")):
        with pytest.raises(BadQuantity, match="no unit"):
            parse_quantity("30", units)


def test_a_dash_and_a_splash_carry_the_band_of_practice() -> None:
    dash, _ = split_amount("2 dashes bitters")
    assert (float(dash), dash.plus_minus) == (pytest.approx(1.8), pytest.approx(0.8))
    splash, _ = split_amount("a splash of soda water".replace("a ", "1 ", 1))
    assert (float(splash), splash.plus_minus) == (7.5, 2.5)
    said, _ = split_amount("2 dashes ± 10 % bitters")
    assert said.plus_minus == pytest.approx(0.18)


def test_packs_are_multiplied() -> None:
    assert split_amount("2 x 330 ml tonic water") == (660.0, "tonic water")
    assert split_amount("2 x lemon") == (2.0, "lemon")


def test_percent_of_what() -> None:
    with pytest.raises(BadQuantity, match="per cent of what"):
        parse_quantity("6 %", ("% w/w", "% w/v"), "--strength")
    assert parse_quantity("6 % w/v", ("% w/w", "% w/v")).unit == "% w/v"
    assert parse_quantity("6 %", ("% w/w", "g/l")).unit == "% w/w"


@pytest.mark.parametrize(
    ("words", "spread"),
    [
        ("400 g ± 2 g", 2.0),
        ("400 g +/- 1 %", 4.0),
        ("0.4 kg ± 2 g", 2.0),
        ("400 g ± 0.5 oz", 14.17),
    ],
)
def test_tolerance_words(words: str, spread: float) -> None:
    got = parse_quantity(words, ("g",))
    assert float(got) == pytest.approx(400.0)
    assert got.plus_minus == pytest.approx(spread, rel=1e-3)


@given(st.floats(min_value=1e-6, max_value=1e6), st.sampled_from(sorted(UNITS)))
def test_there_and_back(value: float, unit: str) -> None:
    for to, other in UNITS.items():
        if other.kind == UNITS[unit].kind:
            back = convert(convert(value, unit, to), to, unit)
            assert back == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.floats(min_value=-1e9, max_value=1e9), st.floats(min_value=0, max_value=1e6))
def test_words_read_back_as_the_same_value(value: float, spread: float) -> None:
    said = Measured(value, "g", spread).words()
    got = parse_quantity(said, ("g",))
    assert float(got) == value
    assert got.plus_minus == spread


@given(st.text(max_size=40))
def test_any_text_is_a_quantity_or_one_sentence(text: str) -> None:
    with contextlib.suppress(BadQuantity):
        assert math.isfinite(parse_quantity(text, ("g",)))


def test_us_units_are_shown_without_changing_the_number() -> None:
    assert shown_in(453.59237, "g", "us") == (pytest.approx(16.0), "oz")
    assert shown_in(5.0, "Bx", "us") == (5.0, "Bx")
    with pytest.raises(BadInput, match="metric or us"):
        shown_in(1.0, "g", "imperial")


HOUSE = """
measures = "us"
pantry = "pantry.toml"
[sizes]
jigger = "1.5 US fl oz"
shot = "40 ml"
part = "30 ml"
bottle = "700 ml"
case = 6
[[price]]
ingredient = "sparkling wine"
pack = "1 500 ml"
cost = 9
[[price]]
ingredient = "rum 40 %"
pack = "5 l"
cost = 60
"""


# cup, tablespoon, teaspoon: US as in units.txt (exact); metric 250, 15 and 5 ml by definition
@pytest.mark.parametrize(
    ("system", "words", "ml"),
    [
        ("us", "1 cup", 236.5882365),
        ("metric", "1 cup", 250.0),
        ("us", "2 tbsp", 29.5735295625),
        ("metric", "2 tablespoons", 30.0),
        ("imperial", "1 tsp.", 5.0),
        ("us", "1 pt", 473.176473),
        ("imperial", "1 pint", 568.26125),
        ("us", "1 qt", 946.352946),
        ("imperial", "1 gal", 4546.09),
        ("", "1 fl oz", 29.5735295625),
        ("imperial", "1 fl oz", 28.4130625),
    ],
)
def test_a_word_is_what_the_house_means(system: str, words: str, ml: float) -> None:
    measures = Measures(system)
    assert split_amount(f"{words} water", "--part", measures)[0] == pytest.approx(ml, rel=1e-12)
    assert parse_quantity(words, ("ml",), measures=measures) == pytest.approx(ml, rel=1e-12)


@pytest.mark.parametrize("word", ["cup", "tbsp", "tsp", "pint", "quart", "gallon", "qt"])
def test_without_a_house_it_is_asked_back_with_the_choices(word: str) -> None:
    with pytest.raises(BadQuantity, match='"US ') as caught:
        split_amount(f"2 {word} water")
    assert "2" not in caught.value.message.split(";")[0]
    for choice in caught.value.message.split('"')[3::2][:2]:
        assert split_amount(f"2 {choice} water")[0] > 0


@pytest.mark.parametrize("word", ["jigger", "shot", "part", "case", "bottle"])
def test_a_size_that_nobody_told_is_asked(word: str) -> None:
    with pytest.raises(BadQuantity, match="not known here"):
        Pantry().part(f"2 {word}s of rum 40 %")


def house(tmp_path: Path, text: str = HOUSE) -> Pantry:
    (tmp_path / "house.toml").write_text(text, encoding="utf-8")
    (tmp_path / "pantry.toml").write_text("", encoding="utf-8")
    return read_house(Reader("tonight.toml"), HouseTable(file="house.toml"), tmp_path, None).pantry


def test_a_house_tells_its_sizes(tmp_path: Path) -> None:
    pantry = house(tmp_path)
    for words, ml in (
        ("2 shots rum 40 %", 80.0),
        ("1 jigger rum 40 %", 44.36029434375),
        ("3 parts rum 40 %", 90.0),
        ("half a bottle of rum 40 %", 350.0),  # a pack of 5 l is no bottle
        ("1 case of rum 40 %", 4200.0),
        ("1 bottle of sparkling wine", 1500.0),
        ("1 cup water", 236.5882365),
    ):
        assert float(pantry.part(words).amount) == pytest.approx(ml, rel=1e-12), words


def test_a_scaled_bottle_reads_back_as_the_same(tmp_path: Path) -> None:
    pantry = house(tmp_path)
    part = pantry.part("1 bottle of rum 40 %").scaled(2.5)
    assert pantry.part(part.words).mass_kg == pytest.approx(part.mass_kg, rel=1e-12)


def test_us_proof_is_proof_only_in_a_us_house() -> None:
    said = Pantry(measures=Measures("us")).part("700 ml spirit 80 proof")
    assert said.mass_kg == Pantry().part("700 ml spirit 80 US proof").mass_kg
    for measures in (Measures(), Measures("imperial")):
        with pytest.raises(BadInput, match="US proof"):
            Pantry(measures=measures).part("700 ml spirit 80 proof")
    assert parse_quantity("80 proof", ("% vol",), measures=Measures("us")) == pytest.approx(
        40.07, abs=0.01
    )


def test_an_espresso_shot_is_its_own_size(tmp_path: Path) -> None:
    assert house(tmp_path).part("1 shot espresso").mass_kg < 0.035
    assert Pantry().part("1 bottle of prosecco").mass_kg == pytest.approx(0.743)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ('measures = "british"', "us, metric, imperial"),
        ("sizes = 3", r"\[sizes\]"),
        ('[sizes]\nbottle = "9 l"', "between 20 and 5000"),
        ('[sizes]\nshot = "30 g"', "volume"),
        ('[sizes]\nglass = "30 ml"', "not known"),
        ("[sizes]\ncase = 0", "from 1"),
    ],
)
def test_a_wrong_size_is_one_sentence(tmp_path: Path, wrong: str, says: str) -> None:
    with pytest.raises(BadInput, match=says):
        house(tmp_path, wrong)


def test_measures_reach_a_calculation(tmp_path: Path) -> None:
    inputs = registry.validate("blend", {"part": ["1 cup water"]}, house(tmp_path))
    answer = registry.answer("blend", inputs)
    assert answer.values["volume"].value == pytest.approx(236.5882365, rel=1e-9)
