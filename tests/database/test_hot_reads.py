"""Every read that is written as SQL says what the live query set says, and says something, on both databases.

The demonstration catalogue, with rows beside it for what it does not have: a rule of two options, exclusions,
an older and an ended offer, breaks, a blocked supplier, amounts without a short decimal form, and parts of
one group that lend each other their applications.
"""

import itertools
from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from catalog import queries
from catalog.actions import import_pack
from catalog.hot.fits import fitting
from catalog.models import (
    Application,
    ApplicationOption,
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    InterchangeGroup,
    InterchangeMember,
    Offer,
    Part,
    PartType,
    Position,
    PriceBreak,
    PriceFile,
    Replacement,
    Stock,
    Supplier,
)
from catalog.rules.fitment import DateInterval, UnitFacts
from catalog.rules.interchange import judge_with_interchange
from catalog.rules.replacement import current
from tests.database import live_reads as live

pytestmark = pytest.mark.django_db
DAY = date(2026, 1, 15)
FACTS = [
    UnitFacts("fell-8", DateInterval.from_text(built), serial, options)
    for built in ("", "2014", "2016-05-01", "2023")
    for serial in (None, "FB004711", "17")
    for options in ({}, {"heater-connector": "9-way"})
]


@pytest.fixture(scope="module")
def shelf(database: str, django_db_setup: None, django_db_blocker: Any) -> Iterator[None]:
    """Loaded once for each database, then rolled back."""
    with django_db_blocker.unblock(), transaction.atomic():
        import_pack(Path(__file__).resolve().parents[2] / "fixtures" / "demo")
        _beside()
        if database == "postgresql":  # it would take every table for an empty one
            with connection.cursor() as cursor:
                cursor.execute("ANALYZE")
        yield
        transaction.set_rollback(True)


def _beside() -> None:
    family = EngineFamily.objects.get(code="fell-8")
    kind = PartType.objects.get(code="glow-plug")
    brand = Part.objects.filter(part_type=kind)[0].brand
    parts = [
        Part.objects.create(
            brand=brand, number=f"H-{n}/x", part_type=kind, grade="equivalent",
            list_price=Decimal("1234567890.1234"), list_currency="EUR",
        )
        for n in range(6)
    ]  # fmt: skip
    options = [EngineOption.objects.create(family=family, code=f"h-{n}", name=f"option {n}") for n in "ba"]
    place = Position.objects.get(family=family, code="3")
    two = Application.objects.create(part=parts[0], family=family, scope="cylinder", position=place)
    for option in options:
        EngineOptionValue.objects.create(option=option, value="yes")
        ApplicationOption.objects.create(application=two, option=option, value="yes")
    Application.objects.create(part=parts[0], family=family, scope="cylinder", ordinal=2, quantity=2)
    Application.objects.create(
        part=parts[1], family=family, scope="cylinder", built_from=date(2015, 1, 1), serial_until="FB200000"
    )
    Application.objects.create(
        part=parts[2], family=family, scope="engine", polarity="excludes", built_until=date(2015, 1, 1)
    )
    group = InterchangeGroup.objects.create(code="h", part_type=kind, name="alike")
    for part in parts[1:4]:
        InterchangeMember.objects.create(group=group, part=part)
    supplier = Supplier.objects.exclude(blocked=True)[0]
    blocked = Supplier.objects.create(code="h-blocked", name="h", currency="EUR", blocked=True)
    distant = Supplier.objects.create(
        code="h-yen", name="h", currency="JPY", freight=Decimal("0.1"), free_freight_from=Decimal("99999.99")
    )
    near = Supplier.objects.create(code="h-near", name="h", currency=supplier.currency)
    for seller, part, price, since, until in (
        (supplier, 0, "3", date(2025, 1, 1), None),  # a whole amount, which SQLite keeps as a whole number
        (near, 0, "2.5", date(2025, 1, 1), None),
        (supplier, 1, "9.99", date(2025, 1, 1), None),
        (supplier, 1, "0.0001", date(2025, 6, 1), None),
        (supplier, 1, "1.11", DAY.replace(day=16), None),
        (supplier, 3, "2.22", date(2025, 1, 1), DAY.replace(day=14)),
        (supplier, 3, "3.30", date(2024, 1, 1), DAY),
        (blocked, 1, "0.01", date(2025, 1, 1), None),
        (distant, 1, "700", date(2025, 1, 1), None),
    ):
        offer = Offer.objects.create(
            supplier=seller,
            part=parts[part],
            price=Decimal(price),
            valid_from=since,
            valid_until=until,
            pack=3,
        )
        for quantity in (20, 10):
            PriceBreak.objects.create(offer=offer, quantity_from=quantity, price=Decimal("0.07") / 7)
    for seller, since, complete in (
        (supplier, date(2025, 2, 1), True),
        (supplier, date(2025, 3, 1), True),
        (supplier, date(2025, 12, 1), False),
        (distant, date(2025, 4, 1), False),
    ):
        PriceFile.objects.create(
            supplier=seller, name="h", sha256="0", valid_from=since, complete=complete, at=timezone.now()
        )
    Replacement.objects.create(old=parts[4], new=parts[5], quantity=1, both_ways=True)
    Replacement.objects.create(old=parts[5], new=parts[1], quantity=2, valid_from=date(2024, 1, 1))


