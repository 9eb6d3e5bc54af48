"""What parts cost: prices as they are written, and the cost of amounts."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.pantry import Pantry
from prepkit.units import parse_number, plain, without_amount

GRAMMAR = 'ingredient=money per amount, such as "rum 40 %=18 per 700 ml"'
_PER = re.compile(r"^(?P<money>.*?)\s*\bper\b\s*(?P<amount>.+)$", re.IGNORECASE)


class Price(str):
    """The words of one price, with the ingredient's own name, its money, and the kg that it buys.

    `currency` is what stands after the number, often nothing: prices are compared, not converted.
    """

    name: str
    money: float
    kg: float
    currency: str

    @classmethod
    def read(cls, words: str, pantry: Pantry, field: str = named("price")) -> Price:
        """Read "white sugar=1.20 per kg" or "lemon=0,35 EUR per piece"; BadInput otherwise.

        >>> price = Price.read("rum 40 %=18 EUR per 700 ml", Pantry())
        >>> price.name, price.money, price.currency, round(price.kg, 3)
        ('rum 40 %', 18.0, 'EUR', 0.664)
        """
        named, equals, rest = (one.strip() for one in words.partition("="))
        match = _PER.match(rest)
        if not named or not equals or match is None:
            raise BadInput(f'{field} "{words}": write it as {GRAMMAR}.', field)
        self = cls(words)
        self.money, self.currency = parse_number(match["money"], f"{field} {named}")
        if self.money < 0:
            raise BadInput(f'{field} "{words}": a price must not be negative.', field)
        amount = match["amount"].strip()
        if not amount[0].isdigit():
            amount = f"1 {amount}"
        if without_amount(f"{amount} {named}", field) != " ".join(plain(named).split()):
            raise BadInput(
                f'{field} "{words}": "{match["amount"]}" is not an amount. Write a mass, a volume '
                f"or a piece, as in {GRAMMAR}.",
                field,
            )
        part = pantry.part(f"{amount} {named}", field)
        if not part.mass_kg > 0:
            raise BadInput(f'{field} "{words}": the amount must be more than 0.', field)
        self.name, self.kg = part.name, part.mass_kg
        return self


class Cost(NamedTuple):
    """What each part costs (None: it has no price), and what is known of the whole."""

    of_part: tuple[float | None, ...]
    unpriced: tuple[str, ...]
    currency: str

    @property
    def known(self) -> float:
        """The cost of everything that has a price."""
        return math.fsum(one for one in self.of_part if one is not None)

    @property
    def whole(self) -> float | None:
        """The whole cost; None where a price is missing."""
        return None if self.unpriced else self.known


def by_part(names: Sequence[str], prices: Iterable[Price]) -> dict[str, Price]:
    """The price of each part that has one, all in one money.

    Raises BadInput for a price that fits none of the parts, two for one part, or two currencies.
    """
    by_name: dict[str, Price] = {}
    for price in prices:
        if price.name not in names:
            raise BadInput(
                f"{named('price', price)}: there is no part {price.name}; the parts are "
                f"{', '.join(names)}.",
                "price",
            )
        if price.name in by_name:
            raise BadInput(
                f"{named('price')} is given twice for {price.name}; give it once.", "price"
            )
        by_name[price.name] = price
    currencies = list(dict.fromkeys(price.currency for price in by_name.values()))
    if len(currencies) > 1:
        said = " and ".join(f'"{one}"' for one in currencies)
        raise BadInput(f"{named('price')} is in {said}; write all prices in one money.", "price")
    return by_name


def cost(parts: Sequence[tuple[str, float]], prices: Iterable[Price]) -> Cost:
    """The cost of parts, each a name and kg; BadInput for a price that fits none of them."""
    names = list(dict.fromkeys(name for name, _ in parts))
    by_name = by_part(names, prices)
    currencies = [one.currency for one in by_name.values()]
    each = tuple(
        kg * by_name[name].money / by_name[name].kg if name in by_name else None
        for name, kg in parts
    )
    unpriced = tuple(name for name in names if name not in by_name)
    return Cost(each, unpriced, currencies[0] if currencies else "")
