"""Which part, from whom, at what price: worked out with a pencil on a small market (see small_engine)."""

from dataclasses import replace
from datetime import date

import pytest

from catalog.cards import Candidate
from catalog.rules.fitment import UnitFacts
from catalog.rules.interval import DateInterval
from estimates.rules.plan import NeedAt
from estimates.rules.supply import resolve
from shop.rules.errors import Refused
from shop.rules.markup import MarkupBand
from tests.rules.estimates.small_engine import (
    ENGINE,
    FACTS,
    ONE,
    THREE,
    TWO,
    V4,
    A,
    D,
    fits,
    market,
    offer,
    part,
    rule,
    terms,
)  # fmt: skip


def heater_at(place=ONE, quantity=1) -> NeedAt:
    return NeedAt("heater", "glow plug", quantity, place, "required")


def answer(shop, *, quantity=1, facts=FACTS, how=None, needs=None, firm=None, apart=()):
    needs = needs or [heater_at(quantity=quantity)]
    supplies = resolve(needs, firm or {}, list(apart), shop, facts, V4, how or terms())
    return supplies[needs[0].key]


HEATER, OTHER = part(1, "heater"), part(2, "heater")
EITHER = {"heater": (fits(HEATER, "cylinder"), fits(OTHER, "cylinder"))}
ONLY = {"heater": (fits(HEATER, "cylinder"),)}


def chosen(supply):
    return [
        (piece.part.number, piece.per, piece.offer.supplier if piece.offer else None)
        for piece in supply.pieces
    ]


# The cheapest


def test_the_cheapest_of_the_fitting_parts_is_taken():
    supply = answer(market(EITHER, (offer(1, "20.00"), offer(2, "19.99"))))
    assert (chosen(supply), supply.price) == ([("OR-2", 1, "depot")], D("19.99"))


def test_of_two_offers_of_one_part_the_cheaper_is_taken():
    supply = answer(market(ONLY, (offer(1, "20.00"), offer(1, "18.00", supplier="yard"))))
    assert chosen(supply) == [("OR-1", 1, "yard")]


def test_at_one_price_the_sooner_is_taken():
    supply = answer(market(EITHER, (offer(1, "20.00", days=3), offer(2, "20.00", days=2))))
    assert chosen(supply) == [("OR-2", 1, "depot")]


def test_at_one_price_and_day_the_choice_does_not_depend_on_the_order_of_anything():
    offers = (offer(1, "20.00"), offer(2, "20.00"))
    turned = {"heater": EITHER["heater"][::-1]}
    assert chosen(answer(market(EITHER, offers))) == chosen(answer(market(turned, offers[::-1])))


@pytest.mark.parametrize(
    ("pieces", "taken", "cost"),
    [
        (9, [("yard", 9)], "1.10"),  # singly 9.90, a pack 10.00
        (10, [("depot", 10)], "1.00"),  # singly 11.00, a pack 10.00
        (
            11,
            [("depot", 10), ("yard", 1)],
            "1.0091",
        ),  # 12.10, two packs 20.00, both 11.10: 11.10 / 11 a piece
    ],
)
def test_whole_packs_are_compared_not_pieces(pieces, taken, cost):
    packed, single = offer(1, "1.00", pack=10), offer(1, "1.10", supplier="yard")
    (piece,) = answer(market(ONLY, (packed, single)), quantity=pieces).pieces
    assert [(one.source.supplier, one.pieces) for one in piece.taken] == taken
    assert (piece.cost, piece.suppliers) == (D(cost), tuple(code for code, _ in taken))


@pytest.mark.parametrize(("pieces", "from_whom"), [(3, "yard"), (4, "depot")])
def test_a_minimum_quantity_is_paid_for_although_fewer_are_needed(pieces, from_whom):
    # at least 4 at 5.00 = 20.00; singly 6.00: 3 = 18.00, 4 = 24.00
    offers = (offer(1, "5.00", minimum=4), offer(1, "6.00", supplier="yard"))
    assert chosen(answer(market(ONLY, offers), quantity=pieces)) == [("OR-1", 1, from_whom)]


# 6 cost 60.00 and 8 cost 64.00; 7 would cost 70.00, so the eighth is bought for the break
@pytest.mark.parametrize(("pieces", "price"), [(6, "10.00"), (7, "8.00"), (8, "8.00"), (9, "8.00")])
def test_a_price_break_counts_from_its_quantity_on_or_where_reaching_it_is_cheaper(pieces, price):
    supply = answer(market(ONLY, (offer(1, "10.00", breaks=((8, "8.00"),)),)), quantity=pieces)
    assert supply.price == D(price)


