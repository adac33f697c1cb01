"""What a reading says about the parts it passed through, and what is made of all of them together.

A test point measures through several parts in series: relay contact, harness, heater, ground. A good
reading speaks well of every one of them; a bad one says that at least one of them is at fault; an
unclear one says nothing.

>>> heater = ComponentAt("heater", "cylinder 3")
>>> print(heater)
heater (cylinder 3)
>>> Evidence("r1", "bad", frozenset(), "current at cylinder 3")
Traceback (most recent call last):
shop.rules.errors.Refused: current at cylinder 3: names no component; name at least one in its path
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, NamedTuple

from shop.rules.errors import Refused

Outcome = Literal["good", "bad", "unclear"]
StandingOutcome = Literal["confirmed", "suspected", "cleared", "untested"]


class ComponentAt(NamedTuple):
    """One component at one position, say the heater of cylinder 3. Both are plain data of the workshop.

    A tuple, because sets of these are gone through a great many times and a tuple is quick to hash.
    """

    component: str
    position: str

    def __str__(self) -> str:
        return f"{self.component} ({self.position})"


@dataclass(frozen=True, slots=True)
class Evidence:
    """One judged reading: its own `key`, its outcome, the components in its path, words to name it by."""

    key: str
    outcome: Outcome
    path: frozenset[ComponentAt]
    text: str

    def __post_init__(self) -> None:
        if self.outcome not in ("good", "bad", "unclear"):
            raise Refused.single(self.text, f"'{self.outcome}' is no outcome", "say good, bad or unclear")
        if not self.path:
            raise Refused.single(self.text, "names no component", "name at least one in its path")


@dataclass(frozen=True, slots=True)
class Standing:
    """What is known of one component, by which readings (keys), and why in words.

    `proved` is True only where the outcome rests on undisputed readings of this component itself: a
    cleared component that no good reading covers is merely not needed to explain anything.
    """

    outcome: StandingOutcome
    evidence: tuple[str, ...]
    reason: str
    proved: bool


@dataclass(frozen=True, slots=True)
class WeightedDiagnosis:
    """Components that, all at fault, account for the bad readings of one group; weight within that group."""

    components: frozenset[ComponentAt]
    weight: Fraction
    group: int


@dataclass(frozen=True, slots=True)
class Group:
    """Suspects that hang together through shared readings, apart from all others.

    The weights of `diagnoses` sum to 1. Where not `complete` there are further, unlisted diagnoses, and
    the weights compare only the listed ones.
    """

    number: int
    components: frozenset[ComponentAt]
    diagnoses: tuple[WeightedDiagnosis, ...]
    complete: bool


@dataclass(frozen=True, slots=True)
class Contradiction:
    """A bad reading over components all cleared by others. `readings`: its key, then the good ones' keys."""

    readings: tuple[str, ...]
    components: frozenset[ComponentAt]
    reason: str


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """All that the readings say. One diagnosis taken from every group makes one for the whole engine."""

    standing: Mapping[ComponentAt, Standing]
    groups: tuple[Group, ...]
    contradictions: tuple[Contradiction, ...]

    @property
    def diagnoses(self) -> tuple[WeightedDiagnosis, ...]:
        """Those of all groups, most likely first (a weight counts within its group), then fewer faults."""
        listed = [diagnosis for group in self.groups for diagnosis in group.diagnoses]
        return tuple(sorted(listed, key=lambda d: (-d.weight, len(d.components), d.group)))

    def chance(self, component: ComponentAt) -> Fraction:
        """The share, 0 to 1, of the listed diagnoses of its group that hold this component."""
        return sum((d.weight for d in self.diagnoses if component in d.components), start=Fraction(0))
