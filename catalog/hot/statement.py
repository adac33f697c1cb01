"""A statement written once, in the words of each database, and run again and again with other values.

Lists are the one thing the two databases take differently: PostgreSQL takes an array, SQLite a JSON text. So
a statement's text never depends on how long a list is, and a server can keep it prepared.
"""

import json
from collections.abc import Collection, Mapping
from decimal import Context, Decimal
from typing import Any

from django.db import connections

from shop.replicas import reading

# How each database says "is one of these".
WORDS: Mapping[str, Mapping[str, str]] = {
    "postgresql": {"numbers": "= ANY(%s::bigint[])", "texts": "= ANY(%s::text[])"},
    "sqlite": {
        "numbers": "IN (SELECT value FROM json_each(%s))",
        "texts": "IN (SELECT value FROM json_each(%s))",
    },
}
# SQLite keeps an exact amount as a floating number of at most 15 digits; Django reads it back this way too.
_EXACT = Context(prec=15)


class Statement:
    """`sql` has %s for each value and the words of WORDS in braces; `decimals` names the columns of the
    answer that are exact amounts, by index, with their decimal places; `words` are more words by database."""

    def __init__(
        self,
        sql: str,
        decimals: Mapping[int, int] | None = None,
        words: Mapping[str, Mapping[str, str]] | None = None,
    ) -> None:
        own = words or {}
        self._sql = {vendor: sql.format(**said, **own.get(vendor, {})) for vendor, said in WORDS.items()}
        self._decimals = tuple((at, Decimal(1).scaleb(-places)) for at, places in (decimals or {}).items())

    def rows(self, *values: Any) -> list[tuple[Any, ...]]:
        """The answer of the database that the catalogue is read from here and now. A list, tuple or set among
        the values stands for all that is in it."""
        connection = connections[reading()]
        sqlite = connection.vendor == "sqlite"
        given = [_given(value, sqlite) for value in values]
        with connection.cursor() as cursor:
            cursor.execute(self._sql[connection.vendor], given)
            found: list[tuple[Any, ...]] = cursor.fetchall()
        return [self._exact(row) for row in found] if sqlite and self._decimals else found

    def _exact(self, row: tuple[Any, ...]) -> tuple[Any, ...]:
        values = list(row)
        for at, places in self._decimals:
            if (value := values[at]) is not None:
                values[at] = _EXACT.create_decimal_from_float(value).quantize(places, context=_EXACT)
        return tuple(values)


def _given(value: Any, sqlite: bool) -> Any:
    if isinstance(value, str) or not isinstance(value, Collection):
        return value
    return json.dumps(list(value)) if sqlite else list(value)
