"""The shapes that every published schema keeps to, whoever reads it."""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import jsonschema
import jsonschema_rs
import pytest

Json = Any

PUBLISHED = {
    path.stem: json.loads(path.read_text(encoding="utf-8"))
    for path in sorted((Path(__file__).parents[2] / "schema" / "v1").glob("*.json"))
}


class Node(NamedTuple):
    """One subschema: where it stands, and whether it describes a value or only tests one."""

    pointer: str
    schema: Json
    named: bool


#: what is sent is closed, what is answered is open
REQUESTS = {"splice-spec", "inspection-request", "calibration-request", "cutlist-request"}
TESTS = ("allOf", "oneOf", "if", "then", "else", "not", "contains")
DESCRIBED = ("title", "description", "examples")
UNKNOWN_TO_SOME = ("format", "unevaluatedProperties", "unevaluatedItems", "$dynamicRef")


def nodes(schema: Json, pointer: str = "#", *, named: bool = True) -> Iterator[Node]:
    """Every subschema of a schema, itself included."""
    yield Node(pointer, schema, named)
    if not isinstance(schema, dict):
        return
    for key, value in schema.items():
        at = f"{pointer}/{key}"
        if key in ("properties", "$defs"):
            for name, child in value.items():
                yield from nodes(child, f"{at}/{name}", named=named)
        elif key in ("items", "additionalProperties", "propertyNames"):
            yield from nodes(value, at, named=named)
        elif key == "anyOf":
            for n, child in enumerate(value):
                yield from nodes(child, f"{at}/{n}", named=named)
        elif key in TESTS:
            for n, child in enumerate(value if isinstance(value, list) else [value]):
                yield from nodes(child, f"{at}/{n}", named=False)


def undescribed(node: Node, _whole: Json) -> Iterator[str]:
    """Title, description and examples, but for what only points elsewhere."""
    own = set(node.schema) - {"$ref"}
    if node.pointer.endswith("/propertyNames") or not own or node.schema == {"type": "null"}:
        return
    wanted = ["title", "description"] if node.pointer == "#" else list(DESCRIBED)
    yield from (f"no {word}" for word in wanted if not node.schema.get(word))


def unbounded(node: Node, _whole: Json) -> Iterator[str]:
    """What has no bound that a client could reserve room for."""
    schema = node.schema
    if "enum" in schema or "const" in schema:
        return
    match schema.get("type"):
        case "string" if "maxLength" not in schema:
            yield "text of any length"
        case "array" if "maxItems" not in schema:
            yield "list of any length"
        case "number" | "integer":
            for bound, strict in (("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")):
                if bound not in schema and strict not in schema:
                    yield f"number without {bound}"
        case "object" if isinstance(schema.get("additionalProperties"), dict):
            if "maxProperties" not in schema:
                yield "any number of properties"


def wrong_examples(node: Node, whole: Json) -> Iterator[str]:
    """Examples that the schema they stand in refuses."""
    here = {"$defs": whole.get("$defs", {})} | node.schema
    judge = jsonschema_rs.Draft202012Validator(here)
    for example in node.schema.get("examples", []):
        yield from (f"example: {error.message}" for error in judge.iter_errors(example))


def odd_shapes(node: Node, _whole: Json) -> Iterator[str]:
    """What validators, generators and strict modes do not agree on."""
    schema, last = node.schema, node.pointer.rpartition("/")[2]
    if isinstance(schema, bool):
        if schema or last != "additionalProperties":
            yield "boolean subschema"
        return
    yield from (f"has {key}" for key in schema if key in UNKNOWN_TO_SOME or key.startswith("x-"))
    if "required" in schema:
        if schema.get("type") != "object":
            yield "required without type"
        missing = set(schema["required"]) - set(schema.get("properties", {}))
        yield from (f"required, not among properties: {name}" for name in sorted(missing))
    pattern = schema.get("pattern")
    if isinstance(pattern, str):
        bare = re.sub(r"\\.|\[[^\]]*\]", "", pattern)
        if "$" in bare:
            yield "pattern anchored with $"
        if not pattern.startswith("^") or not pattern.endswith(r"(?![\s\S])"):
            yield "pattern that does not take the whole text"


