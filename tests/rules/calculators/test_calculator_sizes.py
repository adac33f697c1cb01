"""O-ring sizes against the publications they were read in, and against one that is wrong."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.calculators.oring_sizes import SIZES, dash_number, nearest, size
from catalog.rules.calculators.sheets.sizes import SIZES_SHEET
from shop.rules.errors import Refused


def test_dash_429_is_as_in_the_navy_manual():
    # US Navy training manual 14105, page 118: ID 4.975 in, OD 5.525 in, W 0.275 in.
    ring = size("-429")
    assert (ring.inside_inches, ring.outside_inches, ring.series.inches) == (
        Decimal("4.975"), Decimal("5.525"), Decimal("0.275"),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("dash", "inside"),
    # unitcheatsheet.com, O-ring sizes.
    [
        ("008", ".176"), ("010", ".239"), ("012", ".364"), ("014", ".489"), ("016", ".614"), ("020", ".864"),
        ("110", ".362"), ("210", ".734"), ("214", ".984"), ("222", "1.484"),
    ],
)  # fmt: skip
def test_inside_diameters_in_inch_are_as_published(dash, inside):
    assert size(dash).inside_inches == Decimal(inside)


@pytest.mark.parametrize(
    ("dash", "inside"),
    # STANDARD_ORING_SIZES, a list of AS568 rings in mm in a public repository, to a hundredth.
    [
        ("006", "2.90"), ("011", "7.65"), ("013", "10.82"), ("015", "14.00"), ("111", "10.77"),
        ("112", "12.37"), ("116", "18.72"), ("211", "20.22"),
    ],
)  # fmt: skip
def test_inside_diameters_in_mm_are_inches_times_25_4(dash, inside):
    assert abs(size(dash).inside - Decimal(inside)) <= Decimal("0.005")


@pytest.mark.parametrize(("dash", "wrong"), [("008", "6.07"), ("210", "25.12")])
def test_a_public_list_with_wrong_sizes_is_not_followed(dash, wrong):
    # A public repository gives -008 an ID of 6.07 mm and -210 one of 25.12 mm, against 0.176 in (4.47 mm) and
    # 0.734 in (18.64 mm) of the list above.
    assert abs(size(dash).inside - Decimal(wrong)) > 1
    assert nearest(Decimal(wrong), size(dash).series.cross_section)[0].size.dash != dash


def test_only_what_was_read_in_a_publication_is_on_record():
    assert len(SIZES) == 19
    assert all(one.source for one in SIZES.values())


@pytest.mark.parametrize("dash", ["325", "001", "999", "007"])
def test_a_size_not_on_record_is_said_to_be_so_and_nothing_is_told_of_it(dash):
    # -325 is disputed: 1.475, 1.484 and 1.487 in are all printed somewhere.
    with pytest.raises(Refused, match="not on record here; see the standard"):
        size(dash)
    told = SIZES_SHEET.answer({"dash": dash})
    assert told.figures == ()
    assert told.verdicts[0].outcome == "not on record here"
    assert "see the standard" in told.verdicts[0].reason


@pytest.mark.parametrize("written", ["210", "-210", "AS568-210", "as568 210", " 210 ", "A-210"])
def test_a_dash_number_is_read_as_people_write_it(written):
    assert dash_number(written) == "210"


@pytest.mark.parametrize("written", ["", "10", "2100", "2-10", "21O", "٢١٠", "-"])
def test_anything_else_is_not_a_dash_number(written):
    with pytest.raises(Refused, match="its three figures"):
        dash_number(written)


@given(st.sampled_from(sorted(SIZES)), st.integers(-50, 50), st.integers(-50, 50))
def test_a_ring_measured_within_half_a_tenth_is_found_with_its_differences(dash, inside, section):
    # The sizes on record lie more than 0.1 mm apart in one series, and the series more than 0.8 mm.
    one = size(dash)
    more, thicker = Decimal(inside) / 1000, Decimal(section) / 1000
    found = nearest(one.inside + more, one.series.cross_section + thicker)[0]
    assert found.size == one
    assert (found.inside_more, found.section_more) == (more, thicker)
    assert found.section_agrees


@pytest.mark.parametrize(
    ("section", "agrees"), [("3.4289", False), ("3.429", True), ("3.6322", True), ("3.6323", False)]
)
def test_a_cross_section_agrees_up_to_the_tolerance_of_the_series(section, agrees):
    # 0.139 ± 0.004 in is 3.429 to 3.6322 mm.
    assert nearest(Decimal("18.64"), Decimal(section))[0].section_agrees is agrees
    outcome = SIZES_SHEET.answer({"inside": "18.64", "cross_section": section}).verdicts[0].outcome
    assert outcome == ("series 2xx" if agrees else "no series on record agrees")


@pytest.mark.parametrize(
    ("typed", "where"),
    [
        ({}, "dash"),
        ({"dash": "210", "inside": "18"}, "inside"),
        ({"inside": "18"}, "cross_section"),
        ({"cross_section": "3.5"}, "inside"),
        ({"inside": "0", "cross_section": "3.5"}, "inside"),
        ({"dash": "two-ten"}, "dash"),
    ],
)
def test_half_a_question_is_refused_naming_what_is_missing(typed, where):
    with pytest.raises(Refused) as refusal:
        SIZES_SHEET.answer(typed)
    assert [fault.where for fault in refusal.value.faults] == [where]
