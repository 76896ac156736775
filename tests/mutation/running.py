"""Runs the core's tests against one mutant after another, each in a fork of a warm process."""

import gc
import importlib
import os
import shutil
import signal
import sys
import tempfile
import traceback
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import hypothesis
import pytest

from .mutants import Mutant
from .reaching import reached

#: Folders of tests of the shells and the repository, but for the file that stands below.
NOT_CORE = {"cli", "http", "mutation", "openapi", "repository", "web"}
#: The record of the plans' fingerprint sees whatever changes a plan, but is our own output: left
#: out, unless `--with-record` asks it first to be quick.
_RECORD = "planning/test_engine.py"
#: Files run last: the reading of bad documents, which has its cases there, and what is slow.
_LAST = ("web/test_bad_input.py", "planning/test_properties.py")
#: Through which every table of the data comes.
_READS_DATA = "reference/loading.py"
#: The whole way from spec to plan: run next for parts that have no folder of their own.
_WIDEST = "planning"
#: How many files of tests are asked alone, before whole folders.
_ASKED_ALONE = 2
#: Imported once, before any fork; never the package itself, which every fork has its own of.
_WARM = ("jsonschema", "jsonschema_rs", "marshmallow", "orjson", "pint", "rfc8785", "yaml")
#: Of processor time, so that a busy machine is not taken for an endless loop.
_LIMIT_S = 120

SURVIVED = ""
REFUSED = "refused when the data are loaded"
NO_END = "no end of it"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What noticed a mutant: a test's id, one of the constants above, `SURVIVED` for nothing."""

    mutant: Mutant
    noticed_by: str


class _FirstFailure:
    """A pytest plugin that keeps the id of what failed first."""

    def __init__(self) -> None:
        self.where = ""

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self.where = self.where or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.where = self.where or f"{report.nodeid} (on import)"


def warm_up() -> None:
    """Import what every fork needs, and keep hypothesis from long searches and shrinking."""
    for name in _WARM:
        importlib.import_module(name)
    hypothesis.settings.register_profile(
        "mutation",
        database=None,
        deadline=None,
        derandomize=True,
        max_examples=25,  # enough to notice a number; the search for rare cases is not for here
        phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate],
    )
    hypothesis.settings.load_profile("mutation")


class _Tests:
    """The core's tests, and for each file of the package in which order to ask them.

    Left out are those that cannot reach the file. First come the files of tests that noticed
    most of the same part's mutants so far, then the folder that is named like the part.
    """

    def __init__(self, package: Path, tests: Path, *, independent: bool) -> None:
        self._record = tests / _RECORD
        self._independent = independent
        self._root = tests.parent
        self._folders = sorted(
            folder
            for folder in tests.iterdir()
            if folder.name not in NOT_CORE and any(folder.glob("**/test_*.py"))
        )
        self._last = [tests / name for name in _LAST if (tests / name).exists()]
        self._reached = {path: reached(path, package) for path in (*self._folders, *self._last)}
        self._noticing: defaultdict[str, Counter[Path]] = defaultdict(Counter)

    def to_ask(self, file: str) -> list[Path]:
        part = _part(file)
        code = _READS_DATA if file.startswith("data/") else file
        most = [path for path, _ in self._noticing[part].most_common(_ASKED_ALONE)]
        folders = sorted(self._folders, key=lambda at: (at.name != part, at.name != _WIDEST))
        others = [path for path in (*folders, *self._last) if path not in most]
        asked = [*most, *(path for path in others if code in self._reached[path])]
        return asked if self._independent or file.startswith("data/") else [self._record, *asked]

    @property
    def left_out(self) -> list[Path]:
        """Files that are not asked at all."""
        return [self._record] if self._independent else []

    def remember(self, verdict: Verdict) -> None:
        file, is_a_test, _ = verdict.noticed_by.partition("::")
        if is_a_test and not file.endswith(_RECORD):
            self._noticing[_part(verdict.mutant.file)][self._root / file] += 1


def _part(file: str) -> str:
    """The part of the package a file belongs to, by the name of its folder of tests."""
    return "reference" if file.startswith("data/") else file.partition("/")[0].removesuffix(".py")


def run_all(
    package: Path, tests: Path, mutants: Sequence[Mutant], at_once: int, *, independent: bool
) -> Iterator[Verdict]:
    """Judge the mutants, as many at once as given, in the order they finish."""
    waiting = list(reversed(mutants))
    running: dict[int, tuple[Mutant, Path]] = {}
    known = _Tests(package, tests, independent=independent)
    gc.freeze()  # or each collection in a fork would copy all that the parent has
    with tempfile.TemporaryDirectory(prefix="mutants-") as work:
        try:
            while waiting or running:
                while waiting and len(running) < at_once:
                    mutant = waiting.pop()
                    own = Path(tempfile.mkdtemp(dir=work))
                    pid = _start(package, known.to_ask(mutant.file), known.left_out, mutant, own)
                    running[pid] = mutant, own
                pid, status = os.wait()
                mutant, own = running.pop(pid)
                verdict = Verdict(mutant, _noticed_by(status, own))
                shutil.rmtree(own)
                known.remember(verdict)
                yield verdict
        finally:
            for pid in running:
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)


def _noticed_by(status: int, own: Path) -> str:
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGPROF:
        return NO_END
    if status != 0:
        raise RuntimeError((own / "log").read_text(encoding="utf-8", errors="replace"))
    return (own / "verdict").read_text(encoding="utf-8")


def _start(
    package: Path, asked: Sequence[Path], left_out: Sequence[Path], mutant: Mutant, own: Path
) -> int:
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
        (own / "verdict").write_text(
            _judge(package, asked, left_out, mutant, own), encoding="utf-8"
        )
        status = 0
    except BaseException:  # noqa: BLE001 - nothing may climb into the parent's code in a fork
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def _judge(
    package: Path, asked: Sequence[Path], left_out: Sequence[Path], mutant: Mutant, own: Path
) -> str:
    copy = own / "site" / package.name
    shutil.copytree(package, copy)
    sys.dont_write_bytecode = True
    sys.path.insert(0, str(copy.parent))
    os.environ |= {
        "PYTHONPATH": str(copy.parent),
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
        "HYPOTHESIS_STORAGE_DIRECTORY": str(own / "hypothesis"),
    }
    importlib.invalidate_caches()
    if not any(_loads(copy / mutant.file, content) for content in mutant.contents):
        return REFUSED
    options = [
        "-x",
        "-q",
        "-m",
        "not soak",
        "-p",
        "no:cacheprovider",
        "--basetemp",
        str(own / "tmp"),
    ]
    for path in asked:
        failure = _FirstFailure()
        elsewhere = (*asked, *left_out)
        alone = [f"--ignore={other}" for other in elsewhere if path in other.parents]
        code = pytest.main([*options, *alone, str(path)], plugins=[failure])
        if code not in (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED):
            return failure.where or f"{path.name} ({pytest.ExitCode(code).name})"
    return SURVIVED


def _loads(path: Path, content: str) -> bool:
    """Put the changed file in its place; a table must also be one that the loader takes."""
    path.write_text(content, encoding="utf-8")
    if path.suffix != ".csv":
        return True
    reference = importlib.import_module("tuckmark.reference")
    try:
        reference.load()
    except reference.DataError:
        return False
    return True
