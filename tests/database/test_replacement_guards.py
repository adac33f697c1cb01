"""The database refuses exactly the replacements that the rules refuse, whatever path a write takes.

The rules themselves are held against networkx in tests/rules/catalog/test_catalog_replacement.py.
"""

from datetime import date
from threading import Thread

import psycopg
import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import F
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog.models import Brand, Part, PartType, Replacement
from catalog.rules.replacement import Replacement as Rule
from catalog.rules.replacement import check
from shop.rules.errors import Refused

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("database")]
PARTS = 5


def shelf() -> list[Part]:
    brand = Brand.objects.create(code="b", name="B")
    kind = PartType.objects.create(code="t", name="T")
    return [
        Part.objects.create(brand=brand, number=f"P{n}", part_type=kind, grade="original")
        for n in range(PARTS)
    ]


def row(parts: list[Part], old: int, new: int, both: bool = False, choice: int = 1) -> Replacement:
    return Replacement(old=parts[old], new=parts[new], both_ways=both, choice=choice)


def refused(write) -> bool:
    try:
        with transaction.atomic():
            write()
    except IntegrityError:
        return True
    return False


def refused_by_the_rules(rows: list[Rule]) -> bool:
    try:
        check(rows)
    except Refused:
        return True
    return False


ROWS = st.tuples(
    st.integers(0, PARTS - 1), st.integers(0, PARTS - 1), st.booleans(), st.integers(1, 2)
).filter(lambda given: given[0] != given[1])


def for_each(*strategies, examples: int):
    """Tries the test on random rows, on either database, each time on an empty shelf."""

    def decorate(test):
        def tried(db: None) -> None:
            @settings(max_examples=examples, deadline=None)
            @given(st.tuples(*strategies))
            def example(drawn) -> None:
                with transaction.atomic():
                    test(*drawn)
                    transaction.set_rollback(True)

            example()

        tried.__name__ = test.__name__
        return tried

    return decorate


@for_each(st.lists(ROWS, min_size=2, max_size=8, unique_by=lambda given: (*given[:2], given[3])), examples=60)
def test_a_row_is_refused_exactly_when_the_rules_refuse_it_together_with_the_rest(rows):
    parts = shelf()
    kept: list[Rule] = []
    for old, new, both, choice in rows:
        wanted = [*kept, Rule(str(old), str(new), choice, 1, both, None)]
        expected = refused_by_the_rules(wanted)
        assert refused(row(parts, old, new, both, choice).save) == expected
        kept = kept if expected else wanted


@for_each(
    st.lists(ROWS, min_size=2, max_size=6, unique_by=lambda given: (*given[:2], given[3])),
    ROWS,
    st.integers(0, 5),
    examples=60,
)
def test_a_changed_row_is_refused_exactly_when_the_rules_refuse_the_outcome(rows, change, which):
    parts = shelf()
    kept: dict[int, Rule] = {}
    for old, new, both, choice in rows:
        written = row(parts, old, new, both, choice)
        if not refused(written.save):
            kept[written.pk] = Rule(str(old), str(new), choice, 1, both, None)
    pk = sorted(kept)[which % len(kept)]
    old, new, both, choice = change
    taken = {(rule.old, rule.new, rule.choice) for other, rule in kept.items() if other != pk}
    if (str(old), str(new), choice) in taken:
        return
    outcome = {**kept, pk: Rule(str(old), str(new), choice, 1, both, None)}
    fields = {"old": parts[old], "new": parts[new], "both_ways": both, "choice": choice}
    change_it = Replacement.objects.filter(pk=pk).update
    assert refused(lambda: change_it(**fields)) == refused_by_the_rules(list(outcome.values()))


def test_a_circle_is_refused_by_save_bulk_create_update_and_plain_sql_and_nothing_of_it_stays():
    parts = shelf()
    row(parts, 0, 1).save()
    row(parts, 2, 1, both=True).save()  # 1 and 2 serve alike: back to 0 from either is a circle
    spare = Replacement.objects.create(old=parts[3], new=parts[0])
    columns = "(old_id, new_id, choice, quantity, both_ways)"
    by_sql = f"INSERT INTO catalog_replacement {columns} VALUES (%s, %s, 1, 1, %s)"

    def plain_sql() -> None:
        with connection.cursor() as cursor:
            cursor.execute(by_sql, [parts[2].pk, parts[0].pk, False])

    writes = {
        "save": lambda: row(parts, 2, 0).save(),
        "bulk_create": lambda: Replacement.objects.bulk_create([row(parts, 3, 4), row(parts, 2, 0)]),
        "bulk_update": lambda: Replacement.objects.bulk_update(
            [Replacement(pk=spare.pk, old=parts[2], new=parts[0])], ["old", "new"]
        ),
        "update": lambda: Replacement.objects.filter(pk=spare.pk).update(old=parts[2]),
        "sql": plain_sql,
    }
    assert {name: refused(write) for name, write in writes.items()} == dict.fromkeys(writes, True)
    assert not Replacement.objects.filter(old=parts[2], new=parts[0]).exists()


def test_an_update_of_many_rows_that_closes_a_circle_is_refused_as_a_whole():
    parts = shelf()
    for old, new in ((0, 1), (1, 2)):
        row(parts, old, new).save()
    back = Replacement.objects.bulk_create([row(parts, 3, 0), row(parts, 4, 0)])
    # 3 and 4 give way to 2: now 2 would be replaced by 0 again.
    assert refused(
        lambda: Replacement.objects.filter(pk__in=[one.pk for one in back]).update(
            old=parts[2], choice=F("id")
        )
    )
    assert Replacement.objects.filter(old=parts[3], new=parts[0]).count() == 1


def test_turning_a_row_round_is_no_circle_with_what_it_was():
    parts = shelf()
    row(parts, 0, 1).save()
    assert Replacement.objects.update(old=parts[1], new=parts[0]) == 1


def test_a_date_changes_nothing_about_a_circle():
    parts = shelf()
    Replacement.objects.create(old=parts[0], new=parts[1], valid_from=date(2010, 1, 1))
    assert refused(Replacement(old=parts[1], new=parts[0], valid_from=date(2040, 1, 1)).save)


def test_the_refusal_says_what_would_be_right():
    parts = shelf()
    row(parts, 0, 1, both=True).save()
    with pytest.raises(IntegrityError, match="give another choice number"), transaction.atomic():
        row(parts, 0, 2).save()


@pytest.mark.databases("postgresql")
@pytest.mark.django_db(transaction=True)
def test_two_people_writing_at_once_cannot_close_a_circle_between_them():
    parts = shelf()
    found: list[str] = []

    def the_other_way() -> None:
        with psycopg.connect(info.dsn, password=info.password) as other:
            try:
                other.execute(
                    "INSERT INTO catalog_replacement (old_id, new_id, choice, quantity, both_ways) "
                    "VALUES (%s, %s, 1, 1, false)",
                    [parts[1].pk, parts[0].pk],
                )
                found.append("written")
            except psycopg.errors.CheckViolation as error:
                found.append(str(error.diag.message_primary))

    connection.ensure_connection()
    info = connection.connection.info
    with transaction.atomic():
        row(parts, 0, 1).save()
        colleague = Thread(target=the_other_way)
        colleague.start()
        colleague.join(0.3)
        assert found == []  # waits until it is known whether the first row stays
    colleague.join(10)
    assert found == ["replacements must not run in a circle"]
