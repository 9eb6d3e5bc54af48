"""Teaching text, numbers and dates in the reader's language; answers in the words of another.

An English text is its own message. data/language/<language>/<domain>.po holds its translation: a
domain for each topic of the drills, `traps`, `paper` (papers, marks, class screens), `lesson`,
`signs` and `cautions`. They are read by babel, and only where another language than English is
asked for. A message that has no translation yet is said in English. catalogues.py keeps the files.
"""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from functools import cache
from string import Formatter
from typing import TYPE_CHECKING, Any, NamedTuple

from prepkit import blocks
from prepkit.errors import BadInput, later, named

if TYPE_CHECKING:
    from babel.messages.catalog import Catalog

ENGLISH = "en"
FOLDER = "language"  # below the data of the package
TOPICS = ("siphon", "room", "cryogen", "acid", "syrup", "strength", "keg", "process")
CAUTIONS = "cautions"
DOMAINS = (*TOPICS, "traps", "paper", "lesson", "signs", CAUTIONS)

# ---- a message in a language ----


@cache
def languages() -> tuple[str, ...]:
    """English, and each language that has a folder of catalogues.

    >>> languages()
    ('en', 'de')
    """
    folder = os.path.join(blocks.DATA, FOLDER)
    return (ENGLISH, *sorted(text for text in os.listdir(folder) if text.isalpha()))


@cache
def names() -> Mapping[str, str]:
    """Each language with its own name, English first.

    >>> dict(names())
    {'en': 'English', 'de': 'Deutsch'}
    """
    return {ENGLISH: "English"} | {
        language: str(_words_of(language)["name"]) for language in languages()[1:]
    }


def _words_of(language: str) -> Mapping[str, Any]:  # Any: values of a TOML file
    """How the readers of a language write its name, units, verdicts and "not"."""
    return blocks.document(f"{FOLDER}/{language}/words.toml")


def checked(language: str) -> str:
    """The language; BadInput where there is no catalogue of it."""
    if language not in languages():
        known = ", ".join(languages())
        raise BadInput(
            f'{named("language")} is "{language[:20]}"; it must be one of {known}.',
            "language",
        )
    return language


def said(message: str, language: str = ENGLISH, domain: str = "", /, **figures: object) -> str:
    """A message in a language, with the figures filled in where some are given.

    domain: where its translation is looked for first; then all the others are looked through.

    >>> said("Nobody goes in.", "en"), said("{n} bar", "de", n=10.5)
    ('Nobody goes in.', '10,5 bar')

    Raises: BadInput where there is no catalogue of the language.
    """
    found = message if language == ENGLISH else _found(message, language, domain) or message
    return found.format_map(worded(figures, language)) if figures else found


def _found(message: str, language: str, domain: str) -> str | None:
    checked(language)
    for text in _domains(domain):
        if (translation := catalogue(language, text).get(message)) is not None:
            return translation
    return None


@cache
def _domains(first: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((first, *DOMAINS))) if first else DOMAINS


@cache
def catalogue(language: str, domain: str) -> Mapping[str, str]:
    """The translations of a domain, by message; nothing where it has no file."""
    path = os.path.join(blocks.DATA, FOLDER, language, f"{domain}.po")
    if not os.path.exists(path):
        return {}
    return {
        str(message.id): str(message.string)
        for message in read(path, language)
        if message.id and message.string and not message.fuzzy
    }


