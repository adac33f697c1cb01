"""Units against the published conversion factors and, pair by pair, against pint's own registry.

Factors: NIST Special Publication 811 (2008), Guide for the Use of the SI, Appendix B.8 and B.9; the exact
ones follow from 1 in = 25.4 mm, 1 lb = 0.453 592 37 kg and g = 9.806 65 m/s2 (same, footnotes).
Codes: the UCUM table (https://ucum.org/ucum), columns "c/s" and "definition".
"""

import subprocess
import sys
from decimal import Decimal
from fractions import Fraction
from itertools import permutations

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.rules.errors import Refused
from shop.rules.units import UNITS, alike, convert, exactly, express, unit

INCH = Fraction("0.0254")
FOOT = 12 * INCH
POUND = Fraction("0.45359237")
POUND_FORCE = Fraction("4.4482216152605")

# What one of the unit is in coherent SI units: SP 811 B.8, or the meaning of an SI prefix.
IN_SI: dict[str, Fraction | int] = {
    "Ohm": 1,
    "mOhm": Fraction(1, 1000),
    "kOhm": 1000,
    "MOhm": 10**6,
    "Ohm/m": 1,
    "Ohm/km": Fraction(1, 1000),
    "mOhm/m": Fraction(1, 1000),
    "Ohm/[ft_i]": 1 / FOOT,
    "V": 1,
    "mV": Fraction(1, 1000),
    "kV": 1000,
    "A": 1,
    "mA": Fraction(1, 1000),
    "uA": Fraction(1, 10**6),
    "W": 1,
    "kW": 1000,
    "A.h": 3600,
    "deg": 1,
    "/K": 1,
    "N.m": 1,
    "[lbf_av].[ft_i]": POUND_FORCE * FOOT,
    "[lbf_av].[in_i]": POUND_FORCE * INCH,
    "N": 1,
    "kN": 1000,
    "[lbf_av]": POUND_FORCE,
    "um": Fraction(1, 10**6),
    "mm": Fraction(1, 1000),
    "cm": Fraction(1, 100),
    "m": 1,
    "km": 1000,
    "[in_i]": INCH,
    "[ft_i]": FOOT,
    "mm2": Fraction(1, 10**6),
    "cm2": Fraction(1, 10**4),
    "[sin_i]": INCH**2,
    "L": Fraction(1, 1000),
    "mL": Fraction(1, 10**6),
    "cm3": Fraction(1, 10**6),
    "[gal_us]": Fraction("0.003785411784"),
    "Pa": 1,
    "kPa": 1000,
    "MPa": 10**6,
    "bar": 10**5,
    "mbar": 100,
    "[psi]": POUND_FORCE / INCH**2,
    "s": 1,
    "ms": Fraction(1, 1000),
    "min": 60,
    "h": 3600,
    "kg": 1,
    "g": Fraction(1, 1000),
    "[lb_av]": POUND,
    "Hz": 1,
    "kHz": 1000,
    "{rev}/min": Fraction(1, 60),
    "L/min": Fraction(1, 60_000),
    "mL/min": Fraction(1, 60_000_000),
    "1": 1,
    "%": Fraction(1, 100),
}
# Kelvins = (reading + shift) x size. SP 811 B.8: K = degC + 273.15 and K = (degF + 459.67)/1.8.
IN_KELVIN: dict[str, tuple[Fraction | int, Fraction | int]] = {
    "K": (0, 1),
    "Cel": (Fraction("273.15"), 1),
    "[degF]": (Fraction("459.67"), Fraction(5, 9)),
}

PAIRS = [
    pair
    for dimension in dict.fromkeys(known.dimension for known in UNITS.values())
    for pair in permutations([code for code, known in UNITS.items() if known.dimension == dimension], 2)
]
FLOAT_PINT: pint.UnitRegistry[float] = pint.UnitRegistry()


