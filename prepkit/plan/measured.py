"""Readings given back to a plan: what drifted, what to add, and what follows for the rest."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from prepkit import cautions, registry
from prepkit.errors import BadInput, by_key
from prepkit.mixture import SUGARS, Mixture
from prepkit.model import Caution
from prepkit.plan.drift import Drift, corrected, drifts, unstated
from prepkit.plan.fields import Wrong
from prepkit.plan.made import Made
from prepkit.plan.measured_ph import Given, of_ph, ph_given, ph_told, with_ph
from prepkit.plan.plan import Plan, plan_of
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe import Recipe
from prepkit.plan.serves_allowed import enough_for, need_kg
from prepkit.plan.serves_said import in_proportion
from prepkit.plan.weighings import scale_step_kg
from prepkit.sheet import (
    AccountSheet,
    AddSheet,
    ChangedItem,
    ChangedLine,
    ChangedReading,
    CorrectionSheet,
    ItemSheet,
    LineSheet,
    ShortSheet,
)

if TYPE_CHECKING:
    from prepkit.plan.readings import Readings

_SEEN = 1e-3  # relative change of an amount that is worth telling without a scale


@dataclass(frozen=True)
class Measured:
    """A plan worked out again from what was measured, and the account of it as plain data."""

    plan: Plan
    account: AccountSheet

    @property
    def verdict(self) -> str:
        """The worse of the plan's and of what a gauge shows."""
        verdicts: list[str] = [self.plan.verdict, self.account["verdict"]]
        return max(verdicts, key=cautions.VERDICTS.index)


class Unread(NamedTuple):
    """A reading that was typed and cannot be used: of which item, what was read, its words."""

    item: str
    what: str
    words: str


class Compared(NamedTuple):
    """Readings beside what was expected, and what items then are where the readings tell."""

    found: list[Drift]
    changed: dict[str, Mixture]


def compared(
    plan: Plan, items: Iterable[ItemSheet], read: Mapping[str, Readings], file: str
) -> Compared:
    """Compare readings with a plan; `items` are those of its sheet. Nothing is planned again.

    Raises Wrong, with its place in the readings, for one that cannot be compared.
    """
    made = {one.item.id: one for one in plan.made}
    said = {one["id"]: one for one in items}
    found: list[Drift] = []
    changed: dict[str, Mixture] = {}
    for id_, readings in read.items():
        one = made.get(id_)
        _refuse_unmade(file, id_, one)
        assert one is not None
        assert one.product is not None
        step_kg = scale_step_kg(plan.recipe.house.bench, one.product.mass_kg)
        of = drifts(file, said[id_], one.product, readings, 1000 * step_kg if step_kg else None)
        found += of
        as_read = corrected(file, plan.prepared.products[id_], of)
        if as_read is not None:
            changed[id_] = as_read
    return Compared(found, changed)


def measured(
    plan: Plan, read: Mapping[str, Readings], file: str, unread: Iterable[Unread] = ()
) -> Measured:
    """Compare readings with a plan, and plan again from what they tell.

    What was typed and cannot be used makes its item no milder: a gauge that cannot be read stops
    it, anything else asks to be read again.
    """
    made = {one.item.id: one for one in plan.made}
    items = plan.to_dict()["items"]
    found, changed = compared(plan, items, read, file)
    given = ph_given(plan.prepared, read)
    gauge_bar = float(plan.recipe.house.bench.get("gauge", 0.0))
    told = [
        caution
        for drift in found
        if drift.what == "pressure"
        for caution in _of_gauge(made[drift.item], drift, gauge_bar, read[drift.item])
    ]
    told += [caution for one in given for caution in of_ph(plan.recipe.items[one.to], one)]
    not_read = [one for one in unread if one.item in made]
    told += [caution for one in not_read for caution in _of_unread(made[one.item], one)]
    again = _again(plan, changed, given, told, file)
    corrections = [
        _correction(plan, made[id_], [one for one in found if one.item == id_], changed.get(id_))
        for id_ in read
        if any(one.item == id_ and one.what in _AIMS and one.beyond for one in found)
    ]
    return Measured(
        again,
        {
            "file": file,
            "verdict": cautions.verdict([one for _, one in told]),
            "readings": [one.to_dict() for one in found],
            "beyond": list(dict.fromkeys(one.item for one in found if one.beyond)),
            "cautions": [
                {"item": item, "id": c.id, "kind": c.kind, "severity": c.severity, "text": c.text,
                 "action": c.advice, "source": c.source}
                for item, c in told
            ],
            "ph": ph_told(found, given),
            "unstated": unstated(plan.recipe.house.bench, found),
            "corrections": corrections,
            "short": _short(plan, found),
            "downstream": _downstream(plan, items, again, set(changed)),
            "unread": list(dict.fromkeys(one.item for one in not_read)),
        },
    )  # fmt: skip


