"""Started by hand: the service ends with its window, and reloads when it is told to."""

import os
import pty
import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest

from .service import free_port, get

_PATIENCE_S = 30.0
_SERVE = f"{sys.executable} -m tuckmark.cli serve"


def wait_for(what: Callable[[], bool]) -> bool:
    end = time.monotonic() + _PATIENCE_S
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.05)
    return False


def answers(port: int) -> bool:
    with suppress(OSError):
        return get(port, "/readyz")[0] == 200
    return False


def children(pid: int) -> set[int]:
    with suppress(OSError):
        text = Path(f"/proc/{pid}/task/{pid}/children").read_text(encoding="ascii")
        return {int(child) for child in text.split()}
    return set()


def runs(pid: int) -> bool:
    """Whether it is there and no zombie."""
    with suppress(OSError):
        status = Path(f"/proc/{pid}/stat").read_text(encoding="ascii")
        return status.rpartition(")")[2].split()[0] != "Z"
    return False


@contextmanager
def window(command: str, port: int) -> Iterator[tuple[Callable[[], None], int]]:
    """A terminal with a shell that runs this; what closes it, and the server's process."""
    shell, terminal = pty.fork()
    if shell == 0:
        signal.signal(signal.SIGHUP, signal.SIG_DFL)  # these tests may run under nohup themselves
        os.execvp("bash", ["bash", "-c", command.format(port=port)])  # noqa: S606 - bash is one
    server, ends = 0, [terminal]

    def close() -> None:
        while ends:
            os.close(ends.pop())

    try:
        assert wait_for(lambda: answers(port))
        server = next(iter(children(shell))) if ";" in command else shell
        assert wait_for(lambda: len(children(server)) == 2)
        yield close, server
    finally:
        close()
        for pid in {shell, server} - {0}:
            if runs(pid):
                os.kill(pid, signal.SIGTERM)
        with suppress(ChildProcessError):
            os.waitpid(shell, 0)


@pytest.mark.parametrize(
    "command",
    [
        f"exec {_SERVE} --port {{port}}",
        f"{_SERVE} --port {{port}}; true",
        f"{_SERVE} --port {{port}} 2> /dev/null; true",
    ],
    ids=["instead of the shell", "under a shell", "log elsewhere"],
)
def test_it_ends_with_its_window(command: str) -> None:
    port = free_port()
    with window(command, port) as (close, server):
        workers = children(server)
        close()
        assert wait_for(lambda: not any(map(runs, (server, *workers))))
        assert not answers(port)


def test_told_to_reload_while_its_window_is_open_it_reloads() -> None:
    port = free_port()
    with window(f"{_SERVE} --port {{port}}; true", port) as (_, server):
        old = children(server)
        os.kill(server, signal.SIGHUP)
        assert wait_for(lambda: len(children(server)) == 2 and not children(server) & old)
        assert answers(port)


def test_who_asks_for_it_by_nohup_keeps_it() -> None:
    port = free_port()
    command = f"nohup {_SERVE} --port {{port}} > /dev/null 2>&1; true"
    with window(command, port) as (close, server):
        close()
        time.sleep(2)
        assert runs(server)
        assert answers(port)
