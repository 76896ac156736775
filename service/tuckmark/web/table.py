"""What a row of the table of operations consists of."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final, Literal

from tuckmark.document import Json
from tuckmark.pipeline import Pipeline
from tuckmark.web.bodies import DOCUMENT, Form
from tuckmark.web.parts import Parts

if TYPE_CHECKING:
    from tuckmark.web.running import Running

Method = Literal["GET", "POST"]

#: how long answers that change with a release only may be kept
HOUR_S: Final = 3600
MINUTE_S: Final = 60
#: operations that stay open where keys are asked for, unless ``TUCKMARK_OPEN`` says otherwise
OpenGroup = Literal["health", "documents", "problems", "packed", "page"]

#: problems that every operation can answer with
COMMON_PROBLEMS: Final = (
    "parameter_invalid",
    "bad_request",
    "not_acceptable",
    "uri_too_long",
    "headers_too_large",
    "internal_error",
)
#: problems of every operation where keys are on; any group can be closed
ACCESS_PROBLEMS: Final = ("key_needed", "keys_unreadable")
#: problems of every operation that takes a document
DOCUMENT_PROBLEMS: Final = ("document_unreadable", "document_too_large", "unsupported_media_type")


@dataclass(frozen=True, slots=True)
class Parameter:
    """One parameter in the path or the query.

    Attributes:
        kind: ``name`` (whether it exists, the operation says), ``choice`` (one of
            ``allowed``), ``choices`` (some of ``allowed``, comma between), ``integer``
            (from ``least`` to ``most``), ``number`` (one of ``allowed``, all of them whole) or
            ``pattern`` (all of it is matched by ``pattern``).
        range: ``least`` to ``most`` in words, where it is not the same for all.
    """

    name: str
    location: Literal["path", "query"]
    description: str
    kind: Literal["name", "choice", "choices", "integer", "number", "pattern"]
    example: str | int
    allowed: tuple[str, ...] = ()
    least: int = 0
    most: int = 0
    range: str = ""
    pattern: str = ""

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
            case "number":
                return {"type": "integer", "enum": [int(text) for text in self.allowed]}
            case "pattern":
                return {"type": "string", "pattern": f"^{self.pattern}(?![\\s\\S])"}


@dataclass(frozen=True, slots=True)
class Call:
    """One request, read and checked.

    Attributes:
        parameters: path and query parameters by name, as their kind says.
        media_type: what the answer is to be, one of the operation's offers.
        document: the document that was sent, or that the address holds, where there is one.
        public_url: where clients outside reach this service; None where it is not known.
        running: the service around the operation; None where none runs.
    """

    parameters: Mapping[str, Any]
    media_type: str
    document: Json = None
    public_url: str | None = None
    running: "Running | None" = None


#: an answer that is not whole in memory comes in parts
Body = bytes | Parts
Handler = Callable[[Pipeline, Call], Body]
Parameters = Mapping[str, Any]


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
        form: how that document is sent and read.
        fresh_for_s: how long a client may keep the answer; 0 is never.
        offers_for: the media types that are offered with these parameters, where they depend on
            them; ``offers`` then holds all there are.
        packed: whether the path itself holds the document. Such an answer is for one client
            alone, and is asked after each time.
        file_name: what the answer is called where it is kept as a file; None where it is not.
        headers: further fields of its answer.
        open: the groups with each of which it needs no key even if keys are on; without any it
            always needs one.
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
    form: Form = DOCUMENT
    fresh_for_s: int = 0
    headers: tuple[tuple[str, str], ...] = ()
    offers_for: Callable[[Parameters], tuple[str, ...]] | None = None
    packed: bool = False
    file_name: Callable[[Call], str | None] | None = None
    open: tuple[OpenGroup, ...] = ()

    def offered(self, given: Parameters) -> tuple[str, ...]:
        """Media types of the answer to these parameters, the preferred one first."""
        return self.offers_for(given) if self.offers_for else self.offers

    @property
    def tagged(self) -> bool:
        """Whether its answers carry an ETag."""
        return self.packed or self.fresh_for_s > 0

    @property
    def all_problems(self) -> tuple[str, ...]:
        """Codes of every problem it can answer with."""
        document = DOCUMENT_PROBLEMS if self.takes else ()
        return (*COMMON_PROBLEMS, *ACCESS_PROBLEMS, *document, *self.problems)

    def parameters_in(self, location: str) -> tuple[Parameter, ...]:
        """Its parameters in the path or in the query."""
        return tuple(item for item in self.parameters if item.location == location)
