"""keep: the food tables by measured numbers, what is in it, its days; never a clearance."""

from __future__ import annotations

import json
import shlex
from datetime import date
from typing import Any

import pytest
from calculators.helpers_drink import RANK, assert_finite, ids, value
from hypothesis import given, settings
from hypothesis import strategies as st
from published.rows import load as load_rows

from prepkit import jurisdictions
from prepkit.errors import BadInput, PrepkitError
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.pantry import Pantry
from prepkit.registry import load, run
from prepkit.science import keeping
from prepkit.shared import keeping as shared_keeping
from prepkit.shared.keeping import of, use_by

COLD, ASSESS, CONTROL = shared_keeping.RESULTS
STRICT = {name: place for place, name in enumerate(shared_keeping.RESULTS)}
PACKAGED = shared_keeping.PACKAGED


def keep(**said: Any) -> Answer:
    return run("keep", said)


def table(answer: Answer, name: str) -> dict[str, Any]:
    found = next((one for one in answer.tables if one.name == name), None)
    return {} if found is None else {str(row[0]): row[1] for row in found.rows}


def result(answer: Answer) -> str:
    return str(table(answer, "result")["result"])


# the tables, cell by cell and on their edges (Food Code 1-201.10, tables A and B)

OPEN = [
    (0.87, "N N N N"), (0.88, "N N N PA"), (0.90, "N N N PA"), (0.901, "N N PA PA"),
    (0.92, "N N PA PA"), (0.921, "N PA PA PA"), (0.99, "N PA PA PA"),
]  # fmt: skip
CLOSED = [(0.92, "N N N"), (0.921, "N N PA"), (0.95, "N N PA"), (0.951, "N PA PA")]


@pytest.mark.parametrize(("aw", "cells"), OPEN)
def test_table_b(aw: float, cells: str) -> None:
    for treatment in ("none", "heated"):
        for column, cell in enumerate(cells.split()):
            for ph in ((3.0, 4.199), (4.2, 4.6), (4.601, 5.0), (5.001, 7.0))[column]:
                answer = keep(ph=ph, water_activity=aw, treatment=treatment)
                assert result(answer) == (COLD if cell == "N" else ASSESS), (ph, aw)


@pytest.mark.parametrize(("aw", "cells"), CLOSED)
def test_table_a(aw: float, cells: str) -> None:
    for column, cell in enumerate(cells.split()):
        for ph in ((3.0, 4.6), (4.601, 5.6), (5.601, 7.0))[column]:
            answer = keep(ph=ph, water_activity=aw, treatment=PACKAGED)
            assert result(answer) == (COLD if cell == "N" else ASSESS), (ph, aw)


def test_acidified_food_line() -> None:
    # SUG-098: pH 4.6 and water activity 0.85
    limits = {row.id: row.value for row in load_rows("sugar") if row.id.startswith("SUG-098")}
    ph, aw = limits["SUG-098a"], limits["SUG-098b"]
    said = "if packed to stand unrefrigerated, United States"

    def named(ph: float, aw: float, **more: Any) -> Any:
        return table(keep(ph=ph, water_activity=aw, **more), "result")[said]

    assert named(ph, 0.95) == "acid food"
    assert named(ph, 0.95, acidified=True) == "acidified food"
    assert named(ph + 0.01, 0.95) == "low-acid food"
    assert named(ph + 0.01, aw) == "outside food"
    assert said not in table(keep(ph=4.0, jurisdiction="eu"), "result")


def test_listeria_criteria_of_europe() -> None:
    said = "listeria by the European criteria (memory)"

    def grows(ph: float, aw: float) -> bool:
        words = table(keep(ph=ph, water_activity=aw, jurisdiction="eu"), "result")[said]
        return "not" not in words

    assert [grows(4.4, 0.99), grows(4.41, 0.99)] == [False, True]
    assert [grows(6.0, 0.92), grows(6.0, 0.921)] == [False, True]
    assert [grows(5.0, 0.94), grows(5.0, 0.941), grows(5.01, 0.94)] == [False, True, True]
    assert said not in table(keep(ph=4.0, jurisdiction="us"), "result")


# a computed number never clears


