import math
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tuckmark.mechanics import eye
from tuckmark.mechanics.errors import InfeasibleError

CaseData = dict[str, Any]
pins_mm = st.floats(1.0, 1000.0)
ropes_mm = st.floats(2.0, 200.0)
# Inside length over its lower bound, from almost degenerate to very long.
stretches = st.floats(-9.0, 2.0).map(lambda exponent: 1 + 10**exponent)


def included_deg(geometry: eye.EyeGeometry) -> float:
    assert geometry.half_angle_rad is not None
    return math.degrees(2 * geometry.half_angle_rad)


def test_pin_eye_perimeter(inputs: CaseData, expected: CaseData) -> None:
    assert eye.pin_eye(**inputs).perimeter_mm == expected["perimeter_mm"]


def test_pin_eye_included_angle(inputs: CaseData, expected: CaseData) -> None:
    assert included_deg(eye.pin_eye(**inputs)) == expected["included_angle_deg"]


def test_flat_eye(inputs: CaseData, expected: CaseData) -> None:
    geometry = eye.flat_eye(**inputs)
    assert geometry.perimeter_mm == expected["perimeter_mm"]
    assert geometry.inside_perimeter_mm == expected["inside_perimeter_mm"]
    assert geometry.inside_length_mm == inputs["inside_length_mm"]
    assert geometry.half_angle_rad == 0.0
    assert geometry.pin_ratio is None


def test_flat_eye_of_perimeter(inputs: CaseData, expected: CaseData) -> None:
    geometry = eye.flat_eye_of_perimeter(**inputs)
    assert geometry.perimeter_mm == expected["perimeter_mm"]
    assert geometry.inside_perimeter_mm == expected["inside_perimeter_mm"]
    assert geometry.inside_length_mm == expected["inside_length_mm"]
    assert geometry.half_angle_rad == 0.0


def test_round_thimble_eye(inputs: CaseData, expected: CaseData) -> None:
    geometry = eye.round_thimble_eye(**inputs)
    assert {name: getattr(geometry, name) for name in expected} == expected
    assert geometry.half_angle_rad is None
    assert geometry.pin_ratio is None


def test_seat_thimble_eye(inputs: CaseData, expected: CaseData) -> None:
    geometry = eye.seat_thimble_eye(**inputs)
    assert {name: getattr(geometry, name) for name in expected} == expected
    assert geometry.half_angle_rad is None
    assert geometry.pin_ratio is None


def test_leg_load_share(inputs: CaseData, expected: CaseData) -> None:
    half_angle_rad = math.radians(inputs["included_angle_deg"] / 2)
    assert eye.leg_load_share(half_angle_rad) == expected["share"]


def taut_path(radius_mm: float, throat_to_pin_mm: float) -> list[tuple[float, float]]:
    """Hull of the throat, at the origin, and a circle of many corners: a taut string."""
    corners = 20_000
    points = [
        (
            throat_to_pin_mm + radius_mm * math.cos(2 * math.pi * i / corners),
            radius_mm * math.sin(2 * math.pi * i / corners),
        )
        for i in range(corners)
    ]
    points.append((0.0, 0.0))
    points.sort()
    hull: list[tuple[float, float]] = []
    for chain in (points, points[::-1]):
        start = len(hull)
        for point in chain:
            while len(hull) >= start + 2 and not turns_left(hull[-2], hull[-1], point):
                hull.pop()
            hull.append(point)
        hull.pop()
    assert hull[0] == (0.0, 0.0)
    return hull


def turns_left(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]) > 0


