"""Peel on sugar: how much peel there is, what was weighed, and the syrup that it gives."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import NamedTuple

from prepkit.calculators.oleo.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.mixture import Mixture
from prepkit.pantry import Ingredient, Pantry, Part, together
from prepkit.science import osmosis
from prepkit.shared import botanicals
from prepkit.units import Measured, parse_number, parse_quantity, split_amount

MOST_KEPT = 1.5
KEPT_RANGE = (0.20, 0.60)  # syrup held by drained peel over its mass, trade practice
_ENTRY = re.compile(r"\b(peel|undissolved|sugar left)\s+([0-9][0-9.,]*\s*[a-z]+)", re.IGNORECASE)
_BRIX = re.compile(r"([0-9][0-9.,]*\s*°?(?:bx|brix))", re.IGNORECASE)
_SHOULD = 'write for example "2 h: peel 84 g, undissolved 20 g" or "2 h: peel 84 g, syrup 62 Bx"'


class Peel(NamedTuple):
    """The peel of a batch: its mass, composition and, for citrus, the fruit that it is from."""

    mass_kg: float
    ingredient: Ingredient
    fruit: botanicals.Fruit | None
    fruits: float | None = None  # how many, where fruit was counted
    low_kg: float | None = None
    high_kg: float | None = None
    several: tuple[Peel, ...] = ()  # the peels of several fruits in one jar

    @property
    def each(self) -> tuple[Peel, ...]:
        """The peel of each fruit."""
        return self.several or (self,)

    @property
    def water(self) -> float:
        """Water in the fresh peel, mass fraction."""
        return self.ingredient.mixture.fraction("water")

    def ingredient_part(self) -> Part:
        """The peel as a part by its weight."""
        amount = Measured(1000 * self.mass_kg, "g")
        words = f"{amount.words()} {self.ingredient.name}"
        return Part(words, amount, self.ingredient, self.ingredient.mixture.scaled(self.mass_kg))

    @property
    def marks(self) -> Mixture:
        """Its allergens, hazards and keeping class, without any mass."""
        whole = self.ingredient.mixture
        return Mixture({}, whole.allergens, whole.tags, whole.keeps)


class Exchange(NamedTuple):
    """Water loss and solids gain, kg per kg of fresh peel, and where they come from."""

    water_loss: float
    solids_gain: float
    how: str
    source: str
    hours: float | None = None


class Syrup(NamedTuple):
    """What a batch gives before it is strained."""

    mixture: Mixture
    peel_after_kg: float
    water_kg: float
    sugar_in_peel_kg: float
    dissolved_kg: float
    undissolved_kg: float


def peel_of(part: Part, peeled: str) -> Peel:
    """The peel of a part: peel as weighed, or whole fruit with a way of peeling it.

    Peels of several fruits are one batch, with the water of each; each keeps its own oil.
    """
    if part.members:
        peels = tuple(peel_of(one, peeled) for one in part.members)
        whole = together(one.ingredient_part() for one in peels)
        low = high = None
        if any(one.fruits is not None for one in peels):
            low = math.fsum(one.mass_kg if one.low_kg is None else one.low_kg for one in peels)
            high = math.fsum(one.mass_kg if one.high_kg is None else one.high_kg for one in peels)
        return Peel(whole.mass_kg, whole.ingredient, None, None, low, high, peels)
    fruit = botanicals.fruit(part.ingredient.name)
    if part.ingredient.form == "liquid":
        raise BadInput(
            f'{named("peel", part.words)} is a liquid; write the peel, such as "300 g lemon peel".',
            "peel",
        )
    if botanicals.is_flesh(part.ingredient.name):
        raise BadInput(
            f"{named('peel', part.words)} is flesh without its peel; weigh the peel and write "
            "it as grapefruit peel.",
            "peel",
        )
    if fruit is None or fruit.peel == part.ingredient.name:
        return Peel(part.mass_kg, part.ingredient, fruit)
    count = part.mass_kg / fruit.whole_kg
    found = Pantry().ingredient(fruit.peel)
    if peeled == "whole peel":
        mass = count * fruit.peel_kg
        return Peel(mass, found, fruit, count, mass, mass)
    ranges = {"strips": fruit.strips_kg, "zest": fruit.zest_kg}
    if peeled not in ranges:
        raise BadInput(
            f"{named('peel', part.words)} is whole fruit: say how it is peeled, "
            f'{named("peeled", "whole peel")}, "strips" or "zest", or weigh the peel and write '
            f'"{fruit.peel}".',
            "peeled",
        )
    known = ranges[peeled]
    if known is None:
        raise BadInput(
            f"no usual weight of {peeled} of one {fruit.name} is known; weigh the peel and write "
            f'for example "100 g {fruit.peel}".',
            "peeled",
        )
    low, high = known
    return Peel(count * 0.5 * (low + high), found, fruit, count, count * low, count * high)


class Own(NamedTuple):
    """One peel's own numbers, from weighings of it alone."""

    exchange: Exchange
    kept: float | None  # share of the drained peel; None where it was not weighed


