"""The figures on the running service, as Prometheus' own parser reads them."""

from typing import Any

import pytest
from flask.testing import FlaskClient
from prometheus_client.parser import text_string_to_metric_families

from tuckmark.pipeline import default_pipeline
from tuckmark.web import create_app
from tuckmark.web.operations import OPERATIONS
from tuckmark.web.running import Running


@pytest.fixture
def client() -> FlaskClient:
    return create_app(running=Running()).test_client()


def samples(client: FlaskClient) -> dict[tuple[str, frozenset[tuple[str, str]]], float]:
    response = client.get("/metrics")
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"
    return {
        (sample.name, frozenset(sample.labels.items())): sample.value
        for family in text_string_to_metric_families(response.text)
        for sample in family.samples
    }


@pytest.mark.parametrize(
    "accept",
    [
        "text/plain;version=0.0.4",
        "text/plain; version=0.0.4; charset=utf-8",
        # as Prometheus 2 and 3 send it, from memory
        "application/openmetrics-text;version=1.0.0;q=0.5,text/plain;version=0.0.4;q=0.3,*/*;q=0.1",
        "application/openmetrics-text;version=1.0.0;escaping=allow-utf-8;q=0.6,"
        "text/plain;version=1.0.0;escaping=allow-utf-8;q=0.4,text/plain;version=0.0.4;q=0.3",
        "text/plain",
    ],
)
def test_a_scraper_gets_what_it_asks_for(client: FlaskClient, accept: str) -> None:
    response = client.get("/metrics", headers={"Accept": accept})
    assert response.status_code == 200
    assert response.headers["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"


def value(client: FlaskClient, name: str, **labels: str) -> float:
    return samples(client).get((f"tuckmark_{name}", frozenset(labels.items())), 0.0)


def test_plans_families_warnings_and_stages(client: FlaskClient, spec: Any) -> None:
    plan = client.post("/v1/plans", json=spec).json
    client.post("/v1/plans", json=spec)
    assert value(client, "plans_total", usable="yes") == 2
    for family in ("locked_bury_eye", "straight_bury_eye"):
        assert value(client, "plans_by_family_total", family=family) == 2
    for warning in plan["warnings"]:
        labels = {name: warning[name] for name in ("code", "severity")}
        assert value(client, "warnings_total", **labels) == 2
    for stage in ("judge", "read", "plan", "write"):
        assert value(client, "stage_seconds_count", stage=stage) == 2
        assert 0 < value(client, "stage_seconds_sum", stage=stage) < 10
    assert value(client, "request_seconds_count", route="/v1/plans") == 2


def test_refusals_by_code(client: FlaskClient, spec: Any) -> None:
    spec["use"]["duty"] = "persons"
    fault = client.post("/v1/plans", json=spec).json["errors"][0]["code"]
    client.post("/v1/plans", data=b"{", content_type="application/json")
    assert value(client, "faults_total", code=fault) == 1
    assert value(client, "problems_total", code="not_plannable") == 1
    assert value(client, "problems_total", code="document_unreadable") == 1
    assert value(client, "plans_total", usable="yes") == 0


def test_labels_are_closed_sets(client: FlaskClient) -> None:
    client.get("/problems/bad_request")
    client.get("/problems/SECRET")
    client.get("/SECRET/nowhere?SECRET")
    client.open("/livez", method="SECRET")
    found = samples(client)
    routes = {dict(labels)["route"] for name, labels in found if "route" in dict(labels)}
    assert routes <= {operation.path for operation in OPERATIONS} | {"none"}
    assert "SECRET" not in str(found)
    assert value(client, "requests_total", method="other", route="none", status="405") == 1
    assert (
        value(client, "requests_total", method="GET", route="/problems/{code}", status="404") == 1
    )


def test_a_probe_and_a_validation_are_no_plan(client: FlaskClient, spec: Any) -> None:
    client.get("/readyz")
    client.post("/v1/validations", json=spec)
    assert value(client, "plans_total", usable="yes") == 0
    assert value(client, "requests_total", method="GET", route="/readyz", status="200") == 1


def test_watching_changes_nothing(client: FlaskClient, spec: Any) -> None:
    assert client.post("/v1/plans", json=spec).json == default_pipeline().plan(spec)
