"""A label as text, as JSON, and fitted to its cell to print.

Name, use by, allergens, strength, hazards, made on and by whom, opened on, contents: all of these
stand on it. Where they do not fit the label is refused with what to shorten; nothing is cut off
and no type is smaller than the law's [EU-1169-2011]. What else is known follows where room is left.
Lengths are millimetres.
"""

from __future__ import annotations

import itertools
import json
import math
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from markupsafe import Markup

from prepkit.errors import BadInput
from prepkit.label import LISTS, Content, Label, LabelSheet, NoLabel, Pair, on
from prepkit.model import rounded
from prepkit.render import fitting, signs
from prepkit.render.html import Look, fingerprint, page, stamp
from prepkit.render.plan_lists import UNITS, amount
from prepkit.render.plan_text import NO_ALLERGENS, shown_value
from prepkit.render.text import in_units
from prepkit.shared.keeping import is_habit
from prepkit.stdout import columns
from prepkit.units import shown_in

if TYPE_CHECKING:
    from prepkit.sheet import ValueSheet

# ---- a label as text for a terminal, and the lines that every form of it shows ----

_MOST = 64
_HEAD = 11
COLD_C = 5.0  # [FOOD-CODE-TIME]
Pieces = Sequence[tuple[str, bool]]  # words, and whether they are to be emphasised


def opened_words(days: int) -> str:
    """The instruction for what is opened.

    >>> opened_words(3), opened_words(0)
    ('day of opening + 3', 'day of opening')
    """
    return f"day of opening + {days}" if days else "day of opening"


def pieces(content: Content) -> Pieces:
    """An ingredient in words, its allergens emphasised: within its name, or after it.

    >>> pieces(Content("whole milk", 10.0, ("milk",)))
    [('whole ', False), ('MILK', True)]
    >>> pieces(Content("orgeat", 10.0, ("almond",)))
    [('orgeat', False), (' (', False), ('ALMOND', True), (')', False)]
    """
    found: list[tuple[str, bool]] = []
    left = list(content.allergens)
    name = content.name
    for word in content.allergens:
        at = name.lower().find(word.lower())
        if at >= 0 and not found:
            end = at + len(word)
            found = [(name[:at], False), (name[at:end].upper(), True), (name[end:], False)]
            left.remove(word)
    found = found or [(name, False)]
    if left:
        found.append((" (", False))
        for place, word in enumerate(left):
            found += [(", ", False)] if place else []
            found.append((word.upper(), True))
        found.append((")", False))
    if content.strained:
        found.append((" (strained off)", False))
    return [pair for pair in found if pair[0]]


def contents(label: Label) -> list[Pieces]:
    """The contents, the heaviest first, with what is emphasised among them."""
    if label.jurisdiction == "eu":
        return [pieces(content) for content in label.contents]
    return [
        pieces(Content(content.name, content.g, (), content.strained)) for content in label.contents
    ]


def head(label: Label, system: str) -> list[tuple[str, str]]:
    """What stands above the contents: days, how much, under gas or not."""
    days = label.use_by
    asked = "none asked for" if days.exempt else "ASK: no rule is known"
    last = asked if days.last is None else f"{days.last.isoformat()} or earlier"
    found = [("made", label.made.isoformat()), ("use by", last)]
    if label.opened_days is not None:
        found.append(("opened", opened_words(label.opened_days)))
    if days.last is None:
        found.append(("why", days.why))
    if days.last is not None:
        day_1 = f"day 1 being {days.first.isoformat()}, {days.first_by}"
        habit = " (habit)" if is_habit(days.source) else ""
        found.append(("that is", f"day {days.days}, {day_1}; {days.why}{habit}"))
    g, ml = UNITS[system]
    holds = f"{amount(label.g, 'g', system)} {g}"
    if label.ml is not None:
        holds += f", {amount(label.ml, 'ml', system)} {ml} at 20 °C"
    found.append(("holds", holds))
    if label.bottle:
        found.append(("bottle", label.bottle))
    if label.charged:
        found.append(("charged", f"UNDER PRESSURE: {label.charged}"))
    if label.strength:
        found.append(("stock", label.strength))
    return [(name, in_units(words, system)) for name, words in found]


