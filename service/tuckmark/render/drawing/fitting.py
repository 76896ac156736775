"""Room at the sides for what stands beside the outermost marks."""

from collections.abc import Callable, Sequence
from typing import Final, TypeVar

from tuckmark.render.drawing.flags import Flags

#: each try makes room for all that stood out in the last; two do nearly always
_TRIES: Final = 8

Made = TypeVar("Made")


def fitted(
    make: Callable[[float, float], Made],
    flags_of: Callable[[Made], Sequence[Flags]],
    rooms: tuple[float, float],
    left_mm: float,
    right_mm: float,
) -> Made:
    """Something as wide as it can be while its flags stay between two edges.

    Args:
        make: makes it with this much room at the left and at the right.
        flags_of: the flags that stand on it.
        rooms: the least room at the left and at the right.
        left_mm: the left edge.
        right_mm: the right edge.

    Raises:
        ValueError: the flags are wider than all there is.
    """
    left_room, right_room = rooms
    for _ in range(_TRIES):
        made = make(left_room, right_room)
        flags = flags_of(made)
        out_left = max((left_mm - group.left_mm for group in flags), default=0.0)
        out_right = max((group.right_mm - right_mm for group in flags), default=0.0)
        if out_left <= 0 and out_right <= 0:
            return made
        left_room += max(out_left, 0.0)
        right_room += max(out_right, 0.0)
    raise ValueError("the labels need more width than the drawing has")
