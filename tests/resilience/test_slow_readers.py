"""Clients that take their answers slowly or never, and send slowly, with no proxy before the
service: probes and plans are answered meanwhile, and who takes too little is cut off."""

import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import orjson
import pytest

from tuckmark import published
from tuckmark.web.parts import PATIENCE_S

from . import figures
from .load import Case
from .raw import LIVE, POST, exchange, parsed, seconds_to_answer
from .service import running

LIMIT_S = 1.0
WATCHED_S = 3.0
#: more than all threads of two workers
CLIENTS = 40
#: the patience of the service with its buffers full, and some for a busy machine
ENDED_S = PATIENCE_S + 30
READY = LIVE.replace(b"/livez", b"/readyz")
CLOSE = b"Connection: close\r\n\r\n"


@pytest.fixture(scope="module")
def batch() -> bytes:
    """A thousand lines, whose answer no buffer holds."""
    body = (orjson.dumps(published.examples()["towing-pendant"]) + b"\n") * 1000
    head = (
        b"POST /v1/batches HTTP/1.1\r\nHost: a\r\nConnection: close\r\n"
        b"Content-Type: application/x-ndjson\r\nContent-Length: %d\r\n\r\n"
    )
    return head % len(body) + body


def connected(port: int, sent: bytes) -> socket.socket:
    """A connection that has sent this and has room for little of the answer."""
    connection = socket.socket()
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    connection.settimeout(ENDED_S)
    connection.connect(("127.0.0.1", port))
    connection.sendall(sent)
    return connection


def accepted(port: int, sent: bytes) -> socket.socket:
    """The same again until the service takes it up: a worker may have no turn left."""
    for _ in range(200):
        connection = connected(port, sent)
        if connection.recv(12) == b"HTTP/1.1 200":
            return connection
        connection.close()
        time.sleep(0.02)
    raise AssertionError("no worker had a turn left")


def everything(connection: socket.socket) -> bytes:
    """All that is still to be had from a connection that the other side has ended."""
    received = bytearray()
    with suppress(OSError):
        while chunk := connection.recv(65_536):
            received += chunk
    return bytes(received)


def trickling(connection: socket.socket, over: threading.Event) -> None:
    """Take some kilobytes a second until the other side ends it."""
    with suppress(OSError):
        while not over.wait(0.2) and connection.recv(2048):
            pass


@contextmanager
def in_threads(tasks: list[Callable[[], object]]) -> Iterator[list[threading.Thread]]:
    threads = [threading.Thread(target=task) for task in tasks]
    for thread in threads:
        thread.start()
    try:
        yield threads
    finally:
        for thread in threads:
            thread.join()


def slowest_meanwhile(port: int, case: Case | None) -> tuple[float, int]:
    """The slowest of the probes and, where one is given, of its plans; and how many there were."""
    end = time.monotonic() + WATCHED_S
    times = []
    while time.monotonic() < end:
        for probe, status in ((LIVE, "live"), (READY, "ready")):
            begun = time.monotonic()
            assert parsed(exchange(port, probe + CLOSE))[2] == {"status": status}
            times.append(time.monotonic() - begun)
        if case:
            times.append(seconds_to_answer(port, case.request(keep=False), case.body))
        time.sleep(0.01)
    return max(times), len(times)


def wait_for_log(log: Path, *patterns: str) -> None:
    """Until the service has written a line of each kind."""
    end = time.monotonic() + ENDED_S
    while missing := [one for one in patterns if not re.search(one, log.read_text("utf-8"))]:
        assert time.monotonic() < end, missing
        time.sleep(0.1)


def test_readers_that_trickle_or_stop_hold_neither_probes_nor_plans(
    given: tuple[Case, ...], batch: bytes, tmp_path: Path
) -> None:
    """Each worker has begun a batch: one is taken by drops, one not at all. Others ask as well."""
    log, over = tmp_path / "log", threading.Event()
    with running(log=log) as service, ExitStack() as open_ones:
        begun = time.monotonic()
        trickled = open_ones.enter_context(accepted(service.port, batch))
        stopped = open_ones.enter_context(accepted(service.port, batch))
        for _ in range(CLIENTS):
            open_ones.enter_context(connected(service.port, batch))
        with in_threads([lambda: trickling(trickled, over)]):
            slowest, answered = slowest_meanwhile(service.port, given[0])
            status, fields, problem = parsed(exchange(service.port, batch))
            assert (status, fields["retry-after"]) == (503, "5")
            assert problem["type"].endswith("/batch_busy")
            wait_for_log(log, r"request \w+ ended: its client", "a client took too little")
            ended_s = time.monotonic() - begun
            over.set()
        assert not everything(stopped).endswith(b"\r\n0\r\n\r\n"), "it is not taken for whole"
        for _ in range(2):
            open_ones.enter_context(accepted(service.port, batch))  # their turns are free again
    figures.record(
        f"{2 + CLIENTS} readers of batches that trickle or stop, without a proxy",
        faults=1,
        healthy_answered=answered,
        slowest_s=round(slowest, 3),
        ended_after_s=round(ended_s, 1),
    )
    assert slowest < LIMIT_S


@pytest.mark.parametrize(
    "sent",
    [
        POST + b"Content-Length: 60000\r\n\r\n{",
        b"GET /openapi.json HTTP/1.1\r\nHost: a\r\n" + CLOSE,
    ],
    ids=["requests that stall", "long answers that nobody takes"],
)
def test_what_holds_every_thread_does_not_hold_probes(
    sent: bytes, request: pytest.FixtureRequest
) -> None:
    """Plans do wait then, until the threads are free again: it is the proxy that takes in whole
    requests before it passes them on, and whole answers for who takes them slowly."""
    with running() as service:
        with ExitStack() as open_ones:
            for _ in range(CLIENTS):
                open_ones.enter_context(connected(service.port, sent))
            time.sleep(0.5)
            slowest, answered = slowest_meanwhile(service.port, None)
        assert service.stop() == 0
    figures.record(
        f"{CLIENTS} clients without a proxy, {request.node.callspec.id}",
        faults=1,
        healthy_answered=answered,
        slowest_s=round(slowest, 3),
    )
    assert slowest < LIMIT_S
