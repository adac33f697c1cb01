"""The counter's box: what is typed leads to the one thing meant, or to a list that says why each is in it."""

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Brand, EngineFamily, PartType
from tests.web.shelf import Shelf, ready_shelf


@pytest.fixture
def shelf(db: None) -> Shelf:
    return ready_shelf()


def look_up(client: Client, line: str, **known: str):
    return client.get(reverse("counter"), {"q": line, **known})


def test_a_number_of_one_brand_leads_straight_to_its_answer_and_keeps_the_engine(colleague, shelf):
    known = {"family": "hg-v4", "option-heater-connector": "9-way", "quantity": "4"}
    response = look_up(colleague, "gx 1042b", **known)
    assert response["Location"] == (
        "/counter/?family=hg-v4&option-heater-connector=9-way&quantity=4&brand=orlin&number=GX-1042%2FB"
    )


def test_a_suppliers_own_number_and_a_family_lead_straight_to_what_is_meant(colleague, shelf):
    shelf.offer(shelf.parts["GX-1043"], "9.00", supplier_number="YD 55-01")
    assert look_up(colleague, "yd5501")["Location"] == "/counter/?brand=orlin&number=GX-1043"
    assert look_up(colleague, "HG V4")["Location"] == "/counter/?family=hg-v4"


def test_a_family_looked_up_after_a_part_asks_about_that_part(colleague, shelf):
    response = look_up(colleague, "hg-v4", number="GX-1043", brand="orlin", built="2014", family="other")
    assert response["Location"] == "/counter/?family=hg-v4&number=GX-1043&brand=orlin"


def test_a_number_that_two_brands_print_is_a_tie_and_nothing_is_guessed(colleague, shelf):
    shelf.part("GX1043", brand=Brand.objects.create(code="tarn", name="Tarn"))
    found = look_up(colleague, "GX-1043").context["found"]
    assert [(rank, hit.label) for rank, hit, _ in found] == [(1, "Orlin GX-1043"), (1, "Tarn GX1043")]


def test_a_slip_is_named_and_never_followed_by_itself(colleague, shelf):
    ((_, hit, address),) = look_up(colleague, "GX-1O42/B").context["found"]
    assert (hit.why, address) == (
        "one character differs: O is 0", "/counter/?brand=orlin&number=GX-1042%2FB",
    )  # fmt: skip


def test_a_part_type_and_an_engine_together_lead_to_what_fits(colleague, shelf):
    straight = "/counter/?type=glow-plug&family=hg-v4"
    assert look_up(colleague, "glow plug harrowgate")["Location"] == straight
    PartType.objects.create(code="plug-lead", name="glow plug lead")
    found = look_up(colleague, "glow plug harrowgate").context["found"]
    assert [(hit.label, address) for _, hit, address in found][:2] == [
        ("glow plug for Harrowgate V4", straight),
        ("glow plug lead for Harrowgate V4", "/counter/?type=plug-lead&family=hg-v4"),
    ]


@pytest.mark.parametrize("line", ["---", " . ", "?!", "x" * 201])
def test_a_line_that_says_nothing_is_refused_in_words(colleague, shelf, line):
    response = look_up(colleague, line)
    assert response.status_code == 200
    assert "Not looked up:" in response.content.decode()


@pytest.mark.parametrize("line", ["'", '"AND"', "NEAR(a b)", "a* OR b", "%_%", "\x00a", "日本語", "12&|!:*",
                                  "\ud800", "é" * 200, "()"])  # fmt: skip
def test_odd_lines_break_nothing(colleague, shelf, line):
    assert look_up(colleague, line.encode("utf-8", "replace").decode()).status_code == 200
    assert (
        colleague.get(reverse("suggestions"), {"q": line.encode("utf-8", "replace").decode()}).status_code
        == 200
    )


def test_suggestions_are_options_that_lead_on(colleague, shelf):
    page = colleague.get(reverse("suggestions"), {"q": "gx-10", "family": "hg-v4"}).content.decode()
    assert page.count('role="option"') == 2
    assert 'data-address="/counter/?family=hg-v4&amp;brand=orlin&amp;number=GX-1042%2FB"' in page
    assert "number begins with GX10" in page
    assert colleague.get(reverse("suggestions"), {"q": ""}).content.decode().strip().count("<li") == 0


def test_a_stranger_gets_no_suggestions(stranger, shelf):
    assert stranger.get(reverse("suggestions"), {"q": "gx"})["Location"].startswith("/sign-in/")


@pytest.mark.databases("sqlite")
def test_a_long_list_of_families_is_typed_into_not_chosen_from(colleague, shelf):
    before = colleague.get(reverse("counter")).content.decode()
    assert '<select name="family"' in before
    maker = shelf.family.maker
    EngineFamily.objects.bulk_create(
        EngineFamily(code=f"f-{n}", maker=maker, name=f"Row {n}", layout="inline", cylinders=4, voltage=12,
                     numbering="maker")
        for n in range(200)
    )  # fmt: skip
    PartType.objects.bulk_create(PartType(code=f"t-{n}", name=f"thing {n}") for n in range(200))
    page = colleague.get(reverse("counter")).content.decode()
    assert '<select name="family"' not in page
    assert '<select name="type"' not in page
    response = colleague.get(reverse("counter"), {"family": "harrowgate v4", "type": "Glow Plug"})
    assert response.context["reply"].answers[0].part.number == "GX-0910"
    wrong = colleague.get(reverse("counter"), {"family": "harrowgate v", "type": "glow-plug"})
    assert "Harrowgate V4" in wrong.context["form"].errors["family"][0]
