"""Mistakes with processes: clarifying, fat, coffee, clouds, composing, the minutes of a drink."""

from __future__ import annotations

from prepkit.drill.traps.register import trap

_AIR_OXYGEN = 20.95


@trap(
    "All of the butter was counted as water.",
    "A sixth of butter is water; its fat stays in the filter.",
)
def butter_as_water(spirit_ml: float, percent: float, fat_g: float) -> float:
    return spirit_ml * percent / (spirit_ml + fat_g)


@trap(
    "Cold fat was taken to be safe under gas.",
    "Set fat blocks the valve, and the vessel stays charged. Never, at any temperature.",
)
def cold_fat_is_safe() -> str:
    return "clear"


@trap(
    "A charge was taken for a shortcut with a warning.",
    "A valve that fat has blocked cannot be vented: wash in an open jar.",
)
def charge_saves_time() -> str:
    return "care"


@trap(
    "Spirit was taken to curdle milk.",
    "At the strength of punch it does not: acid and warmth do.",
)
def spirit_curdles_milk() -> str:
    return "clear"


@trap(
    "Milk was taken to be forbidden with spirit.",
    "It is allowed, and the guest is told: it contains milk.",
)
def no_milk_in_spirit() -> str:
    return "stop"


@trap(
    "The dissolved solids were given as the extraction.",
    "Solids are a share of the cup, extraction is a share of the dose.",
)
def solids_for_extraction(tds: float) -> float:
    return tds


@trap(
    "The weights were turned over.",
    "Solids times cup over dose, since what is in the cup came out of the dose.",
)
def dose_over_cup(tds: float, dose_g: float, cup_g: float) -> float:
    return tds * dose_g / cup_g


@trap(
    "All the water was taken to run out.",
    "Each gram of coffee holds back about two grams of water.",
)
def nothing_held_back(water_g: float) -> float:
    return water_g


@trap(
    "The dry coffee was taken off the water.",
    "The grounds hold about twice their own weight of water.",
)
def dose_taken_off(water_g: float, dose_g: float) -> float:
    return water_g - dose_g


@trap(
    "Ice was taken to melt one gram for each gram of coffee.",
    "A gram of ice takes 334 J to melt. A gram of coffee gives 4 J a degree.",
)
def gram_for_gram(cup_g: float) -> float:
    return cup_g


@trap(
    "It was cooled to 20 °C only.",
    "Beside ice it goes on to 0 °C, and the last 20 degrees melt ice too.",
)
def stops_at_the_room(melt: float, hot_c: float) -> float:
    return melt * (hot_c - 20) / hot_c


@trap(
    "The smoke was counted in the room.",
    "The face is at the dome: what decides is the air in it.",
)
def room_for_dome(fuel_g: float, room_m3: float) -> float:
    return 1e6 * 0.1 * fuel_g / 28.01 * 24.06 / (1000 * room_m3)


@trap(
    "All of the wood was taken to become carbon monoxide.",
    "About a tenth of its weight does.",
)
def all_of_the_wood(co_face: float) -> float:
    return 10 * co_face


@trap(
    "The lungs were taken to hold fresh air before.",
    "The air in them has 14 % oxygen left, and not 20.95 %.",
)
def fresh_air_in_lungs(empty_l: float, lung_l: float) -> float:
    return _AIR_OXYGEN * empty_l / lung_l


@trap(
    "A breath of gas was taken to halve the oxygen.",
    "Empty lungs hold 1.2 l of 6 l: a full breath leaves a fifth of it.",
)
def breath_halves_it() -> float:
    return _AIR_OXYGEN / 2


@trap(
    "A weak mist was taken for a weak drink.",
    "Lungs have no brake: there is no safe amount of breathed spirit.",
)
def weak_mist_is_harmless() -> str:
    return "clear"


@trap(
    "A warning was taken to be enough.",
    "Nobody can dose what is breathed, and the mist burns: not at all.",
)
def warn_the_guests() -> str:
    return "care"


@trap(
    "The strength was taken as the share of the spirit.",
    "Divide by the strength of the bottle: it is not pure alcohol.",
)
def strength_as_share(volume_ml: float, to_percent: float) -> float:
    return volume_ml * to_percent / 100


@trap(
    "The rest of the glass was given.",
    "The question asks for the spirit, and the others fill up to the volume.",
)
def rest_of_the_glass(volume_ml: float, to_percent: float, percent: float) -> float:
    return volume_ml * (1 - to_percent / percent)


@trap(
    "The likely time was given for the sure one.",
    "Sure is until the fastest melt reaches the limit, not the middle one.",
)
def likely_for_sure(likely_min: float) -> float:
    return likely_min


@trap(
    "The dilution was counted on the final volume.",
    "Here it is melt over the drink as poured.",
)
def share_of_the_end(sure_min: float, share_percent: float) -> float:
    return sure_min / (1 - share_percent / 100)
