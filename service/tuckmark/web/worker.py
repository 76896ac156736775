"""One serving process: gunicorn's threaded worker, with five things changed.

- A new connection waits in the poller, not in a thread, until it has sent something: connections
  that send nothing cannot use up the threads.
- An answered connection that is to be closed is closed in the poller as well. Waiting for the
  client's own end in the main loop would let one idle client hold up every other.
- A client has so much time for each part of its answer, not for each byte that it takes.
- A probe has a thread of its own, which nothing else can hold: it is told from the bytes that came
  first on a connection, where they are all of its request.
- A worker that stops takes every connection that the kernel has already accepted for it, and stops
  listening at once: nobody is left in a queue that nobody serves.

Requests that gunicorn refuses by itself are answered with the same problem body as everything else.
"""

import errno
import logging
import re
import secrets
import socket
import struct
import sys
import time
from collections import deque
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from http import HTTPStatus
from selectors import EVENT_READ
from typing import Any, Final

from gunicorn.http import errors
from gunicorn.workers.gthread import TConn, ThreadWorker

from tuckmark.web import headers, links, logs, meters, problems, running
from tuckmark.web.board import Board

_LOG: Final = logging.getLogger(__name__)
#: a client that sends nothing, or takes nothing of its answer, for so long is dropped
_STALLED_S: Final = 20
#: how long a client that was answered may take to close; as gunicorn itself allows
_LINGER_S: Final = 2.0
_DISCARDED_BYTES: Final = 65_536
_PEEKED_BYTES: Final = 4096
#: a whole request that has no body, and nothing behind it
_PROBE: Final = re.compile(
    rb"GET /(?:livez|readyz) HTTP/1\.[01]\r\n(?:(?!content-length|transfer-encoding)[^\r\n]+\r\n)*"
    rb"\r\n",
    re.IGNORECASE,
)
_NO_CONNECTION: Final = (errno.EAGAIN, errno.EWOULDBLOCK, errno.ECONNABORTED)
_CODE_OF: Final = (
    (errors.LimitRequestLine, "uri_too_long"),
    (errors.LimitRequestHeaders, "headers_too_large"),
    (errors.ConfigurationProblem, "internal_error"),
    (errors.ParseException, "bad_request"),
)


class Connection(TConn):
    """A connection that is closed without anyone waiting for it."""

    def __init__(self, linger: Callable[["Connection"], None], *facts: Any) -> None:
        super().__init__(*facts)
        self._linger = linger
        self.unread_bytes = _DISCARDED_BYTES

    def close(self, graceful: bool = False) -> None:
        """End it; gracefully is: the client gets to read all that was sent (RFC 9112, 9.6)."""
        if graceful:
            try:
                self.sock.shutdown(socket.SHUT_WR)
            except OSError:
                super().close()
            else:
                self._linger(self)
        else:
            super().close()


