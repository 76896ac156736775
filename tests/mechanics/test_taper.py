import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuckmark.mechanics import taper
from tuckmark.mechanics.errors import InfeasibleError

CaseData = dict[str, Any]
PATTERN = (3, 2, 3, 2, 3)
patterns = st.lists(st.integers(1, 12), max_size=5)


def test_taper_by_picks(inputs: CaseData, expected: CaseData) -> None:
    steps = taper.taper_by_picks(**inputs)
    assert [step.picks for step in steps] == expected["picks"]
    assert [step.at_mm for step in steps] == expected["at_mm"]
    assert [step.strands_left for step in steps] == expected["strands_left"]
    assert {step.strands_cut for step in steps} == {2}


def test_taper_by_length(inputs: CaseData, expected: CaseData) -> None:
    steps = taper.taper_by_length(**inputs)
    assert [step.picks for step in steps] == [None] * len(steps)
    assert [step.at_mm for step in steps] == expected["at_mm"]
    assert [step.strands_left for step in steps] == expected["strands_left"]
    assert {step.strands_cut for step in steps} == {2}


def test_tail_pieces(inputs: CaseData, expected: CaseData) -> None:
    steps = taper.taper_by_picks(inputs["pattern"], inputs["pick_mm"], inputs["strands"])
    pieces = taper.tail_pieces(inputs["buried_mm"], steps, inputs["strands"])
    assert [piece.length_mm for piece in pieces] == expected["length_mm"]
    assert [piece.strands for piece in pieces] == expected["strands"]


@given(patterns, st.floats(1.0, 100.0), st.floats(0.0, 1000.0))
def test_pieces_add_up_to_the_buried_tail(
    pattern: list[int], pick_mm: float, full_mm: float
) -> None:
    buried_mm = sum(pattern) * pick_mm + full_mm + 1.0
    steps = taper.taper_by_picks(pattern, pick_mm, 12)
    pieces = taper.tail_pieces(buried_mm, steps, 12)
    assert math.fsum(piece.length_mm for piece in pieces) == pytest.approx(buried_mm, rel=1e-12)
    assert all(piece.length_mm > 0 for piece in pieces)
    assert [piece.strands for piece in pieces] == [12 - 2 * i for i in range(len(pieces))]


@given(st.lists(st.integers(1, 12), min_size=1, max_size=5), st.floats(1.0, 100.0))
def test_both_tapers_agree_where_the_length_is_the_picks(
    pattern: list[int], pick_mm: float
) -> None:
    by_picks = taper.taper_by_picks(pattern, pick_mm, 12)
    by_length = taper.taper_by_length(pattern, sum(pattern) * pick_mm, 12)
    assert [step.at_mm for step in by_length] == pytest.approx([s.at_mm for s in by_picks])
    assert [step.strands_left for step in by_length] == [s.strands_left for s in by_picks]


def test_a_taper_just_as_long_as_the_tail_leaves_a_full_piece_of_no_length() -> None:
    # 13 picks of 20 mm.
    pieces = taper.tail_pieces(260.0, taper.taper_by_picks(PATTERN, 20.0, 12), 12)
    assert pieces[0] == taper.TailPiece(length_mm=0.0, strands=12)
    assert len(pieces) == 6

    pieces = taper.tail_pieces(510.0, taper.taper_by_length(PATTERN, 510.0, 12), 12)
    assert pieces[0].length_mm == 0.0


def test_refuses_a_taper_longer_than_the_tail() -> None:
    steps = taper.taper_by_picks(PATTERN, 20.0, 12)
    buried_mm = math.nextafter(260.0, 0.0)
    with pytest.raises(InfeasibleError) as caught:
        taper.tail_pieces(buried_mm, steps, 12)
    error = caught.value
    assert (error.code, error.value, error.limit, error.unit) == (
        "taper_longer_than_buried_tail",
        260.0,
        buried_mm,
        "mm",
    )


@pytest.mark.parametrize(
    ("pairs", "strands", "most"), [(6, 12, 10), (7, 12, 10), (4, 8, 6), (4, 7, 6)]
)
def test_refuses_a_taper_that_leaves_no_strand(pairs: int, strands: int, most: int) -> None:
    for lay_out in (taper.taper_by_picks, taper.taper_by_length):
        with pytest.raises(InfeasibleError) as caught:
            lay_out([2] * pairs, 100.0, strands)
        error = caught.value
        assert (error.code, error.value, error.limit, error.unit) == (
            "taper_leaves_no_strand",
            2 * pairs,
            most,
            "",
        )


def test_a_taper_may_leave_one_strand() -> None:
    (first, *_) = taper.taper_by_picks([2, 2, 2], 20.0, 7)
    assert first.strands_left == 1


def test_no_pattern_is_no_taper() -> None:
    assert taper.taper_by_picks([], 20.0, 12) == ()
    assert taper.taper_by_length([], 260.0, 12) == ()
    assert taper.tail_pieces(0.001, (), 12) == (taper.TailPiece(length_mm=0.001, strands=12),)


@pytest.mark.parametrize("pattern", [[3, 0, 3], [-1], [3, -2, 3]])
def test_refuses_a_pattern_that_does_not_go_forward(pattern: list[int]) -> None:
    for lay_out in (taper.taper_by_picks, taper.taper_by_length):
        with pytest.raises(ValueError, match="at least 1"):
            lay_out(pattern, 20.0, 12)


def test_refuses_cuts_laid_out_for_another_tail() -> None:
    steps = taper.taper_by_picks(PATTERN, 20.0, 12)
    with pytest.raises(ValueError, match="not laid out for a tail of 16"):
        taper.tail_pieces(500.0, steps, 16)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.inf, math.nan])
def test_lengths_must_be_positive_and_finite(wrong: float) -> None:
    with pytest.raises(ValueError, match="pick_mm must be positive"):
        taper.taper_by_picks(PATTERN, wrong, 12)
    with pytest.raises(ValueError, match="taper_length_mm must be positive"):
        taper.taper_by_length(PATTERN, wrong, 12)
    with pytest.raises(ValueError, match="buried_mm must be positive"):
        taper.tail_pieces(wrong, (), 12)
