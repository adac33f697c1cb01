"""Problem details as RFC 9457 describes them, for everything that can go wrong.

The members and what they may hold are section 3 of https://www.rfc-editor.org/rfc/rfc9457; its own example of
figure 1 (out of credit) is held against the same check as our answers, so the check is not ours alone.
"""

import json
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.core.exceptions import SuspiciousOperation
from django.urls import path
from rest_framework import exceptions, serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.test import APIClient

from shop.api.permissions import ReadSignedInWriteByPermission
from shop.api.problems import KINDS, problem
from shop.api.views import Api
from shop.rules.errors import Fault, Refused

pytestmark = pytest.mark.django_db

# RFC 9457, 3, the first example, as it stands there.
OUT_OF_CREDIT = {
    "type": "https://example.com/probs/out-of-credit",
    "title": "You do not have enough credit.",
    "detail": "Your current balance is 30, but that costs 50.",
    "instance": "/account/12345/msgs/abc",
    "balance": 30,
    "accounts": ["/account/12345", "/account/67890"],
}


# RFC 9110, section 15, and RFC 6585, 4 for 429 (that one from memory).
PHRASES = {
    400: "Bad Request", 401: "Unauthorized", 403: "Forbidden", 404: "Not Found", 405: "Method Not Allowed",
    406: "Not Acceptable", 413: "Content Too Large", 415: "Unsupported Media Type", 429: "Too Many Requests",
    500: "Internal Server Error",
}  # fmt: skip


def check_members(body: dict[str, Any]) -> None:
    """RFC 9457, 3.1: what the standard members must be where they are present."""
    for name in ("type", "title", "detail", "instance"):
        assert isinstance(body.get(name, ""), str), name
    for name in ("type", "instance"):
        urlsplit(body.get(name, ""))
        assert " " not in body.get(name, "")
    if "status" in body:
        assert 100 <= body["status"] <= 599


def check_problem(answer: Any, status: int) -> dict[str, Any]:
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    body = json.loads(answer.content)
    check_members(body)
    # 3.1.2: generators "MUST use the same status code in the actual HTTP response".
    assert body["status"] == status
    # 4.2.1: with "about:blank" the title SHOULD be the HTTP status phrase.
    if body["type"] == "about:blank":
        assert body["title"] == PHRASES[status]
    else:
        # 3.1.1: a relative type is to carry its full path.
        assert body["type"].startswith("/api/v1/problems/")
    for error in body.get("errors", []):
        assert set(error) == {"where", "what", "right"}
        assert all(error.values())
    return body


def test_the_check_agrees_with_the_example_of_the_standard():
    check_members(OUT_OF_CREDIT)


def test_a_problem_can_carry_the_members_of_the_standards_example():
    more = {"balance": 30, "accounts": OUT_OF_CREDIT["accounts"]}
    body = problem(403, OUT_OF_CREDIT["detail"], instance="/account/12345/msgs/abc", **more).data
    assert body["balance"] == 30
    assert {"type", "title", "detail", "instance", "accounts"} <= body.keys()


@pytest.mark.parametrize(
    "address", ["/api/", "/api/v1/nothing/", "/api/v2/parts/", "/api/v1/parts", "/api/x%00/"]
)
@pytest.mark.parametrize("method", ["get", "post", "delete", "options"])
def test_an_unknown_address_below_api_is_a_problem_even_for_a_stranger(as_stranger, address, method):
    body = check_problem(getattr(as_stranger, method)(address), 404)
    assert body["instance"]


def test_an_address_without_its_last_slash_is_told_the_right_one(as_stranger):
    assert "/api/v1/parts/" in check_problem(as_stranger.get("/api/v1/parts"), 404)["detail"]


def test_an_unknown_row_is_a_problem_that_names_it(ask, db):
    assert "'nowhere'" in check_problem(ask("suppliers/nowhere/"), 404)["detail"]


def test_a_stranger_gets_a_challenge(as_stranger):
    answer = as_stranger.get("/api/v1/parts/")
    check_problem(answer, 401)
    assert answer["WWW-Authenticate"].startswith("Token")


def test_a_wrong_token_is_a_problem(as_stranger):
    as_stranger.credentials(HTTP_AUTHORIZATION="Token 0000")
    check_problem(as_stranger.get("/api/v1/parts/"), 401)


def test_a_method_that_is_not_taken_names_those_that_are(as_owner):
    answer = as_owner.post("/api/v1/parts/", {})
    check_problem(answer, 405)
    assert {"GET", "HEAD", "OPTIONS"} == set(answer["Allow"].split(", "))


def test_a_form_that_is_not_answered_in_is_a_problem_in_json_all_the_same(as_owner):
    check_problem(as_owner.get("/api/v1/parts/", headers={"Accept": "image/png"}), 406)


