"""How far each mark may be off at the bench without breaking a rule or the finished length.

Each miss is judged alone, the other marks being right, as far as the rules go. What the
tolerance of the finished length leaves once its own uncertainty is taken off is shared evenly
among the cut and the marks that make the length, each reckoned as if all of its miss went into
the length: none moves the length by more. Where the spec gives no length tolerance, only the least
lengths of the trade are told: never shorter than a bury or a strand tail may be.
"""

from collections.abc import Sequence
from typing import Final

from msgspec.structs import replace

from tuckmark.lengths import Target
from tuckmark.plan import Length, Mark, Miss, Tolerance, lesser

#: marks by which the finished length is made
_MAKING_THE_LENGTH: Final = ("tail_throat", "body_throat")


def within_length(
    marks: Sequence[Mark], target: Target | None, finished: Length | None
) -> tuple[Mark, ...]:
    """The marks, those that make the length held to what its tolerance leaves.

    Args:
        marks: with the tolerances that the rules leave them.
        target: the finished length asked for.
        finished: as it will come out, with its range.
    """
    if target is None or finished is None or target.tolerance_mm is None:
        return tuple(_by_least_lengths_alone(mark) for mark in marks)
    left_mm = max(0.0, target.tolerance_mm - target.as_given(finished).most_off_mm)
    making = [mark for mark in marks if _makes_length(mark)]
    with_the_cut = len(making) + 1
    share_mm = target.legs * left_mm / with_the_cut
    return tuple(_held(mark, share_mm) if _makes_length(mark) else mark for mark in marks)


def _by_least_lengths_alone(mark: Mark) -> Mark:
    """Without a length to keep, what a rule lets an eye be smaller by is no leave to make it so."""
    if mark.tolerance is None:
        return mark
    limit = mark.tolerance.minus
    if limit is None or limit.limited_by == "eye_rule":
        return replace(mark, tolerance=None)
    return replace(mark, tolerance=Tolerance(minus=limit))


def _makes_length(mark: Mark) -> bool:
    return mark.part != "strand" and mark.id.partition(".")[2] in _MAKING_THE_LENGTH


def _held(mark: Mark, share_mm: float) -> Mark:
    known, share = mark.tolerance or Tolerance(), Miss(share_mm, "length_tolerance")
    minus = lesser(known.minus, share)
    if known.minus is None and mark.id.endswith(".tail_throat"):
        minus = Miss(0.0, "tail_rule")  # no length is worth a tail shorter than its splice needs
    held = Tolerance(minus, lesser(known.plus, share))
    return replace(mark, tolerance=held)
