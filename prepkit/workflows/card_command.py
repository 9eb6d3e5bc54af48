"""prepkit card: one calculation, or a whole recipe, as a page to print and pin up."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from prepkit.cli import EXIT_STOP
from prepkit.console import Chosen, Command, FileName, units_option
from prepkit.errors import named
from prepkit.workflows.documents import (
    OUT,
    RECIPE,
    SURE,
    PerCalculator,
    day,
    of_calculator,
    paper_option,
    words,
)

if TYPE_CHECKING:
    from prepkit.model import Json
    from prepkit.render.html import Look

_SHORT = "One page to print: verdict, gauge, figures, what to do and not to do."
_MORE: tuple[click.Parameter, ...] = (
    paper_option(),
    click.Option(["--title"], metavar="WORDS", help="Headline of the card [the calculator]."),
    click.Option(["--date"], metavar="DATE", help="Date on the card, such as 2026-11-25 [today]."),
    units_option("Units of the printed values [the house's, else metric]."),
    click.Option(["--details"], is_flag=True, help="Further sheets with all figures and cautions."),
    click.Option(["--working"], is_flag=True, help="The details, with working and sources."),
    *OUT,
)


def _look(said: dict[str, Chosen]) -> Look:
    from prepkit.render.html import PAPERS, Look

    return Look(
        day(said["date"], named("date")),
        PAPERS[said["paper"]],
        said["units"] or "metric",
        said["working"],
        words(said["title"], named("title")),
        said["details"] or said["working"],
    )


def _of_answer(name: str, said: Json) -> None:
    from prepkit.registry import run
    from prepkit.render.html import answer_card
    from prepkit.workflows.out import put

    look = _look(said)
    answer = run(name, of_calculator(name, said), house=said.get("house"))
    put(answer_card(answer, look), said["out"], said["force"], exact=True)
    if answer.verdict == "stop":
        raise SystemExit(EXIT_STOP)


def _of_plan(
    files: tuple[str, ...],
    serves: str | None,
    service: str | None,
    have: tuple[str, ...],
    measured: str | None,
    item: str | None,
    house: str | None,
    variant: str | None,
    sure: str | None,
    **said: Chosen,
) -> None:
    from prepkit.clock import Moment
    from prepkit.render.plan_html import plan_card
    from prepkit.workflows.out import put
    from prepkit.workflows.plan_work import PlanOptions, worked

    look = _look(said)
    asked = PlanOptions(
        files[0],
        serves,
        house,
        variant,
        service,
        have=have,
        measured=measured,
        units=look.system,
        units_chosen=said["units"] is not None,
        sure=sure,
        more=files[1:],
    )
    found = worked(asked, files[0])
    at = None if service is None else Moment.read(service, named("service"))
    card = plan_card(found.plan, replace(look, system=found.units), at, item, found.said)
    put(card, said["out"], said["force"], exact=True)
    if found.verdict == "stop":
        raise SystemExit(EXIT_STOP)


_PLAN = Command(
    "plan",
    callback=_of_plan,
    params=[
        click.Argument(["files"], metavar="FILE...", nargs=-1, required=True, type=FileName()),
        click.Option(
            ["--serves"],
            metavar="N",
            help="How many of each serve [the recipe's own]. By drink: Ledger=60, Soda=35.",
        ),
        click.Option(
            ["--service"],
            metavar="TIME",
            help="When it is served, such as 18:00: times of day instead of times before service.",
        ),
        click.Option(
            ["--from", "have"],
            metavar="WORDS",
            multiple=True,
            help="Stock of an ingredient or item, such as 3.2 kg grapefruit juice. Makes as many "
            "serves as it allows.",
        ),
        click.Option(
            ["--measured"],
            metavar="FILE",
            type=FileName(),
            help="Readings of what was made: what drifted, what to add, and the rest planned "
            "again.",
        ),
        click.Option(["--item"], metavar="ID", help="One item of the recipe alone [all of them]."),
        *RECIPE,
        SURE,
        *_MORE,
    ],
    help="A whole recipe, or one item of it, on one card, for any number of serves."
    "\n\n\b\nExample:\n"
    "  prepkit card plan recipes/FILE.toml --serves 40 --out card.html",
    short_help="A whole recipe, for any number of serves.",
)

command = PerCalculator(
    "card",
    _of_answer,
    _MORE,
    {"plan": _PLAN},
    help=f"{_SHORT}\n\nIt is one HTML file without outside parts; print it from any browser. Exit "
    "status 3 where the verdict is stop (the card says so), 4 where the file cannot be written."
    "\n\n\b\nExample:\n"
    '  prepkit card siphon --contents "500 ml cream 35 %" --vessel-volume "0.78 l" \\\n'
    '    --max-fill "0.5 l" --rated "17 bar" --gas n2o --chargers 1 --temperature "5 C" \\\n'
    "    --paper a5 --out siphon.html",
    short_help=_SHORT,
)
