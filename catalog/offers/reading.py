"""How a supplier's price file is read: which of its columns is what, and what the file leaves unsaid.

The names of our own columns are those of a data pack's offers.csv, so a file that has them needs no choosing.
Anything else is chosen once ("price=Netto,number=Art.Nr"), kept with the supplier and used the next time.
"""

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from typing import Any

from catalog.rules.pricetext import SIGNS
from shop.rules.errors import Fault, Refused

OWN = {
    "brand": "code or name of the brand; not needed where the whole file is of one brand",
    "number": "the brand's part number, in any spelling",
    "supplier_number": "the supplier's own number; enough alone where earlier offers have it",
    "price": "per piece, without tax",
    "currency": "checked against the supplier's",
    "pack": "sold in multiples of",
    "minimum_quantity": "pieces ordered at least",
    "deposit": "per piece, returned with the old core",
    "lead_days": "calendar days until it lands",
    "valid_from": "first day of the price",
    "valid_until": "last day of the price",
}
BREAK_QUANTITY = re.compile(r"break_([1-9])_quantity")
BREAK_PRICE = re.compile(r"break_([1-9])_price")
FIXED_BREAK = re.compile(r"price_from_([1-9][0-9]{0,8})")
BREAKS_SAID = (
    "break_1_quantity with break_1_price and so on to 9, or price_from_10 for the price from 10 pieces"
)
# our name="their header", our name=their header; or what is neither.
PAIR = re.compile(r'\s*([a-z0-9_]+)\s*=\s*(?:"([^"]*)"|([^",]*))\s*(?:,|$)|\s*([^,\s][^,]*)(?:,|$)')
DELIMITERS = {"comma": ",", "semicolon": ";", "tab": "\t"}


@dataclass(frozen=True)
class Reading:
    """`columns` leads from our names to the file's headers; "" and 1 where nothing has been said."""

    columns: Mapping[str, str] = field(default_factory=dict)
    brand: str = ""
    delimiter: str = ""
    decimal: str = ""
    header_row: int = 1
    sheet: str = ""

    def as_json(self) -> dict[str, Any]:
        """What has to be kept: not what the next file says itself by having our own names."""
        own = {name: header for name, header in self.columns.items() if header.casefold() != name}
        return {
            name: value
            for name, value in asdict(replace(self, columns=own)).items()
            if value not in ("", 1, {})
        }

    def said(self) -> dict[str, Any]:
        """All of it, to be kept until the file is taken in."""
        return asdict(replace(self, columns=dict(self.columns)))

    def over(self, kept: "Reading") -> "Reading":
        """This laid over what was kept with the supplier: what is said here counts.

        A column said to be nothing ("pack=") stays nothing; a brand column lets go of a fixed brand.
        """
        columns = {**kept.columns, **self.columns}
        values = {
            each.name: getattr(self, each.name) or getattr(kept, each.name)
            for each in fields(self)
            if each.name not in ("columns", "header_row")
        }
        if self.columns.get("brand") and not self.brand:
            values["brand"] = ""
        row = self.header_row if self.header_row != 1 else kept.header_row
        return Reading(columns=columns, header_row=row, **values)


def kept_reading(raw: Any) -> Reading:
    """The reading kept with a supplier; what cannot be used (edited by hand, say) is left out."""
    if not isinstance(raw, dict):
        return Reading()
    columns = raw.get("columns")
    row = raw.get("header_row")
    texts = {
        name: raw[name]
        for name in ("brand", "delimiter", "decimal", "sheet")
        if isinstance(raw.get(name), str)
    }
    if texts.get("delimiter", "") not in ("", *DELIMITERS.values()):
        texts.pop("delimiter")
    if texts.get("decimal", "") not in ("", *SIGNS):
        texts.pop("decimal")
    return Reading(
        columns={
            name: header
            for name, header in (columns.items() if isinstance(columns, dict) else ())
            if is_own(name) and isinstance(header, str)
        },
        header_row=row if isinstance(row, int) and row >= 1 else 1,
        **texts,
    )


def is_own(name: str) -> bool:
    patterns = (BREAK_QUANTITY, BREAK_PRICE, FIXED_BREAK)
    return name in OWN or any(pattern.fullmatch(name) for pattern in patterns)


def parse_columns(text: str) -> dict[str, str]:
    """ "price=Netto,number=Art.Nr" as a mapping; a header with a comma in quotes. Raises Refused."""
    found: dict[str, str] = {}
    faults: list[Fault] = []
    for said in PAIR.finditer(text):
        name, quoted, bare, wrong = said.groups()
        if wrong:
            faults.append(
                Fault("columns", f"'{wrong}' names no header", "write our name=their header, as price=Netto")
            )
        elif name is None:
            continue
        elif not is_own(name):
            faults.append(
                Fault("columns", f"there is no column '{name}' in an offer", f"use {names_to_use()}")
            )
        elif name in found:
            faults.append(Fault("columns", f"'{name}' is said twice", "say it once"))
        else:
            found[name] = (bare if quoted is None else quoted).strip()
    if faults:
        raise Refused(faults)
    return found


def names_to_use() -> str:
    return f"{', '.join(OWN)}; price breaks are {BREAKS_SAID}"
