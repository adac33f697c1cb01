"""A fault anywhere, in any cell or in any row that the database refuses, leaves every table as it was."""

import os
import re
from copy import deepcopy

import pytest
from django.db import connection, transaction
from frictionless import Resource, Schema, system
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from catalog.actions import import_pack
from catalog.packs.resources import BY_NAME
from catalog.packs.schema import table_schema
from shop.guards import Guard, install
from shop.models import Event
from shop.rules.errors import Refused

pytestmark = pytest.mark.django_db

# Each example is an import or two, so there are few of them unless more are asked for.
EXAMPLES = int(os.environ.get("HYPOTHESIS_EXAMPLES", "25"))
few = settings(
    max_examples=EXAMPLES, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
JUNK = st.one_of(
    st.sampled_from(["", " ", "0", "1", "-1", "1.5", "1,5", "1e3", "99999999999999999999", "true", "TRUE",
                     "2024-02-29", "2023-02-29", "29.02.2024", "EUR", "XXX", "engine", "bank", "x" * 61,
                     "x\x00", "'; DROP TABLE catalog_part; --", "=1+1", "NaN", "\u0661", "é", "\ufeff"]),
    st.text(max_size=5),
)  # fmt: skip


@st.composite
def spoils(draw, tables):
    """(table, row as a spreadsheet counts, column, what is written there)."""
    table = draw(st.sampled_from(sorted(tables)))
    rows = tables[table]
    row = draw(st.integers(2, len(rows)))
    column = draw(st.sampled_from(rows[0]))
    others = sorted({cell for other in rows[1:] for cell in other})
    return table, row, column, draw(st.one_of(st.sampled_from(others), JUNK))


def fits_its_schema(pack, table: str) -> bool:
    """By an independent reader of the published Table Schema rules."""
    with system.use_context(trusted=True):
        schema = Schema.from_descriptor({"fields": table_schema(table, set())["fields"]})
        return Resource(path=str(pack.path / f"{table}.csv"), schema=schema).validate().valid


@pytest.mark.parametrize("filled", [True, False], ids=["over a filled catalogue", "into an empty one"])
def test_a_spoiled_cell_is_refused_with_its_place_or_is_right(pack, contents, filled):
    if filled:
        import_pack(pack.path)
    before, events, original = contents(), Event.objects.count(), deepcopy(pack.tables)

    @few
    @given(spoil=spoils(original))
    def holds(spoil):
        table, row, column, text = spoil
        pack.tables = deepcopy(original)
        pack.set(table, row, **{column: text})
        pack.write()
        with transaction.atomic():
            try:
                import_pack(pack.path)
            except Refused as refused:
                event("refused")
                for fault in refused.faults:
                    place = re.fullmatch(r"(\w+)\.csv, row (\d+)(, column \w+)?", fault.where)
                    assert place, str(fault)
                    assert 1 <= int(place[2]) <= len(original[place[1]]) + 1
                assert (contents(), Event.objects.count()) == (before, events)
            else:
                event("taken")
                assert fits_its_schema(pack, table)
                again = import_pack(pack.path)  # what stands in the tables is what was written
                assert (again.new, again.changed) == (0, 0)
            transaction.set_rollback(True)

    holds()


def test_a_row_that_the_database_refuses_takes_the_whole_pack_with_it(pack, contents):
    before, tables = contents(), pack.tables

    @few
    @given(data=st.data())
    def holds(data):
        name = data.draw(st.sampled_from(sorted(tables)))
        rows = len(tables[name]) - 1
        last = data.draw(st.integers(0, rows - 1))
        table = BY_NAME[name].model._meta.db_table
        with transaction.atomic():
            # A trigger of the database itself, which refuses the row after this many.
            full = Guard(
                "full", table, ("INSERT",), f"(SELECT count(*) FROM {table}) >= {last}", "no room is left"
            )
            install(connection, [full])
            with pytest.raises(Refused) as refused:
                import_pack(pack.path)
            assert [str(fault) for fault in refused.value.faults] == [
                f"{name}.csv: the database refuses a row: no room is left; correct it and import again"
            ]
            assert contents() == before
            assert not Event.objects.exists()
            transaction.set_rollback(True)

    holds()


def test_a_change_that_the_database_refuses_takes_the_whole_pack_with_it(pack, contents):
    import_pack(pack.path)
    before = contents()
    pack.set("brands", 2, name="Teal and sons")
    pack.set("offers", 2, price="12.40")
    pack.set("operations", 2, rank="2")
    pack.set("operations", 3, rank="1")
    pack.write()
    late = Guard("late", "catalog_operation", ("UPDATE",), "NEW.rank = 1 AND NEW.code <> 'relay-new'", "no")
    install(connection, [late])
    with pytest.raises(Refused, match=r"operations\.csv: the database refuses a row: no"):
        import_pack(pack.path)
    assert contents() == before
