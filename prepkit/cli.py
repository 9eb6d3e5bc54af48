"""The command line: commands by the index, options made from each calculator's Inputs.

A shell completes files, folders, choices and the names of ingredients by the types below. None of
them reads or refuses anything: a wrong word is answered by the command in its own sentence.

An option takes one line where it can: its name, the kind of its value, its label, an example.
`--help --full` prints the whole text of every input.

Only click and the index are imported at start, so that --help stays fast.
"""

from __future__ import annotations

import atexit
import gc
import importlib
import os
import re
import sys
from typing import TYPE_CHECKING, Any

if gc.isenabled():  # a run is short and leaves few cycles: looking for them is a tenth of it
    gc.set_threshold(100_000)

import click

from prepkit import __version__, stdout
from prepkit.errors import (
    BadInput,
    PrepkitError,
    Stopped,
    by_option,
    in_full,
    later,
    named,
    one_line,
)
from prepkit.index import CALCULATORS, FAMILIES, WORKFLOWS
from prepkit.stdout import put_error, put_exact, put_text

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    from prepkit.inputs import Spec
    from prepkit.model import Answer
    from prepkit.solving import Solved


# ---- what all commands share on the command line ----

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    _Choice = click.Choice[str]
    _Words = click.ParamType[str]
else:
    _Choice, _Words = click.Choice, click.ParamType

Chosen = Any  # Any: what click makes of an option, by the option's own kind
UNITS, HOUSE, JURISDICTION = "PREPKIT_UNITS", "PREPKIT_HOUSE", "PREPKIT_JURISDICTION"
# what stands between a number and a name, as far as it helps to complete the name
_AFTER_NUMBER = (
    r"(?:fl oz|imp fl oz|[kmµ]?g|oz|lb|[mcd]?l|cups?|tbsp|tsp|dash(?:es)?|drops?|barspoons?|parts?)"
)
_AMOUNT = later(rf"\s*[\d.,/½¼¾]+(?:\s?{_AFTER_NUMBER}(?=\s))?\s+", re.IGNORECASE)


