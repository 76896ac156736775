"""Inspections and calibrations over HTTP: the record in the form that was asked for."""

import re
from collections.abc import Callable, Mapping
from typing import Any, Final

from tuckmark.pipeline import ENGINE, Pipeline, Rejected
from tuckmark.render.view import MEDIA_TYPES, Format, on_use
from tuckmark.web import problems
from tuckmark.web.representations import json_bytes
from tuckmark.web.table import Call, Parameter, Parameters

_PRINTED: Final[Mapping[str, Callable[[Any], bytes]]] = {
    MEDIA_TYPES["html"]: on_use("tuckmark.asbuilt.record.html", "as_html"),
    MEDIA_TYPES["pdf"]: on_use("tuckmark.asbuilt.record.pdf", "as_pdf"),
}
_FORMATS: Final[tuple[Format, ...]] = ("json", "html", "pdf")
OFFERS: Final = tuple(MEDIA_TYPES[form] for form in _FORMATS)
FORMAT: Final = Parameter(
    "format",
    "query",
    "How the record is to be shown; wins over Accept.",
    "choice",
    "json",
    allowed=_FORMATS,
)
_NAME_CHARACTERS: Final = 40


def inspect(pipeline: Pipeline, call: Call) -> bytes:
    """The record of a finished piece."""
    from tuckmark.asbuilt import inspection_json, requests
    from tuckmark.asbuilt.record.content import record_of

    try:
        found = requests.inspected(pipeline, call.document)
    except Rejected as rejected:
        raise problems.of_faults(rejected.code, rejected.faults, rejected.count) from None
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
        raise problems.of_faults(rejected.code, rejected.faults, rejected.count) from None
    return json_bytes(calibration_json.as_json(found, pipeline.reference, ENGINE))


def offers(parameters: Parameters) -> tuple[str, ...]:
    """Media types of a record; of one only, where it was named."""
    form = parameters.get("format")
    return OFFERS if form is None else tuple(MEDIA_TYPES[name] for name in _FORMATS if name == form)


def file_name(call: Call) -> str | None:
    """A name for a record on paper, from order and item."""
    if call.media_type != MEDIA_TYPES["pdf"]:
        return None
    job = call.document["spec"].get("job", {})
    words = (job.get("order", "splice"), job.get("item", ""), "as-built")
    plain = (re.sub(r"[^A-Za-z0-9]+", "-", word[:_NAME_CHARACTERS]).strip("-") for word in words)
    return f"{'-'.join(filter(None, plain))}.pdf"
