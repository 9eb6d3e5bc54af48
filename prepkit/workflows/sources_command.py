"""prepkit sources: what the figures rest on, how each was obtained, which cautions rest on it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from typing import Any

import click

_HOW = {
    "read": "read in a public copy",
    "memory": "from memory, no copy could be read: check it before you rely on it",
    "practice": "a habit of the trade, or this tool's own cautious judgement",
    "computed": "worked out here from definitions or from other sources",
}


@click.command(
    name="sources",
    help="Every source, how it was obtained, and which cautions rest on it; or one of them.\n\n"
    "\b\nExample:\n  prepkit sources SIPHON-RECALLS",
    short_help="What a figure or a caution rests on, and how it was obtained.",
)
@click.argument("key", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the sources as JSON.")
def command(key: str | None, as_json: bool) -> None:
    """All sources, or the one of the key."""
    from prepkit import sources
    from prepkit.workflows.choosing import known

    keys = sources.keys()
    if key is not None:
        keys = [known(key, keys, "KEY", "source")]
    rows = source_rows(keys)
    if as_json:
        import json

        click.echo(json.dumps({"sources": rows}, indent=2, ensure_ascii=False))
    else:
        click.echo(sources_text(rows, legend=key is None), nl=False)


def source_rows(keys: Iterable[str]) -> list[dict[str, Any]]:
    """The sources of the keys with the ids of the cautions that rest on each."""
    from prepkit import cautions, sources

    resting: dict[str, list[str]] = {}
    for row in cautions.rows():
        resting.setdefault(row["source"], []).append(row["id"])
    return [
        {"key": s.key, "title": s.title, "obtained": s.obtained, "note": s.note,
         "cautions": resting.get(s.key, [])}
        for s in sources.cited(keys)
    ]  # fmt: skip


def sources_text(rows: Iterable[dict[str, Any]], legend: bool = True) -> str:
    """The sources as text."""
    out: list[str] = []
    for row in rows:
        out.append(f"{row['key']} [{row['obtained']}]")
        out += [_fill(words) for words in (row["title"], row["note"]) if words]
        if not legend:
            out.append(_fill(f"Obtained: {_HOW[row['obtained'].split(',')[0]]}."))
        if row["cautions"]:
            out.append(_fill(f"Cautions that rest on it: {', '.join(row['cautions'])}."))
        out.append("")
    if legend:
        out += [f"{word}: {meaning}." for word, meaning in _HOW.items()]
    return "\n".join(out).rstrip() + "\n"


def _fill(text: str) -> str:
    return textwrap.fill(
        text, 96, initial_indent="  ", subsequent_indent="  ", break_on_hyphens=False,
        break_long_words=False,
    )  # fmt: skip
