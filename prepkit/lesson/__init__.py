"""A trainer's lesson: its facts, what each sentence rests on, the house's own example; the command.

Wherever a sentence stands in data/lessons it is a table with `text`, and with one of these:
`sources` (keys of `prepkit sources`), `caution` (its id), `first_aid` (the name of a case) or
`calculator` (its answer is what is said).

The example is the house's own vessel, room and gas, worked through by the calculators. A load that
is refused or stopped is shown as such and is no example to do. What the house does not tell is left
blank, and nothing is worked out that would need it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import click

from prepkit import blocks, cautions, model
from prepkit.cli import Command, FileName, WholeNumber, house_option
from prepkit.draws import generator, shuffled
from prepkit.errors import BadInput, FileProblem, PrepkitError, named, one_line
from prepkit.index import CALCULATORS
from prepkit.language import ENGLISH, checked, in_words, said
from prepkit.model import Answer
from prepkit.numbers import whole
from prepkit.plan.house import GasStore, House, HouseVessel, house_in
from prepkit.registry import load, run
from prepkit.science import gases, room_air
from prepkit.stdout import put_error, put_text
from prepkit.units import parse_quantity

if TYPE_CHECKING:
    from markupsafe import Markup


AUDIENCES = ("bar", "kitchen", "mixed")
LENGTHS_MIN = (30, 60, 120)
FOLDER = "lessons"
MOST_WORDS = 12  # of one sentence that is taught
RESTS = ("sources", "caution", "first_aid", "calculator")
# what may be written beside a sentence, or for itself, and says nothing that needs a source
PLAIN = (
    "audiences", "copies", "demonstrations", "id", "label", "lengths", "minutes", "name", "needs",
    "see", "signs", "title", "who",
)  # fmt: skip
_ENDS = re.compile(r"(?<=[.?!:])\s+")


@dataclass(frozen=True)
class LessonFacts:
    """For whom, how long, from which seed; `house` is empty where none was named.

    `on` is the day that is printed; None leaves a line to write it on.
    """

    audience: str
    minutes: int
    seed: int
    language: str = "en"
    on: date | None = None
    house: House = field(default_factory=House)

    def say(self, text: str, **figures: object) -> str:
        """A text of the lesson in its language, with its figures."""
        return said(text, self.language, "lesson", **figures)


class Statement(NamedTuple):
    """What is said, where, and the keys of the sources that it rests on."""

    text: str
    file: str
    rests_on: str
    sources: tuple[str, ...]


@dataclass(frozen=True)
class LessonSheet:
    """One document of a lesson: its file's name, its title, for whom it is printed, its pages."""

    name: str
    title: str
    copies: str
    body: Markup


# ---- what is taught, with what it rests on ----


def table(file: str) -> Mapping[str, Any]:  # Any: values of a TOML file
    """A file of data/lessons."""
    return blocks.document(f"{FOLDER}/{file}.toml")


@cache
def statements() -> tuple[Statement, ...]:
    """Every sentence of every lesson. Raises FileProblem for one without a source."""
    return tuple(
        statement
        for path in blocks.names(FOLDER)
        for statement in _found(blocks.document(path), path)
    )


@cache
def traced() -> tuple[Statement, ...]:
    """Every statement that a lesson can print: its own, and those of signs, walls and questions.

    Raises: FileProblem for one without a source.
    """
    from prepkit.drill.templates import TOPICS, templates
    from prepkit.render import signs, wall

    found = [*statements()]
    for case in blocks.blocks("first_aid.toml", "case"):
        said = f"{case['name']}: {case['do']}"
        found.append(Statement(said, "first_aid.toml", "", (str(case["source"]),)))
    found += [
        Statement(picture.meaning, "signs.toml", f"sign {picture.name}", (picture.source,))
        for picture in signs.pictures().values()
    ]
    found += [
        Statement(line.text, wall.FILE, "", (line.source,))
        for sheet in wall.sheets()
        for line in sheet.lines
    ]
    found += [
        Statement(
            template.text, f"drills/{topic}.toml", f"question {template.id}", template.sources
        )
        for topic in TOPICS
        for template in templates(topic)
    ]
    for statement in found:
        if not statement.sources or any(model.source_of(key) is None for key in statement.sources):
            raise FileProblem(f'{statement.file}: "{statement.text}" rests on no source.')
    return tuple(found)


def _found(value: object, file: str, key: str = "") -> Iterator[Statement]:
    if isinstance(value, dict):
        if "text" in value:
            yield _statement(value, file)
        for name, one in value.items():
            if name not in ("text", *RESTS, *PLAIN):
                yield from _found(one, file, name)
    elif isinstance(value, list):
        for one in value:
            yield from _found(one, file, key)
    else:
        raise FileProblem(f'{file}: "{value}" ({key}) stands without a source.')


