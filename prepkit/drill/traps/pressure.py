"""Mistakes with charged vessels."""

from __future__ import annotations

from math import ceil, floor

from prepkit.drill.traps.register import trap, verdict

AIR_BAR = 1.01325
BULB_ML = 10.0
R = 8.314462618  # J/(mol K)
AIR_G_L = 1.204  # 20 C, dry, 1 atm
MOLAR_L_0_C = 22.414


@trap(
    "The absolute pressure was given.",
    "A plate shows gauge pressure, about 1 bar less: the air outside presses back.",
)
def gauge_for_absolute(gauge_bar: float) -> float:
    return gauge_bar + AIR_BAR


@trap(
    "The air that was shut in was forgotten.",
    "It is still there when the gas comes and adds about 1 bar.",
)
def air_forgotten(gauge_bar: float, headspace_ml: float) -> float:
    return gauge_bar - AIR_BAR * headspace_ml / (headspace_ml + BULB_ML)


@trap(
    "The gas was taken as ideal.",
    "At ten bar and more the pull between molecules lowers the pressure. Use an equation for real "
    "gas.",
)
def ideal_gas(gas_g: float, headspace_ml: float, celsius: float, molar_g: float) -> float:
    moles, room_m3 = gas_g / molar_g, (headspace_ml + BULB_ML) * 1e-6
    pushed = moles * R * (celsius + 273.15) / room_m3 / 1e5
    return pushed + AIR_BAR * headspace_ml / (headspace_ml + BULB_ML) - AIR_BAR


@trap(
    "The vessel was taken as filled to its mark.",
    "The peak is set by the real headspace, not by the nominal fill.",
)
def nominal_fill(
    gauge_bar: float, headspace_ml: float, vessel_l: float, max_fill_l: float
) -> float:
    at_the_mark_ml = 1000 * (vessel_l - max_fill_l)
    return gauge_bar * (headspace_ml + BULB_ML) / (at_the_mark_ml + BULB_ML)


@trap(
    "The settled pressure was taken.",
    "A verdict rests on the peak before shaking, when nothing has dissolved yet.",
)
def settled_for_peak(settled_bar: float) -> float:
    return settled_bar


@trap(
    "The peak was taken without what it may be off.",
    "Chargers come over-full and the equation has its error; the upper bound is above the peak.",
)
def peak_for_bound(peak_bar: float) -> float:
    return peak_bar


@trap(
    "Nothing was taken to dissolve.",
    "Once shaken, part of the gas is in the liquid and presses no more.",
)
def nothing_dissolves(peak_bar: float) -> float:
    return peak_bar


@trap(
    "The solubility of liquid oil was used for cold cream.",
    "Milk fat is mostly solid in the cold and takes up far less gas.",
)
def oil_for_cold_fat(settled_low_bar: float) -> float:
    return settled_low_bar


@trap(
    "Only the space up to the mark was counted.",
    "The gas has everything that is empty, up to the closed head.",
)
def to_the_mark(max_fill_l: float, fill_ml: float) -> float:
    return 1000 * max_fill_l - fill_ml


@trap(
    "The whole vessel was counted.",
    "The liquid takes its own volume; the gas has the rest.",
)
def whole_vessel(vessel_l: float) -> float:
    return 1000 * vessel_l


@trap(
    "A gram of gas was taken as a litre.",
    "8 g of nitrous oxide or carbon dioxide are about 4.4 l at 20 °C: the litres follow from the "
    "molar mass.",
)
def litres_for_grams(gas_g: float) -> float:
    return gas_g


@trap(
    "The gas was taken to be as light as air.",
    "Nitrous oxide and carbon dioxide weigh half as much again as air, so a gram is less volume.",
)
def light_as_air(gas_g: float) -> float:
    return gas_g / AIR_G_L


@trap(
    "The molar volume at 0 °C was used.",
    "22.4 l belong to 0 °C; at 20 °C a mole takes 24.1 l. Name the temperature.",
)
def molar_volume_at_0_c(gas_g: float, molar_g: float) -> float:
    return gas_g / molar_g * MOLAR_L_0_C


@trap(
    "The gas was counted as a share of the foam.",
    "Overrun is gas over the liquid: 100 % overrun is a foam that is half gas.",
)
def overrun_of_foam_volume(overrun_percent: float) -> float:
    return 100 * overrun_percent / (100 + overrun_percent)


@trap(
    "The volume of the foam over the liquid was given.",
    "That is the expansion; overrun counts only the gas, 100 % less.",
)
def expansion_for_overrun(overrun_percent: float) -> float:
    return overrun_percent + 100


@trap(
    "The whole charge was counted.",
    "Only gas that dissolved whips the liquid; the rest stays above it and is vented.",
)
def whole_charge_whips(vented_l: float, fill_ml: float) -> float:
    return 100 * 1000 * vented_l / fill_ml


