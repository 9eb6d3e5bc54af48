"""What an address asks: its words, the mixture carried into them, their house; a recipe planned.

What is carried is not a list of its parts, because a product is more than they are (strained,
boiled, gassed): it is the earlier calculation itself, in words. It is worked out again, and what it
makes is an ingredient of the next one under a name that holds the first letters of the hash which
its card shows, so that a card on a wall can be traced through all steps.

Only the house file of the named folder, and the pantry that it names below it, are read.

A plan is kept while its files stay the same. Planning is the command line's; here are only the
words of the address, which field an error belongs to, and what was worked out last.
"""

from __future__ import annotations

import hashlib
import json
import math
import time
from collections import OrderedDict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, NamedTuple
from urllib.parse import parse_qsl, urlencode

from flask import Blueprint, Response, abort, current_app, render_template, request
from werkzeug.datastructures import MultiDict
from werkzeug.exceptions import NotFound

from prepkit import numbers, registry
from prepkit.errors import BadInput, FileProblem, PrepkitError, say
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.page import forms
from prepkit.page.guard import as_json, settings
from prepkit.page.recipe_folder import RecipeFolder
from prepkit.pantry import Pantry
from prepkit.plan.files import Reader, Wrong
from prepkit.plan.house import FILE, House
from prepkit.plan.house import read_house as house_read_house
from prepkit.plan.items import FOAMS
from prepkit.plan.measured import Unread
from prepkit.plan.recipe_file import readings_of
from prepkit.render import html
from prepkit.stock import Ledger, open_ledger
from prepkit.stock.engine import is_server
from prepkit.units import split_amount
from prepkit.workflows.plan_command import PlanOptions, Worked, measured_again, worked

if TYPE_CHECKING:
    from prepkit.sheet import PlanSheet

# ---- a mixture carried from one calculation to the next, exactly and within the address ----

MOST = 6
# where a mixture can go on to, and the field that takes it
NEXT = {
    "blend": "part",
    "cordial": "part",
    "dilute": "part",
    "acid-adjust": "part",
    "reduce": "liquid",
    "infuse": "liquid",
    "fat-wash": "spirit",
    "clarify": "part",
    "foam": "liquid",
    "siphon": "contents",
    "carbonate": "contents",
    "cloud": "liquid",
    "chill": "part",
    "freeze": "part",
    "warm": "part",
    "layer": "layer",
    "dose": "into",
    "salt": "into",
    "serve": "part",
    "window": "part",
    "keep": "part",
    "cryogen": "part",
}


@dataclass(frozen=True)
class Carried:
    """A mixture made by an earlier calculation, under its name in the next one."""

    name: str
    calculator: str
    words: dict[str, object]
    mixture: Mixture
    line: str  # as it stands in an address
    before: tuple[str, ...]  # the lines that it rests on itself

    @property
    def amount(self) -> str:
        """All of it, in words that the next calculation reads."""
        return f"{1000 * self.mixture.mass_kg:.10g} g {self.name}"

    @property
    def shown(self) -> str:
        """The same to be read by a person."""
        return f"{1000 * self.mixture.mass_kg:.4g} g"

    @property
    def told(self) -> list[tuple[str, str]]:
        """What it was made from: the labels and words of its inputs."""
        specs = forms.inputs(self.calculator)
        return [
            (specs[key].label, " and ".join(value) if isinstance(value, list) else str(value))
            for key, value in self.words.items()
        ]

    @property
    def query(self) -> str:
        """The address of the calculation that makes it."""
        return urlencode(forms.query(self.words, self.before))


