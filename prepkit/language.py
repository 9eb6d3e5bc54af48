"""Teaching text in the reader's language; `python -m prepkit.language` keeps its catalogues.

An English text is its own message. data/language/<language>/<domain>.po holds its translation: a
domain for each topic of the drills, `traps`, `paper` (papers, marks, class screens), `lesson`,
`signs` and `cautions`. They are read by babel, and only where another language than English is
asked for. A message that has no translation yet is said in English.

    python -m prepkit.language            every domain: writes what is missing, with "" to fill in
    python -m prepkit.language siphon     that domain alone
"""

from __future__ import annotations

import io
import os
import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from functools import cache
from pathlib import Path
from string import Formatter
from typing import TYPE_CHECKING, Any, TypeAlias

from prepkit import blocks
from prepkit.errors import BadInput, later, named

if TYPE_CHECKING:
    import ast

    from babel.messages.catalog import Catalog

ENGLISH = "en"
FOLDER = "language"  # below the data of the package
TOPICS = ("siphon", "room", "cryogen", "acid", "syrup", "strength", "keg", "process")
FILLED = ("traps", "cautions")  # beside its own domain, where a filled text may come from
DOMAINS = (*TOPICS, "traps", "paper", "lesson", "signs", "cautions")

# ---- a message in a language ----


@cache
def languages() -> tuple[str, ...]:
    """English, and each language that has a folder of catalogues.

    >>> languages()
    ('en', 'de')
    """
    folder = os.path.join(blocks.DATA, FOLDER)
    return (ENGLISH, *sorted(one for one in os.listdir(folder) if one.isalpha()))


@cache
def names() -> Mapping[str, str]:
    """Each language with its own name, English first.

    >>> dict(names())
    {'en': 'English', 'de': 'Deutsch'}
    """
    return {ENGLISH: "English"} | {
        one: str(_toml(f"{FOLDER}/{one}/words.toml")["name"]) for one in languages()[1:]
    }


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
    for one in _domains(domain):
        if (translation := catalogue(language, one).get(message)) is not None:
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
        str(one.id): str(one.string)
        for one in read(path, language)
        if one.id and one.string and not one.fuzzy
    }


def read(path: str | os.PathLike[str], language: str) -> Catalog:
    """A catalogue as its file has it. Raises: babel's PoFileError where it is none."""
    from babel.messages.pofile import read_po

    with open(path, "rb") as file:
        return read_po(file, locale=language, abort_invalid=True)


def turned(text: str, language: str, domain: str) -> str:
    """A text that was made of a message of the domain, in the language.

    The message may have had figures and words filled in: they are found again, and said as the
    language writes them. A text that is no message, or holds words that are none, is handed back
    in English, with its numbers as the language writes them.
    """
    if language == ENGLISH or not text:
        return text
    found = _turned(text, language, domain)
    return in_figures(text, language) if found is None else found


def _turned(text: str, language: str, domain: str) -> str | None:
    exact = _found(text, language, domain)
    if exact is not None:
        return exact
    if not needs_words(text):
        return in_figures(text, language)
    for one in dict.fromkeys((domain, *FILLED)):
        for pattern, translation in _patterns(language, one):
            match = pattern.fullmatch(text)
            if match is None:
                continue
            words = {name: _turned(word, language, one) for name, word in match.groupdict().items()}
            if None not in words.values():
                return _filled(translation, {name: word or "" for name, word in words.items()})
    amount = _amount().fullmatch(text)  # "650 ml tomato juice"
    if amount is not None and (of := _turned(amount[2], language, domain)) is not None:
        return f"{in_figures(amount[1], language)} {of}"
    if text.endswith(".") and (bare := _turned(text[:-1], language, domain)) is not None:
        return f"{bare}."
    for mark in ("; ", ", "):  # a list of words
        if mark in text:
            parts = [_turned(part, language, domain) for part in text.split(mark)]
            return None if None in parts else mark.join(part or "" for part in parts)
    return None


