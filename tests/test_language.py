"""What is said and understood in another language: texts, numbers, papers, answers."""

from __future__ import annotations

import json
import re
from collections import Counter
from datetime import date
from pathlib import Path

import pytest
from each import each

from prepkit import language
from prepkit.draws import generator
from prepkit.drill.command import mark, mark_paper, read_sheet
from prepkit.drill.paper import Paper, Question, in_language, make, make_paper
from prepkit.drill.sheet import paper_html, paper_text
from prepkit.drill.templates import templates
from prepkit.errors import BadInput
from prepkit.language import DOMAINS, Filled, catalogue, in_figures, in_words, needs_words, said
from prepkit.lesson import LessonFacts
from prepkit.lesson import told as lesson_told

LANGUAGES = language.languages()[1:]
NUMBER = re.compile(r"(?<![\w.,])\d+(?:[.,\u202f]\d+)*(?![\w])")


def numbers(text: str) -> Counter[str]:
    """The numbers of a text, with how often each stands in it."""
    return Counter(NUMBER.findall(re.sub(r"(?<=\d )C\b", "°C", text)))


def test_what_has_no_translation_is_said_in_english_and_no_language_is_guessed() -> None:
    assert said("No such sentence stands anywhere.", "de") == "No such sentence stands anywhere."
    assert said("{n} odd spoons of {many}", "de", n=3, many=10.5) == "3 odd spoons of 10,5"
    with pytest.raises(BadInput, match='language is "fr"; it must be one of en, de'):
        said("Nobody goes in.", "fr")


def test_an_amount_of_something_and_a_large_number_keep_their_figures() -> None:
    assert language.turned("1.5 l tomato juice", "de") == "1,5 l Tomatensaft"
    assert language.turned("650 ml of no such thing", "de") == "650 ml of no such thing"
    assert said("seed {seed}", "de", "paper", seed=987654321) == "Nummer 987654321"
    assert said("seed {seed}", seed=987654321) == "seed 987654321"


def test_a_filled_text_is_said_of_its_message_and_never_looked_through() -> None:
    """Words that hold another message change nothing; figures keep their digits."""
    gauge = "{value}, gauge"
    for value in (1.5, 17, 10.25):
        number = Filled("{n:g} bar", {"n": value})
        text = Filled(gauge, {"value": number})
        assert text == f"{value:g} bar, gauge"
        shown = f"{value:g}".replace(".", ",")
        assert in_words(text, "en", "siphon") == text
        assert in_words(text, "de", "siphon") == said(gauge, "de", "paper", value=f"{shown} bar")
    odd = Filled(gauge, {"value": "1.5 of no such thing, gauge"})
    assert in_words(odd, "de", "siphon") == "1,5 of no such thing, gauge, gauge"  # stays English
    assert in_words(Filled("{a} {b}", {"a": "metal", "b": 0.5}), "de", "cautions") == "Metall 0,5"
    assert in_words("metal", "de", "cautions") == "Metall"


@each(language.TOPICS, str)
def test_every_filled_text_of_a_question_is_a_message_of_a_catalogue(topic: str) -> None:
    """What is not a message itself was made of one, and still knows it."""
    known = {message for domain in DOMAINS for message in catalogue("de", domain)}
    for question in make_paper(topic, 25, 5).questions:
        row = [value for _, value in (*question.plate, *question.job)]
        mistakes = [text for one in question.choices for text in (one.done, one.instead)]
        several = [part for text in mistakes if "\n" in text for part in text.split("\n")]
        words = [one.words for one in question.choices if question.kind != "number"]
        for text in (question.text, *row, *several, *words, *mistakes):
            message = text.message if isinstance(text, Filled) else text
            assert "\n" in text or message in known or not needs_words(message), message


def test_a_lesson_says_what_the_house_told_in_its_language() -> None:
    known: dict[str, object] = {
        "vessel_volume": "1.30 l", "head": "metal", "allowed_gas": ["n2o", "n2"],
    }  # fmt: skip
    facts = LessonFacts("bar", 30, 1, "de")
    rows = [value for _, value in lesson_told("vessel", facts, known)]
    assert {"1,30 l", "Metall", "n2o, n2"} <= set(rows)
    assert "0.30 12.5" in dict(lesson_told("safety", facts, {"gas_supplier": "0.30 12.5"})).values()


def test_the_verdicts_are_the_three_words_of_german() -> None:
    words = {"clear": "FREI", "care": "VORSICHT", "stop": "STOPP"}
    for name, word in words.items():
        assert said(name, "de", "paper") == word
    for message, told in catalogue("de", "paper").items():
        if message.partition(":")[0] in words:
            assert told.startswith(words[message.partition(":")[0]]), message
    for domain in DOMAINS:
        for message, told in catalogue("de", domain).items():
            for name, word in words.items():
                assert (name.upper() in message) <= (word in told), (message, told)


def test_numbers_keep_their_digits_and_dates_are_in_words() -> None:
    assert in_figures("0.50 l, 1,200 ml, 3/16 in (4.76 mm)", "de") == (
        "0,50 l, 1\u202f200 ml, 3/16 in (4,76 mm)"
    )
    assert in_figures("0.50 l", "en") == "0.50 l"
    assert language.dated(date(2026, 12, 1), "de") == "1. Dezember 2026"


