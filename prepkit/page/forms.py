"""A calculator's Inputs as a form, and a form that was sent as the words of its Inputs.

Whatever was typed into the fields is put together to the words that the calculation reads; words
that cannot be taken apart and put together again stand in one field as they were typed.

Everything shown of a field comes from its Spec. A form is sent by GET: the address of an answer
holds the words of the calculation and nothing else. The page's own words begin with a dot, so that
they never meet the name of an input.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from werkzeug.datastructures import MultiDict

from prepkit import registry, tasting
from prepkit.errors import BadInput, PrepkitError, in_full, named, say
from prepkit.inputs import Inputs, Spec
from prepkit.model import degrees
from prepkit.pantry import Pantry
from prepkit.science.gases import GAS_NAMES
from prepkit.tasting import ladder
from prepkit.units import Measured

# ---- sentences of calculators on a page ----

_ONCE = re.compile(r"(?:[Gg]ive (?:it|the option) )?\b([Oo])nce for each\b")
_LISTS = {
    "see prepkit pantry for": "see Ingredients, above, for",
    "are in prepkit pantry": "stand under Ingredients, above",
}
_ROW = {"o": "one row for each", "O": "One row for each"}


def sentence(text: str, specs: Mapping[str, Spec]) -> str:
    """A sentence with its inputs named by their labels.

    >>> spec = Spec("parts", "the liquid", "", "")
    >>> sentence(f"As {named('part')} says; give it once for each.", {"part": spec})
    'As “the liquid” says; one row for each.'
    """

    def name(field: str, example: str | None) -> str:
        spec = specs.get(field)
        shown = f"“{spec.label if spec is not None else field}”"
        return shown if example is None else f"{shown}: {example}"

    said = _ONCE.sub(lambda found: _ROW[found[1]], text)
    for words, here in _LISTS.items():
        said = said.replace(words, here)
    return say(said, name)


def at_field(message: str, name: str, specs: Mapping[str, Spec]) -> str:
    """An error's sentence beside its own field, which need not be named again.

    >>> specs = {"temperature": Spec("quantity", "temperature", "", "")}
    >>> at_field(f"{named('temperature')} is 90 C; it must be lower.", "temperature", specs)
    'It is 90 C; it must be lower.'
    >>> at_field(f'{named("temperature")} "x" does not start with a number.', "temperature", specs)
    '“x” does not start with a number.'
    """
    rest = message.removeprefix(named(name))
    if rest != message and not rest[:1].isalpha() and not rest.startswith("-"):
        rest = rest.removeprefix(":").lstrip()
        quoted = re.match(r'"([^"]*)"', rest)
        if rest.startswith("is "):
            rest = f"It {rest}"
        elif quoted:
            rest = f"“{quoted[1]}”{rest[quoted.end() :]}"
        elif rest.split(" ", 1)[0] in ("needs", "takes", "has", "comes", "names"):
            rest = f"It {rest}"
        else:
            rest = f"{rest[:1].upper()}{rest[1:]}"
        message = rest
    said = sentence(message, specs)
    return f"{said[:1].upper()}{said[1:]}"


# ---- rows of "name=from to" ----

SPARE = 3  # rows to begin with
_FIELD = re.compile(r"(?P<name>[a-z_]+)\.(?P<row>\d{1,3})\.(?P<part>what|low|high)")
_SIDE = re.compile(r"at (?P<side>least|most) (?P<value>.+)")
_BOTH = re.compile(r"(?P<low>.+?) to (?P<high>.+)")


@dataclass(frozen=True)
class FormRow:
    """One row; `raw` where the words cannot be taken apart."""

    number: int
    what: str = ""
    low: str = ""
    high: str = ""
    raw: str = ""


def joined(what: str, low: str, high: str, needs_end: bool) -> str:
    """The words of a row; "" where nothing is in it.

    >>> joined("rum 40 %", "30 ml", "60 ml", False), joined("ph", "3", "3", True)
    ('rum 40 %=30 ml to 60 ml', 'ph=3')
    >>> joined("rum 40 %", "", "60 ml", False), joined("rum 40 %", "", "", False)
    ('rum 40 %=at most 60 ml', 'rum 40 %')
    """
    if low and high:
        ends = low if low == high else f"{low} to {high}"
    elif low or high:
        ends = f"at least {low}" if low else f"at most {high}"
    elif what and not needs_end:
        return what
    else:
        return f"{what}=" if what else ""
    return f"{what}={ends}"


def apart(number: int, words: str, names: Mapping[str, str]) -> FormRow:
    """A row of words; `names` are those that it can have, none where any.

    >>> apart(1, "strength=18 % to 22 %", {"strength": ""})
    FormRow(number=1, what='strength', low='18 %', high='22 %', raw='')
    >>> apart(1, "warmth=3", {"strength": ""}).raw
    'warmth=3'
    """
    what, _, ends = (text.strip() for text in words.partition("="))
    low = high = ends
    if side := _SIDE.fullmatch(ends):
        low, high = (side["value"], "") if side["side"] == "least" else ("", side["value"])
    elif both := _BOTH.fullmatch(ends):
        low, high = both["low"], both["high"]
    odd = "=" in ends or (names and what not in names)
    if odd or joined(what, low, high, bool(names)) != words:
        return FormRow(number, raw=words)
    return FormRow(number, what, low, high)


def rows(
    typed: Sequence[str], names: Mapping[str, str], most: int, more: bool
) -> tuple[FormRow, ...]:
    """The rows of what was typed, and one to type in; with `more` another."""
    found = [apart(at, words, names) for at, words in enumerate(typed) if words.strip()]
    spare = (1 if found else SPARE) + more
    return tuple([*found, *(FormRow(at) for at in range(len(found), len(found) + spare))][:most])


def gathered(
    args: MultiDict[str, str], bounded: Mapping[str, Mapping[str, str]]
) -> MultiDict[str, str]:
    """What was sent, with the fields of each row put together."""
    if not bounded:
        return args
    found: MultiDict[str, str] = MultiDict()
    parts: dict[str, dict[int, dict[str, str]]] = {}
    for key, value in args.items(multi=True):
        field = _FIELD.fullmatch(key)
        if field is None or field["name"] not in bounded:
            found.add(key, value)
        else:
            row = parts.setdefault(field["name"], {}).setdefault(int(field["row"]), {})
            row[field["part"]] = " ".join(value.split())
    for name, every in parts.items():
        for row in (every[at] for at in sorted(every)):
            what, low, high = (row.get(text, "") for text in ("what", "low", "high"))
            said = joined(what, low, high, bool(bounded[name]))
            if said:
                found.add(name, said)
    return found


# ---- a calculator's Inputs as a form, and a form that was sent as the words of a calculation ----

UNITS, MORE, EDIT, GO, MADE = ".units", ".more", ".edit", ".go", ".made"
HELD, VESSEL, FIRST = ".held", ".vessel", ".first"
UNIT = ".unit"  # after the name of a field with units: the one that a bare number is in
SYSTEMS = ("metric", "us")
MOST_ROWS = 24
MANY = ("parts", "many words", "ingredients")
RADIOS = 4  # more choices than that are a list that opens
# inputs that name a file of the machine; a page reads none
NOT_HERE = ("vessel_register", "vessel")
_BARE = re.compile(r"\s*([+-]?[0-9][0-9.,]*(?:\s*/\s*[0-9]+)?)\s*((?:±|\+/-|\+-).*)?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_YES = "yes"
# filled in as today; each matters beside that other day alone, and is not said without it
TODAY = {"date": "inspection_due", "today": "made"}
# gases are written out; the letters are those that stand on a charger
GASES = {
    key: f"{words}, {key.upper().translate(str.maketrans('23', '₂₃'))}"
    for key, words in GAS_NAMES.items()
    if key in ("n2o", "co2", "n2")
}
_AMOUNTS = ("part", "parts", "ingredient", "ingredients")
_NO_MINUS_C = -5.0  # what may be colder gets letters too: a pad of numbers has no minus


@dataclass(frozen=True)
class FormChoice:
    """One word of a closed list, as it is offered."""

    value: str
    words: str
    chosen: bool


@dataclass(frozen=True)
class FormField:
    """One input as it is shown: what it is called, what it takes, what was typed, what is wrong."""

    name: str
    kind: str  # text, number, rows, bounds, radio, list, flag
    label: str
    help: str
    taken: str
    rows: tuple[str, ...]
    unit: str = ""  # beside the field; what a bare number is in
    units: tuple[FormChoice, ...] = ()
    choices: tuple[FormChoice, ...] = ()
    required: bool = False
    names: bool = False  # takes the name of an ingredient
    amounts: bool = False  # takes amounts of ingredients, or one ingredient
    pad: str = ""  # decimal or numeric: the keys that a phone shows
    picker: str = ""  # date: what a browser lets choose
    low: float | None = None
    high: float | None = None
    start: str = ""  # where a number starts that is stepped from nothing
    by: float | None = None  # its step, where the size of the number does not tell it
    bounds: tuple[FormRow, ...] = ()  # rows of a name, at least and at most
    named: tuple[tuple[str, str], ...] = ()  # the names that such a row can have, none for any
    problem: str = ""

    @property
    def id(self) -> str:
        """The id of the field in the page; of its first row where it has several."""
        return f"in-{self.name}"

    @property
    def described(self) -> str:
        """The ids of what describes it, for a reader that is read to."""
        parts = [f"{self.id}-problem"] if self.problem else []
        return " ".join([*parts, f"{self.id}-help"])

    @property
    def short(self) -> bool:
        """Whether a number is typed rather than words."""
        return bool(self.unit or self.units) or self.kind == "number"

    @property
    def stepped(self) -> bool:
        """Whether it is one number, which stands beside its label."""
        return self.short and self.kind in ("text", "number")

    @property
    def most(self) -> int:
        """How many rows it takes."""
        return MOST_ROWS

    @property
    def filled(self) -> bool:
        """Whether anything was typed or chosen."""
        return any(self.rows)


@dataclass(frozen=True)
class Form:
    """All fields of a calculator: those that are usually needed, and the others by request."""

    main: tuple[FormField, ...]
    more: tuple[FormField, ...]
    problems: tuple[tuple[str, str, str], ...]  # id of the field or "", its label, the sentence
    system: str = SYSTEMS[0]

    @property
    def open(self) -> bool:
        """Whether the other fields are to be seen at once."""
        return any(
            (field.filled and field.name not in TODAY) or field.problem for field in self.more
        )


# what has a form here and is no calculator: its inputs, and an example of it
OTHERS: Mapping[str, tuple[type[Inputs], str]] = {
    "ladder": (ladder.Wish, ladder.EXAMPLE),
    "tasting": (tasting.TastingPlan, tasting.EXAMPLE),
}


def _inputs_of(name: str) -> type[Inputs]:
    return OTHERS[name][0] if name in OTHERS else registry.load(name).inputs


@cache
def inputs(name: str) -> dict[str, Spec]:
    """The inputs that the page takes, of a calculator or of one of the others."""
    specs = _inputs_of(name).specs()
    return {key: spec for key, spec in specs.items() if key not in NOT_HERE}


@cache
def example(name: str) -> dict[str, Any]:  # Any: words, or a list of them
    """The words of a calculator's own example, by input."""
    found: dict[str, Any] = {}  # Any: words, or a list of them
    specs = inputs(name)
    key = ""
    words = OTHERS[name][1] if name in OTHERS else registry.load(name).example
    for word in shlex.split(words)[2:]:
        if word.startswith("--"):
            key = word[2:].replace("-", "_")
            if specs[key].kind == "flag":
                found[key] = _YES
        elif specs[key].kind in MANY:
            found.setdefault(key, []).append(word)
        else:
            found[key] = word
    return found


