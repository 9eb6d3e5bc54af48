"""prepkit cautions: the cautions as sheets for the wall, by kind."""

from __future__ import annotations

import click

from prepkit.console import Command
from prepkit.errors import named
from prepkit.stdout import put_exact, put_text


@click.command(
    cls=Command,
    name="cautions",
    help="The cautions as sheets for the wall, one for each kind, most serious first.\n\n\b\n"
    "Example:\n  prepkit cautions --kind pressure --calculator siphon",
    short_help="Sheets for the wall: what can happen, what to do, who decides.",
)
@click.option("--kind", metavar="KIND", help="Only one kind, such as pressure [all].")
@click.option("--calculator", metavar="NAME", help="Only those of one calculator [all].")
@click.option("--json", "as_json", is_flag=True, help="Print the rows as JSON.")
def command(kind: str | None, calculator: str | None, as_json: bool) -> None:
    """Choose rows, print them."""
    from prepkit.cautions import KINDS
    from prepkit.index import CALCULATORS
    from prepkit.render import wall
    from prepkit.workflows.choosing import known

    if kind is not None:
        kind = known(kind, KINDS, named("kind"), "kind of caution")
    if calculator is not None:
        calculator = known(calculator, CALCULATORS, named("calculator"), "calculator")
    rows = wall.selected(kind, calculator)
    if as_json:
        import json

        said = {"cautions": [wall.row_dict(row) for row in rows]}
        put_exact(json.dumps(said, indent=2, ensure_ascii=False) + "\n")
    elif rows:
        put_text(wall.wall_text(rows))
    else:
        put_text(f"No caution of the kind {kind} belongs to {calculator}.\n")
