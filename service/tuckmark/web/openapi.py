"""The OpenAPI 3.1 document, written from the table of operations and the published schemas.

Run by ``deploy/build``; the service serves what was built.
"""

import json
from collections.abc import Mapping
from typing import Any, Final

from tuckmark import __version__
from tuckmark.document import Json
from tuckmark.pipeline import Pipeline
from tuckmark.web import components, links, packed, problems
from tuckmark.web.bodies import JSON, LINES, NDJSON, of_lines
from tuckmark.web.negotiation import is_json
from tuckmark.web.operations import OPERATIONS, TAGS
from tuckmark.web.table import Call, Operation, Parameter

Item = dict[str, Any]

_DESCRIPTION: Final = (
    "A rope-and-splice spec goes in; the plan to make it by comes out: marks, lengths, steps, "
    "warnings and cautions, every figure with its source.\n\n"
    "Every path also answers OPTIONS, and HEAD where it answers GET. Every error, on every path, "
    "is a problem (RFC 9457) whose code is explained at `/problems/{code}`; a method that a path "
    "does not take is answered with 405 and `Allow`. Every answer may be read from any origin.\n\n"
    "Whoever runs the service may ask for a key: `Authorization: Bearer` and the key."
)
_REQUEST_ID: Final = "0f3c9a7be2d14c58"
_HEADERS: Final[Item] = {
    "RequestId": {
        "description": "Names this request in the service's log.",
        "required": True,
        "schema": {"type": "string", "pattern": "^[A-Za-z0-9._-]{1,64}(?![\\s\\S])"},
        "example": _REQUEST_ID,
    },
    "CacheControl": {
        "description": "Whether and how long the answer may be kept.",
        "required": True,
        "schema": {"type": "string"},
        "example": "no-store",
    },
    "ETag": {
        "description": "Changes whenever a byte of the answer does; send it as If-None-Match.",
        "required": True,
        "schema": {"type": "string"},
        "example": '"7d0d5c0a9a7e4f6d8a52b1f0c3e4a6b9"',
    },
    "AcceptPost": {
        "description": "The media types that are taken here.",
        "required": True,
        "schema": {"type": "string"},
        "example": JSON,
    },
    "Link": {
        "description": "Where this is described, explained and watched (RFC 8288, RFC 8631).",
        "required": True,
        "schema": {"type": "string"},
        "example": links.everywhere(),
    },
    "Challenge": {
        "description": "Says that a bearer key is wanted, or that the one sent is none.",
        "required": True,
        "schema": {"type": "string"},
        "example": 'Bearer realm="tuckmark"',
    },
    "RetryAfter": {
        "description": "Seconds to wait before another try.",
        "required": True,
        "schema": {"type": "integer", "minimum": 0},
        "example": 5,
    },
}
_TEXT: Final = {"type": "string"}
_NOT_JSON: Final = dict.fromkeys(
    ("text/html", "text/csv", "text/plain", "text/css", "text/javascript", "image/svg+xml"), _TEXT
)
_SHARED_PARAMETERS: Final[Item] = {
    "RequestId": {
        "name": "X-Request-ID",
        "in": "header",
        "description": "A name for this request, 1 to 64 letters, digits, dots, dashes or "
        "underscores; with anything else, or none, one is made.",
        "schema": {"type": "string"},
        "example": _REQUEST_ID,
    },
    "IfNoneMatch": {
        "name": "If-None-Match",
        "in": "header",
        "description": "ETag of an earlier answer: if it still stands, the answer is 304.",
        "schema": {"type": "string"},
        "example": '"7d0d5c0a9a7e4f6d8a52b1f0c3e4a6b9"',
    },
}


def document(pipeline: Pipeline) -> Item:
    """The whole document.

    Args:
        pipeline: makes the plans and listings that stand in it as examples.
    """
    paths: Item = {}
    for operation in OPERATIONS:
        paths.setdefault(operation.path, {})[operation.method.lower()] = _operation(
            operation, pipeline
        )
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Tuckmark",
            "version": __version__,
            "summary": "From a splice spec to the plan to splice by.",
            "description": _DESCRIPTION,
            "contact": {"name": "Whoever runs this service"},
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        "servers": [{"url": "/", "description": "Where this document was found."}],
        "tags": [{"name": name, "description": text} for name, text in TAGS.items()],
        "security": [{}, {"key": []}],
        "paths": paths,
        "components": {
            "schemas": components.schemas(),
            "parameters": _SHARED_PARAMETERS,
            "headers": _HEADERS,
            "securitySchemes": {
                "key": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": "Where keys are on: the key that you were given.",
                }
            },
        },
    }


