"""Cells that cannot be taken.

Each case spoils the right pack in one place and is loaded over a catalogue that already holds the right one.
"""

import pytest
from spoiling import Case, cell

# All of it is found before anything is written: one database says as much as two.
pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]

CASES = [
    cell("offers", 2, "price", "", "is empty", "give a number such as 12.5"),
    cell("offers", 2, "price", "-0.01", "-0.01 is below 0", "give 0 or more"),
    cell("offers", 2, "price", "11,20", "'11,20' is not a number", "write a decimal point, not a comma"),
    cell("offers", 2, "price", "11.20 EUR", "'11.20 EUR' is not a number", "write the number alone, 11.20"),
    cell("offers", 2, "price", "cheap", "'cheap' is not a number", "give a number such as 12.5"),
    cell("offers", 2, "price", "1e3", "'1e3' is not a number", "write the number alone"),
    cell("offers", 2, "price", "NaN", "'NaN' is not a number", "give a number"),
    cell("offers", 2, "price", "11.20001", "11.20001 has 5 decimal places", "give at most 4"),
    cell("offers", 2, "price", "10000000000", "10000000000 has too many digits", "give at most 14"),
    cell("offers", 2, "pack", "0", "0 is below 1", "give 1 or more"),
    cell("offers", 2, "pack", "2.5", "'2.5' is not a whole number", "give a whole number such as 2"),
    cell("offers", 2, "lead_days", "32768", "32768 is above 32767", "give 32767 or less"),
    cell("offers", 2, "valid_from", "01.02.2024", "'01.02.2024' is not a date", "such as 2024-06-30"),
    cell("offers", 2, "valid_from", "2023-02-29", "2023-02-29 is not in the calendar", "year-month-day"),
    cell(
        "offers",
        2,
        "valid_until",
        "2023-12-31",
        "2023-12-31 is before the valid_from, 2024-01-01",
        "that day or a later one",
    ),
    cell("specs", 2, "nominal", "0.6 Ohm", "'0.6 Ohm' is not a number", "write the number alone, 0.6"),
    cell("specs", 2, "verified", "yes", "'yes' is neither true nor false", "write true or false"),
    cell("specs", 2, "maximum", "0.70", "0.70 is below the nominal, 0.75", "give 0.75 or more"),
    cell("specs", 2, "temperature_max", "10", "10 is below the temperature_min, 15", "give 15 or more"),
    cell("specs", 2, "maximum", "1000000000", "1000000000 has too many digits", "give at most 15"),
    cell("specs", 2, "minimum", "123456789.1234567", "has 7 decimal places", "give at most 6"),
    cell("suppliers", 2, "currency", "EURO", "is 4 characters long", "give at most 3"),
    cell(
        "suppliers", 2, "currency", "eur", "'eur' is not written as it must be", "three-letter ISO 4217 code"
    ),
    cell("suppliers", 2, "currency", "EUX", "'EUX' is not a currency code of ISO 4217", "such as EUR"),
    cell("suppliers", 2, "currency", "XAU", "XAU has no minor unit", "such as EUR"),
    cell("suppliers", 2, "email", "parts@", "'parts@' is not an e-mail address", "such as parts@example.com"),
    cell("brands", 2, "name", " Teal", "' Teal' has a space before or behind it", "write 'Teal' without it"),
    cell("brands", 2, "name", "Te\x07al", "has an invisible control character in it", "as plain text"),
    cell("brands", 2, "name", "T" * 121, "is 121 characters long", "give at most 120"),
    cell(
        "brands", 3, "code", "Umber & Co", "'Umber & Co' is not written as it must be", "lower-case letters"
    ),
    cell("parts", 2, "grade", "orignal", "'orignal' is not known here", "did you mean original?"),
    cell(
        "parts",
        2,
        "gtin",
        "6291041500214",
        "the check figure of '6291041500214' does not agree",
        "the last one is 3",
    ),
    cell("parts", 2, "gtin", "12345", "is not 8, 12, 13 or 14 figures", "under the bar code"),
    cell("parts", 5, "number", "-- /", "has no letter or figure in it", "as the brand prints it"),
    cell("parts", 2, "list_currency", "", "is empty although list_price is given", "give its currency"),
    cell("parts", 2, "list_price", "", "is empty although list_currency is given", "give the list price"),
    cell("properties", 2, "unit", "ohms", "'ohms' is not a unit known here", "did you mean Ohm"),
    cell("test_points", 2, "unit", "Volt", "'Volt' is not a unit known here", "did you mean V"),
    cell("engine_families", 2, "voltage", "0", "0 is below 1", "give 1 or more"),
    cell("engine_families", 2, "layout", "star", "'star' is not known here", "one of inline, vee, opposed"),
    cell("serial_schemes", 2, "prefixes", "OA OA", "a prefix is listed twice", "list each prefix once"),
    cell("serial_schemes", 2, "digits", "13", "13 is above 12", "give 12 or less"),
    cell("components", 2, "likelihood", "0", "0 is below 0.001", "give 0.001 or more"),
    cell("operation_risks", 2, "likelihood", "1", "1 is above 0.999", "give 0.999 or less"),
    cell("price_breaks", 2, "quantity_from", "1", "1 is below 2", "give 2 or more"),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_cell_that_cannot_be_taken_is_told_and_nothing_is_written(case: Case, pack, contents):
    case.is_told_and_nothing_is_written(pack, contents)
