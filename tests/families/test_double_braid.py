"""What holds for every splice of a double braid, whatever its size and eye."""

import copy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tuckmark import identify, notices, reading, reference
from tuckmark.families.base import EndRequest, EndResult
from tuckmark.families.cover_core_back import plan_cover_core_back
from tuckmark.pipeline import default_pipeline
from tuckmark.spec import Ends
from tuckmark.writing import LengthText

Document = dict[str, Any]

BOUNDED = settings(max_examples=60, deadline=None, derandomize=True, database=None)
SHARED = {"construction": "double_braid", "fibre": "polyester"}
CORE = {
    "construction": "core_dependent_double_braid",
    "fibre": "polyester",
    "core_fibre": "hmpe",
    "coating": "coated",
}
ROPES = {"cover_core_eye": SHARED, "core_bury_eye": CORE}
EYES = sorted(ROPES)
TENTH_MM = 0.1 + 1e-6  # both sides are printed to a tenth


def mm(tenths: int) -> str:
    """A length in tenths of a millimetre, as the spec writes it."""
    return f"{tenths // 10}.{tenths % 10} mm"


def eye_spec(splice: str, diameter: int, inside: int, *, both: bool = False) -> Document:
    """A spec of one eye; diameter and inside length in tenths of a millimetre."""
    end = {
        "splice": splice,
        "eye": {"form": "flat", "inside_length": mm(inside), "captive": "bow shackle"},
    }
    return {
        "schema_version": "1.0",
        "rope": {**ROPES[splice], "size": {"diameter": mm(diameter)}},
        "ends": {"both": end} if both else {"a": end, "b": {"splice": "plain"}},
    }


def join_spec(diameter: int) -> Document:
    """A spec of two double braids joined, their lengths left open."""
    return {
        "schema_version": "1.0",
        "rope": {**SHARED, "size": {"diameter": mm(diameter)}},
        "join": {"splice": "cover_core_end_to_end", "ropes": [{}, {}]},
    }


def planned(spec: Document, **sections: Any) -> Document:
    """The plan of a spec with further sections."""
    return default_pipeline().plan(copy.deepcopy(spec) | sections)


diameters = st.integers(20, 1000)
SPECS = st.one_of(
    st.builds(
        eye_spec, st.sampled_from(EYES), diameters, st.integers(2000, 20000), both=st.booleans()
    ),
    st.builds(join_spec, diameters),
)


@BOUNDED
@given(SPECS)
def test_every_mark_is_made_by_a_step_before_any_step_uses_it(spec: Document) -> None:
    plan = planned(spec)
    made: set[str] = set()
    used: set[str] = set()
    for step in plan["steps"]:
        if step["action"] == "mark":
            made |= set(step["marks"])
        else:
            used |= set(step["marks"])
        assert set(step["marks"]) <= made, step["text"]
    assert used == {mark["id"] for mark in plan["marks"]}


@BOUNDED
@given(SPECS)
def test_each_step_that_cuts_tells_how_to_hold_the_knife(spec: Document) -> None:
    cuts = [step for step in planned(spec)["steps"] if step["action"] == "cut_strands"]
    assert cuts
    assert all("caution" in step and "knife" in step["tools"] for step in cuts)


@BOUNDED
@given(SPECS)
def test_marks_never_go_backward_along_a_part(spec: Document) -> None:
    marks = planned(spec)["marks"]
    by_id = {mark["id"]: mark for mark in marks}
    for end in ("a", "b"):
        cover = [m["distance"]["mm"] for m in marks if (m["end"], m["part"]) == (end, "cover")]
        assert cover == sorted(cover)
        bared = [m["distance"]["mm"] for m in marks if m["from"] == f"{end}.core_out"]
        assert bared == sorted(bared)
    for mark in marks:
        start = mark["from"]
        assert start == "bitter_end" or marks.index(by_id[start]) < marks.index(mark)


@BOUNDED
@given(SPECS)
def test_the_slip_knot_lies_past_all_that_is_bared(spec: Document) -> None:
    marks = {mark["id"]: mark["distance"]["mm"] for mark in planned(spec)["marks"]}
    furthest = "tail_exit" if "a.tail_exit" in marks else "cover_exit"
    past_throat_mm = marks["a.knot"] - marks["a.body_throat"]
    assert past_throat_mm >= marks[f"a.{furthest}"] - TENTH_MM