def test_a_break_reached_only_by_filling_the_pack_counts():
    # 5 needed, packs of 4: 8 are ordered, and from 8 on a piece is 7.00
    supply = answer(market(ONLY, (offer(1, "10.00", pack=4, breaks=((8, "7.00"),)),)), quantity=5)
    assert supply.price == D("7.00")


def test_a_minimum_that_is_no_whole_number_of_packs_is_rounded_up_to_packs():
    # at least 5, packs of 4: 8 ordered at 2.00 = 16.00; against 17.00 for one elsewhere
    offers = (offer(1, "2.00", minimum=5, pack=4), offer(1, "17.00", supplier="yard"))
    assert chosen(answer(market(ONLY, offers))) == [("OR-1", 1, "depot")]
    assert chosen(answer(market(ONLY, (offers[0], replace(offers[1], price=D("15.99")))))) == [
        ("OR-1", 1, "yard")
    ]


def test_needs_that_one_part_answers_are_bought_together():
    needs = [heater_at(ONE), heater_at(TWO), heater_at(THREE)]
    supply = answer(market(ONLY, (offer(1, "10.00", breaks=((3, "9.00"),)),)), needs=needs)
    assert supply.price == D("9.00")


def test_price_breaks_come_from_the_firm_pieces_not_from_what_may_never_be_bought():
    # one heater is sure, two more only if found on opening: the shop may have to buy a single one
    needs = [heater_at(ONE), heater_at(TWO), heater_at(THREE)]
    shop = market(ONLY, (offer(1, "10.00", breaks=((3, "9.00"),)),))
    firm, apart = {needs[0].key: 1}, [{needs[1].key: 1}, {needs[2].key: 1}]
    assert answer(shop, needs=needs, firm=firm, apart=apart).price == D("10.00")


def test_pieces_of_options_are_priced_as_the_smallest_purchase_that_may_happen():
    needs = [heater_at(ONE), heater_at(TWO), heater_at(THREE)]
    shop = market(ONLY, (offer(1, "10.00", breaks=((2, "9.00"), (3, "8.00"))),))
    pair = [{needs[0].key: 1, needs[1].key: 1}, {n.key: 1 for n in needs}]
    assert answer(shop, needs=needs, apart=pair).price == D("9.00")


# Currencies and list prices


def test_offers_in_another_currency_are_passed_over():
    offers = (offer(1, "20.00"), offer(1, "1.00", supplier="far", currency="USD"))
    assert chosen(answer(market(ONLY, offers))) == [("OR-1", 1, "depot")]


def test_without_an_offer_the_list_price_is_asked():
    listed = part(1, "heater", list_price="33.00")
    supply = answer(market({"heater": (fits(listed, "cylinder"),)}))
    assert (chosen(supply), supply.price) == ([("OR-1", 1, None)], D("33.00"))
    assert "list price" in supply.pieces[0].why


def test_a_list_price_is_not_marked_up():
    listed = part(1, "heater", list_price="33.00")
    how = terms(bands=(MarkupBand(D("0"), D("50")),))
    assert answer(market({"heater": (fits(listed, "cylinder"),)}), how=how).price == D("33.00")


def test_a_list_price_in_another_currency_is_none():
    listed = part(1, "heater", list_price="33.00", currency="USD")
    supply = answer(market({"heater": (fits(listed, "cylinder"),)}))
    assert "no supplier offers Orlin OR-1 in EUR today, and there is no list price" in supply.problem


def test_a_list_price_caps_the_sell_price_but_never_below_cost():
    how = terms(bands=(MarkupBand(D("0"), D("50")),))
    for cost, sold in (("10.00", "15.00"), ("12.00", "18.00"), ("14.00", "18.00"), ("19.00", "19.00")):
        listed = part(1, "heater", list_price="18.00")
        assert answer(market({"heater": (fits(listed, "cylinder"),)}, (offer(1, cost),)), how=how).price == D(
            sold
        )


def test_a_list_price_finer_than_the_currency_is_refused_naming_the_part():
    listed = part(1, "heater", list_price="18.505")
    with pytest.raises(Refused, match=r"Orlin OR-1, list price: 18.505 EUR is finer"):
        answer(market({"heater": (fits(listed, "cylinder"),)}, (offer(1, "10.00"),)))


