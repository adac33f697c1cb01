"""The spec sheet as CSV (RFC 4180) in UTF-8: a header row, then one record for each value.

Every record stands alone, so that a row copied out of the file still says which engine it belongs to, where
it comes from and whether anybody has verified it. Decimals are as stated. Cells are made safe for
spreadsheets as in shop.rules.csv_text: a text that would be taken for a formula gets an apostrophe in front.
"""

import csv
import io
from collections.abc import Iterator

from catalog.documents.words import Json
from shop.rules.csv_text import unexecuted

PLAIN = (
    "property", "name", "minimum", "nominal", "maximum", "unit", "text", "condition", "temperature_min",
    "temperature_max", "source", "source_title", "standing",
)  # fmt: skip
ALSO = ("minimum", "nominal", "maximum", "unit")
COLUMNS = (
    "family", "family_name", "part_type", "part_type_name", *PLAIN, *(f"also_{name}" for name in ALSO),
    "notice",
)  # fmt: skip


def sheet_csv(document: Json) -> str:
    """All of the document's values; the notice of demonstration data and the caution are in every record."""
    text = io.StringIO(newline="")
    writer = csv.writer(text)  # its own dialect: commas, quotes doubled, CR LF
    writer.writerow(COLUMNS)
    writer.writerows([unexecuted(value or "") for value in record] for record in _records(document))
    return text.getvalue()


def _records(document: Json) -> Iterator[list[str | None]]:
    family = document["family"]
    notice = ". ".join(text for text in (document["demonstration"], document["caution"]) if text)
    for kind in document["part_types"]:
        for value in kind["values"]:
            also = value["also"] or dict.fromkeys(ALSO)
            yield [
                family["code"], family["name"], kind["code"], kind["name"], *(value[name] for name in PLAIN),
                *(also[name] for name in ALSO), notice,
            ]  # fmt: skip
