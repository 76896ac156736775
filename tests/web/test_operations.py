"""What the operations answer."""

from collections.abc import Callable
from typing import Any

import orjson
import pytest
from flask import Flask
from flask.testing import FlaskClient

from tuckmark import __version__, published
from tuckmark.document import MAX_BYTES
from tuckmark.pipeline import default_pipeline
from tuckmark.render.excerpt import ALWAYS_SHOWN, PLAN_KEYS
from tuckmark.web.operations import OPERATIONS

AssertProblem = Callable[..., dict[str, Any]]
EXAMPLES = pytest.mark.parametrize("name", list(published.examples()))


@EXAMPLES
def test_plan_bytes_do_not_depend_on_key_order(client: FlaskClient, name: str) -> None:
    spec = published.examples()[name]
    turned = dict(reversed(spec.items()))
    answers = {client.post("/v1/plans", json=document).data for document in (spec, turned, spec)}
    assert len(answers) == 1


@EXAMPLES
def test_plan_is_the_pipelines(client: FlaskClient, name: str) -> None:
    spec = published.examples()[name]
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 200
    plan = default_pipeline().plan(spec)
    assert response.data == orjson.dumps(plan) + b"\n"
    assert list(response.json) == [key for key in PLAN_KEYS if key in plan]


def test_plan_keys_are_the_published_schemas() -> None:
    assert set(PLAN_KEYS) - {"join", "advice"} <= set(published.schema("splice-plan")["properties"])
    assert set(published.schema("splice-plan")["properties"]) <= set(PLAN_KEYS)


@pytest.mark.parametrize("key", PLAN_KEYS)
def test_fields(client: FlaskClient, key: str, spec: Any) -> None:
    whole = client.post("/v1/plans", json=spec).json
    some = client.post(f"/v1/plans?fields={key}", json=spec).json
    shown = ALWAYS_SHOWN | {key}
    assert some == {name: value for name, value in whole.items() if name in shown}
    assert list(some) == [name for name in whole if name in shown]


def test_format_wins_over_accept(client: FlaskClient, spec: Any) -> None:
    response = client.post("/v1/plans?format=json", json=spec, headers={"Accept": "text/turtle"})
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "application/json"


def test_validation(client: FlaskClient, spec: Any) -> None:
    assert client.post("/v1/validations", json=spec).json == {
        "valid": True,
        "plannable": True,
        "errors": [],
        "error_count": 0,
        "usable": True,
        "stops": [],
    }


def test_many_faults_are_counted_and_the_first_listed(
    client: FlaskClient, spec: Any, assert_problem: AssertProblem
) -> None:
    spec["rope"] |= {f"x{number:02}": 0 for number in range(60)}
    body = assert_problem(client.post("/v1/plans", json=spec), 422, "spec_invalid")
    assert body["error_count"] == 60
    assert [item["pointer"] for item in body["errors"]] == [f"/rope/x{n:02}" for n in range(50)]
    report = client.post("/v1/validations", json=spec).json
    assert (report["valid"], report["plannable"]) == (False, False)
    assert (report["errors"], report["error_count"]) == (body["errors"], 60)


def test_families(client: FlaskClient) -> None:
    families = client.get("/v1/families").json["families"]
    names = [family["family"] for family in families]
    assert names == list(default_pipeline().families)
    ends = published.schema("splice-spec")["$defs"]["end"]["properties"]["splice"]["enum"]
    assert set(ends) <= set(names)
    for family in families:
        assert client.get(f"/v1/families/{family['family']}").json == family


def test_minimal_specs_of_families_are_planned(client: FlaskClient) -> None:
    for family in client.get("/v1/families").json["families"]:
        assert client.post("/v1/plans", json=family["minimal_spec"]).status_code == 200


def test_reference(client: FlaskClient) -> None:
    index = client.get("/v1/reference").json
    sources = client.get("/v1/sources").json["sources"]
    assert "frictions" in {table["name"] for table in index["tables"]}
    for listed in index["tables"]:
        table = client.get(listed["href"]).json
        assert (table["name"], len(table["rows"])) == (listed["name"], listed["rows"])
        assert table["version"] == index["version"]
        assert {row["source"] for row in table["rows"]} <= sources.keys()
        for row in table["rows"]:
            assert row["unit"]
            assert row["place"]
            assert row["confidence"] in ("A", "B", "C")


def test_sources_say_what_they_are(client: FlaskClient) -> None:
    sources = client.get("/v1/sources").json["sources"]
    assert sources["cfr_1926_251_d_2"] == {
        "title": "29 CFR 1926.251",
        "section": "(d)(2)",
        "kind": "regulation",
        "confidence": "A",
    }


def test_about(client: FlaskClient) -> None:
    about = client.get("/v1/about").json
    assert about["service"] == __version__
    assert about["tables"] == client.get("/v1/reference").json["version"]
    assert about["limits"]["document_bytes"] == MAX_BYTES


@pytest.mark.parametrize("name", list(published.schema_files()))
def test_schemas_are_served_as_published(client: FlaskClient, name: str) -> None:
    response = client.get(f"/schema/v1/{name}.json")
    assert response.data == published.schema_files()[name]
    assert response.json["$id"] == f"https://tuckmark.example/schema/v1/{name}.json"


def test_grammar(client: FlaskClient) -> None:
    response = client.get("/schema/v1/quantity.abnf")
    assert response.headers["Content-Type"] == "text/plain; charset=utf-8"
    assert response.data == published.grammar()


def test_openapi_is_served_as_published(client: FlaskClient) -> None:
    assert client.get("/openapi.json").data == published.openapi()


def test_every_row_is_a_route_and_every_route_a_row(app: Flask) -> None:
    routes = {
        (rule.rule.replace("<", "{").replace(">", "}"), method)
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    assert routes == {(operation.path, operation.method) for operation in OPERATIONS}
    assert len({operation.id for operation in OPERATIONS}) == len(OPERATIONS)
