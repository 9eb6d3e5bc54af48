"""Filled-in papers: tolerance, units, letters, the trap that was fallen into, bad files."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from prepkit.cli import main
from prepkit.draws import generator
from prepkit.drill.command import AnswerSheet, mark, mark_paper, read_sheet
from prepkit.drill.paper import NOTHING, Question, make, make_paper
from prepkit.drill.sheet import marked_text
from prepkit.drill.templates import TOPICS, templates
from prepkit.errors import FileProblem

COUNT = 14
PAPERS = {topic: make_paper(topic, COUNT, 13) for topic in TOPICS}
ALL = {one.id: one for topic in TOPICS for one in templates(topic)}
EVERY = [one for paper in PAPERS.values() for one in paper.questions]


def of_kind(kind: str) -> list[Question]:
    return [one for one in EVERY if one.kind == kind]


def named(template: str) -> Question:
    return make(ALL[template], generator("named", template), 1)


# right and wrong


@pytest.mark.parametrize("topic", TOPICS)
def test_the_keys_answers_are_all_right(topic: str) -> None:
    paper = PAPERS[topic]
    for answers in (
        {one.number: one.letter for one in paper.questions},
        {one.number: one.shown for one in paper.questions},
        {one.number: one.letter.lower() + ")" for one in paper.questions},
    ):
        marked = mark_paper(AnswerSheet(topic, 13, COUNT, None, answers))
        assert marked.right == COUNT
        assert marked.traps == {}


def test_a_fault_is_told_in_words_and_its_id_still_counts() -> None:
    for question in of_kind("fault"):
        assert str(question.right) not in question.accepted
        assert question.accepted.startswith(f"{question.letter}, or")
        assert mark(question, str(question.right)).outcome == "right"


@pytest.mark.parametrize("topic", TOPICS)
def test_each_wrong_choice_is_marked_with_its_trap(topic: str) -> None:
    for question in PAPERS[topic].questions:
        for choice in question.choices:
            if choice.right:
                continue
            by_letter = mark(question, choice.letter)
            assert (by_letter.outcome, by_letter.trap) == ("wrong", choice.trap)
            by_words = mark(question, choice.words)
            assert by_words.outcome == "wrong"
            if question.kind != "number":
                assert by_words.trap == choice.trap


def test_a_trap_that_is_no_choice_is_known_all_the_same() -> None:
    """Each trap's own number, exactly, is marked as that trap or as one that gives the same."""
    for question in of_kind("number"):
        for miss in question.misses:
            value = float(miss.value)
            if value < 0 or abs(value - float(question.right)) <= question.tolerance:
                continue
            got = mark(question, f"{value:.9f} {question.unit}")
            assert got.outcome == "wrong"
            fallen = next(one for one in question.misses if one.trap == got.trap)
            assert float(fallen.value) == pytest.approx(value)


def test_another_kind_of_per_cent_is_asked_again() -> None:
    """By volume, by weight and plain per cent are other numbers; Brix is sugar by weight."""
    kinds = ("% vol", "% w/w", "Bx", "%")
    seen = set()
    for question in (make(one, generator("kinds", one.id), 1) for one in ALL.values()
                     if not one.fault):  # fmt: skip
        if question.kind != "number" or question.unit not in kinds:
            continue
        seen.add(question.unit)
        sugar = question.unit == "Bx" or "sugar" in question.label or "solids" in question.label
        air = any(gas in question.label for gas in ("oxygen", "carbon dioxide"))
        same = {question.unit, "%"} if question.unit != "Bx" else {"Bx", "%", "% w/w"}
        same |= {"Bx"} if question.unit == "% w/w" and sugar else set()
        same |= {"% vol"} if question.unit == "%" and air else set()
        for kind in kinds:
            given = f"{float(question.right):.6f} {kind}"
            wanted = "right" if kind in same else "unreadable"
            assert mark(question, given).outcome == wanted, (question.template.id, given)
    assert seen == set(kinds)


@pytest.mark.parametrize("question", of_kind("number"), ids=lambda q: f"{q.template.id}-{q.number}")
def test_tolerance_on_both_sides(question: Question) -> None:
    right, wide = float(question.right), question.tolerance
    for inside in (right + 0.999 * wide, right - 0.999 * wide):
        if inside > 0:
            assert mark(question, f"{inside:.9f} {question.unit}").outcome == "right"
    beyond = 1.001 * wide or 0.1  # a number of things has no tolerance
    for outside in (right + beyond, right - beyond):
        if outside > 0:
            assert mark(question, f"{outside:.9f} {question.unit}").outcome == "wrong"


