"""The first page of a card: what it says and says to do, set to fit one page.

No sentence is written here. A sentence that forbids ("Never ...", "Do not ...", "Nobody ...") goes
to what not to do, one of an action that asks for something to what to do.

One layout for all papers, in u: 210 of them are the width of the page or 297 its height, whichever
is less (1 mm on A4). Type is never smaller than `fitting.SMALLEST_TYPE_MM`, so a small paper holds
fewer words, not smaller ones: facts give way first, then second sentences. What finds no place is
counted, and the card sends the reader to the details. A roll is as long as its card.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from prepkit.errors import PrepkitError
from prepkit.label import PAPERS_MM, ROLL, ROLL_WIDE_MM
from prepkit.render import fitting
from prepkit.render.fitting import Gauge, sentences

# ---- what a card says to do and not to do ----

MOST = 3  # of each kind, on one card
_FORBIDS = re.compile(r"(?:[^?]*\? )?(?:Never|Do not|Nobody|Nothing|No|Not)\b")
# in a hazard "No measurement was found" forbids nothing
_HAZARD_FORBIDS = re.compile(r"(?:[^?]*\? )?(?:Never|Do not|Nobody)\b|[^:]*: never\b")
# said by a note alone, such a word has lost what it stands for
_POINTS_BACK = re.compile(r"\b(?:it|its|them|they|these|those|both|one|each)\b", re.IGNORECASE)
# the symbol in the sign beside a sentence; a plain sign where none of these says it
_DONE = ((r"\bvent\b", "vent"), (r"\bgoggles\b|\beye protection\b", "goggles"))
_FORBIDDEN = (
    (r"\bflames?\b|\bhob\b", "flame"), (r"^nobody (?:goes|enters)\b", "person"),
    (r"\bseal\b|\bclosed?s?\b", "sealed"), (r"\bdry ice\b|\bnitrogen\b", "cold"),
)  # fmt: skip
_RANKS = {"stop": 0, "care": 1}
_ALWAYS, _NOTE = 2, 3


@dataclass(frozen=True)
class CardCaution:
    """A caution as a card needs it: what can happen, what to do, how grave, of which item."""

    id: str
    kind: str
    severity: str
    text: str
    action: str
    standing: bool = False
    of: str = ""

    @property
    def rank(self) -> int:
        """0 for a stop, then care, then what always stands, then notes."""
        return _ALWAYS if self.standing else _RANKS.get(self.severity, _NOTE)


@dataclass(frozen=True)
class Advice:
    """One sentence for a card, and the caution that it is of."""

    words: str
    point: CardCaution


@dataclass(frozen=True)
class Chosen:
    """What stands on a card, and the cautions to mind of which nothing does."""

    do: tuple[Advice, ...]
    never: tuple[Advice, ...]
    left: tuple[CardCaution, ...]


def _told(text: str) -> list[str]:
    """The sentences of a text; a question stays with its answer."""
    told: list[str] = []
    for sentence in sentences(text):
        if told and told[-1].endswith("?"):
            told[-1] += f" {sentence}"
        else:
            told.append(sentence)
    return told


def split(point: CardCaution) -> tuple[list[Advice], list[Advice]]:
    """What a caution asks for and what it forbids.

    >>> hot = CardCaution("a", "heat", "care", "It is hot.", "Never touch it. Let it cool.")
    >>> do, never = split(hot)
    >>> [one.words for one in do], [one.words for one in never]
    (['Let it cool.'], ['Never touch it.'])
    """
    of = f"{point.of}: " if point.of else ""
    do: list[Advice] = []
    never = [Advice(of + text, point) for text in _told(point.text) if _HAZARD_FORBIDS.match(text)]
    for text in _told(point.action):
        (never if _FORBIDS.match(text) else do).append(Advice(of + text, point))
    return do, never


def _lost(one: Advice) -> bool:
    """Whether a sentence of a note points back to words that are not on the card."""
    return one.point.rank == _NOTE and _POINTS_BACK.search(one.words) is not None


def symbol(words: str, forbids: bool) -> str:
    """The symbol in the sign beside a sentence; "" for a plain one.

    >>> symbol("Vent it before you open it.", False), symbol("Never drop it.", True)
    ('vent', '')
    """
    told = _FORBIDDEN if forbids else _DONE
    return next((name for look, name in told if re.search(look, words, re.IGNORECASE)), "")


def chosen(points: Sequence[CardCaution], fits: Callable[[str], bool], most: int = MOST) -> Chosen:
    """At most `most` of each kind that fit their place.

    Each caution that asks for care has its first sentence before any has a second; then each
    hazard that always stands; then what is left, in this order. `left` are those cautions of
    which nothing found a place; notes are not counted.
    """
    ordered = sorted(points, key=lambda one: one.rank)
    do: list[Advice] = []
    never: list[Advice] = []
    told = {
        id(caution): tuple(
            [a for a in each if fits(a.words) and not _lost(a)] for each in split(caution)
        )
        for caution in ordered
    }

    def place(found: Sequence[Advice], into: list[Advice]) -> bool:
        room = [advice for advice in found if advice.words not in {each.words for each in into}]
        if len(into) >= most or not room:
            return False
        into.append(room[0])
        return True

    left = []
    for point in ordered:
        asked, forbidden = told[id(point)]
        first, second = ((forbidden, never), (asked, do))
        if point.rank < _ALWAYS:
            first, second = second, first
        if point.rank < _NOTE and not place(*first) and not place(*second):
            left.append(point)
    for point in ordered:
        asked, forbidden = told[id(point)]
        place(asked, do)
        place(forbidden, never)
    return Chosen(_in_order(do), _in_order(never), tuple(left))


def _in_order(found: Sequence[Advice]) -> tuple[Advice, ...]:
    return tuple(sorted(found, key=lambda one: one.point.rank))


def asks(point: CardCaution) -> bool:
    """Whether a caution is of something gone wrong ("It will not vent? ..."); it is not split."""
    told = _told(point.text)
    return bool(told) and "? " in told[0]


def advice_question(points: Sequence[CardCaution]) -> CardCaution | None:
    """The gravest caution that answers what to do when something goes wrong."""
    return min(filter(asks, points), key=lambda point: point.rank, default=None)


# ---- the first page of a card ----

# width and height in mm; a roll has no height of its own
SIZES_MM: dict[str, tuple[float, float | None]] = {**PAPERS_MM, ROLL: (ROLL_WIDE_MM, None)}
WIDE_U, HIGH_U = 210, 297
_PAD_U, _TOP_U = 10.0, 8.0
_BODY_U = 6.6
_BIG_U = 15.4  # capitals of 10 mm on A4, read at 3 m
_LESS_U = 11.0  # capitals of 7 mm on A4, read at 2 m
_WORD_U = 20.0
_LINE = 1.16  # line height of body text
_TIGHT = 1.06  # of large text
_PLATE = 1.12  # of the signal word, to the height of its plate
_ROW = 0.5  # of a gap, above and below a row of facts together
_ADVICE = 0.6  # the same of a sentence
_HEAD = 1.25 * 1.3  # of the body: a heading with its line
_MOST_FACTS = 12  # on a roll
_LINES = (4, 3, 2)  # of a sentence, at most
_MOST_WHY = 4  # lines
_QR_MM = (21.0, 34.0)  # least and most
_MODULE_MM = 0.38  # a telephone at arm's length reads it (practice)
DETAILS = "See the details sheet."


class NoRoom(PrepkitError):
    """A card whose least words do not fit its paper; a defect, never a wish of the caller."""


@dataclass(frozen=True)
class Fact:
    """A row of the load or of the result; the first are kept longest."""

    label: str
    value: str
    brief: str = ""  # the value where the facts stand in two columns


@dataclass(frozen=True)
class Face:
    """What a card says, before it is set."""

    title: str
    about: str
    verdict: str
    word: str
    words: str  # the verdict in words
    headline: Sequence[str]  # wordings, the fullest first
    gauge: Gauge | None = None
    facts: Sequence[Fact] = ()
    points: Sequence[CardCaution] = ()
    always: Mapping[str, str] = field(default_factory=dict)  # a short line for each kind
    ways: Sequence[tuple[str, str, str]] = ()  # what to do, its verdict, its figure
    wanted: int = 5  # so many of the facts stand where no sentence is lost by it
    least: int = 3  # so many stand before any sentence
    fewer: str = "{} more: see the details sheet."  # of the facts that found no place
    closing: Sequence[str] = ()
    qr: Sequence[str] = ()  # rows of "1" and "0"


@dataclass(frozen=True)
class FactRow:
    """A row of facts as it is set."""

    label: Sequence[str]
    value: Sequence[str]


@dataclass(frozen=True)
class CardColumn:
    """Do, or do not."""

    head: str
    sign: str
    rows: Sequence[tuple[str, Sequence[str]]]  # symbol, lines


@dataclass(frozen=True)
class Front:
    """A card as it is set: lines that fit, and sizes in millimetres."""

    face: Face
    wide: float
    high: float
    sizes: dict[str, float]
    columns: int
    title: Sequence[str] = ()
    about: Sequence[str] = ()
    headline: Sequence[str] = ()
    headline_size: str = "big"
    plate_figure: str = ""
    caption: Sequence[str] = ()
    gauge: str = ""
    facts: Sequence[FactRow] = ()
    halves: bool = False  # facts in two columns
    ways: Sequence[FactRow] = ()
    left: Sequence[str] = ()
    advice: Sequence[CardColumn] = ()
    always: Sequence[tuple[bool, str]] = ()  # bold or not, line
    question: Sequence[tuple[bool, str]] = ()
    closing: Sequence[str] = ()
    qr_mm: float = 0.0
    beside: bool = True  # the code stands beside the closing words
    left_out: int = 0  # cautions to mind that found no place

    @property
    def told(self) -> int:
        """How many sentences say what to do and not to do."""
        return sum(len(column.rows) for column in self.advice)


@dataclass
class _Page:
    """The sizes of a paper."""

    wide: float
    high: float | None
    u: float = field(init=False)

    def __post_init__(self) -> None:
        self.u = min(self.wide / WIDE_U, (self.high or float("inf")) / HIGH_U)
        self.pad = max(_PAD_U * self.u, 4.0)
        self.inside = self.wide - 2 * self.pad
        self.body = max(_BODY_U * self.u, fitting.SMALLEST_TYPE_MM)
        self.big = max(_BIG_U * self.u, self.body)
        self.less = max(_LESS_U * self.u, self.body)
        self.word = max(_WORD_U * self.u, self.body)
        self.gap = max(2.6 * self.u, 1.3)
        half = (self.inside - 2.5 * self.gap) / 2
        self.columns = 2 if half >= 13 * self.body else 1
        self.column = half if self.columns == 2 else self.inside
        self.sign = max(13.0 * self.u, 1.8 * self.body)
        self.line = _LINE * self.body

    def room(self, used: float) -> float:
        return float("inf") if self.high is None else self.high - used


def set_on(face: Face, paper: str) -> Front:
    """A card set on a paper by its name in `SIZES_MM`. Raises NoRoom where its least does not fit.

    Lengths of the result are in millimetres.
    """
    wide, high = SIZES_MM[paper]
    page = _Page(wide, high)
    found: list[Front] = []
    for least_facts in (face.wanted, min(face.wanted, face.least)):
        for lines in _LINES:
            tried = _set(face, page, lines, MOST, least_facts)
            if tried is not None:
                found.append(tried)
    for lines, most in ((3, 3), (2, 3), (3, 2), (3, 1)):
        tried = _set(face, page, lines, most, 0) if not found else None
        if tried is not None:
            found.append(tried)
    if not found:
        raise NoRoom(f'The card "{face.title[:60]}" does not fit {paper}.')
    # of all that fit: no point to mind left out, then as many sentences as there are, then facts
    return min(found, key=lambda one: (one.left_out, -one.told))


def _set(face: Face, page: _Page, lines: int, most: int, least_facts: int) -> Front | None:
    """A card with so many lines for each sentence; None where it is too high."""
    body, gap = page.body, page.gap
    title, about = _heading(face, page)
    used = _TOP_U * page.u + max(len(title), len(about)) * page.line + gap
    used += _PLATE * page.word + gap
    headline, size = _headline(face, page)
    used += len(headline) * _TIGHT * getattr(page, size) + gap
    gauge = ""
    if face.gauge is not None:
        bar = max(8.0 * page.u, 5.0)
        gauge = fitting.card_gauge(face.gauge, page.inside, bar, max(7.5 * page.u, body))
        used += bar + 1.25 * max(7.5 * page.u, body) + gap
    beside_each_other = page.columns == 2 and not face.ways  # the ways out take the place of "do"
    wide = (page.column if beside_each_other else page.inside) - page.sign - gap
    chosen = _chosen(face, wide / body, lines, most)
    columns = _columns(face, wide / body, chosen)
    heights = [_column_height(column, page) for column in columns]
    used += (max(heights, default=0.0) if beside_each_other else sum(heights)) + gap
    left = _left(face, chosen, page)
    always = _always(face, chosen, page)
    used += len(always) * page.line + (gap if always else 0.0)
    used += len(left) * page.line + (gap if left else 0.0)
    closing, qr_mm, beside = _closing(face, page)
    closing_high = len(closing) * page.line
    used += (max(closing_high, qr_mm) if beside else closing_high + qr_mm + gap) + 2 * gap
    used += page.pad
    caption = _caption(face, headline, page)
    used += len(caption) * page.line + (gap / 2 if caption else 0.0)
    ways = _rows([Fact(way[0], way[1]) for way in face.ways], page.inside, page)
    used += sum(_row_height(row, page) for row in ways) + (page.line + 2 * gap if ways else 0.0)
    rows, halves, kept, used = _facts(face, page, used)
    if page.room(used) < 0 or kept < min(least_facts, len(face.facts)):
        return None
    asked = advice_question(face.points)
    question: list[tuple[bool, str]] = []
    if asked is not None and not any(
        asked is advice.point for advice in (*chosen.do, *chosen.never)
    ):
        question = [(True, line) for line in fitting.lines(asked.text, page.inside / body, True)]
        question += [(False, line) for line in fitting.lines(asked.action, page.inside / body)]
        if page.room(used) < len(question) * page.line + gap:
            question = []
        else:
            used += len(question) * page.line + gap
    figure = face.gauge.figure if face.gauge is not None else ""
    room = page.inside - 10 * page.u - 1.2 * page.word - page.word * fitting.width(face.word, True)
    up_to = face.gauge is not None and face.gauge.bound > face.gauge.value
    if up_to and fitting.width(f"up to {figure}", True) * page.big <= room - gap:
        figure = f"up to {figure}"
    elif fitting.width(figure, True) * page.big > room - gap:
        figure = ""
    sizes = {
        "u": page.u, "pad": page.pad, "top": _TOP_U * page.u, "body": body, "big": page.big,
        "less": page.less, "word": page.word, "gap": gap, "sign": page.sign,
        "inside": page.inside, "column": page.column, "row": _ROW * gap / 2,
        "say": _ADVICE * gap / 2, "plate": _PLATE * page.word,
    }  # fmt: skip
    return Front(
        face, page.wide, used if page.high is None else page.high, sizes, 1 + beside_each_other,
        title=title, about=about, headline=headline, headline_size=size, plate_figure=figure,
        caption=caption, gauge=gauge, facts=rows, halves=halves, ways=ways, left=left,
        advice=columns, always=always, question=question, closing=closing, qr_mm=qr_mm,
        beside=beside, left_out=_left_out(face, chosen),
    )  # fmt: skip


def _heading(face: Face, page: _Page) -> tuple[Sequence[str], Sequence[str]]:
    """Title and, at the right, date or serves."""
    right = min(page.body * fitting.width(face.about) + 0.1, 0.4 * page.inside)
    about = fitting.shortened(face.about, right, page.body, 2)
    wide = page.inside - right - page.gap
    return fitting.shortened(face.title, wide, page.body, 3 if page.high else 5, True), about


def _headline(face: Face, page: _Page) -> tuple[Sequence[str], str]:
    """The sentence that decides, as large as it fits in its lines: large, less, then body."""
    for size, most in (("big", 2 if face.gauge is not None else 3), ("less", 3)):
        for text in face.headline:
            found = fitting.fitted([text], page.inside, getattr(page, size), most, bold=True)
            if found is not None:
                return found, size
    return fitting.lines(face.headline[-1], page.inside / page.body, bold=True), "body"


def _caption(face: Face, headline: Sequence[str], page: _Page) -> tuple[str, ...]:
    """The words of the verdict, and what decides where the large letters did not hold all of it."""
    told = fitting.glued(" ".join(headline))
    fullest = face.headline[0]
    said = [] if fitting.glued(face.words) in told else [face.words]
    wide = page.inside / page.body
    if told != fitting.glued(fullest):
        rest = fitting.fitted(fitting.shorter(fullest), page.inside, page.body, _MOST_WHY)
        return (*(fitting.lines(said[0], wide) if said else ()), *(rest or ()))
    return fitting.lines(said[0], wide) if said else ()


def _chosen(face: Face, wide: float, lines: int, most: int) -> Chosen:
    def fits(words: str) -> bool:
        return len(fitting.lines(words, wide)) <= lines

    points = [point for point in face.points if not asks(point)]
    if face.verdict == "stop":  # what would be right to do is no help before the stop is gone
        points = [point for point in points if point.rank in (0, 2)]
    return chosen(points, fits, most)


def _columns(face: Face, wide: float, chosen: Chosen) -> list[CardColumn]:
    found = []
    head = "To change it" if face.verdict == "stop" else "Do"
    do = (head, "mandatory", () if face.ways else chosen.do)
    for head, sign, told in (do, ("Do not", "prohibition", chosen.never)):
        forbids = sign == "prohibition"
        rows = [
            (symbol(advice.words, forbids), fitting.lines(advice.words, wide)) for advice in told
        ]
        if rows:
            found.append(CardColumn(head, sign, rows))
    return found


def _column_height(column: CardColumn, page: _Page) -> float:
    head = _HEAD * page.body + page.gap
    return head + sum(
        max(page.sign, len(lines) * page.line) + _ADVICE * page.gap for _, lines in column.rows
    )


def _left_out(face: Face, chosen: Chosen) -> int:
    """How many cautions to mind found no place; a stop says what to do by itself."""
    return 0 if face.verdict == "stop" else sum(caution.rank < 2 for caution in chosen.left)


def _left(face: Face, chosen: Chosen, page: _Page) -> Sequence[str]:
    """How many reasons of a stop are not told, or how many points to mind found no place."""
    if face.verdict == "stop":
        count = sum(each.rank == 0 for each in face.points) - 1
        words = f"{count} more reason{'' if count == 1 else 's'}. {DETAILS}"
    else:
        count = _left_out(face, chosen)
        words = f"{count} more point{'' if count == 1 else 's'} to mind. {DETAILS}"
    return fitting.lines(words, page.inside / page.body, bold=True) if count > 0 else ()


def _always(face: Face, chosen: Chosen, page: _Page) -> list[tuple[bool, str]]:
    """The short line of each hazard that always stands and of which no sentence found a place."""
    told = {advice.point.kind for advice in (*chosen.do, *chosen.never)}
    if face.ways:  # what to do is not shown beside the ways out
        told = {advice.point.kind for advice in chosen.never}
    wide = page.inside / page.body
    return [
        (False, line)
        for kind, words in face.always.items()
        if kind not in told
        for line in fitting.lines(f"{kind.capitalize()}: {words}", wide)
    ]


def _rows(facts: Sequence[Fact], wide: float, page: _Page, brief: bool = False) -> list[FactRow]:
    """Rows of a label and a value, the value whole on its line where it fits."""
    found = []
    for fact in facts:
        words = fact.brief if brief else fact.value
        most = max(0.62 * (wide - 6 * page.body), 0.55 * wide)
        value_wide = min(page.body * fitting.width(fitting.glued(words), True) + 0.1, most)
        value_wide = value_wide if words else 0.0
        value = fitting.lines(words, value_wide / page.body, bold=True)
        gap = page.gap if words else 0.0
        label = fitting.lines(fact.label, (wide - value_wide - gap) / page.body)
        found.append(FactRow(label, value))
    return found


def _row_height(row: FactRow, page: _Page) -> float:
    return max(len(row.label), len(row.value), 1) * page.line + _ROW * page.gap


def _facts(face: Face, page: _Page, used: float) -> tuple[list[FactRow], bool, int, float]:
    """The facts that there is room for, in order, and whether they stand in two columns.

    All of them; else all of them in brief, in two columns; else the first, and how many more.
    """
    rows = _rows(face.facts, page.inside, page)
    if not rows:
        return [], False, 0, used
    room = page.room(used) - page.gap
    high = sum(_row_height(row, page) for row in rows)
    if high <= room and len(rows) <= _MOST_FACTS:
        return rows, False, len(rows), used + high + page.gap
    if page.columns == 2 and all(fact.brief for fact in face.facts):
        halves = _rows(face.facts, page.column, page, brief=True)
        high = sum(
            max(_row_height(row, page) for row in halves[at : at + 2])
            for at in range(0, len(halves), 2)
        )
        if high <= room:
            return halves, True, len(halves), used + high + page.gap
    for count in range(min(len(rows), _MOST_FACTS) - 1, -1, -1):
        fewer = fitting.lines(face.fewer.format(len(rows) - count), page.inside / page.body)
        kept = [*rows[:count], *([FactRow(fewer, ())] if fewer else [])]
        high = sum(_row_height(row, page) for row in kept)
        if high <= room:
            return kept, False, count, used + high + page.gap
    return [], False, 0, used


def _closing(face: Face, page: _Page) -> tuple[Sequence[str], float, bool]:
    """What traces the card, and the side of its code."""
    side = 0.0
    if face.qr:
        side = max(_QR_MM[0], _MODULE_MM * len(face.qr))
        if side > min(_QR_MM[1], page.inside):
            side = 0.0  # too fine to be read: the words and the hash stand alone
    beside = page.inside - side - page.gap >= 14 * page.body
    wide = page.inside - (side + page.gap if side and beside else 0.0)
    lines = [line for text in face.closing for line in fitting.lines(text, wide / page.body)]
    return lines, side, beside
