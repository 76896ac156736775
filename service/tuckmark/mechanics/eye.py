"""Eye geometry: how much rope an eye takes, and the angle at which its legs meet.

The centre line of an eye on a pin is two straight legs from the throat, tangent to an arc
round the pin. A flat eye is the same with parallel legs and a crown bent round nothing. A
thimble closes the rope into a ring, which has no throat angle.
"""

import math
from typing import Literal, assert_never

from msgspec import Struct

from tuckmark.mechanics.checks import require_positive
from tuckmark.mechanics.errors import InfeasibleError

HALF_ANGLE_LIMIT_RAD = math.pi / 3
"""Half the included angle at which one leg would carry the whole load."""

_MOST_STEPS = 10


class EyeGeometry(Struct, frozen=True):
    """One eye, unloaded, measured between its two throat marks.

    Attributes:
        perimeter_mm: rope along the centre line, throat to throat.
        inside_perimeter_mm: the same round the inside face of the rope.
        inside_length_mm: throat to the far side of what the eye bears on.
        half_angle_rad: half the included angle at the throat; None for a closed ring.
        pin_ratio: pin diameter / rope diameter; None where the eye is not made on a pin.
    """

    perimeter_mm: float
    inside_perimeter_mm: float
    inside_length_mm: float
    half_angle_rad: float | None
    pin_ratio: float | None


def pin_eye(
    pin_diameter_mm: float, rope_diameter_mm: float, inside_length_mm: float
) -> EyeGeometry:
    """Eye drawn tight round a pin, by its inside length.

    With r = (D + d)/2, c = e - D/2 and sin theta = r/c the centre line is
    E = 2 sqrt(c^2 - r^2) + r (pi + 2 theta).

    Args:
        pin_diameter_mm: D, positive.
        rope_diameter_mm: d, positive.
        inside_length_mm: e, throat to far side of the pin; more than D + d/2.

    Returns:
        The eye; its half angle lies strictly between 0 and pi/2.

    Raises:
        InfeasibleError: `eye_shorter_than_pin`, inside length and its limit in mm.

    Source: derived; the path also measured as a polygon in the tests.
    """
    require_positive(pin_diameter_mm=pin_diameter_mm, rope_diameter_mm=rope_diameter_mm)
    require_positive(inside_length_mm=inside_length_mm)
    radius_mm = (pin_diameter_mm + rope_diameter_mm) / 2
    throat_to_pin_mm = inside_length_mm - pin_diameter_mm / 2
    if throat_to_pin_mm <= radius_mm:
        raise InfeasibleError(
            "eye_shorter_than_pin",
            "the eye is too short to pass round its pin",
            value=inside_length_mm,
            limit=radius_mm + pin_diameter_mm / 2,
            unit="mm",
        )
    leg_mm = math.sqrt((throat_to_pin_mm - radius_mm) * (throat_to_pin_mm + radius_mm))
    return _eye_on_pin(pin_diameter_mm, rope_diameter_mm, inside_length_mm, leg_mm)


def pin_eye_of_perimeter(
    pin_diameter_mm: float, rope_diameter_mm: float, perimeter_mm: float
) -> EyeGeometry:
    """Eye drawn tight round a pin, by its centre-line perimeter: the inverse of `pin_eye`.

    With x the straight leg over r, the perimeter is E = 2 r (pi + x - atan x), solved for x.

    Args:
        pin_diameter_mm: D, positive.
        rope_diameter_mm: d, positive.
        perimeter_mm: E along the centre line, more than pi (D + d).

    Returns:
        The eye whose perimeter is E to within rounding.

    Raises:
        InfeasibleError: `eye_perimeter_too_short`, perimeter and its limit in mm.
        RuntimeError: the solver did not settle, which no accepted argument causes.

    Source: derived.
    """
    require_positive(pin_diameter_mm=pin_diameter_mm, rope_diameter_mm=rope_diameter_mm)
    require_positive(perimeter_mm=perimeter_mm)
    radius_mm = (pin_diameter_mm + rope_diameter_mm) / 2
    shortest_mm = 2 * math.pi * radius_mm
    if perimeter_mm <= shortest_mm:
        raise InfeasibleError(
            "eye_perimeter_too_short",
            "the eye is too short to pass round its pin",
            value=perimeter_mm,
            limit=shortest_mm,
            unit="mm",
        )
    leg_ratio = _leg_ratio((perimeter_mm - shortest_mm) / (2 * radius_mm))
    throat_to_pin_mm = radius_mm * math.hypot(1.0, leg_ratio)
    inside_length_mm = throat_to_pin_mm + pin_diameter_mm / 2
    return _eye_on_pin(pin_diameter_mm, rope_diameter_mm, inside_length_mm, radius_mm * leg_ratio)


