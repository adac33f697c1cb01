"""The OpenAPI 3.1 document: what the generator cannot see in serializers is added here.

Errors leave the API as problem details, whatever the view; amounts and measured values are decimal text.
"""

from collections.abc import Iterator
from typing import Any

from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView

from shop.api.conditional import ConditionalGet
from shop.api.fields import DECIMAL_PATTERN
from shop.api.problems import MEDIA_TYPE, phrase

DESCRIPTION = """
Engine families, parts, fitment, specs, offers, jobs and estimates of one workshop.

**Signing in.** Send `Authorization: Token ...`; the workshop makes a token with the command `api_token`,
which shows it once. Every token may read. Writing needs an account of the staff, or one with the Django
permission for what is written; a token of an account without permissions is a read-only token.

**Keys.** Everything is named by the codes of the workshop's own data, never by row numbers. A part is its
brand and number, in any spelling: case, spaces, dashes, dots and slashes do not count.

**Lists** come in pages of up to 500 rows; follow `next`, or the `Link` header, until there is none. A
parameter that is misspelt, empty or given twice is refused.

- `fields=number,brand` leaves each row these members, in this order.
- `ordering=price,-lead_days` sorts by price, and equal ones by lead time, longest first. Rows without a value
  come last either way. A cursor belongs to the order it was taken in. A long list can be sorted only where a
  filter leaves few of its rows: its `ordering` says beside which.
- Every list also comes as CSV: send `Accept: text/csv`. A cell that a spreadsheet would take for a formula
  has an apostrophe in front of it.

**Numbers.** Amounts and measured values are text with the decimals they are stated with; read them as
decimals.

**Changes** to a job need `If-Match` with the ETag the job was last answered with. Without it they are 428; if
somebody changed the job meanwhile they are 412, with the job as it stands now in the member `current`. Every
change answers with the whole job and its new ETag.

**Creates** take an `Idempotency-Key`: the same request with the same key gets the first answer again, for a
day; another request with the same key is refused.

**Errors** are problem details (RFC 9457). `errors` says where, what, and what would be right. The type
`not-understood` is a request that is not in the form described here; `refused` is one that is, but asks for
something that the data, or another part of the request, rules out.

**Caching.** Every GET carries an ETag; send it back in `If-None-Match`, and an answer that has not changed is
304 without a body. Each form (JSON, CSV) and each choice of members has a tag of its own.
"""

PROBLEM = {
    "type": "object",
    "description": "Problem details (RFC 9457).",
    "required": ["type", "title", "status", "detail", "instance"],
    "properties": {
        "type": {
            "type": "string",
            "format": "uri-reference",
            "description": "the kind; about:blank: its status",
        },
        "title": {"type": "string"},
        "status": {"type": "integer", "minimum": 400, "maximum": 599},
        "detail": {"type": "string", "description": "what is wrong this time, in one sentence"},
        "instance": {"type": "string", "format": "uri-reference", "description": "the address asked"},
        "errors": {
            "type": "array",
            "items": {
                "type": "object",
                "required": ["where", "what", "right"],
                "properties": {
                    "where": {"type": "string", "description": "query parameter limit, or checks[3].built"},
                    "what": {"type": "string", "description": "what is wrong there"},
                    "right": {"type": "string", "description": "what would be right"},
                },
            },
        },
    },
}

SUCCESS = {"200": "The answer.", "201": "It was made; Location says where it is."}
WITH_BODY = ("post", "put", "patch")
METHODS = ("get", "delete", *WITH_BODY)


def document_problems(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """A drf-spectacular post-processing hook: every problem of every operation, and 304 for single rows."""
    result["info"]["description"] = DESCRIPTION.strip()
    result.setdefault("components", {}).setdefault("schemas", {})["Problem"] = PROBLEM
    for path, operations in result["paths"].items():
        for method in METHODS:
            if method not in operations:
                continue
            responses = operations[method]["responses"]
            for success, words in SUCCESS.items():
                if success in responses:
                    responses[success]["description"] = words
            for status in _statuses(method, path):
                responses.setdefault(str(status), _problem(status))
            if method == "get":
                headers = responses["200"].setdefault("headers", {})
                headers["ETag"] = {"required": True, "schema": {"type": "string"}}
                responses["304"] = {"description": "Not changed since the ETag given in If-None-Match."}
                operations[method].setdefault("parameters", []).append(
                    {"name": "If-None-Match", "in": "header", "schema": {"type": "string"}}
                )
    return result


def _statuses(method: str, path: str) -> Iterator[int]:
    yield from (400, 401, 406, 500)
    if "{" in path:
        yield 404
    if method in WITH_BODY:
        yield from (413, 415, 422)
    if method != "get":
        yield 403


def _problem(status: int) -> dict[str, Any]:
    return {
        "description": phrase(status),
        "content": {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }


def pattern_decimals(result: dict[str, Any], generator: Any, request: Any, public: bool) -> dict[str, Any]:
    """A drf-spectacular post-processing hook: decimal text has at least one digit, and a point if any.

    The generator's own pattern would allow an empty text.
    """
    for schema in _schemas(result):
        if schema.get("format") == "decimal" and not schema.get("pattern", "").startswith("^-?[0-9]"):
            schema["pattern"] = DECIMAL_PATTERN
    return result


def _schemas(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        yield node
        for inside in node.values():
            yield from _schemas(inside)
    elif isinstance(node, list):
        for inside in node:
            yield from _schemas(inside)


class Document(ConditionalGet, SpectacularAPIView):
    """The document: JSON unless YAML is asked for."""

    renderer_classes = [OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer]


class Docs(SpectacularSwaggerSplitView):
    """The document to read and try, without inline script or style: our content security policy bars them."""

    url_name = "api:schema"
    template_name = "api/docs.html"
