"""Which plans change with a version of the computation or of its tables: the list for users."""

import json
from functools import cache
from importlib import resources
from typing import Any


@cache
def listed() -> list[dict[str, Any]]:
    """Every version, the newest first, as ``/v1/changes`` shows it.

    Each has ``engine``, ``tables`` (fingerprint) and ``plans``: which plans change, and how.
    """
    file = resources.files("tuckmark").joinpath("data", "changes.json")
    entries: list[dict[str, Any]] = json.loads(file.read_text(encoding="utf-8"))
    return entries
