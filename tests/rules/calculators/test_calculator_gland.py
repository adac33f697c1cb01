"""O-ring glands against a published gland table, and against what must hold for any ring and gland.

Table: Apple Rubber, "Seal Types & Gland Design", O-ring gland design for static seals (table B): depths in
inch, squeeze in inch and in whole percent, for the tolerance of AS568 cross-sections.
"""

from decimal import Decimal
from fractions import Fraction
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.calculators.oring_gland import Gland, Ring, fill, squeeze, stretch
from catalog.rules.calculators.oring_series import SERIES, series_of
from catalog.rules.calculators.oring_verdicts import judge_fill, judge_squeeze, judge_stretch
from catalog.rules.calculators.sheets.gland import GLAND
from shop.rules.errors import Refused

# Cross-section, tolerance, least and greatest gland depth, least and greatest squeeze in inch, in percent.
RADIAL = [
    (".070", ".003", ".050", ".055", ".012", ".023", "18", "32"),
    (".103", ".003", ".080", ".086", ".014", ".026", "14", "25"),
    (".139", ".004", ".110", ".116", ".019", ".033", "14", "23"),
    (".210", ".005", ".170", ".176", ".029", ".045", "14", "21"),
    (".275", ".006", ".225", ".235", ".034", ".056", "13", "20"),
]
FACE = [
    (".070", ".003", ".049", ".054", ".013", ".024", "19", "33"),
    (".103", ".003", ".075", ".081", ".019", ".031", "19", "29"),
    (".139", ".004", ".100", ".108", ".027", ".043", "20", "30"),
    (".210", ".005", ".155", ".165", ".040", ".060", "20", "28"),
    (".275", ".006", ".205", ".215", ".054", ".076", "20", "27"),
]


def inches(text):
    return Decimal(text) * Decimal("25.4")


@pytest.mark.parametrize(
    ("seal", "row"), [*(("radial", row) for row in RADIAL), *(("face", row) for row in FACE)]
)
def test_a_gland_of_the_table_has_the_squeeze_and_the_band_that_the_table_prints(seal, row):
    section, tolerance, shallow, deep, _, _, low, high = row
    ring = Ring(inches(section), inches(tolerance))
    found = squeeze(ring, Gland(inches(shallow), inches(deep), inches(section), inches(section)))
    assert [f"{value:.0f}" for value in (found[0], found[2])] == [low, high]
    verdict = judge_squeeze(found, ring.cross_section, seal)
    assert verdict.outcome == "within"
    assert f"{low} to {high} %" in verdict.reason


@pytest.mark.parametrize("row", [*RADIAL, *FACE])
def test_the_table_agrees_with_itself_in_inches(row):
    # The percentages above are the printed inches over the printed cross-sections: no slip in copying.
    section, tolerance, shallow, deep, least, most, _, _ = map(Decimal, row)
    assert section - tolerance - deep == least
    assert section + tolerance - shallow == most


def test_two_millimetres_in_a_gland_of_one_and_a_half_is_a_quarter():
    # atxholiday.austintexas.org p=1550: 2.0 mm reduced to 1.5 mm is 25 % of the original diameter.
    gland = Gland(Decimal("1.5"), Decimal("1.5"), Decimal(3), Decimal(3))
    assert squeeze(Ring(Decimal(2)), gland) == (25, 25, 25)


@pytest.mark.parametrize(
    ("section", "tolerance", "depths", "widths", "expected"),
    # Area over area, worked by hand from the dimensions of the table above; widths of the same table.
    [
        (".139", ".004", (".110", ".116"), (".190", ".200"), ("61.7", "68.9", "76.8")),
        (".070", ".003", (".050", ".055"), (".100", ".110"), ("58.3", "69.8", "83.7")),
    ],
)
def test_fill_is_area_over_area(section, tolerance, depths, widths, expected):
    ring = Ring(inches(section), inches(tolerance))
    found = fill(ring, Gland(*map(inches, (*depths, *widths))))
    assert tuple(f"{value:.1f}" for value in found) == expected


@pytest.mark.parametrize(
    ("least", "most", "outcome"),
    # The band of 0.070 in is 18 to 32 %; below, at and above each limit, in whole percents.
    [
        ("17.49", "25", "below the band"),
        ("17.50", "25", "within"),
        ("18", "32", "within"),
        ("18", "32.49", "within"),
        ("18", "32.50", "above the band"),
        ("17.49", "32.50", "below and above the band"),
        ("0", "32", "below the band"),
    ],
)
def test_squeeze_is_compared_in_whole_percents(least, most, outcome):
    found = judge_squeeze((Decimal(least), Decimal(25), Decimal(most)), Decimal("1.78"), "radial")
    assert found.outcome == outcome


@pytest.mark.parametrize(
    ("section", "known"),
    # 0.070 ± 0.003 in is 1.7018 to 1.8542 mm.
    [("1.7017", False), ("1.7018", True), ("1.8542", True), ("1.8543", False)],
)
def test_a_band_is_known_only_within_the_tolerance_of_a_series(section, known):
    assert (series_of(Decimal(section)) is not None) is known
    outcome = judge_squeeze((Decimal(20), Decimal(25), Decimal(30)), Decimal(section), "radial").outcome
    assert (outcome == "within") is known
    assert known or outcome == "no band known for this cross-section"


