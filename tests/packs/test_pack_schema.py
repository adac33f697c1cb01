"""The written descriptor against another reader: the frictionless package, which reads by Table Schema.

Source: Data Package and Table Schema, https://specs.frictionlessdata.io (version 1).
"""

import warnings

import pytest

from catalog.packs.resources import RESOURCES
from catalog.packs.schema import descriptor


def reported(pack) -> list[tuple[str, str]]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its own dependencies, not ours
        from frictionless import Package

        report = Package(str(pack.path / "datapackage.json")).validate()
    assert not report.errors
    return [(task.name, error.type) for task in report.tasks for error in task.errors]


def test_the_right_pack_is_valid_by_its_own_descriptor(pack):
    # A number in another spelling is the same to us, but not to Table Schema.
    pack.set("offers", 3, part_number="UM 77")
    pack.write()
    assert reported(pack) == []


@pytest.mark.parametrize(
    ("table", "row", "cells", "error"),
    [
        ("offers", 2, {"price": ""}, "constraint-error"),
        ("offers", 2, {"price": "-0.01"}, "constraint-error"),
        ("offers", 2, {"price": "cheap"}, "type-error"),
        ("offers", 2, {"lead_days": "32768"}, "constraint-error"),
        ("offers", 2, {"valid_from": "01.02.2024"}, "type-error"),
        ("specs", 2, {"verified": "yes"}, "type-error"),
        ("parts", 2, {"grade": "orignal"}, "constraint-error"),
        ("brands", 2, {"name": "T" * 121}, "constraint-error"),
        ("makers", 2, {"code": "Orrin & Co"}, "constraint-error"),
        ("suppliers", 2, {"email": "parts"}, "type-error"),
        ("components", 2, {"likelihood": "0"}, "constraint-error"),
        ("parts", 6, {}, "primary-key"),
        ("offers", 2, {"supplier": "northkey"}, "foreign-key"),
        ("operation_access", 2, {"step": "lid"}, "foreign-key"),
    ],
    ids=str,
)
def test_what_the_importer_refuses_the_schema_refuses_too(pack, table, row, cells, error):
    pack.set("offers", 3, part_number="UM 77")
    pack.set(table, row, **cells)
    pack.write()
    assert (table, error) in reported(pack)


def test_foreign_keys_are_written_only_to_tables_in_the_pack():
    def targets(*names):
        offers = next(item for item in descriptor("x", "X", names)["resources"] if item["name"] == "offers")
        return [key["reference"]["resource"] for key in offers["schema"].get("foreignKeys", [])]

    assert targets("offers") == []
    assert targets("offers", "suppliers") == ["suppliers"]
    assert targets("offers", "suppliers", "parts") == ["suppliers", "parts"]


def test_resources_come_in_the_order_of_loading():
    names = [resource.name for resource in RESOURCES]
    written = descriptor("x", "X", reversed(names))
    assert [item["name"] for item in written["resources"]] == names
    assert {item["profile"] for item in written["resources"]} == {"tabular-data-resource"}


def test_a_demonstration_is_marked_as_one():
    assert descriptor("x", "X", ["makers"], demonstration=True)["demonstration"] is True
    assert "demonstration" not in descriptor("x", "X", ["makers"])


def test_a_table_that_is_not_known_is_refused():
    with pytest.raises(ValueError, match="no such resource: maker"):
        descriptor("x", "X", ["maker"])
