"""The gate between releases: right on changes that break and on changes that do not, and shut."""

import copy
import importlib
import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema_rs
import pytest

import tuckmark
from tuckmark import published
from tuckmark.families import REGISTRY
from tuckmark.pipeline import default_pipeline

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "deploy"))
compatibility = importlib.import_module("compatibility")
RELEASE = ROOT / "schema" / "released" / compatibility.last_release().name
SPEC = published.schema("splice-spec")
PLAN = published.schema("splice-plan")
OPENAPI: dict[str, Any] = json.loads(published.openapi())

Json = dict[str, Any]
Change = Callable[[Json], Any]


def defs(schema: Json, name: str) -> Any:
    return schema["$defs"][name]


def properties(schema: Json, name: str) -> Any:
    return schema["$defs"][name]["properties"]


def plans(document: Json) -> Any:
    return document["paths"]["/v1/plans"]["post"]


def fields(document: Json) -> Any:
    """The parameter of plans that takes names."""
    return next(item for item in plans(document)["parameters"] if item.get("name") == "fields")


def put(holder: Json, *path: str, value: Any) -> None:
    for key in path[:-1]:
        holder = holder[key]
    holder[path[-1]] = value


def another_family(schema: Json) -> None:
    """As a release adds one: a value, its branch, a property that the other families forbid."""
    join = defs(schema, "join")
    join["properties"]["splice"]["enum"].append("crown_join")
    join["properties"]["crowns"] = {"type": "integer", "minimum": 1, "maximum": 9}
    for branch in join["allOf"]:
        if "splice" in branch.get("if", {}).get("properties", {}):
            branch["then"]["properties"]["crowns"] = {"not": {}}
    join["allOf"].append(
        {
            "if": {
                "type": "object",
                "required": ["splice"],
                "properties": {"splice": {"const": "crown_join"}},
            },
            "then": {
                "type": "object",
                "required": ["crowns"],
                "properties": {"crowns": {}, "turns": {"not": {}}},
            },
        }
    )


def rename_a_type(document: Json) -> None:
    document["components"]["schemas"]["Info"] = document["components"]["schemas"].pop("About")
    renamed = json.loads(json.dumps(document).replace('schemas/About"', 'schemas/Info"'))
    document.update(renamed)


