"""From a first cut list to a proven one, goal by goal: rope made, new rope opened, waste."""

from collections.abc import Sequence

from tuckmark.cutting import greedy
from tuckmark.cutting.clock import Clock
from tuckmark.cutting.columns import Bounded, Prices, generate, within_reach
from tuckmark.cutting.knapsack import OutOfTime
from tuckmark.cutting.master import Column, Master, Whole
from tuckmark.cutting.program import Program, program
from tuckmark.cutting.task import Goal, Layout, Pattern, Proof, Score, Solved, Task, holds, score

_MOST_COLUMNS = 10_000  # of one program: more would not be solved within the budget
_BOUND_SHARE = 0.6  # of the time goes at most to the bound
_QUICK_SHARE = 0.1  # of the time that is left goes to a program over generated columns only
_SEARCH_SHARE = 0.5  # of the time that is left goes at most to finding further columns
_SHARES = (1, 1 / 4, 1 / 16, 1 / 64, 0)  # of what a column may cost to be among them


def solve(task: Task, clock: Clock) -> Solved:
    """The best cut list that is found within the time.

    There is always one: the clock ends only the search for a better one or for a proof.
    """
    layout = greedy.start(task, clock)
    proofs: list[Proof] = []
    for goal in Goal:
        least = _plain_bound(task, goal, layout, proofs)
        layout, bound = _improved(task, goal, layout, least, clock)
        proofs.append(Proof(goal, _value(score(task, layout), goal), bound))
    return Solved(layout, tuple(proofs))


def _value(found: Score, goal: Goal) -> int:
    value: int = getattr(found, goal.value)
    return value


def _plain_bound(task: Task, goal: Goal, layout: Layout, proofs: Sequence[Proof]) -> int:
    """A bound that needs no search: what is made must come from somewhere."""
    if goal is Goal.UNMADE:
        return 0
    made = sum(item.size * item.quantity for item in task.wanted) - proofs[0].value
    pieces = sum(task.demand(layout.unmade))
    cuts = 0 if proofs[0].value else task.allowance * pieces  # else others could be left out
    if goal is Goal.NEW_ROPE:
        return made + cuts - sum(item.length * item.quantity for item in task.reels if item.remnant)
    if any(task.kept(reels.length) for reels in task.reels):
        return cuts
    return max(cuts, proofs[1].bound - made)


def _improved(
    task: Task, goal: Goal, layout: Layout, least: int, clock: Clock
) -> tuple[Layout, int]:
    """A layout that is no worse, and a bound on the goal."""
    now = score(task, layout)
    of_goal = program(task, goal, now)
    least = max(0, -(-least // of_goal.step) * of_goal.step)
    if _value(now, goal) <= least:
        return layout, _value(now, goal)
    search = _Search(of_goal, goal, layout, clock)
    return search.run(least)


class _Search:
    """The search for one goal: bound, quick improvement, proof."""

    def __init__(self, program: Program, goal: Goal, layout: Layout, clock: Clock) -> None:
        self._program = program
        self._task = program.task
        self._goal = goal
        self._clock = clock
        self.layout = layout

    @property
    def cost(self) -> int:
        """What the best layout costs, in steps of the goal."""
        return _value(score(self._task, self.layout), self._goal) // self._program.step

    def run(self, least: int) -> tuple[Layout, int]:
        """The best layout and its bound, both in tenths of a millimetre."""
        own = self._columns_of(self.layout)
        found = generate(self._program, own, self.cost, self._clock.part(_BOUND_SHARE))
        bound = max(found.bound, least // self._program.step)
        self._try(found.columns, bound, _QUICK_SHARE)
        proven = self._settle(found, found.prices, bound) if found.prices else False
        bound = self.cost if proven else min(bound, self.cost)
        return self.layout, bound * self._program.step

    def _settle(self, found: Bounded, prices: Prices, bound: int) -> bool:
        """Solve over all that a better layout could hold; whether that went to the end.

        First over what a layout as good as the bound could hold, which is less. Where even that
        is too much, over the most promising part of it.
        """
        for reach, time in ((bound, 0.5), (self.cost - 1, 1.0)):
            if self.cost <= bound or self._clock.is_up:
                break
            columns, is_all = self._within(prices, min(reach, self.cost - 1))
            is_best = self._try([*found.columns, *columns], bound, time)
            if is_best and is_all and reach >= self.cost - 1:
                return True
        return False

    def _within(self, prices: Prices, cost: int) -> tuple[list[Column], bool]:
        """Columns of layouts of at most this cost; whether those are all."""
        clock = self._clock.part(_SEARCH_SHARE)
        for share in _SHARES:
            try:
                found = within_reach(self._program, prices, cost, share, _MOST_COLUMNS, clock)
            except OutOfTime:
                break
            if found is not None:
                return found, share == 1
        return [], False

    def _try(self, columns: Sequence[Column], enough: int, share: float) -> bool:
        """Solve over some columns; whether nothing better can be had from them."""
        if self.cost <= enough or self._clock.is_up:
            return False
        own = self._columns_of(self.layout)
        master = Master(self._program)
        for column in sorted({*columns, *own}):
            master.add(column)
        unmade = [self.layout.unmade[item.order] for item in self._program.left_out]
        spare = [0] * len(self._program.spare)
        start = [*unmade, *spare, *(own.get(column, 0) for column in master.columns)]
        found = master.whole(start, enough, share * self._clock.left_s)
        if found is None:
            return False
        layout = self._layout_of(master.columns, found)
        if not holds(self._task, layout):
            return False
        if score(self._task, layout) < score(self._task, self.layout):
            self.layout = layout
        return found.is_best

    def _columns_of(self, layout: Layout) -> dict[Column, int]:
        """The columns that a layout consists of, each of the cheapest kind that has room."""
        found: dict[Column, int] = {}
        for reel, pattern, times in layout.each():
            taken = self._task.taken(pattern)
            _, index = min(
                (kind.fixed + sum(n * e for n, e in zip(pattern, kind.each, strict=True)), index)
                for index, kind in enumerate(self._program.kinds)
                if kind.reel == reel and taken <= kind.room
            )
            found[index, pattern] = times
        return found

    def _layout_of(self, columns: Sequence[Column], found: Whole) -> Layout:
        unmade = [0] * len(self._task.wanted)
        for item, n in zip(self._program.left_out, found.unmade, strict=True):
            unmade[item.order] = n
        cuts: dict[tuple[int, Pattern], int] = {}
        for (index, pattern), times in zip(columns, found.times, strict=True):
            if times:
                key = (self._program.kinds[index].reel, pattern)
                cuts[key] = cuts.get(key, 0) + times
        return Layout(_without_spare(cuts, self._task.demand(tuple(unmade))), tuple(unmade))


def _without_spare(
    cuts: dict[tuple[int, Pattern], int], demand: Pattern
) -> dict[tuple[int, Pattern], int]:
    """The same cuts without the pieces that are too many."""
    spare = [-n for n in demand]
    for (_, pattern), times in cuts.items():
        spare = [have + times * n for have, n in zip(spare, pattern, strict=True)]
    kept: dict[tuple[int, Pattern], int] = {}
    for (reel, pattern), times in cuts.items():
        for _ in range(times):
            less = tuple(n - max(0, min(n, have)) for n, have in zip(pattern, spare, strict=True))
            spare = [have - (n - m) for have, n, m in zip(spare, pattern, less, strict=True)]
            if any(less):
                kept[reel, less] = kept.get((reel, less), 0) + 1
    return kept
