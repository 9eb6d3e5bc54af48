"""What real mistakes with gas, cryogens and charged vessels give."""

from __future__ import annotations

from math import ceil, floor

from prepkit.drill.choices import trap, verdict
from prepkit.science import gases
from prepkit.shared import room_check

# ---- mistakes with gas in a room, liquid nitrogen and dry ice ----

OXYGEN_PERCENT = 20.95
OXYGEN_LOW_PERCENT = room_check.OXYGEN_STOP
OXYGEN_LEAVE_PERCENT = 18.0
CO2_LEAVE_PERCENT = 3.0
CO2_SHORT_PERCENT = 1.0  # [TRGS-900-PEAKS]
WATER_J_KG_K = 4186.0


@trap(
    "A thousand litres were taken for each litre.",
    "A litre of liquid nitrogen becomes about 700 l. A printed manual has it wrong.",
)
def thousand_for_one(liquid_l: float) -> float:
    return 1000 * liquid_l


@trap(
    "The density 0.86 was used for liquid nitrogen.",
    "A trade page prints it and is wrong. 0.806 kg/l is right.",
)
def wrong_nitrogen_density(gas_l: float) -> float:
    return gas_l * 0.86 / 0.806


@trap(
    "The liquid was taken to stay liquid.",
    "All of it becomes gas. The room is judged for all of it.",
)
def litre_for_litre(liquid_l: float) -> float:
    return liquid_l


@trap(
    "The whole of the gas was taken off the oxygen.",
    "Gas pushes out air, and a fifth of air is oxygen: 20.95 % x the share left.",
)
def whole_share_off_oxygen(gas_l: float, room_m3: float) -> float:
    return OXYGEN_PERCENT - 100 * gas_l / 1000 / room_m3


@trap(
    "A gas that is no poison was taken to change nothing.",
    "It takes the place of oxygen. Nothing warns who breathes it.",
)
def harmless_gas() -> float:
    return OXYGEN_PERCENT


@trap(
    "The drop of the oxygen was given.",
    "The gas fills five times that share. It harms before oxygen is low.",
)
def oxygen_drop_for_gas(oxygen_percent: float) -> float:
    return OXYGEN_PERCENT - oxygen_percent


@trap(
    "A kilogram was taken as a cubic metre.",
    "A kilogram of carbon dioxide is about 0.54 m3 at 20 °C.",
)
def kilogram_for_cubic_metre(mass_kg: float, room_m3: float) -> float:
    return 100 * mass_kg / room_m3


@trap(
    "The cold of the gas was counted as well.",
    "That is the least. Cold gas leaves unused. The room is sized for the larger mass.",
)
def cold_gas_counted(least_g: float) -> float:
    return least_g


@trap(
    "The batch was taken as water, a litre as a kilogram.",
    "Syrup takes less heat than water. Use the figure given.",
)
def batch_as_water(litres: float, from_c: float, to_c: float, latent_kj_kg: float) -> float:
    return litres * WATER_J_KG_K * (from_c - to_c) / latent_kj_kg


@trap(
    "A litre of liquid nitrogen was weighed as a kilogram.",
    "A litre weighs 0.806 kg.",
)
def nitrogen_as_water(liquid_l: float) -> float:
    return 1000 * liquid_l


@trap(
    "One per cent an hour of the first weight was taken.",
    "That is the good end. Small pieces lose two per cent an hour.",
)
def slow_loss(stored_kg: float, hours: float) -> float:
    return stored_kg * (1 - 0.01 * hours)


@trap(
    "The box was taken to keep it all.",
    "Only a tight box would keep it all, and it bursts.",
)
def nothing_lost(stored_kg: float) -> float:
    return stored_kg


@trap(
    "Only the oxygen was looked at.",
    "Carbon dioxide harms long before oxygen runs low. Each gas has its own limits.",
)
def oxygen_alone_decides(oxygen_percent: float) -> str:
    return verdict(oxygen_percent < OXYGEN_LOW_PERCENT)


@trap(
    "Only the figure for the air decided.",
    "In a lift or car there is no way out. No amount travels there with people.",
)
def air_alone_decides(co2_percent: float) -> str:
    return verdict(co2_percent > CO2_LEAVE_PERCENT)


@trap(
    "A little was taken as nothing.",
    "The room decides what is little: a kilogram fills half a cubic metre.",
)
def little_is_nothing() -> str:
    return "clear"


@trap(
    "The room was sized by oxygen.",
    "Carbon dioxide has its own level. It lets far less into the room.",
)
def oxygen_sizes_the_mass(gas_l: float, mass_kg: float, room_m3: float) -> float:
    return 1000 * _oxygen_share() * room_m3 * mass_kg / (gas_l / 1000)


