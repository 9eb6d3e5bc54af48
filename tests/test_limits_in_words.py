"""A limit that a caution names in its words is the limit that is judged on, wherever it stands."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import prepkit
from prepkit import cautions, registry
from prepkit.calculators.room import Result
from prepkit.cautions import Row
from prepkit.shared import room_check

AIR = ("room", "cryogen", "chill", "float", "siphon")
# figure in words to the constant that the rooms are judged by
FIGURES = {
    r"19\.5 %": room_check.OXYGEN_STOP,
    r"23\.5 %": room_check.OXYGEN_ENRICHED,
    r"10,?000 ppm": room_check.N2O_STOP_PPM,
}
ROWS = [row for row in cautions.read_files() if set(row.calculators) & set(AIR)]
# facts that a limit of the air is compared with, and the constant that it must be
JUDGED = {
    ("oxygen_percent", "below"): room_check.OXYGEN_STOP,
    ("oxygen_high_percent", "above"): room_check.OXYGEN_ENRICHED,
    ("n2o_ppm", "at_least"): room_check.N2O_STOP_PPM,
}


def stops() -> list[Row]:
    return [row for row in ROWS if row.severity == "stop"]


@pytest.mark.parametrize("row", stops(), ids=lambda row: row.id)
def test_a_stop_of_the_air_is_judged_by_the_one_limit(row: Row) -> None:
    for one in row.when:
        if (one.fact, one.rule) in JUDGED:
            assert one.limit == JUDGED[one.fact, one.rule]
        if one.fact == "co2_percent" and one.rule in ("above", "at_least"):
            assert one.limit == room_check.CO2_STOP


def test_the_figures_in_words_are_those_of_the_limits() -> None:
    for pattern, limit in FIGURES.items():
        figure = float(re.sub(r"[^\d.]", "", pattern.replace("\\", "")))
        assert figure == limit, pattern
    for row in ROWS:
        for said in re.findall(r"([\d.]+) % oxygen", f"{row.text} {row.action} {row.more}"):
            assert float(said) in (18.0, room_check.OXYGEN_STOP, room_check.OXYGEN_ENRICHED, 20.9)


@pytest.mark.parametrize("gas", room_check.GAS_NAMES)
def test_a_sensor_hangs_where_its_gas_is_in_every_sentence(gas: str) -> None:
    low = "30 cm above the floor" in room_check.SENSORS[gas]
    assert low == (gas in ("co2", "n2o", "ar"))
    for row in ROWS:
        text = f"{row.text} {row.action} {row.more}"
        for sentence in re.split(r"(?<=[.;])\s", text):
            if "sensor" in sentence.lower() and room_check.GAS_NAMES[gas] in sentence.lower():
                assert ("floor" in sentence or "low" in sentence or "for" in sentence) == low or (
                    "height" in sentence
                )


# by the fact that a row judges: every constant that its words may name, in per cent
PER_CENT = {
    "oxygen_percent": {room_check.OXYGEN_STOP},
    "oxygen_at_once_percent": {room_check.OXYGEN_STOP},
    "oxygen_high_percent": {room_check.OXYGEN_ENRICHED},
    "co2_percent": {room_check.CO2_STOP},
    "co2_at_once_percent": {room_check.CO2_STOP},
    "n2o_ppm": {1e-4 * room_check.N2O_STOP_PPM},
}
# limits of others, which no row judges a stop by: the share that is immediate danger, the first
# alarm, the limit of a shift [BGN-ASI-6-80, EH40-GAS-PAGE]
OTHER_CO2 = {4.0, 1.5, 0.5}
LITERAL = re.compile(r"([\d,]*\d(?:\.\d+)?) (%|ppm)")


def literals(words: str) -> list[float]:
    """The figures of words in per cent that no fact fills in."""
    bare = re.sub(r"\{[^}]*\}", "", words)
    return [
        float(figure.replace(",", "")) * (1.0 if unit == "%" else 1e-4)
        for figure, unit in LITERAL.findall(bare)
    ]


AIR_ROWS = [
    row for row in cautions.read_files() if {one.fact for one in row.when} & PER_CENT.keys()
]


@pytest.mark.parametrize("row", AIR_ROWS, ids=lambda row: row.id)
def test_every_limit_that_a_row_names_is_the_constant_of_its_fact(row: Row) -> None:
    facts = {one.fact for one in row.when} & PER_CENT.keys()
    allowed = set().union(*(PER_CENT[fact] for fact in facts))
    if any(fact.startswith("co2") for fact in facts):
        allowed |= OTHER_CO2
    for figure in literals(f"{row.text} {row.action} {row.more}"):
        assert any(figure == pytest.approx(one) for one in allowed), figure
    if row.severity == "stop":
        for one in row.when:
            if one.fact in PER_CENT:
                scale = 1e-4 if one.fact.endswith("_ppm") else 1.0
                assert isinstance(one.limit, (int, float))
                assert {scale * one.limit} == PER_CENT[one.fact]


def texts(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts(one)
    elif isinstance(value, list):
        for one in value:
            yield from texts(one)


def test_where_everybody_leaves_is_one_figure_wherever_it_is_said() -> None:
    data = Path(prepkit.__file__).parent / "data"
    every = [text for one in cautions.read_files() for text in (one.text, one.action, one.more)]
    for path in [*data.glob("*.toml"), *data.glob("drills/*.toml")]:
        every += texts(tomllib.loads(path.read_text(encoding="utf-8")))
    said = 0
    for words in every:
        for sentence in re.split(r"(?<=[.;:])\s", words):
            if re.search(
                r"\b(?:nobody (?:may|goes)|everybody leaves|accepted in a fault)\b", sentence, re.I
            ):
                for figure in literals(sentence):
                    assert figure in (room_check.OXYGEN_STOP, room_check.CO2_STOP), sentence
                    said += 1
    assert said >= 9  # sentences that tell it today


def test_the_tables_of_the_air_hold_the_same_limits() -> None:
    data = Path(prepkit.__file__).parent / "data"
    limits = tomllib.loads((data / "exposure_limits.toml").read_text(encoding="utf-8"))["limit"]
    oxygen = {one["id"]: one["value"] for one in limits if one["gas"] == "o2"}
    assert oxygen["oxygen-osha-low"] == room_check.OXYGEN_STOP
    assert room_check.OXYGEN_ENRICHED in oxygen.values()
    effects = tomllib.loads((data / "air_effects.toml").read_text(encoding="utf-8"))
    edges = {one.get(end) for one in effects["effect"] if one["gas"] == "o2"
             for end in ("low", "high")}  # fmt: skip
    assert {room_check.OXYGEN_STOP, room_check.OXYGEN_ENRICHED} <= edges


def test_the_time_to_leave_is_labelled_with_the_limit() -> None:
    label = Result.outputs()["low_after"].label
    assert literals(label) == [room_check.OXYGEN_STOP]


# what is a lower bound by its label is shown rounded down, an upper bound up
LOWER = re.compile(r"lower bound|\bleast\b|earliest|coldest|at its lowest|^time to |for sure to")
UPPER = re.compile(r"upper bound|\bmost\b|latest|at its highest|^time until|for sure from")
# figures whose label says most or least in another sense, with the side that is strict for them
OTHER = {
    ("oleo", "likely_syrup"): "",  # most likely
    ("siphon", "served"): "",  # a count of portions
    ("salt", "sodium_day"): "least",  # a share of a day's most
    ("layer", "least_overrun"): "least",  # as much as it takes
    ("infuse", "dilute_to"): "least",
    ("freeze", "pours_to"): "least",  # colder does not pour
    ("freeze", "fill_most"): "most",  # as much as may go in
}


def test_a_bound_is_never_shown_milder_than_it_is() -> None:
    """Every figure that its label calls a bound is declared so, whatever the calculator."""
    wrong = []
    for name in registry.CALCULATORS:
        for key, one in registry.load(name).result.outputs().items():
            side = "most" if LOWER.search(one.label) else "least" if UPPER.search(one.label) else ""
            side = OTHER.get((name, key), side)
            if side and one.limit != side:
                wrong.append(f"{name} {key} ({one.label}): {one.limit!r}, not {side!r}")
    assert not wrong, "\n".join(wrong)
