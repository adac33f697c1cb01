"""Where the columns of an offer stand in one file, worked out from its headers."""

from collections.abc import Sequence
from dataclasses import dataclass

from catalog.offers.reading import (
    BREAK_PRICE,
    BREAK_QUANTITY,
    FIXED_BREAK,
    OWN,
    Reading,
    is_own,
    names_to_use,
)
from shop.rules.errors import Fault, Refused


@dataclass(frozen=True)
class Break:
    """One price break of a row: its price column, and either a quantity column or a fixed quantity."""

    price: int
    quantity: int | None = None
    fixed: int = 0


@dataclass(frozen=True)
class Layout:
    """`at` leads from our name to the place in the row; `headers` are the file's, for telling faults."""

    headers: tuple[str, ...]
    at: dict[str, int]
    breaks: tuple[Break, ...]
    chosen: dict[str, str]

    @property
    def width(self) -> int:
        return len(self.headers)


class ColumnsUnknown(Refused):
    """The file is readable, but somebody has to say which column is what. `headers` are the file's."""

    def __init__(self, faults: Sequence[Fault], headers: Sequence[str]) -> None:
        super().__init__(faults)
        self.headers = tuple(headers)


def layout_of(file: str, header: Sequence[str], reading: Reading) -> Layout:
    """Raises ColumnsUnknown where the columns are not all found, naming the file's headers."""
    headers = tuple(text.strip() for text in header)
    folded = [text.casefold() for text in headers]
    chosen = {name: text for name, text in reading.columns.items() if text}
    said_not = {name for name, text in reading.columns.items() if not text and name in folded}
    for text in headers:
        name = text.casefold()
        if is_own(name) and name not in chosen and name not in said_not and text not in chosen.values():
            chosen[name] = text  # guessed only where it is our own name
    if reading.brand:
        chosen.pop("brand", None)
    at: dict[str, int] = {}
    faults: list[Fault] = []
    for name, text in chosen.items():
        count = folded.count(text.casefold())
        if count == 1:
            at[name] = folded.index(text.casefold())
        else:
            what = "is not in the file" if not count else "stands twice in the header"
            faults.append(
                Fault(
                    f"{file}, row {reading.header_row}",
                    f"the column '{text}' for {name} {what}",
                    _has(headers),
                )
            )
    if not faults:
        faults = _missing(file, at, reading, headers)
    breaks, wrong = _breaks(file, at, reading.header_row)
    if faults or wrong:
        raise ColumnsUnknown([*faults, *wrong], headers)
    return Layout(
        headers, {name: at[name] for name in OWN if name in at}, breaks, chosen | dict.fromkeys(said_not, "")
    )


def _missing(file: str, at: dict[str, int], reading: Reading, headers: tuple[str, ...]) -> list[Fault]:
    where = f"{file}, row {reading.header_row}"
    faults = []
    if "price" not in at:
        faults.append(Fault(where, "no column is known to be the price", _say("price", headers)))
    if "number" not in at and "supplier_number" not in at:
        what = "no column is known to be the part number (number) or the supplier's own (supplier_number)"
        faults.append(Fault(where, what, _say("number", headers)))
    if "number" in at and "brand" not in at and not reading.brand:
        what = "part numbers need their brand, and no column is known to be it"
        faults.append(Fault(where, what, f"name one brand for the whole file, or {_say('brand', headers)}"))
    return faults


def _say(name: str, headers: tuple[str, ...]) -> str:
    return f"say which it is ({name}=HEADER); {_has(headers)}"


def _has(headers: tuple[str, ...]) -> str:
    shown = ", ".join(text or "(empty)" for text in headers[:40])
    return f"the file has {shown}{' and more' if len(headers) > 40 else ''}"


def _breaks(file: str, at: dict[str, int], row: int) -> tuple[tuple[Break, ...], list[Fault]]:
    quantities = {found[1]: at[name] for name in at if (found := BREAK_QUANTITY.fullmatch(name))}
    prices = {found[1]: at[name] for name in at if (found := BREAK_PRICE.fullmatch(name))}
    fixed = [(int(found[1]), at[name]) for name in at if (found := FIXED_BREAK.fullmatch(name))]
    faults = [
        Fault(
            f"{file}, row {row}",
            f"break_{one} has only one of its two columns",
            f"give both break_{one}_quantity and break_{one}_price",
        )
        for one in sorted(quantities.keys() ^ prices.keys())
    ]
    faults += [
        Fault(
            f"{file}, row {row}", "price_from_1 is the price itself", f"call it price; use {names_to_use()}"
        )
        for quantity, _ in fixed
        if quantity < 2
    ]
    pairs = [Break(prices[one], quantities[one]) for one in sorted(quantities.keys() & prices.keys())]
    return (*pairs, *(Break(place, None, quantity) for quantity, place in sorted(fixed))), faults
