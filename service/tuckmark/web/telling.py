"""Each answer is counted, timed and written to the log once it was given."""

from time import perf_counter
from typing import Final

from flask import Response, g, request

from tuckmark.web import logs
from tuckmark.web.meters import Meters
from tuckmark.web.parts import Parts

_METHOD_CHARACTERS: Final = 16


def tell(response: Response, route: str, meters: Meters) -> None:
    """Count an answer and write its line; of one that is made while it is taken, at its end.

    Args:
        response: complete.
        route: the template of its path: no address is logged.
        meters: what counts it.
    """
    begun, method, status, problem = g.begun, request.method, response.status_code, g.problem
    asked_by = {
        "request_id": g.request_id,
        "traceparent": logs.traceparent(request.headers.get("traceparent")),
        "holder": g.holder,
    }

    def told(size: int | None) -> None:
        seconds = perf_counter() - begun
        meters.answered(method, route, status, problem, seconds)
        logs.request(
            method=method[:_METHOD_CHARACTERS],
            route=route,
            status=status,
            bytes=size,
            duration_ms=round(seconds * 1000, 2),
            problem=problem,
            **asked_by,
        )

    answer = response.response
    if isinstance(answer, Parts):
        response.call_on_close(lambda: told(answer.given_bytes))
    else:
        told(response.content_length)
