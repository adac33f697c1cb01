"""What the shop's own closed jobs say about the minutes on record."""

from typing import Any

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.models import EngineFamily
from estimates.api.after_shape import HistoryListSerializer
from estimates.api.renderers import PlainJSONRenderer
from estimates.history import Line, fewest_times, history
from estimates.models import ActualTime
from shop.api.filters import check_parameters
from shop.api.problems import BadRequest
from shop.api.views import Api

FAMILY = OpenApiParameter("family", str, description="an engine family's code: its work alone")


class HistoryView(Api):
    """Median, spread (MAD) and count of the minutes written down on closed jobs, by operation, test and step.

    From a number of times on that the workshop sets, other minutes are proposed; nothing changes by itself.
    """

    queryset = ActualTime.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(parameters=[FAMILY], responses=HistoryListSerializer, operation_id="labour_history")
    def get(self, request: Request) -> Response:
        check_parameters(request, {"family"})
        family = request.query_params.get("family", "")
        if family and ("\x00" in family or not EngineFamily.objects.filter(code=family).exists()):
            raise BadRequest.refused(
                "query parameter family", f"no engine family {family!r}", "give a code of engine-families/"
            )
        fewest = fewest_times()
        return Response({"fewest": fewest, "results": [_row(line) for line in history(family, fewest)]})


def _row(line: Line) -> dict[str, Any]:
    taken = line.taken
    return {
        "family": line.family,
        "kind": line.kind,
        "code": line.code,
        "name": line.name,
        "further": line.further,
        "stated": line.stated,
        "count": taken.count,
        "median": str(taken.median),
        "mad": str(taken.mad),
        "least": taken.least,
        "most": taken.most,
        "proposed": line.proposal.minutes if line.proposal else None,
        "reason": line.proposal.reason if line.proposal else "",
    }
