"""prepkit schema: JSON Schemas of what --json prints, and of the files that are read."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

import click

from prepkit.console import Command, OneOf
from prepkit.stdout import put_exact

PRINTED = ("answer", "label", "plan", "error")
FILES = ("recipe", "house", "menu", "pantry", "readings")
_SHORT = "The JSON Schema of what --json prints, or of a file that is read."


@click.command(
    cls=Command,
    name="schema",
    help=f"{_SHORT}\n\nOf an answer where no other word stands: {', '.join(PRINTED)} are printed, "
    f"{', '.join(FILES)} are files. prepkit --version --json has their versions."
    "\n\n\b\nExamples:\n  prepkit schema > answer.schema.json\n  prepkit schema label",
    short_help=_SHORT,
)
@click.argument("what", required=False, type=OneOf((*PRINTED, *FILES)))
def command(what: str | None) -> None:
    """Print one schema."""
    from prepkit.workflows.choosing import known

    name = known(what or PRINTED[0], (*PRINTED, *FILES), "WHAT", "schema")
    put_exact(json.dumps(schema(name), indent=2, ensure_ascii=False) + "\n")


def schema(name: str) -> Mapping[str, Any]:  # Any: JSON
    """A schema by name, draft 7: from the data, from a plan's types, of files from their models."""
    if name in FILES:
        from prepkit.plan.schema import SCHEMAS

        return SCHEMAS[name]()
    if name == "plan":
        from prepkit.workflows import plan_schema

        return plan_schema.schema()
    from prepkit import blocks

    found: Mapping[str, object] = json.loads(blocks.read(f"schemas/{name}.json"))
    return found