_OWN = re.compile(
    r"\s*water\s+(?P<water>[0-9][0-9.,]*)\s*[,;]\s*sugar\s+(?P<sugar>[0-9][0-9.,]*)"
    r"(?:\s*[,;]\s*kept\s+(?P<kept>[0-9][0-9.,]*)\s*%)?\s*",
    re.IGNORECASE,
)


def own_numbers(inputs: Inputs, batch: Peel) -> dict[str, Own]:
    """The own numbers by the name of the peel; BadInput for a peel that is not in the jar."""
    found: dict[str, Own] = {}
    field = named("own")
    peels = {one.ingredient.name: one for one in batch.each}
    for words in inputs.own:
        name, colon, rest = words.partition(":")
        match = _OWN.fullmatch(rest)
        if not colon or match is None:
            raise BadInput(
                f'{field} "{words}" cannot be read; write for example "lemon peel: water 0.40, '
                'sugar 0.08, kept 30 %".',
                "own",
            )
        peel = peels.get(Pantry().ingredient(name.strip(), field).name)
        if peel is None or peel.ingredient.name in found:
            why = "is given twice" if peel is not None else "is not in the jar"
            raise BadInput(
                f"{field}: {name.strip()} {why}; write it once for each of {', '.join(peels)}.",
                "own",
            )
        loss, gain = (parse_number(match[one], field)[0] for one in ("water", "sugar"))
        kept = parse_number(match["kept"], field)[0] / 100 if match["kept"] else None
        if not (0.0 < loss <= peel.water + 1e-9 and 0.0 <= gain <= 1.0):
            raise BadInput(
                f'{field} "{words}": 1 kg of {peel.ingredient.name} holds {peel.water:.3f} kg of '
                "water and takes up 1 kg of sugar at most; weigh it again.",
                "own",
            )
        if kept is not None and kept > MOST_KEPT:
            raise BadInput(
                f'{field} "{words}": drained peel keeps {100 * MOST_KEPT:g} % of its weight at '
                "most.",
                "own",
            )
        if kept is not None and inputs.kept is not None:
            raise BadInput(
                f"{field} and {named('kept')} both say what the peel keeps; give one.", "kept"
            )
        found[peel.ingredient.name] = Own(
            Exchange(loss, gain, f"own numbers of {peel.ingredient.name}", "DEFINITION"), kept
        )
    return found


def of_jar(batch: Peel, each: Callable[[Peel], Exchange], how: str, source: str) -> Exchange:
    """The exchange of all peels of a jar together, by what each of them gives and takes."""
    found = [(one.mass_kg / batch.mass_kg, each(one)) for one in batch.each]
    return Exchange(
        math.fsum(share * one.water_loss for share, one in found),
        math.fsum(share * one.solids_gain for share, one in found),
        how,
        source,
    )


def kept_share(
    inputs: Inputs, batch: Peel | None, own: Mapping[str, Own], after: Exchange | None
) -> tuple[float, float]:
    """Least and most of its own weight that the drained peel keeps: weighed, own, or practice."""
    if inputs.kept is not None:
        return (float(inputs.kept) / 100,) * 2
    if batch is None or after is None:
        return KEPT_RANGE
    ends = [0.0, 0.0]
    total = 0.0
    for one in batch.each:
        known = own.get(one.ingredient.name)
        exchange = known.exchange if known else after
        drained = one.mass_kg * max(0.0, 1 - exchange.water_loss + exchange.solids_gain)
        each = (known.kept,) * 2 if known and known.kept is not None else KEPT_RANGE
        ends = [end + drained * share for end, share in zip(ends, each, strict=True)]
        total += drained
    return (ends[0] / total, ends[1] / total) if total else KEPT_RANGE


