"""The views of a batch sheet: shown, saved by ticks, readings and other serves.

A form is answered with the sheet at the line that was touched. A script that asks for JSON is told
what it shows in place.
"""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from contextlib import suppress
from copy import deepcopy
from dataclasses import replace
from datetime import datetime
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from flask import Blueprint, Response, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem, PrepkitError
from prepkit.page.batch_files import Batches, Conflict, Done, Kept, KeptBatch
from prepkit.page.batches import (
    BATCH_READINGS_LONGEST,
    DONE,
    FEW,
    OWN,
    PRESSURE,
    READ,
    State,
    Tick,
    Work,
    batch_of,
    clock_of,
    field_of,
    from_address,
    held_of,
    readings_in,
    sent,
    serves_of,
    stale,
    table_of,
    works,
)
from prepkit.page.guard import settings
from prepkit.page.recipe_folder import READ_ONLY, FileChanged
from prepkit.page.requests import (
    NOT_PLANNED,
    NotAsked,
    Sheet,
    TypedReadings,
    Wanted,
    desk,
    planned,
    recent,
    wanted,
)
from prepkit.plan.files import Wrong
from prepkit.plan.measured import Unread, compared
from prepkit.plan.recipe_file import readings_of
from prepkit.render.batch import measured_parts
from prepkit.render.plan_html import narrowed, plan_verdict, wall
from prepkit.render.plan_lists import UNITS, made_for
from prepkit.workflows.plan_command import printed

if TYPE_CHECKING:
    from prepkit.sheet import PlanSheet

# ---- what one request of a batch sheet is about ----

TYPED = "the readings typed here"
MOST_PROBLEMS = 20


