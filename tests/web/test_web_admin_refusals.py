"""What the rules or the database refuse comes back as words on the form, with nothing written."""

from decimal import Decimal

import pytest
from django.db import connection
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalog.models import (
    AccessStep,
    AccessStepRequirement,
    Application,
    EngineFamily,
    Part,
    PartType,
    Replacement,
    Spec,
    Supplier,
)
from shop.models import Event
from tests.web.shelf import Shelf, ready_shelf


@pytest.fixture
def shelf(db: None) -> Shelf:
    return ready_shelf()


def inline(prefix: str, *rows: dict[str, object], existing: int = 0) -> dict[str, object]:
    data: dict[str, object] = {f"{prefix}-TOTAL_FORMS": len(rows), f"{prefix}-INITIAL_FORMS": existing}
    for number, row in enumerate(rows):
        data |= {f"{prefix}-{number}-{name}": value for name, value in row.items()}
    return data


def said(response: HttpResponse) -> str:
    """Every error on the form and on the rows below it."""
    assert response.status_code == 200, "it was saved"
    context = response.context
    texts = [str(error) for errors in context["adminform"].form.errors.values() for error in errors]
    for formset in context["inline_admin_formsets"]:
        texts += [str(e) for form in formset.formset for errors in form.errors.values() for e in errors]
        texts += [str(e) for e in formset.formset.non_form_errors()]
    return " | ".join(texts)


def add(client: Client, model: str, data: dict[str, object]) -> HttpResponse:
    return client.post(reverse(f"admin:catalog_{model}_add"), data)


def part_data(shelf: Shelf, **changed: object) -> dict[str, object]:
    data = {"brand": shelf.brand.pk, "number": "GX-2000", "part_type": shelf.heater.pk, "grade": "original"}
    return {**data, **inline("replaced_by"), **changed}


def test_a_part_is_saved_and_the_change_leaves_a_trace(owner: Client, shelf: Shelf):
    assert add(owner, "part", part_data(shelf)).status_code == 302
    assert Part.objects.get(number="GX-2000").normalised == "GX2000"
    event = Event.objects.get(what="master-data-added")
    assert event.by is not None
    assert event.by.username == "owner"
    assert "GX-2000" in event.subject


def test_a_number_of_dashes_only_is_refused_beside_its_field(owner: Client, shelf: Shelf):
    assert "no letter or figure" in said(add(owner, "part", part_data(shelf, number="-/-")))


def test_the_same_number_in_another_spelling_is_refused(owner: Client, shelf: Shelf):
    answer = said(add(owner, "part", part_data(shelf, number="gx 1042 b")))
    assert "already has it, written GX-1042/B" in answer


def test_a_currency_that_cannot_be_paid_in_is_refused(owner: Client, shelf: Shelf):
    # ISO 4217 list one: XAU is gold and has no minor unit
    answer = said(add(owner, "part", part_data(shelf, list_price="10", list_currency="XAU")))
    assert "no minor unit" in answer


def test_a_gtin_with_a_wrong_check_digit_is_refused(owner: Client, shelf: Shelf):
    # 6291041500213 is the worked example of GS1's check-digit page
    assert "check figure" in said(add(owner, "part", part_data(shelf, gtin="6291041500214")))
    assert add(owner, "part", part_data(shelf, gtin="6291041500213")).status_code == 302
    assert Part.objects.get(number="GX-2000").gtin == "06291041500213"


def test_a_constraint_is_said_in_words(owner: Client, shelf: Shelf):
    answer = said(add(owner, "part", part_data(shelf, list_price="10")))
    assert "Give list price and its currency together" in answer
    assert "Constraint" not in answer


def test_replacements_in_a_circle_are_refused_by_the_guard_and_what_was_typed_stays(
    owner: Client, shelf: Shelf
):
    old, new = shelf.parts["GX-0900"], shelf.parts["GX-0910"]
    data = {"old": new.pk, "new": old.pk, "choice": 1, "quantity": 3}
    response = add(owner, "replacement", data)
    assert "circle" in said(response)
    assert response.context["adminform"].form["quantity"].value() == "3"
    assert Replacement.objects.count() == 1
    assert not Event.objects.exists()


