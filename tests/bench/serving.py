"""Plans over HTTP beside the echo: throughput, latency, start, memory, balance, slow views."""

import http.client
import os
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Final

from tests.bench.client import Load, load
from tests.bench.echo import BYTES
from tests.bench.rows import Row
from tests.bench.specs import distinct
from tests.resilience.service import Service, free_port, running

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.web import server
from tuckmark.web.representations import json_bytes

ROUNDS: Final = 5
SECONDS: Final = 3.0
_ECHO: Final = (sys.executable, "-m", "tests.bench.echo")
_COLD_ROUNDS: Final = 5
_SHEETS: Final = 2
_HEAVY: Final = "/v1/plans?view=sheet&format=pdf"


def rows() -> Iterator[Row]:
    """Every figure taken over HTTP."""
    bodies = distinct()
    pipeline = default_pipeline()
    sample = [pipeline.plan(spec) for spec in published.examples().values()]
    size = sum(len(json_bytes(plan)) for plan in sample) // len(sample)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "specs.ndjson")
        file.write_bytes(b"\n".join(bodies))
        with _both(size, workers=1) as (plans, echo):
            yield from _side_by_side(plans, echo, file, size)
            yield _sixteen(plans, echo, file)
            yield from _beside_sheets(plans, file)
        with running(workers=2) as service:
            yield from _two_workers(service, file)
        yield _cold(bodies[0], file.parent)


@contextmanager
def _both(size: int, *, workers: int) -> Iterator[tuple[Service, Service]]:
    with ExitStack() as stack:
        plans = stack.enter_context(running(workers=workers))
        environment = {BYTES: str(size)}
        echo = stack.enter_context(running(workers=workers, wrapper=_ECHO, environment=environment))
        yield plans, echo


def _side_by_side(plans: Service, echo: Service, file: Path, size: int) -> Iterator[Row]:
    per_s: list[float] = []
    cpu: list[float] = []
    loads: list[tuple[Load, Load]] = []
    for n in range(ROUNDS + 1):  # the first warms up
        measured = [_measured(each, file, n) for each in (echo, plans)]
        if n == 0:
            continue
        (one, echo_us), (other, plan_us) = measured
        loads.append((one, other))
        per_s.append(other.per_s / one.per_s)
        cpu.append(echo_us / plan_us)
    notes = (
        f"echo {', '.join(f'{one.per_s:.0f}' for one, _ in loads)} a second, answers of {size} "
        "bytes",
        f"plans {', '.join(f'{other.per_s:.0f}' for _, other in loads)} a second",
        f"the client itself takes {loads[-1][1].client_us:.0f} us a request of a core",
    )
    yield Row("plan / echo, answers a second", per_s, 0.6, "at least", notes=notes)
    yield Row("plan / echo, by processor time of the worker", cpu)


def _measured(service: Service, file: Path, n: int) -> tuple[Load, float]:
    before = _processor_s(service)
    found = load(service.port, file, start=n * 1000, seconds=SECONDS)
    return found, (_processor_s(service) - before) / len(found.latencies_s)


def _processor_s(service: Service) -> float:
    """Of all threads of all workers."""
    nanoseconds = 0
    for pid in service.workers():
        for thread in Path(f"/proc/{pid}/task").iterdir():
            nanoseconds += int((thread / "schedstat").read_text("ascii").split()[0])
    return nanoseconds / 1e9


def _sixteen(plans: Service, echo: Service, file: Path) -> Row:
    ratio, notes = [], []
    for n in range(ROUNDS):
        one, other = (
            load(each.port, file, start=n * 1000, connections=16, seconds=SECONDS)
            for each in (echo, plans)
        )
        ratio.append(other.percentile_ms(0.99) / one.percentile_ms(0.99))
        notes.append(f"{other.percentile_ms(0.99):.1f} ms, echo {one.percentile_ms(0.99):.1f} ms")
    return Row("p99 at 16 connections / echo's", ratio, 3.0, notes=("; ".join(notes),))


