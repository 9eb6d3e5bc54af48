"""Which batch an address means, what is kept of it, how two cooks merge; its file.

Version 1 was a file of ticks that was named by a number of serves, with amounts in its words.

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
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import Any, NamedTuple

from pydantic_core import SchemaValidator, ValidationError, core_schema

from prepkit.errors import FileProblem
from prepkit.index import VERSIONS
from prepkit.page import recipe_folder
from prepkit.page.recipe_folder import (
    BATCHES,
    BETWEEN,
    READ_ONLY,
    FileChanged,
    ReadOnly,
    RecipeFolder,
    toml_of,
)
from prepkit.plan.files import Wrong, below, tables_of

# ---- the file of what was done of a batch ----

CLOCK = re.compile(r"([01]\d|2[0-3]):([0-5]\d)")
_WEIGHED = re.compile(r"weigh (\d+(?:\.\d+)?) g (.+)")
_VESSEL = re.compile(r"(vessel \d+) of \d+")
_TIMES = re.compile(r"(step: .+?)(?: \(\d+ times\))?( \(\d+\))?")
_ADDED = re.compile(r"add (.+) after .+")

Tables = dict[str, dict[str, Any]]  # Any: whatever a TOML table has, checked by who reads it


@dataclass(frozen=True)
class Done:
    """That something was done: when, and of a weighing how much and for how many serves."""

    at: datetime
    g: float | None = None
    serves: str = ""  # how many, as a form says it: "60", or "Ledger=60, Soda=35"

    @property
    def version(self) -> str:
        """A name of it, to tell whether another has changed it meanwhile."""
        return recipe_folder.version_of(f"{self.at.isoformat()} {self.g}")[:8]

    @property
    def clock(self) -> str:
        """The time of day."""
        return f"{self.at:%H:%M}"


@dataclass(frozen=True)
class Kept:
    """What is kept of a batch beside its readings; `serves` is "" where nothing is kept yet."""

    serves: str = ""
    service: str = ""  # when it is now
    ticks: Mapping[str, Mapping[str, Done]] = field(default_factory=dict)

    @property
    def version(self) -> str:
        """A name of the serves and the service, to tell whether another has changed them."""
        return recipe_folder.version_of(f"{self.serves} {self.service}")[:8]


class WeighedOut(NamedTuple):
    """Something that was weighed out: for a ledger of what there is."""

    item: str
    name: str
    g: float
    at: datetime


def version_of(done: Done | None) -> str:
    """The version of a line; that of one that is not done yet is NONE."""
    return recipe_folder.NONE if done is None else done.version


def taken(kept: Kept) -> list[WeighedOut]:
    """Everything that was weighed out for a batch, corrections too, in the order of its items."""
    return [
        WeighedOut(item, name, done.g, done.at)
        for item, lines in kept.ticks.items()
        for what, done in lines.items()
        if done.g is not None and (name := _name(what))
    ]


def _name(what: str) -> str:
    """What was weighed, from the words of its line.

    >>> _name("weigh rum 43 % (2)"), _name("add white sugar after refractometer 48 Bx")
    ('rum 43 %', 'white sugar')
    """
    added = _ADDED.fullmatch(what)
    if added:
        return added[1]
    return re.sub(r" \(\d+\)$", "", what.removeprefix("weigh ")) if what[:6] == "weigh " else ""


# the file of what was done


def _closed(**fields: core_schema.CoreSchema) -> core_schema.CoreSchema:
    """A table with these keys alone; all but the first may be left out."""
    first = next(iter(fields))
    return core_schema.typed_dict_schema(
        {
            key: core_schema.typed_dict_field(field, required=key == first)
            for key, field in fields.items()
        },
        extra_behavior="forbid",
    )


_SERVES = core_schema.str_schema(strict=True, min_length=1, max_length=500)
_TEXT = core_schema.str_schema(strict=True)
_LINE = _closed(
    at=core_schema.datetime_schema(strict=True),
    g=core_schema.float_schema(strict=True, ge=0, allow_inf_nan=False),
    serves=_SERVES,
)
_FILE = SchemaValidator(
    _closed(
        format=core_schema.int_schema(strict=True),
        serves=_SERVES,
        service=core_schema.str_schema(strict=True, pattern=f"^({CLOCK.pattern})$"),
        ticks=core_schema.dict_schema(_TEXT, core_schema.dict_schema(_TEXT, _LINE)),
    )
)


def read_kept(text: str, file: str) -> Kept:
    """What a file of this version holds; Wrong in one sentence otherwise."""
    tables = tables_of(text, file, "file of a batch")
    version = tables.get("format")
    if isinstance(version, int) and version > VERSIONS["batch"]:
        raise Wrong(
            file, "format",
            f"it is {version}, of a later prepkit; this one reads up to {VERSIONS['batch']}.",
        )  # fmt: skip
    try:
        read = _FILE.validate_python(tables)
    except ValidationError as error:
        where = ".".join(str(value)[:60] for value in error.errors()[0]["loc"])
        raise Wrong(
            file, where,
            "it is not as the page writes it. Put back the file as it was, from previous.",
        ) from error  # fmt: skip
    if read["format"] != VERSIONS["batch"]:
        raise Wrong(file, "format", f"it is {read['format']}; it must be {VERSIONS['batch']}.")
    ticks = {
        id_: {what: Done(**line) for what, line in lines.items()}
        for id_, lines in read.get("ticks", {}).items()
    }
    return Kept(read.get("serves", ""), read.get("service", ""), ticks)


def kept_text(kept: Kept) -> str:
    """The file of what was done.

    >>> at = datetime(2026, 11, 28, 17, 42, 5)
    >>> lines = {"my-mix": {"weigh water": Done(at, 54.5, "60")}}
    >>> print(kept_text(Kept("60", "18:00", lines)), end="")
    format = 2
    serves = "60"
    service = "18:00"
    <BLANKLINE>
    [ticks.my-mix."weigh water"]
    at = 2026-11-28T17:42:05
    g = 54.5
    serves = "60"
    """
    head: dict[str, object] = {"format": VERSIONS["batch"]}
    head |= {"serves": kept.serves} if kept.serves else {}
    head |= {"service": kept.service} if kept.service else {}
    top = toml_of({"x": head}).partition("\n")[2]
    rows = [
        toml_of({what: {k: value for k, value in vars(done).items() if value not in (None, "")}})
        .replace("[", f"[ticks.{toml_of({item: {}}).strip()[1:-1]}.", 1)
        for item, lines in kept.ticks.items()
        for what, done in lines.items()
    ]  # fmt: skip
    return "\n".join([top, *rows])


def migrated(ticks: Tables, serves: str) -> dict[str, dict[str, Done]]:
    """The ticks of a file of version 1, which had their amounts in their words.

    >>> at = datetime(2026, 11, 26, 17, 0)
    >>> migrated({"my-mix": {"weigh 2543 g rum 43 %": at}}, "40")["my-mix"]["weigh rum 43 %"].g
    2543.0
    """
    found: dict[str, dict[str, Done]] = {}
    for item, lines in ticks.items():
        of: dict[str, Done] = {}
        for what, at in lines.items():
            if not isinstance(at, datetime):
                continue
            weighed, vessel = _WEIGHED.fullmatch(what), _VESSEL.fullmatch(what)
            step = _TIMES.fullmatch(what)
            if weighed:
                name, done = f"weigh {weighed[2]}", Done(at, float(weighed[1]), serves)
            elif vessel:
                name, done = vessel[1], Done(at)
            else:
                name = f"{step[1]}{step[2] or ''}" if step else what
                done = Done(at)
            again, number = name, 2
            while again in of:
                again, number = f"{name} ({number})", number + 1
            of[again] = done
        if of:
            found[item] = of
    return found


def tables_by_item(text: str | None, file: str) -> Tables:
    """The tables of a file of a batch, by item."""
    if text is None:
        return {}
    found = tables_of(text, file, "file of a batch")
    for id_, table in found.items():
        if not isinstance(table, dict):
            raise Wrong(file, id_[:60], "it is not a table; write one for each item.")
    return {id_: dict(table) for id_, table in found.items()}


# ---- what is kept of a batch ----

MOST_BATCHES = 50  # shown of one recipe, the latest first


@dataclass(frozen=True)
class KeptBatch:
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


class Conflict(FileChanged):
    """Another has done the same line otherwise, or changed the serves, since it was looked at."""

    code = "conflict"

    def __init__(self, message: str, now: Done | None = None) -> None:
        super().__init__(message)
        self.now = now


class Batches:
    """The batches of a book of recipes; nothing is written unless the book may be."""

    def __init__(self, book: RecipeFolder) -> None:
        self.book = book

    # which batch

    def found(self, asked: KeptBatch, serves: str) -> KeptBatch:
        """The batch that an address means: one that is kept, or a new one as asked.

        A service that was moved is found by its new time too; one that was begun before it had a
        time, or that version 1 kept, takes the time that is asked.
        """
        there = [
            batch
            for batch in self.of_recipe(asked.recipe)
            if (batch.day, batch.variant) == (asked.day, asked.variant)
        ]
        if asked in there:
            return asked
        if asked.service:
            times = {batch: self._time(batch) for batch in there}
            now = [batch for batch in there if times[batch] == asked.service]
            there = now or [batch for batch in there if not times[batch]]
        same = [batch for batch in there if serves and str(batch.old_serves) == serves]
        if len(same) == 1:
            return same[0]
        return there[0] if len(there) == 1 else asked

    def _time(self, batch: KeptBatch) -> str:
        try:
            return self.kept(batch).service
        except (Wrong, FileProblem):  # who opens it is told
            return batch.service

    def of_recipe(self, name: str) -> list[KeptBatch]:
        """The batches of a recipe of which something is kept, the latest first."""
        path = self.book.path(name)
        shape = re.compile(
            rf"{re.escape(path.stem)}\.(\d{{4}}-\d\d-\d\d)"
            r"\.(?:(\d{1,6})|service(?:-(\d\d)-(\d\d))?)(?:\.([\w-]+))?"
            r"\.(?:readings|ticks|batch)\.toml"
        )
        try:
            files = [entry.name for entry in os.scandir(path.parent / BATCHES) if entry.is_file()]
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
                found.add(KeptBatch(name, day, service, match[5], old))
        latest = sorted(
            found,
            key=lambda one: (one.day, one.service, one.old_serves or 0, one.variant or ""),
            reverse=True,
        )
        return latest[:MOST_BATCHES]

    # what was done

    def kept(self, batch: KeptBatch) -> Kept:
        """What is kept of a batch; FileProblem or Wrong where its file cannot be used."""
        path = self._beside(batch, "batch")
        return self._kept(batch, recipe_folder.text_of(path, "batch"), path.name)

    def _kept(self, batch: KeptBatch, text: str | None, file: str) -> Kept:
        if text is not None:
            return read_kept(text, file)
        if batch.old_serves is None:
            return Kept(service=batch.service)
        old = self._beside(batch, "ticks")
        ticks = tables_by_item(recipe_folder.text_of(old, "ticks"), old.name)
        return Kept(str(batch.old_serves), "", migrated(ticks, str(batch.old_serves)))

    def tick(
        self, batch: KeptBatch, item: str, what: str, done: Done | None, seen: str, plan: Kept
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

    def plan(self, batch: KeptBatch, serves: str, service: str, seen: str) -> None:
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

    def _change(self, batch: KeptBatch, change: Callable[[Kept], Kept], plan: Kept) -> None:
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

        recipe_folder.rewrite(path, text, "batch")

    # what was read

    def readings_path(self, batch: KeptBatch) -> Path:
        """Where the readings of a batch are kept, as the command line would name it."""
        return self._beside(batch, "readings")

    def readings(self, batch: KeptBatch) -> Tables:
        """What was read, by item; FileProblem or Wrong where the file cannot be used."""
        path = self.readings_path(batch)
        return tables_by_item(recipe_folder.text_of(path, "readings"), path.name)

    def save_readings(
        self, batch: KeptBatch, item: str, table: Mapping[str, object], seen: Mapping[str, str]
    ) -> None:
        """Save some readings of one item, by what was read; None takes one away.

        `seen` are the versions of those that were looked at, by what was read. What is not named
        stays as another may have saved it. Raises ReadOnly, FileChanged, FileProblem.
        """
        if not self.book.write:
            raise ReadOnly(READ_ONLY)
        path = self.readings_path(batch)

        def change(before: str | None) -> str:
            tables = tables_by_item(before, path.name)
            now = tables.get(item, {})
            for what, value in table.items():
                there = now.get(what)
                if reading_version(there) != seen.get(what, recipe_folder.NONE) and there != value:
                    raise FileChanged(recipe_folder.MEANWHILE)
            after = {what: value for what, value in {**now, **table}.items() if value is not None}
            if after:
                tables[item] = after
            else:
                tables.pop(item, None)
            return toml_of(tables)

        recipe_folder.rewrite(path, change, "readings")

    def _beside(self, batch: KeptBatch, what: str) -> Path:
        folder = self.book.path(batch.recipe).parent
        name = f"{BATCHES}/{batch.stem}.{what}.toml"
        if below(folder, name) != str(folder.resolve() / name):  # a link to elsewhere
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
    return recipe_folder.version_of(None if value is None else repr(value))[:8]