def test_a_ring_that_is_not_squeezed_is_below_the_band_whatever_its_cross_section():
    loose = judge_squeeze((Decimal(-1), Decimal(2), Decimal(5)), Decimal(3), "face")
    assert loose.outcome == "below the band"
    assert "cannot seal" in loose.reason


@pytest.mark.parametrize(
    ("most", "outcome"),
    # Parker O-Ring Handbook ORD 5700, as quoted at kaspercalc.com: up to 85 %.
    [("84.99", "within"), ("85", "within"), ("85.01", "above the guidance"), ("101", "above the guidance")],
)
def test_fill_is_compared_with_its_greatest_value(most, outcome):
    assert judge_fill((Decimal(60), Decimal(70), Decimal(most))).outcome == outcome


@pytest.mark.parametrize(
    ("least", "most", "outcome"),
    # Apple Rubber, Seal Design Guide, O-ring installation: "should not exceed 5 % in the application".
    [
        ("0", "4.99", "within"),
        ("0", "5", "within"),
        ("0", "5.01", "above the guidance"),
        ("-0.01", "3", "below zero"),
    ],
)
def test_stretch_is_compared_with_five_percent(least, most, outcome):
    assert judge_stretch((Decimal(least), Decimal(2), Decimal(most))).outcome == outcome


LENGTH = st.decimals("0.5", "20", places=3)


@given(LENGTH, LENGTH, st.decimals("0", "5", places=3))
def test_a_deeper_gland_squeezes_less_and_is_less_full(section, depth, deeper):
    width = section * 2
    before = Gland(depth, depth, width, width)
    after = Gland(depth + deeper, depth + deeper, width, width)
    pairs = zip(squeeze(Ring(section), after), squeeze(Ring(section), before), strict=True)
    assert all(later <= sooner for later, sooner in pairs)
    try:
        full = fill(Ring(section), before)
    except Refused:
        return
    assert all(later <= sooner for later, sooner in zip(fill(Ring(section), after), full, strict=True))


@given(LENGTH, LENGTH, st.decimals("0.01", "0.4", places=3), st.decimals("0", "1", places=3))
def test_least_nominal_and_most_are_in_order_and_agree_with_fractions(section, depth, tolerance, play):
    ring, gland = Ring(section, tolerance), Gland(depth, depth + play, section * 3, section * 3 + play)
    least, nominal, most = squeeze(ring, gland)
    assert least <= nominal <= most
    thin = Fraction(section - tolerance)
    exact = (thin - Fraction(depth + play)) / thin * 100
    assert abs(Fraction(least) - exact) < Fraction(1, 10**30)
    try:
        low, _, high = fill(ring, gland)
    except Refused:
        return
    assert low <= high
    # Ordinary floats carry about 16 digits.
    area = float(depth + play) * float(section * 3 + play)
    assert float(low) == pytest.approx(pi / 4 * float(thin) ** 2 / area * 100, rel=1e-12)


@given(LENGTH, LENGTH)
def test_stretch_taken_back_gives_the_groove(inside, around):
    percent = stretch(inside, around)[1]
    assert abs(inside * (1 + percent / 100) - around) < Decimal("1e-20")


@pytest.mark.parametrize(
    ("given_text", "where", "words"),
    [
        ({"cross_section": "-2"}, "cross_section", "is not more than 0 mm"),
        ({"cross_section": "0"}, "cross_section", "is not more than 0 mm"),
        ({"cross_section": "6"}, "cross_section", "larger than the gland"),
        ({"width_min": "2.9", "width_max": "3"}, "cross_section", "wider than the widest gland"),
        ({"tolerance": "3.53"}, "tolerance", "as much as the cross-section itself"),
        ({"depth_max": "2.7"}, "depth_max", "less than depth_min"),
        ({"ring_id": "18"}, "groove_diameter", "is missing"),
        ({"groove_diameter": "18"}, "ring_id", "is missing"),
        ({"ring_id": "1", "ring_id_tolerance": "1", "groove_diameter": "2"}, "ring_id_tolerance", "not more"),
        ({"seal": "dynamic"}, "seal", "no such choice"),
        ({"length_unit": "kPa"}, "length_unit", "measures pressure, not length"),
    ],
)
def test_what_cannot_be_is_refused_naming_the_entry(given_text, where, words):
    right = {"cross_section": "3.53", "depth_min": "2.79", "depth_max": "2.95", "width_min": "4.8",
             "width_max": "5.1"}  # fmt: skip
    with pytest.raises(Refused) as refusal:
        GLAND.answer(right | given_text)
    assert any(fault.where == where and words in fault.what for fault in refusal.value.faults)


def test_the_series_are_the_five_of_as568():
    # SAE AS568 cross-sections as printed at utilitiesbunker.com; in mm, rounded: 1.78 2.62 3.53 5.33 6.99
    # (6.985, to even in print).
    told = [(str(one.inches), str(one.tolerance_inches)) for one in SERIES]
    assert told == [("0.070", "0.003"), ("0.103", "0.003"), ("0.139", "0.004"), ("0.210", "0.005"),
                    ("0.275", "0.006")]  # fmt: skip
    metric = ["1.78", "2.62", "3.53", "5.33", "6.99"]
    pairs = zip(SERIES, metric, strict=True)
    assert all(abs(one.cross_section - Decimal(printed)) <= Decimal("0.005") for one, printed in pairs)
