"""Runs the core's tests against one mutant after another, each in a fork of a warm process."""

import compileall
import gc
import importlib
import importlib.util
import json
import os
import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import hypothesis
import pytest
import yaml

from .mutants import Mutant
from .reaching import reached

#: Folders of tests of the shells and the repository, but for the file that stands below.
NOT_CORE = {"cli", "mutation", "openapi", "repository", "web"}
#: The record of the plans' fingerprint sees whatever changes a plan, but is our own output: left
#: out, unless `--with-record` asks it first to be quick.
_RECORD = "planning/test_engine.py"
#: A file of a shell's folder that is asked all the same: the core's refusals have cases there.
_ALSO_CORE = ("web/test_bad_input.py",)
#: Through which every table of the data comes.
_READS_DATA = "reference/loading.py"
#: How many files of tests are asked alone, before all the others together.
_ASKED_ALONE = 2
#: Imported once, before any fork; never the package itself, which every fork has its own of.
_WARM = ("flask", "jsonschema", "jsonschema_rs", "marshmallow", "orjson", "pint", "rfc8785")
#: Of processor time, so that a busy machine is not taken for an endless loop.
_LIMIT_S = 120

SURVIVED = ""
REFUSED = "refused when the data are loaded"
NO_END = "no end of it"
#: The name of the mutant that is none: the package as it stands.
UNTOUCHED = "untouched"
_NOTHING_WRONG = (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What noticed a mutant: a test's id, one of the constants above, `SURVIVED` for nothing."""

    mutant: Mutant
    noticed_by: str
    seconds: float = 0.0


class _Session:
    """A pytest plugin: asks the likeliest and quickest first, keeps what failed first."""

    def __init__(self, rank: Callable[[str], Any]) -> None:
        self._rank = rank
        self.times: Counter[str] = Counter()
        self.where = ""

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items.sort(key=lambda item: self._rank(item.nodeid))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.times[report.nodeid] += report.duration  # type: ignore[assignment]
        if report.failed:
            self.where = self.where or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.where = self.where or f"{report.nodeid} (on import)"


def warm_up() -> None:
    """Import what every fork needs, and keep hypothesis from long searches and shrinking."""
    for name in _WARM:
        importlib.import_module(name)
    yaml.SafeLoader = yaml.CSafeLoader  # type: ignore[misc]  # the same, several times as fast
    hypothesis.settings.register_profile(
        "mutation",
        database=None,
        deadline=None,
        derandomize=True,
        max_examples=25,  # enough to notice a number; the search for rare cases is not for here
        phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate],
    )
    hypothesis.settings.load_profile("mutation")


class Tests:
    """The core's tests, and for each mutant in which order to ask them.

    Left out are those that cannot reach its file. First comes the test that noticed it when the
    memory was written, then the files of tests that noticed most of the same part's mutants so
    far; in a session those that noticed most, then the folder named like the part, the quick ones
    before the slow ones.
    """

    def __init__(
        self, package: Path, tests: Path, memory: Mapping[str, str], *, independent: bool
    ) -> None:
        self._record = tests / _RECORD
        self._independent = independent
        self._root = tests.parent
        self._memory = memory
        asked = [
            folder
            for folder in sorted(tests.iterdir())
            if folder.name not in NOT_CORE and any(folder.glob("**/test_*.py"))
        ]
        asked += [tests / name for name in _ALSO_CORE if (tests / name).exists()]
        self._reached = {path: reached(path, package) for path in asked}
        self._noticing: defaultdict[str, Counter[str]] = defaultdict(Counter)
        self.times: Mapping[str, float] = {}

    def stages(self, mutant: Mutant) -> Iterator[list[str]]:
        """The arguments of one pytest session after another."""
        part = _part(mutant.file)
        code = _READS_DATA if mutant.file.startswith("data/") else mutant.file
        left_out = [self._record]
        if not self._independent and part != "reference":
            yield [str(self._record)]
        if _is_test(known := self._memory.get(mutant.name, "")):
            yield [str(self._root / known)]
        files: Counter[Path] = Counter()
        for test, count in self._noticing[part].items():
            files[self._root / test.partition("::")[0]] += count
        if alone := [path for path, _ in files.most_common(_ASKED_ALONE)]:
            yield [str(path) for path in alone]
        paths = [path for path, found in self._reached.items() if code in found]
        without = [f"--ignore={path}" for path in (*left_out, *alone)]
        yield [*without, *(str(path) for path in paths if path not in alone)]

    def rank(self, mutant: Mutant) -> Callable[[str], Any]:
        """What a session sorts its tests by."""
        part = _part(mutant.file)
        noticing = self._noticing[part]

        def by(test: str) -> tuple[int, bool, float]:
            return -noticing[test], f"/{part}/" not in test, self.times.get(test, 0.0)

        return by

    def remember(self, verdict: Verdict) -> None:
        """Count what noticed a mutant, for those that follow."""
        if _is_test(test := verdict.noticed_by) and _RECORD not in test:
            self._noticing[_part(verdict.mutant.file)][test] += 1


