"""The stock and what the bench has learnt, on a screen.

What is sent is done once: each form has a word of its own (`once`), and a form that is sent again
is told that it was saved. The words end with the run of the page, as the tokens of forms do.
"""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from secrets import token_urlsafe
from threading import Lock
from typing import Any

from flask import (
    Blueprint,
    abort,
    current_app,
    redirect,
    render_template,
    request,
    session,
    url_for,
)
from flask import url_for as url
from werkzeug.wrappers import Response as AnyResponse

from prepkit import learn
from prepkit.errors import BadInput, FileProblem, named
from prepkit.learn import LearntBatch, using
from prepkit.learn.using import CheckedInstrument, RunChart
from prepkit.page import requests
from prepkit.page.batch_files import Kept, taken
from prepkit.page.batch_views import BatchShown
from prepkit.page.guard import settings
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.page.requests import NOT_PLANNED
from prepkit.plan.recipe_file import readings_of
from prepkit.render.charts import Chart, chart_svg
from prepkit.render.html import Cells
from prepkit.stock import Ledger, actions, cell_words, open_ledger
from prepkit.stock.engine import is_server
from prepkit.stock.events import (
    MOST_MG,
    ON_THE_WAY,
    Cell,
    Event,
    Holding,
    amount_words,
    oldest_first,
)
from prepkit.units import parse_quantity
from prepkit.workflows.bench_command import loss_lines
from prepkit.workflows.stock_command import day_words, gas_words, past, reading_words
from prepkit.workflows.stock_work import Said, of_event, time_of

# ---- the rows of the stock on a screen ----

_LOOK_BACK = 1000  # events that are looked through for what no longer stands
_MOST = 10 * MOST_MG / 1000  # g or ml, above what any batch has


def key_of(cell: Cell) -> str:
    """The name of a cell in a form: the same at every look, and nobody's own words."""
    return sha256(json.dumps(cell).encode()).hexdigest()[:16]


@dataclass(frozen=True)
class StockRow:
    """One cell of the stock with what is known of it, and what was typed of it."""

    held: Holding
    today: date
    typed: str = ""
    reason: str = ""
    problem: str = ""

    @property
    def key(self) -> str:
        """Its name in the form."""
        return key_of(self.held.cell)

    @property
    def amount(self) -> str:
        """How much stands."""
        return amount_words(self.held.mg, self.held.batch.density_g_m3)

    @property
    def unit(self) -> str:
        """The unit of a bare number: ml where the density is known, else g."""
        return "ml" if self.held.batch.density_g_m3 else "g"

    @property
    def about(self) -> str:
        """Where it stands, its batch, its dates and its reading, in one line."""
        cell, batch = self.held.cell, self.held.batch
        use_by = day_words(batch.use_by)
        told = (
            cell.place,
            f"batch {cell.batch}",
            " ".join(filter(None, ("bottle", cell.bottle, self.held.container)))
            if cell.bottle
            else "",
            gas_words(self.held),
            f"made {day_words(batch.made_on)}" if batch.made_on else "",
            use_by and f"use by {use_by}",
            reading_words(batch.reading),
        )
        return ", ".join(filter(None, told))

    @property
    def short(self) -> str:
        """Its name for a label, so that no two rows sound the same."""
        cell = self.held.cell
        bottle = cell.bottle and f"bottle {cell.bottle}"
        return " ".join(filter(None, (cell.item, cell.batch, bottle, cell.place)))

    @property
    def past(self) -> bool:
        """Whether its last day has passed."""
        return past(self.held, self.today)

    @property
    def undated(self) -> bool:
        """Whether nobody told its last day."""
        return self.held.batch.use_by is None

    @property
    def on_the_way(self) -> bool:
        """Whether it was sent here and not received yet."""
        return self.held.cell.place == ON_THE_WAY


