"""A small invented catalogue for the web tests: one V engine, a few parts, what is known about them."""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from catalog.models import (
    Application,
    ApplicationOption,
    Brand,
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    Maker,
    Offer,
    Part,
    PartType,
    Position,
    PriceBreak,
    Property,
    Replacement,
    SerialScheme,
    Source,
    Spec,
    Supplier,
)


@dataclass
class Shelf:
    family: EngineFamily
    connector: EngineOption
    heater: PartType
    brand: Brand
    resistance: Property
    source: Source
    suppliers: list[Supplier]
    parts: dict[str, Part] = field(default_factory=dict)

    def part(self, number: str, **fields: object) -> Part:
        given = {"brand": self.brand, "part_type": self.heater, "grade": "equivalent", **fields}
        self.parts[number] = Part.objects.create(number=number, **given)
        return self.parts[number]

    def fits(
        self, part: Part, options: dict[EngineOption, str] | None = None, **fields: object
    ) -> Application:
        given = {"family": self.family, "polarity": "applies", "scope": "cylinder", "quantity": 1, **fields}
        rule = Application.objects.create(part=part, **given)
        for option, value in (options or {}).items():
            ApplicationOption.objects.create(application=rule, option=option, value=value)
        return rule

    def offer(self, part: Part, price: str, supplier: int = 0, **fields: object) -> Offer:
        given = {"valid_from": date(2020, 1, 1), **fields}
        return Offer.objects.create(
            supplier=self.suppliers[supplier], part=part, price=Decimal(price), **given
        )


def stock() -> Shelf:
    maker = Maker.objects.create(code="harrowgate", name="Harrowgate Engines")
    scheme = SerialScheme.objects.create(code="hg", name="Harrowgate numbers", prefixes="HA HB", digits=6)
    family = EngineFamily.objects.create(
        code="hg-v4", maker=maker, name="Harrowgate V4", layout="vee", cylinders=4, voltage=12,
        numbering="din-73021", serial_scheme=scheme,
    )  # fmt: skip
    Position.objects.create(family=family, code="engine", scope="engine", ordinal=0)
    banks = [
        Position.objects.create(family=family, code=c, scope="bank", ordinal=n) for n, c in enumerate("AB", 1)
    ]
    for number in range(1, 5):
        bank = banks[(number - 1) // 2]
        Position.objects.create(
            family=family, code=str(number), scope="cylinder", bank=bank, ordinal=10 + number
        )
    connector = EngineOption.objects.create(
        family=family, code="heater-connector", name="the heater connector"
    )
    for value in ("5-way", "9-way"):
        EngineOptionValue.objects.create(option=connector, value=value)
    return Shelf(
        family=family,
        connector=connector,
        heater=PartType.objects.create(code="glow-plug", name="glow plug", plural="glow plugs"),
        brand=Brand.objects.create(code="orlin", name="Orlin"),
        resistance=Property.objects.create(code="cold-resistance", name="cold resistance", unit="Ohm"),
        source=Source.objects.create(code="manual", title="Service manual", revision="3"),
        suppliers=[
            Supplier.objects.create(code=c, name=n, currency="EUR")
            for c, n in (("depot", "Depot North"), ("yard", "Yard Street"))
        ],
    )


def ready_shelf() -> Shelf:
    """Two heaters told apart by the connector, one that serves any, an old number and its successor."""
    shelf = stock()
    nine, five, old, new = (shelf.part(n) for n in ("GX-1042/B", "GX-1043", "GX-0900", "GX-0910"))
    shelf.fits(nine, {shelf.connector: "9-way"})
    shelf.fits(five, {shelf.connector: "5-way"})
    shelf.fits(new)
    Replacement.objects.create(old=old, new=new)
    dear = shelf.offer(nine, "18.40", supplier=1, lead_days=1)
    PriceBreak.objects.create(offer=dear, quantity_from=8, price=Decimal("12.00"))
    shelf.offer(nine, "15.90", supplier=0, pack=2, deposit=Decimal("2.50"), lead_days=3)
    Spec.objects.create(
        property=shelf.resistance, part=nine, part_type=shelf.heater, minimum=Decimal("0.60"),
        maximum=Decimal("1.20"), places=2, source=shelf.source, condition="engine cold",
    )  # fmt: skip
    return shelf
