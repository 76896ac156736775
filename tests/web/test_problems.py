"""The catalogue of codes: complete, consistent, and explained by the service."""

import ast
import json
import re
from importlib import resources
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from jsonschema import Draft202012Validator

from tuckmark import published
from tuckmark.web import problems
from tuckmark.web.operations import OPERATIONS

#: callable -> which of its arguments is a code
_CODED = {
    "Fault": 1,
    "InfeasibleError": 0,
    "ProblemError": 0,
    "Rejected": 0,
    "of_faults": 0,
    "parameter_item": 1,
}
#: helpers that hand a code on, by module
_CODED_IN = {"document.py": {"_refuse": 0}, "bodies.py": {"_refuse": 1}}


def codes_in(source: Path) -> set[str]:
    places = _CODED | _CODED_IN.get(source.name, {})
    found = set()
    for node in ast.walk(ast.parse(source.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call):
            continue
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name in places and len(node.args) > places[name]:
            code = node.args[places[name]]
            if isinstance(code, ast.Constant):
                found.add(code.value)
    return found


def test_every_code_in_the_program_is_explained() -> None:
    package = Path(str(resources.files("tuckmark")))
    used = set().union(*(codes_in(source) for source in package.rglob("*.py")))
    assert {"not_json", "missing", "not_found", "eye_shorter_than_pin"} <= used
    assert used - problems.catalogue().keys() == set()


def test_every_problem_of_an_operation_is_one() -> None:
    for operation in OPERATIONS:
        for code in operation.all_problems:
            assert problems.catalogue()[code].kind == "problem"
            assert 400 <= problems.status_of(code) <= 599


@pytest.mark.parametrize("code", list(problems.catalogue()))
def test_entry(client: FlaskClient, code: str) -> None:
    entry = problems.catalogue()[code]
    assert re.fullmatch("[a-z][a-z0-9_]*", code)
    assert (entry.status is not None) == (entry.kind == "problem")
    assert entry.explanation
    assert entry.fix
    assert not entry.title.endswith(".")
    shown = client.get(problems.help_path(code)).json
    assert shown["code"] == code
    assert shown in client.get("/problems").json["problems"]


def test_no_code_stands_in_two_files() -> None:
    data = resources.files("tuckmark").joinpath("data")
    files = ("problems.json", "notices.json")
    problem, notice = (json.loads(data.joinpath(name).read_text("utf-8")) for name in files)
    assert problem.keys() & notice.keys() == set()


def test_only_problems_have_a_status() -> None:
    with pytest.raises(ValueError, match="not_json"):
        problems.status_of("not_json")


@pytest.mark.parametrize(
    ("body", "code", "pointer", "is_cut"),
    [
        ({"rope": {"K" * 60_000: 1}}, "unknown_property", "/rope", True),
        ({"K" * 60_000: 1}, "unknown_property", "", True),
        ({"rope": {"K" * 394: 1}}, "unknown_property", "/rope/" + "K" * 394, False),
        ({"rope": {"K" * 395: 1}}, "unknown_property", "/rope", True),
        ({"rope": {"/" * 198: 1}}, "unknown_property", "/rope", True),
        ({"a/b~": {"x": {"c" * 393: "\ud800"}}}, "lone_surrogate", "/a~1b~0/x", True),
        (
            {"rope": {"size": {"diameter": "1 " * 30_000}}},
            "not_a_quantity",
            "/rope/size/diameter",
            False,
        ),
        ({"rope": {"fibre": "hmpe" * 15_000}}, "not_one_of", "/rope/fibre", False),
    ],
)
def test_what_was_sent_does_not_come_back_whole(
    client: FlaskClient, body: Any, code: str, pointer: str, is_cut: bool
) -> None:
    """Pointers up to 400 characters, and still pointers (RFC 6901); names and texts up to 80."""
    answer = client.post("/v1/plans", json=body)
    (item,) = [item for item in answer.json["errors"] if item["code"] == code]
    assert item["pointer"] == pointer
    assert ("The pointer ends above it" in item["detail"]) == is_cut
    longest = max(len(str(value)) for name, value in item.items() if name != "allowed")
    assert longest <= 400
    schema = published.schema("problem")
    assert not list(Draft202012Validator(schema).iter_errors(answer.json))
