"""Judges changes of functions and tables without importing anything anew.

All tests are collected once; each mutant is a fork of that in which a function's code, or the
directory that the tables are read from, is swapped. So a mutant costs little more than the test
that notices it. One that no test notices so is judged again with a fresh import (`running.py`):
what was computed on import, before the swap, would not have changed here.
"""

import ast
import functools
import gc
import importlib
import json
import os
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path
from types import CodeType, FunctionType

import pytest

from . import forks
from .asking import OPTIONS, Session, Tests
from .forks import REFUSED, SURVIVED, UNTOUCHED, Verdict
from .mutants import Mutant, source_of
from .running import use_package_in

#: What the quick way cannot tell.
_UNDECIDED = "not to be judged by a swap"


def run_quick(
    package: Path, known: Tests, mutants: Sequence[Mutant], at_once: int
) -> Iterator[Verdict]:
    """Judge the mutants; those that do not come back are to be judged with a fresh import."""
    by_name = {mutant.name: mutant for mutant in mutants}
    reading, writing = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(reading)
        status = 1
        try:
            _session(package, known, mutants, at_once, writing)
            status = 0
        finally:
            os._exit(status)
    os.close(writing)
    with os.fdopen(reading, encoding="utf-8") as lines:
        for line in lines:
            name, noticed_by, seconds, times = json.loads(line)
            verdict = Verdict(by_name[name], noticed_by, seconds, times)
            known.remember(verdict)
            yield verdict
    if os.waitpid(pid, 0)[1] != 0:
        raise RuntimeError("the quick way came to no end")


def _session(
    package: Path, known: Tests, mutants: Sequence[Mutant], at_once: int, writing: int
) -> None:
    """One pytest session in this process: collects everything, then forks for each mutant."""
    with tempfile.TemporaryDirectory(prefix="quick-") as work, os.fdopen(writing, "w") as out:
        own = Path(work)
        sys.dont_write_bytecode = False
        copy = Path(shutil.copytree(package, own / "site" / package.name))
        use_package_in(copy.parent, own)
        quiet = os.open(own / "log", os.O_WRONLY | os.O_CREAT)
        shown = os.dup(2)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        forking = _Forking(copy, known, mutants, at_once, out)
        code = pytest.main([*OPTIONS, *known.everything()], plugins=[forking, forking.session])
        if code != pytest.ExitCode.OK:
            os.write(shown, (own / "log").read_bytes()[-4000:])
            raise SystemExit(1)


class _Forking:
    """A pytest plugin: in place of running the tests, a fork for each mutant that runs them."""

    def __init__(
        self, package: Path, known: Tests, mutants: Sequence[Mutant], at_once: int, out: object
    ) -> None:
        self._package = package
        self._known = known
        self._mutants = mutants
        self._at_once = at_once
        self._out = out
        self.session = Session(lambda _: 0)

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        gc.collect()
        gc.freeze()
        judge = partial(self._judge, session.items)
        for verdict in forks.run(self._mutants, self._at_once, judge):
            if verdict.noticed_by != _UNDECIDED:
                self._known.remember(verdict)
                told = (verdict.mutant.name, verdict.noticed_by, verdict.seconds, verdict.times)
                print(json.dumps(told), file=self._out, flush=True)  # type: ignore[arg-type]
        return True

    def _judge(
        self, items: list[pytest.Item], mutant: Mutant, own: Path
    ) -> tuple[str, Mapping[str, float]]:
        os.environ["PYTEST_DEBUG_TEMPROOT"] = str(own)
        gc.unfreeze()
        if mutant.file.startswith("data/"):
            if not any(self._reads(mutant.file, content, own) for content in mutant.contents):
                return REFUSED, {}
        elif mutant.name != UNTOUCHED and not self._swap(mutant):
            return _UNDECIDED, {}
        forget(self._package, self._known.root)
        gc.freeze()
        reaching = self._known.can_reach(mutant)
        asked = [item for item in items if any(map(item.path.is_relative_to, reaching))]
        rank = self._known.rank(mutant)
        asked.sort(key=lambda item: rank(item.nodeid))
        for item, following in zip(asked, [*asked[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if self.session.where:
                return self.session.where, {}
        return (SURVIVED if mutant.name == UNTOUCHED else _UNDECIDED), self.session.times

    def _swap(self, mutant: Mutant) -> bool:
        path = self._package / mutant.file
        changed = changed_functions(path.read_text(encoding="utf-8"), mutant.contents[0], str(path))
        return swap(changed, str(path)) > 0

    def _reads(self, file: str, content: str, own: Path) -> bool:
        """Let the tables be read from a changed copy, if the loader takes it."""
        loading = importlib.import_module("tuckmark.reference.loading")
        folder = own / "data"
        shutil.copytree(self._package / "data", folder, dirs_exist_ok=True)
        (folder / Path(file).name).write_text(content, encoding="utf-8")
        loading.load.__defaults__ = (folder,)
        try:
            loading.load()
        except loading.DataError:
            return False
        return True


def changed_functions(original: str, mutated: str, path: str) -> dict[str, CodeType]:
    """The code of every function that is another one in the mutated source, by its full name.

    Only of those that a name tells apart: a lambda changes with the function it stands in.
    """
    before, after = _codes(source_of(ast.parse(original)), path), _codes(mutated, path)
    return {name: code for name, code in after.items() if code != before.get(name)}


def _codes(source: str, path: str) -> dict[str, CodeType]:
    found: dict[str, CodeType] = {}
    names: Counter[str] = Counter()
    waiting = [compile(source, path, "exec", dont_inherit=True)]
    while waiting:
        code = waiting.pop()
        found[code.co_qualname] = code
        names[code.co_qualname] += 1
        waiting += [inner for inner in code.co_consts if isinstance(inner, CodeType)]
    return {name: code for name, code in found.items() if names[name] == 1 and "<" not in name}


def swap(changed: Mapping[str, CodeType], path: str) -> int:
    """Put changed code into the functions of a file; how many there were."""
    swapped = 0
    for function in gc.get_objects():
        if isinstance(function, FunctionType) and function.__code__.co_filename == path:
            code = changed.get(function.__code__.co_qualname)
            if code is not None:
                function.__code__ = code
                swapped += 1
    return swapped


def forget(*places: Path) -> None:
    """Clear what functions of files below these places remember of earlier answers."""
    for found in gc.get_objects():
        if isinstance(found, functools._lru_cache_wrapper):
            code = getattr(found.__wrapped__, "__code__", None)
            if code and any(map(Path(code.co_filename).is_relative_to, places)):
                found.cache_clear()
