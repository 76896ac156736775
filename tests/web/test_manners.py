"""HTTP manners of every operation, from the table that also makes the routes."""

import logging
import urllib.parse
from collections.abc import Callable
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tuckmark.pipeline import Pipeline, default_pipeline
from tuckmark.web import components, create_app
from tuckmark.web.bodies import DOCUMENT
from tuckmark.web.operations import OPERATIONS
from tuckmark.web.table import Operation

AssertProblem = Callable[..., dict[str, Any]]

EVERY = pytest.mark.parametrize("operation", OPERATIONS, ids=lambda item: item.id)
DOCUMENTS = pytest.mark.parametrize(
    "operation", [item for item in OPERATIONS if item.tagged], ids=lambda item: item.id
)
TAKING = pytest.mark.parametrize(
    "operation", [item for item in OPERATIONS if item.takes], ids=lambda item: item.id
)
#: batches answer a fault of ours in its line, and cut lists need no plan: their own tests have them
OF_ONE_SPEC = [item for item in OPERATIONS if item.takes and item.form is DOCUMENT]
GETTING = pytest.mark.parametrize(
    "operation", [item for item in OPERATIONS if item.method == "GET"], ids=lambda item: item.id
)


def path_of(operation: Operation) -> str:
    examples = {item.name: item.example for item in operation.parameters_in("path")}
    return operation.path.format(**examples)


def offered(operation: Operation) -> tuple[str, ...]:
    """What the operation offers at its example path."""
    return operation.offered({item.name: item.example for item in operation.parameters_in("path")})


def sent_to(operation: Operation, spec: Any) -> dict[str, Any]:
    """A body that the operation takes: of the spec, or the example of what else it takes."""
    if not operation.takes:
        return {}
    own = operation.takes not in ("SpliceSpec", "AnyJson")
    document = next(iter(components.examples(operation.takes).values())) if own else spec
    form = operation.form
    return {"data": form.write([document]), "content_type": form.media_types[0]}


def ask(client: FlaskClient, operation: Operation, spec: Any, query: str = "", **more: Any) -> Any:
    return client.open(
        path_of(operation) + query, method=operation.method, **sent_to(operation, spec) | more
    )


@EVERY
def test_answers(client: FlaskClient, operation: Operation, spec: Any) -> None:
    response = ask(client, operation, spec)
    assert response.status_code == 200
    assert f"{response.headers['Content-Type']};".startswith(f"{offered(operation)[0]};")
    assert response.headers["Access-Control-Allow-Origin"] == "*"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Vary"] == "Accept"
    assert "ETag" in response.headers["Access-Control-Expose-Headers"]
    assert len(response.headers["X-Request-ID"]) == 16
    expected = f"public, max-age={operation.fresh_for_s}" if operation.fresh_for_s else "no-store"
    if operation.packed:  # the address is somebody's data
        expected = "private, no-cache"
    assert response.headers["Cache-Control"] == expected


@EVERY
def test_every_offer_can_be_had(client: FlaskClient, operation: Operation, spec: Any) -> None:
    for offer in offered(operation):
        response = ask(client, operation, spec, headers={"Accept": offer})
        assert response.status_code == 200
        assert f"{response.headers['Content-Type']};".startswith(f"{offer};")


@EVERY
def test_not_acceptable(
    client: FlaskClient, operation: Operation, spec: Any, assert_problem: AssertProblem
) -> None:
    response = ask(client, operation, spec, headers={"Accept": "image/x-knot"})
    body = assert_problem(response, 406, "not_acceptable")
    assert body["errors"] == [
        {
            "parameter": "Accept",
            "code": "not_offered",
            "detail": f"Offered here: {', '.join(offered(operation))}.",
            "allowed": list(offered(operation)),
            "given": "image/x-knot",
        }
    ]


@EVERY
def test_unknown_parameter(
    client: FlaskClient, operation: Operation, spec: Any, assert_problem: AssertProblem
) -> None:
    response = ask(client, operation, spec, query="?knots=2&%FF=%00")
    body = assert_problem(response, 400, "parameter_invalid")
    known = [item.name for item in operation.parameters_in("query")]
    assert [item["parameter"] for item in body["errors"]] == ["knots", "%FF"]
    assert {item["code"] for item in body["errors"]} == {"unknown_parameter"}
    assert [item["allowed"] for item in body["errors"]] == [known, known]


