"""Lines, what each item adds, and the three totals, worked out by hand on the small engine.

60.00 an hour in tenths, parts at cost, 20 % on everything. One heater confirmed, the belt advised, three
clips broken:

    minutes  pipe 12, cover 30, first heater 5, heater 10                    57 -> 1.0 h      60.00
    parts    heater 20.00, grease 4.00, gasket 30.00, 5 screws at 1.00                        59.00
    firm     119.00 + 23.80                                                                  142.80

    extract  57 + 60 = 117 -> 2.0 h: labour + 60.00, reamer 40.00            100.00 x 1.2 =  120.00
    thread   57 + 45 = 102 -> 1.7 h: labour + 42.00, insert 9.00              51.00 x 1.2 =   61.20
    belt     57 + 20 =  77 -> 1.3 h: labour + 18.00, belt 25.00               43.00 x 1.2 =   51.60
    clips    3 x 1.50                                                          4.50 x 1.2 =    5.40

    ceiling  57 + 60 + 45 = 162 -> 2.7 h 162.00, parts 108.00                270.00 x 1.2 =  324.00
    options  + 20 = 182 -> 3.0 h 180.00, parts 137.50                        317.50 x 1.2 =  381.00
"""

from decimal import Decimal

import pytest

from estimates.rules.derive import TestDone, derive
from estimates.rules.plan import Item, NeedAt, Plan, StepAt, Task
from estimates.rules.pricing import price
from estimates.rules.supply import resolve
from shop.rules.tax import TaxRate
from tests.rules.estimates.small_engine import (
    ENGINE,
    FACTS,
    ONE,
    THREE,
    V4,
    A,
    D,
    book,
    component,
    fits,
    found,
    market,
    offer,
    operation,
    part,
    step,
    supplies_for,
    terms,
    whole_market,
)  # fmt: skip

FINDINGS = (found("heater", ONE), found("belt", ENGINE, "advisory"), found("clip", A, quantity=3))


def priced(findings=FINDINGS, tests=(), how=None, included=(), **kwargs):
    how = how or terms()
    plan = derive(book(), findings, tests, included=included)
    return price(plan, supplies_for(plan, how, **kwargs), how)


def adds(estimate):
    return {one.item.key: one.adds for one in estimate.items if one.adds is not None}


# The worked example above


def test_the_firm_total_of_the_worked_example():
    firm = priced().firm
    assert (firm.without_tax, firm.tax_sum, firm.with_tax) == (D("119.00"), D("23.80"), D("142.80"))


def test_what_each_item_of_the_worked_example_adds():
    assert adds(priced()) == {
        "heater-extract@1": D("120.00"),
        "thread-repair@1": D("61.20"),
        "belt-replace@engine": D("51.60"),
        "damaged:clip@A": D("5.40"),
    }


def test_the_ceiling_and_the_options_of_the_worked_example():
    estimate = priced()
    assert (estimate.ceiling.with_tax, estimate.options.with_tax) == (D("324.00"), D("381.00"))


def test_the_labour_of_the_worked_example():
    labour = priced().labour
    assert (labour.minutes, labour.hours, labour.amount) == (57, D("1.0"), D("60.00"))


@pytest.mark.parametrize(
    ("taken", "total"),
    [
        (["belt-replace@engine"], "194.40"),
        (["damaged:clip@A"], "148.20"),
        (["heater-extract@1"], "262.80"),
        # both: 77 minutes -> 1.3 h 78.00, parts 88.50, together 166.50 x 1.2
        (["belt-replace@engine", "damaged:clip@A"], "199.80"),
    ],
)
def test_taking_an_item_in_gives_the_total_that_was_promised(taken, total):
    assert priced(included=taken).firm.with_tax == D(total)


def test_lines_of_the_worked_example_in_words():
    lines = [line for one in priced().group("firm") for line in one.lines]
    assert [(line.text, line.quantity, line.unit_price, line.net) for line in lines] == [
        ("Labour", 1, D("60.00"), D("60.00")),
        ("heater, cylinder 1", 1, D("20.00"), D("20.00")),
        ("grease", 1, D("4.00"), D("4.00")),
        ("gasket, bank A", 1, D("30.00"), D("30.00")),
        ("screw, bank A", 5, D("1.00"), D("5.00")),
    ]


