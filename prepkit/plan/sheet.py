"""A plan as plain data: the JSON, and all that the printed sheet is made from.

What must not be made, and what would be made from it, has no amounts here.
"""

from __future__ import annotations

import math
from collections.abc import Collection

from prepkit import always, cautions, derived, sources
from prepkit.clock import Moment
from prepkit.model import Caution
from prepkit.plan.cost import read_prices
from prepkit.plan.house import House
from prepkit.plan.item_sheet import filling_said, item_said, one_value
from prepkit.plan.items import FOAMS
from prepkit.plan.made import Made, Planned
from prepkit.plan.money import money
from prepkit.plan.prepare import Portion
from prepkit.plan.routine_said import routines
from prepkit.plan.scaling import of_part
from prepkit.plan.shopping import bought, charger_packs, leftovers, serve_costs, shopping
from prepkit.plan.spread import Spreads, decisive, effects, spreads, together
from prepkit.plan.timetable import by_start, timetable
from prepkit.plan.timetable import to_dict as times_of
from prepkit.plan.vessel_rounds import Rounds, vessel_rounds
from prepkit.sheet import (
    AlwaysSheet,
    CautionSheet,
    DecisiveSheet,
    HouseSheet,
    MoreSheet,
    PlanSheet,
    ServeSheet,
    Stop,
    SureSheet,
    VesselSheet,
)

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
    wall = [one for one in gathered if not one["standing"] and one["severity"] != "stop"]
    numbers = {one["id"]: number for number, one in enumerate(wall, 1)}
    used = [one for made in plan.made for one in made.answer.sources]
    keys = [source.key for source in used] + [one["source"] for one in gathered]
    prices = read_prices(recipe)
    chargers = chargers_of_plan(plan)
    rows = shopping(plan, prices)
    packs = charger_packs(chargers, prices)
    costs = serve_costs(plan, prices)
    times = timetable(plan, service)
    found = spreads(plan)
    foams = {
        one.item.id for one in plan.made if one.product is None or one.item.calculator in FOAMS
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
        "care": [numbers[one["id"]] for one in wall if one["severity"] == "care"],
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
            {**one, "number": numbers.get(one["id"])} for one in gathered if not one["standing"]
        ],
        "standing": [one for one in gathered if one["standing"]],
        "always": always_of(plan),
        "sources": [
            {"key": s.key, "title": s.title, "obtained": s.obtained, "note": s.note}
            for s in sources.cited(keys)
        ],
    }
    if plan.prepared.learnt:
        whole["learnt"] = [one.to_dict() for one in plan.prepared.learnt]
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
            name: {"value": float(one), "unit": one.unit} for name, one in house.bench.items()
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
    at_serve = [one for one in told if one[1] and not same]
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
    lines = always.lines(name)
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
    shown = {one.item.id: one for one in plan.made if one.product is not None and one.go}
    more: list[MoreSheet] = []
    for id_, one in shown.items():
        kg, made = one.demand.more_kg, one.demand.made_kg
        if kg > 1e-9 * made:
            more.append({"item": id_, "g": 1000 * kg, "percent": 100 * kg / (made - kg)})
    told = {one.item for one in plan.prepared.learnt if one.used and one.field == "loss"}
    return {
        "percent": round(100 * found.chance, 6),
        "more": more,
        "unsure": [id_ for id_ in found.unsure if id_ in shown],
        "unstated": [
            id_
            for id_, one in shown.items()
            if one.item.loss and not one.item.loss_off and id_ not in told
        ],
    }


# serves


def _decisive(plan: Planned, found: Spreads | None) -> DecisiveSheet | None:
    """The weighing that matters most for what is served."""
    best = None if found is None else decisive(plan, found, ("abv", "sugar", "acidity"))
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
    portion: Portion, plan: Planned, found: Spreads | None, foams: Collection[str]
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
