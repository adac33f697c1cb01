"""The demonstration pack: large enough to work with, and complete enough that no job runs into a gap."""

from collections import Counter, defaultdict
from datetime import date
from functools import cache

import networkx
import pytest
from demo_rows import FAMILIES, PACK, of, rows
from frictionless import system, validate
from stdnum import ean

from estimates.documents.content import ALWAYS

WIDTH = {"engine": 0, "bank": 1, "cylinder": 2}
CERTAIN = ("required", "one-time", "consumable")


@pytest.mark.parametrize(
    ("table", "least"),
    [
        ("engine_families", 3), ("part_types", 30), ("parts", 90), ("suppliers", 5), ("offers", 250),
        ("specs", 200), ("operations", 50), ("access_steps", 50), ("test_points", 40), ("replacements", 3),
        ("interchange_groups", 3), ("price_breaks", 20), ("cautions", 10),
    ],
)  # fmt: skip
def test_there_is_enough_of_everything(table, least):
    assert len(rows(table)) >= least


def test_it_is_a_valid_tabular_data_package_by_an_independent_reader():
    # frictionless reads datapackage.json and every CSV by the published Table Schema rules.
    with system.use_context(trusted=True):
        report = validate(str(PACK / "datapackage.json"))
    assert report.valid, report.flatten(["resourceName", "rowNumber", "fieldName", "note"])[:10]


def test_every_gtin_is_valid_and_restricted_to_internal_use():
    # Check digit by python-stdnum. GS1 General Specifications: prefixes 02 and 20 to 29 are for restricted
    # circulation, so these can never be somebody's article (the prefix range is from memory).
    numbers = [row["gtin"] for row in rows("parts") if row["gtin"]]
    assert len(set(numbers)) == len(numbers) > 50
    for number in numbers:
        assert ean.is_valid(number.removeprefix("0"))
        assert number.startswith(("002", "02"))


@pytest.mark.parametrize("day", [date(2026, 3, 1), date(2027, 1, 1), date(2040, 1, 1)], ids=str)
@pytest.mark.parametrize("family", FAMILIES)
def test_every_part_surely_needed_can_be_bought_for_every_place(family, day):
    missing = []
    for need, place in _needed_places(family, CERTAIN):
        if not _listed(family, need["part_type"], place) & _buyable(day):
            missing.append((need["operation"] or need["step"], need["part_type"], place["code"]))
    assert missing == []


@pytest.mark.parametrize("family", FAMILIES)
def test_every_part_needed_if_damaged_is_listed_for_every_place(family):
    for need, place in _needed_places(family, ("if-damaged",)):
        assert _listed(family, need["part_type"], place), (need, place["code"])


@pytest.mark.parametrize("family", FAMILIES)
def test_every_component_has_a_repair_or_is_replaced_where_it_breaks(family):
    repaired = {row["repairs"]: row["scope"] for row in of("operations", family=family)}
    breaks = {row["part_type"] for row in of("part_needs", family=family, necessity="if-damaged")}
    for component in of("components", family=family):
        assert component["code"] in repaired or component["part_type"] in breaks, component
        assert repaired.get(component["code"], component["scope"]) == component["scope"], component


@pytest.mark.parametrize("family", FAMILIES)
def test_access_steps_have_an_order_and_none_is_narrower_than_what_needs_it(family):
    scope = {row["code"]: row["scope"] for row in of("access_steps", family=family)}
    before = [(row["requires"], row["step"]) for row in of("access_step_requirements", family=family)]
    assert networkx.is_directed_acyclic_graph(networkx.DiGraph(before))
    assert all(WIDTH[scope[first]] <= WIDTH[scope[then]] for first, then in before)
    for table, owner in (("operations", "operation"), ("test_points", "test_point")):
        own = {row["code"]: row["scope"] for row in of(table, family=family)}
        access = of(f"{owner}_access", family=family)
        assert all(WIDTH[scope[row["step"]]] <= WIDTH[own[row[owner]]] for row in access)


@pytest.mark.parametrize("family", FAMILIES)
def test_every_value_the_work_needs_at_hand_is_stated(family):
    stated = {(row["part_type"], row["property"]) for row in of("specs", family=family)}
    wanted = {(row["part_type"], row["property"]) for row in of("service_values", family=family)}
    assert wanted <= stated


@pytest.mark.parametrize("family", FAMILIES)
def test_charging_and_fuel_return_are_described_like_the_preheating(family):
    paths = {row["component"] for row in of("test_point_components", family=family)}
    assert {"heater", "alternator", "charge-cable", "injector", "injector-seal"} <= paths


def test_every_kind_of_condition_and_necessity_occurs():
    used = Counter(
        column
        for row in rows("applications")
        for column in ("position", "built_from", "built_until", "serial_from", "serial_until")
        if row[column]
    )
    assert len(used) == 5
    assert any(int(row["quantity"]) > 1 for row in rows("applications"))
    assert any(row["polarity"] == "excludes" for row in rows("applications"))
    assert len(rows("application_options")) > 10
    assert {row["necessity"] for row in rows("part_needs")} == {*CERTAIN, "if-damaged"}


def test_replacements_are_one_to_one_one_to_many_and_both_ways():
    together = Counter((row["old_brand"], row["old_number"], row["choice"]) for row in rows("replacements"))
    assert {1, 2} <= set(together.values())
    assert {row["both_ways"] for row in rows("replacements")} == {"true", "false"}


def test_what_removes_an_emissions_control_is_flagged_and_warned_about():
    (row,) = of("operations", removes_control="true")
    cautions = {c["caution"] for c in of("operation_cautions", operation=row["code"])}
    assert "emissions-control" in cautions
    assert row["rank"] != "1"


def test_every_caution_is_used_somewhere():
    used = {r["caution"] for t in ("operation", "step", "test_point") for r in rows(f"{t}_cautions")}
    assert {caution["code"] for caution in rows("cautions")} == used


def test_what_follows_the_cautions_of_every_document_defers_to_manual_law_and_licence():
    assert all(word in ALWAYS for word in ("manual", "Local rules", "licensed"))


def _needed_places(family, necessities):
    scopes = {("step", row["code"]): row["scope"] for row in of("access_steps", family=family)}
    scopes |= {("operation", row["code"]): row["scope"] for row in of("operations", family=family)}
    for need in of("part_needs", family=family):
        if need["necessity"] in necessities:
            owner = "operation" if need["operation"] else "step"
            per = {"job": "engine", "bank": "bank"}.get(need["per"], scopes[owner, need[owner]])
            for place in of("positions", family=family, scope=per):
                yield need, place


@cache
def _applications():
    """(family, part type, scope) -> [(part, limited to this position or "")]."""
    types = {(row["brand"], row["number"]): row["part_type"] for row in rows("parts")}
    found = defaultdict(list)
    for row in of("applications", polarity="applies"):
        part = (row["part_brand"], row["part_number"])
        found[row["family"], types[part], row["scope"]].append((part, row["position"]))
    return found


def _listed(family, part_type, place):
    """Parts with an application at this place, whatever else it asks for."""
    listed = _applications()[family, part_type, place["scope"]]
    return {part for part, position in listed if position in ("", place["code"])}


@cache
def _buyable(day):
    """Parts that a supplier we buy from offers on this day."""
    blocked = {row["code"] for row in of("suppliers", blocked="true")}
    return {
        (row["part_brand"], row["part_number"])
        for row in rows("offers")
        if row["supplier"] not in blocked
        and row["valid_from"] <= day.isoformat() <= (row["valid_until"] or "9999-12-31")
    }
