"""correct: the least to add to bring a measured batch to its targets."""

from __future__ import annotations

import math
from collections.abc import Sequence
from math import hypot
from typing import NamedTuple

from prepkit import derived
from prepkit.calculators import reading
from prepkit.errors import BadInput, BadQuantity, named
from prepkit.facts import Facts, known_only
from prepkit.ingredient import Ingredient, Part, require_batch
from prepkit.inputs import Inputs as BaseInputs
from prepkit.inputs import flag, ingredient, part, quantity
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Column, Figure, Screen, Step, Table, output
from prepkit.model import Result as BaseResult
from prepkit.pantry import Pantry
from prepkit.science import solution
from prepkit.shared import acidity, instruments, syrup
from prepkit.shared.instruments import Fractions, SampleAcid
from prepkit.shared.syrup import Addition, Target
from prepkit.units import SPREAD, Measured, split_amount

# ---- what correct is told ----

_DEFAULTS = {"to_brix": ("sweeten", "white sugar"), "to_acidity": ("sour", "citric acid")}


class Inputs(BaseInputs):
    """The batch as measured, its targets, and what may be added."""

    groups = (
        ("Most needed", "batch refractometer brix acidity abv to_brix to_acidity to_abv"),
        ("Instruments", "hydrometer temperature atc scale"),
        ("Additions", "sweeten sour spirit"),
        ("Conditions", "fridge"),
    )

    batch: Part = part(
        "batch",
        "Its amount, by weight or by volume at 20 °C, and its name. A known name brings its "
        "allergens. Its make-up is as measured.",
        "2 kg cordial",
    )
    brix: Measured | None = quantity(
        "Bx", "true dissolved solids", "Sugar and acid by weight, not a reading.",
        "43", default=None, low=0, high=85, because="no syrup holds more", bare=True,
    )  # fmt: skip
    refractometer: Measured | None = quantity(
        "Bx", "refractometer reading", "As read. The share of acid and alcohol is "
                                                    "subtracted.",
        "44.1", default=None, low=0, high=95, because="the sugar scale", bare=True,
    )  # fmt: skip
    hydrometer: Measured | None = quantity(
        ("Bx", "kg/m3"), "hydrometer reading",
        f"With {named('refractometer')} it tells the strength; alone it needs {named('abv')}.",
        "15.8 Bx", default=None, low=0,
    )  # fmt: skip
    temperature: Measured = quantity(
        "C", "temperature of the sample", "When it was read.", "24 C", default=20.0,
        low=instruments.LOW_C, high=instruments.HIGH_C,
        because="no correction is known outside; bring the sample to 20 °C",
    )  # fmt: skip
    atc: bool = flag(
        "the refractometer corrects for temperature", "Its reading is then taken as at 20 °C."
    )
    scale: Measured | None = quantity(
        "Bx", "highest mark of the refractometer", "A reading there is over range.", "62",
        default=None, above=0, high=100, because="the sugar scale", bare=True,
    )  # fmt: skip
    acidity: Measured | None = quantity(
        ("% w/w", "g/l"), "acidity of the batch", "From a titration, as citric acid.", "1.1 %",
        default=None, low=0, high=300, because="no more is drunk",
    )  # fmt: skip
    abv: Measured | None = quantity(
        "% vol", "strength of the batch", "From the recipe or distillation; 0 where there is none.",
        "12 % vol", default=None, low=0, high=60, because="not computed in stronger liquids",
        bare=True,
    )  # fmt: skip
    to_brix: Measured | None = quantity(
        ("Bx", "g/l"), "sugar target", "True dissolved solids by weight (Bx), or sugars in a litre "
        "at 20 °C.", "45", default=None, above=0, bare=True,
    )  # fmt: skip
    to_acidity: Measured | None = quantity(
        ("% w/w", "g/l"), "acidity target", "As citric acid, by weight or in a litre at 20 °C.",
        "1.3 %", default=None, above=0, high=500, because="no more dissolves",
    )  # fmt: skip
    to_abv: Measured | None = quantity(
        "% vol", "strength target", "At 20 °C.", "14 % vol", default=None, above=0, high=60,
        because="not computed in stronger liquids", bare=True,
    )  # fmt: skip
    sweeten: Ingredient | None = ingredient(
        "sweetener",
        "White sugar if left out. Several by their parts.",
        "white sugar",
        default=None,
        several=True,
    )
    sour: Ingredient | None = ingredient(
        "acid",
        "Citric acid if left out. Several by their parts.",
        "citric acid",
        default=None,
        several=True,
    )
    spirit: Ingredient | None = ingredient(
        "spirit", "A spirit with its own strength; none is added without it.",
        "spirit 40 %", default=None,
    )  # fmt: skip
    fridge: Measured = quantity(
        "C", "temperature of the fridge", "Where crystals are judged.", "4 C", default=4.0,
        low=0, high=15, because="a fridge",
    )  # fmt: skip

    @classmethod
    def before_reading(cls, said: dict[str, object], pantry: Pantry) -> dict[str, object]:
        """Hook of the base: the usual addition to each target, and a batch of any name."""
        for target, (adder, usual) in _DEFAULTS.items():
            if said.get(target) is not None and said.get(adder) is None:
                said[adder] = usual
        batch = said.get("batch")
        if isinstance(batch, str):
            said["batch"] = batch_of_any_name(batch, pantry)
        return said


