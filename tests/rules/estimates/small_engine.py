"""An invented engine small enough to work out with a pencil: two banks of two cylinders.

    pipe off and on 12 -> rocker cover of a bank 30 -> heaters (15 the first, 10 each further), harness 10
    heater: may break (extract: 60, further 50), and extracting may spoil the thread (45, further 40)

Every opened cover takes a new gasket and five screws; the clips under it are renewed only if damaged.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

from catalog.cards import Candidate, FamilyCard, OfferCard, PartCard, PositionCard
from catalog.rules.fitment import Rule, UnitFacts
from catalog.rules.interval import DateInterval
from catalog.service_cards import (
    ComponentCard,
    NeedCard,
    OperationCard,
    RiskCard,
    ServiceBook,
    StepCard,
    TestPointCard,
)
from estimates.rules.choice import Market
from estimates.rules.plan import Found, NeedAt
from estimates.rules.supply import resolve
from estimates.rules.terms import Terms
from estimates.rules.workload import workload
from shop.rules.markup import MarkupBand
from shop.rules.tax import TaxRate

ENGINE = PositionCard("engine", "engine", None)
A, B = PositionCard("A", "bank", None), PositionCard("B", "bank", None)
ONE, TWO = PositionCard("1", "cylinder", "A"), PositionCard("2", "cylinder", "A")
THREE, FOUR = PositionCard("3", "cylinder", "B"), PositionCard("4", "cylinder", "B")
V4 = FamilyCard(
    code="v4",
    name="Small V4",
    cylinders=4,
    scheme=None,
    option_names={"plug": "the heater plug"},
    option_values={"plug": ("2-way", "4-way")},
    positions=(ENGINE, A, ONE, TWO, B, THREE, FOUR),
)
FACTS = UnitFacts("v4", DateInterval(), None, {})
TODAY = date(2026, 3, 2)


def D(text: str) -> Decimal:
    return Decimal(text)


def component(code: str, scope: str, part_type: str | None = None) -> ComponentCard:
    return ComponentCard(code, code, scope, part_type, D("1"))


def need(part_type: str, quantity: int = 1, per: str = "position", necessity: str = "required") -> NeedCard:
    return NeedCard(part_type, part_type, quantity, per, necessity)


def step(code: str, scope: str, minutes: int, requires: tuple[str, ...] = (), *needs: NeedCard) -> StepCard:
    return StepCard(code, code, scope, minutes, requires, needs, (f"care-{code}",))


def operation(
    code: str,
    scope: str,
    repairs: str | None,
    minutes: int,
    further: int,
    *,
    access: tuple[str, ...] = (),
    needs: tuple[NeedCard, ...] = (),
    risks: tuple[RiskCard, ...] = (),
    removes_control: bool = False,
    rank: int = 1,
) -> OperationCard:
    return OperationCard(
        code, code, scope, repairs, rank, f"{code} described", minutes, further, removes_control,
        access, needs, risks, (f"care-{code}",),
    )  # fmt: skip


def risk(follow_on: str, condition: str, likelihood: str = "0.05") -> RiskCard:
    return RiskCard(follow_on, condition, D(likelihood))


def resistance(code: str = "resistance", **changes: object) -> TestPointCard:
    card = TestPointCard(
        code, code, "cylinder", "number", "Ohm", D("0.40"), D("0.90"), "", None, None, None, 5, 2, "",
        ("heater", "harness"), ("cover",), (f"care-{code}",),
    )  # fmt: skip
    return replace(card, **changes)  # type: ignore[arg-type]


def lamp(code: str = "lamp", path: tuple[str, ...] = ("relay",)) -> TestPointCard:
    return TestPointCard(
        code, code, "engine", "lamp", "", None, None, "on", None, None, None, 6, 6, "", path, (), ()
    )


def book(*operations: OperationCard, test_points: tuple[TestPointCard, ...] = ()) -> ServiceBook:
    """The small engine's service data; operations given here replace those of the same code."""
    own = (
        operation(
            "heater-replace", "cylinder", "heater", 15, 10, access=("cover",),
            needs=(need("heater"), need("grease", per="job", necessity="consumable")),
            risks=(risk("heater-extract", "only if the heater breaks"),),
        ),
        operation(
            "heater-extract", "cylinder", None, 60, 50, access=("cover",), needs=(need("reamer"),),
            risks=(risk("thread-repair", "only if the thread is spoilt", "0.2"),),
        ),
        operation(
            "thread-repair", "cylinder", None, 45, 40, access=("cover",), needs=(need("insert"),),
            risks=(risk("heater-extract", "only if the insert seizes the heater", "0.01"),),
        ),
        operation(
            "harness-replace", "bank", "harness", 10, 10, access=("cover",), needs=(need("harness"),)
        ),
        operation("belt-replace", "engine", "belt", 20, 20, needs=(need("belt"),)),
        operation("relay-replace", "engine", "relay", 8, 8, needs=(need("relay"),)),
        operation("recirculation-off", "engine", "valve", 30, 30, removes_control=True),
    )  # fmt: skip
    steps = (
        step("pipe", "engine", 12),
        step(
            "cover", "bank", 30, ("pipe",),
            need("gasket", necessity="one-time"), need("screw", 5, necessity="consumable"),
            need("clip", 4, necessity="if-damaged"),
        ),
    )  # fmt: skip
    components = (
        component("heater", "cylinder", "heater"), component("harness", "bank", "harness"),
        component("clip", "bank", "clip"), component("belt", "engine", "belt"),
        component("relay", "engine", "relay"), component("valve", "engine"), component("bracket", "engine"),
    )  # fmt: skip
    points = test_points or (resistance(), lamp())
    return ServiceBook(
        family=V4,
        components={card.code: card for card in components},
        steps={card.code: card for card in steps},
        test_points={card.code: card for card in points},
        operations={card.code: card for card in (*own, *operations)},
        cautions={},
    )


