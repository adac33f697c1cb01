"""What the readings clear, accuse and contradict, and where each component stands for it.

A reading over relay and heater is bad; the relay was measured good. That leaves the heater:

>>> relay, heater = ComponentAt("relay", "engine"), ComponentAt("heater", "cylinder 1")
>>> sifted = sift([
...     Evidence("r1", "bad", frozenset({relay, heater}), "no current"),
...     Evidence("r2", "good", frozenset({relay}), "voltage behind the relay"),
... ])
>>> print(standing(heater, sifted).reason)
the only component left in the path of no current; the rest was cleared by voltage behind the relay

A component stands in every smallest set of faults exactly when some conflict names it alone, and in at
least one exactly when some smallest conflict names it. So standings need no list of diagnoses and stay
quick where those run into millions. Source: C. Berge, Hypergraphs (1989), ch. 2: the transversals of the
transversals are the smallest edges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from estimates.rules.evidence import ComponentAt, Contradiction, Evidence, Standing, StandingOutcome
from estimates.rules.hitting import minimal_sets


@dataclass(frozen=True, slots=True)
class Conflict:
    """A bad reading and those of its components that no good reading clears: one or more is at fault."""

    reading: Evidence
    left: frozenset[ComponentAt]


@dataclass(frozen=True, slots=True)
class Sifted:
    """`components` in the order met; `family`: the smallest conflicts as bit masks (bit n = component n)."""

    readings: tuple[Evidence, ...]
    components: tuple[ComponentAt, ...]
    cleared: frozenset[ComponentAt]
    conflicts: tuple[Conflict, ...]
    contradictions: tuple[Contradiction, ...]
    family: tuple[int, ...]
    suspects: frozenset[ComponentAt]
    alone: frozenset[ComponentAt]
    disputed: frozenset[ComponentAt]

    def named(self, mask: int) -> frozenset[ComponentAt]:
        return frozenset(c for n, c in enumerate(self.components) if mask >> n & 1)


def sift(readings: Iterable[Evidence]) -> Sifted:
    """Clear what good readings cover, keep the rest of each bad path, report paths with no rest."""
    taken = tuple(readings)
    components = tuple(dict.fromkeys(c for reading in taken for c in sorted(reading.path)))
    good = [reading for reading in taken if reading.outcome == "good"]
    bad = [reading for reading in taken if reading.outcome == "bad"]
    cleared: frozenset[ComponentAt] = frozenset().union(*(reading.path for reading in good))
    conflicts = tuple(Conflict(r, r.path - cleared) for r in bad if r.path - cleared)
    contradictions = tuple(_contradiction(r, good) for r in bad if not r.path - cleared)
    number = {component: n for n, component in enumerate(components)}
    family = minimal_sets(sum(1 << number[c] for c in conflict.left) for conflict in conflicts)
    smallest = [frozenset(c for c in components if mask >> number[c] & 1) for mask in family]
    return Sifted(
        readings=taken,
        components=components,
        cleared=cleared,
        conflicts=conflicts,
        contradictions=contradictions,
        family=tuple(family),
        suspects=frozenset().union(*smallest),
        alone=frozenset().union(*(left for left in smallest if len(left) == 1)),
        disputed=frozenset().union(*(c.components for c in contradictions)),
    )


def _contradiction(bad: Evidence, good: Sequence[Evidence]) -> Contradiction:
    against = [reading for reading in good if reading.path & bad.path]
    reason = (
        f"{bad.text} is bad, yet every component in its path was cleared by {_texts(against)}; "
        "one of these readings is wrong or the fault comes and goes: measure again"
    )
    return Contradiction((bad.key, *(reading.key for reading in against)), bad.path, reason)


def standing(component: ComponentAt, sifted: Sifted, called: Callable[[ComponentAt], str] = str) -> Standing:
    """Where one component stands, by which readings, and why. `called` names components in the reason."""
    through = [reading for reading in sifted.readings if component in reading.path]
    if component in sifted.cleared:
        return _cleared(through, disputed=component in sifted.disputed)
    if component in sifted.suspects:
        return _accused(component, sifted, called)
    bad = [reading for reading in through if reading.outcome == "bad"]
    if bad:
        reason = (
            f"not needed to explain {_texts(bad)}, which other faults account for; "
            "no good reading has proved it, so measure again after the repair"
        )
        return Standing("cleared", _keys(bad), reason, proved=False)
    said = f"only unclear readings: {_texts(through)}" if through else "no reading passes through it yet"
    return Standing("untested", _keys(through), said, proved=False)


def _cleared(through: Sequence[Evidence], *, disputed: bool) -> Standing:
    good = [reading for reading in through if reading.outcome == "good"]
    if not disputed:
        return Standing("cleared", _keys(good), f"in the path of {_texts(good)}, good", proved=True)
    bad = [reading for reading in through if reading.outcome == "bad"]
    reason = f"cleared by {_texts(good)}, but the readings contradict each other: see {_texts(bad)}"
    return Standing("cleared", _keys([*good, *bad]), reason, proved=False)


def _accused(component: ComponentAt, sifted: Sifted, called: Callable[[ComponentAt], str]) -> Standing:
    accusing = _accusing(component, sifted)
    alone = component in sifted.alone
    bad = [conflict.reading for conflict in accusing]
    others_cleared = _others_cleared(accusing)
    good = [r for r in sifted.readings if r.outcome == "good" and r.path & others_cleared]
    rests_on_dispute = bool(others_cleared & sifted.disputed)
    outcome: StandingOutcome = "confirmed" if alone and not rests_on_dispute else "suspected"
    if alone:
        reason = f"the only component left in the path of {_texts(bad)}"
    else:
        others = sorted(frozenset().union(*(conflict.left for conflict in accusing)) - {component})
        reason = f"left in the path of {_texts(bad)}, together with {_list(map(called, others))}"
    if good:
        reason += f"; the rest was cleared by {_texts(good)}"
    if rests_on_dispute:
        reason += "; but readings contradict each other over these, so it is not confirmed"
    return Standing(outcome, _keys([*bad, *good]), reason, proved=not rests_on_dispute)


def accused(sifted: Sifted) -> dict[ComponentAt, Literal["confirmed", "suspected"]]:
    """Every suspect, and whether it is the one component left of a conflict; in the order met."""
    return {
        component: "confirmed"
        if component in sifted.alone and not _others_cleared(_accusing(component, sifted)) & sifted.disputed
        else "suspected"
        for component in sifted.components
        if component in sifted.suspects
    }


def _accusing(component: ComponentAt, sifted: Sifted) -> list[Conflict]:
    """The conflicts that make it a suspect: those that name it alone, where there are any."""
    naming = [conflict for conflict in sifted.conflicts if component in conflict.left]
    if component in sifted.alone:
        return [conflict for conflict in naming if len(conflict.left) == 1]
    return naming


def _others_cleared(accusing: Sequence[Conflict]) -> frozenset[ComponentAt]:
    return frozenset().union(*(conflict.reading.path - conflict.left for conflict in accusing))


def _keys(readings: Iterable[Evidence]) -> tuple[str, ...]:
    return tuple(reading.key for reading in readings)


def _texts(readings: Iterable[Evidence]) -> str:
    return _list(reading.text for reading in readings)


def _list(words: Iterable[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last
