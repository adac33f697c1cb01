"""Lists as CSV, as RFC 4180 (https://www.rfc-editor.org/rfc/rfc4180) has it, read back by Python's csv.

Which cells a spreadsheet takes for formulas: OWASP, "CSV Injection"
(https://owasp.org/www-community/attacks/CSV_Injection): = + - @, tab, carriage return, line feed.
"""

import csv
import io
import json
import re
from typing import Any

import pytest

from catalog.models import Part, PartType, Supplier
from shop.api.tables import cell
from shop.rules.csv_text import FORMULA
from tests.api.conftest import catalogue_lists

CSV = {"Accept": "text/csv"}


def rows(answer: Any) -> list[dict[str, str]]:
    assert answer.status_code == 200, answer.content
    assert answer["Content-Type"] == "text/csv; charset=utf-8"
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8"), newline=""), strict=True))


def flat(row: dict[str, Any], before: str = "") -> dict[str, Any]:
    found: dict[str, Any] = {}
    for name, value in row.items():
        found |= flat(value, f"{before}{name}.") if isinstance(value, dict) else {before + name: value}
    return found


@pytest.mark.django_db
@pytest.mark.parametrize("address", catalogue_lists())
def test_every_list_says_in_csv_what_it_says_in_json(ask, catalogue, address):
    in_json, in_csv = ask(f"{address}/").json()["results"], rows(ask(f"{address}/", headers=CSV))
    assert len(in_json) == len(in_csv) > 0
    for one, other in zip(in_json, in_csv, strict=True):
        for name, value in flat(one).items():
            if name not in other:  # an object that is null, or one whose members are not fixed
                assert value is None or name.partition(".")[0] in other, name
            elif value in (None, "", []):
                assert other[name] == ""
            elif isinstance(value, bool):
                assert other[name] == json.dumps(value)
            elif isinstance(value, list):
                plain = not any(isinstance(item, dict) for item in value)
                assert other[name] == "; ".join(value) if plain else json.loads(other[name]) == value
            elif not FORMULA.match(str(value)):
                assert other[name] == str(value)


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_records_end_in_crlf_and_commas_quotes_and_line_breaks_are_enclosed(ask, catalogue):
    # RFC 4180, 2.1, 2.6 and 2.7.
    name = 'Nuts, "bolts"\r\nand more'
    PartType.objects.filter(code="relay").update(name=name)
    answer = ask("part-types/", headers=CSV)
    content = answer.content.decode()
    assert content.endswith("\r\n")
    assert '"Nuts, ""bolts""\r\nand more"' in content
    assert name in [row["name"] for row in rows(answer)]


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_an_empty_list_is_its_header_row(ask, catalogue):
    answer = ask("brands/", headers=CSV, name="nothing like it")
    assert answer.content == b"code,name\r\n"


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_the_chosen_members_are_the_columns_in_the_order_asked_for(ask, catalogue):
    answer = ask("offers/", headers=CSV, fields="price,part,supplier")
    assert answer.content.splitlines()[0] == b"price,part.brand,part.number,supplier"


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_the_link_header_leads_through_all_pages(as_colleague, catalogue):
    address, found = "/api/v1/parts/?limit=3", []
    while address:
        answer = as_colleague.get(address, headers=CSV)
        found += [row["number"] for row in rows(answer)]
        # RFC 8288, 3: <target>; rel="relation"
        link = re.fullmatch(r'<([^>]+)>; rel="next"', answer.get("Link", ""))
        address = link[1] if link else ""
    assert sorted(found) == sorted(Part.objects.values_list("number", flat=True))


@pytest.mark.parametrize("start", list("=+-@\t\r\n＝＋－＠"))
def test_no_cell_begins_like_a_formula(start):
    assert cell(f"{start}1+1") == f"'{start}1+1"


@pytest.mark.parametrize("number", ["-1", "-0.5", "12", "0.0088"])
def test_plain_numbers_stay_numbers(number):
    assert cell(number) == number


@pytest.mark.parametrize(
    "text", ["=1", "'=1", "''=1", "'tis", "O'Ring", "-5", "- 5", "+44 1632", "", "'", "a=b", "@home"]
)
def test_a_program_gets_the_value_back_by_taking_one_apostrophe_off(text):
    shown = cell(text)
    # As the module says it: one apostrophe where it stands before such a character.
    assert (shown[1:] if re.match(r"'+[=+\-@\t\r\n＝＋－＠]", shown) else shown) == text


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_a_name_that_is_a_formula_arrives_as_text(ask, catalogue):
    Supplier.objects.filter(code="north").update(name='=HYPERLINK("http://x.example")')
    names = [row["name"] for row in rows(ask("suppliers/", headers=CSV))]
    assert '\'=HYPERLINK("http://x.example")' in names


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
@pytest.mark.parametrize(
    ("accept", "form"),
    [
        # RFC 9110, 12.5.1: the weights decide, then how much a range says; without the header anything goes.
        (None, "application/json"),
        ("*/*", "application/json"),
        ("", "application/json"),
        ("text/csv", "text/csv"),
        ("text/*", "text/csv"),
        ("text/csv, application/json;q=0.9", "text/csv"),
        ("text/csv;q=0.4, application/json;q=0.5", "application/json"),
        ("application/json;q=0, */*", "text/csv"),
        ("image/png, */*;q=0.1", "application/json"),
        ("text/csv;q=0.2, */*;q=0.1", "text/csv"),
        ("text/csv; header=present", "text/csv"),
        ("TEXT/CSV", "text/csv"),
        ("text/csv;q=often", "text/csv"),
    ],
)
def test_the_accept_header_decides_the_form(as_colleague, catalogue, accept, form):
    headers = {} if accept is None else {"Accept": accept}
    answer = as_colleague.get("/api/v1/brands/", headers=headers)
    assert answer["Content-Type"].partition(";")[0] == form


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("accept", ["image/png", "text/html", "text/csv;q=0"])
def test_a_form_that_no_answer_has_is_406_and_names_those_there_are(as_colleague, catalogue, accept):
    answer = as_colleague.get("/api/v1/brands/", headers={"Accept": accept})
    assert answer.status_code == 406
    assert "text/csv" in answer.json()["detail"]


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("address", ["brands/lumo/", "jobs/"])
def test_what_is_not_a_list_to_read_has_no_csv(as_owner, catalogue, address):
    ask = as_owner.post if address == "jobs/" else as_owner.get
    assert ask(f"/api/v1/{address}", headers=CSV).status_code == 406


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_the_address_does_not_decide_the_form(ask, catalogue):
    assert ask("brands/", format="csv").json()["errors"][0]["where"] == "query parameter format"


@pytest.mark.django_db
@pytest.mark.databases("sqlite")
def test_a_problem_is_json_whatever_was_asked_for(ask, catalogue):
    assert ask("brands/", headers=CSV, colour="red")["Content-Type"] == "application/problem+json"
