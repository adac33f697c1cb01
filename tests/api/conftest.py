"""The cast and the catalogue of the API's tests. Everything here is invented."""

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.db import transaction
from django.urls import URLPattern
from django.utils import timezone
from rest_framework.test import APIClient

from catalog.actions import import_pack
from catalog.api.urls import urlpatterns
from catalog.models import (
    AccessStep,
    AccessStepRequirement,
    Application,
    ApplicationOption,
    Brand,
    Caution,
    Component,
    EngineFamily,
    EngineOption,
    EngineOptionValue,
    InterchangeGroup,
    InterchangeMember,
    Maker,
    Offer,
    Operation,
    OperationAccess,
    OperationCaution,
    OperationRisk,
    Part,
    PartNeed,
    PartType,
    Position,
    PriceBreak,
    Property,
    Replacement,
    SerialScheme,
    ServiceValue,
    Source,
    Spec,
    StepCaution,
    Stock,
    Supplier,
    TestPoint,
    TestPointAccess,
    TestPointCaution,
    TestPointComponent,
)
from estimates.actions import keep_job
from estimates.jobfile import job_from
from estimates.models import Job
from shop.actions import set_up_workshop
from shop.api.views import ListView

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture
def owner(db: None) -> User:
    """The owner of the workshop: on the staff, may do everything."""
    return User.objects.create_superuser("olga")


@pytest.fixture
def colleague(db: None) -> User:
    """Works at the counter: signed in, with no permission to write anything."""
    return User.objects.create_user("carl")


@pytest.fixture
def as_owner(owner: User) -> APIClient:
    return _signed_in(owner)


@pytest.fixture
def as_colleague(colleague: User) -> APIClient:
    return _signed_in(colleague)


@pytest.fixture
def as_stranger(db: None) -> APIClient:
    """Someone who has no account."""
    return APIClient()


def _signed_in(user: User) -> APIClient:
    client = APIClient()
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


@pytest.fixture
def catalogue(db: None) -> SimpleNamespace:
    """One engine family, four heaters of two brands, and a bit of everything else."""
    maker = Maker.objects.create(code="norrik", name="Norrik Motorworks")
    scheme = SerialScheme.objects.create(code="nm", name="Norrik engines", prefixes="NA NB", digits=6)
    family = EngineFamily.objects.create(
        code="nk4", maker=maker, name="NK4", layout="inline", cylinders=4, voltage=12, numbering="din-73021",
        serial_scheme=scheme,
    )  # fmt: skip
    Position.objects.create(family=family, code="engine", scope="engine", ordinal=0)
    for number in range(1, 5):
        Position.objects.create(family=family, code=str(number), scope="cylinder", ordinal=number)
    option = EngineOption.objects.create(family=family, code="heater-connector", name="the heater connector")
    for value in ("4-way", "9-way"):
        EngineOptionValue.objects.create(option=option, value=value)
    heater = PartType.objects.create(code="glow-plug", name="glow plug", plural="glow plugs")
    relay = PartType.objects.create(code="relay", name="relay")
    lumo, tarn = (Brand.objects.create(code=c, name=n) for c, n in (("lumo", "Lumo"), ("tarn", "Tarn")))
    parts = [
        Part.objects.create(
            brand=brand,
            number=number,
            part_type=heater,
            grade=grade,
            list_price=price,
            list_currency=currency,
        )
        for brand, number, grade, price, currency in (
            (lumo, "GX-1042/B", "original", Decimal("31.5"), "EUR"),
            (lumo, "GX-2042", "original", Decimal("33"), "EUR"),
            (tarn, "77.100", "equivalent", Decimal("2400"), "JPY"),
            (tarn, "77.200", "equivalent", None, ""),
        )
    ]
    group = InterchangeGroup.objects.create(code="heaters-nk4", part_type=heater, name="heaters of the NK4")
    for part in (parts[1], parts[2]):
        InterchangeMember.objects.create(group=group, part=part)
    Replacement.objects.create(old=parts[0], new=parts[1], valid_from=date(2020, 1, 1))
    Application.objects.create(
        part=parts[0], family=family, scope="cylinder", built_from=date(2012, 1, 1),
        built_until=date(2015, 12, 31),
    )  # fmt: skip
    late = Application.objects.create(part=parts[1], family=family, scope="cylinder")
    ApplicationOption.objects.create(application=late, option=option, value="9-way")
    Application.objects.create(part=parts[2], family=family, scope="cylinder", serial_from="NA000500")

    torque = Property.objects.create(code="torque", name="tightening torque", unit="N.m")
    resistance = Property.objects.create(code="cold-resistance", name="cold resistance", unit="Ohm")
    thread = Property.objects.create(code="thread", name="thread")
    source = Source.objects.create(code="nm-book", title="Norrik service book", revision="3")
    Spec.objects.create(
        property=torque, part_type=heater, family=family, minimum=Decimal("22"), nominal=Decimal("25"),
        maximum=Decimal("28"), source=source, verified=True,
    )  # fmt: skip
    Spec.objects.create(
        property=resistance, part=parts[0], minimum=Decimal("0.60"), maximum=Decimal("1.20"), places=2,
        temperature_min=15, temperature_max=25, source=source,
    )  # fmt: skip
    Spec.objects.create(property=thread, part=parts[0], text="M10 x 1", source=source)

    north = Supplier.objects.create(code="north", name="North Parts", currency="EUR", freight=Decimal("9.9"))
    east = Supplier.objects.create(code="east", name="East Parts", currency="JPY", blocked=True)
    offer = Offer.objects.create(
        supplier=north, part=parts[0], price=Decimal("18.4"), deposit=Decimal("0.0088"),
        valid_from=date(2024, 1, 1), valid_until=date(2024, 12, 31),
    )  # fmt: skip
    PriceBreak.objects.create(offer=offer, quantity_from=10, price=Decimal("16.25"))
    Offer.objects.create(supplier=east, part=parts[1], price=Decimal("2100"), valid_from=date(2024, 6, 1))
    Stock.objects.create(part=parts[0], quantity=3, unit_cost=Decimal("17.1"), currency="EUR", place="A 3")

    caution = Caution.objects.create(code="hot", text="Let the engine cool first.")
    component = Component.objects.create(
        family=family, code="heater", name="heater", scope="cylinder", part_type=heater
    )
    cover = AccessStep.objects.create(
        family=family, code="cover", name="cover off", scope="engine", minutes=12
    )
    rail = AccessStep.objects.create(family=family, code="rail", name="rail off", scope="engine", minutes=8)
    AccessStepRequirement.objects.create(step=rail, requires=cover)
    StepCaution.objects.create(step=cover, caution=caution)
    point = TestPoint.objects.create(
        family=family, code="heater-ohm", name="heater resistance", scope="cylinder", kind="number",
        unit="Ohm", minimum=Decimal("0.6"), maximum=Decimal("1.2"), places=1,
        temperature_coefficient=Decimal("0.0039"), minutes=5, minutes_further=2,
    )  # fmt: skip
    TestPointComponent.objects.create(test_point=point, component=component, ordinal=1)
    TestPointAccess.objects.create(test_point=point, step=cover)
    TestPointCaution.objects.create(test_point=point, caution=caution)
    swap, drill = (
        Operation.objects.create(
            family=family, code=code, name=code, scope="cylinder", minutes=20, minutes_further=10, rank=rank,
            repairs=component,
        )
        for rank, code in enumerate(("swap-heater", "drill-heater"), start=1)
    )  # fmt: skip
    OperationAccess.objects.create(operation=swap, step=rail)
    OperationCaution.objects.create(operation=swap, caution=caution)
    OperationRisk.objects.create(operation=swap, follow_on=drill, condition="only if the heater breaks")
    PartNeed.objects.create(operation=swap, part_type=heater, quantity=1, necessity="required")
    ServiceValue.objects.create(operation=swap, part_type=heater, property=torque)
    return SimpleNamespace(
        family=family, parts=parts, heater=heater, relay=relay, option=option, lumo=lumo, tarn=tarn,
        torque=torque, source=source, north=north, point=point, swap=swap, cover=cover, component=component,
    )  # fmt: skip