def known_exchange(inputs: Inputs, batch: Peel | None, soluble: float) -> Exchange | None:
    """What the peel gave and took, as given or as weighed; None where neither is known."""
    if batch is None:
        return None
    if inputs.water_loss is not None and inputs.solids_gain is not None:
        if inputs.water_loss > batch.water + 1e-9:
            raise BadInput(
                f"{named('water_loss')} is {inputs.water_loss:g}; {batch.ingredient.name} holds "
                f"only {batch.water:.3f} kg of water in a kg.",
                "water_loss",
            )
        return Exchange(inputs.water_loss, inputs.solids_gain, "as given", "DEFINITION")
    own = own_numbers(inputs, batch)
    if own and all(one.ingredient.name in own for one in batch.each):
        each = "own numbers of " + " and ".join(own)
        return of_jar(batch, lambda one: own[one.ingredient.name].exchange, each, "DEFINITION")
    if not inputs.weighing or inputs.sugar is None:
        return None
    hours = float(inputs.time) if inputs.time is not None else None
    found = [
        _read_weighing(one, batch.mass_kg, inputs.sugar.mass_kg, soluble, batch.water)
        for one in inputs.weighing
    ]
    return _from_weighings(found, hours, batch.mass_kg)


def _read_weighing(
    words: str, peel_kg: float, sugar_kg: float, soluble: float, water: float
) -> Exchange:
    """Water loss and solids gain from "2 h: peel 84 g, undissolved 20 g" (or the syrup's Bx)."""
    time_words, colon, rest = words.partition(":")
    entries = {key.lower(): amount for key, amount in _ENTRY.findall(rest)}
    if not colon or "peel" not in entries:
        raise BadInput(f"{named('weighing', words)} cannot be read; {_SHOULD}.", "weighing")
    hours = float(parse_quantity(time_words, ("h",), named("weighing")))
    grams = {key: _grams(amount, words) for key, amount in entries.items()}
    left_g = grams.get("undissolved", grams.get("sugar left", 0.0))
    brix = _BRIX.search(rest)
    if brix is None and left_g <= 0.0:
        raise BadInput(
            f"{named('weighing', words)} has the peel alone, which cannot tell water out from "
            f"sugar in; add the sugar left or the syrup's Bx: {_SHOULD}.",
            "weighing",
        )
    sugar = float(parse_quantity(brix[1], ("Bx",), named("weighing"))) / 100 if brix else soluble
    _check_weights(words, 1000 * peel_kg, 1000 * sugar_kg, grams["peel"], left_g, 100 * sugar)
    loss, gain = osmosis.exchange_from_weighing(
        peel_kg, sugar_kg, grams["peel"] / 1000, left_g / 1000, sugar
    )
    if hours <= 0 or loss <= 0 or gain < -0.005 or loss > water:
        raise BadInput(
            f"{named('weighing', words)} cannot be: it gives {1000 * peel_kg * loss:.1f} g of "
            f"water lost and {1000 * peel_kg * gain:.1f} g of sugar taken up, and the peel holds "
            f"{1000 * peel_kg * water:.1f} g of water; wipe the peel, weigh all that is left, and "
            f"check the amounts that went in.",
            "weighing",
        )
    how = f"weighed after {hours:g} h"
    return Exchange(loss, max(gain, 0.0), how, "DEFINITION", hours)


def _check_weights(
    words: str, peel_g: float, sugar_g: float, drained_g: float, left_g: float, brix: float
) -> None:
    wrong = ""
    if left_g > sugar_g:
        wrong = f"{left_g:g} g of sugar are left undissolved, and only {sugar_g:g} g went in"
    elif not 0 < drained_g <= peel_g + sugar_g:
        wrong = f"the peel weighs {drained_g:g} g, and peel and sugar were {peel_g + sugar_g:g} g"
    elif not 5 <= brix <= 85:
        wrong = f"a syrup of {brix:g} Bx is outside 5 to 85 Bx"
    if wrong:
        raise BadInput(
            f"{named('weighing', words)}: {wrong}; wipe the peel, weigh again, and write for "
            'example "2 h: peel 84 g, undissolved 20 g".',
            "weighing",
        )


def _grams(words: str, whole: str) -> float:
    amount, rest = split_amount(words, named("weighing"))
    if amount.unit != "g" or rest:
        raise BadInput(
            f'{named("weighing", whole)}: "{words}" is not a weight; {_SHOULD}.', "weighing"
        )
    return float(amount)


