"""The sheet of a plan: what the plan hands to the renderers, key by key as its JSON has it.

A key that is not here fails the type checker. Masses are in g, volumes in ml at 20 C, times in
minutes. What must not be made has no amounts: such an item or serve ends with its reasons.
"""

# annotations are read at once here: as texts they would be compiled one by one at each start
from typing import NotRequired, TypedDict

from prepkit.item_sheet import (
    AccountCaution,
    AccountSheet,
    AddSheet,
    BenchSheet,
    CautionSheet,
    ChangedItem,
    ChangedLine,
    ChangedReading,
    CorrectionCaution,
    CorrectionSheet,
    DriftSheet,
    FillingSheet,
    GoesTo,
    HandSheet,
    HouseSheet,
    ItemSheet,
    ItemValue,
    KeepsSheet,
    LineSheet,
    PhSheet,
    ReadingSheet,
    Reason,
    RoutineCaution,
    RoutineDrinkSheet,
    RoutineSheet,
    RoutineStepSheet,
    ShortDrink,
    ShortSheet,
    StepSheet,
    StockSheet,
    Stop,
    Told,
    ValueSheet,
    VesselSheet,
    Weighed,
    WindowSheet,
)

__all__ = (
    "AccountCaution", "AccountSheet", "AddSheet", "AllowedSheet", "AlwaysSheet", "BenchSheet",
    "Bought", "CautionSheet", "ChangedItem", "ChangedLine", "ChangedReading", "ChargerPack",
    "CorrectionCaution", "CorrectionSheet", "DecisiveSheet", "DriftSheet", "DrinkMoney",
    "FillingSheet", "FruitSheet", "GarnishSheet", "GoesTo", "HandSheet", "HouseSheet",
    "ItemSheet", "ItemValue", "KeepsSheet", "LaterLoads", "LearntSheet", "Left", "LineSheet",
    "Money", "MoneyShares", "MoneySheet", "MoreSheet", "PartSheet", "PhSheet", "PlacedStep",
    "PlanSheet", "ReadingSheet", "Reason", "RoutineCaution", "RoutineDrinkSheet",
    "RoutineSheet", "RoutineStepSheet", "ServeSheet", "ShelfBatch", "ShelfOut", "ShelfRow",
    "ShelfSheet", "ShoppingRow", "ShortDrink", "ShortSheet", "SourceSheet", "Stands",
    "StepSheet", "StockSheet", "Stop", "SureSheet", "TimetableSheet", "Told", "ValueSheet",
    "VesselSheet", "Weighed", "WindowSheet",
)  # fmt: skip


class Bought(TypedDict):
    """The packs that hold an amount, what they cost, and what is left in them."""

    pack: str | None
    packs: int | None
    cost: float | None
    left_g: float | None
    left_ml: float | None


class MoreSheet(TypedDict):
    """What is made more of an item, so that the evening does not run short."""

    item: str
    g: float
    percent: float


class SureSheet(TypedDict):
    """The chance that no item runs short, and what is made more for it.

    `unsure` are items whose yield may be off too far for any amount to be enough for sure.
    `unstated` are those whose loss on the way has no ±, and is taken as it is.
    """

    percent: float
    more: list[MoreSheet]
    unsure: list[str]
    unstated: list[str]


class FruitSheet(TypedDict):
    """How many fruits give an amount of juice: from the juiciest to the driest, and the usual."""

    name: str
    least: int
    usual: int
    most: int
    juice_g: float
    source: str


_Shopped = TypedDict(
    "_Shopped",
    {
        "name": str, "g": float, "ml": float | None, "pieces": float | None, "form": str,
        "fruit": FruitSheet | None, "for": list[str],
    },
)  # fmt: skip


class ShoppingRow(_Shopped, Bought):
    """An ingredient over all that may be made."""


class ChargerPack(TypedDict):
    """Chargers of one gas, in packs."""

    gas: str
    count: int
    pack: str | None
    packs: int | None
    cost: float | None
    left: int | None


class Money(TypedDict):
    """A cost; `value` is None where something has no price."""

    value: float | None
    known: float
    unpriced: list[str]
    complete: bool
    currency: str


class MoneyShares(TypedDict):
    """The cost as a share of the price, and what is left of the price; None where not known."""

    pour_cost_percent: float | None
    margin: float | None


class DrinkMoney(MoneyShares):
    """What one of a drink is sold at and costs; `price_net` and all of `cost` are without tax."""

    name: str
    serves: int
    price: float | None
    price_net: float | None
    cost: Money


class MoneySheet(MoneyShares):
    """The money of an evening, without tax. `unsold` are the drinks that have no price.

    `sales` is None where one of them has none. `lost` is in `served`; `left_made` and `left_packs`
    are paid for and in no serve.
    """

    currency: str
    tax_said: bool
    sold_tax_percent: float
    packs_tax_percent: float
    drinks: list[DrinkMoney]
    unsold: list[str]
    sales: float | None
    served: Money
    lost: Money
    left_made: Money
    left_packs: Money


class DecisiveSheet(TypedDict):
    """The weighing that matters most for what is served."""

    item: str
    name: str
    g: float
    plus_minus_g: float
    serve: str
    value: str
    label: str
    unit: str
    digits: int
    moves: float
    percent: float


class Left(TypedDict):
    """What is left of a preparation, or in an opened pack."""

    name: str
    g: float
    ml: float | None
    of: str


class PartSheet(TypedDict):
    """What goes into a glass."""

    name: str
    words: str
    g: float
    ml: float | None


class GarnishSheet(TypedDict):
    """What goes onto it."""

    name: str
    words: str
    g: float


