"""What a house file may hold: its models, tax, working hours, stock; a batch over containers.

Only `house` and `recipe` read the models, and only when there is a file to be read.

A batch is divided into bottles, kegs, bags and jars. What freezes needs room for ice, and what is
charged needs headspace: where the house has not said the headspace of a container, nothing is
filled into it and the headspace is asked for.
"""

import math
import os
import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Annotated, NamedTuple

from prepkit.errors import BadInput, BadRecipe
from prepkit.file_models import (
    WORDS,
    Before,
    Beside,
    ById,
    Count,
    FileModel,
    Form,
    Input,
    Kind,
    NestedTable,
    Quantity,
    Rows,
    Text,
    WordChoice,
)
from prepkit.files import shown, text
from prepkit.numbers import nearest
from prepkit.plan.files import LEAST_SURE, MOST_SURE, Named, Reader, below
from prepkit.record import Record
from prepkit.science import heat
from prepkit.shared.room_check import PLACES
from prepkit.units import SYSTEMS, Measured, is_unit, parse_number, parse_quantity

# ---- a batch over its containers ----

MOST_BOTTLES = 1000
_DUST_ML = 1e-6


class Container(Record):
    """A bottle, keg, bag or jar: `volume_ml` is all it holds, `headspace_ml` what stays empty.

    None is what the house did not say; `rated_bar` is the gauge pressure that its maker allows.
    """

    name: str
    volume_ml: float
    headspace_ml: float | None = None
    rated_bar: float | None = None
    case: int | None = None
    note: str = ""


class Fill(Record):
    """One container and how much goes into it."""

    container: Container
    ml: float


class Division(Record):
    """All containers of a batch in their order, the full ones first."""

    fills: tuple[Fill, ...]

    @property
    def words(self) -> str:
        """Such as "4 x 750 ml + 776 ml"."""
        told = groupby(f"{fill.ml:.0f} ml" for fill in self.fills)
        counted = [(words, len(list(many))) for words, many in told]
        return " + ".join(f"{n} x {words}" if n > 1 else words for words, n in counted)


def container_of(name: str, known: Mapping[str, Container]) -> Container:
    """A container by its name in the house file; BadInput with the nearest names."""
    tidy = name.strip()
    if tidy in known:
        return known[tidy]
    if not known:
        raise BadInput(
            f'"{tidy}" is no container of the house; write [containers.bottle] with its '
            f"volume in the house file.",
            "into",
        )
    raise BadInput(f'"{tidy}" is no container of the house; {nearest(tidy, known)}.', "into")


def most_ml(one: Container, *, frozen: bool = False, charged: bool = False) -> float:
    """The most that is filled into a container, ml.

    frozen: it must hold the ice too, taken as if all of it were water, which grows most. charged:
    its headspace and the pressure that its maker allows must be known. Raises BadInput where the
    house has not said what is needed. Source: [ICE-DENSITY] (read).
    """
    lacking = []
    if (frozen or charged) and one.headspace_ml is None:
        lacking.append("headspace")
    if charged and one.rated_bar is None:
        lacking.append("rated")
    if lacking:
        what = "under pressure" if charged else "frozen"
        means = {"headspace": "how much stays empty", "rated": "the pressure its maker allows"}
        asked = ", and ".join(f"{key}, {means[key]}" for key in lacking)
        raise BadInput(
            f"nothing {what} is filled into {one.name}: write {asked}, under "
            f"[containers.{one.name}] in the house file.",
            "into",
        )
    most = one.volume_ml - (one.headspace_ml or 0.0)
    return min(most, one.volume_ml / (1.0 + heat.GROWTH)) if frozen else most


