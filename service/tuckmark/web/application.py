"""The Flask application: the table of operations becomes routes with strict manners."""

import hashlib
import logging
import re
import secrets
from collections.abc import Callable, Iterable
from io import BytesIO
from time import perf_counter
from typing import Any, Final

from flask import Flask, Response, g, request
from msgspec.structs import replace
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from tuckmark import settings
from tuckmark.pipeline import Pipeline, default_pipeline
from tuckmark.web import (
    access,
    headers,
    limits,
    links,
    negotiation,
    packed,
    parameters,
    problems,
    telling,
)
from tuckmark.web.bodies import Form
from tuckmark.web.operations import OPERATIONS
from tuckmark.web.parts import Parts
from tuckmark.web.problems import ProblemError
from tuckmark.web.running import EXTENSION, Running, from_environment
from tuckmark.web.table import Body, Call, Operation, Parameters

_LOG: Final = logging.getLogger(__name__)
_REQUEST_ID: Final = re.compile(r"[A-Za-z0-9._-]{1,64}\Z")
_CHUNK_BYTES: Final = 64 * 1024
_PATH_PARAMETER: Final = re.compile(r"\{(\w+)\}")
_OF_ALL: Final = sorted({"HEAD", "OPTIONS", *(operation.method for operation in OPERATIONS)})
_PREFLIGHT: Final = {
    "Access-Control-Allow-Headers": "Accept, Authorization, Content-Type, If-None-Match, "
    "X-Request-ID",
    "Access-Control-Max-Age": "86400",
}
#: what the framework finds wrong by itself; anything else of 4xx is a bad request
_OF_STATUS: Final = {
    404: "not_found",
    405: "method_not_allowed",
    413: "document_too_large",
    414: "uri_too_long",
    415: "unsupported_media_type",
    431: "headers_too_large",
}


def create_app(pipeline: Pipeline | None = None, running: Running | None = None) -> Flask:
    """The application that answers with one pipeline's plans.

    Args:
        pipeline: what plans and judges; the package's own when absent.
        running: the service around it; as the environment says when absent.

    Raises:
        SettingError: the environment sets something that cannot be.
    """
    app = Flask("tuckmark", static_folder=None)
    app.url_map.merge_slashes = False
    service = app.extensions[EXTENSION] = running or from_environment()
    chosen = replace(pipeline or default_pipeline(), observer=service.meters)
    public_url = settings.public_url()
    for operation in OPERATIONS:
        app.add_url_rule(
            _rule(operation.path),
            operation.id,
            _view(operation, chosen, service, public_url),
            methods=[operation.method],
            provide_automatic_options=False,
        )
    for path in dict.fromkeys(operation.path for operation in OPERATIONS):
        app.add_url_rule(_rule(path), f"options {path}", _options(path), methods=["OPTIONS"])
    app.before_request(_begin)
    app.after_request(_finish)
    app.after_request(_told(service))  # first, for the framework runs the last one first
    app.register_error_handler(ProblemError, _problem)
    app.register_error_handler(HTTPException, _http_problem)
    app.register_error_handler(Exception, _unexpected)
    return app


def allowed_methods(path: str) -> tuple[str, ...]:
    """Every method that a path of the table answers."""
    given = {operation.method for operation in OPERATIONS if operation.path == path}
    return tuple(sorted({*given, "OPTIONS", *(["HEAD"] if "GET" in given else [])}))


def _rule(path: str) -> str:
    return _PATH_PARAMETER.sub(r"<\1>", path)


def _template(rule: str) -> str:
    return rule.replace("<", "{").replace(">", "}")


def _view(
    operation: Operation, pipeline: Pipeline, running: Running, public_url: str | None
) -> Callable[..., Response]:
    query = operation.parameters_in("query")
    shared = "private" if access.needs_key(running, operation) else "public"

    def view(**path: str) -> Response:
        g.holder = access.admit(running, operation, request.headers.get("Authorization"))
        pairs = request.args.items(multi=True) if request.query_string else ()
        given = {**path, **parameters.read(pairs, query)}
        media_type = _negotiated(operation, given)
        document = _document(operation, given)
        call = Call(given, media_type, document, public_url, running)
        return _answer(operation, call, operation.handler(pipeline, call), shared)

    return view


def _negotiated(operation: Operation, given: Parameters) -> str:
    offers = operation.offered(given)
    if "format" in given:  # wins over Accept
        return offers[0]
    accept = request.headers.get("Accept")
    found = negotiation.best(accept, offers)
    if found is None:
        detail = f"Offered here: {', '.join(offers)}."
        item = problems.parameter_item(
            "Accept", "not_offered", detail, allowed=offers, given=accept
        )
        raise ProblemError("not_acceptable", detail, [item])
    return found


def _document(operation: Operation, given: Parameters) -> Any:
    if operation.packed:
        return packed.read(given["packed"])
    if not operation.takes:
        return None
    operation.form.check_media_type(
        *map(request.headers.get, ("Content-Type", "Content-Encoding", "Transfer-Encoding"))
    )
    return operation.form.read(_body(operation.form))