def test_what_access_uses_up_stands_apart_from_the_repairs():
    opening = priced().group("firm")[-1]
    assert (opening.item.key, opening.net, opening.minutes) == ("access", D("35.00"), 0)


def test_grease_and_clips_are_consumables_and_heaters_are_parts():
    kinds = {line.text: line.kind for one in priced().items for line in one.lines}
    assert (kinds["heater, cylinder 1"], kinds["grease"], kinds["clip, bank A"]) == (
        "part", "consumable", "consumable",
    )  # fmt: skip


def test_parts_of_one_kind_at_several_places_share_a_line():
    estimate = priced([found("heater", ONE), found("heater", THREE)])
    lines = {line.text: line.net for one in estimate.group("firm") for line in one.lines}
    assert lines["heater, cylinders 1 and 3"] == D("40.00")
    assert lines["gasket, banks A and B"] == D("60.00")


# Labour


def test_labour_is_split_to_the_cent_and_sums_to_what_is_billed():
    # 12 + 30 + 5 + 10 + 10 = 67 -> 1.1 h = 66.00; 36 and 31 of 67: 35.4627 and 30.5373
    estimate = priced([found("heater", ONE), found("harness", A)])
    labour = {one.item.key: one.lines[0].net for one in estimate.group("firm")[:2]}
    assert labour == {"heater-replace": D("35.46"), "harness-replace": D("30.54")}
    assert estimate.labour.amount == D("66.00")


def test_minutes_shown_on_the_lines_sum_to_the_minutes_billed():
    estimate = priced([found("heater", ONE), found("harness", A)], [TestDone("resistance", THREE)])
    assert sum(one.minutes for one in estimate.group("firm")) == estimate.labour.minutes == 67 + 30 + 5


def test_minutes_of_an_item_are_rounded_once_for_the_item_not_for_each_of_its_tasks():
    # Three tests of 10 minutes and a repair of 10 share 15 minutes of access: 3.75 each. Rounded task by
    # task the tests could show 42 or 41 minutes; exactly they have 41.25, the repair 13.75.
    steps = {"cover": StepAt("cover", "cover", A, 15, frozenset(), (), ())}
    works = [Task(f"t{n}", f"t{n}", "", A, 10, frozenset({"cover"}), (), ()) for n in range(4)]
    tests, repair = (Item(k, "firm", k, (), tuple(t)) for k, t in (("a", works[:3]), ("b", works[3:])))
    estimate = price(Plan((tests, repair), steps, (), ()), {}, terms())
    assert [one.minutes for one in estimate.items] == [41, 14]


def test_doing_it_together_is_shown_against_doing_it_apart():
    # heater alone 57, harness alone 52
    assert priced([found("heater", ONE), found("harness", A)]).labour.apart == 57 + 52


def test_minutes_too_few_to_bill_make_a_labour_line_of_nothing():
    # 2 minutes are 0.0333 h, nearer to 0.0 than to 0.1
    look = Task("look", "look", "", A, 2, frozenset(), (), ())
    plan = Plan((Item("look", "firm", "look", (), (look,)),), {}, (), ())
    estimate = price(plan, {}, terms())
    assert [(line.minutes, line.net) for line in estimate.items[0].lines] == [(2, D("0.00"))]


def test_the_published_airport_game_priced_through():
    """S. C. Littlechild, G. Owen, "A Simple Expression for the Shapley Value in a Special Case", Management
    Science 20 (1973): runways of 8, 11, 13 and 18 are shared 2, 3, 4, 9. Here each is access one behind the
    other, 60.00 an hour, so that minutes are euros: 18 minutes are 0.3 h."""
    engine = book()
    engine.steps.clear()
    engine.operations.clear()
    before: tuple[str, ...] = ()
    for name, minutes in (("first", 8), ("second", 3), ("third", 2), ("fourth", 5)):
        engine.steps[name] = step(name, "engine", minutes, before)
        before = (name,)
        engine.components[name] = component(name, "engine")
        engine.operations[name] = operation(name, "engine", name, 0, 0, access=(name,))
    plan = derive(engine, [found(name, ENGINE) for name in ("first", "second", "third", "fourth")], [])
    estimate = price(plan, {}, terms())
    assert [one.net for one in estimate.items] == [D("2.00"), D("3.00"), D("4.00"), D("9.00")]
    assert [one.minutes for one in estimate.items] == [2, 3, 4, 9]