SPEC_BREAKS: dict[str, Change] = {
    "a value less": lambda schema: defs(schema, "fibre")["enum"].remove("cotton"),
    "a property needed": lambda schema: defs(schema, "rope")["required"].append("coating"),
    "a property gone": lambda schema: properties(schema, "job").pop("item"),
    "a lower most": lambda schema: put(properties(schema, "job"), "quantity", "maximum", value=99),
    "a higher least": lambda schema: put(properties(schema, "join"), "turns", "minimum", value=6),
    "shorter texts": lambda schema: defs(schema, "short_text").update(maxLength=59),
    "another grammar": lambda schema: defs(schema, "force_text").update(pattern="^[0-9]+ kN$"),
    "another type": lambda schema: put(properties(schema, "use"), "wet", "type", value="string"),
    "a form less": lambda schema: defs(schema, "length")["anyOf"].pop(),
    "a rule more": lambda schema: schema["allOf"].append(
        {"if": {"type": "object", "required": ["job"], "properties": {"job": {}}},
         "then": {"type": "object", "required": ["use"], "properties": {"use": {}}}}
    ),
    "needed with a choice": lambda schema: defs(schema, "eye")["allOf"][1]["then"][
        "required"
    ].append("captive"),
    "forbidden with a choice": lambda schema: put(
        defs(schema, "eye")["allOf"][1]["then"], "properties", "captive", value={"not": {}}
    ),
    "a closed object in place of an open one": lambda schema: put(
        properties(schema, "job"), "references", "additionalProperties", value=False
    ),
    "an old version no longer": lambda schema: put(
        schema["properties"], "schema_version", "enum", value=["2.0"]
    ),
}  # fmt: skip
SPEC_KEEPS: dict[str, Change] = {
    "other words": lambda schema: defs(schema, "rope").update(description="Another."),
    "another example": lambda schema: defs(schema, "fibre").update(examples=["nylon"]),
    "a value more": lambda schema: defs(schema, "fibre")["enum"].append("jute"),
    "an optional property": lambda schema: properties(schema, "job").update(
        berth={"type": "string"}
    ),
    "a property no longer needed": lambda schema: defs(schema, "rope")["required"].remove("fibre"),
    "a higher most": lambda schema: put(
        properties(schema, "job"), "quantity", "maximum", value=1e5
    ),
    "a lower least": lambda schema: put(properties(schema, "join"), "turns", "minimum", value=4),
    "longer texts": lambda schema: defs(schema, "short_text").update(maxLength=80),
    "a form more": lambda schema: defs(schema, "length")["anyOf"].append({"type": "number"}),
    "another family": another_family,
    "a whole number becomes any": lambda schema: put(
        properties(schema, "end"), "tucks", "type", value="number"
    ),
    "a rule less": lambda schema: schema.pop("allOf"),
    "a later version too": lambda schema: schema["properties"]["schema_version"]["enum"].append(
        "1.1"
    ),
}
PLAN_BREAKS: dict[str, Change] = {
    "a property not always there": lambda schema: schema["required"].remove("usable"),
    "a property gone": lambda schema: schema["properties"].pop("marks"),
    "null where there was none": lambda schema: put(
        schema["properties"], "usable", "type", value=["boolean", "null"]
    ),
    "a severity more": lambda schema: defs(schema, "severity")["enum"].append("fatal"),
    "a figure as a text": lambda schema: put(
        properties(schema, "length_figure"), "mm", "type", value="string"
    ),
    "longer texts": lambda schema: put(
        properties(schema, "warning"), "message", "maxLength", value=10**6
    ),
}
PLAN_KEEPS: dict[str, Change] = {
    "a property more": lambda schema: schema["properties"].update(colour={"type": "string"}),
    "a property more, always there": lambda schema: (
        schema["properties"].update(colour={"type": "string"}),
        schema["required"].append("colour"),
    ),
    "now always there": lambda schema: defs(schema, "length_figure").update(
        required=[*properties(schema, "length_figure")]
    ),
    "a value less": lambda schema: defs(schema, "severity")["enum"].remove("info"),
    "other words": lambda schema: schema.update(description="Another."),
}
OPENAPI_BREAKS: dict[str, Change] = {
    "a route gone": lambda document: document["paths"].pop("/v1/sources"),
    "a method gone": lambda document: document["paths"]["/v1/plans"].pop("post"),
    "a parameter gone": lambda document: plans(document)["parameters"].pop(0),
    "a parameter needed": lambda document: plans(document)["parameters"][0].update(required=True),
    "a new parameter needed": lambda document: plans(document)["parameters"].append(
        {"name": "loft", "in": "query", "required": True, "schema": {"type": "string"}}
    ),
    "a parameter's value gone": lambda document: fields(document)["schema"]["items"][
        "enum"
    ].remove("marks"),
    "another name of an operation": lambda document: plans(document).update(operationId="plan"),
    "a media type gone": lambda document: document["paths"]["/schema/v1/{name}.json"]["get"][
        "responses"
    ]["200"]["content"].pop("application/json"),
    "another media type first": lambda document: put(
        plans(document)["responses"]["200"], "content",
        value={"text/turtle": {"schema": {}}, **plans(document)["responses"]["200"]["content"]},
    ),
    "the success gone": lambda document: plans(document)["responses"].pop("200"),
    "another success": lambda document: plans(document)["responses"].update(
        {"202": {"description": "later"}}
    ),
    "a header gone": lambda document: plans(document)["responses"]["200"]["headers"].pop(
        "X-Request-ID"
    ),
    "a spec's value gone": lambda document: document["components"]["schemas"]["SpliceSpecFibre"][
        "enum"
    ].remove("cotton"),
    "an answer's property gone": lambda document: document["components"]["schemas"]["About"][
        "properties"
    ].pop("engine"),
    "a type renamed": rename_a_type,
    "JSON no longer taken": lambda document: plans(document)["requestBody"]["content"].pop(
        "application/json"
    ),
}  # fmt: skip
OPENAPI_KEEPS: dict[str, Change] = {
    "a route more": lambda document: document["paths"].update(
        {"/v1/lofts": {"get": document["paths"]["/livez"]["get"]}}
    ),
    "a method more": lambda document: document["paths"]["/livez"].update(
        post=document["paths"]["/livez"]["get"]
    ),
    "an optional parameter": lambda document: plans(document)["parameters"].append(
        {"name": "loft", "in": "query", "required": False, "schema": {"type": "string"}}
    ),
    "a parameter's value more": lambda document: fields(document)["schema"]["items"]["enum"].append(
        "knots"
    ),
    "a media type more": lambda document: plans(document)["responses"]["200"]["content"].update(
        {"text/turtle": {"schema": {"type": "string"}}}
    ),
    "an error's status more": lambda document: plans(document)["responses"].update(
        {"429": plans(document)["responses"]["413"]}
    ),
    "other words": lambda document: plans(document).update(summary="Another.", description="?"),
    "a header more": lambda document: plans(document)["responses"]["200"]["headers"].update(
        {"X-Loft": {"schema": {"type": "string"}}}
    ),
    "an answer's property more": lambda document: document["components"]["schemas"]["About"][
        "properties"
    ].update(loft={"type": "string"}),
    "a spec's value more": lambda document: document["components"]["schemas"]["SpliceSpecFibre"][
        "enum"
    ].append("jute"),
    "a type more": lambda document: document["components"]["schemas"].update(Loft={}),
    "another body taken too": lambda document: plans(document)["requestBody"]["content"].update(
        {"application/cbor": {"schema": {"type": "string"}}}
    ),
}