def pin_eye_inside_length_mm(
    pin_diameter_mm: float, rope_diameter_mm: float, half_angle_rad: float
) -> float:
    """Inside length at which the legs of an eye on a pin meet at a given angle.

    Args:
        pin_diameter_mm: D, positive.
        rope_diameter_mm: d, positive.
        half_angle_rad: theta, half the included angle; 0 < theta < pi/2.

    Returns:
        e = (D + d)/2 / sin theta + D/2.

    Raises:
        ValueError: an argument outside its range.

    Source: derived; the inverse of the angle in `pin_eye`.
    """
    require_positive(pin_diameter_mm=pin_diameter_mm, rope_diameter_mm=rope_diameter_mm)
    if not 0.0 < half_angle_rad < math.pi / 2:
        raise ValueError(f"half an included angle lies between 0 and pi/2, not {half_angle_rad}")
    radius_mm = (pin_diameter_mm + rope_diameter_mm) / 2
    return radius_mm / math.sin(half_angle_rad) + pin_diameter_mm / 2


def flat_eye(inside_length_mm: float, rope_diameter_mm: float) -> EyeGeometry:
    """Eye laid flat, its crown bent round nothing: E = 2 e + pi d/2.

    Args:
        inside_length_mm: e, positive.
        rope_diameter_mm: d, positive.

    Returns:
        The eye, with half angle 0.

    Source: derived.
    """
    require_positive(inside_length_mm=inside_length_mm, rope_diameter_mm=rope_diameter_mm)
    inside_perimeter_mm = 2 * inside_length_mm
    return EyeGeometry(
        perimeter_mm=inside_perimeter_mm + _crown_mm(rope_diameter_mm),
        inside_perimeter_mm=inside_perimeter_mm,
        inside_length_mm=inside_length_mm,
        half_angle_rad=0.0,
        pin_ratio=None,
    )


