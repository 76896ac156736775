"""Room at the sides for what stands beside the outermost marks."""

from collections.abc import Callable, Sequence
from typing import Final, Protocol, TypeVar

#: each try makes room for all that stood out in the last; two do nearly always
_TRIES: Final = 8
#: marks move inward as room is made, and what stands on them follows
_SLACK_MM: Final = 0.1

Made = TypeVar("Made")


class Wide(Protocol):
    """Something whose words reach so far."""

    @property
    def left_mm(self) -> float:
        """Left edge of its words."""

    @property
    def right_mm(self) -> float:
        """Right edge of its words."""


def fitted(
    make: Callable[[float, float], Made],
    wide_of: Callable[[Made], Sequence[Wide]],
    rooms: tuple[float, float],
    left_mm: float,
    right_mm: float,
) -> Made:
    """Something as wide as it can be while its words stay between two edges.

    Args:
        make: makes it with this much room at the left and at the right.
        wide_of: what of it has words.
        rooms: the least room at the left and at the right.
        left_mm: the left edge.
        right_mm: the right edge.

    Raises:
        ValueError: the words are wider than all there is.
    """
    left_room, right_room = rooms
    for _ in range(_TRIES):
        if left_room + right_room >= right_mm - left_mm:
            break
        made = make(left_room, right_room)
        wide = wide_of(made)
        out_left = max((left_mm - part.left_mm for part in wide), default=0.0)
        out_right = max((part.right_mm - right_mm for part in wide), default=0.0)
        if out_left <= 0 and out_right <= 0:
            return made
        left_room += out_left + _SLACK_MM if out_left > 0 else 0.0
        right_room += out_right + _SLACK_MM if out_right > 0 else 0.0
    raise ValueError("the labels need more width than the drawing has")
