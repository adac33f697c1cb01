"""The spec sheet of an engine family: its page, PDF, CSV and JSON say the same; and parts side by side."""

import csv
import io
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils.http import urlencode

from catalog.models import Part, PartType, Property, Spec
from shop.models import Workshop
from tests.web.shelf import ready_shelf


@pytest.fixture
def shelf(db):
    shelf = ready_shelf()
    torque = Property.objects.create(code="torque", name="tightening torque", unit="N.m")
    thread = Property.objects.create(code="thread", name="thread")
    given = {"family": shelf.family, "part_type": shelf.heater, "source": shelf.source}
    Spec.objects.create(
        property=torque, minimum=22, nominal=Decimal("25.0"), maximum=28, places=1, verified=True,
        condition="thread clean", temperature_min=-18, temperature_max=Decimal("25.5"), **given,
    )  # fmt: skip
    Spec.objects.create(property=thread, text="=M10", **given)
    return shelf


def get(client, name, *args, status=200, **query):
    response = client.get(reverse(name, args=args), query)
    assert response.status_code == status
    return response


def test_the_page_names_the_engine_its_values_their_source_and_what_is_not_verified(colleague, shelf):
    text = get(colleague, "spec-sheet", "hg-v4").content.decode()
    for said in (
        "Harrowgate Engines", "vee, 4 cylinders", "12 V", "DIN 73021", "HA or HB, then 6 digits",
        "22.0 to 28.0 N·m, nominal 25.0", "thread clean, -18 to 25.5 °C", "Service manual 3, verified",
        "<em>not verified</em>", "1 is not verified", "manual and local rules come first",
    ):  # fmt: skip
        assert said in text, said
    assert "not for real work" not in text


def test_the_customary_unit_stands_beside_where_it_is_asked_for(colleague, shelf):
    # SP 811 B.8: 1 lbf.ft = 1.355818 N.m, so 25.0 N.m = 18.4 lbf.ft; -18 degC = -0.4 degF.
    text = get(colleague, "spec-sheet", "hg-v4", also="customary").content.decode()
    assert "16.2 to 20.7 lbf·ft, nominal 18.4" in text
    assert "(0 to 77.9 °F)" in text
    assert "nominal 18.4" not in get(colleague, "spec-sheet", "hg-v4").content.decode()


def test_the_csv_has_a_record_for_each_value_and_no_formula(colleague, shelf):
    answer = get(colleague, "spec-sheet-csv", "hg-v4", also="customary")
    assert answer["Content-Type"] == "text/csv; charset=utf-8; header=present"  # RFC 4180, section 3
    assert answer.content.endswith(b"\r\n")  # section 2
    thread, torque = csv.DictReader(io.StringIO(answer.content.decode(), newline=""))
    assert (torque["minimum"], torque["nominal"], torque["maximum"], torque["unit"]) == (
        "22.0", "25.0", "28.0", "N.m",
    )  # fmt: skip
    assert (torque["also_nominal"], torque["also_unit"]) == ("18.4", "[lbf_av].[ft_i]")
    assert torque["temperature_min"] == "-18"  # a number stays a number
    assert thread["text"] == "'=M10"
    assert (torque["standing"], thread["standing"]) == ("verified", "not verified")
    assert "local rules" in torque["notice"]


def test_the_json_holds_what_the_page_shows(colleague, shelf):
    document = get(colleague, "spec-sheet-json", "hg-v4").json()
    (kind,) = document["part_types"]
    assert [value["figure"] for value in kind["values"]] == ["=M10", "22.0 to 28.0 N·m, nominal 25.0"]
    assert (document["values"], document["not_verified"]) == (2, 1)
    assert document["demonstration"] == ""


def test_demonstration_data_says_so_in_every_form(colleague, shelf):
    Workshop.objects.create(name="Sallowfield", labour_rate=90, demonstration=True)
    for name in ("spec-sheet", "spec-sheet-csv", "spec-sheet-json"):
        assert "Demonstration data, not for real work" in get(colleague, name, "hg-v4").content.decode()


