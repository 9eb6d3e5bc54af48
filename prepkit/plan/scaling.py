"""From what is wanted to what is made: demands worked back, weigh-outs multiplied, vessels counted.

An item is linear: so many times its own amounts. Only the filling of vessels is not, because a
vessel is filled whole or in equal shares, and never above its most.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from prepkit import derived
from prepkit.model import Answer, Inputs, Table
from prepkit.pantry import Part

_ALL = ("weigh", "weigh_out", "weigh-out")  # a table of everything that is weighed
_MORE = ("add", "additions")  # a table of what is added to the parts
_NO_NAMES = ("", "order", "step")
ASKED = "the containers"  # by whom what is asked for beside the serves is wanted
PAR = "up to par"  # by whom what only fills up the shelf is wanted
DUST = 1e-12  # relative rounding that must not cost one vessel more


class Weigh(NamedTuple):
    """One line of a weigh-out; the volume is at 20 C, where it is a liquid that can be measured."""

    name: str
    mass_g: float
    volume_ml: float | None = None
    how: str = ""

    def scaled(self, factor: float) -> Weigh:
        """`factor` times as much."""
        volume = None if self.volume_ml is None else self.volume_ml * factor
        return self._replace(mass_g=self.mass_g * factor, volume_ml=volume)


class Shelf(NamedTuple):
    """What stands in stock, by item or ingredient, and the levels to make up to; kg.

    `asked_kg` is wanted beside the serves, such as a tub of one item.
    """

    kg: Mapping[str, float] = {}
    par_kg: Mapping[str, float] = {}
    asked_kg: Mapping[str, float] = {}


NO_SHELF = Shelf()


class ForSites(NamedTuple):
    """What the sites of a production kitchen want of it, instead of serves of its own.

    `sent_kg` by site and item; `buys` is what they buy themselves, each with its site; `chargers`
    that they need, by gas.
    """

    sent_kg: Mapping[str, Mapping[str, float]]
    buys: tuple[tuple[Weigh, str], ...] = ()
    chargers: Mapping[str, int] = {}


class Demand(NamedTuple):
    """How much of an item must be made, by whom it is wanted, how many times its own amounts.

    What stock covers is not in `needed_kg`, which is what making must give after losses.
    """

    by: Mapping[str, float]  # kg by serve or item
    needed_kg: float
    lost_kg: float
    made_kg: float
    scale: float
    stock_kg: float = 0.0  # of what is wanted, from the shelf
    more_kg: float = 0.0  # made so that it is enough for sure

    @property
    def wanted_kg(self) -> float:
        """What serves and items take of it, whether it is made or stands in stock."""
        return math.fsum(kg for name, kg in self.by.items() if name != PAR)

    @property
    def left_kg(self) -> float:
        """What is left over, because less is not worth making."""
        return max(0.0, self.made_kg - self.needed_kg - self.lost_kg)


def of_part(part: Part) -> Weigh:
    """A part as a line of the weigh-out."""
    liquid = part.ingredient.form == "liquid"
    return Weigh(
        part.name, 1000 * part.mass_kg, derived.volume_ml(part.mixture) if liquid else None
    )


def weigh_outs(inputs: Inputs, answer: Answer | None) -> tuple[Weigh, ...]:
    """What an item asks to weigh, at its own amounts.

    The calculator's own table of all that is weighed where it has one (it may solve for amounts);
    else its parts, and its table of additions.
    """
    tables = answer.tables if answer is not None else ()
    for table in tables:
        if table.name in _ALL:
            return _lines(table)
    lines = [of_part(part) for part in parts(inputs)]
    for table in tables:
        if table.name in _MORE:
            lines += _lines(table)
    return tuple(lines)


def parts(inputs: Inputs) -> tuple[Part, ...]:
    """All amounts of ingredients among the inputs."""
    found: list[Part] = []
    for name, spec in type(inputs).specs().items():
        if spec.kind in ("part", "parts"):
            value = getattr(inputs, name)
            found += list(value.each) if isinstance(value, Part) else list(value or ())
    return tuple(found)


def _lines(table: Table) -> tuple[Weigh, ...]:
    """The rows of a weigh-out table: its first column of words names, its last says how."""
    texts = [
        place
        for place, column in enumerate(table.columns)
        if column.digits is None and column.label not in _NO_NAMES
    ]
    name, how = texts[0], texts[-1] if len(texts) > 1 else None
    units = {column.unit: place for place, column in reversed(list(enumerate(table.columns)))}
    found = []
    for row in table.rows:
        mass = row[units["g"]]
        volume = row[units["ml"]] if "ml" in units else None
        if isinstance(mass, int | float) and mass > 0:
            found.append(
                Weigh(
                    str(row[name]),
                    float(mass),
                    float(volume) if isinstance(volume, int | float) else None,
                    str(row[how] or "") if how is not None else "",
                )
            )
    return tuple(found)


def demands(
    order: Sequence[str],
    serve_use: Mapping[str, Mapping[str, float]],
    uses: Mapping[str, Mapping[str, float]],
    own_kg: Mapping[str, float],
    losses: Mapping[str, float],
    least_kg: Mapping[str, float],
    shelf: Shelf = NO_SHELF,
    factors: Mapping[str, float] | None = None,
) -> dict[str, Demand]:
    """What must be made of each item, worked back from the serves.

    `serve_use`: kg of each item by serve, for all serves together. `uses`: kg of other items that
    an item takes at its own amounts. `own_kg`: what it makes of them; an item that makes nothing
    (a check) asks for nothing. `losses`: share of what is made that is lost. `least_kg`: the
    smallest batch, where there is one. `shelf`: what stands in stock is used first, and made up to
    the par. `factors`: how many times what is needed is made, so that it is enough for sure.

    >>> found = demands(["a"], {"x": {"a": 3.0}}, {"a": {}}, {"a": 1.0}, {"a": 0.5}, {},
    ...                 Shelf({"a": 2.0}, {"a": 0.25}))
    >>> found["a"].stock_kg, found["a"].needed_kg, found["a"].made_kg
    (2.0, 1.25, 2.5)
    """
    wanted: dict[str, dict[str, float]] = {id_: {} for id_ in order}
    for serve, takes in serve_use.items():
        for id_, kg in takes.items():
            wanted[id_][serve] = wanted[id_].get(serve, 0.0) + kg
    for id_, kg in shelf.asked_kg.items():
        wanted[id_][ASKED] = kg
    found: dict[str, Demand] = {}
    for id_ in reversed(order):
        needed, stock = math.fsum(wanted[id_].values()), 0.0
        if id_ in shelf.kg or id_ in shelf.par_kg:
            have, par = shelf.kg.get(id_, 0.0), shelf.par_kg.get(id_, 0.0)
            stock = min(needed, have)
            up = max(0.0, par - (have - stock))
            if up > 0:
                wanted[id_][PAR] = up
            rest = needed - stock + up
            needed = rest if rest > 1e-9 * (needed + par) else 0.0
        just = needed / (1.0 - losses[id_])
        made = just * (factors or {}).get(id_, 1.0)
        if needed > 0:
            least = least_kg.get(id_, 0.0)
            made, just = max(made, least), max(just, least)
        scale = made / own_kg[id_] if own_kg[id_] > 0 else 0.0
        lost = needed * losses[id_] / (1.0 - losses[id_])
        found[id_] = Demand(wanted[id_], needed, lost, made, scale, stock, made - just)
        if scale > 0:
            for used, kg in uses[id_].items():
                wanted[used][id_] = wanted[used].get(id_, 0.0) + kg * scale
    return found


def fills(volume_ml: float, most_ml: float) -> int:
    """How many whole vessels a volume fills, none above its most.

    >>> fills(1000.0, 500.0), fills(1000.1, 500.0), fills(80.0, 500.0)
    (2, 3, 1)
    """
    return max(1, math.ceil(volume_ml / most_ml * (1.0 - DUST)))
