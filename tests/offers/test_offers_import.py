"""What a price file does to the offers, on both databases."""

from datetime import date
from decimal import Decimal

import pytest

from catalog.models import HeldPrice, Offer, PriceBreak, PriceFile
from catalog.offers.difference import Difference
from catalog.rules.partnumber import comparable
from catalog.rules.pricejump import is_held
from shop.models import Event

LATER = date(2026, 4, 1)


def counted(difference: Difference) -> dict[str, int]:
    return {kind: count for kind, count in difference.counts.items() if count}


def test_a_first_file_writes_every_row_as_it_stands(clerk):
    assert counted(clerk.take()) == {"new": 12}
    for row in clerk.rows:
        offer = Offer.objects.select_related("part__brand").get(part__number=row["number"])
        assert (offer.part.brand.code, offer.supplier_number) == (row["brand"], row["supplier_number"])
        assert offer.supplier_normalised == comparable(row["supplier_number"])
        assert (offer.price, offer.deposit) == (Decimal(row["price"]), Decimal(row["deposit"]))
        assert (offer.pack, offer.lead_days) == (int(row["pack"]), int(row["lead_days"]))
        assert (offer.valid_from, offer.valid_until) == (date(2026, 3, 1), None)


def test_a_dry_run_tells_the_same_and_writes_nothing(clerk, tables):
    before = tables()
    told = clerk.take(dry_run=True)
    assert counted(told) == {"new": 12}
    assert tables() == before
    assert counted(clerk.take()) == counted(told)


def test_the_same_file_twice_changes_nothing_and_says_so(clerk, tables):
    clerk.take()
    before = tables()
    assert "prices.csv" in clerk.take(today=date(2026, 3, 9)).taken_before
    assert tables() == before


def test_the_same_prices_in_another_file_leave_the_standing_offers_alone(clerk):
    clerk.take()
    clerk.rows.reverse()
    difference = clerk.take(valid_from=LATER)
    assert counted(difference) == {"unchanged": 12}
    assert Offer.objects.filter(valid_from=LATER).count() == 0
    assert PriceFile.objects.count() == 2


def test_a_later_file_adds_only_what_differs_and_the_old_price_stays_as_history(clerk):
    clerk.take()
    old = clerk.rows[3]["price"]
    new = clerk.rows[3]["price"] = str(Decimal(old) * Decimal("1.10"))
    difference = clerk.take(valid_from=LATER)
    assert counted(difference) == {"changed": 1, "unchanged": 11}
    (line,) = difference.lines["changed"]
    assert (line.old, line.new, line.percent) == (Decimal(old), Decimal(new), Decimal("10.0"))
    assert [(offer.valid_from, offer.price) for offer in clerk.offers(3)] == [
        (date(2026, 3, 1), Decimal(old)),
        (LATER, Decimal(new)),
    ]


def test_a_file_of_the_same_first_day_corrects_in_place(clerk):
    clerk.take()
    clerk.rows[3]["lead_days"] = "77"
    assert counted(clerk.take()) == {"changed": 1, "unchanged": 11}
    (offer,) = clerk.offers(3)
    assert offer.lead_days == 77


def test_an_older_file_fills_the_history_behind_the_newer_one(clerk):
    clerk.take(valid_from=LATER)
    clerk.rows[0]["price"] = "1.00"
    assert counted(clerk.take())["new"] == 12
    assert [offer.valid_from for offer in clerk.offers(0)] == [date(2026, 3, 1), LATER]


def test_what_the_file_does_not_speak_of_is_kept(clerk):
    clerk.rows[0] |= {"pack": "6", "deposit": "9.50", "lead_days": "4"}
    clerk.take()
    clerk.header = ("brand", "number", "price")
    clerk.rows = [{name: row[name] for name in clerk.header} for row in clerk.rows]
    clerk.rows[0]["price"] = str(Decimal(clerk.rows[0]["price"]) + Decimal("0.01"))
    assert counted(clerk.take(valid_from=LATER)) == {"changed": 1, "unchanged": 11}
    _, offer = clerk.offers(0)
    assert (offer.pack, offer.deposit, offer.lead_days) == (6, Decimal("9.50"), 4)
    assert offer.supplier_number == "100000"


def test_an_offer_that_had_ended_is_offered_again(clerk):
    clerk.take()
    Offer.objects.update(valid_until=date(2026, 3, 15))
    assert counted(clerk.take(valid_from=LATER)) == {"new": 12}
    assert len(clerk.offers(0)) == 2


