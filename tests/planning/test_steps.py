"""The bench steps of every example: their order, and that their words name their marks."""

from typing import Any

import pytest
from casebook import EXAMPLES, example

from tuckmark.pipeline import default_pipeline

NAMES = sorted(path.stem for path in EXAMPLES.glob("*.json"))
BURIED = ("locked_bury_eye", "straight_bury_eye")


@pytest.fixture(params=NAMES)
def plan(request: pytest.FixtureRequest) -> Any:
    return default_pipeline().plan(example(request.param))


def test_marking_steps_name_their_marks_and_distances(plan: Any) -> None:
    marks = {mark["id"]: mark for mark in plan["marks"]}
    for step in plan["steps"]:
        if step["action"] == "mark":
            for mark in (marks[name] for name in step["marks"]):
                assert mark["name"] in step["text"]
                assert mark["distance"]["text"] in step["text"]


def test_work_goes_from_counting_picks_to_the_tag(plan: Any) -> None:
    if plan["rope"]["construction"] != "single_braid_12":
        pytest.skip("another rope has another order of work")
    if any(end["splice"] not in (*BURIED, "plain") for end in (plan.get("ends") or {}).values()):
        pytest.skip("another family has another order of work")
    actions = [step["action"] for step in plan["steps"]]
    assert actions[0] == "measure"
    assert "ten picks" in plan["steps"][0]["text"]
    one_rope = "join" not in plan or plan["join"]["splice"] == "endless_bury_loop"
    assert ("cut_rope" in actions) == (plan["lengths"]["cut"] is not None and one_rope)
    first = {action: actions.index(action) for action in reversed(actions)}
    assert first["mark"] < first["pass"] < first["bury"] < first["cut_strands"] < first["smooth"]
    assert first["smooth"] < first["load"]
    # smoothed again after the first load, before any stitch
    after = actions[first["load"] :]
    assert "smooth" in after
    if "stitch" in actions:
        assert first["load"] + after.index("smooth") < first["stitch"]
    assert actions[-1] == "tag"


def test_cutting_and_loading_carry_their_caution(plan: Any) -> None:
    for step in plan["steps"]:
        if step["action"] in {"cut_rope", "cut_strands", "load"}:
            assert step["caution"]