def test_other_units_and_a_bare_number() -> None:
    question = named("siphon-left-empty")
    litres = float(question.right) / 1000
    for given in (f"{litres} l", f"{litres:.3f} litres".replace(".", ","), f"{question.right:g}"):
        assert mark(question, given).outcome == "right", given
    pressure = named("siphon-first-peak")
    assert mark(pressure, f"{float(pressure.right) * 100:.4f} kPa").outcome == "right"
    brix = named("syrup-brix")
    for unit in ("Bx", "%", "% w/w", ""):
        assert mark(brix, f"{float(brix.right):.4f} {unit}").outcome == "right", unit


def test_a_slip_of_the_decimal_point_is_told() -> None:
    question = named("siphon-left-empty")
    got = mark(question, f"{float(question.right):g} l")
    assert got.outcome == "wrong"
    assert "decimal point" in got.note


@pytest.mark.parametrize("given", ["", "   ", "\t"])
def test_blank_is_blank(given: str) -> None:
    assert mark(EVERY[0], given).outcome == "blank"


@pytest.mark.parametrize("given", ["a lot", "nan bar", "12 kg", "1,500 ml", "Z", "12 bar 3"])
def test_what_cannot_be_read_says_why(given: str) -> None:
    got = mark(named("siphon-first-peak"), given)
    assert got.outcome == "unreadable"
    assert got.note
    assert "\n" not in got.note


def test_a_verdict_in_words() -> None:
    question = named("cryogen-where-it-goes")
    assert question.right == "stop"
    for given in ("stop", "STOP", "Stop: do not do this", "C"):
        assert mark(question, given).outcome == "right"
    got = mark(question, "clear")
    assert got.outcome == "wrong"
    assert got.trap == "said-clear"
    assert got.done
    assert mark(question, "maybe").outcome == "unreadable"


def test_a_fault_by_letter_words_or_caution() -> None:
    for question in of_kind("fault"):
        for given in (question.letter, question.shown, str(question.right)):
            assert mark(question, given).outcome == "right"
        sound = question.shown == NOTHING
        assert mark(question, NOTHING).trap == ("" if sound else "nothing-seen")
        other = next(c for c in question.choices if c.trap == "fault-not-there")
        assert mark(question, str(other.value)).trap == "fault-not-there"


def given_as(question: Question, *ways: str) -> None:
    """Each way of writing is marked right."""
    for way in ways:
        got = mark(question, way)
        assert got.outcome == "right", (way, got)


def test_a_right_answer_is_right_as_people_write_it() -> None:
    pressure = named("siphon-first-peak")
    bar = f"{float(pressure.right):.{pressure.digits}f}"
    assert pressure.pressure == "gauge"
    given_as(
        pressure, f"{bar} bar gauge", f"{bar} barg", f"{bar} bar(g)", f"about {bar} bar",
        f"~{bar} bar", f"{pressure.letter} {bar} bar", f"{pressure.letter}) {bar} bar gauge",
        f"({pressure.letter.lower()}) {bar}", f"{pressure.letter}, {bar} bar",
        f"Answer: {bar} bar", f"= {bar.replace('.', ',')} bar.",
    )  # fmt: skip
    kilograms = named("cryogen-left-after-the-shift")
    given_as(kilograms, f"{kilograms.right:g} kilograms", f"{1000 * float(kilograms.right):.6f} g")
    ppm = named("process-smoke-at-the-dome")
    given_as(ppm, f"{ppm.right:g} ml/m3", f"{ppm.right:g} ml per m³",
             f"{ppm.right:g} parts per million")  # fmt: skip
    litres = named("cryogen-gas-of-nitrogen-by-weight")
    whole = round(float(litres.right))
    given_as(litres, f"{whole // 1000} {whole % 1000:03} l", f"{whole} litres")
    count = named("siphon-vessels-for-a-service")
    given_as(count, f"{count.right:g} vessels", f"{count.right:g}")
    assert count.accepted == f"{count.right:g}"
    assert mark(count, f"{float(count.right) - 0.4:g}").outcome == "wrong"  # rounded by nobody
    for more in ("bar", "ml", "l", "%", "?", "not", "or 9", "vessels or so"):
        assert mark(count, f"{count.right:g} {more}").outcome == "unreadable", more
    acid = named("acid-ph-of-a-solution")
    given_as(acid, f"pH {acid.right:.2f}", f"PH = {acid.right:.2f}", f"{acid.right:.2f} pH")
    oxygen = named("room-two-gases")
    given_as(oxygen, *(f"{oxygen.right:.1f} % {gas}" for gas in ("oxygen", "O2", "Sauerstoff")))
    assert mark(oxygen, f"{oxygen.right:.1f} % CO2").outcome == "unreadable"


