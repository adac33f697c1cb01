"""Three answers instead of two: true, false, and not known.

A parts counter often does not know enough. "Is it the 9-way connector?" may have no answer yet, and
an empty box on the card is not a no. These are Kleene's strong tables: a chain of demands (all of
them) is false as soon as one is false, whatever the rest would say, and true only when every one is
true; a list of alternatives (any of them) is true as soon as one is true, and false only when every
one is false. In every other case the answer is not known, and it stays so until somebody looks.

The order of the three values is by how much was learnt, not by size: learning more may turn unknown
into true or false, and never turns true into false or back. Fitment rests on that.

>>> all_of([Truth.TRUE, Truth.UNKNOWN]), all_of([Truth.FALSE, Truth.UNKNOWN])
(Truth.UNKNOWN, Truth.FALSE)
>>> any_of([Truth.TRUE, Truth.UNKNOWN]), any_of([Truth.FALSE, Truth.UNKNOWN])
(Truth.TRUE, Truth.UNKNOWN)
>>> negate(Truth.UNKNOWN)
Truth.UNKNOWN

Source: S. C. Kleene, Introduction to Metamathematics (1952), section 64, the strong tables.
"""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum
from typing import NoReturn


class Truth(Enum):
    """One of three answers. Compare with `is`; asking `if truth:` is an error, never a guess."""

    TRUE = "true"
    FALSE = "false"
    UNKNOWN = "unknown"

    def __bool__(self) -> NoReturn:
        # Every enum member is "truthy" by default, so `if truth:` would read FALSE as yes.
        raise TypeError("an answer of three values is not a yes or a no; compare it with Truth.TRUE")

    def __repr__(self) -> str:
        return f"Truth.{self.name}"


# Looking a member up on the class costs more than the comparison itself, and these run millions of times.
_TRUE, _FALSE, _UNKNOWN = Truth.TRUE, Truth.FALSE, Truth.UNKNOWN
_OPPOSITE = {_TRUE: _FALSE, _FALSE: _TRUE, _UNKNOWN: _UNKNOWN}


def known(answer: bool) -> Truth:
    """The answer to a question that was settled by looking."""
    return _TRUE if answer else _FALSE


def negate(truth: Truth) -> Truth:
    """Not: true and false change places, unknown stays unknown."""
    return _OPPOSITE[truth]


def all_of(truths: Iterable[Truth]) -> Truth:
    """Every one of them. No demands at all are met (TRUE), as with Python's `all`."""
    result = _TRUE
    for truth in truths:
        if truth is _FALSE:
            return _FALSE
        if truth is _UNKNOWN:
            result = _UNKNOWN
    return result


def any_of(truths: Iterable[Truth]) -> Truth:
    """At least one of them. No alternatives at all offer nothing (FALSE), as with Python's `any`."""
    result = _FALSE
    for truth in truths:
        if truth is _TRUE:
            return _TRUE
        if truth is _UNKNOWN:
            result = _UNKNOWN
    return result