# what was sent


def _named(args: MultiDict[str, str]) -> MultiDict[str, str]:
    """What was sent by the names of inputs, `vessel-volume` as well as `vessel_volume`.

    The registry reads both, so that a name spelled as an option must not slip past what a form
    leaves out, nor be lost from its field.
    """
    pairs = args.items(multi=True)
    return MultiDict((key.lstrip("-").replace("-", "_"), value) for key, value in pairs)


def _gathered(name: str, args: MultiDict[str, str]) -> MultiDict[str, str]:
    """The same with rows of several fields put together to their words."""
    return gathered(_named(args), _inputs_of(name).bounded)


def said(
    name: str, args: MultiDict[str, str], today: str = ""
) -> dict[str, Any]:  # Any: words, or a list of them
    """The words of a calculation as they were sent, without what was left blank.

    `today`, the day as it is written, is what a form fills in of itself: it is left out where it
    says nothing, so that no address keeps a day that will be over.

    A bare number gets the unit that stood beside its field, which the form sends with it. Typed
    into an address without one it stays bare, and is refused as on the command line.
    """
    specs = inputs(name)
    args = _gathered(name, args)
    found: dict[str, object] = {}
    for key in dict.fromkeys(args):
        if key.startswith(".") or (key.endswith(UNIT) and key.removesuffix(UNIT) in specs):
            continue
        values = [value.strip() for value in args.getlist(key) if value.strip()]
        spec = specs.get(key)
        if spec is not None and spec.kind == "quantity":
            values = [_with_unit(spec, value, args.get(key + UNIT, "")) for value in values]
        if values:
            many = (spec is not None and spec.kind in MANY) or len(values) > 1
            found[key] = values if many else values[0]
    for key, other in TODAY.items():
        if key in specs and found.get(key) == today and (key == "date" or other not in found):
            del found[key]
    return found