def _again(
    plan: Plan,
    changed: Mapping[str, Mixture],
    given: tuple[Given, ...],
    told: list[tuple[str, Caution]],
    file: str,
) -> Plan:
    """The plan from what was measured; what must not be gone on with has no amounts in it."""
    stops: dict[str, tuple[Caution, ...]] = {}
    for item, caution in told:
        if caution.severity == "stop":
            stops[item] = (*stops.get(item, ()), caution)
    if not (changed or given or stops):
        return plan
    prepared = plan.prepared
    if changed or given:
        prepared = _prepared(with_ph(plan.recipe, given), changed, file)
        prepared = _asked_as(prepared, plan)._replace(shelf=plan.prepared.shelf)
        if plan.prepared.plain is not None:  # what was learnt stays, and so does its guard
            plain = _prepared(with_ph(plan.prepared.plain.recipe, given), changed, file)
            prepared = prepared._replace(plain=_asked_as(plain, plan), learnt=plan.prepared.learnt)
    return plan_of(prepared, plan.counts, stops)


def _asked_as(prepared: Prepared, plan: Plan) -> Prepared:
    """The same for the chance that was asked for, and for the same sites."""
    return prepared._replace(chance=plan.prepared.chance, sites=plan.prepared.sites)


def _refuse_unmade(file: str, id_: str, one: Made | None) -> None:
    if one is None:
        raise Wrong(
            file, id_, "it is not made tonight, so nothing is expected of it; leave it out."
        )
    if one.product is None:
        raise Wrong(file, id_, "it is a check and makes nothing; leave it out.")
    if not one.go:
        why = "it must not be made" if one.verdict == "stop" else "it is held"
        raise Wrong(file, id_, f"{why} by the plan, so nothing is expected of it; leave it out.")


def _prepared(recipe: Recipe, changed: Mapping[str, Mixture], file: str) -> Prepared:
    """The recipe run again on what was measured; what then fails is a fault of the readings."""
    try:
        return prepare(recipe, changed)
    except Wrong as error:
        raise Wrong(
            file, ", ".join(changed),
            f"with what was measured the rest cannot be made as written. {error.where}: "
            f"{error.sentence}",
        ) from error  # fmt: skip


# the gauge


def _of_gauge(
    made: Made, drift: Drift, gauge_bar: float, read: Readings
) -> list[tuple[str, Caution]]:
    """What the pressure on a gauge means, at the upper end of the gauge's ±, by the rows.

    Above the bound of the load it is another load than the one that was judged.
    """
    known = made.answer.result.facts
    rated, bound = known.get("rated_bar"), known.get("bound_bar")
    off = drift.tolerance or 0.0
    high = drift.measured + gauge_bar
    facts: dict[str, object] = {
        "read_bar": drift.measured,
        "expected_low_bar": drift.expected - off,
        "expected_high_bar": drift.expected + off,
        "read_above_bar": drift.measured - drift.expected - off,
        "read_below_bar": drift.expected - off - drift.measured,
        "read_high_bar": high,
        "read_over_bound": high / bound if bound else math.inf,
    }
    if rated:
        facts |= {"rated_bar": rated, "read_over_rating": high / rated}
        at_c = read.values.get("temperature")
        carried = made.answer.result.carried_bar(high, None if at_c is None else float(at_c))
        if carried is not None:
            facts |= {
                "warmest_c": known["warmest_c"],
                "carried_over_rating": carried / rated,
                "carried_words": f"{carried:.1f} bar" if carried < math.inf else "no known limit",
            }
    found = cautions.judge(made.item.calculator, facts)
    return [(made.item.id, one) for one in found if not one.standing]


