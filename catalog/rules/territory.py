"""Where on the engine a rule speaks: the whole engine, its banks, its cylinders, or one place only.

A rule for cylinders that is limited to cylinder 3 says nothing about cylinder 1. Asked about the
engine as a whole, a rule at any place may answer. An exclusion reaches everything inside its place:
one for the whole engine reaches every bank and cylinder, one for bank A reaches the cylinders on bank
A, and one for cylinder 3 takes only cylinder 3 away, so a part for all cylinders still serves the
others. Whether cylinder 3 is on bank A has to be told; if it is not, the reach is not known.

>>> speaks("cylinder", "3", scope="cylinder", position="1")
False
>>> speaks("cylinder", "3", scope=None, position=None)
True
>>> reaches(("engine", None), ("cylinder", "3"), {}), reaches(("cylinder", "3"), ("cylinder", None), {})
(Truth.TRUE, Truth.FALSE)
>>> reaches(("bank", "A"), ("cylinder", "3"), {}), reaches(("bank", "A"), ("cylinder", "3"), {"3": "A"})
(Truth.UNKNOWN, Truth.TRUE)
"""

from __future__ import annotations

from collections.abc import Mapping

from catalog.rules.kleene import Truth, known

Place = tuple[str, str | None]
WIDTH = {"engine": 3, "bank": 2, "cylinder": 1}


def speaks(rule_scope: str, rule_position: str | None, *, scope: str | None, position: str | None) -> bool:
    """Whether a rule has a say in the question; scope or position None means the question leaves it open."""
    if scope is not None and rule_scope != scope:
        return False
    return position is None or not rule_position or rule_position == position


def reaches(exclusion: Place, place: Place, bank_of: Mapping[str, str]) -> Truth:
    """Whether an exclusion at one place takes in another. A place is (scope, position or None for all)."""
    scope, position = exclusion
    at_scope, at_position = place
    if scope == at_scope:
        return known(not position or position == at_position)
    if WIDTH[scope] < WIDTH[at_scope]:
        return Truth.FALSE
    if scope == "engine" or not position:
        return Truth.TRUE
    # Left: an exclusion for one bank, asked about a cylinder.
    if not at_position:
        return Truth.FALSE  # all cylinders: those of the other bank are left
    bank = bank_of.get(at_position)
    return Truth.UNKNOWN if bank is None else known(bank == position)


def place_text(scope: str, position: str | None) -> str:
    """A place for people: "cylinder 3", "every bank", "the engine"."""
    if scope == "engine":
        return "the engine"
    return f"{scope} {position}" if position else f"every {scope}"
