"""What is kept of a batch: what was ticked off, for how many serves, and what was read.

A batch is one making of a recipe for one service of one day. How many serves it is for, and when
the service is, may change while it is made. Beside the recipes lie `batches/` with two files for
each: one of readings (what `plan --measured` reads) and one of what was done. Files of version 1,
which were named by a number of serves, are read as they are; the first change writes new ones
beside them.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

from prepkit.errors import FileProblem
from prepkit.page import safe_files
from prepkit.page.batch_format import (
    CLOCK,
    Done,
    Kept,
    Tables,
    kept_text,
    migrated,
    read_kept,
    tables_by_item,
    version_of,
)
from prepkit.page.recipe_folder import BATCHES, BETWEEN, READ_ONLY, Book, ReadOnly, toml_of
from prepkit.page.safe_files import Changed
from prepkit.plan.fields import Wrong
from prepkit.plan.files import below

MOST_BATCHES = 50  # shown of one recipe, the latest first


@dataclass(frozen=True)
class Batch:
    """One making of a recipe: on which day, for which service of it, in which variant.

    `service` is the time that the service was planned for when the batch was begun, or "" where
    none was named. `old_serves` names a batch that version 1 kept by its number of serves.
    """

    recipe: str
    day: date
    service: str = ""
    variant: str | None = None
    old_serves: int | None = None

    @property
    def stem(self) -> str:
        """What the files of the batch are called, before what they hold."""
        which = f"service-{self.service.replace(':', '-')}" if self.service else "service"
        if self.old_serves is not None:
            which = str(self.old_serves)
        rest = f".{self.variant}" if self.variant else ""
        return f"{self.recipe.rpartition(BETWEEN)[2]}.{self.day.isoformat()}.{which}{rest}"


class Conflict(Changed):
    """Another has done the same line otherwise, or changed the serves, since it was looked at."""

    code = "conflict"

    def __init__(self, message: str, now: Done | None = None) -> None:
        super().__init__(message)
        self.now = now


class Batches:
    """The batches of a book of recipes; nothing is written unless the book may be."""

    def __init__(self, book: Book) -> None:
        self.book = book

    # which batch

    def found(self, asked: Batch, serves: str) -> Batch:
        """The batch that an address means: one that is kept, or a new one as asked.

        A service that was moved is found by its new time too; one that was begun before it had a
        time, or that version 1 kept, takes the time that is asked.
        """
        there = [
            one
            for one in self.of_recipe(asked.recipe)
            if (one.day, one.variant) == (asked.day, asked.variant)
        ]
        if asked in there:
            return asked
        if asked.service:
            times = {one: self._time(one) for one in there}
            now = [one for one in there if times[one] == asked.service]
            there = now or [one for one in there if not times[one]]
        same = [one for one in there if serves and str(one.old_serves) == serves]
        if len(same) == 1:
            return same[0]
        return there[0] if len(there) == 1 else asked

    def _time(self, batch: Batch) -> str:
        try:
            return self.kept(batch).service
        except (Wrong, FileProblem):  # who opens it is told
            return batch.service

    def of_recipe(self, name: str) -> list[Batch]:
        """The batches of a recipe of which something is kept, the latest first."""
        path = self.book.path(name)
        shape = re.compile(
            rf"{re.escape(path.stem)}\.(\d{{4}}-\d\d-\d\d)"
            r"\.(?:(\d{1,6})|service(?:-(\d\d)-(\d\d))?)(?:\.([\w-]+))?"
            r"\.(?:readings|ticks|batch)\.toml"
        )
        try:
            files = [one.name for one in os.scandir(path.parent / BATCHES) if one.is_file()]
        except OSError:  # nothing has been kept yet
            return []
        found = set()
        for file in files:
            match = shape.fullmatch(file)
            if match is None:
                continue
            try:
                day = date.fromisoformat(match[1])
            except ValueError:
                continue
            service = f"{match[3]}:{match[4]}" if match[3] else ""
            if not service or CLOCK.fullmatch(service):
                old = int(match[2]) if match[2] else None
                found.add(Batch(name, day, service, match[5], old))
        latest = sorted(
            found,
            key=lambda one: (one.day, one.service, one.old_serves or 0, one.variant or ""),
            reverse=True,
        )
        return latest[:MOST_BATCHES]

    # what was done

    def kept(self, batch: Batch) -> Kept:
        """What is kept of a batch; FileProblem or Wrong where its file cannot be used."""
        path = self._beside(batch, "batch")
        return self._kept(batch, safe_files.text_of(path, "batch"), path.name)

    def _kept(self, batch: Batch, text: str | None, file: str) -> Kept:
        if text is not None:
            return read_kept(text, file)
        if batch.old_serves is None:
            return Kept(service=batch.service)
        old = self._beside(batch, "ticks")
        ticks = tables_by_item(safe_files.text_of(old, "ticks"), old.name)
        return Kept(str(batch.old_serves), "", migrated(ticks, str(batch.old_serves)))

    def tick(
        self, batch: Batch, item: str, what: str, done: Done | None, seen: str, plan: Kept
    ) -> None:
        """Tick one line off, or take the tick away (None); others may do theirs meanwhile.

        `seen` is the version of the line that was looked at, `plan` the serves and the service
        that it was planned for. Raises ReadOnly, Conflict, FileProblem.
        """

        def change(kept: Kept) -> Kept:
            ticks = {id_: dict(lines) for id_, lines in kept.ticks.items()}
            of = ticks.setdefault(item, {})
            now = of.get(what)
            if now is None and done is None:
                return kept
            if now is not None and done is not None and now.g == done.g:
                return kept  # the first keeps its time
            if version_of(now) != seen:
                raise Conflict(_theirs(now, done), now)
            if done is None:
                del of[what]
            else:
                of[what] = replace(done, at=done.at.replace(microsecond=0))
            return replace(kept, ticks={id_: lines for id_, lines in ticks.items() if lines})

        self._change(batch, change, plan)

    def plan(self, batch: Batch, serves: str, service: str, seen: str) -> None:
        """Keep another number of serves or time of service; `seen` is the version looked at."""

        def change(kept: Kept) -> Kept:
            if (kept.serves, kept.service) == (serves, service):
                return kept
            if kept.serves and kept.version != seen:
                when = f", service {kept.service}" if kept.service else ""
                raise Conflict(
                    f"Another has set the serves to {kept.serves}{when} meanwhile, and you entered "
                    f"{serves}{f', service {service}' if service else ''}. Nothing was changed; "
                    "look at it again."
                )
            return replace(kept, serves=serves, service=service)

        self._change(batch, change, Kept(serves, service))

    def _change(self, batch: Batch, change: Callable[[Kept], Kept], plan: Kept) -> None:
        if not self.book.write:
            raise ReadOnly(READ_ONLY)
        path = self._beside(batch, "batch")

        def text(before: str | None) -> str:
            kept = change(self._kept(batch, before, path.name))
            if not kept.serves:
                kept = replace(kept, serves=plan.serves)
            if not kept.service:
                kept = replace(kept, service=plan.service)
            return kept_text(kept)

        safe_files.rewrite(path, text, "batch")

    # what was read

    def readings_path(self, batch: Batch) -> Path:
        """Where the readings of a batch are kept, as the command line would name it."""
        return self._beside(batch, "readings")

    def readings(self, batch: Batch) -> Tables:
        """What was read, by item; FileProblem or Wrong where the file cannot be used."""
        path = self.readings_path(batch)
        return tables_by_item(safe_files.text_of(path, "readings"), path.name)

    def save_readings(
        self, batch: Batch, item: str, table: Mapping[str, object], seen: Mapping[str, str]
    ) -> None:
        """Save some readings of one item, by what was read; None takes one away.

        `seen` are the versions of those that were looked at, by what was read. What is not named
        stays as another may have saved it. Raises ReadOnly, Changed, FileProblem.
        """
        if not self.book.write:
            raise ReadOnly(READ_ONLY)
        path = self.readings_path(batch)

        def change(before: str | None) -> str:
            tables = tables_by_item(before, path.name)
            now = tables.get(item, {})
            for what, value in table.items():
                there = now.get(what)
                if reading_version(there) != seen.get(what, safe_files.NONE) and there != value:
                    raise Changed(safe_files.MEANWHILE)
            after = {what: value for what, value in {**now, **table}.items() if value is not None}
            if after:
                tables[item] = after
            else:
                tables.pop(item, None)
            return toml_of(tables)

        safe_files.rewrite(path, change, "readings")

    def _beside(self, batch: Batch, what: str) -> Path:
        folder = self.book.path(batch.recipe).parent
        name = f"{BATCHES}/{batch.stem}.{what}.toml"
        if below(folder, name) != folder.resolve() / name:  # a link to elsewhere
            raise FileProblem(f"{BATCHES} is a link to another place, and nothing there is read.")
        return folder / name


def _theirs(now: Done | None, done: Done | None) -> str:
    """Both sides of a line that two have done otherwise."""
    if now is None:
        return "Another has taken this tick away meanwhile; look at the line again."
    theirs = f"Another has ticked this at {now.clock}"
    if now.g is not None:
        theirs += f" with {now.g:g} g" + (f" for {now.serves}" if now.serves else "")
    if done is None:
        return f"{theirs}. The tick was not taken away; look at the line again."
    of = "" if done.g is None else f" {done.g:g} g" + (f" for {done.serves}" if done.serves else "")
    return f"{theirs}; yours,{of}, was not saved. Agree on what is in the bowl."


def reading_version(value: object) -> str:
    """The version of one reading; that of none is NONE."""
    return safe_files.version_of(None if value is None else repr(value))[:8]
