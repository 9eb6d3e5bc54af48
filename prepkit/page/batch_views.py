"""The batch sheet of a recipe: shown, ticked off, given readings; kept, or held in the address."""

from __future__ import annotations

from copy import deepcopy
from datetime import datetime
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Response, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.page.batches import (
    DONE,
    FEW,
    READ,
    State,
    Work,
    batch_of,
    stale,
    table_of,
    typed_of,
    works,
)
from prepkit.page.desk import NOT_PLANNED, desk, planned
from prepkit.page.recipe_folder import READ_ONLY, Batch
from prepkit.page.safe_files import Changed
from prepkit.page.settings import settings
from prepkit.page.sheets import Sheet, Wanted, wanted
from prepkit.plan.fields import Wrong
from prepkit.plan.measured import compared
from prepkit.plan.readings import readings_of
from prepkit.render.amounts import UNITS, made_for
from prepkit.render.measured_html import measured_parts
from prepkit.render.plan_html import narrowed, plan_verdict, wall
from prepkit.workflows.plan_work import printed

blueprint = Blueprint("batch", __name__)
TYPED = "the readings typed here"
MOST_PROBLEMS = 20


class _Made:
    """What one request shows: the plan, the batch, what is kept of it, and a sentence on top."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.book = desk().book
        self.said: Wanted = wanted(request.args)
        self.plain: Sheet = planned(name, self.said)  # without readings
        self.batch: Batch = batch_of(name, self.plain, request.args, settings().today())
        self.state = State()
        self.why = ""

    @property
    def ids(self) -> list[str]:
        """The items of the evening."""
        return [one["id"] for one in self.plain.first["items"] if one["makes"]]

    def look_up(self) -> None:
        """What is kept of the batch, from its files or from the address."""
        if self.book.write:
            try:
                self.state.ticks = self.book.ticks(self.batch)
                self.state.readings = self.book.readings(self.batch)
            except PrepkitError as error:
                self.why = error.message
            return
        done = set(request.args.getlist(DONE))
        bare = works(self.plain, State())
        self.state.ticks = {
            work.id: {tick.what: None for tick in work.ticks if tick.id in done} for work in bare
        }
        for item in self.ids:
            self.take(item, request.args)

    def take(self, item: str, args: Any) -> bool:
        """Read what was typed of an item; whether all of it can be used."""
        typed = typed_of(args, item)
        table, wrong = table_of(typed, self.plain.units)
        self.state.problems |= {(item, key): said for key, said in wrong.items()}
        if wrong:
            self.state.typed[item] = typed
        for key in wrong:
            table.pop(key, None)
        self.state.readings.pop(item, None)
        if set(table) - {"temperature", "atc"}:
            self.state.readings[item] = table
        return not wrong

    def sheet(self) -> Sheet:
        """The plan with the readings that can be used; what is wrong with others is noted."""
        file = str(self.book.readings_path(self.batch)) if self.book.write else TYPED
        left = deepcopy(self.state.readings)
        first = self.plain.worked.first
        for _ in range(MOST_PROBLEMS):  # each is left out; nothing is planned again for it
            if not left:
                return self.plain
            try:
                read = readings_of(left, first.recipe.items, file)
                compared(first, self.plain.first["items"], read, file)
            except Wrong as error:
                self._wrong(error, left)
            else:
                break
        else:
            return self.plain
        for _ in range(2):
            if not left:
                break
            try:
                return planned(self.name, self.said, (file, left))
            except Wrong as error:  # the rest cannot be made from what was measured
                self._wrong(error, left)
        return self.plain

    def _wrong(self, error: Wrong, left: dict[str, dict[str, Any]]) -> None:
        """Note a problem of the readings, and leave that reading out."""
        item, _, key = error.where.partition(".")
        if item not in left:
            self.why = f"{error.where}: {error.sentence}" if error.where else error.sentence
            left.clear()
            return
        if key in left[item]:
            del left[item][key]
            self.state.problems[item, key] = error.sentence
        else:
            self.why = f"{item}: {error.sentence}"
            del left[item]
        if item in left and not set(left[item]) - {"temperature", "atc"}:
            del left[item]


@blueprint.get("/<name>/batch")
def view(name: str) -> tuple[str, int]:
    """The batch sheet with what is kept of it."""
    made = _Made(name)
    made.look_up()
    return _page(made)


@blueprint.get("/<name>/batch.json")
def as_json(name: str) -> AnyResponse:
    """The plan with its readings, letter by letter as `plan --measured --json` prints it."""
    made = _Made(name)
    made.look_up()
    sheet = made.sheet()
    if made.state.problems or made.why:
        raise BadInput(made.why or next(iter(made.state.problems.values())))
    text = printed(sheet.asked._replace(as_json=True), sheet.worked)
    return Response(text, mimetype="application/json")


@blueprint.post("/<name>/batch")
def keep(name: str) -> AnyResponse | tuple[str, int]:
    """Keep one tick, or the readings of one item."""
    made = _Made(name)
    form = request.form
    item = form.get("item", "")
    if not made.book.write:
        made.why = READ_ONLY
        made.take(item, form)
        return _page(made, 403)
    made.look_up()
    if made.why:
        return _page(made, NOT_PLANNED)
    if item not in made.ids:
        made.why = f'"{item[:60]}" is no item of this sheet; open the sheet again.'
        return _page(made, NOT_PLANNED)
    try:
        if "save" in form:
            return _keep_readings(made, item)
        return _keep_tick(made, item)
    except FileProblem as error:
        made.why = error.message
        return _page(made, 500)


def _keep_tick(made: _Made, item: str) -> AnyResponse | tuple[str, int]:
    done, undone = request.form.get("tick", ""), request.form.get("untick", "")
    sheet = made.sheet()
    for again in (False, True):
        for work in works(sheet, made.state, again=again):
            for tick in work.ticks:
                if work.id == item and tick.id in (done, undone):
                    now = datetime.combine(settings().today(), datetime.now().time())
                    made.book.tick(made.batch, item, tick.what, tick.id == done, now)
                    return _back(made, tick.id)
    made.why = "That line has changed since the sheet was opened; look at it again."
    return _page(made, 409)


def _keep_readings(made: _Made, item: str) -> AnyResponse | tuple[str, int]:
    before, seen = made.state.readings.get(item), request.form.get("seen", "")
    fits = made.take(item, request.form)
    typed = typed_of(request.form, item)
    made.sheet()  # which finds what cannot be compared
    if not fits or made.state.problems or made.why:
        made.state.typed[item], made.state.seen[item] = typed, seen
        made.why = made.why or "Nothing was saved: something typed cannot be used, see below."
        return _page(made, NOT_PLANNED)
    try:
        table = made.state.readings.get(item, {})
        made.book.save_readings(made.batch, item, table, seen)
    except Changed as error:
        made.why = error.message
        made.state.readings = made.book.readings(made.batch)
        made.state.theirs[item] = made.state.readings.get(item, {})
        made.state.typed[item] = typed
        return _page(made, 409)
    except FileProblem:
        made.state.typed[item], made.state.seen[item] = typed, seen
        if before is None:
            made.state.readings.pop(item, None)
        else:
            made.state.readings[item] = before
        raise
    return _back(made, f"read-{item}")


def _back(made: _Made, anchor: str) -> AnyResponse:
    """To the sheet again, at the line that was touched."""
    return redirect(f"{_address(made)}#{anchor}", 303)


def _query(made: _Made, **more: str) -> str:
    """The end of an address of this batch; without --write it carries what is ticked and typed."""
    day = made.batch.day.isoformat()
    own = {"on": day, "item": request.args.get("item", ""), "again": request.args.get("again", "")}
    held = [] if made.book.write else _held()
    return urlencode(made.said.query(**{**own, **more}) + held)


def _held() -> list[tuple[str, str]]:
    """What an address holds of a batch."""
    return [
        (name, value)
        for name, value in request.args.items(multi=True)
        if value and (name == DONE or name.startswith(f"{READ}."))
    ]


def _address(made: _Made, **more: str) -> str:
    return f"{url_for('recipes.batch.view', name=made.name)}?{_query(made, **more)}"


def _page(made: _Made, status: int = 200) -> tuple[str, int]:
    sheet = made.sheet()
    come_to = sheet.worked
    again = "again" in request.args and come_to.account is not None
    found = works(sheet, made.state, again=again)
    only = request.args.get("item", "")
    if only and only not in {one.id for one in found}:
        made.why, only = f'"{only[:60]}" is no item of this sheet.', ""
    shown = [one for one in found if one.id == only] if only else found
    if made.state.problems and status == 200:
        status = NOT_PLANNED
    said = come_to.said
    return render_template(
        "recipes/batch.html",
        name=made.name,
        title=said["title"],
        batch=made.batch,
        made=made_for(said),
        **plan_verdict(said, sheet.units),
        care=said["care"],
        before_service=said["timetable"] is not None and not made.said.service,
        account=None if come_to.account is None else measured_parts(come_to.account, sheet.units),
        beyond=[] if come_to.account is None else come_to.account["beyond"],
        again=again,
        works=shown,
        listed=not only and len(found) > FEW,
        only=only,
        all=found,
        done=sum(one.done for one in found),
        to_do=sum(len(one.ticks) for one in found),
        stale=stale(found, made.state),
        why=made.book.plain(made.why),
        write=made.book.write,
        read_only=READ_ONLY,
        hidden=_hidden(made, shown),
        address=_address(made),
        address_of=lambda **more: _address(made, **more),
        json_query=_query(made, item="", again=""),
        unit=UNITS[sheet.units][0],
        **wall(narrowed(said, only) if only else said, sheet.units),
    ), status


def _hidden(made: _Made, shown: list[Work]) -> list[tuple[str, str]]:
    """What a form of the address must carry on: what is asked, and what other items hold."""
    if made.book.write:
        return []
    fields = {one.name for work in shown for one in work.readings}
    fields |= {f"{READ}.{work.id}.atc" for work in shown}
    ticks = {tick.id for work in shown for tick in work.ticks}
    own = {key: request.args.get(key, "") for key in ("item", "again")}
    pairs = made.said.query(on=made.batch.day.isoformat(), **own)
    return pairs + [
        (name, value)
        for name, value in _held()
        if name not in fields and (name != DONE or value not in ticks)
    ]
