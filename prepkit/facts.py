"""The facts that a calculator can give and a caution row can be about, each with its kind.

A name that is not here is refused in a row, and in a calculator: a misspelt fact would trigger
nothing, and the verdict would read clear. A new fact is a new name here, in its order.
"""

from __future__ import annotations

from typing import Any, Literal

Kind = Literal["number", "flag", "word", "words"]
Facts = dict[str, Any]  # Any: numbers, truths, words; each by its kind below

_NUMBERS = """
    abv_band abv_full abv_none abv_percent acetic_percent acid_added_g acid_citric_percent
    acid_percent acidity_off_percent acidity_percent acidity_times acidity_wanted_percent
    added_percent air_changes alcoholometer_percent alkaloids_mg_kg alkaloids_percent all_kept
    allowed_charger_g asphyxiant atc_c below_freezing_k boil_abv boil_solids boiled_c boiled_min
    bottle_below_freezing_k bound_bar bound_over_rating brine_percent bubble_mm by_drops
    bound_over_regulator regulator_bar sealed_low_acid_count cloud_fuel_g
    caffeine_mg carbonating_count charger_above_full_c charger_c charger_full_c charger_g
    carried_over_rating charger_over_allowed charger_over_storage_c chargers chargers_all
    chargers_in_all coffee_bean_told coffee_caffeine_told coffee_cold_count coffee_cold_h
    coffee_water_c coffee_water_least_c coffee_water_most_c coffee_water_off_k
    cloud_abv_percent cloud_aired_s cloud_alarm cloud_breath_air_count cloud_charcoal_count
    cloud_closed_count cloud_co_most_ppm cloud_co_ppm cloud_face_told cloud_flammable_percent
    cloud_fog_away cloud_fog_faced cloud_fog_in_drink cloud_fog_told cloud_fuel_unknown_count
    cloud_glycerol_percent cloud_lung_percent cloud_not_water cloud_oil_percent cloud_room_ppm
    cloud_shift_ppm cloud_sip_percent cloud_smoke_away cloud_smoke_bubble_count
    cloud_smoke_faced cloud_source_told cloud_spoon_count cloud_spray_away cloud_spray_faced
    cloud_usual_shift_ppm cloud_water_count
    coffee_extraction_percent coffee_least_percent coffee_measured coffee_most_percent
    coffee_serve_high_mg coffee_serve_low_mg coffee_served_c coffee_steep_c
    citric_percent close close_count co2_at_once_percent co2_l co2_percent co2_shift_share
    co2_with_fat_percent cold_c cold_hours_over cold_saturation cold_saturation_known_c
    cold_saturation_most_percent cold_too_warm_k colder_than_drunk_k coldest_c corrosive_share
    air_changes_told assumed_count counted_percent cryogen_part_count custom_each days_overdue
    dose_g dose_has_range dose_over_least dose_over_usual dose_percent dose_under_usual
    dosed_oil_percent dosed_stock_percent drier_than_usual drink_strength_percent drop_count
    drop_least_mg drop_most_mg drops_uncalibrated drunk_at_c emulsified emulsifier_most_g
    emulsifier_over_limit end_c enzyme_fruits espresso_count espresso_crema espresso_s
    essential_oil_percent ethanol_g ethanol_percent
    expected_high_bar expected_low_bar extraction_percent eye_damage_percent
    eye_irritant_percent fat_above_window fat_below_window fat_edge fat_percent fat_plus_minus
    fat_value fill_ml fill_over_max films_break_count flagged_count flash_c foam_abv_percent
    foam_range freezer_c freezer_short_k freezing_c freezing_margin_k fridge_c frozen_abv
    frozen_abv_before fumaric_percent gas_m3 gas_part_count gas_total_g glass_oil_percent
    growth_percent habit_past_days
    handled_acetic_percent handled_ascorbic_percent handled_citric_percent
    handled_fumaric_percent handled_lactic_percent handled_malic_percent
    handled_phosphoric_percent handled_succinic_percent handled_tartaric_percent hidden_percent
    hot_spirit hottest_c hours_left hours_limit hours_over hydrate_bar ice_brix ice_ends_c
    ice_share inverted_least inverted_most inverted_room inverted_room_most kept_c
    lactic_at_once_percent lactic_percent largest_percent later_count law_memory_counted
    law_memory_mg_kg law_memory_share law_read_counted law_read_mg_kg law_read_share
    least_expansion least_room_m3 least_overrun_percent make_up_off_percent malic_percent max_fill_l
    measured_expansion measured_ph measured_water_activity memory_count met_gas_count most_chargers
    n2_with_fat_percent n2o_in_use_share n2o_percent n2o_ppm n2o_shift_share n2o_short_share
    name_gap_percent nearest_share named_percent names_not_known nutmeg_each_g needed_share
    never_floats of_start_percent
    oil_high_mg_kg oil_low_mg_kg oil_percent ours_each over_flash_c over_flash_k over_hottest_c
    over_hydrate_line over_most_chargers over_use_level overrun_advised overrun_cap_percent
    overrun_needed oxidiser oxidiser_with_abv oxygen_at_once_percent oxygen_high_percent
    oxygen_percent past_days peel_counted peel_g ph ph_above_window ph_at_most ph_before
    ph_below_window ph_edge ph_error ph_off ph_plus_minus ph_rise ph_value ph_wanted
    phosphoric_mg_l phosphoric_percent place_c plant_water_g poison_part_count poured_abv
    poured_fat_percent pressure_abv product_c rated_bar read_above_bar read_bar read_below_bar
    read_high_bar read_over_bound read_over_rating read_ph
    refused_count refused_gas_count rinse_g rise_k room_c room_m3
    room_gas_g room_gas_percent room_over_least
    room_share_percent rounding_strength sample_c saponins_if_usual_mg_kg saponins_mg_kg
    saponins_under_eu saturation saturation_known_c saturation_most_percent says_yes scale_g
    salt_sodium_mg salt_day_percent salt_stock_activity salt_potassium_percent salt_msg_count
    salt_citrate_count salt_glutamic_g_kg
    freeze_c freeze_ice_percent freeze_of_water_percent freeze_grows_percent freeze_abv_percent
    freeze_liquid_abv freeze_stronger_points freeze_solids_percent freeze_glycerol_percent
    freeze_at_least freeze_room_told freeze_over_ml freeze_grown_ml freeze_container_ml
    seconds serve_caffeine_mg serve_ethanol_g serve_us_drinks served_c shaking_saves short_share
    slush_percent smallest_batch solids_g_l solids_percent stabiliser_has_range
    stabiliser_over_usual stabiliser_percent stabiliser_under_usual steady_co2_ppm still_bar
    stock_citric_percent storage_c stored_d stored_kg strength_above_window
    strength_below_window strength_edge strength_percent strength_plus_minus strength_value
    strongest_percent succinic_percent sucrose_percent sucrose_saturation sugar_above_window
    sugar_below_window sugar_edge sugar_percent sugar_plus_minus sugar_value supersaturation
    supersaturation_fridge supersaturation_room target_c tartar_ratio tartaric_percent
    temperature_above_window temperature_below_window temperature_c temperature_edge
    temperature_plus_minus temperature_value thickness_mm too_warm_k too_wet turning_count
    under_iced_c undissolved undissolved_g undissolved_known_c undissolved_most_percent
    undissolved_percent usual_end vessel_l viscosity_fridge warm_alcohol_k warm_over_rating
    warm_without_limit_c warmest_c wash_abv_percent wash_allergen_count wash_cold_c
    wash_emulsion_count wash_frozen_k wash_gas_count wash_least_percent wash_most_percent
    wash_pork_count wash_rancid_count wash_solid_percent wash_water_g wash_weighed
    water_activity water_loss water_lost_percent water_percent
    wet_percent wetter_than_usual whipped_fat_percent window_none within_percent
    within_to_c worst_corner
    yield_percent yield_spread_percent
    cold_limit_c held_c held_short_k hot_limit_c
    meter_ph spirit_ph hurt_seconds
    last_least_bar last_low_bar last_low_short_bar
    serve_acid_g serve_nutmeg_g serve_potassium_g serve_salt_g
    serve_stock_percent free_fat_percent acetic_index acetic_stability carbonate_co2_g_kg
    flash_limit_c before_bar set_bar set_over_rating weakest_bar
    agent_over agent_under clear_g freezer_needs_k mix_abv mix_c rotor_share
    wash_weakest_percent
    cylinder_kg flat_count gauge_bar gas_left_percent gas_share_percent gas_volumes headspace_left
    headspace_percent line_short_bar line_told own_time_told reached_percent room_told
    titration_gas_percent
    aroma_wants_fat aroma_wants_water bubble_c gas_factor_told heat_abv heat_c heat_h
    heat_over_flash_k past_readings speed_band under_bubble_k warm_weak_h
"""  # judged by size; a share, a count or an amount in the unit of the name's end

