"""Which rows go into a pack of some engine families: theirs, the parts for them, and all these refer to."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from typing import Any

from django.db.models import Q, QuerySet

from catalog.models import Application, EngineFamily, InterchangeMember, Replacement
from catalog.packs.columns import columns, refs
from catalog.packs.held import MOST_VALUES
from shop.rules.errors import Fault, Refused

# Where a row names the part that it is about. An application is about its family.
PART_OF = {
    "parts": "id",
    "replacements": "old_id",
    "interchange_members": "part_id",
    "specs": "part_id",
    "offers": "part_id",
    "price_breaks": "offer__part_id",
}


def family_paths(name: str) -> tuple[str, ...]:
    """Where a row of the table names its family; nothing where it belongs to none."""
    if name == "engine_families":
        return ("code",)
    column = columns(name).get("family")
    return column.paths if column else ()


class Extent:
    """The tables are asked from the last to the first: each has been referred to before its turn comes."""

    def __init__(self, families: Iterable[str]) -> None:
        self.families = frozenset(families)
        _refuse_unknown(self.families)
        self.parts = _parts_of(self.families)
        self.wanted: dict[str, set[int]] = defaultdict(set)

    def narrowed(self, name: str, rows: QuerySet[Any]) -> QuerySet[Any]:
        """As few rows as one statement can say; `takes` has the last word."""
        which = Q()
        for path in family_paths(name):
            which |= Q(**{f"{path}__in": self.families})
        if name in PART_OF:
            if len(self.parts) > MOST_VALUES:
                return rows
            which |= Q(**{f"{PART_OF[name]}__in": self.parts})
        return rows.filter(which)

    def takes(self, name: str, pk: int, part: int | None, family: str | None) -> bool:
        if name in PART_OF:
            return part in self.parts or family in self.families
        return bool(family_paths(name)) or pk in self.wanted[name]

    def want(self, targets: Iterable[tuple[str, int | None]]) -> None:
        for target, pk in targets:
            if pk is not None:
                self.wanted[target].add(pk)


def referred_only(name: str) -> list[tuple[str, str]]:
    """(table, field) of what rows of this table name and what belongs to no family and no part."""
    return [
        (ref.target, f"{ref.field}_id")
        for ref in refs(name)
        if ref.field and ref.target not in PART_OF and not family_paths(ref.target)
    ]


def _refuse_unknown(families: Iterable[str]) -> None:
    there = list(EngineFamily.objects.order_by("code").values_list("code", flat=True))
    unknown = sorted(set(families) - set(there))
    faults = []
    for code in unknown:
        near = get_close_matches(code, there, n=1) or there[:5]
        right = f"name one such as {', '.join(near)}" if near else "import a pack first"
        faults.append(Fault("families", f"there is no engine family {code!r}", right))
    if faults:
        raise Refused(faults)


def _parts_of(families: Iterable[str]) -> set[int]:
    """The parts that rules of these families name, what replaces or precedes them, what serves alike."""
    served = Application.objects.filter(family__code__in=families)
    found: set[int] = set()
    new = set(served.order_by().values_list("part_id", flat=True).distinct().iterator())
    while new:
        found |= new
        near: set[int] = set()
        for some in _in_lots(new):
            near.update(Replacement.objects.filter(old__in=some).values_list("new_id", flat=True))
            near.update(Replacement.objects.filter(new__in=some).values_list("old_id", flat=True))
            groups = InterchangeMember.objects.filter(part__in=some).values("group_id")
            near.update(InterchangeMember.objects.filter(group__in=groups).values_list("part_id", flat=True))
        new = near - found
    return found


def _in_lots(pks: set[int]) -> Iterator[list[int]]:
    listed = sorted(pks)
    for start in range(0, len(listed), MOST_VALUES):
        yield listed[start : start + MOST_VALUES]
