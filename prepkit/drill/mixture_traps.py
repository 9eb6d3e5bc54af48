"""What real mistakes with acids, strength, sugar and processes give."""

from __future__ import annotations

from math import log10

from prepkit.drill.choices import trap
from prepkit.science import ethanol

# ---- mistakes with acids ----

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
    "Part of strong lactic acid is bound and comes free slowly. At first 80 % acts as about 71 %.",
)
def bound_acid_counted(settled_percent: float) -> float:
    return settled_percent


@trap(
    "Per cent of one acid was taken for per cent of another.",
    "Acids count by protons for their weight: convert with the equivalent masses.",
)
def percent_is_percent(acid_percent: float) -> float:
    return acid_percent


@trap(
    "The equivalent masses were put upside down.",
    "Times the grams of the acid you write it as. Over those of the acid you have.",
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


# ---- mistakes with alcohol ----

MELT_J_G = 333.6
ETHANOL_G_ML = ethanol.PURE_KG_M3 / 1000


@trap(
    "The volumes were added.",
    "Spirit and water shrink as they mix: masses add, volumes do not.",
)
def volumes_added(first_ml: float, second_ml: float) -> float:
    return first_ml + second_ml


@trap(
    "Grams were read as millilitres.",
    "Divide by the density; only water comes close to 1 g/ml.",
)
def grams_as_millilitres(mass_g: float) -> float:
    return mass_g


@trap(
    "The strength was worked out by adding the volumes.",
    "The mixture is smaller than the sum. It is stronger.",
)
def strength_by_volumes_added(first_ml: float, percent: float, second_ml: float) -> float:
    return percent * first_ml / (first_ml + second_ml)


@trap(
    "The strengths were averaged.",
    "Each counts by its amount: carry the alcohol, then divide.",
)
def strengths_averaged(percent: float) -> float:
    return percent / 2


@trap(
    "The water was worked out by volumes.",
    "Mixing takes volume away. It needs more water than that.",
)
def dilution_by_volumes(spirit_ml: float, percent: float, to_percent: float) -> float:
    return spirit_ml * (percent / to_percent - 1)


@trap(
    "The share of water was taken of the spirit.",
    "Always say per cent of what: the final volume is larger than the start.",
)
def dilution_of_the_start(spirit_ml: float, percent: float, to_percent: float) -> float:
    return spirit_ml * (1 - to_percent / percent)


@trap(
    "Per cent by volume was taken as grams in 100 ml.",
    "A millilitre of alcohol weighs 0.789 g.",
)
def volume_percent_as_grams(volume_ml: float, percent: float) -> float:
    return volume_ml * percent / 100


@trap(
    "Per cent by volume was taken as per cent of the weight.",
    "40 % vol is 33.3 % by weight: alcohol is lighter than water.",
)
def volume_percent_of_mass(mass_g: float, percent: float) -> float:
    return mass_g * percent / 100


@trap(
    "Per cent by volume was given as per cent by weight.",
    "40 % vol is 33.3 % by weight: alcohol is lighter than water.",
)
def volume_percent_as_mass_percent(percent: float) -> float:
    return percent


@trap(
    "Only the alcohol's density was used.",
    "Per cent by weight is grams in 100 g of the drink. 100 ml of it weigh less than 100 g.",
)
def alcohol_density_alone(percent: float) -> float:
    return percent * ETHANOL_G_ML


@trap(
    "Proof was taken as per cent.",
    "US proof is about twice the per cent by volume.",
)
def proof_is_percent(percent: float) -> float:
    return percent


@trap(
    "The old British proof was used.",
    "That scale has 100 at about 57 % vol; US proof has 100 at about 50 % vol.",
)
def british_proof(percent: float) -> float:
    return 1.75 * percent


@trap(
    "Chilling was taken to end at 0 °C.",
    "Ice takes a drink with spirit down to its freezing point.",
)
def stops_at_zero(heat_j: float, from_c: float, end_c: float) -> float:
    return heat_j * from_c / (from_c - end_c) / MELT_J_G


@trap(
    "The heat of mixing was left out.",
    "Spirit warms as water comes in. That melts ice too.",
)
def no_heat_of_mixing(heat_j: float, per_gram_j: float) -> float:
    return heat_j / per_gram_j


def _before_melt(spirit_ml: float, percent: float, rest_ml: float) -> float:
    return percent * spirit_ml / (spirit_ml + rest_ml)


@trap(
    "The melt was forgotten.",
    "Shaking brings in water: a third and more of the start.",
)
def no_melt(spirit_ml: float, percent: float, sour_ml: float, sweet_ml: float) -> float:
    return _before_melt(spirit_ml, percent, sour_ml + sweet_ml)


@trap(
    "The share of the final volume was used on the start volume.",
    "Always say per cent of what: the start or the end.",
)
def final_share_on_the_start(
    spirit_ml: float, percent: float, sour_ml: float, sweet_ml: float, final_share_percent: float
) -> float:
    return _before_melt(spirit_ml, percent, sour_ml + sweet_ml) / (1 + final_share_percent / 100)


@trap(
    "It was counted of the start volume.",
    "The question asks of the final volume, which is larger.",
)
def of_the_start_volume(percent: float) -> float:
    return percent


@trap(
    "It was counted of the start mass.",
    "Mass and volume differ, and so do start and end: say which.",
)
def of_the_start_mass(percent: float) -> float:
    return percent


@trap(
    "All of the water was taken to freeze.",
    "Spirit and sugar hold water back: what is left between the ice freezes colder and colder.",
)
def all_water_is_ice(mass_g: float, ethanol_g: float) -> float:
    return 100 * (mass_g - ethanol_g) / mass_g


@trap(
    "The share of the water was given.",
    "The question asks of the whole weight, spirit included.",
)
def share_of_the_water(share_percent: float) -> float:
    return share_percent


@trap(
    "It was filled to the brim.",
    "Water grows by 9 % as it freezes, and glass bursts.",
)
def to_the_brim(inside_ml: float) -> float:
    return inside_ml


@trap(
    "Ice was taken to be smaller than water.",
    "It is larger by 9 %: that is why it floats.",
)
def ice_shrinks(inside_ml: float) -> float:
    return 1.0907 * inside_ml


@trap(
    "The label's strength was kept.",
    "Fruit gives its water to the spirit and keeps some alcohol.",
)
def label_strength_kept(percent: float) -> float:
    return percent


@trap(
    "Only spirit was taken to move, into the fruit.",
    "It goes both ways: liquid stays in the fruit and water of the fruit comes out.",
)
def fruit_only_drinks(percent: float, poured_ml: float, kept_ml: float) -> float:
    return percent * (poured_ml - kept_ml) / poured_ml


@trap(
    "Taste was taken to grow in proportion to time.",
    "It goes fast at first and levels off: two readings give the curve and its end.",
)
def taste_in_proportion_to_time(later_h: float) -> float:
    return later_h / 2


@trap(
    "Half of the last reading was taken for half of all.",
    "The last reading is not yet the end; the curve still rises after it.",
)
def half_of_the_last_reading(first: float, first_h: float, later: float) -> float:
    return first_h * later / 2 / first


# ---- mistakes with sugar ----

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
    "A part of each of them is water. Take it off first.",
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
    "One % vol lifts the reading by less than a third Bx.",
)
def strength_taken_off(reading: float, percent: float) -> float:
    return reading - percent