_FLAGS = """
    acid_not_given acid_without_ph acidified air_not_counted alcohol_not_given all_melted
    already_gassy bound_known charger_mass_assumed clogs close_aw close_ph coffee cold
    cream_on_top crystals_estimated cup_known curdles custom_differs end_not_told european
    fog_forbidden fresh_plant gas_allowed heated jurisdiction_known kept_unknown lidded
    maker_allows name_known no_liquid not_reached packaged plastic_head plastic_head_not_cleared
    published_share service_forbidden solubility_unknown some_unpriced something_not_told
    still_known style_wants_other_gas sucrose_saturation_unknown two_readings undecided
    warmest_told
    days_too_warm carbonate does_plug fermenting may_plug keg_not_known not_vegan regulator_missing
    through_regulator spin_allows_vapour gauge_not_read reading_not_read
"""  # true or false

_WORD = """
    allergen_list below carbonating_gas charger_hot_words close_layers co2_effect co2_ppm_words
    assumed cold_saturation_acid contents cryogen cryogen_part_plants cryogen_part_unless
    cryogen_part_why cryogens dose_obtained dose_of dose_too_little dose_too_much dose_usual
    dose_usual_g dropper emulsifier emulsifier_amount emulsifier_limit enzyme_fruit fat_obtained
    fat_why fat_window films_break flagged_plants flagged_source flagged_unless flagged_why
    foamer foamer_role freeze_guests freeze_way
    cloud_answer cloud_fuel cloud_gas law_place layer_words
    quinine_rule quinine_source thujone_rule thujone_source
    food_code gas gas_name gas_names gas_part_plants gas_part_unless gas_part_why inspection_due
    jurisdiction jurisdictions last_day later law_memory_text law_memory_where law_read_text
    law_read_where memory_limits met_gas_names met_gas_what method
    n2o_ppm_words not_known not_told oil_range
    order oxygen_effect ph_because ph_obtained ph_reason ph_why ph_window place
    poison_part_plants poison_part_unless poison_part_why reasons refused_gas refused_gas_why
    refused_plants
    refused_source refused_unless refused_why result saturation_acid served_with_cryogen service
    stabiliser_obtained stabiliser_of stabiliser_too_little stabiliser_too_much stabiliser_usual
    strength_obtained strength_why strength_window style style_gases sugar_obtained sugar_why
    sugar_window temperature_obtained temperature_why temperature_window top turning
    fog_rule gas_breath holding_place holding_source
    undissolved_acid unpriced usual_expansion wanted_words carried_words warm_words way plug_words
    keg_missing clarify_agent clarify_way curdling curdling_why
    window_ends window_unmet wash_allergens wash_gas carbonate_into carbonate_way course_kind
    heated_in
    less_gas less_gas_or_air relief_words rated_what peak_lower margin_surer
    not_read_words
"""  # one word of a closed list, or a text to show

_WORDS = """
    allergens boil_keeps boil_tags gases holds keeps tags
"""  # a set of words

_KINDS: dict[str, Kind] = {
    **dict.fromkeys(_NUMBERS.split(), "number"),
    **dict.fromkeys(_FLAGS.split(), "flag"),
    **dict.fromkeys(_WORD.split(), "word"),
    **dict.fromkeys(_WORDS.split(), "words"),
}
NAMES = _KINDS.keys()


def kind(name: str) -> Kind | None:
    """What kind of fact a name is; None where there is no such fact.

    >>> kind("peel_g"), kind("peel_gg")
    ('number', None)
    """
    return _KINDS.get(name)
