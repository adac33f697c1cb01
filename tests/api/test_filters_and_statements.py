"""Forgotten things announce themselves: a field without a filter, statements that grow with the rows."""

from typing import Any

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import Model
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern

from catalog.api.urls import urlpatterns
from catalog.models import (
    AccessStep,
    Application,
    ApplicationOption,
    Brand,
    Component,
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    Maker,
    Offer,
    Operation,
    OperationAccess,
    OperationRisk,
    Part,
    PartNeed,
    PartType,
    Position,
    PriceBreak,
    Property,
    Replacement,
    Source,
    Spec,
    Supplier,
    TestPoint,
    TestPointAccess,
    TestPointComponent,
)
from shop.api.filters import ApiFilterSet
from shop.api.views import ListView

# Models without a list of their own: a list that shows their rows and the filter of it that finds them, or
# why there is none.
SEEN_WITHIN = {
    "SerialScheme": ("engine-families", "serial_scheme"),
    "Position": ("engine-families", "position"),
    "EngineOption": ("engine-families", "option"),
    "EngineOptionValue": "values of an option mean nothing away from it, and come with it",
    "InterchangeGroup": ("parts", "interchange_group"),
    "InterchangeMember": ("parts", "interchange_group"),
    "ApplicationOption": ("applications", "option"),
    "PriceBreak": "a break is a further price of an offer and comes with it; offers are found by their price",
    "PriceFile": "how prices came in is shown on the supplier's page; what came of it are offers",
    "HeldPrice": "waits for a person, who decides on the supplier's page",
    "PriceUpload": "is looked over by the person who uploaded it, and by nobody else",
    "Caution": ("operations", "caution"),
    "AccessStepRequirement": ("access-steps", "requires"),
    "TestPointComponent": ("test-points", "component"),
    "TestPointAccess": ("test-points", "step"),
    "TestPointCaution": ("test-points", "caution"),
    "OperationAccess": ("operations", "step"),
    "OperationCaution": ("operations", "caution"),
    "OperationRisk": ("operations", "follow_on"),
    "StepCaution": ("access-steps", "caution"),
    "PartNeed": ("operations", "part_type"),
    "ServiceValue": ("operations", "property"),
}
# Their fields that no filter looks at: how much or how, never which.
NOT_FILTERED_WITHIN = {
    "SerialScheme": {"name", "prefixes", "digits"},
    "Position": {"family", "scope", "ordinal", "bank"},
    "EngineOption": {"family", "name"},
    "InterchangeGroup": {"part_type", "name"},
    "InterchangeMember": {"part"},
    "ApplicationOption": {"application", "value"},
    "Caution": {"text"},
    "AccessStepRequirement": {"step"},
    "TestPointComponent": {"test_point", "ordinal"},
    "TestPointAccess": {"test_point"},
    "TestPointCaution": {"test_point"},
    "OperationAccess": {"operation"},
    "OperationCaution": {"operation"},
    "OperationRisk": {"operation", "condition", "likelihood"},
    "StepCaution": {"step"},
    "PartNeed": {"operation", "step", "quantity", "per", "necessity"},
    "ServiceValue": {"operation", "step", "part_type"},
}


def views() -> dict[str, type[ListView]]:
    """The lists of the catalogue's address table, by address."""
    return {
        str(pattern.pattern).rstrip("/"): pattern.callback.cls
        for pattern in urlpatterns
        if isinstance(pattern, URLPattern) and getattr(pattern.callback, "actions", {}).get("get") == "list"
    }


BY_MODEL: dict[type[Model], type[ApiFilterSet]] = {
    view.queryset.model: view.filterset_class for view in views().values()
}


def test_every_model_has_a_list_or_is_seen_within_another():
    listed = {model.__name__ for model in BY_MODEL}
    assert {
        model.__name__ for model in apps.get_app_config("catalog").get_models()
    } == listed | SEEN_WITHIN.keys()
    assert not listed & SEEN_WITHIN.keys()


@pytest.mark.parametrize("name", [name for name, where in SEEN_WITHIN.items() if isinstance(where, tuple)])
def test_every_field_of_a_row_seen_within_another_has_a_filter_there_or_is_named_as_having_none(name):
    """Follows the filter's path: every model it crosses is asked for the column it leaves by."""
    model = apps.get_model("catalog", name)
    address, filter_name = SEEN_WITHIN[name]
    path = views()[address].filterset_class.base_filters[filter_name].field_name
    here, used = views()[address].queryset.model, {}
    for part in path.split("__"):
        field = here._meta.get_field(part)
        if field.many_to_many:
            through = field.remote_field.through
            used[through] = {f.name for f in through._meta.fields if f.related_model is field.related_model}
        used.setdefault(here, set()).add(part)
        here = field.related_model or here
    used.setdefault(here, set()).add("code")  # where the path ends at a row, that is named by its code
    assert model in used, f"{path} does not reach {name}"
    columns = {field.name for field in model._meta.fields if field.name != "id"}
    assert columns - used[model] == NOT_FILTERED_WITHIN[name]