def divide(
    volume_ml: float,
    containers: Sequence[Container],
    *,
    frozen: bool = False,
    charged: bool = False,
) -> Division:
    """A volume over containers, the first of them as often as it goes, in the fewest in all.

    What is left goes into the smallest that holds it. It may be more than one of the first holds
    where another kind takes it: 3776 ml are four bottles of 750 ml and a jar with 776 ml.

    >>> bottle, jar = Container("bottle", 750.0), Container("jar", 1000.0)
    >>> divide(3776.0, [bottle, jar]).words, divide(3776.0, [bottle]).words
    ('4 x 750 ml + 776 ml', '5 x 750 ml + 26 ml')
    """
    if not containers:
        raise BadInput("no container was named; name one of the house.", "into")
    if not volume_ml > 0:
        raise BadInput(f"there is {volume_ml:g} ml to fill; it must be more than 0.", "amount")
    most = [most_ml(container, frozen=frozen, charged=charged) for container in containers]
    first = most[0]
    whole = math.floor((volume_ml + _DUST_ML) / first)
    if whole > MOST_BOTTLES:
        raise BadInput(
            f"{volume_ml:.0f} ml would be {whole} of {containers[0].name}; at most {MOST_BOTTLES} "
            f"are filled at once. Name a larger container.",
            "into",
        )
    rest = volume_ml - whole * first
    if rest <= _DUST_ML:
        return Division((Fill(containers[0], first),) * whole)
    sizes = sorted(zip(most, containers, strict=True), key=lambda pair: pair[0])

    def last(ml: float) -> Container | None:
        return next((container for size, container in sizes if ml <= size + _DUST_ML), None)

    more = last(first + rest) if whole else None
    if more is not None:
        return Division((*(Fill(containers[0], first),) * (whole - 1), Fill(more, first + rest)))
    into = last(rest)
    assert into is not None  # it is less than one of the first holds
    return Division((*(Fill(containers[0], first),) * whole, Fill(into, rest)))


def pours(fill_ml: float, pour_ml: float) -> int:
    """How many whole pours, jiggers or serves are in a fill.

    >>> pours(750.0, 60.0), pours(750.0, 750.0), pours(20.0, 60.0)
    (12, 1, 0)
    """
    if not pour_ml > 0:
        raise BadInput(f"a pour of {pour_ml:g} ml; it must be more than 0.", "pour")
    return math.floor(fill_ml / pour_ml + 1e-9)


# ---- what a house file may hold, and what a recipe may say of its house ----

WITH, WITHOUT = "with tax", "without tax"
EARLIEST, LATEST = "earliest_start", "latest_finish"
SUCH = {EARLIEST: "10:00", LATEST: "22:00"}
FILE = "house.toml"
_TAX = Quantity("The tax, of the price without it.", ("%",), 0.0, 100.0, example="19 %")
UNITS = ("metric", "us")
MOST_PRICES = 1000
MOST_HANDS = 50
MOST_VESSELS = 1000
MOST_GASES = 50
MOST_COUNT = 1000  # of one vessel
MOST_IN_CASE = 100
MOST_CONTAINERS = 50
ID = "^[A-Za-z][A-Za-z0-9]*([-_][A-Za-z0-9]+)*$"
LONGEST_ID = 60
UNREAD = -1  # in the place of an end of the day that was refused


class Id(Kind):
    """The id of a table: one that can be written after an amount."""

    def read(self, value: object) -> str:
        """The id itself."""
        id_ = str(value)
        parts = id_.replace("_", "-").split("-")
        wrong = not id_.isascii() or not all(map(str.isalnum, parts)) or id_[0].isdigit()
        if wrong or len(id_) > LONGEST_ID:
            raise BadRecipe(
                f'the id "{id_[:LONGEST_ID]}" cannot be used. Write letters and digits joined by '
                f"hyphens, starting with a letter, such as cold-base."
            )
        if is_unit(id_):
            raise BadRecipe(f'"{id_}" is a unit; call it something else.')
        return id_

    def form(self) -> Form:
        """Letters and digits joined by hyphens."""
        return {"pattern": ID, "maxLength": LONGEST_ID}


class HouseFact(Text):
    """A fact of the house: words that its unit can be read in, kept as they are written."""

    def __init__(self, about: str, example: str, unit: str) -> None:
        super().__init__(about, example)
        self.unit = unit

    def read(self, value: object) -> str:
        """The words."""
        number = isinstance(value, int | float) and not isinstance(value, bool)
        words = super().read(str(value) if number else value)
        parse_quantity(words, (self.unit,), "it")
        return words


