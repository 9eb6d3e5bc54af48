"""The batch sheet on a screen: what is ticked off, what was read.

A plan of the evening and what is kept of it become rows here; no figure is made but the difference
between what is planned now and what was weighed before. With --write ticks and readings are kept
beside the recipe; without it they live in the address.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from prepkit.errors import BadInput
from prepkit.model import rounded
from prepkit.numbers import Moment, length_words
from prepkit.page.batch_files import Done, Kept, KeptBatch, reading_version, version_of
from prepkit.page.requests import NotAsked, Sheet
from prepkit.plan.recipe_file import KEYS
from prepkit.render.batch import Expected, Weighing, batches, measured_parts, of_item
from prepkit.render.batch import ItemRows as Rows
from prepkit.render.plan_lists import UNITS, amount, scale_marks
from prepkit.render.plan_text import held_words, vessel_words
from prepkit.units import parse_number, shown_in

if TYPE_CHECKING:
    from prepkit.sheet import AccountSheet, CorrectionSheet, DriftSheet, Reason

# ---- readings of a batch ----

READ = "read"
WARM = ("refractometer", "density")  # read with the temperature of the sample
OWN = ("temperature", "atc")
PRESSURE = "pressure"
ATC = "-atc"  # of a refractometer that corrects for temperature
BATCH_READINGS_LONGEST = 60  # characters of a reading
# the instrument that reads it, as the field's chooser has it
NAMES = {
    "mass": "Scale, all of it", "refractometer": "Refractometer", "density": "Hydrometer",
    "acidity": "Titration, as citric", "abv": "Alcoholometer", "ph": "pH meter",
    "pressure": "Gauge on the vessel",
}  # fmt: skip
_LEFT, _WIDTH, _THIN = 12.0, 76.0, 6.0  # per cent of a strip


class InstrumentChoice(NamedTuple):
    """One choice of what to read with: what it should show, and what was read."""

    what: str
    name: str
    label: str
    expected: str
    off: str
    unit: str
    kept: str
    version: str

    @property
    def reading(self) -> str:
        """What it reads, whether it corrects for temperature or not."""
        return self.what.removesuffix(ATC)

    @property
    def warm(self) -> bool:
        """Whether the temperature of the sample counts."""
        return self.what in WARM


@dataclass(frozen=True)
class ReadingStrip:
    """A reading as a strip: the band that was expected, the dot that was read; places in %."""

    what: str
    label: str
    band: str
    read: str
    says: str
    beyond: bool
    band_at: float
    band_wide: float
    dot_at: float
    middle: float
    gap: str


def instruments(expected: Sequence[Expected], kept: Mapping[str, object]) -> list[InstrumentChoice]:
    """What an item can be read with, in the order of the sheet."""
    found = []
    for one in expected:
        there = kept.get(one.what)
        for what, name in _choices(one.what):
            right = what == one.what or bool(kept.get("atc"))
            if one.what == "refractometer" and kept.get("atc"):
                right = what != one.what
            found.append(
                InstrumentChoice(
                    what, name, one.label, one.value, one.off, one.unit,
                    bare(there, one.unit) if right else "", reading_version(there),
                )
            )  # fmt: skip
    return found


def _choices(what: str) -> list[tuple[str, str]]:
    """The instruments for one reading."""
    if what != "refractometer":
        return [(what, NAMES[what])]
    return [(what, NAMES[what]), (what + ATC, f"{NAMES[what]} with ATC")]


def strips(account: AccountSheet, system: str) -> list[ReadingStrip]:
    """The readings of one item as strips; those beyond their band first."""
    found = [_strip(reading, system) for reading in account["readings"]]
    return sorted(found, key=lambda one: not one.beyond)


def _strip(one: DriftSheet, system: str) -> ReadingStrip:
    zero, unit = shown_in(0.0, one["unit"], system)
    places = one["digits"] if unit == one["unit"] else max(one["digits"], 2)
    expected, measured = (
        shown_in(one[key], one["unit"], system)[0] for key in ("expected", "measured")
    )
    most = abs(shown_in(one["may_be_off"], one["unit"], system)[0] - zero)
    low, high = expected - most, expected + most
    first, last = min(low, measured), max(high, measured)
    scale = _WIDTH / (last - first) if last > first else 0.0
    wide = max(_THIN, scale * (high - low))
    at = min(_LEFT + scale * (low - first), _LEFT + _WIDTH - wide)
    dot = _LEFT + scale * (measured - first)
    gap = rounded(abs(measured - expected), places)
    side = "above" if measured > expected else "below"
    of = f" {unit}" if unit else ""
    read = rounded(measured, places)
    return ReadingStrip(
        one["what"],
        one["label"],
        f"{rounded(low, places)} – {rounded(high, places)}{of}",
        read,
        f"{read}{of} is {gap} {side} expected." if one["beyond"] else f"{read}{of} is as planned.",
        one["beyond"],
        round(at, 1),
        round(wide, 1),
        round(dot, 1),
        round((dot + at + wide / 2) / 2, 1),
        f"{gap} too {'high' if measured > expected else 'low'}" if one["beyond"] else "",
    )


# what was typed


def shown_unit(key: str, system: str) -> str:
    """The unit beside a reading's field: what a bare number is in."""
    units = KEYS[key]
    return shown_in(0.0, units[0], system)[1] if units else ""


