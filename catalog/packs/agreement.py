"""What must agree within a row, and between a row and those it refers to, table by table.

Each rule is handed the row's values and the book, and gives (column, what is wrong, what would be right).
A rule says nothing where the row referred to is not there: that has been told already.
"""

from collections.abc import Callable, Iterator
from decimal import Decimal

from catalog.packs.book import Book
from catalog.packs.pack import Values
from catalog.rules.serial import SerialScheme
from shop.rules.errors import Refused

Found = Iterator[tuple[str, str, str]]
WIDTH = {"cylinder": 1, "bank": 2, "engine": 3}
NUMBERS = ("minimum", "nominal", "maximum")


def _scheme(values: Values, book: Book) -> Found:
    try:
        scheme_of(values)
    except Refused as refused:
        fault = refused.faults[0]
        yield ("digits" if "figures" in fault.what else "prefixes"), fault.what, fault.right


def scheme_of(values: Values) -> SerialScheme:
    return SerialScheme(
        str(values["code"]), tuple(str(values["prefixes"]).split()), int(str(values["digits"]))
    )


def _position(values: Values, book: Book) -> Found:
    code, scope = str(values["code"]), values["scope"]
    if (code == "engine") != (scope == "engine"):
        right = "the position 'engine', and only that, has the scope engine"
        yield "scope", f"position {code!r} has the scope {scope}", right
    family = book.get("engine_families", (values["family"],))
    if scope == "cylinder" and code.isdecimal() and family is not None:
        most = int(str(family["cylinders"]))
        if not 1 <= int(code) <= most:
            yield (
                "code",
                f"cylinder {code} of {most}",
                f"number them 1 to {most}, or correct engine_families.csv",
            )
    if values["bank"] is None:
        return
    bank = book.get("positions", (values["family"], values["bank"]))
    if scope != "cylinder":
        yield "bank", f"a position of the scope {scope} has a bank", "leave it empty: only a cylinder has one"
    elif bank is not None and bank["scope"] != "bank":
        yield "bank", f"{values['bank']} has the scope {bank['scope']}", "name a position of the scope bank"


def _part(values: Values, book: Book) -> Found:
    if values["list_price"] is None and values["list_currency"]:
        yield "list_price", "is empty although list_currency is given", "give the list price, or empty both"
    if values["list_price"] is not None and not values["list_currency"]:
        yield "list_currency", "is empty although list_price is given", "give its currency, such as EUR"


def _member(values: Values, book: Book) -> Found:
    group = book.get("interchange_groups", (values["group"],))
    part = book.get("parts", (values["part_brand"], values["part_number"]))
    if group is not None and part is not None and group["part_type"] != part["part_type"]:
        what = f"the part is a {part['part_type']}, the group is for {group['part_type']}"
        yield "part_number", what, "put parts of one type into a group"


def _application(values: Values, book: Book) -> Found:
    position = book.get("positions", (values["family"], values["position"]))
    if position is not None and position["scope"] != values["scope"]:
        what = (
            f"position {values['position']} has the scope {position['scope']}, the row has {values['scope']}"
        )
        right = f"write the scope {position['scope']}, or a position of the scope {values['scope']}"
        yield "position", what, right
    yield from _serials(values, book)


def _serials(values: Values, book: Book) -> Found:
    start, until = str(values["serial_from"] or ""), str(values["serial_until"] or "")
    family = book.get("engine_families", (values["family"],))
    if family is None or not (start or until):
        return
    described = book.get("serial_schemes", (family["serial_scheme"],))
    if described is None:
        if family["serial_scheme"] is None:
            what = f"the family {values['family']} has no serial scheme to read it by"
            yield "serial_from" if start else "serial_until", what, "name one in engine_families.csv"
        return
    try:
        scheme = scheme_of(described)
    except Refused:
        return  # told at the scheme
    readable = True
    for column, text in (("serial_from", start), ("serial_until", until)):
        try:
            scheme.check_range(text, None)
        except Refused as refused:
            readable = False
            yield column, refused.faults[0].what, refused.faults[0].right
    if readable:
        try:
            scheme.check_range(start, until)
        except Refused as refused:
            yield "serial_until", refused.faults[0].what, refused.faults[0].right


def _spec(values: Values, book: Book) -> Found:
    part = book.get("parts", (values["part_brand"], values["part_number"]))
    if part is not None and part["part_type"] != values["part_type"]:
        what = f"{values['part_type']} is not the type of the part"
        yield "part_type", what, f"write {part['part_type']}, as parts.csv does"
    measured = book.get("properties", (values["property"],))
    numbers = [column for column in NUMBERS if values[column] is not None]
    if not numbers and not values["text"]:
        yield "nominal", "no value is given", "fill in minimum, nominal, maximum or text"
    elif measured is not None and measured["unit"] and not numbers:
        what = f"{values['property']} is measured in {measured['unit']} but only a text is given"
        yield "text", what, "write the number alone into minimum, nominal or maximum"
    elif measured is not None and not measured["unit"] and numbers:
        what = f"{values['property']} is a text, it has no unit"
        yield numbers[0], what, "write the value into text, or give the property a unit in properties.csv"


def _test_point(values: Values, book: Book) -> Found:
    limits = [column for column in ("minimum", "maximum") if values[column] is not None]
    if values["kind"] == "number":
        if not values["unit"]:
            yield "unit", "a measured number has no unit", "give its UCUM code, such as Ohm, V or A"
        if not limits:
            yield "minimum", "a measured number has no limit", "give minimum, maximum or both"
        if values["lamp"]:
            yield "lamp", "a measured number says lamp on or off", "leave it empty, or write the kind lamp"
        return
    if not values["lamp"]:
        yield "lamp", "it is not said when a test lamp is good", "write on or off"
    for column in ("unit", *limits):
        if values[column]:
            yield column, "a test lamp has no number", "leave it empty, or write the kind number"
    for column in limits:
        if values[column] == Decimal(0):
            yield column, "a test lamp has no number", "leave it empty, or write the kind number"


def _operation(values: Values, book: Book) -> Found:
    component = book.get("components", (values["family"], values["repairs"]))
    if component is not None and WIDTH[str(values["scope"])] < WIDTH[str(component["scope"])]:
        what = (
            f"the scope {values['scope']} is narrower than that of {values['repairs']}, {component['scope']}"
        )
        right = (
            f"a repair takes in all it mends: write {component['scope']} or wider, or divide the component"
        )
        yield "scope", what, right


def _risk(values: Values, book: Book) -> Found:
    if values["operation"] == values["follow_on"]:
        yield "follow_on", "an operation follows on itself", "name another operation"


RULES: dict[str, Callable[[Values, Book], Found]] = {
    "serial_schemes": _scheme,
    "positions": _position,
    "parts": _part,
    "interchange_members": _member,
    "applications": _application,
    "specs": _spec,
    "test_points": _test_point,
    "operations": _operation,
    "operation_risks": _risk,
}