@trap(
    "A kilogram was taken as a cubic metre of gas.",
    "A kilogram of carbon dioxide is about 0.54 m3 at 20 °C.",
)
def cubic_metre_sizes_the_mass(room_m3: float) -> float:
    return 10 * CO2_SHORT_PERCENT * room_m3


@trap(
    "The room was sized by oxygen.",
    "Carbon dioxide has its own level. It asks for a far larger room.",
)
def oxygen_sizes_the_room(gas_l: float) -> float:
    return gas_l / 1000 / _oxygen_share()


def _oxygen_share() -> float:
    return 1 - OXYGEN_LOW_PERCENT / OXYGEN_PERCENT


@trap(
    "The level for leaving was used, 18 % oxygen.",
    "Nobody waits for it: the alarm stands at 19.5 %.",
)
def leave_level_for_alarm(gas_l: float) -> float:
    return gas_l / 1000 / (1 - OXYGEN_LEAVE_PERCENT / OXYGEN_PERCENT)


@trap(
    "All was taken to come at once and to stay.",
    "Over a service, fresh air carries most of it away.",
)
def all_at_once(gas_l: float, room_m3: float) -> float:
    return 1e3 * gas_l / room_m3


@trap(
    "A gram of gas was taken as a litre.",
    "8 g of nitrous oxide are about 4.3 l at 20 °C.",
)
def litres_for_grams_in_air(ppm: float, gas_g: float, gas_l: float) -> float:
    return ppm * gas_g / gas_l


@trap(
    "The air changes were forgotten.",
    "That is one hour's leak in still air. Divide by the air changes too.",
)
def changes_forgotten(leak_m3_h: float, room_m3: float) -> float:
    return 100 * leak_m3_h / room_m3


@trap(
    "All of a shift was taken to stay.",
    "Fresh air carries gas away as it comes. It does not all stay.",
)
def shift_all_stays(leak_m3_h: float, hours: float, room_m3: float) -> float:
    return 100 * leak_m3_h * hours / room_m3


# ---- mistakes with charged vessels ----

AIR_BAR = 1.01325
BULB_ML = 10.0
AIR_G_L = 1.204  # 20 C, dry, 1 atm
MOLAR_L_0_C = 22.414


@trap(
    "The absolute pressure was given.",
    "A plate shows gauge pressure. That is about 1 bar less.",
)
def gauge_for_absolute(gauge_bar: float) -> float:
    return gauge_bar + AIR_BAR


@trap(
    "The air that was shut in was forgotten.",
    "It is still there when the gas comes. It adds about 1 bar.",
)
def air_forgotten(gauge_bar: float, headspace_ml: float) -> float:
    return gauge_bar - AIR_BAR * headspace_ml / (headspace_ml + BULB_ML)


@trap(
    "The gas was taken as ideal.",
    "At ten bar molecules pull on each other. A real gas presses less.",
)
def ideal_gas(gas_g: float, headspace_ml: float, celsius: float, molar_g: float) -> float:
    moles, room_m3 = gas_g / molar_g, (headspace_ml + BULB_ML) * 1e-6
    pushed = moles * gases.GAS_CONSTANT_J_MOL_K * (celsius + gases.KELVIN) / room_m3 / 1e5
    return pushed + AIR_BAR * headspace_ml / (headspace_ml + BULB_ML) - AIR_BAR


@trap(
    "The vessel was taken as filled to its mark.",
    "The headspace that is there sets the peak, not the mark.",
)
def nominal_fill(
    gauge_bar: float, headspace_ml: float, vessel_l: float, max_fill_l: float
) -> float:
    at_the_mark_ml = 1000 * (vessel_l - max_fill_l)
    return gauge_bar * (headspace_ml + BULB_ML) / (at_the_mark_ml + BULB_ML)


@trap(
    "The settled pressure was taken.",
    "A verdict rests on the peak. Nothing has dissolved yet.",
)
def settled_for_peak(settled_bar: float) -> float:
    return settled_bar


@trap(
    "The peak was taken without what it may be off.",
    "Chargers come over-full and bars are warm. The upper bound is higher.",
)
def peak_for_bound(peak_bar: float) -> float:
    return peak_bar


@trap(
    "Nothing was taken to dissolve.",
    "Shaken, part of the gas is in the liquid. It presses no more.",
)
def nothing_dissolves(peak_bar: float) -> float:
    return peak_bar


@trap(
    "Only the space up to the mark was counted.",
    "The gas has all that is empty, up to the closed head.",
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
    "8 g of nitrous oxide are about 4.3 l at 20 °C.",
)
def litres_for_grams(gas_g: float) -> float:
    return gas_g


@trap(
    "The gas was taken to be as light as air.",
    "Nitrous oxide weighs half as much again as air. A gram is less volume.",
)
def light_as_air(gas_g: float) -> float:
    return gas_g / AIR_G_L


