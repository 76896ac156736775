import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuckmark.mechanics import laid

CaseData = dict[str, Any]
ropes_mm = st.floats(2.0, 200.0)
strand_counts = st.sampled_from([3, 4])
lays_d = st.floats(2.0, 5.0)


def test_strand_diameter(inputs: CaseData, expected: CaseData) -> None:
    assert laid.strand_diameter_mm(**inputs) == expected["diameter_mm"]


def test_strand_path_radius(inputs: CaseData, expected: CaseData) -> None:
    assert laid.strand_path_radius_mm(**inputs) == expected["radius_mm"]


def test_strand_length(inputs: CaseData, expected: CaseData) -> None:
    assert laid.strand_length_mm(**inputs) == expected["length_mm"]


def test_tuck_advance(inputs: CaseData, expected: CaseData) -> None:
    assert laid.tuck_advance_mm(**inputs) == expected["advance_mm"]


@given(ropes_mm, strand_counts)
def test_strands_touch_each_other_and_the_circumference(rope_mm: float, strands: int) -> None:
    strand_mm = laid.strand_diameter_mm(rope_mm, strands)
    radius_mm = laid.strand_path_radius_mm(rope_mm, strands)
    # chord between two neighbouring axes
    assert 2 * radius_mm * math.sin(math.pi / strands) == pytest.approx(strand_mm)
    assert radius_mm + strand_mm / 2 == pytest.approx(rope_mm / 2)


@given(ropes_mm, strand_counts, lays_d)
def test_strand_length_against_a_polygon(rope_mm: float, strands: int, lay_d: float) -> None:
    radius_mm, lay_mm = laid.strand_path_radius_mm(rope_mm, strands), lay_d * rope_mm
    corners = 2000
    points = [
        (
            radius_mm * math.cos(2 * math.pi * i / corners),
            radius_mm * math.sin(2 * math.pi * i / corners),
            lay_mm * i / corners,
        )
        for i in range(corners + 1)
    ]
    length_mm = sum(math.dist(a, b) for a, b in pairwise(points))
    # a polygon of 2000 corners is short of its circle by 4 parts in 10^7
    assert laid.strand_length_mm(rope_mm, strands, lay_mm) == pytest.approx(length_mm, rel=1e-6)


@given(strand_counts, st.floats(5.0, 500.0), st.floats(1.0, 20.0))
def test_advance_against_counted_crossings(strands: int, lay_mm: float, turns: float) -> None:
    strand_turn_mm = turns * lay_mm
    tucks = 50
    run_mm = tucks * laid.tuck_advance_mm(strands, lay_mm, strand_turn_mm)
    # Body strands stand every n-th of a turn and come round at 1/P; the tucked strand goes
    # against them at 1/Pw. It crosses one at each n-th of a turn between them.
    turned = run_mm / lay_mm + run_mm / strand_turn_mm
    crossed = turned * strands
    assert crossed == pytest.approx(2 * tucks)  # over one and under one, for each tuck


@given(strand_counts, st.floats(5.0, 500.0), st.floats(1.0, 20.0), st.floats(1.01, 5.0))
def test_a_strand_that_turns_less_goes_further(
    strands: int, lay_mm: float, turns: float, less: float
) -> None:
    steep = laid.tuck_advance_mm(strands, lay_mm, turns * lay_mm)
    shallow = laid.tuck_advance_mm(strands, lay_mm, turns * less * lay_mm)
    straight = laid.tuck_advance_mm(strands, lay_mm)
    assert steep < shallow < straight


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.inf, math.nan])
def test_figures_must_be_positive_and_finite(wrong: float) -> None:
    with pytest.raises(ValueError, match="rope_diameter_mm must be positive"):
        laid.strand_diameter_mm(wrong, 3)
    with pytest.raises(ValueError, match="rope_diameter_mm must be positive"):
        laid.strand_path_radius_mm(wrong, 3)
    with pytest.raises(ValueError, match="lay_mm must be positive"):
        laid.strand_length_mm(12.0, 3, wrong)
    with pytest.raises(ValueError, match="lay_mm must be positive"):
        laid.tuck_advance_mm(3, wrong)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.nan])
def test_a_tucked_strand_turns_forward(wrong: float) -> None:
    with pytest.raises(ValueError, match="strand_turn_mm must be positive"):
        laid.tuck_advance_mm(3, 40.0, wrong)


def test_a_strand_that_turns_at_once_hardly_advances() -> None:
    # (2/3) / (1/1 + 1/0.01) = 2/303
    assert laid.tuck_advance_mm(3, 1.0, 0.01) == pytest.approx(2 / 303)


def test_two_strands_are_no_laid_rope() -> None:
    with pytest.raises(ValueError, match="at least 3 strands, not 2"):
        laid.strand_diameter_mm(12.0, 2)
    with pytest.raises(ValueError, match="at least 3 strands, not 2"):
        laid.tuck_advance_mm(2, 40.0)
    assert laid.tuck_advance_mm(3, 30.0) == pytest.approx(20.0)  # (2/3) 30
