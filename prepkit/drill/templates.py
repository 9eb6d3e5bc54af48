"""Question templates: the topic files read and checked, a row at a time.

A [[question]] asks for one value of a calculator, or for its verdict; a [[fault]] is a siphon load
with one planted fault on the plate or on the job; an [[ask]] has its right and wrong answers in
words. Numbers are drawn from `draw`, put into the words and into the calculator's inputs; the wrong
answers are traps, by name or as a sum. A [[constant]] stands on the data sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from string import Formatter
from typing import Any

from prepkit import blocks
from prepkit.drill import gas_traps, mixture_traps
from prepkit.drill.choices import FUNCTIONS, TRAPS, BadSum, Sum, Trap, trap_of_sum
from prepkit.errors import UnknownIngredient
from prepkit.inputs import Json
from prepkit.science import gases

# ---- question templates ----

TOPICS = ("siphon", "room", "cryogen", "acid", "syrup", "strength", "keg", "process")
GROUPS = ("bar", "kitchen", "mixed")  # of topics, as data/drills/groups.toml says
PAPERS = (*TOPICS, *GROUPS)  # whatever a paper can be about
LEVELS = (1, 2, 3)
VERDICTS = ("clear", "care", "stop")
FEWEST_WRONG_WORDS = 4  # of an [[ask]]
#: What a plate can show, in the order it is drawn: the siphon's inputs by name.
PLATE = (
    "vessel_volume", "max_fill", "rated", "allowed_gas", "allowed_charger", "most_chargers",
    "hottest", "head", "inspection_due",
)  # fmt: skip


#: Loading these registers the traps that are written in Python.
_WRITTEN = (gas_traps, mixture_traps)


class BadRow(ValueError):
    """A row of a topic file that cannot be used, by its id."""


@dataclass(frozen=True)
class Constant:
    """A number of the data sheet."""

    id: str
    words: str
    value: float
    unit: str
    source: str


@dataclass(frozen=True)
class Binding:
    """A trap, and which number goes to which of its arguments, with a factor of units."""

    of: Trap
    arguments: Mapping[str, tuple[str, float]]

    @property
    def trap(self) -> str:
        """The trap's name."""
        return self.of.name


@dataclass(frozen=True)
class WorkStep:
    """A line of the work by hand; `name` is "" for the last one where it has none."""

    name: str
    sum: Sum


@dataclass(frozen=True)
class WrongWords:
    """A wrong answer in words, and why it is wrong."""

    words: str
    why: str


@dataclass(frozen=True)
class Template:
    """One kind of question.

    `answer` is a value's name, a table's cell, "verdict", "fault" or "ask".
    """

    id: str
    topic: str
    level: int
    calculator: str
    text: str
    draw: Mapping[str, object]
    inputs: Mapping[str, object]
    answer: str | Mapping[str, str]
    tolerance: Mapping[str, float]
    traps: tuple[Binding, ...]
    caution: str
    sources: tuple[str, ...]
    decides: str
    digits: int | None = None  # shown digits, where they are not the calculator's own
    between: tuple[float, float] | None = None  # what is possible, where the unit does not say
    zero: float | None = None  # where its scale begins, where that is not nothing
    fault: str = ""  # what is wrong, in words, where a fault is to be found
    nothing: str = ""  # what "nothing is wrong" rests on, for the load without its fault
    unreadable: tuple[str, ...] = field(default=())  # inputs that the plate does not show
    load: str = ""  # the load that the fault is planted in
    sound: Mapping[str, object] = field(default_factory=dict)  # the inputs without the fault
    sound_draw: Mapping[str, object] = field(default_factory=dict)
    by_hand: tuple[WorkStep, ...] = ()
    constants: tuple[Constant, ...] = ()  # those of its work by hand
    verdicts: tuple[str, ...] = ()
    why: Mapping[str, str] = field(default_factory=dict)  # why a verdict is wrong here
    right: tuple[str, ...] = ()  # right answers in words, of which one is drawn
    wrong: tuple[WrongWords, ...] = ()
    signs: tuple[str, ...] = ()

    @property
    def kind(self) -> str:
        """number, verdict, fault or ask."""
        words = ("verdict", "fault", "ask")
        return self.answer if isinstance(self.answer, str) and self.answer in words else "number"


