"""prepkit plan: a recipe file and a number of serves to a sheet."""

from __future__ import annotations

import click

from prepkit.cli import common_options
from prepkit.console import Chosen, Command, FileName, OneOf, house_option
from prepkit.errors import BadInput, named

DEMOS = ("cold-semaphore", "free-otter", "menu", "warm-brasswick")
DEMO = DEMOS[0]


@click.command(
    cls=Command,
    name="plan",
    help="From a recipe file one page to work from, for any number of serves. It gives verdicts, "
    "what to weigh and when to start, vessels and chargers, what to buy.\n\n\b\nExamples:\n"
    "  prepkit plan recipes/FILE.toml --serves 40\n"
    "  prepkit plan recipes/FILE.toml --serves 40 --full\n"
    "  prepkit plan A.toml B.toml --serves 'Ledger=60, Soda=35'\n"
    "  prepkit plan recipes/FILE.toml --serves 40 --service 18:00\n"
    "  prepkit plan recipes/FILE.toml --from '3.2 kg grapefruit juice'\n"
    "  prepkit plan recipes/FILE.toml --serves 40 --stock house.db\n"
    "  prepkit plan recipes/FILE.toml --check\n"
    "  prepkit plan - < recipes/FILE.toml\n"
    "  prepkit plan --demo --serves 40\n"
    "  prepkit plan --new my-recipe.toml\n"
    "  prepkit plan --schema > recipe.schema.json\n"
    "  prepkit plan --schema house > house.schema.json",
    short_help="From a recipe file: weigh-outs, yields, vessels, chargers, cautions.",
)
@click.argument("files", metavar="[FILE]...", nargs=-1, type=FileName())
@click.option(
    "--serves",
    metavar="N",
    help="How many of each serve [the recipe's own number]. By drink: Ledger=60, Soda=35.",
)
@click.option(
    "--sure",
    metavar="PERCENT",
    help="Chance that nothing runs short, for which more is made [the house's, else 95]. 50 adds "
    "nothing.",
)
@click.option("--variant", metavar="NAME", help="A variant that the recipe has.")
@click.option(
    "--from",
    "have",
    metavar="WORDS",
    multiple=True,
    help="Stock of an ingredient or item, such as 3.2 kg grapefruit juice. Makes as many serves "
    "as it allows.",
)
@click.option(
    "--stock",
    metavar="[LEDGER]",
    is_flag=False,
    flag_value="",
    type=FileName(),
    help="Use what stands in stock first, the oldest first, and make up to the pars. A ledger, or "
    "that of the house file.",
)
@click.option(
    "--fill",
    metavar="WORDS",
    multiple=True,
    help="A batch by container or amount: 1 tub my-base, 1 case of bottles my-base, "
    "4 l my-base. For no serves, unless --serves is given.",
)
@click.option("--take-stock", is_flag=True, help="Take from the ledger what the plan uses of it.")
@click.option(
    "--compare", metavar="N,N", help="Numbers of serves to show side by side, such as 20,40."
)
@click.option(
    "--measured",
    metavar="FILE",
    type=FileName(),
    help="Readings of what was made: what drifted, what to add, and the rest planned again.",
)
@click.option(
    "--batch", is_flag=True, help="Print the batch sheet: boxes to tick, room for what is measured."
)
@click.option("--csv", is_flag=True, help="Print the plan as CSV for a spreadsheet.")
@click.option(
    "--service", metavar="TIME", help="When it is served, such as 18:00: a timetable back from it."
)
@click.option(
    "--now", metavar="TIME", help="The time now. A step that had to start earlier is refused."
)
@click.option(
    "--check", is_flag=True, help="List everything that is wrong with the file, by line, and stop."
)
@click.option(
    "--schema",
    type=click.Choice(["recipe", "house", "menu", "pantry", "readings"]),
    is_flag=False,
    flag_value="recipe",
    help="Print a JSON Schema for an editor, and stop. It is that of recipe files unless house, "
    "menu, pantry or readings is said.",
)
@click.option(
    "--new",
    metavar="FILE",
    type=FileName(),
    help="Ask a few questions and write a first recipe file, and stop.",
)
@click.option(
    "--demo",
    metavar="[NAME]",
    is_flag=False,
    flag_value=DEMO,
    type=OneOf(DEMOS),
    help=f"Plan a demo recipe that comes with prepkit: {', '.join(DEMOS)} [the first].",
)
@click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@click.pass_context
def command(
    ctx: click.Context, /, out: str | None, force: bool, demo: str | None, **said: Chosen
) -> None:
    """Read, plan, print; exit status 3 where a verdict is stop."""
    from prepkit.workflows.plan_work import PlanOptions, answer

    chosen = ctx.get_parameter_source("units") is not click.core.ParameterSource.DEFAULT
    from prepkit.workflows.out import put

    files = said.pop("files")
    if demo is not None:
        files = (_demo(demo, files, said["new"]),)
    said["file"], said["more"] = (files or (None,))[0], files[1:]
    text, status = answer(PlanOptions(**said, units_chosen=chosen))
    exact = said["as_json"] or said["csv"] or said["schema"] is not None
    put(text, out, force, exact, fit=not said["check"])  # an editor reads file:line: words
    if status:
        raise SystemExit(status)


def _demo(name: str, files: tuple[str, ...], new: str | None) -> str:
    """The file of a demo recipe."""
    from prepkit import shipped
    from prepkit.workflows.choosing import known

    taken = "a recipe file" if files else "--new" if new else None
    if taken:
        raise BadInput(f"--demo does not go with {taken}; give one of them.", "demo")
    return str(shipped.recipe(known(name, DEMOS, named("demo"), "demo recipe")))


command.params.insert(
    2,
    house_option(
        "Folder of the house file: bench, room, vessels, prices, own ingredients [the folder of "
        "the recipe]."
    ),
)
common_options(command, full="Print every item, step and caution, not one page.")
