"""Suppliers, their price files and held prices on the page."""

import re
from datetime import date, timedelta
from decimal import Decimal
from html import unescape

import pytest
from django.contrib.auth.models import Permission, User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from lxml import etree

from catalog.models import HeldPrice, Offer, PriceFile, PriceUpload
from tests.web.shelf import Shelf, ready_shelf

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]

LIST = "Marke;Art;Netto\nOrlin;GX-1042/B;16,50\nOrlin;GX-1043;12,00\n"
COLUMNS = {"column_brand": "Marke", "column_number": "Art", "column_price": "Netto"}
SAID = COLUMNS | {"header_row": "1", "step": "read"}


@pytest.fixture
def shelf(db: None) -> Shelf:
    return ready_shelf()


@pytest.fixture
def keeper(db: None) -> Client:
    """May change offers, and nothing else."""
    user = User.objects.create_user("keeper")
    user.user_permissions.add(Permission.objects.get(codename="change_offer"))
    client = Client()
    client.force_login(user)
    return client


def give(client: Client, text: str = LIST, code: str = "depot", **more: str):
    file = SimpleUploadedFile("march.csv", text.encode())
    return client.post(reverse("give-price-file", args=[code]), {"file": file, **more}, follow=True)


def words(response) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", response.content.decode())).split())


def test_the_list_names_every_supplier_with_its_terms(shelf, colleague: Client):
    page = words(colleague.get(reverse("suppliers")))
    assert "Depot North" in page
    assert "Yard Street" in page


def test_a_supplier_s_page_counts_what_stands_what_ends_and_what_is_stale(shelf, colleague: Client):
    today = timezone.localdate()
    depot = shelf.suppliers[0]
    Offer.objects.all().delete()
    fresh = today - timedelta(days=depot.stale_after_days)
    shelf.offer(shelf.parts["GX-1042/B"], "1", valid_from=fresh)
    shelf.offer(shelf.parts["GX-1043"], "1", valid_from=fresh - timedelta(days=1))
    shelf.offer(shelf.parts["GX-0900"], "1", valid_from=fresh, valid_until=today + timedelta(days=30))
    shelf.offer(shelf.parts["GX-0910"], "1", valid_from=fresh, valid_until=today - timedelta(days=1))
    page = words(colleague.get(reverse("supplier", args=["depot"])))
    assert "Parts offered today 3 Ending within 30 days 1 Stale 1" in page


def test_a_complete_file_that_repeats_a_price_makes_it_fresh(shelf, colleague: Client):
    PriceFile.objects.create(
        supplier=shelf.suppliers[0], name="x", sha256="0", valid_from=timezone.localdate(), complete=True,
        at=timezone.now(),
    )  # fmt: skip
    assert "Stale 0 (the last complete" in words(colleague.get(reverse("supplier", args=["depot"])))


def test_a_file_with_unknown_columns_asks_and_then_tells_what_it_would_change(shelf, keeper: Client):
    asked = give(keeper, valid_from="2026-03-01")
    assert "say below which column is what" in words(asked)
    assert "the file has Marke, Art, Netto" in words(asked)
    address = asked.request["PATH_INFO"]
    told = keeper.post(address, SAID, follow=True)
    assert "15.90 EUR 16.50 EUR 0.60 EUR +3.8 %" in words(told)
    assert "Changed 1 New 1" in words(told)
    assert not Offer.objects.filter(valid_from=date(2026, 3, 1)).exists()
    done = keeper.post(address, {"step": "take"}, follow=True)
    assert "1 new, 1 changed, 0 unchanged, 0 held" in words(done)
    offer = Offer.objects.get(valid_from=date(2026, 3, 1), part=shelf.parts["GX-1042/B"])
    assert (offer.price, offer.pack) == (Decimal("16.50"), 2)
    assert not PriceUpload.objects.exists()
    assert PriceFile.objects.get().by.get_username() == "keeper"
    again = give(keeper, LIST.replace("12,00", "12,10"))
    assert "What it would change" in words(again), "the columns were kept with the supplier"


def test_a_wrong_file_lists_its_faults_and_can_be_dropped(shelf, keeper: Client):
    page = give(keeper, "brand,number,price\norlin,GX-1042/B,two\norlin,GX-9,1.00\n")
    assert "march.csv, row 2, column price: 'two' is not a number" in words(page)
    assert "march.csv, row 3: there is no part GX9 of Orlin on record" in words(page)
    address = page.request["PATH_INFO"]
    assert keeper.post(address, {"step": "take"}).status_code == 422
    assert "nothing was written" in words(keeper.post(address, {"step": "drop"}, follow=True))
    assert not PriceUpload.objects.exists()