@trap(
    "The sugar was taken to dissolve one to one.",
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


# ---- mistakes with processes ----

_AIR_OXYGEN = 20.95


@trap(
    "All of the butter was counted as water.",
    "A sixth of butter is water; its fat stays in the filter.",
)
def butter_as_water(spirit_ml: float, percent: float, fat_g: float) -> float:
    return spirit_ml * percent / (spirit_ml + fat_g)


@trap(
    "The dissolved solids were given as the extraction.",
    "Solids are a share of the cup. Extraction is one of the dose.",
)
def solids_for_extraction(tds: float) -> float:
    return tds


@trap(
    "The weights were turned over.",
    "It is solids times cup over dose: it came out of the dose.",
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
    "Beside ice it goes on to 0 °C. Those degrees melt ice too.",
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
    "The strength was taken as the share of the spirit.",
    "Divide by the strength of the bottle: it is not pure alcohol.",
)
def strength_as_share(volume_ml: float, to_percent: float) -> float:
    return volume_ml * to_percent / 100


@trap(
    "The rest of the glass was given.",
    "The question asks for the spirit. The others fill the glass.",
)
def rest_of_the_glass(volume_ml: float, to_percent: float, percent: float) -> float:
    return volume_ml * (1 - to_percent / percent)


@trap(
    "The likely time was given for the sure one.",
    "Sure is until the fastest melt reaches the limit.",
)
def likely_for_sure(likely_min: float) -> float:
    return likely_min