# ---- a batch as it was measured, and the least that may be added to bring it to its targets ----

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
        known = Ingredient(name or NO_NAME, "", "liquid", syrup.WATER, "", "")
    require_batch(float(amount) / 1000.0, words.strip(), named("batch"))
    return Part(words.strip(), amount, known, known.mixture.scaled(float(amount) / 1000.0))


def _spread_after_name(words: str, amount: Measured, name: str) -> tuple[Measured, str]:
    """The amount with the ± that was written last: "2 kg cordial ± 0.2 kg"."""
    name, spread = (word.strip() for word in SPREAD.split(name, maxsplit=1))
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


class MeasuredBatch(NamedTuple):
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
            return Mixture(_masses(instruments.composition(sugar, abv, SampleAcid("citric", acid))))
        return Mixture(_masses(self.mix))


def _masses(mix: Fractions) -> dict[str, float]:
    held = {name: value for name, value in mix.items() if value > 0.0}
    return held | {"water": 1.0 - math.fsum(held.values())}


def measured(inputs: Inputs) -> MeasuredBatch:
    """The batch from what was measured of it."""
    _check(inputs)
    level = 0.0 if inputs.acidity is None else float(inputs.acidity)
    by_volume = inputs.acidity is not None and inputs.acidity.unit == "g/l"
    wanted = level if by_volume else level / 100.0
    acid = SampleAcid("citric", wanted, by_volume)
    found = _read(inputs, acid)
    for _ in range(_PASSES if wanted else 0):  # a titration ends a little short of all the acid
        mixture = found.mixture()
        density = mixture.density_kg_m3(20.0) if by_volume else 1.0
        shown = mixture.acidity_as_citric * density
        acid = SampleAcid("citric", acid.level * wanted / shown if shown else wanted, by_volume)
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


def _read(inputs: Inputs, acid: SampleAcid) -> MeasuredBatch:
    abv = 0.0 if inputs.abv is None else float(inputs.abv) / 100.0
    t = float(inputs.temperature)
    if inputs.brix is not None:
        return MeasuredBatch(
            _of_solids(float(inputs.brix) / 100.0, abv, acid), 0.0, 0.0, None, False
        )
    at_20 = seen = None
    if inputs.refractometer is not None:
        at_20 = instruments.refractometer_at_20(float(inputs.refractometer), t, inputs.atc)
    if inputs.hydrometer is not None:
        seen = instruments.seen_density(reading.hydrometer_mark(inputs.hydrometer), t)
    if at_20 is not None and seen is not None:
        mix = instruments.from_two(at_20, seen, t, acid)
        read_acid = SampleAcid("citric", mix["citric"])
        errors = instruments.error_of_two(at_20, seen, t, read_acid, mix)
        found = MeasuredBatch(mix, *errors, at_20, True)
    else:
        mix = reading.from_one(at_20, seen, t, abv, acid)
        error = reading.error_of_one(at_20, t, mix, acid)
        if inputs.abv is None or inputs.acidity is None:
            error = max(error, instruments.TRAINED_SUGAR)
        found = MeasuredBatch(mix, error, 0.0, at_20, False)
    instruments.require_near_20(20.0 if at_20 is None or inputs.atc else t, mix.get("ethanol", 0.0))
    return found


def _of_solids(solids: float, abv: float, acid: SampleAcid) -> dict[str, float]:
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
    found = [added for added in (_solved(base, wanted, choice) for choice in choices) if added]
    if not found:
        return None
    best = min(found, key=lambda added: added.total_kg)
    none = {addition.field: 0.0 for addition in additions if addition is not None}
    return Added(none | best.kg)


