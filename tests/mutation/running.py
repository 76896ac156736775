"""Judges mutants one after another: each in a fork that imports the changed package anew."""

import compileall
import gc
import importlib
import importlib.util
import os
import shutil
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from functools import partial
from pathlib import Path

import hypothesis
import pytest
import yaml

from . import forks
from .asking import OPTIONS, Session, Tests, is_test
from .forks import REFUSED, SURVIVED, UNTOUCHED, Verdict
from .mutants import Mutant

#: Imported once, before any fork; never the package itself, which every fork has its own of.
_WARM = (
    *("flask", "jsonschema", "jsonschema_rs", "marshmallow", "msgspec", "orjson", "pint"),
    "rfc8785",
)
_NOTHING_WRONG = (pytest.ExitCode.OK, pytest.ExitCode.NO_TESTS_COLLECTED)


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
    gc.freeze()  # or each collection in a fork would copy all that the parent has


def run_all(
    package: Path, known: Tests, mutants: Sequence[Mutant], at_once: int
) -> Iterator[Verdict]:
    """Judge the mutants, as many at once as given, in the order they finish."""
    with tempfile.TemporaryDirectory(prefix="compiled-") as work:
        compiled = Path(shutil.copytree(package, Path(work) / package.name))
        compileall.compile_dir(compiled, quiet=1)
        for verdict in forks.run(mutants, at_once, partial(_judge, compiled, known)):
            known.remember(verdict)
            yield verdict


def _judge(
    package: Path, known: Tests, mutant: Mutant, own: Path
) -> tuple[str, Mapping[str, float]]:
    copy = own / "site" / package.name
    shutil.copytree(package, copy)
    Path(importlib.util.cache_from_source(str(copy / mutant.file))).unlink(missing_ok=True)
    sys.dont_write_bytecode = mutant.name != UNTOUCHED
    use_package_in(copy.parent, own)
    if not any(_loads(copy / mutant.file, content) for content in mutant.contents):
        return REFUSED, {}
    session = Session(known.rank(mutant))
    for asked in known.stages(mutant):
        code = pytest.main([*OPTIONS, "--basetemp", str(own / "tmp"), *asked], plugins=[session])
        if session.where:
            return session.where, {}
        if code == pytest.ExitCode.USAGE_ERROR and is_test(asked[-1]):
            continue  # the memory's test has gone
        if code not in _NOTHING_WRONG:
            return f"{asked[-1]} ({pytest.ExitCode(code).name})", {}
    return SURVIVED, session.times


def use_package_in(site: Path, own: Path) -> None:
    """Let this process and those it starts import the package from here."""
    sys.path.insert(0, str(site))
    os.environ |= {
        "PYTHONPATH": str(site),
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
        "HYPOTHESIS_STORAGE_DIRECTORY": str(own / "hypothesis"),
    }
    importlib.invalidate_caches()


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
