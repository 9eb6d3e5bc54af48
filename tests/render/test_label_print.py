"""Labels on paper: each sheet through a browser, all in its cell, refused where it does not fit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from page import browsing
from render import paper

from prepkit.errors import BadInput
from prepkit.label import Content, Label, LabelSheet, listed, on, own
from prepkit.plan import load_recipe, make_plan
from prepkit.plan.labels import _short, of_answer, of_items
from prepkit.registry import answer, validate
from prepkit.render import fitting
from prepkit.render.html import PAPERS, Look
from prepkit.render.label import PAD_MM, fitted, label_sheet, use_by_words

ROOT = Path(__file__).parent.parent.parent
MADE = date(2026, 11, 25)
# no browser or no pdftotext on this machine: nothing is printed to measure
prints = pytest.mark.skipif(bool(paper.WHY), reason=paper.WHY or "there is a browser")
SHEETS = [sheet for sheet, _, _ in listed()]
X_HEIGHT = 0.488  # of the lower of the two measured faces, DejaVu Sans at 89.2 %
NAMES = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=90)


@cache
def demo() -> tuple[Label, ...]:
    """The labels of all demo recipes, some with a rule for what is opened."""
    found = []
    for path in sorted((ROOT / "recipes").glob("*-*.toml")):
        for days in (None, 3):
            found += of_items(make_plan(load_recipe(path), 40), [], MADE, None, "eu", days)
    return tuple(one for one in found if isinstance(one, Label))


def fitting_ones(sheet: LabelSheet) -> list[Label]:
    """Those of them that fit the cells of a sheet."""
    found = []
    for one in demo():
        try:
            fitted(one, sheet.cell, "metric", "x")
        except BadInput:
            continue
        found.append(one)
    return found


@pytest.fixture(scope="module")
def window(browser: Any) -> Iterator[Any]:
    with browsing.opened(browser) as page:
        yield page


def acid_stock() -> Label:
    inputs = validate(
        "acid-solution",
        {"acid": ["citric acid", "tartaric acid", "lactic acid 80 %"], "strength": "30 % w/w",
         "make": "500 ml"},
    )  # fmt: skip
    found = of_answer("Sour stock", inputs, answer("acid-solution", inputs), MADE, None, "eu")
    assert isinstance(found, Label)
    return found


# the sheets


# what stands on a label


def test_a_last_day_is_a_date_or_a_short_instruction() -> None:
    dated = [one for one in demo() if one.use_by.last is not None]
    assert dated
    for one in demo():
        big, small = use_by_words(one)
        assert len(f"{big} {small}".split()) <= 14
        assert len(big) <= 18
        if one.use_by.last is not None:
            assert one.use_by.last >= MADE
            assert datetime.strptime(big, "%a %d %b %Y").date() == one.use_by.last
    undated = [one for one in demo() if one.use_by.last is None and one.opened_days is not None]
    assert undated
    assert {use_by_words(one)[0] for one in undated} == {"day of opening + 3"}


def test_a_stock_has_its_short_hazards_and_a_sign() -> None:
    found = acid_stock()
    assert "ACID STOCK. Never drink it undiluted." in found.shorts
    assert any("H314" in one for one in found.shorts)
    assert any("H318" in one for one in found.shorts)
    assert found.sign == "warning acid"
    shown = label_sheet([found], Look(MADE), 8)
    for words in found.shorts:
        assert words.split(". ")[0].split()[0] in shown


def test_a_hazard_without_short_words_stands_in_full() -> None:
    found = acid_stock()
    unknown = ("heat", "It stays hot for an hour.")
    told = _short((), [*found.hazards, unknown])
    assert told == (*dict.fromkeys(words for _, words in found.hazards), unknown[1])


def test_the_name_is_the_title_of_the_item(tmp_path: Path) -> None:
    file = tmp_path / "r.toml"
    file.write_text(
        'title = "T"\nserves = 2\n'
        '[items.rum_syrup-2]\ncalculator = "blend"\npart = ["1 kg water"]\n'
        '[items.other]\ncalculator = "blend"\ntitle = "Ember & rye"\npart = ["1 kg water"]\n'
        '[[serve]]\nname = "One"\npart = ["10 g rum_syrup-2", "10 g other"]\n'
    )
    found = of_items(make_plan(load_recipe(file)), [], MADE, None, "eu")
    assert {one.item: one.name for one in found} == {
        "rum_syrup-2": "Rum syrup 2", "other": "Ember & rye",
    }  # fmt: skip


def test_what_does_not_fit_is_refused_with_what_to_shorten() -> None:
    one = demo()[0]
    many = tuple(Content(f"ingredient number {n}", 1.0) for n in range(40))
    with pytest.raises(BadInput, match="contents are too long; take a larger label, or leave"):
        label_sheet([replace(one, contents=many)], Look(MADE))
    label_sheet([replace(one, contents=many)], Look(MADE), without=["contents"])
    with pytest.raises(BadInput, match="name is too long; shorten it"):
        label_sheet([replace(one, name="Word " * 60)], Look(MADE))
    allergens = tuple(f"allergen {n}" for n in range(40))
    with pytest.raises(BadInput, match="never left out"):
        label_sheet([replace(one, contains=allergens)], Look(MADE), without=["contents"])
    with pytest.raises(BadInput, match="does not fit 16 x 16 mm"):
        label_sheet([one], Look(MADE), own("1 x 1 of 16 x 16 mm", "a4"))


@settings(max_examples=60, deadline=None)
@given(NAMES, st.lists(NAMES.filter(bool), max_size=12), st.sampled_from(SHEETS), st.booleans())
def test_what_is_printed_is_in_its_cell_and_loses_nothing(
    name: str, contents: list[str], sheet: LabelSheet, milk: bool
) -> None:
    listed = tuple(Content(one, 1.0, ("milk",) if milk else ()) for one in contents)
    label = replace(demo()[0], name=name, contents=listed, contains=("milk",) if milk else ())
    try:
        fit = fitted(label, sheet.cell, "metric", "x")
    except BadInput:
        return
    rows = (*fit.rows, *fit.foot)
    wide, high = (sheet.cell[at] - 2 * PAD_MM[at] for at in (0, 1))
    assert sum(row.high_mm for row in rows) <= high + 1e-6
    for row in rows:
        assert row.type_mm * X_HEIGHT >= 1.2
        for line in row.lines:
            if row.part not in ("use", "name"):
                took = sum(fitting.width(words, strong) for words, strong in line) * row.type_mm
                assert took <= wide + 1e-6 or len("".join(words for words, _ in line)) == 1
    shown = "".join(
        words for row in rows if row.part == "contents" for line in row.lines for words, _ in line
    )
    for one in contents:
        bare = re.sub(r"\s+", "", one).lower()
        assert bare in re.sub(r"\s+", "", shown).lower()


# on paper


@prints
@pytest.mark.parametrize("sheet", SHEETS, ids=lambda one: one.name)
def test_every_sheet_is_printed_with_all_in_its_cells(
    sheet: LabelSheet, window: Any, tmp_path: Path
) -> None:
    labels = fitting_ones(sheet)
    assert labels
    name = sheet.name.partition("-")[0]
    several = [labels[at % len(labels)] for at in range(sheet.count + 1)]
    pages = paper.printed(window, label_sheet(several, Look(MADE, PAPERS[name]), sheet), tmp_path)
    assert len(pages) == 2
    assert (pages[0].wide, pages[0].high) == pytest.approx(sheet.paper, abs=0.5)
    cells = [
        (sheet.margin[0] + column * (sheet.cell[0] + sheet.gap[0]),
         sheet.margin[1] + row * (sheet.cell[1] + sheet.gap[1]))
        for row in range(sheet.rows) for column in range(sheet.columns)
    ]  # fmt: skip
    for page, of_page in ((pages[0], several[:-1]), (pages[1], several[-1:])):
        assert not paper.overlapping(page)
        words = list(page.words)
        for (left, top), label in zip(cells, of_page, strict=False):
            inside = [
                word for word in words
                if left <= word.left and word.right <= left + sheet.cell[0]
                and top <= word.top + 0.5 and word.bottom <= top + sheet.cell[1] + 0.5
            ]  # fmt: skip
            told = " ".join(word.text for word in inside)
            for part in (*label.name.split(), "Made", "Opened", "Use", *label.shorts):
                assert part in told, (label.name, part, told)
            for word in inside:
                words.remove(word)
        assert not words  # none stands outside the cells
    for text, size in paper.type_sizes(window).items():
        assert size * X_HEIGHT >= 1.2, text


@prints
def test_24_labels_stand_on_one_a4(window: Any, tmp_path: Path) -> None:
    sheet = on("a4")
    labels = fitting_ones(sheet)
    assert len(labels) >= 0.9 * len(demo())  # the demo recipes fit the usual sheet
    text = label_sheet([labels[0]] * 24, Look(MADE))
    (page,) = paper.printed(window, text, tmp_path)
    assert page.text.count("Made 25 Nov 2026") == 24


@prints
@pytest.mark.parametrize("cell", [(64.6, 33.8), (99.1, 67.7), (60.0, 40.0)])
def test_a_row_is_as_high_as_it_was_reckoned(
    cell: tuple[float, float], window: Any, tmp_path: Path
) -> None:
    sheet = LabelSheet("own", cell, 1, 1, cell, (0.0, 0.0), (0.0, 0.0))
    labels = [*fitting_ones(sheet), acid_stock()]
    file = tmp_path / "page.html"
    labels = [one for one in labels if len(one.shorts) < 3 or cell[0] > 90]
    file.write_text(label_sheet(labels, Look(MADE), sheet), encoding="utf-8")
    window.goto(file.as_uri())
    window.emulate_media(media="print")
    over = window.evaluate(
        """() => [...document.querySelectorAll(".label")].filter(one =>
          one.scrollHeight > one.clientHeight + 1 || one.scrollWidth > one.clientWidth + 1
        ).map(one => one.textContent)"""
    )
    assert over == []


@prints
def test_the_roll_ends_where_the_label_ends(window: Any, tmp_path: Path) -> None:
    labels = [*demo(), acid_stock()]
    text = label_sheet(labels, Look(MADE, PAPERS["roll"]))
    pages = paper.printed(window, text, tmp_path)
    assert len(pages) == len(labels)
    for page in pages:
        assert page.wide == pytest.approx(80, abs=0.5)
        last = max(word.bottom for word in page.words)
        assert last <= page.high
        assert page.high - last < 4
        assert not paper.overlapping(page)


@prints
def test_a_roll_of_cut_labels_has_pages_of_their_size(window: Any, tmp_path: Path) -> None:
    sheet = own("1 x 1 of 60 x 40 mm", "roll")
    labels = fitting_ones(sheet)
    pages = paper.printed(window, label_sheet(labels, Look(MADE), sheet), tmp_path)
    assert len(pages) == len(labels)
    assert {(round(page.wide), round(page.high)) for page in pages} == {(60, 40)}