def test_a_complete_file_ends_what_is_not_in_it_on_the_day_before(clerk):
    clerk.take()
    left_out = clerk.rows.pop()
    difference = clerk.take(valid_from=LATER, complete=True)
    assert counted(difference) == {"unchanged": 11, "gone": 1, "ended": 1}
    (line,) = difference.lines["gone"]
    assert (line.number, line.old) == (left_out["number"], Decimal(left_out["price"]))
    offer = Offer.objects.get(part__number=left_out["number"])
    assert offer.valid_until == date(2026, 3, 31)
    assert Offer.objects.exclude(pk=offer.pk).filter(valid_until__isnull=False).count() == 0


def test_an_incomplete_file_names_what_is_not_in_it_and_leaves_it(clerk):
    clerk.take()
    clerk.rows.pop()
    assert counted(clerk.take(valid_from=LATER)) == {"unchanged": 11, "gone": 1}
    assert Offer.objects.filter(valid_until__isnull=False).count() == 0


def test_a_complete_file_of_the_same_day_takes_back_what_was_offered_by_mistake(clerk):
    clerk.take()
    row = clerk.rows.pop()
    assert counted(clerk.take(complete=True))["ended"] == 1
    assert Offer.objects.filter(part__number=row["number"]).count() == 0


def test_the_supplier_number_alone_is_enough_where_an_earlier_offer_has_it(clerk):
    clerk.take()
    clerk.header = ("supplier_number", "price")
    clerk.rows = [{"supplier_number": "10-0003", "price": "333.33"}]
    difference = clerk.take(valid_from=LATER, hold_percent=Decimal(9999))
    assert counted(difference)["changed"] == 1
    assert Offer.objects.get(valid_from=LATER).part.number == "GX 0000003-B"


def test_rows_for_parts_not_on_record_can_be_left_out_and_are_counted(clerk):
    clerk.rows[5]["number"] = "GX 9999999-B"
    clerk.rows[6]["brand"] = "somebody"
    assert counted(clerk.take(known_only=True)) == {"left_out": 2, "new": 10}
    assert PriceFile.objects.get().left_out == 2


def test_two_rows_of_one_part_on_different_days_are_two_prices(clerk):
    clerk.header = (*clerk.header, "valid_from")
    clerk.rows = [
        clerk.rows[0] | {"price": "10.00", "valid_from": "2026-03-01"},
        clerk.rows[0] | {"price": "11.00", "valid_from": "01.07.2026"},
    ]
    assert counted(clerk.take()) == {"new": 2}
    assert [(offer.valid_from, offer.price) for offer in clerk.offers()] == [
        (date(2026, 3, 1), Decimal(10)),
        (date(2026, 7, 1), Decimal(11)),
    ]
    clerk.rows.reverse()
    assert counted(clerk.take()) == {"unchanged": 2}


def test_a_price_that_returns_later_in_the_same_file_is_not_taken_for_the_standing_one(clerk):
    clerk.take()
    standing = clerk.rows[0]["price"]
    between = str(Decimal(standing) * Decimal("1.05"))
    clerk.header = (*clerk.header, "valid_from")
    clerk.rows = [
        clerk.rows[0] | {"price": between, "valid_from": "2026-04-01"},
        clerk.rows[0] | {"price": standing, "valid_from": "2026-05-01"},
    ]
    clerk.take()
    assert [offer.price for offer in clerk.offers()] == [
        Decimal(standing), Decimal(between).quantize(Decimal("0.0001")), Decimal(standing)
    ]  # fmt: skip


BREAKS = ("break_1_quantity", "break_1_price", "price_from_50")


def with_breaks(clerk, *steps: tuple[str, str, str]) -> None:
    clerk.header = (*clerk.header, *BREAKS)
    for row, step in zip(clerk.rows, steps, strict=False):
        row |= dict(zip(BREAKS, step, strict=True))
    for row in clerk.rows[len(steps) :]:
        row |= dict.fromkeys(BREAKS, "")


def breaks_of(offer: Offer) -> list[tuple[int, Decimal]]:
    return list(offer.breaks.order_by("quantity_from").values_list("quantity_from", "price"))


