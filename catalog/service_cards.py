"""Service data of one engine family as plain values: components, test points, access steps, operations."""

from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from catalog.cards import FamilyCard


@dataclass(frozen=True)
class NeedCard:
    """What an operation or access step uses: `quantity` pieces per "position", "bank" or "job".

    `necessity` is "required", "one-time", "if-damaged" or "consumable".
    """

    part_type: str
    type_name: str
    quantity: int
    per: str
    necessity: str


@dataclass(frozen=True)
class ComponentCard:
    code: str
    name: str
    scope: str
    part_type: str | None
    likelihood: Decimal


@dataclass(frozen=True)
class StepCard:
    """A piece of teardown and refit; minutes cover both ways, at each position of its scope."""

    code: str
    name: str
    scope: str
    minutes: int
    requires: tuple[str, ...]
    needs: tuple[NeedCard, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class TestPointCard:
    """A defined measurement. Limits in `unit` (UCUM), written with `places` decimals."""

    __test__ = False

    code: str
    name: str
    scope: str
    kind: str
    unit: str
    minimum: Decimal | None
    maximum: Decimal | None
    lamp: str
    temperature_min: Decimal | None
    temperature_max: Decimal | None
    temperature_coefficient: Decimal | None
    minutes: int
    minutes_further: int
    instruction: str
    path: tuple[str, ...]
    access: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class RiskCard:
    """What may go wrong during an operation, in words, and the operation that must follow then."""

    follow_on: str
    condition: str
    likelihood: Decimal


@dataclass(frozen=True)
class OperationCard:
    code: str
    name: str
    scope: str
    repairs: str | None
    rank: int
    description: str
    minutes: int
    minutes_further: int
    removes_control: bool
    access: tuple[str, ...]
    needs: tuple[NeedCard, ...]
    risks: tuple[RiskCard, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class ServiceBook:
    """All service data of one engine family, by code; `cautions` gives each caution's text."""

    family: FamilyCard
    components: dict[str, ComponentCard]
    steps: dict[str, StepCard]
    test_points: dict[str, TestPointCard]
    operations: dict[str, OperationCard]
    cautions: dict[str, str]

    @cached_property
    def repair_of(self) -> dict[str, OperationCard]:
        """By component, the operation proposed for it: the lowest rank."""
        proposed: dict[str, OperationCard] = {}
        for operation in sorted(self.operations.values(), key=lambda o: (o.rank, o.code), reverse=True):
            if operation.repairs is not None:
                proposed[operation.repairs] = operation
        return proposed
