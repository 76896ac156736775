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

#: Folders of tests of the shells and the repository, but for the file that stands below.
NOT_CORE = {"cli", "http", "mutation", "openapi", "repository", "web"}
#: Files run last: the reading of bad documents, which has its cases there, and what is slow.
_LAST = ("web/test_bad_input.py", "planning/test_properties.py")
#: The whole way from spec to plan: run next for parts that have no folder of their own.
_WIDEST = "planning"
#: How many files of tests are asked alone, before whole folders.
_ASKED_ALONE = 2
#: Imported once, before any fork; never the package itself, which every fork has its own of.
_WARM = ("jsonschema", "jsonschema_rs", "marshmallow", "orjson", "pint", "rfc8785", "yaml")
_TIME_LIMIT_S = 120

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


def part_of(file: str) -> str:
    """The part of the package a file belongs to, by the name of its folder of tests."""
    return "reference" if file.startswith("data/") else file.partition("/")[0].removesuffix(".py")


def tests_for(part: str, tests: Path) -> list[Path]:
    """The core's tests, those most likely to notice a change of the part first."""
    last = [tests / name for name in _LAST if (tests / name).exists()]
    folders = [
        folder
        for folder in tests.iterdir()
        if folder.name not in NOT_CORE and any(folder.glob("**/test_*.py"))
    ]
    order = (part, _WIDEST)
    return sorted(folders, key=lambda at: (*(at.name != name for name in order), at.name)) + last


def run_all(
    package: Path, tests: Path, mutants: Sequence[Mutant], at_once: int
) -> Iterator[Verdict]:
    """Judge the mutants, as many at once as given, in the order they finish.

    The files of tests that noticed most of a part's mutants so far are asked first.
    """
    waiting = list(reversed(mutants))
    running: dict[int, tuple[Mutant, Path]] = {}
    noticing: defaultdict[str, Counter[str]] = defaultdict(Counter)
    gc.freeze()  # or each collection in a fork would copy all that the parent has
    with tempfile.TemporaryDirectory(prefix="mutants-") as work:
        try:
            while waiting or running:
                while waiting and len(running) < at_once:
                    mutant = waiting.pop()
                    own = Path(tempfile.mkdtemp(dir=work))
                    part = part_of(mutant.file)
                    first = [
                        tests.parent / name for name, _ in noticing[part].most_common(_ASKED_ALONE)
                    ]
                    asked = [*first, *tests_for(part, tests)]
                    running[_start(package, asked, mutant, own)] = mutant, own
                pid, status = os.wait()
                mutant, own = running.pop(pid)
                verdict = _verdict(status, own)
                shutil.rmtree(own)
                file, is_a_test, _ = verdict.partition("::")
                if is_a_test:
                    noticing[part_of(mutant.file)][file] += 1
                yield Verdict(mutant, verdict)
        finally:
            for pid in running:
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)


def _verdict(status: int, own: Path) -> str:
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGALRM:
        return NO_END
    if status != 0:
        raise RuntimeError((own / "log").read_text(encoding="utf-8", errors="replace"))
    return (own / "verdict").read_text(encoding="utf-8")


def _start(package: Path, asked: Sequence[Path], mutant: Mutant, own: Path) -> int:
    """Fork; the parent gets the child's id at once, the child never returns."""
    pid = os.fork()
    if pid:
        return pid
    status = 1
    try:
        log = os.open(own / "log", os.O_WRONLY | os.O_CREAT)
        os.dup2(log, 1)
        os.dup2(log, 2)
        signal.setitimer(signal.ITIMER_REAL, _TIME_LIMIT_S)
        (own / "verdict").write_text(_judge(package, asked, mutant, own), encoding="utf-8")
        status = 0
    except BaseException:  # noqa: BLE001 - nothing may climb into the parent's code in a fork
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def _judge(package: Path, asked: Sequence[Path], mutant: Mutant, own: Path) -> str:
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
        later = [f"--ignore-glob=*/{name}" for name in _LAST] if path.is_dir() else []
        code = pytest.main([*options, *later, str(path)], plugins=[failure])
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
