"""A pack that was exported and imported into an empty database is exported again byte for byte."""

import json
import os
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from demo_rows import PACK
from django.db import transaction
from frictionless import system, validate
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.actions import import_pack
from catalog.models import (
    Application,
    Brand,
    Caution,
    EngineFamily,
    Maker,
    Offer,
    Part,
    PartType,
    PriceBreak,
    Property,
    Source,
    Spec,
    Supplier,
)
from catalog.packs.export import export_pack
from catalog.rules.partnumber import comparable, normalise


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@pytest.fixture(scope="module")
def on(django_db_setup, django_db_blocker):
    """Runs something on one of the two databases, empty before and after."""

    def run(vendor, work):
        with django_db_blocker.unblock():
            django_db_setup.use(vendor)
            with transaction.atomic():
                done = work()
                transaction.set_rollback(True)
        django_db_setup.use("sqlite")
        return done

    return run


def exported(folder: Path, **options) -> dict[str, bytes]:
    export_pack(folder, force=True, **options)
    return files(folder)


DESCRIBED = json.loads((PACK / "datapackage.json").read_text(encoding="utf-8"))
NAMED = {"name": DESCRIBED["name"], "title": DESCRIBED["title"]}
FAMILIES = ("fell-8", "odde-6", "fell-4")


@pytest.fixture(scope="module")
def shipped(on, tmp_path_factory):
    """What is exported of the demonstration: folders, by what was asked for."""
    folder = tmp_path_factory.mktemp("shipped")

    def work():
        import_pack(PACK)
        exported(folder / "all", **NAMED)
        exported(folder / "some", tables=["offers", "brands"])
        for family in FAMILIES:
            exported(folder / family, families=[family])
        return {family: rows_of(family) for family in FAMILIES}

    return folder, on("sqlite", work)


class TestTheDemonstration:
    def test_import_and_export_reproduce_the_shipped_files_byte_for_byte(self, shipped):
        assert files(shipped[0] / "all") == files(PACK), (
            "write fixtures/demo in the one form: import it into an empty database, then export_pack --force"
        )

    def test_on_postgresql_too(self, on, tmp_path):
        def there_and_back():
            import_pack(PACK)
            return exported(tmp_path / "out", **NAMED)

        assert on("postgresql", there_and_back) == files(PACK)

    @pytest.mark.parametrize("family", FAMILIES)
    def test_one_family_brings_all_it_refers_to(self, on, shipped, tmp_path, family):
        folder, rows = shipped

        def arrive():
            import_pack(folder / family)  # an empty database: whatever is missing would be refused
            assert list(EngineFamily.objects.values_list("code", flat=True)) == [family]
            return exported(tmp_path / "again"), rows_of(family)

        assert on("sqlite", arrive) == (files(folder / family), rows[family])

    def test_an_export_is_a_valid_tabular_data_package_by_an_independent_reader(self, shipped):
        with system.use_context(trusted=True):
            report = validate(str(shipped[0] / "odde-6" / "datapackage.json"))
        assert report.valid, report.flatten(["resourceName", "rowNumber", "fieldName", "note"])[:10]

    def test_of_some_tables_only_these_are_written(self, shipped):
        assert list(files(shipped[0] / "some")) == ["brands.csv", "datapackage.json", "offers.csv"]


def rows_of(family: str) -> set[tuple[object, ...]]:
    """What the counter and the builder ask of a family: its rules with the offers for their parts."""
    return set(
        Application.objects.filter(family__code=family).values_list(
            "part__brand__code", "part__number", "ordinal", "part_type__code", "position__code",
            "part__offers__supplier__code", "part__offers__price", "part__interchange__group__code",
            "part__replaced_by__new__number", "part__replaces__old__number", "part__specs__nominal",
        )
    )  # fmt: skip


