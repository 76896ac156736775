"""The parts that a proof rests on, each against something simpler."""

import io
import itertools
import json
import os
import random
import subprocess
import sys
from typing import Any

import pytest

from tuckmark.cutting import apart, improving, solving, wire
from tuckmark.cutting.clock import Clock
from tuckmark.cutting.columns import generate, within_reach
from tuckmark.cutting.improving import solve
from tuckmark.cutting.knapsack import OutOfTime, all_worth, most_valuable
from tuckmark.cutting.program import program
from tuckmark.cutting.task import Goal, Layout, Reels, Score, Task, Wanted, holds, score

PLENTY = 10**6


def random_knapsack(seed: int) -> dict[str, Any]:
    rng = random.Random(seed)  # noqa: S311 - the same draw each time
    weights = [rng.randint(1, 12) for _ in range(rng.randint(1, 5))]
    return {
        "values": [rng.randint(-5, 20) for _ in weights],
        "weights": weights,
        "limits": [rng.randint(0, 3) for _ in weights],
        "room": rng.randint(1, 25),
    }


def every_choice(knapsack: dict[str, Any]) -> list[tuple[int, ...]]:
    ranges = [range(limit + 1) for limit in knapsack["limits"]]
    return [
        counts
        for counts in itertools.product(*ranges)
        if sum(n * w for n, w in zip(counts, knapsack["weights"], strict=True)) <= knapsack["room"]
    ]


def worth(knapsack: dict[str, Any], counts: tuple[int, ...]) -> int:
    return sum(n * v for n, v in zip(counts, knapsack["values"], strict=True))


@pytest.mark.parametrize("seed", range(80))
def test_the_most_valuable_pattern(seed: int) -> None:
    knapsack = random_knapsack(seed)
    most = max(worth(knapsack, counts) for counts in every_choice(knapsack))
    found = most_valuable(**knapsack, beat=0, most_steps=PLENTY)
    assert found.value == found.at_most == most
    assert worth(knapsack, found.pattern) == most
    beaten = most_valuable(**knapsack, beat=most, most_steps=PLENTY)
    assert (beaten.value, beaten.at_most) == (0, most)
    for steps in (0, 1, 3):
        broken_off = most_valuable(**knapsack, beat=0, most_steps=steps)
        assert worth(knapsack, broken_off.pattern) == broken_off.value <= most
        assert broken_off.at_most >= most


@pytest.mark.parametrize("seed", range(80))
@pytest.mark.parametrize("full_only", [True, False])
def test_all_patterns_worth_enough(seed: int, full_only: bool) -> None:
    knapsack = random_knapsack(seed)
    every = every_choice(knapsack)

    def is_full(counts: tuple[int, ...]) -> bool:
        with_one_more = (
            tuple(n + (i == j) for j, n in enumerate(counts)) for i in range(len(counts))
        )
        return not any(more in every for more in with_one_more)

    for least in (-3, 0, 7):
        expected = {
            counts
            for counts in every
            if any(counts) and worth(knapsack, counts) >= least
            if is_full(counts) or not full_only
        }
        found = list(all_worth(**knapsack, least=least, clock=Clock(60), full_only=full_only))
        assert len(found) == len(set(found))
        assert set(found) == expected


def test_a_search_ends_when_the_time_is_up() -> None:
    weights = list(range(1000, 1040))
    everything = all_worth(
        values=weights, weights=weights, limits=[9] * 40, room=60_000, least=0, clock=Clock(0),
        full_only=False,
    )  # fmt: skip
    with pytest.raises(OutOfTime):
        for _ in everything:
            pass


TASK = Task(
    (Wanted((45,), 9), Wanted((36,), 7), Wanted((31, 14), 5)),
    (Reels(100, False, 12), Reels(70, True, 2)),
    2,
    15,
)


@pytest.mark.parametrize("goal", list(Goal))
def test_no_layout_costs_less_than_the_bound(goal: Goal) -> None:
    """However few steps the search for patterns had: its prices prove nothing false."""
    solved = solve(TASK, Clock(60))
    of_goal = program(TASK, goal, score(TASK, solved.layout))
    least = next(proof.value for proof in solved.proofs if proof.goal is goal)
    (start,) = (improving.greedy.start(TASK, Clock(60)),)
    for budget_s in (0.0, 0.01, 60.0):
        columns = improving._Search(of_goal, goal, start, Clock(60))._columns_of(start)
        found = generate(of_goal, columns, 10**9, Clock(budget_s))
        assert found.bound * of_goal.step <= least


