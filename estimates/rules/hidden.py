"""What the job will come to on average, hidden damage weighed by how likely it is. For the writer alone.

The ceiling adds up everything that may be found; mostly little of it is. Here each way it may turn out is
priced whole, shared teardown counted once, and weighed by its likelihood. A suspected fault is as likely as
the diagnoses that hold it; of the suspects of one fault usually one is found, not all. A risk is as likely
as the service data says, and arises only where its work is done. What nothing weighs (a person's suspicion
without a reading, a line written by hand) counts as one in two, and is named.

A relay that breaks once in ten times while it is changed, a job of 100.00, or 150.00 with the broken one:

>>> from dataclasses import replace
>>> from estimates.rules.evidence import Diagnosis
>>> change = Item("change", "firm", "Change relay", (), ())
>>> broken = Item("drill@1", "contingent", "Drill it out", (), (), odds=(("change", Decimal("0.1")),))
>>> plan = Plan((change, replace(broken, parents=("change",))), {}, (), ())
>>> found = weigh(plan, Diagnosis({}, (), ()), lambda keys: Decimal(100 + 50 * len(keys)))
>>> found.expected, found.nothing, found.chances[0].chance
(Fraction(105, 1), Fraction(9, 10), Fraction(1, 10))

Diagnoses that share no suspect, and risks, are taken to be independent of each other (ASSUMPTION).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from estimates.rules.evidence import ComponentAt, Diagnosis
from estimates.rules.plan import Item, Plan, arising

ASSUMPTION = (
    "Risks, and faults that share no suspect, are taken to be independent of each other; "
    "a risk arises only where its work is done."
)
MOST_WAYS = 1024
HALF = Fraction(1, 2)
Ways = dict[frozenset[str], Fraction]
"""By the keys of the contingent items that become due, how likely just those are; the values sum to 1."""


@dataclass(frozen=True, slots=True)
class Chance:
    """How likely one contingent item becomes due. `weighed`: by readings or service data, not one in two."""

    item: Item
    chance: Fraction
    weighed: bool


@dataclass(frozen=True, slots=True)
class Hidden:
    """The expected total; `nothing` is how likely the firm work is all, `ways` how many were priced.

    Where not `exact`, there were too many ways to price each whole: parts that do not depend on each other
    were weighed apart, so access they share may count twice and the expected total come out a little high.
    """

    expected: Fraction
    nothing: Fraction
    chances: tuple[Chance, ...]
    ways: int
    exact: bool


def weigh(
    plan: Plan, diagnosis: Diagnosis, total: Callable[[Sequence[str]], Decimal], most: int = MOST_WAYS
) -> Hidden | None:
    """The expected total of the firm work and what becomes due. None where nothing may be hidden. What only
    an option that is not taken in may bring counts for nothing.

    `total` prices the contingent items of these keys together with all firm ones. At most `most` ways are
    priced whole.
    """
    contingent = arising(plan.group("contingent"), [item.key for item in plan.group("firm")])
    if not contingent:
        return None
    causes = _causes(plan, diagnosis, contingent)
    weighed = causes.weighed
    apart = [causes]
    ways = ways_it_may_turn_out(causes, most)
    if ways is None:
        apart = causes.apart()
    priced = [ways] if ways is not None else [ways_it_may_turn_out(one, most) for one in apart]
    if any(one is None for one in priced):
        return None
    known = [one for one in priced if one is not None]
    firm = total(())
    order = [item.key for item in contingent]
    expected = Fraction(firm)
    for one in known:
        for due, chance in one.items():
            if due:
                expected += chance * (Fraction(total([k for k in order if k in due])) - Fraction(firm))
    chances = {
        key: sum((c for one in known for due, c in one.items() if key in due), Fraction(0)) for key in order
    }
    nothing = Fraction(1)
    for one in known:
        nothing *= one.get(frozenset(), Fraction(0))
    return Hidden(
        expected=expected,
        nothing=nothing,
        chances=tuple(Chance(item, chances[item.key], item.key in weighed) for item in contingent),
        ways=sum(len(one) for one in known),
        exact=len(known) == 1,
    )


@dataclass(frozen=True, slots=True)
class Causes:
    """What decides it: `faults` are ways independent of each other; `risks` (item, its cause, likelihood)."""

    firm: frozenset[str]
    faults: tuple[Ways, ...]
    risks: tuple[tuple[str, str, Fraction], ...]
    weighed: frozenset[str]

    def apart(self) -> list[Causes]:
        """The same in pieces that have no item in common."""
        pieces: list[set[str]] = []
        for keys in (
            *(frozenset[str]().union(*ways) for ways in self.faults),
            *(frozenset({item, cause}) - self.firm for item, cause, _ in self.risks),
        ):
            touched = [piece for piece in pieces if piece & keys]
            pieces = [piece for piece in pieces if not piece & keys] + [set(keys).union(*touched)]
        return [
            replace(
                self,
                faults=tuple(ways for ways in self.faults if piece & frozenset[str]().union(*ways)),
                risks=tuple(risk for risk in self.risks if risk[0] in piece),
            )
            for piece in pieces
        ]


def ways_it_may_turn_out(causes: Causes, most: int = MOST_WAYS) -> Ways | None:
    """Every set of items that may become due, with its likelihood; None for more than `most` of them."""
    started: Ways = {frozenset(): Fraction(1)}
    for fault in causes.faults:
        together: Ways = defaultdict(Fraction)
        for due, chance in started.items():
            for more, likely in fault.items():
                together[due | more] += chance * likely
        started = together
        if len(started) > most:
            return None
    return _with_risks(started, causes, most)


def _with_risks(started: Ways, causes: Causes, most: int) -> Ways | None:
    """Each risk strikes or not once its work is done, and what it calls for brings its own."""
    found: Ways = defaultdict(Fraction)
    waiting = [(due, frozenset[int](), chance) for due, chance in started.items()]
    steps = 0
    while waiting:
        steps += 1
        if steps > 16 * most or len(found) > most:
            return None
        due, tried, chance = waiting.pop()
        for number, (item, cause, likely) in enumerate(causes.risks):
            if number not in tried and item not in due and (cause in causes.firm or cause in due):
                waiting.append((due | {item}, tried | {number}, chance * likely))
                waiting.append((due, tried | {number}, chance * (1 - likely)))
                break
        else:
            found[due] += chance
    return dict(found) if len(found) <= most else None


def _causes(plan: Plan, diagnosis: Diagnosis, may_arise: Iterable[Item]) -> Causes:
    contingent = {item.key: item for item in may_arise}
    suspects: dict[ComponentAt, list[str]] = defaultdict(list)
    for item in contingent.values():
        for component, position in item.suspects:
            suspects[ComponentAt(component, position)].append(item.key)
    faults = []
    weighed = {key for key, item in contingent.items() if item.odds}
    accused: set[ComponentAt] = set()
    for group in diagnosis.groups:
        if not group.components & suspects.keys():
            continue
        accused |= group.components
        ways: Ways = defaultdict(Fraction)
        for one in group.diagnoses:
            ways[_called(suspects, one.components)] += one.weight
        faults.append(dict(ways))
        weighed |= _called(suspects, group.components)
    for item in contingent.values():
        by_hand = not item.odds and not item.suspects
        if by_hand or any(ComponentAt(*one) not in accused for one in item.suspects):
            weighed.discard(item.key)
            faults.append({frozenset(): HALF, frozenset({item.key}): HALF})
    risks = tuple(
        (item.key, cause, Fraction(likely)) for item in contingent.values() for cause, likely in item.odds
    )
    firm = frozenset(item.key for item in plan.group("firm"))
    return Causes(firm, tuple(faults), risks, frozenset(weighed))


def _called(
    suspects: Mapping[ComponentAt, Iterable[str]], at_fault: frozenset[ComponentAt]
) -> frozenset[str]:
    return frozenset(key for one in at_fault & suspects.keys() for key in suspects[one])
