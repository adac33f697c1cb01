"""What is wrong with a pack, collected so that it can all be told at once, in the order of the files."""

from dataclasses import dataclass, field

from catalog.packs.declare import Resource
from catalog.packs.resources import RESOURCES
from shop.rules.errors import Fault, Refused

LISTED = 50  # a longer list is not read, and is nearly always one mistake made many times
_ORDER = {resource.name: place for place, resource in enumerate(RESOURCES)}


class Wrong(Exception):
    """A value that cannot be taken: `what` is wrong with it and what would be `right`."""

    def __init__(self, what: str, right: str) -> None:
        super().__init__(what)
        self.what, self.right = what, right


@dataclass
class Faults:
    """`broken` names the tables of which some row could not be read: what they lack is not told again."""

    found: list[tuple[tuple[int, int, int], Fault]] = field(default_factory=list)
    broken: set[str] = field(default_factory=set)

    def of_pack(self, where: str, what: str, right: str) -> None:
        self.found.append(((-1, 0, len(self.found)), Fault(where, what, right)))

    def of_table(self, resource: Resource, file: str, what: str, right: str) -> None:
        self.of_row(resource, file, 0, "", what, right)

    def of_row(self, resource: Resource, file: str, row: int, column: str, what: str, right: str) -> None:
        """Row 1 is the header, as a spreadsheet counts. Row 0 is the file, column "" the whole row."""
        where = ", ".join([file, *([f"row {row}"] if row else []), *([f"column {column}"] if column else [])])
        self.found.append(((_ORDER[resource.name], row, len(self.found)), Fault(where, what, right)))

    def refuse(self) -> None:
        """Raise Refused when there is any fault: the first of them by file and row, and how many more."""
        if not self.found:
            return
        ordered = [fault for _, fault in sorted(self.found, key=lambda entry: entry[0])]
        listed, rest = ordered[:LISTED], len(ordered) - LISTED
        if rest > 0:
            listed.append(Fault("the pack", f"{rest} more faults are not listed", "mend these first"))
        raise Refused(listed)
