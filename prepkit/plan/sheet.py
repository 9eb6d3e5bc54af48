"""A plan as plain data: the JSON, and all that the printed sheet is made from.

What must not be made, and what would be made from it, has no amounts here.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import Any

from prepkit import cautions, derived, sources
from prepkit.index import CALCULATORS
from prepkit.mixture import Mixture
from prepkit.model import Answer, Caution, Table
from prepkit.plan.clock import Moment
from prepkit.plan.cost import read_prices
from prepkit.plan.filling import Filling
from prepkit.plan.house import House
from prepkit.plan.items import FOAMS, tidy
from prepkit.plan.plan import Made, Plan
from prepkit.plan.prepare import Portion
from prepkit.plan.scaling import Weigh, of_part
from prepkit.plan.shopping import bought, charger_packs, leftovers, serve_costs, shopping
from prepkit.plan.timetable import timetable
from prepkit.plan.timetable import to_dict as times_of
from prepkit.units import convert

# what is read off a finished preparation: label, unit, shown digits
READINGS: dict[str, tuple[str, str, int]] = {
    "refractometer": ("refractometer shows, at 20 C", "Bx", 1),
    "dissolved_solids": ("true dissolved solids", "% w/w", 1),
    "acidity": ("titratable acidity, as citric", "% w/w", 2),
    "abv": ("strength at 20 C", "% vol", 1),
    "density": ("density at 20 C", "kg/m3", 1),
    "ph": ("pH", "", 2),
}
PER_SERVE: dict[str, tuple[str, str, int]] = {
    "abv": ("strength", "% vol", 1),
    "ethanol": ("ethanol", "g", 1),
    "sugar": ("sugars", "% w/w", 1),
    "acidity": ("titratable acidity, as citric", "% w/w", 2),
    "energy": ("energy", "kcal", 0),
}
_YIELD = ("mass", "volume")


def said(plan: Plan, service: Moment | None = None) -> dict[str, Any]:
    """The whole plan; its timetable has times of day where `service` is one."""
    recipe = plan.recipe
    gathered = _gathered(plan)
    wall = [one for one in gathered if not one["standing"] and one["severity"] != "stop"]
    numbers = {one["id"]: number for number, one in enumerate(wall, 1)}
    used = [one for made in plan.made for one in made.answer.sources]
    keys = [source.key for source in used] + [one["source"] for one in gathered]
    prices = read_prices(recipe)
    chargers = _chargers(plan)
    rows = shopping(plan, prices)
    packs = charger_packs(chargers, prices)
    costs = serve_costs(plan, prices)
    times = timetable(plan)
    return {
        "title": recipe.title,
        "file": recipe.file,
        "note": recipe.note,
        "serves": plan.serves,
        "written_for": recipe.serves,
        "variant": recipe.variant,
        "house": _house(recipe.house),
        "verdict": plan.verdict,
        "care": [numbers[one["id"]] for one in wall if one["severity"] == "care"],
        "stops": _stops(plan),
        "vessels": [_vessel(made) for made in plan.made if made.filling and made.go],
        "chargers": chargers,
        "charger_packs": packs,
        "shopping": rows,
        "cost": bought(rows, packs, recipe.house.currency) if prices else None,
        "leftovers": leftovers(plan, rows),
        "timetable": None if times is None else times_of(plan, times, service, numbers),
        "items": [_item(made, numbers) for made in plan.made],
        "not_made": list(plan.unused),
        "serve": [
            {**_portion(portion, plan), "cost": costs.get(portion.serve.name)}
            for portion in plan.portions
        ],
        "cautions": [
            {**one, "number": numbers.get(one["id"])} for one in gathered if not one["standing"]
        ],
        "standing": [one for one in gathered if one["standing"]],
        "sources": [
            {"key": s.key, "title": s.title, "obtained": s.obtained, "note": s.note}
            for s in sources.cited(keys)
        ],
    }


def _house(house: House) -> dict[str, Any]:
    return {
        "files": list(house.files),
        "facts": {name: str(fact) for name, fact in house.facts.items()},
        "currency": house.currency,
        "units": house.units,
        "bench": {
            name: {"value": float(one), "unit": one.unit} for name, one in house.bench.items()
        },
    }


# verdict and cautions


def _stops(plan: Plan) -> list[dict[str, Any]]:
    """Each reason to stop, with what it is about."""
    found = [
        (made.item.id, "made" if made.product is not None else "passed", made.found)
        for made in plan.made
    ]
    found += [(portion.serve.name, "served", portion.found) for portion in plan.portions]
    return [
        {"of": name, "not": what, "id": c.id, "text": tidy(c.text), "action": tidy(c.action)}
        for name, what, cautions_of in found
        for c in cautions_of
        if c.severity == "stop" and not c.standing
    ]


def _gathered(plan: Plan) -> list[dict[str, Any]]:
    """Every caution once: what it says, and of which items and serves it is true.

    Where its words name amounts, and one serve triggers it too, they are those of the serve.
    """
    found: dict[str, list[tuple[str, bool, Caution]]] = {}
    for made in plan.made:
        for caution in made.found:
            found.setdefault(caution.id, []).append((made.item.id, False, caution))
    for portion in plan.portions:
        for caution in portion.found:
            found.setdefault(caution.id, []).append((portion.serve.name, True, caution))
    first = cautions.ordered(said[0][2] for said in found.values())
    return [_once(found[caution.id]) for caution in first]


def _once(told: list[tuple[str, bool, Caution]]) -> dict[str, Any]:
    caution = told[0][2]
    same = len({one.text for _, _, one in told}) == 1
    at_serve = [one for one in told if one[1] and not same]
    texts: dict[tuple[str, str], list[str]] = {}
    for name, _, one in at_serve or told:
        texts.setdefault((tidy(one.text), tidy(one.action)), []).append(name)
    return {
        "id": caution.id,
        "kind": caution.kind,
        "severity": caution.severity,
        "standing": caution.standing,
        "source": caution.source,
        "said": [
            {"text": text, "action": action, "of": names} for (text, action), names in texts.items()
        ],
        "per_serve": bool(at_serve),
        "of": [name for name, _, _ in told],
    }


# vessels


def _vessel(made: Made) -> dict[str, Any]:
    filling = made.filling
    assert filling is not None
    return {"item": made.item.id, **_filling(filling)}


def _filling(filling: Filling) -> dict[str, Any]:
    return {
        "vessel": filling.vessel.id,
        "house_has": filling.vessel.count,
        "fills": filling.count,
        "each_g": 1000 * filling.each.mass_kg,
        "each_ml": derived.volume_ml(filling.each),
        "most_ml": filling.most_ml,
        "gas": filling.gas,
        "chargers_each": filling.chargers_each,
        "chargers": filling.chargers,
    }


def _chargers(plan: Plan) -> dict[str, int]:
    """Chargers by gas over all loads that may be made."""
    found: dict[str, int] = {}
    for made in plan.made:
        filling = made.filling
        if filling is not None and made.go and filling.chargers:
            gas = filling.gas or "unnamed gas"
            found[gas] = found.get(gas, 0) + filling.chargers
    return found


# items and serves


def _item(made: Made, numbers: Mapping[str, int]) -> dict[str, Any]:
    answer = made.answer
    whole: dict[str, Any] = {
        "id": made.item.id,
        "calculator": made.item.calculator,
        "family": CALCULATORS[made.item.calculator][1],
        "note": made.item.note,
        "verdict": made.verdict,
        "held_by": list(made.held_by),
        "stops": [
            {"id": c.id, "text": tidy(c.text), "action": tidy(c.action)}
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
    readings, not_shown = readings_of(answer, product)
    whole |= {
        "scale": made.demand.scale if product is not None else None,
        "weigh": [_line(line) for line in made.weigh],
        "made_g": 1000 * product.mass_kg if product is not None else None,
        "made_g_plus_minus": _spread(made),
        "made_ml": _volume(made),
        "needed_g": 1000 * made.demand.needed_kg,
        "lost_g": 1000 * made.demand.lost_kg,
        "left_g": 1000 * made.demand.left_kg,
        "goes_to": [{"name": name, "g": 1000 * kg} for name, kg in made.demand.by.items()],
        "filling": _filling(made.filling) if made.filling else None,
        "readings": readings,
        "not_shown": not_shown,
        "values": _values(made, answer, {one["name"] for one in readings}),
        "tables": [_table(table) for table in answer.tables] if product is None else [],
        "working": [
            {"label": s.label, "formula": s.formula, "value": s.value, "unit": s.unit,
             "source": s.source}
            for s in answer.working
        ],
    }  # fmt: skip
    return whole


def _table(table: Table) -> dict[str, Any]:
    return {
        "name": table.name,
        "title": table.title,
        "columns": [
            {"label": one.label, "unit": one.unit, "digits": one.digits} for one in table.columns
        ],
        "rows": [list(row) for row in table.rows],
    }


def _volume(made: Made) -> float | None:
    """ml at 20 C of all that is made; none of a foam, which is mostly gas."""
    if made.product is None or made.item.calculator in FOAMS:
        return None
    return derived.volume_ml(made.product)


def _spread(made: Made) -> float | None:
    """The +/- of the mass that is made, g, where the calculator states one."""
    own = made.answer.values.get("mass")
    if made.filling or own is None or not own.plus_minus or own.unit != "g":
        return None
    return own.plus_minus * made.demand.scale


def _line(line: Weigh) -> dict[str, Any]:
    drops = None
    if line.volume_ml is not None and line.volume_ml < 2.0:
        drops = line.volume_ml / convert(1.0, "drop", "ml")
    return {"name": line.name, "g": line.mass_g, "ml": line.volume_ml, "drops": drops,
            "how": line.how}  # fmt: skip


def _one(
    name: str, label: str, unit: str, digits: int, value: float, plus_minus: float | None
) -> dict[str, Any]:
    return {"name": name, "label": label, "value": value, "unit": unit,
            "plus_minus": plus_minus or None, "digits": digits}  # fmt: skip


def _nothing(one: Mapping[str, Any]) -> bool:
    """A reading that would be shown as zero: no acid, no sugar in it."""
    return bool(abs(one["value"]) < 0.5 * 10 ** -one["digits"])


def readings_of(
    answer: Answer, product: Mixture | None
) -> tuple[list[dict[str, Any]], dict[str, str]]:
    """What an instrument will show, from the answer where it says it, else from the product.

    With it, why what is not shown is not.
    """
    if product is None or not product.mass_kg:
        return [], {}
    values, errors = derived.of(product, *READINGS)
    found = []
    for name, (label, unit, digits) in READINGS.items():
        own = answer.values.get(name)
        if own is not None and own.unit == unit and (name != "density" or "20 C" in own.label):
            found.append(_one(name, own.label, unit, own.digits, own.value, own.plus_minus))
        elif values[name] is not None:
            found.append(_one(name, label, unit, digits, values[name], errors.get(name)))
    found = [one for one in found if not _nothing(one)]
    shown = {one["name"] for one in found}
    refused = derived.refusals(product, *READINGS)
    return found, {name: why for name, why in refused.items() if name not in shown}


def _values(made: Made, answer: Answer, shown: Iterable[str]) -> list[dict[str, Any]]:
    """The calculator's other values: extensive ones for all that is made, or for one vessel."""
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
        spread = value.plus_minus * times if value.plus_minus else None
        one = _one(name, value.label, value.unit, value.digits, value.value * times, spread)
        found.append({**one, "of_batch": outputs[name].extensive})
    return found


def _portion(portion: Portion, plan: Plan) -> dict[str, Any]:
    mixture = portion.mixture
    whole: dict[str, Any] = {
        "name": portion.serve.name,
        "note": portion.serve.note,
        "serves": plan.serves,
        "verdict": portion.verdict,
        "held_by": list(portion.held_by),
        "allergens": sorted(name.replace(":", ": ") for name in mixture.allergens),
    }
    if portion.held_by or portion.verdict == "stop":
        return whole
    values, errors = derived.of(mixture, *PER_SERVE)
    foams = {made.item.id for made in plan.made if _volume(made) is None}
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
            _one(name, label, unit, digits, values[name], errors.get(name))
            for name, (label, unit, digits) in PER_SERVE.items()
            if values[name] is not None and abs(values[name]) >= 0.5 * 10**-digits
        ],
    }