@pytest.mark.parametrize(
    "part",
    [
        ["1 kg lemon juice", "1 kg white sugar"],  # computed pH near 2.4
        ["1 kg water", "60 g citric acid"],
        ["1 kg white sugar", "500 g water"],  # computed water activity 0.853
        ["1 l white wine 12 %"],
    ],
)
def test_computed_numbers_never_clear(part: list[str]) -> None:
    answer = keep(part=part)
    assert result(answer) == CONTROL
    assert "keep-numbers-not-measured" in ids(answer)
    assert answer.verdict == "care"


def test_measured_ph_replaces_the_computed_one() -> None:
    computed = keep(part=["1 kg lemon juice", "600 g white sugar"])
    measured = keep(part=["1 kg lemon juice", "600 g white sugar"], ph=2.5)
    assert computed.values["ph"].plus_minus is not None
    assert measured.values["ph"].plus_minus is None
    assert value(measured, "ph") == 2.5
    assert result(measured) == COLD


def test_one_measured_number_decides_where_the_table_says_so() -> None:
    assert result(keep(ph=4.19)) == COLD  # any water activity
    assert result(keep(ph=4.3)) == CONTROL  # not decided without water activity
    assert result(keep(water_activity=0.87)) == COLD  # any pH
    assert result(keep(water_activity=0.89)) == CONTROL


@settings(max_examples=80, deadline=None)
@given(
    ph=st.floats(2, 8), lower=st.floats(0, 3), aw=st.floats(0.7, 1.0), drier=st.floats(0, 0.2),
    packaged=st.booleans(), abv=st.floats(0, 20),
)  # fmt: skip
def test_sourer_or_drier_is_never_stricter_and_alcohol_changes_nothing(
    ph: float, lower: float, aw: float, drier: float, packaged: bool, abv: float
) -> None:
    treatment = PACKAGED if packaged else "none"
    here = result(keep(ph=ph, water_activity=aw, treatment=treatment))
    milder = result(keep(ph=max(ph - lower, 0), water_activity=max(aw - drier, 0),
                         treatment=treatment))  # fmt: skip
    assert STRICT[milder] <= STRICT[here]
    strong = keep(ph=ph, water_activity=aw, treatment=treatment, abv=abv)
    assert result(strong) == here
    # and it is what the table itself says
    said = keeping.time_temperature_control(ph, aw, packaged)
    assert here == (COLD if said == "N" else ASSESS)


@settings(max_examples=40, deadline=None)
@given(
    ph=st.one_of(st.none(), st.floats(2, 8)), aw=st.one_of(st.none(), st.floats(0.6, 1)),
    contains=st.lists(st.sampled_from(sorted(shared_keeping.CONTAINS)), max_size=3),
    more=st.sampled_from(sorted(shared_keeping.CONTAINS)),
)  # fmt: skip
def test_more_in_it_is_never_milder(
    ph: float | None, aw: float | None, contains: list[str], more: str
) -> None:
    said = {"made": "2026-11-25", "contains": contains}
    said |= {k: v for k, v in {"ph": ph, "water_activity": aw}.items() if v is not None}
    one, other = keep(**said), keep(**{**said, "contains": [*contains, more]})
    assert STRICT[result(other)] >= STRICT[result(one)]
    assert RANK[other.verdict] >= RANK[one.verdict]
    assert value(other, "days_allowed") <= value(one, "days_allowed")
    assert_finite(other)


# what is in it


@pytest.mark.parametrize(
    "said",
    [
        {"contains": "dairy"}, {"contains": "egg"}, {"contains": "raw egg"},
        {"contains": "garlic in oil"}, {"part": ["500 ml cream 35 %", "100 g white sugar"]},
        {"part": ["100 g egg white"]}, {"part": ["50 g garlic", "500 g olive oil"]},
    ],
)  # fmt: skip
def test_dairy_egg_and_oil_need_control_whatever_was_measured(said: dict[str, Any]) -> None:
    assert result(keep(**said, ph=3.5, water_activity=0.8)) == CONTROL


def test_garlic_in_oil_takes_the_strictest_days() -> None:
    for said in ({"contains": "garlic in oil"}, {"part": ["50 g garlic", "500 g olive oil"]},
                 {"part": ["50 g basil", "500 g olive oil"]}):  # fmt: skip
        answer = keep(**said, made="2026-11-25")
        assert value(answer, "days_allowed") == 2
        assert table(answer, "dates")["last day"] == "2026-11-26"
        assert "keep-plants-in-oil" in ids(answer)
    assert value(keep(part=["50 g garlic", "500 g water"], made="2026-11-25"), "days_allowed") == 7


