"""What is reported of a load: values, working, the balance of gas."""

from collections.abc import Callable, Mapping
from math import hypot, isclose, isfinite
from typing import Any, NamedTuple

from prepkit.calculators.siphon import load as vessel_load
from prepkit.calculators.siphon.inputs import STYLES, Inputs, practice_count, told
from prepkit.calculators.siphon.load import BAR, HOTTEST_C, Bounds, Load
from prepkit.calculators.siphon.load import WARM_C as PLACES_C
from prepkit.facts import Facts
from prepkit.mixture import Mixture
from prepkit.model import Column, Step, Table
from prepkit.science import charged_vessel, dissolved_gas, gases
from prepkit.science.charged_vessel import GAS, Charge

# ---- the settled balance of a load as working ----


def balance_steps(load: Load) -> list[Step]:
    """The likely settled state after the last charge, to follow with a calculator; or nothing."""
    if load.solubility is None:
        return []
    found = vessel_load.charges(load, load.solubility.middle)[-1].settled
    if found is None or found.state != GAS:
        return []
    room = load.headspace_m3 + load.bulb_m3
    molar_mass = gases.molar_mass_kg_mol(load.gas)
    line = gases.isotherm(load.gas, load.temperature_c)
    density = found.headspace_kg / molar_mass / room
    z = line.pressure(density) / (density * line.rt)
    lost_g = max(0.0, 1e3 * (load.gas_kg - found.dissolved_kg - found.headspace_kg))
    return [
        Step(
            "gas dissolved when settled",
            f"{found.dissolved_kg_m3:.3f} g/l x {1e3 * load.liquid_m3:.4f} l of liquid",
            1e3 * found.dissolved_kg,
            "g",
            "PREPKIT-GAS",
        ),
        Step(
            "gas in the headspace when settled",
            f"{1e3 * load.gas_kg:.3f} g of gas - {lost_g:.3f} g left in bulbs taken off before - "
            f"{1e3 * found.dissolved_kg:.3f} g dissolved",
            1e3 * found.headspace_kg,
            "g",
        ),
        Step(
            "settled pressure, gauge",
            f"Z R T n / V + {found.air_pa / BAR:.3f} of air - {load.ambient_pa / BAR:.3f} outside. "
            f"n = {1e3 * found.headspace_kg:.3f} g / {1e3 * molar_mass:.3f} g/mol. "
            f"V = {1e6 * room:.1f} ml, Z = {z:.4f}, R T = {line.rt:.1f} J/mol",
            (found.absolute_pa - load.ambient_pa) / BAR,
            "bar",
            "PREPKIT-GAS",
        ),
    ]


# ---- a siphon load as values, tables and working ----

WARM_C = (5.0, *PLACES_C, HOTTEST_C)
MOST_ROWS = 40
NOZZLE_LOSS = 0.5  # volumes of gas that blow out with a portion, at the low end [JUDGEMENT]
STANDARD_BAR = gases.STANDARD_PA / 1e5
# values of a Result by name
Values = dict[str, Any]  # Any: as keywords they stand beside its other fields


class States(NamedTuple):
    """The load's values, their stated errors, the facts that follow, the settled pressure."""

    values: Values
    errors: dict[str, float]
    facts: Facts
    settled_pa: float | None


