"""The staged rows beside the records: which part each one is, and what it changes."""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

from catalog.models import Brand
from catalog.offers.difference import Difference
from catalog.offers.file_faults import FileFaults
from catalog.offers.staging import CHANGES, GONE, RESOLVED, Staging, fetched, one
from catalog.offers.statements import Statements
from catalog.packs.faults import LISTED


@dataclass(frozen=True)
class Compared:
    """`first_file`: the supplier offered nothing before, so every row is new and nothing was compared."""

    statements: Statements
    first_file: bool
    any_breaks: bool


def resolve(staging: Staging, statements: Statements, faults: FileFaults, *, known_only: bool) -> int:
    """Give each row its part. Tells rows without one, unless they may be left out, and parts given twice.

    The number of rows left out.
    """
    staging.make(RESOLVED, statements.resolved(), index="part_id")
    ((rows, known),) = fetched(f"SELECT COUNT(*), COUNT(part_id) FROM {RESOLVED}")
    unknown = int(rows - known)
    if unknown and not known_only:
        brands = dict(Brand.objects.using("default").values_list("pk", "name"))
        for row, brand, number, own in fetched(f"{statements.unknown()} LIMIT {LISTED}"):
            faults.add(row, *_unknown(brands, brand, number, own))
        faults.count += max(unknown - LISTED, 0)
    twice = list(fetched(f"{statements.twice()} LIMIT {LISTED}"))
    for row, first in twice:
        what = f"gives the same part as row {first}"
        faults.add(row, "", what, "keep one of them, or give them different first days")
    if len(twice) == LISTED:
        faults.count += int(one(f"SELECT COUNT(*) FROM ({statements.twice()}) t")) - LISTED
    return unknown


def _unknown(
    brands: Mapping[int, str], brand: int | None, number: str | None, own: str | None
) -> tuple[str, ...]:
    if number is not None:
        what = f"there is no part {number} of {brands.get(brand or 0, 'this brand')} on record"
        return "", what, "add it first, correct the number, or leave out what is not on record"
    what = f"no earlier offer tells alone which part the supplier's number '{own}' is"
    return "", what, "give brand and part number as well"


def compare(staging: Staging, statements: Statements, difference: Difference) -> Compared:
    """Fills the counts of the difference. What is on record is read as it stands when this is called."""
    supplier = f"supplier_id = {statements.supplier}"
    if one(f"SELECT 1 FROM catalog_offer WHERE {supplier} LIMIT 1") is None:
        rows = int(one(f"SELECT COUNT(*) FROM {RESOLVED} WHERE part_id IS NOT NULL"))
        difference.counts |= {"new": rows, "changed": 0, "held": 0, "gone": 0, "unchanged": 0}
        return Compared(statements, True, staging.any_breaks)
    held_breaks = one(
        "SELECT 1 FROM catalog_pricebreak b JOIN catalog_offer o ON o.id = b.offer_id"
        f" WHERE o.{supplier} LIMIT 1"
    )
    statements = replace(statements, held_breaks=held_breaks is not None)
    staging.make(CHANGES, statements.changes())
    staging.make(GONE, statements.gone())
    found: Counter[str] = Counter(dict(fetched(f"SELECT what, COUNT(*) FROM {CHANGES} GROUP BY what")))
    rows = int(one(f"SELECT COUNT(*) FROM {RESOLVED} WHERE part_id IS NOT NULL"))
    difference.counts |= {
        "new": found["new"] + found["again"],
        "changed": found["changed"],
        "held": found["held"],
        "gone": int(one(f"SELECT COUNT(*) FROM {GONE}")),
        "unchanged": rows - found.total(),
    }
    if statements.held_breaks and "breaks" not in statements.given:
        lost = int(one(f"SELECT COUNT(*) FROM {CHANGES} WHERE old_breaks <> '' AND breaks = ''"))
        if lost:
            difference.warnings = (
                *difference.warnings,
                f"{lost} offers with price breaks get a new price, and the file has no price breaks: "
                "the new price counts for any quantity",
            )
    return Compared(statements, False, staging.any_breaks or statements.held_breaks)