def bare(value: object, unit: str) -> str:
    """A reading as its field shows it: without the unit beside it.

    >>> bare("48.2 Bx", "Bx"), bare("9 g/l", "% w/w"), bare(3.1, ""), bare(None, "g")
    ('48.2', '9 g/l', '3.1', '')
    """
    if value is None:
        return ""
    text = str(value)
    return text.removesuffix(f" {unit}") if unit else text


def held_of(args: Any, item: str) -> dict[str, str]:  # Any: werkzeug's MultiDict
    """What an address holds of one item, by reading; empty fields are none."""
    found = {}
    for key in (*KEYS, "atc"):
        text = _tidy(args.get(f"{READ}.{item}.{key}", ""))
        if text:
            found[key] = text
    return found


def field_of(args: Any, item: str) -> dict[str, str]:  # Any: werkzeug's MultiDict
    """What the one field of an item was sent with: what, value, temperature, atc."""
    names = ("what", "value", "temperature")
    found = {key: text for key in names if (text := _tidy(args.get(f"{key}.{item}", "")))}
    if found.get("what", "").endswith(ATC):
        found |= {"what": found["what"].removesuffix(ATC), "atc": "yes"}
    return found


def readings_in(
    typed: Mapping[str, str], kept: Mapping[str, object], system: str
) -> dict[str, str]:
    """The readings that the one field changes; "" takes one away.

    Raises BadInput where it names no instrument, or another temperature than what is kept has.
    """
    what = typed.get("what", "")
    if what not in NAMES:
        raise BadInput("Choose what it was read with.", "value")
    found = {what: typed.get("value", "")}
    if what not in WARM:
        return found
    others = [text for text in WARM if text != what and kept.get(text) is not None]
    temperature = typed.get("temperature", "") if found[what] else ""
    if not others:
        found["temperature"] = temperature
    elif found[what] and _degrees(temperature, system) != kept.get("temperature"):
        at = kept.get("temperature") or "20 C"
        raise BadInput(
            f"The {NAMES[others[0]].lower()} was read at {at}, and a batch keeps one temperature. "
            f"Read both at the same, or take the other away first.",
            "temperature",
        )
    if what == "refractometer":
        found["atc"] = typed.get("atc", "") if found[what] else ""
    return found


def _degrees(typed: str, system: str) -> object:
    """A temperature as a file of readings keeps it; None where none was typed."""
    return table_of({"temperature": typed}, system)[0].get("temperature") if typed else None