# No answer


def test_no_part_that_fits_is_a_problem_that_names_part_type_place_and_engine():
    assert answer(market({})).problem == "no glow plug in the catalogue fits cylinder 1 of this Small V4"


def test_a_fitting_part_without_any_price_is_a_problem_that_names_it():
    supply = answer(market(EITHER))
    assert supply.problem == (
        "no supplier offers Orlin OR-1, Orlin OR-2 in EUR today, and there is no list price"
    )
    assert (supply.pieces, supply.price) == ((), D("0"))


def test_a_part_excluded_for_one_bank_does_not_answer_a_cylinder_of_that_bank():
    two_rules = Candidate(HEATER, (rule(1, "cylinder"), rule(1, "bank", "excludes", position="A")))
    shop = market({"heater": (two_rules,)}, (offer(1, "20.00"),))
    assert answer(shop, needs=[heater_at(ONE)]).problem
    assert not answer(shop, needs=[heater_at(THREE)]).problem


def test_places_with_different_answers_are_answered_apart():
    first, second = part(1, "heater"), part(2, "heater")
    shop = market(
        {"heater": (fits(first, "cylinder", position="1"), fits(second, "cylinder", position="2"))},
        (offer(1, "20.00"), offer(2, "30.00")),
    )
    needs = [heater_at(ONE), heater_at(TWO)]
    supplies = resolve(needs, {}, [], shop, FACTS, V4, terms())
    assert [supplies[n.key].price for n in needs] == [D("20.00"), D("30.00")]


# Cannot tell

TWO_WAY = fits(HEATER, "cylinder", options=(("plug", "2-way"),))
FOUR_WAY = fits(OTHER, "cylinder", options=(("plug", "4-way"),))
BY_PLUG = {"heater": (TWO_WAY, FOUR_WAY)}


def test_a_part_that_hangs_on_a_missing_fact_is_priced_at_the_dearest_with_the_span():
    supply = answer(market(BY_PLUG, (offer(1, "20.00"), offer(2, "26.00"))))
    assert supply.to_confirm == "the heater plug"
    assert (supply.price, supply.span) == (D("26.00"), (D("20.00"), D("26.00")))
    assert supply.candidates == ("Orlin OR-1", "Orlin OR-2")


@pytest.mark.parametrize(("plug", "price"), [("2-way", "20.00"), ("4-way", "26.00")])
def test_finding_the_fact_out_never_makes_it_dearer(plug, price):
    known = UnitFacts("v4", DateInterval(), None, {"plug": plug})
    supply = answer(market(BY_PLUG, (offer(1, "20.00"), offer(2, "26.00"))), facts=known)
    assert (supply.to_confirm, supply.price) == ("", D(price))


def test_the_dearest_counts_the_deposit_which_has_to_be_paid_too():
    supply = answer(market(BY_PLUG, (offer(1, "20.00", deposit="15.00"), offer(2, "26.00"))))
    assert supply.pieces[0].part.number == "OR-1"
    assert supply.span == (D("20.00"), D("26.00"))


def test_a_part_that_surely_fits_goes_before_cheaper_ones_that_may():
    sure = part(3, "heater")
    shop = market(
        {"heater": (TWO_WAY, FOUR_WAY, fits(sure, "cylinder"))},
        (offer(1, "1.00"), offer(2, "2.00"), offer(3, "30.00")),
    )
    supply = answer(shop)
    assert (supply.to_confirm, supply.price) == ("", D("30.00"))


def test_the_missing_facts_of_all_candidates_are_named_once():
    by_date = fits(OTHER, "cylinder", built_from=date(2014, 1, 1))
    shop = market({"heater": (TWO_WAY, by_date)}, (offer(1, "1.00"), offer(2, "2.00")))
    assert answer(shop).to_confirm == "the heater plug and the build date"


# Replaced parts


def test_a_replaced_part_is_bought_as_what_replaced_it():
    new = part(9, "heater")
    shop = market(ONLY, (offer(1, "5.00"), offer(9, "22.00")), {1: (((9, 1),),)}, (new,))
    assert (chosen(answer(shop)), answer(shop).price) == ([("OR-9", 1, "depot")], D("22.00"))


