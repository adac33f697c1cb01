"""What an import did, or would do."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Count:
    """Rows of one resource: added, changed, and found to be the same."""

    resource: str
    new: int
    changed: int
    unchanged: int


@dataclass(frozen=True, slots=True)
class ImportReport:
    """`name` and `title` of the pack, and a count for each of its resources in the order of loading."""

    name: str
    title: str
    demonstration: bool
    dry_run: bool
    counts: tuple[Count, ...]

    @property
    def new(self) -> int:
        return sum(count.new for count in self.counts)

    @property
    def changed(self) -> int:
        return sum(count.changed for count in self.counts)

    @property
    def unchanged(self) -> int:
        return sum(count.unchanged for count in self.counts)