def read_carried(said: Sequence[str], pantry: Pantry) -> tuple[tuple[Carried, ...], Pantry]:
    """Work out what is carried, one after the other; BadInput where a line makes nothing."""
    if len(said) > MOST:
        raise BadInput(f"{len(said)} mixtures are carried over; at most {MOST} can be.")
    found: list[Carried] = []
    for line in said:
        name, _, text = line.partition("?")
        if name not in CALCULATORS:
            raise BadInput(f'"{name[:40]}" is no calculation that a mixture could come from.')
        words: dict[str, Any] = {}  # Any: words, or a list of them
        for key, value in parse_qsl(text):
            words.setdefault(key, []).append(value)
        specs = forms.inputs(name)
        words = {
            key: value if key in specs and specs[key].kind in forms.MANY else value[-1]
            for key, value in words.items()
        }
        strange = next((key for key in words if key not in specs), None)
        if strange is not None:
            raise BadInput(f'{name} takes no "{strange[:40]}", so nothing can be carried from it.')
        for problem in (
            *forms.problems(name, words).values(),
            *problems(name, found, words).values(),
        ):
            raise problem
        answer = registry.run(name, words, pantry=pantry)
        made = of(answer, words, found)
        if made is None:
            raise BadInput(f"{name} makes nothing here that could be carried on.")
        found.append(made)
        pantry = pantry.with_items({carried.name: carried.mixture for carried in found})
    return tuple(found), pantry


def of(
    answer: Answer, words: Mapping[str, object], carried: Sequence[Carried] = ()
) -> Carried | None:
    """What an answer hands on: nothing where the verdict is stop or where it makes nothing."""
    product = answer.product
    if answer.verdict == "stop" or product is None or not product.mass_kg > 0:
        return None
    hashed = html.fingerprint({"calculator": answer.calculator, "inputs": answer.inputs})
    name = f"{answer.calculator}-{hashed.partition('-')[0]}"
    line = f"{answer.calculator}?{urlencode(forms.query(words))}"
    before = carried_lines(needed(carried, words))
    return Carried(name, answer.calculator, dict(words), product, line, before)


def needed(carried: Sequence[Carried], words: Mapping[str, object]) -> tuple[Carried, ...]:
    """Those of the carried mixtures that the words name, and what these rest on."""
    text = _text(words)
    found: list[Carried] = []
    for one in reversed(carried):
        if one.name in text:
            found.insert(0, one)
            text += _text(one.words)
    return tuple(found)


def carried_lines(carried: Sequence[Carried]) -> tuple[str, ...]:
    """Their lines of an address, each after those that it rests on."""
    return tuple(dict.fromkeys(line for one in carried for line in (*one.before, one.line)))


def _text(words: Mapping[str, object]) -> str:
    return "\n".join(value for _, value in forms.query(words)) + "\n"


def problems(
    name: str, carried: Sequence[Carried], words: Mapping[str, object]
) -> dict[str, PrepkitError]:
    """What cannot be worked out of a carried mixture, by input.

    A volume of a foam is mostly gas; what was charged, or met a cryogen, holds more than its
    mixture says and goes on to the last works alone.
    """
    foams = [one.name for one in carried if one.calculator in FOAMS]
    found: dict[str, PrepkitError] = {}
    for one in needed(carried, words):
        if name not in _after(one):
            found[""] = BadInput(
                f"{one.name} has met gas or a cryogen, which is not carried with it, so {name} "
                f"cannot be worked out from it; take it before that."
            )
    for key, value in words.items():
        for text in map(str, value if isinstance(value, list) else [value]):
            for foam in foams:
                if foam in text and _by_volume(text):
                    found[key] = BadInput(
                        f"“{text}” is a foam, and its volume is mostly gas; give it in grams.", key
                    )
    return found


def _after(one: Carried) -> tuple[str, ...]:
    """The works that a mixture can go on to."""
    last = one.mixture.tags & registry.MARKS
    return tuple(name for name in NEXT if not last or name in registry.LAST)


def _by_volume(text: str) -> bool:
    try:
        return split_amount(text)[0].unit == "ml"
    except BadInput:  # no amount of an ingredient; whoever reads it says so
        return False


@dataclass(frozen=True)
class Onward:
    """A calculation that a mixture can go on to, with the address that fills it in."""

    calculator: str
    field: str
    query: str


