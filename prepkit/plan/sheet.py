"""A plan as plain data: its items, and all that the printed sheet is made from.

What must not be made, and what would be made from it, has no amounts here.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from typing import TYPE_CHECKING

from prepkit import cautions, derived, model
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution, Table
from prepkit.numbers import Moment
from prepkit.plan.cost import (
    bought,
    charger_packs,
    leftovers,
    money,
    read_prices,
    serve_costs,
    shopping,
)
from prepkit.plan.filling import (
    Filling,
    Made,
    Planned,
    Rounds,
    Spreads,
    WeighingSpread,
    decisive,
    effects,
    rounded_down,
    scale_for,
    spreads,
    stocks,
    together,
    uneven,
    vessel_rounds,
    weighed_by_hand,
)
from prepkit.plan.house import House
from prepkit.plan.items import FOAMS, Weigh, of_part
from prepkit.plan.prepare import ServeContents
from prepkit.plan.timetable import by_start, routines, timetable
from prepkit.plan.timetable import to_dict as times_of
from prepkit.shared import keeping
from prepkit.units import convert

if TYPE_CHECKING:
    from prepkit.sheet import (
        AlwaysSheet,
        CautionSheet,
        DecisiveSheet,
        FillingSheet,
        HouseSheet,
        ItemSheet,
        ItemValue,
        KeepsSheet,
        LineSheet,
        MoreSheet,
        PlanSheet,
        ReadingSheet,
        ServeSheet,
        Stop,
        SureSheet,
        ValueSheet,
        VesselSheet,
    )

# ---- one item of a plan as plain data ----

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
                "text": step.text,
                "takes_min": step.takes,
                "hands_on_min": step.hands_on,
                "each_vessel": step.each_vessel,
            }
            for step in made.item.steps
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
        else _values(plan, made, {reading["name"] for reading in readings}),
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
    rule = keeping.chosen(keeping.facts(product))
    return {
        "days": rule.days,
        "exempt": rule.exempt,
        "habit": keeping.is_habit(rule.source),
        "why": rule.why,
        "source": rule.source,
    }


def _table(table: Table) -> dict[str, object]:
    return {
        "name": table.name,
        "title": table.title,
        "columns": [
            {"label": column.label, "unit": column.unit, "digits": column.digits}
            for column in table.columns
        ],
        "rows": [list(row) for row in table.rows],
    }


def volume_ml(made: Made) -> float | None:
    """ml at 20 C of all that is made; none of a foam, which is mostly gas."""
    if made.product is None or made.item.calculator in FOAMS:
        return None
    return derived.volume_ml(made.product)


def _spread(made: Made, spread: WeighingSpread | None) -> float | None:
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
    names = tuple(reading["name"] for reading in readings)
    by = effects(made.product, spread, names) if spread is not None and made.product else {}
    bench = plan.recipe.house.bench
    found = []
    for reading in readings:
        of = by.get(reading["name"], {})
        most = max(of, key=lambda key: abs(of[key]), default=None)
        weighing, larger = together(of), None
        if made.product and spreads is not None and spread is not None:
            larger = uneven(made.product, spreads, spread, reading["name"], of)
        value = math.hypot(reading["plus_minus"] or 0.0, weighing if larger is None else larger)
        instrument = float(bench.get(INSTRUMENTS.get(reading["name"], ""), 0.0))
        row: ReadingSheet = {
            **reading,
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


def _nothing(value_sheet: ValueSheet) -> bool:
    """A reading that would be shown as zero: no acid, no sugar in it."""
    return bool(abs(value_sheet["value"]) < 0.5 * 10 ** -value_sheet["digits"])


def readings_of(
    answer: Answer | None, product: Mixture | None
) -> tuple[list[ValueSheet], dict[str, str]]:
    """What an instrument will show, from the answer where it says it, else from the product.

    With it, why what is not shown is not.
    """
    if product is None or not product.mass_kg:
        return [], {}
    found = []
    for name, (label, unit, digits) in READINGS.items():
        own = None if answer is None else answer.values.get(name)
        if own is not None and own.unit == unit and (name != "density" or "20 C" in own.label):
            found.append(
                one_value(
                    name, own.label, unit, own.digits, own.value, own.plus_minus, own.non_linear
                )
            )
            continue
        values, errors = derived.of(product, name)
        if (value := values[name]) is not None:
            found.append(one_value(name, label, unit, digits, value, errors.get(name)))
    found = [value_sheet for value_sheet in found if not _nothing(value_sheet)]
    shown = {value_sheet["name"] for value_sheet in found}
    return found, derived.refusals(product, *(name for name in READINGS if name not in shown))


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


# ---- a plan as plain data ----

PER_SERVE: dict[derived.Name, tuple[str, str, int]] = {
    "abv": ("strength", "% vol", 1),
    "ethanol": ("ethanol", "g", 1),
    "sugar": ("sugars", "% w/w", 1),
    "acidity": ("titratable acidity, as citric", "% w/w", 2),
    "energy": ("energy", "kcal", 0),
}


def said(plan: Planned, service: Moment | None = None) -> PlanSheet:
    """The whole plan; its timetable has times of day where `service` is one."""
    recipe = plan.recipe
    written = set(recipe.counts().values())
    gathered = _gathered(plan)
    rounds = vessel_rounds(plan)
    wall = [
        caution for caution in gathered if not caution["standing"] and caution["severity"] != "stop"
    ]
    numbers = {caution["id"]: number for number, caution in enumerate(wall, 1)}
    used = [source for made in plan.made for source in made.answer.sources]
    keys = [source.key for source in used] + [caution["source"] for caution in gathered]
    prices = read_prices(recipe)
    chargers = chargers_of_plan(plan)
    rows = shopping(plan, prices)
    packs = charger_packs(chargers, prices)
    costs = serve_costs(plan, prices)
    times = timetable(plan, service)
    found = spreads(plan)
    foams = {
        item.item.id for item in plan.made if item.product is None or item.item.calculator in FOAMS
    }
    whole: PlanSheet = {
        "title": recipe.title,
        "file": recipe.file,
        "note": recipe.note,
        "serves": plan.serves if len(set(plan.counts.values())) == 1 else None,
        "written_for": written.pop() if len(written) == 1 else None,
        "variant": recipe.variant,
        "house": _house(recipe.house),
        "verdict": plan.verdict,
        "care": [numbers[caution["id"]] for caution in wall if caution["severity"] == "care"],
        "stops": stops_of(plan),
        "decisive": _decisive(plan, found),
        "sure": _sure(plan),
        "vessels": [
            _vessel(made, recipe.house, rounds[made.item.id])
            for made in plan.made
            if made.filling and made.go
        ],
        "chargers": chargers,
        "charger_packs": packs,
        "shopping": rows,
        "cost": bought(rows, packs, recipe.house.currency) if prices else None,
        "money": money(plan, prices, rows, packs),
        "leftovers": leftovers(plan, rows),
        "timetable": None if times is None else times_of(plan, times, service, numbers),
        "items": [item_said(plan, made, numbers, found, rounds) for made in by_start(plan, times)],
        "not_made": list(plan.unused),
        "serve": [
            {**_portion(portion, plan, found, foams), "cost": costs.get(portion.serve.name)}
            for portion in plan.portions
        ],
        "cautions": [
            {**caution, "number": numbers.get(caution["id"])}
            for caution in gathered
            if not caution["standing"]
        ],
        "standing": [caution for caution in gathered if caution["standing"]],
        "always": always_of(plan),
        "sources": [
            {"key": s.key, "title": s.title, "obtained": s.obtained, "note": s.note}
            for s in model.cited(keys)
        ],
    }
    if plan.prepared.learnt:
        whole["learnt"] = [loss.to_dict() for loss in plan.prepared.learnt]
    if recipe.routines and (timed := routines(plan)):
        whole["routines"] = timed
    return whole


def _house(house: House) -> HouseSheet:
    return {
        "files": list(house.files),
        "facts": {name: str(fact) for name, fact in house.facts.items()},
        "currency": house.currency,
        "units": house.units,
        "bench": {
            name: {"value": float(measured), "unit": measured.unit}
            for name, measured in house.bench.items()
        },
    }


# verdict and cautions


def stops_of(plan: Planned) -> list[Stop]:
    """Each reason to stop, with what it is about."""
    found = [
        (made.item.id, "made" if made.product is not None else "passed", made.found)
        for made in plan.made
    ]
    found += [(portion.serve.name, "served", portion.found) for portion in plan.portions]
    return [
        {"of": name, "not": what, "id": c.id, "text": c.text, "action": c.action, "more": c.more}
        for name, what, cautions_of in found
        for c in cautions_of
        if c.severity == "stop" and not c.standing
    ]


def _gathered(plan: Planned) -> list[CautionSheet]:
    """Every caution once: what it says, and of which items and serves it is true.

    Where its words name amounts, and one serve triggers it too, they are those of the serve.
    """
    found: dict[str, list[tuple[str, bool, Caution]]] = {}
    for made in plan.made:
        for caution in made.found:
            found.setdefault(caution.id, []).append((made.item.id, False, caution))
    for stocked in plan.stocked:
        for caution in stocked.found:
            found.setdefault(caution.id, []).append((stocked.item.id, False, caution))
    for portion in plan.portions:
        for caution in portion.found:
            found.setdefault(caution.id, []).append((portion.serve.name, True, caution))
    first = cautions.ordered(said[0][2] for said in found.values())
    return [_once(found[caution.id]) for caution in first]


def _once(told: list[tuple[str, bool, Caution]]) -> CautionSheet:
    caution = told[0][2]
    same = len({one.text for _, _, one in told}) == 1
    at_serve = [entry for entry in told if entry[1] and not same]
    texts: dict[tuple[str, str, str], list[str]] = {}
    for name, _, one in at_serve or told:
        texts.setdefault((one.text, one.action, one.more), []).append(name)
    return {
        "id": caution.id,
        "kind": caution.kind,
        "severity": caution.severity,
        "standing": caution.standing,
        "source": caution.source,
        "said": [
            {"text": text, "action": action, "more": more, "of": names}
            for (text, action, more), names in texts.items()
        ],
        "per_serve": bool(at_serve),
        "of": [name for name, _, _ in told],
    }


def always_of(plan: Planned) -> AlwaysSheet:
    """The short lines of the work that is most dangerous: gas in a vessel, else what is last."""
    names = [made.item.calculator for made in plan.made]
    charged = [made.item.calculator for made in plan.made if made.filling is not None]
    name = (charged or names or ["serve"])[-1]
    lines = model.lines(name)
    return {
        "of": name,
        "pressure": lines.pressure,
        "cryogen": lines.cryogen,
        "inhalation": lines.inhalation,
    }


# vessels


def _vessel(made: Made, house: House, rounds: Rounds) -> VesselSheet:
    filling = made.filling
    assert filling is not None
    return {"item": made.item.id, **filling_said(filling, house.bench, rounds)}


def chargers_of_plan(plan: Planned) -> dict[str, int]:
    """Chargers by gas over all loads that may be made, those of a kitchen's sites too."""
    sites = plan.prepared.sites
    found = dict(sites.chargers) if sites is not None else {}
    for made in plan.made:
        filling = made.filling
        if filling is not None and made.go and filling.chargers:
            gas = filling.gas or "unnamed gas"
            found[gas] = found.get(gas, 0) + filling.chargers
    return found