def in_order(rows: Iterable[StockRow]) -> list[StockRow]:
    """What is past its date first, then place by place, each item oldest first."""
    found = {row.key: row for row in rows}
    oldest = [
        found[key_of(holding.cell)] for holding in oldest_first(row.held for row in found.values())
    ]
    return sorted(
        oldest,
        key=lambda one: (False,) if one.past else (True, one.held.cell.place, one.held.cell.item),
    )


def with_gone(
    ledger: Ledger, site: str, stands: Iterable[Holding], keys: Iterable[str]
) -> dict[str, Holding]:
    """What stands by its key, with cells of `keys` that stood until lately, as 0."""
    found = {key_of(holding.cell): holding for holding in stands}
    lacking = set(keys) - set(found)
    if lacking:
        for event in ledger.events(site=site, newest_first=True, most=_LOOK_BACK):
            for cell, _ in event.effects():
                if cell.site == site and key_of(cell) in lacking:
                    gone = Holding(cell, 0, ledger.batch(cell.item, cell.batch))
                    found.setdefault(key_of(cell), gone)
    return found


def mg_of(words: str, held: Holding) -> int:
    """An amount as it was typed, in whole mg; a bare number is in the row's unit.

    Raises BadInput where it is not an amount, is less than 0, or more than any batch.
    """
    density = held.batch.density_g_m3
    found = parse_quantity(words, ("ml", "g") if density else ("g",), named("amount"), bare=True)
    if found.plus_minus:
        raise BadInput(f'{named("amount")} is "{words}"; write one number, without a ±.', "amount")
    if not 0 <= found <= _MOST:
        right = "write 0 or more" if found < 0 else "no batch is that large"
        raise BadInput(f'{named("amount")} is "{words}"; {right}.', "amount")
    return round(found * density / 1000 if density and found.unit == "ml" else 1000 * found)


def all_if_shown(mg: int, held: Holding) -> int:
    """All that stands, where an amount is the one that the row shows of it."""
    density = held.batch.density_g_m3
    return held.mg if amount_words(mg, density) == amount_words(held.mg, density) else mg


def seen_of(form: Mapping[str, str], key: str) -> int | None:
    """What the row showed to who counted, mg; None where it did not say."""
    words = form.get(f"seen.{key}", "")
    return int(words) if words.isascii() and words.isdigit() and len(words) < 20 else None


# ---- the stock on a screen ----

blueprint = Blueprint("stock", __name__)
MOST_ROWS = 200
_SENT = 10_000  # forms that are remembered
_DONE = "stock"  # in the session: what was just saved, told once
_WHO = "initials"  # in the session: who counts on this phone
_GONE = "It is no longer in the stock. Open the stock again."
_CHOOSE = "Nothing was saved: choose Count, Take or Discard."
_TWICE = "That form was saved before. Look at what stands, then send this once more."
_AGAIN = "That was saved already; it was not done twice."
_NOT = "Nothing was saved: see below."


class SentForms:
    """The forms that were saved in this run of the page, by their word; one is saved at a time."""

    def __init__(self) -> None:
        self.lock = Lock()
        self._said: OrderedDict[str, str] = OrderedDict()

    def get(self, once: str) -> str | None:
        """What a form said that was saved; None for a new one."""
        return self._said.get(once)

    def keep(self, once: str, said: str) -> None:
        """A form was saved; the oldest is forgotten."""
        self._said[once] = said
        while len(self._said) > _SENT:
            self._said.popitem(last=False)


def _sent() -> SentForms:
    found: SentForms = current_app.extensions.setdefault("prepkit-stock", SentForms())
    return found


