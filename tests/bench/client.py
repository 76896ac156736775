"""A client in a process of its own: ``python -m tests.bench.client PORT FILE FROM ...``.

Keeps some connections busy for some seconds, each with one request after another, and writes how
long each answer took. Plain sockets: it must cost little beside what it measures.
"""

import json
import selectors
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Final

_HEAD: Final = (
    b"POST %b HTTP/1.1\r\nHost: loft.example\r\nContent-Type: application/json\r\n"
    b"Accept: */*\r\nContent-Length: %d\r\n\r\n%b"
)
_PATIENCE_S: Final = 60.0
_RECEIVE: Final = 256 * 1024


@dataclass(frozen=True)
class Load:
    """What came of one run."""

    seconds: float
    latencies_s: list[float]
    client_s: float

    @property
    def per_s(self) -> float:
        """Answers in a second."""
        return len(self.latencies_s) / self.seconds

    @property
    def client_us(self) -> float:
        """Processor time that the client itself took for one request."""
        return self.client_s / len(self.latencies_s) * 1e6

    def percentile_ms(self, share: float) -> float:
        """The latency that such a share of the answers kept."""
        ranked = sorted(self.latencies_s)
        return ranked[min(int(share * len(ranked)), len(ranked) - 1)] * 1e3


def load(
    port: int,
    bodies: Path,
    *,
    start: int = 0,
    connections: int = 4,
    seconds: float = 3.0,
    path: str = "/v1/plans",
) -> Load:
    """Run the client to its end.

    Args:
        bodies: a file with one document a line.
        start: the line to begin with, so that rounds do not repeat each other's.
    """
    given = [str(port), str(bodies), str(start), str(connections), str(seconds), path]
    command = [sys.executable, "-m", "tests.bench.client", *given]
    timeout = seconds + 2 * _PATIENCE_S
    done = subprocess.run(command, stdout=subprocess.PIPE, timeout=timeout, check=True)
    return Load(**json.loads(done.stdout))


class _Connection:
    def __init__(self, port: int) -> None:
        self.socket = socket.create_connection(("127.0.0.1", port), timeout=_PATIENCE_S)
        self.socket.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        self.begun = 0.0
        self._answer = bytearray()
        self._wanted = 0

    def ask(self, request: bytes) -> None:
        self._answer.clear()
        self._wanted = 0
        self.begun = time.perf_counter()
        self.socket.sendall(request)

    def is_answered(self) -> bool:
        """Read what has come; whether that is all of the answer."""
        chunk = self.socket.recv(_RECEIVE)
        if not chunk:
            raise SystemExit("the service closed a connection")
        self._answer += chunk
        if not self._wanted and (end := self._answer.find(b"\r\n\r\n")) >= 0:
            head = bytes(self._answer[:end]).lower()
            if b" 200 " not in head.partition(b"\r\n")[0]:
                raise SystemExit(f"not a plan: {bytes(self._answer[:2000])!r}")
            length = head.partition(b"content-length: ")[2].partition(b"\r\n")[0]
            self._wanted = end + 4 + int(length)
        return self._wanted > 0 and len(self._answer) >= self._wanted


def main() -> None:
    """Print one JSON object."""
    port, file, first, connections, seconds, path = sys.argv[1:]
    lines = Path(file).read_bytes().splitlines()
    requests = [_HEAD % (path.encode(), len(line), line) for line in lines]
    ready = selectors.DefaultSelector()
    for _ in range(int(connections)):
        connection = _Connection(int(port))
        ready.register(connection.socket, selectors.EVENT_READ, connection)
    latencies: list[float] = []
    n = int(first)
    begun, client = time.perf_counter(), time.process_time()
    for key in ready.get_map().values():
        key.data.ask(requests[n % len(requests)])
        n += 1
    end = begun + float(seconds)
    while (now := time.perf_counter()) < end:
        for key, _ in ready.select(_PATIENCE_S):
            connection = key.data
            if connection.is_answered():
                latencies.append(time.perf_counter() - connection.begun)
                connection.ask(requests[n % len(requests)])
                n += 1
    took = {"seconds": now - begun, "latencies_s": latencies}
    print(json.dumps({**took, "client_s": time.process_time() - client}))


if __name__ == "__main__":
    main()
