"""The counter: three answers with their reasons, and what would decide an open one."""

import re
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalog.models import InterchangeGroup, InterchangeMember, Offer, PriceFile, Replacement, Spec, Supplier
from shop.models import Workshop
from tests.web.shelf import Shelf, ready_shelf

HEATERS = {"family": "hg-v4", "type": "glow-plug"}


@pytest.fixture
def shelf(db: None) -> Shelf:
    return ready_shelf()


def ask(client: Client, headers: dict[str, str] | None = None, **question: str):
    response = client.get(reverse("counter"), question, headers=headers)
    assert response.status_code == 200
    return response


def verdicts(response) -> dict[str, str]:
    return {a.part.number: a.verdict.outcome for a in response.context["reply"].answers if a.verdict}


def test_without_the_connector_it_cannot_be_told_and_the_connector_is_asked_for(colleague, shelf):
    response = ask(colleague, **HEATERS)
    assert verdicts(response) == {
        "GX-0910": "fits", "GX-1042/B": "cannot tell", "GX-1043": "cannot tell",
    }  # fmt: skip
    asked = [fact["name"] for fact in response.context["to_find_out"]]
    assert asked == ["option-heater-connector"]
    page = response.content.decode()
    assert '<button type="submit" class="quiet button" name="option-heater-connector" value="9-way">' in page
    assert "that needs the heater connector" in page


def test_with_the_connector_known_every_answer_is_settled(colleague, shelf):
    response = ask(colleague, **HEATERS, **{"option-heater-connector": "9-way"})
    assert verdicts(response) == {"GX-1042/B": "fits", "GX-0910": "fits", "GX-1043": "does not fit"}
    assert response.context["to_find_out"] == []


def test_a_number_is_found_in_any_spelling_and_shown_in_the_brands_own(colleague, shelf):
    response = ask(colleague, number="gx 1042-b", family="hg-v4")
    assert list(verdicts(response)) == ["GX-1042/B"]
    assert "Orlin GX-1042/B" in response.content.decode()


def test_a_number_alone_says_what_it_is_listed_for_and_is_not_judged(colleague, shelf):
    response = ask(colleague, number="GX1043")
    (answer,) = response.context["reply"].answers
    assert answer.verdict is None
    assert [family.name for family in answer.listed_for] == ["Harrowgate V4"]


def test_an_old_number_leads_to_the_part_of_today(colleague, shelf):
    response = ask(colleague, number="GX-0900", family="hg-v4")
    assert verdicts(response) == {"GX-0900": "does not fit", "GX-0910": "fits"}
    assert "Orlin GX-0900 was replaced by Orlin GX-0910" in response.content.decode()


def test_a_replacement_from_tomorrow_on_is_not_followed_today(colleague, shelf):
    Replacement.objects.update(valid_from=timezone.localdate() + timedelta(days=1))
    assert list(verdicts(ask(colleague, number="GX-0900", family="hg-v4"))) == ["GX-0900"]


def test_old_stock_that_serves_alike_is_named_with_the_reason(colleague, shelf):
    group = InterchangeGroup.objects.create(code="g", part_type=shelf.heater, name="G")
    for number in ("GX-1043", "GX-0910"):
        InterchangeMember.objects.create(group=group, part=shelf.parts[number])
    kept = shelf.part("GX-0800")
    Replacement.objects.create(
        old=kept, new=shelf.parts["GX-0910"], both_ways=True, valid_from=date(2020, 3, 1)
    )
    (answer,) = ask(colleague, number="GX-1043", family="hg-v4").context["reply"].answers
    assert [stock.part.number for stock in answer.old_stock] == ["GX-0910", "GX-0800"]
    assert "both ways since 1 March 2020" in answer.old_stock[1].text


def test_a_part_without_an_application_of_its_own_is_judged_by_what_serves_alike(colleague, shelf):
    group = InterchangeGroup.objects.create(code="g", part_type=shelf.heater, name="G")
    unlisted = shelf.part("QZ-77")
    for part in (unlisted, shelf.parts["GX-0910"]):
        InterchangeMember.objects.create(group=group, part=part)
    by_number = ask(colleague, number="QZ-77", family="hg-v4")
    assert verdicts(by_number) == {"QZ-77": "fits"}
    assert "what is listed for Orlin GX-0910, which serves alike" in by_number.content.decode()
    assert verdicts(ask(colleague, **HEATERS))["QZ-77"] == "fits"


def test_while_it_is_open_the_page_says_what_to_tell_a_customer(colleague, shelf):
    page = ask(colleague, number="GX-1043", family="hg-v4").content.decode()
    assert "To tell a customer meanwhile: fits if" in page


