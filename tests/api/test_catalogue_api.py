"""What a client reads of the catalogue: natural keys, exact numbers, and nothing guessed."""

import json
from decimal import Decimal
from typing import Any

import pytest

from catalog.models import Part, Spec
from catalog.rules.calculators.shelf import CALCULATORS

pytestmark = pytest.mark.django_db

LISTS = [
    "makers",
    "engine-families",
    "part-types",
    "brands",
    "parts",
    "applications",
    "replacements",
    "properties",
    "sources",
    "specs",
    "suppliers",
    "offers",
    "stock",
    "components",
    "test-points",
    "access-steps",
    "operations",
]
ROWS = [
    "makers/norrik",
    "engine-families/nk4",
    "part-types/glow-plug",
    "brands/lumo",
    "parts/lumo/GX-2042",
    "properties/torque",
    "sources/nm-book",
    "suppliers/north",
    "components/nk4/heater",
    "test-points/nk4/heater-ohm",
    "access-steps/nk4/cover",
    "operations/nk4/swap-heater",
]


def members(value: Any) -> set[str]:
    if isinstance(value, dict):
        return value.keys() | {name for inside in value.values() for name in members(inside)}
    if isinstance(value, list):
        return {name for inside in value for name in members(inside)}
    return set()


@pytest.mark.parametrize("name", LISTS)
def test_every_list_has_rows_and_no_database_numbers(ask, catalogue, name):
    rows = ask(f"{name}/").json()["results"]
    assert rows
    assert not members(rows) & {"id", "pk"}


@pytest.mark.parametrize("address", ROWS)
def test_every_row_is_found_by_its_natural_key(ask, catalogue, address):
    answer = ask(f"{address}/")
    assert answer.status_code == 200
    assert answer.json()
    assert not members(answer.json()) & {"id", "pk"}


@pytest.mark.parametrize("address", [f"{name}/" for name in LISTS] + [f"{row}/" for row in ROWS])
def test_no_number_with_a_point_leaves_as_a_float(ask, catalogue, address):
    def never(text: str) -> None:
        raise AssertionError(f"{text} went out as a binary fraction")

    json.loads(ask(address).content, parse_float=never)


@pytest.mark.parametrize("address", ["", *(f"{name}/" for name in LISTS), *(f"{row}/" for row in ROWS)])
def test_a_stranger_reads_nothing_but_the_list_of_addresses(as_stranger, catalogue, address):
    assert as_stranger.get(f"/api/v1/{address}").status_code == (200 if address == "" else 401)


def test_the_root_lists_every_address_that_takes_no_key(ask, db):
    assert ask("").json().keys() == {
        *LISTS,
        *(
            "fitment-checks",
            "fitting-parts",
            "part-comparison",
            "search",
            "jobs",
            "estimates",
            "estimates/build",
            "labour-history",
            "schema",
            "docs",
        ),
        *("calculators", *(f"calculators/{code}" for code in CALCULATORS)),
    }


@pytest.mark.parametrize(
    "spelling", ["GX-1042/B", "gx1042b", "gx 1042 b", "GX.1042.B", "G-X-1-0-4-2-B", "ＧＸ１０４２Ｂ"]
)
def test_a_part_is_found_in_any_spelling_and_shown_in_the_brands_own(ask, catalogue, spelling):
    assert ask(f"parts/lumo/{spelling}/").json()["number"] == "GX-1042/B"
    assert [row["number"] for row in ask("parts/", number=spelling).json()["results"]] == ["GX-1042/B"]


def test_the_same_number_of_another_brand_is_another_part(ask, catalogue):
    assert ask("parts/tarn/GX-1042B/").status_code == 404


@pytest.mark.parametrize("number", ["---", "...", "GX-1042%00/", "%00"])
def test_a_number_that_is_none_is_a_problem(ask, catalogue, number):
    assert ask(f"parts/lumo/{number}/").status_code in (400, 404)


def test_numbers_can_be_looked_up_by_their_beginning(ask, catalogue):
    rows = ask("parts/", number_starts="gx-2").json()["results"]
    assert [row["number"] for row in rows] == ["GX-2042"]


