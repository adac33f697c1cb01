"""Spec sheets and parts side by side through the API: by Accept, refusing what nobody would read."""

import csv
import io
from decimal import Decimal

import pytest

from catalog.models import Property, Spec


@pytest.fixture
def sheeted(catalogue):
    Spec.objects.create(
        property=Property.objects.get(code="thread"), part_type=catalogue.relay, family=catalogue.family,
        text="@M6", source=catalogue.source,
    )  # fmt: skip
    return catalogue


def test_a_sheet_is_json_unless_csv_is_asked_for(ask, sheeted):
    document = ask("spec-sheets/nk4/").json()
    assert [kind["code"] for kind in document["part_types"]] == ["glow-plug", "relay"]
    torque = document["part_types"][0]["values"][0]
    assert (torque["minimum"], torque["nominal"], torque["maximum"], torque["unit"]) == (
        "22", "25", "28", "N.m",
    )  # fmt: skip
    assert (torque["also"], torque["source_title"], torque["verified"]) == (
        None, "Norrik service book 3", True,
    )  # fmt: skip
    assert document["family"]["serial_scheme"] == {
        "name": "Norrik engines", "prefixes": ["NA", "NB"], "digits": 6,
    }  # fmt: skip

    answer = ask("spec-sheets/nk4/", headers={"Accept": "text/csv"})
    assert answer["Content-Type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(answer.content.decode(), newline="")))
    assert [(row["property"], row["nominal"], row["text"], row["standing"]) for row in rows] == [
        ("torque", "25", "", "verified"), ("thread", "", "'@M6", "not verified"),
    ]  # fmt: skip


def test_a_sheet_gives_the_customary_unit_too_and_can_be_asked_again_conditionally(ask, sheeted):
    answer = ask("spec-sheets/nk4/", also="customary")
    value = answer.json()["part_types"][0]["values"][0]
    # NIST SP 811, appendix B.8: 1 lbf.ft = 1.355818 N.m
    assert value["also"] == {
        "unit": "[lbf_av].[ft_i]", "symbol": "lbf·ft", "minimum": "16.2", "nominal": "18.4",
        "maximum": "20.7", "figure": "16.2 to 20.7 lbf·ft, nominal 18.4",
    }  # fmt: skip
    again = ask("spec-sheets/nk4/", {"If-None-Match": answer["ETag"]}, also="customary")
    assert again.status_code == 304


def test_parts_are_answered_side_by_side_with_null_for_what_is_not_stated(ask, as_colleague, catalogue):
    Spec.objects.create(
        property=Property.objects.get(code="cold-resistance"), part=catalogue.parts[2], places=2,
        minimum=Decimal("0.70"), maximum=Decimal("1.10"), temperature_min=15, temperature_max=25,
        source=catalogue.source, verified=True,
    )  # fmt: skip
    answer = as_colleague.get("/api/v1/part-comparison/?part=lumo/gx1042b&part=Tarn/77-100").json()
    assert [part["key"] for part in answer["parts"]] == ["lumo/GX-1042/B", "tarn/77.100"]
    resistance, thread = answer["rows"]
    assert (resistance["difference"], resistance["against"]) == ("differs", ["", "narrower"])
    assert [value["figure"] for value in resistance["values"]] == ["0.60 to 1.20 Ω", "0.70 to 1.10 Ω"]
    assert [value["standing"] for value in resistance["values"]] == ["not verified", "verified"]
    assert (thread["values"][1], thread["against"][1]) == (None, "not stated")


@pytest.mark.parametrize(
    ("query", "where", "words"),
    [
        ("", "part", "no part is named"),
        ("part=", "part", "it is empty"),
        ("part=lumo/GX-1042&part=lumo/gx2042", "part", "did you mean lumo/GX-1042/B"),
        ("part=lumo/gx2042&part=GX-2042", "part", "given twice"),
        ("part=1&part=2&part=3&part=4&part=5", "part", "at most 4"),
        ("part=lumo/gx2042&also=inch", "also", "give customary"),
        ("part=lumo/gx2042&also=customary&also=customary", "also", "it is given twice"),
        ("parts=lumo/gx2042", "parts", "not known here"),
    ],
)
def test_a_comparison_that_cannot_be_read_is_a_400_that_says_what_can(
    as_colleague, catalogue, query, where, words
):
    answer = as_colleague.get(f"/api/v1/part-comparison/?{query}")
    assert answer.status_code == 400
    (error,) = answer.json()["errors"]
    assert error["where"] == f"query parameter {where}"
    assert words in f"{error['what']}; {error['right']}"


@pytest.mark.parametrize(
    ("path", "status"),
    [("spec-sheets/none/", 404), ("spec-sheets/nk4/?also=inch", 400), ("spec-sheets/nk4/?unit=mm", 400)],
)
def test_a_sheet_that_is_not_there_is_a_problem(as_colleague, catalogue, path, status):
    answer = as_colleague.get(f"/api/v1/{path}")
    assert (answer.status_code, answer["Content-Type"]) == (status, "application/problem+json")
