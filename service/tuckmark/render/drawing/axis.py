"""From a place along the rope to a place across the picture.

A long stretch without marks may be cut out of an axis: what lies inside it is then drawn
shorter than its surroundings, and a break says so.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

#: a stretch inside a splice that takes more of an axis than this is cut out
_LONG_SHARE: Final = 0.6
#: so is one that leads to a mark in the plain body
_LONG_OUTER_SHARE: Final = 0.25
#: what is then left of it, as a share of all that is not cut out
_KEPT_SHARE: Final = 0.3
#: with fewer places there is room enough
_CROWDED_FROM: Final = 4


#: a stretch of rope, from and to in mm
Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Axis:
    """Straight stretches of rope, one after the other.

    Attributes:
        stops: (place along the rope in mm, place across the picture in mm), along the rope.
        cuts: stretches of rope that are drawn shorter, each as (from, to) in mm.
    """

    stops: tuple[tuple[float, float], ...]
    cuts: tuple[tuple[float, float], ...] = ()

    def x(self, at_mm: float) -> float:
        """Where a place lies; beyond the stops, the outermost stretches go on."""
        i = min(max(bisect_right(self.stops, (at_mm, float("inf"))), 1), len(self.stops) - 1)
        (from_mm, from_x), (to_mm, to_x) = self.stops[i - 1], self.stops[i]
        return from_x + (at_mm - from_mm) * (to_x - from_x) / (to_mm - from_mm)

    @property
    def breaks(self) -> tuple[float, ...]:
        """Where the picture shows that something is cut out."""
        return tuple((self.x(from_mm) + self.x(to_mm)) / 2 for from_mm, to_mm in self.cuts)

    def left_out_mm(self, cut: Span) -> float:
        """How much of a stretch that is cut out cannot be seen."""
        shown = abs(self.x(cut[1]) - self.x(cut[0])) / self.scale
        return cut[1] - cut[0] - shown

    @property
    def scale(self) -> float:
        """Picture per rope, where nothing is cut out."""
        return max(
            abs((to_x - from_x) / (to_mm - from_mm))
            for (from_mm, from_x), (to_mm, to_x) in pairwise(self.stops)
        )


@dataclass(frozen=True, slots=True)
class Along:
    """An end's own distances on an axis that it may share.

    Attributes:
        axis: what it lies on.
        zero_mm: where the bitter end lies on that axis.
        sign: 1 where distances grow along the axis, -1 where against it.
    """

    axis: Axis
    zero_mm: float = 0.0
    sign: int = 1

    def x(self, at_mm: float) -> float:
        """Where a distance from this end's bitter end lies."""
        return self.axis.x(self.zero_mm + self.sign * at_mm)

    def breaks(self, far_x: float) -> tuple[tuple[float, Span], ...]:
        """Where this end is cut out before ``far_x``, and what is: another end's are left away."""
        low, high = sorted((self.x(0.0), far_x))
        found = zip(self.axis.breaks, self.axis.cuts, strict=True)
        return tuple((x, cut) for x, cut in found if low < x < high)

    @property
    def rightward(self) -> bool:
        """Whether the rope runs to the right from its bitter end."""
        return self.x(1.0) > self.x(0.0)


def axis_between(
    places_mm: Sequence[float], start_x: float, end_x: float, *, bodies: tuple[bool, bool]
) -> Axis:
    """An axis from the first of the places to the last, with long stretches cut out.

    Args:
        places_mm: every place that counts, in order.
        start_x: where the first lies.
        end_x: where the last lies.
        bodies: whether the first and the last stretch are body; else they begin at a bitter end
            and stay whole.
    """
    gaps = list(pairwise(places_mm))
    whole_mm = places_mm[-1] - places_mm[0]
    limits = [_LONG_SHARE] * len(gaps)
    limits[0] = _LONG_OUTER_SHARE if bodies[0] else 1.0
    limits[-1] = _LONG_OUTER_SHARE if bodies[1] else 1.0
    crowded = len(places_mm) >= _CROWDED_FROM
    cuts = tuple(
        (from_mm, to_mm)
        for (from_mm, to_mm), limit in zip(gaps, limits, strict=True)
        if crowded and to_mm - from_mm > limit * whole_mm
    )
    shown_mm = whole_mm - sum(to_mm - from_mm for from_mm, to_mm in cuts)
    lengths = [_KEPT_SHARE * shown_mm if gap in cuts else gap[1] - gap[0] for gap in gaps]
    return Axis(_spread(places_mm, lengths, start_x, end_x), cuts)


def axis_of_parts(
    first: tuple[float, float],
    last: tuple[float, float],
    start_x: float,
    end_x: float,
    gap_x: float,
) -> Axis:
    """An axis of two stretches, with what lies between them cut out.

    Args:
        first: the first stretch, (from, to) in mm along the rope.
        last: the last stretch.
        start_x: where the first begins.
        end_x: where the last ends.
        gap_x: what the cut takes of the picture.
    """
    shown_mm = first[1] - first[0] + last[1] - last[0]
    scale = (abs(end_x - start_x) - gap_x) / shown_mm
    places = (first[0], first[1], last[0], last[1])
    lengths = (first[1] - first[0], gap_x / scale, last[1] - last[0])
    return Axis(_spread(places, lengths, start_x, end_x), ((first[1], last[0]),))


def _spread(
    places_mm: Sequence[float], lengths: Sequence[float], start_x: float, end_x: float
) -> tuple[tuple[float, float], ...]:
    """Each place once, with stretches between them in proportion to ``lengths``."""
    scale = (end_x - start_x) / sum(lengths)
    stops, x = [(places_mm[0], start_x)], start_x
    for place_mm, length in zip(places_mm[1:], lengths, strict=True):
        x += length * scale
        stops.append((place_mm, x))
    return tuple(stops)
