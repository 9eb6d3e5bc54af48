"""The batch sheet on a screen: what is ticked off, what was read, and what follows from it.

A plan of the evening and what is kept of it become rows here; no figure is made. With --write ticks
and readings are kept beside the recipe; without it they live in the address.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from prepkit.errors import BadInput
from prepkit.page.recipe_folder import Batch, version_of
from prepkit.page.sheets import NotAsked, Sheet
from prepkit.plan.readings import KEYS
from prepkit.render.batch import Expected, batches
from prepkit.render.batch import ItemRows as Rows
from prepkit.render.measured_html import measured_parts, of_item
from prepkit.render.plan_scale import scale_marks
from prepkit.render.plan_text import held_words, vessel_words
from prepkit.sheet import Reason
from prepkit.units import parse_number, shown_in

READ, DONE = "read", "done"
WARM = ("refractometer", "density")  # read with the temperature of the sample
FEW = 30  # items on one page; of more each has its own
LONGEST = 60  # characters of a reading
_OWN = ("temperature", "atc")


@dataclass(frozen=True)
class Tick:
    """One thing to do: its id in the page, its words, and when it was done."""

    id: str
    what: str  # as it is kept
    words: str
    more: str
    done: bool
    at: str


@dataclass(frozen=True)
class Reading:
    """One reading: the field that it is typed into, what is expected, what was typed."""

    name: str
    label: str
    expected: str
    off: str
    unit: str
    typed: str
    problem: str

    @property
    def id(self) -> str:
        """The id of the field."""
        return f"in-{self.name}"


@dataclass(frozen=True)
class Work:
    """One item of the sheet as it is shown."""

    place: int
    id: str
    verdict: str
    note: str
    stops: Sequence[Reason]
    held: str
    fill: str
    marks: Sequence[str] = ()  # what the scale cannot weigh well
    weigh: Sequence[Tick] = ()
    charge: Sequence[Tick] = ()
    steps: Sequence[Tick] = ()
    readings: Sequence[Reading] = ()
    atc: bool | None = None  # None: nothing here is read through a refractometer
    seen: str = ""  # the version of the readings that are shown
    drift: Mapping[str, Any] | None = None
    cautions: Sequence[int] = ()
    theirs: Sequence[str] = ()  # what another has saved meanwhile

    @property
    def ticks(self) -> list[Tick]:
        """Everything to be ticked off, in the order in which it is shown."""
        return [*self.weigh, *self.charge, *self.steps]

    @property
    def done(self) -> int:
        """How much is ticked off."""
        return sum(one.done for one in self.ticks)


@dataclass
class State:
    """What is kept of a batch, and what was typed and could not be used."""

    ticks: Mapping[str, Mapping[str, datetime | None]] = field(default_factory=dict)
    readings: dict[str, dict[str, Any]] = field(default_factory=dict)
    typed: dict[str, dict[str, str]] = field(default_factory=dict)  # not saved
    problems: dict[tuple[str, str], str] = field(default_factory=dict)
    theirs: dict[str, dict[str, Any]] = field(default_factory=dict)
    seen: dict[str, str] = field(default_factory=dict)  # versions that a form not saved came from


def batch_of(name: str, sheet: Sheet, args: Any, today: date) -> Batch:
    """Which batch an address means."""
    said = args.get("on", "").strip()
    plan = sheet.worked.plan
    return Batch(name, day_of(said) if said else today, plan.serves, plan.recipe.variant)


def day_of(said: str) -> date:
    """A day as it is written in an address; NotAsked otherwise."""
    try:
        day = date.fromisoformat(said)
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year < 2100:
        raise NotAsked(f'Made on is "{said[:40]}"; write the day as 2026-11-26.', "on")
    return day


# what there is to do


def tick_id(item: str, what: str) -> str:
    """The id of a thing to do, the same as long as its words and its amount are."""
    return "t-" + hashlib.sha256(f"{item}\n{what}".encode()).hexdigest()[:10]


def works(sheet: Sheet, state: State, *, again: bool = False) -> list[Work]:
    """Every item that makes something, with what is kept of it.

    What must not be gone on with has nothing to do. Amounts are those first planned, or, `again`,
    those that follow from what was measured.
    """
    system = sheet.units
    now = sheet.worked.said
    first = {one.id: one for one in batches(sheet.first, system)}
    plain = {one.id: one for one in batches(now if again else sheet.first)}
    account = sheet.worked.account
    found = []
    for rows in batches(now, system):
        shown = rows if again or rows.id not in first else first[rows.id]
        work = _work(rows, shown if rows.go else rows, plain[rows.id], state, system)
        expected = first[rows.id].expected if rows.id in first else ()
        own = account is not None and any(
            one["item"] == rows.id for part in ("readings", "ph") for one in account[part]
        )
        found.append(
            _with_readings(
                work,
                expected,
                state,
                system,
                measured_parts(of_item(account, rows.id), system) if own and account else None,
            )
        )
    return found


def _work(rows: Rows, shown: Rows, plain: Rows, state: State, system: str) -> Work:
    item = rows.item
    stops = item["stops"] if rows.verdict == "stop" else ()
    held = held_words(item) if item["held_by"] and not stops else ""
    done = state.ticks.get(rows.id, {})
    base = Work(
        rows.place, rows.id, rows.verdict, item["note"], stops, held, "",
        cautions=item["cautions"],
        seen=state.seen.get(rows.id) or version_of(state.readings.get(rows.id)),
    )  # fmt: skip
    if not rows.go:
        return base
    weigh = [
        (f"weigh {bare.amount} {bare.unit} {line.name}", f"{line.amount} {line.unit} {line.name}",
         f"{f'± {line.off} {line.unit}' if line.off else ''}{', ' if line.off and line.how else ''}"
         f"{line.how}")
        for line, bare in zip(shown.weigh, plain.weigh, strict=True)
    ]  # fmt: skip
    fills = shown.fills
    charge = [
        (f"vessel {n} of {fills}", f"Vessel {n} charged and shaken", "")
        for n in range(1, fills + 1)
    ]
    steps = [(f"step: {task.words}", task.words, task.when) for task in shown.tasks]
    filling = shown.item["filling"]
    seen: dict[str, int] = {}

    def ticked(rows_of: Iterable[tuple[str, str, str]]) -> list[Tick]:
        ticks = []
        for what, words, more in rows_of:
            seen[what] = seen.get(what, 0) + 1
            own = what if seen[what] == 1 else f"{what} ({seen[what]})"
            at = done.get(own)
            ticks.append(
                Tick(tick_id(rows.id, own), own, words, more, own in done,
                     f"{at:%H:%M}" if at is not None else "")
            )  # fmt: skip
        return ticks

    return replace(
        base,
        fill=vessel_words({"item": "Fill", **filling}, system) if filling else "",
        marks=list(scale_marks(item, system)),
        weigh=ticked(weigh),
        charge=ticked(charge),
        steps=ticked(steps),
    )


def _with_readings(
    work: Work,
    expected: Sequence[Expected],
    state: State,
    system: str,
    drift: Mapping[str, Any] | None,
) -> Work:
    kept = state.readings.get(work.id, {})
    typed = state.typed.get(work.id, {})
    rows = [(one.what, one.label, one.value, one.off, one.unit) for one in expected]
    warm = any(what in WARM for what, *_ in rows)
    if warm:
        unit = shown_unit("temperature", system)
        rows.append(("temperature", "temperature of the sample", "", "", unit))
    readings = [
        Reading(
            f"{READ}.{work.id}.{what}", label, value, off, unit,
            typed[what] if what in typed else bare(kept.get(what), unit),
            state.problems.get((work.id, what), ""),
        )
        for what, label, value, off, unit in rows
    ]  # fmt: skip
    atc = bool(typed.get("atc") if typed else kept.get("atc")) if warm else None
    theirs = state.theirs.get(work.id)
    labels = {what: label for what, label, *_ in rows}
    return replace(
        work,
        readings=readings,
        atc=atc,
        drift=drift,
        theirs=()
        if theirs is None
        else [f"{labels.get(key, key)}: {value}" for key, value in theirs.items()] or ["nothing"],
    )


def stale(found: Sequence[Work], state: State) -> list[str]:
    """What was ticked off, and is no line of the sheet any more: another amount, another step."""
    known = {(work.id, tick.what) for work in found for tick in work.ticks}
    return [
        f"{item}: {what}"
        for item, done in state.ticks.items()
        for what in done
        if (item, what) not in known
    ]


# what was typed


def shown_unit(key: str, system: str) -> str:
    """The unit beside a reading's field: what a bare number is in."""
    units = KEYS[key]
    return shown_in(0.0, units[0], system)[1] if units else ""


