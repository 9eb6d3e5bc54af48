"""The house's own vessel and room: nothing is assumed, and a stop is no example to do."""

from __future__ import annotations

import html
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from prepkit.drill.templates import TOPICS, constants
from prepkit.lesson import NEEDED, NEEDED_OF_HOUSE, LessonFacts, example, kilogram_share, lesson
from prepkit.plan.house import GasStore, House, HouseVessel, house_in

HOUSE = house_in(Path(__file__).parents[2] / "recipes" / "house")
TOLD = LessonFacts("bar", 60, 7, house=HOUSE)


def with_vessel(**facts: object) -> LessonFacts:
    vessel = HOUSE.vessels["north"].replaced(facts={**HOUSE.vessels["north"].facts, **facts})
    return replace(TOLD, house=HOUSE._replace(vessels={"north": vessel}))


def test_the_own_vessel_and_room_are_worked_out() -> None:
    found = example(TOLD)
    assert found.load is not None
    assert found.load.to_do
    assert found.load.said["rated"] == "17 bar"
    assert found.too_full is not None
    assert not found.too_full.to_do
    assert found.room is not None
    assert found.room.said["volume"] == "85 m3"
    assert [one.id for one, leak in found.stores if leak is not None] == ["keg-line"]


def test_what_the_house_does_not_tell_is_asked_for_and_nothing_is_worked_out() -> None:
    nothing = example(replace(TOLD, house=House()))
    assert nothing.missing == (*NEEDED, *NEEDED_OF_HOUSE)
    assert (nothing.load, nothing.too_full, nothing.room, nothing.stores) == (None, None, None, ())
    for key in NEEDED:
        facts = {k: v for k, v in HOUSE.vessels["north"].facts.items() if k != key}
        house = HOUSE._replace(vessels={"north": HouseVessel("north", facts)})
        found = example(replace(TOLD, house=house))
        assert found.missing == (key,)
        assert found.load is None
        page = str(lesson.example_sheet(replace(TOLD, house=house), found))
        assert "CLEAR" not in page
        assert "CARE" not in page.replace("Gas store", "")
    for key in NEEDED_OF_HOUSE:
        facts = {k: v for k, v in HOUSE.facts.items() if k != key}
        assert example(replace(TOLD, house=HOUSE._replace(facts=facts))).load is None


def test_a_vessel_that_nothing_goes_into_shows_the_stop_and_nothing_to_do() -> None:
    for facts in ({"rated": "3 bar"}, {"rated": "no"}, {"allowed_gas": "argon"}):
        told = with_vessel(**facts)
        found = example(told)
        assert found.load is not None
        assert not found.load.to_do
        page = str(lesson.example_sheet(told, found))
        assert "STOP" in page or "refused" in page
        load = page[page.index("A load for it") : page.index("The same vessel")]
        assert "settled pressure" not in load
        assert "Working" not in load
        assert "--" not in load


def test_words_of_a_vessel_that_cannot_be_read_are_refused_on_the_sheet() -> None:
    for facts in ({"max_fill": "a lot"}, {"most_chargers": "two or so"}, {"hottest": "warm"}):
        told = with_vessel(**facts)
        found = example(told)
        assert found.load is not None
        assert found.load.answer is None
        assert "--" not in found.load.refused
        assert found.load.refused in html.unescape(str(lesson.example_sheet(told, found)))


def test_more_gas_or_less_room_is_never_shown_milder() -> None:
    grave = ["clear", "care", "stop"]

    def leak(holds: str, room: str) -> int:
        store = GasStore("s", holds, "cellar", room, "0 /h")
        (one,) = example(replace(TOLD, house=HOUSE._replace(gases=(store,)))).stores
        assert one[1] is not None
        assert one[1].answer is not None
        return grave.index(one[1].answer.verdict)

    verdicts = [leak(f"{kg} kg co2", "100 m3") for kg in (0.1, 0.5, 1, 3, 10)]
    assert verdicts == sorted(verdicts)
    verdicts = [leak("2 kg co2", f"{m3} m3") for m3 in (2000, 400, 100, 20)]
    assert verdicts == sorted(verdicts)


def test_a_store_whose_kind_of_room_is_not_told_is_a_line_to_write_on(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text(
        '[gases.keg]\nholds = "10 kg co2"\nroom_volume = "200 m3"\nair_changes = "3 /h"\n'
    )
    told = replace(TOLD, house=house_in(tmp_path))
    found = example(told)
    assert [leak for _, leak in found.stores] == [None]
    page = str(lesson.example_sheet(told, found))
    assert "<span>Kind of room</span><i></i>" in page


def test_a_share_of_the_air_never_stands_without_its_limits() -> None:
    """A mean alone looks harmless: the key and the sheet say where it is not."""
    for facts in (TOLD, replace(TOLD, house=House())):
        key = str(lesson.exercise_key_sheet(facts))
        for page in (key, str(lesson.exercise_sheet(facts))):
            assert page.index("Share of the air") < page.index("nearly pure gas")
        assert "0.5 %" in key
        assert "At 3 % everybody leaves." in key


def test_the_gas_of_a_kilogram_is_one_figure_in_lesson_and_drill() -> None:
    """543.7 l/kg at 20 °C and 1.013 bar: GAS-EOS, read. The share is of the room of the house."""
    (sheet,) = {one.value for of in TOPICS for one in constants(of) if one.id == "co2_l_kg"}
    assert sheet == 543.7
    assert "Given: 543.7 litres of gas" in str(lesson.exercise_sheet(TOLD))
    assert "Gegeben: 543,7 Liter Gas" in str(lesson.exercise_sheet(replace(TOLD, language="de")))
    assert kilogram_share(TOLD) == pytest.approx(sheet / (85.0 * 10.0), rel=1e-9)
    for volume, share in (("0.2 m3", 100.0), ("543 l", 100.0), ("5.437 m3", 10.0)):
        told = replace(TOLD, house=HOUSE._replace(facts={**HOUSE.facts, "room_volume": volume}))
        assert kilogram_share(told) == pytest.approx(share)


def test_a_room_without_a_volume_has_no_share() -> None:
    for volume in ("0 m3", "0 l"):
        told = replace(TOLD, house=HOUSE._replace(facts={**HOUSE.facts, "room_volume": volume}))
        assert kilogram_share(told) is None
        assert lesson.sheets(told)


def test_without_a_day_the_inspection_is_not_checked() -> None:
    overdue = with_vessel(inspection_due="2020-01-01")
    found = example(overdue).load
    assert found is not None
    assert "inspection_due" not in found.said
    assert found.answer is not None
    assert "inspection" in " ".join(one.text for one in found.answer.cautions)
    said = "No day of the lesson is named"
    assert said in str(lesson.example_sheet(overdue, example(overdue)))
    dated_ = replace(overdue, on=date(2026, 11, 29))
    assert said not in str(lesson.example_sheet(dated_, example(dated_)))
    dated = example(replace(overdue, on=date(2026, 11, 29))).load
    assert dated is not None
    assert not dated.to_do


def test_a_lesson_without_a_house_has_a_line_for_everything() -> None:
    page = str(lesson.house_sheet(replace(TOLD, house=House())))
    assert "<b>" not in page
    assert page.count("<i></i>") >= 25