def test_a_part_that_serves_both_ways_is_replaced_one_for_one(owner: Client, shelf: Shelf):
    parts = shelf.parts
    data = {
        "old": parts["GX-1043"].pk, "new": parts["GX-0910"].pk, "choice": 1, "quantity": 2, "both_ways": "on",
    }  # fmt: skip
    assert "both ways, but 2 for 1" in said(add(owner, "replacement", data))
    assert add(owner, "replacement", {**data, "quantity": 1}).status_code == 302


def test_a_circle_through_parts_that_serve_alike_is_refused(owner: Client, shelf: Shelf):
    old, new, third = (shelf.parts[n] for n in ("GX-0900", "GX-0910", "GX-1043"))
    Replacement.objects.create(old=third, new=old, both_ways=True)
    answer = said(add(owner, "replacement", {"old": new.pk, "new": third.pk, "choice": 1, "quantity": 1}))
    assert "circle" in answer
    assert "Orlin GX-0910" in answer


def test_a_guard_that_refuses_a_row_below_rolls_back_the_row_above(owner: Client, shelf: Shelf):
    first, second = (
        AccessStep.objects.create(family=shelf.family, code=c, name=c, scope="engine", minutes=5)
        for c in "ab"
    )
    AccessStepRequirement.objects.create(step=second, requires=first)
    data = {
        "family": shelf.family.pk, "code": "a", "name": "renamed", "scope": "engine", "minutes": 5,
        **inline("requirements", {"step": first.pk, "requires": second.pk}),
        **inline("needs"), **inline("values"), **inline("stepcaution_set"),
    }  # fmt: skip
    response = owner.post(reverse("admin:catalog_accessstep_change", args=[first.pk]), data)
    assert "access steps must not run in a circle" in said(response)
    first.refresh_from_db()
    assert first.name == "a"


def test_a_part_with_applications_keeps_its_part_type(owner: Client, shelf: Shelf):
    part = shelf.parts["GX-1043"]
    other = PartType.objects.create(code="relay", name="relay")
    data = part_data(shelf, number=part.number, part_type=other.pk, grade=part.grade)
    response = owner.post(reverse("admin:catalog_part_change", args=[part.pk]), data)
    assert "keeps its part type" in said(response)


def application_data(shelf: Shelf, **changed: object) -> dict[str, object]:
    data = {
        "part": shelf.parts["GX-0900"].pk, "family": shelf.family.pk, "ordinal": 1, "polarity": "applies",
        "scope": "cylinder", "quantity": 1,
    }  # fmt: skip
    return {**data, **inline("options"), **changed}


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"serial_from": "HA12"}, "does not follow the scheme"),
        ({"serial_from": "HB000001", "serial_until": "HA999999"}, "runs backwards"),
        ({"built_from": "2014-02-01", "built_until": "2014-01-31"}, "must not lie after the last"),
    ],
)
def test_an_application_that_contradicts_itself_is_refused(owner: Client, shelf: Shelf, changed, words):
    before = Application.objects.count()
    assert words in said(add(owner, "application", application_data(shelf, **changed)))
    assert Application.objects.count() == before


def test_an_option_value_nobody_has_listed_is_refused(owner: Client, shelf: Shelf):
    rows = inline("options", {"option": shelf.connector.pk, "value": "9 way"})
    answer = said(add(owner, "application", application_data(shelf, **rows)))
    assert "it has 5-way, 9-way" in answer


def test_a_position_of_another_scope_is_refused(owner: Client, shelf: Shelf):
    bank = shelf.family.positions.get(code="A")
    answer = said(add(owner, "application", application_data(shelf, position=bank.pk)))
    assert "does not go with this scope" in answer


