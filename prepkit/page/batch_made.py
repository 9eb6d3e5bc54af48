"""What one request of a batch sheet is about: the plan, the batch, what is kept of it."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import replace
from urllib.parse import urlencode

from flask import request, url_for

from prepkit.errors import PrepkitError
from prepkit.page.batch_files import Batch, Batches
from prepkit.page.batch_readings import LONGEST, OWN, PRESSURE, READ, held_of, table_of
from prepkit.page.batches import DONE, State, batch_of, from_address, serves_of, works
from prepkit.page.desk import desk, planned
from prepkit.page.settings import settings
from prepkit.page.sheets import Sheet, Typed, Wanted, wanted
from prepkit.plan.fields import Wrong
from prepkit.plan.measured import Unread, compared
from prepkit.plan.readings import readings_of

TYPED = "the readings typed here"
MOST_PROBLEMS = 20


class Made:
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
        self.batch: Batch = batch_of(name, self.plain, on, self.said.service, settings().today())
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
        return [one["id"] for one in self.plain.first["items"] if one["makes"]]

    def look_up(self) -> None:
        """What is kept of the batch, from its files or from the address."""
        if self.book.write:
            try:
                self.state.readings = self.files.readings(self.batch)
            except PrepkitError as error:
                self.why = self.why or error.message
                where = f"in {self.files.readings_path(self.batch).name}"
                for one in self.plain.first["items"]:  # whatever stands there
                    if one["makes"]:
                        self.state.unread[one["id"], PRESSURE if one["filling"] else ""] = where
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
            self.state.unread[item, key] = f"“{str(value)[:LONGEST]}”"

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
                return planned(self.name, said, Typed(file, left, unread))
            except Wrong as error:
                if not left:
                    raise
                self._wrong(error, left)
        return plain

    def _wrong(self, error: Wrong, left: dict[str, dict[str, object]]) -> None:
        """Note a problem of the readings, and leave out what has it."""
        where, _, key = error.where.partition(".")
        items = [one for one in where.split(", ") if one in left]
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
            told = [one for one in left[item] if one not in (PRESSURE, *OWN)]
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


def query(made: Made, **more: str) -> str:
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


def address(made: Made, **more: str) -> str:
    return f"{url_for('recipes.batch.view', name=made.name)}?{query(made, **more)}"
