"""Lists in the OpenAPI document: as CSV too, with chosen members too, and what a text in the query may be."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

from shop.api.filters import LONGEST
from shop.api.members import PARAMETER as FIELDS

CSV = "text/csv"
REF = "#/components/schemas/"
# Something to read in it, and no control characters.
TEXT = r"^[^\x00-\x1f\x7f-\x9f]*[^\s\x00-\x1f\x7f-\x9f][^\x00-\x1f\x7f-\x9f]*$"
CSV_WORDS = """A header row, then a record for each row of the page (RFC 4180, UTF-8). A member that is an
object becomes a column for each of its members, `part.number`; a list of plain values becomes one cell with
`; ` between them, a list of objects one cell of JSON; null is an empty cell. A cell that a spreadsheet would
take for a formula has an apostrophe put in front of it. The following page is in the header `Link`."""
LINK = {
    "description": 'rel="next": the following page (RFC 8288); not on the last one',
    "schema": {"type": "string"},
}


def document_lists(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """A drf-spectacular post-processing hook."""
    schemas = result["components"]["schemas"]
    for operation in _operations(result):
        for parameter in operation.get("parameters", []):
            if parameter["in"] == "query":
                _state_text(parameter["schema"])
        content = operation["responses"].get("200", {}).get("content", {})
        if CSV in content:
            content[CSV] = {"schema": {"type": "string", "description": CSV_WORDS.replace("\n", " ")}}
            operation["responses"]["200"].setdefault("headers", {})["Link"] = LINK
        if any(parameter["name"] == FIELDS for parameter in operation.get("parameters", [])):
            _allow_selection(content["application/json"], schemas)
    result["components"]["schemas"] = dict(sorted(schemas.items()))
    return result


def _operations(result: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for operations in result["paths"].values():
        yield from operations.values()


def _state_text(schema: dict[str, Any]) -> None:
    """A text without a stricter form of its own: what shop.api.filters.check_parameters lets through."""
    if schema.get("type") == "array":
        schema = schema["items"]
    if not schema:
        schema["type"] = "string"  # a filter with a method of its own, of which the generator knows no more
    if schema.get("type") == "string":
        if not schema.keys() & {"enum", "format", "pattern"}:
            schema |= {"minLength": 1, "pattern": TEXT}
        if "enum" not in schema and "format" not in schema:
            schema.setdefault("maxLength", LONGEST)


def _allow_selection(content: dict[str, Any], schemas: dict[str, Any]) -> None:
    """Rows are whole, or have some of their members: then those that `fields` names."""
    page = schemas[content["schema"]["$ref"].removeprefix(REF)]
    rows = page["properties"].get("results") if "results" in page.get("properties", {}) else None
    holder, key = (rows, "items") if rows else (content, "schema")
    if "anyOf" in holder[key]:
        return  # a page that two lists share
    name = holder[key]["$ref"].removeprefix(REF)
    if f"{name}Selection" not in schemas:
        some = deepcopy(schemas[name])
        some.pop("required", None)
        some |= {"description": f"{name} with the members that `{FIELDS}` names.", "minProperties": 1}
        schemas[f"{name}Selection"] = some
    holder[key] = {"anyOf": [holder[key], {"$ref": f"{REF}{name}Selection"}]}
