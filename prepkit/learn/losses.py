"""Which loss an item of a plan has, its usual range, and what a measured batch says of it.

What drained solids keep is worked out from the mass that was made: the calculator is run at two
values of what is kept, between which both are straight lines. What else is lost is a share of what
was to be made. These inputs and the share are all that learning ever sets.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from prepkit import registry
from prepkit.errors import PrepkitError
from prepkit.model import Answer, Inputs
from prepkit.pantry import Part
from prepkit.plan.fields import MOST_LOSS
from prepkit.plan.learnt import Kind
from prepkit.plan.made import Made, Planned
from prepkit.plan.prepare import Prepared
from prepkit.science import own_loss
from prepkit.science.own_loss import Belief


class Solids(NamedTuple):
    """A calculator whose solids keep liquid: the input that says how much, and its outputs."""

    kind: Kind
    parts: str  # the input of the solids
    field: str  # the input of what they keep
    kept: str  # the output, g
    unit: str
    at: tuple[float, float]  # two small values of the field, for the straight line
    most: float  # of the field
    instead: tuple[str, ...] = ()  # inputs that say the same thing


# the only inputs that learning may set, by calculator
SOLIDS: Mapping[str, Solids] = {
    "oleo": Solids("peel", "peel", "kept", "kept", "%", (1.0, 2.0), 150.0),
    "infuse": Solids("plants", "botanical", "kept", "kept", "g/g", (0.01, 0.02), 20.0,
                     ("drained",)),
    "cordial": Solids("plants", "part", "kept_by_solids", "kept_by_plants", "g/g", (0.01, 0.02),
                      20.0),
}  # fmt: skip
LOSS = "loss"  # of an item, the share lost on the way
# between which every usual range of solids lies: oleo's of drained peel, the table of infuse with
# the plant's own water on top [PEEL-PRACTICE, INFUSION-TRADE]
WIDEST: Mapping[Kind, tuple[float, float]] = {"peel": (20.0, 60.0), "plants": (0.1, 13.0)}
# no published figure: what is usual by the trade's practice, share of what is made [PRACTICE]
USUAL: Mapping[Kind, tuple[float, float]] = {"straining": (0.005, 0.08), "vessel": (0.02, 0.15)}

_FELT = 0.01  # of the mass, that half of the usual range must move it by


class Loss(NamedTuple):
    """One loss: which kind, of what, in which unit, and its usual range in that unit."""

    kind: Kind
    of: str
    field: str
    unit: str
    usual: tuple[float, float]
    practice: bool

    @property
    def key(self) -> tuple[Kind, str]:
        """What batches of the same loss share."""
        return self.kind, self.of

    def prior(self) -> Belief:
        """What is known before any own batch, on the scale of `unit`."""
        if self.unit == "%":
            return own_loss.share_prior(*(min(one / 100, 1.0) for one in self.usual))
        return own_loss.ratio_prior(*self.usual)

    def learnt(self, values: Iterable[float], prior: Belief | None = None) -> Belief:
        """The prior, or another, narrowed by own batches, in `unit`."""
        return own_loss.learnt(prior or self.prior(), self.plain(values))

    def plain(self, values: Iterable[float]) -> list[float]:
        """Values in `unit` as shares or ratios, none above what can be."""
        times = 100.0 if self.unit == "%" else 1.0
        most = 1.0 if self.unit == "%" else math.inf
        return [min(one / times, most) for one in values]


def keys(prepared: Prepared, id_: str) -> tuple[tuple[Kind, str], ...]:
    """The keys that batches of an item may be recorded under; nothing is run for it."""
    item = prepared.recipe.items[id_]
    if id_ not in prepared.products:
        return ()
    inputs, answer = prepared.ran[id_]
    found: list[tuple[Kind, str]] = []
    solids = SOLIDS.get(item.calculator)
    worked_out = solids is not None and answer is not None and solids.kept in answer.values
    if solids is not None and worked_out and (names := _names(inputs, solids)):
        found.append((solids.kind, names))
    vessel = answer is None or item.vessel is not None
    return (*found, ("vessel" if vessel else "straining", id_))


def loss_of(prepared: Prepared, id_: str) -> Loss | None:
    """The loss of an item: what its solids keep where that is felt, else what is lost on the way.

    None of a check and of an item that makes nothing.
    """
    item = prepared.recipe.items[id_]
    found = keys(prepared, id_)
    if not found:
        return None
    if len(found) > 1:
        solids = SOLIDS[item.calculator]
        usual = _usual(item.calculator, prepared.ran[id_][0], solids)
        if usual is not None:
            return Loss(*found[0], solids.field, solids.unit, usual, practice=False)
    kind, of = found[-1]
    low, high = USUAL[kind]
    return Loss(kind, of, LOSS, "%", (100 * low, 100 * high), practice=True)


def measured(plan: Planned, made: Made, loss: Loss, mass_g: float) -> float | None:
    """What a batch says of its loss, in the loss's unit, from the mass that was made.

    None where the mass tells nothing of it: more than all that went in, or less than all kept.
    """
    assert made.product is not None
    expected_g = 1000 * made.product.mass_kg
    if loss.field == LOSS:
        share = max(0.0, 1.0 - mass_g / expected_g)
        return 100 * share if 100 * share <= MOST_LOSS else None
    inputs, _ = plan.prepared.ran[made.item.id]
    solids = SOLIDS[made.item.calculator]
    ends = _ends(made.item.calculator, inputs, solids)
    if ends is None or not made.demand.scale > 0:
        return None
    (x0, mass0, _), (x1, mass1, _) = ends
    if mass0 == mass1:
        return None
    found = x0 + (mass_g / made.demand.scale - mass0) * (x1 - x0) / (mass1 - mass0)
    return found if 0.0 <= found <= solids.most else None


def own_says(prepared: Prepared, id_: str, loss: Loss) -> str:
    """What the recipe itself says of a loss; nothing where it says nothing."""
    item = prepared.recipe.items[id_]
    if loss.field == LOSS:
        return f"{100 * item.loss:g} %" if item.loss else ""
    for name in (loss.field, *SOLIDS[item.calculator].instead):
        if name in item.inputs:
            return f"{name} = {item.inputs[name]}"
    return ""


def _ends(
    calculator: str, inputs: Inputs, solids: Solids
) -> tuple[tuple[float, float, float], tuple[float, float, float]] | None:
    """Two points (what is kept in the field's unit, mass made, g kept), where there are such."""
    none = dict.fromkeys(solids.instead)
    found = []
    for at in solids.at:
        answer = _answer(calculator, inputs.replaced(**{**none, solids.field: at}))
        mass, kept = (None if answer is None else _number(answer, name)
                      for name in ("mass", solids.kept))  # fmt: skip
        if mass is None or kept is None:
            return None
        found.append((at, mass, kept))
    return found[0], found[1]


def _usual(calculator: str, inputs: Inputs, solids: Solids) -> tuple[float, float] | None:
    """The published range of what the solids keep, in the field's unit; None where it is not felt.

    A pinch of spice keeps less than a pan loses by steam: the mass then tells nothing of it.
    """
    if registry.not_run(calculator, inputs):
        return None
    none = dict.fromkeys(solids.instead)
    answer = _answer(calculator, inputs.replaced(**{**none, solids.field: None}))
    ends = _ends(calculator, inputs, solids)
    if answer is None or ends is None or solids.kept not in answer.values:
        return None
    kept = answer.values[solids.kept]
    (x0, mass0, kept0), (x1, _, kept1) = ends
    off = kept.plus_minus or 0.0
    if kept1 <= kept0 or off < _FELT * mass0:
        return None
    low, high = (
        round(x0 + (kept.value + sign * off - kept0) * (x1 - x0) / (kept1 - kept0), 6)
        for sign in (-1, 1)
    )
    return (low, high) if 0.0 < low < high else None


def _answer(calculator: str, inputs: Inputs) -> Answer | None:
    try:
        return registry.answer(calculator, inputs)
    except PrepkitError:
        return None


def _number(answer: Answer, name: str) -> float | None:
    found = answer.values.get(name)
    return None if found is None else found.value


def _names(inputs: Inputs, solids: Solids) -> str:
    """The solids by name, whatever their order: what batches of the same have in common."""
    said = getattr(inputs, solids.parts)
    each: list[Part] = []
    for one in said if isinstance(said, tuple) else (said,):
        each += list(one.each) if isinstance(one, Part) else []
    names = sorted({one.ingredient.name for one in each if _is_solid(one, solids)})
    return " and ".join(names)


def _is_solid(part: Part, solids: Solids) -> bool:
    from prepkit.shared import straining  # read where a batch is looked at

    return solids.parts != "part" or straining.is_strained(part)