@pytest.fixture
def ask(as_colleague: APIClient) -> Any:
    """GET as the colleague: ask("parts/", brand="lumo") -> the response."""

    def get(path: str, headers: dict[str, str] | None = None, **query: str) -> Any:
        return as_colleague.get(f"/api/v1/{path}", query, headers=headers or {})

    return get


# Jobs and estimates


@pytest.fixture
def workshop(catalogue: SimpleNamespace) -> SimpleNamespace:
    """The same catalogue in a workshop with rates, taxes and markup, so that estimates have prices."""
    set_up_workshop(FIXTURES / "workshop.json")
    return catalogue


@pytest.fixture
def job_file() -> dict[str, Any]:
    """A job in the form a user writes it: the third heater is open, and a person has something to add."""
    return {
        "complaint": "Hard to start when cold.",
        "customer": {"name": "Harrow Boats", "email": "desk@harrow.example"},
        "unit": {"name": "Launch", "family": "nk4", "built": "2014-06", "road_use": "no"},
        "meter": {"accuracy_percent": "0.8", "accuracy_counts": 2, "resolution": "0.01", "zero": "0.10"},
        "readings": [
            {"test_point": "heater-ohm", "position": "1", "value": "0.97", "temperature": "20"},
            {"test_point": "heater-ohm", "position": "3", "value": "open"},
        ],
        "findings": [
            {"component": "heater", "position": "4", "standing": "advisory", "reason": "tip is blistered"}
        ],
    }


@pytest.fixture
def job(workshop: SimpleNamespace, job_file: dict[str, Any], owner: User) -> Job:
    """That job on record as J1001."""
    day = timezone.localtime()
    return keep_job(job_from(job_file, day.date())[0], by=owner, at=day)


@pytest.fixture
def send(as_owner: APIClient) -> Any:
    """A change by the owner, to the job as it stands: send("post", "jobs/J1001/readings/", {...})."""

    def change(method: str, path: str, body: Any = None, *, who: Any = None, tag: str | None = None) -> Any:
        client = who or as_owner
        number = path.split("/")[1]
        tag = as_owner.get(f"/api/v1/jobs/{number}/").get("ETag", '"none"') if tag is None else tag
        headers = {"If-Match": tag} if tag else {}
        return getattr(client, method)(f"/api/v1/{path}", body, headers=headers)

    return change


# The demonstration's catalogue


@pytest.fixture(scope="module")
def demo_catalogue(database: str, django_db_blocker: Any) -> Iterator[None]:
    """Loaded once for each module and database, then rolled back."""
    with django_db_blocker.unblock(), transaction.atomic():
        import_pack(FIXTURES / "demo")
        set_up_workshop(FIXTURES / "workshop.json")
        yield
        transaction.set_rollback(True)


def catalogue_lists() -> dict[str, type[ListView]]:
    """The lists of the catalogue's address table, by address."""
    return {
        str(pattern.pattern).rstrip("/"): pattern.callback.cls
        for pattern in urlpatterns
        if isinstance(pattern, URLPattern) and getattr(pattern.callback, "actions", {}).get("get") == "list"
    }
