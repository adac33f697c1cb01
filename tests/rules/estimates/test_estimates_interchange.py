"""Parts that serve alike, bought for one another: worked out with a pencil on a small market."""

import pytest

from catalog.cards import Candidate
from catalog.rules.fitment import UnitFacts
from catalog.rules.interval import DateInterval
from estimates.rules.lines import part_lines
from estimates.rules.plan import NeedAt
from estimates.rules.supply import resolve
from tests.rules.estimates.small_engine import (
    FACTS,
    ONE,
    V4,
    A,
    D,
    fits,
    market,
    offer,
    part,
    rule,
    terms,
)

LISTED, OTHER, ALIKE = part(1, "heater"), part(2, "heater"), part(3, "heater")
LISTS = fits(LISTED, "cylinder")
TWO_WAY = fits(LISTED, "cylinder", options=(("plug", "2-way"),))
NOT_TWO_WAY = Candidate(
    OTHER, (rule(2, "cylinder"), rule(2, "cylinder", "excludes", options=(("plug", "2-way"),)))
)
NEED = NeedAt("heater", "glow plug", 1, ONE, "required")


def like(*lenders, own=(), card=ALIKE):
    """A part that serves like these, with rules of its own that apply it nowhere."""
    return Candidate(card, own, {lender.part.label: lender.rules for lender in lenders})


def answer(candidates, offers, successors=None, others=(), facts=FACTS):
    shop = market({"heater": candidates}, offers, successors, others)
    return resolve([NEED], {}, [], shop, facts, V4, terms())[NEED.key]


def number(supply):
    return [piece.part.number for piece in supply.pieces]


@pytest.mark.parametrize(
    ("price", "taken", "says"),
    [
        ("19.99", "OR-3", "serves like Orlin OR-1, which fits"),
        ("20.00", "OR-1", ""),
        ("20.01", "OR-1", ""),
    ],
)
def test_one_that_serves_alike_is_bought_where_it_is_cheaper_and_says_whose_fitment_it_rests_on(
    price, taken, says
):
    supply = answer((LISTS, like(LISTS)), (offer(1, "20.00"), offer(3, price)))
    assert (number(supply), supply.alike) == ([taken], says)


def test_one_that_serves_alike_is_bought_where_nobody_sells_the_one_listed():
    supply = answer((LISTS, like(LISTS)), (offer(3, "99.00"),))
    assert (number(supply), supply.problem) == (["OR-3"], "")


def test_the_line_says_whose_fitment_it_is():
    supply = answer((LISTS, like(LISTS)), (offer(3, "9.00"),))
    (line,) = part_lines("heaters", [NEED], {NEED.key: supply}, terms())
    assert (line.note, line.to_confirm) == ("Serves like Orlin OR-1, which fits.", "")


def test_its_own_exclusion_keeps_it_off_although_the_listed_one_fits():
    barred = rule(3, "bank", "excludes", position=A.code)
    supply = answer((LISTS, like(LISTS, own=(barred,))), (offer(1, "20.00"), offer(3, "1.00")))
    assert number(supply) == ["OR-1"]


def test_it_does_not_fit_where_the_listed_one_does_not():
    known = UnitFacts("v4", DateInterval(), None, {"plug": "4-way"})
    assert answer((TWO_WAY, like(TWO_WAY)), (offer(3, "1.00"),), facts=known).problem


def test_while_the_listed_one_waits_for_a_fact_it_waits_with_it_and_says_why_it_is_named():
    supply = answer((TWO_WAY, like(TWO_WAY)), (offer(1, "20.00"), offer(3, "9.00")))
    assert (supply.to_confirm, supply.price) == ("the heater plug", D("20.00"))
    assert supply.candidates == ("Orlin OR-3 (serves like Orlin OR-1)", "Orlin OR-1")
    unsold = answer((TWO_WAY, like(TWO_WAY)), (offer(1, "20.00"),))
    assert unsold.candidates == ("Orlin OR-1", "Orlin OR-3 (serves like Orlin OR-1; no price today)")


def test_two_that_together_leave_nothing_out_are_both_named():
    # with the 2-way plug the one fits, with any other the other: so what serves like both always does
    supply = answer((TWO_WAY, NOT_TWO_WAY, like(TWO_WAY, NOT_TWO_WAY)), (offer(3, "9.00"),))
    assert supply.alike == "serves like Orlin OR-1 and Orlin OR-2, one of which fits in any case"


def test_only_those_that_surely_fit_are_said_to():
    supply = answer((LISTS, NOT_TWO_WAY, like(LISTS, NOT_TWO_WAY)), (offer(3, "9.00"),))
    assert supply.alike == "serves like Orlin OR-1, which fits"


def test_what_replaced_one_that_serves_alike_says_all_of_the_way():
    new = part(9, "heater")
    supply = answer((LISTS, like(LISTS)), (offer(9, "9.00"),), {3: (((9, 1),),)}, (new,))
    assert number(supply) == ["OR-9"]
    assert supply.alike == "replaces Orlin OR-3, which serves like Orlin OR-1, which fits"


def test_a_successor_is_not_doubted_because_one_that_serves_like_it_is_listed_more_narrowly():
    # the old part fits every engine and is bought as the new one, which nobody listed
    old, new = fits(part(5, "heater"), "cylinder"), like(TWO_WAY, card=part(9, "heater"))
    supply = answer((old, TWO_WAY, new), (offer(9, "9.00"),), {5: (((9, 1),),)})
    assert (number(supply), supply.to_confirm, supply.alike) == (["OR-9"], "", "")


def test_a_successors_own_exclusion_still_counts_against_it():
    barred = like(LISTS, own=(rule(9, "engine", "excludes"),), card=part(9, "heater"))
    supply = answer((LISTS, barred), (offer(9, "9.00"),), {1: (((9, 1),),)})
    assert supply.problem == "no glow plug in the catalogue fits cylinder 1 of this Small V4"
