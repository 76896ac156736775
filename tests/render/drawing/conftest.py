"""The tools of this folder can be imported by name; golden drawings are rewritten on request."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--write-golden",
        action="store_true",
        default=False,
        help="rewrite the golden drawings instead of comparing with them",
    )