# Taxes, charges, currencies


def test_several_taxes_at_once_are_each_taken_on_their_own_sum():
    # labour 60.00 carries both, parts 59.00 only the first: 119.00 x 5 % and 60.00 x 9.975 % = 5.985
    rates = {"a": TaxRate("a", "A", D("5"), "S"), "b": TaxRate("b", "B", D("9.975"), "S")}
    how = terms(rates=rates, taxes={"labour": ("a", "b"), "parts": ("a",)})
    firm = priced(how=how).firm
    assert [(t.rate.key, t.taxable, t.amount) for t in firm.tax] == [
        ("a", D("119.00"), D("5.95")), ("b", D("60.00"), D("5.99")),
    ]  # fmt: skip
    assert firm.with_tax == D("130.94")


def test_a_category_without_a_tax_is_not_taxed():
    firm = priced(how=terms(taxes={"labour": ("vat",)})).firm
    assert (firm.tax_sum, firm.with_tax) == (D("12.00"), D("131.00"))


def test_shop_supplies_are_a_percentage_of_labour_up_to_their_cap():
    for percent, cap, charge in (("3", None, "1.80"), ("3", "1.80", "1.80"), ("3", "1.79", "1.79")):
        how = terms(supplies_percent=D(percent), supplies_cap=None if cap is None else D(cap))
        estimate = priced(how=how)
        assert estimate.charges[0].amount == D(charge)
        assert estimate.firm.without_tax == D("119.00") + D(charge)


def test_supplies_say_that_they_are_capped_only_where_the_cap_took_something_off():
    def reason(cap):
        return priced(how=terms(supplies_percent=D("3"), supplies_cap=D(cap))).charges[0].reason

    assert reason("1.79") == "Shop supplies, 3 % of labour, capped"
    assert reason("1.80") == "Shop supplies, 3 % of labour"


def test_supplies_follow_the_labour_that_an_option_adds():
    # belt: labour 60.00 -> 78.00, supplies 10 %: 6.00 -> 7.80; 18.00 + 1.80 + 25.00 = 44.80 x 1.2
    assert adds(priced(how=terms(supplies_percent=D("10"))))["belt-replace@engine"] == D("53.76")


def test_once_the_cap_is_reached_more_labour_adds_no_more_supplies():
    how = terms(supplies_percent=D("10"), supplies_cap=D("6.00"))
    assert adds(priced(how=how))["belt-replace@engine"] == D("51.60")


def test_a_fee_is_charged_once_on_the_document_and_taxed_as_a_fee():
    how = terms(fees=(("oil", "Disposal of oil", D("6.50")),), taxes={"fees": ("vat",)})
    estimate = priced(how=how)
    assert [(c.reason, c.amount) for c in estimate.charges] == [("Disposal of oil", D("6.50"))]
    assert (estimate.firm.without_tax, estimate.firm.tax_sum) == (D("125.50"), D("1.30"))


def test_a_deposit_is_a_line_of_its_own_under_its_own_tax():
    how = terms(taxes={"labour": ("vat",), "parts": ("vat",)})
    estimate = priced([found("relay", ENGINE)], how=how, deposit="12.00")
    relay = estimate.items[0].lines
    assert [(line.kind, line.net) for line in relay] == [
        ("labour", D("6.00")), ("part", D("35.00")), ("deposit", D("12.00")),
    ]  # fmt: skip
    # 8 minutes -> 0.1 h 6.00; 41.00 taxed, the deposit not: 41.00 + 8.20 + 12.00
    assert estimate.firm.with_tax == D("61.20")


