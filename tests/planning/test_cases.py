"""Plans against figures worked by hand: every file in ``cases`` is run as it stands."""

import json
from collections import Counter
from importlib import resources
from typing import Any

import pytest
from casebook import Case, all_cases, at

from tuckmark.faults import Fault
from tuckmark.pipeline import Rejected, default_pipeline

CASES = all_cases()
PLANNED = [case for case in CASES if case.refused is None]
REFUSED = [case for case in CASES if case.refused is not None]

#: said of trial splices, not of plans: tests/asbuilt brings them about
OF_TRIALS = {
    "trials_disagree",
    "pick_counts_disagree",
    "counted_pitch_differs",
    "shortening_range_past_limits",
    "one_trial_only",
    "trial_plan_stopped",
    "trial_pitch_assumed",
}


@pytest.mark.parametrize("case", PLANNED, ids=lambda case: case.id)
def test_plan_gives_the_figures_worked_by_hand(case: Case) -> None:
    plan = default_pipeline().plan(case.spec)
    found = {path: at(plan, path) for path in case.expect}
    assert found == case.expect


@pytest.mark.parametrize("case", PLANNED, ids=lambda case: case.id)
def test_plan_warns_of_exactly_this(case: Case) -> None:
    plan = default_pipeline().plan(case.spec)
    assert Counter(warning["code"] for warning in plan["warnings"]) == Counter(case.warnings)


@pytest.mark.parametrize("case", PLANNED, ids=lambda case: case.id)
def test_stop_takes_the_working_limit(case: Case) -> None:
    plan = default_pipeline().plan(case.spec)
    stopped = any(warning["severity"] == "stop" for warning in plan["warnings"])
    assert plan["usable"] is not stopped
    assert not stopped or plan["strength"]["working_limit"] is None


@pytest.mark.parametrize("case", REFUSED, ids=lambda case: case.id)
def test_no_plan_and_every_reason(case: Case) -> None:
    with pytest.raises(Rejected) as caught:
        default_pipeline().plan(case.spec)
    assert case.refused is not None
    wanted = case.refused["faults"]
    assert caught.value.code == case.refused["code"]
    told = [(fault.pointer, fault.code) for fault in caught.value.faults]
    assert told == [(fault["pointer"], fault["code"]) for fault in wanted]
    for fault, asked in zip(caught.value.faults, wanted, strict=True):
        assert _told(fault, asked) == asked
    assert caught.value.count == len(wanted)


def test_every_warning_code_is_brought_about_by_a_case() -> None:
    data = resources.files("tuckmark") / "data" / "notices.json"
    notices = json.loads(data.read_text(encoding="utf-8"))
    codes = {code for code, notice in notices.items() if notice["kind"] == "warning"}
    codes -= {"changed_since_print"}  # not of a spec: see the tests of addresses
    codes -= OF_TRIALS
    assert codes - {code for case in PLANNED for code in case.warnings or ()} == set()


def _told(fault: Fault, asked: dict[str, Any]) -> dict[str, Any]:
    told = {name: getattr(fault, name) for name in asked}
    return {
        name: list(value) if isinstance(value, tuple) else value for name, value in told.items()
    }
