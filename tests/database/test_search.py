"""The search on both databases: nothing that should be found is missed, and nothing is scanned for it.

Edit distance is checked by a plain textbook table (optimal string alignment, in F. J. Damerau's sense:
Communications of the ACM 7 (1964), 171-176), not by the generator that the search itself uses.
"""

import random
from contextlib import nullcontext
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.models import Brand, EngineFamily, Maker, Offer, Part, PartType, Supplier
from catalog.search import described, numbers
from catalog.search.find import search
from shop.rules.errors import Refused

pytestmark = pytest.mark.django_db
MARKS = "ABCDEFGHKLMNPRSTUVWX0123456789"


def distance(a: str, b: str) -> int:
    """Slips between two numbers: left out, put in, mistaken, swapped with its neighbour."""
    table = {(i, 0): i for i in range(len(a) + 1)} | {(0, j): j for j in range(len(b) + 1)}
    for i in range(1, len(a) + 1):
        for j in range(1, len(b) + 1):
            table[i, j] = min(
                table[i - 1, j] + 1, table[i, j - 1] + 1, table[i - 1, j - 1] + (a[i - 1] != b[j - 1])
            )
            if i > 1 and j > 1 and a[i - 1] == b[j - 2] and a[i - 2] == b[j - 1]:
                table[i, j] = min(table[i, j], table[i - 2, j - 2] + 1)
    return table[len(a), len(b)]


def misspelt(number: str, chance: random.Random) -> str:
    at = chance.randrange(len(number) - 1)
    kind = chance.randrange(4)
    if kind == 0:
        return number[:at] + number[at + 1 :]
    if kind == 1:
        return number[:at] + chance.choice(MARKS) + number[at:]
    if kind == 2:
        return number[:at] + chance.choice(MARKS) + number[at + 1 :]
    return number[:at] + number[at + 1] + number[at] + number[at + 2 :]


def shelf(numbered: list[str], **texts: str) -> dict[str, Part]:
    brand, _ = Brand.objects.get_or_create(code="orlin", defaults={"name": "Orlin"})
    kind, _ = PartType.objects.get_or_create(code="glow-plug", defaults={"name": "glow plug"})
    parts = [
        Part(brand=brand, part_type=kind, number=n, normalised=n, grade="original",
             description=texts.get(n, ""))
        for n in numbered
    ]  # fmt: skip
    return {part.number: part for part in Part.objects.bulk_create(parts)}


def test_every_number_is_found_by_every_slip_in_one_statement(django_assert_num_queries):
    chance = random.Random(20)
    held = sorted({"".join(chance.choices(MARKS, k=chance.randint(5, 12))) for _ in range(400)})
    shelf(held)
    for number in held[::4]:
        typed = misspelt(number, chance)
        with django_assert_num_queries(1):
            found = {row.number for row in numbers.one_slip(typed, 50)}
        assert found == {other for other in held if distance(typed, other) == 1}, typed


def test_beginnings_come_in_order_the_number_itself_first_and_nothing_else():
    shelf(["GX1", "GX10", "GX1É", "GX2", "GX", "FX1", "GX1_", "G"])
    assert [row.number for row in numbers.beginning("GX1", 10)] == ["GX1", "GX10", "GX1_", "GX1É"]
    assert [row.number for row in numbers.beginning("GX1", 2)] == ["GX1", "GX10"]
    assert [row.number for row in numbers.beginning("%", 10)] == []


def test_a_suppliers_own_number_leads_to_the_part_once_for_all_its_offers():
    parts = shelf(["A1", "B2"])
    orvane = Supplier.objects.create(code="orvane", name="Orvane", currency="EUR")
    for year in (2024, 2025):
        Offer.objects.create(
            supplier=orvane, part=parts["A1"], supplier_number="OV 7-1", price=1, valid_from=date(year, 1, 1)
        )
    ((rank, hit),) = search("ov7.1").hits
    assert (rank, hit.label, hit.why) == (1, "Orlin A1", "supplier Orvane calls it OV 7-1")