@BOUNDED
@given(
    st.sampled_from(EYES),
    diameters,
    st.integers(2000, 20000),
    st.integers(0, 500000),
    st.booleans(),
)
def test_the_rope_cut_for_a_length_gives_that_length_back(
    splice: str, diameter: int, inside: int, further: int, both: bool
) -> None:
    spec = eye_spec(splice, diameter, inside, both=both)
    shortest = planned(spec)["lengths"]["shortest_workable"]["mm"]
    wanted = mm(round(shortest * 10) + 1 + further)
    forward = planned(spec, length={"finished": wanted})["lengths"]
    back = planned(spec, length={"available": f"{forward['cut']['mm']} mm"})["lengths"]
    assert abs(back["finished"]["mm"] - forward["finished"]["mm"]) <= TENTH_MM
    assert abs(back["after_setting"]["mm"] - forward["after_setting"]["mm"]) <= 2 * TENTH_MM


@BOUNDED
@given(diameters, st.integers(0, 500000))
def test_two_ropes_cut_for_a_length_give_that_length_back(diameter: int, further: int) -> None:
    spec = join_spec(diameter)
    shortest = planned(spec)["lengths"]["shortest_workable"]["mm"]
    wanted = mm(round(shortest * 10) + 1 + further)
    forward = planned(spec, length={"finished": wanted})["lengths"]
    back = planned(spec, length={"available": f"{forward['cut']['mm']} mm"})["lengths"]
    assert abs(back["finished"]["mm"] - forward["finished"]["mm"]) <= TENTH_MM


@BOUNDED
@given(diameters)
def test_a_join_uses_twice_a_full_and_a_short_section(diameter: int) -> None:
    # Merry, The Splicing Handbook, p. 56, 59: rope used 2 (F + S).
    join = planned(join_spec(diameter))["join"]
    fid = join["fid_sections"]
    half_mm = fid["full"]["mm"] + fid["short"]["mm"]
    assert abs(join["rope_used"]["mm"] - 2 * half_mm) <= 3 * TENTH_MM


@BOUNDED
@given(diameters, st.integers(2000, 20000))
def test_a_core_is_buried_by_the_longest_rule(diameter: int, inside: int) -> None:
    # max(2 F, 72 core diameters, 240 mm), the core 0.7 of the rope where it is not given.
    end = planned(eye_spec("core_bury_eye", diameter, inside))["ends"]["a"]
    fid_mm, core_mm = end["fid_sections"]["full"]["mm"], 0.7 * diameter / 10
    assert abs(end["bury"]["mm"] - max(2 * fid_mm, 72 * core_mm, 240)) <= TENTH_MM


def test_what_is_thinned_is_told_with_what_is_left() -> None:
    # five pairs of twelve strands, as in a buried tail: 12 - 2 x 5 = 2; a third of the cover
    text = " ".join(step["text"] for step in planned(eye_spec("core_bury_eye", 24, 600))["steps"])
    assert "Thin the core tail from the core taper to its tip: 5 times, at even spaces" in text
    assert "Of a core of 12 strands 2 then reach the tip" in text
    assert "until about 1 strand in 3 is left there" in text


def back_splice(document: Document) -> EndResult:
    """The double-braid back splice of a spec's end a."""
    spec = reading.to_spec(document)
    assert isinstance(spec.ends, Ends)
    write = LengthText("metric")
    tables, said = reference.default(), notices.Notices(write)
    rope = identify.identify(spec.rope, tables, said)
    return plan_cover_core_back(
        EndRequest("a", "/ends/a", spec.ends.a, rope, spec.use, tables, said, write)
    )


@pytest.mark.parametrize(
    ("mark", "inches"),
    [("taper_start", 11 / 3), ("tail_throat", 11), ("knot", 66), ("cover_entry", 4),
     ("cover_exit", 19)],
)  # fmt: skip
def test_back_splice_in_half_inch_rope(mark: str, inches: float) -> None:
    # Merry, The Splicing Handbook, p. 59-61: core S = 4, S + F + S = 19 in; taper F/3 of 11 in.
    # The knot 5 F past the throat is common practice: 11 + 55 in.
    spec = eye_spec("cover_core_eye", 127, 2000)
    at = {made.id: made.distance.mm for made in back_splice(spec).marks}
    assert at[f"a.{mark}"] == pytest.approx(inches * 25.4, abs=1e-9)


def test_back_splice_says_nothing_of_strength_and_makes_every_mark_it_uses() -> None:
    result = back_splice(eye_spec("cover_core_eye", 127, 2000))
    assert result.splice_efficiency is None
    made: set[str] = set()
    for step in result.steps:
        made |= set(step.marks) if step.action == "mark" else set()
        assert set(step.marks) <= made, step.text
    assert made == {mark.id for mark in result.marks}


def test_back_splice_uses_one_full_fid_and_room_to_its_knot() -> None:
    # 11 in of tail; 5 x 11 in to the knot.
    use = back_splice(eye_spec("cover_core_eye", 127, 2000)).rope_use
    assert (round(use.tail_mm, 1), round(use.run_mm, 1)) == (279.4, 1397.0)
    assert use.eye is None
