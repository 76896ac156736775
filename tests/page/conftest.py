"""The real service and a real browser (Chromium from Debian); every page is watched."""

import hashlib
import os
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Request

sys.path.insert(0, str(Path(__file__).parent))

import at_the_page

_START_S = 60


@pytest.fixture(scope="session")
def origin() -> Iterator[str]:
    """Where the service is."""
    with serving({}) as found:
        yield found


@contextmanager
def serving(settings: dict[str, str]) -> Iterator[str]:
    """The service, started as a user would and ended by its own pid."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "tuckmark.cli", "serve", "--workers", "1"]
    process = subprocess.Popen(
        [*command, "--port", str(port)], stderr=subprocess.DEVNULL, env={**os.environ, **settings}
    )
    try:
        _wait_until_ready(f"http://127.0.0.1:{port}/readyz", process)
        yield f"http://127.0.0.1:{port}"
    finally:
        os.kill(process.pid, signal.SIGTERM)
        process.wait(timeout=_START_S)


@pytest.fixture
def keyed(tmp_path: Path) -> Iterator[tuple[str, str]]:
    """A service that answers holders of a key only, and that key."""
    key = "a-key-for-the-bench"
    keys = tmp_path / "keys"
    keys.write_text(f"{hashlib.sha256(key.encode()).hexdigest()} bench\n", encoding="ascii")
    with serving({"TUCKMARK_KEYS_FILE": str(keys)}) as found:
        yield found, key


@pytest.fixture
def open_page(browser: Browser, origin: str) -> Iterator[at_the_page.Open]:
    """Opens an address of the service; nothing may leave it, and no policy may be broken.

    What a test brings about itself, and the browser complains of, starts with ``expected``.
    """
    contexts, complaints, requests = [], [], []
    allowed: list[str] = []

    def opened(
        path: str = "/", size: tuple[int, int] = at_the_page.DESK, *, expected: tuple[str, ...] = ()
    ) -> Page:
        allowed.extend(expected)
        context = browser.new_context(
            viewport={"width": size[0], "height": size[1]},
            permissions=["clipboard-read", "clipboard-write"],
            reduced_motion="reduce",
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("request", lambda request: requests.append(request))
        page.goto(origin + path)
        return page

    yield opened
    for context in contexts:
        context.close()
    assert [text for text in complaints if not text.startswith(tuple(allowed))] == []
    assert [request.url for request in requests if not _ours(request, origin)] == []


def _ours(request: Request, origin: str) -> bool:
    return request.url.startswith((f"{origin}/", f"blob:{origin}/", "data:"))


def _wait_until_ready(url: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(_START_S * 10):
        assert process.poll() is None, "the service ended while starting"
        try:
            with urllib.request.urlopen(url, timeout=5):  # noqa: S310 - our own loopback
                return
        except urllib.error.URLError:
            time.sleep(0.1)
    pytest.fail("the service did not come up")