# Everything that a database holds and a person may have pasted, but for what no pack may have in it:
# control characters (Unicode category Cc), halves of a pair (Cs).
SIGNS = st.one_of(
    st.sampled_from(list(" \t\n\r,;'\"\\-.0éß中\u00a0\u2028\ufeff🔧")),
    st.characters(exclude_categories=("Cc", "Cs")),
)
texts = st.text(SIGNS, max_size=30)
names = texts.map(lambda text: f"x{text}")
amounts = st.decimals("0", "99999", places=4).map(lambda value: value.normalize() + 0)
stated = st.decimals("-99", "99999", places=4, allow_nan=False)
days = st.dates(date(1990, 1, 1), date(2090, 1, 1))


LAST = date(2095, 1, 1)


@st.composite
def catalogues(draw):
    """Rows as dictionaries, each with what the database asks of it."""
    count = draw(st.integers(1, 6))
    limits = [sorted(draw(st.tuples(stated, stated, stated))) for _ in range(count)]
    places = [draw(st.integers(0, 6)) for _ in range(count)]
    return {
        "part_types": [(draw(names), draw(texts), draw(st.booleans())) for _ in range(count)],
        "brands": [draw(names) for _ in range(2)],
        "parts": [
            (f"{index}{draw(texts)}"[:60], draw(texts), draw(st.none() | amounts),
             draw(st.sampled_from(["EUR", "JPY", "KWD"])))
            for index in range(count)
        ],
        "specs": [
            (draw(texts), *draw(st.permutations([limits[index], [None, limits[index][1], None]]))[0],
             places[index], draw(texts), draw(st.booleans()))
            for index in range(count)
        ],
        "suppliers": [(draw(names), draw(st.sampled_from(["EUR", "JPY", "KWD"])), draw(st.none() | amounts))
                      for _ in range(2)],
        "offers": [
            (draw(texts), draw(amounts), draw(amounts), draw(days), draw(st.sampled_from([None, LAST])))
            for _ in range(count)
        ],
        "cautions": [draw(names) for _ in range(count)],
    }  # fmt: skip


def fill(rows) -> None:
    """Straight into the tables, past every form and every check of a pack."""
    maker = Maker.objects.create(code="m", name="M")
    family = EngineFamily.objects.create(
        code="f", maker=maker, name="F", layout="vee", cylinders=8, voltage=Decimal("12.5"), numbering="maker"
    )
    types = [
        PartType.objects.create(code=f"t{i}", name=name, plural=plural, controls=controls)
        for i, (name, plural, controls) in enumerate(rows["part_types"])
    ]
    brands = [Brand.objects.create(code=f"b{i}", name=name) for i, name in enumerate(rows["brands"])]
    parts = [
        Part.objects.create(
            brand=brands[i % 2], number=number, normalised=normalise(number), part_type=types[i],
            description=description, grade="original", list_price=price,
            list_currency=currency if price is not None else "",
        )
        for i, (number, description, price, currency) in enumerate(rows["parts"])
    ]  # fmt: skip
    measured = Property.objects.create(code="p", name="P", unit="Ohm")
    source = Source.objects.create(code="s", title="S")
    for i, (condition, low, middle, high, places, text, verified) in enumerate(rows["specs"]):
        whose = {"part": parts[i]} if i % 2 else {"family": family}
        Spec.objects.create(
            property=measured, part_type=types[i], condition=condition, minimum=low, nominal=middle,
            maximum=high, places=places, text=text, source=source, verified=verified, **whose,
        )  # fmt: skip
    suppliers = [
        Supplier.objects.create(code=f"s{i}", name=name, currency=currency, free_freight_from=free)
        for i, (name, currency, free) in enumerate(rows["suppliers"])
    ]
    for i, (number, price, deposit, start, end) in enumerate(rows["offers"]):
        offer = Offer.objects.create(
            supplier=suppliers[i % 2], part=parts[i], supplier_number=number,
            supplier_normalised=comparable(number), price=price + 1, deposit=deposit, valid_from=start,
            valid_until=end,
        )  # fmt: skip
        PriceBreak.objects.create(offer=offer, quantity_from=i + 2, price=price)
    for i, text in enumerate(rows["cautions"]):
        Caution.objects.create(code=f"c{i}", text=text)


