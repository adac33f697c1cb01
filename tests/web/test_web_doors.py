"""Who gets in, who is kept out, and what the pages say when something is not there."""

import re

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse

from shop.models import Fee, LineTax, TaxRate, Workshop
from tests.web.shelf import ready_shelf

pytestmark = pytest.mark.databases("sqlite")  # nothing here depends on the database

PASSWORD = "a long enough phrase"
PAGES = ["shop", "counter", "spec-tables", "home"]


@pytest.fixture(autouse=True)
def _fast_passwords(settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


def sign_in(client: Client, password: str):
    return client.post(reverse("sign-in"), {"username": "colleague", "password": password, "next": "/shop/"})


@pytest.mark.django_db
@pytest.mark.parametrize("name", PAGES)
def test_a_stranger_is_asked_to_sign_in_first(stranger: Client, name):
    response = stranger.get(reverse(name))
    assert response.status_code == 302
    assert response["Location"].startswith(reverse("sign-in"))


@pytest.mark.django_db
def test_signing_in_leads_to_the_page_that_was_asked_for(stranger: Client):
    User.objects.create_user("colleague", password=PASSWORD)
    assert sign_in(stranger, PASSWORD)["Location"] == "/shop/"


@pytest.mark.django_db
def test_a_wrong_password_is_said_without_saying_which_half_was_wrong(stranger: Client):
    User.objects.create_user("colleague", password=PASSWORD)
    wrong = sign_in(stranger, "not it").content.decode()
    User.objects.all().delete()
    unknown = sign_in(Client(), "not it").content.decode()
    told = [re.search(r'role="alert">(.*?)</div>', page, re.S)[1] for page in (wrong, unknown)]
    assert told[0] == told[1]


@pytest.mark.django_db
def test_the_eighth_wrong_password_pauses_signing_in_even_with_the_right_one(stranger: Client):
    User.objects.create_user("colleague", password=PASSWORD)
    answers = [sign_in(stranger, "not it") for _ in range(8)]
    assert [answer.status_code for answer in answers] == [200] * 7 + [429]
    assert "Sign-in is paused" in answers[-1].content.decode()
    assert sign_in(stranger, PASSWORD).status_code == 429


@pytest.mark.django_db
def test_signing_in_never_leads_to_another_host(stranger: Client):
    User.objects.create_user("colleague", password=PASSWORD)
    data = {"username": "colleague", "password": PASSWORD, "next": "https://elsewhere.example/"}
    assert "elsewhere" not in stranger.post(reverse("sign-in"), data)["Location"]


@pytest.mark.django_db
def test_signing_out_takes_a_form_and_not_a_link(colleague: Client):
    assert colleague.get(reverse("sign-out")).status_code == 405
    assert colleague.post(reverse("sign-out")).status_code == 302
    assert colleague.get(reverse("shop")).status_code == 302


@pytest.mark.django_db
def test_a_live_part_asked_for_after_the_session_ended_reloads_the_whole_page(stranger: Client):
    response = stranger.get(reverse("sign-in"), headers={"HX-Request": "true"})
    assert response["HX-Refresh"] == "true"


@pytest.mark.django_db
def test_a_page_that_is_not_there_helps_on(colleague: Client):
    response = colleague.get("/no-such-page/")
    assert response.status_code == 404
    assert "There is no such page" in response.content.decode()


@pytest.mark.django_db
def test_a_form_without_its_token_is_refused_in_words():
    response = Client(enforce_csrf_checks=True).post(reverse("sign-in"), {"username": "x", "password": "y"})
    assert response.status_code == 403
    assert "This form is out of date" in response.content.decode()


def test_the_page_for_our_own_failures_needs_nothing_that_may_have_failed():
    from django.template.loader import render_to_string

    page = render_to_string("500.html")  # no request, no database: the test would be refused one
    assert "nothing was half written" in page


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["sign-in", "shop", "counter", "spec-tables"])
def test_no_page_holds_inline_script_style_or_anything_from_elsewhere(
    colleague: Client, stranger: Client, name
):
    ready_shelf()
    client = stranger if name == "sign-in" else colleague
    query = {"family": "hg-v4", "type": "glow-plug"} if name == "counter" else {}
    page = client.get(reverse(name), query).content.decode()
    assert re.findall(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|javascript:", page) == []
    assert re.findall(r'(?:src|href|action)="(?:https?:)?//', page) == []


@pytest.mark.django_db
def test_every_field_on_the_counter_has_a_label(colleague: Client):
    ready_shelf()
    query = {"family": "hg-v4", "type": "glow-plug"}
    page = colleague.get(reverse("counter"), query).content.decode()
    fields = re.findall(r'<(?:input|select|textarea)(?![^>]*type="hidden")[^>]*\bid="([^"]+)"', page)
    labelled = set(re.findall(r'<label for="([^"]+)"', page))
    assert len(fields) > 6
    assert set(fields) <= labelled
    assert len(fields) == len(set(fields)), "an id is there twice"


def facts_of_a_workshop() -> None:
    Workshop.objects.create(
        pk=1, name="Quillhaven Engine Works", currency="EUR", labour_rate="92", demonstration=True
    )
    rate = TaxRate.objects.create(code="vat", name="value added tax", percent="21")
    LineTax.objects.create(category="parts", rate=rate)
    Fee.objects.create(code="oil", name="used oil", amount="4.5")


@pytest.mark.django_db
def test_the_shop_page_says_how_it_prices(colleague: Client):
    facts_of_a_workshop()
    page = colleague.get(reverse("shop")).content.decode()
    for words in ("Quillhaven Engine Works", "92.00 EUR per hour", "4.50 EUR", "Without tax: labour"):
        assert words in page
    assert "Change the workshop" not in page, "a colleague without rights sees no way to change it"


@pytest.mark.django_db
def test_whoever_may_change_the_facts_finds_the_way_there(owner: Client):
    facts_of_a_workshop()
    assert reverse("admin:shop_workshop_change", args=[1]) in owner.get(reverse("shop")).content.decode()


@pytest.mark.django_db
def test_demonstration_data_says_so_on_every_page(colleague: Client):
    before = colleague.get(reverse("counter")).content.decode()
    facts_of_a_workshop()
    after = colleague.get(reverse("counter")).content.decode()
    assert "not for real work" not in before
    assert "not for real work" in after