@dataclass
class _Screen:
    """What one answer shows: the form as it was sent, and what is wrong with it."""

    form: Mapping[str, str] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)  # by key
    why: str = ""
    done: str = ""

    def keys(self) -> list[str]:
        """The rows in which something was typed."""
        return [
            name[2:] for name, words in self.form.items() if name.startswith("n.") and words.strip()
        ]

    def shown(self, ledger: Ledger, status: int = 200) -> tuple[str, int]:
        """The page."""
        site, today = requests.house().stock.site, settings().today()
        find = " ".join(request.args.get("find", "").split())[:200]
        typed = {*self.keys(), *self.problems}
        held = with_gone(ledger, site, ledger.stock_at(site=site), typed)
        rows = [
            StockRow(
                holding,
                today,
                self.form.get(f"n.{key}", ""),
                self.form.get(f"reason.{key}", ""),
                self.problems.get(key, ""),
            )
            for key, holding in held.items()
            if key in typed or find.lower() in _looked_in(holding)
        ]
        ordered = in_order(rows)
        shown = [stock for at, stock in enumerate(ordered) if at < MOST_ROWS or stock.key in typed]
        last = actions.last_event(ledger, site)
        return render_template(
            "stock.html",
            rows=shown,
            left_out=len(ordered) - len(shown),
            find=find,
            draft=f"stock {find}".strip(),
            site=site,
            write=settings().write,
            last=last,
            last_words=_event_words(ledger, last) if last else "",
            once=token_urlsafe(16),
            initials=self.form.get("who", session.get(_WHO, "")),
            screen=self,
            typed=bool(typed),
        ), status


def _looked_in(holding: Holding) -> str:
    return f"{holding.cell.item} {holding.cell.place} {holding.cell.batch}".lower()


def _event_words(ledger: Ledger, one: Event) -> str:
    by = f", {one.who}" if one.who else ""
    told = of_event(ledger, one) if one.change_mg else f"{cell_words(one.cell)} (event {one.id})"
    return f"{one.kind} {told}, {one.at.astimezone():%Y-%m-%d %H:%M}{by}"


@blueprint.get("/stock")
def index() -> tuple[str, int]:
    """What stands, what is past its date first."""
    with requests.opened_ledger() as ledger:
        return _Screen(done=_told(ledger, session.pop(_DONE, None))).shown(ledger)


def _told(ledger: Ledger, done: object) -> str:
    """What was just saved, in a sentence; "" where nothing was."""
    if not isinstance(done, dict):
        return ""
    if done.get("again"):
        return _AGAIN
    first = ledger.event(int(done["id"]))
    if first is None:
        return ""
    if done["n"] > 1:
        rows = "rows are counted" if first.kind == "counted" else "batches"
        return f"Saved: {done['n']} {rows}, from event {first.id} on."
    if first.kind == "counted":
        change, density = first.change_mg, ledger.batch(first.item, first.batch).density_g_m3
        more = "as the ledger said" if not change else (
            f"{amount_words(abs(change), density)} {'more' if change > 0 else 'less'} than the "
            f"ledger said"
        )  # fmt: skip
        return f"Counted {first.item}: {more} (event {first.id})."
    if first.kind == "corrected":
        back = ledger.event(first.corrects or "")
        return f"Undone: {back.kind} {of_event(ledger, back)}." if back else ""
    return f"{first.kind.capitalize()}: {of_event(ledger, first)}."


@blueprint.post("/stock")
def change() -> AnyResponse | tuple[str, int]:
    """Count one row or all that is filled in, take, discard, or undo the last event."""
    if not settings().write:
        abort(403, READ_ONLY)
    form, sent = request.form.to_dict(), _sent()
    once = form.get("once", "")
    said = _digest(form)
    screen = _Screen(form)
    with sent.lock, requests.opened_ledger() as ledger:
        before = sent.get(once)
        if before == said:
            session[_DONE] = {"again": True}
            return _back()
        if before is not None or not 8 <= len(once) <= 64:
            screen.why = _TWICE
            return screen.shown(ledger, 409)
        try:
            events = _do(ledger, screen)
        except actions.StockChanged as error:
            _say_changed(ledger, screen, error)
            return screen.shown(ledger, 409)
        except BadInput as error:
            screen.why = screen.why or _sentence(error)
            return screen.shown(ledger, NOT_PLANNED)
        except FileProblem as error:
            screen.why = f"Nothing was saved. {error.message}"
            return screen.shown(ledger, 500)
        sent.keep(once, said)
        session[_WHO] = form.get("who", "")[:40]
        done = {"id": events[0].id, "n": len(events)}
        if not screen.keys():
            session[_DONE] = done
            return _back()
        screen.done = _told(ledger, done)
        return screen.shown(ledger)


