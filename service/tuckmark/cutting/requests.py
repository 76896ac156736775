"""The whole way from a JSON value to a cut list, without any framework."""

from functools import cache
from typing import Any

from tuckmark import published
from tuckmark.cutting import report, request
from tuckmark.cutting.cutlist import Solver, cut_lists
from tuckmark.document import Json
from tuckmark.faults import Refused
from tuckmark.pipeline import Pipeline, Rejected, rejected_for
from tuckmark.validation import Judge


def cut_list(pipeline: Pipeline, document: Json, solver: Solver) -> dict[str, Any]:
    """The cut list of a request, ready to be written as JSON.

    Args:
        solver: solves tasks within seconds; see ``solving``.

    Raises:
        Rejected: ``cutlist_invalid`` when the schema refuses the request, ``cutlist_refused``
            when an order is not to be cut.
    """
    verdict = _judge().verdict(document)
    if verdict.count:
        raise Rejected("cutlist_invalid", verdict.faults, verdict.count)
    try:
        asked = request.read(document, pipeline)
    except Refused as refused:
        raise rejected_for("cutlist_refused", refused.faults, document) from refused
    return report.as_json(asked, cut_lists(asked, solver))


@cache
def _judge() -> Judge:
    return Judge(published.schema("cutlist-request"))
