"""Characters that people paste, fractions, thousands, and what is asked back."""

from __future__ import annotations

import contextlib
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from prepkit.errors import BadQuantity
from prepkit.numbers import parse_number, plain, written
from prepkit.units import parse_quantity

UNITS = st.sampled_from(["g", "ml", "l", "kg", "oz wt", "US fl oz"])


@pytest.mark.parametrize(
    ("words", "value", "rest"),
    [
        ("½ oz", 0.5, "oz"),
        ("1½ oz", 1.5, "oz"),
        ("1 ½ oz", 1.5, "oz"),
        ("1⁄4 l", 0.25, "l"),
        ("1 1/2 l", 1.5, "l"),
        ("2-1/2 cups", 2.5, "cups"),
        ("1 and a half kg", 1.5, "kg"),
        ("-1/2 C", -0.5, "C"),
        ("half a lemon", 0.5, "lemon"),
        ("Half of a lemon", 0.5, "lemon"),
        ("a quarter", 0.25, ""),
        ("three quarters of a litre", 0.75, "litre"),
        ("−5 ℃", -5.0, "°C"),
        ("–5 ºC", -5.0, "°C"),
        ("41℉", 41.0, "°F"),
        ("１，５　ｌ", 1.5, "l"),
        ("1\u00a0500\u2009ml", 1500.0, "ml"),
        ("1\u202f500,5 ml", 1500.5, "ml"),
        ("12 345 678 g", 12345678.0, "g"),
        ("3 µm", 3.0, "μm"),
        ("30 m³", 30.0, "m3"),
        ("8 kg CO₂", 8.0, "kg CO2"),
        ("5\u200b0 g", 50.0, "g"),
        ("1.500 l", 1.5, "l"),
        ("0.500 ml", 0.5, "ml"),
        ("1.5000 g", 1.5, "g"),
        ("1.500 kg", 1.5, "kg"),
    ],
)
def test_what_people_paste(words: str, value: float, rest: str) -> None:
    assert parse_number(words) == (value, rest)


@pytest.mark.parametrize(
    "words",
    [
        "1.500 ml", "1.500 g", "12.345 grams", "1,500 l", "1 500,250 g", "1 500.250 ml",  # which?
        "2 330 ml cans of tonic", "1 500 ml bottle", "2 250 3 g",  # 2330, or 2 of 330
        "10² g", "10⁻³ g", "2³ l",  # powers
        "1 3/2 g", "1/2/3 g", "1/0 g", "½½/3 g", "half and half", "half-and-half", "٣ g",
    ],
)  # fmt: skip
def test_what_is_asked_back_or_refused(words: str) -> None:
    with pytest.raises(BadQuantity):
        parse_number(words)


@pytest.mark.parametrize("words", ["1 50 g", "1 5000 g", "01 500 g", "1 500 1/2 g", "1 500 20 g"])
def test_spaces_that_are_no_thousands(words: str) -> None:
    with pytest.raises(BadQuantity):
        parse_quantity(words, ("g",))


@given(
    st.integers(1, 999),
    st.integers(0, 999),
    st.sampled_from([",", "."]),
    st.sampled_from(["g", "ml"]),
)
def test_each_reading_that_is_offered_is_read_as_offered(
    whole: int, decimals: int, mark: str, unit: str
) -> None:
    with pytest.raises(BadQuantity) as caught:
        parse_number(f"{whole}{mark}{decimals:03} {unit}")
    offered = re.search(r"write (\S+) or (\S+)\.$", caught.value.message)
    assert offered is not None
    assert parse_number(f"{offered[1]} {unit}")[0] == float(f"{whole}.{decimals:03}")
    assert parse_number(f"{offered[2]} {unit}")[0] == float(f"{whole}{decimals:03}")


@given(st.floats(allow_nan=False, allow_infinity=False), st.sampled_from(["g", "ml", "l", "C"]))
def test_what_is_written_reads_back(value: float, unit: str) -> None:
    assert parse_number(f"{written(value, unit)} {unit}") == (value, unit)


@given(st.integers(1, 10**9), UNITS)
def test_thousands_by_spaces_are_the_same_number(value: int, unit: str) -> None:
    for space in (" ", "\u00a0", "\u2009", "\u202f"):
        assert parse_number(f"{value:,}".replace(",", space) + f" {unit}")[0] == value


@given(st.integers(0, 99), st.integers(1, 15), UNITS)
def test_mixed_numbers(whole: int, top: int, unit: str) -> None:
    assert parse_number(f"{whole} {top}/16 {unit}")[0] == whole + top / 16


@given(st.text(max_size=30))
def test_plain_text_stays_as_it_is(text: str) -> None:
    assert plain(plain(text)) == plain(text)
    if text.isascii():
        assert plain(text) == text


@given(st.text(alphabet="0123456789 .,/½¼⅓²⁻−–halfquarterone\u00a0\u2009", max_size=15))
def test_any_number_is_read_or_refused_in_one_sentence(text: str) -> None:
    with contextlib.suppress(BadQuantity):
        parse_number(f"{text} g")


@pytest.mark.parametrize(
    ("words", "value", "rest"),
    [
        ("five drops", 5, "drops"), ("Two dashes bitters", 2, "dashes bitters"),
        ("a splash of soda", 1, "splash of soda"), ("twelve limes", 12, "limes"),
        ("an egg white", 1, "egg white"), ("one and a half oz", 1.5, "oz"),
    ],
)  # fmt: skip
def test_numbers_in_words_to_twelve(words: str, value: float, rest: str) -> None:
    assert parse_number(words) == (value, rest)


@pytest.mark.parametrize(
    "words", ["two 5 ml spoons", "thirteen drops", "twenty g", "five", "tenth"]
)
def test_other_numbers_in_words_are_refused(words: str) -> None:
    with pytest.raises(BadQuantity):
        parse_number(words)
