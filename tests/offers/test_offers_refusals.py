"""A fault anywhere in a price file: it is named, and nothing is written, on both databases."""

import re
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from catalog.models import Offer
from catalog.offers.layout import ColumnsUnknown
from catalog.offers.reading import Reading
from shop.rules.errors import Refused
from tests.offers.conftest import PARTS

SPOILT = {
    "brand": ("nobody", ""),
    "number": ("- - -", "X" * 61, "=A1", "GX 9999999-B"),
    "price": ("", "two", "-1.00", "1,234", "12.34567", "12.50 EUR", "1e5", "99999999999.00", "=A1*2"),
    "supplier_number": ("\x07", "N" * 61),
    "pack": ("0", "1.5", "-1", "many", "99999999999"),
    "minimum_quantity": ("0", "x"),
    "deposit": ("-0.01", "free"),
    "lead_days": ("-1", "40000", "soon"),
    "valid_from": ("2026-02-30", "3/1/2026", "soon"),
    "valid_until": ("2026-13-01", "2026-02-28", "never"),
}


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(data=st.data())
def test_a_fault_in_any_row_and_column_refuses_the_whole_file_and_names_both(clerk, tables, data):
    if not Offer.objects.exists():
        clerk.take()
        clerk.header = (*clerk.header, "valid_from", "valid_until")
    before = tables()
    good = [dict(row) for row in clerk.rows]
    for row in clerk.rows:
        row |= {"valid_from": "2026-03-01", "valid_until": "", "lead_days": "9"}
    place = data.draw(st.integers(0, PARTS - 1))
    column = data.draw(st.sampled_from(sorted(SPOILT)))
    clerk.rows[place][column] = data.draw(st.sampled_from(SPOILT[column]))
    try:
        with pytest.raises(Refused) as refused:
            clerk.take(valid_from=date(2026, 4, 1))
        wheres = [fault.where for fault in refused.value.faults]
        row = f"prices.csv, row {place + 2}"
        assert all(where.startswith(row) for where in wheres)
        # An unknown part is no one cell's fault: brand and number are right each for itself.
        unknown = clerk.rows[place][column] == "GX 9999999-B"
        assert wheres == [row if unknown else f"{row}, column {column}"]
        assert all(fault.what and fault.right for fault in refused.value.faults)
        assert tables() == before
    finally:
        clerk.rows = good


def test_all_faults_of_a_file_are_told_at_once_in_the_order_of_its_rows(clerk):
    clerk.rows[2]["price"] = "two"
    clerk.rows[2]["pack"] = "0"
    clerk.rows[7]["number"] = "GX 9999999-B"
    clerk.rows[9] = dict(clerk.rows[8])
    with pytest.raises(Refused) as refused:
        clerk.take()
    assert [fault.where for fault in refused.value.faults] == [
        "prices.csv, row 4, column price", "prices.csv, row 4, column pack", "prices.csv, row 9",
        "prices.csv, row 11",
    ]  # fmt: skip
    assert "gives the same part as row 10" in refused.value.faults[-1].what


def test_a_long_list_of_faults_is_cut_and_counted(clerk):
    clerk.rows = [row | {"price": "x"} for row in clerk.rows for _ in range(10)]
    with pytest.raises(Refused) as refused:
        clerk.take()
    assert len(refused.value.faults) == 51
    assert "70 more faults" in str(refused.value.faults[-1])


def test_unknown_columns_list_the_headers_of_the_file_and_what_is_needed(clerk):
    clerk.header = tuple({"price": "Netto", "number": "Art"}.get(name, name) for name in clerk.header)
    clerk.rows = []
    with pytest.raises(ColumnsUnknown) as refused:
        clerk.take()
    told = str(refused.value)
    assert "no column is known to be the price" in told
    assert "the file has brand, Art, supplier_number, Netto, pack" in told
    with pytest.raises(Refused, match="the column 'Brutto' for price is not in the file"):
        clerk.take(reading=Reading(columns={"price": "Brutto", "number": "Art"}))


def test_a_file_without_rows_ends_nothing_even_when_said_to_be_complete(clerk, tables):
    clerk.take()
    before = tables()
    clerk.rows = []
    with pytest.raises(Refused, match="has no row with a part that is on record"):
        clerk.take(valid_from=date(2026, 4, 1), complete=True)
    assert tables() == before


def test_a_failure_of_the_database_in_the_middle_of_the_write_leaves_everything_as_it_was(clerk, tables):
    """A real one: a trigger of the database refuses one row of those being written."""
    clerk.take()
    for row in clerk.rows:
        row["price"] = str(Decimal(row["price"]) + Decimal("0.07"))
    clerk.header = (*clerk.header, "price_from_10")
    for row in clerk.rows:
        row["price_from_10"] = "0.01"
    victim = clerk.offers(8)[0].part_id
    before = tables()
    for statement in refusing(victim):
        with connection.cursor() as cursor:
            cursor.execute(statement)
    with pytest.raises(Refused, match="the database"):
        clerk.take(valid_from=date(2026, 4, 1), complete=True)
    assert tables() == before


def refusing(part: int) -> list[str]:
    """Statements that make the database refuse an offer of this part from now on."""
    if connection.vendor == "sqlite":
        return [
            f"CREATE TRIGGER no_more BEFORE INSERT ON catalog_offer WHEN NEW.part_id = {part}"
            " BEGIN SELECT RAISE(ABORT, 'not this one'); END"
        ]
    return [
        f"CREATE FUNCTION no_more() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN IF NEW.part_id = {part} THEN"
        " RAISE EXCEPTION 'not this one'; END IF; RETURN NEW; END $$",
        "CREATE TRIGGER no_more BEFORE INSERT ON catalog_offer FOR EACH ROW EXECUTE FUNCTION no_more()",
    ]


@pytest.mark.databases("sqlite")
def test_temporary_tables_are_gone_whether_a_file_was_taken_in_or_not(clerk):
    clerk.take()
    clerk.rows[0]["price"] = "x"
    with pytest.raises(Refused):
        clerk.take()
    with connection.cursor() as cursor:
        cursor.execute("SELECT name FROM sqlite_temp_master")
        assert not [name for (name,) in cursor.fetchall() if re.match("offer_file", name)]
