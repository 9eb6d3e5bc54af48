"""The stock on a screen: what stands is listed, counted, taken, discarded, and undone.

What is sent is done once: each form has a word of its own (`once`), and a form that is sent again
is told that it was saved. The words end with the run of the page, as the tokens of forms do.
"""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field
from hashlib import sha256
from secrets import token_urlsafe
from threading import Lock

from flask import Blueprint, abort, current_app, redirect, render_template, request, session
from flask import url_for as url
from werkzeug.wrappers import Response as AnyResponse

from prepkit.errors import BadInput, FileProblem
from prepkit.page import house
from prepkit.page.desk import NOT_PLANNED
from prepkit.page.recipe_folder import READ_ONLY
from prepkit.page.settings import settings
from prepkit.page.stock_rows import Row, all_if_shown, in_order, key_of, mg_of, seen_of, with_gone
from prepkit.stock import actions
from prepkit.stock.events import Event
from prepkit.stock.holding import Holding
from prepkit.stock.ledger import Ledger, cell_words
from prepkit.stock.words import amount_words
from prepkit.workflows.stock_desk import Said, time_of
from prepkit.workflows.stock_work import of_event

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


class Sent:
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


def _sent() -> Sent:
    found: Sent = current_app.extensions.setdefault("prepkit-stock", Sent())
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
        site, today = house.house().stock.site, settings().today()
        find = " ".join(request.args.get("find", "").split())[:200]
        typed = {*self.keys(), *self.problems}
        held = with_gone(ledger, site, ledger.stock_at(site=site), typed)
        rows = [
            Row(
                one,
                today,
                self.form.get(f"n.{key}", ""),
                self.form.get(f"reason.{key}", ""),
                self.problems.get(key, ""),
            )
            for key, one in held.items()
            if key in typed or find.lower() in _looked_in(one)
        ]
        ordered = in_order(rows)
        shown = [one for at, one in enumerate(ordered) if at < MOST_ROWS or one.key in typed]
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


def _looked_in(one: Holding) -> str:
    return f"{one.cell.item} {one.cell.place} {one.cell.batch}".lower()


def _event_words(ledger: Ledger, one: Event) -> str:
    by = f", {one.who}" if one.who else ""
    told = of_event(ledger, one) if one.change_mg else f"{cell_words(one.cell)} (event {one.id})"
    return f"{one.kind} {told}, {one.at.astimezone():%Y-%m-%d %H:%M}{by}"


@blueprint.get("/stock")
def index() -> tuple[str, int]:
    """What stands, what is past its date first."""
    with house.opened_ledger() as ledger:
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
    with sent.lock, house.opened_ledger() as ledger:
        before = sent.get(once)
        if before == said:
            session[_DONE] = {"again": True}
            return _back()
        if before is not None or not 8 <= len(once) <= 64:
            screen.why = _TWICE
            return screen.shown(ledger, 409)
        try:
            events = _do(ledger, screen)
        except actions.Changed as error:
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


def _say_changed(ledger: Ledger, screen: _Screen, error: actions.Changed) -> None:
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
    form, site = dict(screen.form), house.house().stock.site
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
    for one in keys:
        try:
            wanted[one] = _wanted(form, do, one, held.get(one))
        except actions.Changed:
            raise
        except BadInput as error:
            screen.problems[one] = _sentence(error)
    unknown = [one for one in screen.problems if one not in held]
    if screen.problems:
        screen.why = f"Nothing was saved. {_GONE}" if unknown else _NOT
        raise BadInput(screen.why)
    if do == "count":
        counted = [
            actions.Counted(held[one].cell, mg, seen_of(form, one)) for one, mg in wanted.items()
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
    row, words = Row(held, settings().today()), form.get(f"n.{key}", "").strip()
    if row.on_the_way:
        raise BadInput("It is on the way: receive it first.")
    if do == "take" and row.past:
        raise BadInput(f"It is past its date, {held.batch.use_by}. Discard it.")
    if do == "discard-all":
        if seen_of(form, key) != held.mg:
            raise actions.Changed("what stands has changed.", {held.cell: held.mg})
        return held.mg
    if not words:
        raise BadInput(f"Write how much, such as 250 {row.unit}.", "amount")
    found = mg_of(words, held)
    return found if do == "count" else all_if_shown(found, held)
