"""Laid rope: its strands, and how far a tuck carries a strand along the rope.

Strands are circles that touch their neighbours and the rope's circumference; each follows a
helix of the lay length. A full tuck takes a strand over one strand of the body and under the
next, against the lay.
"""

import math

from tuckmark.mechanics.checks import require_positive

_LEAST_STRANDS = 3


def strand_diameter_mm(rope_diameter_mm: float, strands: int) -> float:
    """Diameter of one strand: d / (1 + 1/sin(pi/n)).

    Args:
        rope_diameter_mm: d, over the crowns of the strands, positive.
        strands: n, at least 3.

    Returns:
        The strand's diameter: 0.4641 d of three strands, 0.4142 d of four.

    Raises:
        ValueError: an argument out of range.

    Source: derived; circles in contact inside a circle.
    """
    require_positive(rope_diameter_mm=rope_diameter_mm)
    _require_strands(strands)
    return rope_diameter_mm / (1 + 1 / math.sin(math.pi / strands))


def strand_path_radius_mm(rope_diameter_mm: float, strands: int) -> float:
    """From the axis of the rope to the axis of a strand.

    Args:
        rope_diameter_mm: d, positive.
        strands: n, at least 3.

    Returns:
        The radius: 0.2679 d of three strands, 0.2929 d of four.

    Raises:
        ValueError: an argument out of range.

    Source: derived; circles in contact inside a circle.
    """
    return (rope_diameter_mm - strand_diameter_mm(rope_diameter_mm, strands)) / 2


def strand_length_mm(rope_diameter_mm: float, strands: int, lay_mm: float) -> float:
    """Strand in one lay of the rope: sqrt(P^2 + (2 pi R)^2).

    Args:
        rope_diameter_mm: d, positive.
        strands: n, at least 3.
        lay_mm: P, one turn of a strand along the rope, positive.

    Returns:
        Length of the strand's axis, more than the lay.

    Raises:
        ValueError: an argument out of range.

    Source: derived; one turn of a helix.
    """
    require_positive(lay_mm=lay_mm)
    radius_mm = strand_path_radius_mm(rope_diameter_mm, strands)
    return math.hypot(lay_mm, 2 * math.pi * radius_mm)


def tuck_advance_mm(strands: int, lay_mm: float, strand_turn_mm: float = math.inf) -> float:
    """How far a strand moves along the rope in one full tuck: (2/n) / (1/P + 1/Pw).

    Over one and under one takes it two n-ths of a turn against the body's strands, which come
    toward it by their own lay.

    Args:
        strands: n, at least 3.
        lay_mm: P, positive.
        strand_turn_mm: Pw, one turn of the tucked strand round the body: P where it turns as
            steeply as the body's own strands, infinite where it lies straight. Positive.

    Returns:
        The advance along the body.

    Raises:
        ValueError: an argument out of range.

    Source: derived; two helices of opposite hand.
    """
    require_positive(lay_mm=lay_mm)
    _require_strands(strands)
    if not strand_turn_mm > 0.0:
        raise ValueError(f"strand_turn_mm must be positive, not {strand_turn_mm!r}")
    return 2 / strands / (1 / lay_mm + 1 / strand_turn_mm)


def _require_strands(strands: int) -> None:
    if strands < _LEAST_STRANDS:
        raise ValueError(f"a laid rope has at least {_LEAST_STRANDS} strands, not {strands}")
