"""What is wrong with a price file, collected so that it can all be told at once, in the order of its rows."""

from dataclasses import dataclass, field

from catalog.packs.faults import LISTED, Wrong
from shop.rules.errors import Fault, Refused


@dataclass
class FileFaults:
    """Faults by row: the first ones are listed, the rest are counted."""

    file: str
    found: list[tuple[int, Fault]] = field(default_factory=list)
    count: int = 0

    def add(self, row: int, column: str, what: str, right: str) -> None:
        self.count += 1
        if len(self.found) < LISTED:
            where = f"{self.file}, row {row}" + (f", column {column}" if column else "")
            self.found.append((row, Fault(where, what, right)))

    def refuse(self) -> None:
        if not self.count:
            return
        listed = [fault for _, fault in sorted(self.found, key=lambda entry: entry[0])[:LISTED]]
        if self.count > len(listed):
            rest = self.count - len(listed)
            listed.append(Fault(self.file, f"{rest} more faults are not listed", "mend these first"))
        raise Refused(listed)


class WrongTogether(Wrong):
    """Cells of one row that do not agree; `name` is the column that is told, as we call it."""

    def __init__(self, name: str, what: str, right: str) -> None:
        super().__init__(what, right)
        self.name = name
