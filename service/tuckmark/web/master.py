"""The process that listens and looks after the workers: gunicorn's, with four things changed.

- It opens one listening socket for each worker on the same address (SO_REUSEPORT), so that the
  kernel spreads the connections. On one shared socket, two workers were measured to do little more
  than one: whichever wakes first takes all. The sockets belong to the master and outlive the
  workers: what is queued at a worker that leaves is served by the next in its seat.
- Told to stop, it first says so (``/readyz``) and goes on serving for a while.
- A worker that has served long enough is relieved: its successor serves before it leaves.
- SIGHUP reloads, but where it came with the end of the terminal that it was started from, it stops.
"""

import os
import signal
import socket
import time
from typing import Any, ClassVar, Final

from gunicorn import sock, systemd
from gunicorn.arbiter import Arbiter

from tuckmark.web import meters
from tuckmark.web.board import SLOTS, Board
from tuckmark.web.worker import Worker

_SEND_BYTES: Final = 256 * 1024
_QUICK: Final = {signal.SIGINT, signal.SIGQUIT}
_RELIEVED: Final = 0  # an age that no serving worker has: gunicorn lets the oldest go first


class Master(Arbiter):
    """gunicorn's arbiter with seats, slots, a drain and relief.

    Args:
        app: what is served.
        board: shared with the workers.
        drain_s: how long it goes on serving after it was told to stop.
    """

    WORKERS: ClassVar[dict[int, Any]]
    LISTENERS: ClassVar[list[Any]]
    log: Any

    def __init__(self, app: Any, board: Board, drain_s: float) -> None:
        super().__init__(app)
        self._board = board
        self._drain_s = drain_s
        # whoever ignores it, as nohup does, wants to outlive the terminal
        self._by_hand = _has_terminal() and signal.getsignal(signal.SIGHUP) != signal.SIG_IGN

    def start(self) -> None:
        """Listen, unless the sockets were handed over (by systemd, or by the master before)."""
        handed_over = "GUNICORN_PID" in os.environ or systemd.listen_fds(unset_environment=False)
        if not handed_over:
            descriptors = _listening(self.cfg.address[0], self.cfg.workers)
            Master.LISTENERS = sock.create_sockets(self.cfg, self.log, descriptors)
        super().start()

    def place(self, worker: Worker) -> None:
        """Give a worker, before it is forked, its slot and its seat."""
        others = [other for other in self.WORKERS.values() if other is not worker]
        taken = {other.slot for other in others}
        worker.slot = next(slot for slot in range(SLOTS) if slot not in taken)
        worker.board = self._board
        self._board.clear(worker.slot)
        worker.seats = self._free_seats([other for other in others if other.age != _RELIEVED])
        meters.reserve(worker.slot)

    def manage_workers(self) -> None:
        """Relieve whoever asks for it, then keep the number right."""
        for worker in list(self.WORKERS.values()):
            if worker.age != _RELIEVED and self._board.wants_relief(worker.slot):
                self.log.info("Relieving worker (pid: %s)", worker.pid)
                worker.age = _RELIEVED
                self.spawn_worker()
        super().manage_workers()

    def stop(self, graceful: bool = True) -> None:
        """Stop the workers; when gracefully, not before everyone could take notice."""
        self._board.announce_stop()
        if graceful and self.WORKERS:
            systemd.sd_notify("STOPPING=1", self.log)
            self._drain()
        super().stop(graceful)

    def handle_hup(self) -> None:
        """Reload; or stop, with the window that it was started in."""
        if self._by_hand and not _has_terminal():
            self.log.info("The terminal is gone")
            self.handle_term()
        super().handle_hup()

    def handle_ttin(self) -> None:
        """Not taken: each worker has its own listening socket from the start."""
        self.log.warning("The number of workers is set at the start")

    handle_ttou = handle_ttin

    def _drain(self) -> None:
        end = time.monotonic() + self._drain_s
        while (left := end - time.monotonic()) > 0 and self.WORKERS:
            signals = self.wait_for_signals(timeout=min(left, 0.5))
            if _QUICK.intersection(signals):
                self.SIG_QUEUE.put_nowait(signal.SIGQUIT)  # the stop itself looks for it
                return
            self.reap_workers()
            self.manage_workers()

    def _free_seats(self, others: list[Any]) -> list[Any]:
        """The socket that fewest workers serve; all of them where there are more than workers."""
        if len(self.LISTENERS) > self.cfg.workers:
            return list(self.LISTENERS)
        served = [listener for other in others for listener in other.seats]
        return [min(self.LISTENERS, key=served.count)]


def _has_terminal() -> bool:
    """Whether a terminal controls this process, whatever its output goes to (tty(4))."""
    try:
        os.close(os.open("/dev/tty", os.O_RDONLY | os.O_NOCTTY))
    except OSError:
        return False
    return True


def _listening(address: Any, number: int) -> list[int]:
    """Descriptors of so many sockets bound to one address, which nobody else may be using.

    Raises:
        OSError: it cannot be listened on; ``filename`` is the address.
    """
    host, port = address
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    bound = []
    for first in (True, *[False] * number):
        listener = socket.socket(family, socket.SOCK_STREAM)
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if not first:
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
            # An answer goes to the kernel in one go: what is sent then outlives the worker.
            listener.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, _SEND_BYTES)
        try:
            listener.bind((host, port))
        except OSError as error:
            error.filename = f"{host}, port {port}"
            raise
        port = listener.getsockname()[1]
        if first:  # alone, it finds out whether the address is free
            listener.close()
        else:
            bound.append(listener.detach())
    return bound
