"""Mistakes with alcohol: mixing, diluting, chilling, labels."""

from __future__ import annotations

from prepkit.drill.traps.register import trap, verdict
from prepkit.science import ethanol

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
    "The mixture is smaller than the sum, so it is a little stronger.",
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
    "Mixing takes volume away, so more water is needed than the difference of the volumes.",
)
def dilution_by_volumes(spirit_ml: float, percent: float, to_percent: float) -> float:
    return spirit_ml * (percent / to_percent - 1)


@trap(
    "The share of water was taken of the spirit instead of the final drink.",
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
    "Ice at 0 °C takes a drink with spirit well below 0 °C, down to its freezing point.",
)
def stops_at_zero(heat_j: float, from_c: float, end_c: float) -> float:
    return heat_j * from_c / (from_c - end_c) / MELT_J_G


@trap(
    "The heat of mixing was left out.",
    "Spirit warms as water comes in, and that heat melts ice as well.",
)
def no_heat_of_mixing(heat_j: float, per_gram_j: float) -> float:
    return heat_j / per_gram_j


def _before_melt(spirit_ml: float, percent: float, rest_ml: float) -> float:
    return percent * spirit_ml / (spirit_ml + rest_ml)


@trap(
    "The melt was forgotten.",
    "Shaking brings a third and more of the start volume in as water.",
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
    "Fruit gives its water to the spirit and keeps some of the alcohol.",
)
def label_strength_kept(percent: float) -> float:
    return percent


@trap(
    "Spirit was taken to go into the fruit and nothing out of it.",
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


@trap(
    "Colder than boiling was taken to be enough.",
    "A sealed bag swells well below boiling. Stay 20 K under, and keep flames away even then.",
)
def under_boiling_is_enough(bath_c: float, boils_c: float) -> str:
    return verdict(bath_c >= boils_c)


@trap(
    "The spirit was taken to have killed the germs.",
    "At 9 % vol it took 7 weeks in the cold, and nothing is known for stronger spirit.",
)
def spirit_has_killed_it() -> str:
    return verdict(False)
