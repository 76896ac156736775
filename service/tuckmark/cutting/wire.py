"""Tasks and cut lists as JSON, on their way to a process of its own and back."""

from typing import Any

from tuckmark.cutting.task import Goal, Layout, Proof, Reels, Solved, Task, Wanted


def task_json(task: Task) -> dict[str, Any]:
    """A task to send."""
    return {
        "wanted": [[item.pieces, item.quantity] for item in task.wanted],
        "reels": [[item.length, item.remnant, item.quantity] for item in task.reels],
        "allowance": task.allowance,
        "keep_from": task.keep_from,
    }


def task_of(item: Any) -> Task:
    """A task that was sent."""
    return Task(
        tuple(Wanted(tuple(pieces), quantity) for pieces, quantity in item["wanted"]),
        tuple(Reels(*reels) for reels in item["reels"]),
        item["allowance"],
        item["keep_from"],
    )


def solved_json(found: Solved) -> dict[str, Any]:
    """A cut list to send."""
    return {
        "cuts": list(found.layout.each()),
        "unmade": found.layout.unmade,
        "proofs": [[proof.goal.value, proof.value, proof.bound] for proof in found.proofs],
    }


def solved_of(item: Any) -> Solved:
    """A cut list that was sent."""
    cuts = {(reel, tuple(pattern)): times for reel, pattern, times in item["cuts"]}
    proofs = (Proof(Goal(goal), value, bound) for goal, value, bound in item["proofs"])
    return Solved(Layout(cuts, tuple(item["unmade"])), tuple(proofs))
