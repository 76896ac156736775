"""What stands where, and what stands nowhere."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

TOP_LEVEL = {
    *("README.md", "DEVELOPERS.md", "pyproject.toml"),
    *("service", "schema", "tests", "openapi", "deploy"),
}
# Written so that this file does not find itself.
MACHINE_PATH = re.compile(r"(?<![\w.~-])/(?:work|root|home|tmp|opt|Users|mnt|private)/\w")
REGISTRY = re.compile(r"pypi[.]org|pythonhosted[.]org|npmjs[.]org|debian[.]org", re.IGNORECASE)
BLANKET = re.compile(r"#\s*(?:noqa(?!: [A-Z])|type: ignore(?!\[)|ruff: noqa|mypy: ignore)")


def test_the_top_level_is_fixed(files: list[Path]) -> None:
    tops = {file.parts[0] for file in files}
    assert {top for top in tops if not top.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("pattern", [MACHINE_PATH, REGISTRY], ids=["machine path", "registry"])
def test_no_file_tells_where_it_was_made(
    root: Path, files: list[Path], pattern: re.Pattern[str]
) -> None:
    found = [
        f"{file}: {match.group()}"
        for file in files
        for match in pattern.finditer((root / file).read_bytes().decode("utf-8", "replace"))
    ]
    assert not found


def test_checkers_are_silenced_only_by_code(root: Path, files: list[Path]) -> None:
    found = [
        f"{file}: {match.group()}"
        for file in files
        if file.suffix == ".py"
        for match in BLANKET.finditer((root / file).read_text(encoding="utf-8"))
    ]
    assert not found


def imports(path: Path) -> Iterator[str]:
    """The dotted name of every module, and of everything, that a module imports."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize(
    ("library", "place"),
    [
        ("flask", "web/"),
        ("werkzeug", "web/"),
        ("gunicorn", "web/"),
        ("prometheus_client", "web/"),
        ("tuckmark.web", ("web/", "cli/serving.py", "cli/keying.py")),
        ("pint", "units.py"),
        ("marshmallow", ("declaration.py", "reading.py")),
        ("jsonschema", "validation.py"),
        ("jsonschema_rs", "validation.py"),
    ],
)
def test_a_library_is_known_in_one_place_only(
    root: Path, library: str, place: str | tuple[str, ...]
) -> None:
    package = root / "service" / "tuckmark"
    knowing = {
        path.relative_to(package).as_posix()
        for path in package.rglob("*.py")
        if any(f"{name}.".startswith(f"{library}.") for name in imports(path))
    }
    assert knowing
    assert {file for file in knowing if not file.startswith(place)} == set()


@pytest.mark.parametrize(
    ("part", "below"),
    [
        ("mechanics", {"mechanics"}),
        ("reference", {"reference", "compare"}),
        ("units.py", set()),
        ("writing.py", {"units"}),
        ("compare.py", set()),
    ],
)
def test_dependencies_point_one_way(root: Path, part: str, below: set[str]) -> None:
    package = root / "service" / "tuckmark"
    paths = [package / part] if part.endswith(".py") else list((package / part).rglob("*.py"))
    assert paths
    found = {
        name.split(".")[1]
        for path in paths
        for name in imports(path)
        if name.startswith("tuckmark.")
    }
    assert found <= below
