"""compose: from the drink that is wanted to amounts from the shelf.

What is linear in the masses is met at once. Volume, strength and pH are not: their slopes are
taken at the last answer, and the programme is solved again until the amounts stay.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

from prepkit import derived
from prepkit.calculators.compose.inputs import Inputs, ShelfPart, TargetWords
from prepkit.errors import BadInput, named
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.science import acids, ethanol, heat
from prepkit.science.solvers import Constraint, Optimum, conflict, extremes, minimised
from prepkit.shared.drink import (
    CP_HIGH_C,
    freezing_point_c,
    mixing_heat_j,
    round_steps,
    specific_heat_j_kg_k,
)

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]


# ---- the amounts that meet the targets ----

MOST_PASSES = 12
MOST_PASSES_CURVED = 40
ENOUGH = 1e-7  # of the mass: amounts that move less stay
CLOSE = 1e-4  # of a target: met
LEAST_BOUGHT = 1e-3  # of half a range, below which a limit buys nothing
CLOSE_K = 0.01  # of a temperature
APART = 0.10  # of the drink's mass in one part: another answer
WITHIN_COST = 0.02
MOST_ANSWERS = 3
_POWDER = 0.01  # of a liquid part, in the drink to begin with
_DENSEST = 2000.0  # kg/m3, of what is weighed in at the most
_STEP = 1e-5  # of the mass, of a part: the slopes
_TIE = 1e-6  # so that the first parts of the shelf are taken where nothing else decides

Amount = Callable[[Mixture], float]


def _acid_kg(mixture: Mixture) -> float:
    return mixture.net_acidity_eq_kg * acids.EQUIVALENT_KG["citric"] * mixture.mass_kg


_AMOUNT: dict[str, Amount] = {
    "strength": lambda m: m.ethanol_kg / ethanol.PURE_KG_M3,
    "sugar": lambda m: m.of(*SUGARS),
    "acidity": _acid_kg,
    "ratio": lambda m: m.of(*SUGARS),
    "ethanol": lambda m: 1000 * m.ethanol_kg,
    "caffeine": lambda m: 1e6 * m.of("caffeine"),
    "energy": lambda m: m.energy_kcal,
    "density": lambda m: m.mass_kg,
    "ph": lambda m: m.ph.value,
}


_HELD = ("strength", "sugar", "acidity", "ratio", "ethanol", "caffeine", "energy")


def _basis(wanted: TargetWords) -> Amount | None:
    """What an amount is counted by; None where it is counted in the whole drink."""
    if wanted.kind in ("strength", "density") or wanted.unit == "g/l":
        return lambda m: m.volume_20_m3
    if wanted.kind in ("sugar", "acidity"):
        return lambda m: m.mass_kg
    return _acid_kg if wanted.kind == "ratio" else None


def factor(wanted: TargetWords) -> float:
    """The unit of a target in those of its amounts: a per cent is 0.01."""
    return 0.01 if wanted.unit in ("% vol", "% w/w") else 1.0


class Met(NamedTuple):
    """A target as the drink has it: its value, and what one more of its limit costs."""

    wanted: TargetWords
    value: float
    binds: str  # "at least", "at most" or nothing
    price: float | None
    plus_minus: float | None  # by the step of the measure


class Linear(NamedTuple):
    """A target at some amounts: slopes of what is counted and of what it is counted by."""

    over: list[float]
    under: list[float]
    at: float  # of a pH, where the slopes meet zero amounts
    relative: bool
    counted: float  # what it is counted by, now

    def row(self, level: float, above: bool) -> Constraint:
        """The row that keeps it on one side of a level."""
        line = tuple(a - level * b for a, b in zip(self.over, self.under, strict=True))
        limit = (0.0 if self.relative else level) - self.at
        weight = 1.0 / max(abs(level) * self.counted, 1e-9)
        return (
            Constraint(line, limit, math.inf, weight)
            if above
            else Constraint(line, -math.inf, limit, weight)
        )


class Warmth(NamedTuple):
    """A temperature at some amounts: all heat that is given is taken, at any level of it."""

    over: list[float]  # K for one kg more of each part, times what is counted by
    under: list[float]
    counted: float  # J/K of the drink, now
    heat: Callable[[float], list[float]]

    def row(self, level: float, above: bool) -> Constraint:
        """The row that keeps it on one side of a level; in the masses it is a straight line."""
        line = tuple(self.heat(level))
        weight = 1.0 / max(10.0 * self.counted, 1e-9)
        return (
            Constraint(line, 0.0, math.inf, weight)
            if above
            else Constraint(line, -math.inf, 0.0, weight)
        )


class TargetLimit(NamedTuple):
    """The row of one end of a target."""

    row: Constraint
    wanted: TargetWords
    side: str
    counted: float


class TargetRows(NamedTuple):
    """All rows at some amounts; those of the middles with half the width of the range."""

    limits: list[TargetLimit]
    middles: list[tuple[Constraint, float]]
    volume: Constraint
    melts: Constraint | None  # no colder than it freezes, so that all of the ice melts

    @property
    def every(self) -> list[Constraint]:
        """The limits in order, then what nobody chooses: volume and ice."""
        return [*(limit.row for limit in self.limits), *self.given]

    @property
    def given(self) -> list[Constraint]:
        """What nobody chooses."""
        return [self.volume, *([] if self.melts is None else [self.melts])]


@dataclass(frozen=True)
class Composed:
    """Amounts in kg of each part for one drink, the drink, and how each target is met."""

    kg: tuple[float, ...]
    drink: Mixture
    cost: float | None
    optimum: Optimum
    rows: TargetRows


class ComposeProblem:
    """The shelf and the targets as amounts of one drink."""

    def __init__(self, inputs: Inputs) -> None:
        self.inputs = inputs
        self.shelf: tuple[ShelfPart, ...] = inputs.shelf
        self.wanted: tuple[TargetWords, ...] = inputs.target
        self.units = [part.ingredient.mixture for part in self.shelf]
        self.volume_m3 = float(inputs.volume) * 1e-6
        prices = {price.name: price.money / price.kg for price in inputs.price}
        self.price_kg = [prices.get(part.name) for part in self.shelf]
        self.bounds = [self._bounds(part) for part in self.shelf]
        warm = None if inputs.shelf_temperature is None else float(inputs.shelf_temperature)
        self._last_c = 0.0
        self._given: dict[float, list[float]] = {}
        self._warm: tuple[tuple[float, ...], Warmth] | None = None
        self.at_c = [
            warm if part.temperature_c is None else part.temperature_c for part in self.shelf
        ]

    def _bounds(self, part: ShelfPart) -> tuple[float, float]:
        most = self.volume_m3 * _DENSEST
        low = 0.0 if part.low is None else part.kg(part.low)
        high = most if part.high is None else min(part.kg(part.high), most)
        if low > high:
            raise BadInput(
                f"{named('shelf', part)}: so much of it is more than the whole drink.", "shelf"
            )
        return low, high

    def mixture(self, kg: Sequence[float]) -> Mixture:
        """The drink of these amounts."""
        return Mixture.total(
            unit.scaled(value) for unit, value in zip(self.units, kg, strict=True) if value > 0.0
        )

    def value(self, wanted: TargetWords, kg: Sequence[float], drink: Mixture) -> float:
        """A target's value in the drink, in its own unit."""
        if wanted.kind == "cost":
            return self.cost(kg) or 0.0
        if wanted.kind == "temperature":
            return self.temperature_c(kg)
        basis = _basis(wanted)
        under = 1.0 if basis is None else basis(drink)
        if under <= 0.0:
            raise BadInput(f"without any acid there is no {wanted.label}.", "target")
        return _AMOUNT[wanted.kind](drink) / under / factor(wanted)

    def cost(self, kg: Sequence[float]) -> float | None:
        """What the parts cost; None where one that is used has no price."""
        if any(
            value > 0.0 and price is None for value, price in zip(kg, self.price_kg, strict=True)
        ):
            return None
        return math.fsum(
            value * (price or 0.0) for value, price in zip(kg, self.price_kg, strict=True)
        )

    def more(self, drink: Mixture) -> list[Mixture]:
        """The drink with a little more of each part."""
        return [drink + unit.scaled(_STEP * drink.mass_kg) for unit in self.units]

    def slopes(self, drink: Mixture, more: Sequence[Mixture], of: Amount) -> list[float]:
        """Change of an amount of the drink for one kg more of each part."""
        now, step = of(drink), _STEP * drink.mass_kg
        return [(of(mixture) - now) / step for mixture in more]

    @property
    def warmth_known(self) -> bool:
        """Whether each part's temperature is known."""
        return None not in self.at_c

    def heat(self, to_c: float) -> list[float]:
        """Heat that a kg of each part gives on coming to a temperature, J.

        Ice takes what melts it, and all of it melts; nothing goes to the glass or the air.
        """
        if to_c in self._given:
            return self._given[to_c]
        line = self._given[to_c] = []
        for part, unit, at_c in zip(self.shelf, self.units, self.at_c, strict=True):
            assert at_c is not None
            if part.is_ice:
                line.append(-heat.heat_taken_by_melt_j_kg(to_c, at_c))
            else:
                line.append(specific_heat_j_kg_k(unit, at_c, to_c) * (at_c - to_c))
        return line

    def mixing(self, kg: Sequence[float], to_c: float) -> tuple[float, list[float]]:
        """Heat of mixing at a temperature, J, and for one kg more of each part."""
        pairs = [(unit.of("ethanol"), unit.of("water")) for unit in self.units]
        now = [(a * value, b * value) for (a, b), value in zip(pairs, kg, strict=True)]
        at_c = min(max(to_c, heat.MIXING_COLD_C), CP_HIGH_C)
        whole, step = heat.mixing_heat_j(now, at_c), _STEP * math.fsum(kg)
        slopes = []
        for at, (a, b) in enumerate(pairs):
            more = [*now]
            more[at] = (now[at][0] + step * a, now[at][1] + step * b)
            slopes.append((heat.mixing_heat_j(more, at_c) - whole) / step)
        return whole, slopes

    def temperature_c(self, kg: Sequence[float]) -> float:
        """The temperature of all parts together, once all of the ice has melted."""
        parts = [
            unit.scaled(value) for unit, value in zip(self.units, kg, strict=True) if value > 0.0
        ]

        def left(to_c: float) -> float:
            given = math.fsum(a * b for a, b in zip(self.heat(to_c), kg, strict=True))
            return given + mixing_heat_j(parts, to_c)

        # nearly a straight line: a few secants, from where it was before
        first = self._last_c + 1.0
        (before, far), at_c = (first, left(first)), self._last_c
        for _ in range(20):
            now = left(at_c)
            if abs(at_c - before) < 1e-7 or now == far:
                break
            before, far, at_c = at_c, now, at_c - now * (at_c - before) / (now - far)
            at_c = min(max(at_c, heat.LOW_C), heat.HIGH_C)
        self._last_c = at_c
        return at_c

    def warmth(self, kg: Sequence[float]) -> Warmth:
        """The heat of each part, with its share of that of mixing, which is even in the masses."""
        key = tuple(kg)
        if self._warm is None or self._warm[0] != key:
            self._warm = key, self._warmth(kg)
        return self._warm[1]

    def _warmth(self, kg: Sequence[float]) -> Warmth:
        now_c = self.temperature_c(kg)
        _, mixing = self.mixing(kg, now_c)

        def at(to_c: float) -> list[float]:
            return [a + b for a, b in zip(self.heat(to_c), mixing, strict=True)]

        counted = math.fsum(
            value * specific_heat_j_kg_k(unit, now_c, now_c)
            for value, unit in zip(kg, self.units, strict=True)
        )
        return Warmth(at(now_c), [0.0] * len(self.units), counted, at)

    def linear(
        self, wanted: TargetWords, kg: Sequence[float], drink: Mixture, more: Sequence[Mixture]
    ) -> Linear | Warmth:
        """A target as it runs at these amounts."""
        nothing = [0.0] * len(self.units)
        if wanted.kind == "cost":
            return Linear([price or 0.0 for price in self.price_kg], nothing, 0.0, False, 1.0)
        if wanted.kind == "temperature":
            return self.warmth(kg)
        of, basis = _AMOUNT[wanted.kind], _basis(wanted)
        over = self.slopes(drink, more, of)
        if basis is None:
            # an amount grows with the drink, a pH does not
            at = of(drink) - math.fsum(a * b for a, b in zip(over, kg, strict=True))
            return Linear(over, nothing, at if wanted.kind == "ph" else 0.0, False, 1.0)
        return Linear(over, self.slopes(drink, more, basis), 0.0, True, basis(drink))

    def rows(self, kg: Sequence[float], drink: Mixture) -> TargetRows:
        """The rows at these amounts, and those of the middles of the ranges."""
        more = self.more(drink)
        limits: list[TargetLimit] = []
        middles: list[tuple[Constraint, float]] = []
        for wanted in self.wanted:
            linear, unit = self.linear(wanted, kg, drink, more), factor(wanted)
            if wanted.low is not None:
                row = linear.row(wanted.low * unit, above=True)
                limits.append(TargetLimit(row, wanted, "at least", linear.counted))
            if wanted.high is not None:
                row = linear.row(wanted.high * unit, above=False)
                limits.append(TargetLimit(row, wanted, "at most", linear.counted))
            if wanted.low is not None and wanted.high is not None and wanted.low < wanted.high:
                middle = linear.row(0.5 * (wanted.low + wanted.high) * unit, above=True)
                half = 0.5 * (wanted.high - wanted.low) * unit * linear.counted
                middles.append((middle, half))
        line = tuple(self.slopes(drink, more, lambda m: m.volume_20_m3))
        volume = Constraint(line, self.volume_m3, self.volume_m3, 1e3 / self.volume_m3)
        melts = None
        if self.warmth_known and any(part.is_ice for part in self.shelf):
            point = freezing_point_c(drink)
            melts = None if point is None else self.warmth(kg).row(point, above=True)
        return TargetRows(limits, middles, volume, melts)

    def start(self) -> list[float]:
        """Amounts to begin with: the middle of the limits, as large as the drink."""
        middle = [0.5 * (low + min(high, low + self.volume_m3 * 1e3)) for low, high in self.bounds]
        # powders begin small: a drink of them alone has no density and no pH
        liquid = [part.ingredient.form == "liquid" for part in self.shelf]
        share = [1.0 if wet or low else _POWDER for wet, (low, _) in
                 zip(liquid, self.bounds, strict=True)]  # fmt: skip
        return self.sized([a * b or 1e-6 for a, b in zip(middle, share, strict=True)])

    def sized(self, kg: Sequence[float]) -> list[float]:
        """The amounts, as much of them as makes the drink's volume."""
        scale = self.volume_m3 / self.mixture(kg).volume_20_m3
        return [value * scale for value in kg]