def _body(form: Form) -> bytes:
    """The whole body; its announced length is not relied on."""
    announced = request.content_length or 0
    body = BytesIO()
    try:
        while (wanted := min(_CHUNK_BYTES, form.most_bytes + 1 - body.tell())) and (
            chunk := request.stream.read(wanted)
        ):
            body.write(chunk)
        size = body.tell()
        if max(announced, size) > form.most_bytes:
            _read_on()
            raise form.too_large()
    except OSError:  # the client stopped sending
        raise ProblemError("bad_request") from None
    if size < announced:
        raise ProblemError("bad_request")
    return body.getvalue()  # without another copy


def _read_on() -> None:
    """A client that is still sending would lose the answer with the connection."""
    left = limits.DISCARDED_BYTES
    while left > 0 and (chunk := request.stream.read(min(left, _CHUNK_BYTES))):
        left -= len(chunk)


def _answer(operation: Operation, call: Call, body: Body, shared: str) -> Response:
    response = Response(body, content_type=negotiation.content_type(call.media_type))
    response.vary.add("Accept")
    response.headers["Cache-Control"] = _caching(operation, shared)
    response.headers.update(operation.headers)
    if negotiation.is_json(call.media_type) and (link := links.described_by(operation.answer)):
        response.headers["Link"] = link
    name = operation.file_name(call) if operation.file_name else None
    if name is not None:
        response.headers["Content-Disposition"] = f'inline; filename="{name}"'
    if isinstance(body, Parts):
        body.request_id = g.request_id
        return response
    if not operation.tagged:
        return response
    etag = hashlib.sha256(call.media_type.encode() + b"\0" + body).hexdigest()[:32]
    response.set_etag(etag)
    if request.if_none_match.contains_weak(etag):
        response.status_code = 304
        response.set_data(b"")
    return response


def _caching(operation: Operation, shared: str) -> str:
    if operation.packed:
        return "private, no-cache"
    return f"{shared}, max-age={operation.fresh_for_s}" if operation.fresh_for_s else "no-store"


def _options(path: str) -> Callable[..., Response]:
    taken = next((item.form for item in OPERATIONS if item.path == path and item.takes), None)

    def options(**_path: str) -> Response:
        response = _methods(allowed_methods(path))
        if taken:
            response.headers.update(taken.accept_post)
        return response

    return options


def _methods(allowed: Iterable[str]) -> Response:
    response = Response(status=204)
    del response.headers["Content-Type"]
    methods = ", ".join(allowed)
    response.headers.update({"Allow": methods, "Access-Control-Allow-Methods": methods})
    response.headers.update(_PREFLIGHT)
    return response


def _begin() -> Response | None:
    g.begun = perf_counter()
    g.problem = g.holder = None
    given = request.headers.get("X-Request-ID", "")
    g.request_id = given if _REQUEST_ID.match(given) else secrets.token_hex(8)
    target = request.environ.get("RAW_URI") or request.full_path
    if len(target) > limits.TARGET_CHARACTERS:
        raise ProblemError("uri_too_long")
    if request.environ["PATH_INFO"].startswith("//"):  # the router would take it for one slash
        raise ProblemError("not_found")
    if "HTTP_HOST" not in request.environ and request.environ["SERVER_PROTOCOL"] == "HTTP/1.1":
        raise ProblemError("bad_request")  # RFC 9112, 3.2
    if (request.method, target) == ("OPTIONS", "*"):  # the service as a whole: RFC 9110, 9.3.7
        return _methods(_OF_ALL)
    return None


def _finish(response: Response) -> Response:
    response.headers.extend(headers.ALWAYS)  # nothing else sets these
    response.headers["Link"] = links.everywhere(response.headers.get("Link"))
    policy = headers.content_security(response.mimetype or "")
    response.headers.setdefault("Content-Security-Policy", policy)
    response.headers["X-Request-ID"] = g.request_id
    return response


def _told(running: Running) -> Callable[[Response], Response]:
    def told(response: Response) -> Response:
        route = _template(request.url_rule.rule) if request.url_rule else "none"
        telling.tell(response, route, running.meters)
        return response

    return told


def _problem(problem: ProblemError) -> Response:
    g.problem = problem.code
    response = Response(
        problem.body(g.request_id), problem.status, content_type=problems.MEDIA_TYPE
    )
    response.headers.update(problem.headers)
    response.headers["Cache-Control"] = "no-store"
    response.vary.add("Accept")
    response.headers["Link"] = links.of_problem(problems.help_path(problem.code))
    return response


def _http_problem(error: HTTPException) -> Response:
    status = error.code or 500
    code = _OF_STATUS.get(status, "bad_request" if status < 500 else "internal_error")
    headers = {}
    if isinstance(error, MethodNotAllowed) and error.valid_methods:
        headers["Allow"] = ", ".join(sorted(error.valid_methods))
    return _problem(ProblemError(code, headers=headers))


def broken_off(_error: Exception) -> Response:
    """The answer to a body that broke off or whose framing cannot be read."""
    return _problem(ProblemError("bad_request"))


def _unexpected(_error: Exception) -> Response:
    _LOG.exception("request %s failed", g.request_id)
    return _problem(ProblemError("internal_error"))
