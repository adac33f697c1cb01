"""Jobs in rows, and one job whole."""

import django_filters
from django.utils import timezone
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from catalog.api.common import Contains
from catalog.models import EngineFamily
from estimates.api.changes import answer_headers, job_response
from estimates.api.desk import desk_for, job_answer
from estimates.api.job_file_shape import JobFileSerializer
from estimates.api.job_shape import JobSerializer
from estimates.api.keeping import kept_job
from estimates.api.renderers import PlainJSONRenderer
from estimates.models import Customer, Job, Unit
from shop.api.fields import ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter, check_parameters
from shop.api.idempotency import HEADER, LONGEST, PATTERN, answered_once
from shop.api.permissions import signed_in
from shop.api.views import Api, ListView

IDEMPOTENCY_KEY = OpenApiParameter(
    HEADER,
    {"type": "string", "maxLength": LONGEST, "pattern": PATTERN},
    OpenApiParameter.HEADER,
    description="a key you make up, like a UUID: for a day, the same request with it is done once only",
)


class NumberNameSerializer(serializers.Serializer):
    number = serializers.CharField()
    name = serializers.CharField()


class JobUnitSerializer(NumberNameSerializer):
    family = serializers.CharField(source="family.code")


class JobRowSerializer(ReadSerializer):
    customer = NumberNameSerializer(source="unit.customer")
    unit = JobUnitSerializer()
    writer = serializers.CharField(source="writer.username", default=None, allow_null=True, read_only=True)

    class Meta:
        model = Job
        fields = ["number", "opened_on", "complaint", "version", "customer", "unit", "writer"]


class JobFilter(ApiFilterSet):
    customer = CodeFilter(Customer, to="number", field_name="unit__customer", label="a customer's number")
    unit = CodeFilter(Unit, to="number", label="a unit's number")
    family = CodeFilter(EngineFamily, field_name="unit__family", label="an engine family's code")
    writer = django_filters.CharFilter(field_name="writer__username", label="a person's user name")
    complaint = Contains()

    class Meta:
        model = Job
        fields = {
            "number": ["exact"],
            "opened_on": ["exact", "gte", "lte"],
            "complaint": ["exact"],
            "needed_by": ["exact", "gte", "lte"],
            "sourcing_plan": ["exact"],
        }

    not_filtered = {"version": "it counts changes, and says nothing about the job"}


class JobsView(ListView):
    """Jobs, one row each."""

    queryset = Job.objects.select_related("unit__customer", "unit__family", "writer")
    serializer_class = JobRowSerializer
    filterset_class = JobFilter
    page_key = ("number",)
    orders = {"number": "number"}
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(
        request=JobFileSerializer,
        responses={201: JobSerializer},
        parameters=[IDEMPOTENCY_KEY, *answer_headers(201, location=True)],
        filters=False,
    )
    def create(self, request: Request) -> Response:
        """A whole job from a job file, written down or refused as a whole."""
        check_parameters(request, set())

        def write() -> Response:
            job = kept_job(request.data, by=signed_in(request), at=timezone.localtime())
            return job_response(request, desk_for(job.number), status=201)

        return answered_once(request, write)


class JobView(Api):
    """A job with what is known of its unit, its readings with their judgement, and its findings."""

    queryset = Job.objects.all()
    renderer_classes = (PlainJSONRenderer,)

    @extend_schema(responses=JobSerializer, operation_id="jobs_retrieve")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        return Response(job_answer(desk_for(number)))