def solved(
    problem: ComposeProblem,
    *,
    cost: Sequence[float] | None = None,
    start: Sequence[float] | None = None,
    cost_limit: float | None = None,
) -> Composed:
    """The amounts; BadInput with the nearest, and what contradicts itself, where there are none.

    cost: for each kg, in place of what is preferred. cost_limit: the whole may cost so much.
    """
    kg = list(start or problem.start())
    curved = any(target.kind == "ph" for target in problem.wanted)
    for _ in range(MOST_PASSES_CURVED if curved else MOST_PASSES):
        drink = problem.mixture(kg)
        rows = problem.rows(kg, drink)
        found = _programme(problem, rows, cost, cost_limit)
        moved = max(abs(a - b) for a, b in zip(found.unknowns, kg, strict=True))
        if any(found.unknowns):
            wanted = problem.sized(found.unknowns)
            # a pH bends: half of each step, so that it does not go too far
            kg = [0.5 * (a + b) for a, b in zip(kg, wanted, strict=True)] if curved else wanted
        if moved <= (CLOSE if curved else ENOUGH) * drink.mass_kg:
            break
    drink = problem.mixture(kg)
    if not found.feasible or not all(held(problem, target, kg, drink) for target in problem.wanted):
        raise BadInput(_none(problem, kg, drink, rows), "target")
    kg = [value if value > ENOUGH * drink.mass_kg else 0.0 for value in kg]
    _melts(problem, kg)
    return Composed(tuple(kg), problem.mixture(kg), problem.cost(kg), found, rows)