def test_both_ends_that_the_key_prints_count_as_right() -> None:
    for question in of_kind("number"):
        for end in re.findall(r"[\d.]+", question.accepted.removesuffix(question.unit)):
            assert mark(question, f"{end} {question.unit}").outcome == "right", question.accepted


def test_an_absolute_pressure_is_no_gauge_pressure() -> None:
    question = named("siphon-first-peak")
    assert mark(question, f"{question.right:g} bar absolute").outcome != "right"


def test_a_letter_and_its_words_must_say_the_same() -> None:
    for question in EVERY:
        wrong = next(choice for choice in question.choices if not choice.right)
        assert mark(question, f"{question.letter}) {question.shown}").outcome == "right"
        assert mark(question, f"{wrong.letter}: {wrong.words}").outcome == "wrong"
        got = mark(question, f"{wrong.letter}) {question.shown}")
        assert got.outcome == "unreadable"
        assert "Write one of them." in got.note


def test_a_verdict_is_read_from_a_sentence_and_never_from_a_doubt() -> None:
    question = named("cryogen-where-it-goes")
    stop = question.letter
    for given in ("Stop!", "it is a stop", "STOP.", "stop it", "Verdict: stop", "stop: too full",
                  "The answer: stop", "Das ist ein Halt", f"Answer {stop}", f"Antwort: {stop}",
                  f"{stop}, STOPP"):  # fmt: skip
        assert mark(question, given).outcome == "right", given
    for given in (
        "not stop", "stop or care", "stop / clear", "no stop", "clear, stop", "stop?", "don’t stop",
        "dont stop", "non-stop", "stop: clear", "care: stop", "stop if it is warm", "stop: no",
        "clear, but stop", "far from stop", "STOPP, wenn es warm ist", "stopp oder frei",
    ):  # fmt: skip
        assert mark(question, given).outcome == "unreadable", given
    # a word that could deny the verdict or set a condition, in front of it or behind it
    denied = (
        "without hardly wrong unless isn't instead of less than almost if cold: no "
        "nicht kein keinesfalls keineswegs kaum ohne statt sonst falsch fast vielleicht wenn"
    )
    for word in denied.split():
        for verdict in ("stop", "clear", "STOPP", "frei", "Vorsicht"):
            for given in (f"{word} {verdict}", f"{verdict} {word}"):
                assert mark(question, given).outcome == "unreadable", given


def test_what_is_asked_again_tells_nothing_of_its_key() -> None:
    paper = PAPERS["siphon"]
    answers = {one.number: "????" for one in paper.questions}
    marked = mark_paper(AnswerSheet("siphon", 13, COUNT, None, answers), paper)
    assert len(marked.again) == COUNT
    text = marked_text(marked)
    for one in marked.to_dict()["marks"]:
        assert one["right"] == one["accepted"] == ""
    assert f"{COUNT} to be asked again" in text
    assert not any(f": {one.shown}" in text for one in paper.questions if one.kind == "number")


# the file


GOOD = {"topic": "siphon", "seed": 7, "count": 4, "level": None, "answers": {"1": "13.1 bar"}}


def written(tmp_path: Path, said: Any) -> Path:
    path = tmp_path / "answers.json"
    if isinstance(said, bytes):
        path.write_bytes(said)
    else:
        path.write_text(said if isinstance(said, str) else json.dumps(said), encoding="utf-8")
    return path


def test_a_good_file_is_read(tmp_path: Path) -> None:
    sheet = read_sheet(written(tmp_path, GOOD))
    assert sheet == AnswerSheet("siphon", 7, 4, None, {1: "13.1 bar"})
    without_level = {key: value for key, value in GOOD.items() if key != "level"}
    assert read_sheet(written(tmp_path, without_level)).level is None