@pytest.mark.parametrize("typed", ["GX1O42B", "GX142B", "GX10042B", "GX1024B", "GX-10"])
def test_a_number_with_one_slip_or_only_its_beginning_brings_near_numbers(colleague, shelf, typed):
    response = ask(colleague, number=typed)
    assert "reply" not in response.context
    assert "Orlin GX-1042/B" in [hit.label for _, hit, _ in response.context["found"]]


def test_a_number_like_nothing_on_record_says_what_else_can_be_tried(colleague, shelf):
    assert "Try the beginning of the number" in ask(colleague, number="ZZZZZZZ").content.decode()


def test_a_vehicle_number_in_the_serial_field_is_called_what_it_is(colleague, shelf):
    # 1M8GDM9AXKP042788: a worked example of the check digit of 49 CFR 565.15, as in the rules' own tests
    response = ask(colleague, **HEATERS, serial="1M8GDM9AXKP042788")
    (error,) = response.context["form"].errors["serial"]
    assert "vehicle identification number" in error
    assert "HA" in error  # and what the engine's own number looks like


def offers_of(colleague, **question):
    return ask(colleague, number="GX1042B", family="hg-v4", **question).context["reply"].answers[0].offers


def test_offers_are_reckoned_landed_for_the_asked_pieces(colleague, shelf):
    # by hand: 3 pieces singly are 3 x 18.40 = 55.20;
    # in packs of 2 they are 4 x 15.90 = 63.60, and the deposit 4 x 2.50 = 10.00
    offers = offers_of(colleague, quantity="3")
    assert [
        (o.offer.supplier, o.landed.pieces, str(o.landed.goods), str(o.landed.deposit), str(o.landed.total))
        for o in offers
    ] == [("yard", 3, "55.2000", "0.0000", "55.2000"), ("depot", 4, "63.6000", "10.0000", "73.6000")]
    # the break: 8 x 12.00 = 96.00 against 8 x 15.90 + 8 x 2.50 = 147.20
    assert [str(o.landed.total) for o in offers_of(colleague, quantity="8")] == ["96.0000", "147.2000"]
    page = ask(colleague, number="GX1042B", family="hg-v4", quantity="8").content.decode()
    assert "96.00 EUR" in page
    assert "the price from 8" in page


@pytest.mark.parametrize(("pieces", "charged"), [(2, "9.50"), (3, "none"), (4, "none")])
def test_freight_is_charged_below_the_free_amount_and_changes_the_order(colleague, shelf, pieces, charged):
    yard = shelf.suppliers[1]
    yard.freight, yard.free_freight_from = Decimal("9.50"), Decimal("55.20")  # 3 x 18.40 exactly
    yard.save()
    page = ask(colleague, number="GX1042B", family="hg-v4", quantity=str(pieces)).content.decode()
    assert (f"{charged} EUR" if charged != "none" else "free from 55.20 EUR") in page
    freight = {o.offer.supplier: o.landed.freight for o in offers_of(colleague, quantity=str(pieces))}
    assert freight["yard"] == (Decimal("9.50") if charged != "none" else 0)


def test_the_soonest_come_first_where_that_is_chosen(colleague, shelf):
    assert [o.offer.supplier for o in offers_of(colleague, quantity="2")] == ["yard", "depot"]
    Offer.objects.filter(supplier=shelf.suppliers[0]).update(lead_days=0)
    offers = offers_of(colleague, quantity="2", order="soonest")
    assert [o.offer.supplier for o in offers] == ["depot", "yard"]
    assert [o.landed.arrival - timezone.localdate() for o in offers] == [timedelta(0), timedelta(1)]


def test_currencies_stand_apart_and_are_never_compared(colleague, shelf):
    far = Supplier.objects.create(code="far", name="Far Isle Parts", currency="JPY")
    Offer.objects.create(
        supplier=far, part=shelf.parts["GX-1042/B"], price=Decimal(1), valid_from=date(2020, 1, 1)
    )
    Workshop.objects.create(pk=1, name="Fenwick Bore Works", currency="EUR", labour_rate=Decimal(90))
    page = ask(colleague, number="GX1042B", family="hg-v4")
    (answer,) = page.context["reply"].answers
    assert [(currency, len(offers)) for currency, offers in answer.currencies] == [("EUR", 2), ("JPY", 1)]


@pytest.mark.parametrize(("age", "stale"), [(179, False), (180, False), (181, True)])
def test_a_price_is_called_stale_once_it_is_older_than_the_supplier_allows(colleague, shelf, age, stale):
    Offer.objects.update(valid_from=timezone.localdate() - timedelta(days=age))
    page = ask(colleague, number="GX1042B", family="hg-v4").content.decode()
    assert (f"<em>stale price</em>: {age} days old" in page) == stale