def test_what_a_layout_of_a_cost_holds_is_within_reach_of_that_cost() -> None:
    solved = solve(TASK, Clock(60))
    cost = score(TASK, solved.layout)
    of_goal = program(TASK, Goal.NEW_ROPE, cost)
    columns = improving._Search(of_goal, Goal.NEW_ROPE, solved.layout, Clock(60))._columns_of(
        solved.layout
    )
    found = generate(of_goal, columns, 10**9, Clock(60))
    assert found.prices is not None
    steps = cost.new_rope // of_goal.step
    reached = within_reach(of_goal, found.prices, steps, 1, PLENTY, Clock(60))
    assert reached
    for kind, pattern in columns:  # itself, or filled up with pieces too many
        assert any(
            kind == index and all(n <= m for n, m in zip(pattern, fuller, strict=True))
            for index, fuller in reached
        )
    some = within_reach(of_goal, found.prices, steps, 0, PLENTY, Clock(60))
    assert set(some or ()) <= set(reached)
    assert within_reach(of_goal, found.prices, steps, 1, 1, Clock(60)) is None


@pytest.mark.parametrize(
    ("cuts", "unmade"),
    [
        pytest.param({(0, (1, 0, 0, 0)): 8}, (0, 7, 5), id="a piece lost"),
        pytest.param({(0, (2, 0, 0, 0)): 5}, (0, 7, 5), id="a piece too many"),
        pytest.param({(0, (3, 0, 0, 0)): 3}, (0, 7, 5), id="a reel overrun"),
        pytest.param({(1, (1, 0, 0, 0)): 9}, (0, 7, 5), id="reels that are not there"),
        pytest.param({(0, (1, 0, 0, 0)): 10}, (-1, 7, 5), id="more than was ordered"),
        pytest.param({(0, (1, 0, -1, 0)): 9}, (0, 7, 5), id="less than nothing"),
    ],
)
def test_what_cannot_be_cut_is_told(
    cuts: dict[tuple[int, tuple[int, ...]], int], unmade: tuple[int, ...]
) -> None:
    assert TASK.lengths == (45, 36, 31, 14)
    assert holds(TASK, Layout({(0, (1, 0, 0, 0)): 9}, (0, 7, 5)))
    assert not holds(TASK, Layout(cuts, unmade))


def test_less_unmade_comes_before_less_new_rope_before_less_waste() -> None:
    assert Score(0, 9, 9) < Score(1, 0, 0)
    assert Score(1, 2, 9) < Score(1, 3, 0)
    assert Score(1, 2, 3) < Score(1, 2, 4)


def test_the_way_to_another_process_and_back() -> None:
    solved = solve(TASK, Clock(60))
    assert wire.task_of(json.loads(json.dumps(wire.task_json(TASK)))) == TASK
    assert wire.solved_of(json.loads(json.dumps(wire.solved_json(solved)))) == solved


def test_apart_as_in_this_process() -> None:
    here = solving.solved([TASK, TASK], 60)
    there = apart.solved_apart([TASK, TASK], 60)
    assert [item.proofs for item in there] == [item.proofs for item in here]
    assert apart.solved_apart([], 60) == []


def test_the_program_of_its_own(monkeypatch: pytest.MonkeyPatch, tmp_path: Any) -> None:
    """Where the unit does not let it step back, it works all the same."""
    asked = json.dumps({"tasks": [wire.task_json(TASK)], "budget_s": 60}).encode()
    answer = (tmp_path / "answer").open("w+b")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(asked)))
    monkeypatch.setattr(sys, "stdout", answer)
    lowered: list[int] = []

    def refuse(by: int) -> None:
        lowered.append(by)
        raise PermissionError

    monkeypatch.setattr(os, "nice", refuse)
    solving.main()
    (found,) = json.loads((tmp_path / "answer").read_bytes())
    assert holds(TASK, wire.solved_of(found).layout)
    assert lowered == [10]
    answer.close()


def test_what_another_process_found_is_not_trusted(monkeypatch: pytest.MonkeyPatch) -> None:
    nothing = {"cuts": [], "unmade": [0, 0, 0], "proofs": []}

    def run(*_args: Any, **_options: Any) -> Any:
        return subprocess.CompletedProcess((), 0, json.dumps([nothing]).encode())

    monkeypatch.setattr(subprocess, "run", run)
    with pytest.raises(ValueError, match="cannot be cut"):
        apart.solved_apart([TASK], 1)
