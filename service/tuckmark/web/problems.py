"""The one body of every error over HTTP.

No framework in here: the application and the server below it both use it.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

import orjson

from tuckmark.faults import Fault
from tuckmark.pipeline import Rejected, fault_item
from tuckmark.problems import Entry, Item, as_json, catalogue, help_path, status_of, summary
from tuckmark.wording import shortened

__all__ = [
    "MEDIA_TYPE",
    "Entry",
    "Item",
    "ProblemError",
    "body",
    "catalogue",
    "help_path",
    "of_faults",
    "of_rejected",
    "parameter_item",
    "status_of",
]

MEDIA_TYPE: Final = "application/problem+json"


class ProblemError(Exception):
    """Ends a request with a problem.

    Args:
        code: a ``problem`` of the catalogue.
        detail: one sentence on this occurrence; the code's explanation when absent.
        errors: items of the body's ``errors``.
        count: how many there are in all, where ``errors`` are the first of them.
        headers: further fields of the answer.
    """

    def __init__(
        self,
        code: str,
        detail: str | None = None,
        errors: Sequence[Item] = (),
        count: int | None = None,
        headers: Mapping[str, str] = MappingProxyType({}),
    ) -> None:
        super().__init__(code)
        self.code = code
        self.detail = detail
        self.errors = errors
        self.count = count
        self.headers = headers

    @property
    def status(self) -> int:
        """HTTP status of the answer."""
        return status_of(self.code)

    def body(self, request_id: str) -> bytes:
        """The answer's body."""
        return body(self.code, request_id, self.detail, self.errors, self.count)


def body(
    code: str,
    request_id: str,
    detail: str | None = None,
    errors: Sequence[Item] = (),
    count: int | None = None,
) -> bytes:
    """The body of every answer that is an error (RFC 9457)."""
    problem = as_json(code, detail, errors, count) | {"request_id": request_id}
    return orjson.dumps(problem, option=orjson.OPT_APPEND_NEWLINE)


def of_faults(code: str, faults: Sequence[Fault], count: int) -> ProblemError:
    """A problem that faults of the document brought about."""
    return ProblemError(
        code, summary(faults, count), [fault_item(fault) for fault in faults], count
    )


def of_rejected(rejected: Rejected) -> ProblemError:
    """A problem that the pipeline, or what works by it, found."""
    return of_faults(rejected.code, rejected.faults, rejected.count)


def parameter_item(
    parameter: str,
    code: str,
    detail: str,
    *,
    allowed: Sequence[str] | str | None = None,
    given: str | None = None,
    hint: str | None = None,
) -> Item:
    """One item of ``errors`` on a parameter or a header field."""
    item = {
        "parameter": shortened(parameter),
        "code": code,
        "detail": detail,
        "allowed": list(allowed) if isinstance(allowed, tuple) else allowed,
        "given": None if given is None else shortened(given),
        "hint": hint,
    }
    return {name: value for name, value in item.items() if value is not None}
