"""What was stored although it contradicts itself leaves only its own part open; most of it is refused."""

from datetime import date

import pytest
from django.db import IntegrityError, connection, transaction

from catalog.models import Application, ApplicationOption, EngineOption, EngineOptionValue, Part, SerialScheme
from catalog.queries import candidates, family_card
from catalog.rules.fitment import DateInterval, UnitFacts, judge, sentence
from estimates.models import Customer, Unit, UnitOption
from tests.web.shelf import Shelf, stock

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("database")]


@pytest.fixture
def shelf(db: None) -> Shelf:
    found = stock()
    for number in ("GX-1", "GX-2"):
        found.fits(found.part(number), {found.connector: "9-way"}, serial_from="HA000500")
    return found


def verdicts(shelf: Shelf) -> dict[str, tuple[str, str]]:
    """By part number, outcome and sentence for an engine of which everything is known."""
    family = family_card(shelf.family.code)
    facts = UnitFacts(
        family.code, DateInterval.from_text("2015-06-01"), "HA000700", {shelf.connector.code: "9-way"}
    )
    found = candidates(family.code, [shelf.heater.code])[shelf.heater.code]
    told = {each.part.number: judge(each.rules, facts, family.scheme) for each in found}
    return {number: (verdict.outcome, sentence(verdict)) for number, verdict in told.items()}


def store_past_the_constraint(**fields: object) -> None:
    rows = Application.objects.filter(part__number="GX-1")
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA ignore_check_constraints = ON")
            try:
                rows.update(**fields)
            finally:
                cursor.execute("PRAGMA ignore_check_constraints = OFF")
    else:
        with connection.cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            for name in ("application_built_from_before_until", "application_quantity_positive"):
                cursor.execute(f"ALTER TABLE catalog_application DROP CONSTRAINT {name}")
        rows.update(**fields)


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"built_from": date(2015, 2, 1), "built_until": date(2015, 1, 1)}, "give the earlier day first"),
        ({"quantity": 0}, "0 is too few"),
    ],
)
def test_a_rule_that_contradicts_itself_leaves_only_its_own_part_open(shelf: Shelf, fields, words):
    store_past_the_constraint(**fields)
    found = verdicts(shelf)
    assert found["GX-1"][0] == "cannot tell"
    assert "application orlin/GX-1/hg-v4/1 put right in the catalogue" in found["GX-1"][1]
    assert words in found["GX-1"][1]
    assert found["GX-2"][0] == "fits"


def test_a_serial_limit_that_a_changed_scheme_cannot_read_leaves_its_part_open(shelf: Shelf):
    Application.objects.filter(part__number="GX-1").update(serial_from="XX000001")
    found = verdicts(shelf)
    assert found["GX-1"][0] == "cannot tell"
    assert (
        "application orlin/GX-1/hg-v4/1 ('XX000001' does not follow the serial scheme hg" in found["GX-1"][1]
    )
    assert found["GX-2"][0] == "fits"


def test_a_scheme_that_contradicts_itself_leaves_open_what_asks_for_a_serial_number(shelf: Shelf):
    shelf.fits(shelf.part("GX-3"))
    SerialScheme.objects.update(prefixes="HA HA")
    assert {number: found[0] for number, found in verdicts(shelf).items()} == {
        "GX-1": "cannot tell",
        "GX-2": "cannot tell",
        "GX-3": "fits",
    }


def refused(write, message: str) -> None:
    with pytest.raises(IntegrityError, match=message), transaction.atomic():
        write()


def test_an_application_asks_only_for_values_the_option_has_whatever_the_path(shelf: Shelf):
    rule = Application.objects.get(part__number="GX-1")
    other = EngineOption.objects.create(family=shelf.family, code="feed", name="the feed")
    asks = {"application": rule, "option": other, "value": "two-wire"}
    says = "only ask for a value that the option has"
    refused(lambda: ApplicationOption.objects.create(**asks), says)
    refused(lambda: ApplicationOption.objects.bulk_create([ApplicationOption(**asks)]), says)
    refused(lambda: ApplicationOption.objects.update(value="9 way"), says)
    EngineOptionValue.objects.create(option=other, value="two-wire")
    ApplicationOption.objects.create(**asks)


def test_a_value_stays_while_an_application_or_a_machine_names_it(shelf: Shelf):
    customer = Customer.objects.create(number="C-1", name="Marten Farm")
    unit = Unit.objects.create(number="U-1", customer=customer, name="Baler", family=shelf.family)
    UnitOption.objects.create(unit=unit, option=shelf.connector, value="5-way")
    for value, who in (("9-way", "an application"), ("5-way", "a machine on record")):
        rows = EngineOptionValue.objects.filter(value=value)
        refused(lambda rows=rows: rows.update(value="other"), f"{who} names this option value")
        refused(rows.delete, f"{who} names this option value")
    ApplicationOption.objects.all().delete()
    assert EngineOptionValue.objects.filter(value="9-way").delete()[0] == 1


@pytest.mark.parametrize(
    "number",
    # 06291041500213: the worked example of GS1's check-digit page, padded
    ["06291041500214", "6291041500213", "0629104150021X", "              ", "16291041500213"],
)
def test_a_wrong_gtin_is_refused_past_every_form(shelf: Shelf, number):
    Part.objects.filter(number="GX-1").update(gtin="06291041500213")
    refused(lambda: Part.objects.filter(number="GX-1").update(gtin=number), "check figure at the end")


def test_a_saved_part_has_its_gtin_padded(shelf: Shelf):
    part = shelf.part("GX-9", gtin="6291041500213")
    part.refresh_from_db()
    assert part.gtin == "06291041500213"
