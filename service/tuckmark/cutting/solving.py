"""All tasks of a request within one time budget; as a program, from standard input to output."""

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import Final

import orjson

from tuckmark.cutting import wire
from tuckmark.cutting.clock import Clock
from tuckmark.cutting.improving import solve
from tuckmark.cutting.task import Solved, Task

_NICENESS: Final = 10  # plans come first


def solved(tasks: Sequence[Task], budget_s: float) -> list[Solved]:
    """Each task's cut list; the time that one leaves goes to the others."""
    clock = Clock(budget_s)
    return [solve(task, clock.part(1 / (len(tasks) - n))) for n, task in enumerate(tasks)]


def main() -> None:
    """Tasks from standard input to cut lists on standard output."""
    answers = os.dup(sys.stdout.fileno())
    with open(os.devnull, "wb") as nowhere:
        os.dup2(nowhere.fileno(), sys.stdout.fileno())  # the solver greets on standard output
    with suppress(OSError):  # a courtesy, which a hardened unit may not allow
        os.nice(_NICENESS)
    asked = orjson.loads(sys.stdin.buffer.read())
    found = solved([wire.task_of(item) for item in asked["tasks"]], asked["budget_s"])
    with os.fdopen(answers, "wb") as stream:
        stream.write(orjson.dumps([wire.solved_json(item) for item in found]))


if __name__ == "__main__":
    main()
