"""One job, read from top to bottom in the order of the work."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from estimates.views.common import desk_for
from estimates.views.page import job_page


@require_safe
@login_required
def job(request: HttpRequest, pk: int) -> HttpResponse:
    """?test=CODE opens the rows of a test point for entry."""
    return job_page(request, desk_for(pk), test=request.GET.get("test", ""))
