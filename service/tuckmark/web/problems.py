"""The one body of every error, and the catalogue that explains each code.

No framework in here: the application and the server below it both use it.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any, Final, Literal

import orjson

from tuckmark.faults import Fault
from tuckmark.pipeline import fault_item
from tuckmark.validation import MAX_FAULTS

MEDIA_TYPE: Final = "application/problem+json"
_TYPE: Final = "https://tuckmark.example/problems/"
_MAX_GIVEN: Final = 80

Item = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """What is known of a code.

    Attributes:
        kind: ``problem`` is an answer's own code, ``fault`` one item of its ``errors``;
            ``warning`` and ``caution`` come with a plan.
        status: HTTP status, of problems only.
        severity: of warnings and cautions only.
    """

    code: str
    kind: Literal["problem", "fault", "warning", "caution"]
    title: str
    explanation: str
    fix: str
    status: int | None = None
    severity: str | None = None
    example: Any = None

    def listing(self) -> dict[str, Any]:
        """The entry as ``/problems/{code}`` shows it."""
        facts = {
            "code": self.code,
            "kind": self.kind,
            "status": self.status,
            "severity": self.severity,
            "title": self.title,
            "explanation": self.explanation,
            "fix": self.fix,
            "example": self.example,
            "href": help_path(self.code),
        }
        return {name: value for name, value in facts.items() if value is not None}


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


@cache
def catalogue() -> Mapping[str, Entry]:
    """Every code of problems, faults, warnings and cautions."""
    entries: dict[str, Entry] = {}
    for file in ("problems.json", "notices.json"):
        text = resources.files("tuckmark").joinpath("data", file).read_text(encoding="utf-8")
        for code, facts in json.loads(text).items():
            known = {name: facts[name] for name in Entry.__slots__ if name in facts}
            entries[code] = Entry(code=code, **known)
    return MappingProxyType(entries)


def status_of(code: str) -> int:
    """HTTP status of a problem."""
    status = catalogue()[code].status
    if status is None:
        raise ValueError(f"{code} is no problem of its own")
    return status


def help_path(code: str) -> str:
    """Where this service explains a code."""
    return f"/problems/{code}"


def body(
    code: str,
    request_id: str,
    detail: str | None = None,
    errors: Sequence[Item] = (),
    count: int | None = None,
) -> bytes:
    """The body of every answer that is an error (RFC 9457)."""
    entry = catalogue()[code]
    problem = {
        "type": _TYPE + code,
        "title": entry.title,
        "status": status_of(code),
        "detail": detail or entry.explanation,
        "help": help_path(code),
        "errors": list(errors[:MAX_FAULTS]),
        "error_count": len(errors) if count is None else count,
        "request_id": request_id,
    }
    return orjson.dumps(problem, option=orjson.OPT_APPEND_NEWLINE)


def of_faults(code: str, faults: Sequence[Fault], count: int) -> ProblemError:
    """A problem that faults of the document brought about."""
    detail = faults[0].detail
    if count > 1:
        detail = f"{detail} There are {count} faults in all; see errors."
    return ProblemError(code, detail, [fault_item(fault) for fault in faults], count)


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
        "parameter": parameter[:_MAX_GIVEN],
        "code": code,
        "detail": detail,
        "allowed": list(allowed) if isinstance(allowed, tuple) else allowed,
        "given": None if given is None else given[:_MAX_GIVEN],
        "hint": hint,
    }
    return {name: value for name, value in item.items() if value is not None}
