"""What stored applications and machines rest on is not changed under them: schemes and option values."""

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from catalog.models import EngineOptionValue, SerialScheme
from estimates.models import Customer, Unit
from tests.web.shelf import Shelf, stock
from tests.web.test_web_admin_refusals import inline, said

pytestmark = pytest.mark.usefixtures("database")


@pytest.fixture
def shelf(db: None) -> Shelf:
    found = stock()
    part = found.part("GX-1042/B")
    found.fits(part, {found.connector: "9-way"}, serial_from="HA000500")
    return found


def change(owner: Client, model: str, pk: int, data: dict[str, object]) -> HttpResponse:
    return owner.post(reverse(f"admin:catalog_{model}_change", args=[pk]), data)


def scheme_data(**changed: object) -> dict[str, object]:
    return {"code": "hg", "name": "Harrowgate numbers", "prefixes": "HA HB", "digits": 6, **changed}


@pytest.mark.parametrize("changed", [{"prefixes": "HB HC"}, {"digits": 5}])
def test_a_scheme_is_not_changed_under_an_application(owner: Client, shelf: Shelf, changed):
    scheme = SerialScheme.objects.get()
    answer = said(change(owner, "serialscheme", scheme.pk, scheme_data(**changed)))
    assert "application orlin/GX-1042/B no. 1 (from HA000500 on) of the engine family hg-v4" in answer
    assert "correct that first" in answer
    scheme.refresh_from_db()
    assert (scheme.prefixes, scheme.digits) == ("HA HB", 6)


def test_a_scheme_is_not_changed_under_a_machine_on_record(owner: Client, shelf: Shelf):
    customer = Customer.objects.create(number="C-1", name="Marten Farm")
    Unit.objects.create(number="U-1", customer=customer, name="Baler", family=shelf.family, serial="HB000007")
    data = scheme_data(prefixes="HA")
    assert "machine U-1 (HB000007)" in said(
        change(owner, "serialscheme", SerialScheme.objects.get().pk, data)
    )


def test_a_further_prefix_is_welcome(owner: Client, shelf: Shelf):
    scheme = SerialScheme.objects.get()
    assert change(owner, "serialscheme", scheme.pk, scheme_data(prefixes="HA HB HC")).status_code == 302


@pytest.mark.parametrize("other", [True, False])
def test_a_family_is_not_pointed_to_a_scheme_that_cannot_read_its_records(owner: Client, shelf: Shelf, other):
    scheme = SerialScheme.objects.create(code="t", name="T", prefixes="TA", digits=6)
    family = shelf.family
    data = {
        "code": family.code, "maker": family.maker_id, "name": family.name, "layout": "vee", "cylinders": 4,
        "voltage": "12", "numbering": "din-73021", "serial_scheme": scheme.pk if other else "",
        **inline("positions"), **inline("options"),
    }  # fmt: skip
    assert "could not be read any more" in said(change(owner, "enginefamily", family.pk, data))
    family.refresh_from_db()
    assert family.serial_scheme.code == "hg"


def values(shelf: Shelf, *rows: dict[str, object]) -> dict[str, object]:
    option = shelf.connector
    return {
        "family": option.family_id, "code": option.code, "name": option.name,
        **inline("values", *rows, existing=2),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("of", "changed", "words"),
    [
        ("9-way", {"value": "nine"}, "the application of Orlin GX-1042/B asks for 9-way"),
        ("9-way", {"DELETE": "on"}, "9-way stays: the application of Orlin GX-1042/B asks for 9-way"),
        ("5-way", {"value": "five"}, ""),
        ("5-way", {"DELETE": "on"}, ""),
    ],
)
def test_an_option_value_that_an_application_asks_for_stays(owner: Client, shelf: Shelf, of, changed, words):
    rows = [
        {"id": v.pk, "option": v.option_id, "value": v.value, **(changed if v.value == of else {})}
        for v in EngineOptionValue.objects.order_by("value")
    ]
    response = change(owner, "engineoption", shelf.connector.pk, values(shelf, *rows))
    if words:
        assert words in said(response)
        assert EngineOptionValue.objects.filter(value=of).exists()
    else:
        assert response.status_code == 302
        assert not EngineOptionValue.objects.filter(value=of).exists()
