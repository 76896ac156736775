"""Tests of what integrators build on; some need the tools in ``node`` (``npm ci`` there)."""

import os
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

NODE = Path(__file__).parent / "node"
_START_S = 30


@pytest.fixture(scope="session")
def node() -> Path:
    """The folder of the installed tools."""
    if not shutil.which("node") or not (NODE / "node_modules").is_dir():
        pytest.skip("needs node, and npm ci in tests/integrators/node")
    return NODE


@pytest.fixture(scope="session")
def address() -> Iterator[str]:
    """Address of a running service, started as a user would and ended by its own pid."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-m", "tuckmark.cli", "serve", "--workers", "1"]
    process = subprocess.Popen([*command, "--port", str(port)], stderr=subprocess.DEVNULL)
    try:
        _wait_until_ready(f"http://127.0.0.1:{port}/readyz", process)
        yield f"http://127.0.0.1:{port}"
    finally:
        os.kill(process.pid, signal.SIGTERM)
        process.wait(timeout=_START_S)


def _wait_until_ready(url: str, process: subprocess.Popen[bytes]) -> None:
    for _ in range(_START_S * 10):
        assert process.poll() is None, "the service ended while starting"
        try:
            with urllib.request.urlopen(url, timeout=5):  # noqa: S310 - our own loopback
                return
        except urllib.error.URLError:
            time.sleep(0.1)
    pytest.fail("the service did not come up")