def bare(value: Any, unit: str) -> str:
    """A reading as its field shows it: without the unit beside it.

    >>> bare("48.2 Bx", "Bx"), bare("9 g/l", "% w/w"), bare(3.1, ""), bare(None, "g")
    ('48.2', '9 g/l', '3.1', '')
    """
    if value is None:
        return ""
    text = str(value)
    return text.removesuffix(f" {unit}") if unit else text


def typed_of(args: Any, item: str) -> dict[str, str]:
    """What was typed of one item, by reading; empty fields are none."""
    found = {}
    for key in (*KEYS, "atc"):
        text = " ".join(str(args.get(f"{READ}.{item}.{key}", "")).split())
        if text:
            found[key] = text
    return found


def table_of(typed: Mapping[str, str], system: str) -> tuple[dict[str, Any], dict[str, str]]:
    """What was typed as a table of readings, and what is wrong with it by reading.

    A bare number is in the unit that stands beside its field.
    """
    table: dict[str, Any] = {}
    wrong: dict[str, str] = {}
    for key, text in typed.items():
        if key == "atc":
            table[key] = True
            continue
        if len(text) > LONGEST:
            wrong[key] = f"It has {len(text)} characters; a reading is a number with its unit."
            continue
        try:
            number, rest = parse_number(text, key)
        except BadInput as error:
            wrong[key] = error.message
            continue
        unit = shown_unit(key, system)
        if key == "ph" and not rest:
            table[key] = number
        else:
            table[key] = text if rest or not unit else f"{text} {unit}"
    if set(table) <= set(_OWN) and not wrong and table:
        wrong["temperature" if "temperature" in table else "atc"] = (
            "A temperature alone is nothing to compare; write what was read at it."
        )
    return table, wrong
