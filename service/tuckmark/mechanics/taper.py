"""The stepped taper of a buried tail: where pairs of strands are cut, and what is left.

A pair is one left-laid and one right-laid strand. Everything here is counted from the bitter
end; a pattern says how far each cut lies beyond the one before it.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate

from msgspec import Struct

from tuckmark.mechanics.checks import require_positive
from tuckmark.mechanics.errors import InfeasibleError

_PAIR = 2


class TaperStep(Struct, frozen=True):
    """One cut of the taper.

    Attributes:
        picks: picks from the bitter end; None for a taper laid out by length.
        at_mm: distance from the bitter end.
        strands_cut: strands cut here.
        strands_left: strands that go on from here toward the tip.
    """

    picks: int | None
    at_mm: float
    strands_cut: int
    strands_left: int


class TailPiece(Struct, frozen=True):
    """A stretch of buried tail with the same strands throughout.

    Attributes:
        length_mm: its length along the tail.
        strands: strands in it.
    """

    length_mm: float
    strands: int


def taper_by_picks(pattern: Sequence[int], pick_mm: float, strands: int) -> tuple[TaperStep, ...]:
    """Taper laid out by counting picks.

    Args:
        pattern: picks from the bitter end to the first cut, then from cut to cut, each at
            least 1; empty for no taper.
        pick_mm: length of one pick of the unworked rope, positive.
        strands: strands in the whole tail.

    Returns:
        The cuts, nearest the tip first.

    Raises:
        InfeasibleError: `taper_leaves_no_strand`; strands cut, and the most that may be.
        ValueError: an argument outside its range.

    Source: common practice, no source, for the pattern 3, 2, 3, 2, 3; the count is arithmetic.
    """
    require_positive(pick_mm=pick_mm)
    return tuple(
        TaperStep(picks, picks * pick_mm, _PAIR, left)
        for picks, left in _cuts(tuple(pattern), strands)
    )


def taper_by_length(
    pattern: Sequence[int], taper_length_mm: float, strands: int
) -> tuple[TaperStep, ...]:
    """Taper of a given length, its cuts spaced in the pattern's proportions.

    Args:
        pattern: proportions from the bitter end to the first cut, then from cut to cut, each
            at least 1; empty for no taper.
        taper_length_mm: bitter end to the last cut, positive.
        strands: strands in the whole tail.

    Returns:
        The cuts, nearest the tip first.

    Raises:
        InfeasibleError: `taper_leaves_no_strand`; strands cut, and the most that may be.
        ValueError: an argument outside its range.

    Source: derived from the pattern by picks.
    """
    require_positive(taper_length_mm=taper_length_mm)
    total = sum(pattern)
    return tuple(
        TaperStep(
            picks=None,
            at_mm=part / total * taper_length_mm,
            strands_cut=_PAIR,
            strands_left=left,
        )
        for part, left in _cuts(tuple(pattern), strands)
    )


def tail_pieces(
    buried_mm: float, steps: Sequence[TaperStep], strands: int
) -> tuple[TailPiece, ...]:
    """Pieces of the buried tail from the throat to the tip, the full piece first.

    Args:
        buried_mm: tail inside the body, positive.
        steps: the cuts, nearest the tip first, as the functions above return them.
        strands: strands in the whole tail.

    Returns:
        One piece more than there are cuts; the lengths add up to `buried_mm`. The full piece
        has no length where the taper is just as long as the buried tail.

    Raises:
        InfeasibleError: `taper_longer_than_buried_tail`, taper and buried tail in mm.
        ValueError: an argument outside its range, or cuts made for another number of strands.

    Source: derived.
    """
    require_positive(buried_mm=buried_mm)
    if steps and steps[-1].strands_left + steps[-1].strands_cut != strands:
        raise ValueError(f"the taper was not laid out for a tail of {strands} strands")
    taper_mm = steps[-1].at_mm if steps else 0.0
    if taper_mm > buried_mm:
        raise InfeasibleError(
            "taper_longer_than_buried_tail",
            "the taper is longer than the tail it is cut in",
            value=taper_mm,
            limit=buried_mm,
            unit="mm",
        )
    pieces: list[TailPiece] = []
    outer_mm, count = buried_mm, strands
    for step in reversed(steps):
        pieces.append(TailPiece(outer_mm - step.at_mm, count))
        outer_mm, count = step.at_mm, step.strands_left
    return (*pieces, TailPiece(outer_mm, count))


@lru_cache(maxsize=64)
def _cuts(pattern: tuple[int, ...], strands: int) -> list[tuple[int, int]]:
    """Cumulative count at each cut, and the strands that go on from it toward the tip."""
    if any(step < 1 for step in pattern):
        raise ValueError(f"every step of a taper pattern is at least 1, not {list(pattern)}")
    strands_cut = _PAIR * len(pattern)
    if strands_cut >= strands:
        raise InfeasibleError(
            "taper_leaves_no_strand",
            "the taper would cut every strand before the tip",
            value=strands_cut,
            limit=_PAIR * ((strands - 1) // _PAIR),
            unit="",
        )
    left_at_tip = strands - strands_cut
    return [(count, left_at_tip + _PAIR * index) for index, count in enumerate(accumulate(pattern))]