def _show_help(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    if value and not ctx.resilient_parsing:
        put_text(f"{ctx.get_help()}\n")
        ctx.exit()


class Command(click.Command):
    """A command that prints its help by the one writer of standard output.

    An error names the environment variable that the words came from.
    """

    def invoke(self, ctx: click.Context) -> Chosen:
        """Run the command."""
        try:
            return super().invoke(ctx)
        except BadInput as error:
            by = ctx.get_parameter_source(error.field) if error.field else None
            if error.field == "jurisdiction" and by is click.core.ParameterSource.ENVIRONMENT:
                error.wording = f"{error.wording} It comes from {JURISDICTION}."
                error.args = (error.message,)
            raise

    def get_help_option(self, ctx: click.Context) -> click.Option | None:
        """The help option, printed by our writer."""
        found = super().get_help_option(ctx)
        if found is not None:
            found.callback = _show_help
        return found


class Group(Command, click.Group):
    """A command of commands, the same."""


class FileName(click.Path):
    """The name of a file: completed by the shell, judged where it is opened."""

    called = "a file"

    def convert(
        self,
        value: str | os.PathLike[str],
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Chosen:
        """The words as they stand; BadInput for none, which would be the folder one is in."""
        if not str(value).strip():
            field = "" if param is None or param.name is None else param.name
            option = named(field)
            if isinstance(param, click.Argument):
                option = param.human_readable_name.strip("[].")  # FILE, which has no dashes
            raise BadInput(f"{option} is empty; write the name of {self.called}.", field)
        return value


class FolderName(FileName):
    """The name of a folder: completed by the shell, judged where it is opened."""

    called = "a folder"

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Let the shell complete folders only."""
        from click.shell_completion import CompletionItem

        return [CompletionItem(incomplete, type="dir")]


class WholeNumber(click.IntRange):
    """A whole number within its limits; anything else is refused in one sentence of ours."""

    def convert(
        self, value: Chosen, param: click.Parameter | None, ctx: click.Context | None
    ) -> Chosen:
        """The number; BadInput with the value and its limits for any other words."""
        from prepkit import numbers

        least, most = int(self.min or 0), int(self.max or 0)
        found = numbers.whole(str(value), least, most)
        if found is None:
            field = "" if param is None or param.name is None else param.name
            raise BadInput(
                f'{named(field)} is "{str(value)[:40]}"; it must be a whole number from {least} to '
                f"{most}.",
                field,
            )
        return found


class OneOf(_Choice):
    """One word of a list: completed by the shell, judged by the calculator in its own words."""

    def convert(
        self, value: Chosen, param: click.Parameter | None, ctx: click.Context | None
    ) -> Chosen:
        """The words as they stand."""
        return value


class IngredientWords(_Words):
    """An amount and a name, or a name alone: the names of the pantry are completed."""

    name = "words"

    def convert(
        self, value: Chosen, param: click.Parameter | None, ctx: click.Context | None
    ) -> Chosen:
        """The words as they stand."""
        return value

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """The words so far with each name that goes on from them."""
        from click.shell_completion import CompletionItem

        amount = _AMOUNT.match(incomplete)
        head = amount[0] if amount else ""
        begun = incomplete[len(head) :].lower()
        if not begun and not head:
            return []
        return [CompletionItem(head + name) for name in names() if name.startswith(begun)]


def names() -> list[str]:
    """Every name of an ingredient in the pantry, other spellings too, in order."""
    from prepkit import blocks

    found: set[str] = set()
    for path in blocks.names("pantry"):
        for entry in blocks.blocks(path, "ingredient"):
            found |= {entry["name"], *entry.get("also", ())}
    return sorted(found)


def units_option(told: str, **more: Chosen) -> click.Option:
    """Metric or US units, by option or environment."""
    return click.Option(
        ["--units"], type=click.Choice(["metric", "us"]), envvar=UNITS, show_envvar=True, help=told,
        **more,
    )  # fmt: skip


def house_option(told: str) -> click.Option:
    """The folder of the house file, by option or environment."""
    return click.Option(
        ["--house"], metavar="DIR", type=FolderName(), envvar=HOUSE, show_envvar=True, help=told
    )


# ---- the options of a calculator and their help ----

OUTPUT = "Output"
_BETWEEN = 2  # letters between two columns
_FULL = "--full"


class InputOption(click.Option):
    """The option of one input; its help is written when it is asked for."""

    def __init__(self, name: str, spec: Spec) -> None:
        law = name == "jurisdiction"
        self.spec = spec
        super().__init__(
            ["--" + name.replace("_", "-"), name],
            multiple=spec.several or spec.kind in ("parts", "many words"),
            is_flag=True if spec.kind == "flag" else None,
            metavar=None if spec.kind == "flag" else spec.value_kind.upper(),
            type=_completed(spec),
            envvar=JURISDICTION if law else None,
            show_envvar=law,
        )

    def get_help_record(self, ctx: click.Context) -> tuple[str, str]:
        """The option with the whole text of its input."""
        label = f"{self.spec.label[:1].upper()}{self.spec.label[1:]}"
        env = f"  [env var: {JURISDICTION}]" if self.show_envvar else ""
        text = by_option(f"{label}. {self.spec.help}{_taken(self.spec)}")
        return self.short_record()[0], f"{text}{env}"

    def short_record(self) -> tuple[str, str]:
        """The option with its label and an example, as much as fits on one line."""
        names = " ".join(filter(None, (self.opts[0], self.metavar)))
        said = [self.spec.label[:1].upper() + self.spec.label[1:]]
        if self.spec.choices:
            said.append(", ".join(self.spec.choices))
        elif self.spec.example:
            said.append(f'"{self.spec.example}"')
        elif self.is_flag:
            said.append(self.spec.help)
        needed = " (needed)" if self.spec.required else ""
        return names, by_option(": ".join(said) + needed)


class CalculatorCommand(Command):
    """A command whose help shows the inputs of a calculator by their groups."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Note whether the help is wanted in full."""
        ctx.meta[_FULL] = _FULL in args
        return super().parse_args(ctx, args)

    def format_options(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The inputs by group, most needed first; then what concerns the output."""
        full = bool(ctx.meta.get(_FULL))
        groups: dict[str, list[tuple[str, str]]] = {}
        others: list[tuple[str, str]] = []
        for param in self.get_params(ctx):
            if isinstance(param, InputOption):
                record = param.get_help_record(ctx) if full else param.short_record()
                groups.setdefault(param.spec.group, []).append(record)
            elif found := param.get_help_record(ctx):
                others.append(found)
        wide = max(len(name) for rows in (*groups.values(), others) for name, _ in rows)
        for title, rows in {**groups, OUTPUT: others}.items():
            if title == OUTPUT and not full:
                formatter.write_paragraph()
                formatter.write_text(
                    f"Each of these in full: prepkit {ctx.info_name} --help --full"
                )
            with formatter.section(title):
                formatter.write_dl(
                    [(name.ljust(wide), text) for name, text in rows], wide + _BETWEEN, _BETWEEN
                )


def _taken(spec: Spec) -> str:
    """What an input takes, in brackets: needed, unit, range, choices, an example."""
    said = ["needed"] if spec.required else []
    if spec.units:
        said.append(" or ".join(spec.units))
    low = f"from {in_full(spec.low)}" if spec.low is not None else ""
    high = f"to {in_full(spec.high)}" if spec.high is not None else ""
    said += [" ".join(filter(None, (low, high))), ", ".join(spec.choices)]
    if spec.example and not spec.choices:
        said.append(f'such as "{spec.example}"')
    said = list(filter(None, said))
    return f" [{'; '.join(said)}]" if said else ""


def _completed(spec: Spec) -> click.ParamType[Chosen] | None:
    """What a shell completes for an input; it is read by the calculator."""
    if spec.kind == "choice":
        return OneOf(spec.choices)
    if spec.kind in ("part", "parts", "ingredient", "ingredients"):
        return IngredientWords()
    return None


# ---- the command line ----

EXIT_STOP = 3
# what click raises for a command of commands without words; older ones print the help themselves
_NO_WORDS: Chosen = getattr(click.exceptions, "NoArgsIsHelpError", ())
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
            from prepkit import numbers

            near = numbers.close(name, self.list_commands(ctx), 2)
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

    def parser(ctx: click.Context) -> Chosen:
        found = made(ctx)
        parse = found.parse_args

        def parse_args(args: list[str]) -> Chosen:
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
    first = [word for _, group in calculator.inputs.groups for word in group.split()]
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


def run_calculator(name: str, said: dict[str, Chosen]) -> None:
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
        from prepkit.render import as_json

        put_exact(as_json(answer if solved is None else solved))
    elif quiet:
        from prepkit.render.text import answer_in, verdict_line

        deciding = answer_in(answer, units).result.deciding
        put_text(f"{verdict_line(answer.verdict, deciding)}\n")
    else:
        if solved is not None:
            put_text("\n".join(solved.sentences(units)) + "\n\n")
        _print(answer, full, working, units)
    if answer.verdict == "stop":
        raise SystemExit(EXIT_STOP)


def _solved(name: str, wanted: str, given: dict[str, Chosen], place: str | None) -> Solved:
    from prepkit import registry
    from prepkit.solving import solve

    return solve(name, wanted, given, registry.house_pantry(place))


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


def one_form(**asked: Chosen) -> None:
    """Refuse two forms of one answer."""
    chosen = [f"--{name.removeprefix('as_')}" for name, value in asked.items() if value]
    if len(chosen) > 1:
        raise BadInput(f"{chosen[0]} does not go with {chosen[1]}; give one of them.")


def _version(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    if not value or ctx.resilient_parsing:
        return
    if ctx.params.get("as_json"):
        import json

        from prepkit.index import VERSIONS

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
    # looking once more through everything at the end is a tenth of a plan
    atexit.register(gc.freeze)
    stdout.measure()
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
