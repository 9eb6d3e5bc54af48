"""The sheet of a plan: what the plan hands to the renderers, key by key as its JSON has it.

A key that is not here fails the type checker. Masses are in g, volumes in ml at 20 C, times in
minutes. What must not be made has no amounts: such an item or serve ends with its reasons.

Its items and its measured batches have sheets of their own.
"""

from typing import Any, Literal, NotRequired, TypedDict

# annotations are read at once here: as texts they would be compiled one by one at each start

# ---- sheets of one item of a plan ----

# the words "not", "for" and "from" are keys of the JSON and of Python
Stop = TypedDict(
    "Stop", {"of": str, "not": str, "id": str, "text": str, "action": str, "more": str}
)

AsTold = dict[str, Any]  # Any: words, numbers and lists of them, as a calculator has them


class Reason(TypedDict):
    """Why an item must not be made."""

    id: str
    text: str
    action: str
    more: str


class Told(TypedDict):
    """The words of a caution, and of which items and serves they are true."""

    text: str
    action: str
    more: str
    of: list[str]


class CautionSheet(TypedDict):
    """A caution of the evening; `number` is its place on the wall."""

    id: str
    kind: str
    severity: str
    standing: bool
    source: str
    said: list[Told]
    per_serve: bool
    of: list[str]
    number: NotRequired[int | None]


class BenchSheet(TypedDict):
    """What an instrument of the bench is off by."""

    value: float
    unit: str


class HouseSheet(TypedDict):
    """What the house's file says."""

    files: list[str]
    facts: dict[str, str]
    currency: str
    units: str | None
    bench: dict[str, BenchSheet]


class ValueSheet(TypedDict):
    """A value with its ± and the digits that it is shown with."""

    name: str
    label: str
    value: float
    unit: str
    plus_minus: float | None
    digits: int
    non_linear: NotRequired[bool]
    limit: NotRequired[Literal["most", "least"]]  # that may be, so that it is never shown milder


class Weighed(TypedDict):
    """A weighing, by its item and what is weighed."""

    item: str
    name: str


class ReadingSheet(ValueSheet):
    """What an instrument will show; `by` is the weighing that does most to it."""

    weighing: float | None
    instrument: float | None
    tolerance: float | None
    by: Weighed | None


class ItemValue(ValueSheet):
    """Another value of an item's calculator."""

    of_batch: bool
    tolerance: float | None


class StockSheet(TypedDict):
    """A solution that is weighed in place of a solid that is too little for the scale.

    `less_water_g` is the water that it brings along, which the item is short of then.
    """

    percent: float
    solid_g: float
    water_g: float
    take_g: float
    less_water_g: float


class HandSheet(TypedDict):
    """A weighing as a scale of the house shows it: whole steps.

    `too_few`: it is under ten steps; `batch_g` is the smallest batch of the item of which it is
    ten. `finer_than_scale`: the ± that is asked of it is under half a step.
    """

    g: float
    step_g: float
    steps: int
    scale: str
    too_few: bool
    batch_g: float | None
    finer_than_scale: bool
    stock: StockSheet | None


class LineSheet(TypedDict):
    """A line of a weigh-out; `hand` is None where the house names no scale for it."""

    name: str
    g: float
    ml: float | None
    drops: float | None
    how: str
    plus_minus_g: float | None
    hand: HandSheet | None


class FillingSheet(TypedDict):
    """How an item goes into vessels.

    `each_hand_g` is what one gets, rounded down to a step of the scale, `each_step_g`. `loads` are
    those of all items that keep the same vessels, `others` the other items, and `rounds` how often
    the vessels are filled for all of them.
    """

    vessel: str
    house_has: int | None
    fills: int
    each_g: float
    each_hand_g: float | None
    each_step_g: float | None
    each_ml: float | None
    most_ml: float | None
    gas: str | None
    chargers_each: int | None
    chargers: int | None
    rounds: int
    loads: int
    others: list[str]


class VesselSheet(FillingSheet):
    """The vessels of an item."""

    item: str


class KeepsSheet(TypedDict):
    """How long it may be kept by the strictest rule; `habit` where that rule is trade habit.

    `days` count from its oldest part, that day being day 1; None where the rules know no date, and
    where they ask for none (`exempt`).
    """

    days: int | None
    exempt: bool
    habit: bool
    why: str
    source: str


class StepSheet(TypedDict):
    """A step as the recipe has it."""

    text: str
    takes_min: float
    hands_on_min: float
    each_vessel: bool


class GoesTo(TypedDict):
    """Where so much of an item goes."""

    name: str
    g: float