def test_price_breaks_are_written_corrected_and_kept_while_the_price_stays(clerk):
    clerk.rows[0]["price"] = clerk.rows[1]["price"] = "10.00"
    with_breaks(clerk, ("10", "9.50", "9"), ("", "", ""))
    clerk.take()
    assert breaks_of(clerk.offers(0)[0]) == [(10, Decimal("9.5")), (50, Decimal(9))]
    assert counted(clerk.take(again=True)) == {"unchanged": 12}
    clerk.rows[0]["price_from_50"] = "8.99"
    assert counted(clerk.take()) == {"changed": 1, "unchanged": 11}
    assert breaks_of(clerk.offers(0)[0]) == [(10, Decimal("9.5")), (50, Decimal("8.99"))]
    clerk.header = tuple(name for name in clerk.header if name not in BREAKS)
    clerk.rows = [{name: row[name] for name in clerk.header} for row in clerk.rows]
    clerk.rows[0]["lead_days"] = "55"
    clerk.take(valid_from=LATER)
    assert breaks_of(clerk.offers(0)[1]) == [(10, Decimal("9.5")), (50, Decimal("8.99"))]
    clerk.rows[0]["price"] = "10.01"
    difference = clerk.take(valid_from=date(2026, 5, 1))
    assert breaks_of(clerk.offers(0)[2]) == []
    assert "the new price counts for any quantity" in difference.warnings[0]


def test_breaks_dearer_than_the_price_of_one_are_told(clerk):
    clerk.rows[0]["price"] = "10.00"
    with_breaks(clerk, ("10", "10.01", "9"))
    assert clerk.take(dry_run=True).warnings == (
        "price breaks dearer than the price of a single piece: row 2",
    )
    clerk.rows[0]["break_1_price"] = "10.00"
    assert clerk.take(dry_run=True).warnings == ()


MOVES = [
    ("100.00", "125.00"), ("100.00", "125.01"), ("100.00", "75.00"), ("100.00", "74.99"), ("0", "0"),
    ("0", "0.01"), ("0.01", "0"), ("0.04", "0.05"), ("3.33", "4.17"), ("3.33", "4.16"), ("8.00", "8.00"),
    ("9999999999.99", "0.01"),
]  # fmt: skip


@pytest.mark.parametrize("percent", ["25", "0", "33.3", "9999.9"])
def test_the_database_holds_exactly_the_moves_that_the_rule_holds(clerk, percent):
    for row, (old, _) in zip(clerk.rows, MOVES, strict=True):
        row["price"] = old
    clerk.take()
    for row, (_, new) in zip(clerk.rows, MOVES, strict=True):
        row["price"] = new
    clerk.take(valid_from=LATER, hold_percent=Decimal(percent))
    held = {price.part.number for price in HeldPrice.objects.select_related("part")}
    assert held == {
        row["number"]
        for row, (old, new) in zip(clerk.rows, MOVES, strict=True)
        if is_held(Decimal(old), Decimal(new), Decimal(percent))
    }
    assert not Offer.objects.filter(valid_from=LATER, part__number__in=held).exists()


def test_the_report_is_sorted_by_the_size_of_the_change(clerk):
    for row in clerk.rows:
        row["price"] = "100.00"
    clerk.take()
    moves = {0: "101.00", 1: "80.00", 2: "110.00", 3: "100.50"}
    for place, price in moves.items():
        clerk.rows[place]["price"] = price
    difference = clerk.take(valid_from=LATER, dry_run=True)
    assert [line.percent for line in difference.lines["changed"]] == [
        Decimal(percent) for percent in ("-20.0", "10.0", "1.0", "0.5")
    ]


def test_an_import_leaves_an_event_and_remembers_how_the_file_was_read(clerk):
    clerk.header = tuple("Netto" if name == "price" else name for name in clerk.header)
    for row in clerk.rows:
        row["Netto"] = row.pop("price")
    from catalog.offers.reading import Reading

    clerk.take(reading=Reading(columns={"price": "Netto"}))
    clerk.supplier.refresh_from_db()
    assert clerk.supplier.price_columns == {"columns": {"price": "Netto"}}
    clerk.rows[0]["Netto"] = str(Decimal(clerk.rows[0]["Netto"]) + Decimal("0.01"))
    assert counted(clerk.take(valid_from=LATER)) == {"changed": 1, "unchanged": 11}
    event = Event.objects.filter(what="price-file-taken-in").latest("pk")
    assert event.subject == "depot"
    assert (event.detail["changed"], event.detail["unchanged"]) == (1, 11)
    assert PriceBreak.objects.count() == 0
