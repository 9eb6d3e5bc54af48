"""A charged vessel: one gas shared between charger bulb, headspace and liquid.

n = rho (V_head + V_bulb) + V_liquid H f exp(-v (p - 1 atm)/R T), p = p_gas + p_air. *Unshaken*,
nothing has dissolved yet and the pressure is at its highest; *settled*, the liquid has taken up its
share. The peak is set by the headspace, not by the size of the vessel. Gas leaving a
bulb of up to 50 C arrives colder than any vessel, so the peak comes as it warms up and the
isothermal pressure covers the rush.

For a go or no-go use `peak_bound_pa` and `sequence_bounds_pa`; the others are for show.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import exp, inf, log
from typing import NamedTuple

from prepkit.errors import BadInput, require
from prepkit.science import gases
from prepkit.science.dissolved_gas import PARTIAL_MOLAR_M3_MOL
from prepkit.science.gases import KELVIN, STANDARD_PA, Isotherm
from prepkit.science.solvers import bracketed

GAS = "gas"
LIQUID_GAS = "liquid gas present"
BEYOND = "beyond the range of the gas equation"
FILL_TOLERANCE = 0.05  # [JUDGEMENT]: more gas in a charger than it says
MODEL_MARGIN = 0.01  # [JUDGEMENT]: five times the error of the gas equation where it is too low
MOST_PORTIONS = 10_000
# Isentropic exponents for the energy of the headspace (memory).
EXPONENT = {"n2o": 1.30, "co2": 1.30, "n2": 1.40, "air": 1.40, "o2": 1.40, "he": 1.667, "ar": 1.667}


class Unshaken(NamedTuple):
    """The vessel before anything dissolves. `state` is one of GAS, LIQUID_GAS, BEYOND.

    LIQUID_GAS: gas has condensed and the pressure is its vapour pressure. BEYOND: the pressure is
    only known to be at least this; a verdict treats both as "at or above".
    """

    absolute_pa: float
    gas_pa: float
    air_pa: float
    state: str


class Settled(NamedTuple):
    """The vessel after shaking: pressure and where the gas is. `state` as in `Unshaken`."""

    absolute_pa: float
    gas_pa: float
    air_pa: float
    dissolved_kg_m3: float
    dissolved_kg: float
    headspace_kg: float
    state: str


class Charge(NamedTuple):
    """One charger in a sequence: the peak on piercing, the settled state where it was shaken."""

    peak: Unshaken
    settled: Settled | None
    gas_kg: float
    dissolved_kg: float


class StoredEnergy(NamedTuple):
    """Three textbook figures for the energy a burst would set free, J: an order of magnitude."""

    isentropic_j: float
    isothermal_j: float
    overpressure_j: float


class Portion(NamedTuple):
    """One portion: pressure before and after, gas dissolved in it, liquid left after it."""

    before_pa: float
    after_pa: float
    dissolved_kg_m3: float
    liquid_left_m3: float


class Service(NamedTuple):
    """Portions of one vessel and what is left; `served` counts those above the least pressure."""

    portions: tuple[Portion, ...]
    served: int
    liquid_left_m3: float
    gas_left_kg: float
    vented_m3: float


def _require_vessel(
    gas_kg: float, headspace_m3: float, bulb_m3: float, air_pa: float, liquid_m3: float = 0.0
) -> None:
    # The plain comparison first: this runs in every evaluation of a load.
    if not 0.0 <= gas_kg <= 100.0:
        require("gas_kg", gas_kg, 0.0, 100.0, "kg")
    if not 1e-9 <= headspace_m3 <= 10.0:
        require("headspace_m3", headspace_m3, 1e-9, 10.0, "m3")
    if not 0.0 <= bulb_m3 <= 1.0:
        require("bulb_m3", bulb_m3, 0.0, 1.0, "m3")
    if not 0.0 <= air_pa <= 50e5:
        require("air_pa", air_pa, 0.0, 50e5, "Pa")
    if not 0.0 <= liquid_m3 <= 10.0:
        require("liquid_m3", liquid_m3, 0.0, 10.0, "m3")


def _gas_pressure(line: Isotherm, rho: float) -> tuple[float, str]:
    if rho < line.most_mol_m3:
        return line.pressure(rho), GAS
    return line.most_pa, LIQUID_GAS if line.saturated else BEYOND


def warmed_air_pa(air_pa: float, from_c: float, to_c: float) -> float:
    """Pressure of the air in a closed headspace after a change of temperature, Pa absolute.

    >>> round(warmed_air_pa(101325.0, 5.0, 35.0))
    112253

    Raises: OutOfRange. Source: ideal gas, exact enough at 1 bar.
    """
    require("from_c", from_c, gases.LOW_C, gases.HIGH_C, "C")
    require("to_c", to_c, gases.LOW_C, gases.HIGH_C, "C")
    return air_pa * (to_c + KELVIN) / (from_c + KELVIN)


def unshaken(
    gas: str,
    temperature_c: float,
    gas_kg: float,
    headspace_m3: float,
    bulb_m3: float = 0.0,
    air_pa: float = STANDARD_PA,
) -> Unshaken:
    """Pressure with all the gas in headspace and bulb and none in the liquid, Pa absolute.

    -10 to 70 C. air_pa: pressure of the air over the liquid before charging, 0 if purged; a fitted
    bulb gives it more room. Error within 0.2 % to 40 bar, 1 % to 50 bar; see `Unshaken` for what
    happens at saturation and beyond 50 bar.

    >>> peak = unshaken("n2o", 5.0, 0.008, 0.28e-3, bulb_m3=10e-6)
    >>> round(peak.absolute_pa / 1e5, 1), peak.state
    (14.1, 'gas')

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    _require_vessel(gas_kg, headspace_m3, bulb_m3, air_pa)
    room = headspace_m3 + bulb_m3
    rho = gas_kg / gases.molar_mass_kg_mol(gas) / room
    gas_pa, state = _gas_pressure(gases.isotherm(gas, temperature_c), rho)
    if state == LIQUID_GAS:
        liquid, _ = gases.saturated_densities_kg_m3(gas, max(0.0, temperature_c))
        if gas_kg >= liquid * room:
            state = BEYOND
    air = air_pa * headspace_m3 / room
    return Unshaken(gas_pa + air, gas_pa, air, state)


