"""The answer of the parts counter, and the one sentence it is told in.

There are three answers: it fits, it does not fit, it cannot be told yet. None comes without its
reasons: which rule, which of its conditions, and which fact about the engine decided it. An answer
that is still open names what has to be found out, no more than needed.

>>> reason = Reason("R1", "built from 1 March 2014 on", "built", Truth.FALSE,
...     "it is listed for engines built from 1 March 2014 on, but this one was built in 2013")
>>> print(sentence(Verdict("does not fit", (reason,), (), None)))
It does not fit: it is listed for engines built from 1 March 2014 on, but this one was built in 2013.
>>> print(sentence(Verdict("cannot tell", (), (Missing("serial", "the engine serial number"),), None)))
Whether it fits cannot be told yet: that needs the engine serial number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from catalog.rules.kleene import Truth

Outcome = Literal["fits", "does not fit", "cannot tell"]
_OPENING = {
    "fits": "It fits",
    "does not fit": "It does not fit",
    "cannot tell": "Whether it fits cannot be told yet",
}
_TOLD_AT_MOST = 3


@dataclass(frozen=True, slots=True)
class Reason:
    """`rule` is the key of the rule ("" when there is none to name), `condition` what it asks in words,
    `fact` the key of the fact asked about ("built", "serial", "option:NAME", "family", "position",
    "quantity"), `truth` whether the condition is met, `text` a clause for people with all of it."""

    rule: str
    condition: str
    fact: str
    truth: Truth
    text: str


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact to find out: its key as in Reason, and its name for people."""

    fact: str
    text: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer. `quantity` is per position, for a part that fits; None when the rules that apply
    give several. `missing` and `fits_if` are filled for "cannot tell" only, and then never empty:
    `fits_if` is what to say to a customer meanwhile ("fits if the heater connector is 9-way; tell us the
    heater connector"), without a capital or a full stop. `by_interchange` names the parts that serve
    alike whose applications were counted in place of its own."""

    outcome: Outcome
    reasons: tuple[Reason, ...]
    missing: tuple[Missing, ...]
    quantity: int | None
    fits_if: str = ""
    by_interchange: tuple[str, ...] = ()


def sentence(verdict: Verdict) -> str:
    """One plain sentence for the customer or the counter, with the deciding reasons or what is missing."""
    if verdict.outcome == "cannot tell":
        told = "that needs " + listed([missing.text for missing in verdict.missing])
    else:
        texts = list(dict.fromkeys(reason.text for reason in verdict.reasons))
        more = len(texts) - _TOLD_AT_MOST
        told = "; ".join(texts[:_TOLD_AT_MOST]) + (
            f"; and {more} more reasons like these" if more > 0 else ""
        )
    return f"{_OPENING[verdict.outcome]}: {told}."


def listed(names: Sequence[str]) -> str:
    """Names in a row for people: "a", "a and b", "a, b and c"."""
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
