"""Catalogues of teaching text kept: each message found where it stands, the files brought up.

python -m prepkit.catalogues            every domain: writes what is missing, "" to fill in
python -m prepkit.catalogues siphon     that domain alone
"""

from __future__ import annotations

import io
import os
import sys
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from prepkit import blocks
from prepkit.language import DOMAINS, FOLDER, TOPICS, languages, needs_words, places, read

if TYPE_CHECKING:
    import ast

    from babel.messages.catalog import Catalog

# ---- every teaching text of the package, by domain ----

Found: TypeAlias = Iterator[tuple[str, str]]  # a message, and where it stands
Json: TypeAlias = dict[str, Any]  # Any: values of a TOML file

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
        "drill/*.py", "page/class_views.py", "page/drills.py",
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
    return blocks.document(path) if blocks.is_there(path) else {}


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
    from prepkit import cautions

    taught = set(taught_cautions())
    for row in cautions.load():
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
    return tuple(text for text in found if text)


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
        yield from ((word, "units") for word in COUNTED)
        yield from ((topic, "topics") for topic in (*TOPICS, *_toml("drills/groups.toml")))
        yield from (
            (_toml("page_lines.toml")[key]["text"], key) for key in ("card", "drill", "wall")
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
                yield from ([string] for string in _strings(said_there))
        return
    import ast

    every = [
        one for one in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(one, ast.Call)
    ]
    for node in sorted(every, key=lambda one: (one.lineno, one.col_offset)):
        if node.args:
            called = getattr(node.func, "id", getattr(node.func, "attr", ""))
            texts = [string for part in node.args for string in _strings(_literal(part))]
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
            if TABLES & {target.id for target in targets if isinstance(target, ast.Name)}:
                yield from _strings(_literal(node.value))


def _literal(node: ast.expr) -> object:
    import ast

    try:
        return ast.literal_eval(node)
    except ValueError:
        return ()


# ---- the catalogues kept: python -m prepkit.catalogues ----

HEADER = """\
# {language}: {domain}. Kept by `python -m prepkit.catalogues`; the texts after msgstr are by hand.
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
        template.add(message, locations=[(text, 0) for text in where])
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
    strange = [text for text in wanted if text not in DOMAINS]
    if strange:
        print(f"{strange[0]!r} is no domain; write some of {', '.join(DOMAINS)}.", file=sys.stderr)
        return 2
    for language in languages()[1:]:
        for domain in wanted:
            made = brought_up(language, domain)
            write(made, language, domain)
            left = Counter(bool(message.string) for message in made if message.id)
            print(f"{language} {domain}: {left[True]} translated, {left[False]} to translate")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