def settled(
    gas: str,
    temperature_c: float,
    gas_kg: float,
    headspace_m3: float,
    liquid_m3: float,
    henry_mol_m3_pa: float,
    bulb_m3: float = 0.0,
    air_pa: float = STANDARD_PA,
) -> Settled:
    """The vessel in equilibrium: pressure, dissolved gas, headspace gas; -10 to 70 C.

    henry_mol_m3_pa: of the liquid, see `prepkit.science.dissolved_gas`. The balance itself holds
    within 0.2 %; the answer is as good as the Henry constant. No air dissolves.

    >>> soda = settled("co2", 5.0, 0.008, 0.15e-3, 1.0e-3, 6.263e-4, bulb_m3=10e-6)
    >>> round(soda.absolute_pa / 1e5, 2), round(soda.dissolved_kg_m3, 1)
    (3.61, 7.2)

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    _require_vessel(gas_kg, headspace_m3, bulb_m3, air_pa, liquid_m3)
    if not 0.0 <= henry_mol_m3_pa <= 1.0:
        require("henry_mol_m3_pa", henry_mol_m3_pa, 0.0, 1.0, "mol/(m3 Pa)")
    line = gases.isotherm(gas, temperature_c)
    molar_mass = gases.molar_mass_kg_mol(gas)
    room = headspace_m3 + bulb_m3
    air = air_pa * headspace_m3 / room
    moles = gas_kg / molar_mass
    rho = _settled_density(line, moles, room, liquid_m3 * henry_mol_m3_pa, air)
    gas_pa, state = _gas_pressure(line, rho)
    dissolved = _dissolved_mol(line, min(rho, line.most_mol_m3), henry_mol_m3_pa, air)
    return Settled(
        gas_pa + air,
        gas_pa,
        air,
        dissolved * molar_mass,
        dissolved * liquid_m3 * molar_mass,
        (moles - dissolved * liquid_m3) * molar_mass,
        state,
    )


def held_kg(
    gas: str,
    temperature_c: float,
    gas_pa: float,
    headspace_m3: float,
    liquid_m3: float,
    henry_mol_m3_pa: float,
) -> float:
    """Gas in a vessel that stands in equilibrium at a pressure, as by a regulator, kg; -10 to 70 C.

    gas_pa: of the gas alone, Pa absolute. Infinite where the gas would turn liquid or the equation
    ends. The way back is `settled`.

    >>> round(1e3 * held_kg("co2", 5.0, 2.60e5, 0.16e-3, 1.0e-3, 6.263e-4), 1)
    7.8

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    _require_vessel(0.0, headspace_m3, 0.0, 0.0, liquid_m3)
    require("gas_pa", gas_pa, 0.0, 60e5, "Pa")
    line = gases.isotherm(gas, temperature_c)
    if gas_pa >= line.most_pa:
        return inf
    rho = gases.molar_density_mol_m3(gas, temperature_c, gas_pa) if gas_pa > 0.0 else 0.0
    dissolved = _dissolved_mol(line, rho, henry_mol_m3_pa, 0.0)
    return (rho * headspace_m3 + dissolved * liquid_m3) * gases.molar_mass_kg_mol(gas)


