"""The package's own tables, and a copy that a test may spoil."""

import shutil
from importlib import resources
from pathlib import Path

import pytest

from tuckmark.reference import Reference, default


@pytest.fixture(scope="session")
def reference() -> Reference:
    return default()


@pytest.fixture
def copied(tmp_path: Path) -> Path:
    """A directory with a copy of every data file."""
    with resources.as_file(resources.files("tuckmark").joinpath("data")) as own:
        return Path(shutil.copytree(own, tmp_path / "data"))