def flat_eye_of_perimeter(
    perimeter_mm: float,
    rope_diameter_mm: float,
    *,
    measured: Literal["centre_line", "inside"],
) -> EyeGeometry:
    """Eye laid flat, by its perimeter: the inverse of `flat_eye`.

    Args:
        perimeter_mm: E along the centre line (more than pi d/2), or p along the inside
            (positive).
        rope_diameter_mm: d, positive.
        measured: which of the two the perimeter is.

    Returns:
        The eye, with half angle 0.

    Raises:
        InfeasibleError: `eye_perimeter_too_short`, perimeter and its limit in mm.

    Source: derived.
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    match measured:
        case "centre_line":
            shortest_mm = _crown_mm(rope_diameter_mm)
        case "inside":
            shortest_mm = 0.0
        case _:
            assert_never(measured)
    inside_perimeter_mm = perimeter_mm - shortest_mm
    if inside_perimeter_mm <= 0.0:
        raise InfeasibleError(
            "eye_perimeter_too_short",
            "the perimeter leaves no room inside the eye",
            value=perimeter_mm,
            limit=shortest_mm,
            unit="mm",
        )
    return flat_eye(inside_perimeter_mm / 2, rope_diameter_mm)


def round_thimble_eye(
    score_diameter_mm: float,
    rope_diameter_mm: float,
    bearing_length_mm: float | None = None,
) -> EyeGeometry:
    """Closed ring round a round thimble: E = pi (D + d), D the diameter of the score.

    Args:
        score_diameter_mm: D at the bottom of the groove, positive.
        rope_diameter_mm: d, positive.
        bearing_length_mm: throat to the bearing point, where the thimble's own figure is
            known; D + d/2 when None.

    Returns:
        The eye, without throat angle.

    Source: Ashley no. 2728 (once round the thimble plus once round the rope).
    """
    require_positive(score_diameter_mm=score_diameter_mm, rope_diameter_mm=rope_diameter_mm)
    if bearing_length_mm is None:
        bearing_length_mm = score_diameter_mm + rope_diameter_mm / 2
    return seat_thimble_eye(math.pi * score_diameter_mm, rope_diameter_mm, bearing_length_mm)


def seat_thimble_eye(
    seat_perimeter_mm: float, rope_diameter_mm: float, bearing_length_mm: float
) -> EyeGeometry:
    """Closed ring round a thimble of any shape: E = p + pi d, p the length of the seat.

    Args:
        seat_perimeter_mm: p along the bottom of the groove, positive.
        rope_diameter_mm: d, positive.
        bearing_length_mm: throat to the bearing point, positive, and no further than half of the
            seat and half of the rope.

    Returns:
        The eye, without throat angle.

    Raises:
        InfeasibleError: `bearing_beyond_thimble`, bearing length and its limit in mm.

    Source: derived; the offset of a closed convex curve by d/2 is longer by pi d.
    """
    require_positive(
        seat_perimeter_mm=seat_perimeter_mm,
        rope_diameter_mm=rope_diameter_mm,
        bearing_length_mm=bearing_length_mm,
    )
    reach_mm = (seat_perimeter_mm + rope_diameter_mm) / 2
    if bearing_length_mm > reach_mm:
        raise InfeasibleError(
            "bearing_beyond_thimble",
            "the bearing point lies further from the throat than this thimble reaches",
            value=bearing_length_mm,
            limit=reach_mm,
            unit="mm",
        )
    return EyeGeometry(
        perimeter_mm=seat_perimeter_mm + math.pi * rope_diameter_mm,
        inside_perimeter_mm=seat_perimeter_mm,
        inside_length_mm=bearing_length_mm,
        half_angle_rad=None,
        pin_ratio=None,
    )


def leg_load_share(half_angle_rad: float) -> float:
    """Tension in one leg of the eye over the tension in the rope: 1/(2 cos theta).

    Args:
        half_angle_rad: theta, half the included angle; 0 <= theta < pi/3.

    Returns:
        The share, from 0.5 up to, not including, 1.

    Raises:
        InfeasibleError: `included_angle_out_of_range`, included angle and its limit in deg.

    Source: derived; equilibrium at the throat.
    """
    if not 0.0 <= half_angle_rad < HALF_ANGLE_LIMIT_RAD:
        raise InfeasibleError(
            "included_angle_out_of_range",
            "the leg load formula holds from 0 to below 120 degrees included",
            value=math.degrees(2 * half_angle_rad),
            limit=math.degrees(2 * HALF_ANGLE_LIMIT_RAD),
            unit="deg",
        )
    return 1 / (2 * math.cos(half_angle_rad))


def _eye_on_pin(
    pin_diameter_mm: float, rope_diameter_mm: float, inside_length_mm: float, leg_mm: float
) -> EyeGeometry:
    radius_mm = (pin_diameter_mm + rope_diameter_mm) / 2
    half_angle_rad = math.atan2(radius_mm, leg_mm)
    wrap_rad = math.pi + 2 * half_angle_rad
    return EyeGeometry(
        perimeter_mm=2 * leg_mm + radius_mm * wrap_rad,
        # The inside face runs round the pin itself; the straight legs keep their length.
        inside_perimeter_mm=2 * leg_mm + pin_diameter_mm / 2 * wrap_rad,
        inside_length_mm=inside_length_mm,
        half_angle_rad=half_angle_rad,
        pin_ratio=pin_diameter_mm / rope_diameter_mm,
    )


def _leg_ratio(excess: float) -> float:
    """Solve x - atan x = excess for x > 0, to the rounding of a perimeter of pi + excess.

    The left side is convex, so after its first step Newton comes down on the root from above
    and cannot miss it. Both starting bounds lie below the root: x^3/3 and x each exceed
    x - atan x.
    """
    # Finer than this the perimeter itself is not known.
    tolerance = 4 * math.ulp(math.pi + excess)
    ratio = max(math.cbrt(3 * excess), excess)
    for _ in range(_MOST_STEPS):
        error = ratio - math.atan(ratio) - excess
        if abs(error) <= tolerance:
            return ratio
        ratio -= error * (1 + 1 / ratio**2)
    raise RuntimeError(f"the eye's leg did not settle in {_MOST_STEPS} steps")


def _crown_mm(rope_diameter_mm: float) -> float:
    """Centre line gained in a half turn round nothing."""
    return math.pi * rope_diameter_mm / 2
