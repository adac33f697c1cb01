"""Issued estimates in rows: numbers, days, totals and how each one stands."""

import django_filters
from django.db.models import QuerySet
from django.utils import timezone
from rest_framework import serializers

from estimates.models import IssuedEstimate, Job
from shop.api.fields import MoneyField, ReadSerializer
from shop.api.filters import ApiFilterSet, CodeFilter, DayFilter
from shop.api.views import ListView

STATES = {
    "issued": "given to the customer, and still standing",
    "expired": "its last day is over",
    "replaced": "a later revision took its place",
}


def estimate_rows() -> QuerySet[IssuedEstimate]:
    """With all that a row shows, without the documents themselves."""
    rows = IssuedEstimate.objects.select_related("job", "issued_by", "replaced_by")
    return rows.defer("document", "replaced_by__document")


class EstimateSerializer(ReadSerializer):
    job = serializers.CharField(source="job.number", read_only=True)
    state = serializers.SerializerMethodField(
        help_text="; ".join(f"{state}: {words}" for state, words in STATES.items())
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
        if self.get_replaced_by(row) is not None:
            return "replaced"
        return "expired" if row.valid_until < timezone.localdate() else "issued"

    def get_replaced_by(self, row: IssuedEstimate) -> int | None:
        later = getattr(row, "replaced_by", None)
        return None if later is None else later.revision


class EstimateFilter(ApiFilterSet):
    number = django_filters.CharFilter(label="like E-J1001: every revision of it")
    job = CodeFilter(Job, to="number", label="a job's number")
    issued_on = DayFilter(field_name="issued_at", lookup_expr="date", label="that day")
    issued_on__gte = DayFilter(field_name="issued_at", lookup_expr="date__gte", label="that day or later")
    issued_on__lte = DayFilter(field_name="issued_at", lookup_expr="date__lte", label="that day or before")
    issued_by = django_filters.CharFilter(field_name="issued_by__username", label="a person's user name")
    state = django_filters.ChoiceFilter(
        choices=list(STATES.items()), method="in_state", label="how it stands"
    )

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
        return (
            last.filter(valid_until__lt=today) if state == "expired" else last.filter(valid_until__gte=today)
        )


class EstimatesView(ListView):
    """Issued estimates, every revision a row of its own."""

    queryset = estimate_rows()
    serializer_class = EstimateSerializer
    filterset_class = EstimateFilter
    page_key = ("number", "revision")
    rows_decide = False  # an estimate expires by itself
