"""What these families say to do: marks before use, one way or the other, one tail then the next."""

from typing import Any

import pytest
from braid_specs import ENDS, ends, eye, joins, plan, spec
from hypothesis import given, settings
from hypothesis import strategies as st

BOUNDED = settings(max_examples=40, deadline=None)

Json = dict[str, Any]


@BOUNDED
@given(st.one_of(ends(), joins()))
def test_every_mark_is_set_before_it_is_used_and_used(spec: Json) -> None:
    made = plan(spec)
    every = {mark["id"] for mark in made["marks"]}
    known: set[str] = set()
    used: set[str] = set()
    for step in made["steps"]:
        if step["action"] == "mark":
            known |= set(step["marks"])
        else:
            used |= set(step["marks"])
            assert set(step["marks"]) <= known, step["text"]
    assert known == used == every


@BOUNDED
@given(st.one_of(ends(), joins()))
def test_marks_never_go_backward_and_share_a_ring(spec: Json) -> None:
    made = plan(spec)
    for end in ("a", "b"):
        along = [mark for mark in made["marks"] if mark["end"] == end]
        at_mm = [mark["distance"]["mm"] for mark in along]
        assert at_mm == sorted(at_mm)
        by_id = {mark["id"]: mark for mark in along}
        for mark in along:
            if mark["same_as"] is not None:
                first = by_id[mark["same_as"]]
                assert first["distance"]["mm"] == mark["distance"]["mm"]
                assert first["same_as"] is None


@BOUNDED
@given(st.one_of(ends(), joins()))
def test_a_step_that_cuts_strands_says_how_to_hold_the_knife(spec: Json) -> None:
    cuts = [step for step in plan(spec)["steps"] if step["action"] == "cut_strands"]
    assert cuts
    assert all("away from your body" in step["caution"] for step in cuts)


def _passes(made: Json, end: str) -> list[str]:
    steps = made["steps"]
    return [step["text"] for step in steps if step["end"] == end and step["action"] == "pass"]


def test_with_the_far_end_free_it_is_passed_through_the_tail() -> None:
    made = plan(spec(ends={"a": eye("interlocked_eye")}))
    first, second = _passes(made, "a")
    assert "whole tail through the body at the body throat" in first
    assert "Pass end b through there" in second


def test_with_the_far_end_closed_the_eye_is_passed_through_both_holes() -> None:
    made = plan(spec({"far_end": "closed"}, ends={"a": eye("interlocked_eye")}))
    texts = _passes(made, "a")
    assert [text for text in texts if "end b" in text] == []
    assert "The far end of this rope is closed" in texts[0]
    assert "Work the eye, doubled, through it" in texts[2]
    assert "back through the hole at the body throat" in texts[3]


def test_of_two_interlocked_eyes_the_second_says_that_the_first_is_made() -> None:
    made = plan(spec(ends={"both": eye("interlocked_eye")}))
    assert "Pass end b through there" in _passes(made, "a")[1]
    assert _passes(made, "b")[0].startswith("End a is made by now")
    order = [step["end"] for step in made["steps"] if step["action"] == "pass"]
    assert order == sorted(order)


def test_left_unstitched_it_has_no_stitches() -> None:
    made = plan(spec(ends={"a": eye("interlocked_eye", stitching="none")}))
    assert [mark["id"] for mark in made["marks"] if "stitch" in mark["id"]] == []
    assert [step for step in made["steps"] if step["action"] == "stitch"] == []


@pytest.mark.parametrize("splice", ENDS)
def test_captive_hardware_goes_on_before_anything_is_passed(splice: str) -> None:
    held = {"form": "flat", "inside_length": "150 mm", "captive": "bow shackle"}
    made = plan(spec({"fibre": "polyester"}, ends={"a": eye(splice, eye=held)}))
    texts = [step["text"] for step in made["steps"]]
    on = next(n for n, text in enumerate(texts) if "bow shackle" in text)
    assert on < texts.index(_passes(made, "a")[0])


def test_the_tails_of_a_loop_go_in_one_after_the_other() -> None:
    loop = {"splice": "endless_bury_loop", "circumference": "2 m", "measured": "centre_line"}
    made = plan(spec(join=loop))
    done = [(step["action"], step["end"]) for step in made["steps"]]
    first, home, second = (
        done.index(what) for what in (("bury", "a"), ("smooth", "b"), ("bury", "b"))
    )
    assert first < home < second


def test_a_join_says_which_rope_is_which() -> None:
    made = plan(spec(join={"splice": "end_to_end_bury", "ropes": [{}, {}]}))
    assert any(
        "End a is an end of the first rope, end b of the second" in step["text"]
        for step in made["steps"]
    )