def _of_unread(made: Made, one: Unread) -> list[tuple[str, Caution]]:
    """What a reading that cannot be used means, by the rows."""
    which = "gauge_not_read" if one.what == "pressure" else "reading_not_read"
    found = cautions.judge(made.item.calculator, {which: True, "not_read_words": one.words})
    return [(made.item.id, caution) for caution in found if not caution.standing]


# what to add


_AIMS = ("refractometer", "acidity", "abv")  # what a correction can set right
_WEAK = (
    "it is weaker than planned, and only a spirit brings that back. Choose one and see correct "
    "with to_abv and spirit."
)
_LEAST_BRIX, _LEAST_ACIDITY = 1.0, 0.05  # % of sugars, of acid: below it there is no aim


def _correction(
    plan: Plan, made: Made, found: list[Drift], as_read: Mixture | None
) -> CorrectionSheet:
    """What the calculator of corrections says to add, so that an item is as planned again.

    `as_read` is what the item is by its readings, where they tell; it stands for what was not read.
    """
    assert made.product is not None
    by_what = {one.what: one for one in found}
    mass_g = by_what["mass"].measured if "mass" in by_what else 1000 * made.product.mass_kg
    planned, now = (
        {
            "brix": 100 * mixture.dissolved_solids,
            "acidity": 100 * mixture.acidity_as_citric,
            "abv": 100 * mixture.abv,
        }
        for mixture in (made.product, as_read or made.product)
    )
    levels = {key: by_what[key].measured if key in by_what else now[key]
              for key in ("acidity", "abv")}  # fmt: skip
    words: dict[str, object] = {
        "batch": f"{mass_g!r} g {made.item.id}",
        "acidity": f"{levels['acidity']!r} % w/w",
        "abv": f"{levels['abv']!r} % vol",
    }
    if "refractometer" in by_what:
        words["refractometer"] = f"{by_what['refractometer'].measured!r} Bx"  # as at 20 C
    else:
        words["brix"] = f"{now['brix']!r} Bx"
    if 100 * made.product.of(*SUGARS) >= _LEAST_BRIX * made.product.mass_kg:
        words["to_brix"] = f"{planned['brix']!r} Bx"
    if planned["acidity"] >= _LEAST_ACIDITY:
        words["to_acidity"] = f"{planned['acidity']!r} % w/w"
    weak = "abv" in by_what and by_what["abv"].beyond and by_what["abv"].off < 0
    if "abv" in by_what and by_what["abv"].beyond and not weak:
        words["to_abv"] = f"{planned['abv']!r} % vol"
    whole: CorrectionSheet = {
        "item": made.item.id, "mass_g": mass_g, "verdict": "clear", "add": [], "refused": None,
    }  # fmt: skip
    if weak:
        return {**whole, "refused": _WEAK}
    if not {"to_brix", "to_acidity", "to_abv"} & set(words):
        refused = "it has neither sugar nor acid to set right; see dilute for its strength."
        return {**whole, "refused": refused}
    pantry = plan.recipe.house.pantry.with_items({made.item.id: as_read or made.product})
    try:
        answer = registry.run("correct", words, pantry=pantry)
    except BadInput as error:
        return {**whole, "refused": by_key(error.wording)}
    stops = [one for one in answer.cautions if one.severity == "stop"]
    if stops:
        return {**whole, "verdict": "stop", "refused": " ".join(one.text for one in stops)}
    table = next(one for one in answer.tables if one.name == "add")
    return {
        **whole,
        "verdict": answer.verdict,
        "add": [_added(*row) for row in table.rows],
        "becomes_g": answer.values["mass"].value,
        "becomes_abv": answer.values["abv"].value if "abv" in answer.values else None,
        "inputs": dict(answer.inputs),
        "cautions": [
            {"id": one.id, "severity": one.severity, "text": one.text,
             "action": one.advice, "source": one.source}
            for one in answer.cautions
            if not one.standing
        ],
    }  # fmt: skip