def states(load: Load, bounds: Bounds, rated_bar: float, fat: bool) -> States:
    """Peak, settled state and dissolved gas of a load, for the likely liquid and its band."""
    likely = load.solubility.middle if load.solubility else 0.0
    done = vessel_load.charges(load, likely)
    values: Values = {
        "fill": 1e6 * load.liquid_m3,
        "headspace": 1e6 * load.headspace_m3,
        "gas_mass": 1e3 * load.gas_kg,
        "peak": _peak_bar(load, done),
    }
    errors = {"peak": load.tolerance * (values["peak"] or 0.0)}
    if isfinite(bounds.highest) and isfinite(bounds.highest_unshaken):
        values["bound"] = bounds.highest / BAR
        values["margin"] = rated_bar - bounds.highest / BAR
    facts: Facts = {"overrun_cap_percent": 0.0}
    last = done[-1].settled
    if load.solubility is None or last is None or last.state != GAS:
        return States(values, errors, facts, None)
    band = [vessel_load.charges(load, henry)[-1].settled for henry in
            (load.solubility.high, load.solubility.low)]  # fmt: skip
    most, least = band
    assert most is not None
    assert least is not None
    cap = dissolved_gas.gas_to_leave_m3_m3(
        load.gas, load.temperature_c, most.dissolved_kg_m3, load.solubility.low, load.ambient_pa
    )
    facts["overrun_cap_percent"] = 100 * cap
    held = vessel_load.without_bulb(load, done[-1])
    energy = charged_vessel.stored_energy(
        load.gas, max(last.absolute_pa, load.ambient_pa), load.headspace_m3, load.ambient_pa
    )
    values |= {
        "settled": (last.absolute_pa - load.ambient_pa) / BAR,
        "settled_low": (most.absolute_pa - load.ambient_pa) / BAR,
        "settled_high": (least.absolute_pa - load.ambient_pa) / BAR,
        "dissolved": last.dissolved_kg_m3,
        "volumes": dissolved_gas.volumes(
            load.gas, last.dissolved_kg_m3 / gases.molar_mass_kg_mol(load.gas)
        ),
        "overrun": 100 * cap,
        "energy": energy.isentropic_j,
        "vented": 1e3 * held * gases.gas_volume_m3_kg(load.gas, 20.0),
    }
    spread = 0.5 * (most.dissolved_kg_m3 - least.dissolved_kg_m3) / last.dissolved_kg_m3
    if fat:
        spread = max(spread, dissolved_gas.CREAM_ERROR)
    spread = hypot(spread, load.tolerance)
    errors["dissolved"] = spread * last.dissolved_kg_m3
    errors["volumes"] = spread * (values["volumes"] or 0.0)
    return States(values, errors, facts, last.absolute_pa)


def _peak_bar(load: Load, done: tuple[Charge, ...]) -> float | None:
    """Highest peak of the charges, None where gas would turn liquid or the equation ends."""
    if any(charge.peak.state != GAS for charge in done):
        return None
    return max(charge.peak.absolute_pa - load.ambient_pa for charge in done) / BAR


RATED = Column("rated, gauge", "bar", 1, "most")


def charges_table(load: Load, bounds: Bounds, rated_bar: float) -> Table:
    """Charge by charge: peak, bound at the warmest, settled where it was shaken, the plate."""
    done = vessel_load.charges(load, load.solubility.middle if load.solubility else 0.0)
    rows = []
    for place, (charge, bound) in enumerate(zip(done, bounds.of_charges, strict=True), 1):
        settled = charge.settled if load.solubility is not None else None
        is_gas = charge.peak.state == GAS
        rows.append(
            (
                f"charge {place}{', shaken' if charge.settled is not None else ''}",
                (charge.peak.absolute_pa - load.ambient_pa) / BAR if is_gas else None,
                bound / BAR if isfinite(bound) else None,
                (settled.absolute_pa - load.ambient_pa) / BAR if settled else None,
                rated_bar,
                settled.dissolved_kg_m3 if settled else None,
            )
        )
    columns = (
        Column("step"),
        Column("peak, gauge", "bar", 1),
        Column(f"upper bound at {load.warmest_c:g} °C, gauge", "bar", 1, "least"),
        Column("settled, gauge", "bar", 1),
        RATED,
        Column("dissolved", "g/l", 2),
    )
    return Table("charges", "charge by charge", columns, tuple(rows))


def warm_table(
    load: Load, mixture: Mixture, rated_bar: float, known: Mapping[float, Bounds]
) -> Table:
    """The vessel, bulb off, standing at other temperatures; the bound as if charged there."""
    rows = []
    for at_c in sorted({*WARM_C, load.temperature_c, load.warmest_c}):
        state = vessel_load.warmed(load, mixture, at_c)
        bound = (known.get(at_c) or vessel_load.bounds_at(load, mixture, at_c)).highest
        rows.append(
            (
                f"{at_c:g} °C",
                bound / BAR if isfinite(bound) else None,
                (state.absolute_pa - load.ambient_pa) / BAR
                if state is not None and state.state == GAS
                else None,
                rated_bar,
                "over the rating" if bound > rated_bar * BAR else "not over it",
            )
        )
    columns = (
        Column("standing at"),
        Column("upper bound, gauge", "bar", 1, "least"),
        Column("settled there, gauge", "bar", 1),
        RATED,
        Column("says"),
    )
    return Table("standing", "if it stands colder or warmer", columns, tuple(rows))


def _least_bar(inputs: Inputs) -> float:
    if inputs.least_pressure is not None:
        return float(inputs.least_pressure)
    return STYLES[inputs.style].least_bar if inputs.style else 0.0


def _last_low_bar(load: Load, inputs: Inputs, portion_m3: float) -> float:
    """After the last portion at the low end, where gas blows out; 0 where some liquid stays."""
    assert load.solubility is not None
    found = [
        vessel_load.service(load, henry, portion_m3, inputs.shake_between, 0.0, NOZZLE_LOSS)
        for henry in load.solubility
    ]
    if any(one.liquid_left_m3 >= portion_m3 for one in found):
        return 0.0
    return max(0.0, min((one.portions[-1].after_pa - load.ambient_pa) / BAR for one in found))


