"""What each splice becomes: one row a family."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

from tuckmark.render.drawing import buried, covered, tucked
from tuckmark.render.drawing.making import Made, Spot

ENDS: Final[Mapping[str, Callable[[Spot], Made]]] = MappingProxyType(
    {
        "locked_bury_eye": buried.locked_eye,
        "straight_bury_eye": buried.straight_eye,
        "interlocked_eye": buried.interlocked_eye,
        "tucked_eye_12": tucked.tucked_eye,
        "cover_core_eye": covered.cover_core_eye,
        "core_bury_eye": covered.core_bury_eye,
        "tucked_eye": tucked.tucked_eye,
        "plaited_eye": tucked.tucked_eye,
        "back_splice": tucked.back_splice,
    }
)
#: where the rope's parts are worked apart, another picture
COVERED_ENDS: Final[Mapping[str, Callable[[Spot], Made]]] = MappingProxyType(
    {"back_splice": covered.cover_back}
)
JOINS: Final[Mapping[str, Callable[[Spot, Spot], Made]]] = MappingProxyType(
    {
        "end_to_end_bury": buried.end_to_end,
        "endless_bury_loop": buried.loop,
        "cover_core_end_to_end": covered.cover_core_join,
        "tucked_short": tucked.tucked_join,
        "long_splice": tucked.long_splice,
        "plaited_end_to_end": tucked.tucked_join,
    }
)


def made_end(spot: Spot) -> Made:
    """A worked end."""
    splice = spot.end.splice
    covered_end = spot.end.at("core_out") is not None and splice in COVERED_ENDS
    return (COVERED_ENDS if covered_end else ENDS)[splice](spot)


def made_join(a: Spot, b: Spot) -> Made:
    """Two ends worked into each other."""
    return JOINS[a.end.splice](a, b)
