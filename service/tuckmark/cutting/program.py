"""One goal at a time as an integer program over cutting patterns, in whole numbers.

The program of a goal, for patterns p of a kind k with a(p, i) pieces of length i:

    least   sum x(p) cost(p) + sum u(o) gap(o) + sum s(i) spare(i)
    so that sum x(p) a(p, i) + sum u(o) part(o, i) - s(i) = demand(i)   for each length
            sum x(p), over the patterns cut from the reels r, <= how many there are
            what the goals before this one came to is not made worse

x is how many reels are cut so, u how many assemblies are left out, s how many pieces are cut too
many (and given back to the offcut in the end, at what that costs). Each goal's figures are
divided by their greatest common divisor, so that one step of the goal is 1.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from tuckmark.cutting.task import Goal, Pattern, Score, Task


@dataclass(frozen=True, slots=True)
class Kind:
    """Patterns that cost alike: fixed, and so much for each piece.

    Attributes:
        reel: index of the reels they are cut from.
        room: what the pieces may take.
        new: steps of new rope that one of them opens.
        full_only: whether those in which another piece would find room are enough.
    """

    reel: int
    room: int
    fixed: int
    each: tuple[int, ...]
    new: int
    full_only: bool


@dataclass(frozen=True, slots=True)
class LeftOut:
    """The assemblies of one order that are left out: at most so many, at this cost each."""

    order: int
    most: int
    cost: int
    size: int
    part: Pattern


@dataclass(frozen=True, slots=True)
class Program:
    """One goal's program. Costs in steps of ``step``; ``size`` and ``new`` in steps of their own.

    Attributes:
        most_unmade: bound on the rope left out; None where nothing is, or where that is the goal.
        most_new: bound on the new rope; None before that goal is reached.
    """

    task: Task
    kinds: tuple[Kind, ...]
    demand: Pattern
    left_out: tuple[LeftOut, ...]
    spare: tuple[int, ...]
    most_unmade: int | None
    most_new: int | None
    step: int


def program(task: Task, goal: Goal, so_far: Score) -> Program:
    """The program of a goal, given what the goals before it came to."""
    step = _step(task, goal)
    new_step = math.gcd(*(reels.length for reels in task.reels if not reels.remnant)) or 1
    size_step = math.gcd(*(item.size for item in task.wanted)) or 1
    is_first = goal is Goal.UNMADE
    left_out = tuple(
        LeftOut(order, item.quantity, item.size // step if is_first else 0, item.size // size_step,
                part)
        for order, (item, part) in enumerate(zip(task.wanted, task.parts, strict=True))
        if is_first or so_far.unmade
    )  # fmt: skip
    return Program(
        task=task,
        kinds=tuple(_kinds(task, goal, step, new_step)),
        demand=task.demand((0,) * len(task.wanted)),
        left_out=left_out,
        spare=tuple(n // step if goal is Goal.WASTE else 0 for n in task.lengths),
        most_unmade=None if is_first or not so_far.unmade else so_far.unmade // size_step,
        most_new=so_far.new_rope // new_step if goal is Goal.WASTE else None,
        step=step,
    )


def _step(task: Task, goal: Goal) -> int:
    match goal:
        case Goal.UNMADE:
            parts: Sequence[int] = [item.size for item in task.wanted]
        case Goal.NEW_ROPE:
            parts = [reels.length for reels in task.reels if not reels.remnant]
        case Goal.WASTE:
            parts = [*(reels.length for reels in task.reels), *task.lengths, task.allowance]
    return math.gcd(*parts) or 1


def _kinds(task: Task, goal: Goal, step: int, new_step: int) -> list[Kind]:
    nothing = (0,) * len(task.lengths)
    found = []
    for index, reels in enumerate(task.reels):
        new = 0 if reels.remnant else reels.length // new_step
        if goal is not Goal.WASTE:
            fixed = new * new_step // step if goal is Goal.NEW_ROPE else 0
            found.append(Kind(index, reels.length, fixed, nothing, new, full_only=True))
            continue
        each = tuple(-length // step for length in task.lengths)
        found.append(Kind(index, reels.length, reels.length // step, each, new, full_only=True))
        if task.keep_from is not None and reels.length > task.keep_from:
            room = reels.length - task.keep_from
            cuts = (task.allowance // step,) * len(task.lengths)
            found.append(Kind(index, room, 0, cuts, new, full_only=False))
    return found
