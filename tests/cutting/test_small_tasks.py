"""Small tasks of every sort against trying all: what is claimed to be best is."""

import random

import exhaustive
import pytest

from tuckmark.cutting.clock import Clock
from tuckmark.cutting.improving import solve
from tuckmark.cutting.task import Reels, Score, Task, Wanted, holds, score

CASES = 150


def random_task(seed: int) -> Task:
    """A few pieces and reels: joins, remnants, cuts and keepable offcuts among them."""
    rng = random.Random(seed)  # noqa: S311 - the same draw each time
    unit = rng.choice([1, 7, 10])
    wanted: list[Wanted] = []
    pieces, most = 0, rng.randint(3, 6)
    while pieces < most:
        of = 2 if rng.random() < 0.3 and pieces + 2 <= most else 1
        quantity = rng.randint(1, 2) if pieces + 2 * of <= most else 1
        wanted.append(Wanted(tuple(rng.randint(3, 40) * unit for _ in range(of)), quantity))
        pieces += of * quantity
    reels = tuple(
        Reels(rng.randint(20, 70) * unit, rng.random() < 0.5, rng.randint(1, 2))
        for _ in range(rng.randint(1, 2))
    )
    keep_from = rng.choice([None, 5 * unit, 12 * unit, 30 * unit])
    return Task(tuple(wanted), reels, rng.choice([0, 0, 1, 3]) * unit, keep_from)


@pytest.mark.parametrize("seed", range(CASES))
def test_it_is_as_good_as_trying_all(seed: int) -> None:
    task = random_task(seed)
    solved = solve(task, Clock(60))
    found = score(task, solved.layout)
    assert holds(task, solved.layout)
    assert found == exhaustive.best(task)
    assert [proof.value for proof in solved.proofs] == [found.unmade, found.new_rope, found.waste]
    assert all(proof.bound == proof.value for proof in solved.proofs)


def test_the_tasks_are_of_every_sort() -> None:
    tasks = [random_task(seed) for seed in range(CASES)]
    scores = [exhaustive.best(task) for task in tasks]
    assert sum(found.unmade > 0 for found in scores) > CASES / 10
    assert sum(found.unmade == 0 for found in scores) > CASES / 10
    assert any(len(item.pieces) == 2 for task in tasks for item in task.wanted)
    assert any(reels.remnant for task in tasks for reels in task.reels)
    assert any(task.keep_from and task.allowance for task in tasks)


def one(pieces: tuple[int, ...], quantity: int = 1) -> Wanted:
    return Wanted(pieces, quantity)


@pytest.mark.parametrize(
    ("task", "expected"),
    [
        pytest.param(
            Task((one((60,)), one((40,))), (Reels(100, False, 2), Reels(70, True, 1)), 0, None),
            # 60 from the remnant would still open a new reel for 40, and waste 10 + 60
            Score(0, 100, 0),
            id="a new reel that is used up rather than a remnant in part",
        ),
        pytest.param(
            Task((one((60,)),), (Reels(100, False, 2), Reels(70, True, 1)), 0, None),
            Score(0, 0, 10),
            id="a remnant rather than a new reel",
        ),
        pytest.param(
            Task((one((50, 30)), one((40,), 2)), (Reels(80, False, 1),), 0, None),
            # both make 80 m; half of the join beside a 40 would make 90 and be of no use
            Score(80, 80, 0),
            id="a join whole or not at all",
        ),
        pytest.param(
            Task((one((50,), 2),), (Reels(100, False, 1), Reels(51, True, 2)), 1, None),
            Score(0, 0, 2),
            id="each piece carries its own cut",
        ),
        pytest.param(
            Task((one((30,)),), (Reels(40, True, 1), Reels(90, True, 1)), 0, 20),
            # 40 - 30 is too short to be kept; 90 - 30 is not
            Score(0, 0, 0),
            id="an offcut worth keeping is no waste",
        ),
    ],
)
def test_what_is_better(task: Task, expected: Score) -> None:
    solved = solve(task, Clock(60))
    assert score(task, solved.layout) == expected == exhaustive.best(task)
