"""A class: papers with other numbers and one key, results, what to teach again."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from prepkit.cli import main
from prepkit.drill.command import AnswerSheet, Marked, mark, mark_paper
from prepkit.drill.paper import Paper, make_paper
from prepkit.drill.sheet import (
    PAGE,
    asked_html,
    class_text,
    keyed_html,
    make_class,
    needed,
    paper_html,
    paper_text,
    people,
    prudent,
    results,
    results_text,
    sheet_text,
    short_key_text,
)
from prepkit.drill.templates import TOPICS, templates
from prepkit.errors import BadInput
from prepkit.language import spoken
from prepkit.render.signs import pictures

NAMES = ("Asha", "Bo", "Cleo", "Dov")


def answered(paper: Paper, right: int, wrong: str = "") -> Marked:
    """The paper with so many right, the others as `wrong` or a wrong letter."""
    answers = {}
    for question in paper.questions:
        other = next(one.letter for one in question.choices if not one.right)
        answers[question.number] = question.letter if question.number <= right else wrong or other
    sheet = AnswerSheet(paper.topic, paper.seed, paper.count, paper.level, answers, paper.name)
    return mark_paper(sheet, paper)


@pytest.mark.parametrize("topic", TOPICS)
def test_everybody_has_the_same_questions_with_other_numbers(topic: str) -> None:
    papers = make_class(NAMES, topic, 8, 3)
    asked = {tuple(one.template.id for one in paper.questions) for paper in papers}
    assert len(asked) == 1
    texts = [tuple((q.text, q.plate, q.job) for q in paper.questions) for paper in papers]
    assert len({repr(one) for one in texts}) == len(papers)
    again = make_class(NAMES[::-1], topic, 8, 3)[::-1]  # a name makes its paper
    assert [one.to_dict() for one in papers] == [one.to_dict() for one in again]


def test_one_key_for_all_with_every_letter_and_value() -> None:
    papers = make_class(NAMES, "room", 8, 3)
    *sheets, key = class_text(papers, key=True).split(PAGE)
    assert len(sheets) == len(papers)
    for paper, sheet in zip(papers, sheets, strict=True):
        assert f"Name  {paper.name}" in sheet
        row = next(line.split() for line in key.splitlines() if line.startswith(paper.name))
        assert row[1:] == [one.letter for one in paper.questions]
        for one in paper.questions:
            assert (one.shown if one.kind == "number" else str(one.right)) in " ".join(key.split())


def test_results_say_who_passed_and_what_to_teach_again() -> None:
    papers = make_class(NAMES, "siphon", 5, 3)
    found = results([answered(p, n) for p, n in zip(papers, (5, 4, 2, 1), strict=True)], "70 %")
    assert found.needed == 4
    assert [one.passed for one in found.people] == [True, True, False, False]
    assert [one.share_right for one in found.items] == [1.0, 0.75, 0.5, 0.5, 0.25]
    assert [one.number for one in found.teach_again] == [5, 3, 4]
    assert found.items[0].discrimination is None
    text = " ".join(results_text(found).split())
    assert "2 of 4 passed (4 of 5 right needed)" in text
    assert "From 4 people" in text
    json.dumps(found.to_dict(), allow_nan=False)


def test_what_cannot_be_read_is_listed_and_not_failed_in_silence() -> None:
    papers = make_class(NAMES[:2], "room", 4, 3)
    found = results([answered(papers[0], 4), answered(papers[1], 2, "????")])
    assert found.people[1].again == (3, 4)
    assert "2 answers are to be asked again" in results_text(found)


def test_papers_that_ask_other_things_are_not_compared() -> None:
    first, second = (make_class(("Asha",), "room", 4, seed)[0] for seed in (3, 4))
    found = results([answered(first, 4), answered(Paper(**{**vars(second), "name": "Bo"}), 2)])
    assert found.items == ()
    assert found.reliability is None
    assert "not compared" in results_text(found)


def test_a_paper_twice_or_of_another_kind_is_refused() -> None:
    papers = make_class(NAMES, "room", 4, 3)
    with pytest.raises(BadInput, match="twice"):
        results([answered(papers[0], 4), answered(papers[0], 3)])
    other = make_class(("Bo",), "acid", 4, 3)[0]
    with pytest.raises(BadInput, match="one kind"):
        results([answered(papers[0], 4), answered(other, 3)])


def test_pass_mark() -> None:
    assert [needed("70 %", n) for n in (1, 5, 10, 30)] == [1, 4, 7, 21]
    assert needed("3", 5) == 3
    for bad in ("0", "6", "0 %", "101 %", "half", "3.5", "70 points", "-1", ""):
        with pytest.raises(BadInput):
            needed(bad, 5)


def test_names() -> None:
    assert people(" Asha , Bo ,") == ("Asha", "Bo")
    assert people("2") == ("1", "2")
    for bad in ("", " , ", "Bo, BO", "x" * 61, ", ".join(f"n{i}" for i in range(61)), "a\x07"):
        with pytest.raises(BadInput):
            people(bad)
    for bad in ("-1", "1.5", "+5", "10**9", "0", "\uff15", "Asha, ?"):
        with pytest.raises(BadInput, match="1 to 60"):
            people(bad)
    with pytest.raises(BadInput, match="cannot be printed"):
        people("a\x07")


def test_the_command_makes_and_marks_a_class(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def call(*words: str) -> str:
        with pytest.raises(SystemExit) as ended:
            main(list(words))
        assert (ended.value.code or 0) == 0
        return capsys.readouterr().out

    made = call("drill", "--topic", "acid", "--count", "3", "--names", "Asha, Bo",
                "--format", "json")  # fmt: skip
    files = []
    for one in json.loads(made)["papers"]:
        sheet = {**one["answer_file"], "answers": {"1": "A", "2": "B", "3": "C"}}
        path = tmp_path / f"{one['name']}.json"
        path.write_text(json.dumps(sheet), "utf-8")
        files += ["--check", str(path)]
    text = call("drill", *files, "--pass-mark", "2")
    assert "Asha" in text
    assert "2 people" in text
    assert json.loads(call("drill", *files, "--format", "json"))["needed"] is None
    assert "Long key of Bo" in call("drill", "--topic", "acid", "--count", "2", "--names", "Bo",
                                    "--long-key", "--format", "html")  # fmt: skip


def test_a_picture_beside_a_question_tells_a_danger_and_the_key_what_is_done_too() -> None:
    (paper,) = make_class(NAMES[:1], "room", 8, 3)
    question = replace(
        paper.questions[0],
        template=replace(paper.questions[0].template, signs=("warning air", "prohibition person")),
    )
    for language, danger, act in (
        ("en", "Too little oxygen", "Nobody goes in."),
        ("de", "Zu wenig Sauerstoff", "Niemand geht hinein."),
    ):
        with spoken(language):
            asked, key = asked_html(question), keyed_html(question)
        assert danger in asked
        assert act not in asked
        assert danger in key
        assert act in key
        assert asked.count("<svg") == 1 + bool(question.plate)


def test_a_long_key_in_another_language_has_its_words_and_its_figures() -> None:
    key = paper_text(make_paper("cryogen", 12, 3, language="de"), long_key=True)
    assert "[STOPP, Einatmen]" in key
    assert "Kälte]" in key
    assert not re.search(r"\[(?:stop|care|note|always),", key)
    by_hand = re.findall(r"   Von Hand\n(.*?)\n   (?=\S)", key, re.DOTALL)
    assert any("," in one for one in by_hand)
    assert not [one for one in by_hand if re.search(r"\d\.\d", one)]


def test_every_sign_that_a_question_names_is_in_the_list() -> None:
    named = {name for topic in TOPICS for one in templates(topic) for name in one.signs}
    assert named <= set(pictures())


def test_data_sheet_holds_what_the_subject_needs_and_nothing_of_the_paper() -> None:
    first, second = (make_class(("Asha",), "siphon", 3, seed)[0] for seed in (3, 4))
    assert first.sheet == second.sheet
    assert {one.id for q in first.questions for one in q.template.constants} <= {
        one.id for one in first.sheet
    }
    text = " ".join(sheet_text(first).split())
    page = paper_html([first], sheet=True)
    said = first.to_dict()["sheet"]
    assert first.sheet
    for one, row in zip(first.sheet, said, strict=True):
        assert " ".join(one.words.split()) in text
        assert f"[{one.source}]" in text
        assert f'<td class="r">{one.value:.10g}</td>' in page
        assert row["value"] == one.value
    assert "Data sheet" not in paper_html([first])
    assert sheet_text(first) in class_text([first], sheet=True)


def test_a_careful_answer_is_not_wrong_without_the_reason_beside_it() -> None:
    seen = 0
    for topic in ("siphon", "room"):
        papers = make_class(NAMES[:2], topic, 14, 9)
        for question in papers[0].questions:
            if question.kind == "verdict" and question.right != "stop":
                why = mark(question, "stop").done
                key = " ".join(class_text(papers, key=True).split(PAGE)[-1].split())
                assert why
                assert " ".join(why.split()) in key
                assert why in short_key_text(papers[0])
                seen += 1
    assert seen


_GERMAN = re.compile(r"\b(?:der|die|das|und|nicht|wird|ist|ein|eine|zu|mit|von|richtig|Nicht)\b")
_ENGLISH = re.compile(r"\b(?:the|and|not|is|of|with|from|right|Not)\b")


def test_a_class_is_said_in_the_trainers_language_whatever_seats_are_in() -> None:
    """Every remark of the table; what is right, and every figure, is the same in each language."""
    papers = [
        make_paper("siphon", 12, 3, name=name, language=language)
        for name, language in zip(NAMES, ("de", "en", "de", "en"), strict=True)
    ]
    marked = [answered(paper, right) for paper, right in zip(papers, (9, 6, 3, 0), strict=True)]
    english, german = (results(marked, "70 %", one) for one in ("en", "de"))
    texts = results_text(english), results_text(german)
    assert not _GERMAN.search(texts[0])
    assert not _ENGLISH.search(re.sub(r"\S+-\S+", "", texts[1]))  # the names of traps
    for found, strange in ((english, _GERMAN), (german, _ENGLISH)):
        said = [text for one in found.items for text in (one.why, one.prudent, one.about.text)]
        assert any(one.why for one in found.items)
        assert not [text for text in said if strange.search(text)]
    for one, other in zip(english.items, german.items, strict=True):
        assert (one.share_right, one.discrimination) == (other.share_right, other.discrimination)
        assert (one.mistake, one.fell, one.number) == (other.mistake, other.fell, other.number)
    assert results([one.in_language("de") for one in marked], "70 %") == english


def test_each_paper_and_its_key_are_in_its_own_language() -> None:
    """On one print, and whatever language is spoken when a key is made."""
    pair = [make_paper("siphon", 8, 3, name=n, language=of) for n, of in (("A", "en"), ("B", "de"))]
    for spoken_now in ("en", "de"):
        with spoken(spoken_now):
            remarks = [
                text for one in pair[1].questions for text in (one.accepted, prudent(one)) if text
            ]
            assert not [text for text in remarks if re.search(r"\b(?:or|to|Not)\b", text)]
            assert pair[0].levels == "levels 1 to 3"
    page = paper_html(pair, key=True, sheet=True)
    english, german = page.split('lang="de"')
    assert "Mark sheet" in english
    assert "Bewertungsbogen" not in english
    assert "Bewertungsbogen" in german.partition('id="key"')[0]
    assert "Mark sheet" not in german


def test_the_command_says_a_class_in_the_language_of_the_trainer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    files = []
    for name, language in (("A", "de"), ("B", "en")):
        sheet = make_paper("room", 2, 1, name=name, language=language).blank_answers
        files.append(tmp_path / f"{name}.json")
        files[-1].write_text(json.dumps(sheet))
    german, english = map(str, files)
    for words, wanted in (
        ([german, english], "Class: room"), ([english, german], "Class: room"),
        ([german, english, "--language", "de"], "Klasse: "),
    ):  # fmt: skip
        flags = [one for path in words[:2] for one in ("--check", path)]
        assert shell("drill", *flags, *words[2:]) == 0
        assert capsys.readouterr().out.startswith(wanted)
    assert shell("drill", "--check", german, "--language", "en") == 2
    assert 'this paper is in "de"' in capsys.readouterr().err


def shell(*words: str) -> int:
    """Exit status of one command line."""
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    return int(str(ended.value.code or 0))


def test_one_of_a_thing_is_said_as_one() -> None:
    """Papers and classes of one, in each language: never 1 with the word for many."""
    many = re.compile(
        r"(?<![\d.,])1 (?:questions|people|answers|papers|Fragen|Personen|Antworten)\b"
    )
    for language in ("en", "de"):
        paper = make_paper("siphon", 1, 3, name="Asha", language=language)
        said = [
            paper_text(paper, key=True, long_key=True, sheet=True), paper_html([paper], key=True),
            *(results_text(results([answered(paper, 0, given)], "1", language))
              for given in ("", "????")),
        ]  # fmt: skip
        assert not [found for text in said if (found := many.search(text))]
    with pytest.raises(BadInput, match="1 for the one question"):
        needed("2", 1)