class Worker(ThreadWorker):
    """A worker with a seat at one listening socket and a slot of its own.

    Attributes:
        slot: number that no other living worker has; meters go by it.
        seats: the listening sockets it serves.
        board: shared with the master.
    """

    slot: int
    seats: list[Any]
    board: Board

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # The master brings in a successor first; gunicorn's own way leaves a gap.
        self._relief_after = self.max_requests
        self.max_requests = sys.maxsize
        self._lingering: deque[Connection] = deque()
        self._probes = ThreadPoolExecutor(1)  # its thread starts with the first probe

    def init_process(self) -> None:
        """Called once in the new process."""
        for listener in self.sockets:
            if listener not in self.seats:
                listener.close()
        self.sockets = self.seats
        meters.take_slot(self.slot)
        super().init_process()

    def accept(self, listener: Any) -> None:
        """Called by gunicorn when a listening socket is readable."""
        self._take(listener)

    def _take(self, listener: Any) -> bool:
        """Take one connection, if there is one; it waits in the poller until it sends."""
        try:
            client, address = listener.accept()
        except OSError as error:
            if error.errno in _NO_CONNECTION:
                return False
            raise
        self.nr_conns += 1
        connection = Connection(self._linger, self.cfg, client, address, listener.getsockname())
        connection.set_timeout()
        self.pending_conns.append(connection)
        answer = partial(self.on_pending_socket_readable, connection)
        self.poller.register(connection.sock, EVENT_READ, answer)
        return True

    def set_accept_enabled(self, enabled: bool | None) -> None:
        """Listen or not; when stopping, only after taking all that is queued."""
        super().set_accept_enabled(enabled)
        if self.alive:
            return
        for listener in self.sockets:
            while self._take(listener):
                pass
            listener.close()
        deadline = time.monotonic() + _LINGER_S
        for connection in self.pending_conns:
            connection.timeout = min(connection.timeout or deadline, deadline)

    def enqueue_req(self, conn: Any) -> None:
        """Give one request to a thread; a probe never waits for those that are answered."""
        threads = self._probes if is_probe(conn) else self.tpool
        done = threads.submit(self.handle, conn)
        done.add_done_callback(partial(self.method_queue.defer, self.finish_request, conn))

    def handle(self, conn: Any) -> Any:
        """Serve one connection; a read or a write that stalls ends in an OSError."""
        timeout = struct.pack("ll", _STALLED_S, 0)
        for stalls in (socket.SO_RCVTIMEO, socket.SO_SNDTIMEO):
            conn.sock.setsockopt(socket.SOL_SOCKET, stalls, timeout)
        keep = super().handle(conn)
        if self.nr >= self._relief_after:
            self.board.ask_relief(self.slot)
        return keep

    def handle_request(self, req: Any, conn: Any) -> Any:
        """Answer one request; all of a part of the answer is taken within the time, or it ends."""
        conn.sock.settimeout(_STALLED_S)
        try:
            return super().handle_request(req, conn)
        except TimeoutError:  # one while reading a body has its answer already
            _LOG.warning("a client took too little of its answer in %d s: ended", _STALLED_S)
            raise ConnectionResetError(errno.ECONNRESET, "the client takes too little") from None

    def handle_error(self, _req: Any, client: Any, _addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the application, or broke below it."""
        code = next((code for kind, code in _CODE_OF if isinstance(exc, kind)), "internal_error")
        request_id = secrets.token_hex(8)
        if code == "internal_error":
            _LOG.error("request %s failed", request_id, exc_info=exc)
        answer, status = _raw_answer(code, request_id), problems.status_of(code)
        logs.refused_early(code, status, len(answer), request_id)
        if served := getattr(self.wsgi, "extensions", {}).get(running.EXTENSION):
            served.meters.refused_early(status, code)
        with suppress(OSError):  # the client may be gone
            client.sendall(answer)

    def murder_pending(self) -> None:
        """Close what has waited too long, the connections that linger included."""
        super().murder_pending()
        now = time.monotonic()
        while self._lingering and (self._lingering[0].timeout or 0) <= now:
            self._let_go(self._lingering[0])

    def _linger(self, connection: Connection) -> None:
        self.nr_conns += 1  # gunicorn has just counted it off
        connection.timeout = time.monotonic() + _LINGER_S
        connection.sock.setblocking(False)
        self._lingering.append(connection)
        self.poller.register(connection.sock, EVENT_READ, partial(self._discard, connection))

    def _discard(self, connection: Connection, _sock: Any) -> None:
        """Read on, so that unread bytes do not take the answer with them."""
        try:
            received = len(connection.sock.recv(4096))
        except OSError:
            received = 0
        connection.unread_bytes -= received
        if not received or connection.unread_bytes <= 0:
            self._let_go(connection)

    def _let_go(self, connection: Connection) -> None:
        self._lingering.remove(connection)
        self.poller.unregister(connection.sock)
        self.nr_conns -= 1
        connection.close()


def is_probe(connection: Connection) -> bool:
    """Whether this is a probe whose answer cannot get stuck: nothing was sent here before."""
    if connection.initialized:
        return False
    try:
        head = connection.sock.recv(_PEEKED_BYTES, socket.MSG_PEEK)
    except OSError:
        return False
    return _PROBE.fullmatch(head) is not None


def _raw_answer(code: str, request_id: str) -> bytes:
    body = problems.body(code, request_id)
    status = HTTPStatus(problems.status_of(code))
    fields = {
        "Connection": "close",
        "Content-Type": problems.MEDIA_TYPE,
        "Content-Length": str(len(body)),
        "Cache-Control": "no-store",
        "Link": links.everywhere(links.of_problem(problems.help_path(code))),
        **headers.ALWAYS,
        "Content-Security-Policy": headers.content_security(problems.MEDIA_TYPE),
        "X-Request-ID": request_id,
    }
    lines = [f"HTTP/1.1 {status.value} {status.phrase}"]
    lines += [f"{name}: {value}" for name, value in fields.items()]
    return "\r\n".join([*lines, "", ""]).encode("ascii") + body
