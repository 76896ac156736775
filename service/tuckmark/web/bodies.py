"""The document a request carries: its media type, its size, its JSON."""

from collections.abc import Mapping
from typing import Final

from tuckmark import document
from tuckmark.web import negotiation
from tuckmark.web.problems import ProblemError, of_faults, parameter_item

TAKEN: Final = "application/json"
ACCEPT_POST: Final[Mapping[str, str]] = {"Accept-Post": TAKEN}


def check_media_type(content_type: str | None, content_encoding: str | None) -> None:
    """Only plain JSON in UTF-8 is taken.

    Raises:
        ProblemError: ``unsupported_media_type``.
    """
    found = negotiation.media_type(content_type or "")
    if found is None or found.essence != TAKEN:
        _refuse("Content-Type", "media_type_not_taken", TAKEN, content_type)
    elif found.parameter("charset") not in (None, "utf-8"):
        _refuse("Content-Type", "charset_not_taken", "utf-8", content_type)
    if (content_encoding or "identity").strip().lower() != "identity":
        _refuse("Content-Encoding", "coding_not_taken", "identity", content_encoding)


def read(body: bytes) -> document.Json:
    """The JSON value of a body.

    Raises:
        ProblemError: ``document_unreadable`` or ``document_too_large``.
    """
    try:
        return document.read(body)
    except document.UnreadableError as error:
        if error.fault.code == "document_too_large":
            raise ProblemError("document_too_large") from None
        raise of_faults("document_unreadable", (error.fault,), 1) from None


def _refuse(field: str, code: str, allowed: str, given: str | None) -> None:
    detail = f"{field} is missing." if given is None else f"Only {allowed} is taken here."
    item = parameter_item(field, code, detail, allowed=(allowed,), given=given)
    raise ProblemError("unsupported_media_type", f"{field}: {detail}", [item], headers=ACCEPT_POST)