def _added(
    name: str | float | None, g: str | float | None, ml: str | float | None, *_: object
) -> AddSheet:
    """A row of the table of what to add, as `correct` has it."""
    assert isinstance(g, int | float)
    assert ml is None or isinstance(ml, int | float)
    return {"name": str(name), "g": g, "ml": ml}


# what follows


def _short(plan: Plan, found: list[Drift]) -> list[ShortSheet]:
    """The items of which less was made than is needed, and the serves that they are enough for.

    What is needed decides, and not how far a yield may be off: that was made more to begin with.
    """
    told: list[ShortSheet] = []
    none = dict.fromkeys(plan.counts, 0)
    for drift in found:
        demand = next(one.demand for one in plan.made if one.item.id == drift.item)
        needed_g = 1000 * (demand.needed_kg + demand.lost_kg)
        if drift.what != "mass" or drift.measured >= needed_g * (1 - 1e-6):
            continue
        planned = {
            name: count if need_kg(plan.prepared, drift.item, {**none, name: 1}) > 0 else 0
            for name, count in plan.counts.items()
        }
        serves = enough_for(plan.prepared, drift.item, drift.measured / 1000, planned)
        told.append({
            "item": drift.item, "have_g": drift.measured, "needed_g": needed_g,
            "more_g": needed_g - drift.measured, "serves": serves,
            "drinks": [
                {"name": name, "planned": planned[name], "serves": enough}
                for name, enough in in_proportion(planned, serves).items()
                if planned[name]
            ],
        })  # fmt: skip
    return told


def _downstream(
    before: Plan, items: Iterable[ItemSheet], after: Plan, changed: set[str]
) -> list[ChangedItem]:
    """What is weighed or read differently in the items made from what drifted."""
    if after is before:
        return []
    now = {one["id"]: one for one in after.to_dict()["items"]}
    told: list[ChangedItem] = []
    for item in items:
        new = now.get(item["id"])
        if item["id"] in changed or "weigh" not in item or new is None:
            continue
        if "weigh" not in new:
            told.append({"item": item["id"], "lines": [], "readings": [], "verdict": new["verdict"],
                         "held_by": new["held_by"]})  # fmt: skip
            continue
        lines = _lines(before, item["weigh"], new["weigh"])
        values = {one["name"]: one for one in new["readings"]}
        readings: list[ChangedReading] = [
            {"label": one["label"], "unit": one["unit"], "digits": one["digits"],
             "before": one["value"], "after": values[one["name"]]["value"]}
            for one in item["readings"]
            if one["name"] in values
            and abs(values[one["name"]]["value"] - one["value"]) >= 10.0 ** -one["digits"]
        ]  # fmt: skip
        if lines or readings:
            told.append({"item": item["id"], "lines": lines, "readings": readings,
                         "verdict": new["verdict"], "held_by": new["held_by"]})  # fmt: skip
    return told


def _lines(plan: Plan, before: list[LineSheet], after: list[LineSheet]) -> list[ChangedLine]:
    """The weighings that change by more than the scale shows."""
    old, new = ({line["name"]: line["g"] for line in lines} for lines in (before, after))
    told: list[ChangedLine] = []
    for name in {**old, **new}:
        was, now = old.get(name, 0.0), new.get(name, 0.0)
        step_kg = scale_step_kg(plan.recipe.house.bench, max(was, now) / 1000)
        seen = 1000 * step_kg if step_kg else _SEEN * max(was, now)
        if abs(now - was) >= seen:
            told.append({"name": name, "before_g": was, "after_g": now})
    return told