def _solved(
    base: Mixture, wanted: Sequence[Target], additions: Sequence[Addition | None]
) -> Added | None:
    try:
        amounts, water = syrup.solve(base, wanted, additions)
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
            syrup.solve(base, [target], [addition])
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
            level = syrup.shown(target, target.found(after))
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
        addition.unit.scaled(added.kg[addition.field])
        for addition in additions
        if addition is not None and added.kg.get(addition.field)
    ]
    if added.kg.get("water"):
        parts.append(syrup.WATER.scaled(added.kg["water"]))
    return Mixture.total((base, *parts))


def spread(
    batch: MeasuredBatch,
    wanted: Sequence[Target],
    additions: Sequence[Addition | None],
    added: Added,
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


# ---- correct ----

EXAMPLE = (
    'prepkit correct --batch "2 kg cordial" --refractometer 44.1 --acidity "1.1 %" --abv 0 '
    '--to-brix 45 --to-acidity "1.3 %"'
)
_SHOWN: tuple[derived.Name, ...] = (
    "density", "abv", "ethanol", "sugar", "dissolved_solids", "refractometer", "hydrometer",
    "acidity", "sugar_acid_ratio",
)  # fmt: skip


class Result(BaseResult):
    """What to add, and the batch after it."""

    screen = Screen(
        headline=(
            "Add {added} in all: {mass} at {dissolved_solids}, {acidity} acidity.",
            "Add {added} in all: {mass} at {dissolved_solids}.",
            "Add {added} in all: {mass}.",
        ),
        primary=(
            "mass",
            Figure("volume", "volume"),
            Figure("true dissolved solids", "dissolved_solids"),
            Figure("acidity, as citric", "acidity"),
            Figure("strength", "abv"),
            Figure("sugar to acid", "sugar_acid_ratio"),
            Figure("sugars", "sugar"),
        ),
        check=(
            Figure("refractometer", "refractometer"),
            Figure("sugar hydrometer", "hydrometer"),
            Figure("density", "density"),
        ),
        weigh="add",
    )

    water_to_add: float | None = output("water to add", "g", 1, extensive=True)
    sweetener_to_add: float | None = output("sweetener to add", "g", 1, extensive=True)
    sour_to_add: float | None = output("acid to add", "g", 2, extensive=True)
    spirit_to_add: float | None = output("spirit to add", "g", 1, extensive=True)
    added: float | None = output("added in all", "g", 1, extensive=True)
    mass_before: float | None = output("batch before", "g", 1, extensive=True)
    mass: float | None = output("new yield", "g", 1, extensive=True)
    volume: float | None = output("new volume at 20 °C", "ml", 0, extensive=True)
    dissolved_solids: float | None = output("true dissolved solids after", "Bx", 2)
    sugar: float | None = output("sugars after", "% w/w", 2)
    sugar_g_l: float | None = output("sugars in the volume after", "g/l", 0)
    refractometer: float | None = output("expected refractometer reading (20 °C)", "Bx", 1)
    hydrometer: float | None = output("expected hydrometer reading (20 °C)", "Bx", 1)
    density: float | None = output("density after, at 20 °C", "kg/m3", 1)
    acidity: float | None = output("titratable acidity after, as citric", "% w/w", 2)
    acidity_g_l: float | None = output("titratable acidity after, as citric", "g/l", 1)
    sugar_acid_ratio: float | None = output("sugar to acid after", "", 1)
    abv: float | None = output("strength after, at 20 °C", "% vol", 2)
    ethanol: float | None = output("ethanol", "g", 1, extensive=True)


def compute(inputs: Inputs) -> Result:
    """The batch per kg, the least additions per kg, then all of it."""
    if inputs.refractometer is not None and inputs.scale is not None:
        instruments.Graduations(named("refractometer"), "Bx", float(inputs.scale)).check(
            float(inputs.refractometer)
        )
    if not inputs.batch.amount > 0.0:
        raise BadInput(
            f'{named("batch")} is "{inputs.batch.words}"; it must be more than 0, such as 2 kg.',
            "batch",
        )
    wanted, additions = _targets(inputs)
    batch = measured(inputs)
    base = batch.mixture()
    added = least(base, wanted, additions)
    if added is None:
        raise unreachable(base, wanted, additions)
    corrected = total(base, additions, added)
    require_dissolved(corrected, named("to_acidity"))
    amount = inputs.batch.amount
    kg = float(amount) / 1000.0
    if amount.unit == "ml":
        kg *= base.density_kg_m3(20.0) / 1000.0
    errors = spread(batch, wanted, additions, added)
    return _answer(inputs, batch, corrected, added, errors, wanted, additions, kg)


def _targets(inputs: Inputs) -> tuple[list[Target], list[Addition | None]]:
    wanted: list[Target] = []
    additions: list[Addition | None] = []

    def want(kind: str, name: str, level: float, by_volume: bool, adder: str) -> None:
        value, found = getattr(inputs, name), getattr(inputs, adder)
        words = f"{float(value):g} {value.unit}"
        wanted.append(Target(kind, level, by_volume, name, words))
        additions.append(Addition(found.name, found.mixture, adder) if found else None)

    if inputs.to_brix is not None:
        level, by_volume = float(inputs.to_brix), inputs.to_brix.unit == "g/l"
        syrup.sugar_in_range(inputs.to_brix, "to_brix")
        kind = "sugar" if by_volume else "solids"
        want(kind, "to_brix", level if by_volume else level / 100.0, by_volume, "sweeten")
    if inputs.to_acidity is not None:
        level, by_volume = float(inputs.to_acidity), inputs.to_acidity.unit == "g/l"
        want("acidity", "to_acidity", level if by_volume else level / 100.0, by_volume, "sour")
    if inputs.to_abv is not None:
        want("strength", "to_abv", float(inputs.to_abv) / 100.0, True, "spirit")
    if not wanted:
        raise BadInput(
            f"correct needs a target: {named('to_brix')}, {named('to_acidity')} or "
            f"{named('to_abv')}, one or all.",
            "to_brix",
        )
    for adder, target in (("sweeten", "to_brix"), ("sour", "to_acidity"), ("spirit", "to_abv")):
        if getattr(inputs, adder) is not None and getattr(inputs, target) is None:
            raise BadInput(
                f"{named(adder)} {getattr(inputs, adder).name} needs {named(target)}, "
                f"the target to add it to.", target,
            )  # fmt: skip
    return wanted, additions


def _answer(
    inputs: Inputs,
    batch: MeasuredBatch,
    one: Mixture,  # 1 kg of the batch with what was added
    added: Added,
    errors: dict[str, float],
    wanted: list[Target],
    additions: list[Addition | None],
    kg: float,
) -> Result:
    known = inputs.batch.ingredient
    mine = known.mixture
    one = one + Mixture({}, mine.allergens, mine.tags, mine.keeps)
    product = one.scaled(kg)
    shown, spread = derived.of(one, *_SHOWN)
    shown["ethanol"] = 1000.0 * product.ethanol_kg or None
    litre = 1e3 * one.volume_20_m3
    grams = {name: 1000.0 * kg * each for name, each in added.kg.items()}
    roles = {"water": "water_to_add", "sweeten": "sweetener_to_add", "sour": "sour_to_add",
             "spirit": "spirit_to_add"}  # fmt: skip
    for name, error in errors.items():
        spread[roles[name]] = 1000.0 * kg * error
    if batch.solids_error:
        spread["dissolved_solids"] = batch.solids_error
        spread["sugar"] = batch.solids_error
    if batch.abv_error:
        spread["abv"] = batch.abv_error
    facts = _facts(inputs, batch, product, added)
    return Result(
        density=shown["density"],
        abv=shown["abv"] or None,
        ethanol=shown["ethanol"],
        sugar=shown["sugar"],
        dissolved_solids=shown["dissolved_solids"],
        refractometer=shown["refractometer"],
        hydrometer=shown["hydrometer"],
        acidity=shown["acidity"] or None,
        sugar_acid_ratio=shown["sugar_acid_ratio"],
        product=product,
        water_to_add=grams.get("water"),
        sweetener_to_add=grams.get("sweeten"),
        sour_to_add=grams.get("sour"),
        spirit_to_add=grams.get("spirit"),
        added=math.fsum(grams.values()),
        mass_before=1000.0 * kg,
        mass=1000.0 * product.mass_kg,
        volume=1e6 * product.volume_20_m3,
        sugar_g_l=1000.0 * one.of(*SUGARS) / litre,
        acidity_g_l=1000.0 * one.acidity_as_citric * one.mass_kg / litre or None,
        facts=known_only(facts),
        working=tuple(_working(batch, product, grams, wanted, additions)),
        tables=(_weigh(inputs, grams, additions), _levels(batch, product, wanted, kg)),
        model_error=spread,
    )


def _facts(inputs: Inputs, batch: MeasuredBatch, product: Mixture, added: Added) -> Facts:
    fridge = float(inputs.fridge)
    return {
        **acidity.saturation_facts(product, fridge),
        "solids_percent": 100.0 * product.dissolved_solids,
        "two_readings": batch.both,
        "acid_not_given": inputs.acidity is None,
        "alcohol_not_given": inputs.abv is None and not batch.both,
        "name_known": bool(inputs.batch.ingredient.group),
        "usual_end": instruments.usual_end(float(inputs.refractometer))
        if inputs.refractometer is not None and inputs.scale is None
        else None,
        **_strength_in_the_name(inputs, batch),
        "fridge_c": fridge,
        "supersaturation_fridge": syrup.supersaturation(product, fridge),
        "added_percent": 100.0 * added.total_kg,
    }


def _strength_in_the_name(inputs: Inputs, batch: MeasuredBatch) -> Facts:
    """How far the strength that the name says lies from the one that was counted, % vol."""
    known = inputs.batch.ingredient
    if not known.group:
        return {}
    try:
        additions = 100.0 * known.mixture.abv
    except BadInput:  # no volume, no strength
        return {}
    counted = 100.0 * instruments.abv_of(batch.mix)
    return {
        "named_percent": additions,
        "counted_percent": counted,
        "name_gap_percent": abs(additions - counted),
    }


def _weigh(inputs: Inputs, grams: dict[str, float], additions: list[Addition | None]) -> Table:
    units = {addition.field: addition for addition in additions if addition is not None}
    rows: list[tuple[str | float | None, ...]] = []
    for field in ("water", "spirit", "sweeten", "sour"):
        if not grams.get(field):
            continue
        unit = syrup.WATER if field == "water" else units[field].unit
        name = "water" if field == "water" else units[field].name
        for text, mixture, share in syrup.apart(getattr(inputs, field, None), name, unit):
            volume = derived.volume_ml(mixture.scaled(grams[field] / 1000.0 * share))
            rows.append((text, grams[field] * share, volume))
    columns = (Column("add"), Column("mass", "g", 2), Column("volume at 20 °C", "ml", 1))
    return Table("add", "add, by weight", columns, tuple(rows))


def _levels(batch: MeasuredBatch, product: Mixture, wanted: list[Target], kg: float) -> Table:
    """Before, wanted, after."""
    before = batch.mixture().scaled(kg)
    aims = {target.kind: target.words for target in wanted}
    said: dict[derived.Name, tuple[str, str | None]] = {
        "dissolved_solids": ("true dissolved solids, Bx", aims.get("solids") or aims.get("sugar")),
        "refractometer": ("refractometer, Bx", None),
        "acidity": ("acidity as citric, % w/w", aims.get("acidity")),
        "abv": ("strength, % vol", aims.get("strength")),
        "density": ("density, kg/m3", None),
        "mass": ("mass, g", None),
        "volume": ("volume, ml", None),
    }
    old, new = derived.of(before, *said)[0], derived.of(product, *said)[0]
    rows = tuple(
        (label, old[name] or 0.0, aim or "", new[name] or 0.0)
        for name, (label, aim) in said.items()
        if old[name] is not None or new[name] is not None
    )
    columns = (Column("what"), Column("as measured", "", 2), Column("target"),
               Column("after", "", 2))  # fmt: skip
    return Table("levels", "before and after", columns, rows)


def _working(
    batch: MeasuredBatch,
    product: Mixture,
    grams: dict[str, float],
    wanted: list[Target],
    additions: list[Addition | None],
) -> list[Step]:
    mix = batch.mix
    found = f"sugar {100.0 * mix['sucrose']:.2f} %, citric acid {100.0 * mix['citric']:.3f} %, "
    found += f"ethanol {100.0 * mix.get('ethanol', 0.0):.2f} % by weight"
    from_what = f"{batch.at_20:.2f} Bx at 20 °C" if batch.at_20 is not None else "as measured"
    names = {addition.field: addition.name for addition in additions if addition is not None} | {
        "water": "water"
    }
    steps = [Step("batch", f"{from_what}: {found}", source="PREPKIT-SOLUTION")]
    steps += [
        Step(f"{names[field]} to add", "smallest addition that meets all targets by mass", one, "g",
             "DEFINITION")
        for field, one in grams.items()
    ]  # fmt: skip
    steps += [
        Step(f"check {Inputs.spec(target.field).label}",
             f"{syrup.shown(target, target.found(product))} after, {target.words} wanted")
        for target in wanted
    ]  # fmt: skip
    return steps
