"""Mistakes with acids."""

from __future__ import annotations

from math import log10

from prepkit.drill.traps.register import trap

CITRIC_G_EQ = 64.041


@trap(
    "The monohydrate was weighed like the anhydrous acid.",
    "A gram of citric acid monohydrate holds 0.914 g of acid: more of it is needed.",
)
def water_of_crystals_forgotten(mass_g: float, percent: float) -> float:
    return mass_g * percent / 100


@trap(
    "The purity was multiplied instead of divided by.",
    "Weaker stuff means more of it.",
)
def purity_upside_down(mass_g: float, percent: float, purity_percent: float) -> float:
    return mass_g * percent / 100 * purity_percent / 100


@trap(
    "The bottle's strength was left out.",
    "80 % lactic acid is one fifth water: divide by 0.80.",
)
def bottle_strength_forgotten(mass_g: float, percent: float) -> float:
    return mass_g * percent / 100


@trap(
    "Millilitres were taken as grams.",
    "Per cent by weight needs the mass of the stock: its volume times its density.",
)
def millilitres_as_grams(volume_ml: float, percent: float) -> float:
    return volume_ml * percent / 100


@trap(
    "The per cent was taken on the water.",
    "Per cent by weight is of the finished stock, acid and water.",
)
def percent_of_the_water(water_g: float, percent: float) -> float:
    return water_g * percent / 100


@trap(
    "The figure after months was given.",
    "In strong lactic acid part of the acid is bound and comes free slowly. At first 80 % acts as "
    "about 71 %.",
)
def bound_acid_counted(settled_percent: float) -> float:
    return settled_percent


@trap(
    "A per cent of one acid was taken as a per cent of another.",
    "Acids count by protons for their weight: convert with the equivalent masses.",
)
def percent_is_percent(acid_percent: float) -> float:
    return acid_percent


@trap(
    "The equivalent masses were put upside down.",
    "Multiply by the mass per proton of the acid you write it as. Divide by that of the acid "
    "you have.",
)
def equivalents_upside_down(acid_percent: float, equivalent_g: float) -> float:
    return acid_percent * equivalent_g / CITRIC_G_EQ


@trap(
    "The acid of the juice was forgotten.",
    "Count what it holds first, then balance on the final mass.",
)
def own_acid_forgotten(mass_g: float, to_percent: float) -> float:
    return mass_g * to_percent / 100


@trap(
    "All the acid's protons were taken as free.",
    "Food acids are weak: only a small part lets go, so the pH is higher.",
)
def all_protons_free(percent: float, molar_g: float, protons: float) -> float:
    return -log10(protons * 1000 * percent / (100 - percent) / molar_g)


@trap(
    "One proton of each molecule was taken as free.",
    "Food acids are weak: only a part of the first proton lets go.",
)
def first_proton_free(percent: float, molar_g: float) -> float:
    return -log10(1000 * percent / (100 - percent) / molar_g)


@trap(
    "A drop was taken as 0.05 ml.",
    "A drop has the size that its tip and its liquid give; weigh twenty of yours.",
)
def drop_of_a_twentieth(drops: float, density_g_ml: float) -> float:
    return drops * 0.05 * density_g_ml


@trap(
    "The drop of a bottle insert was used.",
    "Inserts drip oil at about 33 mg; a dropper with water is nearer 47 mg.",
)
def drop_of_an_insert(drops: float) -> float:
    return drops * 0.033


@trap(
    "Acid sold for food was taken as harmless at any strength.",
    "Strong stocks burn eyes and skin whatever they are sold for.",
)
def food_is_harmless() -> str:
    return "clear"


@trap(
    "Stirring was taken to dissolve anything.",
    "Past saturation nothing more dissolves; a recipe that asks for more is refused.",
)
def stirring_dissolves_it() -> str:
    return "clear"


@trap(
    "Everything strong was taken as forbidden.",
    "Care is the word for what may be done with gloves, goggles and a label.",
)
def strong_is_forbidden() -> str:
    return "stop"


@trap(
    "Grams in 100 ml were taken as per cent by weight.",
    "100 ml of a salt stock weigh more than 100 g: divide by the weight.",
)
def volume_as_weight(percent: float) -> float:
    return percent


@trap(
    "The water was taken as 100 ml.",
    "Made up to 100 ml there is less water than that: the salt takes room.",
)
def grams_on_the_water(grams: float) -> float:
    return 100 * grams / (grams + 100)


@trap(
    "The salt was given as sodium.",
    "Sodium is 39 % of salt; the rest is chloride.",
)
def salt_is_sodium(percent: float, twenty_g: float, drops: float) -> float:
    return 1000 * twenty_g / 20 * drops * percent / 100


@trap(
    "The whole drop was taken as salt.",
    "Only its strength is salt, the rest is water.",
)
def stock_is_salt(twenty_g: float, drops: float) -> float:
    return 393 * twenty_g / 20 * drops
