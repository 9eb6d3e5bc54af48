"""A batch as it was measured, and the least that may be added to bring it to its targets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from math import hypot
from typing import NamedTuple

from prepkit.calculators.correct.inputs import Inputs
from prepkit.calculators.reading import drink
from prepkit.errors import BadInput, BadQuantity, named
from prepkit.mixture import Mixture
from prepkit.pantry import Ingredient, Pantry, Part, require_batch
from prepkit.science import solution
from prepkit.shared import acidity, instruments, targets
from prepkit.shared.instruments import Acid, Fractions
from prepkit.shared.targets import Addition, Target
from prepkit.units import SPREAD, Measured, split_amount

NO_NAME = "no name"
_PASSES = 20
BENCH_C = 20.0  # where acid that does not dissolve is refused


def batch_of_any_name(words: str, pantry: Pantry) -> Part:
    """A batch by its amount; its name may be anything."""
    amount, name = split_amount(words, named("batch"), pantry.measures)
    if amount.unit != "piece" and SPREAD.search(name):  # the +/- stands after the name
        amount, name = _spread_after_name(words, amount, name)
    if amount.plus_minus > float(amount):
        raise BadInput(
            f"{named('batch', f'{words}')}: the ± is more than the amount itself; weigh the batch.",
            "batch",
        )
    if amount.unit == "piece":
        raise BadQuantity(
            f"{named('batch', f'{words}')} has no unit; write it in g, kg, ml or l.", "batch"
        )
    try:
        known = pantry.ingredient(name, named("batch"))
    except BadInput:
        known = Ingredient(name or NO_NAME, "", "liquid", targets.WATER, "", "")
    require_batch(float(amount) / 1000.0, words.strip(), named("batch"))
    return Part(words.strip(), amount, known, known.mixture.scaled(float(amount) / 1000.0))


def _spread_after_name(words: str, amount: Measured, name: str) -> tuple[Measured, str]:
    """The amount with the ± that was written last: "2 kg cordial ± 0.2 kg"."""
    name, spread = (one.strip() for one in SPREAD.split(name, maxsplit=1))
    if amount.plus_minus or SPREAD.search(spread):
        raise BadInput(f"{named('batch', f'{words}')} has more than one ±; write it once.", "batch")
    if name.endswith("%") or name.lower().endswith(("% vol", "proof")):
        raise BadInput(
            f"{named('batch', f'{words}')}: a strength takes no ±; write the ± of the amount next "
            "to it, "
            f"such as 2 kg ± 20 g.",
            "batch",
        )
    try:
        moved, rest = split_amount(f"{float(amount)!r} {amount.unit} ± {spread}", named("batch"))
    except BadInput:
        rest = spread
    if rest:
        raise BadInput(
            f"{named('batch', f'{words}')}: write the ± as a number with a unit of the amount, or "
            "in %.",
            "batch",
        )
    return moved, name


class Batch(NamedTuple):
    """What 1 kg of the batch holds, with the stated errors of solids (% w/w) and strength (% vol).

    `at_20` is the refractometer reading at 20 C, None where solids were given; `both` whether two
    readings told the strength.
    """

    mix: Fractions
    solids_error: float
    abv_error: float
    at_20: float | None
    both: bool

    def mixture(self, more_sugar: float = 0.0, more_abv: float = 0.0) -> Mixture:
        """1 kg of it; with sugar (by mass) and strength moved, to see what an error does."""
        acid = self.mix["citric"]
        sugar = max(self.mix["sucrose"] + more_sugar, 0.0)
        if more_sugar or more_abv:
            abv = max(instruments.abv_of(self.mix) + more_abv, 0.0)
            return Mixture(_masses(instruments.composition(sugar, abv, Acid("citric", acid))))
        return Mixture(_masses(self.mix))


def _masses(mix: Fractions) -> dict[str, float]:
    held = {name: value for name, value in mix.items() if value > 0.0}
    return held | {"water": 1.0 - math.fsum(held.values())}


def measured(inputs: Inputs) -> Batch:
    """The batch from what was measured of it."""
    _check(inputs)
    level = 0.0 if inputs.acidity is None else float(inputs.acidity)
    by_volume = inputs.acidity is not None and inputs.acidity.unit == "g/l"
    wanted = level if by_volume else level / 100.0
    acid = Acid("citric", wanted, by_volume)
    found = _read(inputs, acid)
    for _ in range(_PASSES if wanted else 0):  # a titration ends a little short of all the acid
        mixture = found.mixture()
        density = mixture.density_kg_m3(20.0) if by_volume else 1.0
        shown = mixture.acidity_as_citric * density
        acid = Acid("citric", acid.level * wanted / shown if shown else wanted, by_volume)
        found = _read(inputs, acid)
        if abs(shown - wanted) < 1e-13 * wanted:
            break
    return found


def _check(inputs: Inputs) -> None:
    both = inputs.refractometer is not None and inputs.hydrometer is not None
    if inputs.brix is not None and inputs.refractometer is not None:
        raise BadInput(
            f"{named('brix')} is true solids and {named('refractometer')} a reading; give one of "
            "them.",
            "brix",
        )
    if inputs.brix is not None and inputs.hydrometer is not None:
        raise BadInput(
            f"{named('brix')} is true solids; with {named('hydrometer')} give "
            f"{named('refractometer')} or {named('abv')} instead.",
            "brix",
        )
    if inputs.brix is None and inputs.refractometer is None and inputs.hydrometer is None:
        raise BadInput(
            f"correct needs the measured sugar. Enter {named('brix')} for true solids, "
            f"{named('refractometer')} for a reading, or {named('refractometer')} and "
            f"{named('hydrometer')}.",
            "brix",
        )
    if both and inputs.abv is not None:
        raise BadInput(
            f"{named('abv')} is not needed where {named('refractometer')} and "
            f"{named('hydrometer')} are both read; leave it "
            "out.",
            "abv",
        )
    if inputs.to_acidity is not None and inputs.acidity is None:
        raise BadInput(
            f"{named('to_acidity')} needs {named('acidity')}, what a titration of the batch found; "
            "write 0 % w/w "
            "if it has none.",
            "acidity",
        )
    if inputs.to_abv is not None and inputs.abv is None and not both:
        raise BadInput(
            f"{named('to_abv')} needs {named('abv')}, the strength of the batch (0 where there is "
            "none), or both "
            f"{named('refractometer')} and {named('hydrometer')}.",
            "abv",
        )


def _read(inputs: Inputs, acid: Acid) -> Batch:
    abv = 0.0 if inputs.abv is None else float(inputs.abv) / 100.0
    t = float(inputs.temperature)
    if inputs.brix is not None:
        return Batch(_of_solids(float(inputs.brix) / 100.0, abv, acid), 0.0, 0.0, None, False)
    at_20 = seen = None
    if inputs.refractometer is not None:
        at_20 = instruments.refractometer_at_20(float(inputs.refractometer), t, inputs.atc)
    if inputs.hydrometer is not None:
        seen = instruments.seen_density(drink.hydrometer_mark(inputs.hydrometer), t)
    if at_20 is not None and seen is not None:
        mix = instruments.from_two(at_20, seen, t, acid)
        read_acid = Acid("citric", mix["citric"])
        errors = instruments.error_of_two(at_20, seen, t, read_acid, mix)
        found = Batch(mix, *errors, at_20, True)
    else:
        mix = drink.from_one(at_20, seen, t, abv, acid)
        error = drink.error_of_one(at_20, t, mix, acid)
        if inputs.abv is None or inputs.acidity is None:
            error = max(error, instruments.TRAINED_SUGAR)
        found = Batch(mix, error, 0.0, at_20, False)
    instruments.require_near_20(20.0 if at_20 is None or inputs.atc else t, mix.get("ethanol", 0.0))
    return found


def _of_solids(solids: float, abv: float, acid: Acid) -> dict[str, float]:
    """The mix whose true dissolved solids, acid included, are `solids`."""
    sugar = mix_acid = 0.0
    mix: dict[str, float] = {}
    for _ in range(_PASSES):
        sugar = solids - mix_acid
        if sugar < 0.0:
            if sugar < -1e-9:
                raise BadInput(
                    f"{named('brix')} is {100.0 * solids:g} Bx, less than the acid alone; true "
                    "solids count "
                    f"the acid too, so check {named('brix')} and {named('acidity')}.",
                    "brix",
                )
            sugar = 0.0
        mix = instruments.composition(sugar, abv, acid)
        if abs(mix["citric"] - mix_acid) < 1e-14:
            break
        mix_acid = mix["citric"]
    return mix


# what to add


class Added(NamedTuple):
    """kg of each addition by the input that named it, water among them."""

    kg: dict[str, float]

    @property
    def total_kg(self) -> float:
        """All that is added."""
        return math.fsum(self.kg.values())


def least(
    base: Mixture, wanted: Sequence[Target], additions: Sequence[Addition | None]
) -> Added | None:
    """The least that meets all targets, by every choice of what is left out; None if none does.

    With as many targets as additions and water, the least mass leaves one of them out.
    """
    choices: list[list[Addition | None]] = [list(additions)]
    if None not in additions:
        choices += [[*additions[:i], None, *additions[i + 1 :]] for i in range(len(additions))]
    found = [one for one in (_solved(base, wanted, choice) for choice in choices) if one]
    if not found:
        return None
    best = min(found, key=lambda one: one.total_kg)
    none = {one.field: 0.0 for one in additions if one is not None}
    return Added(none | best.kg)


def _solved(
    base: Mixture, wanted: Sequence[Target], additions: Sequence[Addition | None]
) -> Added | None:
    try:
        amounts, water = targets.solve(base, wanted, additions)
    except BadInput:
        return None
    kg: dict[str, float] = {}
    for addition, amount in zip(additions, amounts, strict=True):
        if addition is None:
            water += amount
        else:
            kg[addition.field] = amount
    return Added(kg | {"water": water})


def unreachable(
    base: Mixture, wanted: Sequence[Target], additions: Sequence[Addition | None]
) -> BadInput:
    """Why adding does not do, with what would: the nearest targets that can be met, or a blend."""
    for target, addition in zip(wanted, additions, strict=True):
        try:
            targets.solve(base, [target], [addition])
        except BadInput as error:
            return BadInput(
                f"{error.wording.rstrip('.')}; or blend with another batch.",
                target.field,
            )
    offers = []
    for place, target in enumerate(wanted):
        rest = [*wanted[:place], *wanted[place + 1 :]]
        added = least(base, rest, [*additions[:place], *additions[place + 1 :]])
        if added is not None:
            after = total(base, additions, added)
            level = targets.shown(target, target.found(after))
            side = "richer" if target.found(after) < target.level else "poorer"
            offers.append(
                f"{named(target.field)} comes to {level} (so a {side} batch to blend with)"
            )
    asked = " and ".join(f"{named(target.field)} {target.words}" for target in wanted)
    offered = (
        f". With the rest met, {', or '.join(offers)}; ask for one of those levels or blend"
        if offers
        else "; blend with another batch, or change a target"
    )
    return BadInput(f"{asked} cannot be met together by adding{offered}.", wanted[0].field)


def total(base: Mixture, additions: Sequence[Addition | None], added: Added) -> Mixture:
    """The batch with what was added."""
    parts = [
        one.unit.scaled(added.kg[one.field])
        for one in additions
        if one is not None and added.kg.get(one.field)
    ]
    if added.kg.get("water"):
        parts.append(targets.WATER.scaled(added.kg["water"]))
    return Mixture.total((base, *parts))


def spread(
    batch: Batch, wanted: Sequence[Target], additions: Sequence[Addition | None], added: Added
) -> dict[str, float]:
    """kg per kg of batch that the stated errors of the readings move each addition by."""
    moved: dict[str, float] = {}
    for sugar, abv in ((batch.solids_error / 100.0, 0.0), (0.0, batch.abv_error / 100.0)):
        if not sugar and not abv:
            continue
        for sign in (1.0, -1.0):
            try:
                other = least(batch.mixture(sign * sugar, sign * abv), wanted, additions)
            except BadInput:
                other = None
            if other is not None:
                for name in added.kg.keys() | other.kg.keys():
                    change = abs(other.kg.get(name, 0.0) - added.kg.get(name, 0.0))
                    moved[name] = hypot(moved.get(name, 0.0), change)
                break
    return moved


def require_dissolved(product: Mixture, option_name: str) -> None:
    """Refuse more acid or solids than dissolve."""
    found = acidity.saturation_facts(product, BENCH_C)
    if found.get("saturation", 0.0) > 1.0:
        raise BadInput(
            f"{option_name} asks for more {found['saturation_acid']} than dissolves: "
            f"{found['saturation']:.2f} times the {found['saturation_most_percent']:.3g} % w/w "
            f"that water holds at {found['saturation_known_c']:g} °C; ask for less, or sour with a "
            f"more soluble acid.",
            "to_acidity",
        )
    solids = product.dissolved_solids * product.solution_kg
    dry = solids / (solids + product.of("water")) if solids else 0.0
    if dry > solution.SOLIDS_HIGH:
        raise BadInput(
            f"it would be {100.0 * dry:.0f} % solids in solids and water, and no syrup is more "
            f"than {100.0 * solution.SOLIDS_HIGH:.0f}. Lower the target.",
            "to_brix",
        )