# days: the day of making is day 1 of 7


def test_oldest_ingredient_decides() -> None:
    answer = keep(contains="dairy", made="2026-11-25", today="2026-11-25",
                  ingredient_date=["cream 2026-11-22", "whole milk 2026-11-24"])  # fmt: skip
    assert table(answer, "dates") == {"day 1": "2026-11-22", "last day": "2026-11-28"}
    assert value(answer, "days_left") == 4


@pytest.mark.parametrize("name", ["cream", "heavy cream", "cream 36 %", "fresh whey milk"])
@pytest.mark.parametrize("parts", [{"part": ["1 kg lemon juice"]}, {}])
@pytest.mark.parametrize("field", ["ingredient_date", "use_by"])
def test_an_ingredient_named_with_a_day_is_in_it(
    name: str, parts: dict[str, Any], field: str
) -> None:
    day = "2026-11-29" if field == "use_by" else "2026-11-24"
    said = {**parts, "ph": 2.6, "made": "2026-11-25", "today": "2026-11-26"}
    assert result(keep(**said)) == COLD
    assert "allergens" not in ids(keep(**said))
    answer = keep(**said, **{field: f"{name} {day}"})
    assert result(answer) == CONTROL
    assert "milk or cream" in str(table(answer, "result")["because"])
    assert any(c.kind == "allergen" and "milk" in c.text for c in answer.cautions)


def test_an_egg_named_with_a_day_is_raw_egg() -> None:
    answer = keep(ph=2.6, made="2026-11-25", ingredient_date="egg white 2026-11-24")
    assert result(answer) == CONTROL
    assert "keep-raw-egg-has-no-days" in ids(answer)
    assert any(c.kind == "allergen" and "eggs" in c.text for c in answer.cautions)


def test_a_recipe_item_named_with_a_day_brings_its_allergens() -> None:
    item = Mixture({"water": 1.0}, frozenset({"nuts:almond"}), frozenset(), frozenset({"dairy"}))
    answer = run("keep", {"ph": 2.6, "made": "2026-11-25", "ingredient_date": "flip 2026-11-24"},
                 pantry=Pantry().with_items({"flip": item}))  # fmt: skip
    assert result(answer) == CONTROL
    assert any("nuts: almond" in c.text for c in answer.cautions)


def test_makers_last_day_caps_it() -> None:
    answer = keep(contains="dairy", made="2026-11-25", use_by="cream 2026-11-27", frozen=0)
    assert table(answer, "dates")["last day"] == "2026-11-27"
    later = keep(contains="dairy", made="2026-11-25", use_by="cream 2027-01-27")
    assert table(later, "dates")["last day"] == "2026-12-01"


def test_freezing_stops_the_count() -> None:
    answer = keep(contains="dairy", made="2026-11-25", frozen=3)
    assert table(answer, "dates")["last day"] == "2026-12-04"


# out of the cold


@pytest.mark.parametrize(
    ("said", "limit"),
    [
        ({}, 4.0), ({"warmest": "18 C"}, 4.0), ({"warmest": "21 C", "fridge": "5 C"}, 6.0),
        ({"warmest": "21.1 C", "fridge": "5 C"}, 4.0), ({"contains": "herb in oil"}, 2.0),
    ],
)  # fmt: skip
def test_hours_out_of_the_cold(said: dict[str, Any], limit: float) -> None:
    base = {"contains": "dairy", **said}
    assert value(keep(**base, out_of_cold=f"{limit - 1} h"), "hours_left") == pytest.approx(1.0)
    assert keep(**base, out_of_cold=f"{limit} h").verdict == "care"
    over = keep(**base, out_of_cold=f"{limit + 0.1} h")
    assert over.verdict == "stop"
    assert "hours_left" not in over.values


# information side by side


def test_indices() -> None:
    # SUG-097: 200 g/L and 15 % vol are 87.5 units; it changes no result
    answer = keep(ph=4.5, water_activity=0.94, sugar="200 g/l", abv=15)
    assert value(answer, "delle_units") == pytest.approx(87.5)
    assert result(answer) == ASSESS


