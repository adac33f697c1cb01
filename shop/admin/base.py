"""What every admin page of Tallybore shares.

A guard of the database refuses a row only when it is written. Then everything of that request is rolled back
and the page is shown again with what was typed and the guard's sentence on top.
"""

from typing import Any, ClassVar

from django.contrib import admin
from django.contrib.admin.views.autocomplete import AutocompleteJsonView
from django.db import IntegrityError
from django.db.models import ForeignKey, Model, ProtectedError, QuerySet, RestrictedError
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from shop.admin.forms import MasterForm
from shop.integrity import refusal
from shop.models import Event


def label_of(instance: Model) -> str:
    """How a list of choices names it: with its engine family where the name alone would not tell."""
    related = admin.site._registry.get(type(instance))
    return related.choice_label(instance) if isinstance(related, Choosable) else str(instance)


class Choosable:
    """Its query set brings along what its label needs, wherever it is offered as a choice."""

    list_select_related: ClassVar[Any] = ()

    def choice_label(self, instance: Any) -> str:
        return str(instance)

    def get_queryset(self, request: HttpRequest) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().get_queryset(request)  # type: ignore[misc]
        return rows.select_related(*self.list_select_related) if self.list_select_related else rows


class LabelsOfChoices:
    """Foreign keys show `label_of` what is chosen, read with one statement each."""

    def formfield_for_foreignkey(self, db_field: ForeignKey, request: HttpRequest, **kwargs: Any) -> Any:
        related = admin.site._registry.get(db_field.remote_field.model)
        if isinstance(related, Choosable) and "queryset" not in kwargs:
            kwargs["queryset"] = related.get_queryset(request)
        field = super().formfield_for_foreignkey(db_field, request, **kwargs)  # type: ignore[misc]
        if field is not None:
            field.label_from_instance = label_of
        return field


class MasterInline(LabelsOfChoices, admin.TabularInline):
    form = MasterForm
    extra = 0
    show_change_link = False


class MasterAdmin(LabelsOfChoices, Choosable, admin.ModelAdmin):
    form = MasterForm
    list_per_page = 50
    show_full_result_count = False
    save_on_top = False

    def get_form(self, request: HttpRequest, obj: Any = None, change: bool = False, **kwargs: Any) -> Any:
        form = super().get_form(request, obj, change, **kwargs)
        refused = getattr(request, "guard_refusal", "")
        return type(form.__name__, (form,), {"guard_refusal": refused}) if refused else form

    def changeform_view(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        try:
            return super().changeform_view(request, *args, **kwargs)
        except (ProtectedError, RestrictedError):
            refused = "something else still needs what was to be deleted"
        except IntegrityError as error:
            refused = refusal(error)
        request.guard_refusal = refused  # type: ignore[attr-defined]
        return super().changeform_view(request, *args, **kwargs)

    def _event(self, request: HttpRequest, what: str, obj: Model, detail: Any) -> None:
        subject = f"{obj._meta.label_lower} {obj.pk} {obj}"[:120]
        Event.objects.create(
            at=timezone.now(), by_id=request.user.pk, what=what, subject=subject, detail=detail
        )

    def log_addition(self, request: HttpRequest, obj: Any, message: Any) -> Any:
        self._event(request, "master-data-added", obj, {})
        return super().log_addition(request, obj, message)

    def log_change(self, request: HttpRequest, obj: Any, message: Any) -> Any:
        if message:
            self._event(request, "master-data-changed", obj, {"changes": message})
        return super().log_change(request, obj, message)

    def log_deletions(self, request: HttpRequest, queryset: QuerySet[Any]) -> Any:
        for obj in queryset:
            self._event(request, "master-data-deleted", obj, {})
        return super().log_deletions(request, queryset)


class ReadOnlyAdmin(Choosable, admin.ModelAdmin):
    """To be looked at only: the record is written elsewhere, or never changes."""

    show_full_result_count = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class ReadOnlyInline(admin.TabularInline):
    extra = 0
    can_delete = False

    def has_add_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


class LabelledChoices(AutocompleteJsonView):
    def serialize_result(self, obj: Any, to_field_name: str) -> dict[str, str]:
        return {**super().serialize_result(obj, to_field_name), "text": label_of(obj)}


def choices(request: HttpRequest) -> JsonResponse:
    """The admin's look-up of choices while typing, with labels that tell two families' items apart."""
    return LabelledChoices.as_view(admin_site=admin.site)(request)  # type: ignore[return-value]