def found(
    code: str,
    place: PositionCard,
    standing: str = "confirmed",
    *,
    judged: str | None = None,
    quantity: int = 1,
    why: str = "seen",
) -> Found:
    return Found(code, code, place, standing, judged, quantity, (why,))  # type: ignore[arg-type]


# The market: what the catalogue answers


def part(number: int, part_type: str, list_price: str | None = None, currency: str = "EUR") -> PartCard:
    price = None if list_price is None else D(list_price)
    return PartCard(
        number, "orlin", "Orlin", f"OR-{number}", part_type, part_type, "", "original", price, currency
    )


def rule(number: int, scope: str, polarity: str = "applies", **limits: object) -> Rule:
    given: dict[str, object] = {
        "position": None, "quantity": 1, "built_from": None, "built_until": None, "serial_from": None,
        "serial_until": None, "options": (), **limits,
    }  # fmt: skip
    return Rule(f"R{number}", f"OR-{number}", "v4", polarity, scope, **given)  # type: ignore[arg-type]


def fits(card: PartCard, scope: str, **limits: object) -> Candidate:
    return Candidate(card, (rule(card.id, scope, **limits),))


def offer(
    part_id: int,
    price: str,
    *,
    supplier: str = "depot",
    breaks: tuple[tuple[int, str], ...] = (),
    pack: int = 1,
    minimum: int = 1,
    deposit: str = "0",
    days: int = 1,
    currency: str = "EUR",
    until: date | None = None,
) -> OfferCard:
    return OfferCard(
        id=part_id * 10,
        part_id=part_id,
        supplier=supplier,
        supplier_name=supplier.title(),
        currency=currency,
        price=D(price),
        breaks=tuple((start, D(each)) for start, each in breaks),
        pack=pack,
        minimum_quantity=minimum,
        deposit=D(deposit),
        lead_days=days,
        valid_from=date(2026, 1, 1),
        valid_until=until,
    )


def market(
    candidates: dict[str, tuple[Candidate, ...]],
    offers: tuple[OfferCard, ...] = (),
    successors: dict[int, tuple[tuple[tuple[int, int], ...], ...]] | None = None,
    others: tuple[PartCard, ...] = (),
) -> Market:
    by_part: dict[int, tuple[OfferCard, ...]] = {}
    for card in offers:
        by_part[card.part_id] = (*by_part.get(card.part_id, ()), card)
    parts = {c.part.id: c.part for cards in candidates.values() for c in cards}
    return Market(candidates, by_part, parts | {card.id: card for card in others}, successors or {})


NO_MARKUP = (MarkupBand(D("0"), D("0")),)
VAT = TaxRate("vat", "VAT 20 %", D("20"), "S")


def terms(**changes: object) -> Terms:
    """60.00 an hour in tenths, parts at cost, 20 % on everything unless changed."""
    everything = dict.fromkeys(("labour", "parts", "fees", "bought-in", "deposit"), ("vat",))
    given: dict[str, object] = {
        "currency": "EUR", "labour_rate": D("60.00"), "increment": D("0.1"), "bands": NO_MARKUP,
        "markup_mode": "continuous", "rates": {"vat": VAT}, "taxes": everything, **changes,
    }  # fmt: skip
    return Terms(**given)  # type: ignore[arg-type]


def whole_market(
    plan_needs: dict[str, str],
    *,
    deposit: str = "0",
    currency: str = "EUR",
    breaks: tuple[tuple[int, str], ...] = (),
) -> Market:
    """One part a type, fitting everywhere, at the price given; `breaks` hold for every type."""
    scopes = ("engine", "bank", "cylinder")
    cards = {code: part(number, code) for number, code in enumerate(plan_needs, start=1)}
    return market(
        {
            code: (Candidate(card, tuple(rule(card.id, scope) for scope in scopes)),)
            for code, card in cards.items()
        },
        tuple(
            offer(cards[code].id, price, deposit=deposit, currency=currency, breaks=breaks)
            for code, price in plan_needs.items()
        ),
    )


def needs_of(plan: object) -> list[NeedAt]:
    return list(workload(plan.items, plan.steps).needs.values())  # type: ignore[attr-defined]


PRICES = {
    "heater": "20.00", "grease": "4.00", "gasket": "30.00", "screw": "1.00", "clip": "1.50",
    "reamer": "40.00", "insert": "9.00", "harness": "80.00", "belt": "25.00", "relay": "35.00",
}  # fmt: skip


def supplies_for(plan: object, how: Terms, prices: dict[str, str] = PRICES, **kwargs: str) -> dict:
    shop = whole_market(prices, currency=how.currency, **kwargs)
    return resolve(needs_of(plan), {}, [], shop, FACTS, V4, how)
