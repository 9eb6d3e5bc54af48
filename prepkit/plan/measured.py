"""Readings given back to a plan: what drifted, what to add, what follows.

A reading beyond its tolerance is taken at its word: the item is what was measured, with sugar (for
a refractometer or a float), acid (for a titration) or alcohol (for a strength) more or less, and
water less or more. What goes into the glass is worked out again from that.

It says how a preparation is to be judged, not how much acid is in it: minerals and salts hold a pH
up or down at the same acid. So it is given to whatever judges by a measured pH, and nothing to add
is worked out from it.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from prepkit import cautions, registry
from prepkit.errors import BadInput, by_key
from prepkit.facts import Facts
from prepkit.mixture import ACIDS, SUGARS, Mixture
from prepkit.model import Caution
from prepkit.plan import items
from prepkit.plan.files import Wrong
from prepkit.plan.filling import Made, scale_step_kg
from prepkit.plan.plan import Plan, enough_for, need_kg, plan_of
from prepkit.plan.prepare import Prepared, prepare
from prepkit.plan.recipe_types import Item, Recipe, in_proportion
from prepkit.plan.sheet import INSTRUMENTS
from prepkit.science import solvers
from prepkit.shared import instruments
from prepkit.units import Measured as UnitsMeasured

if TYPE_CHECKING:
    from prepkit.plan.recipe_file import Readings
    from prepkit.sheet import (
        AccountSheet,
        AddSheet,
        ChangedItem,
        ChangedLine,
        ChangedReading,
        CorrectionSheet,
        DriftSheet,
        ItemSheet,
        LineSheet,
        PhSheet,
        ShortSheet,
    )


# ---- what was measured against what was planned, and what an item must then be made of ----

_INSTRUMENTS = {**INSTRUMENTS, "mass": "scale", "pressure": "gauge"}
_PASSES = 60
_CLOSE = 1e-9  # relative, where the passes end
_STEP = 1e-6  # relative, for slopes
_LONGEST = 0.1  # of the whole that one pass may exchange


@dataclass(frozen=True)
class Drift:
    """One reading beside what was expected; both as at 20 C where the sample was not."""

    item: str
    what: str
    label: str
    unit: str
    digits: int
    expected: float
    tolerance: float | None
    measured: float
    written: str

    @property
    def off(self) -> float:
        """Measured less expected."""
        return self.measured - self.expected

    @property
    def most(self) -> float:
        """How far it may be off: its tolerance, and never less than its digits can show."""
        return max(self.tolerance or 0.0, 10.0**-self.digits)

    @property
    def beyond(self) -> bool:
        """Whether it is off by more than it may be."""
        return abs(self.off) > self.most * (1 + 1e-9)

    def to_dict(self) -> DriftSheet:
        """The JSON form."""
        return {
            "item": self.item, "what": self.what, "label": self.label, "unit": self.unit,
            "digits": self.digits, "expected": self.expected, "tolerance": self.tolerance,
            "may_be_off": self.most, "measured": self.measured, "written": self.written,
            "off": self.off, "beyond": self.beyond,
        }  # fmt: skip


def drifts(
    file: str, item: ItemSheet, product: Mixture, read: Readings, scale_g: float | None
) -> list[Drift]:
    """Each reading of an item beside its expected value; `item` is its JSON form in the plan."""
    known = {reading["name"]: reading for reading in item["readings"]}
    temperature = float(read.values.get("temperature", 20.0))
    found = []
    for what, value in read.values.items():
        if what == "temperature":
            continue
        where = f"{item['id']}.{what}"
        written = value.words()
        if what == "mass":
            made_g = item["made_g"]
            assert made_g is not None  # a check has been refused by now
            off = math.hypot(item["made_g_plus_minus"] or 0.0, scale_g or 0.0) or None
            found.append(
                Drift(item["id"], what, "mass made", "g", 0, made_g, off, float(value),
                      written)
            )  # fmt: skip
            continue
        if what == "pressure":
            found.append(_pressure(file, item, float(value), written))
            continue
        if what not in known:
            why = item["not_shown"].get(what)
            raise Wrong(
                file, where,
                f"nothing is expected of it to compare with"
                f"{f' ({why.rstrip(chr(46))})' if why else ''}; leave it out.",
            )  # fmt: skip
        of = known[what]
        try:
            measured = _at_20(what, value, of["value"], product, temperature, read)
        except BadInput as error:
            raise Wrong(file, where, by_key(error.wording)) from error
        found.append(
            Drift(item["id"], what, of["label"], of["unit"], of["digits"], of["value"],
                  of["tolerance"], measured, written)
        )  # fmt: skip
    return found


def unstated(bench: Mapping[str, float], found: Iterable[Drift]) -> list[str]:
    """The instruments that something was read with and of which the house states no ±."""
    used = [_INSTRUMENTS[drift.what] for drift in found if drift.what in _INSTRUMENTS]
    return [name for name in dict.fromkeys(used) if name not in bench]


def _pressure(file: str, item: ItemSheet, value: float, written: str) -> Drift:
    """The settled pressure of a charged vessel; between the two ends where it has two."""
    values = {item_value["name"]: item_value for item_value in item["values"]}
    if not item["filling"] or "settled" not in values:
        raise Wrong(
            file, f"{item['id']}.pressure", f"{item['id']} is charged in no vessel; leave it out."
        )
    settled = values["settled"]
    ends = [values[name]["value"] for name in ("settled_low", "settled_high") if name in values]
    spread = max((abs(end - settled["value"]) for end in ends), default=0.0)
    return Drift(
        item["id"], "pressure", "settled pressure, gauge", "bar", 1, settled["value"],
        ((settled["tolerance"] or 0.0) + spread) or None, value, written,
    )  # fmt: skip


def _at_20(
    what: str,
    value: UnitsMeasured,
    expected: float,
    product: Mixture,
    temperature: float,
    read: Readings,
) -> float:
    """A reading as it would be at 20 C, in the unit of what is expected."""
    if what == "refractometer":
        if not read.compensated:
            instruments.require_near_20(temperature, product.fraction("ethanol"))
        return instruments.refractometer_at_20(float(value), temperature, read.compensated)
    if what == "density":  # what the float is off by at the sample's temperature
        seen = instruments.seen_density(float(value), temperature)
        return expected + seen - product.density_kg_m3(temperature)
    if what == "acidity" and value.unit == "g/l":
        return 100 * float(value) / product.density_kg_m3(20.0)
    return float(value)


# what it then is


def corrected(file: str, product: Mixture, found: list[Drift]) -> Mixture | None:
    """The item as it was measured; None where nothing that drifted tells what it is made of."""
    off = {drift.what: drift for drift in found if drift.beyond}
    aims: list[tuple[str, Drift]] = []
    if "abv" in off:
        aims.append(("ethanol", off["abv"]))
    if "acidity" in off:
        aims.append(("acid", off["acidity"]))
    if "refractometer" in off:
        aims.append(("sugar", off["refractometer"]))
        if "density" in off and "abv" not in off and product.ethanol_kg:
            aims.append(("ethanol", off["density"]))
    elif "density" in off:
        aims.append(("sugar", off["density"]))
    if not aims:
        return None
    try:
        return _solved(product, aims)
    except BadInput as error:
        last = aims[-1][1]
        names = " and ".join(component for component, _ in aims)
        raise Wrong(
            file, f"{last.item}.{last.what}",
            f"no more or less {names} makes {last.item} read {last.written}; read it again.",
        ) from error  # fmt: skip


def _solved(product: Mixture, aims: list[tuple[str, Drift]]) -> Mixture:
    """The mixture that reads as measured: Newton's steps, each no longer than what there is."""
    kg = [0.0] * len(aims)

    def at(moved: list[float]) -> Mixture:
        now = product
        for (component, _), value in zip(aims, moved, strict=True):
            now = exchanged(now, component, value)
        return now

    def gaps(moved: list[float]) -> list[float]:
        now = at(moved)
        return [_SHOWS[drift.what](now) - drift.measured for _, drift in aims]

    step = _STEP * product.mass_kg
    for _ in range(_PASSES):
        here = gaps(kg)
        if all(
            abs(gap) <= _CLOSE * max(1.0, abs(drift.measured))
            for gap, (_, drift) in zip(here, aims, strict=True)
        ):
            return at(kg)
        slopes = []
        for place in range(len(aims)):
            aside = [value + step * (place == number) for number, value in enumerate(kg)]
            slopes.append([(b - a) / step for a, b in zip(here, gaps(aside), strict=True)])
        change = solvers.solve(list(zip(*slopes, strict=True)), [-value for value in here])
        if change is None:
            break
        longest = max(abs(value) for value in change)
        most = _LONGEST * product.mass_kg
        kg = [value + more * min(1.0, most / longest if longest else 1.0)
              for value, more in zip(kg, change, strict=True)]  # fmt: skip
        for place, (component, _) in enumerate(aims):
            kg[place] = max(kg[place], -product.of(*_GROUPS[component]))
    raise BadInput("the readings cannot be met.")