def table_of(
    typed: Mapping[str, str], system: str
) -> tuple[dict[str, Any], dict[str, str]]:  # Any: words and numbers of a file
    """What was typed as a table of readings, and what is wrong with it by reading.

    A bare number is in the unit that stands beside its field.
    """
    table: dict[str, object] = {}
    wrong: dict[str, str] = {}
    for key, text in typed.items():
        if key == "atc":
            table[key] = True
            continue
        if len(text) > BATCH_READINGS_LONGEST:
            wrong[key] = f"It has {len(text)} characters; a reading is a number with its unit."
            continue
        try:
            number_, rest = parse_number(text, key)
        except BadInput as error:
            wrong[key] = error.message
            continue
        unit = shown_unit(key, system)
        if key == "ph" and not rest:
            table[key] = number_
        else:
            table[key] = text if rest or not unit else f"{text} {unit}"
    if set(table) <= set(OWN) and not wrong and table:
        wrong["temperature" if "temperature" in table else "atc"] = (
            "A temperature alone is nothing to compare; write what was read at it."
        )
    return table, wrong


def _tidy(text: object) -> str:
    return " ".join(str(text).split())


# ---- the batch sheet on a screen ----

DONE = "done"
FEW = 30  # items on one page; of more each has its own
APART = "~"  # between the parts of what a form sends of one line
LONGEST = 500  # characters of how many serves
MOST_G = 1e7  # of one weighing in an address


class CheckLine(NamedTuple):
    """One thing to do before it is known whether it is done."""

    what: str  # as it is kept: without its amount
    words: str
    bare: str = ""  # the amount in grams as it stands on the sheet
    amount: str = ""
    unit: str = ""
    more: str = ""
    when: str = ""
    minutes: float = 0.0


@dataclass(frozen=True)
class Tick:
    """One thing to do: its id in the page, its words, and what is kept of it."""

    id: str
    line: CheckLine
    done: Done | None
    short: str = ""  # what is planned now, less what was weighed; "" where that is nothing
    too_little: bool = False
    more: str = ""  # what is to be added of it
    address: str = ""  # what an address holds of it
    serves: str = ""  # that the line is planned for

    @property
    def length(self) -> str:
        """How long a step takes; "" for what has no length of its own."""
        return length_words(self.line.minutes) if self.line.minutes else ""

    @property
    def is_done(self) -> bool:
        """Whether there is nothing more to do."""
        return self.done is not None and not self.too_little

    @property
    def value(self) -> str:
        """What a form sends of it: which line, how much stood there, and what was kept then."""
        return APART.join((self.id, self.line.bare, version_of(self.done)))

    @property
    def held(self) -> str:
        """What an address holds of it once it is done in this version."""
        return APART.join((self.id, self.line.bare, self.serves))

    @property
    def at(self) -> str:
        """When it was done."""
        return "" if self.done is None or self.done.at == NEVER else self.done.clock


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
    adds: Sequence[Tick] = ()  # what sets it right
    added: Sequence[Tick] = ()  # what was added before
    drifted: bool = False
    unread: bool = False  # something was typed that cannot be used
    strips: Sequence[ReadingStrip] = ()
    refused: str = ""  # why nothing sets it right
    instruments: Sequence[InstrumentChoice] = ()
    typed: Mapping[str, str] = field(default_factory=dict)
    problems: Mapping[str, str] = field(default_factory=dict)
    seen: str = ""  # the versions of the readings that are shown
    drift: Mapping[str, object] | None = None
    cautions: Sequence[int] = ()
    theirs: Sequence[str] = ()  # what another has saved meanwhile
    temperature: str = ""  # of the sample
    degrees: str = "C"
    atc: bool = False

    @property
    def ticks(self) -> list[Tick]:
        """Everything to be ticked off, in the order in which it is shown."""
        return [*self.weigh, *self.charge, *self.steps, *self.adds]

    @property
    def done(self) -> int:
        """How much is ticked off."""
        return sum(tick.is_done for tick in self.ticks)

    @property
    def instrument(self) -> InstrumentChoice:
        """What the field for a reading is set to: what drifted, else the first after the scale."""
        said = self.typed.get("what") or next((s.what for s in self.strips if s.beyond), "")
        said += ATC if self.atc and said == "refractometer" else ""
        found = next(
            (instrument for instrument in self.instruments if instrument.what == said), None
        )
        return found or self.instruments[min(1, len(self.instruments) - 1)]

    @property
    def value(self) -> str:
        """What stands in the field: what was typed and not saved, else what is kept."""
        return self.typed.get("value", self.instrument.kept)

    @property
    def warm(self) -> bool:
        """Whether anything here is read with the temperature of the sample."""
        return any(instrument.warm for instrument in self.instruments)


