"""Ranges in any unit: below, at and above each bound, against published factors and against pint itself.

Factors: NIST Special Publication 811 (2008), appendix B.8 and B.9. That the whole stated value has to lie
inside is our own definition; no source.
"""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.spec_range import Asked, asked_range, lies_within
from shop.rules.errors import Refused
from shop.rules.units import UNITS, alike, convert

EXACT: pint.UnitRegistry[Fraction] = pint.UnitRegistry(non_int_type=Fraction)


def held(stated: str, asked: Asked) -> bool:
    """`stated` is "minimum nominal maximum", with a dash for what is not stated."""
    low, middle, high = (None if text == "-" else Decimal(text) for text in stated.split())
    return lies_within(low, middle, high, asked)


def bounds(at_least: str | None, at_most: str | None, asked: str, stored: str) -> Asked:
    return asked_range(
        None if at_least is None else Decimal(at_least),
        None if at_most is None else Decimal(at_most),
        asked,
        stored,
    )


@pytest.mark.parametrize(("asked", "low", "high"), [("Ohm", "0.60", "1.20"), ("kOhm", "0.0006", "0.0012")])
@pytest.mark.parametrize(
    ("stated", "inside"),
    [
        ("0.59 0.80 1.20", False),
        ("0.60 0.80 1.20", True),
        ("0.61 0.80 1.20", True),
        ("0.60 0.80 1.19", True),
        ("0.60 0.80 1.21", False),
        ("- 0.59 -", False),
        ("- 0.60 -", True),
        ("- 1.20 -", True),
        ("- 1.21 -", False),
    ],
)
def test_both_bounds_belong_to_the_range_in_whichever_unit_it_is_asked(asked, low, high, stated, inside):
    assert held(stated, bounds(low, high, asked, "Ohm")) is inside


@pytest.mark.parametrize(
    ("stated", "at_least", "at_most", "inside"),
    [
        ("- - 5", None, "4.9", False),
        ("- - 5", None, "5", True),
        ("- - 5", None, "5.1", True),
        ("- - 5", "0", None, False),  # it may be anything below 5
        ("- - 5", "0", "6", False),
        ("- 4 5", "0", None, False),  # the nominal does not say that nothing lies below it
        ("5 - -", "4.9", None, True),
        ("5 - -", "5", None, True),
        ("5 - -", "5.1", None, False),
        ("5 - -", None, "99", False),
        ("5 6 -", None, "99", False),
        ("- - -", "0", None, False),  # a text
        ("- - -", None, "0", False),
    ],
)
def test_a_limit_on_one_side_leaves_the_other_side_open(stated, at_least, at_most, inside):
    assert held(stated, bounds(at_least, at_most, "N.m", "N.m")) is inside


def test_a_range_says_nothing_about_a_nominal_between_limits():
    assert held("1 2 3", bounds("1", "3", "mm", "mm"))
    assert not held("1 2 3", bounds("2", "2", "mm", "mm"))


@pytest.mark.parametrize(
    ("asked", "stored", "below", "above"),
    # SP 811 B.8: one of the unit lies between these two neighbours of what is stored (six decimals).
    [
        ("[lbf_av].[ft_i]", "N.m", "1.355817", "1.355818"),  # 1.355 817 948 ...
        ("[psi]", "kPa", "6.894757", "6.894758"),  # 6.894 757 29 ...
        ("[lbf_av]", "N", "4.448221", "4.448222"),  # 4.448 221 615 260 5
    ],
)
def test_a_bound_between_two_values_that_can_be_stored_parts_them(asked, stored, below, above):
    most, least = bounds(None, "1", asked, stored), bounds("1", None, asked, stored)
    assert [held(f"- {value} -", most) for value in (below, above)] == [True, False]
    assert [held(f"- {value} -", least) for value in (below, above)] == [False, True]


@pytest.mark.parametrize(
    ("bound", "asked", "stored", "value"),
    # Exact by definition: SP 811 B.8, in bold.
    [("1", "[in_i]", "mm", "25.4"), ("0.5", "[gal_us]", "L", "1.892706"), ("68", "[degF]", "Cel", "20")],
)
def test_an_exact_bound_in_another_unit_is_met_by_the_value_itself(bound, asked, stored, value):
    low = bounds(bound, None, asked, stored).at_least
    assert low is not None
    assert low >= Decimal(value) > low - Decimal("0.000001")


def test_a_range_of_one_point_asked_in_the_other_unit_holds_that_point():
    assert held("- 25.4 -", bounds("1", "1", "[in_i]", "mm"))
    assert held("- 20 -", bounds("68", "68", "[degF]", "Cel"))


@pytest.mark.parametrize(
    ("at_least", "at_most", "asked", "where"),
    [
        ("2", "1", "Ohm", "at_least"),
        ("1e12", None, "Ohm", "at_least"),
        (None, "1e9", "kOhm", "at_most"),
        ("1", None, "V", "unit"),
        ("1", None, "ohm", "unit"),
    ],
)
def test_what_cannot_be_a_range_is_refused_where_it_stands(at_least, at_most, asked, where):
    with pytest.raises(Refused) as refusal:
        bounds(at_least, at_most, asked, "Ohm")
    assert [fault.where for fault in refusal.value.faults] == [where]


def test_the_same_bound_twice_is_a_range():
    assert bounds("1", "1", "Ohm", "Ohm") == Asked(Decimal(1), Decimal(1))


numbers = st.decimals(-1000, 1000, places=6, allow_nan=False)
PAIRS = [(stored, asked.code) for stored in UNITS for asked in alike(stored)]


@st.composite
def cases(draw):
    """Limits in order, some left out, and bounds that often fall right on one of them."""
    stored, asked = draw(st.sampled_from(PAIRS))
    low, middle, high = sorted(draw(st.lists(numbers, min_size=3, max_size=3)))
    stated = tuple(draw(st.sampled_from([value, None])) for value in (low, middle, high))
    near = st.sampled_from([low, middle, high]).map(lambda value: convert(value, stored, asked))
    one, other = (draw(st.one_of(st.none(), numbers, near)) for _ in range(2))
    if one is not None and other is not None and one > other:
        one, other = other, one
    return stored, asked, stated, one, other


@given(cases())
def test_the_answer_is_the_one_that_pints_own_quantities_give(case):
    stored, asked, (low, middle, high), at_least, at_most = case
    ends = (middle, middle) if low is None and high is None else (low, high)

    def there(value: Decimal, code: str) -> pint.Quantity:
        return EXACT.Quantity(Fraction(value), UNITS[code].pint_name)

    expected = ends != (None, None)
    if at_least is not None:
        expected &= ends[0] is not None and there(ends[0], stored) >= there(at_least, asked)
    if at_most is not None:
        expected &= ends[1] is not None and there(ends[1], stored) <= there(at_most, asked)
    assert lies_within(low, middle, high, asked_range(at_least, at_most, asked, stored)) is bool(expected)
