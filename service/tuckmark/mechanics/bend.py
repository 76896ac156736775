"""Strength of an eye bent round its pin, by a rule made for steel wire rope."""

import math

from tuckmark.mechanics.checks import require_positive
from tuckmark.mechanics.eye import leg_load_share


def eye_on_pin_efficiency(pin_ratio: float, half_angle_rad: float, coefficient: float) -> float:
    """Strength of an eye on its pin as a share of the body's strength.

    Two legs of the body's strength, weakened by the bend: with the leg load share
    1/(2 cos theta) this is min(1, 2 cos theta max(0, 1 - k/sqrt(D/d))).

    Args:
        pin_ratio: D/d, pin diameter over rope diameter, positive.
        half_angle_rad: theta, half the included angle; 0 <= theta < pi/3.
        coefficient: k of the bend rule, positive; 0.5 for steel wire rope.

    Returns:
        The share, from 0 to 1. For fibre rope a floor only: the published rule for fibre is
        the full strength where the bend is at or above the rope maker's least.

    Raises:
        InfeasibleError: `included_angle_out_of_range`.
        ValueError: an argument outside its range.

    Source: offshore lifting guideline 0027/ND rev 11, 7.8.1 and 7.8.4; derived for two legs.
    """
    require_positive(pin_ratio=pin_ratio, coefficient=coefficient)
    one_leg = max(0.0, 1 - coefficient / math.sqrt(pin_ratio))
    return min(1.0, one_leg / leg_load_share(half_angle_rad))
