"""What recipe, menu and readings files may hold: the models of their tables.

Only `recipe` reads them.

Only `menu` reads them.

title = "Thursday"
house = "house/house.toml"

[[recipe]]
file = "cold-semaphore.toml"
serves = 40

[[serve]]
name = "Otter"
serves = 60

[flower-cordial]
mass = "640 g"
refractometer = "48.2 Bx"
temperature = "24 C"
"""

from collections.abc import Collection, Mapping
from typing import Annotated

from pydantic_core import ValidationError

from prepkit.errors import BadRecipe
from prepkit.file_models import (
    WORDS,
    Before,
    Beside,
    ById,
    FileModel,
    Flag,
    Form,
    Input,
    Integer,
    Kind,
    Later,
    Listing,
    NestedTable,
    Quantity,
    Rows,
    Text,
    WordChoice,
    problems,
)
from prepkit.files import line_of, lines, place_of, shown, text
from prepkit.index import CALCULATORS
from prepkit.numbers import nearest
from prepkit.plan.files import (
    MOST_LOSS,
    MOST_SERVES,
    Named,
    Wrong,
    read_text,
    tables_of,
    whole_serves,
)
from prepkit.plan.house_file import FILE, PRICES, VESSELS, HouseTable, Id, PriceTable, VesselTable
from prepkit.plan.routine import MOST_GLASSES, MOST_HANDS
from prepkit.units import Measured, parse_quantity

# ---- what a recipe file may hold ----

MOST_ITEMS = 1000
MOST_SERVE_KINDS = 1000  # a menu of a large house; the size of a file bounds it too
MOST_STEPS = 50  # of one item
MOST_VARIANTS = 20
MOST_MINUTES = 60 * 24 * 60.0  # of one step
MOST_ROUTINES = 20
MOST_ROUTINE_S = 4 * 3600.0  # of one step, and of the clock


class Serves(Kind):
    """A number of serves."""

    instead = 1
    missing = "it is missing; write how many serves, such as serves = 8."

    def read(self, value: object) -> int:
        """The number."""
        if isinstance(value, str):
            raise BadRecipe("it is in quotes; write a bare number, such as serves = 8.")
        return whole_serves(value, "it")

    def form(self) -> Form:
        """A whole number within its limits."""
        return {"type": "integer", "minimum": 1, "maximum": MOST_SERVES}


class SoldAt(Kind):
    """A price of the menu: a number above 0."""

    def read(self, value: object) -> float:
        """The number."""
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1e9:
            raise BadRecipe(
                f"it is {shown(value)}; write what one is sold at as a number, such as price = 9.5."
            )
        return float(value)

    def form(self) -> Form:
        """A number above 0."""
        return {"type": "number", "exclusiveMinimum": 0}


class CalculatorName(Text):
    """The name of a calculator."""

    def read(self, value: object) -> str:
        """The name."""
        name = super().read(value)
        if name not in CALCULATORS:
            raise BadRecipe(f'no calculator "{name}"; {nearest(name, CALCULATORS)}.')
        return name

    def form(self) -> Form:
        """The names that there are."""
        return {"enum": list(CALCULATORS)}


class LossShare(Kind):
    """A share of what is made, as a fraction."""

    instead = 0.0

    def read(self, value: object) -> Measured:
        """The fraction, with its ± where it has one."""
        if not isinstance(value, str):
            raise BadRecipe(f'it is {shown(value)}; write a per cent, such as loss = "3 %".')
        percent = parse_quantity(text(value), ("%",), "{key}")
        off = percent.plus_minus or 0.0
        if not 0 <= percent <= MOST_LOSS:
            raise BadRecipe(f"it is {percent:g} %; it must be from 0 to {MOST_LOSS:g} %.")
        if off and not 0 <= percent - off <= percent + off <= MOST_LOSS:
            raise BadRecipe(
                f"it is {percent:g} % ± {off:g} %; both ends must be from 0 to {MOST_LOSS:g} %."
            )
        return Measured(percent / 100, "", off / 100)

    def form(self) -> Form:
        """Words."""
        return dict(WORDS)


class Least(Kind):
    """An amount that is more than nothing."""

    def read(self, value: object) -> Measured:
        """The amount, in g or ml."""
        if not isinstance(value, str):
            raise BadRecipe(f'it is {shown(value)}; write an amount, such as least = "100 ml".')
        least = parse_quantity(text(value), ("g", "ml"), "{key}")
        if not least > 0:
            raise BadRecipe(f"it is {least.words()}; it must be more than nothing.")
        return least

    def form(self) -> Form:
        """Words."""
        return dict(WORDS)


