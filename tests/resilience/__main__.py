"""Gathers the figures of one run: ``python -m tests.resilience FIGURES EXIT_CODE``."""

import json
import os
import platform
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any


def commit() -> str:
    """The commit the figures are of; ``+`` where the working tree differs from it."""
    git = ["git", "describe", "--always", "--abbrev=12", "--dirty=+"]
    return subprocess.run(git, check=True, capture_output=True, text=True).stdout.strip()


def totals(rows: list[dict[str, Any]]) -> dict[str, int]:
    """What all tests together held."""
    fuzzed = ("documents", "specs", "requests")
    bad = [row for row in rows if row["what"] == "bad inputs"]
    rest = [row for row in rows if row["what"] != "bad inputs"]
    return {
        "requests held": sum(
            row.get("requests", 0) + row.get("healthy_answered", 0) for row in rest
        ),
        "faults survived": sum(row.get("faults", 0) for row in rest),
        "bad inputs tried": sum(row.get(name, 0) for row in bad for name in fuzzed),
        "lost answers": sum(row.get("lost", 0) for row in rest),
        "wrong answers": sum(row.get("wrong", 0) for row in rest),
        "transfers broken behind the proxy, by killing": sum(
            row.get("broken_transfers", 0) for row in rest
        ),
        "connections broken without a proxy, by killing": sum(
            row.get("broken_connections", 0) for row in rest
        ),
    }


def report(rows: list[dict[str, Any]], code: int) -> Iterator[str]:
    """The figures, a line each."""
    yield f"commit {commit()}, {datetime.now(UTC):%Y-%m-%d %H:%M} UTC"
    verdict = "all tests passed" if code == 0 else f"tests FAILED ({code})"
    yield f"Python {platform.python_version()}, {os.cpu_count()} cores, {verdict}"
    yield ""
    for name, number in totals(rows).items():
        yield f"{number:>9,}  {name}"
    yield ""
    for row in rows:
        facts = ", ".join(f"{key} {value}" for key, value in row.items() if key != "what")
        yield f"{row['what']}: {facts}"


if __name__ == "__main__":
    lines = Path(sys.argv[1]).read_text(encoding="utf-8").splitlines()
    print("\n".join(report([json.loads(line) for line in lines], int(sys.argv[2]))))