def _melts(problem: ComposeProblem, kg: Sequence[float]) -> None:
    """BadInput where the drink would freeze before all of its ice has melted."""
    iced = any(part.is_ice and many > 0.0 for part, many in zip(problem.shelf, kg, strict=True))
    if not iced or not problem.warmth_known:
        return
    drink = problem.mixture(kg)
    point, found = freezing_point_c(drink), problem.temperature_c(kg)
    if point is not None and found < point - 0.05:
        raise BadInput(
            f"at {found:.1f} °C not all of the ice would melt: the drink freezes at "
            f"{point:.1f} °C. Want it warmer, or leave the ice out and chill it.",
            "target",
        )


def _programme(
    problem: ComposeProblem,
    rows: TargetRows,
    cost: Sequence[float] | None,
    cost_limit: float | None,
) -> Optimum:
    """One linear programme: the cost that is given, the prices, or how far from the middles."""
    every, count = rows.every, len(problem.shelf)
    if cost_limit is not None:
        every.append(
            Constraint(tuple(value or 0.0 for value in problem.price_kg), -math.inf, cost_limit)
        )
    if cost is not None:
        return minimised(cost, every, problem.bounds)
    if problem.inputs.prefer == "cheapest":
        return minimised([price or 0.0 for price in problem.price_kg], every, problem.bounds)
    # one unknown more for each range: how far from its middle, in halves of its width
    wide = len(rows.middles)
    nothing = [0.0] * wide
    elastic = [Constraint((*row.coefficients, *nothing), *row[1:]) for row in every]
    for at, (middle, half) in enumerate(rows.middles):
        far = list(nothing)
        far[at] = half
        elastic.append(Constraint((*middle.coefficients, *far), middle.low, math.inf))
        far[at] = -half
        elastic.append(Constraint((*middle.coefficients, *far), -math.inf, middle.low))
    tie = [_TIE * (1 + at) for at in range(count)]
    found = minimised(tie + [1.0] * wide, elastic, [*problem.bounds, *[(0.0, 1e6)] * wide])
    height = len(every)
    return Optimum(
        found.unknowns[:count], found.cost, found.missing[:height], found.prices[:height],
        found.feasible,
    )  # fmt: skip