class StepMinutes(Quantity, Beside):
    """A time of a step, in minutes."""

    instead: object = 0.0

    def __init__(self, about: str, example: str) -> None:
        super().__init__(about, ("min",), 0.0, MOST_MINUTES, example=example)

    def within(self, read: Measured) -> None:
        """BadRecipe outside its limits."""
        if not 0 <= read <= MOST_MINUTES:
            raise BadRecipe(f"it is {read:g} min; it must be from 0 to {MOST_MINUTES / 1440:g} d.")

    def read_beside(self, value: object, before: Before) -> float:
        """The minutes."""
        return float(self.read(value))


class HandsOn(StepMinutes):
    """How much of the time of a step needs a person."""

    instead: object = None

    def read_beside(self, value: object, before: Before) -> float:
        """The minutes, at most those that the step takes."""
        hands_on = super().read_beside(value, before)
        takes = before.get("takes", 0.0)
        if "takes" in before and hands_on > takes:
            raise BadRecipe(
                f"it is {hands_on:g} min, longer than the {takes:g} min that the step takes; "
                f"correct takes or hands_on."
            )
        return hands_on


class Within(StepMinutes):
    """The longest wait after a step."""

    instead: object = None

    def read_beside(self, value: object, before: Before) -> float:
        """The minutes, at least those of the shortest wait."""
        within, least = super().read_beside(value, before), before.get("before", 0.0)
        if within < least:
            raise BadRecipe(
                f"it is {within:g} min, shorter than before = {least:g} min. The first is the "
                f"longest and the second the shortest wait."
            )
        return within


class StepTable(FileModel, called="step", hyphens=True):
    """One step of making an item."""

    text: Annotated[str, Text("The work of the step.", "Strain through a cloth")]
    takes: Annotated[float, StepMinutes("How long it takes.", "8 h")] = 0.0
    hands_on: Annotated[
        float | None,
        HandsOn("How much of that needs a person; all of it if left out.", "10 min"),
    ] = None
    before: Annotated[
        float, StepMinutes("Done at least so long before what comes next.", "1 h")
    ] = 0.0
    within: Annotated[
        float | None, Within("Done at most so long before what comes next.", "20 min")
    ] = None
    each: Annotated[
        str,
        WordChoice("The times are those of one vessel, and each vessel takes them.", ("vessel",)),
    ] = ""


class ItemTable(FileModel, called="item", hyphens=True, others=Input("")):
    """One preparation: its calculator and that calculator's inputs, as words."""

    calculator: Annotated[
        str, CalculatorName("How it is made: one of prepkit's calculators.", "blend")
    ]
    title: Annotated[str, Text("Its name on the label.", "Rum syrup", needed=False)] = ""
    vessel: Annotated[str | None, Text("Id of the vessel that it is charged in.", "north")] = None
    loss: Annotated[
        Measured | float, LossShare("Loss on the way, as a share of what is made.", "3 %")
    ] = 0.0
    least: Annotated[Measured | None, Least("The smallest batch worth making.", "100 ml")] = None
    check: Annotated[bool, Flag("Looked at and judged, not made.")] = False
    note: Annotated[str, Text("For the maker.", needed=False)] = ""
    step: Annotated[
        tuple[StepTable, ...],
        Rows("The steps, in order, with their times.", StepTable, MOST_STEPS),
    ] = ()


class ServeTable(FileModel, called="serve"):
    """One kind of drink."""

    name: Annotated[str, Text("Its name.", "Night Tide")]
    part: Annotated[
        tuple[str, ...],
        Listing(
            "A part of one, such as 90 ml my-base.",
            'it uses nothing; write what goes into one, such as part = ["90 ml my-base"].',
        ),
    ]
    garnish: Annotated[
        tuple[str, ...],
        Listing("Bought and declared, but not counted as part of the liquid."),
    ] = ()
    note: Annotated[str, Text("How it is served.", needed=False)] = ""
    serves: Annotated[int | None, Serves("How many of this one, if not as many as of each.")] = None
    price: Annotated[float | None, SoldAt("Price of one, in the currency of the house.")] = None