_SHOWS: dict[str, Callable[[Mixture], float]] = {
    "refractometer": lambda m: m.refractometer_brix,
    "density": lambda m: m.density_kg_m3(20.0),
    "acidity": lambda m: 100 * m.acidity_as_citric,
    "abv": lambda m: 100 * m.abv,
}


_GROUPS = {"sugar": SUGARS, "acid": ACIDS, "ethanol": ("ethanol",)}
_ADDED = {"sugar": "sucrose", "acid": "citric", "ethanol": "ethanol"}


def exchanged(mixture: Mixture, component: str, kg: float) -> Mixture:
    """`kg` more of sugar, acid or ethanol and as much less water; the mass stays.

    Less is taken from all sugars, or acids, alike; more is sucrose, or citric acid.
    """
    masses = dict(mixture.masses_kg)
    if kg >= 0:
        masses[_ADDED[component]] = masses.get(_ADDED[component], 0.0) + kg
    else:
        held = mixture.of(*_GROUPS[component])
        left = max(0.0, 1.0 + kg / held) if held else 0.0
        for name in _GROUPS[component]:
            if name in masses:
                masses[name] *= left
    masses["water"] = max(0.0, masses.get("water", 0.0) - kg)
    return Mixture(masses, mixture.allergens, mixture.tags, mixture.keeps)


