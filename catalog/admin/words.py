"""What each check constraint of the catalogue demands, said to whoever typed the values."""

from shop.admin.forms import WORDS

SCOPE = "Choose the engine, each bank or each cylinder."
OWNER = "Give an operation or an access step, not both and not neither."

WORDS.update(
    {
        "serial_scheme_digits_between_1_and_12": "A serial number has 1 to 12 digits after its prefix.",
        "engine_family_cylinders_between_1_and_24": "An engine has 1 to 24 cylinders.",
        "engine_family_voltage_positive": "The voltage is above zero.",
        "engine_family_layout_is_known": "Choose one of the listed layouts.",
        "engine_family_numbering_is_known": "Choose one of the listed ways of numbering.",
        "position_only_a_cylinder_has_a_bank": "Only a cylinder lies in a bank: leave the bank empty here.",
        "position_scope_is_known": SCOPE,
        "part_number_not_empty": "Give the number as the brand prints it.",
        "part_list_price_has_a_currency": "Give list price and its currency together, or neither; a price is "
        "0 or more.",
        "part_grade_is_known": "Choose one of the listed grades.",
        "replacement_not_by_itself": "A part cannot replace itself.",
        "replacement_both_ways_one_for_one": "Parts that serve both ways are replaced one for one.",
        "replacement_quantity_positive": "At least 1 piece replaces the old part.",
        "application_quantity_positive": "At least 1 piece goes at each position.",
        "application_built_from_before_until": "The first building day must not lie after the last.",
        "application_polarity_is_known": "Choose whether the rule applies or excludes.",
        "application_scope_is_known": SCOPE,
        "spec_of_a_part_or_of_a_family": "Give a part or an engine family, not both and not neither.",
        "spec_limits_in_order": "Minimum, nominal and maximum must rise in this order.",
        "spec_has_a_value": "Give at least one of minimum, nominal, maximum and text.",
        "spec_temperatures_in_order": "The lowest temperature must not lie above the highest.",
        "spec_places_at_most_6": "Give at most 6 decimal places.",
        "supplier_freight_not_negative": "Freight cannot be below zero.",
        "supplier_free_freight_not_negative": "The order value for free freight cannot be below zero.",
        "supplier_hold_percent_not_negative": "The percentage cannot be below zero.",
        "supplier_stale_after_at_least_a_day": "A price is stale after 1 day at the earliest.",
        "offer_price_not_negative": "A price cannot be below zero.",
        "offer_deposit_not_negative": "A deposit cannot be below zero.",
        "offer_quantities_positive": "Pack and minimum quantity are 1 or more.",
        "offer_valid_from_before_until": "The first day of an offer must not lie after its last.",
        "price_break_is_sane": "A price break starts at 2 pieces or more, at a price of 0 or more.",
        "held_price_amounts_not_negative": "Prices and deposit cannot be below zero.",
        "held_price_quantities_positive": "Pack and minimum quantity are 1 or more.",
        "held_price_valid_from_before_until": "The first day of an offer must not lie after its last.",
        "held_price_state_is_known": "Choose one of the listed states.",
        "held_price_decided_when_not_waiting": "A price that no longer waits has the time it was decided.",
        "component_scope_is_known": SCOPE,
        "component_likelihood_positive": "The likelihood is above zero; 1 is ordinary.",
        "accessstep_scope_is_known": SCOPE,
        "access_step_not_before_itself": "A step cannot come before itself.",
        "testpoint_scope_is_known": SCOPE,
        "testpoint_expects_a_number_or_a_lamp": "A number needs a unit and at least one limit, and no lamp; "
        "a lamp needs on or off, and neither unit nor limits.",
        "testpoint_limits_in_order": "The minimum must not lie above the maximum.",
        "testpoint_temperatures_in_order": "The lowest temperature must not lie above the highest.",
        "testpoint_first_not_shorter": "The first position takes at least as long as a further one.",
        "operation_scope_is_known": SCOPE,
        "operation_first_not_shorter": "The first position takes at least as long as a further one.",
        "stock_cost_not_negative": "What was paid for a piece cannot be below zero.",
        "part_need_of_an_operation_or_a_step": OWNER,
        "part_need_quantity_positive": "At least 1 piece is needed.",
        "part_need_necessity_is_known": "Choose one of the listed necessities.",
        "part_need_per_is_known": "Choose per position, per bank or per job.",
        "service_value_of_an_operation_or_a_step": OWNER,
        "operation_risk_likelihood_between_0_and_1": "The likelihood lies between 0 and 1, both excluded.",
        "operation_risk_not_itself": "An operation cannot follow on itself.",
    }
)