def same_types(node: Node, whole: Json) -> Iterator[str]:
    """A choice whose branches are not told apart by their JSON type."""
    branches = node.schema.get("anyOf", [])
    types: list[str] = []
    for branch in branches:
        found = branch
        while "$ref" in found:
            found = whole["$defs"][found["$ref"].removeprefix("#/$defs/")]
        types.append(found.get("type", "any"))
    if len(set(types)) < len(types):
        yield f"branches of one type: {types}"


def lost_references(node: Node, whole: Json) -> Iterator[str]:
    """A reference that leads nowhere in this document."""
    target = node.schema.get("$ref")
    if target and target.removeprefix("#/$defs/") not in whole["$defs"]:
        yield f"leads nowhere: {target}"


Rule = Callable[[Node, Json], Iterator[str]]
OF_VALUES: tuple[Rule, ...] = (undescribed, unbounded, wrong_examples, same_types)
OF_ALL: tuple[Rule, ...] = (odd_shapes, lost_references)


def violations(schema: Json, rule: Rule) -> list[str]:
    return [
        f"{node.pointer}: {what}"
        for node in nodes(schema)
        if rule is odd_shapes or isinstance(node.schema, dict)
        if node.named or rule in OF_ALL
        for what in rule(node, schema)
    ]


@pytest.mark.parametrize("name", PUBLISHED)
def test_it_is_a_schema_of_the_2020_draft(name: str) -> None:
    schema = PUBLISHED[name]
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["$id"] == f"https://tuckmark.example/schema/v1/{name}.json"
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema_rs.meta.validate(schema)


@pytest.mark.parametrize("name", PUBLISHED)
def test_every_definition_is_used(name: str) -> None:
    schema = PUBLISHED[name]
    used = {node.schema.get("$ref") for node in nodes(schema) if isinstance(node.schema, dict)}
    assert {f"#/$defs/{definition}" for definition in schema.get("$defs", {})} <= used


#: a number that echoes what was sent may be any number
_ECHO = [
    "#/$defs/given/anyOf/1: number without minimum",
    "#/$defs/given/anyOf/1: number without maximum",
]
EXCUSED: dict[tuple[str, Rule], list[str]] = {
    ("problem", unbounded): _ECHO,
    ("validation-report", unbounded): _ECHO,
}


@pytest.mark.parametrize("rule", [*OF_VALUES, *OF_ALL], ids=lambda rule: rule.__name__)
@pytest.mark.parametrize("name", PUBLISHED)
def test_it_keeps_to_the_house_shapes(name: str, rule: Rule) -> None:
    assert violations(PUBLISHED[name], rule) == EXCUSED.get((name, rule), [])


@pytest.mark.parametrize("name", [name for name in PUBLISHED if name not in REQUESTS])
def test_answers_are_open(name: str) -> None:
    closed = [
        node.pointer
        for node in nodes(PUBLISHED[name])
        if node.schema.get("additionalProperties") is False
    ]
    assert closed == []


@pytest.mark.parametrize(
    ("rule", "schema", "said"),
    [
        (undescribed, {"type": "string"}, "no title"),
        (undescribed, {"title": "t", "description": "d", "type": "string"}, "no examples"),
        (unbounded, {"type": "string"}, "text of any length"),
        (unbounded, {"type": "array"}, "list of any length"),
        (unbounded, {"type": "number", "minimum": 0}, "number without maximum"),
        (unbounded, {"type": "integer", "maximum": 0}, "number without minimum"),
        (unbounded, {"type": "object", "additionalProperties": {}}, "any number of properties"),
        (wrong_examples, {"type": "string", "examples": [1]}, "example: 1 is not of type"),
        (odd_shapes, {"type": "string", "format": "uri"}, "has format"),
        (odd_shapes, True, "boolean subschema"),
        (odd_shapes, {"required": ["a"], "properties": {"a": {}}}, "required without type"),
        (odd_shapes, {"type": "object", "required": ["a"]}, "required, not among properties: a"),
        (odd_shapes, {"pattern": "^a$"}, "pattern anchored with $"),
        (odd_shapes, {"pattern": "^a"}, "pattern that does not take the whole text"),
        (same_types, {"anyOf": [{"type": "null"}, {"type": "null"}]}, "branches of one type"),
        (lost_references, {"$ref": "#/$defs/b"}, "leads nowhere: #/$defs/b"),
    ],
)
def test_a_rule_finds_what_it_looks_for(rule: Rule, schema: Json, said: str) -> None:
    whole = {"$defs": {}, "properties": {"a": schema}}
    assert any(said in found for found in violations(whole, rule))