@dataclass
class State:
    """What is kept of a batch, and what was typed and could not be used."""

    kept: Kept = field(default_factory=Kept)
    readings: dict[str, dict[str, Any]] = field(default_factory=dict)  # Any: words of a file
    typed: dict[str, dict[str, str]] = field(default_factory=dict)  # not saved
    problems: dict[tuple[str, str], str] = field(default_factory=dict)
    theirs: dict[str, dict[str, object]] = field(default_factory=dict)
    unread: dict[tuple[str, str], str] = field(default_factory=dict)  # words of no use, by reading


NEVER = datetime(1, 1, 1)  # of what an address holds: it has no times


def batch_of(name: str, sheet: Sheet, said: str, service: str, today: date) -> KeptBatch:
    """Which batch an address means, whether anything is kept of it or not."""
    day, clock = day_of(said) if said else today, ""
    if service:
        at = Moment.read(service, "service")
        clock = f"{at.at:%H:%M}"
        if at.dated and said and at.at.date() != day:
            raise NotAsked(
                f"The day is {day.isoformat()} and the service {at.words()}; give one day.", "on"
            )
        day = at.at.date() if at.dated else day
    return KeptBatch(name, day, clock, sheet.worked.plan.recipe.variant)


def day_of(said: str) -> date:
    """A day as it is written in an address; NotAsked otherwise."""
    try:
        day = date.fromisoformat(said)
    except ValueError:
        day = None
    if day is None or not 2000 <= day.year < 2100:
        raise NotAsked(f'The day is "{said[:40]}"; write it as 2026-11-26.', "on")
    return day


def serves_of(sheet: Sheet) -> str:
    """How many of each drink a sheet is for, as a form or a command line says it."""
    counts = sheet.worked.plan.counts
    if len(set(counts.values())) == 1:
        return str(next(iter(counts.values())))
    return ", ".join(f"{name}={count}" for name, count in counts.items())


# what there is to do


def tick_id(item: str, what: str) -> str:
    """The id of a thing to do, whatever its amount is."""
    return "t-" + hashlib.sha256(f"{item}\n{what}".encode()).hexdigest()[:10]


def works(sheet: Sheet, state: State, *, again: bool = False) -> list[Work]:
    """Every item that makes something, with what is kept of it.

    What must not be gone on with has nothing to do. Amounts are those first planned, or, `again`,
    those that follow from what was measured.
    """
    system = sheet.units
    now = sheet.worked.said
    first = {batch.id: batch for batch in batches(sheet.first, system)}
    plain = {batch.id: batch for batch in batches(now if again else sheet.first)}
    account = sheet.worked.account
    found = []
    for rows in batches(now, system):
        shown = rows if again or rows.id not in first else first[rows.id]
        shown = shown if rows.go else rows
        work = _work(rows, shown, state)
        of = None if account is None else of_item(account, rows.id)
        if rows.go:
            beyond = frozenset(account["beyond"]) if account is not None else frozenset[str]()
            lines = _lines(shown, plain[rows.id], beyond)
            work = _with_ticks(work, lines, shown, of, state, sheet)
        expected = first[rows.id].expected if rows.id in first else ()
        read = state.readings.get(rows.id, {})
        choice = instruments(expected, read)
        own = of is not None and (of["readings"] or of["ph"])
        unread = of is not None and bool(of["unread"])
        typed = state.typed.get(rows.id, {})
        degrees = shown_unit("temperature", system)
        found.append(
            replace(
                work,
                instruments=choice if work.drifted or unread or rows.go or read else (),
                seen=" ".join(
                    f"{key}:{reading_version(read.get(key))}"
                    for key in (*(one.what for one in expected), *OWN)
                ),
                typed=typed,
                temperature=typed.get("temperature", bare(read.get("temperature"), degrees)),
                degrees=degrees,
                atc=bool(typed.get("atc") if typed else read.get("atc")),
                problems={
                    key: said for (id_, key), said in state.problems.items() if id_ == rows.id
                },
                strips=[
                    strip
                    for strip in (strips(of, system) if of is not None else ())
                    if (rows.id, strip.what) not in state.unread
                ],
                drifted=of is not None and bool(of["beyond"]),
                unread=unread,
                drift=measured_parts(of, system) if own else None,
                theirs=_theirs(state.theirs.get(rows.id), choice),
            )
        )
    return found


