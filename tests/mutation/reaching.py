"""Which modules of the package some tests can reach, by what is imported."""

import ast
from collections.abc import Iterator
from pathlib import Path


def reached(tests: Path, package: Path) -> frozenset[str]:
    """Every module that a folder of tests, or a file in it, imports, directly or by another.

    Names are relative to the package, as in ``mechanics/eye.py``.
    """
    folder = tests if tests.is_dir() else tests.parent
    waiting = [path for test in folder.rglob("*.py") for path in _imported(test, package)]
    found: set[Path] = set()
    while waiting:
        path = waiting.pop()
        if path not in found:
            found.add(path)
            waiting += _imported(path, package)
    return frozenset(path.relative_to(package).as_posix() for path in found)


def _imported(path: Path, package: Path) -> Iterator[Path]:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        for name in names:
            top, *parts = name.split(".")
            if top == package.name:
                yield from _files(package, parts)


def _files(package: Path, parts: list[str]) -> Iterator[Path]:
    """The module itself and every package on the way to it; the last part may be no module."""
    place = package
    yield place / "__init__.py"
    for part in parts:
        place /= part
        candidates = (place / "__init__.py", place.with_suffix(".py"))
        yield from (candidate for candidate in candidates if candidate.is_file())
