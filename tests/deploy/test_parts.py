"""The checks of what the service is made of can fail, and say what they could not check."""

import sys
from pathlib import Path
from typing import Any

import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "deploy"))
import parts


@pytest.mark.parametrize(
    ("dependencies", "code"),
    [
        ([{"name": "a", "version": "1", "vulns": []}], 0),
        ([{"name": "a", "version": "1", "vulns": [{"id": "PYSEC-1"}]}], 1),
        ([{"name": "a", "skip_reason": "not found"}], 3),
        ([{"name": "a", "skip_reason": ""}, {"name": "b", "vulns": [{"id": "PYSEC-1"}]}], 1),
        ([], 3),
    ],
)
def test_an_audit(dependencies: list[dict[str, Any]], code: int) -> None:
    assert parts.audited({"dependencies": dependencies})[1] == code


@pytest.mark.parametrize(
    ("licence", "allowed"),
    [
        ("MIT", True),
        ("MPL-2.0 AND (Apache-2.0 OR MIT)", True),
        ("BSD License; MIT License", True),
        ("GPL-3.0-only", False),
        ("MIT AND AGPL-3.0-or-later", False),
        ("UNKNOWN", False),
    ],
)
def test_licences(licence: str, allowed: bool) -> None:
    assert parts.ALLOWED.issuperset(parts.parts_of(licence)) is allowed


def test_every_installed_part_has_a_licence_on_the_list() -> None:
    assert parts.check() is None
    assert {"flask", "gunicorn", "orjson"} <= set(parts.locked())
