"""The reference page: the OpenAPI document for reading, without scripts or outside resources."""

import json
from functools import cache
from typing import Any, Final

from tuckmark import published
from tuckmark.web.components import PUBLISHED
from tuckmark.web.negotiation import is_json
from tuckmark.web.pages import templates

_PROBLEM: Final = "application/problem+json"


@cache
def page() -> bytes:
    """The page, made once from the published document."""
    document = json.loads(published.openapi())
    return templates.rendered(
        "docs.html",
        info=document["info"],
        groups=_groups(document),
        schemas=tuple(PUBLISHED.values()),
        not_carried=not_carried(document),
    )


def not_carried(document: dict[str, Any]) -> list[tuple[str, str]]:
    """Operations and media types that no client generator makes types for: all that is not JSON."""
    return [
        (f"{method.upper()} {path}", media_type)
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
        for media_type in dict.fromkeys(
            [
                *operation.get("requestBody", {}).get("content", {}),
                *operation["responses"]["200"]["content"],
            ]
        )
        if not is_json(media_type)
    ]


def _groups(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Operations by tag, in the order of the document, each with what the page shows of it."""
    shared = document["components"]["parameters"]
    groups = {tag["name"]: {**tag, "operations": []} for tag in document["tags"]}
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            shown = _shown(method, path, operation, shared)
            groups[operation["tags"][0]]["operations"].append(shown)
    return list(groups.values())


def _shown(
    method: str, path: str, operation: dict[str, Any], shared: dict[str, Any]
) -> dict[str, Any]:
    parameters = [
        shared[item["$ref"].rpartition("/")[2]] if "$ref" in item else item
        for item in operation["parameters"]
    ]
    taken: dict[str, Any] = next(
        iter(operation.get("requestBody", {}).get("content", {}).values()), {}
    )
    given: dict[str, Any] = operation["responses"]["200"]["content"]
    return {
        "id": operation["operationId"],
        "method": method.upper(),
        "path": path,
        "summary": operation["summary"],
        "description": operation["description"],
        "parameters": [{**item, "allowed": _allowed(item["schema"])} for item in parameters],
        "takes": _first_example(taken),
        "media_types": list(given),
        "gives": _first_example(next(iter(given.values()))),
        "statuses": [
            (status, answer["description"], sorted(_codes(answer)))
            for status, answer in operation["responses"].items()
        ],
    }


def _allowed(schema: dict[str, Any]) -> str:
    """What a parameter may be, in a few words."""
    values = schema.get("enum") or schema.get("items", {}).get("enum")
    if values:
        return ", ".join(map(str, values))
    if "minimum" in schema and "maximum" in schema:
        return f"{schema['minimum']} to {schema['maximum']}"
    return ""


def _first_example(content: dict[str, Any]) -> Any:
    return next((item["value"] for item in content.get("examples", {}).values()), None)


def _codes(answer: dict[str, Any]) -> set[str]:
    return set(answer.get("content", {}).get(_PROBLEM, {}).get("examples", {}))
