"""The writes of one price file, all within the caller's transaction."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import AbstractBaseUser

from catalog.models import HeldPrice, PriceFile, Supplier
from catalog.offers.compare import Compared
from catalog.offers.difference import Difference
from catalog.offers.staging import CHANGES, RESOLVED, run
from shop.events import record

LONGEST_NAME = 200


def write(
    compared: Compared,
    difference: Difference,
    supplier: Supplier,
    *,
    reading: Mapping[str, Any],
    sha256: str,
    by: AbstractBaseUser | None,
    at: datetime,
) -> PriceFile:
    """Offers, price breaks, held and ended prices, the file's own record, the kept reading and the event."""
    overtaken = _overtake(supplier, at)
    _write_offers(compared)
    difference.counts["ended"] = _end_gone(compared, difference) if difference.complete else 0
    file = PriceFile.objects.create(
        supplier=supplier,
        name=difference.file[:LONGEST_NAME],
        sha256=sha256,
        valid_from=difference.valid_from,
        complete=difference.complete,
        reading=reading,
        **{
            name: difference.count(name)
            for name in ("new", "changed", "unchanged", "held", "ended", "left_out")
        },
        by_id=None if by is None else by.pk,
        at=at,
    )
    if difference.count("held"):
        run(compared.statements.hold(file.pk))
    if supplier.price_columns != reading:
        supplier.price_columns = dict(reading)
        supplier.save(update_fields=["price_columns"])
    counts = {name: count for name, count in sorted(difference.counts.items()) if count and name != "gone"}
    record(
        "price-file-taken-in",
        supplier.code,
        at=at,
        by=by,
        file=file.name,
        sha256=sha256,
        valid_from=difference.valid_from.isoformat(),
        complete=difference.complete,
        hold_percent=str(difference.hold_percent),
        **counts,
        **({"overtaken": overtaken} if overtaken else {}),
    )
    return file


def _write_offers(compared: Compared) -> None:
    statements = compared.statements
    if compared.first_file:
        run(statements.upsert(RESOLVED, "r.part_id IS NOT NULL"))
        if compared.any_breaks:
            run(statements.add_breaks(RESOLVED))
        return
    run(statements.upsert(CHANGES, "r.what IN ('new', 'changed', 'again')"))
    if compared.any_breaks:
        run(statements.drop_breaks())
        run(statements.add_breaks(CHANGES) if "breaks" in statements.given else statements.carry_breaks())


def _end_gone(compared: Compared, difference: Difference) -> int:
    """How many parts are offered no longer."""
    if compared.first_file or not difference.count("gone"):
        return 0
    statements = compared.statements
    run(statements.withdraw_gone("catalog_pricebreak"))
    run(statements.withdraw_gone("catalog_offer"))
    run(statements.end_gone(difference.valid_from - timedelta(days=1)))
    return difference.count("gone")


def _overtake(supplier: Supplier, at: datetime) -> int:
    """Prices of older files that still wait for a person, where this file speaks of the part again."""
    waiting = HeldPrice.objects.using("default").filter(
        price_file__supplier=supplier, state=HeldPrice.State.WAITING
    )
    if not waiting.exists():
        return 0
    return run(
        f"UPDATE catalog_heldprice SET state = 'overtaken', decided_at = '{at.isoformat(sep=' ')}'"
        f" WHERE state = 'waiting' AND part_id IN (SELECT part_id FROM {RESOLVED})"
        f" AND price_file_id IN (SELECT id FROM catalog_pricefile WHERE supplier_id = {supplier.pk})"
    )


def taken_before(
    supplier: Supplier, sha256: str, reading: Mapping[str, Any], complete: bool, first_day: Any
) -> PriceFile | None:
    """The supplier's last file, where it is this very one and was asked for in the same way."""
    last = PriceFile.objects.using("default").filter(supplier=supplier).order_by("-at", "-pk").first()
    if last is None or last.sha256 != sha256 or last.reading != reading or last.complete != complete:
        return None
    return last if first_day in (None, last.valid_from) else None