@pytest.mark.parametrize(
    ("pin_mm", "rope_mm", "inside_mm"),
    [
        (28.0, 12.0, 114.0),
        (40.0, 10.0, 170.0),
        (12.0, 8.0, 66.0),
        (12.0, 8.0, 36.0),
        (90.0, 24.0, 450.0),
        (90.0, 24.0, 115.0),
    ],
)
def test_perimeters_against_a_polygon(pin_mm: float, rope_mm: float, inside_mm: float) -> None:
    hull = taut_path((pin_mm + rope_mm) / 2, inside_mm - pin_mm / 2)
    corners = [*hull, hull[0]]
    length_mm = sum(math.dist(a, b) for a, b in pairwise(corners))
    headings = [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in pairwise(corners)]
    # Moving a bend inward by d/2 shortens it by d/2 for each radian it turns; the throat,
    # where the path starts and ends, is no bend.
    turned_rad = sum((after - before) % (2 * math.pi) for before, after in pairwise(headings))

    geometry = eye.pin_eye(pin_mm, rope_mm, inside_mm)

    # A polygon of 20,000 corners is short of its circle by 4 parts in 10^9, and the corners
    # miss the tangent points by at most pi/20,000 rad.
    assert geometry.perimeter_mm == pytest.approx(length_mm, rel=1e-8)
    inside_perimeter_mm = length_mm - rope_mm / 2 * turned_rad
    assert geometry.inside_perimeter_mm == pytest.approx(
        inside_perimeter_mm, abs=rope_mm * math.pi / 20_000
    )


def test_pin_eye_echoes_its_pin_ratio_and_inside_length() -> None:
    geometry = eye.pin_eye(90.0, 24.0, 450.0)
    assert geometry.pin_ratio == 3.75
    assert geometry.inside_length_mm == 450.0


@given(pins_mm, ropes_mm, stretches)
def test_pin_eye_and_its_inverse(pin_mm: float, rope_mm: float, stretch: float) -> None:
    there = eye.pin_eye(pin_mm, rope_mm, (pin_mm + rope_mm / 2) * stretch)
    back = eye.pin_eye_of_perimeter(pin_mm, rope_mm, there.perimeter_mm)
    assert back.inside_length_mm == pytest.approx(there.inside_length_mm, rel=1e-9)
    assert back.perimeter_mm == pytest.approx(there.perimeter_mm, rel=1e-14)
    assert back.pin_ratio == there.pin_ratio


@given(pins_mm, ropes_mm, st.floats(1.001, 100.0))
def test_angle_and_inside_survive_the_inverse(
    pin_mm: float, rope_mm: float, stretch: float
) -> None:
    # Nearer to the bare ring the perimeter no longer fixes the angle to so many digits: it
    # grows with the cube of the straight leg.
    there = eye.pin_eye(pin_mm, rope_mm, (pin_mm + rope_mm / 2) * stretch)
    back = eye.pin_eye_of_perimeter(pin_mm, rope_mm, there.perimeter_mm)
    assert back.inside_perimeter_mm == pytest.approx(there.inside_perimeter_mm, rel=1e-9)
    assert back.half_angle_rad == pytest.approx(there.half_angle_rad, rel=1e-9)


@given(pins_mm, ropes_mm, st.floats(1e-12, 1e6))
def test_pin_eye_of_any_perimeter(pin_mm: float, rope_mm: float, excess: float) -> None:
    perimeter_mm = math.pi * (pin_mm + rope_mm) * (1 + excess)
    geometry = eye.pin_eye_of_perimeter(pin_mm, rope_mm, perimeter_mm)
    assert geometry.perimeter_mm == pytest.approx(perimeter_mm, rel=1e-14)