def _with_unit(spec: Spec, words: str, chosen: str) -> str:
    bare = _BARE.fullmatch(words)
    if bare is None:
        return words
    unit = chosen if chosen in spec.units else ""
    if not unit or (spec.bare and unit == spec.units[0]):
        return words
    return f"{bare[1]} {unit}{' ' + bare[2] if bare[2] else ''}"


def query(
    words: Mapping[str, object], made: Sequence[str] = (), system: str = ""
) -> list[tuple[str, str]]:
    """The address of a calculation as pairs: its words, what is carried over, units."""
    pairs = [
        (key, str(one))
        for key, value in words.items()
        for one in (value if isinstance(value, list | tuple) else [value])
    ]
    pairs += [(MADE, text) for text in made]
    if system:
        pairs.append((UNITS, system))
    return pairs


def problems(name: str, words: Mapping[str, object]) -> dict[str, PrepkitError]:
    """What is wrong with a form before its words are read, by input."""
    specs = inputs(name)
    found: dict[str, PrepkitError] = {}
    for key, value in words.items():
        spec = specs.get(key)
        if spec is None:
            if key in NOT_HERE:
                found[key] = BadInput(f"{key} names a file, and this page opens none.", key)
        elif spec.kind not in MANY and not spec.several and isinstance(value, list):
            found[key] = BadInput(f"It was given {len(value)} times; give it once.", key)
        elif isinstance(value, list) and len(value) > MOST_ROWS:
            found[key] = BadInput(f"It has {len(value)} rows; at most {MOST_ROWS} are taken.", key)
    for key, spec in specs.items():
        if spec.required and key not in words:
            such = f", such as {spec.example}" if not spec.choices else ""
            found[key] = BadInput(f"It is needed{such}.", key)
    return found