def _theirs(table: Mapping[str, object] | None, choice: Sequence[InstrumentChoice]) -> list[str]:
    """What another has saved meanwhile, in words."""
    if table is None:
        return []
    labels = {instrument_choice.what: instrument_choice.label for instrument_choice in choice}
    return [f"{labels.get(key, key)}: {value}" for key, value in table.items()] or ["nothing"]


def _work(rows: Rows, shown: Rows, state: State) -> Work:
    item = rows.item
    stops = item["stops"] if rows.verdict == "stop" else ()
    held = held_words(item) if item["held_by"] and not stops else ""
    return Work(rows.place, rows.id, rows.verdict, item["note"], stops, held, "",
                cautions=item["cautions"])  # fmt: skip


def _lines(shown: Rows, plain: Rows, beyond: frozenset[str]) -> dict[str, list[CheckLine]]:
    """What is weighed, charged and done of an item; what drifted is named so in its lines."""
    return {
        "weigh": [
            _weighing(line, grams, f"{line.name} DRIFTED" if line.name in beyond else line.name)
            for line, grams in zip(shown.weigh, plain.weigh, strict=True)
        ],
        "charge": [
            CheckLine(f"vessel {n}", f"Vessel {n}", more=_round(shown, n))
            for n in range(1, shown.fills + 1)
        ],
        "steps": [
            CheckLine(f"step: {task.text}", task.words, when=task.when, minutes=task.takes_min)
            for task in shown.tasks
        ],
    }


def _round(shown: Rows, number_: int) -> str:
    """In which round a vessel is charged; "" where one round is enough."""
    filling = shown.item["filling"]
    has = filling["house_has"] if filling else None
    return "" if not has or has >= shown.fills else f"round {math.ceil(number_ / has)}"


def _weighing(line: Weighing, grams: Weighing, words: str) -> CheckLine:
    off = f"± {line.off} {line.unit}" if line.off else ""
    more = f"{off}{', ' if off and line.how else ''}{line.how}"
    return CheckLine(f"weigh {line.name}", words, grams.amount, line.amount, line.unit, more)


def _with_ticks(
    work: Work,
    lines: Mapping[str, list[CheckLine]],
    shown: Rows,
    account: AccountSheet | None,
    state: State,
    sheet: Sheet,
) -> Work:
    kept = state.kept.ticks.get(work.id, {})
    system, serves = sheet.units, serves_of(sheet)
    seen: dict[str, int] = {}

    def ticked(rows: Iterable[CheckLine]) -> list[Tick]:
        found = []
        for line in rows:
            times = seen[line.what] = seen.get(line.what, 0) + 1
            own = line if times == 1 else line._replace(what=f"{line.what} ({times})")
            found.append(_tick(work.id, own, kept.get(own.what), serves, system))
        return found

    correction = next(iter(account["corrections"]), None) if account is not None else None
    adds = _adds(correction, account, system) if correction and account is not None else []
    filling = shown.item["filling"]
    known = {line.what for line in adds}
    return replace(
        work,
        fill=vessel_words({"item": "Fill", **filling}, system) if filling else "",
        marks=list(scale_marks(shown.item, system)),
        weigh=ticked(lines["weigh"]),
        charge=ticked(lines["charge"]),
        steps=ticked(lines["steps"]),
        adds=ticked(adds),
        added=[
            _tick(work.id, _added(what, done, system), done, serves, system)
            for what, done in kept.items()
            if what.startswith("add ") and what not in known
        ],
        refused=(correction["refused"] or "") if correction else "",
    )