@EVERY
@pytest.mark.parametrize("method", ["GET", "POST", "PUT", "PATCH", "DELETE", "TRACE", "KNOT"])
def test_method_not_allowed(
    client: FlaskClient, operation: Operation, method: str, assert_problem: AssertProblem
) -> None:
    if method == operation.method:
        return
    response = client.open(path_of(operation), method=method)
    assert_problem(response, 405, "method_not_allowed")
    allowed = {"GET": "GET, HEAD, OPTIONS", "POST": "OPTIONS, POST"}[operation.method]
    assert response.headers["Allow"] == allowed


@TAKING
def test_no_head_where_there_is_no_get(client: FlaskClient, operation: Operation) -> None:
    response = client.head(path_of(operation))
    assert response.status_code == 405
    assert response.data == b""


@EVERY
def test_options(client: FlaskClient, operation: Operation) -> None:
    preflight = {
        "Origin": "https://loft.example",
        "Access-Control-Request-Method": operation.method,
        "Access-Control-Request-Headers": "content-type",
    }
    response = client.options(path_of(operation), headers=preflight)
    assert response.status_code == 204
    assert response.data == b""
    assert "Content-Type" not in response.headers
    allowed = {"GET": "GET, HEAD, OPTIONS", "POST": "OPTIONS, POST"}[operation.method]
    assert response.headers["Allow"] == allowed
    assert response.headers["Access-Control-Allow-Methods"] == allowed
    assert response.headers["Access-Control-Allow-Origin"] == "*"
    assert "Content-Type" in response.headers["Access-Control-Allow-Headers"]
    assert "Access-Control-Allow-Credentials" not in response.headers
    taken = ", ".join(operation.form.media_types) if operation.takes else None
    assert response.headers.get("Accept-Post") == taken


@GETTING
def test_head(client: FlaskClient, operation: Operation) -> None:
    got, head = (client.open(path_of(operation), method=method) for method in ("GET", "HEAD"))
    assert head.status_code == 200
    assert head.data == b""
    for name, value in got.headers:
        if name != "X-Request-ID" and (operation.id, name) != ("show_metrics", "Content-Length"):
            assert head.headers[name] == value


@EVERY
@pytest.mark.parametrize(
    "change", ["{}/", "/{}", "{}//", "{}%2F"], ids=["slash", "doubled", "slashes", "encoded"]
)
def test_no_redirects(
    client: FlaskClient, operation: Operation, change: str, assert_problem: AssertProblem
) -> None:
    path = urllib.parse.unquote(change.format(path_of(operation)))
    # set as a server sets it: the test client would take what follows two slashes for a host
    response = client.open(
        "/", method=operation.method, environ_overrides={"PATH_INFO": path, "RAW_URI": path}
    )
    body = assert_problem(response, 404, "not_found")
    assert "Location" not in response.headers
    assert body["error_count"] in (0, 1)


@pytest.mark.parametrize("method", ["GET", "HEAD", "POST", "OPTIONS", "KNOT"])
@pytest.mark.parametrize("path", ["/nowhere", "/v1", "/v1/plan", "/V1/plans", "/static/x", "/.."])
def test_not_found(
    client: FlaskClient, path: str, method: str, assert_problem: AssertProblem
) -> None:
    response = client.open(path, method=method)
    if method == "HEAD":
        assert (response.status_code, response.data) == (404, b"")
    else:
        assert_problem(response, 404, "not_found")


