"""The log, on standard error: one JSON object a line; on a terminal, short lines for people.

A request's line names its route template, never its path or query: an address may hold a whole
spec. An error's line says what broke and where in the program, never with which values.
"""

import json
import logging
import re
import select
import sys
import traceback
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import PurePath
from typing import Any, Final, TextIO

from gunicorn.glogging import Logger

_SERVER: Final = "gunicorn.error"
_REQUESTS: Final = logging.getLogger("tuckmark.requests")
_FACTS: Final = "facts"
_LEFT_OUT: Final = "lines_left_out"
_FRAMES: Final = 12
#: W3C Trace Context, 3.2: later versions may append further parts
_TRACEPARENT: Final = re.compile(
    r"(?!ff)([0-9a-f]{2})-(?!0{32})[0-9a-f]{32}-(?!0{16})[0-9a-f]{16}-[0-9a-f]{2}(-.*)?\Z", re.ASCII
)
_TRACEPARENT_CHARACTERS: Final = 55


class JsonLines(logging.Formatter):
    """Every record as one JSON object."""

    def format(self, record: logging.LogRecord) -> str:
        """One line: time, level, event and what else is known."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "pid": record.process,
            "event": record.getMessage(),
        }
        line.update(getattr(record, _FACTS, {}))
        if record.exc_info and record.exc_info[1]:
            line["errors"] = [_told(error) for error in _chain(record.exc_info[1])]
        return json.dumps(line)


class TerminalLines(logging.Formatter):
    """Every record as a short line for whoever sits at the terminal."""

    def format(self, record: logging.LogRecord) -> str:
        """One line: the time here, what happened, and what broke."""
        facts = getattr(record, _FACTS, {})
        said = _in_words(facts) if record.name == _REQUESTS.name else record.getMessage()
        if record.levelno > logging.INFO:
            said = f"{record.levelname.lower()}: {said}"
        if record.exc_info and record.exc_info[1]:
            told = [_told(error) for error in _chain(record.exc_info[1])]
            said += "".join(f"; {one['kind']} at {(one['at'] or ['?'])[-1]}" for one in told)
        if left_out := facts.get(_LEFT_OUT):
            said += f" ({left_out} lines left out before)"
        when = datetime.fromtimestamp(record.created).astimezone().strftime("%H:%M:%S")
        # what a client sent never moves the cursor
        return f"{when} {said.encode('unicode_escape').decode()}"


class ServerLogger(Logger):
    """gunicorn's own log goes the same way."""

    def setup(self, cfg: Any) -> None:
        """Called at the start and at every reload."""
        super().setup(cfg)
        self.error_log.handlers.clear()
        self.error_log.propagate = True


class _Patient(logging.StreamHandler[TextIO]):
    """Never waits for whoever reads the log: what there is no room for is left out, and counted."""

    def __init__(self, stream: TextIO) -> None:
        super().__init__(stream)
        self._poll = select.poll()
        self._poll.register(stream, select.POLLOUT)
        self._left_out = 0

    def emit(self, record: logging.LogRecord) -> None:
        """Write one line, if that needs no waiting; a pipe that can be written to takes 4 KiB."""
        if not self._poll.poll(0):
            self._left_out += 1
            return
        if self._left_out:
            record.__dict__[_FACTS] = {
                **getattr(record, _FACTS, {}),
                _LEFT_OUT: self._left_out,
            }
            self._left_out = 0
        super().emit(record)


def on_a_terminal() -> bool:
    """Whether a person reads the log as it comes."""
    return sys.stderr.isatty()


def handler() -> logging.Handler:
    """What writes to standard error; on a terminal, without what gunicorn tells of itself."""
    writing = _Patient(sys.stderr)
    if on_a_terminal():
        writing.setFormatter(TerminalLines())
        writing.addFilter(lambda record: record.name != _SERVER or record.levelno > logging.INFO)
    else:
        writing.setFormatter(JsonLines())
    return writing


def configure() -> None:
    """Send the log to standard error; a log that cannot be written is lost, and nothing else."""
    logging.raiseExceptions = False
    logging.basicConfig(level=logging.INFO, handlers=[handler()])


def request(**facts: Any) -> None:
    """Write the line of one request; what is None is left out."""
    known = {name: value for name, value in facts.items() if value is not None}
    _REQUESTS.info("request", extra={_FACTS: known})


def refused_early(code: str, status: int, size_bytes: int, request_id: str) -> None:
    """Write the line of a request that could not be read as HTTP."""
    request(status=status, bytes=size_bytes, problem=code, request_id=request_id)


def traceparent(given: str | None) -> str | None:
    """The ``traceparent`` field as it came, if it is one."""
    if given is None:
        return None
    match = _TRACEPARENT.match(given)
    if match is None or (match[1] == "00" and match[2]):
        return None
    return given[:_TRACEPARENT_CHARACTERS]


def _in_words(facts: Mapping[str, Any]) -> str:
    """The line of a request, as far as it is known."""
    said = [" ".join(str(facts[name]) for name in ("status", "method", "route") if name in facts)]
    if "duration_ms" in facts:
        said.append(f"{facts['duration_ms']:.1f} ms")
    if "problem" in facts:
        said.append(f"{facts['problem']} (request {facts['request_id']})")
    return ", ".join(said)


def _chain(error: BaseException) -> Iterator[BaseException]:
    """The error, and what it was raised from."""
    cause: BaseException | None = error
    while cause is not None:
        yield cause
        cause = cause.__cause__ or (None if cause.__suppress_context__ else cause.__context__)


def _told(error: BaseException) -> dict[str, Any]:
    frames = traceback.extract_tb(error.__traceback__)[-_FRAMES:]
    places = [f"{PurePath(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames]
    return {"kind": type(error).__qualname__, "at": places}