@pytest.mark.parametrize("media_type", ["text/plain", "application/xml", "application/x-www-form-urlencoded"])
def test_a_body_of_another_kind_is_415(as_owner, media_type):
    check_problem(as_owner.post("/api/v1/fitment-checks/", "checks=1", content_type=media_type), 415)


@pytest.mark.parametrize(
    "body",
    ["{", "[1,]", '{"a": NaN}', '{"a": Infinity}', '{"a": 1, "a": 2}', "\ufeff{}", b"\xff\xfe",
     "[" * 100_000, '{"a": "\\ud800"}', '{"\\udfff": 1}', '{"a": 1e99999999999999999999}', "9" * 5000],
    ids=["open", "comma", "nan", "infinity", "twice", "byte-order-mark", "not-utf-8",
         "deep", "half", "half-name", "huge", "long"],
)  # fmt: skip
def test_a_body_that_is_not_json_is_told_so(as_owner, body):
    answer = as_owner.post("/api/v1/fitment-checks/", body, content_type="application/json")
    assert check_problem(answer, 400)["errors"][0]["where"] == "the body"


def test_a_body_at_the_limit_is_read_and_one_byte_more_is_not(as_owner, settings):
    body = b'{"checks": []}'
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = len(body)
    at_limit = as_owner.post("/api/v1/fitment-checks/", body, content_type="application/json")
    assert check_problem(at_limit, 422)["errors"][0]["where"] == "checks"
    above = as_owner.post("/api/v1/fitment-checks/", body + b" ", content_type="application/json")
    check_problem(above, 413)


@pytest.mark.parametrize("kind", KINDS)
def test_what_a_type_names_explains_it(as_stranger, kind):
    answer = as_stranger.get(f"/api/v1/problems/{kind}/")
    assert answer.status_code == 200
    assert answer.json()["title"] == KINDS[kind][0]


def test_a_wrong_host_name_is_a_problem_below_api_and_a_page_elsewhere(as_stranger):
    check_problem(as_stranger.get("/api/v1/parts/", headers={"Host": "elsewhere.example"}), 400)
    page = as_stranger.get("/sign-in/", headers={"Host": "elsewhere.example"})
    assert (page.status_code, page["Content-Type"].partition(";")[0]) == (400, "text/html")


def test_a_failure_around_the_views_is_a_problem_too(as_stranger, monkeypatch, caplog):
    def fail(*args: Any) -> None:
        raise ZeroDivisionError("secret")

    monkeypatch.setattr("django.middleware.common.CommonMiddleware.process_response", fail)
    as_stranger.raise_request_exception = False
    assert "secret" not in json.dumps(check_problem(as_stranger.get("/api/v1/"), 500))


@pytest.mark.parametrize(
    ("query", "what"),
    [
        ("name=%ff", "it is not UTF-8"),
        ("name=%ed%a0%80", "it is not UTF-8"),  # half of a character
        ("name=%00", "it has a control character in it"),
        ("name=a%c2%85", "it has a control character in it"),
        ("name=" + "x" * 1001, "it has 1001 characters"),
    ],
)
def test_a_query_that_cannot_be_meant_is_refused(as_owner, query, what):
    assert check_problem(as_owner.get(f"/api/v1/brands/?{query}"), 400)["errors"][0]["what"] == what


def test_a_query_value_at_the_limit_is_read(as_owner):
    assert as_owner.get(f"/api/v1/brands/?name={'x' * 1000}").status_code == 200


def test_more_parameters_than_anybody_needs_are_a_problem(as_owner):
    check_problem(as_owner.get("/api/v1/brands/?" + "&".join(f"p{n}=1" for n in range(1001))), 400)


def test_an_address_with_odd_characters_is_told_as_a_uri(as_owner):
    body = check_problem(as_owner.get("/api/v1/brands/%C3%A4%20%F0%9F%94%A7%22/"), 404)
    assert body["instance"] == "/api/v1/brands/%C3%A4%20%F0%9F%94%A7%22/"


def test_a_fault_in_the_query_has_where_what_and_right(ask, db):
    body = check_problem(ask("offers/", on="03/06/2024"), 400)
    assert body["errors"] == [
        {
            "where": "query parameter on",
            "what": "'03/06/2024' is not a day",
            "right": "give a day as YYYY-MM-DD, such as 2014-06-03",
        }
    ]


class Line(serializers.Serializer):
    quantity = serializers.IntegerField(min_value=1)


class Order(serializers.Serializer):
    name = serializers.CharField()
    lines = Line(many=True)

    def validate(self, order: dict[str, Any]) -> dict[str, Any]:
        if order["name"] == "same":
            raise serializers.ValidationError("the name is taken")
        return order


