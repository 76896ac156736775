"""Joins and loops: their lengths put as an assembly without eyes, and its target."""

import math
from functools import partial

from msgspec.structs import replace

from tuckmark import spec
from tuckmark.families.base import JoinResult
from tuckmark.faults import Fault, Refused
from tuckmark.identify import Rope
from tuckmark.lengths.assembly import Assembly, Target, bedding_in_of, state_faults
from tuckmark.plan import Figures, Length, uncertain
from tuckmark.ranges import added, scaled
from tuckmark.reference import Reference

_JOINED = "ends_of_the_joined_rope"
_CENTRE_LINE = "centre_line_of_the_loop"


def assemble_join(
    result: JoinResult, join: spec.Join, asked: spec.Spec, rope: Rope, reference: Reference
) -> tuple[Assembly, Target | None]:
    """The assembly of a join or loop, and its target.

    A loop's finished length is its circumference along the centre line; the length of two
    joined ropes runs from end to end.

    Raises:
        Refused: ``length_given_twice``, ``circumference_needed``, ``measured_needed``,
            ``both_lengths_needed``, ``bedding_in_needed``.
    """
    faults = state_faults(asked, asked.length.state, reference) if asked.length else ()
    if faults and all(use.reckoned for use in result.uses):
        raise Refused(tuple(faults))
    assembly = Assembly(
        result.uses,
        Length(0.0),
        result.least_body_mm,
        bedding_in_of(asked.rope, reference),
        _CENTRE_LINE if result.closed else _JOINED,
    )
    if result.closed:
        return assembly, _loop_target(join, asked.length, rope)
    return assembly, _join_target(join, asked.length)


def centre_line_mm(inside_length_mm: float, diameter_mm: float) -> float:
    """A loop's circumference along the centre line, from its inside length laid flat.

    Two straight parts of the inside length and two crowns bent round nothing, each half a
    circle of the rope's radius: 2 e + pi d.

    Source: derived, as for a flat eye.
    """
    return 2 * inside_length_mm + math.pi * diameter_mm


def inside_length_mm(centre_line_mm: float, diameter_mm: float) -> float:
    """A loop's inside length laid flat, from its circumference along the centre line."""
    return (centre_line_mm - math.pi * diameter_mm) / 2


def _loop_target(join: spec.Join, length: spec.TargetLength | None, rope: Rope) -> Target | None:
    wanted = join.circumference
    if wanted is None:
        if length is None:
            return None
        if length.available_mm is None:
            raise Refused((_CIRCUMFERENCE_NEEDED,))
        return Target(_CENTRE_LINE, length.state, None, length.available_mm, length.tolerance_mm)
    if length:
        raise Refused((_twice("/length", "the loop's circumference"),))
    if join.measured is None:
        raise Refused((_MEASURED_NEEDED,))
    target = Target(
        _CENTRE_LINE,
        "as_spliced",
        wanted.mm,
        tolerance_mm=wanted.tolerance_mm,
        finished_at="/join/circumference",
        tolerance_at="/join/circumference",
    )
    if join.measured == "centre_line":
        return target
    return replace(
        target,
        finished_mm=centre_line_mm(wanted.mm, rope.diameter_mm),
        called="inside length of the loop laid flat",
        as_given=partial(laid_flat_inside, diameter=rope.diameter),
        legs=2,
    )


def _join_target(join: spec.Join, length: spec.TargetLength | None) -> Target | None:
    given = [rope.length_mm for rope in join.ropes if rope.length_mm is not None]
    if len(given) == 1:
        raise Refused((_BOTH_NEEDED,))
    if given:
        if length:
            raise Refused((_twice("/length", "the lengths of both ropes"),))
        return Target(_JOINED, "as_spliced", None, sum(given), available_at="/join/ropes")
    if length is None:
        return None
    return Target(
        _JOINED, length.state, length.finished_mm, length.available_mm, length.tolerance_mm
    )


def laid_flat_inside(circumference: Length, diameter: Length) -> Length:
    """A loop's inside length laid flat, with what the rope's own diameter leaves open."""
    inside_mm = inside_length_mm(circumference.mm, diameter.mm)
    thinner, thicker = (
        inside_length_mm(circumference.mm, edge_mm) - inside_mm for edge_mm in diameter.bounds_mm
    )
    effects = added(scaled(circumference.moved, 1 / 2), {"diameter": (thinner, thicker)})
    return uncertain(inside_mm, effects)


def loop_figures(circumference: Length, diameter: Length) -> Figures:
    """A loop's size on both lines that it may be measured on."""
    inside = laid_flat_inside(circumference, diameter)
    return {"circumference": circumference, "laid_flat_inside": inside}


def _twice(pointer: str, by: str) -> Fault:
    return Fault(
        pointer,
        "length_given_twice",
        f"The length follows from {by} already; a second one could contradict it.",
        hint="Leave out length.",
    )


_BOTH_NEEDED = Fault(
    "/join/ropes",
    "both_lengths_needed",
    "The length of one rope only says nothing of the joined length.",
    hint="Give the lengths of both ropes, or of neither.",
)
_MEASURED_NEEDED = Fault(
    "/join",
    "measured_needed",
    "A loop's circumference needs the line it is measured on: centre line and inside differ.",
    allowed=("centre_line", "laid_flat_inside"),
    hint="Add join.measured.",
)
_CIRCUMFERENCE_NEEDED = Fault(
    "/length/finished",
    "circumference_needed",
    "The size of a loop is its circumference, with the line it is measured on.",
    hint="Give join.circumference with join.measured, or length.available.",
)