def _from_weighings(found: list[Exchange], hours: float | None, peel_kg: float) -> Exchange:
    """One weighing as it is, or the curve through two at a time; BadInput where none fits."""
    last = max(found, key=lambda one: one.hours or 0.0)
    if hours is None or any(one.hours == hours for one in found):
        return next((one for one in found if one.hours == hours), last)
    if len(found) < 2:
        raise BadInput(
            f"one weighing at {last.hours:g} h says nothing about {hours:g} h. Add a second "
            f"{named('weighing')} at another time, or leave {named('time')} out.",
            "weighing",
        )
    first = min(found, key=lambda one: one.hours or 0.0)
    times = first.hours or 0.0, last.hours or 0.0
    loss = _curve("water lost", times, (first.water_loss, last.water_loss), peel_kg)
    gain = _curve("sugar taken up", times, (first.solids_gain, last.solids_gain), peel_kg)
    return Exchange(
        osmosis.azuara(hours, *loss),
        osmosis.azuara(hours, *gain) if gain[1] else 0.0,
        f"curve of your two weighings at {hours:g} h: {loss[1]:.3f} in the end, half of it in "
        f"{1 / loss[0]:.1f} h",
        "AZUARA",
        hours,
    )


def _curve(
    name: str, hours: tuple[float, float], shares: tuple[float, float], peel_kg: float
) -> tuple[float, float]:
    """Rate (1/h) and final value of the curve through two weighings of one quantity.

    shares: of it, kg per kg of fresh peel, at the two times.
    """
    if max(shares) < 1e-4:
        return 0.0, 0.0
    (t1, t2), (y1, y2) = hours, shares
    try:
        return osmosis.fit((t1, y1), (t2, y2))
    except BadInput as error:
        y1, y2 = 1000 * peel_kg * y1, 1000 * peel_kg * y2
        raise BadInput(
            f"{named('weighing')}: by the two of them the {name} is {y1:.1f} g at {t1:g} h and "
            f"{y2:.1f} g at {t2:g} h, which lie on no curve that rises and levels off: the later "
            f"must lie above {y1:.1f} and below {y1 * t2 / t1:.1f} g; weigh again.",
            "weighing",
        ) from error


def syrup(
    peel: Peel | None, sugar: Mixture, liquid: Mixture, exchange: Exchange | None, soluble: float
) -> Syrup:
    """The syrup of peel, sugar and the liquid added, with what stays undissolved.

    Only sucrose and water count for what dissolves. The peel's own sugars and acid are not counted.
    """
    peel_kg = peel.mass_kg if peel else 0.0
    loss, gain = (exchange.water_loss, exchange.solids_gain) if exchange else (0.0, 0.0)
    dry = osmosis.peel_balance(peel_kg, sugar.mass_kg, loss, gain, soluble)
    water_kg = dry.water_to_syrup_kg + liquid.of("water")
    room_kg = max(0.0, water_kg / osmosis.water_to_dissolve(soluble) - liquid.of("sucrose"))
    left_kg = sugar.mass_kg - dry.sugar_to_peel_kg
    dissolved_kg = min(left_kg, room_kg)
    share = dissolved_kg / sugar.mass_kg if sugar.mass_kg else 0.0
    mixture = Mixture({"water": dry.water_to_syrup_kg}) + sugar.scaled(share) + liquid
    if peel:
        mixture = mixture + peel.marks
    return Syrup(
        mixture,
        dry.peel_kg,
        dry.water_to_syrup_kg,
        dry.sugar_to_peel_kg,
        dissolved_kg,
        max(0.0, left_kg - dissolved_kg),
    )


class KeptSyrup(NamedTuple):
    """Syrup that the drained peel keeps, kg, and its +/-."""

    mass_kg: float
    error_kg: float


def kept_syrup(
    peel_after_kg: float, share: tuple[float, float], vacuum_peel_kg: float
) -> KeptSyrup:
    """By the least and the most share of the drained peel.

    A vacuum draws liquid into the peel on top of it.
    """
    low, high = share
    mean, spread = osmosis.vacuum_uptake_kg(vacuum_peel_kg)
    middle = 0.5 * (low + high) * peel_after_kg
    return KeptSyrup(middle + mean, 0.5 * (high - low) * peel_after_kg + spread)
