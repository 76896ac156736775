"""Workers killed in the middle of requests, full disks, a log that nobody reads."""

import json
import os
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from . import figures
from .load import Case, Load
from .proxy import proxied
from .service import Service, get, running

KILLS = 5


def kill_workers(service: Service, load: Load) -> list[int]:
    """Kill one worker after another in the middle of its requests; how many were in flight."""
    in_flight = []
    for _ in range(KILLS):
        in_flight.append(load.wait_for(30))
        victim = min(service.workers())
        os.kill(victim, signal.SIGKILL)
        service.wait_for_new_workers({victim}, 2)
        time.sleep(0.3)
    return in_flight


def test_killed_workers_behind_the_proxy_lose_nothing(
    given: tuple[Case, ...], tmp_path: Path
) -> None:
    """The proxy asks again: a POST too, for nothing is stored.

    What it cannot mend is an answer of which a part has already reached the client: that transfer
    breaks, and the client sees it.
    """
    high = {"rate=50r/s": "rate=10000r/s", "connections 100;": "connections 5000;"}
    with (
        running() as service,
        proxied(tmp_path, service.port, **high) as proxy,
        Load(proxy.port, 40, given, 0.5) as load,
    ):
        in_flight = kill_workers(service, load)
    tally = load.tally
    figures.record(
        "workers killed behind the proxy",
        faults=KILLS,
        requests=tally.sent,
        least_in_flight=min(in_flight),
        broken_transfers=tally.lost.pop("IncompleteReadError", 0),
        lost=sum(tally.lost.values()),
        wrong=tally.wrong,
    )
    assert (tally.wrong, tally.refused, dict(tally.lost)) == (0, 0, {})


def test_killed_workers_without_a_proxy_lose_only_what_they_held(given: tuple[Case, ...]) -> None:
    """A connection that breaks is all that a client sees: never half an answer taken for whole."""
    with running() as service, Load(service.port, 40, given, 0.5) as load:
        in_flight = kill_workers(service, load)
        time.sleep(0.5)
    tally = load.tally
    figures.record(
        "workers killed without a proxy",
        faults=KILLS,
        requests=tally.sent,
        broken_connections=sum(tally.lost.values()),
        wrong=tally.wrong,
    )
    assert (tally.wrong, tally.refused) == (0, 0)
    assert sum(tally.lost.values()) <= sum(in_flight)
    assert set(tally.lost) <= {"ConnectionResetError", "IncompleteReadError"}
    assert tally.right > 100


def no_room_for_files() -> None:
    """In the new process: every write to a file fails, as on a full disk (EFBIG for ENOSPC)."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))


def mounts_allowed() -> bool:
    probe = ["unshare", "--user", "--map-root-user", "--mount", "true"]
    try:
        return subprocess.run(probe, capture_output=True).returncode == 0
    except FileNotFoundError:
        return False


def check_plans_are_right(service: Service, given: tuple[Case, ...], what: str) -> None:
    with Load(service.port, 10, given, 0.5) as load:
        time.sleep(2)
    tally = load.tally
    figures.record(
        what, faults=1, requests=tally.sent, lost=sum(tally.lost.values()), wrong=tally.wrong
    )
    assert (tally.wrong, tally.refused, dict(tally.lost)) == (0, 0, {})
    assert tally.right > 50


def test_no_file_can_be_written(given: tuple[Case, ...]) -> None:
    with running(preexec_fn=no_room_for_files) as service:
        check_plans_are_right(service, given, "no file can be written")
        status, body = get(service.port, "/metrics")
        assert (status, json.loads(body)["type"].rpartition("/")[2]) == (503, "not_metered")


@pytest.mark.parametrize("room_kib", [0, 1500], ids=["from the start", "after some workers"])
def test_the_disk_for_the_figures_is_full(
    given: tuple[Case, ...], tmp_path: Path, room_kib: int
) -> None:
    """A real file system of its own, full; reload after reload, plans are answered."""
    if not mounts_allowed():
        pytest.skip("mounting is not allowed to this user here")
    script = (
        f"mount -t tmpfs -o size={room_kib + 64}k full {tmp_path} && "
        f"head -c 60k /dev/zero >{tmp_path}/filler && exec {sys.executable} -m tuckmark.cli serve "
        '"$@"'
    )
    wrapped = ["unshare", "--user", "--map-root-user", "--mount", "sh", "-c", script, "serve"]
    with running(
        wrapper=wrapped, environment={"PROMETHEUS_MULTIPROC_DIR": str(tmp_path)}
    ) as service:
        for _ in range(2):
            old = service.workers()
            check_plans_are_right(service, given, f"{room_kib} KiB left for figures")
            service.signal(signal.SIGHUP)
            service.wait_for_new_workers(old, 2)
        assert get(service.port, "/livez")[0] == 200


def full_device() -> int:
    return os.open("/dev/full", os.O_WRONLY)


def unread_pipe() -> int:
    """Its other end stays open in this process, and nobody reads there."""
    _, writing = os.pipe()
    return writing


@pytest.mark.parametrize("target", [full_device, unread_pipe])
def test_the_log_cannot_be_written(given: tuple[Case, ...], target: Callable[[], int]) -> None:
    descriptor = target()
    with running(stderr=descriptor) as service:
        os.close(descriptor)
        check_plans_are_right(service, given, f"log: {target.__name__}")