def service(load: Load, inputs: Inputs, rated_bar: float) -> tuple[Values, Table]:
    """The portions of one vessel, with and without shaking between."""
    assert load.solubility is not None
    portion_m3 = min(1e-6 * float(told(inputs.portion_size)), load.liquid_m3)
    least_pa = _least_bar(inputs) * BAR
    both = {
        shaken: vessel_load.service(load, load.solubility.middle, portion_m3, shaken, least_pa)
        for shaken in (True, False)
    }
    asked = both[inputs.shake_between]
    rows: list[tuple[str | float | None, ...]] = []
    for place in range(min(MOST_ROWS, max(len(one.portions) for one in both.values()))):
        row: list[str | float | None] = [f"{place + 1}"]
        for shaken in (True, False):
            portions = both[shaken].portions
            there = portions[place] if place < len(portions) else None
            row.append((there.after_pa - load.ambient_pa) / BAR if there else None)
        row.append(rated_bar)
        shown = asked.portions
        row.append(shown[place].dissolved_kg_m3 if place < len(shown) else None)
        row.append(1e6 * shown[place].liquid_left_m3 if place < len(shown) else None)
        rows.append(tuple(row))
    columns = (
        Column("portion"),
        Column("after it, shaken between, gauge", "bar", 1),
        Column("after it, not shaken, gauge", "bar", 1),
        RATED,
        Column("dissolved in it", "g/l", 2),
        Column("liquid left", "ml", 0),
    )
    values: Values = {
        "served": asked.served,
        "last_pressure": (asked.portions[-1].after_pa - load.ambient_pa) / BAR
        if asked.portions
        else None,
        "last_pressure_low": _last_low_bar(load, inputs, portion_m3) if asked.portions else None,
        "left": 1e6 * asked.liquid_left_m3,
        "vented_after": 1e3 * asked.vented_m3,
    }
    return values, Table("service", "portion by portion", columns, tuple(rows))


def of_last_portion(inputs: Inputs, served: Values) -> Facts:
    """How far the low end of the last portion stays below what is wanted of it."""
    if served.get("last_pressure_low") is None:
        return {}
    least_bar, low_bar = _least_bar(inputs), served["last_pressure_low"]
    return {"last_low_bar": low_bar, "last_least_bar": least_bar,
            "last_low_short_bar": least_bar - low_bar}  # fmt: skip


def tables(
    load: Load,
    bounds: Bounds,
    inputs: Inputs,
    mixture: Mixture,
    rated_bar: float,
    known: Mapping[float, Bounds],
) -> tuple[Values, Callable[[], tuple[Table, ...]]]:
    """The figures of the portions, and what makes the tables when they are shown.

    Charge by charge, standing warmer, portion by portion. `known`: bounds that were worked out
    before, by temperature.
    """
    is_bound = load.solubility is not None and isfinite(bounds.highest_unshaken)
    values: Values = {}
    served: tuple[Table, ...] = ()
    if is_bound and inputs.portion_size is not None and inputs.mode != "targets":
        values, table = service(load, inputs, rated_bar)
        served = (table,)

    def made() -> tuple[Table, ...]:
        warm = (warm_table(load, mixture, rated_bar, known),) if is_bound else ()
        return (charges_table(load, bounds, rated_bar), *warm, *served)

    return values, made


def chosen(
    load: Load, inputs: Inputs, rated_bar: float, most: int
) -> tuple[Load, Facts, Values, Table]:
    """The load with the fewest charges that do what is wanted; facts, values, how it was found.

    Where none does, the most charges that stay within the rating (at least one), and the fact.
    """
    custom = practice_count(inputs.style, load.liquid_m3) if inputs.style else None
    if inputs.most_chargers is not None:
        most = min(most, inputs.most_chargers)
    elif custom is not None and inputs.mode == "plan":  # a rating is no leave to pass custom
        most = min(most, custom)
    reach, wanted, label, unit, scale = _wish(load, inputs)
    rated_pa = rated_bar * BAR
    found, tried = vessel_load.fewest(load, rated_pa, most, reach, wanted)
    rows = tuple(
        (
            f"{candidate.count}",
            candidate.bound_pa / BAR if isfinite(candidate.bound_pa) else None,
            rated_bar,
            candidate.reached * scale
            if isfinite(candidate.reached) and candidate.bound_pa <= rated_pa
            else None,
            "over the rated pressure"
            if candidate.bound_pa > rated_pa
            else ("enough" if candidate.enough else "not enough"),
        )
        for candidate in tried
    )
    columns = (
        Column("chargers per vessel"),
        Column("upper bound unshaken, gauge", "bar", 1, "least"),
        RATED,
        Column(label, unit, 2),
        Column("says"),
    )
    facts: Facts = {
        "not_reached": found is None,
        "wanted_words": f"{label} {wanted * scale:.3g} {unit}".rstrip(),
    }
    if custom is not None and found is not None:
        facts["custom_differs"] = found != custom
        facts["custom_each"], facts["ours_each"] = custom, found
    within = [candidate.count for candidate in tried if candidate.bound_pa <= rated_pa]
    taken = vessel_load.with_count(load, found or max(within, default=1), shaken=True)
    table = Table("tried", "how many chargers", columns, rows)
    return taken, facts, {"practice_each": custom}, table


