"""The process that serves the application: gunicorn with our master, worker and settings."""

import gc
import logging
import os
from pathlib import Path
from typing import Any, Final

from gunicorn.app.base import Application
from gunicorn.http import errors

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.web import limits, logs, meters, running
from tuckmark.web.application import broken_off, create_app
from tuckmark.web.board import Board
from tuckmark.web.master import Master
from tuckmark.web.worker import Worker

_LOG: Final = logging.getLogger(__name__)
_WORKERS: Final = 2
#: files of the workers' heartbeats: in memory, for a full disk must not keep a worker from starting
_HEARTBEATS: Final = "/dev/shm"  # noqa: S108 - gunicorn makes and unlinks them safely
#: what a configuration file may change
DEFAULTS: Final[dict[str, Any]] = {
    "threads": 8,
    "timeout": 60,
    "graceful_timeout": 45,  # longer than a cut list may take
    "keepalive": 75,  # longer than clients keep theirs: who closes first knows about it
}


def _tell_where(master: Any) -> None:
    """Where it answers, for whoever sits at the terminal; the log has it from gunicorn."""
    if logs.on_a_terminal():
        addresses = ", ".join(dict.fromkeys(map(str, master.LISTENERS)))
        _LOG.info("Answering at %s; Ctrl-C stops it.", addresses)


#: what the rest relies on
_FIXED: Final[dict[str, Any]] = {
    "preload_app": True,
    "worker_class": Worker,
    "logger_class": logs.ServerLogger,
    "reuse_port": False,  # the master opens the sockets itself, one for each worker
    "limit_request_line": limits.REQUEST_LINE_BYTES,
    "limit_request_fields": limits.HEADER_FIELDS,
    "limit_request_field_size": limits.HEADER_FIELD_BYTES,
    "control_socket_disable": True,
    "forwarded_allow_ips": "",
    "when_ready": _tell_where,
    "pre_fork": lambda master, worker: master.place(worker),
}


class Server(Application):
    """gunicorn, told what to serve and how.

    Args:
        host: address to listen on.
        port: TCP port; 0 takes a free one, which the log names.
        workers: number of processes; None leaves it to the configuration file, or 2.
        config: a gunicorn configuration file.
    """

    def __init__(self, host: str, port: int, workers: int | None, config: Path | None) -> None:
        address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
        self._bind = {"bind": address, **({"workers": workers} if workers else {})}
        self._config = config
        self._board = Board()
        self._drain_s = running.drain_s()
        super().__init__()

    def load_config(self) -> None:
        """Called by gunicorn before anything is started, and at every reload."""
        self._set({"workers": _WORKERS, **DEFAULTS})
        if self._config:
            self.load_config_from_file(str(self._config))
        in_memory = {"worker_tmp_dir": _HEARTBEATS} if os.access(_HEARTBEATS, os.W_OK) else {}
        self._set({**self._bind, **in_memory, **_FIXED})

    def load(self) -> Any:
        """Called by gunicorn once, before the workers are forked."""
        service = running.from_environment(stopping=lambda: self._board.stopping)
        app = create_app(running=service)
        app.register_error_handler(errors.ParseException, broken_off)  # while reading a body
        for spec in published.examples().values():  # what is made on first use is shared by all
            default_pipeline().check(spec)
        gc.freeze()
        return app

    def run(self) -> None:
        """Serve until told to stop."""
        Master(self, self._board, self._drain_s).run()

    def _set(self, values: dict[str, Any]) -> None:
        for name, value in values.items():
            self.cfg.set(name, value)


def serve(host: str, port: int, workers: int | None = None, config: Path | None = None) -> None:
    """Serve until told to stop (SIGINT, SIGTERM).

    Args:
        host: address to listen on.
        port: TCP port; 0 takes a free one, which the log names.
        workers: number of processes; None leaves it to the configuration file, or 2.
        config: a gunicorn configuration file; its ``bind`` and what our answers rely on are not
            taken from it.

    Raises:
        SettingError: a setting in the environment means nothing.
    """
    logs.configure()
    server = Server(host, port, workers, config)
    owner = os.getpid()
    folder = meters.open_folder()
    try:
        server.run()
    finally:
        if os.getpid() == owner:  # a worker comes this way too
            meters.close_folder(folder)
