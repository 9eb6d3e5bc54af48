"""What of an answer stands on the first screen, and that screen as text.

The calculator says which figures decide (`first_screen.Screen`); here they are filled in, the
cautions are put in order, and what is left to the full answer is counted.

What does not fit is left to the full answer in a fixed order: notes from the last, then cautions
of care from the last, which are then counted by kind. A stop is never left out nor cut.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from prepkit import model
from prepkit.errors import later
from prepkit.model import Answer, Caution, Figure, Table, Way, amount, degrees, figure
from prepkit.render.text import answer_in, in_units, table_cells, value_words
from prepkit.stdout import screen

# ---- what of an answer stands on the first screen, chosen from data ----

MOST_FIGURES = 6
MOST_CHECKS = 3
_TEMPERATURE = later(r"(?<=[\d…]) ([CF])\b")
_SAYS_LITTLE_AT_ZERO = frozenset(("% w/w", "% vol", "g/l", "g", "Bx"))


class ShownFigure(NamedTuple):
    """A figure in words: its label, its value with unit and ±, and the same in its parts."""

    label: str
    value: str
    number: str = ""
    off: str = ""  # "± 2.19", or the range that it can be in
    unit: str = ""


class WeighLine(NamedTuple):
    """A line to weigh: what, how much, and what that pours, or ""."""

    what: str
    amount: str
    poured: str = ""

    @property
    def line(self) -> str:
        """As one line: "660.1 g (700.0 ml) spirit 43 %"."""
        poured = f"({self.poured})" if self.amount and self.poured else self.poured
        return " ".join(filter(None, (self.amount, poured, self.what)))


class Brief(NamedTuple):
    """The first screen of an answer in one system of units, most important first."""

    name: str
    verdict: str
    deciding: str
    ways: tuple[Way, ...]
    weigh: tuple[WeighLine, ...]
    do_this: tuple[str, ...]
    figures: tuple[ShownFigure, ...]
    check: tuple[ShownFigure, ...]
    stops: tuple[Caution, ...]
    cares: tuple[Caution, ...]
    notes: tuple[Caution, ...]  # allergens first, then one of each kind
    always: model.Always
    decides_by_stop: bool  # the first stop's text is the deciding sentence
    full_figures: int
    full_notes: int
    full_tables: int


def brief(answer: Answer, system: str = "metric") -> Brief:
    """The first screen of an answer, in metric or US units."""
    answer = marked(answer_in(answer, system))
    found = [caution for caution in answer.cautions if not caution.standing]
    stops = tuple(caution for caution in found if caution.severity == "stop")
    cares = tuple(caution for caution in found if caution.severity == "care")
    deciding = answer.result.deciding or as_printed(answer.headline(system))
    by_stop = not deciding and bool(stops)
    screen = answer.result.screen
    figures = _figures(answer, screen.primary, system, MOST_FIGURES)
    shown = {shown_figure.label for shown_figure in figures}
    check = [one for one in _figures(answer, screen.check, system, MOST_CHECKS + MOST_FIGURES)
             if one.label not in shown][:MOST_CHECKS]  # fmt: skip
    stopped = answer.verdict == "stop"
    lines = model.lines(answer.calculator)
    return Brief(
        name=answer.calculator,
        verdict=answer.verdict,
        deciding=stops[0].text if by_stop else deciding,
        ways=answer.result.ways_out,
        weigh=() if stopped else _weighed(answer.tables, screen.weigh, system),
        do_this=()
        if stopped
        else tuple(as_printed(in_units(text, system)) for text in answer.do_this(system)),
        figures=figures,
        check=() if stopped else tuple(check),
        stops=stops,
        cares=cares,
        notes=_notes(found),
        always=model.Always(*(as_printed(in_units(line, system)) for line in lines)),
        decides_by_stop=by_stop,
        full_figures=len(answer.values),
        full_notes=len(answer.cautions),
        full_tables=len(answer.tables),
    )


def as_printed(words: str) -> str:
    """Words with their temperatures as printed.

    >>> as_printed("Keep it at 5 C or colder."), as_printed("It can reach … bar at … C.")
    ('Keep it at 5 °C or colder.', 'It can reach … bar at … °C.')
    """
    return _TEMPERATURE.sub(r" °\1", words)


def marked(answer: Answer) -> Answer:
    """An answer with the temperatures of its sentences as printed."""
    told = tuple(
        caution.replaced(text=as_printed(caution.text), action=as_printed(caution.action))
        for caution in answer.cautions
    )
    ways = tuple(
        way._replace(label=as_printed(way.label), figure=as_printed(way.figure))
        for way in answer.result.ways_out
    )
    result = answer.result.replaced(deciding=as_printed(answer.result.deciding), ways_out=ways)
    return answer.replaced(result=result, cautions=told)


def _figures(
    answer: Answer, named: tuple[str | Figure, ...], system: str, most: int
) -> tuple[ShownFigure, ...]:
    out: list[ShownFigure] = []
    for one in named:
        if isinstance(one, Figure) and one.high:
            out += _between(answer, one, system)
            continue
        label, name = (
            (in_units(one.label, system), one.low) if isinstance(one, Figure) else ("", one)
        )
        value = answer.values.get(name)
        if value is None or (value.value == 0.0 and value.unit in _SAYS_LITTLE_AT_ZERO):
            continue
        words, unit = value_words(value, system)
        number, unit = figure(value, system)[0], degrees(unit)
        off = words.removeprefix(number).strip()
        out.append(ShownFigure(label or value.label, f"{words} {unit}".rstrip(), number, off, unit))
    return tuple(out[:most])


def _between(answer: Answer, figure: Figure, system: str) -> list[ShownFigure]:
    """A range, or one figure where both ends are shown alike."""
    if figure.low not in answer.values or figure.high not in answer.values:
        return []
    label = in_units(figure.label, system)
    ends = sorted((answer.values[figure.low], answer.values[figure.high]), key=lambda v: v.value)
    low, high = (amount(end, system) for end in ends)
    if low == high:
        number, _, unit = low.partition(" ")
        return [ShownFigure(label, low, number, "", unit)]
    least, (most, _, unit) = low.partition(" ")[0], high.partition(" ")
    return [ShownFigure(label, f"{least} to {high}", f"{least} to {most}", "", unit)]


def to_weigh(table: Table) -> Table:
    """A table of what to weigh without what nothing is weighed of."""
    mass = next((place for place, column in enumerate(table.columns) if column.unit == "g"), None)
    if mass is None:
        return table
    return table._replace(rows=tuple(row for row in table.rows if row[mass] != 0.0))


def _weighed(tables: Sequence[Table], name: str, system: str) -> tuple[WeighLine, ...]:
    """The weigh-outs: what is in the first column of words, and how much of it."""
    out: list[WeighLine] = []
    for table in tables:
        if table.name != name or not name:
            continue
        _, _, rows = table_cells(to_weigh(table), system)
        of_unit = {column.unit: place for place, column in enumerate(table.columns) if column.unit}
        mass, volume = of_unit.get("g"), of_unit.get("ml")
        what = next(
            place for place, column in enumerate(table.columns)
            if not column.unit and column.label != "order"
        )  # fmt: skip
        units = table_units(system)
        for row in rows:
            told = [
                f"{row[place]} {unit}"
                for place, unit in zip((mass, volume), units, strict=True)
                if place is not None and row[place] not in ("", "-")
            ]
            out.append(WeighLine(row[what], *told) if told else WeighLine(row[what], ""))
    return tuple(out)


def table_units(system: str) -> tuple[str, str]:
    """The units of mass and volume of a table that is in g and ml."""
    return ("g", "ml") if system == "metric" else ("oz", "US fl oz")


def _notes(found: list[Caution]) -> tuple[Caution, ...]:
    """Allergens first, then the first note of each kind that has no graver caution."""
    notes = [caution for caution in found if caution.severity == "note"]
    taken = {caution.kind for caution in found if caution.severity != "note"} - {"allergen"}
    out = [note for note in notes if note.kind == "allergen"]
    taken.add("allergen")
    for note in notes:
        if note.kind not in taken:
            out.append(note)
            taken.add(note.kind)
    return tuple(out)


# ---- an answer on one screen ----

MOST_LINES = 24
MOST_LINES_STOP = 30
MOST_CAUTIONS = 5
_TAIL = {
    "clear": "No problem found in what you entered.",
    "care": "Do the points below.",
    "stop": "Do not do this.",
}
_SHORT_TAIL = {"clear": "No problem found.", "care": "See below."}
_LABEL = 13  # letters of the word before a block
_LONG = 3  # lines of a caution
_LONG_NOTE = 2  # lines of a note where room is short
_GAP = 3  # letters between two figures of a line
_SENTENCE = later(r"(?<=[.!?]) (?=[A-Z])")


def short_text(answer: Answer, system: str = "metric") -> str:
    """The first screen of an answer, in metric or US units."""
    return drawn(brief(answer, system))


class ShortPlan(NamedTuple):
    """How much is shown."""

    cares: int
    notes: int
    figures: int = MOST_FIGURES
    check: int = MOST_CHECKS
    long: int = _LONG  # lines of a caution of care
    long_note: int = _LONG_NOTE
    whole: bool = True  # all that a stop asks for and each way out with its figure
    weigh: bool = True


def drawn(shown: Brief) -> str:
    """The first screen as text, as much of it as fits."""
    most = MOST_LINES_STOP if shown.verdict == "stop" else MOST_LINES
    lines: list[str] = []
    plans = list(_plans(shown))
    weighed = [short_plan for short_plan in plans if short_plan.figures]
    for plan in (*weighed, *(short_plan._replace(weigh=False) for short_plan in plans)):
        lines = _lines(shown, plan)
        if len(lines) <= most:
            break
    return "\n".join(lines) + "\n"


def _plans(shown: Brief) -> Iterator[ShortPlan]:
    """How much to show, each less than the one before.

    Notes are shortened first, then go, but one on allergens stays to the last; then figures beyond
    three; then cautions of care are shortened, then folded into one line that counts them. A list
    of what to weigh is never cut: where it is too long it stands in the full answer alone.
    """
    allergens = min(sum(note.kind == "allergen" for note in shown.notes), 1)
    room = max(MOST_CAUTIONS - len(shown.stops), 0)
    cares = min(len(shown.cares), max(room - allergens, 0))
    notes = min(len(shown.notes), max(room - cares, allergens))
    for fewer in range(notes, allergens, -1):
        yield ShortPlan(cares, fewer, long_note=_LONG)
        yield ShortPlan(cares, fewer)
    yield ShortPlan(cares, allergens)
    yield ShortPlan(cares, allergens, 4, 2)
    yield ShortPlan(cares, allergens, 3, 1)
    least = ShortPlan(cares, allergens, 3, 1, 2)
    yield least
    last = 0 if shown.stops else 1
    for fewer in range(cares - 1, last - 1, -1):
        yield least._replace(cares=fewer)
    least = least._replace(cares=min(cares, last))
    yield least._replace(figures=0, check=0)
    yield least._replace(figures=0, check=0, whole=False)


def _lines(shown: Brief, plan: ShortPlan) -> list[str]:
    out = [*_first(shown), ""]
    out += _stops(shown, plan.whole)
    out += _block(
        "Ways out", [_way(way, shown.deciding if plan.whole else way.figure) for way in shown.ways]
    )
    if plan.weigh:
        out += _block("Weigh", _side_by_side([line.line for line in shown.weigh]))
    elif shown.weigh:
        out += _block("Weigh", [f"{len(shown.weigh)} parts; see them with --full."])
    out += _block("Do this", shown.do_this)
    out += _block("Key figures", _table(shown.figures[: plan.figures]))
    out += _block("Check", _table(shown.check[: plan.check]))
    out += _mind(shown, plan)
    out.append("Always")
    out += [f"  {kind:<10}  {line}" for kind, line in shown.always._asdict().items()]
    return [*out, *_wrapped(_more(shown), 6)]


def _mind(shown: Brief, plan: ShortPlan) -> list[str]:
    """The cautions that this input triggered; those of care that are not shown are counted."""
    cares, rest = shown.cares[: plan.cares], shown.cares[plan.cares :]
    out = [line for caution in cares for line in _caution(caution, plan.long)]
    if rest:
        kinds = ", ".join(dict.fromkeys(caution.kind for caution in rest))
        out += _wrapped(f"  CARE  {len(rest)} more: {kinds}. Read them with --full.", 8)
    out += [line for note in shown.notes[: plan.notes] for line in _caution(note, plan.long_note)]
    return ["Mind", *out] if cares or plan.notes else out


def _way(way: Way, known: str) -> str:
    """A way out with its verdict; its figure where it is another than the one that is known."""
    figure = "" if way.figure == known else f" {way.figure}"
    return f"{way.label}: {way.verdict.upper()}.{figure}".rstrip()


def _first(shown: Brief) -> list[str]:
    """The verdict with the figure that decides it; the tail stands where it fits on the line."""
    start = f"{shown.name}: {shown.verdict.upper()}  "
    tail = _TAIL[shown.verdict]
    whole = f"{start}{shown.deciding} {tail}" if shown.deciding else f"{start}{tail}"
    if shown.verdict != "stop" and shown.deciding:
        for shorter in (_SHORT_TAIL[shown.verdict], ""):
            if len(whole) > screen():
                whole = f"{start}{shown.deciding} {shorter}".rstrip()
    return _wrapped(whole, 2)


def _stops(shown: Brief, whole: bool) -> list[str]:
    """Each stop with its whole text, and what to do; one that decides is not said again."""
    out: list[str] = []
    for place, stop in enumerate(shown.stops):
        if place == 0 and shown.decides_by_stop:
            said = f"  STOP  {stop.kind}: {_action(stop, whole)}"
        else:
            said = f"  STOP  {stop.kind}: {stop.text} {_action(stop, whole)}"
        out += _wrapped(said, 8)
    return out


def _caution(caution: Caution, long: int) -> list[str]:
    """A caution in so many lines: the hazard, and as much of the action as fits.

    A hazard that alone takes the most lines lists what the action is about, without the action.
    Where both do not fit, a note keeps its hazard: an action alone does not say what it is about.
    """
    start = f"  {caution.severity.upper()}  {caution.kind}: "
    hazard, action = _SENTENCE.split(caution.text), _SENTENCE.split(caution.action)
    hazard_first = long == _LONG or caution.severity == "note"
    last = [hazard, [hazard[0]], [action[0]]] if hazard_first else [[action[0]], [hazard[0]]]
    pairs = [[*hazard, *action], [*hazard, action[0]], [hazard[0], action[0]]]
    for told in (*pairs, *last):
        lines = _wrapped(start + " ".join(told), 8)
        if len(lines) <= long:
            return lines
    return _wrapped(start + (hazard if hazard_first else action)[0], 8)


def _action(stop: Caution, whole: bool) -> str:
    return stop.action if whole else _SENTENCE.split(stop.action)[0]


def _more(shown: Brief) -> str:
    """What the full answer adds."""
    said = [f"{shown.full_notes} cautions"]
    if shown.full_figures:
        said.append(f"{shown.full_figures} figure{'s' if shown.full_figures > 1 else ''}")
    if shown.full_tables:
        said.append(f"{shown.full_tables} table{'s' if shown.full_tables > 1 else ''}")
    return f"More: --full (all {', '.join(said)}), --working (sums)"


def _wrapped(line: str, indent: int) -> list[str]:
    return textwrap.wrap(
        line, screen(), subsequent_indent=" " * indent, break_on_hyphens=False
    )  # fmt: skip


def _block(label: str, lines: Sequence[str]) -> list[str]:
    """Lines under a word at their left."""
    out: list[str] = []
    for line in lines:
        start = f"{label:<{_LABEL}}" if not out else " " * _LABEL
        out += textwrap.wrap(
            line, screen(), initial_indent=start, subsequent_indent=" " * (_LABEL + 2),
            break_on_hyphens=False, drop_whitespace=True,
        ) if len(start + line) > screen() else [start + line]  # fmt: skip
    return out


def _table(figures: Sequence[ShownFigure]) -> list[str]:
    """Figures two on a line, one that is too wide for that on its own."""
    half = (screen() - _LABEL - _GAP) // 2
    rows: list[list[ShownFigure]] = []
    for shown_figure in figures:
        if (
            _width(shown_figure) <= half
            and rows
            and len(rows[-1]) == 1
            and _width(rows[-1][0]) <= half
        ):
            rows[-1].append(shown_figure)
        else:
            rows.append([shown_figure])
    pads = [_pad([row[place] for row in rows if len(row) > place], half) for place in (0, 1)]
    return [
        (" " * _GAP)
        .join(
            f"{one.label:<{pad}}  {one.value}".ljust(half)
            for one, pad in zip(row, pads, strict=False)
        )
        .rstrip()
        for row in rows
    ]


def _width(shown_figure: ShownFigure) -> int:
    return len(shown_figure.label) + 2 + len(shown_figure.value)


def _pad(column: Sequence[ShownFigure], half: int) -> int:
    """How wide the labels of a column are drawn; no wider than lets its values fit."""
    narrow = [shown_figure for shown_figure in column if _width(shown_figure) <= half]
    widest = max((len(shown_figure.label) for shown_figure in narrow), default=0)
    return min([widest, *(half - 2 - len(shown_figure.value) for shown_figure in narrow)])


def _side_by_side(words: Sequence[str]) -> list[str]:
    """Weigh-outs, two on a line where both fit."""
    widest = max(map(len, words), default=0)
    if 2 * widest + _GAP + _LABEL > screen():
        return list(words)
    pairs = [words[place : place + 2] for place in range(0, len(words), 2)]
    return [(" " * _GAP).join(f"{one:<{widest}}" for one in pair).rstrip() for pair in pairs]