@pytest.mark.parametrize(
    ("currency", "rate", "prices", "firm"),
    [
        # 0 decimals: 57 min -> 1.0 h 6000; 2000 + 400 + 3000 + 5 x 100; 11900 + 2380
        ("JPY", "6000", ("2000", "400", "3000", "100"), "14280"),
        # 3 decimals: 6.000; 2.001 + 0.400 + 3.000 + 5 x 0.101 = 5.906; 11.906 + 2.3812 -> 2.381
        ("KWD", "6.000", ("2.001", "0.400", "3.000", "0.101"), "14.287"),
    ],
)
def test_currencies_of_no_and_of_three_decimals(currency, rate, prices, firm):
    how = terms(currency=currency, labour_rate=D(rate))
    cost = dict(zip(("heater", "grease", "gasket", "screw"), prices, strict=True))
    cost |= {"reamer": "1", "insert": "1"}
    assert priced([found("heater", ONE)], how=how, prices=cost).firm.with_tax == D(firm)


def documents(labour_minutes: int, prices: dict[str, str], how) -> Plan:
    """Items of nothing but a part each, and one of labour, so that published totals can be put through."""
    items = [
        Item(code, "firm", code, (), (), (NeedAt(code, code, 1, ENGINE, "required"),)) for code in prices
    ]
    if labour_minutes:
        task = Task("work", "work", "work", ENGINE, labour_minutes, frozenset(), (), ())
        items.append(Item("work", "firm", "work", (), (task,)))
    plan = Plan(tuple(items), {}, (), ())
    needs = [n for item in items for n in item.extras]
    shop = whole_market(prices, currency=how.currency)
    return price(plan, resolve(needs, {}, [], shop, FACTS, V4, how), how)


def test_published_invoice_totals_with_a_charge_on_the_document():
    """EN 16931 example guide-example3 (CEN/TC 434, ubl/examples): two lines of 400.00, a charge of 100.00,
    25 %: 800.00, 900.00, tax 225.00, 1125.00."""
    how = terms(
        currency="DKK", rates={"vat": TaxRate("vat", "VAT", D("25"), "S")},
        fees=(("freight", "Freight", D("100.00")),),
    )  # fmt: skip
    firm = documents(0, {"one": "400.00", "two": "400.00"}, how).firm
    assert (firm.line_sum, firm.without_tax, firm.tax_sum, firm.with_tax) == (
        D("800.00"), D("900.00"), D("225.00"), D("1125.00"),
    )  # fmt: skip


def test_published_invoice_totals_with_two_rates():
    """EN 16931 example ubl-tc434-example5: 1500.00 at 25 % and 2500.00 at 12 % (its allowance of 150.00 and
    charge of 150.00 cancel out): tax 375.00 + 300.00 = 675.00, total 4675.00."""
    rates = {"high": TaxRate("high", "25", D("25"), "S"), "low": TaxRate("low", "12", D("12"), "S")}
    how = terms(labour_rate=D("1500.00"), rates=rates, taxes={"labour": ("high",), "parts": ("low",)})
    firm = documents(60, {"part": "2500.00"}, how).firm
    assert firm.line_sum == D("4000.00")
    assert {t.rate.key: t.amount for t in firm.tax} == {"high": D("375.00"), "low": D("300.00")}
    assert (firm.tax_sum, firm.with_tax) == (D("675.00"), D("4675.00"))


# Contingent work


def test_what_only_an_option_may_lead_to_is_not_in_the_ceiling():
    # nothing firm but the relay: 8 min -> 0.1 h 6.00 + 35.00 = 41.00 x 1.2
    estimate = priced([found("relay", ENGINE), found("heater", ONE, "advisory")])
    assert estimate.firm.with_tax == estimate.ceiling.with_tax == D("49.20")
    assert estimate.options.with_tax > estimate.ceiling.with_tax


def test_once_the_option_is_taken_in_what_it_may_lead_to_is_in_the_ceiling():
    findings = [found("relay", ENGINE), found("heater", ONE, "advisory")]
    taken = priced(findings, included=["heater-replace@1"])
    # 57 + 8 = 65 -> 1.1 h 66.00, + 105 = 170 -> 2.8 h 168.00; parts 94.00, + 49.00
    assert taken.firm.with_tax == D("192.00")
    assert taken.ceiling.with_tax == D("373.20")


