"""Clients that keep the service busy, never try anything twice, and compare every byte.

Each client sends one request after another, on a connection that it keeps or on a new one each
time. Whatever goes wrong after a request was sent is a lost answer.
"""

import asyncio
import threading
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Self

import orjson

from tuckmark import published
from tuckmark.pipeline import Rejected, default_pipeline
from tuckmark.web import problems
from tuckmark.web.representations import json_bytes

_PATIENCE_S = 30.0
_REQUEST_ID = "resilience-1"


@dataclass(frozen=True)
class Case:
    """One document and the very bytes that the service must answer with."""

    sent: bytes
    status: int
    body: bytes

    def request(self, *, keep: bool) -> bytes:
        return (
            b"POST /v1/plans HTTP/1.1\r\nHost: loft.example\r\nContent-Type: application/json\r\n"
            b"X-Request-ID: %b\r\nConnection: %b\r\nContent-Length: %d\r\n\r\n%b"
            % (
                _REQUEST_ID.encode(),
                b"keep-alive" if keep else b"close",
                len(self.sent),
                self.sent,
            )
        )


def cases() -> tuple[Case, ...]:
    """Every published example, some with more than one answer: plans and refusals.

    The expected bytes are made here, in one thread, without any server: what is tested is that
    load and faults change nothing. That the figures are right is tested elsewhere.
    """
    asked = ({}, {"schema_version": "9.9"}, {"use": {"duty": "persons"}})
    return tuple(
        _case({**spec, **changes}) for spec in published.examples().values() for changes in asked
    )


def _case(spec: dict[str, object]) -> Case:
    sent = orjson.dumps(spec)
    try:
        return Case(sent, 200, json_bytes(default_pipeline().plan(orjson.loads(sent))))
    except Rejected as rejected:
        problem = problems.of_faults(rejected.code, rejected.faults, rejected.count)
        return Case(sent, problem.status, problem.body(_REQUEST_ID))


@dataclass
class Tally:
    """What came of the requests."""

    right: int = 0
    wrong: int = 0
    refused: int = 0
    lost: Counter[str] = field(default_factory=Counter)
    slowest_s: float = 0.0
    in_flight: int = 0

    @property
    def sent(self) -> int:
        return self.right + self.wrong + sum(self.lost.values())


class Load:
    """So many clients in a thread of their own; used in a ``with`` block.

    Args:
        port: where the service is.
        clients: how many ask at the same time.
        keep: share of them that keep their connection.
    """

    def __init__(
        self, port: int, clients: int, given: Sequence[Case], keep: float = 1.0, pause_s: float = 0
    ) -> None:
        self.tally = Tally()
        self._port = port
        self._clients = clients
        self._cases = given
        self._kept = round(clients * keep)
        self._pause_s = pause_s
        self._over = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._run()))

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def wait_for(self, in_flight: int) -> int:
        """Until so many requests are being answered; how many there are then."""
        end = time.monotonic() + _PATIENCE_S
        while time.monotonic() < end:
            if (now := self.tally.in_flight) >= in_flight:
                return now
            time.sleep(0.001)
        raise AssertionError(f"only {self.tally.in_flight} requests in flight")

    async def _run(self) -> None:
        async with asyncio.TaskGroup() as group:
            for number in range(self._clients):
                group.create_task(self._client(number))

    async def _client(self, number: int) -> None:
        keep = number < self._kept
        connection = None
        turn = number
        while not self._over.is_set():
            if connection is None:
                connection = await self._connect()
                if connection is None:
                    continue
            closed = await self._ask(*connection, self._cases[turn % len(self._cases)], keep=keep)
            if closed:
                connection[1].close()
                connection = None
            turn += 1
            if self._pause_s:
                await asyncio.sleep(self._pause_s)
        if connection:
            connection[1].close()

    async def _connect(self) -> tuple[asyncio.StreamReader, asyncio.StreamWriter] | None:
        try:
            return await asyncio.open_connection("127.0.0.1", self._port)
        except OSError:  # nobody listens: nothing was sent, nothing is lost
            self.tally.refused += 1
            await asyncio.sleep(0.02)
            return None

    async def _ask(
        self,
        reader: asyncio.StreamReader,
        writer: asyncio.StreamWriter,
        case: Case,
        *,
        keep: bool,
    ) -> bool:
        """Send one request and judge the answer; whether the connection is over."""
        start = time.monotonic()
        self.tally.in_flight += 1
        try:
            async with asyncio.timeout(_PATIENCE_S):
                writer.write(case.request(keep=keep))
                head = await reader.readuntil(b"\r\n\r\n")
                status, length, closed = _read_head(head)
                body = await reader.readexactly(length)
        except (OSError, EOFError, TimeoutError) as error:
            self.tally.lost[type(error).__name__] += 1
            return True
        finally:
            self.tally.in_flight -= 1
            self.tally.slowest_s = max(self.tally.slowest_s, time.monotonic() - start)
        if (status, body) == (case.status, case.body):
            self.tally.right += 1
        else:
            self.tally.wrong += 1
        return closed


def _read_head(head: bytes) -> tuple[int, int, bool]:
    first, *lines = head.decode("latin-1").lower().split("\r\n")
    fields = dict(line.split(": ", 1) for line in lines if line)
    closed = fields.get("connection") == "close"
    return int(first.split(" ")[1]), int(fields["content-length"]), closed