def _operation(operation: Operation, pipeline: Pipeline) -> Item:
    shared = ["RequestId", *(["IfNoneMatch"] if operation.tagged else [])]
    item: Item = {
        "operationId": operation.id,
        "tags": [operation.tag],
        "summary": operation.summary,
        "description": operation.description,
        "parameters": [
            *(_parameter(parameter) for parameter in operation.parameters),
            *({"$ref": f"#/components/parameters/{name}"} for name in shared),
        ],
    }
    if operation.takes:
        schema = operation.form.schema(components.reference(operation.takes))
        examples = _examples(operation, components.examples(operation.takes))
        item["requestBody"] = {
            "description": "The document, in UTF-8.",
            "required": True,
            "content": {
                media_type: {"schema": schema, "examples": examples}
                for media_type in operation.form.media_types
            },
        }
    item["responses"] = {"200": _success(operation, pipeline)}
    if operation.tagged:
        item["responses"]["304"] = {
            "description": "What you have still stands.",
            "headers": _headers("RequestId", "CacheControl", "Link", "ETag"),
        }
    item["responses"].update(_problems(operation))
    return item


def _examples(operation: Operation, documents: Mapping[str, Json]) -> Item:
    """Documents as they are sent: each by itself, or all of them one a line."""
    if operation.form is LINES:
        return {"lines": {"value": LINES.write(list(documents.values())[:2]).decode()}}
    return {name: {"value": each} for name, each in documents.items()}


def _parameter(parameter: Parameter) -> Item:
    item: Item = {
        "name": parameter.name,
        "in": parameter.location,
        "description": parameter.description,
        "required": parameter.location == "path",
        "schema": parameter.schema(),
    }
    if parameter.kind == "choices":
        item |= {"style": "form", "explode": False}
        item["example"] = str(parameter.example).split(",")
    else:
        item["example"] = parameter.example
    return item


def _success(operation: Operation, pipeline: Pipeline) -> Item:
    fresh = ["ETag"] if operation.tagged else []
    return {
        "description": operation.success,
        "headers": _headers("RequestId", "CacheControl", "Link", *fresh),
        "content": {
            media_type.partition(";")[0]: _content(operation, media_type, pipeline)
            for media_type in operation.offers
        },
    }


def _content(operation: Operation, media_type: str, pipeline: Pipeline) -> Item:
    if operation.answer is not None and media_type == NDJSON:
        return {"schema": of_lines(components.reference(operation.answer))}
    if operation.answer is None or not is_json(media_type):
        return {
            "schema": _NOT_JSON.get(
                media_type.partition(";")[0], {"type": "string", "format": "binary"}
            )
        }
    content: Item = {"schema": components.reference(operation.answer)}
    if operation.answer not in ("OpenApi", "JsonSchema"):  # they would hold themselves
        path = {item.name: item.example for item in operation.parameters_in("path")}
        answer = operation.handler(pipeline, Call(path, media_type, _sent(operation)))
        if isinstance(answer, bytes):
            content["examples"] = {"answer": {"value": json.loads(answer)}}
    return content


def _sent(operation: Operation) -> Json:
    """The document that comes with the example of an operation."""
    if operation.packed:
        return packed.read(str(operation.parameters_in("path")[0].example))
    if not operation.takes:
        return None
    return operation.form.read(operation.form.write(components.examples(operation.takes).values()))


def _problems(operation: Operation) -> Item:
    responses: Item = {}
    by_status: dict[int, list[str]] = {}
    for code in operation.all_problems:
        by_status.setdefault(problems.status_of(code), []).append(code)
    for status, codes in sorted(by_status.items()):
        entries = [problems.catalogue()[code] for code in codes]
        further = {401: ["Challenge"], 415: ["AcceptPost"], 503: ["RetryAfter"]}.get(status, [])
        responses[str(status)] = {
            "description": " Or: ".join(f"`{entry.code}`: {entry.title}." for entry in entries),
            "headers": _headers("RequestId", "CacheControl", "Link", *further),
            "content": {
                problems.MEDIA_TYPE: {
                    "schema": components.reference("Problem"),
                    "examples": {
                        code: {"value": json.loads(problems.body(code, _REQUEST_ID))}
                        for code in codes
                    },
                }
            },
        }
    return responses


def _headers(*names: str) -> Item:
    spelt = {
        "RequestId": "X-Request-ID",
        "CacheControl": "Cache-Control",
        "ETag": "ETag",
        "Link": "Link",
        "AcceptPost": "Accept-Post",
        "RetryAfter": "Retry-After",
        "Challenge": "WWW-Authenticate",
    }
    return {spelt[name]: {"$ref": f"#/components/headers/{name}"} for name in names}
