"""How sweet and how sour a mixture is beside sucrose and citric acid, with the steps for it."""

from __future__ import annotations

from typing import NamedTuple

from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import taste


class Tasted(NamedTuple):
    """Sweetness as sucrose, acid to pH 4.4 as citric, both % w/w; None where 0. None without its ±.

    No figure of taste is better than a fifth for one person.
    """

    sweetness: float | None
    plus_minus: float
    sourness: float | None
    temperature_c: float

    @property
    def errors(self) -> dict[str, float]:
        """The stated error of what is shown."""
        known = {"sweetness": self.sweetness, "sourness": self.sourness}
        found = {name: taste.PERSON_ERROR * one for name, one in known.items() if one}
        if "sweetness" in found:
            found["sweetness"] = max(found["sweetness"], self.plus_minus)
        return found

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
    """What may stand for 10 g of citric acid: from the lowest to the highest of four rules."""
    rows = tuple(
        (f"{one.acid} acid", *(10 * end for end in one.range), 10 * one.moles, 10 * one.sour,
         10 * one.titrated, None if one.chart is None else 10 * one.chart)
        for one in taste.swaps()
        if one.acid not in ("acetic", "ascorbic")
    )  # fmt: skip
    columns = (
        Column("acid"), Column("from", "g", 1), Column("to", "g", 1),
        Column("by moles", "g", 1), Column("by base to pH 4.4", "g", 1),
        Column("by titratable acidity", "g", 1), Column("by a maker's chart", "g", 1),
    )  # fmt: skip
    title = "as sour as 10 g of citric acid, in this range by rules that disagree: taste"
    return Table("swap", title, columns, rows)