# ---- a measured pH ----

_INPUTS = ("measured_ph", "ph")  # what calculators call a pH that was measured


class Given(NamedTuple):
    """A measured pH as the input of an item: of which item it is, and what it goes to."""

    of: str
    to: str
    field: str
    ph: float


def ph_given(prepared: Prepared, read: Mapping[str, Readings]) -> tuple[Given, ...]:
    """Every item that judges by a measured pH, and got none from the recipe.

    Those are the item that was measured itself, and checks of that item alone.
    """
    found = []
    for of, readings in read.items():
        if "ph" not in readings.values:
            continue
        for item in prepared.recipe.items.values():
            parts = {part.name for part in items.parts(prepared.ran[item.id][0])}
            looks_at_it = item.id not in prepared.products and parts == {of}
            if item.id != of and not looks_at_it:
                continue
            specs = registry.load(item.calculator).inputs.specs()
            field = next((name for name in _INPUTS if name in specs), None)
            if field is not None and field not in item.inputs:
                found.append(Given(of, item.id, field, float(readings.values["ph"])))
    return tuple(found)


def of_ph(item: Item, one: Given) -> list[tuple[str, Caution]]:
    """What a check that is judged by a pH as it was read has to be careful with."""
    found = cautions.judge(item.calculator, {"read_ph": one.ph})
    return [(item.id, caution) for caution in found if not caution.standing]


def with_ph(recipe: Recipe, given: Iterable[Given]) -> Recipe:
    """The recipe with what was measured as inputs of its items."""
    items = dict(recipe.items)
    for one in given:
        item = items[one.to]
        items[one.to] = item._replace(inputs={**item.inputs, one.field: one.ph})
    return recipe._replace(items=items)


def ph_told(found: Iterable[Drift], given: Iterable[Given]) -> list[PhSheet]:
    """Of each item with a measured pH: which items are judged by it, and whether to titrate."""
    told = list(found)
    titrated = {drift.item for drift in told if drift.what == "acidity"}
    return [
        {
            "item": drift.item,
            "measured": drift.measured,
            "off": drift.off,
            "given_to": [each.to for each in given if each.of == drift.item],
            "titrate": drift.beyond and drift.item not in titrated,
        }
        for drift in told
        if drift.what == "ph"
    ]