class ItemSheet(TypedDict):
    """An item of the evening; without amounts where it must not be made or is held.

    `deciding` is the figure that its verdict rests on, and empty where that is not known.
    """

    id: str
    calculator: str
    family: str
    note: str
    verdict: str
    deciding: str
    held_by: list[str]
    stops: list[Reason]
    cautions: list[int]
    steps: list[StepSheet]
    makes: bool
    check: bool
    scale: NotRequired[float | None]
    weigh: NotRequired[list[LineSheet]]
    made_g: NotRequired[float | None]
    made_g_plus_minus: NotRequired[float | None]
    made_ml: NotRequired[float | None]
    needed_g: NotRequired[float]
    lost_g: NotRequired[float]
    left_g: NotRequired[float]
    more_g: NotRequired[float]
    goes_to: NotRequired[list[GoesTo]]
    as_measured: NotRequired[bool]
    keeps: NotRequired[KeepsSheet | None]
    filling: NotRequired[FillingSheet | None]
    readings: NotRequired[list[ReadingSheet]]
    not_shown: NotRequired[dict[str, str]]
    values: NotRequired[list[ItemValue]]
    tables: NotRequired[list[AsTold]]
    working: NotRequired[list[AsTold]]


class RoutineCaution(TypedDict):
    """A stop or a warning of a routine, with the drinks that it is of."""

    id: str
    severity: str
    text: str
    action: str
    more: str
    of: list[str]


class WindowSheet(TypedDict):
    """Minutes from the glass in which a drink is as it is wanted; empty where there are none.

    `ends` is what leaves its band first, `unmet` why there is no window.
    """

    sure_min: list[float]
    likely_min: list[float]
    ends: str
    unmet: str


class RoutineDrinkSheet(TypedDict):
    """A drink of a routine beside its window.

    Each sip: the least, the likely ones of the soonest and the latest glass, and the most.
    """

    name: str
    serves: int
    verdict: str
    allergens: list[str]
    window: WindowSheet | None
    first_sip_min: list[float]
    last_sip_min: list[float]
    inside: Literal["sure", "likely", "out", ""]
    words: str


class RoutineStepSheet(TypedDict):
    """A step at its likely time, and when it ends at the earliest and latest; s from the start.

    `glasses` are the first and last glass that it is done for, `people` the pairs of hands.
    """

    text: str
    drinks: list[str]
    glasses: list[int]
    people: list[int]
    start_s: float
    end_s: float
    earliest_s: float
    latest_s: float
    critical: bool


class RoutineSheet(TypedDict):
    """A routine: whether it is in time, and each drink beside its window.

    `end_s` is when it is done: earliest, likely, latest. There are no times beside a stop.
    """

    name: str
    file: str
    verdict: str
    hands: int
    clock_s: float | None
    in_time: str
    headline: str
    critical: str
    more_hands: str
    end_s: list[float]
    cautions: list[RoutineCaution]
    drinks: list[RoutineDrinkSheet]
    steps: list[RoutineStepSheet]


# ---- sheets of measured batches ----


class DriftSheet(TypedDict):
    """One reading beside what was expected of it."""

    item: str
    what: str
    label: str
    unit: str
    digits: int
    expected: float
    tolerance: float | None
    may_be_off: float
    measured: float
    written: str
    off: float
    beyond: bool


class AccountCaution(TypedDict):
    """A caution that follows from a reading."""

    item: str
    id: str
    kind: str
    severity: str
    text: str
    action: str
    source: str


class AddSheet(TypedDict):
    """What a correction adds."""

    name: str
    g: float
    ml: float | None


class CorrectionCaution(TypedDict):
    """What a correction asks to be careful with."""

    id: str
    severity: str
    text: str
    action: str
    source: str


class CorrectionSheet(TypedDict):
    """What sets an item right, or why nothing does (`refused`); then it becomes nothing."""

    item: str
    mass_g: float
    verdict: str
    refused: str | None
    add: list[AddSheet]
    becomes_g: NotRequired[float]
    becomes_abv: NotRequired[float | None]
    inputs: NotRequired[AsTold]
    cautions: NotRequired[list[CorrectionCaution]]


class PhSheet(TypedDict):
    """What becomes of a measured pH."""

    item: str
    measured: float
    off: float
    given_to: list[str]
    titrate: bool


class ShortDrink(TypedDict):
    """How many of a drink an item is enough for, of those that are planned."""

    name: str
    planned: int
    serves: int


class ShortSheet(TypedDict):
    """An item of which less was made than is needed: what is to be made more, or served less.

    `serves` is that of the drink of which most are planned; `drinks` are all that it goes into.
    """

    item: str
    have_g: float
    needed_g: float
    more_g: float
    serves: int
    drinks: list[ShortDrink]


class ChangedLine(TypedDict):
    """A weighing that changes."""

    name: str
    before_g: float
    after_g: float


class ChangedReading(TypedDict):
    """A reading that changes."""

    label: str
    unit: str
    digits: int
    before: float
    after: float


class ChangedItem(TypedDict):
    """What is weighed or read differently after what drifted."""

    item: str
    lines: list[ChangedLine]
    readings: list[ChangedReading]
    verdict: str
    held_by: list[str]


class AccountSheet(TypedDict):
    """The account of the readings."""

    file: str
    verdict: str
    readings: list[DriftSheet]
    beyond: list[str]
    cautions: list[AccountCaution]
    ph: list[PhSheet]
    unstated: list[str]
    corrections: list[CorrectionSheet]
    short: list[ShortSheet]
    downstream: list[ChangedItem]
    unread: list[str]  # the items of which something was typed that cannot be used


# ---- the sheet of a plan ----

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
