"""The commands under ``deploy/`` and what the automatic check calls."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

COMMANDS = ("build", "lock", "mutate", "resilience", "serve", "supply", "test")


@pytest.mark.parametrize("name", [f"deploy/{name}" for name in COMMANDS] + [".ci/run"])
def test_a_command_can_be_run_and_parsed(root: Path, name: str) -> None:
    assert os.access(root / name, os.X_OK)
    assert (root / name).read_text(encoding="utf-8").startswith("#!/usr/bin/env bash\n")
    subprocess.run(["bash", "-n", root / name], check=True)


def test_the_automatic_check_is_the_test_command(root: Path) -> None:
    lines = (root / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if "deploy" in line] == ["exec ./deploy/test"]


def test_each_document_names_only_what_there_is(root: Path) -> None:
    path = re.compile(r"(?:\./)?((?:service|schema|tests|openapi|deploy|\.ci)/[\w./-]*)")
    for document in ("README.md", "DEVELOPERS.md"):
        spans = re.findall(r"`([^`\n]+)`", (root / document).read_text(encoding="utf-8"))
        named = [match[1] for span in spans if (match := path.fullmatch(span))]
        assert named, document
        assert [name for name in named if not (root / name).exists()] == [], document


def test_the_readme_names_the_two_commands(root: Path) -> None:
    readme = (root / "README.md").read_text(encoding="utf-8")
    assert "./deploy/serve" in readme
    assert "./deploy/test" in readme


@pytest.mark.parametrize("python", ["3.10.13", None])
def test_a_python_too_old_or_missing_is_told(
    root: Path, tmp_path: Path, python: str | None
) -> None:
    """In an empty place, with nothing on the path but what finding Python needs."""
    (tmp_path / "deploy").mkdir()
    for name in ("serve", "environment.sh"):
        (tmp_path / "deploy" / name).write_bytes((root / "deploy" / name).read_bytes())
    tools = tmp_path / "tools"
    tools.mkdir()
    for tool in ("bash", "cat", "dirname"):
        found = shutil.which(tool)
        assert found
        (tools / tool).symlink_to(found)
    if python:
        (tools / "python3").write_text(
            f'#!{tools}/bash\n[ "$1" = --version ] && echo Python {python}\n[ "$1" != -c ]\n',
            encoding="utf-8",
        )
        (tools / "python3").chmod(0o755)
    done = subprocess.run(
        [tools / "bash", tmp_path / "deploy" / "serve"],
        env={"PATH": str(tools)},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 1
    assert "needs Python 3.11 or newer" in done.stderr
    assert "apt-get install python3 python3-venv" in done.stderr
    assert (f"found: Python {python}" if python else "not found") in done.stderr
    assert not (tmp_path / ".venv").exists()
