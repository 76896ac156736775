"""What the README tells to run, run: against the service that ``./deploy/serve`` starts."""

import json
import os
import re
import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tuckmark import published

ADDRESS = "http://127.0.0.1:8000"
#: Commands that a block here is not run for, with what runs them instead.
RUN_ELSEWHERE = {
    "./deploy/serve": "the service that the other blocks talk to",
    "./deploy/test": "runs this very test",
}
_START_S = 300  # the environment may have to be made first


def blocks(root: Path, language: str) -> list[str]:
    """Every fenced block of one language in the README."""
    text = (root / "README.md").read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)


def to_run(block: str) -> str:
    """What is left of a block without the commands that are run elsewhere."""
    return "\n".join(
        line for line in block.splitlines() if line and line.strip() not in RUN_ELSEWHERE
    )


@pytest.fixture(scope="module")
def served(root: Path) -> Iterator[tuple[str, str]]:
    """Address of a service that ``./deploy/serve`` runs, and the request it printed."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    process = subprocess.Popen(
        ["timeout", "--signal=INT", str(_START_S), "deploy/serve"],
        cwd=root,
        env={**os.environ, "PORT": str(port)},
        stdout=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        request = process.stdout.readline()
        assert request, "the service did not start"
        yield f"http://127.0.0.1:{port}", request
    finally:
        process.send_signal(signal.SIGINT)
        rest, _ = process.communicate(timeout=60)
    assert rest == "", "one request is printed, nothing else"
    assert process.returncode == 0, "Ctrl-C ends it, and that is no failure"


def run(script: str, root: Path, folder: Path) -> str:
    """Run a script where the repository's files are but what it writes is not kept."""
    for entry in root.iterdir():
        (folder / entry.name).symlink_to(entry)
    # An HTTP error must fail; said here, so that the request stays as it is printed.
    (folder / "curlrc").mkdir()
    (folder / "curlrc" / ".curlrc").write_text("fail\n", encoding="utf-8")
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", script],
        cwd=folder,
        env={**os.environ, "CURL_HOME": str(folder / "curlrc")},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, f"{script}\n{done.stdout}{done.stderr}"
    return done.stdout


def is_part(shown: Any, whole: Any) -> bool:
    """Whether all that is shown stands in the whole; lists in their order, gaps allowed."""
    if isinstance(shown, dict):
        return isinstance(whole, dict) and all(
            key in whole and is_part(value, whole[key]) for key, value in shown.items()
        )
    if isinstance(shown, list):
        rest = iter(whole if isinstance(whole, list) else ())
        return all(any(is_part(each, candidate) for candidate in rest) for each in shown)
    return type(shown) is type(whole) and bool(shown == whole)


def test_the_printed_request_returns_a_plan(
    root: Path, served: tuple[str, str], tmp_path: Path
) -> None:
    address, request = served
    assert request.startswith(f"curl -sS {address}/v1/plans ")
    plan = json.loads(run(request, root, tmp_path))
    assert plan["usable"] is True
    assert plan["marks"]


def test_the_readme_shows_the_request_that_is_printed(root: Path, served: tuple[str, str]) -> None:
    address, request = served
    unfolded = "".join(blocks(root, "sh")).replace("\\\n", " ")
    shown = [" ".join(line.split()) for line in unfolded.splitlines()]
    assert request.strip().replace(address, ADDRESS) in shown


def test_every_block_of_the_readme_runs(
    root: Path, served: tuple[str, str], tmp_path: Path
) -> None:
    found = blocks(root, "sh")
    assert any(line in RUN_ELSEWHERE for block in found for line in block.splitlines())
    scripts = [script for script in map(to_run, found) if script]
    assert scripts
    for number, script in enumerate(scripts):
        folder = tmp_path / str(number)
        folder.mkdir()
        run(script.replace(ADDRESS, served[0]), root, folder)


def test_the_readme_shows_what_is_answered(
    root: Path, served: tuple[str, str], tmp_path: Path
) -> None:
    plan = json.loads(run(served[1], root, tmp_path))
    known = [plan, *published.examples().values()]
    shown = [json.loads(block) for block in blocks(root, "json")]
    assert any(is_part(each, plan) for each in shown), "a part of the plan"
    assert [each for each in shown if not any(is_part(each, whole) for whole in known)] == []


@pytest.mark.parametrize(
    ("shown", "whole", "expected"),
    [
        ({"a": 1}, {"a": 1, "b": 2}, True),
        ({"a": {"b": [1]}}, {"a": {"b": [1, 2]}}, True),
        ({"a": 1}, {"a": 2}, False),
        ({"c": 1}, {"a": 1}, False),
        ([1, 3], [1, 2, 3], True),
        ([3, 1], [1, 2, 3], False),
        ([1, 1], [1, 2], False),
        ([1], 1, False),
        ({"a": 1}, {"a": True}, False),
    ],
)
def test_what_counts_as_shown(shown: object, whole: object, expected: bool) -> None:
    assert is_part(shown, whole) is expected
