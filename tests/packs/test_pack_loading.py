"""What an import adds, changes and leaves alone, on a pack that is in order."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from catalog.actions import import_pack
from catalog.models import (
    AccessStepRequirement,
    Application,
    Brand,
    InterchangeMember,
    Offer,
    Operation,
    Part,
    Position,
    PriceBreak,
    Spec,
    TestPoint,
    TestPointComponent,
)
from shop.models import Event
from shop.rules.errors import Refused

pytestmark = pytest.mark.django_db


def counts(report):
    return {count.resource: (count.new, count.changed, count.unchanged) for count in report.counts}


def changed(report):
    return {count.resource: count.changed for count in report.counts if count.changed}


def test_every_row_of_a_new_pack_is_added(pack, contents):
    report = import_pack(pack.path)
    assert counts(report) == {name: (len(rows) - 1, 0, 0) for name, rows in pack.tables.items()}
    assert (
        sum(map(len, contents().values()))
        == report.new
        == sum(len(rows) - 1 for rows in pack.tables.values())
    )


def test_a_second_import_of_the_same_pack_changes_nothing(pack, contents):
    import_pack(pack.path)
    before = contents()
    report = import_pack(pack.path)
    assert (report.new, report.changed) == (0, 0)
    assert report.unchanged == sum(len(rows) - 1 for rows in pack.tables.values())
    assert contents() == before


def test_a_dry_run_counts_and_writes_nothing(pack, contents):
    before = contents()
    report = import_pack(pack.path, dry_run=True)
    assert report.dry_run
    assert report.new == sum(len(rows) - 1 for rows in pack.tables.values())
    assert contents() == before
    assert not Event.objects.exists()


def test_values_arrive_as_they_were_written(pack):
    import_pack(pack.path)
    offer = Offer.objects.get(part__number="TL-10/4")
    assert (offer.price, offer.valid_until, offer.lead_days) == (Decimal("11.20"), date(2024, 12, 31), 2)
    spec = Spec.objects.get(part__number="TL-10/4")
    assert (spec.minimum, spec.nominal, spec.maximum, spec.places) == (
        Decimal("0.60"), Decimal("0.75"), Decimal("0.90"), 2,
    )  # fmt: skip
    assert spec.verified is True
    assert TestPoint.objects.get(code="heater-ohms").places == 2
    assert Position.objects.get(family__code="orrin-v4", code="3").bank.code == "B"


def test_a_value_of_as_many_digits_as_every_database_keeps_exactly_comes_back_unchanged(pack):
    # SQLite keeps decimals as IEEE 754 double precision, which returns any 15 decimal digits unchanged.
    pack.set("specs", 2, minimum="123456789.123456", nominal="999999999.999998", maximum="999999999.999999")
    pack.write()
    import_pack(pack.path)
    assert Spec.objects.get(part__number="TL-10/4").nominal == Decimal("999999999.999998")
    assert import_pack(pack.path).changed == 0


def test_a_gtin_is_stored_with_14_figures(pack):
    # GS1 General Specifications: a GTIN-13 is padded with a zero in front.
    import_pack(pack.path)
    assert Part.objects.get(number="TL-10/4").gtin == "06291041500213"


def test_an_application_takes_the_part_type_of_its_part(pack):
    import_pack(pack.path)
    types = dict(Application.objects.values_list("part__number", "part_type__code"))
    assert types == {"TL-10/4": "heater", "TL-10/5": "heater", "UM 90": "relay"}


def test_a_part_number_refers_whatever_its_spelling(pack):
    import_pack(pack.path)
    assert PriceBreak.objects.get().offer == Offer.objects.get(part__number="UM 77")


def test_one_changed_price_changes_one_row(pack):
    import_pack(pack.path)
    pack.set("offers", 2, price="12.40")
    pack.write()
    report = import_pack(pack.path)
    assert (report.new, report.changed, changed(report)) == (0, 1, {"offers": 1})
    assert Offer.objects.get(part__number="TL-10/4").price == Decimal("12.40")


def test_a_row_keeps_its_identity_when_it_changes(pack):
    import_pack(pack.path)
    before = Offer.objects.get(part__number="TL-10/4").pk
    pack.set("offers", 2, price="12.40")
    pack.write()
    import_pack(pack.path)
    assert Offer.objects.get(part__number="TL-10/4").pk == before


def test_an_emptied_cell_empties_the_value(pack):
    import_pack(pack.path)
    pack.set("offers", 2, valid_until="", supplier_number="")
    pack.write()
    assert changed(import_pack(pack.path)) == {"offers": 1}
    offer = Offer.objects.get(part__number="TL-10/4")
    assert (offer.valid_until, offer.supplier_number) == (None, "")


def test_another_number_of_decimal_places_is_a_change(pack):
    import_pack(pack.path)
    pack.set("specs", 3, minimum="0.50", maximum="1.00")
    pack.write()
    assert changed(import_pack(pack.path)) == {"specs": 1}
    assert Spec.objects.get(family__code="orrin-v4").places == 2


def test_a_respelled_part_number_is_the_same_part(pack):
    import_pack(pack.path)
    before = Part.objects.get(number="UM 77").pk
    pack.set("parts", 4, number="um-77")
    pack.write()
    assert changed(import_pack(pack.path)) == {"parts": 1}
    assert Part.objects.get(number="um-77").pk == before


def test_a_part_moves_to_another_interchange_group(pack):
    import_pack(pack.path)
    pack.set("interchange_groups", 3, code="heater-5v", name="glow plugs 5 V")
    pack.set("interchange_members", 3, group="heater-5v")
    pack.write()
    assert changed(import_pack(pack.path)) == {"interchange_members": 1}
    assert InterchangeMember.objects.get(part__number="UM 77").group.code == "heater-5v"


def test_two_operations_swap_their_ranks(pack):
    import_pack(pack.path)
    pack.set("operations", 2, rank="2")
    pack.set("operations", 3, rank="1")
    pack.write()
    assert changed(import_pack(pack.path)) == {"operations": 2}
    ranks = dict(Operation.objects.values_list("code", "rank"))
    assert ranks == {"heater-new": 2, "heater-drill": 1, "relay-new": 1}
    assert Operation.objects.filter(repairs__code="heater").count() == 2


def test_two_components_swap_their_places_in_a_path(pack):
    import_pack(pack.path)
    pack.set("test_point_components", 2, ordinal="2")
    pack.set("test_point_components", 3, ordinal="1")
    pack.write()
    assert changed(import_pack(pack.path)) == {"test_point_components": 2}
    path = TestPointComponent.objects.filter(test_point__code="heater-ohms").order_by("ordinal")
    assert [part.component.code for part in path] == ["lead", "heater"]


def test_a_new_operation_takes_the_rank_that_an_old_one_gives_up(pack):
    import_pack(pack.path)
    pack.set("operations", 2, rank="3")
    pack.set("operations", 5, code="heater-repair", repairs="heater", scope="cylinder", rank="1")
    pack.write()
    import_pack(pack.path)
    assert Operation.objects.get(repairs__code="heater", rank=1).code == "heater-repair"


def test_a_partial_pack_refers_to_rows_of_the_database(pack):
    import_pack(pack.path)
    pack.only("offers")
    pack.set("offers", 5, part_brand="teal", part_number="tl 10 5", price="9.99")
    pack.write()
    assert counts(import_pack(pack.path)) == {"offers": (1, 0, 3)}
    assert Offer.objects.get(part__number="TL-10/5").price == Decimal("9.99")


def test_a_partial_pack_of_applications_takes_part_types_from_the_database(pack):
    import_pack(pack.path)
    pack.only("applications")
    pack.set("applications", 5, family="orrin-v4", position="engine")
    pack.write()
    import_pack(pack.path)
    assert Application.objects.get(family__code="orrin-v4", part__number="UM 90").part_type.code == "relay"


def test_rows_that_a_later_pack_leaves_out_stay(pack):
    import_pack(pack.path)
    pack.tables["offers"].pop()
    pack.write()
    import_pack(pack.path)
    assert Offer.objects.count() == 3


def test_an_import_is_recorded_once(pack):
    import_pack(pack.path)
    import_pack(pack.path)
    event = Event.objects.get()
    assert (event.what, event.subject) == ("pack-imported", "tiny")
    assert event.detail["offers"] == {"new": 3, "changed": 0}


def test_progress_is_told_up_to_the_end(pack):
    told = []
    import_pack(pack.path, progress=lambda what, done, total: told.append((what, done, total)))
    assert told[0] == ("reading makers.csv", 0, 3 * len(pack.tables))
    assert ("writing offers.csv") in {what for what, _, _ in told}
    assert told[-1] == ("done", 3 * len(pack.tables), 3 * len(pack.tables))
    assert [done for _, done, _ in told] == sorted(done for _, done, _ in told)


def test_the_number_of_statements_does_not_grow_with_the_rows(pack):
    def statements():
        with CaptureQueriesContext(
            connection,
        ) as captured:
            import_pack(pack.path)
        return len(captured)

    import_pack(pack.path)
    for row in (2, 3, 4):
        pack.set("offers", row, lead_days="9")
    pack.set("offers", 5, valid_from="2025-01-01", valid_until="")
    pack.write()
    few = statements()
    for row in (2, 3, 4):
        pack.set("offers", row, lead_days="8")
    for day in range(1, 29):
        pack.set("offers", 5 + day, valid_from=f"2025-02-{day:02}")
    pack.write()
    assert statements() == few
    assert Offer.objects.count() == 32


class TestWhatASpreadsheetDoes:
    def test_a_byte_order_mark_is_read_over(self, pack):
        pack.raw("brands", b"\xef\xbb\xbf" + pack.text("brands").encode())
        assert counts(import_pack(pack.path))["brands"] == (2, 0, 0)

    def test_line_ends_of_another_system_are_read(self, pack):
        pack.raw("brands", pack.text("brands").replace("\n", "\r\n").encode())
        assert counts(import_pack(pack.path))["brands"] == (2, 0, 0)
        assert Brand.objects.get(code="umber").name == "Umber"

    def test_columns_may_stand_in_another_order(self, pack):
        pack.tables["brands"] = [list(reversed(row)) for row in pack.tables["brands"]]
        pack.write()
        import_pack(pack.path)
        assert Brand.objects.get(code="umber").name == "Umber"

    def test_empty_rows_at_the_end_are_read_over(self, pack):
        pack.raw("brands", pack.text("brands").encode() + b",\n,\n\n")
        assert counts(import_pack(pack.path))["brands"] == (2, 0, 0)

    def test_a_text_may_have_commas_quotes_and_lines(self, pack):
        text = 'Hot: do not touch, and say "stop".\nWait 10 minutes – 60 °C is enough to burn.'
        pack.set("cautions", 2, text=text)
        pack.write()
        import_pack(pack.path)
        from catalog.models import Caution

        assert Caution.objects.get().text == text

    @pytest.mark.parametrize("spelling", ["true", "True", "TRUE", "1"])
    def test_true_is_read_in_the_spellings_of_table_schema(self, pack, spelling):
        # Table Schema 1.0, boolean: trueValues are true, True, TRUE and 1 unless stated otherwise.
        pack.set("suppliers", 2, blocked=spelling)
        pack.write()
        import_pack(pack.path)
        assert Offer.objects.first().supplier.blocked is True


class TestAnotherPersonWritesInBetween:
    """The pack has been checked, and then the catalogue changes under it: the database has the last word."""

    @staticmethod
    def meanwhile(pack, write):
        def progress(what, done, total):
            if what.startswith("checking") and done == 2 * total // 3 - 1:
                write()

        with pytest.raises(Refused) as refused:
            import_pack(pack.path, progress=progress)
        return refused.value.faults

    def test_a_key_that_was_taken_is_told_with_its_file(self, pack, contents):
        written = {}

        def write():
            Brand.objects.create(code="umber", name="Umber and sons")
            written.update(contents())

        (fault,) = self.meanwhile(pack, write)
        assert (fault.where, fault.right) == ("brands.csv", "correct it and import again")
        assert fault.what == "the database refuses a row: another entry with the same key is there already"
        assert contents() == written
        assert not Event.objects.exists()

    def test_a_circle_that_was_closed_is_told_with_its_file(self, pack, contents):
        requirements = pack.tables.pop("access_step_requirements")
        pack.write()
        import_pack(pack.path)
        pack.tables["access_step_requirements"] = requirements
        pack.set("offers", 2, price="12.40")
        pack.write()
        written = {}

        def write():
            from catalog.models import AccessStep

            steps = {step.code: step for step in AccessStep.objects.all()}
            AccessStepRequirement.objects.create(step=steps["duct"], requires=steps["cover"])
            written.update(contents())

        (fault,) = self.meanwhile(pack, write)
        assert fault.where == "access_step_requirements.csv"
        assert fault.what == "the database refuses a row: access steps must not run in a circle"
        assert contents() == written