@cache
def _amount() -> re.Pattern[str]:
    return re.compile(rf"([\d.,]+ (?:{'|'.join(sorted(SIGNS_OF_UNITS))})) (.+)")


def _filled(pattern: str, words: Mapping[str, str]) -> str:
    """The words put into a pattern as they are, whatever format its placeholders ask for."""
    return re.sub(r"\{(\w+)[^}]*\}", lambda hole: words[hole[1]], pattern)


@cache
def _patterns(language: str, domain: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """The messages with placeholders, the most particular first, and their translations."""
    found: list[tuple[int, re.Pattern[str], str]] = []
    for message, translation in catalogue(language, domain).items():
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
    return tuple((one, other) for _, one, other in sorted(found, key=lambda row: -row[0]))


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


class Figure(float):
    """A number as a sentence of a language writes it.

    >>> "{a} and {a:.1f}".format(a=Figure(17.25, "de"))
    '17,25 and 17,2'
    >>> "{a:,.1f} or {a}".format(a=Figure(1234567.5, "de"))
    '1\u202f234\u202f567,5 or 1234567,5'
    """

    language: str

    def __new__(cls, value: float, language: str = ENGLISH) -> Figure:
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
        name: Figure(value, language)
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
        path = f"{FOLDER}/{language}/words.toml"
        found |= {word.casefold(): plain for word, plain in _toml(path)["words"].items()}
    either = "|".join(re.escape(one) for one in sorted(found, key=len, reverse=True))
    return re.compile(rf"(?<![^\W\d_])(?:{either})(?!\w)", re.IGNORECASE), found


def understood(answer: str) -> str:
    """An answer with the words of other languages made those that are read here.

    >>> understood("etwa 10,2 bar Überdruck"), understood("fünf Gramm"), understood("Das ist FREI")
    ('about 10,2 bar gauge', '5 g', 'this is clear')
    """
    pattern, words = _words()
    return pattern.sub(lambda one: words[one[0].casefold()], answer)


# ---- every teaching text of the package, by domain ----

Found: TypeAlias = Iterator[tuple[str, str]]  # a message, and where it stands
Json: TypeAlias = dict[str, Any]  # Any: values of a TOML file

#: Signs of units and of substances: a text of these and numbers alone has no word to translate.
_UNITS = (
    "bar mbar kPa MPa Pa g kg mg l ml cl dl m m2 m3",
    "cm mm h min s W kW J kJ mol mmol ppm vol w v",
    "C F K Bx pH pKa TA PS EN ISO N2O CO2 O2 N2",
    "n2o co2 n2 o2 LN2 x",
)
SIGNS_OF_UNITS = frozenset(" ".join(_UNITS).split())
#: Tables of words in Python modules, which are read where they stand.
TABLES = {
    "VERDICTS", "NOTHING", "_WORN", "GAUGE", "_PLATE_WORDS", "_JOB_WORDS", "WORDS", "HOW",
    "NOT_COMPARED", "NOT_CALLED_FOR", "WORKING_IN_ENGLISH", "ABOUT_ITEMS", "called", "host",
    "NO_PLACE",
}  # fmt: skip
#: Calculators that a lesson works through with the house's own figures: all of their cautions are
#: said, which the first word of their ids names.
WORKED = ("siphon", "room")
#: Units of answers and constants that are words.
COUNTED = ("serves", "drops", "times", "% vol per g/l")
#: Calls whose first text is a message, and what is a decorator of two texts.
CALLS = ("_", "said", "say")
#: Where such calls are looked for, by domain.
CODE = {
    "paper": (
        "drill/*.py", "page/class_views.py", "page/drills.py", "page/rooms.py",
        "render/templates/drill*.html", "page/templates/classes/*.html",
        "page/templates/drills/*.html", "page/templates/base.html", "page/guard.py",
    ),
    "lesson": ("lesson/*.py", "render/templates/lesson*.html"),
    "signs": ("render/signs.py", "render/wall.py", "render/templates/wall.html"),
}  # fmt: skip
#: Keys of the lesson's data and of the signs that hold no text for a trainee.
_KEYS = (
    "id name caution cautions source sources first_aid see signs sign kinds kind shape symbol",
    "topic topics level calculator inputs unit value rests_on signal tags audiences draw",
    "by_hand sheet file seed minutes needs demonstrations",
)
NO_TEXT = frozenset(" ".join(_KEYS).split())
PACKAGE = Path(__file__).parent


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


def tidy(text: str) -> str:
    """A text of the data as it is said: on one line.

    >>> tidy("One\\n  line.")
    'One line.'
    """
    return " ".join(text.split())


def messages(domain: str) -> dict[str, list[str]]:
    """Every message of a domain with the places where it stands, in the order of the data."""
    if domain in TOPICS:
        found = _of_topic(domain)
    elif domain == "traps":
        found = _of_traps()
    elif domain == "cautions":
        found = _of_cautions()
    else:
        found = _of_code(domain)
    out: dict[str, list[str]] = {}
    for text, where in found:
        message = tidy(text)
        drawing = message.startswith("<")  # a picture that stands beside the words
        if not drawing and needs_words(message) and where not in out.setdefault(message, []):
            out[message].append(where)
    return out


def _toml(path: str) -> Json:
    full = os.path.join(blocks.DATA, path)
    return blocks.parsed(blocks.read(path)) if os.path.exists(full) else {}


def _of_topic(topic: str) -> Found:
    data = _toml(f"drills/{topic}.toml")
    for key in ("decides", "look"):
        if key in data:
            yield data[key], f"{topic}.{key}"
    for row in data.get("constant", ()):
        yield row["words"], row["id"]
    for row in data.get("trap", ()):
        yield from _of_trap(row)
    loads = data.get("load", {})
    for name, load in loads.items():
        yield from _of_load(load, f"load.{name}")
    for kind in ("question", "ask", "fault"):
        for row in data.get(kind, ()):
            yield from _of_question(row, loads.get(row.get("load"), {}))


def _of_question(row: Json, load: Json) -> Found:
    where = row["id"]
    own = [text for key in ("text", "fault", "decides") for text in _strings(row.get(key, ()))]
    own += [text for key in ("why", "right", "wrong") for text in _strings(row.get(key, ()))]
    for text in own:
        yield text, where
    for one in row.get("trap", ()):
        yield from _of_trap(one)
    shown = {name.partition(":")[0] for text in own for name in places(text)}
    shown |= _drawn_in({**load.get("inputs", {}), **row.get("change", {})})
    for text in _drawn(row.get("draw", {}), shown):
        yield text, where
    for text in _strings(row.get("change", {})):
        yield text, where


def _of_load(load: Json, where: str) -> Found:
    for key in ("nothing", "why"):
        for text in _strings(load.get(key, ())):
            yield text, where
    for text in _strings(load.get("inputs", {})):
        yield text, where
    for text in _drawn(load.get("draw", {}), _drawn_in(load.get("inputs", {}))):
        yield text, where


def _of_trap(row: Json) -> Found:
    for key in ("done", "right"):
        if key in row:
            yield row[key], row["name"]


def _strings(value: object) -> Iterator[str]:
    """Every text in a value, however deep."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        for one in value.values():
            yield from _strings(one)
    elif isinstance(value, Sequence):
        for one in value:
            yield from _strings(one)


def _drawn_in(inputs: Json) -> set[str]:
    return {name.partition(":")[0] for text in _strings(inputs) for name in places(text)}


def _drawn(draw: Json, shown: set[str]) -> Iterator[str]:
    """The words that a draw can put into what is read."""
    for name, choice in draw.items():
        if isinstance(choice, Mapping):
            continue  # a range
        for one in choice:
            if isinstance(one, Mapping):
                yield from (
                    text for key, text in one.items() if key in shown and isinstance(text, str)
                )
            elif isinstance(one, str) and name in shown:
                yield one


def _of_traps() -> Found:
    for path in sorted((PACKAGE / "drill").glob("*_traps.py")):
        for texts in _calls(path, ("trap",)):
            for text in texts:
                yield text, path.stem
    for texts in _calls(PACKAGE / "drill" / "choices.py", ("Slip",)):
        for text in texts:
            yield text, "slips"


def _of_cautions() -> Found:
    from prepkit import caution_rows

    taught = set(taught_cautions())
    for row in caution_rows.load():
        if row.id in taught or row.id.partition("-")[0] in WORKED:
            yield row.text, row.id
            yield row.action, row.id
            yield row.kind, "kind"
    for text in _toml(f"{FOLDER}/facts.toml")["texts"]:
        yield text, "facts.toml"


def taught_cautions() -> tuple[str, ...]:
    """The ids of the cautions that questions, lessons and wall sheets rest on."""
    found: dict[str, None] = {}
    for topic in TOPICS:
        data = _toml(f"drills/{topic}.toml")
        for kind in ("question", "ask", "fault"):
            for row in data.get(kind, ()):
                named = row.get("caution", "")
                drawn = _drawn(row.get("draw", {}), set(places(named)))
                found |= dict.fromkeys(drawn if "{" in named else [named])
    for path in ("wall_sheets.toml", *_lessons()):
        found |= dict.fromkeys(_cautions_in(_toml(path)))
    return tuple(one for one in found if one)


def _lessons() -> tuple[str, ...]:
    there = os.path.isdir(os.path.join(blocks.DATA, "lessons"))
    return blocks.names("lessons") if there else ()


def _cautions_in(value: object) -> Iterator[str]:
    if isinstance(value, Mapping):
        for key, one in value.items():
            if key in ("caution", "cautions"):
                yield from _strings(one)
            else:
                yield from _cautions_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from _cautions_in(one)


def _of_code(domain: str) -> Found:
    """Calls in code and templates, then tables of words, then data."""
    for pattern in CODE[domain]:
        for path in sorted(PACKAGE.glob(pattern)):
            for texts in _calls(path, CALLS):
                yield texts[0], path.name
            for text in _table(path):
                yield text, path.name
    data = {
        "paper": ("drills/groups.toml",),
        "signs": ("signs.toml", "wall_sheets.toml"),
        "lesson": _lessons(),
    }[domain]
    for name in data:
        for text in _texts_in(_toml(name)):
            yield text, name
    if domain == "paper":
        yield from ((one, "units") for one in COUNTED)
        yield from ((topic, "topics") for topic in (*TOPICS, *_toml("drills/groups.toml")))
        yield from (
            (_toml("page_lines.toml")[one]["text"], one) for one in ("card", "drill", "wall")
        )
    if domain == "lesson":
        for row in blocks.blocks("first_aid.toml", "case"):
            yield from ((row[key], "first_aid.toml") for key in ("when", "minute") if key in row)


def _is_ids(value: object) -> bool:
    """Whether a value of a table that holds no text is numbers, or names of rows."""
    return isinstance(value, int) or (
        isinstance(value, list) and all(isinstance(part, str) for part in value)
    )


def _texts_in(value: object) -> Iterator[str]:
    if isinstance(value, Mapping):
        for key, one in value.items():
            deep = isinstance(one, list) and any(isinstance(part, dict) for part in one)
            ids = isinstance(one, dict) and all(map(_is_ids, one.values()))
            if key not in NO_TEXT or deep or (isinstance(one, dict) and not ids):
                yield from _texts_in(one)
    elif isinstance(value, list):
        for one in value:
            yield from _texts_in(one)
    elif isinstance(value, str):
        yield value


def _calls(path: Path, names: Sequence[str]) -> Iterator[list[str]]:
    """The texts in each call of one of these names, in a module or in a template."""
    if path.suffix == ".html":
        from jinja2.ext import babel_extract

        with path.open("rb") as file:
            for _line, _name, said_there, _comments in babel_extract(file, list(names), (), {}):
                yield from ([one] for one in _strings(said_there))
        return
    import ast

    every = [
        one for one in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(one, ast.Call)
    ]
    for node in sorted(every, key=lambda one: (one.lineno, one.col_offset)):
        if node.args:
            called = getattr(node.func, "id", getattr(node.func, "attr", ""))
            texts = [one for part in node.args for one in _strings(_literal(part))]
            if called in names and texts and _literal(node.args[0]) == texts[0]:
                yield {"trap": texts, "Slip": texts[1:]}.get(called, texts[:1])


def _table(path: Path) -> Iterator[str]:
    """The texts of module-level tables; the keys of a mapping are none of them."""
    if path.suffix != ".py":
        return
    import ast

    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if TABLES & {one.id for one in targets if isinstance(one, ast.Name)}:
                yield from _strings(_literal(node.value))


def _literal(node: ast.expr) -> object:
    import ast

    try:
        return ast.literal_eval(node)
    except ValueError:
        return ()


# ---- the catalogues kept: python -m prepkit.language ----

HEADER = """\
# {language}: {domain}. Kept by `python -m prepkit.language`; the texts after msgstr are by hand.
msgid ""
msgstr ""
"Language: {language}\\n"
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"

"""


def path_of(language: str, domain: str) -> Path:
    """Where a catalogue lies."""
    return Path(blocks.DATA, FOLDER, language, f"{domain}.po")


def brought_up(language: str, domain: str) -> Catalog:
    """The catalogue of a domain with every message of today.

    What is translated is kept; what is new has ""; what is no longer said is marked with #~.
    """
    from babel.messages.catalog import Catalog

    template = Catalog()
    for message, where in messages(domain).items():
        template.add(message, locations=[(one, 0) for one in where])
    path = path_of(language, domain)
    if path.exists():
        kept = read(path, language)
        before = dict(kept.obsolete)  # an update forgets them
        for new in template:
            if new.id in before:  # it is said again
                kept[new.id] = before.pop(new.id)
        kept.update(template, no_fuzzy_matching=True)
        for gone, old in before.items():
            kept.obsolete.setdefault(gone, old)
        for gone, old in list(kept.obsolete.items()):
            old.locations = []
            if not old.string:  # it was never translated
                del kept.obsolete[gone]
    else:
        kept = Catalog(locale=language)
        kept.update(template, no_fuzzy_matching=True)
    for one in kept:
        one.flags = set()  # placeholders are those of str.format, which the tests check
    return kept


def write(catalog: Catalog, language: str, domain: str) -> None:
    """Write a catalogue: the same messages give the same file."""
    from babel.messages.pofile import write_po

    body = io.BytesIO()
    write_po(body, catalog, width=100, omit_header=True, include_lineno=False)
    path = path_of(language, domain)
    path.parent.mkdir(parents=True, exist_ok=True)
    head = HEADER.format(language=language, domain=domain)
    path.write_text(head + body.getvalue().decode("utf-8").strip() + "\n", "utf-8")


def main(arguments: Sequence[str]) -> int:
    """Write what is missing into the catalogues and say how much there is to translate."""
    wanted = arguments or DOMAINS
    strange = [one for one in wanted if one not in DOMAINS]
    if strange:
        print(f"{strange[0]!r} is no domain; write some of {', '.join(DOMAINS)}.", file=sys.stderr)
        return 2
    for language in languages()[1:]:
        for domain in wanted:
            made = brought_up(language, domain)
            write(made, language, domain)
            left = Counter(bool(one.string) for one in made if one.id)
            print(f"{language} {domain}: {left[True]} translated, {left[False]} to translate")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
