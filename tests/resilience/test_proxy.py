"""The shipped nginx configuration, in a real nginx: every error is the one problem body."""

import json
import re
import socket
import time
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from tuckmark import published
from tuckmark.web import problems

from .load import Case
from .proxy import Proxy, proxied
from .raw import LIVE, POST, exchange, parsed
from .service import Service, get, running

LONG = b"a" * 9000
REQUESTS = {
    "no host": (b"GET /livez HTTP/1.1\r\n\r\n", 400, "bad_request"),
    "no request line": (b"KNOT\r\n\r\n", 400, "bad_request"),
    "TLS hello": (b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03\r\n\r\n", 400, "bad_request"),
    "version": (b"GET /livez HTTP/9.9\r\nHost: a\r\n\r\n", 400, "bad_request"),
    "bad host": (b"GET /livez HTTP/1.1\r\nHost: a b/c\r\n\r\n", 400, "bad_request"),
    "two hosts": (LIVE + b"Host: b\r\n\r\n", 400, "bad_request"),
    "control character": (b"GET /livez\x01 HTTP/1.1\r\nHost: a\r\n\r\n", 400, "bad_request"),
    "transfer coding": (POST + b"Transfer-Encoding: rope\r\n\r\n", 400, "bad_request"),
    "two framings": (
        POST + b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n",
        400,
        "bad_request",
    ),
    "bad length": (POST + b"Content-Length: x\r\n\r\n{}", 400, "bad_request"),
    "dots": (b"GET /../../x HTTP/1.1\r\nHost: a\r\n\r\n", 400, "bad_request"),
    "nothing there": (
        b"GET /knot HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n", 404, "not_found"
    ),
    "trace": (b"TRACE /livez HTTP/1.1\r\nHost: a\r\n\r\n", 405, "method_not_allowed"),
    "odd method": (
        b"KNOT /livez HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n",
        405,
        "method_not_allowed",
    ),
    "far too large": (POST + b"Content-Length: 300000\r\n\r\n", 413, "document_too_large"),
    "too large": (
        POST + b"Connection: close\r\nContent-Length: 65537\r\n\r\n" + b" " * 65_537,
        413,
        "document_too_large",
    ),
    "compressed": (
        POST + b"Content-Encoding: gzip\r\nConnection: close\r\nContent-Length: 2\r\n\r\n{}",
        415,
        "unsupported_media_type",
    ),
    "long target": (b"GET /" + LONG + b" HTTP/1.1\r\nHost: a\r\n\r\n", 414, "uri_too_long"),
    "long field": (LIVE + b"A: " + LONG + b"\r\n\r\n", 431, "headers_too_large"),
    "fields": (
        LIVE + b"".join(b"A%d: %b\r\n" % (n, b"b" * 7000) for n in range(12)) + b"\r\n",
        431,
        "headers_too_large",
    ),
    "many fields": (
        LIVE + b"Connection: close\r\n" + b"A: b\r\n" * 150 + b"\r\n", 431, "headers_too_large"
    ),
}  # fmt: skip


def _large(path: bytes, media_type: bytes, body: bytes) -> bytes:
    return (
        b"POST %b HTTP/1.1\r\nHost: a\r\nConnection: close\r\nContent-Type: %b\r\n"
        b"Content-Length: %d\r\n\r\n%b" % (path, media_type, len(body), body)
    )


#: larger than any other operation takes: an error of the proxy must not be judged by their limit
LARGE_BATCH = _large(b"/v1/batches", b"application/x-ndjson", b"{}\n" * 70_000)
LARGE_CUT_LIST = _large(b"/v1/cutlists", b"application/json", b" " * 300_000)


def assert_problem(answer: bytes, status: int, code: str) -> tuple[dict[str, str], Any]:
    found, fields, body = parsed(answer)
    assert found == status
    assert fields["content-type"] == "application/problem+json"
    assert fields["access-control-allow-origin"] == "*"
    assert fields["x-content-type-options"] == "nosniff"
    assert fields["cache-control"] == "no-store"
    assert f'</problems/{code}>; rel="help"' in fields["link"]
    assert '</openapi.json>; rel="service-desc"; type="application/json"' in fields["link"]
    assert fields["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
    shape = json.loads(problems.body(code, "x"))
    assert list(body) == list(shape)
    for name in ("type", "title", "status", "help"):
        assert body[name] == shape[name]
    assert body["request_id"] == fields["x-request-id"]
    return fields, body


@pytest.mark.parametrize(("sent", "status", "code"), REQUESTS.values(), ids=REQUESTS)
def test_every_refusal_is_a_problem(proxy: Proxy, sent: bytes, status: int, code: str) -> None:
    fields, _ = assert_problem(exchange(proxy.port, sent), status, code)
    assert ("allow" in fields) == (status == 405)


def test_a_plan_comes_through_unchanged(proxy: Proxy, given: tuple[Case, ...]) -> None:
    for case in given:
        answer = exchange(proxy.port, case.request(keep=False))
        assert answer.partition(b"\r\n\r\n")[2] == case.body


@pytest.mark.parametrize(
    ("sent", "kept"), [("LW-2207.2_a", True), ('x"}', False), ("x" * 65, False)]
)
def test_request_ids(proxy: Proxy, sent: str, kept: bool) -> None:
    """Checked before they are echoed, by nginx's own answers as by the service's."""
    for path in ("/knot", "/.tuckmark/x", "/" + "a" * 9000):
        request = (
            f"GET {path} HTTP/1.1\r\nHost: a\r\nX-Request-ID: {sent}\r\nConnection: close\r\n\r\n"
        )
        _, fields, body = parsed(exchange(proxy.port, request.encode()))
        if path != "/" + "a" * 9000:  # there, nginx stops before it reads fields
            assert (body["request_id"] == sent) is kept
        assert re.fullmatch("[A-Za-z0-9._-]{1,64}", body["request_id"])
        assert fields["x-request-id"] == body["request_id"]


def test_neither_log_holds_an_address_or_a_spec(
    service: Service, proxy: Proxy, given: tuple[Case, ...]
) -> None:
    exchange(proxy.port, given[0].request(keep=False))
    secret = b"GET /v1/plans/1SECRETspec?made=SECRETtoo HTTP/1.1\r\nHost: a\r\n"
    parent = "00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01"
    exchange(proxy.port, secret + f"traceparent: {parent}\r\nConnection: close\r\n\r\n".encode())
    exchange(proxy.port, b"GET /v1/plans/1SECRET\x01 HTTP/1.1\r\nHost: a\r\n\r\n")
    assert service.log is not None
    ours, theirs = service.log.read_text("utf-8"), proxy.all_logs()
    for log in (ours, theirs):
        assert "SECRET" not in log
        assert json.loads(given[0].sent)["job"]["order"] not in log
        assert log.count(f'"traceparent":"{parent}"') + log.count(f'"traceparent": "{parent}"') == 1
    lines = [json.loads(line) for line in (ours + proxy.log()).splitlines()]
    assert {"/v1/plans", "none"} <= {line.get("route") for line in lines}
    ids = [
        {json.loads(line).get("request_id") for line in log.splitlines()} - {None}
        for log in (ours, proxy.log())
    ]
    assert ids[0] & ids[1], "one request, one id in both logs"


def test_without_a_service_behind(tmp_path: Any) -> None:
    with running() as service, proxied(tmp_path, service.port) as proxy:
        service.stop()
        fields, _ = assert_problem(
            exchange(proxy.port, LIVE + b"Connection: close\r\n\r\n"), 502, "bad_gateway"
        )
        assert fields["retry-after"] == "5"
        for large in (LARGE_BATCH, LARGE_CUT_LIST):
            assert_problem(exchange(proxy.port, large), 502, "bad_gateway")


def test_batches_at_once(service: Service, tmp_path: Path) -> None:
    """Two of one address, whether they are still sent or already answered."""
    head = b"POST /v1/batches HTTP/1.1\r\nHost: a\r\nContent-Type: application/x-ndjson\r\n"
    begun = head + b"Content-Length: 30\r\n\r\n{}\n"
    whole = head + b"Connection: close\r\nContent-Length: 2\r\n\r\n{}"
    with proxied(tmp_path, service.port) as proxy, ExitStack() as open_ones:
        for _ in range(2):
            connection = socket.create_connection(("127.0.0.1", proxy.port), timeout=10)
            open_ones.enter_context(connection)
            connection.sendall(begun)
        time.sleep(0.2)
        fields, _ = assert_problem(exchange(proxy.port, whole), 503, "unavailable")
        assert fields["retry-after"] == "5"
        assert_problem(exchange(proxy.port, LARGE_BATCH), 503, "unavailable")
        assert get(proxy.port, "/v1/about")[0] == 200
        open_ones.close()
        time.sleep(0.2)
        assert exchange(proxy.port, whole).startswith(b"HTTP/1.1 200 ")


def test_a_slow_reader_behind_the_proxy_leaves_the_service_its_turn(tmp_path: Path) -> None:
    """The proxy takes the whole answer, some 20 MB here, and keeps it for the client."""
    lines = (json.dumps(published.examples()["towing-pendant"]).encode() + b"\n") * 600
    head = b"POST /v1/batches HTTP/1.1\r\nHost: a\r\nContent-Type: application/x-ndjson\r\n"
    asked = head + b"Connection: close\r\nContent-Length: %d\r\n\r\n" % len(lines) + lines
    other = head + b"Connection: close\r\nContent-Length: 2\r\n\r\n{}"
    with (
        running(workers=1) as service,
        proxied(tmp_path, service.port) as proxy,
        socket.create_connection(("127.0.0.1", proxy.port), timeout=30) as slow,
    ):
        slow.sendall(asked)
        assert slow.recv(12) == b"HTTP/1.1 200"
        end = time.monotonic() + 15
        while not exchange(service.port, other).startswith(b"HTTP/1.1 200 "):
            assert time.monotonic() < end
            time.sleep(0.1)
        received = bytearray()
        while chunk := slow.recv(1 << 20):
            received += chunk
    assert received.count(b'{"line":') == 600
    assert received.endswith(b"\r\n0\r\n\r\n")


def test_rates_and_metrics(service: Service, tmp_path: Any) -> None:
    """The shipped rate lets a burst through, then refuses; probes are never refused."""
    nobody = {"allow 127.0.0.1;": "", "burst=200": "burst=20"}
    with proxied(tmp_path, service.port, **nobody) as proxy:
        request = b"GET /v1/about HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n"
        answers = [exchange(proxy.port, request) for _ in range(120)]
        refused = [answer for answer in answers if b" 429 " in answer.partition(b"\r\n")[0]]
        assert 0 < len(refused) < 100
        fields, _ = assert_problem(refused[0], 429, "too_many_requests")
        assert fields["retry-after"] == "5"
        large = [exchange(proxy.port, LARGE_CUT_LIST) for _ in range(40)]
        assert_problem(
            next(one for one in large if b" 200 " not in one[:20]), 429, "too_many_requests"
        )
        assert {get(proxy.port, "/livez")[0] for _ in range(60)} == {200}
        assert_problem(
            exchange(proxy.port, request.replace(b"/v1/about", b"/metrics")), 403, "forbidden"
        )
