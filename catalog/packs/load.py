"""Writing a checked pack: what is new is added, what differs is changed, what is the same is left alone.

Nothing is ever removed. All the guards and constraints of the database stay on; what they refuse after all
(another person may have written in between) is told like any other fault, and nothing of the pack is kept.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db import IntegrityError, OperationalError, models, transaction

from catalog.packs.book import Book
from catalog.packs.columns import columns, refs
from catalog.packs.declare import Ref, Resource
from catalog.packs.pack import Key, Values, ref_key
from catalog.packs.resources import RESOURCES
from catalog.rules.partnumber import comparable
from shop.integrity import refusal
from shop.rules.errors import Refused

AT_ONCE = 500


@dataclass(frozen=True, slots=True)
class Change:
    """What becomes of one table: rows to add, rows to change by their primary key, and how many stay."""

    resource: Resource
    file: str
    new: dict[Key, Values]
    changed: dict[int, Values]
    unchanged: int


def plan(book: Book) -> tuple[Change, ...]:
    """Compare the pack with what is held. Part numbers and texts count as written, 0.60 is not 0.6."""
    changes = []
    for resource in RESOURCES:
        if resource.name not in book.pack.tables:
            continue
        change = Change(resource, book.pack.tables[resource.name].file, {}, {}, 0)
        unchanged = 0
        for key, row in book.given[resource.name].items():
            values = with_places(resource, row.values)
            held = book.held[resource.name].get(key)
            if held is None:
                change.new[key] = values
            elif all(held.values[name] == value for name, value in values.items()):
                unchanged += 1
            else:
                change.changed[held.pk] = values
        changes.append(Change(resource, change.file, change.new, change.changed, unchanged))
    return tuple(changes)


def with_places(resource: Resource, values: Values) -> dict[str, Any]:
    """The values and, where the table keeps them, the decimal places that were written."""
    if not resource.places:
        return dict(values)
    written: list[Any] = [values[name] for name in resource.places.split() if values[name] is not None]
    return {**values, "places": max((-int(value.as_tuple().exponent) for value in written), default=0)}


def write(
    book: Book, changes: Iterable[Change], step: Callable[[str], None], finish: Callable[[], None]
) -> None:
    """All or nothing, with what `finish` writes besides. Raises Refused where the database refuses."""
    keys = {name: {key: row.pk for key, row in rows.items()} for name, rows in book.held.items()}
    file, again = "", "correct it and import again"
    try:
        with transaction.atomic():
            for change in changes:
                file = change.file
                step(file)
                _write_table(book, change, keys)
            # A reference is only checked at the end, when it is too late to tell the file.
            file, again = "the pack", "somebody may have changed the catalogue meanwhile: import again"
            finish()
    except IntegrityError as error:
        raise Refused.single(file, f"the database refuses a row: {refusal(error)}", again) from error
    except OperationalError as error:
        raise Refused.single("the database", f"it cannot be written now ({error})", "try again") from error


def _write_table(book: Book, change: Change, keys: dict[str, dict[Key, int]]) -> None:
    resource, model = change.resource, change.resource.model
    own = next((ref for ref in refs(resource.name) if ref.target == resource.name and ref.field), None)
    if resource.aside:
        pks = list(change.changed)
        for start in range(0, len(pks), AT_ONCE):
            rows = model._default_manager.filter(pk__in=pks[start : start + AT_ONCE])
            rows.update(**dict(resource.aside))
    for wave in _waves(change.new, own):
        made = model._default_manager.bulk_create(
            [_built(book, resource, values, keys) for values in wave.values()], batch_size=AT_ONCE
        )
        keys[resource.name].update(zip(wave, (row.pk for row in made), strict=True))
    # The key's fields too: they are the same, but for the spelling of a part number.
    fields = [field.name for field in model._meta.concrete_fields if not field.primary_key]
    # Sorted by key, since both databases add to their indexes faster in order.
    model._default_manager.bulk_create(
        [_built(book, resource, change.changed[pk], keys, pk) for pk in sorted(change.changed)],
        batch_size=AT_ONCE,
        update_conflicts=True,
        unique_fields=["pk"],
        update_fields=fields,
    )


def _waves(new: dict[Key, Values], own: Ref | None) -> tuple[dict[Key, Values], ...]:
    """Rows that refer to new rows of their own table (a cylinder to its bank) come after those."""
    if own is None:
        return (new,)
    later = {key: values for key, values in new.items() if ref_key(own, values) in new}
    return ({key: values for key, values in new.items() if key not in later}, later)


def _built(
    book: Book, resource: Resource, values: Values, keys: dict[str, dict[Key, int]], pk: int | None = None
) -> models.Model:
    given: dict[str, Any] = {"pk": pk}
    for name, column in columns(resource.name).items():
        if not column.refers:
            given[name] = values[name]
    for field, number in resource.compared:
        given[field] = comparable(str(values[number]))
    if resource.places:
        given["places"] = values["places"]
    referred: dict[str, Key | None] = {}
    for ref in refs(resource.name):
        if ref.field:
            referred[ref.field] = key = ref_key(ref, values)
            given[f"{ref.field}_id"] = None if key is None else keys[ref.target][key]
    for field, source in resource.copies:
        target = next(ref.target for ref in refs(resource.name) if ref.field == source)
        copied = next(ref for ref in refs(target) if ref.field == field)
        row = book.get(target, referred[source])
        key = ref_key(copied, row) if row is not None else None
        given[f"{field}_id"] = None if key is None else keys[copied.target][key]
    return resource.model(**given)
