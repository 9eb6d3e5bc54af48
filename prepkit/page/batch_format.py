"""The file of what was done of a batch: its lines with their amounts, written and read.

Version 1 was a file of ticks that was named by a number of serves, with amounts in its words.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, NamedTuple

from pydantic_core import SchemaValidator, ValidationError, core_schema

from prepkit.formats import VERSIONS
from prepkit.page import safe_files
from prepkit.page.recipe_folder import toml_of
from prepkit.plan.fields import Wrong
from prepkit.plan.files import tables_of

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
        return safe_files.version_of(f"{self.at.isoformat()} {self.g}")[:8]

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
        return safe_files.version_of(f"{self.serves} {self.service}")[:8]


class Taken(NamedTuple):
    """Something that was weighed out: for a ledger of what there is."""

    item: str
    name: str
    g: float
    at: datetime


def version_of(done: Done | None) -> str:
    """The version of a line; that of one that is not done yet is NONE."""
    return safe_files.NONE if done is None else done.version


def taken(kept: Kept) -> list[Taken]:
    """Everything that was weighed out for a batch, corrections too, in the order of its items."""
    return [
        Taken(item, name, done.g, done.at)
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
        where = ".".join(str(one)[:60] for one in error.errors()[0]["loc"])
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