def _is_test(noticed_by: str) -> bool:
    return "::" in noticed_by


def _part(file: str) -> str:
    """The part of the package a file belongs to, by the name of its folder of tests."""
    return "reference" if file.startswith("data/") else file.partition("/")[0].removesuffix(".py")


def run_all(
    package: Path, known: Tests, mutants: Sequence[Mutant], at_once: int
) -> Iterator[Verdict]:
    """Judge the mutants, as many at once as given, in the order they finish."""
    waiting = list(reversed(mutants))
    running: dict[int, _Running] = {}
    gc.freeze()  # or each collection in a fork would copy all that the parent has
    with tempfile.TemporaryDirectory(prefix="mutants-") as work:
        compiled = Path(shutil.copytree(package, Path(work) / package.name))
        compileall.compile_dir(compiled, quiet=1)
        try:
            while waiting or running:
                while waiting and len(running) < at_once:
                    mutant = waiting.pop()
                    own = Path(tempfile.mkdtemp(dir=work))
                    started = time.monotonic()
                    running[_start(compiled, known, mutant, own)] = _Running(mutant, own, started)
                pid, status = os.wait()
                done = running.pop(pid)
                seconds = time.monotonic() - done.started
                verdict = Verdict(done.mutant, _noticed_by(status, done.own), seconds)
                if not verdict.noticed_by:
                    known.times = json.loads((done.own / "times").read_text(encoding="utf-8"))
                shutil.rmtree(done.own)
                known.remember(verdict)
                yield verdict
        finally:
            for pid in running:
                os.kill(pid, signal.SIGKILL)
                os.waitpid(pid, 0)


@dataclass(frozen=True, slots=True)
class _Running:
    mutant: Mutant
    own: Path
    started: float


def _noticed_by(status: int, own: Path) -> str:
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGPROF:
        return NO_END
    if status != 0:
        raise RuntimeError((own / "log").read_text(encoding="utf-8", errors="replace"))
    return (own / "verdict").read_text(encoding="utf-8")


def _start(package: Path, known: Tests, mutant: Mutant, own: Path) -> int:
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
        (own / "verdict").write_text(_judge(package, known, mutant, own), encoding="utf-8")
        status = 0
    except BaseException:  # noqa: BLE001 - nothing may climb into the parent's code in a fork
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(status)


def _judge(package: Path, known: Tests, mutant: Mutant, own: Path) -> str:
    copy = own / "site" / package.name
    shutil.copytree(package, copy)
    Path(importlib.util.cache_from_source(str(copy / mutant.file))).unlink(missing_ok=True)
    sys.dont_write_bytecode = mutant.name != UNTOUCHED
    sys.path.insert(0, str(copy.parent))
    os.environ |= {
        "PYTHONPATH": str(copy.parent),
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
        "HYPOTHESIS_STORAGE_DIRECTORY": str(own / "hypothesis"),
    }
    importlib.invalidate_caches()
    if not any(_loads(copy / mutant.file, content) for content in mutant.contents):
        return REFUSED
    options = ["-x", "-q", "-m", "not soak", "--tb=no", "--assert=plain", "-p", "no:cacheprovider"]
    session = _Session(known.rank(mutant))
    for asked in known.stages(mutant):
        code = pytest.main([*options, "--basetemp", str(own / "tmp"), *asked], plugins=[session])
        if session.where:
            return session.where
        if code == pytest.ExitCode.USAGE_ERROR and _is_test(asked[-1]):
            continue  # the memory's test has gone
        if code not in _NOTHING_WRONG:
            return f"{asked[-1]} ({pytest.ExitCode(code).name})"
    (own / "times").write_text(json.dumps(session.times), encoding="utf-8")
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