def _slack(wanted: TargetWords) -> float:
    """How far from an end still meets it."""
    if wanted.kind == "temperature":
        return CLOSE_K
    return CLOSE * max(abs(wanted.low or 0.0), abs(wanted.high or 0.0), 1e-6)


def held(problem: ComposeProblem, wanted: TargetWords, kg: Sequence[float], drink: Mixture) -> bool:
    """Whether a target is met, to a ten-thousandth of it."""
    value = problem.value(wanted, kg, drink)
    slack = _slack(wanted)
    over = wanted.high is not None and value > wanted.high + slack
    return not over and (wanted.low is None or value >= wanted.low - slack)


def _none(problem: ComposeProblem, kg: Sequence[float], drink: Mixture, rows: TargetRows) -> str:
    """Why there is none: what contradicts itself, and what the nearest drink misses."""
    for wanted in problem.wanted:
        of = _AMOUNT.get(wanted.kind)
        if wanted.low and of and wanted.kind in _HELD and not any(map(of, problem.units)):
            return (
                f"{wanted.kind} at least {wanted.shown(wanted.low)} cannot be met: "
                "no part on the shelf holds any of it."
            )
    order = list(reversed(rows.limits))
    found = conflict([*(limit.row for limit in order), *rows.given], problem.bounds)
    names = [
        f"{order[at].wanted.kind} {order[at].side} "
        f"{order[at].wanted.shown(_end(order[at]))}" for at in found if at < len(order)
    ]  # fmt: skip
    if len(order) + 1 in found:
        names.append("that all of the ice melts")
    missed = []
    for wanted in problem.wanted:
        if not held(problem, wanted, kg, drink):
            shown = wanted.shown(problem.value(wanted, kg, drink))
            missed.append(f"{wanted.label} {shown}")
    nearest = f" The nearest has {', '.join(missed)}." if missed else ""
    if not names:
        return f"no amounts of these parts within their limits make the drink.{nearest}"
    why = " and ".join(names)
    alone = "cannot be met" if len(names) == 1 else "contradict each other (one such set)"
    return f"with these parts {why} {alone}.{nearest}"


