"""Issued estimates in rows: numbers, days, totals and how each one stands."""

import django_filters
from django.db.models import Q, QuerySet
from django.utils import timezone
from rest_framework import serializers

from estimates.decisions import replaced_by, standing_of, with_standing
from estimates.models import IssuedEstimate, Job
from estimates.rules.life import WORDS
from shop.api.fields import MoneyField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter, DayFilter
from shop.api.views import ListView


def estimate_rows() -> QuerySet[IssuedEstimate]:
    """With all that a row shows, without the documents themselves."""
    rows = IssuedEstimate.objects.select_related("job", "issued_by", "replaced_by")
    return with_standing(rows.defer("document", "replaced_by__document"))


class EstimateSerializer(ReadSerializer):
    job = serializers.CharField(source="job.number", read_only=True)
    state = serializers.SerializerMethodField(
        help_text="; ".join(f"{state}: {words}" for state, words in WORDS.items())
    )
    replaced_by = serializers.SerializerMethodField(help_text="the revision that took its place")
    issued_by = serializers.CharField(
        source="issued_by.username", default=None, allow_null=True, read_only=True
    )
    firm_total = MoneyField("currency", help_text="with tax")
    ceiling_total = MoneyField("currency", help_text="firm and every contingent item, with tax")
    options_total = MoneyField("currency", help_text="with every option too, with tax")
    sha256 = serializers.CharField(help_text="of the document as it was frozen; its ETag")

    class Meta:
        model = IssuedEstimate
        fields = [
            "number", "revision", "job", "state", "replaced_by", "issued_at", "issued_by", "valid_until",
            "currency", "firm_total", "ceiling_total", "options_total", "sha256",
        ]  # fmt: skip

    def get_state(self, row: IssuedEstimate) -> str:
        return standing_of(row, timezone.localdate()).state

    def get_replaced_by(self, row: IssuedEstimate) -> int | None:
        return replaced_by(row)


class EstimateFilter(ApiFilterSet):
    number = django_filters.CharFilter(label="like E-J1001: every revision of it")
    job = CodeFilter(Job, to="number", label="a job's number")
    issued_on = DayFilter(field_name="issued_at", lookup_expr="date", label="that day")
    issued_on__gte = DayFilter(field_name="issued_at", lookup_expr="date__gte", label="that day or later")
    issued_on__lte = DayFilter(field_name="issued_at", lookup_expr="date__lte", label="that day or before")
    issued_by = django_filters.CharFilter(field_name="issued_by__username", label="a person's user name")
    state = django_filters.ChoiceFilter(choices=list(WORDS.items()), method="in_state", label="how it stands")

    class Meta:
        model = IssuedEstimate
        fields = {
            "revision": ["exact"],
            "valid_until": ["exact", "gte", "lte"],
            "currency": ["exact"],
            "firm_total": ["exact", "gte", "lte"],
            "ceiling_total": ["exact", "gte", "lte"],
            "options_total": ["exact", "gte", "lte"],
            "sha256": ["exact"],
        }

    not_filtered = {
        "replaces": "state says what was replaced, and the revision before is one less",
        "cost_basis": "what the shop pays, kept for its own use",
        "document": "text of a whole estimate; sha256 finds the one that is held",
    }

    def in_state(self, rows: QuerySet[IssuedEstimate], name: str, state: str) -> QuerySet[IssuedEstimate]:
        if state == "replaced":
            return rows.filter(replaced_by__isnull=False)
        last = rows.filter(replaced_by__isnull=True)
        today = timezone.localdate()
        how = {
            "issued": Q(decision__isnull=True, valid_until__gte=today),
            "expired": Q(decision__isnull=True, valid_until__lt=today),
            "accepted": Q(agreed__gt=0, firm_left_out=0),
            "partly accepted": Q(agreed__gt=0, firm_left_out__gt=0),
            "declined": Q(decision__isnull=False, agreed=0),
        }
        return last.filter(how[state])


class EstimatesView(ListView):
    """Issued estimates, every revision a row of its own."""

    queryset = estimate_rows()
    serializer_class = EstimateSerializer
    filterset_class = EstimateFilter
    page_key = ("number", "revision")
    rows_decide = False  # an estimate expires by itself
