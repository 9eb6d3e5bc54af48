"""prepkit plan: a recipe file and a number of serves to a sheet."""

from __future__ import annotations

import click

from prepkit.cli import EXIT_STOP, common_options


@click.command(
    name="plan",
    help="From a recipe file: what to weigh, what each preparation yields and is, vessels and "
    "chargers, shopping list and cautions, for any number of serves.\n\n\b\nExample:\n"
    "  prepkit plan recipes/FILE.toml --serves 40",
    short_help="From a recipe file: weigh-outs, yields, vessels, chargers, cautions.",
)
@click.argument("file")
@click.option(
    "--serves",
    metavar="N",
    help="How many of each serve to plan for [the recipe's own number, unless given].",
)
def command(file: str, serves: str | None, as_json: bool, working: bool, units: str) -> None:
    """Read, plan, print; exit status 3 where a verdict is stop."""
    from prepkit.plan.plan import make_plan
    from prepkit.plan.recipe import load_recipe, whole_serves

    wanted = None if serves is None else whole_serves(serves, "--serves")
    plan = make_plan(load_recipe(file), wanted)
    if as_json:
        from prepkit.render.json import text

        click.echo(text(plan), nl=False)
    else:
        from prepkit.render.plan_text import plan_text

        click.echo(plan_text(plan.to_dict(), working, units), nl=False)
    if plan.verdict == "stop":
        raise SystemExit(EXIT_STOP)


common_options(command)