def read(
    name: str, words: Mapping[str, object], pantry: Pantry
) -> tuple[Any, dict[str, PrepkitError]]:  # Any: the inputs of one of OTHERS
    """The inputs of one of OTHERS from words; None, and all that is wrong, by input."""
    wrong = problems(name, words)
    left = {key: value for key, value in words.items() if key not in wrong}
    made, found = _inputs_of(name).from_words(left, pantry)
    for key, error in found.items():
        if isinstance(error, PrepkitError):
            wrong[key] = error
        elif key not in inputs(name):
            wrong[key] = BadInput(f'"{key[:40]}" is nothing that is asked here.', key)
    return (None if wrong else made), wrong


def of_answer(name: str, error: PrepkitError) -> dict[str, PrepkitError]:
    """A refusal by the calculation itself, at its field where it names one."""
    field = (getattr(error, "field", None) or "").lstrip("-").replace("-", "_")
    return {field if field in inputs(name) else "": error}


# the form


def form(
    name: str,
    args: MultiDict[str, str],
    wrong: Mapping[str, PrepkitError] | None = None,
    shown_in: str = SYSTEMS[0],
    today: str = "",
) -> Form:
    """The form with what was typed in it, what is wrong with it, and the units chosen."""
    specs = inputs(name)
    args = _gathered(name, args)
    for key in TODAY:
        if today and key in specs and not args.get(key, "").strip():
            args.setlist(key, [today])
    every = _inputs_of(name)
    shown = example(name)
    wrong = wrong or {}
    fields = {
        key: _field(key, spec, specs, every.default(key), args, wrong.get(key))
        for key, spec in specs.items()
    }
    for key, names in every.bounded.items():
        fields[key] = replace(
            fields[key],
            kind="bounds",
            bounds=rows(args.getlist(key), names, MOST_ROWS, key in args.getlist(MORE)),
            named=tuple(names.items()),
            names=not names,
        )
    main = [key for key, spec in specs.items() if spec.required or key in shown]
    listed = [
        (fields[key].id, _capital(specs[key].label), fields[key].problem)
        for key in (*main, *(field for field in fields if field not in main))
        if fields[key].problem
    ]
    listed += [
        ("", "", sentence(error.wording, specs))
        for key, error in wrong.items()
        if key not in fields
    ]
    return Form(
        tuple(fields[key] for key in main),
        tuple(field for key, field in fields.items() if key not in main),
        tuple(listed),
        shown_in,
    )


