"""The range filter of the API against pint: each answer is recomputed row by row outside the database."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from django.contrib.auth.models import User
from hypothesis import given, settings
from hypothesis import strategies as st
from rest_framework.test import APIClient

from catalog.models import EngineFamily, Maker, PartType, Property, Source, Spec
from shop.rules.units import UNITS, alike, convert

EXACT: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)
STORED = ("Ohm", "N.m", "kPa", "[in_i]", "Cel")
# Minimum, nominal, maximum of the rows of every property; some state one limit only, some a nominal alone.
STATED = [
    ("0.60", "0.80", "1.20"), ("0.60", None, "1.20"), ("1.20", None, "1.20"), (None, "1.20", None),
    (None, None, "1.20"), ("0.60", None, None), ("6.894757", None, "25.4"), (None, "-17.5", None),
    ("-40", None, "-17.5"), (None, "1.355818", None), (None, "1.355817", None), ("20", "68", "100"),
]  # fmt: skip
FIGURES = sorted({Decimal(one) for row in STATED for one in row if one})


@pytest.fixture
def client(db: None) -> APIClient:
    maker = Maker.objects.create(code="norrik", name="Norrik Motorworks")
    family = EngineFamily.objects.create(
        code="nk4", maker=maker, name="NK4", layout="inline", cylinders=4, voltage=12, numbering="maker"
    )
    heater = PartType.objects.create(code="glow-plug", name="glow plug")
    source = Source.objects.create(code="book", title="Service book")
    for number, unit in enumerate(STORED):
        of = Property.objects.create(code=f"p{number}", name=unit, unit=unit)
        for index, (low, middle, high) in enumerate(STATED):
            Spec.objects.create(
                property=of, part_type=heater, family=family, condition=str(index), places=6, source=source,
                minimum=low, nominal=middle, maximum=high,
            )  # fmt: skip
    client = APIClient()
    client.force_login(User.objects.create_user("carl"), backend="django.contrib.auth.backends.ModelBackend")
    return client


def within(spec: Spec, of: str, at_least: Decimal | None, at_most: Decimal | None, code: str) -> bool:
    """Recomputed with pint's quantities, from the definition: the stated value lies wholly inside."""

    def there(value: Decimal, unit: str) -> pint.Quantity:
        return EXACT.Quantity(Fraction(value), UNITS[unit].pint_name)

    alone = spec.minimum is None and spec.maximum is None
    low, high = (spec.nominal, spec.nominal) if alone else (spec.minimum, spec.maximum)
    if at_least is not None and (low is None or there(low, of) < there(at_least, code)):
        return False
    return at_most is None or (high is not None and bool(there(high, of) <= there(at_most, code)))


@st.composite
def questions(draw):
    """A property by its unit, the asked unit, and bounds that often fall right on a stated value."""
    of = draw(st.sampled_from(STORED))
    code = draw(st.sampled_from([other.code for other in alike(of)]))
    figure = st.sampled_from(FIGURES).map(lambda value: round(convert(value, of, code), 12))
    bound = st.one_of(st.none(), figure, st.decimals(-100, 100, places=3, allow_nan=False))
    low, high = draw(bound), draw(bound)
    if low is not None and high is not None and low > high:
        low, high = high, low
    return of, code, low, high


def test_the_filter_answers_as_pints_own_quantities_do(client):
    rows = list(Spec.objects.select_related("property"))

    @settings(max_examples=60, deadline=None)
    @given(questions())
    def check(question):
        of, code, low, high = question
        asked = {"at_least": low, "at_most": high}
        query = {name: f"{value:f}" for name, value in asked.items() if value is not None}
        answer = client.get(
            "/api/v1/specs/", {"property": f"p{STORED.index(of)}", "unit": code, "limit": 500, **query}
        )
        assert answer.status_code == 200, answer.content
        found = sorted(row["condition"] for row in answer.json()["results"])
        mine = [row for row in rows if row.property.unit == of]
        assert found == sorted(row.condition for row in mine if within(row, of, low, high, code))

    check()


@pytest.mark.parametrize(("code", "low", "high"), [("Ohm", "0.6", "1.2"), ("mOhm", "600", "1200")])
def test_a_value_right_on_both_bounds_is_found_in_either_unit(client, code, low, high):
    rows = client.get(
        "/api/v1/specs/", {"property": "p0", "at_least": low, "at_most": high, "unit": code}
    ).json()["results"]
    assert sorted(int(row["condition"]) for row in rows) == [0, 1, 2, 3]
    assert {row["unit"] for row in rows} == {"Ohm"}
    assert {row["asked"]["unit"] for row in rows} == {code}


@pytest.mark.parametrize(
    ("query", "where", "right"),
    [
        ({"at_least": "1"}, "at_least", "such as property=cold-resistance"),
        ({"at_most": "1", "unit": "Ohm"}, "unit", "give property as well"),
        ({"property": "p0", "at_most": "1", "unit": "V"}, "unit", "kOhm"),
        ({"property": "p0", "at_most": "1", "unit": "ohm"}, "unit", "did you mean Ohm"),
        ({"property": "p0", "at_most": "one"}, "at_most", "such as 12.5"),
        ({"property": "p0", "at_least": "2", "at_most": "1"}, "at_least", "the smaller of the two"),
        ({"property": "p0", "at_least": "1000000000000"}, "at_least", "at most twelve digits in Ohm"),
    ],
)
def test_a_range_that_cannot_be_read_is_a_400_that_says_what_can(client, query, where, right):
    answer = client.get("/api/v1/specs/", query)
    assert answer.status_code == 400
    (error,) = answer.json()["errors"]
    assert error["where"] == f"query parameter {where}"
    assert right in error["right"]
