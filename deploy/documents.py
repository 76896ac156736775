"""Builds the published documents, or names those that differ from what would be built."""

import argparse
import json
import sys
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, Final

import proxy

from tuckmark import families, publishing, units
from tuckmark.pipeline import default_pipeline
from tuckmark.web import openapi

_SCHEMA = Path("schema")
_NGINX = Path("deploy", "nginx")


def spec_schema() -> dict[str, Any]:
    """The bundled spec schema."""
    source = _SCHEMA / "source"
    return publishing.spec_schema(
        base=publishing.read_json(source / "splice-spec.json"),
        grammar_text=(_SCHEMA / "v1" / "quantity.abnf").read_text(encoding="utf-8"),
        fragments=[
            publishing.read_json(source / "families" / f"{name}.json") for name in families.REGISTRY
        ],
    )


def request_schema(name: str) -> dict[str, Any]:
    """A request that holds specs, with the whole spec schema inside it."""
    example = next(iter(families.REGISTRY.values())).minimal_spec
    spec = publishing.definitions_of({**spec_schema(), "examples": [example]}, "splice_spec")
    return publishing.bundled(_source(name), spec)


def report_schema(name: str) -> dict[str, Any]:
    """An answer that says some things as a plan does."""
    plan = publishing.read_json(_SCHEMA / "v1" / "splice-plan.json")
    return publishing.bundled(_source(name), plan["$defs"])


def _source(name: str) -> dict[str, Any]:
    source: dict[str, Any] = publishing.read_json(_SCHEMA / "source" / f"{name}.json")
    return source


def openapi_document() -> dict[str, Any]:
    """The OpenAPI document, in which the schemas stand as they are published."""
    return openapi.document(default_pipeline())


#: In this order: a later document may embed an earlier one.
DOCUMENTS: Final[Mapping[Path, Callable[[], Mapping[str, Any] | str]]] = {
    Path("service", "tuckmark", "data", "conversions.json"): units.pint_conversions,
    _SCHEMA / "v1" / "splice-spec.json": spec_schema,
    **{
        _SCHEMA / "v1" / f"{name}-{end}.json": partial(build, f"{name}-{end}")
        for name in ("inspection", "calibration")
        for end, build in (("request", request_schema), ("report", report_schema))
    },
    _SCHEMA / "v1" / "cutlist-request.json": partial(request_schema, "cutlist-request"),
    Path("openapi", "openapi.json"): openapi_document,
    _NGINX / "bodies.conf": proxy.bodies,
    _NGINX / "errors.conf": proxy.errors,
    _NGINX / "routes.conf": proxy.routes,
}


def _json(value: Mapping[str, Any]) -> str:
    return json.dumps(value, indent=2, ensure_ascii=False) + "\n"


def stale(path: Path, text: str) -> bool:
    """Whether the file is missing or differs."""
    return not path.is_file() or path.read_text(encoding="utf-8") != text


def main() -> str | None:
    """Run the command line; what is returned is the message it fails with."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--check", action="store_true", help="write nothing, fail where stale")
    check = parser.parse_args().check
    found = []
    for path, build in DOCUMENTS.items():
        built = build()
        text = built if isinstance(built, str) else _json(built)
        if stale(path, text):
            found.append(path)
            if not check:
                path.write_text(text, encoding="utf-8")
    for path in found:
        print(f"{path}: {'stale' if check else 'built'}")
    return "Run ./deploy/build" if check and found else None


if __name__ == "__main__":
    sys.exit(main())