@trap(
    "The molar volume at 0 °C was used.",
    "22.4 l belong to 0 °C. At 20 °C it is 24 l.",
)
def molar_volume_at_0_c(gas_g: float, molar_g: float) -> float:
    return gas_g / molar_g * MOLAR_L_0_C


@trap(
    "The gas was counted as a share of the foam.",
    "Overrun is gas over the liquid. At 100 % half of the foam is gas.",
)
def overrun_of_foam_volume(overrun_percent: float) -> float:
    return 100 * overrun_percent / (100 + overrun_percent)


@trap(
    "The volume of the foam over the liquid was given.",
    "That is the expansion. Overrun counts only the gas, 100 % less.",
)
def expansion_for_overrun(overrun_percent: float) -> float:
    return overrun_percent + 100


@trap(
    "The whole charge was counted.",
    "Only dissolved gas whips the liquid. The rest is vented.",
)
def whole_charge_whips(vented_l: float, fill_ml: float) -> float:
    return 100 * 1000 * vented_l / fill_ml


@trap(
    "All the gas was taken to dissolve.",
    "Part of it stays in the space above the liquid.",
)
def all_dissolves(gas_g: float, fill_ml: float) -> float:
    return 1000 * gas_g / fill_ml


@trap(
    "Volumes were given for grams a litre.",
    "One volume of carbon dioxide is about 2 g in a litre.",
)
def volumes_for_grams(volumes: float) -> float:
    return volumes


@trap(
    "The foamed portion was counted as liquid.",
    "Count the liquid that leaves the vessel. Gas in the foam fills none.",
)
def foam_for_liquid(portions: float, portion_ml: float, times: float, max_fill_l: float) -> float:
    return ceil(portions / floor(1000 * max_fill_l / (portion_ml * times) + 1e-9))


@trap(
    "It was rounded down.",
    "The last portions need a vessel as well. Round up.",
)
def rounded_down(portions: float, portion_ml: float, max_fill_l: float) -> float:
    return floor(portions * portion_ml / (1000 * max_fill_l))


@trap(
    "The vessels were filled to the head.",
    "The mark is the most. The space above it is for the gas.",
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
    "It was tested above what it may be used at. PS is the limit.",
)
def test_pressure_for_rated(bound_bar: float, rated_bar: float) -> str:
    return verdict(bound_bar > 1.5 * rated_bar)


@trap(
    "Not over the plate was taken as nothing to mind.",
    "Within a tenth of the plate it is CARE. Weigh the fill, keep it cold.",
)
def no_margin(bound_bar: float, rated_bar: float) -> str:
    return verdict(bound_bar > rated_bar)


@trap(
    "A chart of volumes for carbon dioxide was read as nitrogen.",
    "Those volumes are of carbon dioxide. Nitrogen dissolves some fifty times less.",
)
def co2_volumes_for_nitrogen(chart_volumes: float) -> float:
    return 100 * chart_volumes


@trap(
    "The gas was measured at 20 °C.",
    "Volumes are litres of gas at 0 °C. A litre weighs 1.98 g there.",
)
def volumes_at_20_c(volumes: float) -> float:
    return volumes * 44.0098 / MOLAR_L_0_C * 273.15 / 293.15


@trap(
    "The mixture was set as pure gas.",
    "Only the carbon dioxide counts. Divide its absolute pressure by its share.",
)
def mixture_as_pure(pure_bar: float) -> float:
    return pure_bar


@trap(
    "The gauge pressure was divided by the share.",
    "Shares are of absolute pressure. Add the air outside, divide, take it off.",
)
def gauge_shared_out(pure_bar: float, share: float) -> float:
    return 100 * pure_bar / share


@trap(
    "The law of smooth flow was used.",
    "A poured drink flows turbulent. The line takes five times as much.",
)
def smooth_flow_in_a_beer_line(drop_low: float) -> float:
    return drop_low / 5


@trap(
    "All of the set pressure was spread over one metre.",
    "The line takes what its width and flow ask for. Its length is cut.",
)
def all_pressure_to_the_rise(set_bar: float) -> float:
    return set_bar - 0.098


@trap(
    "The set pressure was held against the plate.",
    "A shut keg that warms comes to several times the setting.",
)
def set_pressure_for_bound(set_bar: float, rated_bar: float) -> str:
    return verdict(set_bar > rated_bar)


@trap(
    "Nothing was seen.",
    "Go through plate and job line by line.",
)
def nothing_seen() -> str:
    return "nothing"


@trap(
    "A fault was seen that this load does not have.",
    "Hold plate and job side by side before you name it.",
)
def fault_not_there() -> str:
    return "another"
