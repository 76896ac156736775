"""Timing in process: work and its measure in alternating rounds, the best of each round."""

import time
from collections.abc import Callable, Sequence
from typing import Final

ROUNDS: Final = 7
REPEATS: Final = 3

Work = Callable[[], object]


def best_s(work: Work, repeats: int = REPEATS) -> float:
    """Processor time of this thread for one call: the least of a few."""
    times = []
    for _ in range(repeats):
        start = time.thread_time()
        work()
        times.append(time.thread_time() - start)
    return min(times)


def alternating(works: Sequence[Work], rounds: int = ROUNDS) -> list[list[float]]:
    """Seconds of each work in each round, in turn, after one call of each to warm up."""
    for work in works:
        work()
    found: list[list[float]] = [[] for _ in works]
    for _ in range(rounds):
        for times, work in zip(found, works, strict=True):
            times.append(best_s(work))
    return found


def ratios(above: Sequence[float], below: Sequence[float]) -> list[float]:
    """Round by round."""
    return [one / other for one, other in zip(above, below, strict=True)]
