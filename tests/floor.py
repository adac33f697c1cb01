"""An invented workshop with one engine to work on: a V8 whose glow plugs are measured through a connector.

Everything a job needs and no more: tests over relay, lead and plug, teardown per bank, repairs, parts,
offers, rates and a meter. Nothing in it is a real product; 0.9 ohm takes about 12 A at 11 V (Ohm's law).
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.contrib.auth.models import AbstractUser
from django.utils import timezone

from catalog.models import (
    AccessStep,
    Application,
    ApplicationOption,
    Brand,
    Caution,
    Component,
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    Maker,
    Offer,
    Operation,
    OperationAccess,
    OperationRisk,
    Part,
    PartNeed,
    PartType,
    Position,
    SerialScheme,
    Supplier,
    TestPoint,
    TestPointAccess,
    TestPointCaution,
    TestPointComponent,
)
from catalog.rules.interval import DateInterval
from estimates.actions import add_customer, add_unit, open_job
from estimates.models import Job
from estimates.rules.intake import CustomerIn, UnitIn
from shop.models import LineTax, MarkupBand, Meter, MeterRange, TaxRate, Workshop

FAMILY = "hg-v8"


@dataclass
class Floor:
    family: EngineFamily
    part_types: dict[str, PartType]
    components: dict[str, Component]
    meter: Meter

    def job(self, user: AbstractUser | None = None, **unit: object) -> Job:
        """A job just opened; `unit` are facts of estimates.rules.intake.UnitIn."""
        known = {"name": "Hay baler", "family": FAMILY, "built": DateInterval.from_text("2015-04"), **unit}
        customer = add_customer(CustomerIn("Marten Farm"))
        row = add_unit(customer, UnitIn(**known))  # type: ignore[arg-type]
        now = timezone.localtime()
        return open_job(row, "Starts on six cylinders.", by=user, at=now, opened_on=now.date())


def lay_out() -> Floor:
    """Write all of it down. The shop's own terms first, so that an estimate can be built at once."""
    meter = _terms()
    family = _engine()
    types = {
        code: PartType.objects.create(code=code, name=name, plural=f"{name}s")
        for code, name in (
            ("glow-plug", "glow plug"), ("relay", "preheat relay"), ("lead", "glow-plug lead"),
            ("cover-gasket", "rocker-cover gasket"), ("clip", "retainer clip"), ("belt", "drive belt"),
            ("reamer", "extraction reamer"),
        )
    }  # fmt: skip
    components = {
        code: Component.objects.create(
            family=family, code=code, name=name, scope=scope, part_type=types[kind], likelihood=Decimal(odds)
        )
        for code, name, scope, kind, odds in (
            ("heater", "glow plug", "cylinder", "glow-plug", 40),
            ("lead", "glow-plug lead", "cylinder", "lead", 10),
            ("relay", "preheat relay", "engine", "relay", 15),
            ("clip", "retainer clips", "bank", "clip", 5),
            ("belt", "drive belt", "engine", "belt", 5),
        )
    }
    cover = AccessStep.objects.create(
        family=family, code="cover-off", name="rocker cover off and on", scope="bank", minutes=40
    )
    _tests(family, components, cover)
    _repairs(family, components, types, cover)
    _parts(family, types)
    return Floor(family, types, components, meter)


def _terms() -> Meter:
    Workshop.objects.create(pk=1, name="Fenwick Bore Works", currency="EUR", labour_rate=Decimal("90.00"))
    vat = TaxRate.objects.create(code="vat", name="VAT", percent=Decimal(20), category="S")
    for category in ("labour", "parts", "fees", "bought-in", "deposit"):
        LineTax.objects.create(category=category, rate=vat)
    MarkupBand.objects.create(cost_from=Decimal(0), percent=Decimal(50))
    meter = Meter.objects.create(code="bench", name="Bench meter")
    for full_scale, resolution in (("4", "0.001"), ("400", "0.1")):
        MeterRange.objects.create(
            meter=meter, unit="Ohm", full_scale=Decimal(full_scale), resolution=Decimal(resolution),
            accuracy_percent=Decimal("0.8"), accuracy_counts=2,
        )  # fmt: skip
    return meter


