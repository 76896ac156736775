"""Which tests are asked about a mutant, and in which order."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from .forks import Verdict
from .mutants import Mutant
from .reaching import reached

#: Folders of tests of what lies round the core, but for the file that stands below.
NOT_CORE = {
    *("cli", "cutting", "deploy", "integrators", "mutation", "page", "render", "repository"),
    *("resilience", "web"),
}
#: A file of a shell's folder that is asked all the same: the core's refusals have cases there.
_ALSO_CORE = ("web/test_bad_input.py",)
#: The record of the plans' fingerprint sees whatever changes a plan, but is our own output: not
#: asked.
_RECORD = "planning/test_engine.py"
#: Through which every table of the data comes.
_READS_DATA = "reference/loading.py"
#: How many files of tests are asked alone, before all the others together.
_ASKED_ALONE = 2
#: How every session runs; a test's failure needs no words here.
OPTIONS = ("-x", "-q", "-m", "not soak", "--tb=no", "--assert=plain", "-p", "no:cacheprovider")


class Session:
    """A pytest plugin: asks the likeliest and quickest first, keeps what failed first."""

    def __init__(self, rank: Callable[[str], Any]) -> None:
        self._rank = rank
        self.times: dict[str, float] = {}
        self.where = ""

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items.sort(key=lambda item: self._rank(item.nodeid))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.times[report.nodeid] = self.times.get(report.nodeid, 0.0) + report.duration
        if report.failed:
            self.where = self.where or report.nodeid

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.where = self.where or f"{report.nodeid} (on import)"


class Tests:
    """The core's tests, and for each mutant in which order to ask them.

    Left out are those that cannot reach its file. First comes the test that noticed it when the
    memory was written, then those that noticed most of the same part's mutants so far, then those
    that bear the name of its file or its part, and of the others the quick files before the slow.
    """

    def __init__(self, package: Path, tests: Path, memory: Mapping[str, str]) -> None:
        self.root = tests.parent
        self._memory = memory
        asked = [
            folder
            for folder in sorted(tests.iterdir())
            if folder.name not in NOT_CORE and any(folder.glob("**/test_*.py"))
        ]
        asked += [tests / name for name in _ALSO_CORE if (tests / name).exists()]
        self._reached = {path: reached(path, package) for path in asked}
        self._left_out = f"--ignore={tests / _RECORD}"
        self._noticing: defaultdict[str, Counter[str]] = defaultdict(Counter)
        self._times: Mapping[str, float] = {}
        self._file_times: Counter[str] = Counter()

    def everything(self) -> list[str]:
        """The arguments of a session of all tests."""
        return [self._left_out, *map(str, self._reached)]

    def can_reach(self, mutant: Mutant) -> tuple[Path, ...]:
        """The files and folders of tests that can reach a mutant."""
        code = _READS_DATA if mutant.file.startswith("data/") else mutant.file
        return tuple(path for path, found in self._reached.items() if code in found)

    def stages(self, mutant: Mutant) -> Iterator[list[str]]:
        """The arguments of one pytest session after another."""
        if is_test(known := self._memory.get(mutant.name, "")):
            yield [str(self.root / known)]
        files: Counter[Path] = Counter()
        for test, count in self._noticing[_part(mutant.file)].items():
            files[self.root / _file(test)] += count
        if alone := [path for path, _ in files.most_common(_ASKED_ALONE)]:
            yield [str(path) for path in alone]
        without = [f"--ignore={path}" for path in alone]
        paths = [str(path) for path in self.can_reach(mutant) if path not in alone]
        yield [self._left_out, *without, *paths]

    def rank(self, mutant: Mutant) -> Callable[[str], Any]:
        """What a session sorts its tests by."""
        part = _part(mutant.file)
        names = (part, Path(mutant.file).stem)
        known, noticing = self._memory.get(mutant.name), self._noticing[part]

        def by(test: str) -> tuple[bool, int, int, float, str, float]:
            file = _file(test)
            return (
                test != known,
                -noticing[test],
                sum(name not in test for name in names),
                self._file_times[file],
                file,
                self._times.get(test, 0.0),
            )

        return by

    def remember(self, verdict: Verdict) -> None:
        """Learn from a verdict, for the mutants that follow."""
        if is_test(test := verdict.noticed_by):
            self._noticing[_part(verdict.mutant.file)][test] += 1
        elif verdict.times:
            self._times = verdict.times
            self._file_times = Counter()
            for test, seconds in verdict.times.items():
                self._file_times[_file(test)] += seconds  # type: ignore[assignment]


def is_test(noticed_by: str) -> bool:
    """Whether a verdict names a test."""
    return "::" in noticed_by


def _file(test: str) -> str:
    return test.partition("::")[0]


def _part(file: str) -> str:
    """The part of the package a file belongs to, by the name of its folder of tests."""
    return "reference" if file.startswith("data/") else file.partition("/")[0].removesuffix(".py")
