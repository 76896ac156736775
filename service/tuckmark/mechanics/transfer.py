"""How a loaded braid takes over the load of the tail buried in it, by friction alone.

The tighter the braid the harder it squeezes, so the tension it hands over grows as it goes
and no slip load exists: a hold ratio explains a bury, it is never a strength.
"""

import math
from collections.abc import Sequence

from tuckmark.mechanics.braid import OpenedBraid
from tuckmark.mechanics.checks import require_positive
from tuckmark.mechanics.eye import leg_load_share


def transfer_capacity(pieces: Sequence[tuple[float, OpenedBraid]], friction: float) -> float:
    """Exponent by which the buried pieces let the braid's tension grow.

    K = sum of mu tan^2(alpha) L/R over the pieces. Valid for a single hollow braid.

    Args:
        pieces: length L in mm, zero or more, and opened braid of each piece of buried tail.
        friction: mu of the fibre on itself, positive.

    Returns:
        K, without unit.

    Raises:
        ValueError: an argument outside its range.

    Source: derived; rope on a drum, applied to a braid over its tail.
    """
    require_positive(friction=friction)
    if not all(0.0 <= length_mm < math.inf for length_mm, _ in pieces):
        raise ValueError("every piece of tail has a length of zero or more")
    return sum(
        friction * _squeeze_per_mm(braid.angle_rad, braid.mean_radius_mm) * length_mm
        for length_mm, braid in pieces
    )


def transfer_demand(half_angle_rad: float) -> float:
    """Exponent needed to take the tail's load over: -ln(1 - 1/(2 cos theta)).

    Args:
        half_angle_rad: theta, half the included angle of the eye; 0 <= theta < pi/3.

    Returns:
        The demand, ln 2 for a narrow eye and more for a wider one.

    Raises:
        InfeasibleError: `included_angle_out_of_range`, included angle and its limit in deg.

    Source: derived.
    """
    return -math.log1p(-leg_load_share(half_angle_rad))


def hold_ratio(capacity: float, demand: float) -> float:
    """Capacity over demand; below 1 friction alone is not expected to hold.

    Args:
        capacity: K of the buried tail, positive.
        demand: what the eye asks for, positive.

    Returns:
        The ratio. It is no strength and no factor of safety.

    Raises:
        ValueError: an argument outside its range.

    Source: derived.
    """
    require_positive(capacity=capacity, demand=demand)
    return capacity / demand


def critical_length_mm(mean_radius_mm: float, angle_rad: float, friction: float) -> float:
    """Untapered buried tail at which the hold ratio of a narrow eye is 1.

    The length is R ln 2/(mu tan^2 alpha).

    Args:
        mean_radius_mm: R of the braid over the full tail, positive.
        angle_rad: alpha of the braid over the full tail, between 0 and pi/2.
        friction: mu of the fibre on itself, positive.

    Returns:
        The length of tail.

    Raises:
        ValueError: an argument outside its range.

    Source: derived.
    """
    require_positive(friction=friction)
    return math.log(2) / (friction * _squeeze_per_mm(angle_rad, mean_radius_mm))


def line_pressure_n_per_mm(
    braid_tension_n: float, angle_rad: float, mean_radius_mm: float
) -> float:
    """Force per length with which the braid squeezes its tail: T tan^2(alpha)/R.

    Args:
        braid_tension_n: tension of the braid at that place, positive.
        angle_rad: alpha of the braid there, between 0 and pi/2.
        mean_radius_mm: R of the braid there, positive.

    Returns:
        The line pressure.

    Raises:
        ValueError: an argument outside its range.

    Source: derived.
    """
    require_positive(braid_tension_n=braid_tension_n)
    return braid_tension_n * _squeeze_per_mm(angle_rad, mean_radius_mm)


def _squeeze_per_mm(angle_rad: float, mean_radius_mm: float) -> float:
    """Line pressure for each newton of tension in the braid."""
    require_positive(mean_radius_mm=mean_radius_mm)
    if not 0.0 < angle_rad < math.pi / 2:
        raise ValueError(f"angle_rad must lie between 0 and pi/2, not {angle_rad!r}")
    return math.tan(angle_rad) ** 2 / mean_radius_mm