def test_a_part_replaced_by_several_is_bought_as_all_of_them():
    # one old harness is now one harness and two clips: 40.00 + 2 x 1.50
    shop = market(
        ONLY, (offer(8, "40.00"), offer(9, "1.50")), {1: (((8, 1), (9, 2)),)},
        (part(8, "heater"), part(9, "clip")),
    )  # fmt: skip
    supply = answer(shop)
    assert chosen(supply) == [("OR-8", 1, "depot"), ("OR-9", 2, "depot")]
    assert supply.price == D("43.00")


def test_pieces_of_a_bundle_are_bought_in_the_numbers_needed_in_all():
    # 3 needed, 2 clips each: 6 clips reach the break at 6
    shop = market(
        ONLY, (offer(8, "40.00"), offer(9, "1.50", breaks=((6, "1.00"),))), {1: (((8, 1), (9, 2)),)},
        (part(8, "heater"), part(9, "clip")),
    )  # fmt: skip
    assert answer(shop, quantity=3).price == D("42.00")


def test_of_two_ways_to_replace_a_part_the_cheaper_bundle_is_taken():
    shop = market(
        ONLY, (offer(8, "40.00"), offer(9, "15.00")), {1: (((8, 1),), ((9, 2),))},
        (part(8, "heater"), part(9, "heater")),
    )  # fmt: skip
    assert chosen(answer(shop)) == [("OR-9", 2, "depot")]


def test_a_bundle_with_one_part_that_nobody_sells_is_no_answer():
    shop = market(
        ONLY, (offer(8, "4.00"), offer(7, "60.00")), {1: (((8, 1), (9, 1)), ((7, 1),))},
        (part(7, "heater"), part(8, "heater"), part(9, "heater")),
    )  # fmt: skip
    assert chosen(answer(shop)) == [("OR-7", 1, "depot")]


def test_a_successor_that_its_own_rules_keep_off_this_engine_is_no_answer():
    known = UnitFacts("v4", DateInterval(), None, {"plug": "4-way"})
    old = part(5, "heater")
    shop = market(
        {"heater": (fits(old, "cylinder"), TWO_WAY, FOUR_WAY)},
        (offer(1, "1.00"), offer(2, "26.00")),
        {5: (((1, 1),), ((2, 1),))},
    )
    assert chosen(answer(shop, facts=known)) == [("OR-2", 1, "depot")]


def test_successors_between_which_a_missing_fact_decides_are_to_be_confirmed():
    # the old part fitted every engine; its two successors differ by the plug, and the plug is not known
    old = part(5, "heater")
    shop = market(
        {"heater": (fits(old, "cylinder"), TWO_WAY, FOUR_WAY)},
        (offer(1, "1.00"), offer(2, "26.00")),
        {5: (((1, 1),), ((2, 1),))},
    )
    supply = answer(shop)
    assert (supply.to_confirm, supply.price) == ("the heater plug", D("26.00"))


# Deposits and marking up


def test_a_deposit_stands_beside_the_price():
    piece = answer(market(ONLY, (offer(1, "20.00", deposit="35.00"),))).pieces[0]
    assert (piece.cost, piece.price, piece.deposit) == (D("20.00"), D("20.00"), D("35.00"))


def test_the_sell_price_comes_from_the_cost_by_the_shops_ladder_with_its_reason():
    ladder = (MarkupBand(D("0"), D("60")), MarkupBand(D("25"), D("40")))
    piece = answer(market(ONLY, (offer(1, "30.00"),)), how=terms(bands=ladder)).pieces[0]
    # 25 x 1.60 + 5 x 1.40
    assert (piece.price, piece.why) == (
        D("47.00"), "cost 30.00 EUR: 60 % on the first 25.00, 40 % on the next 5.00",
    )  # fmt: skip


def test_needs_of_the_engine_and_of_a_bank_are_judged_at_their_own_place():
    belt, gasket = part(6, "belt"), part(7, "gasket")
    shop = market(
        {"belt": (fits(belt, "engine"),), "gasket": (fits(gasket, "bank", position="A"),)},
        (offer(6, "25.00"), offer(7, "30.00")),
    )
    needs = [NeedAt("belt", "belt", 1, ENGINE, "required"), NeedAt("gasket", "gasket", 1, A, "one-time")]
    assert all(not s.problem for s in resolve(needs, {}, [], shop, FACTS, V4, terms()).values())
