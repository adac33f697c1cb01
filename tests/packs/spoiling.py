"""How a right pack is spoiled in one place, and what must be said about it then."""

from collections.abc import Callable
from dataclasses import dataclass

import pytest

from catalog.actions import import_pack
from shop.rules.errors import Refused


@dataclass(frozen=True)
class Case:
    """`spoil` changes a right pack; then the one fault stands `where`, and says `what` and what is `right`.

    The latter two may be given in part.
    """

    name: str
    spoil: Callable
    where: str
    what: str
    right: str

    def is_told_and_nothing_is_written(self, pack, contents):
        import_pack(pack.path)
        before = contents()
        self.spoil(pack)
        with pytest.raises(Refused) as refused:
            import_pack(pack.path)
        assert len(refused.value.faults) == 1, str(refused.value)
        fault = refused.value.faults[0]
        assert fault.where == self.where
        assert self.what in fault.what
        assert self.right in fault.right
        assert contents() == before


def cell(
    table: str, row: int, column: str, text: str, what: str, right: str, name: str = "", /, **more: str
) -> Case:
    """One cell is written otherwise and told; `more` are cells of its row that are changed with it."""
    return Case(
        name or f"{table} {column} {text or 'empty'}",
        lambda pack: (pack.set(table, row, **{column: text}, **more), pack.write()),
        f"{table}.csv, row {row}, column {column}",
        what,
        right,
    )


def between(name: str, table: str, row: int, where: str, what: str, right: str, /, **cells: str) -> Case:
    """A row is changed, or added as a copy of the last one, so that it clashes with another row."""
    spoil = lambda pack: (pack.set(table, row, **cells), pack.write())  # noqa: E731
    return Case(name, spoil, f"{table}.csv, row {row}{where}", what, right)


def raw(name: str, table: str, content: bytes, where: str, what: str, right: str) -> Case:
    """The file holds these bytes."""
    return Case(name, lambda pack: pack.raw(table, content), where, what, right)


def listed(name: str, change: Callable, where: str, what: str, right: str) -> Case:
    """The descriptor is changed."""
    return Case(name, lambda pack: pack.descriptor(change), where, what, right)
