"""What a request carries: its media type, its size, and how it is read."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, Final, NoReturn

import orjson

from tuckmark import batch, document
from tuckmark.faults import Fault
from tuckmark.web import negotiation
from tuckmark.web.problems import ProblemError, of_faults, parameter_item

JSON: Final = "application/json"
NDJSON: Final = "application/x-ndjson"
BATCH_BYTES: Final = 16 * 1024 * 1024
#: as many specs of usual size as the bytes hold; a season's order has some hundreds
BATCH_LINES: Final = 20_000


@dataclass(frozen=True, slots=True)
class Form:
    """A kind of body: one for each way in which operations take them.

    Attributes:
        media_types: what it may be called, the usual name first; all UTF-8.
        most_bytes: that are taken.
        read: the bytes to what the handler gets.
        write: documents to such bytes, for examples.
        schema: what the body is, given the schema of a document, as JSON Schema.
    """

    media_types: tuple[str, ...]
    most_bytes: int
    read: Callable[[bytes], Any]
    write: Callable[[Iterable[document.Json]], bytes]
    schema: Callable[[Any], Any]

    @property
    def accept_post(self) -> Mapping[str, str]:
        """The field that says what is taken."""
        return {"Accept-Post": ", ".join(self.media_types)}

    def too_large(self) -> ProblemError:
        """The refusal of more than is taken."""
        return ProblemError("document_too_large", f"More than {self.most_bytes:,} bytes were sent.")

    def check_media_type(
        self,
        content_type: str | None,
        content_encoding: str | None,
        transfer_encoding: str | None,
    ) -> None:
        """Only what this form is called, in UTF-8, and as it is; in chunks, it may come.

        Raises:
            ProblemError: ``unsupported_media_type``.
        """
        found = negotiation.media_type(content_type or "")
        if found is None or found.essence not in self.media_types:
            self._refuse("Content-Type", "media_type_not_taken", self.media_types, content_type)
        elif found.parameter("charset") not in (None, "utf-8"):
            self._refuse("Content-Type", "charset_not_taken", ("utf-8",), content_type)
        if (content_encoding or "identity").strip().lower() != "identity":
            self._refuse("Content-Encoding", "coding_not_taken", ("identity",), content_encoding)
        if (transfer_encoding or "chunked").strip().lower() != "chunked":
            self._refuse("Transfer-Encoding", "coding_not_taken", ("chunked",), transfer_encoding)

    def _refuse(
        self, field: str, code: str, allowed: tuple[str, ...], given: str | None
    ) -> NoReturn:
        only = " or ".join(allowed)
        detail = f"{field} is missing." if given is None else f"Only {only} is taken here."
        item = parameter_item(field, code, detail, allowed=allowed, given=given)
        raise ProblemError(
            "unsupported_media_type", f"{field}: {detail}", [item], headers=self.accept_post
        )


def _json(body: bytes, most_bytes: int = document.MAX_BYTES) -> document.Json:
    """The JSON value of a body.

    Raises:
        ProblemError: ``document_unreadable``.
    """
    try:
        return document.read(body, max_bytes=most_bytes)
    except document.UnreadableError as error:
        raise of_faults("document_unreadable", (error.fault,), 1) from None


def _lines(body: bytes) -> bytes:
    """The body as it is: each line is read, and judged, by itself.

    Raises:
        ProblemError: ``document_unreadable``, where there is no line; ``batch_too_long``.
    """
    if not body:
        fault = Fault("", "document_empty", "The batch has no line; one spec a line is wanted.")
        raise of_faults("document_unreadable", (fault,), 1)
    if (count := batch.count_lines(body)) > BATCH_LINES:
        detail = (
            f"The batch has {count:,} lines; at most {BATCH_LINES:,} are answered. "
            "Send it in several batches."
        )
        raise ProblemError("batch_too_long", detail)
    return body


def _first(documents: Iterable[document.Json]) -> bytes:
    return orjson.dumps(next(iter(documents)))


def _one_a_line(documents: Iterable[document.Json]) -> bytes:
    return b"".join(orjson.dumps(each, option=orjson.OPT_APPEND_NEWLINE) for each in documents)


def _itself(schema: Any) -> Any:
    return schema


def of_lines(schema: Any) -> Any:
    """JSON Schema of a text whose lines are such documents."""
    return {"type": "string", "contentMediaType": NDJSON, "contentSchema": schema}


#: one JSON document
DOCUMENT: Final = Form((JSON,), document.MAX_BYTES, _json, _first, _itself)
#: one JSON document that may hold many others
LARGE: Final = Form(
    (JSON,),
    document.LARGE_BYTES,
    partial(_json, most_bytes=document.LARGE_BYTES),
    _first,
    _itself,
)
#: one JSON document a line
LINES: Final = Form((NDJSON, "application/jsonl"), BATCH_BYTES, _lines, _one_a_line, of_lines)
