"""Mistakes with sugar: syrups, readings, reductions."""

from __future__ import annotations

from prepkit.drill.traps.register import trap

SUGAR_BULK_G_ML = 0.85


@trap(
    "The sugar's heap was counted as volume.",
    "A heap is half air: a kilogram of dissolved sugar adds about 0.62 l.",
)
def heap_of_sugar_added(sugar_g: float, water_g: float) -> float:
    return water_g + sugar_g / SUGAR_BULK_G_ML


@trap(
    "The sugar was taken to add no volume.",
    "A kilogram of dissolved sugar adds about 0.62 l.",
)
def sugar_adds_no_volume(water_g: float) -> float:
    return water_g


@trap(
    "The sugar was counted on the water.",
    "Per cent by weight is of the whole syrup, sugar and water.",
)
def per_water(solids_g: float, water_g: float) -> float:
    return 100 * solids_g / water_g


@trap(
    "A ratio by weight was read as one by volume.",
    "A cup of sugar weighs less than a cup of water; say weight or volume.",
)
def ratio_by_volume(sugar_g: float, water_g: float) -> float:
    sugar = SUGAR_BULK_G_ML * sugar_g
    return 100 * sugar / (sugar + water_g)


@trap(
    "Only what is missing in the start was added.",
    "The sugar makes the batch heavier too: the balance is on the final mass.",
)
def difference_on_the_start(mass_g: float, own_percent: float, to_percent: float) -> float:
    return mass_g * (to_percent - own_percent) / 100


@trap(
    "The sugar already in it was forgotten.",
    "Count what is in it first, then balance on the final mass.",
)
def own_content_forgotten(mass_g: float, to_percent: float) -> float:
    return mass_g * to_percent / (100 - to_percent)


@trap(
    "Per cent by weight was taken as grams in 100 ml.",
    "A litre of syrup weighs more than a kilogram: multiply by the density.",
)
def mass_percent_times_ten(percent: float) -> float:
    return 10 * percent


@trap(
    "Grams per litre of water were given.",
    "The litre is of syrup, and the sugar takes room in it.",
)
def per_litre_of_water(sugar_g: float, water_g: float) -> float:
    return 1000 * sugar_g / water_g


@trap(
    "Honey, agave or maple syrup was counted as sugar.",
    "A sixth of honey, a quarter of agave and a third of maple syrup is water.",
)
def all_of_it_sugar(sweet_g: float, water_g: float) -> float:
    return 100 * sweet_g / (sweet_g + water_g)


@trap(
    "The reading was taken as sugar.",
    "A refractometer counts acid and alcohol as if they were sugar.",
)
def reading_is_sugar(reading: float) -> float:
    return reading


@trap(
    "The correction went the wrong way.",
    "The juice trade adds it to reach all the solids; who wants sugar takes it off.",
)
def correction_added(reading: float, right: float) -> float:
    return 2 * reading - right


@trap(
    "The correction for temperature went the wrong way.",
    "A warm sample reads low, so add; a cold one reads high, so subtract.",
)
def wrong_way_in_temperature(reading: float, right: float) -> float:
    return 2 * reading - right


@trap(
    "The temperature was left out.",
    "The Brix scale belongs to 20 °C; correct the reading or let the drop reach 20 °C.",
)
def temperature_left_out(reading: float) -> float:
    return reading


@trap(
    "The whole strength was taken off the reading.",
    "Alcohol lifts the reading by about 0.4 Bx per % by weight, not by all of it.",
)
def strength_taken_off(reading: float, percent: float) -> float:
    return reading - percent


@trap(
    "All the sugar was taken to be in the peel or dissolved one to one in its water.",
    "Water at 20 °C holds about twice its weight of sugar.",
)
def one_to_one_dissolves(sugar_g: float, gained_g: float, water_g: float) -> float:
    return sugar_g - gained_g - water_g


@trap(
    "The sugar that the peel takes up was left out.",
    "Sugar goes into the peel as water comes out of it.",
)
def peel_takes_nothing(undissolved_g: float, gained_g: float) -> float:
    return undissolved_g + gained_g


@trap(
    "The mass left was given.",
    "The question asks what must go: the start less what is left.",
)
def what_is_left(mass_g: float, own_percent: float, to_percent: float) -> float:
    return mass_g * own_percent / to_percent


@trap(
    "Sugar was taken to keep anything.",
    "A syrup near saturation throws crystals in the cold, and the thin syrup above them ferments.",
)
def sugar_keeps_it() -> str:
    return "clear"


@trap(
    "Heavy with sugar was taken as a fault.",
    "The cold decides: below saturation at the temperature of storage nothing falls out.",
)
def thick_is_wrong() -> str:
    return "stop"


@trap(
    "A drink for children was taken to be harmless.",
    "Glycerol keeps slush soft: none of it below 7 years, one drink a day from 7 to 10.",
)
def sold_for_children() -> str:
    return "clear"