def _end(limit: TargetLimit) -> float | None:
    return limit.wanted.low if limit.side == "at least" else limit.wanted.high


def met(problem: ComposeProblem, answer: Composed, step_kg: Sequence[float]) -> list[Met]:
    """How each target is met: its value, which end binds, what one unit more of it costs.

    step_kg: the step of the measure for each part, 0 where none was given.
    """
    out = []
    at = 0
    cheapest = problem.inputs.prefer == "cheapest"
    for wanted in problem.wanted:
        ends = [end for end in (wanted.low, wanted.high) if end is not None]
        mine = list(range(at, at + len(ends)))
        at += len(ends)
        value = problem.value(wanted, answer.kg, answer.drink)
        slack = _slack(wanted)
        binds, price = "", None
        for row, end in zip(mine, ends, strict=True):
            limit = answer.rows.limits[row]
            single = len(ends) == 2 and ends[0] == ends[1]  # met as it is, nothing to move
            if abs(value - end) <= slack and not single:
                binds = limit.side
            bought = answer.optimum.prices[row] * limit.counted * factor(wanted)
            if abs(answer.optimum.prices[row]) > 1e-12 if cheapest else abs(bought) > LEAST_BOUGHT:
                price = bought
                binds = binds or limit.side
        spread = _spread(problem, answer, wanted, value, step_kg)
        out.append(Met(wanted, value, binds, price, spread))
    return out


