"""How a hollow single braid opens, steepens and shortens over a tail buried in it.

Each body strand is a helix of constant length. A tail of n of the body's N strands fills a
core of radius (d/2) sqrt(n/N); round it the body keeps its volume, so its annulus, its mean
strand radius and its strand angle follow from one another.
"""

import math
from collections.abc import Sequence

from msgspec import Struct

from tuckmark.mechanics.checks import require_positive
from tuckmark.mechanics.errors import InfeasibleError

_TOLERANCE = 1e-13
_MOST_STEPS = 10
_NEVER_JAMS_D = 100.0


class OpenedBraid(Struct, frozen=True):
    """A braid over a buried tail piece, at its resting shape.

    Attributes:
        tail_strands: strands in the tail piece, n.
        body_strands: strands in the braid round it, N.
        inner_radius_mm: radius of the tail piece.
        outer_radius_mm: outer radius of the braid.
        mean_radius_mm: mean radius of the body strands, R.
        angle_rad: angle of the body strands to the rope's axis, alpha.
        shortening: share of the body's length lost, sigma = 1 - cos alpha/cos alpha0.
    """

    tail_strands: int
    body_strands: int
    inner_radius_mm: float
    outer_radius_mm: float
    mean_radius_mm: float
    angle_rad: float
    shortening: float


def rest_angle_rad(diameter_mm: float, pitch_mm: float) -> float:
    """Strand angle of the braid with nothing inside it: atan(2 pi r0/pitch), r0 = d/3.

    Args:
        diameter_mm: rope diameter d, positive.
        pitch_mm: length of one turn of a strand, positive.

    Returns:
        The angle to the rope's axis, between 0 and pi/2.

    Source: derived; d/3 is the mean radius of a solid round section of diameter d.
    """
    require_positive(diameter_mm=diameter_mm, pitch_mm=pitch_mm)
    return math.atan(2 * math.pi * _rest_radius_mm(diameter_mm) / pitch_mm)


def opened_braid(
    diameter_mm: float,
    pitch_mm: float,
    tail_strands: int,
    body_strands: int,
    *,
    jammed_sine: float,
) -> OpenedBraid:
    """Shape of the braid over one tail piece; see `opened_braids`."""
    return opened_braids(
        diameter_mm, pitch_mm, (tail_strands,), body_strands, jammed_sine=jammed_sine
    )[0]


def opened_braids(
    diameter_mm: float,
    pitch_mm: float,
    tails: Sequence[int],
    body_strands: int,
    *,
    jammed_sine: float,
) -> tuple[OpenedBraid, ...]:
    """Shape of a braid over tail pieces of some of its strands, each by itself.

    With inner radius ri = (d/2) sqrt(n/N), outer radius
    ro = sqrt(ri^2 + (d/2)^2 cos alpha0/cos alpha) and mean radius
    R = 2/3 (ro^3 - ri^3)/(ro^2 - ri^2), it solves sin alpha = (R/r0) sin alpha0 to a change
    below 1e-13. Newton's method in sin alpha needs at most five steps at any pitch of 5 d to
    14 d.

    Args:
        diameter_mm: rope diameter d, positive; tail and body are the same rope.
        pitch_mm: length of one turn of a strand in the unworked rope, positive.
        tails: n of each piece, from 0 (the braid at rest) to N.
        body_strands: N, at least 1.
        jammed_sine: the sine of alpha beyond which the braid has jammed; above 0, at most
            0.8, up to where the equation has one solution at most.

    Returns:
        The opened braid of each piece.

    Raises:
        InfeasibleError: `braid_jammed`; the value is a sine that the braid would at least
            need, the limit is `jammed_sine`.
        ValueError: an argument outside its range.
        RuntimeError: the iteration did not settle, which no accepted argument causes.

    Source: derived; constant strand length, constant volume.
    """
    for strands in tails:
        if not 0 <= strands <= body_strands or body_strands < 1:
            raise ValueError(f"a tail of {strands} in a body of {body_strands} strands")
    if not 0.0 < jammed_sine <= 0.8:
        raise ValueError(f"jammed_sine must be above 0 and at most 0.8, not {jammed_sine!r}")

    rest_rad = rest_angle_rad(diameter_mm, pitch_mm)
    return tuple(
        _opened(diameter_mm, rest_rad, strands, body_strands, jammed_sine) for strands in tails
    )


