"""The entity tag of a page of rows, from the rows as they were read.

Who holds the page already is told so before any of it is put into words, which takes longer than reading it.
This holds where an answer follows from its rows and its address alone. One that also follows from the clock
needs a tag of its bytes (see shop.api.conditional). The program is part of the tag: another release may word
the same rows differently.
"""

from collections.abc import Iterable, Iterator
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.db.models import Model

ROOT = Path(__file__).resolve().parents[2]
WORDING = ("shop/api", "shop/rules", "catalog/api", "catalog/rules", "estimates/api")


def tag_of(rows: Iterable[Model], *of: str | None) -> str:
    """A strong tag of these rows with all that was read along with them, and of the texts in `of`."""
    digest = sha256(repr((_program(), of)).encode())
    seen: set[int] = set()
    for row in rows:
        for value in _values(row, seen):
            digest.update(repr(value).encode("utf-8", "surrogatepass"))
    return f'"{digest.hexdigest()[:32]}"'


def _values(row: Model, seen: set[int]) -> Iterator[Any]:
    if id(row) in seen:  # rows know those they hang below, which know them
        return
    seen.add(id(row))
    yield type(row).__name__
    for name, value in row.__dict__.items():
        if name == "_prefetched_objects_cache":
            for relation, beside in value.items():
                yield relation
                for other in beside:
                    yield from _values(other, seen)
        elif name != "_state":
            yield value
    for relation, other in row._state.fields_cache.items():
        yield relation
        if isinstance(other, Model):
            yield from _values(other, seen)


@cache
def _program() -> str:
    digest = sha256()
    for folder in WORDING:
        for path in sorted((ROOT / folder).rglob("*.py")):
            digest.update(path.read_bytes())
    return digest.hexdigest()
