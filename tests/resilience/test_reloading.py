"""Reload, recycling and stop, under load, for clients that never try twice."""

import http.client
import json
import os
import random
import re
import signal
import time
from pathlib import Path
from typing import Any

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


def long_cut_list() -> dict[str, Any]:
    """Far more than can be proven within the longest budget."""
    rng = random.Random(5)  # noqa: S311 - the same draw each time
    orders = [
        {"id": f"o{n}", "rope": "r", "length": f"{rng.randint(2_000, 60_000)} mm", "quantity": 3}
        for n in range(150)
    ]
    reels = [{"id": "new", "rope": "r", "length": "200 m", "quantity": 100}]
    cuts = {"allowance": "10 mm", "keep_from": "5 m"}
    return {"orders": orders, "reels": reels, **cuts, "time_budget_s": 20}


def children(pid: int) -> list[int]:
    """Processes that the threads of a process have started and that still run."""
    found = Path(f"/proc/{pid}/task").glob("*/children")
    return [int(child) for file in found for child in file.read_text(encoding="ascii").split()]


@pytest.mark.soak
@pytest.mark.parametrize("number", [signal.SIGHUP, signal.SIGTERM], ids=["reload", "stop"])
def test_a_cut_list_of_the_longest_budget_is_answered(
    tmp_path: Path, number: signal.Signals
) -> None:
    """With the sizes that are shipped; told right after it was sent, when most is to be done.

    The solver is held up for a while as its budget runs out, as on a machine with other work.
    """
    shipped = Path(__file__).parents[2] / "deploy" / "gunicorn.conf.py"
    log = tmp_path / "log"
    with running("--config", str(shipped), log=log) as service:
        connection = http.client.HTTPConnection("127.0.0.1", service.port, timeout=60)
        fields = {"Content-Type": "application/json"}
        connection.request("POST", "/v1/cutlists", json.dumps(long_cut_list()), fields)
        begun = time.monotonic()
        time.sleep(0.5)
        service.ended = number == signal.SIGTERM
        (solver,) = [one for worker in service.workers() for one in children(worker)]
        service.signal(number)
        time.sleep(18)
        os.kill(solver, signal.SIGSTOP)
        time.sleep(10)
        os.kill(solver, signal.SIGCONT)
        answer = connection.getresponse()
        found = json.loads(answer.read())
        took_s = time.monotonic() - begun
        connection.close()
        if service.ended:
            assert service.process.wait(timeout=30) == 0
    assert (answer.status, found["proven"]) == (200, False)
    assert took_s > 28
    lines = [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]
    assert not [line for line in lines if line["level"] == "error"]
