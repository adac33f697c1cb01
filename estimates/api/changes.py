"""Changes to a job: made to what the client has seen (If-Match), answered with the job as it then stands."""

from collections.abc import Callable
from typing import Any

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from estimates.actions import Changed
from estimates.api.desk import Desk, desk_for, job_answer, tag_of
from estimates.api.job_shape import JobSerializer
from estimates.api.renderers import PlainJSONRenderer
from shop.api.conditional import matches_strongly
from shop.api.filters import check_parameters
from shop.api.problems import MEDIA_TYPE, BadRequest, problem
from shop.api.views import Api

HEADER = "If-Match"
Work = Callable[[Desk, int | None], Any]
PROBLEM = {"$ref": "#/components/schemas/Problem"}
IF_MATCH = OpenApiParameter(
    HEADER,
    str,
    OpenApiParameter.HEADER,
    required=True,
    description="the ETag of the job as it was seen, or *",
)


def answer_headers(*statuses: int, location: bool = False) -> list[OpenApiParameter]:
    """The headers of an answer with a job, for the OpenAPI document."""
    said = {"ETag": "of the job as it stands now", "Content-Location": "the job's own address"}
    if location:
        said = {"Location": "the address of what was made"} | said
    return [
        OpenApiParameter(name, str, OpenApiParameter.HEADER, response=list(statuses), description=words)
        for name, words in said.items()
    ]


def problem_response(status: int, words: str) -> dict[tuple[int, str], OpenApiResponse]:
    return {(status, MEDIA_TYPE): OpenApiResponse(PROBLEM, description=words)}


STALE = problem_response(
    412, "The job was changed since it was seen; the member current is the job as it stands now."
) | problem_response(428, "If-Match is missing.")


def changes_a_job(body: Any = None, **kwargs: Any) -> Callable[[Any], Any]:
    """The description of a change in the OpenAPI document."""
    return extend_schema(
        request=body or OpenApiTypes.NONE,
        responses={200: JobSerializer, **STALE},
        parameters=[IF_MATCH, *answer_headers(200)],
        **kwargs,
    )


class PreconditionRequired(exceptions.APIException):
    status_code = 428  # RFC 6585, 3
    default_detail = (
        "Say which state of the job you have seen: send its ETag in If-Match. Without it, a change somebody "
        "else made meanwhile would be lost."
    )


class Stale(Exception):
    """The job is not, or is no longer, in the state that the client has seen."""


class JobChange(Api):
    """A change to one job. Subclasses state `queryset`, whose model the write permission is for, and call
    `change` with what is to be done. Every answer is the whole job, and its ETag."""

    renderer_classes = (PlainJSONRenderer,)

    def change(self, request: Request, number: str, work: Work) -> Response:
        """Does `work` on the job if it is as the client has seen it."""
        check_parameters(request, set())
        desk = desk_for(number)
        try:
            work(desk, seen_version(request, desk))
        except (Stale, Changed):
            return stale(request, desk.again())
        return job_response(request, desk.again())


def seen_version(request: Request, desk: Desk) -> int | None:
    """The version of the job that the client has seen, None where it says that any will do.

    RFC 9110, 13.1.1. Raises PreconditionRequired without If-Match, Stale where it names another state.
    """
    wanted = request.headers.get(HEADER, "").strip()
    if not wanted:
        raise PreconditionRequired
    if wanted == "*":
        return None
    if '"' not in wanted:
        raise BadRequest.single(
            f"header {HEADER}", "it holds no entity tag", "send the ETag as it came, with its quotes"
        )
    if not matches_strongly(wanted, tag_of(job_answer(desk))):
        raise Stale
    return desk.job.version


def job_response(request: Request, desk: Desk, status: int = 200) -> Response:
    answer, address = job_answer(desk), job_address(request, desk.job.number)
    headers = {"ETag": tag_of(answer), "Content-Location": address, "Cache-Control": "private, no-cache"}
    if status == 201:
        headers["Location"] = address
    return Response(answer, status=status, headers=headers)


def job_address(request: Request, number: str) -> str:
    return str(reverse("api:job", [number], request=request))


def stale(request: Request, desk: Desk) -> Response:
    """412 with the job as it stands now, so that the client can look at both and send its change again."""
    current = job_answer(desk)
    return problem(
        412,
        f"Job {desk.job.number} was changed since you saw it; it is now at version {desk.job.version}.",
        instance=request.path,
        headers={"ETag": tag_of(current)},
        current=current,
    )
