"""Every kind of bad input: one file a code in ``bad_input/``, what is sent and what comes back.

A case sends ``body`` (text), ``bytes`` (hexadecimal), ``fill`` (a unit of text and how often)
or an example spec with some places changed (``set``) or taken out (``remove``), and names the
``status``, the problem's ``code`` and the ``pointers`` at which the file's code is found.
"""

import copy
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import orjson
import pytest
import yaml
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.web import problems

AssertProblem = Callable[..., dict[str, Any]]
PROBLEM = jsonschema.Draft202012Validator(published.schema("problem"))
REPORT = jsonschema.Draft202012Validator(published.schema("validation-report"))
FILES = sorted((Path(__file__).parent / "bad_input").glob("*.yaml"))
CASES = [
    pytest.param(file.stem, case, id=f"{file.stem}-{case['name']}")
    for file in FILES
    for case in yaml.safe_load(file.read_text(encoding="utf-8"))
]
#: faults that do not come from a document: the tests of parameters and fields have them
NOT_OF_DOCUMENTS = {
    "file_unreadable",
    "unknown_parameter",
    "repeated_parameter",
    "repeated_value",
    "unknown_name",
    "unknown_address",
    "not_used_here",
    "no_such_end",
    "no_such_part",
    "no_such_piece",
    "piece_needed",
    "strip_too_narrow",
    "tag_too_small",
    "too_many_sheets",
    "picture_too_large",
    "not_offered",
    "media_type_not_taken",
    "charset_not_taken",
    "coding_not_taken",
}
#: faults of measurements and trials: tests/asbuilt brings them about
OF_AS_BUILT = {
    "not_in_plan",
    "state_not_in_plan",
    "measured_after_load",
    "state_needed",
    "splice_not_calibratable",
    "other_rope",
    "shortening_outside_range",
}
#: faults of orders and reels: tests/cutting brings them about
OF_CUT_LISTS = {
    "repeated_id",
    "too_many_pieces",
    "quantities_disagree",
    "ropes_disagree",
    "plan_says_stop",
    "cut_length_needed",
    "join_lengths_needed",
}
#: guards of the computing core that the schema and earlier refusals keep documents from
NEVER_MET = {"included_angle_out_of_range", "taper_leaves_no_strand"}


def body_of(case: dict[str, Any]) -> bytes:
    if "body" in case:
        return str(case["body"]).encode()
    if "bytes" in case:
        return bytes.fromhex(case["bytes"])
    if "fill" in case:
        return "".join(unit * times for unit, times in case["fill"]).encode()
    spec = copy.deepcopy(published.examples()["towing-pendant"])
    for pointer in case.get("remove", []):
        *path, last = pointer.split("/")[1:]
        del place(spec, path)[last]
    for pointer, value in case.get("set", {}).items():
        *path, last = pointer.split("/")[1:]
        place(spec, path)[last] = value
    return orjson.dumps(spec)


def place(spec: dict[str, Any], path: list[str]) -> dict[str, Any]:
    for key in path:
        spec = spec[key]
    return spec


@pytest.mark.parametrize(("fault", "case"), CASES)
def test_bad_input(
    client: FlaskClient, fault: str, case: dict[str, Any], spec: Any, assert_problem: AssertProblem
) -> None:
    good = client.post("/v1/plans", json=spec).data
    sent = {"data": body_of(case), "content_type": "application/json"}

    answer = client.post("/v1/plans", **sent)
    body = assert_problem(answer, case["status"], case["code"])
    assert [error.message for error in PROBLEM.iter_errors(body)] == []
    found = [item["pointer"] for item in body["errors"] if item["code"] == fault]
    assert found == case["pointers"]
    for item in body["errors"]:
        assert problems.catalogue()[item["code"]].kind == "fault"
        assert len(str(item.get("given", ""))) <= 80
    hints = [item.get("hint") for item in body["errors"] if item["code"] == fault]
    assert case.get("hint") in (None, *hints)

    report = client.post("/v1/validations", **sent)
    if case["status"] == 422:
        assert report.status_code == 200
        assert [error.message for error in REPORT.iter_errors(report.json)] == []
        assert report.json == {
            "valid": case["code"] == "not_plannable",
            "plannable": False,
            "errors": body["errors"],
            "error_count": body["error_count"],
            "usable": None,
            "stops": [],
        }
    else:
        same = assert_problem(report, case["status"], case["code"])
        assert same["errors"] == body["errors"]

    assert client.post("/v1/plans", json=spec).data == good


def test_every_fault_of_documents_has_its_file() -> None:
    faults = {code for code, entry in problems.catalogue().items() if entry.kind == "fault"}
    elsewhere = NOT_OF_DOCUMENTS | OF_AS_BUILT | OF_CUT_LISTS | NEVER_MET
    missing = faults - elsewhere - {file.stem for file in FILES}
    assert missing == set()


def test_every_file_is_of_a_known_code() -> None:
    assert {file.stem for file in FILES} <= problems.catalogue().keys()