def pressure_over_pa(
    gas: str, temperature_c: float, dissolved_mol_m3: float, henry_mol_m3_pa: float
) -> float:
    """Pressure of the gas over a liquid that holds so much of it, Pa absolute; -10 to 70 C.

    Infinite where that is beyond the gas equation.

    >>> round(pressure_over_pa("co2", 5.0, 100.0, 6.263e-4) / 1e5, 2)
    1.61

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    require("dissolved_mol_m3", dissolved_mol_m3, 0.0, 1e4, "mol/m3")
    require("henry_mol_m3_pa", henry_mol_m3_pa, 1e-9, 1.0, "mol/(m3 Pa)")
    line = gases.isotherm(gas, temperature_c)
    high = line.most_mol_m3 * (1.0 - 1e-9)

    def surplus(rho: float) -> float:
        return _dissolved_mol(line, rho, henry_mol_m3_pa, 0.0) - dissolved_mol_m3

    if surplus(high) < 0.0:
        return inf
    return line.pressure(bracketed(surplus, 0.0, high, 1e-9 * high))


def _dissolved_mol(line: Isotherm, rho: float, henry: float, air_pa: float) -> float:
    """Dissolved gas, mol per m3 of liquid, over gas of a molar density."""
    gas_pa = line.pressure(rho)
    exponent = line.log_fugacity_coefficient(rho)
    exponent -= PARTIAL_MOLAR_M3_MOL * (gas_pa + air_pa - STANDARD_PA) / line.rt
    return henry * gas_pa * exp(exponent)


def _settled_density(
    line: Isotherm, moles: float, room_m3: float, capacity: float, air_pa: float
) -> float:
    """Molar density of the headspace gas at equilibrium; capped where the equation stops."""

    def surplus(rho: float) -> float:
        return rho * room_m3 + _dissolved_mol(line, rho, capacity, air_pa) - moles

    if moles == 0.0 or capacity == 0.0:
        return moles / room_m3
    high = min(moles / room_m3, line.most_mol_m3)
    if surplus(high) <= 0.0:
        return high
    return bracketed(surplus, 0.0, high, 1e-10 * high)


def charge_sequence(
    gas: str,
    temperature_c: float,
    charges_kg: Sequence[float],
    shaken: Sequence[bool],
    headspace_m3: float,
    liquid_m3: float,
    henry_mol_m3_pa: float,
    bulb_m3: float = 0.0,
    air_pa: float = STANDARD_PA,
) -> tuple[Charge, ...]:
    """Chargers one after another, each shaken or not before the next is fitted.

    A spent bulb takes its share of the headspace gas away with it. `gas_kg` of a `Charge` is what
    the vessel and its fitted bulb hold then. Error as `settled`.

    >>> two = charge_sequence(
    ...     "n2o", 5.0, [0.008, 0.008], [True, True], 0.28e-3, 0.5e-3, 3.2e-4, 10e-6)
    >>> [round(charge.peak.absolute_pa / 1e5, 1) for charge in two]
    [14.1, 19.1]

    Raises: OutOfRange, BadInput, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    if len(charges_kg) != len(shaken):
        raise BadInput("each charge needs its own yes or no for shaking.", "shaken")
    room = headspace_m3 + bulb_m3
    held = dissolved = 0.0
    done: list[Charge] = []
    for charge_kg, is_shaken in zip(charges_kg, shaken, strict=True):
        if done:
            held -= (held - dissolved) * bulb_m3 / room
        held += charge_kg
        peak = unshaken(gas, temperature_c, held - dissolved, headspace_m3, bulb_m3, air_pa)
        state = None
        if is_shaken:
            state = settled(
                gas, temperature_c, held, headspace_m3, liquid_m3, henry_mol_m3_pa, bulb_m3, air_pa
            )
            dissolved = state.dissolved_kg
        done.append(Charge(peak, state, held, dissolved))
    return tuple(done)