def _back() -> AnyResponse:
    find = request.args.get("find", "")
    return redirect(url("stock.index", find=find) if find else url("stock.index"), 303)


def _digest(form: Mapping[str, str]) -> str:
    """What a form says, without its tokens."""
    pairs = sorted(pair for pair in form.items() if pair[0] not in ("token", "once"))
    return sha256(json.dumps(pairs).encode("utf-8", "replace")).hexdigest()


def _sentence(error: BadInput) -> str:
    said = error.said(lambda name, example: f"the {name.replace('_', ' ')}" if name != "at"
                      else "the time")  # fmt: skip
    return f"{said[:1].upper()}{said[1:]}"


def _say_changed(ledger: Ledger, screen: _Screen, error: actions.StockChanged) -> None:
    """Beside each row that another changed, what stands now."""
    for cell, mg in error.stands.items():
        density = ledger.batch(cell.item, cell.batch).density_g_m3
        screen.problems[key_of(cell)] = (
            f"It has changed since this was opened: {amount_words(mg, density)} stands now. Look "
            f"at it, then count again."
        )
    screen.why = _NOT if error.stands else f"Nothing was undone: {error.message}"


def _do(ledger: Ledger, screen: _Screen) -> tuple[Event, ...]:
    """Do what a form asks, and take what was done out of the form; BadInput otherwise."""
    form, site = dict(screen.form), requests.house().stock.site
    do, _, key = form.get("do", "").partition(":")
    who = " ".join(form.get("who", "").split())
    if do == "undo":
        return (actions.undo_last(ledger, site, form.get("last", ""), who=who),)
    if do not in ("count", "take", "discard", "discard-all") or (do != "count" and not key):
        raise BadInput(_CHOOSE)
    at = time_of(Said(at=form.get("at", "").strip() or None))
    keys = [key] if key else screen.keys()
    if not keys:
        raise BadInput("Nothing was saved: fill in what you counted.")
    held = with_gone(ledger, site, ledger.stock_at(site=site), keys)
    wanted: dict[str, int] = {}
    for text in keys:
        try:
            wanted[text] = _wanted(form, do, text, held.get(text))
        except actions.StockChanged:
            raise
        except BadInput as error:
            screen.problems[text] = _sentence(error)
    unknown = [problem for problem in screen.problems if problem not in held]
    if screen.problems:
        screen.why = f"Nothing was saved. {_GONE}" if unknown else _NOT
        raise BadInput(screen.why)
    if do == "count":
        counted = [
            actions.Counted(held[name].cell, mg, seen_of(form, name)) for name, mg in wanted.items()
        ]
        events = actions.count_each(ledger, counted, who=who, at=at)
    else:
        cell = held[key].cell
        where = actions.Where(site, cell.place, cell.batch, cell.bottle)
        kind = "taken" if do == "take" else "discarded"
        reason = " ".join(form.get(f"reason.{key}", "").split()) if kind == "discarded" else ""
        try:
            events = actions.take(
                ledger, cell.item, wanted[key], where, kind=kind, reason=reason, who=who, at=at
            )
        except BadInput as error:
            screen.why, screen.problems[key] = _NOT, _sentence(error)
            raise
    screen.form = {
        name: words
        for name, words in form.items()
        if name.partition(".")[2] not in keys and name != "at"
    }
    return events