def changed(document: Json, change: Change) -> Json:
    new = copy.deepcopy(document)
    change(new)
    assert new != document
    return new


def cases(changes: dict[str, Change]) -> Any:
    return pytest.mark.parametrize("change", changes.values(), ids=list(changes))


@cases(SPEC_BREAKS)
def test_a_spec_schema_that_breaks(change: Change) -> None:
    found = compatibility.of_schemas(SPEC, changed(SPEC, change), "taken")
    assert any(finding.breaking for finding in found)


@cases(SPEC_KEEPS)
def test_a_spec_schema_that_does_not(change: Change) -> None:
    found = compatibility.of_schemas(SPEC, changed(SPEC, change), "taken")
    assert [finding for finding in found if finding.breaking] == []


@cases(PLAN_BREAKS)
def test_a_plan_schema_that_breaks(change: Change) -> None:
    found = compatibility.of_schemas(PLAN, changed(PLAN, change), "given")
    assert any(finding.breaking for finding in found)


@cases(PLAN_KEEPS)
def test_a_plan_schema_that_does_not(change: Change) -> None:
    found = compatibility.of_schemas(PLAN, changed(PLAN, change), "given")
    assert [finding for finding in found if finding.breaking] == []


@cases(OPENAPI_BREAKS)
def test_a_description_that_breaks(change: Change) -> None:
    found = compatibility.of_descriptions(OPENAPI, changed(OPENAPI, change))
    assert any(finding.breaking for finding in found)


@cases(OPENAPI_KEEPS)
def test_a_description_that_does_not(change: Change) -> None:
    found = compatibility.of_descriptions(OPENAPI, changed(OPENAPI, change))
    assert [finding for finding in found if finding.breaking] == []


def test_every_published_schema_passes_the_gate() -> None:
    assert {f"{name}.json" for name in published.schema_files()} == set(compatibility.SCHEMAS)


def test_nothing_changes_from_itself() -> None:
    assert compatibility.of_schemas(SPEC, SPEC, "taken") == []
    assert compatibility.of_schemas(PLAN, PLAN, "given") == []
    assert compatibility.of_descriptions(OPENAPI, OPENAPI) == []


def gate(folder: Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, str(ROOT / "deploy" / "compatibility.py")]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)


def test_nothing_breaks_with_what_was_released() -> None:
    done = gate(ROOT)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize(("version", "code"), [("1.1.0", 1), ("2.0.0", 0)])
def test_only_a_new_major_version_opens_the_gate(tmp_path: Path, version: str, code: int) -> None:
    for name in ("schema/released/1.0", "schema/v1", "openapi"):
        (tmp_path / name).mkdir(parents=True)
        for file in (ROOT / name).iterdir():
            (tmp_path / name / file.name).write_bytes(file.read_bytes())
    spoiled = changed(SPEC, SPEC_BREAKS["a value less"])
    (tmp_path / "schema/v1/splice-spec.json").write_text(json.dumps(spoiled), "utf-8")
    described = {**OPENAPI, "info": {**OPENAPI["info"], "version": version}}
    (tmp_path / "openapi/openapi.json").write_text(json.dumps(described), "utf-8")
    done = gate(tmp_path)
    assert done.returncode == code
    assert (
        'splice-spec.json: /properties/rope/properties/fibre/enum: no longer "cotton" (breaks)'
        in (done.stdout)
    )


def released(name: str) -> Any:
    return json.loads((RELEASE / f"{name}.json").read_text("utf-8"))


def is_of_the_same_major_version() -> bool:
    return not compatibility.may_break(released("openapi")["info"]["version"], tuckmark.__version__)


def test_what_the_released_schema_took_is_still_taken() -> None:
    before = jsonschema_rs.Draft202012Validator(released("splice-spec"))
    now = jsonschema_rs.Draft202012Validator(SPEC)
    taken = [
        document
        for cases in published.corpus().values()
        for document in (json.loads(case.document) for case in cases)
        if before.is_valid(document)
    ]
    assert len(taken) > 100
    assert is_of_the_same_major_version()
    assert [document for document in taken if not now.is_valid(document)] == []


def test_what_is_planned_now_keeps_the_released_schema() -> None:
    before = jsonschema_rs.Draft202012Validator(released("splice-plan"))
    specs = [*published.examples().values(), *(item.minimal_spec for item in REGISTRY.values())]
    assert len(specs) > 30
    for spec in specs:
        before.validate(default_pipeline().plan(spec))