def test_half_lives_are_a_range() -> None:
    # SUG-089: 44 d at pH 2.5 and 20 C for once the rate, within a tenth; 590 d at 4 C
    answer = keep(ph=2.5, sugar="500 g/l")
    assert value(answer, "half_life_room_most") == pytest.approx(44, rel=0.1)
    assert value(answer, "half_life_room") == pytest.approx(22, rel=0.1)
    assert value(answer, "half_life_cold_most") == pytest.approx(590, rel=0.1)
    assert "half_life_room" not in keep(ph=2.5).values


def test_growth_limits_stand_beside_the_food() -> None:
    answer = keep(water_activity=0.86)
    found = next(one for one in answer.tables if one.name == "growth")
    assert {row[3] for row in found.rows} == {0.86}
    limits = {str(row[0]): row[1] for row in found.rows}
    assert limits["Clostridium botulinum type A"] == 0.93
    assert limits["Staphylococcus aureus"] == 0.83


def test_nothing_ever_says_safe() -> None:
    for said in ({"ph": 2.0, "water_activity": 0.5}, {"part": ["1 l spirit 40 %"]},
                 {"contains": "dairy", "made": "2026-11-25"}, {"ph": 3.0, "abv": 60}):  # fmt: skip
        answer = keep(**said)
        exempt = result(answer) == shared_keeping.EXEMPT
        assert exempt or answer.verdict != "clear"
        said_of_it = {k: v for k, v in answer.to_dict().items() if k != "sources"}
        text = json.dumps(said_of_it).lower()
        assert "safe" not in text
        assert "stable" not in text.replace("vegetable", "")
        assert result(answer) in (*shared_keeping.RESULTS, shared_keeping.EXEMPT)


EXEMPT = ["700 ml gin 43 %", "100 ml aromatic bitters", "1 kg white sugar", "500 g honey",
          "500 ml olive oil", "10 g salt"]  # fmt: skip


@pytest.mark.parametrize("part", EXEMPT)
def test_dry_goods_and_strong_spirit_are_exempt_with_the_reason(part: str) -> None:
    answer = keep(part=part, made="2020-01-01", today="2026-11-25", fridge="20 C")
    assert result(answer) == shared_keeping.EXEMPT
    assert answer.verdict == "clear"
    assert not {"days_allowed", "days_left"} & answer.values.keys()
    assert use_by(Pantry().part(part).mixture, date(2026, 11, 25)).exempt


@pytest.mark.parametrize("with_it", ["200 ml cream 35 %", "300 ml lemon juice", "1 l water",
                                     "100 g basil"])  # fmt: skip
@pytest.mark.parametrize("part", ["200 ml gin 43 %", "200 g honey", "100 g white sugar"])
def test_what_is_put_into_it_ends_the_exemption(part: str, with_it: str) -> None:
    assert result(keep(part=[part, with_it])) != shared_keeping.EXEMPT


@pytest.mark.parametrize("ph", [2.0, 3.5, 4.1])
def test_no_ph_above_20_percent_is_read_by_the_tables(ph: float) -> None:
    weak = keep(ph=ph, water_activity=0.95, abv="19 % vol")
    strong = keep(ph=ph, water_activity=0.95, abv="25 % vol")
    assert result(weak) == COLD
    assert result(strong) == CONTROL
    plants = ["300 ml gin 43 %", "100 ml lemon juice"]
    assert result(keep(part=plants, ph=ph, water_activity=0.95)) == CONTROL


def test_two_to_one_sent_to_the_fridge_is_offered_64() -> None:
    # SUG-53: 66.67 Bx is 1.087 of saturation at 4 C
    answer = keep(part=["1 kg white sugar", "500 g water"], ph=4.0)
    said = {c.id: c for c in answer.cautions}["keep-syrup-crystallises-in-the-cold"]
    assert "1.09 times" in said.text
    assert "64 Bx" in said.action


def test_example_runs_as_written() -> None:
    words = shlex.split(load("keep").example)[2:]
    said: dict[str, Any] = {"part": []}
    for name, text in zip(words[::2], words[1::2], strict=True):
        if name == "--part":
            said["part"].append(text)
        else:
            said[name.lstrip("-")] = text
    answer = run("keep", said)
    assert result(answer) == COLD
    assert value(answer, "days_left") == 4


# cautions

