"""The dearest requests at once, with the shipped sizes: within the memory that deploy/ gives."""

import json
import re
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import yaml

from tuckmark import published
from tuckmark.web.bodies import BATCH_BYTES

from . import figures
from .raw import exchange
from .service import Service, running

DEPLOY = Path(__file__).parents[2] / "deploy"
SHIPPED = str(DEPLOY / "gunicorn.conf.py")
SPEC = json.dumps(published.examples()["towing-pendant"]).encode()
#: 33 million dots of the 40 that are allowed
LARGEST_STRIP = "/v1/plans?view=strip&format=png&width_mm=110&dpi=203&end=a&piece=1"
VIEWS = (
    "view=sheet&format=pdf",
    "view=sheet&format=html",
    "view=drawing&format=png&dpi=300",
    "view=drawing&format=pdf",
    "view=strip&format=pdf&page=a4",
    "view=tag&format=png&dpi=300&width_mm=200&height_mm=200",
)
#: of what is given, so much is left to the files that are held in memory, and to luck
ROOM = 0.75


def given_kib() -> int:
    """What one machine or pod may have: the least of the places."""
    deployment = yaml.safe_load((DEPLOY / "kubernetes/deployment.yaml").read_text("utf-8"))
    (container,) = deployment["spec"]["template"]["spec"]["containers"]
    pod = re.fullmatch(r"(\d+)Mi", container["resources"]["limits"]["memory"])
    unit = re.search(r"\nMemoryMax=(\d+)G\n", (DEPLOY / "systemd/tuckmark.service").read_text())
    assert pod
    assert unit
    return min(int(pod[1]) * 1024, int(unit[1]) * 1024 * 1024)


def post(port: int, path: str, body: bytes, media_type: str = "application/json") -> int:
    head = (
        f"POST {path} HTTP/1.1\r\nHost: a\r\nContent-Type: {media_type}\r\nConnection: close\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    return int(exchange(port, head.encode() + body).split(b" ", 2)[1])


class AtOnce:
    """Requests from clients of their own, all at the same time."""

    def __init__(self, port: int) -> None:
        self._port = port
        self._threads: list[threading.Thread] = []
        self.statuses: list[int] = []

    def ask(self, times: int, path: str, body: bytes, media_type: str = "application/json") -> None:
        def one() -> None:
            self.statuses.append(post(self._port, path, body, media_type))

        self._threads += [threading.Thread(target=one) for _ in range(times)]

    def __enter__(self) -> "AtOnce":
        return self

    def __exit__(self, *_: object) -> None:
        for thread in self._threads:
            thread.start()
        for thread in self._threads:
            thread.join()


@contextmanager
def watched(service: Service) -> Iterator[list[int]]:
    """Memory of all processes, solvers too, again and again; the first figure is from before."""
    found = [service.resident_kib()]
    over = threading.Event()

    def watch() -> None:
        while not over.wait(0.02):
            found.append(service.resident_kib())

    thread = threading.Thread(target=watch)
    thread.start()
    try:
        yield found
    finally:
        over.set()
        thread.join()


def cut_list() -> bytes:
    """More than can be proven within the budget."""
    orders = [
        {"id": f"o{n}", "rope": "r", "length": f"{2_000 + n * 7_919 % 58_000} mm", "quantity": 3}
        for n in range(150)
    ]
    reels = [{"id": "new", "rope": "r", "length": "200 m", "quantity": 100}]
    request = {"orders": orders, "reels": reels, "allowance": "10 mm", "keep_from": "5 m"}
    return json.dumps({**request, "time_budget_s": 3}).encode()


def test_two_of_the_largest_pictures_at_once() -> None:
    with running("--config", SHIPPED) as service:
        assert post(service.port, "/v1/plans", SPEC) == 200
        begun = time.monotonic()
        with watched(service) as found, AtOnce(service.port) as clients:
            clients.ask(2, LARGEST_STRIP, SPEC)
        taken = time.monotonic() - begun
        peak_kib = max(found)
    assert clients.statuses == [200, 200]
    figures.record(
        "two pictures of 33 million dots at once",
        requests=2,
        peak_kib=peak_kib,
        grown_kib=peak_kib - found[0],
        seconds=round(taken, 2),
    )
    # each worker loads what draws and prints; the dots of one picture alone are 32 MiB in grey
    assert peak_kib < ROOM * given_kib() / 2


def test_all_that_is_dear_at_once() -> None:
    ndjson = "application/x-ndjson"
    with running("--config", SHIPPED) as service, watched(service) as found:
        for _ in range(2):
            with AtOnce(service.port) as clients:
                clients.ask(16, LARGEST_STRIP, SPEC)
                for view in VIEWS:
                    clients.ask(4, f"/v1/plans?{view}", SPEC)
            assert set(clients.statuses) == {200}
        with AtOnce(service.port) as clients:
            clients.ask(4, "/v1/cutlists", cut_list())
            clients.ask(16, "/v1/batches", b"{}\n".ljust(BATCH_BYTES), ndjson)
            clients.ask(8, LARGEST_STRIP, SPEC)
        assert set(clients.statuses) <= {200, 503}
        assert clients.statuses.count(200) >= 8 + 2
    figures.record(
        "the dearest requests at once", requests=108, peak_kib=max(found), given_kib=given_kib()
    )
    assert max(found) < ROOM * given_kib()
