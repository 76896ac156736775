"""Published instances with known optima: found, proven, and checked by a route of their own.

What an instance file says of its optimum is not taken on trust. The reels needed are at least the
rope in all pieces over the reel, rounded up; where that equals the published optimum, a cut list
of as many reels proves it without our solver. For Chvatal's example, whose relaxation is well
above that, the prices of its dual are checked against every pattern.
"""

import itertools
import math
import random
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

from tuckmark.cutting.clock import Clock
from tuckmark.cutting.improving import solve
from tuckmark.cutting.task import Goal, Reels, Solved, Task, Wanted, holds

FILES = sorted((Path(__file__).parent / "instances").glob("*.yaml"))
INSTANCES = [
    pytest.param(yaml.safe_load(file.read_text(encoding="utf-8")), id=file.stem) for file in FILES
]
EVERY = pytest.mark.parametrize("instance", INSTANCES)
BUDGET_S = 120  # they take seconds; a busy machine may take its time
#: Chvatal, Linear Programming (1983), chapter 13: worth of widths 45, 36, 31, 14 in reels
CHVATAL_PRICES = {45: Fraction(1, 2), 36: Fraction(1, 2), 31: Fraction(1, 4), 14: Fraction(0)}


def task_of(instance: dict[str, Any], scale: int = 10, seed: int | None = None) -> Task:
    """The instance in tenths of a millimetre, its orders in an order of their own."""
    wanted = [Wanted((width * scale,), n) for width, n in instance["demand"].items()]
    if seed is not None:
        random.Random(seed).shuffle(wanted)  # noqa: S311 - the same draw each time
    pieces = sum(instance["demand"].values())
    return Task(tuple(wanted), (Reels(instance["reel"] * scale, False, pieces),), 0, None)


def reels_of(solved: Solved) -> int:
    return sum(times for _, _, times in solved.layout.each())


def proven(solved: Solved) -> bool:
    return all(proof.value == proof.bound for proof in solved.proofs)


def least_by_volume(instance: dict[str, Any]) -> int:
    volume = sum(width * n for width, n in instance["demand"].items())
    return math.ceil(Fraction(volume, instance["reel"]))


def test_there_are_chvatals_and_five_more() -> None:
    assert len(FILES) >= 6
    assert all(instance.values[0]["source"] for instance in INSTANCES)


@EVERY
def test_the_published_optimum_is_found_and_proven(instance: dict[str, Any]) -> None:
    task = task_of(instance)
    solved = solve(task, Clock(BUDGET_S))
    assert holds(task, solved.layout)
    assert reels_of(solved) == instance["optimum"]
    assert proven(solved)
    if "relaxation" not in instance:
        assert least_by_volume(instance) == instance["optimum"]


@EVERY
@pytest.mark.parametrize(("scale", "seed"), [(127, 1), (1000, 2)], ids=["half inches", "100 mm"])
def test_neither_order_nor_unit_matters(instance: dict[str, Any], scale: int, seed: int) -> None:
    task = task_of(instance, scale, seed)
    solved = solve(task, Clock(BUDGET_S))
    assert holds(task, solved.layout)
    assert reels_of(solved) == instance["optimum"]
    assert proven(solved)


def test_chvatals_prices_prove_453() -> None:
    (instance,) = (item.values[0] for item in INSTANCES if item.id == "chvatal")
    ranges = [range(instance["reel"] // width + 1) for width in CHVATAL_PRICES]
    patterns = [
        counts
        for counts in itertools.product(*ranges)
        if sum(n * w for n, w in zip(counts, CHVATAL_PRICES, strict=True)) <= instance["reel"]
    ]
    assert len(patterns) > 30
    for counts in patterns:
        worth = sum(n * p for n, p in zip(counts, CHVATAL_PRICES.values(), strict=True))
        assert worth <= 1
    relaxation = sum(CHVATAL_PRICES[width] * n for width, n in instance["demand"].items())
    assert relaxation == Fraction(instance["relaxation"])
    assert math.ceil(relaxation) == instance["optimum"]


@EVERY
@pytest.mark.parametrize("budget_s", [0.0, 0.1])
def test_in_no_time_nothing_false_is_claimed(instance: dict[str, Any], budget_s: float) -> None:
    task = task_of(instance)
    solved = solve(task, Clock(budget_s))
    assert holds(task, solved.layout)
    reel = task.reels[0].length
    (new_rope,) = (proof for proof in solved.proofs if proof.goal is Goal.NEW_ROPE)
    assert new_rope.value == reels_of(solved) * reel
    assert new_rope.bound <= instance["optimum"] * reel <= new_rope.value
    for proof in solved.proofs:
        assert proof.bound <= proof.value
    if proven(solved):
        assert reels_of(solved) == instance["optimum"]
