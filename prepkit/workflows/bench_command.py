"""prepkit bench: what the bench has learnt from the ledger, and what goes into it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

import click

from prepkit.console import Chosen, Command, FileName, Group, house_option

F = TypeVar("F", bound=Callable[..., None])


@click.group(
    cls=Group,
    name="bench",
    help="The bench learns from your own batches. They go into the ledger with their readings. "
    "Run charts say which batch was out. Plans take your own losses. Checks tell the bias of an "
    "instrument. Nothing learnt here eases a pressure, a fill, the air or a date."
    "\n\n\b\nExamples:\n"
    "  prepkit bench record recipes/FILE.toml readings.toml --serves 40 --who AB\n"
    "  prepkit bench losses\n"
    "  prepkit bench chart flower-cordial\n"
    "  prepkit bench chart flower-cordial --reading brix --format svg > brix.svg\n"
    '  prepkit bench check refractometer --known "20 Bx" --read "20.4 Bx"\n'
    "  prepkit bench check\n\n"
    'The ledger is named by --ledger, or in the house file: [stock] ledger = "house.db".',
    short_help="Run charts, own losses, checks of instruments, from the ledger.",
)
def command() -> None:
    """The commands of the bench."""


_LEDGER = click.option(
    "--ledger",
    metavar="PLACE",
    type=FileName(),
    help="The ledger: a file or a PostgreSQL address [that of the house file].",
)
_WHO = click.option("--who", metavar="NAME", help="Initials of who did it.")
_JSON = click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")


def _told(name: str, told: str, short: str) -> Callable[[F], click.Command]:
    """A command of the group, with the ledger and the house."""

    def make(run: F) -> click.Command:
        one = command.command(name, cls=Command, help=told, short_help=short)(_LEDGER(run))
        one.params.append(house_option("Folder of the house file."))
        return one

    return make


@_told(
    "record",
    "Write what was read of a recipe's items into the ledger: yield, readings, weights and loss. "
    "The readings are those of plan. A batch that the ledger does not know is added as made.",
    "Measured batches into the ledger.",
)
@click.argument("file", type=FileName())
@click.argument("readings", type=FileName())
@click.option("--serves", metavar="N", help="For how many it was planned [the recipe's own].")
@click.option("--variant", metavar="NAME", help="The variant that was made.")
@click.option("--batch", metavar="NAME", help="The name of the batch [the day of today].")
@_WHO
@_JSON
def record(**said: Chosen) -> None:
    """Measured batches."""
    from prepkit.workflows import bench_work

    bench_work.record(**said)


@_told(
    "chart",
    "A run chart of an item. Each batch is compared with limits made from your own batches. It "
    "says which batch was out and by which rule. A batch is out beyond the limits, or where eight "
    "in a row lie on one side.",
    "Which batch of an item was out, and by which rule.",
)
@click.argument("item")
@click.option(
    "--reading", metavar="NAME", help="brix, acidity, strength or yield [all that were measured]."
)
@click.option(
    "--format",
    "form",
    type=click.Choice(["text", "svg"]),
    default="text",
    show_default=True,
    help="As text with figures, or one reading as a picture.",
)
@_JSON
def chart(**said: Chosen) -> None:
    """Run charts."""
    from prepkit.workflows import bench_work

    bench_work.chart(**said)


@_told(
    "losses",
    "Your own losses by peel, fruit, straining and vessel. Each has its mean, and the range of the "
    "next batch with 95 %. A plan uses the second. Published ranges count until your batches "
    "outweigh them.",
    "Your own losses, and how sure they are.",
)
@_JSON
def losses(**said: Chosen) -> None:
    """Learnt losses."""
    from prepkit.workflows import bench_work

    bench_work.losses(**said)


@_told(
    "check",
    "Write one check of an instrument against what is known, or list what the checks tell. A bias "
    "is told after five checks. It is never taken off an instrument of safety.",
    "Bias of a refractometer, hydrometer, pipette or jigger.",
)
@click.argument("instrument", required=False)
@click.option("--known", metavar="WORDS", help="The known value, such as 20 Bx.")
@click.option("--read", metavar="WORDS", help="The reading, or the amount given, such as 20.4 Bx.")
@_WHO
@_JSON
def check(**said: Chosen) -> None:
    """Checks of instruments."""
    from prepkit.workflows import bench_work

    bench_work.check(**said)