class ServeSheet(TypedDict):
    """A serve; without amounts where it must not be served or is held."""

    name: str
    note: str
    serves: int
    verdict: str
    held_by: list[str]
    allergens: list[str]
    parts: NotRequired[list[PartSheet]]
    garnish: NotRequired[list[GarnishSheet]]
    g: NotRequired[float]
    ml: NotRequired[float | None]
    caffeine_mg: NotRequired[float | None]
    readings: NotRequired[list[ValueSheet]]
    cost: NotRequired[Money | None]


class PlacedStep(TypedDict):
    """A step in the timetable."""

    item: str
    number: int
    text: str
    times: int
    start_min: float
    end_min: float
    start: str | None
    end: str | None
    takes_min: float
    hands_on_min: float
    stands_min: float
    stands_at_most_min: float | None
    stands_too_long: bool
    person: int  # from 1; 0 where nobody is needed
    moved_days: int
    outside_hours: bool


Stands = TypedDict("Stands", {"item": str, "min": float, "for": str, "keeping": list[int]})


class LaterLoads(TypedDict):
    """Loads that wait for a vessel to come free."""

    item: str
    loads: int
    min: float
    hands_on_min: float


class TimetableSheet(TypedDict):
    """When each step starts, back from service."""

    service: str | None
    hands: int
    hours: list[str] | None  # of work: earliest start, latest finish
    hands_on_min: float
    start_min: float
    start: str | None
    steps: list[PlacedStep]
    stands: list[Stands]
    later: list[LaterLoads]
    charged: list[str]
    charged_last: str | None


class AlwaysSheet(TypedDict):
    """The three short lines of one calculator of the plan: of what is charged, else the last.

    They stand for the many of `standing` where there is little room.
    """

    of: str
    pressure: str
    cryogen: str
    inhalation: str


class SourceSheet(TypedDict):
    """A source that the plan rests on."""

    key: str
    title: str
    obtained: str
    note: str


class AllowedSheet(TypedDict):
    """One thing that there is, and how many serves it allows."""

    words: str
    name: str
    have_g: float
    need_g: float
    left_g: float
    serves: int
    limits: bool


class LearntSheet(TypedDict):
    """A loss as the bar's own batches tell it, for the next batch with 95 %, in `unit`.

    `field` is the input that takes it, or "loss"; `upper` is what the next batch stays below with
    95 %; `practice` where the usual range is no published one; not `used` where the recipe says its
    own.
    """

    item: str
    kind: str
    of: str
    field: str
    unit: str
    low: float
    middle: float
    high: float
    upper: float
    batches: int
    usual_low: float
    usual_high: float
    practice: bool
    used: bool
    words: str


class ShelfBatch(TypedDict):
    """So much of one batch, or of one bottle of it."""

    batch: str
    bottle: str
    place: str
    g: float
    ml: float | None
    use_by: str | None


class ShelfOut(ShelfBatch):
    """Stock that is not used, and why."""

    name: str
    why: str


class ShelfRow(TypedDict):
    """What is used of the stock of one item; `make_g` is to be made, or bought, beyond it."""

    name: str
    made_here: bool
    need_g: float
    used_g: float
    make_g: float
    left_g: float
    par_g: float | None
    batches: list[ShelfBatch]


class ShelfSheet(TypedDict):
    """What a plan uses of the stock of a site on a day; `taken` where the ledger has it."""

    site: str
    on: str
    rows: list[ShelfRow]
    not_used: list[ShelfOut]
    taken: bool


class SiteDrink(TypedDict):
    """A drink at a site: how many, and its allergens."""

    name: str
    serves: int
    allergens: list[str]


class SendSheet(TypedDict):
    """What a site needs of an item, what stands there and is on the way, what is to be sent."""

    item: str
    need_g: float
    stands_g: float
    on_the_way_g: float
    par_g: float | None
    send_g: float


class SiteSheet(TypedDict):
    """One site of a production kitchen, with the verdict of its own plan.

    `makes` is made there from what is sent; `held` is not sent, as the kitchen must not make it;
    `not_used` is what stands there and cannot be used.
    """

    site: str
    menu: str
    verdict: str
    drinks: list[SiteDrink]
    makes: list[str]
    sends: list[SendSheet]
    held: list[str]
    not_used: list[ShelfOut]


_PlanMore = TypedDict(
    "_PlanMore",
    {
        "from": NotRequired[list[AllowedSheet]],
        "measured": NotRequired[AccountSheet],
        "learnt": NotRequired[list[LearntSheet]],
        "stock": NotRequired[ShelfSheet],
        "fill": NotRequired[list[str]],
        "routines": NotRequired[list[RoutineSheet]],
        "sites": NotRequired[list[SiteSheet]],
    },
)


class PlanSheet(_PlanMore):
    """The whole sheet; `from`, `measured`, `learnt` and `routines` only where there are such."""

    title: str
    file: str
    note: str
    serves: int | None  # of each drink; None where they differ, see those of `serve`
    written_for: int | None
    variant: str | None
    house: HouseSheet
    verdict: str
    care: list[int]
    stops: list[Stop]
    decisive: DecisiveSheet | None
    sure: SureSheet
    vessels: list[VesselSheet]
    chargers: dict[str, int]
    charger_packs: list[ChargerPack]
    shopping: list[ShoppingRow]
    cost: Money | None
    money: MoneySheet | None
    leftovers: list[Left]
    timetable: TimetableSheet | None
    items: list[ItemSheet]
    not_made: list[str]
    serve: list[ServeSheet]
    cautions: list[CautionSheet]
    standing: list[CautionSheet]
    always: AlwaysSheet
    sources: list[SourceSheet]