def test_a_chain_of_risks_is_in_the_ceiling_to_its_end():
    keys = [one.item.key for one in priced().group("contingent")]
    assert keys == ["heater-extract@1", "thread-repair@1"]
    assert priced().ceiling.with_tax == D("324.00")


# What has no price, or is not sure yet


def test_a_need_without_an_answer_is_a_problem_even_in_an_option():
    plan = derive(book(), FINDINGS, [])
    prices = {"heater": "20.00", "grease": "4.00", "gasket": "30.00", "screw": "1.00", "clip": "1.50"}
    estimate = price(plan, supplies_for(plan, terms(), prices), terms())
    assert sorted(estimate.problems) == [
        "no belt in the catalogue fits the engine of this Small V4",
        "no insert in the catalogue fits cylinder 1 of this Small V4",
        "no reamer in the catalogue fits cylinder 1 of this Small V4",
    ]


def test_a_line_to_be_confirmed_says_so_with_the_candidates_and_the_span():
    relays = {
        "relay": (
            fits(part(1, "relay"), "engine", options=(("plug", "2-way"),)),
            fits(part(2, "relay"), "engine", options=(("plug", "4-way"),)),
        )
    }
    plan = derive(book(), [found("relay", ENGINE)], [])
    needs = list(plan.items[0].tasks[0].needs)
    shop = market(relays, (offer(1, "30.00"), offer(2, "35.00")))
    estimate = price(plan, resolve(needs, {}, [], shop, FACTS, V4, terms()), terms())
    line = estimate.items[0].lines[1]
    assert (line.net, line.to_confirm) == (D("35.00"), "the heater plug")
    assert line.note == (
        "To be confirmed: which part fits needs the heater plug. Orlin OR-1 or Orlin OR-2, between 30.00 EUR "
        "and 35.00 EUR each, priced here at the dearest."
    )


def test_a_bundle_makes_a_line_for_each_of_its_parts():
    plan = derive(book(), [found("relay", ENGINE)], [])
    needs = list(plan.items[0].tasks[0].needs)
    shop = market(
        {"relay": (fits(part(1, "relay"), "engine"),)}, (offer(8, "30.00"), offer(9, "2.50")),
        {1: (((8, 1), (9, 2)),)}, (part(8, "relay"), part(9, "terminal")),
    )  # fmt: skip
    estimate = price(plan, resolve(needs, {}, [], shop, FACTS, V4, terms()), terms())
    assert [(line.text, line.quantity, line.net) for line in estimate.items[0].lines[1:]] == [
        ("relay", 1, D("30.00")), ("terminal", 2, D("5.00")),
    ]  # fmt: skip


def test_nothing_to_do_costs_nothing():
    assert (priced([]).items, priced([]).firm.with_tax) == ((), D("0.00"))


def test_a_fee_comes_with_the_first_work_so_that_nothing_firm_costs_nothing():
    estimate = priced([found("belt", ENGINE, "advisory")], how=terms(fees=(("oil", "Disposal", D("6.50")),)))
    assert estimate.firm.with_tax == D("0.00")
    # 20 min -> 0.3 h 18.00, belt 25.00, disposal 6.50: 49.50 x 1.2
    assert adds(estimate)["belt-replace@engine"] == D("59.40")


def test_tests_on_the_other_bank_are_priced_with_their_own_cover():
    estimate = priced([found("heater", ONE)], [TestDone("resistance", THREE)])
    # 57 + 5 + 30 = 92 -> 1.5 h
    assert estimate.labour.amount == D("90.00")
    assert {line.text for one in estimate.items for line in one.lines} >= {"gasket, banks A and B"}


def test_every_amount_is_exact():
    estimate = priced()
    amounts = [line.net for one in estimate.items for line in one.lines] + [estimate.firm.with_tax]
    assert all(isinstance(amount, Decimal) for amount in amounts)
