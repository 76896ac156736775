"""One fork for each mutant, several at once; what a fork finds comes back as a verdict."""

import json
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from .mutants import Mutant

SURVIVED = ""
REFUSED = "refused when the data are loaded"
NO_END = "no end of it"
#: The name of the mutant that is none: the package as it stands.
UNTOUCHED = "untouched"
#: Of processor time, so that a busy machine is not taken for an endless loop.
_LIMIT_S = 120


@dataclass(frozen=True, slots=True)
class Verdict:
    """What noticed a mutant: a test's id, one of the constants above, `SURVIVED` for nothing.

    Attributes:
        times: seconds that each test asked has taken; only where nothing was noticed.
    """

    mutant: Mutant
    noticed_by: str
    seconds: float = 0.0
    times: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class _Running:
    mutant: Mutant
    own: Path
    started: float


#: Judges one mutant, in a fork, with a directory of its own: what noticed it, and the tests' times.
Judge = Callable[[Mutant, Path], tuple[str, Mapping[str, float]]]


def run(mutants: Sequence[Mutant], at_once: int, judge: Judge) -> Iterator[Verdict]:
    """Judge the mutants, as many at once as given, in the order they finish."""
    waiting = list(reversed(mutants))
    running: dict[int, _Running] = {}
    with tempfile.TemporaryDirectory(prefix="mutants-") as work:
        try:
            while waiting or running:
                while waiting and len(running) < at_once:
                    mutant, own = waiting.pop(), Path(tempfile.mkdtemp(dir=work))
                    started = time.monotonic()
                    running[_start(judge, mutant, own)] = _Running(mutant, own, started)
                pid, status = os.wait()
                done = running.pop(pid)
                yield _verdict(done, status)
                shutil.rmtree(done.own)
        finally:
            for pid in running:
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)


def _verdict(done: _Running, status: int) -> Verdict:
    seconds = time.monotonic() - done.started
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGPROF:
        return Verdict(done.mutant, NO_END, seconds)
    if status != 0:
        raise RuntimeError((done.own / "log").read_text(encoding="utf-8", errors="replace"))
    noticed_by, times = json.loads((done.own / "verdict").read_text(encoding="utf-8"))
    return Verdict(done.mutant, noticed_by, seconds, {} if noticed_by else times)


def _start(judge: Judge, mutant: Mutant, own: Path) -> int:
    """Fork; the parent gets the child's id at once, the child never returns."""
    pid = os.fork()
    if pid:
        return pid
    status = 1
    try:
        log = os.open(own / "log", os.O_WRONLY | os.O_CREAT)
        os.dup2(log, 1)
        os.dup2(log, 2)
        signal.setitimer(signal.ITIMER_PROF, _LIMIT_S)
        (own / "verdict").write_text(json.dumps(judge(mutant, own)), encoding="utf-8")
        status = 0
    except BaseException:  # noqa: BLE001 - nothing may climb into the parent's code in a fork
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)
