"""What stands on the first page of a card: sentences of its cautions alone, none lost unsaid."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from render.page_reader import read

from prepkit import run
from prepkit.index import CALCULATORS
from prepkit.model import Compared
from prepkit.page import forms
from prepkit.render import charts, fitting, front, html, signs
from prepkit.render.front import CardCaution, Face, Fact
from prepkit.render.html import PAPERS, Look, answer_card, stamp
from prepkit.units import rounded_down

ON = date(2026, 11, 25)
SIPHON: dict[str, Any] = {
    "contents": "500 ml cream 35 %", "vessel_volume": "0.78 l", "max_fill": "0.5 l",
    "rated": "17 bar", "gas": "n2o", "chargers": 1, "temperature": "5 C",
}  # fmt: skip
ADDRESS = "http://192.0.2.10:8000/make/siphon?rated=17+bar"

SENTENCE = st.lists(
    st.sampled_from(["Never", "Vent", "keep", "cold", "the", "13.9 bar", "Do not", "vessel"]),
    min_size=1, max_size=14,
).map(lambda words: f"{' '.join(words)}.")  # fmt: skip
POINT = st.builds(
    CardCaution,
    id=st.sampled_from("abcdefgh"),
    kind=st.sampled_from(["pressure", "heat", "cryogen"]),
    severity=st.sampled_from(["stop", "care", "note"]),
    text=SENTENCE,
    action=st.lists(SENTENCE, min_size=1, max_size=3).map(" ".join),
    standing=st.booleans(),
)
FACE = st.builds(
    Face,
    title=st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=300),
    about=st.just("40 serves, 2026-11-25"),
    verdict=st.sampled_from(["clear", "care", "stop"]),
    word=st.just("CARE"),
    words=st.just("Go ahead only if you do the points below."),
    headline=st.lists(SENTENCE, min_size=1, max_size=3),
    gauge=st.sampled_from([None, fitting.Gauge(13.1, 15.3, 17.0, "bar", 1, "rated")]),
    facts=st.lists(st.builds(Fact, st.text(max_size=60), st.text(max_size=60)), max_size=40),
    points=st.lists(POINT, max_size=12),
    closing=st.just(("Plate and manual rank first.", "prepkit 0.0.0, 6bfd-e087-932b")),
)


@settings(max_examples=60, deadline=None)
@given(FACE, st.sampled_from(list(PAPERS)))
def test_whatever_it_says_fits_its_paper(face: Face, paper: str) -> None:
    found = front.set_on(face, paper)
    wide, high = front.SIZES_MM[paper]
    assert found.wide == wide
    assert high is None or found.high == high
    body = found.sizes["body"]
    assert body >= fitting.SMALLEST_TYPE_MM - 1e-9
    for name in ("big", "less", "word"):
        assert found.sizes[name] >= body
    for line in found.headline:
        size = found.sizes[found.headline_size]
        assert len(line) == 1 or size * fitting.width(line, True) <= found.sizes["inside"] + 1e-6
    # a point to mind is told, or counted among those on the details sheet
    told = {line for column in found.advice for _, lines in column.rows for line in lines}
    assert found.left_out == 0 or any(front.DETAILS in fitting.glued(one).replace("\xa0", " ")
                                      for one in [" ".join(found.left)])  # fmt: skip
    for column in found.advice:
        assert len(column.rows) <= front.MOST
    assert told or not [p for p in face.points if p.rank < 2] or found.left_out or (
        face.verdict == "stop"
    ) or all(front.asks(p) for p in face.points)  # fmt: skip


@given(st.lists(POINT, max_size=12), st.integers(10, 80))
def test_every_point_to_mind_is_told_or_left_and_none_is_invented(
    points: list[CardCaution], letters: int
) -> None:
    found = front.chosen(points, lambda words: len(words) <= letters)
    for one in (*found.do, *found.never):
        assert one.words in f"{one.point.text} {one.point.action}"
        assert len(one.words) <= letters
    shown = [one.point for one in (*found.do, *found.never)]
    for point in points:
        if point.rank < 3:
            assert any(point is one for one in (*shown, *found.left)) or any(
                point.action == one.action or point.text == one.text for one in shown
            )
    for one in found.never:
        assert re.match(r"(Never|Do not|No|Nobody|Nothing|Not)\b|.*: never\b", one.words)


@pytest.mark.parametrize("name", CALCULATORS)
def test_a_sentence_of_a_card_is_one_of_its_cautions(name: str) -> None:
    answer = run(name, dict(forms.example(name)))
    look = Look(ON)
    face = html.of_answer(answer, look, stamp(look, {}))
    words = " ".join(f"{one.text} {one.action}" for one in answer.cautions).replace("\xa0", " ")
    for paper in PAPERS:
        for column in front.set_on(face, paper).advice:
            for _, lines in column.rows:
                told = "".join(lines).replace("\xa0", "").replace(" ", "")
                assert told in words.replace(" ", "")


@pytest.mark.parametrize("name", CALCULATORS)
@pytest.mark.parametrize("paper", PAPERS)
def test_pressure_cryogen_and_inhalation_are_on_every_card(name: str, paper: str) -> None:
    answer = run(name, dict(forms.example(name)))
    look = Look(ON)
    face = html.of_answer(answer, look, stamp(look, {}))
    made = front.set_on(face, paper)
    shown = "".join(
        fitting.glued(line) for column in made.advice for _, lines in column.rows for line in lines
    )
    always = " ".join(line for _, line in made.always)
    for kind in ("pressure", "cryogen", "inhalation"):
        of_kind = [one for one in answer.cautions if one.kind == kind]
        told = [
            one
            for caution in of_kind
            for side in front.split(CardCaution("", kind, "note", caution.text, caution.action))
            for one in side
            if "".join(one.words.split()) in "".join(shown.split())
        ]
        assert told or kind.capitalize() in always


@pytest.mark.parametrize("name", CALCULATORS)
def test_each_caution_of_a_calculator_is_in_the_details(name: str) -> None:
    answer = run(name, dict(forms.example(name)))
    text = read(answer_card(answer, Look(ON, details=True))).text
    for one in answer.cautions:
        assert " ".join(one.text.split()) in text


def test_more_points_never_make_a_card_say_less_of_the_gravest() -> None:
    care = CardCaution("a", "heat", "care", "It is hot.", "Keep it below 38 °C.")
    notes = [
        CardCaution(f"n{n}", "equipment", "note", "A note.", f"Weigh it {n} times.")
        for n in range(9)
    ]
    found = front.chosen([*notes, care], lambda words: True)
    assert found.do[0].point is care


def test_a_stop_has_no_fact_that_it_must_not_show() -> None:
    answer = run("siphon", {**SIPHON, "chargers": 2})
    look = Look(ON)
    face = html.of_answer(answer, look, stamp(look, {}))
    assert face.verdict == "stop"
    shown = {one.value for one in face.facts}
    assert shown <= {f"{one.value:.{one.digits}f} {one.unit}" for one in answer.values.values()}
    made = front.set_on(face, "a4")
    assert "Do" not in [column.head for column in made.advice]


def test_a_gauge_never_shows_a_margin_where_there_is_none() -> None:
    over = fitting.Gauge(20.0, 25.0, 17.0, "bar", 1, "rated")
    under = replace(over, value=10.0, bound=15.0)
    assert "over by 8.0" in over.words
    assert "margin 2.0" in under.words
    for one in (over, under):
        assert one.top >= 1.05 * max(one.bound, one.limit)
    hair = replace(over, value=16.0, bound=16.98, limit=16.96)  # never shown as 17
    assert "rated 16.9 bar; over by" in hair.words
    assert fitting.against(Compared(2.0, 3.0, "%", 1), "stop") is None
    assert fitting.against(Compared(3.04, 3.0, "%", 1), "stop") is None  # "3.0 %; limit 3"
    assert fitting.against(Compared(4.0, 3.0, "%", 1), "care") is None
    assert fitting.against(None, "stop") is None


def test_oxygen_has_no_gauge_of_a_most() -> None:
    answer = run("room", {"release": ["30 kg n2"], "volume": "30 m3"})
    assert "% oxygen" in answer.result.deciding
    assert answer.result.compared is None


GAUGED = [
    *(("room", {"release": [f"{kg} kg co2"], "volume": "30 m3", "air_changes": "4"})
      for kg in ("0.05", "0.4", "1.2", "8")),
    *(("room", {"release": [f"{g} g n2o"], "volume": "30 m3", "air_changes": "4"})
      for g in ("8", "4000")),
    ("cryogen", {"cryogen": "dry ice", "stored": "20 kg", "hours": "8 h", "room_volume": "30 m3",
                 "air_changes": "4"}),
    *(("warm", {"hot": f"120 g water at {c} C", "part": ["30 g water at 20 C"]})
      for c in ("72.3", "77.7", "95")),
]  # fmt: skip


@pytest.mark.parametrize("system", ["metric", "us"])
@pytest.mark.parametrize(("name", "said"), GAUGED)
def test_a_gauge_has_the_figure_and_the_limit_of_its_sentence(
    name: str, said: dict[str, Any], system: str
) -> None:
    answer = run(name, said)
    compared = answer.result.compared
    assert compared is not None
    look = Look(ON, system=system)
    face = html.of_answer(answer, look, stamp(look, {}))
    if (compared.value > compared.limit) != (answer.verdict == "stop"):
        assert face.gauge is None
        return
    assert face.gauge is not None
    assert face.headline[0].startswith(face.gauge.figure)
    stated = f"{face.gauge.limit_words.removeprefix('limit ')} {face.gauge.unit}"
    assert stated in face.headline[0] or "3 times 5000 ppm" in face.headline[0]


def test_the_gauge_and_the_sentence_say_the_same_in_us_units() -> None:
    look = Look(ON, system="us")
    face = html.of_answer(run("siphon", SIPHON), look, stamp(look, {}))
    assert face.gauge is not None
    assert face.gauge.figure in face.headline[0]


@pytest.mark.parametrize("rated", ["17 bar", "17 bar ± 1 bar", "16 bar ± 1 bar", "250 psi ± 2 %"])
def test_the_gauge_has_the_rating_that_was_judged(rated: str) -> None:
    look = Look(ON)
    answer = run("siphon", {**SIPHON, "rated": rated})
    gauge = html.of_answer(answer, look, stamp(look, {})).gauge
    assert gauge is not None
    judged = answer.result.facts["rated_bar"]
    assert f"rated {rounded_down(judged):g} bar" in answer.result.deciding
    assert gauge.limit == judged
    assert f"rated {rounded_down(judged, 1):g} bar" in gauge.words
    drawn = charts.pressure(answer)
    assert drawn is None or drawn.levels[0].value == judged
    assert drawn is not None or answer.verdict == "stop"
    assert (gauge.bound > gauge.limit) == (answer.verdict == "stop")


def test_a_code_stands_only_where_an_address_is_known() -> None:
    pytest.importorskip("segno")  # an extra of the page: without it a card has no code
    answer = run("siphon", SIPHON)
    assert 'class="qr"' not in answer_card(answer, Look(ON))
    assert 'class="qr"' in answer_card(answer, Look(ON), ADDRESS)
    assert 'class="qr"' not in answer_card(answer, Look(ON), ADDRESS + "x" * signs.MOST_LETTERS)
    found = signs.rows(ADDRESS)
    assert all(len(row) == len(found) for row in found)
    for edge in (*found[:4], *found[-4:]):  # four modules of white on each side (ISO/IEC 18004)
        assert set(edge) == {"0"}
    assert all(set(row[:4] + row[-4:]) == {"0"} for row in found)
    drawn = sum(int(wide) for wide in re.findall(r"h(\d+)v1", signs.path(found)))
    assert drawn == sum(row.count("1") for row in found)
    for paper in PAPERS:
        look = Look(ON)
        face = html.of_answer(answer, look, stamp(look, {}), ADDRESS)
        assert front.set_on(face, paper).qr_mm / len(found) >= 0.35