def allergens(label: Label) -> list[tuple[str, str]]:
    """The allergens by the rule of the jurisdiction, and those that only another list has."""
    found = []
    if label.jurisdiction != "eu" and label.contains:
        found.append(("Contains", ", ".join(label.contains)))
    elif label.contains and label.apart:
        found.append(("contains", ", ".join(word.upper() for word in label.apart)))
    elif not label.contains:
        found.append(("allergens", NO_ALLERGENS))
    if label.also:
        found.append(("also", f"{', '.join(label.also)} (on another country's list)"))
    if label.contains:
        how = "in capitals above, by " if label.jurisdiction == "eu" else "by "
        found.append(("law", f"allergens {how}{LISTS[label.jurisdiction]}"))
    return found


def tail(label: Label, system: str) -> list[tuple[str, str]]:
    """Readings and storage."""
    found = []
    told = [
        f"{reading['label']} {' '.join(shown_value(reading, system)).strip()}"
        for reading in label.readings
    ]
    if told:
        found.append(("readings", "; ".join(told)))
    cold, unit = shown_in(COLD_C, "C", system)
    found.append(("storage", label.use_by.storage.format(cold=f"{rounded(cold, 0)} °{unit}")))
    return [(name, in_units(words, system)) for name, words in found]


def hazards(label: Label, system: str) -> list[tuple[str, str]]:
    """What can happen, by kind, in the units asked for."""
    return [(kind, in_units(words, system)) for kind, words in label.hazards]


def label_text(label: Label | NoLabel, traced: str, system: str = "metric") -> str:
    """One label."""
    rule = "-" * _wide()
    if isinstance(label, NoLabel):
        told = [textwrap.fill(reason, _wide()) for reason in label.reasons]
        return "\n".join([rule, f"NO LABEL: {label.name} must not be made.", *told, rule])
    listed = ", ".join("".join(words for words, _ in content) for content in contents(label))
    out = [rule, label.name.upper(), rule]
    out += _lines(head(label, system))
    out += _lines([("contents", listed), *allergens(label)])
    out += _lines(tail(label, system))
    out += [
        textwrap.fill(f"! {kind.upper()}: {words}", _wide(), subsequent_indent="  ")
        for kind, words in hazards(label, system)
    ]
    return "\n".join([*out, f"({traced})", rule])


def _wide() -> int:
    return min(_MOST, columns())


def _lines(pairs: Iterable[tuple[str, str]]) -> list[str]:
    return [
        textwrap.fill(
            words, _wide(), initial_indent=f"{name:<{_HEAD}}", subsequent_indent=" " * _HEAD,
            break_on_hyphens=False,
        )
        for name, words in pairs
    ]  # fmt: skip


# ---- a label as JSON ----


