"""The whole check, as its command runs it."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.soak
def test_no_number_can_change_unnoticed() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.mutation"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
