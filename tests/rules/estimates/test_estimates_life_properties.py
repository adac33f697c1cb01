"""What happens to an estimate after it is issued, at random: it hashes again to its hash, any choice prices
from the kept document as from the living one, and what changed adds up.

Worlds and documents are made from one drawn number (see priced_world); each test looks at everything that
must hold in it.
"""

import hashlib
import json
from decimal import Decimal
from random import Random
from typing import Any

import pytest
import rfc8785
from hypothesis import given, settings
from hypothesis import strategies as st

from estimates.documents.changes import changes_content
from estimates.issuing import freeze
from estimates.rules.authorised import hold
from estimates.rules.choosing import Offered
from estimates.rules.difference import difference
from estimates.rules.pricing import Priced
from estimates.rules.sheet_kept import sheet_content, sheet_from
from shop.rules.errors import Refused
from tests.profiles import PROVEN
from tests.rules.estimates.priced_world import World, world

seeds = st.integers(0, 2**63)
proven = settings(max_examples=PROVEN)


def document_of(case: World, priced: Priced) -> dict[str, Any]:
    """As much of a document as is decided on."""
    return {
        "currency": case.how.currency,
        "groups": {
            group: [
                {
                    "key": one.item.key,
                    "title": one.item.title,
                    "where": "",
                    "done": one.item.done,
                    "adds": None if one.adds is None else str(one.adds),
                }
                for one in priced.group(group)
            ]
            for group in ("firm", "contingent", "optional")
        },
        "sheet": sheet_content(priced.sheet),
    }  # fmt: skip


@proven
@given(seeds)
def test_any_choice_from_the_kept_document_comes_to_what_the_living_estimate_says(seed):
    case, random = world(seed), Random(seed)
    priced = case.priced()
    kept = json.loads(json.dumps(document_of(case, priced)))
    suppliers = {card.supplier for cards in case.shop.offers.values() for card in cards}
    assert not suppliers & set(json.dumps(kept["sheet"]).split('"'))
    offer, living = Offered(kept), priced.sheet
    ticked = [item.key for item in offer.items if random.random() < 0.6]
    stray = {item.key for item in offer.not_arising(ticked)}
    if stray:
        with pytest.raises(Refused) as refusal:
            offer.choose(ticked)
        assert len(refusal.value.faults) == len(stray)
    ticked = [key for key in ticked if key not in stray]
    choice = offer.choose(ticked)
    expected = living.price([*offer.done, *ticked])
    assert (choice.totals, choice.agreed) == (expected.totals, expected.with_tax)
    firm = [item.item.key for item in priced.group("firm") if item.item.key in living.items]
    assert sheet_from(kept["sheet"]).price(firm).totals == priced.firm
    assert choice.ceiling >= choice.agreed
    # Nothing changed since: exactly what is sure was authorised, and the work comes to that.
    held = hold(living, offer.done, ticked, living)
    assert held.work.with_tax == held.authorised.with_tax == choice.sure


def random_document(random: Random, revision: int) -> dict[str, Any]:
    """Items and lines of random amounts in random groups; the firm total is that of the firm items."""

    def amount() -> Decimal:
        return Decimal(random.randint(-20_000, 90_000)).scaleb(-2)

    groups: dict[str, list[dict[str, Any]]] = {"firm": [], "contingent": [], "optional": []}
    for key in random.sample("abcdef", random.randint(0, 6)):
        lines = [
            {
                "key": f"{key}/{kind}@{random.choice('123')}/0",
                "kind": "part",
                "text": kind,
                "quantity": str(random.randint(1, 3)),
                "net": str(amount()),
                "minutes": None,
                "part": None,
            }
            for kind in random.choices(["heater", "gasket", "screw"], k=random.randint(0, 4))
        ]
        lines = list({line["key"]: line for line in lines}.values())
        net = str(sum((Decimal(line["net"]) for line in lines), Decimal("0.00")))
        item = {"key": key, "title": key, "where": random.choice(["", "bank A"]), "net": net, "lines": lines}
        groups[random.choice(sorted(groups))].append(item)
    charges, allowances = (
        [{"key": key, "reason": key, "amount": str(abs(amount()))} for key in "xy" if random.random() < 0.5]
        for _ in range(2)
    )
    firm = sum((Decimal(item["net"]) for item in groups["firm"]), Decimal(0))
    firm += sum(Decimal(one["amount"]) for one in charges)
    firm -= sum(Decimal(one["amount"]) for one in allowances)
    return {
        "number": "E-J1", "revision": revision, "currency": "EUR", "valid_until": "2026-04-01",
        "groups": groups, "charges": charges, "allowances": allowances,
        "totals": {"firm": {"with_tax": str(firm), "without_tax": str(firm)}},
    }  # fmt: skip


@proven
@given(seeds)
def test_what_changed_adds_up_from_line_to_item_to_total(seed):
    random = Random(seed)
    before, now = random_document(random, 1), random_document(random, 2)
    changes = difference(before, now)
    for item in changes.items:
        assert sum((line.by for line in item.lines), Decimal(0)) == item.by
    firm = sum(
        (item.after or 0 if item.group_now == "firm" else 0)
        - (item.before or 0 if item.group_before == "firm" else 0)
        for item in changes.items
    )
    on_the_whole = sum(charge.by for charge in changes.charges)
    (total,) = changes.totals
    assert firm + on_the_whole == total.without_tax_now - total.without_tax_before == total.by
    back = difference(now, before)
    assert {i.key: -i.by for i in back.items} == {i.key: i.by for i in changes.items}
    same = difference(now, {**now, "revision": 3})
    assert (same.items, same.charges) == ((), ())
    assert changes_content(before, now)["same"] == changes.same


def random_value(random: Random, deep: int) -> Any:
    kind = random.randint(0, 5 if deep else 3)
    if kind == 0:
        return random.choice([None, True, False])
    if kind == 1:
        return random.randint(-(2**53) + 1, 2**53 - 1)
    if kind < 4:
        # Every plane, controls and quotes included; a lone surrogate is no text.
        code = [random.choice([random.randint(0, 0x7F), random.randint(0xE000, 0x10FFFF)]) for _ in range(5)]
        return "".join(map(chr, code))
    if kind == 4:
        return [random_value(random, deep - 1) for _ in range(random.randint(0, 4))]
    return {f"{random_value(random, 0)}": random_value(random, deep - 1) for _ in range(random.randint(0, 4))}


def shuffled(value: Any, random: Random) -> Any:
    """The same JSON with the members of every object in another order."""
    if isinstance(value, dict):
        keys = random.sample(list(value), len(value))
        return {key: shuffled(value[key], random) for key in keys}
    return [shuffled(one, random) for one in value] if isinstance(value, list) else value


@proven
@given(seeds)
def test_an_issued_document_hashes_again_to_its_stored_hash_in_whatever_order_it_is_held(seed):
    random = Random(seed)
    document = {str(number): random_value(random, 3) for number in range(6)}
    frozen = freeze(document)
    again = freeze(shuffled(json.loads(frozen.canonical), random))
    assert (again.canonical, again.sha256) == (frozen.canonical, frozen.sha256)
    assert hashlib.sha256(frozen.canonical).hexdigest() == frozen.sha256


def test_the_canonical_form_is_that_of_the_standard():
    """RFC 8785 (JSON Canonicalization Scheme), the example of sections 3.2.2 to 3.2.4."""
    document = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    assert rfc8785.dumps(document).decode() == (
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"\u20ac$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )
