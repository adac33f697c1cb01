"""References that lead nowhere.

Each case spoils the right pack in one place and is loaded over a catalogue that already holds the right one.
"""

import pytest
from spoiling import Case, cell

# All of it is found before anything is written: one database says as much as two.
pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]

CASES = [
    cell("offers", 2, "supplier", "northkey", "there is no supplier 'northkey'", "did you mean northquay?"),
    cell("offers", 2, "part_number", "TL-99999", "there is no part 'TL99999' with part_brand teal",
         "add it to parts.csv"),
    cell("applications", 2, "family", "orrin-v5", "there is no engine family 'orrin-v5'",
         "did you mean orrin-v4", "applications of an unknown family"),
    cell("components", 2, "family", "orinv4", "there is no engine family 'orinv4'",
         "did you mean orrin-v4"),
    cell("applications", 3, "position", "9", "there is no cylinder 9 of 4", "add it to positions.csv"),
    cell("applications", 3, "position", "C", "there is no position 'C' with family orrin-v4",
         "add it to positions.csv"),
    cell("application_options", 2, "option", "heater-plug", "there is no engine option 'heater-plug'",
         "engine_options.csv"),
    cell("application_options", 2, "value", "8-way", "there is no engine option value '8-way'",
         "did you mean 9-way or 5-way"),
    cell("access_step_requirements", 2, "requires", "pip", "there is no access step 'pip'",
         "did you mean pipe"),
    cell("operation_access", 2, "operation", "heater-new",
         "there is no operation 'heater-new' with family orrin-i2", "add it to operations.csv",
         "an operation of another family", family="orrin-i2"),
    cell("specs", 2, "source", "orrin-leaflet", "there is no source 'orrin-leaflet'",
         "add it to sources.csv"),
    cell("specs", 2, "part_number", "", "is empty although part_brand is given", "empty part_brand too"),
    cell("price_breaks", 2, "valid_from", "2024-01-02", "there is no offer '2024-01-02'",
         "did you mean 2024-01-01"),
    cell("test_point_cautions", 2, "caution", "hott", "there is no caution 'hott'", "did you mean hot?"),
    cell("operations", 2, "repairs", "heatr", "there is no component 'heatr'", "did you mean heater?"),
    cell("positions", 4, "bank", "C", "there is no position 'C'", "add it to positions.csv"),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_reference_that_leads_nowhere_is_told_and_nothing_is_written(case: Case, pack, contents):
    case.is_told_and_nothing_is_written(pack, contents)