def test_the_pdf_is_a_pdf_under_the_familys_name(colleague, shelf):
    answer = get(colleague, "spec-sheet-pdf", "hg-v4")
    assert answer.content.startswith(b"%PDF-1.7")
    assert answer["Content-Disposition"] == 'attachment; filename="hg-v4-spec-sheet.pdf"'


@pytest.mark.parametrize("name", ["spec-sheet", "spec-sheet-pdf", "spec-sheet-csv", "spec-sheet-json"])
def test_an_unknown_family_is_not_found_and_a_stranger_has_to_sign_in(colleague, stranger, shelf, name):
    get(colleague, name, "nothing", status=404)
    assert stranger.get(reverse(name, args=["hg-v4"])).status_code == 302


# Parts side by side


def compare(client, *parts, status=200, **more):
    query = urlencode([*(("part", part) for part in parts), *more.items()])
    response = client.get(f"{reverse('part-comparison')}?{query}")
    assert response.status_code == status
    return response


@pytest.fixture
def stated(shelf):
    """Two more heaters: one of higher resistance, one of which nothing is known."""
    other, _ = shelf.part("GX-2000"), shelf.part("GX-3000")
    Spec.objects.create(
        property=shelf.resistance, part=other, minimum=Decimal("1.5"), maximum=Decimal("1.80"), places=2,
        source=shelf.source, verified=True, condition="engine cold",
    )  # fmt: skip
    Spec.objects.create(
        property=Property.objects.get(code="thread"), part=other, text="M10", source=shelf.source
    )
    return shelf


def test_parts_stand_side_by_side_with_their_differences_in_words(colleague, stated):
    page = compare(colleague, "GX-1042/B", "orlin/gx2000", "GX 3000")
    rows = {row["property"]: row for row in page.context["document"]["rows"]}
    resistance, thread = rows["cold-resistance"], rows["thread"]
    assert resistance["against"] == ["", "higher", "not stated"]
    assert resistance["difference"] == "differs, not stated for 1"
    assert thread["difference"] == "stated for one only"
    text = page.content.decode()
    for said in ("0.60 to 1.20 Ω", "1.50 to 1.80 Ω", "engine cold", "not stated", "not verified"):
        assert said in text, said


def test_the_form_alone_compares_nothing(colleague, stated):
    assert "document" not in compare(colleague).context


def test_a_fifth_part_is_refused(colleague, stated):
    parts = [stated.part(f"N-{number}").number for number in range(5)]
    compare(colleague, *parts[:4])
    text = compare(colleague, *parts, status=400).content.decode()
    assert "5 parts are too many to read side by side; compare at most 4 at once" in text


def test_every_part_that_cannot_be_compared_is_named_at_once(colleague, stated):
    Part.objects.create(
        brand=type(stated.brand).objects.create(code="tarn", name="Tarn"), number="GX2000",
        part_type=stated.heater, grade="equivalent",
    )  # fmt: skip
    page = compare(colleague, "GX-1024/B", "GX-2000", "GX-3000", "GX3000", status=400)
    told = [f"{fault.what}; {fault.right}" for fault in page.context["faults"]]
    assert told == [
        "there is no part 'GX-1024/B'; did you mean orlin/GX-1042/B",
        "'GX-2000' is a number of 2 brands; give one of orlin/GX-2000, tarn/GX2000",
        "Orlin GX-3000 is given twice; give each part once",
    ]


def test_parts_of_different_types_are_compared_and_it_is_said(colleague, stated):
    relay = PartType.objects.create(code="relay", name="relay")
    stated.part("R-1", part_type=relay)
    text = compare(colleague, "GX-1042/B", "R-1").content.decode()
    assert "parts of different types: glow plug, relay" in text


def test_the_counter_leads_to_the_comparison_of_a_part(colleague, stated):
    text = colleague.get(reverse("counter"), {"number": "GX-1042/B"}).content.decode()
    assert f'href="{reverse("part-comparison")}?part=orlin/GX-1042/B"' in text
