"""Adding many rows at once: by COPY on PostgreSQL, by one prepared statement on SQLite.

Constraints and guards hold as for any other insert. The rows get their primary keys beforehand, so that rows
of later tables can name them without asking back. To be called within the transaction that writes.
"""

from collections.abc import Iterable, Sequence
from typing import Any

from django.db import connection, models

Prepared = Sequence[Any]


def new_keys(model: type[models.Model], count: int) -> list[int]:
    """As many primary keys that nothing has yet."""
    table, column = model._meta.db_table, str(model._meta.pk.column)
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "SELECT nextval(pg_get_serial_sequence(%s, %s)) FROM generate_series(1, %s)",
                [table, column, count],
            )
            return [key for (key,) in cursor.fetchall()]
        # The transaction holds the only lock for writing. A number once given to a row is never given again.
        cursor.execute(
            f"SELECT max(coalesce((SELECT max({column}) FROM {table}), 0), "
            "coalesce((SELECT seq FROM sqlite_sequence WHERE name = %s), 0))",
            [table],
        )
        last = int(cursor.fetchone()[0])
    return list(range(last + 1, last + 1 + count))


class Inserter:
    """Adds rows to a table: each brings a value for the fields `given`, the others have their default."""

    def __init__(self, model: type[models.Model], given: Sequence[str]) -> None:
        fields = {field.attname: field for field in model._meta.concrete_fields}
        rest = {name: field for name, field in fields.items() if name not in given}
        self.constants = [field.get_db_prep_save(field.get_default(), connection) for field in rest.values()]
        self.ways = [_way(fields[name]) for name in given]
        self.table = connection.ops.quote_name(str(model._meta.db_table))
        self.columns = ", ".join(
            connection.ops.quote_name(str(fields[name].column)) for name in (*given, *rest)
        )

    def add(self, rows: Iterable[Prepared]) -> None:
        """Each row has a value for every field given, in that order."""
        prepared: Any = (
            [value if way is None else way(value) for way, value in zip(self.ways, row, strict=True)]
            + self.constants
            for row in rows
        )
        with connection.cursor() as cursor:
            if connection.vendor == "postgresql":
                with (
                    connection.wrap_database_errors,
                    cursor.cursor.copy(f"COPY {self.table} ({self.columns}) FROM STDIN") as copy,
                ):
                    for row in prepared:
                        copy.write_row(row)
                return
            places = ", ".join(["%s"] * (len(self.ways) + len(self.constants)))
            cursor.executemany(f"INSERT INTO {self.table} ({self.columns}) VALUES ({places})", prepared)


def _way(field: "models.Field[Any, Any]") -> Any:
    """How a value of the field is made ready for the database; None where it is ready as it stands."""
    if isinstance(field, models.DecimalField | models.DateField):
        return lambda value: None if value is None else field.get_db_prep_save(value, connection)
    return None
