"""What was learnt, given to the next plan: the loss of each item, its ± and how many batches.

What a recipe says goes before what was learnt. A learnt loss is an amount of work, never of safety:
a plan that takes one is never judged milder than the same plan without it, and what the plan
without it warns of stands in both (`plan.plan_of` sees to that).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from prepkit.errors import BadInput
from prepkit.learn import losses
from prepkit.learn.batches import Batch
from prepkit.learn.losses import LOSS, Loss
from prepkit.plan.fields import MOST_LOSS
from prepkit.plan.learnt import Kind, LearntLoss
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe import Item, Recipe
from prepkit.science import own_loss
from prepkit.science.own_loss import Interval

_DUST = 1e-6
_KINDS: tuple[Kind, ...] = ("peel", "plants", "straining", "vessel")


@dataclass(frozen=True)
class Known:
    """What the batches of a bar tell of one loss: its values, oldest first, and its usual range."""

    loss: Loss
    values: tuple[float, ...]
    prior: own_loss.Belief | None = None  # of the others of its kind, where there are enough
    others: int = 0  # how many those are

    def interval(self) -> Interval:
        """Where the next batch lies with 95 %, in the loss's unit."""
        return _times(self.loss, own_loss.next_interval(self._belief()))

    def mean(self) -> Interval:
        """Where the bar's own mean lies with 95 %, in the loss's unit."""
        return _times(self.loss, own_loss.mean_interval(self._belief()))

    def upper(self, confidence: float = own_loss.CONFIDENCE) -> float:
        """What the next batch stays below with a probability, in the loss's unit."""
        found = own_loss.next_upper(self._belief(), confidence)
        return 100 * found if self.loss.unit == "%" else found

    @property
    def degrees(self) -> float:
        """Those of Student's t, by which the next batch scatters."""
        return self._belief().degrees

    def _belief(self) -> own_loss.Belief:
        return self.loss.learnt(self.values, self.prior)


def known(batches: Iterable[Batch]) -> dict[tuple[Kind, str], Known]:
    """All losses that measured batches tell of, by kind and of what.

    Raises BadInput for a batch whose figures are no numbers.
    """
    found: dict[tuple[Kind, str], Known] = {}
    for batch in batches:
        value = batch.figure("loss")
        loss = None if value is None else _loss(batch)
        if value is None or loss is None or value < 0:
            continue
        before = found.get(loss.key)
        values = before.values if before is not None and before.loss.unit == loss.unit else ()
        found[loss.key] = Known(loss, (*values, value))
    for kind in losses.WIDEST:  # what is lost on the way is of each item alone
        found.update(_alike([one for one in found.values() if one.loss.kind == kind]))
    return found


def _alike(group: list[Known]) -> Iterator[tuple[tuple[Kind, str], Known]]:
    """Losses of one kind, each drawn toward the mean of all, where there are enough of them."""
    scales = {(one.loss.unit, one.loss.prior().scale) for one in group}
    if len(group) < own_loss.LEAST_KINDS or len(scales) > 1:
        return
    values = [one.loss.plain(one.values) for one in group]
    for one in group:
        prior = own_loss.like_others(values, one.loss.prior())
        if prior is not None:
            yield one.loss.key, replace(one, prior=prior, others=len(group) - 1)


def _loss(batch: Batch) -> Loss | None:
    """The loss that a batch was recorded with; None of one that is not ours."""
    kind = next((one for one in _KINDS if one == batch.text("loss_kind")), None)
    low, high = batch.figure("loss_low"), batch.figure("loss_high")
    of, unit = batch.text("loss_of"), batch.text("loss_unit")
    if kind is None or low is None or high is None or not of or unit not in ("%", "g/g"):
        return None
    top = 100.0 if unit == "%" else 1e3
    if not 0.0 < low < high <= top:
        return None
    if kind in losses.USUAL:  # what a row of the ledger says of it does not count
        least, most = losses.USUAL[kind]
        return Loss(kind, of, LOSS, "%", (100 * least, 100 * most), practice=True)
    least, most = losses.WIDEST[kind]
    if not (least - _DUST <= low and high <= most + _DUST):
        raise BadInput(
            f"the usual range of what {of} keeps is {low:g} to {high:g} {unit} in {batch.item} "
            f'"{batch.batch}" of the ledger. It must lie between {least:g} and {most:g}. Take '
            f"that event back, and record the batch again.",
            "loss_low",
        )
    return Loss(kind, of, "", unit, (low, high), practice=False)


def learnt(prepared: Prepared, told: Mapping[tuple[Kind, str], Known]) -> tuple[LearntLoss, ...]:
    """What was learnt of the items of a recipe, in the order they are made."""
    found = []
    for id_ in prepared.order:
        for key in losses.keys(prepared, id_):
            if key in told:
                found.append(_of_item(prepared, id_, _as_published(prepared, id_, told[key])))
                break
    return tuple(found)


def _as_published(prepared: Prepared, id_: str, one: Known) -> Known:
    """The same with the usual range of the item itself: no row of a ledger steers that."""
    own = losses.loss_of(prepared, id_)
    same = own is not None and (own.key, own.unit) == (one.loss.key, one.loss.unit)
    return replace(one, loss=own) if own is not None and same else one


def _of_item(prepared: Prepared, id_: str, one: Known) -> LearntLoss:
    field = one.loss.field or losses.SOLIDS[prepared.recipe.items[id_].calculator].field
    loss = one.loss._replace(field=field)
    low, middle, high = one.interval()
    return LearntLoss(
        id_, loss.kind, loss.of, field, loss.unit, low, middle, high, one.upper(),
        len(one.values), loss.usual, loss.practice, losses.own_says(prepared, id_, loss),
        one.degrees, one.others,
    )  # fmt: skip


def taught(recipe: Recipe, batches: Iterable[Batch]) -> Prepared:
    """The recipe prepared with what the bar's batches tell of its losses.

    Where they tell nothing of it, it is what `prepare` gives.
    """
    told = known(batches)
    plain = prepare(recipe)
    found = learnt(plain, told) if told else ()
    if not found:
        return plain
    items = dict(recipe.items)
    for one in found:
        if one.used:
            items[one.item] = _with(items[one.item], one)
    again = prepare(recipe._replace(items=items), before=plain)
    return again._replace(plain=plain, learnt=found)


def _with(item: Item, one: LearntLoss) -> Item:
    """An item with its learnt loss: of solids with its ±, on the way as a share."""
    if one.field == LOSS:
        return item._replace(loss=min(one.middle, MOST_LOSS) / 100)
    solids = losses.SOLIDS[item.calculator]
    half = min(0.5 * (one.high - one.low), one.middle)
    unit = " %" if one.unit == "%" else ""
    middle = min(one.middle, solids.most)
    words = f"{middle:.6g}{unit} ± {half:.6g}{unit}"
    return item._replace(inputs={**item.inputs, one.field: words})


def _times(loss: Loss, interval: Interval) -> Interval:
    if loss.unit != "%":
        return interval
    return Interval(*(100 * one for one in interval))
