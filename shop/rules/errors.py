"""What is said when something cannot be accepted: where it stands, what is wrong, what would be right.

A foreman who gets a card back from the office wants three things written on it: the line, the
mistake, and what to write instead. Nothing half done: either the whole card is taken or none of it.

>>> print(Fault("line 3, quantity", "'two' is not a number", "write a number such as 2"))
line 3, quantity: 'two' is not a number; write a number such as 2

Several faults can be told at once, so that nobody has to hand the same card in five times:

>>> refusal = Refused([Fault("row 1", "no unit", "name one"), Fault("row 4", "no price", "give one")])
>>> len(refusal.faults)
2
>>> print(refusal)
row 1: no unit; name one
row 4: no price; give one
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong: `where` it stands, `what` is wrong with it, what would be `right`. All plain text."""

    where: str
    what: str
    right: str

    def __str__(self) -> str:
        return f"{self.where}: {self.what}; {self.right}"


class Refused(ValueError):
    """Input was not accepted, and nothing was done with it. `faults` says why and is never empty."""

    faults: tuple[Fault, ...]

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        if not self.faults:
            # A refusal without a reason would leave the person with nothing to correct.
            raise TypeError("a refusal needs at least one fault")
        super().__init__(self.faults)

    @classmethod
    def single(cls, where: str, what: str, right: str) -> Refused:
        """A refusal with one fault, the common case."""
        return cls([Fault(where, what, right)])

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)
