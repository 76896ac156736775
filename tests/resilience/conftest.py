"""What several of the tests here need: one service behind one proxy, and documents to send."""

from collections.abc import Iterator

import pytest

from .load import Case, cases
from .proxy import Proxy, proxied
from .service import Service, running


@pytest.fixture(scope="session")
def given() -> tuple[Case, ...]:
    return cases()


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Service]:
    with running(log=tmp_path_factory.mktemp("service") / "log") as started:
        yield started


@pytest.fixture(scope="module")
def proxy(service: Service, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Proxy]:
    """With rates out of the way: one address plays all clients here."""
    high = {"rate=50r/s": "rate=10000r/s", "connections 100;": "connections 5000;"}
    with proxied(tmp_path_factory.mktemp("proxy"), service.port, **high) as started:
        yield started
