"""Prints how fast it is, as ratios measured side by side: ``python -m tests.bench``.

``inside`` takes a process alone, ``serving`` takes real servers on the loopback; without a name
both are measured, and the times of every view. About five minutes on two quiet cores. Nothing
here passes or fails: what is aimed at stands beside each figure. ``coverage``, ``views`` and
``batches`` in this folder are commands of their own.
"""

import platform
import subprocess
import sys
from importlib.metadata import version
from os import cpu_count, getloadavg
from pathlib import Path

from tests.bench import inside, serving, views

_TOPICS = {"inside": inside.rows, "serving": serving.rows}


def main() -> None:
    """Print the machine, then the table."""
    chosen = sys.argv[1:] or [*_TOPICS, "views"]
    print(_machine())
    for name in chosen:
        print(f"\n{name}")
        if name == "views":
            views.main()
            continue
        for row in _TOPICS[name]():
            print(row.line(), flush=True)


def _machine() -> str:
    commit = subprocess.run(
        ["git", "describe", "--always", "--dirty"], capture_output=True, text=True, check=False
    ).stdout.strip()
    model = next(
        (
            line.partition(": ")[2]
            for line in Path("/proc/cpuinfo").read_text("utf-8").splitlines()
            if line.startswith("model name")
        ),
        platform.machine(),
    )
    libraries = ", ".join(f"{name} {version(name)}" for name in ("flask", "gunicorn"))
    return (
        f"commit {commit}; {cpu_count()} cores of {model}, load {getloadavg()[0]:.1f} before; "
        f"Python {platform.python_version()}, {libraries}"
    )


if __name__ == "__main__":
    main()
