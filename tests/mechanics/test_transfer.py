import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuckmark.mechanics import braid, taper, transfer
from tuckmark.mechanics.errors import InfeasibleError

CaseData = dict[str, Any]


def opened(diameter_mm: float, pitch_mm: float, tail_strands: int) -> braid.OpenedBraid:
    return braid.opened_braid(diameter_mm, pitch_mm, tail_strands, 12, jammed_sine=0.7)


def tapered(
    diameter_mm: float, pitch_mm: float, buried_mm: float
) -> list[tuple[float, braid.OpenedBraid]]:
    steps = taper.taper_by_picks((3, 2, 3, 2, 3), pitch_mm / 6, 12)
    return [
        (piece.length_mm, opened(diameter_mm, pitch_mm, piece.strands))
        for piece in taper.tail_pieces(buried_mm, steps, 12)
    ]


def test_hold_of_tapered_tail(inputs: CaseData, expected: CaseData) -> None:
    pieces = tapered(inputs["diameter_mm"], inputs["pitch_mm"], inputs["buried_mm"])
    capacity = transfer.transfer_capacity(pieces, inputs["friction"])
    demand = transfer.transfer_demand(math.radians(inputs["included_angle_deg"] / 2))
    assert transfer.hold_ratio(capacity, demand) == expected["hold_ratio"]


def test_critical_length(inputs: CaseData, expected: CaseData) -> None:
    length_mm = transfer.critical_length_mm(
        inputs["mean_radius_mm"], math.radians(inputs["angle_deg"]), inputs["friction"]
    )
    assert length_mm == expected["critical_length_mm"]
    if "decay_length_mm" in expected:
        assert length_mm / math.log(2) == expected["decay_length_mm"]


def test_line_pressure(inputs: CaseData, expected: CaseData) -> None:
    pressure = transfer.line_pressure_n_per_mm(
        inputs["braid_tension_n"], math.radians(inputs["angle_deg"]), inputs["mean_radius_mm"]
    )
    assert pressure == expected["line_pressure_n_per_mm"]


def test_capacity_is_the_growth_of_tension_along_the_tail() -> None:
    # Derived: dT/dx = friction x line pressure, summed in small steps, grows by exp(K).
    pieces = tapered(12.0, 116.04, 756.0)
    friction, tension_n = 0.07, 1000.0
    steps = 20_000
    for length_mm, shape in pieces:
        for _ in range(steps):
            gain_per_mm = friction * transfer.line_pressure_n_per_mm(
                tension_n, shape.angle_rad, shape.mean_radius_mm
            )
            tension_n += gain_per_mm * length_mm / steps
    capacity = transfer.transfer_capacity(pieces, friction)
    # Each step falls short by half its square: some parts in 10^5 over the whole tail.
    assert math.log(tension_n / 1000.0) == pytest.approx(capacity, rel=1e-4)


@given(st.floats(6.0, 14.0), st.floats(0.05, 0.22))
def test_an_untapered_tail_of_critical_length_just_holds(pitch: float, friction: float) -> None:
    shape = opened(1.0, pitch, 12)
    length_mm = transfer.critical_length_mm(shape.mean_radius_mm, shape.angle_rad, friction)
    capacity = transfer.transfer_capacity([(length_mm, shape)], friction)
    ratio = transfer.hold_ratio(capacity, transfer.transfer_demand(0.0))
    assert ratio == pytest.approx(1.0, rel=1e-12)


@pytest.mark.parametrize("pitch", [9.67, 9.7, 12.0])
def test_a_stepped_taper_counts_for_about_three_quarters_of_its_length(pitch: float) -> None:
    # Derived: 0.75 to 0.78; so for a pitch of about 9 d to 13 d, less for a tighter braid.
    taper_mm = 13 * pitch / 6
    ((_, full), *rest) = tapered(1.0, pitch, taper_mm + 1.0)
    share = transfer.transfer_capacity(rest, 0.1) / transfer.transfer_capacity(
        [(taper_mm, full)], 0.1
    )
    assert 0.75 <= share <= 0.78


def test_demand_of_a_narrow_eye_is_ln_2() -> None:
    assert transfer.transfer_demand(0.0) == pytest.approx(math.log(2), rel=1e-15)


def test_demand_at_90_degrees_included() -> None:
    # By hand: -ln(1 - 1/sqrt 2) = -ln 0.2928932 = 1.2279472.
    assert transfer.transfer_demand(math.pi / 4) == pytest.approx(1.2279472, abs=5e-8)


@given(st.floats(0.0, 1.04), st.floats(1e-4, 0.007))
def test_a_wider_eye_asks_for_more(half_angle_rad: float, more_rad: float) -> None:
    wider = transfer.transfer_demand(half_angle_rad + more_rad)
    assert wider > transfer.transfer_demand(half_angle_rad)


def test_demand_is_finite_up_to_its_limit_and_refused_there() -> None:
    assert math.isfinite(transfer.transfer_demand(math.nextafter(math.pi / 3, 0.0)))
    with pytest.raises(InfeasibleError) as caught:
        transfer.transfer_demand(math.pi / 3)
    assert caught.value.code == "included_angle_out_of_range"


def test_a_piece_of_no_length_adds_nothing() -> None:
    shape = opened(12.0, 116.04, 12)
    alone = transfer.transfer_capacity([(500.0, shape)], 0.07)
    assert transfer.transfer_capacity([(500.0, shape), (0.0, shape)], 0.07) == alone
    assert transfer.transfer_capacity([], 0.07) == 0.0


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.inf, math.nan])
def test_figures_must_be_positive_and_finite(wrong: float) -> None:
    shape = opened(12.0, 116.04, 12)
    with pytest.raises(ValueError, match="friction must be positive"):
        transfer.transfer_capacity([(500.0, shape)], wrong)
    with pytest.raises(ValueError, match="friction must be positive"):
        transfer.critical_length_mm(7.32, 0.4, wrong)
    with pytest.raises(ValueError, match="mean_radius_mm must be positive"):
        transfer.critical_length_mm(wrong, 0.4, 0.07)
    with pytest.raises(ValueError, match="capacity must be positive"):
        transfer.hold_ratio(wrong, 0.7)
    with pytest.raises(ValueError, match="demand must be positive"):
        transfer.hold_ratio(1.0, wrong)
    with pytest.raises(ValueError, match="braid_tension_n must be positive"):
        transfer.line_pressure_n_per_mm(wrong, 0.4, 7.32)


@pytest.mark.parametrize("angle_rad", [0.0, -0.001, math.pi / 2, 1.571, math.nan])
def test_refuses_an_angle_that_is_no_braid(angle_rad: float) -> None:
    with pytest.raises(ValueError, match="angle_rad"):
        transfer.critical_length_mm(7.32, angle_rad, 0.07)


@pytest.mark.parametrize("angle_rad", [0.001, 1.57])
def test_takes_an_angle_near_its_limits(angle_rad: float) -> None:
    # T tan^2(alpha)/R with T and R of 1.
    pressure = transfer.line_pressure_n_per_mm(1.0, angle_rad, 1.0)
    assert pressure == pytest.approx((math.sin(angle_rad) / math.cos(angle_rad)) ** 2)


@pytest.mark.parametrize("length_mm", [-0.001, math.inf, math.nan])
def test_refuses_a_piece_of_impossible_length(length_mm: float) -> None:
    with pytest.raises(ValueError, match="length of zero or more"):
        transfer.transfer_capacity([(length_mm, opened(12.0, 116.04, 12))], 0.07)
