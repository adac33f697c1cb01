"""The picture of a test point: where things lie, by coordinates worked out by hand.

The axis runs from x = 72 to x = 232, the first row lies at y = 18 + 17 / 2 = 26.5, each further one 17 lower.
"""

import doctest
from decimal import Decimal
from typing import Any
from xml.etree import ElementTree

import pytest
from django.template import Context, Template
from sample import readings

from estimates.documents import axis, phrases
from estimates.documents.axis import plot_of
from estimates.documents.chart import band_words, reading_chart
from shop.drawing import ticks

SVG = "{http://www.w3.org/2000/svg}"


def row(
    position: str, value: str | None, margin: str | None = None, outcome: str = "good", **more: str
) -> Any:
    return {
        "position": position,
        "where": f"cylinder {position}",
        "kind": "open" if value is None else "number",
        "shown": "open circuit" if value is None else f"{value} Ω",
        "corrected": value,
        "uncertainty": margin,
        "outcome": outcome,
        "reason": "",
        **more,
    }


def measured(*rows: Any, minimum: str | None = "0.70", maximum: str | None = "1.10", **more: Any) -> Any:
    return {
        "name": "Heater resistance",
        "kind": "number",
        "symbol": "Ω",
        "expected": "",
        "minimum": minimum,
        "maximum": maximum,
        "rows": list(rows),
        **more,
    }


def drawn(reading: Any) -> ElementTree.Element:
    return ElementTree.fromstring(reading_chart(reading))


def texts(svg: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in svg.iter(f"{SVG}text")]


def bars(svg: ElementTree.Element, y: str) -> list[tuple[str | None, str | None]]:
    """Level lines at this height, as (x1, x2)."""
    return [
        (line.get("x1"), line.get("x2"))
        for line in svg.iter(f"{SVG}line")
        if line.get("y1") == line.get("y2") == y
    ]


# Band 0.70 to 1.10 and all values within: the axis is the band and 8 % of its width (0.032) to either side,
# 0.668 to 1.132, so 160 px stand for 0.464. x(0.84) = 72 + 0.172 / 0.464 * 160 = 131.31; the bar of 0.028
# either way runs from x(0.812) = 72 + 0.144 / 0.464 * 160 = 121.66
# to x(0.868) = 72 + 0.2 / 0.464 * 160 = 140.97.
INSIDE = measured(row("1", "0.84", "0.028"), row("2", "0.90", "0.028"))


def test_a_mark_lies_at_its_value():
    marks = [(m.get("cx"), m.get("cy")) for m in drawn(INSIDE).iter(f"{SVG}circle")]

    assert marks == [("131.31", "26.5"), ("152", "43.5")]


def test_a_bar_is_as_long_as_the_uncertainty_to_either_side():
    assert bars(drawn(INSIDE), "26.5") == [("121.66", "140.97")]


def test_no_bar_is_drawn_where_the_uncertainty_is_nought():
    assert bars(drawn(measured(row("1", "0.84", "0.000"), row("2", "0.90", None))), "26.5") == []


def test_the_band_spans_its_limits():
    # x(0.70) = 72 + 0.032 / 0.464 * 160 = 83.03, x(1.10) = 232 - 11.03 = 220.97
    band = next(drawn(INSIDE).iter(f"{SVG}rect"))

    assert (band.get("x"), band.get("width")) == ("83.03", "137.93")


def test_the_limits_are_written_as_they_are_stated():
    assert texts(drawn(INSIDE))[:2] == ["0.70", "1.10"]


def test_an_open_circuit_is_told_at_the_margin_in_words():
    svg = drawn(measured(row("1", "0.84", "0.028"), row("3", None, outcome="bad")))

    assert "open circuit: bad" in texts(svg)
    assert len(list(svg.iter(f"{SVG}circle"))) == 1
    assert next(svg.iter(f"{SVG}path")).get("d", "").startswith("M232 43.5")


@pytest.mark.parametrize(
    ("value", "on_axis"),
    [("1.89", True), ("1.90", True), ("1.91", False)],  # 1.10 and twice the band's 0.40 more
)
def test_a_value_further_off_than_twice_the_band_is_told_at_the_margin(value, on_axis):
    svg = drawn(measured(row("1", "0.84"), row("2", value, outcome="bad")))

    assert (len(list(svg.iter(f"{SVG}circle"))) == 2) is on_axis
    assert (f"{value}: bad" in texts(svg)) is not on_axis


def test_a_value_far_below_points_to_the_left():
    svg = drawn(measured(row("1", "0.84"), row("2", "-5", outcome="bad")))

    assert next(svg.iter(f"{SVG}path")).get("d", "").startswith("M72 43.5")


def test_a_bar_that_runs_off_the_axis_ends_at_its_edge():
    svg = drawn(measured(row("1", "0.84"), row("2", "1.85", "0.5", "bad")))

    assert bars(svg, "43.5")[0][1] == "232"


