"""The database refuses what must not be, whatever path the write takes."""

import pytest
from django.db import IntegrityError, connection, transaction

from catalog.guards import GUARDS as CATALOG
from catalog.models import (
    AccessStep,
    AccessStepRequirement,
    Brand,
    Component,
    EngineFamily,
    Maker,
    Operation,
    Part,
    PartType,
    Replacement,
)
from estimates.guards import GUARDS as ESTIMATES
from shop.apps import GUARDS as SHOP

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("database")]


def test_every_guard_is_in_place_after_migrating():
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        else:
            cursor.execute("SELECT tgname FROM pg_trigger WHERE NOT tgisinternal")
        present = " ".join(row[0] for row in cursor.fetchall())
    missing = [
        guard.name for guard in (*SHOP, *CATALOG, *ESTIMATES) if f"guard_{guard.name}"[:63] not in present
    ]
    assert missing == []


def family(code: str) -> EngineFamily:
    maker, _ = Maker.objects.get_or_create(code="maker", defaults={"name": "Maker"})
    return EngineFamily.objects.create(
        code=code, maker=maker, name=code, layout="inline", cylinders=4, voltage=12, numbering="maker"
    )


def test_a_bulk_import_cannot_make_access_steps_run_in_a_circle():
    one = family("one")
    a, b, c = (
        AccessStep.objects.create(family=one, code=x, name=x, scope="engine", minutes=5) for x in "abc"
    )
    with pytest.raises(IntegrityError, match="circle"), transaction.atomic():
        AccessStepRequirement.objects.bulk_create(
            AccessStepRequirement(step=x, requires=y) for x, y in [(a, b), (b, c), (c, a)]
        )
    assert AccessStepRequirement.objects.count() == 0


def test_replacements_cannot_run_in_a_circle():
    brand = Brand.objects.create(code="b", name="B")
    kind = PartType.objects.create(code="t", name="T")
    one, two = (
        Part.objects.create(brand=brand, number=n, part_type=kind, grade="original") for n in ("1", "2")
    )
    Replacement.objects.create(old=one, new=two)
    with pytest.raises(IntegrityError, match="circle"), transaction.atomic():
        Replacement.objects.create(old=two, new=one)


def test_an_operation_cannot_repair_a_component_of_another_family():
    one, two = family("one"), family("two")
    component = Component.objects.create(family=one, code="heater", name="heater", scope="cylinder")
    with pytest.raises(IntegrityError, match="one engine family"), transaction.atomic():
        Operation.objects.create(
            family=two, code="x", name="x", scope="cylinder", minutes=1, minutes_further=1, repairs=component
        )