def onward(made: Carried) -> list[Onward]:
    """Where a mixture can go on to, all of it."""
    found = []
    for name in _after(made):
        field = NEXT[name]
        spec = forms.inputs(name)[field]
        words = {field: [made.amount] if spec.kind in forms.MANY else made.amount}
        pairs = forms.query(words, (*made.before, made.line), "")
        found.append(Onward(name, spec.label, urlencode([*pairs, (forms.EDIT, "1")])))
    return found


# ---- the house that the page was started with ----

_KEPT = "prepkit-house"
NO_LEDGER = 'The house keeps no ledger. Write in its file: [stock] and ledger = "house.db".'


@dataclass
class _Kept:
    """A house as it was last read, and the state of its files then."""

    stamp: tuple[tuple[str, int], ...] = ()
    house: House = field(default_factory=House)


def read_house(folder: Path) -> House:
    """The house of a folder; FileProblem or BadRecipe in one sentence."""
    return house_read_house(Reader(FILE), None, folder, folder)


def house() -> House:
    """The house of the page, read again where one of its files has changed; empty without one."""
    folder = settings().house
    if folder is None:
        return House()
    kept: _Kept = current_app.extensions.setdefault(_KEPT, _Kept())
    stamp = tuple(sorted((path.name, path.stat().st_mtime_ns) for path in folder.glob("*.toml")))
    if kept.stamp != stamp or not stamp:
        kept.house, kept.stamp = read_house(folder), stamp
    return kept.house


def ledger() -> bool:
    """Whether the house keeps a ledger; not where its file is wrong, which other pages say."""
    try:
        return bool(house().stock.ledger)
    except PrepkitError:
        return False


@contextmanager
def opened_ledger() -> Iterator[Ledger]:
    """The ledger of the house; 404 with what to write where there is none."""
    place = house().stock.ledger
    if not place:
        abort(404, NO_LEDGER)
    if not is_server(place) and not Path(place).exists():
        abort(404, "Nothing was recorded yet: the ledger of the house is not there.")
    with open_ledger(place) as found:
        yield found


def system(args: Mapping[str, str]) -> str:
    """The units to show in: those asked for, else the house's, else metric."""
    asked = args.get(forms.UNITS, "")
    return asked if asked in forms.SYSTEMS else usual_system()


def usual_system() -> str:
    """The units of who asks for none."""
    return house().units or forms.SYSTEMS[0]


def house_pantry() -> Pantry:
    """What may be named: the package's ingredients and the house's own."""
    return house().pantry


# ---- what an address asks ----


@dataclass(frozen=True)
class Request:
    """What an address asks: the words, what is carried into them, and what came of it."""

    name: str
    words: dict[str, object]
    carried: tuple[Carried, ...] = ()
    answer: Answer | None = None
    inputs: Any = None  # Any: the inputs of its calculator
    wrong: Mapping[str, PrepkitError] | None = None

    @property
    def query(self) -> list[tuple[str, str]]:
        """The same as a short address."""
        lines = carried_lines(needed(self.carried, self.words))
        return forms.query(self.words, lines, asked_in())


def asked_in() -> str:
    """The units that an address must say; "" where they are the usual ones."""
    shown_in = system(request.args)
    return "" if shown_in == usual_system() else shown_in


def asked(
    name: str, *, compute: bool = True, args: MultiDict[str, str] | None = None, ways: bool = True
) -> Request:
    """Read an address (the present one, or `args`) and work it out.

    Not computed where it only asks for the form; without the ways out of a stop where these, which
    are the most work, are asked for later.
    """
    args = request.args if args is None else args
    words = forms.said(name, args, settings().today().isoformat())
    try:
        carried, pantry = read_carried(args.getlist(forms.MADE), house_pantry())
    except PrepkitError as error:
        return Request(name, words, wrong={"": error})
    if not compute:
        return Request(name, words, carried)
    wrong = {**forms.problems(name, words), **problems(name, carried, words)}
    read = {key: value for key, value in words.items() if key not in wrong}
    if wrong and not _stopped(name, read, wrong, pantry):
        return Request(name, words, carried, wrong={**_others(name, words, wrong, pantry), **wrong})
    try:
        inputs = registry.validate(name, read, pantry)
        answer = (registry.answer if ways else registry.without_ways)(name, inputs)
    except BadInput as error:
        found = registry.problems(name, read, pantry) or forms.of_answer(name, error)
        return Request(name, words, carried, wrong=found)
    return Request(name, words, carried, answer, inputs)


