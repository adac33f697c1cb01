"""What the shop wishes when it buys: worked out with a pencil, below, at and above each boundary."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from catalog.cards import OfferCard
from estimates.rules.sourcing.asked import Source, Want
from estimates.rules.sourcing.buying import buy
from estimates.rules.sourcing.passed_over import passed_over
from estimates.rules.sourcing.within import Wishes

D = Decimal
TODAY = date(2026, 3, 2)
ORIGINAL, OTHER = 1, 2


def source(part=ORIGINAL, supplier="depot", price="10.00", freight="0", days=1, **terms) -> Source:
    offer = OfferCard(
        part, part, supplier, supplier.title(), "EUR", D(price), (), terms.get("pack", 1),
        terms.get("minimum", 1), D(terms.get("deposit", "0")), days, TODAY, None, freight=D(freight),
        preferred=terms.get("preferred", False), blocked=terms.get("blocked", False),
    )  # fmt: skip
    return Source(offer)


def shelf(part, pieces, price="8.00") -> Source:
    return Source(replace(source(part, "", price, days=0).offer, supplier_name="own stock"), pieces, "shelf")


def want(pieces=1, *parts, name="seal") -> Want:
    return Want((name,), name, pieces, tuple(((part, 1),) for part in parts or (ORIGINAL, OTHER)))


def bought(sources, wants=None, **wishes):
    return buy(wants or [want()], sources, frozenset({ORIGINAL}), Wishes(TODAY, **wishes))


def taken(buying):
    return [(one.source.offer.supplier, one.source.part, one.pieces) for one in buying.purchase.taken]


# Grade and preferred suppliers


@pytest.mark.parametrize(("price", "part"), [("10.99", ORIGINAL), ("11.00", ORIGINAL), ("11.01", OTHER)])
def test_an_original_part_is_taken_where_it_costs_at_most_so_much_more(price, part):
    sources = [source(ORIGINAL, price=price), source(OTHER)]
    buying = bought(sources, grade="preferred", original_premium=D(10))
    assert taken(buying) == [("depot", part, 1)]


@pytest.mark.parametrize(("price", "supplier"), [("10.49", "yard"), ("10.50", "yard"), ("10.51", "depot")])
def test_a_preferred_supplier_is_taken_where_it_costs_at_most_so_much_more(price, supplier):
    sources = [source(), source(supplier="yard", price=price, days=0, preferred=True)]
    assert taken(bought(sources, preferred_premium=D(5))) == [(supplier, ORIGINAL, 1)]


def test_original_only_takes_the_original_at_any_price_and_says_so_of_the_other():
    buying = bought([source(price="99.00"), source(OTHER)], grade="original")
    assert taken(buying) == [("depot", ORIGINAL, 1)]
    assert [(one.source.part, one.kind) for one in passed_over(buying, buying.left.basket.wants[0])] == [
        (OTHER, "grade")
    ]


def test_original_only_without_an_original_is_named_and_not_bought():
    buying = bought([source(OTHER)], [want(1, OTHER)], grade="original")
    assert taken(buying) == []
    assert [(one.text, one.priced) for one in buying.unmet] == [
        ("no original seal that fits can be had", False)
    ]


# The day


@pytest.mark.parametrize(("left", "supplier"), [(4, "yard"), (5, "depot"), (6, "depot"), (None, "depot")])
def test_what_comes_after_the_day_is_passed_over(left, supplier):
    sources = [source(days=5), source(supplier="yard", price="14.00", days=2)]
    buying = bought(sources, needed_by=None if left is None else TODAY + timedelta(days=left))
    assert (taken(buying), buying.unmet) == ([(supplier, ORIGINAL, 1)], ())
    late = [(one.kind, one.arrives) for one in passed_over(buying, buying.left.basket.wants[0])]
    assert late == ([("late", TODAY + timedelta(days=5))] if supplier == "yard" else [])


def test_a_day_that_nobody_keeps_is_named_with_the_first_day_and_then_bought_as_soon_as_can_be():
    buying = bought([source(days=9), source(supplier="yard", price="14.00", days=5)], needed_by=TODAY)
    assert taken(buying) == [("yard", ORIGINAL, 1)]
    (unmet,) = buying.unmet
    assert unmet.text == "seal cannot be there by 2 March 2026; the earliest is 7 March 2026"
    assert (unmet.possible, unmet.priced) == (TODAY + timedelta(days=5), True)


def test_what_is_there_by_the_day_does_not_wait_for_what_is_not():
    belt = want(1, 3, name="belt")
    sources = [source(days=1), source(3, "yard", days=9), source(supplier="yard", price="5.00", days=9)]
    buying = bought(sources, [want(1, ORIGINAL), belt], needed_by=TODAY + timedelta(days=2))
    assert taken(buying) == [("depot", ORIGINAL, 1), ("yard", 3, 1)]
    assert [one.want.name for one in buying.unmet] == ["belt"]


# The shelf


def test_what_lies_on_the_shelf_is_taken_first_and_the_rest_is_ordered():
    buying = bought([shelf(ORIGINAL, 2), source()], [want(5, ORIGINAL)])
    assert taken(buying) == [("", ORIGINAL, 2), ("depot", ORIGINAL, 3)]
    assert buying.purchase.suppliers == ("depot",)


def test_the_shelf_is_no_supplier_and_asks_no_freight():
    buying = bought([shelf(ORIGINAL, 2, "12.00"), source(freight="5.00")])
    assert (taken(buying), buying.purchase.total) == ([("", ORIGINAL, 1)], D("12.00"))


def test_what_is_left_on_the_shelf_is_there_for_what_may_turn_up():
    buying = bought([shelf(ORIGINAL, 2), source()], [want(1, ORIGINAL)])
    apart = buying.apart(want(1, ORIGINAL, name="second"))
    assert [one.source.kind for one in apart.taken] == ["shelf"]
    assert [(one.source.kind, one.pieces) for one in buying.apart(want(2, ORIGINAL, name="two")).taken] == [
        ("shelf", 1),
        ("supplier", 1),
    ]


def test_wants_that_the_shelf_holds_singly_but_not_together_are_told_apart():
    buying = bought([shelf(ORIGINAL, 2)], [want(2, ORIGINAL), want(1, ORIGINAL, name="other")])
    assert taken(buying) == [("", ORIGINAL, 2)]
    (unmet,) = buying.unmet
    assert unmet.text == "not enough of other: what lies on the shelf is needed elsewhere on this job"


def test_too_few_on_the_shelf_and_nobody_who_sells_it_is_said():
    buying = bought([shelf(ORIGINAL, 2)], [want(3, ORIGINAL)])
    assert buying.unmet[0].text == "not enough of seal: 2 on the shelf, and nobody offers more"


# Why not cheaper


@pytest.mark.parametrize(
    ("cheaper", "kind", "more"),
    [
        (source(supplier="yard", price="6.00", blocked=True), "blocked", "0"),
        (source(supplier="yard", price="6.00", pack=5), "packs", "20.00"),
        (source(supplier="yard", price="6.00", minimum=2), "packs", "2.00"),
        (source(supplier="yard", price="6.00", deposit="7.00"), "deposit", "3.00"),
        (source(supplier="yard", price="6.00", freight="5.00"), "freight", "1.00"),
    ],
)
def test_a_cheaper_offer_that_was_not_taken_says_why(cheaper, kind, more):
    buying = bought([source(), cheaper], [want(1, ORIGINAL)])
    assert taken(buying) == [("depot", ORIGINAL, 1)]
    (one,) = passed_over(buying, buying.left.basket.wants[0])
    assert (one.kind, one.more, one.price) == (kind, D(more), D("6.00"))


def test_a_wish_that_makes_it_dearer_says_so():
    buying = bought([source(), source(OTHER, price="9.50")], grade="preferred", original_premium=D(10))
    (one,) = passed_over(buying, buying.left.basket.wants[0])
    assert (one.kind, one.more) == ("wish", D("-0.50"))


def test_a_plan_of_fewest_suppliers_passes_over_what_takes_another_order():
    wants = [want(1, ORIGINAL), want(1, 3, name="belt")]
    sources = [source(), source(3), source(3, "yard", "4.00")]
    buying = bought(sources, wants, plan="fewest")
    assert [one.kind for one in passed_over(buying, wants[1])] == ["suppliers"]


def test_the_soonest_plan_passes_over_what_comes_later():
    buying = bought([source(days=1), source(supplier="yard", price="4.00", days=2)], plan="soonest")
    assert [one.kind for one in passed_over(buying, buying.left.basket.wants[0])] == ["days"]


def test_what_may_turn_up_comes_along_without_freight_from_who_gets_an_order_anyway():
    belt = want(1, 3, name="belt")
    sources = [
        source(freight="9.00"),
        source(3, price="6.00", freight="9.00"),
        source(3, "yard", "5.00", "2.00"),
    ]
    buying = bought(sources, [want(1, ORIGINAL)])
    assert [(one.source.offer.supplier, one.source.kind) for one in buying.apart(belt).taken] == [
        ("depot", "along")
    ]
