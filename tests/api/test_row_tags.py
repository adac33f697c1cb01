"""The tag of a list comes from its rows: whatever changes what the list says changes the tag."""

from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, models, transaction

from catalog.models import Part
from shop.api.row_tags import _values
from tests.api.conftest import catalogue_lists

pytestmark = [pytest.mark.django_db, pytest.mark.databases("sqlite")]


def another(field: models.Field, value: Any) -> Any:
    """Some other value of a column's kind; None for a column that is left alone."""
    if isinstance(field, models.BooleanField):
        return not value
    if isinstance(field, models.DecimalField | models.IntegerField) and not field.primary_key:
        return (Decimal("0.5") if isinstance(field, models.DecimalField) else 1) + (value or 0)
    if isinstance(field, models.DateField):
        from datetime import date, timedelta

        return (value or date(2013, 5, 5)) + timedelta(days=1)
    if isinstance(field, models.CharField | models.TextField) and not isinstance(field, models.EmailField):
        choices = [key for key, _ in field.flatchoices if key != value]
        return choices[0] if choices else f"{value}x"
    return None


def rows_read(queryset: Any) -> list[Any]:
    """One row of every table that is read for a list: there are no others, since no list reads row by row."""
    read = {value for row in queryset for value in _values(row, set()) if isinstance(value, str)}
    found = [model for model in apps.get_app_config("catalog").get_models() if model.__name__ in read]
    return [row for model in found if (row := model._default_manager.order_by("pk").first())]


@pytest.mark.parametrize("address", catalogue_lists())
def test_a_list_that_says_something_else_has_another_tag(ask, catalogue, address):
    before = ask(f"{address}/")
    changed = set()
    rows = rows_read(catalogue_lists()[address].queryset.all())
    for row, field in [(one, field) for one in rows for field in one._meta.concrete_fields]:
        other = another(field, getattr(row, field.attname))
        if other is None:
            continue
        try:
            with transaction.atomic():
                type(row)._default_manager.filter(pk=row.pk).update(**{field.name: other})
                after = ask(f"{address}/")
                if after.content != before.content:
                    changed.add(type(row))
                    assert after["ETag"] != before["ETag"], field
                raise Undo
        except (Undo, DatabaseError):
            pass
    assert changed
    assert ask(f"{address}/")["ETag"] == before["ETag"]


class Undo(Exception):
    pass


def test_the_page_has_its_own_tag_and_a_row_behind_it_changes_it(ask, catalogue):
    # The link to a following page is part of the answer.
    page = ask("parts/", limit="4")
    Part.objects.create(brand=catalogue.tarn, number="99", part_type=catalogue.heater, grade="equivalent")
    longer = ask("parts/", limit="4")
    assert longer.json()["results"] == page.json()["results"]
    assert longer["ETag"] != page["ETag"]


def test_another_address_has_another_tag(ask, catalogue):
    assert ask("parts/", limit="4")["ETag"] != ask("parts/", limit="5")["ETag"]


def test_who_holds_the_page_is_told_so_before_a_row_is_worded(ask, catalogue, monkeypatch):
    from catalog.api.parts import PartSerializer

    tag = ask("parts/")["ETag"]
    monkeypatch.setattr(PartSerializer, "to_representation", lambda *args: pytest.fail("a row was worded"))
    assert ask("parts/", headers={"If-None-Match": tag}).status_code == 304


def test_a_list_that_depends_on_the_day_has_a_tag_of_its_bytes(ask, catalogue):
    from estimates.api.estimate_rows import EstimatesView

    assert not EstimatesView.rows_decide
    assert ask("estimates/")["ETag"]