def _stopped(
    name: str, read: Mapping[str, object], wrong: Mapping[str, PrepkitError], pantry: Pantry
) -> bool:
    """Whether a hazard is named, which stops whatever is missing beside it.

    Nothing else is answered while what is needed is missing.
    """
    missing = any(spec.required and key in wrong for key, spec in forms.inputs(name).items())
    return missing and not registry.problems(name, read, pantry)


def _others(
    name: str, words: Mapping[str, object], wrong: Mapping[str, PrepkitError], pantry: Pantry
) -> dict[str, PrepkitError]:
    """What is wrong with the words that were not found wrong yet."""
    left = {key: value for key, value in words.items() if key not in wrong}
    found = registry.problems(name, left, pantry)
    return {key: error for key, error in found.items() if key in left}


def known(name: str) -> str:
    """A calculator's name, or the page that says which is nearest."""
    if name not in CALCULATORS:
        near = numbers.close(name, CALCULATORS, 1)
        hint = f"The nearest is {near[0]}." if near else "The work is listed at the beginning."
        abort(404, f"No work is called “{name[:60]}”. {hint}")
    return name


def held_pair() -> list[tuple[str, str]]:
    """The answer to compare with, as the address has it."""
    return [(forms.HELD, text) for text in request.args.getlist(forms.HELD)[:1]]


# ---- a recipe planned as an address asks ----

# ---- a recipe planned as an address asks ----

FIELDS = ("serves", "variant", "service", "from", "units", "sure")
LABELS = {
    "serves": "serves", "variant": "variant", "service": "service at", "from": "what there is",
    "units": "units", "sure": "enough for sure", "item": "item",
    "made": "made on", "oldest": "oldest part from",
    "jurisdiction": "allergens by", "per-sheet": "labels on a sheet", "copies": "copies of each",
    "once-opened": "days once opened",
    "measured": "readings",
}  # fmt: skip
UNITS = ("metric", "us")
MOST_HAVE = 3
MOST_KEPT = 24
SETTLED_S = 2.0  # clocks of file systems are coarse
LARGEST_KEPT = 100  # items of a plan that is kept


class TypedReadings(NamedTuple):
    """Readings: the name of their file, their tables, and what cannot be used of them."""

    file: str
    tables: Mapping[str, object]
    unread: tuple[Unread, ...] = ()


class NotAsked(BadInput):
    """The words of an address cannot be planned; `field` is the field of the form."""


class Broken(PrepkitError):
    """The recipe's own file must be fixed first."""


@dataclass(frozen=True)
class Wanted:
    """What an address asks of a recipe, as it was typed; empty where nothing was."""

    serves: str = ""
    variant: str = ""
    service: str = ""
    have: tuple[str, ...] = ()
    units: str = ""
    sure: str = ""

    def asked(self, file: str, house: Path | None) -> PlanOptions:
        """The same as the words of a command line."""
        return PlanOptions(
            file,
            serves=self.serves or None,
            house=None if house is None else str(house),
            variant=self.variant or None,
            service=self.service or None,
            have=self.have,
            units=self.units or "metric",
            units_chosen=bool(self.units),
            sure=self.sure or None,
        )

    def query(self, **more: str) -> list[tuple[str, str]]:
        """What is asked as the end of an address, with more or other words."""
        pairs = [
            ("serves", self.serves), ("variant", self.variant), ("service", self.service),
            *(("from", words) for words in self.have), ("units", self.units), ("sure", self.sure),
        ]  # fmt: skip
        kept = [(name, value) for name, value in pairs if value and name not in more]
        return kept + [(name, value) for name, value in more.items() if value]


