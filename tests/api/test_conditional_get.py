"""Conditional reading as RFC 9110 has it (https://www.rfc-editor.org/rfc/rfc9110): 8.8.3, 13.1.2, 15.4.5."""

import pytest

from catalog.models import Supplier
from shop.api.conditional import matches_weakly

pytestmark = pytest.mark.django_db


@pytest.fixture
def tag(ask, catalogue):
    return ask("suppliers/north/")["ETag"]


def test_a_row_carries_a_strong_quoted_tag(tag):
    # 8.8.3: entity-tag = [ weak ] opaque-tag; opaque-tag = DQUOTE *etagc DQUOTE
    assert tag.startswith('"')
    assert tag.endswith('"')
    assert len(tag) > 2


def test_the_current_tag_gets_304_without_a_body(ask, tag):
    answer = ask("suppliers/north/", headers={"If-None-Match": tag})
    assert answer.status_code == 304
    assert answer.content == b""


def test_304_keeps_the_headers_a_cache_needs(ask, tag):
    # 15.4.5: "MUST generate any of the following header fields that would have been sent in a 200 (OK)"
    full, short = ask("suppliers/north/"), ask("suppliers/north/", headers={"If-None-Match": tag})
    for name in ("Content-Location", "ETag", "Vary", "Cache-Control", "Expires"):
        assert short.get(name) == full.get(name), name


def test_a_tag_of_another_state_gets_the_row(ask, tag):
    Supplier.objects.filter(code="north").update(name="North and South")
    answer = ask("suppliers/north/", headers={"If-None-Match": tag})
    assert answer.status_code == 200
    assert answer["ETag"] != tag


def test_a_star_matches_any_row_there_is(ask, tag):
    # 13.1.2: with "*" the condition is false if there is a current representation.
    assert ask("suppliers/north/", headers={"If-None-Match": "*"}).status_code == 304


def test_a_star_does_not_match_a_row_there_is_not(ask, catalogue):
    assert ask("suppliers/nowhere/", headers={"If-None-Match": "*"}).status_code == 404


def test_the_comparison_is_weak(ask, tag):
    # 13.1.2: "A recipient MUST use the weak comparison function"
    assert ask("suppliers/north/", headers={"If-None-Match": f"W/{tag}"}).status_code == 304


def test_one_of_several_tags_is_enough(ask, tag):
    assert (
        ask("suppliers/north/", headers={"If-None-Match": f'"xyzzy", W/"r2d2xxxx", {tag}'}).status_code == 304
    )


# 8.8.3.2, the table of comparisons: the column "Weak Comparison".
@pytest.mark.parametrize(
    ("one", "other", "match"),
    [('W/"1"', 'W/"1"', True), ('W/"1"', 'W/"2"', False), ('W/"1"', '"1"', True), ('"1"', '"1"', True)],
)
def test_the_table_of_the_standard(one, other, match):
    assert matches_weakly(one, other) is match
    assert matches_weakly(other, one) is match


def test_no_header_and_an_unquoted_tag_match_nothing():
    assert not matches_weakly("", '"1"')
    assert not matches_weakly("1", '"1"')


def test_head_is_told_the_same_tag(as_colleague, tag):
    assert as_colleague.head("/api/v1/suppliers/north/")["ETag"] == tag


def test_a_list_can_be_asked_again_too(ask, catalogue):
    tag = ask("suppliers/")["ETag"]
    assert ask("suppliers/", headers={"If-None-Match": tag}).status_code == 304


def test_a_problem_carries_no_tag(ask, catalogue):
    assert "ETag" not in ask("suppliers/nowhere/")


@pytest.mark.databases("sqlite")
def test_each_form_and_each_choice_of_members_has_a_tag_of_its_own(ask, catalogue):
    tags = [
        ask("suppliers/", headers={"Accept": accept}, **query)["ETag"]
        for accept in ("application/json", "text/csv")
        for query in ({}, {"fields": "code,name"}, {"fields": "name,code"}, {"ordering": "-name"})
    ]
    assert len(set(tags)) == len(tags)


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("accept", ["application/json", "text/csv"])
def test_a_tag_holds_for_the_form_it_came_with(ask, catalogue, accept):
    tag = ask("suppliers/", headers={"Accept": accept})["ETag"]
    other = {"application/json": "text/csv", "text/csv": "application/json"}[accept]
    assert ask("suppliers/", headers={"Accept": accept, "If-None-Match": tag}).status_code == 304
    assert ask("suppliers/", headers={"Accept": other, "If-None-Match": tag}).status_code == 200


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("status", [200, 304])
def test_a_cache_is_told_what_the_answer_depends_on(ask, tag, status):
    # RFC 9110, 12.5.5: Vary names what besides the address took part in choosing the answer.
    headers = {"If-None-Match": tag} if status == 304 else {}
    answer = ask("suppliers/north/", headers=headers)
    assert answer.status_code == status
    assert {"Accept", "Authorization", "Cookie"} <= set(answer["Vary"].split(", "))


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize(
    "address", ["", "schema/", "problems/refused/", "search/?q=heater", "spec-sheets/nk4/"]
)
def test_every_get_can_be_asked_again(ask, catalogue, address):
    tag = ask(address)["ETag"]
    assert ask(address, headers={"If-None-Match": f'"other", {tag}'}).status_code == 304


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize("address", ["suppliers/", "suppliers/north/"])
def test_head_says_what_get_says_without_the_body(as_colleague, catalogue, address):
    # RFC 9110, 9.3.2
    get, head = as_colleague.get(f"/api/v1/{address}"), as_colleague.head(f"/api/v1/{address}")
    assert head.content == b""
    assert {name: head[name] for name in get.headers} == dict(get.headers)


@pytest.mark.databases("sqlite")
@pytest.mark.parametrize(
    ("address", "methods"),
    [("suppliers/", {"GET", "HEAD", "OPTIONS"}), ("fitment-checks/", {"POST", "OPTIONS"}),
     ("jobs/", {"GET", "HEAD", "POST", "OPTIONS"})],
)  # fmt: skip
def test_options_names_the_methods_and_has_no_body(as_colleague, catalogue, address, methods):
    # RFC 9110, 9.3.7
    answer = as_colleague.options(f"/api/v1/{address}")
    assert (answer.status_code, answer.content) == (204, b"")
    assert set(answer["Allow"].split(", ")) == methods