# enough for sure


def _sure(plan: Planned) -> SureSheet:
    """What is made more, and of what nobody can be sure."""
    found = plan.prepared.sure(plan.counts)
    shown = {item.item.id: item for item in plan.made if item.product is not None and item.go}
    more: list[MoreSheet] = []
    for id_, item in shown.items():
        kg, made = item.demand.more_kg, item.demand.made_kg
        if kg > 1e-9 * made:
            more.append({"item": id_, "g": 1000 * kg, "percent": 100 * kg / (made - kg)})
    told = {loss.item for loss in plan.prepared.learnt if loss.used and loss.field == "loss"}
    return {
        "percent": round(100 * found.chance, 6),
        "more": more,
        "unsure": [id_ for id_ in found.unsure if id_ in shown],
        "unstated": [
            id_
            for id_, item in shown.items()
            if item.item.loss and not item.item.loss_off and id_ not in told
        ],
    }


# serves


def _decisive(plan: Planned, found: Spreads | None) -> DecisiveSheet | None:
    """The weighing that matters most for what is served."""
    best = None if found is None else decisive(plan, found, tuple(PER_SERVE))
    if best is None:
        return None
    label, unit, digits = PER_SERVE[best.value]
    return {
        "item": best.item, "name": best.name, "g": best.weighed_g,
        "plus_minus_g": best.plus_minus_g, "serve": best.serve, "value": best.value,
        "label": label, "unit": unit, "digits": digits, "moves": best.moves,
        "percent": 100 * best.share,
    }  # fmt: skip