def _statement(row: Mapping[str, Any], file: str) -> Statement:  # Any: values of a TOML file
    text = said(str(row["text"]), ENGLISH, "lesson", **figures())
    given = [rest for rest in RESTS if rest in row]
    if len(given) != 1:
        raise FileProblem(f'{file}: "{text}" rests on {len(given)} things; write one.')
    named = row[given[0]]
    keys, rests_on = _keys(given[0], named)
    if not keys or any(model.source_of(key) is None for key in keys):
        raise FileProblem(f'{file}: "{text}" rests on what is not there: {named}.')
    return Statement(text, file, rests_on, keys)


def _keys(kind: str, named: Any) -> tuple[tuple[str, ...], str]:  # Any: values of a TOML file
    """The keys of the sources, and what stands between them and the sentence."""
    if kind == "sources":
        return tuple(named), ""
    if kind == "caution":
        keys = tuple(row.source for row in cautions.rows() if row.id == named)
        return keys, f"caution {named}"
    if kind == "first_aid":
        cases = blocks.blocks("first_aid.toml", "case")
        return tuple(str(c["source"]) for c in cases if c["name"] == named), f"first aid: {named}"
    from prepkit.workflows.reference import of_calculator

    return tuple(of_calculator(named)) if named in CALCULATORS else (), f"calculator {named}"


def figures() -> Mapping[str, float]:
    """The figures that a sentence may hold by their name, as the drills' data sheet has them."""
    return {"co2_l_kg": gases.data_sheet_l_kg("co2")}


def sentences(text: str) -> list[str]:
    """The sentences of a text.

    >>> sentences("Stay out. Who goes in? Nobody.")
    ['Stay out.', 'Who goes in?', 'Nobody.']
    """
    return [word for word in _ENDS.split(text.strip()) if word]


# ---- the house's own example ----


# without these no load of a vessel is worked out
NEEDED = ("vessel_volume", "max_fill", "rated", "allowed_gas", "allowed_charger", "most_chargers")
NEEDED_OF_HOUSE = ("room_temperature", "fridge_temperature")
SHARES = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)  # of the maximum fill
TOO_FULL = 1.2
MOST_CHARGERS = 4  # that are tried
# what the gas is usually for; where a vessel takes several the first of these is shown
CONTENTS = {"n2o": "cream 35 %", "co2": "water", "n2": "water"}


@dataclass(frozen=True)
class WorkedExample:
    """What was run and what came of it; `answer` is None where it was refused."""

    calculator: str
    said: Mapping[str, Any]  # Any: words, or a list of them
    answer: Answer | None
    refused: str = ""

    @property
    def to_do(self) -> bool:
        """Whether it may be shown as an example to do."""
        return self.answer is not None and self.answer.verdict != "stop"


@dataclass(frozen=True)
class Example:
    """A vessel with a load for it, the same too full, and its gas in the room.

    `missing` are the keys that the house has not told; each is None where something needed is.
    """

    vessel: HouseVessel | None
    missing: tuple[str, ...]
    load: WorkedExample | None
    too_full: WorkedExample | None
    room: WorkedExample | None
    stores: tuple[tuple[GasStore, WorkedExample | None], ...]


def example(facts: LessonFacts) -> Example:
    """The example of a house: the first vessel of which enough is told, by the seed a load."""
    house = facts.house
    stores = tuple((gas, _leak(facts, gas)) for gas in house.gases)
    vessels = sorted(house.vessels.values(), key=lambda one: (len(_missing(facts, one)), one.id))
    if not vessels:
        return Example(None, (*NEEDED, *_untold(facts)), None, None, None, stores)
    vessel = vessels[0]
    missing = _missing(facts, vessel)
    if missing:
        return Example(vessel, missing, None, None, None, stores)
    try:
        shown = _first(_run("siphon", said) for said in _loads(facts, vessel))
        full = _run("siphon", _load(facts, vessel, TOO_FULL, 1))
    except BadInput as error:  # the maximum fill is no volume
        return Example(vessel, (), _refused("siphon", {}, error), None, None, stores)
    return Example(vessel, (), shown, full, _in_room(facts, shown), stores)


def _first(tried: Iterator[WorkedExample]) -> WorkedExample:
    """The first that may be done; where none may, the first of all."""
    first = next(tried)
    return (
        first
        if first.to_do
        else next((worked_example for worked_example in tried if worked_example.to_do), first)
    )


def _untold(facts: LessonFacts) -> tuple[str, ...]:
    return tuple(key for key in NEEDED_OF_HOUSE if key not in facts.house.facts)


def _missing(facts: LessonFacts, vessel: HouseVessel) -> tuple[str, ...]:
    return (*(key for key in NEEDED if key not in vessel.facts), *_untold(facts))