def _beside_sheets(plans: Service, file: Path) -> Iterator[Row]:
    """Latency of plans on four connections, alone and while sheets are made as PDF."""
    alone = load(plans.port, file, seconds=SECONDS)
    sheets: list[Load] = []
    making = threading.Thread(
        target=lambda: sheets.append(
            load(plans.port, file, connections=_SHEETS, seconds=SECONDS + 2, path=_HEAVY)
        )
    )
    making.start()
    time.sleep(1)
    beside = load(plans.port, file, seconds=SECONDS)
    making.join()
    notes = (f"{len(sheets[0].latencies_s)} sheets in {sheets[0].seconds:.1f} s, one worker",)
    for share, name in ((0.5, "median"), (0.99, "p99")):
        yield Row(f"{name} of plans, alone", [alone.percentile_ms(share)], unit="ms")
        yield Row(
            f"{name} of plans while {_SHEETS} clients take sheets",
            [beside.percentile_ms(share)],
            unit="ms",
            notes=notes,
        )


def _two_workers(service: Service, file: Path) -> Iterator[Row]:
    load(service.port, file, connections=16, seconds=1.0)
    before = _by_worker(service)
    found = load(service.port, file, start=1000, connections=16, seconds=SECONDS)
    after = _by_worker(service)
    took = sorted(after[pid] - before[pid] for pid in after)
    notes = (f"{found.per_s:.0f} plans a second on 16 connections",)
    yield Row("balance: least / most loaded of two workers", [took[0] / took[-1]], notes=notes)
    memory = [_pss_mib(pid) for pid in service.workers()]
    yield Row("memory of a worker (PSS), after that load", [max(memory)], 60.0, unit="MiB")


def _by_worker(service: Service) -> Mapping[int, float]:
    found = {}
    for pid in service.workers():
        tasks = Path(f"/proc/{pid}/task").iterdir()
        found[pid] = sum(float((t / "schedstat").read_text("ascii").split()[0]) for t in tasks)
    return found


def _pss_mib(pid: int) -> float:
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text("ascii").splitlines()
    return sum(int(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024


def _cold(body: bytes, folder: Path) -> Row:
    """From starting the process to the first answer; the echo by gunicorn alone."""
    settings = server.DEFAULTS | {"workers": 1, "preload_app": True}
    config = folder / "echo.py"
    config.write_text("".join(f"{name} = {value!r}\n" for name, value in settings.items()))
    echo = [sys.executable, "-m", "gunicorn", f"--config={config}", "tests.bench.echo:create_app()"]
    plans = [sys.executable, "-m", "tuckmark.cli", "serve", "--workers", "1"]
    ratio, notes = [], []
    for _ in range(_COLD_ROUNDS + 1):
        port = free_port()
        echo_s = _first_answer_s([*echo, f"--bind=127.0.0.1:{port}"], port, body)
        port = free_port()
        plan_s = _first_answer_s([*plans, "--port", str(port)], port, body)
        ratio.append(plan_s / echo_s)
        notes.append(f"{plan_s:.2f} s, echo {echo_s:.2f} s")
    return Row("cold start / echo's", ratio[1:], 1.8, notes=("; ".join(notes[1:]),))


def _first_answer_s(command: list[str], port: int, body: bytes) -> float:
    start = time.perf_counter()
    process = subprocess.Popen(command, stderr=subprocess.DEVNULL, env=dict(os.environ))
    try:
        while True:
            if process.poll() is not None:
                raise SystemExit(f"{command} ended while starting")
            try:
                status = _status(port, body)
            except OSError:
                time.sleep(0.005)
                continue
            assert status == 200
            return time.perf_counter() - start
    finally:
        process.terminate()
        process.wait(timeout=30)


def _status(port: int, body: bytes) -> int:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    try:
        connection.request("POST", "/v1/plans", body, {"Content-Type": "application/json"})
        return connection.getresponse().status
    finally:
        connection.close()
