"""The service as real processes on the loopback: started, signalled, ended by their own pids."""

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any

_START_S = 60.0
_STOP_S = 60.0


@dataclass
class Service:
    """One running master with its workers."""

    port: int
    process: subprocess.Popen[bytes]
    log: Path | None = None
    ended: bool = field(default=False, init=False)

    def workers(self) -> set[int]:
        """Pids of the workers that live now."""
        pid = self.process.pid
        children = Path(f"/proc/{pid}/task/{pid}/children")
        return {int(child) for child in children.read_text(encoding="ascii").split()}

    def signal(self, number: signal.Signals) -> None:
        self.process.send_signal(number)

    def wait_for_new_workers(self, old: set[int], number: int) -> set[int]:
        """Until so many workers serve and none of the old ones is left."""
        end = time.monotonic() + _START_S
        while time.monotonic() < end:
            now = self.workers()
            if len(now) == number and not now & old:
                return now
            time.sleep(0.02)
        raise AssertionError(f"workers {self.workers()} after {old}")

    def resident_kib(self) -> int:
        """Memory of all processes, solvers too: each shared page counted in parts (PSS)."""
        total = 0
        for pid in _with_descendants(self.process.pid):
            with suppress(OSError):  # it may just have ended
                for line in Path(f"/proc/{pid}/smaps_rollup").read_text("ascii").splitlines():
                    if line.startswith("Pss:"):
                        total += int(line.split()[1])
        return total

    def stop(self) -> int:
        """End it as an operator would; its exit code."""
        if not self.ended:
            self.ended = True
            self.process.send_signal(signal.SIGTERM)
        return self.process.wait(timeout=_STOP_S)


def _with_descendants(pid: int) -> Iterator[int]:
    yield pid
    with suppress(OSError):
        for children in Path(f"/proc/{pid}/task").glob("*/children"):
            for child in children.read_text("ascii").split():
                yield from _with_descendants(int(child))


def get(port: int, path: str, host: str = "127.0.0.1") -> tuple[int, bytes]:
    """One request of its own connection."""
    try:
        with urllib.request.urlopen(f"http://{host}:{port}{path}", timeout=10) as answer:
            return answer.status, answer.read()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.read()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


def wait_until_ready(port: int, process: subprocess.Popen[bytes]) -> None:
    end = time.monotonic() + _START_S
    while time.monotonic() < end:
        assert process.poll() is None, "it ended while starting"
        try:
            status, _ = get(port, "/readyz")
        except OSError:
            time.sleep(0.05)
            continue
        assert status == 200
        return
    raise AssertionError("it did not come up")


@contextmanager
def running(
    *arguments: str,
    workers: int = 2,
    environment: Mapping[str, str] | None = None,
    log: Path | None = None,
    wrapper: Sequence[str] = (sys.executable, "-m", "tuckmark.cli", "serve"),
    **more: Any,
) -> Iterator[Service]:
    """``tuckmark serve`` on a free port, from start to end."""
    port = free_port()
    command = [*wrapper, "--port", str(port), "--workers", str(workers), *arguments]
    target: IO[bytes] | int = log.open("wb") if log else subprocess.DEVNULL
    more.setdefault("stderr", target)
    process = subprocess.Popen(command, env={**os.environ, **(environment or {})}, **more)
    service = Service(port, process, log)
    try:
        wait_until_ready(port, process)
        yield service
    finally:
        if process.poll() is None:
            service.stop()
        if not isinstance(target, int):
            target.close()
