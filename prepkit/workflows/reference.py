"""prepkit cautions, safety, schema and sources: what is known, printed.

There is one copy of each, at the root of the project. A build puts them into the installed
package (`.build/backend.py`); run from a checkout they are read where they are.

The working, relations and checks are a file of data written from the code and its tests; the data
rows are looked through as they are.
"""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from itertools import groupby
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from prepkit import blocks, cautions, model
from prepkit.blocks import DATA
from prepkit.cautions import Row
from prepkit.cli import Command, OneOf, units_option
from prepkit.errors import BadInput, FileProblem, named
from prepkit.stdout import columns, put_exact, put_text
from prepkit.workflows import OUT

if TYPE_CHECKING:
    from prepkit.inputs import Json

# ---- what travels with the program ----

_PACKAGE = Path(DATA).parent


def _place(name: str) -> Path:
    """A file or folder inside the installed package, or at the root of a checkout."""
    for path in (_PACKAGE / "data" / "shipped" / name, _PACKAGE.parent / name):
        if path.exists() and (path.parent != _PACKAGE.parent or _checkout()):
            return path
    raise FileProblem(f"{name} is missing from this installation; install prepkit again.")


def _checkout() -> bool:
    return (_PACKAGE.parent / "pyproject.toml").is_file()


def safety() -> str:
    """The text of SAFETY.md, without the comments from which parts of it are made."""
    path = _place("SAFETY.md")
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise FileProblem(f"{path} cannot be read: {error.strerror}.") from error
    return re.sub(r"\n{3,}", "\n\n", re.sub(r"<!--.*?-->\n?", "", text, flags=re.DOTALL))


def recipe(name: str) -> Path:
    """The file of a demo recipe, its house folder beside it."""
    return _place("recipes") / f"{name}.toml"


# ---- what rests on each source ----

FILE = "rests.toml"
KINDS = ("steps", "relations", "calculators", "checks")
# data that names sources elsewhere than in rows of its own
NOT_ROWS = ("sources", "cautions", "drills", "weak")


@cache
def written_rests() -> Mapping[str, Mapping[str, list[str]]]:
    """By key: steps, relations, calculators and checks."""
    return blocks.document(FILE)


@cache
def cautions_by_key() -> Mapping[str, list[Row]]:
    """The rows of cautions by the key of their source."""
    found: dict[str, list[Row]] = {}
    for row in cautions.rows():
        found.setdefault(row.source, []).append(row)
    return found


@cache
def data_by_key() -> Mapping[str, list[str]]:
    """Rows of data, such as "limits: quinine-carbonated-us", by the key of a source they name."""
    known = frozenset(model.source_keys())
    found: dict[str, list[str]] = {}
    for folder, path in _files():
        for kind, rows in blocks.document(path).items():
            for row in rows if isinstance(rows, list) else ():
                if not isinstance(row, dict):  # a list of words, not of rows
                    continue
                name = row.get("id") or row.get("name") or row.get("text", kind)
                for key in sorted(known.intersection(_words(row))):
                    found.setdefault(key, []).append(f"{folder}: {name}")
    return found


def _files() -> Iterator[tuple[str, str]]:
    for path in blocks.all_names():
        folder = path.split("/")[0].removesuffix(".toml")
        if folder not in NOT_ROWS and path != FILE:
            yield folder.replace("_", " "), path


