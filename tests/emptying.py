"""Empties a test database after a test with transactions of its own.

Django's own way truncates every table and then acts as after a migration: rights, guards and words are built
again, which costs more than most tests do. Here the rows go and everything else stays in place.
"""

from django.contrib.auth.models import Permission
from django.contrib.contenttypes.models import ContentType
from django.db import transaction
from django.db.backends.base.base import BaseDatabaseWrapper

from catalog.guards import GUARDS as CATALOG_GUARDS
from catalog.search.index import INDEXED
from estimates.guards import GUARDS as ESTIMATES_GUARDS
from shop.apps import GUARDS as SHOP_GUARDS
from shop.guards import install, remove

GUARDS = (*SHOP_GUARDS, *CATALOG_GUARDS, *ESTIMATES_GUARDS)
# Written by migrating, the same in every test.
STAYING = {ContentType._meta.db_table, Permission._meta.db_table}


def empty(connection: BaseDatabaseWrapper) -> None:
    """Delete every row of every model, guarded ones too. PostgreSQL asks for a superuser to do that."""
    names = connection.introspection.django_table_names(only_existing=True, include_views=False)
    tables = sorted(set(names) - STAYING)
    with transaction.atomic(using=connection.alias), connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # No trigger runs: no guard refuses, no row is looked for elsewhere, no words are kept up.
            tables += [table for indexed in INDEXED for table in (indexed.words, indexed.vocabulary)]
            rows_go = "; ".join(f'DELETE FROM "{table}"' for table in tables)
            cursor.execute(f"SET LOCAL session_replication_role = replica; {rows_go}")
            return
        deleting = [guard for guard in GUARDS if "DELETE" in guard.events]
        remove(connection, deleting)
        for table in tables:
            cursor.execute(f'DELETE FROM "{table}"')
        install(connection, deleting)