@pytest.mark.parametrize(("age", "stale"), [(180, ""), (181, "181 days old"), (999, "250 days old")])
def test_a_complete_price_file_states_once_more_what_it_leaves_as_it_is(colleague, shelf, age, stale):
    today = timezone.localdate()
    Offer.objects.update(valid_from=today - timedelta(days=250))
    for complete, days in ((True, age), (True, 1000), (False, 1)):
        PriceFile.objects.create(
            supplier=shelf.suppliers[0], name="x", sha256="0", complete=complete, at=timezone.now(),
            valid_from=today - timedelta(days=days),
        )  # fmt: skip
    # The other supplier gave no file.
    Offer.objects.exclude(supplier=shelf.suppliers[0]).delete()
    page = ask(colleague, number="GX1042B", family="hg-v4").content.decode()
    told = re.findall("<em>stale price</em>: (.*?),", page)
    assert told == ([stale] if stale else [])


@pytest.mark.parametrize(
    ("ends", "offered"), [(-1, 0), (0, 1), (1, 1)], ids=["yesterday", "today", "tomorrow"]
)
def test_an_offer_is_shown_up_to_its_last_day(colleague, shelf, ends, offered):
    until = timezone.localdate() + timedelta(days=ends)
    shelf.offer(shelf.parts["GX-1043"], "9.00", valid_from=date(2020, 1, 1), valid_until=until)
    (answer,) = ask(colleague, number="GX-1043", family="hg-v4").context["reply"].answers
    assert len(answer.offers) == offered


def test_values_say_their_unit_their_condition_and_that_nobody_verified_them(colleague, shelf):
    page = ask(colleague, number="GX1042B").content.decode()
    assert "0.60 to 1.20 Ω" in page
    assert "engine cold" in page
    assert "<em>not verified</em>" in page


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("built", "June", "write it as 2014, 2014-06 or 2014-06-03"),
        ("serial", "HC12", "does not follow the scheme"),
        ("number", "-/-", "no letter or figure"),
        ("quantity", "0", "greater than or equal to 1"),
        ("position", "9", "Select a valid choice"),
        ("family", "nobody", "Select a valid choice"),
    ],
)
def test_what_cannot_be_read_is_said_beside_its_field_and_nothing_is_guessed(
    colleague, shelf, field, typed, words
):
    response = ask(colleague, **{**HEATERS, field: typed})
    assert any(words in error for error in response.context["form"].errors[field])
    assert "reply" not in response.context


def test_half_a_question_says_which_half_is_missing(colleague, shelf):
    assert "choose a part type" in ask(colleague, family="hg-v4").content.decode()
    assert "choose the engine family" in ask(colleague, type="glow-plug").content.decode()


def test_the_address_of_an_answer_holds_only_what_was_said(colleague, shelf):
    response = colleague.get(reverse("counter"), {**HEATERS, "serial": "", "number": ""})
    assert response["Location"] == "/counter/?family=hg-v4&type=glow-plug"
    live = {"HX-Request": "true", "HX-Target": "counter"}
    assert (
        ask(colleague, live, **HEATERS, serial="")["HX-Push-Url"] == "/counter/?family=hg-v4&type=glow-plug"
    )


def test_choosing_a_family_brings_its_own_questions_without_moving_on(colleague, shelf):
    live = {"HX-Request": "true", "HX-Target": "known"}
    response = ask(colleague, live, family="hg-v4", number="")
    assert 'name="option-heater-connector"' in response.content.decode()
    assert "HX-Push-Url" not in response.headers


def test_more_parts_offers_and_values_ask_the_database_no_more_often(
    colleague, shelf, django_assert_num_queries
):
    Replacement.objects.create(old=shelf.parts["GX-1043"], new=shelf.part("GX-2043"))
    with CaptureQueriesContext(connection) as few:
        ask(colleague, **HEATERS)
    for number in range(25):
        part = shelf.part(f"N-{number}")
        shelf.fits(part, {shelf.connector: "9-way"})
        for supplier in (0, 1):
            shelf.offer(part, "10", supplier=supplier)
        Spec.objects.create(property=shelf.resistance, part=part, nominal=1, source=shelf.source)
        old = shelf.part(f"O-{number}")
        Replacement.objects.create(old=part, new=old)
    with django_assert_num_queries(len(few)):
        response = ask(colleague, **HEATERS)
    assert len(response.context["reply"].answers) == 28
    assert len(few) < 30
