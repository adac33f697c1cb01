"""Admin pages of the workshop's own facts, and the ground every app's admin pages stand on."""

from django.contrib import admin

from shop.admin import workshop
from shop.admin.base import choices

admin.site.site_header = "Tallybore: the workshop’s records"
admin.site.site_title = "Tallybore"
admin.site.index_title = "Records"
admin.site.autocomplete_view = choices  # type: ignore[method-assign]

__all__ = ["workshop"]
