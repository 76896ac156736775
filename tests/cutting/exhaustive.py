"""The best cut list by trying all: every assembly left out, or its pieces on any reels."""

import itertools

from tuckmark.cutting.task import Score, Task


def best(task: Task) -> Score:
    """Nothing of the solver is used; only for a handful of pieces and reels."""
    assemblies = [item.pieces for item in task.wanted for _ in range(item.quantity)]
    reels = [reels for reels in task.reels for _ in range(reels.quantity)]
    rest = [reel.length for reel in reels]
    pieces = [0] * len(reels)
    found: list[Score] = []

    def come_to(unmade: int) -> Score:
        new_rope = waste = 0
        for reel, left, n in zip(reels, rest, pieces, strict=True):
            if n:
                keeps = task.keep_from is not None and left >= task.keep_from
                new_rope += 0 if reel.remnant else reel.length
                waste += n * task.allowance + (0 if keeps else left)
        return Score(unmade, new_rope, waste)

    def place(index: int, unmade: int) -> None:
        if index == len(assemblies):
            found.append(come_to(unmade))
            return
        place(index + 1, unmade + sum(assemblies[index]))
        for where in itertools.product(range(len(reels)), repeat=len(assemblies[index])):
            for reel, length in zip(where, assemblies[index], strict=True):
                rest[reel] -= length + task.allowance
                pieces[reel] += 1
            if min(rest) >= 0:
                place(index + 1, unmade)
            for reel, length in zip(where, assemblies[index], strict=True):
                rest[reel] += length + task.allowance
                pieces[reel] -= 1

    place(0, 0)
    return min(found)