BAD: dict[str, Any] = {
    "empty": "",
    "no-json": "{topic: siphon}",
    "no-text": b"\xff\xfe\x00{",
    "a-list": "[1, 2]",
    "a-number": "7",
    "topic": {**GOOD, "topic": "beer"},
    "topic-of-a-kind": {**GOOD, "topic": ["siphon"]},
    "no-topic": {key: value for key, value in GOOD.items() if key != "topic"},
    "seed-text": {**GOOD, "seed": "7"},
    "seed-float": {**GOOD, "seed": 7.0},
    "seed-true": {**GOOD, "seed": True},
    "seed-negative": {**GOOD, "seed": -1},
    "seed-huge": json.dumps(GOOD).replace("7", "9" * 6000),
    "seed-nan": json.dumps(GOOD).replace("7", "NaN"),
    "count-zero": {**GOOD, "count": 0},
    "count-huge": {**GOOD, "count": 10**9},
    "level-four": {**GOOD, "level": 4},
    "answers-list": {**GOOD, "answers": ["13 bar"]},
    "no-answers": {key: value for key, value in GOOD.items() if key != "answers"},
    "question-word": {**GOOD, "answers": {"one": "B"}},
    "question-padded": {**GOOD, "answers": {"01": "B"}},
    "question-far": {**GOOD, "answers": {"5": "B"}},
    "question-huge": {**GOOD, "answers": {"9" * 5000: "B"}},
    "question-other-digits": {**GOOD, "answers": {"١": "B"}},
    "answer-number": {**GOOD, "answers": {"1": 13.1}},
    "answer-endless": {**GOOD, "answers": {"1": "x" * 300}},
    "more-than-known": {**GOOD, "points": 3},
    "name-a-list": {**GOOD, "name": ["Asha"]},
    "name-endless": {**GOOD, "name": "x" * 61},
    "key-of-no-text": '{"\\ud800": 1}',
    "twice": '{"topic": "siphon", "topic": "acid"}',
    "deep": "[" * 100_000,
    "large": json.dumps({**GOOD, "answers": {"1": "x" * (1 << 20)}}),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_one_sentence_and_exit_4(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = written(tmp_path, BAD[name])
    with pytest.raises(SystemExit) as ended:
        main(["drill", "--check", str(path)])
    out, err = capsys.readouterr()
    assert ended.value.code == 4
    assert out == ""
    assert err.startswith("prepkit: ")
    assert err.strip().count("\n") == 0
    assert len(err) < 500
    assert "Traceback" not in err


def test_no_such_file(tmp_path: Path) -> None:
    for path in (tmp_path / "none.json", tmp_path, Path("a\0b")):
        with pytest.raises(FileProblem, match="cannot be read"):
            read_sheet(path)


# what is printed


def test_check_prints_marks_traps_and_who_decides(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paper = make_paper("siphon", 4, 7)
    first, second, third, _ = paper.questions
    wrong = next(choice for choice in second.choices if choice.trap)
    answers = {"1": first.shown, "2": wrong.letter, "3": "no idea"}
    path = written(tmp_path, {**GOOD, "answers": answers})
    with pytest.raises(SystemExit) as ended:
        main(["drill", "--check", str(path)])
    out, _ = capsys.readouterr()
    tidy = " ".join(out.split())
    assert (ended.value.code or 0) == 0
    assert "1 of 4 right, 1 not answered" in tidy
    assert f"Traps: {wrong.trap} (1)." in tidy
    assert "1 to be asked again" in tidy
    assert third.shown not in tidy  # it is asked again, so its answer is not told
    assert first.template.decides in tidy
    assert "no leave" in tidy
    with pytest.raises(SystemExit):
        main(["drill", "--check", str(path), "--format", "json"])
    said = json.loads(capsys.readouterr().out)
    assert said["right"] == 1
    assert [one["outcome"] for one in said["marks"]] == ["right", "wrong", "unreadable", "blank"]
    assert said["traps"] == {wrong.trap: 1}


def test_what_was_written_cannot_steer_the_terminal(tmp_path: Path) -> None:
    path = written(tmp_path, '{"topic": "siphon", "seed": 7, "count": 4, "answers": '
                             '{"1": "\\u001b[2J \\ud800 \\u202e 3"}}')  # fmt: skip
    text = marked_text(mark_paper(read_sheet(path)))
    assert "\x1b" not in text
    assert "\u202e" not in text
    text.encode("utf-8")