class InstrumentSpread(Kind):
    """What an instrument reads to: more than 0, at most `most`; a bare number without a unit."""

    def __init__(self, about: str, unit: str, most: float) -> None:
        super().__init__(f"The {about}.", *([f"1 {unit}"] if unit else []))
        self.unit, self.most = unit, most

    def read(self, value: object) -> Measured:
        """The ±, a difference of temperatures in C."""
        found = self._words(value) if self.unit else self._number(value)
        if not 0 < found <= self.most:
            of = f" {self.unit}" if self.unit else ""
            raise BadRecipe(
                f"it is {found:g}{of}; it must be more than 0 and at most {self.most:g}{of}."
            )
        return found

    def _words(self, value: object) -> Measured:
        if not isinstance(value, str):
            raise BadRecipe(
                f'it is {shown(value)}; write it with its unit, such as "1 {self.unit}".'
            )
        words = text(value).lstrip("±+/- ")
        found = parse_quantity(words, (self.unit,), "{key}")
        if self.unit == "C":  # 1 F is 0.56 C
            _, rest = parse_number(words, "{key}")
            found = Measured(float(found) - parse_quantity(f"0 {rest}", ("C",)), "C")
        return found

    def _number(self, value: object) -> Measured:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise BadRecipe(f"it is {shown(value)}; write a bare number, such as 0.05.")
        return Measured(float(value))

    def form(self) -> Form:
        """Words with a unit, or a number."""
        if self.unit:
            return dict(WORDS)
        return {"type": "number", "exclusiveMinimum": 0, "maximum": self.most}


class Size(Quantity):
    """The size of what is called a bottle or a shot, ml."""

    def __init__(self, key: str, low: float, high: float, example: str) -> None:
        super().__init__(f"A {key}.", ("ml",), low, high, example=example)

    def within(self, read: Measured) -> None:
        """BadRecipe outside its limits."""
        if not self.low <= read <= self.high:
            raise BadRecipe(
                f"it is {read:g} ml; it must be between {self.low:g} and {self.high:g} ml."
            )


class Currency(Text):
    """A short word."""

    def read(self, value: object) -> str:
        """The word."""
        word = super().read(value)
        if len(word) > 8 or any(name.isspace() or name.isdigit() for name in word):
            raise BadRecipe(f'it is "{word[:20]}"; write a short word, such as "EUR".')
        return word