@pytest.mark.parametrize(
    "operation",
    [item for item in OPERATIONS if any(p.kind == "name" for p in item.parameters_in("path"))],
    ids=lambda item: item.id,
)
def test_unknown_name(
    client: FlaskClient, operation: Operation, assert_problem: AssertProblem
) -> None:
    (parameter,) = (item for item in operation.parameters_in("path") if item.kind == "name")
    examples = {item.name: item.example for item in operation.parameters_in("path")}
    response = client.get(operation.path.format(**examples | {parameter.name: "no_such"}))
    body = assert_problem(response, 404, "not_found")
    (item,) = body["errors"]
    assert (item["parameter"], item["code"], item["given"]) == (
        parameter.name,
        "unknown_name",
        "no_such",
    )
    assert parameter.example in item["allowed"]
    near = client.get(operation.path.format(**examples | {parameter.name: f"{parameter.example}x"}))
    assert near.json is not None
    assert near.json["errors"][0]["hint"] == f"Did you mean {parameter.example}?"


@EVERY
@pytest.mark.parametrize(("characters", "status"), [(8000, 400), (8001, 414)])
def test_uri_too_long(
    client: FlaskClient,
    operation: Operation,
    characters: int,
    status: int,
    spec: Any,
    assert_problem: AssertProblem,
) -> None:
    path = path_of(operation) + "?a="
    code = {400: "parameter_invalid", 414: "uri_too_long"}[status]
    response = ask(client, operation, spec, query="?a=" + "a" * (characters - len(path)))
    assert_problem(response, status, code)


@DOCUMENTS
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_conditional(client: FlaskClient, operation: Operation, method: str) -> None:
    path = path_of(operation)
    first = client.get(path)
    etag = first.headers["ETag"]
    assert etag.startswith('"')
    for field in (etag, f'"other", {etag}', f"W/{etag}", "*"):
        again = client.open(path, method=method, headers={"If-None-Match": field})
        assert again.status_code == 304
        assert again.data == b""
        for name in ("ETag", "Cache-Control", "Vary", "Access-Control-Allow-Origin"):
            assert again.headers[name] == first.headers[name]
    changed = client.get(path, headers={"If-None-Match": '"other"'})
    assert (changed.status_code, changed.data) == (200, first.data)


def test_each_form_has_its_own_etag(client: FlaskClient) -> None:
    forms = ("application/schema+json", "application/json")
    answers = [
        client.get("/schema/v1/splice-spec.json", headers={"Accept": form}) for form in forms
    ]
    assert answers[0].data == answers[1].data
    assert answers[0].headers["ETag"] != answers[1].headers["ETag"]


@EVERY
@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("LW-2207.2_a", True),
        ("x" * 64, True),
        ("x" * 65, False),
        ("", False),
        ("a b", False),
        ("é", False),
        ("a/b", False),
    ],
)
def test_request_id(
    client: FlaskClient, operation: Operation, given: str, kept: bool, spec: Any
) -> None:
    response = ask(client, operation, spec, headers={"X-Request-ID": given})
    assert (response.headers["X-Request-ID"] == given) is kept


@TAKING
@pytest.mark.parametrize(
    ("fields", "parameter", "code"),
    [
        ({"Content-Type": None}, "Content-Type", "media_type_not_taken"),
        ({"Content-Type": ""}, "Content-Type", "media_type_not_taken"),
        ({"Content-Type": "text/plain"}, "Content-Type", "media_type_not_taken"),
        ({"Content-Type": "application/jsonx"}, "Content-Type", "media_type_not_taken"),
        ({"Content-Type": "application/schema+json"}, "Content-Type", "media_type_not_taken"),
        (
            {"Content-Type": "application/json, application/json"},
            "Content-Type",
            "media_type_not_taken",
        ),
        ({"Content-Type": "{taken}; charset=utf-16"}, "Content-Type", "charset_not_taken"),
        (
            {"Content-Type": "{taken}; charset=latin1; charset=utf-8"},
            "Content-Type",
            "media_type_not_taken",
        ),
        ({"Content-Encoding": "gzip"}, "Content-Encoding", "coding_not_taken"),
        ({"Content-Encoding": "identity, br"}, "Content-Encoding", "coding_not_taken"),
    ],
)
def test_unsupported_media_type(
    client: FlaskClient,
    operation: Operation,
    fields: dict[str, str | None],
    parameter: str,
    code: str,
    assert_problem: AssertProblem,
) -> None:
    taken = operation.form.media_types
    sent = {"Content-Type": "{taken}"} | fields
    headers = {
        name: value.replace("{taken}", taken[0])
        for name, value in sent.items()
        if value is not None
    }
    response = client.post(operation.path, data=b"{}", headers=headers)
    body = assert_problem(response, 415, "unsupported_media_type")
    assert [(item["parameter"], item["code"]) for item in body["errors"]] == [(parameter, code)]
    assert response.headers["Accept-Post"] == ", ".join(taken)