def _wish(load: Load, inputs: Inputs) -> tuple[Callable[[Load], float], float, str, str, float]:
    """What a number of charges is measured by, what is wanted, and how both are shown."""
    if inputs.mode == "plan":
        portion_m3 = min(1e-6 * float(told(inputs.portion_size)), load.liquid_m3)  # rounding

        def last(one: Load) -> float:
            return vessel_load.last_portion_pa(one, portion_m3, inputs.shake_between)

        if inputs.style == "infusion":
            return (lambda _: 0.0), 0.0, "after the last portion, gauge", "bar", 1 / BAR
        return last, _least_bar(inputs) * BAR, "after the last portion, gauge", "bar", 1 / BAR

    def dissolved(one: Load) -> float:
        if one.solubility is None:
            return float("-inf")
        last = vessel_load.charges(one, one.solubility.middle)[-1].settled
        return last.dissolved_kg_m3 if last is not None else float("-inf")

    if inputs.target_dissolved is not None:
        return dissolved, float(inputs.target_dissolved), "dissolved", "g/l", 1.0
    if inputs.target_volumes is not None:
        per_kg_m3 = dissolved_gas.volumes(load.gas, 1.0 / gases.molar_mass_kg_mol(load.gas))
        return dissolved, inputs.target_volumes / per_kg_m3, "dissolved", "volumes", per_kg_m3

    def overrun(one: Load) -> float:
        if one.solubility is None:
            return float("-inf")
        return 100 * dissolved_gas.gas_to_leave_m3_m3(
            one.gas, one.temperature_c, max(0.0, dissolved(one)), one.solubility.middle,
            one.ambient_pa,
        )  # fmt: skip

    return overrun, float(told(inputs.target_overrun)), "overrun, likely", "%", 1.0


def _solubility_source(load: Load) -> str:
    """What the solubility rests on: published for water alone, carried over to anything else."""
    assert load.solubility is not None
    at_c = max(vessel_load.FILLED_AT_C, load.temperature_c)  # as the load was worked out
    water = dissolved_gas.henry_mol_m3_pa(load.gas, at_c)
    if not isclose(load.solubility.middle, water, rel_tol=1e-9):
        return "PREPKIT-DISSOLVED"
    return {"n2o": "WEISS-PRICE-1980", "co2": "WEISS-1974", "n2": "IAPWS-G7"}[load.gas]


