"""Compares the published documents with those released last.

Nothing may break without a new major version. What breaks and what does not is said to users on
the reference page.
"""

import json
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, Literal

from narrowing import Comparison

Json = dict[str, Any]
Direction = Literal["taken", "given"]

#: what breaks: taking less than before, giving more; what cannot be judged
_BREAKS: Final = {"taken": ("narrower", "unknown"), "given": ("wider", "unknown")}
#: published schema -> whether we take such documents or give them
SCHEMAS: Final[dict[str, Direction]] = {
    "splice-spec.json": "taken",
    "splice-plan.json": "given",
    "validation-report.json": "given",
    "problem.json": "given",
    "batch-line.json": "given",
    "cutlist-request.json": "taken",
    "cutlist-report.json": "given",
    "inspection-request.json": "taken",
    "inspection-report.json": "given",
    "calibration-request.json": "taken",
    "calibration-report.json": "given",
}
_RELEASED: Final = Path("schema/released")
_PUBLISHED: Final = Path("schema/v1")
_OPENAPI: Final = Path("openapi/openapi.json")


@dataclass(frozen=True, slots=True)
class Finding:
    """One difference, and whether it breaks what users have built on the earlier document."""

    place: str
    what: str
    breaking: bool


def of_schemas(
    old: Json, new: Json, direction: Direction, comparison: Comparison | None = None
) -> list[Finding]:
    """Every difference between two schemas.

    Args:
        old: the earlier schema.
        new: the later one.
        direction: whether users send such documents or get them.
        comparison: resolves references; within the schemas themselves when absent.
    """
    found = (comparison or Comparison(old, new)).changes(old, new)
    return [
        Finding(change.place, change.what, change.effect in _BREAKS[direction]) for change in found
    ]


def of_descriptions(old: Json, new: Json) -> list[Finding]:
    """Every difference between two OpenAPI documents."""
    return list(_Descriptions(old, new).findings())


class _Descriptions:
    """Two OpenAPI documents, compared operation by operation."""

    def __init__(self, old: Json, new: Json) -> None:
        self._old, self._new = old, new

    def findings(self) -> Iterator[Finding]:
        before, after = _operations(self._old), _operations(self._new)
        for name in dict.fromkeys([*before, *after]):
            if name not in after:
                yield Finding(name, "gone", breaking=True)
            elif name not in before:
                yield Finding(name, "new", breaking=False)
            else:
                yield from self._operation(name, before[name], after[name])
        kept = self._new["components"]["schemas"]
        for name in self._old["components"]["schemas"]:
            if name not in kept:  # generated clients have a type of this name
                yield Finding(f"components/schemas/{name}", "gone", breaking=True)

    def _operation(self, name: str, old: Json, new: Json) -> Iterator[Finding]:
        for key in ("operationId", "tags"):  # generated clients are named after them
            if old.get(key) != new.get(key):
                yield Finding(f"{name}/{key}", "changed", breaking=True)
        yield from self._parameters(name, old, new)
        yield from self._body(name, old, new)
        yield from self._responses(name, old["responses"], new["responses"])

    def _parameters(self, name: str, old: Json, new: Json) -> Iterator[Finding]:
        before = _parameters(self._old, old)
        after = _parameters(self._new, new)
        for key in dict.fromkeys([*before, *after]):
            here = f"{name}/parameters/{key}"
            if key not in after:  # what is unknown is refused
                yield Finding(here, "gone", breaking=True)
            elif key not in before:
                yield Finding(here, "new", breaking=bool(after[key].get("required")))
            else:
                if after[key].get("required") and not before[key].get("required"):
                    yield Finding(here, "is needed", breaking=True)
                for written in ("style", "explode"):
                    if before[key].get(written) != after[key].get(written):
                        yield Finding(f"{here}/{written}", "changed", breaking=True)
                yield from self._schemas(here, before[key], after[key], "taken")

    def _body(self, name: str, old: Json, new: Json) -> Iterator[Finding]:
        before, after = (item.get("requestBody", {}) for item in (old, new))
        if after.get("required") and not before.get("required"):
            yield Finding(f"{name}/requestBody", "is needed", breaking=True)
        yield from self._content(f"{name}/requestBody", before, after, "taken")

    def _responses(self, name: str, old: Json, new: Json) -> Iterator[Finding]:
        for status in dict.fromkeys([*old, *new]):
            here = f"{name}/responses/{status}"
            success = status < "400"
            if status not in new or status not in old:
                yield Finding(here, "gone" if status in old else "new", breaking=success)
                continue
            for field in old[status].get("headers", {}):
                if field not in new[status].get("headers", {}):
                    yield Finding(f"{here}/headers/{field}", "gone", breaking=True)
            yield from self._content(here, old[status], new[status], "given")

    def _content(self, place: str, old: Json, new: Json, direction: Direction) -> Iterator[Finding]:
        before, after = (item.get("content", {}) for item in (old, new))
        for media_type in dict.fromkeys([*before, *after]):
            here = f"{place}/{media_type}"
            if media_type not in after:
                yield Finding(here, "gone", breaking=True)
            elif media_type not in before:
                yield Finding(here, "new", breaking=False)
            else:
                yield from self._schemas(here, before[media_type], after[media_type], direction)
        if before and after and next(iter(before)) != next(iter(after)):
            yield Finding(place, "another media type comes first", breaking=True)

    def _schemas(self, place: str, old: Json, new: Json, direction: Direction) -> Iterator[Finding]:
        comparison = Comparison(self._old, self._new)
        for found in of_schemas(old["schema"], new["schema"], direction, comparison):
            yield Finding(place + found.place, found.what, found.breaking)


def _operations(document: Json) -> dict[str, Json]:
    return {
        f"{method.upper()} {path}": operation
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
    }


def _parameters(document: Json, operation: Json) -> dict[str, Json]:
    shared = document["components"].get("parameters", {})
    found = (
        shared[item["$ref"].rpartition("/")[2]] if "$ref" in item else item
        for item in operation.get("parameters", [])
    )
    return {f"{item['in']} {item['name']}": item for item in found}


def may_break(released: str, version: str) -> bool:
    """Whether a version says that it breaks with a released one."""
    return int(version.split(".")[0]) > int(released.split(".")[0])


def last_release() -> Path:
    """The folder of what was released last."""
    return max(_RELEASED.iterdir(), key=lambda path: tuple(map(int, path.name.split("."))))


def main() -> str | None:
    """Print every difference; what is returned is the message it fails with."""
    release = last_release()
    found = []
    for name, direction in SCHEMAS.items():
        if not (release / name).is_file():
            print(f"{name}: new")
            continue
        old, new = (_read(folder / name) for folder in (release, _PUBLISHED))
        found += [(name, finding) for finding in of_schemas(old, new, direction)]
    old, new = _read(release / _OPENAPI.name), _read(_OPENAPI)
    found += [(_OPENAPI.name, finding) for finding in of_descriptions(old, new)]
    for name, finding in found:
        print(f"{name}: {finding.place}: {finding.what}{' (breaks)' if finding.breaking else ''}")
    breaks = any(finding.breaking for _, finding in found)
    if breaks and not may_break(old["info"]["version"], new["info"]["version"]):
        return f"This breaks with {release.name}: only a new major version may."
    return None


def _read(path: Path) -> Json:
    document: Json = json.loads(path.read_text(encoding="utf-8"))
    return document


if __name__ == "__main__":
    sys.exit(main())
