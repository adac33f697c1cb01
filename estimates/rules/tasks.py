"""Operations and tests at their places: the minutes of their own, the access they open, the parts they use.

An access step is opened once at each place that asks for it, with everything that has to come off before.
What the first position of an operation takes longer than each further one is a step of its own that all
positions share, so that it is counted once.

>>> from catalog.service_cards import StepCard
>>> engine = PositionCard("engine", "engine", None)
>>> cylinders = tuple(PositionCard(code, "cylinder", None) for code in "12")
>>> family = FamilyCard("i2", "Twin", 2, None, {}, {}, (engine, *cylinders))
>>> cover = StepCard("cover", "Cover off and on", "engine", 20, (), (), ())
>>> heater = OperationCard("heater", "Replace heater", "cylinder", None, 1, "", 15, 10, False, ("cover",),
...     (), (), ())
>>> work = Tasks(ServiceBook(family, {}, {"cover": cover}, {}, {"heater": heater}, {}))
>>> [work.operation(heater, place).key for place in cylinders], sorted(work.steps)
(['heater@1', 'heater@2'], ['cover@engine', 'first:heater'])
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from catalog.cards import FamilyCard, PositionCard
from catalog.service_cards import NeedCard, OperationCard, ServiceBook, TestPointCard
from estimates.rules.plan import NeedAt, StepAt, Task


@dataclass
class Tasks:
    """Makes tasks from service data; `steps` grows by every access step that they open."""

    book: ServiceBook
    steps: dict[str, StepAt] = field(default_factory=dict)

    @property
    def family(self) -> FamilyCard:
        return self.book.family

    def test(self, card: TestPointCard, place: PositionCard) -> Task:
        """A test carried out at `place`."""
        shared = self._shared_first(f"test:{card.code}", card.name, card.minutes - card.minutes_further)
        return Task(
            key=f"test:{card.code}@{place.code}",
            operation=f"test:{card.code}",
            name=card.name,
            place=place,
            minutes=card.minutes_further,
            steps=frozenset({*self._open(card.access, place), *shared}),
            needs=(),
            cautions=card.cautions,
        )

    def operation(self, operation: OperationCard, place: PositionCard) -> Task:
        """An operation at `place`."""
        shared = self._shared_first(
            operation.code, operation.name, operation.minutes - operation.minutes_further
        )
        return Task(
            key=f"{operation.code}@{place.code}",
            operation=operation.code,
            name=operation.name,
            place=place,
            minutes=operation.minutes_further,
            steps=frozenset({*self._open(operation.access, place), *shared}),
            needs=self._needs(operation.needs, place),
            cautions=operation.cautions,
        )

    def _shared_first(self, code: str, name: str, minutes: int) -> tuple[str, ...]:
        if minutes == 0:
            return ()
        key = f"first:{code}"
        engine = self.family.of_scope("engine")[0]
        self.steps.setdefault(key, StepAt(key, name, engine, minutes, frozenset(), (), ()))
        return (key,)

    def _open(self, codes: Iterable[str], place: PositionCard) -> list[str]:
        """Keys of these steps at the places that `place` asks for, registered with all they require."""
        keys = []
        for code in codes:
            card = self.book.steps[code]
            for at in self.family.enclosing(place, card.scope):
                key = f"{code}@{at.code}"
                keys.append(key)
                if key in self.steps:
                    continue
                requires = frozenset(self._open(card.requires, at))
                self.steps[key] = StepAt(
                    key, card.name, at, card.minutes, requires, self._needs(card.needs, at), card.cautions
                )
        return keys

    def _needs(self, needs: Iterable[NeedCard], place: PositionCard) -> tuple[NeedAt, ...]:
        """What is surely used; "if damaged" waits for a finding."""
        engine = self.family.of_scope("engine")[0]
        found = []
        for need in needs:
            if need.necessity == "if-damaged":
                continue
            if need.per == "job":
                places: Sequence[PositionCard] = (engine,)
            elif need.per == "bank":
                places = self.family.enclosing(place, "bank")
            else:
                places = (place,)
            found += [
                NeedAt(need.part_type, need.type_name, need.quantity, at, need.necessity) for at in places
            ]
        return tuple(found)
