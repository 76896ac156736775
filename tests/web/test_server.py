"""The running service, down to bytes that no HTTP client would send."""

import http.client
import json
import re
import socket
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from types import SimpleNamespace
from typing import Any

import pytest

from tuckmark.pipeline import default_pipeline
from tuckmark.web import worker

Address = tuple[str, int]
_POST = b"POST /v1/plans HTTP/1.1\r\nHost: loft.example\r\nContent-Type: application/json\r\n"
_GET = b"GET /livez HTTP/1.1\r\nHost: loft.example\r\n"


def exchange(address: Address, sent: bytes) -> bytes:
    """Send bytes, end sending, and read what comes back until the service closes."""
    with socket.create_connection(address, timeout=15) as connection:
        connection.sendall(sent)
        with suppress(OSError):  # it may have answered and closed before the last byte
            connection.shutdown(socket.SHUT_WR)
        received = bytearray()
        while chunk := connection.recv(65_536):
            received += chunk
    return bytes(received)


def parsed(answer: bytes) -> tuple[int, dict[str, str], Any]:
    head, _, body = answer.partition(b"\r\n\r\n")
    first, *lines = head.decode("ascii").split("\r\n")
    fields = dict(line.lower().split(": ", 1) for line in lines)
    return int(first.split(" ")[1]), fields, json.loads(body)


def plan(address: Address, spec: Any) -> bytes:
    connection = http.client.HTTPConnection(*address, timeout=15)
    fields = {"Content-Type": "application/json"}
    connection.request("POST", "/v1/plans", json.dumps(spec), fields)
    response = connection.getresponse()
    assert response.status == 200
    body = response.read()
    connection.close()
    return body


@pytest.mark.parametrize(
    ("sent", "status", "code"),
    [
        pytest.param(b"KNOT\r\n\r\n", 400, "bad_request", id="no request line"),
        pytest.param(b"\x16\x03\x01\x02\x00\r\n\r\n", 400, "bad_request", id="TLS hello"),
        pytest.param(b"GET /livez HTTP/9.9\r\n\r\n", 400, "bad_request", id="version"),
        pytest.param(b"GET /livez HTTP/1.1\r\n\r\n", 400, "bad_request", id="no host"),
        pytest.param(_GET + b"No colon\r\n\r\n", 400, "bad_request", id="field without colon"),
        pytest.param(_GET + b"A: b\r\n folded\r\n\r\n", 400, "bad_request", id="folded field"),
        pytest.param(_GET + b"Expect: rope\r\n\r\n", 400, "bad_request", id="expectation"),
        pytest.param(_GET + b"A: b\r\n" * 101 + b"\r\n", 431, "headers_too_large", id="fields"),
        pytest.param(
            _GET + b"A: " + b"b" * 9000 + b"\r\n\r\n", 431, "headers_too_large", id="long field"
        ),
        pytest.param(
            b"GET /" + b"a" * 8100 + b" HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n",
            414,
            "uri_too_long",
            id="long target",
        ),
        pytest.param(
            b"GET /" + b"a" * 20_000 + b" HTTP/1.1\r\nHost: a\r\n\r\n",
            414,
            "uri_too_long",
            id="endless target",
        ),
        pytest.param(_POST + b"Content-Length: x\r\n\r\n{}", 400, "bad_request", id="length"),
        pytest.param(_POST + b"Content-Length: -2\r\n\r\n{}", 400, "bad_request", id="negative"),
        pytest.param(
            _POST + b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
            400,
            "bad_request",
            id="two framings",
        ),
        pytest.param(
            _POST + b"Transfer-Encoding: rope\r\n\r\n{}", 400, "bad_request", id="transfer coding"
        ),
        pytest.param(
            _POST + b"Transfer-Encoding: chunked\r\n\r\nzz\r\n", 400, "bad_request", id="bad chunk"
        ),
        pytest.param(_POST + b"Content-Length: 9\r\n\r\n{}", 400, "bad_request", id="broken off"),
        pytest.param(
            _POST + b"Transfer-Encoding: chunked\r\n\r\n5\r\n{", 400, "bad_request", id="cut chunk"
        ),
        pytest.param(
            _POST + b"Connection: close\r\nContent-Length: 2\r\n\r\n{}{}",
            422,
            "spec_invalid",
            id="longer than announced",
        ),
        pytest.param(
            _POST + b"Connection: close\r\nContent-Length: 65537\r\n\r\n" + b" " * 65_537,
            413,
            "document_too_large",
            id="too large",
        ),
        pytest.param(
            _POST + b"Connection: close\r\nTransfer-Encoding: chunked\r\n\r\n"
            b"10001\r\n" + b" " * 65_537 + b"\r\n0\r\n\r\n",
            413,
            "document_too_large",
            id="too large in chunks",
        ),
    ],
)
def test_bytes_that_no_client_sends(
    address: Address, sent: bytes, status: int, code: str, spec: Any
) -> None:
    found, fields, body = parsed(exchange(address, sent))
    assert found == status
    assert fields["content-type"] == "application/problem+json"
    assert fields["access-control-allow-origin"] == "*"
    assert fields["x-content-type-options"] == "nosniff"
    assert fields["cache-control"] == "no-store"
    for relation in ("help", "describedby", "service-desc", "service-doc", "status", "api-catalog"):
        assert f'rel="{relation}"' in fields["link"]
    assert f'</problems/{code}>; rel="help"' in fields["link"]
    assert list(body) == [
        "type",
        "title",
        "status",
        "detail",
        "help",
        "errors",
        "error_count",
        "request_id",
    ]
    assert body["status"] == status
    assert body["type"] == f"https://tuckmark.example/problems/{code}"
    assert body["request_id"] == fields["x-request-id"]
    assert b"gunicorn" not in json.dumps(body).encode()
    assert json.loads(plan(address, spec)) == default_pipeline().plan(spec)