class Seconds(Quantity):
    """A time in seconds; a bare number is seconds."""

    instead = Measured(1.0, "s")

    def __init__(self, about: str, example: str, low: float = 0.0) -> None:
        super().__init__(about, ("s",), low, MOST_ROUTINE_S, bare=True, example=example)
        self.missing = f'it is missing; write how long, such as {{key}} = "{example}".'

    def read(self, value: object) -> Measured:
        """The seconds, with their ± where they have one."""
        found = super().read(value)
        assert isinstance(found, Measured)
        if (found.plus_minus or 0.0) > found:
            raise BadRecipe(f"it is {found.words()}; the ± is at most the time itself.")
        return found


class Glasses(Integer):
    """How many glasses of one drink."""

    def __init__(self, about: str) -> None:
        super().__init__(about, 1, MOST_GLASSES)


class RoutineStepTable(FileModel, called="routine_step", hyphens=True):
    """One step of a routine; it comes after the step before it of the same drink."""

    text: Annotated[str, Text("The work of the step.", "Shake with ice")]
    takes: Annotated[Measured, Seconds("How long it takes, best with its ±. [s]", "15 s ± 3 s")]
    drink: Annotated[
        tuple[str, ...], Listing("The drinks that it is for, by name; all if left out.")
    ] = ()
    hands: Annotated[
        int, Integer("Pairs of hands that it keeps busy; 0 if it runs by itself.", 0, MOST_HANDS)
    ] = 1
    each: Annotated[bool, Flag("Done once for each glass, not once for all.")] = False
    pour: Annotated[bool, Flag("At its end the drink is in its glass.")] = False
    beside: Annotated[bool, Flag("It may run beside the step before it.")] = False


class RoutineDrinkTable(FileModel, called="routine_drink", hyphens=True, others=Input("")):
    """One drink of a routine; other keys are inputs of window, such as temperature and want."""

    name: Annotated[str, Text("The drink, by the name of its serve.", "Night Tide")]
    serves: Annotated[int, Glasses("How many glasses of it.")] = 1
    sips: Annotated[
        Measured, Seconds("From the first sip to the last, best with its ±. [s]", "4 min ± 1 min")
    ] = Measured(0.0, "s", 0.0)


class RoutineTable(FileModel, called="routine"):
    """Steps in seconds that make some drinks at once; read by prepkit routine."""

    name: Annotated[str, Text("Its name.", "The pass")]
    clock: Annotated[Measured | None, Seconds("How long there is in all. [s]", "15 min", 1.0)] = (
        None
    )
    hands: Annotated[int, Integer("Pairs of hands.", 1, MOST_HANDS)] = 1
    drink: Annotated[
        tuple[RoutineDrinkTable, ...],
        Rows("Its drinks.", RoutineDrinkTable, 50,
             'there is none; write [[routine.drink]] with the name of a serve.',
             "[[routine.drink]]"),
    ]  # fmt: skip
    step: Annotated[
        tuple[RoutineStepTable, ...],
        Rows("Its steps, in order.", RoutineStepTable, 200,
             'there is none; write [[routine.step]] with text and takes = "15 s ± 3 s".',
             "[[routine.step]]"),
    ]  # fmt: skip


TITLE = Text("Heading of the sheet.", "Tonight")
SERVES = Serves("How many of each serve the recipe is written for.")
NOTE = Text("For the maker; a blank line parts paragraphs.", needed=False)
SERVE = Rows(
    "The parts of one portion of each drink.", ServeTable, MOST_SERVE_KINDS,
    'there is none; write [[serve]] with its name and part = ["90 ml my-base"].',
    "[[serve]], once for each kind of drink",
)  # fmt: skip


ROUTINES = Rows("Timed steps of some drinks at once.", RoutineTable, MOST_ROUTINES)


class Changes(Kind):
    """Items of a variant: keys that replace those of an item, or whole items; read once merged."""

    def read(self, value: object) -> object:
        """The tables as they are written."""
        return value

    def form(self) -> Form:
        """Tables by id."""
        return {
            "type": "object",
            "propertyNames": Id("").form(),
            "additionalProperties": {"type": "object"},
        }


class VariantTable(FileModel, called="variant"):
    """The changes of this variant."""

    title: Annotated[object, Later(TITLE)] = None
    serves: Annotated[object, Later(SERVES)] = None
    note: Annotated[object, Later(NOTE)] = None
    serve: Annotated[object, Later(SERVE)] = None
    items: Annotated[
        object,
        Changes("Keys that replace those of an item, or a whole item with its calculator."),
    ] = None


