"""What cards and labels share on the command line: one command per calculator, dates, papers."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

import click

from prepkit.cli import COMMON, calculator_command, once
from prepkit.console import FileName, Group, house_option
from prepkit.index import CALCULATORS, FAMILIES
from prepkit.input_help import CalculatorCommand

if TYPE_CHECKING:
    from prepkit.model import Json

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
    from prepkit.shared.keeping_rules import read_date

    return date.today() if said is None else read_date(said, option)


def words(said: str | None, option: str) -> str:
    """A line of plain words of a bounded length; BadInput otherwise."""
    from prepkit.errors import BadInput

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
        own = [one for one in bare.params if one.name not in (*COMMON, "as_json")]
        taken = {one.name for one in own}
        more = [one for one in self.more if one.name not in taken]
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
            from prepkit import spelling

            near = spelling.close(args[0], self.list_commands(ctx), 2)
            hint = f"did you mean {' or '.join(near)}" if near else f"see prepkit {self.name} -h"
            raise click.UsageError(f'{self.name} takes no "{args[0]}"; {hint}.')
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Subcommands by family, from the index alone."""
        with formatter.section("From a recipe"):
            formatter.write_dl([(name, one.short_help or "") for name, one in self.special.items()])
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