def test_a_part_tells_what_replaced_it_and_what_serves_alike(ask, catalogue):
    old, new = ask("parts/lumo/GX-1042B/").json(), ask("parts/lumo/GX-2042/").json()
    assert [row["part"] for row in old["replaced_by"]] == [{"brand": "lumo", "number": "GX-2042"}]
    assert [row["part"] for row in new["replaces"]] == [{"brand": "lumo", "number": "GX-1042/B"}]
    assert new["serves_alike"] == [{"brand": "tarn", "number": "77.100"}]
    assert old["serves_alike"] == []


def test_an_engine_family_shows_positions_options_and_serial_numbers(ask, catalogue):
    family = ask("engine-families/nk4/").json()
    assert family["voltage"] == "12"
    assert [position["code"] for position in family["positions"]] == ["engine", "1", "2", "3", "4"]
    assert family["options"] == [
        {"code": "heater-connector", "name": "the heater connector", "values": ["4-way", "9-way"]}
    ]
    assert family["serial_scheme"]["prefixes"] == ["NA", "NB"]


def test_money_has_at_least_the_decimals_of_its_currency_and_never_fewer_than_stored(ask, catalogue):
    # ISO 4217: EUR has 2 decimals, JPY none.
    euro, yen = ask("offers/").json()["results"]
    assert (euro["price"], euro["deposit"], euro["currency"]) == ("18.40", "0.0088", "EUR")
    assert euro["breaks"] == [{"quantity_from": 10, "price": "16.25"}]
    assert (yen["price"], yen["currency"]) == ("2100", "JPY")
    listed = {row["number"]: row["list_price"] for row in ask("parts/").json()["results"]}
    assert listed == {"GX-1042/B": "31.50", "GX-2042": "33.00", "77.100": "2400", "77.200": None}


def test_money_in_a_currency_nobody_lists_is_the_bare_number(ask, catalogue):
    Part.objects.filter(number="GX-2042").update(list_currency="QQQ")
    assert ask("parts/lumo/GX2042/").json()["list_price"] == "33"


@pytest.mark.parametrize(
    ("day", "numbers"),
    [("2023-12-31", []), ("2024-01-01", ["GX-1042/B"]), ("2024-06-01", ["GX-1042/B", "GX-2042"]),
     ("2024-12-31", ["GX-1042/B", "GX-2042"]), ("2025-01-01", ["GX-2042"])],
)  # fmt: skip
def test_offers_valid_on_a_day_both_ends_included(ask, catalogue, day, numbers):
    assert [row["part"]["number"] for row in ask("offers/", on=day).json()["results"]] == numbers


def test_offers_of_blocked_suppliers_can_be_left_out(ask, catalogue):
    rows = ask("offers/", blocked="false").json()["results"]
    assert [row["supplier"] for row in rows] == ["north"]


def test_a_spec_keeps_the_decimals_its_source_states(ask, catalogue):
    spec = ask("specs/", property="cold-resistance").json()["results"][0]
    assert (spec["minimum"], spec["nominal"], spec["maximum"]) == ("0.60", None, "1.20")
    assert spec["asked"] is None
    assert spec["verified"] is False


def test_a_value_with_more_decimals_than_stated_is_not_cut(ask, catalogue):
    Spec.objects.filter(property__code="cold-resistance").update(minimum=Decimal("0.605"))
    assert ask("specs/", property="cold-resistance").json()["results"][0]["minimum"] == "0.605"