def read(path: str | os.PathLike[str], language: str) -> Catalog:
    """A catalogue as its file has it. Raises: babel's PoFileError where it is none."""
    from babel.messages.pofile import read_po

    with open(path, "rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


class Filled(str):
    """An English text that knows the message it was made of, and what was filled into it.

    So it is said in another language without being looked through for its figures again.

    >>> text = Filled("{n} bar of {gas}", {"n": 10.5, "gas": "nitrogen"})
    >>> text, text.message
    ('10.5 bar of nitrogen', '{n} bar of {gas}')
    """

    __slots__ = ("figures", "message")
    message: str
    figures: Mapping[str, object]  # numbers, words that are messages, other filled texts

    def __new__(cls, message: str, figures: Mapping[str, object]) -> Filled:
        """The message with its figures; KeyError where one is missing."""
        made = super().__new__(cls, message.format_map(figures))
        made.message, made.figures = message, figures
        return made


def in_words(text: str, language: str, domain: str) -> str:
    """A message, plain or filled, in the language; its numbers digit for digit as they stand.

    A text that holds one word without a translation is handed back in English, with its numbers
    as the language writes them.
    """
    if language == ENGLISH or not text:
        return text
    found = _in_words(text, language, domain)
    return in_figures(text, language) if found is None else found


def _in_words(text: str, language: str, domain: str) -> str | None:
    message = text.message if isinstance(text, Filled) else text
    found = _found(message, language, domain)
    if found is None:
        if needs_words(message):
            return None
        found = in_figures(message, language)
    if not isinstance(text, Filled):
        return found
    put: dict[str, _InPlace] = {}
    for place in places(message):
        name = place.partition(":")[0]
        value = text.figures[name]
        word = _in_words(value, language, domain) if isinstance(value, str) else ""
        if word is None:
            return None
        put[name] = _InPlace(value, word, language)
    return found.format_map(put)


class _InPlace(NamedTuple):
    """What stands in a place of a message: a word of the language, or a number as it was shown."""

    value: object
    word: str
    language: str

    def __format__(self, spec: str) -> str:
        if isinstance(self.value, str):
            return self.word
        return in_figures(format(self.value, spec), self.language)


# ---- a caution in a language ----


def turned(text: str, language: str) -> str:
    """The text or the action of a caution in the language.

    It may have had figures and words filled in: they are found again, and said as the language
    writes them. A text that is no message, or holds words that are none, is handed back in English,
    with its numbers as the language writes them.
    """
    if language == ENGLISH or not text:
        return text
    found = _turned(text, language)
    return in_figures(text, language) if found is None else found


def _turned(text: str, language: str) -> str | None:
    exact = _found(text, language, CAUTIONS)
    if exact is not None:
        return exact
    if not needs_words(text):
        return in_figures(text, language)
    for pattern, translation in _patterns(language):
        match = pattern.fullmatch(text)
        if match is None:
            continue
        words = {name: _turned(word, language) for name, word in match.groupdict().items()}
        if None not in words.values():
            return _filled(translation, {name: word or "" for name, word in words.items()})
    amount = _amount().fullmatch(text)  # "650 ml tomato juice"
    if amount is not None and (of := _turned(amount[2], language)) is not None:
        return f"{in_figures(amount[1], language)} {of}"
    if text.endswith(".") and (bare := _turned(text[:-1], language)) is not None:
        return f"{bare}."
    for mark in ("; ", ", "):  # a list of words
        if mark in text:
            parts = [_turned(part, language) for part in text.split(mark)]
            return None if None in parts else mark.join(part or "" for part in parts)
    return None


@cache
def _amount() -> re.Pattern[str]:
    return re.compile(rf"([\d.,]+ (?:{'|'.join(sorted(SIGNS_OF_UNITS))})) (.+)")


def _filled(pattern: str, words: Mapping[str, str]) -> str:
    """The words put into a pattern as they are, whatever format its placeholders ask for."""
    return re.sub(r"\{(\w+)[^}]*\}", lambda hole: words[hole[1]], pattern)


@cache
def _patterns(language: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """The messages with placeholders, the most particular first, and their translations."""
    found: list[tuple[int, re.Pattern[str], str]] = []
    for message, translation in catalogue(language, CAUTIONS).items():
        if not places(message):
            continue
        parts: list[str] = []
        fixed = 0
        for literal, name, _, _ in Formatter().parse(message):
            fixed += len(literal)
            parts.append(re.escape(literal))
            if name:
                again = f"(?P<{name}>" in "".join(parts)
                parts.append(f"(?P={name})" if again else f"(?P<{name}>.*?)")
        if needs_words(message):
            found.append((fixed, re.compile("".join(parts)), translation))
    return tuple((pattern, other) for _, pattern, other in sorted(found, key=lambda row: -row[0]))


# ---- a text as a message, or as signs alone ----

#: Signs of units and of substances: a text of these and numbers alone has no word to translate.
_UNITS = (
    "bar mbar kPa MPa Pa g kg mg l ml cl dl m m2 m3",
    "cm mm h min s W kW J kJ mol mmol ppm vol w v",
    "C F K Bx pH pKa TA PS EN ISO N2O CO2 O2 N2",
    "n2o co2 n2 o2 LN2 x",
)
SIGNS_OF_UNITS = frozenset(" ".join(_UNITS).split())


def needs_words(text: str) -> bool:
    """Whether a text has a word to translate, beyond numbers, units and placeholders.

    >>> needs_words("{fill_ml} ml cream"), needs_words("8 g"), needs_words("{n} bar N2O")
    (True, False, False)
    """
    bare = re.sub(r"\{[^}]*\}", " ", text)
    words = re.findall(r"[^\W\d_][^\W_]*", bare)
    return any(word not in SIGNS_OF_UNITS for word in words)


def places(text: str) -> tuple[str, ...]:
    """The placeholders of a text, in order; a text that is no pattern has none.

    >>> places("{fill_ml} ml at {peak:.1f} bar")
    ('fill_ml', 'peak:.1f')
    """
    try:
        parts = list(Formatter().parse(text))
    except ValueError:
        return ()
    return tuple(f"{name}:{spec}" if spec else name for _, name, spec, _ in parts if name)


# ---- the language that is spoken: what papers and screens say fixed words in ----

_SPOKEN: ContextVar[str] = ContextVar("spoken", default=ENGLISH)


@contextmanager
def spoken(language: str) -> Iterator[None]:
    """Fixed words said in a language for as long as this lasts.

    >>> with spoken("de"):
    ...     _("{n} bar", n=10.5), speaking()
    ('10,5 bar', 'de')
    """
    before = _SPOKEN.set(checked(language))
    try:
        yield
    finally:
        _SPOKEN.reset(before)


def speak(language: str) -> None:
    """Fixed words said in a language from here on, in this thread or task."""
    _SPOKEN.set(checked(language))


def speaking() -> str:
    """The language that is spoken."""
    return _SPOKEN.get()


def _(message: str, /, **figures: object) -> str:
    """A fixed word or sentence of papers and screens, in the language that is spoken."""
    return said(message, _SPOKEN.get(), "paper", **figures)


# ---- numbers and dates ----

# a number of English text: digits, perhaps in threes by commas, perhaps a decimal point
_FIGURE = later(
    r"(?<![\w.,])\d{1,3}(?:,\d{3})+(?:\.\d+)?(?!\w|[.,]\d)|(?<![\w.,])\d+\.\d+(?!\w|\.\d)"
)
THIN = "\u202f"  # between thousands: a dot or a comma there could be taken for a decimal sign


@cache
def _decimal_sign(language: str) -> str:
    if language == ENGLISH:
        return "."
    from babel.numbers import get_decimal_symbol

    return str(get_decimal_symbol(checked(language)))


def in_figures(text: str, language: str) -> str:
    """English text with its numbers as the language writes them, digit for digit.

    >>> in_figures("10.2 bar, 35,000 l, 1.10 kg, N2O at 5 °C", "de")
    '10,2 bar, 35\\u202f000 l, 1,10 kg, N2O at 5 °C'
    """
    if language == ENGLISH:
        return text
    sign = _decimal_sign(language)
    return _FIGURE.sub(lambda one: one[0].replace(",", THIN).replace(".", sign), text)


class WrittenNumber(float):
    """A number as a sentence of a language writes it.

    >>> "{a} and {a:.1f}".format(a=WrittenNumber(17.25, "de"))
    '17,25 and 17,2'
    >>> "{a:,.1f} or {a}".format(a=WrittenNumber(1234567.5, "de"))
    '1\u202f234\u202f567,5 or 1234567,5'
    """

    language: str

    def __new__(cls, value: float, language: str = ENGLISH) -> WrittenNumber:
        """A number that knows its language."""
        made = super().__new__(cls, value)
        made.language = language
        return made

    def __format__(self, spec: str) -> str:
        text = format(float(self), spec or ".15g")  # no digit is lost
        if self.language == ENGLISH:
            return text
        return text.replace(",", THIN).replace(".", _decimal_sign(self.language))


def worded(figures: Mapping[str, object], language: str) -> dict[str, object]:
    """What is filled into a message: numbers as the language writes them, words as they are."""
    return {
        name: WrittenNumber(value, language)
        if isinstance(value, int | float) and not isinstance(value, bool)
        else value
        for name, value in figures.items()
    }


def dated(day: date, language: str = ENGLISH) -> str:
    """A day in words.

    >>> dated(date(2026, 3, 7)), dated(date(2026, 3, 7), "de")
    ('7 March 2026', '7. März 2026')
    """
    if language == ENGLISH:
        return f"{day.day} {day:%B} {day.year}"
    from babel.dates import format_date

    return str(format_date(day, "long", locale=checked(language)))


# ---- an answer in the words of another language ----


@cache
def _words() -> tuple[re.Pattern[str], Mapping[str, str]]:
    """The words of every language's readers, and what they stand for."""
    found: dict[str, str] = {}
    for language in languages()[1:]:
        found |= {word.casefold(): plain for word, plain in _words_of(language)["words"].items()}
    either = "|".join(re.escape(text) for text in sorted(found, key=len, reverse=True))
    return re.compile(rf"(?<![^\W\d_])(?:{either})(?!\w)", re.IGNORECASE), found


def understood(answer: str) -> str:
    """An answer with the words of other languages made those that are read here.

    >>> understood("etwa 10,2 bar Überdruck"), understood("fünf Gramm"), understood("Das ist FREI")
    ('about 10,2 bar gauge', '5 g', 'this is clear')
    """
    pattern, words = _words()
    return pattern.sub(lambda one: words[one[0].casefold()], answer)
