"""Prints the time of a plan in process, over all examples: ``python -m tests.bench``.

Each round plans every example once; the figure of an example is its median over
the rounds. Nothing here passes or fails: times depend on the machine.
"""

import platform
import statistics
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import orjson

from tuckmark import document, planner, reading
from tuckmark.pipeline import ENGINE, default_pipeline
from tuckmark.render import plan_json

ROUNDS: Final = 200
EXAMPLES: Final = Path(__file__).parents[2] / "schema" / "examples"


def median_us(work: Callable[[], object]) -> float:
    """Median time of one call over the rounds, in microseconds."""
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times) * 1e6


def stages(body: bytes) -> dict[str, float]:
    """Median time of each stage of one document's way, and of the whole."""
    pipeline = default_pipeline()
    parsed = document.read(body)
    asked = reading.to_spec(parsed)
    read_as = reading.read_as(parsed)

    def plan() -> Any:
        return planner.plan(asked, read_as, "", pipeline.reference, pipeline.families)

    made = plan()
    finished = plan_json.as_json(made, asked.display, pipeline.reference, ENGINE, None)
    return {
        "read": median_us(lambda: document.read(body)),
        "judge": median_us(lambda: pipeline.judge.verdict(parsed)),
        "load": median_us(lambda: (reading.to_spec(parsed), reading.read_as(parsed))),
        "plan": median_us(plan),
        "round": median_us(
            lambda: plan_json.as_json(made, asked.display, pipeline.reference, ENGINE, None)
        ),
        "write": median_us(lambda: orjson.dumps(finished)),
        "whole": median_us(lambda: orjson.dumps(pipeline.plan(document.read(body)))),
    }


def main() -> None:
    """Print one row an example, then the median and the worst."""
    commit = subprocess.run(
        ["git", "rev-parse", "--short", "HEAD"], capture_output=True, text=True, check=False
    ).stdout.strip()
    print(f"commit {commit}, Python {platform.python_version()}, {platform.machine()}")
    rows = {path.stem: stages(path.read_bytes()) for path in sorted(EXAMPLES.glob("*.json"))}
    names = list(next(iter(rows.values())))
    width = max(map(len, rows))
    print(f"{'microseconds':{width}}" + "".join(f"{name:>8}" for name in names))
    for stem, row in rows.items():
        print(f"{stem:{width}}" + "".join(f"{row[name]:8.0f}" for name in names))
    for label, pick in (("median", statistics.median), ("worst", max)):
        figures = (pick(row[name] for row in rows.values()) for name in names)
        print(f"{label:{width}}" + "".join(f"{figure:8.0f}" for figure in figures))


if __name__ == "__main__":
    main()