# ---- reading, which fails closed ----

_COMMON = {"id", "level", "caution", "sources", "decides", "draw", "signs"}
_QUESTION = _COMMON | {
    "calculator", "text", "inputs", "answer", "tolerance", "trap", "digits", "by_hand",
    "verdicts", "why", "between", "zero",
}  # fmt: skip
_FAULT = _COMMON | {"load", "fault", "change", "unreadable"}
_ASK = _COMMON | {"text", "right", "wrong"}
_FILE = {"decides", "look", "constant", "trap", "question", "fault", "ask", "load"}


_OF_FAULTS = ("nothing-seen", "fault-not-there")


class _Reader:
    """The rows of one topic."""

    def __init__(self, topic: str) -> None:
        self.topic = topic
        self.data: Json = blocks.document(f"drills/{topic}.toml")
        self.here = "the file"
        self.traps: dict[str, Trap] = {}
        self.constants: dict[str, Constant] = {}
        self.ids: set[str] = set()

    def bad(self, why: str) -> BadRow:
        return BadRow(f"drills/{self.topic}.toml, {self.here}: {why}")

    def only(self, row: object, allowed: Iterable[str], *needed: str) -> Json:
        """The row as a table of known keys, with those that it needs."""
        if not isinstance(row, dict):
            raise self.bad(f"{row!r:.60} must be a table")
        unknown = sorted(set(row) - set(allowed))
        if unknown:
            raise self.bad(f'the key "{unknown[0]}" is not known')
        missing = [key for key in needed if key not in row]
        if missing:
            raise self.bad(f'the key "{missing[0]}" is missing')
        return row

    def number(self, row: Json, key: str) -> float | None:
        value = row.get(key)
        if value is not None and (isinstance(value, bool) or not isinstance(value, int | float)):
            raise self.bad(f"{key} must be a number, and is {value!r:.60}")
        return None if value is None else float(value)

    def between(self, row: Json) -> tuple[float, float] | None:
        said = row.get("between")
        if said is None:
            return None
        if not isinstance(said, list) or len(said) != 2:
            raise self.bad(f"between must be two numbers, and is {said!r:.60}")
        low, high = (self.number({"between": one}, "between") for one in said)
        if low is None or high is None or low >= high:
            raise self.bad(f"between must be two numbers, the lower first, and is {said!r:.60}")
        return low, high

    def decides(self, row: Json) -> str:
        return self.text({**self.data, **row}, "decides")

    def text(self, row: Json, key: str) -> str:
        value = row[key]
        if not isinstance(value, str) or not value.strip():
            raise self.bad(f"{key} must be words, and is {value!r:.60}")
        return " ".join(value.split())

    def texts(self, row: Json, key: str) -> tuple[str, ...]:
        value = row.get(key, [])
        if not isinstance(value, list) or not all(isinstance(v, str) and v.strip() for v in value):
            raise self.bad(f"{key} must be a list of words, and is {value!r:.60}")
        return tuple(" ".join(one.split()) for one in value)

    def sum(self, line: object, known: Iterable[str] | None = None) -> Sum:
        try:
            found = Sum.read(line)  # type: ignore[arg-type]  # checked by Sum itself
        except BadSum as error:
            raise self.bad(str(error)) from None
        for name in found.names if known is not None else ():
            if name not in (known or ()):
                raise self.bad(f'"{found.text}": {name} is not drawn, shown or a constant')
        return found

    def head(self, row: Json) -> None:
        """What every row begins with."""
        if self.here in self.ids:
            raise self.bad("the id comes twice")
        self.ids.add(self.here)
        if row["level"] not in LEVELS or isinstance(row["level"], bool):
            raise self.bad(f"the level is {row['level']!r}, and must be 1, 2 or 3")
        self.text(row, "caution")
        if not self.texts(row, "sources"):
            raise self.bad("it names no source")

    # constants and traps

    def constant(self, row: object) -> Constant:
        self.here = str(row.get("id", "a constant")) if isinstance(row, dict) else "a constant"
        keys = ("id", "words", "unit", "source")
        read = self.only(row, (*keys, "value", "gas"), *keys)
        if ("value" in read) == ("gas" in read):
            raise self.bad("it must have either a value or a gas")
        value = read["value"] if "value" in read else self.litres(read)
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.bad(f"the value is {value!r}, and must be a number")
        name = self.text(read, "id")
        if not name.isidentifier() or name in FUNCTIONS or name in self.constants:
            raise self.bad("the id must be one name of letters and _, used once")
        if not isinstance(read["unit"], str):
            raise self.bad("the unit must be words")
        return Constant(
            name, self.text(read, "words"), float(value), read["unit"], self.text(read, "source")
        )

    def litres(self, row: Json) -> float:
        """The gas of one kilogram, as the calculators have it."""
        if row["unit"] != "l/kg":
            raise self.bad('the gas of a kilogram is in "l/kg"')
        try:
            return gases.data_sheet_l_kg(self.text(row, "gas"))
        except UnknownIngredient as error:
            raise self.bad(error.message) from None

    def new_trap(self, row: Json) -> Trap:
        """A trap that the file defines."""
        read = self.only(row, ("name", "done", "right", "gives", "with"), "name", "done", "right")
        name = self.text(read, "name")
        if name in TRAPS or name in self.traps:
            raise self.bad(f'the trap "{name}" is there twice')
        values = {constant.id: constant.value for constant in self.constants.values()}
        line = self.sum(read.get("gives"))
        made = trap_of_sum(name, self.text(read, "done"), self.text(read, "right"), line, values)
        self.traps[name] = made
        return made

    def binding(self, row: object) -> Binding:
        read = self.only(row, ("name", "done", "right", "gives", "with"), "name")
        name = self.text(read, "name")
        if "gives" in read:
            of = self.new_trap(read)
        elif (found := self.traps.get(name) or TRAPS.get(name)) is not None:
            of = found
        else:
            raise self.bad(f'no trap is called "{name}"')
        arguments: dict[str, tuple[str, float]] = {}
        for argument, said in read.get("with", {}).items():
            if argument not in of.arguments:
                raise self.bad(f'the trap "{name}" takes no {argument}')
            pair = (said, 1.0) if isinstance(said, str) else (said[0], float(said[1]))
            arguments[argument] = pair
        return Binding(of, arguments)

    # questions

    def question(self, row: Json) -> Template:
        needed = ("id", "level", "calculator", "text", "inputs", "answer", "caution", "sources")
        self.only(row, _QUESTION, *needed)
        self.head(row)
        text = self.text(row, "text")
        drawn = self.drawn(row.get("draw", {}))
        traps = tuple(map(self.binding, row.get("trap", ())))
        verdicts, why = self.texts(row, "verdicts"), row.get("why", {})
        by_hand = self.by_hand(row, drawn, text)
        used = {name for step in by_hand for name in step.sum.names}
        if row["answer"] == "verdict":
            self.only(why, VERDICTS)
            for name in why:
                self.text(why, name)
            if set(verdicts) - set(VERDICTS):
                raise self.bad(f"verdicts are {', '.join(VERDICTS)}")
        elif verdicts or why:
            raise self.bad("verdicts and why go with the answer verdict")
        return Template(
            row["id"], self.topic, row["level"], row["calculator"], text, row.get("draw", {}),
            row["inputs"], row["answer"], row.get("tolerance", {}), traps, row["caution"],
            self.texts(row, "sources"), self.decides(row),
            row.get("digits"), self.between(row), self.number(row, "zero"),
            by_hand=by_hand, verdicts=verdicts, why=why,
            constants=tuple(one for one in self.constants.values() if one.id in used),
            signs=self.texts(row, "signs"),
        )  # fmt: skip

    def drawn(self, spec: object) -> dict[str, bool]:
        """Every name that is drawn, and whether it is a number each time."""
        if not isinstance(spec, dict):
            raise self.bad("draw must be a table")
        found: dict[str, bool] = {}
        for name, choice in spec.items():
            if isinstance(choice, dict):
                self.only(choice, ("from", "to", "step"), "from", "to", "step")
                found[name] = True
                continue
            if not isinstance(choice, list) or not choice:
                raise self.bad(f"draw.{name} must be a list or a range")
            rows = [one if isinstance(one, dict) else {name: one} for one in choice]
            for key in rows[0]:
                found[key] = all(
                    isinstance(row.get(key), int | float) and not isinstance(row.get(key), bool)
                    for row in rows
                )
            if any(set(row) != set(rows[0]) for row in rows):
                raise self.bad(f"the rows of draw.{name} set unlike names")
        return found

    def by_hand(self, row: Json, drawn: Mapping[str, bool], text: str) -> tuple[WorkStep, ...]:
        lines = row.get("by_hand", [])
        if not isinstance(lines, list):
            raise self.bad("by_hand must be a list of lines")
        known = {name for name, number in drawn.items() if number} | set(self.constants)
        known |= {name for name in placeholders(text) if name not in drawn}
        steps: list[WorkStep] = []
        for place, line in enumerate(lines):
            name, equals, right = str(line).partition("=")
            name = name.strip()
            if not equals:
                if place < len(lines) - 1:
                    raise self.bad(f'"{line}" gives its result no name')
                steps.append(WorkStep("", self.sum(line, known)))
                break
            if not name.isidentifier() or name in FUNCTIONS or name in known:
                raise self.bad(f'"{line}": {name} is no new name')
            steps.append(WorkStep(name, self.sum(right, known)))
            known.add(name)
        return tuple(steps)

    def fault(self, row: Json) -> Template:
        self.only(row, _FAULT, "id", "level", "load", "fault", "caution", "sources")
        self.head(row)
        loads = self.data.get("load", {})
        if row["load"] not in loads:
            raise self.bad(f'no load is called "{row["load"]}"')
        load = loads[row["load"]]
        hidden = self.texts(row, "unreadable")
        inputs = {**load["inputs"], **row.get("change", {})}
        draw = {**load.get("draw", {}), **row.get("draw", {})}
        self.drawn(draw)
        return Template(
            row["id"], self.topic, row["level"], "siphon", " ".join(self.data["look"].split()),
            draw, {name: value for name, value in inputs.items() if name not in hidden},
            "fault", {}, tuple(Binding(TRAPS[fault], {}) for fault in _OF_FAULTS),
            row["caution"], self.texts(row, "sources"), self.decides(row),
            fault=self.text(row, "fault"), unreadable=hidden, load=row["load"],
            sound=load["inputs"], sound_draw=load.get("draw", {}),
            nothing=load.get("nothing", ""), signs=self.texts(row, "signs"),
        )  # fmt: skip

    def ask(self, row: Json) -> Template:
        self.only(row, _ASK, "id", "level", "text", "right", "wrong", "caution", "sources")
        self.head(row)
        drawn = self.drawn(row.get("draw", {}))
        text, right = self.text(row, "text"), self.texts(row, "right")
        if not right:
            raise self.bad("it has no right answer")
        wrong = tuple(
            WrongWords(self.text(self.only(one, ("words", "why"), "words", "why"), "words"),
                       self.text(one, "why"))
            for one in row["wrong"]
        )  # fmt: skip
        if len(wrong) < FEWEST_WRONG_WORDS:
            raise self.bad(f"it has {len(wrong)} wrong answers; at least {FEWEST_WRONG_WORDS}")
        said = [wrong_words.words.casefold() for wrong_words in wrong] + [
            word.casefold() for word in right
        ]
        if len(set(said)) != len(said):
            raise self.bad("two of its answers are the same")
        for words in (
            text,
            *right,
            *(w for wrong_words in wrong for w in (wrong_words.words, wrong_words.why)),
        ):
            for name in placeholders(words):
                if name not in drawn:
                    raise self.bad(f"{{{name}}} is not drawn")
        return Template(
            row["id"], self.topic, row["level"], "", text, row.get("draw", {}), {}, "ask", {}, (),
            row["caution"], self.texts(row, "sources"), self.decides(row),
            right=right, wrong=wrong, signs=self.texts(row, "signs"),
        )  # fmt: skip

    def read(self) -> tuple[tuple[Template, ...], tuple[Constant, ...]]:
        """Every template and every constant, in file order."""
        self.only(self.data, _FILE, "decides")
        for name, load in self.data.get("load", {}).items():
            self.here = f"load.{name}"
            self.only(load, ("inputs", "draw", "nothing"), "inputs")
        for row in self.data.get("constant", ()):
            one = self.constant(row)
            self.constants[one.id] = one
        for row in self.data.get("trap", ()):
            self.here = str(row.get("name", "a trap"))
            self.new_trap(row)
        found = []
        kinds = (("question", self.question), ("fault", self.fault), ("ask", self.ask))
        for kind, reader in kinds:
            for row in self.data.get(kind, ()):
                self.here = str(row.get("id", f"a {kind}"))
                found.append(reader(row))
        return tuple(found), tuple(self.constants.values())


