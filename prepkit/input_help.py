"""The options of a calculator and their help: what most people need first, then by groups.

An option takes one line where it can: its name, the kind of its value, its label, an example.
`--help --full` prints the whole text of every input.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from prepkit.console import JURISDICTION, Command, IngredientWords, OneOf
from prepkit.errors import by_option, in_full

if TYPE_CHECKING:
    from prepkit.spec import Spec

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
        for one in self.get_params(ctx):
            if isinstance(one, InputOption):
                record = one.get_help_record(ctx) if full else one.short_record()
                groups.setdefault(one.spec.group, []).append(record)
            elif found := one.get_help_record(ctx):
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


def _completed(spec: Spec) -> click.ParamType[Any] | None:
    """What a shell completes for an input; it is read by the calculator."""
    if spec.kind == "choice":
        return OneOf(spec.choices)
    if spec.kind in ("part", "parts", "ingredient", "ingredients"):
        return IngredientWords()
    return None
