"""The spec tables by key: every row once and in order, both ways, from wherever a page starts."""

from decimal import Decimal
from itertools import pairwise, product

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import EngineFamily, Maker, PartType, Property, Source, Spec
from catalog.spec_cards import spec_rows
from catalog.spec_pages import Place, first_page, page_after, page_before
from shop.rules.errors import Refused

NOMINALS = (None, "-1", "2", "2", "2.5", None, "30")


@pytest.fixture
def rows(db: None) -> list[int]:
    """The ids of 42 rows in the order of the table; empty nominals stand where the database puts them."""
    maker = Maker.objects.create(code="norrik", name="Norrik Motorworks")
    family = EngineFamily.objects.create(
        code="nk4", maker=maker, name="NK4", layout="inline", cylinders=4, voltage=12, numbering="maker"
    )
    source = Source.objects.create(code="book", title="Service book")
    kinds = [PartType.objects.create(code=code, name=code) for code in ("b", "a", "c")]
    properties = [Property.objects.create(code=code, name=code, unit="mm") for code in ("z", "y")]
    made = [
        Spec.objects.create(
            part_type=kind, property=of, family=family, nominal=nominal and Decimal(nominal), places=1,
            text="" if nominal else "none", condition=str(index), source=source,
        )
        for (index, nominal), of, kind in product(enumerate(NOMINALS), properties, kinds)
    ]  # fmt: skip
    first = connection.features.order_by_nulls_first

    def order(row: Spec) -> tuple[int, int, bool, Decimal, int]:
        empty = row.nominal is None
        return row.part_type_id, row.property_id, empty != first, row.nominal or Decimal(0), row.pk

    return [row.pk for row in sorted(made, key=order)]


@pytest.mark.parametrize("count", [1, 4, 41, 42, 43])
def test_pages_of_any_size_give_every_row_once_forwards_and_back(rows, count):
    page, forwards = first_page(spec_rows(), count), []
    pages = [page]
    while page.after:
        page = page_after(spec_rows(), Place.read(page.after), count)
        pages.append(page)
    for one in pages:
        forwards += [row.pk for row in one.rows]
    assert forwards == rows
    assert [bool(one.before) for one in pages] == [False] + [True] * (len(pages) - 1)
    for earlier, later in pairwise(pages):
        back = page_before(spec_rows(), Place.read(later.before), count)
        assert [row.pk for row in back.rows] == [row.pk for row in earlier.rows]


def test_less_than_a_page_before_a_row_is_the_first_page(rows):
    third = Place.of(Spec.objects.get(pk=rows[2]))
    assert [row.pk for row in page_before(spec_rows(), third, 10).rows] == rows[:10]


def test_a_row_that_is_gone_still_marks_its_place(rows):
    gone = Spec.objects.get(pk=rows[20])
    place = Place.of(gone)
    gone.delete()
    assert [row.pk for row in page_after(spec_rows(), place, 5).rows] == rows[21:26]


def test_under_a_filter_only_its_rows_follow(rows):
    wanted = spec_rows().filter(property__code="y")
    page, found = first_page(wanted, 4), []
    while page.rows:
        found += [row.pk for row in page.rows]
        page = page_after(wanted, Place.of(page.rows[-1]), 4)
    assert found == [pk for pk in rows if Spec.objects.get(pk=pk).property.code == "y"]


def test_a_page_takes_few_statements_and_never_counts_or_skips_rows(rows):
    place = Place.of(Spec.objects.get(pk=rows[17]))
    for turn in (page_after, page_before):
        with CaptureQueriesContext(connection) as asked:
            turn(spec_rows(), place, 3)
        assert len(asked) <= 6
        text = " ".join(query["sql"].upper() for query in asked.captured_queries)
        assert "COUNT(" not in text
        assert "OFFSET" not in text


@pytest.mark.parametrize(
    "text", ["", "1", "1_2_3", "1_2_3_4_5", "a_2_3_4", "1_2_x_4", "1_2_NaN_4", "1_2_1e30_4", "-1_2_3_4",
             "1_2_0.0000001_4", f"1_2_3_{2**63}", "1_2_none_x", "١_2_3_4", "1_2_3_\x00"]
)  # fmt: skip
def test_a_made_up_place_is_refused(text):
    with pytest.raises(Refused, match="not a place in the table"):
        Place.read(text)