CAUTIONS = [
    ("keep-not-cold-enough", {"contains": "dairy", "fridge": "5.1 C"}, {"fridge": "5 C"}),
    ("keep-needs-time-control", {"ph": 4.0, "contains": "egg"}, {"contains": []}),
    ("keep-needs-a-product-assessment", {"ph": 4.3, "water_activity": 0.95}, {"ph": 4.1}),
    ("keep-refrigerated-all-the-same", {"ph": 4.1}, {"ph": 4.2}),
    ("keep-numbers-not-measured", {"ph": 4.3}, {"water_activity": 0.9}),
    ("keep-ph-close-to-the-limit", {"ph": 4.01}, {"ph": 3.99}),
    ("keep-ph-close-to-the-limit", {"ph": 4.5, "water_activity": 0.91}, {"water_activity": 0.89}),
    ("keep-water-activity-close-to-the-limit", {"water_activity": 0.875}, {"water_activity": 0.86}),
    ("keep-low-acid-plant-measured-late", {"ph": 4.0, "contains": "herb"}, {"contains": []}),
    ("keep-raw-egg-has-no-days", {"contains": "raw egg"}, {"contains": "egg"}),
    ("keep-acid-added-to-make-it-keep", {"ph": 4.0, "acidified": True}, {"acidified": False}),
    ("keep-heated-and-packaged", {"ph": 4.0, "treatment": PACKAGED}, {"treatment": "heated"}),
    ("keep-cool-it-fast", {"ph": 4.0, "treatment": "heated"}, {"treatment": "none"}),
    ("keep-fridge-warm", {"ph": 4.0, "fridge": "5.1 C"}, {"fridge": "5 C"}),
    ("keep-long-out-of-the-cold", {"ph": 4.0, "out_of_cold": "4.1 h"}, {"out_of_cold": "4 h"}),
    ("keep-little-alcohol", {"ph": 4.0, "abv": 9.9}, {"abv": 10}),
    ("keep-some-alcohol", {"ph": 4.0, "abv": 10}, {"abv": 9.9}),
    ("keep-some-alcohol", {"ph": 4.0, "abv": 39.9}, {"abv": 40}),
    ("keep-strong-alcohol", {"ph": 4.0, "abv": 40}, {"abv": 39.9}),
    ("keep-alcohol-by-weight-stops-two-germs", {"contains": "dairy", "abv": 17}, {"abv": 9}),
    ("keep-dated-ingredient-not-known",
     {"ph": 4.0, "made": "2026-11-25", "ingredient_date": "mystery stuff 2026-11-24"},
     {"ingredient_date": "lemon juice 2026-11-24"}),
    ("keep-dated-ingredient-not-known",
     {"ph": 4.0, "made": "2026-11-25", "ingredient_date": "mystery stuff 2026-11-24"},
     {"contains": "egg"}),
    ("keep-syrup-crystallises-in-the-cold", {"part": ["1 kg white sugar", "500 g water"]},
     {"part": ["640 g white sugar", "360 g water"]}),
    ("keep-europe-days-are-yours-to-prove", {"ph": 4.0, "jurisdiction": "eu"},
     {"jurisdiction": "us"}),
]  # fmt: skip


@pytest.mark.parametrize(("one", "past", "inside"), CAUTIONS, ids=lambda x: str(x)[:60])
def test_caution_comes_and_goes(one: str, past: dict[str, Any], inside: dict[str, Any]) -> None:
    assert one in ids(run("keep", past))
    assert one not in ids(run("keep", {**past, **inside}))


# bad input

