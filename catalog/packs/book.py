"""The pack laid over what the database holds: what every key will stand for once the pack is loaded."""

from collections.abc import Iterator
from difflib import get_close_matches

from catalog.packs.columns import columns, key_columns
from catalog.packs.held import Held, named_alike
from catalog.packs.pack import Key, Pack, Row, Table, Value, Values, key_of
from catalog.packs.resources import BY_NAME

# Limits on looking for "did you mean", so that a pack full of mistakes is refused quickly.
MOST_LOOKUPS = 20
MOST_NAMES = 5_000
MOST_GUESSES = 200


class Book:
    def __init__(self, pack: Pack, held: Held) -> None:
        self.pack, self.held = pack, held
        self.given: dict[str, dict[Key, Row]] = {}
        self.unreadable: set[tuple[str, Key]] = set()
        for name, table in pack.tables.items():
            given = self.given[name] = {}
            for key, row in keyed(table):
                if row.bad:
                    self.unreadable.add((name, key))
                else:
                    given.setdefault(key, row)
        self._names: dict[tuple[str, Key], dict[str, str]] = {}
        self._guesses = 0

    def get(self, name: str, key: Key | None) -> Values | None:
        """The row with this key, as the pack gives it, else as the database has it.

        None where there is none, and where the pack gives one that could not be read.
        """
        if key is None or (name, key) in self.unreadable:
            return None
        given = self.given.get(name, {}).get(key)
        if given is not None:
            return given.values
        held = self.held[name].get(key)
        return held.values if held else None

    def all(self, name: str) -> Iterator[tuple[Key, Values]]:
        given = self.given.get(name, {})
        yield from ((key, row.values) for key, row in given.items())
        yield from ((key, row.values) for key, row in self.held[name].items() if key not in given)

    def near(self, name: str, key: Key) -> list[str]:
        """Names that come near the last part of `key`, among rows that agree in the parts before it."""
        self._guesses += 1
        if self._guesses > MOST_GUESSES:
            return []
        start, wanted = key[:-1], str(key[-1])
        names = self._names.get((name, start))
        if names is None:
            last = key_columns(name)[-1]
            found = [
                str(row.values[last])
                for given, row in self.given.get(name, {}).items()
                if given[:-1] == start
            ]
            if len(self._names) < MOST_LOOKUPS:
                found += named_alike(name, start, MOST_NAMES)
            names = self._names[name, start] = {text.lower(): text for text in found}
        return [names[text] for text in get_close_matches(wanted.lower(), names, n=3)]


def keyed(table: Table) -> Iterator[tuple[Key, Row]]:
    """The rows whose key could be read, with it."""
    needed = set(key_columns(table.resource.name))
    for row in table.rows:
        if not needed & row.bad:
            yield key_of(table.resource.name, row.values), row


def noun(name: str) -> str:
    return str(BY_NAME[name].model._meta.verbose_name)


def written(name: str, values: Values) -> str:
    """The key of a row in words: supplier north, part_brand teal, part_number 12."""
    return ", ".join(
        f"{column} {shown(values.get(column))}"
        for column in dict.fromkeys(key_columns(name))
        if values.get(column) not in (None, "") and column in columns(name)
    )


def shown(value: Value) -> str:
    return str(value).lower() if isinstance(value, bool) else str(value)