# ---- readings given back to a plan ----

_SEEN = 1e-3  # relative change of an amount that is worth telling without a scale


@dataclass(frozen=True)
class MeasuredPlan:
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


class ComparedReadings(NamedTuple):
    """Readings beside what was expected, and what items then are where the readings tell."""

    found: list[Drift]
    changed: dict[str, Mixture]


def compared(
    plan: Plan, items: Iterable[ItemSheet], read: Mapping[str, Readings], file: str
) -> ComparedReadings:
    """Compare readings with a plan; `items` are those of its sheet. Nothing is planned again.

    Raises Wrong, with its place in the readings, for one that cannot be compared.
    """
    made = {item.item.id: item for item in plan.made}
    said = {item["id"]: item for item in items}
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
    return ComparedReadings(found, changed)


def measured(
    plan: Plan, read: Mapping[str, Readings], file: str, unread: Iterable[Unread] = ()
) -> MeasuredPlan:
    """Compare readings with a plan, and plan again from what they tell.

    What was typed and cannot be used makes its item no milder: a gauge that cannot be read stops
    it, anything else asks to be read again.
    """
    made = {item.item.id: item for item in plan.made}
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
        _correction(
            plan, made[id_], [drift for drift in found if drift.item == id_], changed.get(id_)
        )
        for id_ in read
        if any(drift.item == id_ and drift.what in _AIMS and drift.beyond for drift in found)
    ]
    return MeasuredPlan(
        again,
        {
            "file": file,
            "verdict": cautions.verdict([caution for _, caution in told]),
            "readings": [drift.to_dict() for drift in found],
            "beyond": list(dict.fromkeys(drift.item for drift in found if drift.beyond)),
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
        prepared = _asked_as(prepared, plan).replaced(shelf=plan.prepared.shelf)
        if plan.prepared.plain is not None:  # what was learnt stays, and so does its guard
            plain = _prepared(with_ph(plan.prepared.plain.recipe, given), changed, file)
            prepared = prepared.replaced(plain=_asked_as(plain, plan), learnt=plan.prepared.learnt)
    return plan_of(prepared, plan.counts, stops)


def _asked_as(prepared: Prepared, plan: Plan) -> Prepared:
    """The same for the chance that was asked for, and for the same sites."""
    return prepared.replaced(chance=plan.prepared.chance, sites=plan.prepared.sites)


def _refuse_unmade(file: str, id_: str, made_item: Made | None) -> None:
    if made_item is None:
        raise Wrong(
            file, id_, "it is not made tonight, so nothing is expected of it; leave it out."
        )
    if made_item.product is None:
        raise Wrong(file, id_, "it is a check and makes nothing; leave it out.")
    if not made_item.go:
        why = "it must not be made" if made_item.verdict == "stop" else "it is held"
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
    facts: Facts = {
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
    return [(made.item.id, caution) for caution in found if not caution.standing]


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
    by_what = {drift.what: drift for drift in found}
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
    stops = [caution for caution in answer.cautions if caution.severity == "stop"]
    if stops:
        return {**whole, "verdict": "stop", "refused": " ".join(stop.text for stop in stops)}
    table = next(one for one in answer.tables if one.name == "add")
    return {
        **whole,
        "verdict": answer.verdict,
        "add": [_added(*row) for row in table.rows],
        "becomes_g": answer.values["mass"].value,
        "becomes_abv": answer.values["abv"].value if "abv" in answer.values else None,
        "inputs": dict(answer.inputs),
        "cautions": [
            {"id": caution.id, "severity": caution.severity, "text": caution.text,
             "action": caution.advice, "source": caution.source}
            for caution in answer.cautions
            if not caution.standing
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
        demand = next(item.demand for item in plan.made if item.item.id == drift.item)
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
    now = {item_sheet["id"]: item_sheet for item_sheet in after.to_dict()["items"]}
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
        values = {reading["name"]: reading for reading in new["readings"]}
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