@lru_cache(maxsize=16)
def _cold_saturation_mol_m3(gas: str) -> float:
    """Vapour density at 0 C: with more gas than this some of it may stand there as a liquid."""
    if gas not in gases.SATURATION:
        return inf
    vapour = gases.SATURATION[gas][0][2] / gases.molar_mass_kg_mol(gas)
    return min(vapour, gases.isotherm(gas, 0.0).most_mol_m3)


def peak_bound_pa(
    gas: str,
    temperature_c: float,
    gas_kg: float,
    headspace_m3: float,
    bulb_m3: float = 0.0,
    fill_tolerance: float = FILL_TOLERANCE,
    air_pa: float = STANDARD_PA,
    settled_gas_kg: float = 0.0,
) -> float:
    """Highest pressure that this much gas can make in the headspace, Pa absolute; -10 to 70 C.

    On the cautious side: chargers over-filled by `fill_tolerance`, the gas equation's error added,
    nothing dissolved, the air not thinned by the bulb. settled_gas_kg: gas already in the headspace
    (no tolerance on it). Infinite where no bound can be given: above 50 bar, or with so much gas
    that it could condense in a vessel at 0 C; below 0 C the one of 0 C. Never falls with more gas,
    less room, a higher temperature or more air.

    >>> round(peak_bound_pa("n2o", 5.0, 0.008, 0.28e-3, 10e-6) / 1e5, 1)
    14.9
    >>> peak_bound_pa("n2o", 5.0, 0.016, 0.1e-3, 10e-6)
    inf

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed), allowances [JUDGEMENT].
    """
    require("fill_tolerance", fill_tolerance, 0.0, 1.0)
    require("temperature_c", temperature_c, gases.LOW_C, gases.HIGH_C, "C")
    most_kg = gas_kg * (1.0 + fill_tolerance) + settled_gas_kg
    _require_vessel(most_kg, headspace_m3, bulb_m3, air_pa)
    rho = most_kg / gases.molar_mass_kg_mol(gas) / (headspace_m3 + bulb_m3)
    line = gases.isotherm(gas, max(0.0, temperature_c))
    if rho >= line.most_mol_m3 or rho >= _cold_saturation_mol_m3(gas):
        return inf
    return line.pressure(rho) * (1.0 + MODEL_MARGIN) + air_pa


def sequence_bounds_pa(
    gas: str,
    temperature_c: float,
    charges_kg: Sequence[float],
    shaken: Sequence[bool],
    headspace_m3: float,
    liquid_m3: float,
    lowest_henry_mol_m3_pa: float,
    bulb_m3: float = 0.0,
    fill_tolerance: float = FILL_TOLERANCE,
    air_pa: float = STANDARD_PA,
) -> tuple[float, ...]:
    """Bound on the peak of each charge of a sequence, Pa absolute (infinite where none is known).

    As `peak_bound_pa`. Shaking is credited with the lowest solubility, never more than the liquid's
    own volume of gas, so that a fuller vessel cannot look milder; a spent bulb is not credited.

    >>> bounds = sequence_bounds_pa(
    ...     "n2o", 5.0, [0.008, 0.008], [True, False], 0.28e-3, 0.5e-3, 2.8e-4, 10e-6)
    >>> [round(bound / 1e5, 1) for bound in bounds]
    [14.9, 20.7]

    Raises: OutOfRange, BadInput, UnknownIngredient.
    Source: [PREPKIT-GAS] (computed), allowances [JUDGEMENT].
    """
    if len(charges_kg) != len(shaken):
        raise BadInput("each charge needs its own yes or no for shaking.", "shaken")
    require("fill_tolerance", fill_tolerance, 0.0, 1.0)
    require("temperature_c", temperature_c, gases.LOW_C, gases.HIGH_C, "C")
    temperature_c = max(0.0, temperature_c)
    henry = min(lowest_henry_mol_m3_pa, 1.0 / gases.isotherm(gas, temperature_c).rt)
    held = dissolved = 0.0
    bounds: list[float] = []
    for charge_kg, is_shaken in zip(charges_kg, shaken, strict=True):
        held += charge_kg * (1.0 + fill_tolerance)
        bound = peak_bound_pa(
            gas, temperature_c, 0.0, headspace_m3, bulb_m3, 0.0, air_pa, held - dissolved
        )
        bounds.append(bound)
        if is_shaken and bound < inf:
            dissolved = settled(
                gas, temperature_c, held, headspace_m3, liquid_m3, henry, bulb_m3, air_pa
            ).dissolved_kg
    return tuple(bounds)


