"""A page of fifty rows of the spec table of the largest part type: the first beside the ten-thousandth."""

from typing import Any

from timing import Measured, in_turn
from trade import Trade

PER_PAGE, DEEP = 50, 10_000


def measure(trade: Trade, count: int) -> tuple[int, Measured]:
    """Which page was the deep one (the last but one of a smaller trade), and the times: deep beside first."""
    from catalog.models import Spec
    from catalog.spec_cards import spec_card, spec_rows
    from catalog.spec_pages import ORDER, Place, first_page, page_after

    rows = spec_rows().filter(part_type_id=1)  # as the page asks, which has looked the code up
    pages = rows.count() // PER_PAGE
    deep = min(DEEP, pages - 1)
    before = list(
        Spec.objects.filter(part_type__code="type-1").order_by(*ORDER)[(deep - 1) * PER_PAGE - 1 :][
            : PER_PAGE + 1
        ]
    )
    place = Place.of(before[0])

    def cards(page: Any) -> list[Any]:
        return [spec_card(row) for row in page.rows]

    def far(_: int) -> Any:
        return cards(page_after(rows, place, PER_PAGE))

    def first(_: int) -> Any:
        return cards(first_page(rows, PER_PAGE))

    assert [card.id for card in far(0)] == [row.pk for row in before[1:]], (
        "the page is not the one by counting"
    )
    assert len(first(0)) == PER_PAGE
    return deep, in_turn(range(count), far, first)
