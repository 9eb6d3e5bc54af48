"""What is saved of a batch: one tick, one reading, another number of serves.

A form is answered with the sheet at the line that was touched. A script that asks for JSON is told
what it shows in place.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from datetime import datetime

from flask import jsonify, redirect, render_template, request
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem
from prepkit.page.batch_files import Conflict
from prepkit.page.batch_format import Done, Kept
from prepkit.page.batch_made import Made, address
from prepkit.page.batch_page import counted, page, stopped
from prepkit.page.batch_readings import PRESSURE, field_of, readings_in, table_of
from prepkit.page.batches import Tick, clock_of, sent, serves_of, works
from prepkit.page.desk import NOT_PLANNED, planned
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.page.safe_files import Changed
from prepkit.page.settings import settings
from prepkit.page.sheets import NotAsked
from prepkit.plan.fields import Wrong
from prepkit.plan.readings import readings_of

_CHANGED = "That line has changed since the sheet was opened; look at it again."


def keep(name: str) -> AnyResponse | tuple[str, int]:
    """Keep one tick, one reading, or another number of serves."""
    made = Made(name)
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


def _keep_plan(made: Made) -> AnyResponse | tuple[str, int]:
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


def _keep_tick(made: Made, item: str) -> AnyResponse | tuple[str, int]:
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


def _line(made: Made, item: str, id_: str, bare: str | None) -> Tick | None:
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


def _keep_reading(made: Made, item: str) -> AnyResponse | tuple[str, int]:
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
            with suppress(Changed):  # what another has read meanwhile stays
                _save(made, item, {PRESSURE: words})  # a stop on every telephone
                return _refused(made, "It cannot be used, and is kept as you typed it: see below.")
        return _refused(made, made.why or "Nothing was saved: see below.")
    try:
        _save(made, item, table)
    except Changed as error:
        made.state.readings = made.files.readings(made.batch)
        made.state.theirs[item] = made.state.readings.get(item, {})
        return _refused(made, error.message, 409)
    to = f"{address(made)}#read-{item}"
    if _in_place():
        return _told({"saved": f"{datetime.now():%H:%M}", "go": to})
    return redirect(to, 303)


def _of_use(made: Made, item: str, key: str, value: object) -> bool:
    """Whether a reading can be read at all; one of a gauge that cannot is kept as it was typed."""
    try:
        readings_of({item: {key: value}}, made.ids)
    except Wrong:
        return False
    return True


def _save(made: Made, item: str, table: dict[str, object]) -> None:
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


def _refused(made: Made, why: str, status: int = NOT_PLANNED) -> AnyResponse | tuple[str, int]:
    """A sentence, and nothing saved: on the sheet, or to the script that asked."""
    if _in_place():
        first = next(iter(made.state.problems.values()), "")
        return _told({"problem": made.book.plain(f"{why} {first}".strip())}, status)
    made.why = why
    _not_kept(made)
    return page(made, status)


def _not_kept(made: Made) -> None:
    """A reading that was sent and is not kept makes nothing milder, whatever the reason is."""
    item = request.form.get("item", "")
    typed = field_of(request.form, item)
    if "save" not in request.form or item not in made.ids or "value" not in typed:
        return
    filled = any(one["id"] == item and one["filling"] for one in made.plain.first["items"])
    made.not_read(item, {typed.get("what", PRESSURE if filled else ""): typed["value"]})
