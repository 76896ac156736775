"""Reload, recycling and stop, under load, for clients that never try twice."""

import re
import signal
import time
from pathlib import Path

import pytest

from . import figures
from .load import Case, Load
from .service import Service, get, running

CLIENTS = 120


@pytest.mark.parametrize("keep", [pytest.param(1.0, marks=pytest.mark.soak), 0.5])
def test_ten_reloads_lose_nothing(given: tuple[Case, ...], keep: float) -> None:
    in_flight = []
    with running() as service, Load(service.port, CLIENTS, given, keep) as load:
        for _ in range(10):
            old = service.workers()
            in_flight.append(load.wait_for(100))
            service.signal(signal.SIGHUP)
            service.wait_for_new_workers(old, 2)
    tally = load.tally
    figures.record(
        f"ten reloads, {keep:.0%} kept",
        faults=10,
        requests=tally.sent,
        least_in_flight=min(in_flight),
        lost=sum(tally.lost.values()),
        wrong=tally.wrong,
        slowest_s=round(tally.slowest_s, 2),
    )
    assert (tally.wrong, tally.refused, dict(tally.lost)) == (0, 0, {})
    assert tally.right > 1000


def test_recycling_loses_nothing(given: tuple[Case, ...], tmp_path: Path) -> None:
    config = tmp_path / "gunicorn.conf.py"
    config.write_text("max_requests = 150\nmax_requests_jitter = 50\n", encoding="utf-8")
    log = tmp_path / "log"
    with (
        running("--config", str(config), log=log) as service,
        Load(service.port, 30, given) as load,
    ):
        seen = set()
        end = time.monotonic() + 60
        while len(seen) < 6 and time.monotonic() < end:
            seen |= service.workers()
            time.sleep(0.02)
    tally = load.tally
    relieved = len(re.findall("Relieving worker", log.read_text(encoding="utf-8")))
    figures.record(
        "workers relieved",
        faults=relieved,
        requests=tally.sent,
        lost=sum(tally.lost.values()),
        wrong=tally.wrong,
    )
    assert (tally.wrong, tally.refused, dict(tally.lost)) == (0, 0, {})
    assert relieved >= 4


def first_not_ready(service: Service) -> float:
    """When readiness turns false; what is not yet ready again is asked on new connections."""
    end = time.monotonic() + 10
    while time.monotonic() < end:
        status, body = get(service.port, "/readyz")
        if status == 503:
            assert b"/problems/stopping" in body
            return time.monotonic()
        time.sleep(0.005)
    raise AssertionError("it stayed ready")


@pytest.mark.parametrize("keep", [1.0, 0.5])
def test_a_stop_loses_nothing_that_was_sent(given: tuple[Case, ...], keep: float) -> None:
    """Readiness turns false first; for the time of the drain, new connections are still taken."""
    drain_s = 4.0
    with running(environment={"TUCKMARK_DRAIN_S": str(drain_s)}) as service:
        with Load(service.port, CLIENTS, given, keep) as load:
            load.wait_for(100)
            started = time.monotonic()
            service.ended = True
            service.signal(signal.SIGTERM)
            not_ready = first_not_ready(service)
            refused_while_not_ready = load.tally.refused
            code = service.process.wait(timeout=30)
            ended = time.monotonic()
            while load.tally.in_flight and time.monotonic() < ended + 30:
                time.sleep(0.01)
        tally = load.tally
    figures.record(
        f"stop under load, {keep:.0%} kept",
        faults=1,
        requests=tally.sent,
        lost=sum(tally.lost.values()),
        wrong=tally.wrong,
        seconds_to_not_ready=round(not_ready - started, 2),
        seconds_to_end=round(ended - started, 2),
    )
    assert code == 0
    assert (tally.wrong, dict(tally.lost)) == (0, {})
    assert refused_while_not_ready == 0
    assert not_ready - started < drain_s <= ended - started
    assert tally.refused > 0, "at the end, nobody listens"
