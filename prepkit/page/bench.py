"""What the bench has learnt, on a screen: run charts, own losses, checks of instruments."""

from __future__ import annotations

from typing import Any

from flask import Blueprint, abort, redirect, render_template, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.learn import batches, charts, instruments, using
from prepkit.learn.batches import Batch
from prepkit.learn.charts import RunChart
from prepkit.learn.instruments import Checked
from prepkit.page import house
from prepkit.page.batch_format import Kept, taken
from prepkit.page.batch_made import Made
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.plan.readings import readings_of
from prepkit.render.charts import Chart
from prepkit.render.html import Cells
from prepkit.render.run_chart import chart_svg
from prepkit.stock.engine import is_server
from prepkit.stock.ledger import open_ledger
from prepkit.workflows.bench_work import loss_lines

blueprint = Blueprint("bench", __name__)


def _known() -> tuple[list[Batch], list[Checked]]:
    with house.opened_ledger() as ledger:
        site = house.house().stock.site
        return batches.batches(ledger.measured(site=site)), instruments.checked(
            ledger.measured(site=site)
        )


@blueprint.get("/bench")
def index() -> str:
    """The items that were measured, the losses that were learnt, the instruments checked."""
    measured, checked = _known()
    names = dict.fromkeys(one.item for one in measured)
    items = [(name, charts.charts(measured, name)) for name in names]
    return render_template(
        "bench/index.html",
        items=[(name, _out(found), len(found[0].points)) for name, found in items if found],
        losses=[loss_lines(one) for one in using.known(measured).values()],
        instruments=[one.words() for one in checked],
    )


def _out(found: list[RunChart]) -> str:
    """Which readings of an item had a batch out, in words."""
    said = [f"{one.of.label}: {one.verdict()}" for one in found if one.out]
    return "; ".join(one.rstrip(".") for one in said) or "no batch is out"


@blueprint.post("/bench/record/<name>")
def record(name: str) -> AnyResponse:
    """The readings of a batch sheet into the ledger, with what was weighed in and when."""
    made = Made(name)
    if not made.book.write:
        abort(403, READ_ONLY)
    made.look_up()
    made.sheet()  # which finds what cannot be compared
    wrong = made.why or next(iter(made.state.problems.values()), "")
    if wrong or not made.state.readings:
        abort(409, wrong or "Nothing was read of this batch yet. Enter a reading, then record it.")
    plan = made.plain.worked.first
    stock = plan.recipe.house.stock
    if not stock.ledger:
        abort(404, house.NO_LEDGER)
    file = str(made.files.readings_path(made.batch))
    read = readings_of(made.state.readings, plan.recipe.items, file)
    batch = f"{made.batch.day.isoformat()} {made.batch.service}".strip()
    with open_ledger(stock.ledger, create=not is_server(stock.ledger)) as ledger:
        batches.record(
            ledger, plan, read, batch=batch, file=file, site=stock.site, place=stock.place,
            minutes=_minutes(made.state.kept), weighed=_weighed(made.state.kept),
        )  # fmt: skip
    return redirect(url_for("bench.index"), 303)


def _minutes(kept: Kept) -> dict[str, float]:
    """How long each item took, from its first tick to its last."""
    times = {item: [done.at for done in lines.values()] for item, lines in kept.ticks.items()}
    return {
        item: (max(at) - min(at)).total_seconds() / 60 for item, at in times.items() if len(at) > 1
    }


def _weighed(kept: Kept) -> dict[str, dict[str, float]]:
    """What was really weighed in, g by item and name."""
    found: dict[str, dict[str, float]] = {}
    for one in taken(kept):
        own = found.setdefault(one.item, {})
        own[one.name] = own.get(one.name, 0.0) + one.g
    return found


@blueprint.get("/bench/<item>")
def item(item: str) -> str:
    """The run charts of one item, each as a picture and as a table."""
    measured, _ = _known()
    found = charts.charts(measured, item)
    if not found:
        abort(404, f"Nothing was measured of “{item[:60]}”.")
    return render_template("bench/item.html", item=item, charts=[_shown(one) for one in found])


def _shown(one: RunChart) -> dict[str, Any]:  # Any: the values of a template
    rows = [
        [
            point.batch,
            f"{point.at.astimezone():%Y-%m-%d}",
            one.value(point.value),
            "" if point.limits is None
            else f"{point.limits.lower:.{one.of.digits}f} to {one.value(point.limits.upper)}",
            ", ".join(point.breaks),
        ]
        for point in reversed(one.points)
    ]  # fmt: skip
    return {
        "title": one.of.label[:1].upper() + one.of.label[1:],
        "verdict": one.verdict(),
        "lines": one.sentences(),
        "picture": Chart(
            "Touch a batch to see its figures.", "", chart_svg(one, f"run-{one.reading}", True)
        ),
        "table": Cells(
            f"{one.of.label[:1].upper()}{one.of.label[1:]} by batch, the latest first",
            ("batch", "measured", "value", "limits", "out"),
            "lllll",
            rows,
        ),
    }
