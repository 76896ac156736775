"""A cut list at once, before any proof: reel by reel, as full as may be.

Filling one reel after another with the longest pieces that still fit is first-fit decreasing.
The other way begins each reel with the longest piece and then fills it as nearly as a short
search can, which suits pieces that are large against the reel.
"""

from collections.abc import Callable, Iterator, Sequence

from tuckmark.cutting.clock import Clock
from tuckmark.cutting.knapsack import most_valuable
from tuckmark.cutting.task import Layout, Pattern, Task, score

_DIRECTIONS = ((1, 1), (1, -1), (-1, 1), (-1, -1))
_STEPS = 500  # of the short search

#: weights, room, pieces that are left -> what is cut from the reel
Filler = Callable[[Sequence[int], int, Sequence[int]], Pattern]


def start(task: Task, clock: Clock) -> Layout:
    """The best of a few ways; the first of them whatever the time."""
    found: list[Layout] = []
    for order in _orders(task):
        for fill in (_longest_first, _fullest):
            if not found or not clock.is_up:
                found.append(_made_whole(task, order, fill))
    return min(found, key=lambda layout: score(task, layout))


def _orders(task: Task) -> Iterator[list[int]]:
    """Remnants before new reels, each the shortest or the longest first."""
    for remnants, new in _DIRECTIONS:
        yield sorted(
            range(len(task.reels)),
            key=lambda r: (
                not task.reels[r].remnant,
                task.reels[r].length * (remnants if task.reels[r].remnant else new),
            ),
        )


def _made_whole(task: Task, order: list[int], fill: Filler) -> Layout:
    """Assemblies are left out until all pieces of the others fit: half a join is of no use."""
    unmade = [0] * len(task.wanted)
    while True:
        cuts, left = _cut(task, order, task.demand(tuple(unmade)), fill)
        if not any(left):
            return Layout(cuts, tuple(unmade))
        _leave_out(task, unmade, left)


def _leave_out(task: Task, unmade: list[int], left: Pattern) -> None:
    """Leave out as much rope as did not fit, and at least one assembly that lacks a piece.

    No more at once: with a join its other piece makes room again.
    """
    missing = sum(n * weight for n, weight in zip(left, task.weights, strict=True))
    for index in sorted(range(len(task.wanted)), key=lambda o: task.wanted[o].size):
        item, part = task.wanted[index], task.parts[index]
        lacking = max(-(-n // each) for n, each in zip(left, part, strict=True) if each)
        out = min(lacking, item.quantity - unmade[index], -(-missing // task.taken(part)))
        unmade[index] += out
        missing -= out * task.taken(part)
        if missing <= 0:
            return


def _cut(
    task: Task, order: list[int], demand: Pattern, fill: Filler
) -> tuple[dict[tuple[int, Pattern], int], Pattern]:
    """Cut what fits; the second part is the pieces that did not."""
    left = list(demand)
    cuts: dict[tuple[int, Pattern], int] = {}
    for reel in order:
        free = task.reels[reel].quantity
        while free:
            pattern = fill(task.weights, task.reels[reel].length, left)
            if not any(pattern):
                break
            times = min([free, *(have // n for have, n in zip(left, pattern, strict=True) if n)])
            cuts[reel, pattern] = cuts.get((reel, pattern), 0) + times
            left = [have - times * n for have, n in zip(left, pattern, strict=True)]
            free -= times
    return cuts, tuple(left)


def _longest_first(weights: Sequence[int], room: int, left: Sequence[int]) -> Pattern:
    pattern = []
    for weight, have in zip(weights, left, strict=True):
        n = min(have, room // weight)
        pattern.append(n)
        room -= n * weight
    return tuple(pattern)


def _fullest(weights: Sequence[int], room: int, left: Sequence[int]) -> Pattern:
    pairs = enumerate(zip(weights, left, strict=True))
    first = next((i for i, (weight, have) in pairs if have and weight <= room), None)
    if first is None:
        return (0,) * len(weights)
    rest = [have - (i == first) for i, have in enumerate(left)]
    best = most_valuable(weights, weights, rest, room - weights[first], 0, _STEPS)
    return tuple(n + (i == first) for i, n in enumerate(best.pattern))
