"""The OpenAPI document before two independent linters, and its examples before the service."""

import json
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.web import create_app
from tuckmark.web.negotiation import is_json
from tuckmark.web.operations import OPERATIONS

DOCUMENT: dict[str, Any] = json.loads(published.openapi())


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    return create_app().test_client()


def linted(node: Path, *command: str, folder: Path) -> str:
    (folder / "openapi.json").write_bytes(published.openapi())
    tool = node / "node_modules" / ".bin" / command[0]
    done = subprocess.run(
        [tool, *command[1:]], cwd=folder, capture_output=True, text=True, check=False, timeout=120
    )
    return done.stdout


def test_redocly_finds_nothing_by_its_recommended_rules(node: Path, tmp_path: Path) -> None:
    rules = str(node / "redocly.yaml")
    arguments = ("lint", "openapi.json", "--config", rules, "--format", "json")
    report = json.loads(linted(node, "redocly", *arguments, folder=tmp_path))
    assert [(item["ruleId"], item["message"]) for item in report["problems"]] == []


def test_spectral_finds_nothing_by_its_recommended_rules(node: Path, tmp_path: Path) -> None:
    rules = str(node / "spectral.yaml")
    arguments = ("lint", "openapi.json", "--ruleset", rules, "--format", "json", "--quiet")
    report = json.loads(linted(node, "spectral", *arguments, folder=tmp_path))
    assert [(item["code"], item["message"]) for item in report] == []


def test_both_linters_can_find_something(node: Path, tmp_path: Path) -> None:
    """A small document with an operation that gives no answer."""
    spoiled = {
        "openapi": "3.1.0",
        "info": {"title": "spoiled", "version": "1"},
        "paths": {"/livez": {"get": {"responses": {}}}},
    }
    (tmp_path / "spoiled.json").write_text(json.dumps(spoiled), "utf-8")
    found = linted(
        node, "redocly", "lint", "spoiled.json", "--config", str(node / "redocly.yaml"),
        "--format", "json", folder=tmp_path,
    )  # fmt: skip
    assert json.loads(found)["problems"]
    found = linted(
        node, "spectral", "lint", "spoiled.json", "--ruleset", str(node / "spectral.yaml"),
        "--format", "json", "--quiet", folder=tmp_path,
    )  # fmt: skip
    assert json.loads(found)


def _operations() -> Iterator[Any]:
    for path, methods in DOCUMENT["paths"].items():
        for method, operation in methods.items():
            yield pytest.param(path, method, operation, id=operation["operationId"])


EVERY = pytest.mark.parametrize(("path", "method", "operation"), list(_operations()))


def asked(path: str, operation: dict[str, Any]) -> str:
    """The address, its path parameters as their examples have them."""
    given = {
        item["name"]: item["example"]
        for item in operation["parameters"]
        if item.get("in") == "path"
    }
    return path.format(**given)


def offered(operation: dict[str, Any]) -> list[str]:
    """What is had with the example parameters: some operations offer by name or view."""
    (row,) = (row for row in OPERATIONS if row.id == operation["operationId"])
    offers = row.offered({item.name: item.example for item in row.parameters_in("path")})
    return [offer.partition(";")[0] for offer in offers]


def written(body: Any) -> str:
    """The body as it is sent; a batch stands as its text in the document."""
    return body if isinstance(body, str) else json.dumps(body)


@EVERY
def test_every_example_of_an_operation_is_what_happens(
    client: FlaskClient, path: str, method: str, operation: dict[str, Any]
) -> None:
    taken = operation.get("requestBody", {}).get("content", {})
    bodies = [
        (media_type, example["value"])
        for media_type, content in taken.items()
        for example in content["examples"].values()
    ] or [(None, None)]
    success = operation["responses"]["200"]["content"]
    for media_type, content in success.items():
        for n, (taken_type, body) in enumerate(bodies):
            sent = {} if taken_type is None else {"data": written(body), "content_type": taken_type}
            answer = client.open(
                asked(path, operation), method=method, headers={"Accept": media_type},
                buffered=True, **sent,
            )  # fmt: skip
            if media_type not in offered(operation):
                assert answer.status_code == 406
                continue
            assert answer.status_code == 200
            assert answer.headers["Content-Type"].split(";")[0] == media_type
            if is_json(media_type):
                schema = content["schema"].get("contentSchema", content["schema"])
                judge = jsonschema.Draft202012Validator(
                    {**schema, "components": DOCUMENT["components"]}
                )
                of_lines = "contentSchema" in content["schema"]
                documents = map(json.loads, answer.data.splitlines()) if of_lines else [answer.json]
                errors = [error for each in documents for error in judge.iter_errors(each)]
                assert [error.message for error in errors] == []
            shown = [example["value"] for example in content.get("examples", {}).values()]
            assert n or not shown or answer.json in shown


@EVERY
def test_every_example_of_a_parameter_is_taken(
    client: FlaskClient, path: str, method: str, operation: dict[str, Any]
) -> None:
    sent = {}
    if "requestBody" in operation:
        taken_type, content = next(iter(operation["requestBody"]["content"].items()))
        body = next(iter(content["examples"].values()))["value"]
        sent = {"data": written(body), "content_type": taken_type}
    for item in operation["parameters"]:
        if item.get("in") != "query":
            continue
        value = item["example"]
        text = ",".join(value) if isinstance(value, list) else str(value)
        answer = client.open(
            asked(path, operation), method=method, query_string={item["name"]: text}, **sent
        )
        if answer.status_code == 400:  # it goes with another view, and the answer says so
            told = [(error["parameter"], error["code"]) for error in answer.json["errors"]]
            assert told == [(item["name"], "not_used_here")]
        else:
            assert answer.status_code == 200, (item["name"], answer.data)


@EVERY
def test_json_comes_first(path: str, method: str, operation: dict[str, Any]) -> None:
    offered = list(operation["responses"]["200"]["content"])
    if path == "/":  # the page is for people; programs have the catalogue at its own address
        return
    if any(map(is_json, offered)):
        assert is_json(offered[0]), (path, method)
