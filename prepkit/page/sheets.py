"""A recipe planned as an address asks, and kept while its files stay the same.

Planning is `workflows.plan_work`'s, as on the command line; here are only the words of the address,
which field an error belongs to, and what was worked out last.
"""

from __future__ import annotations

import hashlib
import json
import math
import time
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any, NamedTuple

from flask import Blueprint, Response, current_app, render_template, request
from werkzeug.exceptions import NotFound

from prepkit.errors import BadInput, FileProblem, PrepkitError, say
from prepkit.page.guard import as_json, settings
from prepkit.page.recipe_folder import RecipeFolder
from prepkit.plan.files import Wrong
from prepkit.plan.measured import Unread
from prepkit.plan.recipe_file import readings_of
from prepkit.workflows.plan_command import PlanOptions, Worked, measured_again, worked

if TYPE_CHECKING:
    from prepkit.sheet import PlanSheet

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


class Typed(NamedTuple):
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

    def plan(self, name: str, said: Wanted, today: date, readings: Typed | None = None) -> Sheet:
        """A recipe as asked, planned again from readings where there are any.

        Raises NotAsked where the address is wrong, Broken where the recipe is, Wrong where the
        readings are. What cannot be used of them makes nothing milder.
        """
        path = self.book.path(name)
        asked = said.asked(str(path), self.book.house_of(name))
        if readings is not None:
            asked = asked._replace(measured=readings.file)
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

    def _measured(self, asked: PlanOptions, before: Sheet, readings: Typed) -> Sheet:
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
        if any(_changed(one) >= began - SETTLED_S for one in files):
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
    for one in files:
        try:
            digest.update(Path(one).read_bytes())
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


def planned(name: str, said: Wanted, readings: Typed | None = None) -> Sheet:
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