def test_a_band_with_no_lower_limit_begins_at_the_left_edge():
    svg = drawn(measured(row("1", "12"), row("2", "14"), minimum=None, maximum="30"))
    band = next(svg.iter(f"{SVG}rect"))

    # 0 to 30 and 8 % (2.4) to either side: x(30) = 72 + 32.4 / 34.8 * 160 = 220.97
    assert (band.get("x"), band.get("width")) == ("72", "148.97")


def test_a_band_with_no_upper_limit_runs_to_the_right_edge():
    svg = drawn(measured(row("1", "10.2"), row("2", "11.0"), minimum="9.60", maximum=None))
    band = next(svg.iter(f"{SVG}rect"))

    # 9.60 to 9.60 * 1.5 = 14.40 and 8 % of 4.80: 9.216 to 14.784; x(9.60) = 72 + 0.384 / 5.568 * 160 = 83.03
    assert (band.get("x"), band.get("width")) == ("83.03", "148.97")


@pytest.mark.parametrize(
    "limits", [("0", "0"), ("5", "5"), (None, "0"), (None, "-3"), ("0", None), ("-3", None)]
)
def test_narrow_and_one_sided_limits_still_make_an_axis(limits):
    plot = plot_of(measured(row("1", "0"), row("2", "1"), minimum=limits[0], maximum=limits[1]))

    assert plot.low < plot.high


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [
        ("0.668", "1.132", "0.7 0.8 0.9 1.0 1.1"),
        ("-2.4", "32.4", "0 10 20 30"),
        ("0", "1", "0.0 0.5 1.0"),
        ("2.036", "2.964", "2.2 2.4 2.6 2.8"),
        ("13500", "15200", "13500 14000 14500 15000"),
    ],
)
def test_ticks_are_round_and_few(low, high, expected):
    assert [f"{tick:f}" for tick in ticks(Decimal(low), Decimal(high))] == expected.split()


@pytest.mark.parametrize(
    "reading",
    [
        measured(row("1", "0.84")),
        measured(row("1", None), row("2", None)),
        {**measured(row("1", None), row("2", None)), "kind": "lamp"},
    ],
    ids=["one position", "no value at all", "lamps"],
)
def test_what_has_nothing_to_compare_gets_no_picture(reading):
    assert reading_chart(reading) == ""


def test_the_picture_has_a_role_and_a_title_first():
    # WAI-ARIA 1.2, role img needs a name; SVG 2, 5.5: the title is the first child.
    svg = drawn(INSIDE)

    assert svg.get("role") == "img"
    assert svg[0].tag == f"{SVG}title"
    assert svg[0].text == (
        "Heater resistance: 2 positions beside the good band, 0.70 to 1.10\u00a0Ω. The table has the values."
    )


def test_the_picture_needs_neither_style_nor_script():
    # Content Security Policy Level 3: style-src 'self' blocks style elements and style attributes.
    for element in drawn(readings()[0]).iter():
        assert element.tag.removeprefix(SVG) in {"svg", "title", "rect", "line", "circle", "path", "text"}
        assert not [name for name in element.attrib if name in ("style", "class") or name.startswith("on")]


def test_names_are_escaped():
    svg = drawn(
        measured(row("1", "0.84", where="<b>&"), row("2", "0.9"), name='A "<script>" test', symbol="<")
    )

    assert "<b>&" in texts(svg)


def test_a_long_place_is_shortened_to_its_code():
    assert "B4" in texts(drawn(measured(row("B4", "0.84", where="cylinder 4 of bank B"), row("2", "0.9"))))


def test_every_position_has_its_judgement_in_words():
    shown = texts(drawn(readings()[0]))

    assert [word for word in shown if word in ("good", "bad", "unclear")] == [
        "good", "good", "good", "good", "bad", "unclear", "good",
    ]  # fmt: skip


def test_the_page_tag_draws_the_same_picture():
    template = Template("{% load estimate_chart %}{% reading_chart reading %}")

    assert template.render(Context({"reading": INSIDE})) == reading_chart(INSIDE)


@pytest.mark.parametrize(
    ("limits", "expected"),
    [
        (("0.70", "1.10"), "0.70 to 1.10\u00a0Ω"),
        ((None, "30"), "at most 30\u00a0Ω"),
        (("9.60", None), "at least 9.60\u00a0Ω"),
    ],
)
def test_the_good_band_is_said_in_words(limits, expected):
    assert band_words(measured(minimum=limits[0], maximum=limits[1])) == expected


@pytest.mark.parametrize("module", [axis, phrases], ids=["axis", "phrases"])
def test_the_examples_in_the_modules_hold(module):
    run = doctest.testmod(module)

    assert run.attempted > 0
    assert run.failed == 0