def _engine() -> EngineFamily:
    maker = Maker.objects.create(code="harrowgate", name="Harrowgate Engines")
    scheme = SerialScheme.objects.create(code="hg", name="Harrowgate numbers", prefixes="HA HB", digits=6)
    family = EngineFamily.objects.create(
        code=FAMILY, maker=maker, name="Harrowgate V8", layout="vee", cylinders=8, voltage=12,
        numbering="din-73021", serial_scheme=scheme,
    )  # fmt: skip
    Position.objects.create(family=family, code="engine", scope="engine", ordinal=0)
    banks = [
        Position.objects.create(family=family, code=c, scope="bank", ordinal=n) for n, c in enumerate("AB", 1)
    ]
    for number in range(1, 9):
        Position.objects.create(
            family=family,
            code=str(number),
            scope="cylinder",
            bank=banks[(number - 1) // 4],
            ordinal=10 + number,
        )
    option = EngineOption.objects.create(family=family, code="connector", name="the heater connector")
    for value in ("5-way", "9-way"):
        EngineOptionValue.objects.create(option=option, value=value)
    return family


def _tests(family: EngineFamily, components: dict[str, Component], cover: AccessStep) -> None:
    hot = Caution.objects.create(code="hot-plug", text="Glow plugs burn skin for minutes after preheating.")
    points = (
        ("at-connector", "Resistance at the connector", "0.70", "1.10", ("lead", "heater"), False),
        ("at-plug", "Resistance at the plug", "0.65", "0.95", ("heater",), True),
    )
    for code, name, low, high, path, under_cover in points:
        point = TestPoint.objects.create(
            family=family, code=code, name=name, scope="cylinder", kind="number", unit="Ohm", places=2,
            minimum=Decimal(low), maximum=Decimal(high), minutes=6, minutes_further=2,
            instruction="From the pin to the engine block.",
        )  # fmt: skip
        for ordinal, component in enumerate(path):
            TestPointComponent.objects.create(
                test_point=point, component=components[component], ordinal=ordinal
            )
        TestPointCaution.objects.create(test_point=point, caution=hot)
        if under_cover:
            TestPointAccess.objects.create(test_point=point, step=cover)
    lamp = TestPoint.objects.create(
        family=family, code="relay-lamp", name="Test lamp behind the relay", scope="engine", kind="lamp",
        lamp="on", minutes=3, minutes_further=3,
    )  # fmt: skip
    TestPointComponent.objects.create(test_point=lamp, component=components["relay"], ordinal=0)


def _repairs(
    family: EngineFamily, components: dict[str, Component], types: dict[str, PartType], cover: AccessStep
) -> None:
    made = {}
    for code, name, scope, repairs, minutes, further, access, uses in (
        ("plug-replace", "Replace glow plug", "cylinder", "heater", 20, 12, True, "glow-plug"),
        ("lead-replace", "Replace glow-plug lead", "cylinder", "lead", 15, 10, True, "lead"),
        ("relay-replace", "Replace preheat relay", "engine", "relay", 10, 10, False, "relay"),
        ("belt-replace", "Replace drive belt", "engine", "belt", 22, 22, False, "belt"),
        ("plug-extract", "Extract a broken glow plug", "cylinder", None, 80, 60, True, "reamer"),
    ):
        operation = Operation.objects.create(
            family=family, code=code, name=name, scope=scope, minutes=minutes, minutes_further=further,
            repairs=components[repairs] if repairs else None,
        )  # fmt: skip
        made[code] = operation
        PartNeed.objects.create(operation=operation, part_type=types[uses], quantity=1, necessity="required")
        if access:
            OperationAccess.objects.create(operation=operation, step=cover)
    PartNeed.objects.create(
        step=cover, part_type=types["cover-gasket"], quantity=1, per="bank", necessity="one-time"
    )
    PartNeed.objects.create(
        step=cover, part_type=types["clip"], quantity=4, per="bank", necessity="if-damaged"
    )
    OperationRisk.objects.create(
        operation=made["plug-replace"], follow_on=made["plug-extract"],
        condition="only if the plug breaks while it is unscrewed", likelihood=Decimal("0.1"),
    )  # fmt: skip


def _parts(family: EngineFamily, types: dict[str, PartType]) -> None:
    brand = Brand.objects.create(code="orlin", name="Orlin")
    supplier = Supplier.objects.create(code="depot", name="Depot North", currency="EUR")
    connector = EngineOption.objects.get(family=family)
    for number, kind, price, scope, way in (
        ("GX-1042", "glow-plug", "16.00", "cylinder", ""),
        ("LD-70", "lead", "9.00", "cylinder", ""),
        ("RL-5", "relay", "31.00", "engine", "5-way"),
        ("RL-9", "relay", "38.00", "engine", "9-way"),
        ("RC-31", "cover-gasket", "22.00", "bank", ""),
        ("CL-4", "clip", "1.20", "bank", ""),
        ("BT-2113", "belt", "18.00", "engine", ""),
        ("RM-10", "reamer", "28.00", "cylinder", ""),
    ):
        part = Part.objects.create(brand=brand, number=number, part_type=types[kind], grade="equivalent")
        rule = Application.objects.create(
            part=part, family=family, polarity="applies", scope=scope, quantity=1
        )
        if way:
            ApplicationOption.objects.create(application=rule, option=connector, value=way)
        Offer.objects.create(supplier=supplier, part=part, price=Decimal(price), valid_from=date(2020, 1, 1))
