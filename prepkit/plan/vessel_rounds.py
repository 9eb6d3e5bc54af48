"""Vessels that the house has too few of: how many loads are ready together, in how many rounds.

What another item is made from is emptied into that, and its vessels are free again at once. What
is served from the vessel keeps it: items that want the same vessels at service share them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from prepkit.plan.made import Made, Planned


class Rounds(NamedTuple):
    """The loads of one item that are ready together, and its vessel over all items that want it.

    `loads` are those of all of them; `others` are the other items.
    """

    at_once: int
    rounds: int = 1
    loads: int = 0
    others: tuple[str, ...] = ()


def vessel_rounds(plan: Planned) -> dict[str, Rounds]:
    """The rounds of each item that goes into vessels and may be made."""
    made = {one.item.id: one for one in plan.made if one.filling and one.go}
    emptied = {used for one in plan.made if one.go for used in plan.prepared.uses[one.item.id]}
    kept: dict[str, list[Made]] = {}
    for id_, one in made.items():
        if id_ not in emptied and one.filling is not None:
            kept.setdefault(one.filling.vessel.id, []).append(one)
    found: dict[str, Rounds] = {}
    for id_, one in made.items():
        assert one.filling is not None
        has, fills = one.filling.vessel.count, one.filling.count
        if id_ in emptied or has is None:
            rounds = 1 if has is None else math.ceil(fills / has)
            found[id_] = Rounds(fills, rounds, fills)
    for of in kept.values():
        found |= _shared(of)
    return {id_: found[id_] for id_ in made}


def _shared(of: list[Made]) -> Mapping[str, Rounds]:
    """The vessels of one kind among the items that keep them: each its part, one at least."""
    fills = {one.item.id: one.filling.count for one in of if one.filling is not None}
    has = next((one.filling.vessel.count for one in of if one.filling is not None), None)
    if has is None:
        return {}
    loads = sum(fills.values())
    at_once = dict.fromkeys(fills, 0)
    for _ in range(min(has, loads)):  # the next vessel goes where the smallest part is ready
        first = min(fills, key=lambda id_: (at_once[id_] / fills[id_], -fills[id_]))
        at_once[first] += 1
    rounds = math.ceil(loads / has)
    return {
        id_: Rounds(at_once[id_], rounds, loads, tuple(one for one in fills if one != id_))
        for id_ in fills
    }
