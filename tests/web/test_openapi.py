"""The OpenAPI document: fresh, complete, and true about its own examples."""

import json
from collections.abc import Iterator
from typing import Any

import jsonschema
import pytest

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.web import components, openapi, problems
from tuckmark.web.operations import OPERATIONS
from tuckmark.web.table import Operation

DOCUMENT: dict[str, Any] = json.loads(published.openapi())
EVERY = pytest.mark.parametrize("operation", OPERATIONS, ids=lambda item: item.id)


def described(operation: Operation) -> dict[str, Any]:
    found: dict[str, Any] = DOCUMENT["paths"][operation.path][operation.method.lower()]
    return found


def test_it_is_fresh() -> None:
    assert openapi.document(default_pipeline()) == DOCUMENT


def test_its_operations_are_the_tables() -> None:
    found = {
        (path, method.upper(), item["operationId"])
        for path, methods in DOCUMENT["paths"].items()
        for method, item in methods.items()
    }
    assert found == {(item.path, item.method, item.id) for item in OPERATIONS}


@EVERY
def test_every_status_is_documented(operation: Operation) -> None:
    expected = {"200", *(str(problems.status_of(code)) for code in operation.all_problems)}
    if operation.tagged:
        expected.add("304")
    assert described(operation)["responses"].keys() == expected


@EVERY
def test_every_code_is_shown_with_its_status(operation: Operation) -> None:
    for code in operation.all_problems:
        response = described(operation)["responses"][str(problems.status_of(code))]
        shown = response["content"]["application/problem+json"]["examples"]
        assert shown[code]["value"]["type"].endswith(f"/{code}")


@EVERY
def test_everything_is_described(operation: Operation) -> None:
    item = described(operation)
    assert item["summary"]
    assert item["description"]
    assert set(item["tags"]) <= {tag["name"] for tag in DOCUMENT["tags"]}
    for parameter in item["parameters"]:
        assert "$ref" in parameter or (parameter["description"] and "example" in parameter)


def examples() -> Iterator[Any]:
    for path, methods in DOCUMENT["paths"].items():
        for method, item in methods.items():
            answers = item["responses"].values()
            for holder in (*answers, *([item["requestBody"]] if "requestBody" in item else [])):
                for content in holder.get("content", {}).values():
                    for name, example in content.get("examples", {}).items():
                        yield pytest.param(
                            content["schema"], example["value"], id=f"{method}-{path}-{name}"
                        )


@pytest.mark.parametrize(("schema", "example"), list(examples()))
def test_examples_keep_their_schema(schema: dict[str, Any], example: Any) -> None:
    whole = {**schema, "components": DOCUMENT["components"]}
    errors = list(jsonschema.Draft202012Validator(whole).iter_errors(example))
    assert [error.message for error in errors] == []


@pytest.mark.parametrize("name", list(DOCUMENT["components"]["schemas"]))
def test_examples_of_components_keep_their_schema(name: str) -> None:
    places = list(schemas_with_examples(DOCUMENT["components"]["schemas"][name]))
    for schema in places:
        whole = {**schema, "components": DOCUMENT["components"]}
        for example in schema["examples"]:
            errors = list(jsonschema.Draft202012Validator(whole).iter_errors(example))
            assert [error.message for error in errors] == []
    assert DOCUMENT["components"]["schemas"][name]["title"]
    assert DOCUMENT["components"]["schemas"][name]["description"]


def schemas_with_examples(value: Any) -> Iterator[dict[str, Any]]:
    if isinstance(value, dict):
        if isinstance(value.get("examples"), list):
            yield value
        for key, item in value.items():
            if key != "examples":
                yield from schemas_with_examples(item)
    elif isinstance(value, list):
        for item in value:
            yield from schemas_with_examples(item)


def references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("$ref"), str):
            yield value["$ref"]
        for item in value.values():
            yield from references(item)
    elif isinstance(value, list):
        for item in value:
            yield from references(item)


def test_every_reference_leads_somewhere_within() -> None:
    used = set(references(DOCUMENT))
    for reference in used:
        assert reference.startswith("#/components/")
        place: Any = DOCUMENT
        for key in reference.split("/")[1:]:
            place = place[key]
    named = {f"#/components/schemas/{name}" for name in DOCUMENT["components"]["schemas"]}
    assert named <= used


@pytest.mark.parametrize(("component", "name"), list(components.PUBLISHED.items()))
def test_components_judge_as_the_published_schemas(component: str, name: str) -> None:
    """Bundling renames and rewrites; it must not change a single rule."""
    published_schema = published.schema(name)
    back = json.dumps(DOCUMENT["components"]["schemas"])
    for definition in published_schema.get("$defs", {}):
        camel = "".join(part[:1].upper() + part[1:] for part in definition.split("_"))
        back = back.replace(f'"#/components/schemas/{component}{camel}"', f'"#/$defs/{definition}"')
    schemas = json.loads(back)
    for definition, rule in published_schema.get("$defs", {}).items():
        camel = "".join(part[:1].upper() + part[1:] for part in definition.split("_"))
        assert schemas[component + camel] == rule | {"title": component + camel}
    whole = {
        key: value
        for key, value in published_schema.items()
        if key not in ("$schema", "$id", "$defs")
    }
    assert schemas[component] == whole | {"title": component}
