"""What to test next on a job."""

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.desk import desk_for
from estimates.api.next_test_shape import AdviceSerializer
from estimates.api.renderers import PlainJSONRenderer
from estimates.models import Job
from estimates.next_tests import advice_content, advised
from estimates.queries import terms_of, the_workshop
from estimates.rules.judging import assess
from shop.api.filters import check_parameters
from shop.api.views import Api


class NextTestsView(Api):
    """The three tests that settle most for their minutes, what each outcome would settle, and what each costs
    at the shop's labour rate; or that enough is known, because no test could change what is quoted."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=AdviceSerializer, operation_id="jobs_next_tests")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk = desk_for(number)
        assessment = assess(desk.book, desk.brought.readings, desk.brought.judged)
        found = advised(desk.brought, desk.book, assessment, terms_of(the_workshop()))
        return Response(advice_content(found))
