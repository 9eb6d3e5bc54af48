"""A house: its room, its bench, its vessels, its prices and its own ingredients.

What a recipe says in its own [house] wins over the house file that it names, so that a recipe can
be taken elsewhere. A house file and the pantry that it names lie below the folder of the recipe, or
below the one that the command line names; nothing outside is read.
"""

import os
from collections.abc import Iterable, Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from prepkit.errors import BadInput, FileProblem
from prepkit.pantry import Pantry
from prepkit.plan.files import Enough, Named, Reader, Wrong, below, read_text, tables_of
from prepkit.plan.house_file import EARLIEST, Hours, HouseStock, Tax, hours_of, stock_of, tax_of
from prepkit.record import Record
from prepkit.units import SIZES, Measured, Measures, split_amount

if TYPE_CHECKING:
    from prepkit.plan.house_file import (
        HouseFacts,
        HouseFile,
        HouseTable,
        PriceTable,
        SizesTable,
        VesselTable,
    )

LARGEST_BOTTLE_ML = 3000.0  # a larger pack in the price list is a canister, and no bottle
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


class HouseVessel(Record):
    """What is known of a vessel: the siphon's inputs by name, and how many the house has."""

    id: str
    facts: Mapping[str, object]
    count: int | None = None
    note: str = ""
    file: str = ""


class GasStore(Record):
    """A store of gas and the room that it stands in, in words as written; "" is not told."""

    id: str
    holds: str
    place: str
    room_volume: str = ""
    air_changes: str = ""
    count: int | None = None


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
    vessels: Mapping[str, HouseVessel] = {}
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
    tax: Tax | None = None
    texts: Mapping[str, str] = {}  # of its files
    sure: float | None = None  # the chance that its plans cover their serves
    gases: tuple[GasStore, ...] = ()
    safety: Mapping[str, str] = {}  # what everybody must find at once, by key


def read_house(
    reader: Reader, own: "HouseTable | None", folder: Named, given: Named | None
) -> House:
    """The house of a recipe: its own [house], the file that it names, or that of a named folder.

    `folder` is the recipe's; `given` is the folder that the command line names, if it does.
    """
    name = own.file if own is not None else None
    if name is None and given is not None:
        name = FILE
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
            reader.found.append(reader.wrong(("house",), error.message))
        except Enough:
            reader.found += inside.found
            raise
    said = House() if own is None else _facts(reader, ("house",), own)
    if said.currency and filed.prices and said.currency != filed.currency:
        reader.tell(
            reader.wrong(
                ("house", "currency"),
                f'it is "{said.currency}" and the prices of the house are in '
                f'"{filed.currency or "no money"}"; keep one.',
            )
        )
    reader.found += inside.found if inside.file != reader.file else []
    if given is not None and own is not None and not _same_file(own.file, folder, inside.file):
        reader.tell(*_otherwise(reader, said, filed, inside.file))
    measures = said.measures.over(filed.measures)
    return House(
        {**filed.facts, **said.facts},
        {**filed.bench, **said.bench},
        filed.vessels,
        filed.prices,
        said.currency or filed.currency,
        said.units or filed.units,
        filed.hands if own is None or own.hands is None else own.hands,
        filed.pantry.with_measures(measures),
        filed.files,
        {**filed.said_in, **said.said_in},
        measures,
        said.hours or filed.hours,
        filed.stock,
        filed.tax,
        filed.texts,
        filed.sure if said.sure is None else said.sure,
        filed.gases,
        filed.safety,
    )


def _same_file(name: str | None, folder: Named, file: str) -> bool:
    """Whether the house file that a recipe names is the one that was read."""
    real = os.path.realpath
    return name is not None and real(os.path.join(folder, name)) == real(file)


def _otherwise(reader: Reader, own: House, given: House, file: str) -> Iterator[Wrong]:
    """Bench, hands, hours and chance that a file says otherwise than the house that was named.

    Neither wins. Other facts, such as the temperature of a room, are the recipe's own.
    """
    told: list[tuple[tuple[str, ...], object, object]] = [
        (("bench", key), own.bench[key].words(), given.bench[key].words())
        for key in own.bench.keys() & given.bench.keys()
    ]
    if own.hands != 1 and given.hands != 1:
        told.append((("hands",), own.hands, given.hands))
    if own.hours is not None and given.hours is not None:
        mine_h, other_h = (" to ".join(hours.words()) for hours in (own.hours, given.hours))
        told.append(((EARLIEST,), mine_h, other_h))
    if own.sure is not None and given.sure is not None:
        told.append((("sure",), f"{100 * own.sure:g} %", f"{100 * given.sure:g} %"))
    for key, mine, other in sorted(told, key=lambda one: one[0]):
        if " ".join(str(mine).split()).casefold() != " ".join(str(other).split()).casefold():
            yield reader.wrong(
                ("house", *key),
                f"it is {mine}, and {other} in {file}, the house that was named. Leave it out of "
                f"one of them.",
            )


def house_in(folder: Named | None) -> House:
    """The house of a folder, all by itself; empty where there is none."""
    return House() if folder is None else read_house(Reader(FILE), None, folder, folder)


def _in_folder(name: str, given: Named) -> str:
    """The house file in a folder of the command line: as the recipe names it, or right in it."""
    path, own = below(given, name), os.path.basename(name)
    if path is None or os.path.exists(path) or not os.path.isfile(os.path.join(given, own)):
        return name
    return own


