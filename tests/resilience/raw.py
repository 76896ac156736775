"""Bytes on a socket: what no HTTP client would send, and what comes back."""

import json
import socket
import time
from contextlib import suppress
from typing import Any

LIVE = b"GET /livez HTTP/1.1\r\nHost: loft.example\r\n"
POST = b"POST /v1/plans HTTP/1.1\r\nHost: loft.example\r\nContent-Type: application/json\r\n"


def exchange(port: int, sent: bytes) -> bytes:
    """Send all at once; whatever comes back until the other side closes.

    Our own side stays open: a proxy takes a closed one for a client that has gone.
    """
    with socket.create_connection(("127.0.0.1", port), timeout=15) as connection:
        with suppress(OSError):  # it may answer and close before the last byte
            connection.sendall(sent)
        received = bytearray()
        with suppress(OSError):
            while chunk := connection.recv(65_536):
                received += chunk
    return bytes(received)


def parsed(answer: bytes) -> tuple[int, dict[str, str], Any]:
    """Status, fields in lower case, and the body as JSON."""
    head, _, body = answer.partition(b"\r\n\r\n")
    first, *lines = head.decode("ascii").split("\r\n")
    fields = {name.lower(): value for name, value in (line.split(": ", 1) for line in lines)}
    return int(first.split(" ")[1]), fields, json.loads(body)


def seconds_to_answer(port: int, request: bytes, expected: bytes) -> float:
    """How long one healthy request takes, on a new connection; its answer must be the right one."""
    start = time.monotonic()
    answer = exchange(port, request)
    taken = time.monotonic() - start
    assert answer.partition(b"\r\n\r\n")[2] == expected, answer[:300]
    return taken