def spec_data(shelf: Shelf, **changed: object) -> dict[str, object]:
    data = {"property": shelf.resistance.pk, "part": shelf.parts["GX-1043"].pk, "source": shelf.source.pk}
    return {**data, **changed}


def test_a_spec_keeps_the_decimal_places_its_source_states(owner: Client, shelf: Shelf):
    assert add(owner, "spec", spec_data(shelf, minimum="0.60", maximum="1.2")).status_code == 302
    spec = Spec.objects.get(part=shelf.parts["GX-1043"])
    assert (spec.places, spec.minimum, spec.part_type) == (2, Decimal("0.60"), shelf.heater)
    page = owner.get(reverse("admin:catalog_spec_changelist")).content.decode()
    assert "0.60 /  / 1.20" in page


def test_a_text_for_a_property_with_a_unit_is_refused(owner: Client, shelf: Shelf):
    answer = said(add(owner, "spec", spec_data(shelf, nominal="1", text="about one")))
    assert "is a number in Ohm" in answer


def test_a_unit_that_is_no_ucum_code_is_refused(owner: Client, shelf: Shelf):
    answer = said(add(owner, "property", {"code": "torque", "name": "torque", "unit": "Nm"}))
    assert "N.m" in answer


def test_a_supplier_with_offers_is_not_deleted(owner: Client, shelf: Shelf):
    url = reverse("admin:catalog_supplier_delete", args=[shelf.suppliers[0].pk])
    assert owner.post(url, {"post": "yes"}).status_code in (200, 403)
    assert Supplier.objects.count() == 2


def test_the_choices_name_the_engine_family(owner: Client, shelf: Shelf):
    for code in ("one", "two"):
        family = EngineFamily.objects.create(
            code=code,
            maker=shelf.family.maker,
            name=code,
            layout="inline",
            cylinders=4,
            voltage=12,
            numbering="maker",
        )
        AccessStep.objects.create(
            family=family, code="cover", name="take off the cover", scope="engine", minutes=5
        )
    query = {"app_label": "catalog", "model_name": "operationaccess", "field_name": "step", "term": "cover"}
    offered = owner.get(reverse("admin:autocomplete"), query).json()["results"]
    assert [row["text"] for row in offered] == [
        "take off the cover (cover) of one",
        "take off the cover (cover) of two",
    ]


@pytest.mark.parametrize("model", ["part", "application", "spec", "offer", "replacement"])
def test_a_longer_list_asks_the_database_no_more_often(
    owner: Client, shelf: Shelf, django_assert_max_num_queries, model
):
    url = reverse(f"admin:catalog_{model}_changelist")
    owner.get(url)
    with CaptureQueriesContext(connection) as few:
        owner.get(url)
    for number in range(20):
        part, other = shelf.part(f"N-{number}"), shelf.part(f"M-{number}")
        shelf.fits(part)
        shelf.offer(part, "1")
        Replacement.objects.create(old=part, new=other)
        Spec.objects.create(property=shelf.resistance, part=part, nominal=1, source=shelf.source)
    with django_assert_max_num_queries(len(few)):
        owner.get(url)


def test_amounts_are_shown_for_changing_without_the_zeros_of_their_column(owner: Client, shelf: Shelf):
    offer = shelf.parts["GX-1042/B"].offers.get(supplier__code="yard")
    form = owner.get(reverse("admin:catalog_offer_change", args=[offer.pk])).context["adminform"].form
    assert str(form["price"].value()) == "18.40"


def test_saving_an_unchanged_offer_records_no_change(owner: Client, shelf: Shelf):
    offer = shelf.parts["GX-1043"].offers.create(
        supplier=shelf.suppliers[0], price="9.5", valid_from="2020-01-01"
    )
    url = reverse("admin:catalog_offer_change", args=[offer.pk])
    form = owner.get(url).context["adminform"].form
    data = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    assert owner.post(url, {**data, **inline("breaks")}).status_code == 302
    assert not Event.objects.exists()