def test_a_number_goes_before_a_suppliers_number_a_beginning_and_words():
    parts = shelf(["77", "770", "Q9"], Q9="fits beside 77")
    other = Supplier.objects.create(code="s", name="S", currency="EUR")
    Offer.objects.create(
        supplier=other, part=parts["Q9"], supplier_number="7-7", price=1, valid_from="2025-01-01"
    )
    assert [(hit.found, hit.label) for _, hit in search("77").hits] == [
        ("number", "Orlin 77"), ("supplier", "Orlin Q9"), ("prefix", "Orlin 770"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("line", "remark"),
    [
        ("sleve", "sleve is on no record; read as sleeve"),
        ("sleeve zzzzqq", "zzzzqq is on no record and was left out"),
    ],
)
def test_a_misspelt_or_unknown_word_is_said_and_what_is_left_is_found(line, remark):
    shelf(["A1"], A1="Sleeve, 12 V")
    answer = search(line)
    assert answer.remarks == (remark,)
    assert [hit.label for _, hit in answer.hits] == ["Orlin A1"]


def test_words_of_description_type_and_brand_together_find_the_part():
    shelf(["A1", "A2"], A1="94 mm, 12V, Größe B", A2="94 mm, 24V")
    for line in ("glow plug 12 V", "orlin 12v", "PLUG größe", "gro 94"):
        assert [hit.label for _, hit in search(line).hits if hit.kind == "part"] == ["Orlin A1"], line


@pytest.mark.parametrize("line", ["", " ", "--- /", "***", "\x00", "x" * 201])
def test_a_line_that_says_nothing_is_refused(line):
    with pytest.raises(Refused):
        search(line)


@pytest.mark.parametrize(
    "line",
    ["'", "a'b", '"a', "a AND", "NOT a", "NEAR(a, b)", "^a", "a:b", "a\\b", "a & | ! b", "<->", "%a_",
     "\x00a", "\ud800a", "日本語", "🔧 a", "a" * 200, "é" * 200, "ﷺ" * 12, "-a-", "a*", "12*"],
)  # fmt: skip
def test_no_line_breaks_the_search(line):
    shelf(["A1"], A1="sleeve")
    said_nothing = pytest.raises(Refused, match="no letter or figure")
    with nullcontext() if any(sign.isalnum() for sign in line) else said_nothing:
        search(line)


def plan(sql: str, params: list) -> str:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET LOCAL enable_seqscan = off")
        explain = "EXPLAIN QUERY PLAN " if connection.vendor == "sqlite" else "EXPLAIN "
        cursor.execute(explain + sql, params)
        return "\n".join(str(row[-1]) for row in cursor.fetchall())


def test_numbers_and_words_are_answered_from_their_indexes():
    """PostgreSQL would rather read a small table whole: told not to, it uses the index."""
    parts = shelf([f"A{n}" for n in range(1000)])
    Brand.objects.bulk_create(Brand(code=f"b{n}", name=f"B {n}") for n in range(50))
    PartType.objects.bulk_create(PartType(code=f"t{n}", name=f"t {n}") for n in range(50))
    supplier = Supplier.objects.create(code="s", name="S", currency="EUR")
    Offer.objects.bulk_create(
        Offer(part=part, supplier=supplier, price=1, valid_from=date(2026, 1, 1),
              supplier_number=f"S{number}", supplier_normalised=f"S{number}")
        for number, part in parts.items()
    )  # fmt: skip
    vendor = connection.vendor
    with connection.cursor() as cursor:
        cursor.execute("SET CONSTRAINTS ALL IMMEDIATE" if vendor == "postgresql" else "SELECT 1")
        for table in (Part, Brand, PartType, Supplier, Offer):
            cursor.execute(f"ANALYZE {table._meta.db_table}")
    near = numbers.a_list(["A1", "A2"])
    for sql, params, index in (
        (numbers.EXACT, ["A1"], "part_normalised"),
        (numbers.BEGINNING, ["A", "B", 5], "part_normalised"),
        (numbers.NUMBERED, ["A", "B", 5, "A", 5], "offer_supplier_normalised"),
        (numbers.SLIPS, [near, 5], "part_normalised"),
    ):
        told = plan(sql[vendor], params)
        assert index in told, told
    wanted = described.expression(((("plug",),),), " AND ", " & ")
    told = plan(described.DESCRIBED[vendor], [wanted, 5, wanted, 5, wanted, 5])
    # SQLite: an FTS5 table is always read through its own index; M marks the MATCH it is asked.
    assert ("catalog_part_words VIRTUAL TABLE INDEX 0:M" if vendor == "sqlite" else "words_gin") in told


def test_the_statements_are_few_whatever_there_is():
    maker = Maker.objects.create(code="norrik", name="Norrik")
    families = [
        EngineFamily(code=f"nk{n}", maker=maker, name=f"NK {n}", layout="inline", cylinders=4, voltage=12,
                     numbering="maker")
        for n in range(60)
    ]  # fmt: skip
    for many in (1, 60):
        EngineFamily.objects.bulk_create(families[:many], ignore_conflicts=True)
        shelf([f"P{many}X{n}" for n in range(many)])
        sent = []
        for line in ("P1X0", "glow plug", "glow plug nk", "glwo plgu", "zzzz yyyy"):
            with CaptureQueriesContext(connection) as asked:
                search(line)
                sent.append(len(asked))
        assert sent == [1, 3, 3, 6, 5]