@dataclass
class Sheet:
    """A recipe that was planned; `drawn` is what has been made of it so far, by what it shows."""

    asked: PlanOptions
    worked: Worked
    first: PlanSheet  # before any reading
    drawn: dict[object, str] = field(default_factory=dict)

    @property
    def units(self) -> str:
        """The units that it is shown in."""
        return self.worked.units


def wanted(args: Any) -> Wanted:  # Any: werkzeug's MultiDict
    """What an address asks."""

    def one(name: str) -> str:
        return " ".join(str(args.get(name, "")).split())

    have = [" ".join(words.split()) for words in args.getlist("from")]
    units = one("units")
    if units and units not in UNITS:
        raise NotAsked(f'Units is "{units[:40]}"; write metric or us.', "units")
    return Wanted(
        one("serves"), one("variant"), one("service"), tuple(filter(None, have))[:MOST_HAVE], units,
        one("sure"),
    )  # fmt: skip


def words(message: str) -> str:
    """An error's sentence with its inputs named by the page's own words.

    >>> from prepkit.errors import named
    >>> words(f'{named("serves")} is "0"; it must be a whole number from 1 to 10000.')
    'serves is "0"; it must be a whole number from 1 to 10000.'
    """
    return say(message, _page_name)


def _page_name(field: str, example: str | None) -> str:
    name = LABELS.get(field.replace("_", "-"), field)
    return name if example is None else f'{name} "{example}"'


class KeptPlans:
    """Plans recipes of a book, and keeps the last ones."""

    def __init__(self, book: RecipeFolder) -> None:
        self.book = book
        self._kept: OrderedDict[object, tuple[tuple[str, ...], str, Sheet]] = OrderedDict()
        self._lock = Lock()

    def plan(
        self, name: str, said: Wanted, today: date, readings: TypedReadings | None = None
    ) -> Sheet:
        """A recipe as asked, planned again from readings where there are any.

        Raises NotAsked where the address is wrong, Broken where the recipe is, Wrong where the
        readings are. What cannot be used of them makes nothing milder.
        """
        path = self.book.path(name)
        asked = said.asked(str(path), self.book.house_of(name))
        if readings is not None:
            asked = asked.replaced(measured=readings.file)
        key = (asked, None if readings is None else repr(readings[1:]), today)
        found = self._still_right(key)
        if found is None:
            began = time.time()
            if readings is None:
                found = self._worked(asked, str(path))
            else:
                found = self._measured(asked, self.plan(name, said, today), readings)
            if len(found.first["items"]) <= LARGEST_KEPT:
                self._keep(key, found, began)
        return found

    def _measured(self, asked: PlanOptions, before: Sheet, readings: TypedReadings) -> Sheet:
        """A sheet planned again from readings; Wrong where one of them cannot be used."""
        items = before.worked.first.recipe.items
        read = readings_of(readings.tables, items, readings.file) if readings.tables else {}
        try:
            come_to = measured_again(asked, before.worked, read, readings.unread)
        except Wrong as error:
            if error.file == asked.measured:
                raise
            raise Broken(self.book.plain(error.message)) from error
        return Sheet(asked, come_to, before.first)

    def _worked(self, asked: PlanOptions, file: str) -> Sheet:
        if asked.serves is not None and asked.have:
            raise NotAsked(
                "Serves and what there is both say how many; leave one of them empty.", "serves"
            )
        try:
            come_to = worked(asked, file)
        except Wrong as error:
            if error.file == file and error.where == "variant" and asked.variant:
                raise NotAsked(error.sentence, "variant") from error
            raise Broken(self.book.plain(error.message)) from error
        except FileProblem as error:
            raise Broken(self.book.plain(error.message)) from error
        except BadInput as error:
            known = (error.field or "").replace("_", "-")
            said = self.book.plain(words(error.wording))
            raise NotAsked(
                f"{said[:1].upper()}{said[1:]}", known if known in FIELDS else None
            ) from error
        return Sheet(asked, come_to, come_to.said)

    def _still_right(self, key: object) -> Sheet | None:
        with self._lock:
            held = self._kept.get(key)
            if held is not None:
                self._kept.move_to_end(key)
        if held is None or held[1] != _state(held[0]):
            return None
        return held[2]

    def _keep(self, key: object, sheet: Sheet, began: float) -> None:
        """Keep a sheet, unless one of its files may have changed while it was worked out."""
        recipe = sheet.worked.plan.recipe
        if recipe.house.stock.ledger:
            return  # what it tells changes with every event
        folder = Path(recipe.file).parent
        registers = {
            str(folder / str(item.inputs["vessel_register"]))
            for item in recipe.items.values()
            if "vessel_register" in item.inputs
        }
        files = (recipe.file, *recipe.files, *recipe.house.files, *sorted(registers))
        state = _state(files)
        if any(_changed(file) >= began - SETTLED_S for file in files):
            return
        with self._lock:
            self._kept[key] = (files, state, sheet)
            while len(self._kept) > MOST_KEPT:
                self._kept.popitem(last=False)


