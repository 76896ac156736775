"""Figures on the running service, in Prometheus' text format.

Every worker counts in two files of its own, which one scrape adds up. A file belongs to a slot,
not to a process: the next worker in a slot goes on where the last one ended, so that counters
survive reloads and the number of files stays small. Labels are closed sets: route templates,
families, codes.

The files are laid out in full before a worker is started. Writing to a memory-mapped hole on a
full disk would kill the process; like this a full disk costs the figures, never an answer.
"""

import logging
import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from time import perf_counter
from typing import Any, Final, Literal

from prometheus_client import CollectorRegistry, Counter, Histogram, generate_latest, values
from prometheus_client.multiprocess import MultiProcessCollector

from tuckmark.faults import Fault
from tuckmark.observing import Stage

_LOG: Final = logging.getLogger(__name__)
#: the text format as its readers ask for it; what ``generate_latest`` writes
MEDIA_TYPE: Final = "text/plain; version=0.0.4"
_FOLDER: Final = "PROMETHEUS_MULTIPROC_DIR"
#: the library's own kinds of file that we use; all series there can be take about a third
_KINDS: Final = ("counter", "histogram")
_FILE_BYTES: Final = 512 * 1024
_SECONDS: Final = (0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30)
_METHODS: Final = frozenset({"GET", "HEAD", "OPTIONS", "POST"})


class _Process:
    """How this process counts: by itself, in the files of its slot, or not at all."""

    counting: Literal["alone", "shared", "not"] = "alone"
    slot: int | str = "master"


def open_folder() -> Path | None:
    """Make the folder that the workers count in; called once, before the application is made.

    Returns:
        the folder, or None where there is no room for one: then nothing is counted.
    """
    folder = None
    try:
        folder = Path(tempfile.mkdtemp(prefix="tuckmark-metrics-", dir=os.environ.get(_FOLDER)))
        _lay_out(folder, _Process.slot)
    except OSError as error:
        _LOG.error("metrics are off: %s", error.strerror)
        close_folder(folder)
        values.ValueClass = values.MutexValue
        _Process.counting = "not"
        return None
    os.environ[_FOLDER] = str(folder)
    values.ValueClass = values.MultiProcessValue(  # type: ignore[no-untyped-call]
        lambda: _Process.slot
    )
    _Process.counting = "shared"
    return folder


def close_folder(folder: Path | None) -> None:
    """Remove the folder when the service ends."""
    if folder:
        shutil.rmtree(folder, ignore_errors=True)


def reserve(slot: int) -> None:
    """Lay out the files of a slot; called by the master before it forks the slot's worker."""
    if _Process.counting != "shared":
        return
    try:
        _lay_out(Path(os.environ[_FOLDER]), slot)
    except OSError as error:
        _LOG.error("metrics of slot %d are off: %s", slot, error.strerror)


def take_slot(slot: int) -> None:
    """Called once by a new worker."""
    if _Process.counting == "shared":
        _Process.slot = slot
        files = _files(Path(os.environ[_FOLDER]), slot)
        if not all(path.exists() and path.stat().st_size == _FILE_BYTES for path in files):
            _Process.counting = "not"


class _Timed:
    """Observes how long its block takes, whether it ends well or not."""

    def __init__(self, seconds: Histogram) -> None:
        self._seconds = seconds

    def __enter__(self) -> None:
        self._start = perf_counter()

    def __exit__(self, *_error: object) -> None:
        self._seconds.observe(perf_counter() - self._start)


class Meters:
    """The counters of one application; watches its pipeline."""

    def __init__(self) -> None:
        self.registry = CollectorRegistry()
        self._requests = self._counter(
            "requests", "Answers, by route template.", "method", "route", "status"
        )
        self._problems = self._counter("problems", "Answers that are a problem.", "code")
        self._plans = self._counter("plans", "Plans made, by whether they may be used.", "usable")
        self._families = self._counter(
            "plans_by_family", "Plans with at least one splice of the family.", "family"
        )
        self._warnings = self._counter("warnings", "Warnings in plans.", "code", "severity")
        self._faults = self._counter("faults", "Faults that stood in a plan's way.", "code")
        self._seconds = self._histogram("request_seconds", "From request to answer.", "route")
        self._stages = self._histogram("stage_seconds", "Stages of the way to a plan.", "stage")

    @property
    def on(self) -> bool:
        """Whether anything is counted here."""
        return _Process.counting != "not"

    def stage(self, name: Stage) -> AbstractContextManager[None]:
        """Time one stage of the pipeline."""
        return _Timed(self._stages.labels(name)) if self.on else nullcontext()

    def planned(self, plan: Mapping[str, Any]) -> None:
        """Count a plan, its families and its warnings."""
        if not self.on:
            return
        self._plans.labels("yes" if plan["usable"] else "no").inc()
        parts = [plan["join"]] if "join" in plan else plan["ends"].values()
        for family in {part["splice"] for part in parts}:
            self._families.labels(family).inc()
        for warning in plan["warnings"]:
            self._warnings.labels(warning["code"], warning["severity"]).inc()

    def refused(self, code: str, faults: Sequence[Fault]) -> None:  # noqa: ARG002 - see answered
        """Count what stood in the way of a plan."""
        if self.on:
            for fault in faults:
                self._faults.labels(fault.code).inc()

    def answered(
        self, method: str, route: str, status: int, problem: str | None, seconds: float
    ) -> None:
        """Count one answer of any kind."""
        if not self.on:
            return
        known = method if method in _METHODS else "other"
        self._requests.labels(known, route, str(status)).inc()
        self._seconds.labels(route).observe(seconds)
        if problem:
            self._problems.labels(problem).inc()

    def refused_early(self, status: int, problem: str) -> None:
        """Count an answer to a request that never reached the application; none timed it."""
        if self.on:
            self._requests.labels("other", "none", str(status)).inc()
            self._problems.labels(problem).inc()

    def exposition(self) -> bytes:
        """Everything counted so far, by all workers, as text."""
        if _Process.counting == "alone":
            return generate_latest(self.registry)
        whole = CollectorRegistry()
        MultiProcessCollector(whole, os.environ[_FOLDER])  # type: ignore[no-untyped-call]
        return generate_latest(whole)

    def _counter(self, name: str, text: str, *labels: str) -> Counter:
        return Counter(f"tuckmark_{name}", text, labels, registry=self.registry)

    def _histogram(self, name: str, text: str, *labels: str) -> Histogram:
        return Histogram(f"tuckmark_{name}", text, labels, registry=self.registry, buckets=_SECONDS)


def _files(folder: Path, slot: int | str) -> list[Path]:
    return [folder / f"{kind}_{slot}.db" for kind in _KINDS]


def _lay_out(folder: Path, slot: int | str) -> None:
    for path in _files(folder, slot):
        with path.open("ab") as file:
            if file.tell() < _FILE_BYTES:
                os.posix_fallocate(file.fileno(), 0, _FILE_BYTES)
