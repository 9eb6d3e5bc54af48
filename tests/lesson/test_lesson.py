"""The parts of a lesson add up; its sheets are all there."""

from __future__ import annotations

import re
from dataclasses import replace

from prepkit.lesson import AUDIENCES, LENGTHS_MIN, LessonFacts, lesson
from prepkit.lesson.lesson import files, one_file
from prepkit.plan.house import House

EVERY = [LessonFacts(audience, minutes, 7) for audience in AUDIENCES for minutes in LENGTHS_MIN]


def test_the_minutes_of_every_plan_add_up_to_its_length() -> None:
    for facts in EVERY:
        parts = lesson.parts(facts)
        assert sum(one.minutes for one in parts) == facts.minutes
        ends = [one.starts_min + one.minutes for one in parts]
        assert [one.starts_min for one in parts] == [0, *ends[:-1]]
        assert all(one.minutes > 0 and one.do and one.say for one in parts)


def test_only_the_long_lesson_has_a_break() -> None:
    for facts in EVERY:
        breaks = [one for one in lesson.parts(facts) if one.name == "break"]
        assert bool(breaks) == (facts.minutes == 120)


def test_every_sheet_that_is_shown_is_one_of_the_lesson() -> None:
    for facts in EVERY:
        named = {name for part in lesson.parts(facts) for name in part.see}
        assert named <= lesson.listed().keys()


def test_the_demonstrations_of_a_plan_fit_into_its_minutes() -> None:
    lengths = {row["id"]: row["minutes"] for row in lesson.offered()}
    for facts in EVERY:
        (part,) = [one for one in lesson.parts(facts) if one.name == "demonstration"]
        taken = sum(lengths[one] for one in part.demonstrations)
        assert part.minutes - 2 <= taken <= part.minutes, (facts, part.demonstrations)
        assert len(lesson.shows(facts, part)) == len(part.show) + len(part.demonstrations)


def test_the_index_says_what_this_plan_does_not_need() -> None:
    for facts in EVERY:
        shown = {name for part in lesson.parts(facts) for name in part.see}
        left = {one.name for one in lesson.sheets(facts) if one.copies == "not needed"}
        assert not left & shown
        assert bool(left) == (facts.minutes < 120)


def test_what_the_index_leads_to_is_there_in_a_folder_and_in_one_file() -> None:
    folder, whole = files(EVERY[0]), one_file(EVERY[0])
    led = re.findall(r'href="([^"]+)"', folder["index.html"])
    assert led
    assert set(led) <= folder.keys()
    led = re.findall(r'href="#([^"]+)"', whole)
    assert len(led) == len(lesson.listed()) - 1
    assert all(f'id="{one}"' in whole for one in led)
    assert ".html" not in whole


def test_what_is_too_long_for_a_wall_is_a_line_to_write_on_and_hides_nothing() -> None:
    for told, there in (
        ("112", True),
        ("beside the cellar door, outside", True),
        ("the manager of the whole building, upstairs on the third floor, behind the lift", False),
        ("a" * 300, False),
    ):
        safety = dict.fromkeys(lesson.ON_WALLS.values(), told)
        facts = replace(EVERY[0], house=House(safety=safety))
        wall = " ".join(re.sub(r"<[^>]+>", " ", str(lesson.wall_sheet(facts))).split())
        assert (told in wall) == there, told


def test_every_lesson_has_every_sheet() -> None:
    facts = EVERY[0]
    assert [one.name for one in lesson.sheets(facts)] == list(lesson.listed())
