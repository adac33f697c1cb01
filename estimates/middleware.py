"""What every form on a job's page has in common when the job is closed."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from estimates.closed import JobClosed
from estimates.views.common import desk_for
from estimates.views.page import job_page, refused


class ClosedJobs:
    """A change to a closed job is answered with its page, which says why it was not made. The API says it in
    its own way."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        match = request.resolver_match
        if not isinstance(exception, JobClosed) or match is None or "pk" not in match.kwargs:
            return None
        alert = refused("closing", exception.faults)
        return job_page(request, desk_for(match.kwargs["pk"]), status=422, alert=alert)