FILLED = [
    "makers", "engine_families", "part_types", "brands", "parts", "properties", "sources", "specs",
    "suppliers", "offers", "price_breaks", "cautions",
]  # fmt: skip


@settings(max_examples=int(os.environ.get("HYPOTHESIS_EXAMPLES", "25")), deadline=None)
@given(rows=catalogues())
def test_any_catalogue_goes_from_sqlite_to_postgresql_and_back_unchanged(on, tmp_path_factory, rows):
    start, there, back = (tmp_path_factory.mktemp("pack") for _ in range(3))

    def first():
        fill(rows)
        return exported(start, tables=FILLED)

    def second():
        import_pack(start)
        return exported(there, tables=FILLED)

    def third():
        import_pack(there)
        return exported(back, tables=FILLED)

    written = on("sqlite", first)
    assert on("postgresql", second) == written
    assert on("sqlite", third) == written


@pytest.mark.django_db
class TestOneForm:
    def test_an_amount_has_the_decimals_of_its_currency(self, tmp_path):
        # ISO 4217, list one: the euro has 2 decimals, the yen none, the Kuwaiti dinar 3.
        other = {"part_type": PartType.objects.create(code="t", name="T"), "grade": "original"}
        brand = Brand.objects.create(code="b", name="B")
        prices = ["7 EUR", "7.50 EUR", "7.125 EUR", "700.0 JPY", "7.5 KWD"]
        for number, (price, currency) in enumerate(map(str.split, prices)):
            Part.objects.create(
                brand=brand, number=f"{number}", normalised=f"{number}", list_price=Decimal(price),
                list_currency=currency, **other,
            )  # fmt: skip
        rows = exported(tmp_path / "out", tables=["parts"])["parts.csv"].decode().splitlines()[1:]
        assert [row.split(",")[-2] for row in rows] == ["7.00", "7.50", "7.125", "700", "7.500"]

    def test_a_stated_value_keeps_the_places_of_its_source(self, pack, tmp_path):
        import_pack(pack.path)
        text = exported(tmp_path / "out", tables=["specs"])["specs.csv"].decode()
        assert "cold,15,25,0.60,0.75,0.90," in text
        assert "cold,15,25,0.5,,1.0," in text

    def test_rows_stand_in_the_order_of_code_points(self, tmp_path):
        # In the order of a language "a" comes before "B"; U+0042 is before U+0061.
        for code in ("b", "a-2", "a1", "a"):
            Brand.objects.create(code=code, name=code)
        rows = exported(tmp_path / "out", tables=["brands"])["brands.csv"].decode().splitlines()[1:]
        assert rows == sorted(rows, key=lambda row: row.split(",")[0])
        assert [row.split(",")[0] for row in rows] == ["a", "a-2", "a1", "b"]

    def test_a_reference_is_written_as_the_brand_spells_the_number(self, pack, tmp_path):
        import_pack(pack.path)  # its offers name the part UM 77 as um77
        assert b"northquay,umber,UM 77,,7.85" in exported(tmp_path / "out")["offers.csv"]

    def test_an_empty_catalogue_gives_a_pack_of_headers_that_can_be_imported(self, tmp_path):
        written = exported(tmp_path / "out")
        assert written["brands.csv"] == b"code,name\n"
        assert import_pack(tmp_path / "out").new == 0

    def test_the_number_of_statements_does_not_grow_with_the_rows(
        self, pack, tmp_path, django_assert_num_queries
    ):
        import_pack(pack.path)
        tables = len(exported(tmp_path / "out")) - 1
        with django_assert_num_queries(2 * tables + 2):  # count and rows of each, and two for the mark
            exported(tmp_path / "out")
