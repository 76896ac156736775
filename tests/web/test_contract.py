"""Schemathesis, with all its checks, over the running service.

One exception: an operation that plans may refuse what its description accepts, with the
codes below and no other. Whether a splice can be made in a rope is geometry and the rules of the
trade; which options and formats go with which view, and whether a piece of a path was packed
here, is beyond what a description of single parameters can say. It is the check
``positive_data_acceptance``, on those operations, for those codes only.
"""

import json
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.specs.openapi.checks import negative_data_rejection, positive_data_acceptance

from tuckmark import published

load_all_checks()


@schemathesis.serializer("application/x-ndjson", "application/jsonl")
def send_lines(_context: schemathesis.SerializationContext, value: Any) -> Any:
    """Texts as they are; what is no text is sent as JSON, one line."""
    return value.encode() if isinstance(value, str) else json.dumps(value).encode()


schema = schemathesis.openapi.from_dict(json.loads(published.openapi()))
OF_SPECS = {"not_plannable", "plan_stopped", "strip_too_long"}
OF_VIEWS = {
    f"parameter_invalid/{code}"
    for code in (
        *("not_used_here", "not_one_of", "too_small", "too_large", "no_such_end", "no_such_part"),
        *("strip_too_narrow", "piece_needed", "no_such_piece", "too_many_sheets"),
        *("picture_too_large", "tag_too_small"),
    )
}
OF_ADDRESSES = {"not_found", "document_unreadable", "spec_invalid"}
#: operation -> codes it may refuse with; a parameter's fault stands behind its problem
MAY_REFUSE = {
    "make_plan": OF_SPECS | OF_VIEWS,
    "show_packed_plan": OF_SPECS | OF_VIEWS | OF_ADDRESSES,
    "show_packed_view": OF_SPECS | OF_VIEWS | OF_ADDRESSES,
    "show_asset": {"not_found"},
    "inspect": {"not_plannable", "inspection_refused"},
    "calibrate": {"calibration_refused"},
    # ids given twice, ropes that disagree, and a place that another cut list has
    "make_cut_list": {"cutlist_refused", "solver_busy"},
    # a text is not a schema of its lines: each of them is judged by itself
    # or it comes while another one is answered
    "plan_batch": {"document_unreadable", "batch_busy"},
}
#: any bytes are lines, and each line is answered, good or bad
TAKES_ANYTHING = {"plan_batch": [negative_data_rejection]}


def refusals(response: Any) -> set[str]:
    """The problem's code; for parameters, each fault behind it."""
    if response.status_code < 400:
        return set()
    body = response.json()
    code = str(body["type"]).rpartition("/")[2]
    if code != "parameter_invalid":
        return {code}
    return {f"{code}/{item['code']}" for item in body["errors"]}


@schema.parametrize()
@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
def test_contract(case: schemathesis.Case, address: tuple[str, int]) -> None:
    host, port = address
    may_refuse = MAY_REFUSE.get(case.operation.definition.raw["operationId"], set())
    response = case.call(base_url=f"http://{host}:{port}")
    excluded = TAKES_ANYTHING.get(case.operation.definition.raw["operationId"], [])
    if (found := refusals(response)) and found <= may_refuse:
        excluded = [*excluded, positive_data_acceptance]
    case.validate_response(response, excluded_checks=excluded)


def test_all_checks_are_in_force() -> None:
    assert len(CHECKS.get_all()) > 10
