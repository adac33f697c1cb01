"""The calculators over HTTP: answered in SI and in the asked unit, refused with problem details."""

from decimal import Decimal
from typing import Any

import pytest

from catalog.rules.calculators.shelf import CALCULATORS

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.databases("sqlite"),
]  # nothing here asks the database anything

GLAND = {"cross_section": "3.53", "depth_min": "2.79", "depth_max": "2.95", "width_min": "4.8",
         "width_max": "5.1"}  # fmt: skip


def answer(ask: Any, path: str, **query: str) -> dict[str, Any]:
    found = ask(f"calculators/{path}/", **query)
    assert found.status_code == 200, found.content
    return found.json()


def test_the_list_names_every_calculator_with_its_address(ask, as_colleague):
    listed = ask("calculators/").json()
    assert [one["code"] for one in listed] == list(CALCULATORS)
    assert as_colleague.get(listed[1]["address"], {"dash": "210"}).status_code == 200


def test_a_stranger_is_asked_to_sign_in(as_stranger):
    assert as_stranger.get("/api/v1/calculators/o-ring-size/?dash=210").status_code == 401


def test_a_figure_comes_in_si_and_in_the_unit_asked_for(ask):
    # 25.48 N m are 18.79 lbf ft: NIST SP 811, appendix B.8 (1 lbf ft = 1.355818 N m).
    body = answer(ask, "tightening-torque", thread="M8", show_torque="[lbf_av].[ft_i]")
    torque = body["results"]["torque"]
    assert (torque["unit"], torque["nominal"], torque["minimum"]) == ("N.m", "25.48", None)
    assert torque["asked"] == {
        "unit": "[lbf_av].[ft_i]", "minimum": None, "nominal": "18.79", "maximum": None,
    }  # fmt: skip
    assert body["results"]["preload_at_torque"] is None, "not asked about, and there all the same"


def test_an_answer_says_how_it_was_worked_out_where_from_and_what_can_hurt(ask):
    body = answer(ask, "wire-voltage-drop", gauge="12", length="3", current="20", supply="12")
    assert body["steps"][-1] == {
        "formula": "drop = current × R", "numbers": "20 A × 0.03126 Ω = 0.6253 V, of 12 V",
    }  # fmt: skip
    assert any("HyperPhysics" in source["title"] for source in body["sources"])
    assert body["cautions"]


def test_an_entry_may_bring_its_own_unit(ask):
    metres = {name: f"{Decimal(value) / 1000} m" for name, value in GLAND.items()}
    assert answer(ask, "o-ring-gland", **metres)["results"] == answer(ask, "o-ring-gland", **GLAND)["results"]


def test_the_heaters_that_a_current_accounts_for_are_marked(ask):
    body = answer(
        ask, "heater-bank", supply="12", resistance="0.6", resistance_max="0.66", count="8", measured="140"
    )
    assert body["verdicts"][0]["outcome"] == "7 of 8"
    assert [row["key"] for row in body["rows"] if row["remark"] == "agrees"] == ["7"]
    assert body["rows"][8]["results"]["current"]["maximum"] == "160.0"


def test_a_size_not_on_record_is_an_answer_without_figures(ask):
    body = answer(ask, "o-ring-size", dash="325")
    assert set(body["results"].values()) == {None}
    assert body["verdicts"][0]["outcome"] == "not on record here"


@pytest.mark.parametrize(
    ("change", "where", "what"),
    [
        ({"cross_section": "-2"}, "cross_section", "-2 mm is not more than 0 mm"),
        ({"cross_section": "1e999"}, "cross_section", "out of range"),
        ({"cross_section": "9" * 900}, "cross_section", "has 900 characters"),
        ({"depth_min": "NaN"}, "depth_min", "not a finite number"),
        ({"depth_min": "2 N.m"}, "depth_min", "measures torque, not length"),
        ({"width_min": "99"}, "width_min", "is more than 50 mm"),
        ({"cross_section": "20"}, "cross_section", "larger than the gland"),
        ({"croissant": "1"}, "croissant", "not known here"),
        ({"tolerance": ""}, "tolerance", "empty"),
    ],
)
def test_what_is_wrong_is_a_problem_naming_the_parameter_and_what_would_be_right(ask, change, where, what):
    found = ask("calculators/o-ring-gland/", **(GLAND | change))
    assert found.status_code == 400
    assert found["Content-Type"] == "application/problem+json"
    (error,) = found.json()["errors"]
    assert error["where"] == f"query parameter {where}"
    assert what in error["what"]
    assert error["right"]


def test_everything_missing_is_said_at_once(ask):
    errors = ask("calculators/o-ring-gland/").json()["errors"]
    assert [error["where"].removeprefix("query parameter ") for error in errors] == list(GLAND)


def test_an_answer_can_be_asked_again_conditionally(ask):
    first = ask("calculators/o-ring-size/", dash="210")
    again = ask("calculators/o-ring-size/", dash="210", headers={"If-None-Match": first["ETag"]})
    assert again.status_code == 304


@pytest.mark.parametrize("method", ["post", "put", "delete"])
def test_there_is_nothing_to_write(as_owner, method):
    assert getattr(as_owner, method)("/api/v1/calculators/o-ring-size/").status_code == 405