def test_five_steps_settle_every_perimeter(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(eye, "_MOST_STEPS", 5)
    for hundredths in range(-1400, 901):
        perimeter_mm = math.pi * 114 * (1 + 10 ** (hundredths / 100))
        geometry = eye.pin_eye_of_perimeter(90.0, 24.0, perimeter_mm)
        assert geometry.perimeter_mm == pytest.approx(perimeter_mm, rel=1e-14)


def test_reports_a_solver_that_does_not_settle(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(eye, "_MOST_STEPS", 1)
    with pytest.raises(RuntimeError, match="did not settle in 1 steps"):
        eye.pin_eye_of_perimeter(90.0, 24.0, 997.11)


@given(st.floats(1.0, 1e5), ropes_mm)
def test_flat_eye_and_its_inverses(inside_mm: float, rope_mm: float) -> None:
    there = eye.flat_eye(inside_mm, rope_mm)
    by_centre_line = eye.flat_eye_of_perimeter(there.perimeter_mm, rope_mm, measured="centre_line")
    by_inside = eye.flat_eye_of_perimeter(there.inside_perimeter_mm, rope_mm, measured="inside")
    assert by_centre_line.inside_length_mm == pytest.approx(inside_mm, rel=1e-9)
    assert by_inside == there


@given(pins_mm, ropes_mm, stretches, st.floats(1.001, 10.0))
def test_a_longer_eye_takes_more_rope_and_meets_at_less_angle(
    pin_mm: float, rope_mm: float, stretch: float, more: float
) -> None:
    shorter_mm = (pin_mm + rope_mm / 2) * stretch
    shorter = eye.pin_eye(pin_mm, rope_mm, shorter_mm)
    longer = eye.pin_eye(pin_mm, rope_mm, shorter_mm * more)
    assert longer.perimeter_mm > shorter.perimeter_mm
    assert included_deg(longer) < included_deg(shorter)


def test_a_pin_eye_becomes_flat_as_its_pin_vanishes() -> None:
    # A pin of no size leaves the crown round nothing and legs that meet at d/(2 e).
    on_pin = eye.pin_eye(1e-9, 12.0, 12_000.0)
    flat = eye.flat_eye(12_000.0, 12.0)
    # By hand: 2 sqrt(c^2 - r^2) + 2 r theta exceeds 2 c by r^2/c = 36/12000 at first order.
    assert on_pin.perimeter_mm - flat.perimeter_mm == pytest.approx(0.003, abs=5e-7)


def test_pin_eye_refuses_an_eye_that_ends_on_its_pin() -> None:
    # c = r at e = D + d/2 = 102.
    with pytest.raises(InfeasibleError) as caught:
        eye.pin_eye(90.0, 24.0, 102.0)
    error = caught.value
    assert (error.code, error.value, error.limit, error.unit) == (
        "eye_shorter_than_pin",
        102.0,
        102.0,
        "mm",
    )


@given(pins_mm, ropes_mm, st.floats(0.001, 1.57))
def test_inside_length_of_an_angle_gives_the_angle_back(
    pin_mm: float, rope_mm: float, half_angle_rad: float
) -> None:
    inside_mm = eye.pin_eye_inside_length_mm(pin_mm, rope_mm, half_angle_rad)
    geometry = eye.pin_eye(pin_mm, rope_mm, inside_mm)
    assert geometry.half_angle_rad == pytest.approx(half_angle_rad, rel=1e-9, abs=1e-7)


@pytest.mark.parametrize("half_angle_rad", [0.001, 1.57])
def test_any_angle_between_none_and_straight_has_its_inside_length(half_angle_rad: float) -> None:
    # e = (D + d)/2 / sin theta + D/2, with D 90 and d 24
    inside_mm = eye.pin_eye_inside_length_mm(90.0, 24.0, half_angle_rad)
    assert inside_mm == pytest.approx(57.0 / math.sin(half_angle_rad) + 45.0)


@pytest.mark.parametrize("half_angle_rad", [0.0, -0.1, math.pi / 2, math.inf, math.nan])
def test_no_inside_length_at_legs_that_never_meet_or_lie_in_line(half_angle_rad: float) -> None:
    with pytest.raises(ValueError, match="between 0 and pi/2"):
        eye.pin_eye_inside_length_mm(90.0, 24.0, half_angle_rad)


def test_pin_eye_just_longer_than_its_pin_is_nearly_a_ring() -> None:
    geometry = eye.pin_eye(90.0, 24.0, math.nextafter(102.0, math.inf))
    # 2 pi r, the degenerate limit.
    assert geometry.perimeter_mm == pytest.approx(math.pi * 114, rel=1e-9)
    assert included_deg(geometry) == pytest.approx(180.0, abs=1e-4)


def test_pin_eye_of_perimeter_refuses_the_bare_ring() -> None:
    ring_mm = math.pi * 114
    with pytest.raises(InfeasibleError) as caught:
        eye.pin_eye_of_perimeter(90.0, 24.0, ring_mm)
    error = caught.value
    assert (error.code, error.value, error.unit) == ("eye_perimeter_too_short", ring_mm, "mm")
    assert error.limit == pytest.approx(358.1416, abs=5e-5)  # pi x 114 by hand

    above = eye.pin_eye_of_perimeter(90.0, 24.0, math.nextafter(ring_mm, math.inf))
    assert above.inside_length_mm == pytest.approx(102.0, rel=1e-9)


@pytest.mark.parametrize(
    ("measured", "limit_mm"), [("centre_line", 12 * math.pi / 2), ("inside", 0.0)]
)
def test_flat_eye_of_perimeter_refuses_an_eye_without_inside(
    measured: Any, limit_mm: float
) -> None:
    with pytest.raises(InfeasibleError) as caught:
        eye.flat_eye_of_perimeter(limit_mm, 12.0, measured=measured)
    error = caught.value
    assert (error.code, error.value, error.limit, error.unit) == (
        "eye_perimeter_too_short",
        limit_mm,
        limit_mm,
        "mm",
    )
    above = eye.flat_eye_of_perimeter(limit_mm + 0.002, 12.0, measured=measured)
    assert above.inside_length_mm == pytest.approx(0.001, rel=1e-9)


def test_flat_eye_of_perimeter_knows_two_ways_to_measure() -> None:
    unknown: Any = "outside"
    with pytest.raises(AssertionError, match="outside"):
        eye.flat_eye_of_perimeter(400.0, 12.0, measured=unknown)


@pytest.mark.parametrize("included", [120.0, 121.0, 180.0, -0.1, math.nan])
def test_leg_load_share_refuses_angles_where_it_loses_meaning(included: float) -> None:
    with pytest.raises(InfeasibleError) as caught:
        eye.leg_load_share(math.radians(included) / 2)
    assert caught.value.code == "included_angle_out_of_range"
    assert caught.value.value == pytest.approx(included, nan_ok=True)
    assert caught.value.limit == pytest.approx(120.0)
    assert caught.value.unit == "deg"


def test_leg_load_share_at_its_limits() -> None:
    assert eye.leg_load_share(0.0) == 0.5
    just_below = eye.leg_load_share(math.nextafter(math.radians(60.0), 0.0))
    assert just_below < 1.0
    assert just_below == pytest.approx(1.0, abs=1e-15)


@pytest.mark.parametrize("wrong", [0.0, -1.0, math.inf, math.nan])
def test_sizes_must_be_positive_and_finite(wrong: float) -> None:
    with pytest.raises(ValueError, match="pin_diameter_mm must be positive"):
        eye.pin_eye(wrong, 24.0, 450.0)
    with pytest.raises(ValueError, match="rope_diameter_mm must be positive"):
        eye.pin_eye_of_perimeter(90.0, wrong, 997.0)
    with pytest.raises(ValueError, match="inside_length_mm must be positive"):
        eye.flat_eye(wrong, 24.0)
    with pytest.raises(ValueError, match="rope_diameter_mm must be positive"):
        eye.flat_eye_of_perimeter(400.0, wrong, measured="inside")
    with pytest.raises(ValueError, match="score_diameter_mm must be positive"):
        eye.round_thimble_eye(wrong, 24.0)
    with pytest.raises(ValueError, match="bearing_length_mm must be positive"):
        eye.seat_thimble_eye(180.0, 24.0, wrong)
