"""Blind tastings as a user runs them: planned, poured, answered, judged; wrong input refused."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from prepkit.errors import BadInput, BadRecipe, FileProblem
from prepkit.plan.files import tables_of
from prepkit.tasting import (
    REFERENCE,
    TESTS,
    Tasting,
    command,
    judge,
    load,
    orders,
    proposed,
    ranks,
    read_answer,
    save,
    sheets,
    written,
)


def tasting(test: str, tasters: int = 12, glasses: int = 2, **more: object) -> Tasting:
    named = tuple(f"glass {'ABCDEFGHI'[at]}" for at in range(glasses))
    taste = "sour" if test in ("pair", "three", "ranking") else None
    expected = named[-1] if test in ("pair", "three") else None
    said = {
        "title": "t",
        "taste": taste,
        "expected": expected,
        "glass_ml": 15.0,
        "abv_percent": 12.0,
        **more,
    }
    return Tasting(test=test, glasses=named, tasters=tasters, **said)  # type: ignore[arg-type]  # words of a test


def answered(one: Tasting, right: int) -> dict[int, str]:
    """The first `right` tasters are right, the others wrong."""
    out = {}
    for sheet in sheets(one):
        wrong = next(code for code in sheet.codes if code != sheet.right)
        assert sheet.right is not None
        out[sheet.taster] = sheet.right if sheet.taster <= right else wrong
    return out


@given(st.sampled_from(sorted(TESTS)), st.integers(1, 40), st.integers(0, 999), st.integers(3, 9))
@settings(max_examples=60)
def test_orders_are_balanced_and_codes_differ(
    test: str, tasters: int, seed: int, glasses: int
) -> None:
    one = tasting(test, tasters, glasses if test == "ranking" else 2, seed=seed)
    known = orders(one)
    found = Counter(tuple(pour.glass for pour in sheet.pours) for sheet in sheets(one))
    assert set(found) <= set(known)
    counts = [found[order] for order in known]
    assert max(counts) - min(counts) <= 1
    for sheet in sheets(one):
        assert len({pour.code for pour in sheet.pours}) == one.glasses_each
        assert all(code.isdecimal() and 100 <= int(code) <= 999 for code in sheet.codes)
        assert sheet.right is None or sheet.right in sheet.codes
    assert sheets(one) == sheets(tasting(test, tasters, len(one.glasses), seed=seed))


def test_what_is_expected_decides_the_test() -> None:
    # FRM-21: a named taste needs 16 or 23 tasters where a triangle needs 202
    assert proposed(2, "sour", True) == "three"
    assert proposed(2, "sour", False) == "pair"
    assert proposed(2, None, False) == "triangle"
    assert proposed(2, "liked", False) == "preference"
    assert proposed(5, "sour", False) == "ranking"


def test_seven_of_twelve_is_not_enough_and_not_the_same() -> None:
    # FRM-01, FRM-04, FRM-05
    one = tasting("triangle")
    found = judge(one, answered(one, 7))
    said = " ".join(found.sentences)
    assert not found.found
    assert "7 of 12 told them apart, p = 0.066: not enough to be sure." in said
    assert "Between none and 77 % of people" in said
    assert "29 tasters would find it 80 times in 100 (at least 25)." in said
    assert "no test of likeness" in said


def test_likeness_is_said_only_where_it_is_shown() -> None:
    # FRM-17: of 36 tasters at most 13 right answers show that fewer than 30 % can tell
    one = tasting("triangle", 36)
    assert "Alike: fewer than 30 %" in judge(one, answered(one, 13), 0.30).sentences[-1]
    for right in (14, 20):
        assert "is not shown" in judge(one, answered(one, right), 0.30).sentences[-1]
    assert "stays open" in judge(one, answered(one, 5), 0.30).sentences[-1]
    assert not any("Alike" in one_ for one_ in judge(one, answered(one, 13)).sentences)
    few = tasting("triangle", 6)
    assert "too few" in judge(few, answered(few, 2), 0.2).sentences[-1]
    ranked = tasting("ranking", 3, 3)
    with pytest.raises(BadInput, match="cannot prove likeness"):
        judge(ranked, {1: " ".join(sheets(ranked)[0].codes)}, 0.3)
    either = tasting("pair", expected=None)
    with pytest.raises(BadInput, match="right answer"):
        judge(either, {1: sheets(either)[0].codes[0]}, 0.3)


def test_a_pair_without_an_expected_glass_is_two_sided() -> None:
    one = tasting("pair", expected=None)
    answers = {
        sheet.taster: next(p.code for p in sheet.pours if p.glass == (sheet.taster <= 10))
        for sheet in sheets(one)
    }
    found = judge(one, answers)
    # exact: 2 P(X >= 10 of 12) = 0.0386
    assert found.sentences[0].startswith("10 of 12 find more sour glass B than glass A, p = 0.039")


def test_a_ladder_is_judged_by_its_order_and_others_pair_by_pair() -> None:
    for in_order in (True, False):
        one = tasting("ranking", 8, 4, in_order=in_order)
        answers = {
            sheet.taster: " ".join(p.code for p in sorted(sheet.pours, key=lambda p: p.glass))
            for sheet in sheets(one)
        }
        for sheet in sheets(one):
            assert ranks(sheet, answers[sheet.taster]) == (1.0, 2.0, 3.0, 4.0)
        found = judge(one, answers)
        assert found.found
        assert ("page_l" in found.figures) is in_order
        assert "glass A and glass D" in found.sentences[-1]


def test_tied_and_missing_answers() -> None:
    one = tasting("ranking", 2, 3)
    a, b, c = sheets(one)[0].codes
    assert ranks(sheets(one)[0], f"{a} {b}={c}").count(2.5) == 2
    found = judge(one, {1: f"{a} {b}={c}"})
    assert "1 of 2 tasters have not answered" in found.sentences[-1]
    assert read_answer(one, f"1: {a}, {b} = {c}") == (1, f"{a} {b}={c}")
    for wrong in (f"1: {a} {b}", f"1: {a} {b} {b}", "1: 12 13 14", "3: 1", "x", "1:", ""):
        with pytest.raises(BadInput):
            read_answer(one, wrong)
    with pytest.raises(BadInput, match="nobody"):
        judge(one, {})


def test_sheets_hold_no_key() -> None:
    for test in TESTS:
        one = tasting(test, 6, 4 if test == "ranking" else 2)
        for said in (command.sheets_text(one), command.sheets_html(one)):
            assert not any(glass in said for glass in one.glasses)
            assert "Allergens" in said
        assert all(glass in command.pour_text(one) for glass in one.glasses)
    assert REFERENCE in command.sheets_text(tasting("duo-trio"))
    hostile = tasting("triangle", title="<script>alert(1)</script>")
    assert "<script>" not in command.sheets_html(hostile)


def test_the_file_is_read_back_and_refused_by_line(tmp_path: Path) -> None:
    one = tasting("triangle", allergens=("milk", 'a "nut"'))
    path = tmp_path / "one.toml"
    save_to = {1: sheets(one)[0].codes[0]}
    path.write_text(written(one, save_to), encoding="utf-8")
    assert load(path) == (one, save_to)
    path.write_text("# ours\n" + written(one, save_to) + "# gone with the answers\n")
    save(path, {2: sheets(one)[1].codes[0]})
    assert path.read_text().startswith("# ours\n")
    assert load(path) == (one, {2: sheets(one)[1].codes[0]})
    save(path, {})
    assert load(path) == (one, {})
    text = written(one, save_to)
    for old, new, line in (
        ('test = "triangle"', 'test = "guess"', "no test"),
        ("tasters = 12", "tasters = 0", "tasters"),
        ("tasters = 12", 'tasters = "12"', ":5: tasting.tasters"),
        ("seed = 1", "sed = 1", '"sed"'),
        ('"15 ml"', '"15 g"', "glass_volume"),
        ("1 = ", "99 = ", "answers.99"),
        ("[tasting]", "[tastin]", "tastin"),
    ):
        path.write_text(text.replace(old, new), encoding="utf-8")
        with pytest.raises(BadRecipe, match=line):
            load(path)


def test_more_glasses_than_a_person_may_taste_are_refused() -> None:
    with pytest.raises(BadInput, match="more than the 6"):
        tasting("ranking", 6, 7, abv_percent=25.0)
    assert tasting("ranking", 6, 7, abv_percent=0.0).alcohol_g == 0.0
    # FRM-32: ten glasses of 15 ml at 12.5 % vol hold 14.8 g
    ml = tasting("triangle", abv_percent=12.5)
    assert ml.alcohol_g * 10 / 3 == pytest.approx(14.8, abs=0.05)


@pytest.mark.parametrize("heading", ["[answers] # by hand", "[ answers ]", "  [answers]"])
def test_answers_are_added_to_a_table_written_by_hand(tmp_path: Path, heading: str) -> None:
    one, path = tasting("triangle"), tmp_path / "one.toml"
    first, second = (sheets(one)[at].codes[0] for at in (0, 1))
    path.write_text(written(one) + f'{heading}\n1 = "{first}"\n', encoding="utf-8")
    save(path, {1: first, 2: second})
    assert load(path) == (one, {1: first, 2: second})


def test_a_file_that_cannot_take_answers_stays_as_it_is(tmp_path: Path) -> None:
    one, path = tasting("triangle"), tmp_path / "one.toml"
    first = sheets(one)[0].codes[0]
    for before in (f'answers = {{1 = "{first}"}}\n', f'answers.1 = "{first}"\n'):
        path.write_text(before + written(one), encoding="utf-8")
        with pytest.raises(FileProblem, match="changed by hand"):
            save(path, {1: first})
        assert load(path) == (one, {1: first})
    path.write_text(written(one) + f'[answers]\n1 = "{first}"\n01 = "{first}"\n', encoding="utf-8")
    with pytest.raises(BadRecipe, match="two answers"):
        load(path)


@given(st.lists(st.text(st.characters(codec="utf-8"), min_size=1, max_size=8), min_size=2,
                max_size=2, unique=True))  # fmt: skip
@settings(max_examples=25, deadline=None)
def test_any_name_of_a_glass_makes_a_file_that_can_be_read(names: list[str]) -> None:
    one = Tasting(title=names[0], test="triangle", glasses=tuple(names), glass_ml=15.0,
                  abv_percent=0.0)  # fmt: skip
    assert tables_of(written(one), "", "tasting")["tasting"]["glasses"] == names


def test_alcohol_is_never_said_to_be_less_than_it_is() -> None:
    for ml in range(5, 60):
        one = tasting("pair", glass_ml=float(ml))
        said = float(command.alcohol(one).split("at most ")[1].split()[0])
        assert one.alcohol_g <= said < one.alcohol_g + 0.11


def test_before_the_first_glass_stands_what_a_person_must_know() -> None:
    one = tasting("triangle", 12, 2)
    text = command.plan_text(one)
    order = [text.index(word) for word in ("Allergens:", "Alcohol", "Glasses:", "Tasters who find")]
    assert order == sorted(order)
    assert "(our judgement)" in text
    assert "Allergens:" in command.pour_text(one).splitlines()[2]