class RecipeFile(FileModel, called="recipe"):
    """The items, their ingredients and the serves; read by prepkit plan."""

    title: Annotated[str, TITLE]
    serves: Annotated[int, SERVES]
    note: Annotated[str, NOTE] = ""
    house: Annotated[
        HouseTable | None,
        NestedTable("Facts of the house, or the name of its file.", HouseTable, "file", FILE),
    ] = None
    vessels: Annotated[Mapping[str, VesselTable], VESSELS] = {}
    items: Annotated[
        Mapping[str, ItemTable],
        ById(
            "The preparations by id; one may use another by an amount and its id.", ItemTable,
            Id(""), MOST_ITEMS, "there are none; write one, such as [items.my-base].",
        ),
    ]  # fmt: skip
    serve: Annotated[tuple[ServeTable, ...], SERVE]
    price: Annotated[tuple[PriceTable, ...], PRICES] = ()
    routine: Annotated[tuple[RoutineTable, ...], ROUTINES] = ()
    variant: Annotated[
        Mapping[str, VariantTable],
        ById("The same recipe with some of it replaced.", VariantTable, Id(""), MOST_VARIANTS),
    ] = {}


def variant_names(table: object) -> tuple[str, ...]:
    """The names of the variants of a file; none where they cannot be read."""
    if not isinstance(table, Mapping) or len(table) > MOST_VARIANTS:
        return ()
    return tuple(name for name, one in table.items() if isinstance(one, Mapping))


# ---- what a menu file may hold ----

MOST_RECIPES, MOST_SITES = 100, 200


class MenuRecipe(FileModel, called="menu_recipe"):
    """One recipe of the menu."""

    file: Annotated[str, Text("The recipe file, beside the menu or below it.", "my-recipe.toml")]
    variant: Annotated[str | None, Text("A variant that the recipe has.", "alcohol-free")] = None
    serves: Annotated[int | None, Serves("How many of each of its drinks.")] = None
    own: Annotated[
        tuple[str, ...],
        Listing("Items made for this recipe alone, though another has one of the same id."),
    ] = ()


class MenuServe(FileModel, called="menu_serve"):
    """One drink of the menu, where more is said of it than its recipe says."""

    name: Annotated[str, Text("The drink, by the name that its recipe gives it.", "Night Tide")]
    serves: Annotated[int | None, Serves("How many of it.")] = None
    price: Annotated[float | None, SoldAt("Price of one, in the currency of the house.")] = None


class MenuSite(FileModel, called="menu_site"):
    """One bar that the kitchen of this file makes for."""

    name: Annotated[str, Text("The site, by its name in the ledger.", "north bar")]
    menu: Annotated[str, Text("Its menu or recipe file, beside this one or below.", "north.toml")]
    house: Annotated[
        str | None, Text("The folder of its house, where its menu names none.", "north")
    ] = None
    serves: Annotated[int | None, Serves("How many of each drink of its menu.")] = None
    makes: Annotated[tuple[str, ...], Listing("Items that it makes itself; none is sent.")] = ()


class MenuFile(FileModel, called="menu"):
    """The recipes of one evening in one house, or the sites that a kitchen makes for."""

    title: Annotated[str, TITLE] = "Tonight"
    note: Annotated[str, NOTE] = ""
    house: Annotated[
        HouseTable | None,
        NestedTable("Facts of the house, or the name of its file.", HouseTable, "file", FILE),
    ] = None
    serves: Annotated[int | None, Serves("How many of each drink without a number here.")] = None
    recipe: Annotated[
        tuple[MenuRecipe, ...],
        Rows(
            "The recipes.", MenuRecipe, MOST_RECIPES,
            'there is none; write [[recipe]] with file = "my-recipe.toml".',
        ),
    ] = ()  # fmt: skip
    site: Annotated[
        tuple[MenuSite, ...],
        Rows(
            "The sites that a kitchen makes for, instead of recipes.", MenuSite, MOST_SITES,
            'there is none; write [[site]] with name = "north bar" and menu = "north.toml".',
        ),
    ] = ()  # fmt: skip
    serve: Annotated[
        tuple[MenuServe, ...], Rows("Drinks by name.", MenuServe, MOST_SERVE_KINDS)
    ] = ()
    routine: Annotated[tuple[RoutineTable, ...], ROUTINES] = ()