def _opened(
    diameter_mm: float, rest_rad: float, tail_strands: int, body_strands: int, jammed_sine: float
) -> OpenedBraid:
    rest_cosine = math.cos(rest_rad)
    sine = math.sin(rest_rad)
    sine_per_mm = sine / _rest_radius_mm(diameter_mm)
    inner_mm = diameter_mm / 2 * math.sqrt(tail_strands / body_strands)
    rest_section_mm2 = (diameter_mm / 2) ** 2 * rest_cosine

    for _ in range(_MOST_STEPS):
        # The right side of the equation is convex in sine, so Newton climbs from rest without
        # passing the solution: a step beyond the limit proves that the solution is beyond it.
        if sine > jammed_sine:
            raise InfeasibleError(
                "braid_jammed",
                "the braid jams before it can open over this tail",
                value=sine,
                limit=jammed_sine,
                unit="",
            )
        cosine = math.sqrt(1 - sine * sine)
        outer_mm = math.sqrt(inner_mm * inner_mm + rest_section_mm2 / cosine)
        sum_mm = outer_mm + inner_mm
        # (ro^3 - ri^3)/(ro^2 - ri^2) with the common factor taken out.
        mean_mm = 2 / 3 * (sum_mm - outer_mm * inner_mm / sum_mm)
        mean_per_outer = 2 / 3 * (1 - (inner_mm / sum_mm) ** 2)
        outer_per_sine_mm = rest_section_mm2 * sine / (2 * outer_mm * cosine**3)
        slope = sine_per_mm * mean_per_outer * outer_per_sine_mm
        change = (sine_per_mm * mean_mm - sine) / (1 - slope)
        if abs(change) < _TOLERANCE:
            return OpenedBraid(
                tail_strands=tail_strands,
                body_strands=body_strands,
                inner_radius_mm=inner_mm,
                outer_radius_mm=outer_mm,
                mean_radius_mm=mean_mm,
                angle_rad=math.asin(sine),
                shortening=1 - cosine / rest_cosine,
            )
        sine += change
    raise RuntimeError(f"the braid's angle did not settle in {_MOST_STEPS} steps")


def least_pitch_mm(diameter_mm: float, strands: int, *, jammed_sine: float) -> float:
    """Shortest pitch at which a braid still opens over a whole tail of its own rope.

    Args:
        diameter_mm: rope diameter d, positive.
        strands: of the body, and of the tail.
        jammed_sine: sine of the strand angle at which the braid is jammed, in (0, 0.8].

    Returns:
        The pitch to within a thousandth of the diameter, on the side that opens.

    Source: derived; bisection of `opened_braid`, whose angle falls as the pitch grows.
    """
    jammed_mm, open_mm = diameter_mm, _NEVER_JAMS_D * diameter_mm
    while open_mm - jammed_mm > diameter_mm / 1000:
        middle_mm = (jammed_mm + open_mm) / 2
        try:
            opened_braid(diameter_mm, middle_mm, strands, strands, jammed_sine=jammed_sine)
        except InfeasibleError:
            jammed_mm = middle_mm
        else:
            open_mm = middle_mm
    return open_mm


def occupied_mm(length_mm: float, shortening: float) -> float:
    """Unworked body that a tail piece takes up: L/(1 - sigma).

    Args:
        length_mm: length of the tail piece, L, zero or more.
        shortening: sigma, at least 0, below 1.

    Returns:
        The length along the body before it shortened.

    Raises:
        ValueError: an argument outside its range.

    Source: derived.
    """
    if not 0.0 <= length_mm < math.inf:
        raise ValueError(f"length_mm must be zero or more and finite, not {length_mm!r}")
    if not 0.0 <= shortening < 1.0:
        raise ValueError(f"shortening must be at least 0 and below 1, not {shortening!r}")
    return length_mm / (1 - shortening)


def lost_mm(length_mm: float, shortening: float) -> float:
    """Length by which the assembly shortens over a tail piece: L/(1 - sigma) - L.

    Args:
        length_mm: length of the tail piece, L, zero or more.
        shortening: sigma, at least 0, below 1.

    Returns:
        The loss in length.

    Raises:
        ValueError: an argument outside its range.

    Source: derived.
    """
    return occupied_mm(length_mm, shortening) - length_mm


def _rest_radius_mm(diameter_mm: float) -> float:
    return diameter_mm / 3
