"""prepkit cautions: all cautions as a list by kind, or one-page wall sheets to print."""

from __future__ import annotations

import click

from prepkit.console import Command, units_option
from prepkit.errors import BadInput, named
from prepkit.stdout import put_text
from prepkit.workflows.documents import OUT


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
@click.option("--json", "as_json", is_flag=True, help="Print the rows as JSON.")
def command(
    kind: str | None,
    calculator: str | None,
    form: str,
    paper: str | None,
    as_json: bool,
    units: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Choose sheets or rows, print them."""
    from prepkit.cautions import KINDS
    from prepkit.index import CALCULATORS
    from prepkit.render import wall
    from prepkit.workflows.choosing import known
    from prepkit.workflows.out import put

    if kind is not None:
        kind = known(kind, KINDS, named("kind"), "kind of caution")
    if calculator is not None:
        calculator = known(calculator, CALCULATORS, named("calculator"), "calculator")
    if form == "html":
        put(_printed(kind, calculator, paper, as_json), out, force, exact=True)
        return
    if paper is not None:
        raise BadInput(f"{named('paper')} is for wall sheets; ask for them as html.", "paper")
    rows = wall.selected(kind, calculator)
    if as_json:
        import json

        said = {"cautions": [wall.row_dict(row) for row in rows]}
        put(json.dumps(said, indent=2, ensure_ascii=False) + "\n", out, force, exact=True)
    elif rows:
        put(wall.wall_text(rows, units or "metric"), out, force)
    else:
        put_text(f"No caution of the kind {kind} belongs to {calculator}.\n")


def _printed(kind: str | None, calculator: str | None, paper: str | None, as_json: bool) -> str:
    """The wall sheets; BadInput with what speaks of rows alone."""
    from datetime import date

    from prepkit.render.wall_html import chosen, wall_sheets

    if as_json:
        raise BadInput("JSON is of all cautions, not of wall sheets; ask for one of them.", "form")
    if calculator is not None:
        raise BadInput(
            f"Wall sheets are for a whole kind of danger; leave out {named('calculator')}.",
            "calculator",
        )
    return wall_sheets(chosen(kind), date.today(), paper or "a4")


command.params += [units_option("Units of the sentences of the list [metric]."), *OUT]
