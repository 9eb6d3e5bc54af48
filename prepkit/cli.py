"""The command line: options made from each calculator's Inputs, no formula and no safety sentence.

Only click and the index are imported at start, so that --help stays fast.
"""

from __future__ import annotations

import gc
import importlib
import os
import sys
from typing import TYPE_CHECKING, Any

import click

from prepkit import __version__, width
from prepkit.console import (
    HOUSE,
    JURISDICTION,
    UNITS,
    Group,
    house_option,
    units_option,
)
from prepkit.errors import BadInput, PrepkitError, Stopped, one_line
from prepkit.index import CALCULATORS, FAMILIES, WORKFLOWS
from prepkit.input_help import CalculatorCommand, InputOption
from prepkit.stdout import put_error, put_exact, put_text

if TYPE_CHECKING:
    from prepkit.model import Answer
    from prepkit.solving import Solved

EXIT_STOP = 3
# what click raises for a command of commands without words; older ones print the help themselves
_NO_WORDS: Any = getattr(click.exceptions, "NoArgsIsHelpError", ())
_ENDS = (".", "?", "!")
# no validation plugin is used here, and looking for one reads every installed package's metadata
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
COMMON = ("json", "full", "working", "quiet", "units", "solve")


class Commands(Group):
    """All commands by the index; a command's module is imported when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Every command in the index's order."""
        return [*CALCULATORS, *WORKFLOWS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of a name, built from its Inputs or imported from its module."""
        if cmd_name in CALCULATORS:
            return once(calculator_command(cmd_name))
        if cmd_name in WORKFLOWS:
            module, _, name = WORKFLOWS[cmd_name][0].rpartition(".")
            command: click.Command = getattr(importlib.import_module(module), name)
            return once(command)
        return None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """A wrong name is answered with the nearest one."""
        name = args[0] if args else ""
        if name and self.get_command(ctx, name) is None:
            from prepkit import spelling

            near = spelling.close(name, self.list_commands(ctx), 2)
            hint = f"did you mean {' or '.join(near)}" if near else "see prepkit --help"
            raise click.UsageError(f'there is no "{name}"; {hint}.')
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Commands by family, from the index alone."""
        for family, title in FAMILIES.items():
            rows = [(n, text) for n, (_, f, text) in CALCULATORS.items() if f == family]
            if rows:
                with formatter.section(title.capitalize()):
                    formatter.write_dl(rows)
        rows = [(name, text) for name, (_, text) in WORKFLOWS.items()]
        if rows:
            with formatter.section("From recipe to service"):
                formatter.write_dl(rows)


def once(command: click.Command) -> click.Command:
    """The command, with an option that takes one value refused where it is given twice.

    click alone keeps the last of them, and what was typed first is lost without a word.
    """
    if isinstance(command, click.Group):
        for one in command.commands.values():
            once(one)
    made = command.make_parser

    def parser(ctx: click.Context) -> Any:
        found = made(ctx)
        parse = found.parse_args

        def parse_args(args: list[str]) -> Any:
            opts, rest, order = parse(args)
            for param in dict.fromkeys(order):
                times = order.count(param)
                if times < 2 or not isinstance(param, click.Option) or param.multiple:
                    continue
                if param.is_flag and not param.secondary_opts:
                    continue  # twice yes is yes
                said = {2: "twice"}.get(times, f"{times} times")
                raise click.UsageError(
                    f"{param.opts[0]} is given {said}, and it takes one. Keep the one that you "
                    f"mean."
                )
            return opts, rest, order

        vars(found)["parse_args"] = parse_args
        return found

    if "make_parser" not in vars(command):
        vars(command)["make_parser"] = parser  # click has no other hook for it
    return command


def common_options(
    command: click.Command, full: str = "Print every figure, table and caution."
) -> click.Command:
    """The options that every calculator takes; `full` says what --full prints."""
    command.params += [
        click.Option(["--json", "as_json"], is_flag=True, help="Print the answer as JSON."),
        click.Option(["--full"], is_flag=True, help=full),
        click.Option(["--working"], is_flag=True, help="Add the steps and their sources."),
        click.Option(["--quiet"], is_flag=True, help="Print the verdict line alone."),
        units_option("Units of the printed answer (JSON is always metric).", default="metric"),
    ]
    return command


def calculator_command(name: str) -> click.Command:
    """A click command whose options are the calculator's inputs."""
    from prepkit.registry import load

    calculator = load(name)
    specs = calculator.inputs.specs()
    first = [one for _, group in calculator.inputs.groups for one in group.split()]
    names = dict.fromkeys((*first, *specs))
    params: list[click.Parameter] = [InputOption(field, specs[field]) for field in names]
    command = CalculatorCommand(
        name,
        callback=lambda **said: run_calculator(name, said),
        params=params,
        help=f"{calculator.summary}\n\n\b\nExample:\n  {calculator.example}",
        short_help=calculator.summary,
    )
    command.params.append(house_option("Folder of the house file: own ingredients, measures."))
    command.params.append(
        click.Option(
            ["--solve"],
            metavar="TARGET",
            help='The input for an output: "water: strength = 20 % vol".',
        )
    )
    return common_options(command)


def run_calculator(name: str, said: dict[str, Any]) -> None:
    """Words in, answer out; exit status 3 where the verdict is stop."""
    from prepkit.registry import run

    as_json, working, units = said.pop("as_json"), said.pop("working"), said.pop("units")
    quiet, place, full = said.pop("quiet"), said.pop("house"), said.pop("full")
    one_form(as_json=as_json, quiet=quiet)
    one_form(full=full, quiet=quiet)
    given = {key: value for key, value in said.items() if value not in (None, (), False)}
    wanted = given.pop("solve", None)
    solved = None if wanted is None else _solved(name, wanted, given, place)
    answer = run(name, given, house=place) if solved is None else solved.answer
    if as_json:
        from prepkit.render.json import text

        put_exact(text(answer if solved is None else solved))
    elif quiet:
        from prepkit.render.prose import answer_in
        from prepkit.render.text import verdict_line

        deciding = answer_in(answer, units).result.deciding
        put_text(f"{verdict_line(answer.verdict, deciding)}\n")
    else:
        if solved is not None:
            put_text("\n".join(solved.sentences(units)) + "\n\n")
        _print(answer, full, working, units)
    if answer.verdict == "stop":
        raise SystemExit(EXIT_STOP)


def _solved(name: str, wanted: str, given: dict[str, Any], place: str | None) -> Solved:
    from prepkit import house_place
    from prepkit.solving import solve

    return solve(name, wanted, given, house_place.pantry(place))


def _print(answer: Answer, full: bool, working: bool, units: str) -> None:
    """An answer for a person to read: one screen, or all of it."""
    if full:
        from prepkit.render.text import answer_text

        put_text(answer_text(answer, working, units))
        return
    from prepkit.render.short import short_text
    from prepkit.render.text import working_text

    sums = f"\n{working_text(answer)}\n" if working else ""
    put_text(f"{short_text(answer, units)}{sums}")


def one_form(**asked: Any) -> None:
    """Refuse two forms of one answer."""
    chosen = [f"--{name.removeprefix('as_')}" for name, value in asked.items() if value]
    if len(chosen) > 1:
        raise BadInput(f"{chosen[0]} does not go with {chosen[1]}; give one of them.")


def _version(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    if not value or ctx.resilient_parsing:
        return
    if ctx.params.get("as_json"):
        import json

        from prepkit.formats import VERSIONS

        said = {"prepkit": __version__, "formats": dict(VERSIONS)}
        put_exact(json.dumps(said, indent=2) + "\n")
    else:
        put_text(f"prepkit, version {__version__}\n")
    ctx.exit()


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="Exit status: 0 clear or care, 2 bad input, 3 the verdict is stop, 4 a file problem. "
    f"Environment: {UNITS}, {HOUSE} and {JURISDICTION} stand for --units, --house and "
    "--jurisdiction where these are not given.",
)
@click.option(
    "--version",
    is_flag=True,
    expose_value=False,
    callback=_version,
    help="Show the version and exit; with --json those of the formats too.",
)
@click.option("--json", "as_json", is_flag=True, is_eager=True, help="With --version: as JSON.")
def cli(as_json: bool) -> None:
    """Drinks prep worked out like a laboratory: yields, Brix, acidity, strength, siphon loads.

    Amounts are words: "700 ml spirit 43 %", "4 C", "16 bar". Every answer carries its cautions;
    the vessel's manual, the gas supplier and the local code decide, not this tool.
    """
    if as_json:
        raise BadInput("--json stands after the name of a command; before it, only with --version.")


def main(args: list[str] | None = None) -> None:
    """Run the command line; every expected error is one sentence, or JSON where that is asked."""
    told = sys.argv[1:] if args is None else args
    # a run is short and leaves few cycles: looking for them is a tenth of a calculation
    gc.set_threshold(100_000)
    width.measure()
    as_json = "--json" in told
    try:
        status = cli.main(args=args, prog_name="prepkit", standalone_mode=False)
    except click.UsageError as error:
        if isinstance(error, _NO_WORDS):  # a command of commands alone: its help, as it is
            put_error(f"{error.format_message()}\n")
        else:
            said = one_line(error.format_message())
            param = getattr(error, "param", None)
            field = getattr(param, "name", None)
            _tell(as_json, BadInput(said if said.endswith(_ENDS) else f"{said}.", field))
        sys.exit(error.exit_code)
    except click.Abort:
        _tell(as_json, Stopped("stopped."))
        sys.exit(2)
    except PrepkitError as error:
        _tell(as_json, error)
        sys.exit(error.exit_status)
    sys.exit(status if isinstance(status, int) else 0)


def _tell(as_json: bool, error: PrepkitError) -> None:
    """An expected error on standard error: a sentence, or an object with its code."""
    if as_json:
        import json

        put_error(json.dumps(error.to_dict(), ensure_ascii=True) + "\n")
    else:
        put_error(f"prepkit: {error.message}\n")
