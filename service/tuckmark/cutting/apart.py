"""Solving in a process of its own: nothing waits for it, plans come first, and it can be ended."""

import logging
import re
import subprocess
import sys
from collections.abc import Sequence
from typing import Final

import orjson

from tuckmark.cutting import wire
from tuckmark.cutting.task import Solved, Task, holds

_LOG: Final = logging.getLogger(__name__)
_GRACE_S: Final = 20.0  # beyond the budget, for starting up and for a search that is slow to end
#: -P: nothing is imported from the folder in which the service happens to run
_COMMAND: Final = (sys.executable, "-P", "-m", "tuckmark.cutting.solving")
#: a frame of a traceback, and its last line up to the exception's text
_PLACE: Final = re.compile(r' +File "(?:[^"]*/)?([^"/]+)", line ([0-9]+)')
_KIND: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_.]*(?=:|\Z)")


def solved_apart(tasks: Sequence[Task], budget_s: float) -> list[Solved]:
    """Each task's cut list, as ``solving.solved`` finds it.

    Raises:
        subprocess.SubprocessError: the process broke off or had to be ended.
        ValueError: what it found cannot be cut.
    """
    if not tasks:
        return []
    sent = orjson.dumps({"tasks": [wire.task_json(task) for task in tasks], "budget_s": budget_s})
    done = subprocess.run(  # noqa: S603 - our own module; no word of it comes from a request
        _COMMAND, input=sent, capture_output=True, check=False, timeout=budget_s + _GRACE_S
    )
    if done.returncode:
        _LOG.error("the solver ended with %d, %s", done.returncode, _broken(done.stderr))
        done.check_returncode()
    found = [wire.solved_of(item) for item in orjson.loads(done.stdout)]
    if not all(holds(task, item.layout) for task, item in zip(tasks, found, strict=True)):
        raise ValueError("a cut list that cannot be cut")
    return found


def _broken(said: bytes) -> str:
    """What broke the solver and where, out of what Python said; never with which values."""
    lines = said.decode("utf-8", "replace").splitlines() or [""]
    kind = _KIND.match(lines[-1])
    places = [found for line in lines if (found := _PLACE.match(line))]
    where = f" at {places[-1][1]}:{places[-1][2]}" if places else ""
    return f"{kind[0] if kind else 'nothing said'}{where}"
