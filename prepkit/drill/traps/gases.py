"""Mistakes with gas in a room, liquid nitrogen and dry ice."""

from __future__ import annotations

from prepkit.drill.traps.register import trap, verdict
from prepkit.shared import room_check

OXYGEN_PERCENT = 20.95
OXYGEN_LOW_PERCENT = room_check.OXYGEN_STOP
OXYGEN_LEAVE_PERCENT = 18.0
CO2_LEAVE_PERCENT = 3.0
CO2_SHORT_PERCENT = 1.0  # [TRGS-900-PEAKS]
WATER_J_KG_K = 4186.0


@trap(
    "A thousand litres were taken for each litre.",
    "A litre of liquid nitrogen becomes about 700 l. A printed manual makes 35 m3 of 35 l, "
    "where 24 are true.",
)
def thousand_for_one(liquid_l: float) -> float:
    return 1000 * liquid_l


@trap(
    "The density 0.86 was used for liquid nitrogen.",
    "It is on a trade page and is wrong; 0.806 kg/l is right.",
)
def wrong_nitrogen_density(gas_l: float) -> float:
    return gas_l * 0.86 / 0.806


@trap(
    "The liquid was taken to stay liquid.",
    "All of it becomes gas in the end, and the room is judged for all of it.",
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
    "It takes the place of the oxygen, and nothing warns the one who breathes it.",
)
def harmless_gas() -> float:
    return OXYGEN_PERCENT


@trap(
    "The drop of the oxygen was given.",
    "The gas itself fills about five times that share, and it harms before the oxygen is low.",
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
    "That is the least. Cold gas leaves unused from an open vessel, and the room is sized for the "
    "larger mass.",
)
def cold_gas_counted(least_g: float) -> float:
    return least_g


@trap(
    "The batch was taken as water, a litre as a kilogram.",
    "Sugar and spirit change both the weight of a litre and its specific heat.",
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
    "That is the good end of the range; small pieces lose two per cent an hour and more.",
)
def slow_loss(stored_kg: float, hours: float) -> float:
    return stored_kg * (1 - 0.01 * hours)


@trap(
    "The box was taken to keep it all.",
    "A box that keeps dry ice without loss would have to be tight, and a tight box bursts.",
)
def nothing_lost(stored_kg: float) -> float:
    return stored_kg


@trap(
    "Only the oxygen was looked at.",
    "Carbon dioxide harms long before oxygen runs low; each gas has limits of its own.",
)
def oxygen_alone_decides(oxygen_percent: float) -> str:
    return verdict(oxygen_percent < OXYGEN_LOW_PERCENT)


@trap(
    "Only the figure for the air decided.",
    "In a lift or a car there is no way out; no amount travels there with people.",
)
def air_alone_decides(co2_percent: float) -> str:
    return verdict(co2_percent > CO2_LEAVE_PERCENT)


@trap(
    "A little was taken as nothing.",
    "How much is little depends on the room: a kilogram fills half a cubic metre.",
)
def little_is_nothing() -> str:
    return "clear"


@trap(
    "The room was sized by oxygen.",
    "For carbon dioxide its own level comes first and lets far less into the room.",
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
    "For carbon dioxide its own level comes first and asks for a far larger room.",
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
    "Spread over a service, the air of the room carries most of it away.",
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
    "A leak over the volume is what one hour brings into still air; divide by the air changes.",
)
def changes_forgotten(leak_m3_h: float, room_m3: float) -> float:
    return 100 * leak_m3_h / room_m3


@trap(
    "All of a shift was taken to stay.",
    "Fresh air carries gas away as it comes; no share of the air is above one.",
)
def shift_all_stays(leak_m3_h: float, hours: float, room_m3: float) -> float:
    return 100 * leak_m3_h * hours / room_m3