def test_rows_for_unknown_parts_are_left_out_where_that_was_ticked(shelf, keeper: Client):
    page = give(keeper, "brand,number,price\norlin,GX-1043,2.00\norlin,GX-9,1.00\n", known_only="on")
    assert "Rows left out 1" in words(page)


def hold_one(shelf: Shelf, keeper: Client) -> HeldPrice:
    page = give(keeper, "brand,number,price\norlin,GX-1042/B,159.00\n", valid_from="2026-03-01")
    keeper.post(page.request["PATH_INFO"], {"step": "take"})
    return HeldPrice.objects.get()


@pytest.mark.parametrize(("decision", "prices"), [("accept", ["15.90", "159.00"]), ("refuse", ["15.90"])])
def test_a_held_price_is_accepted_or_refused_on_the_page(shelf, keeper: Client, decision, prices):
    held = hold_one(shelf, keeper)
    assert "+900.0 %" in words(keeper.get(reverse("supplier", args=["depot"])))
    address = reverse("decide-held", args=["depot"])
    done = keeper.post(address, {"held": held.pk, "decision": decision}, follow=True)
    assert "1 held price" in words(done)
    offers = Offer.objects.filter(supplier=shelf.suppliers[0]).order_by("valid_from")
    assert [offer.price for offer in offers] == [Decimal(price) for price in prices]
    late = keeper.post(address, {"held": held.pk, "decision": decision})
    assert late.status_code == 422
    assert "does not wait for a decision" in words(late)


def test_deciding_with_nothing_ticked_says_so(shelf, keeper: Client):
    response = keeper.post(reverse("decide-held", args=["depot"]), {"decision": "accept"})
    assert response.status_code == 422
    assert "none is ticked" in words(response)


def test_a_colleague_who_may_not_change_offers_sees_and_touches_nothing(shelf, keeper, colleague: Client):
    held = hold_one(shelf, keeper)
    page = colleague.get(reverse("supplier", args=["depot"])).content.decode()
    assert "Drop" not in page
    assert '<button type="submit" name="decision"' not in page
    assert "Look a price file over" not in page
    assert give(colleague).status_code == 403
    decided = colleague.post(reverse("decide-held", args=["depot"]), {"held": held.pk, "decision": "accept"})
    assert decided.status_code == 403
    held.refresh_from_db()
    assert held.state == "waiting"


@pytest.mark.parametrize("name", ["suppliers", "supplier", "price-history"])
def test_a_stranger_is_asked_to_sign_in(shelf, stranger: Client, name):
    arguments = {"suppliers": [], "supplier": ["depot"], "price-history": ["orlin", "GX-1042/B"]}[name]
    response = stranger.get(reverse(name, args=arguments))
    assert response["Location"].startswith(reverse("sign-in"))


def test_the_price_history_draws_the_steps_and_lists_every_price(shelf, colleague: Client):
    part = shelf.parts["GX-1042/B"]
    shelf.offer(part, "17.49", valid_from=date(2021, 1, 1))
    page = colleague.get(reverse("price-history", args=["orlin", "gx 1042 b"])).content.decode()
    (drawn,) = re.findall(r"<svg.*?</svg>", page, re.S)
    picture = etree.fromstring(drawn)
    assert picture.get("role") == "img"
    title = picture.findtext("{http://www.w3.org/2000/svg}title")
    assert "15.90 EUR from 2020-01-01 to 17.49 EUR from 2021-01-01" in title
    assert len(picture.findall("{http://www.w3.org/2000/svg}circle")) == 2
    heights = [float(dot.get("cy")) for dot in picture.iter("{http://www.w3.org/2000/svg}circle")]
    assert heights[0] > heights[1], "the dearer price stands higher"
    assert re.findall(r"<style|\sstyle=|<script(?![^>]*\bsrc=)", page) == []
    text = " ".join(re.sub(r"<[^>]+>", " ", page).split())
    assert "1 January 2021 no end stated 17.49 EUR 1.59 EUR +10.0 %" in text
    assert "1 January 2020 31 December 2020 15.90 EUR" in text


def test_a_part_that_is_not_there_has_no_history(shelf, colleague: Client):
    assert colleague.get(reverse("price-history", args=["orlin", "GX-9"])).status_code == 404
