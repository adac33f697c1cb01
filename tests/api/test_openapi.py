"""The OpenAPI document, held against the OpenAPI 3.1 schema, and the answers, held against the document."""

import re
from typing import Any

import jsonschema
import pytest
from openapi_spec_validator import OpenAPIV31SpecValidator

pytestmark = pytest.mark.django_db


@pytest.fixture
def document(as_stranger: Any) -> dict[str, Any]:
    return as_stranger.get("/api/v1/schema/").json()


def operations(document: dict[str, Any]) -> list[tuple[str, str, dict[str, Any]]]:
    return [
        (path, method, operation)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    ]


@pytest.mark.databases("sqlite")
def test_the_document_is_valid_openapi_3_1(document):
    assert document["openapi"].startswith("3.1")
    OpenAPIV31SpecValidator(document).validate()


@pytest.mark.databases("sqlite")
def test_the_generator_has_nothing_to_complain_of():
    from io import StringIO

    from django.core.management import call_command

    call_command("spectacular", "--validate", "--fail-on-warn", stdout=StringIO())


@pytest.mark.databases("sqlite")
def test_the_document_comes_as_yaml_where_that_is_asked_for(as_stranger):
    answer = as_stranger.get("/api/v1/schema/", headers={"Accept": "application/vnd.oai.openapi"})
    assert answer.status_code == 200
    assert answer.content.startswith(b"openapi: 3.1")


@pytest.mark.databases("sqlite")
def test_every_operation_documents_its_problems(document):
    for path, method, operation in operations(document):
        for status in (
            "400",
            "401",
            "500",
            *(["404"] if "{" in path else []),
            *(["422"] if method == "post" else []),
        ):
            content = operation["responses"][status]["content"]
            assert list(content) == ["application/problem+json"], (path, method, status)
            assert content["application/problem+json"]["schema"] == {"$ref": "#/components/schemas/Problem"}


@pytest.mark.databases("sqlite")
def test_every_problem_is_as_documented(document, as_stranger, ask):
    schema = {**document["components"]["schemas"]["Problem"], "components": document["components"]}
    for answer in (as_stranger.get("/api/v1/parts/"), ask("parts/", limit="0"), ask("brands/nobody/")):
        jsonschema.validate(answer.json(), schema, jsonschema.Draft202012Validator)


def decimals(node: Any) -> list[dict[str, Any]]:
    if isinstance(node, dict):
        own = [node] if node.get("format") == "decimal" else []
        return own + [found for inside in node.values() for found in decimals(inside)]
    return [found for inside in node for found in decimals(inside)] if isinstance(node, list) else []


@pytest.mark.databases("sqlite")
def test_every_decimal_is_text_with_a_pattern(document):
    found = decimals(document)
    assert len(found) > 20
    for schema in found:
        assert "string" in schema["type"]
        for text in ("0", "-1", "12.5"):
            assert re.search(schema["pattern"], text)
        for text in ("", "-", ".5", "5.", "1,5", "1e3", "NaN", "+1"):
            assert not re.search(schema["pattern"], text)


@pytest.mark.databases("sqlite")
def test_a_decimal_of_an_answer_may_have_any_number_of_places(document):
    for schema in decimals(document["components"]):
        assert re.search(schema["pattern"], "123456789012.123456")


@pytest.mark.databases("sqlite")
def test_a_filter_states_how_many_figures_its_column_holds(document):
    parameters = document["paths"]["/api/v1/offers/"]["get"]["parameters"]
    pattern = next(one["schema"]["pattern"] for one in parameters if one["name"] == "price__gte")
    # 14 figures, 4 of them behind the point.
    for text, held in (("1234567890.1234", True), ("12345678901", False), ("1.12345", False)):
        assert bool(re.search(pattern, text)) is held


@pytest.mark.databases("sqlite")
def test_no_schema_lets_a_number_be_binary(document):
    def kinds(node: Any) -> Any:
        if isinstance(node, dict):
            yield from [node.get("type")] if "type" in node else []
            for inside in node.values():
                yield from kinds(inside)
        elif isinstance(node, list):
            for inside in node:
                yield from kinds(inside)

    assert "number" not in [kind for kind in kinds(document) if isinstance(kind, str)]


@pytest.mark.databases("sqlite")
def test_what_is_answered_is_what_is_documented(document, ask, catalogue):
    checked = 0
    for path, method, operation in operations(document):
        if method != "get" or path.startswith(("/api/v1/jobs/", "/api/v1/estimates/")):
            continue  # jobs and estimates are held against the document by tests of their own
        address = path.removeprefix("/api/v1/").replace("{family}", "nk4").replace("{brand}", "lumo")
        address = address.replace("{number}", "GX-1042B")
        codes = {"makers": "norrik", "engine-families": "nk4", "part-types": "glow-plug", "brands": "lumo",
                 "properties": "torque", "sources": "nm-book", "suppliers": "north", "components": "heater",
                 "test-points": "heater-ohm", "access-steps": "cover",
                 "operations": "swap-heater", "spec-sheets": "nk4"}  # fmt: skip
        address = address.replace("{code}", codes.get(address.split("/")[0], ""))
        # The examples of required parameters, and of all of a calculator's, are a question that is answered.
        examples = {
            one["name"]: value["value"]
            for one in operation.get("parameters", ())
            for value in one.get("examples", {}).values()
            if one.get("required") or address.startswith("calculators/")
        }
        if address == "part-comparison/":
            examples = {"part": "lumo/GX-1042/B"}  # parts are the workshop's own: no example fits every data
        answer = ask(address, **examples)
        assert answer.status_code == 200, address
        schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
        strict = closed({**schema, "components": document["components"]})
        jsonschema.validate(answer.json(), strict, jsonschema.Draft202012Validator)
        checked += 1
    assert checked >= 34


def closed(node: Any) -> Any:
    """The same schema, in which an object has no members but those documented."""
    if isinstance(node, list):
        return [closed(inside) for inside in node]
    if not isinstance(node, dict):
        return node
    node = {name: closed(inside) for name, inside in node.items()}
    if node.get("type") == "object" and isinstance(node.get("properties"), dict):
        node.setdefault("additionalProperties", False)
    return node


@pytest.mark.databases("sqlite")
def test_the_page_of_the_docs_has_no_script_or_style_of_its_own(as_stranger):
    page = as_stranger.get("/api/v1/docs/").content.decode()
    assert "<style" not in page
    assert "style=" not in page
    assert all("src=" in tag for tag in re.findall(r"<script[^>]*>", page))
    assert not re.findall(r"""(?:src|href)=["']?(?:https?:)?//""", page), "something comes from another host"
    script = as_stranger.get("/api/v1/docs/?script=")
    assert script["Content-Type"].startswith("application/javascript")
    assert b"/api/v1/schema/" in script.content
