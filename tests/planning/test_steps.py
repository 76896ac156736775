"""The bench steps of every example: their order, and that their words name their marks."""

import copy
import re
from typing import Any

import pytest
from casebook import EXAMPLES, example

from tuckmark.families import REGISTRY
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


def test_what_a_step_takes_in_hand_is_at_hand(plan: Any) -> None:
    listed = {(tool["name"], tool["end"]) for tool in plan["tools"]}
    for step in plan["steps"]:
        for name in step["tools"]:
            ends = {end for tool, end in listed if tool == name}
            assert step["end"] in ends or None in ends or (step["end"] is None and ends), name


def test_ten_picks_or_turns_are_told_as_long_as_the_plan_takes_them() -> None:
    # a pitch of 230 mm is six picks of 38.33: ten are 383; ten turns of a lay of 80 are 800
    braid, laid = example("towing-pendant"), example("mooring-pendant-nylon-laid")
    braid["rope"]["pitch"] = "230 mm"
    laid["rope"]["lay_length"] = "80 mm"
    for spec, told in (
        (braid, "Count ten picks along one line and measure them: the plan [a-z]+ 383 mm[.]"),
        (laid, "Count ten turns of one strand and measure them: the plan [a-z]+ 800 mm[.]"),
    ):
        steps = default_pipeline().plan(spec)["steps"]
        assert sum(re.search(told, step["text"]) is not None for step in steps) == 1


def test_nothing_is_measured_that_nothing_hangs_on() -> None:
    plan = default_pipeline().plan(example("tucked-fender-lanyard"))
    assert not any("rope.pitch" in step["text"] for step in plan["steps"])
    (assumed,) = (item for item in plan["warnings"] if item["code"] == "assumptions")
    assert "pitch" not in assumed["message"]


def test_rope_that_is_there_is_measured_and_cut_to_its_length() -> None:
    spec = example("towing-pendant") | {"length": {"available": "30 m"}}
    steps = default_pipeline().plan(spec)["steps"]
    text = next(step["text"] for step in steps if step["action"] == "cut_rope")
    assert text.startswith("Use the whole piece. Lay it straight under the same tension, and ")
    assert (
        "If it is longer than 30.000 m, cut it to that: tape or whip it tightly on both sides of "
        "the cut, look once more at the figure, and cut between. If it is shorter, put what"
    ) in text


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


def test_a_throat_that_is_loaded_before_it_is_stitched_says_so_before_the_load(plan: Any) -> None:
    """Common practice: load, hold, smooth again, measure, then stitch; friction alone holds."""
    actions = [step["action"] for step in plan["steps"]]
    for step in plan["steps"]:
        if step["action"] == "stitch":
            (told,) = [
                other
                for other in plan["steps"][: actions.index("load")]
                if f"End {step['end']} is stitched after the setting load" in other["text"]
            ]
            assert (told["end"], told["action"]) == (step["end"], "check")
            assert "load slowly" in told["text"]
            assert "slacken at once" in told["text"]


def test_cutting_and_loading_carry_their_caution(plan: Any) -> None:
    for step in plan["steps"]:
        if step["action"] in {"cut_rope", "cut_strands", "load"}:
            assert step["caution"]


def _texts(plan: Any, action: str) -> list[str]:
    return [step["text"] for step in plan["steps"] if step["action"] == action]


def _changed(name: str, **sections: Any) -> Any:
    return default_pipeline().plan(example(name) | sections)


def test_every_plan_names_the_hand_tension_before_anything_is_passed(plan: Any) -> None:
    texts = [step["text"] for step in plan["steps"]]
    tension = f"hand tension, about {plan['rope']['hand_tension']['text']}"
    first = next(n for n, text in enumerate(texts) if "same tension" in text or tension in text)
    assert tension in texts[first]
    worked = {"pass", "bury", "cut_strands"}
    assert first < next(n for n, step in enumerate(plan["steps"]) if step["action"] in worked)


def test_the_hand_tension_is_named_where_nothing_is_measured_before_the_cut() -> None:
    # contract: d^2/8 daN; 16 mm: 256/8 = 32 daN = 0.32 kN
    text = _texts(_changed("dock-line-double-braid"), "cut_rope")[0]
    assert "under hand tension, about 0.32 kN, and measure 12.783 m" in text


def test_rope_that_there_is_is_used_whole() -> None:
    text = _texts(_changed("tow-pennant-from-stock"), "cut_rope")[0]
    assert text.startswith("Use the whole piece.")
    assert "If it is longer than 31.000 m, cut it to that" in text