def _words(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _words(one)
    elif isinstance(value, list):
        for one in value:
            yield from _words(one)


@cache
def made_from() -> Mapping[str, list[str]]:
    """The sources of this project that were made from each key."""
    found: dict[str, list[str]] = {}
    every = model.source_keys()
    for key in every:
        for word in model.rests_on(key):
            found.setdefault(word, []).append(key)
    return found


def on(key: str) -> dict[str, list[str]]:
    """Everything that rests on a source, by kind, empty kinds too."""
    row = written_rests().get(key, {})
    return {
        **{kind: list(row.get(kind, ())) for kind in KINDS},
        "data": data_by_key().get(key, []),
        "cautions": [one.id for one in cautions_by_key().get(key, ())],
        "made_from": list(model.rests_on(key)),
        "made_into": made_from().get(key, []),
    }


def of_calculator(name: str) -> list[str]:
    """The keys that a calculator's answers or cautions can rest on, in file order."""
    spoken = {key for key, rows in cautions_by_key().items() for row in rows if row.concerns(name)}
    every = model.source_keys()
    return [
        key
        for key in every
        if key in spoken or name in written_rests().get(key, {}).get("calculators", ())
    ]


# ---- what rests on memory, by how far an answer of a user could move ----

WEAK_FILE = "weak.toml"
BEHIND = (
    "From memory behind data, cautions or checks alone: unknown effects first, then the largest."
)


class Weak(NamedTuple):
    """A source that was not read, what is answered by it, and how far that could move."""

    source: str
    answer: str
    percent: float
    why: str


class Behind(NamedTuple):
    """A source from memory behind data, cautions or checks alone; percent None: not known."""

    source: str
    answer: str
    why: str
    percent: float | None = None


@cache
def _all() -> tuple[Weak, ...]:
    found = (Weak(**row) for row in blocks.document(WEAK_FILE)["weak"])
    return tuple(sorted(found, key=lambda row: (-row.percent, row.source)))


@cache
def _behind() -> tuple[Behind, ...]:
    found = (Behind(**row) for row in blocks.document(WEAK_FILE)["besides"])
    return tuple(
        sorted(found, key=lambda row: (row.percent is not None, -(row.percent or 0.0), row.source))
    )


def behind_weak(calculator: str | None = None) -> tuple[Behind, ...]:
    """Sources from memory with no relation, unknown effects first, then the largest.

    Of a calculator: those of its own working and cautions. Rows of data belong to no calculator.
    """
    if calculator is None:
        return _behind()
    its = frozenset(of_calculator(calculator))
    return tuple(row for row in _behind() if row.source in its)


def calculators(row: Weak) -> tuple[str, ...]:
    """The calculators whose answers come to it."""
    return tuple(written_rests().get(row.source, {}).get("calculators", ()))


def weak_rows(calculator: str | None = None) -> tuple[Weak, ...]:
    """Every weak relation, or those that a calculator comes to; the largest first."""
    return tuple(row for row in _all() if calculator is None or calculator in calculators(row))


def expected() -> frozenset[str]:
    """The sources from memory, whole or in part, that a relation or a step rests on."""
    found = set()
    for source in model.cited(model.source_keys()):
        if "memory" in source.obtained:
            written = written_rests().get(source.key, {})
            if written.get("relations") or written.get("steps"):
                found.add(source.key)
    return frozenset(found)


def besides() -> tuple[str, ...]:
    """Sources from memory on which only rows of data or cautions rest, no relation."""
    listed = expected()
    return tuple(
        source.key
        for source in model.cited(model.source_keys())
        if source.obtained == "memory" and source.key not in listed
    )


def text(listed: Iterable[Weak], others: Iterable[Behind]) -> str:
    """Both lists as text: how far, what, why, source."""
    out = [line for row in listed for line in _lines(row)]
    second = [line for row in others for line in _lines(row)]
    if not out and not second:
        return "Nothing of it rests on memory.\n"
    if not out:
        out = ["No relation of it rests on memory."]
    out += [
        "",
        _weak_fill("The percentage is how far that answer could move, judged from stated errors."),
    ]
    if second:
        out += ["", _weak_fill(BEHIND), "", *second]
    return "\n".join(out) + "\n"


def said_percent(row: Weak | Behind) -> str:
    """How far, in words: "20 %" or "unknown"."""
    return "unknown" if row.percent is None else f"{row.percent:g} %"


def _lines(row: Weak | Behind) -> Iterator[str]:
    yield f"{said_percent(row)}  {row.answer} [{row.source}]"
    yield _weak_fill(f"{row.why[0].upper()}{row.why[1:]}.", "  ")


def _weak_fill(words: str, indent: str = "") -> str:
    return textwrap.fill(
        words, columns(), initial_indent=indent, subsequent_indent=indent,
        break_on_hyphens=False, break_long_words=False,
    )  # fmt: skip


def table(listed: Iterable[Weak | Behind] | None = None) -> str:
    """Rows as a table in Markdown, for DEVELOPERS.md: the relations, or the rows given."""
    out = ["| answer that could move | by | source | why |", "|---|---|---|---|"]
    out += [
        f"| {row.answer} | {said_percent(row)} | `{row.source}` | {row.why} |"
        for row in (weak_rows() if listed is None else listed)
    ]
    return "\n".join(out)


# ---- prepkit sources ----

_HOW = {
    "read": "read in a public copy, or given by an installed general library",
    "memory": "from memory, no copy could be read: check it before you rely on it",
    "practice": "a habit of the trade, or this tool's own cautious judgement",
    "computed": "worked out here from definitions or from other sources",
}
# of what rests on a source, in the order of the print; shown in full where one source is asked for
_SAID = {
    "made_from": "Made from",
    "made_into": "Goes into",
    "steps": "Steps of the working",
    "relations": "Relations",
    "calculators": "Calculators that come to it",
    "data": "Rows of data",
    "cautions": "Cautions that rest on it",
    "checks": "Published values checked against it",
}
_MOST = 8


@click.command(
    cls=Command,
    name="sources",
    help="Every source, how it was obtained, and what rests on it. That is steps of the working, "
    "relations, data, cautions and published values in the tests. Or one source, or those of one "
    "calculator.\n\n\b\nExamples:\n  prepkit sources SIPHON-RECALLS\n"
    "  prepkit sources --calculator siphon --obtained memory\n"
    "  prepkit sources --lesson --obtained memory",
    short_help="The source of each figure and caution, and how it was obtained.",
)
@click.argument("key", required=False)
@click.option("--calculator", metavar="NAME", help="Only what this calculator rests on [all].")
@click.option(
    "--obtained",
    metavar="HOW",
    help=f"Only those obtained so, or so in part: {', '.join(_HOW)} [all].",
)
@click.option(
    "--weak",
    is_flag=True,
    help="Only what rests on memory, and how far an answer could move: largest first.",
)
@click.option(
    "--lesson",
    is_flag=True,
    help="Every statement that a lesson can print, its source, and whether that was read.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the sources as JSON.")
def sources_command(
    key: str | None,
    calculator: str | None,
    obtained: str | None,
    weak: bool,
    lesson: bool,
    as_json: bool,
) -> None:
    """All sources, those of a calculator, or the one of the key."""
    from prepkit.index import CALCULATORS
    from prepkit.workflows import known

    if calculator is not None:
        calculator = known(calculator, CALCULATORS, named("calculator"), "calculator")
    if obtained is not None:
        obtained = known(obtained, _HOW, named("obtained"), "way to obtain")
    if lesson:
        if key is not None or calculator is not None or weak:
            raise BadInput(
                f"{named('lesson')} lists statements; leave out KEY, {named('calculator')} and "
                f"{named('weak')}.",
                "lesson",
            )
        _put_lesson(obtained, as_json)
        return
    if weak:
        if key is not None or obtained is not None:
            raise BadInput(
                f"{named('weak')} lists what rests on memory; "
                f"leave out KEY and {named('obtained')}.",
                "weak",
            )
        _put_weak(calculator, as_json)
        return
    keys = list(dict.fromkeys(model.source_keys()))
    if key is not None:
        keys = [known(key, keys, "KEY", "source")]
    if calculator is not None:
        its = of_calculator(calculator)
        keys = [word for word in keys if word in its]
    rows = [
        row
        for row in source_rows(keys, calculator)
        if obtained is None or obtained in row["obtained"]
    ]
    if as_json:
        put_exact(json.dumps({"sources": rows}, indent=2, ensure_ascii=False) + "\n")
    elif rows:
        put_text(sources_text(rows, whole=key is not None))
    else:
        put_text("No source answers to all of that.\n")


def _put_weak(calculator: str | None, as_json: bool) -> None:
    """What rests on memory, the largest first."""

    rows, others = weak_rows(calculator), behind_weak(calculator)
    if as_json:
        said = [{**row._asdict(), "calculators": list(calculators(row))} for row in rows]
        behind = [row._asdict() for row in others]
        put_exact(
            json.dumps({"weak": said, "besides": behind}, indent=2, ensure_ascii=False) + "\n"
        )
    else:
        put_text(text(rows, others))


def _put_lesson(obtained: str | None, as_json: bool) -> None:
    """Every statement of a lesson with its sources, those obtained so where that is asked."""
    from prepkit.lesson import traced

    rows = []
    for statement in traced():
        found = model.cited(statement.sources)
        if obtained is None or any(obtained in source.obtained for source in found):
            keys = [{"key": source.key, "obtained": source.obtained} for source in found]
            rows.append({**statement._asdict(), "sources": keys})
    if as_json:
        put_exact(json.dumps({"statements": rows}, indent=2, ensure_ascii=False) + "\n")
        return
    out: list[str] = []
    for file, of_file in groupby(rows, key=itemgetter("file")):
        out += [str(file), ""]
        for row in of_file:
            out += [_fill(str(row["text"])), textwrap.indent(_lesson_sources(row), "    "), ""]
    put_text("\n".join(out or ["No statement rests on a source obtained so."]).rstrip() + "\n")


def _lesson_sources(row: Json) -> str:
    """The sources of a statement; those of a calculator by its name, which are many."""
    if row["rests_on"].startswith("calculator "):
        return f"[its answer: prepkit sources --{row['rests_on']}]"
    keys = [f"{source['key']}, {source['obtained']}" for source in row["sources"]]
    said = f"; {row['rests_on']}" if row["rests_on"] else ""
    return f"[{'; '.join(keys)}{said}]"


def source_rows(keys: Iterable[str], calculator: str | None = None) -> list[Json]:
    """The sources of the keys with what rests on each, or what of one calculator does."""

    rows = []
    for source in model.cited(keys):
        resting_on = on(source.key)
        if calculator is not None:
            resting_on["steps"] = [
                step for step in resting_on["steps"] if step.startswith(f"{calculator}: ")
            ]
        rows.append(
            {"key": source.key, "title": source.title, "obtained": source.obtained,
             "note": source.note, **resting_on}
        )  # fmt: skip
    return rows


def sources_text(rows: Iterable[Json], whole: bool = False) -> str:
    """The sources as text; `whole` names all that rests on them, and how they were obtained."""
    out: list[str] = []
    for row in rows:
        out.append(f"{row['key']} [{row['obtained']}]")
        out += [_fill(words) for words in (row["title"], row["note"]) if words]
        if whole:
            out.append(_fill(f"Obtained: {_HOW[row['obtained'].split(',')[0]]}."))
        for kind, said in _SAID.items():
            if row[kind]:
                out.append(_fill(f"{said}: {_listed(row[kind], whole)}."))
        if not any(row[kind] for kind in _SAID):
            out.append(_fill("Nothing in the tool rests on it: it is here to be looked up."))
        out.append("")
    if not whole:
        out += [f"{word}: {meaning}." for word, meaning in _HOW.items()]
    return "\n".join(out).rstrip() + "\n"


def _listed(names: list[str], whole: bool) -> str:
    """Names in a row; of many the first few and how many more."""
    if whole or len(names) <= _MOST + 1:
        return ", ".join(names)
    return f"{', '.join(names[:_MOST])} and {len(names) - _MOST} more"


def _fill(text: str) -> str:
    return textwrap.fill(
        text, columns(), initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False,
        break_long_words=False,
    )  # fmt: skip


# ---- prepkit cautions ----


@click.command(
    cls=Command,
    name="cautions",
    help="Wall sheets to print, one page for each danger, or all cautions by kind as text.\n\n"
    "A wall sheet has eight lines and signs. You can read it from 2 m on A4, 2.8 m on A3, 1.9 m "
    "on letter paper.\n\n\b\n"
    "Examples:\n  prepkit cautions --kind cryogen --format html --out wall.html\n"
    "  prepkit cautions --kind pressure --calculator siphon",
    short_help="Wall sheets to print: one page for each danger. Or all cautions by kind.",
)
@click.option("--kind", metavar="KIND", help="Only one kind, such as pressure [all].")
@click.option("--calculator", metavar="NAME", help="Only those of one calculator [all].")
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "html"]),
    default="text",
    show_default=True,
    help="The list for the terminal, or wall sheets to print.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "a3", "letter"]),
    help="Paper of the wall sheets [a4].",
)
@click.option("--language", metavar="LANGUAGE", help="Language of the wall sheets [en].")
@click.option("--json", "as_json", is_flag=True, help="Print the rows as JSON.")
def cautions_command(
    kind: str | None,
    calculator: str | None,
    form: str,
    paper: str | None,
    language: str | None,
    as_json: bool,
    units: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Choose sheets or rows, print them."""
    from prepkit.cautions import KINDS
    from prepkit.index import CALCULATORS
    from prepkit.render import wall
    from prepkit.workflows import known, put

    if kind is not None:
        kind = known(kind, KINDS, named("kind"), "kind of caution")
    if calculator is not None:
        calculator = known(calculator, CALCULATORS, named("calculator"), "calculator")
    if form == "html":
        put(_printed(kind, calculator, paper, as_json, language), out, force, exact=True)
        return
    for name, value in (("paper", paper), ("language", language)):
        if value is not None:
            raise BadInput(f"{named(name)} is for wall sheets; ask for them as html.", name)
    rows = wall.selected(kind, calculator)
    if as_json:
        said = {"cautions": [wall.row_dict(row) for row in rows]}
        put(json.dumps(said, indent=2, ensure_ascii=False) + "\n", out, force, exact=True)
    elif rows:
        put(wall.wall_text(rows, units or "metric"), out, force)
    else:
        put_text(f"No caution of the kind {kind} belongs to {calculator}.\n")


def _printed(
    kind: str | None,
    calculator: str | None,
    paper: str | None,
    as_json: bool,
    language: str | None,
) -> str:
    """The wall sheets; BadInput with what speaks of rows alone."""
    from datetime import date

    from prepkit.render.wall import chosen, wall_sheets

    if as_json:
        raise BadInput("JSON is of all cautions, not of wall sheets; ask for one of them.", "form")
    if calculator is not None:
        raise BadInput(
            f"Wall sheets are for a whole kind of danger; leave out {named('calculator')}.",
            "calculator",
        )
    return wall_sheets(chosen(kind), date.today(), paper or "a4", language or "en")


cautions_command.params += [units_option("Units of the sentences of the list [metric]."), *OUT]


# ---- prepkit safety ----

_SHORT = "SAFETY.md: every caution that can be printed, its limit, its source."


@click.command(
    cls=Command,
    name="safety",
    help=f"{_SHORT}\n\n\b\nExample:\n  prepkit safety > SAFETY.md",
    short_help=_SHORT,
)
def safety_command() -> None:
    """Print the page."""

    put_text(safety(), fit=False)


# ---- prepkit schema ----

PRINTED = ("answer", "label", "plan", "error")
FILES = ("recipe", "house", "menu", "pantry", "readings")
_FORMS = "The JSON Schema of what --json prints, or of a file that is read."


@click.command(
    cls=Command,
    name="schema",
    help=f"{_FORMS}\n\nOf an answer where no other word stands: {', '.join(PRINTED)} are printed, "
    f"{', '.join(FILES)} are files. prepkit --version --json has their versions."
    "\n\n\b\nExamples:\n  prepkit schema > answer.schema.json\n  prepkit schema label",
    short_help=_FORMS,
)
@click.argument("what", required=False, type=OneOf((*PRINTED, *FILES)))
def schema_command(what: str | None) -> None:
    """Print one schema."""
    from prepkit.workflows import known

    name = known(what or PRINTED[0], (*PRINTED, *FILES), "WHAT", "schema")
    put_exact(json.dumps(schema(name), indent=2, ensure_ascii=False) + "\n")


def schema(name: str) -> Mapping[str, Any]:  # Any: JSON
    """A schema by name, draft 7: from the data, from a plan's types, of files from their models."""
    if name in FILES:
        from prepkit.plan.check import SCHEMAS

        return SCHEMAS[name]()
    if name == "plan":
        from prepkit.plan import check

        return check.schema()

    found: Mapping[str, object] = json.loads(blocks.read(f"schemas/{name}.json"))
    return found
