"""A house: its room, its bench, its vessels, its prices and its own ingredients.

What a recipe says in its own [house] wins over the house file that it names, so that a recipe can
be taken elsewhere. A house file and the pantry that it names lie below the folder of the recipe, or
below the one that the command line names; nothing outside is read.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from prepkit.errors import BadInput, FileProblem
from prepkit.file_values import shown
from prepkit.measures import Measures
from prepkit.pantry import Pantry
from prepkit.pantry_file import house_entries
from prepkit.plan.fields import NO_ROWS, NO_TABLES, Enough, Reader, Table, Wrong
from prepkit.plan.files import below, read_text, tables_of
from prepkit.plan.house_measures import KEYS as MEASURES
from prepkit.plan.house_measures import bottles, read_measures
from prepkit.plan.house_stock import KEYS as STOCK
from prepkit.plan.house_stock import HouseStock, read_stock
from prepkit.plan.working_hours import KEYS as HOURS
from prepkit.plan.working_hours import Hours, read_hours
from prepkit.units import Measured, parse_number

MOST_PRICES = 1000
MOST_HANDS = 50
FILE = "house.toml"
# facts of the house: unit, and the inputs that are given them where a calculator has such
HOUSE: dict[str, tuple[str, tuple[str, ...]]] = {
    "room_volume": ("m3", ("room_volume",)),
    "air_changes": ("/h", ("air_changes",)),
    "room_temperature": ("C", ("room", "room_temperature")),
    "fridge_temperature": ("C", ("fridge", "fridge_temperature")),
    "altitude": ("m", ("altitude",)),
    "jurisdiction": ("", ("jurisdiction",)),
}
# the same for what is filled into vessels alone: a charged vessel comes to stand in the room, but
# the warmest that a food became is measured and never assumed
VESSELS: dict[str, tuple[str, ...]] = {"room_temperature": ("warmest",)}
# what the bench reads: unit, the highest +/- that makes sense, what it is
BENCH: dict[str, tuple[str, float, str]] = {
    "scale": ("g", 1000.0, "smallest step of the scale; each weighing is taken ± that"),
    "fine_scale": ("g", 100.0, "smallest step of a finer scale, for small weighings"),
    "fine_scale_most": ("g", 1e5, "most that the finer scale takes"),
    "refractometer": ("Bx", 5.0, "± of the refractometer"),
    "thermometer": ("C", 10.0, "± of the thermometer"),
    "hydrometer": ("kg/m3", 50.0, "± of the hydrometer"),
    "alcoholometer": ("% vol", 5.0, "± of the alcoholometer"),
    "titration": ("% w/w", 1.0, "± of a titration, as citric acid"),
    "ph_meter": ("", 1.0, "± of the pH meter, a bare number"),
    "gauge": ("bar", 5.0, "± of the pressure gauge"),
    "charger": ("%", 50.0, "± of the gas in one charger"),
}
UNITS = ("metric", "us")
OWN = ("file", "bench", "currency", "units", *MEASURES, "hands", *HOURS, "note")
FILE_KEYS = (
    *HOUSE, "bench", "currency", "units", *MEASURES, "hands", *HOURS, "note", "vessels", "price",
    "pantry", *STOCK,
)  # fmt: skip
VESSEL_OWN = ("count", "note")
PRICE_KEYS = ("ingredient", "pack", "cost", "note")


@dataclass(frozen=True)
class Vessel:
    """What is known of a vessel: the siphon's inputs by name, and how many the house has."""

    id: str
    facts: Mapping[str, object]
    count: int | None = None
    note: str = ""
    file: str = ""


class PackPrice(NamedTuple):
    """What a pack of an ingredient costs, as it is written; `where` says in which file and row."""

    ingredient: str
    pack: str
    cost: float
    file: str
    where: str


class House(NamedTuple):
    """The facts that hold for everything made in one place; `facts` are words, as written."""

    facts: Mapping[str, object] = {}
    bench: Mapping[str, Measured] = {}
    vessels: Mapping[str, Vessel] = {}
    prices: tuple[PackPrice, ...] = ()
    currency: str = ""
    units: str | None = None
    hands: int = 1
    pantry: Pantry = Pantry()
    files: tuple[str, ...] = ()
    said_in: Mapping[str, str] = {}  # file by fact
    measures: Measures = Measures()
    hours: Hours | None = None
    stock: HouseStock = HouseStock()


