"""Taking a supplier's price file in: all of it, or nothing.

The file is read, checked and given its parts outside any write transaction; then one transaction compares it
with what is on record at that moment and writes what differs.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

from django.contrib.auth.models import AbstractBaseUser
from django.db import DatabaseError, IntegrityError, transaction

from catalog.models import Brand, Supplier
from catalog.offers.compare import Compared, compare, resolve
from catalog.offers.dialect import dialect
from catalog.offers.difference import Difference, Line, all_lines, first_lines
from catalog.offers.file_faults import FileFaults
from catalog.offers.files import Sheet, digest, opened
from catalog.offers.layout import layout_of
from catalog.offers.reading import Reading, kept_reading
from catalog.offers.rows import Rows
from catalog.offers.staging import RESOLVED, Staging, one
from catalog.offers.statements import Statements
from catalog.offers.write import taken_before, write
from shop.integrity import refusal
from shop.rules.errors import Refused

Progress = Callable[[str, int], None]
Report = Callable[[Difference, Iterator[Line]], None]


@dataclass(frozen=True)
class Asked:
    """What a person asks for with a file. `hold_percent` None is the supplier's own.

    `again` takes even the same file as last time; `known_only` leaves out rows whose part is not on record,
    instead of refusing the file for them.
    """

    reading: Reading = field(default_factory=Reading)
    valid_from: date | None = None
    complete: bool = False
    hold_percent: Decimal | None = None
    known_only: bool = False
    again: bool = False


@dataclass(frozen=True)
class Who:
    """Whose hand it is, and when: the clock is read once, by the caller."""

    at: datetime
    today: date
    by: AbstractBaseUser | None = None


def import_offers(
    path: Path,
    supplier_code: str,
    asked: Asked,
    who: Who,
    *,
    name: str = "",
    dry_run: bool = False,
    progress: Progress | None = None,
    report: Report | None = None,
) -> Difference:
    """Compare the file with what the supplier offers and, unless it is a dry run, write what differs.

    `progress` is called with what is being done and how much of it, of 1000; `report` with the difference and
    an iterator over every line of it. Raises Refused with every fault of the file (the first 50, and how many
    more); then nothing was written.
    """
    step: Progress = progress or (lambda what, done: None)
    name = name or path.name
    supplier = supplier_coded(supplier_code)
    hold = supplier.hold_percent if asked.hold_percent is None else asked.hold_percent
    if not 0 <= hold < 10_000:
        raise Refused.single("hold", f"{hold} is no percentage to hold by", "give 0 to 9999.9")
    reading = asked.reading.over(kept_reading(supplier.price_columns))
    difference = Difference(
        supplier.code, supplier.name, supplier.currency, name, asked.valid_from or who.today, asked.complete,
        hold, dry_run,
    )  # fmt: skip
    with opened(path, name, reading) as sheet:
        rows = _rows(sheet, name, reading, supplier, difference.valid_from, asked.known_only)
        kept, sha256 = replace(reading, columns=rows.layout.chosen).as_json(), digest(path)
        before = taken_before(supplier, sha256, kept, asked.complete, asked.valid_from)
        if before and not asked.again:
            difference.taken_before = f"{before.at:%Y-%m-%d} as {before.name}"
            return difference
        with Staging(rows.columns) as staging:
            statements = _staged(staging, sheet, rows, difference, supplier, asked.known_only, step)
            step("comparing and writing" if not dry_run else "comparing", 1000)
            if dry_run:
                _report(compare(staging, statements, difference), difference, report)
            else:
                with _told(name), transaction.atomic():
                    Supplier.objects.select_for_update(no_key=True).get(pk=supplier.pk)
                    compared = compare(staging, statements, difference)
                    write(compared, difference, supplier, reading=kept, sha256=sha256, by=who.by, at=who.at)
                    _report(compared, difference, report)
    return difference


def _rows(
    sheet: Sheet, name: str, reading: Reading, supplier: Supplier, valid_from: date, known_only: bool
) -> Rows:
    layout = layout_of(name, sheet.header, reading)
    brands: dict[str, int] = {}
    for pk, code, label in Brand.objects.using("default").values_list("pk", "code", "name"):
        brands[label.casefold()] = pk
        brands[code.casefold()] = pk
    fixed = brands.get(reading.brand.casefold()) if reading.brand else None
    if reading.brand and fixed is None:
        raise Refused.single(
            "brand", f"there is no brand '{reading.brand}'", "give the code or the name of a brand on record"
        )
    return Rows(
        layout,
        decimal=reading.decimal,
        nothing=dialect().nothing,
        brands=brands,
        fixed_brand=fixed,
        currency=supplier.currency,
        valid_from=valid_from,
        leave_out_unknown=known_only,
    )


def _staged(
    staging: Staging,
    sheet: Sheet,
    rows: Rows,
    difference: Difference,
    supplier: Supplier,
    known_only: bool,
    step: Progress,
) -> Statements:
    """Read the whole file into the staging tables and give each row its part. Raises Refused."""
    faults = FileFaults(difference.file)
    statements = Statements(
        staging.dialect, supplier.pk, rows.columns[1:], difference.valid_from, difference.hold_percent
    )
    step("reading", 0)
    with staging.filling():
        for chunk in sheet.chunks:
            staging.add(rows.staged(chunk, faults))
            step("reading", chunk.done)
        staging.flush()
        step("looking the parts up", 1000)
        statements = replace(statements, by_own_number=rows.by_own_number)
        unknown = resolve(staging, statements, faults, known_only=known_only)
    faults.refuse()
    difference.counts["left_out"] = unknown
    if one(f"SELECT 1 FROM {RESOLVED} WHERE part_id IS NOT NULL LIMIT 1") is None:
        raise Refused.single(
            difference.file, "has no row with a part that is on record", "look whether it is the right file"
        )
    if rows.dearer_rows:
        difference.warnings = (_dearer(list(rows.dearer_rows)),)
    if "valid_from" in rows.columns:
        first = one(f"SELECT MIN(valid_from) FROM {RESOLVED} WHERE part_id IS NOT NULL")
        difference.valid_from = date.fromisoformat(str(first))
        statements = replace(statements, first_day=difference.valid_from)
    return statements


def _dearer(rows: list[str]) -> str:
    shown = ", ".join(rows[:10]) + (f" and {len(rows) - 10} more" if len(rows) > 10 else "")
    return f"price breaks dearer than the price of a single piece: row{'s' * (len(rows) > 1)} {shown}"


def _report(compared: Compared, difference: Difference, report: Report | None) -> None:
    difference.lines = first_lines(compared.first_file)
    if report:
        report(difference, all_lines(compared.first_file))


class _told:
    """Turns what the database refuses into a fault of the file; the transaction is rolled back by then."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __enter__(self) -> None: ...

    def __exit__(self, kind: object, error: BaseException | None, trace: object) -> None:
        if isinstance(error, IntegrityError):
            raise Refused.single(
                self.name, f"the database refuses it: {refusal(error)}", "correct it and import again"
            ) from error
        if isinstance(error, DatabaseError):
            raise Refused.single(
                "the database", f"it cannot be written now ({error})", "try again"
            ) from error


def supplier_coded(code: str) -> Supplier:
    try:
        return Supplier.objects.using("default").get(code=code)
    except Supplier.DoesNotExist:
        known = ", ".join(Supplier.objects.values_list("code", flat=True)[:20]) or "none yet"
        raise Refused.single("supplier", f"there is no supplier '{code}'", f"on record: {known}") from None
