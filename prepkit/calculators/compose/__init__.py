"""compose: from the drink that is wanted to the amounts of what stands on the shelf."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from prepkit import derived
from prepkit.calculators.compose import balance
from prepkit.calculators.compose.balance import Answer, Met, Problem
from prepkit.calculators.compose.inputs import Inputs, Shelf
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.model import Column, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.shared.measuring import round_steps

__all__ = ["EXAMPLE", "Inputs", "Result", "compute"]

EXAMPLE = (
    'prepkit compose --shelf "spirit 43 %" --shelf "lemon juice" --shelf "syrup 65 Bx" '
    '--shelf water --volume "120 ml" --target "strength=20 %" --target "acidity=0.8 %" '
    '--target "sugar=8 % to 10 %"'
)
#: What moving a limit by one buys: money, or how near the others come to their middles.
_BUYS = {"cheapest": "one more costs", "middle": "one more, in half ranges"}
_MOST_TRIED = 5  # parts of which every way of rounding is tried


@dataclass(frozen=True, kw_only=True)
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
    problem = Problem(inputs)
    best = balance.solved(problem)
    step_kg = _steps(problem, inputs.round_to)
    told = balance.met(problem, best, step_kg)
    factor = float(inputs.make or inputs.volume) / float(inputs.volume)
    drink = best.drink.scaled(factor)
    shown, error = derived.of(
        best.drink, "abv", "sugar", "acidity", "ph", "density", "refractometer",
        "sugar_acid_ratio", "energy",
    )  # fmt: skip
    tables = [_weigh(problem, best, factor), _targets(told, problem)]
    tables += _others(problem, best, balance.others(problem, best)) + _rounded(
        problem, best, step_kg
    )
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
            "strongest_percent": max(100 * one.ingredient.mixture.abv for one in problem.shelf),
        },
        working=tuple(_working(problem, best, told)),
        tables=tuple(tables),
        model_error=error,
    )


def _weigh(problem: Problem, best: Answer, factor: float) -> Table:
    """What goes in."""
    rows = tuple(
        (one.name, 1000 * kg * factor, _ml(one, kg * factor))
        for one, kg in zip(problem.shelf, best.kg, strict=True) if kg
    )  # fmt: skip
    columns = (Column("part"), Column("mass", "g", 1), Column("volume at 20 °C", "ml", 1))
    return Table("weigh", "weigh", columns, rows)


def _ml(one: Shelf, kg: float) -> float | None:
    if one.ingredient.form != "liquid":
        return None
    return 1e6 * one.ingredient.mixture.of_mass(kg).volume_20_m3 if kg else 0.0


def _targets(told: Sequence[Met], problem: Problem) -> Table:
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


def _others(problem: Problem, best: Answer, others: Sequence[Answer]) -> list[Table]:
    """Clearly different amounts that meet the same targets, for one drink."""
    if not others:
        return []
    rows: tuple[tuple[str | float | None, ...], ...] = tuple(
        (part.name, *(1000 * one.kg[at] for one in (best, *others)))
        for at, part in enumerate(problem.shelf)
    )
    letters = "ABC"[: 1 + len(others)]
    columns = (Column("part"), *(Column(letter, "g", 1) for letter in letters))
    return [Table("others", "other ways to the same targets, one drink", columns, rows)]


def _steps(problem: Problem, said: Sequence[str]) -> list[float]:
    """The step of the measure for each part, in kg; 0 where none was given."""
    steps = round_steps(said)
    found = []
    for one in problem.shelf:
        if "ml" in steps and one.ingredient.form == "liquid":
            found.append(steps["ml"] * 1e-6 * one.ingredient.mixture.density_kg_m3(20.0))
        else:
            found.append(steps.get("g", 0.0) / 1000)
    return found


def _rounded(problem: Problem, best: Answer, step_kg: Sequence[float]) -> list[Table]:
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
        for at, one in zip(tried, chosen, strict=True):
            way[at] = one
        if any(way):
            ways.append((_missed(problem, way), _moved(way, best.kg), way))
    way = min(ways)[2]
    drink = problem.mixture(way)
    rows = tuple(
        (part.name, _ml(part, one), 1000 * one)
        for part, one, exact in zip(problem.shelf, way, best.kg, strict=True) if exact
    )  # fmt: skip
    columns = (Column("part"), Column("measure", "ml", 2), Column("weigh", "g", 2))
    effect = tuple(
        (one.label, one.unit, problem.value(one, best.kg, best.drink),
         problem.value(one, way, drink), "" if balance.held(problem, one, way, drink) else "missed")
        for one in problem.wanted
    )  # fmt: skip
    compared = (
        Column("target"), Column("unit"), Column("exact", "", 3), Column("rounded", "", 3),
        Column("then"),
    )  # fmt: skip
    return [
        Table("rounded", "one drink in steps of your measure", columns, rows),
        Table("rounding", "what rounding does", compared, effect),
    ]


def _missed(problem: Problem, kg: Sequence[float]) -> float:
    """By how much the targets are missed in all, each in shares of itself."""
    drink = problem.mixture(kg)
    out = []
    for one in problem.wanted:
        value = problem.value(one, kg, drink)
        low, high = one.low, one.high
        gap = max(0.0 if low is None else low - value, 0.0 if high is None else value - high, 0.0)
        out.append(gap / max(abs(low or 0.0), abs(high or 0.0), 1e-9))
    return math.fsum(out)


def _moved(one: Sequence[float], other: Sequence[float]) -> float:
    return math.fsum(abs(a - b) for a, b in zip(one, other, strict=True))


def _working(problem: Problem, best: Answer, told: Sequence[Met]) -> list[Step]:
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