def _spread(
    problem: ComposeProblem,
    answer: Composed,
    wanted: TargetWords,
    value: float,
    step_kg: Sequence[float],
) -> float | None:
    """The +/- of a target where each part is measured to half a step, all at their worst."""
    if not any(step_kg):
        return None
    linear = problem.linear(wanted, answer.kg, answer.drink, problem.more(answer.drink))
    level = value * factor(wanted)
    moved = (
        (a - level * b) / linear.counted * 0.5 * step
        for a, b, step in zip(linear.over, linear.under, step_kg, strict=True)
    )
    return math.sqrt(math.fsum(number * number for number in moved)) / factor(wanted)


def others(problem: ComposeProblem, best: Composed) -> list[Composed]:
    """Up to two more answers that differ clearly from the best and from each other."""
    limit = None
    if best.cost is not None and problem.inputs.prefer == "cheapest":
        limit = best.cost * (1.0 + WITHIN_COST)
    every = best.rows.every
    if limit is not None:
        every.append(
            Constraint(tuple(value or 0.0 for value in problem.price_kg), -math.inf, limit)
        )
    whole, ends = best.drink.mass_kg, []
    for at, pair in enumerate(extremes(every, problem.bounds)):
        for way, found in zip((1.0, -1.0), pair, strict=True):
            far = _apart(found.unknowns, best.kg) / whole
            if far >= APART:
                cost = [0.0] * len(problem.shelf)
                cost[at] = way
                ends.append((far, cost, found.unknowns))
    out: list[Composed] = []
    for _, cost, start in sorted(ends, key=lambda end: -end[0]):
        if len(out) + 1 >= MOST_ANSWERS:
            break
        if any(_apart(start, answer.kg) < APART * whole for answer in (best, *out)):
            continue
        try:
            found_ = solved(problem, cost=cost, start=problem.sized(start), cost_limit=limit)
        except BadInput:
            continue
        if all(_apart(found_.kg, answer.kg) >= APART * whole for answer in (best, *out)):
            out.append(found_)
    return out


def _apart(values: Sequence[float], other: Sequence[float]) -> float:
    return max(abs(a - b) for a, b in zip(values, other, strict=True))


# ---- compose ----

EXAMPLE = (
    'prepkit compose --shelf "spirit 43 %" --shelf "lemon juice" --shelf "syrup 65 Bx" '
    '--shelf water --volume "120 ml" --target "strength=20 %" --target "acidity=0.8 %" '
    '--target "sugar=8 % to 10 %"'
)
#: What moving a limit by one buys: money, or how near the others come to their middles.
_BUYS = {"cheapest": "one more costs", "middle": "one more, in half ranges"}
_MOST_TRIED = 5  # parts of which every way of rounding is tried


