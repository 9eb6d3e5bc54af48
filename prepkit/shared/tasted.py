"""How sweet and how sour a mixture is beside sucrose and citric acid, with the steps for it."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import taste


class Tasted(NamedTuple):
    """Sweetness as sucrose with its error, acid to pH 4.4 as citric, both % w/w; None where 0."""

    sweetness: float | None
    plus_minus: float
    sourness: float | None
    temperature_c: float

    @property
    def errors(self) -> dict[str, float]:
        """The stated error of what is shown."""
        return {"sweetness": self.plus_minus} if self.sweetness and self.plus_minus else {}

    @property
    def steps(self) -> tuple[Step, ...]:
        """What the two rest on."""
        found = []
        if self.sweetness:
            found.append(
                Step("sweetness", "each sugar by its sweetness beside sucrose, fructose at "
                     f"{self.temperature_c:g} °C", self.sweetness, "% w/w", "FRUCTOSE-SWEETNESS")
            )  # fmt: skip
        if self.sourness:
            found.append(
                Step("acid to pH 4.4", "protons to pH 4.4 less minerals, as citric acid: it ranks "
                     "acids as tongues do", self.sourness, "% w/w", "SOUR-TITRATION")
            )  # fmt: skip
        return tuple(found)


def of(mixture: Mixture, temperature_c: float) -> Tasted:
    """A mixture at the temperature at which it is drunk, held within 0 and 60 C."""
    at_c = min(max(temperature_c, taste.SWEET_LOW_C), taste.SWEET_HIGH_C)
    sweet = mixture.sweetness_at(at_c)
    return Tasted(
        100 * sweet.value or None, 100 * sweet.plus_minus, 100 * mixture.sour_as_citric or None,
        at_c,
    )  # fmt: skip


def swap_table() -> Table:
    """What stands for 10 g of citric acid, by three measures that do not agree."""
    rows = tuple(
        (f"{one.acid} acid", 10 * one.sour, 10 * one.titrated,
         None if one.chart is None else 10 * one.chart)
        for one in taste.swaps()
        if one.acid not in ("acetic", "ascorbic")
    )  # fmt: skip
    columns = (
        Column("acid"), Column("as sour, by base to pH 4.4", "g", 1),
        Column("same titratable acidity", "g", 1), Column("as sour, by a maker's chart", "g", 1),
    )  # fmt: skip
    return Table("swap", "for 10 g of citric acid: start from these and taste", columns, rows)