def as_typed(name: str, words: Mapping[str, object]) -> list[tuple[str, str]]:
    """Words of some inputs as they stand in the fields of a form: a number, its unit beside it.

    >>> as_typed("siphon", {"rated": "17 bar", "chargers": 1})
    [('chargers', '1'), ('rated', '17')]
    """
    shown = form(name, MultiDict(query(words)))
    found: list[tuple[str, str]] = []
    for field in (*shown.main, *shown.more):
        if field.name in words:
            found += [(field.name, row) for row in field.rows]
            found += [(field.name + UNIT, unit.value) for unit in field.units if unit.chosen]
    return found


def _field(
    name: str,
    spec: Spec,
    specs: Mapping[str, Spec],
    default: object,
    args: MultiDict[str, str],
    error: PrepkitError | None,
) -> FormField:
    typed = args.getlist(name)
    unit = args.get(name + UNIT, "")
    if spec.kind == "quantity" and spec.units:
        typed, unit = _apart(spec, typed, unit)
    return FormField(
        name,
        _KINDS.get(spec.kind, "text") if spec.kind != "choice" else _choice_kind(spec, default),
        _capital(spec.label),
        sentence(spec.help, specs),
        _taken(spec, default),
        _rows(name, spec, typed, args),
        unit=spec.units[0] if len(spec.units) == 1 else "",
        units=_units(spec, unit) if len(spec.units) > 1 else (),
        choices=_choices(spec, default, typed) if spec.kind == "choice" else (),
        required=spec.required,
        names=spec.kind == "ingredient",
        amounts=spec.kind in _AMOUNTS,
        **_typed(spec, typed),
        problem=at_field(error.wording, name, specs) if error is not None else "",
    )


def _typed(
    spec: Spec, typed: Sequence[str]
) -> dict[str, Any]:  # Any: several kinds, each as FormField takes it
    """What helps to type it: the keys of a phone, a picker, the limits and the step of a number."""
    if spec.kind == "words" and spec.takes == "date":
        # a picker leaves a wrong date blank, and nobody can correct what is not shown
        return {} if any(not _DAY.fullmatch(text) for text in typed if text) else {"picker": "date"}
    if spec.kind not in ("quantity", "number", "count"):
        return {}
    low = spec.low if spec.low is not None else spec.above
    colder = spec.kind != "count" and (low is None or low < _NO_MINUS_C)
    start = _BARE.fullmatch(spec.example.split(" ")[0]) if spec.example else None
    return {
        "pad": "" if colder else "numeric" if spec.kind == "count" else "decimal",
        "low": low,
        "high": spec.high,
        "start": start[1] if start else "",
        "by": 1.0 if spec.kind == "count" or spec.units[:1] == ("C",) else None,
    }


