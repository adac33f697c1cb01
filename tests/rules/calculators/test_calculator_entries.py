"""What is typed into any calculator: every unit of its kind, and nothing absurd."""

from decimal import Decimal
from time import process_time

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.rules.calculators.shelf import CALCULATORS
from shop.rules.errors import Refused
from shop.rules.units import UNITS, alike

PINT: pint.UnitRegistry[float] = pint.UnitRegistry()
EXAMPLES = {
    one.code: {entry.name: entry.example for entry in one.parameters if entry.example}
    for one in CALCULATORS.values()
}
QUANTITIES = [
    (one.code, entry.name, entry.unit)
    for one in CALCULATORS.values()
    for entry in one.parameters
    if entry.unit and entry.example
]
CHOICES = [(one.code, choice) for one in CALCULATORS.values() for choice in one.units if choice.shows]


def figures(code, **more):
    return CALCULATORS[code].answer(EXAMPLES[code] | more).figures


def in_pint(value, source, target):
    return PINT.Quantity(float(value), UNITS[source].pint_name).to(UNITS[target].pint_name).magnitude


@pytest.mark.parametrize("code", CALCULATORS)
def test_the_examples_together_are_answered_with_formula_and_source(code):
    answer = CALCULATORS[code].answer(EXAMPLES[code])
    assert answer.figures
    assert answer.verdicts
    assert answer.steps
    assert answer.sources
    assert {one.name for one in answer.figures} <= set(CALCULATORS[code].results)


@pytest.mark.parametrize(("code", "name", "unit"), QUANTITIES)
def test_an_entry_in_any_unit_of_its_kind_gives_the_same_answer(code, name, unit):
    plain = figures(code)
    for other in alike(unit):
        there = in_pint(EXAMPLES[code][name], unit, other.code)
        typed = f"{Decimal(repr(there)):.6f}"
        if float(typed) != pytest.approx(there, rel=1e-4) or not float(typed):
            continue  # so small in this unit that six decimals cannot say it
        for written in {other.code, other.symbol} - {""}:
            told = figures(code, **{name: f"{typed} {written}"})
            for one, same in zip(told, plain, strict=True):
                if one.nominal is not None:
                    # Six decimals of an entry carry to the result, some of them as a difference.
                    assert float(one.nominal) == pytest.approx(float(same.nominal), rel=2e-2, abs=1e-6)


@pytest.mark.parametrize(("code", "choice"), CHOICES)
def test_a_result_in_another_unit_agrees_with_pint(code, choice):
    for other in alike(choice.default):
        for one in figures(code, **{choice.name: other.code}):
            if one.asked != other.code or one.nominal is None:
                continue
            expected = in_pint(one.nominal, one.unit, other.code)
            told = one.values(other.code)[1]
            assert float(told) == pytest.approx(expected, rel=6e-4), (one.name, other.code)


@pytest.mark.parametrize(
    "typed",
    [
        "1e999", "-1e999", "NaN", "sNaN", "Infinity", "-inf", "1" * 10_000, "0." + "0" * 10_000 + "1",
        "1e-999999", "1_2", "1,5", "0x10", "ten", "1 parsec", "1 " + "m" * 10_000, "9" * 13, "\u0663 mm mm",
        "\x00", "1 2 3",
    ],
)  # fmt: skip
def test_an_absurd_figure_is_refused_at_once_naming_the_entry(typed):
    for code, name, _ in QUANTITIES:
        begun = process_time()
        with pytest.raises(Refused) as refusal:
            CALCULATORS[code].answer(EXAMPLES[code] | {name: typed})
        assert process_time() - begun < 1
        (fault,) = refusal.value.faults
        assert fault.where == name
        assert len(str(fault)) < 300


@pytest.mark.parametrize("code", CALCULATORS)
def test_a_unit_of_another_kind_is_refused_naming_those_of_the_right_kind(code):
    for choice in CALCULATORS[code].units:
        wrong = "kPa" if UNITS[choice.default].dimension != "pressure" else "N.m"
        with pytest.raises(Refused) as refusal:
            figures(code, **{choice.name: wrong})
        (fault,) = refusal.value.faults
        assert fault.where == choice.name
        assert UNITS[choice.default].symbol in fault.right


def test_everything_wrong_is_said_at_once():
    with pytest.raises(Refused) as refusal:
        CALCULATORS["o-ring-gland"].answer({"cross_section": "x", "depth_min": "-1"})
    assert [fault.where for fault in refusal.value.faults] == [
        "cross_section", "depth_min", "depth_max", "width_min", "width_max",
    ]  # fmt: skip


TEXT = st.text(max_size=70) | st.decimals(allow_nan=True, allow_infinity=True).map(str)


@given(st.sampled_from(list(CALCULATORS)), st.data())
def test_whatever_is_typed_is_answered_or_refused_by_name(code, data):
    calculator = CALCULATORS[code]
    typed = dict(EXAMPLES[code])
    for name in data.draw(st.lists(st.sampled_from(calculator.names), unique=True, max_size=4)):
        typed[name] = data.draw(TEXT)
    told, places = (), set()
    try:
        told = calculator.answer(typed).figures
    except Refused as refused:
        places = {fault.where for fault in refused.faults}
    assert places <= set(calculator.names)
    assert all(value is None or value.is_finite() for one in told for value in one.values(one.asked))
