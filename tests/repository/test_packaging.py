"""The version, the wheel and the locks."""

import importlib.metadata
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import tuckmark


@pytest.fixture(scope="module")
def pyproject(root: Path) -> dict[str, Any]:
    return tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """Every file of the wheel built from the working tree."""
    folder = tmp_path_factory.mktemp("wheel")
    offline = ["--no-index", "--no-deps", "--no-build-isolation", "--disable-pip-version-check"]
    subprocess.run(
        [sys.executable, "-m", "pip", "wheel", "--quiet", *offline, "--wheel-dir", folder, root],
        check=True,
    )
    (built,) = folder.glob("*.whl")
    with zipfile.ZipFile(built) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_version_is_said_once_and_the_same(pyproject: dict[str, Any]) -> None:
    version = pyproject["project"]["version"]
    assert tuckmark.__version__ == version
    assert importlib.metadata.version("tuckmark") == version


def below(root: Path, files: list[Path], folder: str, into: str) -> dict[str, bytes]:
    """What the wheel should hold of one folder of the repository."""
    return {
        f"{into}/{file.relative_to(folder).as_posix()}": (root / file).read_bytes()
        for file in files
        if file.is_relative_to(folder)
    }


def test_the_wheel_holds_the_package_and_the_published_documents(
    root: Path, files: list[Path], wheel: dict[str, bytes]
) -> None:
    wanted = {
        **below(root, files, "service/tuckmark", "tuckmark"),
        **below(root, files, "schema/v1", "tuckmark/published/schema/v1"),
        **below(root, files, "schema/examples", "tuckmark/published/examples"),
        **below(root, files, "schema/corpus", "tuckmark/published/corpus"),
        "tuckmark/published/openapi.json": (root / "openapi" / "openapi.json").read_bytes(),
    }
    assert any(name.endswith(".csv") for name in wanted)
    held = {name: content for name, content in wheel.items() if ".dist-info/" not in name}
    assert sorted(held) == sorted(wanted)
    assert [name for name in wanted if held[name] != wanted[name]] == []


def test_the_wheel_holds_the_licence_and_the_command(
    root: Path, wheel: dict[str, bytes], pyproject: dict[str, Any]
) -> None:
    info = f"tuckmark-{pyproject['project']['version']}.dist-info"
    licence = (root / "service" / "LICENSE").read_bytes()
    assert licence.startswith(b"MIT License")
    assert wheel[f"{info}/licenses/service/LICENSE"] == licence
    assert "tuckmark = tuckmark.cli:main" in wheel[f"{info}/entry_points.txt"].decode()


def test_the_tests_run_against_what_the_wheel_holds(wheel: dict[str, bytes]) -> None:
    package = Path(tuckmark.__file__).parent
    differing = [
        name
        for name, content in wheel.items()
        if ".dist-info/" not in name and (package.parent / name).read_bytes() != content
    ]
    assert not differing, "the installed package is stale: run ./deploy/test"


def locked(path: Path) -> dict[str, str]:
    """Name to version of a lock file, each of which must be pinned and hashed."""
    logical = path.read_text(encoding="utf-8").replace("\\\n", " ")
    versions: dict[str, str] = {}
    for line in logical.splitlines():
        if not line.strip() or line.lstrip().startswith("#"):
            continue
        requirement, *hashes = line.split(" --hash=")
        pinned = re.fullmatch(r"([\w.-]+)==([\w.]+)(?: ; .+)?", requirement.strip())
        assert pinned, f"{path.name}: {requirement!r} is not pinned"
        assert hashes, f"{path.name}: {requirement!r} has no hash"
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", digest.strip()) for digest in hashes)
        versions[canonicalize_name(pinned[1])] = pinned[2]
    return versions


@pytest.mark.parametrize(
    ("lock", "wanted"),
    [
        ("requirements", ["project.dependencies"]),
        ("requirements-build", ["build-system.requires"]),
        ("requirements-dev", ["project.dependencies", "dependency-groups.dev"]),
    ],
)
def test_a_lock_holds_what_the_project_asks_for(
    root: Path, pyproject: dict[str, Any], lock: str, wanted: list[str]
) -> None:
    versions = locked(root / "deploy" / f"{lock}.lock")
    for table, key in (name.split(".") for name in wanted):
        for requirement in map(Requirement, pyproject[table][key]):
            version = versions[canonicalize_name(requirement.name)]
            assert requirement.specifier.contains(version), f"{requirement}: run ./deploy/lock"


def test_the_locks_agree(root: Path) -> None:
    locks = [locked(path) for path in sorted((root / "deploy").glob("*.lock"))]
    assert len(locks) == 3
    names = {name for lock in locks for name in lock}
    assert [name for name in names if len({lock[name] for lock in locks if name in lock}) > 1] == []
