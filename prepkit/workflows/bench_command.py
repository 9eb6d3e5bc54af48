"""prepkit bench: readings into the ledger, charts, losses and checks of instruments."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import TypeVar

import click

from prepkit import learn
from prepkit.cli import Chosen, Command, FileName, Group, house_option
from prepkit.errors import BadInput, named
from prepkit.learn import using
from prepkit.learn.using import INSTRUMENTS, KnownLoss
from prepkit.plan.prepare import LABELS
from prepkit.render.charts import chart_svg
from prepkit.render.charts import chart_text as run_chart_chart_text
from prepkit.stdout import put_exact, put_text
from prepkit.stock import Ledger
from prepkit.stock.events import NO_DATE, Event
from prepkit.units import parse_quantity
from prepkit.workflows.stock_work import Said, desk, json_of

# ---- what `prepkit bench` does ----


@contextmanager
def _ledger(place: str | None, house: str | None, create: bool = False) -> Iterator[_At]:
    """The ledger that was named, or that of the house; BadInput where there is none."""
    at = desk(Said(ledger=place, house=house))
    with at.open(create=create) as ledger:
        yield _At(ledger, at.site)


class _At:
    """An open ledger, and the site that is meant in it."""

    def __init__(self, ledger: Ledger, site: str) -> None:
        self.ledger, self.site = ledger, site

    def batches(self) -> list[learn.LearntBatch]:
        """The measured batches of the site."""
        return learn.read_batches(self.ledger.measured(site=self.site))


def _put_json(said: object) -> None:
    put_exact(json_of(said))


def record_batch(
    file: str,
    readings: str,
    serves: str | None,
    variant: str | None,
    batch: str | None,
    who: str | None,
    as_json: bool,
    ledger: str | None,
    house: str | None,
) -> None:
    """Measured batches into the ledger."""
    from prepkit.plan.files import whole_serves
    from prepkit.plan.plan import load_recipe, make_plan
    from prepkit.plan.recipe_file import load_readings

    recipe = load_recipe(file, house=house, variant=variant)
    wanted = None if serves is None else whole_serves(serves, named("serves"))
    plan = make_plan(recipe, wanted)
    read = load_readings(readings, recipe.items)
    stock = recipe.house.stock
    name = " ".join((batch or date.today().isoformat()).split())
    with _ledger(ledger or stock.ledger, house, create=True) as at:
        events = learn.record(
            at.ledger, plan, read, batch=name, file=readings, site=stock.site,
            place=stock.place, who=who or "",
        )  # fmt: skip
    told = [event for event in events if event.kind == "measured"]
    if as_json:
        _put_json(
            {"batch": name,
             "measured": [{"item": event.item, "data": dict(event.data)} for event in told]}
        )  # fmt: skip
        return
    if not told:
        put_text(f"Batch {name} stands in the ledger just so already.\n")
        return
    items = ", ".join(event.item for event in told)
    out = [f"Recorded batch {name}: {items}."]
    for event in told:
        loss = event.data.get("loss")
        kind = next((kind for kind in LABELS if kind == event.data.get("loss_kind")), None)
        if isinstance(loss, float) and kind is not None:
            label = LABELS[kind].format(of=event.data.get("loss_of"))
            out.append(f"  {label}: {loss:.3g} {event.data.get('loss_unit')}")
    for event in events:
        if event.kind == "made":
            out.append(f"  {_until(event)}")
    if name[:10] == date.today().isoformat():
        out.append("It counts from tomorrow on, so that the sheets of today stay as they are.")
    put_text("\n".join(out) + "\n")


def _until(event: Event) -> str:
    """Until when a new batch may be used, or how to tell it."""
    if event.use_by is None:
        return (
            f"{event.item}: no rule knows its last day, so no plan uses it. Tell it: "
            f'prepkit stock measure {event.item} --use-by "5 d"'
        )
    if event.use_by == NO_DATE:
        return f"{event.item}: needs no last day"
    return f"{event.item}: use by {event.use_by}, by the keeping rules or sooner by its recipe"


def chart_text(
    item: str,
    reading: str | None,
    form: str,
    as_json: bool,
    ledger: str | None,
    house: str | None,
) -> None:
    """Run charts of an item."""
    from prepkit.workflows import known

    if reading is not None:
        reading = known(reading, using.READINGS, named("reading"), "reading")
    with _ledger(ledger, house) as at:
        measured = at.batches()
    items = dict.fromkeys(batch.item for batch in measured if not batch.item.startswith(using.ITEM))
    name = known(item, items, "ITEM", "item that was measured") if items else item
    found = [
        run_chart
        for run_chart in using.charts(measured, name)
        if reading is None or run_chart.reading == reading
    ]
    if not found:
        what = reading or "reading"
        raise BadInput(
            f"no {what} of {name} is in the ledger. Record batches first: prepkit bench record.",
            "item",
        )
    if as_json:
        _put_json({"item": name, "charts": [run_chart.to_dict() for run_chart in found]})
    elif form == "svg":
        if len(found) > 1:
            have = ", ".join(run_chart.reading for run_chart in found)
            raise BadInput(
                f"a picture is of one reading; add {named('reading')} with one of {have}.",
                "reading",
            )
        put_exact(chart_svg(found[0]) + "\n")
    else:
        put_text("\n".join(run_chart_chart_text(run_chart) for run_chart in found))


def losses_text(as_json: bool, ledger: str | None, house: str | None) -> None:
    """What was learnt of losses."""
    with _ledger(ledger, house) as at:
        found = list(using.known(at.batches()).values())
    if as_json:
        _put_json({"losses": [_loss_said(loss) for loss in found]})
    elif not found:
        put_text(
            "No loss was measured yet. Record batches with their mass: prepkit bench record.\n"
        )
    else:
        put_text("\n".join(line for loss in found for line in loss_lines(loss)) + "\n")


def _loss_said(one: KnownLoss) -> dict[str, object]:
    return {
        "kind": one.loss.kind, "of": one.loss.of, "unit": one.loss.unit,
        "batches": len(one.values), "mean": one.mean()._asdict(),
        "next_batch": one.interval()._asdict(), "upper": one.upper(),
        "usual": list(one.loss.usual), "practice": one.loss.practice, "others": one.others,
    }  # fmt: skip


def loss_lines(known_loss: KnownLoss) -> list[str]:
    """What is known of one loss, in two lines: the mean, then how sure it is."""
    mean, after = known_loss.mean(), known_loss.interval()
    digits = 0 if after.high - after.low >= 4 else 1 if after.high - after.low >= 0.4 else 2

    def ends(low: float, high: float) -> str:
        return f"{low:.{digits}f} to {high:.{digits}f} {known_loss.loss.unit}"

    count = "1 batch" if len(known_loss.values) == 1 else f"{len(known_loss.values)} batches"
    usual = "usual by practice" if known_loss.loss.practice else "published"
    low, high = known_loss.loss.usual
    return [
        f"{LABELS[known_loss.loss.kind].format(of=known_loss.loss.of)}: {mean.middle:.{digits}f} "
        f"{known_loss.loss.unit}, {count} here"
        + (f", drawn toward {known_loss.others} others" if known_loss.others else ""),
        f"  next batch {ends(after.low, after.high)}, mean {ends(mean.low, mean.high)}, "
        f"{usual} {low:.3g} to {high:.3g} {known_loss.loss.unit}",
    ]


def check_instrument(
    instrument: str | None,
    known: str | None,
    read: str | None,
    who: str | None,
    as_json: bool,
    ledger: str | None,
    house: str | None,
) -> None:
    """One check into the ledger, or what all of them tell."""
    given = [name for name, said in (("known", known), ("read", read)) if said is not None]
    if instrument is None and given:
        raise BadInput(
            f"which instrument? Name it, such as {next(iter(INSTRUMENTS))}.", "instrument"
        )
    if instrument is not None:
        name = using.instrument(instrument)
        of = INSTRUMENTS[name]
        if known is None or read is None:
            lacking = "known" if known is None else "read"
            raise BadInput(
                f"{named(lacking)} is missing; write for example {named(lacking, of.example)}.",
                lacking,
            )
        true, seen = (
            float(parse_quantity(said, (of.unit,), named(option)))
            for said, option in ((known, "known"), (read, "read"))
        )
    with _ledger(ledger, house, create=instrument is not None) as at:
        if instrument is not None:
            using.record(at.ledger, name, true, seen, site=at.site, who=who or "")
        found = using.checked(at.ledger.measured(site=at.site))
    if instrument is not None:
        found = [
            checked_instrument for checked_instrument in found if checked_instrument.name == name
        ]
    if as_json:
        _put_json({"instruments": [checked_instrument.to_dict() for checked_instrument in found]})
    elif not found:
        put_text("No instrument was checked yet: prepkit bench check NAME with known and read.\n")
    else:
        put_text("\n".join(f"{one.words()}." for one in found) + "\n")


# ---- prepkit bench ----

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

    record_batch(**said)


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

    chart_text(**said)


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

    losses_text(**said)


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

    check_instrument(**said)