def placeholders(text: str) -> tuple[str, ...]:
    """The names in braces.

    >>> placeholders("{mass_kg} kg give {co2:.1f} %")
    ('mass_kg', 'co2')
    """
    try:
        return tuple(name for _, name, _, _ in Formatter().parse(text) if name)
    except ValueError as error:
        raise BadRow(f'"{text[:60]}": {error}') from None


@cache
def _topic(topic: str) -> tuple[tuple[Template, ...], tuple[Constant, ...]]:
    return _Reader(topic).read()


def templates(topic: str) -> tuple[Template, ...]:
    """Every template of a topic, in file order; BadRow for a row that cannot be used."""
    return _topic(topic)[0]


def constants(topic: str) -> tuple[Constant, ...]:
    """Every constant that a topic names, in file order."""
    return _topic(topic)[1]


# ---- groups of topics ----


@dataclass(frozen=True)
class TopicGroup:
    """Topics under one name, in the order they are asked."""

    name: str
    words: str
    topics: tuple[str, ...]


@cache
def groups() -> Mapping[str, TopicGroup]:
    """The groups by name; BadRow for one that cannot be used."""
    found: dict[str, TopicGroup] = {}
    data: dict[str, Any] = blocks.document("drills/groups.toml")  # Any: TOML
    for name, row in data.items():
        topics: Sequence[str] = row.get("topics", ())
        if set(row) != {"words", "topics"} or not topics or set(topics) - set(TOPICS):
            raise BadRow(f"drills/groups.toml, {name}: it has words and topics that exist")
        if name in TOPICS:
            raise BadRow(f"drills/groups.toml, {name}: a topic has this name")
        found[name] = TopicGroup(name, row["words"], tuple(topics))
    if tuple(found) != GROUPS:
        raise BadRow(f"drills/groups.toml: its groups must be {', '.join(GROUPS)}")
    return found


def topics_of(name: str) -> tuple[str, ...]:
    """The topics of a group, or the topic itself."""
    return groups()[name].topics if name in GROUPS else (name,)
