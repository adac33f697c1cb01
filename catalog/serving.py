"""What on the shelf serves in place of a part: the rows for catalog.rules.still_serves."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from catalog.rules.replacement import Replacement
from catalog.search.reads import rows

# From a part to those that serve alike with it: replacements that run both ways, either way, and the other
# members of its interchange group. Each database is told in the way in which it uses its indexes: several
# recursive terms are SQLite's alone, a lateral join is PostgreSQL's.
_BOTH_WAYS = "catalog_replacement r ON r.both_ways AND r.{here} = reach.id"
_MEMBERS = (
    "catalog_interchangemember a ON a.part_id = reach.id "
    "JOIN catalog_interchangemember b ON b.group_id = a.group_id"
)
_STEPS = {
    "sqlite": " UNION ".join(
        (
            f"SELECT r.new_id FROM reach JOIN {_BOTH_WAYS.format(here='old_id')}",
            f"SELECT r.old_id FROM reach JOIN {_BOTH_WAYS.format(here='new_id')}",
            f"SELECT b.part_id FROM reach JOIN {_MEMBERS}",
        )
    ),
    "postgresql": "SELECT n.id FROM reach CROSS JOIN LATERAL ("
    "SELECT r.new_id AS id FROM catalog_replacement r WHERE r.both_ways AND r.old_id = reach.id UNION ALL "
    "SELECT r.old_id FROM catalog_replacement r WHERE r.both_ways AND r.new_id = reach.id UNION ALL "
    "SELECT b.part_id FROM catalog_interchangemember a JOIN catalog_interchangemember b "
    "ON b.group_id = a.group_id WHERE a.part_id = reach.id) n",
}
_FOUND = (
    "SELECT old_id, new_id, choice, quantity, both_ways, CAST(valid_from AS text) FROM catalog_replacement "
    "WHERE old_id IN (SELECT id FROM reach) UNION ALL "
    "SELECT part_id, group_id, 0, 0, both_ways, '' FROM (SELECT part_id, group_id, 1 = 0 AS both_ways "
    "FROM catalog_interchangemember WHERE part_id IN (SELECT id FROM reach)) m"
)


@dataclass(frozen=True)
class Serving:
    """Replacements over part ids written as text, and the interchange groups as sets of such."""

    replacements: tuple[Replacement, ...] = ()
    groups: tuple[frozenset[str], ...] = ()

    @property
    def parts(self) -> frozenset[int]:
        named = {int(key) for row in self.replacements if row.both_ways for key in (row.old, row.new)}
        return frozenset(named.union(*({int(key) for key in group} for group in self.groups)))


def serving(part_ids: Collection[int]) -> Serving:
    """Everything that serves alike with these parts, however long the way there. One statement."""
    if not part_ids:
        return Serving()
    places = ", ".join(["%s"] * len(part_ids))
    start = f"SELECT id FROM catalog_part WHERE id IN ({places})"
    statement = {
        vendor: f"WITH RECURSIVE reach(id) AS ({start} UNION {steps}) {_FOUND}"
        for vendor, steps in _STEPS.items()
    }
    replacements: list[Replacement] = []
    groups: dict[int, set[str]] = {}
    for one, other, choice, quantity, both_ways, day in rows(statement, list(part_ids)):
        if choice == 0:
            groups.setdefault(other, set()).add(str(one))
        else:
            since = date.fromisoformat(day) if day else None
            replacements.append(Replacement(str(one), str(other), choice, quantity, bool(both_ways), since))
    return Serving(tuple(replacements), tuple(frozenset(group) for group in groups.values()))