def _wanted(form: Mapping[str, str], do: str, key: str, held: Holding | None) -> int:
    """How much a row is about, mg; BadInput where it cannot be told."""
    if held is None:
        raise BadInput(_GONE)
    row, words = StockRow(held, settings().today()), form.get(f"n.{key}", "").strip()
    if row.on_the_way:
        raise BadInput("It is on the way: receive it first.")
    if do == "take" and row.past:
        raise BadInput(f"It is past its date, {held.batch.use_by}. Discard it.")
    if do == "discard-all":
        if seen_of(form, key) != held.mg:
            raise actions.StockChanged("what stands has changed.", {held.cell: held.mg})
        return held.mg
    if not words:
        raise BadInput(f"Write how much, such as 250 {row.unit}.", "amount")
    found = mg_of(words, held)
    return found if do == "count" else all_if_shown(found, held)


# ---- what the bench has learnt, on a screen ----

bench_blueprint = Blueprint("bench", __name__)


def _known() -> tuple[list[LearntBatch], list[CheckedInstrument]]:
    with requests.opened_ledger() as ledger:
        site = requests.house().stock.site
        return learn.read_batches(ledger.measured(site=site)), using.checked(
            ledger.measured(site=site)
        )


@bench_blueprint.get("/bench", endpoint="index")
def bench_index() -> str:
    """The items that were measured, the losses that were learnt, the instruments checked."""
    measured, checked = _known()
    names = dict.fromkeys(batch.item for batch in measured)
    items = [(name, using.charts(measured, name)) for name in names]
    return render_template(
        "bench/index.html",
        items=[(name, _out(found), len(found[0].points)) for name, found in items if found],
        losses=[loss_lines(loss) for loss in using.known(measured).values()],
        instruments=[instrument.words() for instrument in checked],
    )


def _out(found: list[RunChart]) -> str:
    """Which readings of an item had a batch out, in words."""
    said = [f"{chart.of.label}: {chart.verdict()}" for chart in found if chart.out]
    return "; ".join(text.rstrip(".") for text in said) or "no batch is out"


@bench_blueprint.post("/bench/record/<name>")
def record(name: str) -> AnyResponse:
    """The readings of a batch sheet into the ledger, with what was weighed in and when."""
    made = BatchShown(name)
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
        abort(404, requests.NO_LEDGER)
    file = str(made.files.readings_path(made.batch))
    read = readings_of(made.state.readings, plan.recipe.items, file)
    batch = f"{made.batch.day.isoformat()} {made.batch.service}".strip()
    with open_ledger(stock.ledger, create=not is_server(stock.ledger)) as ledger:
        learn.record(
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
    for weighing in taken(kept):
        own = found.setdefault(weighing.item, {})
        own[weighing.name] = own.get(weighing.name, 0.0) + weighing.g
    return found


@bench_blueprint.get("/bench/<item>")
def item(item: str) -> str:
    """The run charts of one item, each as a picture and as a table."""
    measured, _ = _known()
    found = using.charts(measured, item)
    if not found:
        abort(404, f"Nothing was measured of “{item[:60]}”.")
    return render_template("bench/item.html", item=item, charts=[_shown(chart) for chart in found])


def _shown(chart: RunChart) -> dict[str, Any]:  # Any: the values of a template
    rows = [
        [
            point.batch,
            f"{point.at.astimezone():%Y-%m-%d}",
            chart.value(point.value),
            "" if point.limits is None
            else f"{point.limits.lower:.{chart.of.digits}f} to {chart.value(point.limits.upper)}",
            ", ".join(point.breaks),
        ]
        for point in reversed(chart.points)
    ]  # fmt: skip
    return {
        "title": chart.of.label[:1].upper() + chart.of.label[1:],
        "verdict": chart.verdict(),
        "lines": chart.sentences(),
        "picture": Chart(
            "Touch a batch to see its figures.", "", chart_svg(chart, f"run-{chart.reading}", True)
        ),
        "table": Cells(
            f"{chart.of.label[:1].upper()}{chart.of.label[1:]} by batch, the latest first",
            ("batch", "measured", "value", "limits", "out"),
            "lllll",
            rows,
        ),
    }
