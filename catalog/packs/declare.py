"""The words in which `resources` declares the tables of a pack."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from django.db.models import Model


@dataclass(frozen=True, slots=True)
class Col:
    """A column with more to it than its model field: limits (both included), or a rule of `cells.RULES`.

    `currency` leads from the row to the currency of an amount, which says with how many decimals to write it.
    """

    field: str
    low: Decimal | None = None
    high: Decimal | None = None
    rule: str = ""
    currency: str = ""


@dataclass(frozen=True)
class Ref:
    """Columns that together name a row of `target` by its key.

    `field` is the model field that holds the reference, "" where the row need only exist. A column in
    `context` is filled in any case (the family of the row): the others decide whether anything is named.
    """

    field: str
    target: str
    columns: tuple[str, ...]
    context: tuple[str, ...] = ()

    @cached_property
    def own(self) -> tuple[str, ...]:
        return tuple(name for name in self.columns if name not in self.context)


@dataclass(frozen=True)
class Resource:
    """One table of a pack.

    key      the fields by which a row is recognised
    unique   further fields that no two rows share
    aside    what to set first, where rows that change may swap such values
    ordered  columns whose values never fall from left to right
    one_of   exactly one of these references is given
    compared model fields that hold the comparable form of a number as written: (field, column)
    copies   model fields repeated from a row referred to: (field, reference)
    places   columns whose decimal places, as written, are kept
    edges    references (from, to) that must not run in a circle
    reach    which rows of the database matter besides those named: "" none, "family" those of the families
             in the pack, "all" every row
    """

    name: str
    model: type[Model]
    items: tuple[str | Col | Ref, ...]
    key: str
    unique: tuple[str, ...] = ()
    aside: tuple[tuple[str, object], ...] = ()
    ordered: tuple[str, ...] = ()
    one_of: str = ""
    copies: tuple[tuple[str, str], ...] = ()
    compared: tuple[tuple[str, str], ...] = ()
    places: str = ""
    edges: tuple[str, str] | None = None
    reach: str = ""


def ref(field: str, target: str, columns: str = "") -> Ref:
    return Ref(field, target, tuple((columns or field).split()))


def within(field: str, target: str) -> Ref:
    """A code that means something within the family of the row."""
    return Ref(field, target, ("family", field), ("family",))


def money(field: str, currency: str) -> Col:
    return Col(field, low=Decimal(0), currency=currency)


def ucum(field: str) -> Col:
    return Col(field, rule="unit")