@pytest.mark.parametrize("model", BY_MODEL, ids=lambda model: model.__name__)
def test_every_field_has_a_filter_or_a_reason_to_have_none(model):
    filters = BY_MODEL[model]
    filtered = {f.field_name.split("__")[0] for f in filters.base_filters.values() if f.field_name}
    # A part is filtered through its columns: part__brand and part__normalised.
    fields = {field.name for field in model._meta.get_fields() if field.concrete and not field.many_to_many}
    assert fields - filtered - {"id"} == filters.not_filtered.keys() - filtered
    assert all(filters.not_filtered.values())


@pytest.mark.parametrize("model", BY_MODEL, ids=lambda model: model.__name__)
def test_no_reason_is_kept_for_a_field_that_is_gone(model):
    names = {field.name for field in model._meta.get_fields()}
    assert BY_MODEL[model].not_filtered.keys() <= names


@pytest.mark.parametrize("address", views())
def test_the_key_of_a_list_ends_in_something_unique(address):
    view = views()[address]
    model, key = view.queryset.model, set(view.page_key)
    unique = [{field.attname} for field in model._meta.fields if field.unique]
    for constraint in model._meta.constraints:
        if getattr(constraint, "condition", None) is None and hasattr(constraint, "fields"):
            unique.append({model._meta.get_field(name).attname for name in constraint.fields})
    assert any(names <= key for names in unique)


def more_rows(catalogue: Any, count: int) -> None:
    """As many more rows of everything that is listed, each with rows of its own below it."""
    from datetime import date

    family, heater = catalogue.family, catalogue.heater
    for index in range(count):
        code = f"more-{index}"
        maker = Maker.objects.create(code=code, name=code)
        other = EngineFamily.objects.create(
            code=code, maker=maker, name=code, layout="inline", cylinders=2, voltage=24, numbering="maker"
        )
        bank = Position.objects.create(family=other, code="A", scope="bank", ordinal=1)
        Position.objects.create(family=other, code="1", scope="cylinder", ordinal=2, bank=bank)
        option = EngineOption.objects.create(family=other, code="o", name="o")
        EngineOptionValue.objects.create(option=option, value="v")
        PartType.objects.create(code=code, name=code)
        brand = Brand.objects.create(code=code, name=code)
        part = Part.objects.create(brand=brand, number=code, part_type=heater, grade="original")
        rule = Application.objects.create(part=part, family=other, scope="cylinder", position=None)
        ApplicationOption.objects.create(application=rule, option=option, value="v")
        Replacement.objects.create(old=catalogue.parts[0], new=part, choice=index + 2)
        prop = Property.objects.create(code=code, name=code, unit="mm")
        source = Source.objects.create(code=code, title=code)
        Spec.objects.create(property=prop, part=part, nominal=1, source=source)
        supplier = Supplier.objects.create(code=code, name=code, currency="EUR")
        offer = Offer.objects.create(supplier=supplier, part=part, price=1, valid_from=date(2024, 1, 1))
        PriceBreak.objects.create(offer=offer, quantity_from=5, price=1)
        component = Component.objects.create(family=family, code=code, name=code, scope="engine")
        step = AccessStep.objects.create(family=family, code=code, name=code, scope="engine", minutes=1)
        PartNeed.objects.create(step=step, part_type=heater, quantity=1, necessity="required")
        point = TestPoint.objects.create(
            family=family, code=code, name=code, scope="engine", kind="lamp", lamp="on", minutes=1,
            minutes_further=1,
        )  # fmt: skip
        TestPointComponent.objects.create(test_point=point, component=component, ordinal=1)
        TestPointAccess.objects.create(test_point=point, step=step)
        operation = Operation.objects.create(
            family=family,
            code=code,
            name=code,
            scope="engine",
            minutes=1,
            minutes_further=1,
            repairs=component,
        )
        OperationAccess.objects.create(operation=operation, step=step)
        OperationRisk.objects.create(operation=operation, follow_on=catalogue.swap, condition="if it breaks")


def statements(ask: Any, address: str) -> int:
    with CaptureQueriesContext(connection) as asked:
        assert ask(address).status_code == 200
    return len(asked)


# Beside the two of signing in (session, person): the keys of the page, where other tables are joined to its
# rows; the rows; what hangs below them.
STATEMENTS = {
    "makers": 1,
    "engine-families": 5,
    "part-types": 1,
    "brands": 1,
    "parts": 2,
    "applications": 3,
    "replacements": 2,
    "properties": 1,
    "sources": 1,
    "specs": 2,
    "suppliers": 1,
    "offers": 3,
    "stock": 2,
    "components": 2,
    "test-points": 5,
    "access-steps": 6,
    "operations": 7,
}


@pytest.mark.parametrize("address", views())
def test_a_list_sends_the_same_statements_for_one_row_and_for_many(ask, catalogue, address):
    assert statements(ask, f"{address}/") == 2 + STATEMENTS[address]
    more_rows(catalogue, 5)
    assert statements(ask, f"{address}/") == 2 + STATEMENTS[address]


def test_a_part_sends_the_same_statements_however_much_replaced_it(ask, catalogue):
    before = statements(ask, "parts/lumo/GX1042B/")
    more_rows(catalogue, 5)
    assert statements(ask, "parts/lumo/GX1042B/") == before