@trap(
    "All the gas was taken to dissolve.",
    "Part of it stays in the space above: pressure is what keeps the rest dissolved.",
)
def all_dissolves(gas_g: float, fill_ml: float) -> float:
    return 1000 * gas_g / fill_ml


@trap(
    "Volumes were given for grams a litre.",
    "One volume of carbon dioxide, measured at 0 °C, is about 2 g/l.",
)
def volumes_for_grams(volumes: float) -> float:
    return volumes


@trap(
    "The foamed portion was counted as liquid.",
    "A portion is counted as the liquid that leaves the vessel; gas in the foam fills no vessel.",
)
def foam_for_liquid(portions: float, portion_ml: float, times: float, max_fill_l: float) -> float:
    return ceil(portions / floor(1000 * max_fill_l / (portion_ml * times) + 1e-9))


@trap(
    "It was rounded down.",
    "The last portions need a vessel as well: whole vessels, rounded up.",
)
def rounded_down(portions: float, portion_ml: float, max_fill_l: float) -> float:
    return floor(portions * portion_ml / (1000 * max_fill_l))


@trap(
    "The vessels were filled to the head.",
    "The mark is the most; the space above it is for the gas.",
)
def filled_to_the_head(portions: float, portion_ml: float, vessel_l: float) -> float:
    return ceil(portions * portion_ml / (1000 * vessel_l))


@trap(
    "Custom decided: a charger for each half litre.",
    "Custom knows neither the headspace nor the plate.",
)
def custom_decides(chargers: float, fill_ml: float) -> str:
    return verdict(chargers > ceil(fill_ml / 500))


@trap(
    "The test pressure was taken for the rated one.",
    "A vessel is tested above what it may be used at; the plate's working pressure is the limit.",
)
def test_pressure_for_rated(bound_bar: float, rated_bar: float) -> str:
    return verdict(bound_bar > 1.5 * rated_bar)


@trap(
    "Not over the plate was taken as nothing to mind.",
    "Within a tenth of the plate the load is for care: weigh the fill, let nothing warm it.",
)
def no_margin(bound_bar: float, rated_bar: float) -> str:
    return verdict(bound_bar > rated_bar)


@trap(
    "A chart of volumes for carbon dioxide was read as nitrogen.",
    "Nitrogen dissolves some fifty times less; those volumes are carbon dioxide's.",
)
def co2_volumes_for_nitrogen(chart_volumes: float) -> float:
    return 100 * chart_volumes


@trap(
    "The gas was measured at 20 °C.",
    "Volumes are litres of gas at 0 °C and 1 atm, 1.98 g each. At 20 °C a litre has 1.84 g.",
)
def volumes_at_20_c(volumes: float) -> float:
    return volumes * 44.0098 / MOLAR_L_0_C * 273.15 / 293.15


@trap(
    "The mixture was set as pure gas.",
    "Only the carbon dioxide carbonates: the drink would go flat. Divide its absolute pressure by "
    "its share.",
)
def mixture_as_pure(pure_bar: float) -> float:
    return pure_bar


@trap(
    "The gauge pressure was divided by the share.",
    "Shares are of the absolute pressure: add the air outside, divide, take it off again.",
)
def gauge_shared_out(pure_bar: float, share: float) -> float:
    return 100 * pure_bar / share


@trap(
    "The law of smooth flow was used.",
    "A poured drink flows turbulent, far above a Reynolds number of 2300. The line takes five "
    "times as much.",
)
def smooth_flow_in_a_beer_line(drop_low: float) -> float:
    return drop_low / 5


@trap(
    "All of the set pressure was spread over one metre.",
    "The line takes what its width and the flow ask for; its length is then cut to balance.",
)
def all_pressure_to_the_rise(set_bar: float) -> float:
    return set_bar - 0.098


@trap(
    "A table of sugar and volumes was trusted.",
    "Yeast stops where it wants, and sugar of the drink itself counts too: the pressure has no "
    "limit.",
)
def table_of_priming() -> str:
    return verdict(False)


@trap(
    "The set pressure was held against the plate.",
    "A shut keg that warms comes to several times the setting: the bound decides.",
)
def set_pressure_for_bound(set_bar: float, rated_bar: float) -> str:
    return verdict(set_bar > rated_bar)


@trap(
    "Nothing was seen.",
    "Go through plate and job line by line: volume, fill, pressure, gas, charger, heat, date.",
)
def nothing_seen() -> str:
    return "nothing"


@trap(
    "A fault was seen that this load does not have.",
    "Hold the line of the plate against the line of the job before you name it.",
)
def fault_not_there() -> str:
    return "another"