_KINDS = {
    "flag": "flag",
    "number": "number",
    "count": "number",
    "parts": "rows",
    "many words": "rows",
    "ingredients": "rows",
}


def _choice_kind(spec: Spec, default: object) -> str:
    return "radio" if len(spec.choices) + _unsaid(spec, default) <= RADIOS else "list"


def _unsaid(spec: Spec, default: object) -> bool:
    """Whether a choice may be left open."""
    return not spec.required and default is None


def _choices(spec: Spec, default: object, typed: Sequence[str]) -> tuple[FormChoice, ...]:
    chosen = typed[0].strip().lower() if typed else ("" if spec.required else default or "")
    found = [
        FormChoice(choice, GASES.get(choice, choice), choice == chosen) for choice in spec.choices
    ]
    if _unsaid(spec, default):
        found.insert(0, FormChoice("", "not said", chosen not in spec.choices))
    return tuple(found)


def _units(spec: Spec, chosen: str) -> tuple[FormChoice, ...]:
    own = chosen if chosen in spec.units else spec.units[0]
    return tuple(FormChoice(unit, degrees(unit), unit == own) for unit in spec.units)


def _apart(spec: Spec, typed: Sequence[str], chosen: str) -> tuple[list[str], str]:
    """What was typed without the unit that stands beside the field anyway."""
    found = []
    for words in typed:
        for unit in sorted(spec.units, key=len, reverse=True):
            bare = words.strip().removesuffix(f" {unit}")
            if bare != words.strip() and _BARE.fullmatch(bare):
                words, chosen = bare, unit  # noqa: PLW2901 - the loop is left at once
                break
        found.append(words)
    return found, chosen


def _rows(
    name: str, spec: Spec, typed: Sequence[str], args: MultiDict[str, str]
) -> tuple[str, ...]:
    if spec.kind not in MANY:
        # several of one field stand in it as one, so that none is lost from the form
        joint = " and " if spec.kind == "ingredient" else ", "
        return (joint.join(text for text in typed if text.strip()),)
    rows = [text for text in typed if text.strip()] or [""]
    room = spec.kind in ("parts", "many words") and (EDIT in args or (spec.required and not typed))
    asked = name in args.getlist(MORE) or room
    return tuple([*rows, ""] if asked and len(rows) < MOST_ROWS else rows)


def _taken(spec: Spec, default: object) -> str:
    """What a field takes: range with its reason, an example, what stands if it is left blank."""
    said = []
    unit = f" {spec.units[0]}" if len(spec.units) == 1 else ""
    if spec.above is not None:
        said.append(f"more than {in_full(spec.above)}{unit}")
    if spec.low is not None:
        said.append(f"from {in_full(spec.low)}{unit if spec.high is None else ''}")
    if spec.high is not None:
        said.append(f"to {in_full(spec.high)}{unit}")
    words = " ".join(said)
    if words and len(spec.units) > 1:
        words += ", in any of the units"  # one number bounds them all
    if words and spec.because:
        words += f" ({spec.because})"
    found = [words] if words else []
    if spec.example and not spec.choices:
        found.append(f"such as {spec.example}")
    if default not in (None, ()) and not spec.required and not spec.choices:
        if isinstance(default, Measured):
            found.append(f"{default:g} {default.unit} where it is left blank")
        elif not isinstance(default, bool):
            found.append(f"{default} where it is left blank")
    return _capital("; ".join(found))


def _capital(words: str) -> str:
    # pH and such keep their small letter
    return words if words[1:2].isupper() else f"{words[:1].upper()}{words[1:]}"