def by_hand(value, source, target):
    if source in IN_KELVIN:
        (shift, size), (shift_back, size_back) = IN_KELVIN[source], IN_KELVIN[target]
        return (Fraction(value) + shift) * size / size_back - shift_back
    return Fraction(value) * Fraction(IN_SI[source]) / Fraction(IN_SI[target])


def test_every_unit_has_its_published_factor_in_this_test():
    assert set(IN_SI) | set(IN_KELVIN) == set(UNITS)


@pytest.mark.parametrize(("source", "target"), PAIRS)
@pytest.mark.parametrize("written", ["1", "0", "-17.5", "1234.5678"])
def test_every_pair_converts_by_the_published_factors(source, target, written):
    got = Fraction(convert(Decimal(written), source, target))
    expected = by_hand(written, source, target)
    assert abs(got - expected) <= abs(expected) / 10**22


@pytest.mark.parametrize(("source", "target"), PAIRS)
def test_without_rounding_every_pair_is_the_published_fraction_itself(source, target):
    assert exactly(Decimal("-17.5"), source, target) == by_hand("-17.5", source, target)


@pytest.mark.parametrize(("source", "target"), PAIRS)
def test_every_pair_agrees_with_pint_in_ordinary_floats(source, target):
    there = FLOAT_PINT.Quantity(123.25, UNITS[source].pint_name).to(UNITS[target].pint_name).magnitude
    # Floats carry about 16 digits, and pint chains several factors.
    assert float(convert(Decimal("123.25"), source, target)) == pytest.approx(there, rel=1e-12)


@pytest.mark.parametrize(
    ("source", "target", "factor"),
    # NIST SP 811 B.8 and B.9, as printed there (seven figures), and the exact ones it marks in bold.
    [
        ("[psi]", "Pa", "6894.757"),
        ("[lbf_av]", "N", "4.448222"),
        ("[lbf_av].[ft_i]", "N.m", "1.355818"),
        ("[lbf_av].[in_i]", "N.m", "0.1129848"),
    ],
)
def test_the_factors_printed_in_sp_811_come_out_to_their_seven_figures(source, target, factor):
    printed = Decimal(factor)
    assert convert(Decimal(1), source, target).quantize(printed) == printed


@pytest.mark.parametrize(
    ("source", "target", "exact"),
    # Exact by definition: NIST SP 811 B.8, in bold, and its footnotes.
    [
        ("[in_i]", "mm", "25.4"),
        ("[ft_i]", "m", "0.3048"),
        ("[lb_av]", "kg", "0.45359237"),
        ("[gal_us]", "L", "3.785411784"),
        ("bar", "kPa", "100"),
        ("[lbf_av]", "N", "4.4482216152605"),
        ("[lbf_av].[ft_i]", "N.m", "1.3558179483314004"),
        ("[lbf_av].[in_i]", "N.m", "0.1129848290276167"),
        ("[sin_i]", "mm2", "645.16"),
    ],
)
def test_exact_factors_come_out_exact(source, target, exact):
    assert str(convert(Decimal(1), source, target)) == exact


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    # The fixed points by which the scales are related (SP 811 B.8: degF = 1.8 degC + 32).
    [("-40", "-40"), ("0", "32"), ("20", "68"), ("37.77", "99.986"), ("100", "212")],
)
def test_temperatures_are_readings_on_a_scale(celsius, fahrenheit):
    assert str(convert(Decimal(celsius), "Cel", "[degF]")) == fahrenheit
    assert str(convert(Decimal(fahrenheit), "[degF]", "Cel")) == celsius


def test_a_turn_is_not_counted_as_an_angle():
    # UCUM, section 6: text in braces is an annotation without weight, so {rev}/min is 1/min. In pint rpm is
    # 2 pi radians per minute, by which 60 rpm would be 6.28 Hz.
    assert convert(Decimal(60), "{rev}/min", "Hz") == 1
    assert convert(Decimal(50), "Hz", "{rev}/min") == 3000


