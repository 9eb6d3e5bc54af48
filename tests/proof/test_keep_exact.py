"""Keeping as a decision, written out by hand: what it holds, what was measured, the days."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from prepkit import blocks, cautions, derived
from prepkit.errors import BadInput
from prepkit.mixture import Mixture
from prepkit.pantry import Pantry
from prepkit.shared import keeping
from prepkit.shared.keeping import ASSESS, COLD, CONTROL, Judged

PANTRY = Pantry()
MADE = date(2026, 11, 25)


def mixture(*words: str) -> Mixture:
    return Mixture.total(PANTRY.part(one).mixture for one in words)


def tagged(fat: float, *tags: str, milk: float = 0.0) -> Mixture:
    masses = {"fat": fat, "milk_fat": milk, "water": 1.0 - fat - milk}
    return Mixture(masses, frozenset(), frozenset(tags))


def test_the_figures_are_those_of_the_food_code() -> None:
    # FOOD-CODE-TIME: 5 C, 21 C, 7 days, 4 and 6 hours; plants in oil 2 days, 2 hours
    assert (keeping.COLD_C, keeping.SPRING_C) == (5.0, 21.0)
    assert (keeping.DAYS, keeping.OIL_DAYS) == (7, 2)
    assert (keeping.HOURS, keeping.COOL_HOURS, keeping.OIL_HOURS) == (4, 6, 2)
    assert (keeping.MARGIN_PH, keeping.MARGIN_AW) == (0.2, 0.01)
    assert keeping.RESULTS == (COLD, ASSESS, CONTROL) == (
        "keep refrigerated", "product assessment needed", "time control needed",
    )  # fmt: skip


# what it holds


@pytest.mark.parametrize(
    ("words", "meaning"),
    [
        ("dairy", "dairy"), ("Milk", "dairy"), ("cream", "dairy"), ("egg", "egg"),
        (" raw  EGG ", "raw-egg"), ("garlic in oil", "in-oil"), ("herb in oil", "in-oil"),
        ("plant in oil", "in-oil"), ("low-acid plant", "low-acid-botanical"),
        ("herb", "low-acid-botanical"), ("vegetable", "low-acid-botanical"),
        ("nut", "low-acid-botanical"), ("fresh juice", "raw-juice"),
    ],
)  # fmt: skip
def test_words_of_what_is_in_it(words: str, meaning: str) -> None:
    assert keeping.held((words,), None) == {meaning}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("diary", '--contains "diary" is not known here; did you mean dairy.'),
        ("xyzzy", '--contains "xyzzy" is not known here; they are dairy, milk, cream, egg, raw egg,'
         " garlic in oil, herb in oil, plant in oil, low-acid plant, herb, vegetable, nut, fresh "
         "juice."),
    ],
)  # fmt: skip
def test_words_that_are_not_known(words: str, says: str) -> None:
    with pytest.raises(BadInput) as wrong:
        keeping.held((words,), None)
    assert str(wrong.value) == says
    assert wrong.value.field == "contains"


def test_what_the_parts_themselves_say() -> None:
    all_tags = frozenset(("raw-egg", "low-acid-botanical", "raw-juice", "garlic-family", "pulp"))
    kept = Mixture({"water": 1.0}, frozenset(), all_tags, frozenset(("dairy", "egg", "herb")))
    assert keeping.held((), kept) == {
        "raw-egg", "low-acid-botanical", "raw-juice", "garlic-family", "dairy", "egg",
    }  # fmt: skip
    assert keeping.held(("nut",), Mixture({})) == {"low-acid-botanical"}


@pytest.mark.parametrize(
    ("found", "in_oil"),
    [
        (tagged(0.2001, "garlic-family"), True), (tagged(0.20, "garlic-family"), False),
        (tagged(0.1, "garlic-family", milk=0.1001), True),
        (tagged(0.6001, "low-acid-botanical"), True), (tagged(0.60, "low-acid-botanical"), False),
        (tagged(0.3, "low-acid-botanical", milk=0.3001), True), (tagged(0.9), False),
        (tagged(0.9, "raw-juice"), False),
        (Mixture({}, frozenset(), frozenset(("garlic-family",))), False),
    ],
)  # fmt: skip
def test_from_where_a_plant_lies_in_oil(found: Mixture, in_oil: bool) -> None:
    assert ("in-oil" in keeping.held((), found)) is in_oil


# what is named with a day


def test_what_is_named_with_a_day_is_in_it() -> None:
    found, unknown = keeping.dated(
        ("2026-11-25", " ", "cream 2026-11-22", "egg white 2026-11-20", "mystery 2026-11-21"),
        PANTRY,
    )
    assert unknown == ("mystery",)
    assert not found.mass_kg
    assert {"milk", "eggs"} <= found.allergens
    assert {"dairy", "egg"} <= found.keeps
    assert keeping.dated((), PANTRY) == (Mixture({}), ())
    # what the pantry knows is known by it, with any strength where it needs one
    assert keeping.dated(("vodka 2026-11-22",), PANTRY)[1] == ()
    plant, unknown = keeping.dated(("mint 2026-11-22",), PANTRY)
    assert unknown == ()
    assert "low-acid-botanical" in plant.tags


@pytest.mark.parametrize(
    ("name", "tags", "keeps", "allergens"),
    [
        ("grandmother milk", {"dairy"}, {"dairy"}, {"milk"}),
        ("duck eggs", {"raw-egg"}, {"egg"}, {"eggs"}),
        ("wild HERBS", {"low-acid-botanical"}, set(), set()),
        ("moon vegetable", {"low-acid-botanical"}, set(), set()),
        ("nuts and cream of mars", {"low-acid-botanical", "dairy"}, {"dairy"}, {"milk"}),
    ],
)
def test_a_name_of_its_own_brings_what_its_words_mean(
    name: str, tags: set[str], keeps: set[str], allergens: set[str]
) -> None:
    found, unknown = keeping.dated((f"{name} 2026-11-22",), PANTRY)
    assert unknown == ()
    assert (found.tags, found.keeps, found.allergens) == (tags, keeps, allergens)


def test_facts_of_what_was_brought_along() -> None:
    found = Mixture({}, frozenset({"milk", "nuts:almond"}), frozenset({"dairy"}), frozenset({"a"}))
    assert keeping.brought(found) == {
        "allergens": {"milk", "nuts"}, "allergen_list": "milk, nuts: almond", "tags": {"dairy"},
        "keeps": {"a"},
    }  # fmt: skip
    assert keeping.brought(Mixture({})) == {"tags": frozenset(), "keeps": frozenset()}


# the decision

TABLE = "the table asks for nothing more on the numbers measured"
ASKS = "the table asks for it on the numbers measured"


@pytest.mark.parametrize(
    ("ph", "aw", "packaged", "holds", "expected"),
    [
        (None, None, False, (), Judged(CONTROL, ("pH and water activity not measured",), None,
                                       False, False)),
        (5.0, None, False, (), Judged(CONTROL, ("water activity not measured",), None, False,
                                      False)),
        (None, 0.95, False, (), Judged(CONTROL, ("pH not measured",), None, False, False)),
        # below 4.2, or below 0.88, one number is enough; near the line is said
        (3.9, None, False, (), Judged(COLD, (TABLE,), "N", False, False)),
        (4.1, None, False, (), Judged(COLD, (TABLE,), "N", True, False)),
        (None, 0.86, False, (), Judged(COLD, (TABLE,), "N", False, False)),
        (None, 0.875, False, (), Judged(COLD, (TABLE,), "N", False, True)),
        (4.7, 0.97, False, (), Judged(ASSESS, (ASKS,), "PA", False, False)),
        # heated and packaged: to pH 4.6 at any water activity, to 0.92 at any pH
        (4.5, 0.97, True, (), Judged(COLD, (TABLE,), "N", True, False)),
        (4.39, 0.97, True, (), Judged(COLD, (TABLE,), "N", False, False)),
        (7.0, 0.91, True, (), Judged(COLD, (TABLE,), "N", False, False)),
        (7.0, 0.915, True, (), Judged(COLD, (TABLE,), "N", False, True)),
        (13.9, 0.5, True, (), Judged(COLD, (TABLE,), "N", False, False)),
        (3.0, 0.995, True, (), Judged(COLD, (TABLE,), "N", False, False)),
        # what is in it asks for more whatever was measured
        (3.0, 0.8, True, ("dairy",), Judged(CONTROL, ("holds milk or cream",), "N", False, False)),
        (3.0, 0.8, True, ("egg",), Judged(CONTROL, ("holds egg",), "N", False, False)),
        (3.0, 0.8, True, ("raw-egg",), Judged(CONTROL, ("holds raw egg",), "N", False, False)),
        (3.0, 0.8, True, ("in-oil",), Judged(
            CONTROL, ("garlic, herb or vegetable lies in oil",), "N", False, False)),
        (4.7, 0.97, False, ("egg", "dairy"), Judged(
            CONTROL, (ASKS, "holds milk or cream", "holds egg"), "PA", False, False)),
        (3.0, 0.8, True, ("raw-juice",), Judged(COLD, (TABLE,), "N", False, False)),
    ],
)  # fmt: skip
def test_decision_by_hand(
    ph: float | None, aw: float | None, packaged: bool, holds: tuple[str, ...], expected: Judged
) -> None:
    assert keeping.judged(ph, aw, packaged, frozenset(holds)) == expected


@pytest.mark.parametrize(
    ("abv", "words"),
    [
        (0.0, "none"), (0.49, "none"), (0.5, "no hurdle to count on"),
        (9.99, "no hurdle to count on"), (10.0, "a hurdle to growth; what is there can survive"),
        (39.9, "a hurdle to growth; what is there can survive"),
        (40.0, "a strong hurdle, and no part of the tables"),
        (100.0, "a strong hurdle, and no part of the tables"),
    ],
)  # fmt: skip
def test_alcohol_in_words(abv: float, words: str) -> None:
    assert keeping.alcohol_words(abv) == words


@pytest.mark.parametrize(
    ("ph", "aw", "grows"),
    [
        (4.4, 1.0, False), (4.41, 1.0, True), (7.0, 0.92, False), (7.0, 0.921, True),
        (5.0, 0.94, False), (5.01, 0.94, True), (5.0, 0.941, True),
    ],
)  # fmt: skip
def test_european_criteria(ph: float, aw: float, grows: bool) -> None:
    assert keeping.listeria_words(ph, aw) == (
        "counted as letting listeria grow" if grows else "counted as not letting listeria grow"
    )


@pytest.mark.parametrize(
    ("holds", "kept", "warmest", "hours"),
    [
        ((), 5.0, 21.0, 6.0), ((), 5.1, 21.0, 4.0), ((), 5.0, 21.1, 4.0), ((), None, 21.0, 4.0),
        ((), 5.0, None, 4.0), ((), None, None, 4.0), (("in-oil",), 5.0, 21.0, 2.0),
        (("dairy",), 2.0, 10.0, 6.0),
    ],
)  # fmt: skip
def test_hours_out_of_the_cold(
    holds: tuple[str, ...], kept: float | None, warmest: float | None, hours: float
) -> None:
    assert keeping.hours_allowed(frozenset(holds), kept, warmest) == hours


# days


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("25.11.2026", '--made is "25.11.2026"; write the date as 2026-11-25.'),
        ("2026-11-25x", '--made is "2026-11-25x"; write the date as 2026-11-25.'),
        ("2026-11-31", '--made is "2026-11-31", which is not a day of the calendar; write it as '
         "2026-11-25."),
    ],
)  # fmt: skip
def test_a_day_that_is_none(words: str, says: str) -> None:
    with pytest.raises(BadInput) as wrong:
        keeping.read_date(words, "--made")
    assert str(wrong.value) == says
    assert wrong.value.field == "made"
    assert keeping.read_date(" 2026-11-25 ", "--made") == MADE


def test_a_name_and_a_day() -> None:
    read = keeping.read_named_date
    assert read(" heavy cream  2026-11-25 ", "--use-by") == ("heavy cream", MADE)
    for words in ("2026-11-25", "", " 2026-11-25"):
        with pytest.raises(BadInput) as wrong:
            read(words, "--use-by")
        assert str(wrong.value) == (
            f'--use-by is "{words}"; write a name and a date, such as "cream 2026-11-22".'
        )
        assert wrong.value.field == "use-by"
    with pytest.raises(BadInput, match=r'--use-by is "tomorrow"; write the date as 2026-11-25\.'):
        read("cream tomorrow", "--use-by")


def count(**more: Any) -> keeping.Days:
    given: dict[str, Any] = {"made": MADE, "ingredients": (), "use_by": (), "allowed": 7,
                             "frozen": 0}  # fmt: skip
    return keeping.count_days(**{**given, **more})


def test_days_by_hand() -> None:
    plain = count()
    assert plain == keeping.Days(7, MADE, "the day of making", date(2026, 12, 1), "day 7")
    assert [plain.left(date(2026, 12, day)) for day in (1, 2)] == [1, 0]
    assert plain.left(MADE) == 7
    older = count(ingredients=(("milk", date(2026, 11, 24)), ("cream", date(2026, 11, 22)),
                               ("egg", date(2026, 11, 23))))  # fmt: skip
    assert (older.first, older.first_by) == (date(2026, 11, 22), "cream, the oldest ingredient")
    assert older.last == date(2026, 11, 28)
    # made of it on the same day is the day of making
    same = count(ingredients=(("milk", MADE),))
    assert same.first_by == "the day of making"
    frozen = count(frozen=3, allowed=2)
    assert (frozen.last, frozen.last_by) == (date(2026, 11, 29), "day 2, 3 d frozen not counted")
    # a maker's day counts where it is earlier, whatever was frozen
    sooner = count(use_by=(("cream", date(2026, 11, 30)), ("milk", date(2026, 11, 28))), frozen=2)
    assert (sooner.last, sooner.last_by) == (date(2026, 11, 28), "the maker's own last day of milk")
    same = count(use_by=(("cream", date(2026, 12, 1)),))
    assert same.last_by == "day 7"
    assert count(use_by=(("cream", MADE),)).last == MADE


@pytest.mark.parametrize(
    ("more", "field", "says"),
    [
        ({"ingredients": (("cream", date(2026, 11, 26)),)}, "ingredient_date",
         "--ingredient-date says cream 2026-11-26, after it was used on 2026-11-25; check the "
         "dates."),
        ({"use_by": (("cream", date(2026, 11, 24)),)}, "use_by",
         "--use-by says cream 2026-11-24, before it was used on 2026-11-25; do not use it, and "
         "discard what was made with it."),
        ({"made": date(9999, 12, 30)}, "made",
         "--made is 9999-12-30; that is too far in time to count days."),
    ],
)  # fmt: skip
def test_days_that_cannot_be(more: dict[str, Any], field: str, says: str) -> None:
    with pytest.raises(BadInput) as wrong:
        count(**more)
    assert str(wrong.value) == says
    assert wrong.value.field == field


# the last day on a label

RULES = {row["id"]: row for row in blocks.blocks("use_by.toml", "rule")}


def test_facts_of_a_preparation() -> None:
    syrup = mixture("500 g white sugar", "500 g water")
    facts = keeping.facts(syrup)
    assert facts["sugar_percent"] == pytest.approx(50.0, abs=0.1)
    assert facts["water_percent"] == pytest.approx(50.0, abs=0.1)
    assert facts["holds"] == frozenset()
    for name, value in {**cautions.about(syrup), **derived.facts(syrup)}.items():
        assert facts[name] == value
    assert keeping.facts(mixture("500 ml cream 35 %"))["holds"] == {"dairy"}


@pytest.mark.parametrize(
    ("parts", "rule", "days"),
    [
        (("1 kg lemon juice",), "juice-fruit-plant", 7), (("700 ml gin 43 %",), "spirit", None),
        (("500 ml cream 35 %", "500 ml gin 43 %"), "milk-or-egg", 7),
        (("1 kg syrup 50 Bx",), "thin-syrup", 7), (("1 kg syrup 70 Bx",), None, None),
    ],
)  # fmt: skip
def test_the_strictest_rule_that_holds(
    parts: tuple[str, ...], rule: str | None, days: int | None
) -> None:
    found = keeping.use_by(mixture(*parts), MADE)
    assert found.days == days
    assert found.rule in RULES
    row = RULES[found.rule]
    assert (found.why, found.storage, found.source) == (row["why"], row["storage"], row["source"])
    if rule is not None:
        assert found.rule.startswith(rule)
    if days is None:
        assert (found.last, found.first, found.first_by) == (None, MADE, "")
        older = keeping.use_by(mixture(*parts), MADE, date(2026, 11, 23))
        assert (older.last, older.first) == (None, date(2026, 11, 23))
    else:
        assert found.last == date(2026, 12, 1)
        assert (found.first, found.first_by) == (MADE, "the day of making")
        older = keeping.use_by(mixture(*parts), MADE, date(2026, 11, 23))
        assert (older.first, older.first_by) == (date(2026, 11, 23), "the day of the oldest part")
        assert older.last == date(2026, 11, 29)
        same = keeping.use_by(mixture(*parts), MADE, MADE)
        assert (same.first_by, same.last) == ("the day of making", date(2026, 12, 1))


def test_the_strictest_rule_counts_whatever_its_place(monkeypatch: pytest.MonkeyPatch) -> None:
    parts = (("50 g garlic", "500 g olive oil"), ("500 ml cream 35 %", "500 ml gin 43 %"),
             ("1 kg lemon juice",), ("1 kg syrup 50 Bx",))  # fmt: skip
    days = [keeping.use_by(mixture(*one), MADE).days for one in parts]
    rules = keeping.rules()
    monkeypatch.setattr(keeping, "rules", lambda: tuple(reversed(rules)))
    assert [keeping.use_by(mixture(*one), MADE).days for one in parts] == days == [2, 7, 7, 7]


def test_plants_in_oil_have_two_days() -> None:
    found = keeping.use_by(mixture("50 g garlic", "500 g olive oil"), MADE)
    assert (found.days, found.last) == (2, date(2026, 11, 26))


def test_every_rule_of_days_is_one_that_holds_somewhere() -> None:
    assert [row.id for row in keeping.rules()] == list(RULES)
    assert list(RULES)[-1] == "not-known"
    with pytest.raises(BadInput) as wrong:
        keeping.use_by(mixture("1 kg lemon juice"), MADE, date(2026, 11, 26))
    assert wrong.value.field == "oldest"
    assert str(wrong.value) == (
        "--oldest is 2026-11-26, after the day of making, 2026-11-25; check the dates."
    )
