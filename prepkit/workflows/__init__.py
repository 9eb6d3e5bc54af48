"""The commands beside the calculators: what those share that write a document; prepkit card.

A card is of a calculation or of a recipe, as one document.
"""

from __future__ import annotations

import stat
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from prepkit import files, numbers
from prepkit.cli import (
    COMMON,
    EXIT_STOP,
    CalculatorCommand,
    Chosen,
    Command,
    FileName,
    Group,
    calculator_command,
    house_option,
    once,
    units_option,
)
from prepkit.errors import BadInput, FileProblem, named, one_line
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.stdout import put_error, put_exact, put_text

if TYPE_CHECKING:
    from pathlib import Path

    from prepkit.inputs import Json
    from prepkit.render.html import Look


# ---- one word of a list, or one sentence with the nearest ----


def known(said: str, words: Iterable[str], option: str, what: str) -> str:
    """The word of the list that was meant, whatever its case; BadInput with the nearest ones.

    >>> from prepkit.errors import named
    >>> known("Pressure", ("pressure", "acid"), named("kind"), "kind")
    'pressure'
    """
    choices = list(words)
    by_fold = {word.casefold(): word for word in choices}
    tidy = " ".join(said.split()).casefold()
    if tidy in by_fold:
        return by_fold[tidy]
    near = numbers.close(tidy, by_fold, 3)
    if near:
        hint = f"the nearest are {', '.join(by_fold[one] for one in near)}"
    elif len(choices) <= 40:
        hint = f"they are {', '.join(choices)}"
    else:
        hint = "without it all are listed"
    raise BadInput(f'{option} is "{said}", which is no {what}; {hint}.', option)


# ---- a document to standard output or to a file ----

TO_STDOUT = "-"


def put(text: str, out: str | None, force: bool, exact: bool = False, fit: bool = True) -> None:
    """Print the text, or write it to a file; FileProblem where that cannot be done.

    `exact`: it is a document for a program (JSON, CSV, HTML), UTF-8 wherever it goes.
    `fit`: lines that are too long for the terminal are broken.
    """
    if out is None or out == TO_STDOUT:
        if exact:
            put_exact(text)
        else:
            put_text(text, fit)
        return
    from pathlib import Path  # slow to import, and most runs print

    write_whole(Path(out), text, force)
    put_error(f"prepkit: {one_line(out)} written.\n")


def write_whole(path: Path, text: str, force: bool) -> None:
    """Write a file whole, over another only with force; FileProblem where that cannot be done."""
    try:
        before = path.lstat() if path.is_symlink() else path.stat()
    except FileNotFoundError:
        pass
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error
    else:
        if not stat.S_ISREG(before.st_mode):
            raise FileProblem(f"{path} is no plain file; name a new file to write to.")
        if not force:
            raise FileProblem(f"{path} is there already; name another file, or add --force.")

    try:
        files.write(path, text, over=force, errors="replace")
    except (OSError, ValueError) as error:
        raise _cannot(path, error) from error


def _cannot(path: Path, error: Exception) -> FileProblem:
    why = getattr(error, "strerror", None) or str(error)
    return FileProblem(f"{str(path)!r} cannot be written: {why}.")


# ---- what cards and labels share on the command line ----

OUT = (
    click.Option(
        ["--out"],
        metavar="FILE",
        type=FileName(),
        help="Write to this file instead of standard output.",
    ),
    click.Option(["--force"], is_flag=True, help="Write over a file that is there already."),
)
RECIPE = (
    house_option("Folder of the house file [the recipe's]."),
    click.Option(["--variant"], metavar="NAME", help="A variant that the recipe has."),
)
SURE = click.Option(
    ["--sure"],
    metavar="PERCENT",
    help="Chance that nothing runs short, for which more is made [the house's, else 95].",
)


def paper_option() -> click.Option:
    """The paper to print on."""
    return click.Option(
        ["--paper"],
        type=click.Choice(["a4", "letter", "a5", "roll"]),
        default="a4",
        show_default=True,
        help="Paper of the printed page; roll is 80 mm wide.",
    )


def day(said: str | None, option: str) -> date:
    """A date as year, month, day; today where none is said; BadInput otherwise."""
    from prepkit.shared.keeping import read_date

    return date.today() if said is None else read_date(said, option)


def words(said: str | None, option: str) -> str:
    """A line of plain words of a bounded length; BadInput otherwise."""

    tidy = " ".join((said or "").split())
    if said is not None and not tidy:
        raise BadInput(f"{option} is empty; write a name or leave it out.", option)
    if len(tidy) > 200:
        raise BadInput(f"{option} has {len(tidy)} characters; at most 200 are taken.", option)
    return tidy


class PerCalculator(Group):
    """A command with one subcommand for each calculator, its options and some more.

    `special` holds subcommands of its own; `otherwise` names the one that a first word which is
    neither is meant for (a file).
    """

    def __init__(
        self,
        name: str,
        make: Callable[[str, Json], None],
        more: Sequence[click.Parameter],
        special: Mapping[str, click.Command],
        otherwise: str = "",
        **attributes: Any,  # Any: what click's own command takes
    ) -> None:
        super().__init__(name, **attributes)
        self.make, self.more, self.special, self.otherwise = make, tuple(more), special, otherwise

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Its own, then every calculator."""
        return [*self.special, *CALCULATORS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """A calculator's options with those of this command."""
        if cmd_name in self.special:
            return self.special[cmd_name]
        if cmd_name not in CALCULATORS:
            return None
        bare = calculator_command(cmd_name)
        own = [param for param in bare.params if param.name not in (*COMMON, "as_json")]
        taken = {parameter.name for parameter in own}
        more = [parameter for parameter in self.more if parameter.name not in taken]
        return once(
            CalculatorCommand(
                cmd_name,
                callback=lambda **said: self.make(cmd_name, said),
                params=[*own, *more],
                help=bare.help and bare.help.replace("prepkit ", f"prepkit {self.name} ", 1),
                short_help=bare.short_help,
            )
        )

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """A file, or an option, where a subcommand could stand is meant for the one for files."""
        own = (*self.special, *CALCULATORS, *ctx.help_option_names)
        if self.otherwise and args and args[0] not in own:
            args = [self.otherwise, *args]
        return super().parse_args(ctx, args)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """A wrong name is answered with the nearest one."""
        if args and self.get_command(ctx, args[0]) is None:
            near = numbers.close(args[0], self.list_commands(ctx), 2)
            hint = f"did you mean {' or '.join(near)}" if near else f"see prepkit {self.name} -h"
            raise click.UsageError(f'{self.name} takes no "{args[0]}"; {hint}.')
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Subcommands by family, from the index alone."""
        with formatter.section("From a recipe"):
            formatter.write_dl(
                [(name, command.short_help or "") for name, command in self.special.items()]
            )
        for family, title in FAMILIES.items():
            rows = [(n, text) for n, (_, f, text) in CALCULATORS.items() if f == family]
            if rows:
                with formatter.section(title.capitalize()):
                    formatter.write_dl(rows)


def of_calculator(name: str, said: Mapping[str, object]) -> Json:
    """The words of the calculator's own options, without those that were not given."""
    from prepkit.registry import load

    fields = load(name).inputs.specs()
    return {
        key: value
        for key, value in said.items()
        if key in fields and value not in (None, (), False)
    }


# ---- prepkit card ----

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
    from prepkit.numbers import Moment
    from prepkit.render.plan_html import plan_card
    from prepkit.workflows.plan_command import PlanOptions, worked

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

card_command = PerCalculator(
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
