"""The spec tables: filtered, paged, in another unit where that is asked for."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Property, Spec
from tests.web.shelf import Shelf, ready_shelf


@pytest.fixture
def shelf(db: None) -> Shelf:
    shelf = ready_shelf()
    torque = Property.objects.create(code="torque", name="tightening torque", unit="N.m")
    Spec.objects.create(
        property=torque, family=shelf.family, part_type=shelf.heater, nominal=Decimal("25"), places=0,
        source=shelf.source, verified=True,
    )  # fmt: skip
    return shelf


def look(client: Client, **chosen: str):
    response = client.get(reverse("spec-tables"), chosen)
    assert response.status_code == 200
    return response


def test_without_a_choice_every_value_is_listed(colleague, shelf):
    page = look(colleague)
    assert [card.figure for card, _ in page.context["lines"]] == ["0.60 to 1.20 Ω", "25 N·m"]
    assert page.content.decode().count("<em>not verified</em>") == 1


def test_a_family_narrows_it_to_the_values_as_fitted(colleague, shelf):
    assert [card.figure for card, _ in look(colleague, family="hg-v4").context["lines"]] == ["25 N·m"]


def test_a_value_is_shown_in_another_unit_beside_its_own(colleague, shelf):
    # 25 N·m = 18.4 lbf·ft: NIST SP 811, appendix B.8 (1 lbf·ft = 1.355818 N·m)
    lines = look(colleague, property="torque", unit="[lbf_av].[ft_i]").context["lines"]
    assert [(card.figure, other) for card, other in lines] == [("25 N·m", "18.4 lbf·ft")]


def test_a_unit_that_measures_something_else_is_refused_in_words(colleague, shelf):
    page = look(colleague, property="torque", unit="kPa")
    assert "Select a valid choice" in page.content.decode()
    assert "lines" not in page.context


def test_nothing_found_says_so(colleague, shelf):
    page = look(colleague, family="hg-v4", property="cold-resistance").content.decode()
    assert "Nothing on record answers to this" in page


@pytest.mark.parametrize(("page", "rows"), [("1", 50), ("2", 12), ("99", 12)])
def test_a_long_table_comes_in_pages(colleague, shelf, page, rows):
    for number in range(60):
        part = shelf.part(f"N-{number}")
        Spec.objects.create(property=shelf.resistance, part=part, nominal=1, source=shelf.source)
    assert len(look(colleague, page=page).context["lines"]) == rows