def read_house(reader: Reader, said: object, folder: Path, given: Path | None) -> House:
    """The house of a recipe: its own [house], the file that it names, or that of a named folder.

    `folder` is the recipe's; `given` is the folder that the command line names, if it does.
    """
    table, name = _table_and_name(reader, said, given)
    filed, inside = House(), Reader(reader.file)
    if name is not None:
        inside = Reader(name, gather=reader.gather)
        try:
            filed = _from_file(
                reader, inside, _in_folder(name, given) if given else name, given or folder
            )
        except Wrong as error:
            if not reader.gather:
                raise
            reader.found.append(error)
        except FileProblem as error:
            if not reader.gather:
                raise
            reader.found.append(reader.wrong("house", error.message))
        except Enough:
            reader.found += inside.found
            raise
    own = _facts(reader, "house", table)
    if own.currency and filed.prices and own.currency != filed.currency:
        reader.take(None, _two_currencies, reader, own.currency, filed.currency)
    reader.found += inside.found if inside.file != reader.file else []
    measures = own.measures.over(filed.measures)
    return House(
        {**filed.facts, **own.facts},
        {**filed.bench, **own.bench},
        filed.vessels,
        filed.prices,
        own.currency or filed.currency,
        own.units or filed.units,
        own.hands if "hands" in table else filed.hands,
        filed.pantry.with_measures(measures),
        filed.files,
        {**filed.said_in, **own.said_in},
        measures,
        own.hours or filed.hours,
        filed.stock,
    )


def _table_and_name(reader: Reader, said: object, given: Path | None) -> tuple[Table, str | None]:
    """The recipe's own facts, and the name of its house file."""
    if said is None:
        return {}, FILE if given is not None else None
    if isinstance(said, str):
        return {}, reader.take(None, reader.text, "house", said, FILE)
    if not isinstance(said, dict):
        raise reader.wrong(
            "house", f'it is {shown(said)}; write a table, [house], or house = "{FILE}".'
        )
    reader.only("house", said, (*HOUSE, *OWN))
    if "file" in said:
        return said, reader.take(None, reader.text, "house.file", said["file"], FILE)
    return said, FILE if given is not None else None


def _in_folder(name: str, given: Path) -> str:
    """The house file in a folder of the command line: as the recipe names it, or right in it."""
    path, own = below(given, name), Path(name).name
    if path is None or os.path.exists(path) or not os.path.exists(given / own):
        return name
    return own


def _from_file(reader: Reader, inside: Reader, name: str, folder: Path) -> House:
    path = below(folder, name)
    if path is None:
        raise reader.wrong(
            "house",
            f'"{name}" lies outside {_shown(folder)}. Put it in the folder of the recipe, '
            f"in the one named with --house, or below it.",
        )
    file = str(folder / name)
    inside.file = file
    said = tables_of(read_text(path, "house"), file, "house")
    inside.only("", said, FILE_KEYS)
    house = _facts(inside, "", said)
    vessels = {
        id_: read_vessel(inside, id_, table)
        for id_, table in inside.take(
            NO_TABLES, inside.tables, "vessels", said.get("vessels", {})
        ).items()
    }
    prices = read_prices(inside, said.get("price"))
    pantry, files = Pantry(), [file]
    if "pantry" in said:
        at = inside.take("", inside.text, "pantry", said["pantry"], "pantry.toml")
        at = str(Path(name).parent / at) if at else ""
        found = below(folder, at) if at else None
        if at and found is None:
            inside.take(None, _outside, inside, at, folder)
        if found is not None:
            pantry = inside.take(Pantry(), _pantry, found, str(folder / at))
            files.append(str(folder / at))
    return House(
        house.facts, house.bench, vessels, prices, house.currency, house.units, house.hands,
        pantry, tuple(files), house.said_in, house.measures.over(bottles(prices)),
        house.hours, read_stock(inside, said, path.parent),
    )  # fmt: skip


def _two_currencies(reader: Reader, own: str, filed: str) -> None:
    raise reader.wrong(
        "house.currency",
        f'it is "{own}" and the prices of the house are in "{filed or "no money"}"; keep one.',
    )


def _outside(reader: Reader, name: str, folder: Path) -> None:
    raise reader.wrong("pantry", f'"{name}" lies outside {_shown(folder)}; keep it beside this.')


def _shown(folder: Path) -> str:
    return f"the folder {folder}" if str(folder) != "." else "this folder"


def _pantry(path: Path, name: str) -> Pantry:
    """The house's own ingredients; whatever is wrong with them is one sentence."""
    said = tables_of(read_text(path, "pantry"), name, "pantry")
    try:
        return Pantry(house_entries(said))
    except BadInput as error:
        raise Wrong(name, error.field or "", error.message) from error


