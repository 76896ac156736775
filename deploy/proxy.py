"""What the proxy has to know of the service: its routes and its problem bodies."""

import re
from collections.abc import Iterator, Mapping
from typing import Final

from tuckmark.web import headers, limits, links, problems
from tuckmark.web.bodies import DOCUMENT, LINES
from tuckmark.web.operations import OPERATIONS

_REQUEST_ID: Final = "$tuckmark_request_id"
_HEAD: Final = "# Built by ./deploy/build from the service's own tables; do not edit.\n\n"
#: what nginx finds wrong by itself -> our code; the answer has the code's own status
CODES: Final[Mapping[int, str]] = {
    400: "bad_request",
    403: "forbidden",
    404: "not_found",
    405: "method_not_allowed",
    413: "document_too_large",
    414: "uri_too_long",
    429: "too_many_requests",
    494: "headers_too_large",  # nginx's own number for 431
    497: "bad_request",  # plain HTTP where TLS is spoken
    500: "internal_error",
    501: "bad_request",  # a transfer coding that nginx does not know
    502: "bad_gateway",
    503: "unavailable",
    504: "gateway_timeout",
    505: "bad_request",
}
_RETRY: Final = {429, 502, 503, 504}
#: of an answer in lines, all is taken from the service at once and kept for a slow client
_OF_LINES: Final = """\
    proxy_max_temp_file_size 1024m;
    limit_conn tuckmark_connections 100;
    limit_conn tuckmark_batches_of_one 2;
    limit_conn tuckmark_batches 8;
    limit_conn_status 503;
"""


def errors() -> str:
    """Every error of nginx as the one problem body; stands in a ``server`` block."""
    pages = [
        f"error_page {status} ={problems.status_of(code)} {_place(code)};"
        for status, code in CODES.items()
    ]
    places = [_location(code) for code in dict.fromkeys(CODES.values())]
    return _HEAD + "\n".join([*pages, "", *places])


def routes() -> str:
    """Request address to route template, so that no address need be logged."""
    paths = dict.fromkeys(operation.path for operation in OPERATIONS)
    lines = [f'    "~\\A{_pattern(path)}(?:\\?|\\z)" "{path}";' for path in paths]
    return (
        _HEAD
        + "map $request_uri $tuckmark_route {\n    default none;\n"
        + "\n".join(lines)
        + "\n}\n"
    )


def bodies() -> str:
    """Operations that take more than one document's bytes; stands in a ``server`` block."""
    places = [
        f"location = {operation.path} {{\n"
        f"    client_max_body_size {operation.form.most_bytes};\n"
        f"{_OF_LINES if operation.form is LINES else ''}"
        "    proxy_pass http://tuckmark;\n}\n"
        for operation in OPERATIONS
        if operation.takes and operation.form.most_bytes > DOCUMENT.most_bytes
    ]
    return _HEAD + "".join(places)


def _pattern(path: str) -> str:
    """A route template as a regular expression; quoted braces do not end nginx's block."""
    parts = re.split(r"\{\w+\}", path)
    return "[^/?]+".join(re.escape(part) for part in parts)


def _place(code: str) -> str:
    return f"/.tuckmark/{code}"


def _location(code: str) -> str:
    status = problems.status_of(code)
    body = problems.body(code, _REQUEST_ID).decode().strip()
    quoted = body.replace("\\", "\\\\").replace("'", "\\'")
    fields = "".join(
        f'    add_header {name} "{_quoted(value)}" always;\n'
        for name, value in _fields(code, status)
    )
    return (
        f"location = {_place(code)} {{\n    internal;\n"
        "    client_max_body_size 0;\n"  # judged already; else a large body turns any error to 413
        f"    default_type {problems.MEDIA_TYPE};\n{fields}"
        f"    return {status} '{quoted}\n';\n}}\n"
    )


def _quoted(value: str) -> str:
    return value.replace("\\", "\\\\").replace('"', '\\"')


def _fields(code: str, status: int) -> Iterator[tuple[str, str]]:
    yield from headers.ALWAYS.items()
    yield "Content-Security-Policy", headers.content_security(problems.MEDIA_TYPE)
    yield "Cache-Control", "no-store"
    yield "X-Request-ID", _REQUEST_ID
    yield "Link", links.everywhere(links.of_problem(problems.help_path(code)))
    if status in _RETRY:
        yield "Retry-After", limits.RETRY_AFTER_S
    if status == 405:
        yield "Allow", "GET, HEAD, OPTIONS, POST"