# ---- a file of readings ----

_IS = "a reading is"
_MASS = Quantity("How much was made. [g]", ("g",), 0.01, 1e6, what=_IS)
_REFRACTOMETER = Quantity(
    "As read on the refractometer. [Bx]", ("Bx",), 0.0, 95.0, bare=True, what=_IS
)
_DENSITY = Quantity("As the hydrometer shows it. [kg/m3]", ("kg/m3",), 500.0, 2000.0, what=_IS)
_ACIDITY = Quantity(
    "From a titration, as citric acid. [% w/w or g/l]", ("% w/w", "g/l"), 0.0, 300.0, what=_IS
)
_ABV = Quantity(
    "Strength, from a distillation or an alcoholometer. [% vol]", ("% vol",), 0.0, 100.0, what=_IS
)
_PH = Quantity(
    "As the meter shows it, after 24 hours. [a bare number]", (), 0.0, 14.0, bare=True, what=_IS
)
_PRESSURE = Quantity("On the gauge of the charged vessel. [bar]", ("bar",), 0.0, 100.0, what=_IS)
_TEMPERATURE = Quantity("Of the sample; 20 °C if left out. [C]", ("C",), -20.0, 100.0, what=_IS)
_ATC = Flag("The refractometer corrects for temperature.")


class Readings(FileModel):
    """What was read of one item."""

    mass: Annotated[Measured | None, _MASS] = None
    refractometer: Annotated[Measured | None, _REFRACTOMETER] = None
    density: Annotated[Measured | None, _DENSITY] = None
    acidity: Annotated[Measured | None, _ACIDITY] = None
    abv: Annotated[Measured | None, _ABV] = None
    ph: Annotated[Measured | None, _PH] = None
    pressure: Annotated[Measured | None, _PRESSURE] = None
    temperature: Annotated[Measured | None, _TEMPERATURE] = None
    atc: Annotated[bool, _ATC] = False

    @property
    def values(self) -> Mapping[str, Measured]:
        """The quantities that were read, by what was read."""
        return {key: value for key in KEYS if (value := getattr(self, key)) is not None}

    @property
    def compensated(self) -> bool:
        """Whether the refractometer corrects for temperature."""
        return self.atc


# what can be read: its units; none for a bare number
KEYS: dict[str, tuple[str, ...]] = {
    key: kind.units for key, kind in Readings.kinds().items() if isinstance(kind, Quantity)
}


def load_readings(path: Named, items: Collection[str]) -> dict[str, Readings]:
    """The readings of a file by item; FileProblem or BadRecipe in one sentence otherwise."""
    file = str(path)
    return read_readings(read_text(path, "readings"), items, file)


def read_readings(text: str, items: Collection[str], file: str = "readings") -> dict[str, Readings]:
    """The readings that a text is; `items` are those of the recipe by id."""
    return readings_of(tables_of(text, file, "readings"), items, file, text)


def readings_of(
    tables: Mapping[str, object], items: Collection[str], file: str = "readings", text: str = ""
) -> dict[str, Readings]:
    """The readings that tables by item are, as a file or a form has them. Raises BadRecipe.

    `text` is that of the file, where there is one: the error then has the line.
    """

    def wrong(path: tuple[str | int, ...], sentence: str) -> Wrong:
        return Wrong(
            file, place_of(path), sentence, line_of(lines(text), path) if path and text else None
        )

    if not tables:
        raise wrong((), "it has no readings; write a table for each item, such as [my-mix].")
    found = {}
    for id_, table in tables.items():
        if id_ not in items:
            raise wrong((id_,), f'the recipe has no item "{id_[:60]}"; {nearest(id_, items)}.')
        if not isinstance(table, dict):
            raise wrong((id_,), f"it is {shown(table)}; write a table, [{id_}].")
        try:
            read = Readings.read(table)
        except ValidationError as error:
            problem = problems(Readings, error)[0]
            raise wrong((id_, *problem.path), problem.sentence) from error
        if not read.values.keys() - {"temperature"}:
            choice = ", ".join(key for key in KEYS if key != "temperature")
            raise wrong((id_,), f"it has nothing to compare; write one of {choice}.")
        found[id_] = read
    return found
