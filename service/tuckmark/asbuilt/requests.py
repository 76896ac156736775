"""The whole way from a JSON value to an inspection or a calibration, without any framework."""

from functools import cache
from typing import Final, Literal

from tuckmark import published
from tuckmark.asbuilt import measured
from tuckmark.asbuilt.calibration import Calibration, calibrate
from tuckmark.asbuilt.inspection import Inspection, inspect
from tuckmark.document import Json
from tuckmark.faults import Refused
from tuckmark.pipeline import Pipeline, Rejected, rejected_for
from tuckmark.validation import Judge

Name = Literal["inspection", "calibration"]

_SPEC: Final = "/spec"


def inspected(pipeline: Pipeline, document: Json) -> Inspection:
    """A finished piece held against the plan of its spec.

    Raises:
        Rejected: ``inspection_invalid``, ``not_plannable``, ``inspection_refused``.
    """
    _accept("inspection", document)
    spec = document["spec"]
    try:
        made = pipeline.made(spec)
    except Rejected as rejected:
        raise rejected.below(_SPEC) from rejected
    try:
        return inspect(made, measured.measured(document["measured"]), pipeline)
    except Refused as refused:
        raise rejected_for("inspection_refused", refused.faults, document) from refused


def calibrated(pipeline: Pipeline, document: Json) -> Calibration:
    """What trial splices say of their rope.

    Raises:
        Rejected: ``calibration_invalid``, ``calibration_refused``.
    """
    _accept("calibration", document)
    try:
        return calibrate(measured.trials(document), pipeline)
    except Refused as refused:
        raise rejected_for("calibration_refused", refused.faults, document) from refused


def _accept(name: Name, document: Json) -> None:
    verdict = _judge(name).verdict(document)
    if verdict.count:
        raise Rejected(f"{name}_invalid", verdict.faults, verdict.count)


@cache
def _judge(name: Name) -> Judge:
    return Judge(published.schema(f"{name}-request"))
