"""Operations for orders: what is sent in numbers, and what comes back from the bench."""

from typing import Final

from tuckmark.web import as_built, ordering, plan_parameters
from tuckmark.web.bodies import BATCH_LINES, LARGE, LINES, NDJSON
from tuckmark.web.parts import PATIENCE_A_PART_S, PATIENCE_S
from tuckmark.web.table import Operation

ROWS: Final = (
    Operation(
        id="inspect",
        method="POST",
        path="/v1/inspections",
        tag="as_built",
        summary="Hold a finished piece against its plan",
        description="Takes a spec and what was measured on one piece made by it. Each measurement "
        "is held to the spec's own tolerance or to a published rule; where there is neither, "
        "nothing is decided. The record lists what was not checked, and certifies nothing by "
        "itself.",
        handler=as_built.inspect,
        answer="InspectionReport",
        success="The record.",
        offers=as_built.OFFERS,
        offers_for=as_built.offers,
        file_name=as_built.file_name,
        problems=("inspection_invalid", "not_plannable", "inspection_refused"),
        parameters=(as_built.FORMAT,),
        takes="InspectionRequest",
    ),
    Operation(
        id="calibrate",
        method="POST",
        path="/v1/calibrations",
        tag="as_built",
        summary="Learn a rope's shortening from trial splices",
        description="Takes trial splices of one rope, measured before any load, and answers with "
        "the piece of spec to paste in, each figure with its 95 % range.",
        handler=as_built.calibrate,
        answer="CalibrationReport",
        success="The piece of spec, and how sure it is.",
        problems=("calibration_invalid", "calibration_refused"),
        takes="CalibrationRequest",
    ),
    Operation(
        id="plan_batch",
        method="POST",
        path="/v1/batches",
        tag="orders",
        summary="Plan many specs, one a line",
        description=f"Takes one splice spec a line, up to {BATCH_LINES:,} lines in up to 16 MiB, "
        "and answers each with one line, in order: `line`, `status`, and `plan` or `problem`. "
        "Blank, broken and over-long lines get their line too and stop nothing. The whole body is "
        "read before the first answer; send `Content-Type: application/x-ndjson`. Each process of "
        "the service answers one batch at a time. A client that keeps its answer waiting, by more "
        f"than {PATIENCE_S:.0f} seconds and {PATIENCE_A_PART_S} for each line, is cut off: an "
        "answer is whole when it has a line for each line that was sent.",
        handler=ordering.answer_lines,
        answer="BatchLine",
        success="One line for each line that was sent.",
        offers=(NDJSON,),
        parameters=(plan_parameters.FIELDS,),
        problems=("batch_too_long", "batch_busy"),
        takes="SpliceSpec",
        form=LINES,
    ),
    Operation(
        id="make_cut_list",
        method="POST",
        path="/v1/cutlists",
        tag="orders",
        summary="Cut the reels on the shelf with least waste",
        description="Takes orders and reels and answers with what to cut from which reel, and "
        "where. First as much as possible is made, by length; then as little new rope as possible "
        "is opened, remnants before new reels; then as little as possible is wasted. Each of the "
        "three is proven to be least, or says what is proven, when the time budget is up. Ropes "
        "of different names never mix, and a join is made whole or not at all.",
        handler=ordering.make_cut_list,
        answer="CutlistReport",
        success="The cut list.",
        offers=ordering.OFFERS,
        offers_for=ordering.offers,
        file_name=ordering.file_name,
        parameters=(ordering.FORMAT,),
        problems=("cutlist_invalid", "cutlist_refused", "solver_busy"),
        takes="CutlistRequest",
        form=LARGE,
    ),
)