@TAKING
@pytest.mark.parametrize(
    "fields",
    [
        {"Content-Type": "{TAKEN};charset=UTF-8"},
        {"Content-Type": '{taken}; charset="utf-8"; profile=x'},
        {"Content-Type": "{taken}", "Content-Encoding": "identity"},
    ],
)
def test_supported_media_type(
    client: FlaskClient, operation: Operation, fields: dict[str, str], spec: Any
) -> None:
    data = sent_to(operation, spec)["data"]
    for taken in operation.form.media_types:
        headers = {
            name: value.replace("{taken}", taken).replace("{TAKEN}", taken.upper())
            for name, value in fields.items()
        }
        assert client.post(operation.path, data=data, headers=headers).status_code == 200


@TAKING
@pytest.mark.parametrize(("beyond", "status"), [(0, 200), (1, 413)])
@pytest.mark.parametrize("chunked", [False, True])
def test_document_too_large(
    client: FlaskClient,
    operation: Operation,
    beyond: int,
    status: int,
    chunked: bool,
    spec: Any,
    assert_problem: AssertProblem,
) -> None:
    sent = sent_to(operation, spec)
    body = sent["data"].ljust(operation.form.most_bytes + beyond)
    unknown_length = {"wsgi.input_terminated": True, "CONTENT_LENGTH": ""}
    response = client.post(
        operation.path,
        data=body,
        content_type=sent["content_type"],
        environ_overrides=unknown_length if chunked else {},
    )
    if status == 413:
        assert_problem(response, 413, "document_too_large")
    assert response.status_code == status


class Broken(dict[str, Any]):
    """A registry of families with a fault of its own, wherever it is looked into."""

    def __getitem__(self, name: str) -> Any:
        raise RuntimeError(f"secret of {name}")

    get = values = items = __getitem__


@pytest.mark.parametrize("operation", OF_ONE_SPEC, ids=lambda item: item.id)
def test_no_exception_text_leaves(
    operation: Operation,
    spec: Any,
    assert_problem: AssertProblem,
    caplog: pytest.LogCaptureFixture,
) -> None:
    good = default_pipeline()
    app = create_app(Pipeline(good.judge, good.reference, Broken()))
    with caplog.at_level(logging.ERROR):
        response = ask(app.test_client(), operation, spec, headers={"X-Request-ID": "job-7"})
    assert_problem(response, 500, "internal_error")
    assert b"secret" not in response.data
    assert b"RuntimeError" not in response.data
    (record,) = caplog.records
    assert "job-7" in record.getMessage()
    assert record.exc_info is not None


def test_a_fault_of_the_framework_is_a_problem_too(assert_problem: AssertProblem) -> None:
    app = create_app()

    def broken() -> None:
        raise LookupError("secret")

    app.before_request(broken)
    response = app.test_client().get("/livez")
    assert_problem(response, 500, "internal_error")
    assert b"secret" not in response.data


class Unready(Pipeline):
    """A pipeline that cannot plan anything."""

    def check(self, _document: Any) -> dict[str, Any]:
        return {"valid": True, "plannable": False, "errors": [], "error_count": 0}


def test_not_ready(assert_problem: AssertProblem) -> None:
    good = default_pipeline()
    client = create_app(Unready(good.judge, good.reference, good.families)).test_client()
    response = client.get("/readyz")
    assert_problem(response, 503, "not_ready")
    assert response.headers["Retry-After"] == "5"
    assert client.get("/livez").json == {"status": "live"}


def test_apps_do_not_share_anything(app: Flask) -> None:
    assert create_app() is not app
