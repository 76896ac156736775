"""Bounded knapsacks in whole numbers: the most valuable pattern, and all that are worth enough.

Depth first with the fractional bound: exact, since nothing in here is a float.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tuckmark.cutting.clock import Clock
from tuckmark.cutting.task import Pattern

_LOOK_AT_CLOCK = 1024  # every so many steps
_FINE = 2**80  # more than the product of any two weights: keeps different ratios apart


class OutOfTime(Exception):  # noqa: N818 - no error: the search ends without a verdict
    """The time was up before the search was through."""


@dataclass(frozen=True, slots=True)
class Item:
    """A length as a knapsack sees it."""

    place: int  # in the pattern
    weight: int
    value: int
    limit: int


@dataclass(frozen=True, slots=True)
class Best:
    """The most valuable pattern that was found.

    Attributes:
        value: of the pattern.
        at_most: no pattern is worth more; above ``value`` where the search was broken off.
    """

    pattern: Pattern
    value: int
    at_most: int


def most_valuable(
    values: Sequence[int], weights: Sequence[int], limits: Sequence[int], room: int, beat: int,
    most_steps: int,
) -> Best:  # fmt: skip
    """The most valuable pattern that is worth more than ``beat``; else the empty one.

    Args:
        most_steps: after so many the search is broken off. Where many patterns are worth nearly
            the same it never ends, but then the bound it began with is close.
    """
    items = [item for item in _items(values, weights, limits, room) if item.value > 0]
    best = Best((0,) * len(values), 0, beat)
    search = _Search(items, room, beat + 1)
    at_most = search.bound()
    for value, counts in search.found(most_steps):
        best = Best(_pattern(items, counts, len(values)), value, value)
        search.least = value + 1
    return best if search.is_through else Best(best.pattern, best.value, max(beat, at_most))


def all_worth(
    values: Sequence[int], weights: Sequence[int], limits: Sequence[int], room: int, least: int,
    clock: Clock, *, full_only: bool,
) -> Iterator[Pattern]:  # fmt: skip
    """Every pattern, but the empty one, that is worth at least ``least``.

    Args:
        full_only: leave out those in which another piece would find room.

    Raises:
        OutOfTime: the clock is up.
    """
    items = _items(values, weights, limits, room)
    for _, counts in _Search(items, room, least).found(clock=clock):
        if not any(counts):
            continue
        rest = room - sum(n * item.weight for n, item in zip(counts, items, strict=True))
        if full_only and any(
            n < item.limit and item.weight <= rest for n, item in zip(counts, items, strict=True)
        ):
            continue
        yield _pattern(items, counts, len(values))


def _items(
    values: Sequence[int], weights: Sequence[int], limits: Sequence[int], room: int
) -> list[Item]:
    """What fits at all, the most valuable for its weight first."""
    found = [
        Item(place, weight, value, min(limit, room // weight))
        for place, (value, weight, limit) in enumerate(zip(values, weights, limits, strict=True))
        if limit and weight <= room
    ]
    return sorted(found, key=lambda item: (-(item.value * _FINE // item.weight), item.place))


def _pattern(items: Sequence[Item], counts: Sequence[int], places: int) -> Pattern:
    pattern = [0] * places
    for item, n in zip(items, counts, strict=True):
        pattern[item.place] = n
    return tuple(pattern)


class _Search:
    """Visits every choice of counts that is worth at least ``least``, which may rise meanwhile."""

    def __init__(self, items: Sequence[Item], room: int, least: int) -> None:
        self._items = items
        self._room = room
        self.least = least
        self.is_through = False

    def found(
        self, most_steps: int | None = None, clock: Clock | None = None
    ) -> Iterator[tuple[int, list[int]]]:
        """Value and counts of each choice.

        Raises:
            OutOfTime: the clock is up.
        """
        items, rest, value = self._items, self._room, 0
        counts = [0] * len(items)
        at = steps = 0
        while steps != most_steps:
            while at < len(items) and self.bound(at, rest, value) >= self.least:
                item = items[at]
                counts[at] = n = min(item.limit, rest // item.weight)
                rest -= n * item.weight
                value += n * item.value
                at += 1
            if at == len(items) and value >= self.least:
                yield value, counts
            at -= 1
            while at >= 0 and not counts[at]:
                at -= 1
            if at < 0:
                self.is_through = True
                return
            counts[at] -= 1
            rest += items[at].weight
            value -= items[at].value
            at += 1
            steps += 1
            if clock is not None and steps % _LOOK_AT_CLOCK == 0 and clock.is_up:
                raise OutOfTime

    def bound(self, at: int = 0, rest: int | None = None, value: int = 0) -> int:
        """No choice of the items from here on is worth more: the last one may be cut in two."""
        items = self._items
        rest = self._room if rest is None else rest
        while at < len(items):
            item = items[at]
            if item.value <= 0:
                break
            whole = item.limit * item.weight
            if whole > rest:
                return value + rest * item.value // item.weight
            value += item.limit * item.value
            rest -= whole
            at += 1
        return value