BAD = [
    ({}, "--ph and --water-activity"),
    ({"ph": 15}, "--ph"),
    ({"ph": "nan"}, "--ph"),
    ({"water_activity": 1.2}, "--water-activity"),
    ({"made": "25.11.2026"}, "--made.*2026-11-25"),
    ({"made": "2026-02-30"}, "not a day of the calendar"),
    ({"made": "20261125"}, "2026-11-25"),
    ({"made": "9999-12-31"}, "--made"),
    ({"made": "2026-11-25", "today": "2026-11-24"}, "before --made"),
    ({"made": "2026-11-25", "ingredient_date": "cream 2026-11-26"}, "after it was used"),
    ({"made": "2026-11-25", "ingredient_date": "2026-11-22"}, "name and a date"),
    ({"made": "2026-11-25", "ingredient_date": "cream yesterday"}, "2026-11-25"),
    ({"made": "2026-11-25", "use_by": "cream 2026-11-24"}, "before it was used"),
    ({"ph": 4.0, "use_by": "cream 2026-11-24"}, "--use-by needs --made"),
    ({"ph": 4.0, "today": "2026-11-24"}, "--today needs --made"),
    ({"ph": 4.0, "frozen": 2}, "--frozen needs --made"),
    ({"made": "2026-11-25", "today": "2026-11-26", "frozen": 2}, "only 1 d ago"),
    ({"contains": "dary"}, "did you mean dairy"),
    ({"contains": "xyzzy"}, "they are"),
    ({"part": ["1 l spirit 40 %"], "abv": 40}, "follows from the parts"),
    ({"ph": 4.0, "treatment": "microwave"}, "--treatment"),
    ({"ph": 4.0, "jurisdiction": "atlantis"}, "--jurisdiction"),
    ({"ph": 4.0, "fridge": "57 C"}, "--fridge.*hot holding"),
    ({"ph": 4.0, "out_of_cold": "-1 h"}, "--out-of-cold"),
    ({"ph": 4.0, "sugar": "20"}, "unit"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "words"), BAD, ids=lambda x: str(x)[:60])
def test_bad_input_is_one_sentence(said: dict[str, Any], words: str) -> None:
    with pytest.raises(PrepkitError, match=words) as caught:
        run("keep", said)
    assert isinstance(caught.value, BadInput)
    assert caught.value.message.endswith(".")
    assert "\n" not in caught.value.message


def test_a_place_is_answered_with_its_own_law() -> None:
    for said in jurisdictions.FOOD:
        law = of(said)
        answer = keep(part=["1 l whole milk"], fridge=f"{law.cold_c + 1} C", jurisdiction=said)
        told = next(one for one in answer.cautions if one.id == "keep-not-cold-enough")
        assert told.source == law.source
        assert law.source in {one.key for one in answer.sources}
        assert f"{law.hot_c:.0f} °C" in told.more
        assert f"Limit: {law.cold_c:.0f} °C" in answer.result.deciding


LATE = {"made": "2026-11-01", "today": "2026-11-20"}
SOUR_SYRUP = ["500 g white sugar", "500 g water", "20 g citric acid"]


def test_a_day_by_habit_is_no_stop_where_what_was_measured_asks_for_none() -> None:
    """Vinegar has no last day; a sour syrup past the trade's own day asks for a look at it."""
    assert keep(part=["1 l vinegar"], **LATE).verdict == "clear"
    late = keep(part=SOUR_SYRUP, ph="2.6", **LATE)
    assert late.verdict == "care"
    assert "keep-past-its-usual-day" in {one.id for one in late.cautions}
    for reason in (
        {"part": ["1 l vinegar"], "ph": "4.1"},  # no vinegar by its pH
        {"part": ["1 l vinegar"], "contains": ["herb"]},
        {"part": ["1 l vinegar"], "ingredient_date": ["gloob 2026-11-01"]},
        {"part": ["900 g vinegar", "100 g mint"], "ph": "2.6"},
        {"part": ["500 g vinegar", "500 g water"]},  # too thin, and no pH measured
        {"part": ["900 g vinegar", "30 g jam"]},  # more than vinegar
        {"part": ["900 g vinegar", "30 g peanut butter"]},
        {"part": ["1 l vinegar"], "use_by": ["vinegar 2026-11-10"]},  # its maker's own
        {"part": ["1 l spirit 43 %"], "use_by": ["spirit 2026-11-10"]},
        {"part": SOUR_SYRUP},  # not measured
        {"part": SOUR_SYRUP, "ph": "4.05"},  # within a meter's error of the limit
        {"part": SOUR_SYRUP, "ph": "2.6", "contains": ["fresh juice"]},
        {"part": SOUR_SYRUP, "ph": "2.6", "use_by": ["sugar 2026-11-10"]},
        {"part": [*SOUR_SYRUP, "200 g lemon juice"], "ph": "2.6"},
        {"ph": "2.6"},  # what is in it is not told
    ):
        assert keep(**reason, **LATE).verdict == "stop", reason
    warm = keep(part=["1 l vinegar"], out_of_cold="90 h")
    assert warm.verdict == "clear"
    assert warm.result.hours_left is None  # no hours are counted
    for made in ("1,5", "2026-11-21"):  # no date is passed over where no last day is asked for
        with pytest.raises(BadInput):
            keep(part=["1 l vinegar"], made=made, today="2026-11-20")
