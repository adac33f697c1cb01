"""Issued estimates, as they were given out: to be read, never changed."""

from django.contrib import admin

from estimates.models import IssuedEstimate, IssuedFile, IssuedLine
from shop.admin.base import ReadOnlyAdmin, ReadOnlyInline


class IssuedLineInline(ReadOnlyInline):
    model = IssuedLine


class IssuedFileInline(ReadOnlyInline):
    model = IssuedFile
    fields = ["name", "media_type", "sha256"]


@admin.register(IssuedEstimate)
class IssuedEstimateAdmin(ReadOnlyAdmin):
    list_display = [
        "number",
        "revision",
        "job",
        "issued_at",
        "valid_until",
        "firm_total",
        "ceiling_total",
        "currency",
    ]
    list_filter = ["currency", "issued_at"]
    list_select_related = ["job__unit"]
    search_fields = ["number", "job__number", "job__unit__name"]
    inlines = [IssuedLineInline, IssuedFileInline]