@given(
    value=st.decimals(-(10**6), 10**6, allow_nan=False, places=4),
    pair=st.sampled_from(PAIRS),
)
def test_there_and_back_again_gives_the_same_value(value, pair):
    source, target = pair
    back = convert(convert(value, source, target), target, source)
    assert abs(back - value) <= Decimal("1e-15")


def test_a_quantity_in_its_own_unit_comes_back_untouched():
    assert str(convert(Decimal("10.00"), "mm", "mm")) == "10.00"
    assert str(express(Decimal("10.00"), "mm", "mm")) == "10.00"


@pytest.mark.parametrize(
    ("value", "source", "target", "shown"),
    # By hand: the exact value, cut to the digits of the stored one, never fewer than three.
    [
        ("25", "N.m", "[lbf_av].[ft_i]", "18.4"),  # 18.439...
        ("25.40", "mm", "[in_i]", "1.000"),  # four digits stay four
        ("9", "N.m", "[lbf_av].[ft_i]", "6.64"),  # 6.638..., and not 7
        ("0.60", "Ohm", "mOhm", "600"),
        ("12", "MPa", "[psi]", "1740"),  # 1740.4..., tens are not made round
        ("0", "mm", "[in_i]", "0"),
    ],
)
def test_a_value_is_shown_with_the_digits_it_was_stored_with(value, source, target, shown):
    assert str(express(Decimal(value), source, target)) == shown


@pytest.mark.parametrize(
    ("value", "target", "shown"),
    [("20", "[degF]", "68"), ("0.5", "[degF]", "32.9"), ("-1", "[degF]", "30"), ("20", "K", "293")],
)
def test_a_temperature_keeps_its_decimal_places(value, target, shown):
    assert str(express(Decimal(value), "Cel", target)) == shown


def test_what_measures_something_else_is_refused_and_the_choices_named():
    with pytest.raises(Refused) as refusal:
        convert(Decimal(1), "N.m", "kPa")
    (fault,) = refusal.value.faults
    assert fault.what == "N.m measures torque and kPa measures pressure"
    assert "[lbf_av].[ft_i]" in fault.right


@pytest.mark.parametrize(("source", "target"), [("N.m", "W"), ("Hz", "1"), ("/K", "K"), ("deg", "%")])
def test_units_alike_only_in_arithmetic_do_not_convert(source, target):
    with pytest.raises(Refused):
        convert(Decimal(1), source, target)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("ohm", "Ohm"),
        ("Nm", "N.m"),
        ("psi", "[psi]"),
        ("°C", "Cel"),
        ("rpm", "{rev}/min"),
        ("lbf.ft", "[lbf_av].[ft_i]"),
        ("in", "[in_i]"),
        ("mohm", "mOhm or MOhm"),
    ],
)
def test_a_misspelt_unit_is_refused_naming_the_near_one(written, meant):
    with pytest.raises(Refused) as refusal:
        unit(written)
    assert refusal.value.faults[0].right == f"did you mean {meant}"


@pytest.mark.parametrize("written", ["", "furlong per fortnight", "[]"])
def test_a_unit_like_no_other_is_refused_with_the_whole_list(written):
    with pytest.raises(Refused, match=r"write one of Ohm, .*, %"):
        unit(written)


def test_alike_lists_what_a_unit_converts_to_and_itself():
    assert [known.code for known in alike("[degF]")] == ["Cel", "[degF]", "K"]


@pytest.mark.parametrize("written", ["NaN", "Infinity"])
def test_what_is_not_a_number_is_refused(written):
    with pytest.raises(Refused, match="is not a number"):
        convert(Decimal(written), "mm", "m")


def test_a_float_is_a_programming_mistake():
    with pytest.raises(TypeError, match="float"):
        convert(1.5, "mm", "m")  # type: ignore[arg-type]


def test_importing_the_module_does_not_load_pint():
    check = "import sys, shop.rules.units; sys.exit('pint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", check], check=False).returncode == 0
