"""In words: how sure it is that nothing runs short, and what is made more for it."""

from __future__ import annotations

import math

from prepkit.render.amounts import UNITS, amount, listed
from prepkit.sheet import PlanSheet

_SEEN = 0.5  # per cent more, below which it is not worth a word
_MOST = 3  # items that are named on the first page


def sure_words(said: PlanSheet) -> str:
    """One sentence of what is made more; empty where that is nothing to speak of.

    >>> sure_words({"sure": {"percent": 95, "more": [{"item": "a", "g": 9.0, "percent": 6.2}],
    ...                      "unsure": [], "unstated": []}})
    'Made 6 % more a so that it is enough on 95 nights of 100.'
    """
    more = sorted(_worth(said), key=lambda one: -one[1])
    told = [f"{percent:.0f} % more {item}" for item, percent in more[:_MOST]]
    if len(more) > _MOST:
        rest = len(more) - _MOST
        told.append(f"more of {rest} other{'s' * (rest > 1)}")
    unsure = said["sure"]["unsure"]
    found = []
    if told:
        nights = _nights(said["sure"]["percent"])
        found.append(f"Made {listed(told)} so that it is enough on {nights}.")
    if unsure:
        found.append(f"Not sure to be enough: {listed(unsure)}. Make it first and weigh it.")
    return " ".join(found)


def sure_lines(said: PlanSheet, system: str) -> list[str]:
    """The same with the amounts, and whose loss was taken as exact."""
    g, _ = UNITS[system]
    worth = {item for item, _ in _worth(said)}
    each = [
        f"{amount(one['g'], 'g', system)} {g} {one['item']}"
        for one in said["sure"]["more"]
        if one["item"] in worth
    ]
    found = [line for line in (sure_words(said),) if line]
    if each:
        found[0] += f" That is {listed(each)}."
    if said["sure"]["unstated"]:
        found.append(
            f"Loss taken as exact, because it has no ±: {listed(said['sure']['unstated'])}. Write "
            f'it with one, such as loss = "4 % ± 2 %".'
        )
    return found


def _worth(said: PlanSheet) -> list[tuple[str, float]]:
    """The items of which more is made, by name and per cent."""
    return [
        (one["item"], one["percent"]) for one in said["sure"]["more"] if one["percent"] >= _SEEN
    ]


def _nights(percent: float) -> str:
    """A chance as nights that go well, never more of them than it says.

    >>> _nights(95.0), _nights(99.5), _nights(97.58)
    ('95 nights of 100', '995 nights of 1000', '975 nights of 1000')
    """
    whole = percent == round(percent)
    if whole:
        return f"{percent:.0f} nights of 100"
    return f"{math.floor(round(10 * percent, 6))} nights of 1000"
