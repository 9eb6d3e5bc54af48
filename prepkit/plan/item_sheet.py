"""One item of a plan as plain data: its weigh-out, what it yields and is, each with its ±."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from prepkit import derived
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Answer, Table
from prepkit.plan.filling import Filling
from prepkit.plan.items import FOAMS
from prepkit.plan.made import Made, Planned
from prepkit.plan.scaling import Weigh
from prepkit.plan.spread import Spread, Spreads, effects, together, uneven
from prepkit.plan.vessel_rounds import Rounds
from prepkit.plan.weighings import rounded_down, scale_for, stocks, weighed_by_hand
from prepkit.shared import use_by
from prepkit.sheet import (
    FillingSheet,
    ItemSheet,
    ItemValue,
    KeepsSheet,
    LineSheet,
    ReadingSheet,
    ValueSheet,
)
from prepkit.units import convert

# what is read off a finished preparation: label, unit, shown digits
READINGS: dict[derived.Name, tuple[str, str, int]] = {
    "refractometer": ("expected refractometer reading (20 °C)", "Bx", 1),
    "dissolved_solids": ("true dissolved solids", "% w/w", 1),
    "acidity": ("titratable acidity, as citric", "% w/w", 2),
    "abv": ("strength at 20 °C", "% vol", 1),
    "density": ("density at 20 °C", "kg/m3", 1),
    "ph": ("pH", "", 2),
}
# what a reading is taken with, by the bench's words
INSTRUMENTS = {
    "refractometer": "refractometer", "acidity": "titration", "abv": "alcoholometer",
    "density": "hydrometer", "ph": "ph_meter",
}  # fmt: skip
BENCH_UNITS = {"bar": "gauge", "C": "thermometer"}
_YIELD = ("mass", "volume")


def item_said(
    plan: Planned,
    made: Made,
    numbers: Mapping[str, int],
    spreads: Spreads | None,
    rounds: Mapping[str, Rounds],
) -> ItemSheet:
    """All of one item; `numbers` are those of the cautions on the wall."""
    answer = made.answer
    whole: ItemSheet = {
        "id": made.item.id,
        "calculator": made.item.calculator,
        "family": CALCULATORS[made.item.calculator][1],
        "note": made.item.note,
        "verdict": made.verdict,
        "deciding": answer.result.deciding if answer.verdict == made.verdict else "",
        "held_by": list(made.held_by),
        "stops": [
            {"id": c.id, "text": c.text, "action": c.action, "more": c.more}
            for c in made.found
            if c.severity == "stop" and not c.standing
        ],
        "cautions": sorted(numbers[c.id] for c in made.found if c.id in numbers),
        "steps": [
            {
                "text": one.text,
                "takes_min": one.takes,
                "hands_on_min": one.hands_on,
                "each_vessel": one.each_vessel,
            }
            for one in made.item.steps
        ],
        "makes": made.product is not None,
        "check": made.product is None,
    }
    if not made.go:
        return whole
    product = made.product
    spread = spreads.items.get(made.item.id) if spreads is not None else None
    as_measured = made.item.id in plan.prepared.corrected
    readings, not_shown = readings_of(None if as_measured else answer, product)
    of_bench = _with_bench(plan, made, readings, spreads)
    whole |= {
        "scale": made.demand.scale if product is not None else None,
        "weigh": _lines(plan, made, spreads),
        "made_g": 1000 * product.mass_kg if product is not None else None,
        "made_g_plus_minus": _spread(made, spread),
        "made_ml": volume_ml(made),
        "needed_g": 1000 * made.demand.needed_kg,
        "lost_g": 1000 * made.demand.lost_kg,
        "left_g": 1000 * made.demand.left_kg,
        "more_g": 1000 * made.demand.more_kg,
        "goes_to": [{"name": name, "g": 1000 * kg} for name, kg in made.demand.by.items()],
        "as_measured": as_measured,
        "keeps": None if product is None else _keeps(plan.prepared.products[made.item.id]),
        "filling": filling_said(made.filling, plan.recipe.house.bench, rounds[made.item.id])
        if made.filling
        else None,
        "readings": of_bench,
        "not_shown": not_shown,
        "values": []
        if as_measured and not made.filling
        else _values(plan, made, {one["name"] for one in readings}),
        "tables": [_table(table) for table in answer.tables] if product is None else [],
        "working": [
            {"label": s.label, "formula": s.formula, "value": s.value, "unit": s.unit,
             "source": s.source}
            for s in answer.working
        ],
    }  # fmt: skip
    return whole


def _keeps(product: Mixture) -> KeepsSheet:
    """How long it may be kept, by the rules that a label goes by."""
    rule = use_by.chosen(use_by.facts(product))
    return {
        "days": rule.days,
        "exempt": rule.exempt,
        "habit": use_by.is_habit(rule.source),
        "why": rule.why,
        "source": rule.source,
    }


def _table(table: Table) -> dict[str, object]:
    return {
        "name": table.name,
        "title": table.title,
        "columns": [
            {"label": one.label, "unit": one.unit, "digits": one.digits} for one in table.columns
        ],
        "rows": [list(row) for row in table.rows],
    }


def volume_ml(made: Made) -> float | None:
    """ml at 20 C of all that is made; none of a foam, which is mostly gas."""
    if made.product is None or made.item.calculator in FOAMS:
        return None
    return derived.volume_ml(made.product)


def _spread(made: Made, spread: Spread | None) -> float | None:
    """The +/- of the mass that is made, g: what the calculator states, and the weighings."""
    stated = 0.0
    own = made.answer.values.get("mass")
    if not made.filling and own is not None and own.plus_minus and own.unit == "g":
        stated = own.plus_minus * made.demand.scale
    weighing = 1000 * spread.total_kg() if spread is not None else 0.0
    return math.hypot(stated, weighing) or None


def _with_bench(
    plan: Planned, made: Made, readings: list[ValueSheet], spreads: Spreads | None
) -> list[ReadingSheet]:
    """Readings with the ± of the weighings in theirs, and how far a measured one may be off.

    `tolerance` is the ± of the value and that of the instrument together; `by` is the weighing
    that does most to it.
    """
    assert made.product is not None or not readings
    spread = spreads.items.get(made.item.id) if spreads is not None else None
    names = tuple(one["name"] for one in readings)
    by = effects(made.product, spread, names) if spread is not None and made.product else {}
    bench = plan.recipe.house.bench
    found = []
    for one in readings:
        of = by.get(one["name"], {})
        most = max(of, key=lambda key: abs(of[key]), default=None)
        weighing, larger = together(of), None
        if made.product and spreads is not None and spread is not None:
            larger = uneven(made.product, spreads, spread, one["name"], of)
        value = math.hypot(one["plus_minus"] or 0.0, weighing if larger is None else larger)
        instrument = float(bench.get(INSTRUMENTS.get(one["name"], ""), 0.0))
        row: ReadingSheet = {
            **one,
            "plus_minus": value or None,
            "weighing": (weighing if larger is None else larger) or None,
            "instrument": instrument or None,
            "tolerance": math.hypot(value, instrument) or None,
            "by": {"item": most[0], "name": most[1]} if most and of[most] else None,
        }
        if larger is not None:
            row["non_linear"] = True
        found.append(row)
    return found


def _lines(plan: Planned, made: Made, spreads: Spreads | None) -> list[LineSheet]:
    """The weigh-out, each line with what a scale of the house makes of it."""
    bench = plan.recipe.house.bench
    solids = {
        line.name: one.mixture
        for line in made.weigh
        if (one := plan.prepared.pantry.get(line.name)) is not None and one.form != "liquid"
    }
    stock = {} if made.filling else stocks(made.weigh, bench, solids)
    made_g = None if made.product is None else 1000 * made.product.mass_kg
    found: list[LineSheet] = []
    for line in made.weigh:
        drops, off = None, _off(line, made, spreads)
        if line.volume_ml is not None and line.volume_ml < 2.0:
            drops = line.volume_ml / convert(1.0, "drop", "ml")
        found.append({
            "name": line.name, "g": line.mass_g, "ml": line.volume_ml, "drops": drops,
            "how": line.how, "plus_minus_g": off,
            "hand": weighed_by_hand(line, bench, off, made_g, stock.get(line.name)),
        })  # fmt: skip
    return found


def _off(line: Weigh, made: Made, spreads: Spreads | None) -> float | None:
    """What a weighing may be off by, g."""
    if spreads is None or (made.item.id, line.name) not in spreads.weighed_kg:
        return None
    return 1000 * spreads.weighed_kg[made.item.id, line.name][1]


def one_value(
    name: str, label: str, unit: str, digits: int, value: float, plus_minus: float | None,
    non_linear: bool = False,
) -> ValueSheet:  # fmt: skip
    found: ValueSheet = {"name": name, "label": label, "value": value, "unit": unit,
             "plus_minus": plus_minus or None, "digits": digits}  # fmt: skip
    return found | {"non_linear": True} if non_linear else found


def _nothing(one: ValueSheet) -> bool:
    """A reading that would be shown as zero: no acid, no sugar in it."""
    return bool(abs(one["value"]) < 0.5 * 10 ** -one["digits"])


def readings_of(
    answer: Answer | None, product: Mixture | None
) -> tuple[list[ValueSheet], dict[str, str]]:
    """What an instrument will show, from the answer where it says it, else from the product.

    With it, why what is not shown is not.
    """
    if product is None or not product.mass_kg:
        return [], {}
    values, errors = derived.of(product, *READINGS)
    found = []
    for name, (label, unit, digits) in READINGS.items():
        own = None if answer is None else answer.values.get(name)
        if own is not None and own.unit == unit and (name != "density" or "20 C" in own.label):
            found.append(
                one_value(
                    name, own.label, unit, own.digits, own.value, own.plus_minus, own.non_linear
                )
            )
        elif (value := values[name]) is not None:
            found.append(one_value(name, label, unit, digits, value, errors.get(name)))
    found = [one for one in found if not _nothing(one)]
    shown = {one["name"] for one in found}
    refused = derived.refusals(product, *READINGS)
    return found, {name: why for name, why in refused.items() if name not in shown}


def _values(plan: Planned, made: Made, shown: Iterable[str]) -> list[ItemValue]:
    """The calculator's other values: extensive ones for all that is made, or for one vessel."""
    answer = made.answer
    bench = plan.recipe.house.bench
    outputs = type(answer.result).outputs()
    factor = 1.0 if made.filling or made.product is None else made.demand.scale
    found = []
    for name, value in answer.values.items():
        if name in shown or (name in _YIELD and not made.filling):
            continue
        times = factor if outputs[name].extensive else 1.0
        if value.unit == "g" and any(
            math.isclose(value.value * times, line.mass_g, rel_tol=1e-9) for line in made.weigh
        ):
            continue  # it is in the weigh-out already
        spread, uneven = value.plus_minus * times if value.plus_minus else None, value.non_linear
        if made.filling and name in made.filling.plus_minus:
            spread, linear = made.filling.plus_minus[name]
            uneven = uneven or not linear
        one = one_value(
            name, value.label, value.unit, value.digits, value.value * times, spread, uneven
        )
        instrument = float(bench.get(BENCH_UNITS.get(value.unit, ""), 0.0))
        tolerance = math.hypot(spread or 0.0, instrument) or None
        if value.limit:
            one["limit"] = value.limit
        row: ItemValue = {
            **one, "of_batch": outputs[name].extensive, "tolerance": tolerance,
        }  # fmt: skip
        found.append(row)
    return found


def filling_said(filling: Filling, bench: Mapping[str, float], rounds: Rounds) -> FillingSheet:
    """How the load goes into vessels; what the scale shows of one is never above its share."""
    each_g = 1000 * filling.each.mass_kg
    scale = scale_for(bench, each_g)
    return {
        "vessel": filling.vessel.id,
        "house_has": filling.vessel.count,
        "fills": filling.count,
        "each_g": each_g,
        "each_hand_g": None if scale is None else rounded_down(each_g, scale),
        "each_step_g": None if scale is None else scale.step_g,
        "each_ml": derived.volume_ml(filling.each),
        "most_ml": filling.most_ml,
        "gas": filling.gas,
        "chargers_each": filling.chargers_each,
        "chargers": filling.chargers,
        "rounds": rounds.rounds,
        "loads": rounds.loads,
        "others": list(rounds.others),
    }