def labels_json(labels: Sequence[Label | NoLabel]) -> str:
    """All labels as JSON text: finite numbers only."""
    said = {"labels": [label_dict(label) for label in labels]}
    return json.dumps(said, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def label_dict(label: Label | NoLabel) -> dict[str, object]:
    """The JSON form of one label; of what must not be made only the reasons."""
    said: dict[str, object] = {
        "name": label.name,
        "item": label.item or None,
        "calculator": label.calculator,
        "verdict": label.verdict,
        "made": label.made.isoformat(),
        "inputs": dict(label.inputs),
    }
    if isinstance(label, NoLabel):
        return {**said, "reasons": list(label.reasons)}
    days = label.use_by
    return {
        **said,
        "use_by": {
            "last": None if days.last is None else days.last.isoformat(),
            "days": days.days,
            "day_1": days.first.isoformat(),
            "day_1_by": days.first_by,
            "rule": days.rule,
            "why": days.why,
            "source": days.source,
            "opened_days": label.opened_days,
        },
        "storage": days.storage.format(cold=f"{rounded(COLD_C, 0)} °C"),
        "g": label.g,
        "ml": label.ml,
        "bottle": label.bottle or None,
        "contents": [
            {"name": content.name, "g": content.g, "allergens": list(content.allergens),
             "strained_off": content.strained}
            for content in label.contents
        ],
        "allergens": {
            "jurisdiction": label.jurisdiction,
            "contains": list(label.contains),
            "also": list(label.also),
        },
        "charged": label.charged or None,
        "stock": label.strength or None,
        "readings": [dict(reading) for reading in label.readings],
        "hazards": [{"kind": kind, "text": words} for kind, words in label.hazards],
    }  # fmt: skip


# ---- a printed label, fitted to its cell ----

LEAST_TYPE_MM = 2.5  # x-height 1.2 mm at the lower of the faces [EU-1169-2011]
PAD_MM = (2.2, 1.4)  # left and right; above and below
SCALES = (2.6, 2.3, 2.0, 1.8, 1.6, 1.4, 1.25, 1.12, 1.0, 0.93, 0.86)  # of the sizes below
NAME_MM, DATE_MM, FACT_MM, SMALL_MM = 5.2, 4.8, 3.0, 2.8
WRITE_MM = 4.6  # height of a line to write on
BLANKS_MM = ((8.5, 13.0), (6.5, 9.5))  # for initials and for the day of opening; tight
DAY_MM = 24.0  # a blank for the last day
SPACE_MM = 1.0  # beside a blank
SIGN_MM = 7.0
MOST_NAME_LINES = 2
_LEAD = 1.12  # of the size of type, between lines
Run = tuple[str, bool]  # words, and whether they are emphasised


@dataclass(frozen=True)
class LabelRow:
    """One row of a label: a part by name, the size of its type, the words of each line."""

    part: str
    type_mm: float
    lines: tuple[tuple[Run, ...], ...]
    high_mm: float
    beside: str = ""  # at the right end of the row
    blanks: tuple[tuple[str, float], ...] = ()  # words and the length of the line after them


@dataclass(frozen=True)
class Fitted:
    """A label as it is printed, `high_mm` with the space around it."""

    rows: tuple[LabelRow, ...]
    foot: tuple[LabelRow, ...]  # at the lower edge
    high_mm: float
    sign: str = ""
    sign_mm: float = 0.0
    refused: bool = False


class _TooLong(Exception):
    """What did not fit, by its part."""

    def __init__(self, part: str) -> None:
        super().__init__(part)
        self.part = part


# what it says


def day_words(day: date) -> str:
    """A date that is not read two ways.

    >>> day_words(date(2026, 12, 4))
    'Fri 4 Dec 2026'
    """
    return f"{day:%a} {day.day} {day:%b} {day.year}"


def use_by_words(label: Label) -> tuple[str, str]:
    """What stands large after "Use by", and the small line below it; a blank where no rule is."""
    last, opened = label.use_by.last, label.opened_days
    if last is not None:
        small = "" if opened is None else f"or {opened_words(opened)}, if that is sooner"
        return day_words(last), small
    rule = "no date asked for" if label.use_by.exempt else "no rule: ask"
    if opened is not None:
        return opened_words(opened), f"unopened: {rule}"
    return ("no date asked for", "") if label.use_by.exempt else ("", rule)


def allergen_words(label: Label) -> list[Run]:
    """The allergens in capitals, in the words of the list of the jurisdiction."""
    found: list[Run] = []
    if label.contains:
        found.append(("Contains ", False))
        for place, word in enumerate(label.contains):
            found += [(", ", False)] if place else []
            found.append((word.upper(), True))
    else:
        found.append(("Allergens: none known", False))
    if label.also:
        found.append((f"; also {', '.join(label.also)} (another country's list)", False))
    return found


def strength_words(label: Label) -> tuple[str, ...]:
    """Strength in the unit that it is spoken of in, and then more where there is room."""
    by_name = {reading["name"]: reading for reading in label.readings}
    order = ["abv", "acidity", "refractometer"]
    if "abv" in by_name or label.strength:  # a refractometer reads no Brix of these
        order.remove("refractometer")
    found = [_strength(by_name[name]) for name in order if name in by_name]
    return tuple(" · ".join(found[:most]) for most in range(len(found), 0, -1))


def _strength(reading: ValueSheet) -> str:
    value = f"{reading['value']:.1f}"
    if reading["name"] == "refractometer":
        return f"reads {value} Bx"  # with acid in it that is no Brix of sugar
    return f"{value} % {'vol' if reading['name'] == 'abv' else 'acid'}"


def _contents(label: Label, short: bool) -> list[Run]:
    """The contents, the heaviest first; in short without what was strained off again."""
    found: list[Run] = []
    for content in contents(label):
        words = [run for run in content if not (short and run[0] == " (strained off)")]
        found += [(", ", False)] if found else []
        found += words
    return found


def _more(label: Label, system: str, traced: str) -> list[tuple[str, str]]:
    """What is told where room is left, in this order."""
    told = dict(tail(label, system))
    g, ml = UNITS[system]
    holds = f"Holds {amount(label.g, 'g', system)} {g}"
    if label.ml is not None:
        holds += f", {amount(label.ml, 'ml', system)} {ml}"
    if label.charged:
        holds += f", {label.charged}"
    return [("storage", told["storage"]), ("holds", holds), ("trace", f"prepkit {traced}")]


# fitting it


def fitted(
    label: Label | NoLabel, cell: Pair, system: str, traced: str, without: Sequence[str] = ()
) -> Fitted:
    """The label in a cell of so many millimetres, 0 down for a cell that ends where it ends.

    Raises BadInput with what to shorten where it does not fit.
    """
    wide, high = cell[0] - 2 * PAD_MM[0], cell[1] - 2 * PAD_MM[1] if cell[1] else math.inf
    if isinstance(label, NoLabel):
        return _refused(label, wide, high)
    scales: Sequence[float] = SCALES
    if not cell[1]:
        scales = tuple(value for value in SCALES if value <= max(1.0, wide / 60))
    failed = ""
    for tight, short in itertools.product((False, True), repeat=2):
        for scale in scales:
            try:
                told = _Told(label, short, tight, system, traced, without)
                return _at(told, wide, high, scale)
            except _TooLong as error:
                failed = error.part
    raise BadInput(_advice(label, cell, failed), "per_sheet")


def _advice(label: Label, cell: Pair, part: str) -> str:
    what = {
        "name": "the name is too long; shorten it",
        "use": "there is no room for the use-by date; take a larger label",
        "allergens": "the allergens need more room, and are never left out; take a larger label",
        "strength": "there is no room for the strength; take a larger label",
        "hazards": "the hazards need more room, and are never left out; take a larger label",
        "made": "there is no room for the day of making; take a larger label or shorten the name",
        "contents": "the contents are too long; take a larger label, or leave them out",
    }[part]
    return (
        f'The label "{fitting.lines(label.name, 20)[0] if label.name else ""}" does not fit '
        f"{cell[0]:g} x {cell[1]:g} mm: {what}."
    )


@dataclass(frozen=True)
class _Told:
    """A label with how much of it is told: `short` contents, `tight` blanks."""

    label: Label
    short: bool
    tight: bool
    system: str
    traced: str
    without: Sequence[str]


def _at(told: _Told, wide: float, high: float, scale: float) -> Fitted:
    """The label at one scale. Raises _TooLong with the first part that does not fit."""
    label = told.label
    left = high
    rows: list[LabelRow] = []
    foot: list[LabelRow] = []

    def place(part: str, found: Sequence[LabelRow] | None, to: list[LabelRow]) -> None:
        nonlocal left
        if found is None or math.fsum(label_row.high_mm for label_row in found) > left + 1e-9:
            raise _TooLong(part)
        left -= math.fsum(label_row.high_mm for label_row in found)
        to.extend(found)

    sign_mm = SIGN_MM * scale if label.sign else 0.0
    place("name", _name(label.name, wide, scale, sign_mm), rows)
    place("use", _use_by(label, wide, scale), rows)
    for part, found in _facts(label, wide, scale):
        place(part, found, rows)
    if label.shorts:
        words = in_units(" ".join(label.shorts), told.system)
        place("hazards", [_words("hazards", [(words, True)], wide, SMALL_MM, scale)], rows)
    place("made", _made(label, wide, scale, BLANKS_MM[told.tight]), foot)
    if "contents" not in told.without:
        listed = _words("contents", _contents(label, told.short), wide, SMALL_MM, scale)
        place("contents", [listed], rows)
    for part, words in _more(label, told.system, told.traced):
        row = _words(part, [(words, False)], wide, SMALL_MM, min(scale, 1.25))
        if row.high_mm <= left and (math.isfinite(left) or part != "trace"):
            place(part, [row], rows)
    took = math.fsum(label_row.high_mm for label_row in (*rows, *foot))
    whole = (high if math.isfinite(high) else took) + 2 * PAD_MM[1]
    return Fitted(tuple(rows), tuple(foot), whole, label.sign, sign_mm)


def _name(name: str, wide: float, scale: float, sign_mm: float) -> list[LabelRow] | None:
    """The name on one line or two, with room for a sign beside it and a rule below it."""
    size = NAME_MM * scale
    room = wide - (sign_mm + 1.0 if sign_mm else 0.0)
    broken = fitting.fitted([name], room, size, MOST_NAME_LINES, bold=True)
    if broken is None:
        return None
    high = max(len(broken) * size * _LEAD, sign_mm) + 0.9
    return [LabelRow("name", size, tuple(((line, True),) for line in broken), high)]


def _use_by(label: Label, wide: float, scale: float) -> list[LabelRow] | None:
    big, small = use_by_words(label)
    size, caption = DATE_MM * scale, _size(FACT_MM, scale)
    took = fitting.width("Use by ") * caption + fitting.width(big, bold=True) * size
    blank = (("Use by", DAY_MM),) if not big else ()
    if not big:
        took = fitting.width(f"Use by{small}") * caption + DAY_MM + 2 * SPACE_MM
    if took > wide:
        return None
    line = ((("Use by ", False), (big, True)),) if big else ()
    found = [LabelRow("use", size, line, size * _LEAD + 0.3, "" if big else small, blank)]
    if big and small:
        found.append(_words("opened", [(small, False)], wide, SMALL_MM, scale))
    return found


def _facts(label: Label, wide: float, scale: float) -> Iterator[tuple[str, list[LabelRow] | None]]:
    """Allergens, and strength beside them where both stand on one line."""
    allergens = _words("allergens", allergen_words(label), wide, FACT_MM, scale)
    wordings = strength_words(label)
    if not wordings:
        yield "allergens", [allergens]
        return
    size = allergens.type_mm
    if len(allergens.lines) == 1:
        used = _label_fit_wide(allergens.lines[0]) * size
        for wording in wordings:
            if used + 3.0 + fitting.width(wording, bold=True) * size <= wide:
                row = LabelRow("allergens", size, allergens.lines, allergens.high_mm, wording)
                yield "allergens", [row]
                return
    yield "allergens", [allergens]
    broken = fitting.fitted(wordings, wide, size, 1, bold=True)
    if broken is None:
        yield "strength", None
    else:
        yield "strength", [LabelRow("strength", size, (((broken[0], True),),), size * _LEAD)]


def _made(label: Label, wide: float, scale: float, blanks: Pair) -> list[LabelRow] | None:
    """The day of making with a line for initials, and a line for the day of opening."""
    size = _size(SMALL_MM, scale)
    made = f"Made {label.made.day} {label.made:%b} {label.made.year} by"
    high = max(WRITE_MM, size * _LEAD)
    first, second = (made, blanks[0]), ("Opened", blanks[1])
    took = [fitting.width(words) * size + SPACE_MM + blank for words, blank in (first, second)]
    if max(took) > wide:
        return None
    if math.fsum(took) + SPACE_MM <= wide:
        return [LabelRow("made", size, (), high, "", (first, second))]
    return [LabelRow("made", size, (), high, "", (pair,)) for pair in (first, second)]


def _size(type_mm: float, scale: float) -> float:
    """A size of type at a scale, never too small to be read."""
    return max(LEAST_TYPE_MM, type_mm * scale)


def _words(part: str, runs: Sequence[Run], wide: float, type_mm: float, scale: float) -> LabelRow:
    """Words on as many lines as they need, what is emphasised in them kept so."""
    size = _size(type_mm, scale)
    lines = broken(runs, wide / size)
    return LabelRow(part, size, lines, len(lines) * size * _LEAD)


def broken(runs: Sequence[Run], wide: float) -> tuple[tuple[Run, ...], ...]:
    """Runs of words on lines of at most `wide` em, the emphasised ones measured bold.

    >>> broken([("cream, ", False), ("MILK", True), (" and more", False)], 6.5)
    ((('cream, ', False), ('MILK', True)), (('and more', False),))
    """
    text = "".join(words for words, _ in runs)
    marks = [strong for words, strong in runs for letter in words if not letter.isspace()]
    room = wide
    while True:
        lines = _marked(fitting.lines(text, room), marks)
        if all(_label_fit_wide(line) <= wide + 1e-9 for line in lines) or room < 2:
            return lines
        room -= 0.25


def _marked(lines: Sequence[str], marks: Sequence[bool]) -> tuple[tuple[Run, ...], ...]:
    """Each line as runs: letters in order carry their marks, a space that of the letter after."""
    found = []
    at = 0
    for line in lines:
        runs: list[tuple[str, bool]] = []
        for letter in line:
            strong = marks[at] if at < len(marks) else False
            if letter.isspace() and runs:
                strong = strong and runs[-1][1]
            elif not letter.isspace():
                at += 1
            if runs and runs[-1][1] == strong:
                runs[-1] = (runs[-1][0] + letter, strong)
            else:
                runs.append((letter, strong))
        found.append(tuple(runs))
    return tuple(found)


def _label_fit_wide(runs: Sequence[Run]) -> float:
    return math.fsum(fitting.width(words, strong) for words, strong in runs)


def _refused(label: NoLabel, wide: float, high: float) -> Fitted:
    """What must not be made: its name, that it has no label, and the reason where it fits."""
    size = min(NAME_MM, wide / fitting.width("NO LABEL", bold=True))
    name = fitting.shortened(label.name, wide, size, 1, bold=True)
    rows = [
        LabelRow("stop", size, ((("NO LABEL", True),),), size * _LEAD + 0.6),
        LabelRow("name", size, (((name[0], True),),), size * _LEAD + 0.9),
        _words("hazards", [("It must not be made.", True)], wide, SMALL_MM, 1.0),
    ]
    left = high - math.fsum(label_row.high_mm for label_row in rows)
    for words in fitting.shorter(label.reasons[0]) if label.reasons else ():
        row = _words("storage", [(words, False)], wide, SMALL_MM, 1.0)
        if row.high_mm <= left:
            rows.append(row)
            break
    took = math.fsum(label_row.high_mm for label_row in rows)
    return Fitted(
        tuple(rows), (), (high if math.isfinite(high) else took) + 2 * PAD_MM[1], refused=True
    )


# ---- labels as one HTML document to print ----


def label_sheet(
    labels: Sequence[Label | NoLabel], look: Look, sheet: LabelSheet | int | None = None,
    without: Sequence[str] = (),
) -> str:  # fmt: skip
    """All labels on as many sheets as they need.

    `sheet` is a LabelSheet, the number of labels on the paper of the look, or None for the usual
    sheet of that paper; `without` holds "contents" where those are left out. Raises BadInput where
    a label does not fit its cell, with what to shorten.
    """
    cells = sheet if isinstance(sheet, LabelSheet) else on(look.paper.name, sheet)
    fits: dict[int, Fitted] = {}  # copies are one and the same label
    shown: list[dict[str, object]] = []
    for label in labels:
        if id(label) not in fits:
            fits[id(label)] = fitted(
                label, cells.cell, look.system, fingerprint(label.inputs), without
            )
        shown.append(_shown(label.name, fits[id(label)]))
    sizes = {row.type_mm for fit in fits.values() for row in (*fit.rows, *fit.foot)}
    lengths = {fit.high_mm for fit in fits.values()} if cells.endless else set()
    return page(
        "label.html",
        look,
        stamp(look, {"labels": [label.inputs for label in labels]}),
        title=look.title or "Labels",
        cells=cells,
        pad=PAD_MM,
        write=WRITE_MM,
        space=SPACE_MM,
        pages=[shown[at : at + cells.count] for at in range(0, len(shown), cells.count)],
        sizes={_key(size): round(size, 3) for size in sizes},
        lengths={_key(length): round(length, 3) for length in lengths},
        sign_sizes={_key(fit.sign_mm): fit.sign_mm for fit in fits.values() if fit.sign},
    )


def _key(mm: float) -> str:
    """A length as a part of a name, hundredths of a millimetre."""
    return f"{100 * mm:.0f}"


def _shown(name: str, fit: Fitted) -> dict[str, object]:
    return {
        "name": name,
        "refused": fit.refused,
        "sign": Markup(signs.drawn(fit.sign)) if fit.sign else "",
        "sign_size": _key(fit.sign_mm),
        "rows": [_row(row) for row in fit.rows],
        "foot": [_row(row) for row in fit.foot],
        "length": _key(fit.high_mm),
    }


def _row(row: LabelRow) -> dict[str, object]:
    return {
        "part": row.part,
        "size": _key(row.type_mm),
        "lines": row.lines,
        "beside": row.beside,
        "blanks": row.blanks,
    }