def ids() -> list[int]:
    return list(Part.objects.values_list("pk", flat=True))


@pytest.mark.parametrize("codes", [None, ["fell-8"], ["odde-6", "fell-4", "nobody"]], ids=str)
def test_families(shelf, codes):
    found = queries.family_cards(codes)
    assert found
    assert found == live.family_cards(codes)


def test_parts_by_id_and_by_number(shelf):
    cards = live.part_cards(ids())
    assert cards
    assert queries.part_cards(ids()) == cards
    keys = [(part.brand.code, part.normalised) for part in Part.objects.select_related("brand")]
    crossed = [(brand, other) for (brand, _), (_, other) in itertools.pairwise(keys)]
    found = queries.parts_by_number([*keys, *crossed])
    assert len(found) >= len(keys)
    assert found == live.parts_by_number({*keys, *crossed})


def test_candidates_of_one_family(shelf):
    types = list(PartType.objects.values_list("code", flat=True))
    for family in EngineFamily.objects.values_list("code", flat=True):
        found = queries.candidates(family, types)
        assert any(found.values())
        assert found == live.candidates(family, types)


def test_rules_of_parts(shelf):
    families = list(EngineFamily.objects.values_list("code", flat=True))
    found = queries.rules_of_parts(ids(), families)
    assert found
    assert found == live.rules_of_parts(ids(), families)
    assert any(len(rule.options) == 2 for rules in found.values() for rule in rules)


@pytest.mark.parametrize("day", [date(2020, 1, 1), DAY.replace(day=14), DAY, DAY.replace(day=16)], ids=str)
def test_offers(shelf, day):
    found = queries.offers_on(ids(), day)
    assert found or day.year == 2020
    assert found == live.offers_on(ids(), day)
    told = {offer.confirmed_on for offers in found.values() for offer in offers}
    assert told == ({None, date(2025, 3, 1)} if found else set())
    amounts = [str(offer.price) for offers in live.offers_on(ids(), day).values() for offer in offers]
    assert [str(offer.price) for offers in found.values() for offer in offers] == amounts


def test_no_offer_of_a_later_day_is_given_whatever_the_database_knows_of_its_rows(shelf):
    """SQLite 3.40.1 gives some from the index of supplier, part and first day, once it has statistics."""
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
        for part in [*ids()[:1], *ids()]:
            assert queries.offers_on([part], date(2020, 1, 1)) == {}
        assert queries.offers_on(ids(), date(2020, 1, 1)) == {}
        assert queries.every_offer_on(ids(), date(2020, 1, 1)) == {}
        transaction.set_rollback(True)


def test_offers_of_blocked_suppliers_come_along_where_asked_for(shelf):
    found = queries.every_offer_on(ids(), DAY)
    assert found == live.offers_on(ids(), DAY, supplier__blocked__in=[True, False])
    told = {(offer.blocked, offer.preferred) for offers in found.values() for offer in offers}
    assert {blocked for blocked, _ in told} == {True, False}