def _changed(file: str) -> float:
    try:
        return Path(file).stat().st_mtime
    except OSError:
        return math.inf


def _state(files: Iterable[str]) -> str:
    """What the files hold, in short."""
    digest = hashlib.sha256()
    for file in files:
        try:
            digest.update(Path(file).read_bytes())
        except OSError:
            digest.update(b"?")
        digest.update(b"\0")
    return digest.hexdigest()


# ---- the recipes of a running page, and how it says that one cannot be planned ----

NOT_PLANNED = 422


def desk() -> KeptPlans:
    """The recipes of the folder that the page was started with; an error page without one."""
    found: KeptPlans | None = current_app.extensions.get("prepkit-desk")
    if found is None:
        chosen = settings()
        if chosen.recipes is None:
            raise NotFound("The page was started without a folder of recipes.")
        found = KeptPlans(RecipeFolder(chosen.recipes, chosen.house, chosen.write))
        current_app.extensions["prepkit-desk"] = found
    return found


def planned(name: str, said: Wanted, readings: TypedReadings | None = None) -> Sheet:
    """A recipe as the address asks, with the name of a file of readings and their tables."""
    return desk().plan(name, said, settings().today(), readings)


def broken(name: str, error: Broken) -> tuple[str, int]:
    """What is wrong with a recipe's file, by line, as the command line lists it."""
    book = desk().book
    try:
        found = book.problems(book.check(name, book.text(name)))
    except BadInput as unread:
        return render_template(
            "recipes/broken.html",
            name=name,
            problems=(),
            whole=book.plain(unread.message),
            write=False,
        ), NOT_PLANNED
    return render_template(
        "recipes/broken.html",
        name=name,
        problems=found,
        whole="" if found else error.message,
        write=book.write,
    ), NOT_PLANNED


def refusals(blueprint: Blueprint) -> None:
    """One sentence, or a list of problems, where an address of the blueprint cannot be answered."""
    blueprint.register_error_handler(BadInput, _not_planned)
    blueprint.register_error_handler(Broken, _broken)


def _not_planned(error: BadInput) -> tuple[str | Response, int]:
    """An address of a file or card that cannot be made: one sentence."""
    said = words(error.wording)
    return _one_sentence(f"{said[:1].upper()}{said[1:]}"), NOT_PLANNED


def _broken(error: Broken) -> tuple[str | Response, int]:
    """A file or card of a recipe that must be fixed first."""
    name = str((request.view_args or {}).get("name", ""))
    if request.path.endswith(".json"):
        return _one_sentence(error.message), NOT_PLANNED
    return broken(name, error)


def _one_sentence(said: str) -> str | Response:
    if request.path.endswith(".json"):
        return as_json(said)
    return render_template(
        "error.html",
        title="That cannot be made out",
        why=said,
        what="Go back, look at what was entered, and send it again.",
        status=NOT_PLANNED,
    )


def recent(to: str, name: str, word: str, say: str) -> str:
    """What the list of recent work keeps of a plan or a batch, as JSON."""
    return json.dumps({"to": to, "name": name, "word": word, "say": say})