class Result(BaseResult):
    """The amounts, and the drink that they make."""

    screen = Screen(
        headline=("{volume} at {abv}, {sugar} sugars, {acidity} acid.", "{volume} ({mass})."),
        primary=(
            Figure("volume", "volume"), Figure("strength", "abv"), Figure("sugars", "sugar"),
            Figure("acidity, as citric", "acidity"), "ph", "temperature", "cost",
        ),
        check=(Figure("refractometer", "refractometer"), Figure("density", "density")),
        do_this=("Taste one drink, cold and diluted, before you make {volume}.",),
        weigh="weigh",
    )  # fmt: skip

    volume: float | None = output("volume at 20 °C", "ml", 0, extensive=True)
    mass: float | None = output("mass", "g", 1, extensive=True)
    abv: float | None = output("strength at 20 °C", "% vol", 2)
    sugar: float | None = output("sugars", "% w/w", 2)
    acidity: float | None = output("titratable acidity, as citric", "% w/w", 2)
    ph: float | None = output("pH", "", 2)
    ratio: float | None = output("sugar to acid", "", 1)
    density: float | None = output("density", "kg/m3", 1)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    ethanol: float | None = output("ethanol in one drink", "g", 2)
    energy: float | None = output("energy in one drink", "kcal", 0)
    temperature: float | None = output("temperature, all ice melted", "C", 1)
    cost: float | None = output("cost of one drink", "", 2)


def compute(inputs: Inputs) -> Result:
    """The amounts that meet the targets. Raises BadInput where none do, with the nearest."""
    if not inputs.target:
        raise BadInput(f"say what is wanted: {named('target', 'strength=18 % to 22 %')}.", "target")
    problem = ComposeProblem(inputs)
    best = solved(problem)
    step_kg = _steps(problem, inputs.round_to)
    told = met(problem, best, step_kg)
    factor = float(inputs.make or inputs.volume) / float(inputs.volume)
    drink = best.drink.scaled(factor)
    shown, error = derived.of(
        best.drink, "abv", "sugar", "acidity", "ph", "density", "refractometer",
        "sugar_acid_ratio", "energy",
    )  # fmt: skip
    tables = [_weigh(problem, best, factor), _targets(told, problem)]
    tables += _others(problem, best, others(problem, best)) + _rounded(problem, best, step_kg)
    return Result(
        product=drink,
        volume=1e6 * drink.volume_20_m3,
        mass=1000 * drink.mass_kg,
        abv=shown["abv"],
        sugar=shown["sugar"],
        acidity=shown["acidity"] or None,
        ph=shown["ph"],
        ratio=shown["sugar_acid_ratio"],
        density=shown["density"],
        refractometer=shown["refractometer"],
        ethanol=1000 * best.drink.ethanol_kg or None,
        energy=shown["energy"],
        temperature=problem.temperature_c(best.kg) if problem.warmth_known else None,
        cost=best.cost if inputs.price else None,
        facts={
            **derived.facts(drink),
            "ph": derived.facts(drink).get("ph"),
            "strongest_percent": max(100 * part.ingredient.mixture.abv for part in problem.shelf),
        },
        working=tuple(_working(problem, best, told)),
        tables=tuple(tables),
        model_error=error,
    )


def _weigh(problem: ComposeProblem, best: Composed, factor: float) -> Table:
    """What goes in."""
    rows = tuple(
        (part.name, 1000 * kg * factor, _ml(part, kg * factor))
        for part, kg in zip(problem.shelf, best.kg, strict=True) if kg
    )  # fmt: skip
    columns = (Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 1))
    return Table("weigh", "weigh", columns, rows)


def _ml(part: ShelfPart, kg: float) -> float | None:
    if part.ingredient.form != "liquid":
        return None
    return 1e6 * part.ingredient.mixture.of_mass(kg).volume_20_m3 if kg else 0.0


def _targets(told: Sequence[Met], problem: ComposeProblem) -> Table:
    """What was wanted and what it comes to; what binds, and what moving it is worth."""
    rows = []
    for one in told:
        wanted = one.wanted
        ends = [wanted.shown(wanted.low), wanted.shown(wanted.high)]
        said = ends[0] if ends[0] == ends[1] else " to ".join(end or "open" for end in ends)
        slack = [abs(end - one.value) for end in (wanted.low, wanted.high) if end is not None]
        rows.append(
            (wanted.label, said, one.value, min(slack), one.binds, one.price, one.plus_minus)
        )
    columns = (
        Column("target"), Column("wanted"), Column("found", "", 3), Column("room left", "", 3),
        Column("binds"), Column(_BUYS[problem.inputs.prefer], "", 4),
        Column("± by your measure", "", 3),
    )  # fmt: skip
    return Table("targets", "targets", columns, tuple(rows))


