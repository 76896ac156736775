"""The copies of what is released are whole, and still what the running version serves."""

import json
from pathlib import Path

import pytest

import tuckmark

RELEASED = {
    "splice-spec.json",
    "splice-plan.json",
    "problem.json",
    "validation-report.json",
    "inspection-request.json",
    "inspection-report.json",
    "calibration-request.json",
    "calibration-report.json",
    "batch-line.json",
    "cutlist-request.json",
    "cutlist-report.json",
}


@pytest.mark.parametrize("name", sorted(RELEASED))
def test_a_released_schema_is_a_published_one(root: Path, name: str) -> None:
    released = json.loads((root / "schema" / "released" / "1.0" / name).read_text("utf-8"))
    published = json.loads((root / "schema" / "v1" / name).read_text("utf-8"))
    assert released["$id"] == published["$id"]


def test_a_release_holds_every_published_document(root: Path) -> None:
    held = {path.name for path in (root / "schema" / "released" / "1.0").iterdir()}
    assert held == RELEASED | {"quantity.abnf", "openapi.json"}


def test_a_released_openapi_is_of_its_version(root: Path) -> None:
    path = root / "schema" / "released" / "1.0" / "openapi.json"
    version = json.loads(path.read_text("utf-8"))["info"]["version"]
    assert version.rpartition(".")[0] == "1.0" == tuckmark.__version__.rpartition(".")[0]
