"""The list of parts to collect from the shelf: what is on it, kept in the session of whoever writes it.

A line holds the part, the pieces, the supplier chosen (or none) and the question it was asked with; verdicts
and prices are looked up whenever the list is shown, so a list kept overnight is not wrong in the morning.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any
from urllib.parse import parse_qsl

from django.contrib.sessions.backends.base import SessionBase

from catalog.forms.question import MOST_PIECES, OPTION

KEY = "shelf-list"
MOST_LINES = 100
QUESTION_AT_MOST = 1000
KNOWN = ("family", "built", "serial", "position")


@dataclass(frozen=True)
class Line:
    """`known` is what was known of the engine, as in the counter's address; `supplier` a code or ""."""

    part: int
    pieces: int
    supplier: str
    known: tuple[tuple[str, str], ...]

    def stored(self) -> dict[str, Any]:
        return {
            "part": self.part,
            "pieces": self.pieces,
            "supplier": self.supplier,
            "known": [list(pair) for pair in self.known],
        }


def lines(session: SessionBase) -> list[Line]:
    return [
        Line(
            int(one["part"]), int(one["pieces"]), str(one["supplier"]),
            tuple((str(name), str(value)) for name, value in one["known"]),
        )
        for one in session.get(KEY, [])
    ]  # fmt: skip


def count(session: SessionBase) -> int:
    return len(session.get(KEY, []))


def known(question: str) -> tuple[tuple[str, str], ...]:
    """What an address of the counter says about the engine, in one order."""
    pairs = parse_qsl(question[:QUESTION_AT_MOST])
    return tuple(sorted((n, v) for n, v in dict(pairs).items() if n in KNOWN or n.startswith(OPTION)))


def add(session: SessionBase, line: Line) -> bool:
    """Puts a line on the list, or more pieces on the line of the same part, engine and supplier. False for
    a list that is full."""
    held = lines(session)
    for place, other in enumerate(held):
        if (other.part, other.supplier, other.known) == (line.part, line.supplier, line.known):
            pieces = min(other.pieces + line.pieces, MOST_PIECES)
            held[place] = Line(other.part, pieces, other.supplier, other.known)
            break
    else:
        if len(held) >= MOST_LINES:
            return False
        held.append(line)
    _store(session, held)
    return True


def change(session: SessionBase, place: int, pieces: int) -> None:
    """The line at this place (from 0) for so many pieces; 0 takes it off. A place that is gone is let be."""
    held = lines(session)
    if 0 <= place < len(held):
        if pieces:
            one = held[place]
            held[place] = Line(one.part, min(pieces, MOST_PIECES), one.supplier, one.known)
        else:
            del held[place]
    _store(session, held)


def clear(session: SessionBase) -> None:
    _store(session, [])


def _store(session: SessionBase, held: Iterable[Line]) -> None:
    session[KEY] = [line.stored() for line in held]