def _loads(facts: LessonFacts, vessel: HouseVessel) -> Iterator[Mapping[str, Any]]:  # Any: as above
    """Loads in an order that follows from the seed: each share with each number of chargers."""
    most = whole(str(vessel.facts["most_chargers"]), 1, MOST_CHARGERS) or 1
    every = [(share, number) for share in SHARES for number in range(1, most + 1)]
    for share, number in shuffled(generator("example", facts.seed), every):
        yield _load(facts, vessel, share, number)


def _load(
    facts: LessonFacts, vessel: HouseVessel, share: float, chargers: int
) -> Mapping[str, Any]:  # Any: as above
    told = vessel.facts["allowed_gas"]
    allowed = [str(one) for one in told] if isinstance(told, list | tuple) else [str(told)]
    gas = next((content for content in CONTENTS if content in allowed), allowed[0])
    fill_ml = parse_quantity(str(vessel.facts["max_fill"]), ("ml",), named("max_fill")) * share
    house = {key: facts.house.facts[key] for key in ("altitude", "jurisdiction") if
             key in facts.house.facts}  # fmt: skip
    # a charger of nitrogen holds less than its bulb's name says: the calculator knows, and says so
    mass = {"charger_gas_mass": vessel.facts["allowed_charger"]} if gas != "n2" else {}
    own = dict(vessel.facts)
    if facts.on is not None:
        own["date"] = facts.on.isoformat()
    else:  # today is another day each time: without one the inspection is not checked
        own.pop("inspection_due", None)
    return {
        **own, **house, **mass,
        "contents": f"{fill_ml:.0f} ml {CONTENTS.get(gas, 'water')}",
        "gas": gas,
        "chargers": str(chargers),
        "temperature": facts.house.facts["fridge_temperature"],
        "warmest": facts.house.facts["room_temperature"],
    }  # fmt: skip


def _run(calculator: str, said: Mapping[str, Any]) -> WorkedExample:  # Any: as above
    words = {key: value if isinstance(value, list) else str(value) for key, value in said.items()}
    try:
        return WorkedExample(calculator, words, run(calculator, words))
    except PrepkitError as error:
        return _refused(calculator, words, error)


def _refused(
    calculator: str,
    words: Mapping[str, Any],  # Any: same
    error: PrepkitError,
) -> WorkedExample:
    """A load that could not be worked out, its inputs named by their labels."""
    specs = load(calculator).inputs.specs()

    def label(field: str, example: str | None) -> str:
        shown = specs[field].label if field in specs else field.replace("_", " ")
        return shown if example is None else f'{shown} "{example}"'

    return WorkedExample(calculator, words, None, error.said(label))


def _in_room(facts: LessonFacts, shown: WorkedExample) -> WorkedExample | None:
    """The gas of a load in the room, all at once; None where the room is not told."""
    if "room_volume" not in facts.house.facts or shown.answer is None:
        return None
    gas = shown.answer.values.get("gas_mass")
    if gas is None:
        return None
    said: dict[str, Any] = {"release": f"{gas.value:g} g {shown.said['gas']}"}  # Any: as above
    return _run("room", said | _air(facts, facts.house.facts))


def _leak(facts: LessonFacts, store: GasStore) -> WorkedExample | None:
    """All of a store at once in its own room; None where that room or its kind is not told."""
    if not (store.room_volume and store.place):
        return None
    told = {"room_volume": store.room_volume, "air_changes": store.air_changes}
    said: dict[str, Any] = {"release": store.holds, "place": store.place}  # Any: as above
    return _run("room", said | _air(facts, told))


def kilogram_share(facts: LessonFacts) -> float | None:
    """What one kilogram of carbon dioxide adds to the air of the room, %; None where untold."""
    if "room_volume" not in facts.house.facts:
        return None
    room_m3 = parse_quantity(str(facts.house.facts["room_volume"]), ("m3",), named("room_volume"))
    gas_m3 = figures()["co2_l_kg"] / 1000.0
    if room_m3 <= gas_m3:  # it drives out all of the air
        return 100.0 if room_m3 > 0 else None
    return 100.0 * room_air.gas_fraction_after_release(float(room_m3), gas_m3)


def _air(facts: LessonFacts, told: Mapping[str, object]) -> dict[str, str]:
    """The room of a release, as far as it is told."""
    found = {"volume": str(told["room_volume"])}
    if told.get("air_changes"):
        found["air_changes"] = str(told["air_changes"])
    for key in ("altitude", "jurisdiction"):
        if key in facts.house.facts:
            found[key] = str(facts.house.facts[key])
    return found


# ---- what the house has told, and what it has not ----


