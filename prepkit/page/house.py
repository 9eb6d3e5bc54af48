"""The house that the page was started with: its vessels and its own ingredients.

Only the house file of the named folder, and the pantry that it names below it, are read.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from flask import abort, current_app

from prepkit.errors import PrepkitError
from prepkit.page import forms
from prepkit.page.settings import settings
from prepkit.pantry import Pantry
from prepkit.plan.fields import Reader
from prepkit.plan.house import FILE, House, read_house
from prepkit.stock.engine import is_server
from prepkit.stock.ledger import Ledger, open_ledger

_KEPT = "prepkit-house"
NO_LEDGER = 'The house keeps no ledger. Write in its file: [stock] and ledger = "house.db".'


@dataclass
class _Kept:
    """A house as it was last read, and the state of its files then."""

    stamp: tuple[tuple[str, int], ...] = ()
    house: House = field(default_factory=House)


def read(folder: Path) -> House:
    """The house of a folder; FileProblem or BadRecipe in one sentence."""
    return read_house(Reader(FILE), None, folder, folder)


def house() -> House:
    """The house of the page, read again where one of its files has changed; empty without one."""
    folder = settings().house
    if folder is None:
        return House()
    kept: _Kept = current_app.extensions.setdefault(_KEPT, _Kept())
    stamp = tuple(sorted((one.name, one.stat().st_mtime_ns) for one in folder.glob("*.toml")))
    if kept.stamp != stamp or not stamp:
        kept.house, kept.stamp = read(folder), stamp
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


def pantry() -> Pantry:
    """What may be named: the package's ingredients and the house's own."""
    return house().pantry
