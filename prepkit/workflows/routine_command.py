"""prepkit routine: the timed steps of a recipe or menu file, and each drink beside its window."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from prepkit.cli import EXIT_STOP
from prepkit.console import Command, FileName
from prepkit.workflows.documents import OUT, RECIPE

if TYPE_CHECKING:
    from prepkit.plan.recipe import Recipe
    from prepkit.sheet import RoutineSheet


@click.command(
    cls=Command,
    name="routine",
    help="The timed steps of a competition routine or of a pass. They are a [[routine]] in a "
    "recipe or menu file. It says whether the clock is met, which steps decide, and who does what. "
    "It says whether each drink is drunk inside its window.\n\n\b\nExamples:\n"
    "  prepkit routine recipes/menu.toml\n"
    "  prepkit routine recipes/menu.toml --serves 6 --hands 2\n"
    "  prepkit routine recipes/menu.toml --format html --out routine.html",
    short_help="Steps in seconds: in time or over, each drink in its window.",
)
@click.argument("file", type=FileName(), metavar="FILE")
@click.option("--name", metavar="NAME", help="One routine of the file [all of them].")
@click.option("--serves", metavar="N", help="How many of each drink [the routine's own]. By "
              "drink: Ledger=2, Soda=3.")  # fmt: skip
@click.option("--hands", metavar="COUNT", help="Pairs of hands [the routine's own].")
@click.option("--format", "shape", type=click.Choice(["text", "svg", "html", "json"]),
              default="text", show_default=True, help="How it is printed.")  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
def command(
    file: str, name: str | None, serves: str | None, hands: str | None, shape: str,
    as_json: bool, house: str | None, variant: str | None, out: str | None, force: bool,
) -> None:  # fmt: skip
    """Read, time, print; exit status 3 where a drink must not be served."""
    import json

    from prepkit.plan.recipe import load_recipe
    from prepkit.render.routine import routine_html, routine_text
    from prepkit.workflows.out import put

    said = _said(load_recipe(file, house=house, variant=variant), name, serves, hands)
    if as_json or shape == "json":
        text = json.dumps({"routines": said}, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
    elif shape == "svg":
        text = _svg(said)
    elif shape == "html":
        text = routine_html(said)
    else:
        text = "\n".join(map(routine_text, said))
    put(text, out, force, exact=as_json or shape != "text")
    if any(one["verdict"] == "stop" for one in said):
        raise SystemExit(EXIT_STOP)


command.params += [*RECIPE, *OUT]


def _said(
    recipe: Recipe, name: str | None, serves: str | None, hands: str | None
) -> list[RoutineSheet]:
    """Each routine that is asked for, on a plan of its own drinks alone."""
    from prepkit.errors import BadInput, named
    from prepkit.numbers import whole
    from prepkit.plan.plan import plan_of
    from prepkit.plan.prepare import prepare
    from prepkit.plan.routine import MOST_HANDS, changed
    from prepkit.plan.routine_said import routines
    from prepkit.plan.serves_said import counts_said
    from prepkit.workflows.choosing import known

    if not recipe.routines:
        raise recipe.wrong("", "it has no routine; write [[routine]] with its drinks and steps.")
    chosen = {one.name: one for one in recipe.routines}
    if name is not None:
        name = known(name, chosen, named("name"), "routine of this file")
        chosen = {name: chosen[name]}
    many = None
    if hands is not None:
        many = whole(hands, 1, MOST_HANDS)
        if many is None:
            raise BadInput(
                f'{named("hands")} is "{hands}"; give a whole number from 1 to {MOST_HANDS}.',
                "hands",
            )
    out: list[RoutineSheet] = []
    for one in chosen.values():
        drinks = {drink.name for drink in one.drinks}
        own = tuple(serve for serve in recipe.serve if serve.name in drinks)
        asked = None if serves is None else counts_said(serves, recipe._replace(serve=own))
        other = changed(one, asked, many)
        prepared = prepare(recipe._replace(routines=(other,)))
        counts = {drink.name: drink.serves for drink in other.drinks}
        plan = plan_of(prepared, {**dict.fromkeys(recipe.counts(), 0), **counts})
        out += routines(plan)
    return out


def _svg(said: list[RoutineSheet]) -> str:
    """The picture of one routine; BadInput where there are several, exit status 3 of a stop."""
    from prepkit.errors import BadInput, named
    from prepkit.render.routine import head, routine_svg
    from prepkit.stdout import put_error

    if len(said) > 1:
        names = ", ".join(one["name"] for one in said)
        raise BadInput(
            f"a picture is of one routine; give {named('name')}, one of {names}.", "name"
        )
    drawn = routine_svg(said[0])
    if drawn is None:
        put_error(f"{head(said[0])}\n")
        raise SystemExit(EXIT_STOP)
    return drawn + "\n"
