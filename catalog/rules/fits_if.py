"""What to say to a customer while it is still open: "fits if the heater connector is 9-way".

Said are only the facts on which it depends, in plain words: in months and years where a rule begins or
ends with one, with the unknown part of what is half known. Where the part fits but for one thing, that is
said ("fits unless ..."). At the end stands what to tell us. More than three ways are counted, not told.

>>> from catalog.rules.open_case import Case, Literal, tried
>>> nine_way, new = Literal("option:connector", "9-way"), Literal("serial", (500, 999))
>>> words = Words({"connector": "the heater connector"}, SerialScheme("TX", ("TA",), 3), {})
>>> def told(*cases):
...     trials = tried(cases, {"serial": (0, 999)})
...     return phrase(trials, ways(trials, frozenset(trials.fact)), words, ("the heater connector",))
>>> print(told(Case((nine_way, new), ())))
fits if the serial number is TA500 or later and the heater connector is 9-way; tell us the heater connector
>>> print(told(Case((), ((nine_way,),))))
fits unless the heater connector is 9-way; tell us the heater connector
>>> print(told(Case((nine_way,), ()), Case((new,), ())))
fits if either the heater connector is 9-way, or the serial number is TA500 or later; tell us the heater \
connector
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from catalog.rules import condition
from catalog.rules.interval import stretch_text
from catalog.rules.missing import in_order
from catalog.rules.open_case import Trials
from catalog.rules.serial import SerialScheme
from catalog.rules.verdict import listed
from catalog.rules.ways import Way, ways

__all__ = ["Words", "phrase", "ways"]

TOLD_AT_MOST = 3


@dataclass(frozen=True, slots=True)
class Words:
    """`names` for options, the family's `scheme`, and what single values stand for as their rules spell
    them: by fact and value, an option's value, or a whole clause for what no look at the engine tells."""

    names: Mapping[str, str]
    scheme: SerialScheme | None
    spelt: Mapping[tuple[str, str], str]


def phrase(trials: Trials, found: Sequence[Way], words: Words, tell: Sequence[str]) -> str:
    """The phrase, without a capital or a full stop. `tell`: the missing facts that a customer can tell."""
    clauses = [_way(way, trials, words, alone=len(found) == 1) for way in found]
    more = len(clauses) - TOLD_AT_MOST
    if more > 0:
        told = f"{', or '.join(clauses[:TOLD_AT_MOST])}, or in {more} more way{'s' if more > 1 else ''}"
    else:
        told = ", or ".join(clauses)
    opening = "" if len(clauses) == 1 else "if either "
    asked = f"; tell us {listed(tell)}" if tell else ""
    return f"fits {opening}{told}{asked}"


def _way(way: Way, trials: Trials, words: Words, alone: bool) -> str:
    slots = [slot for fact in in_order(trials.fact[slot] for slot in way.demands) for slot in way.demands
             if trials.fact[slot] == fact]  # fmt: skip
    wanted, unwanted = [], []
    for slot in slots:
        accepted = way.demands[slot]
        other = trials.every(slot) - accepted
        if _said_by_what_is_out(slot, accepted, trials):
            unwanted.append((slot, other))
        else:
            wanted.append(_clause(slot, accepted, trials, words))
    bars = [
        listed([_clause(slot, accepted, trials, words) for slot, accepted in bar])
        for bar in sorted(way.bars, key=lambda bar: [(slot, sorted(accepted)) for slot, accepted in bar])
    ]
    if alone:
        bars = [_clause(slot, out, trials, words) for slot, out in unwanted] + bars
        told = f"if {listed(wanted)}" if wanted else ""
        return " ".join(filter(None, (f"{told}," if told and bars else told, _unless(bars))))
    wanted += [_clause(slot, out, trials, words, without=True) for slot, out in unwanted]
    told = listed(wanted) if wanted else "on every engine of the family"
    return f"{told} (unless {' or '.join(bars)})" if bars else told


def _unless(bars: Sequence[str]) -> str:
    return f"unless {', or '.join(bars)}" if bars else ""


def _said_by_what_is_out(slot: str, accepted: frozenset[int], trials: Trials) -> bool:
    """Whether "not 9-way" is shorter than saying what is wanted."""
    if slot in trials.named:
        return len(trials.named[slot]) in accepted
    return len(_runs(accepted)) > len(_runs(trials.every(slot) - accepted))


def _clause(slot: str, accepted: frozenset[int], trials: Trials, words: Words, without: bool = False) -> str:
    fact, verb = trials.fact[slot], "is not" if without else "is"
    if slot in trials.named:
        return _of_values(slot, accepted, trials, words, verb)
    stretches = [_ends(first, last, slot, trials) for first, last in _runs(accepted)]
    if fact == condition.BUILT:
        days = " or ".join(stretch_text(*(_day(end) for end in ends)) for ends in stretches)
        return f"the engine {'was not' if without else 'was'} built {days}"
    return f"the serial number {verb} " + " or ".join(_serials(ends, words.scheme) for ends in stretches)


def _of_values(slot: str, accepted: frozenset[int], trials: Trials, words: Words, verb: str) -> str:
    fact, named = trials.fact[slot], trials.named[slot]
    values = [value for number, value in enumerate(named) if number in accepted]
    if len(named) in accepted:  # inside an exclusion of several conditions: any value but these
        values, verb = [value for number, value in enumerate(named) if number not in accepted], "is not"
    shown = [words.spelt.get((fact, value), value) for value in values]
    if fact.startswith(condition.OPTION):
        option = condition.option_text(fact.removeprefix(condition.OPTION), words.names)
        return f"{option} {verb} {' or '.join(shown)}"
    told = " or ".join(shown)
    return f"it is not so that {told}" if verb == "is not" else told


def _runs(numbers: frozenset[int]) -> list[tuple[int, int]]:
    """First and last of each unbroken row of numbers."""
    found: list[tuple[int, int]] = []
    for number in sorted(numbers):
        if found and found[-1][1] == number - 1:
            found[-1] = (found[-1][0], number)
        else:
            found.append((number, number))
    return found


def _ends(first: int, last: int, slot: str, trials: Trials) -> tuple[int | None, int | None]:
    """First and last value of a run of stretches; None where it reaches as far as the fact can."""
    starts = trials.starts[slot]
    return (
        starts[first] if first > 0 else None,
        starts[last + 1] - 1 if last + 1 < len(starts) else None,
    )


def _day(end: int | None) -> date | None:
    return None if end is None else date.fromordinal(end)


def _serials(ends: tuple[int | None, int | None], scheme: SerialScheme | None) -> str:
    first, last = (None if end is None or scheme is None else str(scheme.at(end)) for end in ends)
    if first == last:
        return str(first)
    if first is None or last is None:
        return f"{last} or earlier" if first is None else f"{first} or later"
    return f"from {first} to {last}"
