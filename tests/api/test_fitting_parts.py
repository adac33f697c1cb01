"""Which parts of a type fit an engine, with their cheapest offers: the answer, and how many statements."""

from datetime import date
from decimal import Decimal
from typing import Any

import jsonschema
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from hypothesis import given
from hypothesis import strategies as st

from catalog.api.fitting import amount
from catalog.models import Application, InterchangeGroup, InterchangeMember, Offer, Part, PriceBreak, Supplier
from shop.api.fields import money_text

ENGINE = {"part_type": "glow-plug", "family": "nk4", "on": "2024-07-01"}


@pytest.fixture
def post(as_colleague: Any, catalogue: Any) -> Any:
    return lambda **body: as_colleague.post("/api/v1/fitting-parts/", body)


@pytest.fixture
def found(post: Any) -> Any:
    def answer(**facts: Any) -> dict[str, Any]:
        told = post(**{**ENGINE, **facts})
        assert told.status_code == 200, told.content
        return told.json()

    return answer


def numbers(rows: Any) -> list[str]:
    return [row["part"]["number"] for row in rows]


@pytest.mark.django_db
def test_parts_fit_or_are_open_or_are_not_told(found):
    told = found(built="2016", serial="NA000600")
    assert numbers(told["fitting"]) == ["77.100"]
    assert numbers(told["undecided"]) == ["GX-2042"]
    assert told["undecided"][0]["missing"] == [
        {"fact": "option:heater-connector", "text": "the heater connector"}
    ]
    assert (
        told["undecided"][0]["fits_if"]
        == "fits if the heater connector is 9-way; tell us the heater connector"
    )


@pytest.mark.django_db
def test_a_part_that_nobody_lists_says_whose_applications_were_lent_to_it(found, catalogue):
    InterchangeMember.objects.create(group=InterchangeGroup.objects.get(), part=catalogue.parts[3])

    def lent(rows: Any) -> dict[str, list[str]]:
        return {row["part"]["number"]: row["by_interchange"] for row in rows}

    told = found(built="2016", serial="NA000600")
    # 77.100 fits from NA000500 on; the other lender waits for the connector, as the part of its own does.
    assert lent(told["fitting"]) == {"77.100": [], "77.200": ["Lumo GX-2042", "Tarn 77.100"]}
    assert lent(told["undecided"]) == {"GX-2042": []}

    told = found(built="2016", serial="NA000499")
    waits = {row["part"]["number"]: row["fits_if"] for row in told["undecided"]}
    assert lent(told["undecided"]) == {"GX-2042": [], "77.200": ["Lumo GX-2042"]}
    assert (
        waits["77.200"]
        == waits["GX-2042"]
        == ("fits if the heater connector is 9-way; tell us the heater connector")
    )


@pytest.mark.django_db
def test_a_part_comes_with_its_cheapest_offer_of_each_currency(found, catalogue):
    second = Supplier.objects.create(code="west", name="West Parts", currency="EUR")
    yen = Supplier.objects.create(code="south", name="South Parts", currency="JPY")
    part = catalogue.parts[0]
    for supplier, price, pack in ((second, "18.3999", 2), (yen, "1600", 1)):
        Offer.objects.create(
            supplier=supplier, part=part, price=Decimal(price), pack=pack, valid_from=date(2024, 1, 1)
        )
    offers = found(built="2014")["fitting"][0]["offers"]
    told = [(o["supplier"], o["currency"], o["pieces"], o["each"], o["cost"], o["deposit"]) for o in offers]
    # One piece from a pack of two costs two; with three pieces the small packs lose their advantage.
    assert told == [
        ("north", "EUR", 1, "18.40", "18.40", "0.0088"),
        ("south", "JPY", 1, "1600", "1600", "0"),
    ]
    offers = found(built="2014", quantity=4)["fitting"][0]["offers"]
    assert [(o["supplier"], o["pieces"], o["cost"]) for o in offers] == [
        ("west", 4, "73.5996"),
        ("south", 4, "6400"),
    ]