class Raising(Api):
    """Goes wrong in the way its address says."""

    permission_classes = ()

    def get(self, request: Request, how: str) -> Response:
        raise {
            "refused": Refused(
                [Fault("row 1", "no unit", "name one"), Fault("row 4", "no price", "give one")]
            ),
            "error": ZeroDivisionError("secret"),
            "forbidden": exceptions.PermissionDenied(),
            "throttled": exceptions.Throttled(wait=7.2),
            "suspicious": SuspiciousOperation("secret"),
        }[how]

    def post(self, request: Request, how: str) -> Response:
        if how == "refused":
            raise Refused.single("row 1", "no unit", "name one")
        Order(data=request.data).is_valid(raise_exception=True)
        return Response()


class Written(Api):
    """A write on the parts, to be allowed or not."""

    permission_classes = (ReadSignedInWriteByPermission,)
    http_method_names = ["get", "post", "delete", "patch"]

    @property
    def queryset(self) -> Any:
        from catalog.models import Part

        return Part.objects.all()

    def answer(self, request: Request) -> Response:
        return Response({"done": True})

    get = post = delete = patch = answer


urlpatterns = [path("raise/<str:how>/", Raising.as_view()), path("write/", Written.as_view())]


@pytest.fixture
def raising(settings: Any) -> APIClient:
    settings.ROOT_URLCONF = __name__
    return APIClient()


def test_a_refusal_of_a_question_is_400_with_every_fault(raising):
    body = check_problem(raising.get("/raise/refused/"), 400)
    assert [error["where"] for error in body["errors"]] == ["row 1", "row 4"]
    assert body["type"] == "/api/v1/problems/refused/"


def test_a_refusal_of_a_write_is_422(raising):
    body = check_problem(raising.post("/raise/refused/", {}), 422)
    assert body["type"] == "/api/v1/problems/refused/"
    assert body["detail"] == "row 1: no unit; name one"


def test_a_failure_of_ours_says_nothing_of_its_inside(raising, caplog):
    body = check_problem(raising.get("/raise/error/"), 500)
    assert "secret" not in json.dumps(body)
    assert "ZeroDivisionError: secret" in caplog.text


def test_an_odd_request_says_nothing_of_its_inside(raising):
    assert "secret" not in json.dumps(check_problem(raising.get("/raise/suspicious/"), 400))


def test_what_is_forbidden_is_403(raising):
    check_problem(raising.get("/raise/forbidden/"), 403)


def test_who_asks_too_often_is_told_when_to_come_back(raising):
    answer = raising.get("/raise/throttled/")
    check_problem(answer, 429)
    assert answer["Retry-After"] == "8"


def test_faults_deep_in_a_body_say_where(raising):
    body = check_problem(raising.post("/raise/x/", {"lines": [{"quantity": 1}, {"quantity": 0}]}), 400)
    assert {error["where"] for error in body["errors"]} == {"name", "lines[1].quantity"}


def test_a_fault_of_the_whole_body_says_so(raising):
    body = check_problem(raising.post("/raise/x/", {"name": "same", "lines": []}), 400)
    assert body["errors"][0]["where"] == "the body"


def test_a_body_that_is_not_an_object_is_a_problem(raising):
    check_problem(raising.post("/raise/x/", [1, 2]), 400)


@pytest.mark.parametrize("method", ["post", "patch", "delete"])
class TestWriting:
    def test_the_owner_may(self, settings, as_owner, method):
        settings.ROOT_URLCONF = __name__
        assert getattr(as_owner, method)("/write/", {}).status_code == 200

    def test_the_colleague_without_the_permission_may_not(self, settings, as_colleague, method):
        settings.ROOT_URLCONF = __name__
        check_problem(getattr(as_colleague, method)("/write/", {}), 403)

    def test_the_colleague_with_the_permission_of_their_group_may(
        self, settings, colleague, as_colleague, method
    ):
        from django.contrib.auth.models import Group, Permission

        settings.ROOT_URLCONF = __name__
        verb = {"post": "add", "patch": "change", "delete": "delete"}[method]
        counter = Group.objects.create(name="counter")
        counter.permissions.add(
            Permission.objects.get(codename=f"{verb}_part", content_type__app_label="catalog")
        )
        colleague.groups.add(counter)
        assert getattr(as_colleague, method)("/write/", {}).status_code == 200

    def test_the_permission_for_something_else_does_not_help(self, settings, colleague, as_colleague, method):
        from django.contrib.auth.models import Permission

        settings.ROOT_URLCONF = __name__
        colleague.user_permissions.add(*Permission.objects.exclude(codename__endswith="_part"))
        check_problem(getattr(as_colleague, method)("/write/", {}), 403)

    def test_the_stranger_may_not(self, settings, as_stranger, method):
        settings.ROOT_URLCONF = __name__
        check_problem(getattr(as_stranger, method)("/write/", {}), 401)


def test_every_signed_in_person_may_read(settings, as_colleague):
    settings.ROOT_URLCONF = __name__
    assert as_colleague.get("/write/").status_code == 200
