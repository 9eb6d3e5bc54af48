"""prepkit stock: what stands in the house, by a ledger that only ever grows."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

import click

from prepkit.console import Chosen, Command, FileName, Group, house_option
from prepkit.errors import BadInput

F = TypeVar("F", bound=Callable[..., None])


@click.group(
    cls=Group,
    name="stock",
    help="The stock by place: how much, made when and use by. Every change is one event of a "
    "ledger that is never edited. A wrong one is undone by an event of its own.\n\n\b\n"
    "Examples:\n"
    '  prepkit stock add "2.1 l peel-oleo" --density "1.2 g/ml" --use-by "10 d" --new\n'
    "  prepkit stock list\n"
    '  prepkit stock take "700 ml peel-oleo"\n'
    '  prepkit stock count "1.3 l peel-oleo" --place fridge\n'
    '  prepkit stock discard "200 ml peel-oleo" --reason mould\n'
    "  prepkit stock undo 4\n\n"
    'The ledger is named by --ledger, or in the house file: [stock] ledger = "house.db".',
    short_help="The stock of the house: add, take, count, discard, fill bottles, undo.",
)
def command() -> None:
    """The commands of the stock."""


# the options that several of them take

_LEDGER = click.option(
    "--ledger",
    metavar="PLACE",
    type=FileName(),
    help="The ledger: a file, or postgresql://HOST/NAME [that of the house file].",
)
_SITE = click.option("--site", metavar="NAME", help="The house, of several [that of its file].")
_WHO = click.option("--who", metavar="NAME", help="Initials of who did it.")
_NOTE = click.option("--note", metavar="WORDS", help="A note on it.")
_PLACE = click.option("--place", metavar="NAME", help="Where it stands, such as fridge.")
_BATCH = click.option("--batch", metavar="NAME", help="Which batch [the oldest first].")
_BOTTLE = click.option("--bottle", metavar="NUMBER", help="Which bottle of the batch.")
_AT = click.option("--at", metavar="TIME", help='When it happened, "2026-03-01 18:30" [now].')
_JSON = click.option("--json", "as_json", is_flag=True, help="Print it as JSON.")
_DENSITY = click.option(
    "--density", metavar="WORDS", help="Density, where it is not known: 1.2 g/ml."
)
_MADE_ON = click.option("--made-on", metavar="DAY", help="The day it was made or bought [today].")
_USE_BY = click.option(
    "--use-by", metavar="DAY", help='Its last day: a day, "5 d" after it was made, or none.'
)
_NEW = click.option("--new", is_flag=True, help="Take a name that is not known yet.")
_RECIPE = click.option(
    "--recipe", metavar="FILE", type=FileName(), help="A recipe that has it: name and density."
)
_AMOUNT = click.argument("words", metavar="AMOUNT")
_OUT = click.option(
    "--out", metavar="FILE", type=FileName(), help="Write to this file instead of standard output."
)
_FORCE = click.option("--force", is_flag=True, help="Write over a file that is there already.")


def _options(*options: Any) -> Callable[[F], F]:  # Any: as click declares its decorators
    def put(run: F) -> F:
        for one in reversed((*options, _LEDGER, _SITE)):
            run = one(run)
        return run

    return put


class _OfStock(Command):
    """A command that takes an amount below 0 for the mistake that it is, and for no option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Refuse it, and read the rest."""
        for one in args:
            if re.match(r"[-−]\s*[\d.,]", one):
                raise BadInput(f'"{one}" is below 0; write an amount of 0 or more.', "amount")
        return super().parse_args(ctx, args)


def _told(name: str, told: str) -> Callable[[Callable[..., None]], click.Command]:
    """A command of the group, with the option of the house."""

    def make(run: Callable[..., None]) -> click.Command:
        one = command.command(name, cls=_OfStock, help=told, short_help=told)(run)
        one.params.append(house_option("Folder of the house file."))
        return one

    return make


_WHERE = {  # what does not change the stock by an amount
    "list_": "prepkit.workflows.stock_view.list_",
    "events": "prepkit.workflows.stock_view.events",
    "verify": "prepkit.workflows.stock_view.verify",
    "import_": "prepkit.workflows.stock_view.import_",
    "measure": "prepkit.workflows.stock_measure.measure",
}


def _do(work: str, said: dict[str, Chosen]) -> None:
    """Run a piece of work by its name and print what it says."""
    import importlib

    from prepkit.stdout import put_exact, put_text
    from prepkit.workflows.stock_desk import Said

    where = _WHERE.get(work, f"prepkit.workflows.stock_work.{work}")
    module, _, function = where.rpartition(".")
    text = getattr(importlib.import_module(module), function)(Said(**said))
    (put_exact if said.get("as_json") else put_text)(text)


@_told("list", "The stock, past its date first, and what is below its par.")
@click.argument("words", required=False, default="", metavar="[ITEM]")
@_options(_PLACE, _AT, _JSON)
@click.option("--all-sites", is_flag=True, help="Each item summed over all houses of the ledger.")
def list_(**said: Chosen) -> None:
    """The stock."""
    _do("list_", said)


@_told("add", "Add a batch that was made, or what was bought.")
@_AMOUNT
@_options(_PLACE, _BATCH, _MADE_ON, _USE_BY, _DENSITY, _RECIPE, _NEW, _AT, _WHO, _NOTE)
@click.option("--into", metavar="NAMES", help="Fill it into containers: bottle, or bottle,jar.")
@click.option("--frozen", is_flag=True, help="It is frozen in them.")
@click.option("--charged", is_flag=True, help="It is carbonated or under gas in them.")
@click.option("--still", is_flag=True, help="It is under no gas in them.")
@click.option("--pour", metavar="AMOUNT", help="Say how many of these one holds: 60 ml, 1 jigger.")
def add(**said: Chosen) -> None:
    """A new batch."""
    _do("add", said)


@_told("take", "Take an amount for use: the oldest first, nothing past its date.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _AT, _WHO, _NOTE)
def take(**said: Chosen) -> None:
    """An amount that is used."""
    _do("take", said)


@_told("serve", "Take an amount that was served: the oldest first, nothing past its date.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _AT, _WHO, _NOTE)
def serve(**said: Chosen) -> None:
    """An amount that is served."""
    _do("serve", said)


@_told("discard", "Throw an amount away, with the reason.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _AT, _WHO, _NOTE)
@click.option("--reason", metavar="WORDS", help="Why: mould, spilt, past its date.")
def discard(**said: Chosen) -> None:
    """An amount that is thrown away."""
    _do("discard", said)


@_told("count", "Set what stands to what you counted; the oldest is taken to have gone.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _MADE_ON, _USE_BY, _DENSITY, _RECIPE, _NEW, _AT, _WHO, _NOTE)
def count(**said: Chosen) -> None:
    """What was counted."""
    _do("count", said)


@_told("move", "Move an amount, or all of an item, to another place or house.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _WHO, _NOTE)
@click.option("--to", metavar="PLACE", help="The place it goes to.")
@click.option("--to-site", metavar="NAME", help="The house it is sent to; it must be received.")
def move(**said: Chosen) -> None:
    """An amount that goes elsewhere."""
    _do("move", said)


@_told("receive", "Receive what another house has sent, or a part of it.")
@_AMOUNT
@_options(_PLACE, _BATCH, _BOTTLE, _WHO, _NOTE)
def receive(**said: Chosen) -> None:
    """What arrived."""
    _do("receive", said)


@_told("fill", "Fill bottles, kegs, bags or jars from a batch, with a number for each.")
@click.argument("words", metavar="ITEM")
@_options(_PLACE, _BATCH, _RECIPE, _WHO)
@click.option("--into", metavar="NAMES", required=True, help="Containers: bottle, or bottle,jar.")
@click.option("--frozen", is_flag=True, help="It is frozen in them.")
@click.option("--charged", is_flag=True, help="It is carbonated or under gas in them.")
@click.option("--still", is_flag=True, help="It is under no gas in them.")
@click.option("--pour", metavar="AMOUNT", help="Say how many of these one holds: 60 ml, 1 jigger.")
def fill(**said: Chosen) -> None:
    """A batch into bottles."""
    _do("fill", said)


@_told("measure", "Tell what was read of a batch, its density, or its last day.")
@click.argument("words", metavar="ITEM")
@_options(_BATCH, _BOTTLE, _USE_BY, _DENSITY, _AT, _WHO, _NOTE)
@click.option("--charged", is_flag=True, help="The bottle is carbonated or under gas.")
@click.option("--still", is_flag=True, help="The bottle is under no gas.")
@click.option("--brix", metavar="READING", help="Refractometer reading, such as 61.5 Bx.")
@click.option("--abv", metavar="READING", help="Strength, such as 17 % vol.")
@click.option("--acidity", metavar="READING", help="By titration, as citric acid: 0.9 % w/w.")
@click.option("--ph", metavar="READING", help="pH, a bare number.")
def measure(**said: Any) -> None:
    """What was read of a batch."""
    _do("measure", said)


@_told("events", "The events of the ledger, newest first, with their numbers.")
@click.argument("words", required=False, default="", metavar="[ITEM]")
@_options(_JSON)
@click.option("--most", metavar="N", default="20", help="How many [20].")
def events(**said: Chosen) -> None:
    """What happened."""
    _do("events", said)


@_told("undo", "Take an event back by its number, by an event of its own.")
@click.argument("words", metavar="NUMBER")
@_options(_WHO, _NOTE)
def undo(**said: Chosen) -> None:
    """An event that was wrong."""
    _do("undo", said)


@_told("export", "All events as CSV; also what can still be read of a damaged ledger.")
@_options()
@click.option("--damaged", is_flag=True, help="Read a damaged ledger as far as it goes.")
@_OUT
@_FORCE
def export(out: str | None, force: bool, **said: Chosen) -> None:
    """The ledger as CSV."""
    from prepkit.workflows.out import put
    from prepkit.workflows.stock_desk import Said
    from prepkit.workflows.stock_view import export as exported

    put(exported(Said(**said)), out, force, exact=True)


@_told("import", "Add the events of such a CSV; those that are here already are left out.")
@click.argument("words", metavar="FILE", type=FileName())
@_options()
def import_(**said: Chosen) -> None:
    """A CSV into the ledger."""
    _do("import_", said)


@_told("verify", "Work the stock out again from all events, and compare.")
@_options(_JSON)
@click.option("--rebuild", is_flag=True, help="Then write the stock again from the events.")
def verify(**said: Chosen) -> None:
    """The proof of the stock."""
    _do("verify", said)
