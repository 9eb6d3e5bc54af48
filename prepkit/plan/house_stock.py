"""What a house file says of stock: its ledger, levels to make up to, and what is filled."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import NamedTuple

from prepkit.file_values import shown
from prepkit.plan.fields import NO_TABLES, Reader, Table
from prepkit.plan.files import below
from prepkit.stock.bottles import Container
from prepkit.units import Measured

KEYS = ("stock", "par", "containers")
STOCK_KEYS = ("ledger", "site", "place")
CONTAINER_KEYS = ("volume", "headspace", "rated", "case", "note")
MOST_PARS, MOST_CONTAINERS, MOST_IN_CASE = 1000, 50, 100
_LEAST_ML, _MOST_ML = 1.0, 1e6
_MOST_BAR = 50.0
_URL = ("postgresql://", "postgres://")
NO_TABLE: Table = {}


class HouseStock(NamedTuple):
    """The ledger's place, where this house stands in it, its pars (g or ml) and its containers."""

    ledger: str = ""
    site: str = "house"
    place: str = ""
    par: Mapping[str, Measured] = {}
    containers: Mapping[str, Container] = {}


def read_stock(reader: Reader, table: Table, folder: Path) -> HouseStock:
    """The keys of a house file that are about stock; a file of a ledger lies below `folder`."""
    said = reader.take(NO_TABLE, _table, reader, "stock", table.get("stock", {}))
    reader.only("stock", said, STOCK_KEYS)

    def text(key: str, example: str, otherwise: str) -> str:
        if key not in said:
            return otherwise
        return reader.take(otherwise, reader.text, f"stock.{key}", said[key], example)

    ledger = text("ledger", "house.db", "")
    if ledger and not ledger.lower().startswith(_URL):
        found = below(folder, ledger)
        if found is None:
            reader.take(None, _outside, reader, ledger)
            ledger = ""
        else:
            ledger = str(folder / ledger)
    pars = {}
    table_of_pars = reader.take(NO_TABLE, _table, reader, "par", table.get("par", {}))
    if len(table_of_pars) > MOST_PARS:
        raise reader.wrong("par", f"it has {len(table_of_pars)} levels; at most {MOST_PARS}.")
    for item, value in table_of_pars.items():
        level = reader.take(None, _level, reader, f"par.{item}", value)
        if level is not None:
            pars[item] = level
    containers = {}
    tables = reader.take(NO_TABLES, reader.tables, "containers", table.get("containers", {}))
    for name, one in list(tables.items())[:MOST_CONTAINERS]:
        read = reader.take(None, _container, reader, name, one)
        if read is not None:
            containers[name] = read
    if len(tables) > MOST_CONTAINERS:
        raise reader.wrong(
            "containers", f"there are {len(tables)} of them; at most {MOST_CONTAINERS}."
        )
    return HouseStock(
        ledger, text("site", "north bar", "house"), text("place", "fridge", ""), pars, containers
    )


def _table(reader: Reader, where: str, value: object) -> Table:
    if not isinstance(value, dict):
        raise reader.wrong(where, f"it is {shown(value)}; write a table, [{where}].")
    return value


def _outside(reader: Reader, name: str) -> None:
    raise reader.wrong(
        "stock.ledger", f'"{name}" lies outside the folder of the house; keep it beside this file.'
    )


def _level(reader: Reader, where: str, value: object) -> Measured:
    level = reader.quantity(where, value, "g", "ml")
    if not 0 < level <= 1e9:
        raise reader.wrong(where, f"it is {level:g} {level.unit}; it must be more than 0.")
    return level


def _container(reader: Reader, name: str, table: Table) -> Container:
    where = f"containers.{name}"
    reader.only(where, table, CONTAINER_KEYS)
    volume = float(reader.quantity(f"{where}.volume", table.get("volume"), "ml"))
    if not _LEAST_ML <= volume <= _MOST_ML:
        raise reader.wrong(
            f"{where}.volume", f"it is {volume:g} ml; it must be between 1 ml and 1000 l."
        )
    space = rated = case = None
    if "headspace" in table:
        space = float(reader.quantity(f"{where}.headspace", table["headspace"], "ml"))
        if not 0 <= space < volume:
            raise reader.wrong(
                f"{where}.headspace",
                f"it is {space:g} ml; it must be 0 or more and less than its {volume:g} ml.",
            )
    if "rated" in table:
        rated = float(reader.quantity(f"{where}.rated", table["rated"], "bar"))
        if not 0 <= rated <= _MOST_BAR:
            raise reader.wrong(
                f"{where}.rated",
                f"it is {rated:g} bar; it must be between 0 and {_MOST_BAR:g} bar.",
            )
    if "case" in table:
        case = reader.whole(f"{where}.case", table["case"], MOST_IN_CASE)
    return Container(name, volume, space, rated, case, reader.note(where, table))