def _adds(correction: CorrectionSheet, account: AccountSheet, system: str) -> list[CheckLine]:
    """What a correction says to weigh, each under the readings that it follows from."""
    if correction["refused"]:
        return []
    after = " and ".join(
        f"{reading['what']} {reading['written']}"
        for reading in account["readings"]
        if reading["beyond"]
    )
    g, _ = UNITS[system]
    return [
        CheckLine(f"add {row['name']} after {after}", row["name"], amount(row["g"], "g", "metric"),
             amount(row["g"], "g", system), g)
        for row in correction["add"]
    ]  # fmt: skip


def _added(what: str, done: Done, system: str) -> CheckLine:
    """A correction that was weighed for a reading that has been taken again since."""
    name, _, after = what.removeprefix("add ").partition(" after ")
    g = done.g or 0.0
    return CheckLine(
        what, name, f"{g:g}", amount(g, "g", system), UNITS[system][0], f"after {after}"
    )


def _tick(item: str, line: CheckLine, done: Done | None, serves: str, system: str) -> Tick:
    id_ = tick_id(item, line.what)
    address = ""
    if done is not None:
        g = "" if done.g is None else f"{done.g:g}"
        address = APART.join((id_, g, done.serves or serves))
    tick = Tick(id_, line, done, address=address, serves=serves)
    if done is None or done.g is None or not line.bare:
        return tick
    difference = float(line.bare) - done.g
    places = len(line.amount.partition(".")[2])
    shown = shown_in(abs(difference), "g", system)[0]
    if shown < 0.5 * 10**-places or not done.g:
        return tick
    own = len(f"{done.g:g}".partition(".")[2]) if system == "metric" else 0
    weighed = rounded(shown_in(done.g, "g", system)[0], max(places, own))
    was_for = f" for {done.serves}" if done.serves not in ("", serves) else ""
    percent = 100 * abs(difference) / done.g
    size = f"{rounded(shown, places)} {line.unit} ({percent:.1f} %)"
    short = f"Weighed {weighed} {line.unit}{was_for}: " + (
        f"add {size}" if difference > 0 else f"{size} too much"
    )
    more = f"+{rounded(shown, places)}" if difference > 0 else ""
    return replace(tick, short=short, too_little=difference > 0, more=more)


def stale(found: Sequence[Work], state: State) -> list[str]:
    """What was ticked off, and is no line of the sheet any more: another part, another step."""
    known = {(work.id, tick.line.what) for work in found for tick in (*work.ticks, *work.added)}
    return [
        f"{item}: {what}" + (f" ({done.g:g} g)" if done.g is not None else "")
        for item, lines in state.kept.ticks.items()
        for what, done in lines.items()
        if (item, what) not in known
    ]


# what a form sends, what an address holds


class Sent(NamedTuple):
    """What a form sends of one line."""

    id: str
    bare: str
    seen: str


def sent(said: str) -> Sent | None:
    """What a form sent of one line; None where it is not that of a line."""
    parts = said.split(APART)
    return Sent(*parts) if len(parts) == 3 and parts[0].startswith("t-") else None


def from_address(values: Iterable[str], found: Sequence[Work]) -> Kept:
    """What an address holds of what was done; what it cannot be read from is not done.

    Of a line that is there twice the last counts.
    """
    lines = {tick.id: (work.id, tick.line) for work in found for tick in work.ticks}
    ticks: dict[str, dict[str, Done]] = {}
    for value in values:
        id_, _, rest = value.partition(APART)
        g, _, serves = rest.partition(APART)
        if id_ not in lines:
            continue
        item, line = lines[id_]
        weighed = _number(g)
        if bool(line.bare) == (weighed is not None) and serves:
            ticks.setdefault(item, {})[line.what] = Done(NEVER, weighed, serves[:LONGEST])
    return Kept(ticks=ticks)


def _number(text: str) -> float | None:
    try:
        found = float(text) if text.isascii() and len(text) < 20 else math.nan
    except ValueError:
        return None
    return found if 0 <= found <= MOST_G else None


def clock_of(service: str) -> str:
    """A time of service as a batch keeps it; NotAsked where it is none."""
    if not service:
        return ""
    try:
        return f"{Moment.read(service, 'service').at:%H:%M}"
    except BadInput as error:
        raise NotAsked(f'The service is "{service[:40]}"; write it as 18:00.', "service") from error