def test_the_shelf_is_an_offer_of_no_supplier_that_is_there_at_once(shelf):
    first = Part.objects.order_by("pk")[0]
    Stock.objects.create(part=first, quantity=3, unit_cost="17.1000", currency="EUR")
    Stock.objects.create(part=Part.objects.order_by("pk")[1], quantity=0, unit_cost="1", currency="EUR")
    ((part, (pieces, offer)),) = queries.on_the_shelf(ids(), DAY).items()
    assert (part, pieces) == (first.pk, 3)
    assert (offer.supplier, str(offer.price), offer.lead_days) == ("", "17.1000", 0)


def test_replacements(shelf):
    found = queries.replacements_from(ids())
    assert found
    assert found == live.replacements()
    for part in ids():
        chain = current(str(part), queries.replacements_from([part]), DAY)
        assert chain == current(str(part), live.replacements(), DAY)


def test_nothing_asked_is_nothing_found(shelf):
    assert queries.part_cards([]) == queries.offers_on([], DAY) == queries.parts_by_number([]) == {}
    assert queries.rules_of_parts([], ["fell-8"]) == queries.candidates_of([]) == {}
    assert queries.candidates("fell-8", []) == queries.family_cards([]) == {}


@pytest.mark.parametrize("place", [None, "engine", "3", "A"])
def test_parts_that_fit_are_those_that_each_rule_says_fit(shelf, place):
    """Against the rules for every part of the type by itself, over many ways of knowing the engine."""
    family = live.family_cards(["fell-8"])["fell-8"]
    position = family.position(place) if place else None
    fitted = 0
    for facts in Random(4).sample(FACTS, 8):
        answer = fitting(family, "glow-plug", facts, DAY, 7, position)
        found = {fit.part.id: "fits" for fit in answer.fitting}
        found |= {row.part.id: "cannot tell" for row in answer.undecided}
        expected = dict(_each(family, facts, position))
        assert found == {part: v.outcome for part, v in expected.items() if v.outcome != "does not fit"}
        assert {row.part.id: row.verdict for row in answer.undecided} == {
            part: verdict for part, verdict in expected.items() if verdict.outcome == "cannot tell"
        }
        for fit in answer.fitting:
            assert (fit.quantity, fit.alike) == (
                expected[fit.part.id].quantity,
                expected[fit.part.id].by_interchange,
            )
            costs = {(offer.currency, offer.cost) for offer in fit.offers}
            assert costs == _least(fit.part.id)
            fitted += 1
    assert fitted or place in ("engine", "A")


def _each(family: Any, facts: UnitFacts, position: Any) -> Iterator[tuple[int, Any]]:
    parts = Part.objects.filter(part_type__code="glow-plug").select_related("brand", "part_type")
    rules = live.rules_of_parts([part.pk for part in parts], ["fell-8"])
    for part in parts:
        others = InterchangeMember.objects.filter(group__members__part=part).exclude(part=part)
        lenders = {
            str(member.part): rules.get((member.part_id, "fell-8"), ())
            for member in others.select_related("part__brand").order_by("part_id")
        }
        yield part.pk, judge_with_interchange(
            rules.get((part.pk, "fell-8"), ()), lenders, facts, family.scheme,
            position=position.code if position else None, scope=position.scope if position else None,
            option_names=family.option_names, bank_of=family.bank_of,
        )  # fmt: skip


def _least(part: int) -> set[tuple[str, Decimal]]:
    costs: dict[str, Decimal] = {}
    for offer in live.offers_on([part], DAY).get(part, ()):
        costs[offer.currency] = min(costs.get(offer.currency, offer.cost(7)), offer.cost(7))
    return set(costs.items())


def test_parts_that_fit_are_found_in_at_most_three_statements(shelf):
    family = live.family_cards(["fell-8"])["fell-8"]
    with CaptureQueriesContext(connection) as asked:
        fitting(family, "glow-plug", FACTS[0], DAY)
    assert len(asked) == 3