def _from_file(reader: Reader, inside: Reader, name: str, folder: Named) -> House:
    from prepkit.plan.house_file import HouseFile

    path = below(folder, name)
    if path is None:
        raise reader.wrong(
            ("house",),
            f'"{name}" lies outside {_shown(folder)}. Put it in the folder of the recipe, '
            f"in that of the house, or below it.",
        )
    inside.file = file = os.path.join(folder, name)
    inside.text = read_text(path, "house")
    said = inside.model(HouseFile, tables_of(inside.text, file, "house"))
    house = house_of(inside, said, os.path.dirname(path))
    if not said.pantry:
        return house._replace(files=(file,))
    at = os.path.join(os.path.dirname(name), said.pantry)
    found = below(folder, at)
    if found is None:
        inside.tell(
            inside.wrong(("pantry",), f'"{at}" lies outside {_shown(folder)}; keep it beside this.')
        )
        return house._replace(files=(file,))
    shown = os.path.join(folder, at)
    pantry = inside.take(Pantry(), _pantry, inside, found, shown)
    return house._replace(pantry=pantry, files=(file, shown))


def house_of(reader: Reader, said: "HouseFile", folder: Named) -> House:
    """The house of a house file in a folder, without the pantry that it names."""
    house, prices = _facts(reader, (), said), prices_of(reader.file, said.price)
    return house._replace(
        vessels=vessels_of(reader.file, said.vessels),
        prices=prices,
        measures=house.measures.over(bottles(prices)),
        stock=stock_of(reader, said, folder),
        texts={reader.file: reader.text},
        tax=tax_of(reader, said.tax),
        gases=tuple(
            GasStore(
                id_, gas.holds, gas.place, gas.room_volume or "", gas.air_changes or "", gas.count
            )
            for id_, gas in said.gases.items()
        ),
        safety=_safety(said),
    )


def _safety(said: "HouseFile") -> Mapping[str, str]:
    """What everybody must find at once, by key; nothing of what is not told."""
    if said.safety is None:
        return {}
    return {key: told for key in said.safety.kinds() if (told := getattr(said.safety, key))}


def _shown(folder: Named) -> str:
    return "this folder" if str(folder) in ("", ".") else f"the folder {folder}"


def _pantry(reader: Reader, path: str, name: str) -> Pantry:
    """The house's own ingredients."""
    from prepkit.pantry_file import house_entries

    text = read_text(path, "pantry")
    inside = Reader(name, text, gather=reader.gather)
    entries = house_entries(
        tables_of(text, name, "pantry"),
        lambda problem: inside.tell(inside.wrong(problem.path, problem.sentence)),
    )
    reader.tell(*inside.found)
    return Pantry(entries)


def _facts(reader: Reader, place: tuple[str, ...], said: "HouseFacts") -> House:
    """Facts, bench, currency, units and measures of one table."""
    facts = {key: value for key in HOUSE if (value := getattr(said, key)) is not None}
    bench: dict[str, Measured] = {}
    if said.bench is not None:
        kinds = said.bench.kinds()
        bench = {key: value for key in kinds if (value := getattr(said.bench, key)) is not None}
    if ("fine_scale" in bench) != ("fine_scale_most" in bench):
        reader.tell(
            reader.wrong(
                (*place, "bench", "fine_scale"),
                "a finer scale has both, fine_scale = its smallest step and fine_scale_most = the "
                "most that it takes.",
            )
        )
    return House(
        facts,
        bench,
        currency=said.currency,
        units=said.units,
        hands=said.hands or 1,
        said_in=dict.fromkeys(facts, reader.file),
        measures=_measures(said.measures, said.sizes),
        hours=hours_of(reader, place, said.earliest_start, said.latest_finish),
        sure=said.sure,
    )


# vessels, prices and measures, in a house file and in a recipe alike


def vessels_of(file: str, tables: "Mapping[str, VesselTable]") -> dict[str, HouseVessel]:
    """The vessels of a file by id."""
    return {
        id_: HouseVessel(id_, said.others, said.count, said.note, file)
        for id_, said in tables.items()
    }


def prices_of(file: str, rows: "Iterable[PriceTable]") -> tuple[PackPrice, ...]:
    """The [[price]] rows of a file; their words are read when costs are worked out."""
    return tuple(
        PackPrice(row.ingredient, row.pack, row.cost, file, f"price {number}")
        for number, row in enumerate(rows, 1)
        if row.ingredient and row.pack  # what was refused has been told
    )


def _measures(system: str, sizes: "SizesTable | None") -> Measures:
    """What a cup, a shot and a bottle are."""
    if sizes is None:
        return Measures(system)
    found = {key: float(size) for key in SIZES if (size := getattr(sizes, key)) is not None}
    return Measures(system, found, sizes.case)


def bottles(prices: Iterable[PackPrice]) -> Measures:
    """The bottles that a price list tells: packs of up to 3 l, by ingredient.

    An ingredient with packs of two sizes has no one bottle, and is left out.
    """
    found: dict[str, set[float]] = {}
    for price in prices:
        try:
            amount, rest = split_amount(price.pack)
        except BadInput:  # whoever works out costs says what is wrong with it
            continue
        if amount.unit == "ml" and not rest and 0 < amount <= LARGEST_BOTTLE_ML:
            name = " ".join(price.ingredient.lower().split())
            found.setdefault(name, set()).add(float(amount))
    return Measures(
        bottles_ml={name: min(sizes) for name, sizes in found.items() if len(sizes) == 1}
    )
