"""What tax is in the prices of a house: in those that it sells at and in those of its packs."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from prepkit.plan.fields import Reader
    from prepkit.plan.house_file import TaxTable

WITH, WITHOUT = "with tax", "without tax"


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
