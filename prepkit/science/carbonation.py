"""Carbon dioxide in a keg, a bottle, a beer line and a glass: published forms and what they give.

The pressure for a drink of its own sugar and strength is by `dissolved_gas`; the two brewers' forms
here are for beer, and are fits of one older table and of one equation.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import NamedTuple

from prepkit.errors import require

PSI_PA = 6894.757
GRAVITY_M_S2 = 9.80665
BEER_PA_S = 1.7e-3  # of cold beer
LAMINAR_RE, TURBULENT_RE = 2300.0, 4000.0
#: Trade pour, m3/s: two US fluid ounces a second [DRAUGHT-MANUALS]
POUR_M3_S = 59.1e-6
#: Bore of a line in mm, and the published least and most drop at the trade pour, psi per foot
#: [DRAUGHT-MANUALS]; the upper figures hold foam, fittings and age.
LINES = (
    (4.7625, 1.8, 3.0),
    (6.35, 0.40, 0.85),
    (7.9375, 0.10, 0.20),
    (9.525, 0.09, 0.15),
    (12.7, 0.025, 0.03),
)
PSI_FT_PA_M = PSI_PA / 0.3048
#: Carbon dioxide that sparkling wine lost on pouring, g/L at C: into the glass, down the wall
#: [CHAMPAGNE-POUR-2010].
POURED = ((4.0, 3.0, 1.6), (12.0, 3.3, 2.0), (18.0, 4.0, 3.7))
#: Days until a still keg, and one at high pressure at first, hold their gas (informal)
STANDING_D, HIGH_FIRST_D = (7.0, 28.0), (1.0, 3.0)


class Drop(NamedTuple):
    """Pressure that a line takes, Pa per m: least, by the smooth-pipe relation, most."""

    low: float
    smooth: float
    high: float


def beer_gauge_psi(temperature_f: float, volumes: float) -> float:
    """Pressure over beer for so many volumes of carbon dioxide, psi gauge: the brewers' fit.

    temperature_f: 32 to 80; volumes: 2 to 3. Above 61 F it overtakes pure water. Error: 0.1 psi of
    the table that it fits.

    >>> round(beer_gauge_psi(32.0, 2.5), 1)
    8.2

    Raises: OutOfRange. Source: [BEER-CO2-FIT] (read).
    """
    require("temperature_f", temperature_f, 32.0, 80.0, "F", "BEER-CO2-FIT")
    require("volumes", volumes, 2.0, 3.0, "", "BEER-CO2-FIT")
    f, v = temperature_f, volumes
    return (
        -16.6999 - 0.0101059 * f + 0.00116512 * f * f
        + 0.173354 * f * v + 4.24267 * v - 0.0684226 * v * v
    )  # fmt: skip


def beer_g_l(gauge_bar: float, temperature_c: float) -> float:
    """Carbon dioxide in beer, g/L, by the German brewers' form.

    gauge_bar: 0 to 6; temperature_c: 0 to 30. Error: within 0.8 % of `beer_gauge_psi` to 10 C, 3 %
    lower at 20 C.

    >>> round(beer_g_l(1.0, 5.0), 2)
    5.33

    Raises: OutOfRange. Source: [BEER-CO2-GERMAN] (read).
    """
    require("gauge_bar", gauge_bar, 0.0, 6.0, "bar", "BEER-CO2-GERMAN")
    require("temperature_c", temperature_c, 0.0, 30.0, "C", "BEER-CO2-GERMAN")
    return 10.0 * (gauge_bar + 1.013) * math.exp(-10.73797 + 2617.25 / (temperature_c + 273.15))


def straight_pa(co2_share: float, gauge_pa: float, ambient_pa: float) -> float:
    """Gauge pressure of pure carbon dioxide that holds as much gas in the drink as a mixture, Pa.

    co2_share: 0 to 1, of the gas. Below zero where the drink would hold less than in open gas.

    >>> round(straight_pa(0.7, 20 * PSI_PA, 14.696 * PSI_PA) / PSI_PA, 1)
    9.6

    Raises: OutOfRange. Source: [DEFINITION] partial pressure.
    """
    require("co2_share", co2_share, 0.0, 1.0)
    require("gauge_pa", gauge_pa, 0.0, 60e5, "Pa")
    return co2_share * (gauge_pa + ambient_pa) - ambient_pa


def mixture_gauge_pa(co2_share: float, co2_pa: float, ambient_pa: float) -> float:
    """Gauge pressure of a mixture whose carbon dioxide has a partial pressure, Pa; the way back.

    >>> round(mixture_gauge_pa(0.7, 24.287 * PSI_PA, 14.696 * PSI_PA) / PSI_PA, 1)
    20.0

    Raises: OutOfRange. Source: [DEFINITION] partial pressure.
    """
    require("co2_share", co2_share, 0.01, 1.0)
    require("co2_pa", co2_pa, 0.0, 60e5, "Pa")
    return co2_pa / co2_share - ambient_pa


def lift_pa(height_m: float, density_kg_m3: float) -> float:
    """Pressure that a rise takes, Pa.

    >>> round(lift_pa(3.5, 1010.0) / 1e3, 1)
    34.7

    Raises: OutOfRange. Source: [DEFINITION] hydrostatics.
    """
    require("height_m", height_m, -30.0, 30.0, "m")
    require("density_kg_m3", density_kg_m3, 700.0, 1500.0, "kg/m3")
    return density_kg_m3 * GRAVITY_M_S2 * height_m


def reynolds(bore_m: float, flow_m3_s: float, density_kg_m3: float, viscosity_pa_s: float) -> float:
    """Reynolds number in a round line: below 2300 the flow is smooth, above 4000 turbulent.

    >>> round(reynolds(0.0047625, 59.1e-6, 1010.0, 1.7e-3), -2)
    9400.0

    Raises: OutOfRange. Source: [PIPE-FLOW] (memory).
    """
    require("bore_m", bore_m, 1e-3, 0.05, "m", "PIPE-FLOW")
    require("flow_m3_s", flow_m3_s, 1e-8, 1e-3, "m3/s", "PIPE-FLOW")
    require("viscosity_pa_s", viscosity_pa_s, 5e-4, 1.0, "Pa s", "PIPE-FLOW")
    return 4.0 * density_kg_m3 * flow_m3_s / (math.pi * bore_m * viscosity_pa_s)


def laminar_pa_m(bore_m: float, flow_m3_s: float, viscosity_pa_s: float) -> float:
    """Pressure that a smooth flow takes, Pa per m; a beer line flows faster than that.

    >>> round(laminar_pa_m(0.006, 5e-6, 1.7e-3) / 1e3, 3)
    0.267

    Raises: OutOfRange. Source: [PIPE-FLOW] (memory), Poiseuille's law.
    """
    reynolds(bore_m, flow_m3_s, 1000.0, viscosity_pa_s)
    return float(128.0 * viscosity_pa_s * flow_m3_s / (math.pi * bore_m**4))


def turbulent_pa_m(
    bore_m: float, flow_m3_s: float, density_kg_m3: float, viscosity_pa_s: float
) -> float:
    """Pressure that a turbulent flow takes in a smooth pipe, Pa per m.

    >>> round(turbulent_pa_m(0.0047625, 59.1e-6, 1010.0, 1.7e-3) / 1e3, 1)
    37.5

    Raises: OutOfRange. Source: [PIPE-FLOW] (memory), Blasius' friction factor.
    """
    re = reynolds(bore_m, flow_m3_s, density_kg_m3, viscosity_pa_s)
    speed = flow_m3_s / (math.pi * bore_m**2 / 4.0)
    return float(0.316 * re**-0.25 * density_kg_m3 * speed * speed / (2.0 * bore_m))


def line_pa_m(
    bore_m: float, flow_m3_s: float, density_kg_m3: float, viscosity_pa_s: float = BEER_PA_S
) -> Drop:
    """What a drink line takes, Pa per m, with the band of the published figures.

    bore_m: 0.003 to 0.016. Smooth below a Reynolds number of 2300, turbulent above 4000; between
    them both ends count. The published figures of the next bores, scaled by the flow, widen the
    band: foam, fittings and age.

    >>> drop = line_pa_m(0.0047625, POUR_M3_S, 1010.0)
    >>> [round(one / PSI_FT_PA_M, 2) for one in drop]
    [1.66, 1.66, 3.0]

    Raises: OutOfRange. Source: [DRAUGHT-MANUALS] (read), [PIPE-FLOW] (memory).
    """
    require("bore_m", bore_m, 3e-3, 16e-3, "m", "DRAUGHT-MANUALS")
    re = reynolds(bore_m, flow_m3_s, density_kg_m3, viscosity_pa_s)
    slow = laminar_pa_m(bore_m, flow_m3_s, viscosity_pa_s)
    if re < LAMINAR_RE:
        return Drop(slow, slow, slow * max(high / low for _, low, high in LINES))
    fast = turbulent_pa_m(bore_m, flow_m3_s, density_kg_m3, viscosity_pa_s)
    low, high = _published(1e3 * bore_m)
    scale = (flow_m3_s / POUR_M3_S) ** 1.75
    least = min(fast, low * scale)
    if re < TURBULENT_RE:
        least = min(least, slow)
    return Drop(least, fast, max(fast, high * scale))


def _published(bore_mm: float) -> tuple[float, float]:
    """Least and most drop at the trade pour, Pa per m, between the printed bores by powers."""
    at = next((i for i, row in enumerate(LINES[1:], 1) if bore_mm <= row[0]), len(LINES) - 1)
    (d0, low0, high0), (d1, low1, high1) = LINES[at - 1], LINES[at]
    share = math.log(bore_mm / d0) / math.log(d1 / d0)
    return (
        PSI_FT_PA_M * low0 * (low1 / low0) ** share,
        PSI_FT_PA_M * high0 * (high1 / high0) ** share,
    )


def poured_loss_kg_m3(temperature_c: float, down_the_wall: bool) -> float:
    """Carbon dioxide that sparkling wine loses as it is poured into a flute, kg/m3 (g/L).

    temperature_c: 0 to 25, held at the ends of the 4 to 18 C that were measured. A drink with less
    gas loses less: an upper bound for soda, cordial and beer.

    >>> poured_loss_kg_m3(12.0, False), poured_loss_kg_m3(12.0, True)
    (3.3, 2.0)

    Raises: OutOfRange. Source: [CHAMPAGNE-POUR-2010] (read in a report).
    """
    require("temperature_c", temperature_c, 0.0, 25.0, "C", "CHAMPAGNE-POUR-2010")
    at = min(max(temperature_c, POURED[0][0]), POURED[-1][0])
    column = 2 if down_the_wall else 1
    for cold, warm in pairwise(POURED):
        if at <= warm[0]:
            share = (at - cold[0]) / (warm[0] - cold[0])
            return cold[column] + share * (warm[column] - cold[column])
    return POURED[-1][column]  # pragma: no cover - `at` is held within the table


def headspace_kg_m3(density_mol_m3: float, molar_mass_kg_mol: float, headspace: float) -> float:
    """Gas of the headspace that is lost each time a vessel is opened, kg per m3 of liquid.

    headspace: share of the vessel that is empty, 0 to 0.99.

    >>> round(headspace_kg_m3(150.0, 0.0440098, 0.05), 2)
    0.35

    Raises: OutOfRange. Source: [DEFINITION].
    """
    require("headspace", headspace, 0.0, 0.99)
    require("density_mol_m3", density_mol_m3, 0.0, 1e4, "mol/m3")
    return density_mol_m3 * molar_mass_kg_mol * headspace / (1.0 - headspace)


def celsius_to_f(temperature_c: float) -> float:
    """Degrees Fahrenheit.

    >>> celsius_to_f(5.0)
    41.0

    Source: [DEFINITION].
    """
    return 1.8 * temperature_c + 32.0