def told(kind: str, facts: LessonFacts, known: Mapping[str, object]) -> Sequence[tuple[str, str]]:
    """Labels of a kind in data/lessons/sheets.toml, each with what is told of it or "".

    Numbers and words of what it takes are said in the language; numbers to call stand as they are.
    """

    def words(value: object) -> str:
        every = [str(one) for one in value] if isinstance(value, list | tuple) else [str(value)]
        if kind != "safety":
            every = [in_words(text, facts.language, "cautions") for text in every]
        return ", ".join(every)

    return [
        (facts.say(row["label"]), words(known.get(row["name"], "")))
        for row in table("sheets")[kind]
    ]


def about(facts: LessonFacts, name: str, kind: str = "example") -> str:
    """A sentence of the example by its name. Raises: BadInput for one that is not there."""
    for row in table("sheets")[kind]:
        if row["name"] == name:
            return facts.say(row["text"], **figures())
    raise BadInput(f"there is no sentence {name} of an {kind}.")


# ---- prepkit lesson: a lesson as a folder, or as one file to print ----


LARGEST_SEED = 999_999_999
SUFFIXES = (".html", ".htm")


@click.command(
    cls=Command,
    name="lesson",
    help="A lesson on gas, pressure, cold, acid and heat, to print: plan, sheets, test and keys. "
    "It is made for an audience and a length, with the vessels and the room of the house. "
    "Whatever the house file does not say is left blank to fill in. The same seed gives the same "
    "lesson. Without --out the plan is printed, or with --format html all of it.\n\n\b\nExamples:\n"
    "  prepkit lesson --audience bar --minutes 60 --seed 7\n"
    "  prepkit lesson --audience mixed --minutes 120 --seed 7 --house recipes/house --out lesson\n"
    "  prepkit lesson --audience kitchen --minutes 30 --seed 7 --out lesson.html",
    short_help="A lesson to print: plan, sheets, test, keys, for your own vessel and room.",
)
@click.option("--audience", type=click.Choice(AUDIENCES), help="Who is taught.")
@click.option(
    "--minutes",
    type=click.Choice([str(number) for number in LENGTHS_MIN]),
    help="How long it takes.",
)
@click.option("--seed", type=WholeNumber(0, LARGEST_SEED), default=1, help="Which test [1].")
@click.option("--language", default="en", help="Language of the sheets [en].")
@click.option("--date", "on", metavar="DATE", help="Day of the lesson [a line to write it on].")
@click.option(
    "--format",
    "shape",
    type=click.Choice(["text", "html"]),
    help="Without --out: the plan as text, or all of it as one file to print [text].",
)
@click.option(
    "--out", metavar="PATH", type=FileName(), help="A new folder, or one file that ends in .html."
)
@click.option("--force", is_flag=True, help="Write over what is there already.")
def command(
    audience: str | None,
    minutes: str | None,
    seed: int,
    language: str,
    on: str | None,
    house: str | None,
    shape: str | None,
    out: str | None,
    force: bool,
) -> None:
    """Make a lesson."""
    if audience is None:
        raise BadInput(f"a lesson needs --audience, one of {', '.join(AUDIENCES)}.", "audience")
    if minutes is None:
        lengths = ", ".join(map(str, LENGTHS_MIN))
        raise BadInput(f"a lesson needs --minutes, one of {lengths}.", "minutes")
    own = house_in(Path(house) if house is not None else None)
    facts = LessonFacts(audience, int(minutes), seed, checked(language), _day(on), own)
    from prepkit.lesson.lesson import files, one_file, plan_text
    from prepkit.workflows import put

    if out is not None and shape == "text":
        raise BadInput("--format text prints the plan; leave out --out, which is for HTML.", "out")
    if out is None and shape != "html":
        put_text(plan_text(facts))
    elif out is None or out.lower().endswith(SUFFIXES):
        put(one_file(facts), out, force, exact=True)
    else:
        write_folder(Path(out), files(facts), force)
        put_error(f"prepkit: {one_line(out)} written.\n")


command.params.insert(4, house_option("Folder of the house file [none: blanks to fill in]."))


def _day(said: str | None) -> date | None:
    if said is None:
        return None
    try:
        return date.fromisoformat(said.strip())
    except ValueError as error:
        raise BadInput(
            f'{named("date")} is "{said}"; write year, month and day, such as 2026-11-30.', "date"
        ) from error


def write_folder(path: Path, texts: Mapping[str, str], force: bool) -> None:
    """Write a folder of files, all of them or none.

    In a folder with something in it, only with force and only its files of these names.
    Raises: FileProblem; `path` then holds what it held.
    """
    from prepkit import files

    path = path.absolute()
    if path.exists() and not path.is_dir():
        raise FileProblem(f"{path} is no folder; name a new one.")
    try:
        files.write_folder(path, texts, over=force)
    except FileExistsError as error:
        raise FileProblem(f"{path} has files in it; name a new folder, or add --force.") from error
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise FileProblem(f"{str(path)!r} cannot be written: {why}.") from error
