"""prepkit sources: what the figures rest on, how each was obtained, and what rests on it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

from prepkit.console import Command
from prepkit.errors import BadInput, named
from prepkit.stdout import put_exact, put_text
from prepkit.width import columns

if TYPE_CHECKING:
    from prepkit.model import Json

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
    "  prepkit sources --calculator siphon --obtained memory",
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
@click.option("--json", "as_json", is_flag=True, help="Print the sources as JSON.")
def command(
    key: str | None, calculator: str | None, obtained: str | None, weak: bool, as_json: bool
) -> None:
    """All sources, those of a calculator, or the one of the key."""
    from prepkit import sources
    from prepkit.index import CALCULATORS
    from prepkit.workflows import sources_rests
    from prepkit.workflows.choosing import known

    if calculator is not None:
        calculator = known(calculator, CALCULATORS, named("calculator"), "calculator")
    if obtained is not None:
        obtained = known(obtained, _HOW, named("obtained"), "way to obtain")
    if weak:
        if key is not None or obtained is not None:
            raise BadInput(
                f"{named('weak')} lists what rests on memory; "
                f"leave out KEY and {named('obtained')}.",
                "weak",
            )
        _put_weak(calculator, as_json)
        return
    keys = list(dict.fromkeys(sources.keys()))
    if key is not None:
        keys = [known(key, keys, "KEY", "source")]
    if calculator is not None:
        its = sources_rests.of_calculator(calculator)
        keys = [one for one in keys if one in its]
    rows = [
        row
        for row in source_rows(keys, calculator)
        if obtained is None or obtained in row["obtained"]
    ]
    if as_json:
        import json

        put_exact(json.dumps({"sources": rows}, indent=2, ensure_ascii=False) + "\n")
    elif rows:
        put_text(sources_text(rows, whole=key is not None))
    else:
        put_text("No source answers to all of that.\n")


def _put_weak(calculator: str | None, as_json: bool) -> None:
    """What rests on memory, the largest first."""
    from prepkit.workflows import sources_weak

    rows, others = sources_weak.rows(calculator), sources_weak.behind(calculator)
    if as_json:
        import json

        said = [
            {**row._asdict(), "calculators": list(sources_weak.calculators(row))} for row in rows
        ]
        behind = [row._asdict() for row in others]
        put_exact(
            json.dumps({"weak": said, "besides": behind}, indent=2, ensure_ascii=False) + "\n"
        )
    else:
        put_text(sources_weak.text(rows, others))


def source_rows(keys: Iterable[str], calculator: str | None = None) -> list[Json]:
    """The sources of the keys with what rests on each, or what of one calculator does."""
    from prepkit import sources
    from prepkit.workflows import sources_rests

    rows = []
    for source in sources.cited(keys):
        resting_on = sources_rests.on(source.key)
        if calculator is not None:
            resting_on["steps"] = [
                one for one in resting_on["steps"] if one.startswith(f"{calculator}: ")
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
