"""The repository itself: where it is, and which files belong to it."""

import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="session")
def root() -> Path:
    return ROOT


@pytest.fixture(scope="session")
def files() -> list[Path]:
    """Every file that is tracked, or would be by adding all; relative to the root."""
    listing = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    found = [Path(name) for name in listing.split("\0") if name and (ROOT / name).is_file()]
    assert found
    return found
