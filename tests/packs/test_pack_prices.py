"""Price breaks that rise are told; offers that overlap are a price history, and the newest counts."""

from datetime import date
from decimal import Decimal

import pytest
from spoiling import between

from catalog.actions import import_pack
from catalog.models import Offer, Part, Supplier
from catalog.queries import offers_on
from shop.rules.errors import Refused

pytestmark = pytest.mark.django_db

# In the pack the offer of UM 77 costs 7.85 a piece, and 7.10 from 8 pieces.
CASES = [
    between(
        "a break dearer than a single piece", "price_breaks", 2, ", column price",
        "7.86 from 8 pieces is dearer than 7.85 from 1", "give 7.85 or less", price="7.86",
    ),
    between(
        "a break dearer than the one before", "price_breaks", 3, ", column price",
        "7.11 from 20 pieces is dearer than 7.10 from 8", "give 7.10 or less",
        quantity_from="20", price="7.11",
    ),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_a_price_that_rises_with_the_quantity_is_told(pack, contents, case):
    case.is_told_and_nothing_is_written(pack, contents)


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("price", ["7.85", "7.84"])
def test_a_break_as_dear_as_a_single_piece_or_less_is_taken(pack, price):
    pack.set("price_breaks", 2, price=price)
    pack.write()
    import_pack(pack.path)
    assert Offer.objects.get(part__number="UM 77").breaks.get().price == Decimal(price)


def test_a_new_price_below_the_break_that_the_database_holds_is_told(pack, contents):
    import_pack(pack.path)
    before = contents()
    pack.only("offers")
    pack.set("offers", 3, price="7.09")
    pack.write()
    with pytest.raises(Refused) as refused:
        import_pack(pack.path)
    (fault,) = refused.value.faults
    assert fault.where == "offers.csv, row 3, column price"
    assert fault.what == "7.09 is less than 7.1 from 8 pieces, in the database"
    assert contents() == before


@pytest.mark.databases("sqlite")
def test_a_new_price_comes_with_its_new_breaks(pack):
    import_pack(pack.path)
    pack.only("offers", "price_breaks")
    pack.set("offers", 3, price="7.00")
    pack.set("price_breaks", 2, price="6.90")
    pack.write()
    assert import_pack(pack.path).changed == 2


@pytest.mark.databases("sqlite")
def test_a_break_is_held_against_those_of_the_database(pack):
    import_pack(pack.path)
    pack.only("price_breaks")
    pack.set("price_breaks", 2, quantity_from="20", price="7.11")
    pack.write()
    with pytest.raises(Refused, match=r"7\.11 from 20 pieces is dearer than 7\.1 from 8"):
        import_pack(pack.path)


def test_offers_that_overlap_are_a_history_and_the_newest_counts(pack):
    pack.set("offers", 5, part_brand="teal", part_number="TL-10/4", price="11.90", valid_from="2024-06-01")
    pack.write()
    import_pack(pack.path)
    part = Part.objects.get(number="TL-10/4").pk
    counted = {
        day: [offer.price for offer in offers_on([part], date.fromisoformat(day))[part]]
        for day in ("2024-05-31", "2024-06-01", "2024-12-31")
    }
    assert counted == {
        "2024-05-31": [Decimal("11.20")],
        "2024-06-01": [Decimal("11.90")],
        "2024-12-31": [Decimal("11.90")],
    }


def test_what_a_pack_has_no_column_for_stays_as_it_is(pack):
    import_pack(pack.path)
    Supplier.objects.update(hold_percent=Decimal("7.5"), stale_after_days=30, price_columns={"price": "Net"})
    pack.set("suppliers", 2, name="North Quay Ltd")
    pack.write()
    assert import_pack(pack.path).changed == 1
    supplier = Supplier.objects.get()
    assert (supplier.name, supplier.hold_percent, supplier.stale_after_days, supplier.price_columns) == (
        "North Quay Ltd", Decimal("7.5"), 30, {"price": "Net"},
    )  # fmt: skip