@pytest.mark.django_db
def test_a_break_counts_from_its_quantity_on(found):
    for quantity, each in ((9, "18.40"), (10, "16.25"), (11, "16.25")):
        assert found(built="2014", quantity=quantity)["fitting"][0]["offers"][0]["each"] == each


@pytest.mark.django_db
def test_offers_are_those_of_the_day(found):
    for day, count in (("2023-12-31", 0), ("2024-01-01", 1), ("2024-12-31", 1), ("2025-01-01", 0)):
        assert len(found(built="2014", on=day)["fitting"][0]["offers"]) == count


@pytest.mark.django_db
def test_a_type_that_nobody_lists_for_the_family_has_no_parts(found):
    told = found(part_type="relay")
    assert told["fitting"] == told["undecided"] == []


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"part_type": "wheel"}, "part_type"),
        ({"part_type": ""}, "part_type"),
        ({"family": "nk9"}, "family"),
        ({"family": ""}, "family"),
        ({"position": "9"}, "position"),
        ({"built": "03/2014"}, "built"),
        ({"options": {"heater-connector": "9way"}}, "options.heater-connector"),
        ({"quantity": 0}, "quantity"),
        ({"on": "today"}, "on"),
        ({"part": {"brand": "lumo", "number": "GX-2042"}}, "part"),
        ({"colour": "red"}, "colour"),
    ],
    ids=str,
)
def test_what_is_wrong_is_refused_with_its_place(post, wrong, where):
    told = post(**{**ENGINE, **wrong})
    assert told.status_code == 422, told.content
    assert [error["where"] for error in told.json()["errors"]] == [where]


@pytest.mark.django_db
def test_a_stranger_is_not_answered(as_stranger, catalogue):
    assert as_stranger.post("/api/v1/fitting-parts/", ENGINE).status_code == 401


@pytest.mark.django_db
def test_three_hundred_parts_take_as_many_statements_as_one(found, catalogue):
    def statements() -> int:
        with CaptureQueriesContext(connection) as asked:
            found(built="2014", serial="NA000600")
        return len(asked)

    before = statements()
    parts = Part.objects.bulk_create(
        Part(
            brand=catalogue.lumo, number=f"N-{n}", normalised=f"N{n}", part_type=catalogue.heater,
            grade="original",
        )
        for n in range(300)
    )  # fmt: skip
    Application.objects.bulk_create(
        Application(part=part, part_type=catalogue.heater, family=catalogue.family, scope="cylinder")
        for part in parts
    )
    offers = Offer.objects.bulk_create(
        Offer(supplier=catalogue.north, part=part, price=Decimal(2), valid_from=date(2024, 1, 1))
        for part in parts
    )
    PriceBreak.objects.bulk_create(
        PriceBreak(offer=offer, quantity_from=5, price=Decimal(1)) for offer in offers
    )
    assert statements() == before
    assert len(found(built="2014")["fitting"]) == 301


@pytest.mark.django_db
def test_the_answer_is_as_documented(found, as_stranger):
    document = as_stranger.get("/api/v1/schema/").json()
    operation = document["paths"]["/api/v1/fitting-parts/"]["post"]
    schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
    whole = {**schema, "components": document["components"]}
    told = found(built="2014")
    assert told["fitting"]
    assert told["undecided"]
    jsonschema.validate(told, whole, jsonschema.Draft202012Validator)
    for kind, row in (("FittingPart", told["fitting"][0]), ("UndecidedPart", told["undecided"][0])):
        described = document["components"]["schemas"][kind]
        assert set(described["required"]) == described["properties"].keys() == row.keys()


@given(
    value=st.decimals(0, 10**13, places=4),
    short=st.integers(0, 4),
    currency=st.sampled_from(("EUR", "JPY", "KWD", "??")),
)
def test_amounts_are_told_as_everywhere_in_the_api(value, short, currency):
    value = value.quantize(Decimal(1).scaleb(-short))
    assert amount(value, currency) == money_text(value, currency)
