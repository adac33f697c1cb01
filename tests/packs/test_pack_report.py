"""Many faults at once, and what stays when something is wrong."""

import pytest

from catalog.actions import import_pack
from shop.rules.errors import Refused

pytestmark = pytest.mark.django_db


def faults(pack):
    with pytest.raises(Refused) as refused:
        import_pack(pack.path)
    return refused.value.faults


def offers(pack, count: int) -> None:
    """That many further offers, all with a negative price."""
    for row in range(count):
        pack.set("offers", 5 + row, valid_from=f"2025-{row // 28 + 1:02}-{row % 28 + 1:02}", price="-1")
    pack.write()


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize(("wrong", "listed", "rest"), [(49, 49, 0), (50, 50, 0), (51, 50, 1), (63, 50, 13)])
def test_fifty_faults_are_listed_and_the_rest_is_counted(pack, wrong, listed, rest):
    offers(pack, wrong)
    found = faults(pack)
    assert [fault.where for fault in found[:listed]] == [
        f"offers.csv, row {row}, column price" for row in range(5, 5 + listed)
    ]
    assert [fault.what for fault in found[listed:]] == [f"{rest} more faults are not listed"] * (rest > 0)


@pytest.mark.databases("sqlite")
def test_faults_of_several_files_come_in_the_order_of_the_tables_and_rows(pack):
    pack.set("offers", 4, price="-1")
    pack.set("offers", 2, supplier="northkey")
    pack.set("brands", 3, name="")
    pack.set("access_step_requirements", 3, requires="cover")
    pack.write()
    assert [fault.where for fault in faults(pack)] == [
        "brands.csv, row 3, column name",
        "offers.csv, row 2, column supplier",
        "offers.csv, row 4, column price",
        "access_step_requirements.csv, row 3, column requires",
    ]


@pytest.mark.databases("sqlite")
def test_one_row_may_have_several_faults(pack):
    pack.set("offers", 2, price="", pack="0", valid_from="soon")
    pack.write()
    columns = [fault.where.rpartition(" ")[2] for fault in faults(pack)]
    assert columns == ["price", "pack", "valid_from"]


@pytest.mark.databases("sqlite")
def test_a_row_that_cannot_be_read_is_not_told_again_by_those_that_refer_to_it(pack):
    pack.set("parts", 2, number="")
    pack.write()
    assert [fault.where for fault in faults(pack)] == ["parts.csv, row 2, column number"]


@pytest.mark.databases("sqlite")
def test_an_unknown_family_is_told_once_for_each_row(pack):
    pack.set("applications", 3, family="orrin-v6")
    pack.write()
    assert [fault.where for fault in faults(pack)] == ["applications.csv, row 3, column family"]


@pytest.mark.parametrize("table", ["makers", "parts", "offers", "operation_risks"])
def test_a_fault_in_any_table_leaves_an_empty_catalogue_empty(pack, contents, table):
    before = contents()
    pack.tables[table].append([""] * len(pack.tables[table][0]))
    pack.tables[table][-1][0] = "?"
    pack.write()
    faults(pack)
    assert contents() == before
    assert not any(before.values())


@pytest.mark.databases("sqlite")
def test_a_folder_that_is_not_there_is_told(tmp_path):
    with pytest.raises(Refused) as refused:
        import_pack(tmp_path / "none")
    assert refused.value.faults[0].what == "there is no such folder"
