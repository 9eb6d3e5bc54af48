"""What a house file says of cups, shots and bottles."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple, Protocol

from prepkit.errors import BadInput
from prepkit.file_values import shown
from prepkit.measures import SIZES, SYSTEMS, Measures
from prepkit.plan.fields import Reader, Table
from prepkit.units import split_amount

KEYS = ("measures", "sizes")
SIZE_KEYS = (*SIZES, "case")
LEAST_ML, MOST_ML = {"bottle": 20.0}, {"bottle": 5000.0}  # of what is called a bottle
_SMALLEST_ML, _LARGEST_ML = 1.0, 500.0  # of the others
MOST_IN_CASE = 100
LARGEST_BOTTLE_ML = 3000.0  # a larger pack in the price list is a canister, and no bottle


class Pack(Protocol):
    """What a price says of a pack."""

    @property
    def ingredient(self) -> str: ...
    @property
    def pack(self) -> str: ...


def read_measures(reader: Reader, where: str, table: Table) -> Measures:
    """The system and the sizes of one table."""

    def place(key: str) -> str:
        return f"{where}.{key}".lstrip(".")

    system = ""
    if "measures" in table:
        system = reader.take("", reader.words_in, place("measures"), table["measures"], SYSTEMS)
    sizes = reader.take(_NONE, _sizes, reader, place("sizes"), table.get("sizes", {}))
    return Measures(system, sizes.ml, sizes.case)


class _Sizes(NamedTuple):
    ml: dict[str, float]
    case: int | None


_NONE = _Sizes({}, None)


def _sizes(reader: Reader, where: str, table: object) -> _Sizes:
    if not isinstance(table, dict):
        raise reader.wrong(where, f"it is {shown(table)}; write a table, [{where}].")
    reader.only(where, table, SIZE_KEYS)
    found = {}
    for key in SIZES:
        if key in table:
            size = reader.take(None, _size, reader, f"{where}.{key}", key, table[key])
            if size is not None:
                found[key] = size
    case = None
    if "case" in table:
        case = reader.take(None, reader.whole, f"{where}.case", table["case"], MOST_IN_CASE)
    return _Sizes(found, case)


def _size(reader: Reader, where: str, key: str, value: object) -> float:
    size = float(reader.quantity(where, value, "ml"))
    low, high = LEAST_ML.get(key, _SMALLEST_ML), MOST_ML.get(key, _LARGEST_ML)
    if not low <= size <= high:
        raise reader.wrong(where, f"it is {size:g} ml; it must be between {low:g} and {high:g} ml.")
    return size


def bottles(prices: Iterable[Pack]) -> Measures:
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
