"""Enough for sure: how much more is made of an item so that the evening does not run short.

What an item yields is off by what its calculator states of it and by the ± of its loss on the way.
A ± is 1.73 standard deviations (`tolerance`). An item is made once for all that share it, so that
it counts once; its users weigh what they take, so that a good yield of one does not make up for a
poor one of another. Whatever ties their yields together, the chance that any of them runs short is
at most the sum of the chances that each does: each gets an equal part of it. The bound is
one-sided, and by Student's t where the scatter is learnt from few batches. Steps of the scale are
left out: what a scale shows is topped up at once.

Source: practice: what is needed over one less an upper bound of the loss. That chances of misses
add up at most is Boole's inequality, memory.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from prepkit.errors import BadInput, named
from prepkit.model import Answer
from prepkit.numbers import parse_number
from prepkit.plan.fields import LEAST_SURE, MOST_SURE
from prepkit.plan.learnt import LearntLoss
from prepkit.plan.recipe_types import Item
from prepkit.science.student import normal_quantile, t_quantile

SURE = 0.95  # the chance that a plan covers its serves, unless another is asked for
_DEVIATIONS = math.sqrt(3.0)  # of a ±, any figure between its ends as likely as the next
_WIDEST = 0.5  # of the yield: beyond it no amount is made for sure, and that is said
_UPPER = 0.95  # the chance that the next batch loses no more than the upper end of a learnt loss


def chance_said(words: str | None, field: str = "sure", house: float | None = None) -> float:
    """A chance in per cent, such as "95" or "99 %", as a share.

    Where None is said it is that of the `house`, else SURE.

    50 asks for no more than what is worked out. Raises BadInput outside 50 to 99.9 %.

    >>> chance_said("99 %"), chance_said(None)
    (0.99, 0.95)
    """
    if words is None:
        return SURE if house is None else house
    number, rest = parse_number(words, named(field))
    chance = number / 100
    if rest not in ("", "%") or not LEAST_SURE <= chance <= MOST_SURE:
        raise BadInput(
            f'{named(field)} is "{words}"; write the chance that it is enough, from '
            f"{100 * LEAST_SURE:g} to {100 * MOST_SURE:g} %, such as {100 * SURE:g}.",
            field,
        )
    return chance


class Deviation(NamedTuple):
    """One standard deviation of a yield as a share of it, and how well that itself is known.

    `degrees` are those of Student's t; infinite where the deviation is stated and not learnt.
    """

    share: float
    degrees: float = math.inf

    def upper(self, chance: float) -> float:
        """What a yield falls short by, as a share of it, no oftener than told; 0.5 to below 1."""
        if self.degrees == math.inf:
            return normal_quantile(chance) * self.share
        return t_quantile(chance, self.degrees) * self.share


def yield_deviation(item: Item, answer: Answer | None, learnt: LearntLoss | None) -> Deviation:
    """How far what an item yields for use may be off."""
    mass = None if answer is None else answer.values.get("mass")
    made = 0.0
    if mass is not None and mass.unit == "g" and mass.plus_minus and mass.value > 0:
        made = mass.plus_minus / mass.value / _DEVIATIONS
    lost, degrees = item.loss_off / _DEVIATIONS, math.inf
    if learnt is not None and learnt.used and learnt.field == "loss":
        own = 0.01 * (learnt.upper - learnt.middle) / t_quantile(_UPPER, learnt.degrees)
        lost, degrees = max(lost, own), learnt.degrees
    return Deviation(math.hypot(made, lost / (1.0 - item.loss)), degrees)


class Sure(NamedTuple):
    """What is made more of each item, as a factor; `unsure` are those that no factor covers."""

    chance: float
    factors: Mapping[str, float] = {}
    unsure: tuple[str, ...] = ()


def sure(chance: float, deviations: Mapping[str, Deviation]) -> Sure:
    """The factors for a chance that none of the items runs short.

    `deviations` are those of the items that are needed. A yield that may be half away is not
    covered by any factor.

    >>> round(sure(0.95, {"a": Deviation(0.03)}).factors["a"], 4)
    1.0519
    """
    spread = {id_: one for id_, one in deviations.items() if one.share > 0.0}
    if chance <= LEAST_SURE or not spread:
        return Sure(chance)
    each = 1.0 - (1.0 - chance) / len(spread)
    short = {id_: one.upper(each) for id_, one in spread.items()}
    return Sure(
        chance,
        {id_: 1.0 / (1.0 - one) for id_, one in short.items() if one <= _WIDEST},
        tuple(id_ for id_, one in short.items() if one > _WIDEST),
    )