def _others(problem: ComposeProblem, best: Composed, others: Sequence[Composed]) -> list[Table]:
    """Clearly different amounts that meet the same targets, for one drink."""
    if not others:
        return []
    rows: tuple[tuple[str | float | None, ...], ...] = tuple(
        (part.name, *(1000 * answer.kg[at] for answer in (best, *others)))
        for at, part in enumerate(problem.shelf)
    )
    letters = "ABC"[: 1 + len(others)]
    columns = (Column("part"), *(Column(letter, "g", 1) for letter in letters))
    return [Table("others", "other ways to the same targets, one drink", columns, rows)]


def _steps(problem: ComposeProblem, said: Sequence[str]) -> list[float]:
    """The step of the measure for each part, in kg; 0 where none was given."""
    steps = round_steps(said)
    found = []
    for part in problem.shelf:
        if "ml" in steps and part.ingredient.form == "liquid":
            found.append(steps["ml"] * 1e-6 * part.ingredient.mixture.density_kg_m3(20.0))
        else:
            found.append(steps.get("g", 0.0) / 1000)
    return found


def _rounded(problem: ComposeProblem, best: Composed, step_kg: Sequence[float]) -> list[Table]:
    """One drink in whole steps of the measure, as near to the targets as can be, checked again."""
    if not any(step_kg):
        return []
    used = [at for at, kg in enumerate(best.kg) if kg and step_kg[at]]
    tried = sorted(used, key=lambda at: -step_kg[at] / best.kg[at])[:_MOST_TRIED]
    kg = list(best.kg)
    for at in used:
        kg[at] = step_kg[at] * math.floor(kg[at] / step_kg[at] + 0.5)
    choices = []
    for at in tried:
        low = step_kg[at] * math.floor(best.kg[at] / step_kg[at])
        choices.append((low, low + step_kg[at]))
    ways = []
    for chosen in product(*choices):
        way = list(kg)
        for at, value in zip(tried, chosen, strict=True):
            way[at] = value
        if any(way):
            ways.append((_missed(problem, way), _moved(way, best.kg), way))
    way = min(ways)[2]
    drink = problem.mixture(way)
    rows = tuple(
        (part.name, _ml(part, value), 1000 * value)
        for part, value, exact in zip(problem.shelf, way, best.kg, strict=True) if exact
    )  # fmt: skip
    columns = (Column("part"), Column("measure", "ml", 2), Column("weigh", "g", 2))
    effect = tuple(
        (target.label, target.unit, problem.value(target, best.kg, best.drink),
         problem.value(target, way, drink), "" if held(problem, target, way, drink) else "missed")
        for target in problem.wanted
    )  # fmt: skip
    compared = (
        Column("target"), Column("unit"), Column("exact", "", 3), Column("rounded", "", 3),
        Column("then"),
    )  # fmt: skip
    return [
        Table("rounded", "one drink in steps of your measure", columns, rows),
        Table("rounding", "what rounding does", compared, effect),
    ]


def _missed(problem: ComposeProblem, kg: Sequence[float]) -> float:
    """By how much the targets are missed in all, each in shares of itself."""
    drink = problem.mixture(kg)
    out = []
    for target in problem.wanted:
        value = problem.value(target, kg, drink)
        low, high = target.low, target.high
        gap = max(0.0 if low is None else low - value, 0.0 if high is None else value - high, 0.0)
        out.append(gap / max(abs(low or 0.0), abs(high or 0.0), 1e-9))
    return math.fsum(out)


def _moved(values: Sequence[float], other: Sequence[float]) -> float:
    return math.fsum(abs(a - b) for a, b in zip(values, other, strict=True))


def _working(problem: ComposeProblem, best: Composed, told: Sequence[Met]) -> list[Step]:
    """The balances as on a board."""
    said = " + ".join(
        f"{1000 * kg:.1f} g {one.name}"
        for one, kg in zip(problem.shelf, best.kg, strict=True) if kg
    )  # fmt: skip
    steps = [Step("one drink", said, 1000 * best.drink.mass_kg, "g", "DEFINITION")]
    for one in told:
        wanted = one.wanted
        low, high = wanted.shown(wanted.low), wanted.shown(wanted.high)
        asked = low if low == high else f"from {low or 'any'} to {high or 'any'}"
        steps.append(Step(wanted.label, f"wanted {asked}", one.value, wanted.unit))
    return steps
