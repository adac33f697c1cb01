"""In what order a list comes, and which rows follow a place in that order.

A list has its own order, the view's `page_key`, which an index serves. The parameter `ordering` asks for
another one: some of the names in the view's `orders`, each with a minus in front for descending. The columns
of the key are put behind them, so that every order is total: no two rows share a place, and a page can start
after any row. Rows without a value come last in every order asked for, ascending and descending, on every
database; in the list's own order they stand where the database puts them, since only that has an index.

A long list offers its orders only beside one of the filters named in `order_within`: what is left then is
few enough to be sorted for each page.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connections
from django.db.models import F, Field, Model, OrderBy, Q, QuerySet
from django.db.models.constants import LOOKUP_SEP

from shop.api.problems import BadRequest

PARAMETER = "ordering"


@dataclass(frozen=True)
class Column:
    """One column of an order; `path` leads to it across relations. `nulls_last` None: as the database has."""

    path: str
    field: Field
    descending: bool = False
    nulls_last: bool | None = None
    nullable: bool = False

    @property
    def name(self) -> str:
        """What the rows carry it as: a column of another table is fetched beside the row."""
        if LOOKUP_SEP in self.path:
            return f"at_{self.path.replace(LOOKUP_SEP, '_')}"
        return self.field.attname

    def expression(self) -> OrderBy | str:
        if self.nulls_last is None or not self.nullable:
            return f"-{self.name}" if self.descending else self.name
        return OrderBy(F(self.name), descending=self.descending, nulls_last=True)


Order = Sequence[Column]


def column(model: type[Model], path: str, descending: bool = False, *, asked: bool = False) -> Column:
    """The column at the end of a path like "supplier__code". One that is `asked` for has its nulls last."""
    *relations, last = path.split(LOOKUP_SEP)
    nullable = False
    for name in relations:
        relation: Any = model._meta.get_field(name)
        nullable |= relation.null
        model = relation.related_model
    field: Any = model._meta.get_field(last)
    return Column(path, field, descending, True if asked else None, nullable or field.null)


def own_order(model: type[Model], key: Iterable[str]) -> list[Column]:
    return [column(model, name) for name in key]


def asked_order(text: str, model: type[Model], orders: Mapping[str, str], key: Sequence[str]) -> list[Column]:
    """The order of a text like "price,-lead_days". Raises BadRequest with each name that is not offered."""
    names = text.split(",")
    bare = [name.removeprefix("-") for name in names]
    unknown = [name for name, known in zip(names, bare, strict=True) if known not in orders]
    if unknown:
        raise BadRequest.single(
            f"query parameter {PARAMETER}",
            f"this list has no order {', '.join(map(repr, unknown))}",
            f"give some of {', '.join(orders)}, a comma between them, a minus before one to turn it round",
        )
    if len(set(bare)) < len(bare):
        raise BadRequest.refused(
            f"query parameter {PARAMETER}", "it names one twice", "name each once, the most important first"
        )
    columns = [
        column(model, orders[known], name != known, asked=True)
        for name, known in zip(names, bare, strict=True)
    ]
    # The key decides between equals; turned round with the last one asked for, as a reader would expect.
    taken = {one.path for one in columns}
    back = columns[-1].descending
    return columns + [column(model, name, back, asked=True) for name in key if name not in taken]


def ordered(rows: QuerySet, order: Order) -> QuerySet:
    beside = {one.name: F(one.path) for one in order if LOOKUP_SEP in one.path}
    return rows.annotate(**beside).order_by(*(one.expression() for one in order))


def following(rows: QuerySet, order: Order, place: Sequence[Any]) -> QuerySet:
    """The rows that come after the one with these values. `rows` come from `ordered`."""
    nulls_first = connections[rows.db].features.order_by_nulls_first
    return rows.filter(_after(list(zip(order, place, strict=True)), nulls_first))


def _after(place: Sequence[tuple[Column, Any]], nulls_first: bool) -> Q:
    (one, value), rest = place[0], place[1:]
    name = one.name
    # The database's habit is stated for ascending order; both databases turn it round for descending.
    last = one.nulls_last if one.nulls_last is not None else nulls_first == one.descending
    if value is None:
        equal = Q(**{f"{name}__isnull": True})
        beyond = Q(pk__in=[]) if last else Q(**{f"{name}__isnull": False})
    else:
        equal = Q(**{name: value})
        beyond = Q(**{f"{name}__{'lt' if one.descending else 'gt'}": value})
        if one.nullable and last:
            beyond |= Q(**{f"{name}__isnull": True})
    if not rest:
        return beyond
    after = beyond | (equal & _after(rest, nulls_first))
    if one.nullable:
        return after
    # Says nothing new, but lets an index on the first column skip what lies before.
    return Q(**{f"{name}__{'lte' if one.descending else 'gte'}": value}) & after
