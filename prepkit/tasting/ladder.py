"""A ladder: small glasses that step one or two things, with weigh-outs that the scale can do."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Any, NamedTuple

from prepkit import registry
from prepkit.errors import BadInput, named
from prepkit.ingredient import Part
from prepkit.inputs import Inputs, choice, quantity, words
from prepkit.inputs import parts as some_parts
from prepkit.mixture import Mixture
from prepkit.model import Answer
from prepkit.pantry import Pantry
from prepkit.shared import syrup
from prepkit.tasting import Tasting, most_glasses
from prepkit.units import Measured, parse_quantity

FEWEST, MOST = 3, 9
STEPS_OF_SCALE = 25  # a weight is at least so many steps of the scale: 2 % of it at the most
_STOCK_SHARES = (0.2, 0.1, 0.05, 0.02, 0.01)
_SPARE = 1.1  # of stocks and ends: what stays in the beaker
_HOTTEST_C, _COLDEST_C = 60.0, -10.0
# [PALATE-2022] (read): least ratio between glasses that people can tell apart
LEAST_RATIO = {"acidity": 1.18, "sugar": 1.25}
_STEP = re.compile(
    r"^\s*(?P<kind>[a-z]+)\s*:\s*(?P<low>.+?)\s+to\s+(?P<high>.+?)\s*$", re.IGNORECASE
)
_KINDS = {
    "acidity": ("% w/w",), "sugar": ("% w/w",), "strength": ("% vol",), "dilution": ("%",),
    "temperature": ("C",),
}  # fmt: skip
_WITH = {"acidity": "citric acid", "sugar": "white sugar", "dilution": "water"}


@dataclass(frozen=True)
class LadderStep:
    """What is stepped, from where to where, and what is added for it."""

    kind: str
    low: float
    high: float
    unit: str
    added: str  # words of an ingredient; empty for a temperature

    @classmethod
    def read(cls, words: str, added: Mapping[str, str]) -> LadderStep:
        """Read "acidity: 0.4 % to 0.8 %"; BadInput otherwise."""
        match = _STEP.match(" ".join(words.split()))
        kind = match["kind"].lower() if match else ""
        if match is None or kind not in _KINDS:
            raise BadInput(
                f'"{words[:60]}" is no step; write one of {", ".join(_KINDS)}, as in '
                f"{named('step', 'acidity: 0.4 % to 0.8 %')}.",
                "step",
            )
        low, high = (
            float(parse_quantity(value, _KINDS[kind], "step"))
            for value in (match["low"], match["high"])
        )
        if not low < high:
            raise BadInput(
                f"it goes from {low:g} to {high:g}; write the lower level first.", "step"
            )
        ends = (_COLDEST_C, _HOTTEST_C) if kind == "temperature" else (0.0, 90.0)
        if not ends[0] <= low < high <= ends[1]:
            raise BadInput(
                f"the {kind} goes from {low:g} to {high:g} {_KINDS[kind][0]}; "
                f"{ends[0]:g} to {ends[1]:g} can be tasted.",
                "step",
            )
        if kind == "strength" and kind not in added:
            raise BadInput(
                "a strength is stepped with a spirit or with water; give "
                f"{named('with', 'strength: spirit 96 %')}.",
                "with",
            )
        return cls(kind, low, high, _KINDS[kind][0], added.get(kind, _WITH.get(kind, "")))

    def levels(self, count: int, even: str) -> list[float]:
        """So many levels, even in ratio or in difference.

        >>> [round(x, 4) for x in LadderStep("acidity", 0.4, 0.8, "% w/w", "").levels(5, "ratio")]
        [0.4, 0.4757, 0.5657, 0.6727, 0.8]
        """
        if even == "ratio" and not self.low > 0.0:
            raise BadInput(
                f"the {self.kind} begins at {self.low:g}; take steps even in difference.", "even"
            )
        share = [at / (count - 1) for at in range(count)]
        if even == "ratio":
            return [self.low * (self.high / self.low) ** value for value in share]
        return [self.low + (self.high - self.low) * value for value in share]


class Glass(NamedTuple):
    """One glass: its levels, what is added to 1 kg of the base in kg, and its answer as a blend."""

    name: str
    levels: tuple[float, ...]
    added_kg: tuple[float, ...]
    answer: Answer


class GlassWeigh(NamedTuple):
    """What goes into one glass, in g: base, then each addition or its stock."""

    base_g: float
    added_g: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class Ladder:
    """The glasses, what to weigh, and what to make first."""

    steps: tuple[LadderStep, ...]
    base: tuple[Part, ...]
    glasses: tuple[Glass, ...]
    weigh: tuple[GlassWeigh, ...]
    stocks: tuple[float | None, ...]  # of each addition: its share in a stock of the base, or none
    base_g: float  # of all glasses and stocks
    added_g: tuple[float, ...]
    volume_ml: float
    scale_g: float

    @property
    def too_close(self) -> list[str]:
        """What is stepped more finely than people can tell. Source: [PALATE-2022] (read)."""
        return [
            step.kind
            for at, step in enumerate(self.steps)
            if (least := LEAST_RATIO.get(step.kind))
            for levels in [sorted({glass.levels[at] for glass in self.glasses})]
            if any(b < a * least - 1e-9 for a, b in pairwise(levels))
        ]

    @property
    def allergens(self) -> tuple[str, ...]:
        """What the glasses hold that must be said."""
        found = {allergen for part in self.base for allergen in part.mixture.allergens}
        for glass in self.glasses:
            assert glass.answer.product is not None
            found |= set(glass.answer.product.allergens)
        return tuple(sorted(found))

    @property
    def abv_percent(self) -> float:
        """Strength of the strongest glass, % vol."""
        return max(_value(glass.answer, "abv") or 0.0 for glass in self.glasses)


def ladder(
    base: Sequence[str],
    steps: Sequence[LadderStep],
    counts: Sequence[int],
    *,
    even: str,
    volume_ml: float,
    scale_g: float,
    pantry: Pantry | None = None,
) -> Ladder:
    """The ladder of these parts; BadInput where a level cannot be met or weighed.

    counts: glasses along each step. volume_ml: of each glass. scale_g: the step of the scale.
    """
    pantry = pantry or Pantry()
    if not 1 <= len(steps) <= 2 or len(steps) != len(counts):
        raise BadInput("a ladder steps one thing or two; give a count for each.", "step")
    if len({step.kind for step in steps}) < len(steps):
        raise BadInput(f"the {steps[0].kind} is stepped twice; step two different things.", "step")
    if not FEWEST <= math.prod(counts) <= MOST or min(counts) < (2 if len(counts) == 2 else FEWEST):
        raise BadInput(
            f"that makes {math.prod(counts)} glasses; a ladder has {FEWEST} to {MOST}.", "glasses"
        )
    parts = tuple(pantry.part(text, "part") for text in base)
    levels = [step.levels(count, even) for step, count in zip(steps, counts, strict=True)]
    glasses = tuple(
        _glass(at, base, parts, steps, each, pantry) for at, each in enumerate(product(*levels), 1)
    )
    _held(glasses)
    return _weighed(parts, tuple(steps), glasses, volume_ml, scale_g)


def _glass(
    at: int,
    words: Sequence[str],
    parts: Sequence[Part],
    steps: Sequence[LadderStep],
    levels: tuple[float, ...],
    pantry: Pantry,
) -> Glass:
    """What is added for one glass, and the glass as blend answers it."""
    base = Mixture.total(part.mixture for part in parts)
    per_kg = base.scaled(1.0 / base.mass_kg)
    wanted, additions, diluted, order = [], [], 0.0, []
    for place, (step, level) in enumerate(zip(steps, levels, strict=True)):
        if step.kind == "dilution":
            diluted = level / 100
            per_kg += pantry.ingredient(step.added, "with").mixture.scaled(diluted)
        elif step.kind != "temperature":
            unit = pantry.ingredient(step.added, "with").mixture
            shown = f"{level:.4g} {step.unit}"
            wanted.append(
                syrup.Target(step.kind, level / 100, step.kind == "strength", "step", shown)
            )
            additions.append(syrup.Addition(step.added, unit, "with"))
            order.append(place)
    amounts, water = syrup.solve(per_kg, wanted, additions)
    if water:
        raise BadInput(
            "these levels need water as well; take a stronger base, or step the dilution.", "step"
        )
    added = [diluted if step.kind == "dilution" else 0.0 for step in steps]
    for place, kg in zip(order, amounts, strict=True):
        added[place] = kg
    more = [
        f"{1000 * kg * base.mass_kg:.9f} g {step.added}"
        for step, kg in zip(steps, added, strict=True) if kg > 0.0
    ]  # fmt: skip
    name = ", ".join(f"{s.kind} {_told(v, s)}" for s, v in zip(steps, levels, strict=True))
    answer = registry.run("blend", {"part": [*words, *more]}, pantry=pantry)
    return Glass(f"{at}: {name}", levels, tuple(added), answer)


def _held(glasses: Sequence[Glass]) -> None:
    for glass in glasses:
        if glass.answer.verdict == "stop":
            worst = glass.answer.cautions[0]
            raise BadInput(f"glass {glass.name}: STOP. {worst.text} {worst.action}", "part")
    strongest = max(_value(glass.answer, "abv") or 0.0 for glass in glasses)
    if len(glasses) > most_glasses(strongest):
        raise BadInput(
            f"{len(glasses)} glasses of up to {strongest:.0f} % vol are more than the "
            f"{most_glasses(strongest)} that one person should taste at a time (our judgement).",
            "glasses",
        )


def _weighed(
    parts: tuple[Part, ...],
    steps: tuple[LadderStep, ...],
    glasses: tuple[Glass, ...],
    volume_ml: float,
    scale_g: float,
) -> Ladder:
    """The weights of each glass: additions as they are, or in a stock of the base."""
    whole_g = []
    for glass in glasses:
        product_ = glass.answer.product
        assert product_ is not None
        whole_g.append(volume_ml * product_.density_kg_m3(20.0) / 1000)
    base_g = [
        mass / (1.0 + math.fsum(glass.added_kg))
        for mass, glass in zip(whole_g, glasses, strict=True)
    ]
    added = [
        [grams * glass.added_kg[at] for grams, glass in zip(base_g, glasses, strict=True)]
        for at in range(len(steps))
    ]
    stocks = tuple(_stock(row, base_g, scale_g) for row in added)
    weigh, base_all, added_all = [], 0.0, [0.0] * len(steps)
    for at in range(len(glasses)):
        base, each = base_g[at], []
        for place, share in enumerate(stocks):
            grams = added[place][at]
            if share is None or not grams:
                each.append(_rounded(grams, scale_g))
                continue
            each.append(_rounded(grams / share, scale_g))
            base -= grams * (1.0 - share) / share
        if base < 0.0:
            raise BadInput(
                f"a glass of {volume_ml:g} ml is too small for a scale of {scale_g:g} g. Take a "
                "larger glass or a finer scale.",
                "volume",
            )
        weigh.append(GlassWeigh(_rounded(base, scale_g), tuple(each)))
    for place, share in enumerate(stocks):
        added_all[place] = math.fsum(added[place])
        if share is not None:
            enough = max(_SPARE * added_all[place], STEPS_OF_SCALE * scale_g)
            added_all[place] = math.ceil(enough / scale_g - 1e-9) * scale_g
            base_all += added_all[place] * (1.0 - share) / share
    base_all += math.fsum(glass_weigh.base_g for glass_weigh in weigh)
    return Ladder(
        steps=steps, base=parts, glasses=glasses, weigh=tuple(weigh), stocks=stocks,
        base_g=base_all, added_g=tuple(added_all), volume_ml=volume_ml, scale_g=scale_g,
    )  # fmt: skip


def _stock(grams: Sequence[float], base_g: Sequence[float], scale_g: float) -> float | None:
    """The share of an addition in a stock of the base; None where it can be weighed as it is."""
    least = min((mass_g for mass_g in grams if mass_g > 0.0), default=math.inf)
    if least >= STEPS_OF_SCALE * scale_g:
        return None
    for share in _STOCK_SHARES:
        fits = all(
            mass_g * (1.0 - share) / share <= base
            for mass_g, base in zip(grams, base_g, strict=True)
        )
        if fits and least / share >= STEPS_OF_SCALE * scale_g:
            return share
    raise BadInput(
        f"the smallest amount is {least:.3g} g, too little for a scale of {scale_g:g} g even in a "
        "stock. Take a larger glass or a finer scale.",
        "volume",
    )


def _rounded(grams: float, step: float) -> float:
    return round(grams / step) * step


def _value(answer: Answer, name: str) -> float | None:
    value = answer.values.get(name)
    return None if value is None else value.value


def _told(level: float, step: LadderStep) -> str:
    unit = {"% w/w": "%", "% vol": "% vol", "%": "%", "C": "°C"}[step.unit]
    digits = 0 if step.kind in ("temperature", "dilution") else 1 if step.high >= 10 else 2
    return f"{level:.{digits}f} {unit}"


def counts_of(words: str, steps: int) -> tuple[int, ...]:
    """Glasses along each step, from "5" or "3 x 3"; BadInput otherwise.

    >>> counts_of("5", 1), counts_of("3 x 3", 2)
    ((5,), (3, 3))
    """
    found = [word.strip() for word in re.split(r"[x×*]", words.lower())]
    if len(found) != steps or not all(value.isdecimal() and len(value) < 4 for value in found):
        sample = "5" if steps == 1 else "3 x 3"
        raise BadInput(f'"{words[:40]}" is no count of glasses; write {named("glasses", sample)}.',
                       "glasses")  # fmt: skip
    return tuple(int(value) for value in found)


def properties(one: Ladder) -> list[dict[str, Any]]:  # Any: numbers and words, for JSON
    """What each glass is like, by name."""
    shown = ("acidity", "sugar", "abv", "ph", "refractometer")
    return [
        {"glass": glass.name, **{name: _value(glass.answer, name) for name in shown}}
        for glass in one.glasses
    ]


def read_with(said: Sequence[str]) -> dict[str, str]:
    """What is added for each kind of step, from "acidity: malic acid"; BadInput otherwise."""
    found: dict[str, str] = {}
    for text in said:
        kind, colon, added = (word.strip() for word in text.partition(":"))
        kind = kind.lower()
        if not colon or kind not in _KINDS or kind == "temperature" or not added:
            raise BadInput(
                f'"{text[:60]}" says not what is added for which step; write '
                f"{named('with', 'acidity: malic acid')}.",
                "with",
            )
        if kind in found:
            raise BadInput(f"what is added for the {kind} is said twice; say it once.", "with")
        found[kind] = added
    return found


def number(words: str, unit: str, field: str, low: float, high: float) -> float:
    """A quantity in its unit between limits; BadInput otherwise."""
    value = float(parse_quantity(words, (unit,), field))
    if not low <= value <= high:
        raise BadInput(
            f"{named(field)} is {value:g} {unit}; give {low:g} to {high:g} {unit}.", field
        )
    return value


EXAMPLE = (
    'prepkit ladder --part "1 l water" --part "150 g white sugar" '
    '--step "acidity: 0.4 % to 0.8 %" --glasses 5 --volume "40 ml"'
)
TASTES = {
    "acidity": "sour", "sugar": "sweet", "strength": "strong", "dilution": "watery",
    "temperature": "warm",
}  # fmt: skip


class Wish(Inputs):
    """What the form of a ladder asks."""

    part: tuple[Part, ...] = some_parts(
        "the drink", "Its parts as they stand before the steps. One for each.", "1 l water"
    )
    step: tuple[str, ...] = words(
        "steps",
        "One thing or two: acidity, sugar, strength, dilution or temperature, from the lower level "
        "to the higher.",
        "acidity: 0.4 % to 0.8 %", many=True,
    )  # fmt: skip
    glasses: str = words("glasses", "A count from 3 to 9; for two steps one for each.", "5")
    volume: Measured = quantity(
        "ml", "volume of each glass", "The amount one person tastes.", "40 ml", low=5, high=500,
        because="one glass",
    )  # fmt: skip
    scale: Measured = quantity(
        "g", "step of the scale", "The smallest step that it shows.", "0.1 g", default=0.1,
        low=0.0001, high=10, because="a scale of a kitchen",
    )  # fmt: skip
    with_: tuple[str, ...] = words(
        "what is added", "For a step; else citric acid, white sugar, water. A strength needs its "
        "spirit.", "acidity: malic acid", default=(), many=True,
    )  # fmt: skip
    even: str = choice(("ratio", "difference"), "even in", "Taste follows ratios.", default="ratio")

    def ladder(self, said: Sequence[str], pantry: Pantry) -> Ladder:
        """The ladder of these words; `said` are the parts as they were typed. Raises BadInput."""
        added = read_with(self.with_)
        steps = [LadderStep.read(text, added) for text in self.step]
        unused = sorted(added.keys() - {step.kind for step in steps})
        if unused:
            raise BadInput(f"no step is of the {unused[0]}; leave its addition out.", "with")
        return ladder(
            said, steps, counts_of(self.glasses, len(steps)), even=self.even,
            volume_ml=float(self.volume), scale_g=float(self.scale), pantry=pantry,
        )  # fmt: skip


def tasting_of(found: Ladder, tasters: int, seed: int = 1) -> Tasting:
    """The ranking that judges a ladder, in its order; BadInput for a grid of two."""
    if len(found.steps) > 1:
        raise BadInput("a grid has no single order to rank; write a ladder of one step.", "out")
    return Tasting(
        title="Blind tasting",
        test="ranking",
        glasses=tuple(glass.name.partition(": ")[2] for glass in found.glasses),
        taste=TASTES[found.steps[0].kind],
        in_order=True,
        tasters=tasters,
        seed=seed,
        glass_ml=found.volume_ml,
        abv_percent=found.abv_percent,
        allergens=found.allergens,
    )
