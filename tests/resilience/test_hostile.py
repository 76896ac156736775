"""Hostile clients before the shipped proxy; meanwhile a healthy request is answered in a second."""

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress

import pytest

from . import figures
from .load import Case
from .proxy import Proxy
from .raw import LIVE, POST, exchange, seconds_to_answer

LIMIT_S = 1.0
WATCHED_S = 1.5
CONNECTIONS = 200


@contextmanager
def dripping(
    port: int, first: bytes, drop: bytes, pause_s: float = 0.2
) -> Iterator[list[socket.socket]]:
    """So many connections that each send a little more, again and again, and never an end."""
    open_ones = []
    over = threading.Event()
    for _ in range(CONNECTIONS):
        connection = socket.create_connection(("127.0.0.1", port), timeout=10)
        connection.sendall(first)
        open_ones.append(connection)

    def drip() -> None:
        while not over.wait(pause_s):
            for connection in open_ones:
                with suppress(OSError):  # the proxy may have had enough
                    connection.sendall(drop)

    thread = threading.Thread(target=drip)
    thread.start()
    try:
        yield open_ones
    finally:
        over.set()
        thread.join()
        for connection in open_ones:
            connection.close()


DRIPS = {
    "nothing at all": (b"", b""),
    "slow request line": (b"GET /", b"a"),
    "slow headers": (LIVE, b"A: b\r\n"),
    "slow body": (POST + b"Content-Length: 60000\r\n\r\n", b" "),
    "slow chunks": (POST + b"Transfer-Encoding: chunked\r\n\r\n", b"1\r\n \r\n"),
    "half a body": (POST + b"Content-Length: 60000\r\n\r\n{", b""),
}


def slowest_healthy(port: int, case: Case) -> tuple[float, int]:
    end = time.monotonic() + WATCHED_S
    times = []
    while time.monotonic() < end:
        times.append(seconds_to_answer(port, case.request(keep=False), case.body))
    return max(times), len(times)


@pytest.mark.parametrize(("first", "drop"), DRIPS.values(), ids=DRIPS)
def test_slow_clients(
    proxy: Proxy, given: tuple[Case, ...], first: bytes, drop: bytes, request: pytest.FixtureRequest
) -> None:
    with dripping(proxy.port, first, drop):
        slowest, answered = slowest_healthy(proxy.port, given[0])
    figures.record(
        f"{CONNECTIONS} slow clients, {request.node.callspec.id}",
        faults=1,
        healthy_answered=answered,
        slowest_s=round(slowest, 3),
    )
    assert slowest < LIMIT_S


def reading_nothing(port: int, case: Case) -> None:
    """Ask for a whole plan and never read it."""
    with socket.socket() as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
        connection.settimeout(10)
        connection.connect(("127.0.0.1", port))
        connection.sendall(case.request(keep=True) * 4)
        time.sleep(WATCHED_S)


FLOODS: dict[str, bytes] = {
    "header floods": LIVE
    + b"".join(b"A%d: %b\r\n" % (n, b"b" * 7000) for n in range(12))
    + b"\r\n",
    "oversized bodies": POST + b"Content-Length: 99999999\r\n\r\n" + b" " * 200_000,
    "compressed bodies": POST + b"Content-Encoding: gzip\r\nConnection: close\r\n"
    b"Content-Length: 1000\r\n\r\n" + b"\x1f\x8b" + b"\0" * 998,
    "deep documents": POST + b"Connection: close\r\nContent-Length: 60000\r\n\r\n" + b"[" * 60_000,
    "odd methods": b"KNOT /v1/plans HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n",
    "odd paths": b"GET /%00%ff/..%2f..%2f?%%%= HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n",
    "bad hosts": b"GET /livez HTTP/1.1\r\nHost: a b c\r\n\r\n",
    "unclosed quotes": b'GET /v1/about HTTP/1.1\r\nHost: a\r\nConnection: close\r\nAccept: "'
    + b"\r\nAccept: ".join([b'\\"' * 3500] * 4)
    + b"\r\n\r\n",
    "half requests": LIVE,
}


def flooding(port: int, sent: bytes, over: threading.Event) -> None:
    while not over.is_set():
        if sent is LIVE:
            with suppress(OSError), socket.create_connection(("127.0.0.1", port), 5) as connection:
                connection.sendall(sent)
        else:
            answer = exchange(port, sent)
            assert b" 500 " not in answer.partition(b"\r\n")[0]
        time.sleep(0.01)


@pytest.mark.parametrize("sent", FLOODS.values(), ids=FLOODS)
def test_floods(
    proxy: Proxy, given: tuple[Case, ...], sent: bytes, request: pytest.FixtureRequest
) -> None:
    check_healthy_meanwhile(
        proxy, given, request.node.callspec.id, lambda over: flooding(proxy.port, sent, over)
    )


def test_clients_that_read_nothing(proxy: Proxy, given: tuple[Case, ...]) -> None:
    check_healthy_meanwhile(
        proxy, given, "clients that read nothing", lambda _: reading_nothing(proxy.port, given[0])
    )


def check_healthy_meanwhile(
    proxy: Proxy, given: tuple[Case, ...], what: str, attack: Callable[[threading.Event], None]
) -> None:
    over = threading.Event()
    threads = [threading.Thread(target=attack, args=(over,)) for _ in range(8)]
    for thread in threads:
        thread.start()
    try:
        slowest, answered = slowest_healthy(proxy.port, given[0])
    finally:
        over.set()
        for thread in threads:
            thread.join()
    figures.record(
        f"8 clients, {what}", faults=1, healthy_answered=answered, slowest_s=round(slowest, 3)
    )
    assert slowest < LIMIT_S
