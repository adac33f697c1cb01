"""The index of words follows its rows, whatever path they are written by, on either database."""

import pytest
from django.apps import apps
from django.db import connection, transaction
from django.db.models.signals import post_migrate, pre_migrate

from catalog.models import Brand, EngineFamily, Maker, Part, PartType
from catalog.search.index import INDEXED
from catalog.search.install import install, remove

pytestmark = pytest.mark.django_db


def rows(sql: str) -> list[tuple]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        return cursor.fetchall()


def parts_with(word: str) -> set[str]:
    """The numbers of the parts that the index holds under a word."""
    if connection.vendor == "sqlite":
        found = f"SELECT rowid FROM catalog_part_words WHERE catalog_part_words MATCH '\"{word}\"'"
    else:
        found = f"SELECT id FROM catalog_part_words WHERE words @@ '''{word}'''::tsquery"
    return {row[0] for row in rows(f"SELECT number FROM catalog_part WHERE id IN ({found})")}


@pytest.fixture
def shelf() -> tuple[Brand, PartType]:
    brand = Brand.objects.create(code="orlin", name="Orlin")
    kind = PartType.objects.create(code="glow-plug", name="glow plug", plural="glow plugs")
    Part.objects.create(
        brand=brand, number="A1", part_type=kind, grade="original", description="Ölheizer 12V"
    )
    return brand, kind


def test_a_part_is_found_by_its_description_its_type_and_its_brand(shelf):
    for word in ("olheizer", "12v", "plug", "plugs", "orlin"):
        assert parts_with(word) == {"A1"}, word


def test_a_bulk_import_an_update_and_plain_sql_are_followed(shelf):
    brand, kind = shelf
    Part.objects.bulk_create(
        Part(brand=brand, number=n, normalised=n, part_type=kind, grade="original", description="sleeve")
        for n in ("A2", "A3")
    )
    assert parts_with("sleeve") == {"A2", "A3"}
    Part.objects.filter(number="A2").update(description="collar")
    with connection.cursor() as cursor:
        cursor.execute("UPDATE catalog_part SET description = 'washer' WHERE number = 'A3'")
    assert (parts_with("sleeve"), parts_with("collar"), parts_with("washer")) == (set(), {"A2"}, {"A3"})
    Part.objects.bulk_create(
        [Part(pk=Part.objects.get(number="A2").pk, brand=brand, number="A2", normalised="A2", part_type=kind,
              grade="original", description="spacer")],
        update_conflicts=True, unique_fields=["pk"], update_fields=["description"],
    )  # fmt: skip
    assert (parts_with("collar"), parts_with("spacer")) == (set(), {"A2"})


def test_a_new_name_of_a_brand_or_a_part_type_reaches_its_parts(shelf):
    Brand.objects.update(name="Tarnwick")
    PartType.objects.update(name="sheathed heater")
    assert (parts_with("orlin"), parts_with("tarnwick"), parts_with("sheathed")) == (set(), {"A1"}, {"A1"})


def test_a_deleted_part_leaves_the_index(shelf):
    Part.objects.all().delete()
    assert rows("SELECT count(*) FROM catalog_part_words") == [(0,)]


def test_a_part_written_before_its_brand_has_the_brands_name_in_the_end(shelf):
    """References are checked at the end of a transaction, so rows may come in any order."""
    _, kind = shelf
    with transaction.atomic():
        Part.objects.create(brand_id=9999, number="A9", part_type=kind, grade="original")
        Brand.objects.create(pk=9999, code="late", name="Latecomer")
    assert parts_with("latecomer") == {"A9"}


def test_what_is_rolled_back_is_not_in_the_index(shelf):
    with transaction.atomic():
        Part.objects.update(description="never said")
        transaction.set_rollback(True)
    assert parts_with("never") == set()
    assert parts_with("olheizer") == {"A1"}


def test_an_engine_family_is_indexed_with_its_maker(shelf):
    maker = Maker.objects.create(code="norrik", name="Norrik Motorworks")
    EngineFamily.objects.create(
        code="nk4", maker=maker, name="NK4", layout="inline", cylinders=4, voltage=12, numbering="maker"
    )
    words = {indexed.table: indexed.words for indexed in INDEXED}["catalog_enginefamily"]
    assert rows(f"SELECT count(*) FROM {words}") == [(1,)]


def test_rows_that_are_there_already_are_indexed_when_the_index_comes(shelf):
    remove(connection)
    Part.objects.update(description="changed unseen")
    brand, kind = shelf
    Part.objects.create(
        brand=brand, number="A4", part_type=kind, grade="original", description="added unseen"
    )
    install(connection)
    assert parts_with("added") == {"A4"}
    install(connection, anew=True)
    assert parts_with("unseen") == {"A1", "A4"}


def test_a_migration_of_the_catalogue_writes_the_words_anew_and_puts_the_triggers_back(shelf):
    class Step:
        app_label = "catalog"

    app = apps.get_app_config("catalog")
    pre_migrate.send(sender=app, app_config=app, using="default", verbosity=0, plan=[(Step(), False)])
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":  # what a rebuilt table comes to
            assert not rows("SELECT name FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'words%'")
        else:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")  # a table with checks to come is not altered
            cursor.execute("ALTER TABLE catalog_part DISABLE TRIGGER USER")
        cursor.execute("UPDATE catalog_part SET description = 'while nobody looked'")
        if connection.vendor == "postgresql":
            cursor.execute("ALTER TABLE catalog_part ENABLE TRIGGER USER")
    post_migrate.send(sender=app, app_config=app, using="default", verbosity=0, plan=[(Step(), False)])
    assert parts_with("nobody") == {"A1"}
    Part.objects.update(description="and now it is watched")
    assert parts_with("watched") == {"A1"}
