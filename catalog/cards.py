"""What the catalogue hands to the other rooms: plain values, read once, with natural keys."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property

from catalog.rules.fitment import Rule
from catalog.rules.serial import SerialScheme
from catalog.rules.stale import stated_on


@dataclass(frozen=True)
class PositionCard:
    """A place on an engine family: scope "engine", "bank" or "cylinder"; bank is the code of its bank."""

    code: str
    scope: str
    bank: str | None

    @property
    def label(self) -> str:
        return "the engine" if self.scope == "engine" else f"{self.scope} {self.code}"


@dataclass(frozen=True)
class FamilyCard:
    """An engine family with all that fitment and positions need."""

    code: str
    name: str
    cylinders: int
    scheme: SerialScheme | None
    option_names: dict[str, str]
    option_values: dict[str, tuple[str, ...]]
    positions: tuple[PositionCard, ...]

    @cached_property
    def bank_of(self) -> dict[str, str]:
        """By cylinder, its bank; empty on an engine without banks."""
        return {p.code: p.bank for p in self.positions if p.bank is not None}

    def position(self, code: str) -> PositionCard | None:
        return next((p for p in self.positions if p.code == code), None)

    def of_scope(self, scope: str) -> tuple[PositionCard, ...]:
        return tuple(p for p in self.positions if p.scope == scope)

    def enclosing(self, position: PositionCard, scope: str) -> tuple[PositionCard, ...]:
        """The positions of `scope` that `position` lies in or holds.

        A cylinder lies in its bank and in the engine; a bank or the engine holds all cylinders below it. On
        an engine without banks the engine stands for its only bank.
        """
        if position.scope == scope:
            return (position,)
        if scope == "engine":
            return self.of_scope("engine")
        if scope == "bank":
            banks = self.of_scope("bank")
            if position.scope == "cylinder" and position.bank is not None:
                return tuple(b for b in banks if b.code == position.bank)
            return banks or self.of_scope("engine")
        cylinders = self.of_scope("cylinder")
        return (
            tuple(c for c in cylinders if c.bank == position.code) if position.scope == "bank" else cylinders
        )


@dataclass(frozen=True)
class PartCard:
    """A part as it is shown: brand and number in the brand's own spelling."""

    id: int
    brand: str
    brand_name: str
    number: str
    part_type: str
    type_name: str
    description: str
    grade: str
    list_price: Decimal | None = None
    list_currency: str = ""
    controls: bool = False

    @property
    def label(self) -> str:
        return f"{self.brand_name} {self.number}"


@dataclass(frozen=True)
class Candidate:
    """A part with every rule that speaks of it for one engine family; and by the name shown for it, each
    other member of its interchange group with its rules, where the part has no application of its own and
    is judged by theirs (see catalog.rules.interchange)."""

    part: PartCard
    rules: tuple[Rule, ...]
    lenders: Mapping[str, tuple[Rule, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class OfferCard:
    """An offer valid on the day asked about; prices per piece without tax in `currency`."""

    id: int
    part_id: int
    supplier: str
    supplier_name: str
    currency: str
    price: Decimal
    breaks: tuple[tuple[int, Decimal], ...]
    pack: int
    minimum_quantity: int
    deposit: Decimal
    lead_days: int
    valid_from: date
    valid_until: date | None
    supplier_number: str = ""
    freight: Decimal = field(default=Decimal(0))
    free_freight_from: Decimal | None = None
    stale_after_days: int = 180
    confirmed_on: date | None = None
    preferred: bool = False
    blocked: bool = False

    @property
    def stated_on(self) -> date:
        """When the supplier last stated this price: with it, or with a complete price file that left it."""
        return stated_on(self.valid_from, self.confirmed_on)

    def orderable(self, quantity: int) -> int:
        """The smallest quantity that can be ordered to have at least `quantity` pieces."""
        wanted = max(quantity, self.minimum_quantity)
        return -(-wanted // self.pack) * self.pack

    def piece_price(self, quantity: int) -> Decimal:
        """Price per piece when `quantity` pieces are ordered (the largest break reached)."""
        reached = [price for start, price in self.breaks if start <= quantity]
        return reached[-1] if reached else self.price

    def cost(self, quantity: int) -> Decimal:
        """What having `quantity` pieces costs: whole packs, without deposit and freight."""
        ordered = self.orderable(quantity)
        return self.piece_price(ordered) * ordered
