"""Figures that the tests print, and that one command gathers in a file."""

import json
import os
from pathlib import Path

#: set by ``deploy/resilience``: a file that takes one JSON object a line
_TARGET = "TUCKMARK_FIGURES"


def record(what: str, **figures: float | str) -> None:
    """Print the figures of one test, and keep them where a file is named."""
    print(f"{what}: " + ", ".join(f"{name} {value}" for name, value in figures.items()))
    if target := os.environ.get(_TARGET):
        with Path(target).open("a", encoding="utf-8") as file:
            file.write(json.dumps({"what": what, **figures}) + "\n")
