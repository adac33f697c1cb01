"""The spec tables: filtered, within bounds in any unit, paged by key."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.forms import choosing
from catalog.models import Brand, EngineFamily, Property, Spec
from tests.web.shelf import Shelf, ready_shelf


@pytest.fixture
def shelf(db: None) -> Shelf:
    shelf = ready_shelf()
    torque = Property.objects.create(code="torque", name="tightening torque", unit="N.m")
    Property.objects.create(code="thread", name="thread")
    Spec.objects.create(
        property=torque, family=shelf.family, part_type=shelf.heater, nominal=Decimal("25"), places=0,
        source=shelf.source, verified=True,
    )  # fmt: skip
    return shelf


def look(client: Client, **chosen: str) -> Any:
    response = client.get(reverse("spec-tables"), chosen)
    assert response.status_code == 200
    return response


def figures(page: Any) -> list[str]:
    return [card.figure for card, _ in page.context["lines"]]


def refusals(page: Any) -> dict[str, str]:
    assert "lines" not in page.context
    return {name: " ".join(errors) for name, errors in page.context["form"].errors.items()}


def test_without_a_choice_every_value_is_listed_and_says_what_is_not_verified(colleague, shelf):
    page = look(colleague)
    assert figures(page) == ["0.60 to 1.20 Ω", "25 N·m"]
    text = page.content.decode()
    assert text.count("<em>not verified</em>") == 1
    assert "1 of them is not verified" in text


@pytest.mark.parametrize(
    ("chosen", "found"),
    [
        ({"family": "hg-v4"}, ["25 N·m"]),
        ({"property": "cold-resistance"}, ["0.60 to 1.20 Ω"]),
        ({"type": "glow-plug"}, ["0.60 to 1.20 Ω", "25 N·m"]),
        ({"part": "gx 1042 b"}, ["0.60 to 1.20 Ω"]),
        ({"part": "orlin/GX.1042/B"}, ["0.60 to 1.20 Ω"]),
        ({"part": "Orlin/gx1043"}, []),
        ({"source": "manual"}, ["0.60 to 1.20 Ω", "25 N·m"]),
        ({"verified": "yes"}, ["25 N·m"]),
        ({"verified": "no"}, ["0.60 to 1.20 Ω"]),
    ],
)
def test_each_choice_narrows_the_table(colleague, shelf, chosen, found):
    assert figures(look(colleague, **chosen)) == found


@pytest.mark.parametrize(
    ("low", "high", "unit", "found"),
    # The value is 0.60 to 1.20 ohm: below, at and above each bound, in both units.
    [
        ("0.59", "1.21", "", 1), ("0.60", "1.20", "", 1), ("0.61", "1.20", "", 0), ("0.60", "1.19", "", 0),
        ("0.0006", "0.0012", "kOhm", 1), ("0.00061", "", "kOhm", 0), ("", "0.00119", "kOhm", 0),
        ("600", "", "mOhm", 1),
    ],
)  # fmt: skip
def test_bounds_are_part_of_the_range_in_whichever_unit(colleague, shelf, low, high, unit, found):
    page = look(colleague, property="cold-resistance", at_least=low, at_most=high, unit=unit)
    assert len(page.context["lines"]) == found


def test_a_value_is_shown_in_another_unit_beside_its_own(colleague, shelf):
    # 25 N·m = 18.4 lbf·ft: NIST SP 811, appendix B.8 (1 lbf·ft = 1.355818 N·m)
    lines = look(colleague, property="torque", unit="[lbf_av].[ft_i]").context["lines"]
    assert [(card.figure, other) for card, other in lines] == [("25 N·m", "18.4 lbf·ft")]


@pytest.mark.parametrize(
    ("chosen", "where", "words"),
    [
        ({"property": "torque", "unit": "kPa"}, "unit", "kPa does not measure this property"),
        ({"unit": "kPa"}, "unit", "choose"),
        ({"at_least": "1"}, "property", "choose the property that the bounds are about"),
        ({"property": "thread", "at_most": "1"}, "at_most", "is a text and has no range"),
        ({"property": "torque", "at_least": "2", "at_most": "1"}, "at_least", "give the smaller"),
        ({"property": "torque", "at_least": "one"}, "at_least", "Enter a number"),
        ({"part": "GX-1024/B"}, "part", "did you mean orlin/GX-1042/B"),
        ({"part": "..."}, "part", "there is no part"),
    ],
)
def test_what_cannot_be_asked_is_said_beside_its_field(colleague, shelf, chosen, where, words):
    assert words in refusals(look(colleague, **chosen))[where]


def test_nothing_found_says_so(colleague, shelf):
    page = look(colleague, family="hg-v4", property="cold-resistance").content.decode()
    assert "Nothing on record answers to this" in page


def test_a_long_table_comes_in_pages_that_link_to_their_neighbours(colleague, shelf):
    brand = Brand.objects.create(code="tarn", name="Tarn")
    for number in range(60):
        part = shelf.part(f"N-{number}", brand=brand)
        Spec.objects.create(property=shelf.resistance, part=part, nominal=1, source=shelf.source)
    first = look(colleague)
    second = look(colleague, after=first.context["page"].after)
    assert [len(page.context["lines"]) for page in (first, second)] == [50, 12]
    text = second.content.decode()
    assert 'rel="prev"' in text
    assert 'rel="next"' not in text
    back = look(colleague, before=second.context["page"].before)
    assert figures(back) == figures(first)


def test_a_place_that_cannot_be_read_is_said_and_the_beginning_shown(colleague, shelf):
    page = look(colleague, after="nowhere")
    assert "names no place in this table" in page.content.decode()
    assert len(page.context["lines"]) == 2


# Lists too long to choose from


@pytest.fixture
def long_lists(monkeypatch, shelf):
    for number in range(3):
        EngineFamily.objects.create(
            code=f"rw-{number}", maker=shelf.family.maker, name=f"Rowan {number}", layout="inline",
            cylinders=4, voltage=12, numbering="maker",
        )  # fmt: skip
    monkeypatch.setattr(choosing, "MOST_LISTED", 3)


def test_a_long_list_is_a_field_to_type_in_that_takes_a_code_or_a_name(colleague, long_lists):
    text = look(colleague).content.decode()
    assert '<datalist id="family-offers"></datalist>' in text
    assert '<select name="family"' not in text
    assert "Rowan 1" not in text
    for written in ("hg-v4", "harrowgate v4"):
        assert figures(look(colleague, family=written)) == ["25 N·m"]


def test_what_is_not_on_the_list_is_refused_naming_what_comes_near(colleague, long_lists):
    assert "is it Rowan 0 (rw-0) or Rowan 1 (rw-1)" in refusals(look(colleague, family="rowan"))["family"]
    assert refusals(look(colleague, family="ash"))["family"] == "there is no engine family 'ash'"


def test_a_field_offers_what_begins_or_reads_like_what_is_typed(colleague, shelf):
    page = colleague.get(reverse("spec-choices", args=["family"]), {"family": "hARRow"})
    assert '<option value="hg-v4">Harrowgate V4</option>' in page.content.decode()
    nothing = colleague.get(reverse("spec-choices", args=["family"]), {"family": " "})
    assert "<option" not in nothing.content.decode()
    assert colleague.get(reverse("spec-choices", args=["colour"])).status_code == 404