def test_what_never_reached_the_application_is_counted(address: Address) -> None:
    def counted() -> float:
        connection = http.client.HTTPConnection(*address, timeout=15)
        connection.request("GET", "/metrics")
        text = connection.getresponse().read().decode()
        connection.close()
        found = re.search(r'problems_total{code="headers_too_large"} ([\d.]+)', text)
        return float(found[1]) if found else 0.0

    before = counted()
    exchange(address, _GET + b"A: b\r\n" * 101 + b"\r\n")
    assert counted() == before + 1


@pytest.mark.parametrize("coding", ["gzip, chunked", "deflate,chunked", "identity, Chunked"])
def test_a_coded_document_is_not_taken_for_a_plain_one(
    address: Address, spec: Any, coding: str
) -> None:
    """RFC 9112, 6.1: a server answers with an error to a coding that it does not undo."""
    text = json.dumps(spec).encode()
    head = _POST + b"Connection: close\r\nTransfer-Encoding: %b\r\n\r\n" % coding.encode()
    sent = head + b"%x\r\n%b\r\n0\r\n\r\n" % (len(text), text)
    status, fields, body = parsed(exchange(address, sent))
    assert (status, body["type"].rpartition("/")[2]) == (415, "unsupported_media_type")
    (item,) = body["errors"]
    assert (item["parameter"], item["code"]) == ("Transfer-Encoding", "coding_not_taken")
    assert (item["allowed"], item["given"]) == (["chunked"], coding)
    assert fields["accept-post"] == "application/json"


def test_a_document_in_chunks(address: Address, spec: Any) -> None:
    text = json.dumps(spec).encode()
    chunks = b"".join(b"%x\r\n%b\r\n" % (len(part), part) for part in (text[:99], text[99:]))
    head = _POST + b"Connection: close\r\nTransfer-Encoding: chunked\r\n\r\n"
    status, _, body = parsed(exchange(address, head + chunks + b"0\r\n\r\n"))
    assert status == 200
    assert body == default_pipeline().plan(spec)


def test_a_large_document_is_answered_not_cut_off(address: Address) -> None:
    size = 3_000_000
    head = _POST + b"Connection: close\r\nContent-Length: %d\r\n\r\n" % size
    status, _, body = parsed(exchange(address, head + b" " * size))
    assert (status, body["type"].rpartition("/")[2]) == (413, "document_too_large")


def test_requests_on_one_connection(address: Address, spec: Any) -> None:
    connection = http.client.HTTPConnection(*address, timeout=15)
    fields = {"Content-Type": "application/json"}
    statuses = []
    for method, path, body in (
        ("POST", "/v1/plans", "{}"),
        ("GET", "/nowhere", None),
        ("HEAD", "/livez", None),
        ("OPTIONS", "/v1/plans", None),
        ("GET", "/livez", "{}"),
        ("POST", "/v1/plans", json.dumps(spec)),
    ):
        connection.request(method, path, body, fields if body else {})
        response = connection.getresponse()
        response.read()
        statuses.append(response.status)
    connection.close()
    assert statuses == [422, 404, 200, 204, 200, 200]


def test_what_the_service_takes_as_a_whole(address: Address) -> None:
    """RFC 9110, 9.3.7: an asterisk asks about the server, not about a resource."""
    sent = b"OPTIONS * HTTP/1.1\r\nHost: loft.example\r\nConnection: close\r\n\r\n"
    head, _, body = exchange(address, sent).partition(b"\r\n\r\n")
    assert head.startswith(b"HTTP/1.1 204 ")
    assert b"\r\nAllow: GET, HEAD, OPTIONS, POST\r\n" in head
    assert b"\r\nAccess-Control-Allow-Origin: *\r\n" in head
    assert body == b""
    status, _, problem = parsed(exchange(address, sent.replace(b"OPTIONS", b"GET")))
    assert (status, problem["type"].rpartition("/")[2]) == (400, "bad_request")


def test_many_at_once_get_the_same_bytes(address: Address, spec: Any) -> None:
    with ThreadPoolExecutor(12) as pool:
        answers = set(pool.map(lambda _: plan(address, spec), range(60)))
    assert len(answers) == 1


@pytest.mark.parametrize(
    ("sent", "probe"),
    [
        (_GET + b"\r\n", True),
        (b"GET /readyz HTTP/1.0\r\n\r\n", True),
        (_GET + b"Connection: close\r\nA: b\r\n\r\n", True),
        (_GET, False),
        (_GET + b"\r\n" + _GET, False),
        (_GET + b"content-length: 5\r\n\r\n", False),
        (_GET + b"Transfer-Encoding: chunked\r\n\r\n", False),
        (_GET + b"A: b\r\n" * 2000 + b"\r\n", False),
        (b"GET /livez?a HTTP/1.1\r\nHost: a\r\n\r\n", False),
        (b"GET /livezz HTTP/1.1\r\nHost: a\r\n\r\n", False),
        (b"POST /livez HTTP/1.1\r\nHost: a\r\n\r\n", False),
        (b"", False),
    ],
)
def test_only_what_cannot_get_stuck_has_the_thread_of_the_probes(sent: bytes, probe: bool) -> None:
    ours, theirs = socket.socketpair()
    with ours, theirs:
        ours.setblocking(False)
        theirs.sendall(sent)
        for initialized in (False, True):
            connection: Any = SimpleNamespace(initialized=initialized, sock=ours)
            assert worker.is_probe(connection) is (probe and not initialized)
        if sent:
            assert ours.recv(1 << 20) == sent, "nothing was taken off"
