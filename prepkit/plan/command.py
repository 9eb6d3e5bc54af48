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
@click.option(
    "--house",
    metavar="DIR",
    help="Folder of the house file: bench, room, vessels, prices, own ingredients [the folder of "
    "the recipe].",
)
@click.option("--variant", metavar="NAME", help="A variant that the recipe has.")
@click.pass_context
def command(
    ctx: click.Context,
    file: str,
    serves: str | None,
    house: str | None,
    variant: str | None,
    as_json: bool,
    working: bool,
    units: str,
) -> None:
    """Read, plan, print; exit status 3 where a verdict is stop."""
    from prepkit.plan.fields import whole_serves
    from prepkit.plan.plan import make_plan
    from prepkit.plan.recipe import load_recipe

    wanted = None if serves is None else whole_serves(serves, "--serves")
    recipe = load_recipe(file, house=house, variant=variant)
    plan = make_plan(recipe, wanted)
    if ctx.get_parameter_source("units") is click.core.ParameterSource.DEFAULT:
        units = recipe.house.units or units
    if as_json:
        from prepkit.render.json import text

        click.echo(text(plan), nl=False)
    else:
        from prepkit.render.plan_text import plan_text

        click.echo(plan_text(plan.to_dict(), working, units), nl=False)
    if plan.verdict == "stop":
        raise SystemExit(EXIT_STOP)


common_options(command)
