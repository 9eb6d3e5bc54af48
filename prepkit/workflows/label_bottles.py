"""A label for each bottle that a batch is filled into, with its number; one for each site."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from prepkit.errors import BadInput
from prepkit.label import Label, NoLabel
from prepkit.plan.house_stock import HouseStock
from prepkit.render.plan_menu import sends
from prepkit.sheet import PlanSheet
from prepkit.stock.bottles import container_of, divide


def of_each(
    labels: Sequence[Label | NoLabel],
    into: str,
    house: HouseStock,
    first: int,
    *,
    frozen: bool = False,
    charged: bool = False,
) -> list[Label | NoLabel]:
    """The labels of each batch divided over containers; what must not be made keeps its one.

    Raises BadInput for a container that the house has not named, for one whose headspace must be
    known and is not, and for a batch that has no volume.
    """
    kinds = [container_of(name, house.containers) for name in into.split(",") if name.strip()]
    found: list[Label | NoLabel] = []
    for label in labels:
        if isinstance(label, NoLabel):
            found.append(label)
            continue
        if label.ml is None:
            raise BadInput(f"{label.name} has no volume, so it cannot be divided.", "into")
        gas = label.charged or ("filled under gas" if charged else "")
        fills = divide(label.ml, kinds, frozen=frozen, charged=bool(gas)).fills
        last = first + len(fills) - 1
        for number, one in enumerate(fills, first):
            share = one.ml / label.ml
            of = f"{number} of {last}" if first == 1 else f"{number}"
            found.append(
                replace(
                    label,
                    charged=gas,
                    name=f"{label.name}, {one.container.name} {of}",
                    g=label.g * share,
                    ml=one.ml,
                    contents=tuple(replace(part, g=part.g * share) for part in label.contents),
                    bottle=f"{one.container.name} {of}",
                )
            )
    return found


def of_sites(labels: Sequence[Label | NoLabel], sheet: PlanSheet) -> list[Label | NoLabel]:
    """The labels of a production kitchen: of each item one for each site that it is sent to.

    What stays in the kitchen, and what must not be made, keeps its one.
    """
    found: list[Label | NoLabel] = []
    wanted = sends(sheet)
    for label in labels:
        to = wanted.get(label.item, {})
        if isinstance(label, NoLabel) or not to:
            found.append(label)
            continue
        for site, g in to.items():
            share = g / label.g
            found.append(
                replace(
                    label,
                    name=f"{label.name}, {site}",
                    g=g,
                    ml=None if label.ml is None else label.ml * share,
                    contents=tuple(replace(part, g=part.g * share) for part in label.contents),
                )
            )
    return found
