"""Writing a checked pack: what is new is added, what differs is changed, what is the same is left alone.

Nothing is ever removed. All the guards and constraints of the database stay on; what they refuse after all
(another person may have written in between) is told like any other fault, and nothing of the pack is kept.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from itertools import islice
from operator import itemgetter
from typing import Any

from django.db import DataError, IntegrityError, OperationalError, models, transaction

from catalog.packs.book import Book
from catalog.packs.columns import columns, refs
from catalog.packs.declare import Ref, Resource
from catalog.packs.insert import Inserter, new_keys
from catalog.packs.pack import Key, Values, ref_key
from catalog.packs.resources import RESOURCES
from catalog.rules.partnumber import comparable
from shop.integrity import refusal
from shop.rules.errors import Refused

AT_ONCE = 500
MANY = 5_000
Keys = dict[str, dict[Key, int]]
Makers = dict[str, Callable[[Values], Any]]


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


def with_places(resource: Resource, values: Values) -> Values:
    """The values and, where the table keeps them, the decimal places that were written."""
    if not resource.places:
        return values
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
    except DataError as error:
        raise Refused.single(file, f"the database cannot hold a value ({error})", again) from error
    except OperationalError as error:
        raise Refused.single("the database", f"it cannot be written now ({error})", "try again") from error


def _write_table(book: Book, change: Change, keys: Keys) -> None:
    resource, model = change.resource, change.resource.model
    own = next((ref for ref in refs(resource.name) if ref.target == resource.name and ref.field), None)
    if resource.aside:
        pks = list(change.changed)
        for start in range(0, len(pks), AT_ONCE):
            rows = model._default_manager.filter(pk__in=pks[start : start + AT_ONCE])
            rows.update(**dict(resource.aside))
    makers = _makers(book, resource, keys)
    for wave in _waves(change.new, own):
        if wave:
            keys[resource.name].update(zip(wave, _add(model, makers, wave), strict=True))
    # Sorted by key, since both databases add to their indexes faster in order.
    changed = sorted(change.changed)
    for start in range(0, len(changed), AT_ONCE):
        model._default_manager.bulk_create(
            [
                model(pk=pk, **{name: make(change.changed[pk]) for name, make in makers.items()})
                for pk in changed[start : start + AT_ONCE]
            ],
            update_conflicts=True,
            unique_fields=["pk"],
            # The key's fields too: they are the same, but for the spelling of a part number. What a pack has
            # no column for stays as it is.
            update_fields=[field.name for field in model._meta.concrete_fields if field.attname in makers],
        )


def _add(model: type[models.Model], makers: Makers, wave: dict[Key, Values]) -> list[int]:
    pks = new_keys(model, len(wave))
    inserter = Inserter(model, [str(model._meta.pk.attname), *makers])
    rows = (
        [pk, *[make(values) for make in makers.values()]]
        for pk, values in zip(pks, wave.values(), strict=True)
    )
    while lot := list(islice(rows, MANY)):
        inserter.add(lot)
    return pks


def _waves(new: dict[Key, Values], own: Ref | None) -> tuple[dict[Key, Values], ...]:
    """Rows that refer to new rows of their own table (a cylinder to its bank) come after those."""
    if own is None:
        return (new,)
    later = {key: values for key, values in new.items() if ref_key(own, values) in new}
    return ({key: values for key, values in new.items() if key not in later}, later)


def _makers(book: Book, resource: Resource, keys: Keys) -> Makers:
    """What works out the value of each field from the values of a row."""
    made: Makers = {
        name: itemgetter(name) for name, column in columns(resource.name).items() if not column.refers
    }
    for field, number in resource.compared:
        made[field] = partial(_comparable, number)
    if resource.places:
        made["places"] = itemgetter("places")
    for ref in refs(resource.name):
        if ref.field:
            made[f"{ref.field}_id"] = partial(_referred, ref, keys[ref.target])
    for field, source in resource.copies:
        first = next(ref for ref in refs(resource.name) if ref.field == source)
        then = next(ref for ref in refs(first.target) if ref.field == field)
        made[f"{field}_id"] = partial(_copied, book, first, then, keys[then.target])
    return made


def _comparable(number: str, values: Values) -> str:
    return comparable(str(values[number]))


def _referred(ref: Ref, keys: dict[Key, int], values: Values) -> int | None:
    key = ref_key(ref, values)
    return None if key is None else keys[key]


def _copied(book: Book, first: Ref, then: Ref, keys: dict[Key, int], values: Values) -> int | None:
    row = book.get(first.target, ref_key(first, values))
    return None if row is None else _referred(then, keys, row)
