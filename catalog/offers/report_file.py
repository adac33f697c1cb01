"""The difference report as a file, every line of it: JSON or CSV, by the name that was asked for."""

import csv
import json
import os
import tempfile
from collections.abc import Iterator
from decimal import Decimal
from errno import EISDIR
from pathlib import Path
from typing import Any, TextIO

from catalog.offers.difference import Difference, Line
from shop.rules.errors import Refused

COLUMNS = (
    "kind", "brand", "number", "supplier_number", "row", "old", "new", "amount", "percent", "currency",
    "valid_from",
)  # fmt: skip


def check_name(path: Path) -> None:
    """Raises Refused before any work where the report could not be written."""
    if path.suffix.lower() not in (".json", ".csv"):
        raise Refused.single(str(path), "is neither .json nor .csv", "name the report so")
    if not path.parent.is_dir() or path.is_dir():
        raise Refused.single(str(path), "cannot be written", "name a file in a folder that exists")


def write_report(path: Path, difference: Difference, lines: Iterator[Line]) -> None:
    """Line by line, and put in place whole: a report of a million lines is never held in memory."""
    try:
        if path.is_dir():
            raise IsADirectoryError(EISDIR, "is a folder")
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
                (_json if path.suffix.lower() == ".json" else _csv)(file, difference, lines)
            os.chmod(name, 0o644)
            os.replace(name, path)
        finally:
            if os.path.exists(name):
                os.unlink(name)
    except OSError as error:
        raise Refused.single(
            str(path), error.strerror or "cannot be written", "name a file in a folder that exists"
        ) from None


def _csv(file: TextIO, difference: Difference, lines: Iterator[Line]) -> None:
    writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(line_values(line, difference.currency) for line in lines)


def _json(file: TextIO, difference: Difference, lines: Iterator[Line]) -> None:
    head = {
        "supplier": difference.supplier,
        "file": difference.file,
        "currency": difference.currency,
        "valid_from": difference.valid_from.isoformat(),
        "complete": difference.complete,
        "hold_percent": str(difference.hold_percent),
        "dry_run": difference.dry_run,
        "counts": difference.counts,
        "warnings": list(difference.warnings),
    }
    file.write(json.dumps(head, indent=2, ensure_ascii=False).removesuffix("\n}"))
    file.write(',\n  "lines": [')
    between = "\n    "
    for line in lines:
        file.write(between + json.dumps(line_values(line, difference.currency), ensure_ascii=False))
        between = ",\n    "
    file.write("\n  ]\n}\n")


def line_values(line: Line, currency: str) -> dict[str, Any]:
    """Amounts as texts with the places of the currency, or more where they have more; None where unknown."""
    return {
        "kind": line.kind,
        "brand": line.brand,
        "number": line.number,
        "supplier_number": line.supplier_number,
        "row": line.row,
        "old": _text(line.old),
        "new": _text(line.new),
        "amount": _text(line.amount),
        "percent": None if line.percent is None else str(line.percent),
        "currency": currency,
        "valid_from": None if line.valid_from is None else line.valid_from.isoformat(),
    }


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else f"{amount:f}"