def _facts(reader: Reader, where: str, table: Table) -> House:
    """Facts, bench, currency and units of one table."""

    def place(key: str) -> str:
        return f"{where}.{key}".lstrip(".")

    facts = {}
    for key in table:
        if key in HOUSE:
            value = reader.take(None, _fact, reader, place(key), key, table[key])
            if value is not None:
                facts[key] = value
    return House(
        facts,
        reader.take({}, _bench, reader, place("bench"), table.get("bench", {})),
        currency=reader.take("", _currency, reader, place("currency"), table.get("currency")),
        units=reader.take(None, _units, reader, place("units"), table.get("units")),
        hands=reader.take(1, reader.whole, place("hands"), table.get("hands", 1), MOST_HANDS),
        said_in=dict.fromkeys(facts, reader.file),
        measures=read_measures(reader, where, table),
        hours=reader.take(None, read_hours, reader, where, table),
    )


def _fact(reader: Reader, where: str, key: str, value: object) -> object:
    unit = HOUSE[key][0]
    if unit:
        reader.quantity(where, value if isinstance(value, str) else str(value), unit)
        return value
    if not isinstance(value, str):
        raise reader.wrong(where, f"it is {shown(value)}; write a word.")
    return reader.text(where, value, "eu")


def _bench(reader: Reader, where: str, table: object) -> dict[str, Measured]:
    if not isinstance(table, dict):
        raise reader.wrong(where, f"it is {shown(table)}; write a table, [{where}].")
    reader.only(where, table, BENCH)
    found = {}
    for key, value in table.items():
        if key in BENCH:
            read = reader.take(None, _spread, reader, f"{where}.{key}", key, value)
            if read is not None:
                found[key] = read
    if ("fine_scale" in found) != ("fine_scale_most" in found):
        raise reader.wrong(
            f"{where}.fine_scale",
            "a finer scale has both, fine_scale = its smallest step and fine_scale_most = the most "
            "that it takes.",
        )
    return found


def _spread(reader: Reader, where: str, key: str, value: object) -> Measured:
    unit, most, _ = BENCH[key]
    if unit:
        words = value.lstrip("±+/- ") if isinstance(value, str) else value
        found = reader.quantity(where, words, unit)
        if unit == "C" and isinstance(words, str):  # a difference of temperatures: 1 F is 0.56 C
            _, rest = parse_number(words, where)
            found = Measured(float(found) - reader.quantity(where, f"0 {rest}", unit), unit)
    elif isinstance(value, bool) or not isinstance(value, int | float):
        raise reader.wrong(where, f"it is {shown(value)}; write a bare number, such as 0.05.")
    else:
        found = Measured(float(value))
    if not 0 < found <= most:
        of = f" {unit}" if unit else ""
        raise reader.wrong(
            where, f"it is {found:g}{of}; it must be more than 0 and at most {most:g}{of}."
        )
    return found


def _currency(reader: Reader, where: str, value: object) -> str:
    if value is None:
        return ""
    word = reader.text(where, value, "EUR")
    if len(word) > 8 or any(one.isspace() or one.isdigit() for one in word):
        raise reader.wrong(where, f'it is "{word[:20]}"; write a short word, such as "EUR".')
    return word


def _units(reader: Reader, where: str, value: object) -> str | None:
    return None if value is None else reader.words_in(where, value, UNITS)


# vessels and prices, in a house file and in a recipe alike


def read_vessel(reader: Reader, id_: str, table: Table) -> Vessel:
    """One vessel of a file."""
    where = f"vessels.{id_}"
    count = None
    if "count" in table:
        count = reader.take(None, reader.whole, f"{where}.count", table["count"], 1000)
    return Vessel(
        id_,
        reader.inputs(where, table, VESSEL_OWN),
        count,
        reader.note(where, table),
        reader.file,
    )


def read_prices(reader: Reader, value: object) -> tuple[PackPrice, ...]:
    """The [[price]] rows of a file; their words are read when costs are worked out."""
    if value is None:
        return ()
    rows = reader.take(NO_ROWS, reader.rows, "price", value, "[[price]]", MOST_PRICES)
    found = []
    for number, row in enumerate(rows, 1):
        price = reader.take(None, _price, reader, f"price {number}", row)
        if price is not None:
            found.append(price)
    return tuple(found)


def _price(reader: Reader, where: str, row: Table) -> PackPrice:
    reader.only(where, row, PRICE_KEYS)
    name = reader.text(f"{where}.ingredient", row.get("ingredient"), "white sugar")
    pack = reader.text(f"{where}.pack", row.get("pack"), "1 kg")
    cost = row.get("cost")
    if isinstance(cost, bool) or not isinstance(cost, int | float) or not 0 <= cost < 1e9:
        raise reader.wrong(
            f"{where}.cost",
            f"it is {'missing' if cost is None else shown(cost)}. Write what a pack costs as a "
            f"number, 0 or more, such as cost = 18.0.",
        )
    return PackPrice(name, pack, float(cost), reader.file, where)
