"""Schemathesis, with all its checks, over the running service.

One exception: an operation that makes plans may answer 422 to a spec that its schema accepts,
with the code ``not_plannable`` and no other. Whether a splice can be made in a rope is geometry
and the rules of the trade; no schema can say it. It is the check ``positive_data_acceptance``,
on those operations, for that code only.
"""

import json
from typing import Any

import schemathesis
from hypothesis import HealthCheck, settings
from schemathesis.checks import CHECKS, load_all_checks
from schemathesis.specs.openapi.checks import positive_data_acceptance

from tuckmark import published

load_all_checks()
schema = schemathesis.openapi.from_dict(json.loads(published.openapi()))
PLAN_MAKING = {"make_plan"}


def code_of(response: Any) -> str:
    return str(response.json()["type"]).rpartition("/")[2]


@schema.parametrize()
@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
def test_contract(case: schemathesis.Case, address: tuple[str, int]) -> None:
    host, port = address
    makes_plans = case.operation.definition.raw["operationId"] in PLAN_MAKING
    response = case.call(base_url=f"http://{host}:{port}")
    if makes_plans and response.status_code == 422 and code_of(response) == "not_plannable":
        case.validate_response(response, excluded_checks=[positive_data_acceptance])
    else:
        case.validate_response(response)


def test_all_checks_are_in_force() -> None:
    assert len(CHECKS.get_all()) > 10
