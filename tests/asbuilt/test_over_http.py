"""Inspections and calibrations as a client meets them."""

from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.web import create_app

Json = dict[str, Any]


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    return create_app().test_client()


@pytest.fixture
def request_(pendant: Json, as_planned: Json) -> Json:
    return {"spec": pendant, "measured": as_planned}


@pytest.mark.parametrize(
    ("form", "media_type", "begins"),
    [
        ("json", "application/json", b"{"),
        ("html", "text/html; charset=utf-8", b"<!doctype html>"),
        ("pdf", "application/pdf", b"%PDF-"),
    ],
)
def test_forms(
    client: FlaskClient, request_: Json, form: str, media_type: str, begins: bytes
) -> None:
    by_name = client.post(f"/v1/inspections?format={form}", json=request_)
    by_accept = client.post(
        "/v1/inspections", json=request_, headers={"Accept": media_type.partition(";")[0]}
    )
    assert by_name.status_code == 200
    assert by_name.headers["Content-Type"] == media_type
    assert by_name.headers["Cache-Control"] == "no-store"
    assert by_name.data.startswith(begins)
    assert by_name.data == by_accept.data
    name = by_name.headers.get("Content-Disposition")
    assert name == ('inline; filename="LW-2207-2-as-built.pdf"' if form == "pdf" else None)


def test_a_name_for_paper_without_order_and_with_a_strange_one(
    client: FlaskClient, request_: Json
) -> None:
    for job, name in (({}, "splice-as-built"), ({"order": '../"x'}, "x-as-built")):
        request_["spec"]["job"] = job
        answer = client.post("/v1/inspections?format=pdf", json=request_)
        assert answer.headers["Content-Disposition"] == f'inline; filename="{name}.pdf"'


def test_the_digest_is_the_plans(client: FlaskClient, request_: Json) -> None:
    record = client.post("/v1/inspections", json=request_).json
    plan = client.post("/v1/plans", json=request_["spec"]).json
    assert record["digest"] == plan["digest"]
    assert record["made_with"] == plan["made_with"]


def test_equal_requests_get_equal_bytes(client: FlaskClient, request_: Json) -> None:
    turned = dict(reversed(request_.items()))
    assert (
        client.post("/v1/inspections", json=request_).data
        == client.post("/v1/inspections", json=turned).data
    )


@pytest.mark.parametrize(
    ("path", "body", "code", "pointer"),
    [
        ("/v1/inspections", {}, "inspection_invalid", ""),
        ("/v1/calibrations", {}, "calibration_invalid", ""),
        ("/v1/calibrations", {"trials": []}, "calibration_invalid", "/trials"),
    ],
)
def test_problems(client: FlaskClient, path: str, body: Json, code: str, pointer: str) -> None:
    answer = client.post(path, json=body)
    assert answer.status_code == 422
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert answer.json["type"].endswith(f"/{code}")
    assert answer.json["errors"][0]["pointer"] == pointer
    assert client.get(answer.json["help"]).status_code == 200


def test_refusals_are_problems(client: FlaskClient, request_: Json) -> None:
    request_["measured"]["ends"]["a"] = {"tucks": 4}
    answer = client.post("/v1/inspections", json=request_)
    assert answer.json["type"].endswith("/inspection_refused")
    assert answer.json["errors"][0]["allowed"] == ["a.inside_length", "a.buried", "a.stitches"]
    trial = {"spec": request_["spec"], "cut": "3 m", "throat_to_throat": "1 m"}
    answer = client.post("/v1/calibrations", json={"trials": [trial]})
    assert answer.json["type"].endswith("/calibration_refused")
    assert answer.json["errors"][0]["pointer"] == "/trials/0/cut"


def test_other_forms_are_refused_with_what_there_is(client: FlaskClient, request_: Json) -> None:
    answer = client.post("/v1/inspections", json=request_, headers={"Accept": "text/csv"})
    assert answer.status_code == 406
    assert answer.json["errors"][0]["allowed"] == ["application/json", "text/html",
                                                   "application/pdf"]  # fmt: skip
    assert client.post("/v1/inspections?format=svg", json=request_).status_code == 400


@pytest.mark.parametrize("name", ["inspection-request", "calibration-request"])
def test_the_published_examples_are_answered(client: FlaskClient, name: str) -> None:
    path = "/v1/inspections" if name.startswith("inspection") else "/v1/calibrations"
    for example in published.schema(name)["examples"]:
        assert client.post(path, json=example).status_code == 200


@pytest.mark.parametrize("name", ["inspection-request", "calibration-request"])
def test_a_request_holds_the_published_spec_schema(name: str) -> None:
    """Whole and word by word, so that no second judge of specs arises."""
    spec, request = published.schema("splice-spec"), published.schema(name)
    whole = request["$defs"]["splice_spec"]
    for key, value in spec.items():
        if key not in ("$schema", "$id", "$defs"):
            assert whole[key] == value
    for definition, rule in spec["$defs"].items():
        assert request["$defs"][definition] == rule
