"""GET search/: everything one line may mean, ranked, each hit with the reason it was found."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.search.find import LONGEST, MOST, Answer, search
from shop.api.filters import check_parameters
from shop.api.problems import BadRequest
from shop.api.views import Api
from shop.rules.errors import Fault, Refused

MOST_ASKED = 50


class SearchKeySerializer(serializers.Serializer):
    """What names the thing found elsewhere in this API."""

    brand = serializers.CharField(required=False, help_text="of a part: the brand's code")
    number = serializers.CharField(required=False, help_text="of a part: in the brand's own spelling")
    part_type = serializers.CharField(required=False, help_text="of a part type and of a fitting: its code")
    family = serializers.CharField(required=False, help_text="of a family and of a fitting: its code")


class SearchHitSerializer(serializers.Serializer):
    rank = serializers.IntegerField(help_text="hits found in the same way share one: 1, 1, 3")
    kind = serializers.ChoiceField(
        choices=["part", "part type", "family", "fitting"],
        help_text="a fitting is a part type for an engine family: send both to fitment-checks",
    )
    found = serializers.ChoiceField(
        choices=["number", "supplier", "family", "prefix", "slip", "words"],
        help_text="the number as asked, a supplier's own number, a family's code or name, the beginning of "
        "a number, one character different, words of the description",
    )
    key = SearchKeySerializer()
    label = serializers.CharField()  # type: ignore[assignment]
    detail = serializers.CharField()
    why = serializers.CharField(help_text="the reason it was found, for people")


class SearchAnswerSerializer(serializers.Serializer):
    q = serializers.CharField()
    hits = SearchHitSerializer(many=True)
    remarks = serializers.ListField(
        child=serializers.CharField(), help_text="how words were read that are on no record"
    )
    more = serializers.BooleanField(help_text="hits were left out: say more, or raise limit")


class SearchView(Api):
    """Part numbers in any spelling (also the beginning, also with one slip), suppliers' own numbers, engine
    families, part types, and words of descriptions, all in one parameter. The surest hits come first."""

    @extend_schema(
        operation_id="search",
        responses=SearchAnswerSerializer,
        parameters=[
            OpenApiParameter(
                "q", {"type": "string", "maxLength": LONGEST}, required=True,
                description=f"1 to {LONGEST} characters",
                examples=[OpenApiExample("the beginning of a number", "GX-10")],
            ),
            OpenApiParameter(
                "limit", {"type": "integer", "minimum": 1, "maximum": MOST_ASKED, "default": MOST},
                description=f"1 to {MOST_ASKED} hits; {MOST} unless given",
            ),
        ],
    )  # fmt: skip
    def get(self, request: Request) -> Response:
        check_parameters(request, {"q", "limit"})
        line = request.query_params.get("q")
        if line is None:
            raise BadRequest.single("query parameter q", "it is missing", "give what to search for")
        limit = _limit(request.query_params.get("limit", str(MOST)))
        try:
            return Response(_body(line, search(line, limit)))
        except Refused as error:
            faults = [Fault("query parameter q", fault.what, fault.right) for fault in error.faults]
            raise BadRequest(faults, "refused") from error


def _limit(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 5 and 1 <= int(text) <= MOST_ASKED):
        right = f"give a whole number from 1 to {MOST_ASKED}"
        raise BadRequest.single("query parameter limit", f"'{text[:20]}' is not one", right)
    return int(text)


def _body(line: str, answer: Answer) -> dict[str, Any]:
    return {
        "q": line,
        "hits": [
            {
                "rank": rank, "kind": hit.kind, "found": hit.found, "key": dict(hit.key),
                "label": hit.label, "detail": hit.detail, "why": hit.why,
            }
            for rank, hit in answer.hits
        ],
        "remarks": list(answer.remarks),
        "more": answer.more,
    }  # fmt: skip