def _portion(
    portion: ServeContents, plan: Planned, found: Spreads | None, foams: Collection[str]
) -> ServeSheet:
    mixture = portion.mixture
    whole: ServeSheet = {
        "name": portion.serve.name,
        "note": portion.serve.note,
        "serves": plan.counts[portion.serve.name],
        "verdict": portion.verdict,
        "held_by": list(portion.held_by),
        "allergens": sorted(name.replace(":", ": ") for name in mixture.allergens),
    }
    if portion.held_by or portion.verdict == "stop":
        return whole
    values, errors = derived.of(mixture, *PER_SERVE)
    weighing = {}
    if found is not None:
        by = effects(mixture, found.serves[portion.serve.name], tuple(PER_SERVE))
        weighing = {name: together(one) for name, one in by.items()}
    return whole | {
        "parts": [
            {
                "name": part.name,
                "words": part.words,
                "g": 1000 * part.mass_kg,
                "ml": None if part.name in foams else of_part(part).volume_ml,
            }
            for part in portion.parts
        ],
        "garnish": [
            {"name": part.name, "words": part.words, "g": 1000 * part.mass_kg}
            for part in portion.garnish
        ],
        "g": 1000 * mixture.mass_kg,
        "ml": derived.volume_ml(mixture),
        "caffeine_mg": 1e6 * mixture.of("caffeine") or None,
        "readings": [
            one_value(
                name,
                label,
                unit,
                digits,
                value,
                math.hypot(errors.get(name) or 0.0, weighing.get(name, 0.0)),
            )
            for name, (label, unit, digits) in PER_SERVE.items()
            if (value := values[name]) is not None and abs(value) >= 0.5 * 10**-digits
        ],
    }