def test_the_setting_load_is_a_force_where_the_strength_is_known() -> None:
    # derived: 480 kN unspliced, 0.90 kept: 432 kN; a tenth and a fifth of it, as is customary;
    # a design factor of 10 gives a limit of 43.2 kN
    plan = _changed("towing-pendant")
    text = _texts(plan, "load")[0]
    assert "with 43.2 kN to 86.4 kN: 10 to 20 % of the 432 kN that the assembly" in text
    assert "above the working limit of 43.2 kN: on purpose, and this once only" in text
    winch = next(tool for tool in plan["tools"] if tool["name"] == "load gauge and winch")
    assert winch["detail"].endswith("43.2 kN to 86.4 kN")


def test_a_stopped_plan_names_no_working_limit_to_load_above() -> None:
    # 300 kN is more than 432 kN / 10
    plan = _changed("towing-pendant", use={"working_load": "300 kN", "design_factor": 10})
    assert plan["usable"] is False
    assert "working limit" not in _texts(plan, "load")[0]


def test_the_setting_load_of_a_loop_is_that_of_each_leg() -> None:
    # derived: 100 kN unspliced, 0.90 kept: 90 kN a leg; a tenth and a fifth of it
    spec = example("endless-lashing-loop")
    spec["rope"] |= {"breaking_strength": {"force": "100 kN", "basis": "unspliced"}}
    text = _texts(default_pipeline().plan(spec), "load")[0]
    assert (
        "with 9 kN to 18 kN in each leg: 10 to 20 % of the 90 kN that one leg of the loop" in text
    )


def test_a_setting_load_without_a_figure_says_why() -> None:
    text = _texts(_changed("messenger-eye-marks-only"), "load")[0]
    assert "10 to 20 % of its breaking strength" in text
    assert "because no breaking strength is given for the rope" in text


@pytest.mark.parametrize(
    ("name", "where"),
    [
        ("towing-pendant", "between the bearing points"),
        ("endless-lashing-loop", "along the centre line of the loop"),
        ("joined-messenger-line", "between the ends of the joined rope"),
    ],
)
def test_the_finished_length_is_measured_where_the_plan_reckons_it(name: str, where: str) -> None:
    check = next(text for text in _texts(_changed(name), "check") if "Before any load" in text)
    assert f"Measure the finished length {where}, under hand tension" in check


def test_twine_of_a_join_stitches_both_throats() -> None:
    # derived: 4 rows of 7 stitches, 2 d of twine each, d 10 mm: 560; two tails of 200: 960; twice
    tools = _changed("endless-lashing-loop")["tools"]
    twine = [tool["length"]["mm"] for tool in tools if tool["name"] == "twine"]
    assert twine == [1920.0]


THIMBLE = {"form": "thimble", "score_diameter": "60 mm"}


@pytest.mark.parametrize("name", sorted(REGISTRY))
def test_a_thimble_is_at_hand_and_laid_in_before_the_throat_is_closed(name: str) -> None:
    spec: Any = copy.deepcopy(REGISTRY[name].minimal_spec)
    ends = spec.get("ends", {})
    if "eye" not in ends.get("a", {}) or ends["a"]["splice"] != name:
        pytest.skip("no eye")
    ends["a"]["eye"] = THIMBLE
    plan = default_pipeline().plan(spec)
    assert [tool["end"] for tool in plan["tools"] if tool["name"] == "thimble"] == ["a"]
    steps = [step for step in plan["steps"] if step["end"] == "a"]
    laid = [n for n, step in enumerate(steps) if "thimble" in step["text"]]
    assert len(laid) == 1
    closed = max(n for n, step in enumerate(steps) if step["action"] in {"pass", "smooth"})
    assert laid[0] < closed
    ends["a"]["eye"] = {"form": "flat", "inside_length": "400 mm"}
    without = default_pipeline().plan(spec)
    assert not any("thimble" in step["text"] for step in without["steps"])


def test_the_marks_of_a_lock_go_round_the_rope_and_its_passes_change_sides() -> None:
    plan = _changed("towing-pendant")
    shapes = {mark["id"]: mark["shape"] for mark in plan["marks"]}
    assert {shapes["a.lock_return"], shapes["a.bury_entry"]} == {"ring"}
    first, back, entry = _texts(plan, "pass")[:3]
    assert "from the near side to the far side" in first
    assert "At the lock return, 2 picks further from the eye, pass it back" in back
    assert "comes out on the near side" in back
    assert "to the bury entry, 2 picks further from the eye" in entry


def test_marks_at_one_place_are_one_ring() -> None:
    text = _texts(_changed("towing-pendant"), "mark")
    ring = next(line for line in text if "2966 mm" in line)
    assert "body throat at 2966 mm (the same ring for bury entry and stitching starts)" in ring
    assert sum(line.count("2966 mm") for line in text) == 1


def test_two_ends_warned_of_in_the_same_words_are_told_apart() -> None:
    messages = [warning["message"] for warning in _changed("stay-after-setting")["warnings"]]
    assert len(set(messages)) == len(messages)
    locked = [message for message in messages if "Past the lock" in message]
    assert [message[:6] for message in locked] == ["End a:", "End b:"]