class BatchShown:
    """What one request shows: the plan, the batch, what is kept of it, and a sentence on top."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.book = desk().book
        self.files = Batches(self.book)
        self.state = State()
        self.why = ""
        self.said: Wanted = wanted(request.args)
        self.asked = self.said.serves
        self.plain: Sheet = planned(name, self.said)  # without readings
        on = request.args.get("on", "").strip()
        self.batch: KeptBatch = batch_of(
            name, self.plain, on, self.said.service, settings().today()
        )
        if self.book.write:
            self._open()

    def _open(self) -> None:
        """The batch that is kept, planned for the serves and the service that it has now."""
        self.batch = self.files.found(self.batch, self.serves)
        try:
            kept = self.state.kept = self.files.kept(self.batch)
        except PrepkitError as error:
            self.why = error.message
            return
        said = replace(self.said, service=kept.service or self.said.service)
        if kept.serves:
            said = replace(said, serves=kept.serves, have=())
        if said != self.said:
            self.said = said
            self.plain = planned(self.name, said)

    @property
    def serves(self) -> str:
        """How many it is planned for, as a form says it."""
        return serves_of(self.plain)

    @property
    def other_serves(self) -> str:
        """The serves that the address asks for, where the batch is kept for another number."""
        kept = self.state.kept.serves
        if not kept or not self.asked or self.asked == str(self.batch.old_serves):
            return ""
        return self.asked if self.asked != kept else ""

    @property
    def ids(self) -> list[str]:
        """The items of the evening."""
        return [item["id"] for item in self.plain.first["items"] if item["makes"]]

    def look_up(self) -> None:
        """What is kept of the batch, from its files or from the address."""
        if self.book.write:
            try:
                self.state.readings = self.files.readings(self.batch)
            except PrepkitError as error:
                self.why = self.why or error.message
                where = f"in {self.files.readings_path(self.batch).name}"
                for item_sheet in self.plain.first["items"]:  # whatever stands there
                    if item_sheet["makes"]:
                        self.state.unread[
                            item_sheet["id"], PRESSURE if item_sheet["filling"] else ""
                        ] = where
            return
        for item in self.ids:
            self.take(item, held_of(request.args, item))
        self.state.kept = from_address(request.args.getlist(DONE), works(self.sheet(), State()))

    def take(self, item: str, typed: dict[str, str]) -> None:
        """Take what an address holds of an item."""
        table, wrong = table_of(typed, self.plain.units)
        self.state.problems |= {(item, key): said for key, said in wrong.items()}
        self.not_read(item, {key: typed[key] for key in wrong if key not in OWN})
        if not set(wrong).isdisjoint(OWN):  # so nothing was read at a temperature that is known
            self.not_read(item, {key: typed[key] for key in typed if key not in OWN})
            table = {}
        if wrong:
            self._show(item, typed, next(iter(wrong)))
        self.state.readings.pop(item, None)
        if set(table) - {"temperature", "atc"}:
            self.state.readings[item] = table

    def not_read(self, item: str, typed: Mapping[str, object]) -> None:
        """Note what was typed of an item and cannot be used, by what was read."""
        for key, value in typed.items():
            self.state.unread[item, key] = f"“{str(value)[:BATCH_READINGS_LONGEST]}”"

    def _show(self, item: str, typed: dict[str, str], key: str) -> None:
        """Show a reading that cannot be used in the field for readings."""
        what = key if key not in ("temperature", "atc") else next(iter(typed))
        shown = {"what": what, "value": typed.get(what, "")}
        shown |= {name: typed[name] for name in ("temperature", "atc") if name in typed}
        self.state.typed[item] = shown

    def sheet(self, serves: str = "") -> Sheet:
        """The plan with the readings that can be used; what is wrong with others is noted."""
        said, plain = self.said, self.plain
        if serves and serves != self.serves:
            said = replace(said, serves=serves, have=())
            plain = planned(self.name, said)
        file = str(self.files.readings_path(self.batch)) if self.book.write else TYPED
        left = deepcopy(self.state.readings)
        first = plain.worked.first
        for tries in itertools.count():  # each that is wrong is left out, and makes nothing milder
            if tries >= MOST_PROBLEMS:
                for item in list(left):
                    self._leave_out(item, list(left[item]), left)
            try:
                if left:  # nothing is planned again for one that cannot be compared
                    read = readings_of(left, first.recipe.items, file)
                    compared(first, plain.first["items"], read, file)
                unread = tuple(Unread(*of, words) for of, words in self.state.unread.items())
                if not left and not unread:
                    break
                return planned(self.name, said, TypedReadings(file, left, unread))
            except Wrong as error:
                if not left:
                    raise
                self._wrong(error, left)
        return plain

    def _wrong(self, error: Wrong, left: dict[str, dict[str, object]]) -> None:
        """Note a problem of the readings, and leave out what has it."""
        where, _, key = error.where.partition(".")
        items = [word for word in where.split(", ") if word in left]
        if len(items) == 1 and key in left[items[0]]:
            (item,) = items
            value = left[item][key]
            self.state.problems[item, key] = error.sentence
            if item not in self.state.typed:
                of = held_of(request.args, item) or {key: str(value)}
                self._show(item, of, key)
            self._leave_out(item, list(left[item]) if key in OWN else [key], left)
            return
        self.why = f"{error.where}: {error.sentence}" if error.where else error.sentence
        for item in items or list(left):
            told = [text for text in left[item] if text not in (PRESSURE, *OWN)]
            self._leave_out(item, told or list(left[item]), left)

    def _leave_out(
        self, item: str, keys: Sequence[str], left: dict[str, dict[str, object]]
    ) -> None:
        """Leave readings of an item out, and note that they were not read."""
        of = {key: left[item].pop(key) for key in keys}
        self.not_read(item, {key: value for key, value in of.items() if key not in OWN} or of)
        if not set(left[item]) - set(OWN):
            del left[item]


# its address


def query(made: BatchShown, **more: str) -> str:
    """The end of an address of this batch; without --write it carries what is ticked and typed."""
    own = {
        "on": made.batch.day.isoformat(),
        "item": request.args.get("item", ""),
        "again": request.args.get("again", ""),
    }
    if not made.book.write:
        return urlencode(made.said.query(**{**own, **more}) + held())
    said = replace(made.said, service=made.batch.service)
    if made.batch.old_serves is not None:
        said = replace(said, serves=str(made.batch.old_serves))
    elif made.state.kept.serves:
        said = replace(said, serves="")
    elif made.said.service:
        said = replace(said, service=made.said.service)
    return urlencode(said.query(**{**own, **more}))


def held() -> list[tuple[str, str]]:
    """What an address holds of a batch."""
    return [
        (name, value)
        for name, value in request.args.items(multi=True)
        if value and (name == DONE or name.startswith(f"{READ}."))
    ]


def address(made: BatchShown, **more: str) -> str:
    return f"{url_for('recipes.batch.view', name=made.name)}?{query(made, **more)}"


# ---- the batch sheet as a page ----


def counted(found: Sequence[Work]) -> str:
    """How many of all lines are done."""
    return f"{sum(one.done for one in found)} of {sum(len(one.ticks) for one in found)}"


def stopped(found: Sequence[Work]) -> str:
    """The items that must not be gone on with, one after the other."""
    return " ".join(work.id for work in found if work.stops or work.held)


def short_title(said: PlanSheet) -> str:
    """What is served, in a word or two."""
    return said["serve"][0]["name"] if len(said["serve"]) == 1 else said["title"]


def plan_address(made: BatchShown) -> str:
    """The plan that the batch is made by, for the serves and the service that it has now."""
    said = replace(made.said, serves=made.serves, have=())
    query = urlencode(said.query(on=made.batch.day.isoformat()))
    return f"{url_for('recipes.view', name=made.name)}?{query}"


def page(made: BatchShown, status: int = 200) -> tuple[str, int]:
    """The sheet of a batch with its status."""
    sheet = made.sheet()
    come_to = sheet.worked
    again = "again" in request.args and come_to.account is not None
    found = works(sheet, made.state, again=again)
    only = request.args.get("item", "")
    if only and only not in {work.id for work in found}:
        made.why, only = f'"{only[:60]}" is no item of this sheet.', ""
    shown = [work for work in found if work.id == only] if only else found
    if made.state.problems and status == 200:
        status = NOT_PLANNED
    said = come_to.said
    return render_template(
        "recipes/batch.html",
        name=made.name,
        title=said["title"],
        batch=made.batch,
        day=f"{made.batch.day:%a %d %b}",
        serves=made.serves,
        plain_serves=made.serves.isdigit(),
        made=made_for(said),
        recent=recent(
            address(made, item=""),
            f"Batch: {said['title']}",
            said["verdict"],
            f"{made.batch.day:%a %d %b}, {made_for(said)}",
        ),
        service=made.said.service,
        service_clock=clock_of(made.said.service),
        said_serves=made.said.serves,
        short_title=short_title(said),
        plan_address=plan_address(made),
        places={work.id: place for place, work in enumerate(found)},
        next_up=next((work.id for work in found if work.done < len(work.ticks)), ""),
        query=query(made, serves="", item="", again=""),
        to_do=any(work.ticks for work in found),
        other_serves=made.other_serves,
        kept=made.state.kept,
        **plan_verdict(said, sheet.units),
        care=said["care"],
        before_service=said["timetable"] is not None and not made.said.service,
        account=None if come_to.account is None else measured_parts(come_to.account, sheet.units),
        stopped=stopped(found),
        drifted=[work.id for work in found if work.drifted],
        unread=[work.id for work in found if work.unread],
        again=again,
        works=shown,
        listed=not only and len(found) > FEW,
        only=only,
        all=found,
        progress=counted(found),
        stale=stale(found, made.state),
        why=made.book.plain(made.why),
        write=made.book.write,
        read_only=READ_ONLY,
        hidden=_hidden(made, shown),
        address=address(made),
        address_of=lambda **more: address(made, **more),
        json_query=query(made, item="", again=""),
        ledger=bool(come_to.plan.recipe.house.stock.ledger),
        unit=UNITS[sheet.units][0],
        **wall(narrowed(said, only) if only else said, sheet.units),
    ), status


def _hidden(made: BatchShown, shown: list[Work]) -> list[tuple[str, str]]:
    """What a form of the address must carry on: what is asked, and what other items hold."""
    if made.book.write:
        return []
    ticks = {tick.id for work in shown for tick in work.ticks}
    own = {key: request.args.get(key, "") for key in ("item", "again")}
    pairs = made.said.query(on=made.batch.day.isoformat(), serves="", service="", **own)
    return pairs + [
        (name, value)
        for name, value in held()
        if name != DONE or value.partition("~")[0] not in ticks
    ]


# ---- what is saved of a batch ----

_CHANGED = "That line has changed since the sheet was opened; look at it again."


def keep(name: str) -> AnyResponse | tuple[str, int]:
    """Keep one tick, one reading, or another number of serves."""
    made = BatchShown(name)
    form = request.form
    item = form.get("item", "")
    if not made.book.write:
        made.state.typed[item] = field_of(form, item)
        return _refused(made, READ_ONLY, 403)
    made.look_up()
    if made.why:
        return _refused(made, made.why)
    try:
        if "change" in form:
            return _keep_plan(made)
        if item not in made.ids:
            return _refused(made, f'"{item[:60]}" is no item of this sheet; open the sheet again.')
        if "save" in form:
            return _keep_reading(made, item)
        return _keep_tick(made, item)
    except Conflict as error:
        made.state.kept = made.files.kept(made.batch)
        return _refused(made, error.message, 409)
    except FileProblem as error:
        return _refused(made, error.message, 500)


def _keep_plan(made: BatchShown) -> AnyResponse | tuple[str, int]:
    """Another number of serves, or another time of service."""
    serves = request.form.get("serves", "").strip() or made.serves
    try:
        service = clock_of(request.form.get("service", "").strip())
        sheet = planned(made.name, replace(made.said, serves=serves, service=service, have=()))
    except NotAsked as error:
        return _refused(made, f"Nothing was changed. {error.message}")
    seen = request.form.get("seen", "")
    made.files.plan(made.batch, serves_of(sheet), service, seen)
    made.state.kept = made.files.kept(made.batch)
    return redirect(f"{address(made)}#covers", 303)


def _keep_tick(made: BatchShown, item: str) -> AnyResponse | tuple[str, int]:
    form = request.form
    off = "untick" in form
    said = sent(form.get("untick" if off else "tick", ""))
    tick = None if said is None else _line(made, item, said.id, None if off else said.bare)
    if said is None or tick is None:
        return _refused(made, _CHANGED, 409)
    now = datetime.combine(settings().today(), datetime.now().time())
    g = float(tick.line.bare) if tick.line.bare else None
    plan = Kept(made.serves, made.said.service)
    done = None if off else Done(now, g, tick.serves)
    made.files.tick(made.batch, item, tick.line.what, done, said.seen, plan)
    made.state.kept = made.files.kept(made.batch)
    if not _in_place():
        return redirect(f"{address(made)}#{tick.id}", 303)
    found = works(made.sheet(), made.state, again="again" in request.args)
    line = next((t for work in found for t in work.ticks if t.id == tick.id), tick)
    of = next(work for work in found if work.id == item)
    return _told(
        {
            "saved": f"{datetime.now():%H:%M}",
            "line": render_template("recipes/batch_line.html", one=line, write=True),
            "item": f"{of.done} of {len(of.ticks)}",
            "all": counted(found),
            "stopped": stopped(found),
        }
    )


def _line(made: BatchShown, item: str, id_: str, bare: str | None) -> Tick | None:
    """The line that a form means, as it stood on the sheet that was sent; None where there is none.

    The sheet may have been opened for another number of serves than the batch now has.
    """
    shown = request.form.get("shown", "")
    sheet = made.sheet(shown)
    for again in (False, True):
        for work in works(sheet, made.state, again=again):
            for tick in (*work.ticks, *work.added):
                if (work.id, tick.id) == (item, id_) and bare in (None, tick.line.bare):
                    return tick
    return None


def _keep_reading(made: BatchShown, item: str) -> AnyResponse | tuple[str, int]:
    typed = field_of(request.form, item)
    kept = made.state.readings.get(item, {})
    made.state.typed[item] = typed
    try:
        said = readings_in(typed, kept, made.plain.units)
    except BadInput as error:
        made.state.problems[item, error.field or "value"] = error.message
        return _refused(made, "Nothing was saved: see below.")
    table, wrong = table_of({key: text for key, text in said.items() if text}, made.plain.units)
    if set(said) - {"temperature", "atc"} and not said[typed["what"]]:
        wrong = {}
    made.state.problems |= {(item, key): text for key, text in wrong.items()}
    before = made.state.readings.pop(item, None)
    after = {
        key: value
        for key, value in {**kept, **dict.fromkeys(said), **table}.items()
        if value is not None
    }
    if set(after) - {"temperature", "atc"}:
        made.state.readings[item] = after
    made.sheet()  # which finds what cannot be compared
    made.state.readings.pop(item, None)
    if before is not None:
        made.state.readings[item] = before
    told = [
        (of, key) for of, key in made.state.problems
        if (of == item and key in said) or of not in made.state.readings
        or _of_use(made, of, key, made.state.readings[of].get(key))
    ]  # fmt: skip
    table = {**dict.fromkeys(said), **table}
    if wrong or told or made.why:
        made.state.typed[item] = typed
        words = table.get(PRESSURE) or typed.get("value")
        if PRESSURE in said and words and not _of_use(made, item, PRESSURE, words):
            with suppress(FileChanged):  # what another has read meanwhile stays
                _save(made, item, {PRESSURE: words})  # a stop on every telephone
                return _refused(made, "It cannot be used, and is kept as you typed it: see below.")
        return _refused(made, made.why or "Nothing was saved: see below.")
    try:
        _save(made, item, table)
    except FileChanged as error:
        made.state.readings = made.files.readings(made.batch)
        made.state.theirs[item] = made.state.readings.get(item, {})
        return _refused(made, error.message, 409)
    to = f"{address(made)}#read-{item}"
    if _in_place():
        return _told({"saved": f"{datetime.now():%H:%M}", "go": to})
    return redirect(to, 303)


def _of_use(made: BatchShown, item: str, key: str, value: object) -> bool:
    """Whether a reading can be read at all; one of a gauge that cannot is kept as it was typed."""
    try:
        readings_of({item: {key: value}}, made.ids)
    except Wrong:
        return False
    return True


def _save(made: BatchShown, item: str, table: dict[str, object]) -> None:
    seen = dict(part.split(":", 1) for part in request.form.get("seen", "").split() if ":" in part)
    made.files.save_readings(made.batch, item, table, seen)
    made.state.readings = made.files.readings(made.batch)
    if not made.state.kept.serves:
        made.files.plan(made.batch, made.serves, made.said.service, made.state.kept.version)
        made.state.kept = made.files.kept(made.batch)


def _in_place() -> bool:
    """Whether a script asks, which shows what it is told where it stands."""
    return request.accept_mimetypes.best == "application/json"


def _told(said: dict[str, object], status: int = 200) -> AnyResponse:
    response = jsonify(said)
    response.status_code = status
    return response


def _refused(
    made: BatchShown, why: str, status: int = NOT_PLANNED
) -> AnyResponse | tuple[str, int]:
    """A sentence, and nothing saved: on the sheet, or to the script that asked."""
    if _in_place():
        first = next(iter(made.state.problems.values()), "")
        return _told({"problem": made.book.plain(f"{why} {first}".strip())}, status)
    made.why = why
    _not_kept(made)
    return page(made, status)


def _not_kept(made: BatchShown) -> None:
    """A reading that was sent and is not kept makes nothing milder, whatever the reason is."""
    item = request.form.get("item", "")
    typed = field_of(request.form, item)
    if "save" not in request.form or item not in made.ids or "value" not in typed:
        return
    filled = any(
        item_sheet["id"] == item and item_sheet["filling"]
        for item_sheet in made.plain.first["items"]
    )
    made.not_read(item, {typed.get("what", PRESSURE if filled else ""): typed["value"]})


# ---- the batch sheet of a recipe ----

blueprint = Blueprint("batch", __name__)
blueprint.post("/<name>/batch")(keep)


@blueprint.get("/<name>/batch")
def view(name: str) -> AnyResponse | tuple[str, int]:
    """The batch sheet with what is kept of it."""
    if not desk().book.write and any(key.startswith("value.") for key in request.args):
        return _one_more_reading(name)
    made = BatchShown(name)
    made.look_up()
    return page(made)


def _one_more_reading(name: str) -> AnyResponse:
    """A reading from the field of an item, put into the address that holds the others."""
    held = [
        (key, value)
        for key, value in request.args.items(multi=True)
        if not key.startswith(("what.", "value.", "temperature.", "atc."))
    ]
    last = ""
    for key in request.args:
        item = key.removeprefix("value.")
        typed = field_of(request.args, item)
        if not key.startswith("value.") or not typed.get("value") or "what" not in typed:
            continue
        last = item
        own = {f"{READ}.{item}.{part}" for part in (typed["what"], "temperature", "atc")}
        held = [pair for pair in held if pair[0] not in own]
        held.append((f"{READ}.{item}.{typed['what']}", typed["value"]))
        held += [
            (f"{READ}.{item}.{part}", typed[part]) for part in ("temperature", "atc")
            if part in typed
        ]  # fmt: skip
    anchor = f"#read-{last}" if last else ""
    return redirect(f"{url_for('recipes.batch.view', name=name)}?{urlencode(held)}{anchor}", 303)


@blueprint.get("/<name>/batch.json")
def as_json(name: str) -> AnyResponse:
    """The plan with its readings, letter by letter as `plan --measured --json` prints it."""
    made = BatchShown(name)
    made.look_up()
    sheet = made.sheet()
    if made.state.problems or made.why:
        raise BadInput(made.why or next(iter(made.state.problems.values())))
    text = printed(sheet.asked.replaced(as_json=True), sheet.worked)
    return Response(text, mimetype="application/json")
