"""The process that serves the application: gunicorn, without configuration files.

What gunicorn refuses by itself, before any application sees it, is answered
with the same problem body as everything else.
"""

import logging
import secrets
import socket
import struct
from contextlib import suppress
from http import HTTPStatus
from typing import Any, Final

from gunicorn.app.base import BaseApplication
from gunicorn.http import errors
from gunicorn.workers.gthread import ThreadWorker

from tuckmark.web import limits, problems
from tuckmark.web.application import broken_off, create_app

_LOG: Final = logging.getLogger(__name__)
_THREADS: Final = 8
_STALLED_S: Final = 20  # a client that sends nothing for so long is dropped
_SETTINGS: Final[dict[str, Any]] = {
    "threads": _THREADS,
    "preload_app": True,
    "timeout": 60,
    "graceful_timeout": 20,
    "keepalive": 5,
    "limit_request_line": limits.REQUEST_LINE_BYTES,
    "limit_request_fields": limits.HEADER_FIELDS,
    "limit_request_field_size": limits.HEADER_FIELD_BYTES,
    "control_socket_disable": True,
    "forwarded_allow_ips": "",
}
_CODE_OF: Final = (
    (errors.LimitRequestLine, "uri_too_long"),
    (errors.LimitRequestHeaders, "headers_too_large"),
    (errors.ConfigurationProblem, "internal_error"),
    (errors.ParseException, "bad_request"),
)


class Worker(ThreadWorker):
    """A threaded worker that drops stalled clients and words its own errors as problems."""

    def handle(self, conn: Any) -> Any:
        """Serve one connection; a read that stalls ends in an OSError."""
        timeout = struct.pack("ll", _STALLED_S, 0)
        conn.sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVTIMEO, timeout)
        return super().handle(conn)

    def handle_error(self, _req: Any, client: Any, _addr: Any, exc: BaseException) -> None:
        """Answer a request that never reached the application, or broke below it."""
        code = next((code for kind, code in _CODE_OF if isinstance(exc, kind)), "internal_error")
        request_id = secrets.token_hex(8)
        if code == "internal_error":
            _LOG.error("request %s failed", request_id, exc_info=exc)
        with suppress(OSError):  # the client may be gone
            client.sendall(_raw_answer(code, request_id))


class Server(BaseApplication):
    """gunicorn, told what to serve and how."""

    def __init__(self, host: str, port: int, workers: int) -> None:
        address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
        self._own = {"bind": address, "workers": workers, **_SETTINGS}
        super().__init__()

    def load_config(self) -> None:
        """Called by gunicorn before anything is started."""
        self.cfg.set("worker_class", Worker)
        for name, value in self._own.items():
            if name in self.cfg.settings:  # older versions lack some
                self.cfg.set(name, value)

    def load(self) -> Any:
        """Called by gunicorn once, before the workers are forked."""
        app = create_app()
        app.register_error_handler(errors.ParseException, broken_off)  # while reading a body
        return app


def serve(host: str, port: int, workers: int) -> None:
    """Serve until told to stop (SIGINT, SIGTERM).

    Args:
        host: address to listen on.
        port: TCP port; 0 takes a free one, which the log names.
        workers: number of processes.
    """
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(message)s")
    Server(host, port, workers).run()


def _raw_answer(code: str, request_id: str) -> bytes:
    body = problems.body(code, request_id)
    status = HTTPStatus(problems.status_of(code))
    head = (
        f"HTTP/1.1 {status.value} {status.phrase}",
        "Connection: close",
        f"Content-Type: {problems.MEDIA_TYPE}",
        f"Content-Length: {len(body)}",
        "Cache-Control: no-store",
        "Access-Control-Allow-Origin: *",
        "X-Content-Type-Options: nosniff",
        f"X-Request-ID: {request_id}",
        "",
        "",
    )
    return "\r\n".join(head).encode("ascii") + body