def stored_energy(
    gas: str, absolute_pa: float, headspace_m3: float, ambient_pa: float = STANDARD_PA
) -> StoredEnergy:
    """Energy of the compressed headspace, J, by three textbook forms: an order of magnitude.

    >>> round(stored_energy("n2o", 7.4e5, 0.29e-3).isentropic_j, -1)
    260.0

    Raises: OutOfRange, UnknownIngredient. Source: [STORED-ENERGY] (memory).
    """
    gases.known_gas(gas)
    require("ambient_pa", ambient_pa, 1e4, 1.2e5, "Pa")
    require("absolute_pa", absolute_pa, ambient_pa, 500e5, "Pa")
    require("headspace_m3", headspace_m3, 0.0, 10.0, "m3")
    k = EXPONENT[gas] - 1.0
    work = absolute_pa * headspace_m3
    ratio = ambient_pa / absolute_pa
    return StoredEnergy(
        work / k * (1.0 - ratio ** (k / (k + 1.0))),
        work * (log(1.0 / ratio) - 1.0 + ratio),
        (absolute_pa - ambient_pa) * headspace_m3 / k,
    )


def dispense(
    gas: str,
    temperature_c: float,
    gas_kg: float,
    headspace_m3: float,
    liquid_m3: float,
    henry_mol_m3_pa: float,
    portion_m3: float,
    shaken: bool,
    least_absolute_pa: float,
    air_pa: float = STANDARD_PA,
    ambient_pa: float = STANDARD_PA,
    nozzle_loss: float = 0.0,
) -> Service:
    """Portions drawn from a settled vessel without its bulb, until it is empty or too weak.

    Each portion of liquid (as it stood in the vessel) takes its dissolved gas with it and leaves
    its room to the headspace. Shaken: the liquid gives up gas again before the next portion.
    Not shaken: only the headspace gas expands, and the pressure falls faster. `nozzle_loss`:
    headspace gas that blows out with each portion, in volumes of the portion, 0 to 5.
    `served` counts the portions that end at or above `least_absolute_pa`; `vented_m3` is the gas
    set free in the room on opening, at ambient pressure.

    >>> service = dispense(
    ...     "n2o", 5.0, 0.0078, 0.28e-3, 0.5e-3, 3.2e-4, 50e-6, True, 3.0e5)
    >>> service.served, round(service.portions[-1].after_pa / 1e5, 1)
    (10, 3.4)

    Raises: OutOfRange, UnknownIngredient. Source: [PREPKIT-GAS] (computed).
    """
    require("portion_m3", portion_m3, max(1e-9, liquid_m3 / MOST_PORTIONS), 10.0, "m3")
    require("least_absolute_pa", least_absolute_pa, 0.0, 50e5, "Pa")
    require("ambient_pa", ambient_pa, 1e4, 1.2e5, "Pa")
    require("nozzle_loss", nozzle_loss, 0.0, 5.0, "volumes")
    line = gases.isotherm(gas, temperature_c)
    molar_mass = gases.molar_mass_kg_mol(gas)
    air_left = 1.0
    state = settled(
        gas, temperature_c, gas_kg, headspace_m3, liquid_m3, henry_mol_m3_pa, 0.0, air_pa
    )
    held, left, room = gas_kg, liquid_m3, headspace_m3
    pressure, dissolved, served = state.absolute_pa, state.dissolved_kg_m3, 0
    head_kg = state.headspace_kg
    portions: list[Portion] = []
    while left >= portion_m3 * (1.0 - 1e-9) and pressure > ambient_pa:
        before, taken = pressure, dissolved
        held = max(0.0, held - dissolved * portion_m3)
        left, room = max(0.0, left - portion_m3), room + portion_m3
        blown = min(1.0, nozzle_loss * portion_m3 / room)
        held = max(0.0, held - blown * head_kg)
        head_kg, air_left = (1.0 - blown) * head_kg, (1.0 - blown) * air_left
        air = air_pa * air_left * headspace_m3 / room
        pressure = line.pressure(head_kg / molar_mass / room) + air
        after = pressure
        if shaken:
            state = settled(gas, temperature_c, held, room, left, henry_mol_m3_pa, 0.0, air)
            pressure, dissolved, head_kg = (
                state.absolute_pa,
                state.dissolved_kg_m3,
                state.headspace_kg,
            )
        portions.append(Portion(before, after, taken, left))
        if after >= least_absolute_pa and served == len(portions) - 1:
            served += 1
    vented = held * gases.gas_volume_m3_kg(gas, temperature_c, ambient_pa)
    return Service(tuple(portions), served, left, held, vented)
