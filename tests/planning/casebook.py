"""Case files of the planner: a spec, how its figures were worked by hand, what must come out.

One file is one topic. It names its source once (a case may name its own), gives one starting
spec (or an example by name), and lists cases; each changes the spec by JSON Pointer (null takes
a property out) and gives either figures and the exact warnings of its plan, or the refusal.
"""

import copy
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

HERE = Path(__file__).parent
EXAMPLES = HERE.parents[1] / "schema" / "examples"
KINDS = {"published", "derived", "contract", "common_practice", "regression"}
_FILE_KEYS = {"source", "kind", "how", "spec", "example", "cases"}
_CASE_KEYS = {"name", "source", "kind", "how", "change", "expect", "warnings", "refused"}


@dataclass(frozen=True)
class Case:
    """One spec and what must come of it."""

    id: str
    spec: dict[str, Any]
    expect: dict[str, Any]
    warnings: list[str] | None
    refused: dict[str, Any] | None


def example(name: str) -> dict[str, Any]:
    """A published example spec."""
    document: dict[str, Any] = json.loads((EXAMPLES / f"{name}.json").read_text("utf-8"))
    return document


def all_cases() -> list[Case]:
    """Every case of every file, its entry checked."""
    return [case for path in sorted((HERE / "cases").rglob("*.yaml")) for case in _cases(path)]


def _cases(path: Path) -> list[Case]:
    book = yaml.safe_load(path.read_text("utf-8"))
    where = f"{path.parent.name}/{path.stem}"
    assert set(book) <= _FILE_KEYS, f"{where}: unknown keys"
    start = book["spec"] if "spec" in book else example(book["example"])
    cases = []
    for entry in book["cases"]:
        told = {key: entry.get(key, book.get(key)) for key in ("source", "kind", "how")}
        assert set(entry) <= _CASE_KEYS, f"{where}: {entry['name']}: unknown keys"
        assert all(told.values()), f"{where}: {entry['name']}: source, kind and how are needed"
        assert told["kind"] in KINDS, f"{where}: {entry['name']}: kind {told['kind']}"
        assert ("refused" in entry) != ("expect" in entry and "warnings" in entry), entry["name"]
        spec = copy.deepcopy(start)
        for pointer, value in entry.get("change", {}).items():
            _change(spec, pointer, value)
        cases.append(
            Case(
                f"{where}: {entry['name']}",
                spec,
                entry.get("expect", {}),
                entry.get("warnings"),
                entry.get("refused"),
            )
        )
    return cases


def _change(document: dict[str, Any], pointer: str, value: Any) -> None:
    *way, last = pointer.removeprefix("/").split("/")
    for key in way:
        document = document.setdefault(key, {})
    if value is None:
        document.pop(last, None)
    else:
        document[last] = value


def at(plan: dict[str, Any], path: str) -> Any:
    """The value at a path; list entries are found by place, ``id`` or ``code``."""
    value: Any = plan
    for key in path.split("/"):
        if isinstance(value, list):
            value = _entry(value, key)
        else:
            assert key in value, f"no {key} on the way to {path}"
            value = value[key]
    return value


def _entry(entries: list[Any], key: str) -> Any:
    if key.isdigit():
        return entries[int(key)]
    found = [entry for entry in entries if key in (entry.get("id"), entry.get("code"))]
    assert len(found) == 1, f"{len(found)} entries named {key}"
    return found[0]
