"""What a row of the table of operations consists of."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

from tuckmark.document import Json
from tuckmark.pipeline import Pipeline

Method = Literal["GET", "POST"]

#: problems that every operation can answer with
COMMON_PROBLEMS: Final = (
    "parameter_invalid",
    "bad_request",
    "not_acceptable",
    "uri_too_long",
    "headers_too_large",
    "internal_error",
)
#: problems of every operation that takes a document
DOCUMENT_PROBLEMS: Final = ("document_unreadable", "document_too_large", "unsupported_media_type")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter in the path or the query.

    Attributes:
        kind: ``name`` (whether it exists, the operation says), ``choice`` (one of
            ``allowed``), ``choices`` (some of ``allowed``, comma between) or ``integer``
            (from ``least`` to ``most``).
    """

    name: str
    location: Literal["path", "query"]
    description: str
    kind: Literal["name", "choice", "choices", "integer"]
    example: str | int
    allowed: tuple[str, ...] = ()
    least: int = 0
    most: int = 0

    def schema(self) -> dict[str, Any]:
        """What it may be, as JSON Schema."""
        match self.kind:
            case "name":
                return {"type": "string", "pattern": "^[A-Za-z0-9_-]{1,80}(?![\\s\\S])"}
            case "choice":
                return {"type": "string", "enum": list(self.allowed)}
            case "choices":
                one = {"type": "string", "enum": list(self.allowed)}
                return {"type": "array", "items": one, "minItems": 1, "uniqueItems": True}
            case "integer":
                return {"type": "integer", "minimum": self.least, "maximum": self.most}


@dataclass(frozen=True, slots=True)
class Call:
    """One request, read and checked.

    Attributes:
        parameters: path and query parameters by name, as their kind says.
        media_type: what the answer is to be, one of the operation's offers.
        document: the document that was sent, where the operation takes one.
    """

    parameters: Mapping[str, Any]
    media_type: str
    document: Json = None


Handler = Callable[[Pipeline, Call], bytes]


@dataclass(frozen=True, slots=True)
class Operation:
    """One method on one path: what it takes and everything it can answer.

    Attributes:
        id: its name in the OpenAPI document.
        path: as in the OpenAPI document, ``{name}`` for a path parameter.
        handler: makes the body of the answer.
        answer: component that describes the answer; None where it is not JSON.
        success: the answer in one sentence.
        offers: media types of the answer, the preferred one first; all UTF-8.
        problems: codes beside the common ones.
        takes: component that describes the document it takes; None for GET.
        fresh_for_s: how long a client may keep the answer; 0 is never.
    """

    id: str
    method: Method
    path: str
    tag: str
    summary: str
    description: str
    handler: Handler
    answer: str | None
    success: str
    offers: tuple[str, ...] = ("application/json",)
    problems: tuple[str, ...] = ()
    parameters: tuple[Parameter, ...] = ()
    takes: str | None = None
    fresh_for_s: int = 0

    @property
    def all_problems(self) -> tuple[str, ...]:
        """Codes of every problem it can answer with."""
        return (*COMMON_PROBLEMS, *(DOCUMENT_PROBLEMS if self.takes else ()), *self.problems)

    def parameters_in(self, location: str) -> tuple[Parameter, ...]:
        """Its parameters in the path or in the query."""
        return tuple(item for item in self.parameters if item.location == location)
