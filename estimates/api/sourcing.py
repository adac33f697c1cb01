"""Where the parts of a job are bought: the three plans, what was passed over, and which plan is followed."""

from datetime import date
from typing import Any

from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from estimates.api.changes import JobChange, changes_a_job
from estimates.api.desk import Desk, desk_for
from estimates.builder import build
from estimates.models import Job
from estimates.sourcing import set_sourcing, sourcing_content
from shop.api.fields import PlainDecimalField
from shop.api.filters import check_parameters
from shop.api.permissions import signed_in
from shop.rules.entry import Faults, keys_entry


class SourcingSupplierSerializer(serializers.Serializer):
    code = serializers.CharField()
    name = serializers.CharField()
    freight = PlainDecimalField()


class SourcingPlanSerializer(serializers.Serializer):
    plan = serializers.CharField(help_text="cheapest, fewest or soonest")
    title = serializers.CharField()
    followed = serializers.BooleanField()
    possible = serializers.BooleanField(help_text="where not, nothing further is said")
    goods = PlainDecimalField(required=False)
    deposits = PlainDecimalField(required=False)
    freight = PlainDecimalField(required=False)
    total = PlainDecimalField(required=False)
    complete_on = serializers.DateField(required=False)
    suppliers = SourcingSupplierSerializer(many=True, required=False)


class SourcedPartSerializer(serializers.Serializer):
    brand = serializers.CharField()
    number = serializers.CharField()
    shown = serializers.CharField(help_text="brand and number")
    grade = serializers.CharField()


class SourcedPiecesSerializer(serializers.Serializer):
    part = SourcedPartSerializer()
    supplier = serializers.CharField(allow_null=True, help_text="null: own stock, or at list price")
    supplier_number = serializers.CharField()
    pieces = serializers.IntegerField(help_text="whole packs")
    price = PlainDecimalField(help_text="per piece, without tax")
    deposit = PlainDecimalField(help_text="per piece")
    arrives_on = serializers.DateField(allow_null=True)

    def get_fields(self) -> dict[str, Any]:
        return {**super().get_fields(), "from": serializers.CharField(help_text="in words")}


class SourcingPassedOverSerializer(serializers.Serializer):
    part = serializers.CharField()
    price = PlainDecimalField(help_text="per piece needed, without tax")
    reason = serializers.CharField(
        help_text="blocked, grade, late, shelf, packs, deposit, freight, wish, suppliers, days or same"
    )
    dearer_by = PlainDecimalField(allow_null=True, help_text="what the whole purchase would cost more")
    text = serializers.CharField()

    def get_fields(self) -> dict[str, Any]:
        return {**super().get_fields(), "from": serializers.CharField(help_text="in words")}


class SourcedLineSerializer(serializers.Serializer):
    name = serializers.CharField()
    where = serializers.CharField()
    pieces = serializers.IntegerField(help_text="that are needed")
    taken = SourcedPiecesSerializer(many=True)
    passed_over = SourcingPassedOverSerializer(many=True, help_text="offers that ask less for a piece")


class SourcingUnmetSerializer(serializers.Serializer):
    name = serializers.CharField()
    where = serializers.CharField()
    text = serializers.CharField()
    possible_on = serializers.DateField(allow_null=True)


class SourcingSerializer(serializers.Serializer):
    currency = serializers.CharField()
    plan = serializers.CharField(help_text="the one that is followed; prices rest on it")
    chosen_for_this_job = serializers.BooleanField(help_text="false: as usual in this workshop")
    needed_by = serializers.DateField(allow_null=True)
    plans = SourcingPlanSerializer(many=True)
    lines = SourcedLineSerializer(many=True, help_text="what is sure to be bought")
    unmet = SourcingUnmetSerializer(many=True, help_text="what cannot be had as wished")


class SourcingChangeSerializer(serializers.Serializer):
    plan = serializers.CharField(
        required=False, allow_blank=True, help_text="cheapest, fewest, soonest, or empty: as usual"
    )
    needed_by = serializers.DateField(required=False, allow_null=True)


class SourcingView(JobChange):
    """Where the parts of a job are bought. It shows costs and suppliers: not for customers."""

    queryset = Job.objects.all()

    @extend_schema(responses=SourcingSerializer, operation_id="jobs_sourcing")
    def get(self, request: Request, number: str) -> Response:
        check_parameters(request, set())
        desk = desk_for(number)
        return Response(sourcing_content(build(desk.brought, timezone.localdate(), book=desk.book)))

    @changes_a_job(SourcingChangeSerializer, operation_id="jobs_sourcing_set")
    def patch(self, request: Request, number: str) -> Response:
        """Members left out stay as they are."""

        def choose(desk: Desk, seen: int | None) -> None:
            plan, needed_by = given(request.data, desk.job)
            at = timezone.localtime()
            set_sourcing(desk.job, needed_by=needed_by, plan=plan, by=signed_in(request), at=at, version=seen)

        return self.change(request, number, choose)


def given(raw: Any, job: Job) -> tuple[str, date | None]:
    faults = Faults()
    plan, needed_by = job.sourcing_plan, job.needed_by
    if keys_entry(raw, "the body", (), ("plan", "needed_by"), faults):
        if not raw:
            faults.add("the body", "nothing is given", "give plan, needed_by or both")
        if "plan" in raw:
            plan = raw["plan"]
            if not isinstance(plan, str):
                faults.add(
                    "plan", f"{plan!r:.40} is no text", "give cheapest, fewest, soonest or an empty text"
                )
        if raw.get("needed_by", "") is None:
            needed_by = None
        elif "needed_by" in raw:
            needed_by = _day(raw["needed_by"], faults)
    faults.refuse()
    return plan, needed_by


def _day(raw: Any, faults: Faults) -> date | None:
    if isinstance(raw, str) and len(raw) == 10:
        try:
            return date.fromisoformat(raw)
        except ValueError:
            pass
    faults.add("needed_by", f"{raw!r:.40} is no day", "give one like 2026-03-14, or null")
    return None