class PackCost(Kind):
    """What a pack costs, a number from 0."""

    instead = 0.0

    def read(self, value: object) -> float:
        """The number."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e9:
            raise BadRecipe(_COST.format(shown(value)))
        return float(value)

    def form(self) -> Form:
        """A number from 0."""
        return {"type": "number", "minimum": 0}


_COST = "it is {}. Write what a pack costs as a number, 0 or more, such as cost = 18.0."
PackCost.missing = _COST.format("missing")


class TimeOfDay(Kind):
    """A time of day, as minutes after midnight."""

    instead = UNREAD

    def read(self, value: object) -> int:
        """The minutes."""
        match = (
            re.fullmatch(r"([01]\d|2[0-3]):([0-5]\d)", value) if isinstance(value, str) else None
        )
        if match is None:
            such = f'{{key}} = "{self.examples[0]}"'
            raise BadRecipe(f"it is {shown(value)}; write a time of day, such as {such}.")
        return 60 * int(match[1]) + int(match[2])

    def form(self) -> Form:
        """Words."""
        return dict(WORDS)


class Chance(Kind):
    """A chance in per cent, as a share: "95 %" or 95."""

    instead = MOST_SURE

    def read(self, value: object) -> float:
        """The share."""
        such = f'write 50 to 99.9 %, such as {{key}} = "{self.examples[0]}"'
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise BadRecipe(f"it is {shown(value)}; {such}.")
        words = text(value) if isinstance(value, str) else f"{value}"
        try:
            number, rest = parse_number(words, "{key}")
        except BadInput as error:
            raise BadRecipe(f"it is {shown(value)}; {such}.") from error
        if rest not in ("", "%") or not LEAST_SURE <= number / 100 <= MOST_SURE:
            raise BadRecipe(f"it is {shown(value)}; {such}.")
        return number / 100

    def form(self) -> Form:
        """Words or a number."""
        return {"anyOf": [dict(WORDS), {"type": "number", "minimum": 50, "maximum": 99.9}]}


class StockLevel(Quantity):
    """A level of stock, in g or ml."""

    def within(self, read: Measured) -> None:
        """BadRecipe unless there is something of it."""
        if not 0 < read <= self.high:
            raise BadRecipe(f"it is {read:g} {read.unit}; it must be more than 0.")


class Volume(Quantity):
    """What a container holds, ml."""

    instead = Measured(0.0, "ml")
    missing = 'it is missing; write it with its unit, such as volume = "770 ml".'

    def within(self, read: Measured) -> None:
        """BadRecipe outside its limits."""
        if not self.low <= read <= self.high:
            raise BadRecipe(f"it is {read:g} ml; it must be between 1 ml and 1000 l.")


class Headspace(Quantity, Beside):
    """The headspace of a container, ml, less than its volume."""

    def within(self, read: Measured) -> None:
        """Its limits are those of the volume."""

    def read_beside(self, value: object, before: Before) -> float:
        """The volume of the headspace."""
        space, volume = float(self.read(value)), before.get("volume")
        if not space >= 0 or (volume is not None and space >= volume):
            less = "" if volume is None else f" and less than its {volume:g} ml"
            raise BadRecipe(f"it is {space:g} ml; it must be 0 or more{less}.")
        return space


class BenchTable(FileModel, called="bench"):
    """The ± of each instrument."""

    scale: Annotated[
        Measured | None,
        InstrumentSpread("smallest step of the scale; each weighing is taken ± that", "g", 1000.0),
    ] = None
    fine_scale: Annotated[
        Measured | None,
        InstrumentSpread("smallest step of a finer scale, for small weighings", "g", 100.0),
    ] = None
    fine_scale_most: Annotated[
        Measured | None, InstrumentSpread("most that the finer scale takes", "g", 1e5)
    ] = None
    refractometer: Annotated[
        Measured | None, InstrumentSpread("± of the refractometer", "Bx", 5.0)
    ] = None
    thermometer: Annotated[Measured | None, InstrumentSpread("± of the thermometer", "C", 10.0)] = (
        None
    )
    hydrometer: Annotated[
        Measured | None, InstrumentSpread("± of the hydrometer", "kg/m3", 50.0)
    ] = None
    alcoholometer: Annotated[
        Measured | None, InstrumentSpread("± of the alcoholometer", "% vol", 5.0)
    ] = None
    titration: Annotated[
        Measured | None, InstrumentSpread("± of a titration, as citric acid", "% w/w", 1.0)
    ] = None
    ph_meter: Annotated[
        Measured | None, InstrumentSpread("± of the pH meter, a bare number", "", 1.0)
    ] = None
    gauge: Annotated[Measured | None, InstrumentSpread("± of the pressure gauge", "bar", 5.0)] = (
        None
    )
    charger: Annotated[
        Measured | None, InstrumentSpread("± of the gas in one charger", "%", 50.0)
    ] = None


class SizesTable(FileModel, called="sizes"):
    """Volume of each of these words here."""

    jigger: Annotated[Measured | None, Size("jigger", 1.0, 500.0, "30 ml")] = None
    shot: Annotated[Measured | None, Size("shot", 1.0, 500.0, "30 ml")] = None
    part: Annotated[Measured | None, Size("part", 1.0, 500.0, "30 ml")] = None
    bottle: Annotated[Measured | None, Size("bottle", 20.0, 5000.0, "700 ml")] = None
    case: Annotated[int | None, Count("Bottles in a case.", MOST_IN_CASE)] = None


class VesselTable(FileModel, called="vessel", hyphens=True, others=Input("")):
    """A vessel, from its plate and manual; never a guess."""

    count: Annotated[int | None, Count("How many there are.", MOST_COUNT)] = None
    note: Annotated[str, Text("Where it is kept, when it was looked at.", needed=False)] = ""


class GasTable(FileModel, called="gas"):
    """A cylinder, a keg gas or another store of gas, and the room that it stands in."""

    holds: Annotated[str, Text("Most gas in it, when it is full.", "10 kg co2")]
    place: Annotated[str, WordChoice("Kind of room that it stands in.", PLACES)] = ""
    room_volume: Annotated[
        str | None, HouseFact("Net volume of the room that it stands in.", "30 m3", "m3")
    ] = None
    air_changes: Annotated[
        str | None, HouseFact("Fresh air of that room, times its volume.", "3 /h", "/h")
    ] = None
    count: Annotated[int | None, Count("How many there are.", MOST_COUNT)] = None
    note: Annotated[str, Text("Where it stands, who changes it.", needed=False)] = ""


class SafetyTable(FileModel, called="safety"):
    """What everybody must find at once; it is printed on lessons and hand-outs."""

    emergency_number: Annotated[str, Text("Number of the emergency services.", "112")] = ""
    poison_centre: Annotated[str, Text("Number of the poison centre.", "see the poster")] = ""
    alarm_point: Annotated[str, Text("Where the gas alarm is read.", "cellar door")] = ""
    assembly_point: Annotated[str, Text("Where heads are counted.", "car park")] = ""
    gas_shut_off: Annotated[str, Text("Where gas is shut off from outside.", "yard door")] = ""
    gas_supplier: Annotated[str, Text("Number of who supplies the gas.", "on the bottle")] = ""
    first_aid_kit: Annotated[str, Text("Where first-aid things are.", "office wall")] = ""
    competent_person: Annotated[str, Text("Who may decide here.", "name")] = ""


class PriceTable(FileModel, called="price"):
    """Price of a pack of an ingredient."""

    ingredient: Annotated[str, Text("Its name, with its strength.", "rum 43 %")]
    pack: Annotated[str, Text("Contents of a pack.", "700 ml")]
    cost: Annotated[float, PackCost("In the house's currency.")]
    note: Annotated[str, Text("From whom, and when.", needed=False)] = ""


class ContainerTable(FileModel, called="container"):
    """A container."""

    volume: Annotated[Measured, Volume("All that it holds.", ("ml",), 1.0, 1e6, example="770 ml")]
    headspace: Annotated[
        float | None,
        Headspace("Volume that stays empty in it.", ("ml",), 0.0, 1e6, example="20 ml"),
    ] = None
    rated: Annotated[
        Measured | None,
        Quantity("Gauge pressure that its maker allows.", ("bar",), 0.0, 50.0, example="6 bar"),
    ] = None
    case: Annotated[int | None, Count("How many are in a case.", MOST_IN_CASE)] = None
    note: Annotated[str, Text("A note on it.", needed=False)] = ""


class TaxTable(FileModel, called="tax"):
    """What tax is in the prices."""

    sold: Annotated[str, WordChoice("The prices of the menu.", (WITH, WITHOUT))]
    sold_rate: Annotated[Measured | None, _TAX] = None
    packs: Annotated[str, WordChoice("The prices of packs.", (WITH, WITHOUT))]
    packs_rate: Annotated[Measured | None, _TAX] = None


class StockTable(FileModel, called="stock"):
    """The ledger of the stock."""

    ledger: Annotated[str, Text("Its file, or the address of a PostgreSQL ledger.", "house.db")] = (
        ""
    )
    site: Annotated[str, Text("This house in a ledger of several.", "north bar")] = ""
    place: Annotated[str, Text("Where things stand unless another place is said.", "fridge")] = ""


class ParTable(
    FileModel,
    called="par",
    most_keys=1000,
    others=StockLevel("", ("g", "ml"), 0.0, 1e9, example="2 l"),
):
    """Levels that a plan makes up to, by item."""


VESSELS = ById("Charged vessels by id, from their plates and manuals.", VesselTable, Id(""),
               MOST_VESSELS)  # fmt: skip
PRICES = Rows("Prices of packs.", PriceTable, MOST_PRICES)


class HouseFacts(FileModel):
    """Facts of the house."""

    room_volume: Annotated[str | None, HouseFact("Volume of the room.", "85 m3", "m3")] = None
    air_changes: Annotated[
        str | None, HouseFact("Fresh air of the room, times its volume.", "3 /h", "/h")
    ] = None
    room_temperature: Annotated[
        str | None,
        HouseFact("Temperature of the room; charged vessels are judged at it.", "22 C", "C"),
    ] = None
    fridge_temperature: Annotated[
        str | None, HouseFact("Temperature of the fridge.", "4 C", "C")
    ] = None
    altitude: Annotated[str | None, HouseFact("Height above the sea.", "120 m", "m")] = None
    jurisdiction: Annotated[str | None, Text("Whose limits and labels hold.", "eu")] = None
    bench: Annotated[BenchTable | None, NestedTable("", BenchTable)] = None
    currency: Annotated[str, Currency("Currency of the prices.", "EUR")] = ""
    units: Annotated[str | None, WordChoice("Units of the printed sheet.", UNITS)] = None
    measures: Annotated[
        str, WordChoice("Size of a cup, a spoon, a pint and a gallon here.", SYSTEMS)
    ] = ""
    sizes: Annotated[SizesTable | None, NestedTable("", SizesTable)] = None
    hands: Annotated[int | None, Count("How many people make it.", MOST_HANDS)] = None
    earliest_start: Annotated[
        int | None, TimeOfDay("Start of the working day.", SUCH[EARLIEST])
    ] = None
    latest_finish: Annotated[
        int | None,
        TimeOfDay("End of the working day; before its start if after midnight.", SUCH[LATEST]),
    ] = None
    sure: Annotated[
        float | None, Chance("Chance that nothing runs short, for which more is made.", "95 %")
    ] = None
    note: Annotated[str, Text("For readers of the file.", needed=False)] = ""


class HouseTable(HouseFacts, called="house"):
    """Facts of the house."""

    file: Annotated[str | None, Text("A house file; what is said here wins.", FILE)] = None


class HouseFile(HouseFacts, called="house_file"):
    """A house file."""

    vessels: Annotated[Mapping[str, VesselTable], VESSELS] = {}
    gases: Annotated[
        Mapping[str, GasTable],
        ById("Gas cylinders and kegs by id, with their room.", GasTable, Id(""), MOST_GASES),
    ] = {}
    safety: Annotated[SafetyTable | None, NestedTable("", SafetyTable)] = None
    price: Annotated[tuple[PriceTable, ...], PRICES] = ()
    pantry: Annotated[str | None, Text("A file of the house's own ingredients.", "pantry.toml")] = (
        None
    )
    tax: Annotated[TaxTable | None, NestedTable("", TaxTable)] = None
    stock: Annotated[StockTable | None, NestedTable("", StockTable)] = None
    par: Annotated[ParTable | None, NestedTable("", ParTable)] = None
    containers: Annotated[
        Mapping[str, ContainerTable],
        ById(
            "Containers to fill: bottles, kegs, bags, jars.",
            ContainerTable,
            Id(""),
            MOST_CONTAINERS,
        ),
    ] = {}


class SettingsFile(FileModel, called="settings"):
    """The settings of the folder that prepkit is started in."""

    house: Annotated[str, Text("The folder of the house file.", "bar")]


# ---- what tax is in the prices of a house ----


class Tax(NamedTuple):
    """The tax in a price, as a share of the price without it; 0 where the price is without."""

    sold: float = 0.0
    packs: float = 0.0

    def sold_net(self, price: float) -> float:
        """A price of the menu without tax.

        >>> round(Tax(sold=0.25).sold_net(10.0), 6)
        8.0
        """
        return price / (1.0 + self.sold)

    def packs_net(self, cost: float) -> float:
        """What packs cost without tax."""
        return cost / (1.0 + self.packs)


def tax_of(reader: Reader, said: TaxTable | None) -> Tax | None:
    """The tax of a house file; None where it does not say."""
    if said is None:
        return None
    for price, rate in (("sold", "sold_rate"), ("packs", "packs_rate")):
        inside = getattr(said, price) == WITH
        if inside and getattr(said, rate) is None:
            reader.tell(
                reader.wrong(
                    ("tax", rate),
                    f'it is missing, and {price} = "{WITH}". Write the tax that is in these '
                    f'prices, such as {rate} = "19 %".',
                )
            )
    return Tax(
        float(said.sold_rate or 0.0) / 100 if said.sold == WITH else 0.0,
        float(said.packs_rate or 0.0) / 100 if said.packs == WITH else 0.0,
    )


# ---- the hours in which a house works ----

DAY_MIN = 1440
_DUST = 1e-6


class Hours(NamedTuple):
    """A working day: minutes after midnight; the finish may lie on the day after."""

    earliest_min: int
    latest_min: int

    @property
    def length_min(self) -> int:
        """How long a working day is."""
        return self.latest_min - self.earliest_min

    def words(self) -> tuple[str, str]:
        """Both ends as times of day.

        >>> Hours(600, 1560).words()
        ('10:00', '02:00')
        """
        return _words(self.earliest_min), _words(self.latest_min)

    def latest(self, start_min: float, length_min: float) -> float:
        """The latest start, no later than `start_min`, of a job that lies within one working day.

        Minutes after a midnight, before it negative. A job that is longer than a working day
        starts as asked: `fits` is False for it.

        >>> Hours(600, 1320).latest(1310, 40), Hours(600, 1320).latest(30, 40)
        (1280, -160)
        """
        if length_min > self.length_min:
            return start_min
        day = math.floor((start_min - self.earliest_min + _DUST) / DAY_MIN)
        return min(start_min, self.latest_min + DAY_MIN * day - length_min)

    def fits(self, start_min: float, length_min: float) -> bool:
        """Whether a job lies within one working day."""
        if length_min <= 0:
            return True
        return abs(self.latest(start_min, length_min) - start_min) <= _DUST and (
            length_min <= self.length_min
        )


def hours_of(
    reader: Reader, place: tuple[str, ...], earliest: int | None, latest: int | None
) -> Hours | None:
    """The working hours of one table of a house; None where it has none. Both ends or neither."""
    if (earliest is None and latest is None) or UNREAD in (earliest, latest):
        return None
    if earliest is None or latest is None:
        given, other = (EARLIEST, LATEST) if latest is None else (LATEST, EARLIEST)
        reader.tell(
            reader.wrong(
                (*place, given),
                f"a working day has both ends. Write {other} too, such as {other} = "
                f'"{SUCH[other]}".',
            )
        )
        return None
    if earliest == latest:
        reader.tell(
            reader.wrong(
                (*place, LATEST),
                f"it is the same as {EARLIEST}, {_words(latest)}; write when the last work ends.",
            )
        )
        return None
    return Hours(earliest, latest if latest > earliest else latest + DAY_MIN)


def _words(minutes: int) -> str:
    hours, rest = divmod(minutes % DAY_MIN, 60)
    return f"{hours:02}:{rest:02}"


# ---- what a house file says of stock ----

_URL = ("postgresql://", "postgres://")


class HouseStock(NamedTuple):
    """The ledger's place, where this house stands in it, its pars (g or ml) and its containers."""

    ledger: str = ""
    site: str = "house"
    place: str = ""
    par: Mapping[str, Measured] = {}
    containers: Mapping[str, Container] = {}


def stock_of(reader: Reader, said: HouseFile, folder: Named) -> HouseStock:
    """What a house file says about stock; a file of a ledger lies below `folder`."""
    stock = HouseStock(
        par={} if said.par is None else said.par.others,
        containers={
            name: _container(name, container)
            for name, container in said.containers.items()
            if container.volume
        },
    )
    if said.stock is None:
        return stock
    ledger = said.stock.ledger
    if ledger and not ledger.lower().startswith(_URL):
        if below(folder, ledger) is None:
            reader.tell(
                reader.wrong(
                    ("stock", "ledger"),
                    f'"{ledger}" lies outside the folder of the house; keep it beside this file.',
                )
            )
            ledger = ""
        else:
            ledger = os.path.join(folder, ledger)
    return stock._replace(ledger=ledger, site=said.stock.site or stock.site, place=said.stock.place)


def _container(name: str, said: ContainerTable) -> Container:
    rated = None if said.rated is None else float(said.rated)
    return Container(name, float(said.volume), said.headspace, rated, said.case, said.note)