def test_a_text_of_numbers_and_units_needs_no_translation() -> None:
    assert not needs_words("{fill_ml} ml, 8 g N2O at 5 °C".replace(" at", ","))
    assert needs_words("a bar stool")


# ---- a paper in another language ----

_ENGLISH = re.compile(
    r"\b(?:the|of|and|with|from|what|which|how|many|much|are|is|it|its|you|your|for|into|by|not|no|"
    r"a|to|goes|has|have|take|less|than|or|one|only|water|does|at|on|carbon|oxygen|vessel|stays)\b"
)


def texts(question: Question) -> list[str]:
    """Everything that a trainee reads of a question."""
    choices = [text for one in question.choices for text in (one.words, one.done, one.instead)]
    rows = [text for row in (*question.plate, *question.job) for text in row]
    constants = [one.words for one in question.template.constants]
    taught = [question.taught.text, question.taught.action]
    return [question.text, question.template.decides, *choices, *rows, *constants, *taught]


@each(language.TOPICS, str)
def test_no_english_is_left_on_a_german_paper(topic: str) -> None:
    """Each template of each level and kind twice; no text has lost or changed a number."""
    every = templates(topic)
    faults = [one for one in every if one.fault]
    made = tuple(
        make(
            one, generator("language", one.id, turn), number, [two for two in faults if two != one]
        )
        for turn in range(2)
        for number, one in enumerate(every, 1)
    )
    paper = Paper(topic, len(made), 1, None, made)
    told = in_language(paper, "de")
    for english, german in zip(paper.questions, told.questions, strict=True):
        assert [one.letter for one in german.choices] == [one.letter for one in english.choices]
        assert [one.right for one in german.choices] == [one.right for one in english.choices]
        for before, text in zip(texts(english), texts(german), strict=True):
            assert not _ENGLISH.search(text), (german.template.id, text)
            assert numbers(in_figures(before, "de")) == numbers(text), (before, text)


def test_a_german_paper_says_its_fixed_words_in_german() -> None:
    paper = make_paper("siphon", 3, 1, language="de")
    text = paper_text(paper, key=True)
    assert "Bewertungsbogen: Siphon, Nummer 1, 3 Fragen, Stufen 1 bis 3" in text
    assert '<html lang="de">' in paper_html([paper])
    assert "auf Englisch" in paper_text(paper, long_key=True)
    assert paper_text(make_paper("siphon", 3, 1)).startswith("Drill: siphon, seed 1")
    english = make_paper("siphon", 3, 1, language="en")
    assert paper_text(english) == paper_text(make_paper("siphon", 3, 1))


def asked(kind: str) -> Question:
    paper = make_paper("siphon", 40, 3, language="de")
    return next(
        one
        for one in paper.questions
        if one.kind == kind and (kind != "number" or one.unit == "bar")
    )


def test_an_answer_is_marked_in_german_words() -> None:
    number = asked("number")
    value = f"{float(number.right):.2f}".replace(".", ",")
    for given in (f"{value} bar Überdruck", f"etwa {value} bar", f"{number.letter}) {value} bar"):
        assert mark(number, given).outcome == "right", given
        assert mark(number, given).given == given
    for given in ("6.650 bar", "vielleicht", f"nicht {value} bar"):
        assert mark(number, given).outcome == "unreadable", given
    verdict = asked("verdict")
    words = {"stop": "Halt!", "care": "VORSICHT", "clear": "frei"}
    for meant, given in words.items():
        outcome = "right" if meant == verdict.right else "wrong"
        assert mark(verdict, given).outcome == outcome, given
    for given in ("nicht frei", "STOPP oder VORSICHT", "kein Problem?"):
        assert mark(verdict, given).outcome == "unreadable", given


def test_the_words_of_a_unit_are_read_in_both_languages() -> None:
    named = {
        "g/l": ("Gramm pro Liter", "g je Liter", "g per l", "g / l"),
        "% w/w": ("Gewichtsprozent", "Gew.-%", "Prozent"),
        "l/h": ("Liter je Stunde", "l per h"),
    }
    papers = [make_paper(topic, 40, 1, language="de") for topic in ("acid", "siphon", "cryogen")]
    for unit, words in named.items():
        question = next(
            one for paper in papers for one in paper.questions
            if one.kind == "number" and one.unit == unit
        )  # fmt: skip
        for word in words:
            given = f"{float(question.right):.2f} {word}".replace(".", ",", 1)
            assert mark(question, given).outcome == "right", given


def test_german_words_are_understood_on_an_english_paper_too() -> None:
    paper = make_paper("siphon", 40, 3)
    question = next(one for one in paper.questions if one.kind == "verdict")
    word = {"stop": "Stopp", "care": "Vorsicht", "clear": "frei"}[str(question.right)]
    assert mark(question, word).outcome == "right"


def test_an_answers_file_keeps_its_language(tmp_path: Path) -> None:
    paper = make_paper("siphon", 2, 5, language="de")
    file = tmp_path / "answers.json"
    file.write_text(json.dumps(paper.blank_answers), "utf-8")
    assert paper_text(mark_paper(read_sheet(file)).paper) == paper_text(paper)
    assert "language" not in make_paper("siphon", 2, 5).blank_answers
