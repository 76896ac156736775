"""Inspections and calibrations over HTTP: the record in the form that was asked for."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from tuckmark.pipeline import ENGINE, Pipeline, Rejected
from tuckmark.render.view import MEDIA_TYPES, Format, on_use
from tuckmark.web import problems, representations
from tuckmark.web.representations import json_bytes, media_types, offers_of
from tuckmark.web.table import Call, Parameter

_PRINTED: Final[Mapping[str, Callable[[Any], bytes]]] = {
    MEDIA_TYPES["html"]: on_use("tuckmark.asbuilt.record.html", "as_html"),
    MEDIA_TYPES["pdf"]: on_use("tuckmark.asbuilt.record.pdf", "as_pdf"),
}
_FORMATS: Final[tuple[Format, ...]] = ("json", "html", "pdf")
OFFERS: Final = media_types(_FORMATS)
offers: Final = offers_of(_FORMATS)
FORMAT: Final = Parameter(
    "format",
    "query",
    "How the record is to be shown; wins over Accept.",
    "choice",
    "json",
    allowed=_FORMATS,
)


def inspect(pipeline: Pipeline, call: Call) -> bytes:
    """The record of a finished piece."""
    from tuckmark.asbuilt import inspection_json, requests
    from tuckmark.asbuilt.record.content import record_of

    try:
        found = requests.inspected(pipeline, call.document)
    except Rejected as rejected:
        raise problems.of_rejected(rejected) from None
    shown = inspection_json.as_json(found, pipeline.reference, ENGINE)
    if call.media_type not in _PRINTED:
        return json_bytes(shown)
    return _PRINTED[call.media_type](record_of(shown, found.made.asked.display.page))


def calibrate(pipeline: Pipeline, call: Call) -> bytes:
    """What trial splices say of their rope."""
    from tuckmark.asbuilt import calibration_json, requests

    try:
        found = requests.calibrated(pipeline, call.document)
    except Rejected as rejected:
        raise problems.of_rejected(rejected) from None
    return json_bytes(calibration_json.as_json(found, pipeline.reference, ENGINE))


def file_name(call: Call) -> str | None:
    """A name for a record on paper."""
    if call.media_type != MEDIA_TYPES["pdf"]:
        return None
    return representations.file_name(call.document["spec"].get("job", {}), "as-built", "pdf")
