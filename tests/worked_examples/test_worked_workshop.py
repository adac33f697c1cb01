"""The figures the pencil works with are those of the demonstration workshop, and the pencil adds right."""

import pytest

from tests.worked_examples.pencil import (
    CAP,
    DISPOSAL,
    LADDER,
    RATE,
    SUPPLIES,
    TAX,
    TENTH,
    D,
    hours,
    sold,
    workshop,
)  # fmt: skip


def test_the_pencils_figures_are_the_workshops():
    data = workshop()
    shop = data["workshop"]
    assert D(shop["labour_rate"]) == RATE
    assert D(shop["billing_increment"]) == TENTH
    assert (D(shop["supplies_percent"]), D(shop["supplies_cap"])) == (SUPPLIES, CAP)
    assert [D(fee["amount"]) for fee in data["fees"]] == [DISPOSAL]
    assert [D(rate["percent"]) for rate in data["tax_rates"]] == [TAX]
    assert all(codes == ["vat"] for codes in data["line_taxes"].values())
    assert shop["markup_mode"] == "continuous"
    bands = [(band["cost_from"], band["percent"]) for band in data["markup_bands"]]
    assert bands == [(start, percent) for start, _, percent in LADDER]


@pytest.mark.parametrize(("minutes", "tenths"), [(116, "1.9"), (188, "3.1"), (189, "3.2"), (2, "0")])
def test_the_pencil_bills_tenths(minutes, tenths):
    assert hours(minutes) == D(tenths)


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        ("10.00", "16.00"),
        ("25.00", "40.00"),
        ("120.00", "173.00"),
        ("500.00", "659.40"),
        ("600.00", "777.40"),
    ],
)
def test_the_pencil_climbs_the_ladder(cost, price):
    # 25 x 1.60 = 40; + 95 x 1.40 = 133; + 380 x 1.28 = 486.40; + 100 x 1.18 = 118
    assert sold(cost) == D(price)