def _bound_steps(load: Load, bounds: Bounds) -> list[Step]:
    """The upper bound of each charge as if nothing were shaken, to follow with a calculator."""
    headspace = load.vessel_m3 - load.liquid_hot_m3
    if headspace < vessel_load.SMALLEST_HEADSPACE_M3:
        return []
    room = headspace + load.smallest_bulb_m3
    molar_mass = gases.molar_mass_kg_mol(load.gas)
    line = gases.isotherm(load.gas, max(0.0, load.warmest_c))
    air = vessel_load.air_bound_pa(load, headspace)
    found = [
        Step(
            "volume V of the bound",
            f"{1e6 * load.vessel_m3:.1f} ml - {1e6 * load.liquid_hot_m3:.1f} ml of liquid, grown "
            f"at {load.warmest_c:g} °C, + {1e6 * load.smallest_bulb_m3:.1f} ml of the bulb",
            1e6 * room,
            "ml",
        ),
        Step(
            "air in the bound",
            f"{STANDARD_BAR:.5f} bar x {load.warmest_c + gases.KELVIN:.1f} / {gases.KELVIN:.1f} K, "
            f"squeezed into {1e6 * headspace:.1f} ml by liquid that grew",
            air / BAR,
            "bar",
        ),
        Step("vapour in the bound", "of water and spirit at the warmest", load.vapour_pa / BAR,
             "bar", "ETHANOL-ANTOINE"),
    ]  # fmt: skip
    if load.before_pa > 0.0:
        before = vessel_load.kept_bound_pa(load, load.before_pa, headspace)
        if not isfinite(before):
            return found
        found.append(
            Step("what was in it, in the bound", "carried to the warmest and added",
                 before / BAR, "bar", "PREPKIT-GAS")
        )  # fmt: skip
    also = " + what was in it" if load.before_pa > 0.0 else ""
    held = 0.0
    for place, (charge, bound) in enumerate(zip(load.charges_kg, bounds.unshaken, strict=True), 1):
        held += charge * (1.0 + load.tolerance)
        if not isfinite(bound):
            break
        rho = held / molar_mass / room
        z = line.pressure(rho) / (rho * line.rt)
        found.append(
            Step(
                f"upper bound after charge {place}, nothing shaken, gauge",
                f"1.01 x Z R T n / V + air + vapour{also} - {load.thinnest_pa / BAR:.3f} outside; "
                f"n = {1e3 * held:.2f} g / {1e3 * molar_mass:.3f} g/mol, V = {1e6 * room:.1f} ml, "
                f"Z = {z:.4f}, R T = {line.rt:.1f} J/mol",
                bound / BAR,
                "bar",
                "PREPKIT-GAS",
            )
        )
    return found


def steps(load: Load, bounds: Bounds, fat: bool) -> tuple[Step, ...]:
    """The working of the first charge, the settled state and the bound, as on a board."""
    room = load.headspace_m3 + load.bulb_m3
    molar_mass = gases.molar_mass_kg_mol(load.gas)
    first = load.charges_kg[0]
    density = first / molar_mass / room
    line = gases.isotherm(load.gas, load.temperature_c)
    found = [
        Step(
            "headspace",
            f"{1e3 * load.vessel_m3:.3f} l - {1e3 * load.liquid_m3:.3f} l of liquid",
            1e6 * load.headspace_m3,
            "ml",
        ),
        Step(
            "gas density, first charge",
            f"{1e3 * first:.2f} g / {1e3 * molar_mass:.3f} g/mol / "
            f"({1e6 * load.headspace_m3:.1f} + {1e6 * load.bulb_m3:.1f} ml)",
            density,
            "mol/m3",
        ),
    ]
    if density < line.most_mol_m3:
        air = load.air_pa * load.headspace_m3 / room
        found += [
            Step(
                "gas pressure, nothing dissolved",
                f"R T rho (1 + B rho + C rho^2). R T = {line.rt:.1f} J/mol, "
                f"B = {1e6 * line.b:.1f}e-6, C = {1e12 * line.c:.0f}e-12",
                line.pressure(density) / BAR,
                "bar",
                "PREPKIT-GAS",
            ),
            Step(
                "first peak, gauge",
                f"{line.pressure(density) / BAR:.2f} + {air / BAR:.2f} of air - "
                f"{load.ambient_pa / BAR:.3f} outside",
                (line.pressure(density) + air - load.ambient_pa) / BAR,
                "bar",
            ),
        ]
    if load.solubility is not None:
        low, high = 1e4 * load.solubility.low, 1e4 * load.solubility.high
        found += [
            Step(
                "solubility of this liquid",
                f"between {low:.2f}e-4 {'(fat solid) ' if fat else ''}and {high:.2f}e-4 "
                f"{'(fat liquid) ' if fat else ''}mol/(m3 Pa)",
                load.solubility.middle,
                "mol/(m3 Pa)",
                _solubility_source(load),
            ),
            Step(
                "dissolved under pressure",
                "solubility x fugacity x exp(-v (p - 1 atm) / R T), v = 34e-6 m3/mol",
                source="PARTIAL-VOLUME",
            ),
            Step(
                "energy in the headspace",
                "p V / (g - 1) x (1 - (p outside/p)^((g - 1)/g)), an order of magnitude",
                source="STORED-ENERGY",
            ),
        ]
    found += balance_steps(load)
    found.append(Step("for the room calculator", f"release {1e3 * load.gas_kg:g} g {load.gas}"))
    found += _bound_steps(load, bounds)
    if isfinite(bounds.highest) and isfinite(bounds.highest_unshaken):
        found.append(
            Step(
                "upper bound of peak pressure, gauge",
                f"chargers {100 * load.tolerance:g} % over, equation 1 % over, filled cold, "
                f"standing at {load.warmest_c:g} °C, air left in",
                bounds.highest / BAR,
                "bar",
                "JUDGEMENT",
            )
        )
    return tuple(found)
