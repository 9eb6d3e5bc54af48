"""What all commands share on the command line: how they print help, and what completes.

A shell completes files, folders, choices and the names of ingredients by the types below. None of
them reads or refuses anything: a wrong word is answered by the command in its own sentence.
"""

from __future__ import annotations

import os
import re
from typing import TYPE_CHECKING, Any

import click

from prepkit.errors import BadInput
from prepkit.patterns import later
from prepkit.stdout import put_text

if TYPE_CHECKING:
    from click.shell_completion import CompletionItem

    _Choice = click.Choice[str]
    _Words = click.ParamType[str]
else:
    _Choice, _Words = click.Choice, click.ParamType

Chosen = Any  # Any: what click makes of an option, by the option's own kind
UNITS, HOUSE, JURISDICTION = "PREPKIT_UNITS", "PREPKIT_HOUSE", "PREPKIT_JURISDICTION"
# what stands between a number and a name, as far as it helps to complete the name
_AFTER_NUMBER = later(
    r"(?:fl oz|imp fl oz|[kmµ]?g|oz|lb|[mcd]?l|cups?|tbsp|tsp|dash(?:es)?|drops?|barspoons?|parts?)"
)
_AMOUNT = later(rf"\s*[\d.,/½¼¾]+(?:\s?{_AFTER_NUMBER.pattern}(?=\s))?\s+", re.IGNORECASE)


def _show_help(ctx: click.Context, param: click.Parameter, value: bool) -> None:
    if value and not ctx.resilient_parsing:
        put_text(f"{ctx.get_help()}\n")
        ctx.exit()


class Command(click.Command):
    """A command that prints its help by the one writer of standard output.

    An error names the environment variable that the words came from.
    """

    def invoke(self, ctx: click.Context) -> Any:  # as click declares it
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

    def convert(
        self,
        value: str | os.PathLike[str],
        param: click.Parameter | None,
        ctx: click.Context | None,
    ) -> Any:  # as click declares it
        """The words as they stand."""
        return value


class FolderName(FileName):
    """The name of a folder: completed by the shell, judged where it is opened."""

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Let the shell complete folders only."""
        from click.shell_completion import CompletionItem

        return [CompletionItem(incomplete, type="dir")]


class OneOf(_Choice):
    """One word of a list: completed by the shell, judged by the calculator in its own words."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The words as they stand."""
        return value


class IngredientWords(_Words):
    """An amount and a name, or a name alone: the names of the pantry are completed."""

    name = "words"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
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
        return [CompletionItem(head + one) for one in names() if one.startswith(begun)]


def names() -> list[str]:
    """Every name of an ingredient in the pantry, other spellings too, in order."""
    from prepkit import blocks

    found: set[str] = set()
    for path in blocks.names("pantry"):
        for entry in blocks.blocks(path, "ingredient"):
            found |= {entry["name"], *entry.get("also", ())}
    return sorted(found)


def units_option(told: str, **more: Any) -> click.Option:
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
