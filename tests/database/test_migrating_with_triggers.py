"""A table can be rebuilt by a migration although triggers of other tables name it.

SQLite rebuilds a table for most changes of a column: a new table, the rows copied, the old one dropped, the
new one renamed. While that goes on no trigger may name the table that is away.
"""

import pytest
from django.apps import apps
from django.db import connection
from django.db.models.signals import post_migrate, pre_migrate

from catalog.models import Brand, Part, PartType


class Step:
    app_label = "catalog"


def send(signal):
    for app in ("shop", "catalog", "estimates"):
        signal.send(
            sender=apps.get_app_config(app), app_config=apps.get_app_config(app), using="default",
            verbosity=0, interactive=False, plan=[(Step(), False)],
        )  # fmt: skip


@pytest.mark.databases("sqlite")
@pytest.mark.django_db(transaction=True)
def test_a_table_that_triggers_name_can_be_rebuilt_and_is_guarded_and_indexed_again():
    brand = Brand.objects.create(code="orlin", name="Orlin")
    kind = PartType.objects.create(code="glow-plug", name="glow plug")
    Part.objects.create(brand=brand, number="A1", part_type=kind, grade="original", description="heater")
    triggers = "SELECT name FROM sqlite_master WHERE type = 'trigger' ORDER BY name"
    with connection.cursor() as cursor:
        cursor.execute(triggers)
        before = cursor.fetchall()
    send(pre_migrate)
    for model in (Part, Brand):
        with connection.schema_editor() as editor:
            editor._remake_table(model)
    send(post_migrate)
    with connection.cursor() as cursor:
        cursor.execute(triggers)
        assert cursor.fetchall() == before
        cursor.execute("SELECT count(*) FROM catalog_part_words WHERE catalog_part_words MATCH 'heater'")
        assert cursor.fetchone() == (1,)
