"""One application for all tests, and one running service, on a free port of the loopback."""

import copy
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.web import create_app

_START_S = 30


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app()


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture
def spec() -> dict[str, Any]:
    example: dict[str, Any] = copy.deepcopy(published.examples()["towing-pendant"])
    return example


@pytest.fixture
def assert_problem() -> Callable[..., dict[str, Any]]:
    return _assert_problem


def _assert_problem(response: Any, status: int, code: str) -> dict[str, Any]:
    """The one error body, pinned: every member, in order, and the fields that go with it."""
    assert response.status_code == status
    assert response.headers["Content-Type"] == "application/problem+json"
    assert response.headers["Cache-Control"] == "no-store"
    assert response.headers["Access-Control-Allow-Origin"] == "*"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    body: dict[str, Any] = response.json
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
    assert body["type"] == f"https://tuckmark.example/problems/{code}"
    assert body["help"] == f"/problems/{code}"
    assert body["status"] == status
    assert body["title"]
    assert body["detail"]
    assert len(body["errors"]) == min(body["error_count"], 50)
    assert body["request_id"] == response.headers["X-Request-ID"]
    return body


@pytest.fixture(scope="session")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, int]]:
    """Host and port of the service, started as a user would and ended by its own pid."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        host, port = probe.getsockname()
    start = f"from tuckmark.web.server import serve; serve({host!r}, {port}, 2)"
    log = tmp_path_factory.mktemp("service") / "log"
    with log.open("wb") as file:
        process = subprocess.Popen([sys.executable, "-c", start], stderr=file)
    try:
        _wait_until_ready(host, port, process)
        yield host, port
    finally:
        os.kill(process.pid, signal.SIGTERM)
        process.wait(timeout=_START_S)
        text = log.read_text(encoding="utf-8")
        assert "Traceback" not in text, text
        assert '"level": "error"' not in text, text


def _wait_until_ready(host: str, port: int, process: subprocess.Popen[bytes]) -> None:
    for _ in range(_START_S * 10):
        assert process.poll() is None, "the service ended while starting"
        try:
            with urllib.request.urlopen(f"http://{host}:{port}/readyz", timeout=5):
                return
        except urllib.error.URLError:
            time.sleep(0.1)
    pytest.fail("the service did not come up")
