"""cryogen: liquid nitrogen and dry ice: how much a cold takes, its gas, the room, the store."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypedDict

from prepkit.calculators.cryogen import report
from prepkit.calculators.cryogen.inputs import Inputs
from prepkit.errors import BadInput, named
from prepkit.first_screen import Figure, Screen
from prepkit.mixture import Mixture
from prepkit.model import (
    Column,
    Judge,
    Step,
    Table,
    Way,
    output,
)
from prepkit.model import Result as BaseResult
from prepkit.science import cryogen, room_air, room_sizes
from prepkit.science.ice import MELTING_J_KG
from prepkit.shared import cold, fresh_air, part_heat, places, room_check, room_limits, room_ways
from prepkit.units import Measured

LEAST_M3 = 0.01
EXAMPLE = (
    'prepkit cryogen --cryogen "dry ice" --part "2 l syrup 20 Bx" --target "2 C" '
    '--room-volume "60 m3" --air-changes "4 /h"'
)


@dataclass(frozen=True, kw_only=True)
class Result(BaseResult):
    """A range for the work, and the air for the larger end of it."""

    screen = Screen(
        headline=(
            "{least} to {most} of {cryogen}; {gas} of gas if all goes at once.",
            "{store_gas} of gas from the store.",
        ),
        primary=(
            Figure("cryogen needed", "least", "most"),
            Figure("gas, all at once", "gas"),
            Figure("oxygen then", "oxygen"),
            Figure("carbon dioxide then", "co2"),
            Figure("STOP above, at once", "room_stands"),
            "frozen",
            "store_gas",
            "store_gas_share",
            Figure("left of the store", "left_least", "left_most"),
            "at_share",
        ),
        check=(Figure("as liquid", "least_litres", "most_litres"),),
    )

    least: float | None = output(
        "cryogen needed, lower bound", "g", 0, extensive=True, limit="most"
    )
    most: float | None = output(
        "cryogen needed, upper bound", "g", 0, extensive=True, limit="least"
    )
    least_litres: float | None = output(
        "lower bound, as liquid", "l", 2, extensive=True, limit="most"
    )
    most_litres: float | None = output(
        "upper bound, as liquid", "l", 2, extensive=True, limit="least"
    )
    at_share: float | None = output("cryogen needed, measured share", "g", 0, extensive=True)
    frozen: float | None = output("share of the batch frozen", "% w/w", 0)
    gas: float | None = output("gas of a sudden release", "l", 0, extensive=True)
    oxygen: float | None = output("oxygen after a sudden release", "%", 1)
    oxygen_mixing: float | None = output("oxygen if air mixes out", "%", 1)
    co2: float | None = output("carbon dioxide after the release", "%", 2)
    room_stands: float | None = output("STOP above, at once, unventilated", "g", 0, limit="most")
    store_gas: float | None = output("gas from the store", "l/h", 1, extensive=True)
    store_gas_share: float | None = output("store gas, share of air", "%", 3)
    left_least: float | None = output(
        "store left, lower bound", "kg", 1, extensive=True, limit="most"
    )
    left_most: float | None = output(
        "store left, upper bound", "kg", 1, extensive=True, limit="least"
    )


#: What may stand beside a stop: the reasons, and where a stop begins.
REASONS = ("gas", "oxygen", "oxygen_mixing", "co2", "room_stands")


def _as_warm_as_all(inputs: Inputs) -> Inputs:
    """The inputs at the temperature of all parts, where some of them say their own."""
    parts, spec = inputs.part or (), inputs.spec("temperature")
    if all(one.temperature_c is None for one in parts):
        return inputs
    at_c = part_heat.together_c(
        parts, part_heat.each_c(parts, float(inputs.temperature), "part", spec)
    )
    spread = getattr(inputs.temperature, "plus_minus", 0.0)
    return inputs.replaced(temperature=Measured(at_c, "C", spread))


def compute(inputs: Inputs) -> Result:
    """Work and store, then the room for all of it at once."""
    inputs = _as_warm_as_all(inputs)
    batch = Mixture.total(part.mixture for part in inputs.part or ())
    works = batch.mass_kg > 0
    if works != (inputs.target is not None) or not (works or inputs.stored is not None):
        raise BadInput(
            f"cryogen needs {named('part')} with {named('target')} for what is chilled, or "
            f"{named('stored')} for what is kept, "
            f"or both. For example: {named('part', '2 l syrup 20 Bx')} {named('target', '2 C')}.",
            "part",
        )
    target = inputs.target  # given where something is chilled
    if target is not None and float(target) > float(inputs.temperature):
        raise BadInput(
            f"{named('target')} is {float(target):g} °C and the batch is at "
            f"{float(inputs.temperature):g} °C; a cryogen only cools.",
            "target",
        )
    if inputs.dewar_loss is not None and not inputs.stored:
        raise BadInput(
            f"{named('dewar_loss')} is what kept nitrogen loses; give {named('stored')}, what the "
            "dewars hold, too.",
            "dewar_loss",
        )
    name, gas = inputs.cryogen, cryogen.CRYOGENS[inputs.cryogen].gas
    facts: dict[str, Any] = {  # Any: words and numbers, compared with limits
        "cryogen": name,
        "place": inputs.place,
        **places.less(inputs.place, cold=True),
        "stored_kg": _stored_kg(inputs),
        **report.service(inputs),
    }
    if target is not None:
        facts |= {"served_with_cryogen": name, "product_c": float(target)}
    if inputs.room_volume is None:
        facts |= {"room_m3": None}
        return Result(
            product=batch if works else None,
            facts=facts,
            deciding=report.deciding(facts, {}).words,
        )
    room_m3, room_c = _least(inputs.room_volume), float(inputs.room_temperature)
    if room_m3 < LEAST_M3:
        raise BadInput(
            f"{named('room_volume')} may be as little as {room_m3:g} m3 by its ±; measure it "
            "better.",
            "room_volume",
        )
    told = fresh_air.changes_h(inputs.air_changes, room_m3)
    facts |= {
        "air_changes": fresh_air.counted(told, inputs.place),
        "air_changes_told": told or 0.0,
    }
    law = room_check.jurisdiction(inputs.jurisdiction)
    work, working = Work(), tuple[Step, ...]()
    if target is not None:
        work, working = _work(inputs, batch, float(target))
    whole_kg = work.get("most", 0.0) / 1000 + _stored_kg(inputs)
    gas_m3 = cryogen.gas_m3(name, whole_kg, room_c)
    per_kg = cryogen.gas_m3(name, 1.0, room_c)
    facts |= room_check.cold_facts(room_m3, gas, gas_m3)
    limits: dict[str, list[room_limits.Against]] = {}
    if gas == "co2":
        limits, of_work = room_limits.at_once(law, room_m3, gas_m3, facts["air_changes"] or 0.0)
        facts |= of_work
    kept = _store(inputs, facts, room_m3, per_kg)
    forbidden = places.forbids(inputs.place, cold=True)
    no_air = fresh_air.too_little_for_cold(facts["air_changes"])
    no_amount = forbidden or facts["service_forbidden"] or no_air
    store = report.store_tables(inputs, _stored_kg(inputs))
    stopped = no_amount or facts.get("steady_co2_ppm", 0.0) >= report.STORE_STOP_PPM
    stopped = bool(room_check.stops(facts) or stopped)
    if stopped:
        working, store = (), ()
    decides = report.deciding(facts, limits)
    found = Result(
        product=batch if works else None,
        facts=facts,
        deciding=decides.words,
        compared=decides.compared,
        working=(
            *working,
            Step("gas", f"{whole_kg:.3f} kg x {1000 * per_kg:.0f} l/kg at {room_c:g} °C",
                 1000 * gas_m3, "l", "GAS-EOS"),
            Step("oxygen", f"20.95 % x (1 - {gas_m3:.3f} / {room_m3:g} m3)",
                 facts["oxygen_percent"], "%", "UK-SHE-DEWAR-2014"),
        ),
        tables=(
            Table(
                "air",
                "what such air does",
                (Column("gas"), Column("in the air", "%", 2), Column("effect"), Column("source")),
                tuple(report.effects(gas, facts)),
            ),
            *store,
        ),
        gas=1000 * gas_m3,
        oxygen=facts["oxygen_percent"],
        oxygen_mixing=100 * room_air.oxygen_fraction_mixing(room_m3, gas_m3),
        co2=facts["co2_percent"] if gas == "co2" else None,
        room_stands=room_check.largest_kg(
            gas, 1000 * room_m3, per_kg, digits=0, caps=room_limits.caps(law)
        ),
        **work,
        **kept,
    )  # fmt: skip
    if stopped:
        return found.only(REASONS[:-1] if no_amount else REASONS)
    return found


def _stored_kg(inputs: Inputs) -> float:
    stored = inputs.stored
    if stored is None:
        return 0.0
    if stored.unit == "kg":
        return float(stored)
    if inputs.cryogen == "dry ice":
        raise BadInput(
            f"{named('stored')} is {float(stored):g} l of dry ice, which has no fixed volume; "
            "weigh it.",
            "stored",
        )
    return float(stored) * cryogen.LIQUID_NITROGEN_KG_L


def _least(value: float) -> float:
    """A quantity at the low end of its ±."""
    return float(value) - float(getattr(value, "plus_minus", 0.0))


class Work(TypedDict, total=False):
    """Values of the result on what is chilled."""

    least: float
    most: float
    least_litres: float | None
    most_litres: float | None
    at_share: float
    frozen: float | None


class Store(TypedDict, total=False):
    """Values of the result on what is kept."""

    store_gas: float
    store_gas_share: float
    left_least: float | None
    left_most: float | None


def _work(inputs: Inputs, batch: Mixture, end_c: float) -> tuple[Work, tuple[Step, ...]]:
    """The range for the batch."""
    start_c = float(inputs.temperature)
    joules, ice = cold.heat_to_remove_j(batch, start_c, end_c)
    least, most = cryogen.needed_range_kg(inputs.cryogen, joules, end_c)
    one = cryogen.CRYOGENS[inputs.cryogen]
    liquid = inputs.cryogen == "liquid nitrogen"
    shown: Work = {
        "least": 1000 * least,
        "most": 1000 * most,
        "least_litres": cryogen.litres_of_liquid(least) if liquid else None,
        "most_litres": cryogen.litres_of_liquid(most) if liquid else None,
        "frozen": 100 * ice / batch.mass_kg if ice else None,
    }
    if inputs.cold_used is not None:
        warmed = inputs.cold_used * cryogen.gas_heat_j_kg(inputs.cryogen, end_c)
        shown["at_share"] = 1000 * joules / (one.latent_j_kg + warmed)
    cp = cold.specific_heat_j_kg_k(batch, start_c, end_c)
    warmed = cryogen.gas_heat_j_kg(inputs.cryogen, end_c)
    steps = (
        Step(
            "heat to remove",
            f"{batch.mass_kg:.3f} kg x {cp / 1000:.3f} kJ/(kg K) x ({start_c:g} - {end_c:g}) K + "
            f"{MELTING_J_KG / 1000:.1f} kJ/kg x {ice:.3f} kg of ice",
            joules / 1000,
            "kJ",
            "PREPKIT-SPIRIT",
        ),
        Step(
            "upper bound",
            f"over {one.latent_j_kg / 1000:.1f} kJ/kg alone: the gas leaves as cold as it boils",
            1000 * most,
            "g",
            "GAS-EOS" if liquid else "DRY-ICE-HEAT",
        ),
        Step(
            "lower bound",
            f"over {one.latent_j_kg / 1000:.1f} + {warmed / 1000:.1f} kJ/kg: it leaves as warm as "
            f"the batch ends",
            1000 * least,
            "g",
            "GAS-EOS" if liquid else "DRY-ICE-HEAT",
        ),
    )
    return shown, steps


def _store(
    inputs: Inputs,
    facts: dict[str, Any],  # Any: words and numbers, compared with limits
    room_m3: float,
    per_kg: float,
) -> Store:
    """What the store loses and leaves; its gas goes to the facts too."""
    if inputs.cryogen == "liquid nitrogen":
        if inputs.dewar_loss is None:
            return {}
        gas_m3_h = room_sizes.dewar_gas_m3_h(float(inputs.dewar_loss))
        left = None
    else:
        if not inputs.stored:
            return {}
        gas_m3_h = cryogen.DRY_ICE_LOSS_H[1] * _stored_kg(inputs) * per_kg
        left = cryogen.dry_ice_left_kg(_stored_kg(inputs), float(inputs.hours))
    changes = facts["air_changes"] or 0.0
    share = room_air.steady_concentration(room_m3, gas_m3_h, changes)
    if not changes:  # nothing leaves: what has come by the end of the time
        share = min(gas_m3_h * float(inputs.hours) / room_m3, 1.0)
    if inputs.cryogen == "dry ice":
        facts["steady_co2_ppm"] = 1e6 * share
    return {
        "store_gas": 1000 * gas_m3_h,
        "store_gas_share": 100 * share,
        "left_least": left[0] if left else None,
        "left_most": left[1] if left else None,
    }


def ways_out(inputs: Inputs, judge: Judge) -> tuple[Way, ...]:
    """Ways out of a stop: less at a time, a larger room, more fresh air, another place."""
    if inputs.room_volume is None or inputs.service not in (None, "gone"):
        return ()

    def less(base: Inputs) -> Callable[[float], Inputs]:
        def scaled(share: float) -> Inputs:
            stored = base.stored
            return base.replaced(
                part=tuple(one.scaled(share) for one in base.part),
                stored=None if stored is None else Measured(stored * share, stored.unit),
            )

        return scaled

    def larger(base: Inputs) -> Callable[[float], Inputs]:
        return lambda m3: base.replaced(room_volume=Measured(m3, "m3"))

    def amount(other: Inputs, share: float) -> str:
        said = [f"{100 * share:g} % of the batch at a time"] if other.part else []
        if other.stored:
            said.append(f"{float(other.stored):.3g} {other.stored.unit} kept")
        return f"at most {' with '.join(said)}"

    least = float(inputs.room_volume) - float(getattr(inputs.room_volume, "plus_minus", 0.0))
    judge = room_ways.strict(judge, lambda one: compute(one).facts)
    return room_ways.of(inputs, judge, less, larger, amount, least, cold=True)