def test_a_spec_is_given_in_the_unit_asked_for_beside_the_stored_one(ask, catalogue):
    # NIST SP 811, B.8: 1 lbf.ft = 1.355 818 N.m, so 22, 25 and 28 N.m are 16.23, 18.44 and 20.65 lbf.ft.
    spec = ask("specs/", property="torque", unit="[lbf_av].[ft_i]").json()["results"][0]
    assert (spec["unit"], spec["nominal"]) == ("N.m", "25")
    assert spec["asked"] == {
        "unit": "[lbf_av].[ft_i]", "minimum": "16.2", "nominal": "18.4", "maximum": "20.7",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("query", "right"),
    [
        ({"property": "torque", "unit": "kPa"}, "N.m"),
        ({"property": "torque", "unit": "Nm"}, "N.m"),
        ({"property": "thread", "unit": "mm"}, "leave unit out"),
        ({"unit": "N.m"}, "give property as well"),
        ({"property": "torque", "unit": "kPa", "brand": "tarn"}, "N.m"),
    ],
    ids=["another dimension", "another spelling", "a text", "no property", "no rows"],
)
def test_a_unit_that_cannot_be_is_a_400_that_says_what_can(ask, catalogue, query, right):
    answer = ask("specs/", **query)
    assert answer.status_code == 400
    error = answer.json()["errors"][0]
    assert error["where"] == "query parameter unit"
    assert right in error["right"]


def test_a_test_point_is_given_in_another_unit_too(ask, catalogue):
    point = ask("test-points/nk4/heater-ohm/", unit="mOhm").json()
    assert (point["minimum"], point["maximum"], point["unit"]) == ("0.6", "1.2", "Ohm")
    assert point["asked"] == {"unit": "mOhm", "minimum": "600", "maximum": "1200"}


def test_a_test_point_in_a_unit_of_another_kind_is_a_400(ask, catalogue):
    assert ask("test-points/nk4/heater-ohm/", unit="V").status_code == 400


def test_the_work_names_its_steps_parts_risks_and_cautions(ask, catalogue):
    swap = ask("operations/nk4/swap-heater/").json()
    assert swap["access"] == ["rail"]
    assert swap["needs"] == [
        {"part_type": "glow-plug", "quantity": 1, "per": "position", "necessity": "required"}
    ]
    assert swap["risks"][0]["follow_on"] == "drill-heater"
    assert swap["cautions"] == [{"code": "hot", "text": "Let the engine cool first."}]
    assert ask("access-steps/nk4/rail/").json()["requires"] == ["cover"]
    assert ask("test-points/nk4/heater-ohm/").json()["path"] == ["heater"]


def test_an_application_gives_its_conditions(ask, catalogue):
    row = ask("applications/", brand="lumo", number="gx2042").json()["results"][0]
    assert row["options"] == {"heater-connector": "9-way"}
    assert row["position"] is None


@pytest.mark.parametrize("name", LISTS)
@pytest.mark.parametrize(
    "query",
    ["colour=red", "limit=2&limit=3", "limit=", "cursor= "],
    ids=["unknown", "twice", "empty", "blank"],
)
def test_a_parameter_that_says_nothing_is_refused_not_passed_over(as_colleague, db, name, query):
    assert as_colleague.get(f"/api/v1/{name}/?{query}").status_code == 400


@pytest.mark.parametrize("address", ROWS)
def test_a_row_takes_no_parameters_it_does_not_know(ask, catalogue, address):
    assert ask(f"{address}/", colour="red").status_code == 400


@pytest.mark.parametrize(
    ("name", "query"),
    [("parts", {"brand": "nobody"}), ("parts", {"brand": "a\x00b"}), ("parts", {"grade": "good"}),
     ("specs", {"verified": "yes"}), ("specs", {"nominal__gte": "1e40"}), ("specs", {"nominal": "NaN"}),
     ("specs", {"nominal": "0.1234567"}), ("specs", {"nominal": "ten"}),
     ("offers", {"valid_from": "2024-13-01"}), ("engine-families", {"cylinders": "eight"}),
     ("parts", {"number": "--"}), ("parts", {"gtin": "\x00"})],
)  # fmt: skip
def test_a_filter_that_cannot_be_read_is_a_400_and_never_a_500(ask, catalogue, name, query):
    answer = ask(f"{name}/", **query)
    assert answer.status_code == 400
    assert answer.json()["errors"][0]["where"] == f"query parameter {next(iter(query))}"


def test_a_number_beyond_the_column_finds_nothing(ask, catalogue):
    assert ask("engine-families/", cylinders="9" * 30).json()["results"] == []
